
// The film of one throw: all frames are here, the browser plays them.
// A frame: time, base x, tip x y, pin x y, weight x y, pouch x y, projectile x y, axle load, phase.
const WIDE = 14;
const SPEEDS = [["1", "true speed"], ["0.5", "1/2 speed"], ["0.25", "1/4 speed"], ["0.1", "1/10 speed"]];

function frameAt(film, data, time) {
  const last = film.count - 1;
  const place = film.step > 0 ? Math.min(Math.max(time / film.step, 0), last) : 0;
  const low = Math.min(Math.floor(place), last), part = place - low;
  const a = low * WIDE, b = Math.min(low + 1, last) * WIDE;
  const frame = new Array(WIDE);
  for (let i = 0; i < WIDE; i++) frame[i] = data[a + i] + part * (data[b + i] - data[a + i]);
  frame[13] = data[a + 13];
  return frame;
}

function drawFrame(canvas, film, data, time) {
  const { context, width, height } = sharpContext(canvas);
  if (width < 60) return null;
  if (film.empty || !film.count) { drawEmpty(context, width, height, film.empty || ""); return null; }
  const view = layOut(width, height, { equal: true, x: film.x, y: film.y });
  const X = view.x, Y = view.y, unit = film.unit;
  const scale = (view.right - view.left) / (view.xh - view.xl) / unit;
  const frame = frameAt(film, data, time);
  const at = (i) => [X(frame[i] / unit), Y(frame[i + 1] / unit)];
  drawAxes(context, view, { x: film.x, y: film.y });
  context.save();
  context.beginPath();
  context.rect(view.left, view.top, view.right - view.left, view.bottom - view.top + 1);
  context.clip();
  context.lineCap = "round"; context.lineJoin = "round";
  const polyline = (points, colour, wide, dash) => {
    context.strokeStyle = colour; context.lineWidth = wide; context.setLineDash(dash || []);
    context.beginPath();
    points.forEach(([x, y], i) => (i ? context.lineTo(x, y) : context.moveTo(x, y)));
    context.stroke(); context.setLineDash([]);
  };
  const shift = frame[1] / unit;
  const fixed = (x, y) => [X(x / unit + shift), Y(y / unit)];
  polyline([[view.left, Y(0)], [view.right, Y(0)]], "#8a7a5c", 2);
  // path of the projectile, of the tip and of the weight up to this moment, and faintly all of it
  const upto = film.step > 0 ? Math.min(film.count, Math.floor(time / film.step) + 1) : 1;
  const way = (i, count, colour, wide, dash) => {
    const points = [];
    for (let k = 0; k < count; k++) {
      const x = data[k * WIDE + i], y = data[k * WIDE + i + 1];
      if (isFinite(x)) points.push([X(x / unit), Y(y / unit)]);
    }
    if (points.length > 1) polyline(points, colour, wide, dash);
  };
  way(10, film.count, "#f0c9b0", 1, [3, 4]);
  way(10, upto, "#D55E00", 1.6);
  way(6, upto, "#9fb8c9", 1.2, [2, 3]);
  const m = film.machine;
  polyline([fixed(m.trough[0], m.trough[2]), fixed(m.trough[1], m.trough[2])], "#b08d57", 4);
  polyline([fixed(m.feet[0], m.sill), fixed(m.feet[1], m.sill)], "#6b4f2a", 4);
  polyline([fixed(m.feet[0], m.sill), fixed(0, m.axle), fixed(m.feet[1], m.sill)], "#8a6a3d", 4);
  for (const x of m.wheels) {
    const [cx, cy] = fixed(x, m.sill / 2);
    context.fillStyle = "#6b4f2a"; context.beginPath();
    context.arc(cx, cy, Math.max(2, (m.sill / 2) * scale), 0, 2 * Math.PI); context.fill();
  }
  // arm, straight from pin to tip through the axle
  const axle = fixed(0, m.axle), tip = at(2), pin = at(4), weight = at(6), pouch = at(8), ball = at(10);
  const arm = Math.max(3, m.depth * scale);
  polyline([pin, axle], "#5b3a14", arm);
  context.beginPath();
  const ax = axle[0] - tip[0], ay = axle[1] - tip[1], long = Math.hypot(ax, ay) || 1;
  const nx = -ay / long, ny = ax / long, end = Math.max(1, m.tipDepth * scale / 2);
  context.moveTo(axle[0] + nx * arm / 2, axle[1] + ny * arm / 2);
  context.lineTo(tip[0] + nx * end, tip[1] + ny * end);
  context.lineTo(tip[0] - nx * end, tip[1] - ny * end);
  context.lineTo(axle[0] - nx * arm / 2, axle[1] - ny * arm / 2);
  context.closePath(); context.fillStyle = "#5b3a14"; context.fill();
  // counterweight box, turned with its hanger (with the arm where it is fixed)
  polyline([pin, weight], "#303030", 2);
  const [hx, hy] = m.hung ? [weight[0] - pin[0], weight[1] - pin[1]] : [pin[0] - axle[0], pin[1] - axle[1]];
  const turn = Math.hypot(hx, hy) > 1e-6 ? Math.atan2(hx, hy) : 0;
  context.save();
  context.translate(weight[0], weight[1]);
  context.rotate(-turn);
  const bw = m.box[0] * scale, bh = m.box[1] * scale;
  context.fillStyle = "rgba(0,114,178,0.75)"; context.strokeStyle = "#003a5c"; context.lineWidth = 1.5;
  context.fillRect(-bw / 2, -bh / 2, bw, bh); context.strokeRect(-bw / 2, -bh / 2, bw, bh);
  context.restore();
  polyline([tip, pouch], "#404040", 1.6);
  const dot = (place, r, colour) => {
    context.fillStyle = colour; context.strokeStyle = "#202020"; context.lineWidth = 1;
    context.beginPath(); context.arc(place[0], place[1], r, 0, 2 * Math.PI);
    context.fill(); context.stroke();
  };
  dot(axle, Math.max(3, m.axleRadius * scale), "#d0d0d0");
  dot(pin, 2.5, "#d0d0d0");
  if (isFinite(ball[0])) dot(ball, Math.max(3.5, m.ballRadius * scale), "#D55E00");
  context.restore();
  return frame;
}

function render({ model, el }) {
  const canvas = element("canvas", { role: "img", tabindex: "0", class: "sw-film", "data-picture": "film" });
  const play = element("button", { type: "button", class: "sw-button", "aria-label": "Play the throw" }, "\u25B6 Play");
  const back = element("button", { type: "button", class: "sw-button", "aria-label": "One frame back" }, "\u2190");
  const on = element("button", { type: "button", class: "sw-button", "aria-label": "One frame on" }, "\u2192");
  const scrub = element("input", { type: "range", min: "0", max: "1", step: "any", value: "0",
    "aria-label": "Moment of the throw", class: "sw-scrub" });
  const speed = element("select", { "aria-label": "Speed of playing", class: "sw-select" },
    ...SPEEDS.map(([value, name]) => element("option", { value }, name)));
  const line = element("output", { class: "sw-filmline" });
  const bar = element("div", { class: "sw-filmbar", role: "group", "aria-label": "Player" },
    play, back, on, scrub, speed);
  const caption = element("figcaption", {}, "");
  const face = element("figure", { class: "sw-picture" }, caption, canvas);
  const box = element("div", { class: "sw-player", tabindex: "-1" }, face, bar, line);
  el.append(box);
  let time = 0, playing = false, stamp = 0, asked = null, waiting = null;
  let film = {}, data = new Float32Array(0);

  const length = () => (film.count > 1 ? (film.count - 1) * film.step : 0);

  function show() {
    const frame = drawFrame(canvas, film, data, time);
    scrub.value = String(length() ? time / length() : 0);
    if (!frame) { line.textContent = film.empty || ""; canvas.dataset.time = ""; return; }
    const phase = film.phases[Math.round(frame[13])] || "";
    const load = `${(frame[12] / film.load.factor).toFixed(film.load.digits)} ${film.load.unit}`;
    const after = film.after && time >= length() - 1e-9 ? ` \u00b7 ${film.after}` : "";
    line.textContent = `${time.toFixed(2)} s \u00b7 ${phase} \u00b7 axle load ${load}${after}`;
    scrub.setAttribute("aria-valuetext", line.textContent);
    canvas.dataset.time = time.toFixed(4);
  }

  function label() {
    play.textContent = playing ? "\u275A\u275A Pause" : "\u25B6 Play";
    play.setAttribute("aria-label", playing ? "Pause" : "Play the throw");
  }

  function step(now) {
    if (!playing) return;
    if (!canvas.isConnected) { playing = false; return; }
    time += Math.min((now - stamp) / 1000, 0.25) * Number(speed.value);
    stamp = now;
    if (time >= length()) { time = length(); playing = false; label(); }
    show();
    if (playing) requestAnimationFrame(step);
  }

  function start() {
    if (!length()) return;
    if (time >= length() - 1e-9) time = 0;
    playing = true; stamp = performance.now(); label();
    requestAnimationFrame(step);
  }
  function pause() { playing = false; label(); }
  function toggle() { playing ? pause() : start(); }
  function goTo(t) { pause(); time = Math.min(Math.max(t, 0), length()); show(); }

  // A machine that changed is filmed again once the dials rest.
  function ask() {
    clearTimeout(waiting);
    const wanted = model.get("revision");
    if (wanted === asked) return;
    waiting = setTimeout(() => { asked = wanted; model.send({ kind: "film" }); }, 180);
  }

  function take() {
    film = model.get("film") || {};
    data = floatsOf(model.get("frames"));
    time = Math.min(time, length());
    caption.textContent = film.title || "";
    canvas.setAttribute("aria-label", film.words || "");
    show();
  }

  play.addEventListener("click", toggle);
  back.addEventListener("click", () => goTo(time - film.step));
  on.addEventListener("click", () => goTo(time + film.step));
  scrub.addEventListener("input", () => goTo(Number(scrub.value) * length()));
  box.addEventListener("keydown", (event) => {
    const plain = event.target === canvas || event.target === box || event.target === scrub;
    let known = true;
    if (event.key === " " && plain) toggle();
    else if (event.key === "ArrowLeft" && plain) goTo(time - film.step * (event.shiftKey ? 10 : 1));
    else if (event.key === "ArrowRight" && plain) goTo(time + film.step * (event.shiftKey ? 10 : 1));
    else if (event.key === "Home" && plain) goTo(0);
    else if (event.key === "End" && plain) goTo(length());
    else known = false;
    if (known) event.preventDefault();
    event.stopPropagation();
  });
  model.on("change:film", take);
  model.on("change:revision", ask);
  const watcher = watchSizes(show);
  watcher.observe(canvas);
  take();
  ask();
  return () => {
    playing = false;
    clearTimeout(waiting);
    watcher.disconnect();
    model.off("change:film", take);
    model.off("change:revision", ask);
  };
}

export default { render };


// The film of one throw: all frames are here, the browser plays them.
// A frame: time, base x, tip x y, pin x y, weight x y, pouch x y, projectile x y, axle load, phase.
const WIDE = 14;
const SPEEDS = [["1", "true speed"], ["0.5", "1/2 speed"], ["0.25", "1/4 speed"], ["0.1", "1/10 speed"]];

const HINT = "Choose a part to see its checks and its dials. Blue: the stronger, the more of its strength is used; red: fails; grey, dashed: not known.";

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

// Colours of a part by how much of its strength is used; red fails, grey is not known.
const SHADES = { 0: "#dcebf5", 1: "#9ecae1", 2: "#3f87b8", fails: "#D55E00", "not known": "#d0d0d0" };
const KEPT = "#D55E00";

// What is drawn of a machine at one moment, the hindmost first: part, path, width of its line (none:
// filled), colour where no use is known.
function bodiesOf(m, frame, view, unit) {
  const scale = (view.right - view.left) / (view.xh - view.xl) / unit;
  const at = (i) => [view.x(frame[i] / unit), view.y(frame[i + 1] / unit)];
  const fixed = (x, y) => [view.x((x + frame[1]) / unit), view.y(y / unit)];
  const found = [];
  const add = (part, points, wide, colour, closed = false) => {
    const path = new Path2D();
    points.forEach(([x, y], i) => (i ? path.lineTo(x, y) : path.moveTo(x, y)));
    if (closed) path.closePath();
    found.push({ part, path, wide, colour });
  };
  const round = (part, [x, y], radius, colour) => {
    const path = new Path2D();
    path.arc(x, y, radius, 0, 2 * Math.PI);
    found.push({ part, path, wide: 0, colour });
  };
  const ground = [fixed(-m.sills, 0), fixed(m.sills, 0)];
  const thick = (size, least) => Math.max(least, size * scale);
  add("ground", ground, 3, "#8a7a5c");
  if (m.wheels.length) m.wheels.forEach((x) => round("sills", fixed(x, m.sill / 2), thick(m.sill / 2, 2), "#6b4f2a"));
  else {
    add("sills", [fixed(-m.sills, 0), fixed(m.sills, 0), fixed(m.sills, m.sillDepth), fixed(-m.sills, m.sillDepth)],
      0, "#6b4f2a", true);
  }
  add("trough", [fixed(m.trough[0], m.trough[2]), fixed(m.trough[1], m.trough[2])], 4, "#b08d57");
  add("brace", [fixed(-m.brace[1], m.brace[0]), fixed(m.brace[1], m.brace[0])], thick(0.7 * m.leg, 2), "#a5814c");
  const foot = m.wheels.length ? m.sill : 0;
  for (const x of m.feet) add("legs and side braces", [fixed(x, foot), fixed(0, m.axle)], thick(m.leg, 3), "#8a6a3d");
  const axle = fixed(0, m.axle), tip = at(2), pin = at(4), weight = at(6), pouch = at(8), ball = at(10);
  // counterweight box, turned with its hanger (with the arm where it is fixed)
  add("straps and hanger pin", [pin, weight], 2, "#303030");
  const [hx, hy] = m.hung ? [weight[0] - pin[0], weight[1] - pin[1]] : [pin[0] - axle[0], pin[1] - axle[1]];
  const turn = Math.hypot(hx, hy) > 1e-6 ? -Math.atan2(hx, hy) : 0, cos = Math.cos(turn), sin = Math.sin(turn);
  const wide = (m.box[0] * scale) / 2, high = (m.box[1] * scale) / 2;
  add("counterweight box", [[-wide, -high], [wide, -high], [wide, high], [-wide, high]].map(
    ([x, y]) => [weight[0] + cos * x - sin * y, weight[1] + sin * x + cos * y]), 0, "#4d9cc9", true);
  add("sling", [tip, pouch], 1.6, "#404040");
  // arm, straight from pin to tip through the axle
  const [ax, ay] = [axle[0] - tip[0], axle[1] - tip[1]], long = Math.hypot(ax, ay) || 1;
  const [nx, ny] = [-ay / long, ax / long], arm = thick(m.depth, 3) / 2, end = thick(m.tipDepth, 2) / 2;
  add("arm", [[pin, arm], [axle, arm], [tip, end], [tip, -end], [axle, -arm], [pin, -arm]].map(
    ([[x, y], out]) => [x + nx * out, y + ny * out]), 0, "#5b3a14", true);
  round("prong", tip, 2.5, "#d0d0d0");
  round("axle", axle, thick(m.axleRadius, 4), "#d0d0d0");
  round("straps and hanger pin", pin, 3, "#d0d0d0");
  if (isFinite(ball[0])) round("projectile", ball, thick(m.ballRadius, 3.5), "#D55E00");
  return found;
}

function drawFrame(canvas, film, data, time, used, lit) {
  const { context, width, height } = sharpContext(canvas);
  canvas.bodies = [];
  if (width < 60) return null;
  if (film.empty || !film.count) { drawEmpty(context, width, height, film.empty || ""); return null; }
  const held = film.count === 1 || time <= 0, unit = film.unit;
  const part = film.x ? film : held ? film.held : film.whole; // on the hand's axes while it holds
  const axes = { equal: true, x: { ...part.x, label: film.labels[0] }, y: { ...part.y, label: film.labels[1] } };
  const view = layOut(width, height, axes);
  const X = view.x, Y = view.y;
  const frame = frameAt(film, data, time);
  drawAxes(context, view, axes);
  context.save();
  context.beginPath();
  context.rect(view.left, view.top, view.right - view.left, view.bottom - view.top + 1);
  context.clip();
  context.lineCap = "round"; context.lineJoin = "round";
  const ink = (path, colour, wide, dash) => {
    context.strokeStyle = colour; context.lineWidth = wide; context.setLineDash(dash || []);
    context.stroke(path); context.setLineDash([]);
  };
  const line = new Path2D();
  line.moveTo(view.left, Y(0)); line.lineTo(view.right, Y(0));
  ink(line, "#8a7a5c", 1);
  // path of the projectile and of the weight up to this moment, and faintly all of it
  const upto = film.step > 0 ? Math.min(film.count, Math.floor(time / film.step) + 1) : 1;
  const way = (i, count, colour, wide, dash) => {
    const path = new Path2D();
    for (let k = 0, down = false; k < count; k++) {
      const x = data[k * WIDE + i], y = data[k * WIDE + i + 1];
      if (!isFinite(x)) continue;
      if (down) path.lineTo(X(x / unit), Y(y / unit)); else path.moveTo(X(x / unit), Y(y / unit));
      down = true;
    }
    if (count > 1) ink(path, colour, wide, dash);
  };
  way(10, film.count, "#f0c9b0", 1, [3, 4]);
  way(10, upto, "#D55E00", 1.6);
  way(6, upto, "#9fb8c9", 1.2, [2, 3]);
  if (film.kept) {
    const before = frameAt({ count: film.count, step: film.kept.step }, data.subarray(film.count * WIDE), time);
    for (const body of bodiesOf(film.kept, before, view, unit)) ink(body.path, KEPT, 1.2, [5, 4]);
  }
  for (const body of bodiesOf(film.machine, frame, view, unit)) {
    const use = used[body.part], colour = use ? SHADES[use.shade] || SHADES[2] : body.colour;
    const edge = body.part === lit ? 3 : 1, dash = use && use.shade === "not known" ? [4, 3] : [];
    if (body.wide) {
      ink(body.path, body.part === lit ? "#000000" : "#404040", body.wide + 2 * edge);
      ink(body.path, colour, body.wide);
    } else {
      context.fillStyle = colour; context.fill(body.path);
      ink(body.path, body.part === lit ? "#000000" : "#202020", edge, dash);
    }
    canvas.bodies.push(body);
  }
  const high = (1.7 * (view.right - view.left)) / (view.xh - view.xl) / unit, taken = [];
  const people = held ? film.marks || [] : []; // who stands here before it is loosed
  for (const one of people) drawPerson(context, X(one.x), Y(0), high, one.colour);
  for (const one of people) placeWords(context, view, taken, one.label, X(one.x), Y(0) - high, one.colour);
  context.restore();
  return { frame, view, lies: { x: part.x, y: part.y, marks: people } };
}

// A person as seen from the side.
function drawPerson(context, x, foot, high, colour) {
  context.strokeStyle = context.fillStyle = colour;
  context.lineWidth = Math.max(1.5, high / 9);
  context.beginPath();
  context.moveTo(x, foot - 0.8 * high);
  context.lineTo(x, foot - 0.45 * high);
  for (const side of [-1, 1]) { context.moveTo(x, foot - 0.45 * high); context.lineTo(x + (side * high) / 8, foot); }
  context.stroke();
  context.beginPath(); context.arc(x, foot - 0.9 * high, 0.09 * high, 0, 2 * Math.PI); context.fill();
}

// The part under a place on the canvas, the foremost first; thin ones are easier to meet.
function partUnder(canvas, event) {
  const context = canvas.getContext("2d"), box = canvas.getBoundingClientRect();
  const x = (event.clientX - box.left) * (canvas.width / box.width);
  const y = (event.clientY - box.top) * (canvas.height / box.height);
  for (const { part, path, wide } of [...(canvas.bodies || [])].reverse()) {
    context.lineWidth = Math.max(wide, 9);
    if ((!wide && context.isPointInPath(path, x, y)) || context.isPointInStroke(path, x, y)) return part;
  }
  return "";
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
  const words = element("p", { class: "sw-part", "aria-live": "polite" }), dials = element("p", { class: "sw-part" });
  const bar = element("div", { class: "sw-filmbar", role: "group", "aria-label": "Player" },
    play, back, on, scrub, speed);
  const caption = element("figcaption", {}, "");
  const face = element("figure", { class: "sw-picture" }, caption, element("div", { class: "sw-stage" }, canvas));
  const box = element("div", { class: "sw-player", tabindex: "-1" }, face, bar, line, words, dials);
  el.append(box);
  let time = 0, playing = false, stamp = 0, asked = null, waiting = null, chosen = "";
  let film = {}, data = new Float32Array(0);
  const used = () => { const now = model.get("used"); return now.revision === film.revision ? now.parts : {}; };

  const hand = handOver(model, canvas, () => show());
  const length = () => (film.count > 1 ? (film.count - 1) * film.step : 0);

  function show() {
    const shades = used(), drawn = drawFrame(canvas, hand.held(film), data, time, shades, chosen);
    hand.place(drawn ? { ...film, ...drawn.lies } : film, drawn && drawn.view);
    canvas.dataset.shaded = String(Object.keys(shades).length > 0);
    scrub.value = String(length() ? time / length() : 0);
    box.dispatchEvent(new CustomEvent("sw-moment", { bubbles: true, detail: time }));
    if (!drawn) { line.textContent = film.empty || ""; canvas.dataset.time = ""; return; }
    const { frame } = drawn;
    const phase = film.phases[Math.round(frame[13])] || "";
    const load = `${(frame[12] / film.load.factor).toFixed(film.load.digits)} ${film.load.unit}`;
    const after = film.after && time >= length() - 1e-9 ? ` \u00b7 ${film.after}` : "";
    line.textContent = `${time.toFixed(2)} s \u00b7 ${phase} \u00b7 axle load ${load}${after}`;
    scrub.setAttribute("aria-valuetext", line.textContent);
    canvas.dataset.time = time.toFixed(4);
  }

  // A part that is chosen tells its use, its checks and its dials.
  function choose(part) {
    chosen = part;
    const use = used()[part];
    words.textContent = !part ? HINT : use ? `${part}: ${use.words}. All of it: ${use.checks.join("; ")}.`
      : Object.keys(used()).length ? `${part}: no check of its own` : `${part}: its checks come when the dials rest`;
    dials.replaceChildren(...(use ? use.dials.map(([path, name]) => dialButton(box, path, name)) : []));
    show();
  }

  function next(step) {
    const parts = [...new Set(canvas.bodies.map((body) => body.part))], now = parts.indexOf(chosen);
    choose(parts[(now + step + parts.length + (now < 0 && step < 0 ? 1 : 0)) % parts.length] || "");
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

  // A machine that changed shows at once as it is held; it is filmed again once the dials rest, and
  // its checks are worked out after that.
  function ask() {
    clearTimeout(waiting);
    const wanted = (model.get("film") || {}).revision;
    if (wanted === undefined || wanted === asked) return;
    waiting = setTimeout(() => {
      asked = wanted;
      toKernel(model, { kind: "film" });
      waiting = setTimeout(() => toKernel(model, { kind: "use", revision: wanted }), 700);
    }, 180);
  }

  function take() {
    const found = model.get("film") || {};
    if (found.revision !== asked) ask();
    if (found.count === 1 && time > 0) return; // the moment that is looked at comes with the film
    film = found;
    data = floatsOf(model.get("frames"));
    if (film.count > 1) time = Math.min(time, length());
    caption.textContent = film.title || "";
    canvas.setAttribute("aria-label", film.words || "");
    choose(chosen);
  }

  play.addEventListener("click", toggle);
  back.addEventListener("click", () => goTo(time - film.step));
  on.addEventListener("click", () => goTo(time + film.step));
  scrub.addEventListener("input", () => goTo(Number(scrub.value) * length()));
  canvas.addEventListener("click", (event) => {
    const part = partUnder(canvas, event);
    choose(part === chosen ? "" : part);
  });
  const sought = ({ target, detail }) => {
    const bench = target.closest(".sw-bench");
    if (!bench || bench.contains(box)) goTo(detail);
  };
  document.addEventListener("sw-seek", sought);
  box.addEventListener("keydown", (event) => {
    const plain = event.target === canvas || event.target === box || event.target === scrub;
    let known = true;
    if (event.key === " " && plain) toggle();
    else if (event.key === "ArrowLeft" && plain) goTo(time - film.step * (event.shiftKey ? 10 : 1));
    else if (event.key === "ArrowRight" && plain) goTo(time + film.step * (event.shiftKey ? 10 : 1));
    else if (event.key === "ArrowDown" && event.target === canvas) next(1);
    else if (event.key === "ArrowUp" && event.target === canvas) next(-1);
    else if (event.key === "Home" && plain) goTo(0);
    else if (event.key === "End" && plain) goTo(length());
    else known = false;
    if (known) event.preventDefault();
    event.stopPropagation();
  });
  model.on("change:film", take);
  const shaded = () => choose(chosen);
  model.on("change:used", shaded);
  const watcher = watchSizes(show);
  watcher.observe(canvas);
  take();
  return () => {
    playing = false;
    hand.close();
    clearTimeout(waiting);
    watcher.disconnect();
    model.off("change:film", take);
    model.off("change:used", shaded);
    document.removeEventListener("sw-seek", sought);
  };
}

export default { render };

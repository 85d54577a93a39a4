
// Places that a hand moves: over the mark of each lies a button, for mouse, touch and arrow keys.
// A mark that moves has a key, words, and the dials `move` of its x and its y (null stays put).
const STILL = 700; // ms without a touch after which the next move is a step of its own in Undo
const ARROWS = { ArrowRight: [1, 0], ArrowLeft: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

function handOver(model, canvas, redraw) {
  const buttons = new Map(), stamp = Math.random().toString(36).slice(2, 8);
  let shown = {}, frame = null, held = null, gesture = 0, serial = 0, touched = 0, busy = false, waiting = null, watch;

  function post(message) {
    busy = true; serial += 1;
    clearTimeout(watch);
    watch = setTimeout(done, 4000);
    toKernel(model, { ...message, stamp, serial });
    canvas.dispatchEvent(new CustomEvent("sw-sent", { bubbles: true }));
  }

  // One move is on its way at a time; while it is, only the newest of the others is kept.
  function send(mark, values) {
    const message = { kind: "place", dials: mark.move, values, gesture: `${stamp}-${gesture}` };
    touched = performance.now();
    if (busy) waiting = message;
    else post(message);
  }

  function done() {
    clearTimeout(watch);
    busy = false;
    if (waiting) { const next = waiting; waiting = null; post(next); }
    else if (held && !held.down) { held = null; redraw(); }
  }

  function moveTo(mark, x, y) {
    const unit = shown.unit, grid = roundStep((frame.xh - frame.xl) * unit, 400);
    const [sx, sy] = [x, y].map((v) => Number((Math.round((v * unit) / grid) * grid).toFixed(6)));
    Object.assign(held, { x: sx / unit, y: mark.move[1] ? sy / unit : mark.y });
    redraw();
    send(mark, [sx, sy]);
  }

  function hold(key) {
    const mark = shown.marks.find((one) => one.key === key);
    held = held && held.key === key ? held
      : { key, x: mark.x, y: mark.y, axes: { x: shown.x, y: shown.y }, down: false };
    return mark;
  }

  function make(key) {
    const button = element("button", { type: "button", class: "sw-place", "data-place": key });
    canvas.parentElement.append(button);
    button.addEventListener("pointerdown", (event) => {
      if (event.button) return;
      gesture += 1;
      hold(key);
      held.down = true;
      button.setPointerCapture(event.pointerId);
    });
    button.addEventListener("pointermove", (event) => {
      if (!held || !held.down || held.key !== key || !frame) return;
      const box = canvas.getBoundingClientRect(), size = canvas.clientWidth / box.width;
      const part = (v, low, high) => Math.min(Math.max((v - low) / (high - low), 0), 1);
      const across = part((event.clientX - box.left) * size, frame.left, frame.right);
      const up = part((event.clientY - box.top) * size, frame.bottom, frame.top);
      moveTo(hold(key), frame.xl + across * (frame.xh - frame.xl), frame.yl + up * (frame.yh - frame.yl));
    });
    for (const end of ["pointerup", "pointercancel"]) {
      button.addEventListener(end, () => {
        if (held) held.down = false;
        if (!busy) done();
      });
    }
    button.addEventListener("keydown", (event) => {
      const way = ARROWS[event.key];
      if (!way && event.key !== "Delete") return;
      event.preventDefault(); event.stopPropagation();
      if (performance.now() - touched > STILL) gesture += 1;
      const mark = hold(key);
      if (!way) { send(mark, [null, null]); return; }
      const far = roundStep((frame.xh - frame.xl) * shown.unit, event.shiftKey ? 400 : 80) / shown.unit;
      moveTo(mark, held.x + far * way[0], held.y + far * way[1]);
    });
    return button;
  }

  function heard(content) {
    if (content.kind === "placed" && content.stamp === stamp && content.serial === serial) done();
  }
  model.on("msg:custom", heard);

  return {
    // The picture with the mark where the hand has it, on the axes on which the hand took it.
    held(picture) {
      if (!held) return picture;
      const marks = picture.marks.map((one) =>
        (one.key === held.key ? { ...one, x: held.x, y: held.y } : one));
      return { ...picture, ...held.axes, marks };
    },
    place(picture, made) {
      [shown, frame] = [picture, made];
      const wanted = made ? (picture.marks || []).filter((one) => one.move) : [];
      for (const [key, button] of buttons) button.hidden = !wanted.some((one) => one.key === key);
      for (const mark of wanted) {
        if (!buttons.has(mark.key)) buttons.set(mark.key, make(mark.key));
        const button = buttons.get(mark.key);
        button.style.transform = `translate(${made.x(mark.x)}px, ${made.y(mark.y)}px)`;
        if (button.title !== mark.words) {
          button.title = mark.words;
          button.setAttribute("aria-label", `${mark.words} Drag it, or use the arrow keys.`);
        }
      }
    },
    close() {
      clearTimeout(watch);
      model.off("msg:custom", heard);
    },
  };
}

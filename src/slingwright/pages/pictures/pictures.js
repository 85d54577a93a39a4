
// All live pictures of one widget: one message brings all of them.
function render({ model, el }) {
  const grid = element("div", { class: "sw-pictures" });
  el.append(grid);
  let shown = [], moment = 0;
  const watcher = watchSizes(() => draw(true));

  function build(scene) {
    grid.replaceChildren();
    for (const { hand } of shown) hand.close();
    watcher.disconnect();
    grid.style.setProperty("--sw-columns", scene.columns || 2);
    shown = scene.pictures.map((picture) => {
      const caption = element("figcaption", {}, picture.title);
      const canvas = element("canvas", { role: "img", "data-picture": picture.key, tabindex: "0" });
      const cursor = element("div", { class: "sw-cursor", hidden: "" });
      const stage = element("div", { class: "sw-stage" }, canvas, cursor);
      grid.append(element("figure", { class: "sw-picture" }, caption, stage));
      if (picture.moments) canvas.addEventListener("pointerdown", (event) => seek(canvas, event));
      watcher.observe(canvas);
      const one = { key: picture.key, caption, canvas, cursor };
      one.hand = handOver(model, canvas, () => paint(one, floatsOf(model.get("points"))));
      return one;
    });
  }

  function paint({ key, canvas, hand }, data) {
    const picture = hand.held(model.get("scene").pictures.find((one) => one.key === key));
    canvas.frame = drawPicture(canvas, picture, data);
    hand.place(picture, canvas.frame);
  }

  // A picture with the stamp that was drawn last is still right, but for a new size.
  function draw(all) {
    const scene = model.get("scene");
    if (!scene || !scene.pictures) return;
    const same = shown.length === scene.pictures.length
      && shown.every((s, i) => s.key === scene.pictures[i].key);
    if (!same) build(scene);
    const data = floatsOf(model.get("points"));
    scene.pictures.forEach((picture, i) => {
      const { caption, canvas, stamp } = shown[i];
      if (all !== true && stamp !== undefined && stamp === picture.stamp) return;
      shown[i].stamp = picture.stamp;
      if (caption.textContent !== picture.title) caption.textContent = picture.title;
      paint(shown[i], data);
      if (canvas.getAttribute("aria-label") !== picture.words) {
        canvas.setAttribute("aria-label", picture.words);
        canvas.title = picture.words;
      }
      canvas.dataset.drawn = String(scene.revision);
    });
    if (moment) point();
  }

  // One moment runs through the film and every picture over time.
  function point() {
    model.get("scene").pictures.forEach((picture, i) => {
      const { canvas, cursor } = shown[i], frame = canvas.frame;
      const seen = picture.moments && frame && moment > 0 && moment <= frame.xh;
      cursor.hidden = !seen;
      if (seen) {
        cursor.style.left = `${canvas.offsetLeft + frame.x(moment)}px`;
        cursor.style.top = `${canvas.offsetTop + frame.top}px`;
        cursor.style.height = `${frame.bottom - frame.top}px`;
      }
    });
  }

  function seek(canvas, { offsetX }) {
    const { frame } = canvas;
    if (!frame || offsetX < frame.left || offsetX > frame.right) return;
    const detail = frame.xl + ((offsetX - frame.left) / (frame.right - frame.left)) * (frame.xh - frame.xl);
    canvas.dispatchEvent(new CustomEvent("sw-seek", { bubbles: true, detail }));
  }

  const moved = ({ target, detail }) => {
    const bench = target.closest(".sw-bench");
    if (detail === moment || !shown.length || (bench && !bench.contains(grid))) return;
    moment = detail;
    point();
  };
  document.addEventListener("sw-moment", moved);

  model.on("change:scene", draw);
  draw();
  return () => {
    watcher.disconnect();
    for (const { hand } of shown) hand.close();
    document.removeEventListener("sw-moment", moved);
    model.off("change:scene", draw);
  };
}

export default { render };

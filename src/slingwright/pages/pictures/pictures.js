
// All live pictures of one widget: one message brings all of them.
function render({ model, el }) {
  const grid = element("div", { class: "sw-pictures" });
  el.append(grid);
  let shown = [];
  const watcher = watchSizes(() => draw(true));

  function build(scene) {
    grid.replaceChildren();
    watcher.disconnect();
    grid.style.setProperty("--sw-columns", scene.columns || 2);
    shown = scene.pictures.map((picture) => {
      const caption = element("figcaption", {}, picture.title);
      const canvas = element("canvas", { role: "img", "data-picture": picture.key, tabindex: "0" });
      const figure = element("figure", { class: "sw-picture" }, caption, canvas);
      grid.append(figure);
      watcher.observe(canvas);
      return { key: picture.key, caption, canvas };
    });
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
      drawPicture(canvas, picture, data);
      if (canvas.getAttribute("aria-label") !== picture.words) {
        canvas.setAttribute("aria-label", picture.words);
        canvas.title = picture.words;
      }
      canvas.dataset.drawn = String(scene.revision);
    });
  }

  model.on("change:scene", draw);
  draw();
  return () => {
    watcher.disconnect();
    model.off("change:scene", draw);
  };
}

export default { render };

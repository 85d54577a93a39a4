
// The answers as a list of readings, with the outcome sentence and the status line above them.
function render({ model, el }) {
  const outcome = element("p", { class: "sw-outcome" });
  const status = element("p", { class: "sw-status", role: "status" });
  const list = element("div", { class: "sw-readings", role: "list" });
  const spoken = element("div", { class: "sw-spoken", "aria-live": "polite", "aria-atomic": "true" });
  const box = element("section", { class: "sw-readouts", "aria-label": (model.get("state") || {}).name || "Results" }, outcome, list, status, spoken);
  el.append(box);
  let cells = new Map(), rest = null;

  const put = (node, text) => { if (node.textContent !== text) node.textContent = text; };

  function draw() {
    const state = model.get("state") || {};
    const rows = state.rows || [];
    if (rows.length !== cells.size || rows.some((row) => !cells.has(row.key))) {
      cells = new Map();
      list.replaceChildren();
      for (const row of rows) {
        const name = element("div", { class: "sw-label" });
        const value = element("span", { class: "sw-number" }), note = element("span", { class: "sw-aside" });
        const change = element("span", { class: "sw-change" });
        list.append(element("div", { class: "sw-reading", role: "listitem", "data-key": row.key }, name,
          value, change, note));
        cells.set(row.key, { name, value, note, change });
      }
    }
    for (const row of rows) {
      const cell = cells.get(row.key);
      put(cell.name, row.label);
      put(cell.value, row.text);
      put(cell.note, row.note || "");
      put(cell.change, row.change || "");
      cell.note.title = row.note || "";
    }
    box.classList.toggle("sw-failed", Boolean(state.failed));
    box.classList.toggle("sw-comparing", Boolean(state.comparing));
    put(outcome, state.sentence || "");
    put(status, state.status || "");
    status.classList.toggle("sw-warn", Boolean(state.warn));
    list.dataset.drawn = String(state.revision);
    clearTimeout(rest);
    rest = setTimeout(() => put(spoken, state.words || ""), 900);
  }

  model.on("change:state", draw);
  draw();
  return () => { clearTimeout(rest); model.off("change:state", draw); };
}

export default { render };

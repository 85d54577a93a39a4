
// The table of checks: a row opens on its working; a failing row can ask what would make it pass.
const ASK = "What would make it pass?", LOOKING = "working it out\u2026";

function render({ model, el }) {
  const root = element("div", { class: "sw-hold-table" });
  const outcome = element("p", { class: "sw-hold-outcome", role: "status" });
  const tools = element("div", { class: "sw-hold-tools" });
  const only = element("input", { type: "checkbox", id: `sw-only-${Math.random()}` });
  tools.append(element("label", { for: only.id }, only, " only what fails or is not known"));
  const head = element("div", { class: "sw-hold-row sw-hold-head", "aria-hidden": "true" });
  for (const word of ["check", "result", "used", "", "has to carry", "can", "governing case"]) {
    head.append(element("span", {}, word));
  }
  const list = element("div", { class: "sw-hold-list" });
  root.append(outcome, tools, head, list);
  el.append(root);
  const rows = new Map();
  let rest = null;

  function make(name) {
    const summary = element("summary", { class: "sw-hold-row" });
    const cells = {};
    for (const key of ["name", "verdict", "used", "bar", "demand", "capacity", "case"]) {
      cells[key] = element("span", { class: `sw-hold-${key}` });
      summary.append(cells[key]);
    }
    const fill = element("span", { class: "sw-hold-fill" });
    const limit = element("span", { class: "sw-hold-limit" });
    cells.bar.setAttribute("aria-hidden", "true");
    cells.bar.append(fill, limit);
    const working = element("p", {}), source = element("p", {});
    const found = element("ul", { "aria-live": "polite" });
    const ask = element("button", { class: "sw-button", type: "button" }, ASK);
    ask.addEventListener("click", () => {
      ask.disabled = true;
      ask.textContent = LOOKING;
      model.send({ kind: "pass", name });
    });
    const body = element("div", { class: "sw-hold-body" }, working, source, ask, found);
    const details = element("details", { class: "sw-hold-check", "data-check": name }, summary, body);
    return { details, cells, fill, working, source, ask, found };
  }

  function draw() {
    const state = model.get("state");
    if (!state || !state.rows) return;
    outcome.textContent = state.sentence;
    outcome.classList.toggle("sw-hold-bad", !state.holds);
    const wanted = [];
    for (const row of state.rows) {
      if (!rows.has(row.name)) rows.set(row.name, make(row.name));
      const made = rows.get(row.name);
      const { cells } = made;
      cells.name.textContent = row.name;
      cells.verdict.textContent = row.verdict;
      cells.used.textContent = row.change ? `${row.used} (${row.change})` : row.used;
      cells.demand.textContent = row.demand;
      cells.capacity.textContent = row.capacity;
      cells.case.textContent = row.case;
      made.fill.style.width = `${Math.min(row.use, 2) * 50}%`;
      made.details.dataset.state = row.state;
      made.working.textContent = row.working;
      made.source.textContent = `Source: ${row.source}`;
      made.ask.hidden = row.state === "holds" || Boolean(row.remedies);
      made.ask.disabled = Boolean(row.asking);
      made.ask.textContent = row.asking ? LOOKING : ASK;
      made.found.replaceChildren(
        ...(row.remedies || []).map((words) => element("li", {}, words)),
      );
      made.details.hidden = only.checked && row.state === "holds";
      wanted.push(made.details);
    }
    const same = wanted.length === list.children.length
      && wanted.every((details, i) => list.children[i] === details);
    if (!same) list.replaceChildren(...wanted);
    root.dataset.drawn = String(state.revision);
    clearTimeout(rest);
    rest = setTimeout(() => model.send({ kind: "rest", revision: state.revision }), 450);
  }

  only.addEventListener("change", draw);
  model.on("change:state", draw);
  draw();
  return () => { clearTimeout(rest); model.off("change:state", draw); };
}

export default { render };

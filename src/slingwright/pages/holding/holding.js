
// The table of checks: a row opens on its working; a failing row can ask what would make it hold.
const ASK = "What would make it hold?", LOOKING = "working it out\u2026";

// Text that stands already is left alone: writing it again would lay the page out anew.
function say(node, words) {
  if (node.textContent !== words) node.textContent = words;
}

// Only rows that changed places are moved, so that a row in focus stays so.
function putInOrder(list, wanted) {
  let at = list.firstChild;
  for (const node of wanted) {
    if (at === node) at = at.nextSibling;
    else list.insertBefore(node, at);
  }
  while (at) {
    const next = at.nextSibling;
    at.remove();
    at = next;
  }
}

function render({ model, el }) {
  const root = element("div", { class: "sw-hold-table" });
  const outcome = element("p", { class: "sw-hold-outcome", role: "status" });
  const tools = element("div", { class: "sw-hold-tools" });
  const only = element("input", { type: "checkbox", id: `sw-only-${Math.random()}` });
  tools.append(element("label", { for: only.id }, only, " only what fails or is not known"));
  const head = element("div", { class: "sw-hold-row sw-hold-head", "aria-hidden": "true" });
  for (const word of ["check", "verdict", "used", "", "demand", "capacity", "governing case"]) {
    head.append(element("span", {}, word));
  }
  const list = element("div", { class: "sw-hold-list" });
  root.append(outcome, tools, head, list);
  el.append(root);
  const rows = new Map();
  let rest = null;

  function make(named) {
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
    const working = element("p", { class: "sw-hold-working" }), source = element("p", {});
    const found = element("ul", { "aria-live": "polite" });
    const ask = element("button", { class: "sw-button", type: "button" }, ASK);
    ask.addEventListener("click", () => {
      ask.disabled = true;
      ask.textContent = LOOKING;
      model.send({ kind: "pass", key: named });
    });
    const body = element("div", { class: "sw-hold-body" }, working, source, ask, found);
    const details = element("details", { class: "sw-hold-check", "data-check": named }, summary, body);
    const made = { details, cells, fill, working, source, ask, found };
    details.addEventListener("toggle", () => {
      if (details.open) tell(made);
      model.send({ kind: details.open ? "open" : "fold", key: named });
    });
    return made;
  }

  function draw() {
    const state = model.get("state");
    if (!state || !state.rows) return;
    say(outcome, state.sentence);
    outcome.classList.toggle("sw-hold-bad", !state.holds);
    const wanted = [];
    for (const row of state.rows) {
      if (!rows.has(row.key)) rows.set(row.key, make(row.key));
      const made = rows.get(row.key);
      const { cells } = made;
      say(cells.name, row.name);
      say(cells.verdict, row.verdict);
      say(cells.used, row.change ? `${row.used} (${row.change})` : row.used);
      say(cells.demand, row.demand);
      say(cells.capacity, row.capacity);
      say(cells.case, row.mishap ? `${row.case}; ${row.mishap}` : row.case);
      const width = `${(Math.min(row.use, 2) * 50).toFixed(1)}%`;
      if (made.fill.style.width !== width) made.fill.style.width = width;
      if (made.details.dataset.state !== row.state) made.details.dataset.state = row.state;
      made.row = row;
      if (made.details.open) tell(made);
      made.details.hidden = only.checked && row.state === "holds" && !row.mishap;
      wanted.push(made.details);
    }
    putInOrder(list, wanted);
    root.dataset.drawn = String(state.revision);
    clearTimeout(rest);
    rest = setTimeout(() => model.send({ kind: "rest", revision: state.revision }), 450);
  }

  // The working of a row is written once it is open: closed rows cost nothing.
  function tell(made) {
    const row = made.row;
    if (!row) return;
    say(made.working, row.working);
    say(made.source, row.source);
    made.ask.hidden = (row.state === "holds" && !row.mishap) || Boolean(row.remedies);
    made.ask.disabled = Boolean(row.asking);
    say(made.ask, row.asking ? LOOKING : ASK);
    const remedies = row.remedies || [];
    while (made.found.children.length > remedies.length) made.found.lastChild.remove();
    remedies.forEach((words, i) => {
      if (!made.found.children[i]) made.found.append(element("li", {}));
      say(made.found.children[i], words);
    });
  }

  only.addEventListener("change", draw);
  model.on("change:state", draw);
  draw();
  return () => { clearTimeout(rest); model.off("change:state", draw); };
}

export default { render };

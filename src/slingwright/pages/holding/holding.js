
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

function svg(kind, attributes) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", kind);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  return made;
}

// The machine, part by part, shaded by use: `choose` hears which part is wanted, "" for all.
function drawing(choose) {
  const picture = svg("svg", { class: "sw-hold-machine", role: "group",
    "aria-label": "the machine as it is held; choose a part to see its rows" });
  const words = element("p", { class: "sw-hold-part", "aria-live": "polite" });
  const dials = element("p", { class: "sw-hold-dials" });
  const node = element("div", { class: "sw-hold-drawing" }, picture, words, dials);
  const parts = new Map();
  let chosen = "", near = "";

  function light() {
    for (const [name, made] of parts) {
      made.group.classList.toggle("sw-hold-lit", name === near || name === chosen);
      made.group.setAttribute("aria-pressed", String(name === chosen));
    }
    const made = parts.get(near || chosen);
    say(words, made ? `${near || chosen}: ${made.part.words}.` :
      "Shaded by use as planned; red: fails; dashed: not known. Choose a part to see its rows.");
  }

  function pick(name) {
    chosen = name === chosen ? "" : name;
    const all = element("button", { class: "sw-button", type: "button" }, "all rows");
    all.addEventListener("click", () => pick(chosen));
    dials.replaceChildren(...(chosen ? [all, ...parts.get(chosen).part.dials.map(([path, label]) => dialButton(node, path, label))] : []));
    light();
    choose(chosen);
  }

  function make(name) {
    const group = svg("g", { role: "button", tabindex: "0", "data-part": name });
    picture.append(group);
    for (const [happens, to] of [["pointerenter", name], ["focus", name], ["pointerleave", ""],
      ["blur", ""]]) group.addEventListener(happens, () => { near = to; light(); });
    group.addEventListener("click", () => pick(name));
    group.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" && event.key !== " ") return;
      event.preventDefault();
      pick(name);
    });
    return { group };
  }

  function show({ box, parts: wanted }) {
    const room = 0.02 * Math.max(box[2], box[3]);
    picture.setAttribute("viewBox",
      `${box[0] - room} ${box[1] - room} ${box[2] + 2 * room} ${box[3] + 2 * room}`);
    for (const part of wanted) {
      if (!parts.has(part.name)) parts.set(part.name, make(part.name));
      const made = parts.get(part.name);
      made.part = part;
      made.group.dataset.shade = part.shade;
      made.group.setAttribute("aria-label", `${part.name}: ${part.words}`);
      while (made.group.children.length > part.shapes.length) made.group.lastChild.remove();
      part.shapes.forEach((points, i) => {
        if (!made.group.children[i]) made.group.append(svg("polygon", {}));
        made.group.children[i].setAttribute("points", points);
      });
    }
    light();
  }
  return { node, show, near: (name) => { near = name; light(); } };
}

function render({ model, el }) {
  const root = element("div", { class: "sw-hold-table" });
  const outcome = element("p", { class: "sw-hold-outcome", role: "status" });
  const tools = element("div", { class: "sw-hold-tools" });
  const only = element("input", { type: "checkbox", id: `sw-only-${Math.random()}` });
  tools.append(element("label", { for: only.id }, only, " only what fails or is not known"));
  const head = element("div", { class: "sw-hold-row sw-hold-head", "aria-hidden": "true" });
  for (const word of ["check", "verdict", "used", "", "governing case", "demand", "capacity"]) {
    head.append(element("span", {}, word));
  }
  const list = element("div", { class: "sw-hold-list" });
  let onlyPart = "";
  const machine = drawing((name) => { onlyPart = name; draw(); });
  root.append(outcome, machine.node, tools, head, list);
  el.append(root);
  const rows = new Map();
  let rest = null;

  function make(named) {
    const summary = element("summary", { class: "sw-hold-row" });
    const cells = {};
    for (const key of ["name", "verdict", "used", "bar", "case", "demand", "capacity"]) {
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
      toKernel(model, { kind: "pass", key: named });
    });
    const body = element("div", { class: "sw-hold-body" }, working, source, ask, found);
    const details = element("details", { class: "sw-hold-check", "data-check": named }, summary, body);
    const made = { details, cells, fill, working, source, ask, found };
    for (const [happens, near] of [["pointerenter", true], ["focusin", true],
      ["pointerleave", false], ["focusout", false]]) {
      details.addEventListener(happens, () => machine.near(near ? made.row.part : ""));
    }
    details.addEventListener("toggle", () => {
      if (details.open) tell(made);
      toKernel(model, { kind: details.open ? "open" : "fold", key: named });
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
      made.details.hidden = (only.checked && row.state === "holds" && !row.mishap) ||
        (onlyPart !== "" && row.part !== onlyPart);
      wanted.push(made.details);
    }
    putInOrder(list, wanted);
    if (state.drawing) machine.show(state.drawing);
    root.dataset.drawn = String(state.revision);
    clearTimeout(rest);
    rest = setTimeout(() => toKernel(model, { kind: "rest", revision: state.revision }), 450);
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

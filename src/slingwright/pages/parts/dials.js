
// Dials: a name, a slider and a typed value with its unit, for any rows of the table of dials.

const REST = 700; // ms without a touch after which the next change is a step of its own in Undo

function places(step) {
  return Math.max(0, Math.min(6, Math.ceil(-Math.log10(step) - 1e-9)));
}

function shownNumber(value, step) {
  const whole = Math.max(1, Math.floor(Math.log10(Math.abs(value) || 1)) + 1);
  const fine = Number(value.toFixed(Math.max(places(step), Math.min(6, places(step) + 1, 4 - whole))));
  if (fine !== 0) return String(fine);
  return value === 0 ? "0" : String(Number(value.toPrecision(3)));
}

function render({ model, el }) {
  const board = element("div", { class: "sw-dials", role: "group", "aria-label": "Dials" });
  el.append(board);
  const known = new Map();
  let built = "", serial = 0, busy = false, pending = null, lastTouch = 0, lastPath = "", gesture = 0, watch = null;
  const stamp = Math.random().toString(36).slice(2, 8);

  // One change is on its way at a time; while it is, only the newest of the others is kept.
  function send(path, value) {
    const now = performance.now();
    if (path !== lastPath || now - lastTouch > REST) gesture += 1;
    lastTouch = now; lastPath = path;
    const message = { kind: "set", path, value, gesture: `${stamp}-${gesture}` };
    if (busy) { pending = message; return; }
    post(message);
  }
  function post(message) {
    busy = true; serial += 1;
    message.serial = serial;
    clearTimeout(watch);
    watch = setTimeout(done, 4000);
    toKernel(model, message);
    board.dispatchEvent(new CustomEvent("sw-sent", { bubbles: true }));
  }
  function done() {
    clearTimeout(watch);
    busy = false;
    if (pending) { const next = pending; pending = null; post(next); }
  }

  function setInvalid(entry, words) {
    entry.box.classList.toggle("sw-wrong", Boolean(words));
    entry.note.textContent = words || "";
    for (const part of entry.inputs) part.setAttribute("aria-invalid", words ? "true" : "false");
  }

  function numberDial(row) {
    const id = `sw-${stamp}-${row.path.replace(/\W/g, "-")}`;
    const range = element("input", { type: "range", step: "any", id, class: "sw-range", "data-path": row.path });
    const typed = element("input", { type: "text", inputmode: "text", class: "sw-typed", autocomplete: "off",
      spellcheck: "false", "data-path": row.path });
    const unit = element("span", { class: "sw-unit", "aria-hidden": "true" });
    const name = element("label", { for: id, class: "sw-name" }, row.label);
    const tag = element("span", { class: "sw-tag" });
    const note = element("div", { class: "sw-note", role: "alert" });
    const box = element("div", { class: "sw-dial", title: row.help, "data-path": row.path },
      element("div", { class: "sw-dialhead" }, name, tag), element("span", { class: "sw-value" }, typed, unit), range, note);
    const entry = { row, box, inputs: [range, typed], note, editing: false };
    const show = (value) => { // value in the shown unit
      range.value = String(value);
      if (!entry.editing) typed.value = shownNumber(value, row.step);
      const words = `${shownNumber(value, row.step)} ${row.unit === "-" ? "" : row.unitWords}`.trim();
      range.setAttribute("aria-valuetext", words);
    };
    const choose = (value, grid) => {
      let v = Math.min(Math.max(value, row.low), row.high);
      if (grid) v = Number((Math.round(v / grid) * grid).toFixed(places(grid) + 1));
      v = Math.min(Math.max(v, row.low), row.high);
      entry.current = v;
      setInvalid(entry, "");
      show(v);
      send(row.path, v);
    };
    entry.update = (fresh, value) => {
      entry.row = row = fresh;
      entry.current = value;
      name.textContent = row.label;
      unit.textContent = row.unit === "-" ? "" : row.unit;
      range.min = String(row.from); range.max = String(row.to);
      range.setAttribute("aria-label", `${row.label}${row.unit === "-" ? "" : ", " + row.unitWords}`);
      typed.setAttribute("aria-label", `${row.label}, typed value`);
      box.title = `${row.help} (${row.path}, ${row.limits})`;
      tag.textContent = row.tag || "";
      tag.title = row.tagWords || "";
      if (value === null) {
        if (!entry.editing) typed.value = "";
        typed.placeholder = row.none || "none";
        range.setAttribute("aria-valuetext", row.none || "none");
        box.classList.add("sw-unset");
      } else {
        box.classList.remove("sw-unset");
        range.min = String(Math.min(row.from, value)); range.max = String(Math.max(row.to, value));
        show(value);
      }
    };
    range.addEventListener("pointerdown", () => { lastTouch = -Infinity; });
    range.addEventListener("input", () => choose(Number(range.value), row.step));
    range.addEventListener("keydown", (event) => {
      const from = entry.current === null ? (row.from + row.to) / 2 : entry.current;
      const one = event.shiftKey ? row.step : row.stride;
      const ways = { ArrowRight: one, ArrowUp: one, ArrowLeft: -one, ArrowDown: -one,
        PageUp: 10 * row.stride, PageDown: -10 * row.stride };
      let to = null;
      if (event.key in ways) to = from + ways[event.key];
      else if (event.key === "Home") to = Number(range.min);
      else if (event.key === "End") to = Number(range.max);
      if (to === null) return;
      event.preventDefault(); event.stopPropagation();
      to = Math.min(Math.max(to, Number(range.min)), Number(range.max));
      choose(to, event.key in ways ? row.step : 0);
    });
    range.addEventListener("wheel", (event) => {
      if (document.activeElement !== range) return;
      event.preventDefault();
      const from = entry.current === null ? (row.from + row.to) / 2 : entry.current;
      choose(from + (event.deltaY < 0 ? row.stride : -row.stride), row.step);
    }, { passive: false });
    const commit = () => {
      if (!entry.editing) return;
      entry.editing = false;
      const text = typed.value.trim();
      if (entry.current !== null && text === shownNumber(entry.current, row.step)) return;
      gesture += 1; lastTouch = 0;
      send(row.path, { text });
    };
    typed.addEventListener("input", () => { entry.editing = true; });
    typed.addEventListener("change", commit);
    typed.addEventListener("keydown", (event) => {
      event.stopPropagation();
      if (event.key === "Enter") commit();
      if (event.key === "Escape") { entry.editing = false; setInvalid(entry, ""); entry.update(row, entry.current); }
    });
    return entry;
  }

  function flagDial(row) {
    const tick = element("input", { type: "checkbox", class: "sw-tick", "data-path": row.path });
    const note = element("div", { class: "sw-note", role: "alert" });
    const label = element("label", { class: "sw-name" }, tick, " " + row.label);
    const box = element("div", { class: "sw-dial sw-flag", title: row.help, "data-path": row.path }, label, note);
    tick.addEventListener("change", () => send(row.path, tick.checked));
    return { row, box, inputs: [tick], note, update(fresh, value) { tick.checked = Boolean(value); } };
  }

  function nameDial(row) {
    const list = element("select", { class: "sw-select", "aria-label": row.label, "data-path": row.path },
      ...row.choices.map((choice) => element("option", { value: choice }, choice)));
    const note = element("div", { class: "sw-note", role: "alert" });
    const box = element("div", { class: "sw-dial sw-choice", title: row.help, "data-path": row.path },
      element("span", { class: "sw-name" }, row.label), list, note);
    list.addEventListener("change", () => send(row.path, list.value));
    return { row, box, inputs: [list], note, update(fresh, value) { list.value = value; } };
  }

  function build(rows) {
    board.replaceChildren();
    known.clear();
    const front = element("div", { class: "sw-front" });
    const rest = element("div", { class: "sw-rest" });
    const groups = new Map();
    for (const row of rows) {
      const entry = row.kind === "flag" ? flagDial(row) : row.kind === "name" ? nameDial(row) : numberDial(row);
      known.set(row.path, entry);
      if (row.front) { front.append(entry.box); continue; }
      if (!groups.has(row.group)) {
        const body = element("div", { class: "sw-groupbody" });
        const group = element("details", { class: "sw-group" }, element("summary", {}, row.group), body);
        groups.set(row.group, { group, body });
        rest.append(group);
      }
      groups.get(row.group).body.append(entry.box);
    }
    board.append(front);
    if (!groups.size) return;
    const search = element("input", { type: "search", class: "sw-search", placeholder: "Find any dial",
      "aria-label": "Find any dial by name" });
    const found = element("span", { class: "sw-found", "aria-live": "polite" });
    search.addEventListener("keydown", (event) => event.stopPropagation());
    search.addEventListener("input", () => {
      const words = search.value.toLowerCase().split(/\s+/).filter(Boolean);
      let count = 0;
      const fits = (box) => {
        const row = known.get(box.dataset.path).row;
        const text = `${row.label} ${row.path} ${row.group} ${row.help}`.toLowerCase();
        const found = words.every((word) => text.includes(word));
        box.hidden = !found;
        count += found ? 1 : 0;
        return found;
      };
      for (const box of front.children) fits(box);
      for (const { group, body } of groups.values()) {
        let any = false;
        for (const box of body.children) any = fits(box) || any;
        group.hidden = !any;
        group.open = words.length > 0 && any;
      }
      found.textContent = words.length ? (count ? `${count} found` : "no dial has that name") : "";
    });
    board.append(element("div", { class: "sw-searchline" }, search, found), rest);
  }

  function update() {
    const rows = model.get("rows"), values = model.get("values");
    const order = rows.map((row) => row.path + (row.front ? "!" : "")).join(" ");
    if (order !== built) build(rows);
    built = order;
    for (const row of rows) {
      const entry = known.get(row.path);
      const held = (busy || pending) && lastPath === row.path; // the hand is ahead of the answer
      if (!held && !entry.box.classList.contains("sw-wrong")) entry.update(row, values[row.path]);
    }
  }

  function message(content) {
    if (content.kind === "done") done();
    const entry = known.get(content.path);
    if (content.kind !== "done" || !entry) return;
    setInvalid(entry, content.refused || "");
    if (content.refused || busy) return;
    const row = model.get("rows").find((one) => one.path === content.path); // units may be others now
    entry.update(row || entry.row, model.get("values")[content.path]);
  }

  function clearWrong() {
    for (const entry of known.values()) setInvalid(entry, "");
  }

  model.on("change:revision", () => { clearWrong(); update(); });
  model.on("change:values", update);
  model.on("msg:custom", message);
  update();
  return () => clearTimeout(watch);
}

export default { render };

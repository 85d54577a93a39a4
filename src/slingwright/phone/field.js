// The field page. What is written goes into the phone's own store first and is sent from there, in
// order, until the server has said that it has it. Each entry has a name made here, so that one that
// is sent again is known again. Text is only ever set as text.
"use strict";

const $ = (id) => document.getElementById(id);
const form = $("form");
const AGAIN = [250, 500, 1000, 3000]; // ms until what waits is tried again
const LOOK = 1000; // ms between two looks at what others wrote
const SEEN = ["range", "drift", "time_of_flight"];
const PATIENT = 20000; // ms until a request counts as lost
const LARGEST_SIDE = 2000; // pixels of a photo that is sent
const SIDES = [["not seen", ""], ["Left", "left"], ["On line", "line"], ["Right", "right"]];
const OUTCOMES = [["not seen", ""], ["early: steep", "early"], ["right", "right"],
  ["late: flat", "late"], ["near miss", "near miss"], ["damage", "damage"], ["injury", "injury"]];

let day = recall("day") || null; // what the server told last
let asked = ""; // the day that is looked at; the last one if empty
let correcting = null; // {of, words}: an entry of the log; or {id}: one that waits
let failed = 0;
let sending = null;
let online = false;
let lastTurn = 0;

function recall(name) {
  try { return JSON.parse(localStorage.getItem(name)); } catch { return null; }
}
function remember(name, value) {
  try { localStorage.setItem(name, JSON.stringify(value)); } catch { /* full: it is only a help */ }
}
function hex() {
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (b) => b.toString(16).padStart(2, "0")).join("");
}
function turn() { // of an entry among those that wait, also of two within a millisecond
  return (lastTurn = Math.max(lastTurn + 1, Date.now()));
}
function make(tag, settings = {}, ...inside) {
  const made = Object.assign(document.createElement(tag), settings);
  made.append(...inside);
  return made;
}
function now() {
  const at = new Date(), off = -at.getTimezoneOffset(), two = (n) => String(Math.floor(n)).padStart(2, "0");
  const local = new Date(at.getTime() + off * 60000).toISOString().slice(0, 23);
  return `${local}${off < 0 ? "-" : "+"}${two(Math.abs(off) / 60)}:${two(Math.abs(off) % 60)}`;
}

// ---- the store of what waits

const store = new Promise((done, wrong) => {
  const open = indexedDB.open("slingwright-field", 1);
  open.onupgradeneeded = () => open.result.createObjectStore("waiting", { keyPath: "id" });
  open.onsuccess = () => done(open.result);
  open.onerror = () => wrong(open.error);
});
async function stored(mode, work) {
  const turn = (await store).transaction("waiting", mode);
  const asking = work(turn.objectStore("waiting"));
  return new Promise((done, wrong) => {
    turn.oncomplete = () => done(asking.result);
    turn.onabort = turn.onerror = () => wrong(turn.error || asking.error);
  });
}
const waiting = async () =>
  (await stored("readonly", (all) => all.getAll())).sort((a, b) => a.order - b.order);
const keep = (one) => stored("readwrite", (all) => all.put(one));
const drop = (id) => stored("readwrite", (all) => all.delete(id));

// ---- talking to the server

async function talk(path, sent) {
  const options = { signal: AbortSignal.timeout(PATIENT), cache: "no-store" };
  if (sent) {
    Object.assign(options, { method: "POST", body: JSON.stringify(sent),
      headers: { "Content-Type": "application/json" } });
  }
  const answer = await fetch(path, options);
  const record = await answer.json();
  if (answer.status === 401) {
    remember("inside", false);
    showGate();
  }
  return { status: answer.status, record };
}

function send() {
  sending ||= sendAll().finally(() => { sending = null; });
  return sending;
}
async function sendAll() {
  let done = 0;
  for (const one of await waiting()) {
    if (one.refused || !$("gate").hidden) continue;
    let answer;
    try {
      answer = await talk("/entry", one.sent);
    } catch {
      online = false;
      break;
    }
    online = true;
    if (answer.status === 200) {
      await drop(one.id);
      done += 1;
      if (one.sent.kind === "shot" && !$("said").dataset.kept) say(`entry ${answer.record.number} is in the log`);
    } else if ([413, 415, 422].includes(answer.status)) {
      one.refused = answer.record;
      await keep(one);
      refused(one);
    } else {
      break; // a code is wanted, or the server cannot write now
    }
  }
  await showWaiting();
  return done;
}
async function keepSending() {
  for (;;) {
    const done = await send().catch((wrong) => say(`this phone cannot keep entries: ${wrong}`));
    const left = (await waiting().catch(() => [])).some((one) => !one.refused);
    failed = left && !done ? failed + 1 : 0;
    await new Promise((end) => {
      wake = end;
      setTimeout(end, left ? AGAIN[Math.min(failed, AGAIN.length - 1)] : LOOK);
    });
    if (!left) await look();
  }
}
let wake = () => {};

async function look() {
  if (document.hidden || !$("gate").hidden) return; // nobody looks
  try {
    const have = day?.state || "";
    const answer = await talk(`/day?on=${encodeURIComponent(asked)}&have=${encodeURIComponent(have)}`);
    online = true;
    if (answer.status === 200 && !answer.record.same) {
      day = answer.record;
      remember("day", day);
      showDay();
    }
  } catch {
    online = false;
  }
  await showWaiting();
}

// ---- the gate

function showGate() { // a phone that was inside before writes on meanwhile, and sends later
  if (!day && !location.hash) setTimeout(() => $("code").focus());
  $("gate").hidden = false;
  document.querySelector("main").hidden = document.querySelector("nav").hidden = !day;
  showWaiting();
}
function showPage() {
  $("gate").hidden = true;
  document.querySelector("main").hidden = document.querySelector("nav").hidden = false;
}
async function comeIn(code) {
  const phone = recall("phone") || hex();
  remember("phone", phone);
  $("gate-said").textContent = "";
  try {
    const { status, record } = await talk("/enter", { code, phone });
    if (status === 200) {
      remember("inside", true);
      showPage();
      await look();
      wake();
    } else {
      $("gate-said").textContent = record.error;
    }
  } catch {
    $("gate-said").textContent = "There is no connection to the computer. Join its network, and try again.";
  }
}
$("gate").onsubmit = (event) => { event.preventDefault(); comeIn($("code").value); };

// ---- the form

function chips(box, name, pairs) {
  box.querySelectorAll("label").forEach((one) => one.remove());
  for (const [words, value] of pairs) {
    box.append(make("label", {}, make("input", { type: "radio", name, value }), make("span", { textContent: words })));
  }
  box.querySelector("input").checked = true;
}
function put(name, value) { // setting "" on a list of radio buttons does nothing in some browsers
  const field = form.elements[name];
  const chosen = field instanceof RadioNodeList && [...field].find((one) => one.value === value);
  if (chosen) chosen.checked = true;
  else if (field && !(field instanceof RadioNodeList)) field.value = value;
}
function fill({ drift, ...said }) {
  if (drift !== undefined) { // kept as one number, to the right positive; typed as size and side
    said.drift = drift.replace(/^-/, "");
    said.side = drift === "" ? "" : Number(drift) === 0 ? "line" : drift.startsWith("-") ? "left" : "right";
  }
  for (const [name, value] of Object.entries(said)) {
    if (name === "load" && ![...form.elements.load].some((one) => one.value === value)) {
      put("load", "other");
      put("mass", value);
    } else {
      put(name, value);
    }
  }
  $("other-load").hidden = form.elements.load.value !== "other";
}
const typed = () => Object.fromEntries(new FormData(form));
function sent() {
  const { mass, side, ...said } = typed();
  if (said.load === "other") said.load = mass;
  if (side === "left") said.drift = `-${said.drift.trim()}`;
  if (side === "line") said.drift = "0";
  return said;
}
function sideWanted() { // what is missing of the side, in words
  const { side, drift } = typed(), size = drift.trim();
  if (/^[-\u2212+]/.test(size)) return "Side: write it without a sign, and choose Left or Right.";
  if (size && Number(size) !== 0 && !["left", "right"].includes(side)) return "Side: to which side? Choose Left or Right.";
  return !size && ["left", "right"].includes(side) ? `Side: how far to the ${side}? Write it, or choose On line.` : "";
}
function empty() {
  for (const name of [...SEEN, "note", "side", "release_seen"]) put(name, "");
  correcting = null;
  showCorrecting();
  clearWrong();
  remember("draft", typed());
}
function blank() {
  const said = typed();
  return ![...SEEN, "side", "release_seen", "note"].some((name) => said[name].trim());
}
function clearWrong() {
  document.querySelectorAll("#form .wrong").forEach((one) => { one.textContent = ""; });
}
function wrong(field, words) {
  ($(`wrong-${field}`) || $("wrong-")).textContent = words;
  (form.elements[field === "load" ? "mass" : field] || form.elements.note).focus?.();
}
function say(words) { $("said").textContent = words; }
function showCorrecting() {
  $("correcting").hidden = !correcting;
  $("correcting").firstElementChild.textContent = correcting ? correcting.words : "";
  $("write").textContent = correcting ? "Write correction" : "Write shot";
}

// A comma in a number can be read in two ways; the same rule as the kit's reader of numbers has.
function waysOf(text) {
  const found = text.match(/-?[0-9][0-9.]*,[0-9.,]*/);
  if (!found) return [];
  const whole = found[0].replace(/^[,.]+|[,.]+$/g, "");
  const one = !whole.includes(".") && whole.split(",").length === 2 ? whole.replace(",", ".") : "";
  return [one, whole.replaceAll(",", "")].filter((way) => way && way.split(".").length <= 2);
}
async function askNumbers() {
  for (const name of [...SEEN, "mass"]) {
    const field = form.elements[name];
    const ways = waysOf(field.value);
    if (!ways.length || (name === "mass" && $("other-load").hidden)) continue;
    const label = $(`label-${name === "mass" ? "load" : name}`).textContent;
    const way = await ask(`${label}: ${field.value} can be read in two ways. Which is meant?`, ways);
    if (!way) return false;
    field.value = way;
  }
  return true;
}
function ask(words, ways, why = false) {
  const box = $("ask"), area = $("ask-why").querySelector("textarea");
  $("asked").textContent = words;
  $("ask-why").hidden = !why;
  area.value = "";
  return new Promise((done) => {
    const end = (value) => { box.close(); done(value); };
    $("ways").replaceChildren(
      ...ways.map((way) => make("button", { type: "button", textContent: way, onclick: () => end(why ? area.value.trim() : way) })),
      make("button", { type: "button", textContent: "Leave it", onclick: () => end("") }));
    box.oncancel = () => done("");
    box.showModal();
  });
}

form.onsubmit = async (event) => {
  event.preventDefault();
  clearWrong();
  if (blank()) return wrong("", "Nothing was seen of it yet: give a distance, a side, a time or an outcome.");
  if (!(await askNumbers())) return;
  if (sideWanted()) return wrong("drift", sideWanted());
  const old = correcting;
  const id = old?.id || hex();
  const draft = typed();
  const one = { id, order: turn(), sent: { ...sent(), id, kind: "shot", at: now() } };
  if (old?.one) Object.assign(one, { order: old.one.order, sent: { ...one.sent, at: old.one.sent.at, of: old.one.sent.of || "" } });
  if (old?.of) one.sent.of = old.of;
  remember("author", form.elements.author.value);
  empty(); // before it waits for the store: the next shot may be typed meanwhile
  remember("draft", draft);
  try {
    await keep(one);
  } catch (wrongly) {
    if (blank() && !correcting) {
      fill(one.sent);
      correcting = old;
      showCorrecting();
    }
    return wrong("", `This phone cannot keep it (${wrongly}). Write it on paper.`);
  }
  remember("draft", typed());
  say("kept on this phone");
  await showWaiting();
  wake();
};
form.oninput = () => {
  $("other-load").hidden = form.elements.load.value !== "other";
  remember("draft", typed());
  say("");
};
$("let-go").onclick = () => { empty(); say("left as it was"); };

function refused(one) {
  if (one.sent.kind === "photo") { $("wrong-photo").textContent = one.refused.error; return; }
  if (one.sent.kind === "shot" && blank() && !correcting) mend(one);
}
function mend(one) {
  show("shot");
  fill(one.sent);
  correcting = { id: one.id, one, words: "Not taken yet: mend it." };
  showCorrecting();
  clearWrong();
  say("");
  if (one.refused) wrong(one.refused.field || "", one.refused.error);
}
function correct(row) {
  show("shot");
  empty();
  fill({ ...row.form, note: "" });
  correcting = { of: String(row.number), words: `Correcting entry ${row.number}: say why in Note.` };
  showCorrecting();
}
async function strike(row) {
  const why = await ask(`Strike entry ${row.number}? It stays to be read, and counts no more.`, ["Strike"], true);
  if (!why) return;
  const id = hex();
  await keep({ id, order: turn(), sent: { id, kind: "strike", of: String(row.number), note: why, author: form.elements.author.value } });
  await showWaiting();
  wake();
}

// ---- the photo: made smaller here, which also leaves out where it was taken

async function small(file) {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  const share = Math.min(1, LARGEST_SIDE / Math.max(picture.width, picture.height));
  const canvas = make("canvas", { width: Math.round(picture.width * share), height: Math.round(picture.height * share) });
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  return canvas.toDataURL("image/jpeg", 0.85).split(",")[1];
}
$("photo").onchange = async () => {
  const file = $("photo").files[0];
  if (!file) return;
  $("wrong-photo").textContent = "";
  try {
    const id = hex();
    await keep({ id, order: turn(), sent: { id, kind: "photo", picture: await small(file), name: file.name,
      note: form.elements.note.value, author: form.elements.author.value, at: now() } });
    say("photo kept on this phone");
    await showWaiting();
    wake();
  } catch {
    $("wrong-photo").textContent = `${file.name} is no picture that this phone can open.`;
  }
  $("photo").value = "";
};

// ---- what is shown

async function showWaiting() {
  const all = await waiting().catch(() => []);
  const word = all.length ? `${all.length} waiting` : "all sent";
  const link = online ? "connected" : "no connection: what is written waits on this phone";
  $("state").textContent = `${word}, ${$("gate").hidden ? link : "a code is wanted"}`;
  $("state").classList.toggle("waits", !online || all.some((one) => one.refused));
  $("waiting").replaceChildren(...all.map((one) => {
    const { range, note, kind, of, thing, value } = one.sent;
    const item = make("li", { className: "waits" },
      make("span", { className: "when", textContent: one.refused ? "not taken" : "waits" }),
      make("span", { className: "far", textContent: kind === "shot" ? range || "shot" : kind }),
      make("p", { textContent: [of && `of entry ${of}`, thing && `${thing} ${value}`, note].filter(Boolean).join(": ") }));
    if (one.refused) {
      const pair = make("div", { className: "pair" });
      if (kind === "shot") pair.append(make("button", { type: "button", textContent: "Mend", onclick: () => mend(one) }));
      pair.append(make("button", { type: "button", textContent: "Throw away", onclick: async () => {
        if (await ask("Throw it away? It is in no log.", ["Throw away"])) { await drop(one.id); await showWaiting(); }
      } }));
      item.append(make("p", { className: "wrong", textContent: one.refused.error }), pair);
    }
    return item;
  }));
}

function showDay() {
  $("machine").textContent = document.title = day.machine;
  $("caution").textContent = day.caution;
  for (const [name, words] of Object.entries(day.labels)) $(`label-${name}`).textContent = words;
  const pairs = [...day.loads, ["another", "other"]];
  if ($("loads").dataset.made !== JSON.stringify(pairs)) {
    const before = $("loads").dataset.made ? sent().load : day.set;
    chips($("loads"), "load", pairs);
    $("loads").dataset.made = JSON.stringify(pairs);
    fill({ load: before });
  }
  $("day").replaceChildren(...(day.days.length ? day.days : [""]).slice().reverse().map((one) =>
    make("option", { value: one, textContent: one || "no shots yet", selected: one === day.day })));
  $("rows").replaceChildren(...day.rows.slice().reverse().map(item));
  $("map-day").textContent = day.day ? `Where they fell, ${day.day}` : "No shots yet";
  $("groups").replaceChildren(...groups().map((words) => make("li", { textContent: words })));
  drawMap();
}
function wordsOf({ amounts: { load, drift, time_of_flight: air }, right, form: { release_seen: seen } }) {
  const side = right > 0 ? `${drift} right` : right < 0 ? `${drift} left` : right === 0 ? "on line" : "";
  return [load, side, air && `${air} in the air`, seen && `release ${seen}`].filter(Boolean).join(", ");
}
const measured = () => day.rows.filter((row) => row.struck === null && typeof row.ahead === "number");
function groups() { // for each load how many were measured, and where they fell
  const [one, unit] = day.metre, told = (far) => `${+(far / one).toPrecision(4)} ${unit}`;
  const loads = new Map();
  for (const row of measured()) loads.set(row.amounts.load, [...(loads.get(row.amounts.load) || []), row]);
  return [...loads].map(([load, rows]) => {
    const far = rows.map((row) => row.ahead), middle = far.reduce((a, b) => a + b) / far.length;
    return rows.length === 1 ? `${load}: one shot, ${told(middle)}`
      : `${load}: ${rows.length} shots, on average ${told(middle)}, ${told(Math.min(...far))} to ${told(Math.max(...far))}`;
  });
}
function item(row) {
  const made = make("li", { className: row.struck === null ? "" : "struck" },
    make("span", { className: "when", textContent: `${row.number} at ${row.time}` }));
  if (row.photo) made.append(make("img", { src: `/photo/${row.photo}`, alt: `Photo ${row.note}`, loading: "lazy" }));
  if (row.form) made.append(make("span", { className: "far", textContent: row.amounts.range || "not measured" }));
  if (!row.photo) made.append(make("p", { className: "words", textContent: row.words || wordsOf(row) }));
  const said = [row.corrects ? `stands for entry ${row.corrects}` : "", row.note, row.author].filter(Boolean);
  if (said.length) made.append(make("p", { textContent: said.join(" \u00b7 ") }));
  if (row.struck !== null) {
    made.append(make("p", { className: "wrong", textContent: `struck: ${row.struck}` }));
    return made;
  }
  const pair = make("div", { className: "pair" });
  if (row.form) pair.append(make("button", { type: "button", textContent: "Correct", ariaLabel: `Correct entry ${row.number}`, onclick: () => correct(row) }));
  pair.append(make("button", { type: "button", textContent: "Strike", ariaLabel: `Strike entry ${row.number}`, onclick: () => strike(row) }));
  made.append(pair);
  return made;
}

function step(span) {
  const rough = span / 5, ten = 10 ** Math.floor(Math.log10(rough));
  return [1, 2, 5, 10].map((k) => k * ten).find((one) => one >= rough);
}
function drawMap() {
  const [one, unit] = day.metre;
  const shots = measured();
  $("picture").replaceChildren(make("p", { textContent: "No distance was measured that still counts." }));
  if (!shots.length) return;
  $("picture").replaceChildren();
  const seen = shots.map((row) => ({ ...row, far: row.ahead / one, off: (row.right ?? 0) / one }));
  const top = Math.max(...seen.map((row) => row.far), day.limit / one) * 1.06;
  const low = Math.min(0, ...seen.map((row) => row.far));
  const wide = Math.max(1, ...seen.map((row) => Math.abs(row.off))) * 1.35;
  const W = 360, H = 520, LEFT = 54, FOOT = 40;
  const x = (off) => LEFT + ((off + wide) / (2 * wide)) * (W - LEFT - 12);
  const y = (far) => H - FOOT - ((far - low) / (top - low)) * (H - FOOT - 14);
  const ns = "http://www.w3.org/2000/svg";
  const draw = (tag, settings, words = "") => {
    const made = document.createElementNS(ns, tag);
    for (const [name, value] of Object.entries(settings)) made.setAttribute(name, value);
    made.textContent = words;
    return made;
  };
  const svg = draw("svg", { viewBox: `0 0 ${W} ${H}`, role: "img" });
  const across = step(2 * wide), ahead = step(top - low);
  for (let far = Math.ceil(low / ahead) * ahead; far <= top; far += ahead) {
    svg.append(draw("line", { x1: LEFT, x2: W - 12, y1: y(far), y2: y(far) }),
      draw("text", { x: LEFT - 6, y: y(far) + 4, "text-anchor": "end" }, `${+far.toPrecision(6)} ${unit}`));
  }
  for (let off = Math.ceil(-wide / across) * across; off <= wide; off += across) {
    svg.append(draw("line", { x1: x(off), x2: x(off), y1: y(low), y2: y(top) }),
      draw("text", { x: x(off), y: H - FOOT + 16, "text-anchor": "middle" }, `${Math.abs(+off.toPrecision(6))}`));
  }
  for (const [at, anchor, words] of [[LEFT, "start", "left"], [x(0), "middle", `side [${unit}]`], [W - 12, "end", "right"]]) {
    svg.append(draw("text", { x: at, y: H - 8, "text-anchor": anchor }, words));
  }
  svg.append(draw("line", { class: "limit", x1: LEFT, x2: W - 12, y1: y(day.limit / one), y2: y(day.limit / one) }),
    draw("text", { x: W - 14, y: y(day.limit / one) + 16, "text-anchor": "end" }, "end of the clear ground"));
  for (const row of seen) {
    svg.append(draw("circle", { class: row.right === null ? "on-line" : "shot", cx: x(row.off), cy: y(row.far), r: 7 }),
      draw("text", { x: x(row.off) + 9, y: y(row.far) + 4 }, `${row.number}`));
  }
  const fars = shots.map((row) => row.amounts.range);
  svg.setAttribute("aria-label", `${shots.length} shots of ${day.day}: ${fars.join(", ")}. ${groups().join(". ")}`);
  $("picture").append(svg, make("p", { textContent: `The machine stands at 0 ${unit} and throws up the page; the side is drawn larger than the distance. Struck shots are left out; a ring is one whose side was not seen.` }));
}

function measuring({ how, asked }) { // a place for what was measured in a step of proving
  const what = make("select", { ariaLabel: "What was measured" },
    ...asked.map(([words], k) => make("option", { value: k, textContent: words })));
  const value = make("input", { inputMode: "decimal", ariaLabel: "Measured", autocomplete: "off" });
  const said = make("p", { className: "wrong", role: "alert" });
  value.dataset.how = what.dataset.how = how;
  const box = make("form", { className: "measured", onsubmit: async (event) => {
    event.preventDefault();
    const [words, thing, unit] = asked[what.value], ways = waysOf(value.value);
    said.textContent = value.value.trim() ? "" : `${words}: write what was measured.`;
    if (said.textContent) return;
    if (ways.length) {
      const way = await ask(`${words}: ${value.value} can be read in two ways. Which is meant?`, ways);
      if (!way) return;
      value.value = way;
    }
    const id = hex(), written = value.value;
    value.value = "";
    try {
      await keep({ id, order: turn(), sent: { id, kind: "measured", how, thing, unit, value: written,
        author: form.elements.author.value, at: now() } });
    } catch (wrongly) {
      value.value = value.value || written;
      said.textContent = `This phone cannot keep it (${wrongly}). Write it on paper.`;
      return;
    }
    said.textContent = "";
    await showWaiting();
    wake();
    setTimeout(showChecks, 1500);
  } }, what, value, make("button", { textContent: "Note it" }));
  return make("div", {}, box, said);
}
async function showChecks() {
  const ticks = recall("ticks") || {};
  try {
    const { status, record } = await talk("/checks");
    if (status !== 200) return;
    $("checks-said").textContent = record.words;
    const made = JSON.stringify([record.lists, ticks]); // what is open stays so while newer ones are made
    const open = [...$("lists").querySelectorAll("details[open] summary")].map((one) => one.textContent);
    const typing = [...$("lists").querySelectorAll("[data-how]")].map((one) => [one.tagName, one.dataset.how, one.value]);
    if ($("lists").dataset.made !== made) $("lists").replaceChildren(...record.lists.map((list) => make("details", { open: open.includes(list.title) },
      make("summary", { textContent: list.title }), make("p", { textContent: `As measured so far: ${list.words}` }),
      ...list.lines.map((words) => {
        const key = `${list.title}: ${words}`;
        const box = make("input", { type: "checkbox", checked: Boolean(ticks[key]), onchange: () => {
          const all = recall("ticks") || {};
          if (box.checked) all[key] = now(); else delete all[key];
          remember("ticks", all);
        } });
        return make("label", { className: "tick" }, box, make("span", { textContent: words }));
      }), ...(list.asked?.length ? [measuring(list)] : []))));
    if ($("lists").dataset.made !== made) {
      for (const one of $("lists").querySelectorAll("[data-how]")) {
        const before = typing.find(([tag, how]) => tag === one.tagName && how === one.dataset.how);
        if (before) one.value = before[2];
      }
    }
    $("lists").dataset.made = made;
    if (record.working && !$("checks").hidden) setTimeout(showChecks, 1500);
  } catch {
    if (!$("lists").children.length) $("checks-said").textContent = "The lists come with the connection.";
  }
}
$("untick").onclick = () => { remember("ticks", {}); showChecks(); };

function show(part) {
  for (const one of document.querySelectorAll("main > section")) one.hidden = one.id !== part;
  for (const one of document.querySelectorAll("nav button")) {
    if (one.dataset.part === part) one.setAttribute("aria-current", "page");
    else one.removeAttribute("aria-current");
  }
  scrollTo(0, 0);
  if (part === "checks") showChecks();
}
document.querySelector("nav").onclick = (event) => { if (event.target.dataset.part) show(event.target.dataset.part); };
$("day").onchange = () => { asked = $("day").value; look(); };
addEventListener("online", () => wake());
document.addEventListener("visibilitychange", () => wake());

chips($("sides"), "side", SIDES);
chips($("outcomes"), "release_seen", OUTCOMES);
chips($("loads"), "load", [["another", "other"]]);
if (day) showDay();
const draft = recall("draft") || {};
for (const [name, value] of Object.entries(draft)) put(name, value);
if (!form.elements.author.value) form.elements.author.value = recall("author") || "";
$("other-load").hidden = form.elements.load.value !== "other";
show("shot");
if (recall("inside")) showPage(); else showGate();
if (/^#[0-9]{8}$/.test(location.hash)) {
  const code = location.hash.slice(1);
  history.replaceState(null, "", location.pathname);
  comeIn(code).finally(keepSending);
} else {
  look().finally(keepSending);
}

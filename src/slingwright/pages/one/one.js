// The tabs of the one page: a click shows a room at once, and asks the kernel for what is in it.

const LOOKS = [["large", "Large type", "Large type and thick lines, for a projector"],
  ["dark", "Dark", "Light signs on a dark ground"]];

function render({ model, el }) {
  const titles = model.get("titles");
  const list = document.createElement("div");
  list.className = "sw-tablist";
  list.setAttribute("role", "tablist");
  list.setAttribute("aria-label", "Parts");
  const looks = document.createElement("div");
  looks.className = "sw-looks";
  el.append(list);
  const inLab = !("voila" in document.body.dataset);
  const stamp = Math.random().toString(36).slice(2, 8);
  let frame = 0, root = null;

  const keep = (name, value) => { try { localStorage.setItem(`slingwright-${name}`, value); } catch { /* not kept */ } };
  const kept = (name) => { try { return localStorage.getItem(`slingwright-${name}`); } catch { return null; } };

  const tabs = titles.map((title, place) => {
    const tab = document.createElement("button");
    tab.type = "button";
    tab.className = "sw-tab";
    tab.id = `sw-tab-${stamp}-${place}`;
    tab.setAttribute("role", "tab");
    tab.textContent = title;
    tab.addEventListener("click", () => choose(place));
    list.append(tab);
    return tab;
  });
  list.addEventListener("keydown", (event) => {
    const now = model.get("chosen"), last = tabs.length - 1;
    const to = { ArrowRight: now === last ? 0 : now + 1, ArrowLeft: now === 0 ? last : now - 1, Home: 0, End: last }[event.key];
    if (to === undefined) return;
    event.preventDefault();
    choose(to);
    tabs[to].focus();
  });

  function choose(place) {
    if (place === model.get("chosen")) return;
    model.set("chosen", place);
    try { model.save_changes(); } catch { /* the kernel is gone, and the banner says so */ }
    show();
  }

  function show() {
    const now = model.get("chosen");
    tabs.forEach((tab, place) => {
      tab.setAttribute("aria-selected", String(place === now));
      tab.tabIndex = place === now ? 0 : -1;
    });
    if (!root) return;
    root.querySelectorAll(".sw-one-room").forEach((room, place) => {
      room.hidden = place !== now;
      room.id = `sw-room-${stamp}-${place}`;
      room.setAttribute("role", "tabpanel");
      room.setAttribute("aria-labelledby", tabs[place].id);
      room.tabIndex = 0;
      tabs[place].setAttribute("aria-controls", room.id);
    });
    if (!inLab) history.replaceState(null, "", `#${titles[now].toLowerCase().replace(/ /g, "-")}`);
  }

  function look(name, on) {
    const target = name === "dark" ? document.documentElement : root;
    target.classList.toggle(`sw-${name}`, on);
    if (name === "dark") document.body.dataset.jpThemeLight = String(!on);
    window.dispatchEvent(new Event("resize"));
  }

  function attach() {
    root = el.closest(".sw-one");
    if (!root) { frame = requestAnimationFrame(attach); return; }
    root.classList.toggle("sw-alone", !inLab);
    if (!inLab) root.setAttribute("role", "main");
    for (const [name, words, hint] of LOOKS) {
      if (name === "dark" && inLab) continue; // JupyterLab has a theme of its own
      const wished = kept(name) ?? String(name === "dark" && matchMedia("(prefers-color-scheme: dark)").matches);
      const press = document.createElement("button");
      press.type = "button";
      press.className = "sw-button";
      press.textContent = words;
      press.title = hint;
      press.setAttribute("aria-pressed", wished);
      look(name, wished === "true");
      press.addEventListener("click", () => {
        const on = press.getAttribute("aria-pressed") !== "true";
        press.setAttribute("aria-pressed", String(on));
        keep(name, String(on));
        look(name, on);
      });
      looks.append(press);
    }
    root.querySelector(".sw-one-tools").append(looks);
    show();
    const asked = titles.findIndex((title) => `#${title.toLowerCase().replace(/ /g, "-")}` === location.hash);
    if (!inLab && asked > 0) choose(asked);
  }
  attach();
  model.on("change:chosen", show);
  return () => { cancelAnimationFrame(frame); looks.remove(); model.off("change:chosen", show); };
}

export default { render };

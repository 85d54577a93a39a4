// What stands around a panel: keys stay in it, answers grey out at the touch of a control until the
// kernel has answered, and a banner says within a second that it does not.

const GLANCE = 70; // ms within which an answer comes before anyone could see it grey
const PATIENCE = 1000; // ms without an answer after which the banner comes
const BEAT = 5000; // ms between two questions to a page that nobody touches
const LATE = "The kernel does not answer. What is shown is from before your last change. Wait, or ";
const WAYS = ["restart it (menu Kernel) and run the page again.",
  "load this page again: what was written into the job is there."];

function render({ model, el }) {
  const banner = document.createElement("p");
  banner.className = "sw-guard-banner";
  banner.setAttribute("role", "alert");
  el.append(banner);
  const words = LATE + WAYS["voila" in document.body.dataset ? 1 : 0];
  let root = null, frame = 0, late = null, quiet = null, naming = null, gone = false, asked = 0, marked = false, soon = null;

  const answers = () => root.querySelectorAll(".sw-answer");
  const mark = (busy) => {
    clearTimeout(soon);
    soon = null;
    if (marked === busy) return;
    marked = busy;
    for (const one of answers()) one.setAttribute("aria-busy", String(busy));
  };
  function touch() {
    if (!marked) soon = soon || setTimeout(() => mark(true), GLANCE);
    late = late || setTimeout(tell, PATIENCE);
  }
  const tell = () => { mark(true); banner.textContent = words; };
  // A kernel that is gone is told of before anybody touches anything.
  const beat = setInterval(() => {
    if (document.hidden || late || quiet || !root) return;
    quiet = setTimeout(tell, 3 * PATIENCE);
    say();
  }, BEAT);
  function ask() {
    touch();
    say();
  }
  function say() {
    asked += 1;
    if (gone) return;
    try { model.send({ asked }); } catch (error) { gone = true; } // the kernel is gone
  }
  // A board of dials says itself when a change is on its way; the drag of a slider shows before.
  function touched(event) {
    if (!event.target.closest(".sw-dials")) ask();
    else if (event.target.type === "range") touch();
  }
  function heard(message) {
    if (message.answered < asked) return;
    clearTimeout(late);
    clearTimeout(quiet);
    late = quiet = null;
    if (banner.textContent) banner.textContent = "";
    mark(false);
  }
  function clicked(event) {
    if (event.target.closest("button, [role=button]")) ask();
  }
  // A field without a name of its own is named by its hint, a picture by its words.
  function name() {
    naming = null;
    for (const one of root.querySelectorAll("input, select, textarea, img")) {
      if (one.tagName === "IMG") {
        if (one.alt !== one.title) one.alt = one.title;
      } else if (![...one.labels || []].some((label) => label.textContent.trim()) && !one.getAttribute("aria-label")) {
        one.setAttribute("aria-label", one.title || one.placeholder || one.closest("[title]")?.title || "");
      }
    }
  }
  const grown = new MutationObserver(() => { naming = naming || setTimeout(name, 400); });
  const stay = (event) => event.stopPropagation();
  const events = [["input", touched], ["change", touched], ["sw-sent", ask], ["click", clicked],
    ["keydown", stay], ["keyup", stay], ["keypress", stay]];

  function attach() {
    root = el.closest(".sw-guarded");
    if (!root) { frame = requestAnimationFrame(attach); return; }
    // JupyterLab takes no shortcut from a key pressed in here.
    root.setAttribute("data-lm-suppress-shortcuts", "true");
    grown.observe(root, { childList: true, subtree: true });
    name();
    for (const [event, act] of events) root.addEventListener(event, act);
  }
  attach();
  model.on("msg:custom", heard);
  return () => {
    // The panel is taken away, or its kernel is: then it stays on the page, and is old from now on.
    gone = true;
    clearInterval(beat);
    clearTimeout(quiet);
    clearTimeout(naming);
    grown.disconnect();
    cancelAnimationFrame(frame);
    model.off("msg:custom", heard);
    setTimeout(() => { if (root && root.isConnected) ask(); }, 300);
  };
}

export default { render };

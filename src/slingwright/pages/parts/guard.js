// What stands around a panel: keys stay in it, answers grey out at the touch of a control until the
// kernel has answered, and a banner says within a second that it does not.

const GLANCE = 70; // ms within which an answer comes before anyone could see it grey
const PATIENCE = 1000; // ms without an answer after which the banner comes
const LATE = "The kernel does not answer. What is shown is from before your last change. Wait, or "
  + "restart it (menu Kernel) and run the page again.";

function render({ model, el }) {
  const banner = document.createElement("p");
  banner.className = "sw-guard-banner";
  banner.setAttribute("role", "alert");
  el.append(banner);
  let root = null, frame = 0, late = null, gone = false, asked = 0, marked = false, soon = null;

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
    late = late || setTimeout(() => { banner.textContent = LATE; }, PATIENCE);
  }
  function ask() {
    touch();
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
    late = null;
    if (banner.textContent) banner.textContent = "";
    mark(false);
  }
  function clicked(event) {
    if (event.target.closest("button, [role=button]")) ask();
  }
  const stay = (event) => event.stopPropagation();
  const events = [["input", touched], ["change", touched], ["sw-sent", ask], ["click", clicked],
    ["keydown", stay], ["keyup", stay], ["keypress", stay]];

  function attach() {
    root = el.closest(".sw-guarded");
    if (!root) { frame = requestAnimationFrame(attach); return; }
    // JupyterLab takes no shortcut from a key pressed in here.
    root.setAttribute("data-lm-suppress-shortcuts", "true");
    for (const [name, act] of events) root.addEventListener(name, act);
  }
  attach();
  model.on("msg:custom", heard);
  return () => {
    // The panel is taken away, or its kernel is: then it stays on the page, and is old from now on.
    gone = true;
    cancelAnimationFrame(frame);
    model.off("msg:custom", heard);
    setTimeout(() => { if (root && root.isConnected) ask(); }, 300);
  };
}

export default { render };

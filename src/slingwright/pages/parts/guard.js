// What stands around a panel: keys stay in it, answers grey out at the touch of a control until the
// kernel has answered, and a banner says within a second that it does not.

const PATIENCE = 1000; // ms without an answer after which the banner comes
const LATE = "The kernel does not answer. What is shown is from before your last change. Wait, or "
  + "restart it (menu Kernel) and run the page again.";

function render({ model, el }) {
  const banner = document.createElement("p");
  banner.className = "sw-guard-banner";
  banner.setAttribute("role", "alert");
  el.append(banner);
  let root = null, frame = 0, late = null, gone = false;

  const answers = () => root.querySelectorAll(".sw-answer");
  const mark = (busy) => {
    for (const one of answers()) one.setAttribute("aria-busy", String(busy));
  };
  function ask() {
    mark(true);
    late = late || setTimeout(() => { banner.textContent = LATE; }, PATIENCE);
    if (gone) return;
    model.set("asked", model.get("asked") + 1);
    model.save_changes();
  }
  function heard() {
    if (model.get("answered") < model.get("asked")) return;
    clearTimeout(late);
    late = null;
    banner.textContent = "";
    if (root) mark(false);
  }
  function clicked(event) {
    if (event.target.closest("button, [role=button]")) ask();
  }
  const stay = (event) => event.stopPropagation();
  const events = [["input", ask], ["change", ask], ["sw-sent", ask], ["click", clicked],
    ["keydown", stay], ["keyup", stay], ["keypress", stay]];

  function attach() {
    root = el.closest(".sw-guarded");
    if (!root) { frame = requestAnimationFrame(attach); return; }
    // JupyterLab takes no shortcut from a key pressed in here.
    root.setAttribute("data-lm-suppress-shortcuts", "true");
    for (const [name, act] of events) root.addEventListener(name, act);
  }
  attach();
  model.on("change:answered", heard);
  return () => {
    // The panel is taken away, or its kernel is: then it stays on the page, and is old from now on.
    gone = true;
    cancelAnimationFrame(frame);
    model.off("change:answered", heard);
    setTimeout(() => { if (root && root.isConnected) ask(); }, 300);
  };
}

export default { render };

"""What the browser tests of every page do and ask: run a page, wait, contrast, names, edges."""

import ast
import json
import time
from importlib import resources
from pathlib import Path

import pytest

SCAN = """async (root) => (await axe.run(root ? document.querySelector(root) : document, {runOnly: [
  "wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]})).violations
  .filter((one) => one.impact !== "minor" && !(root && one.id === "region"))
  .map((one) => `${one.id}: ${one.nodes.map((node) => node.html.slice(0, 120)).join(" ; ")}`)"""

LOUD = """(selector) => {
  const light = (text) => {
    const [r, g, b] = text.match(/[0-9.]+/g).slice(0, 3).map((v) => {
      const c = Number(v) / 255;
      return c <= 0.04045 ? c / 12.92 : Math.pow((c + 0.055) / 1.055, 2.4);
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const behind = (node) => {
    for (let at = node; at; at = at.parentElement) {
      const colour = getComputedStyle(at).backgroundColor;
      if (!/, 0\\)|transparent/.test(colour)) return colour;
    }
    return "rgb(255, 255, 255)";
  };
  const poor = [];
  let seen = 0;
  for (const node of document.querySelectorAll(selector)) {
    if (!node.textContent.trim() || !node.getClientRects().length) continue;
    seen += 1;
    const a = light(getComputedStyle(node).color), b = light(behind(node));
    const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
    if (ratio < 4.5) poor.push(`${node.textContent.slice(0, 40)}: ${ratio.toFixed(2)}`);
  }
  return [seen, poor];
}"""
NAMELESS = """(selector) => [...document.querySelectorAll(selector)]
  .filter((n) => n.type !== "file" && n.getClientRects().length && !n.getAttribute("aria-label")
    && !n.labels?.length && !n.title && !n.placeholder && !n.closest("label")
    && !(n.tagName === "BUTTON" && n.textContent.trim()))
  .map((n) => n.outerHTML.slice(0, 120))"""
OUTSIDE = """([root, selector]) => {
  const right = document.querySelector(root).getBoundingClientRect().right + 1;
  return [...document.querySelectorAll(selector)]
    .filter((n) => n.getClientRects().length && !n.closest("table table")
      && n.getBoundingClientRect().right > right)
    .map((n) => n.outerHTML.slice(0, 80));
}"""


def unusable(page, root: str | None = None) -> list[str]:
    """Give what axe-core finds of moderate weight and more, in the page or in a part of it.

    WCAG 2.2 A and AA and good practice, by Deque; a part of a page is no landmark of its own.
    """
    axe = pytest.importorskip("axe_playwright_python", reason="no axe-core to scan with")
    page.evaluate((resources.files(axe) / "axe.min.js").read_text("utf-8"))
    return page.evaluate(SCAN, root)


def panel_alone(folder: Path, notebook: str) -> str:
    """Write a notebook of the title and the panel of another, and of what the panel needs.

    The whole pages are run by nbval, without a browser.  Gives its name; one that is there stays.
    """
    name = notebook.replace(".ipynb", "_panel.ipynb")
    if (folder / name).exists():
        return name
    whole = json.loads((folder / notebook).read_text("utf-8"))
    code = [cell for cell in whole["cells"] if cell["cell_type"] == "code"]
    lines = ["".join(cell["source"]) for cell in code]
    at = next(i for i, text in enumerate(lines) if text == "panel" or text.startswith("sw.panels."))
    before, last, kept = code[:at], code[at], [lines[at]]
    wanted = names(ast.parse(kept[0]), ast.Load)
    for cell in reversed(before):
        text = "".join(cell["source"])
        for statement in reversed(ast.parse(text).body):
            if names(statement, ast.Store) & wanted:
                wanted |= names(statement, ast.Load)
                kept.insert(0, ast.get_source_segment(text, statement) or "")
    whole["cells"] = [whole["cells"][0], last | {"source": "\n".join(kept)}]
    (folder / name).write_text(json.dumps(whole), "utf-8")
    return name


def names(tree: ast.AST, use: type) -> set[str]:
    """Give the names that are read or set in a piece of code."""
    inside = list(ast.walk(tree))
    found = {one.id for one in inside if isinstance(one, ast.Name) and isinstance(one.ctx, use)}
    if use is ast.Store:
        found |= {(one.asname or one.name) for one in inside if isinstance(one, ast.alias)}
    return found


def run_page(page, server, notebook: str, *, ready: str, root: str, whole=False) -> list[str]:
    """Run a page's panel, or the whole page, wait for `ready`, show `root`; give the console's
    errors, which go on being added to."""
    page.set_viewport_size({"width": 1280, "height": 800})
    address = f"{server.url}/lab/tree/" + (
        notebook if whole else panel_alone(server.folder, notebook)
    )
    if page.url.startswith(address):
        choose(page, "Edit", "Clear Outputs of All Cells")
        page.wait_for_selector(root, state="detached")
    else:
        page.goto(f"{address}?reset")
    page.wait_for_selector("text=| Idle", timeout=120_000)
    page.said.clear()
    choose(page, "Run", "Run All Cells")
    page.wait_for_selector(ready, timeout=240_000)
    page.evaluate(f"document.querySelector('{root}').scrollIntoView()")
    page.wait_for_timeout(600)
    return page.said


def choose(page, menu: str, *items: str) -> None:
    """Choose from JupyterLab's menu."""
    page.click(f".lm-MenuBar-itemLabel:text-is('{menu}')")
    for one in items[:-1]:
        page.hover(f".lm-Menu-itemLabel:text-is('{one}')")
    page.click(f".lm-Menu-itemLabel:text-is('{items[-1]}')")


def use_theme(page, name: str) -> None:
    """Take JupyterLab's theme `Light` or `Dark`, and wait until the page has its colours."""
    choose(page, "Settings", "Theme", f"JupyterLab {name}")
    page.wait_for_function(
        """(dark) => {
          const ground = getComputedStyle(document.body).getPropertyValue("--jp-layout-color0");
          return ["#111111", "#111", "black"].includes(ground.trim()) === dark;
        }""",
        arg=name == "Dark",
    )
    page.wait_for_timeout(400)  # colours that go over slowly


def wait_until(page, holds, seconds: float = 15.0) -> None:
    """Wait until something holds."""
    end = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < end, "the page stayed as it was"
        page.wait_for_timeout(30)


def settled(page, root: str, still: float = 0.8, seconds: float = 15.0) -> str:
    """Wait until the words of a part have stayed the same for a while [s]; give them."""
    words, since, end = page.inner_text(root), time.monotonic(), time.monotonic() + seconds
    while time.monotonic() - since < still:
        assert time.monotonic() < end, "the page does not come to rest"
        page.wait_for_timeout(50)
        if (now := page.inner_text(root)) != words:
            words, since = now, time.monotonic()
    return words


def poor_contrast(page, selector: str, at_least: int = 10) -> list[str]:
    """Give what is written too faintly (WCAG 2.2, 1.4.3: 4.5 to 1); something must be there."""
    seen, poor = page.evaluate(LOUD, selector)
    assert seen > at_least, f"{selector} finds {seen} texts only"
    return poor


def nameless(page, selector: str) -> list[str]:
    """Give what has no name for those who do not see it (WAI-ARIA 1.2)."""
    return page.evaluate(NAMELESS, selector)


def sticking_out(page, root: str, selector: str) -> list[str]:
    """Give what stands out of the page to the right."""
    return page.evaluate(OUTSIDE, [root, selector])

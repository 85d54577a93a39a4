"""How fast `will it hold` answers: all load cases and checks of a machine, and the page.

First, in one process: everything that the page asks for after a dial moved, on every machine of the
kit, once warm. Limit: 100 ms, the median of a dial's moves. The processor's own time stands beside
it, which other work on the same computer does not lengthen.

Then in a real browser: from a key pressed on a dial to the last of what it changes, the four
pictures and the table of checks, against the bench with its four live pictures on the same page,
pressed in turn. Limit: twice the bench's median.

    python tests/benchmarks/holding_speed.py
"""

import os
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "src")]

import nbformat  # noqa: E402
from benchmarks.shared.results_file import as_table, keep, median, verdict  # noqa: E402
from conftest import CHROMIUM, CHROMIUM_FLAGS, start_jupyter, stop_server  # noqa: E402

import slingwright as sw  # noqa: E402
from slingwright.strength.checks import holding  # noqa: E402

MACHINES = ("otter_ford", "garden", "hinged_pair", "fixed_pair", "on_wheels")
DIALS = ("counterweight.mass", "axle.diameter", "frame.spread", "arm.depth_at_axle")
MOVES, PRESSES = 15, 24
LIMIT_MS, LIMIT_RATIO = 100.0, 2.0
WIDTHS = (1280, 1920)
PAGE = """\
import ipywidgets
from slingwright.pages import Bench
from slingwright.pages.holding.page import HoldingBench
bench, holding = Bench("otter_ford"), HoldingBench("otter_ford")
bench.widget.add_class("timed-bench")
holding.widget.add_class("timed-holding")
ipywidgets.VBox([bench.widget, holding.widget])
"""
# Starts at the key; stops when everything that shows a revision shows a new one.
CLOCK = """\
() => {
  window.swTimes = {};
  let pressed = 0;
  document.addEventListener("keydown", () => { pressed = performance.now(); window.swTimes = {}; },
    true);
  const parts = { bench: ".timed-bench .sw-pictures canvas",
    holding: ".timed-holding .sw-hold-at-pictures canvas, .timed-holding .sw-hold-table" };
  const counts = {};
  for (const [name, selector] of Object.entries(parts)) {
    const shown = [...document.querySelectorAll(selector)];
    counts[name] = shown.length;
    let revision = "", seen = new Set();
    const watcher = new MutationObserver((changes) => {
      for (const { target } of changes) {
        if (target.dataset.drawn !== revision) { revision = target.dataset.drawn; seen.clear(); }
        seen.add(target);
      }
      if (seen.size === shown.length) window.swTimes[name] = performance.now() - pressed;
    });
    for (const one of shown) {
      watcher.observe(one, { attributes: true, attributeFilter: ["data-drawn"] });
    }
  }
  return counts;
}
"""


def checks_of(name: str) -> list[tuple[str, list[float], list[float]]]:
    """Time the checks of a machine after moves of a few dials, by clock and by processor [ms]."""
    machine = sw.read_machine(sw.data_folder() / f"{name}.toml")
    holding(machine)
    found = []
    for path in DIALS:
        times, worked = [], []
        for move in range(MOVES + 1):
            changed = machine.change({path: machine.number(path) * (1.0 + 1e-3 * (move + 1))})
            start, busy = time.perf_counter(), time.thread_time()
            told = holding(changed)
            times.append(1e3 * (time.perf_counter() - start))
            worked.append(1e3 * (time.thread_time() - busy))
            assert len(told.checks) > 30
        found.append((path, times[1:], worked[1:]))
    return found


def press(page, part: str, key: str) -> float:
    """Press a key on a part's dial; give the milliseconds until all of that part was new."""
    page.focus(f".timed-{part} input[type=range][data-path='counterweight.mass']")
    time.sleep(1.2)  # past the clearance, which is looked for while the dials rest
    page.keyboard.press(key)
    page.wait_for_function(f"() => window.swTimes.{part} !== undefined", timeout=20_000)
    return float(page.evaluate(f"() => window.swTimes.{part}"))


def pages() -> list[tuple[int, dict[str, list[float]]]]:
    """Press keys in turn on the bench and on the page of checks, at each width."""
    from playwright.sync_api import sync_playwright

    found = []
    with tempfile.TemporaryDirectory(prefix="slingwright-holding-") as name:
        folder = Path(name) / "pages"
        folder.mkdir()
        kernel = {"name": "python3", "display_name": "Python 3 (ipykernel)", "language": "python"}
        book = nbformat.v4.new_notebook(metadata={"kernelspec": kernel})
        book.cells.append(nbformat.v4.new_code_cell(PAGE))
        nbformat.write(book, folder / "latency.ipynb")
        os.environ["PYTHONPATH"] = str(ROOT / "src")
        server, process = start_jupyter(folder, Path(name) / "home", None)
        try:
            with sync_playwright() as playwright:
                browser = playwright.chromium.launch(executable_path=CHROMIUM, args=CHROMIUM_FLAGS)
                for width in WIDTHS:
                    page = browser.new_page(viewport={"width": width, "height": 1100})
                    page.goto(f"{server.url}/lab/tree/latency.ipynb?reset")
                    page.wait_for_selector("text=| Idle", timeout=120_000)
                    page.click(".lm-MenuBar-itemLabel:text-is('Run')")
                    page.click(".lm-Menu-itemLabel:text-is('Run All Cells')")
                    page.wait_for_selector(".timed-holding canvas[data-drawn]", timeout=120_000)
                    time.sleep(4.0)
                    assert page.evaluate(CLOCK) == {"bench": 4, "holding": 5}
                    times: dict[str, list[float]] = {"bench": [], "holding": []}
                    for turn in range(PRESSES + 3):
                        key = "ArrowRight" if turn % 8 < 4 else "ArrowLeft"
                        for part in times:
                            one = press(page, part, key)
                            if turn >= 3:  # the first presses warm the page up
                                times[part].append(one)
                    found.append((width, times))
                    page.close()
                browser.close()
        finally:
            stop_server(process)
    return found


def main() -> int:
    """Measure, print the tables, keep them; the exit code tells whether the limits hold."""
    rows, slowest = [], 0.0
    for name in MACHINES:
        for path, times, worked in checks_of(name):
            slowest = max(slowest, median(times))
            rows.append((name, path, f"{median(times):.1f}", f"{min(times):.1f}",
                         f"{max(times):.1f}", f"{median(worked):.1f}"))  # fmt: skip
    heads = ("machine", "dial moved", "median ms", "least ms", "most ms", "processor ms")
    lines = as_table(heads, rows)
    told = [verdict("slowest median of load cases and checks, ms", slowest, LIMIT_MS, at_most=True)]
    rows = []
    for width, times in pages():
        for part, one in times.items():
            rows.append((f"{width} px wide", part, f"{median(one):.1f}", f"{min(one):.1f}",
                         f"{max(one):.1f}"))  # fmt: skip
        ratio = median(times["holding"]) / median(times["bench"])
        told.append(verdict(f"page over bench at {width} px", ratio, LIMIT_RATIO, at_most=True))
    lines += ["", *as_table(("page", "part", "median ms", "least ms", "most ms"), rows), ""]
    keep("holding_speed", "Load cases and checks: computed, and on the page",
         [*lines, *(words for words, _ in told)], ("numpy", "numba", "PyNiteFEA"))  # fmt: skip
    return 0 if all(kept for _, kept in told) else 1


if __name__ == "__main__":
    raise SystemExit(main())

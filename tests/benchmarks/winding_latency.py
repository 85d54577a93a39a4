"""From a key pressed on a dial of the winding page to the last of its pictures, in a real browser.

Truth: the same measurement on a bare slider with a bare label on the same page, taken in turn, as
in `slider_latency`. All pictures of the page together may take 1.6 times as long. Two dials are
pressed: the drum, which leaves the throw as it is, and the weight, which does not.

    python tests/benchmarks/winding_latency.py
"""

import os
import platform
import statistics
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent)]

import nbformat  # noqa: E402
from conftest import CHROMIUM, CHROMIUM_FLAGS, start_jupyter, stop_server  # noqa: E402
from slider_latency import LIMIT, PIXELS, PRESSES, press  # noqa: E402

PAGE = """\
import ipywidgets
from slingwright.pages.winding.page import WindingBench
bare, label = ipywidgets.FloatSlider(value=5.0, min=1.0, max=200.0, step=0.1), ipywidgets.Label("5")
bare.add_class("bare-slider")
label.add_class("bare-label")
bare.observe(lambda change: setattr(label, "value", f"{change['new']:.1f}"), names="value")
bench = WindingBench("otter_ford")
ipywidgets.VBox([bare, label, bench.widget])
"""
# Starts the clock at the key, stops it when the text, or the last of the pictures that the dial
# changes, has changed.
CLOCK = """\
() => {
  window.swTimes = {};
  const label = document.querySelector(".bare-label");
  const pictures = [...document.querySelectorAll(".sw-pictures canvas")];
  window.swWanted = pictures.map((canvas) => canvas.dataset.picture);
  let pressed = 0, seen = new Set();
  const start = () => { pressed = performance.now(); window.swTimes = {}; seen = new Set(); };
  document.addEventListener("keydown", start, true);
  new MutationObserver(() => { window.swTimes.label = performance.now() - pressed; })
    .observe(label, { childList: true, characterData: true, subtree: true });
  const watcher = new MutationObserver((changes) => {
    for (const { target } of changes) seen.add(target.dataset.picture);
    if (window.swWanted.every((key) => seen.has(key))) {
      window.swTimes.pictures = performance.now() - pressed;
    }
  });
  for (const canvas of pictures) {
    watcher.observe(canvas, { attributes: true, attributeFilter: ["data-drawn"] });
  }
  return window.swWanted;
}
"""
CHANGED = """(before) => [...document.querySelectorAll('.sw-pictures canvas')]
  .filter((canvas, i) => canvas.toDataURL() !== before[i]).map((c) => c.dataset.picture)"""
DIALS = ("winch.drum", "counterweight.mass")
RESULTS = HERE / "results" / "winding_latency.txt"


def write_page(folder: Path) -> None:
    """Write the page that is measured."""
    page = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(PAGE)])
    page.metadata["kernelspec"] = {
        "name": "python3",
        "display_name": "Python 3 (ipykernel)",
        "language": "python",
    }
    nbformat.write(page, folder / "latency.ipynb")


def measure(url: str) -> dict[str, list[float]]:
    """Open the page, run it, and press keys in turn on the bare slider and on the dials."""
    from playwright.sync_api import sync_playwright

    times: dict[str, list[float]] = {"label": [], **{dial: [] for dial in DIALS}}
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=CHROMIUM_FLAGS)
        page = browser.new_page(viewport={"width": 1280, "height": 1100})
        page.goto(f"{url}/lab/tree/latency.ipynb?reset")
        page.wait_for_selector("text=| Idle", timeout=120_000)
        page.click(".lm-MenuBar-itemLabel:text-is('Run')")
        page.click(".lm-Menu-itemLabel:text-is('Run All Cells')")
        page.wait_for_selector(".sw-wind canvas[data-drawn]", timeout=240_000)
        time.sleep(3.0)
        assert len(page.evaluate(CLOCK)) >= 8, "the page shows its live pictures"
        wanted: dict[str, list[str]] = {}
        for dial in DIALS:
            page.focus(f"input[type=range][data-path='{dial}']")
            before = page.evaluate(PIXELS)
            page.keyboard.press("ArrowRight")
            time.sleep(1.0)
            wanted[dial] = page.evaluate(CHANGED, before)
            print(f"{dial} changes {', '.join(wanted[dial])}")
            assert len(wanted[dial]) >= 4, "the dial changes what is seen"
        for turn in range(PRESSES + 3):
            key = "ArrowRight" if turn % 8 < 4 else "ArrowLeft"
            found = {"label": press(page, ".bare-slider .noUi-handle", "label", "ArrowRight")}
            for dial in DIALS:
                slider = f"input[type=range][data-path='{dial}']"
                before = page.input_value(slider)
                page.evaluate("(keys) => { window.swWanted = keys; }", wanted[dial])
                found[dial] = press(page, slider, "pictures", key)
                assert page.input_value(slider) != before, f"{dial} did not move"
            if turn >= 3:  # the first presses warm the page up
                for what, one in found.items():
                    times[what].append(one)
        browser.close()
    return times


def main() -> int:
    """Measure, print the table, keep it; the exit code tells whether the limit holds."""
    with tempfile.TemporaryDirectory(prefix="slingwright-latency-") as name:
        folder = Path(name) / "pages"
        folder.mkdir()
        write_page(folder)
        os.environ["PYTHONPATH"] = str(HERE.parents[1] / "src")
        server, process = start_jupyter(folder, Path(name) / "home", None)
        try:
            times = measure(server.url)
        finally:
            stop_server(process)
    bare = statistics.median(times["label"])
    lines = [
        "key press to the last picture of the winding page, JupyterLab in Chromium",
        f"{platform.platform()}, {os.cpu_count()} cores, Python {platform.python_version()}",
        f"{PRESSES} presses each; load average {os.getloadavg()[0]:.1f} while measuring",
        f"{'what':<20}{'median ms':>12}{'least ms':>12}{'most ms':>12}{'ratio':>8}",
    ]
    worst = 0.0
    for what, found in times.items():
        middle = statistics.median(found)
        worst = max(worst, middle / bare)
        lines.append(
            f"{what:<20}{middle:>12.1f}{min(found):>12.1f}{max(found):>12.1f}{middle / bare:>8.2f}"
        )
    verdict = "holds" if worst <= LIMIT else "BROKEN"
    lines.append(f"worst ratio {worst:.2f}, limit {LIMIT}: {verdict}")
    print("\n".join(lines))
    RESULTS.parent.mkdir(exist_ok=True)
    RESULTS.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return 0 if worst <= LIMIT else 1


if __name__ == "__main__":
    raise SystemExit(main())

"""Keys pressed in a panel stay in it: the notebook around it keeps its cells.

Truth: the notebook's cells before and after, in the page and in the saved file; JupyterLab's own
shortcuts in command mode: x cuts a cell, d d deletes, m, r, a, b change or add one, 0 0 restarts.
"""

import json

import pytest
from browser.shared.looks import choose, run_page, wait_until

pytestmark = pytest.mark.browser

KEYS = ["x", "d", "d", "m", "r", "a", "b", "0", "0", "c", "v", "z", "Shift+M", "ArrowRight"]
KEYS += ["ArrowUp", "ArrowDown", "Enter", "Shift+Enter", "Escape", "x", "d", "d", "m"]
PLACES = {
    "slider": ".sw-bench input[type=range][data-path='sling.length']",
    "button": ".sw-bench .sw-at-tools button:has-text('Keep')",
    "picture": ".sw-bench .sw-at-player [tabindex='0']",
}
CELLS = "() => document.querySelectorAll('.jp-Notebook .jp-Cell').length"


@pytest.mark.parametrize("place", PLACES)
def test_keys_on_the_bench_leave_the_notebook_alone(
    page, jupyter_server, notebook_copy, place
) -> None:
    """Truth: see above."""
    file = notebook_copy / "01_bench.ipynb"
    before = [cell["source"] for cell in json.loads(file.read_text("utf-8"))["cells"]]
    run_page(
        page, jupyter_server, "01_bench.ipynb", ready=PLACES[place], root=".sw-bench", whole=True
    )
    shown = page.evaluate(CELLS)
    page.locator(PLACES[place]).first.focus()
    for key in KEYS:
        page.keyboard.press(key)
        inside = page.evaluate("() => !!document.activeElement.closest('.sw-guarded')")
        assert inside, f"after {key} the focus is outside the panel"
    page.click(PLACES[place])
    for key in KEYS:
        page.keyboard.press(key)
    assert page.evaluate(CELLS) == shown
    assert page.locator(".jp-Dialog").count() == 0
    written = file.stat().st_mtime_ns
    choose(page, "File", "Save Notebook")
    wait_until(page, lambda: file.stat().st_mtime_ns != written)
    page.wait_for_timeout(200)  # until all of it is written
    after = [cell["source"] for cell in json.loads(file.read_text("utf-8"))["cells"]]
    assert ["".join(one) for one in after] == ["".join(one) for one in before]

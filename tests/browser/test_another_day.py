"""The second day with a page: what was entered is there, the file is as it came, nothing is dead.

Truth: the notebook's file and the page's own words before and after a save, a reload and a new
kernel.
"""

import json
import re

import pytest
from browser.shared.looks import choose, panel_alone, run_page, wait_until

pytestmark = pytest.mark.browser

PLACE = ".sw-log-place p"


def open_page(page, server) -> int:
    """Run page 05 and give the number of entries of its log."""
    run_page(page, server, "05_field_day.ipynb", ready=PLACE, root=".sw-log")
    return int(re.search(r"([0-9]+) entr", page.inner_text(PLACE))[1])


def test_a_shot_outlives_the_page_and_the_file_stays_clean(
    page, jupyter_server, notebook_copy
) -> None:
    """Truth: see above."""
    file = notebook_copy / panel_alone(notebook_copy, "05_field_day.ipynb")
    first = json.loads(file.read_text("utf-8"))
    before = open_page(page, jupyter_server)
    box = ".sw-log .widget-inline-hbox:has(.widget-label:text-is('Range [m]')) input"
    page.fill(box, "101.5")
    page.keyboard.press("Tab")
    page.click(".sw-log button:has-text('Write shot')")
    page.wait_for_selector(".sw-said:has-text('shot written')", timeout=30_000)
    written = file.stat().st_mtime_ns
    choose(page, "File", "Save Notebook")
    wait_until(page, lambda: file.stat().st_mtime_ns != written)
    page.wait_for_timeout(200)  # until all of it is written
    saved = json.loads(file.read_text("utf-8"))
    code = [cell for cell in saved["cells"] if cell["cell_type"] == "code"]
    assert not any(cell["outputs"] or cell["execution_count"] for cell in code)
    assert "widgets" not in saved["metadata"]
    sources = [["".join(cell["source"]) for cell in one["cells"]] for one in (first, saved)]
    assert sources[0] == sources[1]
    # the next day: the page is opened again, and nothing on it is dead
    choose(page, "Kernel", "Shut Down All Kernels…")
    page.click("button:has-text('Shut Down All')")
    page.goto(f"{jupyter_server.url}/lab/tree/{file.name}?reset")
    page.wait_for_selector("text=What do the shots show", timeout=60_000, state="attached")
    assert page.locator("text=model not found").count() == 0
    assert open_page(page, jupyter_server) == before + 1

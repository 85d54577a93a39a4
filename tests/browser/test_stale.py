"""Answers of a kernel that does not answer are seen to be old.

Truth: the kernel is stopped (SIGSTOP) or killed from outside; WAI-ARIA 1.2: aria-busy for what is
being updated, role alert for what must be told at once.
"""

import contextlib
import json
import os
import signal
import urllib.request
from pathlib import Path

import pytest
from browser.shared.looks import run_page, settled, unusable

pytestmark = pytest.mark.browser

PAGES = {
    "01_bench": (".sw-bench", "sling.length"),
    "02_will_it_hold": (".sw-hold", "axle.diameter"),
    "03_winding_it_down": (".sw-wind", "winch.drum"),
    "07_where_to_stand": (".sw-bench", "sling.length"),
}
BUSY = "() => [...document.querySelectorAll('.sw-answer')].map((n) => n.getAttribute('aria-busy'))"
FAINT = """() => Math.max(...[...document.querySelectorAll('.sw-answer')]
  .map((n) => +getComputedStyle(n).opacity))"""
BANNER = "() => document.querySelector('.sw-guard-banner').textContent"


def kernel_processes(server, most: int | None = None) -> list[int]:
    """Give the processes of the kernels of a server, or of so many that were last at work."""
    with urllib.request.urlopen(f"{server.url}/api/kernels") as answer:
        known = sorted(json.loads(answer.read()), key=lambda one: one["last_activity"])
    kernels = [one["id"] for one in known[::-1][:most]]
    found = []
    for place in Path("/proc").glob("[0-9]*/cmdline"):
        with contextlib.suppress(OSError):
            words = place.read_bytes().decode("utf-8", "replace")
            if any(one in words for one in kernels):
                found.append(int(place.parent.name))
    assert len(found) >= len(kernels) > 0, "no process of a kernel"
    return found


@pytest.mark.parametrize("name", PAGES)
def test_answers_of_a_stopped_kernel_grey_out_and_come_back(page, jupyter_server, name) -> None:
    """Truth: see above; once the kernel goes on, the answer comes and is no longer grey."""
    root, path = PAGES[name]
    slider = f"{root} input[type=range][data-path='{path}']"
    run_page(page, jupyter_server, f"{name}.ipynb", ready=slider, root=root)
    before = settled(page, root)
    kernels = kernel_processes(jupyter_server)
    for process in kernels:
        os.kill(process, signal.SIGSTOP)
    try:
        page.locator(slider).first.focus()
        page.keyboard.press("ArrowRight")
        page.wait_for_function(f"() => ({BUSY})().every((one) => one === 'true')", timeout=900)
        assert page.evaluate(BUSY) and page.evaluate(BANNER) == ""
        page.wait_for_timeout(1100)
        assert "does not answer" in page.evaluate(BANNER)
        assert page.evaluate(FAINT) < 0.5
    finally:
        for process in kernels:
            os.kill(process, signal.SIGCONT)
    page.wait_for_function("() => !document.querySelector('[aria-busy=\"true\"].sw-answer')")
    page.wait_for_function(f"() => ({FAINT})() > 0.99")
    assert page.evaluate(BANNER) == ""
    assert page.inner_text(root) != before
    assert unusable(page, ".sw-guarded") == []


def test_answers_of_a_dead_kernel_stay_grey(page, jupyter_server) -> None:
    """Truth: nothing can come from a process that is gone."""
    root, path = PAGES["07_where_to_stand"]
    slider = f"{root} input[type=range][data-path='{path}']"
    run_page(page, jupyter_server, "07_where_to_stand.ipynb", ready=slider, root=root)
    settled(page, root)
    for process in kernel_processes(jupyter_server, most=1):
        os.kill(process, signal.SIGKILL)
    page.wait_for_timeout(2000)
    if page.locator(".jp-Dialog").count():
        page.click(".jp-Dialog button.jp-mod-accept")
    page.locator(slider).first.focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_timeout(1400)
    assert "does not answer" in page.evaluate(BANNER) and set(page.evaluate(BUSY)) == {"true"}

"""The winding page in a real browser: by key and by typing, in the dark theme, small and wide.

Truth: the pixels and the words before and after; WAI-ARIA 1.2 for names; WCAG 2.2, 1.4.3, for
contrast; nothing in the browser's console.
"""

import pytest
from browser.shared.looks import (
    nameless,
    poor_contrast,
    run_page,
    sticking_out,
    use_theme,
    wait_until,
)

pytestmark = pytest.mark.browser

PIXELS = "() => [...document.querySelectorAll('.sw-wind canvas')].map((c) => c.toDataURL())"
DRUM = "input[type=range][data-path='winch.drum']"
WRITTEN = ", ".join(
    f".sw-wind {what}" for what in ("td", "th", "li", ".sw-number", ".sw-name", "p")
)
NAMED = ", ".join(f".sw-wind {what}" for what in ("canvas", "input", "select"))
PLACED = ", ".join(f".sw-wind {what}" for what in ("canvas", "table", ".sw-reading"))


def open_page(page, server) -> list[str]:
    """Open the page and run it; give what the console said."""
    ready = "canvas[data-picture='trace'][data-drawn]"
    return run_page(page, server, "03_winding_it_down.ipynb", ready=ready, root=".sw-wind")


def reading(page, key: str) -> str:
    return page.inner_text(f".sw-wind .sw-reading[data-key='{key}'] .sw-number")


def test_winding_page_in_jupyterlab(page, jupyter_server) -> None:
    """Truth: a drum moved by key changes force, time and pictures, and Undo gives them back."""
    errors = open_page(page, jupyter_server)
    force, pixels = reading(page, "force"), page.evaluate(PIXELS)
    assert len(pixels) == 11 and force.endswith(" N")
    page.focus(DRUM)
    for _ in range(5):
        page.keyboard.press("ArrowLeft")
        page.wait_for_timeout(60)
    wait_until(page, lambda: reading(page, "force") != force)
    page.wait_for_timeout(500)
    assert float(reading(page, "force").split()[0]) < float(force.split()[0])
    now = page.evaluate(PIXELS)
    assert [a != b for a, b in zip(pixels, now, strict=True)].count(True) >= 4
    page.click(".sw-wind button:has-text('Undo')")
    wait_until(page, lambda: reading(page, "force") == force)

    page.click(".sw-wind summary:has-text('Crew and time')")
    share = "input[type=range][data-path='crew.gear_efficiency']"
    page.focus(share)
    page.keyboard.press("ArrowLeft")
    wait_until(page, lambda: reading(page, "force") != force)
    page.click(".sw-wind button:has-text('Undo')")
    wait_until(page, lambda: reading(page, "force") == force)
    wait_until(page, lambda: page.input_value(share) == "0.95")

    page.click(".sw-wind summary:has-text('Ratings (empty')")
    box = "input.sw-typed[data-path='mark.hook_rating']"
    page.wait_for_selector(box)
    assert page.locator(".sw-wind td:has-text('not known')").count() >= 1
    page.fill(box, "3.4 kN")
    page.keyboard.press("Enter")
    row = ".sw-wind tr:has(th:text-is('hook that holds the arm'))"
    wait_until(page, lambda: "holds" in page.inner_text(row))
    page.fill(box, "a few")
    page.keyboard.press("Enter")
    wait_until(page, lambda: page.locator(".sw-wind .sw-wrong").count() == 1)

    page.click(".sw-wind button:has-text('US')")
    wait_until(page, lambda: reading(page, "force").endswith(" lbf"))
    assert nameless(page, NAMED) == []
    assert [one for one in errors if "slingwright" in one or "widget" in one.lower()] == []


TRACE = "time;pull at the drum\n" + "".join(f"{k};{80 + (k % 7)}\n" for k in range(60))


def test_trace_is_opened_on_the_page(page, jupyter_server) -> None:
    """Truth: the file above: no unit, no trace; then some 86 kgf at most, told on the page."""
    open_page(page, jupyter_server)
    told = ".sw-wind-trace p"
    file = {"name": "<b>cell.csv", "mimeType": "text/csv", "buffer": TRACE.encode()}
    with page.expect_file_chooser() as chooser:
        page.click(".sw-wind-trace button:has-text('Open a trace')")
    chooser.value.set_files(file)
    wait_until(page, lambda: "is open: choose" in page.inner_text(told))
    assert "<b>cell.csv" in page.inner_text(told)
    page.click(".sw-wind-trace button:has-text('Compare with prediction')")
    wait_until(page, lambda: page.locator("text=unit of time is not said").count() > 0)
    units = page.locator(".sw-wind-trace select")
    units.nth(1).select_option("s")
    units.nth(3).select_option("kgf")
    page.click(".sw-wind-trace button:has-text('Compare with prediction')")
    wait_until(page, lambda: "measured peak 843 N" in page.inner_text(told))
    assert "60 samples over 59 s" in page.inner_text(told)
    page.click(".sw-wind-trace button:has-text('Remove')")
    wait_until(page, lambda: "No trace yet" in page.inner_text(told))


def test_winding_page_can_be_read(page, jupyter_server) -> None:
    """Truth: WCAG 2.2 asks 4.5 to 1 for text; nothing stands outside the panel."""
    open_page(page, jupyter_server)
    for width, theme in ((1280, "Light"), (1920, "Dark")):
        page.set_viewport_size({"width": width, "height": 1000})
        use_theme(page, theme)
        assert poor_contrast(page, WRITTEN) == []
        assert sticking_out(page, ".sw-wind", PLACED) == []
    use_theme(page, "Light")  # the server keeps the theme for the pages after this one
    first = page.inner_text(".sw-wind > :first-child")
    assert "Caution" in first and "raised counterweight" in first

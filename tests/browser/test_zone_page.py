"""The page `where to stand` in a real browser.

Truth: the pixels and the words before and after; nothing in the browser's console; nothing sticks
out of the page.
"""

import time

import pytest

pytestmark = pytest.mark.browser

PIXELS = "() => [...document.querySelectorAll('.sw-bench canvas')].map((c) => c.toDataURL())"
WEIGHT = "input[type=range][data-path='counterweight.mass']"
WORDS = ".sw-at-readouts strong"


def wait_until(page, holds) -> None:
    """Wait until something holds, ten seconds at most."""
    end = time.monotonic() + 10.0
    while not holds():
        assert time.monotonic() < end, "the page stayed as it was"
        page.wait_for_timeout(30)


def test_heavier_weight_reaches_past_the_meadow(page, jupyter_server) -> None:
    """Truth: 700 kg throw the small ball past 220 m; Undo gives back words and pictures."""
    errors: list[str] = []
    page.on("console", lambda one: errors.append(one.text) if one.type == "error" else None)
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(f"{jupyter_server.url}/lab/tree/07_where_to_stand.ipynb?reset")
    page.wait_for_selector("text=| Idle", timeout=120_000)
    page.click(".lm-MenuBar-itemLabel:text-is('Run')")
    page.click(".lm-Menu-itemLabel:text-is('Run All Cells')")
    page.wait_for_selector("canvas[data-picture='moments'][data-drawn]", timeout=240_000)
    page.evaluate("document.querySelector('.sw-bench').scrollIntoView()")
    page.wait_for_timeout(600)
    first, pixels = page.inner_text(WORDS), page.evaluate(PIXELS)
    assert len(pixels) == 3 and "173 m behind" in first and "keep the ground beyond" in first

    page.fill("input.sw-typed[data-path='counterweight.mass']", "700 kg")
    page.press("input.sw-typed[data-path='counterweight.mass']", "Enter")
    wait_until(page, lambda: "do not loose it so" in page.inner_text(WORDS))
    page.wait_for_timeout(500)
    assert all(a != b for a, b in zip(pixels, page.evaluate(PIXELS), strict=True))
    page.click("button:has-text('Undo')")
    wait_until(page, lambda: page.inner_text(WORDS) == first)
    page.wait_for_timeout(500)
    assert page.evaluate(PIXELS) == pixels

    page.focus(WEIGHT)
    page.keyboard.press("ArrowRight")
    wait_until(page, lambda: page.inner_text(WORDS) != first)
    for wide in (1280, 1920):
        page.set_viewport_size({"width": wide, "height": 900})
        page.wait_for_timeout(500)
        outside = page.evaluate(
            """() => {
              const right = document.querySelector(".sw-bench").getBoundingClientRect().right + 1;
              return [...document.querySelectorAll(".sw-bench :is(canvas, table, p)")]
                .filter((n) => n.getBoundingClientRect().right > right)
                .map((n) => n.outerHTML.slice(0, 80));
            }"""
        )
        assert outside == []
    labels = page.eval_on_selector_all(
        ".sw-bench canvas", "all => all.map((c) => c.getAttribute('aria-label'))"
    )
    assert all(len(words) > 30 for words in labels)
    assert errors == []

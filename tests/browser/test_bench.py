"""The bench in a real browser: moved by key, by drag and by typing, played, heard, on a phone.

Truth: the pixels and the words before and after; WAI-ARIA 1.2 for names; nothing in the browser's
console.
"""

import re
import time

import pytest
from browser.shared.looks import run_page

pytestmark = pytest.mark.browser

PIXELS = "() => [...document.querySelectorAll('.sw-pictures canvas')].map((c) => c.toDataURL())"
SLING = "input[type=range][data-path='sling.length']"
TYPED = "input.sw-typed[data-path='sling.length']"


def open_bench(page, server) -> list[str]:
    """Open the start page and run it; give what the console said."""
    ready = ".sw-pictures canvas[data-drawn]"
    errors = run_page(page, server, "00_start.ipynb", ready=ready, root=".sw-benchroom", whole=True)
    page.wait_for_selector(".sw-filmline:has-text('axle load')", timeout=60_000)
    return errors


def reading(page, key) -> str:
    return page.inner_text(f".sw-reading[data-key='{key}'] .sw-number")


def wait_for_change(page, key, before) -> str:
    """Wait until a reading is another; give it."""
    end = time.monotonic() + 15.0
    while time.monotonic() < end:
        if reading(page, key) != before:
            return reading(page, key)
        page.wait_for_timeout(20)
    raise AssertionError(f"{key} stayed at {before}")


def test_bench_in_jupyterlab(page, jupyter_server) -> None:
    """Truth: every picture's pixels change with a key and with a drag; Undo gives them back."""
    errors = open_bench(page, jupyter_server)
    start_pixels, start = page.evaluate(PIXELS), reading(page, "range")
    assert len(start_pixels) == 4

    page.focus(SLING)
    for _ in range(5):  # near the best sling length one press changes the range by millimetres
        page.keyboard.press("ArrowRight")
        page.wait_for_timeout(60)
    by_key = wait_for_change(page, "range", start)
    page.wait_for_timeout(300)
    key_pixels = page.evaluate(PIXELS)
    assert all(a != b for a, b in zip(start_pixels, key_pixels, strict=True))

    box = page.locator(SLING).bounding_box()
    y = box["y"] + box["height"] / 2
    page.mouse.move(box["x"] + 0.36 * box["width"], y)
    page.mouse.down()
    for part in (0.4, 0.45, 0.5, 0.55):
        page.mouse.move(box["x"] + part * box["width"], y)
        page.wait_for_timeout(60)
    page.mouse.up()
    wait_for_change(page, "range", by_key)
    page.wait_for_timeout(1200)
    drag_pixels = page.evaluate(PIXELS)
    assert all(a != b for a, b in zip(key_pixels, drag_pixels, strict=True))
    dragged = float(page.input_value(TYPED))
    assert 5.4 < dragged < 7.6, "the typed value follows the drag"

    page.click("button:has-text('Undo')")
    page.wait_for_timeout(600)
    page.click("button:has-text('Undo')")
    page.wait_for_timeout(800)
    assert reading(page, "range") == start
    assert page.evaluate(PIXELS) == start_pixels

    # keys to the ends and in strides, as a slider should (WAI-ARIA: slider keyboard interaction)
    page.focus(SLING)
    for key, value in (("End", 9.6), ("Home", 2.4)):
        page.keyboard.press(key)
        page.wait_for_timeout(600)
        assert float(page.input_value(TYPED)) == pytest.approx(value)
    page.keyboard.press("PageUp")
    page.wait_for_timeout(600)
    assert 2.5 < float(page.input_value(TYPED)) < 4.0

    # a typed value with a unit of its own; one that cannot be, kept for mending
    page.fill(TYPED, "14 ft")
    page.press(TYPED, "Enter")
    page.wait_for_timeout(800)
    assert page.input_value(TYPED).startswith("4.26")
    held = reading(page, "range")
    page.fill(TYPED, "30 kg")
    page.press(TYPED, "Enter")
    page.wait_for_selector(".sw-status.sw-warn:has-text('kg is the unit of a mass')")
    assert page.input_value(TYPED) == "30 kg" and reading(page, "range") == held
    assert page.get_attribute(TYPED, "aria-invalid") == "true"
    page.fill(TYPED, "4.8")
    page.press(TYPED, "Enter")
    page.wait_for_selector(".sw-status:not(.sw-warn)")
    wait_for_change(page, "range", held)

    # any other dial by its name
    page.fill(".sw-search", "release angle")
    page.wait_for_selector("input.sw-typed[data-path='release.angle']", state="visible")
    assert page.is_hidden("input.sw-typed[data-path='arm.long']")
    page.fill(".sw-search", "")

    # everything has a name for those who do not see it
    unnamed = page.evaluate(
        """() => [...document.querySelectorAll('.sw-benchroom :is(input, select, button, canvas)')]
          .filter((e) => !(e.getAttribute('aria-label') || e.title || e.innerText
            || (e.labels && e.labels.length) || e.placeholder))
          .map((e) => e.outerHTML.slice(0, 120))"""
    )
    assert unnamed == []
    page.wait_for_timeout(1200)
    spoken = page.inner_text(".sw-spoken")
    assert "Range 112.6 m" in spoken and "Peak axle load" in spoken
    labels = page.eval_on_selector_all(
        ".sw-pictures canvas", "all => all.map((c) => c.getAttribute('aria-label'))"
    )
    assert all(len(words) > 30 for words in labels)
    assert errors == []


def test_player_plays_scrubs_and_steps(page, jupyter_server) -> None:
    """Truth: the time on the film's own line; a real clock for true speed and a tenth of it."""
    errors = open_bench(page, jupyter_server)
    page.evaluate("document.querySelector('.sw-player').scrollIntoView()")
    page.wait_for_timeout(400)

    def moment() -> float:
        return float(page.get_attribute("canvas.sw-film", "data-time"))

    def picture() -> str:
        return page.evaluate("() => document.querySelector('canvas.sw-film').toDataURL()")

    page.wait_for_selector("canvas.sw-film[data-shaded='true']", timeout=30_000)
    assert moment() == 0.0
    still = picture()

    def clock() -> float:
        return 1e-3 * page.evaluate("performance.now()")

    for speed in ("1", "0.1"):
        page.select_option(".sw-filmbar select", speed)
        begun, before = moment(), clock()
        page.click(".sw-filmbar button:has-text('Play')")
        plays = clock()
        page.wait_for_timeout(1000)
        played = clock()
        page.click(".sw-filmbar button:has-text('Pause')")
        least, most = float(speed) * (played - plays), float(speed) * (clock() - before)
        assert 0.8 * least - 0.05 < moment() - begun < 1.05 * most + 0.01
    assert picture() != still

    page.focus("canvas.sw-film")
    page.keyboard.press("Home")
    assert moment() == 0.0 and picture() == still
    page.keyboard.press("ArrowRight")
    one = moment()
    assert 0.0 < one < 0.02
    page.keyboard.press("Shift+ArrowRight")
    assert moment() == pytest.approx(11 * one, abs=2e-3)
    page.keyboard.press("End")
    assert "swing-through" in page.inner_text(".sw-filmline")
    page.evaluate(
        """() => { const s = document.querySelector('.sw-scrub'); s.value = '0.1';
          s.dispatchEvent(new Event('input')); }"""
    )
    words = page.inner_text(".sw-filmline")
    assert re.fullmatch(r"0\.6\d s · swinging free · axle load \d+\.\d kN", words)
    page.focus("canvas.sw-film")
    page.keyboard.press("Space")
    page.wait_for_timeout(400)
    page.keyboard.press("Space")
    assert moment() > 0.6
    assert errors == []


CURSORS = """() => [...document.querySelectorAll(".sw-cursor")].filter((one) => !one.hidden)
  .map((one) => one.parentElement.querySelector("canvas").dataset.picture)"""


def test_the_machine_is_the_picture(page, jupyter_server) -> None:
    """Truth: the machine's own geometry; what the checks say; one moment in every picture."""
    errors = open_bench(page, jupyter_server)
    film = page.locator("canvas.sw-film")
    film.scroll_into_view_if_needed()
    before = page.evaluate("() => document.querySelector('canvas.sw-film').toDataURL()")
    page.wait_for_selector("canvas.sw-film[data-shaded='true']", timeout=30_000)
    assert page.evaluate("() => document.querySelector('canvas.sw-film').toDataURL()") != before

    # a click on the middle of the arm's long end, found from the places of tip and axle
    at = page.evaluate(
        """() => { const found = document.querySelector("canvas.sw-film").bodies;
          return found.map((body) => body.part); }"""
    )
    assert {"arm", "axle", "sills", "trough", "counterweight box", "sling"} <= set(at)
    box = film.bounding_box()
    hit = None
    for share in [k / 40 for k in range(4, 36)]:
        page.mouse.click(box["x"] + 0.4 * box["width"], box["y"] + share * box["height"])
        if page.inner_text(".sw-part >> nth=0").startswith("arm:"):
            hit = share
            break
    assert hit is not None
    words = page.inner_text(".sw-part >> nth=0")
    assert "used at most" in words and "arm in bending" in words
    page.click(".sw-part button:has-text('Arm depth at axle')")
    assert page.evaluate("() => document.activeElement.dataset.path") == "arm.depth_at_axle"

    # parts by key, and none again
    page.focus("canvas.sw-film")
    page.keyboard.press("ArrowDown")
    other = page.inner_text(".sw-part >> nth=0")
    assert not other.startswith("arm:") and ":" in other
    page.keyboard.press("ArrowUp")
    assert page.inner_text(".sw-part >> nth=0").startswith("arm:")

    # one moment: from the film to the curves, and from a curve to the film
    assert page.evaluate(CURSORS) == []
    page.keyboard.press("Shift+ArrowRight")
    assert page.evaluate(CURSORS) == ["axle", "energy"]
    load = page.locator("canvas[data-picture='axle']")
    wide = load.bounding_box()["width"] - 64
    load.click(position={"x": 52 + 0.25 * wide, "y": 60})
    moment = float(film.get_attribute("data-time"))
    ends = page.evaluate("() => document.querySelector(\"canvas[data-picture='axle']\").frame.xh")
    assert moment == pytest.approx(0.25 * ends, rel=0.02)
    assert page.evaluate(CURSORS)[0] == "axle"
    assert errors == []


def test_compare_units_failure_and_narrow_page(page, jupyter_server) -> None:
    """Truth: the words and signs promised for each state; no sideways scrolling at phone width."""
    errors = open_bench(page, jupyter_server)
    page.click("button:has-text('Keep')")
    page.wait_for_selector("button:has-text('Back to kept')", state="visible")
    before = reading(page, "range")
    page.focus("input[type=range][data-path='counterweight.mass']")
    page.keyboard.press("ArrowRight")
    wait_for_change(page, "range", before)
    assert page.inner_text(".sw-reading[data-key='range'] .sw-change").startswith("+")

    page.click(".sw-units button:has-text('US')")
    # typed into at once, while the new units are still on their way
    mass = "input.sw-typed[data-path='counterweight.mass']"
    page.fill(mass, "500 kg")
    page.press(mass, "Enter")
    page.wait_for_timeout(1000)
    label = page.inner_text(f".sw-value:has({mass}) .sw-unit")
    assert (label, float(page.input_value(mass))) == ("lb", pytest.approx(500 / 0.45359237, abs=1))
    page.click("button:has-text('Undo')")
    page.wait_for_timeout(500)
    page.wait_for_selector(".sw-reading[data-key='range'] .sw-number:has-text('ft')")
    assert "lbf" in reading(page, "axle")
    page.click(".sw-units button:has-text('metric')")
    page.wait_for_selector(".sw-reading[data-key='range'] .sw-number:has-text(' m')")

    weight = "input.sw-typed[data-path='counterweight.mass']"
    page.fill(weight, "100")
    page.press(weight, "Enter")
    page.wait_for_selector(".sw-failed .sw-outcome:has-text('Never left the trough')")
    assert reading(page, "range") == "\N{EN DASH}"

    page.click("button:has-text('Back to kept')")
    page.wait_for_function(
        f"() => document.querySelector(\".sw-reading[data-key='range'] .sw-number\")"
        f".textContent === '{before}'"
    )
    # one column when the bench itself is as narrow as a phone
    page.evaluate("document.querySelector('.sw-benchroom').style.width = '360px'")
    page.wait_for_timeout(500)
    wide = page.evaluate(
        """() => { const room = document.querySelector('.sw-benchroom');
          return [room.clientWidth, Math.max(...[...room.querySelectorAll('*')]
            .map((e) => e.getBoundingClientRect().right - room.getBoundingClientRect().left))]; }"""
    )
    assert wide[1] <= wide[0] + 2, "something sticks out at phone width"
    lefts = page.eval_on_selector_all(
        ".sw-pictures canvas", "all => all.map((c) => Math.round(c.getBoundingClientRect().left))"
    )
    assert len(set(lefts)) == 1
    assert errors == []

"""People are dragged on the plan and beside the machine, by mouse, touch and arrow keys.

Truth: the dials' own typed values, the words before and after; Undo gives all of it back.
"""

import pytest
from browser.shared.looks import run_page, wait_until

pytestmark = pytest.mark.browser

WORDS = ".sw-at-conflicts strong"
ASIDE = "input.sw-typed[data-path='hook.person_z']"
WHO = ".sw-stage:has(canvas[data-picture='near']) .sw-place[data-place='looses']"


def middle(page, selector) -> tuple[float, float]:
    box = page.locator(selector).bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def open_zone(page, server) -> list[str]:
    ready = "canvas[data-picture='moments'][data-drawn]"
    errors = run_page(page, server, "07_where_to_stand.ipynb", ready=ready, root=".sw-bench")
    page.locator(WHO).scroll_into_view_if_needed()
    page.wait_for_timeout(300)
    return errors


def test_who_looses_is_dragged_into_the_ground_and_back(page, jupyter_server) -> None:
    """Truth: one drag, one step of Undo; the conflict stands in words while it is so."""
    errors = open_zone(page, jupyter_server)
    first, said, lay = middle(page, WHO), page.inner_text(WORDS), page.get_attribute(WHO, "style")
    assert "would stand inside" not in said and page.input_value(ASIDE) == ""
    page.mouse.move(*first)
    page.mouse.down()
    for step in range(1, 7):
        page.mouse.move(first[0] + 4 * step, first[1] + 8 * step)
        page.wait_for_timeout(60)
    held = middle(page, WHO)
    assert held == pytest.approx((first[0] + 24, first[1] + 48), abs=3.0)  # under the hand
    page.mouse.up()
    wait_until(page, lambda: "would stand inside the ground" in page.inner_text(WORDS))
    dragged = float(page.input_value(ASIDE))
    assert 5.0 < dragged < 15.9
    assert "drag it" in page.get_attribute(WHO, "aria-label").lower()
    page.click("button:has-text('Undo')")
    wait_until(page, lambda: page.inner_text(WORDS) == said)
    wait_until(page, lambda: page.input_value(ASIDE) == "")
    wait_until(page, lambda: page.get_attribute(WHO, "style") == lay)

    # arrow keys in quick turn are one step too; Delete puts the person where the plan would
    page.focus(WHO)
    for _ in range(4):
        page.keyboard.press("ArrowUp")
        page.wait_for_timeout(80)
    wait_until(page, lambda: page.input_value(ASIDE) != "")
    page.wait_for_timeout(900)
    assert float(page.input_value(ASIDE)) == pytest.approx(16.1 + 4 * 1.0, abs=0.6)
    assert "would stand inside" not in page.inner_text(WORDS)
    page.keyboard.press("Delete")
    wait_until(page, lambda: page.input_value(ASIDE) == "")
    page.click("button:has-text('Undo')")
    page.wait_for_timeout(600)
    page.click("button:has-text('Undo')")
    wait_until(page, lambda: page.input_value(ASIDE) == "")
    wait_until(page, lambda: page.get_attribute(WHO, "style") == lay)
    assert errors == []


def test_a_finger_drags_as_the_mouse_does(page, jupyter_server) -> None:
    """Truth: touches sent by the browser itself; the page does not scroll under the finger."""
    errors = open_zone(page, jupyter_server)
    at = middle(page, WHO)
    client = page.context.new_cdp_session(page)
    client.send("Emulation.setTouchEmulationEnabled", {"enabled": True})

    def touch(kind: str, *points: tuple[float, float]) -> None:
        some = [{"x": x, "y": y} for x, y in points]
        client.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": some})
        page.wait_for_timeout(60)

    touch("touchStart", at)
    for step in range(1, 6):
        touch("touchMove", (at[0], at[1] + 10 * step))
    touch("touchEnd")
    wait_until(page, lambda: "would stand inside the ground" in page.inner_text(WORDS))
    assert middle(page, WHO) == pytest.approx((at[0], at[1] + 50), abs=4.0)
    client.send("Emulation.setTouchEmulationEnabled", {"enabled": False})
    page.click("button:has-text('Undo')")
    wait_until(page, lambda: "would stand inside" not in page.inner_text(WORDS))
    assert errors == []


def test_the_crew_is_dragged_beside_the_machine_on_the_bench(page, jupyter_server) -> None:
    """Truth: from the side a hand moves along alone; the dial follows, and Undo takes it back."""
    winds = ".sw-player .sw-place[data-place='winders']"
    errors = run_page(
        page,
        jupyter_server,
        "01_bench.ipynb",
        ready=".sw-filmline:has-text('axle load')",
        root=".sw-player",
    )
    first = middle(page, winds)
    along = "input.sw-typed[data-path='place.winders_x']"
    page.mouse.move(*first)
    page.mouse.down()
    for step in range(1, 5):
        page.mouse.move(first[0] - 12 * step, first[1] - 10 * step)
        page.wait_for_timeout(60)
    page.mouse.up()
    wait_until(page, lambda: page.input_value(along) != "")
    assert page.input_value("input.sw-typed[data-path='place.winders_z']") == ""
    page.wait_for_timeout(1500)
    assert float(page.input_value(along)) < -3.29
    assert "in line with the rope" in page.get_attribute(winds, "title")
    page.click("button:has-text('Undo')")
    wait_until(page, lambda: page.input_value(along) == "")
    assert errors == []

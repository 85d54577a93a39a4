"""The page `where to stand`, moved to both ends without a browser.

Truth: the same machine's zone worked out directly; the words promised.
"""

import numpy as np
import pytest

from slingwright.pages import Workbench
from slingwright.pages.standing.page import FRONT, ZoneBench, ZonePictures, table_html
from slingwright.standing.zone import zone


@pytest.fixture
def page(tmp_path):
    return ZoneBench(Workbench("otter_ford", folder=tmp_path))


def curve(board, key, which):
    picture = next(one for one in board.widget.scene["pictures"] if one["key"] == key)
    line = picture["lines"][which]
    points = np.frombuffer(board.widget.points, dtype=np.float32)
    return points[line["start"] : line["start"] + 2 * line["count"]].reshape(-1, 2), picture


def test_words_table_and_plan_are_those_of_the_machine(page):
    """Truth: the zone worked out directly."""
    found = zone(page.bench.machine)
    assert found.sentence in page.words.widget.value
    for one in found.leavings:
        assert one.load in page.table.widget.value
    for words in found.places:
        assert words in page.table.widget.value
    outline, picture = curve(page.plan, "plan", 0)
    assert outline[:, 0].max() == pytest.approx(found.clear_ahead, rel=1e-5)
    assert -outline[:, 0].min() == pytest.approx(found.clear_behind, rel=1e-5)
    assert "end of clear ground" in [rule["label"] for rule in picture["rules"]]
    ways = [
        curve(page.flights, "flights", which)[0]
        for which in range(len(curve(page.flights, "flights", 0)[1]["lines"]))
    ]
    assert max(way[-1, 0] for way in ways) == pytest.approx(found.forward, rel=4e-3)
    assert min(way[-1, 0] for way in ways) == pytest.approx(-found.backward, rel=4e-3)


@pytest.mark.parametrize("path", FRONT)
def test_every_front_dial_goes_to_both_ends(page, path):
    """Truth: no error; the words are those of the zone, or say why there is none."""
    control = page.dials.controls[path]
    for end in control.ends:
        control.set(end)
        assert page.bench.machine[path] == pytest.approx(end)
        words = page.words.widget.value
        assert ("Keep clear" in words) != ("no answer" in words)
        for board in (page.plan, page.flights):
            for picture in board.widget.scene["pictures"]:
                assert picture["words"]


def test_signs_tell_without_colour(page):
    """Truth: three states, three signs."""
    assert "\N{BALLOT X} fails" in page.words.widget.value
    page.bench.change({"counterweight.mass": "800 kg"})
    assert "\N{BALLOT X} too far" in page.words.widget.value
    page.bench.change({"site.limit": "600 m", "site.sideways": "25 deg"})
    assert "\N{WARNING SIGN} not known" in page.words.widget.value


def test_kept_machine_is_drawn_and_units_follow(page):
    """Truth: one more outline; feet in words, table and axes."""
    before = len(curve(page.plan, "plan", 0)[1]["lines"])
    page.bench.keep()
    page.bench.change({"counterweight.mass": "700 kg"})
    assert len(curve(page.plan, "plan", 0)[1]["lines"]) == before + 1
    page.bench.measure("US")
    assert " ft ahead" in page.words.widget.value and " m ahead" not in page.words.widget.value
    assert " ft" in table_html(page.zone, "US")
    assert "[ft]" in curve(page.plan, "plan", 0)[1]["x"]["label"]


def test_machine_that_cannot_throw_says_why(page):
    """Truth: the reason names the trough, and no picture shows numbers."""
    page.bench.change({"counterweight.mass": "60 kg"})
    assert "no answer" in page.words.widget.value and "trough" in page.words.widget.value
    assert page.table.widget.value == ""
    for board in (page.plan, page.flights):
        assert all(picture["empty"] for picture in board.widget.scene["pictures"])


def test_cautions_parts_and_closing(page):
    """Truth: the cautions; a part that is not there is refused by name; nothing watches on."""
    values = [w.value for w in page.widget.children[1].children if hasattr(w, "value")]
    assert any("licensed person" in value and "splinters" in value for value in values)
    with pytest.raises(ValueError, match="no picture 'map'"):
        ZonePictures(page.controller, "map")
    words, bench = page.words, page.bench
    page.close()
    bench.change({"counterweight.mass": "800 kg"})
    assert "too far" not in str(words.widget.value)

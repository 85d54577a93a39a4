"""The page `where to stand`, moved to both ends without a browser.

Truth: the same machine's zone worked out directly; the words promised.
"""

import functools

import numpy as np
import pytest

from slingwright.changing.proving import proving
from slingwright.logbook.job import open_job
from slingwright.pages import Workbench
from slingwright.pages.log.records import story_of
from slingwright.pages.standing import controller as page_module
from slingwright.pages.standing import proving as proving_module
from slingwright.pages.standing.page import FRONT, ZoneBench, ZonePictures, table_html
from slingwright.standing.chances import chances
from slingwright.standing.places import where
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
        for board in (page.plan, page.near, page.flights):
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
    for board in (page.plan, page.near, page.flights):
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


def named(board, key):
    """Curves of a picture by their names."""
    lines = next(one for one in board.widget.scene["pictures"] if one["key"] == key)["lines"]
    return {line.get("name", ""): curve(board, key, at)[0] for at, line in enumerate(lines)}


def sent(board, dials, values, gesture="a"):
    """Send what the browser sends as a mark is moved."""
    place = {"kind": "place", "dials": dials, "values": values, "gesture": gesture}
    board.widget._handle_custom_msg({**place, "stamp": "s", "serial": 1}, [])


def test_a_hand_moves_dials_and_one_drag_is_one_step_back(page):
    """Truth: the dials themselves; words and lanyard of the place where the hand let go."""
    start = page.bench.machine
    marks = {m["key"]: m for m in page.near.widget.scene["pictures"][0]["marks"]}
    assert set(marks) == {"looses", "winders", "loader", "helper", "public"}
    for x, z in ((-4.0, 17.0), (-3.0, 15.0), (-2.0, 12.8)):
        sent(page.near, marks["looses"]["move"], [x, z])
    assert (page.bench.machine["hook.person_x"], page.bench.machine["hook.person_z"]) == (
        -2.0,
        12.8,
    )
    (moved,) = [m for m in page.near.widget.scene["pictures"][0]["marks"] if m["key"] == "looses"]
    assert (moved["x"], moved["y"]) == (-2.0, 12.8) and "\N{BALLOT X}" in moved["label"]
    assert "would stand inside the ground to keep clear" in page.conflicts.widget.value
    told = " ".join(words.told("metric") for words in page.controller.now.places)
    assert "Who looses stands" in told and "farther out, outside" not in told
    assert named(page.near, "near")["lanyard"][-1] == pytest.approx((-2.0, 12.8))
    page.bench.undo()
    assert page.bench.machine == start and "nobody stands in" in page.conflicts.widget.value
    sent(page.near, marks["public"]["move"], [300.0, 200.0], "b")
    assert "public" in [m.get("key") for m in page.plan.widget.scene["pictures"][0]["marks"]]
    sent(page.plan, marks["public"]["move"], [None, None], "c")
    assert page.bench.machine["place.public_x"] is None
    sent(page.near, ["counterweight.mass", "site.limit"], [700.0, 250.0], "d")
    assert page.bench.machine["counterweight.mass"] == start["counterweight.mass"]  # no place


def test_chance_stands_beside_bound_simulated_and_assumed_each_by_its_name(page, monkeypatch):
    """Truth: the chances worked out directly; a fifth more for bounce and roll."""
    few = functools.partial(chances, n=5000)
    monkeypatch.setattr(page_module, "chances", few)
    page.bench.change({"site.run_on": 0.2})
    found = page.zone
    assert "worked out when the dials rest" in page.chances.widget.value
    page.controller.throw_copies()  # where no event loop runs, at once
    known = few(page.bench.machine)
    lines = named(page.plan, "plan")
    assert lines["bound: by energy"][:, 0].max() == pytest.approx(found.bound, rel=1e-5)
    flown = lines["simulated: longest flights"][:, 0].max()
    assert flown == pytest.approx(found.forward, rel=1e-5)
    assert lines["assumption: bounce and roll"][:, 0].max() == pytest.approx(1.2 * flown, rel=1e-5)
    outline, size = known.loads[0][1].contour(0.999)
    assert lines["chance: 99.9 %"][:-1] == pytest.approx(outline, rel=1e-4, abs=1e-3)
    assert "chance: 99.999 %, at least" in lines and np.isfinite(size.high)
    value, low, high = known.within(known.loads[0][0], 0.999)
    said = f"{value:.3g} m ({low:.3g} m to {high:.3g} m)"
    assert said in page.chances.widget.value and "tables and practice" in page.chances.widget.value
    page.bench.change({"place.public_z": 30.0})
    assert page.controller.likely is not None  # where people stand changes no throw
    page.bench.change({"sling.length": 4.6})
    assert page.controller.likely is None and "chance: 99.9 %" not in named(page.plan, "plan")


def test_copies_scatter_as_the_log_has_learned(tmp_path, monkeypatch):
    """Truth: the belief learned from the same log, and the end of its next shot's interval."""
    monkeypatch.setenv("SLINGWRIGHT_LOGS", str(tmp_path))
    monkeypatch.setattr(page_module, "chances", functools.partial(chances, n=4000))
    page = ZoneBench(open_job("otter_fair"))
    page.controller.throw_copies()
    found = page.controller.likely
    keeping = page.bench.keeping
    belief = story_of(keeping.log, page.bench.opened).learn().belief
    wanted = chances(page.bench.machine, n=4000, learned=belief)
    assert found.basis == belief.basis and "as learned" in page.chances.widget.value
    for (_, one), (_, other) in zip(found.loads, wanted.loads, strict=True):
        assert np.array_equal(one.lies, other.lies, equal_nan=True)
    held = page.bench.machine.number("projectile.mass")
    own = next(one.name for one in page.bench.machine.brief if one.mass == held)
    calm = page.bench.machine.change({"site.unsteady": 0.0, "site.run_on": 0.0})
    share = 0.5 + belief.level / 2.0
    told = chances(calm, n=4000, learned=belief).within(own, share)[0]
    assert told == pytest.approx(belief.next_shot().high, rel=0.01)
    page.close()


def test_steps_of_proving_take_what_was_measured(tmp_path, monkeypatch):
    """Truth: the steps worked out directly; what was typed stands beside what was expected."""
    monkeypatch.setenv("SLINGWRIGHT_LOGS", str(tmp_path))
    monkeypatch.setattr(proving_module, "proving", functools.partial(proving, look=False, copies=4))
    page = ZoneBench(open_job("garden"))
    steps = page.proving
    assert "approve nothing" in steps.words.value and "stop above" not in steps.words.value
    steps.ask()
    first = steps.found.steps[0]
    assert steps.found.sentence in steps.words.value and "cracks and crushed" in steps.words.value
    assert "stop above" in steps.words.value and "wind it down from 0.4" in steps.words.value
    looser = next(one for one in page.zone.people if one.key == "looses")
    assert str(where(looser.x, looser.z)) in first.do  # from where the plan allows
    hook = next(one for one in first.expected if one.key == "hook_load")
    what = steps.controls["what"]
    what.value = next(place for _, place in what.options if place == (first, hook))
    for typed, verdict in ((f"{hook.value:.1f} N", "holds"), (f"{2.0 * hook.high:.1f} N", "fails")):
        steps.controls["value"].value = typed
        steps.controls["enter"].click()
        (seen,) = [o for o in steps.found.steps[0].expected if o.key == "hook_load"]
        assert seen.verdict == verdict and seen.measured[-1] == pytest.approx(float(typed[:-2]))
        assert str(seen.told(*seen.measured)) in steps.words.value
    assert "Stop at" in steps.words.value
    steps.controls["value"].value = "many"
    steps.controls["enter"].click()
    assert "hook, held" in page.bench.status and page.bench.warn
    heavier = page.bench.machine.number("counterweight.mass") * 1.01
    page.bench.change({"counterweight.mass": heavier})
    assert "stop above" not in steps.words.value  # another machine: asked for anew
    steps.ask()
    assert not any(one.measured for one in steps.found.steps[0].expected)
    page.close()

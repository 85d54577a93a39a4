"""The winding page's panel, without a browser: every control to both ends, every word and unit."""

import json
import math
import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import slingwright as sw
from slingwright.amounts.figures import figures
from slingwright.formulas.winch.hauling import rope_lever
from slingwright.pages.parts.workbench import Workbench
from slingwright.pages.winding.page import PICTURES, WindingBench, WindingPictures
from slingwright.pages.winding.path_picture import dead_points
from slingwright.pages.winding.tables import CAUTIONS, procedure_html
from slingwright.places import data_folder
from slingwright.standing.places import winding_checks
from slingwright.winch.cycle import winding
from slingwright.winch.drums import drum_choice
from slingwright.winch.hook import SlipHook, hook_of
from slingwright.winch.load_cell.trace import clean, holds, read_trace
from slingwright.winch.rig import WinchRig, rig_of
from slingwright.winch.text import whole

KNOWN = {"rope.rope_length": 25.0, "rope.sheave": 0.1}


@pytest.fixture(scope="module")
def trace():
    """The invented trace that comes with the kit, cleaned, and its pauses."""
    raw = read_trace(
        data_folder() / "traces" / "otter_ford_winding.csv",
        force_unit="kgf",
        time_unit="s",
        time_column="clock [s]",
        force_column="cell [kgf]",
    )
    cleaned = clean(raw)
    return cleaned, holds(cleaned, tolerance=6.0, least=10.0)


@pytest.fixture
def panel(trace):
    """A panel on the Otter Ford machine."""
    made = WindingBench(
        sw.read_machine("otter_ford").change(KNOWN), trace=trace[0], pauses=trace[1]
    )
    yield made
    made.close()


def pictures(panel) -> dict:
    """Give all pictures shown, by name."""
    return {one["key"]: one for one in panel.pictures.widget.scene["pictures"]}


def points_of(board, line) -> np.ndarray:
    """Give a line's points out of the board's block."""
    block = np.frombuffer(board.points, dtype=np.float32)
    return block[line["start"] : line["start"] + 2 * line["count"]].reshape(-1, 2)


def sound(panel) -> None:
    """Hold what is shown: no error, words for every picture, JSON without not-a-number, axes."""
    assert "could not be shown" not in panel.bench.status
    shown = pictures(panel)
    assert set(shown) == set(PICTURES)
    for one in shown.values():
        assert one["words"] and "nan" not in one["words"].lower()
        assert one["x"]["high"] > one["x"]["low"] and one["y"]["high"] > one["y"]["low"]
        json.dumps(one, allow_nan=False)
    state = panel.readouts.widget.state
    json.dumps(state, allow_nan=False)
    assert state["sentence"] and "nan" not in state["words"].lower().split()
    assert "nan" not in panel.checks.table.value.split(">")


def test_every_dial_and_setting_to_both_ends(panel) -> None:
    """Truth: whatever is set, the page shows it or says why not, and comes back as it was."""
    before = panel.table()._repr_html_()
    for control in panel.controls.values():
        if not hasattr(control, "ends"):
            continue
        start = control.value
        for end in control.ends:
            wrong = control.set(end)
            assert wrong == panel.bench.status or wrong == ""
            sound(panel)
        while panel.bench.can_undo:
            panel.bench.undo()
        assert control.value == start
    assert panel.table()._repr_html_() == before


def test_dials_make_the_rig_and_hook_that_they_say() -> None:
    """Truth: the records' own values where nothing is given, and what is given in its own unit."""
    plain = Workbench("otter_ford").machine
    tip = plain.number("arm.long")
    assert rig_of(plain) == WinchRig(hook_on_arm=tip) and hook_of(plain) == SlipHook()
    said = plain.change(
        {
            "rig.offset": "0.3 m",
            "rope.end": "bowline",
            "hook.on_arm": 5.0,
            "mark.pawl_rating": 900.0,
        }
        | {"hook.offset": "-1 mm", "hook.lever": 0.3, "hook.friction": 0.2}
    )
    rig = WinchRig(offset=0.3, end="bowline", hook_on_arm=5.0, pawl_rating=900.0)
    assert rig_of(said) == rig
    assert hook_of(said) == SlipHook(offset=-0.001, lever=0.3, friction=0.2)


def test_panel_shows_what_the_answers_say(panel) -> None:
    """Truth: the answers worked out without any panel."""
    machine = panel.bench.machine
    run = winding(machine)
    shown = {row["key"]: row["text"] for row in panel.readouts.widget.state["rows"]}
    assert shown["force"] == f"{run.force_per_person:.1f} N"
    assert shown["rope"] == f"{run.peak_rope_pull:.0f} N"
    assert shown["time"] == figures(run.winding_time, "s")
    verdicts = [row.verdict for row in winding_checks(panel.bench.machine, run, panel.bench.throw)]
    for verdict in ("holds", "fails", "not known"):
        assert panel.checks.table.value.count(f" {verdict}</td>") == verdicts.count(verdict)
    choice = drum_choice(machine, panel.controller.drums())
    board, force = panel.pictures.widget, pictures(panel)["force"]
    asked = next(line for line in force["lines"] if line.get("name") == "needed per person")
    assert points_of(board, asked)[:, 1] == pytest.approx(choice.force_per_person, rel=1e-6)
    tension = pictures(panel)["tension"]
    assert tension["marks"][0]["y"] == pytest.approx(run.peak_rope_pull)
    assert tension["marks"][0]["x"] == pytest.approx(math.degrees(run.peak_rope_elevation))


def test_smaller_drum_is_lighter_and_slower(panel) -> None:
    """Truth: law of the lever; the picture's mark moves along its own curve."""
    before = panel.wound.run
    assert panel.controls["winch.drum"].set(0.1) == ""
    after = panel.wound.run
    assert after.force_per_person < 0.7 * before.force_per_person
    assert after.winding_time > 1.5 * before.winding_time
    mark = pictures(panel)["force"]["marks"][0]
    assert mark["x"] == pytest.approx(0.1) and mark["y"] == pytest.approx(after.force_per_person)


def test_unknown_never_passes_and_a_mark_settles_it(panel) -> None:
    """Truth: rule of the rigging checks: unrated, no pass; proof load (29 CFR 1926.251)."""
    table = panel.checks.table.value
    assert "? not known" in table and "proof-load it to" in table
    sentence = panel.readouts.widget.state["sentence"]
    unknown = [row.name for row in panel.wound.checks if row.verdict == "not known"]
    assert f"Not known: {', '.join(unknown[:3])} and 3 more." in sentence
    assert "failing of what is known: winding rope, manila 14 mm" in sentence
    marks = [path for path in panel.controls if path.startswith("mark.")]
    assert len(marks) == 5
    for path in marks:
        panel.dials._hear(None, {"kind": "set", "path": path, "value": {"text": "5 kN"}}, [])
        assert panel.bench.machine[path] == pytest.approx(5000.0)
    assert "not known" not in panel.checks.table.value
    assert "Unknown" not in panel.readouts.widget.state["sentence"]
    panel.dials._hear(None, {"kind": "set", "path": marks[0], "value": {"text": ""}}, [])
    assert panel.bench.machine[marks[0]] is None and "? not known" in panel.checks.table.value


def test_settings_refuse_what_cannot_be(panel) -> None:
    """Truth: the row's own limits; what was set before stays."""
    before = panel.bench.machine
    assert "0.3 to 1" in panel.dials.set("crew.gear_efficiency", 1.5)
    assert "granny knot" in panel.dials.set("rope.end", "granny knot")
    assert "no such dial" in panel.dials.set("rope.colour", 1.0)
    assert panel.dials.set("hook.lever", "0.3 kg") != ""
    assert "rope.sheave" in panel.dials.set("rope.sheave", "30 m")
    assert panel.bench.warn and panel.bench.machine == before


def test_self_loosing_hook_is_named(panel) -> None:
    """Truth: friction angle of the curve: with the pivot 2 mm off, 0.03 does not hold it."""
    assert panel.dials.set("hook.offset", -0.002) == ""
    assert panel.wound.loosing.verdict_when_slippery == "looses by itself"
    pull = pictures(panel)["pull"]
    assert "looses by itself" in pull["words"] and pull["shades"][0]["high"] > 0.1
    assert panel.dials.set("hook.offset", -0.019) == ""
    assert "looses by itself" in pictures(panel)["shape"]["title"]


def test_led_rope_stands_without_a_word_about_its_block(panel) -> None:
    """Truth: statics: the hauling part pulls the winch along the line to the lead block."""
    assert panel.dials.set("rig.rigging", "led") == ""
    run = panel.wound.run
    assert run.rig.lead_x == pytest.approx(0.6 * run.numbers.winch_x)
    assert [part.place for part in run.frame] == ["winch", "lead block"]
    assert np.hypot(run.frame[0].along, run.frame[0].across) == pytest.approx(run.rope_pull)


def test_winding_that_cannot_be_says_why_on_every_part(panel) -> None:
    """Truth: a weight that does not outweigh the arm cannot be wound."""
    assert panel.controls["counterweight.mass"].set(100.0) == ""
    assert panel.wound.run is None
    assert panel.readouts.widget.state["failed"]
    assert "cannot be wound" in panel.readouts.widget.state["sentence"]
    assert pictures(panel)["tension"]["empty"] and "No checks" in panel.checks.table.value
    sound(panel)


def test_kept_machine_is_compared(panel) -> None:
    """Truth: the change of the force itself."""
    before = panel.wound.run.force_per_person
    panel.bench.keep()
    assert panel.controls["winch.drum"].set(0.3) == ""
    rows = {row["key"]: row for row in panel.readouts.widget.state["rows"]}
    share = 100.0 * (panel.wound.run.force_per_person / before - 1.0)
    assert f"({share:+.1f} %)" in rows["force"]["change"]
    assert any(line.get("name") == "kept, winding" for line in pictures(panel)["tension"]["lines"])


def test_us_units_everywhere(panel) -> None:
    """Truth: pound-force and foot by definition; no metric unit is left in words or table."""
    force = panel.wound.run.force_per_person
    panel.controls["units"].value = "US"
    rows = {row["key"]: row["text"] for row in panel.readouts.widget.state["rows"]}
    assert rows["force"] == f"{force / 4.4482216152605:.2f} lbf"
    for one in pictures(panel).values():
        for unit in (" N ", " kN", " mm", " kg", "[m]", "[N]", "[t]"):
            assert unit not in one["words"] + one["title"] + one["x"]["label"] + one["y"]["label"]
    assert " kN" not in panel.checks.table.value and " N," not in panel.checks.table.value
    sound(panel)
    text = str(panel.table())
    assert "lbf" in text and " kN" not in text


def test_words_turn_into_us_units(panel) -> None:
    """Truth: 1 lbf = 4.4482216 N and 1 in = 25.4 mm: no metric unit is left in what is said."""
    metric = re.compile(r"[0-9] (k?N|m|mm|kg|m/s)\b")
    said = [panel.wound.run.outcome, panel.wound.loosing.words, panel.wound.prong.words]
    said += [one for row in panel.wound.checks for one in (row.name, row.advice)]
    assert all(metric.search(whole(words, "metric")) for words in said[:3])
    left = [words for words in said if metric.search(whole(words, "US"))]
    assert not left
    assert whole("it pulls", "metric") == "It pulls."


def test_trace_lies_over_the_prediction(panel, trace) -> None:
    """Truth: the trace was made from the kit's own winding with a greater loss at the sheaves."""
    laid = panel.wound.trace
    assert laid.peak_ratio == pytest.approx(1.02, abs=0.025)
    assert panel.controls["winch.sheave_loss"].set(0.125) == ""
    assert abs(panel.wound.trace.ratio - 1.0) < 0.5 * abs(laid.ratio - 1.0)
    assert "no trace was given" in pictures(WindingBench(panel.bench))["trace"]["words"]


def test_cautions_come_first(panel) -> None:
    """Truth: the order of the widgets on the panel."""
    first = panel.widget.children[1].children[0].value
    assert all(line.replace("'", "&#x27;") in first for line in CAUTIONS)
    assert "under the raised counterweight" in first.replace("\n", " ").replace("  ", " ")


def test_unknown_picture_is_refused(panel) -> None:
    """Truth: the list of pictures."""
    with pytest.raises(ValueError, match="no picture 'weather'"):
        WindingPictures(panel.controller, "weather")
    assert [one["key"] for one in WindingPictures(panel.controller, "pull").widget.scene[
        "pictures"]] == ["pull"]  # fmt: skip


def test_plain_table_says_what_the_readouts_say(panel) -> None:
    """Truth: one source for both."""
    from slingwright.pages.winding.tables import readings_of

    text = str(panel.table())
    for row in readings_of(panel.wound):
        assert row.text() in text and row.label in text


@pytest.mark.parametrize("name", ["garden", "hinged_pair", "fixed_pair", "on_wheels"])
def test_every_machine_of_the_kit_opens(name: str) -> None:
    """Truth: the kit's own machines; their crews can wind them."""
    made = WindingBench(name)
    sound(made)
    run = made.wound.run
    assert run.force_per_person <= run.force_allowed
    made.close()


def test_undo_takes_back_settings_and_dials_in_turn(panel) -> None:
    """Truth: the settings and dials as they were before each step; a drag is one step."""
    start = panel.bench.machine
    for share in (0.9, 0.8, 0.7):
        assert panel.dials.set("crew.gear_efficiency", share, gesture="drag") == ""
    assert panel.controls["winch.drum"].set(0.3) == ""
    assert panel.dials.set("rope.end", "bowline") == ""
    panel.bench.undo()
    assert panel.bench.machine == start.change({"crew.gear_efficiency": 0.7, "winch.drum": 0.3})
    panel.bench.undo()
    assert panel.bench.machine == start.change({"crew.gear_efficiency": 0.7})
    panel.bench.undo()
    assert panel.bench.machine == start and not panel.bench.can_undo
    panel.bench.redo()
    panel.bench.redo()
    panel.bench.redo()
    assert panel.bench.machine["rope.end"] == "bowline"
    shown = panel.dials.widget.values
    assert shown["rope.end"] == "bowline" and shown["crew.gear_efficiency"] == pytest.approx(0.7)


def test_kept_machine_keeps_its_rig(panel) -> None:
    """Truth: the force with the kept rig, worked out without a panel."""
    panel.bench.keep()
    before = panel.wound.run.force_per_person
    assert panel.dials.set("crew.gear_efficiency", 0.5) == ""
    assert panel.controller.kept.run.force_per_person == before
    rows = {row["key"]: row for row in panel.readouts.widget.state["rows"]}
    assert "(+90.0 %)" in rows["force"]["change"]
    panel.bench.restore()
    assert panel.wound.run.force_per_person == before


def test_a_place_of_the_person_inside_the_ground_to_keep_clear_is_told(panel) -> None:
    """Truth: the sweep of arm and sling, with the margin; left empty, the place is outside it."""
    hook = panel.wound.hook
    n = panel.wound.machine.number
    beside = n("site.margin") * (n("arm.long") + n("sling.length"))
    assert np.hypot(hook.person_x, hook.person_z) > beside
    assert panel.wound.loosing.stands == ""
    panel.dials.set("hook.person_z", 0.5 * beside)
    assert "inside the ground to keep clear" in panel.wound.loosing.stands
    rows = {row["key"]: row for row in panel.readouts.widget.state["rows"]}
    assert "inside the ground to keep clear" in rows["lanyard"]["note"]
    assert "inside the ground to keep clear" in procedure_html(panel.wound)
    panel.dials.set("hook.person_z", 2.0 * beside)
    assert "inside the ground to keep clear" not in procedure_html(panel.wound)


@given(st.floats(-9.0, 9.0), st.floats(0.0, 3.5), st.floats(0.5, 8.0))
def test_dead_points_leave_the_rope_no_lever(x: float, y: float, along: float) -> None:
    """Truth: the rope's lever, from its own formula: none there, a pull winds down between them."""
    first, second = dead_points(4.0, x, y)
    if min(math.hypot(x, y - 4.0), abs(math.hypot(x, y - 4.0) - along)) < 1e-3:
        return
    lever = rope_lever(np.array([first, second, 0.5 * (first + second)]), along, 4.0, x, y)
    assert lever[:2] == pytest.approx(0.0, abs=1e-6)
    assert lever[2] > 0.0


def test_rope_path_shows_winch_rope_and_dead_point(panel) -> None:
    """Truth: the machine's own places: rope ends on arm and winch, drum round the winch."""
    shown, board = pictures(panel)["path"], panel.pictures.widget
    run = panel.wound.run
    n = run.numbers
    assert shown["title"] == "Rope's path; winch clear" and shown["equal"]
    ropes = [line for line in shown["lines"] if line.get("name", "").startswith("rope")]
    ends = np.mean([points_of(board, line)[0] for line in ropes], axis=0)
    assert ends == pytest.approx([n.winch_x, n.winch_y], abs=0.1)
    cocked = next(line for line in ropes if line["name"] == "rope, cocked")
    arm = (-n.on_arm * math.cos(n.cocked), n.axle_height - n.on_arm * math.sin(n.cocked))
    assert points_of(board, cocked)[1] == pytest.approx(arm, abs=0.1)
    assert "parts" in shown["words"] and "degrees below cocked" in shown["words"]
    span = math.dist(arm, (n.winch_x, n.winch_y))
    assert f"pull {100.0 * (math.hypot(span, n.aside) / span - 1.0):.0f} % harder" in shown["words"]
    assert panel.controls["winch.aside"].set(0.0) == ""
    assert pictures(panel)["path"]["title"] == "Rope's path; winch in the way"
    assert panel.dials.set("rig.rigging", "led") == ""
    assert any(one["label"] == "lead block" for one in pictures(panel)["path"]["marks"])


def test_rope_path_is_drawn_where_the_winding_is_not(panel) -> None:
    """Truth: a winch in front of the axle cannot wind the arm down past the axle's line."""
    assert panel.controls["winch.x"].set(3.0) == ""
    assert panel.wound.run is None
    shown = pictures(panel)["path"]
    assert shown["lines"] and "there no pull lowers the arm" in shown["words"]
    assert pictures(panel)["tension"]["empty"]


def test_only_pictures_that_change_are_drawn_again(panel) -> None:
    """Truth: the drum changes force and time, and neither the rope's pull nor the hook."""
    before = {key: one["stamp"] for key, one in pictures(panel).items()}
    assert panel.controls["winch.drum"].set(0.21) == ""
    after = {key: one["stamp"] for key, one in pictures(panel).items()}
    changed = {key for key, stamp in after.items() if stamp != before[key]}
    assert {"turn", "force", "reload", "heaviest"} <= changed
    assert not {"tension", "shape", "pull", "prong", "trace"} & changed
    scene = panel.pictures.widget.scene
    assert panel.dials.set("hook.person_z", 12.0) == ""
    assert panel.pictures.widget.scene is scene
    board = panel.pictures.widget
    total = sum(line["count"] for one in pictures(panel).values() for line in one["lines"])
    assert len(board.points) == 8 * total

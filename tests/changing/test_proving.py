"""Proving a machine from a light counterweight to the full one: expected and measured."""

import math
from dataclasses import replace

import pytest

import slingwright as sw
from slingwright.amounts.verdict import FAILS, HOLDS, exit_code
from slingwright.changing.proving import SAME, Expected, proving
from slingwright.learning.shots import field_shot
from slingwright.machine.table import dials
from slingwright.pages.standing.proving import measured

COPIES = 16


@pytest.fixture(scope="module")
def machine():
    """The Otter Ford machine."""
    return sw.read_machine("otter_ford")


@pytest.fixture(scope="module")
def plain(machine):
    """Its steps, with nothing measured."""
    return proving(machine, shares=(0.1, 0.5, 1.0), copies=COPIES, look=False)


def test_every_number_is_that_of_the_machine_as_it_is_then(machine, plain) -> None:
    """Truth: the machine changed by hand, thrown and wound; derived dials held as they were built.

    A tenth of the counterweight does not outweigh the arm, so that there is no such step.
    """
    assert [round(step.machine.number("counterweight.mass")) for step in plain.steps] == [
        *(320, 640),
        *(640, 640),
    ]
    kept = {path: machine[path] for path in machine.derived}
    half = machine.change(kept | {"counterweight.mass": 320.0})
    half = half.change({"counterweight.inertia": 0.5 * machine.number("counterweight.inertia")})
    told = {one.key: one for one in plain.steps[0].expected}
    thrown, wound = sw.throw(half), sw.winding(half)
    assert told["range"].value == thrown.range
    assert told["peak_axle_load"].value == thrown.peak_axle_load
    assert told["hook_load"].value == pytest.approx(wound.hook_load)
    assert told["axle_held"].value == thrown.held.axle_load
    assert told["force_per_person"].value == wound.force_per_person
    assert told["peak_rope_pull"].value == wound.peak_rope_pull
    for step in plain.steps:
        assert all(one.low <= one.value <= one.high for one in step.expected)
    loads = [step.machine.number("projectile.mass") for step in plain.steps]
    assert loads == [12.0, 12.0, 18.0, 4.0]


def test_limits_are_what_near_copies_and_weighing_allow(machine, plain) -> None:
    """Truth: the machine's own scatter at that weight; 5 % more counterweight by hand."""
    half = plain.steps[0].machine
    near = sw.scatter(half, n=COPIES, swing_through=0.0)
    told = {one.key: one for one in plain.steps[0].expected}
    assert told["range"].low == pytest.approx(min(near.quantile("range", 0.05).value, 1e9))
    assert told["range"].high == pytest.approx(near.quantile("range", 0.95).value)
    heavy = half.change({"counterweight.mass": 1.05 * half.number("counterweight.mass")})
    assert told["hook_load"].high == pytest.approx(sw.winding(heavy).hook_load)
    assert told["peak_rope_pull"].high > sw.winding(heavy).peak_rope_pull


def seen(machine, mass, **values):
    """A shot with a counterweight and what was measured, each to 1 %."""
    pairs = {key: (value, 0.01 * value) for key, value in values.items() if key != "range"}
    settings = {"counterweight.mass": mass}
    return field_shot("shot", range=values.get("range"), settings=settings, **pairs)


def test_measured_stands_beside_expected_and_stops_what_is_off(machine, plain) -> None:
    """Truth: numbers inside and outside the limits that the step itself tells."""
    told = {one.key: one for one in plain.steps[0].expected}
    good = seen(machine, 320.0, range=told["range"].value, hook_load=told["hook_load"].value)
    run = proving(machine, [good], shares=(0.5, 1.0), copies=COPIES, look=False)
    assert [step.verdict for step in run.steps] == ["holds", *["not known"] * 3]
    assert run.verdict == "not known" and exit_code(run.verdict) == 1
    assert "1 of 4 steps" in run.sentence and "Next: 100 % of the counterweight" in run.sentence
    rows = {row.key: row for row in run.rows()}
    key = f"{run.steps[0].name}.range"
    assert "measured" in rows[key].note and rows[key].note.endswith("holds")
    for far in (1.01 * told["range"].high, 0.99 * told["range"].low):
        off = seen(machine, 320.0, range=far, hook_load=told["hook_load"].value)
        run = proving(machine, [good, off], shares=(0.5, 1.0), copies=COPIES, look=False)
        assert run.verdict == "fails" and "Stop at 50 %" in run.sentence
        assert "range was" in run.steps[0].wrong
    other = seen(machine, 320.0 * (1.0 + 2.0 * SAME), range=1.0)
    run = proving(machine, [other], shares=(0.5, 1.0), copies=COPIES, look=False)
    assert {one.measured for step in run.steps for one in step.expected} == {()}
    axle = seen(machine, 640.0, peak_axle_load=1e6)
    run = proving(machine, [axle], shares=(1.0,), copies=COPIES, look=False)
    assert run.steps[0].verdict == "fails"


def test_every_step_measured_as_expected_is_proved(machine, plain) -> None:
    """Truth: logic: a whole holds where each step does."""
    shots = [
        replace(
            seen(machine, 640.0),
            settings={
                path: step.machine[path] for path in ("counterweight.mass", "projectile.mass")
            },
            seen={one.key: (one.value, 1.0) for one in step.expected if one.key in KEYS},
        )
        for step in plain.steps
    ]
    run = proving(machine, shots, shares=(0.5, 1.0), copies=COPIES, look=False)
    assert run.verdict == "holds" and "proved as far as these steps go" in run.sentence
    assert all(dials.dial(path) for path in ("counterweight.mass", "projectile.mass"))


KEYS = ("range", "hook_load", "peak_axle_load")


def test_checks_stop_before_the_weight_that_fails_and_the_sheet_is_to_fill_in(machine) -> None:
    """Truth: the checks of the machine at that weight; the ground of its own zone."""
    run = proving(machine, shares=(0.3, 1.0), copies=COPIES)
    first = run.steps[0]
    failing = [one.name for one in sw.checks(first.machine) if one.verdict == "fails"]
    assert list(first.against) == failing and (first.verdict == "fails") == bool(failing)
    last = run.steps[1]
    assert last.verdict == "fails" and "by the checks fail" in last.wrong
    assert f"clear {math.ceil(sw.zone(last.machine).clear_ahead)} m ahead" in last.do
    assert "do not loose it, it would not throw" in first.do or "then loose it" in first.do
    sheet = str(run.sheet())
    assert sheet.count("........") == sum(len(step.expected) for step in run.steps)
    told = run.report().told("US")
    assert "licensed person" in told and " kg" not in told and " kN" not in told


def test_shares_that_do_not_rise_to_one_are_refused(machine) -> None:
    """Truth: the rule in the words."""
    for shares in ((), (0.5,), (1.0, 0.5), (0.0, 1.0)):
        with pytest.raises(ValueError, match="rising ones above 0 that end with 1"):
            proving(machine, shares=shares)


def test_a_force_with_its_sign_turned_does_not_count_as_measured_well() -> None:
    """Truth: a pull has no side: what is below 0 was read wrongly, on the page and by the log."""
    one = Expected("force_per_person", "force per person", "N", 120.0, 0.0, 160.0)
    for value, verdict in ((100.0, HOLDS), (-100.0, FAILS), (200.0, FAILS)):
        assert replace(one, measured=(value,)).verdict == verdict
    asked = "rope", "N", "proving with 640 kg of counterweight and 12 kg thrown", "metric"
    assert measured("0.6 kN", *asked).value == 600.0
    for typed, words in (("-0.6 kN", "below 0"), ("", "type what was"), ("3 ft", "not a number")):
        with pytest.raises(ValueError, match=words):
            measured(typed, *asked)

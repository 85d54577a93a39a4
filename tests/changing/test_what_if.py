"""Proposed changes alone, together and left out; the order; what only after what.

Truth: single throws and windings of the changed machines; every order tried by force; made-up
checks whose answers are known by construction.
"""

import itertools
import math
from dataclasses import replace
from types import SimpleNamespace

import pytest

import slingwright as sw
from slingwright.changing.state import look_at, new_failings
from slingwright.changing.tables import change_table
from slingwright.changing.what_if import Change, WhatIfError, what_if
from slingwright.learning.belief import before_any_shot
from slingwright.machine.machine import Machine
from slingwright.motion.spread.uncertain import Uncertain
from slingwright.standing.places import winding_checks
from slingwright.strength.clearance import clearance
from slingwright.winch.cycle import winding

HEAVIER = Change(name="heavier fill", dials={"counterweight.mass": "800 kg"}, cost=40.0, hours=3.0)
DRUM = Change(name="smaller drum", dials={"winch.drum": "0.12 m"}, cost=60.0, hours=5.0)
SLING = Change(name="lighter sling", dials={"sling.mass": "0.5 kg"}, cost=25.0, hours=1.0)
AXLE = Change(name="thicker axle", dials={"axle.diameter": "95 mm"}, cost=150.0, hours=6.0)


@pytest.fixture(scope="module")
def machine() -> Machine:
    return sw.read_machine(sw.data_folder() / "otter_ford.toml")


def axle_alone(machine):
    """A made-up check: the axle carries 24 kg of weight a millimetre less 1,200."""
    use = machine.number("counterweight.mass") / (
        24_000.0 * machine.number("axle.diameter") - 1200.0
    )
    return [SimpleNamespace(name="axle", part="axle", utilisation=use)]


@pytest.fixture(scope="module")
def weighed(machine):
    return what_if(machine, [HEAVIER, DRUM, SLING, AXLE], checks=axle_alone)


def test_states_are_single_throws_and_windings(machine, weighed) -> None:
    """Truth: `throw` and `winding` of the machine changed by hand."""
    changed = machine.change({"counterweight.mass": 800.0})
    heavier = weighed.alone[0]
    thrown, wound = sw.throw(changed), winding(changed, steps=61)
    assert heavier.range == thrown.range
    assert heavier.axle_load == thrown.peak_axle_load
    assert heavier.crank_force == pytest.approx(wound.force_per_person, rel=1e-12)
    assert heavier.reload_time == pytest.approx(3600.0 / wound.loosings_an_hour, rel=1e-12)
    together = machine.change({**HEAVIER.dials, **DRUM.dials, **SLING.dials, **AXLE.dials})
    assert weighed.together.range == sw.throw(together).range
    without = machine.change({**HEAVIER.dials, **DRUM.dials, **SLING.dials})
    assert weighed.left_out[3].range == sw.throw(without).range
    assert weighed.present.range == sw.throw(machine).range


def test_cost_and_hours_add_up(weighed) -> None:
    """Truth: sums by hand."""
    assert (weighed.together.cost, weighed.together.hours) == (275.0, 15.0)
    assert (weighed.left_out[0].cost, weighed.left_out[0].hours) == (235.0, 12.0)
    assert weighed.present.cost == 0.0


def test_every_state_is_a_row(weighed) -> None:
    """Truth: present, four alone, all together, four left out."""
    assert len(weighed.states) == 10
    assert weighed.states[0].label == "present machine"
    assert weighed.states[-1].names == ("heavier fill", "smaller drum", "lighter sling")


def test_a_change_is_only_safe_after_another(weighed) -> None:
    """Truth: 800 kg over 24 * 80 - 1200 = 720 kg fails, over 24 * 95 - 1200 = 1080 kg holds."""
    (told,) = weighed.only_after
    assert (told.change, told.after) == ("heavier fill", ("thicker axle",))
    assert "111 %" in told.failing
    order = weighed.order
    assert order.index("thicker axle") < order.index("heavier fill")
    assert all(not new_failings(step, weighed.present) for step in weighed.steps)
    assert "heavier fill only after thicker axle" in weighed.advice()


def test_the_order_is_the_best_of_all(machine, weighed) -> None:
    """Truth: all 24 orders walked by force, few new failings first, then range early."""
    changes = {change.name: change for change in weighed.changes}
    known = {}

    def merit(names):
        key = frozenset(names)
        if key not in known:
            dials = {path: v for name in names for path, v in changes[name].dials.items()}
            state = look_at(machine.change(dials), names, checks=axle_alone)
            known[key] = (-len(new_failings(state, weighed.present)), state.range)
        return known[key]

    def worth(order):
        steps = [merit(order[: i + 1]) for i in range(len(order))]
        return (sum(bad for bad, _ in steps), sum(far for _, far in steps))

    best = max(worth(order) for order in itertools.permutations(changes))
    mine = worth(weighed.order)
    assert mine[0] == best[0]
    assert mine[1] == pytest.approx(best[1], rel=1e-12)


def test_two_that_are_needed_together(machine) -> None:
    """Truth: a made-up rule that holds a heavy weight only with both of two other changes."""

    def both(m):
        heavy = m.number("counterweight.mass") > 700.0
        held = m.number("axle.diameter") > 0.09 and m.number("sling.mass") < 0.6
        return [SimpleNamespace(name="x", part="arm", utilisation=2.0 if heavy and not held else 0)]

    told = what_if(machine, [HEAVIER, SLING, AXLE], checks=both).only_after
    assert [(one.change, one.after) for one in told] == [
        ("heavier fill", ("lighter sling", "thicker axle"))
    ]
    alone = what_if(machine, [HEAVIER, SLING], checks=both).only_after[0]
    assert alone.after is None
    assert "none of the other changes" in str(alone)


def test_what_fails_already_forbids_nothing_unless_it_gets_worse(machine) -> None:
    """Truth: a check at 150 % before; at 152 % it is as before, at 180 % it is worse."""

    def failing(m):
        use = {640.0: 1.5, 800.0: 1.8}.get(m.number("counterweight.mass"), 1.52)
        return [SimpleNamespace(name="arm", part="arm", utilisation=use)]

    found = what_if(machine, [HEAVIER, SLING], checks=failing)
    assert "Already now: arm is at 150 %" in found.advice()
    assert [one.change for one in found.only_after] == ["heavier fill"]


def test_many_changes_are_ordered_step_by_step(machine) -> None:
    """Truth: seven changes that touch seven dials: each is made once, all together at the end."""
    paths = (
        "arm.long",
        "sling.length",
        "trough.friction",
        "axle.friction",
        "hanger.friction",
        "sling.pouch",
        "winch.crank",
    )
    changes = [Change(name=path, dials={path: 1.01 * machine.number(path)}) for path in paths]
    found = what_if(machine, changes, checks=lambda m: [])
    assert sorted(found.order) == sorted(paths)
    assert found.steps[-1].range == found.together.range


def test_a_change_that_makes_no_machine_is_told(machine) -> None:
    """Truth: an arm longer than its limit is no machine; the state says so and has no numbers."""
    found = what_if(
        machine, [Change(name="longer", dials={"arm.long": "90 m"}), SLING], checks=lambda m: []
    )
    assert found.alone[0].range is None
    assert "arm.long" in found.alone[0].failings["machine"]
    assert found.order[0] == "lighter sling"


def test_a_throw_past_the_clear_ground_is_a_failing(machine) -> None:
    """Truth: 1,400 kg throws past 220 m, by a single throw."""
    far = machine.change({"counterweight.mass": 1400.0})
    assert sw.throw(far).range > 220.0
    assert "past the clear ground" in look_at(far, checks=lambda m: []).failings["clear ground"]


def test_the_kits_own_checks_are_run(machine) -> None:
    """Truth: the list of `checks`, its worst known one and what of it fails."""
    rows = sw.checks(machine)
    state = look_at(machine)
    planned = [row.as_planned for row in rows if not row.of_mishap]
    known = [row for row in planned if math.isfinite(row.utilisation)]
    worst = max(known, key=lambda row: row.utilisation)
    assert (state.worst_check, state.worst_use) == (worst.name, worst.utilisation)
    for row in rows:
        where = {"fails": state.uses, "not known": state.unknown}
        name = f"{row.name}, in a mishap" if row.of_mishap else row.name
        assert row.as_planned.passes or name in where[row.as_planned.verdict]
        assert not row.mishap or f"{row.name}, in a mishap" in where[row.verdict]
    assert not set(state.unknown) & set(state.failings)
    assert state.axle_use == max(r.utilisation for r in known if r.part.startswith("axle"))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ([], "no changes"),
        ([HEAVIER, HEAVIER], "two changes are called"),
        ([HEAVIER, Change(name="b", dials={"counterweight.mass": "900 kg"})], "both set"),
        ([Change(name=str(i), dials={"sling.mass": 0.5}) for i in range(13)], "12 is the most"),
    ],
)
def test_changes_that_cannot_be_weighed_are_refused(machine, changes, words) -> None:
    """Truth: the message names the two, or the limit."""
    with pytest.raises(WhatIfError, match=words):
        what_if(machine, changes, checks=lambda m: [])


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"name": " "}, "no name"),
        ({"dials": {}}, "changes nothing"),
        ({"dials": {"sling.lenght": 4.0}}, "did you mean sling.length"),
        ({"hours": -1.0}, "finite number"),
        ({"cost": float("nan")}, "finite number"),
    ],
)
def test_a_change_that_makes_no_sense_is_refused(fields, words) -> None:
    """Truth: the message names the thing and the next step."""
    with pytest.raises(WhatIfError, match=words):
        Change(**{"name": "a", "dials": {"sling.mass": 0.5}, **fields})


def test_more_than_six_changes_say_that_not_every_order_was_tried(machine) -> None:
    """Truth: states looked at, counted; the words; six or fewer say nothing of it."""
    many = [
        Change(name=f"fill {i}", dials={f"{path}": value})
        for i, (path, value) in enumerate(
            {
                "winch.drum": "0.19 m",
                "winch.crank": "0.39 m",
                "sling.mass": "0.85 kg",
                "projectile.diameter": "0.29 m",
                "axle.friction": 0.11,
                "trough.friction": 0.31,
                "counterweight.mass": "760 kg",
            }.items()
        )
    ]
    looked = []
    found = what_if(
        machine, many, checks=axle_alone, progress=lambda known, most: looked.append((known, most))
    )
    assert not found.every_set and len(looked) < 2**7
    assert all(known <= most for known, most in looked)
    assert "not every order is tried" in found.advice()
    last = found.only_after[0]
    assert last.change == "fill 6" and "two or more together were not tried" in str(last)
    few = what_if(machine, many[-2:], checks=axle_alone)
    assert few.every_set and "not every order" not in few.advice()
    assert not few.holds and few.needed_before("fill 6") == "not at all"
    assert few.needed_before("fill 5") == "any time"


def test_winch_rope_ratings_clearance_and_ground_are_counted(machine) -> None:
    """Truth: rigging, clearance and zone asked by themselves; what was unrated is not known."""
    state = look_at(machine)
    pieces = {
        r.name: r.verdict for r in winding_checks(machine, winding(machine), sw.throw(machine))
    }
    unrated = {name for name, verdict in pieces.items() if verdict == "not known"}
    assert unrated and unrated <= set(state.unknown)
    assert ("clearance" in state.unknown) == (clearance(machine).verdict == "not known")
    ground = sw.zone(machine).verdict
    assert ("ground to keep clear" in state.failings) == (ground == "fails")
    thin = look_at(machine.change({"winch.rope": "5 mm"}))
    assert any("rope" in words for words in new_failings(thin, state))


def test_a_tick_is_for_what_is_known_to_hold(machine) -> None:
    """Truth: the verdicts by construction: nothing known, nothing read, worse than before."""
    unread = what_if(machine, [Change(name="odd", dials={"arm.long": "90 m"})], checks=lambda m: [])
    assert change_table(unread).cells()[-1][-1] == "\N{BALLOT X} no machine"

    def unsure(m):
        heavy = m.number("counterweight.mass") > 700.0
        return [SimpleNamespace(name="x", part="arm", utilisation=0.5, known=not heavy)]

    found = what_if(machine, [HEAVIER], checks=unsure)
    assert found.holds is None and new_failings(found.together, found.present)
    assert change_table(found).cells()[-1][-1] == "\N{BALLOT X} worse"
    assert change_table(found).cells()[0][-1] == "\N{CHECK MARK} holds"
    same = what_if(
        machine,
        [SLING],
        checks=lambda m: [SimpleNamespace(name="x", part="arm", utilisation=0.5, known=False)],
    )
    assert change_table(same).cells()[-1][-1] == "? not known"


def test_changes_are_weighed_as_learned(machine) -> None:
    """Truth: throws of the machine with the weight that was learned; its draws past a limit."""
    heavier = Uncertain(
        path="counterweight.mass", way="factor", mean=1.1, sd=0.02, source="made up"
    )
    belief = before_any_shot(machine, [heavier])
    found = what_if(machine, [SLING], belief=belief, checks=axle_alone)
    real = machine.change({"counterweight.mass": 704.0})
    assert found.present.range == pytest.approx(sw.throw(real).range, rel=1e-9)
    both = real.change(dict(SLING.dials))
    assert found.together.range == pytest.approx(sw.throw(both).range, rel=1e-9)
    assert found.basis in found.advice() and "as drawn" not in found.advice()
    assert "as drawn" in what_if(machine, [SLING], checks=axle_alone).advice()
    landed = belief.next_shot()
    for limit, failing in ((landed.value + 1.0, True), (3.0 * landed.high, False)):
        short = machine.change({"site.limit": limit})
        held = replace(belief, machine=short)
        seen = what_if(short, [SLING], belief=held, checks=axle_alone).present
        assert ("clear ground" in seen.failings) == failing
    with pytest.raises(WhatIfError, match="disagree"):
        what_if(machine, [SLING], belief=replace(belief, doubt="they disagree"))

"""How far a motion is known: ropes that would push, strikes, and late peaks.

Truth: the signs of the pulls and the heights of the motion itself, followed far past the moment
told; the definition of the natural time sqrt((arm.long + sling.length) / g).
"""

import numpy as np
import pytest
from hypothesis import HealthCheck, example, given, settings
from strategies import legal_settings

import slingwright as sw
from slingwright.machine.machine import MachineError, build
from slingwright.motion.known import FIRST_UNITS, LEAST_UNITS, box_bottom, follow
from slingwright.motion.throwing import natural_time
from slingwright.strength.clearance import clearance
from slingwright.strength.loads.brief import EMPTY, loaded_machine
from slingwright.strength.loads.cases import load_cases, with_copies

NEVER_LOOSED = {
    "sling.length": 3.0,
    "release.angle": 0.0,
    "counterweight.mass": 504.0,
    "arm.short": 1.1154,
    "counterweight.hanger": 0.8859,
    "counterweight.inertia": 60.9,
    "counterweight.width": 0.6,
    "counterweight.height": 0.5,
}
"""A machine whose heaviest load of the brief never leaves the sling."""


def otter_ford() -> sw.Machine:
    return sw.read_machine("otter_ford")


def test_a_late_peak_is_found() -> None:
    """Truth: the same motion, more finely stepped, up to its first slack."""
    machine = loaded_machine(otter_ford(), EMPTY)
    long = sw.throw(machine, swing_through=60.0, tolerance=1e-10)
    taut = long.time <= long.slack[0][0]
    peak = float(long.axle_load[taut].max())
    early = float(long.axle_load[long.time < long.release.time + 5.0].max())
    found = follow(machine)
    assert peak >= early
    assert found.throw.peak_axle_load >= peak * (1.0 - 1e-3)
    case = next(one for one in load_cases(otter_ford()) if one.kind == "empty")
    assert case.axle_load >= peak * (1.0 - 1e-3)


@pytest.mark.parametrize("name", ["otter_ford", "garden", "on_wheels", "fixed_pair"])
@pytest.mark.parametrize("ring", [True, False])
def test_nothing_pushes_and_nothing_is_struck_while_it_is_known(name, ring) -> None:
    """Truth: the whole motion: what is told happens at the next moment of it."""
    machine = sw.read_machine(name)
    found = follow(machine, ring=ring)
    pulled = np.minimum(found.throw.sling_tension, found.throw.pouch_tension)
    assert (pulled >= -1e-6 * pulled.max()).all() and (found.throw.tip[:, 1] >= -1e-9).all()
    assert (box_bottom(found.throw) >= -1e-9).all()
    assert found.until == pytest.approx(found.throw.time[-1])
    begun = 0.0 if ring else found.throw.release.time
    if found.throw.rested:
        assert "to rest" in found.words
    elif found.cut:
        assert f"known until {found.until:.2f} s" in found.words and found.final
    else:
        lasted = found.until - begun
        assert lasted == pytest.approx(LEAST_UNITS * natural_time(machine), rel=1e-3)
    quick = follow(machine, ring=ring, units=FIRST_UNITS)
    assert quick.until - begun <= FIRST_UNITS * natural_time(machine) * 1.001
    assert quick.final == bool(quick.cut or quick.throw.rested)


@pytest.mark.parametrize(
    ("changes", "case", "words"),
    [
        (
            {"axle.height": 2.9},
            "show ball, ash",
            "the counterweight box strikes the front cross sill",
        ),
        (NEVER_LOOSED, "sandbag", "the sling goes slack"),
    ],
)
def test_a_case_that_ends_early_is_not_known(changes, case, words) -> None:
    """Truth: no check that rests on the cases holds past the moment at which one of them ends."""
    machine = otter_ford().change(changes)
    told = sw.holding(machine)
    one = next(found for found in told.cases if found.name == case)
    assert one.cut and words in one.cut
    assert told.holds is not True and "hold" not in told.sentence
    passing = {check.name for check in told.checks if check.passes}
    # What needs no motion: sizes against sizes, what stands; or none after the loosing.
    loosed = all(one.throw.release for one in told.cases if one.kind == "brief")
    assert loosed == ("sling cords, one late or parted" in passing)
    to_loosing = {
        "frames twisted by one cord",
        "sling cords, one late or parted",
        "arm pulled aside by one cord",
        "prong, one cord late or parted",
    }
    assert (
        "projectiles in the trough"
        in passing
        <= {
            "counterweight box between the legs",
            "projectiles in the trough",
            "arm between the support pieces",
            "bolts' distance to the edges",
            "bolts' distance to ends and joints",
            "strap bolts' distances in box and strap",
            "sway of the box toward the legs",
            "overturning in a gust",
        }
        | (to_loosing if loosed else set())
    )
    rests = next(check for check in told.checks if check.at_least is not None)
    assert rests.verdict == "not known"
    cut = [found for found in with_copies(told.cases) if found.cut]
    assert any(
        rests.unknown == f"by {found.until:.2f} s, where {found.cut} in {found.name}"
        for found in cut
    )
    assert not clearance(machine).clear


def test_what_fails_while_it_is_known_fails() -> None:
    """Truth: a demand that was reached is not taken back by what comes after."""
    told = sw.holding(otter_ford().change({"axle.diameter": "50 mm"}))
    axle = next(check for check in told.checks if check.name == "axle in bending")
    assert axle.verdict == "fails" and axle.at_least is None and told.holds is False


PUSHED_AS_LOOSED = {
    "arm.long": 1.0,
    "arm.short": 1.0 / 3.0,
    "axle.height": 1.0 + 5.0 / 24.0,
    "counterweight.mass": 40.0,
    "sling.length": 1.0,
    "projectile.mass": 0.0,
    "sling.mass": 1.0,
}
PUSHED_WITHIN_A_STEP = {
    "arm.long": 1.0,
    "arm.short": 4.0 / 11.0,
    "axle.height": 1.2542613636363638,
    "counterweight.mass": 160.0,
    "sling.length": 0.75,
    "projectile.mass": 1.5625,
}

PUSHED_IN_A_FREE_STEP = {
    "arm.long": 1.0,
    "arm.short": 0.4,
    "axle.height": 1.0015625,
    "counterweight.mass": 22.5,
    "sling.length": 1.140625,
    "projectile.mass": 0.9228515625,
}

PUSHED_AFTER_A_STEEP_FALL = {
    "arm.long": 3.0,
    "arm.short": 1.2,
    "axle.height": 3.0046875,
    "counterweight.mass": 607.5,
    "sling.length": 3.421875,
    "projectile.mass": 24.9169921875,
}


LOOKED_INTO = (
    PUSHED_AS_LOOSED,
    PUSHED_AFTER_A_STEEP_FALL,
    PUSHED_WITHIN_A_STEP,
    PUSHED_IN_A_FREE_STEP,
)


@pytest.mark.slow
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@example({**PUSHED_AS_LOOSED})
@example({**PUSHED_AFTER_A_STEEP_FALL})
@example({**PUSHED_WITHIN_A_STEP})
@example({**PUSHED_IN_A_FREE_STEP})
@given(legal_settings())
def test_random_machines_are_known_no_farther_than_they_pull(values) -> None:
    """Truth: the signs of the pulls over the whole motion, and its end."""
    try:
        machine = build(values)
    except MachineError:
        return
    for ring in (True, False):
        found = follow(machine, ring=ring, tolerance=1e-7)
        whole = found.throw
        pulls = np.minimum(whole.sling_tension, whole.pouch_tension)
        # The moment at which the load is lifted is kept, whatever the pull in it. Where no such
        # machine was looked into before, a dip within a step may be missed: 0.4 % of the largest
        # pull was found so.
        slack = (1e-6 if values in LOOKED_INTO else 5e-3) * max(float(pulls.max()), 1e-3)
        assert len(whole.time) == 1 or (pulls[:-1] >= -slack).all()
        assert np.isfinite(whole.peak_axle_load) and np.isfinite(whole.axle_force).all()
        assert found.until <= whole.time[-1] * (1.0 + 1e-12)
        assert found.cut or found.final

"""What would make a check pass: at the value found the check is at its limit, by checking again."""

from functools import cache
from pathlib import Path

import pytest

import slingwright as sw
from slingwright.machine.table import dials
from slingwright.strength.checks import checks, holding
from slingwright.strength.mending.remedies import GROWTH, all_remedies, remedies


@cache
def weak():
    m = sw.read_machine(Path(__file__).parents[2] / "machines" / "first_draft.toml")
    straps = {"hanger.bolt": "M20", "hanger.straps": 4.0, "counterweight.side": "100 mm"}
    bores = {"axle.diameter": "60 mm", "arm.hole": "60 mm"}
    return holding(m.change({"site.ground": "150 kPa", **bores, **straps}))


def named(found, name):
    return next(check for check in found if check.name == name)


@pytest.mark.parametrize(
    ("name", "path"),
    [
        ("axle in bending", "axle.diameter"),
        ("axle in bending", "axle.support"),
        ("overturning", "base.anchors"),
        ("sliding", "base.stakes"),
        ("strap bolts in the box", "hanger.bolts"),
        ("prong in bending with shear", "prong.diameter"),
        ("ground pressure", "frame.sill_width"),
    ],
)
def test_check_is_at_its_limit_there(name, path):
    """Truth: the whole table of checks, worked out anew with the value that was found.

    A dial that moves in steps (bolts, listed ropes) may hold with something to spare, and so may
    one that moves the motion: a snatch differs from one value to the next.
    """
    check = named(weak().checks, name)
    assert check.utilisation > 1.0
    found = next(remedy for remedy in remedies(weak(), check) if remedy.path == path)
    assert found.value is not None
    again = named(checks(weak().machine.change({path: found.value})), name)
    assert again.utilisation <= 1.0 + 1e-9
    assert again.utilisation == pytest.approx(found.utilisation, rel=1e-6)
    if not dials.dial(path).whole and not dials.dial(path).moves:
        assert again.utilisation > (0.98 if path.startswith(("axle", "frame", "base")) else 0.3)


def test_a_far_value_is_reached_by_growing_strides():
    """Truth: bending of a round bar goes with the cube of its diameter: more than one stride."""
    check = named(weak().checks, "prong in bending with shear")
    found = next(r for r in remedies(weak(), check) if r.path == "prong.diameter")
    least = check.utilisation ** (1.0 / 3.0)
    assert least > 1.1 * GROWTH and found.value > 0.99 * least * found.now


def test_a_step_less_would_not_do():
    """Truth: bolts are counted: one less than found fails."""
    check = named(weak().checks, "strap bolts in the box")
    found = next(r for r in remedies(weak(), check) if r.path == "hanger.bolts")
    fewer = named(checks(weak().machine.change({"hanger.bolts": found.value - 1.0})), check.name)
    assert fewer.utilisation > 1.0


@pytest.mark.parametrize(
    ("name", "path"),
    [
        ("sling cords", "sling.knot"),
        ("sling cords", "sling.rope_diameter"),
        ("pouch", "sling.pouch_width"),
        ("overturning", "frame.sill_length"),
    ],
)
def test_what_does_not_help_says_so(name, path):
    """Truth: the snatch of a ring that never slips: no knot keeps twice a bowline's strength, a
    thicker cord is stiffer and caught the harder, eight times the pouch is not enough, and a base
    that is lifted whole tips whatever its sill.
    """
    check = named(weak().checks, name)
    found = next(r for r in remedies(weak(), check) if r.path == path)
    assert found.value is None and "alone does not" in found.words


def test_every_failing_check_is_looked_at():
    """Truth: the table's rows that do not pass."""
    failing = [check.name for check in weak().checks if not check.passes and check.known]
    assert len(failing) > 3
    assert {remedy.check for remedy in all_remedies(weak(), most=2)} == set(failing[:2])

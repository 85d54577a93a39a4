"""The A-frame's unit solutions against statics and the force method by hand."""

import math

import pytest

import slingwright as sw
from slingwright.strength.frame import FrameShape, frame_shape, frame_units


def shape(**changes):
    sizes = {
        "height": 4.2,
        "spread": 3.5,
        "brace": 1.7,
        "leg": (0.15, 0.19),
        "brace_section": (0.11, 0.13),
        "sill": (0.15, 0.19),
        "modulus": 11e9,
        "shear_modulus": 0.69e9,
    }
    return FrameShape(**{**sizes, **changes})


def test_legs_and_sill_by_statics():
    """Truth: equilibrium of the apex and of a foot: an A-frame tied at its feet is a truss.

    Up: each leg -1/(2 sin), sill 1/(2 tan); along: the legs -/+ 1/(2 cos). The thrust is taken
    by the rear foot alone, so the sill carries half. The brace bends the legs by less than 2 %.
    """
    s = shape()
    units = frame_units(s)
    assert units.axial[:2, 1] == pytest.approx(-0.5 / math.sin(s.lean), rel=2e-3)
    assert units.axial[3, 1] == pytest.approx(0.5 / math.tan(s.lean), rel=2e-2)
    assert units.axial[0, 0] == pytest.approx(-0.5 / math.cos(s.lean), rel=2e-3)
    assert units.axial[1, 0] == pytest.approx(0.5 / math.cos(s.lean), rel=2e-3)
    assert abs(units.axial[3, 0]) == pytest.approx(0.5, rel=2e-2)


@pytest.mark.parametrize("brace", [(0.2, 0.3), (0.02, 0.03)])
def test_brace_by_the_force_method(brace):
    """Truth: the force method by hand, the brace taken as the one redundant, unit force upward.

    Legs are simple beams from foot to apex; X = -D_0/f with bending and stretch of every member
    (Timoshenko and Young, Theory of Structures, virtual work; from memory).
    """
    s = shape(brace=2.4, brace_section=brace)
    low, high = s.lower_length, s.leg_length - s.lower_length
    over = s.spread * (1.0 - s.brace / s.height)
    sine, cosine = math.sin(s.lean), math.cos(s.lean)
    leg, sill, tie = (width * depth for width, depth in (s.leg, s.sill, s.brace_section))
    inertia = s.leg[0] * s.leg[1] ** 3 / 12.0
    at_apex = s.brace / s.height
    at_foot = 1.0 - at_apex
    bent = at_foot * sine * low
    start = (
        2.0 * (at_foot * cosine * low - at_apex * cosine * high) / (2.0 * sine * leg)
        + at_foot * s.spread / (2.0 * math.tan(s.lean) * sill)
    ) / s.modulus
    give = (
        2.0 * bent**2 * s.leg_length / (3.0 * inertia)
        + 2.0 * cosine**2 * (at_foot**2 * low + at_apex**2 * high) / leg
        + at_foot**2 * s.spread / sill
        + over / tie
    ) / s.modulus
    pull = -start / give
    units = frame_units(s)
    assert units.axial[2, 1] == pytest.approx(-pull, rel=1e-6)
    assert abs(units.moment[0, 1]) == pytest.approx(abs(pull) * bent, rel=1e-6)
    sill_pull = -(0.5 / math.tan(s.lean)) - pull * at_foot
    assert units.axial[3, 1] == pytest.approx(-sill_pull, rel=1e-6)


def test_frame_is_symmetrical():
    """Truth: mirror symmetry of the frame, the level support apart."""
    units = frame_units(shape())
    assert units.axial[0, 1] == pytest.approx(units.axial[1, 1], rel=1e-9)
    assert units.axial[0, 0] == pytest.approx(-units.axial[1, 0], rel=1e-3)
    assert units.moment[0, 1] == pytest.approx(units.moment[1, 1], rel=1e-6)


def test_brace_must_stand_between_sill_and_axle():
    """Truth: geometry: a brace above the axle braces nothing."""
    m = sw.read_machine(sw.data_folder() / "otter_ford.toml")
    with pytest.raises(ValueError, match=r"frame\.brace is 4\.5 m"):
        frame_shape(m.change({"frame.brace": "4.5 m"}))
    assert frame_shape(m).height == 4.2


@pytest.mark.parametrize(("share", "stands"), [(0.015, 0), (0.025, 1), (0.975, 1), (0.985, 0)])
def test_brace_keeps_a_fiftieth_of_the_height_from_both_ends(share, stands):
    """Truth: the rule told in the message: 0.02 to 0.98 of the axle's height."""
    m = sw.read_machine(sw.data_folder() / "otter_ford.toml")
    m = m.change({"frame.brace": share * m.number("axle.height")})
    if stands:
        assert frame_shape(m).brace == m.number("frame.brace")
    else:
        with pytest.raises(ValueError, match="must stand between the sill and the axle"):
            frame_shape(m)

"""Joints of the frame, and the frame pushed sideways: against statics and published formulas."""

import math
from functools import cache

import numpy as np
import pytest

import slingwright as sw
from slingwright.formulas.timber import joints
from slingwright.strength.check import Subject
from slingwright.strength.checks import checks, holding
from slingwright.strength.frame import frame_shape
from slingwright.strength.loads.cases import with_copies
from slingwright.strength.parts.joints import bolt_plane, bolts_that_count


@cache
def machine(name="otter_ford"):
    return sw.read_machine(sw.data_folder() / f"{name}.toml")


@cache
def held_by(name="otter_ford"):
    return holding(machine(name))


def named(found, name):
    return next(check for check in found if check.name == name)


def only(**changes):
    """Checks of the Otter Ford machine with changes; `__` stands for the full stop."""
    return checks(machine().change({k.replace("__", "."): v for k, v in changes.items()}))


def test_head_carries_what_pulls_a_leg():
    """Truth: statics of the apex: a frame's share of the axle's force, split along its two legs.

    The level brace of this frame bends the legs by so little that their shear is left out: 1 %.
    """
    shape = frame_shape(machine())
    check = named(held_by().checks, "joint at the head of the legs")
    most = 0.0
    for case in with_copies(held_by().cases):
        along, up = (-1.35 * machine()["frame.share"] * case.axle_force).T
        level, down = along / (2.0 * math.cos(shape.lean)), up / (2.0 * math.sin(shape.lean))
        most = max(most, float(np.maximum(np.abs(level) + down, 0.0).max()))
    assert check.demand == pytest.approx(most, rel=1e-2)


def test_head_bolts_by_hand():
    """Truth: EN 1995-1-1 eq 8.6 f and 8.34 by hand for two M20 4.6 in C24 across the grain.

    f_h,0 = 0.082 (1 - 0.2) 350 = 22.96, k_90 = 1.65 for softwood; M_y = 289,640 N mm.
    """
    lapped = machine().change({"frame.plate": 0.0})
    check = named(checks(lapped), "joint at the head of the legs")
    across = 0.082 * 0.8 * 350.0 / 1.65
    one = 1.15 * math.sqrt(2.0 * 289_638.0 * across * 20.0)
    counted = 2.0**0.9 * (100.0 / (13.0 * 20.0)) ** 0.25
    assert bolts_that_count(Subject(machine=machine(), every_case=())) == pytest.approx(counted)
    assert check.capacity == pytest.approx(one * counted * 0.9 / 1.3, rel=1e-4)


def test_plates_take_the_weaker_piece():
    """Truth: a chain is as strong as its weakest link: each piece alone by eq 8.12 and 8.13."""
    plated = Subject(machine=machine().change({"frame.plate": "20 mm"}), every_case=())
    thin, thick = (0.06, 0.0), (0.2, 0.0)
    both = bolt_plane(plated, (thin, thick))
    assert both == bolt_plane(plated, (thick, thin)) == bolt_plane(plated, (thin, thin))
    alone = joints.steel_outer_plates(0.06, 0.082 * 0.8 * 350e6, 0.02, 289.6381, 0.02)
    assert both[0] == pytest.approx(alone.resistance, rel=1e-6) and both[1] == 2


def test_brace_that_holds_the_legs_apart_is_bolted_for_it():
    """Truth: a sill that stretches leaves the thrust to the brace: its joint then carries it."""
    stiff = named(held_by().checks, "joint of brace and leg")
    soft = named(only(frame__sill_width="6 mm", frame__sill_depth="6 mm"), "joint of brace and leg")
    assert soft.demand > 20.0 * stiff.demand
    split = named(
        only(frame__sill_width="6 mm", frame__sill_depth="6 mm"), "leg split at the brace"
    )
    assert split.demand > 20.0 * named(held_by().checks, "leg split at the brace").demand
    assert split.capacity == pytest.approx(14.0 * 200.0 * math.sqrt(200.0) * 0.9 / 1.3)


def test_side_brace_by_statics():
    """Truth: statics of the head: N = H sqrt(h^2 + a^2) / a, H a share of the axle load."""
    m = machine().change({"frame.side_foot": "1.6 m", "frame.side_share": 0.1})
    found = holding(m)
    check = named(found.checks, "side brace in compression")
    load = max(case.axle_load for case in found.cases)
    push = 1.35 * 0.1 * load * math.hypot(4.2, 1.6) / 1.6
    assert check.demand == pytest.approx(push / (0.18 * 0.12), rel=1e-9)
    assert named(found.checks, "joint of the side brace").demand == pytest.approx(push, rel=1e-9)


def test_side_brace_buckles_as_euler_says_when_slender():
    """Truth: Euler: k_c f_c,0,k nears pi^2 E_05 / slenderness^2 from below when slender."""
    found = only(frame__side_foot="8 m")
    check = named(found, "side brace in compression")
    length = math.hypot(4.2, 8.0)
    euler = math.pi**2 * 7.4e9 / (length / (0.12 / math.sqrt(12.0))) ** 2
    assert 0.85 * euler < check.capacity * 1.3 / 0.9 < euler


def test_sideways_tip_by_equilibrium():
    """Truth: moments about the braces' feet, by hand, at every moment of every case."""
    m = machine().change({"base.anchors": "4 kN"})
    found = holding(m)
    check = named(found.checks, "overturning sideways")
    half = 0.4 + 0.1 + 0.35 * 4.2
    own = m.number("base.mass") * m.number("site.gravity")
    worst = 0.0
    for case in with_copies(found.cases):
        pressing = 1.35 * (case.base_force[:, 1] - own) + 0.9 * own
        size = np.hypot(case.axle_force[:, 0], case.axle_force[:, 1])
        hold = half * (pressing + 8e3)
        use = np.full_like(hold, np.inf)
        np.divide(1.35 * 0.05 * size * 4.2, hold, out=use, where=hold > 0.0)
        worst = max(worst, float(use.max()))
    assert check.utilisation == pytest.approx(worst, rel=1e-9) and worst > 0.0


def test_wide_feet_and_anchors_help_sideways():
    """Truth: the lever: farther feet hold more; what no anchor holds may lift off."""
    wide, base = (
        named(only(frame__side_foot=foot, base__anchors="40 kN"), "overturning sideways")
        for foot in ("3 m", "1.5 m")
    )
    assert wide.utilisation < base.utilisation < 1.0
    light = machine("garden").change({"base.mass": 1.0})
    loose = named(checks(light), "overturning sideways")
    assert math.isinf(loose.utilisation) and loose.known and "lifts off" in loose.working


def test_frame_without_side_braces_is_not_known():
    """Truth: what is missing never passes: the checks fail and name the dial."""
    found = only(frame__side_foot=0.0)
    for name in ("side brace in compression", "joint of the side brace"):
        check = named(found, name)
        assert not check.known and not check.passes and "frame.side_foot" in check.working
    sideways = named(found, "overturning sideways")
    assert sideways.verdict == "fails" or sideways.at_least is not None

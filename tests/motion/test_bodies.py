"""Outlines of what stands and what swings, corner by corner, from the dials by hand."""

import math
from types import SimpleNamespace

import numpy as np
import pytest

import slingwright as sw
from slingwright.motion.bodies import (
    BOARD,
    RAIL,
    Moving,
    Standing,
    moving_parts,
    standing_parts,
    trough_ends,
)
from slingwright.strength.clearance import _gap

CHANGES = {
    "axle.height": 4.0,
    "axle.span": 0.9,
    "arm.cocked": 0.6,
    "frame.spread": 3.0,
    "frame.brace": 1.0,
    "frame.brace_depth": 0.14,
    "frame.brace_width": 0.09,
    "frame.leg_depth": 0.25,
    "frame.leg_width": 0.17,
    "frame.sill_depth": 0.2,
    "frame.sill_width": 0.15,
    "frame.sill_length": 6.0,
    "trough.height": 0.3,
    "trough.width": 0.5,
    "arm.depth_at_axle": 0.3,
    "arm.depth_at_tip": 0.12,
    "arm.width_at_axle": 0.22,
    "arm.hole": 0.08,
    "counterweight.width": 1.0,
    "counterweight.height": 0.7,
    "counterweight.breadth": 0.6,
    "projectile.diameter": 0.24,
}


def machine(**more):
    changes = {**CHANGES, **{path.replace("__", "."): value for path, value in more.items()}}
    return sw.read_machine("otter_ford").change(changes)


def corners(outline):
    """Corners of an outline, rounded, in no order."""
    return {tuple(round(float(x), 9) + 0.0 for x in corner) for corner in outline}


def thrown(m, elevation, ball, phase, base=0.0, hang=0.0):
    """A throw's places at given moments: the weight hangs `hang` forward of straight down."""
    turned, ball = np.asarray(elevation), np.asarray(ball, dtype=float)
    n, count = m.number, len(elevation)
    base = np.broadcast_to(np.asarray(base, dtype=float), (count,))
    axle = np.column_stack([base, np.full(count, n("axle.height"))])
    along = np.column_stack([-np.cos(turned), np.sin(turned)])
    pin = axle - n("arm.short") * along
    reach = n("counterweight.hanger") if m.flag("counterweight.hung") else 0.0
    weight = pin + reach * np.array([math.sin(hang), -math.cos(hang)])
    return SimpleNamespace(
        machine=m,
        time=np.arange(float(count)),
        base=base,
        axle=axle,
        pin=pin,
        tip=axle + n("arm.long") * along,
        weight=weight,
        ball=ball + np.column_stack([base, np.zeros(count)]),
        phase=np.asarray(phase),
    )


def test_what_stands_by_hand():
    """Truth: geometry: an A-frame 3 m by 4 m, so that a leg rises 8 in a slope of 73 long.

    Bands: legs, brace and sills stand outside the span of 0.9 m, cross sills and trough inside.
    """
    m = machine()
    way = thrown(m, [0.0] * 3, [(-5.0, 0.5), (-2.0, 0.5), (0.0, 0.5)], [1, 1, 2], base=0.3)
    parts = {part.name: part for part in standing_parts(m, [way], 0.4)}
    slope = math.hypot(1.5, 4.0)
    off = 0.125 * np.array([4.0, 1.5]) / slope  # across the front leg, which leans to the rear
    foot, apex = np.array([1.5, 0.0]), np.array([0.0, 4.0])
    leg = corners([foot + off, foot - off, apex + off, apex - off])
    assert corners(parts["front leg"].outline) == leg
    assert corners(parts["rear leg"].outline) == {(-x + 0.0, y) for x, y in leg}
    at = 1.5 * 0.75  # the brace stands at a quarter of the height
    box = {(x, y) for x in (-at, at) for y in (0.93, 1.07)}
    assert corners(parts["brace"].outline) == box
    assert corners(parts["sill"].outline) == {(x, y) for x in (-3.0, 3.0) for y in (0.0, 0.2)}
    for name, place in (("rear cross sill", -1.5), ("front cross sill", 1.5)):
        box = {(place + x, y) for x in (-0.1, 0.1) for y in (0.0, 0.2)}
        assert corners(parts[name].outline) == box
    bands = {
        "front leg": (0.45, 0.62),
        "rear leg": (0.45, 0.62),
        "brace": (0.45, 0.54),
        "sill": (0.45, 0.60),
        "rear cross sill": (0.0, 0.45),
        "front cross sill": (0.0, 0.45),
        "trough": (0.0, 0.25),
        "guide rails": (0.25, 0.25 + BOARD),
        "ground": (0.0, math.inf),
    }
    assert set(parts) == set(bands)
    for name, band in bands.items():
        assert parts[name].band == pytest.approx(band)
    room = 0.06 * m.number("arm.long") + 0.24
    ends = (-5.0 - room, max(-2.0 + room, -1.5))
    assert trough_ends(m, [way]) == pytest.approx(ends)
    for name, low, high in (
        ("trough", 0.3 - BOARD, 0.3),
        ("guide rails", 0.3 - BOARD, 0.3 + RAIL * 0.4),
    ):
        left, bottom = parts[name].outline.min(axis=0)
        right, top = parts[name].outline.max(axis=0)
        assert (left, right, bottom, top) == pytest.approx((*ends, low, high))
    far = 2.0 * (m.number("arm.long") + m.number("sling.length")) + 3.0
    assert corners(parts["ground"].outline) == {
        (round(x, 9), y) for x in (-far, far) for y in (-1.0, 0.0)
    }


def test_a_trough_reaches_the_rear_foot_and_needs_no_throw():
    """Truth: the foot of a frame 3 m wide; without a path the projectile lies under the axle."""
    m = machine()
    room = 0.06 * m.number("arm.long") + 0.24
    short = thrown(m, [0.0], [(-5.0, 0.5)], [1])
    assert trough_ends(m, [short]) == pytest.approx((-5.0 - room, -1.5))
    two = {"one": short, "two": thrown(m, [0.0], [(-6.0, 0.5)], [1])}
    assert trough_ends(m, two.values())[0] == pytest.approx(-6.0 - room)
    assert trough_ends(m, []) == pytest.approx((-room, room))


@pytest.mark.parametrize("hung", [True, False])
def test_what_swings_by_hand(hung):
    """Truth: geometry of an arm that is level, then upright; the base has rolled and counts not.

    Level: the tip lies to the rear. Upright: the short arm points down. The box of a fixed weight
    lies on in the line of the arm, that of a hung one hangs by its hanger.
    """
    m = machine(counterweight__hung=hung)
    n = m.number
    long, short, ring = n("arm.long"), n("arm.short"), n("counterweight.hanger") if hung else 0.0
    ball = [(-5.0, 0.5), (-4.0, 3.0)]
    parts = {
        part.name: part for part in moving_parts(thrown(m, [0.0, math.pi / 2], ball, [2, 2], 0.7))
    }
    level = {
        *((short + 0.15, 4.0 + y) for y in (-0.15, 0.15)),
        *((0.0, 4.0 + y) for y in (-0.15, 0.15)),
        *((-long, 4.0 + y) for y in (-0.06, 0.06)),
    }
    assert corners(parts["arm"].outline[0]) == corners(level)
    upright = {(y - 4.0, 4.0 - x) for x, y in level}
    assert corners(parts["arm"].outline[1]) == corners(upright)
    wide, high = (0.5, 0.35) if hung else (0.35, 0.5)
    middle = (short, 4.0 - ring)
    box = {(middle[0] + x, middle[1] + y) for x in (-wide, wide) for y in (-high, high)}
    assert corners(parts["counterweight box"].outline[0]) == corners(box)
    box = {(x, 4.0 - short - ring + y) for x in (-0.5, 0.5) for y in (-0.35, 0.35)}
    assert corners(parts["counterweight box"].outline[1]) == corners(box)
    round_ball = parts["projectile"].outline
    assert np.hypot(*(round_ball - np.array(ball)[:, None]).T) == pytest.approx(0.12)
    assert corners(parts["sling"].outline[1]) == corners([(0.0, 4.0 + long), ball[1]])
    halves = {name: part.half for name, part in parts.items()}
    assert halves == pytest.approx(
        {"counterweight box": 0.3, "arm": 0.11, "projectile": 0.12, "sling": 0.12}
    )
    assert parts["sling"].shy_of == {"trough"}


def test_a_swung_box_turns_with_its_hanger():
    """Truth: a rectangle turned about its middle by the hanger's angle."""
    m, turn = machine(), 0.4
    (box, *_) = moving_parts(thrown(m, [0.0], [(-5.0, 0.5)], [2], hang=turn))
    middle = np.array([m.number("arm.short"), 4.0]) + m.number("counterweight.hanger") * np.array(
        [math.sin(turn), -math.cos(turn)]
    )
    side, up = (
        np.array([math.cos(turn), math.sin(turn)]),
        np.array([-math.sin(turn), math.cos(turn)]),
    )
    wanted = [middle + x * side + y * up for x in (-0.5, 0.5) for y in (-0.35, 0.35)]
    assert corners(box.outline[0]) == corners(wanted)


def test_sling_and_projectile_count_once_risen_by_their_size():
    """Truth: the rule: higher than twice the radius, or 5 cm, over where it lay; then for good."""
    m = machine()
    ball = [(-5.0, 0.5), (-4.5, 0.73), (-4.0, 0.75), (-3.0, 0.6), (0.0, 9.0)]
    parts = {p.name: p for p in moving_parts(thrown(m, [0.0] * 5, ball, [1, 2, 2, 2, 3]))}
    wanted = [False, False, True, True, False]
    assert parts["projectile"].counted.tolist() == parts["sling"].counted.tolist() == wanted
    assert parts["arm"].counted.all() and parts["counterweight box"].counted.all()
    small = machine(projectile__diameter=0.02)
    ball = [(-5.0, 0.5), (-4.5, 0.54), (-4.5, 0.56)]
    parts = {p.name: p for p in moving_parts(thrown(small, [0.0] * 3, ball, [2, 2, 2]))}
    assert parts["projectile"].counted.tolist() == [False, False, True]


SQUARE = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])


def slid(half=0.5, counted=None, shy=()):
    """A square that slides over one that stands, 100 moments, nearest (0.25 m) at the 71st."""
    along = np.abs(np.arange(100) - 70) * 0.1
    outline = SQUARE[None] + np.stack([along, 1.25 + 0.1 * along], axis=1)[:, None, :]
    counted = np.ones(100, dtype=bool) if counted is None else counted
    moving = Moving(name="box", outline=outline, half=half, counted=counted, shy_of=frozenset(shy))
    return moving, SimpleNamespace(base=np.full(100, 2.0), time=np.arange(100.0) / 50.0)


def test_a_pair_meets_only_where_breadths_overlap():
    """Truth: geometry: a square 0.25 m over another; beside it, the way between their bands."""
    still = Standing(name="leg", outline=SQUARE, band=(0.45, 0.6))
    moving, throw = slid()
    gap = _gap(moving, still, throw, "one")
    assert gap is not None and not gap.beside
    assert (gap.gap, gap.time, gap.index) == pytest.approx((0.25, 1.4, 70))
    assert gap.place[1] == pytest.approx(1.25) and 2.0 <= gap.place[0] <= 3.0
    moving, throw = slid(half=0.4)
    gap = _gap(moving, still, throw, "one")
    assert gap is not None and gap.beside and gap.gap == pytest.approx(0.05)
    moving, throw = slid(half=0.45)
    gap = _gap(moving, still, throw, "one")
    assert gap is not None and gap.beside and 0.0 < gap.gap < 1e-6
    early = np.arange(100) < 50
    moving, throw = slid(counted=early)
    gap = _gap(moving, still, throw, "one")
    assert gap is not None and gap.index == 49
    assert gap.gap == pytest.approx(math.hypot(1.1, 0.25 + 0.21))
    assert _gap(slid(shy=["leg"])[0], still, throw, "one") is None
    assert _gap(slid(counted=early & False)[0], still, throw, "one") is None

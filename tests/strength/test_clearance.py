"""Gaps between what swings and what stands: geometry by hand, and a second geometry library."""

import math
from functools import cache

import numpy as np
import pytest
import shapely

import slingwright as sw
from slingwright.motion.bodies import first_strike, moving_parts, outline_gaps, standing_parts
from slingwright.strength.clearance import Gap, clearance

SQUARE = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])


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


@cache
def machine():
    return sw.read_machine(sw.data_folder() / "otter_ford.toml")


@cache
def told(**changes):
    return clearance(machine().change({k.replace("__", "."): v for k, v in changes.items()}))


def pair(found, moving, standing):
    return next(g for g in found.gaps if (g.moving, g.standing) == (moving, standing))


@pytest.mark.parametrize(
    ("shift", "gap"),
    [
        ((3.0, 0.0), 2.0),
        ((0.0, -1.5), 0.5),
        ((4.0, 5.0), 5.0),
        ((0.5, 0.5), 0.0),
        ((0.9, 0.0), 0.0),
    ],
)
def test_gap_of_two_squares(shift, gap):
    """Truth: geometry: side to side, and corner to corner by Pythagoras (3, 4, 5)."""
    gaps, _ = outline_gaps((SQUARE + np.array(shift))[None], SQUARE)
    assert gaps[0] == pytest.approx(gap, abs=1e-12)


def test_one_inside_the_other_overlaps():
    """Truth: geometry: no corner of the large one is inside, and no sides cross."""
    gaps, _ = outline_gaps((0.2 * SQUARE + 0.4)[None], SQUARE)
    assert gaps[0] == 0.0
    gaps, _ = outline_gaps((5.0 * SQUARE - 2.0)[None], SQUARE)
    assert gaps[0] == 0.0


def test_against_shapely():
    """Truth: the geometry library shapely, 300 random pairs of triangle and quadrangle."""
    random = np.random.default_rng(7)
    for _ in range(300):
        turn = np.sort(random.uniform(0.0, 2.0 * math.pi, 3))
        three = np.column_stack([np.cos(turn), np.sin(turn)]) + random.uniform(-2, 2, 2)
        turn = np.sort(random.uniform(0.0, 2.0 * math.pi, 4))
        four = np.column_stack([np.cos(turn), np.sin(turn)])
        gaps, _ = outline_gaps(three[None], four)
        truth = shapely.Polygon(three).distance(shapely.Polygon(four))
        assert gaps[0] == pytest.approx(truth, abs=1e-9)


def test_gap_beside_is_half_the_difference_of_breadths():
    """Truth: geometry: (span less breadth) over two."""
    m = machine()
    gap = pair(told(), "counterweight box", "front leg")
    assert gap.beside
    spare = 0.5 * (m.number("axle.span") - m.number("counterweight.breadth"))
    assert gap.gap == pytest.approx(spare)


def test_box_over_the_ground_by_hand():
    """Truth: geometry: the box hangs lowest near upright: axle less short arm, hanger, half box.

    It swings past that lowest point a little tilted, so the gap is no more than the one at rest,
    and no less than with the box's far corner straight down.
    """
    m = machine()
    gap = pair(told(), "counterweight box", "ground")
    centre = m.number("axle.height") - m.number("arm.short") - m.number("counterweight.hanger")
    corner = 0.5 * math.hypot(0.9, 0.8)
    assert centre - corner <= gap.gap <= centre - 0.4 + 0.3
    assert not gap.beside and gap.time > 0.0


def test_a_box_as_wide_as_the_legs_strikes_them():
    """Truth: geometry: the box hangs between the feet and swings out past a leg."""
    found = told(counterweight__breadth="0.9 m")
    leg = pair(found, "counterweight box", "front leg")
    assert leg.strikes and not found.clear and leg.gap == 0.0
    assert "strikes the" in found.sentence
    thrown = found.throws[leg.case]
    assert thrown.time[leg.index] == pytest.approx(leg.time)
    assert np.hypot(*(np.array(leg.place) - thrown.weight[leg.index])) < 0.65


def test_low_axle_brings_the_box_to_the_trough():
    """Truth: geometry: half a metre less of axle brings the box about as much nearer; a hanger
    of 2.2 m hangs the box 0.2 m over the ground, 4.2 - 1.4 - 2.2 - 0.4: into the trough's rails."""
    high = pair(told(), "counterweight box", "trough")
    low = pair(told(axle__height="3.7 m"), "counterweight box", "trough")
    assert low.gap < high.gap - 0.3
    deep = told(counterweight__hanger="2.2 m")
    assert pair(deep, "counterweight box", "guide rails").strikes


def test_every_pair_that_can_meet_is_there():
    """Truth: the lists of parts."""
    found = told()
    names = {gap.standing for gap in found.gaps if gap.moving == "arm"}
    assert names == {part.name for part in found.standing}
    assert {gap.moving for gap in found.gaps} == {"counterweight box", "arm", "projectile", "sling"}


def test_outlines_keep_their_size_as_they_swing():
    """Truth: rigid bodies: sides of box and arm keep their length at every moment."""
    thrown = told().throws["sandbag"]
    parts = {part.name: part for part in moving_parts(thrown)}
    for name in ("counterweight box", "arm"):
        outline = parts[name].outline
        sides = np.linalg.norm(np.roll(outline, -1, axis=1) - outline, axis=2)
        assert sides == pytest.approx(np.broadcast_to(sides[0], sides.shape), rel=1e-9)
    box = np.linalg.norm(
        parts["counterweight box"].outline[0, 1] - parts["counterweight box"].outline[0, 0]
    )
    assert box == pytest.approx(0.9)


def test_a_motion_that_is_cut_short_is_never_clear():
    """Truth: the pulls in the sling: past the first below zero nothing is looked at.

    A box that strikes the ground strikes, whatever it clears before.
    """
    found = clearance(machine().change(NEVER_LOOSED))
    motion = found.motions["sandbag"]
    assert motion.cut == "the sling goes slack" and (motion.throw.sling_tension >= 0.0).all()
    assert not found.clear and found.verdict == "not known"
    assert "Nothing strikes up to then" in found.sentence
    low = clearance(machine().change({"axle.height": 2.9}))
    assert low.verdict == "fails" and "strikes the" in low.sentence


def test_one_motion_past_the_first_slack_clears_nothing():
    """Truth: two motions that differ by a hair part there: no gap of one of them is known."""
    found = told()
    slack = [motion for motion in found.motions.values() if motion.cut == "the sling goes slack"]
    assert slack and found.verdict != "holds" and not found.clear
    assert all(not motion.throw.time[-1] > motion.until for motion in slack)


def test_smallest_is_first_and_quick_look_misses_none():
    """Truth: every moment of one pair looked at, one by one."""
    found = told()
    gaps = [gap.gap for gap in found.gaps]
    assert gaps == sorted(gaps)
    still = next(part for part in found.standing if part.name == "trough")
    least = min(
        float(outline_gaps(part.outline, still.outline)[0].min())
        for thrown in found.throws.values()
        for part in moving_parts(thrown)
        if part.name == "counterweight box"
    )
    assert pair(found, "counterweight box", "trough").gap == pytest.approx(least)


def test_sentence_tells_gap_where_when_and_case():
    """Truth: the record's own fields."""
    text = told().sentence
    assert "Nothing strikes" in text and "in the side view" in text and "along the axle" in text
    gap = Gap(
        moving="arm",
        standing="brace",
        case="sandbag",
        gap=0.0,
        time=1.25,
        index=3,
        place=(0.5, 2.0),
        beside=False,
    )
    assert gap.words == "arm strikes the brace at 1.25 s, 0.500 m along and 2.00 m up, in sandbag"


def test_standing_parts_close_the_frame():
    """Truth: geometry: legs run from the ground to the axle, sills lie on the ground."""
    parts = {p.name: p for p in standing_parts(machine(), told().throws.values(), 0.3)}
    assert parts["rear leg"].outline[:, 1].max() > 4.0
    assert parts["sill"].outline[:, 1].min() == 0.0
    assert parts["guide rails"].outline[:, 1].max() == pytest.approx(0.25 + 0.6 * 0.3)
    assert parts["ground"].band == (0.0, math.inf)


@pytest.mark.parametrize(
    ("changes", "strikes"),
    [({}, True), ({"counterweight.width": 0.5, "counterweight.height": 0.4}, False)],
)
def test_a_box_that_folds_onto_the_arm_ends_the_motion(changes, strikes):
    """Truth: shapely's overlap of both outlines, at every moment of a pair's swing."""
    machine = sw.read_machine("hinged_pair").change({"projectile.mass": 0.0, **changes})
    thrown = sw.throw(machine)
    box, arm = (part.outline for part in list(moving_parts(thrown))[:2])
    met = [
        shapely.Polygon(one).intersects(shapely.Polygon(two))
        for one, two in zip(box, arm, strict=True)
    ]
    assert any(met) is strikes
    struck = first_strike(thrown)
    assert (struck is not None) is strikes
    if struck is not None:
        assert abs(struck[0] - int(np.argmax(met))) <= 2
        assert struck[1] == thrown.ended == "the counterweight box strikes the arm"
        assert thrown.known_until == thrown.time[struck[0]] < thrown.time[-1]
        assert clearance(machine).verdict == "fails"
        assert "strikes the arm" in clearance(machine).sentence


def test_a_box_around_its_arm_is_no_strike():
    """Truth: a fixed counterweight is built around the arm: the pair is left out."""
    found = clearance(sw.read_machine("fixed_pair"))
    assert not any(gap.standing == "arm" for gap in found.gaps)

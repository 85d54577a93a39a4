"""The frame pushed sideways, along its axle: its side braces, their bolts, a tip, and a gust."""

import math
from collections.abc import Iterator

import numpy as np

from slingwright.amounts.text import form
from slingwright.formulas.beams.sections import rectangle
from slingwright.formulas.loads import axial_stress, design_load, lever_moment
from slingwright.formulas.timber.sideways import side_brace_push, tipping_resistance, wind_force
from slingwright.formulas.timber.strength import kept_strength
from slingwright.machine.machine import Machine
from slingwright.strength.check import Check, Subject, held_against, made, run
from slingwright.strength.frame import shape_of
from slingwright.strength.loads.cases import LoadCase
from slingwright.strength.parts.frame import STABILISING, buckling, ground_forces, pressing_then
from slingwright.strength.parts.joints import Piece, bolted, side_brace_angle
from slingwright.strength.worked import Given, Step

BRACE = ("frame.brace_depth", "frame.brace_width", "frame.side_foot", "frame.side_share")
BOLTS = ("frame.bolts", "frame.bolt", "frame.plate", "frame.side_foot", "frame.side_share")
STAND = ("frame.side_foot", "base.mass", "base.anchors", "frame.side_share")
WIND = ("site.gust", "frame.side_foot", "base.mass", "base.anchors")
SHARP = Given(2.0, "of timbers with sharp edges", source="EN 1991-1-4:2005, 7.6 (from memory)")
WIND_FACTOR = 1.5
"""Partial factor of wind: EN 1990 Table A1.2(A) (from memory)."""


def sideways_checks(subject: Subject) -> Iterator[Check]:
    """Give every check of the frame pushed along its axle."""
    yield from run(subject, "side_brace.compression", BRACE, _brace)
    yield from run(subject, "joint.side_brace", BOLTS, _joint)
    yield from run(subject, "ground.overturning_sideways", STAND, _overturning)
    yield from run(subject, "ground.wind", WIND, _wind)


def _foot(machine: Machine) -> float:
    foot = machine.number("frame.side_foot")
    if foot <= 0.0:
        raise ValueError(
            "frame.side_foot is 0: no side brace holds the A-frames up sideways, and how stiff "
            "their joints are is not known; give how far out its foot stands"
        )
    return foot


def _level(subject: Subject, case: LoadCase) -> np.ndarray:
    """Force sideways on the frame's head at each moment, without load factor (n,) [N]."""
    share = subject.machine.number("frame.side_share")

    def work() -> np.ndarray:
        level: np.ndarray = share * np.hypot(case.axle_force[:, 0], case.axle_force[:, 1])
        return level

    return subject.once(("sideways", id(case)), work)


def _design(subject: Subject, force: float) -> Step:
    share = subject.machine.number("frame.side_share")
    return subject.design(force, f"sideways, {share:g} of the axle's load")


def _push(subject: Subject, case: LoadCase) -> Step:
    m = subject.machine
    force = _design(subject, float(_level(subject, case).max()))
    return Step(side_brace_push, force, m.number("axle.height"), _foot(m))


SHARE = (
    "Twice the 2.5 % of BS 5975 for falsework (from memory) is common practice for the share of "
    "the axle's load. "
)


def _alone(subject: Subject) -> str:
    return SHARE + form(
        "One raking brace on the outside of each A-frame, {:m} out, of the level brace's section, "
        "takes it alone and in compression."
    )(_foot(subject.machine))


def _brace(subject: Subject) -> Check:
    shape = shape_of(subject)
    timber = subject.timber("frame.timber")
    section = rectangle(*shape.brace_section)
    factor = buckling(timber, section, math.hypot(shape.height, _foot(subject.machine)))

    def use(case: LoadCase) -> tuple[Step, Step]:
        strong = subject.timber_strength(timber, "compression_parallel", case)
        push = Step(axial_stress, _push(subject, case), section.area)
        return push, Step(kept_strength, strong, factor)

    note = _alone(subject)
    return made("side_brace.compression", *subject.governing(use), "Pa", BRACE, note)


def _joint(subject: Subject) -> Check:
    shape = shape_of(subject)
    foot = _foot(subject.machine)
    between = side_brace_angle(shape, foot)
    pieces = ((shape.brace_section[0], 0.0), (shape.leg[0], between))

    def forces(case: LoadCase) -> list[tuple[float, tuple[Piece, Piece]]]:
        return [(_push(subject, case), pieces)]

    return bolted(subject, "joint.side_brace", BOLTS, forces, _alone(subject))


def _overturning(subject: Subject) -> Check:
    n = subject.machine.number
    height = n("axle.height")
    half = 0.5 * n("axle.span") + 0.5 * n("frame.leg_width") + n("frame.side_foot")
    held = (n("base.anchors"), half)

    def use(case: LoadCase) -> tuple[float, ...]:
        level = _level(subject, case)
        holds = tipping_resistance(ground_forces(subject, case)[1], *held)
        over = np.full_like(holds, np.inf)
        np.divide(level * height, holds, out=over, where=holds > 0.0)
        at = int(np.argmax(over))
        turning = Step(lever_moment, _design(subject, float(level[at])), height)
        resistance = Step(tipping_resistance, pressing_then(subject, case, at), *held)
        return held_against(turning, resistance)

    case, ends = subject.governing(use)
    lifts = "It lifts off. " if len(ends) > 2 else ""
    note = lifts + SHARE + "It turns about the feet of the side braces."
    return made("ground.overturning_sideways", case, ends, "N m", STAND, note)


def gust_on(machine: Machine, area: float) -> Step:
    """Force of the strongest gust on an area that faces it [N]."""
    n = machine.number
    return Step(wind_force, n("site.gust"), n("site.air_density"), SHARP, area)


def _wind(subject: Subject) -> Check:
    """The arm stands upright and the box hangs: the highest that it stands unloaded."""
    n = subject.machine.number
    shape = shape_of(subject)
    high = shape.height
    long, short = n("arm.long"), n("arm.short")
    deep = n("arm.depth_at_axle")
    level = 2.0 * shape.spread * (1.0 - shape.brace / high) * shape.brace_section[1]
    hung = n("counterweight.hanger") if subject.machine.flag("counterweight.hung") else 0.0
    parts = (
        (long * 0.5 * (deep + n("arm.depth_at_tip")), high + 0.5 * long),
        (short * deep, high - 0.5 * short),
        (n("counterweight.width") * n("counterweight.height"), max(high - short - hung, 0.0)),
        (4.0 * shape.leg_length * shape.leg[1], 0.5 * high),
        (level, shape.brace),
    )
    area = sum(part for part, _ in parts)
    middle = sum(part * height for part, height in parts) / area
    lever = Given(middle, "height of that area's middle")
    words = "arm upright, box, both frames' legs and braces from the side"
    push = Step(design_load, gust_on(subject.machine, Given(area, words)), WIND_FACTOR)
    mass = n("base.mass") + n("counterweight.mass") + n("arm.mass")
    weight = Given(STABILISING * mass * n("site.gravity"), "{:g} of the whole weight", STABILISING)
    half = 0.5 * n("axle.span") + 0.5 * n("frame.leg_width") + n("frame.side_foot")
    holds = Step(tipping_resistance, weight, n("base.anchors"), half)
    ends = held_against(Step(lever_moment, push, lever), holds)
    note = "No lee of one part behind another; winch and trough are not counted."
    return made("ground.wind", "standing in a gust", ends, "N m", WIND, note)

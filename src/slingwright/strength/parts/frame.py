"""The frame: legs that buckle, brace and sill, and whether it stays where it stands."""

import math
from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from slingwright.formulas.beams.sections import (
    Section,
    rectangle,
    rectangle_with_cross_hole,
)
from slingwright.formulas.loads import axial_stress, design_moment
from slingwright.formulas.steel.strength import bending_stress
from slingwright.formulas.timber import sideways
from slingwright.formulas.timber.columns import buckling_factor, column_use, relative_slenderness
from slingwright.formulas.timber.strength import (
    bearing_strength_at_angle,
    kept_strength,
    tension_bending_use,
)
from slingwright.strength.check import Check, Subject, as_far_as_known, held_against, made, run
from slingwright.strength.frame import FRAME, MEMBERS, member_forces, shape_of
from slingwright.strength.loads.cases import LoadCase, with_copies
from slingwright.strength.parts.axle import share_of
from slingwright.strength.parts.hanger import HOLE_PLAY
from slingwright.strength.worked import Given, Step
from slingwright.tables import materials
from slingwright.tables.materials import TimberClass

LEGS = ("frame.leg_depth", "frame.leg_width", "frame.spread", "frame.timber")
BRACE = ("frame.brace_depth", "frame.brace_width", "frame.timber")
SILL = ("frame.sill_depth", "frame.sill_width", "frame.spread", "frame.timber")
STAND = ("frame.sill_length", "base.mass", "base.anchors")
BEAR = ("frame.sill_width", "frame.sill_length", "base.mass")
PLANNED = ("brief", "empty", "held", "winding", "hoist")
"""Kinds of cases that are no accident."""
NET = "A bolt's hole is taken out (EN 1995-1-1:2004, 5.2, from memory)."
STABILISING = 0.9
"""Share of the base's own weight that may be counted on: EN 1990 Table A1.2(A) (from memory)."""


def frame_checks(subject: Subject) -> Iterator[Check]:
    """Give every check of the frame and of the ground under it."""
    yield from run(subject, "leg.compression", LEGS, _legs)
    yield from run(subject, "brace.axial", (*BRACE, *SILL), _ties)
    yield from run(subject, "leg.on_sill", (*LEGS, *SILL), _bearing)
    yield from run(subject, "ground.overturning", STAND, _overturning)
    if not subject.machine.flag("base.wheels"):
        slide = ("base.mass", "base.stakes")
        yield from run(subject, "ground.sliding", slide, _sliding)
        yield from run(subject, "ground.pressure", BEAR, _pressure)
        yield from run(subject, "ground.soft_corner", (*BEAR, "site.soft_corner"), _soft_ground)


def buckling(timber: TimberClass, section: Section, length: float) -> Step:
    """Share of its strength that a member free in both planes keeps in compression."""
    crushed = Given(timber.compression_parallel, timber.name, source=timber.source)
    modulus = Given(timber.modulus_5, timber.name, source=timber.source)
    return min(
        Step(buckling_factor, Step(relative_slenderness, length, gyration, crushed, modulus))
        for gyration in (section.gyration, section.gyration_sideways)
    )


def net_section(subject: Subject, width: float, depth: float) -> Section | None:
    """Section of a timber of the frame that a bolt's hole leaves; None where it leaves none."""

    def work() -> Section | None:
        hole = materials.bolt_size(subject.machine.text("frame.bolt")).diameter + HOLE_PLAY
        return rectangle_with_cross_hole(width, depth, hole) if hole < depth else None

    return subject.once(("net", width, depth), work)


def _legs(subject: Subject) -> Iterator[Check]:
    shape = shape_of(subject)
    timber = subject.timber("frame.timber")
    section, net = rectangle(*shape.leg), net_section(subject, *shape.leg)
    factor = buckling(timber, section, shape.leg_length)

    def bending(case: LoadCase, modulus: float = section.elastic_modulus) -> tuple[Step, Step]:
        most = Given(leg_forces(subject, case)[2], "at the brace", source=FRAME)
        return (
            Step(bending_stress, most, modulus),
            subject.timber_strength(timber, "bending_strength", case),
        )

    def pushed(case: LoadCase) -> tuple[Step, Step, Step]:
        push = Given(leg_forces(subject, case)[0], "push in a leg", source=FRAME)
        stress = Step(axial_stress, push, section.area)
        strong = subject.timber_strength(timber, "compression_parallel", case)
        use = Step(column_use, stress, strong, factor, *bending(case))
        return stress, Step(kept_strength, strong, factor), use

    def pulled(case: LoadCase) -> tuple[float, ...]:
        words = "pull where the axle lifts or pushes along"
        pull = Given(leg_forces(subject, case)[1], words, source=FRAME)
        if net is None:
            return held_against(Step(axial_stress, pull, section.area), 0.0)
        stress = Step(axial_stress, pull, net.area)
        strong = subject.timber_strength(timber, "tension_parallel", case)
        bent = bending(case, net.elastic_modulus)
        return stress, strong, Step(tension_bending_use, stress, strong, *bent)

    free = "The whole length is free in both planes."
    ways = (("leg.compression", pushed, free), ("leg.tension", pulled, NET))
    for way, (key, use, note) in enumerate(ways):
        if cases := [case for case in subject.cases if leg_forces(subject, case)[way] > 0.0]:
            yield made(key, *subject.governing(use, cases), "Pa", LEGS, note)


def leg_forces(subject: Subject, case: LoadCase) -> tuple[float, float, float]:
    """Largest push, pull [N] and bending moment [N m] of a leg in a case."""

    def work() -> tuple[float, float, float]:
        axial, moment = member_forces(subject, case)
        legs = axial[:, :2]
        return float(legs.max()), -float(legs.min()), float(moment[:, :2].max())

    return subject.once(("legs", id(case)), work)


def tie_use(subject: Subject, case: LoadCase, column: int) -> tuple[float, ...]:
    """Worst stress along brace or sill in a case, by its column of `MEMBERS`, and its strength.

    What pulls has a bolt's hole taken out; where that leaves nothing, the use is beyond all.
    """
    shape = shape_of(subject)
    timber = subject.timber("frame.timber")
    sizes, length = {
        2: (shape.brace_section, shape.spread * (1.0 - shape.brace / shape.height)),
        3: (shape.sill, shape.spread),
    }[column]
    section = rectangle(*sizes)
    factor = subject.once(("buckling", column), lambda: buckling(timber, section, length))
    along = member_forces(subject, case)[0][:, column]
    push = Step(
        kept_strength, subject.timber_strength(timber, "compression_parallel", case), factor
    )
    pull = subject.timber_strength(timber, "tension_parallel", case)
    net = net_section(subject, *sizes)
    hold = section.area * push, net.area * pull if net else 0.0
    with np.errstate(divide="ignore", invalid="ignore"):
        use = np.where(along > 0.0, along / hold[0], np.nan_to_num(-along / hold[1], nan=0.0))
    force = float(along[np.argmax(use)])
    sense = "compression" if force > 0.0 else "tension, a bolt's hole taken out"
    area = net.area if net and force <= 0.0 else section.area
    stress = Step(axial_stress, Given(abs(force), sense, source=FRAME), area)
    if force > 0.0 or net:
        return stress, push if force > 0.0 else pull
    return held_against(stress, 0.0)


def _ties(subject: Subject) -> Iterator[Check]:
    for column, dials in ((2, BRACE), (3, SILL)):
        ends = subject.governing(partial(tie_use, subject, column=column))
        yield made(f"{MEMBERS[column]}.axial", *ends, "Pa", dials)


def _bearing(subject: Subject) -> Check:
    shape = shape_of(subject)
    timber = subject.timber("frame.timber")
    area = min(shape.leg[0], shape.sill[0]) * shape.leg[1]

    def use(case: LoadCase) -> tuple[Step, Step]:
        push = Given(leg_forces(subject, case)[0], "push on the leg's end grain", source=FRAME)
        return Step(axial_stress, push, area), Step(
            bearing_strength_at_angle,
            subject.timber_strength(timber, "compression_parallel", case),
            subject.timber_strength(timber, "compression_perpendicular", case),
            shape.lean,
        )

    case, ends = subject.governing(use)
    if ends[0] <= 0.0:
        raise ValueError("no case pushes on a leg")
    dials = ("frame.leg_depth", "frame.leg_width", "frame.sill_width", "frame.timber")
    return made("leg.on_sill", case, ends, "Pa", dials)


def _base(subject: Subject) -> tuple[float, float, float]:
    """Weight of the base [N], and the factors on the throw's forces and on that weight."""
    n = subject.machine.number
    own = Given(n("base.mass") * n("site.gravity"), "weight of the base")
    return own, subject.load_factor, STABILISING


def pressing_then(subject: Subject, case: LoadCase, at: int) -> Step:
    """Design force of the ground upward at a moment of a case [N]."""
    upward = Given(float(case.base_force[at, 1]), "of the ground, upward")
    return Step(sideways.pressing_force, upward, *_base(subject))


def _turning_then(subject: Subject, case: LoadCase, at: int) -> Step:
    words = "of the ground about the point under the axle"
    turning = Given(float(case.base_moment[at]), words)
    return Step(design_moment, turning, subject.load_factor)


def ground_forces(subject: Subject, case: LoadCase) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Horizontal force, upward force and moment of the ground, design values (n,) [N, N, N m].

    The throw's forces count with the load factor, the base's own weight with 0.9.
    """
    factor = subject.load_factor
    upward = sideways.pressing_force(case.base_force[:, 1], *_base(subject))
    return factor * case.base_force[:, 0], upward, factor * case.base_moment


def _overturning(subject: Subject) -> Check:
    case, ends = subject.governing(lambda one: _tips(subject, one))
    note = "The ground would have to pull it down: it lifts off." if math.isinf(ends[0]) else ""
    return made("ground.overturning", case, ends, "m", STAND, note)


def _tips(subject: Subject, case: LoadCase, soft: float = 0.0) -> tuple[Step, Given]:
    """How far from the middle the ground must press in a case, and may [m]."""
    n = subject.machine.number
    half = Given(0.5 * n("frame.sill_length"), "half the sill")
    held = (n("base.anchors"), half)
    _, upward, moment = ground_forces(subject, case)
    at = int(np.argmax(sideways.tipping_reach(moment, upward, *held)))
    turning, upright = _turning_then(subject, case, at), pressing_then(subject, case, at)
    firm = Given(half - soft, "half the sill, less what is hollow") if soft else half
    return Step(sideways.tipping_reach, turning, upright, *held), firm


def on_soft_corner(
    subject: Subject,
    key: str,
    use: Callable[[LoadCase, float], tuple[float, ...]],
    unit: str,
    dials: tuple[str, ...],
) -> Check:
    """Check a use of case and hollow length [m] where the ground gives at one end of a sill."""
    n = subject.machine.number
    share = n("site.soft_corner")
    hollow = Given(share * n("frame.sill_length"), "{:g} of a sill, hollow at one end", share)
    planned = [case for case in with_copies(subject.every_case) if case.kind in PLANNED]
    case, ends = subject.governing(lambda one: use(one, hollow), planned)
    note = (
        "Either end may be the soft one. Throws as planned, an empty sling and at rest: it is not "
        "joined with a ring that slips early, late or never."
    )
    told = f"{case.name}, on ground that gives at one corner"
    check = made(key, told, ends, unit, (*dials, "site.soft_corner"), note)
    return as_far_as_known(check, [one for one in planned if one.cut])


def _sliding(subject: Subject) -> Check:
    n = subject.machine.number
    grip = (n("site.ground_friction"), n("base.stakes"))

    def use(case: LoadCase) -> tuple[float, ...]:
        level, upward, _ = ground_forces(subject, case)
        hold = sideways.sliding_resistance(upward, *grip)
        with np.errstate(divide="ignore", invalid="ignore"):
            at = int(np.argmax(np.where(hold > 0.0, np.abs(level) / hold, np.inf)))
        force = subject.design(abs(float(case.base_force[at, 0])), "horizontal, of the ground")
        held = Step(sideways.sliding_resistance, pressing_then(subject, case, at), *grip)
        return held_against(force, held)

    return made("ground.sliding", *subject.governing(use), "N", ("base.stakes", "base.mass"))


def _pressing(subject: Subject, case: LoadCase, *soft: float) -> tuple[Step, Given]:
    n = subject.machine.number
    sill = (n("frame.sill_width"), n("frame.sill_length"), share_of(subject.machine))
    _, upward, moment = ground_forces(subject, case)
    at = int(np.argmax(sideways.sill_pressure(upward, moment, *sill, *soft)))
    turning, upright = _turning_then(subject, case, at), pressing_then(subject, case, at)
    stands = Given(n("site.ground"), "what the ground bears")
    return Step(sideways.sill_pressure, upright, turning, *sill, *soft), stands


def _pressure(subject: Subject) -> Check:
    half = 0.5 * subject.machine.number("frame.sill_length")
    tips = False

    def use(case: LoadCase) -> tuple[Step, Given]:
        nonlocal tips
        _, upward, moment = ground_forces(subject, case)
        tips = tips or bool((np.abs(moment) >= half * upward)[upward > 0.0].any())
        return _pressing(subject, case)

    case, ends = subject.governing(use)
    if ends[0] <= 0.0:
        raise ValueError("nothing presses on the ground")
    note = (
        "In some case the base alone would tip, where no pressure is true: see overturning."
        if tips
        else ""
    )
    return made("ground.pressure", case, ends, "Pa", BEAR, note)


def _soft_ground(subject: Subject) -> Iterator[Check]:
    for key, use, unit, dials in (
        ("ground.soft_corner_tips", _tips, "m", STAND),
        ("ground.soft_corner", _pressing, "Pa", BEAR),
    ):
        yield on_soft_corner(subject, key, partial(use, subject), unit, dials)

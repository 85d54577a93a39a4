"""The frame: legs that buckle, brace and sill, and whether it stays where it stands."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from slingwright.amounts.text import form
from slingwright.formulas.beams.sections import rectangle
from slingwright.formulas.timber.columns import buckling_factor, column_use, relative_slenderness
from slingwright.formulas.timber.sideways import tipping_reach
from slingwright.formulas.timber.strength import bearing_strength_at_angle, tension_bending_use
from slingwright.strength.cases import LoadCase
from slingwright.strength.check import Check, Subject, made, run
from slingwright.strength.frame import FRAMES, MEMBERS, member_forces, shape_of

LEGS = ("frame.leg_depth", "frame.leg_width", "frame.spread", "frame.timber")
BRACE = ("frame.brace_depth", "frame.brace_width", "frame.timber")
SILL = ("frame.sill_depth", "frame.sill_width", "frame.spread", "frame.timber")
STAND = ("frame.sill_length", "base.mass", "base.anchors")
LEAST_LENGTH = 0.1
"""Least share of the sill that ground pressure is spread over: beyond that the frame tips."""
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
        bear = ("frame.sill_width", "frame.sill_length", "base.mass")
        yield from run(subject, "ground.pressure", bear, _pressure)


def _legs(subject: Subject) -> Iterator[Check]:
    shape = shape_of(subject)
    timber = subject.timber("frame.timber")
    section = rectangle(*shape.leg)
    length = shape.leg_length
    factors = [
        buckling_factor(
            relative_slenderness(length, gyration, timber.compression_parallel, timber.modulus_5)
        )
        for gyration in (section.gyration, section.gyration_sideways)
    ]
    weakest = min(factors)
    pushed: tuple[float, LoadCase, float, float, float] | None = None
    pulled: tuple[float, LoadCase, float, float] | None = None
    for case in subject.cases:
        axial, moment = member_forces(subject, case)
        strong = subject.timber_strength(timber.compression_parallel, case)
        bend = subject.timber_strength(timber.bending_strength, case)
        tie = subject.timber_strength(timber.tension_parallel, case)
        push = float(axial[:, :2].max())
        most = float(moment[:, :2].max())
        if push > 0.0:
            stress = push / section.area
            use = column_use(stress, strong, weakest, most / section.elastic_modulus, bend)
            if pushed is None or use > pushed[0]:
                pushed = (use, case, push, strong, most)
        pull = -float(axial[:, :2].min())
        if pull > 0.0:
            use = tension_bending_use(
                pull / section.area, tie, most / section.elastic_modulus, bend
            )
            if pulled is None or use > pulled[0]:
                pulled = (use, case, pull, tie)
    if pushed is not None:
        use, case, push, strong, most = pushed
        yield made(
            "leg.compression",
            case,
            push / section.area,
            weakest * strong,
            "Pa",
            "EN 1995-1-1:2004 6.3.2; PyNiteFEA frame",
            form(
                "push {:N} in a leg of {:m}, its whole length free in both planes: k_c = "
                "{:.3f} (in the frame's plane {:.3f}, across {:.3f}); {}; with {:N m} of "
                "bending at the brace together {:.3f}"
            )(
                push,
                length,
                weakest,
                factors[0],
                factors[1],
                subject.timber_words("f_c,0,d", timber.compression_parallel, case),
                most,
                use,
            ),
            LEGS,
            use,
        )
    if pulled is not None:
        use, case, pull, tie = pulled
        yield made(
            "leg.tension",
            case,
            pull / section.area,
            tie,
            "Pa",
            "EN 1995-1-1:2004 6.2.3; PyNiteFEA frame",
            form("pull {:N} where the axle lifts or pushes along; {}; together {:.3f}")(
                pull, subject.timber_words("f_t,0,d", timber.tension_parallel, case), use
            ),
            LEGS,
            use,
        )


def _ties(subject: Subject) -> Iterator[Check]:
    shape = shape_of(subject)
    timber = subject.timber("frame.timber")
    brace_length = shape.spread * (1.0 - shape.brace / shape.height)
    for column, sizes, length, dials in (
        (2, shape.brace_section, brace_length, BRACE),
        (3, shape.sill, shape.spread, SILL),
    ):
        name = MEMBERS[column]
        section = rectangle(*sizes)
        slender = relative_slenderness(
            length,
            min(section.gyration, section.gyration_sideways),
            timber.compression_parallel,
            timber.modulus_5,
        )
        factor = buckling_factor(slender)
        best: tuple[float, LoadCase, float, float] | None = None
        for case in subject.cases:
            axial, _ = member_forces(subject, case)
            along = axial[:, column]
            push = subject.timber_strength(timber.compression_parallel, case) * factor
            pull = subject.timber_strength(timber.tension_parallel, case)
            use = np.where(along > 0.0, along / push, -along / pull) / section.area
            at = int(np.argmax(use))
            if best is None or use[at] > best[0]:
                best = (float(use[at]), case, float(along[at]), push if along[at] > 0 else pull)
        if best is None:
            raise ValueError("there is no load case")
        _, case, force, strength = best
        sense = "compression" if force > 0.0 else "tension"
        yield made(
            f"{name}.axial",
            case,
            abs(force) / section.area,
            strength,
            "Pa",
            "EN 1995-1-1:2004 6.1.2 and 6.3.2; PyNiteFEA frame",
            form("{} {:N} in a {} of {:m}, {:m} x {:m}; k_c {:.3f} in compression; strength {:Pa}")(
                sense, abs(force), name, length, sizes[0], sizes[1], factor, strength
            ),
            dials,
        )


def _worst_leg_push(subject: Subject) -> tuple[float, LoadCase]:
    """Give the push that uses up most of the timber: a lasting one may be the smaller."""

    def push(case: LoadCase) -> float:
        return float(member_forces(subject, case)[0][:, :2].max())

    _, case = subject.worst(lambda c: push(c) / subject.modification(c))
    most = push(case)
    if most <= 0.0:
        raise ValueError("no case pushes on a leg")
    return most, case


def _bearing(subject: Subject) -> Check:
    shape = shape_of(subject)
    timber = subject.timber("frame.timber")
    push, case = _worst_leg_push(subject)
    width = min(shape.leg[0], shape.sill[0])
    pressure = push / (width * shape.leg[1])
    strength = bearing_strength_at_angle(
        subject.timber_strength(timber.compression_parallel, case),
        subject.timber_strength(timber.compression_perpendicular, case),
        shape.lean,
    )
    return made(
        "leg.on_sill",
        case,
        pressure,
        strength,
        "Pa",
        "EN 1995-1-1:2004 eq 6.16 (Hankinson)",
        form(
            "push {:N} on the leg's end grain, {:m} x {:m}, at {:.0f} deg to the sill's "
            "grain: {:Pa} against {:Pa}"
        )(push, width, shape.leg[1], math.degrees(shape.lean), pressure, strength),
        ("frame.leg_depth", "frame.leg_width", "frame.sill_width", "frame.timber"),
    )


def ground_forces(subject: Subject, case: LoadCase) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Horizontal force, upward force and moment of the ground, design values (n,) [N, N, N m].

    The throw's forces count with the load factor, the base's own weight with 0.9.
    """
    n = subject.machine.number
    own = n("base.mass") * n("site.gravity")
    factor = subject.load_factor
    level = factor * case.base_force[:, 0]
    upward = factor * (case.base_force[:, 1] - own) + STABILISING * own
    return level, upward, factor * case.base_moment


def _overturning(subject: Subject) -> Check:
    n = subject.machine.number
    half, anchors = 0.5 * n("frame.sill_length"), n("base.anchors")
    best: tuple[float, LoadCase, float, float] | None = None
    for case in subject.cases:
        _, upward, moment = ground_forces(subject, case)
        place = tipping_reach(moment, upward, anchors, half)
        at = int(np.argmax(place))
        if best is None or place[at] > best[0]:
            best = (float(place[at]), case, float(upward[at]), float(moment[at]))
    if best is None:
        raise ValueError("there is no load case")
    far, case, upward_then, moment_then = best
    side = "forward" if moment_then > 0.0 else "rearward"
    if math.isinf(far):
        words = form("the ground would have to pull it down with {:N}: it lifts off")(-upward_then)
    else:
        words = form(
            "the ground presses with {:N}, by its moment {:m} {} of the axle; the sill ends at {:m}"
        )(upward_then, far, side, half)
    return made(
        "ground.overturning",
        case,
        far,
        half,
        "m",
        "EN 1990:2002 equilibrium, own weight x 0.9 (from memory)",
        form(
            "{}; base of {:kg} counted at 0.9, the throw's forces x {:g}, anchors of {:N}"
            " at each end."
        )(words, n("base.mass"), subject.load_factor, anchors),
        STAND,
    )


def _sliding(subject: Subject) -> Check:
    n = subject.machine.number
    friction, stakes = n("site.ground_friction"), n("base.stakes")
    best: tuple[float, LoadCase, float, float] | None = None
    for case in subject.cases:
        level, upward, _ = ground_forces(subject, case)
        hold = friction * np.maximum(upward, 0.0) + stakes
        with np.errstate(divide="ignore", invalid="ignore"):
            use = np.where(hold > 0.0, np.abs(level) / hold, np.inf)
        at = int(np.argmax(use))
        if best is None or use[at] > best[0]:
            best = (float(use[at]), case, abs(float(level[at])), float(hold[at]))
    if best is None:
        raise ValueError("there is no load case")
    used, case, force, held = best
    return made(
        "ground.sliding",
        case,
        force,
        held if held > 0.0 else 1e-9,
        "N",
        "Coulomb; EN 1990:2002 equilibrium, own weight x 0.9 (from memory)",
        form("level push {:N}; {:g} x what presses on the ground then, and {:N} of stakes: {:N}")(
            force, friction, stakes, held
        ),
        ("base.stakes", "base.mass"),
        used,
    )


def _pressure(subject: Subject) -> Check:
    n = subject.machine.number
    wide, length = n("frame.sill_width"), n("frame.sill_length")
    best: tuple[float, LoadCase, float, float] | None = None
    tips = False
    for case in subject.cases:
        _, upward, moment = ground_forces(subject, case)
        place = np.full_like(upward, np.inf)
        np.divide(np.abs(moment), upward, out=place, where=upward > 0.0)
        tips = tips or bool((place >= 0.5 * length).any())
        left = np.maximum(length - 2.0 * place, LEAST_LENGTH * length)
        pressure = np.maximum(upward, 0.0) / (FRAMES * wide * left)
        at = int(np.argmax(pressure))
        if best is None or pressure[at] > best[0]:
            best = (float(pressure[at]), case, float(upward[at]), float(left[at]))
    if best is None or best[0] <= 0.0:
        raise ValueError("nothing presses on the ground")
    most, case, upward_then, left_then = best
    beyond = (
        " In some case the base alone would tip, where no pressure is true: see overturning."
        if tips
        else ""
    )
    return made(
        "ground.pressure",
        case,
        most,
        n("site.ground"),
        "Pa",
        "EN 1997-1:2004 Annex D, effective length (from memory); strength by site.ground",
        form(
            "{:N} on two sills {:m} wide, on {:m} of their length that lie evenly about "
            "the force, a tenth of the sill at least: {:Pa}.{}"
        )(upward_then, wide, left_then, most, beyond),
        ("frame.sill_width", "frame.sill_length", "base.mass"),
    )

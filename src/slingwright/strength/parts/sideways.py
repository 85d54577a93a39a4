"""The frame pushed sideways, along its axle: its side braces, their bolts, and a tip sideways."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from slingwright.amounts.text import Text, form
from slingwright.formulas.beams.sections import rectangle
from slingwright.formulas.timber.columns import buckling_factor, relative_slenderness
from slingwright.formulas.timber.sideways import side_brace_push, tipping_resistance
from slingwright.machine.machine import Machine
from slingwright.strength.cases import LoadCase
from slingwright.strength.check import Check, Subject, made, run
from slingwright.strength.frame import shape_of
from slingwright.strength.parts.frame import ground_forces
from slingwright.strength.parts.joints import bolted

BRACE = ("frame.brace_depth", "frame.brace_width", "frame.side_foot", "frame.side_share")
BOLTS = ("frame.bolts", "frame.bolt", "frame.plate", "frame.side_foot", "frame.side_share")
STAND = ("frame.side_foot", "base.mass", "base.anchors", "frame.side_share")


def sideways_checks(subject: Subject) -> Iterator[Check]:
    """Give every check of the frame pushed along its axle."""
    yield from run(subject, "side_brace.compression", BRACE, _brace)
    yield from run(subject, "joint.side_brace", BOLTS, _joint)
    yield from run(subject, "ground.overturning_sideways", STAND, _overturning)


def _foot(machine: Machine) -> float:
    foot = machine.number("frame.side_foot")
    if foot <= 0.0:
        raise ValueError(
            "frame.side_foot is 0: no side brace holds the A-frames up sideways, and how stiff "
            "their joints are is not known; give how far out its foot stands"
        )
    return foot


def _level(subject: Subject, case: LoadCase) -> np.ndarray:
    """Design force sideways on the frame's head at each moment (n,) [N]."""
    load = np.hypot(case.axle_force[:, 0], case.axle_force[:, 1])
    return subject.load_factor * subject.machine.number("frame.side_share") * load


def _push(subject: Subject, case: LoadCase) -> float:
    m = subject.machine
    level = float(_level(subject, case).max())
    return side_brace_push(level, m.number("axle.height"), _foot(m))


def _words(subject: Subject) -> Text:
    n = subject.machine.number
    return form(
        "a sideways force of {:g} of the axle's load (twice the 2.5 % of BS 5975 for "
        "falsework, from memory, is common practice) x {:g}; one raking brace on the "
        "outside of each A-frame, {:m} out, of the level brace's section, takes it "
        "alone and in compression"
    )(n("frame.side_share"), subject.load_factor, n("frame.side_foot"))


def _brace(subject: Subject) -> Check:
    shape = shape_of(subject)
    timber = subject.timber("frame.timber")
    section = rectangle(*shape.brace_section)
    length = math.hypot(shape.height, _foot(subject.machine))
    factor = buckling_factor(
        relative_slenderness(
            length,
            min(section.gyration, section.gyration_sideways),
            timber.compression_parallel,
            timber.modulus_5,
        )
    )
    best: tuple[float, LoadCase, float, float] | None = None
    for case in subject.cases:
        push = _push(subject, case)
        strength = factor * subject.timber_strength(timber.compression_parallel, case)
        if best is None or push / strength > best[0]:
            best = (push / strength, case, push, strength)
    if best is None:
        raise ValueError("there is no load case")
    _, case, push, strength = best
    return made(
        "side_brace.compression",
        case,
        push / section.area,
        strength,
        "Pa",
        "EN 1995-1-1:2004 6.3.2; share of the load: common practice",
        form("{}: N = H sqrt(h^2 + a^2) / a = {:N} in {:m}, k_c = {:.3f}; {}")(
            _words(subject),
            push,
            length,
            factor,
            subject.timber_words("f_c,0,d", timber.compression_parallel, case),
        ),
        BRACE,
    )


def _joint(subject: Subject) -> Check:
    shape = shape_of(subject)
    foot = _foot(subject.machine)
    # The leg leans along the throw, the brace across it.
    between = math.acos(math.sin(shape.lean) * shape.height / math.hypot(shape.height, foot))
    return bolted(
        subject,
        "joint.side_brace",
        BOLTS,
        ((shape.brace_section[0], 0.0), (shape.leg[0], between)),
        lambda case: _push(subject, case),
        _words(subject) + ", all of it by the bolts",
    )


def _overturning(subject: Subject) -> Check:
    n = subject.machine.number
    height, anchors = n("axle.height"), n("base.anchors")
    half = 0.5 * n("axle.span") + 0.5 * n("frame.leg_width") + n("frame.side_foot")
    best: tuple[float, LoadCase, float, float, float] | None = None
    for case in subject.cases:
        _, upward, _ = ground_forces(subject, case)
        level = _level(subject, case)
        held = tipping_resistance(upward, anchors, half)
        use = np.full_like(held, np.inf)
        np.divide(level * height, held, out=use, where=held > 0.0)
        at = int(np.argmax(use))
        if best is None or use[at] > best[0]:
            best = (float(use[at]), case, float(level[at]), float(upward[at]), float(held[at]))
    if best is None:
        raise ValueError("there is no load case")
    use_there, case, level_there, upward_then, held_then = best
    lifts = "" if held_then > 0.0 else " It lifts off."
    return made(
        "ground.overturning_sideways",
        case,
        level_there * height,
        max(held_then, 1e-9),
        "N m",
        "EN 1990:2002 equilibrium, own weight x 0.9 (from memory); share: common practice",
        form(
            "{:N} sideways at the axle ({:g} of its load x {:g}), {:m} up, against what "
            "presses on the ground then, {:N}, and anchors of {:N} at each end, half of "
            "them on each side, about the braces' feet {:m} from the middle: b (V + 2 "
            "F_a) = {:N m}.{}"
        )(
            level_there,
            n("frame.side_share"),
            subject.load_factor,
            height,
            upward_then,
            anchors,
            half,
            held_then,
            lifts,
        ),
        STAND,
        use_there,
    )

"""The sills: bent and sheared as they spread the feet's push over the ground that bears it."""

from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from slingwright.formulas.beams.sections import rectangle
from slingwright.formulas.loads import design_moment, lever_moment, shared_load
from slingwright.formulas.steel.axle import round_bending_stress
from slingwright.formulas.steel.strength import bending_stress, design_strength, shear_stress
from slingwright.formulas.timber import sills
from slingwright.formulas.timber.strength import K_CR, tension_bending_use
from slingwright.strength.check import Check, Subject, held_against, made, run
from slingwright.strength.frame import shape_of
from slingwright.strength.loads.cases import LoadCase
from slingwright.strength.parts.axle import CRACKED, on_one, share_of, sized, steel_of
from slingwright.strength.parts.frame import (
    NET,
    SILL,
    ground_forces,
    net_section,
    on_soft_corner,
    pressing_then,
    tie_use,
)
from slingwright.strength.worked import Given, Step

DIALS = (*SILL, "frame.sill_length")
WHEEL = ("base.wheel_axle", "base.wheel_out", "axle.grade")
ENDS = 2.0
LIES = (
    "It spreads the feet's push evenly over the length that the ground's pressure counts on; its "
    "own depth over the feet is not counted, and its weight counts in full or at 0.9, the worse. "
    "On wheels it spans between them, two at its ends."
)
Line = Callable[..., np.ndarray]
"""Bending moment or shear force of a sill by what presses, turns and pulls it, and how it lies."""


def sill_checks(subject: Subject) -> Iterator[Check]:
    """Give every check of the sills, on the ground or on wheels, and of the wheels' axles."""
    yield from run(subject, "sill.bending", DIALS, _bending)
    yield from run(subject, "sill.shear", DIALS, _shear)
    if subject.machine.flag("base.wheels"):
        yield from run(subject, "wheel.axle", WHEEL, _wheel)
    else:
        yield from run(subject, "sill.soft_corner", (*DIALS, "site.soft_corner"), _soft)


def _on_wheel(subject: Subject, case: LoadCase) -> Step:
    """Push on the most loaded wheel of a case, two at the ends of each sill."""
    length = subject.machine.number("frame.sill_length")
    share = share_of(subject.machine)
    pressing, turning = share * case.base_force[:, 1], share * np.abs(case.base_moment)
    at = int(np.argmax(sills.wheel_push(pressing, turning, length)))
    push = on_one(subject, float(case.base_force[at, 1]), "of the ground, upward")
    return Step(sills.wheel_push, push, _turn(subject, case, at), length)


def _turn(subject: Subject, case: LoadCase, at: int) -> Step:
    words = "of the ground on one sill, about the point under the axle"
    turned = Given(share_of(subject.machine) * abs(float(case.base_moment[at])), words)
    return Step(design_moment, turned, subject.load_factor)


def _wheel(subject: Subject) -> Check:
    m = subject.machine
    across, out = sized(m, "base.wheel_axle", "base.wheel_out")
    stands = Step(design_strength, steel_of(m.text("axle.grade"), across))

    def use(case: LoadCase) -> tuple[Step, Step]:
        moment = Step(lever_moment, _on_wheel(subject, case), out)
        return Step(round_bending_stress, moment, across), stands

    note = "Four stub axles at the sills' ends, elastic; a jolt over a stone is not counted."
    return made("wheel.axle", *subject.governing(use), "Pa", WHEEL, note)


def _worst(subject: Subject, case: LoadCase, line: Line, soft: float = 0.0) -> Step:
    """Largest of a line of one sill in a case, worked out again at its moment."""
    n = subject.machine.number
    length, spread, share = n("frame.sill_length"), n("frame.spread"), share_of(subject.machine)
    if subject.machine.flag("base.wheels"):
        push = _on_wheel(subject, case)
        if line is sills.sill_shear:
            return push
        return Step(lever_moment, push, Given(0.5 * (length - spread), "from wheel to foot"))
    anchors = Given(n("base.anchors") / ENDS, "anchors at one end of a sill")

    def lies(pressing: np.ndarray, turning: np.ndarray) -> tuple[np.ndarray, ...]:
        pull = sills.anchor_pull(pressing, turning, anchors, length, soft)
        return pressing, turning, pull, sills.lying_length(pressing, turning, pull, length, soft)

    def work() -> tuple[np.ndarray, ...]:
        light, turning = ground_forces(subject, case)[1:]
        heavy = subject.load_factor * case.base_force[:, 1]
        return lies(share * np.concatenate([heavy, light]), share * np.abs(np.tile(turning, 2)))

    known = subject.once(("sill", soft, id(case)), work)
    hollow = (soft,) if soft else ()
    found = int(np.argmax(line(*known, spread, length, *hollow)))
    at = found % case.time.size
    if found == at:
        push = on_one(subject, float(case.base_force[at, 1]), "of the ground, upward")
    else:
        push = Step(shared_load, pressing_then(subject, case, at), 1.0, share)
    turn = _turn(subject, case, at)
    pull = Step(sills.anchor_pull, push, turn, anchors, length, *hollow)
    lying = Step(sills.lying_length, push, turn, pull, length, *hollow)
    return Step(line, push, turn, pull, lying, spread, length, *hollow)


def _bent(subject: Subject, case: LoadCase, soft: float = 0.0) -> tuple[float, ...]:
    sizes = shape_of(subject).sill
    net = net_section(subject, *sizes)
    moment = _worst(subject, case, sills.sill_moment, soft)
    bent = Step(bending_stress, moment, (net or rectangle(*sizes)).elastic_modulus)
    if net is None:
        return held_against(bent, 0.0)
    strong = subject.timber_strength(subject.timber("frame.timber"), "bending_strength", case)
    along = subject.once(("tie", id(case)), lambda: tie_use(subject, case, 3))[:2]
    return bent, strong, Step(tension_bending_use, *along, bent, strong)


def _bending(subject: Subject) -> Check:
    case, ends = subject.governing(lambda one: _bent(subject, one))
    note = "Its pull or push along the throw counts beside it. "
    dials = (*DIALS, "frame.bolt")
    return made("sill.bending", case, ends, "Pa", dials, note + NET + " " + LIES)


def _soft(subject: Subject) -> Check:
    dials = (*DIALS, "frame.bolt")
    return on_soft_corner(subject, "sill.soft_corner", partial(_bent, subject), "Pa", dials)


def _shear(subject: Subject) -> Check:
    timber = subject.timber("frame.timber")
    section = rectangle(*shape_of(subject).sill)
    area = Given(K_CR * section.area, "area times k_cr {:g}", K_CR, source=CRACKED)

    def use(case: LoadCase) -> tuple[Step, Step]:
        force = _worst(subject, case, sills.sill_shear)
        stress = Step(shear_stress, force, area, section.shear_factor)
        return stress, subject.timber_strength(timber, "shear_strength", case)

    return made("sill.shear", *subject.governing(use), "Pa", DIALS, LIES)

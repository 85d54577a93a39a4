"""The sills: bent and sheared as they spread the feet's push over the ground that bears it."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from slingwright.formulas.beams.sections import rectangle
from slingwright.formulas.loads import design_load, design_moment, lever_moment
from slingwright.formulas.steel.axle import round_bending_stress
from slingwright.formulas.steel.strength import bending_stress, design_strength, shear_stress
from slingwright.formulas.timber import sills
from slingwright.formulas.timber.strength import K_CR, tension_bending_use
from slingwright.strength.cases import LoadCase
from slingwright.strength.check import Check, Subject, held_against, made, run
from slingwright.strength.frame import shape_of
from slingwright.strength.parts.axle import CRACKED, sized, steel_of
from slingwright.strength.parts.frame import (
    NET,
    SILL,
    ground_forces,
    net_section,
    pressing_then,
    tie_use,
)
from slingwright.strength.worked import Given, Step

DIALS = (*SILL, "frame.sill_length")
WHEEL = ("base.wheel_axle", "base.wheel_out", "axle.grade")
SILLS = 2.0
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


def _on_wheel(subject: Subject, case: LoadCase) -> Step:
    """Push on the most loaded wheel of a case, two at the ends of each sill."""
    length = subject.machine.number("frame.sill_length")
    pressing, turning = case.base_force[:, 1] / SILLS, np.abs(case.base_moment) / SILLS
    at = int(np.argmax(sills.wheel_push(pressing, turning, length)))
    push = subject.design(float(case.base_force[at, 1]), "of the ground, upward", SILLS)
    return Step(sills.wheel_push, push, _turn(subject, case, at), length)


def _turn(subject: Subject, case: LoadCase, at: int) -> Step:
    words = "of the ground on one sill, about the point under the axle"
    turned = Given(abs(float(case.base_moment[at])) / SILLS, words)
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


def _worst(subject: Subject, case: LoadCase, line: Line) -> Step:
    """Largest of a line of one sill in a case, worked out again at its moment."""
    n = subject.machine.number
    length, spread = n("frame.sill_length"), n("frame.spread")
    if subject.machine.flag("base.wheels"):
        push = _on_wheel(subject, case)
        if line is sills.sill_shear:
            return push
        return Step(lever_moment, push, Given(0.5 * (length - spread), "from wheel to foot"))
    anchors = Given(n("base.anchors") / SILLS, "anchors at one end of a sill")

    def lies(pressing: np.ndarray, turning: np.ndarray) -> tuple[np.ndarray, ...]:
        pull = sills.anchor_pull(pressing, turning, anchors, length)
        return pressing, turning, pull, sills.lying_length(pressing, turning, pull, length)

    def work() -> tuple[np.ndarray, ...]:
        light, turning = ground_forces(subject, case)[1:]
        heavy = subject.load_factor * case.base_force[:, 1]
        return lies(np.concatenate([heavy, light]) / SILLS, np.abs(np.tile(turning, 2)) / SILLS)

    known = subject.once(("sill", id(case)), work)
    found = int(np.argmax(line(*known, spread, length)))
    at = found % case.time.size
    if found == at:
        push = subject.design(float(case.base_force[at, 1]), "of the ground, upward", SILLS)
    else:
        push = Step(design_load, pressing_then(subject, case, at), 1.0, SILLS)
    turn = _turn(subject, case, at)
    pull = Step(sills.anchor_pull, push, turn, anchors, length)
    lying = Step(sills.lying_length, push, turn, pull, length)
    return Step(line, push, turn, pull, lying, spread, length)


def _bending(subject: Subject) -> Check:
    timber = subject.timber("frame.timber")
    sizes = shape_of(subject).sill
    net = net_section(subject, *sizes)

    def use(case: LoadCase) -> tuple[float, ...]:
        moment = _worst(subject, case, sills.sill_moment)
        bent = Step(bending_stress, moment, (net or rectangle(*sizes)).elastic_modulus)
        if net is None:
            return held_against(bent, 0.0)
        strong = subject.timber_strength(timber, "bending_strength", case)
        along = tie_use(subject, case, 3)[:2]
        return bent, strong, Step(tension_bending_use, *along, bent, strong)

    note = "Its pull or push along the throw counts beside it. "
    dials = (*DIALS, "frame.bolt")
    return made("sill.bending", *subject.governing(use), "Pa", dials, note + NET + " " + LIES)


def _shear(subject: Subject) -> Check:
    timber = subject.timber("frame.timber")
    section = rectangle(*shape_of(subject).sill)
    area = Given(K_CR * section.area, "area times k_cr {:g}", K_CR, source=CRACKED)

    def use(case: LoadCase) -> tuple[Step, Step]:
        force = _worst(subject, case, sills.sill_shear)
        stress = Step(shear_stress, force, area, section.shear_factor)
        return stress, subject.timber_strength(timber, "shear_strength", case)

    return made("sill.shear", *subject.governing(use), "Pa", DIALS, LIES)

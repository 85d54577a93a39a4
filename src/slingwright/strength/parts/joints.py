"""The frame's bolted joints: foot, head and brace ends, and the legs' timber beside the bolts."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import numpy as np

from slingwright.amounts.text import text
from slingwright.formulas.timber import fasteners, joints
from slingwright.formulas.timber.groups import group_capacity
from slingwright.formulas.timber.strength import splitting_capacity
from slingwright.strength.cases import LoadCase
from slingwright.strength.check import Check, Subject, made, run
from slingwright.strength.frame import FRAME, member_forces, shape_of
from slingwright.strength.parts.frame import leg_forces
from slingwright.strength.parts.hanger import embedment, mode_words
from slingwright.strength.worked import Given, Step
from slingwright.tables import materials

BOLTS = ("frame.bolts", "frame.bolt", "frame.plate", "frame.leg_width", "frame.sill_width")
HEAD = ("frame.bolts", "frame.bolt", "frame.plate", "frame.leg_width", "frame.brace")
BRACED = ("frame.bolts", "frame.bolt", "frame.plate", "frame.brace_width", "frame.leg_width")
SPLIT = ("frame.leg_depth", "frame.leg_width", "frame.brace")
EDGES = ("frame.bolt", "frame.leg_depth", "frame.sill_depth", "frame.brace_depth")
ACROSS = 0.5 * math.pi
Piece = tuple[float, float]
"""Thickness [m] of a piece, and the angle of the bolts' force to its grain [rad]."""


def joint_checks(subject: Subject) -> Iterator[Check]:
    """Give every check of the frame's joints."""
    yield from run(subject, "joint.foot", BOLTS, _foot)
    yield from run(subject, "joint.head", HEAD, _head)
    yield from run(subject, "joint.brace", BRACED, _brace)
    yield from run(subject, "leg.split_at_brace", SPLIT, _split)
    yield from run(subject, "joint.edges", EDGES, _edges)


def bolt_plane(subject: Subject, pieces: tuple[Piece, Piece]) -> tuple[Step, int]:
    """One bolt's weakest shear plane where two pieces meet, and how many planes a bolt has.

    Plates on both sides hold each piece; without them the two are lapped.
    """
    timber = subject.timber("frame.timber")
    size, grade = _bolt(subject)
    broken = Given(grade.ultimate_strength, f"{size.name} {grade.name}", source=grade.source)
    bend = Step(fasteners.yield_moment, size.diameter, broken)
    sides = [(thick, embedment(timber, size.diameter, angle)) for thick, angle in pieces]
    plate = subject.machine.number("frame.plate")
    if plate > 0.0:
        return min(
            Step(joints.steel_outer_plates, *side, size.diameter, bend, plate) for side in sides
        ), 2
    (thick_1, pressed_1), (thick_2, pressed_2) = sides
    lapped = (thick_1, thick_2, pressed_1, pressed_2, size.diameter, bend)
    return Step(joints.single_shear, *lapped), 1


def bolts_that_count(subject: Subject) -> Step:
    """Bolts of a joint that count in full, in one row at the least spacing."""
    size, _ = _bolt(subject)
    count = round(subject.machine.number("frame.bolts"))
    spacing = fasteners.bolt_spacing(size.diameter, 0.0)
    apart = Given(
        spacing.along,
        "least; {:m} to a loaded end, {:m} to an edge",
        spacing.loaded_end,
        spacing.loaded_edge,
        source=fasteners.bolt_spacing,
    )
    return Step(fasteners.effective_number, count, apart, size.diameter, 0.0)


def _bolt(subject: Subject) -> tuple[materials.BoltSize, materials.BoltGrade]:
    """Size and grade of the frame's bolts."""
    text = subject.machine.text
    return subject.once(
        "frame bolt",
        lambda: (
            materials.bolt_size(text("frame.bolt")),
            materials.bolt_grade(text("frame.bolt_grade")),
        ),
    )


def bolted(
    subject: Subject,
    key: str,
    dials: tuple[str, ...],
    pieces: tuple[Piece, Piece],
    force_of: Callable[[LoadCase], float],
    words: str,
) -> Check:
    """Check a joint's bolts under a force that the cases give, `words` saying what it is."""
    plane, planes = bolt_plane(subject, pieces)
    counted = bolts_that_count(subject)

    def use(case: LoadCase) -> tuple[float, Step]:
        force = force_of(case)
        modification = subject.modification(case)
        return (
            force if isinstance(force, Step) else Given(force, "force on the joint", source=FRAME),
            Step(group_capacity, plane, counted, planes, modification),
        )

    note = text(words, " ", mode_words(plane.result))
    return made(key, *subject.governing(use), "N", dials, note)


def _foot(subject: Subject) -> Check:
    shape = shape_of(subject)

    def force(case: LoadCase) -> float:
        axial, _ = member_forces(subject, case)
        # The sill's tie, and any pull of a leg, go through the bolts; push goes by contact.
        lift = np.maximum(-axial[:, :2].min(axis=1), 0.0) * math.sin(shape.lean)
        return float(np.hypot(np.abs(axial[:, 3]), lift).max())

    return bolted(
        subject,
        "joint.foot",
        BOLTS,
        ((shape.leg[0], shape.lean), (shape.sill[0], 0.0)),
        force,
        "Horizontal thrust and lift; push goes by contact.",
    )


def _head(subject: Subject) -> Check:
    shape = shape_of(subject)
    above = shape.leg_length - shape.lower_length

    def force(case: LoadCase) -> float:
        axial, moment = member_forces(subject, case)
        pull = np.maximum(-axial[:, :2].min(axis=1), 0.0)
        shear = moment[:, :2].max(axis=1) / above
        return float(np.hypot(pull, shear).max())

    return bolted(
        subject,
        "joint.head",
        HEAD,
        ((shape.leg[0], ACROSS), (shape.leg[0], ACROSS)),
        force,
        "Pull of a leg where the axle lifts or pushes along, with the shear that its bending at "
        "the brace leaves here, all taken across the grain; push goes by contact.",
    )


def _brace(subject: Subject) -> Check:
    shape = shape_of(subject)
    return bolted(
        subject,
        "joint.brace",
        BRACED,
        ((shape.brace_section[0], 0.0), (shape.leg[0], shape.lean)),
        lambda case: float(np.abs(member_forces(subject, case)[0][:, 2]).max()),
        "Push or pull of the brace, all of it by the bolts; a step or tenon is not counted.",
    )


def _split(subject: Subject) -> Check:
    shape = shape_of(subject)
    arm = min(shape.lower_length, shape.leg_length - shape.lower_length)
    width, depth = shape.leg
    whole = Step(splitting_capacity, width, depth, 0.5 * depth)
    words = "shear beside the brace's bolts: the leg's bending over {:m}"

    def use(case: LoadCase) -> tuple[float, Step]:
        force = Given(leg_forces(subject, case)[2] / arm, words, arm, source=FRAME)
        return force, Step(group_capacity, whole, 1, 1, subject.modification(case))

    note = "Bolts at mid-depth."
    return made("leg.split_at_brace", *subject.governing(use), "N", SPLIT, note)


def _edges(subject: Subject) -> Check:
    """Bolts in one row: across the grain both edges of a leg are loaded, one of a sill, by lift."""
    n = subject.machine.number
    size, _ = _bolt(subject)
    along = fasteners.bolt_spacing(size.diameter, 0.0)
    across = fasteners.bolt_spacing(size.diameter, ACROSS)
    needed = (
        (across.loaded_edge, across.loaded_edge, "leg"),
        (across.loaded_edge, across.free_edge, "sill"),
        (along.loaded_edge, along.loaded_edge, "brace"),
    )
    one, other, name = max(needed, key=lambda row: (row[0] + row[1]) / n(f"frame.{row[2]}_depth"))
    least = Given(
        one + other,
        "{} in the {}, {:m} from one edge and {:m} from the other",
        size.name,
        name,
        one,
        other,
        source=fasteners.bolt_spacing,
    )
    depth = Given(n(f"frame.{name}_depth"), f"depth of the {name}")
    return made("joint.edges", "all", (least, depth), "m", EDGES)

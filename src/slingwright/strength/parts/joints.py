"""The frame's bolted joints: foot, head and brace ends, and the legs' timber beside the bolts."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import numpy as np

from slingwright.amounts.text import form
from slingwright.formulas.timber import fasteners, joints
from slingwright.formulas.timber.groups import group_capacity
from slingwright.formulas.timber.strength import partial_factor, splitting_capacity
from slingwright.strength.cases import LoadCase
from slingwright.strength.check import Check, Subject, made, run
from slingwright.strength.frame import member_forces, shape_of
from slingwright.strength.parts.hanger import mode_words
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


def bolt_plane(subject: Subject, pieces: tuple[Piece, Piece]) -> tuple[joints.ShearPlane, int]:
    """One bolt's weakest shear plane where two pieces meet, and how many planes a bolt has.

    Plates on both sides hold each piece; without them the two are lapped.
    """
    m = subject.machine
    timber = subject.timber("frame.timber")
    size, grade = _bolt(subject)
    bend = fasteners.yield_moment(size.diameter, grade.ultimate_strength)
    density = timber.density_characteristic
    pressed = [
        fasteners.embedment_strength(size.diameter, density, angle, timber.kind)
        for _, angle in pieces
    ]
    plate = m.number("frame.plate")
    if plate > 0.0:
        planes = [
            joints.steel_outer_plates(thick, strength, size.diameter, bend, plate)
            for (thick, _), strength in zip(pieces, pressed, strict=True)
        ]
        return min(planes, key=lambda plane: plane.resistance), 2
    return (
        joints.single_shear(
            pieces[0][0], pieces[1][0], pressed[0], pressed[1], size.diameter, bend
        ),
        1,
    )


def bolts_that_count(subject: Subject) -> tuple[float, str]:
    """Bolts of a joint that count in full, in one row, and their sizes in words."""
    m = subject.machine
    size, _ = _bolt(subject)
    count = round(m.number("frame.bolts"))
    spacing = fasteners.bolt_spacing(size.diameter, 0.0)
    counted = fasteners.effective_number(count, spacing.along, size.diameter, 0.0)
    plate = m.number("frame.plate")
    kind = form("steel plates of {:m} on both sides")(plate) if plate > 0.0 else "timber on timber"
    return counted, (
        form(
            "{} {}, {}; {:.2f} bolts count at {:m} spacing (least: {:m} to a loaded end, "
            "{:m} to an edge)"
        )(count, size.name, kind, counted, spacing.along, spacing.loaded_end, spacing.loaded_edge)
    )


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
    """Check a joint's bolts under a force that the cases give."""
    plane, planes = bolt_plane(subject, pieces)
    counted, bolts = bolts_that_count(subject)
    best: tuple[float, LoadCase, float, float] | None = None
    for case in subject.cases:
        force = force_of(case)
        capacity = group_capacity(plane.resistance, counted, planes, subject.modification(case))
        if best is None or force / capacity > best[0]:
            best = (force / capacity, case, force, capacity)
    if best is None:
        raise ValueError("there is no load case")
    _, case, force, capacity = best
    return made(
        key,
        case,
        force,
        capacity,
        "N",
        f"{plane.source}, 8.34 (bolts that count); rope effect left out",
        form("{}: {:N}. A bolt and plane: {}; {}")(words, force, mode_words(plane), bolts),
        dials,
    )


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
        "level thrust and lift; push goes by contact",
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
        "pull of a leg where the axle lifts or pushes along, with the shear that its bending at "
        "the brace leaves here, all taken across the grain; push goes by contact",
    )


def _brace(subject: Subject) -> Check:
    shape = shape_of(subject)
    return bolted(
        subject,
        "joint.brace",
        BRACED,
        ((shape.brace_section[0], 0.0), (shape.leg[0], shape.lean)),
        lambda case: float(np.abs(member_forces(subject, case)[0][:, 2]).max()),
        "push or pull of the brace, all of it by the bolts, a step or tenon not counted",
    )


def _split(subject: Subject) -> Check:
    shape = shape_of(subject)
    arm = min(shape.lower_length, shape.leg_length - shape.lower_length)
    width, depth = shape.leg
    whole = splitting_capacity(width, depth, 0.5 * depth)
    best: tuple[float, LoadCase, float, float] | None = None
    for case in subject.cases:
        _, moment = member_forces(subject, case)
        force = float(moment[:, :2].max()) / arm
        capacity = whole * subject.modification(case) / partial_factor("connection")
        if best is None or force / capacity > best[0]:
            best = (force / capacity, case, force, capacity)
    if best is None:
        raise ValueError("there is no load case")
    _, case, force, capacity = best
    return made(
        "leg.split_at_brace",
        case,
        force,
        capacity,
        "N",
        "EN 1995-1-1:2004 8.1.4, eqs 8.2 to 8.4 (from memory); PyNiteFEA frame",
        form(
            "shear in the leg beside the brace's bolts, its bending over {:m}: {:N}; 14 b"
            " sqrt(h_e / (1 - h_e / h)) x k_mod / gamma_M with b = {:m}, h = {:m}, bolts "
            "at mid-depth: {:N}"
        )(arm, force, width, depth, capacity),
        SPLIT,
    )


def _edges(subject: Subject) -> Check:
    """Bolts in one row: across the grain both edges of a leg are loaded, one of a sill, by lift."""
    n = subject.machine.number
    size, _ = _bolt(subject)
    along = fasteners.bolt_spacing(size.diameter, 0.0)
    across = fasteners.bolt_spacing(size.diameter, ACROSS)
    needed = (
        (2.0 * across.loaded_edge, n("frame.leg_depth"), "leg"),
        (across.loaded_edge + across.free_edge, n("frame.sill_depth"), "sill"),
        (2.0 * along.loaded_edge, n("frame.brace_depth"), "brace"),
    )
    least, depth, name = max(needed, key=lambda one: one[0] / one[1])
    return made(
        "joint.edges",
        "all",
        least,
        depth,
        "m",
        "EN 1995-1-1:2004 Table 8.4, a_4,t and a_4,c (from memory)",
        form("{} in the {}, {:m} deep: it needs {:m} from edge to edge")(
            size.name, name, depth, least
        ),
        EDGES,
    )

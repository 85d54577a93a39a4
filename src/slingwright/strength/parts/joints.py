"""The frame's bolted joints: foot, head and brace ends, and the legs' timber beside the bolts."""

import math
from collections.abc import Callable, Iterable, Iterator
from functools import partial

import numpy as np

from slingwright.amounts.text import form, text
from slingwright.formulas.timber import fasteners, joints
from slingwright.formulas.timber.groups import group_capacity
from slingwright.formulas.timber.strength import splitting_capacity
from slingwright.strength.check import Check, Subject, held_against, made, run
from slingwright.strength.frame import FRAME, FrameShape, member_forces, shape_of
from slingwright.strength.loads.cases import LoadCase
from slingwright.strength.parts.frame import leg_forces
from slingwright.strength.parts.hanger import bolt_of, embedment, mode_words
from slingwright.strength.worked import Given, Step
from slingwright.tables.materials import BoltSize

BOLTS = ("frame.bolts", "frame.bolt", "frame.plate", "frame.leg_width", "frame.sill_width")
ENDS = ("frame.bolts", "frame.bolt", "frame.plate", "frame.sill_length", "frame.sill_depth")
HEAD = ("frame.bolts", "frame.bolt", "frame.plate", "frame.leg_width", "frame.brace")
BRACED = ("frame.bolts", "frame.bolt", "frame.plate", "frame.brace_width", "frame.leg_width")
SPLIT = ("frame.leg_depth", "frame.leg_width", "frame.brace")
EDGES = (
    *("frame.bolt", "frame.bolts", "frame.plate"),
    *("frame.leg_depth", "frame.sill_depth", "frame.brace_depth"),
)
ACROSS = 0.5 * math.pi
PUSHED = "force on the joint"
Piece = tuple[float, float]
"""Thickness [m] of a piece, and the angle of the bolts' force to its grain [rad]."""


def joint_checks(subject: Subject) -> Iterator[Check]:
    """Give every check of the frame's joints."""
    yield from run(subject, "joint.foot", BOLTS, _foot)
    yield from run(subject, "joint.head", HEAD, _head)
    yield from run(subject, "joint.brace", BRACED, _brace)
    yield from run(subject, "leg.split_at_brace", SPLIT, _split)
    yield from run(subject, "joint.edges", EDGES, _edges)
    yield from run(subject, "joint.ends", ENDS, _ends)


def bolt_plane(subject: Subject, pieces: tuple[Piece, Piece]) -> tuple[Step, int]:
    """One bolt's weakest shear plane where two pieces meet, and how many planes a bolt has.

    Plates on both sides hold each piece; without them the two are lapped.
    """
    timber = subject.timber("frame.timber")
    size, broken = _bolt(subject)
    bend = Step(fasteners.yield_moment, size.diameter, broken)
    sides = [(thick, embedment(timber, size.diameter, angle)) for thick, angle in pieces]
    plate = subject.machine.number("frame.plate")
    if plate > 0.0:
        rest = size.diameter, bend, plate
        return min(Step(joints.steel_outer_plates, *side, *rest) for side in sides), 2
    (thick_1, pressed_1), (thick_2, pressed_2) = sides
    lapped = (thick_1, thick_2, pressed_1, pressed_2, size.diameter, bend)
    return Step(joints.single_shear, *lapped), 1


def bolts_that_count(subject: Subject) -> Step:
    """Bolts of a joint that count in full, in one row at the least spacing."""
    size, _ = _bolt(subject)
    count = round(subject.machine.number("frame.bolts"))
    spacing = fasteners.bolt_spacing(size.diameter, 0.0)
    words, room = "least; {:m} to a loaded end, {:m} to an edge", fasteners.bolt_spacing
    ends = spacing.loaded_end, spacing.loaded_edge
    apart = Given(spacing.along, words, *ends, source=room)
    return Step(fasteners.effective_number, count, apart, size.diameter, 0.0)


def _bolt(subject: Subject) -> tuple[BoltSize, Given]:
    return subject.once("frame bolt", lambda: bolt_of(subject.machine, "frame"))


def bolted(
    subject: Subject,
    key: str,
    dials: tuple[str, ...],
    forces_of: Callable[[LoadCase], Iterable[tuple[float, tuple[Piece, Piece]]]],
    words: str,
) -> Check:
    """Check a joint's bolts under the forces of a case and the pieces they press, told in words."""
    counted = bolts_that_count(subject)

    def use(case: LoadCase) -> tuple[float, Step]:
        modification = subject.modification(case)
        found = []
        for force, pieces in forces_of(case):
            made_of = partial(bolt_plane, subject, pieces)
            plane, planes = subject.once(("plane", pieces), made_of)
            told = force if isinstance(force, Step) else Given(force, PUSHED, source=FRAME)
            found.append((told, Step(group_capacity, plane, counted, planes, modification)))
        return max(found, key=lambda one: one[0] / one[1])

    case, ends = subject.governing(use)
    holds = ends[1]
    assert isinstance(holds, Step)
    note = text(words, " ", mode_words(holds.given[0].result))
    return made(key, case, ends, "N", dials, note)


def _foot(subject: Subject) -> Check:
    shape = shape_of(subject)

    def forces(case: LoadCase) -> Iterator[tuple[float, tuple[Piece, Piece]]]:
        axial, _ = member_forces(subject, case)
        # The sill's tie, and any pull of a leg, go through the bolts; push goes by contact.
        lift = np.maximum(-axial[:, :2].min(axis=1), 0.0) * math.sin(shape.lean)
        tie = np.abs(axial[:, 3])
        whole = np.hypot(tie, lift)
        # Where nothing lifts at the largest of both, the tie alone is the largest.
        for at in {int(np.argmax(one)) for one in ((whole, lift, tie) if lift.any() else (tie,))}:
            rise = math.atan2(lift[at], tie[at])
            # Whichever way the tie acts at this foot: the one more across the leg's grain.
            slant = max(
                (shape.lean + rise, shape.lean - rise), key=lambda angle: abs(math.sin(angle))
            )
            yield float(whole[at]), ((shape.leg[0], slant), (shape.sill[0], rise))

    words = "Horizontal thrust and lift, at their angle to each grain; push goes by contact."
    return bolted(subject, "joint.foot", BOLTS, forces, words)


def _head(subject: Subject) -> Check:
    shape = shape_of(subject)
    above = shape.leg_length - shape.lower_length

    def force(case: LoadCase) -> float:
        axial, moment = member_forces(subject, case)
        pull = np.maximum(-axial[:, :2].min(axis=1), 0.0)
        shear = moment[:, :2].max(axis=1) / above
        return float(np.hypot(pull, shear).max())

    pieces = ((shape.leg[0], ACROSS), (shape.leg[0], ACROSS))
    words = (
        "Pull of a leg where the axle lifts or pushes along, with the shear that its bending at "
        "the brace leaves here, all taken across the grain; push goes by contact."
    )
    return bolted(subject, "joint.head", HEAD, lambda case: [(force(case), pieces)], words)


def _brace(subject: Subject) -> Check:
    shape = shape_of(subject)
    pieces = ((shape.brace_section[0], 0.0), (shape.leg[0], shape.lean))

    def forces(case: LoadCase) -> list[tuple[float, tuple[Piece, Piece]]]:
        return [(float(np.abs(member_forces(subject, case)[0][:, 2]).max()), pieces)]

    words = "Push or pull of the brace, all of it by the bolts; a step or tenon is not counted."
    return bolted(subject, "joint.brace", BRACED, forces, words)


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
    """Across the grain both edges of a leg are loaded, one of a sill, by lift, none of a brace.

    Without plates every bolt goes through both timbers where they cross, in a row along one or the
    other, whichever has the more room.
    """
    n = subject.machine.number
    size, _ = _bolt(subject)
    shape = shape_of(subject)
    along, across = (fasteners.bolt_spacing(size.diameter, angle) for angle in (0.0, ACROSS))
    edges = {
        "leg": (across.loaded_edge, across.loaded_edge),
        "sill": (across.loaded_edge, across.free_edge),
        "brace": (along.loaded_edge, along.loaded_edge),
    }
    row = 0.0 if n("frame.plate") > 0.0 else (n("frame.bolts") - 1.0) * along.along
    crossings = [("leg", "sill", shape.lean), ("leg", "leg", math.pi - 2.0 * shape.lean)]
    crossings.append(("brace", "leg", shape.lean))
    if (foot := n("frame.side_foot")) > 0.0:
        crossings.append(("brace", "leg", side_brace_angle(shape, foot)))

    def use(name: str, angle: float) -> tuple[float, str, float]:
        slant = row * abs(math.sin(angle))
        return (slant + sum(edges[name])) / n(f"frame.{name}_depth"), name, slant

    _, name, slant = max(
        min(max(use(one, 0.0), use(other, angle)), max(use(one, angle), use(other, 0.0)))
        for one, other, angle in crossings
    )
    one, other = edges[name]
    words = "{} in the {}, {:m} from one edge and {:m} from the other"
    words += ", with {:m} for the row that crosses it" if slant else ""
    filled = (size.name, name, one, other, *([slant] if slant else []))
    least = Given(slant + one + other, words, *filled, source=fasteners.bolt_spacing)
    depth = Given(n(f"frame.{name}_depth"), f"depth of the {name}")
    note = form("Each timber runs on {:m} past its last bolt.")(along.loaded_end)
    if size.diameter >= depth:
        note = f"{size.name} is thicker than the {name} is deep. " + note
    return made("joint.edges", "all", (least, depth), "m", EDGES, note)


def _ends(subject: Subject) -> Check:
    """Ends that the frame's sizes set: of the sill, of the leg on it, and from joint to joint."""
    n = subject.machine.number
    size, _ = _bolt(subject)
    shape = shape_of(subject)
    along = fasteners.bolt_spacing(size.diameter, 0.0)
    row, end = (n("frame.bolts") - 1.0) * along.along, along.loaded_end
    upper, lower = shape.leg_length - shape.lower_length, shape.lower_length
    needed = [
        (row / 2.0 + end, (n("frame.sill_length") - shape.spread) / 2.0, "from foot to sill's end"),
        (row + along.along, min(upper, lower), "from joint to joint along the leg"),
    ]
    if n("frame.plate") == 0.0:
        edge = fasteners.bolt_spacing(size.diameter, ACROSS).loaded_edge
        lap = end + edge / math.sin(shape.lean)
        words = "along the leg where it laps the sill"
        needed.append((lap, shape.sill[1] / math.sin(shape.lean), words))
    least, room, words = max(needed, key=lambda one: one[0] / one[1] if one[1] > 0.0 else math.inf)
    told = Given(
        least,
        "{} of {:g} {}: bolts {:m} apart, {:m} to a loaded end",
        *(size.name, n("frame.bolts"), words, along.along, end),
        source=fasteners.bolt_spacing,
    )
    there = Given(max(room, 0.0), f"room {words}")
    return made("joint.ends", "all", held_against(told, there), "m", ENDS)


def side_brace_angle(shape: FrameShape, foot: float) -> float:
    """Angle between a leg, which leans along the throw, and a side brace, across it [rad]."""
    return math.acos(math.sin(shape.lean) * shape.height / math.hypot(shape.height, foot))

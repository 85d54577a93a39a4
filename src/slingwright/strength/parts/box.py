"""The counterweight box: its sides against the fill, their joints, its sway, its guide rails."""

import math
from collections.abc import Iterator

from slingwright.amounts.text import form, text
from slingwright.formulas.loads import give_of_stop
from slingwright.formulas.timber import boxes, fasteners, joints
from slingwright.formulas.timber.groups import group_capacity
from slingwright.formulas.timber.strength import size_factor
from slingwright.machine.machine import Machine
from slingwright.strength.check import Check, Subject, held_against, made, run
from slingwright.strength.loads.cases import LoadCase
from slingwright.strength.parts.hanger import bolt_of, embedment, mode_words
from slingwright.strength.parts.sideways import SHARE, gust_on
from slingwright.strength.worked import Given, Step

FRICTION_ANGLE = math.radians(30.0)
"""Angle of friction of loose sand: EN 1991-4:2006, Table E.1 gives 36 degrees (from memory); less
friction presses more."""
SIZES = ("counterweight.width", "counterweight.breadth", "counterweight.height")
SIDES = ("counterweight.side", *SIZES, "counterweight.timber")
JOINTS = ("counterweight.bolts", "hanger.bolt", *SIDES)
RAILS = ("rails.gap", "rails.stiffness", "axle.span", "counterweight.breadth", "frame.side_share")
SWAY = ("axle.span", "counterweight.breadth", "counterweight.hanger", "frame.side_share")


def box_checks(subject: Subject) -> Iterator[Check]:
    """Give every check of the box's sides, of their joints, and of its sway."""
    yield from run(subject, "box.sides", SIDES, _sides)
    yield from run(subject, "box.joints", JOINTS, _joints)
    if subject.machine.flag("counterweight.hung") and subject.machine["rails.gap"] is None:
        yield from run(subject, "box.sway", SWAY, _sway)


def _pressure(subject: Subject, case: LoadCase) -> Step:
    """Pressure on the lowest board of a side in a case, with the load factor [Pa].

    A box that turns with the arm may come to stand on any side: no share, and its least one.
    """
    n = subject.machine.number
    side = n("counterweight.side")
    wide, broad = (n(f"counterweight.{one}") - 2.0 * side for one in ("width", "breadth"))
    if min(wide, broad) <= 0.0:
        raise ValueError(
            f"counterweight.side is {side:g} m: two sides leave no room in a box "
            f"{n('counterweight.width'):g} by {n('counterweight.breadth'):g} m; make it thinner"
        )
    area = Given(wide * broad, "floor inside the box")
    share: float = Step(boxes.rest_share, FRICTION_ANGLE)
    if not subject.machine.flag("counterweight.hung"):
        high = n("counterweight.height")
        area = Given(min(area, wide * high, broad * high), "least side of the box, inside")
        share = Given(1.0, "it turns with the arm: any side may be the low one")
    force = subject.design(case.pin_load, f"hanger pin load{case.bends('pin')}")
    return Step(boxes.wall_pressure, force, area, share)


def _longest(machine: Machine) -> float:
    return max(machine.number("counterweight.width"), machine.number("counterweight.breadth"))


FILL = (
    "The box is taken as full of dry sand, at rest in it and heavier by the swing; wet or driven "
    "fill presses more."
)


def _sides(subject: Subject) -> Check:
    thick = subject.machine.number("counterweight.side")
    timber = subject.timber("counterweight.timber")
    size = Step(size_factor, thick, timber.density_characteristic)

    def use(case: LoadCase) -> tuple[Step, Step]:
        bent = Step(boxes.board_stress, _pressure(subject, case), _longest(subject.machine), thick)
        return bent, subject.timber_strength(timber, "bending_strength", case, size)

    note = f"Boards lie level from corner to corner, the lowest one counts. {FILL}"
    return made("box.sides", *subject.governing(use), "Pa", SIDES, note)


def _joints(subject: Subject) -> Check:
    """Half of the weight goes from the floor's bearer into each side; the fill pulls at corners."""
    m = subject.machine
    n = m.number
    size, broken = bolt_of(m, "hanger")
    pressed = embedment(subject.timber("counterweight.timber"), size.diameter, 0.5 * math.pi)
    thick = n("counterweight.side")
    bend = Step(fasteners.yield_moment, size.diameter, broken)
    plane = Step(joints.single_shear, thick, thick, pressed, pressed, size.diameter, bend)
    count = n("counterweight.bolts")

    def use(case: LoadCase) -> tuple[Step, Step]:
        floor = subject.design(case.pin_load, "hanger pin load, on the bearer at one side", 2.0)
        pull = (_pressure(subject, case), n("counterweight.height"), _longest(m))
        worse = max(floor, Step(boxes.corner_pull, *pull))
        return worse, Step(group_capacity, plane, count, 1, subject.modification(case))

    note = text(
        "At each side a bearer under the floor, at each corner a post, as thick as the sides and "
        "bolted to them with the straps' size of bolt; the bolts' distances are not looked at. ",
        FILL + " ",
        mode_words(plane.result),
    )
    return made("box.joints", *subject.governing(use), "N", JOINTS, note)


def _sway(subject: Subject) -> Check:
    n = subject.machine.number
    share = Given(n("frame.side_share"), "share of the weight, sideways")
    low = Given(
        n("counterweight.hanger") + 0.5 * n("counterweight.height"), "pin to the box's floor"
    )
    room = Given(0.5 * (n("axle.span") - n("counterweight.breadth")), "from the box to a leg")
    ends = held_against(Step(boxes.sway, share, low), room)
    wind = gust_on(subject.machine, n("counterweight.width") * n("counterweight.height"))
    weight = n("counterweight.mass") * n("site.gravity")
    note = text(
        SHARE.replace("axle's load", "weight"),
        form(
            "As if it hung free sideways: what straps and pin hold back is not counted. Guide "
            "rails bound it. Standing, a gust of {:m/s} alone moves it {:m}."
        )(n("site.gust"), boxes.sway(wind / weight, low)),
    )
    return made("box.sway", "all", ends, "m", SWAY, note)


def rail_checks(subject: Subject) -> Iterator[Check]:
    """Give the check of the rails, where a machine has any."""
    if subject.machine["rails.gap"] is not None:
        yield from run(subject, "rails.box", RAILS, _rails)


def _rails(subject: Subject) -> Check:
    m = subject.machine
    n, stiffness = m.number, m["rails.stiffness"]
    if stiffness is None:
        raise ValueError(
            "rails.stiffness is not given: how far a rail gives is not known; push it with a load "
            "cell, measure its give, and write the force over the give"
        )
    gap, share = n("rails.gap"), n("frame.side_share")
    behind = 0.5 * (n("axle.span") - n("counterweight.breadth")) - gap
    load, case = subject.worst(lambda one: one.pin_load)
    force = subject.design(share * load, f"sideways, {share:g} of the hanger pin's load")
    give = Step(
        give_of_stop, force, Given(2.0 * gap, "from the far rail to this one"), float(stiffness)
    )
    room = Given(behind, "from a rail to the leg behind it, less the box's way to it")
    note = SHARE.replace("axle's", "hanger pin's") + form(
        "The box is pushed from rail to rail and meets it with {:N}: hold rails and their bolts to "
        "that."
    )(float(stiffness) * give)
    return made("rails.box", case, held_against(give, room), "m", RAILS, note)

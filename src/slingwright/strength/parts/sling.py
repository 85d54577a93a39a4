"""The sling: its cords with their knots, the pouch, and the prong that the ring hangs on.

And one cord late or parted at loosing: what the other does to itself, prong, arm and frame.
"""

from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from slingwright.formulas.beams.sections import rectangle, round_section
from slingwright.formulas.loads import couple_force, design_load, lever_moment, side_pull
from slingwright.formulas.rope import ropes
from slingwright.formulas.steel import strength as steel
from slingwright.formulas.steel.axle import round_bending_stress
from slingwright.formulas.timber.strength import two_way_stress
from slingwright.machine.machine import Machine
from slingwright.strength.check import Check, Subject, held_against, made, run
from slingwright.strength.loads.brief import brief_loads
from slingwright.strength.loads.cases import LoadCase
from slingwright.strength.parts.arm import arm_of, arm_strength
from slingwright.strength.parts.axle import steel_of
from slingwright.strength.worked import Given, Step
from slingwright.tables import ropes as ropes_table

CORDS = ("sling.rope_diameter", "sling.rope", "sling.cords", "sling.knot", "sling.breaking")
POUCH = ("sling.pouch_width", "sling.pouch_strength")
PRONG = ("prong.diameter", "prong.length", "prong.grade")
ASIDE = ("arm.width_at_axle", "arm.depth_at_axle", "arm.hole", "sling.length")
Use = Callable[[LoadCase, Given], tuple[float, ...]]
Dials = tuple[str, ...]
ACCIDENT = (
    "An accident that is not joined with another: as loosed and thrown, no load factor (EN 1990, "
    "6.4.3.3, from memory). "
)


def sling_checks(subject: Subject) -> Iterator[Check]:
    """Give every check of cords, pouch and prong."""
    yield from run(subject, "sling.cords", CORDS, _cords)
    yield from run(subject, "sling.pouch", POUCH, _pouch)
    yield from run(subject, "prong.bending", PRONG, _prong)
    yield from run(subject, "sling.one_cord", CORDS, _one_cord)
    yield from run(subject, "prong.one_cord", PRONG, _one_cord_on_prong)
    yield from run(subject, "arm.one_cord", ASIDE, _aside)
    yield from run(subject, "frame.one_cord", ("frame.share", "axle.span", *ASIDE), _twisted)


def cord_strength(machine: Machine) -> Given:
    """Breaking force of one cord [N] and where it comes from.

    Raises: ValueError: a cord thinner than the table's thinnest, with no force of its own.
    """
    given = machine.number("sling.breaking")
    if given > 0.0:
        return Given(given, "given for one cord")
    size = ropes_table.rope(machine.text("sling.rope"), machine.number("sling.rope_diameter"))
    return Given(size.breaking_force, "{} of {:m}", size.name, size.diameter, source=size.source)


def _safe(subject: Subject, factor: float) -> Step:
    """What one cord with its knots may carry [N]."""
    knot = ropes_table.knot(subject.machine.text("sling.knot"))
    kept = Given(knot.kept, knot.name, source=knot.source)
    return Step(ropes.safe_load, cord_strength(subject.machine), kept, factor)


def _cords(subject: Subject) -> Check:
    n = subject.machine.number
    tension, case = subject.worst(lambda c: c.cord_tension)
    each = Given(
        tension, "pull of one cord, no load factor; once the ring has slipped half of them pull"
    )
    return made("sling.cords", case, (each, _safe(subject, n("sling.factor"))), "N", CORDS)


def _parted(subject: Subject, key: str, use: Use, unit: str, dials: Dials, words: str) -> Check:
    """Check a use by the pull of a throw of the brief, as one cord has it alone.

    Every throw is known up to its loosing, and no farther does the pull count.
    """
    cases = [c for c in subject.every_case if c.kind == "brief"]
    if stays := [c.name for c in cases if not c.thrown.release]:
        raise ValueError(f"{', '.join(stays)}: not known to leave the sling")

    def alone(case: LoadCase) -> tuple[float, ...]:
        assert case.thrown.release
        pull = case.thrown.sling_tension[case.time <= case.thrown.release.time].max()
        return use(case, Given(float(pull), "pull of the sling up to its loosing"))

    case, ends = subject.governing(alone, cases)
    return made(key, f"{case.name}, one cord late or parted", ends, unit, dials, ACCIDENT + words)


def _one_cord(subject: Subject) -> Check:
    left = subject.machine.number("sling.cords") - 1.0
    safe = _safe(subject, 1.0)

    def use(_: LoadCase, pull: Given) -> tuple[float, ...]:
        return (Step(design_load, pull, 1.0, left), safe) if left else held_against(pull, 0.0)

    words = "The cords that are left share the pull, up to where they break."
    return _parted(subject, "sling.one_cord", use, "N", CORDS, words)


def _one_cord_on_prong(subject: Subject) -> Check:
    words = "Where the cord parts that is made fast, the ring takes all of the pull."
    bent = partial(_bent, subject)
    return _parted(subject, "prong.one_cord", lambda _, pull: bent(pull), "Pa", PRONG, words)


def _turning(subject: Subject, pull: Given) -> Step:
    """Moment at the axle of a cord that pulls the arm's tip aside [N m]."""
    n = subject.machine.number
    widest = max(load.diameter for load in brief_loads(subject.machine))
    apart = Given(widest, "diameter of the widest projectile")
    return Step(lever_moment, Step(side_pull, pull, apart, n("sling.length")), n("arm.long"))


def _aside(subject: Subject) -> Check:
    m = subject.machine
    n = m.number
    depth, wide, hole = n("arm.depth_at_axle"), n("arm.width_at_axle"), n("arm.hole")
    turned = m.text("arm.section") == "round"
    wide = depth if turned else wide
    whole = round_section(depth) if turned else rectangle(depth, wide)
    left = 2.0 * whole.inertia / wide - hole * wide**2 / 6.0
    if left <= 0.0:
        raise ValueError(f"arm.hole is {hole:g} m: it leaves nothing of an arm {depth:g} m deep")

    def use(case: LoadCase, pull: Given) -> tuple[float, ...]:
        at = int(np.argmin(np.abs(case.position)))
        moment = Given(float(case.moment[at]), "at the axle, largest of the throw")
        modulus = float(arm_of(subject, case, hole).elastic_modulus[at])
        main = Step(steel.bending_stress, moment, modulus)
        beside = Given(left, "sideways, beside the hole")
        across = Step(steel.bending_stress, _turning(subject, pull), beside)
        both = Step(two_way_stress, main, across, 1.0 if turned else 0.7)
        return both, arm_strength(subject, case, depth, 0.0)

    words = "The cord leads from one side of the widest projectile to the arm's tip."
    return _parted(subject, "arm.one_cord", use, "Pa", ASIDE, words)


def _twisted(subject: Subject) -> Check:
    n = subject.machine.number
    more = n("frame.share") - 0.5

    def use(case: LoadCase, pull: Given) -> tuple[float, ...]:
        force = Step(couple_force, _turning(subject, pull), n("axle.span"))
        words = "{:g} of the axle's load, in the rows of a frame"
        return held_against(force, Given(more * case.axle_load, words, more))

    words = (
        "The arm, pulled aside, presses one frame forward and the other back; the rows of a frame "
        "carry as much by its share over a half."
    )
    dials = ("frame.share", "axle.span", *ASIDE)
    return _parted(subject, "frame.one_cord", use, "N", dials, words)


def _pouch(subject: Subject) -> Check:
    n = subject.machine.number
    tension, case = subject.worst(lambda c: c.pouch_tension)
    pull = Given(tension, "pull at the pouch, no load factor", source="common practice")
    strong, wide = n("sling.pouch_strength"), n("sling.pouch_width")
    breaking = Given(strong * wide, "{:N/m} of cloth over {:m}", strong, wide)
    safe = Step(ropes.safe_load, breaking, 1.0, n("sling.factor"))
    note = "Seams and eyelets are not counted."
    return made("sling.pouch", case, (pull, safe), "N", POUCH, note)


def _prong(subject: Subject) -> Check:
    force, case = subject.worst(lambda c: c.prong_force)
    pull = subject.design(force, "half the sling's pull, on the ring")
    note = "A prong that gives changes the release."
    return made("prong.bending", case, _bent(subject, pull), "Pa", PRONG, note)


def _bent(subject: Subject, pull: float) -> tuple[Step, Step]:
    m = subject.machine
    across = m.number("prong.diameter")
    section = round_section(across)
    moment = Step(lever_moment, pull, m.number("prong.length"))
    both = Step(
        steel.von_mises_stress,
        Step(round_bending_stress, moment, across),
        Step(steel.shear_stress, pull, section.area, section.shear_factor),
    )
    return both, Step(steel.design_strength, steel_of(m.text("prong.grade"), across))

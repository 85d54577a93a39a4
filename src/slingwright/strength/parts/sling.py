"""The sling: its cords with their knots, the pouch, and the prong that the ring hangs on."""

from __future__ import annotations

from collections.abc import Iterator

from slingwright.formulas.beams.sections import round_section
from slingwright.formulas.loads import design_load, lever_moment
from slingwright.formulas.rope import ropes
from slingwright.formulas.steel import strength as steel
from slingwright.formulas.steel.axle import round_bending_stress
from slingwright.machine.machine import Machine
from slingwright.strength.check import Check, Subject, made, run
from slingwright.strength.parts.axle import steel_of
from slingwright.strength.worked import Given, Step
from slingwright.tables import ropes as ropes_table

CORDS = ("sling.rope_diameter", "sling.rope", "sling.cords", "sling.knot", "sling.breaking")
POUCH = ("sling.pouch_width", "sling.pouch_strength")
PRONG = ("prong.diameter", "prong.length", "prong.grade")


def sling_checks(subject: Subject) -> Iterator[Check]:
    """Give every check of cords, pouch and prong."""
    yield from run(subject, "sling.cords", CORDS, _cords)
    yield from run(subject, "sling.pouch", POUCH, _pouch)
    yield from run(subject, "prong.bending", PRONG, _prong)


def cord_strength(machine: Machine) -> Given:
    """Breaking force of one cord [N] and where it comes from.

    Raises:
        ValueError: a cord thinner than the table's thinnest, with no force of its own.
    """
    given = machine.number("sling.breaking")
    if given > 0.0:
        return Given(given, "given for one cord")
    size = ropes_table.rope(machine.text("sling.rope"), machine.number("sling.rope_diameter"))
    return Given(size.breaking_force, "{} of {:m}", size.name, size.diameter, source=size.source)


def _cords(subject: Subject) -> Check:
    m = subject.machine
    n = m.number
    tension, case = subject.worst(lambda c: c.sling_tension)
    load = Given(tension, "pull of the sling, no load factor")
    each = Step(design_load, load, 1.0, n("sling.cords"))
    knot = ropes_table.knot(m.text("sling.knot"))
    kept = Given(knot.kept, knot.name, source=knot.source)
    safe = Step(ropes.safe_load, cord_strength(m), kept, n("sling.factor"))
    return made("sling.cords", case, (each, safe), "N", CORDS)


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
    m = subject.machine
    force, case = subject.worst(lambda c: c.prong_force)
    across = m.number("prong.diameter")
    section = round_section(across)
    pull = subject.design(force, "half the sling's pull, on the ring")
    moment = Step(lever_moment, pull, m.number("prong.length"))
    both = Step(
        steel.von_mises_stress,
        Step(round_bending_stress, moment, across),
        Step(steel.shear_stress, pull, section.area, section.shear_factor),
    )
    strength = Step(steel.design_strength, steel_of(m.text("prong.grade"), across))
    note = "A prong that gives changes the release."
    return made("prong.bending", case, (both, strength), "Pa", PRONG, note)

"""The sling: its cords with their knots, the pouch, and the prong that the ring hangs on."""

from __future__ import annotations

from collections.abc import Iterator

from slingwright.amounts import units
from slingwright.amounts.text import form
from slingwright.formulas.beams.sections import round_section
from slingwright.formulas.rope import ropes
from slingwright.formulas.steel import strength as steel
from slingwright.machine.machine import Machine
from slingwright.strength.check import Check, Subject, made, run
from slingwright.tables import materials
from slingwright.tables import ropes as ropes_table

CORDS = ("sling.rope_diameter", "sling.rope", "sling.cords", "sling.knot", "sling.breaking")
POUCH = ("sling.pouch_width", "sling.pouch_strength")
PRONG = ("prong.diameter", "prong.length", "prong.grade")


def sling_checks(subject: Subject) -> Iterator[Check]:
    """Give every check of cords, pouch and prong."""
    yield from run(subject, "sling.cords", CORDS, _cords)
    yield from run(subject, "sling.pouch", POUCH, _pouch)
    yield from run(subject, "prong.bending", PRONG, _prong)


def cord_strength(machine: Machine) -> tuple[float, str]:
    """Breaking force of one cord [N] and where it comes from.

    Raises:
        ValueError: a cord thinner than the table's thinnest, with no force of its own.
    """
    given = machine.number("sling.breaking")
    if given > 0.0:
        return given, "breaking force as given in sling.breaking"
    size = ropes_table.rope(machine.text("sling.rope"), machine.number("sling.rope_diameter"))
    return size.breaking_force, f"{size.name} of {units.text(size.diameter, 'm')}: {size.source}"


def _cords(subject: Subject) -> Check:
    m = subject.machine
    n = m.number
    tension, case = subject.worst(lambda c: c.sling_tension)
    each = tension / n("sling.cords")
    breaking, source = cord_strength(m)
    knot = ropes_table.knot(m.text("sling.knot"))
    safe = ropes.safe_load(breaking, knot.kept, n("sling.factor"))
    return made(
        "sling.cords",
        case,
        each,
        safe,
        "N",
        f"Cordage Institute CI 1401 (factor 5 to 12); {source}; {knot.source}",
        form("{:N} over {:g} cords = {:N}, no load factor; {:N} x {:g} ({}) / {:g} = {:N}")(
            tension, n("sling.cords"), each, breaking, knot.kept, knot.name, n("sling.factor"), safe
        ),
        CORDS,
    )


def _pouch(subject: Subject) -> Check:
    n = subject.machine.number
    tension, case = subject.worst(lambda c: c.pouch_tension)
    breaking = n("sling.pouch_strength") * n("sling.pouch_width")
    safe = ropes.safe_load(breaking, 1.0, n("sling.factor"))
    return made(
        "sling.pouch",
        case,
        tension,
        safe,
        "N",
        "common practice: the sling's design factor on the cloth's breaking force",
        form(
            "{:N} at the pouch, no load factor; {:N/m} x {:m} / {:g} = {:N}. Seams and "
            "eyelets are not counted."
        )(tension, n("sling.pouch_strength"), n("sling.pouch_width"), n("sling.factor"), safe),
        POUCH,
    )


def _prong(subject: Subject) -> Check:
    m = subject.machine
    n = m.number
    force, case = subject.worst(lambda c: c.prong_force)
    across, reach = n("prong.diameter"), n("prong.length")
    section = round_section(across)
    grade = materials.steel(m.text("prong.grade"), across)
    pull = subject.load_factor * force
    bending = steel.bending_stress(pull * reach, section.elastic_modulus)
    shear = steel.shear_stress(pull, section.area, section.shear_factor)
    both = steel.von_mises_stress(bending, shear)
    return made(
        "prong.bending",
        case,
        both,
        steel.design_strength(grade.yield_strength),
        "Pa",
        "EN 1993-1-1:2005 6.2.5 and eq 6.1, elastic",
        form(
            "half the sling's pull on the ring, {:g} x {:N}, {:m} from the root: sigma = "
            "{:Pa}, tau = {:Pa}; f_y of {} = {:Pa}. A prong that gives changes the "
            "release."
        )(subject.load_factor, force, reach, bending, shear, grade.name, grade.yield_strength),
        PRONG,
    )

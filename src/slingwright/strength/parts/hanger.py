"""What the weight hangs on: pin, straps, their bolts, and the floor of the box."""

from __future__ import annotations

from collections.abc import Iterator

from slingwright.amounts.text import Text, form, joined
from slingwright.formulas.beams.sections import rectangle
from slingwright.formulas.steel import bolts, pins
from slingwright.formulas.steel import strength as steel
from slingwright.formulas.timber import fasteners, joints
from slingwright.formulas.timber.groups import group_capacity
from slingwright.formulas.timber.strength import size_factor
from slingwright.machine.machine import Machine
from slingwright.strength.cases import LoadCase
from slingwright.strength.check import Check, Subject, made, run
from slingwright.strength.parts.axle import pressed_in_arm
from slingwright.tables import materials

HOLE_PLAY = 0.001  # m, hole over bolt in timber and strap: EN 1995-1-1 10.4.3 (from memory)
PIN = ("hanger.pin", "hanger.grade", "arm.width_at_axle", "hanger.gap")
STRAP = (
    "hanger.strap_width",
    "hanger.strap_thickness",
    "hanger.straps",
    "hanger.grade",
)
BOLTS = ("hanger.bolts", "hanger.bolt", "hanger.straps", "counterweight.side")
FLOOR = ("counterweight.floor", "counterweight.breadth", "counterweight.timber")


def hanger_checks(subject: Subject) -> Iterator[Check]:
    """Give every check of pin, straps, strap bolts and box floor."""
    if subject.machine.flag("counterweight.hung"):
        yield from run(subject, "pin.bending", PIN, _pin)
        yield from run(subject, "pin.in_arm", ("hanger.pin", "arm.width_at_axle"), _in_arm)
    yield from run(subject, "strap.tension", STRAP, _straps)
    yield from run(subject, "strap.bolts_in_box", BOLTS, _bolts)
    yield from run(subject, "box.floor", FLOOR, _floor)


def _pin_load(subject: Subject) -> tuple[float, float, LoadCase]:
    load, case = subject.worst(lambda c: c.pin_load)
    return load, subject.load_factor * load, case


def _side_plate(machine: Machine) -> float:
    """Thickness of straps on one side of the arm together [m]."""
    n = machine.number
    return n("hanger.strap_thickness") * n("hanger.straps") / 2.0


def _pin(subject: Subject) -> Iterator[Check]:
    m = subject.machine
    n = m.number
    load, force, case = _pin_load(subject)
    across, plate, middle = n("hanger.pin"), _side_plate(m), n("arm.width_at_axle")
    grade = materials.steel(m.text("hanger.grade"), across)
    strap = materials.steel(m.text("hanger.grade"), n("hanger.strap_thickness"))
    moment = pins.pin_moment(force, plate, middle, n("hanger.gap"))
    capacity = pins.pin_moment_capacity(across, grade.yield_strength)
    first = form("F = {:g} x {:N}")(subject.load_factor, load)
    bent = form("{}; M = F (b + 4 c + 2 a) / 8 with b = {:m}, c = {:m}, a = {:m} = {:N m}")(
        first, middle, n("hanger.gap"), plate, moment
    )
    source = "EN 1993-1-8:2005 Table 3.10"
    yield made(
        "pin.bending",
        case,
        moment,
        capacity,
        "N m",
        f"{source}, Figure 3.11",
        form(
            "{}; M_Rd = 1.5 W f_y with {} at {:m}: {:Pa}. Near the pin's full yield: "
            "change it if it bends."
        )(bent, grade.name, across, grade.yield_strength),
        PIN,
    )
    shear = pins.pin_shear_capacity(across, grade.ultimate_strength)
    yield made(
        "pin.shear",
        case,
        force / 2.0,
        shear,
        "N",
        source,
        form("{}, two planes; F_v,Rd = 0.6 A f_u / 1.25 = {:N}")(first, shear),
        PIN,
    )
    use = pins.pin_combined_use(moment, capacity, force / 2.0, shear)
    yield made(
        "pin.bending_with_shear",
        case,
        use,
        1.0,
        "-",
        source,
        form("(M / M_Rd)^2 + (F_v / F_v,Rd)^2 = ({:.3f})^2 + ({:.3f})^2")(
            moment / capacity, force / 2.0 / shear
        ),
        PIN,
    )
    weaker = min(grade.yield_strength, strap.yield_strength)
    bearing = pins.pin_bearing_capacity(plate, across, weaker)
    yield made(
        "pin.in_straps",
        case,
        force / 2.0,
        bearing,
        "N",
        source,
        form("{}, half on each side; F_b,Rd = 1.5 t d f_y = 1.5 x {:m} x {:m} x {:Pa}")(
            first, plate, across, weaker
        ),
        (*STRAP, "hanger.pin"),
    )


def _in_arm(subject: Subject) -> Check:
    n = subject.machine.number
    size = (n("hanger.pin"), n("arm.width_at_axle"))
    dials = ("hanger.pin", "arm.width_at_axle", "arm.timber")
    return pressed_in_arm(subject, "pin.in_arm", size, dials, "pin")


def _straps(subject: Subject) -> Iterator[Check]:
    m = subject.machine
    n = m.number
    load, force, case = _pin_load(subject)
    wide, thick = n("hanger.strap_width"), n("hanger.strap_thickness")
    grade = materials.steel(m.text("hanger.grade"), thick)
    bolt = materials.bolt_size(m.text("hanger.bolt")).diameter
    each = force / n("hanger.straps")
    net = steel.net_area(wide, thick, bolt + HOLE_PLAY)
    capacity = steel.tension_capacity(
        wide * thick, net, grade.yield_strength, grade.ultimate_strength
    )
    first = form("{:g} x {:N} over {:g} straps")(subject.load_factor, load, n("hanger.straps"))
    yield made(
        "strap.tension",
        case,
        each,
        capacity,
        "N",
        "EN 1993-1-1:2005 eqs 6.6 and 6.7",
        form(
            "{} = {:N}; the lesser of A f_y and 0.9 A_net f_u / 1.25, {:m} x {:m} less a "
            "hole of {:m}"
        )(first, each, wide, thick, bolt + HOLE_PLAY),
        (*STRAP, "hanger.bolt"),
    )
    hole = n("hanger.pin") + HOLE_PLAY
    _, side = pins.lug_edges(each, thick, hole, grade.yield_strength)
    needed = 2.0 * side + hole
    yield made(
        "strap.around_pin",
        case,
        needed,
        wide,
        "m",
        "EN 1993-1-8:2005 Table 3.9 type A (from memory)",
        form(
            "{}; beside a hole of {:m} at least c = F / (2 t f_y) + d_0 / 3 = {:m} on "
            "each side: a strap {:m} wide there"
        )(first, hole, side, needed),
        (*STRAP, "hanger.pin"),
    )


def _bolts(subject: Subject) -> Iterator[Check]:
    m = subject.machine
    n = m.number
    _, case = subject.worst(lambda c: c.pin_load / subject.modification(c))
    each = subject.load_factor * case.pin_load / n("hanger.straps")
    count = round(n("hanger.bolts"))
    size = materials.bolt_size(m.text("hanger.bolt"))
    grade = materials.bolt_grade(m.text("hanger.bolt_grade"))
    timber = subject.timber("counterweight.timber")
    across = fasteners.embedment_strength(
        size.diameter, timber.density_characteristic, 1.5707963267948966, timber.kind
    )
    plane = joints.steel_single_shear(
        n("counterweight.side"),
        across,
        size.diameter,
        fasteners.yield_moment(size.diameter, grade.ultimate_strength),
        n("hanger.strap_thickness"),
    )
    capacity = group_capacity(plane.resistance, count, 1, subject.modification(case))
    yield made(
        "strap.bolts_in_box",
        case,
        each,
        capacity,
        "N",
        f"{plane.source}, 8.5; rope effect left out",
        form(
            "{:g} x {:N} over {:g} straps with {} {} {} each, across the grain of sides "
            "{:m} thick; a bolt: {}"
        )(
            subject.load_factor,
            case.pin_load,
            n("hanger.straps"),
            count,
            size.name,
            grade.name,
            n("counterweight.side"),
            mode_words(plane),
        ),
        BOLTS,
    )
    shear = count * bolts.bolt_shear_capacity(
        size.stress_area, grade.ultimate_strength, bolts.bolt_shear_factor(grade.name)
    )
    # Steel asks for the largest load alone, timber for how long it lasts as well.
    _, force, largest = _pin_load(subject)
    yield made(
        "strap.bolts_in_shear",
        largest,
        force / n("hanger.straps"),
        shear,
        "N",
        "EN 1993-1-8:2005 Table 3.4",
        form("{} x alpha_v f_ub A_s / 1.25 = {:N} with the thread in the plane")(count, shear),
        BOLTS,
    )


def mode_words(plane: joints.ShearPlane) -> Text:
    """Write every failure mode of a shear plane with its resistance, the governing one marked."""
    modes = [form("({}) {} {:N}")(mode.letter, mode.words, mode.resistance) for mode in plane.modes]
    return joined(modes, ", ") + f"; mode {plane.governing} governs"


def _floor(subject: Subject) -> Check:
    m = subject.machine
    n = m.number
    timber = subject.timber("counterweight.timber")
    _, case = subject.worst(lambda c: c.pin_load / subject.modification(c))
    force = subject.load_factor * case.pin_load
    span, thick = n("counterweight.breadth"), n("counterweight.floor")
    section = rectangle(n("counterweight.width"), thick)
    moment = force * span / 8.0
    stress = steel.bending_stress(moment, section.elastic_modulus)
    size = size_factor(thick, timber.density_characteristic)
    strength = subject.timber_strength(timber.bending_strength, case, size)
    return made(
        "box.floor",
        case,
        stress,
        strength,
        "Pa",
        "EN 1995-1-1:2004 6.1.6; Roark Table 8.1 (from memory)",
        form(
            "all of {:g} x {:N} spread over the floor: M = F b / 8 = {:N m}, W = {:m^3}; "
            "{} x k_h {:.2f} = {:Pa}. Bearers under the floor are not counted."
        )(
            subject.load_factor,
            case.pin_load,
            moment,
            section.elastic_modulus,
            subject.timber_words("f_m,d", timber.bending_strength, case),
            size,
            strength,
        ),
        FLOOR,
    )

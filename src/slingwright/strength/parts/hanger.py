"""What the weight hangs on: pin, straps, their bolts, and the floor of the box."""

import math
from collections.abc import Callable, Iterator

from slingwright.amounts.text import Text, form, joined
from slingwright.formulas.beams.sections import rectangle
from slingwright.formulas.beams.spans import patch_load_moment
from slingwright.formulas.steel import bolts, pins
from slingwright.formulas.steel import strength as steel
from slingwright.formulas.timber import fasteners, joints
from slingwright.formulas.timber.groups import group_capacity
from slingwright.formulas.timber.strength import size_factor
from slingwright.machine.machine import Machine
from slingwright.strength.check import Check, Subject, made, run
from slingwright.strength.loads.cases import LoadCase
from slingwright.strength.parts.axle import pressed_in_arm, steel_of
from slingwright.strength.worked import Given, Step
from slingwright.tables import materials

HOLE_PLAY = 0.001  # m, hole over bolt in timber and strap: EN 1995-1-1 10.4.3 (from memory)
PIN = ("hanger.pin", "hanger.grade", "arm.width_at_axle", "hanger.gap")
STRAP = ("hanger.strap_width", "hanger.strap_thickness", "hanger.straps", "hanger.grade")
BOLTS = ("hanger.bolts", "hanger.bolt", "hanger.straps", "counterweight.side")
APART = ("hanger.bolts", "hanger.bolt", "counterweight.height", "hanger.strap_width")
FLOOR = ("counterweight.floor", "counterweight.breadth", "counterweight.timber")


def hanger_checks(subject: Subject) -> Iterator[Check]:
    """Give every check of pin, straps, strap bolts and box floor."""
    if subject.machine.flag("counterweight.hung"):
        yield from run(subject, "pin.bending", PIN, _pin)
        yield from run(subject, "pin.in_arm", ("hanger.pin", "arm.width_at_axle"), _in_arm)
    yield from run(subject, "strap.tension", STRAP, _straps)
    yield from run(subject, "strap.bolts_in_box", BOLTS, _bolts)
    yield from run(subject, "strap.bolts_in_strap", (*STRAP, "hanger.bolt"), _in_strap)
    yield from run(subject, "strap.bolts_apart", APART, _apart)
    yield from run(subject, "box.floor", FLOOR, _floor)


def _pin_load(subject: Subject, parts: float = 1.0) -> tuple[LoadCase, Step]:
    load, case = subject.worst(lambda c: c.pin_load)
    return case, subject.design(load, f"hanger pin load{case.bends('pin')}", parts)


def side_plates(machine: Machine) -> Given:
    """Thickness of the straps on one side of the arm, together [m]."""
    straps, thick = machine.number("hanger.straps"), machine.number("hanger.strap_thickness")
    return Given(thick * straps / 2.0, "half of {:g} straps of {:m}", straps, thick)


def _pin(subject: Subject) -> Iterator[Check]:
    m = subject.machine
    n = m.number
    across, grade = n("hanger.pin"), m.text("hanger.grade")
    thick, plate = n("hanger.strap_thickness"), side_plates(m)
    case, force = _pin_load(subject)
    bent = Step(pins.pin_moment, force, plate, n("arm.width_at_axle"), n("hanger.gap"))
    moment = Step(pins.pin_moment_capacity, across, steel_of(grade, across))
    note = "Near the pin's full yield: change it if it bends."
    yield made("pin.bending", case, (bent, moment), "N m", PIN, note)
    _, half = _pin_load(subject, 2.0)
    shear = Step(pins.pin_shear_capacity, across, steel_of(grade, across, "ultimate_strength"))
    note = "Two planes, one on each side of the arm."
    yield made("pin.shear", case, (half, shear), "N", PIN, note)
    use = Step(pins.pin_combined_use, bent, moment, half, shear)
    yield made("pin.bending_with_shear", case, (use, Given(1.0, "limit")), "-", PIN)
    weaker = min(steel_of(grade, across), steel_of(grade, thick))
    bearing = Step(pins.pin_bearing_capacity, plate, across, weaker)
    yield made("pin.in_straps", case, (half, bearing), "N", (*STRAP, "hanger.pin"))


def _in_arm(subject: Subject) -> Check:
    n = subject.machine.number
    size = (n("hanger.pin"), n("arm.width_at_axle"))
    dials = ("hanger.pin", "arm.width_at_axle", "arm.timber")
    return pressed_in_arm(subject, "pin.in_arm", size, dials, "pin")


def _straps(subject: Subject) -> Iterator[Check]:
    m = subject.machine
    n = m.number
    wide, thick = n("hanger.strap_width"), n("hanger.strap_thickness")
    yielding = steel_of(m.text("hanger.grade"), thick)
    broken = steel_of(m.text("hanger.grade"), thick, "ultimate_strength")
    bolt = materials.bolt_size(m.text("hanger.bolt")).diameter
    case, each = _pin_load(subject, n("hanger.straps"))
    net = Step(steel.net_area, wide, thick, bolt + HOLE_PLAY)
    capacity = Step(steel.tension_capacity, wide * thick, net, yielding, broken)
    yield made("strap.tension", case, (each, capacity), "N", (*STRAP, "hanger.bolt"))
    needed = Step(pins.lug_width, each, thick, n("hanger.pin") + HOLE_PLAY, yielding)
    width = Given(wide, "width of a strap")
    yield made("strap.around_pin", case, (needed, width), "m", (*STRAP, "hanger.pin"))


def _bolts(subject: Subject) -> Iterator[Check]:
    m = subject.machine
    n = m.number
    count = round(n("hanger.bolts"))
    size, broken = bolt_of(m, "hanger")
    timber = subject.timber("counterweight.timber")
    pressed = n("counterweight.side"), embedment(timber, size.diameter, 0.5 * math.pi)
    bend = Step(fasteners.yield_moment, size.diameter, broken)
    bolt = size.diameter, bend, n("hanger.strap_thickness")
    plane = Step(joints.steel_single_shear, *pressed, *bolt)

    def use(case: LoadCase) -> tuple[Step, Step]:
        each = subject.design(case.pin_load, "hanger pin load", n("hanger.straps"))
        return each, Step(group_capacity, plane, count, 1, subject.modification(case))

    case, ends = subject.governing(use)
    yield made("strap.bolts_in_box", case, ends, "N", BOLTS, mode_words(plane.result))
    share = Step(bolts.bolt_shear_factor, m.text("hanger.bolt_grade"))
    shear = Step(bolts.bolt_shear_capacity, size.stress_area, broken, share, steel.GAMMA_M2, count)
    note = "The thread lies in the shear plane."
    # Steel asks for the largest load alone, timber for how long it lasts as well.
    case, ends = subject.governing(lambda one: (use(one)[0], shear))
    yield made("strap.bolts_in_shear", case, ends, "N", BOLTS, note)


def _in_strap(subject: Subject) -> Check:
    m = subject.machine
    n = m.number
    thick = n("hanger.strap_thickness")
    across = materials.bolt_size(m.text("hanger.bolt")).diameter
    hole = across + HOLE_PLAY
    case, force = _pin_load(subject, n("hanger.straps") * round(n("hanger.bolts")))
    plate = steel_of(m.text("hanger.grade"), thick, "ultimate_strength")
    end = Given(bolts.EDGE * hole, "least to the strap's end")
    edge = Given(0.5 * n("hanger.strap_width"), "half the strap")
    bears = Step(bolts.bolt_bearing_capacity, thick, across, hole, end, edge, plate)
    return made("strap.bolts_in_strap", case, (force, bears), "N", (*STRAP, "hanger.bolt"))


def _apart(subject: Subject) -> Check:
    """Boards of the sides lie level: the straps pull across their grain, up to the top edge."""
    m = subject.machine
    n = m.number
    size = materials.bolt_size(m.text("hanger.bolt"))
    least = fasteners.bolt_spacing(size.diameter, 0.5 * math.pi)
    row = (round(n("hanger.bolts")) - 1) * least.across
    beside = (n("hanger.straps") / 2.0 - 1.0) * max(n("hanger.strap_width"), least.along)
    timber: Callable[..., object] = fasteners.bolt_spacing
    steels: Callable[..., object] = bolts.bolt_bearing_capacity
    edge = 2.0 * bolts.EDGE
    found = (
        (row + least.loaded_edge + least.free_edge, "counterweight.height", "up the box", timber),
        (beside + 2.0 * least.free_end, "counterweight.width", "along the box", timber),
        (edge * (size.diameter + HOLE_PLAY), "hanger.strap_width", "in a strap", steels),
    )
    needed, path, words, source = max(found, key=lambda one: one[0] / n(one[1]))
    told = Given(needed, "{} of {:g} {}", size.name, n("hanger.bolts"), words, source=source)
    room = Given(n(path), "what there is")
    return made("strap.bolts_apart", "all", (told, room), "m", APART)


def bolt_of(machine: Machine, room: str) -> tuple[materials.BoltSize, Given]:
    """Size of the bolts of `hanger` or `frame`, and their ultimate strength [Pa]."""
    size = materials.bolt_size(machine.text(f"{room}.bolt"))
    grade = materials.bolt_grade(machine.text(f"{room}.bolt_grade"))
    return size, Given(grade.ultimate_strength, f"{size.name} {grade.name}", source=grade.source)


def embedment(timber: materials.TimberClass, diameter: float, angle: float) -> Step:
    """Embedment strength of a timber under a bolt that presses at an angle to its grain [Pa]."""
    density = Given(timber.density_characteristic, timber.name, source=timber.source)
    along = Step(fasteners.embedment_strength_along, diameter, density)
    side = Step(fasteners.embedment_side_factor, diameter, timber.kind)
    return Step(fasteners.embedment_strength, along, side, angle)


def mode_words(plane: joints.ShearPlane) -> Text:
    """Write every failure mode of a shear plane with its resistance, the governing one marked."""
    modes = [form("({}) {} {:N}")(mode.letter, mode.words, mode.resistance) for mode in plane.modes]
    return (
        "A bolt and plane: " + joined(modes, ", ") + f"; mode {plane.governing} governs; "
        "the rope effect is left out."
    )


def _floor(subject: Subject) -> Check:
    n = subject.machine.number
    timber = subject.timber("counterweight.timber")
    span, thick = n("counterweight.breadth"), n("counterweight.floor")
    modulus = rectangle(n("counterweight.width"), thick).elastic_modulus
    size = Step(size_factor, thick, timber.density_characteristic)

    def use(case: LoadCase) -> tuple[Step, Step]:
        force = subject.design(case.pin_load, "hanger pin load, all of it")
        moment = Step(patch_load_moment, force, span, span)
        strength = subject.timber_strength(timber, "bending_strength", case, size)
        return Step(steel.bending_stress, moment, modulus), strength

    note = "Spread over the whole floor; bearers under it are not counted."
    return made("box.floor", *subject.governing(use), "Pa", FLOOR, note)

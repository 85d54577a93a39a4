"""The axle: bending, shear, both, deflection, fatigue, and what it presses on."""

import math
from collections.abc import Iterator

import numpy as np

from slingwright.formulas.beams import spans
from slingwright.formulas.beams.sections import rectangle, round_section
from slingwright.formulas.loads import design_load, lever_moment, shared_load
from slingwright.formulas.steel import axle
from slingwright.formulas.steel import strength as steel
from slingwright.formulas.timber.strength import (
    K_CR,
    bearing_spread,
    bearing_strength_at_angle,
    kept_strength,
)
from slingwright.machine.machine import Machine
from slingwright.strength.check import Check, Subject, made, run
from slingwright.strength.loads.cases import LoadCase
from slingwright.strength.worked import Given, Step
from slingwright.tables import materials

SHARE_OF_SPAN = 300.0
"""Span over allowed deflection: a bearing that leans more binds, common practice."""
SIZES = ("axle.diameter", "axle.support", "axle.span", "axle.hub", "axle.grade")
SUPPORT = ("axle.support_depth", "axle.support_width", "axle.support", "frame.timber")
CRACKED = "EN 1995-1-1:2004+A1, 6.1.7, k_cr 0.67 (from memory)"


def axle_checks(subject: Subject) -> Iterator[Check]:
    """Give every check of the axle."""
    yield from run(subject, "axle.bending", SIZES, _strength)
    yield from run(subject, "axle.deflection", SIZES, _deflection)
    pressed = ("axle.bearing", "axle.diameter", "axle.bushing")
    yield from run(subject, "axle.bushing_pressure", pressed, _bushing)
    pressed = ("axle.bearing", "axle.diameter", "frame.timber")
    yield from run(subject, "axle.on_frame", pressed, _on_frame)
    if subject.machine.number("axle.support") > 0.0:
        yield from run(subject, "support.bending", SUPPORT, _supports)
    pressed = ("axle.hub", "axle.diameter", "arm.timber")
    yield from run(subject, "arm.on_axle", pressed, _in_arm)


def sized(machine: Machine, *paths: str) -> Iterator[float]:
    """Give the values of dials that have none unless they are given.

    Raises: ValueError: one is not given.
    """
    for path in paths:
        if machine[path] is None:
            raise ValueError(f"{path} is not given: measure it and write it into the machine file")
        yield machine.number(path)


def share_of(machine: Machine) -> Given:
    """Share of the more loaded of the two A-frames, bearings or sills [-]."""
    return Given(machine.number("frame.share"), "share of the more loaded one of two")


def on_one(subject: Subject, load: float, words: str) -> Step:
    """Force of a load, with its partial factor, on the more loaded A-frame, bearing or sill [N]."""
    return Step(shared_load, Given(load, words), subject.load_factor, share_of(subject.machine))


def axle_span(machine: Machine) -> Step:
    """Distance between the axle's reactions, support pieces counted [m]."""
    n = machine.number
    return Step(axle.working_span, n("axle.span"), n("axle.support"), n("axle.bearing"))


def axle_stress(machine: Machine, load: float, span: float | None = None) -> Step:
    """Bending stress in the axle under a load on its hub, or on the arm's two cheeks [Pa]."""
    n = machine.number
    reach, hub = axle_span(machine) if span is None else span, n("axle.hub")
    if machine.flag("axle.cheeks"):
        moment = Step(spans.two_loads_moment, *_cheeks(load, reach, hub))
    else:
        moment = Step(spans.patch_load_moment, load, reach, hub)
    return Step(axle.round_bending_stress, moment, n("axle.diameter"))


def _cheeks(load: float, span: float, hub: float) -> tuple[float, float, float]:
    """Load on each of two cheeks, span, and how far each stands from its support."""
    return Step(design_load, load, 1.0, 2.0), span, Given((span - hub) / 2.0, "support to cheek")


def steel_of(grade: str, thickness: float, strength: str = "yield_strength") -> Given:
    """Yield or ultimate strength of a steel at a thickness [Pa]."""
    found = materials.steel(grade, thickness)
    worth: float = getattr(found, strength)
    return Given(worth, "{} at {:m}", grade, thickness, source=found.source)


def _strength(subject: Subject) -> Iterator[Check]:
    m = subject.machine
    across = m.number("axle.diameter")
    section = round_section(across)
    load, case = subject.worst(lambda c: c.axle_load)
    force = subject.design(load, f"axle load {case.at_axle_peak()}")
    yielding = steel_of(m.text("axle.grade"), across)
    bending = axle_stress(m, force)
    half = on_one(subject, load, "axle load")
    shear = Step(steel.shear_stress, half, section.area, section.shear_factor)
    strength = Step(steel.design_strength, yielding)
    note = "Kept elastic: the pin rule's 1.5 W is for pins that are drawn and changed."
    yield made("axle.bending", case, (bending, strength), "Pa", SIZES, note)
    limit = Step(steel.shear_strength, yielding)
    yield made("axle.shear", case, (shear, limit), "Pa", SIZES)
    both = Step(steel.von_mises_stress, bending, shear)
    note = "On the safe side: the two peaks stand at different fibres."
    yield made("axle.bending_with_shear", case, (both, strength), "Pa", SIZES, note)


def _deflection(subject: Subject) -> Check:
    m = subject.machine
    n = m.number
    worst, case = subject.worst(lambda c: c.axle_load)
    load = Given(worst, "axle load, no load factor")
    span, hub = axle_span(m), n("axle.hub")
    stiff = (
        Given(materials.STEEL_MODULUS, "steel", source="EN 1993-1-1:2005, 3.2.6"),
        round_section(n("axle.diameter")).inertia,
    )
    if m.flag("axle.cheeks"):
        bent = Step(spans.two_loads_deflection, *_cheeks(load, span, hub), *stiff)
    else:
        bent = Step(spans.patch_load_deflection, load, span, hub, *stiff)
    allowed = Step(spans.allowed_deflection, span, SHARE_OF_SPAN)
    return made("axle.deflection", case, (bent, allowed), "m", SIZES)


def _bushing(subject: Subject) -> Iterator[Check]:
    m = subject.machine
    n = m.number
    bush = materials.bushing(m.text("axle.bushing"))
    dials = ("axle.bearing", "axle.diameter", "axle.bushing")
    worst, case = subject.worst(lambda c: c.axle_load)
    load = Step(shared_load, Given(worst, "axle load"), 1.0, share_of(m))
    pressure = Step(axle.bearing_pressure, load, n("axle.diameter"), n("axle.bearing"))
    stands = Given(bush.pressure, f"limit of {bush.name}", source=bush.source)
    yield made("axle.bushing_pressure", case, (pressure, stands), "Pa", dials)
    rate, case = subject.worst(lambda c: c.turning_rate)
    speed = Step(axle.sliding_speed, rate, n("axle.diameter"))
    stands = Given(bush.speed, f"limit of {bush.name}", source=bush.source)
    yield made("axle.bushing_speed", case, (speed, stands), "m/s", dials)

    def rubbing(case: LoadCase) -> float:
        if case.throw is None or case.time.size < 2:
            return 0.0
        load = np.hypot(case.axle_force[:, 0], case.axle_force[:, 1])
        work = np.trapezoid(load * np.abs(case.throw.arm_rate), case.time)
        return 0.5 * n("axle.diameter") * float(work / np.ptp(case.time))

    most, case = subject.worst(rubbing)
    words = "axle load times sliding speed, the mean over the motion that is known"
    sizes = (n("axle.diameter"), n("axle.bearing"))
    warm = Step(axle.pressure_speed, Given(most, words), *sizes)
    stands = Given(bush.pressure_speed, f"limit of {bush.name}", source=bush.source)
    note = "A limit of running warm: one shot after another, without a rest between."
    yield made("axle.bushing_heat", case, (warm, stands), "W/m^2", dials, note)


def _on_frame(subject: Subject) -> Check:
    n = subject.machine.number
    timber = subject.timber("frame.timber")
    spread = Step(bearing_spread, timber.kind)

    def use(case: LoadCase) -> tuple[Step, Step]:
        force = on_one(subject, case.axle_load, "axle load")
        strength = subject.timber_strength(timber, "compression_perpendicular", case)
        return (
            Step(axle.bearing_pressure, force, n("axle.diameter"), n("axle.bearing")),
            Step(kept_strength, strength, spread),
        )

    dials = ("axle.bearing", "axle.diameter", "frame.timber")
    note = "A bush or plate that spreads the load wider than d is not counted."
    return made("axle.on_frame", *subject.governing(use), "Pa", dials, note)


def _supports(subject: Subject) -> Iterator[Check]:
    m = subject.machine
    n = m.number
    section = rectangle(*sized(m, "axle.support_width", "axle.support_depth"))
    reach = n("axle.support")
    out = Given(max(reach - 0.5 * n("axle.bearing"), 0.5 * reach), "from the frame to the bearing")
    timber = subject.timber("frame.timber")
    area = Given(K_CR * section.area, "area times k_cr {:g}", K_CR, source=CRACKED)

    def push(case: LoadCase) -> Step:
        return on_one(subject, case.axle_load, "axle load")

    def bent(case: LoadCase) -> tuple[Step, Step]:
        moment = Step(lever_moment, push(case), out)
        stress = Step(steel.bending_stress, moment, section.elastic_modulus)
        return stress, subject.timber_strength(timber, "bending_strength", case)

    def sheared(case: LoadCase) -> tuple[Step, Step]:
        stress = Step(steel.shear_stress, push(case), area, section.shear_factor)
        return stress, subject.timber_strength(timber, "shear_strength", case)

    note = "It reaches out of the frame as a cantilever; what holds it there is not checked."
    yield made("support.bending", *subject.governing(bent), "Pa", SUPPORT, note)
    yield made("support.shear", *subject.governing(sheared), "Pa", SUPPORT, note)


def _in_arm(subject: Subject) -> Check:
    n = subject.machine.number
    size = (n("axle.diameter"), n("axle.hub"))
    dials = ("axle.hub", "axle.diameter", "arm.timber")
    return pressed_in_arm(subject, "arm.on_axle", size, dials, "axle")


def pressed_in_arm(
    subject: Subject, key: str, size: tuple[float, float], dials: tuple[str, ...], which: str
) -> Check:
    """Check the pressure of axle or pin on the arm's timber, at the force's angle to the grain.

    `size` is diameter and length; `which` is "axle" or "pin".
    """
    timber = subject.timber("arm.timber")

    def use(case: LoadCase) -> tuple[Step, Step]:
        force = case.axle_force if which == "axle" else case.pin_force
        load = np.hypot(force[:, 0], force[:, 1])
        turned = case.elevation
        sine, cosine = subject.once(("arm", id(case)), lambda: (np.sin(turned), np.cos(turned)))
        across = force[:, 0] * sine + force[:, 1] * cosine
        share = np.divide(across**2, load**2, out=np.ones_like(load), where=load > 0.0)
        strong = subject.timber_strength(timber, "compression_parallel", case)
        weak = subject.timber_strength(timber, "compression_perpendicular", case)
        # Hankinson's rule turned round is straight in sin^2 of the angle.
        at = int(np.argmax(load * (share / weak + (1.0 - share) / strong)))
        angle = math.asin(min(1.0, math.sqrt(float(share[at]))))
        design = subject.design(float(load[at]), f"{which} load{case.bends(which)}")
        return (
            Step(axle.bearing_pressure, design, *size),
            Step(bearing_strength_at_angle, strong, weak, angle),
        )

    note = "Bushes and plates that spread the load are not counted."
    return made(key, *subject.governing(use), "Pa", dials, note)

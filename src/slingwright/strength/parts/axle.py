"""The axle: bending, shear, both, deflection, fatigue, and what it presses on."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from slingwright.amounts.text import form
from slingwright.formulas.beams.sections import round_section
from slingwright.formulas.steel import axle, fatigue
from slingwright.formulas.steel import strength as steel
from slingwright.formulas.timber.strength import bearing_spread, bearing_strength_at_angle
from slingwright.machine.machine import Machine
from slingwright.strength.cases import LoadCase
from slingwright.strength.check import Check, Subject, made, run
from slingwright.tables import materials

SHARE_OF_SPAN = 300.0
"""Span over allowed deflection: a bearing that leans more binds, common practice."""
SIZES = ("axle.diameter", "axle.support", "axle.span", "axle.hub", "axle.grade")


def axle_checks(subject: Subject) -> Iterator[Check]:
    """Give every check of the axle."""
    yield from run(subject, "axle.bending", SIZES, _strength)
    yield from run(subject, "axle.deflection", SIZES, _deflection)
    yield from run(subject, "axle.fatigue", (*SIZES, "axle.detail"), _fatigue)
    pressed = ("axle.bearing", "axle.diameter", "axle.bushing")
    yield from run(subject, "axle.bushing_pressure", pressed, _bushing)
    pressed = ("axle.bearing", "axle.diameter", "frame.timber")
    yield from run(subject, "axle.on_frame", pressed, _on_frame)
    pressed = ("axle.hub", "axle.diameter", "arm.timber")
    yield from run(subject, "arm.on_axle", pressed, _in_arm)


def axle_span(machine: Machine) -> float:
    """Distance between the axle's reactions, support pieces counted [m]."""
    n = machine.number
    return axle.working_span(n("axle.span"), n("axle.support"), n("axle.bearing"))


def axle_stress(machine: Machine, load: float, span: float | None = None) -> float:
    """Bending stress in the axle under a load on its hub [Pa]."""
    n = machine.number
    reach = axle_span(machine) if span is None else span
    moment = axle.axle_moment(load, reach, n("axle.hub"), machine.flag("axle.cheeks"))
    return axle.round_bending_stress(moment, n("axle.diameter"))


def _strength(subject: Subject) -> Iterator[Check]:
    m = subject.machine
    n = m.number
    load, case = subject.worst(lambda c: c.axle_load)
    force = subject.load_factor * load
    across, span, hub = n("axle.diameter"), axle_span(m), n("axle.hub")
    cheeks = m.flag("axle.cheeks")
    section = round_section(across)
    grade = materials.steel(m.text("axle.grade"), across)
    moment = axle.axle_moment(force, span, hub, cheeks)
    bending = steel.bending_stress(moment, section.elastic_modulus)
    shear = axle.axle_shear(force)
    rubbing = steel.shear_stress(shear, section.area, section.shear_factor)
    strength = steel.design_strength(grade.yield_strength)
    rule = "F (L - c) / 4" if cheeks else "F (2 L - c) / 8"
    first = form(
        "F = {:g} x {:N} {}; L = axle.span - 2 axle.support + axle.bearing = {:m}, c "
        "= {:m}: M = {} = {:N m}"
    )(subject.load_factor, load, case.at_axle_peak(), span, hub, rule, moment)
    yielding = form("f_y of {} at {:m} = {:Pa} ({})")(
        grade.name, across, grade.yield_strength, grade.source
    )
    yield made(
        "axle.bending",
        case,
        bending,
        strength,
        "Pa",
        "EN 1993-1-1:2005 6.2.5, elastic; EN 10025-2 by thickness",
        form(
            "{}; sigma = 32 M / (pi d^3) = {:Pa} against {}. Kept elastic: the pin rule's"
            " 1.5 W is for pins that are drawn and changed."
        )(first, bending, yielding),
        SIZES,
    )
    yield made(
        "axle.shear",
        case,
        rubbing,
        steel.shear_strength(grade.yield_strength),
        "Pa",
        "EN 1993-1-1:2005 6.2.6",
        form("V = F / 2 = {:N}; tau = 4 V / (3 A) = {:Pa} against f_y / sqrt 3, {}")(
            shear, rubbing, yielding
        ),
        SIZES,
    )
    both = steel.von_mises_stress(bending, rubbing)
    yield made(
        "axle.bending_with_shear",
        case,
        both,
        strength,
        "Pa",
        "EN 1993-1-1:2005 eq 6.1",
        form(
            "sqrt(sigma^2 + 3 tau^2) = sqrt({:Pa}^2 + 3 x {:Pa}^2) = {:Pa}, on the safe "
            "side: the two peaks stand at different fibres"
        )(bending, rubbing, both),
        SIZES,
    )


def _deflection(subject: Subject) -> Check:
    m = subject.machine
    n = m.number
    load, case = subject.worst(lambda c: c.axle_load)
    span, across = axle_span(m), n("axle.diameter")
    inertia = round_section(across).inertia
    bent = axle.axle_deflection(
        load, span, n("axle.hub"), materials.STEEL_MODULUS, inertia, m.flag("axle.cheeks")
    )
    return made(
        "axle.deflection",
        case,
        bent,
        span / SHARE_OF_SPAN,
        "m",
        "Roark Table 8.1 by superposition (from memory); limit L/300, common practice",
        form("F = {:N} without load factor, L = {:m}, I = {:m^4}: y = {:m} against L/300")(
            load, span, inertia, bent
        ),
        SIZES,
    )


def _peaks(case: LoadCase) -> np.ndarray:
    """Local peaks of the axle load over a throw [N]."""
    load = np.hypot(case.axle_force[:, 0], case.axle_force[:, 1])
    inner = load[1:-1]
    peaks = inner[(inner >= load[:-2]) & (inner > load[2:])]
    return peaks if peaks.size else np.array([load.max()])


def _fatigue(subject: Subject) -> Check:
    m = subject.machine
    n = m.number
    turns = m.flag("axle.turns")
    worst, governing = 0.0, None
    for case in subject.cases:
        if case.kind != "brief":
            continue
        stresses = np.array([axle_stress(m, float(load)) for load in _peaks(case)])
        ranges = np.array([fatigue.stress_range(s, -s if turns else 0.0) for s in stresses])
        alike = float(np.cbrt((ranges**3).sum()))
        if alike > worst:
            worst, governing = alike, case
    if governing is None:
        raise ValueError("no load of a brief is thrown, so nothing repeats")
    count = n("axle.loosings")
    category = n("axle.detail") / fatigue.GAMMA_SAFE_LIFE_HIGH
    grade = materials.steel(m.text("axle.grade"), n("axle.diameter"))
    stands = min(
        fatigue.fatigue_strength(category, count),
        fatigue.largest_static_range(grade.yield_strength),
    )
    sense = "and changes sign as the axle turns" if turns else "and comes and goes"
    return made(
        "axle.fatigue",
        governing,
        worst,
        stands,
        "Pa",
        "EN 1993-1-9:2005 7.1 and 8 (1); gamma_Mf 1.35 (from memory)",
        form(
            "{} peaks of axle load a loosing {}; as one range of equal damage, (sum "
            "D^3)^(1/3) = {:Pa}. Detail {:Pa} over 1.35 stands {:Pa} for {:,.0f} "
            "shots. Which detail a hub or shoulder deserves is for an engineer to say."
        )(_peaks(governing).size, sense, worst, n("axle.detail"), stands, count),
        (*SIZES, "axle.loosings"),
    )


def _bushing(subject: Subject) -> Iterator[Check]:
    m = subject.machine
    n = m.number
    bush = materials.bushing(m.text("axle.bushing"))
    load, case = subject.worst(lambda c: c.axle_load)
    pressure = axle.bearing_pressure(load / 2.0, n("axle.diameter"), n("axle.bearing"))
    dials = ("axle.bearing", "axle.diameter", "axle.bushing")
    yield made(
        "axle.bushing_pressure",
        case,
        pressure,
        bush.pressure,
        "Pa",
        bush.source,
        form("half of {:N} over d l = {:m} x {:m}: p = {:Pa} on {}")(
            load, n("axle.diameter"), n("axle.bearing"), pressure, bush.name
        ),
        dials,
    )
    rate, case = subject.worst(lambda c: c.turning_rate)
    speed = axle.sliding_speed(rate, n("axle.diameter"))
    yield made(
        "axle.bushing_speed",
        case,
        speed,
        bush.speed,
        "m/s",
        bush.source,
        form("v = w d / 2 = {:.3g} rad/s x {:m} / 2 = {:m/s}")(rate, n("axle.diameter"), speed),
        dials,
    )


def _on_frame(subject: Subject) -> Check:
    m = subject.machine
    n = m.number
    timber = subject.timber("frame.timber")
    _, case = subject.worst(lambda c: c.axle_load / subject.modification(c))
    load = case.axle_load
    force = subject.load_factor * load / 2.0
    pressure = axle.bearing_pressure(force, n("axle.diameter"), n("axle.bearing"))
    spread = bearing_spread(timber.kind)
    strength = spread * subject.timber_strength(timber.compression_perpendicular, case)
    return made(
        "axle.on_frame",
        case,
        pressure,
        strength,
        "Pa",
        "EN 1995-1-1:2004 6.1.5; projected area, common practice",
        form(
            "half of {:g} x {:N} over d l = {:Pa}; {}, k_c,90 {:g}. A bush or plate that "
            "spreads the load wider than d is not counted."
        )(
            subject.load_factor,
            load,
            pressure,
            subject.timber_words("f_c,90,d", timber.compression_perpendicular, case),
            spread,
        ),
        ("axle.bearing", "axle.diameter", "frame.timber"),
    )


def _in_arm(subject: Subject) -> Check:
    n = subject.machine.number
    size = (n("axle.diameter"), n("axle.hub"))
    return pressed_in_arm(
        subject, "arm.on_axle", size, ("axle.hub", "axle.diameter", "arm.timber"), "axle"
    )


def pressed_in_arm(
    subject: Subject,
    key: str,
    size: tuple[float, float],
    dials: tuple[str, ...],
    which: str,
) -> Check:
    """Check the pressure of axle or pin on the arm's timber, at the force's angle to the grain.

    `size` is diameter and length; `which` is "axle" or "pin".
    """
    timber = subject.timber("arm.timber")
    best: tuple[float, LoadCase, float, float] | None = None
    for case in subject.cases:
        force = case.axle_force if which == "axle" else case.pin_force
        load = np.hypot(force[:, 0], force[:, 1])
        across = force[:, 0] * np.sin(case.elevation) + force[:, 1] * np.cos(case.elevation)
        share = np.divide(across**2, load**2, out=np.ones_like(load), where=load > 0.0)
        strong = subject.timber_strength(timber.compression_parallel, case)
        weak = subject.timber_strength(timber.compression_perpendicular, case)
        # Hankinson's rule turned round is straight in sin^2 of the angle.
        at = int(np.argmax(load * (share / weak + (1.0 - share) / strong)))
        angle = math.asin(min(1.0, math.sqrt(float(share[at]))))
        strength = bearing_strength_at_angle(strong, weak, angle)
        pressure = axle.bearing_pressure(subject.load_factor * float(load[at]), *size)
        if best is None or pressure / strength > best[0]:
            best = (pressure / strength, case, pressure, angle)
    if best is None:
        raise ValueError("there is no load case")
    use, case, pressure, angle = best
    return made(
        key,
        case,
        pressure,
        pressure / use,
        "Pa",
        "EN 1995-1-1:2004 6.1.5 and eq 6.16 (Hankinson); projected area, common practice",
        form(
            "p = F / (d l) = {:Pa} over {:m} x {:m}, at {:.0f} deg to the grain, where "
            "the timber takes {:Pa}; {}. Bushes and plates that spread the load are not "
            "counted."
        )(
            pressure,
            size[0],
            size[1],
            math.degrees(angle),
            pressure / use,
            subject.timber_words("f_c,90,d", timber.compression_perpendicular, case),
        ),
        dials,
    )

"""The arm: bending and shear along it, at its hole, splice and tip, how far it bends and shakes."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from slingwright.amounts.text import form
from slingwright.formulas.arm.deflection import arm_deflection
from slingwright.formulas.arm.stations import ArmSections, arm_sections
from slingwright.formulas.arm.stress import (
    LumpedMass,
    bending_frequencies,
    periods_in_throw,
    pulse_amplification,
)
from slingwright.formulas.beams.sections import laminated_shares
from slingwright.formulas.timber.columns import (
    rectangle_tipping_stress,
    tipping_factor,
    tipping_length,
    tipping_slenderness,
)
from slingwright.formulas.timber.strength import (
    K_CR,
    partial_factor,
    size_factor,
    splitting_capacity,
    taper_factor,
)
from slingwright.machine.machine import Machine
from slingwright.machine.table import dials
from slingwright.strength.cases import LoadCase
from slingwright.strength.check import Check, Subject, made, run
from slingwright.strength.loads import arm_mass_line
from slingwright.tables import materials

SHARE_OF_LONG_ARM = 60.0
"""Long arm over allowed bend of its tip: common practice."""
FREQUENCY_PLACES = 17
RIGID_PERIODS = 4.0
"""Own periods that a throw must last for a rigid arm's loads to hold: common practice."""
NEAR_TIP = 0.9
SIZES = (
    "arm.depth_at_axle",
    "arm.width_at_axle",
    "arm.depth_at_tip",
    "arm.width_at_tip",
    "arm.timber",
)
HOLED = ("arm.depth_at_axle", "arm.width_at_axle", "arm.hole", "arm.timber")


def arm_checks(subject: Subject) -> Iterator[Check]:
    """Give every check of the arm."""
    yield from run(subject, "arm.bending", SIZES, _bending)
    yield from run(subject, "arm.at_hole", HOLED, _at_hole)
    yield from run(subject, "arm.shear", SIZES, _shear)
    yield from run(subject, "arm.split_at_hole", HOLED, _splitting)
    if subject.machine.number("arm.splice") > 0.0:
        spliced = ("arm.splice", "arm.splice_keeps", *SIZES)
        yield from run(subject, "arm.splice", spliced, _splice)
    yield from run(subject, "arm.deflection", SIZES, _deflection)
    yield from run(subject, "arm.rigid", SIZES, _rigid)


def sections_of(machine: Machine, position: np.ndarray, hole: float) -> ArmSections:
    """Section values of a machine's arm; a laminated arm's layers are in its stiffness."""
    n = machine.number
    kind = machine.text("arm.section")
    found = arm_sections(
        position,
        n("arm.depth_at_axle"),
        n("arm.width_at_axle"),
        n("arm.depth_at_tip"),
        n("arm.width_at_tip"),
        hole,
        "round" if kind == "round" else "rectangle",
    )
    if kind == "laminated":
        stiff, strong = laminated_shares(round(n("arm.layers")), n("arm.bond"))
        return ArmSections(
            position=found.position,
            depth=found.depth,
            width=found.width,
            area=found.area,
            inertia=found.inertia * stiff,
            elastic_modulus=found.elastic_modulus * strong,
            shear_factor=found.shear_factor,
        )
    return found


def arm_of(subject: Subject, case: LoadCase, hole: float) -> ArmSections:
    """Section values of the arm at a case's places."""
    key = ("arm sections", case.position.size, hole)
    return subject.once(key, lambda: sections_of(subject.machine, case.position, hole))


def bending_capacity(subject: Subject, case: LoadCase, hole: float = 0.0) -> np.ndarray:
    """Moment the arm takes at each place of a case (stations,) [N m].

    W k_h f_m,d, times the lesser of k_crit and, on the long arm, k_m,a of its cut edge.
    """
    key = ("arm capacity", subject.modification(case), case.position.size, hole)
    return subject.once(key, lambda: _bending_capacity(subject, case, hole))


def _bending_capacity(subject: Subject, case: LoadCase, hole: float) -> np.ndarray:
    m = subject.machine
    timber = subject.timber("arm.timber")
    sections = arm_of(subject, case, hole)
    base = subject.timber_strength(timber.bending_strength, case)
    depths = sections.depth
    # size_factor holds min((150 mm / h)^0.2, 1.3) for one depth; the same for all of them.
    size = np.ones_like(depths)
    if size_factor(0.075, timber.density_characteristic) > 1.0:
        size = np.clip((0.15 / depths) ** 0.2, 1.0, 1.3)
    cut = cut_share(m)[0]
    kept = np.where(case.position >= 0.0, min(tipping(m), cut), tipping(m))
    return sections.elastic_modulus * size * base * kept


def cut_share(machine: Machine) -> tuple[float, float]:
    """Share of its bending strength that the tapered long arm's edge keeps, and its slope [rad].

    All the taper is taken to be cut on the pulled edge, the other left along the grain. The grain
    of a round arm is taken to follow its taper, as it grew.
    """
    n = machine.number
    if machine.text("arm.section") == "round":
        return 1.0, 0.0
    timber = materials.timber(machine.text("arm.timber"))
    slope = math.atan2(abs(n("arm.depth_at_axle") - n("arm.depth_at_tip")), n("arm.long"))
    # Characteristic values do: one k_mod and gamma_M stand over and under; k_h at its largest.
    small = size_factor(n("arm.depth_at_tip"), timber.density_characteristic)
    share = taper_factor(
        slope,
        small * timber.bending_strength,
        timber.shear_strength,
        timber.tension_perpendicular,
        pulled=True,
    )
    return share, slope


def tipping(machine: Machine) -> float:
    """Share of its bending strength that the long arm keeps though nothing holds it sideways."""
    n = machine.number
    depth, width = n("arm.depth_at_axle"), n("arm.width_at_axle")
    if machine.text("arm.section") == "round" or width >= depth:
        return 1.0
    timber = materials.timber(machine.text("arm.timber"))
    length = tipping_length(n("arm.long"), "cantilever end load")
    critical = rectangle_tipping_stress(timber.modulus_5, width, depth, length)
    return tipping_factor(tipping_slenderness(timber.bending_strength, critical))


def _strength_words(subject: Subject, case: LoadCase, strength: float) -> str:
    timber = subject.timber("arm.timber")
    cut, slope = cut_share(subject.machine)
    return form(
        "{} of {}, with k_h and the lesser of k_crit {:.3f} and, on the long arm, "
        "k_m,a {:.3f} of an edge cut {:.1f} deg to the grain {:Pa} ({})"
    )(
        subject.timber_words("f_m,d", timber.bending_strength, case),
        timber.name,
        tipping(subject.machine),
        cut,
        math.degrees(slope),
        strength,
        timber.source,
    )


def _bending(subject: Subject) -> Iterator[Check]:
    factor = subject.load_factor
    long_arm = subject.machine.number("arm.long")
    for key, low in (("arm.bending", -math.inf), ("arm.bending_near_tip", NEAR_TIP * long_arm)):
        best: tuple[float, int, LoadCase, float] | None = None
        for case in subject.cases:
            capacity = bending_capacity(subject, case)
            use = np.where(case.position >= low, factor * case.moment / capacity, 0.0)
            at = int(np.argmax(use))
            if best is None or use[at] > best[0]:
                best = (float(use[at]), at, case, float(capacity[at]))
        if best is None:
            raise ValueError("there is no load case")
        _, at, case, capacity_there = best
        sections = arm_of(subject, case, 0.0)
        modulus = float(sections.elastic_modulus[at])
        moment = factor * float(case.moment[at])
        stress, strength = moment / modulus, capacity_there / modulus
        where = float(case.position[at])
        yield made(
            key,
            case,
            stress,
            strength,
            "Pa",
            "EN 1995-1-1:2004 6.1.6, 6.3.3 and 6.4.2 (k_m,a from memory); EN 338",
            form(
                "{:m} from the axle, without its hole: M = {:g} x {:N m}, W = {:m^3}: sigma ="
                " M / W = {:Pa}; {}"
            )(
                where,
                factor,
                float(case.moment[at]),
                modulus,
                stress,
                _strength_words(subject, case, strength),
            ),
            SIZES,
        )


def _at_hole(subject: Subject) -> Check:
    m = subject.machine
    factor, hole = subject.load_factor, m.number("arm.hole")
    timber = subject.timber("arm.timber")
    best: tuple[float, LoadCase, float, float, float, float] | None = None
    for case in subject.cases:
        at = int(np.argmin(np.abs(case.position)))
        sections = arm_of(subject, case, hole)
        near = case.moment[max(at - 1, 0) : at + 1].max()
        stress = factor * float(near) / float(sections.elastic_modulus[at])
        pull = factor * case.arm_pull / float(sections.area[at])
        strength = float(bending_capacity(subject, case, hole)[at] / sections.elastic_modulus[at])
        along = subject.timber_strength(timber.tension_parallel, case)
        use = stress / strength + pull / along
        if best is None or use > best[0]:
            best = (use, case, stress, strength, pull, along)
    if best is None:
        raise ValueError("there is no load case")
    use, case, stress, strength, pull, along = best
    return made(
        "arm.at_hole",
        case,
        stress,
        strength,
        "Pa",
        "EN 1995-1-1:2004 eq 6.17, section less the hole",
        form(
            "hole of {:m} in {:m}: sigma_m = {:g} M / W_net = {:Pa} of {:Pa}, with the "
            "largest pull along the arm sigma_t = {:Pa} of {:Pa}: together {:.2f}; {}. M "
            "/ W is that of the section left (EN 1995-1-1 5.2); the hole sits at mid-"
            "depth, where bending stress is least, and no stress concentration is added: "
            "a hole off the middle is worse."
        )(
            hole,
            m.number("arm.depth_at_axle"),
            factor,
            stress,
            strength,
            pull,
            along,
            use,
            _strength_words(subject, case, strength),
        ),
        HOLED,
        use,
    )


def _shear(subject: Subject) -> Check:
    m = subject.machine
    factor, hole = subject.load_factor, m.number("arm.hole")
    timber = subject.timber("arm.timber")
    best: tuple[float, LoadCase, int, float, float] | None = None
    for case in subject.cases:
        sections = arm_of(subject, case, hole)
        stress = factor * sections.shear_factor * case.shear / (K_CR * sections.area)
        at = int(np.argmax(stress))
        strength = subject.timber_strength(timber.shear_strength, case)
        if best is None or stress[at] / strength > best[0]:
            best = (float(stress[at]) / strength, case, at, float(stress[at]), strength)
    if best is None:
        raise ValueError("there is no load case")
    _, case, at, stress_there, strength = best
    return made(
        "arm.shear",
        case,
        stress_there,
        strength,
        "Pa",
        "EN 1995-1-1:2004+A1 6.1.7, k_cr 0.67 (from memory)",
        form("{:m} from the axle: V = {:g} x {:N}; tau = k V / (k_cr A) = {:Pa}; {} = {:Pa}")(
            float(case.position[at]),
            factor,
            float(case.shear[at]),
            stress_there,
            subject.timber_words("f_v,d", timber.shear_strength, case),
            strength,
        ),
        (*SIZES, "arm.hole"),
    )


def _splitting(subject: Subject) -> Iterator[Check]:
    m = subject.machine
    n = m.number
    depth = n("arm.depth_at_axle")
    width = depth if m.text("arm.section") == "round" else n("arm.width_at_axle")
    timber = subject.timber("arm.timber")
    # Shear just beside each: the axle's station has the long arm's, the one before the short arm's.
    places: list[tuple[str, str, tuple[int, ...]]] = []
    if n("arm.hole") > 0.0:
        places.append(("arm.split_at_hole", "axle", (-1, 0, 1)))
    if m.flag("counterweight.hung"):
        places.append(("arm.split_at_pin", "pin", ()))
    for key, what, beside in places:
        best: tuple[float, LoadCase, float, float] | None = None
        for case in subject.cases:
            axle = int(np.argmin(np.abs(case.position)))
            shears = [case.shear[axle + step] for step in beside] or [case.shear[0]]
            force = subject.load_factor * float(max(shears))
            capacity = (
                splitting_capacity(width, depth, 0.5 * depth)
                * subject.modification(case)
                / partial_factor("connection")
            )
            if best is None or force / capacity > best[0]:
                best = (force / capacity, case, force, capacity)
        if best is None:
            raise ValueError("there is no load case")
        _, case, force, capacity = best
        softwood = "" if timber.kind == "softwood" else " The rule is for softwood; taken as it is."
        yield made(
            key,
            case,
            force,
            capacity,
            "N",
            "EN 1995-1-1:2004 8.1.4, eqs 8.2 to 8.4 (from memory)",
            form(
                "shear across the grain beside the {}, {:g} V = {:N}; F_90,Rk = 14 b sqrt(h_e"
                " / (1 - h_e / h)) in mm and N, b = {:m}, h = {:m}, h_e = h / 2; x k_mod / "
                "gamma_M = {:g} / {:g}: {:N}. Bands and bolts that hold the grain shut are "
                "not counted.{}"
            )(
                what,
                subject.load_factor,
                force,
                width,
                depth,
                subject.modification(case),
                partial_factor("connection"),
                capacity,
                softwood,
            ),
            ("arm.depth_at_axle", "arm.width_at_axle"),
        )


def _splice(subject: Subject) -> Check:
    m = subject.machine
    place, keeps = m.number("arm.splice"), m.number("arm.splice_keeps")
    if place > m.number("arm.long"):
        raise ValueError(f"arm.splice {place:g} m lies beyond the long arm's tip")
    best: tuple[float, LoadCase, float, float] | None = None
    for case in subject.cases:
        moment = subject.load_factor * float(np.interp(place, case.position, case.moment))
        capacity = keeps * float(np.interp(place, case.position, bending_capacity(subject, case)))
        if best is None or moment / capacity > best[0]:
            best = (moment / capacity, case, moment, capacity)
    if best is None:
        raise ValueError("there is no load case")
    _, case, moment, capacity = best
    return made(
        "arm.splice",
        case,
        moment,
        capacity,
        "N m",
        "EN 1995-1-1:2004 6.1.6; share of a splice: common practice",
        form("{:m} from the axle M = {:N m}; the splice keeps {:g} of the arm's {:N m} there")(
            place, moment, keeps, capacity / keeps
        ),
        ("arm.splice", "arm.splice_keeps", *SIZES),
    )


def _deflection(subject: Subject) -> Check:
    m = subject.machine
    timber = subject.timber("arm.timber")
    best: tuple[float, LoadCase] | None = None
    for case in subject.cases:
        sections = arm_of(subject, case, 0.0)
        bent = arm_deflection(case.position, case.moment, timber.modulus_mean * sections.inertia)
        if best is None or abs(bent[-1]) > best[0]:
            best = (abs(float(bent[-1])), case)
    if best is None:
        raise ValueError("there is no load case")
    tip, case = best
    limit = m.number("arm.long") / SHARE_OF_LONG_ARM
    return made(
        "arm.deflection",
        case,
        tip,
        limit,
        "m",
        "y'' = M / (E I); limit a sixtieth of the long arm, common practice",
        form(
            "the largest moments of all moments at once, E_mean = {:Pa}: the tip bends "
            "{:m} from the arm's line; no load factor"
        )(timber.modulus_mean, tip),
        SIZES,
    )


def _rigid(subject: Subject) -> Check:
    m = subject.machine
    timber = subject.timber("arm.timber")
    frequency = _frequency(m, timber.modulus_mean)
    shortest: tuple[float, LoadCase] | None = None
    for case in subject.cases:
        if case.throw is None:
            continue
        lasting = case.throw.release.time if case.throw.release else float(case.time[-1])
        if lasting > 0.0 and (shortest is None or lasting < shortest[0]):
            shortest = (lasting, case)
    if shortest is None:
        raise ValueError("no case is a throw that lasts any time")
    time, case = shortest
    periods = periods_in_throw(frequency, time)
    return made(
        "arm.rigid",
        case,
        RIGID_PERIODS,
        periods,
        "-",
        "Euler-Bernoulli elements; limit of 4 periods, common practice",
        form(
            "pinned at hanger and axle the arm shakes at {:.3g} Hz; the throw lasts {:.2f} s, "
            "{:.1f} of its periods. A half-sine pulse that long bends it {:.2f} times as far as "
            "its peak held still. Under {:g} periods the arm whips, and every load here "
            "is doubtful."
        )(frequency, time, periods, pulse_amplification(periods), RIGID_PERIODS),
        SIZES,
    )


_FREQUENCIES: dict[tuple[object, ...], float] = {}
_MOST_FREQUENCIES = 64


def _frequency(machine: Machine, modulus: float) -> float:
    """Lowest bending frequency of the arm, pinned at hanger and axle [Hz]; kept for its sizes."""
    sizes = tuple(machine[dial.path] for dial in dials.group("arm"))
    key = (*sizes, machine["sling.mass"], modulus)
    if key not in _FREQUENCIES:
        if machine.number("arm.mass") == 0.0:
            raise ValueError("an arm without mass has no frequency; give arm.mass its true value")
        # Few places do: within 0.2 % of a hundred, and too small a matrix for threads.
        line = arm_mass_line(machine, FREQUENCY_PLACES)
        sections = sections_of(machine, line.position, 0.0)
        least = 1e-6 * max(float(line.line_mass.max()), 1e-3)
        tip = LumpedMass(mass=0.5 * machine.number("sling.mass"), position=float(line.position[-1]))
        with np.errstate(invalid="ignore"):
            found = bending_frequencies(
                line.position,
                modulus * sections.inertia,
                np.maximum(line.line_mass, least),
                pinned=(float(line.position[0]), 0.0),
                lumped=(tip,),
                count=1,
            )
        if not np.isfinite(found[0]):
            raise ValueError("the arm is too light or too slender to find how fast it shakes")
        while len(_FREQUENCIES) >= _MOST_FREQUENCIES:
            _FREQUENCIES.pop(next(iter(_FREQUENCIES)))
        _FREQUENCIES[key] = float(found[0])
    return _FREQUENCIES[key]

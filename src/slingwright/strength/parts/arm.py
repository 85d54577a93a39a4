"""The arm: bending and shear along it, at its hole, splice and tip, how far it bends and shakes."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from slingwright.formulas.arm.deflection import arm_deflection
from slingwright.formulas.arm.stations import ArmSections, arm_sections
from slingwright.formulas.arm.stress import (
    LumpedMass,
    bending_frequencies,
    periods_in_throw,
    pulse_amplification,
)
from slingwright.formulas.beams.sections import laminated_shares
from slingwright.formulas.beams.spans import allowed_deflection
from slingwright.formulas.loads import axial_stress, design_moment
from slingwright.formulas.steel.strength import bending_stress, shear_stress
from slingwright.formulas.timber.columns import (
    rectangle_tipping_stress,
    tipping_factor,
    tipping_length,
    tipping_slenderness,
)
from slingwright.formulas.timber.groups import group_capacity
from slingwright.formulas.timber.strength import (
    K_CR,
    kept_strength,
    size_factor,
    splitting_capacity,
    taper_factor,
    tension_bending_use,
)
from slingwright.machine.machine import Machine
from slingwright.machine.table import dials
from slingwright.strength.cases import LoadCase
from slingwright.strength.check import Check, Subject, made, run
from slingwright.strength.loads import arm_mass_line
from slingwright.strength.worked import Given, Step
from slingwright.tables import materials

SHARE_OF_LONG_ARM = 60.0
"""Long arm over allowed bend of its tip: common practice."""
FREQUENCY_PLACES = 17
RIGID_PERIODS = 4.0
"""Own periods that a throw must last for a rigid arm's loads to hold: common practice."""
NEAR_TIP = 0.9
CRACKED = "EN 1995-1-1:2004+A1, 6.1.7, k_cr 0.67 (from memory)"
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
    key = ("arm capacity", float(subject.modification(case)), case.position.size, hole)

    def strengths() -> np.ndarray:
        depths = arm_of(subject, case, hole).depth.tolist()
        places = zip(depths, case.position.tolist(), strict=True)
        return np.array([arm_strength(subject, case, *place) for place in places])

    def work() -> np.ndarray:
        strong = subject.once(("arm strength", *key[1:3]), strengths)
        capacity: np.ndarray = arm_of(subject, case, hole).elastic_modulus * strong
        return capacity

    return subject.once(key, work)


def arm_strength(subject: Subject, case: LoadCase, depth: float, place: float) -> Step:
    """Bending strength that the arm's timber keeps where it is so deep, so far from the axle [Pa].

    The lesser counts of k_crit and, on the long arm, k_m,a of its cut edge.
    """
    timber = subject.timber("arm.timber")
    size = Step(size_factor, depth, timber.density_characteristic)
    kept = subject.once("arm tips", lambda: tipping(subject.machine))
    if place >= 0.0:
        kept = min(kept, subject.once("arm cut", lambda: cut_share(subject.machine)))
    strength = subject.timber_strength(timber, "bending_strength", case, size)
    return Step(kept_strength, strength, kept)


def cut_share(machine: Machine) -> float:
    """Share of its bending strength that the tapered long arm's edge keeps.

    All the taper is taken to be cut on the pulled edge, the other left along the grain. The grain
    of a round arm is taken to follow its taper, as it grew.
    """
    n = machine.number
    if machine.text("arm.section") == "round":
        return 1.0
    timber = materials.timber(machine.text("arm.timber"))
    slope = math.atan2(abs(n("arm.depth_at_axle") - n("arm.depth_at_tip")), n("arm.long"))
    # Characteristic values do: one k_mod and gamma_M stand over and under; k_h at its largest.
    small = size_factor(n("arm.depth_at_tip"), timber.density_characteristic)
    return Step(
        taper_factor,
        slope,
        Given(small * timber.bending_strength, "as at the tip", source=timber.source),
        Given(timber.shear_strength, timber.name, source=timber.source),
        Given(timber.tension_perpendicular, timber.name, source=timber.source),
        0.75,
    )


def tipping(machine: Machine) -> float:
    """Share of its bending strength that the long arm keeps though nothing holds it sideways."""
    n = machine.number
    depth, width = n("arm.depth_at_axle"), n("arm.width_at_axle")
    if machine.text("arm.section") == "round" or width >= depth:
        return 1.0
    timber = materials.timber(machine.text("arm.timber"))
    modulus = Given(timber.modulus_5, timber.name, source=timber.source)
    bent = Given(timber.bending_strength, timber.name, source=timber.source)
    length = Step(tipping_length, n("arm.long"), "cantilever end load")
    critical = Step(rectangle_tipping_stress, modulus, width, depth, length)
    return Step(tipping_factor, Step(tipping_slenderness, bent, critical))


def _kept_words(machine: Machine) -> str:
    return (
        f"The share k is the lesser of k_crit {tipping(machine):.3f} and, on the long arm, "
        f"k_m,a {cut_share(machine):.3f} of its cut edge. The largest bending and the largest pull "
        "of all moments count together, a push as a pull."
    )


def _along(subject: Subject, case: LoadCase) -> Step:
    """Give the arm's design strength in tension along its grain [Pa]."""
    return subject.timber_strength(subject.timber("arm.timber"), "tension_parallel", case)


def _bent_and_pulled(
    subject: Subject,
    case: LoadCase,
    place: float,
    hole: float,
    words: tuple[str, float],
    keeps: float = 1.0,
) -> tuple[Step, Step, Step]:
    """Bending stress and strength [Pa] at a place of the arm, and their use with the pull there.

    `keeps` is the share of both strengths that is left there.
    """
    sections = arm_of(subject, case, hole)

    def there(values: np.ndarray) -> float:
        return float(np.interp(place, case.position, values))

    moment = Step(design_moment, there(case.moment), subject.load_factor)
    stress = Step(bending_stress, moment, Given(there(sections.elastic_modulus), *words))
    pull = subject.design(there(case.arm_pull), "largest pull along the arm there")
    pulled = Step(axial_stress, pull, Given(there(sections.area), *words))
    strength = arm_strength(subject, case, there(sections.depth), place)
    along = _along(subject, case)
    if keeps < 1.0:
        strength, along = Step(kept_strength, strength, keeps), Step(kept_strength, along, keeps)
    return stress, strength, Step(tension_bending_use, pulled, along, stress, strength)


def _bending(subject: Subject) -> Iterator[Check]:
    factor = subject.load_factor
    long_arm = subject.machine.number("arm.long")
    for key, low in (("arm.bending", -math.inf), ("arm.bending_near_tip", NEAR_TIP * long_arm)):

        def use(case: LoadCase, low: float = low) -> tuple[Step, Step, Step]:
            pulled = case.arm_pull / (arm_of(subject, case, 0.0).area * _along(subject, case))
            share = factor * (case.moment / bending_capacity(subject, case) + pulled)
            at = int(np.argmax(np.where(case.position >= low, share, 0.0)))
            place = float(case.position[at])
            words = ("{:m} from the axle, without its hole", place)
            return _bent_and_pulled(subject, case, place, 0.0, words)

        yield made(key, *subject.governing(use), "Pa", SIZES, _kept_words(subject.machine))


def _at_hole(subject: Subject) -> Check:
    hole = subject.machine.number("arm.hole")

    def use(case: LoadCase) -> tuple[Step, Step, Step]:
        return _bent_and_pulled(subject, case, 0.0, hole, ("beside a hole of {:m}", hole))

    note = (
        f"{_kept_words(subject.machine)} W is that of the section left (EN 1995-1-1 5.2); the hole "
        "sits at mid-depth, where bending stress is least, and no stress concentration is added: "
        "a hole off the middle is worse."
    )
    return made("arm.at_hole", *subject.governing(use), "Pa", HOLED, note)


def _shear(subject: Subject) -> Check:
    hole = subject.machine.number("arm.hole")
    timber = subject.timber("arm.timber")

    def use(case: LoadCase) -> tuple[Step, Step]:
        sections = arm_of(subject, case, hole)
        at = int(np.argmax(sections.shear_factor * case.shear / sections.area))
        area = Given(
            K_CR * float(sections.area[at]),
            "{:g} of the section {:m} from the axle, for cracks",
            K_CR,
            float(case.position[at]),
            source=CRACKED,
        )
        force = subject.design(float(case.shear[at]), "across the arm")
        return (
            Step(shear_stress, force, area, float(sections.shear_factor[at])),
            subject.timber_strength(timber, "shear_strength", case),
        )

    return made("arm.shear", *subject.governing(use), "Pa", (*SIZES, "arm.hole"))


def _splitting(subject: Subject) -> Iterator[Check]:
    m = subject.machine
    n = m.number
    depth = n("arm.depth_at_axle")
    width = depth if m.text("arm.section") == "round" else n("arm.width_at_axle")
    whole = Step(splitting_capacity, width, depth, 0.5 * depth)
    # Shear just beside each; the axle's own station has the larger of both arms'.
    places: list[tuple[str, str, tuple[int, ...]]] = []
    if n("arm.hole") > 0.0:
        places.append(("arm.split_at_hole", "axle", (-1, 0, 1)))
    if m.flag("counterweight.hung"):
        places.append(("arm.split_at_pin", "pin", ()))
    note = "Bands and bolts that hold the grain shut are not counted."
    if subject.timber("arm.timber").kind != "softwood":
        note += " The rule is for softwood; taken as it is."
    for key, what, beside in places:

        def use(
            case: LoadCase, what: str = what, beside: tuple[int, ...] = beside
        ) -> tuple[Step, Step]:
            axle = int(np.argmin(np.abs(case.position)))
            shears = [case.shear[axle + step] for step in beside] or [case.shear[0]]
            force = subject.design(float(max(shears)), f"across the grain beside the {what}")
            return force, Step(group_capacity, whole, 1, 1, subject.modification(case))

        dials = ("arm.depth_at_axle", "arm.width_at_axle")
        yield made(key, *subject.governing(use), "N", dials, note)


def _splice(subject: Subject) -> Check:
    m = subject.machine
    place, keeps = m.number("arm.splice"), m.number("arm.splice_keeps")
    if place > m.number("arm.long"):
        raise ValueError(f"arm.splice {place:g} m lies beyond the long arm's tip")
    kept = Given(keeps, "share that the splice keeps", source="common practice")

    def use(case: LoadCase) -> tuple[Step, Step, Step]:
        return _bent_and_pulled(subject, case, place, 0.0, ("{:m} from the axle", place), kept)

    dials = ("arm.splice", "arm.splice_keeps", *SIZES)
    return made("arm.splice", *subject.governing(use), "Pa", dials, _kept_words(m))


def _deflection(subject: Subject) -> Check:
    timber = subject.timber("arm.timber")
    words = (
        "tip from the arm's own line under the largest moments of all moments at once, E_mean = "
        "{:Pa}, no load factor"
    )
    allowed = Step(allowed_deflection, subject.machine.number("arm.long"), SHARE_OF_LONG_ARM)

    def use(case: LoadCase) -> tuple[Given, Step]:
        inertia = arm_of(subject, case, 0.0).inertia
        bent = arm_deflection(case.position, case.moment, timber.modulus_mean * inertia)
        tip = Given(abs(float(bent[-1])), words, timber.modulus_mean, source=arm_deflection)
        return tip, allowed

    return made("arm.deflection", *subject.governing(use), "m", SIZES)


def _rigid(subject: Subject) -> Check:
    m = subject.machine
    timber = subject.timber("arm.timber")
    frequency = _frequency(m, timber.modulus_mean)
    lasting = [
        (case.throw.release.time if case.throw.release else float(case.time[-1]), case)
        for case in subject.cases
        if case.throw is not None
    ]
    time, case = min(
        (one for one in lasting if one[0] > 0.0), key=lambda one: one[0], default=(0.0, None)
    )
    if case is None:
        raise ValueError("no case is a throw that lasts any time")
    words = "lowest of the arm, pinned at hanger and axle"
    shakes = Given(frequency, words, source=bending_frequencies)
    periods = Step(periods_in_throw, shakes, Given(time, "from loosing to release"))
    least = Given(RIGID_PERIODS, "periods that a rigid arm's loads need", source="common practice")
    note = (
        f"A half-sine pulse that long bends it {pulse_amplification(periods):.2f} times as far as "
        f"its peak held still. Under {RIGID_PERIODS:g} periods the arm whips, and every load here "
        "is doubtful."
    )
    return made("arm.rigid", case, (least, periods), "-", SIZES, note)


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

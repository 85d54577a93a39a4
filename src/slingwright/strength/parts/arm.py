"""The arm: bending and shear along it, at its hole, splice and tip, how far it bends and shakes."""

import math
from collections.abc import Iterator

import numpy as np

from slingwright.amounts.text import form
from slingwright.formulas.arm.deflection import arm_deflection
from slingwright.formulas.arm.modes import driven_mode
from slingwright.formulas.arm.stations import ArmSections
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
from slingwright.strength.check import Check, Subject, made, run
from slingwright.strength.loads.arm import arm_mass_line, sections_of, unit_lines
from slingwright.strength.loads.bending import DAMPING, FEW_PERIODS, arm_beam
from slingwright.strength.loads.cases import LoadCase
from slingwright.strength.worked import Given, Step
from slingwright.tables import materials

SHARE_OF_LONG_ARM = 60.0
"""Long arm over allowed bend of its tip: common practice."""
SUDDEN = 2.0
"""What a load put on at once gives: the most that one push can (Biggs, from memory)."""
NEAR_TIP = 0.9
CRACKED = "EN 1995-1-1:2004+A1, 6.1.7, k_cr 0.67 (from memory)"
SIZES = ("arm.depth_at_axle", "arm.width_at_axle", "arm.depth_at_tip", "arm.width_at_tip",
         "arm.timber")  # fmt: skip
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

    bent = Given(there(case.moment), f"largest moment there{case.bends()}")
    moment = Step(design_moment, bent, subject.load_factor)
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
        words = "{:g} of the section {:m} from the axle, for cracks"
        told = (words, K_CR, float(case.position[at]))
        area = Given(K_CR * float(sections.area[at]), *told, source=CRACKED)
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
    thrown = [case for case in subject.cases if case.throw is not None]
    if not thrown:
        raise ValueError("no case is a throw that lasts any time")
    found = [(case.bending, case) for case in thrown if case.bending is not None]
    if not found:
        line = arm_mass_line(subject.machine)
        arm_beam(subject.machine, line, unit_lines(line))
        raise ValueError("how the arm bends was not worked out")
    known = [one for one in found if not one[0].unknown]
    short = [one for one in known if one[0].carried]
    worst, case = max(short or known, key=lambda one: one[0].adds.arm, default=found[0])
    if len(known) < len(found) and not (short and worst.adds.arm > SUDDEN):
        coarse = next(one for one in found if one[0].unknown)
        raise ValueError(f"{coarse[1].name}: {coarse[0].unknown}")
    words = "largest moment in the arm over a rigid arm's, as it bends in its lowest mode"
    told = Given(worst.adds.arm, words, source=driven_mode)
    most = Given(SUDDEN, "what a load put on at once gives", source="Biggs (from memory)")
    note = form(
        "Its load comes and goes in {:s}, the arm's own period is {:s}, its damping {:g}: axle and "
        "pin carry {:.2f} and {:.2f} times a rigid arm's loads. The rows of arm, axle and pin hold "
        "this in {} of {} motions, those whose pulse is shorter than {:g} periods; less than a "
        "rigid arm's is not counted. Past twice, what bends would change the motion itself."
    )(
        *(worst.pulse, worst.period, DAMPING, worst.adds.axle, worst.adds.pin),
        *(f"{len(short)}", f"{len(found)}", FEW_PERIODS),
    )
    return made("arm.rigid", case, (told, most), "-", SIZES, note)

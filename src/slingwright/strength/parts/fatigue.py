"""How many shots axle, hanger pin, straps and prong stand: every range of every motion counts."""

import math
from collections.abc import Callable, Iterator

import numpy as np

from slingwright.formulas.loads import axial_stress, lever_moment
from slingwright.formulas.steel import fatigue, pins
from slingwright.formulas.steel import strength as steel
from slingwright.formulas.steel.axle import round_bending_stress
from slingwright.strength.check import Check, Subject, made, run
from slingwright.strength.loads.cases import LoadCase
from slingwright.strength.parts.axle import SIZES, axle_stress, steel_of
from slingwright.strength.parts.hanger import HOLE_PLAY, PIN, STRAP, side_plates
from slingwright.strength.parts.sling import PRONG
from slingwright.strength.worked import Given, Step
from slingwright.tables import materials

FIBRES = 12
"""Places looked at around a round bar, 15 degrees apart: the worst is told within 1 %."""
DRILLED = 90.0e6  # Pa, a drilled plate on its net section: EN 1993-1-9 Table 8.1 (from memory)
LIFE = ("axle.loosings", "axle.detail")
TELLS = (
    "Every range from loosing to rest counts, by rainflow (ASTM E1049), as often as there are "
    "shots. Which detail a hub, a shoulder or a hole deserves is for an engineer to say."
)
Histories = Callable[[LoadCase], Iterator[np.ndarray]]
"""Forces of a case in order of time, one for each place of a part that may be the worst [N]."""


def fatigue_checks(subject: Subject) -> Iterator[Check]:
    """Give the check of each steel part that throws repeat their load on."""
    yield from run(subject, "axle.fatigue", (*SIZES, *LIFE), _axle)
    if subject.machine.flag("counterweight.hung"):
        yield from run(subject, "pin.fatigue", (*PIN, *LIFE), _pin)
    yield from run(subject, "strap.fatigue", (*STRAP, "axle.loosings"), _straps)
    yield from run(subject, "prong.fatigue", (*PRONG, *LIFE), _prong)


def around(force: np.ndarray, turned: np.ndarray) -> Iterator[np.ndarray]:
    """Give the part of a force (n, 2) toward each place around a bar, turned (n,) from y to x."""
    for place in np.arange(FIBRES) * math.pi / FIBRES:
        yield force[:, 0] * np.cos(place - turned) + force[:, 1] * np.sin(place - turned)


def _fatigue(
    subject: Subject,
    key: str,
    dials: tuple[str, ...],
    a_newton: float,
    histories: Histories,
    steel_part: tuple[str, float],
    note: str,
    detail: float = 0.0,
) -> Check:
    """Check a part whose stress is `a_newton` times a force; detail of the machine's if none."""
    m = subject.machine
    category = detail or m.number("axle.detail")
    safe = Given(
        category / fatigue.GAMMA_SAFE_LIFE_HIGH,
        "detail {:Pa} over {:g}",
        *(category, fatigue.GAMMA_SAFE_LIFE_HIGH),
        source="EN 1993-1-9:2005, Table 3.1 (from memory)",
    )
    stands = min(
        Step(fatigue.fatigue_strength, safe, m.number("axle.loosings")),
        Step(fatigue.largest_static_range, steel_of(*steel_part)),
    )

    def use(case: LoadCase) -> tuple[Step, Step]:
        counted = [fatigue.rainflow_repeated(force) for force in histories(case)]
        ranges, counts = max(counted, key=lambda one: fatigue.equal_range(*one))
        return Step(fatigue.equal_range, a_newton * ranges, counts), stands

    thrown = [case for case in subject.cases if case.kind == "brief"]
    if not thrown:
        raise ValueError("no load of a brief is thrown, so nothing repeats")
    return made(key, *subject.governing(use, thrown), "Pa", dials, f"{note} {TELLS}")


def _axle(subject: Subject) -> Check:
    m = subject.machine
    turns = m.flag("axle.turns")
    part = m.text("axle.grade"), m.number("axle.diameter")

    def histories(case: LoadCase) -> Iterator[np.ndarray]:
        return around(case.axle_force, case.elevation if turns else np.zeros_like(case.time))

    note = "It turns with the arm." if turns else "It stands still while the load turns about it."
    dials = (*SIZES, *LIFE)
    return _fatigue(subject, "axle.fatigue", dials, axle_stress(m, 1.0), histories, part, note)


def _pin(subject: Subject) -> Check:
    m = subject.machine
    n = m.number
    part = m.text("hanger.grade"), n("hanger.pin")
    width, gap = n("arm.width_at_axle"), n("hanger.gap")
    moment = Step(pins.pin_moment, 1.0, side_plates(m), width, gap)
    stress = Step(round_bending_stress, moment, n("hanger.pin"))

    def histories(case: LoadCase) -> Iterator[np.ndarray]:
        return around(case.pin_force, case.elevation)

    note = "It is taken to turn with the arm, elastic."
    return _fatigue(subject, "pin.fatigue", (*PIN, *LIFE), stress, histories, part, note)


def _straps(subject: Subject) -> Check:
    m = subject.machine
    n = m.number
    wide, thick = n("hanger.strap_width"), n("hanger.strap_thickness")
    bolt = materials.bolt_size(m.text("hanger.bolt")).diameter
    hole = max(bolt, n("hanger.pin")) + HOLE_PLAY
    net = Step(steel.net_area, wide, thick, hole)
    each = Step(axial_stress, 1.0 / n("hanger.straps"), net)

    def histories(case: LoadCase) -> Iterator[np.ndarray]:
        yield np.hypot(case.pin_force[:, 0], case.pin_force[:, 1])

    part = m.text("hanger.grade"), thick
    note = "The net section at the wider hole, as of a drilled plate; it is pulled, never pushed."
    dials = (*STRAP, "hanger.pin", "axle.loosings")
    return _fatigue(subject, "strap.fatigue", dials, each, histories, part, note, DRILLED)


def _prong(subject: Subject) -> Check:
    m = subject.machine
    across = m.number("prong.diameter")
    stress = Step(round_bending_stress, Step(lever_moment, 1.0, m.number("prong.length")), across)

    def histories(case: LoadCase) -> Iterator[np.ndarray]:
        yield case.thrown.prong_force

    part = m.text("prong.grade"), across
    note = "The ring's pull bends it one way and lets go."
    return _fatigue(subject, "prong.fatigue", (*PRONG, *LIFE), stress, histories, part, note)

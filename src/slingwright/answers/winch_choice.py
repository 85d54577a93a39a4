"""Which drum: force against time, and the heaviest weight that the crew can wind with it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from slingwright.answers.winch_rig import HasDials, WinchNumbers, WinchRig, winch_numbers
from slingwright.answers.winding_course import Course, course, crew_time, integral
from slingwright.formulas import crew, drum

STEPS = 61  # elevations of a winding that is only compared
TOLERANCE = 1e-9  # of the heaviest weight, relative


@dataclass(frozen=True, slots=True, kw_only=True)
class DrumChoice:
    """Drums side by side. Arrays of shape (n,)."""

    drum: np.ndarray  # m, diameters
    force_per_person: np.ndarray  # N
    force_allowed: np.ndarray  # N
    winding_time: np.ndarray  # s
    reload_time: np.ndarray  # s, winding, then rest or serving, whichever is longer
    crank_turns: np.ndarray
    heaviest: np.ndarray  # kg, counterweight that the crew can wind; not-a-number for none
    advice: str


def drum_choice(machine: HasDials, drums: np.ndarray, rig: WinchRig | None = None) -> DrumChoice:
    """Compare drums: force on the handle, time, and the heaviest counterweight for each.

    Args:
        machine: gives SI values by dial path.
        drums: diameters [m], shape (n,).
        rig: what the dials do not say.

    Raises:
        ValueError: no drums, or what `winding` refuses for one of them.
    """
    numbers = winch_numbers(machine)
    rig = rig if rig is not None else WinchRig()
    diameters = np.asarray(drums, dtype=float)
    if diameters.ndim != 1 or diameters.size == 0:
        raise ValueError("no drums to compare. Give one diameter or more, in metres.")
    first = course(numbers, rig, STEPS)
    pull = first.arm_pull(numbers, 1.0)
    loads, heaviest = [], []
    for diameter in diameters:
        one = replace(numbers, drum=float(diameter))
        way = first.on_drum(one, rig)
        loads.append(_load(one, rig, way, pull))
        heaviest.append(_heaviest(one, rig, way))
    force = np.array([load.force for load in loads])
    allowed = np.array([load.allowed for load in loads])
    time = np.array([load.time for load in loads])
    pause = [
        max(crew.rest_after(load.work, numbers.people, load.time, rig.day), rig.serve_time)
        for load in loads
    ]
    return DrumChoice(
        drum=diameters,
        force_per_person=force,
        force_allowed=allowed,
        winding_time=time,
        reload_time=time + np.array(pause),
        crank_turns=np.array([load.turns for load in loads]),
        heaviest=np.array(heaviest),
        advice=_advice(diameters, force, allowed, time),
    )


def heaviest_counterweight(numbers: WinchNumbers, rig: WinchRig) -> float:
    """Heaviest counterweight with which no hand is pushed above what it keeps up [kg].

    The force allowed depends on the time, and the time on the weight: solved by the rule of false
    position in the Illinois form, since the force is nearly in proportion to what outweighs the
    arm.

    Raises:
        ValueError: the crew cannot wind even a weight that just outweighs the arm.
    """
    heaviest = _heaviest(numbers, rig, course(numbers, rig, STEPS))
    if not math.isfinite(heaviest):
        raise ValueError(
            f"{numbers.people:g} people cannot wind even a weight that just outweighs the arm with "
            "this winch. Take a smaller drum, a longer crank, more gear or more parts of line."
        )
    return heaviest


def _heaviest(numbers: WinchNumbers, rig: WinchRig, way: Course) -> float:
    """Heaviest counterweight on a course, or not-a-number where there is none [kg]."""
    arm = numbers.arm_mass * numbers.arm_balance + numbers.tip_mass * numbers.arm_long
    balanced = max(arm / numbers.arm_short, 0.0)
    low = balanced + 1e-3 * numbers.counterweight_mass
    low_excess = _excess(numbers, rig, way, low)
    if low_excess > 0.0:
        return math.nan
    high = max(numbers.counterweight_mass, 1.01 * low)
    high_excess = _excess(numbers, rig, way, high)
    while high_excess <= 0.0:
        # where a straight line through no force at balance reaches the limit, and a little more
        ahead = balanced + 1.05 * (high - balanced) / max(high_excess + 1.0, 1e-3)
        low, low_excess, high = high, high_excess, ahead
        high_excess = _excess(numbers, rig, way, high)
    side = 0
    for _ in range(200):
        if high - low <= TOLERANCE * high or low_excess == 0.0:
            break
        middle = 0.5 * (low + high)
        if math.isfinite(high_excess):
            middle = (low * high_excess - high * low_excess) / (high_excess - low_excess)
        excess = _excess(numbers, rig, way, middle)
        if abs(excess) <= TOLERANCE:
            return middle
        if excess > 0.0:
            high, high_excess = middle, excess
            low_excess *= 0.5 if side > 0 else 1.0
            side = 1
        else:
            low, low_excess = middle, excess
            high_excess *= 0.5 if side < 0 else 1.0
            side = -1
    return low


@dataclass(frozen=True, slots=True, kw_only=True)
class _Load:
    """What one winding asks of the crew."""

    force: float  # N, of one person, largest of the cycle
    allowed: float  # N
    time: float  # s
    turns: float
    work: float  # J


def _load(numbers: WinchNumbers, rig: WinchRig, way: Course, arm_pull: np.ndarray) -> _Load:
    """Work out what a winding asks of the crew: what `follow` gives, and nothing else."""
    pull = arm_pull * way.hauled
    handle = drum.handle_force(pull, way.radius, numbers.crank, numbers.gear, rig.gear_efficiency)
    work = integral(pull * way.parts * way.lever, way.elevation) / rig.gear_efficiency
    turns = float(way.drum_turns[-1]) * numbers.gear
    time, _ = crew_time(numbers, rig, work, turns)
    return _Load(
        force=float(np.max(handle)) / numbers.people,
        allowed=crew.force_allowed(time),
        time=time,
        turns=turns,
        work=work,
    )


def _excess(numbers: WinchNumbers, rig: WinchRig, way: Course, mass: float) -> float:
    """Share by which a person's force is above the one allowed; infinite beyond a day's work."""
    changed = replace(numbers, counterweight_mass=mass)
    try:
        load = _load(changed, rig, way, way.arm_pull(changed, 1.0))
    except crew.TooMuchWork:
        return math.inf
    return load.force / load.allowed - 1.0


def _advice(drum: np.ndarray, force: np.ndarray, allowed: np.ndarray, time: np.ndarray) -> str:
    """Say which drum winds fastest within the crew's limit."""
    bearable = np.flatnonzero(force <= allowed)
    if bearable.size == 0:
        lightest = int(np.argmin(force / allowed))
        return (
            f"no drum shown is light enough: {1e3 * drum[lightest]:.0f} mm asks "
            f"{force[lightest]:.0f} N of each, {allowed[lightest]:.0f} N is what a person keeps "
            "up. Take a longer crank, more gear, more parts of line or more people."
        )
    best = int(bearable[np.argmin(time[bearable])])
    return (
        f"of the drums that the crew can turn, {1e3 * drum[best]:.0f} mm is the fastest: "
        f"{time[best] / 60.0:.1f} min with {force[best]:.0f} N each."
    )

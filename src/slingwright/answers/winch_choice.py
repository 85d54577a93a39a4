"""Which drum: force against time, and the heaviest weight that the crew can wind with it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from slingwright.answers.winch_rig import HasDials, WinchNumbers, WinchRig, winch_numbers
from slingwright.answers.winding import Winding, follow
from slingwright.formulas import crew

STEPS = 61  # elevations of a winding that is only compared
TOLERANCE = 1e-9  # of the heaviest weight, relative


@dataclass(frozen=True, slots=True, kw_only=True)
class DrumChoice:
    """Drums side by side. Arrays of shape (n,)."""

    drum: np.ndarray  # m, diameters
    force_per_person: np.ndarray  # N
    force_allowed: np.ndarray  # N
    winding_time: np.ndarray  # s
    crank_turns: np.ndarray
    heaviest: np.ndarray  # kg, counterweight that the crew can wind
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
    runs = [follow(replace(numbers, drum=float(drum)), rig, STEPS) for drum in diameters]
    force = np.array([run.force_per_person for run in runs])
    allowed = np.array([run.force_allowed for run in runs])
    time = np.array([run.winding_time for run in runs])
    return DrumChoice(
        drum=diameters,
        force_per_person=force,
        force_allowed=allowed,
        winding_time=time,
        crank_turns=np.array([run.crank_turns for run in runs]),
        heaviest=np.array([heaviest_counterweight(run.numbers, rig) for run in runs]),
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
    arm = numbers.arm_mass * numbers.arm_balance + numbers.tip_mass * numbers.arm_long
    balanced = max(arm / numbers.arm_short, 0.0)
    low = balanced + 1e-3 * numbers.counterweight_mass
    low_excess = _excess(numbers, rig, low)
    if low_excess > 0.0:
        raise ValueError(
            f"{numbers.people:g} people cannot wind even {low:.0f} kg with this winch. Take a "
            "smaller drum, a longer crank, more gear or more parts of line."
        )
    high = max(numbers.counterweight_mass, 1.01 * low)
    high_excess = _excess(numbers, rig, high)
    while high_excess <= 0.0:
        # where a straight line through no force at balance reaches the limit, and a little more
        ahead = balanced + 1.05 * (high - balanced) / max(high_excess + 1.0, 1e-3)
        low, low_excess, high = high, high_excess, ahead
        high_excess = _excess(numbers, rig, high)
    side = 0
    for _ in range(200):
        if high - low <= TOLERANCE * high or low_excess == 0.0:
            break
        middle = 0.5 * (low + high)
        if math.isfinite(high_excess):
            middle = (low * high_excess - high * low_excess) / (high_excess - low_excess)
        excess = _excess(numbers, rig, middle)
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


def _excess(numbers: WinchNumbers, rig: WinchRig, mass: float) -> float:
    """Share by which a person's force is above the one allowed; infinite beyond a day's work."""
    try:
        run = _with_mass(numbers, rig, mass)
    except crew.TooMuchWork:
        return math.inf
    return run.force_per_person / run.force_allowed - 1.0


def _with_mass(numbers: WinchNumbers, rig: WinchRig, mass: float) -> Winding:
    """Follow a winding with another counterweight, its box's inertia kept in proportion."""
    share = mass / numbers.counterweight_mass
    changed = replace(
        numbers,
        counterweight_mass=mass,
        counterweight_inertia=numbers.counterweight_inertia * share,
    )
    return follow(changed, rig, STEPS)


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

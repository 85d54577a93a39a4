"""Does a claimed throw hold together?  Range and speed of one shot held against each other.

A range needs a least speed, and a speed gives, at any elevation a machine is set to, a range of its
own.  Where the two do not meet, one of the claimed numbers is wrong.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slingwright.formulas.refusals import above_zero
from slingwright.machine.table import dials
from slingwright.machine.table.derived import STONE_DENSITY
from slingwright.motion.source import code as codegen

USUAL = (math.radians(25.0), math.radians(60.0))
"""Elevations of release a tuned machine has, low and high [rad]; common practice."""
SLACK = 0.10
"""How far range and speed may miss each other before it is said: measured with a tape and a
camera, both are seldom better; common practice."""
_STEPS = 71


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimCheck:
    """What a claimed shot needs and gives; SI.

    `least_speed` reaches the range in a vacuum at 45 degrees, `needed_speed` in air at the best
    elevation.  `usual_range` is what the claimed speed gives over the usual elevations, least and
    most; `elevations` at which it gives the claimed range, if there are any.  `holds` and
    `sentence` are the verdict.
    """

    range: float
    speed: float
    least_speed: float
    needed_speed: float
    usual_range: tuple[float, float]
    elevations: tuple[float, ...]
    holds: bool
    sentence: str


def check_claim(
    *,
    range: float,
    speed: float,
    mass: float,
    diameter: float | None = None,
    drag: float | None = None,
    density: float = 1.225,
    gravity: float = 9.80665,
    height: float = 0.0,
) -> ClaimCheck:
    """Hold a claimed range and speed of release of one shot against each other.

    Args:
        range: claimed, on level ground [m].
        speed: claimed, at release [m/s].
        mass: of the projectile [kg].
        diameter: of the projectile; as a projectile of stone of its mass if not given [m].
        drag: coefficient; as a smooth sphere by its Reynolds number if not given [-].
        density: of the air [kg/m^3].
        gravity: [m/s^2].
        height: of the release above the landing level [m].

    Raises:
        ValueError: for a number that is not above zero.

    Source: equations of the throw with drag (compiled flight); least speed sqrt(g R) by the closed
    form of the parabola on level ground.
    """
    above_zero(range, "range", "m")
    above_zero(speed, "speed", "m/s")
    above_zero(mass, "mass", "kg")
    size = diameter if diameter is not None else np.cbrt(6.0 * mass / (math.pi * STONE_DENSITY))
    shot = _Shot(mass, above_zero(float(size), "diameter", "m"), drag, density, gravity, height)
    least = math.sqrt(gravity * (math.hypot(range, height) - height))
    angles = np.linspace(math.radians(2.0), math.radians(88.0), 87)
    reached = np.array([shot.range(speed, angle) for angle in angles])
    found = tuple(_meeting(shot, speed, range, angles, reached))
    usual = np.array([shot.range(speed, angle) for angle in np.linspace(*USUAL, _STEPS)])
    shortest, longest = float(usual.min()), float(usual.max())
    needed = _needed(shot, range)
    if reached.max() < (1.0 - SLACK) * range:
        holds = False
        sentence = (
            f"{speed:.1f} m/s can not throw so far: at its best elevation it reaches "
            f"{reached.max():.0f} m, and {range:.0f} m needs {needed:.1f} m/s at least."
        )
    elif shortest > (1.0 + SLACK) * range:
        at = ", ".join(f"{math.degrees(angle):.0f} deg" for angle in found)
        holds = False
        sentence = (
            f"{speed:.1f} m/s is too fast for {range:.0f} m: released between "
            f"{math.degrees(USUAL[0]):.0f} and {math.degrees(USUAL[1]):.0f} deg it lands "
            f"{shortest:.0f} to {longest:.0f} m away; {range:.0f} m fits only {at or 'nothing'}. "
            f"{needed:.1f} m/s would do."
        )
    else:
        holds = True
        sentence = (
            f"{speed:.1f} m/s and {range:.0f} m hold together: between the usual elevations that "
            f"speed lands {shortest:.0f} to {longest:.0f} m away."
        )
    return ClaimCheck(
        range=range,
        speed=speed,
        least_speed=least,
        needed_speed=needed,
        usual_range=(shortest, longest),
        elevations=found,
        holds=holds,
        sentence=sentence,
    )


class _Shot:
    """One projectile that may be thrown at any speed and elevation."""

    def __init__(
        self,
        mass: float,
        diameter: float,
        drag: float | None,
        density: float,
        gravity: float,
        height: float,
    ) -> None:
        self._given = np.zeros(len(dials.MOVING))
        for path, value in {
            "projectile.mass": mass,
            "projectile.diameter": diameter,
            "projectile.drag": math.nan if drag is None else drag,
            "site.air_density": density,
            "site.gravity": gravity,
        }.items():
            self._given[dials.MOVING_INDEX[path]] = value
        self._start = height + 0.5 * diameter
        self._fly = codegen.flight_module().fly
        self._landing, self._no_path = np.zeros(8), np.empty((0, 5))

    def range(self, speed: float, elevation: float) -> float:
        """Range [m] of a release at this speed [m/s] and elevation [rad]."""
        v_x, v_y = speed * math.cos(elevation), speed * math.sin(elevation)
        self._fly(0.0, self._start, v_x, v_y, self._given, 1e-9, self._landing, self._no_path)
        return float(self._landing[1])

    def best(self, speed: float) -> float:
        """Longest range [m] at this speed over all elevations."""
        angles = np.linspace(math.radians(15.0), math.radians(60.0), 46)
        return max(self.range(speed, angle) for angle in angles)


def _meeting(
    shot: _Shot, speed: float, wanted: float, angles: np.ndarray, reached: np.ndarray
) -> list[float]:
    """Elevations at which the speed gives the wanted range, by halving between samples."""
    found = []
    for left, right, at_left, at_right in zip(
        angles[:-1], angles[1:], reached[:-1] - wanted, reached[1:] - wanted, strict=True
    ):
        if at_left * at_right > 0.0:
            continue
        low, high = float(left), float(right)
        for _ in range(40):
            middle = 0.5 * (low + high)
            if (shot.range(speed, middle) - wanted) * at_left > 0.0:
                low = middle
            else:
                high = middle
        found.append(0.5 * (low + high))
    return found


def _needed(shot: _Shot, wanted: float) -> float:
    """Least speed that reaches the wanted range in air, or infinity where none does."""
    low, high = 0.0, 10.0
    while shot.best(high) < wanted:
        low, high = high, 2.0 * high
        if high > 1e4:
            return math.inf
    for _ in range(40):
        middle = 0.5 * (low + high)
        if shot.best(middle) < wanted:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)

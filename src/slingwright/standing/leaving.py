"""Where one projectile lands if it leaves the sling at any moment, and what that rests on."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slingwright.amounts.text import Text, form, joined
from slingwright.machine.machine import Machine
from slingwright.machine.table.dials import MOVING_INDEX
from slingwright.motion.across import land
from slingwright.motion.source.code import flight_module
from slingwright.standing.drift import Drift, drift
from slingwright.standing.flung import Flung

TOLERANCE = 1e-7


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Leaving:
    """Where one load lands if it leaves the sling at each moment of the motion with the ring held.

    Arrays are (n,). Moments in which the load lies in the trough are left out, and so are those
    past the first at which the sling goes slack or something strikes. `cut` says what that was;
    it is empty where the motion is known as far as it was followed, and `followed` says how far.
    """

    load: str
    machine: Machine  # with this load
    planned: float | None  # m, where the planned throw lands, if it does
    time: np.ndarray  # s
    lag: np.ndarray  # rad, sling lag
    place: np.ndarray  # (n, 2) m
    velocity: np.ndarray  # (n, 2) m/s
    landing: np.ndarray  # m, from under the axle, forward positive
    apex: np.ndarray  # m, above the machine's ground
    arrival: np.ndarray  # J, of motion at the landing
    cord: np.ndarray  # m/s, to the side, by one cord that leaves later
    known_until: float  # s
    cut: str  # why the motion is not known past that, or nothing
    followed: str
    flung: Flung  # what the whole energy could do

    @property
    def farthest(self) -> int:
        """Moment whose flight lands farthest ahead."""
        return int(np.argmax(self.landing))

    @property
    def rearmost(self) -> int:
        """Moment whose flight lands farthest behind."""
        return int(np.argmin(self.landing))

    @property
    def drifts(self) -> tuple[Drift, ...]:
        """How far beside their line the flights that go farthest, rearmost and highest land."""
        highest = int(np.argmax(self.apex))
        moments = {"farthest": self.farthest, "rearmost": self.rearmost, "highest": highest}
        return tuple(
            drift(
                self.machine,
                f"{self.load}, {name}",
                self.place[at],
                self.velocity[at],
                float(self.cord[at]),
            )
            for name, at in moments.items()
        )

    @property
    def forward(self) -> float:
        """Longest flight ahead, the planned one among them [m], 0 if every one goes behind."""
        return max(0.0, self.planned or 0.0, _top(self.time, self.landing, self.farthest))

    @property
    def backward(self) -> float:
        """Longest flight behind [m], 0 if every one goes ahead."""
        return max(0.0, _top(self.time, -self.landing, self.rearmost))

    @property
    def bound(self) -> float:
        """Distance past which it cannot land where its motion is not known, else 0 [m]."""
        return self.flung.distance if self.cut else 0.0

    @property
    def height(self) -> float:
        """Greatest height of any flight [m]."""
        return float(self.apex.max())

    @property
    def why(self) -> Text:
        """How far it can fly, when it would have to leave for that, and what is not known."""
        planned: str = "does not come down ahead as planned"
        if self.planned is not None and self.planned >= 0.0:
            planned = form("planned {:3m}")(self.planned)
        parts = [
            planned,
            form("{} {:3m} ahead ({})")(
                "at least" if self.cut else "at most", self.forward, self._leaving(self.farthest)
            ),
            form("{:3m} behind ({})")(self.backward, self._leaving(self.rearmost)),
            form("{:3m} up")(self.height),
        ]
        if self.cut:
            bound = form("not known once {}; by energy at most {:3m} ahead or behind")
            parts.append(bound(self.cut, self.bound))
        else:
            parts.append(self.followed)
        return joined(parts, ", ")

    def _leaving(self, at: int) -> str:
        return f"leaving at {self.time[at]:.2f} s, lag {math.degrees(self.lag[at]):.0f} deg"

    def flight(self, moment: int) -> np.ndarray:
        """Path (k, 2) [m] of the flight from one of the moments."""
        path = np.empty((4096, 5))
        at, moving = self.place[moment], self.velocity[moment]
        given = surfaces(self.machine)
        _, which = land_farthest(given, at[None], moving[None])
        filled = flight_module().fly(*at, *moving, given[which[0]], TOLERANCE, np.zeros(8), path)
        return path[:filled, 1:3]


def surfaces(machine: Machine) -> list[np.ndarray]:
    """Dials of the motion with the surfaces that may carry the projectile farthest.

    Nobody stands where only a rough surface saves: a smooth one is slowed less. With the wind
    behind it a rough one may be carried farther. A drag coefficient that is given stays.
    """
    given = machine.moving()
    place = MOVING_INDEX["projectile.smooth"]
    windy = machine.number("site.wind") != 0.0
    found = []
    for smooth in (1.0, 0.0) if windy else (1.0,):
        found.append(given.copy())
        found[-1][place] = smooth
    return found


def land_farthest(
    given: list[np.ndarray], place: np.ndarray, velocity: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Fly from places (n, 2) [m] at velocities (n, 2) [m/s] with each of these dials.

    Returns:
        The landing (n, 8) farthest off of each flight, and which of the dials it is by (n,).
    """
    starts = np.column_stack([place, velocity])
    tried = np.stack([land(starts, np.tile(one, (len(starts), 1)), TOLERANCE) for one in given])
    which = np.argmax(np.abs(tried[:, :, 1]), axis=0)
    return tried[which, np.arange(len(starts))], which


def _top(time: np.ndarray, value: np.ndarray, at: int) -> float:
    """Height of the parabola through the highest value and its neighbours, where it has a top."""
    highest = float(value[at])
    if not 0 < at < len(value) - 1:
        return highest
    before, after = time[at] - time[at - 1], time[at + 1] - time[at]
    if before <= 0.0 or after <= 0.0:
        return highest
    rise, fall = (value[at] - value[at - 1]) / before, (value[at + 1] - value[at]) / after
    bend = (fall - rise) / (before + after)
    slope = rise + bend * before
    return highest - 0.25 * slope * slope / bend if bend < 0.0 else highest

"""Where to stand: how far a load can fly if it leaves the sling at any moment, not the planned one.

The ring may slip early, late or after the arm has swung through; a cord may part.  Whenever it
does, the load flies on with the place and the velocity that it has just then.  So one motion with
the ring held, and one flight from each moment of it, tell every such throw, ahead and behind, up
to the moment at which the sling would have to push or something strikes.  Past that moment the
motion is not known, and a bound by the energy stands in: see `flung`.

No published distance for the public was found for full-size throwing machines; the margin and
the sideways angle are this kit's own choice, and local codes and the authority on the site decide.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slingwright.machine.machine import Machine
from slingwright.motion.code import flight_module
from slingwright.motion.known import LEAST_UNITS, SWINGING, follow
from slingwright.motion.throwing import Throw, throw
from slingwright.standing.flung import Flung, flung
from slingwright.standing.places import (
    LoosingPlace,
    WindingGround,
    clear_beside,
    loosing_place,
    winding_ground,
)
from slingwright.strength.cases import brief_loads, loaded_machine

TOLERANCE = 1e-7

CAUTIONS = (
    "These distances are aids to judgement and approve nothing: local codes, the owner of the "
    "ground and a licensed person decide. Nobody inside the marked ground from the first turn of "
    "the winch until the machine is seen unloaded but the crew that winds, and of them nobody once "
    "a projectile is in the sling; the one who looses stands outside it, at the side, behind cover."
)
NOT_MODELLED = (
    "bounce and roll after the first touch, and what a load does on hard or sloping ground",
    "a load that rolls out of the pouch while it still lies in the trough",
    "throws out of the plane: a cord that parts on one side, a load that leaves a torn pouch",
    "splinters, bolts and pieces of a machine that breaks, and a frame that tips or slides",
    "gusts: the wind is the steady one of the dial",
)


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

    def flight(self, moment: int) -> np.ndarray:
        """Way (k, 2) [m] of the flight from one of the moments."""
        path = np.empty((4096, 5))
        at, moving = self.place[moment], self.velocity[moment]
        filled = flight_module().fly(
            at[0], at[1], moving[0], moving[1], self.machine.moving(), TOLERANCE, np.zeros(8), path
        )
        return path[:filled, 1:3]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Zone:
    """The ground to keep clear, from under the axle [m], and the flights that set it."""

    machine: Machine
    leavings: tuple[Leaving, ...]
    failures: tuple[str, ...]  # loads that this machine cannot take, and why
    margin: float
    sideways: float  # rad
    reach: float  # m, of arm and sling at full stretch from the axle
    limit: float  # m, where the clear ground ends ahead
    loosing: LoosingPlace
    winding: WindingGround

    @property
    def ahead(self) -> Leaving:
        """The load that can fly farthest ahead."""
        return max(self.leavings, key=lambda one: one.forward)

    @property
    def behind(self) -> Leaving:
        """The load that can fly farthest behind."""
        return max(self.leavings, key=lambda one: one.backward)

    @property
    def highest(self) -> Leaving:
        """The load that can rise highest."""
        return max(self.leavings, key=lambda one: one.height)

    @property
    def forward(self) -> float:
        """Longest flight ahead of any load [m]."""
        return self.ahead.forward

    @property
    def backward(self) -> float:
        """Longest flight behind of any load [m]."""
        return self.behind.backward

    @property
    def height(self) -> float:
        """Greatest height of any load [m]."""
        return self.highest.height

    @property
    def planned(self) -> float:
        """Longest planned throw [m], or 0 where none lands ahead."""
        return max([0.0, *(one.planned for one in self.leavings if one.planned is not None)])

    @property
    def unbounded(self) -> Leaving | None:
        """The load of the largest bound by energy, if the motion of any is cut short."""
        worst = max(self.leavings, key=lambda one: one.bound)
        return worst if worst.cut else None

    @property
    def bound(self) -> float:
        """Bound by energy of every load whose motion is cut short, 0 if none is [m]."""
        return max(one.bound for one in self.leavings)

    @property
    def clear_ahead(self) -> float:
        """Distance to keep clear ahead [m].

        The longest flight with the margin, and never less than the bound by energy where the motion
        is cut short, nor than beside the machine.
        """
        return max(self.margin * self.forward, self.bound, self.clear_beside)

    @property
    def clear_behind(self) -> float:
        """Distance to keep clear behind [m], by the same rule as ahead."""
        return max(self.margin * self.backward, self.bound, self.clear_beside)

    @property
    def clear_beside(self) -> float:
        """Distance to keep clear on every side, with the margin [m]: what arm and sling sweep."""
        return clear_beside(self.machine)

    @property
    def inside(self) -> bool:
        """Whether every flight, without the margin, ends on the clear ground ahead."""
        return self.forward <= self.limit

    @property
    def verdict(self) -> str:
        """`fails`, `not known` or `holds`.

        It fails where a flight, with the margin, passes the end of the clear ground, or where
        nobody can loose from a safe place. It is not known where a motion is cut short or a load
        of the brief was not looked at.
        """
        if self.margin * self.forward > self.limit or not self.loosing.found:
            return "fails"
        return "not known" if self.unbounded is not None or self.failures else "holds"

    def outline(self, steps: int = 25) -> np.ndarray:
        """Outline of the ground to keep clear, (k, 2) [m], seen from above: ahead, to the left.

        A sector ahead and one behind, of the half angle `sideways`, and a circle between them.

        >>> zone_outline(10.0, 6.0, 2.0, 0.5, 3).round(1)[0].tolist()
        [8.8, -4.8]
        """
        return zone_outline(
            self.clear_ahead, self.clear_behind, self.clear_beside, self.sideways, steps
        )

    def covers(self, x: float, y: float) -> bool:
        """Whether a place [m ahead, m to the left] lies on the ground to keep clear."""
        away, off = math.hypot(x, y), abs(math.atan2(y, x))
        if away <= self.clear_beside:
            return True
        if off <= self.sideways:
            return away <= self.clear_ahead
        return off >= math.pi - self.sideways and away <= self.clear_behind


def zone(machine: Machine, *, lanyard: float | None = None) -> Zone:
    """Find how far every load of a machine's brief can fly if it leaves the sling at any moment.

    The machine's own projectile is looked at with the loads of its brief, and no other dial is
    changed. Margin and sideways angle are its `site.margin` and `site.sideways`.

    Args:
        machine: the machine as it is to be loosed.
        lanyard: length of the lanyard, with its slack; as long as it takes if None [m].

    Raises:
        ValueError: no load that this machine can throw, or a lanyard of no length.
    """
    if lanyard is not None and not lanyard > 0.0:
        raise ValueError(f"lanyard is {lanyard:g} m; give a length above 0, or none")
    leavings: list[Leaving] = []
    failures: list[str] = []
    for load in brief_loads(machine):
        try:
            leavings.append(_leaving(load.name, loaded_machine(machine, load)))
        except ValueError as error:
            failures.append(f"{load.name}: {str(error).splitlines()[0]}")
    if not leavings:
        told = "; ".join(failures) or "the brief is empty and projectile.mass is 0"
        raise ValueError(
            f"No load of this machine flies: {told}. Give a projectile.mass, or a brief."
        )
    number = machine.number
    return Zone(
        machine=machine,
        leavings=tuple(leavings),
        failures=tuple(failures),
        margin=number("site.margin"),
        sideways=number("site.sideways"),
        reach=number("arm.long") + number("sling.length"),
        limit=number("site.limit"),
        loosing=loosing_place(machine, lanyard),
        winding=winding_ground(machine),
    )


def zone_outline(
    ahead: float, behind: float, beside: float, sideways: float, steps: int
) -> np.ndarray:
    """Outline (k, 2) [m] of a sector ahead, a circle, and a sector behind."""
    forward = np.linspace(-sideways, sideways, steps)
    left = np.linspace(sideways, math.pi - sideways, steps)
    rear = np.linspace(math.pi - sideways, math.pi + sideways, steps)
    right = np.linspace(math.pi + sideways, 2.0 * math.pi - sideways, steps)
    angle = np.concatenate([forward, left, rear, right])
    away = np.repeat([ahead, beside, behind, beside], steps)
    return np.column_stack([away * np.cos(angle), away * np.sin(angle)])


def velocity_of_load(done: Throw) -> np.ndarray:
    """Velocity (n, 2) [m/s] of the load at the end of the sling, from the rates of the motion."""
    number = done.machine.number
    arm, sling = done.arm, done.arm - done.sling
    at_arm = number("arm.long") * done.arm_rate
    at_sling = number("sling.length") * (done.arm_rate - done.sling_rate)
    return np.column_stack(
        [
            done.base_rate + at_arm * np.sin(arm) + at_sling * np.sin(sling),
            at_arm * np.cos(arm) + at_sling * np.cos(sling),
        ]
    )


# ---- within


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


def _leaving(name: str, machine: Machine) -> Leaving:
    if machine.number("projectile.mass") <= 0.0:
        raise ValueError("it has no mass")
    motion = follow(machine, ring=True, tolerance=TOLERANCE)
    done, until = motion.throw, motion.until
    free = done.phase == SWINGING
    if not free.any():
        known = f" as far as its motion is known, {until:.2f} s" if motion.cut else ""
        raise ValueError(f"it never leaves the trough{known}. {done.sentence}")
    place, velocity = done.ball[free], velocity_of_load(done)[free]
    landing, apex, arrival = _flights(machine, place, velocity)
    planned = throw(machine, tolerance=TOLERANCE, swing_through=0.0).range
    left = flung(machine, float(done.energy_lost[-1])).distance
    if motion.cut:
        followed = f"known until {until:.2f} s"
    elif left <= min(landing.max(), -landing.min()):
        followed = f"followed for {until:.0f} s: the energy left flings it no farther"
    else:
        followed = f"followed for {until:.0f} s, {LEAST_UNITS:g} sqrt((arm + sling) / g)"
    return Leaving(
        load=name,
        machine=machine,
        planned=planned,
        time=done.time[free],
        lag=done.sling[free],
        place=place,
        velocity=velocity,
        landing=landing,
        apex=apex,
        arrival=arrival,
        known_until=until,
        cut=f"{motion.cut} at {until:.2f} s" if motion.cut else "",
        followed=followed,
        flung=flung(machine),
    )


def _flights(
    machine: Machine, place: np.ndarray, velocity: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Landing [m], apex [m] and energy of motion at the landing [J] of a flight from each moment.

    A flight that never comes up to the landing level ends at the machine's own ground.
    """
    fly, given = flight_module().fly, machine.moving()
    landing, no_path = np.zeros(8), np.empty((0, 5))
    found = np.empty((len(place), 3))
    half = 0.5 * machine.number("projectile.mass")
    for row, (at, moving) in enumerate(zip(place, velocity, strict=True)):
        fly(at[0], at[1], moving[0], moving[1], given, TOLERANCE, landing, no_path)
        found[row] = (
            landing[1],
            max(landing[5], at[1]),
            half * (landing[3] * landing[3] + landing[4] * landing[4]),
        )
    return found[:, 0], found[:, 1], found[:, 2]

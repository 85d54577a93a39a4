"""The ground to keep clear: its record, and what it says of itself."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.answer import Answer, Row, Table
from slingwright.amounts.text import Amount, Text, form, joined, text
from slingwright.machine.machine import Machine
from slingwright.machine.table.dials import MOVING_INDEX
from slingwright.motion.source.code import flight_module
from slingwright.standing.flung import Flung
from slingwright.standing.places import LoosingPlace, WindingGround, clear_beside

TOLERANCE = 1e-7
PLACES = ("who looses", "who winds", "everyone else")
LOADS = ("projectile", "planned", "ahead", "behind", "up", "by energy", "energy at the landing")

CAUTIONS = (
    "These distances are aids to judgement and approve nothing: local codes, the owner of the "
    "ground and a licensed person decide. Nobody inside the marked ground from the first turn of "
    "the winch until the machine is seen unloaded but the crew that winds, and of them nobody once "
    "a projectile is in the sling; the one who looses stands outside it, at the side, behind cover."
)
NOT_MODELLED = (
    "bounce and roll after the first touch: the margin covers what site.run_on assumes, on turf",
    "a projectile that rolls out of the pouch while it still lies in the trough",
    "throws out of the plane: a cord that parts on one side, a projectile that leaves a torn pouch",
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
        landing = np.zeros(8)
        given = farthest_surface(surfaces(self.machine), at, moving, landing)
        filled = flight_module().fly(*at, *moving, given, TOLERANCE, landing, path)
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


def farthest_surface(
    given: list[np.ndarray], at: np.ndarray, moving: np.ndarray, landing: np.ndarray
) -> np.ndarray:
    """Fly with each of these dials; gives those that land farthest off, and their landing."""
    fly, no_path, best = flight_module().fly, np.empty((0, 5)), given[0]
    tried = np.zeros(8)
    for turn, one in enumerate(given):
        fly(*at, *moving, one, TOLERANCE, tried, no_path)
        if turn == 0 or abs(tried[1]) > abs(landing[1]):
            best, landing[:] = one, tried
    return best


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Zone(Answer):
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

        It fails where a flight or what is swept, with the margin, passes the end of the clear
        ground, or where nobody can loose from a safe place. It is not known where a motion is cut
        short or a projectile of the brief was not looked at.
        """
        reach = max(self.margin * self.forward, self.clear_beside)
        if reach > self.limit or not self.loosing.found:
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

    @property
    def sentence(self) -> Text:
        """What to keep clear, whether the clear ground is long enough, and what is not known."""
        told = form("Keep clear {:0m} ahead, {:0m} behind and {:0m} on every side")(
            self.clear_ahead, self.clear_behind, self.clear_beside
        )
        known = "Every flight that is known ends within the clear ground of"
        if not self.inside:
            parts: list[str] = [
                form(
                    "{}. {} can fly {:3m} ahead, past the end of the clear ground at {:3m}: do "
                    "not loose it so"
                )(told, _capital(self.ahead.load), self.forward, self.limit)
            ]
        elif self.margin * self.forward > self.limit:
            parts = [
                form(
                    "{}. {} {:3m}, the longest at {:3m}, but the margin reaches past it: keep the "
                    "ground beyond empty too"
                )(told, known, self.limit, self.forward)
            ]
        elif self.clear_ahead > self.limit:
            parts = [
                form(
                    "{}. {} {:3m}, but the ground to keep clear reaches past it: keep the ground "
                    "beyond empty too"
                )(told, known, self.limit)
            ]
        else:
            within = "{}. The ground ahead lies within the clear ground, which ends at {:3m}"
            parts = [form(within)(told, self.limit)]
        if self.failures:
            parts.append(f"Not looked at, so not known: {'; '.join(self.failures)}")
        if self.not_bounded:
            parts.insert(1, self.not_bounded)
        if not self.loosing.found:
            parts.append(self.loosing_words)
        return joined(parts, ". ") + "."

    @property
    def not_bounded(self) -> Text:
        """Whose distance the motion does not bound, and what bound is added; nothing if none."""
        one = self.unbounded
        if one is None:
            return text()
        most = one.flung
        wind = form(" and {:3m} with the wind")(most.wind) if most.wind else ""
        return form(
            "The distance behind is not bounded by the simulated motion, nor is the one ahead: {} "
            "flies at most {:3m} behind until {}, and past that its motion is not known. Added as "
            "the bound: reach of {:3m} and a flight without air of {:3m}{}, at the greatest speed "
            "that all {:3J} released could give it, {:3m/s}: {:0m}"
        )(
            *(one.load, one.backward, one.cut),
            *(most.start, most.flight, wind, most.energy, most.speed, most.distance),
        )

    @property
    def loosing_words(self) -> Text:
        """Where the person who looses stands, and what lanyard that takes."""
        place = self.loosing
        if place.x is not None and place.z is not None and place.lanyard is not None:
            return form(
                "Who looses stands {:3m} {} the axle and {:3m} to the side or more, outside the "
                "ground to keep clear: a lanyard of {:3m} with its slack"
            )(abs(place.x), "behind" if place.x <= 0.0 else "ahead of", place.z, place.lanyard)
        if place.needed is None:
            return form(
                "No safe place to loose from: the sectors ahead and behind leave no side free at "
                "{:.0f} deg (site.sideways). Loose from a shelter that a licensed person has "
                "judged, or from beyond the ground to keep clear"
            )(math.degrees(self.sideways))
        return form(
            "No safe place to loose from within the lanyard{}: lengthen it to {:3m} or more, or "
            "loose from a shelter that a licensed person has judged"
        )("" if place.given is None else form(" of {:3m}")(place.given), place.needed)

    @property
    def winding_words(self) -> Text:
        """Where the crew that winds stands, with no projectile in the sling, and where nobody."""
        ground = self.winding
        return form(
            "The crew that winds, with no projectile in the sling and the safety pin at hand, "
            "stands abreast of the drum, {:3m} {} the axle and {:3m} or more to its side, clear of "
            "the crank. Nobody stands between the frames or under counterweight and arm: arm and "
            "empty sling sweep {:3m} ahead and behind. Nobody stands in line with the rope, which "
            "whips back up to {:3m} past either end, {:.0f} deg to either side. The crew leaves "
            "the ground before a projectile is laid in, but the one who loads, with the safety pin "
            "in"
        )(
            *(abs(ground.crew_x), "behind" if ground.crew_x <= 0.0 else "ahead of", ground.crew_z),
            *(ground.sweep, ground.rope, math.degrees(ground.spread)),
        )

    @property
    def public_words(self) -> Text:
        """Where everyone else stands."""
        return form(
            "Everyone else stays outside the ground to keep clear from the first turn of the "
            "winch: {:0m} ahead, {:0m} behind, {:0m} on every side"
        )(self.clear_ahead, self.clear_behind, self.clear_beside)

    @property
    def places(self) -> tuple[Text, Text, Text]:
        """Who stands where: who looses, the crew that winds, everyone else."""
        return self.loosing_words + ".", self.winding_words + ".", self.public_words + "."

    def rows(self) -> Iterator[Row]:
        """Give what to keep clear, how far each load can fly, and who stands where."""
        for key, where in (("ahead", "ahead"), ("behind", "behind"), ("beside", "on every side")):
            value = Amount(getattr(self, f"clear_{key}"), "m", 0)
            yield Row(f"clear.{key}", f"keep clear {where}", value)
        for one in self.leavings:
            yield Row(f"load.{one.load}", one.load, Amount(one.forward, "m", 3), one.why)
        for failure in self.failures:
            yield Row(f"missed.{failure}", "not looked at", failure)
        for who, words in zip(PLACES, self.places, strict=True):
            yield Row(f"place.{who}", who, words)

    def loads(self, system: units.System = "metric") -> Table:
        """Give each load's flights: planned, farthest, bound by energy, energy at the landing.

        A star marks what is a least value, for the motion past some moment is not known.
        """
        return Table(
            head=LOADS,
            system=system,
            lines=tuple(
                (
                    one.load,
                    None if one.planned is None else Amount(one.planned, "m", 3),
                    *(
                        text(Amount(value, "m", 3), "*" if one.cut else "")
                        for value in (one.forward, one.backward, one.height)
                    ),
                    Amount(one.bound, "m", 0) if one.cut else None,
                    Amount(float(one.arrival.max()), "J", 3),
                )
                for one in self.leavings
            ),
        )

    @property
    def star_words(self) -> str:
        """What the star in the table means, for each projectile with one; nothing if none has."""
        cut = [f"{one.load}: {one.cut}" for one in self.leavings if one.cut]
        if not cut:
            return ""
        return (
            "* at least: past that moment the motion is not known, and the column by energy "
            "bounds both ahead and behind; " + "; ".join(cut)
        )

    def report(self) -> Text:
        """Give the whole as a short report for a terminal."""
        lines: list[str] = [f"Where to stand: {self.machine.name or 'this machine'}", ""]
        lines += [self.sentence, "", "If the projectile leaves the sling at any moment"]
        wide = max(len(one.load) for one in self.leavings)
        lines += [text(f"  {one.load:<{wide}}  ", one.why) for one in self.leavings]
        lines += [f"  not looked at: {failure}" for failure in self.failures]
        lines += ["", "Who stands where", *(text("  ", words) for words in self.places), ""]
        lines += [
            f"Margin {self.margin:g} on every distance, {math.degrees(self.sideways):.0f} deg to "
            "either side ahead and behind: choices (site.margin, site.sideways), for no published "
            "distance for the public was found.",
            "Not modelled: " + "; ".join(NOT_MODELLED) + ".",
            CAUTIONS,
        ]
        return joined(lines, "\n")

    def record(self) -> dict[str, Any]:
        """Give the whole as plain data in SI."""
        return {
            "machine": self.machine.name,
            "verdict": self.verdict,
            "inside": bool(self.inside),
            "sentence": str(self.sentence),
            "clear_ahead": self.clear_ahead,
            "clear_behind": self.clear_behind,
            "clear_beside": self.clear_beside,
            "longest_ahead": self.forward,
            "longest_behind": self.backward,
            "highest": self.height,
            "limit": self.limit,
            "margin": self.margin,
            "sideways": self.sideways,
            "loads": [
                {
                    "name": one.load,
                    "mass": one.machine.number("projectile.mass"),
                    "planned": one.planned,
                    "ahead": one.forward,
                    "ahead_leaving_at": float(one.time[one.farthest]),
                    "behind": one.backward,
                    "behind_leaving_at": float(one.time[one.rearmost]),
                    "highest": one.height,
                    "arrival_energy": float(one.arrival.max()),
                    "known_until": one.known_until,
                    "not_known_once": one.cut,
                    "followed": one.followed,
                    "greatest_energy": one.flung.energy,
                    "greatest_speed": one.flung.speed,
                    "bound_by_energy": one.flung.distance,
                }
                for one in self.leavings
            ],
            "not_bounded": str(self.not_bounded),
            "not_looked_at": list(self.failures),
            "who_looses": {
                "x": self.loosing.x,
                "z": self.loosing.z,
                "lanyard": self.loosing.lanyard,
                "least_lanyard": self.loosing.needed,
                "words": str(self.loosing_words),
            },
            "winding": {
                "crew_x": self.winding.crew_x,
                "crew_z": self.winding.crew_z,
                "sweep": self.winding.sweep,
                "half_width": self.winding.half_width,
                "rope": self.winding.rope,
                "words": str(self.winding_words),
            },
            "everyone_else": str(self.public_words),
            "caution": CAUTIONS,
        }


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


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"

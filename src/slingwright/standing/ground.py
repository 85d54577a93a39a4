"""The ground to keep clear: its record, and what it says of itself."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.answer import Answer, Row, Table
from slingwright.amounts.text import Amount, Text, form, joined, text
from slingwright.machine.machine import Machine
from slingwright.standing import debris, drift
from slingwright.standing.leaving import Leaving
from slingwright.standing.places import LoosingPlace, Person, WindingGround, clear_beside

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
    "a cord that parts on one side: it lets go of a load that turns aside and may go anywhere",
    "splinters and bolts, pieces that fly aside, and a frame that tips or slides",
    "gusts along the throw: the wind of the flights is the steady one of the dial",
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Zone(Answer):
    """The ground to keep clear, from under the axle [m], and the flights that set it."""

    machine: Machine
    leavings: tuple[Leaving, ...]
    failures: tuple[str, ...]  # loads that this machine cannot take, and why
    pieces: tuple[debris.Piece, ...]  # what else may fly
    pieces_until: float  # s, after loosing: until then they were looked at
    drifts: tuple[drift.Drift, ...]
    margin: float
    sideways: float  # rad
    reach: float  # m, of arm and sling at full stretch from the axle
    limit: float  # m, where the clear ground ends ahead
    loosing: LoosingPlace
    winding: WindingGround
    people: tuple[Person, ...] = ()  # who stands where and when, each held to this ground

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
    def flown(self) -> tuple[str, float]:
        """What flies farthest ahead, a projectile or a piece of the machine, and how far [m]."""
        far = [(self.ahead.load, self.forward), *((one.name, one.ahead) for one in self.pieces)]
        return max(far, key=lambda one: one[1])

    @property
    def strays(self) -> tuple[drift.Drift, ...]:
        """Flights that may drift off the ground to keep clear."""
        return tuple(one for one in self.drifts if not self.covers(one.x, one.z))

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

        The longest flight of a projectile or a piece with the margin, and never less than the bound
        by energy where the motion is cut short, nor than beside the machine.
        """
        return max(self.margin * self.flown[1], self.bound, self.clear_beside)

    @property
    def clear_behind(self) -> float:
        """Distance to keep clear behind [m], by the same rule as ahead."""
        pieces = max([0.0, *(one.behind for one in self.pieces)])
        return max(self.margin * max(self.backward, pieces), self.bound, self.clear_beside)

    @property
    def clear_beside(self) -> float:
        """Distance to keep clear on every side, with the margin [m]: what arm and sling sweep."""
        return clear_beside(self.machine)

    @property
    def inside(self) -> bool:
        """Whether every flight, without the margin, ends on the clear ground ahead."""
        return self.flown[1] <= self.limit

    @property
    def verdict(self) -> str:
        """`fails`, `not known` or `holds`.

        It fails where a flight or what is swept, with the margin, passes the end of the clear
        ground, where one drifts off its side, or where a person has no safe place.
        It is not known where a motion is cut short or a projectile of the brief was not looked at.
        """
        reach = max(self.margin * self.flown[1], self.clear_beside)
        if reach > self.limit or self.strays or any(one.wrong for one in self.people):
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
    def conflicts(self) -> Text:
        """What speaks against the places of people, in words; nothing where nothing does."""
        return joined([one.wrong + "." for one in self.people if one.wrong], " ")

    @property
    def sentence(self) -> Text:
        """What to keep clear, whether the ground is long enough, and who stands in the way."""
        return text(self.ground, " ", self.conflicts) if self.conflicts else self.ground

    @property
    def ground(self) -> Text:
        """What to keep clear, whether the clear ground is long enough, and what is not known."""
        told = form("Keep clear {:0m} ahead, {:0m} behind and {:0m} on every side")(
            self.clear_ahead, self.clear_behind, self.clear_beside
        )
        known = "Every flight that is known ends within the clear ground of"
        name, far = self.flown
        if not self.inside:
            parts: list[str] = [
                form(
                    "{}. {} can fly {:3m} ahead, past the end of the clear ground at {:3m}: do "
                    "not loose it so"
                )(told, _capital(name), far, self.limit)
            ]
        elif self.margin * far > self.limit:
            parts = [
                form(
                    "{}. {} {:3m}, the longest at {:3m}, but the margin reaches past it: keep the "
                    "ground beyond empty too"
                )(told, known, self.limit, far)
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
        if self.strays:
            worst = max(self.strays, key=lambda one: math.atan2(one.z, abs(one.x)))
            parts.append(
                form(
                    "{} may come down {:3m} to the side {}, off the ground to keep clear: "
                    "widen site.sideways to {} deg, or loose in less wind"
                )(
                    *(_capital(worst.flight), worst.z, worst.where),
                    math.ceil(math.degrees(math.atan2(worst.z, abs(worst.x)))),
                )
            )
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
    def places(self) -> tuple[Text, ...]:
        """Who stands where: who looses, winds and loads, the helper, everyone else last."""
        return tuple(one.words + "." for one in self.people)

    def rows(self) -> Iterator[Row]:
        """Give what to keep clear, how far each load can fly, and who stands where."""
        for key, where in (("ahead", "ahead"), ("behind", "behind"), ("beside", "on every side")):
            value = Amount(getattr(self, f"clear_{key}"), "m", 0)
            yield Row(f"clear.{key}", f"keep clear {where}", value)
        for one in self.leavings:
            yield Row(f"load.{one.load}", one.load, Amount(one.forward, "m", 3), one.why)
        for piece in self.pieces:
            yield Row(f"debris.{piece.name}", piece.name, Amount(piece.ahead, "m", 3), piece.why)
        for way in self.drifts:
            yield Row(f"drift.{way.flight}", way.flight, Amount(way.z, "m", 3), way.why)
        for failure in self.failures:
            yield Row(f"missed.{failure}", "not looked at", failure)
        for person in self.people:
            yield Row(f"place.{person.who}", person.who, person.words + ".")

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

    def beside_loads(self, system: units.System = "metric") -> tuple[Table, Table]:
        """Give what else may fly, and how far flights drift to the side, each with its rule."""
        pieces, drifts = (
            Table(head=head, lines=tuple(one.cells for one in found), caption=told, system=system)
            for head, found, told in (
                (debris.HEAD, self.pieces, f"What else may fly. {self.pieces_rule}"),
                (drift.HEAD, self.drifts, f"Drift to the side. {drift.NOTE}."),
            )
        )
        return pieces, drifts

    @property
    def pieces_rule(self) -> str:
        """What the distances of pieces take as given, and how long the motion was looked at."""
        return f"{debris.NOTE}; looked at until {self.pieces_until:.1f} s after loosing."

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
        lines += ["", "What else may fly ahead", *(text("  ", one.told) for one in self.pieces)]
        lines += [text("  ", self.pieces_rule), "", "Drift to the side"]
        lines += [*(text("  ", one.told) for one in self.drifts), f"  {drift.NOTE}."]
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
            "debris": [asdict(one) for one in self.pieces],
            "debris_until": self.pieces_until,
            "drift": [asdict(one) for one in self.drifts],
            "not_bounded": str(self.not_bounded),
            "not_looked_at": list(self.failures),
            "who_looses": {
                "x": self.loosing.x,
                "z": self.loosing.z,
                "lanyard": self.loosing.lanyard,
                "least_lanyard": self.loosing.needed,
            },
            "winding": {
                "sweep": self.winding.sweep,
                "half_width": self.winding.half_width,
                "rope": self.winding.rope,
            },
            "people": [
                {
                    "who": one.who,
                    "x": one.x,
                    "z": one.z,
                    "words": str(one.does),
                    "conflict": str(one.wrong),
                }
                for one in self.people
            ],
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


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"

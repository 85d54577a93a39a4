"""How far shots come down by chance when all goes as planned, and how sure that is.

Near copies of the machine are thrown, as frictions, release, sling and weight scatter from shot to
shot, and each flies on in its own gust, with its own sway and its own later cord. Faults are not
among them: the ground to keep clear does not rest on any of this.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from scipy import stats

from slingwright.amounts import units
from slingwright.amounts.answer import Answer, Row, Table
from slingwright.amounts.text import Amount, Text, form
from slingwright.machine.machine import Machine, moving_table
from slingwright.motion.across import fly_across
from slingwright.motion.spread.scatter import SURE, Quantile, drawn, quantile
from slingwright.motion.spread.uncertain import LEVEL_OF_A_RANGE, Uncertain, near
from slingwright.motion.sweeping import sweep
from slingwright.motion.throwing import throw
from slingwright.standing.drift import cord_speed
from slingwright.standing.ground import Zone, zone_outline
from slingwright.strength.loads.brief import brief_loads, loaded_machine

SHARES = (0.5, 0.9, 0.99, 0.999, 0.9999, 0.99999)
"""Of all shots: half, nine of ten, 99 of 100, and so on to 99,999 of 100,000."""
CONTOURS = SHARES[3:]
COPIES = 100_000
PIECE = 10_000
COLUMNS = (
    *("range", "release_speed", "release_elevation", "release_x", "release_y"),
    *("release_time", "landing_time"),
)
TOLERANCE = 1e-6
"""Relative error in a step: a landing moves by less than 1 mm, and throws are a third quicker."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fallen:
    """Where the copies of one projectile come to lie, bounce and roll included.

    Args:
        near: what a sweep gives for each copy, by column.
        lies: (n, 2) ahead and to the left [m]; NaN where a copy does not land.
    """

    near: Mapping[str, np.ndarray]
    lies: np.ndarray

    @property
    def landed(self) -> np.ndarray:
        """(k, 2) [m] of those that landed."""
        return self.lies[np.isfinite(self.lies[:, 0])]

    def contour(self, share: float, steps: int = 72) -> tuple[np.ndarray, Quantile]:
        """Give the ellipse that a share of the shots lie in, and its size with its error.

        The ellipse is that of the landings' own spread, as large as the share asks for; whatever
        shape the landings have, that share of them lies in it.

        Args:
            share: between 0 and 1.
            steps: points of the outline.

        Returns:
            Outline (steps, 2) [m], and its size in standard deviations with its bounds.

        Source: order statistics of the Mahalanobis distance; middle and spread come from the same
        landings, which matters less than the order's own error from some hundred on.
        """
        size = quantile(self._away()[2], share)
        return self.outline(size.value, steps), size

    def outline(self, size: float, steps: int = 72) -> np.ndarray:
        """Give the ellipse (steps, 2) [m] of a size in standard deviations."""
        middle, root, _ = self._away()
        angle = np.linspace(0.0, 2.0 * math.pi, steps, endpoint=False)
        ring = np.column_stack([np.cos(angle), np.sin(angle)])
        return middle + size * ring @ root.T

    def _away(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        landed = self.landed
        middle = landed.mean(axis=0)
        root = np.linalg.cholesky(np.cov(landed.T) + 1e-12 * np.eye(2))
        return middle, root, np.hypot(*np.linalg.solve(root, (landed - middle).T))


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Chances(Answer):
    """Where shots come to lie, bounce and roll included as the dial `site.run_on` takes them.

    Args:
        machine: the machine.
        loads: name of each projectile, and where its near copies lie.
        run_on: bounce and roll, as a share of the flight: an assumption.
        basis: what the scatter rests on, in words.
    """

    machine: Machine
    loads: tuple[tuple[str, Fallen], ...]
    run_on: float
    basis: str

    def within(self, load: str, share: float) -> tuple[float, float, float]:
        """Give the distance ahead that a share of the shots lie within, and its bounds [m].

        Args:
            load: name of the projectile.
            share: between 0 and 1.
        """
        found = quantile(dict(self.loads)[load].landed[:, 0], share)
        return found.value, found.low, found.high

    def beside(self, load: str, share: float) -> tuple[float, float, float]:
        """Give the distance to either side that a share of the shots lie within [m]."""
        found = quantile(np.abs(dict(self.loads)[load].landed[:, 1]), share)
        return found.value, found.low, found.high

    def past(self, load: str, distance: float) -> tuple[float, float, float]:
        """Give the chance that a shot lies past a distance [m], and what it lies between.

        Source: exact binomial interval (C. J. Clopper and E. S. Pearson, 1934).
        """
        ahead = dict(self.loads)[load].landed[:, 0]
        found = stats.binomtest(int(np.sum(ahead > distance)), len(ahead))
        ends = found.proportion_ci(SURE, method="exact")
        return float(found.statistic), float(ends.low), float(ends.high)

    @property
    def sentence(self) -> Text:
        """The projectile most likely past the clear ground, and how sure that is."""
        limit = self.machine.number("site.limit")
        worst = max((name for name, _ in self.loads), key=lambda name: self.past(name, limit))
        chance, low, high = self.past(worst, limit)
        return form(
            "As planned, {} lies past the clear ground at {:3m} in {:.2g} of all shots ({:.2g} to "
            "{:.2g}), with {:.0f} % of the flight for bounce and roll; faults are not in it"
        )(worst, limit, chance, low, high, 100.0 * self.run_on)

    def rows(self) -> Iterator[Row]:
        """Give, for each projectile, within what distance which share of its shots lies."""
        for name, fallen in self.loads:
            count = len(fallen.lies)
            lost = count - len(fallen.landed)
            yield Row(f"{name}.copies", name, f"{count} near copies, {lost} not released")
            for share in SHARES:
                value, low, high = self.within(name, share)
                side, _, most = self.beside(name, share)
                sure = form("known to within {:3m} and {:3m}")(low, high)
                if not (np.isfinite(high) and np.isfinite(most)):
                    few = form("at least {:3m}: too few copies to bound it, {:,} would")
                    sure = few(low, enough(share))
                label = f"  {100.0 * share:g} % lie within"
                told = form("and {:3m} to either side; {}")(side, sure)
                yield Row(f"{name}.{share}", label, Amount(value, "m", 4), told)

    def contours(self, system: units.System = "metric") -> Table:
        """Give the distances ahead and aside that the shares of `CONTOURS` lie within, with bounds.

        Args:
            system: metric or US units.
        """
        lines: list[tuple[str | Text, ...]] = []
        copies = 0
        for name, fallen in self.loads:
            copies = len(fallen.lies)
            for side, within in (("ahead", self.within), ("to either side", self.beside)):
                cells = []
                for share in CONTOURS:
                    value, low, high = within(name, share)
                    cells.append(
                        form("{:3m} ({:3m} to {:3m})")(value, low, high)
                        if np.isfinite(high)
                        else form("at least {:3m}")(low)
                    )
                lines.append((f"{name}, {side}", *cells))
        caption = form(
            "By chance, all as planned: so many of the shots come to lie within, of {:,} near "
            "copies of each, {}. In brackets what counting leaves open. Assumed: {:.0f} % of the "
            "flight for bounce and roll. Faults are not in it"
        )(copies, self.basis, 100.0 * self.run_on)
        heads = tuple(f"{100.0 * share:g} %" for share in CONTOURS)
        return Table(head=("chance", *heads), lines=tuple(lines), caption=caption, system=system)

    def plot(self, axes: Any = None) -> Any:
        """Draw the contours that 99.9, 99.99 and 99.999 % of the shots lie in, seen from above.

        A dashed one is drawn from too few copies to bound it.

        Args:
            axes: matplotlib axes; a sheet of their own if None.

        Returns:
            The figure.
        """
        if axes is None:
            from matplotlib.figure import Figure

            axes = Figure(figsize=(8.0, 4.0), layout="constrained").subplots()
        for which, (name, fallen) in enumerate(self.loads):
            for share in CONTOURS:
                outline, size = fallen.contour(share)
                x, z = np.vstack([outline, outline[:1]]).T
                style = "-" if np.isfinite(size.high) else "--"
                label = name if share == CONTOURS[0] else None
                axes.plot(x, z, style, color=f"C{which}", linewidth=1.0, label=label)
        axes.axvline(self.machine.number("site.limit"), color="black", linewidth=0.8)
        axes.set(xlabel="ahead of the axle [m]", ylabel="to the left [m]", aspect="equal")
        axes.set_title("99.9, 99.99 and 99.999 % of the shots; dashed: not bounded by the copies")
        axes.legend()
        return axes.figure


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Outline:
    """One closed line of a plan: what kind it is, its name, (k, 2) [m], and what counting leaves.

    Kinds are `keep clear`, `bound`, `simulated`, `assumption` and `chance`; the two ends within
    which a line of chance lies are given where the copies bound it.
    """

    kind: str
    name: str
    points: np.ndarray
    share: float = 0.0
    ends: tuple[np.ndarray, np.ndarray] | None = None


def outlines(found: Zone, likely: Chances | None = None) -> Iterator[Outline]:
    """Give every line of a plan of the ground, each named as what it is.

    Args:
        found: the ground to keep clear.
        likely: where shots lie by chance, where that was worked out.
    """

    def sectors(ahead: float, behind: float, beside: float) -> np.ndarray:
        return zone_outline(ahead, behind, beside, found.sideways, 25)

    yield Outline(kind="keep clear", name="keep clear", points=found.outline())
    if found.unbounded is not None:
        ground = sectors(found.bound, found.bound, found.clear_beside)
        yield Outline(kind="bound", name="bound: by energy", points=ground)
    ahead, behind = max(found.forward, found.reach), max(found.backward, found.reach)
    ground = sectors(ahead, behind, found.reach)
    yield Outline(kind="simulated", name="simulated: longest flights", points=ground)
    on = 1.0 + found.machine.number("site.run_on")
    ground = sectors(on * ahead, on * behind, found.reach)
    yield Outline(kind="assumption", name="assumption: bounce and roll", points=ground)
    for _, fallen in likely.loads if likely is not None else ():
        for share in CONTOURS:
            points, size = fallen.contour(share)
            sure = np.isfinite(size.high)
            yield Outline(
                kind="chance",
                name=f"chance: {100.0 * share:g} %" + ("" if sure else ", at least"),
                points=points,
                share=share,
                ends=(fallen.outline(size.low), fallen.outline(size.high)) if sure else None,
            )


def enough(share: float) -> int:
    """Least copies whose farthest one bounds a share from above, with the confidence `SURE`.

    n = ln((1 - p) / 2) / ln(q)

    Source: order statistics; none of n lies past the quantile with the chance q^n.

    >>> enough(0.999)
    3688
    """
    return math.ceil(math.log(0.5 * (1.0 - SURE)) / math.log(share))


class Copies(Protocol):
    """What near copies of a machine can be drawn from, such as what was learned from shots."""

    @property
    def basis(self) -> str:
        """What it rests on, in words."""

    def copies(self, machine: Machine, n: int, seed: int) -> tuple[dict[str, np.ndarray], Any]:
        """Give the dials of copies by path (n,), and the factor of each one's flight (n,)."""


def chances(
    machine: Machine,
    *,
    n: int = COPIES,
    seed: int = 1,
    uncertain: Sequence[Uncertain] | None = None,
    learned: Copies | None = None,
    going: Callable[[], object] = bool,
) -> Chances:
    """Throw near copies of a machine with every projectile of its brief, and count.

    Args:
        machine: the machine.
        n: near copies for each projectile.
        seed: of the draws.
        uncertain: what the copies differ in; as the tables have it if not given.
        learned: what the copies are drawn from instead, such as a belief.
        going: called every `PIECE` copies; what it raises ends the work.
    """
    unsure = tuple(uncertain) if uncertain is not None else None
    return Chances(
        machine=machine,
        loads=tuple(
            (load.name, _fallen(loaded_machine(machine, load), n, seed, unsure, learned, going))
            for load in brief_loads(machine)
        ),
        run_on=machine.number("site.run_on"),
        basis="scattered as tables and practice have it" if learned is None else learned.basis,
    )


def _fallen(
    machine: Machine,
    n: int,
    seed: int,
    unsure: Sequence[Uncertain] | None,
    learned: Copies | None,
    going: Callable[[], object],
) -> Fallen:
    number, chance = machine.number, np.random.default_rng([seed, 1])
    if learned is not None:
        draws, factor = learned.copies(machine, n, seed)
    else:
        draws, factor = drawn(machine, near(machine) if unsure is None else unsure, n, seed), 1.0
    found: list[Mapping[str, np.ndarray]] = []
    for start in range(0, n, PIECE):
        going()
        piece = {path: values[start : start + PIECE] for path, values in draws.items()}
        some = sweep(machine, piece, grid=False, loads=False, swing_through=0.0,
                     tolerance=TOLERANCE, progress=False)  # fmt: skip
        found.append(some)
    thrown = {name: np.concatenate([one[name] for one in found]) for name in COLUMNS}
    speed, rise = thrown["release_speed"], thrown["release_elevation"]
    gust = chance.standard_normal((n, 2)) * number("site.unsteady") / LEVEL_OF_A_RANGE
    gust += np.column_stack(
        [draws.get("site.wind", np.full(n, number("site.wind"))),
         np.full(n, number("site.crosswind"))]
    )  # fmt: skip
    sway, late = chance.standard_normal((2, n)) / LEVEL_OF_A_RANGE
    aside = speed * np.sin(sway * number("release.sway")) + late * _of_a_cord(machine)
    flew = np.flatnonzero(np.isfinite(thrown["range"]))
    table, _ = moving_table(machine, draws)
    lies = np.full((n, 2), np.nan)
    for rows in np.array_split(flew, max(1, len(flew) // PIECE)):
        going()
        lies[rows] = fly_across(
            table[rows],
            np.column_stack([thrown["release_x"], thrown["release_y"]])[rows],
            np.column_stack([speed * np.cos(rise), speed * np.sin(rise), aside])[rows],
            gust[rows],
            TOLERANCE,
        )[:, :2]
    lies[:, 0] *= factor
    return Fallen(near=thrown, lies=(1.0 + number("site.run_on")) * lies)


def _of_a_cord(machine: Machine) -> float:
    """Speed to the side that one cord later gives the throw as planned [m/s]."""
    done = throw(machine, tolerance=TOLERANCE, swing_through=0.0)
    if done.release is None:
        return 0.0
    at = [int(np.searchsorted(done.time, done.release.time))]
    return float(
        cord_speed(
            machine, done.pouch_tension[at], done.sling_rate[at], np.array([done.release.speed])
        )[0]
    )

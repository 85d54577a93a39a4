"""How far shots come down by chance when all goes as planned, and how sure that is.

Near copies of the machine are thrown, as frictions, release, sling and weight scatter from shot to
shot. Faults are not among them: the ground to keep clear does not rest on any of this.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy import stats

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount, Text, form
from slingwright.machine.machine import Machine
from slingwright.motion.spread.scatter import SURE, Scatter, scatter
from slingwright.strength.brief import brief_loads, loaded_machine

SHARES = (0.5, 0.9, 0.99, 0.999)
"""Of all shots: half, nine of ten, 99 of 100, 999 of 1000."""
COPIES = 2_000


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Chances(Answer):
    """Where shots come to lie, bounce and roll included as the dial `site.run_on` takes them.

    Args:
        machine: the machine.
        loads: name of each projectile, and near copies that threw it.
        run_on: bounce and roll, as a share of the flight: an assumption.
    """

    machine: Machine
    loads: tuple[tuple[str, Scatter], ...]
    run_on: float

    def within(self, load: str, share: float) -> tuple[float, float, float]:
        """Give the distance that a share of the shots lie within, and what it lies between [m].

        Args:
            load: name of the projectile.
            share: between 0 and 1.
        """
        found = dict(self.loads)[load].quantile("range", share)
        low, value, high = (
            (1.0 + self.run_on) * one for one in (found.low, found.value, found.high)
        )
        return value, low, high

    def past(self, load: str, distance: float) -> tuple[float, float, float]:
        """Give the chance that a shot lies past a distance [m], and what it lies between.

        Source: exact binomial interval (C. J. Clopper and E. S. Pearson, 1934).
        """
        ranges = dict(self.loads)[load]["range"]
        ranges = (1.0 + self.run_on) * ranges[np.isfinite(ranges)]
        found = stats.binomtest(int(np.sum(ranges > distance)), len(ranges))
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
        for name, near in self.loads:
            count = near.columns.throws
            lost = count - near.released
            yield Row(f"{name}.copies", name, f"{count} near copies, {lost} not released")
            for share in SHARES:
                value, low, high = self.within(name, share)
                sure = form("known to within {:3m} and {:3m}")(low, high)
                if not np.isfinite(high):
                    sure = form("at least {:3m}: too few copies to bound it")(low)
                label = f"  {100.0 * share:g} % lie within"
                yield Row(f"{name}.{share}", label, Amount(value, "m", 4), sure)


def chances(machine: Machine, *, n: int = COPIES, seed: int = 1) -> Chances:
    """Throw near copies of a machine with every projectile of its brief, and count.

    Args:
        machine: the machine.
        n: near copies for each projectile.
        seed: of the draws.
    """
    return Chances(
        machine=machine,
        loads=tuple(
            (
                load.name,
                scatter(
                    loaded_machine(machine, load), n=n, seed=seed, swing_through=0.0, loads=False
                ),
            )
            for load in brief_loads(machine)
        ),
        run_on=machine.number("site.run_on"),
    )

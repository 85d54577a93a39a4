"""Near copies of a machine thrown beside it: how far apart its throws lie when nothing is changed.

Past the first slack one motion is one sample of many: two copies that differ by a hair part within
a few swings, so that the loads there are told by their spread.
"""

from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Executor
from contextlib import suppress
from dataclasses import dataclass

import numpy as np
from scipy import stats

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount, text
from slingwright.machine.machine import Machine, MachineError
from slingwright.machine.table import dials
from slingwright.motion.spread.uncertain import Uncertain, near
from slingwright.motion.sweeping import UNITS, Columns, sweep

LEVEL = 0.9
"""Share of the copies between the two ends that are given."""
SURE = 0.95
"""Confidence of the interval that a quantile is given with."""
LABELS: Mapping[str, str] = {
    "range": "Range",
    "release_speed": "Release speed",
    "landing_time": "Time from loosing to landing",
    "apex": "Highest point",
    "peak_axle_load": "Peak axle load",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantile:
    """The value that a share of all copies stay below, and between which two it lies.

    `low` and `high` hold the true one with the confidence `SURE`, by the order of the draws alone;
    they are infinite where the draws are too few to bound it.
    """

    share: float
    value: float
    low: float
    high: float


def quantile(draws: np.ndarray, share: float) -> Quantile:
    """Give the value that a share of all draws stay below, with its error; NaN is passed over.

    Source: order statistics; the count of draws below a quantile is binomial (W. J. Conover,
    Practical Nonparametric Statistics, 3rd ed., 1999, 3.2, from memory).

    Raises: ValueError: a share outside 0 to 1, or no draw that is a number.
    """
    if not 0.0 < share < 1.0:
        raise ValueError(f"share is {share!r}; give a number between 0 and 1")
    good = draws[np.isfinite(draws)]
    if not good.size:
        raise ValueError(f"none of {draws.size} copies has it")
    value = float(np.quantile(good, share))
    held = stats.quantile_test(good, q=value, p=share).confidence_interval(SURE)
    low, high = float(held.low), float(held.high)
    return Quantile(
        share=share,
        value=value,
        low=-np.inf if np.isnan(low) else low,
        high=np.inf if np.isnan(high) else high,
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Scatter(Answer):
    """Near copies of a machine and what each of them did.

    `draws` are the dials of the copies by path, `columns` what a sweep gives for them.
    """

    machine: Machine
    uncertain: tuple[Uncertain, ...]
    draws: Mapping[str, np.ndarray]
    columns: Columns
    seed: int

    def __getitem__(self, name: str) -> np.ndarray:
        """Give a column, a value for each copy; NaN where that copy has none."""
        return self.columns[name]

    @property
    def released(self) -> int:
        """How many copies were released."""
        return int(np.sum(self.columns["outcome"] == "released"))

    def quantile(self, name: str, share: float = 0.95) -> Quantile:
        """Give the value of a column that a share of all copies stay below, with its error.

        Raises:
            KeyError: no such column.
            ValueError: a share outside 0 to 1, or no copy that has this number.
        """
        try:
            return quantile(np.asarray(self.columns[name], dtype=float), share)
        except ValueError as error:
            raise ValueError(f"{name}: {error}") from error

    def rows(self) -> Iterator[Row]:
        """Give the middle and the ends of each number that was worked out."""
        for name, label in LABELS.items():
            if name not in self.columns or not np.isfinite(self.columns[name]).any():
                continue
            unit = UNITS[name]
            ends = [self.quantile(name, 0.5 + side * LEVEL / 2.0) for side in (-1.0, 1.0)]
            words: list[str | Amount] = ["nine of ten between "]
            words += [Amount(ends[0].value, unit, 3), " and ", Amount(ends[1].value, unit, 3)]
            if np.isfinite(ends[1].high):
                words += ["; the upper end is known to within "]
                words += [Amount(ends[1].low, unit, 3), " and ", Amount(ends[1].high, unit, 3)]
            yield Row(name, label, Amount(self.quantile(name, 0.5).value, unit, 3), text(*words))

    @property
    def sentence(self) -> str:
        """How many copies there are, and what they differ in."""
        names = ", ".join(dials.dial(one.path).label.lower() for one in self.uncertain)
        count = self.columns.throws
        return f"{count} near copies, {self.released} of them released; they differ in {names}."


def scatter(
    machine: Machine,
    *,
    n: int = 64,
    seed: int = 1,
    uncertain: Sequence[Uncertain] | None = None,
    swing_through: float = 5.0,
    loads: bool = True,
    tolerance: float = 1e-9,
    executor: Executor | None = None,
) -> Scatter:
    """Throw near copies of a machine, as they differ where nothing is changed.

    Args:
        uncertain: what the copies differ in; frictions, release, sling, weight, drag and cords as
            the tables have them if not given; the other options are those of `sweep`.

    Raises: ValueError: fewer than 2 copies.
    """
    if n < 2:
        raise ValueError(f"n is {n}; give 2 or more copies")
    unsure = near(machine) if uncertain is None else tuple(uncertain)
    draws = drawn(machine, unsure, n, seed)
    columns = sweep(machine, draws, grid=False, loads=loads, swing_through=swing_through,
                    tolerance=tolerance, executor=executor, progress=False)  # fmt: skip
    return Scatter(machine=machine, uncertain=unsure, draws=draws, columns=columns, seed=seed)


def drawn(
    machine: Machine, uncertain: Sequence[Uncertain], n: int, seed: int
) -> dict[str, np.ndarray]:
    """Draw the dials of `n` near copies of a machine: path -> (n,), SI."""
    chance = np.random.default_rng(seed)
    draws: dict[str, np.ndarray] = {}
    for one in uncertain:
        value = np.clip(one.mean + one.sd * chance.standard_normal(n), *one.limits)
        setting = machine[one.path]
        start = np.array(setting if isinstance(setting, float) else 0.0)
        dial = dials.dial(one.path)
        low, high = dial.lowest, dial.highest
        draws[one.path] = np.clip(np.array(one.applied(start, value)), low, high)
    return draws


def near_copies(machine: Machine, n: int, seed: int) -> Iterator[Machine]:
    """Give `n` near copies of a machine, or as many of four times that as make a machine."""
    draws = drawn(machine, near(machine), 4 * n, seed)
    made = 0
    for at in range(4 * n):
        with suppress(MachineError):
            yield machine.change({path: float(column[at]) for path, column in draws.items()})
            made += 1
        if made == n:
            return

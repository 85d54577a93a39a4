"""Machines on trial: many at once, held to the limits of ground, axle, crew, height and timber.

Search and tuning both try machines by the hundred; here is what they are asked and what they must
keep to. By how much a limit is passed counts, so that a search finds its way back.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.answer import Row
from slingwright.amounts.text import Amount, Text, joined, text
from slingwright.changing.sensitivity import crank_force
from slingwright.machine.machine import Machine, MachineError
from slingwright.machine.table import dials
from slingwright.motion.sweeping import sweep

END_ALLOWANCE = 0.25  # m, of timber beyond tip seat and hanger pin together: common practice
FAILED = 10.0  # how much a throw that fails counts against the limits
NEAR = 0.005  # share of a limit, or of a bound's span, within which it is held to be reached
DISTURBANCES: Mapping[str, float] = {
    "release.angle": math.radians(1.0),
    "projectile.mass": 0.01,
    "sling.length": 0.005,
    "counterweight.mass": 0.005,
    "trough.friction": 0.05,
    "site.wind": 1.0,
}
"""What differs from shot to shot though nothing was changed, one standard deviation each: the
masses and the sling as a share, the rest in SI. Common practice."""
_SHARES = ("projectile.mass", "sling.length", "counterweight.mass")


class TrialError(ValueError):
    """Bounds or limits that cannot be used; the message names which and what to do."""


def setting_rows(values: Mapping[str, float]) -> Iterator[Row]:
    """Give the settings of a trial, SI by path, a row each."""
    for path, value in values.items():
        row = dials.dial(path)
        yield Row(path, row.label, Amount(value, row.si_unit))


def settings_words(values: Mapping[str, float]) -> Text:
    """Name the settings of a trial in a row of words."""
    return joined(
        (text(one.label.lower(), " ", one.value or "") for one in setting_rows(values)), ", "
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """A dial that may be changed, from `low` to `high`, in SI."""

    path: str
    low: float
    high: float

    def __post_init__(self) -> None:
        row = dials.dial(self.path)
        if row.kind != "number":
            raise TrialError(f"{self.path}: it is no number. Compare its choices as changes.")
        low, high = row.lowest, row.highest
        if not (self.low < self.high and low <= self.low and self.high <= high):
            raise TrialError(
                f"{self.path}: bounds {self.low:g} to {self.high:g}; give a low one below the high "
                f"one, both within {low:g} to {high:g} {row.si_unit}."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What a machine on trial must keep to; None is no limit.

    `farthest` is the end of the clear ground unless given; `stock` holds the lengths of timber
    there are for the arm [m].
    """

    axle_load: float | None = None  # N
    crank_force: float | None = None  # N, of one person
    height: float | None = None  # m, of the tip when the arm stands upright
    farthest: float | None = None  # m
    nearest: float | None = None  # m, the range that must be reached
    stock: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        for name in ("axle_load", "crank_force", "height", "farthest"):
            value = getattr(self, name)
            if value is not None and not value > 0.0:
                raise TrialError(f"limit {name} is {value:g}; give one above 0, or none.")
        if any(not length > 0.0 for length in self.stock):
            raise TrialError(f"stock {self.stock}: every length must be above 0.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """Machines on trial, arrays (n,): what they do, and by how much they pass the limits."""

    range: np.ndarray  # m
    axle_load: np.ndarray  # N
    spread: np.ndarray  # m, of the range from shot to shot; NaN where it was not asked
    crank_force: np.ndarray  # N; NaN where it was not asked
    height: np.ndarray  # m
    timber: np.ndarray  # m, length of the arm's timber
    excess: np.ndarray  # sum of the shares by which limits are passed; 0 is within all of them
    outcome: np.ndarray  # words


def clear_ground(machine: Machine, limits: Limits) -> float:
    """Farthest a trial may throw [m]."""
    return machine.number("site.limit") if limits.farthest is None else limits.farthest


def judge(
    machine: Machine,
    values: Mapping[str, np.ndarray],
    limits: Limits,
    *,
    spread: bool = False,
    loads: bool = True,
) -> Judged:
    """Try machines and hold them to the limits.

    Args:
        machine: what is not varied.
        values: path to values in SI, arrays (n,).
        limits: what to keep to.
        spread: work out the spread of the range from shot to shot too.
        loads: work out the axle load though no limit asks for it.
    """
    rows = {path: np.asarray(column, dtype=float) for path, column in values.items()}
    count = next(iter(rows.values())).size
    loads = loads or limits.axle_load is not None
    thrown = sweep(machine, rows, grid=False, loads=loads, progress=False)
    nothing = np.full(count, math.nan)
    far = thrown["range"]

    def of(path: str) -> np.ndarray:
        return rows[path] if path in rows else np.full(count, machine.number(path))

    tall = of("axle.height") + of("arm.long")
    timber = of("arm.long") + of("arm.short") + END_ALLOWANCE
    crank = _crank(machine, rows, count) if limits.crank_force is not None else nothing
    axle = thrown["peak_axle_load"] if loads else nothing
    excess = np.where(np.isfinite(far), 0.0, FAILED)
    excess += _over(far, clear_ground(machine, limits)) + _over(axle, limits.axle_load)
    excess += _over(tall, limits.height)
    excess += _over(timber, max(limits.stock, default=None))
    if limits.crank_force is not None:
        excess += np.where(np.isfinite(crank), _over(crank, limits.crank_force), FAILED)
    if limits.nearest is not None:
        short = (limits.nearest - far) / max(abs(limits.nearest), 1.0)
        excess += np.where(short > 0.0, short, 0.0)
    return Judged(
        range=far,
        axle_load=axle,
        spread=spread_of(machine, rows) if spread else nothing,
        crank_force=crank,
        height=tall,
        timber=timber,
        excess=excess,
        outcome=thrown["outcome"],
    )


def _over(value: np.ndarray, limit: float | None) -> np.ndarray:
    if limit is None:
        return np.zeros_like(value)
    share = value / limit - 1.0
    return np.where(share > 0.0, share, 0.0)


def _crank(machine: Machine, rows: Mapping[str, np.ndarray], count: int) -> np.ndarray:
    found = np.full(count, math.nan)
    for place in range(count):
        try:
            one = machine.change({path: float(column[place]) for path, column in rows.items()})
        except MachineError:
            continue
        found[place] = crank_force(one)
    return found


def spread_of(machine: Machine, rows: Mapping[str, np.ndarray]) -> np.ndarray:
    """Spread of the range from shot to shot with nothing changed (n,) [m], one standard deviation.

    s^2 = sum over disturbances of ((R(+d) - R(-d)) / 2)^2, NaN where one of the throws fails.

    Args:
        machine: what is not varied.
        rows: path to values in SI, arrays (n,).

    Source: propagation of independent errors to first order, JCGM 100:2008, eq. (10).
    """
    count = next(iter(rows.values())).size
    total = np.zeros(count)
    pieces: dict[str, list[np.ndarray]] = {path: [] for path in {*rows, *DISTURBANCES}}
    for path, size in DISTURBANCES.items():
        for sign in (1.0, -1.0):
            for other, column in pieces.items():
                base = rows.get(other)
                value = np.full(count, machine.number(other)) if base is None else base
                if other == path:
                    value = value * (1.0 + sign * size) if path in _SHARES else value + sign * size
                if other == "trough.friction":
                    value = np.maximum(value, 0.0)
                column.append(value)
    table = {path: np.concatenate(column) for path, column in pieces.items()}
    thrown = sweep(machine, table, grid=False, loads=False, progress=False)
    shaped = thrown["range"].reshape(len(DISTURBANCES), 2, count)
    total = np.sum((0.5 * (shaped[:, 0] - shaped[:, 1])) ** 2, axis=0)
    return np.sqrt(total)


def limited_by(
    machine: Machine,
    bounds: Sequence[Bound],
    point: Sequence[float],
    judged: Judged,
    limits: Limits,
    system: units.System = "metric",
) -> tuple[str, ...]:
    """Name what holds a trial back: limits it has reached, and ends of bounds it stands at."""
    found = []
    wanted = (
        (judged.range, clear_ground(machine, limits), "m", "the clear ground"),
        (judged.axle_load, limits.axle_load, "N", "the axle's limit"),
        (judged.crank_force, limits.crank_force, "N", "the crew's limit"),
        (judged.height, limits.height, "m", "the height"),
        (judged.timber, max(limits.stock, default=None), "m", "the longest timber in stock"),
    )
    for values, limit, unit, words in wanted:
        if limit is not None and values[0] >= (1.0 - NEAR) * limit:
            found.append(f"{words}, {units.text(limit, unit, system)}")
    if limits.nearest is not None and judged.range[0] <= (1.0 + NEAR) * limits.nearest:
        found.append(f"the range to be reached, {units.text(limits.nearest, 'm', system)}")
    for bound, value in zip(bounds, point, strict=True):
        near = NEAR * (bound.high - bound.low)
        row = dials.dial(bound.path)
        for which, end in (("low", bound.low), ("high", bound.high)):
            if abs(value - end) <= near:
                shown = units.text(end, row.si_unit, system)
                found.append(f"{row.label} at its {which} bound, {shown}")
    return tuple(found)


def piece_for(length: float, stock: Sequence[float]) -> float | None:
    """Give the shortest piece in stock that a timber can be cut from, None where there is none.

    >>> piece_for(7.2, [6.0, 7.5, 9.0])
    7.5
    """
    return min((piece for piece in stock if piece >= length - 1e-9), default=None)

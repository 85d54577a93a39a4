"""A load cell's trace: read it, clean it, find its peaks and holds.

A trace says what the rope really carried. Its columns may bear any names, but their units have to
be said: a file that does not say newtons or kilograms-force is not guessed at.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from slingwright.amounts.text import Amount, Text, form
from slingwright.amounts.text import joined as pieces
from slingwright.amounts.text import text as joined
from slingwright.winch.load_cell.numbers import clock, counted, cut, doubts, number, times
from slingwright.winch.load_cell.table import (
    COUNTS,
    FORCE_UNITS,
    MARKS,
    PLACE_UNITS,
    TIME_UNITS,
    TraceError,
    TraceFile,
    cells_of,
    decoded,
    recognise,
    unit_in,
)

__all__ = ["COUNTS", "FORCE_UNITS", "PLACE_UNITS", "TIME_UNITS", "TraceError", "decoded",
           "recognise"]  # fmt: skip

GAP = 5.0  # times the usual step of time is a gap: common practice
REGULAR = 0.9  # of the steps within a tenth of the usual one: the logger keeps its time
LARGEST_NUMBER = 1e15  # in any unit: what is larger is a logger's mark for a bad sample
TARED = 50  # samples from which on it is looked whether the trace starts off zero


@dataclass(frozen=True, slots=True, kw_only=True)
class Shock:
    """A short jerk that cleaning took out of a trace: what was read, and what stands around it."""

    time: float  # s
    force: float  # N, as read
    around: float  # N, median of its neighbours


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadTrace:
    """A trace in SI. Arrays of shape (n,), time rising."""

    time: np.ndarray  # s
    force: np.ndarray  # N
    name: str
    notes: tuple[str, ...] = ()  # what is in doubt, was left out or changed, in words
    peak_as_read: float | None = None  # N, where cleaning lowered the peak
    shocks: tuple[Shock, ...] = ()  # taken out by cleaning, kept as a result of their own
    place: np.ndarray | None = None  # rad or turns, a second channel: how far it is wound
    place_as: str = ""  # which of COUNTS it counts

    @property
    def below(self) -> bool:
        """Whether the force goes farther below 0 than above: a cell wired the other way round."""
        return -float(np.min(self.force)) > float(np.max(self.force))

    @property
    def shock_words(self) -> Text:
        """Say what was taken out, the largest first; nothing if nothing was."""
        largest = sorted(self.shocks, key=lambda one: -abs(one.force - one.around))
        told = [
            form("{:3N} at {:.2f} s, {:3N} around it")(s.force, s.time, s.around) for s in largest
        ]
        more = f" and {len(told) - 3} more" if len(told) > 3 else ""
        return form("{}{}")(pieces(told[:3], "; "), more)

    @property
    def peak(self) -> Text:
        """The highest force, and beside it the highest as read where cleaning lowered it."""
        highest = float(np.max(self.force))
        if self.peak_as_read is None:
            return joined(Amount(highest, "N", 3))
        return form("{:3N} ({:3N} as read)")(highest, self.peak_as_read)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """A stretch of a trace in which the force stood still."""

    start: float  # s
    end: float  # s
    force: float  # N, median


def read_trace(
    source: str | Path,
    *,
    force_unit: str | None = None,
    time_unit: str | None = None,
    time_column: str | int = 0,
    force_column: str | int = 1,
    sign: float = 1.0,
    tare: float = 0.0,
    place_column: str | int | None = None,
    place_unit: str | None = None,
    place_as: str | None = None,
    text: bool = False,
) -> LoadTrace:
    """Read a trace from a CSV file with any column names, separators and decimal commas.

    Args:
        source: path of the file, or the text itself where `text` is true.
        force_unit: one of FORCE_UNITS; None where the column's name says it.
        time_unit: one of TIME_UNITS; None where the column's name says it, or it is a time of day.
        time_column: name or number (from 0) of the column of time.
        force_column: name or number of the column of force.
        sign: -1 for a cell wired the other way round.
        tare: what the cell shows with nothing on it, in the file's unit of force.
        place_column: name or number of a column of the arm's angle or of turns; None: the one whose
            name says it all, if there is one.
        place_unit: deg, rad or turns; None where the column's name says it.
        place_as: which of COUNTS it counts; None where the column's name says it.

    Raises: TraceError: unknown unit or column, a unit that is not said or that the column's name
        contradicts, one column as both, or fewer than three rows that can be read.
    """
    file = recognise(source, text=text)
    name, heads = file.name, file.heads
    at = file.column(time_column), file.column(force_column)
    if at[0] == at[1]:
        raise TraceError(
            f"{name}: column {file.names[at[0]]!r} cannot be both time and force. Choose another."
        )
    if sign not in (1, -1):
        raise TraceError(f"sign {sign:g}: give 1, or -1 for a cell wired the other way round.")
    of_day = at[0] in file.clocked
    scale_time = 1.0
    if not of_day or time_unit not in (None, "s"):
        scale_time = _scale(file, "time_unit", at[0], time_unit, TIME_UNITS)
    if of_day and scale_time != 1.0:
        raise TraceError(f"{name}: {file.names[at[0]]!r} holds times of day: give no time_unit.")
    scale_force = sign * _scale(file, "force_unit", at[1], force_unit, FORCE_UNITS)
    third = _place(file, at, place_column, place_unit, place_as)
    # a bad sample before the first good one has a time, which no names and units have
    has_time = np.isfinite(times(cells_of(heads, at[0]), of_day))
    early = [row for row, timed in zip(heads, has_time, strict=True) if timed]
    named = [row for row in heads if len(row) > 1 and row not in early]
    data = early + file.data
    wide = cut(data, named[-1] if named else ())
    torn = [row for row, is_cut in zip(data, wide, strict=True) if is_cut]
    kept = [row for row, is_cut in zip(data, wide, strict=True) if not is_cut]
    time, force = (times(cells_of(kept, k), of_day and k == at[0]) for k in at)
    good = (np.abs(time) < LARGEST_NUMBER) & (np.abs(force) < LARGEST_NUMBER)
    unread = [kept[k] for k in np.flatnonzero(~good)]
    if good.sum() < 3:
        columns = ", ".join(heads[0]) if heads else "without names"
        raise TraceError(
            f"{name}: {good.sum()} rows have a time and a force, at least 3 are needed. Columns: "
            f"{columns}; name the right ones."
        )
    time, force = time[good] * scale_time, (force[good] - tare) * scale_force
    place = None
    if third is not None:
        column, scale_place, place_as = third
        place = scale_place * times(cells_of(kept, column), False)[good]
        known = np.abs(place) < LARGEST_NUMBER
        if known.sum() < 3:
            raise TraceError(
                f"{name}: {known.sum()} rows have a number in {file.names[column]!r}, at least 3 "
                "are needed. Choose another column for how far it is wound."
            )
        order = np.argsort(time[known], kind="stable")
        place = np.interp(time, time[known][order], place[known][order])
    return LoadTrace(
        place=place,
        place_as=place_as or "" if third is not None else "",
        time=time,
        force=force,
        name=name,
        notes=(
            *doubts([cells_of(data, k) for k in (at[1:] if of_day else at)]),
            *_of_cut(data, torn, named[-1] if named else (), MARKS[file.delimiter]),
            *_of_unread(unread, len(data), at, of_day, scale_force, float(np.max(force))),
            *_of_time(time),
            *_of_force(force, scale_force, file, at[1]),
        ),
    )


def _place(
    file: TraceFile,
    at: tuple[int, int],
    column: str | int | None,
    unit: str | None,
    counts: str | None,
) -> tuple[int, float, str] | None:
    """Column that says how far the machine is wound, its unit in SI, and what it counts."""
    found = file.place_column if column is None else file.column(column)
    if found is None or (column is None and file.place_as(found) is None):
        return None
    if found in at:
        raise TraceError(f"{file.name}: {file.names[found]!r} is time or force already.")
    scale = _scale(file, "place_unit", found, unit, PLACE_UNITS)
    counts = counts if counts is not None else file.place_as(found)
    turns = (unit or file.unit(found, PLACE_UNITS)) == "turns"
    if counts not in (COUNTS[2:] if turns else COUNTS[:2]):
        raise TraceError(
            f"{file.name}: what {file.names[found]!r} counts is not said. Give place_as, one of "
            f"{', '.join(COUNTS[2:] if turns else COUNTS[:2])}."
        )
    return found, scale, counts


def _of_force(force: np.ndarray, scale: float, file: TraceFile, at: int) -> Iterator[str]:
    """Say whether the force reads the other way round, or stands off zero at the start."""
    top, low = float(np.max(force)), float(np.min(force))
    if -low > top:
        yield form(
            "the force goes down to {:3N} and up to {:3N}: read it with sign=-1 if the cell is "
            "wired the other way round"
        )(low, top)
    said = unit_in(file.names[at])
    if said and file.unit(at, FORCE_UNITS) is None:
        yield f"column {file.names[at]!r} says {said!r}, which is no unit of force that is known"
    first = force[: max(5, len(force) // 100)]
    level, whole = float(np.median(first)), top - low
    steady = float(np.ptp(first)) <= 0.01 * whole
    if len(force) >= TARED and steady and 0.02 * whole < abs(level) < 0.3 * max(top, -low):
        yield form(
            "it starts at {:3N}: if nothing hung on the cell then, read it with tare={:.4g}"
        )(level, level / scale)


def _of_cut(
    data: list[list[str]], torn: list[list[str]], names: Sequence[str], mark: str
) -> Iterator[str]:
    """Say which rows a mark inside a number has cut, or that all may be."""
    if torn:
        yield (
            f"{len(torn)} of {counted(len(data), 'row')} left out, a {mark} inside a number cuts "
            f"them: the peak may be there; the first: {' '.join(torn[0])[:40]}. Export with "
            "another separator"
        )
    if not names or min(len(row) for row in data) <= len(names):
        return
    least = min(sum(math.isfinite(number(cell)) for cell in row) for row in data)
    if least > len(names):
        yield (
            f"rows hold {least} numbers or more under {len(names)} names: look whether a {mark} "
            "inside a number was taken to separate columns"
        )


def _of_unread(
    unread: list[list[str]],
    whole: int,
    at: tuple[int, int],
    of_day: bool,
    scale: float,
    highest: float,
) -> Iterator[str]:
    """Say how many rows have no two numbers, and whether the peak may be among them."""
    if not unread:
        return
    words = f"{len(unread)} of {counted(whole, 'row')} without two numbers left out, the first: "
    yield words + " ".join(unread[0])[:40]
    cells = [tuple(row[k] if k < len(row) else "" for k in at) for row in unread]
    forces = [number(force) * scale for _, force in cells]
    known = [force for force in forces if abs(force) < LARGEST_NUMBER * abs(scale)]
    if known and max(known) > highest:
        yield form("the peak may be among them: one reads {:N}, the highest that is kept {:N}")(
            max(known), highest
        )
    lost = sum(
        bool(force) or math.isfinite(clock(time) if of_day else number(time))
        for time, force in cells
        if not abs(number(force)) < LARGEST_NUMBER
    )
    if lost:
        yield f"no force can be read in {lost} of them: the peak may be there"


def _of_time(time: np.ndarray) -> Iterator[str]:
    """Say where the time of a trace stands still, goes back or jumps."""
    steps = np.diff(time)
    still, back = int(np.sum(steps == 0.0)), int(np.sum(steps < 0.0))
    if still:
        yield f"time stands still at {counted(still, 'sample')}"
    if back:
        yield f"time goes back {counted(back, 'time')}: sorted"
    onward = steps[steps > 0.0]
    if not onward.size:
        return
    usual = float(np.median(onward))
    gaps = onward[onward > GAP * usual]
    if gaps.size:
        yield (
            f"time jumps {counted(gaps.size, 'time')}, by {gaps.max():.3g} s at most where "
            f"{usual:.3g} s is usual: what the force did there is not known"
        )
    short = onward[(onward > 1.5 * usual) & (onward <= GAP * usual)]
    if short.size and np.mean(np.abs(onward - usual) < 0.1 * usual) > REGULAR:
        lost = int(np.sum(np.rint(short / usual) - 1.0))
        yield f"{counted(lost, 'sample')} missing at {counted(short.size, 'place')}"


def clean(
    trace: LoadTrace, *, window: int = 11, spike: float = 6.0, rate: float | None = None
) -> LoadTrace:
    """Sort a trace, drop repeated times, take out spikes, and sample it evenly.

    The highest force as read is noted beside the highest that is left, wherever cleaning lowers it.
    A value further than `spike` times the scatter of its neighbours (median of absolute deviations
    over `window` samples, as a standard deviation) from their median takes the median's place.

    Args:
        window: samples looked at for spikes, an odd number of 3 or more.
        spike: how far a value may lie off, in standard deviations.
        rate: samples a second of the result; the median rate of the trace where None.

    Raises: TraceError: window or rate make no sense, or all times are the same.
    """
    if window < 3 or window % 2 == 0:
        raise TraceError(f"window {window}: give an odd number of at least 3 samples.")
    order = np.argsort(trace.time, kind="stable")
    time, first = np.unique(trace.time[order], return_index=True)
    force = trace.force[order][first]
    place = None if trace.place is None else trace.place[order][first]
    notes = list(trace.notes)
    if len(time) < len(trace.time):
        again = counted(len(trace.time) - len(time), "sample")
        notes.append(f"{again} at a time that was there before left out")
    if len(time) < 3:
        raise TraceError(f"{trace.name}: fewer than 3 different times. Check the time column.")
    width = min(window, len(time) - (1 - len(time) % 2))
    padded = np.pad(force, width // 2, mode="edge")
    around = np.lib.stride_tricks.sliding_window_view(padded, width)
    middle = np.median(around, axis=1)
    spread = 1.4826 * np.median(np.abs(around - middle[:, None]), axis=1)
    # a flat neighbourhood has no scatter of its own: one thousandth of the whole is let pass
    floor = 1e-3 * float(np.ptp(np.percentile(force, [5.0, 95.0])))
    off = np.abs(force - middle) > spike * np.maximum(spread, floor)
    if np.any(off):
        notes.append(f"{counted(int(np.sum(off)), 'spike')} replaced")
    as_read = float(np.max(trace.force))
    shocks = tuple(_shocks(time, force, middle, off))
    force = np.where(off, middle, force)
    step = float(np.median(np.diff(time))) if rate is None else 1.0 / rate if rate > 0.0 else 0.0
    if not step > 0.0:
        raise TraceError(f"rate {rate} a second is not above 0.")
    count = math.floor((time[-1] - time[0]) / step + 1e-9) + 1
    if count > 20_000_000:
        raise TraceError(f"{count} samples at this rate. Take a lower rate.")
    even = time[0] + step * np.arange(count)
    evened = np.interp(even, time, force)
    words = "the {} as read is {:N}, {:N} once cleaned: look whether the cell saw it"
    low, low_read = float(np.min(evened)), float(np.min(trace.force))
    if low > low_read and abs(low_read) > abs(as_read):  # of a cell wired the other way round
        notes.insert(0, form(words)("lowest force", low_read, low))
    lowered = float(np.max(evened)) < as_read
    if lowered:
        notes.insert(0, form(words)("peak", as_read, float(np.max(evened))))
    return LoadTrace(
        time=even, force=evened, name=trace.name, notes=tuple(notes),
        peak_as_read=as_read if lowered else trace.peak_as_read, shocks=(*trace.shocks, *shocks),
        place=None if place is None else np.interp(even, time, place), place_as=trace.place_as,
    )  # fmt: skip


def _shocks(
    time: np.ndarray, force: np.ndarray, middle: np.ndarray, off: np.ndarray
) -> Iterator[Shock]:
    """Give each run of samples that stands out, by its farthest sample."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], off, [False])).astype(int)))
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        at = start + int(np.argmax(np.abs(force[start:end] - middle[start:end])))
        yield Shock(time=float(time[at]), force=float(force[at]), around=float(middle[at]))


def peaks(trace: LoadTrace, prominence: float) -> list[tuple[float, float]]:
    """Give time [s] and force [N] of every peak that stands out by a force [N], in order."""
    from scipy.signal import find_peaks

    padded = np.concatenate(([-np.inf], trace.force, [-np.inf]))
    padded[[0, -1]] = np.min(trace.force) - 2.0 * abs(prominence) - 1.0
    found, _ = find_peaks(padded, prominence=prominence)
    return [(float(trace.time[k - 1]), float(trace.force[k - 1])) for k in found]


def holds(trace: LoadTrace, *, tolerance: float, least: float) -> list[Hold]:
    """Find where the force stood still: in any `least` [s] of a hold it keeps within a tolerance.

    Args:
        trace: a clean one, sampled evenly.
        tolerance: from the highest to the lowest force within `least` [N].
        least: shortest hold [s].

    Raises: TraceError: the shortest hold is no longer than the time between two samples.
    """
    from scipy.ndimage import maximum_filter1d, minimum_filter1d

    step = float(trace.time[1] - trace.time[0])
    width = round(least / step) + 1
    if width < 2:
        raise TraceError(f"holds of {least:g} s are shorter than the {step:g} s between samples.")
    if width > len(trace.force):
        return []
    shift = -(width // 2)  # looks at each sample and the ones after it
    highest = maximum_filter1d(trace.force, width, origin=shift)[: len(trace.force) - width + 1]
    lowest = minimum_filter1d(trace.force, width, origin=shift)[: len(trace.force) - width + 1]
    still = np.zeros(len(trace.force) + 1, dtype=int)
    starts = np.flatnonzero(highest - lowest <= tolerance)
    np.add.at(still, starts, 1)
    np.add.at(still, starts + width, -1)
    inside = np.concatenate(([False], np.cumsum(still)[:-1] > 0, [False]))
    first = np.flatnonzero(~inside[:-1] & inside[1:])
    last = np.flatnonzero(inside[:-1] & ~inside[1:]) - 1
    time, force = trace.time, trace.force
    return [
        Hold(start=float(time[a]), end=float(time[b]), force=float(np.median(force[a : b + 1])))
        for a, b in zip(first, last, strict=True)
    ]


def _scale(
    file: TraceFile, what: str, column: int, unit: str | None, known: Mapping[str, float]
) -> float:
    """Give the SI value of a column's unit: the one given, or the one that its name says."""
    said = file.unit(column, known)
    if unit is None and said is None:
        raise TraceError(
            f"{file.name}: the unit of column {file.names[column]!r} is not said. Give {what}, one "
            f"of {', '.join(known)}."
        )
    if unit is not None and unit not in known:
        raise TraceError(f"{what} {unit!r} is not known. Give one of {', '.join(known)}.")
    if unit is not None and said not in (None, unit):
        raise TraceError(
            f"{file.name}: column {file.names[column]!r} is in {said} by its name, and {unit} was "
            f"given. Give {said}, or mend the name in the file."
        )
    return known[unit if unit is not None else str(said)]

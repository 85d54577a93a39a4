"""A load cell's trace: read it, clean it, find its peaks and holds.

A trace says what the rope really carried. Its columns may bear any names, but their units have to
be said: a file that does not say newtons or kilograms-force is not guessed at.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from slingwright.amounts.text import Amount, Text, form
from slingwright.amounts.text import text as joined
from slingwright.winch.load_cell.numbers import counted, cut, doubts, number

FORCE_UNITS = {
    "N": 1.0,
    "daN": 10.0,
    "kN": 1e3,
    "kgf": 9.80665,
    "tf": 9806.65,
    "lbf": 4.4482216152605,
    "kip": 4448.2216152605,
}
TIME_UNITS = {"s": 1.0, "ms": 1e-3, "us": 1e-6, "min": 60.0, "h": 3600.0}
LARGEST_FILE = 200_000_000  # bytes
GAP = 5.0  # times the usual step of time is a gap: common practice
REGULAR = 0.9  # of the steps within a tenth of the usual one: the logger keeps its time
MARKS = {";": "semicolon", "\t": "tab", ",": "comma", " ": "space"}  # between columns
LARGEST_NUMBER = 1e15  # in any unit: what is larger is a logger's mark for a bad sample


class TraceError(ValueError):
    """A trace that cannot be used: says which file, row or column, and what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadTrace:
    """A trace in SI. Arrays of shape (n,), time rising."""

    time: np.ndarray  # s
    force: np.ndarray  # N
    name: str
    notes: tuple[str, ...] = ()  # what is in doubt, was left out or changed, in words
    peak_as_read: float | None = None  # N, where cleaning lowered the peak

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
    force_unit: str,
    time_unit: str,
    time_column: str | int = 0,
    force_column: str | int = 1,
    text: bool = False,
) -> LoadTrace:
    """Read a trace from a CSV file with any column names, separators and decimal commas.

    Args:
        source: path of the file, or the text itself where `text` is true.
        force_unit: one of FORCE_UNITS.
        time_unit: one of TIME_UNITS.
        time_column: name or number (from 0) of the column of time.
        force_column: name or number of the column of force.
        text: `source` is the text.

    Raises:
        TraceError: unknown unit or column, or fewer than three rows that can be read.
    """
    scale_force = _scale("force_unit", force_unit, FORCE_UNITS)
    scale_time = _scale("time_unit", time_unit, TIME_UNITS)
    name = "trace" if text else Path(source).name
    lines = _lines(str(source) if text else _content(Path(source)))
    delimiter = _delimiter(lines)
    rows = _rows(name, lines, delimiter)
    first = _first_data(rows)
    heads = rows[:first]
    at = _column(name, heads, rows, time_column), _column(name, heads, rows, force_column)
    # a bad sample before the first good one has a time, which no names and units have
    early = [row for row in heads if at[0] < len(row) and math.isfinite(number(row[at[0]]))]
    named = [row for row in heads if len(row) > 1 and row not in early]
    data = early + rows[first:]
    wide = cut(data, named[-1] if named else ())
    pairs: list[list[float]] = []
    unread: list[list[str]] = []
    torn = [row for row, is_cut in zip(data, wide, strict=True) if is_cut]
    for row in [row for row, is_cut in zip(data, wide, strict=True) if not is_cut]:
        values = [number(row[k]) if k < len(row) else math.nan for k in at]
        good = all(abs(value) < LARGEST_NUMBER for value in values)
        if good:
            pairs.append(values)
        else:
            unread.append(row)
    if len(pairs) < 3:
        raise TraceError(
            f"{name}: {len(pairs)} rows have a time and a force, at least 3 are needed. Columns: "
            f"{_names(heads)}; name the right ones."
        )
    found = np.array(pairs)
    time, force = found[:, 0] * scale_time, found[:, 1] * scale_force
    return LoadTrace(
        time=time,
        force=force,
        name=name,
        notes=(
            *doubts([[row[k] for row in data if k < len(row)] for k in at]),
            *_of_cut(data, torn, named[-1] if named else (), MARKS[delimiter]),
            *_of_unread(unread, len(data), at, scale_force, float(np.max(force))),
            *_of_time(time),
        ),
    )


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
    unread: list[list[str]], whole: int, at: tuple[int, int], scale: float, highest: float
) -> Iterator[str]:
    """Say how many rows have no two numbers, and whether the peak may be among them."""
    if not unread:
        return
    words = f"{len(unread)} of {counted(whole, 'row')} without two numbers left out, the first: "
    yield words + " ".join(unread[0])[:40]
    cells = [tuple(row[k] if k < len(row) else "" for k in at) for row in unread]
    forces = [number(force) * scale for _, force in cells]
    known = [force for force in forces if abs(force) < LARGEST_NUMBER * scale]
    if known and max(known) > highest:
        yield form("the peak may be among them: one reads {:N}, the highest that is kept {:N}")(
            max(known), highest
        )
    lost = sum(
        bool(force) or math.isfinite(number(time))
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


def column_names(text: str) -> list[str]:
    """Give the names of a trace's columns, or "column 1" and so on where it has none.

    Raises:
        TraceError: the text is empty or no table.

    >>> column_names("t;pull [kgf]\\n0,0;1,5\\n1,0;1,6")
    ['t', 'pull [kgf]']
    >>> column_names("0 1.5\\n1 1.6")
    ['column 1', 'column 2']
    """
    lines = _lines(text)
    delimiter = _delimiter(lines)
    rows = _rows("trace", lines, delimiter)
    first = _first_data(rows)
    heads = [row for row in rows[:first] if len(row) >= 2]
    head = heads[0] if heads else []
    wide = max(len(row) for row in rows[: first + 1])
    return [head[k] if k < len(head) and head[k] else f"column {k + 1}" for k in range(wide)]


def clean(
    trace: LoadTrace, *, window: int = 11, spike: float = 6.0, rate: float | None = None
) -> LoadTrace:
    """Sort a trace, drop repeated times, take out spikes, and sample it evenly.

    The highest force as read is noted beside the highest that is left, wherever cleaning lowers it.
    A value further than `spike` times the scatter of its neighbours (median of absolute deviations
    over `window` samples, as a standard deviation) from their median takes the median's place.

    Args:
        trace: as read.
        window: samples looked at for spikes, an odd number of 3 or more.
        spike: how far a value may lie off, in standard deviations.
        rate: samples a second of the result; the median rate of the trace where None.

    Raises:
        TraceError: window or rate make no sense, or all times are the same.
    """
    if window < 3 or window % 2 == 0:
        raise TraceError(f"window {window}: give an odd number of at least 3 samples.")
    order = np.argsort(trace.time, kind="stable")
    time, first = np.unique(trace.time[order], return_index=True)
    force = trace.force[order][first]
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
        time=even,
        force=evened,
        name=trace.name,
        notes=tuple(notes),
        peak_as_read=as_read if lowered else trace.peak_as_read,
    )


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

    Raises:
        TraceError: the shortest hold is no longer than the time between two samples.
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
    return [
        Hold(
            start=float(trace.time[a]),
            end=float(trace.time[b]),
            force=float(np.median(trace.force[a : b + 1])),
        )
        for a, b in zip(first, last, strict=True)
    ]


def _scale(what: str, unit: str, known: dict[str, float]) -> float:
    """Give a unit's SI value."""
    if unit not in known:
        raise TraceError(f"{what} {unit!r} is not known. Give one of {', '.join(known)}.")
    return known[unit]


def _content(path: Path) -> str:
    """Read a file's text, refusing what is not there, too large, or no text."""
    try:
        size = path.stat().st_size
        if size > LARGEST_FILE:
            raise TraceError(
                f"{path.name} has {size / 1e6:.0f} MB, at most {LARGEST_FILE / 1e6:.0f} are read. "
                "Cut it to the winding."
            )
        return path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise TraceError(
            f"{path.name} cannot be read: {error}. Save it as CSV in UTF-8."
        ) from error


def _lines(text: str) -> list[str]:
    """Give the lines that hold something and are no comment."""
    kept = [
        line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")
    ]
    if not kept:
        raise TraceError("the trace is empty. Export it again.")
    return kept


def _delimiter(lines: list[str]) -> str:
    """Find what separates the columns: a semicolon or a tab before a comma, then spaces.

    Spaces also where every comma may be a decimal one: in `1 900,5` two numbers are set apart.
    """
    sample = lines[-min(len(lines), 50) :]
    for mark in (";", "\t"):
        if all(mark in line for line in sample):
            return mark
    apart = all(sum(math.isfinite(number(cell)) for cell in line.split()) > 1 for line in sample)
    return "," if all("," in line for line in sample) and not apart else " "


def _rows(name: str, lines: list[str], delimiter: str) -> list[list[str]]:
    """Cut the lines into cells."""
    if delimiter == " ":
        return [line.split() for line in lines]
    try:
        return [[c.strip() for c in row] for row in csv.reader(lines, delimiter=delimiter)]
    except csv.Error as error:
        raise TraceError(f"{name} is not a table: {error}. Export it again as CSV.") from error


def _first_data(rows: list[list[str]]) -> int:
    """Find the first row with two numbers or more; what stands above it are names and units."""
    for k, row in enumerate(rows):
        if sum(math.isfinite(number(cell)) for cell in row) >= 2:
            return k
    return len(rows)


def _names(heads: list[list[str]]) -> str:
    """Tell the columns of a trace, by its first row of names."""
    return ", ".join(heads[0]) if heads else "without names"


def _column(name: str, heads: list[list[str]], rows: list[list[str]], wanted: str | int) -> int:
    """Give the number of a column by its number or by its name in any row above the data."""
    if isinstance(wanted, int):
        if not 0 <= wanted < max(len(row) for row in rows):
            raise TraceError(f"{name} has no column {wanted}, counted from 0.")
        return wanted
    for head in reversed(heads):
        folded = [known.lower() for known in head]
        if wanted.lower() in folded:
            return folded.index(wanted.lower())
    raise TraceError(f"{name} has no column {wanted!r}; its columns: {_names(heads)}.")

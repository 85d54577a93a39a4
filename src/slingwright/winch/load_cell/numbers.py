"""The numbers and times of a load cell's file: which sign is the decimal one, what is in doubt."""

from __future__ import annotations

import contextlib
import math
import re
from collections import Counter
from collections.abc import Sequence

import numpy as np

_SPACES = "'\u2019 \u00a0\u2009\u202f"  # apostrophes, and the spaces that set off thousands
_POINTED = re.compile(rf"[+-]?\d{{1,3}}(?:[,{_SPACES}]\d{{3}})+\.\d*")  # 1,234.5 and 1'234.5
_COMMAED = re.compile(rf"[+-]?\d{{1,3}}(?:[.{_SPACES}]\d{{3}})+,\d*")  # 1.234,5 and 1 234,5
_GROUPED = re.compile(  # 1'234 and 1,234,567: two marks of one kind set off thousands
    rf"[+-]?\d{{1,3}}(?:(?:[{_SPACES}]\d{{3}})+|(?:,\d{{3}}){{2,}}|(?:\.\d{{3}}){{2,}})"
)
_LAKHS = re.compile(r"[+-]?\d{1,2}(?:,\d{2})+,\d{3}(?:\.\d*)?")  # 1,23,456.7, as in India
_CLOCK = re.compile(  # 12:00:01,5 and 12:00, with a date before it or without
    r"(?:(?P<day>\d{1,4}[-./]\d{1,2}[-./]\d{1,4})[T ]+)?(?P<h>\d{1,2}):(?P<m>[0-5]?\d)"
    r"(?::(?P<s>[0-5]?\d(?:[.,]\d*)?))?(?:Z|[+-]\d\d:?\d\d)?"
)
DAY = 86400.0  # s
_ONE_COMMA = re.compile(r"[+-]?\d*,\d*(?:[eE][+-]?\d+)?")
_TWO_WAYS = re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}")
_WHOLE = re.compile(r"[+-]?\d{2,}")
_MARKS = re.compile(rf"[.,{_SPACES}]")
_MARKED = re.compile(r"[,'_ ]|\..*\.")  # what float alone would refuse, or read otherwise


def number(cell: str) -> float:
    """Give a cell's number, or not-a-number; one comma alone is a decimal comma.

    >>> number("1.234,5"), number("1,234.5"), number("1'234.5"), number("1 234,5")
    (1234.5, 1234.5, 1234.5, 1234.5)
    >>> number("12,5"), number("1,234,567"), number("1,23,4")
    (12.5, 1234567.0, nan)
    >>> number("1,23,456.7"), number("1_0")
    (123456.7, nan)
    """
    plain = cell.strip().replace("\N{MINUS SIGN}", "-")
    if plain.isascii() and not _MARKED.search(plain):
        with contextlib.suppress(ValueError):
            return float(plain)
        return math.nan
    if _LAKHS.fullmatch(plain):
        plain = plain.replace(",", "")
    elif _GROUPED.fullmatch(plain):
        plain = _MARKS.sub("", plain)
    elif _POINTED.fullmatch(plain):
        whole, part = plain.split(".")
        plain = f"{_MARKS.sub('', whole)}.{part}"
    elif _COMMAED.fullmatch(plain):
        whole, part = plain.split(",")
        plain = f"{_MARKS.sub('', whole)}.{part}"
    elif _ONE_COMMA.fullmatch(plain):
        plain = plain.replace(",", ".")
    try:
        return float(plain) if "_" not in plain else math.nan
    except ValueError:
        return math.nan


def clock(cell: str) -> float:
    """Give a time of day [s], the date before it left aside, or not-a-number.

    >>> clock("12:00:01,5"), clock("2026-05-01T00:01:00Z"), clock("12.5")
    (43201.5, 60.0, nan)
    """
    found = _CLOCK.fullmatch(cell.strip())
    if found is None or int(found["h"]) > 24:
        return math.nan
    seconds = float((found["s"] or "0").replace(",", "."))
    return 3600.0 * int(found["h"]) + 60.0 * int(found["m"]) + seconds


def times(cells: Sequence[str], of_day: bool) -> np.ndarray:
    """Give the numbers of some cells, or their times of day made to go on past midnight [s].

    A day more is counted at each new date, and where no date stands, where half a day is lost.
    """
    if not of_day:
        plain = [cell.replace(",", ".") for cell in cells]
        try:  # all at once where there is nothing but plain numbers
            found = np.array(plain, dtype=str).astype(float)
        except ValueError:
            return np.array([number(cell) for cell in cells])
        return np.array([number(cell) for cell in cells]) if "_" in "".join(plain) else found
    day, before, last, said = 0.0, "", 0.0, []
    for cell in cells:
        now = clock(cell)
        if math.isfinite(now):
            date = (_CLOCK.fullmatch(cell.strip()) or {"day": ""})["day"] or ""
            if (date and before and date != before) or (not date and now < last - 0.5 * DAY):
                day += DAY
            before, last = date or before, now
        said.append(day + now)
    return np.array(said)


def counted(count: int, thing: str) -> str:
    """Give a count with its thing in the singular or the plural.

    >>> counted(1, "row"), counted(3, "row")
    ('1 row', '3 rows')
    """
    return f"{count} {thing}{'' if count == 1 else 's'}"


def doubts(columns: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """Say what numbers can be read as beside what they were read as, with the counts.

    A comma before three digits is in doubt unless another one proves to be a decimal comma; a point
    only where whole numbers stand in its column, for many loggers write three decimals.

    Args:
        columns: cells of a file's column of time and of its column of force.

    >>> doubts([["1,015", "1,020"]])
    ('2 numbers such as 1,015 can be read two ways: read as 1.015, not as 1015',)
    >>> doubts([["950", "1.015", "990"]])
    ('1 number such as 1.015 can be read two ways: read as 1.015, not as 1015',)
    >>> doubts([["0,9", "1,015"]]), doubts([["10", "20"], ["1.015", "1.020"]])
    ((), ())
    """
    all_commas, all_points, found = [], [], []
    commas = any("," in cell for cells in columns for cell in cells)
    for cells in columns:
        points = [cell for cell in cells if "." in cell]
        if not commas and not (points and all(map(_TWO_WAYS.fullmatch, points))):
            continue
        read = [one.strip() for one in cells if math.isfinite(number(one))]
        plain = [one for one in read if not _GROUPED.fullmatch(one)]
        all_commas += [one for one in plain if "," in one and "." not in one]
        points = [one for one in plain if "." in one and "," not in one and "'" not in one]
        all_points += points
        if any(_WHOLE.fullmatch(one) for one in plain):
            found += _two_ways(points)
    found = _two_ways(all_commas) + found
    if all_commas and all_points:
        found.append(
            f"decimal signs are mixed: {counted(len(all_commas), 'number')} with a comma, such as "
            f"{all_commas[0]}, and {len(all_points)} with a point, such as {all_points[0]}"
        )
    return tuple(found)


def _two_ways(marked: Sequence[str]) -> list[str]:
    """Say it where every one of some numbers can be read with a decimal sign or with thousands."""
    if not marked or not all(_TWO_WAYS.fullmatch(one) for one in marked):
        return []
    first = marked[0]
    return [
        f"{counted(len(marked), 'number')} such as {first} can be read two ways: read as "
        f"{first.replace(',', '.')}, not as {_MARKS.sub('', first)}"
    ]


def cut(rows: Sequence[Sequence[str]], heads: Sequence[str]) -> list[bool]:
    """Find the rows that hold more numbers than there are columns, by a mark inside a number.

    Such as `1,1,015` beside `0,950`: a thousand's comma that was taken to separate columns.

    Args:
        heads: names of the columns, where the file has any.

    Returns: True where a row is cut, for each row.

    >>> cut([["0", "950"], ["1", "1", "015"], ["2", "990"]], [])
    [False, True, False]
    >>> cut([["0", "950", "hook set"], ["1", "990"]], ["t", "pull"])
    [False, False]
    """
    if len({len(row) for row in rows}) < 2:
        return [False] * len(rows)
    sizes = [_numbers(row) for row in rows]
    full = [size for size in sizes if size]
    usual = Counter(full).most_common(1)[0][0] if full else 0
    fit = sum(size <= len(heads) for size in full)
    if len(heads) > 1 and fit > max(1.0, 0.01 * len(full)):  # else these were no names of columns
        usual = len(heads)
    return [size > usual for size in sizes]


def _numbers(row: Sequence[str]) -> int:
    at = [k + 1 for k, cell in enumerate(row) if math.isfinite(number(cell))]
    return at[-1] if at else 0

"""The numbers of a load cell's file: which sign is the decimal one, and what is in doubt."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

_POINTED = re.compile(r"[+-]?\d{1,3}(?:[,']\d{3})+\.\d*")  # 1,234.5 and 1'234.5
_COMMAED = re.compile(r"[+-]?\d{1,3}(?:[.']\d{3})+,\d*")  # 1.234,5
_GROUPED = re.compile(r"[+-]?\d{1,3}(?:'\d{3})+")
_ONE_COMMA = re.compile(r"[+-]?\d*,\d*(?:[eE][+-]?\d+)?")
_TWO_WAYS = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")


def number(cell: str) -> float:
    """Give a cell's number, or not-a-number; one comma alone is a decimal comma.

    >>> number("1.234,5"), number("1,234.5"), number("1'234.5"), number("12,5")
    (1234.5, 1234.5, 1234.5, 12.5)
    """
    plain = cell.strip().replace("\N{MINUS SIGN}", "-")
    if _POINTED.fullmatch(plain) or _GROUPED.fullmatch(plain):
        plain = plain.replace(",", "").replace("'", "")
    elif _COMMAED.fullmatch(plain):
        plain = plain.replace(".", "").replace("'", "").replace(",", ".")
    elif _ONE_COMMA.fullmatch(plain):
        plain = plain.replace(",", ".")
    try:
        return float(plain) if "_" not in plain else math.nan
    except ValueError:
        return math.nan


def doubts(cells: Sequence[str]) -> tuple[str, ...]:
    """Say what a column's numbers can be read as beside what they were read as, with the counts.

    >>> doubts(["1,015", "1,020"])
    ('2 numbers such as 1,015 can be read two ways: read as 1.015, not as 1015',)
    >>> doubts(["0,9", "1,015"])
    ()
    """
    commas = [one.strip() for one in cells if "," in one and "." not in one]
    points = [one for one in cells if "." in one and "," not in one and "'" not in one]
    found = []
    if commas and all(_TWO_WAYS.fullmatch(one) for one in commas):
        first = commas[0]
        found.append(
            f"{len(commas)} numbers such as {first} can be read two ways: read as "
            f"{first.replace(',', '.')}, not as {first.replace(',', '')}"
        )
    if commas and points:
        found.append(
            f"decimal signs are mixed: {len(commas)} numbers with a comma, such as {commas[0]}, "
            f"and {len(points)} with a point, such as {points[0].strip()}"
        )
    return tuple(found)

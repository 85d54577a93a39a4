"""Figures as a person reads them, and a short list of answers as words and as a table."""

from __future__ import annotations

import html
import math
from dataclasses import dataclass

from slingwright.amounts import units

NOTHING = "\N{EN DASH}"
MINUS = "\N{MINUS SIGN}"
SOME = 1e-9  # a change smaller than this share of the value is told as none


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One answer: a value in SI with its unit, or None with the reason in `note`."""

    key: str
    label: str
    value: float | None
    unit: str
    note: str = ""
    digits: int = 3

    def text(self, system: units.System = "metric") -> str:
        """Write the value with its unit, or a dash.

        >>> Reading(key="range", label="Range", value=212.34, unit="m").text()
        '212 m'
        """
        if self.value is None or not math.isfinite(self.value):
            return NOTHING
        if self.unit == "share":
            return f"{100.0 * self.value:.1f} %"
        return figures(self.value, self.unit, system, self.digits)

    def change_from(self, other: Reading, system: units.System = "metric") -> str:
        """Write the difference to another reading of the same key, with its sign.

        >>> now = Reading(key="range", label="Range", value=212.0, unit="m")
        >>> now.change_from(Reading(key="range", label="Range", value=200.0, unit="m"))
        '+12 m (+6.0 %)'
        """
        if self.value is None or other.value is None:
            return "no comparison" if (self.value is None) != (other.value is None) else ""
        gap = self.value - other.value
        if abs(gap) <= SOME * max(abs(self.value), abs(other.value)):
            return "no change"
        sign = "+" if gap > 0.0 else MINUS
        if self.unit == "share":
            return f"{sign}{100.0 * abs(gap):.1f} points"
        size = figures(abs(gap), self.unit, system, 2)
        if other.value == 0.0 or self.unit == "rad":
            return f"{sign}{size}"
        return f"{sign}{size} ({sign}{100.0 * abs(gap / other.value):.1f} %)"


def figures(value: float, unit: str, system: units.System = "metric", digits: int = 3) -> str:
    """Write a value held in SI to a few figures, trailing noughts kept, with its unit.

    >>> figures(15_123.0, "N")
    '15.1 kN'
    >>> figures(15_123.0, "N", "US")
    '3,400 lbf'
    >>> figures(0.0, "m")
    '0 m'
    """
    if not math.isfinite(value):
        return "no finite value"
    number, label = units.shown(value, unit, system)
    if number == 0.0:
        return f"0 {label}"
    size = math.floor(math.log10(abs(number)) + 1e-12)
    if not -5 < size < 15:
        return f"{number:.{digits - 1}e} {label}"
    rounded = round(number, digits - 1 - size)
    text = f"{rounded:,.{max(0, digits - 1 - size)}f} {label}"
    return text.replace("-", MINUS, 1) if rounded < 0.0 else text


def in_words(rows: tuple[Reading, ...], sentence: str, system: units.System = "metric") -> str:
    """Say the answers in one paragraph, for those who hear the page."""
    told = [
        f"{row.label} {row.text(system)}{', ' + row.note if row.note else ''}"
        for row in rows
        if row.value is not None
    ]
    return " ".join([sentence, ". ".join(told) + "." if told else ""]).strip()


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsTable:
    """The readings as a plain table that print and static pages keep."""

    rows: tuple[Reading, ...]
    sentence: str
    system: units.System = "metric"

    def _repr_html_(self) -> str:
        body = "".join(
            f"<tr><th scope='row' style='text-align:left'>{html.escape(row.label)}</th>"
            f"<td style='text-align:right'>{html.escape(row.text(self.system))}</td>"
            f"<td style='text-align:left'>{html.escape(row.note)}</td></tr>"
            for row in self.rows
        )
        return (
            f"<table><caption style='text-align:left'>{html.escape(self.sentence)}</caption>"
            f"<tbody>{body}</tbody></table>"
        )

    def __str__(self) -> str:
        wide = max(len(row.label) for row in self.rows)
        lines = [f"{r.label:<{wide}}  {r.text(self.system):>10}  {r.note}" for r in self.rows]
        return "\n".join([self.sentence, *(line.rstrip() for line in lines)])

    __repr__ = __str__

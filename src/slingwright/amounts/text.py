"""Words with amounts in them, kept apart until someone reads them in a system of units."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from string import Formatter
from typing import Any

from slingwright.amounts import units
from slingwright.amounts.figures import NOTHING, figures


@dataclass(frozen=True, slots=True)
class Amount:
    """A value in SI with its unit and the number of figures that it is worth.

    "-" is a plain number, and "share" is shown in per cent. No figures at all means rounded up to a
    whole unit, as a distance to keep clear is. It is shown in the unit that suits its size, or that
    of the value `beside` it.
    """

    value: float
    unit: str
    digits: int = 4
    beside: float | None = None

    def told(self, system: units.System = "metric") -> str:
        """Write the amount for a reader.

        >>> Amount(12_345.0, "N").told(), Amount(12_345.0, "N", 3).told("US")
        ('12.35 kN', '2,780 lbf')
        >>> Amount(0.8468, "share", 3).told(), Amount(2.0e-4, "m^3").told()
        ('84.7 %', '200,000 mm^3')
        >>> Amount(324.2, "m", 0).told(), Amount(324.2, "m", 0).told("US")
        ('325 m', '1,064 ft')
        """
        if math.isnan(self.value):
            return NOTHING
        if self.unit == "share":
            return f"{100.0 * self.value:.{max(0, self.digits - 2)}f} %"
        if self.unit == "-":
            return f"{float(f'{self.value:.{min(self.digits, 3)}g}'):,.10g}"
        if self.beside and math.isfinite(self.beside):
            number, label = units.shown(self.beside, self.unit, system)
            own = float(f"{self.value * number / self.beside:.{self.digits}g}")
            return f"{own:,.10g} {label}".replace("-", "\N{MINUS SIGN}")
        if self.digits == 0:
            one, label = units.factor(self.unit, system)
            return f"{math.ceil(self.value / one - 1e-9):,} {label}"
        if self.digits == 4 and math.isfinite(self.value):
            return units.text(self.value, self.unit, system)
        return figures(self.value, self.unit, system, self.digits)

    def __str__(self) -> str:
        return self.told()


class Text(str):
    """Words with amounts in them: a `str` in metric units that `told` gives in others."""

    __slots__ = ("parts",)
    parts: tuple[str | Amount, ...]

    def __new__(cls, parts: Iterable[str | Amount] = ()) -> Text:
        """Join words and amounts; a Text among them gives its own parts."""
        flat: list[str | Amount] = []
        for part in parts:
            flat.extend(part.parts if isinstance(part, Text) else (part,) if part else ())
        made = super().__new__(cls, "".join(str(part) for part in flat))
        made.parts = tuple(flat)
        return made

    def told(self, system: units.System = "metric") -> str:
        """Give the words in a reader's units.

        >>> text("It lands ", Amount(110.6, "m"), " away.").told("US")
        'It lands 362.9 ft away.'
        """
        return "".join(p.told(system) if isinstance(p, Amount) else p for p in self.parts)

    def __add__(self, more: str) -> Text:
        return Text((self, more))

    def __radd__(self, before: str) -> Text:
        return Text((before, self))

    def __reduce__(self) -> tuple[Any, ...]:
        return (Text, (self.parts,))


def text(*parts: str | Amount) -> Text:
    """Join words and amounts, in order.

    >>> text("pull ", Amount(864.0, "N"), " at the hook")
    'pull 864 N at the hook'
    """
    return Text(parts)


def form(template: str) -> Callable[..., Text]:
    """Give what fills a template: the unit of a field in place of its format makes an amount.

    A digit before the unit is the number of figures. Formats of numbers, "g" and such as ".2f",
    write a plain number.

    >>> form("F = {:g} x {:N}, {:3m} {}")(1.5, 12_345.0, 1.234, "early").told("US")
    'F = 1.5 x 2,775 lbf, 4.05 ft early'
    """

    def fill(*values: Any) -> Text:
        parts: list[str | Amount] = []
        rest = iter(values)
        for words, field, unit, _ in Formatter().parse(template):
            parts.append(words)
            if field is not None:
                parts.append(_filled(next(rest), unit or ""))
        return Text(parts)

    return fill


def _filled(value: Any, unit: str) -> str | Amount:
    if isinstance(value, str | Amount) and not unit:
        return value
    if not unit or unit == "g" or unit[0] in ".,":
        return format(value, unit)
    digits = unit[0] if unit[0].isdigit() else "4"
    return Amount(float(value), unit.removeprefix(digits), int(digits))


def span(low: float, high: float, unit: str, digits: int = 3) -> Text:
    """Write two values as a range, both in the unit that the larger one has.

    >>> span(960.0, 1050.0, "kg"), span(0.31, 0.35, "-")
    ('0.96 t to 1.05 t', '0.31 to 0.35')
    """
    large = None if unit in ("-", "share") else max(low, high, key=abs)
    return text(Amount(low, unit, digits, large), " to ", Amount(high, unit, digits, large))


def alike(*amounts: Amount | str) -> tuple[Amount | str, ...]:
    """Give amounts of one kind with three figures each, in the unit that the largest has.

    Words among them, such as "not known", stay as they are.

    >>> [told(one) for one in alike(Amount(859.0, "N"), Amount(1310.0, "N"), "not known")]
    ['0.859 kN', '1.31 kN', 'not known']
    """
    finite = [a for a in amounts if isinstance(a, Amount) and math.isfinite(a.value)]
    large = max((abs(one.value) for one in finite), default=None)
    return tuple(replace(a, digits=3, beside=large) if a in finite else a for a in amounts)


def joined(pieces: Iterable[str], between: str = " ") -> Text:
    """Join pieces of text with words between, as `str.join` does.

    >>> joined([text(Amount(1.0, "m")), text(Amount(2.0, "m"))], ", ").told("US")
    '3.281 ft, 6.562 ft'
    """
    parts: list[str] = []
    for piece in pieces:
        parts.extend((between, piece) if parts else (piece,))
    return Text(parts)


def told(words: str | Amount, system: units.System = "metric") -> str:
    """Give words or an amount in a reader's units; plain words stay as they are."""
    return words.told(system) if isinstance(words, Amount | Text) else words

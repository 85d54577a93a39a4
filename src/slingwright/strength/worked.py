"""A formula worked out: its equation, what goes in, what comes out, and where it is from."""

from __future__ import annotations

import dataclasses
import difflib
import functools
import importlib
import inspect
import math
import numbers
import pkgutil
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from slingwright import formulas
from slingwright.amounts import units
from slingwright.amounts.answer import Answer, Cell, Row
from slingwright.amounts.text import Amount

_GREEK = "alpha|beta|gamma|delta|epsilon|eta|lambda|mu|omega|phi|rho|sigma|tau|theta"
_SYMBOL = re.compile(rf"(?:[A-Za-z][0-9]?'?|(?:[A-Za-z]|{_GREEK})_[A-Za-z0-9,]+|{_GREEK})")
_SHOWN = {"m", "N", "N m", "Pa", "kg", "s", "J", "rad", "m/s", "W", "-"}
"""Units that are told in either system; all others stand as in the formula."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Worked(Answer):
    """A formula with numbers in it.

    `equation` and `source` are the formula's own words; `given` and `results` one row a number.
    """

    name: str
    words: str
    equation: str
    given: tuple[Row, ...]
    results: tuple[Row, ...]
    source: str
    value: Any

    @property
    def sentence(self) -> str:
        """What is worked out, by which equation, from where."""
        parts = (self.words, self.equation, self.source)
        return " ".join(part if part.endswith(".") else f"{part}." for part in parts if part)

    def rows(self) -> Iterator[Row]:
        """Give what goes in, then what comes out."""
        yield from self.given
        yield from self.results


def worked(formula: str, *arguments: Any, **options: Any) -> Worked:
    """Work a formula out and show its equation, its numbers with their units, and its source.

    Args:
        formula: the formula's name, as "axle_moment".
        arguments: what it takes, in its order: numbers in SI, or texts with a unit ("12 kN").
        options: the same by name.

    Raises:
        ValueError: no formula has that name, an argument is missing, is not one of its own, is no
            number or has a wrong unit, or the formula refuses a value.
    """
    function = _formula(formula)
    try:
        taken = inspect.signature(function).bind(*arguments, **options)
    except TypeError as error:
        asked = ", ".join(inspect.signature(function).parameters)
        raise ValueError(f"{formula}: {error}; it takes {asked}") from None
    text = inspect.getdoc(function) or ""
    for name, one in taken.arguments.items():
        if "float" in str(taken.signature.parameters[name].annotation):
            taken.arguments[name] = _number(name, one, _unit(_entry(text, name)))
    taken.apply_defaults()
    value = function(*taken.args, **taken.kwargs)
    words, _, equation = text.split("\n\nArgs:")[0].partition("\n\n")
    symbols = symbols_of(text, list(taken.arguments))
    given = tuple(
        Row(name, _label(name, entry), _cell(one, _unit(entry)), symbols.get(name, ""))
        for name, one in taken.arguments.items()
        for entry in (_entry(text, name),)
    )
    returned = _section(text, "Returns")
    return Worked(
        name=formula,
        words=_flat(words),
        equation=_flat(equation),
        given=given,
        results=tuple(_results(value, returned)),
        source=f"Source: {_section(text, 'Source')}",
        value=value,
    )


def symbols_of(text: str, names: list[str]) -> dict[str, str]:
    """Give the symbol of each argument: the word before its unit, or else a lone one before it.

    Args:
        text: a formula's docstring.
        names: names of its arguments.
    """
    above = set(re.findall(r"[A-Za-z][A-Za-z_0-9,']*", text.split("Args:")[0]))
    above |= {one.rstrip(",") for one in above}
    found = {}
    for name in names:
        before = _entry(text, name).split("[")[0].split()
        words = [word.rstrip(",;:") for word in before]
        seen = [i for i, word in enumerate(words) if _SYMBOL.fullmatch(word) and word in above]
        if seen:
            ends = [i for i in seen if i == len(words) - 1 or before[i][-1] in ",:"]
            found[name] = words[(ends or seen)[-1 if not ends else 0]]
    return found


@functools.cache
def _all() -> Mapping[str, Callable[..., Any]]:
    """Give every formula by its name."""
    found: dict[str, Callable[..., Any]] = {}
    for info in pkgutil.walk_packages(formulas.__path__, f"{formulas.__name__}."):
        if info.ispkg:
            continue
        for name, one in vars(importlib.import_module(info.name)).items():
            if inspect.isfunction(one) and one.__module__ == info.name and name[0] != "_":
                found[name] = one
    return found


def _number(name: str, value: Any, unit: str) -> Any:
    """Give a number, read where it is a text with a unit; what else there is stays as it is."""
    if isinstance(value, str):
        try:
            value = units.quantity(value, unit) if unit not in ("", "-") else units.number(value)
        except ValueError as error:
            raise ValueError(f"{name}: {error}") from None
    if isinstance(value, numbers.Real) and not math.isfinite(value):
        raise ValueError(f"{name} is {value}; give a finite number in {unit or 'SI'}")
    return value


def _formula(name: str) -> Callable[..., Any]:
    known = _all()
    if name not in known:
        near = difflib.get_close_matches(str(name), known, n=3, cutoff=0.4)
        hint = f"; near it: {', '.join(near)}" if near else ""
        raise ValueError(f"no formula is called {name!r}{hint}")
    return known[name]


def _entry(text: str, name: str) -> str:
    """Give what the docstring says of an argument."""
    entry = re.search(rf"^ *{name}: (.*?)(?=\n *[a-z_0-9]+: |\n\n|\Z)", text, re.M | re.S)
    return entry[1] if entry else ""


def _section(text: str, name: str) -> str:
    """Give a section of the docstring, such as its Source, in one line."""
    found = re.search(rf"^{name}:(.*?)(?=\n\n|\Z)", text, re.M | re.S)
    return _flat(found[1]) if found else ""


def _flat(text: str) -> str:
    return " ".join(text.split())


def _unit(entry: str) -> str:
    """Give the first unit in square brackets; nothing where there is none."""
    found = re.search(r"\[([^\]]*)\]", entry)
    return found[1] if found else ""


def _label(name: str, entry: str) -> str:
    """Give an argument's name, and its words where it has any."""
    words = _flat(entry.split("[")[0]).rstrip(" ,;:")
    return f"{name}: {words}" if words else name


def _cell(value: Any, unit: str) -> Cell:
    """Give a number as an amount, in SI where its unit has no other; anything else as words."""
    if isinstance(value, np.ndarray) and value.size == 1:
        value = value.reshape(-1)[0]
    if isinstance(value, bool | np.bool_):
        return "yes" if value else "no"
    if not isinstance(value, numbers.Real):
        return f"{len(value)} values" if isinstance(value, np.ndarray) else str(value)
    if unit in _SHOWN:
        return Amount(float(value), unit)
    return f"{float(value):.4g} {unit}".rstrip()


def _results(value: Any, returned: str) -> Iterator[Row]:
    """Give each number of an answer as a row."""
    label, unit = _flat(returned.split("[")[0]) or "result", _unit(returned)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        for one in dataclasses.fields(value):
            part = getattr(value, one.name)
            if isinstance(part, str | numbers.Real):
                yield Row(f"result.{one.name}", f"{label}: {one.name}", _cell(part, unit))
    elif isinstance(value, tuple):
        units = [one.strip() for one in unit.split(",")]
        units = units if len(units) == len(value) else [unit] * len(value)
        for i, (part, own) in enumerate(zip(value, units, strict=True), 1):
            yield Row(f"result.{i}", f"{label}, {i}", _cell(part, own))
    else:
        yield Row("result", label, _cell(value, unit))

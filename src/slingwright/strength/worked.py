"""A formula worked out: its equation, what goes in, what comes out, and where it is from.

An equation stands once, in its formula's docstring, which is read when someone asks to see it.
"""

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
from slingwright.amounts.text import Amount, Text, form, text

_GREEK = "alpha|beta|gamma|delta|epsilon|eta|lambda|mu|omega|phi|rho|sigma|tau|theta"
_SYMBOL = re.compile(rf"(?:[A-Za-z][0-9]?'?|(?:[A-Za-z]|{_GREEK})_[A-Za-z0-9,]+|{_GREEK})")
_WORD = re.compile(r"[A-Za-z][A-Za-z_0-9,']*")


class Given(float):
    """A number that no formula gave, with the words that say what it is, and its source.

    The words are a template of `form` and what fills it, and the source may be a formula whose
    answer it is a part of: both are read when someone asks.
    """

    __slots__ = ("_fills", "_source", "_words")
    _words: str
    _fills: tuple[Any, ...]
    _source: str | Callable[..., Any]

    def __new__(
        cls, value: float, words: str, *fills: Any, source: str | Callable[..., Any] = ""
    ) -> Given:
        """Keep words and source with a number."""
        made = super().__new__(cls, value)
        made._words, made._fills, made._source = words, fills, source
        return made

    def __getnewargs_ex__(self) -> tuple[tuple[Any, ...], dict[str, Any]]:
        return (float(self), self._words, *self._fills), {"source": self._source}

    @property
    def words(self) -> Text:
        """What the number is."""
        return form(self._words)(*self._fills) if self._fills else Text((self._words,))

    @property
    def source(self) -> str:
        """Where it is from; nothing where it was set or measured off the machine."""
        return self._source if isinstance(self._source, str) else told_by(self._source).source


class Step(float):
    """What a formula gave: a number that knows the formula and what went into it.

    An answer that is a record counts as the number it has as a float; `result` is the whole.
    """

    __slots__ = ("formula", "given", "result")
    formula: Callable[..., Any]
    given: tuple[Any, ...]
    result: Any

    def __new__(cls, formula: Callable[..., Any], *given: Any) -> Step:
        """Work a formula out."""
        result = formula(*given)
        made = super().__new__(cls, result)
        made.formula, made.given, made.result = formula, given, result
        return made

    def __getnewargs__(self) -> tuple[Any, ...]:
        return (self.formula, *self.given)

    @property
    def told(self) -> Told:
        """What the formula's docstring says."""
        return told_by(self.formula)

    @property
    def source(self) -> str:
        """Where the formula is from."""
        return self.told.source

    @property
    def amount(self) -> Amount | str:
        """The result with its unit."""
        return _cell(float(self), self.told.returns[1]) or ""

    @property
    def equation(self) -> str:
        """The formula's equation; of several cases those that govern the result."""
        return self.told.shown(getattr(self.result, "governing", ""))[0]

    @property
    def named(self) -> dict[str, Any]:
        """What went in, by the names of the formula's arguments."""
        return dict(zip(self.told.entries, self.given, strict=False))

    @property
    def inputs(self) -> Text:
        """What went in: each symbol of the equation, and what has none, with its number."""
        told, named = self.told, self.named
        equation, seen = told.shown(getattr(self.result, "governing", ""))
        parts: list[str | Amount] = []
        for name, entry in told.entries.items():
            if entry.symbol in seen or (name in named and not (entry.symbol and equation)):
                value = named.get(name, entry.default)
                label = f"{entry.symbol} = " if entry.symbol else f"{name.replace('_', ' ')} "
                said = isinstance(value, str) and value.isalpha()
                parts += [", " if parts else "", "" if said else label]
                parts += [_cell(value, entry.unit) or "", _aside(value)]
        return Text(parts)

    @property
    def words(self) -> Text:
        """Equation, what went in, and what came out, in a line."""
        inputs = self.inputs
        return text(self.equation, " with " if inputs else "", inputs, ": ", self.amount)

    def record(self) -> dict[str, Any]:
        """Give the step as plain data in SI, ready for JSON."""
        return _worked(self.formula, self.named, self.result).record()


def behind(*ends: float) -> tuple[Step | Given, ...]:
    """Give what some numbers came from and themselves, each once, before what it went into."""
    found: dict[int, Step | Given] = {}

    def follow(one: Any) -> None:
        if isinstance(one, Step | Given) and id(one) not in found:
            for each in getattr(one, "given", ()):
                follow(each)
            found[id(one)] = one

    for one in ends:
        follow(one)
    return tuple(found.values())


def sources(*ends: float) -> str:
    """Give what some numbers rest on, each work once with all its places."""
    places: dict[str, dict[str, None]] = {}
    for one in behind(*ends):
        for work, place in _places(one.source):
            places.setdefault(work, {})[place] = None
    return "; ".join(", ".join(filter(None, (work, *its))) for work, its in places.items() if work)


@functools.cache
def _places(source: str) -> tuple[tuple[str, str], ...]:
    """Give each work that a source names, and the place in it; brackets hold together."""
    parts = re.split(r"; (?![^(]*\))", source.rstrip("."))
    split = (re.split(r", (?![^(]*\))", part, maxsplit=1) for part in parts)
    return tuple((work, "".join(place)) for work, *place in split)


def _aside(value: Any) -> str:
    if isinstance(value, Given):
        return text(" (", value.words, ")")
    if isinstance(value, Step) and not value.equation:
        return text(" (", value.inputs, ")")
    return ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What a docstring says of one argument."""

    symbol: str
    label: str
    unit: str
    default: Any


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Told:
    """What a formula's docstring says: `equation` a line each, `remark` what stands below it."""

    words: str
    equation: tuple[str, ...]
    remark: str
    entries: Mapping[str, Entry]
    returns: tuple[str, str]
    source: str

    @functools.cache  # noqa: B019, one for each formula
    def shown(self, governing: str) -> tuple[str, frozenset[str]]:
        """Give the equation, or of several cases those that govern, and the symbols in it."""
        govern = governing.split()
        chosen = [line for line in self.equation if line.partition(": ")[0] in govern]
        equation = "; ".join(chosen) or " ".join(self.equation)
        symbols = _WORD.findall(equation)
        return equation, frozenset(symbols) | {one.rstrip(",") for one in symbols}


@functools.cache
def told_by(function: Callable[..., Any]) -> Told:
    """Read a formula's docstring."""
    whole = inspect.getdoc(function) or ""
    words, *below = whole.split("\n\nArgs:")[0].split("\n\n")
    equation = below.pop(0) if below and " = " in below[0] else ""
    signature = inspect.signature(function).parameters
    symbols = symbols_of(whole, list(signature))
    returned = _section(whole, "Returns")
    return Told(
        words=_flat(words),
        equation=tuple(re.sub(r"\n +", " ", equation).split("\n")) if equation else (),
        remark=_flat(" ".join(below)),
        entries={
            name: Entry(symbol=symbols.get(name, ""), label=_label(name, entry),
                        unit=_unit(entry), default=one.default)
            for name, one in signature.items()
            for entry in (_entry(whole, name),)
        },
        returns=(_flat(returned.split("[")[0]) or "result", _unit(returned)),
        source=_section(whole, "Source"),
    )  # fmt: skip


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
        formula: the formula's name, as "patch_load_moment".
        arguments: what it takes, in its order: numbers in SI, or texts with a unit ("12 kN").

    Raises: ValueError: no formula has that name, an argument is missing, is not one of its own, is
        no number or has a wrong unit, or the formula refuses a value.
    """
    function = _formula(formula)
    try:
        taken = inspect.signature(function).bind(*arguments, **options)
    except TypeError as error:
        asked = ", ".join(inspect.signature(function).parameters)
        raise ValueError(f"{formula}: {error}; it takes {asked}") from None
    told = told_by(function)
    for name, one in taken.arguments.items():
        if "float" in str(taken.signature.parameters[name].annotation):
            taken.arguments[name] = _number(name, one, told.entries[name].unit)
    taken.apply_defaults()
    return _worked(function, taken.arguments, function(*taken.args, **taken.kwargs))


def _worked(function: Callable[..., Any], given: Mapping[str, Any], value: Any) -> Worked:
    """Show what a formula made of what it was given, by the names of its arguments."""
    told = told_by(function)
    return Worked(
        name=function.__name__,
        words=told.words,
        equation=_flat(" ".join((*told.equation, told.remark))),
        given=tuple(
            Row(name, one.label, _cell(given[name], one.unit), one.symbol + _aside(given[name]))
            for name, one in told.entries.items()
            if name in given
        ),
        results=tuple(_results(value, *told.returns)),
        source=f"Source: {told.source}",
        value=value,
    )


def symbols_of(text: str, names: list[str]) -> dict[str, str]:
    """Give the symbol of each argument: the word before its unit, or else a lone one before it."""
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
    entry = re.search(rf"^ *{name}: (.*?)(?=\n *[a-z_0-9]+: |\n\n|\Z)", text, re.M | re.S)
    return entry[1] if entry else ""


def _section(text: str, name: str) -> str:
    """Give a section of the docstring, such as its Source, in one line."""
    found = re.search(rf"^{name}:(.*?)(?=\n\n|\n\w|\Z)", text, re.M | re.S)
    return _flat(found[1]) if found else ""


def _flat(text: str) -> str:
    return " ".join(text.split())


def _unit(entry: str) -> str:
    """Give the first unit in square brackets, powers with ^; nothing where there is none."""
    found = re.search(r"\[([^\]]*)\]", entry)
    return re.sub(r"(?<=m)(?=[234]\b)", "^", found[1]) if found else ""


def _label(name: str, entry: str) -> str:
    words = _flat(entry.split("[")[0]).rstrip(" ,;:")
    return f"{name}: {words}" if words else name


def _cell(value: Any, unit: str) -> Cell:
    """Give a number as an amount, in SI where its unit has no other; anything else as words."""
    if isinstance(value, np.ndarray) and value.size == 1:
        value = value.reshape(-1)[0]
    if isinstance(value, bool | np.bool_):
        return "yes" if value else "no"
    if isinstance(value, np.ndarray):
        if value.size == 0:
            return "no values"
        return text(f"{value.size} values up to ", _cell(float(value.max()), unit) or "")
    if not isinstance(value, numbers.Real):
        return str(value)
    if unit == "-" or units.shown_either_way(unit):
        return Amount(float(value), unit) if math.isfinite(value) else "beyond all"
    return f"{float(value):.4g} {unit}".rstrip()


def _results(value: Any, label: str, unit: str) -> Iterator[Row]:
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

"""Units at the edge: what a person writes becomes SI floats, and SI floats become what they read.

Nothing here evaluates text: a value is numbers and unit words in a small grammar of its own.  The
usual words and the units of showing stand in the shared file `units.toml`; any other word is looked
up in pint's registry, which only this module imports, and only when such a word comes up.
"""

import math
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from types import MappingProxyType
from typing import Any, Literal

from slingwright.places import shared_folder

System = Literal["metric", "US"]
Dimensions = tuple[int, int, int, int]
"""Powers of metre, kilogram, second and radian."""

LONGEST_TEXT = 80
"""Longest value text that is read, in characters."""

_PLAIN: Dimensions = (0, 0, 0, 0)
_SI_BASE: Mapping[str, Dimensions] = MappingProxyType(
    {"m": (1, 0, 0, 0), "kg": (0, 1, 0, 0), "s": (0, 0, 1, 0), "rad": (0, 0, 0, 1), "-": _PLAIN}
)
_NAMED: Mapping[Dimensions, tuple[str, str]] = MappingProxyType(
    {
        _PLAIN: ("a plain number", '"0.3" or "30 %"'),
        (1, 0, 0, 0): ("a length", '"4.2 m", "350 mm" or "6 ft 3 in"'),
        (0, 1, 0, 0): ("a mass", '"1.4 t", "12 kg" or "15 lb"'),
        (0, 0, 1, 0): ("a time", '"12 s" or "2 min"'),
        (0, 0, 0, 1): ("an angle", '"40 deg" or "0.7 rad"'),
        (1, 0, -1, 0): ("a speed", '"5 m/s" or "12 mph"'),
        (1, 0, -2, 0): ("an acceleration", '"9.81 m/s^2"'),
        (1, 1, -2, 0): ("a force", '"12 kN" or "300 lbf"'),
        (2, 1, 0, 0): ("a moment of inertia", '"600 kg m^2" or "1400 lb ft^2"'),
        (2, 1, -2, 0): ("an energy or moment", '"3 kJ", "3 kN m" or "200 ft lbf"'),
        (0, 1, -2, 0): ("a force on each length", '"42 kN/m" or "240 lbf/in"'),
        (0, 1, -1, 0): ("a damping", '"40 N s/m"'),
        (2, 1, -3, 0): ("a power", '"80 W" or "1 hp"'),
        (-1, 1, -2, 0): ("a pressure", '"30 MPa" or "4000 psi"'),
        (-3, 1, 0, 0): ("a density", '"1.2 kg/m^3"'),
        (0, 0, -1, 1): ("an angular speed", '"2 rad/s" or "20 rpm"'),
    }
)
_LOOKALIKE = str.maketrans(
    {
        "′": "'",
        "’": "'",
        "″": '"',
        "”": '"',
        "−": "-",
        "·": "*",
        "×": "*",
        "\u00a0": " ",
        "\u202f": " ",
        "\t": " ",
    }
)
_SPELLED = {
    "**": "^",
    "⁻¹": "^-1",
    "⁻²": "^-2",
    "⁻³": "^-3",
    "²": "^2",
    "³": "^3",
    "¼": " 1/4",
    "½": " 1/2",
    "¾": " 3/4",
    "°": " deg ",
}
_AMBIGUOUS = {
    "ton": "t (1000 kg), short_ton (2000 lb) or long_ton (2240 lb)",
    "tons": "t (1000 kg), short_ton (2000 lb) or long_ton (2240 lb)",
    "cwt": "kg or lb",
}
_DECIMAL = r"(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_NUMBER = rf"(?:[0-9]+ +[0-9]+/[0-9]+|[0-9]+/[0-9]+|{_DECIMAL})"
_GROUPED = re.compile(r"^( *[+-]? *)([0-9]{1,3}(?: [0-9]{3})+)(?![0-9/])")
"""The thousands of "1 015" and "12 500 000.5 m", parted by spaces as ISO 80000-1 has them."""
_WHOLE = re.compile(rf" *([+-]?) *({_NUMBER}) *(.*?) *")
_TERM = re.compile(rf" *({_NUMBER}) *([A-Za-z_%]+|'|\")")
_FACTOR = re.compile(r"([A-Za-z_%]+)(?:\^?(-?[0-9]))?")
_SEVERAL = re.compile(r"(?<![\^A-Za-z0-9-])[0-9]|(?<!\^)(?<!\^-)[0-9][A-Za-z'\"]|^['\"]")
"""What tells "ft 3 in" and "ft3in", more numbers to come, from powers as in "m^2 kg" or "m2 kg"."""


class UnitError(ValueError):
    """A text that is no value of the wanted kind; says what is wanted and how to write it."""

    def __init__(
        self, message: str, limit: str = "", next_step: str = "", ways: tuple[str, ...] = ()
    ) -> None:
        super().__init__(f"{message}; {next_step}" if next_step else message)
        self.ways = ways  # how what was written can be meant, where that can be asked
        self.fault = message
        self.limit = limit
        self.next_step = next_step


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A unit that was written: its text, the SI value of one, and its dimensions."""

    text: str
    factor: float
    dimensions: Dimensions


def quantity(text: str, unit: str) -> float:
    """Read a value with its unit and give it in SI (radians for angles).

    A sum of falling units, "6 ft 3 in", is one value.  A bare number is read only where `unit` is
    "-".

    Args:
        text: what a person wrote.
        unit: any unit of the wanted kind, such as "m" or "kg m^2"; "-" for a plain number.

    Raises:
        UnitError: the text is not a value, lacks its unit, or is of another kind.

    >>> quantity("6 ft 3 in", "m")
    1.905
    >>> quantity("1.4 t", "kg")
    1400.0
    >>> quantity("30 %", "-")
    0.3
    """
    return quantity_and_unit(text, unit)[0]


def quantity_and_unit(text: str, unit: str) -> tuple[float, str]:
    """Read a value as `quantity` does, and give the unit it was written in as well.

    For a sum of units that is the first one; for a plain number it is "".

    >>> quantity_and_unit("350 mm", "m")
    (0.35, 'mm')
    """
    wanted = unit_named(unit).dimensions
    kind, example = _kind(wanted)
    how = f"write {kind}, such as {example}"
    if len(text) > LONGEST_TEXT:
        raise UnitError(
            f"the text is {len(text)} characters long", f"at most {LONGEST_TEXT} characters", how
        )
    plain = text.translate(_LOOKALIKE)
    for sign, spelled in _SPELLED.items():
        plain = plain.replace(sign, spelled)
    _refuse_comma(plain)
    plain = _GROUPED.sub(_ungroup, plain)
    match = _WHOLE.fullmatch(plain)
    if match is None:
        raise UnitError("this is no number with a unit", f"{kind}", how)
    sign, number, words = match.groups()
    if not words:
        if wanted != _PLAIN:
            raise UnitError("the unit is missing", f"{kind}, with its unit", how)
        value, written = _read_number(number), ""
    elif (found := _unit_or_none(_one_word(words))) is not None:
        _same_kind(found, wanted, how)
        value, written = _read_number(number) * found.factor, found.text
    else:
        value, written = _sum_of_terms(plain.strip(" +-"), wanted, how)
    value = -value if sign == "-" else value
    if not math.isfinite(value):
        raise UnitError("the number is too large to hold", f"{kind} of finite size", how)
    return value, written


def number(text: str) -> float:
    """Read a plain number as a person types it: the one reader for every field and option.

    Raises:
        UnitError: it is no finite number, or has a comma, which can be read in two ways.

    >>> number("101.5"), number("\N{MINUS SIGN}3")
    (101.5, -3.0)
    """
    found = number_or_none(text)
    if found is None:
        raise UnitError(f"{text[:40]!r} is not a number", "a number", "write it as 101.5")
    return found


def _ungroup(found: re.Match[str]) -> str:
    """Join the thousands that a space parts, unless a whole fraction stands there."""
    return found[1] + found[2].replace(" ", "")


def whole_number(text: str) -> int:
    """Read a whole number, such as an entry's, as a person types it.

    Raises:
        UnitError: it is no number, or not a whole one.

    >>> whole_number("1 015"), whole_number("12.0")
    (1015, 12)
    """
    found = number(text)
    if found != math.floor(found):
        raise UnitError(f"{text[:40]!r} is not a whole number", "a whole number", "write it as 12")
    return int(found)


def number_or_none(text: str) -> float | None:
    """Read a plain number, or give None for words that are none: a unit may stand behind it.

    Raises:
        UnitError: a comma in the number, or a number that is not finite.
    """
    plain = text.translate(_LOOKALIKE).strip()
    _refuse_comma(plain)
    plain = _GROUPED.sub(_ungroup, plain)
    try:
        found = float(plain)
    except ValueError:
        return None
    if not math.isfinite(found) or "_" in plain:
        raise UnitError(
            f"{text[:40]!r} is no finite number", "a finite number", "write it as 101.5"
        )
    return found


def _refuse_comma(plain: str) -> None:
    """Refuse a number with a comma, naming both ways to read it."""
    found = re.search(r"-?[0-9][0-9.]*,[0-9.,]*", plain)
    if found is None:
        return
    whole = found[0].strip(",.")
    pointed = whole.replace(",", ".") if "." not in whole and whole.count(",") == 1 else ""
    both = (pointed, whole.replace(",", ""))
    ways = tuple(way[:40] for way in both if way.count(".") <= 1 and way)
    raise UnitError(
        f"a comma in a number can be read in two ways: {whole[:40]}",
        "digits with a decimal point",
        f"write {' or '.join(ways)}",
        ways,
    )


@lru_cache(maxsize=512)
def unit_named(text: str) -> Unit:
    """Give the unit a text names, such as "kN m" or "lb/ft^3".

    Raises:
        UnitError: a word that is no unit; names the nearest one.

    >>> unit_named("kN m").factor
    1000.0
    """
    if text == "-":
        return Unit(text=text, factor=1.0, dimensions=_PLAIN)
    above, slash, below = text.replace("**", "^").partition("/")
    factors = [(1, part) for part in re.split(r"[ *]+", above.strip(" *"))]
    if slash:
        factors.append((-1, below.strip()))
    factor, dimensions = 1.0, _PLAIN
    for side, part in factors:
        match = _FACTOR.fullmatch(part)
        if match is None:
            raise UnitError(
                f"{text[:40]!r} is no unit",
                "unit words with whole powers, at most one word after one /",
                'write units like "kg m^2" or "kg/m^3"',
            )
        power = side * int(match[2] or 1)
        one, its = _word(match[1])
        factor *= one**power
        dimensions = tuple(  # type: ignore[assignment]
            a + power * b for a, b in zip(dimensions, its, strict=True)
        )
    return Unit(text=text, factor=factor, dimensions=dimensions)


def factor(unit: str, system: System = "metric") -> tuple[float, str]:
    """Give the unit in which a whole table, axis or slider shows values held in SI.

    Args:
        unit: the SI unit (or "deg" for an angle held in radians).
        system: "metric" or "US".

    Returns:
        SI value of one of the shown unit, and its label.

    >>> factor("m", "US")
    (0.3048, 'ft')
    """
    row = _ladder(unit, system)
    label = unit if row is None else row[0]
    return _of_label(label), label


def shown(value: float, unit: str, system: System = "metric") -> tuple[float, str]:
    """Give a value held in SI in the unit that suits its size, and that unit.

    >>> shown(1600.0, "kg")
    (1.6, 't')
    >>> shown(0.08, "m")
    (80.0, 'mm')
    """
    row = _ladder(unit, system)
    if row is None:
        return value / _of_label(unit), unit
    label = row[0]
    if value != 0.0 and math.isfinite(value):
        # The rounding of showing comes first: 999.99 N is shown as 1 kN.
        size = float(f"{abs(value):.4g}")
        label = next((step for step, limit in row[1] if size < limit), row[1][-1][0])
    return value / _of_label(label), label


def shown_either_way(unit: str) -> bool:
    """Whether values in this SI unit are shown in both systems."""
    return _ladder(unit, "metric") is not None


def text(value: float | None, unit: str, system: System = "metric") -> str:
    """Write a value held in SI for a reader, to four figures, with its unit.

    >>> text(12_345.0, "N")
    '12.35 kN'
    >>> text(12_345.0, "N", "US")
    '2,775 lbf'
    >>> text(0.3, "-")
    '0.3'
    """
    if value is None or math.isnan(value):
        return "none"
    number, label = shown(value, unit, system)
    figures = _figures(number)
    return figures if label == "-" else f"{figures} {label}"


def written(value: float, unit: str) -> str:
    """Write a value held in SI so that `quantity` reads the very same float again.

    The shortest such number in `unit` is used; where rounding leaves none, the SI unit is.

    >>> written(1.905, "ft")
    '6.25 ft'
    >>> written(0.3, "-")
    '0.3'
    """
    if not math.isfinite(value):
        raise ValueError(f"{value} cannot be written as a quantity; give a finite number")
    if unit in ("", "-"):
        return _plain_digits(float(value))
    one = unit_named(unit)
    number = value / one.factor
    for tried in (number, math.nextafter(number, math.inf), math.nextafter(number, -math.inf)):
        for digits in range(1, 18):
            rounded = float(f"{tried:.{digits}g}")
            if rounded * one.factor == value:
                return f"{_plain_digits(rounded)} {unit}"
    return f"{_plain_digits(float(value))} {_si_text(one.dimensions)}"


# ---- within


def _read_number(text: str) -> float:
    whole, _, fraction = text.rpartition(" ")
    if "/" not in text:
        return float(text)
    over, _, under = fraction.partition("/")
    if int(under) == 0:
        raise UnitError("the fraction divides by zero", "a fraction with a lower part above zero")
    return float(whole or 0) + int(over) / int(under)


def _sum_of_terms(text: str, wanted: Dimensions, how: str) -> tuple[float, str]:
    """Add up "6 ft 3 in": plain words of one kind, each smaller than the one before."""
    total, last, first, place = 0.0, math.inf, "", 0
    while place < len(text):
        match = _TERM.match(text, place)
        if match is None:
            rest = text[place:].strip()
            word = re.match(r"[A-Za-z_%]+", rest)
            raise _misplaced(word[0] if word else rest, how)
        word_text = {"'": "ft", '"': "in"}.get(match[2], match[2])
        unit = _unit_or_none(_one_word(word_text))
        if unit is None:
            raise _misplaced(word_text, how)
        _same_kind(unit, wanted, how)
        value = _read_number(match[1])
        # Counted in the unit at hand: 6 ft 3 in is 75 in, not the sum of two rounded lengths.
        ratio = last / unit.factor if first else 1.0
        ratio = round(ratio) if math.isclose(ratio, round(ratio), rel_tol=1e-9) else ratio
        if first and (ratio <= 1.0 or value >= ratio or total != math.floor(total)):
            raise UnitError(
                "units in a row must fall and all but the last number be whole",
                'such as "6 ft 3 in"',
                how,
            )
        total = total * ratio + value
        last = unit.factor
        first = first or unit.text
        place = match.end()
        while place < len(text) and text[place] == " ":
            place += 1
    return total * last, first


def _misplaced(word: str, how: str) -> UnitError:
    """Give the error for a word that is no unit, or stands where none can."""
    try:
        _word(word)
    except UnitError as error:
        return error
    return UnitError(f"{word[:40]!r} cannot stand there", "a number and then its unit", how)


def _same_kind(unit: Unit, wanted: Dimensions, how: str) -> None:
    if unit.dimensions != wanted:
        raise UnitError(
            f"{unit.text} is the unit of {_kind(unit.dimensions)[0]}", _kind(wanted)[0], how
        )


def _kind(dimensions: Dimensions) -> tuple[str, str]:
    known = _NAMED.get(dimensions)
    if known is not None:
        return known
    unit = _si_text(dimensions)
    return f"a value in {unit}", f'"1.5 {unit}"'


def _si_text(dimensions: Dimensions) -> str:
    parts = [
        base if power == 1 else f"{base}^{power}"
        for base, power in zip(("m", "kg", "s", "rad"), dimensions, strict=True)
        if power
    ]
    return " ".join(parts) or "-"


def _one_word(text: str) -> str:
    """Join the words of a unit name that has a space in it."""
    return re.sub(r"\b(short|long) +tons?\b", r"\1_ton", text)


def _unit_or_none(text: str) -> Unit | None:
    """Give the unit, or None where the text is not one unit; a foreign word is refused."""
    if text in ("'", '"'):
        return unit_named("ft" if text == "'" else "in")
    if _SEVERAL.search(text):
        return None
    return unit_named(text)


@cache
def _table() -> Mapping[str, Any]:
    with (shared_folder() / "units.toml").open("rb") as file:
        return tomllib.load(file)


@cache
def _words() -> Mapping[str, tuple[float, Dimensions]]:
    found: dict[str, tuple[float, Dimensions]] = {}
    for word, (size, si) in _table()["words"].items():
        dimensions = [0, 0, 0, 0]
        above, _, below = si.partition("/")
        for side, part in [*((1, p) for p in above.split()), *((-1, p) for p in below.split())]:
            base, _, power = part.partition("^")
            for i, one in enumerate(_SI_BASE[base]):
                dimensions[i] += side * int(power or 1) * one
        found[word] = (float(size), (dimensions[0], dimensions[1], dimensions[2], dimensions[3]))
    return MappingProxyType(found)


@lru_cache(maxsize=512)
def _word(word: str) -> tuple[float, Dimensions]:
    """Give size and dimensions of one unit word."""
    known = _words()
    if word in known:
        return known[word]
    if word.lower() in _AMBIGUOUS:
        raise UnitError(
            f"{word} has more than one meaning", "one meaning", f"write {_AMBIGUOUS[word.lower()]}"
        )
    # KG and Ft are read, MN and mN are never mixed: only words that are all small letters.
    if len(word) > 1 and word.lower() in known:
        return known[word.lower()]
    foreign = _from_registry(word)
    if foreign is not None:
        return foreign
    import difflib

    near = difflib.get_close_matches(word, list(known), n=1, cutoff=0.5)
    near = near or [w for w in known if w.lower() == word.lower()]
    hint = f"did you mean {near[0]}?" if near else "known ones include m, ft, kg, lb, t, deg, N, s"
    raise UnitError(f"{word[:40]!r} is no unit that is known", "a known unit", hint)


_PINT_BASE: Mapping[str, int] = MappingProxyType({"[length]": 0, "[mass]": 1, "[time]": 2})


def _from_registry(word: str) -> tuple[float, Dimensions] | None:
    """Look a word up in pint; None for what is unknown or no multiple of SI units."""
    if not re.fullmatch(r"[A-Za-z_]{1,30}", word):
        return None
    import pint

    registry = _registry()
    try:
        one = registry.Quantity(1.0, registry.Unit(word)).to_base_units()
        size = float(one.magnitude)
        powers = dict(one.dimensionality)
    except (pint.PintError, AttributeError, ValueError, TypeError, ArithmeticError):
        return None
    if not set(powers) <= set(_PINT_BASE) or not powers or size <= 0.0:
        # Plain numbers are left out: pint counts angles, and much else, as plain numbers.
        return None
    if any(power != int(power) for power in powers.values()):
        return None
    dimensions = [0, 0, 0, 0]
    for base, power in powers.items():
        dimensions[_PINT_BASE[base]] = int(power)
    return size, (dimensions[0], dimensions[1], dimensions[2], dimensions[3])


@cache
def _registry() -> Any:
    import pint

    return pint.UnitRegistry(autoconvert_offset_to_baseunit=False)


@lru_cache(maxsize=256)
def _ladder(unit: str, system: System) -> tuple[str, tuple[tuple[str, float], ...]] | None:
    if system not in ("metric", "US"):
        raise ValueError(f"system is {system!r}; use 'metric' or 'US'")
    row = _table()[system].get(unit)
    if row is None:
        return None
    return row["base"], tuple((label, float(limit)) for label, limit in row["steps"])


@lru_cache(maxsize=256)
def _of_label(label: str) -> float:
    """Give the SI value of one of a shown unit."""
    return unit_named(label).factor


def _plain_digits(number: float) -> str:
    return repr(number).removesuffix(".0")


def _figures(number: float) -> str:
    if not math.isfinite(number):
        return f"{number}"
    rounded = float(f"{number:.4g}")
    if 1000.0 <= abs(rounded) < 1e15:
        return f"{rounded:,.0f}"
    return f"{number:.4g}"

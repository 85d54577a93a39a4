"""Random machines and texts for all tests: legal ones, absurd ones, and what is no file at all."""

from __future__ import annotations

import math
from typing import Any

from hypothesis import strategies as st

from slingwright.machine.table import dials
from slingwright.machine.table.dials import Dial
from slingwright.machine.table.names import known_names

REQUIRED = tuple(row for row in dials.TABLE if row.required)
OPTIONAL = tuple(row for row in dials.TABLE if not row.required)
TIMBERS = ("C16", "C24", "D24", "D30", "D70")
GRADES = ("S235", "S275", "S355")
NAMES = {"timber": TIMBERS, "steel": GRADES}

LENGTH_WORDS = ("m", "mm", "cm", "ft", "in", "yd")
UNIT_WORDS = {
    "s": ("s", "min", "h"),
    "m": LENGTH_WORDS,
    "kg": ("kg", "t", "lb", "g", "oz"),
    "deg": ("deg", "rad"),
    "N": ("N", "kN", "lbf"),
    "N/m": ("N/m", "kN/m"),
    "Pa": ("Pa", "MPa", "psi"),
    "kg m^2": ("kg m^2", "lb ft^2"),
    "N s/m": ("N s/m", "kN s/m"),
    "m/s": ("m/s", "mph", "km/h", "ft/s"),
    "m/s^2": ("m/s^2", "ft/s^2"),
    "kg/m^3": ("kg/m^3", "lb/ft^3"),
}


@st.composite
def legal_settings(draw: st.DrawFn) -> dict[str, Any]:
    """Settings in SI that most often make a sound machine: proportions of real ones at any scale.

    Some optional dials are drawn over their whole width, so that not every draw is sound.
    """
    scale = draw(st.floats(0.05, 12.0))
    long = scale
    short = long / draw(st.floats(2.5, 7.0))
    weight = 40.0 * scale**3 * draw(st.floats(0.2, 5.0))
    settings: dict[str, Any] = {
        "arm.long": long,
        "arm.short": short,
        "axle.height": max(0.02, min(30.0, long * draw(st.floats(0.6, 0.9)) + short)),
        "counterweight.mass": max(weight, 0.01),
        "sling.length": max(0.01, long * draw(st.floats(0.5, 1.2))),
        "projectile.mass": weight * draw(st.one_of(st.floats(0.002, 0.05), st.just(0.0))),
    }
    for row in draw(st.lists(st.sampled_from(OPTIONAL), max_size=4, unique=True)):
        settings[row.path] = draw(value_of(row))
    return settings


@st.composite
def absurd_settings(draw: st.DrawFn) -> dict[str, Any]:
    """Settings over the whole width of every dial and far beyond, of any type, some misspelt."""
    settings: dict[str, Any] = {
        row.path: draw(st.one_of(value_of(row), nonsense())) for row in REQUIRED
    }
    for row in draw(st.lists(st.sampled_from(dials.TABLE), max_size=8, unique=True)):
        settings[row.path] = draw(st.one_of(value_of(row), nonsense()))
    if draw(st.booleans()):
        settings[draw(misspelt())] = draw(nonsense())
    return settings


def value_of(row: Dial) -> st.SearchStrategy[Any]:
    """Values within the limits of a dial, in SI, both ends more often than chance."""
    if row.kind == "flag":
        return st.booleans()
    if row.kind == "name":
        names = row.choices or NAMES.get(row.table) or known_names(row)
        return st.sampled_from(names)
    low, high = row.lowest, row.highest
    if row.whole:
        return st.integers(int(low), int(high)).map(float)
    return st.one_of(st.floats(low, high), st.sampled_from([low, high]))


def nonsense() -> st.SearchStrategy[Any]:
    """Values that no dial takes, or that only look like one."""
    return st.one_of(
        st.floats(allow_nan=True, allow_infinity=True),
        st.sampled_from([1e308, -1e308, 5e-324, -0.0, math.nan, math.inf, True, False, ""]),
        st.sampled_from(["4 m", "4", "m", "1e999 kg", "12 parsnips", "3 kg", "6 ft 13 in", "D99"]),
        st.integers(-(10**12), 10**12),
        st.text(max_size=20),
    )


def misspelt() -> st.SearchStrategy[str]:
    """Paths that are nearly right."""
    return st.sampled_from(
        ["sling.lenght", "arm.lng", "counterwieght.mass", "axle", "axle.", ".mass", "release.angel"]
    )


@st.composite
def legal_files(draw: st.DrawFn) -> str:
    """Machine files in several manners of TOML, with units of all kinds."""
    return as_toml(draw, draw(legal_settings()))


@st.composite
def absurd_files(draw: st.DrawFn) -> str:
    """Machine files of absurd values, and sound ones with lines cut, doubled, moved or broken."""
    settings = draw(st.one_of(legal_settings(), absurd_settings()))
    text = as_toml(draw, settings)
    lines = text.split("\n")
    for _ in range(draw(st.integers(0, 4))):
        place = draw(st.integers(0, len(lines) - 1))
        deed = draw(st.sampled_from(["drop", "double", "move", "break", "insert"]))
        if deed == "drop" and len(lines) > 1:
            lines.pop(place)
        elif deed == "double":
            lines.append(lines[place])
        elif deed == "move":
            lines.insert(0, lines.pop(place))
        elif deed == "break":
            cut = draw(st.integers(0, len(lines[place])))
            lines[place] = lines[place][:cut] + draw(SCRAPS) + lines[place][cut:]
        else:
            lines.insert(place, draw(SCRAPS))
    return "\n".join(lines)


SCRAPS = st.one_of(
    st.sampled_from(
        ['"', '"""', "'''", "[", "]]", "[[brief]]", "[sling]", "=", "{", "#", "\\", ".", "\t", "é",
         "\u2028", "\u0000", "nan", "1e308", "a = 1", "__import__('os')", "[sling.length]", "= =",
         'name = 3', "brief = 1", "[[", "sling = {length = '4 m'}", "arm.long = '1 m'"]
    ),
    st.text(max_size=12),
)  # fmt: skip


def any_bytes() -> st.SearchStrategy[bytes]:
    """Bytes of any sort, and texts in encodings that are not UTF-8."""
    encoded = st.builds(
        lambda text, codec: text.encode(codec, errors="replace"),
        absurd_files(),
        st.sampled_from(["utf-16", "utf-16-le", "latin-1", "utf-8-sig", "utf-32", "cp1252"]),
    )
    return st.one_of(st.binary(max_size=300), encoded)


def as_toml(draw: st.DrawFn, settings: dict[str, Any]) -> str:
    """Write settings as a machine file: tables, keys with full stops, or tables in one line."""
    manner = draw(st.sampled_from(["tables", "dotted", "inline"]))
    groups: dict[str, list[tuple[str, str]]] = {}
    loose: list[str] = []
    for path, value in settings.items():
        group, stop, key = path.partition(".")
        row = dials.BY_PATH.get(path)
        if not stop or not group or not key:
            loose.append(f"{toml_key(path)} = {toml_value(draw, value, None)}")
        else:
            groups.setdefault(group, []).append((toml_key(key), toml_value(draw, value, row)))
    lines = [f"# {draw(st.sampled_from(['a machine', 'ein Gerät', '']))}", 'name = "any"', *loose]
    for group, pairs in groups.items():
        if manner == "tables":
            lines += [f"[{group}]", *(f"{key} = {value}" for key, value in pairs)]
        elif manner == "dotted":
            lines += [f"{group}.{key} = {value} # {key}" for key, value in pairs]
        else:
            inside = ", ".join(f"{key} = {value}" for key, value in pairs)
            lines.append(f"{group} = {{ {inside} }}")
    if draw(st.booleans()):
        lines += ["[[brief]]", 'name = "ball"', 'mass = "4 kg"']
    return "\n".join(lines) + "\n"


def toml_key(key: str) -> str:
    """Write a key, bare where it may be."""
    bare = key.isascii() and key.replace("_", "").replace("-", "").isalnum()
    return key if bare else '"' + key.replace("\\", "").replace('"', "") + '"'


def toml_value(draw: st.DrawFn, value: Any, row: Dial | None) -> str:
    """Write a value: a dial's SI number in some unit of its kind, anything else as it is."""
    from slingwright.amounts import units

    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return '"' + "".join(toml_sign(sign) for sign in value) + '"'
    number = isinstance(value, float) and math.isfinite(value)
    if number and row is not None and row.kind == "number" and row.unit != "-":
        word = draw(st.sampled_from(UNIT_WORDS[row.unit]))
        return f'"{units.written(value, word)}"'
    return str(value)


def toml_sign(sign: str) -> str:
    """Write one character of a TOML text."""
    if sign in '"\\' or not sign.isprintable():
        code = ord(sign)
        return "?" if 0xD800 <= code <= 0xDFFF else f"\\U{code:08X}"
    return sign

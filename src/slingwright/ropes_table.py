"""Ropes, knots, sheaves, shackles and crews by name, from the tables in `data/materials`.

A table has names in row 1, units in row 2 and a source column, like the other material tables. A
user's own rows (a file of the same name in the folder that SLINGWRIGHT_MATERIALS names) come on
top of the kit's; a row without source says so.

Sizes are never interpolated: a rope between two listed sizes counts as the smaller one, and a rope
below the smallest listed size is an error.
"""

import csv
import difflib
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from slingwright.material_tables import NO_SOURCE, MaterialTableError, UnknownMaterial, user_folder
from slingwright.places import data_folder

_SCALE = {"mm": 1e-3, "m": 1.0, "kN": 1e3, "N": 1.0, "W": 1.0, "s": 1.0, "m/s": 1.0, "-": 1.0}
_SCALE["t"] = 1e3  # kg

Cells = dict[str, "str | float | None"]


@dataclass(frozen=True, slots=True, kw_only=True)
class RopeSize:
    """One listed size of a rope."""

    name: str
    diameter: float  # m
    breaking_force: float  # N, minimum, new and dry rope
    source: str
    sourced: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Knot:
    """What a knot or splice leaves of the rope's strength."""

    name: str
    kept: float  # share of the breaking force
    kind: str  # knot, splice or none
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RopeUse:
    """How many times stronger than its load a rope has to be, for a use."""

    name: str
    kind: str  # fibre rope, wire rope, chain or shackle
    design_factor: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheaveRatio:
    """How large a sheave has to be for a rope, as diameter over rope diameter."""

    name: str
    least: float
    suggested: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WireClass:
    """Factors of a class of wire rope."""

    name: str
    core: str
    mass_factor: float
    area_factor: float
    strength_factor: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewPower:
    """Power that one person was found to give for a time."""

    name: str
    power: float  # W
    duration: float  # s
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewForce:
    """Force that one person was found to give; speed and time where the source states them."""

    name: str
    force: float  # N
    speed: float | None  # m/s
    duration: float | None  # s
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Shackle:
    """One size of bow shackle."""

    name: str
    bow_diameter: float  # m
    pin_diameter: float  # m
    working_load: float  # kg, mass that may hang from it
    source: str


def rope_names() -> list[str]:
    """Give the kinds of rope that have sizes in the table."""
    return list(_by_name("ropes"))


def rope_sizes(name: str) -> list[RopeSize]:
    """Give the sizes of one kind of rope, thinnest first; UnknownMaterial for an unknown kind."""
    sizes = [
        RopeSize(
            name=name,
            diameter=_number(row, "diameter"),
            breaking_force=_number(row, "breaking_force"),
            source=_word(row, "source"),
            sourced=row["source"] != NO_SOURCE,
        )
        for row in _rows("ropes", name)
    ]
    return sorted(sizes, key=lambda size: size.diameter)


def rope(name: str, diameter: float) -> RopeSize:
    """Give the largest listed size that is not thicker than a rope.

    Args:
        name: kind of rope.
        diameter: of the rope in hand [m].

    Raises:
        UnknownMaterial: the kind is not in the table, or the rope is thinner than all its sizes.

    >>> rope("manila", 0.020).breaking_force
    26000.0
    >>> rope("manila", 0.021).diameter
    0.02
    """
    sizes = rope_sizes(name)
    fitting = [size for size in sizes if size.diameter <= diameter * (1.0 + 1e-9)]
    if not fitting:
        raise UnknownMaterial(
            f"{name} rope of {1e3 * diameter:g} mm is thinner than the smallest listed size, "
            f"{1e3 * sizes[0].diameter:g} mm. Take a thicker rope, or add its row to ropes.csv."
        )
    return fitting[-1]


def knot_names() -> list[str]:
    """Give the knots and splices that have a row."""
    return list(_by_name("knots"))


def knot(name: str) -> Knot:
    """Give a knot or splice by name; UnknownMaterial with the nearest names otherwise."""
    row = _rows("knots", name)[-1]
    return Knot(
        name=name,
        kept=_number(row, "kept"),
        kind=_word(row, "kind"),
        source=_word(row, "source"),
    )


def rope_use_names() -> list[str]:
    """Give the uses that have a design factor."""
    return list(_by_name("rope_uses"))


def rope_use(name: str) -> RopeUse:
    """Give a use with its design factor; UnknownMaterial with the nearest names otherwise."""
    row = _rows("rope_uses", name)[-1]
    return RopeUse(
        name=name,
        kind=_word(row, "kind"),
        design_factor=_number(row, "design_factor"),
        source=_word(row, "source"),
    )


def sheave_ratio_names() -> list[str]:
    """Give the rope constructions that have a sheave ratio."""
    return list(_by_name("rope_sheaves"))


def sheave_ratio(name: str) -> SheaveRatio:
    """Give the sheave ratios of a rope construction; UnknownMaterial otherwise."""
    row = _rows("rope_sheaves", name)[-1]
    return SheaveRatio(
        name=name,
        least=_number(row, "least"),
        suggested=_number(row, "suggested"),
        source=_word(row, "source"),
    )


def wire_class(name: str, core: str) -> WireClass:
    """Give a class of wire rope by name and core ('fibre core' or 'steel core')."""
    rows = [row for row in _rows("wire_rope_classes", name) if row["core"] == core]
    if not rows:
        raise UnknownMaterial(
            f"wire rope {name} has no row for core {core!r}. Give 'fibre core' or 'steel core'."
        )
    return WireClass(
        name=name,
        core=core,
        mass_factor=_number(rows[-1], "mass_factor"),
        area_factor=_number(rows[-1], "area_factor"),
        strength_factor=_number(rows[-1], "strength_factor"),
        source=_word(rows[-1], "source"),
    )


def crew_powers() -> list[CrewPower]:
    """Give the rows of what people give in power, in the order of the table."""
    return [
        CrewPower(
            name=_word(row, "name"),
            power=_number(row, "power"),
            duration=_number(row, "duration"),
            source=_word(row, "source"),
        )
        for rows in _by_name("crew_power").values()
        for row in rows
    ]


def crew_forces() -> list[CrewForce]:
    """Give the rows of what people give in force, in the order of the table."""
    return [
        CrewForce(
            name=_word(row, "name"),
            force=_number(row, "force"),
            speed=_optional(row, "speed"),
            duration=_optional(row, "duration"),
            source=_word(row, "source"),
        )
        for rows in _by_name("crew_forces").values()
        for row in rows
    ]


def shackles() -> list[Shackle]:
    """Give the bow shackles, smallest first."""
    found = [
        Shackle(
            name=_word(row, "name"),
            bow_diameter=_number(row, "bow_diameter"),
            pin_diameter=_number(row, "pin_diameter"),
            working_load=_number(row, "working_load"),
            source=_word(row, "source"),
        )
        for rows in _by_name("shackles").values()
        for row in rows
    ]
    return sorted(found, key=lambda shackle: shackle.working_load)


def _word(row: Cells, column: str) -> str:
    """Give a cell of words."""
    return str(row[column])


def _optional(row: Cells, column: str) -> float | None:
    """Give a cell of numbers, or None where it is empty."""
    value = row[column]
    return value if isinstance(value, float) else None


def _number(row: Cells, column: str) -> float:
    """Give a number that the row must have."""
    value = _optional(row, column)
    if value is None:
        raise MaterialTableError(
            f"row {row['name']!r} has no {column}; fill in that cell "
            "(a missing strength is never taken as zero or as unlimited)"
        )
    return value


def _rows(table: str, wanted: str) -> list[Cells]:
    """Give the rows of one name."""
    known = _by_name(table)
    if wanted in known:
        return known[wanted]
    near = difflib.get_close_matches(str(wanted).lower(), list(known), n=3, cutoff=0.4)
    hint = ", ".join(near) if near else ", ".join(list(known)[:12])
    raise UnknownMaterial(
        f"no row of {table}.csv is named {wanted!r}; nearest: {hint}. "
        f"Take one of them, or add a row in your own {table}.csv."
    )


def _by_name(table: str) -> dict[str, list[Cells]]:
    """Give the rows of a table by name: the kit's, then the user's in place of them."""
    rows = dict(_read_as_it_is_now(data_folder() / "materials" / f"{table}.csv"))
    own = user_folder()
    if own is not None and (own / f"{table}.csv").is_file():
        rows.update(_read_as_it_is_now(own / f"{table}.csv"))
    return rows


def _read_as_it_is_now(path: Path) -> dict[str, list[Cells]]:
    """Read a file, or give what was read from it before if it has not changed since."""
    try:
        state = path.stat()
    except OSError as error:
        raise MaterialTableError(f"{path.name} cannot be read: {error.strerror}") from error
    return _read(path, state.st_mtime_ns, state.st_size)


@lru_cache(maxsize=32)
def _read(path: Path, _changed: int, _size: int) -> dict[str, list[Cells]]:
    """Read one file into rows by name, numbers in SI."""
    try:
        text = path.read_text(encoding="utf-8-sig")
        lines = [line for line in csv.reader(text.splitlines()) if any(c.strip() for c in line)]
    except (UnicodeDecodeError, csv.Error) as error:
        raise MaterialTableError(
            f"{path.name} cannot be read as a table ({error}); save it as CSV in UTF-8"
        ) from error
    if len(lines) < 2 or len(lines[0]) != len(lines[1]) or lines[0][0].strip() != "name":
        raise MaterialTableError(
            f"{path.name}: row 1 must give names, the first one 'name', and row 2 a unit for each"
        )
    head, units = ([cell.strip() for cell in line] for line in lines[:2])
    found: dict[str, list[Cells]] = {}
    for number, cells in enumerate(lines[2:], 3):
        if len(cells) != len(head):
            raise MaterialTableError(
                f"{path.name}, row {number}: {len(cells)} cells, but row 1 has {len(head)}; "
                "put cells with a comma in double quotes"
            )
        row: Cells = {
            column: _value(path, number, column, unit, cell.strip())
            for column, unit, cell in zip(head, units, cells, strict=True)
        }
        row["source"] = row.get("source") or NO_SOURCE
        found.setdefault(str(row["name"]), []).append(row)
    return found


def _value(path: Path, number: int, column: str, unit: str, cell: str) -> str | float | None:
    """Turn one cell into words, an SI number, or None where a number is not given."""
    if unit == "text":
        return cell
    if unit not in _SCALE:
        raise MaterialTableError(
            f"{path.name}, row 2: unit {unit!r} of column {column} is not known; "
            f"known: text, {', '.join(_SCALE)}"
        )
    if not cell:
        return None
    try:
        value = float(cell)
    except ValueError:
        value = -1.0
    if not 0.0 <= value < float("inf"):
        raise MaterialTableError(
            f"{path.name}, row {number}: {column} is {cell!r}; give a number of zero or more in "
            f"{unit}"
        )
    return value * _SCALE[unit]

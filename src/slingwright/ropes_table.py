"""Ropes, knots, shackles, sheaves, design factors and people's strength, by name, in SI.

Every row says where its numbers come from. The marking or certificate of the piece in hand goes
before any table. Tables may be lengthened in the same way as material tables: a file of the same
name in the user's own folder; a row without a source is kept, and marked.
"""

import csv
import difflib
import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from slingwright.material_tables import NO_SOURCE, MaterialTableError, UnknownMaterial, user_folder
from slingwright.places import data_folder

Folder = str | Path | None
UNKNOWN = "unknown"
"""The rating of a piece that nobody has rated: it never passes."""

_SCALE = {
    "-": 1.0,
    "m": 1.0,
    "mm": 1e-3,
    "in": 0.0254,
    "N": 1.0,
    "kN": 1e3,
    "lbf": 4.4482216152605,
    "kg": 1.0,
    "t": 1e3,
    "s": 1.0,
    "m/s": 1.0,
    "W": 1.0,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Rope:
    """One rope of a diameter [m] with its minimum breaking force [N]."""

    material: str
    diameter: float
    breaking_force: float
    source: str
    sourced: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WireClass:
    """Factors of a wire rope class: mass, metal area and minimum breaking force [-]."""

    name: str
    core: str
    mass_factor: float
    area_factor: float
    strength_factor: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Knot:
    """A knot or splice, and the share of the rope's strength that it keeps [-]."""

    name: str
    kind: str
    kept: float
    source: str
    sourced: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Shackle:
    """A bow shackle: diameters [m] and working load [kg]."""

    name: str
    bow_diameter: float
    pin_diameter: float
    working_load: float
    source: str
    sourced: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """What a rope, chain or shackle is used for, and the design factor that this asks for [-]."""

    name: str
    kind: str
    design_factor: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheaveRule:
    """Sheave over rope diameter that a rope wants: the least and the suggested [-]."""

    name: str
    least: float
    suggested: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewForce:
    """What one person was found to push or pull [N], at a speed [m/s], for a time [s]."""

    name: str
    force: float
    speed: float | None
    duration: float | None
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewPower:
    """What power one person was found to give [W], for a time [s]."""

    name: str
    power: float
    duration: float
    source: str


def rope_materials(folder: Folder = None) -> list[str]:
    """Give the names of the ropes in the table."""
    return list(dict.fromkeys(row["name"] for row in _rows("ropes", folder)))


def ropes(material: str, folder: Folder = None) -> list[Rope]:
    """Give the ropes of one material, thinnest first."""
    found = [
        Rope(
            material=row["name"],
            diameter=_positive("ropes", row, "diameter"),
            breaking_force=_positive("ropes", row, "breaking_force"),
            source=row["source"] or NO_SOURCE,
            sourced=bool(row["source"]),
        )
        for row in _named("ropes", material, folder)
    ]
    return sorted(found, key=lambda one: one.diameter)


def rope(material: str, diameter: float, folder: Folder = None) -> Rope:
    """Give a rope of a diameter; between two rows the strength of the thinner one is taken.

    Raises:
        UnknownMaterial: no such material, or a rope outside the table's diameters.
    """
    rows = ropes(material, folder)
    thinner = [one for one in rows if one.diameter <= diameter * (1.0 + 1e-9)]
    if not thinner or diameter > rows[-1].diameter * 1.1:
        raise UnknownMaterial(
            f"{material} rope of {1e3 * diameter:g} mm: the table holds "
            f"{1e3 * rows[0].diameter:g} to {1e3 * rows[-1].diameter:g} mm. "
            "Take a diameter inside, or give the breaking force from the maker's certificate."
        )
    row = thinner[-1]
    if math.isclose(row.diameter, diameter, rel_tol=1e-9):
        return row
    return Rope(
        material=material,
        diameter=diameter,
        breaking_force=row.breaking_force,
        source=f"{row.source}; strength of the next thinner, {1e3 * row.diameter:g} mm",
        sourced=row.sourced,
    )


def wire_class(name: str, core: str = "fibre core", folder: Folder = None) -> WireClass:
    """Give the factors of a wire rope class with one of its cores."""
    for row in _named("wire_rope_classes", name, folder):
        if row["core"] == core:
            return WireClass(
                name=name,
                core=core,
                mass_factor=_positive("wire_rope_classes", row, "mass_factor"),
                area_factor=_positive("wire_rope_classes", row, "area_factor"),
                strength_factor=_positive("wire_rope_classes", row, "strength_factor"),
                source=row["source"] or NO_SOURCE,
            )
    raise UnknownMaterial(
        f"wire rope {name} with {core!r}: the table has fibre core and steel core. Name one."
    )


def knot_names(folder: Folder = None) -> list[str]:
    """Give the names of the knots and splices in the table."""
    return [row["name"] for row in _rows("knots", folder)]


def knot(name: str, folder: Folder = None) -> Knot:
    """Give a knot or splice by name."""
    row = _named("knots", name, folder)[-1]
    kept = _positive("knots", row, "kept")
    if kept > 1.0:
        raise MaterialTableError(
            f"knots.csv: {name!r} keeps {kept:g} of the rope's strength, more than all of it. "
            "Give a share of at most 1."
        )
    return Knot(
        name=name,
        kind=row["kind"],
        kept=kept,
        source=row["source"] or NO_SOURCE,
        sourced=bool(row["source"]),
    )


def shackles(folder: Folder = None) -> list[Shackle]:
    """Give the shackles of the table, smallest working load first."""
    found = [
        Shackle(
            name=row["name"],
            bow_diameter=_positive("shackles", row, "bow_diameter"),
            pin_diameter=_positive("shackles", row, "pin_diameter"),
            working_load=_positive("shackles", row, "working_load"),
            source=row["source"] or NO_SOURCE,
            sourced=bool(row["source"]),
        )
        for row in _rows("shackles", folder)
    ]
    return sorted(found, key=lambda one: one.working_load)


def use_names(folder: Folder = None) -> list[str]:
    """Give the uses for which the table has a design factor."""
    return [row["name"] for row in _rows("rope_uses", folder)]


def use(name: str, folder: Folder = None) -> Use:
    """Give a use and its design factor by name."""
    row = _named("rope_uses", name, folder)[-1]
    return Use(
        name=name,
        kind=row["kind"],
        design_factor=_positive("rope_uses", row, "design_factor"),
        source=row["source"] or NO_SOURCE,
    )


def sheave_rule(name: str, folder: Folder = None) -> SheaveRule:
    """Give what sheave a rope wants."""
    row = _named("rope_sheaves", name, folder)[-1]
    return SheaveRule(
        name=name,
        least=_positive("rope_sheaves", row, "least"),
        suggested=_positive("rope_sheaves", row, "suggested"),
        source=row["source"] or NO_SOURCE,
    )


def crew_forces(folder: Folder = None) -> list[CrewForce]:
    """Give what people were found to push and pull."""
    return [
        CrewForce(
            name=row["name"],
            force=_positive("crew_forces", row, "force"),
            speed=_number("crew_forces", row, "speed"),
            duration=_number("crew_forces", row, "duration"),
            source=row["source"] or NO_SOURCE,
        )
        for row in _rows("crew_forces", folder)
    ]


def crew_powers(folder: Folder = None) -> list[CrewPower]:
    """Give what power people were found to give."""
    return [
        CrewPower(
            name=row["name"],
            power=_positive("crew_power", row, "power"),
            duration=_positive("crew_power", row, "duration"),
            source=row["source"] or NO_SOURCE,
        )
        for row in _rows("crew_power", folder)
    ]


def _named(file: str, name: str, folder: Folder) -> list[dict[str, str]]:
    """Give the rows that bear a name; the user's own, where there are any, instead of the kit's."""
    rows = [row for row in _rows(file, folder) if row["name"] == name]
    if rows:
        return rows
    known = list(dict.fromkeys(row["name"] for row in _rows(file, folder)))
    near = difflib.get_close_matches(str(name), known, n=3, cutoff=0.4) or known[:12]
    raise UnknownMaterial(
        f"no row of {file}.csv is named {name!r}; nearest: {', '.join(near)}. "
        "Name one of them, or add a row of your own."
    )


def _rows(file: str, folder: Folder) -> list[dict[str, str]]:
    """Give all rows of a table, the user's own in place of the kit's of the same name."""
    rows = list(_read(*_state(data_folder() / "materials" / f"{file}.csv")))
    own = user_folder(folder)
    if own is not None and (own / f"{file}.csv").is_file():
        extra = list(_read(*_state(own / f"{file}.csv")))
        replaced = {row["name"] for row in extra}
        rows = [row for row in rows if row["name"] not in replaced] + extra
    return rows


def _state(path: Path) -> tuple[Path, int, int]:
    """Give a file with what changes when it is written."""
    try:
        state = path.stat()
    except OSError as error:
        raise MaterialTableError(f"{path.name} cannot be read: {error.strerror}") from error
    return path, state.st_mtime_ns, state.st_size


@lru_cache(maxsize=32)
def _read(path: Path, _changed: int, _size: int) -> tuple[dict[str, str], ...]:
    """Read one file: names in row 1, units in row 2. Numbers stay text, in SI."""
    try:
        text = path.read_text(encoding="utf-8-sig")
        lines = [line for line in csv.reader(text.splitlines()) if any(c.strip() for c in line)]
    except (UnicodeDecodeError, csv.Error) as error:
        raise MaterialTableError(
            f"{path.name} cannot be read as a table ({error}). Save it as CSV in UTF-8."
        ) from error
    if len(lines) < 2 or lines[0][0] != "name" or len(lines[0]) != len(lines[1]):
        raise MaterialTableError(
            f"{path.name}: row 1 must give names, 'name' first, and row 2 a unit for each. "
            "Write these two rows first."
        )
    head, units = ([cell.strip() for cell in line] for line in lines[:2])
    for column, unit in zip(head, units, strict=True):
        if unit != "text" and unit not in _SCALE:
            raise MaterialTableError(
                f"{path.name}, row 2: unit {unit!r} of column {column} is not known. "
                f"Known: text, {', '.join(_SCALE)}."
            )
    return tuple(_row(path, i, head, units, cells) for i, cells in enumerate(lines[2:], 3))


def _row(
    path: Path, number: int, head: list[str], units: Iterable[str], cells: list[str]
) -> dict[str, str]:
    """Turn one line of cells into SI."""
    if len(cells) != len(head):
        raise MaterialTableError(
            f"{path.name}, row {number}: {len(cells)} cells, but row 1 has {len(head)}. "
            "Put cells with a comma in double quotes."
        )
    row = {"source": ""}
    for column, unit, cell in zip(head, units, cells, strict=True):
        text = cell.strip()
        if unit != "text" and text:
            try:
                value = float(text) * _SCALE[unit]
            except ValueError:
                value = math.nan
            if not (math.isfinite(value) and value >= 0.0):
                raise MaterialTableError(
                    f"{path.name}, row {number}: {column} is {text!r}. "
                    f"Give a number of zero or more in {unit}."
                )
            text = repr(value)
        row[column] = text
    return row


def _number(file: str, row: dict[str, str], column: str) -> float | None:
    """Give a number of a row, or None where its cell is empty."""
    if column not in row:
        raise MaterialTableError(f"{file}.csv has no column {column}. Add it, with its unit.")
    return float(row[column]) if row[column] else None


def _positive(file: str, row: dict[str, str], column: str) -> float:
    """Give a number that a row must have, above zero."""
    value = _number(file, row, column)
    if value is None or not value > 0.0:
        raise MaterialTableError(
            f"{file}.csv: row {row['name']!r} has no {column} above 0. Fill in that cell: "
            "a missing strength is never taken as unlimited."
        )
    return value

"""Reading material tables: CSV files with names in row 1, units in row 2 and a source column.

A table may be lengthened by the user: a file of the same name in a folder of their own, which the
environment variable SLINGWRIGHT_MATERIALS names. Such a file may leave out the source column; a row
without source is kept and says so. A row of the user's that bears the name of one of the kit's rows
takes its place.
"""

import csv
import difflib
import math
import os
from dataclasses import dataclass, fields
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar

from slingwright.places import data_folder

NO_SOURCE = "no source given"
FOLDER_VARIABLE = "SLINGWRIGHT_MATERIALS"
Record = TypeVar("Record")

_SCALE = {
    "-": 1.0,
    "Pa": 1.0,
    "kPa": 1e3,
    "MPa": 1e6,
    "N/mm2": 1e6,
    "GPa": 1e9,
    "kN/mm2": 1e9,
    "psi": 6894.757293168,
    "kg/m3": 1.0,
    "t/m3": 1e3,
    "lb/ft3": 16.01846337396,
    "m/s": 1.0,
    "MPa m/s": 1e6,
    "ft/min": 0.00508,
    "m": 1.0,
    "cm": 1e-2,
    "mm": 1e-3,
    "in": 0.0254,
    "m2": 1.0,
    "mm2": 1e-6,
    "N": 1.0,
    "kN": 1e3,
    "lbf": 4.4482216152605,
    "W": 1.0,
    "s": 1.0,
    "min": 60.0,
    "kg": 1.0,
    "t": 1e3,
}


class MaterialTableError(ValueError):
    """A material table that cannot be used as it stands: says which file, row and column."""


class UnknownMaterial(ValueError):
    """A name that no row of a table bears: says the name, the nearest names and the file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row of a table: numbers in SI, words as written, its source too, an empty cell None."""

    name: str
    numbers: dict[str, float | None]
    words: dict[str, str]
    file: str

    def number(self, column: str) -> float:
        """Give a number that the row must have."""
        value = self.numbers.get(column)
        if value is None:
            raise MaterialTableError(
                f"{self.file}: row {self.name!r} has no {column}; fill in that cell "
                "(a missing strength is never taken as zero or as unlimited)"
            )
        return value


def user_folder() -> Path | None:
    """Give the folder of the user's own tables, or None; a folder that is not there is an error."""
    named = os.environ.get(FOLDER_VARIABLE)
    if not named:
        return None
    path = Path(named)
    if not path.is_dir():
        raise MaterialTableError(
            f"the folder of own material tables {str(path)!r} does not exist; "
            f"make it, or name another in {FOLDER_VARIABLE}"
        )
    return path


def table(name: str) -> dict[str, list[Row]]:
    """Give the rows of table `name` by material name: the kit's, then the user's over them.

    Args:
        name: file name without ".csv".

    Raises:
        MaterialTableError: a file that cannot be read, naming file, row and column.
    """
    rows = dict(_read_as_it_is_now(data_folder() / "materials" / f"{name}.csv"))
    own = user_folder()
    if own is not None and (own / f"{name}.csv").is_file():
        rows.update(_read_as_it_is_now(own / f"{name}.csv"))
    return rows


def rows_of(name: str, wanted: str) -> list[Row]:
    """Give the rows of table `name` for one material.

    Raises:
        UnknownMaterial: no such name; the message gives the nearest names and the file.
    """
    rows = table(name)
    if wanted in rows:
        return rows[wanted]
    file = data_folder() / "materials" / f"{name}.csv"
    lower = {known.lower(): known for known in rows}
    near = difflib.get_close_matches(str(wanted).lower(), list(lower), n=3, cutoff=0.4)
    hint = ", ".join(lower[word] for word in near) if near else ", ".join(list(rows)[:12])
    raise UnknownMaterial(
        f"no {name.replace('_', ' ')} row is named {wanted!r}; nearest: {hint}; "
        f"names come from {file.name} (own rows: a {file.name} in the folder {FOLDER_VARIABLE})"
    )


def row_of(name: str, wanted: str) -> Row:
    """Give the one row of table `name` for a material.

    Raises:
        UnknownMaterial: no such name.
        MaterialTableError: more than one row bears the name.
    """
    rows = rows_of(name, wanted)
    if len(rows) > 1:
        raise MaterialTableError(
            f"{rows[0].file}: {wanted!r} is named twice; a name stands for one row, so rename one"
        )
    return rows[0]


def record(kind: type[Record], row: Row, **given: Any) -> Record:
    """Make a record of a row: its words as written, its numbers, which must be above zero.

    Raises:
        MaterialTableError: a number that the row lacks, or that is zero.
    """
    for one in fields(kind):  # type: ignore[arg-type]
        if one.name in row.words:
            given[one.name] = row.words[one.name]
        elif one.name not in given:
            given[one.name] = row.number(one.name)
            if given[one.name] <= 0.0:
                raise MaterialTableError(
                    f"{row.file}: row {row.name!r} has {one.name} = 0; a strength of zero makes "
                    "every check fail or divide by zero, so give the true value"
                )
    return kind(**given)


def _read_as_it_is_now(path: Path) -> dict[str, list[Row]]:
    """Read a file, or give what was read from it before if it has not changed since."""
    try:
        state = path.stat()
    except OSError as error:
        raise MaterialTableError(f"{path.name} cannot be read: {error.strerror}") from error
    return _read(path, state.st_mtime_ns, state.st_size)


@lru_cache(maxsize=64)
def _read(path: Path, _changed: int, _size: int) -> dict[str, list[Row]]:
    """Read one file into rows by name."""
    try:
        text = path.read_text(encoding="utf-8-sig")
        lines = [line for line in csv.reader(text.splitlines()) if any(c.strip() for c in line)]
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise MaterialTableError(
            f"{path.name} cannot be read as a table ({error}); save it as CSV in UTF-8"
        ) from error
    if len(lines) < 2:
        raise MaterialTableError(f"{path.name}: row 1 must give names and row 2 units")
    head = [cell.strip() for cell in lines[0]]
    units = [cell.strip() for cell in lines[1]]
    _check_head(path, head, units)
    found: dict[str, list[Row]] = {}
    for number, cells in enumerate(lines[2:], 3):
        if len(cells) != len(head):
            raise MaterialTableError(
                f"{path.name}, row {number}: {len(cells)} cells, but row 1 has {len(head)}; "
                "put cells with a comma in double quotes"
            )
        row = _row(path, number, head, units, [cell.strip() for cell in cells])
        found.setdefault(row.name, []).append(row)
    return found


def _check_head(path: Path, head: list[str], units: list[str]) -> None:
    """Refuse a head that lacks names, units or a known unit."""
    if head[0] != "name":
        raise MaterialTableError(f"{path.name}: the first column must be 'name', not {head[0]!r}")
    if len(set(head)) != len(head):
        raise MaterialTableError(f"{path.name}: row 1 names a column twice")
    if len(units) != len(head):
        raise MaterialTableError(
            f"{path.name}, row 2: {len(units)} units for {len(head)} columns; give each column one"
        )
    for column, unit in zip(head, units, strict=True):
        if unit != "text" and unit not in _SCALE:
            raise MaterialTableError(
                f"{path.name}, row 2: unit {unit!r} of column {column} is not known; "
                f"known: text, {', '.join(_SCALE)}"
            )


def _row(path: Path, number: int, head: list[str], units: list[str], cells: list[str]) -> Row:
    """Turn one line of cells into a row in SI."""
    numbers: dict[str, float | None] = {}
    words: dict[str, str] = {}
    for column, unit, cell in zip(head, units, cells, strict=True):
        if unit == "text":
            words[column] = cell
            continue
        if not cell:
            numbers[column] = None
            continue
        try:
            value = float(cell)
        except ValueError:
            value = math.nan
        if not math.isfinite(value) or value < 0.0:
            raise MaterialTableError(
                f"{path.name}, row {number}: {column} is {cell!r}; give a number of zero or more "
                f"in {unit}"
            )
        numbers[column] = value * _SCALE[unit]
    if not words.get("name"):
        raise MaterialTableError(f"{path.name}, row {number}: the name is empty")
    words["source"] = words.get("source") or NO_SOURCE
    return Row(name=words["name"], numbers=numbers, words=words, file=path.name)

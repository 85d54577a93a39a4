"""A load cell's file as a table: what separates its columns, its decimal sign, units and times.

Everything here is shown back before it is used. What can be read in two ways is asked, not guessed.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from slingwright.amounts.answer import Answer, Row
from slingwright.winch.load_cell.numbers import clock, counted, number

FORCE_UNITS = {"N": 1.0, "daN": 10.0, "kN": 1e3, "kgf": 9.80665, "tf": 9806.65,
               "lbf": 4.4482216152605, "kip": 4448.2216152605}  # fmt: skip
TIME_UNITS = {"s": 1.0, "ms": 1e-3, "us": 1e-6, "min": 60.0, "h": 3600.0}
PLACE_UNITS = {"deg": math.radians(1.0), "rad": 1.0, "turns": 1.0}
COUNTS = ("arm from level", "arm from upright", "turns of the drum", "turns of the crank")
"""What a second channel may count, that says how far the machine is wound."""
LARGEST_FILE = 200_000_000  # bytes
MARKS = {";": "semicolon", "\t": "tab", ",": "comma", " ": "space"}  # between columns
SHOWN = 4  # first rows that are shown back
LOOKED = 400  # lines from which the separator is found
_ALSO: Mapping[str, str] = MappingProxyType(
    {"kg": "kgf", "kp": "kgf", "lb": "lbf", "lbs": "lbf", "klbf": "kip", "kips": "kip"}
    | {"sec": "s", "secs": "s", "seconds": "s", "msec": "ms", "\u00b5s": "us", "\u03bcs": "us"}
    | {"minutes": "min", "hours": "h"}
    | {"\u00b0": "deg", "degree": "deg", "degrees": "deg", "turn": "turns", "rev": "turns"}
    | {"revs": "turns"}
)
_IN_NAME = re.compile(r"[\[(]\s*([^\])]*?)\s*[\])]\s*$|(?:\bin\s+|[/_]\s*)([^\s/_\[\](),]+)\s*$")
_OF_TIME = re.compile(r"(?i)\b(t|time|zeit|temps|tid|tijd|tempo|tiempo|clock|elapsed|timestamp)\b")
_OF_PLACE = re.compile(
    r"(?i)\b(angle|elevation|inclination|tilt|winkel|vinkel|turns?|revs?|revolutions?|umdrehungen)\b"
)
_KNOWN = frozenset((*FORCE_UNITS, *TIME_UNITS, *PLACE_UNITS))
_OF_FORCE = re.compile(r"(?i)force|load|pull|cell|kraft|last|kracht|fuerza|carga|tension|^f\b")


class TraceError(ValueError):
    """A trace that cannot be used: says which file, row or column, and what to do."""


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class TraceFile(Answer):
    """What a load cell's file was recognised as, before anything is read off it."""

    name: str
    delimiter: str  # one of MARKS
    heads: tuple[list[str], ...]  # rows above the data
    data: list[list[str]]  # rows from the first with numbers on, those at the end among them

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the columns, or "column 1" and so on where the file has none."""
        head = next((row for row in self.heads if len(row) >= 2), [])
        wide = max(len(row) for row in (*self.heads, *self.data[:1]))
        return tuple(
            head[k] if k < len(head) and head[k] else f"column {k + 1}" for k in range(wide)
        )

    def unit(self, column: int, units: Mapping[str, float]) -> str | None:
        """Unit that a column's name, or the row of units under it, says; None where it says none.

        Raises: TraceError: it says a unit of another kind than `units`.
        """
        said = [found for cell in self._told(column) if (found := unit_in(cell))]
        if not said:
            return None
        here = _ALSO.get(said[-1], said[-1])
        if here in units:
            return here
        if here in _KNOWN:
            raise TraceError(
                f"{self.name}: column {self.names[column]!r} is in {here}, and one of "
                f"{', '.join(units)} is needed there. Choose another column."
            )
        return None

    def _told(self, column: int) -> Iterator[str]:
        """Give a column's name and, where the next row is one of units, its unit in brackets."""
        rows = [row for row in self.heads if len(row) >= 2]
        for row in rows:
            cell = row[column] if column < len(row) else ""
            plain = _ALSO.get(cell.strip("[]() "), cell.strip("[]() "))
            units_row = row is not rows[0] and plain in _KNOWN
            yield f"[{plain}]" if units_row else cell

    def column(self, wanted: str | int) -> int:
        """Give the number of a column by its number or by its name in any row above the data.

        Raises: TraceError: there is none.
        """
        if isinstance(wanted, int):
            if not 0 <= wanted < max(map(len, (*self.heads, *self.data))):
                raise TraceError(f"{self.name} has no column {wanted}, counted from 0.")
            return wanted
        for head in reversed(self.heads):
            folded = [known.lower() for known in head]
            if wanted.lower() in folded:
                return folded.index(wanted.lower())
        named = ", ".join(self.heads[0]) if self.heads else "without names"
        raise TraceError(f"{self.name} has no column {wanted!r}; its columns: {named}.")

    @property
    def clocked(self) -> tuple[int, ...]:
        """Columns that hold times of day, with a date or without."""
        row = self.data[0]
        return tuple(k for k, cell in enumerate(row) if math.isfinite(clock(cell)))

    @property
    def time_column(self) -> int:
        """Column that looks like the time: by its cells, its name, or the first that rises."""
        named = [k for k, one in enumerate(self.names) if _OF_TIME.search(one.replace("_", " "))]
        return [*self.clocked, *named, 0][0]

    @property
    def force_column(self) -> int:
        """Column that looks like the force: by its unit, its name, or the first that is no time."""
        others = [k for k in range(len(self.names)) if k != self.time_column]
        others = [k for k in others if not self._unit(k, PLACE_UNITS)]
        rated = [k for k in others if self._unit(k, FORCE_UNITS)]
        named = [k for k in others if _OF_FORCE.search(self.names[k].replace("_", " "))]
        return [*rated, *named, *others, 0][0]

    @property
    def place_column(self) -> int | None:
        """Column that looks like the arm's angle or like turns, by its unit or name; or None."""
        others = [k for k in range(len(self.names)) if k != self.time_column]
        rated = [k for k in others if self._unit(k, PLACE_UNITS)]
        named = [k for k in others if _OF_PLACE.search(self.names[k].replace("_", " "))]
        return [*rated, *(k for k in named if not self._unit(k, FORCE_UNITS)), None][0]

    def place_as(self, column: int) -> str | None:
        """Which of COUNTS a column counts, by its name and unit; None if they do not say."""
        name, unit = self.names[column].lower(), self._unit(column, PLACE_UNITS)
        angles, turns = ("level|horizontal|elevation", "upright|vertical"), ("drum", "crank")
        which = [bool(re.search(one, name)) for one in (turns if unit == "turns" else angles)]
        if unit is None or sum(which) != 1:
            return None
        return COUNTS[which.index(True) + (2 if unit == "turns" else 0)]

    def _unit(self, column: int, units: Mapping[str, float]) -> str | None:
        try:
            return self.unit(column, units)
        except TraceError:
            return None

    @property
    def time_unit(self) -> str | None:
        """Unit of the time by its column's name; seconds for times of day; None if not said."""
        return "s" if self.clocked else self._unit(self.time_column, TIME_UNITS)

    @property
    def force_unit(self) -> str | None:
        """Unit of the force by its column's name; None if not said."""
        return self._unit(self.force_column, FORCE_UNITS)

    @property
    def decimal(self) -> str:
        """Decimal sign of the first rows: comma, point, or none seen."""
        cells = [cell for row in self.data[:LOOKED] for cell in row if math.isfinite(number(cell))]
        last = [re.sub(r"[^.,]", "", cell)[-1:] for cell in cells]
        found = [mark for mark in last if mark]
        if not found:
            return "none seen"
        return "comma" if found.count(",") > found.count(".") else "point"

    @property
    def sentence(self) -> str:
        """What the file was taken for, and what still has to be said."""
        asks = self.asks
        still = f" Still to be said: {'; '.join(asks)}." if asks else ""
        return (
            f"{self.name}: {counted(len(self.data), 'row')} with a {MARKS[self.delimiter]} between "
            f"columns, decimal sign {self.decimal}; time in {self.names[self.time_column]!r} "
            f"({self._time_words}), force in {self.names[self.force_column]!r} "
            f"({self.force_unit or 'unit not said'}){self._place_words}.{still}"
        )

    @property
    def asks(self) -> tuple[str, ...]:
        """What the file does not say and nobody may guess."""
        found = []
        if self.time_unit is None:
            found.append("the unit of time")
        if self.force_unit is None:
            found.append("the unit of force")
        rated = sum(self._unit(k, FORCE_UNITS) is not None for k in range(len(self.names)))
        named = sum(bool(_OF_FORCE.search(one)) for one in self.names)
        if rated > 1 or (not rated and named != 1 and len(self.names) > 2):
            found.append("which column is the force")
        at = self.place_column
        if at is not None and self.place_as(at) is None:
            found.append(f"what {self.names[at]!r} counts, or it is left out: {', '.join(COUNTS)}")
        return tuple(found)

    @property
    def _time_words(self) -> str:
        return "times of day" if self.clocked else self.time_unit or "unit not said"

    @property
    def _place_words(self) -> str:
        if (at := self.place_column) is None or (counts := self.place_as(at)) is None:
            return ""
        return f", {counts} in {self.names[at]!r}"

    def rows(self) -> Iterator[Row]:
        """Give separator, decimal sign, columns, units, what stands around the data, first rows."""
        yield Row("delimiter", "Between columns", MARKS[self.delimiter])
        yield Row("decimal", "Decimal sign", self.decimal)
        yield Row("time", "Time in", self.names[self.time_column], self._time_words)
        unit = self.force_unit or "unit not said"
        yield Row("force", "Force in", self.names[self.force_column], unit)
        if (at := self.place_column) is not None:
            yield Row("place", "How far wound, in", self.names[at], self.place_as(at) or "not said")
        forces = [number(row[self.force_column]) for row in self.data if self._has_force(row)]
        low = sum(force < 0.0 for force in forces)
        below = f"{low} of {len(forces)} below 0" if low else "no force below 0"
        yield Row("sign", "Sign of the force", below)
        above = " / ".join(" ".join(row) for row in self.heads if len(row) < 2)[:80]
        yield Row("above", "Rows above the data", f"{len(self.heads)}", above)
        for k, row in enumerate(self.data[:SHOWN]):
            yield Row(f"row.{k + 1}", f"Row {k + 1}", " | ".join(row)[:120])
        yield Row("rows", "Rows", f"{len(self.data)}", f"last: {' | '.join(self.data[-1])[:60]}")
        for ask in self.asks:
            yield Row(f"ask.{ask}", "To be said", ask)

    def _has_force(self, row: Sequence[str]) -> bool:
        return self.force_column < len(row) and math.isfinite(number(row[self.force_column]))


def recognise(source: str | Path, *, text: bool = False) -> TraceFile:
    """Find out what a load cell's file holds, without reading a trace off it.

    Args:
        source: path of the file, or the text itself where `text` is true.

    Raises: TraceError: it is not there, too large, no text, empty or no table.
    """
    name = "trace" if text else Path(source).name
    lines = _lines(str(source) if text else _content(Path(source)))
    delimiter = _delimiter(lines)
    rows = _rows(name, lines, delimiter)
    first = next((k for k, row in enumerate(rows) if _is_data(row)), len(rows))
    heads = rows[:first]
    return TraceFile(name=name, delimiter=delimiter, heads=tuple(heads), data=rows[first:] or [[]])


def decoded(name: str, content: bytes) -> str:
    """Give the text of a file's bytes: UTF-8, UTF-16 with its mark, or Windows-1252.

    Raises: TraceError: it is none of these.
    """
    utf_16 = content[:2] in (b"\xff\xfe", b"\xfe\xff")
    for encoding in ("utf-16",) if utf_16 else ("utf-8-sig", "cp1252"):
        try:
            return content.decode(encoding).replace("\0", "")
        except UnicodeDecodeError as error:
            last = error
        if b"\0" in content:
            break
    raise TraceError(f"{name} cannot be read as text: {last}. Save it as CSV in UTF-8.") from last


def cells_of(rows: Sequence[Sequence[str]], at: int) -> list[str]:
    """Give the cells of a column, empty where a row is too short."""
    return [row[at] if at < len(row) else "" for row in rows]


# ---- within


def unit_in(cell: str) -> str:
    """Give what a column's name says in brackets, or after a slash, an underscore or "in"."""
    found = _IN_NAME.search(cell)
    if found is None:
        return ""
    unit = found[1] if found[1] is not None else found[2]
    if found[1] is None and _ALSO.get(unit, unit) not in _KNOWN:
        return ""
    return unit


def _content(path: Path) -> str:
    """Read a file's text, refusing what is not there, too large, or no text."""
    try:
        size = path.stat().st_size
        if size > LARGEST_FILE:
            raise TraceError(
                f"{path.name} has {size / 1e6:.0f} MB, at most {LARGEST_FILE / 1e6:.0f} are read. "
                "Cut it to the winding."
            )
        return decoded(path.name, path.read_bytes())
    except OSError as error:
        raise TraceError(
            f"{path.name} cannot be read: {error}. Save it as CSV in UTF-8."
        ) from error


def _lines(text: str) -> list[str]:
    kept = [
        line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")
    ]
    if not kept:
        raise TraceError("the trace is empty. Export it again.")
    return kept


def _is_data(row: Sequence[str]) -> bool:
    numbers = sum(math.isfinite(number(cell)) for cell in row)
    return numbers >= 2 or (numbers == 1 and any(math.isfinite(clock(cell)) for cell in row))


def _delimiter(lines: list[str]) -> str:
    """Find what separates the columns: a semicolon or a tab before a comma, then spaces.

    The one with which most of the lines are rows of data, for words stand above and below them.
    Spaces also where every comma may be a decimal one: in `1 900,5` two numbers are set apart.
    """
    sample = lines[-LOOKED:]
    for mark in (";", "\t"):
        if 2 * sum(mark in line for line in sample) > len(sample):
            return mark
    comma = [line for line in sample if "," in line]
    apart = [
        line
        for line in sample
        if sum(math.isfinite(number(cell)) for cell in line.split()) > 1
        or (len(line.split()) > 1 and _is_data(line.split()) and "," not in line)
    ]
    return "," if 2 * len(comma) > len(sample) and 2 * len(apart) <= len(sample) else " "


def _rows(name: str, lines: list[str], delimiter: str) -> list[list[str]]:
    """Cut the lines into cells."""
    if delimiter == " ":
        return [line.split() for line in lines]
    try:
        return [[c.strip() for c in row] for row in csv.reader(lines, delimiter=delimiter)]
    except csv.Error as error:
        raise TraceError(f"{name} is not a table: {error}. Export it again as CSV.") from error

"""What every answer can do: sentence, rows, table, plain record, and a look in a notebook."""

from __future__ import annotations

import csv
import html
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from slingwright.amounts import units
from slingwright.amounts.cells import for_csv
from slingwright.amounts.figures import NOTHING
from slingwright.amounts.text import Amount, Text, told

LONGEST_REPR = 400  # characters
SHORT_CELL = 14  # letters of a cell that is never broken

Cell = Amount | str | None
"""What stands in one place of a table: an amount, words, or None where there is nothing."""


@dataclass(frozen=True, slots=True)
class Row:
    """One line of an answer: a key that never changes, a label, an amount or words, a note."""

    key: str
    label: str
    value: Cell
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Table:
    """Rows under a head, for terminal, page, print and spreadsheet alike.

    Args:
        head: the name of each column.
        lines: the cells, a tuple a row, as many as the head has names.
        caption: a sentence above the table.
        system: units that the cells are shown in.
    """

    head: tuple[str, ...]
    lines: tuple[tuple[Cell, ...], ...]
    caption: str = ""
    system: units.System = "metric"

    def cells(self) -> list[tuple[str, ...]]:
        """Give every row as a reader sees it."""
        return [tuple(self._cell(cell) for cell in line) for line in self.lines]

    def _cell(self, cell: Cell) -> str:
        return NOTHING if cell is None else told(cell, self.system)

    def __str__(self) -> str:
        rows = self.cells()
        if any(self.head):
            rows.insert(0, self.head)
        wide = [max(map(len, column)) for column in zip(*rows, strict=True)]
        lines = [
            "  ".join(cell.ljust(w) for cell, w in zip(row, wide, strict=True)).rstrip()
            for row in rows
        ]
        return "\n".join(([told(self.caption, self.system)] if self.caption else []) + lines)

    __repr__ = __str__

    def _repr_html_(self) -> str:
        caption = html.escape(told(self.caption, self.system))
        head = "".join(
            f"<th scope='col' style='text-align:left'>{html.escape(name)}</th>"
            for name in self.head
        )
        body = "".join(
            f"<tr>{''.join(_html_cell(i, cell) for i, cell in enumerate(row))}</tr>"
            for row in self.cells()
        )
        return (
            f"<table><caption style='text-align:left'>{caption}</caption>"
            + (f"<thead><tr>{head}</tr></thead>" if any(self.head) else "")
            + f"<tbody>{body}</tbody></table>"
        )

    def to_csv(self, path: str | Path) -> None:
        """Write the table as comma-separated values, amounts as plain numbers in SI."""
        with Path(path).open("w", newline="", encoding="utf-8") as file:
            writer = csv.writer(file)
            writer.writerow([for_csv(name) for name in self.head])
            writer.writerows([for_csv(_plain(cell)) for cell in line] for line in self.lines)

    def to_frame(self) -> Any:
        """Give the table as a pandas DataFrame, amounts as plain numbers in SI.

        Raises:
            ImportError: pandas is not installed.
        """
        try:
            import pandas
        except ImportError as error:
            raise ImportError(
                "to_frame needs pandas, which is not installed; install it with "
                "`pip install pandas`, or write the table with to_csv"
            ) from error
        rows = [[_plain(cell) for cell in line] for line in self.lines]
        return pandas.DataFrame(rows, columns=list(self.head))


class Answer:
    """An answer that tells itself.  A subclass gives `sentence` and `rows()`.

    Screen, terminal, print and JSON read these two, so that none of them says anything of its own.
    """

    __slots__ = ()

    if TYPE_CHECKING:
        # Declared for readers and types alone: a record may hold its sentence as a field.
        @property
        def sentence(self) -> str:
            """The answer in a sentence or two."""

        def rows(self) -> Iterable[Row]:
            """Give the lines of the answer."""

    def table(self, system: units.System = "metric") -> Table:
        """Give the rows as a table."""
        lines = tuple((row.label, row.value, row.note) for row in self.rows())
        return Table(head=("", "", ""), lines=lines, caption=self.sentence, system=system)

    def record(self) -> dict[str, Any]:
        """Give the answer as plain data in SI, ready for JSON."""
        return {
            "sentence": str(self.sentence),
            "rows": {row.key: _record_row(row) for row in self.rows()},
        }

    def to_frame(self) -> Any:
        """Give the table as a pandas DataFrame; see `Table.to_frame`."""
        return self.table().to_frame()

    def to_csv(self, path: str | Path) -> None:
        """Write the table as comma-separated values; see `Table.to_csv`."""
        self.table().to_csv(path)

    def _repr_html_(self) -> str:
        return self.table()._repr_html_()

    def __repr__(self) -> str:
        return short(f"<{type(self).__name__}: {self.sentence}>")


def short(words: str) -> str:
    """Cut words to the length of one short line for a terminal.

    >>> len(short("a" * 1000))
    400
    """
    return words if len(words) <= LONGEST_REPR else words[: LONGEST_REPR - 2] + "…>"


def plain(value: Any) -> Any:
    """Give a tree of records, arrays and numbers as plain data; what JSON cannot hold is None.

    >>> plain({"a": (1.0, float("nan")), "b": Amount(2.0, "m")})
    {'a': [1.0, None], 'b': 2.0}
    """
    if isinstance(value, Amount):
        value = value.value
    if isinstance(value, Text):
        return str(value)
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    if hasattr(value, "tolist"):
        return plain(value.tolist())
    if isinstance(value, Sequence) and not isinstance(value, str):
        return [plain(one) for one in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def _record_row(row: Row) -> dict[str, Any]:
    unit = {"unit": row.value.unit} if isinstance(row.value, Amount) else {}
    note = {"note": str(row.note)} if row.note else {}
    return {"label": row.label, "value": plain(row.value), **unit, **note}


def _plain(cell: Cell) -> float | str | None:
    return cell.value if isinstance(cell, Amount) else None if cell is None else str(cell)


def _html_cell(place: int, cell: str) -> str:
    kept = ";white-space:nowrap" if len(cell) <= SHORT_CELL else ""
    tag = "th scope='row'" if place == 0 else "td"
    return f"<{tag} style='text-align:left{kept}'>{html.escape(cell)}</{tag.split()[0]}>"

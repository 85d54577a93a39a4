"""What a report is made of: sections with words, lists to tick, pictures, tables and listings."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import matplotlib

from slingwright.amounts.answer import Table
from slingwright.places import shared_folder

WIDEST, SHORT = 90, 18
"""Letters from which on a column gets no wider for more, and up to which it never breaks."""
NUMBER = 24  # letters that a cell with a number has at most


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A part of the report: words, lines to tick, pictures, tables, and text kept as it is.

    A picture is its file's name, its SVG, and what it shows.
    """

    title: str
    words: Sequence[str] = ()
    ticks: Sequence[str] = ()
    pictures: Sequence[tuple[str, bytes, str]] = ()
    sheets: Sequence[Table] = ()
    listing: str = ""
    apart: bool = False  # on a page of its own

    def data(self) -> dict[str, Any]:
        """Give the section as the template reads it; a table without rows is left out."""
        return {
            "title": self.title, "words": list(self.words), "ticks": list(self.ticks),
            "pictures": [{"file": name, "words": words} for name, _, words in self.pictures],
            "sheets": [_sheet(table) for table in self.sheets if table.lines],
            "listing": self.listing, "apart": self.apart,
        }  # fmt: skip


def _sheet(table: Table) -> dict[str, Any]:
    """Give a table with each column's share of the width, and its side: numbers to the right."""
    rows = table.cells()
    widths, align = [], []
    for head, *cells in zip(table.head, *rows, strict=True):
        told = [cell for cell in cells if cell]
        digits = sum(
            cell.lstrip("-\N{MINUS SIGN}")[:1].isdigit() and len(cell) <= NUMBER for cell in told
        )
        words = [len(word) for cell in (head, *cells) for word in cell.split()]
        lines = [max(map(len, cell.split("\n"))) for cell in told] or [0]
        number, most = 2 * digits > len(told), max(lines)
        if not number and most > SHORT:
            most = (min(most, WIDEST) + sum(lines) // len(lines)) // 2
        widths.append(max([*words, most]) + 3)
        align.append("r" if number else "l")
    return {"heads": list(table.head), "rows": [list(row) for row in rows], "widths": widths,
            "align": align}  # fmt: skip


def svg(figure: Any) -> bytes:
    """Give a figure as SVG that says the same every time it is made."""
    found = io.BytesIO()
    style = shared_folder() / "plot_style.mplstyle"
    with matplotlib.rc_context(fname=style), matplotlib.rc_context({"svg.hashsalt": "slingwright"}):
        figure.savefig(found, format="svg", metadata={"Date": None})
    return found.getvalue()

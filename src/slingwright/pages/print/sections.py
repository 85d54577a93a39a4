"""What a report is made of: sections with words, lists to tick, pictures, tables and listings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A table of the report: heads, rows of text, share of the width and side of each column."""

    heads: Sequence[str]
    rows: Sequence[Sequence[str]]
    widths: Sequence[float]
    align: str  # a letter a column, l or r

    def data(self) -> dict[str, Any]:
        """Give the table as the template reads it."""
        return {
            "heads": list(self.heads),
            "rows": [list(row) for row in self.rows],
            "widths": list(self.widths),
            "align": list(self.align),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A part of the report: words, lines to tick, pictures, tables, and text kept as it is.

    A picture is its file's name, its SVG, and what it shows.
    """

    title: str
    words: Sequence[str] = ()
    ticks: Sequence[str] = ()
    pictures: Sequence[tuple[str, bytes, str]] = ()
    sheets: Sequence[Sheet] = ()
    listing: str = ""

    def data(self) -> dict[str, Any]:
        """Give the section as the template reads it."""
        return {
            "title": self.title,
            "words": list(self.words),
            "ticks": list(self.ticks),
            "pictures": [{"file": name, "words": words} for name, _, words in self.pictures],
            "sheets": [sheet.data() for sheet in self.sheets],
            "listing": self.listing,
        }

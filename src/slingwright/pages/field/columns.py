"""The columns of a load cell's file: offered on a page, their units asked, read as a trace.

Nothing in a file is believed: its text is read as a table and shown as plain words only.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from slingwright.winch.load_cell import trace
from slingwright.winch.load_cell.table import TraceFile
from slingwright.winch.load_cell.trace import LoadTrace, TraceError

LARGEST_FILE = 5_000_000  # largest file that is taken through the browser, bytes
MOST_COLUMNS, LONGEST_NAME = 200, 60
ASK = "choose"


def plain(words: str) -> str:
    """Give a file's or a column's name as one short line of printable characters.

    >>> plain("a\\n" + "b" * 100)[:8]
    'a bbbbbb'
    """
    kept = "".join(c if c.isprintable() else " " for c in words).strip() or "no name"
    more = len(kept) > LONGEST_NAME
    return kept[: LONGEST_NAME - 1] + "\N{HORIZONTAL ELLIPSIS}" if more else kept


def text_of(name: str, content: bytes, what_else: str) -> str:
    """Give the text of a file that came through the browser.

    Raises:
        TraceError: no text, or too large; the words end with what else to do.
    """
    if len(content) > LARGEST_FILE:
        raise TraceError(
            f"{plain(name)} has {len(content) / 1e6:.1f} MB, at most {LARGEST_FILE / 1e6:.0f} are "
            f"taken through the page. {what_else}"
        )
    return trace.decoded(plain(name), content)


def offer(
    controls: Mapping[str, Any], name: str, text: str, of: str = ""
) -> tuple[TraceFile, Sequence[tuple[str, int]]]:
    """Offer a file's columns for time and force; gives the file, and all columns as options.

    Raises:
        TraceError: it is no table of two columns.
    """
    file = trace.recognise(text, text=True)
    names = file.names[:MOST_COLUMNS]
    if len(names) < 2:
        raise TraceError(
            f"{plain(name)} has one column; a trace has a time and a force in each row."
        )
    options = [(f"{k + 1}: {plain(one)}", k) for k, one in enumerate(names)]
    for what, place, unit in (
        ("time", file.time_column, file.time_unit),
        ("force", file.force_column, file.force_unit),
    ):
        controls[f"{of}{what}"].options = options
        controls[f"{of}{what}"].value = min(place, len(names) - 1)
        controls[f"{of}{what}_unit"].value = unit or ASK
    return file, options


def trace_of(controls: Mapping[str, Any], text: str, of: str = "", **more: Any) -> LoadTrace:
    """Read a file as the controls say, and clean it; `more` as for `read_trace`.

    Raises:
        TraceError: what was not said, or what cannot be read as a trace.
    """
    at = {what: controls[f"{of}{what}"].value for what in ("time", "force")}
    if f"{of}angle" in controls and controls[f"{of}angle"].value is not None:
        at["place"] = controls[f"{of}angle"].value
    for what, column in at.items():
        name = "angle" if what == "place" else what
        unit = controls[f"{of}{name}_unit"].value
        if unit == ASK:
            raise TraceError(f"the unit of {name} is not said. Choose it beside its column.")
        more |= {f"{what}_column": column, f"{what}_unit": unit}
    if "place" in at:
        more["place_as"] = controls[f"{of}angle_as"].value
        if more["place_as"] == ASK:
            raise TraceError("what says how far it is wound counts from somewhere: choose what.")
    return trace.clean(trace.read_trace(text, text=True, **more))

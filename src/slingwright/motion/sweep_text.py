"""Many throws as a table of plain text, and as comma-separated values."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.machine.table import dials

COLUMN_UNITS: Mapping[str, str] = MappingProxyType(
    {
        "range": "m",
        "release_time": "s",
        "release_speed": "m/s",
        "release_elevation": "rad",
        "release_x": "m",
        "release_y": "m",
        "landing_time": "s",
        "landing_speed": "m/s",
        "landing_angle": "rad",
        "apex": "m",
        "peak_axle_load": "N",
        "peak_axle_time": "s",
    }
)
"""SI unit of every column of a sweep that has one; a dial's column has the dial's."""

LISTED = 60
"""Rows that the text lists one by one; beyond that it tells the best and counts the outcomes."""

_READ = ("range", "release_speed", "release_elevation", "efficiency", "peak_axle_load")
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def column_unit(name: str) -> str:
    """Give the SI unit of a sweep's column, "-" where it has none."""
    if name in dials.BY_PATH:
        return dials.BY_PATH[name].si_unit
    return COLUMN_UNITS.get(name, "-")


def csv_lines(columns: Mapping[str, np.ndarray]) -> Iterator[str]:
    """Write a sweep as lines of comma-separated values in SI, a row a throw.

    The heads name the units; what a failed throw has no value for is an empty cell.
    """
    yield _csv_line(
        [name if column_unit(name) == "-" else f"{name} [{column_unit(name)}]" for name in columns]
    )
    kept = [column.tolist() for column in columns.values()]
    for row in zip(*kept, strict=True):
        yield _csv_line([_cell(value) for value in row])


def _csv_line(cells: Sequence[str]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow(cells)
    return out.getvalue()


def _cell(value: Any) -> str:
    if isinstance(value, float):
        return "" if value != value else repr(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    text = str(value)
    # A text that a spreadsheet would take for a formula is kept a text.
    return f"'{text}" if text.startswith(_FORMULA) else text


def sweep_text(
    columns: Mapping[str, np.ndarray], varied: Sequence[str], system: units.System = "metric"
) -> str:
    """Write a sweep for a reader: the rows where they are few, then the best and the outcomes.

    Args:
        columns: of the sweep.
        varied: paths of the dials that were varied.
        system: units that people read, metric or US.
    """
    count = len(columns["outcome"])
    names = [*varied, "outcome", *(name for name in _READ if name in columns)]
    lines: list[str] = []
    if count <= LISTED:
        table = [
            [_head(name) for name in names],
            *([_told(columns, name, row, system) for name in names] for row in range(count)),
        ]
        wide = [max(len(line[i]) for line in table) for i in range(len(names))]
        lines += [
            "  ".join(f"{cell:<{w}}" for cell, w in zip(line, wide, strict=True)).rstrip()
            for line in table
        ]
        lines += [
            f"row {row + 1}: {fault}".replace("\n", "; ")
            for row, fault in enumerate(columns["fault"].tolist())
            if fault
        ]
        lines.append("")
    ends = Counter(columns["outcome"].tolist())
    counts = ", ".join(f"{number:,} {outcome}" for outcome, number in ends.most_common())
    lines.append(f"{count:,} throws: {counts}")
    ranges = columns["range"]
    if np.isfinite(ranges).any():
        best = int(np.nanargmax(ranges))
        where = ", ".join(f"{path} {_told(columns, path, best, system)}" for path in varied)
        lines.append(f"farthest: {units.text(float(ranges[best]), 'm', system)} at {where}")
    if count > LISTED:
        lines.append(f"more than {LISTED} throws are not listed here: --csv writes every one")
    return "\n".join(lines)


def _head(name: str) -> str:
    return name.replace("_", " ")


def _told(columns: Mapping[str, np.ndarray], name: str, row: int, system: units.System) -> str:
    value = columns[name][row]
    if isinstance(value, np.floating):
        number = float(value)
        if number != number:
            return "-"
        if name == "efficiency":
            return f"{100.0 * number:.1f} %"
        return units.text(number, column_unit(name), system)
    if isinstance(value, np.bool_):
        return "true" if value else "false"
    return str(value)

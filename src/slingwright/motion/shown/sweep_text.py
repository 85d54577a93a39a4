"""Many throws as a table of plain text, and as comma-separated values."""

import csv
import io
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.answer import Table
from slingwright.amounts.cells import for_csv
from slingwright.amounts.text import told
from slingwright.motion.sweeping import cell_of, column_unit

LISTED = 60
"""Rows that the text lists one by one; beyond that it tells the best and counts the outcomes."""

_READ = ("range", "release_speed", "release_elevation", "efficiency", "peak_axle_load")


def csv_lines(columns: Mapping[str, np.ndarray]) -> Iterator[str]:
    """Write a sweep as lines of comma-separated values in SI, a row a throw.

    The heads name the units; what a failed throw has no value for is an empty cell.
    """
    kept = [column.tolist() for column in columns.values()]
    shown = {name: column_unit(name) for name in columns}
    head = [name if unit in ("-", "share") else f"{name} [{unit}]" for name, unit in shown.items()]
    for cells in (head, *zip(*kept, strict=True)):
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(["" if cell != cell else for_csv(cell) for cell in cells])
        yield out.getvalue()


def sweep_text(
    columns: Mapping[str, np.ndarray], varied: Sequence[str], system: units.System = "metric"
) -> str:
    """Write a sweep for a reader: the rows where they are few, then the best and the outcomes."""
    count = len(columns["outcome"])
    names = [*varied, "outcome", *(name for name in _READ if name in columns)]
    lines: list[str] = []
    if count <= LISTED:
        rows = ([cell_of(name, columns[name][row]) for name in names] for row in range(count))
        head = tuple(name.replace("_", " ") for name in names)
        lines.append(str(Table(head=head, lines=tuple(map(tuple, rows)), system=system)))
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
        cells = {path: cell_of(path, columns[path][best]) or "-" for path in varied}
        where = ", ".join(f"{path} {told(cell, system)}" for path, cell in cells.items())
        lines.append(f"farthest: {units.text(float(ranges[best]), 'm', system)} at {where}")
    if count > LISTED:
        lines.append(f"more than {LISTED} throws are not listed here: --csv writes every one")
    return "\n".join(lines)

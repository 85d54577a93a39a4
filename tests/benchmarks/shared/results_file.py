"""What the benchmarks share: the machine in words, fair repeats, a table printed and kept."""

from __future__ import annotations

import os
import platform
import statistics
import time
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from importlib.metadata import version
from pathlib import Path

RESULTS = Path(__file__).resolve().parents[1] / "results"


def machine_in_words(packages: Sequence[str]) -> list[str]:
    """Give processor, cores, system, Python and the versions of packages, a line each."""
    processor = platform.processor() or platform.machine()
    about = Path("/proc/cpuinfo")
    if about.exists():
        names = [row for row in about.read_text().splitlines() if row.startswith("model name")]
        processor = names[0].partition(":")[2].strip() if names else processor
    busy = (
        ", ".join(f"{load:.2f}" for load in os.getloadavg()) if hasattr(os, "getloadavg") else "?"
    )
    return [
        f"processor: {processor}, {os.cpu_count()} cores; load when measured: {busy}",
        f"system: {platform.system()} {platform.release()}, {platform.machine()}",
        f"Python {platform.python_version()}; "
        + ", ".join(f"{name} {version(name)}" for name in packages),
        f"measured: {date.today().isoformat()}",
    ]


def in_turn(
    functions: Mapping[str, Callable[[], object]], rounds: int, warm: int = 3
) -> dict[str, list[float]]:
    """Time each function once a round, in turn, so that a busy moment meets them all [s]."""
    for function in functions.values():
        for _ in range(warm):
            function()
    taken: dict[str, list[float]] = {name: [] for name in functions}
    for _ in range(rounds):
        for name, function in functions.items():
            start = time.perf_counter()
            function()
            taken[name].append(time.perf_counter() - start)
    return taken


def median(values: Sequence[float]) -> float:
    """Give the median of the values."""
    return statistics.median(values)


def as_table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """Set rows in columns, the first to the left, the rest to the right."""
    all_rows = [list(heads), *(list(row) for row in rows)]
    wide = [max(len(row[i]) for row in all_rows) for i in range(len(heads))]
    lines = []
    for row in all_rows:
        cells = [
            row[0].ljust(wide[0]),
            *(c.rjust(w) for c, w in zip(row[1:], wide[1:], strict=True)),
        ]
        lines.append("  ".join(cells).rstrip())
    return [lines[0], "-" * len(lines[0]), *lines[1:]]


def keep(name: str, title: str, lines: Sequence[str], packages: Sequence[str]) -> None:
    """Print a benchmark's lines and keep them, with the machine's description, in results."""
    text = "\n".join([title, "=" * len(title), *machine_in_words(packages), "", *lines, ""])
    print(text)
    RESULTS.mkdir(exist_ok=True)
    (RESULTS / f"{name}.txt").write_text(text, encoding="utf-8")


def verdict(what: str, value: float, limit: float, *, at_most: bool) -> tuple[str, bool]:
    """Say whether a ratio keeps its limit."""
    kept = value <= limit if at_most else value >= limit
    word = "at most" if at_most else "at least"
    return f"{what}: {value:.3g} (wanted: {word} {limit:g}) {'kept' if kept else 'MISSED'}", kept

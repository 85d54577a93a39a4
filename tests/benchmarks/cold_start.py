"""Cold start: importing, the first throw ever, the first throw in a later process.

Each is timed by a process of its own, from its start to its end, with an empty folder for compiled
code at first; importing is timed inside Python as well.

    python tests/benchmarks/cold_start.py
"""

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "src")]

from benchmarks.shared.results_file import as_table, keep, median, verdict  # noqa: E402

IMPORTING, FIRST_EVER, LATER = 0.3, 15.0, 2.0
HEAVY = ("sympy", "matplotlib", "numba", "scipy", "pint")

IMPORT = """
import sys, time
start = time.perf_counter()
import slingwright
taken = time.perf_counter() - start
heavy = [name for name in {heavy!r} if name in sys.modules]
print(taken, *heavy)
"""
THROW = """
import slingwright as sw
text = '''
[arm]
long = "5.6 m"
short = "1.6 m"
[axle]
height = "4.0 m"
[counterweight]
mass = "1.4 t"
hung = {hung}
[base]
wheels = {wheels}
[sling]
length = "5.0 m"
[projectile]
mass = "12 kg"
'''
print(sw.throw(sw.parse_machine(text)).outcome)
"""


def timed(program: str, cache: str) -> tuple[float, float, list[str]]:
    """Run a program in a process of its own: seconds by the clock and of the processor, output."""
    environment = {**os.environ, "SLINGWRIGHT_CACHE": cache, "PYTHONPATH": str(ROOT / "src")}
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", program], check=True, capture_output=True, text=True, env=environment
    )
    taken = time.perf_counter() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    busy = after.ru_utime - used.ru_utime + after.ru_stime - used.ru_stime
    return taken, busy, done.stdout.split()


def main() -> int:
    rows, lines, good = [], [], []
    importing = IMPORT.format(heavy=HEAVY)
    with tempfile.TemporaryDirectory() as cache:
        timed(importing, cache)
        runs = [timed(importing, cache) for _ in range(9)]
        inside = median([float(words[0]) for *_, words in runs])
        heavy = sorted({word for *_, words in runs for word in words[1:]})
    line, kept = verdict("import slingwright [s]", inside, IMPORTING, at_most=True)
    lines.append(line)
    good.append(kept)
    lines.append(f"heavy packages it brings: {', '.join(heavy) or 'none'}")
    good.append(not heavy)
    worst = {"first": 0.0, "later": 0.0}
    for hung in (True, False):
        for wheels in (False, True):
            program = THROW.format(hung=str(hung).lower(), wheels=str(wheels).lower())
            with tempfile.TemporaryDirectory() as cache:
                first, first_busy, _ = timed(program, cache)
                again = [timed(program, cache) for _ in range(5)]
                later, later_busy = (median([run[i] for run in again]) for i in (0, 1))
            worst = {"first": max(worst["first"], first), "later": max(worst["later"], later)}
            title = f"{'hinged' if hung else 'fixed'}, {'on wheels' if wheels else 'staked'}"
            rows.append(
                [title, *(f"{value:.2f}" for value in (first, first_busy, later, later_busy))]
            )
    for what, value, limit in (
        ("first throw ever, whole process [s]", worst["first"], FIRST_EVER),
        ("first throw in a later process, whole process [s]", worst["later"], LATER),
    ):
        line, kept = verdict(what, value, limit, at_most=True)
        lines.append(line)
        good.append(kept)
    keep(
        "cold_start",
        "Cold start",
        [
            *as_table(["machine", "first ever, s", "processor s", "later, s", "processor s"], rows),
            "",
            *lines,
        ],
        ["numpy", "numba", "sympy"],
    )
    return 0 if all(good) else 1


if __name__ == "__main__":
    sys.exit(main())

"""A hundred thousand throws over two dials: linear in their number, on both cores, in little room.

* ten times the throws within eleven times the time;
* two threads at least 1.7 times as fast as one;
* memory: what a sweep takes at its highest, over what the process had before, grows with the number
  of throws by no more than a few times the result itself (measured in processes of their own).

    python tests/benchmarks/sweep_speed.py
"""

import json
import os
import resource
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "src")]

import numpy as np  # noqa: E402
from benchmarks.shared.results_file import as_table, keep, median, verdict  # noqa: E402
from outside.machines import otter_ford  # noqa: E402

import slingwright as sw  # noqa: E402

THROWS = 100_000
LINEAR, FASTER, ROOM = 11.0, 1.7, 4.0


def dials_of(throws: int) -> dict[str, np.ndarray]:
    """Values of two dials whose grid has as many points."""
    lengths = throws // 250
    return {
        "sling.length": np.linspace(4.0, 5.5, lengths),
        "counterweight.mass": np.linspace(800.0, 2000.0, 250),
    }


def seconds(throws: int, threads: int, loads: bool) -> float:
    """Time of one sweep on so many threads."""
    import numba

    numba.set_num_threads(threads)
    start = time.perf_counter()
    found = sw.sweep(otter_ford(), dials_of(throws), loads=loads)
    taken = time.perf_counter() - start
    if found.rows != throws:
        raise RuntimeError(f"{found.rows} rows came back of {throws}")
    return taken


def room(throws: int) -> dict[str, float]:
    """Peak memory of a process that makes one sweep, and the size of what it gives [MB]."""
    command = [sys.executable, __file__, "--room", str(throws)]
    return json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)


def report_room(throws: int) -> None:
    """Make a small sweep, then the one asked for, and print what memory it took."""
    sw.sweep(otter_ford(), dials_of(500))
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    found = sw.sweep(otter_ford(), dials_of(throws))
    after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    size = sum(found[name].nbytes for name in found)
    print(json.dumps({"grown": (after - before) / 1024, "result": size / 2**20}))


def main() -> int:
    rows, lines, good = [], [], []
    cores = min(2, os.cpu_count() or 1)
    for loads in (False, True):
        kind = "with axle loads, 5 s of swing-through" if loads else "to release and landing"
        seconds(500, cores, loads)
        taken: dict[tuple[int, int], list[float]] = {}
        for _ in range(3):
            for throws, threads in ((THROWS // 10, cores), (THROWS, cores), (THROWS, 1)):
                taken.setdefault((throws, threads), []).append(seconds(throws, threads, loads))
        for (throws, threads), values in taken.items():
            rows.append(
                [
                    kind,
                    f"{throws:,}",
                    str(threads),
                    f"{median(values):.3f}",
                    f"{1e6 * median(values) / throws:.1f}",
                ]
            )
        tenth, whole, alone = (
            median(taken[key]) for key in ((THROWS // 10, cores), (THROWS, cores), (THROWS, 1))
        )
        for line, kept in (
            verdict(
                f"{kind}: ten times the throws, time times", whole / tenth, LINEAR, at_most=True
            ),
            verdict(f"{kind}: two threads over one", alone / whole, FASTER, at_most=False),
        ):
            lines.append(line)
            good.append(kept)
    few, many = room(THROWS // 10), room(THROWS)
    grown, result = many["grown"] - few["grown"], many["result"] - few["result"]
    lines += [
        f"memory over what was there: {few['grown']:.1f} MB for {THROWS // 10:,} throws, "
        f"{many['grown']:.1f} MB for {THROWS:,}; the results are {few['result']:.1f} and "
        f"{many['result']:.1f} MB"
    ]
    line, kept = verdict("memory growth over result growth", grown / result, ROOM, at_most=True)
    lines.append(line)
    good.append(kept)
    keep(
        "sweep_speed",
        f"{THROWS:,} throws over two dials",
        [*as_table(["throw", "throws", "threads", "s", "us a throw"], rows), "", *lines],
        ["numpy", "numba"],
    )
    return 0 if all(good) else 1


if __name__ == "__main__":
    if sys.argv[1:2] == ["--room"]:
        report_room(int(sys.argv[2]))
    else:
        sys.exit(main())

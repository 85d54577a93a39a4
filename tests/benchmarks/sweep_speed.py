"""A hundred thousand throws over two dials: linear in their number, on both cores, in little room.

* ten times the throws within eleven times the time;
* two threads at least 1.7 times as fast as one;
* memory: what a sweep takes at its highest, over what the process had before, grows with the number
  of throws by no more than a few times the result itself (measured in processes of their own).

    python tests/benchmarks/sweep_speed.py
"""

import json
import os
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
    if found.throws != throws:
        raise RuntimeError(f"{found.throws} rows came back of {throws}")
    return taken


def room(throws: int) -> dict[str, float]:
    """Peak memory of a process that makes one sweep, and the size of what it gives [MB]."""
    command = [sys.executable, __file__, "--room", str(throws)]
    return json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)


def memory(word: str) -> float:
    """Memory of this process now (VmRSS) or at its highest (VmHWM) [MB]; Linux only."""
    for row in Path("/proc/self/status").read_text().splitlines():
        if row.startswith(word + ":"):
            return int(row.split()[1]) / 1024
    raise RuntimeError(f"/proc/self/status tells no {word}: memory is measured on Linux only")


def report_room(throws: int) -> None:
    """Make a small sweep, then the one asked for, and print what memory it took at its highest."""
    sw.sweep(otter_ford(), dials_of(500), loads=False)
    Path("/proc/self/clear_refs").write_text("5")  # start the highest anew, from what is held now
    before = memory("VmRSS")
    found = sw.sweep(otter_ford(), dials_of(throws), loads=False)
    size = sum(found[name].nbytes for name in found)
    print(json.dumps({"grown": memory("VmHWM") - before, "result": size / 2**20}))


def main() -> int:
    rows, lines, good = [], [], []
    cores = min(2, os.cpu_count() or 1)
    # With axle loads a throw goes on for 5 s more: fewer throws will do.
    for loads, most in ((False, THROWS), (True, THROWS // 20)):
        kind = "with axle loads, 5 s of swing-through" if loads else "to release and landing"
        seconds(500, cores, loads)
        taken: dict[tuple[int, int], list[float]] = {}
        for _ in range(3):
            for throws, threads in ((most // 10, cores), (most, cores), (most, 1)):
                taken.setdefault((throws, threads), []).append(seconds(throws, threads, loads))
        for (throws, threads), values in taken.items():
            rows.append(
                [
                    kind,
                    f"{throws:,}",
                    str(threads),
                    f"{min(values):.3f}",
                    f"{median(values):.3f}",
                    f"{1e6 * min(values) / throws:.1f}",
                ]
            )
        # The least of the runs: what else the machine does can only add to it.
        tenth, whole, alone = (
            min(taken[key]) for key in ((most // 10, cores), (most, cores), (most, 1))
        )
        for what, ratio, limit, at_most in (
            ("ten times the throws, time times", whole / tenth, LINEAR, True),
            ("two threads over one", alone / whole, FASTER, False),
        ):
            line, kept = verdict(f"{kind}: {what}", ratio, limit, at_most=at_most)
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
        [
            *as_table(["throw", "throws", "threads", "least s", "median s", "us a throw"], rows),
            "",
            *lines,
        ],
        ["numpy", "numba"],
    )
    return 0 if all(good) else 1


if __name__ == "__main__":
    if sys.argv[1:2] == ["--room"]:
        report_room(int(sys.argv[2]))
    else:
        sys.exit(main())

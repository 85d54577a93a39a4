"""Throws in step beside the same throws one after the other, to release and landing.

* a throw in step takes at most 0.3 of what one takes in the code for one throw, in the same run;
* at most 20 us a throw on two threads, on a processor with nothing else to do;
* what the first long sweep of a process with an empty cache costs, beside a short one, which is
  thrown one by one: the price of the compiling, told and not judged.

Times are the processor's own where only one thread works, so that what else the machine does counts
little; the figures for two threads are by the clock.  Both are timed in turn, the least counts.

    python tests/benchmarks/lanes_speed.py
"""

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "src")]

import numpy as np  # noqa: E402
from benchmarks.shared.results_file import as_table, keep, verdict  # noqa: E402
from outside.machines import otter_ford, random_machine  # noqa: E402

import slingwright as sw  # noqa: E402
from slingwright.machine.machine import moving_table  # noqa: E402
from slingwright.motion import sweeping  # noqa: E402
from slingwright.motion.source.code import LANES, lanes_module, machine_module  # noqa: E402

KINDS = {
    "hinged, staked": (True, False),
    "hinged, wheels": (True, True),
    "fixed, staked": (False, False),
    "fixed, wheels": (False, True),
}
ROWS, ROUNDS, TOLERANCE = 2048, 7, 1e-9
RATIO, MICROSECONDS = 0.3, 20.0


def vectors() -> str:
    """What vector instructions the processor says it has, of those that matter here."""
    about = Path("/proc/cpuinfo")
    if not about.exists():
        return "not known here"
    flags = next(r for r in about.read_text().splitlines() if r.startswith("flags")).split()
    told = [f"{name}: {'yes' if name in flags else 'no'}" for name in ("avx2", "fma", "avx512f")]
    return ", ".join(told)


def tables(hung: bool, wheels: bool) -> dict[str, np.ndarray]:
    """Dials of one machine with its sling varied, and of machines drawn at random."""
    one = otter_ford(hung=hung, wheels=wheels)
    varied, _ = moving_table(one, {"sling.length": np.linspace(4.0, 5.5, ROWS)})
    rng = np.random.default_rng(1)
    drawn = [
        moving_table(random_machine(rng, hung=hung, wheels=wheels), {"site.wind": np.zeros(1)})[0]
        for _ in range(ROWS // 4)
    ]
    return {"Otter Ford": varied, "random": np.concatenate(drawn)}


def least(functions: dict[str, object], threads: int, clock=time.process_time) -> dict[str, float]:
    """Least time of each function of ROUNDS, in turn [s]."""
    import numba

    numba.set_num_threads(threads)
    found = dict.fromkeys(functions, np.inf)
    for _ in range(ROUNDS + 1):
        for name, function in functions.items():
            start = clock()
            function()
            found[name] = min(found[name], clock() - start)
    return found


def both(hung: bool, wheels: bool, table: np.ndarray, threads: bool) -> dict[str, object]:
    """Make the throws of the table, one by one and in step."""
    code = machine_module(hung, wheels)
    results, landings = np.zeros((len(table), code.RESULTS)), np.zeros((len(table), 8))

    def alone(rows: slice) -> None:
        code.few(table[rows], TOLERANCE, 0.0, 1500.0, False, results[rows], landings[rows])

    return {
        "one by one": lambda: sweeping._shared(alone, len(table), threads),
        "in step": lambda: sweeping._in_step(
            hung, wheels, table, TOLERANCE, threads, results, landings
        ),
    }


def first_sweeps() -> dict[str, float]:
    """Time of a first sweep in a fresh process with an empty cache, and again with it filled."""
    found = {}
    for name, rows in (("one by one", sweeping.IN_STEP - 1), ("in step", sweeping.IN_STEP)):
        with tempfile.TemporaryDirectory() as folder:
            command = [sys.executable, __file__, "--first", str(rows)]
            for when in ("empty cache", "filled cache"):
                told = subprocess.run(
                    command, check=True, capture_output=True, text=True,
                    env={**os.environ, "SLINGWRIGHT_CACHE": folder},
                )  # fmt: skip
                found[f"{name}, {when}"] = json.loads(told.stdout)
    return found


def report_first(rows: int) -> None:
    """Print the processor's time for one sweep of so many rows [s]."""
    start = time.process_time()
    values = {"sling.length": np.linspace(4.0, 5.5, rows)}
    sw.sweep(otter_ford(), values, loads=False, executor=None)
    print(json.dumps(time.process_time() - start))


def main() -> int:
    rows, lines, good = [], [], []
    cores = min(2, os.cpu_count() or 1)
    for kind, (hung, wheels) in KINDS.items():
        for what, table in tables(hung, wheels).items():
            alone = least(both(hung, wheels, table, False), 1)
            shared = least(both(hung, wheels, table, True), cores, time.perf_counter)
            per = {name: 1e6 * value / len(table) for name, value in alone.items()}
            per_shared = {name: 1e6 * value / len(table) for name, value in shared.items()}
            ratio = alone["in step"] / alone["one by one"]
            rows.append(
                [
                    f"{kind}: {what}",
                    *(f"{per[name]:.1f}" for name in per),
                    f"{ratio:.3f}",
                    *(f"{per_shared[name]:.1f}" for name in per_shared),
                ]
            )
            line, kept = verdict(
                f"{kind}, {what}: in step over one by one", ratio, RATIO, at_most=True
            )
            lines.append(line)
            good.append(kept)
            if (kind, what) == ("hinged, staked", "Otter Ford"):
                line, kept = verdict(
                    f"{kind}, {what}: us a throw in step, {cores} threads",
                    per_shared["in step"],
                    MICROSECONDS,
                    at_most=True,
                )
                lines.append(line)
                good.append(kept)
    code = lanes_module(True, False)
    first = first_sweeps()
    lines += [
        f"lanes: {LANES}; {code.KEPT} numbers of a lane kept between loops; vectors: {vectors()}",
        "processor's time of a first sweep in a process [s]: "
        + "; ".join(f"{name} {value:.1f}" for name, value in first.items()),
    ]
    heads = [
        "us a throw",
        "1 thread: one by one",
        "in step",
        "ratio",
        f"{cores} threads:",
        "in step",
    ]
    keep(
        "lanes_speed",
        f"Throws in step, {ROWS:,} rows to release and landing",
        [*as_table(heads, rows), "", *lines],
        ["numpy", "numba", "llvmlite"],
    )
    return 0 if all(good) else 1


if __name__ == "__main__":
    if sys.argv[1:2] == ["--first"]:
        report_first(int(sys.argv[2]))
    else:
        sys.exit(main())

"""How fast shots are learned from: 50 shots of the kit's machines, a sampled posterior and all.

Made-up shots with range, time in the air and the release seen by eye, thrown by the kit's own
motion; the usual uncertain numbers; the draws and the next shot's interval,
once warm. Limit: 5 s for 50 shots. Weighing, advice and search of the demonstration machine stand
beside it, without a limit.

    python tests/benchmarks/learning_speed.py
"""

import os
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "src")]

import numpy as np  # noqa: E402
from benchmarks.shared.results_file import as_table, keep, verdict  # noqa: E402

import slingwright as sw  # noqa: E402
from slingwright.changing.file import read_changes  # noqa: E402
from slingwright.changing.next_trial import next_trial  # noqa: E402
from slingwright.changing.search import search, trade_off  # noqa: E402
from slingwright.changing.sensitivity import sensitivity  # noqa: E402
from slingwright.changing.trials import Bound  # noqa: E402
from slingwright.changing.what_if import what_if  # noqa: E402
from slingwright.learning.belief import before_any_shot  # noqa: E402
from slingwright.learning.learning import learn  # noqa: E402
from slingwright.learning.shots import FieldShot, ShotModel  # noqa: E402
from slingwright.motion.spread.uncertain import usual  # noqa: E402

MACHINES = ("otter_ford", "garden", "hinged_pair", "fixed_pair", "on_wheels")
COUNTS = (10, 50, 200)
LIMIT_S, LIMIT_SHOTS = 5.0, 50


def made_up(machine, count):
    """Shots of a machine whose numbers are the priors' means, with scatter."""
    chance = np.random.default_rng(5)
    numbers = usual(machine)
    blank = {"range": (0.0, 1.0), "time_of_flight": (0.0, 0.1)}
    length = machine.number("sling.length")
    shots = [
        FieldShot(label=f"shot {i + 1}", settings={"sling.length": length * share}, seen=blank)
        for i, share in enumerate(np.resize((0.96, 1.0, 1.04), count).tolist())
    ]
    model = ShotModel(machine, shots, numbers)
    told = model({one.name: one.mean for one in numbers}).reshape(count, 2)
    far, long = told[:, 0], told[:, 1]
    sd = 0.015 * np.abs(far)
    return [
        FieldShot(
            label=shot.label,
            settings=shot.settings,
            seen={
                "range": (float(a + s * chance.standard_normal()), float(s)),
                "time_of_flight": (float(b + 0.1 * chance.standard_normal()), 0.1),
            },
            release=("early", "right", "late")[i % 3] if i % 2 else "right",
        )
        for i, (shot, a, b, s) in enumerate(zip(shots, far, long, sd, strict=True))
    ]


def timed(work):
    """Give what some work gives, and the seconds it took."""
    begun = time.perf_counter()
    found = work()
    return found, time.perf_counter() - begun


def main() -> int:
    """Measure, print and save."""
    os.environ.setdefault("SLINGWRIGHT_CACHE", tempfile.mkdtemp(prefix="slingwright-cache-"))
    heads = ("machine", "shots", "learn, s", "next shot, s", "throws", "independent draws")
    rows = []
    slowest = 0.0
    for name in MACHINES:
        machine = sw.read_machine(sw.data_folder() / f"{name}.toml")
        learn(machine, made_up(machine, 4))
        for count in COUNTS:
            shots = made_up(machine, count)
            learned, took = timed(lambda m=machine, s=shots: learn(m, s))
            _, more = timed(learned.next_shot)
            throws = learned.fit.evaluations * learned.model.cost
            independent = f"{learned.fit.independent:.0f}"
            rows.append(
                (name, str(count), f"{took:.2f}", f"{more:.2f}", f"{throws:,}", independent)
            )
            if count == LIMIT_SHOTS:
                slowest = max(slowest, took + more)
    machine = sw.read_machine(sw.data_folder() / "otter_ford.toml")
    changes = read_changes(sw.data_folder() / "changes" / "otter_ford.toml")
    length, turn = machine.number("sling.length"), machine.number("release.angle")
    bounds = (
        Bound(path="sling.length", low=0.8 * length, high=1.2 * length),
        Bound(path="release.angle", low=turn - 0.3, high=turn + 0.3),
    )
    other = [
        ("weigh four changes", lambda: what_if(machine, changes)),
        ("next trial, two settings", lambda: next_trial(before_any_shot(machine), bounds)),
        ("search, two dials", lambda: search(machine, bounds, generations=30)),
        ("trade-off, 7 points", lambda: trade_off(machine, bounds, generations=15)),
        ("a little more of each dial", lambda: sensitivity(machine)),
    ]
    beside = []
    for words, work in other:
        work()
        beside.append((words, f"{timed(work)[1]:.2f}"))
    words, kept = verdict(
        f"{LIMIT_SHOTS} shots and the next one's interval, slowest machine, s",
        slowest,
        LIMIT_S,
        at_most=True,
    )
    lines = [*as_table(heads, rows), "", words, ""]
    lines += as_table(("the demonstration machine, once warm", "s"), beside)
    keep(
        "learning_speed",
        "Learning from shots, and what follows",
        lines,
        ("numpy", "numba", "scipy"),
    )
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())

"""How often the 90 % interval of the next shot holds it, by one shot a seed, case by case.

Truths are drawn from the priors; one shot is entered, nobody states its scatter, and the interval
of the next one is asked. True range and scatter of the next shot are known, so that each seed gives
the chance that the interval holds it, not one hit or miss; the error told is that of the mean. A
seed with no forecast (shots and model disagree) is counted apart. Wanted: 85 to 95 %, or no
forecast; false alarms at most 5 %.

No interval from one shot can be right at every scatter: one that holds 95 % at 2 % holds 67 % at
4 % (twice the normal distribution's tail past 1.96 / 2). So the scatter is drawn from its prior
in each case but those that name it.

    python tests/benchmarks/interval_cover.py [SEEDS]
"""

import math
import os
import sys
from functools import partial
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "src")]
os.environ.setdefault("SLINGWRIGHT_CACHE", "/tmp/slingwright-cover")

import numpy as np  # noqa: E402
from benchmarks.shared.results_file import as_table, keep  # noqa: E402
from scipy.special import ndtr, stdtr  # noqa: E402

import slingwright as sw  # noqa: E402
from slingwright.learning.learning import learn  # noqa: E402
from slingwright.learning.posterior import FREEDOM  # noqa: E402
from slingwright.learning.priors import unsure  # noqa: E402
from slingwright.learning.shots import (  # noqa: E402
    NOISE_SD,
    RANGE_SCATTER,
    FieldShot,
    LearnError,
    ShotModel,
    field_shot,
)

SEEDS = 200
FEET = 0.3048
LIGHT = {"projectile.mass": 4.0, "projectile.diameter": 0.21}
CASES = {  # settings of the next shot, scatter, more in truth, factor on what is entered
    "same settings": ({}, None, {}, 1.0),
    "same settings, 2 % scatter": ({}, 0.02, {}, 1.0),
    "same settings, 4 % scatter": ({}, 0.04, {}, 1.0),
    "other projectile, 4 kg": (LIGHT, None, {}, 1.0),
    "heavier counterweight": ({"counterweight.mass": 700.0}, None, {}, 1.0),
    "head wind of 4 m/s": ({}, None, {"site.wind offset": -4.0}, 1.0),
    "arm 20 % heavier": ({}, None, {"arm.mass factor": 1.2}, 1.0),
    "entered in feet": ({}, None, {}, 1.0 / FEET),
}


def one(machine, numbers, case, seed):
    """Chance that the interval holds the next shot, and whether there was a warning."""
    settings, scatter, also, factor = CASES[case]
    chance = np.random.default_rng([seed, 11])
    truth = {u.name: float(np.clip(u.mean + u.sd * chance.standard_normal(), *u.limits))
             for u in numbers} | also  # fmt: skip
    blank = [FieldShot(label="", settings=s, seen={"range": (0, 1)}) for s in ({}, settings)]
    now, then = ShotModel(machine, blank, numbers)(truth)
    if scatter is None:
        scatter = RANGE_SCATTER * math.exp(NOISE_SD * chance.standard_normal())
        off, below = chance.standard_t(FREEDOM), partial(stdtr, FREEDOM)
    else:
        off, below = chance.standard_normal(), ndtr
    entered = now * max(1.0 + scatter * off, 0.05) * factor
    try:
        found = learn(machine, [field_shot("1", range=entered, settings={})], numbers, seed=seed)
        if found.disagreement or found.belief.doubt:
            return None, True
        after = found.next_shot(settings)
    except LearnError:
        return None, True
    sd = scatter * then
    return below((after.high - then) / sd) - below((after.low - then) / sd), bool(found.suspects)


def table(results):
    rows = []
    for case, got in results.items():
        held = [chance for chance, _ in got if chance is not None and math.isfinite(chance)]
        mean = 100.0 * np.mean(held) if held else math.nan
        error = 100.0 * np.std(held, ddof=1) / math.sqrt(len(held)) if len(held) > 1 else math.nan
        none = 100.0 * (len(got) - len(held)) / len(got)
        warned = 100.0 * np.mean([warned for _, warned in got])
        told = (f"{mean:.1f}", f"{error:.1f}", f"{none:.0f}", f"{warned:.0f}")
        rows.append([case, str(len(got)), *told])
    heads = ["case", "seeds", "held [%]", "error [%]", "no forecast [%]", "warned [%]"]
    return as_table(heads, rows)


def main() -> None:
    """Print the table, and keep it."""
    seeds = int(sys.argv[1]) if len(sys.argv) > 1 else SEEDS
    machine = sw.read_machine("otter_ford")
    numbers = unsure(machine)
    results = {case: [] for case in CASES}
    for seed in range(seeds):
        for case in CASES:
            results[case].append(one(machine, numbers, case, seed))
        if not (seed + 1) % 10 or seed + 1 == seeds:
            keep_so_far(results)


def keep_so_far(results):
    """Print and keep what was found up to now."""
    keep("interval_cover", __doc__.splitlines()[0], table(results), ("numpy", "scipy", "numba"))


if __name__ == "__main__":
    main()

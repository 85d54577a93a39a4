"""The band in which near copies of a machine throw: their paths and axle loads, for a picture."""

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from slingwright.machine.machine import Machine, moving_table
from slingwright.motion.spread.scatter import LEVEL, drawn
from slingwright.motion.spread.uncertain import near
from slingwright.motion.throwing import PATIENCE, compiled_for

STEPS, PATH, PER_STEP, PLACES = 400, 1024, 2, 96
TOLERANCE = 1e-6
LEAST = 0.5
"""Share of the copies that must be there for the band to go on."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Band:
    """Between which two values nine of ten copies stay, place by place and moment by moment.

    `x`, `lowest`, `highest` (k,) are the paths of the projectile past release [m]; `time` [s],
    `least`, `most` (j,) the axle load [N] to the moment when half of the copies are released.
    """

    copies: int
    x: np.ndarray
    lowest: np.ndarray
    highest: np.ndarray
    time: np.ndarray
    least: np.ndarray
    most: np.ndarray


def band(machine: Machine, *, n: int = 200, seed: int = 1) -> Band | None:
    """Throw near copies of a machine to their landings, and give the band of nine of ten.

    None where the machine has no projectile or most copies throw nothing.
    """
    table, faults = moving_table(machine, drawn(machine, near(machine), n, seed))
    rows = [at for at, fault in enumerate(faults) if fault is None]
    if machine.number("projectile.mass") <= 0.0 or not rows:
        return None
    code = compiled_for(machine)

    def thrown(places: list[int]) -> list[tuple[np.ndarray, np.ndarray]]:
        record, found = code.new_record.py_func(STEPS), []
        samples, path = np.empty((STEPS * PER_STEP + 4, code.SAMPLE)), np.empty((PATH, 5))
        for at in places:
            result, landing = np.zeros(code.RESULTS), np.zeros(8)
            kept = code.throw_once(
                table[at], TOLERANCE, 0.0, float(STEPS), code.ALL_STOPS, PATIENCE, result, record
            )
            if int(result[code.R_OUTCOME]) != code.RELEASED:
                continue
            count = code.sample(table[at], kept, PER_STEP, record, samples, result)
            start = result[[code.R_X, code.R_Y, code.R_VX, code.R_VY]]
            flown = code.fly(*start, table[at], TOLERANCE, landing, path)
            force = samples[:count, [code.S_PARTS + 3, code.S_PARTS + 7]]
            loads = np.column_stack([samples[:count, code.S_TIME], np.hypot(*force.T)])
            found.append((loads, path[:flown, 1:3].copy()))
        return found

    workers = os.cpu_count() or 1
    with ThreadPoolExecutor(workers) as pool:
        # The compiled code lets go of the interpreter.
        parts = pool.map(thrown, [rows[first::workers] for first in range(workers)])
        found = [one for part in parts for one in part]
    if len(found) < LEAST * n:
        return None
    ends = np.array([(loads[-1, 0], path[0, 0], path[-1, 0]) for loads, path in found])
    time = np.linspace(0.0, float(np.median(ends[:, 0])), PLACES)
    x = np.linspace(float(ends[:, 1].min()), float(ends[:, 2].max()), PLACES)
    least, most, whole = _between(time, [loads for loads, _ in found])
    lowest, highest, there = _between(x, [path for _, path in found])
    return Band(
        copies=len(found),
        x=x[there], lowest=lowest[there], highest=highest[there],
        time=time[whole], least=least[whole], most=most[whole],
    )  # fmt: skip


def _between(at: np.ndarray, curves: list[np.ndarray]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Lower and upper end of the band of curves (n, 2), and where enough of them are there.

    A curve that turns back is followed as far as it goes forward.
    """
    values = np.full((len(curves), at.size), np.nan)
    for row, curve in zip(values, curves, strict=True):
        back = np.flatnonzero(np.diff(curve[:, 0]) < 0.0)
        ahead = curve[: back[0] + 1] if back.size else curve
        row[:] = np.interp(at, ahead[:, 0], ahead[:, 1], left=np.nan, right=np.nan)
    there = np.isfinite(values).sum(axis=0)
    values.sort(axis=0)  # nan goes last
    low, high = (
        values[np.clip(np.round(share * (there - 1)), 0, None).astype(int), np.arange(at.size)]
        for share in (0.5 - LEVEL / 2.0, 0.5 + LEVEL / 2.0)
    )
    return low, high, there >= LEAST * len(curves)

"""How many shots steel stands: lines of stress range against number, and summed damage.

A detail is named by its category: the stress range in N/mm2 that it stands two million times
(160 plain rolled or machined steel with smooth edges, 50 a bolt's thread in tension; from memory of
EN 1993-1-9 Tables 8.1). Which category a real part deserves is for an engineer to say.
"""

import math
from collections.abc import Sequence

import numpy as np

from slingwright.formulas.refusals import above_zero, not_negative
from slingwright.motion.source.loops import compiled

KNEE = 5e6  # EN 1993-1-9:2005, 7.1: cycles at the constant amplitude limit
CUT_OFF = 1e8  # EN 1993-1-9:2005, 7.1: cycles at the cut-off limit
GAMMA_SAFE_LIFE_HIGH = 1.35  # EN 1993-1-9:2005, Table 3.1, high consequence (from memory)


def fatigue_strength(category: float, cycles: float, constant: bool = False) -> float:
    """Stress range that a detail stands a number of times.

    up to 5e6: D = D_C (2e6 / N)^(1/3);  up to 1e8: D = D_D (5e6 / N)^(1/5);  beyond: D_L,
    where D_D = (2/5)^(1/3) D_C and D_L = (5/100)^(1/5) D_D

    Args:
        category: detail category D_C: range stood two million times [Pa].
        cycles: number of cycles N [-].
        constant: all cycles alike, so that there is no end to life past 5e6 [-].

    Returns: Stress range [Pa].
    Raises: ValueError if the category or the number is not above zero.
    Source: EN 1993-1-9:2005, 7.1 (2) and (3), Figure 7.1.

    >>> fatigue_strength(160e6, 2e6)
    160000000.0
    >>> round(fatigue_strength(100e6, 5e6) / 1e6, 1), round(fatigue_strength(100e6, 1e9) / 1e6, 1)
    (73.7, 40.5)
    """
    above_zero(category, "detail category", "Pa")
    above_zero(cycles, "number of cycles")
    knee = category * (2.0 / 5.0) ** (1.0 / 3.0)
    if cycles <= KNEE:
        return float(category * (2e6 / cycles) ** (1.0 / 3.0))
    if constant:
        return knee
    return float(knee * (KNEE / min(cycles, CUT_OFF)) ** 0.2)


def fatigue_life(category: float, stress: float, constant: bool = False) -> float:
    """Number of times that a detail stands a stress range.

    N = 2e6 (D_C / D)^3 above D_D;  N = 5e6 (D_D / D)^5 above D_L;  without end below

    Args:
        category: detail category D_C: range stood two million times [Pa].
        stress: stress range D [Pa].
        constant: all cycles alike, so that there is no end to life below D_D [-].

    Returns: Number of cycles; infinite below the limit [-].
    Raises: ValueError if the category is not above zero, or the range is negative.
    Source: EN 1993-1-9:2005, 7.1 (2) and (3), Figure 7.1.

    >>> fatigue_life(160e6, 160e6)
    2000000.0
    >>> fatigue_life(160e6, 50e6)
    inf
    """
    above_zero(category, "detail category", "Pa")
    not_negative(stress, "stress range", "Pa")
    knee = category * (2.0 / 5.0) ** (1.0 / 3.0)
    if stress >= knee:
        return 2e6 * (category / stress) ** 3
    if constant or stress < knee * (KNEE / CUT_OFF) ** 0.2:
        return math.inf
    return KNEE * (knee / stress) ** 5


def rainflow(history: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Ranges that a history goes through, and how often each: whole cycles and half ones.

    Args:
        history: a stress or force in order of time, shape (n,) [any].

    Returns: Ranges and counts, 1 or 0.5, shape (k,) each [any].
    Source: ASTM E1049-85, 5.4.4, rainflow counting (from memory).

    >>> ranges, counts = rainflow(np.array([-2.0, 1.0, -3.0, 5.0, -1.0, 3.0, -4.0, 4.0, -2.0]))
    >>> ranges.tolist(), counts.tolist()
    ([3.0, 4.0, 4.0, 8.0, 9.0, 8.0, 6.0], [0.5, 0.5, 1.0, 0.5, 0.5, 0.5, 0.5])
    """
    ranges, counts = _counted(_turning_points(history))
    return ranges, counts


@compiled
def _counted(points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Ranges and counts of turning points."""
    kept, ranges, counts = np.empty(points.size), np.empty(points.size), np.empty(points.size)
    held, found = 0, 0
    for value in points:
        kept[held] = value
        held += 1
        while held > 2 and abs(value - kept[held - 2]) >= abs(kept[held - 2] - kept[held - 3]):
            ranges[found] = abs(kept[held - 2] - kept[held - 3])
            if held == 3:
                counts[found] = 0.5
                kept[0] = kept[1]
            else:
                counts[found] = 1.0
                held -= 1
            held -= 1
            kept[held - 1] = value
            found += 1
    for at in range(held - 1):
        ranges[found], counts[found] = abs(kept[at + 1] - kept[at]), 0.5
        found += 1
    return ranges[:found], counts[:found]


def rainflow_repeated(history: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Ranges of a history that comes again and again.

    It is begun at its largest value by size, so that every range closes.

    Args:
        history: a stress or force in order of time, shape (n,) [any].

    Returns: Ranges and counts of one repeat, shape (k,) each [any].
    Source: ASTM E1049-85, 5.4.5, repeating histories (from memory).

    >>> ranges, counts = rainflow_repeated(np.array([-2.0, 1.0, -3.0, 5.0, -1.0, 3.0, -4.0, 4.0]))
    >>> float((ranges**3 * counts).sum())
    1163.0
    """
    points = _turning_points(history)
    start = int(np.argmax(np.abs(points)))
    return rainflow(np.concatenate([points[start:], points[: start + 1]]))


def _turning_points(history: np.ndarray) -> np.ndarray:
    """Values at which a history turns, its two ends among them."""
    step = np.diff(history)
    moved = history[np.append(True, step != 0.0)]
    rises = np.diff(moved) > 0.0
    turns: np.ndarray = moved[
        np.concatenate([[True], rises[1:] != rises[:-1], [True]])[: moved.size]
    ]
    return turns


def equal_range(ranges: np.ndarray, counts: np.ndarray) -> float:
    """One stress range that damages as much, coming once, as several with their counts.

    D = (sum of n_i D_i^3)^(1/3)

    It has the same sum of Palmgren and Miner; the slope of 3 for all ranges is on the safe side.

    Args:
        ranges: stress ranges D_i, shape (n,) [Pa].
        counts: how often each comes n_i, shape (n,) [-].

    Returns: Stress range [Pa].
    Source: EN 1993-1-9:2005, 7.1 (2) and Annex A.5.

    >>> round(equal_range(np.array([50e6]), np.array([8.0])))
    100000000
    """
    return float(np.cbrt((counts * ranges**3).sum()))


def damage(ranges: Sequence[float], counts: Sequence[float], category: float) -> float:
    """Share of a detail's life that a mixture of stress ranges uses up; it holds up to 1.

    sum of n_i / N_i

    Args:
        ranges: stress ranges, factored, shape (n,) [Pa].
        counts: how often each comes n_i, shape (n,) [-].
        category: detail category over gamma_Mf [Pa].

    Returns: Share [-].
    Raises: ValueError if the two lists differ in length, or a value cannot be.
    Source: EN 1993-1-9:2005, Annex A.5 (Palmgren and Miner's sum).

    >>> damage([160e6, 50e6], [1e6, 1e9], 160e6)
    0.5
    """
    if len(ranges) != len(counts):
        raise ValueError(
            f"{len(ranges)} stress ranges but {len(counts)} counts; give one count for each range"
        )
    total = 0.0
    for stress, count in zip(ranges, counts, strict=True):
        total += not_negative(count, "number of cycles") / fatigue_life(category, stress)
    return total


def largest_static_range(yield_strength: float) -> float:
    """Stress range above which the lines of the standard no longer hold.

    D <= 1.5 f_y

    Args:
        yield_strength: yield strength f_y [Pa].

    Returns: Stress range [Pa].
    Raises: ValueError if the strength is not above zero.
    Source: EN 1993-1-9:2005, 8 (1), eq (8.1).

    >>> largest_static_range(235e6)
    352500000.0
    """
    return 1.5 * above_zero(yield_strength, "yield strength", "Pa")

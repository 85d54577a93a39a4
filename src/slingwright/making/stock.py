"""Cutting pieces from stock lengths with the least stock, with the proof.

Where few lengths are wanted, every way to cut a stock length that leaves no room for another piece
is listed; where many are, the ways that can better the linear programme are found one by one
(column generation, Gilmore and Gomory 1961, from memory).  An integer programme (HiGHS through
scipy) picks how often each is cut.  No cutting can be below the linear programme's optimum, nor
between two sums that stock lengths can have.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np

MOST_WAYS, MOST_SIZES = 60_000, 14
"""Ways of cutting that are listed at most, and lengths of pieces up to which they are."""
FINEST, STEP = 1e-6, 1e-4
"""Lengths are compared to this, and counted in such steps where ways are found one by one [m]."""
NEAR, SHAKEN, ROUNDS = 60, 0.03, 5
"""Ways near the best that are found besides for each stock length, how far worth is shaken for
them, and how often others are tried where the cutting is not proven."""


class CuttingError(ValueError):
    """Pieces that cannot be cut from this stock; the message says which and what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Length:
    """A stock length that is cut alike so often: its length [m] and the pieces cut from it [m]."""

    stock: float
    times: int
    pieces: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """How pieces are cut from stock.

    `used` is the length of all stock [m], `least` what no cutting can be below, `proven` whether
    both are the same.
    """

    lengths: tuple[Length, ...]
    used: float
    least: float
    kerf: float

    @property
    def proven(self) -> bool:
        """Whether no other cutting needs less stock."""
        return self.used <= self.least + FINEST

    @property
    def waste(self) -> float:
        """Share of the stock that is not in a piece [-]."""
        cut = math.fsum(one.times * math.fsum(one.pieces) for one in self.lengths)
        return 1.0 - cut / self.used if self.used > 0.0 else 0.0


def cutting(
    pieces: Sequence[float],
    stock: Sequence[float],
    *,
    kerf: float = 0.004,
    trim: float = 0.0,
    seconds: float = 10.0,
) -> Cutting:
    """Cut pieces from stock lengths, of which there are as many as it takes.

    Args:
        pieces: length of each piece [m].
        stock: lengths that are sold [m].
        kerf: what a saw cut takes [m].
        trim: what is cut off a stock length before it is used [m].
        seconds: how long to look for a better one.

    Raises:
        CuttingError: a length that is not above zero, a piece longer than any stock, or more ways
            of cutting than are listed.
    """
    for name, lengths in (("piece", pieces), ("stock length", stock)):
        for length in lengths:
            if not (math.isfinite(length) and length > 0.0):
                raise CuttingError(f"a {name} of {length:g} m cannot be cut; give one above zero")
    if kerf < 0.0 or trim < 0.0:
        raise CuttingError(f"kerf {kerf:g} m and trim {trim:g} m must not be below zero")
    if not pieces:
        return Cutting(lengths=(), used=0.0, least=0.0, kerf=kerf)
    longest, most = max(pieces), max(stock, default=0.0) - trim
    if longest > most + FINEST:
        raise CuttingError(
            f"a piece of {longest:.3f} m is longer than the {most:.3f} m of the longest stock: "
            "buy longer stock, or splice the piece and check its splice"
        )
    sizes, wanted = np.unique(np.round(np.asarray(pieces, dtype=float), 6), return_counts=True)
    asked = (sizes[::-1], wanted[::-1], sorted(stock), kerf, trim)
    ways = list(_ways(*asked)) if sizes.size <= MOST_SIZES else []
    listed = 0 < len(ways) <= MOST_WAYS
    best, below = math.inf, 0.0
    for k in range(1 if listed else ROUNDS):
        if not listed:
            ways, below = _found(*asked, k)
        price = np.array([length for length, _ in ways])
        every = np.array([way for _, way in ways]).T[::-1]
        picked, proof = _least(every, wanted, price, seconds / ROUNDS)
        if (used := float(price @ picked)) < best - FINEST:
            best, counts, times, prices, least = used, every, picked, price, below or proof
        if best <= below + FINEST:
            break
    cut: list[tuple[float, tuple[float, ...]]] = []
    left = wanted.copy()
    for length, way, often in zip(prices, counts.T, times, strict=True):
        for _ in range(int(often)):
            # A way that was cut once too often for a piece leaves that piece out.
            kept = np.minimum(way, left)
            left -= kept
            cut.append((float(length), tuple(float(x) for x in np.repeat(sizes, kept)[::-1])))
    found = tuple(
        Length(stock=one[0], times=cut.count(one), pieces=one[1]) for one in dict.fromkeys(cut)
    )
    return Cutting(lengths=found, used=best, least=least, kerf=kerf)


def _ways(
    sizes: np.ndarray, wanted: np.ndarray, stock: Sequence[float], kerf: float, trim: float
) -> Iterator[tuple[float, tuple[int, ...]]]:
    """Give every way to cut a stock length, longest piece first, with no room for another.

    One more than the most that are listed says that there are too many.
    """
    ways = (
        (length, way)
        for length in stock
        # A last piece needs no cut behind it.
        for way in _filled(
            tuple(sizes + kerf), tuple(int(x) for x in wanted), length - trim + kerf + FINEST
        )
    )
    return islice(ways, MOST_WAYS + 1)


def _found(
    sizes: np.ndarray,
    wanted: np.ndarray,
    stock: Sequence[float],
    kerf: float,
    trim: float,
    seed: int,
) -> tuple[list[tuple[float, tuple[int, ...]]], float]:
    """Give the ways that the linear programme wants, and what no cutting can be below [m]."""
    from scipy.optimize import linprog

    long = np.ceil((sizes + kerf) / STEP - 1e-6).astype(int)
    room = np.floor((np.array(stock) - trim + kerf) / STEP + 1e-6).astype(int)
    unit = int(np.gcd.reduce(np.concatenate([long, room])))
    long, room = long // unit, room // unit
    ways = {
        (float(length), tuple(min(int(w), int(most // s)) * (i == k) for k in range(sizes.size)))
        for length, most in zip(stock, room, strict=True)
        for i, (s, w) in enumerate(zip(long, wanted, strict=True))
        if s <= most
    }
    while True:
        listed = sorted(ways)
        price = np.array([length for length, _ in listed])
        counts = np.array([way for _, way in listed]).T
        solved = linprog(price, A_ub=-counts, b_ub=-wanted, method="highs")
        worth = -solved.ineqlin.marginals
        better = {
            (float(length), way)
            for length, most in zip(stock, room, strict=True)
            for value, way in [_fullest(long, wanted, worth, int(most))]
            if value > length + FINEST
        }
        if better <= ways:
            break
        ways |= better
    rng = np.random.default_rng(seed)
    for _ in range(NEAR):
        shaken = worth * (1.0 + SHAKEN * rng.standard_normal(worth.size))
        ways |= {
            (float(length), _fullest(long, wanted, shaken, int(most))[1])
            for length, most in zip(stock, room, strict=True)
        }
    # All that is bought is a sum of stock lengths, which none between two of them is.
    apart = int(np.gcd.reduce(np.round(np.array(stock) / STEP).astype(int))) * STEP
    return sorted(ways), math.ceil(solved.fun / apart - 1e-6) * apart


def _fullest(
    long: np.ndarray, wanted: np.ndarray, worth: np.ndarray, room: int
) -> tuple[float, tuple[int, ...]]:
    """Give the largest worth that a room holds, and how many of each (a knapsack by its room)."""
    best = np.zeros(room + 1)
    taken = []
    single = [i for i, w in enumerate(wanted) for _ in range(min(int(w), room // int(long[i])))]
    for i in single:
        with_it = best[: room + 1 - long[i]] + worth[i]
        takes = np.zeros(room + 1, dtype=bool)
        takes[long[i] :] = with_it > best[long[i] :] + 1e-12
        best[long[i] :] = np.where(takes[long[i] :], with_it, best[long[i] :])
        taken.append(takes)
    way, left = [0] * len(long), room
    for i, takes in zip(reversed(single), reversed(taken), strict=True):
        if takes[left]:
            way[i] += 1
            left -= int(long[i])
    return float(best[room]), tuple(way)


def _filled(
    sizes: tuple[float, ...], wanted: tuple[int, ...], room: float
) -> Iterator[tuple[int, ...]]:
    if len(sizes) == 1:
        yield (min(wanted[0], int(room // sizes[0])),)
        return
    most = min(wanted[0], int(room // sizes[0]))
    for often in range(most, -1, -1):
        for rest in _filled(sizes[1:], wanted[1:], room - often * sizes[0]):
            left = room - often * sizes[0]
            left -= math.fsum(size * count for size, count in zip(sizes[1:], rest, strict=True))
            if often == most or left < sizes[0]:
                yield (often, *rest)


def _least(
    counts: np.ndarray, wanted: np.ndarray, price: np.ndarray, seconds: float
) -> tuple[np.ndarray, float]:
    """How often each way is cut, and the length of stock that no cutting can be below [m]."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    found = milp(
        price,
        constraints=LinearConstraint(counts, lb=wanted),
        integrality=np.ones(price.size),
        bounds=Bounds(0, np.inf),
        options={"time_limit": seconds, "mip_rel_gap": 0.0},
    )
    if found.x is None:
        raise CuttingError(f"no cutting was found in {seconds:g} s; give more time")
    bound = found.mip_dual_bound if found.mip_dual_bound is not None else found.fun
    return np.round(found.x), float(bound)

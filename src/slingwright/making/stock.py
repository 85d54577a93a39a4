"""Cutting pieces from stock lengths with the least stock: exact, with the proof.

Every way to cut a length that leaves no room for another piece is listed, and an integer programme
(HiGHS through scipy) picks how often each is cut.  Its optimum is the least stock there can be.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

MOST_WAYS = 60_000
"""Ways of cutting that are listed at most; past it the pieces are to be cut in parts."""
FINEST = 1e-6
"""Lengths are compared to this [m]."""


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
    ways = list(_ways(sizes[::-1], wanted[::-1], sorted(stock), kerf, trim))
    counts = np.array([way for _, way in ways]).T[::-1]
    price = np.array([length for length, _ in ways])
    times, least = _least(counts, wanted, price, seconds)
    cut: list[tuple[float, tuple[float, ...]]] = []
    left = wanted.copy()
    for (length, _), way, often in zip(ways, counts.T, times, strict=True):
        for _ in range(int(often)):
            # A way that was cut once too often for a piece leaves that piece out.
            kept = np.minimum(way, left)
            left -= kept
            cut.append((length, tuple(float(x) for x in np.repeat(sizes, kept)[::-1])))
    found = tuple(
        Length(stock=one[0], times=cut.count(one), pieces=one[1]) for one in dict.fromkeys(cut)
    )
    return Cutting(lengths=found, used=float(price @ times), least=least, kerf=kerf)


def _ways(
    sizes: np.ndarray, wanted: np.ndarray, stock: Sequence[float], kerf: float, trim: float
) -> Iterator[tuple[float, tuple[int, ...]]]:
    """Give every way to cut a stock length, longest piece first, with no room for another."""
    listed = 0
    for length in stock:
        # A last piece needs no cut behind it.
        room = length - trim + kerf + FINEST
        for way in _filled(tuple(sizes + kerf), tuple(int(x) for x in wanted), room):
            listed += 1
            if listed > MOST_WAYS:
                raise CuttingError(
                    f"there are more than {MOST_WAYS} ways to cut these pieces; cut them section "
                    "by section, or leave out the shortest stock"
                )
            yield length, way


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

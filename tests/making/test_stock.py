"""Cutting from stock: against every cutting there is, a published instance, and its own bound."""

import itertools
import math

import numpy as np
import pytest

from slingwright.making import stock
from slingwright.making.stock import CuttingError, cutting


def least_by_trying(pieces, stock, kerf):
    """Least stock over every way to part the pieces into lengths, one by one."""
    best = math.inf

    def lay(left, bars):
        nonlocal best
        used = 0.0
        for bar in bars:
            need = sum(bar) + kerf * (len(bar) - 1)
            fits = [length for length in stock if length >= need - 1e-9]
            if not fits:
                return
            used += min(fits)
        if used >= best - 1e-9:
            return
        if not left:
            best = used
            return
        for bar in bars:
            bar.append(left[0])
            lay(left[1:], bars)
            bar.pop()
        lay(left[1:], [*bars, [left[0]]])

    lay(sorted(pieces, reverse=True), [])
    return best


@pytest.mark.parametrize("seed", range(6))
def test_no_cutting_needs_less(seed):
    """Truth: every cutting of a few pieces, tried one by one."""
    rng = np.random.default_rng(seed)
    pieces = np.round(rng.uniform(0.3, 2.9, 6), 2).tolist()
    lengths, kerf = [3.0, 4.2], 0.004
    found = cutting(pieces, lengths, kerf=kerf)
    assert found.used == pytest.approx(least_by_trying(pieces, lengths, kerf))
    assert found.proven


def test_every_piece_is_cut_and_every_length_holds_its_cuts():
    """Truth: the pieces counted one by one, and the sum of each length with its saw cuts."""
    rng = np.random.default_rng(7)
    sizes = [0.42, 0.65, 0.9, 1.1, 1.35, 1.8, 2.2, 2.6, 3.1, 3.8]
    pieces = rng.choice(sizes, 60).tolist()
    kerf, trim = 0.005, 0.05
    found = cutting(pieces, [2.4, 3.0, 3.6, 4.2, 4.8], kerf=kerf, trim=trim)
    cut = list(itertools.chain(*(one.pieces * one.times for one in found.lengths)))
    assert sorted(cut) == sorted(pieces)
    for one in found.lengths:
        assert sum(one.pieces) + kerf * (len(one.pieces) - 1) <= one.stock - trim + 1e-9
    assert found.used == pytest.approx(sum(one.stock * one.times for one in found.lengths))
    assert found.proven and found.least >= sum(pieces)


def test_a_published_instance():
    """Truth: the worked example of the cutting-stock problem in common teaching (master rolls of
    5.6 m, 13 widths; from memory): 73 rolls are the least, 401.7 m of 408.8 m used."""
    wanted = {
        1.38: 22, 1.52: 25, 1.56: 12, 1.71: 14, 1.82: 18, 1.88: 18, 1.93: 20, 2.0: 10, 2.05: 12,
        2.1: 14, 2.14: 16, 2.15: 18, 2.2: 20,
    }  # fmt: skip
    pieces = [width for width, count in wanted.items() for _ in range(count)]
    found = cutting(pieces, [5.6], kerf=0.0)
    assert sum(one.times for one in found.lengths) == 73
    assert found.proven and found.waste == pytest.approx(1.0 - sum(pieces) / (73 * 5.6))


def test_ways_found_one_by_one_do_as_well_as_all(monkeypatch):
    """Truth: the same published instance, and small ones with every way listed."""
    monkeypatch.setattr(stock, "MOST_SIZES", 0)
    test_a_published_instance()
    for seed in range(3):
        pieces = np.round(np.random.default_rng(seed).uniform(0.3, 2.9, 6), 2).tolist()
        found = cutting(pieces, [3.0, 4.2], kerf=0.004)
        assert found.used == pytest.approx(least_by_trying(pieces, [3.0, 4.2], 0.004))
        assert sum(pieces) <= found.least <= found.used + 1e-9


@pytest.mark.parametrize("seed", range(3))
def test_sixty_lengths_from_five_stock_lengths_are_proven(seed):
    """Truth: stock bars sawn in two to four, no waste but the kerf: the least is known, all."""
    rng = np.random.default_rng(seed)
    lengths, kerf, pieces, used = [2.4, 3.0, 3.6, 4.8, 6.0], 0.01, [], 0.0
    while len(pieces) < 60:
        bar, parts = float(rng.choice(lengths)), int(rng.integers(2, 5))
        parts = min(parts, 60 - len(pieces)) if len(pieces) < 59 else 1
        share, left = rng.uniform(0.5, 1.5, parts), bar - kerf * (parts - 1)
        sawn = np.round(left * share / share.sum(), 2)
        sawn[-1] = left - sawn[:-1].sum()
        pieces += [round(float(x), 2) for x in sawn]
        used += bar
    found = cutting(pieces, lengths, kerf=kerf)
    cut = list(itertools.chain(*(one.pieces * one.times for one in found.lengths)))
    assert sorted(cut) == pytest.approx(sorted(pieces))
    for one in found.lengths:
        assert sum(one.pieces) + kerf * (len(one.pieces) - 1) <= one.stock + 1e-9
    assert found.proven and found.used == pytest.approx(used)


def test_a_kerf_counts_between_pieces_alone():
    """Truth: two pieces of 1.498 m and one cut of 4 mm fill 3 m; 1.499 m do not."""
    assert cutting([1.498, 1.498], [3.0], kerf=0.004).used == 3.0
    assert cutting([1.499, 1.499], [3.0], kerf=0.004).used == 6.0


@pytest.mark.parametrize(
    ("pieces", "stock", "words"),
    [
        ([3.2], [3.0, 2.4], "3.200 m is longer than the 3.000 m of the longest stock"),
        ([1.0], [], "longer than"),
        ([0.0], [3.0], "a piece of 0 m"),
        ([1.0], [math.nan], "a stock length of nan m"),
    ],
)
def test_what_cannot_be_cut_is_refused(pieces, stock, words):
    """Truth: the words name the thing, the value and the limit."""
    with pytest.raises(CuttingError, match=words):
        cutting(pieces, stock)


def test_nothing_to_cut_needs_no_stock():
    """Truth: an empty sum."""
    assert cutting([], [3.0]).used == 0.0

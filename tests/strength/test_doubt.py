"""How sure a use is: the closed form of log-normal loads and strengths, and Monte Carlo."""

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

import slingwright as sw
from slingwright.motion.spread.scatter import drawn
from slingwright.motion.spread.uncertain import near
from slingwright.strength import doubt as room
from slingwright.strength.checks import checks
from slingwright.strength.doubt import STRENGTHS, doubt, doubt_of, variances


@cache
def row(key="arm.bending"):
    return next(one for one in checks(sw.read_machine("fixed_pair")) if one.key == key)


def of(use, loads, key="arm.bending"):
    return doubt_of(replace(row(key), utilisation=use), loads)


@pytest.mark.parametrize("load", [0.0, 0.1, 0.4])
def test_against_monte_carlo(load):
    """Truth: a million log-normal loads over strengths whose 5 % value the check took, by numpy."""
    chance = np.random.default_rng(7)
    spread = math.sqrt(math.log1p(STRENGTHS["EN 338"][1] ** 2))
    strong = np.exp(spread * chance.standard_normal(1_000_000))
    low = np.quantile(strong, 0.05)
    use = 0.8 * np.exp(load * chance.standard_normal(strong.size)) / (strong / low)
    found = of(0.8, {"counterweight.mass": load**2} if load else {})
    assert found.high == pytest.approx(np.quantile(use, 0.95), rel=5e-3)


def test_a_strength_alone_changes_nothing_at_95():
    """Truth: the told strength is that which 19 of 20 have, so 19 of 20 uses are below the told."""
    assert of(0.8, {}).high == pytest.approx(0.8, rel=1e-12)
    known = of(0.8, {})
    assert known.driver == "strength of the timber" and known.without < 0.8


def test_a_load_alone_is_its_closed_form():
    """Truth: exp(1.645 s) of a log-normal number; a part that is known exactly adds nothing."""
    two = {"counterweight.mass": 0.03**2, "arm.mass": 0.04**2}
    found = of(0.5, two, "ground.overturning")
    assert found.high == pytest.approx(0.5 * math.exp(1.6449 * 0.05), rel=1e-9)
    assert found.driver == "arm.mass" and found.shares["arm.mass"] == pytest.approx(0.64)
    assert found.without == pytest.approx(0.5 * math.exp(1.6449 * 0.03), rel=1e-9)


def test_stiffness_is_taken_at_its_middle():
    """Truth: a deflection by a mean stiffness: 95 % lies above the told by its own spread."""
    spread = math.sqrt(math.log1p(0.13**2))
    found = of(0.5, {}, "arm.deflection")
    assert found.high == pytest.approx(0.5 * math.exp(1.6449 * spread), rel=1e-9)


def test_lines_find_what_was_put_in():
    """Truth: a use made of two numbers and noise: their variances, the rest, none of the third."""
    chance = np.random.default_rng(3)
    drawn = chance.standard_normal((4000, 3)) * [2.0, 5.0, 1.0]
    told = 0.1 * drawn[:, 0] / 2.0 - 0.2 * drawn[:, 1] / 5.0 + 0.05 * chance.standard_normal(4000)
    parts = variances(drawn, told, ["a", "b", "c"])
    assert parts["a"] == pytest.approx(0.01, rel=0.06)
    assert parts["b"] == pytest.approx(0.04, rel=0.06)
    assert parts[room.REST] == pytest.approx(0.0025, rel=0.06)
    assert parts.get("c", 0.0) < 1e-5


@cache
def found():
    return doubt(sw.read_machine("otter_ford"))


@pytest.mark.slow
def test_first_order_against_drawn_machines():
    """Truth: Monte Carlo, 32 other draws of the whole machine: the scatter of each load, from the
    95 % values told, is theirs: to 30 % over all checks, as 32 draws tell a spread twice."""
    m = sw.read_machine("otter_ford")
    unsure = (*near(m), *room._masses(m))
    draws, uses = drawn(m, unsure, 32, seed=5), []
    for at in range(32):
        copy = m.change({path: float(column[at]) for path, column in draws.items()})
        uses.append({c.key: c.utilisation for c in room._planned(copy, quick=True)})
    ratios = []
    for one in found().found:
        spread = float(np.std(np.log([use[one.check.key] for use in uses])))
        strength, _ = room.strength_of(one.check)
        whole = sum(strength.values()) / max(1e-9, sum(one.shares.get(n, 0.0) for n in strength))
        loads = sum(p for name, p in one.shares.items() if name not in strength)
        if strength and spread > 0.02:
            ratios.append(math.sqrt(loads * whole) / spread)
    assert len(ratios) > 10 and np.median(ratios) == pytest.approx(1.0, abs=0.3)


def test_it_tells_what_to_measure():
    """Truth: every cause has a measurement; what is not known has no number; order and sentence."""
    told = found()
    assert [one.high for one in told.found] == sorted((o.high for o in told.found), reverse=True)
    assert all(one.high >= one.use * (1.0 - 1e-9) and one.check.known for one in told.found)
    assert all(name in room.MEASURE for one in told.found for name in one.shares)
    assert all(sum(one.shares.values()) == pytest.approx(1.0) for one in told.found if one.shares)
    assert "at 95 %" in told.sentence and len(list(told.rows())) == len(told.found)


def test_refusals():
    """Truth: too few copies tell nothing apart; an answer that is no longer wanted is left."""
    m = sw.read_machine("fixed_pair")
    with pytest.raises(ValueError, match="copies is 5; give [0-9]+ or more"):
        doubt(m, copies=5)
    with pytest.raises(InterruptedError):
        doubt(m, stopped=lambda: True)

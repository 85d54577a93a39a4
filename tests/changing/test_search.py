"""The best machine within bounds and limits, held to dense grids and to the limits themselves.

Truth: a grid of every pair of values thrown with `sweep`; single throws; windings.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

import slingwright as sw
from slingwright.changing.search import GOALS, search, trade_off
from slingwright.changing.sensitivity import crank_force
from slingwright.changing.trials import (
    DISTURBANCES,
    Bound,
    Limits,
    TrialError,
    judge,
    piece_for,
    spread_of,
)
from slingwright.learning.belief import before_any_shot
from slingwright.machine.machine import Machine
from slingwright.motion.spread.uncertain import Uncertain

SLING = Bound(path="sling.length", low=3.5, high=6.0)
SLIP = Bound(path="release.angle", low=0.0, high=math.radians(50.0))
ARM = Bound(path="arm.short", low=1.0, high=2.0)


@pytest.fixture(scope="module")
def machine() -> Machine:
    return sw.read_machine(sw.data_folder() / "otter_ford.toml")


def grid(machine, bounds, limits, count=41, *, loads=True):
    """Every pair of values: what each does, and whether it keeps to the limits.

    Without loads no throw is followed past its release.
    """
    axes = [np.linspace(bound.low, bound.high, count) for bound in bounds]
    one, other = (column.ravel() for column in np.meshgrid(*axes))
    found = judge(machine, {bounds[0].path: one, bounds[1].path: other}, limits, loads=loads)
    return found, (found.excess <= 0.0)


@pytest.mark.parametrize("name", ["otter_ford", "garden", "hinged_pair"])
def test_a_dense_grid_finds_no_longer_range(name) -> None:
    """Truth: 41 by 41 throws over the same bounds."""
    machine = sw.read_machine(sw.data_folder() / f"{name}.toml")
    length = machine.number("sling.length")
    bounds = (Bound(path="sling.length", low=0.75 * length, high=1.25 * length), SLIP)
    limits = Limits(farthest=5000.0)
    best = search(machine, bounds, "range", limits)
    found, good = grid(machine, bounds, limits, loads=False)
    assert best.range >= np.nanmax(np.where(good, found.range, -np.inf)) - 1e-6
    assert best.range == pytest.approx(sw.throw(best.machine).range, rel=1e-6)


def test_a_dense_grid_finds_no_longer_range_under_an_axle_limit(machine) -> None:
    """Truth: 41 by 41 throws, those above 20 kN left out; the limit is what holds it back."""
    bounds, limits = (ARM, SLING), Limits(axle_load=20e3)
    best = search(machine, bounds, "range", limits)
    found, good = grid(machine, bounds, limits)
    assert best.range >= np.max(found.range[good]) - 1e-6
    assert best.axle_load <= 20e3
    assert any("axle" in words for words in best.limited_by)


def test_a_dense_grid_finds_no_lower_axle_load(machine) -> None:
    """Truth: 41 by 41 throws, those shorter than 90 m left out."""
    bounds, limits = (SLING, SLIP), Limits(nearest=90.0)
    best = search(machine, bounds, "axle load", limits)
    found, good = grid(machine, bounds, limits)
    assert best.axle_load <= np.min(found.axle_load[good]) + 1e-3
    assert best.range >= 90.0


def test_a_grid_finds_no_smaller_spread(machine) -> None:
    """Truth: spreads of 21 by 21 machines, those shorter than 100 m left out."""
    bounds, limits = (SLING, SLIP), Limits(nearest=100.0)
    best = search(machine, bounds, "accuracy", limits)
    axes = [np.linspace(bound.low, bound.high, 21) for bound in bounds]
    one, other = (column.ravel() for column in np.meshgrid(*axes))
    rows = {"sling.length": one, "release.angle": other}
    far = sw.sweep(machine, rows, grid=False, loads=False)["range"]
    spread = spread_of(machine, rows)
    assert best.spread <= np.nanmin(np.where(far >= 100.0, spread, np.nan)) + 1e-6


def test_every_limit_is_kept(machine) -> None:
    """Truth: a single throw and a winding of the machine found; its timber and its height."""
    bounds = (
        SLING,
        SLIP,
        Bound(path="arm.long", low=4.0, high=7.0),
        Bound(path="counterweight.mass", low=400.0, high=1500.0),
    )
    limits = Limits(axle_load=30e3, crank_force=45.0, height=10.2, stock=(6.0, 7.5), farthest=200.0)
    best = search(machine, bounds, "range", limits, generations=25)
    thrown = sw.throw(best.machine)
    assert thrown.range <= 200.0 + 1e-6
    assert thrown.peak_axle_load <= 30e3 * (1 + 1e-6)
    assert crank_force(best.machine) <= 45.0
    assert best.machine.number("axle.height") + best.machine.number("arm.long") <= 10.2
    assert best.piece in (6.0, 7.5)
    timber = best.machine.number("arm.long") + best.machine.number("arm.short")
    assert best.piece >= timber
    assert best.limited_by
    assert best.limited_by[0] in best.sentence


def test_the_same_seed_finds_the_same(machine) -> None:
    """Truth: two runs are equal to the last bit."""
    one, other = (search(machine, (SLING, SLIP), seed=5, generations=8) for _ in range(2))
    assert one.values == other.values
    assert one.throws == other.throws


def test_whole_numbers_stay_whole(machine) -> None:
    """Truth: a crew is counted in people."""
    bounds = (SLING, Bound(path="winch.people", low=1.0, high=4.0))
    best = search(machine, bounds, generations=6)
    assert best.values["winch.people"] in (1.0, 2.0, 3.0, 4.0)


def test_the_trade_off_falls_both_ways(machine) -> None:
    """Truth: less range is never bought with more axle load, and each end is a search's own."""
    seen = []
    found = trade_off(machine, (SLING, ARM), points=4, generations=12, progress=seen.append)
    ranges, loads = [one.range for one in found], [one.axle_load for one in found]
    assert ranges == sorted(ranges, reverse=True)
    assert all(later <= earlier * 1.001 for earlier, later in zip(loads, loads[1:], strict=False))
    assert loads[-1] < 0.9 * loads[0]
    assert [len(one) for one in seen] == [1, 2, 3, 4]


def test_the_spread_is_the_root_of_the_sum_of_squares(machine) -> None:
    """Truth: single throws with each disturbance either way, JCGM 100:2008 eq. (10) by hand."""
    total = 0.0
    for path, size in DISTURBANCES.items():
        value = machine.number(path)
        share = path in ("projectile.mass", "sling.length", "counterweight.mass")
        step = size * value if share else size
        ahead, behind = (sw.throw(machine.change({path: value + s * step})).range for s in (1, -1))
        total += (0.5 * (ahead - behind)) ** 2
    found = spread_of(machine, {"release.angle": np.array([machine.number("release.angle")])})
    assert found[0] == pytest.approx(math.sqrt(total), rel=1e-3)


def test_pieces_of_stock() -> None:
    """Truth: by eye."""
    assert piece_for(7.2, (9.0, 7.5, 6.0)) == 7.5
    assert piece_for(9.5, (9.0, 7.5)) is None


def test_no_machine_within_the_limits_is_said(machine) -> None:
    """Truth: no 640 kg machine holds its axle under 1 kN."""
    with pytest.raises(TrialError, match="no machine within these bounds keeps to the limits"):
        search(machine, (SLING, SLIP), limits=Limits(axle_load=1e3), generations=4)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda m: search(m, ()), "give 1 to"),
        (lambda m: search(m, (SLING, SLING)), "bounded twice"),
        (lambda m: search(m, (SLING,), "fame"), "goal 'fame' is not known"),
        (lambda m: trade_off(m, (SLING,), "range"), "give 'axle load' or 'accuracy'"),
        (lambda m: trade_off(m, (SLING,), points=1), "give 2 to 40"),
        (lambda m: Bound(path="sling.length", low=5.0, high=4.0), "low one below"),
        (lambda m: Bound(path="sling.length", low=-5.0, high=4.0), "both within"),
        (lambda m: Bound(path="arm.timber", low=0.0, high=1.0), "no number"),
        (lambda m: Limits(axle_load=0.0), "above 0"),
        (lambda m: Limits(stock=(6.0, 0.0)), "above 0"),
    ],
)
def test_what_cannot_be_searched_is_refused(machine, make, words) -> None:
    """Truth: the message names the thing and the limit."""
    with pytest.raises(TrialError, match=words):
        make(machine)
    assert set(GOALS) == {"range", "accuracy", "axle load"}


def test_the_best_settings_are_those_of_the_machine_as_learned() -> None:
    """Truth: a sling that is 20 cm longer than it is set is set 20 cm shorter."""
    machine = sw.read_machine("otter_ford")
    longer = Uncertain(path="sling.length", way="offset", mean=0.2, sd=0.01, source="made up")
    belief = before_any_shot(machine, [longer])
    bounds = [Bound(path="sling.length", low=3.8, high=5.6)]
    drawn = search(machine, bounds, generations=12)
    learned = search(machine, bounds, generations=12, belief=belief)
    shift = drawn.values["sling.length"] - learned.values["sling.length"]
    assert shift == pytest.approx(0.2, abs=0.02)
    assert learned.range == pytest.approx(drawn.range, abs=0.01)
    with pytest.raises(TrialError, match="disagree"):
        search(machine, bounds, belief=replace(belief, doubt="they disagree"))

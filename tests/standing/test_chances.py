"""How far planned shots come down by chance, with the error of counting."""

import numpy as np
import pytest
from scipy import stats

import slingwright as sw
from slingwright.standing.chances import chances

COPIES = 300


@pytest.fixture(scope="module")
def machine():
    """The Otter Ford machine."""
    return sw.read_machine("otter_ford")


@pytest.fixture(scope="module")
def found(machine):
    """Its chances, from a few copies."""
    return chances(machine, n=COPIES)


def test_shares_are_those_of_the_near_copies(machine, found) -> None:
    """Truth: the scatter of the machine as built, sorted; a fifth more for bounce and roll."""
    name = "show ball, ash"
    held = machine.change({path: machine[path] for path in machine.derived})
    near = sw.scatter(held, n=COPIES, swing_through=0.0, loads=False)
    value, low, high = found.within(name, 0.9)
    assert value == pytest.approx(1.2 * np.quantile(near["range"], 0.9), rel=1e-9)
    assert low < value < high
    # the copies are too few to bound one shot in a thousand from above, and it is said
    assert found.within(name, 0.999)[2] == np.inf
    rows = {row.key: row for row in found.rows()}
    assert "too few copies" in rows[f"{name}.0.999"].note
    assert [one for one, _ in found.loads] == [one.name for one in machine.brief]


def test_chance_of_passing_a_distance_by_the_beta_distribution(machine, found) -> None:
    """Truth: Clopper and Pearson's interval through quantiles of the beta distribution."""
    name = "small ash ball"
    ranges = 1.2 * dict(found.loads)[name]["range"]
    for distance in (0.0, float(np.quantile(ranges, 0.95)), 1e4):
        count = int((ranges > distance).sum())
        chance, low, high = found.past(name, distance)
        assert chance == count / COPIES
        wanted = 0.0 if count == 0 else stats.beta.ppf(0.025, count, COPIES - count + 1)
        assert low == pytest.approx(wanted)
        wanted = 1.0 if count == COPIES else stats.beta.ppf(0.975, count + 1, COPIES - count)
        assert high == pytest.approx(wanted)
    assert found.past(name, 1e4)[2] > 0.0  # none of 300 is not never
    assert "small ash ball" in found.sentence and "20 % of the flight" in found.sentence


def test_the_margin_covers_bounce_and_roll(machine) -> None:
    """Truth: the rule: never less than the flight and what is assumed to be run on."""
    assert sw.zone(machine).margin == 1.5
    assert sw.zone(machine.change({"site.run_on": 0.8})).margin == pytest.approx(1.8)

"""Near copies of a machine: what they differ in, what each does, and how sure their quantiles are.

Truth: the throw of each copy by itself; the spreads written in the table; the binomial count of
draws below a quantile, over many repeated draws.
"""

import numpy as np
import pytest

import slingwright as sw
from slingwright.motion.spread.scatter import Scatter, near_copies, scatter
from slingwright.motion.spread.uncertain import Uncertain, near
from slingwright.motion.sweeping import Columns
from slingwright.strength.loads.cases import COPIES, with_copies


def otter_ford() -> sw.Machine:
    return sw.read_machine("otter_ford")


def made_of(column: np.ndarray) -> Scatter:
    columns = Columns({"range": column, "outcome": np.full(column.size, "released")})
    return Scatter(machine=otter_ford(), uncertain=(), draws={}, columns=columns, seed=1)


def test_each_row_is_the_throw_of_its_copy() -> None:
    """Truth: the single throw of the machine with those dials."""
    found = scatter(otter_ford(), n=6, seed=3)
    for row in range(6):
        copy = otter_ford().change({p: float(c[row]) for p, c in found.draws.items()})
        alone = sw.throw(copy)
        assert found["range"][row] == pytest.approx(alone.range, rel=1e-6)
        assert found["peak_axle_load"][row] == pytest.approx(alone.peak_axle_load, rel=1e-3)


def test_copies_differ_as_the_table_says() -> None:
    """Truth: mean and standard deviation of the numbers that are drawn, within 5 errors."""
    machine = otter_ford()
    found = sw.scatter(machine, n=400, seed=5, loads=False)
    for one in near(machine):
        drawn, setting = found.draws[one.path], machine[one.path]
        start = setting if isinstance(setting, float) else 0.0
        number = {"offset": drawn - start, "factor": drawn / max(start, 1e-9)}.get(one.way, drawn)
        assert abs(number.mean() - one.mean) < 5.0 * one.sd / 20.0
        assert number.std() == pytest.approx(one.sd, rel=0.2)


def test_a_seed_gives_the_same_copies_again_and_another_seed_others() -> None:
    """Truth: the definition of a seed."""
    one, again, other = (list(near_copies(otter_ford(), 3, seed)) for seed in (1, 1, 2))
    assert one == again and all(a != b for a, b in zip(one, other, strict=True))


def test_a_quantile_holds_the_true_one_as_often_as_it_says() -> None:
    """Truth: 1000 draws of a uniform number, whose 0.9 quantile is 0.9: held in 95 % and more."""
    chance = np.random.default_rng(11)
    held = 0
    for _ in range(400):
        told = made_of(chance.uniform(size=64)).quantile("range", 0.9)
        assert told.low <= told.value <= told.high
        held += told.low <= 0.9 <= told.high
    assert held >= 0.93 * 400


def test_few_draws_do_not_bound_a_far_quantile() -> None:
    """Truth: with 8 draws the chance that all lie below the 0.95 quantile is 0.95^8 = 0.66."""
    told = made_of(np.linspace(1.0, 2.0, 8)).quantile("range", 0.95)
    assert told.high == np.inf


def test_a_copy_without_a_number_is_left_out_and_none_is_an_error() -> None:
    """Truth: the quantile of the numbers there are."""
    some = made_of(np.array([1.0, np.nan, 3.0, 2.0]))
    assert some.quantile("range", 0.5).value == 2.0
    with pytest.raises(ValueError, match="none of 3 copies"):
        made_of(np.full(3, np.nan)).quantile("range")
    with pytest.raises(ValueError, match="between 0 and 1"):
        some.quantile("range", 1.0)
    with pytest.raises(ValueError, match="2 or more"):
        scatter(otter_ford(), n=1)


def test_what_differs_may_be_given() -> None:
    """Truth: a number that is all that is drawn is all that differs."""
    only = Uncertain(path="release.angle", way="offset", mean=0.0, sd=0.02, source="test")
    found = scatter(otter_ford(), n=4, uncertain=[only], loads=False)
    assert set(found.draws) == {"release.angle"}
    assert np.ptp(found["range"]) > 0.0 and "release angle" in found.sentence
    assert any(row.key == "range" for row in found.rows())


def test_late_loads_are_the_largest_of_near_copies() -> None:
    """Truth: the copies' own histories: nothing of theirs is larger than what the case tells."""
    cases = sw.holding(otter_ford()).cases
    late = [case for case in cases if case.copies]
    assert late and all(len(case.copies) == COPIES for case in late)
    for case in late:
        every = with_copies((case,))
        axle = max(float(np.hypot(*one.axle_force.T).max()) for one in every)
        assert case.axle_load >= axle > 0.0
        assert case.sling_tension == max(one.throw.sling_tension.max() for one in every)
    early = next(case for case in cases if case.name == "held and cocked")
    assert early.copies == ()


def test_a_copy_that_is_no_machine_is_drawn_again() -> None:
    """Truth: the conditions that a file is read by: near the shortest sling that reaches the trough
    some copies are no machine; eight sound ones are found all the same."""
    machine = otter_ford()

    def made(length: float) -> bool:
        try:
            machine.change({"sling.length": length})
        except sw.MachineError:
            return False
        return True

    low, high = 0.02, machine.number("sling.length")
    assert made(high) and not made(low)
    while high - low > 1e-6:
        middle = 0.5 * (low + high)
        low, high = (low, middle) if made(middle) else (middle, high)
    short = machine.change({"sling.length": high})
    assert (scatter(short, n=32, seed=1, loads=False)["outcome"] == "not a machine").any()
    assert len(list(near_copies(short, 8, 1))) == 8

"""The draws agree with another sampler, with grids, with closed forms, and with known truth.

Truth: emcee (D. Foreman-Mackey and others, "emcee: The MCMC Hammer", PASP 125 (2013) 306) on the
same density written down anew here; densities of scipy.stats summed over grids; normal
distributions; made-up machines; the stack-loss data of K. A. Brownlee, Statistical Theory and
Methodology, Wiley 1965, p. 454 (from memory), whose four odd rows every robust fit names.
"""

import emcee
import numpy as np
import pytest
from scipy.stats import norm, t

from slingwright.learning.fitting import FitError, Parameter
from slingwright.learning.posterior import MISTAKEN, WRONG, WRONG_SD, Seen, draw, interval_of

LOADS = np.repeat([4.0, 6.0, 9.0, 13.0, 18.0], 2)
NAMES = ("share", "dead", "angle")
MEANS = np.array([0.5, 12.0, 0.55])
SDS = np.array([0.06, 3.0, 0.06])
NORMAL = 1e6  # degrees of freedom of what is as good as a normal distribution


def throw(values, load=LOADS):
    """Range of a machine that hands a share of 41 kJ to the load and a dead mass, no air."""
    speed_squared = 2.0 * values["share"] * 41_200.0 / (load + values["dead"])
    return speed_squared * np.sin(2.0 * values["angle"]) / 9.81


def prior():
    low, high = (0.0, 0.5, 0.1), (1.0, np.inf, 1.4)
    rows = zip(NAMES, MEANS, SDS, low, high, strict=True)
    return [Parameter(name=n, mean=m, sd=s, low=a, high=b) for n, m, s, a, b in rows]


def shots(seed: int, sd: float = 3.0):
    chance = np.random.default_rng(seed)
    truth = dict(zip(NAMES, MEANS + SDS * chance.standard_normal(3), strict=True))
    return truth, throw(truth) + chance.normal(0.0, sd, LOADS.size)


def seen(y, sd=3.0, **fields):
    y = np.asarray(y, dtype=float)
    return Seen(value=y, sd=np.full(y.size, sd), kinds=("",) * y.size, **fields)


def flat(name, mean=0.0, sd=50.0, **fields):
    return Parameter(name=name, mean=mean, sd=sd, **fields)


def quantiles(grid, height):
    """Quantiles of a density on an even grid."""
    share = np.cumsum(height) / np.sum(height)
    return np.interp([0.05, 0.5, 0.95], share, grid)


def told(found, name):
    one = found.interval(name)
    return np.array([one.low, one.value, one.high])


def test_emcee_agrees_on_mean_spread_and_correlation() -> None:
    """Truth: emcee, 32 walkers, 2,000 steps, on the density of the same shots, with unknown noise.

    The density is Student's with four degrees of freedom and a share of wrong ones; one shot of ten
    is wrong.
    """
    _, y = shots(2)
    y[4] *= 2.2
    wide = WRONG_SD * np.median(np.abs(y))

    def density(points):
        values = {name: points[:, place][:, None] for place, name in enumerate(NAMES)}
        with np.errstate(all="ignore"):
            off = throw(values) - y
            size = 3.0 * np.exp(points[:, [3]])
            plain = 0.375 * (1.0 + (off / size) ** 2 / 4.0) ** -2.5 / size  # Student's, of four
            whole = (1 - WRONG) * plain + WRONG / (np.pi * wide * (1.0 + (off / wide) ** 2))
            height = np.sum(np.log(whole), axis=1)
        height += norm.logpdf(points[:, :3], MEANS, SDS).sum(axis=1)
        height += norm.logpdf(points[:, 3], 0.0, np.log(2.0))
        inside = (points[:, :3] > [0, 0.5, 0.1]).all(axis=1) & (points[:, :3] < [1, 1e9, 1.4]).all(
            axis=1
        )
        return np.where(inside & np.isfinite(height), height, -np.inf)

    start = np.append(MEANS, 0.0) + 0.1 * np.append(SDS, 1.0) * np.random.default_rng(
        1
    ).standard_normal((32, 4))
    sampler = emcee.EnsembleSampler(32, 4, density, vectorize=True)
    sampler.random_state = np.random.RandomState(3).get_state()
    sampler.run_mcmc(start, 2000)
    other = sampler.get_chain(discard=400, flat=True)
    mine = draw(throw, prior(), seen(y, loose=("",)), seed=4)
    spread = other[:, :3].std(axis=0)
    assert mine.counting > 0.5 and mine.does_not_fit == (4,)
    assert np.all(np.abs(mine.draws.mean(axis=0) - other[:, :3].mean(axis=0)) < 0.15 * spread)
    assert mine.draws.std(axis=0) == pytest.approx(spread, rel=0.12)
    assert np.corrcoef(mine.draws.T) == pytest.approx(np.corrcoef(other[:, :3].T), abs=0.1)
    noise = np.log(mine.noises[""])
    assert noise.mean() == pytest.approx(other[:, 3].mean(), abs=0.15 * other[:, 3].std())
    assert noise.std() == pytest.approx(other[:, 3].std(), rel=0.12)


def test_a_straight_model_gives_the_normal_distribution() -> None:
    """Truth: a straight model with normal priors has a normal posterior, of known covariance."""
    x = np.arange(8.0)
    design = np.column_stack([np.ones(8), x])
    y = design @ [2.0, 0.5] + np.random.default_rng(5).normal(0.0, 0.3, 8)
    two = [flat("a", sd=4.0), flat("b", sd=4.0)]
    plain = seen(y, 0.3, wrong=0.0, freedom=NORMAL)
    mine = draw(lambda b: b["a"] + b["b"] * x, two, plain, seed=6, particles=2000)
    inverse = np.linalg.inv(design.T @ design / 0.09 + np.eye(2) / 16.0)
    wanted = inverse @ design.T @ y / 0.09
    sd = np.sqrt(np.diag(inverse))
    assert np.all(np.abs(mine.draws.mean(axis=0) - wanted) < 0.1 * sd)
    assert mine.sd == pytest.approx(sd, rel=0.07)
    assert mine.correlation[0, 1] == pytest.approx(inverse[0, 1] / sd.prod(), abs=0.03)
    assert mine.spread_left["a"] == pytest.approx(sd[0] / 4.0, rel=0.07) and mine.not_told == ()


def test_students_regression_is_that_of_a_grid() -> None:
    """Truth: scipy.stats.t summed over a fine grid of the mean and of the noise's logarithm."""
    y = np.array([10.2, 9.1, 11.3, 10.8, 9.7, 16.0])
    open_ = seen(y, 1.0, loose=("",), wrong=0.0)
    mine = draw(lambda b: b["m"] * np.ones(6), [flat("m", 10.0, 5.0)], open_, particles=4000)
    m, logs = np.linspace(6.0, 16.0, 500), np.linspace(-2.5, 2.5, 250)
    size = np.exp(logs)[:, None, None]
    height = np.sum(t.logpdf((y - m[:, None]) / size, 4) - np.log(size), axis=-1)
    height += norm.logpdf(m, 10.0, 5.0) + norm.logpdf(logs, 0.0, np.log(2.0))[:, None]
    height = np.exp(height - height.max())
    low, middle, high = quantiles(m, height.sum(axis=0))
    assert told(mine, "m") == pytest.approx([low, middle, high], abs=0.05 * (high - low))
    noise = quantiles(logs, height.sum(axis=1))
    assert np.log(np.quantile(mine.noises[""], [0.05, 0.5, 0.95])) == pytest.approx(noise, abs=0.12)


STACK = """42 80 27 89, 37 80 27 88, 37 75 25 90, 28 62 24 87, 18 62 22 87, 18 62 23 87,
19 62 24 93, 20 62 24 93, 15 58 23 87, 14 58 18 80, 14 58 18 89, 13 58 17 88, 11 58 18 82,
12 58 19 93, 8 50 18 89, 7 50 18 86, 8 50 19 72, 8 50 19 79, 9 50 20 80, 15 56 20 82, 15 70 20 91"""


def test_the_odd_rows_of_stack_loss_are_the_farthest_off() -> None:
    """Truth: rows 1, 3, 4 and 21, named in every book on robust fits (P. J. Rousseeuw and A. M.
    Leroy, Robust Regression and Outlier Detection, 1987, ch. 3), and least squares without them:
    0.798, 0.577 and -0.067 (the same, from memory)."""
    rows = np.array([list(map(float, one.split())) for one in STACK.split(",")])
    y, x = rows[:, 0], rows[:, 1:]
    middle = x.mean(axis=0)
    four = [flat("a", 17.0, 20.0), flat("air", 0, 2), flat("water", 0, 2), flat("acid", 0, 2)]

    def model(b):
        flow, water, acid = (x - middle).T
        return b["a"] + b["air"] * flow + b["water"] * water + b["acid"] * acid

    mine = draw(model, four, seen(y, 1.5, loose=("",)))
    assert set(np.argsort(-np.abs(mine.standardised))[:4]) == {0, 2, 3, 20}
    kept = np.setdiff1d(np.arange(21), [0, 2, 3, 20])
    design = np.column_stack([np.ones(17), (x - middle)[kept]])
    without, *_ = np.linalg.lstsq(design, y[kept], rcond=None)
    assert without[1:] == pytest.approx([0.798, 0.577, -0.067], abs=1e-3)
    assert np.all(np.abs(mine.draws.mean(axis=0) - without) < 1.0 * mine.sd)
    least, *_ = np.linalg.lstsq(np.column_stack([np.ones(21), x - middle]), y, rcond=None)
    assert abs(least[2] - without[2]) > 2.0 * mine.sd[2]  # which least squares misses


@pytest.mark.parametrize("wrong", [3.28, 0.01, -1.0])
def test_one_wrong_shot_neither_moves_nor_widens_the_rest(wrong) -> None:
    """Truth: the same shots without it. Feet for metres, a comma for a point, a sign."""
    y = np.array([101.0, 99.0, 100.5, 98.5])
    one = [flat("m", 95.0, 10.0)]
    without = draw(lambda b: b["m"] * np.ones(4), one, seen(y, 2.0, loose=("",)))
    spoiled = draw(
        lambda b: b["m"] * np.ones(5), one, seen(np.append(y, wrong * 100.0), 2.0, loose=("",))
    )
    assert spoiled.does_not_fit == (4,) and without.does_not_fit == ()
    assert told(spoiled, "m") == pytest.approx(told(without, "m"), abs=0.3 * without.sd[0])
    assert spoiled.noise[""] == pytest.approx(without.noise[""], rel=0.15)


def test_a_bent_model_of_two_humps_keeps_both() -> None:
    """Truth: sin(2 a) is the same at either side of 45 degrees; a grid of the angle."""
    y = np.array([80.0, 81.0, 79.0])
    one = [Parameter(name="a", mean=0.75, sd=0.25, low=0.0, high=1.5)]
    plain = seen(y, 1.0, wrong=0.0, freedom=NORMAL)
    mine = draw(lambda b: 100.0 * np.sin(2.0 * b["a"]) * np.ones(3), one, plain, seed=3)
    a = np.linspace(0.0, 1.5, 3001)
    height = norm.pdf(a, 0.75, 0.25) * np.prod(
        norm.pdf(100.0 * np.sin(2 * a)[:, None], y, 1.0), axis=1
    )
    steep = a > np.pi / 4
    share = height[steep].sum() / height.sum()
    assert 0.3 < share < 0.7
    assert np.mean(mine.draws[:, 0] > np.pi / 4) == pytest.approx(share, abs=0.08)
    assert told(mine, "a") == pytest.approx(quantiles(a, height), abs=0.02)
    # The mean of the two is no place to be: one of them stands for the draws.
    assert 100.0 * np.sin(2.0 * mine.values["a"]) == pytest.approx(80.0, abs=2.0)
    assert mine.predicted == pytest.approx(80.0, abs=2.0)


def test_a_sharp_measurement_of_a_bent_model_is_weighed_by_the_model() -> None:
    """Truth: the sum of fourth powers of two numbers; a grid of both."""
    two = [flat("a", 1.0, 0.5), flat("b", 0.5, 0.5)]
    plain = seen([1.0], 0.02, wrong=0.0, freedom=NORMAL)
    mine = draw(
        lambda b: b["a"] ** 4 + b["b"] ** 4 * np.ones(1), two, plain, seed=5, particles=4000
    )
    a, b = np.meshgrid(np.linspace(-1.2, 2.2, 1200), np.linspace(-1.5, 1.6, 1200), indexing="ij")
    height = norm.pdf(a, 1.0, 0.5) * norm.pdf(b, 0.5, 0.5) * norm.pdf(a**4 + b**4, 1.0, 0.02)
    assert told(mine, "b") == pytest.approx(quantiles(b[0], height.sum(axis=0)), abs=0.15)
    assert mine.counting < 1.0 and mine.evaluations > 1000


def test_a_weighing_may_be_of_another_thing() -> None:
    """Truth: a mixture of two normal priors times one measurement, on a grid."""
    for seen_at, doubted in ((1.0, False), (1.07, False), (1.3, True)):
        one = Parameter(name="m", mean=1.0, sd=0.01, low=0.2, high=2.0, other=(1.0, 0.2))
        plain = seen([seen_at], 0.02, wrong=0.0, freedom=NORMAL)
        mine = draw(lambda b: b["m"] * np.ones(1), [one], plain)
        m = np.linspace(0.5, 1.6, 5000)
        right = (1 - MISTAKEN) * norm.pdf(m, 1.0, 0.01) * norm.pdf(seen_at, m, 0.02)
        other = MISTAKEN * norm.pdf(m, 1.0, 0.2) * norm.pdf(seen_at, m, 0.02)
        assert told(mine, "m") == pytest.approx(quantiles(m, right + other), abs=0.01)
        chance = other.sum() / (right + other).sum()
        assert mine.mistaken["m"] == pytest.approx(chance, abs=0.08)
        assert (mine.mistaken["m"] > 0.5) == doubted


def test_numbers_hardly_to_be_believed_are_under_strain() -> None:
    """Truth: one number and one sharp measurement: the square of the shift over chi-square's 0.999
    quantile with one degree of freedom, 10.83 (any table)."""
    plain = {"wrong": 0.0, "freedom": NORMAL}
    for z in (1.0, 3.1, 3.5):
        mine = draw(lambda b: b["m"] * np.ones(1), [flat("m", 0.0, 1.0)], seen([z], 0.05, **plain))
        assert mine.strain == pytest.approx(z**2 / 10.83, rel=0.05)


@pytest.mark.slow
def test_the_90_percent_interval_of_draws_covers_85_to_95_percent() -> None:
    """Truth: 40 made-up machines and their shots, drawn from all that is assumed of them: three
    numbers and the next shot of each, 160 counts."""
    hits = {name: 0 for name in (*NAMES, "next")}
    load = np.array([15.0])
    for seed in range(40):
        chance = np.random.default_rng([9, seed])
        noise = 3.0 * np.exp(np.log(2.0) * chance.standard_normal())
        truth, _ = shots(seed)
        y = throw(truth) + noise * chance.standard_t(4, LOADS.size)
        mine = draw(throw, prior(), seen(y, loose=("",)), seed=seed, particles=400)
        for name in NAMES:
            one = mine.interval(name, 0.9)
            hits[name] += one.low <= truth[name] <= one.high
        far = throw({name: mine.draws[:, [i]] for i, name in enumerate(NAMES)}, load)[:, 0]
        far = far + 3.0 * mine.noises[""] * chance.standard_t(4, far.size)
        one = interval_of(far, 0.9)
        hits["next"] += one.low <= throw(truth, load)[0] + noise * chance.standard_t(4) <= one.high
    assert 0.85 <= sum(hits.values()) / 160 <= 0.95, hits
    assert min(hits.values()) >= 31 and hits["next"] >= 33, hits


def test_the_same_seed_gives_the_same_draws_and_bounds_hold() -> None:
    """Truth: the draws themselves; a friction that the measurements put at its bound."""
    low = [Parameter(name="friction", mean=0.2, sd=0.2, low=0.1, high=0.5)]
    y = seen([0.05, 0.12, 0.06, 0.1], 0.05)
    one, two, three = (
        draw(lambda b: b["friction"] * np.ones(4), low, y, seed=seed) for seed in (1, 1, 2)
    )
    assert np.array_equal(one.draws, two.draws) and not np.array_equal(one.draws, three.draws)
    assert one.draws.min() >= 0.1 and one.draws.max() <= 0.5
    assert 0.1 < one.interval("friction").low < one.interval("friction").value


def test_a_throw_that_fails_is_counted_as_one_that_cannot_have_been() -> None:
    """Truth: a normal prior cut where the model has no answer; its median is known."""
    half = [flat("m", 0.0, 1.0, low=-4.0, high=4.0)]

    def model(b):
        return np.where(b["m"] > 0.0, 100.0, np.nan) * np.ones(3)

    mine = draw(model, half, seen([100.0, 101.0, 99.0], 1.0))
    assert np.mean(mine.draws > 0.0) > 0.99
    assert np.median(mine.draws) == pytest.approx(norm.ppf(0.75), abs=0.1)


def test_a_wrong_question_is_refused() -> None:
    """Truth: the rule that an error says thing, value, limit and next step."""
    _, y = shots(2)
    mine = draw(throw, prior(), seen(y), particles=300)
    with pytest.raises(FitError, match="'sling' was not fitted"):
        mine.interval("sling")
    with pytest.raises(FitError, match="level 2 is outside"):
        mine.interval("dead", 2.0)
    with pytest.raises(FitError, match="one row a set"):
        draw(lambda b: np.zeros(3), prior(), seen(y))
    with pytest.raises(FitError, match="needs mean and sd"):
        draw(throw, [Parameter(name="m", start=1.0)], seen(y))
    with pytest.raises(FitError, match="sd: every one must be above 0"):
        seen(y, 0.0)
    with pytest.raises(FitError, match="Leave out what is missing"):
        seen([np.nan])

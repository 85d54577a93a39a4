"""The draws agree with another sampler, with closed forms, and with known truth.

Truth: emcee (D. Foreman-Mackey and others, "emcee: The MCMC Hammer", PASP 125 (2013) 306) on the
same density written down anew here; normal distributions; made-up machines.
"""

import emcee
import numpy as np
import pytest

from slingwright.learning.fitting import FitError, Parameter, fit
from slingwright.learning.posterior import _correlation_time, draw, response_surface

LOADS = np.repeat([4.0, 6.0, 9.0, 13.0, 18.0], 2)
NAMES = ("share", "dead", "angle")
MEANS = np.array([0.5, 12.0, 0.55])
SDS = np.array([0.06, 3.0, 0.06])


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


def test_emcee_agrees_on_mean_spread_and_correlation() -> None:
    """Truth: emcee, 32 walkers, 5,000 steps, on the density of the same shots and priors."""
    _, y = shots(2)

    def density(points):
        values = {name: points[:, place][:, None] for place, name in enumerate(NAMES)}
        with np.errstate(all="ignore"):
            off = np.sum(((throw(values) - y) / 3.0) ** 2, axis=1)
        height = -0.5 * (off + np.sum(((points - MEANS) / SDS) ** 2, axis=1))
        inside = (points > [0.0, 0.5, 0.1]).all(axis=1) & (points < [1.0, np.inf, 1.4]).all(axis=1)
        return np.where(inside, height, -np.inf)

    start = MEANS + 0.1 * SDS * np.random.default_rng(1).standard_normal((32, 3))
    sampler = emcee.EnsembleSampler(32, 3, density, vectorize=True)
    sampler.random_state = np.random.RandomState(3).get_state()
    sampler.run_mcmc(start, 5000)
    other = sampler.get_chain(discard=1000, flat=True)
    found = fit(throw, prior(), y, sd=3.0)
    mine = draw(throw, found, many=True, steps=4000, seed=4)
    spread = other.std(axis=0)
    assert mine.independent > 500
    assert np.all(np.abs(mine.draws.mean(axis=0) - other.mean(axis=0)) < 0.15 * spread)
    assert mine.draws.std(axis=0) == pytest.approx(spread, rel=0.12)
    assert np.corrcoef(mine.draws.T) == pytest.approx(np.corrcoef(other.T), abs=0.06)
    for place, name in enumerate(NAMES):
        low, high = np.quantile(other[:, place], [0.05, 0.95])
        told = mine.interval(name, 0.9)
        assert told.low == pytest.approx(low, abs=0.25 * spread[place])
        assert told.high == pytest.approx(high, abs=0.25 * spread[place])


def test_the_correlation_time_of_a_known_chain() -> None:
    """Truth: x_t = c x_(t-1) + noise has the integrated time (1 + c) / (1 - c)."""
    chance = np.random.default_rng(12)
    for share in (0.0, 0.5, 0.9):
        chains = np.empty((5000, 16))
        chains[0] = chance.standard_normal(16) / np.sqrt(1 - share**2)
        for turn in range(1, 5000):
            chains[turn] = share * chains[turn - 1] + chance.standard_normal(16)
        wanted = (1 + share) / (1 - share)
        assert _correlation_time(chains) == pytest.approx(wanted, rel=0.06)


def test_a_straight_model_gives_the_normal_distribution() -> None:
    """Truth: a straight model with normal priors has a normal posterior, of known covariance."""
    design = np.column_stack([np.ones(8), np.arange(8.0)])
    y = design @ [2.0, 0.5] + np.random.default_rng(5).normal(0.0, 0.3, 8)
    two = [Parameter(name="a", mean=0.0, sd=4.0), Parameter(name="b", mean=0.0, sd=4.0)]
    found = fit(lambda b: b["a"] + b["b"] * design[:, 1], two, y, sd=0.3)
    mine = draw(lambda b: b["a"] + b["b"] * design[:, 1], found, many=True, steps=3000, seed=6)
    inverse = np.linalg.inv(design.T @ design / 0.09 + np.eye(2) / 16.0)
    wanted = inverse @ design.T @ y / 0.09
    assert found.estimate == pytest.approx(wanted, rel=1e-8)
    assert found.covariance == pytest.approx(inverse, rel=1e-7)
    assert mine.draws.mean(axis=0) == pytest.approx(wanted, abs=0.05 * np.sqrt(inverse[0, 0]))
    assert np.cov(mine.draws.T) == pytest.approx(inverse, rel=0.1)
    (told,) = mine.predict(
        lambda b: (b["a"] + 10.0 * b["b"]) * np.ones((1, 1)), sd=0.3, many=True, most=4000
    )
    row = np.array([1.0, 10.0])
    half = 1.644854 * np.sqrt(row @ inverse @ row + 0.09)
    assert told.value == pytest.approx(row @ wanted, abs=0.1 * half)
    assert told.high - told.low == pytest.approx(2 * half, rel=0.08)


def test_estimated_noise_gives_student_s_distribution() -> None:
    """Truth: mean of n normal values with a flat prior on log sd: Student's t, n - 1 degrees.

    Quantile of t at 95 % and 5 degrees of freedom: 2.015048 (any table of t).
    """
    y = np.array([10.2, 9.1, 11.3, 10.8, 9.7, 10.4])
    found = fit(
        lambda b: np.full(6, b["m"]), [Parameter(name="m", start=9.0)], y, estimate_noise=True
    )
    mine = draw(lambda b: b["m"] * np.ones((1, 6)), found, many=True, steps=6000, seed=7)
    told = mine.interval("m", 0.9)
    half = 2.015048 * y.std(ddof=1) / 6**0.5
    assert told.value == pytest.approx(y.mean(), abs=0.05 * half)
    assert (told.high - told.low) / 2 == pytest.approx(half, rel=0.06)
    # (n - 1) s^2 / noise^2 is chi-squared with 5 degrees of freedom: its mean is 5
    assert np.mean(5 * y.var(ddof=1) / mine.noise**2) == pytest.approx(5.0, rel=0.08)


@pytest.mark.slow
def test_the_90_percent_interval_of_draws_covers_85_to_95_percent() -> None:
    """Truth: 200 made-up machines, drawn from the priors, seeds 0 to 199."""
    hits = dict.fromkeys([*NAMES, "next"], 0)
    load = np.array([15.0])
    for seed in range(200):
        truth, y = shots(seed)
        found = fit(throw, prior(), y, sd=3.0, step=1e-3)
        mine = draw(throw, found, many=True, steps=300, warm_up=100, seed=seed)
        for name in NAMES:
            told = mine.interval(name, 0.9)
            hits[name] += told.low <= truth[name] <= told.high
        (told,) = mine.predict(lambda b: throw(b, load), sd=3.0, many=True, seed=seed)
        shot = throw(truth, load)[0] + np.random.default_rng(1000 + seed).normal(0.0, 3.0)
        hits["next"] += told.low <= shot <= told.high
    for name, count in hits.items():
        assert 0.85 <= count / 200 <= 0.95, (name, count)


def test_the_same_seed_gives_the_same_draws_and_bounds_hold() -> None:
    """Truth: the draws themselves; a friction that least squares puts at its bound."""
    low = [Parameter(name="friction", mean=0.2, sd=0.2, low=0.1, high=0.5)]
    found = fit(lambda b: np.full(4, b["friction"]), low, [0.05, 0.12, 0.06, 0.1], sd=0.05)
    one, two, three = (
        draw(lambda b: b["friction"] * np.ones((1, 4)), found, many=True, steps=200, seed=seed)
        for seed in (1, 1, 2)
    )
    assert np.array_equal(one.draws, two.draws) and not np.array_equal(one.draws, three.draws)
    assert one.draws.min() >= 0.1 and one.draws.max() <= 0.5
    assert 0.1 < one.interval("friction").low < one.interval("friction").value
    slow = draw(lambda b: np.full(4, b["friction"]), found, steps=200, seed=1)
    assert np.array_equal(slow.draws, one.draws)


def test_a_quadratic_stands_in_for_a_slow_model_and_says_how_far_it_is_off() -> None:
    """Truth: the model itself at the same points, and draws with the model itself."""
    _, y = shots(2, sd=1.0)
    narrow = [*prior()[:2], Parameter(name="angle", mean=0.55, sd=0.02)]
    found = fit(throw, narrow, y, sd=1.0)
    calls = []

    def slow(values):
        calls.append(values)
        return throw(values)

    quick = response_surface(slow, found)
    assert len(calls) == quick.evaluations <= 30
    assert quick.error < 0.3
    assert response_surface(throw, fit(throw, prior(), y, sd=1.0)).error > 0.6
    near = draw(quick, found, steps=3000, seed=8)
    straight = draw(throw, found, many=True, steps=3000, seed=9)
    assert len(calls) == quick.evaluations
    spread = straight.draws.std(axis=0)
    assert np.all(np.abs(near.draws.mean(axis=0) - straight.draws.mean(axis=0)) < 0.2 * spread)
    assert near.draws.std(axis=0) == pytest.approx(spread, rel=0.15)
    points = straight.draws[:50]
    values = {name: points[:, place][:, None] for place, name in enumerate(NAMES)}
    off = np.sqrt(np.sum((quick(values) - throw(values)) ** 2, axis=1))
    assert np.median(off) < quick.error
    exact = response_surface(
        lambda b: np.array([b["share"] * b["dead"], b["angle"] ** 2] * 5), found, checks=5
    )
    assert exact.error < 1e-9


def test_a_wrong_question_is_refused() -> None:
    """Truth: the rule that an error says thing, value, limit and next step."""
    _, y = shots(2)
    found = fit(throw, prior(), y, sd=3.0)
    with pytest.raises(FitError, match="4 walkers are too few for 3 numbers"):
        draw(throw, found, many=True, walkers=4)
    mine = draw(throw, found, many=True, steps=10, warm_up=0)
    with pytest.raises(FitError, match="'sling' was not fitted"):
        mine.interval("sling")
    with pytest.raises(FitError, match="level 2 is outside"):
        mine.interval("dead", 2.0)
    with pytest.raises(FitError, match="one row a point"):
        mine.predict(lambda b: np.zeros(3), many=True)
    with pytest.raises(FitError, match="no answer. Narrow the bounds"):
        draw(lambda b: np.full((len(b["dead"]), 10), np.nan), found, many=True)

"""The fitter says the right numbers and how well they are told.

Truth: closed forms of linear least squares and of one prior with one measurement, scipy's
curve_fit as another program, made-up measurements whose truth is known, and certified values of two
sets of: National Institute of Standards and Technology, Statistical Reference Datasets, Nonlinear
Least Squares Regression, https://www.itl.nist.gov/div898/strd/nls/nls_main.shtml.
"""

import numpy as np
import pytest
from scipy.optimize import curve_fit

from slingwright.learning.fitting import FitError, Parameter, fit

LOADS = np.repeat([4.0, 6.0, 9.0, 13.0, 18.0], 2)


def throw(values, load=LOADS):
    """Range of a machine that hands a share of 41 kJ to the load and a dead mass, no air."""
    speed_squared = 2.0 * values["share"] * 41_200.0 / (load + values["dead"])
    return speed_squared * np.sin(2.0 * values["angle"]) / 9.81


def prior(share=(0.5, 0.06), dead=(12.0, 3.0), angle=(0.55, 0.06)):
    return [
        Parameter(name="share", mean=share[0], sd=share[1], low=0.0, high=1.0),
        Parameter(name="dead", mean=dead[0], sd=dead[1], low=0.5),
        Parameter(name="angle", mean=angle[0], sd=angle[1], low=0.1, high=1.4),
    ]


def truth_and_shots(seed: int, sd: float = 3.0):
    chance = np.random.default_rng(seed)
    truth = {
        "share": chance.normal(0.5, 0.06),
        "dead": chance.normal(12.0, 3.0),
        "angle": chance.normal(0.55, 0.06),
    }
    return truth, throw(truth) + chance.normal(0.0, sd, LOADS.size)


def test_a_straight_line_is_the_closed_form() -> None:
    """Truth: normal equations solved by hand: b = (X'X)^-1 X'y, cov = s^2 (X'X)^-1."""
    x = np.array([0.0, 1.0, 2.0, 3.0, 4.0])
    y = np.array([1.1, 2.9, 5.2, 7.1, 8.8])
    lines = [Parameter(name="a", start=0.5), Parameter(name="b", start=1.0)]
    found = fit(lambda b: b["a"] + b["b"] * x, lines, y, 0.2)
    design = np.column_stack([np.ones(5), x])
    inverse = np.linalg.inv(design.T @ design)
    wanted = inverse @ design.T @ y
    off = y - design @ wanted
    assert list(found.values.values()) == pytest.approx(wanted, rel=1e-8)
    assert found.covariance == pytest.approx(inverse * 0.04, rel=1e-7)
    assert found.squares == pytest.approx(off @ off / 0.04, rel=1e-8)
    assert found.degrees == pytest.approx(3.0, rel=1e-9)
    half = found.interval("b", 0.9).high - wanted[1]
    assert half == pytest.approx(1.644854 * found.sd("b"), rel=1e-6)  # normal 95 % quantile


def test_one_prior_and_one_measurement_weigh_by_their_precision() -> None:
    """Truth: 1/v = 1/v1 + 1/v2 and the mean weighted likewise, two normal distributions."""
    mass = [Parameter(name="mass", mean=1400.0, sd=30.0)]
    found = fit(lambda b: np.array([b["mass"]]), mass, np.array([1460.0]), 10.0)
    variance = 1.0 / (1 / 900 + 1 / 100)
    assert found.sd("mass") == pytest.approx(variance**0.5, rel=1e-9)
    assert found.values["mass"] == pytest.approx(variance * (1400 / 900 + 1460 / 100), rel=1e-9)
    assert found.degrees == pytest.approx(1.0 - variance / 100.0, rel=1e-9)


def test_curve_fit_agrees() -> None:
    """Truth: scipy.optimize.curve_fit on the same shots; the priors as three more rows for it."""
    _, shots = truth_and_shots(5)
    means, sds = (np.array([getattr(p, of) for p in prior()]) for of in ("mean", "sd"))
    found = fit(throw, prior(), shots, 3.0)

    def rows(_x, *b):
        return np.concatenate(
            [throw(dict(zip(("share", "dead", "angle"), b, strict=True))), np.array(b)]
        )

    other, covariance = curve_fit(
        rows,
        np.zeros(13),
        np.concatenate([shots, means]),
        p0=means,
        sigma=np.concatenate([np.full(10, 3.0), sds]),
        absolute_sigma=True,
        xtol=1e-14,
        ftol=1e-14,
    )
    assert list(found.values.values()) == pytest.approx(other, rel=1e-5)
    assert found.covariance == pytest.approx(covariance, rel=1e-4)


def test_the_90_percent_interval_covers_85_to_95_percent() -> None:
    """Truth: 200 made-up machines, drawn from the priors, seeds 0 to 199; with 10 shots each."""
    hits = {"share": 0, "dead": 0, "angle": 0}
    for seed in range(200):
        truth, shots = truth_and_shots(seed)
        found = fit(throw, prior(), shots, 3.0)
        for name in truth:
            interval = found.interval(name, 0.9)
            hits[name] += interval.low <= truth[name] <= interval.high
    for name, count in hits.items():
        assert 0.85 <= count / 200 <= 0.95, (name, count)


MISRA_X = (77.6, 114.9, 141.1, 190.8, 239.9, 289, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1)
MISRA_Y = (10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.4, 75.47)


@pytest.mark.parametrize(
    ("model", "start", "wanted", "sds", "squares", "x", "y"),
    [
        (
            lambda a, b, x: a * (1 - np.exp(-b * x)),
            (250, 0.0005),
            (2.3894212918e02, 5.5015643181e-04),
            (2.7070075241e00, 7.2668688436e-06),
            1.2455138894e-01,
            (*MISRA_X, 760),
            (*MISRA_Y, 81.78),
        ),
        (
            lambda a, b, x: a * x**b,
            (0.7, 4),
            (7.6886226176e-01, 3.8604055871e00),
            (1.8281973860e-02, 5.1726610913e-02),
            4.3173084083e-03,
            (1.309, 1.471, 1.49, 1.565, 1.611, 1.68),
            (2.138, 3.421, 3.597, 4.34, 4.882, 5.66),
        ),
    ],
    ids=["Misra1a", "DanWood"],
)
def test_certified_sets(model, start, wanted, sds, squares, x, y) -> None:
    """Truth: the certified parameters, standard deviations and sums of squares, to six digits."""
    x, y = np.array(x, dtype=float), np.array(y)
    names = [Parameter(name=n, start=s) for n, s in zip("ab", start, strict=True)]
    found = fit(lambda b: model(b["a"], b["b"], x), names, y, 1.0)
    assert list(found.values.values()) == pytest.approx(wanted, rel=1e-6)
    assert found.squares == pytest.approx(squares, rel=1e-6)
    scatter = (squares / (y.size - 2)) ** 0.5
    assert [scatter * found.sd(n) for n in "ab"] == pytest.approx(sds, rel=1e-6)


def test_bounds_hold() -> None:
    """Truth: least squares of a constant below its lowest allowed value stands at that value."""
    seen = []

    def model(b):
        seen.append(b["friction"])
        return np.full(4, b["friction"])

    one = Parameter(name="friction", start=0.2, low=0.1, high=0.5)
    found = fit(model, [one], np.array([0.05, 0.04, 0.06, 0.05]), 0.01)
    assert found.values["friction"] == pytest.approx(0.1, abs=1e-6)
    assert min(seen) >= 0.1 and max(seen) <= 0.5


def test_what_the_data_cannot_tell_is_refused() -> None:
    """Truth: a prediction that depends on a product, and one that does not depend on a number."""
    two = [Parameter(name="one", start=1.0), Parameter(name="other", start=2.0)]
    y = np.array([2.0, 4.1, 6.0])
    with pytest.raises(FitError, match="one, other: the measurements do not separate them"):
        fit(lambda b: b["one"] * b["other"] * np.arange(1.0, 4.0), two, y, 1.0)
    with pytest.raises(FitError, match="other: no slope at the estimate"):
        fit(lambda b: b["one"] * np.ones(3), two, y, 1.0)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"mean": 1.0}, "a prior needs both mean and sd"),
        ({"mean": 1.0, "sd": 0.0}, "prior sd 0.0 is not above 0"),
        ({}, "starts at nan"),
        ({"start": 3.0, "high": 2.0}, "starts at 3, outside -inf to 2"),
    ],
)
def test_a_wrong_parameter_is_refused(fields, words) -> None:
    """Truth: the rule that an error says thing, value, limit and next step."""
    with pytest.raises(FitError, match=words):
        Parameter(name="a", **fields)

"""The fitter says the right numbers, how well they are told, and what does not fit.

Truth: closed forms of linear least squares and of one prior with one measurement, scipy's
curve_fit as another program, and made-up measurements whose truth is known.
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
    found = fit(
        lambda b: b["a"] + b["b"] * x,
        [Parameter(name="a", start=0.0), Parameter(name="b", start=1.0)],
        y,
        estimate_noise=True,
    )
    design = np.column_stack([np.ones(5), x])
    inverse = np.linalg.inv(design.T @ design)
    wanted = inverse @ design.T @ y
    off = y - design @ wanted
    assert found.estimate == pytest.approx(wanted, rel=1e-9)
    assert found.covariance == pytest.approx(inverse * (off @ off) / 3.0, rel=1e-8)
    assert found.leverage == pytest.approx(np.diag(design @ inverse @ design.T), rel=1e-8)
    assert found.leverage.sum() == pytest.approx(2.0, rel=1e-9)
    s = np.sqrt(off @ off / 3.0)
    inside = off / (s * np.sqrt(1 - found.leverage))
    assert found.standardised == pytest.approx(
        inside * np.sqrt(2 / (3 - inside**2)), rel=1e-6, abs=1e-8
    )
    # Student's t with 3 degrees of freedom, 95 % quantile 2.353363 (any table of t)
    half = found.interval("b", 0.9).high - wanted[1]
    assert half == pytest.approx(2.353363 * found.sd[1], rel=1e-6)


def test_left_out_residuals_are_those_of_a_fit_without_the_point() -> None:
    """Truth: the line fitted without each point in turn, and t = (y - f) / its prediction's sd."""
    x = np.array([0.0, 1.0, 2.0, 3.0, 4.0, 5.0])
    y = np.array([1.1, 2.9, 5.2, 7.9, 8.8, 11.3])
    lines = [Parameter(name="a", start=0.0), Parameter(name="b", start=1.0)]
    whole = fit(lambda b: b["a"] + b["b"] * x, lines, y, estimate_noise=True)
    for place in range(6):
        keep = np.arange(6) != place
        part = fit(lambda b, k=keep: b["a"] + b["b"] * x[k], lines, y[keep], estimate_noise=True)
        row = np.array([1.0, x[place]])
        spread = np.sqrt(part.noise**2 + row @ part.covariance @ row)
        wanted = (y[place] - row @ part.estimate) / spread
        assert whole.standardised[place] == pytest.approx(wanted, rel=1e-6, abs=1e-8)


def test_one_prior_and_one_measurement_weigh_by_their_precision() -> None:
    """Truth: 1/v = 1/v1 + 1/v2 and the mean weighted likewise, two normal distributions."""
    found = fit(
        lambda b: [b["mass"]], [Parameter(name="mass", mean=1400.0, sd=30.0)], [1460.0], sd=10.0
    )
    variance = 1.0 / (1 / 900 + 1 / 100)
    assert found.sd[0] == pytest.approx(variance**0.5, rel=1e-9)
    assert found.values["mass"] == pytest.approx(variance * (1400 / 900 + 1460 / 100), rel=1e-9)
    assert found.degrees == pytest.approx(1.0 - variance / 100.0, rel=1e-9)
    assert found.spread_left["mass"] == pytest.approx(variance**0.5 / 30.0, rel=1e-9)
    half = found.interval("mass", 0.9).high - found.values["mass"]
    assert half == pytest.approx(1.644854 * found.sd[0], rel=1e-6)  # normal 95 % quantile


def test_curve_fit_agrees_with_and_without_known_noise() -> None:
    """Truth: scipy.optimize.curve_fit on the same shots; the priors as three more rows for it."""
    _, shots = truth_and_shots(5)
    chosen = prior()
    means = np.array([p.mean for p in chosen])
    sds = np.array([p.sd for p in chosen])
    found = fit(throw, chosen, shots, sd=3.0)

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
    assert found.estimate == pytest.approx(other, rel=1e-6)
    assert found.covariance == pytest.approx(covariance, rel=1e-4)
    two = [Parameter(name="k", start=500.0), Parameter(name="dead", start=8.0)]
    free = fit(lambda b: b["k"] / (LOADS + b["dead"]), two, shots, estimate_noise=True)
    other, covariance = curve_fit(
        lambda x, k, dead: k / (x + dead), LOADS, shots, p0=(500.0, 8.0), xtol=1e-14, ftol=1e-14
    )
    assert free.estimate == pytest.approx(other, rel=1e-6)
    assert free.covariance == pytest.approx(covariance, rel=1e-4)


def test_the_90_percent_interval_covers_85_to_95_percent() -> None:
    """Truth: 200 made-up machines, drawn from the priors, seeds 0 to 199; with 10 shots each."""
    hits = {"share": 0, "dead": 0, "angle": 0}
    for seed in range(200):
        truth, shots = truth_and_shots(seed)
        found = fit(throw, prior(), shots, sd=3.0, step=1e-3)
        for name in truth:
            interval = found.interval(name, 0.9)
            hits[name] += interval.low <= truth[name] <= interval.high
    for name, count in hits.items():
        assert 0.85 <= count / 200 <= 0.95, (name, count)


def test_noise_is_estimated_with_priors_too() -> None:
    """Truth: 300 measurements of sd 3 that were given as sd 1, and a prior that hardly counts."""
    chance = np.random.default_rng(11)
    y = 50.0 + chance.normal(0.0, 3.0, 300)
    found = fit(
        lambda b: np.full(300, b["m"]),
        [Parameter(name="m", mean=40.0, sd=1e4)],
        y,
        estimate_noise=True,
    )
    assert found.noise == pytest.approx(np.std(y, ddof=1), rel=1e-4)
    assert found.sd[0] == pytest.approx(np.std(y, ddof=1) / 300**0.5, rel=1e-4)
    assert found.values["m"] == pytest.approx(y.mean(), rel=1e-6)


def test_a_wrong_entry_is_named_and_a_right_set_is_left_alone() -> None:
    """Truth: one range written ten metres off in a set of sd 1; and 200 sets with nothing wrong."""
    _, shots = truth_and_shots(7, sd=1.0)
    shots[3] += 10.0
    labels = [f"shot {number}" for number in range(1, 11)]
    found = fit(throw, prior(), shots, sd=1.0, labels=labels)
    assert found.does_not_fit == (3,)
    assert "shot 4 does not fit: measured" in found.account()
    alarms = 0
    for seed in range(200):
        _, shots = truth_and_shots(seed)
        alarms += bool(fit(throw, prior(), shots, sd=3.0, step=1e-3).does_not_fit)
    assert alarms <= 7  # 2 expected; 8 or more in one of a thousand such tests


def test_what_the_data_cannot_tell_is_said() -> None:
    """Truth: a prediction that hardly depends on one number, and one that depends on a product."""
    found = fit(
        lambda b: b["told"] + 1e-3 * b["hardly"] * np.arange(5.0),
        [Parameter(name="told", mean=0.0, sd=10.0), Parameter(name="hardly", mean=3.0, sd=1.0)],
        [1.0, 1.1, 0.9, 1.0, 1.05],
        sd=0.1,
    )
    assert found.not_told == ("hardly",)
    assert found.spread_left["hardly"] > 0.99 and found.spread_left["told"] < 0.01
    assert "The data say little about hardly" in found.account()
    with pytest.raises(FitError, match="one, other: the measurements do not separate them"):
        fit(
            lambda b: b["one"] * b["other"] * np.arange(1.0, 6.0),
            [Parameter(name="one", start=1.0), Parameter(name="other", start=2.0)],
            [2.0, 4.1, 6.0, 7.9, 10.0],
        )
    with pytest.raises(FitError, match="idle: no measurement changes with it"):
        fit(
            lambda b: b["told"] * np.ones(3) + 0.0 * b["idle"],
            [Parameter(name="told", start=1.0), Parameter(name="idle", start=2.0)],
            [2.0, 4.1, 6.0],
        )
    tied = fit(
        lambda b: b["one"] + b["other"] + 1e-2 * b["one"] * np.arange(5.0),
        [Parameter(name="one", mean=1.0, sd=5.0), Parameter(name="other", mean=1.0, sd=5.0)],
        np.full(5, 2.0),
        sd=0.1,
    )
    assert tied.tied()[0][:2] == ("one", "other") and tied.tied()[0][2] < -0.95
    assert "one and other go together" in tied.account()


def test_bounds_hold_and_are_told() -> None:
    """Truth: least squares of a constant below its lowest allowed value stands at that value."""
    found = fit(
        lambda b: np.full(4, b["friction"]),
        [Parameter(name="friction", start=0.2, low=0.1, high=0.5)],
        [0.05, 0.04, 0.06, 0.05],
        sd=0.01,
    )
    assert found.values["friction"] == pytest.approx(0.1, abs=1e-6)
    assert found.at_bound == ("friction",)
    assert "At its bound: friction" in found.account()
    seen = []

    def model(b):
        seen.append(b["friction"])
        return np.full(4, b["friction"])

    fit(model, [Parameter(name="friction", mean=0.1, sd=0.1, low=0.1, high=0.5)], np.full(4, 0.05))
    assert min(seen) >= 0.1 and max(seen) <= 0.5


def test_correlation_follows_from_the_covariance() -> None:
    """Truth: its definition."""
    _, shots = truth_and_shots(9)
    found = fit(throw, prior(), shots, sd=3.0)
    assert np.diag(found.correlation) == pytest.approx(np.ones(3))
    assert found.correlation == pytest.approx(found.correlation.T)


def test_a_model_that_steps_through_time_is_fitted_with_few_evaluations() -> None:
    """Truth: the same fit with a smooth model; steps of 1e-3 bridge answers rounded to 1e-6."""
    _, shots = truth_and_shots(13)
    smooth = fit(throw, prior(), shots, sd=3.0)
    rough = fit(lambda b: np.round(throw(b), 6), prior(), shots, sd=3.0, step=1e-3)
    assert np.all(np.abs(rough.estimate - smooth.estimate) < 0.02 * smooth.sd)
    assert rough.sd == pytest.approx(smooth.sd, rel=0.01)
    assert rough.evaluations <= 100 < smooth.evaluations


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: Parameter(name="a", mean=1.0), "a prior needs both mean and sd"),
        (lambda: Parameter(name="a", mean=1.0, sd=0.0), "prior sd 0.0 is not above 0"),
        (lambda: Parameter(name="a"), "nothing to start from"),
        (lambda: Parameter(name="a", start=3.0, high=2.0), "starts at 3, outside -inf to 2"),
        (lambda: Parameter(name="a", start=3.0, low=2.0, high=1.0), "low bound 2 is not below"),
        (lambda: fit(throw, [], [1.0]), "give one or more"),
        (lambda: fit(throw, prior(), [1.0, 2.0]), r"shape \(10,\) for 2 measurements"),
        (lambda: fit(throw, prior(), [float("nan")] * 10), "finite numbers"),
        (lambda: fit(throw, prior(), LOADS, sd=0.0), "every one must be above 0"),
        (lambda: fit(throw, prior(), LOADS, sd=[1.0, 2.0]), "2 values for 10 measurements"),
        (lambda: fit(throw, prior(), LOADS, labels=["a"]), "1 labels for 10"),
        (
            lambda: fit(
                lambda b: [b["a"]], [Parameter(name="a", start=1.0)], [1.0], estimate_noise=True
            ),
            "1 measurements cannot show their own noise",
        ),
        (
            lambda: fit(lambda b: [float("nan")], [Parameter(name="a", start=1.0)], [1.0]),
            "no finite answer where the search starts",
        ),
        (lambda: fit(throw, prior(), LOADS).interval("sling"), "'sling' was not fitted"),
        (lambda: fit(throw, prior(), LOADS).interval("dead", 90), "level 90 is outside 0 to 1"),
    ],
)
def test_a_wrong_question_is_refused(call, words) -> None:
    """Truth: the rule that an error says thing, value, limit and next step."""
    with pytest.raises(FitError, match=words):
        call()

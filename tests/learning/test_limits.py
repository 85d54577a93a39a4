"""Limits of what is called odd: each just inside and just outside, by tables of distributions."""

import math
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.stats import chi2, norm

from slingwright.learning.fitting import Parameter, fit
from slingwright.learning.learning import Learned
from slingwright.learning.seen.by_eye import chance_of
from slingwright.learning.shots import BY_EYE


def told(off, kinds=None, odd=()):
    """What was learned from ranges that are off by some standard deviations, and nothing else."""
    fit = SimpleNamespace(
        does_not_fit=odd,
        measured=np.asarray(off, dtype=float),
        predicted=np.zeros(len(off)),
        measured_sd=np.ones(len(off)),
        kinds=kinds or ("range",) * len(off),
    )
    model = SimpleNamespace(places=[(row, "range") for row in range(len(off))], shots=off)
    return Learned.disagreement.fget(SimpleNamespace(fit=fit, model=model, suspects=()))


def test_shots_disagree_beyond_the_thousandth_part_of_chance():
    """Truth: the chi-square distribution of n squares, its 0.999 quantile (scipy.stats), times the
    square of twice the scatter; what does not fit anyhow is left out, and one alone tells nothing.
    """
    limit = math.sqrt(4.0 * chi2.ppf(0.999, 4) / 4.0)
    assert told([0.999 * limit] * 4) == ""
    assert "disagree" in told([1.001 * limit, -1.001 * limit] * 2)
    assert told([100.0]) == ""
    assert told([0.1] * 4 + [900.0], odd=(4,)) == ""
    kinds = ("range", "range", "time", "time")
    pair = math.sqrt(4.0 * chi2.ppf(0.999, 2) / 2.0)
    assert told([0.999 * pair] * 4, kinds) == ""
    assert "The time scatters" in told([0.1, 0.1, 1.001 * pair, 1.001 * pair], kinds)


@pytest.mark.parametrize(("chance", "odd"), [(0.051, False), (0.049, True)])
def test_a_word_of_less_than_a_twentieth_does_not_fit(chance, odd):
    """Truth: the normal distribution (scipy.stats): 3 % of slips, a third of them each word."""
    steep, sd = math.radians(50.0), math.radians(7.0)
    elevation = steep + sd * norm.ppf((chance - 0.01) / 0.97)
    assert float(chance_of("early", elevation)) == pytest.approx(chance, rel=1e-9)
    model = SimpleNamespace(
        places=[(0, BY_EYE)], shots=[SimpleNamespace(release="early", label="one")]
    )
    stub = SimpleNamespace(
        model=lambda _: [elevation], fit=SimpleNamespace(values={}, standardised=[0.0])
    )
    stub.model.places, stub.model.shots = model.places, model.shots
    assert bool(Learned._odd_words(stub)) == odd


@pytest.mark.parametrize(
    ("low", "high", "mean", "told"),
    [
        (0.1, 0.5, 0.05, True),
        (0.1, 0.5, 0.3, False),
        (0.1, 0.5, 0.7, True),
        (-0.5, -0.1, -0.7, True),
        (-0.5, -0.1, -0.3, False),
        (-0.5, -0.1, 0.2, True),
    ],
)
def test_a_number_at_either_bound_is_told(low, high, mean, told):
    """Truth: least squares of a constant: the mean, or the bound beside it."""
    start = 0.5 * (low + high)
    one = Parameter(name="friction", start=start, low=low, high=high)
    found = fit(lambda b: np.full(4, b["friction"]), [one], [mean] * 4, sd=0.05)
    assert found.at_bound == (("friction",) if told else ())
    assert found.values["friction"] == pytest.approx(min(max(mean, low), high), abs=1e-6)

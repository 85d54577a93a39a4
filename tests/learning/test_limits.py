"""Limits of what is called odd: each just inside and just outside, by tables of distributions."""

import math
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.stats import norm

from slingwright.learning.learning import Learned
from slingwright.learning.seen.by_eye import chance_of
from slingwright.learning.shots import BY_EYE


def told(noises, shots=4, odd=(), strain=0.0):
    """What was learned where the scatters are so many times what was assumed, and nothing else."""
    kinds = tuple(kind for kind in noises for _ in range(2))
    fit = SimpleNamespace(
        noises={kind: np.asarray(column) for kind, column in noises.items()},
        noise={kind: float(np.median(column)) for kind, column in noises.items()},
        seen=SimpleNamespace(loose=tuple(noises), kinds=kinds),
        strain=strain,
        values={},
    )
    model = SimpleNamespace(shots=[SimpleNamespace(label=f"fits {n}") for n in range(shots)])
    suspects = [SimpleNamespace(label=one) for one in odd]
    stub = SimpleNamespace(fit=fit, model=model, suspects=suspects, uncertain=())
    return Learned.disagreement.fget(stub)


def test_shots_disagree_where_they_likely_scatter_four_times_as_far():
    """Truth: the median of the draws of the scatter, by counting."""
    draws = np.linspace(2.0, 4.0, 101)
    assert told({"range": draws + 0.999}) == "" and "disagree" in told({"range": draws + 1.001})
    both = {"range": np.ones(101), "time in the air": draws + 2.0}
    assert "The time in the air scatters 5.0 times" in told(both)


def test_shots_disagree_where_most_do_not_fit():
    """Truth: more than half of them, by counting."""
    usual = {"range": np.ones(11)}
    assert told(usual, 4, ("a", "b")) == ""
    assert told(usual, 4, ("a", "b", "c")).startswith("3 of 4 shots do not fit")
    assert told(usual, 1, ("a",)).startswith("1 of 1 shots do not fit")


def test_shots_disagree_where_the_last_three_do_not_fit():
    """Truth: three in a row at the end, by counting; two, or three before a good one, do not."""
    usual = {"range": np.ones(11)}
    assert told(usual, 8, ("fits 5", "fits 6", "fits 7")).startswith("The last 3 shots")
    assert told(usual, 8, ("fits 6", "fits 7")) == ""
    assert told(usual, 8, ("fits 4", "fits 5", "fits 6")) == ""


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

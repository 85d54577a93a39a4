"""A rope round a post.

Source: the belt friction equation of L. Euler and J. A. Eytelwein; the worked value, friction 0.3
and one turn, 6.6, as told in the belt-friction question of openknowledgegraph.com. Two and three
turns are its powers: 43.4 and 286.
"""

import math

import numpy as np
import pytest

from slingwright.formulas.rope.sheaves import capstan_ratio, holding_turns


@pytest.mark.parametrize(("turns", "ratio"), [(1, 6.6), (2, 43.4), (3, 286.0)])
def test_capstan(turns: int, ratio: float) -> None:
    """Truth: the worked value and its powers, to the digits printed."""
    assert capstan_ratio(0.3, turns) == pytest.approx(ratio, rel=3e-3)


def test_capstan_element_by_element() -> None:
    """Truth: dT = mu T da, summed over a hundred thousand small angles."""
    tension = np.prod(np.full(100_000, 1.0 + 0.25 * 2 * np.pi * 1.5 / 100_000))
    assert capstan_ratio(0.25, 1.5) == pytest.approx(float(tension), rel=1e-4)


def test_holding_turns_is_the_way_back() -> None:
    """Truth: the inverse of the ratio; a hand stronger than the load needs no turn."""
    turns = holding_turns(5000.0, 120.0, 0.35)
    assert 120.0 * capstan_ratio(0.35, turns) == pytest.approx(5000.0)
    assert holding_turns(100.0, 200.0, 0.3) == 0.0
    assert math.isclose(capstan_ratio(0.0, 3.0), 1.0)


def test_no_hand_holds_nothing() -> None:
    """Truth: without a hand or without friction the rope runs out."""
    for hold, friction in ((0.0, 0.3), (100.0, 0.0)):
        with pytest.raises(ValueError, match="stops nothing"):
            holding_turns(5000.0, hold, friction)

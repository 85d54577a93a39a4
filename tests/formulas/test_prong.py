"""The prong: slip angle and bend, there and back."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slingwright.formulas.release import prong


@given(st.floats(-1.2, 1.2), st.floats(0.0, 0.8))
def test_bend_and_slip_go_back_and_forth(bend: float, friction: float) -> None:
    """Truth: one is the inverse of the other."""
    lag = prong.slip_angle(bend, friction)
    assert prong.bend_for_slip(lag, friction) == pytest.approx(bend, abs=1e-12)


@given(st.floats(-1.2, 1.2), st.floats(0.0, 0.8))
def test_ring_slides_just_below_the_slip_angle(bend: float, friction: float) -> None:
    """Truth: Coulomb's law at the contact, in balance at the slip angle and on either side."""
    lag = prong.slip_angle(bend, friction)
    along, across = math.cos(lag + bend), math.sin(lag + bend)
    assert along == pytest.approx(friction * across, abs=1e-12)
    assert prong.slides(lag - 1e-6, bend, friction)
    assert not prong.slides(lag + 1e-6, bend, friction)


def test_block_on_a_slope_slides_the_same_way() -> None:
    """Truth: a ring on a straight prong is a block on a slope: it slides where tan(slope) = mu.

    With the prong along the arm, the slope against the pull is a quarter turn less the lag.
    """
    lag = prong.slip_angle(0.0, 0.25)
    assert math.tan(0.5 * math.pi - lag) == pytest.approx(0.25, rel=1e-12)


def test_smooth_straight_prong_lets_go_at_a_right_angle() -> None:
    """Truth: without friction the ring slides once the pull has any part along the prong."""
    assert math.degrees(prong.slip_angle(0.0, 0.0)) == pytest.approx(90.0)


def test_wet_ring_slips_earlier_in_the_throw() -> None:
    """Truth: less friction, larger lag at the slip, and the lag falls during the throw."""
    wet, dry = prong.slip_angle(0.7, 0.1), prong.slip_angle(0.7, 0.3)
    assert math.degrees(wet - dry) == pytest.approx(16.699 - 5.711, abs=1e-3)


def test_impossible_bends_are_named() -> None:
    """Truth: beyond a quarter turn the prong stands across the arm."""
    with pytest.raises(ValueError, match="across the arm"):
        prong.slip_angle(math.pi / 2, 0.1)
    with pytest.raises(ValueError, match="beyond 90 deg"):
        prong.bend_for_slip(-0.2, 0.1)
    with pytest.raises(ValueError, match="negative"):
        prong.slip_angle(0.3, -0.1)

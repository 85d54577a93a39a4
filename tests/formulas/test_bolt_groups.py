"""Bolt groups: held to equilibrium, and bad input to clear words."""

import math

import hypothesis
import hypothesis.strategies as st
import pytest

from slingwright.formulas.timber import groups as bolt_groups

CORNERS = [(0.09, 0.085), (-0.09, 0.085), (-0.09, -0.085), (0.09, -0.085)]


def test_group_of_four_by_hand():
    """Truth: by hand: 1 kN, 10.05 kN and 3.25 kN m on four bolts at 90 and 85 mm."""
    spread = 4 * (0.090**2 + 0.085**2)
    along = 1000.0 / 4 + 3250.0 * 0.085 / spread
    across = 10050.0 / 4 + 3250.0 * 0.090 / spread
    found = bolt_groups.hardest_bolt(CORNERS, 1000.0, 10050.0, 3250.0)
    assert found.bolt == 3
    assert found.force == pytest.approx(math.hypot(along, across), rel=1e-12)
    assert found.direction == pytest.approx(math.atan2(across, along), rel=1e-12)


@hypothesis.given(st.floats(-1e5, 1e5), st.floats(-1e5, 1e5), st.floats(-1e4, 1e4))
def test_hardest_bolt_carries_at_least_its_share(along, across, moment):
    """Truth: the mean of four forces is the group's, so the largest is no smaller."""
    found = bolt_groups.hardest_bolt(CORNERS, along, across, moment)
    assert found.force >= math.hypot(along, across) / 4 * (1 - 1e-9)


@pytest.mark.parametrize("shift", [(0.0, 0.0), (3.0, -7.0)])
def test_group_does_not_care_where_the_origin_is(shift):
    """Truth: forces depend on places from the middle only."""
    moved = [(x + shift[0], y + shift[1]) for x, y in CORNERS]
    found = bolt_groups.hardest_bolt(moved, 1e3, 2e3, 500.0)
    assert found.force == pytest.approx(bolt_groups.hardest_bolt(CORNERS, 1e3, 2e3, 500.0).force)


def test_capacity_by_hand():
    """Truth: (2.17): 0.9 * 1.47 * 2 * 22.105 kN / 1.3."""
    found = bolt_groups.group_capacity(22.105e3, 1.47, 2, 0.9)
    assert found == pytest.approx(0.9 * 1.47 * 2 * 22.105e3 / 1.3, rel=1e-12)


def test_slip_modulus_of_unlike_timbers():
    """Truth: 7.1 (2): the geometric mean of the densities."""
    mixed = bolt_groups.slip_modulus(0.016, 420.0, 640.0)
    alike = bolt_groups.slip_modulus(0.016, math.sqrt(420.0 * 640.0))
    assert mixed == pytest.approx(alike, rel=1e-12)


def test_refusals():
    """Truth: what carries nothing is said, not counted."""
    with pytest.raises(ValueError, match="without bolts"):
        bolt_groups.hardest_bolt([], 1.0, 0.0, 0.0)
    with pytest.raises(ValueError, match="one place take no moment"):
        bolt_groups.hardest_bolt([(1.0, 1.0)], 1.0, 0.0, 5.0)
    with pytest.raises(ValueError, match="number of bolts is 0"):
        bolt_groups.group_capacity(1e3, 0.0, 1, 0.9)
    assert bolt_groups.hardest_bolt([(1.0, 1.0)], 3.0, 4.0, 0.0).force == 5.0

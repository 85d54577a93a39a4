"""A group of bolts in a row: held to the rule by hand, and bad input to clear words."""

import pytest

from slingwright.formulas.timber import groups as bolt_groups


def test_capacity_by_hand():
    """Truth: (2.17): 0.9 * 1.47 * 2 * 22.105 kN / 1.3."""
    found = bolt_groups.group_capacity(22.105e3, 1.47, 2, 0.9)
    assert found == pytest.approx(0.9 * 1.47 * 2 * 22.105e3 / 1.3, rel=1e-12)


def test_refusals():
    """Truth: what carries nothing is said, not counted."""
    with pytest.raises(ValueError, match="number of bolts is 0"):
        bolt_groups.group_capacity(1e3, 0.0, 1, 0.9)

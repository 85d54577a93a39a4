"""Sheaves: what a block's fastening takes, and frictions that cannot be."""

import math

import pytest

from slingwright.formulas.rope import sheaves


def test_block_fastening_takes_both_parts() -> None:
    """Truth: two equal parts: parallel 2 T, square sqrt(2) T, straight through nothing."""
    found = [sheaves.block_load(1e3, 1e3, angle) for angle in (0.0, math.pi / 2, math.pi)]
    assert found == pytest.approx([2e3, math.sqrt(2) * 1e3, 0.0], abs=1e-4)


@pytest.mark.parametrize(
    "call",
    [
        lambda: sheaves.friction_ratio(-0.1),
        lambda: sheaves.friction_ratio(1.0),
        lambda: sheaves.mechanical_advantage(4, 0.0),
    ],
)
def test_loss_outside_its_limits_is_named(call) -> None:
    """Truth: a share lies between nothing and the whole."""
    with pytest.raises(ValueError, match="outside 0 to 1"):
        call()

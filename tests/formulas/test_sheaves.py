"""Sheaves: what a block's fastening takes, and frictions that cannot be."""

import pytest

from slingwright.formulas.rope import sheaves


@pytest.mark.parametrize(
    "call",
    [
        lambda: sheaves.friction_ratio(-0.1),
        lambda: sheaves.friction_ratio(1.0),
    ],
)
def test_loss_outside_its_limits_is_named(call) -> None:
    """Truth: a share lies between nothing and the whole."""
    with pytest.raises(ValueError, match="outside 0 to 1"):
        call()

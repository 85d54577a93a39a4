"""Lead-line factors of tackle.

Source: Wire Rope Technical Board, Wire Rope Users Manual, 4th edition, p. 88: friction ratio 1.09
for plain bearings and 1.04 for rolling ones; four parts and plain bearings 0.309; with two further
lead sheaves 0.367; 6,000 lb then needs 2,202 lb. Other rows are arithmetic from the same formula,
K^N (K - 1) / (K^N - 1).
"""

import pytest

from slingwright.formulas.rope.sheaves import ROLLING, lead_line_factor

PLAIN = 1.09


def test_friction_ratio_of_rolling_bearings() -> None:
    """Truth: p. 88."""
    assert ROLLING == 1.04


@pytest.mark.parametrize(
    ("ratio", "parts", "factor"),
    [
        (1.09, 2, 0.568),
        (1.09, 3, 0.395),
        (1.09, 4, 0.309),
        (1.09, 5, 0.257),
        (1.09, 6, 0.223),
        (1.04, 2, 0.530),
        (1.04, 3, 0.360),
        (1.04, 4, 0.275),
        (1.04, 5, 0.225),
        (1.04, 6, 0.191),
    ],
)
def test_lead_line_factor(ratio: float, parts: int, factor: float) -> None:
    """Truth: p. 88 for 0.309; the others by its formula, to the three digits of a printed table."""
    assert lead_line_factor(parts, ratio) == pytest.approx(factor, abs=5.01e-4)


def test_two_more_lead_sheaves() -> None:
    """Truth: p. 88: 0.367, and 2,202 lb for 6,000 lb, from the factor rounded to three digits."""
    factor = lead_line_factor(4, PLAIN, 6)
    assert factor == pytest.approx(0.367, abs=5.01e-4)
    assert 6000 * round(factor, 3) == pytest.approx(2202)


@pytest.mark.parametrize("parts", range(1, 9))
@pytest.mark.parametrize("ratio", [1.0, 1.0 + 1e-9, 1.02, 1.04, 1.09, 1.2, 1 / 1.09])
def test_sheave_by_sheave(parts: int, ratio: float) -> None:
    """Truth: the tensions summed sheave by sheave, the definition of the friction ratio."""
    tensions = [ratio**i for i in range(parts)]
    expected = ratio**parts / sum(tensions)
    assert lead_line_factor(parts, ratio) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [((0, 1.09), "carry nothing"), ((2, 0.0), "not above 0"), ((4, 1.09, 2), "need 3 sheaves")],
)
def test_refusals(arguments: tuple, words: str) -> None:
    """Truth: a tackle without parts, friction below nothing, and too few sheaves for its parts."""
    with pytest.raises(ValueError, match=words):
        lead_line_factor(*arguments)

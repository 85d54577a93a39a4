"""The quick answer to winding: proportions, what sets the time, and what it refuses."""

import pytest

from slingwright.formulas.winch import crank_effort

BENCH = {
    "counterweight_mass": 1200.0,
    "arm_short": 1.2,
    "arm_long": 6.0,
    "arm_mass": 220.0,
    "arm_balance": 1.9,
    "cocked": 0.7,
    "axle_height": 4.4,
    "winch_x": -3.2,
    "winch_y": 0.4,
    "on_arm": 4.5,
    "drum_diameter": 0.24,
    "crank": 0.4,
    "gear": 3.0,
    "parts": 2,
    "sheave_loss": 0.09,
    "people": 4,
    "rope": 0.02,
}


def test_half_the_drum_half_the_force_twice_the_turns() -> None:
    """Truth: law of the lever, with a rope too thin to matter."""
    whole = crank_effort(**{**BENCH, "rope": 1e-6})
    half = crank_effort(**{**BENCH, "rope": 1e-6, "drum_diameter": 0.12})
    assert half.force_per_person == pytest.approx(0.5 * whole.force_per_person, rel=1e-4)
    assert half.crank_turns == pytest.approx(2.0 * whole.crank_turns, rel=1e-4)
    assert half.work == pytest.approx(whole.work, rel=1e-12)


def test_heavy_work_is_timed_by_power_and_light_work_by_hands() -> None:
    """Truth: the longer of the two times counts, and the sentence says which."""
    light = crank_effort(**BENCH)
    heavy = crank_effort(**{**BENCH, "people": 1, "gear": 1.0, "drum_diameter": 0.4})
    assert "hand speed" in light.assumption and "crew power" in heavy.assumption
    assert light.hand_speed == pytest.approx(1.0668)
    assert heavy.hand_speed < 1.0668


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"people": 0}, "winds nothing"),
        ({"counterweight_mass": 100.0}, "outweigh the counterweight"),
        ({"winch_x": 0.0}, "dead point"),
        ({"drum_diameter": 0.0}, "drum diameter"),
        ({"steps": 4}, "odd number"),
        ({"parts": 0}, "carry nothing"),
        ({"rope": 0.0}, "rope diameter"),
    ],
)
def test_bench_refuses(change: dict, words: str) -> None:
    """Truth: the message names the thing."""
    with pytest.raises(ValueError, match=words):
        crank_effort(**{**BENCH, **change})

"""The drum: layers, turns, force at the handle, pawl and run-away."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slingwright.formulas.winch import drum


def wind_by_hand(length: float, diameter: float, rope: float, width: float) -> tuple[float, float]:
    """Wind a rope turn by turn; give the turns and the radius of the last one."""
    side, turns, layer = math.floor(width / rope + 1e-12), 0.0, 1
    while True:
        radius = diameter / 2 + rope * (layer - 0.5)
        for _ in range(side):
            if length <= 2 * math.pi * radius:
                return turns + length / (2 * math.pi * radius), radius
            length -= 2 * math.pi * radius
            turns += 1
        layer += 1


@given(st.floats(0.0, 60.0), st.floats(0.05, 0.6), st.floats(0.005, 0.04), st.floats(0.05, 1.0))
def test_turns_by_hand(length: float, diameter: float, rope: float, width: float) -> None:
    """Truth: the rope laid on turn by turn in a loop."""
    by_hand, radius = wind_by_hand(length, diameter, rope, width)
    turns, radii = drum.drum_state(np.array([0.0, length]), diameter, rope, width)
    assert turns[1] == pytest.approx(by_hand, rel=1e-9, abs=1e-9)
    assert abs(radii[1] - radius) <= rope + 1e-12
    assert radii[0] == pytest.approx(0.5 * (diameter + rope))
    if abs(turns[1] / drum.turns_in_layer(rope, width) % 1.0) > 1e-6:
        assert radii[1] == pytest.approx(radius, rel=1e-12)


def test_turns_rise_and_the_rope_never_sinks() -> None:
    """Truth: rope that comes in lies on more turns, and on no smaller layer."""
    turns, radii = drum.drum_state(np.linspace(0.0, 80.0, 400), 0.2, 0.02, 0.1)
    assert np.all(np.diff(turns) > 0.0) and np.all(np.diff(radii) >= 0.0)
    assert radii[-1] > radii[0]


def test_force_is_work_over_way() -> None:
    """Truth: one turn of the crank: force times its way is pull times rope over efficiency."""
    force = drum.handle_force(2000.0, 0.12, 0.4, 3.0, 0.9)
    rope_in = 2 * math.pi * 0.12 / 3.0
    assert force * 2 * math.pi * 0.4 * 0.9 == pytest.approx(2000.0 * rope_in, rel=1e-12)


def test_runaway_is_a_falling_weight() -> None:
    """Truth: weight m on a light drum falls by h: v = sqrt(2 g h), the handle R / r as fast."""
    mass, gravity, fall, radius, crank = 100.0, 9.81, 0.5, 0.1, 0.4
    speed = drum.runaway_speed(
        np.array([mass * gravity * fall]), np.array([mass * radius**2]), np.array([crank])
    )
    assert speed[0] == pytest.approx(crank / radius * math.sqrt(2 * gravity * fall), rel=1e-12)
    assert drum.runaway_speed(np.array([-1.0]), np.array([1.0]), np.array([1.0]))[0] == 0.0


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: drum.turns_in_layer(0.0, 0.1), "not above 0"),
        (lambda: drum.turns_in_layer(0.02, 0.01), "no room for one turn"),
        (lambda: drum.drum_state(np.array([1.0]), 0.0, 0.02, 0.1), "not above 0"),
        (lambda: drum.handle_force(1.0, 0.1, 0.0, 1.0, 1.0), "turn nothing"),
        (lambda: drum.handle_force(1.0, 0.1, 0.4, 1.0, 1.1), "turn nothing"),
        (lambda: drum.pawl_load(1.0, 0.1, 0.0), "not above 0"),
    ],
)
def test_bad_sizes_are_named(call, words: str) -> None:
    """Truth: the size that was made wrong."""
    with pytest.raises(ValueError, match=words):
        call()


def test_force_and_pawl_by_the_lever() -> None:
    """Truth: 2 kN at 0.11 m, gear 4, crank 0.4 m: 137.5 N; the pawl at 0.15 m bears 1467 N."""
    assert drum.handle_force(2000.0, 0.11, 0.4, 4.0, 1.0) == pytest.approx(137.5)
    assert drum.pawl_load(2000.0, 0.11, 0.15) == pytest.approx(2000 * 0.11 / 0.15)

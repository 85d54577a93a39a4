"""The farthest and the longest flight of a body.

Truths: closed forms (the elevation of the farthest flight from a height, tan a = v / sqrt(v^2 +
2 g h), as in textbooks of mechanics); every elevation tried in turn; an integration by scipy.
"""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.special import lambertw

from slingwright.formulas.release.flights import farthest_flight, longest_aloft

G = 9.80665


def ranges(speed, fall, elevation):
    """Range without air by elevation, from the time of flight."""
    up, along = speed * np.sin(elevation), speed * np.cos(elevation)
    return along * (up + np.sqrt(up * up + 2.0 * G * fall)) / G


@given(st.floats(0.1, 300.0), st.floats(0.0, 60.0))
def test_farthest_is_the_best_of_all_elevations(speed: float, fall: float) -> None:
    """Truth: ranges of all elevations; the textbook's best one gives it exactly."""
    most = farthest_flight(speed, fall, G)
    assert ranges(speed, fall, np.linspace(-1.57, 1.57, 400)).max() <= most * (1.0 + 1e-12)
    best = math.atan2(speed, math.sqrt(speed * speed + 2.0 * G * fall))
    assert float(ranges(speed, fall, best)) == pytest.approx(most, rel=1e-9)


def test_level_ground_gives_the_square_over_gravity() -> None:
    """Truth: v^2 / g, and none where the landing is out of reach."""
    assert farthest_flight(30.0, 0.0, G) == pytest.approx(900.0 / G, rel=1e-12)
    assert farthest_flight(1.0, -5.0, G) == 0.0


@pytest.mark.parametrize("drag", [1e-4, 2e-3, 3e-2])
@pytest.mark.parametrize(("speed", "fall"), [(15.0, 0.0), (40.0, 12.0), (70.0, 3.0)])
def test_drag_never_flies_farther_or_longer(drag: float, speed: float, fall: float) -> None:
    """Truth: flights with quadratic drag integrated by scipy, from every elevation."""

    def rates(_, y):
        held = drag * math.hypot(y[2], y[3])
        return [y[2], y[3], -held * y[2], -G - held * y[3]]

    def down(_, y):
        return y[1] + 1e-9 if y[3] < 0.0 else 1.0

    down.terminal = True
    most = farthest_flight(speed, fall, G)
    slowing = drag * math.sqrt(speed * speed + 2.0 * G * fall)
    longest = longest_aloft(speed, fall, G, slowing)
    for elevation in np.radians([1.0, 20.0, 35.0, 45.0, 60.0, 75.0, 89.9]):
        start = [0.0, fall, speed * math.cos(elevation), speed * math.sin(elevation)]
        done = solve_ivp(rates, (0.0, 200.0), start, events=down, rtol=1e-9, atol=1e-9)
        assert done.y[0, -1] <= most
        assert done.t[-1] <= longest


def test_without_air_the_longest_goes_straight_up() -> None:
    """Truth: v / g up and sqrt(2 H / g) down."""
    expected = 20.0 / G + math.sqrt(2.0 * (200.0 / G + 5.0) / G)
    assert longest_aloft(20.0, 5.0, G, 0.0) == pytest.approx(expected, rel=1e-12)
    assert longest_aloft(20.0, 5.0, G, 1e-6) == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize("slowing", [0.02, 0.3, 4.0])
@pytest.mark.parametrize(("speed", "fall"), [(3.0, 0.0), (30.0, 6.0), (80.0, 40.0)])
def test_the_fall_with_drag_in_closed_form(slowing: float, speed: float, fall: float) -> None:
    """Truth: z = a t solves z - 1 + exp(-z) = H a^2 / g, by Lambert's W."""
    depth = speed * speed / (2.0 * G) + fall
    b = depth * slowing * slowing / G
    z = 1.0 + b + float(lambertw(-math.exp(-1.0 - b), 0).real)
    found = longest_aloft(speed, fall, G, slowing)
    assert found == pytest.approx(speed / G + z / slowing, rel=1e-8)


def test_refusals_name_the_value() -> None:
    """Truth: the message names what is wrong."""
    with pytest.raises(ValueError, match=r"gravity is 0 m/s\^2"):
        farthest_flight(1.0, 0.0, 0.0)
    with pytest.raises(ValueError, match="fall is -1 m"):
        longest_aloft(1.0, -1.0, G, 0.0)

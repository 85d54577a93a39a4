"""The arm's deflection along it: held to closed forms, and bad input to clear words."""

import numpy as np
import pytest

from slingwright.formulas.arm import deflection as arm_deflection


def test_deflection_of_both_sides():
    """Truth: cantilever with an end load, P l^3 / (3 E I), on either side of the axle."""
    x = np.linspace(-1.4, 5.8, 73)
    moment = np.where(x < 0.0, 2e3 * (1.4 + x), 500.0 * (5.8 - x))
    moment[np.argmin(np.abs(x))] = 0.0
    x[np.argmin(np.abs(x))] = 0.0
    long = arm_deflection.arm_deflection(x[x >= 0], 500.0 * (5.8 - x[x >= 0]), np.full(59, 1e6))
    assert long[-1] == pytest.approx(500.0 * 5.8**3 / 3e6, rel=1e-12)
    short = arm_deflection.arm_deflection(x[x <= 0], 2e3 * (1.4 + x[x <= 0]), np.full(15, 1e6))
    assert short[0] == pytest.approx(2e3 * 1.4**3 / 3e6, rel=1e-12)
    both = arm_deflection.arm_deflection(x, moment, np.full(73, 1e6))
    assert both[np.argmin(np.abs(x))] == 0.0


def test_deflection_of_a_taper_converges():
    """Truth: depth taper of a cantilever, by a fine midpoint sum of M (L - x) / (E I)."""

    def stiffness(x):
        return 11e9 * 0.2 * (0.32 - 0.16 * x / 5.8) ** 3 / 12.0

    fine = (np.arange(200_000) + 0.5) / 200_000 * 5.8
    exact = float(np.sum(500.0 * (5.8 - fine) ** 2 / stiffness(fine)) * 5.8 / 200_000)
    x = np.linspace(0.0, 5.8, 201)
    found = arm_deflection.arm_deflection(x, 500.0 * (5.8 - x), stiffness(x))
    assert found[-1] == pytest.approx(exact, rel=2e-5)


@pytest.mark.parametrize(
    ("places", "moments", "stiffnesses", "words"),
    [
        ([0.0, 1.0], [1.0], [1.0, 1.0], "do not match"),
        ([0.0, 0.0], [1.0, 1.0], [1.0, 1.0], "do not rise"),
        ([0.0, 1.0], [1.0, 1.0], [1.0, 0.0], "not above zero"),
        ([0.5, 1.0], [1.0, 1.0], [1.0, 1.0], "add 0"),
        ([0.0, 1.0], [1.0, float("nan")], [1.0, 1.0], "not finite"),
    ],
)
def test_bad_input_is_named(places, moments, stiffnesses, words):
    """Truth: the rule that an error says the thing, the value and what to mend."""
    with pytest.raises(ValueError, match=words):
        arm_deflection.arm_deflection(places, moments, stiffnesses)

"""The air at a site against the standard atmosphere.

Truth: ISO 2533:1975, Standard atmosphere, as the library fluids works it out (its
ATMOSPHERE_1976, the U.S. Standard Atmosphere 1976, equal to ISO 2533 up to 32 km).
"""

import numpy as np
import pytest
from fluids.atmosphere import ATMOSPHERE_1976
from outside.machines import otter_ford

from slingwright.formulas.air import dry_density, standard_density, viscosity
from slingwright.motion.code import flight_module


@pytest.mark.parametrize(
    ("height", "density"),
    [(0.0, 1.22500), (500.0, 1.16727), (1000.0, 1.11166), (2000.0, 1.00655)],
)
def test_density_is_the_tabulated_one(height, density):
    """Truth: ISO 2533:1975, densities at four heights."""
    assert standard_density(height) == pytest.approx(density, abs=6e-6)


def test_density_equals_the_librarys_from_the_sea_to_eleven_kilometres():
    """Truth: fluids.atmosphere.ATMOSPHERE_1976 at 100 heights."""
    for height in np.linspace(-500.0, 11_000.0, 100):
        assert standard_density(height) == pytest.approx(ATMOSPHERE_1976(height).rho, rel=2e-6)


def test_density_and_viscosity_from_the_weather_equal_the_librarys():
    """Truth: fluids.atmosphere.ATMOSPHERE_1976: its own pressure and temperature put in."""
    for height in np.linspace(0.0, 4_000.0, 20):
        air = ATMOSPHERE_1976(height)
        assert dry_density(air.P, air.T) == pytest.approx(air.rho, rel=2e-6)
        assert viscosity(air.T) == pytest.approx(air.mu, rel=1e-4)


def test_a_machine_throws_through_standard_air_unless_told_otherwise():
    """Truth: ISO 2533:1975 at sea level: 1.225 kg/m3 and 1.7894e-5 Pa s."""
    assert otter_ford()["site.air_density"] == pytest.approx(standard_density(0.0), rel=1e-6)
    of_flight = flight_module().VISCOSITY
    assert of_flight == pytest.approx(ATMOSPHERE_1976(0.0).mu, rel=1e-4)
    assert of_flight == pytest.approx(viscosity(288.15), rel=1e-4)


@pytest.mark.parametrize("height", [-1001.0, 11_001.0, float("nan")])
def test_heights_beyond_the_formula_are_refused(height):
    """Truth: ISO 2533:1975 gives this layer up to 11 km only."""
    with pytest.raises(ValueError, match="height is"):
        standard_density(height)

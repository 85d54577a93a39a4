"""The air of a machine that says nothing of it against the standard atmosphere."""

import pytest
from fluids.atmosphere import ATMOSPHERE_1976
from outside.machines import otter_ford

from slingwright.motion.source.code import flight_module


def test_a_machine_throws_through_standard_air_unless_told_otherwise():
    """Truth: ISO 2533:1975 at sea level, 1.225 kg/m3 and 1.7894e-5 Pa s, from the library fluids.

    Its ATMOSPHERE_1976 is the U.S. Standard Atmosphere 1976, equal to ISO 2533 up to 32 km.
    """
    air = ATMOSPHERE_1976(0.0)
    assert otter_ford()["site.air_density"] == pytest.approx(1.225) == pytest.approx(air.rho)
    assert pytest.approx(1.7894e-5, rel=1e-4) == flight_module().VISCOSITY
    assert pytest.approx(air.mu, rel=1e-4) == flight_module().VISCOSITY

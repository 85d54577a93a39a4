"""Air to throw through: density by height of the site and by weather, viscosity by temperature."""

from __future__ import annotations

import math

from slingwright.formulas.refusals import above_zero

GAS = 287.05287
"""Specific gas constant of dry air [J/(kg K)]; ISO 2533:1975."""
SEA_LEVEL_PRESSURE = 101_325.0
"""[Pa]; ISO 2533:1975."""
SEA_LEVEL_TEMPERATURE = 288.15
"""[K]; ISO 2533:1975."""
LAPSE = 0.0065
"""Fall of temperature with height below 11 km [K/m]; ISO 2533:1975."""
STANDARD_GRAVITY = 9.80665
"""[m/s^2]; ISO 2533:1975."""
EARTH_RADIUS = 6_356_766.0
"""Nominal radius for geopotential height [m]; ISO 2533:1975."""


def standard_density(height: float) -> float:
    """Density of the standard atmosphere at a height above the sea.

    rho = p / (R T), T = T_0 - L H, p = p_0 (T / T_0)^(g / (R L)), H = r h / (r + h)

    Args:
        height: of the site above sea level h, -1,000 to 11,000 [m].

    Returns:
        Density [kg/m^3].

    Raises:
        ValueError: outside the heights the formula is for.

    Source: ISO 2533:1975, Standard atmosphere, clause 2.

    >>> round(standard_density(0.0), 5), round(standard_density(1000.0), 5)
    (1.225, 1.11166)
    """
    if not -1000.0 <= height <= 11_000.0:
        raise ValueError(
            f"height is {height:g} m; the formula is for -1,000 to 11,000 m above the sea. "
            "Give the site's height."
        )
    geopotential = EARTH_RADIUS * height / (EARTH_RADIUS + height)
    temperature = SEA_LEVEL_TEMPERATURE - LAPSE * geopotential
    power = STANDARD_GRAVITY / (GAS * LAPSE)
    pressure = SEA_LEVEL_PRESSURE * (temperature / SEA_LEVEL_TEMPERATURE) ** power
    return pressure / (GAS * temperature)


def dry_density(pressure: float, temperature: float) -> float:
    """Density of dry air from a barometer and a thermometer at the site.

    rho = p / (R T)

    Args:
        pressure: of the air at the site, not reduced to sea level [Pa].
        temperature: of the air [K].

    Returns:
        Density [kg/m^3].

    Raises:
        ValueError: if pressure or temperature is not above zero.

    Source: ISO 2533:1975, Standard atmosphere, clause 2 (equation of state of a perfect gas).

    >>> round(dry_density(101325.0, 288.15), 4)
    1.225
    """
    above_zero(pressure, "pressure", "Pa")
    above_zero(temperature, "temperature", "K")
    return pressure / (GAS * temperature)


def viscosity(temperature: float) -> float:
    """Dynamic viscosity of air by Sutherland's formula.

    mu = 1.458e-6 T^1.5 / (T + 110.4)

    Args:
        temperature: of the air T [K].

    Returns:
        Viscosity [Pa s].

    Raises:
        ValueError: if the temperature is not above zero.

    Source: ISO 2533:1975, Standard atmosphere, clause 2 (Sutherland's formula).

    >>> f"{viscosity(288.15):.4e}"
    '1.7894e-05'
    """
    above_zero(temperature, "temperature", "K")
    return 1.458e-6 * math.pow(temperature, 1.5) / (temperature + 110.4)

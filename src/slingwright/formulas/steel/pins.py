"""Pins in plates, such as the hanger pin: EN 1993-1-8, 3.13 and Table 3.10.

The bending rule for pins allows 1.5 times the elastic modulus, close to the plastic limit of a
round bar (1.698). It suits a pin that is changed when it bends; it is no rule for the axle.
"""

import math

from slingwright.formulas.refusals import above_zero
from slingwright.formulas.steel.strength import GAMMA_M0, GAMMA_M2


def pin_shear_capacity(diameter: float, ultimate_strength: float, gamma: float = GAMMA_M2) -> float:
    """Shear that one plane through a pin takes.

    A = pi d^2 / 4; F_v,Rd = 0.6 A f_up / gamma_M2

    Args:
        diameter: diameter of the pin d [m].
        ultimate_strength: tensile strength of the pin f_up [Pa].
        gamma: partial factor gamma_M2 [-].

    Returns: Shear force a plane [N].
    Raises: ValueError if a value is not above zero.
    Source: EN 1993-1-8:2005, Table 3.10.

    >>> round(pin_shear_capacity(0.080, 470e6) / 1e3)
    1134
    """
    area = math.pi * above_zero(diameter, "pin diameter", "m") ** 2 / 4.0
    above_zero(ultimate_strength, "tensile strength of the pin", "Pa")
    return 0.6 * area * ultimate_strength / above_zero(gamma, "partial factor")


def pin_bearing_capacity(
    thickness: float, diameter: float, yield_strength: float, gamma: float = GAMMA_M0
) -> float:
    """Force that a plate takes from a pin in it.

    F_b,Rd = 1.5 t d f_y / gamma_M0

    Args:
        thickness: thickness of the plate t [m].
        diameter: diameter of the pin d [m].
        yield_strength: lower yield strength of pin and plate f_y [Pa].
        gamma: partial factor gamma_M0 [-].

    Returns: Force [N].
    Raises: ValueError if a value is not above zero.
    Source: EN 1993-1-8:2005, Table 3.10.

    >>> round(pin_bearing_capacity(0.020, 0.050, 235e6))
    352500
    """
    face = above_zero(thickness, "plate thickness", "m") * above_zero(diameter, "pin diameter", "m")
    above_zero(yield_strength, "yield strength", "Pa")
    return 1.5 * face * yield_strength / above_zero(gamma, "partial factor")


def pin_moment_capacity(diameter: float, yield_strength: float, gamma: float = GAMMA_M0) -> float:
    """Moment that a solid pin takes.

    W_el = pi d^3 / 32; M_Rd = 1.5 W_el f_yp / gamma_M0

    Args:
        diameter: diameter of the pin d [m].
        yield_strength: yield strength of the pin f_yp [Pa].
        gamma: partial factor gamma_M0 [-].

    Returns: Moment [N m].
    Raises: ValueError if a value is not above zero.
    Source: EN 1993-1-8:2005, Table 3.10.

    >>> round(pin_moment_capacity(0.080, 325e6) / 1e3, 2)
    24.5
    """
    modulus = math.pi * above_zero(diameter, "pin diameter", "m") ** 3 / 32.0
    above_zero(yield_strength, "yield strength of the pin", "Pa")
    return 1.5 * modulus * yield_strength / above_zero(gamma, "partial factor")


def pin_moment(load: float, outer_plate: float, middle_plate: float, gap: float) -> float:
    """Largest moment in a pin between two outer plates and one in the middle.

    M = F (b + 4 c + 2 a) / 8

    Args:
        load: whole force through the pin F [N].
        outer_plate: thickness of each outer plate a [m].
        middle_plate: thickness of the middle plate b [m].
        gap: clear gap between an outer and the middle plate c [m].

    Returns: Moment [N m].
    Raises: ValueError if a thickness is not above zero or the gap is negative.
    Source: EN 1993-1-8:2005, Figure 3.11.

    >>> pin_moment(8e3, 0.010, 0.020, 0.005)
    60.0
    """
    above_zero(outer_plate, "thickness of an outer plate", "m")
    above_zero(middle_plate, "thickness of the middle plate", "m")
    if not gap >= 0.0:
        raise ValueError(f"gap between the plates is {gap:g} m; it must be zero or more")
    return abs(load) * (middle_plate + 4.0 * gap + 2.0 * outer_plate) / 8.0


def pin_combined_use(
    moment: float, moment_capacity: float, shear: float, shear_capacity: float
) -> float:
    """Use of a pin in bending and shear together; it holds up to 1.

    u = (M / M_Rd)^2 + (F_v / F_v,Rd)^2

    Args:
        moment: moment in the pin M [N m].
        moment_capacity: moment it takes M_Rd [N m].
        shear: shear force a plane F_v [N].
        shear_capacity: shear force it takes F_v,Rd [N].

    Returns: Use [-].
    Raises: ValueError if a capacity is not above zero.
    Source: EN 1993-1-8:2005, Table 3.10.

    >>> pin_combined_use(3.0, 5.0, 4.0, 5.0)
    1.0
    """
    bending = moment / above_zero(moment_capacity, "moment capacity", "N m")
    shearing = shear / above_zero(shear_capacity, "shear capacity", "N")
    return bending**2 + shearing**2


def lug_width(
    load: float, thickness: float, hole: float, yield_strength: float, gamma: float = GAMMA_M0
) -> float:
    """Least width of a pinned plate of given thickness at its hole.

    c = F gamma_M0 / (2 t f_y) + d_0 / 3; b = 2 c + d_0

    Args:
        load: force on this plate F [N].
        thickness: thickness of the plate t [m].
        hole: diameter of the hole d_0 [m].
        yield_strength: yield strength of the plate f_y [Pa].
        gamma: partial factor gamma_M0 [-].

    Returns: Width [m].
    Raises: ValueError if a value is not above zero.
    Source: EN 1993-1-8:2005, Table 3.9, type A (from memory).

    >>> round(lug_width(47e3, 0.010, 0.030, 235e6), 4)
    0.07
    """
    above_zero(thickness, "plate thickness", "m")
    above_zero(hole, "hole", "m")
    above_zero(yield_strength, "yield strength", "Pa")
    share = abs(load) * above_zero(gamma, "partial factor") / (2.0 * thickness * yield_strength)
    return 2.0 * (share + hole / 3.0) + hole

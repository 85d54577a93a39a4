"""Steel parts, held to their elastic limit: bending, shear and both together, pull, straps.

Design strength is the yield strength of the part's thickness over gamma_M0. EN 1993-1-1 would
let a compact section go on to its plastic modulus; a part that is loosed thousands of times is
kept elastic here.
"""

import math

from slingwright.formulas.refusals import above_zero, not_negative

GAMMA_M0 = 1.0  # EN 1993-1-1:2005, 6.1, recommended (from memory)
GAMMA_M2 = 1.25  # EN 1993-1-8:2005, Table 2.1, recommended


def bending_stress(moment: float, elastic_modulus: float) -> float:
    """Bending stress at the outermost fibre.

    sigma = M / W

    Args:
        moment: bending moment M [N m].
        elastic_modulus: elastic section modulus W [m3].

    Returns: Stress, without sign [Pa].
    Raises: ValueError if the section modulus is not above zero.
    Source: EN 1993-1-1:2005, 6.2.5.

    >>> bending_stress(5e3, 50e-6)
    100000000.0
    """
    return abs(moment) / above_zero(elastic_modulus, "section modulus", "m3")


def shear_stress(shear: float, area: float, shear_factor: float) -> float:
    """Peak shear stress over a section.

    tau = k V / A

    k is 4/3 for a round bar and 3/2 for a rectangle.

    Args:
        shear: shear force V [N].
        area: area A [m2].
        shear_factor: peak over mean stress k [-].

    Returns: Stress, without sign [Pa].
    Raises: ValueError if the area or the factor is not above zero.
    Source: EN 1993-1-1:2005, eq (6.20).

    >>> shear_stress(30e3, 0.001, 4 / 3)
    40000000.0
    """
    factor = above_zero(shear_factor, "shear factor")
    return factor * abs(shear) / above_zero(area, "area", "m2")


def von_mises_stress(normal: float, shear: float) -> float:
    """One stress that stands for a normal and a shear stress at one place.

    sigma_v = sqrt(sigma^2 + 3 tau^2)

    Given the peaks of bending and shear, which do not stand at one fibre, it is on the safe side.

    Args:
        normal: normal stress sigma [Pa].
        shear: shear stress tau [Pa].

    Returns: Stress [Pa].
    Source: EN 1993-1-1:2005, eq (6.1).

    >>> von_mises_stress(3e6, 0.0)
    3000000.0
    """
    return math.sqrt(normal**2 + 3.0 * shear**2)


def shear_strength(yield_strength: float, gamma: float = GAMMA_M0) -> float:
    """Design strength in shear.

    f_v = f_y / (sqrt(3) gamma_M0)

    Args:
        yield_strength: yield strength f_y [Pa].
        gamma: partial factor gamma_M0 [-].

    Returns: Strength [Pa].
    Raises: ValueError if the strength or the factor is not above zero.
    Source: EN 1993-1-1:2005, eq (6.19).

    >>> round(shear_strength(235e6) / 1e6, 2)
    135.68
    """
    return design_strength(yield_strength, gamma) / math.sqrt(3.0)


def design_strength(yield_strength: float, gamma: float = GAMMA_M0) -> float:
    """Design strength of steel: yield over the partial factor.

    f_d = f_y / gamma_M0

    Args:
        yield_strength: yield strength of the part's thickness f_y [Pa].
        gamma: partial factor gamma_M0 [-].

    Returns: Strength [Pa].
    Raises: ValueError if the strength or the factor is not above zero.
    Source: EN 1993-1-1:2005, 6.1 and eq (6.1).

    >>> design_strength(325e6)
    325000000.0
    """
    return above_zero(yield_strength, "yield strength", "Pa") / above_zero(gamma, "partial factor")


def tension_capacity(
    area: float,
    net_area: float,
    yield_strength: float,
    ultimate_strength: float,
    gamma_yield: float = GAMMA_M0,
    gamma_break: float = GAMMA_M2,
) -> float:
    """Pull that a strap or plate with holes takes.

    N = min(A f_y / gamma_M0, 0.9 A_net f_u / gamma_M2)

    Args:
        area: whole area A [m2].
        net_area: area left at the holes A_net [m2].
        yield_strength: yield strength f_y [Pa].
        ultimate_strength: tensile strength f_u [Pa].
        gamma_yield: partial factor gamma_M0 [-].
        gamma_break: partial factor gamma_M2 [-].

    Returns: Pull [N].
    Raises: ValueError if a value is not above zero, or more is left at the holes than there was.
    Source: EN 1993-1-1:2005, eqs (6.6) and (6.7).

    >>> round(tension_capacity(400e-6, 280e-6, 235e6, 360e6))
    72576
    """
    above_zero(area, "area", "m2")
    above_zero(net_area, "area left at the holes", "m2")
    if net_area > area:
        raise ValueError(
            f"area left at the holes {net_area:g} m2 is more than the whole {area:g} m2; "
            "take the holes off"
        )
    whole = area * design_strength(yield_strength, gamma_yield)
    above_zero(ultimate_strength, "tensile strength", "Pa")
    net = 0.9 * net_area * ultimate_strength / above_zero(gamma_break, "partial factor")
    return min(whole, net)


def net_area(width: float, thickness: float, hole: float, holes: int = 1) -> float:
    """Area of a flat bar that is left beside a row of holes across it.

    A_net = (b - n d_0) t

    Args:
        width: width b [m].
        thickness: thickness t [m].
        hole: diameter of a hole d_0 [m].
        holes: number of holes in one cross-section n [-].

    Returns: Area [m2].
    Raises: ValueError if the holes leave nothing, or a size is not above zero.
    Source: EN 1993-1-1:2005, 6.2.2.2.

    >>> round(net_area(0.05, 0.008, 0.018), 6)
    0.000256
    """
    above_zero(width, "width of the bar", "m")
    above_zero(thickness, "thickness of the bar", "m")
    not_negative(hole, "hole", "m")
    left = width - holes * hole
    if left <= 0.0:
        raise ValueError(
            f"{holes} holes of {hole:g} m leave nothing of a bar {width:g} m wide; "
            "make the bar wider or the holes smaller"
        )
    return left * thickness

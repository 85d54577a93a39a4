"""Bolts in steel: shear, bearing, pull, punching, and shear with pull (EN 1993-1-8 Table 3.4)."""

from slingwright.formulas.refusals import above_zero
from slingwright.formulas.steel.strength import GAMMA_M2

EDGE = 1.2
"""Least distance of a hole's middle from end or edge of a plate over the hole: EN 1993-1-8:2005,
Table 3.3 (from memory)."""
_LESS_DUCTILE = ("4.8", "5.8", "6.8", "10.9")


def bolt_shear_factor(grade: str, threads_in_plane: bool = True) -> float:
    """Share of the tensile strength that a bolt has in shear.

    alpha_v = 0.6; 0.5 for grades 4.8, 5.8, 6.8 and 10.9 where the thread lies in the shear plane

    Args:
        grade: property class of the bolt, such as 8.8 [text].
        threads_in_plane: whether the shear plane goes through the thread [-].

    Returns: Share alpha_v [-].
    Source: EN 1993-1-8:2005, Table 3.4.

    >>> bolt_shear_factor("8.8"), bolt_shear_factor("10.9")
    (0.6, 0.5)
    """
    return 0.5 if threads_in_plane and grade in _LESS_DUCTILE else 0.6


def bolt_shear_capacity(
    area: float,
    ultimate_strength: float,
    factor: float = 0.6,
    gamma: float = GAMMA_M2,
    bolts: float = 1.0,
) -> float:
    """Shear that one plane through bolts takes.

    F_v,Rd = n alpha_v f_ub A / gamma_M2

    Args:
        area: stress area where the thread lies in the plane, else the shank's area A [m2].
        ultimate_strength: tensile strength of the bolt f_ub [Pa].
        factor: share alpha_v, by `bolt_shear_factor` [-].
        gamma: partial factor gamma_M2 [-].
        bolts: number of bolts n [-].

    Returns: Shear force a plane [N].
    Raises: ValueError if a value is not above zero.
    Source: EN 1993-1-8:2005, Table 3.4.

    >>> round(bolt_shear_capacity(245e-6, 800e6))
    94080
    """
    above_zero(area, "bolt area", "m2")
    above_zero(ultimate_strength, "tensile strength of the bolt", "Pa")
    force = bolts * above_zero(factor, "shear factor") * ultimate_strength * area
    return force / above_zero(gamma, "partial factor")


def bolt_bearing_capacity(
    thickness: float,
    diameter: float,
    hole: float,
    end: float,
    edge: float,
    ultimate_strength: float,
    gamma: float = GAMMA_M2,
) -> float:
    """Force that a plate takes from one bolt in it.

    k_1 = min(2.8 e_2 / d_0 - 1.7, 2.5), a_b = min(e_1 / (3 d_0), 1),
    F_b,Rd = k_1 a_b f_u d t / gamma_M2

    The bolt is as strong as the plate, and the bolts of a row stand no closer than e_1 + 3 d_0 / 4;
    e_1 and e_2 are to be 1.2 d_0 at least.

    Args:
        thickness: thickness of the plate t [m].
        diameter: diameter of the bolt d [m].
        hole: diameter of its hole d_0 [m].
        end: from the hole's middle to the plate's end along the force e_1 [m].
        edge: from the hole's middle to the plate's edge across it e_2 [m].
        ultimate_strength: tensile strength of the plate f_u [Pa].
        gamma: partial factor gamma_M2 [-].

    Returns: Force [N].
    Raises: ValueError if a value is not above zero, as k_1 is nearer to an edge than 0.6 d_0.
    Source: EN 1993-1-8:2005, Tables 3.3 and 3.4 (from memory).

    >>> round(bolt_bearing_capacity(0.010, 0.020, 0.022, 0.040, 0.040, 410e6))
    99394
    """
    above_zero(ultimate_strength, "tensile strength of the plate", "Pa")
    face = above_zero(thickness, "plate thickness", "m") * above_zero(diameter, "bolt", "m")
    above_zero(hole, "hole", "m")
    above_zero(end, "distance to the end", "m")
    sideways, along = min(2.8 * edge / hole - 1.7, 2.5), min(end / (3.0 * hole), 1.0)
    above_zero(sideways, "k_1 of so narrow a plate")
    return sideways * along * ultimate_strength * face / above_zero(gamma, "partial factor")

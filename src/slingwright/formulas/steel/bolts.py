"""Bolts in steel: shear, bearing, pull, punching, and shear with pull (EN 1993-1-8 Table 3.4)."""

from __future__ import annotations

from slingwright.formulas.refusals import above_zero
from slingwright.formulas.steel.strength import GAMMA_M2

_LESS_DUCTILE = ("4.8", "5.8", "6.8", "10.9")


def bolt_shear_factor(grade: str, threads_in_plane: bool = True) -> float:
    """Share of the tensile strength that a bolt has in shear.

    alpha_v = 0.6; 0.5 for grades 4.8, 5.8, 6.8 and 10.9 where the thread lies in the shear plane

    Args:
        grade: property class of the bolt, such as 8.8 [text].
        threads_in_plane: whether the shear plane goes through the thread [-].

    Returns:
        Share alpha_v [-].

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

    Returns:
        Shear force a plane [N].

    Raises:
        ValueError: if a value is not above zero.

    Source: EN 1993-1-8:2005, Table 3.4.

    >>> round(bolt_shear_capacity(245e-6, 800e6))
    94080
    """
    above_zero(area, "bolt area", "m2")
    above_zero(ultimate_strength, "tensile strength of the bolt", "Pa")
    force = bolts * above_zero(factor, "shear factor") * ultimate_strength * area
    return force / above_zero(gamma, "partial factor")

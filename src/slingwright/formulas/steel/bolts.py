"""Bolts in steel: shear, bearing, pull, punching, and shear with pull (EN 1993-1-8 Table 3.4)."""

from __future__ import annotations

import math

from slingwright.formulas.refusals import above_zero, not_negative
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
    area: float, ultimate_strength: float, factor: float = 0.6, gamma: float = GAMMA_M2
) -> float:
    """Shear that one plane through a bolt takes.

    F_v,Rd = alpha_v f_ub A / gamma_M2

    Args:
        area: stress area where the thread lies in the plane, else the shank's area A [m2].
        ultimate_strength: tensile strength of the bolt f_ub [Pa].
        factor: share alpha_v, by `bolt_shear_factor` [-].
        gamma: partial factor gamma_M2 [-].

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
    force = above_zero(factor, "shear factor") * ultimate_strength * area
    return force / above_zero(gamma, "partial factor")


def bolt_pull_capacity(
    stress_area: float,
    ultimate_strength: float,
    countersunk: bool = False,
    gamma: float = GAMMA_M2,
) -> float:
    """Pull that a bolt takes along itself.

    F_t,Rd = k_2 f_ub A_s / gamma_M2, with k_2 = 0.9, or 0.63 for a countersunk head

    Args:
        stress_area: stress area of the thread A_s [m2].
        ultimate_strength: tensile strength of the bolt f_ub [Pa].
        countersunk: whether the head is countersunk [-].
        gamma: partial factor gamma_M2 [-].

    Returns:
        Pull [N].

    Raises:
        ValueError: if a value is not above zero.

    Source: EN 1993-1-8:2005, Table 3.4.

    >>> round(bolt_pull_capacity(245e-6, 800e6))
    141120
    """
    above_zero(stress_area, "stress area of the bolt", "m2")
    above_zero(ultimate_strength, "tensile strength of the bolt", "Pa")
    share = 0.63 if countersunk else 0.9
    return share * ultimate_strength * stress_area / above_zero(gamma, "partial factor")


def bolt_bearing_capacity(
    diameter: float,
    hole: float,
    thickness: float,
    plate_strength: float,
    bolt_strength: float,
    end: float,
    edge: float,
    pitch: float = math.inf,
    gauge: float = math.inf,
    gamma: float = GAMMA_M2,
) -> float:
    """Force that a plate takes from the shank of a bolt, the least of end and inner bolts.

    F_b,Rd = k_1 alpha_b f_u d t / gamma_M2
    alpha_b = min(e_1 / (3 d_0), p_1 / (3 d_0) - 1/4, f_ub / f_u, 1)
    k_1 = min(2.8 e_2 / d_0 - 1.7, 1.4 p_2 / d_0 - 1.7, 2.5)

    Args:
        diameter: diameter of the bolt d [m].
        hole: diameter of the hole d_0 [m].
        thickness: thickness of the plate t [m].
        plate_strength: tensile strength of the plate f_u [Pa].
        bolt_strength: tensile strength of the bolt f_ub [Pa].
        end: hole's centre to the plate's end, along the force e_1 [m].
        edge: hole's centre to the plate's side e_2 [m].
        pitch: distance between bolts along the force p_1; infinite for one bolt [m].
        gauge: distance between bolts across the force p_2; infinite for one row [m].
        gamma: partial factor gamma_M2 [-].

    Returns:
        Force a bolt [N].

    Raises:
        ValueError: if the hole is smaller than the bolt, or lies nearer than 1.2 d_0 to the end
            or the side, or bolts nearer than 2.2 d_0 along or 2.4 d_0 across.

    Source: EN 1993-1-8:2005, Tables 3.3 and 3.4.

    >>> round(bolt_bearing_capacity(0.020, 0.022, 0.010, 430e6, 800e6, 0.040, 0.040))
    104242
    """
    above_zero(diameter, "bolt diameter", "m")
    above_zero(thickness, "plate thickness", "m")
    above_zero(plate_strength, "tensile strength of the plate", "Pa")
    above_zero(bolt_strength, "tensile strength of the bolt", "Pa")
    if not hole >= diameter:
        raise ValueError(
            f"a bolt of {diameter:g} m does not go through a hole of {hole:g} m; "
            "make the hole larger"
        )
    least = (
        ("end distance", end, 1.2),
        ("edge distance", edge, 1.2),
        ("pitch of the bolts", pitch, 2.2),
        ("gauge of the bolts", gauge, 2.4),
    )
    for name, value, times in least:
        if not value >= times * hole * (1.0 - 1e-9):
            raise ValueError(
                f"{name} {value:g} m is less than {times:g} hole diameters, {times * hole:g} m "
                "(EN 1993-1-8 Table 3.3); move the holes apart"
            )
    along = min(end / (3.0 * hole), pitch / (3.0 * hole) - 0.25, bolt_strength / plate_strength, 1)
    across = min(2.8 * edge / hole - 1.7, 1.4 * gauge / hole - 1.7, 2.5)
    force = across * along * plate_strength * diameter * thickness
    return force / above_zero(gamma, "partial factor")


def bolt_combined_use(
    shear: float, shear_capacity: float, pull: float, pull_capacity: float
) -> float:
    """Use of a bolt in shear and pull together; it holds up to 1.

    u = max(F_v / F_v,Rd + F_t / (1.4 F_t,Rd), F_t / F_t,Rd)

    Args:
        shear: shear force a plane F_v [N].
        shear_capacity: shear force it takes F_v,Rd [N].
        pull: pull F_t [N].
        pull_capacity: pull it takes F_t,Rd [N].

    Returns:
        Use [-].

    Raises:
        ValueError: if a capacity is not above zero or a force is negative.

    Source: EN 1993-1-8:2005, Table 3.4.

    >>> bolt_combined_use(5.0, 10.0, 7.0, 10.0)
    1.0
    """
    not_negative(shear, "shear force", "N")
    not_negative(pull, "pull", "N")
    across = shear / above_zero(shear_capacity, "shear capacity", "N")
    along = pull / above_zero(pull_capacity, "pull capacity", "N")
    return max(across + along / 1.4, along)


def thread_stress_area(diameter: float, pitch: float) -> float:
    """Stress area of a metric thread.

    A_s = (pi / 4) (d - 0.9382 P)^2

    Args:
        diameter: nominal diameter d [m].
        pitch: pitch of the thread P [m].

    Returns:
        Area [m2].

    Raises:
        ValueError: if the diameter or the pitch is not above zero.

    Source: ISO 898-1, stress area of a metric thread (from memory).

    >>> round(thread_stress_area(0.020, 0.0025) * 1e6)
    245
    """
    above_zero(diameter, "bolt diameter", "m")
    above_zero(pitch, "thread pitch", "m")
    return math.pi / 4.0 * above_zero(diameter - 0.9382 * pitch, "core of the thread", "m") ** 2

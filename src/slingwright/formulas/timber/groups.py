"""A whole group of bolts: how it shares force and moment, what it carries, how far it slips."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from slingwright.formulas.refusals import above_zero


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltForce:
    """The hardest loaded bolt of a group: its number, its force, N, and the force's direction, rad.

    The direction is from the x axis toward the y axis.
    """

    bolt: int
    force: float
    direction: float


def hardest_bolt(
    places: Sequence[tuple[float, float]], along: float, across: float, moment: float
) -> BoltForce:
    """The bolt of a group that takes most, the group turning about its middle.

    F_i = F / n + M r_i / sum r^2, the second at right angles to the line from the middle

    Args:
        places: places x, y of the bolts, all of one size [m].
        along: force on the group along x [N].
        across: force on the group along y [N].
        moment: moment on the group about its middle, from x toward y positive [N m].

    Returns:
        The bolt, its force and the direction of that [N, rad].

    Raises:
        ValueError: if there is no bolt, or a moment on bolts that all stand in one place.

    Source: closed form (elastic group of equal bolts), as used in Porteous and Kermani, Structural
        Timber Design to Eurocode 5, chapter 12.

    >>> corners = [(0.1, 0.1), (-0.1, 0.1), (-0.1, -0.1), (0.1, -0.1)]
    >>> round(hardest_bolt(corners, 0.0, 0.0, 1000.0).force, 3)
    1767.767
    """
    if not places:
        raise ValueError("a group without bolts carries nothing; give the place of each bolt")
    number = len(places)
    middle_x = sum(x for x, _ in places) / number
    middle_y = sum(y for _, y in places) / number
    spread = sum((x - middle_x) ** 2 + (y - middle_y) ** 2 for x, y in places)
    if spread == 0.0 and moment != 0.0:
        raise ValueError(
            "bolts in one place take no moment; give places apart from each other, or moment 0"
        )
    turn = moment / spread if spread else 0.0
    worst = BoltForce(bolt=0, force=-1.0, direction=0.0)
    for index, (x, y) in enumerate(places):
        force_x = along / number - turn * (y - middle_y)
        force_y = across / number + turn * (x - middle_x)
        size = math.hypot(force_x, force_y)
        if size > worst.force * (1.0 + 1e-12):
            worst = BoltForce(bolt=index, force=size, direction=math.atan2(force_y, force_x))
    return worst


def group_capacity(
    a_plane: float, bolts: float, planes: int, modification: float, partial: float = 1.3
) -> float:
    """Design force of a whole bolted timber joint.

    F_Rd = k_mod n_ef n_planes F_v,Rk / gamma_M

    Args:
        a_plane: characteristic force a bolt and shear plane F_v,Rk [N].
        bolts: bolts that count in full n_ef, all rows together [-].
        planes: shear planes a bolt [-].
        modification: factor k_mod [-].
        partial: partial factor of connections gamma_M [-].

    Returns:
        Force [N].

    Raises:
        ValueError: if a value is not above zero.

    Source: EN 1995-1-1:2004, eqs (2.17) and (8.1).

    >>> round(group_capacity(13e3, 2.0, 2, 1.0), 6)
    40000.0
    """
    above_zero(a_plane, "force a bolt and shear plane", "N")
    above_zero(bolts, "number of bolts")
    above_zero(planes, "number of shear planes")
    above_zero(modification, "k_mod")
    return modification * bolts * planes * a_plane / above_zero(partial, "gamma_M")


def slip_modulus(diameter: float, density: float, other: float | None = None) -> float:
    """Stiffness of a bolt or dowel in one shear plane, slack of the hole apart.

    K_ser = rho_m^1.5 d / 23, with d in mm, K in N/mm and rho_m = sqrt(rho_m1 rho_m2)

    Args:
        diameter: diameter of the bolt d [m].
        density: mean density of the one member [kg/m3].
        other: mean density of the other member; the same where not given [kg/m3].

    Returns:
        Stiffness K_ser; twice as much against a steel plate [N/m].

    Raises:
        ValueError: if a value is not above zero.

    Source: EN 1995-1-1:2004, Table 7.1 and 7.1 (2) (from memory).

    >>> round(slip_modulus(0.020, 400.0) / 1e6, 2)
    6.96
    """
    above_zero(diameter, "bolt diameter", "m")
    above_zero(density, "mean density", "kg/m3")
    second = density if other is None else above_zero(other, "mean density", "kg/m3")
    return float(math.sqrt(density * second) ** 1.5 * diameter * 1e3 / 23.0 * 1e3)

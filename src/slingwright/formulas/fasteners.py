"""Bolts in timber, one by one: embedment, yield moment, pull, row effect and spacings.

EN 1995-1-1 8.2, 8.5 and 10.4. Angles are between the force and the grain.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from slingwright.formulas.refusals import above_zero, between

LARGEST_BOLT = 0.030
"""Largest bolt that the embedment formula covers, m: EN 1995-1-1:2004, 8.5.1.1 (2)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spacings:
    """Least distances of bolts in timber, m."""

    along: float
    across: float
    loaded_end: float
    free_end: float
    loaded_edge: float
    free_edge: float


def embedment_along(diameter: float, density: float) -> float:
    """Strength of timber under a bolt that presses along the grain.

    f_h,0,k = 0.082 (1 - 0.01 d) rho_k, with d in mm and f in N/mm2

    Args:
        diameter: diameter of the bolt d, up to 30 mm [m].
        density: characteristic density rho_k [kg/m3].

    Returns:
        Strength [Pa].

    Raises:
        ValueError: if a value is not above zero, or the bolt is thicker than 30 mm.

    Source: EN 1995-1-1:2004, eq (8.32).

    >>> round(embedment_along(0.016, 340.0) / 1e6, 2)
    23.42
    """
    above_zero(diameter, "bolt diameter", "m")
    above_zero(density, "characteristic density", "kg/m3")
    if diameter > LARGEST_BOLT * (1.0 + 1e-9):
        raise ValueError(
            f"bolt diameter is {diameter * 1e3:g} mm; the formula holds up to 30 mm "
            "(EN 1995-1-1 8.5.1.1). Use more and thinner bolts, or a tested value."
        )
    return 0.082 * (1.0 - 10.0 * diameter) * density * 1e6


def cross_grain_factor(diameter: float, kind: str) -> float:
    """How much less timber bears across the grain than along it under a bolt, k_90.

    k_90 = 1.35 + 0.015 d for softwood, 0.90 + 0.015 d for hardwood, with d in mm

    Args:
        diameter: diameter of the bolt d [m].
        kind: softwood or hardwood [text].

    Returns:
        Factor k_90 [-].

    Raises:
        ValueError: if the diameter is not above zero, or the kind is neither.

    Source: EN 1995-1-1:2004, eq (8.33); the hardwood line from memory.

    >>> cross_grain_factor(0.016, "softwood"), cross_grain_factor(0.020, "hardwood")
    (1.59, 1.2)
    """
    above_zero(diameter, "bolt diameter", "m")
    starts = {"softwood": 1.35, "hardwood": 0.90}
    if kind not in starts:
        raise ValueError(f"timber kind {kind!r} does not exist; give softwood or hardwood")
    return starts[kind] + 15.0 * diameter


def embedment(diameter: float, density: float, angle: float, kind: str) -> float:
    """Strength of timber under a bolt that presses at an angle to the grain (Hankinson).

    f_h,a,k = f_h,0,k / (k_90 sin^2 a + cos^2 a)

    Args:
        diameter: diameter of the bolt d, up to 30 mm [m].
        density: characteristic density rho_k [kg/m3].
        angle: angle of the force to the grain a [rad].
        kind: softwood or hardwood [text].

    Returns:
        Strength [Pa].

    Raises:
        ValueError: if a value is not above zero, the bolt is too thick or the kind unknown.

    Source: EN 1995-1-1:2004, eq (8.31).

    >>> round(embedment(0.016, 340.0, math.pi / 2, "softwood") / 1e6, 2)
    14.73
    """
    ratio = cross_grain_factor(diameter, kind)
    grain = ratio * math.sin(angle) ** 2 + math.cos(angle) ** 2
    return embedment_along(diameter, density) / grain


def yield_moment(diameter: float, ultimate_strength: float) -> float:
    """Moment at which a bolt in timber bends for good.

    M_y,Rk = 0.3 f_u,k d^2.6, with d in mm, f in N/mm2 and M in N mm

    Args:
        diameter: diameter of the bolt d [m].
        ultimate_strength: tensile strength of the bolt f_u,k [Pa].

    Returns:
        Moment [N m].

    Raises:
        ValueError: if a value is not above zero.

    Source: EN 1995-1-1:2004, eq (8.30).

    >>> round(yield_moment(0.020, 400e6), 2)
    289.64
    """
    above_zero(diameter, "bolt diameter", "m")
    above_zero(ultimate_strength, "tensile strength of the bolt", "Pa")
    return float(0.3 * ultimate_strength * 1e-6 * (diameter * 1e3) ** 2.6 * 1e-3)


def washer_capacity(washer: float, hole: float, strength_across: float) -> float:
    """Pull at which a washer is drawn into the timber.

    F = 3 f_c,90,k (pi / 4) (d_w^2 - d_h^2)

    Args:
        washer: outer diameter of the washer d_w [m].
        hole: diameter of the hole in the timber d_h [m].
        strength_across: characteristic strength across the grain f_c,90,k [Pa].

    Returns:
        Characteristic pull [N].

    Raises:
        ValueError: if the washer is not wider than the hole, or a value is not above zero.

    Source: EN 1995-1-1:2004, 8.5.2 (2).

    >>> round(washer_capacity(0.048, 0.013, 2.5e6))
    12576
    """
    above_zero(washer, "washer diameter", "m")
    above_zero(hole, "hole", "m")
    above_zero(strength_across, "strength across the grain", "Pa")
    if washer <= hole:
        raise ValueError(
            f"a washer of {washer:g} m falls into a hole of {hole:g} m; use a wider washer"
        )
    return 3.0 * strength_across * math.pi / 4.0 * (washer**2 - hole**2)


def plate_as_washer(thickness: float, diameter: float) -> float:
    """Diameter of the washer that a steel side plate is worth for one bolt.

    d_w = min(12 t, 4 d)

    Args:
        thickness: thickness of the plate t [m].
        diameter: diameter of the bolt d [m].

    Returns:
        Diameter [m].

    Raises:
        ValueError: if a value is not above zero.

    Source: EN 1995-1-1:2004, 8.5.2 (3).

    >>> plate_as_washer(0.012, 0.012)
    0.048
    """
    above_zero(thickness, "plate thickness", "m")
    above_zero(diameter, "bolt diameter", "m")
    return min(12.0 * thickness, 4.0 * diameter)


def bolt_axial_capacity(stress_area: float, ultimate_strength: float, washer: float) -> float:
    """Pull along a bolt in timber: the bolt breaks or its washer is drawn in.

    F_ax,Rk = min(f_u,k A_s, F_washer)

    Args:
        stress_area: stress area of the thread A_s [m2].
        ultimate_strength: tensile strength of the bolt f_u,k [Pa].
        washer: pull its washer or plate takes F_washer [N].

    Returns:
        Characteristic pull [N].

    Raises:
        ValueError: if a value is not above zero.

    Source: EN 1995-1-1:2004, 8.5.2 (1), with the bolt's own strength as in Porteous and Kermani,
        Structural Timber Design to Eurocode 5, Example 12.8.1.

    >>> round(bolt_axial_capacity(84.3e-6, 400e6, 12576.0))
    12576
    """
    above_zero(stress_area, "stress area of the bolt", "m2")
    above_zero(ultimate_strength, "tensile strength of the bolt", "Pa")
    return min(ultimate_strength * stress_area, above_zero(washer, "washer's pull", "N"))


def row_number(bolts: int, spacing: float, diameter: float, angle: float = 0.0) -> float:
    """How many bolts of a row along the grain count in full, n_ef.

    along the grain: min(n, n^0.9 (a_1 / (13 d))^(1/4)); across it: n; straight line between

    Args:
        bolts: bolts in the row n [-].
        spacing: distance between them along the grain a_1 [m].
        diameter: diameter of the bolt d [m].
        angle: angle of the force to the grain [rad].

    Returns:
        Number n_ef [-].

    Raises:
        ValueError: if there is no bolt, a size is not above zero, or the angle is beyond 90 deg.

    Source: EN 1995-1-1:2004, 8.5.1.1 (4), eq (8.34).

    >>> round(row_number(2, 0.100, 0.020), 3), row_number(1, 0.1, 0.02)
    (1.469, 1.0)
    """
    if bolts < 1:
        raise ValueError(f"number of bolts in a row is {bolts}; it must be 1 or more")
    above_zero(spacing, "spacing of the bolts", "m")
    above_zero(diameter, "bolt diameter", "m")
    between(angle, 0.0, math.pi / 2.0 + 1e-12, "angle of the force to the grain", "rad")
    if bolts == 1:
        return 1.0
    along = min(float(bolts), bolts**0.9 * (spacing / (13.0 * diameter)) ** 0.25)
    return float(along + (bolts - along) * angle / (math.pi / 2.0))


def bolt_spacings(diameter: float, angle: float) -> Spacings:
    """Least distances of bolts from each other and from ends and edges.

    a_1 = (4 + |cos a|) d;  a_2 = 4 d;  a_3,t = max(7 d, 80 mm)
    a_3,c = max((1 + 6 |sin a|) d, 4 d);  a_4,t = max((2 + 2 |sin a|) d, 3 d);  a_4,c = 3 d

    Args:
        diameter: diameter of the bolt d [m].
        angle: angle of the force to the grain a [rad].

    Returns:
        Spacings along and across the grain, loaded and free end, loaded and free edge [m].

    Raises:
        ValueError: if the diameter is not above zero.

    Source: EN 1995-1-1:2004, Table 8.4 (the free end from memory).

    >>> bolt_spacings(0.020, 0.0).along, bolt_spacings(0.020, 0.0).loaded_end
    (0.1, 0.14)
    """
    above_zero(diameter, "bolt diameter", "m")
    sine, cosine = abs(math.sin(angle)), abs(math.cos(angle))
    return Spacings(
        along=(4.0 + cosine) * diameter,
        across=4.0 * diameter,
        loaded_end=max(7.0 * diameter, 0.080),
        free_end=max((1.0 + 6.0 * sine) * diameter, 4.0 * diameter),
        loaded_edge=max((2.0 + 2.0 * sine) * diameter, 3.0 * diameter),
        free_edge=3.0 * diameter,
    )


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

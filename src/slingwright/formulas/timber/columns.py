"""Legs that buckle and arms that tip over sideways: EN 1995-1-1, 6.3.2 and 6.3.3."""

import math

from slingwright.formulas.refusals import above_zero, not_negative

BETA_C = {"solid": 0.2, "glulam": 0.1}
"""Straightness: EN 1995-1-1:2004, eq (6.29)."""


def relative_slenderness(
    length: float, gyration: float, strength: float, modulus_5: float
) -> float:
    """Slenderness of a column against that at which it would just buckle as it crushes.

    lambda_rel = (l / i) / pi sqrt(f_c,0,k / E_0,05)

    Args:
        length: buckling length l [m].
        gyration: radius of gyration i in the plane of buckling [m].
        strength: characteristic strength along the grain f_c,0,k [Pa].
        modulus_5: fifth-percentile modulus E_0,05 [Pa].

    Returns: Relative slenderness [-].
    Raises: ValueError if a value is not above zero.
    Source: EN 1995-1-1:2004, eqs (6.21) and (6.22).

    >>> round(relative_slenderness(3.75, 0.1 / 12**0.5, 21e6, 7.4e9), 3)
    2.203
    """
    above_zero(length, "buckling length", "m")
    above_zero(gyration, "radius of gyration", "m")
    above_zero(strength, "strength along the grain", "Pa")
    above_zero(modulus_5, "fifth-percentile modulus", "Pa")
    return length / gyration / math.pi * math.sqrt(strength / modulus_5)


def buckling_factor(slenderness: float, material: str = "solid") -> float:
    """Share of the strength along the grain that a column keeps, k_c.

    k = 0.5 (1 + beta_c (lambda_rel - 0.3) + lambda_rel^2), beta_c 0.2 (0.1 for glulam);
    k_c = 1 / (k + sqrt(k^2 - lambda_rel^2)), or 1 for lambda_rel up to 0.3

    Args:
        slenderness: relative slenderness lambda_rel [-].
        material: solid or glulam [text].

    Returns: Share k_c [-].
    Raises: ValueError if the slenderness is negative, or the material is neither.
    Source: EN 1995-1-1:2004, eqs (6.25) to (6.29).

    >>> buckling_factor(0.2), round(buckling_factor(2.0), 4)
    (1.0, 0.2253)
    """
    not_negative(slenderness, "relative slenderness")
    if material not in BETA_C:
        raise ValueError(f"no buckling curve for {material!r}; give solid or glulam")
    if slenderness <= 0.3:
        return 1.0
    k = 0.5 * (1.0 + BETA_C[material] * (slenderness - 0.3) + slenderness**2)
    return 1.0 / (k + math.sqrt(k**2 - slenderness**2))


def column_use(
    push_stress: float,
    push_strength: float,
    factor: float,
    bending: float = 0.0,
    bending_strength: float = math.inf,
    bending_other: float = 0.0,
    share: float = 0.7,
) -> float:
    """Use of a column in one plane of buckling; it holds up to 1, and both planes must hold.

    u = s_c / (k_c f_c) + s_m / f_m + k_m s_n / f_m

    The bending s_m is in the plane of buckling, and s_n across it.

    Args:
        push_stress: push over the area s_c [Pa].
        push_strength: design strength along the grain f_c [Pa].
        factor: share k_c in this plane [-].
        bending: bending stress in this plane s_m [Pa].
        bending_strength: design strength in bending f_m [Pa].
        bending_other: bending stress in the other plane s_n [Pa].
        share: k_m: 0.7 for a rectangle, 1 for other shapes [-].

    Returns: Use [-].
    Raises: ValueError if a strength or k_c is not above zero, the push is negative, or there is
        bending and no strength against it.
    Source: EN 1995-1-1:2004, eqs (6.23) and (6.24).

    >>> column_use(2e6, 10e6, 0.5, 4e6, 20e6)
    0.6
    """
    not_negative(push_stress, "compression stress", "Pa")
    above_zero(push_strength, "strength in compression", "Pa")
    pushed = push_stress / (above_zero(factor, "k_c") * push_strength)
    if bending == 0.0 and bending_other == 0.0:
        return pushed
    above_zero(bending_strength, "bending strength", "Pa")
    return pushed + (abs(bending) + share * abs(bending_other)) / bending_strength


def rectangle_tipping_stress(modulus_5: float, width: float, depth: float, length: float) -> float:
    """Bending stress at which a perfect rectangular softwood beam tips over sideways.

    s_m,crit = 0.78 b^2 E_0,05 / (h l_ef)

    Args:
        modulus_5: fifth-percentile modulus E_0,05 [Pa].
        width: width b [m].
        depth: depth h [m].
        length: effective length l_ef, by `tipping_length` [m].

    Returns: Stress [Pa].
    Raises: ValueError if a value is not above zero.
    Source: EN 1995-1-1:2004, eq (6.32).

    >>> round(rectangle_tipping_stress(7.4e9, 0.05, 0.2, 3.0) / 1e6, 2)
    24.05
    """
    above_zero(modulus_5, "fifth-percentile modulus", "Pa")
    above_zero(width, "width", "m")
    above_zero(depth, "depth", "m")
    return 0.78 * width**2 * modulus_5 / (depth * above_zero(length, "effective length", "m"))


def tipping_slenderness(strength: float, critical: float) -> float:
    """Slenderness of a beam against tipping over sideways.

    lambda_rel,m = sqrt(f_m,k / s_m,crit)

    Args:
        strength: characteristic bending strength f_m,k [Pa].
        critical: stress at which a perfect beam tips s_m,crit [Pa].

    Returns: Relative slenderness [-].
    Raises: ValueError if a value is not above zero.
    Source: EN 1995-1-1:2004, eq (6.30).

    >>> tipping_slenderness(24e6, 6e6)
    2.0
    """
    above_zero(strength, "bending strength", "Pa")
    return math.sqrt(strength / above_zero(critical, "critical bending stress", "Pa"))


def tipping_factor(slenderness: float) -> float:
    """Share of the bending strength that a beam not held sideways keeps, k_crit.

    k_crit = 1 up to 0.75;  k_crit = 1.56 - 0.75 lambda_rel up to 1.4;
    k_crit = 1 / lambda_rel^2 beyond

    Args:
        slenderness: relative slenderness in bending lambda_rel [-].

    Returns: Share k_crit [-].
    Raises: ValueError if the slenderness is negative.
    Source: EN 1995-1-1:2004, eq (6.34).

    >>> tipping_factor(0.5), round(tipping_factor(1.0), 4), tipping_factor(2.0)
    (1.0, 0.81, 0.25)
    """
    not_negative(slenderness, "relative slenderness in bending")
    if slenderness <= 0.75:
        return 1.0
    if slenderness <= 1.4:
        return 1.56 - 0.75 * slenderness
    return 1.0 / slenderness**2


def tipping_length(length: float, loading: str, depth: float = 0.0, edge: str = "middle") -> float:
    """Effective length of a beam against tipping over sideways.

    It is r l, plus 2 h for a load on the pressed edge, less 0.5 h for one on the pulled edge; r:
    simple beam 1.0 even moment, 0.9 even load, 0.8 load at mid-span; cantilever 0.5 even load,
    0.8 load at the end.

    Args:
        length: span, or free length of a cantilever l [m].
        loading: even moment, even load, mid load, cantilever even load or cantilever end load
            [text].
        depth: depth of the beam h, where the load is not at mid-depth [m].
        edge: where the load acts: middle, pressed or pulled [text].

    Returns: Length l_ef [m].
    Raises: ValueError if the loading or the edge is none of these, or the length is not above zero.
    Source: EN 1995-1-1:2004, Table 6.1 (from memory).

    >>> tipping_length(5.0, "cantilever end load")
    4.0
    """
    ratios = {
        "even moment": 1.0,
        "even load": 0.9,
        "mid load": 0.8,
        "cantilever even load": 0.5,
        "cantilever end load": 0.8,
    }
    shifts = {"middle": 0.0, "pressed": 2.0, "pulled": -0.5}
    if loading not in ratios:
        raise ValueError(f"loading {loading!r} does not exist; give one of {', '.join(ratios)}")
    if edge not in shifts:
        raise ValueError(f"edge {edge!r} does not exist; give one of {', '.join(shifts)}")
    above_zero(length, "length", "m")
    not_negative(depth, "depth", "m")
    return above_zero(ratios[loading] * length + shifts[edge] * depth, "effective length", "m")

"""What timber may carry: from a class's characteristic strength to a design strength, and its use.

Design strength is k_mod f_k / gamma_M, with the size factor k_h where it applies. EN 1995-1-1
gives k_mod by service class (1 indoors, 2 under a roof, 3 out in the weather) and by how long a
load lasts; a throw is instantaneous, a counterweight left hanging is not.
"""

import math

from slingwright.formulas.refusals import above_zero, between, not_negative

DURATIONS = ("permanent", "long", "medium", "short", "instantaneous")

K_MOD = {
    1: (0.60, 0.70, 0.80, 0.90, 1.10),
    2: (0.60, 0.70, 0.80, 0.90, 1.10),
    3: (0.50, 0.55, 0.65, 0.70, 0.90),
}
"""Solid timber and glulam, EN 1995-1-1:2004 Table 3.1, in the order of DURATIONS."""

GAMMA_M = {"solid": 1.30, "glulam": 1.25, "connection": 1.30}
"""EN 1995-1-1:2004 Table 2.3, recommended values; national annexes may differ."""

"""Solid timber, EN 1995-1-1:2004 Table 3.2."""

K_CR = 0.67  # EN 1995-1-1:2004+A1, 6.1.7 (2), solid timber and glulam (from memory)


def modification_factor(service_class: int, duration: str) -> float:
    """Factor for moisture and for how long the load lasts, k_mod.

    Args:
        service_class: 1 indoors, 2 under a roof, 3 out in the weather [-].
        duration: permanent, long, medium, short or instantaneous [text].

    Returns: Factor k_mod [-].
    Raises: ValueError if the class or the duration is none of these.
    Source: EN 1995-1-1:2004, Table 3.1, as Table 19.9 of ICE Manual of Structural Design:
        Buildings.

    >>> modification_factor(3, "instantaneous")
    0.9
    """
    if service_class not in K_MOD:
        raise ValueError(
            f"service class {service_class!r} does not exist; give 1 (indoors), 2 (under a roof) "
            "or 3 (out in the weather)"
        )
    if duration not in DURATIONS:
        raise ValueError(
            f"load duration {duration!r} does not exist; give one of {', '.join(DURATIONS)}"
        )
    return K_MOD[service_class][DURATIONS.index(duration)]


def partial_factor(material: str) -> float:
    """Partial factor of a material, gamma_M.

    Args:
        material: solid, glulam or connection [text].

    Returns: Factor gamma_M [-].
    Raises: ValueError if the material is none of these.
    Source: EN 1995-1-1:2004, Table 2.3, recommended values.

    >>> partial_factor("solid")
    1.3
    """
    if material not in GAMMA_M:
        raise ValueError(f"no partial factor for {material!r}; give one of {', '.join(GAMMA_M)}")
    return GAMMA_M[material]


def size_factor(depth: float, density: float, material: str = "solid") -> float:
    """Factor by which small pieces are stronger in bending and in tension along the grain, k_h.

    k_h = min((150 mm / h)^0.2, 1.3) where it is above 1

    That is for solid timber with rho_k up to 700 kg/m3, others have 1; for glulam it is
    min((600 mm / h)^0.1, 1.1).

    Args:
        depth: depth in bending, greatest side in tension h [m].
        density: characteristic density rho_k; not used for glulam [kg/m3].
        material: solid or glulam [text].

    Returns: Factor k_h, 1 or more [-].
    Raises: ValueError if depth or density is not above zero, or the material is neither.
    Source: EN 1995-1-1:2004, eqs (3.1) and (3.2); the density limit from memory.

    >>> size_factor(0.2, 350.0), round(size_factor(0.1, 350.0), 4), size_factor(0.1, 750.0)
    (1.0, 1.0845, 1.0)
    """
    above_zero(depth, "depth", "m")
    above_zero(density, "characteristic density", "kg/m3")
    if material == "glulam":
        return max(1.0, min((0.6 / depth) ** 0.1, 1.1))
    if material != "solid":
        raise ValueError(f"no size factor for {material!r}; give solid or glulam")
    if density > 700.0:
        return 1.0
    return max(1.0, min((0.15 / depth) ** 0.2, 1.3))


def timber_design_strength(
    characteristic: float, modification: float, partial: float, size: float = 1.0
) -> float:
    """Design strength of timber.

    f_d = k_mod k_h f_k / gamma_M

    Args:
        characteristic: characteristic strength f_k [Pa].
        modification: factor k_mod [-].
        partial: partial factor gamma_M [-].
        size: size factor k_h, for bending and pull only [-].

    Returns: Strength [Pa].
    Raises: ValueError if a value is not above zero.
    Source: EN 1995-1-1:2004, eqs (2.14) and (3.1).

    >>> round(timber_design_strength(30e6, 1.1, 1.3) / 1e6, 3)
    25.385
    """
    above_zero(characteristic, "characteristic strength", "Pa")
    above_zero(modification, "k_mod")
    above_zero(size, "k_h")
    return modification * size * characteristic / above_zero(partial, "gamma_M")


def kept_strength(strength: float, share: float) -> float:
    """Strength that a share leaves, such as k_crit, k_m,a, k_c or k_c,90.

    f_r = k f

    Args:
        strength: design strength f [Pa].
        share: share k that is kept [-].

    Returns: Strength [Pa].
    Raises: ValueError if a value is not above zero.
    Source: EN 1995-1-1:2004, 6.1.5, 6.3 and 6.4.2.

    >>> kept_strength(20e6, 0.5)
    10000000.0
    """
    return above_zero(share, "share") * above_zero(strength, "strength", "Pa")


def tension_bending_use(
    pull_stress: float, pull_strength: float, bending: float, bending_strength: float
) -> float:
    """Use in tension along the grain with bending; it holds up to 1.

    u = s_t / f_t + s_m / f_m

    Args:
        pull_stress: pull over the area s_t [Pa].
        pull_strength: design strength in tension f_t [Pa].
        bending: bending stress s_m [Pa].
        bending_strength: design strength in bending f_m [Pa].

    Returns: Use [-].
    Raises: ValueError if a strength is not above zero or the pull is negative.
    Source: EN 1995-1-1:2004, eq (6.17).

    >>> tension_bending_use(3e6, 12e6, 10e6, 20e6)
    0.75
    """
    not_negative(pull_stress, "pull stress", "Pa")
    pulled = pull_stress / above_zero(pull_strength, "strength in tension", "Pa")
    return pulled + abs(bending) / above_zero(bending_strength, "bending strength", "Pa")


def two_way_stress(main: float, other: float, share: float = 0.7) -> float:
    """Stress to hold to the bending strength of a rectangle that is bent in both directions.

    s = max(s_y + k_m s_z, k_m s_y + s_z)

    Args:
        main: bending stress about one axis s_y [Pa].
        other: bending stress about the other s_z [Pa].
        share: factor k_m, 0.7 of a rectangle, 1 of others [-].

    Returns: Stress [Pa].
    Source: EN 1995-1-1:2004, eqs (6.11) and (6.12) (from memory).

    >>> two_way_stress(10e6, 4e6)
    12800000.0
    """
    return max(main + share * other, share * main + other)


def bearing_strength_at_angle(
    along: float, across: float, angle: float, spread: float = 1.0
) -> float:
    """Strength of timber pressed at an angle to its grain (Hankinson).

    f = f_0 / (f_0 / (k_c,90 f_90) sin^2 a + cos^2 a)

    Args:
        along: design strength along the grain f_0 [Pa].
        across: design strength across it f_90 [Pa].
        angle: angle of the force to the grain a [rad].
        spread: k_c,90: 1 where nothing is known of the load's spread [-].

    Returns: Strength [Pa].
    Raises: ValueError if a value is not above zero.
    Source: EN 1995-1-1:2004, eq (6.16).

    >>> round(bearing_strength_at_angle(20e6, 5e6, math.pi / 2) / 1e6, 6)
    5.0
    """
    above_zero(along, "strength along the grain", "Pa")
    above_zero(across, "strength across the grain", "Pa")
    above_zero(spread, "k_c,90")
    sine, cosine = math.sin(angle), math.cos(angle)
    return along / (along / (spread * across) * sine**2 + cosine**2)


def bearing_spread(kind: str, support: str = "none") -> float:
    """Factor for timber pressed across its grain on a short length, k_c,90.

    1.25 and 1.5 for solid softwood, 1.5 and 1.75 for softwood glulam, 1 for all else. Higher values
    hold only where the loaded length stands apart from others by twice the depth.

    Args:
        kind: softwood, hardwood or glulam [text].
        support: none (or unknown), continuous, or discrete [text].

    Returns: Factor k_c,90 [-].
    Raises: ValueError if the kind or the support is none of these.
    Source: EN 1995-1-1:2004+A1, 6.1.5 (2) to (4) (from memory).

    >>> bearing_spread("softwood", "discrete"), bearing_spread("hardwood", "discrete")
    (1.5, 1.0)
    """
    supports = ("none", "continuous", "discrete")
    values = {
        "softwood": (1.0, 1.25, 1.5),
        "hardwood": (1.0, 1.0, 1.0),
        "glulam": (1.0, 1.5, 1.75),
    }
    if kind not in values:
        raise ValueError(f"timber kind {kind!r} does not exist; give one of {', '.join(values)}")
    if support not in supports:
        raise ValueError(f"support {support!r} does not exist; give one of {', '.join(supports)}")
    return values[kind][supports.index(support)]


def taper_factor(angle: float, bending: float, shear: float, across: float, edge: float) -> float:
    """Share of the bending strength that is left at an edge cut at an angle to the grain, k_m,a.

    k_m,a = 1 / sqrt(1 + (f_m tan a / (q f_v))^2 + (f_m tan^2 a / f_90)^2)

    Args:
        angle: angle between the cut edge and the grain a [rad].
        bending: design strength in bending f_m [Pa].
        shear: design strength in shear f_v [Pa].
        across: design strength across the grain, in tension or compression as the edge f_90 [Pa].
        edge: q: 0.75 where bending pulls at the cut edge, 1.5 where it presses on it [-].

    Returns: Share k_m,a [-].
    Raises: ValueError if a strength is not above zero, or the angle is not from 0 to 24 degrees:
        arms are cut no steeper, and the formula is not trusted there.
    Source: EN 1995-1-1:2004, 6.4.2, eqs (6.39) and (6.40) (from memory).

    >>> taper_factor(0.0, 20e6, 3e6, 0.4e6, 0.75)
    1.0
    """
    between(angle, 0.0, math.radians(24.0), "angle of the cut edge to the grain", "rad")
    above_zero(bending, "bending strength", "Pa")
    above_zero(shear, "shear strength", "Pa")
    above_zero(across, "strength across the grain", "Pa")
    run = math.tan(angle)
    part = above_zero(edge, "share of the shear strength") * shear
    return 1.0 / math.sqrt(1.0 + (bending / part * run) ** 2 + (bending / across * run**2) ** 2)


def splitting_capacity(width: float, depth: float, loaded: float, spread: float = 1.0) -> float:
    """Force across the grain at which a fastener far from the loaded edge splits the timber.

    F_90,Rk = 14 b w sqrt(h_e / (1 - h_e / h)) in N, b, h and h_e in mm,

    Args:
        width: width of the timber b [m].
        depth: depth of the timber h [m].
        loaded: from the loaded edge to the farthest fastener h_e [m].
        spread: w: 1 for bolts and dowels [-].

    Returns: Characteristic force, for softwoods [N].
    Raises: ValueError if a size is not above zero, or the fastener lies outside the timber.
    Source: EN 1995-1-1:2004, 8.1.4, eq (8.4) (from memory).

    >>> round(splitting_capacity(0.1, 0.2, 0.1))
    19799
    """
    above_zero(width, "width", "m")
    above_zero(depth, "depth", "m")
    above_zero(loaded, "distance to the loaded edge", "m")
    if loaded >= depth:
        raise ValueError(
            f"distance to the loaded edge {loaded:g} m is not inside the depth {depth:g} m"
        )
    edge = loaded * 1e3
    return 14.0 * width * 1e3 * spread * math.sqrt(edge / (1.0 - loaded / depth))

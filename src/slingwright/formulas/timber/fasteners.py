"""One bolt or dowel in timber: embedment, yield moment, axial resistance, how many count, spacing.

All sizes in m, strengths in Pa; the empirical formulas of EN 1995-1-1 are in mm and N/mm2 and are
turned inside each function.
"""

import math
from dataclasses import dataclass

from slingwright.formulas.refusals import above_zero, between

KINDS = ("bolt", "dowel")
WOODS = ("softwood", "hardwood", "LVL")


def embedment_strength_along(diameter: float, density: float) -> float:
    """Embedment strength of a bolt or dowel pressed along the grain.

    f_h,0,k = 0.082 (1 - 0.01 d) rho_k in N/mm2, d in mm,

    Args:
        diameter: diameter of the bolt d, at most 30 mm [m].
        density: characteristic density of the timber rho_k [kg/m3].

    Returns: Strength [Pa].
    Raises: ValueError if a value is not above zero, or the bolt is thicker than 30 mm.
    Source: EN 1995-1-1:2004, eq (8.32); worked values in Porteous and Kermani, Structural Timber
        Design to Eurocode 5, chapter 10 (eurocode.us).

    >>> round(embedment_strength_along(0.016, 340.0) / 1e6, 2)
    23.42
    """
    above_zero(density, "characteristic density", "kg/m3")
    size = _millimetres(diameter)
    return 0.082 * (1.0 - 0.01 * size) * density * 1e6


def embedment_side_factor(diameter: float, wood: str) -> float:
    """How much weaker in embedment timber is across the grain than along it.

    k_90 = 1.35 + 0.015 d (softwood), 1.30 + 0.015 d (LVL), 0.90 + 0.015 d (hardwood), d in mm,

    Args:
        diameter: diameter of the bolt d, at most 30 mm [m].
        wood: "softwood", "hardwood" or "LVL" [-].

    Returns: Factor k_90 [-].
    Raises: ValueError if the diameter is out of range, or the wood is none of the three.
    Source: EN 1995-1-1:2004, eq (8.33); softwood as quoted in Porteous and Kermani (eurocode.us),
        hardwood and LVL from memory.

    >>> round(embedment_side_factor(0.020, "hardwood"), 3)
    1.2
    """
    size = _millimetres(diameter)
    _known(wood, WOODS, "wood")
    start = {"softwood": 1.35, "LVL": 1.30, "hardwood": 0.90}[wood]
    return start + 0.015 * size


def embedment_strength(along: float, side: float, angle: float) -> float:
    """Embedment strength of a bolt or dowel pressed at any angle to the grain (Hankinson).

    f_h,a,k = f_h,0,k / (k_90 sin^2 a + cos^2 a)

    Args:
        along: strength along the grain f_h,0,k [Pa].
        side: factor k_90, by `embedment_side_factor` [-].
        angle: angle between force and grain a [rad].

    Returns: Strength [Pa].
    Raises: ValueError if the angle is not finite.
    Source: EN 1995-1-1:2004, eq (8.31).

    >>> embedment_strength(34.768e6, 1.2, 0.0)
    34768000.0
    """
    if not math.isfinite(angle):
        raise ValueError(f"angle to the grain is {angle}; give a finite angle in radians")
    return along / (side * math.sin(angle) ** 2 + math.cos(angle) ** 2)


def yield_moment(diameter: float, ultimate_strength: float) -> float:
    """Bending moment at which a round bolt or dowel yields in timber.

    M_y,Rk = 0.3 f_u,k d^2.6 in N mm, f_u,k in N/mm2, d in mm,

    Args:
        diameter: diameter of the bolt d, at most 30 mm [m].
        ultimate_strength: tensile strength of the bolt f_u,k [Pa].

    Returns: Moment [N m].
    Raises: ValueError if a value is out of range.
    Source: EN 1995-1-1:2004, eq (8.30); Porteous and Kermani, Table 10.5 (eurocode.us).

    >>> round(yield_moment(0.020, 400e6), 2)
    289.64
    """
    above_zero(ultimate_strength, "tensile strength of the bolt", "Pa")
    size = _millimetres(diameter)
    return 0.3 * ultimate_strength / 1e6 * size**2.6 / 1e3


def rope_effect_limit(kind: str) -> float:
    """Largest share of the bending-out strength that the rope effect may add.

    25 % for bolts, nothing for plain dowels

    Args:
        kind: "bolt" or "dowel" [-].

    Returns: Share [-].
    Raises: ValueError if the kind is neither.
    Source: EN 1995-1-1:2004, 8.2.2(2).

    >>> rope_effect_limit("bolt"), rope_effect_limit("dowel")
    (0.25, 0.0)
    """
    _known(kind, KINDS, "fastener")
    return 0.25 if kind == "bolt" else 0.0


def effective_number(number: int, spacing: float, diameter: float, angle: float) -> float:
    """How many bolts of a row along the grain count.

    n_ef = min(n, n^0.9 (a_1 / (13 d))^(1/4))

    That is along the grain; all count across it, and straight between.

    Args:
        number: bolts in the row n [-].
        spacing: distance between them along the grain a_1; not used for one bolt [m].
        diameter: diameter of the bolt d [m].
        angle: angle between force and grain [rad].

    Returns: Number that counts [-].
    Raises: ValueError if there is no bolt, or a size is not above zero.
    Source: EN 1995-1-1:2004, eq (8.34) and 8.5.1.1(4).

    >>> round(effective_number(4, 0.100, 0.020, 0.0), 3)
    2.743
    """
    if number < 1 or number != int(number):
        raise ValueError(f"number of bolts is {number:g}; give a whole number of one or more")
    above_zero(diameter, "diameter of the bolt", "m")
    if number == 1:
        return 1.0
    above_zero(spacing, "spacing of the bolts", "m")
    along = min(float(number), number**0.9 * (spacing / (13.0 * diameter)) ** 0.25)
    return along + (number - along) * _to_grain(angle) / (math.pi / 2.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spacing:
    """Least distances of bolts, m; ends and edges are told apart by whether the force runs to them.

    `along` and `across` are between bolts, along and across the grain.
    """

    along: float
    across: float
    loaded_end: float
    free_end: float
    loaded_edge: float
    free_edge: float


def bolt_spacing(diameter: float, angle: float) -> Spacing:
    """Least spacings and distances of bolts from ends and edges.

    a_1 = (4 + cos a) d, a_2 = 4 d, a_3,t = max(7 d, 80 mm), a_3,c = max((1 + 6 sin a) d, 4 d),
    a_4,t = max((2 + 2 sin a) d, 3 d), a_4,c = 3 d

    Args:
        diameter: diameter of the bolt d [m].
        angle: angle between force and grain a [rad].

    Returns: Spacing [m].
    Raises: ValueError if the diameter is not above zero.
    Source: EN 1995-1-1:2004, Table 8.4 (from memory); a_1, a_3,t and a_4,t also as published in
        the open library pamd_eurocodes.

    >>> bolt_spacing(0.020, 0.0).loaded_end
    0.14
    """
    above_zero(diameter, "diameter of the bolt", "m")
    lean = _to_grain(angle)
    sine, cosine = math.sin(lean), math.cos(lean)
    return Spacing(
        along=(4.0 + cosine) * diameter,
        across=4.0 * diameter,
        loaded_end=max(7.0 * diameter, 0.080),
        free_end=max((1.0 + 6.0 * sine) * diameter, 4.0 * diameter),
        loaded_edge=max((2.0 + 2.0 * sine) * diameter, 3.0 * diameter),
        free_edge=3.0 * diameter,
    )


def _millimetres(diameter: float) -> float:
    """Give a bolt's diameter in mm; the empirical formulas hold to 30 mm."""
    above_zero(diameter, "diameter of the bolt", "m")
    between(diameter, 0.0, 0.030 + 1e-9, "diameter of the bolt", "m")
    return diameter * 1e3


def _to_grain(angle: float) -> float:
    """Give the acute angle to the grain, 0 to pi/2."""
    if not math.isfinite(angle):
        raise ValueError(f"angle to the grain is {angle}; give a finite angle in radians")
    return math.atan2(abs(math.sin(angle)), abs(math.cos(angle)))


def _known(word: str, known: tuple[str, ...], what: str) -> None:
    """Refuse a word that is not among those known."""
    if word not in known:
        raise ValueError(f"{what} is {word!r}; known: {', '.join(known)}")

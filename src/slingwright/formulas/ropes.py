"""What a rope, a knot, a splice or a shackle will carry, and what to ask of an unrated piece."""

from __future__ import annotations

import math

POUND_FORCE = 4.4482216152605  # N, exact by definition
INCH = 0.0254  # m, exact by definition
PROOF_SHARE = 1.25  # 29 CFR 1926.251(a)(4)


def wire_breaking_force(diameter: float, tensile_grade: float, factor: float) -> float:
    """Minimum breaking force of a wire rope.

    F_min = d^2 R_r K

    Args:
        diameter: rope diameter d [m].
        tensile_grade: rope grade R_r, 1770e6 for grade 1770 [Pa].
        factor: minimum breaking force factor K of the class and core [-].

    Returns:
        Breaking force [N].

    Raises:
        ValueError: if a value is not above 0.

    Source: EN 12385-4; factors in K. Feyrer, Wire Ropes, Table 1.9.

    >>> wire_breaking_force(0.010, 1770e6, 0.332)
    58764.0
    """
    if not (diameter > 0.0 and tensile_grade > 0.0 and factor > 0.0):
        raise ValueError(
            f"wire rope of {1e3 * diameter:g} mm, grade {tensile_grade / 1e6:g} MPa, factor "
            f"{factor:g}: each must be above 0. Read them off the rope's certificate."
        )
    return diameter**2 * tensile_grade * factor


def manila_breaking_force(diameter: float, times: float = 1.0) -> float:
    """Breaking force of three-strand rope by the naval rule of thumb for manila.

    F[lbf] = 900 C[in]^2, C = pi d; 2.5 times for nylon and polyester, 1.4 times for polypropylene

    Args:
        diameter: rope diameter d [m].
        times: strength over that of manila [-].

    Returns:
        Breaking force [N].

    Source: United States Navy rule for manila and its multiples for synthetic rope, as quoted at
        shankardori.com.

    >>> manila_breaking_force(0.020) / 1e3
    24.5
    """
    return 900.0 * (math.pi * diameter / INCH) ** 2 * POUND_FORCE * times


def cord_breaking_force(diameter: float) -> float:
    """Breaking force that accessory cord must have.

    F[kN] = d[mm]^2 / 5

    Args:
        diameter: cord diameter d, 4 to 8 mm in the standard [m].

    Returns:
        Breaking force [N].

    Source: EN 564, as tabulated by cord makers.

    >>> cord_breaking_force(0.006)
    7200.0
    """
    return 2.0e8 * diameter**2


def working_load(breaking_force: float, kept: float, design_factor: float) -> float:
    """Load that a rope with its knot or splice may carry.

    W = F_min k / n

    Args:
        breaking_force: minimum breaking force of the new, straight rope F_min [N].
        kept: share kept by the worst knot, splice or bend k, above 0 and at most 1 [-].
        design_factor: n, at least 1 [-].

    Returns:
        Working load [N].

    Raises:
        ValueError: if a share is outside 0 to 1 or the design factor is below 1.

    Source: Cordage Institute CI 1401-06 (design factor over minimum breaking strength).

    >>> working_load(26000.0, 0.60, 10.0)
    1560.0
    """
    if not 0.0 < kept <= 1.0:
        raise ValueError(f"a knot that keeps {kept:g} of the rope: give above 0, at most 1.")
    if not design_factor >= 1.0:
        raise ValueError(f"design factor {design_factor:g} is below 1. Fibre rope takes 5 to 12.")
    return breaking_force * kept / design_factor


def breaking_force_needed(load: float, kept: float, design_factor: float) -> float:
    """Minimum breaking force that a rope must have for a load.

    F_min = W n / k

    Args:
        load: greatest load in use W [N].
        kept: share kept by the worst knot, splice or bend k [-].
        design_factor: n [-].

    Returns:
        Breaking force [N].

    Raises:
        ValueError: if the share is outside 0 to 1 or the design factor is below 1.

    Source: Cordage Institute CI 1401-06 (design factor over minimum breaking strength).

    >>> breaking_force_needed(1560.0, 0.60, 10.0)
    26000.0
    """
    return load / working_load(1.0, kept, design_factor)


def proof_load(load: float, share: float = PROOF_SHARE) -> float:
    """Test load that would settle whether an unrated piece may carry a load.

    P = 1.25 W

    Args:
        load: greatest load in use W [N].
        share: test load over load in use [-].

    Returns:
        Proof load [N].

    Raises:
        ValueError: if the test would be smaller than the load.

    Source: 29 CFR 1926.251(a)(4): accessories are proof tested to 125 % of their rated load.

    >>> proof_load(4000.0)
    5000.0
    """
    if not share >= 1.0:
        raise ValueError(f"a proof load of {share:g} times the load proves nothing. Give 1.25.")
    return load * share


def sheave_ratio(sheave: float, rope: float) -> float:
    """Diameter of a sheave, drum or pin over that of the rope that bends round it.

    D / d

    Args:
        sheave: diameter at the bottom of the groove, or of the drum D [m].
        rope: rope diameter d [m].

    Returns:
        Ratio [-].

    Raises:
        ValueError: if a diameter is not above 0.

    Source: definition; limits in B. Toss, The Complete Rigger's Apprentice, p. 35.

    >>> sheave_ratio(0.16, 0.02)
    8.0
    """
    if not (sheave > 0.0 and rope > 0.0):
        raise ValueError(
            f"sheave {1e3 * sheave:g} mm and rope {1e3 * rope:g} mm: both must be above 0."
        )
    return sheave / rope


def block_cheek(rope: float) -> float:
    """Length of the cheek of a wooden block for a fibre rope.

    l = 3 C = 3 pi d

    Args:
        rope: rope diameter d [m].

    Returns:
        Cheek length, not rounded up to a size on sale [m].

    Source: United States Army and Navy rigging manual, chapter 20 (three times the circumference).

    >>> block_cheek(3.5 * 0.0254 / math.pi) / 0.0254
    10.5
    """
    return 3.0 * math.pi * rope


def tucks_needed(synthetic: bool, short_splice: bool) -> int:
    """Full tucks that a splice in three-strand rope must have.

    manila: eye 3, short 6; synthetic: eye 4, short 8

    Args:
        synthetic: whether the rope is of synthetic fibre [-].
        short_splice: whether two ropes are joined; else an eye is made [-].

    Returns:
        Full tucks, on each side for a short splice counted together [-].

    Source: 29 CFR 1926.251(d).

    >>> tucks_needed(True, False), tucks_needed(False, True)
    (4, 6)
    """
    eye = 4 if synthetic else 3
    return 2 * eye if short_splice else eye

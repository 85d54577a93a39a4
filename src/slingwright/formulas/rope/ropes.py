"""What a rope carries: breaking force, what knots and bends leave of it, and the safe load.

A rope is never loaded to its breaking force. The design factor covers wear, wet, age, jerks and
what is not known; it belongs to the use, and local codes and a competent person decide it.
"""

from __future__ import annotations

import math

POUND_FORCE = 4.4482216152605  # N
INCH = 0.0254  # m


def wire_breaking_force(diameter: float, grade: float, factor: float) -> float:
    """Minimum breaking force of a wire rope from its diameter.

    F = d^2 R K

    Args:
        diameter: nominal rope diameter d [m].
        grade: rope grade R, 1770e6 for grade 1770 [Pa].
        factor: strength factor of the class K [-].

    Returns:
        Breaking force [N].

    Raises:
        ValueError: if a value is not above 0.

    Source: EN 12385-4, formula and factors as in K. Feyrer, Wire Ropes, Table 1.9.

    >>> wire_breaking_force(0.010, 1770e6, 0.332)
    58764.0
    """
    if not (diameter > 0.0 and grade > 0.0 and factor > 0.0):
        raise ValueError(
            f"wire rope of diameter {diameter:g} m, grade {grade:g} Pa and factor {factor:g}: all "
            "three must be above 0."
        )
    return diameter**2 * grade * factor


def cord_breaking_force(diameter: float) -> float:
    """Least breaking force that accessory cord has to reach.

    F [kN] = d[mm]^2 / 5

    Args:
        diameter: cord diameter d [m].

    Returns:
        Breaking force [N].

    Raises:
        ValueError: outside the standard's 4 to 8 mm.

    Source: EN 564.

    >>> cord_breaking_force(0.006)
    7200.0
    """
    millimetres = 1e3 * diameter
    if not 4.0 - 1e-9 <= millimetres <= 8.0 + 1e-9:
        raise ValueError(
            f"accessory cord of {millimetres:g} mm is outside 4 to 8 mm, where EN 564 holds. Take "
            "the maker's breaking force."
        )
    return 1e3 * millimetres**2 / 5.0


def manila_by_rule(diameter: float, ratio: float) -> float:
    """Breaking force of fibre rope by the seaman's rule.

    F = 900 lbf (C / 1 in)^2 k, with C = pi d

    Args:
        diameter: rope diameter d [m].
        ratio: strength over that of manila k: 1 manila, 1.4 polypropylene, 2.5 nylon [-].

    Returns:
        Breaking force [N].

    Raises:
        ValueError: if a value is not above 0.

    Source: US Navy rule for manila rope, as told at shankardori.com.

    >>> manila_by_rule(0.020, 1.0)
    24497.5
    """
    if not (diameter > 0.0 and ratio > 0.0):
        raise ValueError(f"rope of {diameter:g} m and ratio {ratio:g}: both must be above 0.")
    return 900.0 * POUND_FORCE * (math.pi * diameter / INCH) ** 2 * ratio


def bend_kept(sheave: float, rope: float) -> float:
    """Share of a wire rope's strength that is left where it bends over a sheave or pin.

    k = 1 - 0.5 / sqrt(D / d)

    Args:
        sheave: diameter of the sheave, pin or drum D [m].
        rope: rope diameter d [m].

    Returns:
        Share of the breaking force [-].

    Raises:
        ValueError: if the sheave is thinner than the rope.

    Source: wire rope makers' curve (from memory); one maker's table gives 0.90 at D / d = 16.

    >>> bend_kept(0.16, 0.01)
    0.875
    """
    if not (rope > 0.0 and sheave >= rope):
        raise ValueError(
            f"a rope of {1e3 * rope:g} mm over {1e3 * sheave:g} mm is bent sharper than itself. "
            "Use a thimble or a larger sheave."
        )
    return 1.0 - 0.5 / math.sqrt(sheave / rope)


def safe_load(breaking_force: float, kept: float, design_factor: float) -> float:
    """Load that a rope with its knots and bends may carry.

    S = F k / f

    Args:
        breaking_force: of the straight rope F [N].
        kept: share that the worst knot, splice or bend leaves k [-].
        design_factor: for the use f [-].

    Returns:
        Safe load [N].

    Raises:
        ValueError: if the share is not above 0 and at most 1, or the factor is below 1.

    Source: Cordage Institute CI 1401 (factor 5 to 12; knots may halve the strength).

    >>> safe_load(26000.0, 0.95, 10.0)
    2470.0
    """
    if not 0.0 < kept <= 1.0:
        raise ValueError(f"share of strength kept {kept:g} is outside 0 to 1.")
    if not design_factor >= 1.0:
        raise ValueError(
            f"design factor {design_factor:g} is below 1: the rope would break. Take 10 for "
            "winding with fibre rope, 6 with wire rope."
        )
    return breaking_force * kept / design_factor


def breaking_force_needed(load: float, kept: float, design_factor: float) -> float:
    """Breaking force that a rope must have to carry a load safely.

    F = S f / k

    Args:
        load: on the rope S [N].
        kept: share that the worst knot, splice or bend leaves k [-].
        design_factor: for the use f [-].

    Returns:
        Breaking force [N].

    Raises:
        ValueError: if the share is not above 0 and at most 1, or the factor is below 1.

    Source: Cordage Institute CI 1401 (factor 5 to 12; knots may halve the strength).

    >>> breaking_force_needed(2470.0, 0.95, 10.0)
    26000.0
    """
    return load / safe_load(1.0, kept, design_factor)


def proof_load(load: float, ratio: float) -> float:
    """Load with which an unmarked piece is tested before it may carry a load.

    P = r S

    Args:
        load: that the piece has to carry S [N].
        ratio: of proof load to load r, 1.25 for lifting accessories [-].

    Returns:
        Proof load [N].

    Raises:
        ValueError: if the ratio is below 1.

    Source: 29 CFR 1926.251(a)(4), 125 % of the rated load.

    >>> proof_load(8000.0, 1.25)
    10000.0
    """
    if not ratio >= 1.0:
        raise ValueError(f"proof ratio {ratio:g} is below 1: it proves nothing. Take 1.25.")
    return ratio * load


def block_cheek(rope: float) -> float:
    """Length of a block's cheek that suits a fibre rope.

    B = 3 C, with C = pi d

    Args:
        rope: rope diameter d [m].

    Returns:
        Length of the cheek [m].

    Source: US Army and Navy rigging manual, chapter 20 (three times the circumference).

    >>> block_cheek(0.020)
    0.188
    """
    return 3.0 * math.pi * rope


def stiffness_loss(rope: float, sheave: float, coefficient: float) -> float:
    """Pull that bending a stiff rope round one sheave adds, as a share.

    w = c d^2 / R, with R = D / 2

    Args:
        rope: rope diameter d [m].
        sheave: sheave diameter D [m].
        coefficient: c, about 18 for hemp rope [1/m].

    Returns:
        Share of the pull [-].

    Raises:
        ValueError: if the sheave has no diameter.

    Source: J. A. Eytelwein's rule for hemp rope (from memory, low confidence: measure yours).

    >>> stiffness_loss(0.016, 0.128, 18.0)
    0.072
    """
    if not sheave > 0.0:
        raise ValueError(f"sheave diameter {sheave:g} m is not above 0.")
    return coefficient * rope**2 / (0.5 * sheave)


def bearing_loss(friction: float, pin: float, sheave: float) -> float:
    """Pull that the bearing of one sheave adds where the rope turns right round, as a share.

    w = 2 mu d_p / D

    Args:
        friction: coefficient of sheave on pin mu [-].
        pin: pin diameter d_p [m].
        sheave: sheave diameter, to the middle of the rope D [m].

    Returns:
        Share of the pull [-].

    Raises:
        ValueError: if the pin is not thinner than the sheave.

    Source: closed form, Coulomb friction under twice the pull, to first order.

    >>> bearing_loss(0.16, 0.020, 0.128)
    0.05
    """
    if not 0.0 < pin < sheave:
        raise ValueError(
            f"a pin of {1e3 * pin:g} mm in a sheave of {1e3 * sheave:g} mm: the pin must be above "
            "0 and thinner than the sheave."
        )
    return 2.0 * friction * pin / sheave

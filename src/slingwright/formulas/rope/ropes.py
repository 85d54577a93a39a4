"""What a rope carries: breaking force, what knots and bends leave of it, and the safe load.

A rope is never loaded to its breaking force. The design factor covers wear, wet, age, jerks and
what is not known; it belongs to the use, and local codes and a competent person decide it.
"""


def safe_load(breaking_force: float, kept: float, design_factor: float) -> float:
    """Load that a rope with its knots and bends may carry.

    S = F k / f

    Args:
        breaking_force: of the straight rope F [N].
        kept: share that the worst knot, splice or bend leaves k [-].
        design_factor: for the use f [-].

    Returns: Safe load [N].
    Raises: ValueError if the share is not above 0 and at most 1, or the factor is below 1.
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

    Returns: Breaking force [N].
    Raises: ValueError if the share is not above 0 and at most 1, or the factor is below 1.
    Source: Cordage Institute CI 1401 (factor 5 to 12; knots may halve the strength).

    >>> breaking_force_needed(2470.0, 0.95, 10.0)
    26000.0
    """
    return load / safe_load(1.0, kept, design_factor)


def proof_load(load: float, ratio: float) -> float:
    """Load with which an unmarked piece is tested before it may carry a load.

    P = r S

    Args:
        load: on the piece S [N].
        ratio: of proof load to load r, 1.25 for lifting accessories [-].

    Returns: Proof load [N].
    Raises: ValueError if the ratio is below 1.
    Source: 29 CFR 1926.251(a)(4), 125 % of the rated load.

    >>> proof_load(8000.0, 1.25)
    10000.0
    """
    if not ratio >= 1.0:
        raise ValueError(f"proof ratio {ratio:g} is below 1: that is no proof load. Take 1.25.")
    return ratio * load

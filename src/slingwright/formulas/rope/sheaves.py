"""What sheaves take: friction in a tackle, in lead blocks, and round a post or drum.

A sheave is described by its friction ratio K: the tension in the rope that leaves it over the
tension in the rope that comes to it, while hauling. 1.09 stands for plain bearings and 1.04 for
rolling ones (Wire Rope Users Manual, 4th ed., p. 88). While easing out, the ratio acts
the other way.
"""

import math

ROLLING = 1.04  # Wire Rope Users Manual, 4th ed., p. 88


def friction_ratio(loss: float) -> float:
    """Friction ratio of a sheave from its loss.

    K = 1 + q

    Args:
        loss: pull added by one sheave, as a share of the tension that comes to it q [-].

    Returns: Friction ratio [-].
    Raises: ValueError if the loss is negative or 1 and more.
    Source: Kemp and Young, Notes on Cargo Work, 3rd ed., p. 4 (a share of the load a sheave).

    >>> friction_ratio(0.09)
    1.09
    """
    if not 0.0 <= loss < 1.0:
        raise ValueError(
            f"sheave loss {loss:g} is outside 0 to 1. Give the share that one sheave adds to the "
            "pull: about 0.09 for plain bearings, 0.04 for rolling ones."
        )
    return 1.0 + loss


def lead_line_factor(parts: float, ratio: float, sheaves: float | None = None) -> float:
    """Pull at the hauling end of a tackle, as a share of its load.

    f = K^s (K - 1) / (K^N - 1), and 1 / N without friction

    Args:
        parts: parts of line N that carry the load [-].
        ratio: friction ratio K of a sheave; below 1 while easing out [-].
        sheaves: sheaves s that the hauling part has run over, lead blocks included; N where not
            given, which has the fall leave from the fixed block [-].

    Returns: Pull over load [-].
    Raises: ValueError if there is less than one part, a ratio not above 0, or fewer sheaves than
        parts less one.
    Source: Wire Rope Users Manual, 4th ed., p. 88.

    >>> lead_line_factor(4, 1.09)
    0.309
    >>> lead_line_factor(4, 1.09, 6)
    0.367
    >>> lead_line_factor(1, 1.09, 0)
    1.0
    """
    if not parts >= 1:
        raise ValueError(f"{parts:g} parts of line carry nothing. Give 1 or more.")
    if not ratio > 0:
        raise ValueError(f"sheave friction ratio {ratio:g} is not above 0. Give 1 to about 1.1.")
    turned = parts if sheaves is None else sheaves
    if turned < parts - 1:
        raise ValueError(
            f"{parts:g} parts of line need {parts - 1:g} sheaves or more, and {turned:g} are "
            "given. Count the sheaves again."
        )
    if abs(ratio - 1.0) < 1e-12:
        return 1.0 / parts
    # expm1 keeps the digits where K is near 1
    log = math.log(ratio)
    return ratio**turned * (ratio - 1.0) / math.expm1(parts * log)

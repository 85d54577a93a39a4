"""What sheaves take: friction in a tackle, in lead blocks, and round a post or drum.

A sheave is described by its friction ratio K: the tension in the rope that leaves it over the
tension in the rope that comes to it, while hauling. 1.09 stands for plain bearings and 1.04 for
rolling ones (Wire Rope Users Manual, 4th ed., p. 88). While easing out, the ratio acts
the other way.
"""

from __future__ import annotations

import math

PLAIN = 1.09  # Wire Rope Users Manual, 4th ed., p. 88
ROLLING = 1.04  # Wire Rope Users Manual, 4th ed., p. 88


def friction_ratio(loss: float) -> float:
    """Friction ratio of a sheave from its loss.

    K = 1 + loss

    Args:
        loss: pull added by one sheave, as a share of the tension that comes to it [-].

    Returns:
        Friction ratio [-].

    Raises:
        ValueError: if the loss is negative or 1 and more.

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

    Returns:
        Pull over load [-].

    Raises:
        ValueError: if there is less than one part, a ratio not above 0, or fewer sheaves than
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


def tackle_efficiency(parts: float, ratio: float, sheaves: float | None = None) -> float:
    """Useful share of the work put into a tackle.

    eta = 1 / (N f)

    Args:
        parts: parts of line N that carry the load [-].
        ratio: friction ratio K of a sheave [-].
        sheaves: sheaves run over, lead blocks included; as many as parts where not given [-].

    Returns:
        Efficiency [-].

    Source: definition, with the lead-line factor of Wire Rope Users Manual, 4th ed., p. 88.

    >>> tackle_efficiency(4, 1.09)
    0.81
    """
    return 1.0 / (parts * lead_line_factor(parts, ratio, sheaves))


def mechanical_advantage(parts: float, efficiency: float) -> float:
    """Load over pull of a tackle whose sheaves all have one efficiency.

    MA = E (1 - E^n) / (1 - E)

    Args:
        parts: parts of line n [-].
        efficiency: tension leaving a sheave over tension coming to it, E, below 1 [-].

    Returns:
        Load over pull [-].

    Raises:
        ValueError: if the efficiency is not above 0 and at most 1.

    Source: Pipeline Rules of Thumb Handbook, p. 6.

    >>> mechanical_advantage(4, 0.917)
    3.24
    """
    if not 0.0 < efficiency <= 1.0:
        raise ValueError(f"sheave efficiency {efficiency:g} is outside 0 to 1. Give about 0.92.")
    return 1.0 / lead_line_factor(parts, 1.0 / efficiency)


def effort_by_rule(load: float, parts: float, sheaves: float, share: float) -> float:
    """Pull on a tackle by the seaman's rule: each sheave adds a fixed share of the load.

    P = (W / N) (1 + s x)

    Args:
        load: load on the tackle [N].
        parts: parts of line at the moving block N [-].
        sheaves: sheaves that the rope runs over s [-].
        share: share that each sheave adds x, 0.1 by the rule [-].

    Returns:
        Pull on the hauling part [N].

    Source: Kemp and Young, Notes on Cargo Work, 3rd ed., p. 4.

    >>> effort_by_rule(10000.0, 4, 3, 0.1)
    3250.0
    """
    return load / parts * (1.0 + sheaves * share)


def effort_by_efficiency(load: float, parts: float, efficiency: float) -> float:
    """Pull on a tackle whose whole efficiency has been measured.

    P = W / (N eta)

    Args:
        load: load on the tackle [N].
        parts: parts of line N [-].
        efficiency: useful share of the work [-].

    Returns:
        Pull on the hauling part [N].

    Source: definition of efficiency; values measured in Spons' Workshop Receipts, 5th series,
        tackle.

    >>> effort_by_efficiency(100.0, 4, 0.68)
    36.8
    """
    return load / (parts * efficiency)


def twisted_ratio(ratio: float, turns: float) -> float:
    """Friction ratio of the sheaves of a tackle that has twisted.

    K' = 1 + (K - 1) (1 + 0.4 turns)

    Args:
        ratio: friction ratio K of a sheave in an open tackle [-].
        turns: full turns that the tackle has twisted [-].

    Returns:
        Friction ratio in the twisted tackle [-].

    Source: Spons' Workshop Receipts, 5th series, tackle (40 % more friction a full
        turn).

    >>> twisted_ratio(1.10, 1)
    1.14
    """
    return 1.0 + (ratio - 1.0) * (1.0 + 0.4 * abs(turns))


def capstan_ratio(friction: float, turns: float) -> float:
    """Tension ratio of a rope that slips round a post or drum.

    T2 / T1 = exp(2 pi mu n)

    Args:
        friction: friction coefficient of rope on post mu [-].
        turns: full turns n [-].

    Returns:
        Larger over smaller tension [-].

    Source: L. Euler and J. A. Eytelwein's belt friction equation.

    >>> capstan_ratio(0.3, 1.0)
    6.59
    """
    return math.exp(2.0 * math.pi * friction * turns)


def holding_turns(load: float, hold: float, friction: float) -> float:
    """Turns round a post with which a hand holds a load.

    n = ln(T2 / T1) / (2 pi mu)

    Args:
        load: tension on the loaded side T2 [N].
        hold: pull of the hand on the other side T1 [N].
        friction: friction coefficient of rope on post mu [-].

    Returns:
        Turns, not rounded [-].

    Raises:
        ValueError: if the hand or the friction is not above 0.

    Source: L. Euler and J. A. Eytelwein's belt friction equation.

    >>> holding_turns(6000.0, 140.0, 0.3)
    1.99
    """
    if not (hold > 0.0 and friction > 0.0):
        raise ValueError(
            f"a hold of {hold:g} N at friction {friction:g} stops nothing. Both must be above 0."
        )
    return max(0.0, math.log(load / hold) / (2.0 * math.pi * friction))


def block_load(part_in: float, part_out: float, angle: float) -> float:
    """Load on the fastening of a block, from the two parts of rope at it.

    R = sqrt(T1^2 + T2^2 + 2 T1 T2 cos(a))

    Args:
        part_in: tension of one part T1 [N].
        part_out: tension of the other part T2 [N].
        angle: angle between the two parts as they leave the block a, 0 where parallel [rad].

    Returns:
        Load on the shackle or lashing of the block [N].

    Source: closed form, sum of two forces.

    >>> block_load(1000.0, 1000.0, 0.0)
    2000.0
    """
    return math.sqrt(part_in**2 + part_out**2 + 2.0 * part_in * part_out * math.cos(angle))

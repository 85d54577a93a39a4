"""A frame pushed sideways, along its axle: what its side brace takes, and when it tips."""

from __future__ import annotations

import math

import numpy as np

from slingwright.formulas.refusals import above_zero, not_negative


def side_brace_push(force: float, height: float, foot: float) -> float:
    """Push along a raking brace that alone holds a frame's head against a horizontal force.

    N = H sqrt(h^2 + a^2) / a

    Args:
        force: horizontal force at the head H [N].
        height: height of the head h [m].
        foot: how far out from under the head the brace stands a [m].

    Returns:
        Push in the brace [N].

    Raises:
        ValueError: if a size is not above zero, or the force is negative.

    Source: statics of the head.

    >>> round(side_brace_push(3.0, 4.0, 3.0), 9)
    5.0
    """
    not_negative(force, "horizontal force", "N")
    above_zero(height, "height of the head", "m")
    above_zero(foot, "distance out to the brace's foot", "m")
    return force * math.hypot(height, foot) / foot


def tipping_reach(
    turning: np.ndarray, pressing: np.ndarray, anchors: float, half: float
) -> np.ndarray:
    """How far from the middle the ground must press for a base not to tip; it may up to `half`.

    x = max(|M| - F_a b, 0) / (V + F_a); without bound where nothing presses

    Args:
        turning: moment that tips it, about the middle of the base M, shape (n,) [N m].
        pressing: force of the ground upward, the anchors left out V, shape (n,) [N].
        anchors: what the anchors at the lifted side hold down F_a [N].
        half: from the middle to the edge it tips over, as to the anchors b [m].

    Returns:
        Distance from the middle, shape (n,) [m].

    Raises:
        ValueError: if the half is not above zero or the anchors are negative.

    Source: equilibrium about the edge: V b + 2 F_a b = |M| at the limit x = b.

    >>> tipping_reach(np.array([500.0, 500.0]), np.array([1000.0, -1.0]), 0.0, 1.0).tolist()
    [0.5, inf]
    """
    above_zero(half, "half the base", "m")
    not_negative(anchors, "anchor resistance", "N")
    down = pressing + anchors
    over = np.maximum(np.abs(turning) - anchors * half, 0.0)
    reach = np.full_like(down, np.inf)
    np.divide(over, down, out=reach, where=down > 0.0)
    return reach


def tipping_resistance(pressing: np.ndarray, anchors: float, half: float) -> np.ndarray:
    """Moment at which a base tips over its edge.

    M = b (V + 2 F_a); the anchors pull at the far edge, twice b away

    Args:
        pressing: force of the ground upward, the anchors left out V, shape (n,) [N].
        anchors: what the anchors at the lifted side hold down F_a [N].
        half: from the middle to the edge it tips over, as to the anchors b [m].

    Returns:
        Moment, shape (n,); 0 or less where it lifts off [N m].

    Raises:
        ValueError: if the half is not above zero or the anchors are negative.

    Source: equilibrium about the edge.

    >>> tipping_resistance(np.array([1000.0]), 250.0, 2.0).tolist()
    [3000.0]
    """
    above_zero(half, "half the base", "m")
    not_negative(anchors, "anchor resistance", "N")
    return half * (pressing + 2.0 * anchors)

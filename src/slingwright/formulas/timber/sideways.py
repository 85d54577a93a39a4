"""A frame pushed sideways, along its axle: what its side brace takes, and when it tips."""

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

    Returns: Push in the brace [N].
    Raises: ValueError if a size is not above zero, or the force is negative.
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

    x = max(|M| - F_a b, 0) / (V + F_a)

    It is without bound where nothing presses.

    Args:
        turning: moment that tips it, about the middle of the base M, shape (n,) [N m].
        pressing: force of the ground upward, the anchors left out V, shape (n,) [N].
        anchors: what the anchors at the lifted side hold down F_a [N].
        half: from the middle to the edge it tips over, as to the anchors b [m].

    Returns: Distance from the middle, shape (n,) [m].
    Raises: ValueError if the half is not above zero or the anchors are negative.
    Source: equilibrium about the edge.

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

    M = b (V + 2 F_a)

    The anchors pull at the far edge, twice b away.

    Args:
        pressing: force of the ground upward, the anchors left out V, shape (n,) [N].
        anchors: what the anchors at the lifted side hold down F_a [N].
        half: from the middle to the edge it tips over, as to the anchors b [m].

    Returns: Moment, shape (n,); 0 or less where it lifts off [N m].
    Raises: ValueError if the half is not above zero or the anchors are negative.
    Source: equilibrium about the edge.

    >>> tipping_resistance(np.array([1000.0]), 250.0, 2.0).tolist()
    [3000.0]
    """
    above_zero(half, "half the base", "m")
    not_negative(anchors, "anchor resistance", "N")
    return half * (pressing + 2.0 * anchors)


def pressing_force(
    upward: np.ndarray, weight: np.ndarray | float, factor: float, stabilising: float
) -> np.ndarray:
    """Design force of the ground upward on a base, whose own weight is counted at less.

    V = gamma_F (R - G) + gamma_G G

    Args:
        upward: force of the ground upward in a load case R, shape (n,) [N].
        weight: weight of the base itself G [N].
        factor: partial factor of loads gamma_F [-].
        stabilising: share of the weight that may be counted on gamma_G [-].

    Returns: Force, shape (n,) [N].
    Source: EN 1990:2002, Table A1.2(A) (from memory).

    >>> pressing_force(np.array([1500.0]), 1000.0, 1.35, 0.9).tolist()
    [1575.0]
    """
    return factor * (upward - weight) + stabilising * weight


def sliding_resistance(pressing: np.ndarray, friction: float, stakes: float) -> np.ndarray:
    """Horizontal force that friction and stakes hold.

    H = mu max(V, 0) + F_s

    Args:
        pressing: force of the ground upward V, shape (n,) [N].
        friction: coefficient of friction mu [-].
        stakes: resistance of the stakes F_s [N].

    Returns: Force, shape (n,) [N].
    Source: Coulomb's friction.

    >>> sliding_resistance(np.array([1000.0]), 0.4, 50.0).tolist()
    [450.0]
    """
    return friction * np.maximum(pressing, 0.0) + stakes


def sill_pressure(
    pressing: np.ndarray,
    turning: np.ndarray,
    width: float,
    length: float,
    share: float,
    soft: float = 0.0,
) -> np.ndarray:
    """Pressure under the more loaded sill, on what lies evenly about the ground's force.

    p = k max(V, 0) / (b max(l - 2 |M| / V - 2 e, l / 10))

    Past a tenth of the length the base tips, and no pressure is true.

    Args:
        pressing: force of the ground upward V, shape (n,) [N].
        turning: its moment about the middle of the sills M, shape (n,) [N m].
        width: width of a sill b [m].
        length: length of a sill l [m].
        share: of the force on this sill k [-].
        soft: length at the sill's end that bears nothing e [m].

    Returns: Pressure, shape (n,); 0 where nothing presses [Pa].
    Source: EN 1997-1:2004, Annex D, effective length (from memory).

    >>> sill_pressure(np.array([9000.0]), np.array([450.0]), 0.3, 3.1, 0.5).tolist()
    [5000.0]
    """
    pressed = np.maximum(pressing, 0.0)
    place = np.full_like(pressed, np.inf)
    np.divide(np.abs(turning), pressed, out=place, where=pressed > 0.0)
    lying = np.maximum(length - 2.0 * place - 2.0 * soft, 0.1 * length)
    even: np.ndarray = share * pressed / (width * lying)
    return even


def wind_force(gust: float, density: float, shape: float, area: float) -> float:
    """Force of a gust on a body.

    W = c rho v^2 A / 2

    Args:
        gust: speed of the gust v [m/s].
        density: density of the air rho [kg/m3].
        shape: force coefficient c [-].
        area: area that faces the wind A [m2].

    Returns: Force [N].
    Source: EN 1991-1-4:2005, eqs (4.10) and (5.3) (from memory).

    >>> wind_force(20.0, 1.25, 2.0, 3.0)
    1500.0
    """
    return 0.5 * shape * density * gust**2 * area

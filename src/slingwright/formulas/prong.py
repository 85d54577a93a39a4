"""The prong at the arm's tip: its bend, the ring's friction, and the lag at which the ring slips.

Angles are measured from the arm's own line prolonged past the tip. The prong's bend is positive to
the side that leads during the throw; the sling's lag is positive on the side that trails. So the
angle between prong and sling is their sum. It falls during the throw, and the ring slips once the
sling's pull along the prong beats friction.
"""

from __future__ import annotations

import math


def friction_angle(friction: float) -> float:
    """Angle of friction.

    rho = atan(mu)

    Args:
        friction: friction coefficient mu [-].

    Returns:
        Angle [rad].

    Raises:
        ValueError: if the friction is negative.

    Source: Coulomb friction.

    >>> math.degrees(friction_angle(0.2))
    11.3
    """
    if not friction >= 0.0:
        raise ValueError(f"friction {friction:g} is below 0. Steel on steel has 0.1 to 0.3.")
    return math.atan(friction)


def slip_angle(bend: float, friction: float) -> float:
    """Sling lag at which the ring slips off a prong.

    g = 90 deg - atan(mu) - beta

    Args:
        bend: of the prong from the arm's line, leading side positive beta [rad].
        friction: coefficient of ring on prong mu [-].

    Returns:
        Sling lag at which the ring slips [rad].

    Raises:
        ValueError: if the friction is negative.

    Source: Coulomb friction: the ring slides once the pull lies within 90 deg - atan(mu) of the
        prong.

    >>> math.degrees(slip_angle(math.radians(40.0), 0.2))
    38.7
    """
    return 0.5 * math.pi - friction_angle(friction) - bend


def bend_for(slip: float, friction: float) -> float:
    """Bend that a prong needs so that the ring slips at a sling lag.

    beta = 90 deg - atan(mu) - g

    Args:
        slip: sling lag at which the ring is to slip g [rad].
        friction: coefficient of ring on prong mu [-].

    Returns:
        Bend of the prong, leading side positive [rad].

    Raises:
        ValueError: if the friction is negative.

    Source: Coulomb friction.

    >>> math.degrees(bend_for(math.radians(38.7), 0.2))
    40.0
    """
    return 0.5 * math.pi - friction_angle(friction) - slip


def slip_change_by_friction(friction: float) -> float:
    """Change of the slip angle for a unit of friction.

    dg/dmu = -1 / (1 + mu^2)

    Args:
        friction: coefficient of ring on prong mu [-].

    Returns:
        Change [rad].

    Source: derivative of the slip angle.

    >>> slip_change_by_friction(0.0)
    -1.0
    """
    return -1.0 / (1.0 + friction**2)


def ring_holds(lag: float, bend: float, friction: float) -> bool:
    """Tell whether the ring stays on the prong at a sling lag.

    g + beta > 90 deg - atan(mu)

    Args:
        lag: sling lag g [rad].
        bend: of the prong, leading side positive beta [rad].
        friction: coefficient of ring on prong mu [-].

    Returns:
        Whether it holds [-].

    Source: Coulomb friction, from the parts of the pull along and across the prong.

    >>> ring_holds(math.radians(60.0), math.radians(40.0), 0.2)
    True
    """
    between = lag + bend
    return math.cos(between) < friction * abs(math.sin(between))

"""The prong at the arm's tip: its bend and its friction set when the ring slips.

Angles are taken from the arm's own line prolonged past the tip. The sling trails at its lag g,
which falls during the throw. The prong is bent away from the sling, toward the throw, by b. The
ring slides off when the sling's pull has come within a quarter turn, less the friction angle, of
the prong. The ring's own mass and the stiffness of the cord are left out.
"""

import math

from slingwright.formulas.release.trigger import friction_angle


def slip_angle(bend: float, friction: float) -> float:
    """Sling lag at which the ring slips off the prong.

    g = pi / 2 - atan(mu) - b

    Args:
        bend: of the prong from the arm's line, toward the throw b [rad].
        friction: of ring on prong mu [-].

    Returns: Sling lag at the slip [rad].
    Raises: ValueError if the friction is negative, or the bend is a quarter turn or more either
        way.
    Source: closed form, Coulomb friction of a ring on a straight prong.

    >>> math.degrees(slip_angle(math.radians(38.0), 0.2))
    40.7
    """
    if not abs(bend) < 0.5 * math.pi:
        raise ValueError(
            f"a prong bent by {math.degrees(bend):.1f} deg stands across the arm or back along it. "
            "Keep the bend within 90 deg."
        )
    return 0.5 * math.pi - friction_angle(friction) - bend


def bend_for_slip(lag: float, friction: float) -> float:
    """Bend of the prong with which the ring slips at a given sling lag.

    b = pi / 2 - atan(mu) - g

    Args:
        lag: sling lag at which the ring is to slip g [rad].
        friction: of ring on prong mu [-].

    Returns: Bend from the arm's line, toward the throw [rad].
    Raises: ValueError if no bend within a quarter turn does it.
    Source: closed form, Coulomb friction of a ring on a straight prong.

    >>> math.degrees(bend_for_slip(math.radians(40.69), 0.2))
    38.0
    """
    bend = 0.5 * math.pi - friction_angle(friction) - lag
    if not abs(bend) < 0.5 * math.pi:
        raise ValueError(
            f"a slip at {math.degrees(lag):.1f} deg with friction {friction:g} needs a prong bent "
            f"by {math.degrees(bend):.1f} deg, beyond 90 deg. Change the slip angle."
        )
    return bend


def slides(lag: float, bend: float, friction: float) -> bool:
    """Whether the ring slides off the prong under the sling's pull.

    cos(g + b) > mu |sin(g + b)|

    Args:
        lag: sling lag g [rad].
        bend: of the prong from the arm's line, toward the throw b [rad].
        friction: of ring on prong mu [-].

    Returns: True where it slides [-].
    Source: Coulomb's law: pull along the prong against friction of the pull across it.

    >>> slides(0.2, 0.6, 0.2), slides(1.2, 0.6, 0.2)
    (True, False)
    """
    between = lag + bend
    return math.cos(between) > friction * abs(math.sin(between))

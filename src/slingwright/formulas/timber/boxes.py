"""A box of boards full of sand or stone: what the fill does to its sides, and how far it sways."""

import math

from slingwright.formulas.refusals import above_zero, not_negative


def rest_share(friction_angle: float) -> float:
    """Share of the pressure on the floor that a fill at rest puts on a wall.

    K = 1 - sin(phi)

    Args:
        friction_angle: angle of friction of the fill phi [rad].

    Returns: Share [-].
    Source: Jaky, EN 1997-1:2004, 9.5.2 (from memory).

    >>> round(rest_share(math.radians(30.0)), 9)
    0.5
    """
    return 1.0 - math.sin(friction_angle)


def wall_pressure(force: float, area: float, share: float) -> float:
    """Pressure of a fill on the lowest board of a wall, all that it weighs borne by the floor.

    p = K F / A

    Args:
        force: weight of the fill as the swing makes it F [N].
        area: area of the floor inside A [m2].
        share: of the pressure on the floor, K [-].

    Returns: Pressure [Pa].
    Raises: ValueError if the area is not above zero.
    Source: statics of a fill without friction on its walls.

    >>> wall_pressure(10e3, 0.5, 0.5)
    10000.0
    """
    return share * force / above_zero(area, "area inside the box", "m2")


def board_stress(pressure: float, span: float, thickness: float) -> float:
    """Bending stress of a board between two corners under an even pressure.

    s = 3 p L^2 / (4 t^2)

    Args:
        pressure: pressure on the board p [Pa].
        span: length between the corners L [m].
        thickness: thickness of the board t [m].

    Returns: Stress [Pa].
    Raises: ValueError if the thickness is not above zero.
    Source: statics of a simple beam, p L^2 / 8 over t^2 / 6.

    >>> board_stress(10e3, 0.8, 0.04)
    3000000.0
    """
    return 3.0 * pressure * span**2 / (4.0 * above_zero(thickness, "thickness", "m") ** 2)


def corner_pull(pressure: float, height: float, span: float) -> float:
    """Force of a fill that pulls a wall off one of its two corners.

    F = p h L / 4

    The pressure grows evenly from the top down to p.

    Args:
        pressure: pressure on the lowest board p [Pa].
        height: height of the fill h [m].
        span: length of the wall L [m].

    Returns: Force [N].
    Source: statics.

    >>> corner_pull(10e3, 0.5, 0.8)
    1000.0
    """
    return pressure * height * span / 4.0


def sway(share: float, length: float) -> float:
    """How far aside the low end of a hung box comes to rest under a steady force sideways.

    x = k L / sqrt(1 + k^2)

    Args:
        share: the force sideways as a share of the weight k [-].
        length: from the pin to the low end L [m].

    Returns: Distance [m].
    Raises: ValueError if a value is negative.
    Source: statics of a pendulum.

    >>> sway(0.75, 1.0)
    0.6
    """
    not_negative(share, "share of the weight")
    return share * not_negative(length, "length from the pin", "m") / math.hypot(1.0, share)

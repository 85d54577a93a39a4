"""How far and how long a body can fly at most, whatever its elevation at the start.

Range and drag: at each slope of the path drag makes a body slower than it is without air, so that
it comes down steeper from a lower apex. No body with drag in still air flies farther than one
without air from the same start.
"""

import math


def farthest_flight(speed: float, fall: float, gravity: float) -> float:
    """Greatest range without air over all elevations, to ground below the start.

    R = v / g sqrt(v^2 + 2 g h)

    Args:
        speed: at the start v [m/s].
        fall: height of the start above the landing h, below 0 where it lands higher [m].
        gravity: g [m/s^2].

    Returns: Range [m]; 0 where the speed does not lift it to the landing.
    Raises: ValueError if gravity is not positive or the speed is negative.
    Source: closed form, the parabola of safety y = v^2 / (2 g) - g x^2 / (2 v^2).

    >>> round(farthest_flight(20.0, 0.0, 9.80665), 2)
    40.79
    """
    _refuse(speed, gravity)
    return speed / gravity * math.sqrt(max(0.0, speed * speed + 2.0 * gravity * fall))


def longest_aloft(speed: float, fall: float, gravity: float, slowing: float) -> float:
    """Time in which a body is down again, whatever its elevation and whatever drag it has.

    t = v / g + t_d with v^2 / (2 g) + h = w t_d - w (1 - exp(-a t_d)) / a and w = g / a

    The rise takes at most v / g. In the fall drag holds it up by at most a times its own speed
    downward, where a is the drag's acceleration over the speed, at the greatest speed there is.

    Args:
        speed: at the start v [m/s].
        fall: height of the start above the landing h, 0 or more [m].
        gravity: g [m/s^2].
        slowing: greatest acceleration of drag over the speed a, 0 without air [1/s].

    Returns: Time, never less than the true one [s].
    Raises: ValueError if gravity is not positive, or another is negative.
    Source: closed form, fall with a resistance in proportion to the speed.

    >>> round(longest_aloft(9.80665, 0.0, 9.80665, 0.0), 6)
    2.0
    """
    _refuse(speed, gravity)
    if fall < 0.0 or slowing < 0.0:
        raise ValueError(f"fall is {fall:g} m and slowing {slowing:g} 1/s; give 0 or more of both")
    depth = 0.5 * speed * speed / gravity + fall
    low = math.sqrt(2.0 * depth / gravity)
    if slowing * low < 1e-9:
        return speed / gravity + low
    steady = gravity / slowing
    high = max(low, depth / steady + 1.0 / slowing)
    for _ in range(200):
        middle = 0.5 * (low + high)
        fallen = steady * (middle + math.expm1(-slowing * middle) / slowing)
        low, high = (middle, high) if fallen < depth else (low, middle)
        if high - low <= 1e-12 * high:
            break
    return speed / gravity + high


def _refuse(speed: float, gravity: float) -> None:
    if not (gravity > 0.0 and speed >= 0.0):
        raise ValueError(
            f"gravity is {gravity:g} m/s^2 and speed {speed:g} m/s; give a gravity above 0 and a "
            "speed of 0 or more"
        )

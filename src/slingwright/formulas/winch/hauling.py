"""Statics of winding the arm down: gravity against the rope, from rest to cocked.

Axes: x forward, y up, origin on the ground under the axle. Elevation e is the long arm's angle
above the horizontal, tip to the rear; winding lowers e. A hung weight hangs straight down below
its pin, so that it turns the arm with its weight at the pin; a fixed one does the same at its
centre.
All of it works on whole arrays of elevations at once.
"""

import numpy as np

LEAST_LEVER = 0.02
"""Of where the rope takes the arm: below this share of it as a lever the arm counts as dead."""


class DeadPoint(ValueError):
    """The rope's line passes through the axle, or on its far side: no pull lowers the arm there."""


def weight_moment(
    counterweight_mass: float,
    arm_short: float,
    arm_mass: float,
    arm_balance: float,
    tip_mass: float,
    arm_long: float,
) -> float:
    """First moment of mass that turns the arm up, about the axle.

    Q = M S - m b - q L

    Args:
        counterweight_mass: counterweight M [kg].
        arm_short: axle to hanger pin, or to the centre of a fixed weight S [m].
        arm_mass: arm m [kg].
        arm_balance: axle to the arm's centre of mass, positive to the long end b [m].
        tip_mass: sling and pouch, hanging from the tip q [kg].
        arm_long: axle to the tip L [m].

    Returns: First moment [kg m].
    Raises: ValueError if the counterweight does not outweigh the arm.
    Source: law of the lever.

    >>> weight_moment(1000.0, 1.0, 100.0, 1.5, 1.0, 5.0)
    845.0
    """
    moment = counterweight_mass * arm_short - arm_mass * arm_balance - tip_mass * arm_long
    if not moment > 0.0:
        raise ValueError(
            f"the arm and sling outweigh the counterweight by {-moment:.4g} kg m about the axle: "
            "there is nothing to wind. Take a heavier counterweight or a lighter long arm."
        )
    return moment


def gravity_torque(elevation: np.ndarray, moment: float, gravity: float) -> np.ndarray:
    """Torque of all weights about the axle, that lifts the long arm.

    tau = Q g cos(e)

    Args:
        elevation: of the long arm e [rad], shape (n,).
        moment: first moment of mass Q [kg m].
        gravity: acceleration of free fall g [m/s^2].

    Returns: Torque [N m], shape (n,).
    Source: law of the lever.

    >>> float(gravity_torque(np.array([0.0]), 845.0, 10.0)[0])
    8450.0
    """
    return moment * gravity * np.cos(elevation)


def stored_energy(elevation: np.ndarray, moment: float, gravity: float, start: float) -> np.ndarray:
    """Energy that the weights have gained since the arm stood at a start.

    E = Q g (sin(e0) - sin(e))

    Args:
        elevation: of the long arm e [rad], shape (n,).
        moment: first moment of mass Q [kg m].
        gravity: acceleration of free fall g [m/s^2].
        start: elevation at the start e0 [rad].

    Returns: Energy [J], shape (n,).
    Source: closed form, work of gravity.

    >>> float(stored_energy(np.array([0.0]), 845.0, 10.0, np.pi / 2)[0])
    8450.0
    """
    return moment * gravity * (np.sin(start) - np.sin(elevation))


def arm_point(
    elevation: np.ndarray, along: float, axle_height: float
) -> tuple[np.ndarray, np.ndarray]:
    """Place of a point of the long arm.

    x = -a cos(e), y = H + a sin(e)

    Args:
        elevation: of the long arm e [rad], shape (n,).
        along: from the axle along the long arm a [m].
        axle_height: height of the axle H [m].

    Returns: Place x, y [m], each shape (n,).
    Source: closed form.

    >>> [float(value[0]) for value in arm_point(np.array([0.0]), 3.0, 4.0)]
    [-3.0, 4.0]
    """
    return -along * np.cos(elevation), axle_height + along * np.sin(elevation)


def rope_direction(
    elevation: np.ndarray, along: float, axle_height: float, frame_x: float, frame_y: float
) -> tuple[np.ndarray, np.ndarray]:
    """Direction in which the rope pulls the arm, as a unit vector.

    u = (f - a) / |f - a|

    Args:
        elevation: of the long arm [rad], shape (n,).
        along: where the rope takes the arm, from the axle along it [m].
        axle_height: height of the axle [m].
        frame_x: block on the frame, forward of the axle positive [m].
        frame_y: block on the frame, above the ground [m].

    Returns: Components x, y [-], each shape (n,).
    Raises: ValueError if the two points meet, so that the rope has no direction.
    Source: closed form.

    >>> [float(v[0]) for v in rope_direction(np.array([0.0]), 3.0, 4.0, -3.0, 0.5)]
    [0.0, -1.0]
    """
    x, y = arm_point(elevation, along, axle_height)
    length = np.hypot(frame_x - x, frame_y - y)
    if not np.min(length) > 1e-6:
        raise ValueError(
            f"the rope's point on the arm meets its block at {frame_x:g} m, {frame_y:g} m: it has "
            "no direction there. Move the block, or take the arm at another place."
        )
    return (frame_x - x) / length, (frame_y - y) / length


def rope_lever(
    elevation: np.ndarray, along: float, axle_height: float, frame_x: float, frame_y: float
) -> np.ndarray:
    """Distance from the axle to the rope's line, positive where a pull lowers the long arm.

    c = x_a u_y - (y_a - H) u_x

    Args:
        elevation: of the long arm [rad], shape (n,).
        along: where the rope takes the arm, from the axle along it [m].
        axle_height: height of the axle [m].
        frame_x: block on the frame, forward of the axle positive [m].
        frame_y: block on the frame, above the ground [m].

    Returns: Lever [m], shape (n,).
    Source: moment of a force about a point.

    >>> float(rope_lever(np.array([0.0]), 3.0, 4.0, -3.0, 0.5)[0])
    3.0
    """
    x, y = arm_point(elevation, along, axle_height)
    u_x, u_y = rope_direction(elevation, along, axle_height, frame_x, frame_y)
    return x * u_y - (y - axle_height) * u_x


def refuse_dead_point(elevation: np.ndarray, lever: np.ndarray, least: float) -> float:
    """Smallest lever of the rope, refused where it is too small to lower the arm.

    min c >= least

    Args:
        elevation: of the long arm [rad], shape (n,).
        lever: of the rope about the axle [m], shape (n,).
        least: smallest lever that is let pass [m].

    Returns: Smallest lever [m].
    Raises: DeadPoint if the lever is smaller anywhere; names the elevation.
    Source: law of the lever: the pull grows without limit as the lever goes to zero.

    >>> refuse_dead_point(np.array([0.0, 0.1]), np.array([3.0, 2.0]), 0.1)
    2.0
    """
    worst = int(np.argmin(lever))
    smallest = float(lever[worst])
    if not smallest >= least:
        raise DeadPoint(
            f"dead point: with the arm at {np.degrees(elevation[worst]):.1f} deg the rope passes "
            f"{smallest:.3f} m from the axle, below {least:g} m, so no pull lowers the arm there. "
            "Move the winch or block, or where the rope takes the arm, so that the rope meets the "
            "arm more squarely."
        )
    return smallest


def tackle_load(
    torque: np.ndarray,
    lever: np.ndarray,
    direction: tuple[np.ndarray, np.ndarray],
    weight: float | np.ndarray,
    axle_drag: float,
    hanger_torque: float | np.ndarray,
    sense: float,
) -> np.ndarray:
    """Pull of the tackle on the arm that moves it slowly against gravity and bearing friction.

    F c = tau + s (mu r |F u + W| + M_h)

    Args:
        torque: of gravity about the axle tau [N m], shape (n,), or (k, n) for k weights.
        lever: of the rope about the axle c [m], shape (n,).
        direction: of the rope's pull u, x and y [-], each shape (n,).
        weight: of everything that the axle carries W, downward [N], one number or shape (k, 1).
        axle_drag: friction coefficient times radius of the axle mu r [m].
        hanger_torque: friction torque of the hanger pin M_h [N m], one number or shape (k, 1).
        sense: s is 1 winding, -1 lowering, 0 without friction [-].

    Returns: Pull [N], shape as the torque.
    Source: sum of moments about the axle, with Coulomb friction in the bearings.

    >>> one = np.array([1.0])
    >>> float(tackle_load(3000 * one, 3 * one, (0 * one, -one), 1e4, 0.0, 0.0, 1.0)[0])
    1000.0
    """
    pull = torque / lever
    if sense == 0.0:
        return pull
    for _ in range(12):
        axle = np.hypot(pull * direction[0], pull * direction[1] - weight)
        following = (torque + sense * (axle_drag * axle + hanger_torque)) / lever
        settled = np.max(np.abs(following - pull)) <= 1e-12 * (1.0 + np.max(np.abs(following)))
        pull = following
        if settled:
            break
    return pull


def along_and_across(
    force_x: np.ndarray, force_y: np.ndarray, slope: float
) -> tuple[np.ndarray, np.ndarray]:
    """Parts of a force along and across a frame member.

    along = F_x cos(s) + F_y sin(s), across = F_y cos(s) - F_x sin(s)

    Args:
        force_x: force on the member, forward F_x [N], shape (n,).
        force_y: force on the member, up F_y [N], shape (n,).
        slope: of the member above the horizontal s, 0 for a sill [rad].

    Returns: Parts along and across [N], each shape (n,).
    Source: closed form.

    >>> [float(v) for v in along_and_across(np.float64(3.0), np.float64(4.0), 0.0)]
    [3.0, 4.0]
    """
    cosine, sine = np.cos(slope), np.sin(slope)
    return force_x * cosine + force_y * sine, force_y * cosine - force_x * sine


def extension_bending(
    along: np.ndarray, across: np.ndarray, overhang: float, offset: float
) -> tuple[np.ndarray, np.ndarray]:
    """Bending that the pull along and the pull across put into a bolted extension, at its root.

    M_along = F_along h, M_across = F_across a

    Args:
        along: pull along the member F_along [N], shape (n,).
        across: pull across the member F_across [N], shape (n,).
        overhang: from the inner bolts to the winch or block a, to the rear [m].
        offset: of the rope's line above the member's own axis h [m].

    Returns: Bending moments by the pull along and by the pull across [N m], each shape (n,); they
        add up with their signs.
    Source: cantilever, closed form.

    >>> [float(v) for v in extension_bending(np.float64(5e3), np.float64(5e3), 1.2, 0.1)]
    [500.0, 6000.0]
    """
    return along * offset, across * overhang

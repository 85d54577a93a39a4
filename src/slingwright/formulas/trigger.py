"""The release that holds the machine cocked: slip hook and pin, as geometry with friction.

The slip hook: a nose of circular curve turns on a pivot; the ring of the load bears on the nose; a
lanyard on a lever turns the nose out from under the ring. The load's line passes through the
centre of the curve. Where that centre is the pivot itself, the load has no say and friction alone
resists. Where it stands off the pivot, the load helps to open (offset above 0) or holds itself
closed (offset below 0). A hook that friction alone keeps shut looses by itself on the
day it is greased or iced: that is no release but an accident, and `looses_below` gives the friction
at which it happens. A second, hard safety pin stays in until everyone stands clear.
"""

from __future__ import annotations

import math


def hook_pull(
    load: float,
    curve: float,
    offset: float,
    pivot: float,
    friction: float,
    lever: float,
    slant: float = 0.0,
) -> float:
    """Pull on the lanyard that looses a slip hook; 0 or less where the hook opens by itself.

    P (b cos(a) - mu r_p) = W (mu (R + r_p) - c)

    Args:
        load: pull of the ring on the hook W [N].
        curve: radius of the nose under the ring R [m].
        offset: of the load's line from the pivot, opening positive c [m].
        pivot: radius of the pivot pin r_p [m].
        friction: coefficient of ring on nose and of the pivot mu [-].
        lever: from the pivot to the lanyard b [m].
        slant: of the lanyard from square to the lever a [rad].

    Returns:
        Pull along the lanyard [N].

    Raises:
        ValueError: if a length, the load or the friction is negative, or the lever's arm is no
            longer than the pivot's friction circle.

    Source: sum of moments about the pivot with Coulomb friction; bearing friction circle.

    >>> hook_pull(2452.0, 0.030, 0.0, 0.008, 0.12, 0.20)
    56.2
    """
    if not (load >= 0.0 and curve > 0.0 and pivot >= 0.0 and friction >= 0.0 and lever > 0.0):
        raise ValueError(
            f"slip hook with load {load:g} N, curve {curve:g} m, pivot {pivot:g} m, friction "
            f"{friction:g}, lever {lever:g} m: curve and lever must be above 0, the rest not below."
        )
    arm = lever * math.cos(slant) - friction * pivot
    if not arm > 0.0:
        raise ValueError(
            f"the lanyard pulls past the pivot: lever {lever:g} m at {math.degrees(slant):.0f} deg "
            f"leaves {arm:.4f} m. Lead the lanyard more square to the lever, or lengthen it."
        )
    return load * (friction * (curve + pivot) - offset) / arm


def looses_below(curve: float, offset: float, pivot: float) -> float:
    """Friction below which a slip hook opens by itself; 0 or less where it never does.

    mu = c / (R + r_p)

    Args:
        curve: radius of the nose under the ring R [m].
        offset: of the load's line from the pivot, opening positive c [m].
        pivot: radius of the pivot pin r_p [m].

    Returns:
        Friction coefficient [-].

    Raises:
        ValueError: if the curve has no radius.

    Source: sum of moments about the pivot with Coulomb friction.

    >>> looses_below(0.030, 0.0019, 0.008)
    0.05
    """
    if not (curve > 0.0 and pivot >= 0.0):
        raise ValueError(f"curve {curve:g} m must be above 0 and pivot {pivot:g} m not below.")
    return offset / (curve + pivot)


def offset_for_margin(curve: float, pivot: float, lowest_friction: float) -> float:
    """Largest opening offset with which a slip hook still holds at the lowest friction foreseen.

    c = mu_low (R + r_p)

    Args:
        curve: radius of the nose under the ring R [m].
        pivot: radius of the pivot pin r_p [m].
        lowest_friction: friction on ice or fresh grease mu_low; 0 asks for a self-holding hook [-].

    Returns:
        Offset, opening positive [m].

    Source: sum of moments about the pivot with Coulomb friction.

    >>> offset_for_margin(0.030, 0.008, 0.02) * 1e3
    0.76
    """
    return lowest_friction * (curve + pivot)


def hook_load(moment: float, gravity: float, elevation: float, lever: float) -> float:
    """Pull on the hook that holds the cocked arm.

    W = Q g cos(e) / c

    Args:
        moment: first moment of mass that turns the arm up Q [kg m].
        gravity: acceleration of free fall g [m/s^2].
        elevation: of the long arm e [rad].
        lever: of the hook's line about the axle c [m].

    Returns:
        Pull [N].

    Raises:
        ValueError: if the hook's line has no lever.

    Source: law of the lever.

    >>> hook_load(250.0, 9.81, 0.0, 2.0)
    1226.25
    """
    if not lever > 0.0:
        raise ValueError(f"a hook with lever {lever:g} m holds nothing. Take the arm further out.")
    return moment * gravity * math.cos(elevation) / lever


def pin_pull(load: float, friction: float, faces: float = 2.0) -> float:
    """Pull that draws a straight pin out from under a load.

    P = mu W faces

    Args:
        load: pull of the loop on the pin W [N].
        friction: coefficient of loop and cheeks on the pin mu [-].
        faces: load on rubbing faces over the load: 2 for a loop between two cheeks [-].

    Returns:
        Pull [N].

    Source: Coulomb friction.

    >>> pin_pull(1000.0, 0.15)
    300.0
    """
    return load * friction * faces


def lanyard_length(height: float, distance: float, slack: float) -> float:
    """Length of lanyard from the hook to the hand of the person who looses.

    l = sqrt(h^2 + s^2) + slack

    Args:
        height: of the hook above the hand h, either sign [m].
        distance: along the ground from the hook to the person s [m].
        slack: rope that hangs slack so that a stumble does not loose the machine [m].

    Returns:
        Length [m].

    Raises:
        ValueError: if the person stands at the hook, or the slack is negative.

    Source: closed form.

    >>> lanyard_length(0.0, 15.0, 1.0)
    16.0
    """
    if not (distance > 0.0 and slack >= 0.0):
        raise ValueError(
            f"{distance:g} m from the hook with {slack:g} m slack: stand clear of the machine, "
            "with slack not below 0."
        )
    return math.hypot(height, distance) + slack

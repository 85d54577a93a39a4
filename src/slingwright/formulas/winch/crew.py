"""What people can do at a crank: power for how long, force for how long, and rest.

Every value is for grown, healthy, practised people. A show crew gets tired, changes and talks:
plan with the lower figures, and change places often.
"""

import math

HORSEPOWER = 745.69987  # W, 550 foot-pounds a second
HAND_SPEED = 1.0668  # m/s, 3.5 ft/s at a crank all day: W. Duane, A Military Dictionary, 1810
SHORT_FORCE = 145.0  # N, whole body pull, standing: EN 1005-3:2002 Table 1 (from memory)
LONG_FORCE = 0.6 * SHORT_FORCE  # all day over short effort, 30 lbf over 50: W. Duane, 1810
SHORTEST = 6.0  # s, the shortest effort that the power formula is used for
LONGEST = 28800.0  # s, a day's work of 8 h


class TooMuchWork(ValueError):
    """More work than a crew does in a day."""


def crank_power(duration: float) -> float:
    """Power that one person gives for a time without rest.

    P[hp] = 0.35 - 0.092 log10(t[min]), held at its ends below 6 s and above 8 h

    Args:
        duration: time of steady work t [s].

    Returns: Power of one person [W].
    Raises: ValueError if the time is not above 0.
    Source: E. S. Krendel, in Marks' Standard Handbook for Mechanical Engineers (from memory).

    >>> crank_power(720.0) / HORSEPOWER
    0.251
    """
    if not duration > 0.0:
        raise ValueError(f"work for {duration:g} s has no power. Give a time above 0.")
    minutes = min(max(duration, SHORTEST), LONGEST) / 60.0
    return HORSEPOWER * (0.35 - 0.092 * math.log10(minutes))


def time_for_work(work: float, people: float) -> float:
    """Shortest time in which a crew does a piece of work without rest.

    solves W = n P(t) t

    Args:
        work: work of the whole crew W [J].
        people: people at the handles n [-].

    Returns: Time [s].
    Raises:
        ValueError: if there is no crew, or the work is below 0.
        TooMuchWork: if the work is more than the crew does in 8 hours.
    Source: E. S. Krendel, in Marks' Standard Handbook for Mechanical Engineers (from memory).

    >>> time_for_work(60_000.0, 4)
    57.2
    """
    if not people > 0.0:
        raise ValueError(f"a crew of {people:g} winds nothing. Give one person or more.")
    if not work >= 0.0:
        raise ValueError(f"work of {work:g} J takes no time. Give 0 J or more.")
    share = work / people
    if share > crank_power(LONGEST) * LONGEST:
        raise TooMuchWork(
            f"{share / 1e6:.3g} MJ for each person is more than the "
            f"{crank_power(LONGEST) * LONGEST / 1e6:.3g} MJ of a day's work. "
            "Take more people or a lighter counterweight."
        )
    if share <= crank_power(SHORTEST) * SHORTEST:
        return share / crank_power(SHORTEST)
    from scipy.optimize import brentq

    return float(brentq(lambda t: crank_power(t) * t - share, SHORTEST, LONGEST, xtol=1e-9))


def rest_after(work: float, people: float, duration: float, day: float) -> float:
    """Rest after a piece of work so that the crew can go on all day.

    t_rest = W / (n P(day)) - t_work, not below 0

    Args:
        work: work of the whole crew W [J].
        people: people at the handles n [-].
        duration: time that the work took [s].
        day: time over which the crew is to keep going [s].

    Returns: Rest before the next piece of work [s].
    Source: E. S. Krendel's power for the whole day, from memory, as the mean over work and rest
        (common practice).

    >>> rest_after(60_000.0, 4, 57.2, 14400.0)
    96.3
    """
    return max(0.0, work / (people * crank_power(day)) - duration)


def force_allowed(duration: float) -> float:
    """Steady force that one person should be asked to put on a crank for a time.

    145 N up to 1 min, 87 N from 10 h, on a line in log time between

    Args:
        duration: time of steady work [s].

    Returns: Force on the handle [N].
    Source: EN 1005-3:2002 Table 1 (from memory) for what most grown people pull once, standing; its
        fall to six tenths in 10 h after W. Duane, A Military Dictionary, 1810, p. 677 (practised
        labourers: 50 lbf short effort, 30 lbf for 10 h); what counts as short and the line between
        are common practice.

    >>> force_allowed(30.0), force_allowed(36000.0)
    (145.0, 87.0)
    """
    start, end = math.log(60.0), math.log(36000.0)
    along = min(max((math.log(max(duration, 1e-9)) - start) / (end - start), 0.0), 1.0)
    return SHORT_FORCE + along * (LONG_FORCE - SHORT_FORCE)

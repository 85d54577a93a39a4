"""What a rope does when it is stopped with a jerk, and when it parts."""

import math


def rope_stiffness(breaking_force: float, stretch: float, length: float) -> float:
    """Stiffness of a rope, taken as a straight line from slack to breaking.

    k = F / (s L)

    Args:
        breaking_force: of the rope F [N].
        stretch: as it breaks, as a share of its length s [-].
        length: that is pulled L [m].

    Returns: Stiffness [N/m].
    Raises: ValueError if one of them is not above 0.
    Source: Hooke's law; a straight line to the breaking point is common practice.

    >>> rope_stiffness(13800.0, 0.1, 4.0)
    34500.0
    """
    if not (breaking_force > 0.0 and stretch > 0.0 and length > 0.0):
        raise ValueError(
            f"breaking force {breaking_force:g} N, stretch {stretch:g} and length {length:g} m: "
            "give each above 0."
        )
    return breaking_force / (stretch * length)


def arrested_pull(pull: float, stiffness: float, fall: float) -> float:
    """Greatest pull in a rope whose load falls some way before it is stopped.

    F = P + sqrt(P^2 + 2 k P h)

    Args:
        pull: of the load at rest P [N].
        stiffness: of the rope k [N/m].
        fall: way that the load pulls the drum round before the pawl stops it h [m].

    Returns: Pull [N]; twice the pull at rest for no fall at all.
    Raises: ValueError if one of them is below 0.
    Source: conservation of energy of a load on a spring; its mass does not count, and nothing is
        lost on the way.

    >>> arrested_pull(1000.0, 30000.0, 0.05)
    3000.0
    """
    if not (pull >= 0.0 and stiffness >= 0.0 and fall >= 0.0):
        raise ValueError(
            f"pull {pull:g} N, stiffness {stiffness:g} N/m and fall {fall:g} m: none below 0."
        )
    return pull + math.sqrt(pull * pull + 2.0 * stiffness * pull * fall)


def stretched_energy(pull: float, stiffness: float) -> float:
    """Energy that a pulled rope gives back as it parts.

    U = P^2 / (2 k)

    Args:
        pull: of the rope P [N].
        stiffness: of the rope k [N/m].

    Returns: Energy [J].
    Raises: ValueError if the stiffness is not above 0.
    Source: Hooke's law.

    >>> stretched_energy(1000.0, 25000.0)
    20.0
    """
    if not stiffness > 0.0:
        raise ValueError(f"stiffness {stiffness:g} N/m is not above 0.")
    return pull * pull / (2.0 * stiffness)


def recoil_speed(pull: float, stiffness: float, length: float, mass: float) -> float:
    """Speed at which a parted rope flies back along its own line.

    v = P / sqrt(k L m)

    Args:
        pull: of the rope as it parts P [N].
        stiffness: of the rope k [N/m].
        length: of the rope that was pulled L [m].
        mass: of a metre of rope m [kg/m].

    Returns: Speed behind the wave of release [m/s].
    Raises: ValueError if one of them is not above 0.
    Source: wave of release in an elastic bar, v = stress over density times wave speed (Timoshenko
        and Goodier, Theory of Elasticity, from memory).

    >>> recoil_speed(1000.0, 25000.0, 4.0, 0.1)
    10.0
    """
    if not (pull > 0.0 and stiffness > 0.0 and length > 0.0 and mass > 0.0):
        raise ValueError(
            f"pull {pull:g} N, stiffness {stiffness:g} N/m, length {length:g} m and mass {mass:g} "
            "kg/m: give each above 0."
        )
    return pull / math.sqrt(stiffness * length * mass)

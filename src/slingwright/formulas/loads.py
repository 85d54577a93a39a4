"""From the load of a case to the force that a part is held to."""

import math

from slingwright.formulas.refusals import above_zero, not_negative


def design_load(load: float, factor: float = 1.0, parts: float = 1.0) -> float:
    """Design value of a force that equal parts share.

    F_d = gamma_F F / n

    Args:
        load: force of the load case F [N].
        factor: partial factor of loads gamma_F [-].
        parts: number of parts n [-].

    Returns: Force on one part [N].
    Raises: ValueError if the factor or the number is not above zero.
    Source: EN 1990:2002, eq (6.1).

    >>> design_load(10e3, 1.35, 2.0)
    6750.0
    """
    return above_zero(factor, "load factor") * load / above_zero(parts, "number of parts")


def design_moment(moment: float, factor: float) -> float:
    """Design value of a bending moment.

    M_d = gamma_F M

    Args:
        moment: moment of the load case M [N m].
        factor: partial factor of loads gamma_F [-].

    Returns: Moment [N m].
    Raises: ValueError if the factor is not above zero.
    Source: EN 1990:2002, eq (6.1).

    >>> design_moment(10e3, 1.35)
    13500.0
    """
    return above_zero(factor, "load factor") * moment


def lever_moment(force: float, lever: float) -> float:
    """Moment of a force about a point.

    M = F l

    Args:
        force: force F [N].
        lever: distance of its line from the point l [m].

    Returns: Moment [N m].
    Source: statics.

    >>> lever_moment(10e3, 0.2)
    2000.0
    """
    return force * lever


def axial_stress(force: float, area: float) -> float:
    """Stress of a force along a member.

    s = N / A

    Args:
        force: push or pull N [N].
        area: area A [m2].

    Returns: Stress [Pa].
    Raises: ValueError if the area is not above zero.
    Source: statics.

    >>> axial_stress(10e3, 0.01)
    1000000.0
    """
    return force / above_zero(area, "area", "m2")


def shared_load(load: float, factor: float, share: float) -> float:
    """Design value of a force of which a part takes a share.

    F_d = gamma_F k F

    Args:
        load: force of the load case F [N].
        factor: partial factor of loads gamma_F [-].
        share: share of the part k [-].

    Returns: Force on the part [N].
    Raises: ValueError if the factor or the share is not above zero.
    Source: EN 1990:2002, eq (6.1).

    >>> shared_load(10e3, 1.5, 0.6)
    9000.0
    """
    return above_zero(factor, "load factor") * above_zero(share, "share") * load


def side_pull(pull: float, apart: float, length: float) -> float:
    """Force across the plane of the throw where one of a sling's two cords pulls alone.

    H = T b / (2 l)

    Args:
        pull: pull of the cord T [N].
        apart: distance of the cords where they hold the projectile b [m].
        length: length of the sling l [m].

    Returns: Force [N].
    Raises: ValueError if the length is not above zero.
    Source: statics: the cord leads from one side of the projectile to the middle of the arm's tip.

    >>> side_pull(2e3, 0.3, 3.0)
    100.0
    """
    return pull * apart / (2.0 * above_zero(length, "length of the sling", "m"))


def couple_force(moment: float, apart: float) -> float:
    """Force of each of two that make a couple.

    R = M / s

    Args:
        moment: moment of the couple M [N m].
        apart: distance between the two s [m].

    Returns: Force [N].
    Raises: ValueError if the distance is not above zero.
    Source: statics.

    >>> couple_force(500.0, 2.0)
    250.0
    """
    return moment / above_zero(apart, "distance of the couple", "m")


def drag(push: float, friction: float) -> float:
    """Force of friction of what slides.

    D = mu N

    Args:
        push: force between the two N [N].
        friction: sliding coefficient mu [-].

    Returns: Force [N].
    Source: Coulomb's friction.

    >>> drag(200.0, 0.5)
    100.0
    """
    return friction * push


def give_of_stop(force: float, travel: float, stiffness: float) -> float:
    """How far a springy stop gives to a body that a steady force pushes against it from rest.

    d = F (1 + sqrt(1 + 2 k a / F)) / k

    Twice the give under the force at rest where there is no way to it.

    Args:
        force: steady force F [N].
        travel: way of the body to the stop a [m].
        stiffness: force of the stop over its give k [N/m].

    Returns: Largest give [m].
    Raises: ValueError if the force or the stiffness is not above zero, or the way is negative.
    Source: F (a + d) = k d^2 / 2; Timoshenko, Strength of Materials, part I, impact (from memory).

    >>> give_of_stop(100.0, 0.0, 50.0)
    4.0
    """
    above_zero(force, "force", "N")
    above_zero(stiffness, "stiffness", "N/m")
    not_negative(travel, "way to the stop", "m")
    return force * (1.0 + math.sqrt(1.0 + 2.0 * stiffness * travel / force)) / stiffness

"""From the load of a case to the force that a part is held to."""

from __future__ import annotations

from slingwright.formulas.refusals import above_zero


def design_load(load: float, factor: float = 1.0, parts: float = 1.0) -> float:
    """Design value of a force that equal parts share.

    F_d = gamma_F F / n

    Args:
        load: force of the load case F [N].
        factor: partial factor of loads gamma_F [-].
        parts: number of parts n [-].

    Returns:
        Force on one part [N].

    Raises:
        ValueError: if the factor or the number is not above zero.

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

    Returns:
        Moment [N m].

    Raises:
        ValueError: if the factor is not above zero.

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

    Returns:
        Moment [N m].

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

    Returns:
        Stress [Pa].

    Raises:
        ValueError: if the area is not above zero.

    Source: statics.

    >>> axial_stress(10e3, 0.01)
    1000000.0
    """
    return force / above_zero(area, "area", "m2")

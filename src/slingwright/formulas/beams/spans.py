"""Beams under the loads a frame and an axle see: closed forms for moment, reaction and deflection.

Moments are positive where they sag the beam, deflections positive downward, loads positive down.
`beam_lines` gives the same along the whole beam for any mixture of loads.
"""

from slingwright.formulas.refusals import above_zero, between


def _stiff(modulus: float, inertia: float) -> float:
    """Give E I, refusing what is not above zero."""
    return above_zero(modulus, "modulus", "Pa") * above_zero(inertia, "second moment", "m4")


def two_loads_moment(load: float, span: float, position: float) -> float:
    """Moment between two equal loads, each as far from its support as the other.

    M = P a, with P each

    Args:
        load: each of the two loads P [N].
        span: distance between the supports L [m].
        position: each load from its own support a [m].

    Returns: Moment, constant between the loads [N m].
    Raises: ValueError if the span is not above zero or the loads would pass each other.
    Source: Roark's Formulas for Stress and Strain, Table 8.1, by superposition (from memory).

    >>> two_loads_moment(5e3, 2.0, 0.8)
    4000.0
    """
    above_zero(span, "span", "m")
    between(position, 0.0, span / 2.0, "place of the loads", "m")
    return load * position


def two_loads_deflection(
    load: float, span: float, position: float, modulus: float, inertia: float
) -> float:
    """Deflection at mid-span under two equal loads, each as far from its support as the other.

    y = P a (3 L^2 - 4 a^2) / (24 E I), with P each

    Args:
        load: each of the two loads P [N].
        span: distance between the supports L [m].
        position: each load from its own support a [m].
        modulus: modulus of elasticity E [Pa].
        inertia: second moment of area I [m4].

    Returns: Deflection at mid-span [m].
    Raises: ValueError if a size is not above zero or the loads would pass each other.
    Source: Roark's Formulas for Stress and Strain, Table 8.1, by superposition (from memory).

    >>> round(two_loads_deflection(5e3, 2.0, 1.0, 210e9, 2.010619e-6) * 1e3, 4)
    3.9473
    """
    moment = two_loads_moment(load, span, position)
    return moment * (3.0 * span**2 - 4.0 * position**2) / (24.0 * _stiff(modulus, inertia))


def patch_load_moment(load: float, span: float, patch: float) -> float:
    """Moment at mid-span of a simple beam with the load spread evenly over a middle length.

    M = P (2 L - c) / 8

    Args:
        load: whole load P [N].
        span: distance between the supports L [m].
        patch: length that the load is spread over c [m].

    Returns: Moment at mid-span [N m].
    Raises: ValueError if the span is not above zero or the patch is longer.
    Source: statics.

    >>> patch_load_moment(10e3, 2.0, 0.4)
    4500.0
    """
    above_zero(span, "span", "m")
    between(patch, 0.0, span, "length under load", "m")
    return load * (2.0 * span - patch) / 8.0


def patch_load_deflection(
    load: float, span: float, patch: float, modulus: float, inertia: float
) -> float:
    """Deflection at mid-span of a simple beam with the load spread evenly over a middle length.

    y = P (8 L^3 - 4 L c^2 + c^3) / (384 E I)

    Args:
        load: whole load P [N].
        span: distance between the supports L [m].
        patch: length that the load is spread over c [m].
        modulus: modulus of elasticity E [Pa].
        inertia: second moment of area I [m4].

    Returns: Deflection at mid-span [m].
    Raises: ValueError if a size is not above zero or the patch is longer than the span.
    Source: Roark's Formulas for Stress and Strain, Table 8.1, by superposition (from memory).

    >>> round(patch_load_deflection(10e3, 2.0, 0.0, 210e9, 2.010619e-6) * 1e3, 4)
    3.9473
    """
    above_zero(span, "span", "m")
    between(patch, 0.0, span, "length under load", "m")
    shape = 8.0 * span**3 - 4.0 * span * patch**2 + patch**3
    return load * shape / (384.0 * _stiff(modulus, inertia))


def allowed_deflection(span: float, share: float) -> float:
    """Deflection that a beam is allowed, by its length.

    y = L / n

    Args:
        span: span, or length of a cantilever L [m].
        share: length over allowed deflection n [-].

    Returns: Deflection [m].
    Raises: ValueError if a value is not above zero.
    Source: common practice.

    >>> allowed_deflection(3.0, 300.0)
    0.01
    """
    return above_zero(span, "span", "m") / above_zero(share, "share of the span")

"""Beams under the loads a frame and an axle see: closed forms for moment, reaction and deflection.

Moments are positive where they sag the beam, deflections positive downward, loads positive down.
`beam_lines` gives the same along the whole beam for any mixture of loads.
"""

from __future__ import annotations

import math

from slingwright.formulas.refusals import above_zero, between, not_negative


def _stiff(modulus: float, inertia: float) -> float:
    """Give E I, refusing what is not above zero."""
    return above_zero(modulus, "modulus", "Pa") * above_zero(inertia, "second moment", "m4")


def mid_load_moment(load: float, span: float) -> float:
    """Moment at mid-span of a simple beam under a point load there.

    M = P L / 4

    Args:
        load: load P [N].
        span: distance between the supports L [m].

    Returns:
        Moment [N m].

    Raises:
        ValueError: if the span is not above zero.

    Source: Roark's Formulas for Stress and Strain, Table 8.1 (from memory).

    >>> mid_load_moment(10e3, 2.0)
    5000.0
    """
    return load * above_zero(span, "span", "m") / 4.0


def mid_load_deflection(load: float, span: float, modulus: float, inertia: float) -> float:
    """Deflection at mid-span of a simple beam under a point load there.

    y = P L^3 / (48 E I)

    Args:
        load: load P [N].
        span: distance between the supports L [m].
        modulus: modulus of elasticity E [Pa].
        inertia: second moment of area I [m4].

    Returns:
        Deflection [m].

    Raises:
        ValueError: if span, modulus or second moment is not above zero.

    Source: Roark's Formulas for Stress and Strain, Table 8.1 (from memory).

    >>> round(mid_load_deflection(10e3, 2.0, 210e9, 2.010619e-6) * 1e3, 4)
    3.9473
    """
    return load * above_zero(span, "span", "m") ** 3 / (48.0 * _stiff(modulus, inertia))


def fixed_mid_load_moment(load: float, span: float) -> float:
    """Moment at mid-span, and the same hogging at the ends, of a built-in beam loaded at mid-span.

    M = P L / 8

    Args:
        load: load P [N].
        span: clear distance between the built-in ends L [m].

    Returns:
        Moment [N m].

    Raises:
        ValueError: if the span is not above zero.

    Source: Roark's Formulas for Stress and Strain, Table 8.1 (from memory).

    >>> fixed_mid_load_moment(10e3, 2.0)
    2500.0
    """
    return load * above_zero(span, "span", "m") / 8.0


def fixed_mid_load_deflection(load: float, span: float, modulus: float, inertia: float) -> float:
    """Deflection at mid-span of a built-in beam under a point load there.

    y = P L^3 / (192 E I)

    Args:
        load: load P [N].
        span: clear distance between the built-in ends L [m].
        modulus: modulus of elasticity E [Pa].
        inertia: second moment of area I [m4].

    Returns:
        Deflection [m].

    Raises:
        ValueError: if span, modulus or second moment is not above zero.

    Source: Roark's Formulas for Stress and Strain, Table 8.1 (from memory).

    >>> round(fixed_mid_load_deflection(10e3, 2.0, 210e9, 2.010619e-6) * 1e3, 5)
    0.98682
    """
    return load * above_zero(span, "span", "m") ** 3 / (192.0 * _stiff(modulus, inertia))


def point_load_moment(load: float, span: float, position: float) -> float:
    """Moment under a point load anywhere on a simple beam.

    M = P a (L - a) / L

    Args:
        load: load P [N].
        span: distance between the supports L [m].
        position: load from the left support a [m].

    Returns:
        Moment [N m].

    Raises:
        ValueError: if the span is not above zero or the load is not on it.

    Source: Roark's Formulas for Stress and Strain, Table 8.1 (from memory).

    >>> point_load_moment(10e3, 2.0, 0.5)
    3750.0
    """
    above_zero(span, "span", "m")
    between(position, 0.0, span, "place of the load", "m")
    return load * position * (span - position) / span


def point_load_deflection(
    load: float, span: float, position: float, modulus: float, inertia: float
) -> float:
    """Deflection under a point load anywhere on a simple beam.

    y = P a^2 (L - a)^2 / (3 E I L)

    Args:
        load: load P [N].
        span: distance between the supports L [m].
        position: load from the left support a [m].
        modulus: modulus of elasticity E [Pa].
        inertia: second moment of area I [m4].

    Returns:
        Deflection at the load [m].

    Raises:
        ValueError: if a size is not above zero or the load is not on the span.

    Source: civilengcalculations.com, beam 02 (simple beam, point load anywhere).

    >>> round(point_load_deflection(10e3, 2.0, 1.0, 210e9, 2.010619e-6) * 1e3, 4)
    3.9473
    """
    above_zero(span, "span", "m")
    between(position, 0.0, span, "place of the load", "m")
    moment = load * position**2 * (span - position) ** 2
    return moment / (3.0 * _stiff(modulus, inertia) * span)


def two_loads_moment(load: float, span: float, position: float) -> float:
    """Moment between two equal loads, each as far from its support as the other.

    M = P a, with P each

    Args:
        load: each of the two loads P [N].
        span: distance between the supports L [m].
        position: each load from its own support a [m].

    Returns:
        Moment, constant between the loads [N m].

    Raises:
        ValueError: if the span is not above zero or the loads would pass each other.

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

    Returns:
        Deflection at mid-span [m].

    Raises:
        ValueError: if a size is not above zero or the loads would pass each other.

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

    Returns:
        Moment at mid-span [N m].

    Raises:
        ValueError: if the span is not above zero or the patch is longer.

    Source: closed form by statics.

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

    Returns:
        Deflection at mid-span [m].

    Raises:
        ValueError: if a size is not above zero or the patch is longer than the span.

    Source: Roark's Formulas for Stress and Strain, Table 8.1, by superposition (from memory).

    >>> round(patch_load_deflection(10e3, 2.0, 0.0, 210e9, 2.010619e-6) * 1e3, 4)
    3.9473
    """
    above_zero(span, "span", "m")
    between(patch, 0.0, span, "length under load", "m")
    shape = 8.0 * span**3 - 4.0 * span * patch**2 + patch**3
    return load * shape / (384.0 * _stiff(modulus, inertia))


def overhang_reactions(load: float, span: float, overhang: float) -> tuple[float, float]:
    """Reactions of a beam on two supports with a load at the end of an overhang.

    R_1 = -P a / L;  R_2 = P (L + a) / L

    Args:
        load: load at the free end P [N].
        span: distance between the supports L [m].
        overhang: free end beyond the second support a [m].

    Returns:
        Reactions at the far support (negative: it is lifted) and at the near one [N].

    Raises:
        ValueError: if the span is not above zero or the overhang is negative.

    Source: tquigley.com, T310 (overhanging beam, load at the end).

    >>> overhang_reactions(10e3, 2.0, 0.5)
    (-2500.0, 12500.0)
    """
    above_zero(span, "span", "m")
    not_negative(overhang, "overhang", "m")
    return -load * overhang / span, load * (span + overhang) / span


def overhang_tip_deflection(
    load: float, span: float, overhang: float, modulus: float, inertia: float
) -> float:
    """Deflection of the loaded end of an overhang.

    y = P a^2 (L + a) / (3 E I)

    Args:
        load: load at the free end P [N].
        span: distance between the supports L [m].
        overhang: free end beyond the second support a [m].
        modulus: modulus of elasticity E [Pa].
        inertia: second moment of area I [m4].

    Returns:
        Deflection of the end [m].

    Raises:
        ValueError: if a size is not above zero.

    Source: tquigley.com, T310; mechengcalculations.com, beam 12.

    >>> round(overhang_tip_deflection(10e3, 2.0, 0.5, 210e9, 2.010619e-6) * 1e3, 4)
    4.9341
    """
    above_zero(span, "span", "m")
    not_negative(overhang, "overhang", "m")
    return load * overhang**2 * (span + overhang) / (3.0 * _stiff(modulus, inertia))


def overhang_uplift(
    load: float, span: float, overhang: float, modulus: float, inertia: float
) -> float:
    """Largest rise between the supports of a beam with a loaded overhang.

    y = P a L^2 / (9 sqrt(3) E I), at L / sqrt(3) from the far support

    Args:
        load: load at the free end P [N].
        span: distance between the supports L [m].
        overhang: free end beyond the second support a [m].
        modulus: modulus of elasticity E [Pa].
        inertia: second moment of area I [m4].

    Returns:
        Rise between the supports [m].

    Raises:
        ValueError: if a size is not above zero.

    Source: tquigley.com, T310; mechengcalculations.com, beam 12.

    >>> round(overhang_uplift(10e3, 2.0, 0.5, 210e9, 2.010619e-6) * 1e3, 4)
    3.0387
    """
    above_zero(span, "span", "m")
    not_negative(overhang, "overhang", "m")
    return load * overhang * span**2 / (9.0 * math.sqrt(3.0) * _stiff(modulus, inertia))


def cantilever_tip_deflection(load: float, length: float, modulus: float, inertia: float) -> float:
    """Deflection of the loaded end of a cantilever, such as the prong or the end of a pin.

    y = P l^3 / (3 E I)

    Args:
        load: load at the free end P [N].
        length: free length l [m].
        modulus: modulus of elasticity E [Pa].
        inertia: second moment of area I [m4].

    Returns:
        Deflection of the end [m].

    Raises:
        ValueError: if a size is not above zero.

    Source: Roark's Formulas for Stress and Strain, Table 8.1 (from memory).

    >>> cantilever_tip_deflection(300.0, 1.0, 100.0, 1.0)
    1.0
    """
    return load * above_zero(length, "length", "m") ** 3 / (3.0 * _stiff(modulus, inertia))

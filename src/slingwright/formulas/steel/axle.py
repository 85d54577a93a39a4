"""The axle: a shaft between two supports that carries the arm's hub, worked out elastically.

An axle rocks under load thousands of times, so it is held to its elastic limit: the pin rule's
1.5 W f_y of EN 1993-1-8 is not used here. Supports are taken as knife edges at the inner faces
plus half a bearing length where one is given.
"""

import math

import numpy as np

from slingwright.formulas.beams.lines import BeamLine, beam_line
from slingwright.formulas.refusals import above_zero, between, not_negative


def working_span(clear: float, support: float = 0.0, bearing: float = 0.0) -> float:
    """Span of the axle with support pieces under it.

    L = l - 2 s + b

    Args:
        clear: clear distance between the frame's sides l [m].
        support: how far a support piece reaches in from each side s [m].
        bearing: length of bearing that carries the load at each side b; the reaction acts in its
            middle [m].

    Returns: Distance between the reactions [m].
    Raises: ValueError if the support pieces meet, or a size is negative.
    Source: common practice.

    >>> working_span(1.0, support=0.2)
    0.6
    """
    above_zero(clear, "clear span of the axle", "m")
    not_negative(support, "axle support", "m")
    not_negative(bearing, "bearing length", "m")
    if 2.0 * support >= clear:
        raise ValueError(
            f"axle support of {support:g} m from each side leaves no span of {clear:g} m; "
            "give less than half of axle.span"
        )
    return clear - 2.0 * support + bearing


def axle_line(
    load: float,
    span: float,
    hub: float,
    modulus: float,
    inertia: float,
    cheeks: bool = False,
    stations: int = 101,
) -> BeamLine:
    """Shear, moment and deflection along the axle, the hub's edges and the middle included.

    Args:
        load: force of the arm on the axle [N].
        span: distance between the reactions [m].
        hub: width of the hub, or distance between the middles of two cheeks [m].
        modulus: modulus of elasticity [Pa].
        inertia: second moment of area [m4].
        cheeks: whether the arm bears on two narrow cheeks [-].
        stations: places along the axle, before the hub's edges are added [-].

    Returns: Line from one reaction to the other [m, N, N m].
    Raises: ValueError if the hub is wider than the span, or a size is not above zero.
    Source: Macaulay's method; see beam_lines.

    >>> axle_line(10e3, 2.0, 0.4, 210e9, 2.010619e-6).peak_moment
    4500.0
    """
    above_zero(span, "span of the axle", "m")
    between(hub, 0.0, span, "hub width", "m")
    if stations < 2:
        raise ValueError(f"number of stations is {stations}; it must be 2 or more")
    edges = ((span - hub) / 2.0, (span + hub) / 2.0)
    places = np.unique(np.append(np.linspace(0.0, span, stations), [*edges, span / 2.0]))
    points: list[tuple[float, float]] = []
    patches: list[tuple[float, float, float]] = []
    if hub == 0.0:
        points = [(span / 2.0, load)]
    elif cheeks:
        points = [(edge, load / 2.0) for edge in edges]
    else:
        patches = [(edges[0], edges[1], load)]
    return beam_line(places, (0.0, span), points, patches, modulus, inertia)


def bearing_pressure(load: float, diameter: float, length: float) -> float:
    """Pressure of a shaft on what it lies in, over its projected area.

    p = F / (d l)

    Args:
        load: force on this bearing F [N].
        diameter: diameter of the shaft d [m].
        length: length of the bearing l [m].

    Returns: Pressure [Pa].
    Raises: ValueError if the diameter or the length is not above zero.
    Source: common practice (projected area), as in EN 1993-1-8:2005 Table 3.10.

    >>> bearing_pressure(10e3, 0.05, 0.1)
    2000000.0
    """
    area = above_zero(diameter, "diameter", "m") * above_zero(length, "bearing length", "m")
    return abs(load) / area


def sliding_speed(turning_rate: float, diameter: float) -> float:
    """Speed at which the shaft's surface slides in its bearing.

    v = w d / 2

    Args:
        turning_rate: angular speed of the arm w [rad/s].
        diameter: diameter of the shaft d [m].

    Returns: Speed [m/s].
    Raises: ValueError if the diameter is not above zero.
    Source: closed form.

    >>> sliding_speed(10.0, 0.05)
    0.25
    """
    return abs(turning_rate) * above_zero(diameter, "diameter", "m") / 2.0


def pressure_speed(rubbing: float, diameter: float, length: float) -> float:
    """Pressure times sliding speed in each of two bearings, which warms them.

    q = P / (2 d l)

    Args:
        rubbing: mean over the motion of the load times the speed of what slides P [W].
        diameter: diameter of the shaft d [m].
        length: length of each bearing l [m].

    Returns: Pressure times speed [W/m^2].
    Raises: ValueError if a size is not above zero.
    Source: closed form; each bearing takes half the load.

    >>> round(pressure_speed(1e3, 0.05, 0.1), 6)
    100000.0
    """
    area = above_zero(diameter, "diameter", "m") * above_zero(length, "bearing length", "m")
    return rubbing / (2.0 * area)


def round_bending_stress(moment: float, diameter: float) -> float:
    """Bending stress at the surface of a solid round shaft.

    sigma = 32 M / (pi d^3)

    Args:
        moment: bending moment M [N m].
        diameter: diameter d [m].

    Returns: Stress [Pa].
    Raises: ValueError if the diameter is not above zero.
    Source: Roark's Formulas for Stress and Strain, ch. 8.

    >>> round(round_bending_stress(5e3, 0.080) / 1e6, 2)
    99.47
    """
    return 32.0 * abs(moment) / (math.pi * above_zero(diameter, "diameter", "m") ** 3)

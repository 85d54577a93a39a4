"""Bolted timber joints: all failure modes of one shear plane of one bolt, and which governs.

Each function gives a `ShearPlane` with the characteristic resistance of every mode. Modes in
which the bolt bends gain from the rope effect, a quarter of the bolt's axial resistance, but by no
more than the share that its kind allows of the rest.
"""

import math
from dataclasses import dataclass

from slingwright.formulas.refusals import above_zero, not_negative
from slingwright.formulas.timber.fasteners import rope_effect_limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """One failure mode: its letter, what happens, resistance without and with rope effect, N."""

    letter: str
    words: str
    plain: float
    resistance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ShearPlane:
    """Resistance of one shear plane of one bolt, N, with all modes and the one that governs."""

    modes: tuple[Mode, ...]
    governing: str
    resistance: float

    def __float__(self) -> float:
        return self.resistance

    def mode(self, letter: str) -> Mode:
        """Give the mode with that letter."""
        for mode in self.modes:
            if mode.letter == letter:
                return mode
        known = ", ".join(mode.letter for mode in self.modes)
        raise ValueError(f"this joint has no mode {letter!r}; it has {known}")


def single_shear(
    thickness_1: float,
    thickness_2: float,
    embedment_1: float,
    embedment_2: float,
    diameter: float,
    yield_moment: float,
    axial_hold: float = 0.0,
    kind: str = "bolt",
) -> ShearPlane:
    """Two timbers lapped and bolted together: modes a to f.

    a: F = f_h1 t_1 d
    b: F = f_h2 t_2 d
    c: F = f_h1 t_1 d / (1 + q) [sqrt(q + 2 q^2 (1 + r + r^2) + q^3 r^2) - q (1 + r)],
        q = f_h2 / f_h1, r = t_2 / t_1
    d: F = 1.05 f_h1 t_1 d / (2 + q) [sqrt(2 q (1 + q) + 4 q (2 + q) M_y / (f_h1 d t_1^2)) - q],
        q = f_h2 / f_h1
    e: F = 1.05 f_h1 t_2 d / (1 + 2 q)
        [sqrt(2 q^2 (1 + q) + 4 q (1 + 2 q) M_y / (f_h1 d t_2^2)) - q], q = f_h2 / f_h1
    f: F = 1.15 sqrt(2 f_h2 / (f_h1 + f_h2)) sqrt(2 M_y f_h1 d)

    Modes c to f gain F_ax / 4.

    Args:
        thickness_1: thickness of the first timber t_1 [m].
        thickness_2: thickness of the second timber t_2 [m].
        embedment_1: embedment strength of the first timber f_h1 [Pa].
        embedment_2: embedment strength of the second timber f_h2 [Pa].
        diameter: diameter of the bolt d [m].
        yield_moment: yield moment of the bolt M_y [N m].
        axial_hold: axial resistance of the bolt F_ax, zero to leave the rope effect out [N].
        kind: "bolt" or "dowel" [-].

    Returns: ShearPlane [N].
    Raises: ValueError if a value is not above zero.
    Source: EN 1995-1-1:2004, eq (8.6) (from memory).

    >>> single_shear(0.075, 0.075, 34.768e6, 34.768e6, 0.020, 289.64).governing
    'c'
    """
    t1, t2, f1, d, my = thickness_1, thickness_2, embedment_1, diameter, yield_moment
    _positive(t1, t2, f1, embedment_2, d, my, axial_hold)
    b, r = embedment_2 / f1, t2 / t1
    whole = f1 * t1 * d
    tilt = math.sqrt(b + 2.0 * b**2 * (1.0 + r + r**2) + b**3 * r**2) - b * (1.0 + r)
    bent_1 = math.sqrt(2 * b * (1 + b) + 4 * b * (2 + b) * my / (f1 * d * t1**2)) - b
    bent_2 = math.sqrt(2 * b**2 * (1 + b) + 4 * b * (1 + 2 * b) * my / (f1 * d * t2**2)) - b
    return _plane(
        (
            ("a", "the first timber is crushed by the bolt", whole, False),
            ("b", "the second timber is crushed by the bolt", embedment_2 * t2 * d, False),
            ("c", "the bolt tilts and crushes both timbers", whole / (1 + b) * tilt, True),
            ("d", "the bolt bends in the second timber", 1.05 * whole / (2 + b) * bent_1, True),
            (
                "e",
                "the bolt bends in the first timber",
                1.05 * f1 * t2 * d / (1 + 2 * b) * bent_2,
                True,
            ),
            ("f", "the bolt bends in both timbers", _double_bend(b, my, f1, d), True),
        ),
        axial_hold,
        kind,
    )


def steel_single_shear(
    thickness: float,
    embedment: float,
    diameter: float,
    yield_moment: float,
    plate: float,
    axial_hold: float = 0.0,
    kind: str = "bolt",
) -> ShearPlane:
    """A steel plate bolted to one side of a timber: modes a, b (thin) and c, d, e (thick).

    a: F = 0.4 f_h t_1 d for t_s up to d / 2
    b: F = 1.15 sqrt(2 M_y f_h d) for t_s up to d / 2
    c: F = f_h t_1 d [sqrt(2 + 4 M_y / (f_h d t_1^2)) - 1] from t_s = d on
    d: F = 2.3 sqrt(M_y f_h d) from t_s = d on
    e: F = f_h t_1 d from t_s = d on

    Between thin and thick plates the resistance is taken on a straight line; b, c and d gain
    F_ax / 4.

    Args:
        thickness: thickness of the timber t_1 [m].
        embedment: embedment strength of the timber f_h [Pa].
        diameter: diameter of the bolt d [m].
        yield_moment: yield moment of the bolt M_y [N m].
        plate: thickness of the steel plate t_s [m].
        axial_hold: axial resistance of the bolt F_ax, zero to leave the rope effect out [N].
        kind: "bolt" or "dowel" [-].

    Returns: ShearPlane [N].
    Raises: ValueError if a value is not above zero.
    Source: EN 1995-1-1:2004, eqs (8.9) and (8.10) (from memory), 8.2.3(1) for plates between.

    >>> steel_single_shear(0.1, 25.26e6, 0.012, 76.745, 0.012).governing
    'd'
    """
    t, f, d, my = thickness, embedment, diameter, yield_moment
    _positive(t, t, f, f, d, my, axial_hold)
    above_zero(plate, "thickness of the steel plate", "m")
    thin = (
        ("a", "the timber is crushed and the bolt tilts", 0.4 * f * t * d, False),
        ("b", "the bolt bends in the timber", 1.15 * math.sqrt(2 * my * f * d), True),
    )
    thick = (
        (
            "c",
            "the bolt bends at the plate and crushes the timber",
            f * t * d * (math.sqrt(2 + 4 * my / (f * d * t**2)) - 1),
            True,
        ),
        ("d", "the bolt bends at the plate and in the timber", 2.3 * math.sqrt(my * f * d), True),
        ("e", "the timber is crushed by the bolt", f * t * d, False),
    )
    return _by_plate(thin, thick, plate / d, axial_hold, kind)


def steel_outer_plates(
    thickness: float,
    embedment: float,
    diameter: float,
    yield_moment: float,
    plate: float,
    axial_hold: float = 0.0,
    kind: str = "bolt",
) -> ShearPlane:
    """A timber between two steel plates: modes j, k (thin) and l, m (thick), for each plane.

    j: F = f_h t_2 d / 2 for t_s up to d / 2
    k: F = 1.15 sqrt(2 M_y f_h d) for t_s up to d / 2
    l: F = f_h t_2 d / 2 from t_s = d on
    m: F = 2.3 sqrt(M_y f_h d) from t_s = d on

    Between thin and thick plates the resistance is taken on a straight line; k and m gain F_ax / 4.

    Args:
        thickness: thickness of the timber t_2 [m].
        embedment: embedment strength of the timber f_h [Pa].
        diameter: diameter of the bolt d [m].
        yield_moment: yield moment of the bolt M_y [N m].
        plate: thickness of each steel plate t_s [m].
        axial_hold: axial resistance of the bolt F_ax, zero to leave the rope effect out [N].
        kind: "bolt" or "dowel" [-].

    Returns: ShearPlane [N].
    Raises: ValueError if a value is not above zero.
    Source: EN 1995-1-1:2004, eqs (8.12) and (8.13); modes l and m as in Porteous and Kermani
        (eurocode.us), modes j and k from memory.

    >>> steel_outer_plates(0.1, 25.26e6, 0.012, 76.745, 0.012).governing
    'm'
    """
    t, f, d, my = thickness, embedment, diameter, yield_moment
    _positive(t, t, f, f, d, my, axial_hold)
    above_zero(plate, "thickness of the steel plates", "m")
    crushed = 0.5 * f * t * d
    thin = (
        ("j", "the timber is crushed by the bolt", crushed, False),
        ("k", "the bolt bends in the timber", 1.15 * math.sqrt(2 * my * f * d), True),
    )
    thick = (
        ("l", "the timber is crushed by the bolt", crushed, False),
        ("m", "the bolt bends at the plates and in the timber", 2.3 * math.sqrt(my * f * d), True),
    )
    return _by_plate(thin, thick, plate / d, axial_hold, kind)


Parts = tuple[tuple[str, str, float, bool], ...]


def _plane(parts: Parts, axial_hold: float, kind: str) -> ShearPlane:
    """Add the rope effect where a mode has it, and find the mode that governs."""
    limit = rope_effect_limit(kind)
    modes = tuple(
        Mode(
            letter=letter,
            words=words,
            plain=plain,
            resistance=plain + (min(axial_hold / 4.0, limit * plain) if roped else 0.0),
        )
        for letter, words, plain, roped in parts
    )
    least = min(modes, key=lambda mode: mode.resistance)
    return ShearPlane(modes=modes, governing=least.letter, resistance=least.resistance)


def _by_plate(thin: Parts, thick: Parts, ratio: float, axial_hold: float, kind: str) -> ShearPlane:
    """Give the plane for a plate whose thickness is `ratio` times the bolt's diameter."""
    if ratio <= 0.5:
        return _plane(thin, axial_hold, kind)
    if ratio >= 1.0:
        return _plane(thick, axial_hold, kind)
    low = _plane(thin, axial_hold, kind)
    high = _plane(thick, axial_hold, kind)
    share = (ratio - 0.5) / 0.5
    return ShearPlane(
        modes=low.modes + high.modes,
        governing=f"between {low.governing} and {high.governing}",
        resistance=low.resistance + share * (high.resistance - low.resistance),
    )


def _double_bend(ratio: float, yield_moment: float, embedment_1: float, diameter: float) -> float:
    """Give 1.15 sqrt(2 b/(1 + b)) sqrt(2 M_y f_h1 d)."""
    bent = math.sqrt(2.0 * yield_moment * embedment_1 * diameter)
    return 1.15 * math.sqrt(2.0 * ratio / (1.0 + ratio)) * bent


def _positive(
    thickness_1: float,
    thickness_2: float,
    embedment_1: float,
    embedment_2: float,
    diameter: float,
    yield_moment: float,
    axial_hold: float,
) -> None:
    """Refuse sizes and strengths that are not above zero."""
    above_zero(thickness_1, "thickness of the first timber", "m")
    above_zero(thickness_2, "thickness of the second timber", "m")
    above_zero(embedment_1, "embedment strength of the first timber", "Pa")
    above_zero(embedment_2, "embedment strength of the second timber", "Pa")
    above_zero(diameter, "diameter of the bolt", "m")
    above_zero(yield_moment, "yield moment of the bolt", "N m")
    not_negative(axial_hold, "axial resistance of the bolt", "N")

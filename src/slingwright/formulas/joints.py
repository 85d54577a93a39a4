"""What a bolted timber joint carries across its bolts: every way to fail, and the least of them.

EN 1995-1-1, 8.2: the timber crushes, or the bolt bends in one or two places (Johansen's modes).
Modes bear the standard's letters. A mode in which the bolt bends may add a quarter of the pull
along the bolt, the rope effect, up to a quarter of the mode's own value for bolts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from slingwright.formulas.refusals import above_zero, between, not_negative

ROPE_SHARE = 0.25
"""Most that the rope effect may add for bolts, as a share: EN 1995-1-1:2004, 8.2.2 (2)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mode:
    """One way to fail: the standard's letter, words, and the force a bolt and shear plane, N."""

    letter: str
    words: str
    johansen: float
    rope: float

    @property
    def capacity(self) -> float:
        """Characteristic force, rope effect included, N."""
        return self.johansen + self.rope


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """All ways in which one bolt and shear plane can fail."""

    kind: str
    source: str
    modes: tuple[Mode, ...]

    @property
    def governing(self) -> Mode:
        """The mode with the least force."""
        return min(self.modes, key=lambda mode: mode.capacity)

    @property
    def capacity(self) -> float:
        """Characteristic force a bolt and shear plane, N."""
        return self.governing.capacity


def _mode(letter: str, words: str, johansen: float, axial: float | None) -> Mode:
    """Make a mode; `axial` is the bolt's pull where the rope effect counts."""
    rope = 0.0 if axial is None else min(axial / 4.0, ROPE_SHARE * johansen)
    return Mode(letter=letter, words=words, johansen=johansen, rope=rope)


def _check(
    first: float, second: float, strengths: tuple[float, ...], bolt: tuple[float, float, float]
) -> None:
    """Refuse sizes and strengths that are not above zero."""
    above_zero(first, "thickness of the side member", "m")
    above_zero(second, "thickness of the other member", "m")
    for strength in strengths:
        above_zero(strength, "embedment strength", "Pa")
    diameter, moment, axial = bolt
    above_zero(diameter, "bolt diameter", "m")
    above_zero(moment, "yield moment of the bolt", "N m")
    not_negative(axial, "pull along the bolt", "N")


def _one_hinge(thickness: float, side: float, beta: float, diameter: float, moment: float) -> float:
    """One plastic hinge, the bolt tilting in the member of `thickness`; eqs (8.6 d), (8.7 j).

    beta is the other member's embedment strength over this one's.
    """
    force = side * thickness * diameter
    root = math.sqrt(
        2.0 * beta * (1.0 + beta)
        + 4.0 * beta * (2.0 + beta) * moment / (side * diameter * thickness**2)
    )
    return 1.05 * force / (2.0 + beta) * (root - beta)


def _two_hinges(side: float, beta: float, diameter: float, moment: float) -> float:
    """Two plastic hinges, one in each member; eqs (8.6 f), (8.7 k)."""
    ratio = math.sqrt(2.0 * beta / (1.0 + beta))
    return 1.15 * ratio * math.sqrt(2.0 * moment * side * diameter)


def timber_single_shear(
    thickness: float,
    other_thickness: float,
    embedment: float,
    other_embedment: float,
    diameter: float,
    yield_moment: float,
    axial: float = 0.0,
) -> Joint:
    """Two timbers and a bolt through both: modes a to f.

    a: f_1 t_1 d;  b: f_2 t_2 d;  c: both tilt;  d, e: one hinge;  f: two hinges

    Args:
        thickness: thickness of the first timber t_1 [m].
        other_thickness: thickness of the second t_2 [m].
        embedment: embedment strength of the first f_1 [Pa].
        other_embedment: embedment strength of the second f_2 [Pa].
        diameter: diameter of the bolt d [m].
        yield_moment: yield moment of the bolt [N m].
        axial: characteristic pull along the bolt, 0 for no rope effect [N].

    Returns:
        All modes, a bolt and shear plane [N].

    Raises:
        ValueError: if a size or strength is not above zero.

    Source: EN 1995-1-1:2004, eq (8.6) (from memory).

    >>> joint = timber_single_shear(0.075, 0.15, 34.768e6, 34.768e6, 0.020, 289.64)
    >>> joint.governing.letter, round(joint.capacity)
    ('d', 22105)
    """
    _check(
        thickness,
        other_thickness,
        (embedment, other_embedment),
        (diameter, yield_moment, axial),
    )
    beta = other_embedment / embedment
    ratio = other_thickness / thickness
    first = embedment * thickness * diameter
    tilt = (
        first
        / (1.0 + beta)
        * (
            math.sqrt(beta + 2.0 * beta**2 * (1.0 + ratio + ratio**2) + beta**3 * ratio**2)
            - beta * (1.0 + ratio)
        )
    )
    return Joint(
        kind="two timbers, single shear",
        source="EN 1995-1-1:2004, eq (8.6)",
        modes=(
            _mode("a", "first timber crushes", first, None),
            _mode("b", "second timber crushes", other_embedment * other_thickness * diameter, None),
            _mode("c", "bolt tilts in both timbers", tilt, axial),
            _mode(
                "d",
                "bolt tilts in the first timber and bends in the second",
                _one_hinge(thickness, embedment, beta, diameter, yield_moment),
                axial,
            ),
            _mode(
                "e",
                "bolt tilts in the second timber and bends in the first",
                _one_hinge(other_thickness, other_embedment, 1.0 / beta, diameter, yield_moment),
                axial,
            ),
            _mode(
                "f",
                "bolt bends in both timbers",
                _two_hinges(embedment, beta, diameter, yield_moment),
                axial,
            ),
        ),
    )


def timber_double_shear(
    side_thickness: float,
    middle_thickness: float,
    side_embedment: float,
    middle_embedment: float,
    diameter: float,
    yield_moment: float,
    axial: float = 0.0,
) -> Joint:
    """A timber between two others and a bolt through all three: modes g, h, j, k.

    g: f_1 t_1 d;  h: 0.5 f_2 t_2 d;  j: one hinge a plane;  k: two hinges a plane

    Args:
        side_thickness: thickness of each side timber t_1 [m].
        middle_thickness: thickness of the middle one t_2 [m].
        side_embedment: embedment strength of the sides f_1 [Pa].
        middle_embedment: embedment strength of the middle f_2 [Pa].
        diameter: diameter of the bolt d [m].
        yield_moment: yield moment of the bolt [N m].
        axial: characteristic pull along the bolt, 0 for no rope effect [N].

    Returns:
        All modes, a bolt and shear plane; there are two planes [N].

    Raises:
        ValueError: if a size or strength is not above zero.

    Source: EN 1995-1-1:2004, eq (8.7); modes j and k from memory.

    >>> joint = timber_double_shear(0.075, 0.15, 34.768e6, 34.768e6, 0.020, 289.64)
    >>> [(mode.letter, round(mode.capacity)) for mode in joint.modes]
    [('g', 52152), ('h', 52152), ('j', 22105), ('k', 23081)]
    """
    _check(
        side_thickness,
        middle_thickness,
        (side_embedment, middle_embedment),
        (diameter, yield_moment, axial),
    )
    beta = middle_embedment / side_embedment
    return Joint(
        kind="three timbers, double shear",
        source="EN 1995-1-1:2004, eq (8.7)",
        modes=(
            _mode("g", "side timber crushes", side_embedment * side_thickness * diameter, None),
            _mode(
                "h",
                "middle timber crushes",
                0.5 * middle_embedment * middle_thickness * diameter,
                None,
            ),
            _mode(
                "j",
                "bolt tilts in the sides and bends in the middle",
                _one_hinge(side_thickness, side_embedment, beta, diameter, yield_moment),
                axial,
            ),
            _mode(
                "k",
                "bolt bends in sides and middle",
                _two_hinges(side_embedment, beta, diameter, yield_moment),
                axial,
            ),
        ),
    )


def plate_thickness_share(plate: float, diameter: float) -> float:
    """How far a steel plate counts as thick: 0 thin, 1 thick, a straight line between.

    s = (t - 0.5 d) / (0.5 d), kept between 0 and 1

    A plate counts as thick only where its holes are less than 0.1 d wider than the bolt.

    Args:
        plate: thickness of the plate t [m].
        diameter: diameter of the bolt d [m].

    Returns:
        Share [-].

    Raises:
        ValueError: if a value is not above zero.

    Source: EN 1995-1-1:2004, 8.2.3 (1).

    >>> plate_thickness_share(0.010, 0.020), plate_thickness_share(0.015, 0.020)
    (0.0, 0.5)
    """
    above_zero(plate, "plate thickness", "m")
    half = 0.5 * above_zero(diameter, "bolt diameter", "m")
    return min(1.0, max(0.0, (plate - half) / half))


def _between(thin: Joint, thick: Joint, share: float) -> Joint:
    """Give the joint of a plate neither thin nor thick: the straight line between the two."""
    between(share, 0.0, 1.0, "share of a thick plate")
    if share == 0.0:
        return thin
    if share == 1.0:
        return thick
    least, most = thin.governing, thick.governing
    mixed = Mode(
        letter=f"{least.letter}-{most.letter}",
        words=f"between '{least.words}' (thin plate) and '{most.words}' (thick plate)",
        johansen=least.johansen + share * (most.johansen - least.johansen),
        rope=least.rope + share * (most.rope - least.rope),
    )
    return Joint(kind=thin.kind, source=thin.source, modes=(mixed,))


def steel_single_shear(
    thickness: float,
    embedment: float,
    diameter: float,
    yield_moment: float,
    plate: float,
    axial: float = 0.0,
) -> Joint:
    """A steel plate on one timber: thin plate modes a and b, thick plate modes c, d and e.

    a: 0.4 f t d;  b: 1.15 sqrt(2 M f d);  c: f t d (sqrt(2 + 4 M / (f d t^2)) - 1)
    d: 2.3 sqrt(M f d);  e: f t d

    Args:
        thickness: thickness of the timber t [m].
        embedment: embedment strength of the timber f [Pa].
        diameter: diameter of the bolt d [m].
        yield_moment: yield moment of the bolt M [N m].
        plate: thickness of the plate [m].
        axial: characteristic pull along the bolt, 0 for no rope effect [N].

    Returns:
        All modes, a bolt; between thin and thick one mode, on the straight line [N].

    Raises:
        ValueError: if a size or strength is not above zero.

    Source: EN 1995-1-1:2004, eqs (8.9) and (8.10) (from memory).

    >>> steel_single_shear(0.10, 25e6, 0.012, 76.745, 0.012).governing.letter
    'd'
    """
    _check(thickness, plate, (embedment,), (diameter, yield_moment, axial))
    bearing = embedment * thickness * diameter
    hinge = math.sqrt(yield_moment * embedment * diameter)
    lever = 4.0 * yield_moment / (embedment * diameter * thickness**2)
    kind = "steel plate on timber, single shear"
    source = "EN 1995-1-1:2004, eqs (8.9) and (8.10)"
    thin = Joint(
        kind=kind,
        source=source,
        modes=(
            _mode("a", "bolt tilts in the timber", 0.4 * bearing, None),
            _mode("b", "bolt bends in the timber", 1.15 * math.sqrt(2.0) * hinge, axial),
        ),
    )
    thick = Joint(
        kind=kind,
        source=source,
        modes=(
            _mode(
                "c",
                "bolt held by the plate bends at it",
                bearing * (math.sqrt(2.0 + lever) - 1.0),
                axial,
            ),
            _mode("d", "bolt bends at the plate and in the timber", 2.3 * hinge, axial),
            _mode("e", "timber crushes", bearing, None),
        ),
    )
    return _between(thin, thick, plate_thickness_share(plate, diameter))


def steel_inside(
    thickness: float,
    embedment: float,
    diameter: float,
    yield_moment: float,
    axial: float = 0.0,
) -> Joint:
    """A steel plate of any thickness between two timbers: modes f, g, h.

    f: f t d;  g: f t d (sqrt(2 + 4 M / (f d t^2)) - 1);  h: 2.3 sqrt(M f d)

    Args:
        thickness: thickness of each side timber t [m].
        embedment: embedment strength of the timbers f [Pa].
        diameter: diameter of the bolt d [m].
        yield_moment: yield moment of the bolt M [N m].
        axial: characteristic pull along the bolt, 0 for no rope effect [N].

    Returns:
        All modes, a bolt and shear plane; there are two planes [N].

    Raises:
        ValueError: if a size or strength is not above zero.

    Source: EN 1995-1-1:2004, eq (8.11) (from memory).

    >>> [mode.letter for mode in steel_inside(0.1, 25e6, 0.012, 76.745).modes]
    ['f', 'g', 'h']
    """
    _check(thickness, thickness, (embedment,), (diameter, yield_moment, axial))
    bearing = embedment * thickness * diameter
    lever = 4.0 * yield_moment / (embedment * diameter * thickness**2)
    return Joint(
        kind="steel plate between timbers, double shear",
        source="EN 1995-1-1:2004, eq (8.11)",
        modes=(
            _mode("f", "side timber crushes", bearing, None),
            _mode(
                "g",
                "bolt bends at the plate",
                bearing * (math.sqrt(2.0 + lever) - 1.0),
                axial,
            ),
            _mode(
                "h",
                "bolt bends at the plate and in the timbers",
                2.3 * math.sqrt(yield_moment * embedment * diameter),
                axial,
            ),
        ),
    )


def steel_outside(
    thickness: float,
    embedment: float,
    diameter: float,
    yield_moment: float,
    plate: float,
    axial: float = 0.0,
) -> Joint:
    """A timber between two steel plates: thin plate modes j and k, thick plate modes l and m.

    j, l: 0.5 f t d;  k: 1.15 sqrt(2 M f d);  m: 2.3 sqrt(M f d)

    Args:
        thickness: thickness of the middle timber t [m].
        embedment: embedment strength of the timber f [Pa].
        diameter: diameter of the bolt d [m].
        yield_moment: yield moment of the bolt M [N m].
        plate: thickness of each plate [m].
        axial: characteristic pull along the bolt, 0 for no rope effect [N].

    Returns:
        All modes, a bolt and shear plane; there are two planes [N].

    Raises:
        ValueError: if a size or strength is not above zero.

    Source: EN 1995-1-1:2004, eqs (8.12) and (8.13); the thin plate's from memory.

    >>> joint = steel_outside(0.10, 25.26e6, 0.012, 76.745, 0.012)
    >>> joint.governing.letter, round(joint.capacity)
    ('m', 11093)
    """
    _check(thickness, plate, (embedment,), (diameter, yield_moment, axial))
    half = 0.5 * embedment * thickness * diameter
    hinge = math.sqrt(yield_moment * embedment * diameter)
    kind = "timber between steel plates, double shear"
    source = "EN 1995-1-1:2004, eqs (8.12) and (8.13)"
    thin = Joint(
        kind=kind,
        source=source,
        modes=(
            _mode("j", "middle timber crushes", half, None),
            _mode("k", "bolt bends in the timber", 1.15 * math.sqrt(2.0) * hinge, axial),
        ),
    )
    thick = Joint(
        kind=kind,
        source=source,
        modes=(
            _mode("l", "middle timber crushes", half, None),
            _mode("m", "bolt bends at the plates and in the timber", 2.3 * hinge, axial),
        ),
    )
    return _between(thin, thick, plate_thickness_share(plate, diameter))


def joint_capacity(
    a_plane: float,
    bolts: float,
    planes: int,
    modification: float,
    partial: float = 1.3,
) -> float:
    """Design force of a whole bolted joint.

    F_Rd = k_mod n_ef n_planes F_v,Rk / gamma_M

    Args:
        a_plane: characteristic force a bolt and shear plane F_v,Rk [N].
        bolts: bolts that count in full n_ef, all rows together [-].
        planes: shear planes a bolt [-].
        modification: factor k_mod [-].
        partial: partial factor of connections gamma_M [-].

    Returns:
        Force [N].

    Raises:
        ValueError: if a value is not above zero.

    Source: EN 1995-1-1:2004, eqs (2.17) and (8.1).

    >>> joint_capacity(13e3, 2.0, 2, 1.0)
    40000.0
    """
    above_zero(a_plane, "force a bolt and shear plane", "N")
    above_zero(bolts, "number of bolts")
    above_zero(planes, "number of shear planes")
    above_zero(modification, "k_mod")
    return modification * bolts * planes * a_plane / above_zero(partial, "gamma_M")

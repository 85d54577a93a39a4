"""Cross-sections: area, second moment, elastic and plastic modulus, also with a hole taken out.

`depth` is measured in the plane of bending, `width` across it: for the arm, depth is in the plane
it swings in and width runs along the axle. Sideways values are for bending in the other plane.
"""

import math
from dataclasses import dataclass

from slingwright.formulas.refusals import above_zero, between, not_negative


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """What strength needs to know of a cross-section, in m, m2, m3 and m4.

    The peak shear stress is `shear_factor` times shear force over `area`.
    """

    shape: str
    width: float
    depth: float
    area: float
    inertia: float
    elastic_modulus: float
    plastic_modulus: float
    inertia_sideways: float
    elastic_modulus_sideways: float
    shear_factor: float

    @property
    def gyration(self) -> float:
        """Radius of gyration in the plane of bending, m."""
        return math.sqrt(self.inertia / self.area)

    @property
    def gyration_sideways(self) -> float:
        """Radius of gyration across the plane of bending, m."""
        return math.sqrt(self.inertia_sideways / self.area)


def round_section(diameter: float) -> Section:
    """Solid round section.

    A = pi d^2 / 4;  I = pi d^4 / 64;  W = pi d^3 / 32;  W_pl = d^3 / 6;  k = 4 / 3

    Args:
        diameter: diameter d [m].

    Returns: Section [m, m2, m3, m4].
    Raises: ValueError if the diameter is not above zero.
    Source: closed form (Roark's Formulas for Stress and Strain, Table A.1).

    >>> round(round_section(0.080).elastic_modulus * 1e9)
    50265
    """
    above_zero(diameter, "diameter", "m")
    inertia = math.pi * diameter**4 / 64.0
    modulus = math.pi * diameter**3 / 32.0
    return Section(
        shape="round", width=diameter, depth=diameter, area=math.pi * diameter**2 / 4.0,
        inertia=inertia, elastic_modulus=modulus, plastic_modulus=diameter**3 / 6.0,
        inertia_sideways=inertia, elastic_modulus_sideways=modulus, shear_factor=4.0 / 3.0,
    )  # fmt: skip


def rectangle(width: float, depth: float) -> Section:
    """Solid rectangular section.

    A = b h;  I = b h^3 / 12;  W = b h^2 / 6;  W_pl = b h^2 / 4;  k = 3 / 2
    I_z = h b^3 / 12;  W_z = h b^2 / 6

    Args:
        width: width b [m].
        depth: depth h in the plane of bending [m].

    Returns: Section [m, m2, m3, m4].
    Raises: ValueError if a side is not above zero.
    Source: closed form (Roark's Formulas for Stress and Strain, Table A.1).

    >>> rectangle(0.2, 0.3).inertia
    0.00045
    """
    above_zero(width, "width", "m")
    above_zero(depth, "depth", "m")
    return Section(
        shape="rectangle", width=width, depth=depth, area=width * depth,
        inertia=width * depth**3 / 12.0, elastic_modulus=width * depth**2 / 6.0,
        plastic_modulus=width * depth**2 / 4.0, inertia_sideways=depth * width**3 / 12.0,
        elastic_modulus_sideways=depth * width**2 / 6.0, shear_factor=1.5,
    )  # fmt: skip


def rectangle_with_cross_hole(
    width: float, depth: float, hole: float, offset: float = 0.0
) -> Section:
    """Rectangle with a hole right across its width, such as the arm where the axle goes through.

    The strip of height d is taken out; bending is about the centre of what is left.
    A = b (h - d);  k = 3 / 2;  I_z = (h - d) b^3 / 12;  W_z = (h - d) b^2 / 6
    for a hole at mid-depth:  I = b (h^3 - d^3) / 12;  W = 2 I / h;  W_pl = b (h^2 - d^2) / 4

    Args:
        width: width b [m].
        depth: depth h [m].
        hole: diameter of the hole d [m].
        offset: centre of the hole above mid-depth [m].

    Returns: Section; the shear factor 1.5 goes with the net area, on the safe side [m, m2, m3, m4].
    Raises: ValueError if the hole reaches the edge or beyond.
    Source: closed form by the parallel-axis theorem.

    >>> round(rectangle_with_cross_hole(0.2, 0.3, 0.08).elastic_modulus * 1e6)
    2943
    """
    above_zero(width, "width", "m")
    above_zero(depth, "depth", "m")
    not_negative(hole, "hole", "m")
    under = depth / 2.0 + offset - hole / 2.0
    over = depth / 2.0 - offset - hole / 2.0
    if not (under > 0.0 and over > 0.0):
        raise ValueError(
            f"a hole of {hole:g} m, {offset:g} m off mid-depth, does not fit in a depth of "
            f"{depth:g} m; make the section deeper or the hole smaller"
        )
    area = width * (under + over)
    low_centre, high_centre = under / 2.0, depth - over / 2.0
    centre = (under * low_centre + over * high_centre) / (under + over)
    inertia = width * (
        under**3 / 12.0
        + under * (centre - low_centre) ** 2
        + over**3 / 12.0
        + over * (high_centre - centre) ** 2
    )
    half = (under + over) / 2.0
    # Plastic: equal areas above and below, so the first moments about the dividing line add.
    low, high = min(under, over), max(under, over)
    spare = high - half
    plastic = width * (
        low * (low / 2.0 + hole + spare) + spare**2 / 2.0 + (high - spare) ** 2 / 2.0
    )
    return Section(
        shape="rectangle with a hole across", width=width, depth=depth, area=area, inertia=inertia,
        elastic_modulus=inertia / max(centre, depth - centre), plastic_modulus=plastic,
        inertia_sideways=(under + over) * width**3 / 12.0,
        elastic_modulus_sideways=(under + over) * width**2 / 6.0, shear_factor=1.5,
    )  # fmt: skip


def round_with_cross_hole(diameter: float, hole: float) -> Section:
    """Round section with a strip taken out at mid-depth by a hole across it.

    With R = D / 2 and s = arcsin(d / D) the strip has
    A = R^2 (2 s + sin 2 s);  I = R^4 (4 s - sin 4 s) / 8;  W_pl = 4 (R^3 - (R^2 - d^2/4)^1.5) / 3

    Args:
        diameter: diameter D [m].
        hole: diameter of the hole d [m].

    Returns: Section; the shear factor 1.5 goes with the net area, on the safe side [m, m2, m3, m4].
    Raises: ValueError if the hole is as wide as the section or wider.
    Source: closed form by integration.

    >>> round(round_with_cross_hole(0.3, 0.06).area, 6)
    0.052807
    """
    whole = round_section(diameter)
    not_negative(hole, "hole", "m")
    if hole >= diameter:
        raise ValueError(
            f"a hole of {hole:g} m leaves nothing of a diameter of {diameter:g} m; "
            "make the section thicker or the hole smaller"
        )
    radius = diameter / 2.0
    turn = math.asin(hole / diameter)
    inertia = whole.inertia - radius**4 * (4.0 * turn - math.sin(4.0 * turn)) / 8.0
    sideways = whole.inertia - radius**4 * (
        turn / 2.0 + math.sin(2.0 * turn) / 3.0 + math.sin(4.0 * turn) / 24.0
    )
    taken = 4.0 / 3.0 * (radius**3 - (radius**2 - hole**2 / 4.0) ** 1.5)
    return Section(
        shape="round with a hole across", width=diameter, depth=diameter,
        area=whole.area - radius**2 * (2.0 * turn + math.sin(2.0 * turn)), inertia=inertia,
        elastic_modulus=inertia / radius, plastic_modulus=whole.plastic_modulus - taken,
        inertia_sideways=sideways, elastic_modulus_sideways=sideways / radius, shear_factor=1.5,
    )  # fmt: skip


def laminated(width: float, layer: float, layers: int, bond: float = 1.0) -> Section:
    """Rectangle built of equal flat layers: glued (bond 1), loose (bond 0) or between.

    I = n b t^3 / 12 + gamma (b (n t)^3 - n b t^3) / 12
    W = I / (t / 2 + gamma (n - 1) t / 2)
    A = b n t;  h = n t;  I_z = h b^3 / 12;  W_z = h b^2 / 6;  k = 3 / 2

    Args:
        width: width b [m].
        layer: thickness of one layer t [m].
        layers: number of layers n [-].
        bond: share of full working together gamma: 1 for glue, 0 for layers that slip freely,
            by `bond_of_fasteners` for bolts or pegs [-].

    Returns: Section; the plastic modulus is the elastic one, as timber does not yield [m, m2, m3,
        m4].
    Raises: ValueError if a size is not above zero, there is no layer, or the bond is outside 0 to
        1.
    Source: EN 1995-1-1:2004 Annex B, eqs (B.1), (B.7), (B.8), with one gamma for all layers (from
        memory); the ends of the range are closed forms.

    >>> round(laminated(0.2, 0.05, 6).inertia, 9)
    0.00045
    >>> round(laminated(0.2, 0.05, 6, bond=0.0).inertia * 1e6, 3)
    12.5
    """
    above_zero(width, "width", "m")
    above_zero(layer, "layer thickness", "m")
    if layers < 1:
        raise ValueError(f"number of layers is {layers}; it must be 1 or more. Count them.")
    between(bond, 0.0, 1.0, "bond of the layers")
    depth = layers * layer
    loose = layers * width * layer**3 / 12.0
    inertia = loose + bond * (width * depth**3 / 12.0 - loose)
    modulus = inertia / (layer / 2.0 + bond * (depth - layer) / 2.0)
    return Section(
        shape="laminated", width=width, depth=depth, area=width * depth, inertia=inertia,
        elastic_modulus=modulus, plastic_modulus=modulus, inertia_sideways=depth * width**3 / 12.0,
        elastic_modulus_sideways=depth * width**2 / 6.0, shear_factor=1.5,
    )  # fmt: skip


def laminated_shares(layers: int, bond: float) -> tuple[float, float]:
    """How much of a solid rectangle's stiffness and strength equal flat layers keep.

    i = 1 / n^2 + gamma (1 - 1 / n^2)
    w = i / (1 / n + gamma (1 - 1 / n))

    The shares hold for any depth, so a tapered arm of layers is the solid one times these.

    Args:
        layers: number of layers n [-].
        bond: share of full working together gamma, 1 glued to 0 loose [-].

    Returns: Shares of second moment and of section modulus [-].
    Raises: ValueError if there is no layer, or the bond is outside 0 to 1.
    Source: `laminated` over the solid rectangle; EN 1995-1-1:2004 Annex B (from memory).

    >>> laminated_shares(4, 0.0), laminated_shares(4, 1.0)
    ((0.0625, 0.25), (1.0, 1.0))
    """
    if layers < 1:
        raise ValueError(f"number of layers is {layers}; it must be 1 or more. Count them.")
    between(bond, 0.0, 1.0, "bond of the layers")
    inertia = 1.0 / layers**2 + bond * (1.0 - 1.0 / layers**2)
    return inertia, inertia / (1.0 / layers + bond * (1.0 - 1.0 / layers))


def tapered(position: float, length: float, start: float, end: float) -> float:
    """Size of a straight taper at a place along it.

    s(x) = s_0 + (s_1 - s_0) x / l

    Args:
        position: distance from the start x [m].
        length: length of the taper l [m].
        start: size at the start s_0 [m].
        end: size at the end s_1 [m].

    Returns: Size [m].
    Raises: ValueError if the length is not above zero, or the place is off the taper.
    Source: closed form.

    >>> tapered(2.0, 4.0, 0.3, 0.1)
    0.2
    """
    above_zero(length, "length of the taper", "m")
    between(position, 0.0, length, "place along the taper", "m")
    return start + (end - start) * position / length

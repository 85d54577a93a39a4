"""Materials by name: timber classes, steel, bolts, bushings and friction.

Every record is in SI and says where its numbers come from. Strengths are for design.
"""

from dataclasses import dataclass

from slingwright.tables.reading import MaterialTableError, record, row_of, rows_of

STEEL_MODULUS = 210e9
"""Young's modulus of steel, Pa: EN 1993-1-1:2005, 3.2.6."""
STEEL_DENSITY = 7850.0
"""Density of steel, kg/m3: EN 1991-1-1:2002 Table A.4, 77 to 78.5 kN/m3 (from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TimberClass:
    """Strength class of structural timber: characteristic values, Pa and kg/m3."""

    name: str
    kind: str
    bending_strength: float
    tension_parallel: float
    tension_perpendicular: float
    compression_parallel: float
    compression_perpendicular: float
    shear_strength: float
    modulus_mean: float
    modulus_5: float
    modulus_perpendicular: float
    shear_modulus_mean: float
    density_characteristic: float
    density_mean: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelGrade:
    """Structural steel of one thickness: least values, Pa and kg/m3."""

    name: str
    thickness: float
    yield_strength: float
    ultimate_strength: float
    ultimate_strength_high: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltGrade:
    """Property class of bolts: nominal yield and tensile strength, Pa."""

    name: str
    yield_strength: float
    ultimate_strength: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltSize:
    """Metric coarse thread: diameter and pitch, m; stress area, m2."""

    name: str
    diameter: float
    pitch: float
    stress_area: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Friction:
    """Coefficient of friction of a pair, with the range its source gives."""

    name: str
    kind: str
    value: float
    low: float
    high: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Bushing:
    """What a plain bearing stands: pressure on its projected area, Pa; speed, m/s; both, W/m2.

    A design limit for slow or rocking shafts; a bushing that must last needs its maker's figures.
    """

    name: str
    pressure: float
    speed: float
    pressure_speed: float
    source: str


def timber(name: str) -> TimberClass:
    """Give a timber strength class, such as "C24" or "D30".

    Raises:
        UnknownMaterial: no row bears the name.
        MaterialTableError: the row lacks a value.

    >>> timber("D30").bending_strength
    30000000.0
    """
    row = row_of("timber", name)
    found = record(TimberClass, row)
    if found.kind not in ("softwood", "hardwood"):
        raise MaterialTableError(
            f"{row.file}: row {row.name!r} has kind {found.kind!r}; write softwood or hardwood"
        )
    return found


def steel(grade: str, thickness: float) -> SteelGrade:
    """Give a steel grade at a thickness; for a round bar the thickness is its diameter.

    The product standard's steps are finer than those of EN 1993-1-1 Table 3.1: an 80 mm bar of
    S355 yields at 325 MPa by the one and at 335 MPa by the other. The lower is used here.

    Args:
        grade: name of the grade.
        thickness: nominal thickness or bar diameter, m.

    Raises:
        UnknownMaterial: no row bears the name.
        ValueError: a thickness of zero or less, or beyond the table.

    >>> steel("S355", 0.080).yield_strength
    325000000.0
    """
    rows = rows_of("steel", grade)
    if not thickness > 0.0:
        raise ValueError(f"steel {grade}: thickness is {thickness:g} m; it must be above zero")
    limit = 0.0
    for row in rows:
        # A micrometre of slack, so that 0.08 m reached by arithmetic still counts as 80 mm.
        over = row.number("over_thickness")
        low = over + 1e-6 if over > 0.0 else 0.0
        if low < thickness <= row.number("up_to_thickness") + 1e-6:
            break
        limit = max(limit, row.number("up_to_thickness"))
    else:
        if thickness < limit:
            raise ValueError(
                f"steel {grade}: {rows[0].file} has no step for {thickness * 1e3:g} mm; add a row"
            )
        raise ValueError(
            f"steel {grade}: thickness is {thickness * 1e3:g} mm, but {rows[0].file} reaches "
            f"{limit * 1e3:g} mm; use less thickness or add a row"
        )
    return record(SteelGrade, row, thickness=thickness)


def bolt_grade(name: str) -> BoltGrade:
    """Give a property class of bolts, such as "8.8".

    >>> bolt_grade("8.8").ultimate_strength
    800000000.0
    """
    return record(BoltGrade, row_of("bolt_grades", name))


def bolt_size(name: str) -> BoltSize:
    """Give a metric coarse thread, such as "M20".

    >>> round(bolt_size("M20").stress_area * 1e6)
    245
    """
    return record(BoltSize, row_of("bolt_sizes", name))


def friction(name: str) -> Friction:
    """Give the coefficient of friction of a pair, such as "rope on wood".

    >>> friction("steel axle in greased oak").high
    0.12
    """
    row = row_of("friction", name)
    ends = {end: row.numbers.get(end) for end in ("low", "high")}
    value = row.number("value")
    return record(
        Friction, row, **{end: value if one is None else one for end, one in ends.items()}
    )


def bushing(name: str) -> Bushing:
    """Give what a bushing material stands, such as "cast bronze".

    >>> bushing("cast bronze").pressure / 1e6
    27.6
    """
    return record(Bushing, row_of("bushings", name))

"""Materials by name: timber classes, clear wood, steel, bolts, densities and friction.

Every record is in SI and says where its numbers come from; `sourced` is False where a row of the
user's own gives no source. Classes are for design; clear-wood values are test means of small
faultless pieces and must not be used as design values.
"""

from dataclasses import dataclass
from pathlib import Path

from slingwright.tables.reading import (
    MaterialTableError,
    Row,
    UnknownMaterial,
    row_of,
    rows_of,
    table,
)

__all__ = [
    "BoltGrade",
    "BoltSize",
    "Bushing",
    "ClearWood",
    "Density",
    "Friction",
    "MaterialTableError",
    "SteelGrade",
    "TimberClass",
    "UnknownMaterial",
    "bolt_grade",
    "bolt_grade_names",
    "bolt_size",
    "bolt_size_names",
    "bushing",
    "bushing_names",
    "clear_wood",
    "clear_wood_names",
    "fill",
    "fill_names",
    "friction",
    "friction_names",
    "projectile",
    "projectile_names",
    "steel",
    "steel_names",
    "timber",
    "timber_names",
]

Folder = str | Path | None

STEEL_MODULUS = 210e9
"""Young's modulus of steel, Pa: EN 1993-1-1:2005, 3.2.6."""
STEEL_SHEAR_MODULUS = 81e9
"""Shear modulus of steel, Pa: EN 1993-1-1:2005, 3.2.6."""
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
    sourced: bool

    @property
    def hardwood(self) -> bool:
        """Whether the class is a hardwood's."""
        return self.kind == "hardwood"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClearWood:
    """Mean values of small clear pieces of one species, Pa and kg/m3; not design values.

    A property that the source does not give is None.
    """

    name: str
    species: str
    moisture: str
    bending_strength: float | None
    tension_parallel: float | None
    compression_parallel: float | None
    compression_perpendicular: float | None
    shear_strength: float | None
    modulus_mean: float | None
    density: float | None
    source: str
    sourced: bool
    clear_wood: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelGrade:
    """Structural steel of one thickness: least values, Pa and kg/m3."""

    name: str
    thickness: float
    yield_strength: float
    ultimate_strength: float
    ultimate_strength_high: float
    modulus: float = STEEL_MODULUS
    shear_modulus: float = STEEL_SHEAR_MODULUS
    density: float = STEEL_DENSITY
    source: str
    sourced: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltGrade:
    """Property class of bolts: nominal yield and tensile strength, Pa."""

    name: str
    yield_strength: float
    ultimate_strength: float
    source: str
    sourced: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltSize:
    """Metric coarse thread: diameter and pitch, m; stress area, m2."""

    name: str
    diameter: float
    pitch: float
    stress_area: float
    source: str
    sourced: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Density:
    """Density of a fill or of a projectile's stuff, with the range its source gives, kg/m3."""

    name: str
    density: float
    density_low: float
    density_high: float
    source: str
    sourced: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Friction:
    """Coefficient of friction of a pair, with the range its source gives."""

    name: str
    kind: str
    value: float
    low: float
    high: float
    source: str
    sourced: bool


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
    sourced: bool


def _strength(row: Row, column: str) -> float:
    """Give a strength, modulus or density of a row: it must be there and be above zero."""
    value = row.number(column)
    if value <= 0.0:
        raise MaterialTableError(
            f"{row.file}: row {row.name!r} has {column} = 0; a strength of zero makes every check "
            "fail or divide by zero, so give the true value"
        )
    return value


def timber(name: str, folder: Folder = None) -> TimberClass:
    """Give a timber strength class, such as "C24" or "D30".

    Args:
        name: name of the class.
        folder: folder of the user's own tables; see material_tables.

    Raises:
        UnknownMaterial: no row bears the name.
        MaterialTableError: the row lacks a value.

    >>> timber("D30").bending_strength
    30000000.0
    """
    row = row_of("timber", name, folder)
    kind = row.words.get("kind", "")
    if kind not in ("softwood", "hardwood"):
        raise MaterialTableError(
            f"{row.file}: row {row.name!r} has kind {kind!r}; write softwood or hardwood"
        )
    return TimberClass(
        name=row.name,
        kind=kind,
        bending_strength=_strength(row, "bending_strength"),
        tension_parallel=_strength(row, "tension_parallel"),
        tension_perpendicular=_strength(row, "tension_perpendicular"),
        compression_parallel=_strength(row, "compression_parallel"),
        compression_perpendicular=_strength(row, "compression_perpendicular"),
        shear_strength=_strength(row, "shear_strength"),
        modulus_mean=_strength(row, "modulus_mean"),
        modulus_5=_strength(row, "modulus_5"),
        modulus_perpendicular=_strength(row, "modulus_perpendicular"),
        shear_modulus_mean=_strength(row, "shear_modulus_mean"),
        density_characteristic=_strength(row, "density_characteristic"),
        density_mean=_strength(row, "density_mean"),
        source=row.source,
        sourced=row.sourced,
    )


def timber_names(folder: Folder = None) -> tuple[str, ...]:
    """Give the names of all timber classes, weakest first within softwood and hardwood."""
    return tuple(table("timber", folder))


def clear_wood(name: str, folder: Folder = None) -> ClearWood:
    """Give clear-wood means of a species: for comparison, not for design.

    >>> clear_wood("bur oak").clear_wood
    True
    """
    row = row_of("clear_wood", name, folder)
    return ClearWood(
        name=row.name,
        species=row.words.get("species", ""),
        moisture=row.words.get("moisture", ""),
        bending_strength=row.numbers.get("bending_strength"),
        tension_parallel=row.numbers.get("tension_parallel"),
        compression_parallel=row.numbers.get("compression_parallel"),
        compression_perpendicular=row.numbers.get("compression_perpendicular"),
        shear_strength=row.numbers.get("shear_strength"),
        modulus_mean=row.numbers.get("modulus_mean"),
        density=row.numbers.get("density"),
        source=row.source,
        sourced=row.sourced,
    )


def clear_wood_names(folder: Folder = None) -> tuple[str, ...]:
    """Give the names of all clear-wood rows."""
    return tuple(table("clear_wood", folder))


def steel(grade: str, thickness: float, folder: Folder = None) -> SteelGrade:
    """Give a steel grade at a thickness; for a round bar the thickness is its diameter.

    The product standard's steps are finer than those of EN 1993-1-1 Table 3.1: an 80 mm bar of
    S355 yields at 325 MPa by the one and at 335 MPa by the other. The lower is used here.

    Args:
        grade: name of the grade.
        thickness: nominal thickness or bar diameter, m.
        folder: folder of the user's own tables; see material_tables.

    Raises:
        UnknownMaterial: no row bears the name.
        ValueError: a thickness of zero or less, or beyond the table.

    >>> steel("S355", 0.080).yield_strength
    325000000.0
    """
    rows = rows_of("steel", grade, folder)
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
    return SteelGrade(
        name=row.name,
        thickness=thickness,
        yield_strength=_strength(row, "yield_strength"),
        ultimate_strength=_strength(row, "ultimate_strength"),
        ultimate_strength_high=_strength(row, "ultimate_strength_high"),
        source=row.source,
        sourced=row.sourced,
    )


def steel_names(folder: Folder = None) -> tuple[str, ...]:
    """Give the names of all steel grades."""
    return tuple(table("steel", folder))


def bolt_grade(name: str, folder: Folder = None) -> BoltGrade:
    """Give a property class of bolts, such as "8.8".

    >>> bolt_grade("8.8").ultimate_strength
    800000000.0
    """
    row = row_of("bolt_grades", name, folder)
    return BoltGrade(
        name=row.name,
        yield_strength=_strength(row, "yield_strength"),
        ultimate_strength=_strength(row, "ultimate_strength"),
        source=row.source,
        sourced=row.sourced,
    )


def bolt_grade_names(folder: Folder = None) -> tuple[str, ...]:
    """Give the names of all property classes of bolts."""
    return tuple(table("bolt_grades", folder))


def bolt_size(name: str, folder: Folder = None) -> BoltSize:
    """Give a metric coarse thread, such as "M20".

    >>> round(bolt_size("M20").stress_area * 1e6)
    245
    """
    row = row_of("bolt_sizes", name, folder)
    return BoltSize(
        name=row.name,
        diameter=_strength(row, "diameter"),
        pitch=_strength(row, "pitch"),
        stress_area=_strength(row, "stress_area"),
        source=row.source,
        sourced=row.sourced,
    )


def bolt_size_names(folder: Folder = None) -> tuple[str, ...]:
    """Give the names of all bolt sizes, the smallest first."""
    return tuple(table("bolt_sizes", folder))


def fill(name: str, folder: Folder = None) -> Density:
    """Give the density of a counterweight fill, such as "sand".

    >>> fill("water").density
    1000.0
    """
    return _density(row_of("fills", name, folder))


def fill_names(folder: Folder = None) -> tuple[str, ...]:
    """Give the names of all counterweight fills."""
    return tuple(table("fills", folder))


def projectile(name: str, folder: Folder = None) -> Density:
    """Give the density of what a projectile is made of, such as "granite".

    >>> projectile("stone").density
    2600.0
    """
    return _density(row_of("projectiles", name, folder))


def projectile_names(folder: Folder = None) -> tuple[str, ...]:
    """Give the names of all projectile materials."""
    return tuple(table("projectiles", folder))


def friction(name: str, folder: Folder = None) -> Friction:
    """Give the coefficient of friction of a pair, such as "rope on wood".

    >>> friction("steel axle in greased oak").high
    0.12
    """
    row = row_of("friction", name, folder)
    value = row.number("value")
    low, high = row.numbers.get("low"), row.numbers.get("high")
    return Friction(
        name=row.name,
        kind=row.words.get("kind", ""),
        value=value,
        low=value if low is None else low,
        high=value if high is None else high,
        source=row.source,
        sourced=row.sourced,
    )


def friction_names(folder: Folder = None) -> tuple[str, ...]:
    """Give the names of all friction pairs."""
    return tuple(table("friction", folder))


def bushing(name: str, folder: Folder = None) -> Bushing:
    """Give what a bushing material stands, such as "cast bronze".

    >>> bushing("cast bronze").pressure / 1e6
    27.6
    """
    row = row_of("bushings", name, folder)
    return Bushing(
        name=row.name,
        pressure=_strength(row, "pressure"),
        speed=_strength(row, "speed"),
        pressure_speed=_strength(row, "pressure_speed"),
        source=row.source,
        sourced=row.sourced,
    )


def bushing_names(folder: Folder = None) -> tuple[str, ...]:
    """Give the names of all bushing materials."""
    return tuple(table("bushings", folder))


def _density(row: Row) -> Density:
    """Make a density record of a row; a range that is not given is the value itself."""
    value = _strength(row, "density")
    low, high = row.numbers.get("density_low"), row.numbers.get("density_high")
    return Density(
        name=row.name,
        density=value,
        density_low=value if low is None else low,
        density_high=value if high is None else high,
        source=row.source,
        sourced=row.sourced,
    )

"""Ropes, knots, sheaves, shackles and crews by name, from the tables in `data/materials`.

A table has names in row 1, units in row 2 and a source column, like the other material tables. A
user's own rows (a file of the same name in the folder that SLINGWRIGHT_MATERIALS names) come on
top of the kit's; a row without source says so.

Sizes are never interpolated: a rope between two listed sizes counts as the smaller one, and a rope
below the smallest listed size is an error.
"""

from dataclasses import dataclass

from slingwright.tables.reading import UnknownMaterial, record, rows_of, table


@dataclass(frozen=True, slots=True, kw_only=True)
class RopeSize:
    """One listed size of a rope."""

    name: str
    diameter: float  # m
    breaking_force: float  # N, minimum, new and dry rope
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Knot:
    """What a knot or splice leaves of the rope's strength."""

    name: str
    kept: float  # share of the breaking force
    kind: str  # knot, splice, wire end, or none for straight rope
    source: str

    def suits(self, rope: str) -> bool:
        """Whether it is made in rope of a kind: knots and splices in fibre, wire ends in wire."""
        return self.kind == "none" or (self.kind == "wire end") == (made_of(rope) == WIRE)


@dataclass(frozen=True, slots=True, kw_only=True)
class RopeUse:
    """How many times stronger than its load a rope has to be, for a use."""

    name: str
    kind: str  # fibre rope, wire rope, chain or shackle
    design_factor: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SheaveRatio:
    """How large a sheave has to be for a rope, as diameter over rope diameter."""

    name: str
    least: float
    suggested: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Shackle:
    """One size of bow shackle."""

    name: str
    bow_diameter: float  # m
    pin_diameter: float  # m
    working_load: float  # kg, mass that may hang from it
    source: str


WIRE, FIBRE = "wire rope", "fibre rope"


def made_of(name: str) -> str:
    """Give what a kind of rope, or the rope that a row of sheaves is for, is made of.

    >>> made_of("wire 6x19 fibre core 1770"), made_of("manila")
    ('wire rope', 'fibre rope')
    """
    return WIRE if name.startswith("wire") else FIBRE


def rope_names() -> list[str]:
    """Give the kinds of rope that have sizes in the table."""
    return list(table("ropes"))


def rope_sizes(name: str) -> list[RopeSize]:
    """Give the sizes of one kind of rope, thinnest first; UnknownMaterial for an unknown kind."""
    sizes = (record(RopeSize, row) for row in rows_of("ropes", name))
    return sorted(sizes, key=lambda size: size.diameter)


def rope(name: str, diameter: float) -> RopeSize:
    """Give the largest listed size that is not thicker than a rope.

    Args:
        name: kind of rope.
        diameter: of the rope in hand [m].

    Raises:
        UnknownMaterial: the kind is not in the table, or the rope is thinner than all its sizes.

    >>> rope("manila", 0.020).breaking_force
    26000.0
    >>> rope("manila", 0.021).diameter
    0.02
    """
    sizes = rope_sizes(name)
    fitting = [size for size in sizes if size.diameter <= diameter * (1.0 + 1e-9)]
    if not fitting:
        raise UnknownMaterial(
            f"{name} rope of {1e3 * diameter:g} mm is thinner than the smallest listed size, "
            f"{1e3 * sizes[0].diameter:g} mm. Take a thicker rope, or add its row to ropes.csv."
        )
    return fitting[-1]


def rope_stretch(name: str) -> tuple[float, float]:
    """Give a kind's stretch as it breaks [-] and its mass a metre over diameter squared [kg/m^3].

    Raises:
        UnknownMaterial: none is listed for this kind.
    """
    row = rows_of("rope_stretch", name)[-1]
    return row.number("stretch"), row.number("density")


def knot_names() -> list[str]:
    """Give the knots and splices that have a row."""
    return list(table("knots"))


def knot(name: str) -> Knot:
    """Give a knot or splice by name; UnknownMaterial with the nearest names otherwise."""
    return record(Knot, rows_of("knots", name)[-1])


def rope_use_names() -> list[str]:
    """Give the uses that have a design factor."""
    return list(table("rope_uses"))


def rope_use(name: str) -> RopeUse:
    """Give a use with its design factor; UnknownMaterial with the nearest names otherwise."""
    return record(RopeUse, rows_of("rope_uses", name)[-1])


def sheave_ratio_names() -> list[str]:
    """Give the rope constructions that have a sheave ratio."""
    return list(table("rope_sheaves"))


def sheave_ratio(name: str) -> SheaveRatio:
    """Give the sheave ratios of a rope construction; UnknownMaterial otherwise."""
    return record(SheaveRatio, rows_of("rope_sheaves", name)[-1])


def shackles() -> list[Shackle]:
    """Give the bow shackles, smallest first."""
    found = (record(Shackle, row) for rows in table("shackles").values() for row in rows)
    return sorted(found, key=lambda shackle: shackle.working_load)

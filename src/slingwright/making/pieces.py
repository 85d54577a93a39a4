"""Every piece of timber and steel that the dials describe, with its size, mass and material."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from slingwright.amounts.answer import Answer, Row, Table
from slingwright.amounts.text import Amount, Text, form, text
from slingwright.formulas.timber.fasteners import bolt_spacing
from slingwright.machine.machine import Machine
from slingwright.tables import materials

LAP = 1.0
"""Length past a bolted end, in depths of the piece: room for the bolts' end distance (common
practice; EN 1995-1-1 Table 8.4 sets it)."""


PLANED, ENDS = 0.006, 0.05
"""What rough timber has over net size in depth and breadth, and in length [m]: common practice."""
STILL = ("leg", "brace", "sill", "cross_sill", "side_brace", "support", "plate")
"""Pieces of the base that their dials describe, by key."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """Pieces alike: how many, of what, and their size [m]; a round one has breadth 0.

    `solid` [m3] is the volume of one, tapers counted; `stuff` is timber, steel or fitting.
    """

    key: str
    name: str
    count: int
    stuff: str
    material: str
    length: float
    depth: float
    breadth: float
    solid: float
    density: float
    note: str = ""

    @property
    def mass(self) -> float:
        """Mass of all of them [kg]."""
        return self.count * self.solid * self.density

    @property
    def section(self) -> Text:
        """Its net section as a workshop writes it."""
        return _section(self.depth, self.breadth)

    @property
    def rough(self) -> Text:
        """The section that timber is bought in; steel has its net one."""
        more = PLANED if self.stuff == "timber" else 0.0
        return _section(self.depth + more, self.breadth and self.breadth + more)

    @property
    def rough_length(self) -> float:
        """The length that timber is bought in at least [m]; steel has its net one."""
        return self.length + (ENDS if self.stuff == "timber" else 0.0)


def _section(depth: float, breadth: float) -> Text:
    if breadth == 0.0:
        return form("{:m} round")(depth)
    return form("{:m} x {:m}")(depth, breadth)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class CutList(Answer):
    """The pieces of a machine, timber first, the longest first."""

    machine: Machine
    pieces: tuple[Piece, ...]

    def of(self, stuff: str) -> tuple[Piece, ...]:
        """Give the pieces of timber, or of steel."""
        return tuple(piece for piece in self.pieces if piece.stuff == stuff)

    def mass(self, stuff: str) -> float:
        """Mass of all pieces of timber, or of steel [kg]."""
        return math.fsum(piece.mass for piece in self.of(stuff))

    @property
    def weighed(self) -> Machine:
        """The machine with the masses of arm and base that these pieces have."""
        arm, base = self._masses
        return self.machine.change({"arm.mass": arm, "base.mass": base})

    @property
    def _masses(self) -> tuple[float, float]:
        """Masses of arm and base [kg]."""
        masses = {one.key: one.mass for one in self.pieces}
        return masses["arm"], math.fsum(masses.get(key, 0.0) for key in STILL)

    @property
    def sentence(self) -> Text:
        """How much there is in all, and what is not in it."""
        count, (arm, base) = sum(piece.count for piece in self.pieces), self._masses
        return form(
            "{} pieces: {:kg} of timber, {:kg} of steel, of net sizes. As cut the base weighs "
            "{:kg} and the machine reckons with {:kg}; the arm {:kg} and {:kg}. Ropes, blocks, "
            "bolts and the winch are bought."
        )(
            *(f"{count}", self.mass("timber"), self.mass("steel")),
            *(base, self.machine.number("base.mass")),
            *(arm, self.machine.number("arm.mass")),
        )

    def rows(self) -> Iterator[Row]:
        """Give the mass of each kind of piece."""
        for piece in self.pieces:
            yield Row(piece.key, piece.name, Amount(piece.mass, "kg"), piece.note)

    def table(self, system: str = "metric") -> Table:
        """Give the list as a workshop reads it."""
        return Table(
            head=("piece", "how many", "material", "length", "section", "rough", "mass", "note"),
            lines=tuple(
                (
                    piece.name,
                    str(piece.count),
                    piece.material,
                    Amount(piece.length, "m"),
                    piece.section,
                    text(piece.rough, ", ", Amount(piece.rough_length, "m")),
                    Amount(piece.mass, "kg"),
                    piece.note,
                )
                for piece in self.pieces
            ),
            caption=self.sentence,
            system="US" if system == "US" else "metric",
        )


def cut_list(machine: Machine) -> CutList:
    """Give every piece of timber and steel of a machine that its dials describe."""
    found = [*_frame(machine), *_arm(machine), *_box(machine), *_trough(machine), *_steel(machine)]
    found.sort(key=lambda piece: (piece.stuff != "timber", -piece.length))
    return CutList(machine=machine, pieces=tuple(found))


def bolted_ends(machine: Machine) -> int:
    """Timbers that a row of bolts holds: two in each head, foot and end of a brace."""
    return 24 if machine.number("frame.side_foot") > 0.0 else 20


def _timber(machine: Machine, path: str, key: str, name: str, count: int, **size: float) -> Piece:
    timber = materials.timber(machine.text(path))
    length, depth, breadth = size["length"], size["depth"], size["breadth"]
    return Piece(
        key=key,
        name=name,
        count=count,
        stuff="timber",
        material=timber.name,
        length=length,
        depth=depth,
        breadth=breadth,
        solid=size.get("solid", length * depth * breadth),
        density=timber.density_mean,
        note="with the grain along it",
    )


def _frame(machine: Machine) -> Iterator[Piece]:
    n = machine.number
    height, half, wide = n("axle.height"), 0.5 * n("frame.spread"), n("axle.span")
    leg, brace = n("frame.leg_depth"), n("frame.brace_depth")

    def piece(key: str, name: str, count: int, length: float, depth: float, across: str) -> Piece:
        return _timber(
            machine,
            "frame.timber",
            key,
            name,
            count,
            length=length,
            depth=depth,
            breadth=n(across),
        )

    yield piece("leg", "leg", 4, math.hypot(height, half) + 2.0 * LAP * leg, leg, "frame.leg_width")
    level = 2.0 * half * (1.0 - n("frame.brace") / height)
    yield piece("brace", "level brace", 2, level + 2.0 * LAP * brace, brace, "frame.brace_width")
    sill = n("frame.sill_depth")
    yield piece("sill", "sill", 2, n("frame.sill_length"), sill, "frame.sill_width")
    across = wide + 2.0 * n("frame.sill_width")
    yield piece("cross_sill", "cross sill", 2, across, sill, "frame.sill_width")
    if n("frame.side_foot") > 0.0:
        raking = math.hypot(height, n("frame.side_foot"))
        yield piece(
            "side_brace", "side brace", 2, raking + 2.0 * LAP * brace, brace, "frame.brace_width"
        )
    if n("axle.support") > 0.0:
        reach = n("axle.support") + n("frame.leg_width")
        yield piece("support", "axle support piece", 2, reach, leg, "frame.leg_width")


def _arm(machine: Machine) -> Iterator[Piece]:
    n = machine.number
    thick, wide = n("arm.depth_at_axle"), n("arm.width_at_axle")
    thin, narrow = n("arm.depth_at_tip"), n("arm.width_at_tip")
    # As deep behind the pin as in front of it, so that the pin's hole has wood around it.
    butt = n("arm.short") + thick
    taper = (
        n("arm.long") * (thick * wide + thin * narrow + 0.5 * (thick * narrow + thin * wide)) / 3.0
    )
    solid, depth, breadth = butt * thick * wide + taper, thick, wide
    if machine.text("arm.section") == "round":
        solid, breadth = 0.25 * math.pi * (butt * thick**2), 0.0
        solid += math.pi * n("arm.long") * (thick**2 + thick * thin + thin**2) / 12.0
    layers = int(n("arm.layers")) if machine.text("arm.section") == "laminated" else 1
    yield _timber(
        machine,
        "arm.timber",
        "arm",
        "arm" if layers == 1 else "layer of the arm",
        layers,
        length=n("arm.long") + butt,
        depth=depth / layers,
        breadth=breadth,
        solid=solid / layers,
    )


def _box(machine: Machine) -> Iterator[Piece]:
    n = machine.number
    wide, high, deep = (n(f"counterweight.{side}") for side in ("width", "height", "breadth"))
    side, floor = n("counterweight.side"), n("counterweight.floor")

    def board(key: str, name: str, count: int, *size: float) -> Piece:
        length, depth, breadth = size
        return _timber(
            machine,
            "counterweight.timber",
            key,
            name,
            count,
            length=length,
            depth=depth,
            breadth=breadth,
        )

    if min(wide, deep) > 2.0 * side and high > floor:
        yield board("box_side", "side of the box", 2, wide, side, high - floor)
        yield board("box_end", "end of the box", 2, deep - 2.0 * side, side, high - floor)
        yield board("box_floor", "floor of the box", 1, deep, floor, wide)
        yield board("box_bearer", "bearer under the box's floor", 2, wide, side, side)
        yield board("box_post", "corner post of the box", 4, high - floor, side, side)


def _trough(machine: Machine) -> Iterator[Piece]:
    from slingwright.motion.bodies import RAIL, trough_ends
    from slingwright.motion.throwing import throw

    n = machine.number
    start, end = trough_ends(machine, [throw(machine, swing_through=0.0)])
    board = n("trough.board")
    long, high = end - start, board + RAIL * n("projectile.diameter")
    bearers = math.ceil(long / n("trough.bearers")) + 1
    across, thick = n("axle.span") + 2.0 * n("frame.sill_width"), n("trough.bearer")
    for key, name, count, length, depth, breadth in (
        ("trough", "floor of the trough", 1, long, board, n("trough.width")),
        ("rail", "guide rail of the trough", 2, long, board, high),
        ("bearer", "bearer of the trough", bearers, across, thick, thick),
    ):
        yield _timber(
            machine, "frame.timber", key, name, count, length=length, depth=depth, breadth=breadth
        )


def _steel(machine: Machine) -> Iterator[Piece]:
    n = machine.number

    def bar(key: str, name: str, count: int, path: str, length: float, *section: float) -> Piece:
        depth, breadth = section if len(section) == 2 else (section[0], 0.0)
        area = depth * breadth if breadth else 0.25 * math.pi * depth**2
        return Piece(
            key=key,
            name=name,
            count=count,
            stuff="steel",
            material=machine.text(path),
            length=length,
            depth=depth,
            breadth=breadth,
            solid=area * length,
            density=materials.STEEL_DENSITY,
        )

    axle = n("axle.span") + 2.0 * n("axle.bearing")
    yield bar("axle", "axle", 1, "axle.grade", axle, n("axle.diameter"))
    across, straps = n("arm.width_at_axle"), n("hanger.straps")
    thick, wide = n("hanger.strap_thickness"), n("hanger.strap_width")
    if machine.flag("counterweight.hung"):
        pin, gap = n("hanger.pin"), n("hanger.gap")
        # A diameter past the outer strap on each side, for washer and split pin.
        reach = across + 2.0 * gap + straps * thick + 2.0 * pin
        yield bar("pin", "hanger pin", 1, "hanger.grade", reach, pin)
        long = n("counterweight.hanger") + 0.5 * n("counterweight.height") + wide
        yield bar("strap", "strap", int(straps), "hanger.grade", long, wide, thick)
    if n("frame.plate") > 0.0:
        least = bolt_spacing(materials.bolt_size(machine.text("frame.bolt")).diameter, 0.0)
        row = 2.0 * least.loaded_end + (n("frame.bolts") - 1.0) * least.along
        size = row, n("frame.leg_depth"), n("frame.plate")
        yield replace(
            bar(
                "plate",
                "joint plate for one timber",
                2 * bolted_ends(machine),
                "hanger.grade",
                *size,
            ),
            note="head, foot and brace; cut to the joint's shape",
        )
    prong = n("prong.diameter")
    yield bar("prong", "prong", 1, "prong.grade", n("prong.length") + 4.0 * prong, prong)

"""What is bought, by supplier: timber cut from stock, steel, rope, rigging, bolts and cloth.

A piece that no stock is long enough for is spliced, and its splice is checked. Prices are given by
whoever asks; what has none is told as not known.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from slingwright.amounts.answer import Answer, Row, Table
from slingwright.amounts.text import Amount, Text, form, joined, text
from slingwright.machine.machine import Machine
from slingwright.making.pieces import CutList, Piece, bolted_ends, cut_list
from slingwright.making.stock import CuttingError, cutting
from slingwright.strength.check import Check
from slingwright.strength.checks import holding
from slingwright.winch.cycle import winding

LAPPED = 4.0
"""Overlap of a splice, in depths of its piece: common practice."""
MOST_PARTS = 3
"""Parts that a piece is spliced from at most: the kit's own choice."""
SPLICED: Mapping[str, tuple[str, ...]] = {
    "leg": ("leg.compression", "leg.tension", "leg.split_at_brace"),
    "brace": ("brace.axial",),
    "sill": ("sill.bending", "sill.shear", "sill.axial", "sill.soft_corner"),
    "side_brace": ("side_brace.compression",),
    "trough": ("trough.boards",),
}
"""Checks of a whole piece, of whose strength a splice keeps a share; the rest have none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing to buy: from whom, what, how much [`unit`], its mass [kg], and a note."""

    supplier: str
    name: Text
    amount: float
    unit: str
    mass: float | None = None
    note: str = ""

    @property
    def price(self) -> str:
        """The name that its price goes by."""
        return str(self.name)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class BuyingList(Answer):
    """What is bought for a machine; `prices` are those of one unit, by an item's name."""

    machine: Machine
    items: tuple[Item, ...]
    splices: tuple[Text, ...]
    prices: Mapping[str, float]

    def cost(self, item: Item) -> float | None:
        """Cost of an item; None where its price is not known."""
        price = self.prices.get(item.price)
        return None if price is None else price * item.amount

    @property
    def sentence(self) -> Text:
        """Mass and cost of all of it, what has no price, and what is spliced."""
        costs = [self.cost(item) for item in self.items]
        known = [one for one in costs if one is not None]
        mass = math.fsum(item.mass or 0.0 for item in self.items)
        money = f"{math.fsum(known):,.2f} for what has a price" if known else "no prices given"
        left = f"; {len(costs) - len(known)} of {len(costs)} items have none" if known else ""
        first = form("{} items, {:kg} where the mass is known; cost: {}{}.")(
            f"{len(costs)}", mass, money, left
        )
        return joined([first, *self.splices], " ")

    def rows(self) -> Iterator[Row]:
        """Give each item with its amount."""
        for item in self.items:
            yield Row(item.price, item.name, Amount(item.amount, item.unit), item.note)

    def table(self, system: str = "metric") -> Table:
        """Give the list, a supplier after another."""
        lines = []
        for item in self.items:
            cost = self.cost(item)
            count = f"{item.amount:g}" if item.unit == "-" else Amount(item.amount, item.unit)
            mass = None if item.mass is None else Amount(item.mass, "kg")
            money = "not known" if cost is None else f"{cost:,.2f}"
            lines.append((item.supplier, item.name, count, mass, money, item.note))
        return Table(
            head=("supplier", "what", "how much", "mass", "cost", "note"),
            lines=tuple(lines),
            caption=self.sentence,
            system="US" if system == "US" else "metric",
        )


def read_prices(path: Path | str) -> dict[str, float]:
    """Read prices of one unit by an item's name, from a TOML file of `"name" = number`.

    Raises:
        ValueError: it is no such file, or a price is no number from 0 up.
        OSError: it cannot be read.
    """
    found = tomllib.loads(Path(path).read_text(encoding="utf-8"))
    for name, price in found.items():
        if isinstance(price, bool) or not isinstance(price, int | float) or not price >= 0.0:
            raise ValueError(f"{path}: the price of {name!r} is {price!r}; give a number from 0 up")
    return {name: float(price) for name, price in found.items()}


def buying_list(
    machine: Machine,
    stock: Sequence[float] = (),
    *,
    kerf: float = 0.004,
    trim: float = 0.0,
    prices: Mapping[str, float] | None = None,
) -> BuyingList:
    """Give what is bought for a machine.

    Args:
        machine: the machine.
        stock: lengths that timber is sold in [m]; just as much as it takes where none is given.
        kerf: what a saw cut takes [m].
        trim: what is cut off a stock length before it is used [m].
        prices: of one unit (a piece, 1 m, 1 kg), by an item's name.

    Raises:
        CuttingError: as of `cutting`, or a piece that would need too many parts.
    """
    cutting((), stock, kerf=kerf, trim=trim)  # refuses what cannot be sawn
    pieces = cut_list(machine)
    splices: list[Text] = []
    items = [
        *_timber(pieces, stock, kerf, trim, splices),
        *_steel(pieces),
        *_ropes(machine),
        *_bolts(machine),
    ]
    return BuyingList(
        machine=machine, items=tuple(items), splices=tuple(splices), prices=prices or {}
    )


def _timber(
    pieces: CutList, stock: Sequence[float], kerf: float, trim: float, splices: list[Text]
) -> Iterator[Item]:
    groups: dict[tuple[str, str], list[Piece]] = {}
    for piece in pieces.of("timber"):
        groups.setdefault((piece.material, piece.rough), []).append(piece)
    for (material, _), alike in groups.items():
        one = alike[0]
        volume = one.density * (one.depth * one.breadth or 0.25 * math.pi * one.depth**2)
        name = text(f"{material}, ", one.rough)
        lengths: list[float] = []
        for piece in alike:
            parts, words = _parts(pieces, piece, max(stock, default=math.inf) - trim)
            lengths += [length for length in parts for _ in range(piece.count)]
            splices += [words] if words else []
        if not stock:
            long = math.fsum(lengths)
            yield Item(supplier="timber", name=name, amount=long, unit="m", mass=long * volume)
            continue
        found = cutting(lengths, stock, kerf=kerf, trim=trim)
        proof: str = "the least there can be"
        if not found.proven:
            proof = form("and no cutting needs less than {:m}")(found.least)
        waste = form("{:m} of stock, {}, {:.0f} % left over")(found.used, proof, 100 * found.waste)
        for length in dict.fromkeys(bar.stock for bar in found.lengths):
            bars = [bar for bar in found.lengths if bar.stock == length]
            count = sum(bar.times for bar in bars)
            cuts = joined(
                [
                    joined([f"{bar.times} cut", *(text(Amount(x, "m")) for x in bar.pieces)], " ")
                    for bar in bars
                ],
                "; ",
            )
            yield Item(
                supplier="timber",
                name=text(name, ", ", Amount(length, "m")),
                amount=count,
                unit="-",
                mass=count * length * volume,
                note=text(cuts, "; ", waste),
            )


def _parts(pieces: CutList, piece: Piece, most: float) -> tuple[list[float], Text]:
    """Give the lengths that a piece is cut in, and what is to be said of its splices."""
    whole = piece.rough_length
    if whole <= most:
        return [whole], text()
    lap = LAPPED * piece.depth
    parts = math.ceil((whole - lap) / (most - lap)) if most > lap else MOST_PARTS + 1
    if parts > MOST_PARTS or piece.count > 1 and piece.key == "arm":
        raise CuttingError(
            f"{piece.name}: {whole:.3f} m is longer than the {most:.3f} m of the longest stock, "
            f"and more than {MOST_PARTS} parts would have to be spliced: buy longer stock"
        )
    each = (whole + (parts - 1) * lap) / parts
    words = form("{} is spliced from {} parts that lap {:m}: {}.")(
        *(piece.name.capitalize(), f"{parts}", lap, _told(pieces.machine, piece, each))
    )
    return [each] * parts, words


def _told(machine: Machine, piece: Piece, each: float) -> Text:
    """Check the splices of a piece in parts of one length [m], and say what came of it."""
    keeps = machine.number("arm.splice_keeps")
    if piece.key == "arm":
        # The first part has the butt; its splice lies that far out on the long arm.
        place = each - (piece.length - machine.number("arm.long"))
        if place <= 0.0:
            return text("the splice would lie on the short arm, which is not known to hold")
        check = holding(machine.change({"arm.splice": place}))["arm.splice"].as_planned
        return form("{} {}, {} used, {:m} from the axle")(
            check.name, check.verdict, check.used, place
        )
    keys = SPLICED.get(piece.key, ())
    found = [one.as_planned for one in holding(machine).checks if one.key in keys]
    if not found:
        return text("not known whether it holds, the kit has no check of this piece")
    worst: Check = max(found, key=lambda one: one.utilisation)
    with_it = replace(worst, capacity=keeps * float(worst.capacity),
                      utilisation=worst.utilisation / keeps)  # fmt: skip
    return form("{}: {} where {:.0f} % of the strength is kept, {}")(
        worst.name, with_it.verdict, 100.0 * keeps, with_it.used
    )


def _steel(pieces: CutList) -> Iterator[Item]:
    for one in pieces.of("steel"):
        name = text(f"{one.material}, ", one.section)
        note = form("{}: {} of {:m}")(one.name, f"{one.count}", one.length)
        long = one.count * one.length
        yield Item(supplier="steel", name=name, amount=long, unit="m", mass=one.mass, note=note)


def _ropes(machine: Machine) -> Iterator[Item]:
    n, said = machine.number, machine.text
    cords = n("sling.cords")
    yield Item(
        supplier="rope",
        name=form("{} of {:m}, for the sling")(said("sling.rope"), n("sling.rope_diameter")),
        amount=cords * n("sling.length"),
        unit="m",
        note=f"{cords:g} cords; add what their ends take: {said('sling.knot')}",
    )
    yield Item(
        supplier="rope",
        name=form("pouch, {:m} wide, that holds {:N/m}")(
            n("sling.pouch_width"), n("sling.pouch_strength")
        ),
        amount=1.0,
        unit="-",
    )
    try:
        gear = winding(machine).reeving
    except ValueError as error:
        yield Item(supplier="rope", name=text("winding rope"), amount=0.0, unit="m",
                   note=f"not known: {error}")  # fmt: skip
        return
    yield Item(
        supplier="rope",
        name=form("{} of {:m}, for winding")(said("rope.rope_kind"), n("winch.rope")),
        amount=gear.needed * gear.numbers.ropes,
        unit="m",
        note=f"{gear.numbers.ropes} in one length each",
    )
    for key, piece in gear.pieces.items():
        if piece.mark and not key.endswith(" 2"):
            note = form("rated for {:N} at least, and for its rope")(gear.load(key))
            yield Item(supplier="rigging", name=text(piece.name), unit="-", note=note,
                       amount=float(gear.numbers.ropes))  # fmt: skip
    note = form("rated for {:N} at least")(gear.hook_load)
    yield Item(supplier="rigging", name=text("hook that holds the arm"), amount=1.0, unit="-",
               note=note)  # fmt: skip


def _bolts(machine: Machine) -> Iterator[Item]:
    n, said = machine.number, machine.text
    rows = bolted_ends(machine) if n("frame.plate") > 0.0 else bolted_ends(machine) // 2
    note = "with nuts and washers; heads, feet and braces of both frames"
    kinds = [("frame.bolt", rows * n("frame.bolts"), note)]
    if machine.flag("counterweight.hung"):
        straps = n("hanger.straps") * n("hanger.bolts")
        kinds.append(("hanger.bolt", straps, "with nuts and washers; straps to the box"))
    box = 6 * n("counterweight.bolts")
    kinds.append(("hanger.bolt", box, "with nuts and washers; two bearers, four posts of the box"))
    for path, count, words in kinds:
        name = f"{said(path)}, grade {said(f'{path}_grade')}, {words.split('; ')[1]}"
        yield Item(supplier="bolts", name=text(name), amount=count, unit="-", note=words)

"""Details of a machine to scale, and the ground from above with who stands where.

Each is drawn from dials and from the list of pieces. What no dial sets is left to the maker and is
not drawn: the shape of a pawl, of a ring, of a seam.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from slingwright.amounts.text import Amount, Text, form, text
from slingwright.formulas.timber.fasteners import Spacing, bolt_spacing
from slingwright.machine.machine import Machine
from slingwright.making.pieces import LAP, cut_list
from slingwright.making.views import OUTLINE, THIN, Size, View
from slingwright.standing.places import where
from slingwright.standing.zone import zone
from slingwright.strength.loads.brief import brief_loads
from slingwright.tables import materials
from slingwright.winch.rig import ratchet_of, rig_of, winch_numbers

SEEN = 5.0
"""How much of a leg or sill is drawn beside its joint, in depths of the leg."""
PERSON = 0.3
"""Radius of the mark for a person [m]."""
Outline = tuple[str, np.ndarray]
Measured = tuple[str, str, float, float, float]
"""A dimension: name, side, from where to where along that side [m], and how far in it is [m]."""


def details(machine: Machine) -> dict[str, View]:
    """Give the details of a machine, by name."""
    hung = machine.flag("counterweight.hung")
    return {name: make(machine) for name, make in DETAILS.items() if hung or name != "hanger"}


def ground(machine: Machine) -> dict[str, View]:
    """Give the ground to keep clear, and who stands where by the machine; nothing if not known."""
    try:
        found = zone(machine)
    except ValueError:
        return {}
    n, near = machine.number, found.winding
    wide = 0.5 * n("axle.span") + n("frame.sill_width")
    base = _box(0.5 * n("frame.sill_length"), wide)
    stands = {
        f"{i}": (one.key, text(f"{i} {one.who}: ", where(one.x, one.z)), one.x, one.z)
        for i, one in enumerate(found.people, 1)
        if one.x is not None and one.z is not None
    }
    sizes = [("sweep of arm and empty sling", "below", 0.0, near.sweep, near.half_width)]
    sizes += [(f"{key} along", "above", 0.0, x, z) for key, _, x, z in stands.values() if x]
    sizes += [(f"{key} beside", "right", 0.0, z, x) for key, _, x, z in stands.values() if z]
    clear = [
        ("clear ahead", "below", 0.0, found.clear_ahead, 0.0),
        ("clear behind", "below", -found.clear_behind, 0.0, 0.0),
        ("clear beside", "left", 0.0, found.clear_beside, 0.0),
    ]
    edge = (THIN, found.outline())
    whole = _view("Ground to keep clear, from above; ahead is to the right", [edge, base], clear)
    by_machine = _view(
        "Who stands where by the machine, from above; ahead is to the right",
        [_box(near.sweep, near.half_width, layer=THIN), base],
        sizes,
        *(words for _, words, _, _ in stands.values()),
        circles=[(x, z, PERSON) for _, _, x, z in stands.values()],
        labels=[(x, z, number) for number, (_, _, x, z) in stands.items()],
    )
    return {"ground": whole, "places": by_machine}


def _view(
    title: str, outlines: list[Outline], sizes: list[Measured], *notes: str, **more: Any
) -> View:
    return View(
        title=title, outlines=outlines, sizes=[_size(*one) for one in sizes], notes=notes, **more
    )


def _size(name: str, side: str, one: float, other: float, at: float) -> Size:
    ends = min(one, other), max(one, other)
    start, end = ((at, y) if side in ("left", "right") else (y, at) for y in ends)
    return Size(name=name, side=side, start=start, end=end)


def _box(long: float, high: float, x: float = 0.0, y: float = 0.0, layer: str = OUTLINE) -> Outline:
    """Give a box of half a length and half a height about a place."""
    corners = np.array([(-long, -high), (long, -high), (long, high), (-long, high)])
    return layer, corners + (x, y)


def _across(one: float, other: float, low: float, high: float, layer: str = OUTLINE) -> Outline:
    """Give a box between two places along and two up."""
    return _box(0.5 * (other - one), 0.5 * (high - low), 0.5 * (one + other), 0.5 * (low + high),
                layer)  # fmt: skip


def _leg(angle: float, back: float, long: float, half: float) -> Outline:
    """Give a leg through the origin, at an angle to the level, and from how far behind."""
    turn = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    return OUTLINE, _across(-back, long, -half, half)[1] @ turn


def _depth(leg: Outline) -> Size:
    """Give the depth of a leg at its far end."""
    far = leg[1][1:3]
    start, end = sorted((tuple(far[0]), tuple(far[1])))
    return Size(name="frame.leg_depth", start=start, end=end, side="along")


def _bolted(machine: Machine) -> tuple[Spacing, float, int, Text]:
    """Bolts of a joint: least distances, diameter [m], how many, and all in words."""
    n, size = machine.number, materials.bolt_size(machine.text("frame.bolt"))
    least, count = bolt_spacing(size.diameter, 0.0), round(n("frame.bolts"))
    edge = bolt_spacing(size.diameter, 0.5 * math.pi).loaded_edge
    plate = n("frame.plate")
    words = form("{} {}, grade {}, in each timber; {}; at least {} apart, {} to an end, {} to an "
                 "edge")(
        *(f"{count} bolts", size.name, machine.text("frame.bolt_grade")),
        form("steel plates of {:m} on both sides")(plate) if plate > 0.0 else "timbers lapped",
        *(Amount(one, "m", 4, edge) for one in (least.along, least.loaded_end, edge)),
    )  # fmt: skip
    return least, size.diameter, count, words


def _arm(machine: Machine) -> View:
    n, words = machine.number, machine.text
    long, short, thick, thin = map(
        n, ("arm.long", "arm.short", "arm.depth_at_axle", "arm.depth_at_tip")
    )
    wide, narrow = n("arm.width_at_axle"), n("arm.width_at_tip")
    if words("arm.section") == "round":
        wide, narrow = thick, thin
    butt = long - next(one for one in cut_list(machine).pieces if one.key == "arm").length
    prong, hole, pin = n("prong.diameter"), n("arm.hole"), n("hanger.pin")
    low, point = -2.0 * (thick + wide), long + n("prong.length")

    def tapered(near: float, far: float, level: float) -> Outline:
        high = np.array([(butt, 0.5 * near), (0.0, 0.5 * near), (long, 0.5 * far)])
        return OUTLINE, np.concatenate([high, high[::-1] * (1.0, -1.0)]) + (0.0, level)

    sizes = [
        ("arm.long", "above", 0.0, long, 0.5 * thick),
        ("arm.short", "above", -short, 0.0, 0.5 * thick),
        ("prong.length", "above", long, point, 0.0),
        ("arm.depth_at_axle", "left", -0.5 * thick, 0.5 * thick, butt),
        ("arm.depth_at_tip", "right", -0.5 * thin, 0.5 * thin, long),
    ]
    if words("arm.section") != "round":
        sizes.append(("arm.width_at_axle", "left", low - 0.5 * wide, low + 0.5 * wide, butt))
        sizes.append(("arm.width_at_tip", "right", low - 0.5 * narrow, low + 0.5 * narrow, long))
    holes = [(0.0, 0.0, 0.5 * hole)] if hole > 0.0 else []
    return _view(
        "Arm with its taper and prong, from the side and from above",
        [
            tapered(thick, thin, 0.0),
            tapered(wide, narrow, low),
            _across(long, point, -0.5 * prong, 0.5 * prong),
        ],
        sizes,
        form("{}, {}; holes of {:m} for the axle and {:m} for the hanger pin; prong {:m}, {}")(
            words("arm.timber"), words("arm.section"), hole, pin, prong, words("prong.grade")
        ),
        circles=[
            *holes,
            *([(-short, 0.0, 0.5 * pin)] if machine.flag("counterweight.hung") else []),
        ],
    )


def _head(machine: Machine) -> View:
    n, (least, bolt, count, words) = machine.number, _bolted(machine)
    deep, rod = n("frame.leg_depth"), 0.5 * n("axle.diameter")
    lean = math.atan2(n("axle.height"), 0.5 * n("frame.spread"))
    legs = [_leg(angle, LAP * deep, SEEN * deep, 0.5 * deep) for angle in (-lean, lean - math.pi)]
    off = [rod + least.loaded_end + k * least.along for k in range(count)]
    holes = [
        (s * x * math.cos(lean), -x * math.sin(lean), 0.5 * bolt) for x in off for s in (1, -1)
    ]
    view = _view(
        "Joint at the head of the legs, one A-frame",
        legs,
        [("axle.diameter", "above", -rod, rod, 0.0)],
        words,
        circles=[(0.0, 0.0, rod), *holes],
    )
    return replace(view, sizes=[*view.sizes, _depth(legs[0])])


def _axle(machine: Machine) -> View:
    n, words = machine.number, machine.text
    rod, inner, bearing = 0.5 * n("axle.diameter"), 0.5 * n("axle.span"), n("axle.bearing")
    hub, wide, thick = (
        0.5 * n("axle.hub"),
        0.5 * n("arm.width_at_axle"),
        0.5 * n("arm.depth_at_axle"),
    )
    leg, reach, out, low = (
        n("frame.leg_width"),
        n("axle.support"),
        inner + bearing,
        -3.0 * (rod + thick),
    )
    outlines = [_box(out, rod), _box(wide, thick), _box(hub, 1.5 * rod, layer=THIN)]
    sizes = [
        ("axle.span", "below", -inner, inner, low),
        ("axle.bearing", "below", inner, out, -2.0 * rod),
        ("frame.leg_width", "below", -inner - leg, -inner, low),
        ("arm.width_at_axle", "above", -wide, wide, thick),
        ("axle.hub", "above", -hub, hub, thick),
        ("axle.diameter", "left", -rod, rod, -out),
    ]
    for side in (1.0, -1.0):
        outlines.append(_across(side * inner, side * out, -2.0 * rod, 2.0 * rod, THIN))
        outlines.append(_across(side * inner, side * (inner + leg), low, -2.0 * rod))
        if reach > 0.0:
            deep = -rod - n("axle.support_depth")
            outlines.append(_across(side * (inner - reach), side * inner, deep, -rod))
    if reach > 0.0:
        sizes.append(("axle.support", "below", inner - reach, inner, -rod))
    turns = "turns in its bushings" if machine.flag("axle.turns") else "stands still"
    return _view(
        "Axle with its bushings and supports, along the throw",
        outlines,
        sizes,
        f"{words('axle.grade')}, {turns}; bushings: {words('axle.bushing')}; their outer size "
        "is not set by a dial",
    )


def _hanger(machine: Machine) -> View:
    n, words, size = machine.number, machine.text, materials.bolt_size(machine.text("hanger.bolt"))
    wide, gap, pin = 0.5 * n("arm.width_at_axle"), n("hanger.gap"), 0.5 * n("hanger.pin")
    thick, strap, count = n("hanger.strap_thickness"), n("hanger.strap_width"), n("hanger.straps")
    hang, high, bolts = (
        n("counterweight.hanger"),
        n("counterweight.height"),
        round(n("hanger.bolts")),
    )
    rod = next(one for one in cut_list(machine).pieces if one.key == "pin").length
    inner, low, apart = wide + gap, -hang - 0.5 * high, high / bolts
    beside = inner + 0.5 * count * thick + rod
    straps = [
        _across(side * x, side * (x + thick), low, strap)
        for x in (inner + k * thick for k in range(round(0.5 * count)))
        for side in (1.0, -1.0)
    ]
    arm = _box(wide, 0.5 * n("arm.depth_at_axle"))
    holes = [(beside, low + (k + 0.5) * apart, 0.5 * size.diameter) for k in range(bolts)]
    left, right = beside - 0.5 * strap, beside + 0.5 * strap
    return _view(
        "Hanger: straps and pin, along the throw, and a strap from the side",
        [arm, _box(0.5 * rod, pin), *straps, _across(left, right, low, strap)],
        [
            ("counterweight.hanger", "left", -hang, 0.0, -inner),
            ("hanger.pin", "left", -pin, pin, -0.5 * rod),
            ("arm.width_at_axle", "above", -wide, wide, strap),
            ("hanger.gap", "above", wide, inner, strap),
            ("hanger.strap_thickness", "below", inner, inner + thick, low),
            ("hanger.strap_width", "below", left, right, low),
            ("bolts apart", "right", low + 0.5 * apart, low + 1.5 * apart, beside),
        ],
        f"{count:g} straps, {words('hanger.grade')}; in each {bolts} bolts {size.name}, grade "
        f"{words('hanger.bolt_grade')}, through the side of the box",
        circles=[*holes, (beside, 0.0, pin)],
    )


def _counterweight(machine: Machine) -> View:
    wide, deep, high, side, floor = (
        machine.number(f"counterweight.{key}")
        for key in ("width", "breadth", "height", "side", "floor")
    )
    start, end = wide + 0.5 * deep, wide + 1.5 * deep
    return _view(
        "Counterweight box, from the side and along the throw",
        [
            _across(0.0, wide, 0.0, high),
            _across(start, end, 0.0, floor),
            _across(start, start + side, floor, high),
            _across(end - side, end, floor, high),
        ],
        [
            ("counterweight.width", "below", 0.0, wide, 0.0),
            ("counterweight.breadth", "below", start, end, 0.0),
            ("counterweight.side", "above", start, start + side, high),
            ("counterweight.height", "left", 0.0, high, 0.0),
            ("counterweight.floor", "right", 0.0, floor, end),
        ],
        f"{machine.text('counterweight.timber')}; {machine['counterweight.bolts']:g} bolts "
        f"{machine.text('hanger.bolt')} in each joint of floor and sides: a bearer along each "
        "side under the floor, a post in each corner, as thick as the sides",
    )


def _sling(machine: Machine) -> View:
    n, words = machine.number, machine.text
    long, cord, pouch = n("sling.length"), n("sling.rope_diameter"), 0.5 * n("sling.pouch_width")
    widest = max([load.diameter for load in brief_loads(machine)] + [n("projectile.diameter")])
    near, far = long - 0.25 * math.pi * widest, long + 0.25 * math.pi * widest
    cords = [
        _across(0.0, near, y - 0.5 * cord, y + 0.5 * cord) for y in (0.5 * pouch, -0.5 * pouch)
    ]
    return _view(
        "Sling and pouch, laid flat; cords side by side",
        [*cords, _across(near, far, -pouch, pouch)],
        [
            ("sling.length", "below", 0.0, long, -pouch),
            ("half round the widest projectile", "above", near, far, pouch),
            ("sling.pouch_width", "right", -pouch, pouch, far),
            ("sling.rope_diameter", "left", 0.5 * (pouch - cord), 0.5 * (pouch + cord), 0.0),
        ],
        f"{n('sling.cords'):g} cords of {words('sling.rope')}, {words('sling.knot')} at the ends; "
        "length from the ring to the middle of the projectile; pouch without seams",
    )


def _sill(machine: Machine) -> View:
    n, (least, bolt, count, words) = machine.number, _bolted(machine)
    leg, deep, half = n("frame.leg_depth"), n("frame.sill_depth"), 0.5 * n("frame.spread")
    lean, past = math.atan2(n("axle.height"), half), 0.5 * n("frame.sill_length") - half
    foot = _leg(math.pi - lean, 0.0, SEEN * leg + deep, 0.5 * leg)
    middle = -0.5 * deep / math.tan(lean) - 0.5 * (count - 1) * least.along
    view = _view(
        "Foot of a leg on its sill",
        [
            foot,
            _across(-SEEN * leg, past, 0.0, deep),
            _box(0.5 * deep, 0.5 * deep, 0.0, 0.5 * deep),
        ],
        [
            ("frame.sill_depth", "right", 0.0, deep, past),
            ("foot to sill's end", "below", 0.0, past, 0.0),
        ],
        words,
        circles=[(middle + k * least.along, 0.5 * deep, 0.5 * bolt) for k in range(count)],
    )
    return replace(view, sizes=[*view.sizes, _depth(foot)])


def _winch(machine: Machine) -> View:
    n, rig = machine.number, rig_of(machine)
    drum, wide, crank = 0.5 * n("winch.drum"), 0.5 * rig.drum_width, n("winch.crank")
    pawl, start = ratchet_of(winch_numbers(machine), rig), wide + 2.0 * crank
    flanges = [_across(s * wide, s * (wide + 0.1 * drum), -pawl, pawl) for s in (1.0, -1.0)]
    return _view(
        "Winch drum with its flanges, and its ratchet and crank from the side",
        [_box(wide, drum), *flanges, _across(start, start + crank, -0.1 * drum, 0.1 * drum, THIN)],
        [
            ("rig.drum_width", "above", -wide, wide, drum),
            ("winch.crank", "below", start, start + crank, 0.0),
            ("winch.drum", "left", -drum, drum, -wide),
            ("pawl's radius", "right", 0.0, pawl, start),
        ],
        form("rope of {:m}, {}; {:g} teeth; {:g} parts of line; gear {:g}; flanges as the ratchet")(
            *(n("winch.rope"), machine.text("rope.rope_kind")),
            *(n("rig.teeth"), n("winch.parts"), n("winch.gear")),
        ),
        circles=[(start, 0.0, drum), (start, 0.0, pawl)],
    )


DETAILS: dict[str, Callable[[Machine], View]] = {
    "arm": _arm, "head": _head, "axle": _axle, "hanger": _hanger, "box": _counterweight,
    "sling": _sling, "sill": _sill, "winch": _winch,
}  # fmt: skip
"""What draws each detail."""

"""Details of a machine to scale, and the ground from above with who stands where.

Each is drawn from dials and from the list of pieces. What no dial sets is left to the maker and is
not drawn: the shape of a pawl, of a ring, of a seam.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from slingwright.amounts.text import Amount, form
from slingwright.formulas.timber.fasteners import Spacing, bolt_spacing
from slingwright.machine.machine import Machine
from slingwright.making.pieces import LAP, cut_list
from slingwright.making.views import OUTLINE, THIN, Size, View
from slingwright.standing.places import where
from slingwright.standing.zone import zone
from slingwright.strength.brief import brief_loads
from slingwright.tables import materials
from slingwright.winch.rig import ratchet_of, rig_of, winch_numbers

SEEN = 5.0
"""How much of a leg or sill is drawn beside its joint, in its depths."""
PERSON = 0.3
"""Radius of the mark for a person [m]."""
Outline = tuple[str, np.ndarray]
Place = tuple[float, float]
Bolts = tuple[int, float, Spacing, str]


def details(machine: Machine) -> dict[str, View]:
    """Give the details of a machine, by name."""
    found = {name: make(machine) for name, make in DETAILS.items()}
    return {name: view for name, view in found.items() if view.outlines}


def ground(machine: Machine) -> dict[str, View]:
    """Give the ground to keep clear, and who stands where by the machine; nothing if not known."""
    try:
        found = zone(machine)
    except ValueError:
        return {}
    n, near = machine.number, found.winding
    long = 0.5 * n("frame.sill_length")
    wide = 0.5 * n("axle.span") + n("frame.sill_width")
    base = _box(-long, long, -wide, wide)
    ahead, behind, beside = found.clear_ahead, found.clear_behind, found.clear_beside
    standing = [one for one in found.people if one.x is not None and one.z is not None]
    labels = {one.key: (one.x or 0.0, one.z or 0.0) for one in standing}
    view = View(
        title="Ground to keep clear, from above; ahead is to the right",
        outlines=[(THIN, found.outline()), base],
        sizes=[
            _level("clear ahead", 0.0, ahead, 0.0, "below"),
            _level("clear behind", -behind, 0.0, 0.0, "below"),
            _upright("clear beside", 0.0, beside, 0.0, "left"),
        ],
    )
    places = View(
        title="Who stands where by the machine, from above; ahead is to the right",
        outlines=[_box(-near.sweep, near.sweep, -near.half_width, near.half_width, THIN), base],
        circles=[(x, z, PERSON) for x, z in labels.values()],
        sizes=[
            _level("sweep of arm and empty sling", 0.0, near.sweep, near.half_width, "below"),
            *(_level(f"{key} along", 0.0, x, z, "above") for key, (x, z) in labels.items() if x),
            *(_upright(f"{key} beside", 0.0, z, x, "right") for key, (x, z) in labels.items() if z),
        ],
        labels=[(x, z, f"{i}") for i, (x, z) in enumerate(labels.values(), 1)],
        notes=[
            form("{} {}: {}")(f"{i}", one.who, where(one.x, one.z))
            for i, one in enumerate(standing, 1)
        ],
    )
    return {"ground": view, "places": places}


def _box(left: float, right: float, low: float, high: float, layer: str = OUTLINE) -> Outline:
    """Give a box between two places along and two up, in whichever order they come."""
    return layer, np.array([[left, low], [right, low], [right, high], [left, high]])


def _bar(start: Place, angle: float, long: float, half: float) -> Outline:
    """Give a bar from a place on, at an angle to the level."""
    along = np.array([math.cos(angle), math.sin(angle)])
    across = half * np.array([-along[1], along[0]])
    near, far = np.array(start), np.array(start) + long * along
    return OUTLINE, np.array([near + across, far + across, far - across, near - across])


def _level(name: str, left: float, right: float, at: float, side: str) -> Size:
    return Size(name=name, start=(left, at), end=(right, at), side=side)


def _upright(name: str, low: float, high: float, at: float, side: str) -> Size:
    return Size(name=name, start=(at, low), end=(at, high), side=side)


def _frame_bolts(machine: Machine) -> Bolts:
    """Bolts of a joint: how many, their diameter [m], their least distances, and all in words."""
    n, size = machine.number, materials.bolt_size(machine.text("frame.bolt"))
    least, plate = bolt_spacing(size.diameter, 0.0), n("frame.plate")
    edge = bolt_spacing(size.diameter, 0.5 * math.pi).loaded_edge
    count = round(n("frame.bolts"))
    held = form("steel plates of {:m} on both sides")(plate) if plate > 0.0 else "timbers lapped"
    words = form(
        "{} bolts {}, grade {}, in each timber; {}; at least {} apart, {} to an end, {} to an edge"
    )(
        *(f"{count}", size.name, machine.text("frame.bolt_grade"), held),
        *(Amount(one, "m", 4, edge) for one in (least.along, least.loaded_end, edge)),
    )
    return count, size.diameter, least, words


def _row(
    start: Place, angle: float, first: float, bolts: tuple[int, float, Spacing, str]
) -> list[tuple[float, float, float]]:
    """Give a row of bolts as circles, from a place on."""
    count, diameter, least, _ = bolts
    steps = [first + least.along * k for k in range(count)]
    x, y = start
    return [(x + math.cos(angle) * s, y + math.sin(angle) * s, 0.5 * diameter) for s in steps]


def _arm(machine: Machine) -> View:
    n = machine.number
    long, short, thick, thin = (
        n(f"arm.{key}") for key in ("long", "short", "depth_at_axle", "depth_at_tip")
    )
    butt = next(one for one in cut_list(machine).pieces if one.key == "arm").length - long
    prong, pin = n("prong.diameter"), n("hanger.pin")
    turned = machine.text("arm.section") == "round"
    wide, narrow = (thick, thin) if turned else (n("arm.width_at_axle"), n("arm.width_at_tip"))
    below = -2.0 * (thick + wide)

    def tapered(near: float, far: float, level: float) -> Outline:
        high = [(-butt, near), (0.0, near), (long, far)]
        corners = [(x, level + 0.5 * y) for x, y in high]
        corners += [(x, level - 0.5 * y) for x, y in reversed(high)]
        return OUTLINE, np.array(corners)

    sizes = [
        _level("arm.long", 0.0, long, 0.5 * thick, "above"),
        _level("arm.short", -short, 0.0, 0.5 * thick, "above"),
        _level("prong.length", long, long + n("prong.length"), 0.0, "above"),
        _upright("arm.depth_at_axle", -0.5 * thick, 0.5 * thick, -butt, "left"),
        _upright("arm.depth_at_tip", -0.5 * thin, 0.5 * thin, long, "right"),
    ]
    if not turned:
        sizes += [
            _upright("arm.width_at_axle", below - 0.5 * wide, below + 0.5 * wide, -butt, "left"),
            _upright("arm.width_at_tip", below - 0.5 * narrow, below + 0.5 * narrow, long, "right"),
        ]
    holes = [(0.0, 0.0, 0.5 * n("arm.hole"))] if n("arm.hole") > 0.0 else []
    if machine.flag("counterweight.hung"):
        holes.append((-short, 0.0, 0.5 * pin))
    return View(
        title="Arm with its taper and prong, from the side and from above",
        outlines=[
            tapered(thick, thin, 0.0),
            tapered(wide, narrow, below),
            _box(long, long + n("prong.length"), -0.5 * prong, 0.5 * prong),
        ],
        circles=holes,
        sizes=sizes,
        notes=[
            form("{}, {}; holes of {:m} for the axle and {:m} for the hanger pin; prong {:m}, {}")(
                *(machine.text("arm.timber"), machine.text("arm.section"), n("arm.hole"), pin),
                *(prong, machine.text("prong.grade")),
            )
        ],
    )


def _head(machine: Machine) -> View:
    n = machine.number
    deep, rod = n("frame.leg_depth"), 0.5 * n("axle.diameter")
    lean, bolts = math.atan2(n("axle.height"), 0.5 * n("frame.spread")), _frame_bolts(machine)
    first = rod + bolts[2].loaded_end
    legs, holes = [], [(0.0, 0.0, rod)]
    for angle in (-lean, lean - math.pi):
        top = (-LAP * deep * math.cos(angle), -LAP * deep * math.sin(angle))
        legs.append(_bar(top, angle, (SEEN + LAP) * deep, 0.5 * deep))
        holes += _row((0.0, 0.0), angle, first, bolts)
    end = legs[0][1]
    return View(
        title="Joint at the head of the legs, one A-frame",
        outlines=legs,
        circles=holes,
        sizes=[
            Size(name="frame.leg_depth", start=tuple(end[2]), end=tuple(end[1]), side="along"),
            _level("axle.diameter", -rod, rod, 0.0, "above"),
        ],
        notes=[bolts[3]],
    )


def _axle(machine: Machine) -> View:
    n = machine.number
    rod, inner, bearing = 0.5 * n("axle.diameter"), 0.5 * n("axle.span"), n("axle.bearing")
    hub, wide = 0.5 * n("axle.hub"), 0.5 * n("arm.width_at_axle")
    thick, legs, reach = 0.5 * n("arm.depth_at_axle"), n("frame.leg_width"), n("axle.support")
    out, low = inner + bearing, 3.0 * (rod + thick)
    outlines = [
        _box(-out, out, -rod, rod),
        _box(-wide, wide, -thick, thick),
        *([_box(-hub, hub, -1.5 * rod, 1.5 * rod, THIN)] if hub > wide else []),
    ]
    sizes = [
        _level("axle.span", -inner, inner, -low, "below"),
        _level("axle.bearing", inner, out, -2.0 * rod, "below"),
        _level("arm.width_at_axle", -wide, wide, thick, "above"),
        _level("axle.hub", -hub, hub, thick, "above"),
        _upright("axle.diameter", -rod, rod, -out, "left"),
        _level("frame.leg_width", -inner - legs, -inner, -low, "below"),
    ]
    for side in (1.0, -1.0):
        outlines.append(_box(side * inner, side * out, -2.0 * rod, 2.0 * rod, THIN))
        outlines.append(_box(side * inner, side * (inner + legs), -low, -2.0 * rod))
        if reach > 0.0:
            deep = n("axle.support_depth")
            outlines.append(_box(side * (inner - reach), side * inner, -rod - deep, -rod))
    if reach > 0.0:
        sizes.append(_level("axle.support", inner - reach, inner, -rod, "below"))
    turns = "turns in its bushings" if machine.flag("axle.turns") else "stands still"
    return View(
        title="Axle with its bushings and supports, along the throw",
        outlines=outlines,
        sizes=sizes,
        notes=[
            f"{machine.text('axle.grade')}, {turns}; bushings: {machine.text('axle.bushing')}; "
            "their outer size is not set by a dial"
        ],
    )


def _hanger(machine: Machine) -> View:
    if not machine.flag("counterweight.hung"):
        return View(title="Hanger", outlines=(), sizes=())
    n = machine.number
    wide, gap, pin = 0.5 * n("arm.width_at_axle"), n("hanger.gap"), 0.5 * n("hanger.pin")
    thick, strap, count = n("hanger.strap_thickness"), n("hanger.strap_width"), n("hanger.straps")
    hang, high, arm = n("counterweight.hanger"), n("counterweight.height"), n("arm.depth_at_axle")
    outer = wide + gap + 0.5 * count * thick
    rod = next(one for one in cut_list(machine).pieces if one.key == "pin").length
    low, beside = -hang - 0.5 * high, outer + rod
    outlines = [_box(-wide, wide, -0.5 * arm, 0.5 * arm), _box(-0.5 * rod, 0.5 * rod, -pin, pin)]
    for side in (1.0, -1.0):
        for k in range(round(0.5 * count)):
            near = wide + gap + k * thick
            outlines.append(_box(side * near, side * (near + thick), low, strap))
    outlines.append(_box(beside - 0.5 * strap, beside + 0.5 * strap, low, strap))
    bolt, bolts = materials.bolt_size(machine.text("hanger.bolt")), round(n("hanger.bolts"))
    apart = high / bolts
    holes = [(beside, low + (k + 0.5) * apart, 0.5 * bolt.diameter) for k in range(bolts)]
    return View(
        title="Hanger: straps and pin, along the throw, and a strap from the side",
        outlines=outlines,
        circles=[*holes, (beside, 0.0, pin)],
        sizes=[
            _upright("counterweight.hanger", -hang, 0.0, -outer, "left"),
            _upright("hanger.pin", -pin, pin, -0.5 * rod, "left"),
            _level("arm.width_at_axle", -wide, wide, strap, "above"),
            _level("hanger.gap", wide, wide + gap, strap, "above"),
            _level("hanger.strap_thickness", wide + gap, wide + gap + thick, strap, "below"),
            _level("hanger.strap_width", beside - 0.5 * strap, beside + 0.5 * strap, low, "below"),
            _upright("bolts apart", low + 0.5 * apart, low + 1.5 * apart, beside, "right"),
        ],
        notes=[
            f"{count:g} straps, {machine.text('hanger.grade')}; in each {bolts} bolts {bolt.name}, "
            f"grade {machine.text('hanger.bolt_grade')}, through the side of the box"
        ],
    )


def _counterweight(machine: Machine) -> View:
    n = machine.number
    wide, deep, high, side, floor = (
        n(f"counterweight.{key}") for key in ("width", "breadth", "height", "side", "floor")
    )
    start = wide + 0.5 * deep
    end = start + deep
    return View(
        title="Counterweight box, from the side and along the throw",
        outlines=[
            _box(0.0, wide, 0.0, high),
            _box(start, end, 0.0, floor),
            _box(start, start + side, floor, high),
            _box(end - side, end, floor, high),
        ],
        sizes=[
            _level("counterweight.width", 0.0, wide, 0.0, "below"),
            _level("counterweight.breadth", start, end, 0.0, "below"),
            _level("counterweight.side", start, start + side, high, "above"),
            _upright("counterweight.height", 0.0, high, 0.0, "left"),
            _upright("counterweight.floor", 0.0, floor, end, "right"),
        ],
        notes=[
            f"{machine.text('counterweight.timber')}; {n('counterweight.bolts'):g} bolts "
            f"{machine.text('hanger.bolt')} in each joint of floor and sides: a bearer along each "
            "side under the floor, a post in each corner, as thick as the sides"
        ],
    )


def _sling(machine: Machine) -> View:
    n = machine.number
    long, cord, pouch = n("sling.length"), n("sling.rope_diameter"), 0.5 * n("sling.pouch_width")
    widest = max((load.diameter for load in brief_loads(machine)), default=0.0)
    round_it = 0.5 * math.pi * max(widest, n("projectile.diameter"))
    near = long - 0.5 * round_it
    cords = [
        _box(0.0, near, at - 0.5 * cord, at + 0.5 * cord) for at in (0.5 * pouch, -0.5 * pouch)
    ]
    return View(
        title="Sling and pouch, laid flat; cords side by side",
        outlines=[*cords, _box(near, near + round_it, -pouch, pouch)],
        sizes=[
            _level("sling.length", 0.0, long, -pouch, "below"),
            _level("half round the widest projectile", near, near + round_it, pouch, "above"),
            _upright("sling.pouch_width", -pouch, pouch, near + round_it, "right"),
            _upright("sling.rope_diameter", 0.5 * (pouch - cord), 0.5 * (pouch + cord), 0, "left"),
        ],
        notes=[
            f"{n('sling.cords'):g} cords of {machine.text('sling.rope')}, "
            f"{machine.text('sling.knot')} at the ends; length from the ring to the middle of the "
            "projectile; pouch without seams"
        ],
    )


def _sill(machine: Machine) -> View:
    n = machine.number
    leg, deep, half = n("frame.leg_depth"), n("frame.sill_depth"), 0.5 * n("frame.spread")
    lean, bolts = math.atan2(n("axle.height"), half), _frame_bolts(machine)
    past, back = 0.5 * n("frame.sill_length") - half, SEEN * leg
    foot = _bar((0.0, 0.0), math.pi - lean, SEEN * leg + deep, 0.5 * leg)
    row = 0.5 * (bolts[0] - 1) * bolts[2].along
    across = (0.5 * deep / math.tan(lean), 0.5 * deep)
    return View(
        title="Foot of a leg on its sill",
        outlines=[
            foot,
            _box(-back, past, 0.0, deep),
            _box(-0.5 * deep, 0.5 * deep, 0.0, deep, THIN),
        ],
        circles=_row((-across[0], across[1]), 0.0, -row, bolts),
        sizes=[
            Size(
                name="frame.leg_depth",
                start=tuple(foot[1][1]),
                end=tuple(foot[1][2]),
                side="along",
            ),
            _upright("frame.sill_depth", 0.0, deep, past, "right"),
            _level("foot to sill's end", 0.0, past, 0.0, "below"),
        ],
        notes=[bolts[3]],
    )


def _winch(machine: Machine) -> View:
    n, rig = machine.number, rig_of(machine)
    drum, wide, crank = 0.5 * n("winch.drum"), 0.5 * rig.drum_width, n("winch.crank")
    pawl = ratchet_of(winch_numbers(machine), rig)
    start = wide + 2.0 * crank
    return View(
        title="Winch drum with its flanges, and its ratchet and crank from the side",
        outlines=[
            _box(-wide, wide, -drum, drum),
            _box(start, start + crank, -0.1 * drum, 0.1 * drum, THIN),
            *(_box(s * wide, s * (wide + 0.1 * drum), -pawl, pawl) for s in (1.0, -1.0)),
        ],
        circles=[(start, 0.0, drum), (start, 0.0, pawl)],
        sizes=[
            _level("rig.drum_width", -wide, wide, drum, "above"),
            _level("winch.crank", start, start + crank, 0.0, "below"),
            _upright("winch.drum", -drum, drum, -wide, "left"),
            _upright("pawl's radius", 0.0, pawl, start, "right"),
        ],
        notes=[
            form("rope of {:m}, {}; {:g} teeth; {:g} parts of line; gear {:g}; {}")(
                *(n("winch.rope"), machine.text("rope.rope_kind"), n("rig.teeth")),
                *(n("winch.parts"), n("winch.gear")),
                "flanges at least as high as the pawl's circle",
            )
        ],
    )


DETAILS: dict[str, Callable[[Machine], View]] = {
    "arm": _arm,
    "head": _head,
    "axle": _axle,
    "hanger": _hanger,
    "box": _counterweight,
    "sling": _sling,
    "sill": _sill,
    "winch": _winch,
}
"""What draws each detail."""

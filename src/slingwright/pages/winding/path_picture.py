"""The rope's path in the side view: tackle, lead block and winch, arm at rest and cocked.

What arm, sling and projectile sweep is drawn with it, and the line on which the rope's pull dies.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.figures import figures
from slingwright.machine.outline import frame
from slingwright.pages.pictures import canvas
from slingwright.pages.pictures.canvas import GREEN, KEPT, NOW, Picture, Points, mark, picture
from slingwright.pages.winding.controller import WindingController, Wound
from slingwright.winch.path.place import clearance_wanted, sling_clearance, swept_clearance
from slingwright.winch.path.reeving import Reeving
from slingwright.winch.rig import WinchNumbers

Pair = tuple[float, float]
SWEPT = "rgba(176,111,143,0.13)"
FAINT_WOOD = "#b7a48d"
REST = 0.5 * math.pi


def rope_path(page: WindingController, system: units.System, points: Points) -> Picture:
    """Draw the rope's path to scale, cocked and at rest, and say whether the winch is clear."""
    now, n = page.now, page.now.numbers
    if n is None:
        return canvas.no_picture("path", "Rope's path", now.why("winding"))
    one, label = units.factor("m", system)
    laid, winch = now.laid, (n.winch_x, n.winch_y)
    block = winch if laid is None else laid.block
    led = laid is not None and laid.rig.rigging == "led"
    places = [n, *([replace(n, winch_x=block[0], winch_y=block[1])] if led else [])]
    gaps = (
        min(swept_clearance(place) for place in places),
        min(_sling_gap(now, place) for place in places),
    )
    wanted = clearance_wanted(n)
    clear = min(gaps) >= wanted
    colour = GREEN if clear else KEPT
    what = "winch and block" if led else "winch"
    first, second = dead_points(n.axle_height, *block)
    dead = np.array([_at(n, first, n.on_arm), _at(n, second, n.on_arm)])
    turn = np.linspace(0.0, 2.0 * math.pi, 41)
    drum_x, drum_y = (0.5 * n.drum * f(turn) for f in (np.cos, np.sin))
    lines: list[dict[str, Any]] = [
        *_swept(points, now, n, one),
        *_standing(points, now, one),
        *_machine(points, n, REST, FAINT_WOOD, one),
        *_machine(points, n, -n.cocked, canvas.WOOD, one),
        # An arm that lies on this line cannot be pulled.
        points.way(dead / one, canvas.PINK, "dead line", width=1.4, dash=[10, 3, 2, 3]),
        *_rope(points, laid, 0, one, KEPT, "rope at rest", 7, 4),
        *_rope(points, laid, -1, one, NOW, "rope, cocked"),
        points.patch((winch[0] + drum_x) / one, (winch[1] + drum_y) / one, colour, width=2),
    ]
    aside = f", {figures(n.aside, 'm', system, 2)} off centre" if n.aside > 0.0 else ""
    looks = colour, "circle" if clear else "frame"
    marks = [mark(winch[0] / one, winch[1] / one, f"winch{aside}", *looks)]
    if led:
        marks.append(mark(block[0] / one, block[1] / one, "lead block", NOW, "square"))
    x, y = _at(n, first, 0.98 * n.on_arm)
    dead_words = f"dead point, {math.degrees(first):.0f}\N{DEGREE SIGN}"
    marks.append(mark(x / one, y / one, dead_words, canvas.PINK, "diamond"))
    left = min(-1.04 * n.arm_long, n.winch_x - n.drum, block[0])
    right = max(n.arm_short + 0.5 * n.box_width, 0.35 * n.arm_long, n.winch_x + n.drum)
    top = n.axle_height + 1.04 * n.arm_long
    return picture(
        "path", f"Rope's path; {what} {'clear' if clear else 'in the way'}",
        _words(n, gaps, wanted, (first, second), block, led, system),
        (f"along [{label}]", left / one, right / one),
        (f"height [{label}]", -0.02 * top / one, top / one), lines, marks=marks,
        rules=[{"y": 0.0, "colour": canvas.GROUND, "dash": []}], equal=True,
    )  # fmt: skip


def dead_points(axle_height: float, x: float, y: float) -> tuple[float, float]:
    """Give the two arm elevations at which the rope's line passes the axle [rad].

    The first is with the arm pointing at the block, the second pointing away from it; between
    them, over the top, a pull winds the arm down.

    >>> [round(math.degrees(one)) for one in dead_points(4.0, -4.0, 0.0)]
    [-45, 135]
    """
    first = math.atan2(y - axle_height, -x)
    if first > REST:
        first -= 2.0 * math.pi
    return first, first + math.pi


def _sling_gap(now: Wound, numbers: WinchNumbers) -> float:
    """Gap between the drum and what sling and projectile sweep [m]."""
    rolled = np.asarray(now.throw.base)[:, None] * (1.0, 0.0)
    return sling_clearance(
        numbers,
        np.asarray(now.throw.tip) - rolled,
        np.asarray(now.throw.ball) - rolled,
        0.5 * now.machine.number("projectile.diameter"),
    )


def _words(
    n: WinchNumbers, gaps: Pair, wanted: float, dead: Pair, block: Pair, led: bool,
    system: units.System,
) -> str:  # fmt: skip
    def text(value: float) -> str:
        return figures(value, "m", system)

    way = "over a lead block to the winch" if led else "straight to the winch"
    side = "behind" if n.winch_x < 0.0 else "in front of"
    below, past = -n.cocked - dead[0], dead[1] - REST
    margin = (
        f"the arm could go {math.degrees(below):.0f} degrees below cocked and "
        f"{math.degrees(past):.0f} degrees past upright before the rope passes the axle and "
        "pulls no more"
    )
    if min(below, past) <= 0.0:
        margin = "the rope passes the axle within the winding: there no pull lowers the arm"
    return (
        f"Side view to scale, arm upright at rest and cocked. The tackle of {n.parts:.0f} "
        f"part{'' if n.parts == 1 else 's'} takes the arm {text(n.on_arm)} from the axle and leads "
        f"{way}, {text(abs(n.winch_x))} {side} the axle, {text(n.winch_y)} up and {text(n.aside)} "
        f"off the centre line. Gap to arm and counterweight {text(gaps[0])}, to sling and "
        f"projectile {text(gaps[1])}; {text(wanted)} wanted. Dead points: "
        f"{margin}.{_slant(n, block)}"
    )


def _slant(n: WinchNumbers, block: tuple[float, float]) -> str:
    """Say what a rope that is not led along the plane of the throw would pull more."""
    x, y = _at(n, -n.cocked, n.on_arm)
    span = math.dist((x, y), block)
    if not (n.aside > 0.0 and span > 0.0):
        return ""
    slant = math.atan2(n.aside, span)
    return (
        " The rope is taken to run along the plane of the throw, from a crossbar on the arm that "
        "is as wide as the drums stand apart; from the middle of the arm it would slant by "
        f"{math.degrees(slant):.0f} degrees when cocked and pull "
        f"{100.0 * (1.0 / math.cos(slant) - 1.0):.0f} % harder."
    )


def _at(n: WinchNumbers, elevation: float, along: float) -> tuple[float, float]:
    """Give a point of the arm, from the axle toward the tip."""
    return -along * math.cos(elevation), n.axle_height + along * math.sin(elevation)


def _machine(
    points: Points, n: WinchNumbers, elevation: float, colour: str, one: float
) -> list[dict[str, Any]]:
    ends = np.array([_at(n, elevation, -n.arm_short), _at(n, elevation, n.arm_long)])
    pin = ends[0]
    down = np.array([0.0, -1.0]) if n.hung else (pin - (0.0, n.axle_height)) / n.arm_short
    centre = pin + (n.hanger * down if n.hung else 0.0)
    side = np.array([-down[1], down[0]])
    wide, high = 0.5 * n.box_width, 0.5 * n.box_height
    corners = ((-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1))
    box = np.array([centre + a * wide * side + b * high * down for a, b in corners])
    made = [
        points.way(ends / one, colour, width=5 if colour == canvas.WOOD else 3),
        points.way(box / one, colour, width=1.5),
    ]
    if n.hung and n.hanger > 0.0:
        made.append(points.way(np.array([pin, centre]) / one, colour, width=1.5))
    return made


def _standing(points: Points, now: Wound, one: float) -> list[dict[str, Any]]:
    stand = frame(now.machine, now.throw)
    left, right = stand.feet
    legs = np.array([[left, stand.sill], [0.0, stand.axle], [right, stand.sill]])
    sill = np.array([[left, stand.sill], [right, stand.sill]])
    trough = np.array([(x, stand.trough_height) for x in stand.trough])
    return [
        points.way(trough / one, "#b08d57"),
        points.way(sill / one, "#6b4f2a"),
        points.way(legs / one, "#8a6a3d"),
    ]


def _swept(points: Points, now: Wound, n: WinchNumbers, one: float) -> list[dict[str, Any]]:
    sweep = np.linspace(-n.cocked, math.pi + n.cocked, 61)
    x = np.append(-n.arm_long * np.cos(sweep), 0.0)
    y = np.append(n.axle_height + n.arm_long * np.sin(sweep), n.axle_height)
    way = np.asarray(now.throw.ball) - np.asarray(now.throw.base)[:, None] * (1.0, 0.0)
    if now.throw.outcome == "released":
        # afterwards the empty sling swings on: counted in the gap, but a tangle to look at
        way = way[np.asarray(now.throw.time) <= now.throw.release.time]
    name = "path of the projectile"
    return [
        points.patch(x / one, y / one, SWEPT),
        points.way(way / one, canvas.PINK, name, width=1.2, dash=[2, 3]),
    ]


def _rope(
    points: Points, laid: Reeving | None, k: int, one: float, colour: str, name: str, *dash: int
) -> list[dict[str, Any]]:
    ways = () if laid is None else laid.ways(k)
    return [
        points.way(way / one, colour, "" if part else name, width=1.6, dash=dash)
        for part, way in enumerate(ways)
    ]

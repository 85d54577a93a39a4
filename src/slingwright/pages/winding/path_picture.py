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
from slingwright.pages.pictures.scenes import GREEN, GROUND, KEPT, NOW, PINK, WOOD, Picture, Points
from slingwright.pages.winding.controller import Wound
from slingwright.pages.winding.pictures import curve, mark, no_picture, patch
from slingwright.winch.path.place import clearance_wanted, sling_clearance, swept_clearance
from slingwright.winch.path.reeving import Reeving
from slingwright.winch.rig import WinchNumbers

SWEPT = "rgba(176,111,143,0.13)"
FAINT_WOOD = "#b7a48d"
REST = 0.5 * math.pi


def rope_path(now: Wound, kept: Wound | None, system: units.System, points: Points) -> Picture:
    """Draw the rope's path to scale, cocked and at rest, and say whether the winch is clear."""
    numbers = now.numbers
    if numbers is None:
        return no_picture("path", "Rope's path", now.troubles.get("winding", ""))
    n = numbers
    one, label = units.factor("m", system)
    laid = now.laid
    block = (n.winch_x, n.winch_y) if laid is None else laid.block
    led = laid is not None and laid.rig.rigging == "led"
    places = [n, *([replace(n, winch_x=block[0], winch_y=block[1])] if led else [])]
    gaps = (
        min(swept_clearance(place) for place in places),
        min(_sling_gap(now, place) for place in places),
    )
    wanted = clearance_wanted(n)
    clear = min(gaps) >= wanted
    what = "winch and block" if led else "winch"
    first, second = dead_points(n.axle_height, *block)
    lines: list[dict[str, Any]] = [
        *_swept(points, now, n, one),
        *_standing(points, now, one),
        *_machine(points, n, REST, FAINT_WOOD, one),
        *_machine(points, n, -n.cocked, WOOD, one),
        _dead_line(points, n, block, one),
        *(_rope(points, laid, 0, one, KEPT, "rope at rest", [7, 4]) if laid else ()),
        *(_rope(points, laid, -1, one, NOW, "rope, cocked", []) if laid else ()),
    ]
    winch = (n.winch_x, n.winch_y)
    turn = np.linspace(0.0, 2.0 * math.pi, 41)
    colour = GREEN if clear else KEPT
    lines.append(
        {
            **patch(
                points,
                (winch[0] + 0.5 * n.drum * np.cos(turn)) / one,
                (winch[1] + 0.5 * n.drum * np.sin(turn)) / one,
                colour,
            ),
            "width": 2,
        }
    )
    aside = f", {figures(n.aside, 'm', system, 2)} off centre" if n.aside > 0.0 else ""
    marks = [
        mark(
            winch[0] / one, winch[1] / one, f"winch{aside}", colour, "circle" if clear else "frame"
        )
    ]
    if led:
        marks.append(mark(block[0] / one, block[1] / one, "lead block", NOW, "square"))
    left = min(-1.04 * n.arm_long, n.winch_x - n.drum, block[0])
    right = max(n.arm_short + 0.5 * n.box_width, 0.35 * n.arm_long, n.winch_x + n.drum)
    top = n.axle_height + 1.04 * n.arm_long
    at_first = math.degrees(first)
    return {
        "key": "path",
        "title": f"Rope's path; {what} {'clear' if clear else 'in the way'}",
        "words": _words(n, gaps, wanted, (first, second), block, led, system),
        "equal": True,
        "x": {"label": f"along [{label}]", "low": left / one, "high": right / one},
        "y": {"label": f"height [{label}]", "low": -0.02 * top / one, "high": top / one},
        "lines": lines,
        "marks": [
            *marks,
            mark(
                0.98 * n.on_arm * -math.cos(first) / one,
                (n.axle_height + 0.98 * n.on_arm * math.sin(first)) / one,
                f"dead point, {at_first:.0f}\N{DEGREE SIGN}",
                PINK,
                "diamond",
            ),
        ],
        "rules": [{"y": 0.0, "colour": GROUND, "dash": []}],
    }


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
    n: WinchNumbers,
    gaps: tuple[float, float],
    wanted: float,
    dead: tuple[float, float],
    block: tuple[float, float],
    led: bool,
    system: units.System,
) -> str:
    """Say what the picture shows."""

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
    """Draw arm and weight at one elevation."""
    ends = np.array([_at(n, elevation, -n.arm_short), _at(n, elevation, n.arm_long)]) / one
    pin = np.array(_at(n, elevation, -n.arm_short))
    down = np.array([0.0, -1.0]) if n.hung else (pin - (0.0, n.axle_height)) / n.arm_short
    centre = pin + (n.hanger * down if n.hung else 0.0)
    side = np.array([-down[1], down[0]])
    wide, high = 0.5 * n.box_width, 0.5 * n.box_height
    box = [
        centre + a * wide * side + b * high * down
        for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1))
    ]
    x, y = np.array(box).T / one
    made = [
        curve(points, ends[:, 0], ends[:, 1], colour, width=5 if colour == WOOD else 3),
        curve(points, x, y, colour, width=1.5),
    ]
    if n.hung and n.hanger > 0.0:
        hanger = np.array([pin, centre]).T / one
        made.append(curve(points, hanger[0], hanger[1], colour, width=1.5))
    return made


def _standing(points: Points, now: Wound, one: float) -> list[dict[str, Any]]:
    """Draw legs, sill and trough."""
    stand = frame(now.machine, now.throw)
    left, right = stand.feet
    legs = np.array([[left, stand.sill], [0.0, stand.axle], [right, stand.sill]]).T / one
    sill = np.array([[left, stand.sill], [right, stand.sill]]).T / one
    trough = np.array([stand.trough, (stand.trough_height, stand.trough_height)]) / one
    return [
        curve(points, trough[0], trough[1], "#b08d57", width=2),
        curve(points, sill[0], sill[1], "#6b4f2a", width=2),
        curve(points, legs[0], legs[1], "#8a6a3d", width=2),
    ]


def _swept(points: Points, now: Wound, n: WinchNumbers, one: float) -> list[dict[str, Any]]:
    """Shade what the arm sweeps, and draw the projectile's way."""
    sweep = np.linspace(-n.cocked, math.pi + n.cocked, 61)
    x = np.append(-n.arm_long * np.cos(sweep), 0.0) / one
    y = np.append(n.axle_height + n.arm_long * np.sin(sweep), n.axle_height) / one
    way = np.asarray(now.throw.ball) - np.asarray(now.throw.base)[:, None] * (1.0, 0.0)
    if now.throw.outcome == "released":
        # afterwards the empty sling swings on: counted in the gap, but a tangle to look at
        way = way[np.asarray(now.throw.time) <= now.throw.release.time]
    return [
        patch(points, x, y, SWEPT),
        curve(points, way[:, 0] / one, way[:, 1] / one, PINK, "path of the projectile", width=1.2,
              dash=[2, 3]),
    ]  # fmt: skip


def _rope(
    points: Points,
    laid: Reeving,
    k: int,
    one: float,
    colour: str,
    name: str,
    dash: list[int],
) -> list[dict[str, Any]]:
    """Draw the parts of the rope side by side, at one moment."""
    return [
        curve(
            points,
            way[:, 0] / one,
            way[:, 1] / one,
            colour,
            "" if part else name,
            width=1.6,
            dash=dash,
        )
        for part, way in enumerate(laid.ways(k))
    ]


def _dead_line(
    points: Points, n: WinchNumbers, block: tuple[float, float], one: float
) -> dict[str, Any]:
    """Draw the line through block and axle: an arm that lies on it cannot be pulled."""
    first, second = dead_points(n.axle_height, *block)
    line = np.array([_at(n, first, n.on_arm), _at(n, second, n.on_arm)]).T / one
    return curve(points, line[0], line[1], PINK, "dead line", width=1.4, dash=[10, 3, 2, 3])

"""The machine's outline in the side view: what is drawn, in metres, on screen and in print.

The motion knows arm, counterweight, sling and base; the feet stand where `frame.spread` puts them,
sill and wheels are drawn in proportion to the axle's height and stand for no checked design.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from slingwright.machine.machine import Machine


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """What stands still on the base, from under the axle at rest, in metres."""

    axle: float
    feet: tuple[float, float]
    sill: float
    trough: tuple[float, float]
    trough_height: float
    wheels: tuple[float, ...]


def frame(machine: Machine, throw: Any) -> Frame:
    """Give the standing parts: feet, sill, trough over the path of the projectile, wheels."""
    height = machine.number("axle.height")
    reach = 0.5 * machine.number("frame.spread")
    on_wheels = machine.flag("base.wheels")
    in_trough = np.asarray(throw.phase) == 1
    room = 0.06 * machine.number("arm.long") + machine.number("projectile.diameter")
    ball = np.asarray(throw.ball)[:, 0] - np.asarray(throw.base)
    way = ball[in_trough] if in_trough.any() else ball[:1]
    start = float(np.nanmin(way)) - room
    end = max(float(np.nanmax(way)) + room, reach)
    return Frame(
        axle=height,
        feet=(-reach, reach),
        sill=(0.08 if on_wheels else 0.02) * height,
        trough=(start, end),
        trough_height=machine.number("trough.height"),
        wheels=(-0.8 * reach, 0.8 * reach) if on_wheels else (),
    )


def box_corners(machine: Machine, throw: Any, index: int) -> np.ndarray:
    """Give the closed outline of the counterweight box at one moment, shape (5, 2), in metres."""
    wide = 0.5 * machine.number("counterweight.width")
    high = 0.5 * machine.number("counterweight.height")
    pin, weight = np.asarray(throw.pin)[index], np.asarray(throw.weight)[index]
    down = weight - pin
    if not machine.flag("counterweight.hung") or float(np.hypot(*down)) < 1e-9:
        down = pin - np.asarray(throw.axle)[index]
    turn = math.atan2(float(down[0]), -float(down[1]))
    cos, sin = math.cos(turn), math.sin(turn)
    corners = np.array([[-wide, -high], [wide, -high], [wide, high], [-wide, high], [-wide, -high]])
    return weight + corners @ np.array([[cos, sin], [-sin, cos]])


def arm_outline(machine: Machine, throw: Any, index: int) -> np.ndarray:
    """Give the closed outline of the arm at one moment, shape (7, 2), in metres."""
    tip, pin = np.asarray(throw.tip)[index], np.asarray(throw.pin)[index]
    axle = np.asarray(throw.axle)[index]
    along = tip - axle
    along = along / float(np.hypot(*along))
    across = np.array([-along[1], along[0]])
    thick = 0.5 * machine.number("arm.depth_at_axle") * across
    thin = 0.5 * machine.number("arm.depth_at_tip") * across
    butt = pin - 0.5 * machine.number("arm.depth_at_axle") * along
    return np.array(
        [butt + thick, axle + thick, tip + thin, tip - thin, axle - thick, butt - thick]
        + [butt + thick]
    )


def outline(machine: Machine, throw: Any, index: int = 0) -> Mapping[str, np.ndarray]:
    """Give every drawn part at one moment of a throw as polylines of shape (n, 2), in metres.

    Names: `trough`, `legs`, `sill`, `arm` and `box` (closed), `sling`.
    """
    stand = frame(machine, throw)
    shift = np.array([float(np.asarray(throw.base)[index]), 0.0])
    left, right = stand.feet
    return {
        "trough": shift
        + np.array(
            [[stand.trough[0], stand.trough_height], [stand.trough[1], stand.trough_height]]
        ),
        "sill": shift + np.array([[left, stand.sill], [right, stand.sill]]),
        "legs": shift + np.array([[left, stand.sill], [0.0, stand.axle], [right, stand.sill]]),
        "arm": arm_outline(machine, throw, index),
        "box": box_corners(machine, throw, index),
        "sling": np.array([np.asarray(throw.tip)[index], np.asarray(throw.ball)[index]]),
    }

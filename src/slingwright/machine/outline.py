"""The machine's outline in the side view: what is drawn, in metres, on screen and in print.

The motion knows arm, counterweight, sling and base; the feet stand where `frame.spread` puts them,
sill and wheels are drawn in proportion to the axle's height and stand for no checked design.
"""

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


def boxes(machine: Machine, axle: np.ndarray, pin: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Corners of the counterweight box at every moment, (n, 4, 2) [m]."""
    wide = 0.5 * machine.number("counterweight.width")
    high = 0.5 * machine.number("counterweight.height")
    down = weight - pin
    if not machine.flag("counterweight.hung") or float(np.hypot(*down[0])) < 1e-9:
        down = pin - axle
    down = down / np.hypot(down[:, 0], down[:, 1])[:, None]
    side = np.column_stack([-down[:, 1], down[:, 0]])
    corners = ((-wide, -high), (wide, -high), (wide, high), (-wide, high))
    return np.stack([weight + x * side + y * down for x, y in corners], axis=1)


def arms(machine: Machine, axle: np.ndarray, pin: np.ndarray, tip: np.ndarray) -> np.ndarray:
    """Outline of the arm at every moment, (n, 6, 2) [m]."""
    thick = 0.5 * machine.number("arm.depth_at_axle")
    thin = 0.5 * machine.number("arm.depth_at_tip")
    along = tip - axle
    along = along / np.hypot(along[:, 0], along[:, 1])[:, None]
    across = np.column_stack([-along[:, 1], along[:, 0]])
    butt = pin - thick * along
    return np.stack(
        [
            butt + thick * across,
            axle + thick * across,
            tip + thin * across,
            tip - thin * across,
            axle - thick * across,
            butt - thick * across,
        ],
        axis=1,
    )


def outline(machine: Machine, throw: Any, index: int = 0) -> Mapping[str, np.ndarray]:
    """Give every drawn part at one moment of a throw as polylines of shape (n, 2), in metres.

    Names: `trough`, `legs`, `sill`, `arm` and `box` (closed), `sling`.
    """
    stand = frame(machine, throw)
    shift = np.array([float(np.asarray(throw.base)[index]), 0.0])
    left, right = stand.feet
    axle, pin, tip, weight, ball = (
        np.atleast_2d(np.asarray(getattr(throw, name))[index])
        for name in ("axle", "pin", "tip", "weight", "ball")
    )
    return {
        "trough": shift
        + np.array(
            [[stand.trough[0], stand.trough_height], [stand.trough[1], stand.trough_height]]
        ),
        "sill": shift + np.array([[left, stand.sill], [right, stand.sill]]),
        "legs": shift + np.array([[left, stand.sill], [0.0, stand.axle], [right, stand.sill]]),
        "arm": _closed(arms(machine, axle, pin, tip)),
        "box": _closed(boxes(machine, axle, pin, weight)),
        "sling": np.concatenate([tip, ball]),
    }


def _closed(corners: np.ndarray) -> np.ndarray:
    return np.vstack([corners[0], corners[0, :1]])

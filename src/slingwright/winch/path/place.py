"""Where the winch stands: clear of all that moves, or the dial that brings it there."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from slingwright.formulas.winch import hauling
from slingwright.winch.rig import WinchNumbers

REST = 0.5 * math.pi  # elevation of the arm at rest: the weight straight below the axle
CLEARANCE = 0.3  # m, between the winch and anything that moves, common practice
CLEARANCE_SHARE = 1.0 / 12.0  # of the long arm, on a small machine, common practice


def clearance_wanted(numbers: WinchNumbers) -> float:
    """Gap that the winch should keep: 0.3 m, or a twelfth of the long arm if that is less [m]."""
    return min(CLEARANCE, CLEARANCE_SHARE * numbers.arm_long)


def swept_clearance(numbers: WinchNumbers) -> float:
    """Gap between the winch's drum and what the arm and the weight sweep, negative if inside [m].

    The arm sweeps a sector about the axle from cocked, over the top, to the same angle in front;
    the weight a circle of short arm, hanger and half the box's diagonal.
    """
    across, above = -numbers.winch_x, numbers.winch_y - numbers.axle_height
    distance = math.hypot(across, above)
    below = math.atan2(-above, abs(across))  # angle under the horizontal, either side
    gap = below - numbers.cocked
    if gap <= 0.0:
        arm = distance - numbers.arm_long
    elif gap >= 0.5 * math.pi:
        arm = distance  # the axle itself is nearest
    elif distance * math.cos(gap) <= numbers.arm_long:
        arm = distance * math.sin(gap)
    else:
        tip_across = numbers.arm_long * math.cos(numbers.cocked)
        tip_above = -numbers.arm_long * math.sin(numbers.cocked)
        arm = math.hypot(abs(across) - tip_across, above - tip_above)
    half = 0.5 * math.hypot(numbers.box_width, numbers.box_height)
    box = distance - (numbers.arm_short + numbers.hanger + half)
    return min(arm, box) - 0.5 * numbers.drum


def sling_clearance(
    numbers: WinchNumbers, tip: np.ndarray, ball: np.ndarray, ball_radius: float
) -> float:
    """Gap between the winch's drum and what sling and projectile sweep, negative if inside [m].

    The drum is a circle in the plane of the throw, or stands beside that plane.

    Args:
        tip: arm's tip over the throw, x and y from under the axle on the frame [m], shape (n, 2).
        ball: projectile, later the empty pouch, the same way [m], shape (n, 2).
        ball_radius: of the projectile [m].
    """
    inside = gap_in_plane(numbers, tip, ball, ball_radius)
    beside = numbers.aside - ball_radius
    return inside if beside <= 0.0 else math.hypot(max(inside, 0.0), beside)


def gap_in_plane(
    numbers: WinchNumbers, tip: np.ndarray, ball: np.ndarray, ball_radius: float
) -> float:
    """Gap between the drum and what sling and projectile sweep, both seen from the side [m].

    Args:
        tip: arm's tip over the throw [m], shape (n, 2).
        ball: projectile, later the empty pouch [m], shape (n, 2).
        ball_radius: of the projectile [m].
    """
    winch = np.array([numbers.winch_x, numbers.winch_y])
    along = ball - tip
    square = np.maximum(np.einsum("ij,ij->i", along, along), 1e-12)
    share = np.clip(np.einsum("ij,ij->i", winch - tip, along) / square, 0.0, 1.0)
    nearest = tip + share[:, None] * along - winch
    cord = float(np.min(np.hypot(nearest[:, 0], nearest[:, 1]))) - 0.5 * numbers.drum
    way = ball - winch
    body = float(np.min(np.hypot(way[:, 0], way[:, 1]))) - 0.5 * numbers.drum - ball_radius
    return min(cord, body)


def aside_needed(inside: float, ball_radius: float, clearance: float) -> float:
    """Least `winch.aside` that keeps the drum clear, in whole centimetres [m].

    Args:
        inside: gap seen from the side, negative where the ways cross [m].
        ball_radius: of the projectile [m].
        clearance: gap wanted [m].
    """
    across = math.sqrt(max(clearance**2 - max(inside, 0.0) ** 2, 0.0))
    return math.ceil(100.0 * (ball_radius + across) - 1e-9) / 100.0


def clear_place(
    numbers: WinchNumbers, clearance: float, pulls: bool = True
) -> tuple[str, float] | None:
    """Find the least move of the winch that keeps it clear of arm and counterweight.

    The winch goes down, to the rear or forward, in steps of a centimetre or two (a fiftieth of the
    long arm on a small machine), one dial at a time, as long as the rope still winds the arm down.

    Args:
        clearance: gap wanted [m].
        pulls: the tackle pulls from here, and not from a lead block elsewhere.

    Returns: Path of the dial and its new value [m], or None where no such move helps.
    """
    step = 0.01 * math.ceil(numbers.arm_long / 4.0)
    if numbers.arm_long < 0.5:
        step = numbers.arm_long / 50.0
    elevation = np.linspace(REST, -numbers.cocked, 61)
    for k in range(1, 2 + int(2.0 * numbers.arm_long / step)):
        for path, sign in (("winch.y", -1.0), ("winch.x", -1.0), ("winch.x", 1.0)):
            key = "winch_y" if path == "winch.y" else "winch_x"
            start = getattr(numbers, key)
            value = step * (math.ceil if sign > 0.0 else math.floor)(start / step) + sign * k * step
            if path == "winch.y" and value < 0.0:
                continue
            moved = replace(numbers, **{key: value})
            if swept_clearance(moved) < clearance:
                continue
            if not pulls:
                return path, value
            place = (moved.on_arm, moved.axle_height, moved.winch_x, moved.winch_y)
            lever = float(np.min(hauling.rope_lever(elevation, *place)))
            if lever > hauling.LEAST_LEVER * moved.on_arm:
                return path, value
    return None

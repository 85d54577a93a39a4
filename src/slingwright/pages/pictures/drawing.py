"""The machine as it is held, part by part: each with its rows of checks, its use and its dials."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from slingwright.amounts.text import form, told
from slingwright.amounts.units import System
from slingwright.amounts.verdict import FAILS, NOT_KNOWN, SIGNS, whole
from slingwright.machine.table import dials
from slingwright.motion.bodies import at_moments, moving_parts, standing_parts
from slingwright.strength.check import Check
from slingwright.strength.checks import Holding

PARTS: dict[str, tuple[str, ...]] = {
    "ground": ("ground.",), "sills": ("sill.", "wheel."), "trough": ("trough.", "width.trough"),
    "brace": ("brace.",), "legs and side braces": ("leg.", "side_brace.", "frame."),
    "joints of the frame": ("joint.",), "straps and hanger pin": ("strap.", "pin."),
    "counterweight box": ("box.", "rails.", "width.box"), "sling": ("sling.",),
    "prong": ("prong.",), "arm": ("arm.",), "axle": ("axle.", "support.", "width.supports"),
}  # fmt: skip
"""Parts that are drawn, the hindmost first, and how the keys of their checks begin."""
SHADES = (0.5, 0.8, 1.0)  # uses at which a part is shaded darker
SMALL = 0.018
"""Least radius of what is drawn round, as a share of the drawing's height, so that it is seen."""


def part_of(key: str) -> str:
    """Name of the drawn part that a check is of; nothing for a load case that has none."""
    return next((name for name, starts in PARTS.items() if key.startswith(starts)), "")


def drawn_parts(held: Holding, system: System) -> dict[str, Any] | None:
    """Give the drawing: its box (x, y, width, height), and the parts with outlines, in mm.

    Nothing where nothing is thrown.
    """
    if not any(case.throw for case in held.cases):
        return None
    places = _places(held)
    every = np.concatenate([shape for shapes in places.values() for shape in shapes])
    low, high = every.min(axis=0), every.max(axis=0)
    return {
        "box": [round(float(one)) for one in (low[0], low[1], *(high - low))],
        "parts": [
            {
                "name": name,
                "shapes": [" ".join(f"{x:.0f},{y:.0f}" for x, y in one) for one in places[name]],
                **_told(checks, system),
            }
            for name, checks in _rows(held).items()
        ],
    }


def used_parts(held: Holding, system: System) -> dict[str, dict[str, Any]]:
    """Give each part that has checks its shade, words, dials, and every check in short."""
    return {
        name: {
            **_told(checks, system),
            "checks": [
                f"{check.name} {SIGNS[check.as_planned.verdict]}, {check.as_planned.used}"
                for check in checks
            ],
        }
        for name, checks in _rows(held).items()
    }


def _rows(held: Holding) -> dict[str, list[Check]]:
    rows: dict[str, list[Check]] = {name: [] for name in ("", *PARTS)}
    for check in held.checks:
        rows[part_of(check.key)].append(check)
    return {name: rows[name] for name in PARTS if rows[name]}


def _told(checks: list[Check], system: System) -> dict[str, Any]:
    rows = [check.as_planned for check in checks]
    state = whole(row.verdict for row in rows)
    worst = max(rows, key=lambda row: (row.verdict == state, row.utilisation))
    darker = str(sum(worst.utilisation > limit for limit in SHADES))
    words = form("{}, {} used at most: {}, {}, in {}")(
        SIGNS[state], worst.used, worst.name, worst.against, worst.case
    )
    paths = dict.fromkeys(path for check in checks for path in check.dials)
    return {
        "shade": state if state in (FAILS, NOT_KNOWN) else darker,
        "words": told(words, system),
        "dials": [(path, dials.dial(path).label) for path in paths],
    }


def _places(held: Holding) -> dict[str, list[np.ndarray]]:
    """Outlines (k, 2) [mm], y downward, of every part as the machine is held."""
    machine = held.machine
    n = machine.number
    throws = [case.throw for case in held.cases if case.throw is not None]
    start = at_moments(throws[0], [0])
    stands = {part.name: part.outline for part in standing_parts(machine, throws[:1], 0.0)}
    swings = {part.name: part.outline[0] for part in moving_parts(start)}
    tip, ball = swings["sling"]
    pin, axle = start.pin[0] - (start.base[0], 0.0), np.array([0.0, n("axle.height")])
    half, level = 0.5 * n("frame.spread"), n("frame.brace")
    inner = half * (1.0 - level / n("axle.height"))
    whole_height = max(float(axle[1]), float(pin[1])) + 0.5 * n("arm.depth_at_axle")
    out, deep = 0.55 * n("frame.sill_length"), 0.03 * whole_height

    def round_at(middle: np.ndarray, across: float) -> np.ndarray:
        turn = np.linspace(0.0, 2.0 * math.pi, 16, endpoint=False)
        radius = max(0.5 * across, SMALL * whole_height)
        return middle + radius * np.column_stack([np.cos(turn), np.sin(turn)])

    def strip(start: np.ndarray, end: np.ndarray, wide: float) -> np.ndarray:
        along = (end - start) / max(float(np.hypot(*(end - start))), 1e-9)
        side = 0.5 * max(wide, SMALL * whole_height) * np.array([-along[1], along[0]])
        return np.array([start + side, end + side, end - side, start - side])

    box = swings["counterweight box"]
    joints = [(-half, 0.0), (half, 0.0), (-inner, level), (inner, level)]
    places = {
        "ground": [np.array([(-out, 0.0), (out, 0.0), (out, -deep), (-out, -deep)])],
        "sills": [stands["sill"]], "trough": [stands["trough"]], "brace": [stands["brace"]],
        "legs and side braces": [stands["rear leg"], stands["front leg"]],
        "joints of the frame": [round_at(np.array(one), 0.0) for one in (*joints, axle)],
        "counterweight box": [box],
        "straps and hanger pin": [
            strip(pin, box.mean(axis=0), 0.5 * n("hanger.strap_width")),
            round_at(pin, n("hanger.pin")),
        ],
        "sling": [strip(tip, ball, 0.0), swings["projectile"]], "prong": [round_at(tip, 0.0)],
        "arm": [swings["arm"]], "axle": [round_at(axle, n("axle.diameter"))],
    }  # fmt: skip
    return {
        name: [1e3 * one * np.array([1.0, -1.0]) for one in shapes]
        for name, shapes in places.items()
    }

"""Live pictures of the ground to keep clear: from above, from the side, and moment by moment."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.figures import figures
from slingwright.amounts.text import form
from slingwright.pages.pictures.people import person_marks
from slingwright.pages.pictures.scenes import (
    BLACK,
    DASH_KEPT,
    GREEN,
    GROUND,
    KEPT,
    NOW,
    ORANGE,
    PINK,
    Picture,
    Points,
)
from slingwright.standing.chances import CONTOURS, Chances, outlines
from slingwright.standing.ground import Zone

Scene = Callable[[Zone | str, Zone | None, units.System, Points, Chances | None], Picture]

CLEAR = "rgba(213,94,0,0.13)"
"""Ground to keep clear."""
REACHED = "rgba(0,114,178,0.16)"
"""Ground on which a projectile can come down."""
COUNTED = "rgba(176,86,143,0.28)"
"""What counting leaves open of a contour."""
KINDS: Mapping[str, dict[str, Any]] = {
    "keep clear": {"colour": KEPT, "width": 2, "fill": CLEAR},
    "bound": {"colour": BLACK, "width": 1.2, "dash": [9, 3, 2, 3]},
    "simulated": {"colour": NOW, "width": 1, "dash": [4, 3], "fill": REACHED},
    "assumption": {"colour": GREEN, "width": 1, "dash": [2, 3]},
    "chance": {"colour": PINK, "width": 1.2},
}
"""How each kind of line of the plan looks."""
LOADS = (NOW, GREEN, PINK, ORANGE)
DASHES: tuple[list[int], ...] = ([], [8, 3], [3, 3], [9, 3, 2, 3])
FLIGHTS = 14
"""Flights of each projectile that are drawn, even in time."""
NEAR = 1.5
"""The ground near the machine is drawn as far as this, times what is kept clear on every side."""


def plan_picture(
    now: Zone | str,
    kept: Zone | None,
    system: units.System,
    points: Points,
    likely: Chances | None = None,
) -> Picture:
    """Show the ground from above: what is kept clear, and apart: bound, simulated, chance, assumed.

    Args:
        now: the present machine's zone, or why there is none.
        kept: the kept machine's zone.
        system: metric or US units.
        points: takes the curves.
        likely: where its shots lie by chance, once that is known.
    """
    one, label = units.factor("m", system)
    if isinstance(now, str):
        return _empty("plan", "Seen from above", now, label)
    lines: list[dict[str, Any]] = []

    def add(outline: np.ndarray, **look: Any) -> None:
        closed = np.vstack([outline, outline[:1]]) / one
        lines.append({**points.add(closed[:, 0], closed[:, 1]), "closed": True, **look})

    words, named = f"Seen from above. {now.sentence.told(system)}", set()
    for line in outlines(now, likely):
        if line.ends is not None:
            ring = [np.vstack([edge, edge[:1]]) for edge in (line.ends[1], line.ends[0][::-1])]
            add(np.vstack(ring), colour=COUNTED, width=0, fill=COUNTED)
        dash = {"dash": DASHES[1 + CONTOURS.index(line.share)]} if line.share else {}
        add(line.points, name="" if line.name in named else line.name, **KINDS[line.kind], **dash)
        named.add(line.name)
    if likely is not None:
        words += f" {likely.sentence.told(system)}."
    if kept is not None:
        add(kept.outline(), colour="#606060", width=1.5, dash=DASH_KEPT, name="kept machine")
    marks = [_mark(0.0, 0.0, "machine", "#202020", "square")]
    for zone_load, spot, where in (
        (now.ahead, now.forward, "ahead"),
        (now.behind, -now.backward, "behind"),
    ):
        if spot != 0.0:
            told = f"{zone_load.load}, {figures(abs(spot), 'm', system)} {where}"
            marks.append(_mark(spot / one, 0.0, told, NOW, "diamond"))
    off = NEAR * now.clear_beside / one
    people = person_marks(now.people, system)
    marks += [mark for mark in people if max(abs(mark["x"]), abs(mark["y"])) > off]
    rules = []
    if now.limit <= 1.6 * now.clear_ahead:
        rules.append(
            {"x": now.limit / one, "label": "end of clear ground", "colour": "#202020", "dash": []}
        )
    ends = np.vstack([now.outline() / one, *([[m["x"], m["y"]]] for m in marks)])
    wide = float(np.ptp(ends[:, 0]))
    high = float(np.abs(ends[:, 1]).max())
    far = max(float(ends[:, 0].max()), now.limit / one if rules else 0.0)
    return {
        "key": "plan",
        "title": "Ground to keep clear, seen from above, to scale",
        "words": words,
        "equal": True,
        "unit": one,
        "x": {
            "label": f"ahead of the axle [{label}]",
            "low": float(ends[:, 0].min()) - 0.03 * wide,
            "high": far + 0.04 * wide,
        },
        "y": {"label": f"to the left [{label}]", "low": -1.12 * high, "high": 1.12 * high},
        "lines": lines,
        "marks": marks,
        "rules": rules,
    }


def near_picture(
    now: Zone | str,
    kept: Zone | None,
    system: units.System,
    points: Points,
    likely: Chances | None = None,
) -> Picture:
    """Show who stands where near the machine, from above: people can be moved by hand."""
    one, label = units.factor("m", system)
    if isinstance(now, str):
        return _empty("near", "Who stands where", now, label)
    lines: list[dict[str, Any]] = []
    off, winds, loosing = NEAR * now.clear_beside / one, now.winding, now.loosing

    def add(outline: np.ndarray, **look: Any) -> None:
        lines.append({**points.add(outline[:, 0] / one, outline[:, 1] / one), **look})

    add(now.outline(), closed=True, colour=KEPT, width=2, fill=CLEAR, name="keep clear")
    half = winds.sweep, winds.half_width
    box = np.array([(x * half[0], z * half[1]) for x, z in ((1, 1), (1, -1), (-1, -1), (-1, 1))])
    add(box, closed=True, colour=NOW, width=1, fill=REACHED, name="arm and empty sling")
    fan = np.array([(0.0, 0.0), (1.0, math.tan(winds.spread)), (1.0, -math.tan(winds.spread))])
    ends = sorted((winds.drum_x, winds.arm_x))
    for end, middle in itertools.product((0, 1), {winds.drum_z, -winds.drum_z}):
        whip = winds.rope * fan * ((-1.0, 1.0)[end], 1.0) + (ends[end], middle)
        name = "whip of the rope" if end and middle > 0.0 else ""
        add(whip, closed=True, colour=ORANGE, width=0.8, dash=[3, 3], name=name)
    if loosing.x is not None and loosing.z is not None:
        lanyard = np.array([(loosing.hook_x, 0.0), (loosing.x, loosing.z)])
        add(lanyard, colour=GREEN, width=1.5, name="lanyard")
    people = person_marks(now.people, system)
    marks = [mark for mark in people if max(abs(mark["x"]), abs(mark["y"])) <= off]
    return {
        "key": "near",
        "title": "Who stands where: drag them, or Tab and the arrow keys; Delete puts one back",
        "words": " ".join(words.told(system) for words in now.places),
        "equal": True,
        "unit": one,
        "x": {"label": f"ahead of the axle [{label}]", "low": -off, "high": off},
        "y": {"label": f"to the left [{label}]", "low": -off, "high": off},
        "lines": lines,
        "marks": marks,
        "rules": [],
    }


def flights_picture(
    now: Zone | str,
    kept: Zone | None,
    system: units.System,
    points: Points,
    likely: Chances | None = None,
) -> Picture:
    """Show flights from many moments of each load's motion, from the side, to scale."""
    one, label = units.factor("m", system)
    if isinstance(now, str):
        return _empty("flights", "Flights to scale", now, label)
    lines: list[dict[str, Any]] = []
    marks: list[dict[str, Any]] = []
    for which, leaving in enumerate(now.leavings):
        colour, dash = LOADS[which % len(LOADS)], DASHES[which % len(DASHES)]
        moments = np.searchsorted(
            leaving.time, np.linspace(leaving.time[0], leaving.time[-1], FLIGHTS)
        )
        chosen = {*(int(m) for m in moments), leaving.farthest, leaving.rearmost}
        for moment in sorted(chosen):
            way = leaving.flight(moment) / one
            extreme = moment in (leaving.farthest, leaving.rearmost)
            lines.append(
                {
                    **points.add(way[:, 0], way[:, 1]),
                    "colour": colour,
                    "dash": dash,
                    "width": 2 if extreme else 0.6,
                    "name": leaving.load if moment == leaving.farthest else "",
                }
            )
        if leaving.planned is not None:
            marks.append(_mark(leaving.planned / one, 0.0, "", colour, "diamond"))
    left, right = -now.backward / one, max(now.forward, now.reach) / one
    wide = right - left
    rules: list[dict[str, Any]] = [{"y": 0.0, "colour": GROUND, "dash": []}]
    if now.limit / one < right + 0.3 * wide:
        rules.append(
            {"x": now.limit / one, "label": "end of clear ground", "colour": KEPT, "dash": [2, 3]}
        )
        right = max(right, now.limit / one)
    return {
        "key": "flights",
        "title": "Flights to scale (marks: as planned)",
        "words": (
            f"Side view of flights. The longest ahead is {figures(now.forward, 'm', system)}, "
            f"behind {figures(now.backward, 'm', system)}, the highest "
            f"{figures(now.height, 'm', system)}."
        ),
        "equal": True,
        "x": {
            "label": f"distance [{label}]",
            "low": left - 0.03 * wide,
            "high": right + 0.03 * wide,
        },
        "y": {
            "label": f"height [{label}]",
            "low": -0.01 * wide,
            "high": 1.06 * now.height / one,
        },
        "lines": lines,
        "marks": marks,
        "rules": rules,
    }


def moments_picture(
    now: Zone | str,
    kept: Zone | None,
    system: units.System,
    points: Points,
    likely: Chances | None = None,
) -> Picture:
    """Show where each load lands against the moment at which it leaves the sling."""
    one, label = units.factor("m", system)
    if isinstance(now, str):
        return _empty("moments", "Landing against the moment of leaving", now, label)
    lines = []
    for which, leaving in enumerate(now.leavings):
        lines.append(
            {
                **points.add(leaving.time, leaving.landing / one),
                "colour": LOADS[which % len(LOADS)],
                "dash": DASHES[which % len(DASHES)],
                "width": 2,
                "name": leaving.load,
            }
        )
    ends = [float(leaving.time[-1]) for leaving in now.leavings]
    starts = [float(leaving.time[0]) for leaving in now.leavings]
    high, low = max(now.forward, 0.0) / one, -now.backward / one
    room = 0.08 * (high - low) or 1.0
    return {
        "key": "moments",
        "title": "Landing against the moment of leaving",
        "words": form(
            "Where each projectile comes down against the time at which it leaves the sling: from "
            "{:0m} behind to {:0m} ahead."
        )(now.backward, now.forward).told(system),
        "x": {"label": "leaves the sling at [s]", "low": min(starts), "high": max(ends)},
        "y": {"label": f"lands at [{label}]", "low": low - room, "high": high + room},
        "lines": lines,
        "marks": [],
        "rules": [{"y": 0.0, "label": "under the axle", "colour": GROUND, "dash": []}],
    }


PICTURES: Mapping[str, Scene] = MappingProxyType(
    {
        "plan": plan_picture,
        "near": near_picture,
        "flights": flights_picture,
        "moments": moments_picture,
    }
)
"""The pictures of this page by name."""


def _mark(x: float, y: float, label: str, colour: str, shape: str) -> dict[str, Any]:
    return {"x": float(x), "y": float(y), "label": label, "colour": colour, "shape": shape}


def _empty(key: str, title: str, why: str, label: str) -> Picture:
    axis = {"label": f"[{label}]", "low": 0.0, "high": 1.0}
    return {
        "key": key,
        "title": title,
        "words": why,
        "empty": why,
        "x": axis,
        "y": axis,
        "lines": [],
        "marks": [],
        "rules": [],
    }

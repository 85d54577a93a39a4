"""Live pictures of the ground to keep clear: from above, from the side, and moment by moment."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.figures import figures
from slingwright.amounts.text import form
from slingwright.pages.pictures.scenes import (
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
from slingwright.standing.ground import Zone, zone_outline

Scene = Callable[[Zone | str, Zone | None, units.System, Points], Picture]

CLEAR = "rgba(213,94,0,0.13)"
"""Ground to keep clear."""
REACHED = "rgba(0,114,178,0.16)"
"""Ground on which a projectile can come down."""
LOADS = (NOW, GREEN, PINK, ORANGE)
DASHES: tuple[list[int], ...] = ([], [8, 3], [3, 3], [9, 3, 2, 3])
FLIGHTS = 14
"""Flights of each projectile that are drawn, even in time."""


def plan_picture(
    now: Zone | str, kept: Zone | None, system: units.System, points: Points
) -> Picture:
    """Show the ground from above: what is kept clear, where loads can land, the clear ground's end.

    Args:
        now: the present machine's zone, or why there is none.
        kept: the kept machine's zone.
        system: metric or US units.
        points: takes the curves.
    """
    one, label = units.factor("m", system)
    if isinstance(now, str):
        return _empty("plan", "Seen from above", now, label)
    lines: list[dict[str, Any]] = []

    def add(outline: np.ndarray, **look: Any) -> None:
        closed = np.vstack([outline, outline[:1]]) / one
        lines.append({**points.add(closed[:, 0], closed[:, 1]), "closed": True, **look})

    add(now.outline(), colour=KEPT, width=2, fill=CLEAR, name="keep clear")
    lands = zone_outline(
        max(now.forward, now.reach), max(now.backward, now.reach), now.reach, now.sideways, 25
    )
    add(lands, colour=NOW, width=1, dash=[4, 3], fill=REACHED, name="longest flights")
    if kept is not None:
        add(kept.outline(), colour="#606060", width=1.5, dash=DASH_KEPT, name="kept machine")
    marks = [_mark(0.0, 0.0, "machine", "#202020", "square")]
    for zone_load, spot, words in (
        (now.ahead, now.forward, "ahead"),
        (now.behind, -now.backward, "behind"),
    ):
        if spot != 0.0:
            told = f"{zone_load.load}, {figures(abs(spot), 'm', system)} {words}"
            marks.append(_mark(spot / one, 0.0, told, NOW, "diamond"))
    if now.loosing.x is not None and now.loosing.z is not None:
        marks.append(
            _mark(now.loosing.x / one, now.loosing.z / one, "who looses", GREEN, "triangle")
        )
    rules = []
    if now.limit <= 1.6 * now.clear_ahead:
        rules.append(
            {"x": now.limit / one, "label": "end of clear ground", "colour": "#202020", "dash": []}
        )
    ends = now.outline() / one
    wide = float(np.ptp(ends[:, 0]))
    high = float(np.abs(ends[:, 1]).max())
    far = max(float(ends[:, 0].max()), now.limit / one if rules else 0.0)
    return {
        "key": "plan",
        "title": "Ground to keep clear, seen from above, to scale",
        "words": f"Seen from above. {now.sentence.told(system)}",
        "equal": True,
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


def flights_picture(
    now: Zone | str, kept: Zone | None, system: units.System, points: Points
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
    now: Zone | str, kept: Zone | None, system: units.System, points: Points
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
    {"plan": plan_picture, "flights": flights_picture, "moments": moments_picture}
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

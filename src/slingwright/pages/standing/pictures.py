"""Live pictures of the ground to keep clear: from above, from the side, and moment by moment."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.figures import figures
from slingwright.amounts.text import form
from slingwright.pages.pictures import canvas
from slingwright.pages.pictures.canvas import GREEN, KEPT, NOW, Picture, Points, mark, picture
from slingwright.pages.pictures.people import person_marks
from slingwright.pages.standing.controller import ZoneController
from slingwright.standing.chances import CONTOURS, outlines

CLEAR = "rgba(213,94,0,0.13)"  # ground to keep clear
REACHED = "rgba(0,114,178,0.16)"  # ground on which a projectile can come down
COUNTED = "rgba(176,86,143,0.28)"  # what counting leaves open of a contour
KINDS: Mapping[str, dict[str, Any]] = {
    "keep clear": {"colour": KEPT, "width": 2, "fill": CLEAR},
    "bound": {"colour": canvas.BLACK, "width": 1.2, "dash": [9, 3, 2, 3]},
    "simulated": {"colour": NOW, "width": 1, "dash": [4, 3], "fill": REACHED},
    "assumption": {"colour": GREEN, "width": 1, "dash": [2, 3]},
    "chance": {"colour": canvas.PINK, "width": 1.2},
}
"""How each kind of line of the plan looks."""
LOADS = (NOW, GREEN, canvas.PINK, canvas.ORANGE)
DASHES: tuple[list[int], ...] = ([], [8, 3], [3, 3], [9, 3, 2, 3])
FLIGHTS = 14  # flights of each projectile that are drawn, even in time
LIMIT = "end of clear ground"
NEAR = 1.5
"""The ground near the machine is drawn as far as this, times what is kept clear on every side."""


def plan_picture(zones: ZoneController, system: units.System, points: Points) -> Picture:
    """Show the ground from above: what is kept clear, and apart: bound, simulated, chance, assumed.

    Where shots lie by chance is in it once that is known.
    """
    one, label = units.factor("m", system)
    now, kept, likely = zones.now, zones.kept, zones.likely
    if isinstance(now, str):
        return canvas.no_picture("plan", "Seen from above", now)
    lines: list[dict[str, Any]] = []

    def add(outline: np.ndarray, **look: Any) -> None:
        closed = np.vstack([outline, outline[:1]]) / one
        lines.append(points.way(closed, closed=True, **look))

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
        look = {"colour": "#606060", "width": 1.5, "dash": canvas.DASH_KEPT}
        add(kept.outline(), name="kept machine", **look)
    marks = [mark(0.0, 0.0, "machine", canvas.BLACK, "square")]
    for zone_load, spot, where in (
        (now.ahead, now.forward, "ahead"),
        (now.behind, -now.backward, "behind"),
    ):
        if spot != 0.0:
            told = f"{zone_load.load}, {figures(abs(spot), 'm', system)} {where}"
            marks.append(mark(spot / one, 0.0, told, NOW, "diamond"))
    off = NEAR * now.clear_beside / one
    people = person_marks(now.people, system)
    marks += [person for person in people if max(abs(person["x"]), abs(person["y"])) > off]
    limit, rules = now.limit / one, []
    if now.limit <= 1.6 * now.clear_ahead:
        rules = [{"x": limit, "label": LIMIT, "colour": canvas.BLACK, "dash": []}]
    ends = np.vstack([now.outline() / one, *([[m["x"], m["y"]]] for m in marks)])
    wide = float(np.ptp(ends[:, 0]))
    high = 1.12 * float(np.abs(ends[:, 1]).max())
    left, far = float(ends[:, 0].min()), max(float(ends[:, 0].max()), limit if rules else 0.0)
    return picture(
        "plan", "Ground to keep clear, seen from above, to scale", words,
        (f"ahead of the axle [{label}]", left - 0.03 * wide, far + 0.04 * wide),
        (f"to the left [{label}]", -high, high), lines, marks=marks, rules=rules, equal=True,
        unit=one,
    )  # fmt: skip


def near_picture(zones: ZoneController, system: units.System, points: Points) -> Picture:
    """Show who stands where near the machine, from above: people can be moved by hand."""
    one, label = units.factor("m", system)
    now = zones.now
    if isinstance(now, str):
        return canvas.no_picture("near", "Who stands where", now)
    lines: list[dict[str, Any]] = []
    off, winds, loosing = NEAR * now.clear_beside / one, now.winding, now.loosing

    def add(outline: np.ndarray, **look: Any) -> None:
        lines.append(points.way(outline / one, **look))

    add(now.outline(), closed=True, colour=KEPT, fill=CLEAR, name="keep clear")
    half = winds.sweep, winds.half_width
    box = np.array([(x * half[0], z * half[1]) for x, z in ((1, 1), (1, -1), (-1, -1), (-1, 1))])
    add(box, closed=True, colour=NOW, width=1, fill=REACHED, name="arm and empty sling")
    fan = np.array([(0.0, 0.0), (1.0, math.tan(winds.spread)), (1.0, -math.tan(winds.spread))])
    ends = sorted((winds.drum_x, winds.arm_x))
    for end, middle in itertools.product((0, 1), {winds.drum_z, -winds.drum_z}):
        whip = winds.rope * fan * ((-1.0, 1.0)[end], 1.0) + (ends[end], middle)
        name = "whip of the rope" if end and middle > 0.0 else ""
        add(whip, closed=True, colour=canvas.ORANGE, width=0.8, dash=[3, 3], name=name)
    if loosing.x is not None and loosing.z is not None:
        lanyard = np.array([(loosing.hook_x, 0.0), (loosing.x, loosing.z)])
        add(lanyard, colour=GREEN, width=1.5, name="lanyard")
    people = person_marks(now.people, system)
    return picture(
        "near", "Who stands where: drag them, or Tab and the arrow keys; Delete puts one back",
        " ".join(words.told(system) for words in now.places),
        (f"ahead of the axle [{label}]", -off, off), (f"to the left [{label}]", -off, off), lines,
        marks=[person for person in people if max(abs(person["x"]), abs(person["y"])) <= off],
        equal=True, unit=one,
    )  # fmt: skip


def flights_picture(zones: ZoneController, system: units.System, points: Points) -> Picture:
    """Show flights from many moments of each load's motion, from the side, to scale."""
    one, label = units.factor("m", system)
    now = zones.now
    if isinstance(now, str):
        return canvas.no_picture("flights", "Flights to scale", now)
    lines: list[dict[str, Any]] = []
    marks: list[dict[str, Any]] = []
    for which, leaving in enumerate(now.leavings):
        look: dict[str, Any] = _look(which)
        even = np.linspace(leaving.time[0], leaving.time[-1], FLIGHTS)
        extreme = (leaving.farthest, leaving.rearmost)
        for moment in sorted({*map(int, np.searchsorted(leaving.time, even)), *extreme}):
            look["name"] = leaving.load if moment == leaving.farthest else ""
            look["width"] = 2 if moment in extreme else 0.6
            lines.append(points.way(leaving.flight(moment) / one, **look))
        if leaving.planned is not None:
            marks.append(mark(leaving.planned / one, 0.0, "", look["colour"], "diamond"))
    left, right = -now.backward / one, max(now.forward, now.reach) / one
    wide, limit = right - left, now.limit / one
    rules: list[dict[str, Any]] = [{"y": 0.0, "colour": canvas.GROUND, "dash": []}]
    if limit < right + 0.3 * wide:
        rules.append({"x": limit, "label": LIMIT, "colour": KEPT})
        right = max(right, limit)
    words = (
        f"Side view of flights. The longest ahead is {figures(now.forward, 'm', system)}, "
        f"behind {figures(now.backward, 'm', system)}, the highest "
        f"{figures(now.height, 'm', system)}."
    )
    return picture(
        "flights", "Flights to scale (marks: as planned)", words,
        (f"distance [{label}]", left - 0.03 * wide, right + 0.03 * wide),
        (f"height [{label}]", -0.01 * wide, 1.06 * now.height / one), lines, marks=marks,
        rules=rules, equal=True,
    )  # fmt: skip


def moments_picture(zones: ZoneController, system: units.System, points: Points) -> Picture:
    """Show where each load lands against the moment at which it leaves the sling."""
    one, label = units.factor("m", system)
    now, title = zones.now, "Landing against the moment of leaving"
    if isinstance(now, str):
        return canvas.no_picture("moments", title, now)
    lines = [
        points.curve(leaving.time, leaving.landing / one, name=leaving.load, **_look(which))
        for which, leaving in enumerate(now.leavings)
    ]
    times = [float(time) for leaving in now.leavings for time in leaving.time[[0, -1]]]
    high, low = max(now.forward, 0.0) / one, -now.backward / one
    room = 0.08 * (high - low) or 1.0
    words = form(
        "Where each projectile comes down against the time at which it leaves the sling: from "
        "{:0m} behind to {:0m} ahead."
    )(now.backward, now.forward).told(system)
    return picture(
        "moments", title, words,
        ("leaves the sling at [s]", min(times), max(times)),
        (f"lands at [{label}]", low - room, high + room), lines,
        rules=[{"y": 0.0, "label": "under the axle", "colour": canvas.GROUND, "dash": []}],
    )  # fmt: skip


def _look(which: int) -> dict[str, Any]:
    return {"colour": LOADS[which % len(LOADS)], "dash": DASHES[which % len(DASHES)]}


PICTURES: Mapping[str, canvas.Scene] = {
    "plan": plan_picture,
    "near": near_picture,
    "flights": flights_picture,
    "moments": moments_picture,
}

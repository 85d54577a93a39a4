"""What each live picture of a throw shows: side view, range by angle, axle load, energy."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.figures import figures
from slingwright.amounts.text import told
from slingwright.machine.outline import outline
from slingwright.motion.account import OF_WHAT
from slingwright.motion.spread.band import Band
from slingwright.pages.parts.workbench import Answer, Workbench
from slingwright.pages.pictures import canvas
from slingwright.pages.pictures.canvas import GREEN, KEPT, NOW, Picture, Points, mark, picture

PHASE_SHADES = ("#e8f1f8", "#fdf3e1", "#efefef")
BAND = "rgba(0,114,178,0.15)"


def path_picture(bench: Workbench, system: units.System, points: Points) -> Picture:
    """Show the machine to scale with the path of the projectile, release and landing."""
    one, label = units.factor("m", system)
    now, kept, throw = bench.now, bench.kept, bench.throw
    lines, drawn = _drawn_machine(points, now, one)
    reach = [drawn]
    for who, look in canvas.looks(now, kept):
        way = _way(who.throw) / one
        lines.append(points.way(way, **look))
        reach.append(way)
    every = np.vstack(reach)
    (left, _), (right, top) = np.nanmin(every, axis=0), np.nanmax(every, axis=0)
    level, limit = (now.machine.number(f"site.{name}") / one for name in ("height", "limit"))
    marks, rules = [], []
    words = f"Side view to scale. {told(throw.sentence, system)}"
    if throw.outcome == "released":
        release = throw.release
        marks.append(mark(release.x / one, release.y / one, "release", NOW, "triangle"))
    if throw.landing is not None:
        far = figures(throw.range, "m", system)
        x, y = throw.flight_path[-1] / one
        marks.append(mark(x, y, f"lands at {far}", NOW, "diamond"))
        words += (
            f" It rises to {figures(float(throw.flight_path[:, 1].max()), 'm', system)} "
            f"and lands at {far}."
        )
        if kept is not None and kept.throw.landing is not None:
            x, y = kept.throw.flight_path[-1] / one
            marks.insert(0, mark(x, y, "", KEPT, "frame"))
            words += f" Kept machine: {figures(kept.throw.range, 'm', system)}."
    wide = right - left
    if left < limit < right + 0.25 * wide:
        rules.append({"x": limit, "label": "end of clear ground", "colour": KEPT})
        right = max(right, limit)
        if throw.landing is not None and throw.range / one > limit:
            words += " That is beyond the end of the clear ground."
    return picture(
        "path", "Side view to scale", words,
        (f"distance [{label}]", left - 0.03 * wide, right + 0.03 * wide),
        (f"height [{label}]", min(0.0, level) - 0.01 * wide, 1.08 * top), lines, marks=marks,
        rules=[*rules, {"y": level, "colour": canvas.GROUND, "dash": []}], equal=True,
    )  # fmt: skip


def add_band(shown: Picture, band: Band, system: units.System, points: Points) -> None:
    """Lay the band of near copies behind the paths or the axle load of a picture."""
    if shown["key"] == "path":
        unit, x, low, high = "m", band.x, band.lowest, band.highest
    elif shown["key"] == "axle":
        unit, x, low, high = "N", band.time, band.least, band.most
    else:
        return
    one = units.factor(unit, system)[0]
    across = x / one if unit == "m" else x
    edge = np.append(across, across[::-1]), np.append(low, high[::-1]) / one
    shown["lines"].insert(0, points.patch(*edge, BAND))
    shown["y"]["high"] = max(shown["y"]["high"], 1.04 * float(high.max()) / one)
    if unit == "m":
        shown["x"]["high"] = max(shown["x"]["high"], 1.02 * float(across[-1]))
    shown["words"] += f" Shaded: nine of ten of {band.copies} near copies."
    shown["title"] += "; shaded: copies"


def reach_picture(bench: Workbench, system: units.System, points: Points) -> Picture:
    """Show range against the release angle, all else equal, with the present point."""
    one, label = units.factor("m", system)
    now, kept = bench.now, bench.kept
    lines, highest, angles = [], 0.0, []
    for who, look in canvas.looks(now, kept):
        if not (who.ranges > 0.0).any():
            continue
        degrees = np.degrees(who.angles)
        angles += _telling(degrees, who.ranges)
        lines.append(points.curve(degrees, who.ranges / one, **look))
        highest = max(highest, float(np.nanmax(who.ranges)) / one)
    empty = "" if lines else f"No release angle throws forward. {now.throw.sentence}"
    present = math.degrees(now.machine.number("release.angle"))
    marks = []
    if now.throw.landing is not None:
        marks.append(mark(present, now.throw.range / one, "present"))
    if kept is not None and kept.throw.landing is not None:
        at = math.degrees(kept.machine.number("release.angle"))
        marks.insert(0, mark(at, kept.throw.range / one, "", KEPT, "frame"))
    words = empty
    if lines and (now.ranges > 0.0).any():
        best = int(np.nanargmax(now.ranges))
        words = (
            f"Range against release angle. The best is "
            f"{figures(float(now.ranges[best]), 'm', system)} at "
            f"{math.degrees(now.angles[best]):.0f} degrees; "
            f"the present angle is {present:.0f} degrees."
        )
    low, high = (min(angles), max(angles)) if angles else (0.0, 90.0)
    low, high = min(low, present) - 4.0, max(high, present) + 4.0
    return picture(
        "reach", "Range against release angle", words,
        ("release angle (sling lag) [deg]", low, max(high, low + 1.0)),
        (f"range [{label}]", 0.0, 1.12 * highest or 1.0), lines, marks=marks,
        rules=[{"x": present, "colour": NOW}], empty=empty,
    )  # fmt: skip


def axle_picture(bench: Workbench, system: units.System, points: Points) -> Picture:
    """Show the load on the axle against time, the phases shaded, the peak marked."""
    one, label = units.factor("N", system)
    throw, kept = bench.throw, bench.kept
    lines, highest, end = [], 0.0, float(throw.time[-1])
    for who, look in canvas.looks(bench.now, kept):
        known = who.throw.time <= who.throw.known_until
        load = np.hypot(*who.throw.axle_force[known].T) / one
        if not np.isfinite(load).any():
            continue
        lines.append(points.curve(who.throw.time[known], load, **look, width=1.8))
        highest = max(highest, float(np.nanmax(load)))
        end = max(end, float(who.throw.time[-1]))
    peak = figures(float(throw.peak_axle_load), "N", system)
    when = figures(float(throw.peak_axle_time), "s", system)
    words = f"Axle load against time. Peak {peak} at {when}, {throw.peak_axle_phase}."
    marks = [mark(throw.peak_axle_time, throw.peak_axle_load / one, f"peak {peak}")]
    if kept is not None:
        before = kept.throw
        marks.insert(0, mark(before.peak_axle_time, before.peak_axle_load / one, "", KEPT, "frame"))
        words += f" Kept machine: {figures(float(before.peak_axle_load), 'N', system)}."
    rules = []
    if throw.ended:
        words += f" Not known past {figures(throw.known_until, 's', system)}: {throw.ended}."
        rules.append({"x": throw.known_until, "label": "not known past here", "colour": KEPT})
        end = max(end, 1.02 * throw.known_until)
    shades = [
        {"low": span.start, "high": span.end, "name": span.name, "colour": PHASE_SHADES[i % 3]}
        for i, span in enumerate(throw.spans)
    ]
    return picture(
        "axle", "Axle load", words,
        ("time [s]", 0.0, max(end, 1e-3)), (f"load [{label}]", 0.0, 1.25 * highest or 1.0), lines,
        marks=marks, rules=rules, shades=shades, moments=True, empty=_still(throw, system),
    )  # fmt: skip


ENERGIES: tuple[tuple[str, str, float, str, list[int]], ...] = (
    ("energy_weight", "counterweight", -1.0, canvas.BLACK, []),
    ("energy_ball", "projectile, pouch", 1.0, NOW, []),
    ("energy_arm", "arm", 1.0, GREEN, [8, 3]),
    ("energy_sling", "sling", 1.0, canvas.PINK, [2, 2]),
    ("energy_base", "base", 1.0, canvas.ORANGE, [8, 3, 2, 3]),
    ("energy_lost", "friction", 1.0, KEPT, [4, 3]),
)
"""Field of the throw, name beside its curve, sign, colour and dash."""


def energy_picture(bench: Workbench, system: units.System, points: Points) -> Picture:
    """Show where the weight's energy goes until just after the release."""
    one, label = units.factor("J", system)
    throw, lines, low, high, end = bench.throw, [], 0.0, 0.0, 0.0
    for who in (bench.kept, bench.now):
        if who is None:
            continue
        # until a little past the release
        released, time = who.throw.outcome == "released", np.asarray(who.throw.time)
        cut = time <= (1.12 * float(who.throw.release.time) if released else time[-1])
        for name, word, sign, colour, dash in ENERGIES:
            if name == "energy_base" and not who.machine.flag("base.wheels"):
                continue
            value = sign * np.asarray(getattr(who.throw, name))[cut] / one
            if not np.isfinite(value).any():
                continue
            low, high = min(low, float(np.nanmin(value))), max(high, float(np.nanmax(value)))
            style: dict[str, Any] = {"dash": dash, "end": word}
            if who is not bench.now:
                style = {"width": 1, "dash": [3, 4]}
                style["name"] = "kept" if name == "energy_ball" else ""
            lines.append(points.curve(who.throw.time[cut], value, colour, **style))
            end = max(end, float(who.throw.time[cut][-1]))
    words = "Energy from counterweight to projectile."
    rules = []
    if throw.outcome == "released":
        at = int(np.searchsorted(throw.time, throw.release.time))
        at = min(at, len(throw.time) - 1)
        ball = figures(float(throw.energy_ball[at]), "J", system)
        given = figures(-float(throw.energy_weight[at]), "J", system)
        words += (
            f" At release the counterweight has given {given}, pouch and projectile have {ball}"
        )
        share = throw.efficiency
        words += "." if share is None else f": the projectile {100.0 * share:.0f} % {OF_WHAT}."
        rules.append({"x": throw.release.time, "label": "release", "colour": "#808080"})
    if bench.kept is not None:
        words += " The kept machine is shown in thin dashes."
    room = 0.08 * (high - low or 1.0)
    return picture(
        "energy", "Energy from counterweight to projectile", words,
        ("time [s]", 0.0, max(end, 1e-3)), (f"energy [{label}]", low - room, high + room), lines,
        rules=rules, moments=True, empty=_still(throw, system), roomForEnds=True,
    )  # fmt: skip


PICTURES: Mapping[str, canvas.Scene] = {
    "path": path_picture,
    "reach": reach_picture,
    "axle": axle_picture,
    "energy": energy_picture,
}


def _telling(degrees: np.ndarray, ranges: np.ndarray) -> list[float]:
    """Give the angles between which a curve says something: a fifth of its best range and more."""
    good = degrees[np.nan_to_num(ranges, nan=-1.0) >= 0.2 * float(np.nanmax(ranges))]
    return [float(good.min()), float(good.max())]


def _way(throw: Any) -> np.ndarray:
    """Give the whole path of the projectile: held, trough, sling, flight; shape (n, 2), metres."""
    flying = np.asarray(throw.phase) >= 3
    swung = np.asarray(throw.ball)[~flying] if throw.outcome == "released" else throw.ball
    flight = np.asarray(throw.flight_path)
    return np.vstack([swung, flight]) if flight.size else np.asarray(swung)


def _still(throw: Any, system: units.System) -> str:
    if float(throw.time[-1]) > float(throw.time[0]):
        return ""
    return f"Nothing moves. {told(throw.sentence, system)}"


def _drawn_machine(
    points: Points, now: Answer, one: float
) -> tuple[list[dict[str, Any]], np.ndarray]:
    """Draw the cocked machine; gives its lines and all their places."""
    drawn = outline(now.machine, now.throw)
    shapes: Mapping[str, dict[str, Any]] = {
        "trough": {"colour": "#b08d57"},
        "sill": {"colour": "#6b4f2a"},
        "legs": {"colour": "#8a6a3d"},
        "arm": {"width": 1, "colour": canvas.WOOD, "fill": canvas.WOOD, "closed": True},
        "box": {"width": 1, "colour": "#003a5c", "fill": "#4d9cc9", "closed": True},
        "sling": {"width": 1, "colour": "#404040"},
    }
    lines = [points.way(drawn[name] / one, **look) for name, look in shapes.items()]
    return lines, np.vstack(list(drawn.values())) / one

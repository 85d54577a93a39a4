"""What each live picture shows, as plain data: axes, curves, shades, marks and the words for it.

A picture is a mapping that the canvas script reads; its points go as float32 into one block shared
by all pictures of a widget.  Values are in the unit shown.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType
from typing import Any, TypeVar

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.figures import figures
from slingwright.amounts.text import told
from slingwright.machine.outline import outline
from slingwright.motion.account import OF_WHAT
from slingwright.motion.spread.band import Band
from slingwright.pages.parts.workbench import Answer

Picture = dict[str, Any]

NOW, KEPT, GREEN, PINK = "#0072B2", "#D55E00", "#009E73", "#B0568F"
ORANGE, BLACK, GROUND, WOOD = "#A86F00", "#202020", "#8a7a5c", "#5b3a14"
DASH_KEPT = [6, 4]
PHASE_SHADES = ("#e8f1f8", "#fdf3e1", "#efefef")
MOST_POINTS = 300
BAND = "rgba(0,114,178,0.15)"


@dataclass(slots=True)
class Points:
    """The block of points of all pictures of one widget."""

    parts: list[np.ndarray] = field(default_factory=list)
    length: int = 0

    def add(self, x: np.ndarray, y: np.ndarray) -> dict[str, int]:
        """Put a curve into the block, thinned for a screen but with its peaks; gives its place."""
        if x.size > MOST_POINTS:
            pick = _spread(x.size)
            pick = np.union1d(pick, (int(y.argmin()), int(y.argmax())))
            x, y = x[pick], y[pick]
        block = np.empty((x.size, 2), dtype=np.float32)
        block[:, 0], block[:, 1] = x, y
        start = self.length
        self.parts.append(block)
        self.length += 2 * x.size
        return {"start": start, "count": int(x.size)}

    def bytes(self) -> bytes:
        """Give the block as it goes over the wire."""
        return b"".join(part.tobytes() for part in self.parts)


Who = TypeVar("Who")


def looks(now: Who, kept: Who | None) -> Iterator[tuple[Who, dict[str, Any]]]:
    """Give the kept one, if there is one, and the present one, each with the look of its curve."""
    if kept is not None:
        yield kept, {"colour": KEPT, "dash": DASH_KEPT, "width": 2, "name": "kept"}
    name = "" if kept is None else "present"
    yield now, {"colour": NOW, "dash": [], "width": 2, "name": name}


@lru_cache(maxsize=32)
def _spread(size: int) -> np.ndarray:
    """Give MOST_POINTS evenly spread places in `size`, both ends among them."""
    return np.linspace(0, size - 1, MOST_POINTS).round().astype(int)


def path_picture(now: Answer, kept: Answer | None, system: units.System, points: Points) -> Picture:
    """Show the machine to scale with the path of the projectile, release and landing."""
    one, label = units.factor("m", system)
    throw = now.throw
    good = throw.outcome == "released"
    lines: list[dict[str, Any]] = []
    top, left, right = _drawn_machine(lines, points, now, one)
    for who, look in looks(now, kept):
        way = _way(who.throw)
        lines.append({**points.add(way[:, 0] / one, way[:, 1] / one), **look})
        left = min(left, float(np.nanmin(way[:, 0])) / one)
        right = max(right, float(np.nanmax(way[:, 0])) / one)
        top = max(top, float(np.nanmax(way[:, 1])) / one)
    level = now.machine.number("site.height") / one
    limit = now.machine.number("site.limit") / one
    marks, rules = [], []
    words = f"Side view to scale. {told(throw.sentence, system)}"
    if good:
        release = throw.release
        marks.append(_mark(release.x / one, release.y / one, "release", NOW, "triangle"))
    if throw.landing is not None:
        far = figures(throw.range, "m", system)
        landed = throw.flight_path[-1]
        marks.append(
            _mark(float(landed[0]) / one, float(landed[1]) / one, f"lands at {far}", NOW, "diamond")
        )
        words += (
            f" It rises to {figures(float(throw.flight_path[:, 1].max()), 'm', system)} "
            f"and lands at {far}."
        )
        if kept is not None and kept.throw.landing is not None:
            end = kept.throw.flight_path[-1]
            marks.insert(0, _mark(float(end[0]) / one, float(end[1]) / one, "", KEPT, "frame"))
            words += f" Kept machine: {figures(kept.throw.range, 'm', system)}."
    wide = right - left
    if left < limit < right + 0.25 * wide:
        rules.append({"x": limit, "label": "end of clear ground", "colour": KEPT, "dash": [2, 3]})
        right = max(right, limit)
        if throw.landing is not None and throw.range / one > limit:
            words += " That is beyond the end of the clear ground."
    bottom = min(0.0, level)
    rules.append({"y": level, "colour": GROUND, "dash": []})
    return {
        "key": "path",
        "title": "Side view to scale",
        "words": words,
        "equal": True,
        "x": {
            "label": f"distance [{label}]",
            "low": left - 0.03 * wide,
            "high": right + 0.03 * wide,
        },
        "y": {"label": f"height [{label}]", "low": bottom - 0.01 * wide, "high": 1.08 * top},
        "lines": lines,
        "marks": marks,
        "rules": rules,
    }


def add_band(picture: Picture, band: Band, system: units.System, points: Points) -> None:
    """Lay the band of near copies behind the paths or the axle load of a picture."""
    if picture["key"] == "path":
        unit, x, low, high = "m", band.x, band.lowest, band.highest
    elif picture["key"] == "axle":
        unit, x, low, high = "N", band.time, band.least, band.most
    else:
        return
    one = units.factor(unit, system)[0]
    across = x / one if unit == "m" else x
    edge = points.add(np.append(across, across[::-1]), np.append(low, high[::-1]) / one)
    shade = {**edge, "colour": BAND, "fill": BAND, "closed": True, "width": 0, "dash": []}
    picture["lines"].insert(0, shade)
    picture["y"]["high"] = max(picture["y"]["high"], 1.04 * float(high.max()) / one)
    if unit == "m":
        picture["x"]["high"] = max(picture["x"]["high"], 1.02 * float(across[-1]))
    picture["words"] += f" Shaded: nine of ten of {band.copies} near copies."
    picture["title"] += "; shaded: copies"


def reach_picture(
    now: Answer, kept: Answer | None, system: units.System, points: Points
) -> Picture:
    """Show range against the release angle, all else equal, with the present point."""
    one, label = units.factor("m", system)
    lines, highest, angles = [], 0.0, []
    for who, look in looks(now, kept):
        if not (who.ranges > 0.0).any():
            continue
        degrees = np.degrees(who.angles)
        angles += _telling(degrees, who.ranges)
        lines.append({**points.add(degrees, who.ranges / one), **look})
        highest = max(highest, float(np.nanmax(who.ranges)) / one)
    empty = "" if lines else f"No release angle throws forward. {now.throw.sentence}"
    present = math.degrees(now.machine.number("release.angle"))
    marks = []
    if now.throw.landing is not None:
        marks.append(_mark(present, now.throw.range / one, "present", NOW, "circle"))
    if kept is not None and kept.throw.landing is not None:
        at = math.degrees(kept.machine.number("release.angle"))
        marks.insert(0, _mark(at, kept.throw.range / one, "", KEPT, "frame"))
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
    return {
        "key": "reach",
        "title": "Range against release angle",
        "words": words,
        "empty": empty,
        "x": {"label": "release angle (sling lag) [deg]", "low": low, "high": max(high, low + 1.0)},
        "y": {"label": f"range [{label}]", "low": 0.0, "high": 1.12 * highest or 1.0},
        "lines": lines,
        "marks": marks,
        "rules": [{"x": present, "colour": NOW, "dash": [2, 3]}],
    }


def axle_picture(now: Answer, kept: Answer | None, system: units.System, points: Points) -> Picture:
    """Show the load on the axle against time, the phases shaded, the peak marked."""
    one, label = units.factor("N", system)
    throw = now.throw
    lines, highest, end = [], 0.0, float(throw.time[-1])
    for who, look in looks(now, kept):
        known = who.throw.time <= who.throw.known_until
        load = np.hypot(*who.throw.axle_force[known].T) / one
        if not np.isfinite(load).any():
            continue
        lines.append({**points.add(who.throw.time[known], load), **look, "width": 1.8})
        highest = max(highest, float(np.nanmax(load)))
        end = max(end, float(who.throw.time[-1]))
    peak = figures(float(throw.peak_axle_load), "N", system)
    when = figures(float(throw.peak_axle_time), "s", system)
    words = f"Axle load against time. Peak {peak} at {when}, {throw.peak_axle_phase}."
    marks = [_mark(throw.peak_axle_time, throw.peak_axle_load / one, f"peak {peak}", NOW, "circle")]
    if kept is not None:
        before = kept.throw
        marks.insert(
            0, _mark(before.peak_axle_time, before.peak_axle_load / one, "", KEPT, "frame")
        )
        words += f" Kept machine: {figures(float(before.peak_axle_load), 'N', system)}."
    rules = []
    if throw.ended:
        words += f" Not known past {figures(throw.known_until, 's', system)}: {throw.ended}."
        unknown = {"x": throw.known_until, "label": "not known past here", "colour": KEPT}
        rules.append({**unknown, "dash": [2, 3]})
        end = max(end, 1.02 * throw.known_until)
    return {
        "key": "axle",
        "title": "Axle load",
        "moments": True,
        "words": words,
        "empty": _still(throw, system),
        "x": {"label": "time [s]", "low": 0.0, "high": max(end, 1e-3)},
        "y": {"label": f"load [{label}]", "low": 0.0, "high": 1.25 * highest or 1.0},
        "shades": [
            {"low": span.start, "high": span.end, "name": span.name, "colour": PHASE_SHADES[i % 3]}
            for i, span in enumerate(throw.spans)
        ],
        "lines": lines,
        "marks": marks,
        "rules": rules,
    }


ENERGIES: tuple[tuple[str, str, float, str, list[int]], ...] = (
    ("energy_weight", "counterweight", -1.0, BLACK, []),
    ("energy_ball", "projectile, pouch", 1.0, NOW, []),
    ("energy_arm", "arm", 1.0, GREEN, [8, 3]),
    ("energy_sling", "sling", 1.0, PINK, [2, 2]),
    ("energy_base", "base", 1.0, ORANGE, [8, 3, 2, 3]),
    ("energy_lost", "friction", 1.0, KEPT, [4, 3]),
)
"""Field of the throw, name beside its curve, sign, colour and dash."""


def energy_picture(
    now: Answer, kept: Answer | None, system: units.System, points: Points
) -> Picture:
    """Show where the weight's energy goes until just after the release."""
    one, label = units.factor("J", system)
    throw = now.throw
    end = 0.0
    lines, low, high = [], 0.0, 0.0
    for who in (kept, now):
        if who is None:
            continue
        cut = np.asarray(who.throw.time) <= _energy_end(who.throw)
        for name, word, sign, colour, dash in ENERGIES:
            if name == "energy_base" and not who.machine.flag("base.wheels"):
                continue
            value = sign * np.asarray(getattr(who.throw, name))[cut] / one
            if not np.isfinite(value).any():
                continue
            low, high = min(low, float(np.nanmin(value))), max(high, float(np.nanmax(value)))
            style: dict[str, Any] = {"width": 2, "dash": dash, "colour": colour, "end": word}
            if who is not now:
                style = {"width": 1, "dash": [3, 4], "colour": colour}
                style["name"] = "kept" if name == "energy_ball" else ""
            lines.append({**points.add(who.throw.time[cut], value), **style})
            end = max(end, float(who.throw.time[cut][-1]))
    good = throw.outcome == "released"
    words = "Energy from counterweight to projectile."
    rules = []
    if good:
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
    if kept is not None:
        words += " The kept machine is shown in thin dashes."
    room = 0.08 * (high - low or 1.0)
    return {
        "key": "energy",
        "title": "Energy from counterweight to projectile",
        "moments": True,
        "words": words,
        "empty": _still(throw, system),
        "roomForEnds": True,
        "x": {"label": "time [s]", "low": 0.0, "high": max(end, 1e-3)},
        "y": {"label": f"energy [{label}]", "low": low - room, "high": high + room},
        "lines": lines,
        "marks": [],
        "rules": rules,
    }


PICTURES: Mapping[str, Callable[[Answer, Answer | None, units.System, Points], Picture]] = (
    MappingProxyType(
        {
            "path": path_picture,
            "reach": reach_picture,
            "axle": axle_picture,
            "energy": energy_picture,
        }
    )
)
"""The live pictures by name."""


def _mark(x: float, y: float, label: str, colour: str, shape: str) -> dict[str, Any]:
    return {"x": float(x), "y": float(y), "label": label, "colour": colour, "shape": shape}


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
    """Say that nothing moved, where that is so."""
    if float(throw.time[-1]) > float(throw.time[0]):
        return ""
    return f"Nothing moves. {told(throw.sentence, system)}"


def _energy_end(throw: Any) -> float:
    """Give the time until which energies are shown: a little past the release."""
    if throw.outcome == "released":
        return 1.12 * float(throw.release.time)
    return float(throw.time[-1])


def _drawn_machine(
    lines: list[dict[str, Any]], points: Points, now: Answer, one: float
) -> tuple[float, float, float]:
    """Draw the cocked machine; gives the top and the ends of what is drawn."""
    drawn = outline(now.machine, now.throw)
    shapes: Mapping[str, dict[str, Any]] = {
        "trough": {"width": 2, "colour": "#b08d57"},
        "sill": {"width": 2, "colour": "#6b4f2a"},
        "legs": {"width": 2, "colour": "#8a6a3d"},
        "arm": {"width": 1, "colour": WOOD, "fill": WOOD, "closed": True},
        "box": {"width": 1, "colour": "#003a5c", "fill": "#4d9cc9", "closed": True},
        "sling": {"width": 1, "colour": "#404040"},
    }
    for name, look in shapes.items():
        part = drawn[name]
        lines.append({**points.add(part[:, 0] / one, part[:, 1] / one), **look})
    every = np.vstack(list(drawn.values())) / one
    return float(every[:, 1].max()), float(every[:, 0].min()), float(every[:, 0].max())

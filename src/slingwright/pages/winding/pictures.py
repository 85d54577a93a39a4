"""Live pictures of winding: rope, crew and drum. Plain data for the canvas, as in `scenes`."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.figures import figures
from slingwright.pages.pictures.scenes import (
    DASH_KEPT,
    GREEN,
    KEPT,
    NOW,
    ORANGE,
    PINK,
    Picture,
    Points,
)
from slingwright.pages.winding.controller import Wound
from slingwright.winch.text import whole

Scene = Callable[[Wound, "Wound | None", units.System, Points], Picture]

LOSS, TOO_MUCH = "rgba(0,114,178,0.16)", "rgba(213,94,0,0.17)"
TOO_HEAVY = "#f9e6d9"


def scale(top: float, unit: str, system: units.System) -> tuple[float, str]:
    """Give the unit that suits an axis up to `top` (SI): its SI value and its label."""
    size = abs(top) if math.isfinite(top) and top != 0.0 else 1.0
    number, label = units.shown(size, unit, system)
    return size / number, label


def no_picture(key: str, title: str, why: str) -> Picture:
    """Give a picture that says why there is nothing to see."""
    words = why or "there is nothing to show"
    axis = {"label": "", "low": 0.0, "high": 1.0}
    return {"key": key, "title": title, "words": words, "empty": words, "x": axis, "y": axis,
            "lines": [], "marks": [], "rules": []}  # fmt: skip


def curve(
    points: Points, x: np.ndarray, y: np.ndarray, colour: str, name: str = "", **look: Any
) -> dict[str, Any]:
    """Give a curve of a picture."""
    made: dict[str, Any] = {**points.add(x, y), "colour": colour, "dash": [], "width": 2}
    return {**made, "name": name, **look}


def patch(points: Points, x: np.ndarray, y: np.ndarray, colour: str) -> dict[str, Any]:
    """Give a filled shape without an edge."""
    return {**points.add(x, y), "colour": colour, "fill": colour, "closed": True, "width": 0}


def mark(x: float, y: float, label: str, colour: str = NOW, shape: str = "circle") -> Any:
    """Give a mark with its words."""
    return {"x": float(x), "y": float(y), "label": label, "colour": colour, "shape": shape}


def tension(now: Wound, kept: Wound | None, system: units.System, points: Points) -> Picture:
    """Show rope tension against arm elevation, winding and lowering, the loss between shaded."""
    title = "Rope tension at drum"
    run = now.run
    if run is None:
        return no_picture("tension", title, now.troubles.get("winding", ""))
    top = run.peak_rope_pull
    before = kept.run if kept is not None else None
    if before is not None:
        top = max(top, before.peak_rope_pull)
    one, label = scale(top, "N", system)
    angle = np.degrees(run.elevation)
    up, down = run.rope_pull / one, run.rope_pull_lowering / one
    lines = [
        patch(points, np.concatenate((angle, angle[::-1])), np.concatenate((up, down[::-1])), LOSS),
        curve(points, angle, run.rope_pull_ideal / one, "#606060", "without loss", width=1.2,
              dash=[2, 3]),
        curve(points, angle, down, GREEN, "lowering", dash=[8, 4]),
        curve(points, angle, up, NOW, "winding"),
    ]  # fmt: skip
    if before is not None:
        x = np.degrees(before.elevation)
        lines.insert(
            1, curve(points, x, before.rope_pull / one, KEPT, "kept, winding", dash=DASH_KEPT)
        )
    peak = figures(run.peak_rope_pull, "N", system)
    at = math.degrees(run.peak_rope_elevation)
    lost = run.work - run.stored
    words = (
        f"Rope tension against arm elevation, from upright at the right to cocked at the left. "
        f"Peak {peak} with the arm at {at:.0f} degrees. Between winding and lowering, shaded, is "
        f"what friction takes: of {figures(run.work, 'J', system)} at the handles "
        f"{figures(run.stored, 'J', system)} are stored and {figures(lost, 'J', system)} lost."
    )
    return {
        "key": "tension",
        "title": f"{title}; shaded: lost",
        "words": words,
        "x": {
            "label": "arm elevation: cocked \N{LEFTWARDS ARROW} upright [deg]",
            "low": float(angle.min()) - 3.0,
            "high": float(angle.max()) + 3.0,
        },
        "y": {"label": f"tension [{label}]", "low": 0.0, "high": 1.22 * top / one},
        "lines": lines,
        "marks": [mark(at, run.peak_rope_pull / one, f"peak {peak}")],
        "rules": [],
    }


def turn(now: Wound, kept: Wound | None, system: units.System, points: Points) -> Picture:
    """Show the force of one person through the turns of the crank, against what is sustainable."""
    title = "Force, by turns"
    run = now.run
    if run is None:
        return no_picture("turn", title, now.troubles.get("winding", ""))
    one, label = _hand(system)
    people = run.numbers.people
    push, back = run.handle / people / one, run.handle_lowering / people / one
    allowed = run.force_allowed / one
    most = 1.3 * max(float(push.max()), allowed if allowed < 4.0 * float(push.max()) else 0.0)
    limit = figures(run.force_allowed, "N", system)
    words = (
        f"Force of one person against turns of the crank: at most "
        f"{figures(run.force_per_person, 'N', system)} winding; holding back while lowering at "
        f"most {figures(float(run.handle_lowering.max()) / people, 'N', system)}. A person can "
        f"sustain {limit} for {figures(run.winding_time, 's', system)}."
    )
    rules = [{"y": allowed, "label": f"sustainable: {limit}", "colour": KEPT, "dash": [6, 4]}]
    return {
        "key": "turn",
        "title": title if allowed <= most else f"{title}; {limit} sustainable",
        "words": words,
        "x": {"label": "turns of the crank", "low": 0.0, "high": 1.02 * run.crank_turns},
        "y": {"label": f"force per person [{label}]", "low": 0.0, "high": most},
        "lines": [
            curve(points, run.turns, back, GREEN, "holding back, lowering", dash=[8, 4]),
            curve(points, run.turns, push, NOW, "winding"),
        ],
        "marks": [],
        "rules": rules if allowed <= most else [],
    }


def force(now: Wound, kept: Wound | None, system: units.System, points: Points) -> Picture:
    """Show force of one person against the drum, with what nobody can sustain shaded."""
    title = "Force, by drum"
    choice, run = now.choice, now.run
    if choice is None or run is None:
        return no_picture("force", title, now.troubles.get("drums", ""))
    one, label = _hand(system)
    asked, allowed = choice.force_per_person / one, choice.force_allowed / one
    high = 1.25 * max(float(asked.max()), float(allowed.max()))
    x, axis = _drum_axis(choice.drum, system)
    here = run.numbers.drum / axis["one"]
    lines = [
        patch(points, np.append(x, (x[-1], x[0])), np.append(allowed, (high, high)), TOO_MUCH),
        curve(points, x, allowed, KEPT, "most that is sustainable", dash=[6, 4], width=1.5),
        curve(points, x, asked, NOW, "needed per person"),
    ]
    text = figures(run.force_per_person, "N", system)
    words = (
        f"Force of one person against drum diameter. The present drum of "
        f"{figures(run.numbers.drum, 'm', system)} asks {text}; "
        f"{figures(run.force_allowed, 'N', system)} is sustainable. {whole(choice.advice, system)}"
    )
    return {
        "key": "force",
        "title": f"{title}; shaded: too much",
        "words": words,
        "x": axis["x"],
        "y": {"label": f"force per person [{label}]", "low": 0.0, "high": high},
        "lines": lines,
        "marks": [mark(here, run.force_per_person / one, f"present: {text}")],
        "rules": [],
    }


def reload(now: Wound, kept: Wound | None, system: units.System, points: Points) -> Picture:
    """Show winding and reload time against the drum, drums too heavy for the crew shaded."""
    title = "Shot to shot, by drum"
    choice, run = now.choice, now.run
    if choice is None or run is None:
        return no_picture("reload", title, now.troubles.get("drums", ""))
    x, axis = _drum_axis(choice.drum, system)
    wanted = 60.0 / now.wanted
    whole, part = choice.reload_time / 60.0, choice.winding_time / 60.0
    here, present = run.numbers.drum / axis["one"], 60.0 / run.loosings_an_hour
    high = 1.2 * max(float(whole.max()), wanted if wanted < 6.0 * float(whole.max()) else 0.0)
    lines = [
        curve(points, x, part, GREEN, "winding", dash=[8, 4]),
        curve(points, x, whole, NOW, "winding, then rest or loading"),
    ]
    fits = "fits" if present <= wanted else "does not fit"
    words = (
        f"Time against drum diameter. With the present drum winding takes "
        f"{run.winding_time / 60.0:.1f} minutes and a whole round {present:.1f} minutes, "
        f"{run.loosings_an_hour:.1f} shots an hour; {now.wanted:g} wanted: {fits}."
    )
    rules = [{"y": wanted, "label": f"{now.wanted:g} an hour", "colour": PINK, "dash": [2, 3]}]
    heavy = _too_heavy(x, choice.force_per_person > choice.force_allowed)
    return {
        "key": "reload",
        "title": title,
        "words": words,
        "x": axis["x"],
        "y": {"label": "time [min]", "low": 0.0, "high": high},
        "shades": heavy,
        "lines": lines,
        "marks": [mark(here, present, f"present: {present:.1f} min")],
        "rules": rules if wanted <= high else [],
    }


def heaviest(now: Wound, kept: Wound | None, system: units.System, points: Points) -> Picture:
    """Show the heaviest counterweight that the crew winds, for each drum."""
    title = "Heaviest counterweight, by drum"
    choice, run = now.choice, now.run
    if choice is None or run is None or not np.isfinite(choice.heaviest).any():
        return no_picture(
            "heaviest", title, now.troubles.get("drums", "this crew winds no counterweight at all")
        )
    mass = now.machine.number("counterweight.mass")
    top = max(float(np.nanmax(choice.heaviest)), mass)
    one, label = scale(top, "kg", system)
    x, axis = _drum_axis(choice.drum, system)
    most, high = choice.heaviest / one, 1.2 * top / one
    here = run.numbers.drum / axis["one"]
    limit = float(np.interp(run.numbers.drum, choice.drum, choice.heaviest))
    lines = [
        patch(points, np.append(x, (x[-1], x[0])), np.append(most, (high, high)), TOO_MUCH),
        curve(points, x, most, ORANGE, "heaviest"),
    ]
    text = figures(mass, "kg", system)
    words = (
        f"Heaviest counterweight that this crew can wind, against drum diameter: with the present "
        f"drum {figures(limit, 'kg', system) if math.isfinite(limit) else 'none'}; "
        f"the present counterweight is {text}."
    )
    return {
        "key": "heaviest",
        "title": title,
        "words": words,
        "x": axis["x"],
        "y": {"label": f"counterweight [{label}]", "low": 0.0, "high": high},
        "lines": lines,
        "marks": [mark(here, mass / one, f"present: {text}")],
        "rules": [],
    }


def frame(now: Wound, kept: Wound | None, system: units.System, points: Points) -> Picture:
    """Show what the rope does to the frame where the winch stands: along and across its member."""
    title = "Pull on the frame"
    run = now.run
    if run is None:
        return no_picture("frame", title, now.troubles.get("winding", ""))
    winch = run.frame[0]
    top = float(max(np.abs(winch.along).max(), np.abs(winch.across).max()))
    one, label = scale(top, "N", system)
    angle = np.degrees(run.elevation)
    both = np.abs(winch.bending_along + winch.bending_across)
    words = (
        f"Force of the rope on the frame at the winch: along its member at most "
        f"{figures(float(np.abs(winch.along).max()), 'N', system)}, across it "
        f"{figures(float(np.abs(winch.across).max()), 'N', system)}. The pull across bends the "
        f"extension of {figures(run.rig.overhang, 'm', system)} at its inner bolts by "
        f"{_moment(float(np.abs(winch.bending_across).max()), system)}; the pull along, by its "
        f"height over the member, {_moment(float(np.abs(winch.bending_along).max()), system)}; "
        f"both together at most {_moment(float(both.max()), system)}."
    )
    low = min(0.0, float(winch.along.min()), float(winch.across.min())) / one
    high = max(0.0, float(winch.along.max()), float(winch.across.max())) / one
    room = 0.15 * (high - low or 1.0)
    return {
        "key": "frame",
        "title": f"{title}; bends by {_moment(float(both.max()), system)}",
        "words": words,
        "x": {
            "label": "arm elevation: cocked \N{LEFTWARDS ARROW} upright [deg]",
            "low": float(angle.min()) - 3.0,
            "high": float(angle.max()) + 3.0,
        },
        "y": {"label": f"force [{label}]", "low": low - room, "high": high + room},
        "lines": [
            curve(points, angle, winch.along / one, NOW, "along, forward +"),
            curve(points, angle, winch.across / one, KEPT, "across, up +", dash=[8, 4]),
        ],
        "marks": [],
        "rules": [{"y": 0.0, "colour": "#808080", "dash": []}],
    }


def _hand(system: units.System) -> tuple[float, str]:
    """Give the unit of hand forces: newtons or pounds-force, never thousands of them."""
    label = "N" if system == "metric" else "lbf"
    return units.unit_named(label).factor, label


def _moment(moment: float, system: units.System) -> str:
    """Write a bending moment."""
    label = "N m" if system == "metric" else "ft lbf"
    one = 1.0 if system == "metric" else 0.3048 * units.unit_named("lbf").factor
    return f"{float(f'{moment / one:.3g}'):,.6g} {label}"


def _drum_axis(drums: np.ndarray, system: units.System) -> tuple[np.ndarray, dict[str, Any]]:
    one, label = scale(float(drums.max()), "m", system)
    x = drums / one
    low, high = float(x.min()), float(x.max())
    room = 0.03 * (high - low or 1.0)
    axis = {"label": f"drum diameter [{label}]", "low": low - room, "high": high + room}
    return x, {"one": one, "x": axis}


def _too_heavy(x: np.ndarray, heavy: np.ndarray) -> list[dict[str, Any]]:
    """Shade the drums that ask more of the crew than it can sustain."""
    if not heavy.any():
        return []
    half = 0.5 * float(x[1] - x[0])
    low, high = float(x[heavy].min()) - half, float(x[heavy].max()) + half
    return [{"low": low, "high": high, "name": "too heavy for the crew", "colour": TOO_HEAVY}]


WINDING_PICTURES: Mapping[str, Scene] = MappingProxyType(
    {
        "tension": tension,
        "turn": turn,
        "force": force,
        "reload": reload,
        "heaviest": heaviest,
        "frame": frame,
    }
)
"""Pictures of rope, crew and drum, by name."""

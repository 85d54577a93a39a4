"""Live pictures of winding: rope, crew and drum. Plain data for the canvas."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.figures import figures
from slingwright.pages.pictures import canvas
from slingwright.pages.pictures.canvas import GREEN, KEPT, NOW, Picture, Points, mark, picture
from slingwright.pages.winding.controller import WindingController
from slingwright.winch.text import whole

LOSS, TOO_MUCH = "rgba(0,114,178,0.16)", "rgba(213,94,0,0.17)"
TOO_HEAVY = "#f9e6d9"


def tension(page: WindingController, system: units.System, points: Points) -> Picture:
    """Show rope tension against arm elevation, winding and lowering, the loss between shaded."""
    title, now, kept = "Rope tension at drum", page.now, page.kept
    run = now.run
    if run is None:
        return canvas.no_picture("tension", title, now.why("winding"))
    before = kept.run if kept is not None else None
    top = max(one.peak_rope_pull for one in (run, before) if one is not None)
    one, label = canvas.scale(top, "N", system)
    angle = np.degrees(run.elevation)
    up, down = run.rope_pull / one, run.rope_pull_lowering / one
    lines = [
        points.patch(np.append(angle, angle[::-1]), np.append(up, down[::-1]), LOSS),
        points.curve(
            angle, run.rope_pull_ideal / one, "#606060", "without loss", width=1.2, dash=[2, 3]
        ),
        points.curve(angle, down, GREEN, "lowering", dash=[8, 4]),
        points.curve(angle, up, NOW, "winding"),
    ]
    if before is not None:
        old = np.degrees(before.elevation), before.rope_pull / one
        lines.insert(1, points.curve(*old, KEPT, "kept, winding", dash=canvas.DASH_KEPT))
    peak = figures(run.peak_rope_pull, "N", system)
    at = math.degrees(run.peak_rope_elevation)
    lost = run.work - run.stored
    words = (
        f"Rope tension against arm elevation, from upright at the right to cocked at the left. "
        f"Peak {peak} with the arm at {at:.0f} degrees. Between winding and lowering, shaded, is "
        f"what friction takes: of {figures(run.work, 'J', system)} at the handles "
        f"{figures(run.stored, 'J', system)} are stored and {figures(lost, 'J', system)} lost."
    )
    return picture(
        "tension", f"{title}; shaded: lost", words,
        _elevation_axis(angle), (f"tension [{label}]", 0.0, 1.22 * top / one), lines,
        marks=[mark(at, run.peak_rope_pull / one, f"peak {peak}")],
    )  # fmt: skip


def turn(page: WindingController, system: units.System, points: Points) -> Picture:
    """Show the force of one person through the turns of the crank, against what is sustainable."""
    title, now = "Force, by turns", page.now
    run = now.run
    if run is None:
        return canvas.no_picture("turn", title, now.why("winding"))
    one, label = hand(system)
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
    return picture(
        "turn", title if allowed <= most else f"{title}; {limit} sustainable", words,
        ("turns of the crank", 0.0, 1.02 * run.crank_turns),
        (f"force per person [{label}]", 0.0, most),
        [
            points.curve(run.turns, back, GREEN, "holding back, lowering", dash=[8, 4]),
            points.curve(run.turns, push, NOW, "winding"),
        ],
        rules=rules if allowed <= most else [],
    )  # fmt: skip


def force(page: WindingController, system: units.System, points: Points) -> Picture:
    """Show force of one person against the drum, with what nobody can sustain shaded."""
    title, now = "Force, by drum", page.now
    choice, run = now.choice, now.run
    if choice is None or run is None:
        return canvas.no_picture("force", title, now.why("drums"))
    one, label = hand(system)
    asked, allowed = choice.force_per_person / one, choice.force_allowed / one
    high = 1.25 * max(float(asked.max()), float(allowed.max()))
    x, metre, axis = _drum_axis(choice.drum, system)
    too_much = np.append(x, (x[-1], x[0])), np.append(allowed, (high, high))
    text = figures(run.force_per_person, "N", system)
    words = (
        f"Force of one person against drum diameter. The present drum of "
        f"{figures(run.numbers.drum, 'm', system)} asks {text}; "
        f"{figures(run.force_allowed, 'N', system)} is sustainable. {whole(choice.advice, system)}"
    )
    return picture(
        "force", f"{title}; shaded: too much", words,
        axis, (f"force per person [{label}]", 0.0, high),
        [
            points.patch(*too_much, TOO_MUCH),
            points.curve(x, allowed, KEPT, "most that is sustainable", dash=[6, 4], width=1.5),
            points.curve(x, asked, NOW, "needed per person"),
        ],
        marks=[mark(run.numbers.drum / metre, run.force_per_person / one, f"present: {text}")],
    )  # fmt: skip


def reload(page: WindingController, system: units.System, points: Points) -> Picture:
    """Show winding and reload time against the drum, drums too heavy for the crew shaded."""
    title, now = "Shot to shot, by drum", page.now
    choice, run = now.choice, now.run
    if choice is None or run is None:
        return canvas.no_picture("reload", title, now.why("drums"))
    x, metre, axis = _drum_axis(choice.drum, system)
    wanted = 60.0 / now.wanted
    whole, part = choice.reload_time / 60.0, choice.winding_time / 60.0
    here, present = run.numbers.drum / metre, 60.0 / run.loosings_an_hour
    high = 1.2 * max(float(whole.max()), wanted if wanted < 6.0 * float(whole.max()) else 0.0)
    fits = "fits" if present <= wanted else "does not fit"
    words = (
        f"Time against drum diameter. With the present drum winding takes "
        f"{run.winding_time / 60.0:.1f} minutes and a whole round {present:.1f} minutes, "
        f"{run.loosings_an_hour:.1f} shots an hour; {now.wanted:g} wanted: {fits}."
    )
    rules = [{"y": wanted, "label": f"{now.wanted:g} an hour", "colour": canvas.PINK}]
    return picture(
        "reload", title, words,
        axis, ("time [min]", 0.0, high),
        [
            points.curve(x, part, GREEN, "winding", dash=[8, 4]),
            points.curve(x, whole, NOW, "winding, then rest or loading"),
        ],
        marks=[mark(here, present, f"present: {present:.1f} min")],
        rules=rules if wanted <= high else [],
        shades=_too_heavy(x, choice.force_per_person > choice.force_allowed),
    )  # fmt: skip


def heaviest(page: WindingController, system: units.System, points: Points) -> Picture:
    """Show the heaviest counterweight that the crew winds, for each drum."""
    title, now = "Heaviest counterweight, by drum", page.now
    choice, run = now.choice, now.run
    if choice is None or run is None or not np.isfinite(choice.heaviest).any():
        why = now.troubles.get("drums", "this crew winds no counterweight at all")
        return canvas.no_picture("heaviest", title, why)
    mass = now.machine.number("counterweight.mass")
    top = max(float(np.nanmax(choice.heaviest)), mass)
    one, label = canvas.scale(top, "kg", system)
    x, metre, axis = _drum_axis(choice.drum, system)
    most, high = choice.heaviest / one, 1.2 * top / one
    too_much = np.append(x, (x[-1], x[0])), np.append(most, (high, high))
    limit = float(np.interp(run.numbers.drum, choice.drum, choice.heaviest))
    text = figures(mass, "kg", system)
    words = (
        f"Heaviest counterweight that this crew can wind, against drum diameter: with the present "
        f"drum {figures(limit, 'kg', system) if math.isfinite(limit) else 'none'}; "
        f"the present counterweight is {text}."
    )
    return picture(
        "heaviest", title, words,
        axis, (f"counterweight [{label}]", 0.0, high),
        [points.patch(*too_much, TOO_MUCH), points.curve(x, most, canvas.ORANGE, "heaviest")],
        marks=[mark(run.numbers.drum / metre, mass / one, f"present: {text}")],
    )  # fmt: skip


def frame(page: WindingController, system: units.System, points: Points) -> Picture:
    """Show what the rope does to the frame where the winch stands: along and across its member."""
    title, now = "Pull on the frame", page.now
    run = now.run
    if run is None:
        return canvas.no_picture("frame", title, now.why("winding"))
    winch = run.frame[0]

    def most(values: np.ndarray) -> float:
        return float(np.abs(values).max())

    one, label = canvas.scale(max(most(winch.along), most(winch.across)), "N", system)
    angle = np.degrees(run.elevation)
    both = _moment(most(winch.bending_along + winch.bending_across), system)
    words = (
        f"Force of the rope on the frame at the winch: along its member at most "
        f"{figures(most(winch.along), 'N', system)}, across it "
        f"{figures(most(winch.across), 'N', system)}. The pull across bends the "
        f"extension of {figures(run.rig.overhang, 'm', system)} at its inner bolts by "
        f"{_moment(most(winch.bending_across), system)}; the pull along, by its "
        f"height over the member, {_moment(most(winch.bending_along), system)}; "
        f"both together at most {both}."
    )
    low = min(0.0, float(winch.along.min()), float(winch.across.min())) / one
    high = max(0.0, float(winch.along.max()), float(winch.across.max())) / one
    room = 0.15 * (high - low or 1.0)
    return picture(
        "frame", f"{title}; bends by {both}", words,
        _elevation_axis(angle), (f"force [{label}]", low - room, high + room),
        [
            points.curve(angle, winch.along / one, NOW, "along, forward +"),
            points.curve(angle, winch.across / one, KEPT, "across, up +", dash=[8, 4]),
        ],
        rules=[{"y": 0.0, "colour": "#808080", "dash": []}],
    )  # fmt: skip


def hand(system: units.System) -> tuple[float, str]:
    """Give the unit of hand forces: newtons or pounds-force, never thousands of them."""
    label = "N" if system == "metric" else "lbf"
    return units.unit_named(label).factor, label


def _moment(moment: float, system: units.System) -> str:
    label = "N m" if system == "metric" else "ft lbf"
    one = 1.0 if system == "metric" else 0.3048 * units.unit_named("lbf").factor
    return f"{float(f'{moment / one:.3g}'):,.6g} {label}"


def _elevation_axis(angle: np.ndarray) -> canvas.Axis:
    words = "arm elevation: cocked \N{LEFTWARDS ARROW} upright [deg]"
    return words, float(angle.min()) - 3.0, float(angle.max()) + 3.0


def _drum_axis(drums: np.ndarray, system: units.System) -> tuple[np.ndarray, float, canvas.Axis]:
    one, label = canvas.scale(float(drums.max()), "m", system)
    x = drums / one
    low, high = float(x.min()), float(x.max())
    room = 0.03 * (high - low or 1.0)
    return x, one, (f"drum diameter [{label}]", low - room, high + room)


def _too_heavy(x: np.ndarray, heavy: np.ndarray) -> list[dict[str, Any]]:
    if not heavy.any():
        return []
    half = 0.5 * float(x[1] - x[0])
    low, high = float(x[heavy].min()) - half, float(x[heavy].max()) + half
    return [{"low": low, "high": high, "name": "too heavy for the crew", "colour": TOO_HEAVY}]


WINDING_PICTURES: Mapping[str, canvas.Scene] = {
    "tension": tension, "turn": turn, "force": force, "reload": reload, "heaviest": heaviest,
    "frame": frame,
}  # fmt: skip

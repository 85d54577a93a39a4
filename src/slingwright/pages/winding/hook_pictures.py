"""Live pictures of what lets go, and of what was measured: hook, lanyard, prong, load cell."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.figures import figures
from slingwright.formulas.release import trigger
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
from slingwright.pages.winding.pictures import (
    TOO_HEAVY,
    Scene,
    curve,
    mark,
    no_picture,
    patch,
    scale,
)
from slingwright.winch.hook import EASY_PULL, HANDY_PULL
from slingwright.winch.text import whole

STEEL, RING = "#c9ced3", "#404040"


def shape(now: Wound, kept: Wound | None, system: units.System, points: Points) -> Picture:
    """Draw the hook to scale: pivot, finger, ring, load's line, and where friction moves it."""
    title = "Slip hook to scale"
    hook, loosed = now.hook, now.loosing
    if loosed is None:
        return no_picture("shape", title, now.troubles.get("hook", now.troubles.get("winding", "")))
    size = hook.curve + hook.pin
    one, label = scale(4.0 * size, "m", system)
    centre = (hook.offset, 2.3 * size)
    foot = centre[1] - hook.curve
    moved = hook.curve * math.sin(math.atan(hook.friction))
    moved += hook.pin * math.sin(math.atan(hook.friction))
    top, right = centre[1] + 1.4 * size, 4.5 * size
    low, left = -1.8 * size, -4.5 * size
    round_ = np.linspace(0.0, 2.0 * math.pi, 61)
    body_x = np.array([-1.5, -1.5, 1.0, right / hook.pin, right / hook.pin, 1.5, 1.5]) * hook.pin
    body_y = np.array([-1.0, 1.0, 1.5, 0.5, -0.5, -1.5, -1.5]) * hook.pin
    finger = np.linspace(-math.pi, 0.0, 41)
    finger_x = centre[0] + hook.curve * np.cos(finger)
    finger_y = centre[1] + hook.curve * np.sin(finger)
    neck_x = np.concatenate((finger_x, (hook.pin * 1.5, -hook.pin * 1.5)))
    neck_y = np.concatenate((finger_y, (0.0, 0.0)))
    ring = 0.28 * size
    ring_x = hook.offset + ring * np.cos(round_)
    ring_y = foot - ring + ring * np.sin(round_)
    lines = [
        patch(points, body_x / one, body_y / one, STEEL),
        patch(points, neck_x / one, neck_y / one, STEEL),
        curve(points, finger_x / one, finger_y / one, NOW, width=3),
        curve(points, ring_x / one, ring_y / one, RING, width=2),
        curve(points, hook.pin * np.cos(round_) / one, hook.pin * np.sin(round_) / one, ORANGE,
              width=2),
        curve(points, np.array([hook.offset, hook.offset]) / one, np.array([low, top]) / one, GREEN,
              "load's line", width=1.5),
        curve(points, np.array([1.0, 1.0]) * (hook.offset + moved) / one,
              np.array([low, top]) / one, KEPT, "the same, with friction", width=1.5, dash=[6, 4]),
    ]  # fmt: skip
    lever = figures(hook.lever, "m", system)
    words = (
        f"The hook {loosed.verdict}. The load's line passes the pivot at "
        f"{figures(hook.offset, 'm', system)}, positive shuts the finger; friction moves it by "
        f"{figures(moved, 'm', system)}. The lanyard pulls down on a lever of {lever}, to the "
        f"right. {whole(loosed.words, system)}"
    )
    return {
        "key": "shape",
        "title": f"{title}: {loosed.verdict}",
        "words": words,
        "equal": True,
        "x": {"label": f"lever side \N{RIGHTWARDS ARROW} [{label}]", "low": left / one,
              "high": right / one},
        "y": {"label": f"along the load [{label}]", "low": low / one, "high": top / one},
        "lines": lines,
        "marks": [
            mark(0.82 * right / one, 0.0, f"lanyard at {lever}, pulled down", PINK, "triangle"),
            {**mark(ring_x[30] / one, ring_y[30] / one, "ring", RING), "size": 1.5},
            {**mark(-hook.pin / one, 0.0, "pivot pin", ORANGE), "size": 1.5},
        ],
        "rules": [],
    }  # fmt: skip


def pull(now: Wound, kept: Wound | None, system: units.System, points: Points) -> Picture:
    """Show the pull on the lanyard that looses the hook, over friction."""
    title = "Pull on the lanyard, by friction"
    hook, loosed = now.hook, now.loosing
    if loosed is None:
        return no_picture("pull", title, now.troubles.get("hook", now.troubles.get("winding", "")))
    end = max(0.3, 1.15 * 2.0 * hook.friction, hook.slippery)
    frictions = np.linspace(0.0, end, 61)
    sizes = (loosed.load, hook.curve, hook.offset, hook.pin, hook.lever)
    pulls = np.array([_pull(sizes, float(mu)) for mu in frictions])
    top = max(float(np.nanmax(pulls)), loosed.pull_at_double_friction, 1.0)
    label = "N" if system == "metric" else "lbf"
    one = units.unit_named(label).factor
    handy = figures(HANDY_PULL, "N", system)
    rules = [{"y": HANDY_PULL / one, "label": f"one person with ease: {handy}", "colour": KEPT,
              "dash": [6, 4]}]  # fmt: skip
    shades = []
    if loosed.friction_that_holds > 0.0:
        edge = min(loosed.friction_that_holds, end)
        shades.append({"low": 0.0, "high": edge, "name": "looses by itself", "colour": TOO_HEAVY})
    now_text, twice = (figures(p, "N", system) for p in (loosed.pull,
                       loosed.pull_at_double_friction))  # fmt: skip
    easy = figures(EASY_PULL, "N", system)
    words = (
        f"Pull on the lanyard against friction: {now_text} at {hook.friction:g}, {twice} at twice "
        f"that, {figures(loosed.pull_when_slippery, 'N', system)} at the least foreseen, "
        f"{hook.slippery:g}, where it {loosed.verdict_when_slippery}. Below {easy} a snagged "
        f"lanyard may loose it. {whole(loosed.words, system)}"
    )
    double = 2.0 * hook.friction
    return {
        "key": "pull",
        "title": title,
        "words": words,
        "x": {"label": "friction of ring and pin [-]", "low": 0.0, "high": end},
        "y": {"label": f"pull [{label}]", "low": 0.0, "high": 1.25 * top / one},
        "shades": shades,
        "lines": [curve(points, frictions, pulls / one, NOW)],
        "marks": [
            mark(hook.friction, loosed.pull / one, f"now {now_text}"),
            mark(double, loosed.pull_at_double_friction / one, f"twice the friction {twice}", KEPT,
                 "diamond"),
            mark(hook.slippery, loosed.pull_when_slippery / one, "oil, ice", GREEN, "square"),
        ],
        "rules": rules if HANDY_PULL / one <= 1.25 * top / one else [],
    }  # fmt: skip


def prong(now: Wound, kept: Wound | None, system: units.System, points: Points) -> Picture:
    """Show the range against the slip angle, with the ring as it is, wet and dry."""
    title = "Range by slip angle"
    choice = now.prong
    if choice is None:
        return no_picture("prong", title, now.troubles.get("prong", ""))
    angles, ranges = now.reach
    degrees = np.degrees(angles)
    slips = [math.degrees(a) for a in (choice.slip, choice.slip_wet, choice.slip_dry)]
    low, high = min(slips) - 12.0, max(slips) + 12.0
    near = (degrees >= low) & (degrees <= high) & np.isfinite(ranges)
    if not near.any():
        return no_picture("prong", title, "no throw comes off near these slip angles")
    top, least = float(ranges[near].max()), float(ranges[near].min())
    room = max(0.35 * (top - least), 0.02 * abs(top), 1e-6)
    one, label = scale(max(abs(top), 1.0), "m", system)
    marks = []
    for angle, far, name, colour, form in (
        (slips[0], choice.range, "as it is", NOW, "circle"),
        (slips[1], choice.range_wet, "wet", GREEN, "square"),
        (slips[2], choice.range_dry, "dry", KEPT, "diamond"),
    ):
        if far is not None:
            text = f"{name}: {figures(far, 'm', system)}"
            marks.append(mark(angle, far / one, text, colour, form))
    words = (
        f"A prong bent by {math.degrees(choice.bend):.0f} degrees toward the throw. "
        f"{whole(choice.words, system)}"
    )
    return {
        "key": "prong",
        "title": f"{title}; prong bent {math.degrees(choice.bend):.0f} deg",
        "words": words,
        "x": {"label": "sling lag at the slip [deg]", "low": low, "high": high},
        "y": {
            "label": f"range [{label}]",
            "low": (least - room) / one,
            "high": (top + room) / one,
        },
        "lines": [curve(points, degrees[near], ranges[near] / one, NOW)],
        "marks": marks,
        "rules": [],
    }


def trace(now: Wound, kept: Wound | None, system: units.System, points: Points) -> Picture:
    """Lay a load cell's trace over the predicted tension."""
    title = "Load cell in the hauling part"
    laid = now.trace
    if laid is None:
        why = now.troubles.get("trace", now.troubles.get("winding", ""))
        return no_picture("trace", title, why or "no trace was given: pass trace= to the panel")
    top = float(max(laid.measured.max(), laid.predicted.max()))
    one, label = scale(top, "N", system)
    share = 100.0 * laid.progress
    order = np.argsort(share, kind="stable")
    return {
        "key": "trace",
        "title": title,
        "words": f"A load cell's trace over the prediction. {whole(laid.words, system)}",
        "x": {"label": "rope taken [%]", "low": 0.0, "high": 102.0},
        "y": {"label": f"tension [{label}]", "low": 0.0, "high": 1.2 * top / one},
        "lines": [
            curve(points, share, laid.measured / one, ORANGE, "measured", width=1.2),
            curve(points, share[order], laid.predicted[order] / one, NOW, "predicted",
                  dash=DASH_KEPT),
        ],
        "marks": [],
        "rules": [],
    }  # fmt: skip


def _pull(sizes: tuple[float, float, float, float, float], friction: float) -> float:
    """Give the pull at a friction; not-a-number where the lever is lost in the pin's friction."""
    try:
        return trigger.pull_to_loose(*sizes, friction, friction)
    except ValueError:
        return math.nan


HOOK_PICTURES: Mapping[str, Scene] = MappingProxyType(
    {"shape": shape, "pull": pull, "prong": prong, "trace": trace}
)
"""Pictures of hook, lanyard, prong and load cell, by name."""

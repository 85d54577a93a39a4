"""Live pictures of what lets go, and of what was measured: hook, lanyard, prong, load cell."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.figures import figures
from slingwright.formulas.release import trigger
from slingwright.pages.pictures import canvas
from slingwright.pages.pictures.canvas import GREEN, KEPT, NOW, Picture, Points, mark, picture
from slingwright.pages.winding.controller import WindingController
from slingwright.pages.winding.pictures import TOO_HEAVY, hand
from slingwright.winch.hook import EASY_PULL, HANDY_PULL
from slingwright.winch.text import whole

STEEL, RING = "#c9ced3", "#404040"


def shape(page: WindingController, system: units.System, points: Points) -> Picture:
    """Draw the hook to scale: pivot, finger, ring, load's line, and where friction moves it."""
    title, now = "Slip hook to scale", page.now
    hook, loosed = now.hook, now.loosing
    if loosed is None:
        return canvas.no_picture("shape", title, now.why("hook", "winding"))
    size = hook.curve + hook.pin
    one, label = canvas.scale(4.0 * size, "m", system)
    centre = (hook.offset, 2.3 * size)
    foot = centre[1] - hook.curve
    moved = hook.curve * math.sin(math.atan(hook.friction))
    moved += hook.pin * math.sin(math.atan(hook.friction))
    top, right = centre[1] + 1.4 * size, 4.5 * size
    low, left = -1.8 * size, -4.5 * size
    turn = np.linspace(0.0, 2.0 * math.pi, 61)
    body_x = np.array([-1.5, -1.5, 1.0, right / hook.pin, right / hook.pin, 1.5, 1.5]) * hook.pin
    body_y = np.array([-1.0, 1.0, 1.5, 0.5, -0.5, -1.5, -1.5]) * hook.pin
    finger = np.linspace(-math.pi, 0.0, 41)
    finger_x = centre[0] + hook.curve * np.cos(finger)
    finger_y = centre[1] + hook.curve * np.sin(finger)
    neck_x = np.append(finger_x, (hook.pin * 1.5, -hook.pin * 1.5))
    neck_y = np.append(finger_y, (0.0, 0.0))
    ring = 0.28 * size
    ring_x = hook.offset + ring * np.cos(turn)
    ring_y = foot - ring + ring * np.sin(turn)
    along, slid = np.array([low, top]) / one, (hook.offset + moved) / one
    lines = [
        points.patch(body_x / one, body_y / one, STEEL),
        points.patch(neck_x / one, neck_y / one, STEEL),
        points.curve(finger_x / one, finger_y / one, NOW, width=3),
        points.curve(ring_x / one, ring_y / one, RING),
        points.curve(hook.pin * np.cos(turn) / one, hook.pin * np.sin(turn) / one, canvas.ORANGE),
        points.curve(np.full(2, hook.offset / one), along, GREEN, "load's line", width=1.5),
        points.curve(np.full(2, slid), along, KEPT, "the same, with friction", width=1.5,
                     dash=[6, 4]),
    ]  # fmt: skip
    lever = figures(hook.lever, "m", system)
    words = (
        f"The hook {loosed.verdict}. The load's line passes the pivot at "
        f"{figures(hook.offset, 'm', system)}, positive shuts the finger; friction moves it by "
        f"{figures(moved, 'm', system)}. The lanyard pulls down on a lever of {lever}, to the "
        f"right. {whole(loosed.words, system)}"
    )
    pulled = f"lanyard at {lever}, pulled down"
    return picture(
        "shape", f"{title}: {loosed.verdict}", words,
        (f"lever side \N{RIGHTWARDS ARROW} [{label}]", left / one, right / one),
        (f"along the load [{label}]", low / one, top / one), lines,
        marks=[
            mark(0.82 * right / one, 0.0, pulled, canvas.PINK, "triangle"),
            {**mark(ring_x[30] / one, ring_y[30] / one, "ring", RING), "size": 1.5},
            {**mark(-hook.pin / one, 0.0, "pivot pin", canvas.ORANGE), "size": 1.5},
        ],
        equal=True,
    )  # fmt: skip


def pull(page: WindingController, system: units.System, points: Points) -> Picture:
    """Show the pull on the lanyard that looses the hook, over friction."""
    title, now = "Pull on the lanyard, by friction", page.now
    hook, loosed = now.hook, now.loosing
    if loosed is None:
        return canvas.no_picture("pull", title, now.why("hook", "winding"))
    end = max(0.3, 1.15 * 2.0 * hook.friction, hook.slippery)
    frictions = np.linspace(0.0, end, 61)
    sizes = (loosed.load, hook.curve, hook.offset, hook.pin, hook.lever)
    pulls = np.array([_pull(sizes, float(mu)) for mu in frictions])
    one, label = hand(system)
    top = 1.25 * max(float(np.nanmax(pulls)), loosed.pull_at_double_friction, 1.0) / one
    easily = f"one person with ease: {figures(HANDY_PULL, 'N', system)}"
    rules = [{"y": HANDY_PULL / one, "label": easily, "colour": KEPT, "dash": [6, 4]}]
    shades = []
    if loosed.friction_that_holds > 0.0:
        edge = min(loosed.friction_that_holds, end)
        shades.append({"low": 0.0, "high": edge, "name": "looses by itself", "colour": TOO_HEAVY})
    now_text = figures(loosed.pull, "N", system)
    twice = figures(loosed.pull_at_double_friction, "N", system)
    words = (
        f"Pull on the lanyard against friction: {now_text} at {hook.friction:g}, {twice} at twice "
        f"that, {figures(loosed.pull_when_slippery, 'N', system)} at the least foreseen, "
        f"{hook.slippery:g}, where it {loosed.verdict_when_slippery}. Below "
        f"{figures(EASY_PULL, 'N', system)} a snagged lanyard may loose it. "
        f"{whole(loosed.words, system)}"
    )
    doubled = 2.0 * hook.friction, loosed.pull_at_double_friction / one
    return picture(
        "pull", title, words,
        ("friction of ring and pin [-]", 0.0, end), (f"pull [{label}]", 0.0, top),
        [points.curve(frictions, pulls / one, NOW)],
        marks=[
            mark(hook.friction, loosed.pull / one, f"now {now_text}"),
            mark(*doubled, f"twice the friction {twice}", KEPT, "diamond"),
            mark(hook.slippery, loosed.pull_when_slippery / one, "oil, ice", GREEN, "square"),
        ],
        rules=rules if HANDY_PULL / one <= top else [], shades=shades,
    )  # fmt: skip


def prong(page: WindingController, system: units.System, points: Points) -> Picture:
    """Show the range against the slip angle, with the ring as it is, wet and dry."""
    title, now = "Range by slip angle", page.now
    choice = now.prong
    if choice is None:
        return canvas.no_picture("prong", title, now.why("prong"))
    angles, ranges = now.reach
    degrees = np.degrees(angles)
    slips = [math.degrees(a) for a in (choice.slip, choice.slip_wet, choice.slip_dry)]
    low, high = min(slips) - 12.0, max(slips) + 12.0
    near = (degrees >= low) & (degrees <= high) & np.isfinite(ranges)
    if not near.any():
        return canvas.no_picture("prong", title, "no throw comes off near these slip angles")
    top, least = float(ranges[near].max()), float(ranges[near].min())
    room = max(0.35 * (top - least), 0.02 * abs(top), 1e-6)
    one, label = canvas.scale(max(abs(top), 1.0), "m", system)
    marks = []
    for angle, far, name, colour, form in (
        (slips[0], choice.range, "as it is", NOW, "circle"),
        (slips[1], choice.range_wet, "wet", GREEN, "square"),
        (slips[2], choice.range_dry, "dry", KEPT, "diamond"),
    ):
        if far is not None:
            text = f"{name}: {figures(far, 'm', system)}"
            marks.append(mark(angle, far / one, text, colour, form))
    bent = math.degrees(choice.bend)
    return picture(
        "prong", f"{title}; prong bent {bent:.0f} deg",
        f"A prong bent by {bent:.0f} degrees toward the throw. {whole(choice.words, system)}",
        ("sling lag at the slip [deg]", low, high),
        (f"range [{label}]", (least - room) / one, (top + room) / one),
        [points.curve(degrees[near], ranges[near] / one, NOW)], marks=marks,
    )  # fmt: skip


def trace(page: WindingController, system: units.System, points: Points) -> Picture:
    """Lay a load cell's trace over the predicted tension."""
    title, now = "Load cell in the hauling part", page.now
    laid = now.trace
    if laid is None:
        why = now.why("trace", "winding")
        return canvas.no_picture(
            "trace", title, why or "no trace was given: pass trace= to the panel"
        )
    top = float(max(laid.measured.max(), laid.predicted.max()))
    one, label = canvas.scale(top, "N", system)
    share = 100.0 * laid.progress
    order = np.argsort(share, kind="stable")
    predicted = share[order], laid.predicted[order] / one
    return picture(
        "trace", title, f"A load cell's trace over the prediction. {whole(laid.words, system)}",
        ("rope taken [%]", 0.0, 102.0), (f"tension [{label}]", 0.0, 1.2 * top / one),
        [
            points.curve(share, laid.measured / one, canvas.ORANGE, "measured", width=1.2),
            points.curve(*predicted, NOW, "predicted", dash=canvas.DASH_KEPT),
        ],
    )  # fmt: skip


def _pull(sizes: tuple[float, float, float, float, float], friction: float) -> float:
    """Give the pull at a friction; not-a-number where the lever is lost in the pin's friction."""
    try:
        return trigger.pull_to_loose(*sizes, friction, friction)
    except ValueError:
        return math.nan


HOOK_PICTURES: Mapping[str, canvas.Scene] = {
    "shape": shape,
    "pull": pull,
    "prong": prong,
    "trace": trace,
}

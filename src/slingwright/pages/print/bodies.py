"""Free bodies of arm and A-frame at the moment of the largest axle load, drawn and in numbers."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.answer import Cell, Table
from slingwright.amounts.text import Amount, form, joined, told
from slingwright.motion.shown import drawings
from slingwright.motion.throwing import Throw
from slingwright.pages.print.sections import Section, svg
from slingwright.strength.checks import Holding
from slingwright.strength.frame import MEMBERS, frame_shape, frame_units

LONGEST, ARROW = 0.35, {"arrowstyle": "->", "color": "#0072B2"}
"""Length of the largest arrow, as a share of the body, and how arrows look."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Force:
    """A force on a body: what it is, where it acts [m], along and up [N], and a couple [N m]."""

    name: str
    place: np.ndarray
    force: np.ndarray
    couple: float = 0.0

    def about(self, point: np.ndarray) -> float:
        """Moment about a point, counter-clockwise [N m]."""
        x, y = self.place - point
        return float(x * self.force[1] - y * self.force[0] + self.couple)


def on_arm(thrown: Throw, k: int) -> list[Force]:
    """Give the forces on the arm at one moment of a throw, its inertia among them."""
    n, e = thrown.machine.number, float(thrown.arm[k])
    along, across = np.array([-math.cos(e), math.sin(e)]), np.array([math.sin(e), math.cos(e)])
    mass, out, axle = n("arm.mass"), n("arm.balance"), thrown.axle[k]
    turning, rate = float(thrown.arm_acceleration[k]), float(thrown.arm_rate[k])
    speeding = out * (turning * across - rate**2 * along)
    speeding = speeding + np.array([float(thrown.base_acceleration[k]), 0.0])
    middle, still = axle + out * along, np.zeros(2)
    hung = thrown.machine.flag("counterweight.hung")
    fixed = 0.0 if hung else n("counterweight.inertia") * turning
    return [
        Force(name="sling's pull at the tip", place=thrown.tip[k], force=-thrown.tip_force[k]),
        Force(name="counterweight's pull at its pin", place=thrown.pin[k],
              force=-thrown.pin_force[k], couple=fixed),
        Force(name="axle on the arm", place=axle, force=thrown.axle_force[k]),
        Force(name="weight of the arm", place=middle,
              force=np.array([0.0, -mass * n("site.gravity")])),
        Force(name="inertia of the arm", place=middle, force=-mass * speeding,
              couple=n("arm.inertia") * turning),
        Force(name="friction in the axle's bearings", place=axle, force=still,
              couple=float(thrown.axle_torque[k])),
    ]  # fmt: skip


def on_frame(thrown: Throw, k: int) -> list[Force]:
    """Give the forces on the more loaded A-frame at one moment, without its own weight."""
    n = thrown.machine.number
    half, apex = 0.5 * n("frame.spread"), np.array([0.0, n("axle.height")])
    load = -n("frame.share") * thrown.axle_force[k]
    front = (apex[1] * load[0] - half * load[1]) / (2.0 * half)
    return [
        Force(name="arm on the axle, share of this frame", place=apex, force=load),
        Force(name="ground at the front foot", place=np.array([half, 0.0]),
              force=np.array([0.0, front])),
        Force(name="ground at the rear foot", place=np.array([-half, 0.0]),
              force=np.array([-load[0], -load[1] - front])),
    ]  # fmt: skip


def of_bodies(found: Holding, system: units.System) -> Section:
    """Give the section on free bodies; words alone where no case is a throw."""
    title = "Free bodies of arm and frame"
    throws = {c.name: c.throw for c in found.as_planned.cases if c.throw is not None}
    if not throws:
        return Section(title=title, words=["No throw is known, so there is none to draw."])
    name = max(throws, key=lambda one: float(throws[one].axle_load.max()))
    thrown = throws[name]
    k = int(np.argmax(thrown.axle_load))
    arm, frame = on_arm(thrown, k), on_frame(thrown, k)
    shape = frame_shape(found.machine)
    axial = frame_units(shape).axial @ frame[0].force
    pushed = [form("{} {:N}")(one, x) for one, x in zip(MEMBERS, axial, strict=True)]
    words = form(
        "{}, {:s} after loosing: the largest axle load of the throws that go as planned, of a "
        "rigid arm and of this motion alone. All forces on a body add up to none; what is left of "
        "the arm's moment is friction in the hanger pin. The frame's own weight is left out; its "
        "rear foot alone holds it along the throw. In its members, push positive: {}."
    )(name.capitalize(), float(thrown.time[k]), joined(pushed, "; "))
    ends = np.array([thrown.pin[k], thrown.tip[k]])
    half = np.array([0.5 * shape.spread, 0.0])
    feet = np.array([-half, frame[0].place, half, -half])
    drawn = svg(_picture((ends, arm), (feet, frame)))
    seen = "Free bodies of arm and A-frame; letters as in the tables."
    return Section(
        title=title,
        words=[told(words, system)],
        pictures=[("bodies.svg", drawn, seen)],
        sheets=[
            _table("arm", arm, thrown.axle[k], system),
            _table("A-frame", frame, frame[0].place, system),
        ],
    )


def _table(body: str, forces: Sequence[Force], point: np.ndarray, system: units.System) -> Table:
    total = np.round(np.sum([one.force for one in forces], axis=0), 6) + 0.0
    lines: list[tuple[Cell, ...]] = [
        (f"{letter}: {one.name}", *(Amount(x, "N") for x in one.force),
         Amount(one.about(point), "N m"))
        for letter, one in zip("ABCDEF", forces, strict=False)
    ]  # fmt: skip
    turned = round(math.fsum(one.about(point) for one in forces), 6) + 0.0
    lines.append(("all together", *(Amount(x, "N") for x in total), Amount(turned, "N m")))
    head = (f"on the {body}", "along the throw", "up", "moment about the axle")
    return Table(head=head, lines=tuple(lines), system=system)


def _picture(*bodies: tuple[np.ndarray, Sequence[Force]]) -> Any:
    figure, every = drawings.sheet(1, len(bodies), width=8.0, height=3.6)
    for axes, (outline, forces) in zip(every, bodies, strict=True):
        axes.plot(*outline.T, color="#8a6a3d", linewidth=3)
        long = float(np.ptp(outline, axis=0).max())
        most = max(float(np.hypot(*one.force)) for one in forces)
        for letter, one in zip("ABCDEF", forces, strict=False):
            arrow = LONGEST * long / most * one.force
            if float(np.hypot(*arrow)) > 0.01 * long:
                axes.annotate("", one.place + arrow, one.place, arrowprops=ARROW)
                beside = np.array([-arrow[1], arrow[0]]) * (1.0 if letter in "ACE" else -1.0)
                tip = one.place + arrow + 0.05 * long * (arrow + beside) / np.hypot(*arrow)
                axes.annotate(letter, tip, ha="center", va="center", fontsize=9)
                axes.plot(*tip, alpha=0.0)
        axes.set_aspect("equal")
        axes.margins(0.1)
        axes.axis("off")
    return figure

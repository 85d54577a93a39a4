"""Views of a machine to scale, held before loosing: outlines, circles and dimensions, in m.

Outlines are those that clearance looks at (`motion.bodies`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from slingwright.machine.machine import Machine
from slingwright.motion.bodies import moving_parts, standing_parts
from slingwright.motion.throwing import throw

OUTLINE, THIN, DIMENSION, WORDS = "OUTLINE", "THIN", "DIMENSION", "TEXT"
"""Layers of a drawing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """A dimension: what it shows, its two ends [m], and the side of the view it stands on.

    `name` is a dial's path, or words for a length that no dial sets. `side` is left, right, below
    or above; along means along its own line.
    """

    name: str
    start: tuple[float, float]
    end: tuple[float, float]
    side: str


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """One view: closed outlines by layer, circles (x, y, radius), and dimensions, all in m.

    `level` says whether the ground's line stands in it; `labels` are words beside places, `notes`
    lines below its title.
    """

    title: str
    outlines: Sequence[tuple[str, np.ndarray]]
    circles: Sequence[tuple[float, ...]] = ()
    sizes: Sequence[Size]
    level: bool = False
    labels: Sequence[tuple[float, float, str]] = ()
    notes: Sequence[str] = ()

    @property
    def extent(self) -> tuple[np.ndarray, np.ndarray]:
        """Lowest and highest corner of all outlines [m]."""
        corners = np.concatenate(
            [outline for _, outline in self.outlines]
            + [np.array([[x - r, y - r], [x + r, y + r]]) for x, y, r in self.circles]
        )
        return corners.min(axis=0), corners.max(axis=0)


def views(machine: Machine) -> dict[str, View]:
    """Give side, front and plan of a machine held before loosing."""
    n = machine.number
    held = throw(machine, swing_through=0.0)
    swung = [part for part in moving_parts(held) if part.name in ("arm", "counterweight box")]
    still = [
        part
        for part in standing_parts(machine, [held], n("projectile.diameter"))
        if part.name != "ground"
    ]
    solid = [(part.name, part.outline, part.band) for part in still]
    solid += [(part.name, part.outline[0], (0.0, part.half)) for part in swung]
    inner, thick = 0.5 * n("axle.span"), 0.5 * n("axle.diameter")
    rod = np.array([[-thick, -thick], [thick, -thick], [thick, thick], [-thick, thick]])
    solid.append(("axle", rod + held.axle[0], (0.0, inner + n("axle.bearing"))))
    places = {name: outline for name, outline, _ in solid}
    return {
        "side": View(
            title="Side view, held before loosing",
            level=True,
            outlines=[(_layer(name), outline) for name, outline, _ in solid if name != "axle"],
            circles=[
                (float(held.axle[0, 0]), float(held.axle[0, 1]), thick),
                (float(held.pin[0, 0]), float(held.pin[0, 1]), 0.5 * n("hanger.pin")),
            ],
            sizes=list(_side_sizes(machine, held, places)),
        ),
        "front": View(
            title="Front view, held before loosing",
            level=True,
            outlines=[
                *_beside(solid, 1, swap=False),
                *_raking(machine),
            ],
            sizes=list(_front_sizes(machine)),
        ),
        "plan": View(
            title="Plan, held before loosing",
            outlines=list(_beside(solid, 0, swap=True)),
            sizes=list(_plan_sizes(machine)),
        ),
    }


def _layer(name: str) -> str:
    return THIN if name in ("trough", "guide rails") else OUTLINE


def _beside(
    solid: Sequence[tuple[str, np.ndarray, tuple[float, float]]], axis: int, *, swap: bool
) -> Iterator[tuple[str, np.ndarray]]:
    """Give bodies as seen along the throw (axis 1) or from above (axis 0), on both sides."""
    for name, outline, (near, far) in solid:
        low, high = float(outline[:, axis].min()), float(outline[:, axis].max())
        spans = [(-far, far)] if near == 0.0 else [(near, far), (-far, -near)]
        for left, right in spans:
            corners = np.array([[left, low], [right, low], [right, high], [left, high]])
            yield _layer(name), corners[:, ::-1] if swap else corners


def _raking(machine: Machine) -> Iterator[tuple[str, np.ndarray]]:
    n = machine.number
    out, wide, height = n("frame.side_foot"), n("frame.brace_depth"), n("axle.height")
    if out <= 0.0:
        return
    head = 0.5 * (n("axle.span") + n("frame.leg_width"))
    for side in (1.0, -1.0):
        corners = ((0.0, height), (0.0, height - wide), (out, 0.0), (out + wide, 0.0))
        yield OUTLINE, np.array([(side * (head + x), y) for x, y in corners])


def _side_sizes(machine: Machine, held: Any, places: dict[str, np.ndarray]) -> Iterator[Size]:
    n = machine.number
    axle, tip, pin, weight = (
        (float(one[0, 0]), float(one[0, 1])) for one in (held.axle, held.tip, held.pin, held.weight)
    )
    half, long = 0.5 * n("frame.spread"), 0.5 * n("frame.sill_length")
    box = places["counterweight box"]
    left, right = float(box[:, 0].min()), float(box[:, 0].max())
    low, high = float(box[:, 1].min()), float(box[:, 1].max())
    yield Size(name="arm.long", start=tip, end=axle, side="along")
    yield Size(name="arm.short", start=axle, end=pin, side="along")
    if machine.flag("counterweight.hung"):
        yield Size(name="counterweight.hanger", start=weight, end=pin, side="right")
        yield Size(name="counterweight.height", start=(right, low), end=(right, high), side="right")
        yield Size(name="counterweight.width", start=(left, high), end=(right, high), side="above")
    yield Size(name="frame.brace", start=(half, 0.0), end=(half, n("frame.brace")), side="right")
    yield Size(name="axle.height", start=(half, 0.0), end=axle, side="right")
    yield Size(name="frame.spread", start=(-half, 0.0), end=(half, 0.0), side="below")
    yield Size(name="frame.sill_length", start=(-long, 0.0), end=(long, 0.0), side="below")
    start = float(places["trough"][:, 0].min())
    level = n("trough.height")
    yield Size(name="trough.height", start=(start, 0.0), end=(start, level), side="left")


def _front_sizes(machine: Machine) -> Iterator[Size]:
    n = machine.number
    inner, wide = 0.5 * n("axle.span"), n("frame.leg_width")
    foot, height = n("frame.side_foot"), n("axle.height")
    deep, trough = 0.5 * n("counterweight.breadth"), 0.5 * n("trough.width")
    level = n("trough.height")
    yield Size(name="trough.width", start=(-trough, level), end=(trough, level), side="below")
    yield Size(name="axle.span", start=(-inner, 0.0), end=(inner, 0.0), side="below")
    yield Size(
        name="frame.leg_width", start=(inner, height), end=(inner + wide, height), side="above"
    )
    box = (-deep, height), (deep, height)
    yield Size(name="counterweight.breadth", start=box[0], end=box[1], side="above")
    sill, deep = inner + n("frame.sill_width"), n("frame.sill_depth")
    yield Size(name="frame.sill_depth", start=(sill, 0.0), end=(sill, deep), side="right")
    yield Size(name="axle.height", start=(inner, 0.0), end=(inner, height), side="right")
    if foot > 0.0:
        yield Size(
            name="frame.side_foot",
            start=(-inner - 0.5 * wide - foot, 0.0),
            end=(-inner - 0.5 * wide, 0.0),
            side="below",
        )


def _plan_sizes(machine: Machine) -> Iterator[Size]:
    n = machine.number
    long, inner = 0.5 * n("frame.sill_length"), 0.5 * n("axle.span")
    wide, trough = n("frame.sill_width"), 0.5 * n("trough.width")
    half = 0.5 * n("frame.spread")
    yield Size(name="frame.spread", start=(-half, -inner), end=(half, -inner), side="below")
    yield Size(name="frame.sill_length", start=(-long, -inner), end=(long, -inner), side="below")
    yield Size(name="axle.span", start=(long, -inner), end=(long, inner), side="right")
    beside = (-long, inner), (-long, inner + wide)
    yield Size(name="frame.sill_width", start=beside[0], end=beside[1], side="left")
    yield Size(name="trough.width", start=(-long, -trough), end=(-long, trough), side="left")

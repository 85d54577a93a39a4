"""All frames of one throw, for the player: evenly spaced, as one block of float32."""

from __future__ import annotations

from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.text import told
from slingwright.machine.outline import frame
from slingwright.motion.throwing import PHASES
from slingwright.pages.parts.workbench import Answer
from slingwright.pages.pictures.people import person_marks
from slingwright.standing.places import people

FRAMES = 720
WIDE = 14  # a frame: time, base x, tip, pin, weight, pouch and projectile x y, axle load, phase


def frames(answer: Answer, count: int = FRAMES) -> np.ndarray:
    """Give the throw at `count` even moments as far as it is known, shape (count, WIDE), SI.

    One moment is the start. The projectile leaves the pouch at the release and is NaN after it has
    landed.
    """
    throw = answer.throw
    time = np.asarray(throw.time, dtype=float)
    even = np.linspace(time[0], throw.known_until, count)
    film = np.empty((count, WIDE), dtype=np.float32)
    film[:, 0] = even
    parts = [throw.base[:, None], throw.tip, throw.pin, throw.weight, throw.ball]
    for place, values in enumerate(np.hstack(parts).T, 1):
        film[:, place] = np.interp(even, time, values)
    film[:, 10:12] = film[:, 8:10]
    if throw.release is not None and len(throw.flight_time):
        flown = np.asarray(throw.flight_time, dtype=float)
        gone = even > throw.release.time
        for axis in (0, 1):
            film[gone, 10 + axis] = np.interp(
                even[gone], flown, np.asarray(throw.flight_path)[:, axis], right=np.nan
            )
    load = np.hypot(throw.axle_force[:, 0], throw.axle_force[:, 1])
    film[:, 12] = np.interp(even, time, load)
    at = np.clip(np.searchsorted(time, even, side="right") - 1, 0, len(time) - 1)
    film[:, 13] = np.asarray(throw.phase)[at]
    return film


def film_of(
    answer: Answer, system: units.System, kept: Answer | None = None, *, count: int = FRAMES
) -> tuple[dict[str, Any], bytes]:
    """Give what the player shows: the facts of the film, and its frames.

    The frames of a kept machine, which is drawn behind, come after those of the present one. One
    frame is the machine as it is held.
    """
    throw = answer.throw
    blocks = [frames(one, count) for one in (answer, kept) if one is not None]
    metre, length_label = units.factor("m", system)
    newton, load_label = units.factor("N", system)
    spans = ", ".join(f"{span.name} {span.start:.2f} to {span.end:.2f} s" for span in throw.spans)
    drawn = [_drawn(one) for one in (answer, kept) if one is not None]
    whole = zip(drawn, blocks, strict=True)
    crew = [one for one in people(answer.machine) if one.key not in ("helper", "public")]
    marks = person_marks(crew, system, side=True)
    held = _box([_reach(one, block[:1]) for one, block in zip(drawn, blocks, strict=True)], metre)
    ends = [mark["x"] + side / metre for mark in marks for side in (-1.0, 1.0)]
    held["x"]["low"], held["x"]["high"] = (
        min([held["x"]["low"], *ends]),
        max([held["x"]["high"], *ends]),
    )
    facts = {
        "title": "The machine, and its throw close up",
        "words": f"Film of the throw: {spans}. {told(throw.sentence, system)}", "count": count,
        "step": _step(blocks[0]), "unit": metre,
        "labels": (f"distance [{length_label}]", f"height [{length_label}]"), "held": held,
        "whole": _box([_reach(one, block) for one, block in whole], metre) if count > 1 else held,
        "marks": marks, "after": f"not known past here: {throw.ended}" if throw.ended else "",
        "load": {"factor": newton, "unit": load_label, "digits": 1 if newton > 100.0 else 0},
        "phases": {str(i + 1): name for i, name in enumerate(PHASES)}, "machine": drawn[0],
        "kept": {**drawn[1], "step": _step(blocks[1])} if kept is not None else None,
    }  # fmt: skip
    return facts, b"".join(block.tobytes() for block in blocks)


def _step(block: np.ndarray) -> float:
    return float(block[1, 0] - block[0, 0]) if len(block) > 1 else 0.0


def _drawn(answer: Answer) -> dict[str, Any]:
    n, stand = answer.machine.number, frame(answer.machine, answer.throw)
    level = n("frame.brace")
    return {
        "axle": stand.axle, "feet": stand.feet, "sill": stand.sill,
        "sillDepth": n("frame.sill_depth"), "sills": 0.5 * n("frame.sill_length"),
        "leg": n("frame.leg_depth"),
        "brace": (level, 0.5 * n("frame.spread") * (1.0 - level / stand.axle)),
        "trough": (*stand.trough, stand.trough_height), "wheels": stand.wheels,
        "depth": n("arm.depth_at_axle"), "tipDepth": n("arm.depth_at_tip"),
        "hung": answer.machine.flag("counterweight.hung"),
        "box": (n("counterweight.width"), n("counterweight.height")),
        "axleRadius": 0.5 * n("axle.diameter"), "ballRadius": 0.5 * n("projectile.diameter"),
    }  # fmt: skip


def _reach(drawn: dict[str, Any], block: np.ndarray) -> tuple[float, float, float, float]:
    """Give left, right, bottom and top of a machine over some frames, in metres."""
    near = block[:, 2:10].reshape(-1, 4, 2)
    half, out = 0.5 * max(drawn["box"]), drawn["sills"]
    return (
        float(min(near[..., 0].min(), -out, drawn["trough"][0])) - half,
        float(max(near[..., 0].max(), out, drawn["trough"][1])) + half,
        min(0.0, float(near[..., 1].min()) - half),
        float(near[..., 1].max()) + half,
    )


def _box(
    reaches: list[tuple[float, float, float, float]], metre: float
) -> dict[str, dict[str, float]]:
    left, right, bottom, top = np.array(reaches).T / metre
    return {
        "x": {"low": float(left.min()), "high": float(right.max())},
        "y": {"low": float(bottom.min()), "high": float(top.max())},
    }

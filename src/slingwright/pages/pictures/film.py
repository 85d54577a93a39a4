"""All frames of one throw, for the player: evenly spaced, as one block of float32."""

from __future__ import annotations

from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.text import told
from slingwright.machine.outline import frame
from slingwright.motion.throwing import PHASES
from slingwright.pages.parts.workbench import Answer

FRAMES = 720
WIDE = 14
"""A frame: time, base x, tip, pin, weight, pouch and projectile x y, axle load, phase."""


def frames(answer: Answer, count: int = FRAMES) -> np.ndarray:
    """Give the throw at `count` even moments as far as it is known, shape (count, WIDE), SI.

    The projectile leaves the pouch at the release and is NaN after it has landed.
    """
    throw = answer.throw
    time = np.asarray(throw.time, dtype=float)
    even = np.linspace(time[0], throw.known_until, count)
    film = np.empty((count, WIDE), dtype=np.float32)
    film[:, 0] = even
    film[:, 1] = np.interp(even, time, throw.base)
    for place, part in enumerate((throw.tip, throw.pin, throw.weight, throw.ball)):
        for axis in (0, 1):
            film[:, 2 + 2 * place + axis] = np.interp(even, time, np.asarray(part)[:, axis])
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


def film_of(answer: Answer, system: units.System) -> tuple[dict[str, Any], bytes]:
    """Give what the player shows: the facts of the film, and its frames."""
    throw, machine = answer.throw, answer.machine
    block = frames(answer)
    metre, length_label = units.factor("m", system)
    newton, load_label = units.factor("N", system)
    stand = frame(machine, throw)
    near = block[:, 2:10].reshape(-1, 4, 2)
    half = 0.5 * max(machine.number("counterweight.width"), machine.number("counterweight.height"))
    left = float(min(near[..., 0].min(), stand.feet[0], stand.trough[0])) - half
    right = float(max(near[..., 0].max(), stand.feet[1], stand.trough[1])) + half
    top = float(near[..., 1].max()) + half
    bottom = min(0.0, float(near[..., 1].min()) - half)
    spans = ", ".join(f"{span.name} {span.start:.2f} to {span.end:.2f} s" for span in throw.spans)
    facts = {
        "title": "The throw, close up",
        "words": f"Film of the throw: {spans}. {told(throw.sentence, system)}",
        "count": len(block),
        "step": float(block[1, 0] - block[0, 0]),
        "unit": metre,
        "x": {"label": f"distance [{length_label}]", "low": left / metre, "high": right / metre},
        "y": {"label": f"height [{length_label}]", "low": bottom / metre, "high": top / metre},
        "after": f"not known past here: {throw.ended}" if throw.ended else "",
        "load": {"factor": newton, "unit": load_label, "digits": 1 if newton > 100.0 else 0},
        "phases": {str(i + 1): name for i, name in enumerate(PHASES)},
        "machine": {
            "axle": stand.axle,
            "feet": stand.feet,
            "sill": stand.sill,
            "trough": (*stand.trough, stand.trough_height),
            "wheels": stand.wheels,
            "depth": machine.number("arm.depth_at_axle"),
            "tipDepth": machine.number("arm.depth_at_tip"),
            "hung": machine.flag("counterweight.hung"),
            "box": (
                machine.number("counterweight.width"),
                machine.number("counterweight.height"),
            ),
            "axleRadius": 0.5 * machine.number("axle.diameter"),
            "ballRadius": 0.5 * machine.number("projectile.diameter"),
        },
    }
    return facts, block.tobytes()

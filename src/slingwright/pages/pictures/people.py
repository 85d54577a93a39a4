"""People on the pictures: where each stands, and the hand that moves the dials of the place."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import anywidget

from slingwright.amounts import units
from slingwright.amounts.figures import figures
from slingwright.pages.parts.workbench import Workbench
from slingwright.pages.pictures.canvas import GREEN, NOW, ORANGE, PINK
from slingwright.standing.places import PERSON_DIALS, Person

LOOKS = {
    "looses": (GREEN, "triangle"),
    "winders": (PINK, "square"),
    "loader": (ORANGE, "diamond"),
    "helper": (NOW, "triangle"),
    "public": ("#404040", "circle"),
}
IN_THE_WAY = "#B00020"


def person_marks(
    people: Sequence[Person], system: units.System, *, side: bool = False
) -> list[dict[str, Any]]:
    """Give a mark that a hand can move for each person with a place; from the side along alone."""
    one, found = units.factor("m", system)[0], []
    for person in people:
        if person.x is None or person.z is None:
            continue
        colour, shape = LOOKS[person.key]
        label = person.who
        if side:
            off = figures(abs(person.z), "m", system)
            label += f", {off} {'left' if person.z >= 0.0 else 'right'}"
        found.append(
            {
                "key": person.key,
                "x": person.x / one,
                "y": 0.0 if side else person.z / one,
                "label": f"\N{BALLOT X} {label}" if person.wrong else label,
                "words": f"{person.words.told(system)}.",
                "colour": IN_THE_WAY if person.wrong else colour,
                "shape": shape,
                "move": [person.dials[0], None if side else person.dials[1]],
            }
        )
    return found


def moved_by_hand(bench: Workbench, board: anywidget.AnyWidget) -> None:
    """Let a hand on a board's marks move the dials of a place on the bench, in SI, or empty them.

    One drag is one step of Undo; what is refused stands in the status line.
    """

    def hear(_: object, content: object, buffers: object) -> None:
        if not isinstance(content, dict) or content.get("kind") != "place":
            return
        asked = zip(content["dials"], content["values"], strict=True)
        changes = {
            path: None if value is None else float(value)
            for path, value in asked
            if path in PERSON_DIALS and (value is None or math.isfinite(value))
        }
        bench.attempt(lambda: bench.change(changes, gesture=content.get("gesture")))
        told = {name: content.get(name) for name in ("stamp", "serial")}
        board.send({"kind": "placed", **told})

    board.on_msg(hear)

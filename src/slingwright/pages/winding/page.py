"""The page of winding it down: dials, live pictures, readouts, checks, on one panel."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import ipywidgets

from slingwright.amounts import units
from slingwright.amounts.figures import Reading
from slingwright.pages.parts.keeping import Start
from slingwright.pages.parts.page import Page
from slingwright.pages.parts.parts import STYLE, Part, column
from slingwright.pages.parts.readouts import Readouts
from slingwright.pages.pictures.canvas import Points, Scene
from slingwright.pages.pictures.live import PictureBoard, Pictures
from slingwright.pages.winding import tables
from slingwright.pages.winding.controller import WindingController, Wound
from slingwright.pages.winding.hook_pictures import HOOK_PICTURES
from slingwright.pages.winding.path_picture import rope_path
from slingwright.pages.winding.pictures import WINDING_PICTURES
from slingwright.pages.winding.trace import WindingTrace
from slingwright.winch.load_cell.trace import Hold, LoadTrace

FRONT = (
    "winch.drum", "winch.gear", "winch.crank", "winch.parts", "winch.people", "winch.rope",
    "counterweight.mass",
)  # fmt: skip
GROUPS = ("crew", "rig", "rope", "mark", "hook", "prong")
PICTURES: Mapping[str, Scene] = {"path": rope_path, **WINDING_PICTURES, **HOOK_PICTURES}
_LAYOUT = (Path(__file__).parent / "winding.css").read_text(encoding="utf-8")


class WindingPictureBoard(PictureBoard):
    """The browser's side of the winding page's pictures, with the page's own lay-out."""

    _css = STYLE + _LAYOUT


class WindingPictures(Pictures):
    """Live pictures of winding: rope, crew, drum, hook, prong and load cell."""

    every, board = PICTURES, WindingPictureBoard

    def __init__(self, controller: WindingController, *names: str, columns: int = 2) -> None:
        self._drawn: dict[str, tuple[int, Any, bytes]] = {}
        super().__init__(controller, *names, columns=columns)

    def refresh(self) -> None:
        """Draw the winding as it is now."""
        bench = self.bench
        pictures, blocks, length, fresh = [], [], 0, False
        for name in self.names:
            points = Points()
            picture = self.every[name](self.controller, bench.system, points)
            block = points.bytes()
            stamp, *before = self._drawn.get(name, (-1, None, None))
            if before != [picture, block]:
                # what stays as it is need not be drawn again
                stamp, fresh = bench.revision, True
                self._drawn[name] = (stamp, picture, block)
            lines = [{**line, "start": line["start"] + length} for line in picture["lines"]]
            pictures.append({**picture, "lines": lines, "stamp": stamp})
            blocks.append(block)
            length += points.length
        if fresh:
            self.widget.show(pictures, b"".join(blocks), bench.revision, self.columns)


class WindingReadouts(Readouts):
    """Force, time, pulls, run-away, hook and prong in numbers, with outcome and status."""

    title = "Results of winding"

    def answers(self) -> tuple[tuple[Reading, ...], tuple[Reading, ...], str, bool]:
        """Give the readings now and of the kept machine, the sentence, and whether it failed."""
        now, kept, system = self.controller.now, self.controller.kept, self.bench.system
        failed = now.run is None or any(check.verdict == "fails" for check in now.checks)
        before = tables.readings_of(kept, system) if kept else ()
        return tables.readings_of(now, system), before, tables.sentence_of(now, system), failed


class WindingChecks(Part):
    """What each piece carries, ropes to swap to, ways to rig it, and the steps of a loosing."""

    tells = (tables.checks_html, tables.ropes_html, tables.ways_html, tables.procedure_html)

    def _make(self) -> ipywidgets.Box:
        made = column(*(ipywidgets.HTML() for _ in self.tells))
        self.table = made.children[0]
        return made

    def refresh(self) -> None:
        """Show the checks as they are now."""
        for told, tell in zip(self.widget.children, self.tells, strict=True):
            told.value = tell(self.controller.now, self.bench.system)


class WindingBench(Page):
    """Everything of winding it down; arguments as for `Page` and `WindingController`."""

    front, leading = FRONT, GROUPS
    grid, prefix = "sw-wind", "sw-wind-"

    def __init__(
        self, machine: Start, *, trace: LoadTrace | None = None, pauses: Sequence[Hold] = (),
        bare: bool = False,
    ) -> None:  # fmt: skip
        self._trace = trace, pauses
        super().__init__(machine, bare=bare)

    def _answers(self) -> tuple[Sequence[Part], Mapping[str, ipywidgets.DOMWidget | None]]:
        controller = self.controller = WindingController(self.bench, *self._trace)
        # Told in this order: the pictures leave first, in one message, the long tables last.
        self.pictures = WindingPictures(controller)
        self.readouts = WindingReadouts(controller)
        self.checks = WindingChecks(controller)
        self.trace = WindingTrace(controller)
        return (self.pictures, self.readouts, self.checks, self.trace), {
            "caution": ipywidgets.HTML(tables.cautions_html()), "tools": None,
            "readouts": self.readouts.widget, "dials": None, "pictures": self.pictures.widget,
            "checks": self.checks.widget, "trace": self.trace.widget,
        }  # fmt: skip

    @property
    def wound(self) -> Wound:
        """Answers for the present machine."""
        return self.controller.now

    def table(self, system: units.System | None = None) -> tables.WindingTable:
        """Give readings and checks as a plain table that print keeps."""
        return tables.WindingTable(wound=self.controller.now, system=system or self.bench.system)

"""The page of winding it down: dials, live pictures, readouts, checks, on one panel."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import anywidget
import ipywidgets

from slingwright.amounts import units
from slingwright.amounts.figures import Reading
from slingwright.logbook.job import Job
from slingwright.machine.machine import Machine
from slingwright.pages.parts.keeping import bench_of
from slingwright.pages.parts.page import Page
from slingwright.pages.parts.parts import STYLE, Part
from slingwright.pages.parts.readouts import Readouts
from slingwright.pages.parts.workbench import Workbench
from slingwright.pages.pictures.live import PictureBoard
from slingwright.pages.pictures.scenes import Points
from slingwright.pages.winding.controller import WindingController, Wound
from slingwright.pages.winding.hook_pictures import HOOK_PICTURES
from slingwright.pages.winding.path_picture import rope_path
from slingwright.pages.winding.pictures import WINDING_PICTURES, Scene
from slingwright.pages.winding.tables import (
    WindingTable,
    cautions_html,
    checks_html,
    procedure_html,
    readings_of,
    ropes_html,
    sentence_of,
    ways_html,
)
from slingwright.pages.winding.trace import WindingTrace
from slingwright.winch.load_cell.trace import Hold, LoadTrace

FRONT = (
    "winch.drum",
    "winch.gear",
    "winch.crank",
    "winch.parts",
    "winch.people",
    "winch.rope",
    "counterweight.mass",
)
"""The machine's dials that stand in front on the winding page."""
GROUPS = ("crew", "rig", "rope", "mark", "hook", "prong")
"""The groups of dials that come next there."""
PICTURES: Mapping[str, Scene] = {"path": rope_path, **WINDING_PICTURES, **HOOK_PICTURES}
"""All pictures of the winding page, by name."""
_LAYOUT = (Path(__file__).parent / "winding.css").read_text(encoding="utf-8")


class WindingPictureBoard(PictureBoard):
    """The browser's side of the winding page's pictures, with the page's own lay-out."""

    _css = STYLE + _LAYOUT


class WindingPictures(Part):
    """Live pictures of winding; all if none is named.

    Args:
        controller: the shared controller.
        names: the pictures, in order.
        columns: how many stand beside one another where there is room.
    """

    def __init__(self, controller: WindingController, *names: str, columns: int = 2) -> None:
        self.controller = controller
        self.names = names or tuple(PICTURES)
        unknown = [name for name in self.names if name not in PICTURES]
        if unknown:
            raise ValueError(f"no picture {unknown[0]!r}; there are {', '.join(PICTURES)}")
        self.columns = min(columns, len(self.names))
        self._drawn: dict[str, tuple[int, Any, bytes]] = {}
        super().__init__(controller.bench)

    def _make(self) -> anywidget.AnyWidget:
        return WindingPictureBoard()

    def refresh(self) -> None:
        """Draw the winding as it is now."""
        bench, now, kept = self.bench, self.controller.now, self.controller.kept
        pictures, blocks, length, fresh = [], [], 0, False
        for name in self.names:
            points = Points()
            picture = PICTURES[name](now, kept, bench.system, points)
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
        if not fresh:
            return
        self.widget.show(pictures, b"".join(blocks), bench.revision, self.columns)


class WindingReadouts(Readouts):
    """Force, time, pulls, run-away, hook and prong in numbers, with outcome and status."""

    title = "Results of winding"

    def __init__(self, controller: WindingController) -> None:
        self.controller = controller
        super().__init__(controller.bench)

    def answers(self) -> tuple[tuple[Reading, ...], tuple[Reading, ...], str, bool]:
        """Give the readings now and of the kept machine, the sentence, and whether it failed."""
        now, kept, system = self.controller.now, self.controller.kept, self.bench.system
        failed = now.run is None or any(check.verdict == "fails" for check in now.checks)
        before = readings_of(kept, system) if kept else ()
        return readings_of(now, system), before, sentence_of(now, system), failed


class WindingChecks(Part):
    """What each piece carries, ropes to swap to, ways to rig it, and the steps of a loosing."""

    def __init__(self, controller: WindingController) -> None:
        self.controller = controller
        super().__init__(controller.bench)

    def _make(self) -> ipywidgets.Box:
        self.table = ipywidgets.HTML()
        self.ropes = ipywidgets.HTML()
        self.ways = ipywidgets.HTML()
        self.steps = ipywidgets.HTML()
        box = ipywidgets.Box([self.table, self.ropes, self.ways, self.steps])
        box.add_class("sw-column")
        return box

    def refresh(self) -> None:
        """Show the checks as they are now."""
        now, system = self.controller.now, self.bench.system
        self.table.value = checks_html(now, system)
        self.ropes.value = ropes_html(now, system)
        self.ways.value = ways_html(now, system)
        self.steps.value = procedure_html(now, system)


class WindingBench(Page):
    """Everything of winding it down on one panel.

    Args:
        machine: as for `Page`.
        trace: a load cell's trace of one winding, measured in the hauling part, cleaned.
        pauses: holds of the trace, in which nothing was wound.
        bare: as for `Page`.
    """

    front, leading = FRONT, GROUPS
    grid, prefix = "sw-wind", "sw-wind-"

    def __init__(
        self,
        machine: Machine | Workbench | Job | str | Path,
        *,
        trace: LoadTrace | None = None,
        pauses: Sequence[Hold] = (),
        bare: bool = False,
    ) -> None:
        bench = bench_of(machine)
        self.controller = WindingController(bench, trace=trace, pauses=pauses)
        super().__init__(bench, bare=bare)

    def _answers(self) -> tuple[Sequence[Part], Mapping[str, ipywidgets.DOMWidget | None]]:
        controller = self.controller
        # Told in this order: the pictures leave first, in one message, the long tables last.
        self.pictures = WindingPictures(controller)
        self.readouts = WindingReadouts(controller)
        self.checks = WindingChecks(controller)
        self.trace = WindingTrace(controller)
        return (self.pictures, self.readouts, self.checks, self.trace), {
            "caution": ipywidgets.HTML(cautions_html()),
            "tools": None,
            "readouts": self.readouts.widget,
            "dials": None,
            "pictures": self.pictures.widget,
            "checks": self.checks.widget,
            "trace": self.trace.widget,
        }

    @property
    def wound(self) -> Wound:
        """Answers for the present machine."""
        return self.controller.now

    def table(self, system: units.System | None = None) -> WindingTable:
        """Give readings and checks as a plain table that print keeps."""
        return WindingTable(wound=self.controller.now, system=system or self.bench.system)

"""Everything on one page: dials and main answers in sight, parts as tabs over one live bench."""

from __future__ import annotations

import html
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import anywidget
import ipywidgets
import traitlets

from slingwright.logbook.job import Job, open_job
from slingwright.pages.bench.page import Bench
from slingwright.pages.changes.page import Changes
from slingwright.pages.field.page import FieldDay
from slingwright.pages.holding.page import HoldingBench
from slingwright.pages.log.page import BuildLog
from slingwright.pages.parts.dial_board import Dials
from slingwright.pages.parts.keeping import bench_of
from slingwright.pages.parts.page import Tools
from slingwright.pages.parts.parts import STYLE, Part, Told, box, panel, script
from slingwright.pages.parts.readouts import Readouts
from slingwright.pages.parts.workbench import Workbench
from slingwright.pages.standing.page import ZoneBench
from slingwright.pages.winding.page import WindingBench

MAIN = ("range", "speed", "elevation", "axle", "crank", "winding")
HERE = Path(__file__).parent
REPORT = (
    "The report is a PDF to print and the same as one HTML page: what fails and is not known, "
    "drawings, throw, every check worked out, winding, where to stand, how to prove the machine, "
    "what is cut and bought, the log, and every dial. Press Report above; it takes some seconds."
)


class TabStrip(anywidget.AnyWidget):
    """The browser's side of the tabs: it shows one room and asks for what is in it."""

    _esm = script(HERE / "one.js")
    _css = STYLE + (HERE / "one.css").read_text(encoding="utf-8")
    titles: Any = traitlets.List().tag(sync=True)
    chosen = traitlets.Int(0).tag(sync=True)


class Reports(Told):
    """What the report holds, and those that the job has."""

    def __init__(self, bench: Workbench, *, bare: bool = True) -> None:
        super().__init__(bench, self._words)

    def _words(self) -> str:
        keeping, told = self.bench.keeping, f"<h2>Report</h2><p>{html.escape(REPORT)}</p>"
        if keeping is None or not keeping.job.begun:
            return told
        folder = keeping.job.folder / "reports"
        names = sorted((path.name for path in folder.glob("*.pdf")), reverse=True)
        rows = "".join(f"<li>{html.escape(name)}</li>" for name in names) or "<li>none yet</li>"
        return f"{told}<p>In <code>{html.escape(str(folder))}</code>:</p><ul>{rows}</ul>"


TABS: Mapping[str, Callable[..., Part]] = {
    "Bench": Bench, "Will it hold": HoldingBench, "Winding": WindingBench,
    "Where to stand": ZoneBench, "Log": BuildLog, "Field day": FieldDay, "Changes": Changes,
    "Report": Reports,
}  # fmt: skip
"""The parts by the titles of their tabs; each takes a bench with a job, and `bare`."""


class OnePage(Part):
    """All parts on one page and one bench of a job; a tab is made when it is first opened."""

    def __init__(self, job: Job | Path | str | None = None) -> None:
        super().__init__(bench_of(open_job(job)))

    def _make(self) -> ipywidgets.Box:
        bench = self.bench
        self.pages: dict[str, Part] = {}
        self.readouts = Readouts(bench, *MAIN)
        self.dials, self.tools = Dials(bench), Tools(bench)
        self.strip = TabStrip(titles=list(TABS))
        self.rooms = {
            name: ipywidgets.Box([ipywidgets.HTML(f"<p>Opening {html.escape(name)} …</p>")])
            for name in TABS
        }
        placed = {
            "tools": self.tools.widget,
            "dials": self.dials.widget,
            "main": self.readouts.widget,
            "tabs": self.strip,
            "rooms": ipywidgets.Box(list(self.rooms.values())),
        }
        for name, widget in placed.items():
            widget.add_class(f"sw-one-{name}")
        for room in self.rooms.values():
            room.add_class("sw-one-room")
        self.strip.observe(lambda _: bench.attempt(self._show), names="chosen")
        made = panel(box("sw-one", *placed.values()), answers=[self.readouts])
        made.add_class("sw-oneroom")
        self._show()
        return made

    def open(self, name: str) -> Part:
        """Open a tab by its title, as a click on it does, and give its part."""
        self.strip.chosen = list(TABS).index(name)
        return self.pages[name]

    def _show(self) -> None:
        name = list(TABS)[self.strip.chosen]
        for other, page in self.pages.items():
            page.sleep(other != name)
        if name not in self.pages:
            page = self.pages[name] = TABS[name](self.bench, bare=True)
            self.rooms[name].children = (page.widget,)
        page = self.pages[name]
        self.dials.lead(getattr(page, "front", ()), getattr(page, "leading", ()))

    def close(self) -> None:
        """Stop watching and take every widget off the page."""
        self.ends = (*self.pages.values(), self.readouts, self.dials, self.tools)
        super().close()

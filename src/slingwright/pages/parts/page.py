"""A whole page on one panel: its parts, the usual tools, and each in its place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import ipywidgets

from slingwright.pages.parts.dial_board import Dials
from slingwright.pages.parts.keeping import Start, bench_of
from slingwright.pages.parts.parts import Part, box, column, panel
from slingwright.pages.parts.readouts import Readouts
from slingwright.pages.parts.toolbar import Compare, Files, History, JobLine, UnitSwitch
from slingwright.pages.parts.workbench import Workbench
from slingwright.pages.print.button import ReportButton

CONTROLS = ("tools", "dials", "caution")
"""Places of a page that do not follow what is set; all others show answers."""


class Tools(Part):
    """Undo, Keep, the switch of units, the report, the job or the machine files, and `more`."""

    def __init__(self, bench: Workbench, *more: ipywidgets.DOMWidget) -> None:
        self.more = more
        super().__init__(bench)

    def _make(self) -> ipywidgets.Box:
        bench = self.bench
        kept = JobLine(bench) if bench.keeping is not None else Files(bench)
        self.parts = (History(bench), Compare(bench), UnitSwitch(bench), ReportButton(bench), kept)
        self.controls = _controls(self.parts)
        return box("sw-at-tools", *self.parts, *self.more)


class Page(Part):
    """Several parts that share a bench; `parts` are all of them, `controls` those of all parts.

    A page that is `bare` is without tools, dials and main answers, which stand elsewhere.
    """

    front: Sequence[str] = ()
    """The dials that stand in front on this page; the usual ones if there are none."""
    leading: Sequence[str] = ()
    """Groups of dials that come next."""
    readouts: Part
    above: Part | None = None
    """What stands over the main answers."""
    grid, prefix = "sw-bench", "sw-at-"
    """Classes of the grid in the style sheet, and of the places on it."""

    def __init__(self, machine: Start, *, bare: bool = False) -> None:
        self.bare = bare
        super().__init__(bench_of(machine))

    def _answers(self) -> tuple[Sequence[Part], Mapping[str, ipywidgets.DOMWidget | None]]:
        """Make the parts of this page alone, in the order in which they are told.

        Gives them, and what stands at each place of the grid in the order in which it is read; None
        for `tools`, `dials` and `readouts` as on other pages.
        """
        raise TypeError(f"{type(self).__name__} has no parts")

    def _beside_tools(self) -> Sequence[ipywidgets.DOMWidget]:
        return ()

    def _make(self) -> ipywidgets.Box:
        parts, places = self._answers()
        shared: dict[str, Part] = {}
        if not self.bare:
            if places["readouts"] is None:
                shared["readouts"] = self.readouts = Readouts(self.bench)
            shared["dials"] = self.dials = Dials(
                self.bench, *self.front, rest=True, leading=self.leading
            )
            shared["tools"] = self.tools = Tools(self.bench, *self._beside_tools())
        self.parts = (*parts, *shared.values())
        self.controls = _controls(self.parts)
        filled = {name: part.widget for name, part in shared.items()}
        if self.above is not None:
            filled["readouts"] = column(self.above, *([self.readouts] if not self.bare else []))
        placed = {
            name: filled[name] if widget is None else widget
            for name, widget in places.items()
            if widget is not None or name in filled
        }
        for name, widget in placed.items():
            widget.add_class(f"{self.prefix}{name}")
        inner = box(self.grid, *placed.values())
        answers = [placed[name] for name in placed if name not in CONTROLS]
        if self.bare:
            inner.add_class("sw-bare")
            for widget in answers:
                widget.add_class("sw-answer")
        outer = ipywidgets.Box([inner]) if self.bare else panel(inner, answers=answers)
        outer.add_class("sw-benchroom")
        return outer


def _controls(parts: Sequence[Part]) -> dict[str, object]:
    return {name: control for part in parts for name, control in part.controls.items()}

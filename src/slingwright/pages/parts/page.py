"""A whole page on one panel: its parts, the usual tools, and each in its place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import ipywidgets

from slingwright.pages.parts.guard import panel
from slingwright.pages.parts.parts import Part
from slingwright.pages.parts.toolbar import Compare, Files, History, UnitSwitch

CONTROLS = ("tools", "dials", "caution")
"""Places of a page that do not follow what is set; all others show answers."""


class Page(Part):
    """Several parts that share a bench; `parts` are all of them, `controls` those of all parts."""

    parts: tuple[Part, ...]

    def _tools(self, *more: ipywidgets.DOMWidget) -> ipywidgets.Box:
        """Make Undo, Keep, the switch of units and the files, beside one another, and more."""
        bench = self.bench
        self.history, self.compare = History(bench), Compare(bench)
        self.unit_switch, self.files = UnitSwitch(bench), Files(bench)
        box = ipywidgets.Box([*(part.widget for part in self._tool_parts()), *more])
        box.add_class("sw-at-tools")
        return box

    def _tool_parts(self) -> tuple[Part, ...]:
        return (self.history, self.compare, self.unit_switch, self.files)

    def _laid(
        self,
        parts: Sequence[Part],
        placed: Mapping[str, ipywidgets.DOMWidget],
        *,
        grid: str = "sw-bench",
        prefix: str = "sw-at-",
    ) -> ipywidgets.Box:
        """Lay a page out on a grid of the style sheet.

        Args:
            parts: all parts but the tools.
            placed: what stands at each place of the grid, in the order in which it is read.
            grid: class of the grid.
            prefix: of the class of a place.
        """
        self.parts = (*parts, *self._tool_parts())
        self.controls = {
            name: control for part in self.parts for name, control in part.controls.items()
        }
        for name, widget in placed.items():
            widget.add_class(f"{prefix}{name}")
        inner = ipywidgets.Box(list(placed.values()))
        inner.add_class(grid)
        outer = panel(inner, answers=[placed[name] for name in placed if name not in CONTROLS])
        outer.add_class("sw-benchroom")
        return outer

    def close(self) -> None:
        """Stop watching and take every widget off the page."""
        for part in self.parts:
            part.close()
        super().close()

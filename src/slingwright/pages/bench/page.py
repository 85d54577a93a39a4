"""The bench: every part on one panel, from dials to pictures."""

from __future__ import annotations

from pathlib import Path

import ipywidgets

from slingwright.amounts import units
from slingwright.machine.machine import Machine
from slingwright.pages.parts.dial_board import Dials
from slingwright.pages.parts.page import Page
from slingwright.pages.parts.readouts import Readouts
from slingwright.pages.parts.workbench import Workbench
from slingwright.pages.pictures.live import LivePictures, Player

CAUTIONS = (
    "Nobody in front of, behind, under or near a loaded machine. These results are aids to "
    "judgement and approve nothing: local codes and a licensed engineer decide."
)


class Bench(Page):
    """The whole bench on one machine.

    Args:
        machine: a Machine, the name of a machine file that comes with the kit, a path, or a
            Workbench to share with other parts.
        system: "metric" or "US".
        folder: where machine files are saved; the working folder if left out.
    """

    def __init__(
        self,
        machine: Machine | Workbench | str | Path,
        *,
        system: units.System = "metric",
        folder: Path | str | None = None,
    ) -> None:
        if not isinstance(machine, Workbench):
            machine = Workbench(machine, system=system, folder=folder)
        super().__init__(machine)

    def _make(self) -> ipywidgets.Box:
        bench = self.bench
        self.pictures = LivePictures(bench)
        self.readouts = Readouts(bench)
        self.dials = Dials(bench)
        self.player = Player(bench)
        caution = ipywidgets.HTML(f"<p>{CAUTIONS}</p>")
        placed = {
            "tools": self._tools(self.pictures.copies),
            "dials": self.dials.widget,
            "readouts": self.readouts.widget,
            "pictures": self.pictures.widget,
            "player": self.player.widget,
            "caution": caution,
        }
        parts = (self.pictures, self.readouts, self.dials, self.player)
        return self._laid(parts, placed)

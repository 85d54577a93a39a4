"""The bench: every part on one panel, from dials to pictures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import ipywidgets

from slingwright.pages.parts.page import Page
from slingwright.pages.parts.parts import Part
from slingwright.pages.pictures.live import LivePictures, Player

CAUTIONS = (
    "Nobody in front of, behind, under or near a loaded machine. These results are aids to "
    "judgement and approve nothing: local codes and a licensed engineer decide."
)


class Bench(Page):
    """The whole bench on one machine; arguments as for `Page`."""

    grid = "sw-bench sw-round"

    def _answers(self) -> tuple[Sequence[Part], Mapping[str, ipywidgets.DOMWidget | None]]:
        self.pictures, self.player = LivePictures(self.bench), Player(self.bench)
        return (self.pictures, self.player), {
            "tools": self.pictures.copies if self.bare else None, "dials": None, "readouts": None,
            "player": self.player.widget, "pictures": self.pictures.widget,
            "caution": ipywidgets.HTML(f"<p>{CAUTIONS}</p>"),
        }  # fmt: skip

    def _beside_tools(self) -> Sequence[ipywidgets.DOMWidget]:
        return (self.pictures.copies,)

"""The page `where to stand`: dials, the ground to keep clear in words, table and pictures."""

from __future__ import annotations

import html
from collections.abc import Mapping, Sequence

import ipywidgets

from slingwright.amounts import units
from slingwright.amounts.answer import Table
from slingwright.amounts.text import told
from slingwright.pages.parts.markup import caution, fold, items, table
from slingwright.pages.parts.page import Page
from slingwright.pages.parts.parts import Part, Told, column
from slingwright.pages.pictures.live import PictureBoard, Pictures
from slingwright.pages.pictures.people import moved_by_hand
from slingwright.pages.standing.controller import ZoneController
from slingwright.pages.standing.pictures import PICTURES
from slingwright.pages.standing.proving import ProvingSteps
from slingwright.standing.ground import CAUTIONS, NOT_MODELLED, Zone

FRONT = (
    "counterweight.mass", "projectile.mass", "sling.length", "release.angle", "site.limit",
    "site.margin", "site.sideways", "site.wind",
)  # fmt: skip
SIGNS = {
    "fails": "\N{BALLOT X} fails: ",
    "not known": "\N{WARNING SIGN} not known: ",
    "holds": "\N{CHECK MARK} holds: ",
}
NOT_SAID = "What these distances do not look at"
_CLOSE = "margin:3px 0;line-height:1.35"


class ZonePictures(Pictures):
    """Pictures of the ground to keep clear: `plan`, `near`, `flights`, `moments`."""

    every = PICTURES

    def _make(self) -> PictureBoard:
        board = super()._make()
        moved_by_hand(self.bench, board)
        return board


class ZoneBench(Page):
    """Everything of `where to stand` on one panel; arguments as for `Page`."""

    front = FRONT
    leading = ("place",)

    def _answers(self) -> tuple[Sequence[Part], Mapping[str, ipywidgets.DOMWidget | None]]:
        bench = self.bench
        controller = self.controller = ZoneController(bench)
        self.above = self.words = Told(bench, lambda: sentence_html(controller.now, bench.system))
        self.words.widget.add_class("sw-at-words")
        self.table = Told(bench, lambda: table_html(controller.now, bench.system))
        self.chances = Told(bench, self._chances)
        self.plan = ZonePictures(controller, "plan", columns=1)
        self.near = ZonePictures(controller, "near", columns=1)
        # Beneath the picture, so that it does not move under the hand that drags.
        self.conflicts = Told(bench, lambda: conflicts_html(controller.now, bench.system))
        self.conflicts.widget.add_class("sw-at-conflicts")
        self.flights = ZonePictures(controller, "flights", "moments")
        controller.tell = self._show_chances
        self.ends = (controller,)
        self.proving = ProvingSteps(bench)
        parts = (self.words, self.table, self.plan, self.near, self.conflicts,
                 self.flights, self.proving, self.chances)  # fmt: skip
        return parts, {
            "tools": None,
            "readouts": None,
            "dials": None,
            "pictures": column(self.plan, self.near, self.conflicts, self.flights),
            "player": column(self.chances, self.table, self.proving),
            "caution": ipywidgets.HTML(caution(CAUTIONS, NOT_SAID, NOT_MODELLED)),
        }

    def _chances(self) -> str:
        self.controller.wait()
        likely, system = self.controller.likely, self.bench.system
        if likely is None:
            return f"<p style='{_CLOSE}'>By chance: worked out when the dials rest.</p>"
        found = likely.contours(system)
        return _table(found, f"{told(found.caption, system)}.")

    def _show_chances(self) -> None:
        self.chances.refresh()
        self.plan.refresh()

    @property
    def zone(self) -> Zone | str:
        """Zone of the present machine, or why there is none."""
        return self.controller.now


def sentence_html(found: Zone | str, system: units.System = "metric") -> str:
    """Give the sentence with a sign in front: never by colour alone."""
    if isinstance(found, str):
        sign, words = "\N{BALLOT X} no answer: ", found
    else:
        sign = SIGNS[found.verdict] if found.inside else "\N{BALLOT X} too far: "
        words = found.ground.told(system)
    return f"<p style='{_CLOSE}'><strong>{sign}{html.escape(words)}</strong></p>"


def conflicts_html(found: Zone | str, system: units.System = "metric") -> str:
    """Say who stands in the way of what, or that nobody does."""
    if isinstance(found, str):
        return ""
    words = found.conflicts.told(system)
    told = f"{SIGNS['fails']}{words}" if words else f"{SIGNS['holds']}nobody stands in the way."
    return f"<p role='status' style='{_CLOSE}'><strong>{html.escape(told)}</strong></p>"


def table_html(found: Zone | str, system: units.System = "metric") -> str:
    """Give loads, who stands where, pieces and drift as tables and words; none without a zone."""
    if isinstance(found, str):
        return ""
    notes = [*found.failures, *([star] if (star := found.star_words) else ())]
    said = "".join(f"<p style='{_CLOSE}'>{html.escape(note)}.</p>" for note in notes)
    loads = _table(
        found.loads(system),
        "Farthest if the projectile leaves the sling at any moment, from under the axle",
    )
    beside = "".join(_table(one, one.caption) for one in found.beside_loads(system))
    return (
        f"{loads}{said}<p style='{_CLOSE}'><strong>Who stands where</strong></p>"
        f"<ul style='{_CLOSE}'>{items(words.told(system) for words in found.places)}</ul>"
        f"{fold('What else may fly, and drift to the side', beside)}"
    )


def _table(told: Table, caption: str) -> str:
    number = "text-align:right;padding:1px 0 1px 6px;white-space:nowrap"
    columns = [(name, number if i else "text-align:left") for i, name in enumerate(told.head)]
    rows = ([html.escape(name), *cells] for name, *cells in told.cells())
    return table(columns, rows, look=f"{_CLOSE};font-size:13px", caption=caption, weight=400)

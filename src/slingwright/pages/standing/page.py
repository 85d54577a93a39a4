"""The page `where to stand`: dials, the ground to keep clear in words, table and pictures."""

from __future__ import annotations

import html
from collections.abc import Mapping, Sequence

import ipywidgets

from slingwright.amounts import units
from slingwright.amounts.answer import Table
from slingwright.pages.parts.page import Page
from slingwright.pages.parts.parts import Part, Told, column
from slingwright.pages.parts.workbench import Answer, Workbench
from slingwright.pages.pictures.live import PictureBoard
from slingwright.pages.pictures.scenes import Points
from slingwright.pages.standing.pictures import PICTURES
from slingwright.standing.ground import CAUTIONS, NOT_MODELLED, Zone
from slingwright.standing.zone import zone

FRONT = (
    "counterweight.mass",
    "projectile.mass",
    "sling.length",
    "release.angle",
    "site.limit",
    "site.margin",
    "site.sideways",
    "site.wind",
)
"""The dials that stand in front on this page."""
SIGNS = {
    "fails": "\N{BALLOT X} fails: ",
    "not known": "\N{WARNING SIGN} not known: ",
    "holds": "\N{CHECK MARK} holds: ",
}
_CLOSE = "margin:3px 0;line-height:1.35"


class ZoneController:
    """A bench with the ground to keep clear for its present and its kept machine."""

    def __init__(self, bench: Workbench) -> None:
        self.bench = bench
        self._found: dict[int, tuple[Answer, Zone | str]] = {}

    @property
    def now(self) -> Zone | str:
        """Zone of the present machine, or why there is none."""
        return self._of(self.bench.now, 0)

    @property
    def kept(self) -> Zone | None:
        """Zone of the kept machine, if one is kept and can throw."""
        if self.bench.kept is None:
            return None
        found = self._of(self.bench.kept, 1)
        return None if isinstance(found, str) else found

    def _of(self, answer: Answer, place: int) -> Zone | str:
        held = self._found.get(place)
        if held is None or held[0] is not answer:
            try:
                found: Zone | str = zone(answer.machine)
            except ValueError as error:
                found = str(error)
            held = self._found[place] = (answer, found)
        return held[1]


class ZonePictures(Part):
    """Pictures of the ground to keep clear; all if none is named.

    Args:
        controller: the shared controller.
        names: `plan`, `flights`, `moments`.
        columns: how many stand beside one another where there is room.
    """

    def __init__(self, controller: ZoneController, *names: str, columns: int = 2) -> None:
        self.controller, self.names = controller, names or tuple(PICTURES)
        unknown = [name for name in self.names if name not in PICTURES]
        if unknown:
            raise ValueError(f"no picture {unknown[0]!r}; there are {', '.join(PICTURES)}")
        self.columns = min(columns, len(self.names))
        super().__init__(controller.bench)

    def _make(self) -> PictureBoard:
        return PictureBoard()

    def refresh(self) -> None:
        """Draw the zone as it is now."""
        points, controller = Points(), self.controller
        pictures = [
            PICTURES[name](controller.now, controller.kept, self.bench.system, points)
            for name in self.names
        ]
        self.widget.show(pictures, points.bytes(), self.bench.revision, self.columns)


class ZoneBench(Page):
    """Everything of `where to stand` on one panel; arguments as for `Page`."""

    front = FRONT

    def _answers(self) -> tuple[Sequence[Part], Mapping[str, ipywidgets.DOMWidget | None]]:
        bench = self.bench
        controller = self.controller = ZoneController(bench)
        self.above = self.words = Told(bench, lambda: sentence_html(controller.now, bench.system))
        self.words.widget.add_class("sw-at-words")
        self.table = Told(bench, lambda: table_html(controller.now, bench.system))
        self.plan = ZonePictures(controller, "plan", columns=1)
        self.flights = ZonePictures(controller, "flights", "moments")
        return (self.words, self.table, self.plan, self.flights), {
            "tools": None,
            "readouts": None,
            "dials": None,
            "pictures": column(self.plan, self.flights),
            "player": self.table.widget,
            "caution": ipywidgets.HTML(cautions_html()),
        }

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
        words = found.sentence.told(system)
    return f"<p style='{_CLOSE}'><strong>{sign}{html.escape(words)}</strong></p>"


def table_html(found: Zone | str, system: units.System = "metric") -> str:
    """Give loads, who stands where, pieces and drift as tables and words; none without a zone."""
    if isinstance(found, str):
        return ""
    notes = [*found.failures, *([star] if (star := found.star_words) else ())]
    told = "".join(f"<p style='{_CLOSE}'>{html.escape(note)}.</p>" for note in notes)
    places = "".join(f"<li>{html.escape(words.told(system))}</li>" for words in found.places)
    loads = _table(
        found.loads(system),
        "Farthest if the projectile leaves the sling at any moment, from under the axle",
    )
    beside = "".join(_table(one, one.caption) for one in found.beside_loads(system))
    return (
        f"{loads}{told}<p style='{_CLOSE}'><strong>Who stands where</strong></p>"
        f"<ul style='{_CLOSE}'>{places}</ul>"
        "<details><summary style='cursor:pointer'>What else may fly, and drift to the side"
        f"</summary>{beside}</details>"
    )


def _table(table: Table, caption: str) -> str:
    rows = []
    for name, *cells in table.cells():
        rows.append(
            f"<tr><th scope='row' style='text-align:left;padding:1px 0'>{html.escape(name)}</th>"
            + "".join(
                f"<td style='text-align:right;padding:1px 0 1px 6px;white-space:nowrap'>{cell}</td>"
                for cell in cells
            )
            + "</tr>"
        )
    head = "".join(
        f"<th scope='col' style='text-align:{'left' if not place else 'right'};padding:"
        f"1px 0 1px {6 if place else 0}px'>{words}</th>"
        for place, words in enumerate(table.head)
    )
    return (
        f"<table style='{_CLOSE};font-size:13px'><caption style='text-align:left'>"
        f"{html.escape(caption)}</caption><thead><tr>{head}</tr></thead>"
        f"<tbody>{''.join(rows)}</tbody></table>"
    )


def cautions_html() -> str:
    """Give the cautions of this page, and what it leaves out."""
    left_out = "".join(f"<li>{html.escape(words)}</li>" for words in NOT_MODELLED)
    return (
        f"<p><strong>Caution.</strong> {html.escape(CAUTIONS)}</p>"
        "<details><summary style='cursor:pointer'>What these distances do not look at</summary>"
        f"<ul>{left_out}</ul></details>"
    )

"""The page `where to stand`: dials, the ground to keep clear in words, table and pictures."""

from __future__ import annotations

import asyncio
import html
import os
import sys
import threading
from collections.abc import Callable, Mapping, Sequence

import ipywidgets

from slingwright.amounts import units
from slingwright.amounts.answer import Table
from slingwright.amounts.text import told
from slingwright.pages.log.records import story_of
from slingwright.pages.parts.beside import Beside
from slingwright.pages.parts.long_work import WorkStopped
from slingwright.pages.parts.page import Page
from slingwright.pages.parts.parts import Part, Told, column
from slingwright.pages.parts.workbench import Answer, Workbench
from slingwright.pages.pictures.live import PictureBoard
from slingwright.pages.pictures.people import moved_by_hand
from slingwright.pages.pictures.scenes import Points
from slingwright.pages.standing.pictures import PICTURES
from slingwright.pages.standing.proving import ProvingSteps
from slingwright.standing.chances import Chances, Copies, chances
from slingwright.standing.ground import CAUTIONS, NOT_MODELLED, Zone
from slingwright.standing.places import same_but_people
from slingwright.standing.zone import with_people, zone

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


REST = 1.2
"""Without a touch, after which near copies are thrown, s."""


class ZoneController:
    """A bench with the ground to keep clear for its present and its kept machine.

    Chances are worked out beside it, once the dials rest; `tell` hears of them.
    """

    def __init__(self, bench: Workbench) -> None:
        self.bench = bench
        self.tell: Callable[[], object] = bool
        self._found: dict[int, tuple[Answer, Zone | str]] = {}
        self._beside = Beside()
        self._timer: asyncio.TimerHandle | None = None
        self._likely: Chances | None = None
        self._learned: tuple[object, Copies | None] = (None, None)

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

    @property
    def likely(self) -> Chances | None:
        """Where shots of the present machine lie by chance, where that was worked out."""
        found = self._likely
        same = found is not None and same_but_people(found.machine, self.bench.machine)
        return found if same else None

    def wait(self) -> None:
        """Throw near copies once the dials rest, where an event loop runs."""
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None
        if self.likely is None and not isinstance(self.now, str):
            try:
                self._timer = asyncio.get_running_loop().call_later(REST, self.throw_copies)
            except RuntimeError:
                return

    def throw_copies(self) -> None:
        """Throw near copies beside the page, as the log has learned that they scatter if it has."""
        if self._beside.going:  # of a machine that was on the bench before
            self.wait()
            return
        machine, keeping = self.bench.machine, self.bench.keeping
        known = (str(keeping.log.path), len(keeping.log)) if keeping is not None else None
        story = None
        if known is not None and self._learned[0] != known:
            story = story_of(keeping.log, self.bench.opened)

        def going() -> None:
            if not same_but_people(self.bench.machine, machine):
                raise WorkStopped

        def work() -> tuple[object, Copies | None, Chances]:
            if sys.platform == "linux":  # the dials go first
                os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), 10)
            learned = self._learned[1] if story is None else story.agreed()
            return known, learned, chances(machine, learned=learned, going=going)

        def show(result: Callable[[], tuple[object, Copies | None, Chances]]) -> None:
            try:
                known, learned, self._likely = result()
            except WorkStopped:
                return
            self._learned = known, learned
            self.bench.attempt(self.tell)

        self._beside.ask("chances", work, show)

    def close(self) -> None:
        """Take no more answers."""
        if self._timer is not None:
            self._timer.cancel()
        self._beside.close()

    def _of(self, answer: Answer, place: int) -> Zone | str:
        held = self._found.get(place)
        if held is None or held[0] is not answer:
            found: Zone | str
            try:
                if held and not isinstance(held[1], str) and same_but_people(
                    answer.machine, held[0].machine
                ):  # fmt: skip
                    found = with_people(held[1], answer.machine)
                else:
                    found = zone(answer.machine)
            except ValueError as error:
                found = str(error)
            held = self._found[place] = (answer, found)
        return held[1]


class ZonePictures(Part):
    """Pictures of the ground to keep clear; all if none is named.

    Args:
        controller: the shared controller.
        names: `plan`, `near`, `flights`, `moments`.
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
        board = PictureBoard()
        moved_by_hand(self.bench, board)
        return board

    def refresh(self) -> None:
        """Draw the zone as it is now."""
        points, now = Points(), self.controller
        pictures = [
            PICTURES[name](now.now, now.kept, self.bench.system, points, now.likely)
            for name in self.names
        ]
        self.widget.show(pictures, points.bytes(), self.bench.revision, self.columns)


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
        self.proving = ProvingSteps(bench)
        parts = (self.words, self.table, self.plan, self.near, self.conflicts,
                 self.flights, self.proving, self.chances)  # fmt: skip
        return parts, {
            "tools": None,
            "readouts": None,
            "dials": None,
            "pictures": column(self.plan, self.near, self.conflicts, self.flights),
            "player": column(self.chances, self.table, self.proving),
            "caution": ipywidgets.HTML(cautions_html()),
        }

    def _chances(self) -> str:
        """Say what chance does, once it is known; called last, when all else is shown."""
        self.controller.wait()
        likely, system = self.controller.likely, self.bench.system
        if likely is None:
            return f"<p style='{_CLOSE}'>By chance: worked out when the dials rest.</p>"
        table = likely.contours(system)
        return _table(table, f"{told(table.caption, system)}.")

    def _show_chances(self) -> None:
        self.chances.refresh()
        self.plan.refresh()

    def close(self) -> None:
        """Stop watching, take every widget off the page, and take no more answers."""
        self.controller.close()
        super().close()

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
    places = "".join(f"<li>{html.escape(words.told(system))}</li>" for words in found.places)
    loads = _table(
        found.loads(system),
        "Farthest if the projectile leaves the sling at any moment, from under the axle",
    )
    beside = "".join(_table(one, one.caption) for one in found.beside_loads(system))
    return (
        f"{loads}{said}<p style='{_CLOSE}'><strong>Who stands where</strong></p>"
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

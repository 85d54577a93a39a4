"""The page `will it hold`: dials, every check with its working, pictures, clearance."""

from __future__ import annotations

import contextlib
import html
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ipywidgets
import traitlets

from slingwright.amounts import units
from slingwright.amounts.answer import Table
from slingwright.amounts.text import alike, told
from slingwright.amounts.verdict import SIGNS
from slingwright.pages.holding.controller import HoldingController
from slingwright.pages.holding.pictures import PICTURES, strip_picture
from slingwright.pages.parts.beside import Beside
from slingwright.pages.parts.page import Page
from slingwright.pages.parts.parts import STYLE, Part, Told, button, column, script
from slingwright.pages.parts.workbench import Workbench
from slingwright.pages.pictures.drawing import drawn_parts, part_of
from slingwright.pages.pictures.live import PictureBoard
from slingwright.pages.pictures.scenes import Points
from slingwright.strength.check import Check
from slingwright.strength.checks import CAUTIONS, NOT_MODELLED, Holding, holding
from slingwright.strength.clearance import clearance
from slingwright.strength.doubt import Doubt, doubt
from slingwright.strength.ledger import UNCHECKED
from slingwright.strength.loads.cases import LoadCase
from slingwright.strength.mending.remedies import SearchStopped
from slingwright.strength.text import as_text

FRONT = (
    "counterweight.mass",
    "projectile.mass",
    "axle.diameter",
    "axle.support",
    "axle.span",
    "arm.depth_at_axle",
    "sling.rope_diameter",
    "base.anchors",
)
"""The dials that stand in front on this page."""
BUYING = "bought"
_LAYOUT = (Path(__file__).parent / "holding.css").read_text(encoding="utf-8")


class HoldingBoard(PictureBoard):
    """The browser's side of the pictures, with this page's lay-out."""

    _css = STYLE + _LAYOUT


class CheckBoard(PictureBoard):
    """The browser's side of the table of checks."""

    _esm = script("canvas.js", Path(__file__).parent / "holding.js")
    _css = STYLE + _LAYOUT
    state = traitlets.Dict().tag(sync=True)


class HoldingTable(Part):
    """Every check, the worst first: bar, words and sign; a click shows working and source.

    Both are written for rows that stand open alone: all of them take longer than a dial's move may.
    A check that fails can be asked what would make it hold. When the dials rest, the browser asks
    for the motions followed to their end and for the clearance. All are worked out beside the page,
    which goes on answering.
    """

    def __init__(self, controller: HoldingController, *others: Part) -> None:
        self.controller, self.others, self.beside = controller, others, Beside()
        self.ends = (self.beside,)
        self.open: set[str] = set()
        super().__init__(controller.bench)

    def _make(self) -> CheckBoard:
        board = CheckBoard()
        board.on_msg(self._hear)
        return board

    def refresh(self) -> None:
        """Show the checks as they are now."""
        now, kept, system = self.controller.now, self.controller.kept, self.bench.system
        before = {check.key: check for check in kept.checks} if kept else {}
        found, going = self.controller.remedies, self.beside.going
        rows = []
        for check in now.checks:
            row = row_of(check, system, check.key in self.open)
            if check.key in before:
                row["change"] = f"was {before[check.key].as_planned.used}"
            if check.key in found:
                row["remedies"] = [
                    f"{one.told(system, by_label=True)}." for one in found[check.key]
                ]
            row["asking"] = (self.bench.machine, check.key) in going
            if (self.bench.machine, check.key, BUYING) in going and "remedies" in row:
                row["remedies"].append("Looking for what can be bought or cut\u2026")
            rows.append(row)
        self.widget.state = {
            "revision": self.bench.revision,
            "rows": rows,
            "sentence": told(now.sentence, system),
            "holds": now.holds,
            "drawing": drawn_parts(now, system),
        }

    def ask(self, key: str) -> str:
        """Find what would make a check pass, and show it once it is found.

        Returns what was wrong with the question, or nothing.
        """
        machine = self.bench.machine

        def found(result: Callable[[], Any]) -> None:
            def keep() -> None:
                with contextlib.suppress(SearchStopped):
                    self.controller.keep_remedies(machine, key, result())
                    if self.bench.machine == machine and (machine, key, BUYING) not in asked:
                        start()

            self.bench.attempt(keep)
            self.refresh()

        asked: list[tuple[Any, ...]] = []

        def start() -> None:
            asked.append((machine, key, BUYING) if asked else (machine, key))
            self.beside.ask(asked[-1], self.controller.search(key), found)

        wrong = self.bench.attempt(start)
        self.refresh()
        return wrong

    def rest(self) -> str:
        """Look for the clearance, now that the dials rest, and show it once it is found.

        Returns what was wrong where it was looked for at once, or nothing.
        """
        machine, wrong = self.bench.machine, [""]

        def found(result: Callable[[], Any]) -> None:
            wrong[0] = self.bench.attempt(lambda: self.controller.keep_clearance(result()))
            for other in self.others:
                other.refresh()

        def followed(result: Callable[[], Any]) -> None:
            wrong[0] = self.bench.attempt(lambda: self.controller.keep_checks(result()))
            for part in (self, *self.others):
                part.refresh()

        if not self.controller.now.final:
            self.beside.ask((machine, "to rest"), lambda: holding(machine), followed)
        if self.controller.clearance is None:
            self.beside.ask((machine, None), lambda: clearance(machine), found)
        return wrong[0]

    def unfold(self, key: str) -> None:
        """Show the working and the source of a check until its row is folded again."""
        self.open.add(key)
        self.refresh()

    def _hear(self, _: object, content: object, buffers: object) -> None:
        if not isinstance(content, dict):
            return
        if content.get("kind") == "pass":
            self.ask(str(content.get("key")))
        elif content.get("kind") == "open":
            self.unfold(str(content.get("key")))
        elif content.get("kind") == "fold":
            self.open.discard(str(content.get("key")))
        elif content.get("kind") == "rest" and content.get("revision") == self.bench.revision:
            self.rest()


class HoldingPictures(Part):
    """Pictures that follow every change; all if none is named.

    Args:
        controller: the shared controller.
        names: `axle-moment`, `arm-moment`, `axle-cases`, `width`.
        columns: how many stand beside one another where there is room.
    """

    def __init__(self, controller: HoldingController, *names: str, columns: int = 2) -> None:
        self.controller, self.names = controller, names or tuple(PICTURES)
        unknown = [name for name in self.names if name not in PICTURES]
        if unknown:
            raise ValueError(f"no picture {unknown[0]!r}; there are {', '.join(PICTURES)}")
        self.columns = min(columns, len(self.names))
        super().__init__(controller.bench)

    def _make(self) -> HoldingBoard:
        return HoldingBoard()

    def refresh(self) -> None:
        """Draw the checks as they are now."""
        points = Points()
        pictures = [
            PICTURES[name](self.controller, self.bench.system, points) for name in self.names
        ]
        self.widget.show(pictures, points.bytes(), self.bench.revision, self.columns)


class HoldingStrip(Part):
    """Five moments of a throw, to scale, with what stands; and the clearance in words."""

    def __init__(self, controller: HoldingController) -> None:
        self.controller = controller
        super().__init__(controller.bench)

    def _make(self) -> ipywidgets.Box:
        self.board, self.words = HoldingBoard(), ipywidgets.HTML()
        return column(self.board, self.words)

    def refresh(self) -> None:
        """Show the clearance of the present machine, or that it is not known yet."""
        found, points = self.controller.clearance, Points()
        picture = strip_picture(found, self.bench.system, points)
        self.board.show([picture], points.bytes(), self.bench.revision, 1)
        words = (
            "Clearance is looked at when the dials rest."
            if found is None
            else told(found.sentence, self.bench.system)
        )
        sign = "" if found is None else SIGNS[found.verdict][0] + " "
        rest = "" if found is None else _gaps_html(found.gaps, self.bench.system)
        self.words.value = f"<p><strong>{sign}{html.escape(words)}</strong></p>{rest}"


class DoubtFold(Part):
    """A button that asks how sure each use is, and a fold with the answer for this machine."""

    def __init__(self, bench: Workbench) -> None:
        self.beside = Beside()
        self.ends = (self.beside,)
        self.found: Doubt | None = None
        super().__init__(bench)

    def _make(self) -> ipywidgets.Box:
        self.words = ipywidgets.HTML()
        hint = "Some seconds: 32 near copies of this machine are thrown and checked."
        return column(button("How sure is each use?", hint, self.ask, self.bench), self.words)

    def ask(self) -> None:
        """Work the doubt of the present machine out, and show it once it is found."""
        machine = self.bench.machine

        def found(result: Callable[[], Any]) -> None:
            def keep() -> None:
                with contextlib.suppress(InterruptedError):
                    self.found = result()

            self.bench.attempt(keep)
            self.refresh()

        gone = lambda: self.bench.machine is not machine  # noqa: E731
        self.beside.ask(machine, lambda: doubt(machine, stopped=gone), found)
        self.refresh()

    def refresh(self) -> None:
        """Show the doubt of the present machine; nothing where it was not asked for."""
        told, machine = self.found, self.bench.machine
        if machine in self.beside.going:
            self.words.value = "<p>Throwing near copies ...</p>"
        elif told is None or told.machine is not machine:
            self.words.value = ""
        else:
            self.words.value = (
                "<details open><summary>How sure each use is, as planned</summary>"
                f"{told.table(self.bench.system)._repr_html_()}</details>"
            )


class HoldingBench(Page):
    """Everything of `will it hold` on one panel; arguments as for `Page`."""

    front = FRONT
    grid, prefix = "sw-hold", "sw-hold-at-"

    def _answers(self) -> tuple[Sequence[Part], Mapping[str, ipywidgets.DOMWidget | None]]:
        bench = self.bench
        controller = self.controller = HoldingController(bench)
        # Parts are shown anew in this order. Pictures come first: a canvas that is drawn after
        # text has changed makes the browser lay out the page twice.
        self.pictures = HoldingPictures(controller)
        self.strip = HoldingStrip(controller)
        self.table = HoldingTable(controller, self.strip)
        self.cases = Told(bench, lambda: cases_html(controller.now, bench.system))
        self.table.others = (self.pictures, self.strip, self.cases)
        self.doubt = DoubtFold(bench)
        return (self.pictures, self.strip, self.table, self.cases, self.doubt), {
            "caution": ipywidgets.HTML(cautions_html()),
            "tools": None,
            "readouts": None,
            "dials": None,
            "table": self.table.widget,
            "pictures": self.pictures.widget,
            "strip": self.strip.widget,
            "cases": column(self.doubt, self.cases),
        }

    @property
    def holding(self) -> Holding:
        """Checks and load cases of the present machine."""
        return self.controller.now


@dataclass(frozen=True, slots=True, kw_only=True)
class ChecksTable:
    """The checks as a plain table that print and static pages keep."""

    holding: Holding
    system: units.System = "metric"

    def _repr_html_(self) -> str:
        lines = tuple(
            (check.name, SIGNS[row.verdict], row.used, *sides(row, self.system), row.case)
            + (check.mishap, check.source)
            for check in self.holding.checks
            for row in (check.as_planned,)
        )
        head = ("check", "verdict", "used", "demand", "capacity", "governing case")
        table = Table(
            head=(*head, "in a mishap", "source"),
            lines=lines,
            caption=self.holding.sentence,
            system=self.system,
        )
        return f"{table._repr_html_()}<p>{html.escape(CAUTIONS)}</p>"

    def __str__(self) -> str:
        return as_text(self.holding, system=self.system)

    __repr__ = __str__


def sides(check: Check, system: units.System) -> tuple[str, str]:
    """Write demand and capacity of a check in one unit."""
    demand, capacity = alike(check.amount(check.demand), check.amount(check.capacity))
    return told(demand, system), told(capacity, system)


def row_of(check: Check, system: units.System, unfolded: bool) -> dict[str, Any]:
    """Give one check as the browser shows it, with working and source where it is unfolded."""
    row = check.as_planned
    demand, capacity = sides(row, system)
    return {
        "key": check.key,
        "part": part_of(check.key),
        "name": check.name,
        "state": row.verdict,
        "verdict": SIGNS[row.verdict],
        "use": row.utilisation if math.isfinite(row.utilisation) else 2.0,
        "used": row.used,
        "unknown": row.unknown if row.at_least is not None else "",
        "demand": demand,
        "capacity": capacity,
        "case": row.case,
        "mishap": told(check.mishap, system),
        "working": told(check.working, system) if unfolded else "",
        "source": f"Source: {check.source}" if unfolded else "",
    }


def cautions_html() -> str:
    """Give the cautions of this page, and what it leaves out."""
    left_out = "".join(
        f"<li>{html.escape(words)}</li>"
        for words in (*(f"not checked: {one}" for one in UNCHECKED), *NOT_MODELLED)
    )
    return (
        f"<p><strong>Caution.</strong> {html.escape(CAUTIONS)}</p>"
        "<details><summary style='cursor:pointer'>What these checks do not look at</summary>"
        f"<ul>{left_out}</ul></details>"
    )


def cases_html(held: Holding, system: units.System = "metric") -> str:
    """Give load cases and what governs each part as tables."""
    body = "".join(
        f"<tr><th scope='row' style='text-align:left'>{html.escape(case.name)}</th>"
        + "".join(
            f"<td style='text-align:right'>{units.text(value, unit, system)}</td>"
            for value, unit in (
                (case.axle_load, "N"),
                (case.pin_load, "N"),
                (case.peak_moment, "N m"),
                (case.sling_tension, "N"),
                (case.base_lift, "N"),
                (case.base_slide, "N"),
            )
        )
        + f"<td style='text-align:left'>{html.escape(_told_of(case))}</td></tr>"
        for case in held.cases
    )
    heads = "".join(
        f"<th scope='col'>{head}</th>"
        for head in ("case", "axle", "hanger pin", "arm moment", "sling",
                     "least on the ground", "horizontal force", "known")
    )  # fmt: skip
    parts = "".join(
        f"<li><strong>{html.escape(part.part)}</strong>: {html.escape(part.case)}, "
        f"{units.text(part.value, part.unit, system)}; {html.escape(part.words)}.</li>"
        for part in held.governing
    )
    return (
        f"<strong>What governs</strong><ul>{parts}</ul>"
        "<div style='overflow-x:auto'><table style='border-collapse:collapse'>"
        "<caption style='text-align:left;font-weight:600'>Load cases, without load factor"
        f"</caption><thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table></div>"
    )


def _told_of(case: LoadCase) -> str:
    return "; ".join(filter(None, (case.note.rstrip("."), case.followed)))


def _gaps_html(gaps: Any, system: units.System) -> str:
    rows = "".join(
        f"<li>{html.escape(told(gap.words, system))} ({html.escape(gap.case)})</li>" for gap in gaps
    )
    return (
        "<details><summary style='cursor:pointer'>Every pair, the smallest gap first</summary>"
        f"<ol>{rows}</ol></details>"
    )

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
from slingwright.pages.parts.markup import caution, fold, items, table
from slingwright.pages.parts.page import Page
from slingwright.pages.parts.parts import STYLE, Part, Told, button, column, script
from slingwright.pages.pictures.canvas import Points
from slingwright.pages.pictures.drawing import drawn_parts, part_of
from slingwright.pages.pictures.live import PictureBoard, Pictures
from slingwright.strength.check import Check
from slingwright.strength.checks import CAUTIONS, NOT_MODELLED, Holding, holding
from slingwright.strength.clearance import clearance
from slingwright.strength.doubt import Doubt, doubt
from slingwright.strength.ledger import UNCHECKED
from slingwright.strength.mending.remedies import SearchStopped
from slingwright.strength.text import as_text

FRONT = (
    "counterweight.mass", "projectile.mass", "axle.diameter", "axle.support", "axle.span",
    "arm.depth_at_axle", "sling.rope_diameter", "base.anchors",
)  # fmt: skip
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
    What would make a check hold and, when the dials rest, the motions followed to their end and the
    clearance, are asked for by the browser and worked out beside the page.
    """

    def __init__(self, controller: HoldingController, *others: Part) -> None:
        self.others, self.beside = others, Beside()
        self.ends = (self.beside,)
        self.open: set[str] = set()
        super().__init__(controller)

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

        def look(key: str, work: Callable[[], Any], *shown: Part) -> None:
            def found(result: Callable[[], Any]) -> None:
                wrong[0] = self.bench.attempt(lambda: self.controller.keep(result()))
                for part in (*shown, *self.others):
                    part.refresh()

            self.beside.ask((machine, "rest", key), work, found)

        if not self.controller.now.final:
            look("checks", lambda: holding(machine), self)
        if self.controller.clearance is None:
            look("clearance", lambda: clearance(machine))
        return wrong[0]

    def unfold(self, key: str) -> None:
        """Show the working and the source of a check until its row is folded again."""
        self.open.add(key)
        self.refresh()

    def _hear(self, _: object, content: object, buffers: object) -> None:
        if not isinstance(content, dict):
            return
        kind, key = content.get("kind"), str(content.get("key"))
        if kind in ("pass", "open", "fold"):
            {"pass": self.ask, "open": self.unfold, "fold": self.open.discard}[kind](key)
        elif kind == "rest" and content.get("revision") == self.bench.revision:
            self.rest()


class HoldingPictures(Pictures):
    """Pictures that follow every change: `axle-moment`, `arm-moment`, `axle-cases`, `width`."""

    every, board = PICTURES, HoldingBoard


class HoldingStrip(Part):
    """Five moments of a throw, to scale, with what stands; and the clearance in words."""

    def _make(self) -> ipywidgets.Box:
        self.board, self.words = HoldingBoard(), ipywidgets.HTML()
        return column(self.board, self.words)

    def refresh(self) -> None:
        """Show the clearance of the present machine, or that it is not known yet."""
        found, points = self.controller.clearance, Points()
        picture = strip_picture(found, self.bench.system, points)
        self.board.show([picture], points.bytes(), self.bench.revision, 1)
        words, gaps = "Clearance is looked at when the dials rest.", ""
        if found is not None:
            words = f"{SIGNS[found.verdict][0]} {told(found.sentence, self.bench.system)}"
            gaps = _gaps_html(found.gaps, self.bench.system)
        self.words.value = f"<p><strong>{html.escape(words)}</strong></p>{gaps}"


class DoubtFold(Part):
    """A button that asks how sure each use is, and a fold with the answer for this machine."""

    found: Doubt | None = None

    def _make(self) -> ipywidgets.Box:
        self.words, self.beside = ipywidgets.HTML(), Beside()
        self.ends = (self.beside,)
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
            found = told.table(self.bench.system)._repr_html_()
            self.words.value = fold("How sure each use is, as planned", found, shown=True)


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
        unchecked = (f"not checked: {one}" for one in UNCHECKED)
        return (self.pictures, self.strip, self.table, self.cases, self.doubt), {
            "caution": ipywidgets.HTML(
                caution(CAUTIONS, "What these checks do not look at", (*unchecked, *NOT_MODELLED))
            ),
            "tools": None, "readouts": None, "dials": None, "table": self.table.widget,
            "pictures": self.pictures.widget, "strip": self.strip.widget,
            "cases": column(self.doubt, self.cases),
        }  # fmt: skip

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
        found = Table(
            head=(*head, "in a mishap", "source"),
            lines=lines,
            caption=self.holding.sentence,
            system=self.system,
        )
        return f"{found._repr_html_()}<p>{html.escape(CAUTIONS)}</p>"

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
        "key": check.key, "part": part_of(check.key), "name": check.name, "state": row.verdict,
        "verdict": SIGNS[row.verdict],
        "use": row.utilisation if math.isfinite(row.utilisation) else 2.0, "used": row.used,
        "unknown": row.unknown if row.at_least is not None else "", "demand": demand,
        "capacity": capacity, "case": row.case, "mishap": told(check.mishap, system),
        "working": told(check.working, system) if unfolded else "",
        "source": f"Source: {check.source}" if unfolded else "",
    }  # fmt: skip


CASES: Sequence[tuple[str, str, str]] = (
    ("axle", "axle_load", "N"), ("hanger pin", "pin_load", "N"),
    ("arm moment", "peak_moment", "N m"), ("sling", "sling_tension", "N"),
    ("least on the ground", "base_lift", "N"), ("horizontal force", "base_slide", "N"),
)  # fmt: skip
"""What is told of each load case: its head, its field, its unit."""


def cases_html(held: Holding, system: units.System = "metric") -> str:
    """Give load cases and what governs each part as tables."""
    rows = (
        [
            html.escape(case.name),
            *(units.text(getattr(case, key), unit, system) for _, key, unit in CASES),
            html.escape("; ".join(filter(None, (case.note.rstrip("."), case.followed)))),
        ]
        for case in held.cases
    )
    left, right = "text-align:left;padding-left:6px", "text-align:right"
    columns = [("case", left), *((head, right) for head, _, _ in CASES), ("known", left)]
    parts = "".join(
        f"<li><strong>{html.escape(part.part)}</strong>: {html.escape(part.case)}, "
        f"{units.text(part.value, part.unit, system)}; {html.escape(part.words)}.</li>"
        for part in held.governing
    )
    look, caption = "border-collapse:collapse", "Load cases, without load factor"
    cases = table(columns, rows, look=look, caption=caption)
    return f"<strong>What governs</strong><ul>{parts}</ul>{cases}"


def _gaps_html(gaps: Any, system: units.System) -> str:
    rows = items(f"{told(gap.words, system)} ({gap.case})" for gap in gaps)
    return fold("Every pair, the smallest gap first", f"<ol>{rows}</ol>")

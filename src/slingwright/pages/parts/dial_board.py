"""Dials on the page: slider and typed value for any paths of the table of dials."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import anywidget
import traitlets

from slingwright.amounts import units
from slingwright.machine.table import dials
from slingwright.machine.table.dials import Value
from slingwright.pages.parts.dial_rows import Shown, rows
from slingwright.pages.parts.parts import STYLE, Part, script
from slingwright.pages.parts.workbench import Workbench

FRONT = tuple(dial.path for dial in dials.TABLE if dial.front)


class DialBoard(anywidget.AnyWidget):
    """The browser's side of a board of dials."""

    _esm = script("canvas.js", "dials.js")
    _css = STYLE
    rows: Any = traitlets.List().tag(sync=True)
    values = traitlets.Dict().tag(sync=True)
    revision = traitlets.Int(0).tag(sync=True)


class DialControl:
    """One dial of a board as a control: its ends, its value, and a way to set it."""

    def __init__(self, board: Dials, path: str) -> None:
        self.board, self.path, self.dial = board, path, dials.dial(path)

    @property
    def value(self) -> Value:
        """The present value in SI."""
        return self.board.bench.machine[self.path]

    @property
    def ends(self) -> tuple[Value, ...]:
        """What the control can be pushed to: a slider's two ends in SI, or every choice."""
        if self.dial.kind == "flag":
            return (False, True)
        if self.dial.kind == "name":
            return tuple(next(r for r in self.board.rows if r["path"] == self.path)["choices"])
        look = self.board.numbers[self.path]
        return (look.to_si(look.start), look.to_si(look.end))

    def set(self, value: Value) -> str:
        """Move the dial as the browser does; returns what was wrong, or nothing."""
        return self.board.set(self.path, value)


class Dials(Part):
    """A board of dials that share one bench: those that are named, with the `rest` behind if asked.

    All dials of the table, grouped and searchable, with the usual four in front, if none is named;
    `leading` groups come first among the others.
    """

    def __init__(
        self, bench: Workbench, *paths: str, rest: bool | None = None, leading: Sequence[str] = ()
    ) -> None:
        self.front = tuple(dials.dial(path).path for path in paths) or FRONT
        every = not paths if rest is None else rest
        self.paths = (*self.front, *(_behind(self.front, leading) if every else ()))
        self.numbers: dict[str, Shown] = {}
        self.rows: list[dict[str, Any]] = []
        self._shown_for: object = None
        super().__init__(bench)

    def _make(self) -> DialBoard:
        board = DialBoard()
        board.on_msg(self._hear)
        self.controls = {path: DialControl(self, path) for path in self.paths}
        return board

    def refresh(self) -> None:
        """Show the present values; rows anew where units, limits or what is given changed."""
        bench = self.bench
        key = (bench.system, id(bench.opened), bench.machine.given)
        machine = bench.machine
        with self.widget.hold_sync():
            if key != self._shown_for:
                of = machine, bench.opened, bench.system
                self.rows, self.numbers = rows(self.paths, *of, set(self.front))
                self._shown_for = key
                self.widget.rows = self.rows
            self.widget.values = {
                path: self.numbers[path].to_shown(machine[path])
                if path in self.numbers
                else machine[path]
                for path in self.paths
            }
            self.widget.revision += 1

    def lead(self, paths: Sequence[str], leading: Sequence[str] = ()) -> None:
        """Put other dials of all in front, the usual ones first, and other groups behind them."""
        self.front = tuple(dict.fromkeys((*FRONT, *paths)))
        self.paths = (*self.front, *_behind(self.front, leading))
        self._shown_for = None
        self.refresh()

    def set(self, path: str, value: Value, *, gesture: str | None = None) -> str:
        """Set a dial to an SI value, flag, name or text; returns what was wrong, or nothing."""
        return self.bench.attempt(lambda: self.bench.change({path: value}, gesture=gesture))

    def type(self, path: str, text: str) -> str:
        """Take what a person typed: a number in the shown unit, or a value with its own unit.

        An empty text takes the value back, where one can do without.
        """
        return self.bench.attempt(lambda: self.bench.change({path: self._typed(path, text)}))

    def _typed(self, path: str, text: str) -> Value:
        words = text.strip()
        if not words and not dials.dial(path).required:
            return None
        look = self.numbers[path]
        number = units.number_or_none(words)
        return words if number is None else number * look.factor

    def _hear(self, _: object, content: Mapping[str, Any], buffers: object) -> None:
        """Take one message of the browser and say when it is done, so that the next may come."""
        if not isinstance(content, dict) or content.get("kind") != "set":
            return
        path, value = str(content.get("path")), content.get("value")
        wrong = "this page does not know that dial"
        if path in self.controls:
            if isinstance(value, dict):
                wrong = self.type(path, str(value.get("text", "")))
            elif isinstance(value, int | float) and not isinstance(value, bool):
                shown = self.numbers.get(path)
                moved = shown.to_si(float(value)) if shown is not None else float(value)
                wrong = self.set(path, moved, gesture=content.get("gesture"))
            elif isinstance(value, bool | str):
                wrong = self.set(path, value)
        self.widget.send(
            {"kind": "done", "serial": content.get("serial"), "path": path, "refused": wrong}
        )


def _behind(front: Sequence[str], leading: Sequence[str]) -> list[str]:
    others = [d for d in dials.TABLE if d.path not in front]
    return [d.path for d in sorted(others, key=lambda d: [*leading, d.group].index(d.group))]

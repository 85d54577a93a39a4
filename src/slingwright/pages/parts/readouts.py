"""The answers in numbers and words, against the kept machine, with outcome and status."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets

from slingwright.amounts.figures import in_words
from slingwright.amounts.text import told
from slingwright.pages.parts.parts import STYLE, Part, script
from slingwright.pages.parts.workbench import Workbench


class ReadoutBoard(anywidget.AnyWidget):
    """The browser's side of the readouts."""

    _esm = script("canvas.js", "readouts.js")
    _css = STYLE
    state = traitlets.Dict().tag(sync=True)


class Readouts(Part):
    """Range, release, axle load, efficiency, crank force and winding time, each with its unit.

    Args:
        bench: the shared bench.
        keys: those that are shown; all if none is named.
    """

    watches_status = True

    def __init__(self, bench: Workbench, *keys: str) -> None:
        self.keys = keys
        super().__init__(bench)

    def _make(self) -> ReadoutBoard:
        return ReadoutBoard()

    def refresh(self) -> None:
        """Show the answers, their difference to the kept machine, and the status line."""
        bench = self.bench
        sentence = told(bench.throw.sentence, bench.system)
        now = bench.now.readings(bench.system)
        before = {row.key: row for row in bench.kept.readings(bench.system)} if bench.kept else {}
        rows: list[dict[str, Any]] = []
        for row in now:
            if self.keys and row.key not in self.keys:
                continue
            one = {
                "key": row.key,
                "label": row.label,
                "text": row.text(bench.system),
                "note": row.note,
            }
            if before:
                one["change"] = row.change_from(before[row.key], bench.system)
            rows.append(one)
        words = in_words(now, sentence, bench.system)
        changes = [f"{r['label']} {r['change']}" for r in rows if r.get("change")]
        if changes:
            words += " Against the kept machine: " + ", ".join(changes) + "."
        self.widget.state = {
            "revision": bench.revision,
            "rows": rows,
            "sentence": sentence,
            "failed": bench.throw.outcome != "released",
            "comparing": bool(before),
            "status": bench.status,
            "warn": bench.warn,
            "words": words,
        }

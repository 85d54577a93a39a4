"""The answers in numbers and words, against the kept machine, with outcome and status."""

from __future__ import annotations

from typing import Any

import anywidget
import traitlets

from slingwright.amounts.figures import Reading, in_words
from slingwright.amounts.text import told
from slingwright.motion.ends.mending import mended
from slingwright.pages.parts.parts import STYLE, Part, script


class ReadoutBoard(anywidget.AnyWidget):
    """The browser's side of the readouts."""

    _esm = script("canvas.js", "readouts.js")
    _css = STYLE
    state = traitlets.Dict().tag(sync=True)


class Readouts(Part):
    """Range, release, axle load, efficiency, crank force and winding time, each with its unit.

    Of `keys` those are shown; all if none is named.
    """

    watches_status = True
    title = ""

    def __init__(self, source: Any, *keys: str) -> None:
        self.keys = keys
        super().__init__(source)

    def _make(self) -> ReadoutBoard:
        return ReadoutBoard()

    def answers(self) -> tuple[tuple[Reading, ...], tuple[Reading, ...], str, bool]:
        """Give the readings now and of the kept machine, the sentence, and whether it failed."""
        bench, system = self.bench, self.bench.system
        kept = bench.kept.readings(system) if bench.kept else ()
        throw = bench.throw
        said = throw.sentence if throw.forward else mended(bench.machine, throw.sentence)
        return bench.now.readings(system), kept, told(said, system), throw.outcome != "released"

    def refresh(self) -> None:
        """Show the answers, their difference to the kept machine, and the status line."""
        bench, system = self.bench, self.bench.system
        now, kept, sentence, failed = self.answers()
        before = {row.key: row for row in kept}
        rows: list[dict[str, Any]] = []
        for row in now:
            if self.keys and row.key not in self.keys:
                continue
            one = {"key": row.key, "label": row.label, "text": row.text(system), "note": row.note}
            if row.key in before:
                one["change"] = row.change_from(before[row.key], system)
            rows.append(one)
        words = in_words(now, sentence, system)
        changes = [f"{r['label']} {r['change']}" for r in rows if r.get("change")]
        if changes:
            words += " Against the kept machine: " + ", ".join(changes) + "."
        self.widget.state = {
            **({"name": self.title} if self.title else {}),
            "revision": bench.revision, "rows": rows, "sentence": sentence, "failed": failed,
            "comparing": bool(before), "status": bench.status, "warn": bench.warn, "words": words,
        }  # fmt: skip

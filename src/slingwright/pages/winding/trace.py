"""A load cell's file on the page: opened, columns and units asked, compared with the prediction.

Nothing in a file is believed: its text is read as a table and shown as plain words only.
"""

from __future__ import annotations

import html
import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import ipywidgets
import numpy as np

from slingwright.amounts import units
from slingwright.amounts.text import told
from slingwright.pages.field.columns import ASK, offer, plain, text_of, trace_of
from slingwright.pages.parts.fields import Fields
from slingwright.pages.parts.markup import fold
from slingwright.pages.parts.parts import Part, box, button, column
from slingwright.pages.winding.controller import WindingController
from slingwright.winch.load_cell import trace as load_cell
from slingwright.winch.load_cell.trace import Hold, LoadTrace, TraceError
from slingwright.winch.text import whole

STILL = 0.007
"""The force stands still where it keeps within this share of its peak, common practice,"""
STILL_TIME = 10.0  # for this time or longer, s
MOST_PAUSES = 50
PLACES: Mapping[str, str] = {
    "drum": "hauling part, at the drum",
    "arm": "whole tackle, at the arm",
    "drum lowering": "hauling part, eased back",
    "arm lowering": "whole tackle, eased back",
}
LINE = Fields("auto", "initial", flex="0 1 auto")
_STRETCH = re.compile(r"\s*(\d+(?:\.\d+)?)\s*(?:-|to|\u2013)\s*(\d+(?:\.\d+)?)\s*s?\s*")


class WindingTrace(Part):
    """Opens a load cell's CSV file and compares it with the predicted pull."""

    controller: WindingController
    text: str | None = None
    name = _seen = _told = ""

    def _make(self) -> ipywidgets.Box:
        choice, text = LINE.choice, LINE.text
        hint = "A load cell's file: CSV with a time and a force in each row"
        kind: dict[str, Any] = {"accept": ".csv,.txt,.tsv", "multiple": False, "tooltip": hint}
        upload = Fields(flex="0 0 auto").made(ipywidgets.FileUpload, "Open a trace", **kind)
        upload.add_class("sw-tool")
        upload.observe(self._opened, names="value")
        hint = "Show the trace over the predicted pull"
        lay = button("Compare with prediction", hint, self.lay, self.bench)
        remove = button("Remove", "Show no trace", self.remove, self.bench)
        self.controls = {
            "trace.file": upload,
            "trace.time": choice("Time in", [("no file", None)], None),
            "trace.time_unit": choice("in", [ASK, *load_cell.TIME_UNITS], ASK),
            "trace.force": choice("Force in", [("no file", None)], None),
            "trace.force_unit": choice("in", [ASK, *load_cell.FORCE_UNITS], ASK),
            "trace.angle": choice("How far wound, in", [("no column", None)], None),
            "trace.angle_unit": choice("in", [ASK, *load_cell.PLACE_UNITS], ASK),
            "trace.angle_as": choice("counts", [ASK, *load_cell.COUNTS], ASK),
            "trace.place": choice("Cell at", [(v, k) for k, v in PLACES.items()], "drum"),
            "trace.turned": ipywidgets.Checkbox(
                value=False, description="wired the other way round", indent=False
            ),
            "trace.tare": text("Shows unloaded", "", "0", width="170px", continuous_update=False),
            "trace.pauses": text(
                "Pauses [s]", "such as 138-162, 200-210", width="250px", continuous_update=False
            ),
            "trace.lay": lay,
            "trace.remove": remove,
        }
        self.words = ipywidgets.HTML()
        head = ipywidgets.HTML("<strong>Load cell</strong>")
        line = box("sw-wind-line", head, *self.controls.values())
        return column(line, self.words)

    def refresh(self) -> None:
        """Say how the trace lies to the prediction, or what is still asked."""
        trace, system = self.controller.trace, self.bench.system
        doubts, said = "", []
        if trace is not None:
            notes = " ".join(f"{told(note, system)}." for note in trace.notes)
            doubts = f"<strong>{html.escape(notes)}</strong> " if notes else ""
            now = self.controller.now
            if now.trace is not None:
                said.append(whole(now.trace.words, system))
            else:
                why = now.why("trace", "winding")
                said.append(f"The trace cannot be compared with the prediction: {why}")
            long, peak = float(trace.time[-1] - trace.time[0]), told(trace.peak, system)
            said.append(
                f"{len(trace.time)} samples over {long:.0f} s, at most {peak}; "
                f"{_pauses(self.controller.pauses)}"
            )
            if trace.shocks:
                said.append(f"Shocks, kept apart: {told(trace.shock_words, system)}.")
        if self._told:
            said.append(self._told)
        if not said:
            said.append(
                "No trace yet: open a load cell's file of one winding, say which columns and "
                "units it has, and compare it with the prediction."
            )
        lines = " ".join(html.escape(one) for one in said)
        seen = self._seen if self.text is not None else ""
        self.words.value = f"<p role='status' style='margin:2px 0'>{doubts}{lines}</p>{seen}"
        for name, control in self.controls.items():
            shown = name == "trace.file" or self.text is not None
            if name == "trace.remove":
                shown = trace is not None
            control.layout.display = "" if shown else "none"

    def open(self, name: str, content: bytes) -> None:
        """Take a file's content and offer its columns.

        Raises:
            TraceError: too large, no text, or no table.
        """
        self.text, self.name = None, plain(name)
        text = text_of(name, content, "Cut it to the winding, or read it with read_trace.")
        file, options = offer(self.controls, name, text, "trace.")
        at, angle = file.place_column, self.controls["trace.angle"]
        angle.options = [("no column", None), *options]
        angle.value = at if at is not None and at < len(options) else None
        said = (
            (None, None)
            if at is None
            else (file.unit(at, load_cell.PLACE_UNITS), file.place_as(at))
        )
        for what, found in zip(("unit", "as"), said, strict=True):
            self.controls[f"trace.angle_{what}"].value = found or ASK
        rows = "".join(
            f"<tr><th scope='row' style='text-align:left'>{html.escape(plain(one.label))}</th>"
            f"<td>{html.escape(str(one.value))}</td><td>{html.escape(one.note)}</td></tr>"
            for one in file.rows()
        )
        inside = f"<table style='font-size:13px'>{rows}</table>"
        self._seen = fold("What the file was taken for", inside, shown=True)
        self.text = text

    def lay(self) -> None:
        """Read the open file as the controls say, and compare it with the prediction.

        Raises:
            TraceError: no file, no unit, or what cannot be read as a trace.
        """
        if self.text is None:
            raise TraceError("no file is open. Press Open a trace first.")
        sign = -1.0 if self.controls["trace.turned"].value else 1.0
        try:
            tare = float(units.number(self.controls["trace.tare"].value or "0"))
        except ValueError as error:
            raise TraceError(f"what the cell shows unloaded: {error}") from error
        trace = trace_of(self.controls, self.text, "trace.", sign=sign, tare=tare)
        if self.controls["trace.angle"].value is None:
            trace = replace(trace, place=None)
        pauses = pauses_of(self.controls["trace.pauses"].value, trace)
        self._told = f"From {self.name}.{'' if pauses else _still(trace)}"
        self.controller.lay(trace, pauses, self.controls["trace.place"].value)

    def remove(self) -> None:
        """Show no trace."""
        self._told = ""
        self.controller.lay(None)

    def _opened(self, change: Mapping[str, Any]) -> None:
        if not change["new"]:
            return
        one = change["new"][0]
        wrong = self.bench.attempt(
            lambda: self.open(str(one.get("name", "trace")), bytes(one.get("content", b"")))
        )
        self._told = (
            wrong
            or f"{self.name} is open: choose columns and units, then press Compare with prediction."
        )
        self.refresh()


def pauses_of(words: str, trace: LoadTrace) -> list[Hold]:
    """Read stretches of time, such as "138-162, 200-210", in which nothing was wound.

    Raises:
        TraceError: what is no stretch of the trace's time, by name.
    """
    found: list[Hold] = []
    for part in [one.strip() for one in words.replace(";", ",").split(",") if one.strip()]:
        ends = _STRETCH.fullmatch(part)
        if ends is None or len(found) >= MOST_PAUSES:
            raise TraceError(
                f"pause {plain(part)!r} is no stretch of time. Write its start and end in "
                "seconds of the trace, such as 138-162."
            )
        start, end = float(ends[1]), float(ends[2])
        inside = (trace.time >= start) & (trace.time <= end)
        if not inside.any():
            raise TraceError(
                f"pause {plain(part)!r} holds no sample; the trace goes from "
                f"{trace.time[0]:.0f} to {trace.time[-1]:.0f} s."
            )
        found.append(Hold(start=start, end=end, force=float(np.median(trace.force[inside]))))
    return found


def _still(trace: LoadTrace) -> str:
    step = float(trace.time[1] - trace.time[0])
    top = abs(float(trace.force.max()))
    if not (step < STILL_TIME and top > 0.0):
        return ""
    stands = load_cell.holds(trace, tolerance=STILL * top, least=STILL_TIME)
    if not stands:
        return ""
    where = ", ".join(f"{one.start:.0f} to {one.end:.0f} s" for one in stands[:4])
    return f" The force stands still from {where}: if nothing was wound then, say so at Pauses."


def _pauses(pauses: Any) -> str:
    if not pauses:
        return "no pause left out."
    told = ", ".join(f"{one.start:.0f} to {one.end:.0f} s" for one in pauses[:4])
    more = f" and {len(pauses) - 4} more" if len(pauses) > 4 else ""
    return f"pauses, left out of the comparison: {told}{more}."

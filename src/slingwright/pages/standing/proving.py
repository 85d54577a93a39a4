"""Proving on the page: each step with what is expected, and a place for what was measured."""

from __future__ import annotations

import html
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import ipywidgets

from slingwright.amounts.text import told
from slingwright.amounts.units import System
from slingwright.changing.proving import CAUTION, LOOK, Expected, Proving, Step, noted_as, proving
from slingwright.logbook import Measurement
from slingwright.pages.log.records import story_of
from slingwright.pages.parts.beside import LongWork
from slingwright.pages.parts.fields import BY_HAND, FieldError, labelled, typed_amount
from slingwright.pages.parts.parts import Part, button, row

Place = tuple[Step, Expected] | None


def typed_unit(expected: Expected) -> str:
    """Give the unit in which an amount of a step is typed: what a hand does is small."""
    return BY_HAND if expected.key == "force_per_person" else expected.unit


def measured(typed: str, label: str, unit: str, how: str, system: System) -> Measurement:
    """Give what was typed of a step as a measurement.

    Args:
        typed: what was typed.
        label: of the amount, as the step calls it.
        unit: as `typed_unit` gives it.
        how: with which masses, as `noted_as` says it.
        system: units that are on.

    Raises: ValueError: it is no such number, nothing, or a force below 0.
    """
    value = typed_amount(typed, label, unit, system)
    if value is None:
        raise ValueError(f"{label}: type what was measured.")
    force = unit in ("N", BY_HAND)
    if force and value < 0.0:
        raise ValueError(f"{label}: {typed.strip()[:40]!r} is below 0. Write the force's size.")
    return Measurement(thing=label, value=value, unit="N" if force else unit, how=how)


class ProvingSteps(Part):
    """The steps from a light counterweight to the full one, worked out when they are asked for.

    What is measured goes into the job's log, and stands beside what was expected from then on.
    """

    found: Proving | None = None

    def _make(self) -> ipywidgets.Box:
        self.status, self.words = ipywidgets.HTML(), ipywidgets.HTML()
        self.work = LongWork(self.bench.attempt, self._say)
        self.ends = (self.work,)
        self.controls = {
            "prove": button("Work out the steps", "Of proving this machine", self.ask, self.bench),
            "what": ipywidgets.Dropdown(description="What", options=[("", None)]),
            "value": ipywidgets.Text(description="Measured", placeholder="such as 3.1 kN"),
            "enter": button("Enter", "Write it into the job's log", self.enter, self.bench),
        }
        self.controls["what"].observe(lambda _: self._name(), names="value")
        entry = row(*(self.controls[name] for name in ("what", "value", "enter")))
        tools = row(self.controls["prove"], self.work.stop_button, self.status)
        inside = ipywidgets.VBox([tools, entry, self.words])
        return ipywidgets.Accordion(children=[inside], titles=["Proving a new or changed machine"])

    def _say(self, words: str) -> None:
        self.status.value = html.escape(words)

    def ask(self) -> None:
        """Work the steps out beside the page, with what the log has measured."""
        machine, keeping = self.bench.machine, self.bench.keeping
        story = None if keeping is None else story_of(keeping.log, self.bench.opened)
        seen: Any = () if story is None else (story.shots, story.noted)

        def work(report: Callable[..., None]) -> Proving:
            report("working the steps out \N{HORIZONTAL ELLIPSIS}")
            return proving(machine, *seen)

        self.work.start(work, self._show, self._say)

    def enter(self) -> None:
        """Write what was measured into the log.

        Raises:
            ValueError: no step is chosen, no job is open, or it is no such number.
        """
        chosen: Place = self.controls["what"].value
        keeping, field = self.bench.keeping, self.controls["value"]
        if chosen is None or keeping is None:
            raise ValueError("work the steps out on a job, and choose what was measured")
        step, expected = chosen
        asked = expected.label, typed_unit(expected), noted_as(step.machine)
        try:
            keeping.log.append(measured(field.value, *asked, self.bench.system))
        except ValueError as error:
            raise FieldError(field, str(error)) from error
        field.value = ""
        self.ask()

    def _show(self, found: Proving) -> None:
        self.found = found
        self._say("")
        places: list[tuple[str, Place]] = [
            (f"{told(step.name, self.bench.system)}: {one.label}", (step, one))
            for step in found.steps
            for one in step.expected
        ]
        what = self.controls["what"]
        before, what.options = what.label, places or [("", None)]
        if before in [label for label, _ in places]:
            what.label = before
        self.refresh()

    def _name(self) -> None:
        chosen: Place = self.controls["what"].value
        words = "Measured"
        if chosen is not None:
            words = labelled(words, typed_unit(chosen[1]), self.bench.system)
        self.controls["value"].description = words

    def refresh(self) -> None:
        """Show the steps in the units that are on; those of another machine are taken away."""
        found, system = self.found, self.bench.system
        if found is None or found.machine != self.bench.machine:
            self.words.value = f"<p>{html.escape(CAUTION)}</p>"
            return
        steps = "".join(
            f"<li><strong>{html.escape(told(step.name, system))}</strong> ({step.verdict}): "
            f"{html.escape(told(step.do, system))} {html.escape(told(step.wrong, system))}</li>"
            for step in found.steps
        )
        table = replace(found.sheet(), system=system)._repr_html_()
        self.words.value = (
            f"<p><strong>{html.escape(told(found.sentence, system))}</strong></p>"
            f"<ol>{steps}</ol><p>After each step look at: {html.escape(LOOK)}.</p>{table}"
            f"<p>{html.escape(CAUTION)}</p>"
        )

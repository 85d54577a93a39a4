"""An exercise on a page: a question, a place for the answer with its unit, and what it is worth."""

from __future__ import annotations

import html
import math
from collections.abc import Sequence
from typing import Any

import ipywidgets

from slingwright.amounts import units
from slingwright.amounts.figures import figures
from slingwright.pages.parts.guard import panel

TOLERANCE = 0.02
"""Relative gap within which an answer is right, unless an exercise says otherwise."""


class Exercise:
    """A question whose answer is a number with a unit, checked against one that was worked out.

    Args:
        question: what is asked, one or two sentences.
        answer: the value in SI, as the kit works it out.
        unit: its SI unit; a bare number is taken in it, but in degrees where it is "rad".
        hints: shown one after the other, each after another wrong answer.
        tolerance: relative gap within which the answer is right.
    """

    def __init__(
        self,
        question: str,
        answer: float,
        unit: str,
        hints: Sequence[str] = (),
        *,
        tolerance: float = TOLERANCE,
    ) -> None:
        if not math.isfinite(answer):
            raise ValueError(f"the answer is {answer!r}; an exercise needs a finite one")
        self.question, self.answer, self.unit = question, float(answer), unit
        self.hints, self.tolerance = tuple(hints), tolerance
        self.wrong = 0
        bare = "deg" if unit == "rad" else unit
        self.field = ipywidgets.Text(
            placeholder="a number" if unit == "-" else f"a number, or with a unit: 1.2 {bare}",
            continuous_update=False,
        )
        self.field.tooltip = question
        self.words = ipywidgets.HTML()
        self.field.observe(lambda change: self._hear(change["new"]), names="value")
        asked = ipywidgets.HTML(f"<p><strong>{html.escape(question)}</strong></p>")
        self.widget = panel(asked, self.field, self.words, answers=[self.words])

    def check(self, text: str) -> str:
        """Say what an answer is worth: right, how far off, or why it cannot be read."""
        try:
            given = self._read(text)
        except ValueError as error:
            return f"That cannot be read: {error}"
        if math.isclose(given, self.answer, rel_tol=self.tolerance, abs_tol=1e-12):
            return f"\N{CHECK MARK} Right: {figures(self.answer, self.unit)}."
        self.wrong += 1
        size = "too large" if given > self.answer else "too small"
        if given * self.answer < 0.0:
            size = "of the wrong sign"
        hint = self.hints[min(self.wrong, len(self.hints)) - 1] if self.hints else ""
        return f"\N{BALLOT X} Not yet: {size}. {hint}".strip()

    def _read(self, text: str) -> float:
        words = text.strip()
        number = units.number_or_none(words)
        if number is None:
            return units.quantity(words, self.unit)
        return math.radians(number) if self.unit == "rad" else number

    def _hear(self, text: str) -> None:
        told = self.check(text) if text.strip() else ""
        self.words.value = f"<p role='status'>{html.escape(told)}</p>"

    def _repr_mimebundle_(self, **options: Any) -> Any:
        shown = dict(self.widget._repr_mimebundle_(**options))
        shown["text/html"] = f"<p><strong>{html.escape(self.question)}</strong></p>"
        return shown

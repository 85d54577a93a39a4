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


SLIPS: Sequence[tuple[float, str]] = (
    (-1.0, "of the wrong sign"),
    (2.0, "twice what is asked: a factor of 2 too much"),
    (0.5, "half of what is asked: a factor of 2 was lost"),
    (4.0, "four times what is asked: a 2 was squared, or a radius taken for a diameter"),
    (0.25, "a quarter of what is asked: a diameter taken for a radius, or a half was squared"),
    (9.81, "larger by 9.81: gravity counted once too often"),
    (1.0 / 9.81, "smaller by 9.81: gravity was left out"),
    (180.0 / math.pi, "larger by 57.3: degrees where radians belong"),
    (math.pi / 180.0, "smaller by 57.3: radians where degrees belong"),
    (2.0 * math.pi, "larger by 2 pi: turns and radians"),
    (0.5 / math.pi, "smaller by 2 pi: turns and radians"),
    *((10.0**k, f"larger by {10**k}: look at decimal point and unit") for k in (1, 2, 3)),
    *((0.1**k, f"smaller by {10**k}: look at decimal point and unit") for k in (1, 2, 3)),
)
"""Ratios of a wrong answer to the right one that tell what went wrong (common practice)."""


def _slip(ratio: float) -> str:
    """Name a usual slip, or nothing: its ratio within 0.5 %, so that 9.81 is not taken for 10."""
    for of_slip, words in SLIPS:
        if math.isclose(ratio, of_slip, rel_tol=0.005):
            return words
    return ""


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
        size = _slip(given / self.answer) if self.answer else ""
        if not size:
            size = "too large" if given > self.answer else "too small"
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

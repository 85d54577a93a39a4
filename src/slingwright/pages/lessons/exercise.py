"""An exercise on a page: a question, a place for the answer with its unit, and what it is worth."""

from __future__ import annotations

import html
import json
import math
import re
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

import ipywidgets

from slingwright.amounts import units
from slingwright.amounts.figures import figures
from slingwright.logbook.faults import LogbookError
from slingwright.logbook.job import open_job
from slingwright.pages.lessons.tasks import TASKS, asked, named
from slingwright.pages.parts.parts import panel

TOLERANCE = 0.02  # relative gap within which an answer is right, unless an exercise says otherwise


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


def _near(given: float, slips: Iterable[tuple[float, str]]) -> str:
    """Name a slip that gives this, or nothing: within 0.5 %, so that 9.81 is not taken for 10."""
    near = (words for value, words in slips if math.isclose(given, value, rel_tol=0.005))
    return next(near, "")


def _tell(words: ipywidgets.HTML, told: str) -> None:
    words.value = f"<p role='status'>{html.escape(told)}</p>"


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
        self, question: str, answer: float, unit: str, hints: Sequence[str] = (), *,
        tolerance: float = TOLERANCE,
    ) -> None:  # fmt: skip
        self.tolerance = tolerance
        self.field = ipywidgets.Text(continuous_update=False)
        self.words, self.shown = ipywidgets.HTML(), ipywidgets.HTML()
        self.field.observe(lambda change: self._hear(change["new"]), names="value")
        self.ask(question, answer, unit, hints)
        self.widget = panel(self.shown, self.field, self.words, answers=[self.words])

    def ask(
        self, question: str, answer: float, unit: str, hints: Sequence[str] = (),
        slips: Sequence[tuple[float, str]] = (),
    ) -> None:  # fmt: skip
        """Put a question in the place of the last; `slips` are wrong answers [SI] by their kind."""
        if not math.isfinite(answer):
            raise ValueError(f"the answer is {answer!r}; an exercise needs a finite one")
        self.question, self.answer, self.unit = question, float(answer), unit
        self.hints, self.slips, self.wrong = tuple(hints), tuple(slips), 0
        bare = f", or with a unit: 1.2 {'deg' if unit == 'rad' else unit}"
        self.field.placeholder = f"a number{'' if unit == '-' else bare}"
        self.field.tooltip, self.field.value, self.words.value = question, "", ""
        self.shown.value = f"<p><strong>{html.escape(question)}</strong></p>"

    def check(self, text: str) -> str:
        """Say what an answer is worth: right, how far off, or why it cannot be read."""
        try:
            given = self._read(text)
        except ValueError as error:
            return f"That cannot be read: {error}"
        if math.isclose(given, self.answer, rel_tol=self.tolerance, abs_tol=1e-12):
            return f"\N{CHECK MARK} Right: {figures(self.answer, self.unit)}."
        self.wrong += 1
        size = _near(given, self.slips)
        if not size and self.answer:
            size = _near(given / self.answer, SLIPS)
        size = size or ("too large" if given > self.answer else "too small")
        hint = self.hints[min(self.wrong, len(self.hints)) - 1] if self.hints else ""
        return f"\N{BALLOT X} Not yet: {size}. {hint}".strip()

    def _read(self, text: str) -> float:
        words = text.strip()
        number = units.number_or_none(words)
        if number is None:
            given, unit = units.quantity_and_unit(words, self.unit)
            # Both are kg m2/s2: a moment is written as force times lever, an energy in one word.
            moment = re.fullmatch(r"[kM]?(N|lbf)[ *]?(m|mm|cm|ft|in)", unit)
            if moment and self.unit == "J":
                raise ValueError(f"{unit} is how a moment is written; this is an energy: write J")
            if self.unit == "N m" and not moment and " " not in unit and "*" not in unit:
                raise ValueError(f"{unit} is how an energy is written; this is a moment: write N m")
            return given
        return math.radians(number) if self.unit == "rad" else number

    def _hear(self, text: str) -> None:
        _tell(self.words, self.check(text) if text.strip() else "")

    def _repr_mimebundle_(self, **options: Any) -> Any:
        asked = f"<p><strong>{html.escape(self.question)}</strong></p>"
        return {**self.widget._repr_mimebundle_(**options), "text/html": asked}


ANSWERS = "answers.jsonl"
"""Beside the reports of a job: who answered which task with what, a line an answer."""
WAIT = "Type your name or number above, where the page asks for it: the numbers are yours alone."


class Drawn(Exercise):
    """A task whose numbers are those of the student that its `Sheet` has."""

    def __init__(self, sheet: Sheet, name: str) -> None:
        self.sheet, self.name = sheet, name
        super().__init__(WAIT, 0.0, asked(name, "nobody").unit)

    def draw(self) -> None:
        """Put the question of the student that is there now, or wait for one.

        What the student typed on another day is judged anew, so that hints go on where they were.
        """
        if not self.sheet.student:
            self.ask(WAIT, 0.0, self.unit)
            return
        self.ask(*asked(self.name, self.sheet.student, self.sheet.seed))
        for typed in self.sheet.kept.get(self.name, ()):
            _tell(self.words, f"Kept: {typed[:40]!r}. {super().check(typed)}")

    def check(self, text: str) -> str:
        """Say what an answer is worth, and keep what was answered in the job's folder."""
        if not self.sheet.student:
            return WAIT
        told = super().check(text)
        return told if told.startswith("That") else told + self.sheet.keep(self.name, text)


class Sheet:
    """A student's sheet: a place for the name, and tasks with numbers drawn from it.

    The teacher's key is made from the same seed. Answers are kept in `folder`, the reports of the
    job at hand if left out.
    """

    def __init__(self, seed: str = "", *, folder: Path | str | None = None) -> None:
        self.seed, self.folder, self.student = seed, folder, ""
        self.tasks: list[Drawn] = []
        self.kept: Mapping[str, Sequence[str]] = {}
        self.field = ipywidgets.Text(placeholder="your name or number", continuous_update=False)
        self.field.tooltip = "Your name or number"
        self.words = ipywidgets.HTML()
        self.field.observe(lambda change: self._hear(change["new"]), names="value")
        self.widget = panel(self.field, self.words, answers=[self.words])

    def ask(self, name: str) -> Drawn:
        """Give a task of this sheet, by its name."""
        self.tasks.append(Drawn(self, name))
        self.tasks[-1].draw()
        return self.tasks[-1]

    def _so_far(self) -> str:
        self.kept = {}
        try:
            folder = Path(self.folder) if self.folder else open_job().folder / "reports"
            lines = (folder / ANSWERS).read_text(encoding="utf-8").splitlines()
        except (OSError, LogbookError):
            return ""
        self.kept = typed_by(lines).get(self.student, {})
        done = marks(lines, self.seed).get(self.student, {})
        right = ", ".join(name.replace("_", " ") for name, at in done.items() if at)
        return (
            f" Right so far: {right or 'none'} ({sum(map(bool, done.values()))} of {len(TASKS)})."
        )

    def keep(self, name: str, typed: str) -> str:
        """Add an answer to the file of answers; says in words where that cannot be done."""
        line = json.dumps({"student": self.student, "task": name, "typed": typed.strip()})
        try:
            folder = Path(self.folder) if self.folder else open_job().room("reports")
            with (folder / ANSWERS).open("a", encoding="utf-8") as file:
                file.write(line + "\n")
        except (OSError, LogbookError) as error:
            return f" (Not kept: {error})"
        return ""

    def _hear(self, text: str) -> None:
        self.student, told = "", "These numbers are yours."
        try:
            self.student = named(text)
            told += self._so_far()
        except ValueError as error:
            told = f"{told} What was kept cannot be read: {error}." if self.student else f"{error}."
        _tell(self.words, told)
        for task in self.tasks:
            task.draw()

    def _repr_mimebundle_(self, **options: Any) -> Any:
        asked = "<p>Name or number: ______________</p>"
        return {**self.widget._repr_mimebundle_(**options), "text/html": asked}


def typed_by(lines: Iterable[str]) -> dict[str, dict[str, list[str]]]:
    """Sort kept answers: student to task to what was typed, first to last.

    Raises:
        ValueError: a line that no sheet has written; says which.
    """
    tries: dict[str, dict[str, list[str]]] = {}
    for count, line in enumerate(lines, 1):
        try:
            row = json.loads(line)
            student, task, typed = named(row["student"]), str(row["task"]), str(row["typed"])
            if task not in TASKS:
                raise KeyError(task)
            tries.setdefault(student, {}).setdefault(task, []).append(typed)
        except (ValueError, KeyError, TypeError, AttributeError) as error:
            raise ValueError(f"line {count} holds no answer of a sheet ({error})") from error
    return tries


def marks(lines: Iterable[str], seed: str = "") -> dict[str, dict[str, int]]:
    """Judge kept answers anew: student to task to the try that was right; 0 where none was yet.

    Raises:
        ValueError: a line that no sheet has written; says which.
    """
    found: dict[str, dict[str, int]] = {}
    for student, tasks in typed_by(lines).items():
        for task, texts in tasks.items():
            one = asked(task, student, seed)
            judge = Exercise(one.question, one.answer, one.unit)
            right = [at for at, text in enumerate(texts, 1) if "Right" in judge.check(text)[:7]]
            found.setdefault(student, {})[task] = right[0] if right else 0
    return found

"""The command `lessons`: a teacher's key to the tasks of a class, and the table of its marks."""

from __future__ import annotations

import argparse
from pathlib import Path

from slingwright.commands.log import Declined


def lesson_options(parser: argparse.ArgumentParser) -> None:
    """Add what `lessons` takes."""
    parser.add_argument("action", choices=("key", "marks"), help="what to make")
    parser.add_argument("--students", nargs="+", metavar="NAME", help="key: as each types it")
    told = "marks: files of answers; those of the job at hand if left out"
    parser.add_argument("--files", nargs="+", metavar="FILE", help=told)
    parser.add_argument("--seed", default="", help="of the class, as its page has it")
    parser.add_argument("--task", action="append", metavar="TASK", help="only this one; repeatable")


def run_lessons(options: argparse.Namespace) -> int:
    """Print the key or the marks.

    Raises:
        Declined: a task, a name or a file that is none.
    """
    from slingwright.pages.lessons.tasks import TASKS

    wanted = options.task or list(TASKS)
    if strange := [name for name in wanted if name not in TASKS]:
        raise Declined(f"--task {strange[0]}: no such task; take one of {', '.join(TASKS)}")
    (_key if options.action == "key" else _marks)(options, wanted)
    return 0


def _key(options: argparse.Namespace, wanted: list[str]) -> None:
    from slingwright.amounts.answer import Table
    from slingwright.amounts.text import Amount
    from slingwright.pages.lessons.tasks import asked

    if not options.students:
        raise Declined("lessons key: no student is named; give --students NAME NAME ...")
    try:
        rows = [
            (student, task, asked(task, student, options.seed))
            for student in options.students
            for task in wanted
        ]
    except ValueError as error:
        raise Declined(f"lessons key: {error}") from error
    lines = tuple((*who, Amount(one.answer, one.unit, 4), one.question) for *who, one in rows)
    print(Table(head=("student", "task", "answer", "question"), lines=lines))


def _marks(options: argparse.Namespace, wanted: list[str]) -> None:
    from slingwright.amounts.answer import Table
    from slingwright.logbook.job import open_job
    from slingwright.pages.lessons.exercise import ANSWERS, marks

    lines: list[str] = []
    for name in options.files or [open_job().folder / "reports" / ANSWERS]:
        try:
            lines += Path(name).read_text(encoding="utf-8").splitlines()
        except (OSError, UnicodeDecodeError) as error:
            raise Declined(f"{name}: no file of answers that can be read ({error})") from error
    try:
        found = marks(lines, options.seed)
    except ValueError as error:
        raise Declined(f"lessons marks: {error}") from error
    rows = []
    for student in sorted(found):
        tries = [found[student].get(task) for task in wanted]
        words = (
            "\N{EN DASH}" if one is None else f"try {one}" if one else "not yet" for one in tries
        )
        rows.append((student, f"{sum(map(bool, tries))} of {len(wanted)}", *words))
    print(Table(head=("student", "right", *wanted), lines=tuple(rows)))


COMMANDS = (
    ("lessons", "Make a teacher's key, or the table of marks.", lesson_options, run_lessons),
)
"""Name, help, options and what is run."""

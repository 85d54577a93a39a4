"""The command `lessons`: a teacher's key to the tasks of a class, and the table of its marks."""

from pathlib import Path

from slingwright.commands.typed import Options, Refusal, command, option


@command(
    "lessons",
    "Make a teacher's key, or the table of marks.",
    option("action", choices=("key", "marks"), help="what to make"),
    option("--students", nargs="+", metavar="NAME", help="key: as each types it"),
    option(
        "--files", nargs="+", metavar="FILE",
        help="marks: files of answers; those of the job at hand if left out",
    ),
    option("--seed", default="", help="of the class, as its page has it"),
    option("--task", action="append", metavar="TASK", help="only this one; repeatable"),
)  # fmt: skip
def run_lessons(options: Options) -> int:
    """Print the key or the marks.

    Raises:
        Refusal: a task, a name or a file that is none.
    """
    from slingwright.pages.lessons.tasks import TASKS

    wanted = options.task or list(TASKS)
    if strange := [name for name in wanted if name not in TASKS]:
        raise Refusal(f"--task {strange[0]}: no such task; take one of {', '.join(TASKS)}")
    (_key if options.action == "key" else _marks)(options, wanted)
    return 0


def _key(options: Options, wanted: list[str]) -> None:
    from slingwright.amounts.answer import Table
    from slingwright.amounts.text import Amount
    from slingwright.pages.lessons.tasks import asked

    if not options.students:
        raise Refusal("lessons key: no student is named; give --students NAME NAME ...")
    try:
        rows = [
            (student, task, asked(task, student, options.seed))
            for student in options.students
            for task in wanted
        ]
    except ValueError as error:
        raise Refusal(f"lessons key: {error}") from error
    lines = tuple((*who, Amount(one.answer, one.unit, 4), one.question) for *who, one in rows)
    print(Table(head=("student", "task", "answer", "question"), lines=lines))


def _marks(options: Options, wanted: list[str]) -> None:
    from slingwright.amounts.answer import Table
    from slingwright.logbook.job import open_job
    from slingwright.pages.lessons.exercise import ANSWERS, marks

    lines: list[str] = []
    for name in options.files or [open_job().folder / "reports" / ANSWERS]:
        try:
            lines += Path(name).read_text(encoding="utf-8").splitlines()
        except (OSError, UnicodeDecodeError) as error:
            raise Refusal(f"{name}: no file of answers that can be read ({error})") from error
    try:
        found = marks(lines, options.seed)
    except ValueError as error:
        raise Refusal(f"lessons marks: {error}") from error
    rows = []
    for student in sorted(found):
        tries = [found[student].get(task) for task in wanted]
        words = (
            "\N{EN DASH}" if one is None else f"try {one}" if one else "not yet" for one in tries
        )
        rows.append((student, f"{sum(map(bool, tries))} of {len(wanted)}", *words))
    print(Table(head=("student", "right", *wanted), lines=tuple(rows)))

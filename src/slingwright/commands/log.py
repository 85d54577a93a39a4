"""The commands on a build log: log, shots and fit, as the command line runs them.

Each takes the parsed options, prints its answer and returns 0; what cannot be done is raised as
`Refusal`, one sentence with the next step. What takes long to load is loaded when it is needed.
"""

from __future__ import annotations

import dataclasses
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from slingwright.amounts import units
from slingwright.commands import typed
from slingwright.commands.typed import Options, Refusal, command, many, option
from slingwright.logbook import Logbook, Record, entries
from slingwright.logbook.entries import RECORDS, Shot, Withdrawal
from slingwright.logbook.shots import shots_that_count
from slingwright.logbook.shown import export
from slingwright.machine.faults import MachineError
from slingwright.machine.file import read_machine
from slingwright.machine.table import dials

CHANGING = ("new", "add", "correct", "strike", "revise", "import", "merge")
ACTIONS = (*CHANGING, "list", "compare", "export", "verify")
FORMATS = ("markdown", "csv", "jsonl", "diary")


@command(
    "log",
    "Make a build log; add, correct, list, export, import or verify.",
    typed.LOG,
    option("action", choices=ACTIONS, help="what to do"),
    option(
        "kind", nargs="?", default="",
        help="add, list: kind of entry; correct, strike: its number; revise: the machine file; "
        "compare: entry of a revision, then of another, then the machine file for its brief; "
        "import: the file to make the log of; merge: the other copy, a log or an export",
    ),
    option(
        "fields", nargs="*", metavar="FIELD=VALUE",
        help='add, correct: such as reason="slipped late", or load=12 range=101.5',
    ),
    option("--author", default="", help="who says so"),
    option("--note", default="", help="anything more; strike: why"),
    option("--at", help="when, such as 2031-06-14T15:20 (now)"),
    option("--name", default="", help="new: name of the machine"),
    option("--format", choices=FORMATS, default="markdown", help="export: format"),
    option(
        "--take", choices=("", "ours", "theirs"), default="", help="merge: whose stands in a clash"
    ),
    option("--out", metavar="FILE", help="export: a new file to write"),
    typed.US,
)  # fmt: skip
def run_log(options: Options) -> int:
    """Make a log, add, list, correct or strike entries, export, import or verify it."""

    if options.action == "new":
        if not options.name.strip():
            raise Refusal("log new: the machine has no name; give --name NAME")
        Logbook.create(options.log, machine=options.name).close()
        print(f"{options.log}: a new log for {options.name}.")
        return 0
    if options.action == "import":
        return _import(options)
    done = {
        "add": _add, "correct": _mend, "strike": _mend, "revise": _revise, "list": _list,
        "merge": _merge, "compare": _compare, "verify": _verify, "export": _export,
    }[options.action]  # fmt: skip
    with Logbook.open(options.log, reading_only=options.action not in CHANGING) as log:
        return done(log, options)


def _add(log: Logbook, options: Options) -> int:
    record, said = record_of(options.kind, options.fields), {"author": options.author}
    entry = log.append(record, note=options.note, at=options.at, **said)
    print(f"entry {entry.number}: {entry.kind}, {entry.at}")
    return 0


def _import(options: Options) -> int:
    if not options.kind:
        raise Refusal("log import: no file is named; give one that `log LOG export` wrote")
    try:
        text = Path(options.kind).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise Refusal(f"log import: {options.kind} cannot be read ({error})") from None
    with export.from_json_lines(text, options.log) as log:
        print(f"{options.log}: {len(log)} entries of {log.machine} from {options.kind}.")
        return _verify(log, options)


def _merge(log: Logbook, options: Options) -> int:
    from slingwright.logbook.joining import join

    if not options.kind:
        raise Refusal("log merge: no other copy is named; give a log or its export")
    place = Path(options.kind)
    with tempfile.TemporaryDirectory() as folder:
        try:
            with place.open("rb") as file:
                exported = file.read(1) == b"{"
            text = place.read_text(encoding="utf-8") if exported else ""
        except (OSError, UnicodeDecodeError) as error:
            raise Refusal(f"log merge: {options.kind} cannot be read ({error})") from None
        copy = Path(folder) / "other.log"
        with (
            export.from_json_lines(text, copy)
            if exported
            else Logbook.open(place, reading_only=True)
        ) as other:
            print(join(log, other, take=options.take, author=options.author).sentence)
    return _verify(log, options)


def _verify(log: Logbook, options: Options) -> int:
    found = log.verify()
    for words, wrong in (
        ("", found.faults),
        ("photo is not there: ", found.photos_missing),
        ("photo was changed: ", found.photos_changed),
        ("photo that no entry names: ", found.photos_orphan),
    ):
        for one in wrong:
            print(f"{words}{one}")
    said = "every one whole and in its place" if found.whole else "not whole, as told above"
    print(f"{log.path}: {found.entries} entries, {said}.")
    return 0 if found.whole else 1


def _revise(log: Logbook, options: Options) -> int:
    from slingwright.pages.log.records import current_machine, save_revision

    if not options.note.strip():
        raise Refusal("log revise: no reason is given; give --note WHY")
    words = [options.kind, *options.fields]
    files = [word for word in words if word and "=" not in word]
    if len(files) != 1:
        raise Refusal("log revise: name the machine's file, then any DIAL=VALUE")
    base = read_machine(files[0])
    changes = {}
    for word in words:
        path, equals, value = word.partition("=")
        if equals:
            changes[path] = typed.dial_value(path, value)
    machine = current_machine(log, base).change(changes) if changes else base
    entry = save_revision(log, machine, note=options.note, author=options.author, at=options.at)
    print(f"entry {entry.number}: revision, {entry.at}")
    return 0


def _compare(log: Logbook, options: Options) -> int:
    from slingwright.pages.log.compared import compare_revisions

    words = [options.kind, *options.fields]
    try:
        first, second = (units.whole_number(word) for word in words[:2])
        base = read_machine(*words[2:]) if words[2:] else None
    except (units.UnitError, TypeError, ValueError) as error:
        if isinstance(error, MachineError):
            raise
        raise Refusal(
            f"log compare {' '.join(words)}: give the entries of two revisions, then the machine's "
            "file if its brief is to count; `log LOG list revision` shows them"
        ) from None
    print(compare_revisions(log, first, second, base).table(typed.system_of(options)))
    return 0


def _mend(log: Logbook, options: Options) -> int:
    try:
        number = units.whole_number(options.kind)
    except units.UnitError:
        raise Refusal(
            f"log {options.action}: {options.kind!r} is no entry number; give one that `log LOG "
            "list` shows"
        ) from None
    if options.action == "strike":
        if not options.note.strip():
            raise Refusal(f"log strike {number}: no reason is given; give --note WHY")
        log.withdraw(number, reason=options.note, author=options.author)
        print(f"entry {number} is struck: {options.note}")
        return 0
    if not options.fields:
        raise Refusal(f"log correct {number}: nothing to correct; give FIELD=VALUE")
    old = log.entry(number)
    record = record_of(old.kind, options.fields, entries.record_body(old.record))
    entry = log.correct(number, record, author=options.author, note=options.note, at=options.at)
    print(f"entry {entry.number} corrects entry {number}")
    return 0


def record_of(kind: str, fields: list[str], before: Mapping[str, Any] | None = None) -> Record:
    """Make an entry from words such as `load=12`; a dial's path sets it for a shot.

    Args:
        kind: kind of entry.
        fields: the words.
        before: fields of an entry that is corrected; an empty value takes one away.

    Raises:
        Refusal: a word without `=`, or a field that the kind does not have.
        LogbookError: a value that the kind refuses.
    """

    if kind not in RECORDS:
        raise Refusal(f"{kind!r}: no such kind of entry; there are {', '.join(RECORDS)}")
    known: dict[str, str] = {
        item.name: str(item.type)
        for item in dataclasses.fields(RECORDS[kind])  # type: ignore[arg-type]
    }
    body: dict[str, Any] = dict(before or {})
    settings: dict[str, Any] = dict(body.get("settings", {}))
    for word in fields:
        name, equals, text = word.partition("=")
        if not equals:
            raise Refusal(f"{word}: there is no value; write FIELD=VALUE")
        if "settings" in known and name in dials.BY_PATH:
            settings[name] = typed.dial_value(name, text)
        elif name not in known:
            near = dials.nearest(name, tuple(known))
            ask = f"did you mean {near}?" if near else f"there are {', '.join(known)}"
            raise Refusal(f"{name}: a {kind} has no such field; {ask}")
        elif known[name].startswith(("float", "int")):
            try:
                found = units.number(text) if text or before is None else None
            except units.UnitError as error:
                raise Refusal(f"{name}={text}: {error}") from None
            whole = known[name].startswith("int") and found is not None and found == int(found)
            body[name] = int(found) if whole and found is not None else found
        else:
            body[name] = text
    if settings:
        body["settings"] = settings
    record = entries.record_from_body(kind, body)
    return record.refuse_empty() if isinstance(record, Shot) else record


def _list(log: Logbook, options: Options) -> int:
    from slingwright.logbook.shown.escaping import for_terminal
    from slingwright.logbook.shown.telling import tell
    from slingwright.pages.log.records import show_value

    everything, kind = log.entries(), options.kind
    struck = {one.corrects: one.record for one in everything if one.kind == Withdrawal.kind}
    found = [one for one in entries.standing_or_struck(everything) if not kind or one.kind == kind]
    for entry in found:
        by = f", {entry.author}" if entry.author else ""
        gone = struck.get(entry.number)
        why = f"STRUCK ({gone.reason}): " if isinstance(gone, Withdrawal) else ""
        words = for_terminal(f"{why}{tell(entry, show_value).sentence}{by}")
        print(f"{entry.number:4d}  {entry.at[:16]}  {words}")
    if not found:
        print(f"{log.machine}: no entries{f' of kind {kind}' if kind else ''} yet.")
    return 0


def _export(log: Logbook, options: Options) -> int:
    from slingwright.logbook.shown.diary import diary_html
    from slingwright.pages.log.records import show_value

    text = {
        "markdown": lambda: export.to_markdown(log, show=show_value),
        "csv": lambda: export.to_csv(log),
        "jsonl": lambda: export.to_json_lines(log),
        "diary": lambda: diary_html(log, show=show_value),
    }[options.format]()
    if options.out is None:
        print(text, end="")
    else:
        print(f"{export.save_text(text, Path(options.out))}: written")
    return 0


@command("shots", "List the shots of a build log that count.", typed.LOG, typed.US)
def run_shots(options: Options) -> int:
    """List the shots that count."""

    system = typed.system_of(options)
    with Logbook.open(options.log, reading_only=True) as log:
        shots = shots_that_count(log)
    head = ("entry", "when", "load", "range", "drift", "in the air", "seen")
    lines: list[tuple[str, ...]] = [head]
    for entry, shot in shots:
        seen = zip(
            (shot.load, shot.range, shot.drift, shot.time_of_flight), ("kg", *"mms"), strict=True
        )
        told = ("-" if one is None else units.text(one, unit, system) for one, unit in seen)
        lines.append((str(entry.number), entry.at[:16], *told, shot.release_seen or "-"))
    print(typed.table_text(lines))
    return 0


@command(
    "fit",
    "Learn frictions, slip, stretch, drag and counterweight from a log's shots.",
    *(typed.FILE, typed.LOG),
    many(
        "--leave-out", type=typed.whole, metavar="ENTRY",
        help="entry number of a shot that does not count; may be repeated",
    ),
    *(typed.SEED, typed.US, typed.JSON),
)  # fmt: skip
def run_fit(options: Options) -> int:
    """Learn from the shots of a log; 1 where there is no forecast, or a video was not looked at."""
    from slingwright.pages.log.records import story_of

    machine = read_machine(options.file)
    with Logbook.open(options.log, reading_only=True) as log:
        story = story_of(log, machine)
    left = [f"shot {number}" for number in options.leave_out]
    unknown = [label for label in left if label not in {shot.label for shot in story.shots}]
    if unknown:
        raise Refusal(f"--leave-out: there is no {unknown[0]} that counts; see `shots`")
    learned = story.learn(leave_out=left, seed=options.seed)
    after = None if learned.disagreement else learned.next_shot()
    if options.json:

        def ends(found: Any, *names: str) -> dict[str, float] | None:
            return None if found is None else {name: getattr(found, name) for name in names}

        whole = ("value", "low", "high")
        typed.print_json(
            {
                "numbers": {n: ends(learned.interval(n), *whole) for n in learned.fit.names},
                "level": learned.level,
                "next_range_m": ends(after, *whole),
                "no_forecast_because": learned.disagreement,
                "scatter": learned.fit.noise,
                "drift_of_range": ends(learned.drift, "low", "high"),
                "videos_not_used": list(story.unread),
                "does_not_fit": [str(one) for one in (*learned.suspects, *learned.doubted)],
                "not_told": list(learned.fit.not_told),
            }
        )
        return 0 if after is not None and not story.unread else 1

    system = typed.system_of(options)
    print("\n".join([learned.account(system), *story.unread]))
    if after is None:
        print(f"No forecast of the next shot, for the reason above.\n{typed.CAUTION}")
        return 1
    span = " to ".join(units.text(float(f"{v:.4g}"), "m", system) for v in (after.low, after.high))
    print(f"The next shot as the machine stands: {span}.\n{typed.CAUTION}")
    return 1 if story.unread else 0

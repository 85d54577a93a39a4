"""The printed report of a machine: what it does, what holds, winding, where to stand, every dial.

All words and numbers reach the lay-out, a typst template or an HTML page, as data, so that nothing
a person typed is taken for mark-up.
"""

from __future__ import annotations

import contextlib
import json
import tempfile
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from slingwright.amounts import units
from slingwright.amounts.answer import Table
from slingwright.amounts.text import Amount, told
from slingwright.amounts.verdict import HOLDS
from slingwright.changing.proving import CAUTION as PROVING_CAUTION
from slingwright.changing.proving import LOOK, proving
from slingwright.logbook import Logbook, LogbookError
from slingwright.logbook.shown.telling import tell
from slingwright.machine.file import machine_text
from slingwright.machine.machine import Machine, shown
from slingwright.machine.table import dials
from slingwright.making.buying import buying_list
from slingwright.making.details import details, ground
from slingwright.making.pieces import cut_list
from slingwright.making.sheets import as_svg, drawing, sheet_scale, taken
from slingwright.making.views import View, views
from slingwright.motion.shown import drawings
from slingwright.motion.throwing import Throw, reach_curve, throw
from slingwright.pages.log.compared import compare_revisions
from slingwright.pages.log.records import FieldStory, show_value, story_of
from slingwright.pages.print.bodies import of_bodies
from slingwright.pages.print.front import as_in_file, identity
from slingwright.pages.print.holds import of_holding
from slingwright.pages.print.lines import likely, lines_svg
from slingwright.pages.print.sections import Section, svg
from slingwright.pages.print.web import page
from slingwright.standing.drift import NOTE as DRIFT_NOTE
from slingwright.standing.ground import CAUTIONS as ZONE_CAUTIONS
from slingwright.standing.places import winding_checks
from slingwright.standing.ready import Ready, ready
from slingwright.standing.zone import zone
from slingwright.strength.checks import CAUTIONS, NOT_MODELLED, holding
from slingwright.strength.clearance import clearance
from slingwright.strength.loads.brief import brief_loads
from slingwright.winch.cycle import winding
from slingwright.winch.hook import PROCEDURE
from slingwright.winch.readings import throw_table
from slingwright.winch.text import WINDING_CAUTION, winding_rows

TEMPLATE = Path(__file__).with_name("report.typ")
PAPER = {"metric": "a4", "US": "us-letter"}
FIGURE = (176.0, 220.0)  # mm, room for a drawing between the margins
TO_FILL_IN = (
    "Changes, limits, and what was not looked at", "Name",
    "Licence: kind, number, and where it holds", "Day and place", "Signature",
)  # fmt: skip
SIGNED = tuple((f"{label}\n", "\n" + "." * 60) for label in TO_FILL_IN)


class ReportError(ValueError):
    """The report cannot be printed here; the message says what is missing and what to do."""


def report_files(
    machine: Machine, *, day: str, system: units.System = "metric", log: Logbook | None = None,
    client: str = "", author: str = "", against: int | None = None,
) -> dict[str, bytes]:  # fmt: skip
    """Give the files that the report is set from: the template, its data and its pictures.

    Args:
        machine: what is reported on.
        day, client, author: the date that stands on it, whom it is for, and who made it.
        system: units that people read, metric or US.
        log: a build log, whose last revision it is held against and whose entries are listed.
        against: entry of the log with a revision that the machine is compared with.

    Raises:
        LogbookError: `against` is no revision of the log.
    """
    parts = list(_sections(machine, day, system, log, against))
    front = identity(machine, day=day, system=system, log=log, client=client, author=author)
    data = {
        "title": machine.name or "A machine without a name",
        "subtitle": f"Dossier of {day}, by calculation from the machine's file",
        "foot": f"{machine.name or 'machine'}, {day}. Aids to judgement, not approval.",
        "paper": PAPER[system], "front": list(front), "sections": [part.data() for part in parts],
        "cautions": [CAUTIONS, ZONE_CAUTIONS, WINDING_CAUTION],
    }  # fmt: skip
    pictures = {name: svg for part in parts for name, svg, _ in part.pictures}
    return {
        TEMPLATE.name: TEMPLATE.read_bytes(),
        "data.json": json.dumps(data, ensure_ascii=False).encode(),
        **pictures,
    }


def report_pdf(machine: Machine, **options: Any) -> bytes:
    """Give the report as a PDF; arguments as for `report_files`.

    Raises:
        ReportError: the package that sets the pages is not there.
    """
    return typeset(TEMPLATE.name, lambda: report_files(machine, **options))


def report_html(machine: Machine, **options: Any) -> bytes:
    """Give the report as one HTML file that needs no other; arguments as for `report_files`."""
    return page(report_files(machine, **options))


def typeset(template: str, files: Callable[[], dict[str, bytes]]) -> bytes:
    """Set a PDF from files, of which one is the template.

    Raises:
        ReportError: the package that sets the pages is not there.
    """
    try:
        import typst
    except ImportError:
        raise ReportError(
            "The report is set with the package typst, which is not installed. Install it with "
            "pip install typst and try again."
        ) from None
    with tempfile.TemporaryDirectory(prefix="slingwright-report-") as folder:
        for name, content in files().items():
            (Path(folder) / name).write_bytes(content)
        return typst.compile(Path(folder) / template, root=Path(folder), format="pdf")


def sheets_pdf(drawn: Iterable[Path], paper: tuple[float, float]) -> bytes:
    """Set drawings that are SVG files on a page each, of a size [mm], and pass over other files.

    Raises:
        ReportError: the package that sets the pages is not there.
    """
    files = {path.name: path.read_bytes() for path in drawn if path.suffix == ".svg"}
    size = f"width: {paper[0]}mm, height: {paper[1]}mm, margin: 0mm"
    pages = "\n".join(f'#page({size}, image("{name}", alt: "{name}"))' for name in files)
    return typeset("sheets.typ", lambda: {"sheets.typ": pages.encode(), **files})


def save_report(
    machine: Machine, path: Path | str, *, log: Path | str | None = None,
    make: Callable[..., bytes] | None = None, **options: Any,
) -> Path:  # fmt: skip
    """Write the report to a new file, whole or not at all, and never over another.

    Args:
        machine: what is reported on.
        path: where it goes; a name that ends with .html asks for HTML, any other for a PDF.
        log: file of a build log.
        make: what gives the file of a machine with these options, where it is not the report.
        options: the rest as for `report_files`.

    Raises:
        ReportError: there is a file of that name, the folder refuses, the log does not open or has
            no such revision, or the package that sets the pages is not there.
    """
    place = Path(path)
    if place.exists():
        raise ReportError(
            f"{place}: there is a file of that name already, and it was left as it is. "
            "Choose another name."
        )
    try:
        with contextlib.ExitStack() as stack:
            if log is not None:
                options["log"] = stack.enter_context(Logbook.open(log, reading_only=True))
            as_html = place.suffix.lower() in (".html", ".htm")
            made = (make or (report_html if as_html else report_pdf))(machine, **options)
    except LogbookError as error:
        raise ReportError(str(error)) from error
    try:
        with place.open("xb") as file:
            try:
                file.write(made)
                file.flush()
            except BaseException:
                place.unlink(missing_ok=True)
                raise
    except OSError as error:
        raise ReportError(
            f"{place}: the report could not be written ({error.strerror}). Choose another folder."
        ) from error
    return place


def _sections(
    machine: Machine, day: str, system: units.System, log: Logbook | None, against: int | None
) -> Iterable[Section]:
    story = None if log is None else story_of(log, machine)
    done, found, gaps = throw(machine), holding(machine), clearance(machine)
    yield _of_all(ready(machine, found=found, gaps=gaps), system)
    if log is not None and against is not None:
        yield _of_compared(machine, system, log, against)
    yield _of_brief(machine, system)
    yield _of_machine(machine, day, system)
    yield _of_throw(machine, done, system)
    yield from of_holding(found, gaps, system)
    yield of_bodies(found, system)
    yield _of_winding(machine, done, system)
    yield _of_zone(machine, day, system, story)
    yield _of_proving(machine, system, story)
    yield Section(title="A shot, step by step", ticks=[_line(step) for step in PROCEDURE])
    if log is not None:
        yield _of_log(log)
    yield _of_pieces(machine, system)
    yield _of_dials(machine, system)
    yield Section(
        title="The machine's file",
        words=[
            "All that was given, as a file that reads back: with it the kit makes every number of "
            "this dossier again."
        ],
        listing=machine_text(machine),
    )
    yield Section(title="What is not modelled", words=["; ".join(NOT_MODELLED).capitalize() + "."])
    yield Section(
        title="For a licensed person",
        apart=True,
        words=[
            "Nothing in this dossier is approved unless it is signed here, by someone who may do "
            "so where the machine stands, for what is named here and nothing else."
        ],
        ticks=[
            "Looked at, and sound as drawn and worked out here",
            "Sound with the changes named below",
            "Not to be built, or not to be loosed",
        ],
        sheets=[Table(head=("to be filled in", ""), lines=SIGNED)],
    )


def _line(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."


def _of_brief(machine: Machine, system: units.System) -> Section:
    lines = tuple(
        (load.name, Amount(load.mass, "kg"), Amount(load.diameter, "m"), drag)
        for load in brief_loads(machine)
        for drag in ["as the machine's" if load.drag is None else f"{load.drag:g}"]
    )
    words = [
        f"{row.label}: {shown(row, machine[row.path], system)}."
        for row in map(dials.dial, ("site.limit", "crew.loosings", "winch.people"))
    ]
    head = ("projectile", "mass", "diameter", "drag coefficient")
    table = Table(head=head, lines=lines, system=system)
    return Section(title="The brief", words=words, sheets=[table])


def _of_all(asked: Ready, system: units.System) -> Section:
    lines = tuple((row.label, row.value, row.note) for row in asked.rows())
    return Section(
        title="What fails, and what is not known",
        words=[told(asked.sentence, system)],
        sheets=[Table(head=("what", "verdict", "why"), lines=lines, system=system)],
    )


def _of_compared(machine: Machine, system: units.System, log: Logbook, against: int) -> Section:
    table = compare_revisions(log, against, None, machine).table(system)
    words = told(table.caption, system).split("\n")
    return Section(title="Compared with an earlier revision", words=words, sheets=[table])


def _of_machine(machine: Machine, day: str, system: units.System) -> Section:
    notes = " ".join(machine.notes.split())
    return Section(
        title="The machine",
        words=[f"Notes in its file, as somebody wrote them: {notes}"] if notes else [],
        pictures=_drawn(machine, {**views(machine), **details(machine)}, day, system),
    )


def _drawn(
    machine: Machine, found: Mapping[str, View], day: str, system: units.System
) -> list[tuple[str, bytes, str]]:
    pictures = []
    for name, view in found.items():
        scale = sheet_scale(view, FIGURE)
        document = drawing(machine, view, day=day, scale=scale, system=system)
        drawn = as_svg(document, scale, (FIGURE[0], taken(view, scale)[1]))
        pictures.append((f"{name}_view.svg", drawn.encode(), f"{view.title}."))
    return pictures


def _of_pieces(machine: Machine, system: units.System) -> Section:
    tables = [cut_list(machine).table(system), buying_list(machine).table(system)]
    words = [told(table.caption, system) for table in tables]
    return Section(title="What is cut and bought", words=words, sheets=tables)


def _of_throw(machine: Machine, done: Throw, system: units.System) -> Section:
    table = throw_table(machine, done, system)
    pictures = []
    if done.outcome == "released":
        sheet = drawings.draw_throw(machine, done, reach_curve(machine), system)
        words = "The throw: path to scale, range against release angle, axle load, energy."
        pictures.append(("throw.svg", svg(sheet), words))
    lines = tuple((row.label, row.text(system), row.note) for row in table.rows)
    return Section(
        title="The throw",
        words=[table.sentence, *(told(note, system) for note in done.notes)],
        pictures=pictures,
        sheets=[Table(head=("answer", "value", ""), lines=lines)],
    )


def _of_winding(machine: Machine, done: Throw, system: units.System) -> Section:
    title = "Winding it down"
    try:
        wound = winding(machine)
    except ValueError as error:
        return Section(title=title, words=[f"This winch cannot wind this machine: {error}"])
    lines = tuple(
        (check.name, check.verdict, *check.sides, "" if check.verdict == HOLDS else check.advice)
        for check in winding_checks(machine, wound, done)
    )
    head = ("check", "verdict", "demand", "capacity", "what to do")
    gear = wound.reeving
    return Section(
        title=title,
        words=[told(wound.outcome, system), told(gear.sentence, system)],
        pictures=[
            (
                f"rigging_{view}.svg",
                svg(gear.plot(view=view, system=system)),
                f"Rigging from {where}, where the tackle pulls most, with its loads.",
            )
            for view, where in (("side", "the side"), ("plan", "above"))
        ],
        sheets=[
            Table(head=("what", "how much"), lines=tuple(winding_rows(wound, system))),
            replace(gear.table(system), head=("piece of the rigging", "takes at most", "where")),
            Table(head=head, lines=lines, system=system),
        ],
    )


def _of_zone(machine: Machine, day: str, system: units.System, story: FieldStory | None) -> Section:
    title = "Where to stand"
    try:
        found = zone(machine)
    except ValueError as error:
        return Section(title=title, words=[str(error)])
    chance = likely(machine, None if story is None else story.agreed())
    table = chance.contours(system)
    apart = "Ground to keep clear, and apart: bound by energy, simulated, assumed, and by chance."
    return Section(
        title=title,
        words=[
            found.sentence.told(system),
            "How far each projectile can fly if it leaves the sling at any moment, from under the "
            "axle.",
            *([star] if (star := found.star_words) else ()),
            *(words.told(system) for words in found.places),
            "Named apart below: the projectiles, what else may fly, drift to the side, and chance. "
            f"{found.pieces_rule} {DRIFT_NOTE}. {told(table.caption, system)}.",
        ],
        pictures=[
            *_drawn(machine, ground(machine), day, system),
            ("lines.svg", lines_svg(found, chance, system), apart),
        ],
        sheets=[found.loads(system), *found.beside_loads(system), table],
    )


def _of_proving(machine: Machine, system: units.System, story: FieldStory | None) -> Section:
    seen = () if story is None else (story.shots, story.noted)
    found = proving(machine, *seen, look=False)
    return Section(
        title="How it is proved, from a light counterweight to the full one",
        words=[PROVING_CAUTION, f"After each step look at: {LOOK}."],
        ticks=[f"{told(step.name, system)}: {told(step.do, system)}" for step in found.steps],
        sheets=[replace(found.sheet(), system=system)],
    )


def _of_log(log: Logbook) -> Section:
    lines = tuple(
        (f"{entry.number}", entry.at[:10], entry.author, tell(entry, show_value).sentence)
        for entry in log.current()
    )
    table = Table(head=("no", "day", "by", "entry"), lines=lines)
    return Section(title="Build log", words=[] if lines else ["No entries yet."], sheets=[table])


def _of_dials(machine: Machine, system: units.System) -> Section:
    base, m = as_in_file(machine), machine
    lines = tuple(
        (row.label, row.path, shown(row, m[row.path], system), m.origin(row.path, base, system))
        for row in dials.TABLE
    )
    words = "Given: set in the file. Derived: follows from others, as told. Default: the kit's."
    table = Table(head=("dial", "path", "value", "from"), lines=lines)
    return Section(title="Every dial", words=[words], sheets=[table])

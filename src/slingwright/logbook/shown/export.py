"""The log written out: JSON lines that come back whole, Markdown to read, CSV for a table."""

import csv
import io
import json
import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from slingwright.amounts.cells import for_csv
from slingwright.logbook.entries import RECORDS, Entry, Photo, Revision, followed, record_body
from slingwright.logbook.faults import LogbookError, explain_storage_error
from slingwright.logbook.lines import canonical
from slingwright.logbook.photos import bring_photos, photo_folder
from slingwright.logbook.shown.escaping import for_markdown
from slingwright.logbook.shown.telling import Show, plain_value, tell
from slingwright.logbook.store import Logbook

FORMAT = "slingwright build log, JSON lines, version 1"


def to_json_lines(log: Logbook) -> str:
    """Return the whole log as JSON lines: a head line, then a line an entry with its digest.

    The head tells how many entries follow and the digest of the last, so that an export that was
    cut is noticed. The text is the same whenever the log is the same. Photos are named in it, not
    contained.
    """
    lines = log.lines()
    last = lines[-1][1] if lines else ""
    head = canonical(
        {"format": FORMAT, "machine": log.machine, "entries": len(lines), "last": last}
    )
    rows = [f'{{"digest":"{digest}","entry":{line}}}' for line, digest in lines]
    return "\n".join([head, *rows]) + "\n"


def from_json_lines(
    text: str,
    path: str | os.PathLike[str],
    *,
    photos_from: str | os.PathLike[str] | None = None,
) -> Logbook:
    """Make a new log from JSON lines and open it; it exports to the same text again.

    Arguments:
        text: what to_json_lines returned.
        path: the new log; a file that is there already is never touched.
        photos_from: folder with the photos of the other log; they are copied in, checked by hash.

    Raises LogbookError, and leaves no log behind, where a line is missing, altered or unknown.
    """
    place = Path(path)
    machine, lines = lines_of(text)
    log = Logbook.create(place, machine=machine)
    try:
        log.add_lines(lines)
        if photos_from is not None:
            bring_photos(log.path, log.entries(Photo.kind), Path(photos_from))
    except BaseException:
        log.close()
        place.unlink(missing_ok=True)
        raise
    return log


def lines_of(text: str) -> tuple[str, list[tuple[str, str]]]:
    """Return the machine's name of JSON lines, and the line and digest of each entry.

    Raises LogbookError where the export is cut or is none.
    """
    rows = text.split("\n")
    head = _head_of(rows[0] if rows else "")
    lines = [_pair(number, row) for number, row in enumerate(rows[1:], start=1) if row.strip()]
    _refuse_cut(head, lines)
    return str(head["machine"]), lines


def _refuse_cut(head: Mapping[str, Any], lines: Sequence[tuple[str, str]]) -> None:
    """Refuse an export of fewer or other entries than its head tells; an old head tells nothing."""
    told = head.get("entries", len(lines))
    last = lines[-1][1] if lines else ""
    if told != len(lines) or head.get("last", last) != last:
        raise LogbookError(
            f"the export names {told} entries and holds {len(lines)}: it was cut or changed. "
            "Nothing was imported. Take a whole export."
        )


def _head_of(row: str) -> Mapping[str, Any]:
    try:
        head = json.loads(row)
        if head["format"] != FORMAT:
            raise LogbookError(
                f"the export is of format {head['format']!r}, and this program reads {FORMAT!r}. "
                "Nothing was imported. Install the version of slingwright that wrote it."
            )
        return {**head, "machine": str(head["machine"])}
    except (ValueError, TypeError, KeyError) as error:
        raise LogbookError(
            "the first line is not the head of a build log export. Nothing was imported. "
            "Choose the file that the JSON lines export wrote."
        ) from error


def _pair(number: int, row: str) -> tuple[str, str]:
    try:
        held = json.loads(row)
        return canonical(held["entry"]), str(held["digest"])
    except (ValueError, TypeError, KeyError) as error:
        raise LogbookError(
            f"line {number} of the import is cut off or is no entry. Nothing was imported. "
            "Take a whole export."
        ) from error


def to_markdown(log: Logbook, *, show: Show = plain_value) -> str:
    """Return the whole log as Markdown, a section an entry, in the order of writing.

    Arguments:
        log: the log.
        show: turns a dial path and its SI value into words.
    """
    everything = log.entries()
    after = followed(everything)
    parts = [f"# Build log of {for_markdown(log.machine)}", f"{len(everything)} entries."]
    for entry in everything:
        parts.extend(_markdown_entry(log, entry, after.get(entry.number), show))
    return "\n\n".join(parts) + "\n"


def _markdown_entry(log: Logbook, entry: Entry, after: str | None, show: Show) -> list[str]:
    told = tell(entry, show)
    by = f", {for_markdown(entry.author)}" if entry.author.strip() else ""
    parts = [f"## {entry.number}. {entry.kind}, {for_markdown(entry.at)}{by}"]
    if entry.corrects is not None:
        parts.append(f"Corrects entry {entry.corrects}.")
    if after is not None:
        parts.append(f"{after.capitalize()}.")
    parts.append(for_markdown(told.sentence))
    if isinstance(entry.record, Photo):
        # folder and file name: the folder is ours and the file is named by its hash
        folder = for_markdown(photo_folder(log.path).name)
        parts.append(f"File: {folder}/{entry.record.file_name}")
    if entry.note.strip():
        parts.append(for_markdown(entry.note))
    if told.changes:
        parts.append(_markdown_table(("dial", "before", "after"), told.changes))
    if told.numbers:
        title = "calculated" if isinstance(entry.record, Revision) else "setting"
        parts.append(_markdown_table((title, "value"), told.numbers))
    return parts


def _markdown_table(head: tuple[str, ...], rows: tuple[tuple[str, ...], ...]) -> str:
    lines = [head, tuple("---" for _ in head)]
    lines.extend(tuple(for_markdown(cell) for cell in row) for row in rows)
    return "\n".join("| " + " | ".join(line) + " |" for line in lines)


def to_csv(log: Logbook, kind: str = "") -> str:
    """Return the log as a table, a row an entry, as RFC 4180 has it.

    Arguments:
        log: the log.
        kind: a kind of entry, for a table with a column for each of its fields; without one, a
            table of all entries with what each says in one column.

    Raises LogbookError for a kind there is not.

    Source: RFC 4180, Common Format and MIME Type for CSV Files, IETF 2005.
    """
    if kind and kind not in RECORDS:
        raise LogbookError(f"{kind!r} is not a kind of entry; the kinds are {', '.join(RECORDS)}.")
    everything = log.entries()
    corrected = {entry.corrects: entry.number for entry in everything if entry.corrects is not None}
    chosen = [entry for entry in everything if not kind or entry.kind == kind]
    rows: list[dict[str, object]] = []
    for entry in chosen:
        row: dict[str, object] = {
            "number": entry.number,
            "kind": entry.kind,
            "at": entry.at,
            "written": entry.written,
            "author": entry.author,
            "corrects": entry.corrects,
            "corrected_by": corrected.get(entry.number),
        }
        row.update(_fields(entry) if kind else {"says": tell(entry).sentence})
        row["note"] = entry.note
        rows.append(row)
    names: dict[str, None] = {}
    for row in rows:
        names.update(dict.fromkeys(row))
    output = io.StringIO()
    writer = csv.writer(output, lineterminator="\r\n")
    writer.writerow([for_csv(name) for name in names] or ["number"])
    for row in rows:
        writer.writerow([for_csv(row.get(name)) for name in names])
    return output.getvalue()


def _fields(entry: Entry) -> dict[str, object]:
    row: dict[str, object] = {}
    for name, value in record_body(entry.record).items():
        if isinstance(value, Mapping):
            for path, cell in value.items():
                if isinstance(cell, list):
                    row[f"{name} {path} before"], row[f"{name} {path} after"] = cell
                else:
                    row[f"{name} {path}"] = cell
        elif isinstance(value, list):
            row[name] = " ".join(repr(item) for item in value)
        else:
            row[name] = value
    return row


def save_text(text: str, path: str | os.PathLike[str]) -> Path:
    """Write an export to a new file, whole or not at all, and never over another.

    Arguments:
        text: what an export returned.
        path: where it goes.

    Raises LogbookError where a file is there already or the folder refuses.
    """
    place = Path(path)
    try:
        with place.open("x", encoding="utf-8", newline="") as file:
            try:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            except BaseException:
                place.unlink(missing_ok=True)
                raise
    except FileExistsError:
        raise LogbookError(
            f"{place.name}: there is a file of that name already, and it was left as it is. "
            "Choose another name."
        ) from None
    except OSError as error:
        raise explain_storage_error(error, place, "writing the export") from error
    return place

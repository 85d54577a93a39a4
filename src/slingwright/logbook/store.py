"""The build log itself: entries go in at the end, come out in order, and are never altered."""

from __future__ import annotations

import contextlib
import os
import random
import sqlite3
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, TypeVar

from slingwright.logbook.entries import (
    Entry,
    Measurement,
    Photo,
    Record,
    Revision,
    Withdrawal,
    difference,
    standing,
)
from slingwright.logbook.faults import LogbookError, damaged, explain_storage_error
from slingwright.logbook.lines import FIRST_DIGEST, digest_of, entry_from_line, entry_line
from slingwright.logbook.opening import PATIENCE, make_file, open_file
from slingwright.logbook.photos import keep_photo, photo_files, photo_state, read_picture
from slingwright.logbook.validation import LONGEST_NAME, Setting, checked_moment, checked_text
from slingwright.machine.table import derived, dials

Kind = TypeVar("Kind", bound=Record)
Result = TypeVar("Result")


@dataclass(frozen=True, slots=True, kw_only=True)
class Findings:
    """What a full look through a log found."""

    entries: int
    faults: tuple[str, ...]
    photos_missing: tuple[str, ...]
    photos_changed: tuple[str, ...]
    photos_orphan: tuple[str, ...] = ()  # files that no entry names: nothing is lost by them

    @property
    def whole(self) -> bool:
        """Whether nothing at all is wrong."""
        return not (self.faults or self.photos_missing or self.photos_changed)


class Logbook:
    """One open log. Make it with `create` or `open`; it is also a context manager.

    Several may be open on one file at once, in one program or many: every write takes its turn.
    """

    def __init__(self, path: Path, connection: sqlite3.Connection, *, reading_only: bool) -> None:
        self._connection = connection
        self.path = path
        self.reading_only = reading_only
        self._seen = _identity(path)

    @classmethod
    def create(cls, path: str | os.PathLike[str], *, machine: str) -> Logbook:
        """Make a new log for a machine and open it.

        Arguments:
            path: the file; a file that is there already is never touched.
            machine: name of the machine, as it stands over the diary.

        Raises LogbookError where it cannot be made.
        """
        place = Path(path)
        make_file(place, checked_text("machine", machine, required=True, longest=LONGEST_NAME))
        return cls.open(place)

    @classmethod
    def open(cls, path: str | os.PathLike[str], *, reading_only: bool = False) -> Logbook:
        """Open a log that is there.

        Arguments:
            path: the file.
            reading_only: open it so that nothing can be written.

        Raises LogbookError where it is missing, no log, damaged, cut off or of a newer version.
        """
        place = Path(path)
        connection = open_file(place, reading_only=reading_only)
        try:
            return cls(place, connection, reading_only=reading_only)
        except BaseException:
            connection.close()
            raise

    def close(self) -> None:
        """Close the file; the log cannot be used after that."""
        self._connection.close()

    def __enter__(self) -> Logbook:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    @property
    def machine(self) -> str:
        """Name of the machine this log belongs to."""
        return str(self._read("SELECT name FROM machine")[0][0])

    def append(
        self,
        record: Record,
        *,
        author: str = "",
        note: str = "",
        at: str | datetime | None = None,
        once: str = "",
    ) -> Entry:
        """Write one entry; when this returns, it is on the disk.

        Arguments:
            record: what happened.
            author: who says so.
            note: anything more, in plain text.
            at: when it happened, if not now.
            once: a name that the sender gave it. What comes again under a name is not written a
                second time: the entry of the first is given.

        Raises LogbookError where it could not be written; then nothing of it was.
        """
        return self.append_all([record], author=author, note=note, at=at, once=once)[0]

    def append_all(
        self,
        records: Sequence[Record],
        *,
        author: str = "",
        note: str = "",
        at: str | datetime | None = None,
        once: str = "",
    ) -> list[Entry]:
        """Write several entries, all of them or none; see `append`."""
        if any(isinstance(record, Withdrawal) for record in records):
            raise LogbookError(
                "withdrawal: it must say which entry it takes back. Use Logbook.withdraw."
            )
        return self._add(records, author=author, note=note, at=at, corrects=None, once=once)

    def correct(
        self,
        number: int,
        record: Record,
        *,
        author: str = "",
        note: str = "",
        at: str | datetime | None = None,
        once: str = "",
    ) -> Entry:
        """Write an entry that stands in place of an earlier one, which stays to be read.

        Arguments:
            number: the entry to correct.
            record: what it should have said, of the same kind.
            author: who corrects it.
            note: why.
            at: when it happened; the earlier entry's moment if left out.
            once: as in `append`.

        Raises LogbookError where that entry is missing, corrected before, or of another kind.
        """
        return self._add([record], author=author, note=note, at=at, corrects=number, once=once)[0]

    def withdraw(self, number: int, *, reason: str, author: str = "", once: str = "") -> Entry:
        """Take an entry back, for a reason; it stays to be read but no longer counts."""
        return self._add(
            [Withdrawal(reason=reason)], author=author, note="", at=None, corrects=number, once=once
        )[0]

    def save_revision(
        self,
        values: Mapping[str, Setting],
        *,
        note: str,
        author: str = "",
        calculated: Mapping[str, Setting] | None = None,
        at: str | datetime | None = None,
    ) -> Entry:
        """Write the machine's dials as a revision, with what changed since the last one.

        Arguments:
            values: every dial path and its value in SI units.
            note: why it was changed; it must say something.
            author: who changed it.
            calculated: numbers calculated for these dials, name to value.
            at: when, if not now.

        The difference is taken while the log is held, so that two people saving at once each get
        the difference to what the other left.
        """
        checked_text("revision: note", note, required=True)
        return self.append(
            Revision(values=values, calculated=calculated or {}), author=author, note=note, at=at
        )

    def add_photo(
        self,
        source: str | os.PathLike[str] | bytes,
        *,
        name: str = "",
        caption: str = "",
        author: str = "",
        note: str = "",
        at: str | datetime | None = None,
        once: str = "",
    ) -> Entry:
        """Copy a picture in beside the log and write an entry that points to the copy.

        Arguments:
            source: the picture's file, or its bytes.
            name: what to call it; the file's own name if left out.
            caption: what it shows.
            author, note, at, once: as in `append`.

        Raises LogbookError where it is no picture, or it cannot be read or copied.
        """
        self._refuse_if_reading_only("adding a photo")
        if isinstance(source, bytes):
            content, called = source, name or "photo"
        else:
            content, called = read_picture(Path(source)), name or os.path.basename(source)
        checked_text("photo: name", called)
        photo = keep_photo(self.path, content, name=called, caption=caption)
        return self.append(photo, author=author, note=note, at=at, once=once)

    def sent_as(self, once: str) -> int | None:
        """Return the number of the entry that came under a name, None where none did."""
        rows = self._read("SELECT number FROM sent WHERE once = ?", (once,))
        return int(rows[0][0]) if rows else None

    def entries(self, kind: str = "") -> list[Entry]:
        """Return every entry in order, those corrected and withdrawn too; of one kind if named."""
        return self._entries(*((kind,) if kind else ()))

    def entry(self, number: int) -> Entry:
        """Return one entry by its number; raises LogbookError where there is none."""
        rows = self._read("SELECT number, line, digest FROM entries WHERE number = ?", (number,))
        if not rows:
            raise LogbookError(
                f"{self.path.name}: there is no entry {number}; the last is {len(self)}. "
                "Look at the number."
            )
        return self._entry(*rows[0])[0]

    def current(self, kind: str = "") -> list[Entry]:
        """Return the entries that count now, in the order of the entries they stand for.

        A corrected entry is left out and its correction stands at its place; a withdrawn one is
        left out altogether.
        """
        return standing(self._entries(*((kind, Withdrawal.kind) if kind else ())))

    def _entries(self, *kinds: str) -> list[Entry]:
        where = f" WHERE kind IN ({', '.join('?' * len(kinds))})" if kinds else ""
        rows = self._read(f"SELECT number, line, digest FROM entries{where} ORDER BY number", kinds)
        return [self._entry(*row)[0] for row in rows]

    def of_kind(self, kind: type[Kind]) -> list[tuple[Entry, Kind]]:
        """Return the entries of one kind that count now, as `current` does, with their records."""
        found = self.current(kind.kind)
        return [(entry, entry.record) for entry in found if isinstance(entry.record, kind)]

    def latest_revision(self) -> Entry | None:
        """Return the revision that the machine stands at, by its date; None before the first."""
        last = _latest(self.of_kind(Revision))
        return last[0] if last else None

    def latest_measurement(self, path: str) -> Measurement | None:
        """Return the last measurement of a dial by its date, None where it was never measured."""
        last = _latest([one for one in self.of_kind(Measurement) if one[1].path == path])
        return last[1] if last else None

    def lines(self) -> list[tuple[str, str]]:
        """Return the line and the digest of every entry, each of them checked."""
        rows = self._read("SELECT number, line, digest FROM entries ORDER BY number")
        before = FIRST_DIGEST
        for number, line, digest in rows:
            if self._entry(number, line, digest)[1] != before:
                raise damaged(self.path, f"entry {number} does not follow the one before it")
            before = digest
        return [(line, digest) for _, line, digest in rows]

    def verify(self) -> Findings:
        """Look through the whole file, every line, the chain of digests and every photo."""
        faults: list[str] = []
        missing: list[str] = []
        changed: list[str] = []
        named: set[str] = set()
        for (found,) in self._read("PRAGMA integrity_check"):
            if found != "ok":
                faults.append(" ".join(str(found).split()))
        rows = self._read("SELECT number, line, digest FROM entries ORDER BY number")
        before = FIRST_DIGEST
        for place, (number, line, digest) in enumerate(rows, start=1):
            if number != place:
                faults.append(f"entry {place} is missing")
            try:
                entry, earlier = self._entry(number, line, digest)
            except LogbookError as error:
                faults.append(str(error))
            else:
                if earlier != before:
                    faults.append(f"entry {number} does not follow the one before it")
                if isinstance(entry.record, Photo):
                    state = photo_state(self.path, entry.record)
                    named.add(entry.record.file_name)
                    shown = f"entry {number}: {entry.record.name} ({entry.record.file_name})"
                    if state == "missing":
                        missing.append(shown)
                    elif state == "changed":
                        changed.append(shown)
            before = digest
        return Findings(
            entries=len(rows),
            faults=tuple(faults),
            photos_missing=tuple(missing),
            photos_changed=tuple(changed),
            photos_orphan=tuple(sorted(photo_files(self.path) - named)),
        )

    def add_lines(self, lines: Sequence[tuple[str, str]]) -> int:
        """Write lines of another log, with their digests, into this one while it is empty.

        Returns how many. Raises LogbookError, and writes none, where this log has entries already
        or a line is not whole or not in order.
        """

        def work() -> int:
            if len(self):
                raise LogbookError(
                    f"{self.path.name}: it holds {len(self)} entries, and only an empty log takes "
                    "in another one's lines. Make a new log and import into that."
                )
            before = FIRST_DIGEST
            for place, (line, digest) in enumerate(lines, start=1):
                try:
                    entry, earlier = entry_from_line(line, digest)
                except LogbookError as error:
                    raise LogbookError(
                        f"line {place} of the import: {error}. Nothing was imported. "
                        "Take an export that was not edited."
                    ) from error
                if entry.number != place or earlier != before:
                    raise LogbookError(
                        f"line {place} of the import does not follow the line before it: lines "
                        "are missing or out of order. Nothing was imported. Take a whole export."
                    )
                self.insert(line)
                before = digest
            return len(lines)

        return self.write_together(work, "importing")

    def __len__(self) -> int:
        return int(self._read("SELECT count(*) FROM entries")[0][0])

    def __iter__(self) -> Iterator[Entry]:
        return iter(self.entries())

    def _add(
        self,
        records: Sequence[Record],
        *,
        author: str,
        note: str,
        at: str | datetime | None,
        corrects: int | None,
        once: str,
    ) -> list[Entry]:
        checked_text("author", author, longest=LONGEST_NAME)
        checked_text("once", once, longest=LONGEST_NAME)
        checked_text("note", note)
        moment = None if at is None else checked_moment("at", at)

        def work() -> list[Entry]:
            came = self.sent_as(once) if once else None
            if came is not None:
                return [self.entry(came)]
            now = checked_moment("now", datetime.now(UTC))
            number, before = self.end()
            when = moment or now
            if corrects is not None:
                earlier = self._may_be_corrected(corrects, records[0])
                when = moment or (now if isinstance(records[0], Withdrawal) else earlier.at)
            added: list[Entry] = []
            for record in records:
                number += 1
                if isinstance(record, Revision):
                    record = self._compared(record, corrects, when)
                entry = Entry(
                    number=number,
                    kind=record.kind,
                    at=when,
                    written=now,
                    author=author,
                    note=note,
                    corrects=corrects,
                    record=record,
                    digest="",
                )
                added.append(self.insert(entry_line(entry, before)))
                before = added[-1].digest
            if once and added:
                self.mark_sent(once, added[0].number)
            return added

        return self.write_together(work, "writing an entry")

    def insert(self, line: str) -> Entry:
        """Put the line of an entry in at the end, within `write_together`."""
        entry, _ = entry_from_line(line, digest_of(line))
        self._connection.execute(
            "INSERT INTO entries (number, kind, corrects, line, digest) VALUES (?, ?, ?, ?, ?)",
            (entry.number, entry.kind, entry.corrects, line, entry.digest),
        )
        return entry

    def end(self) -> tuple[int, str]:
        """Give number and digest of the last entry; 0 before the first."""
        rows = self._connection.execute(
            "SELECT number, line, digest FROM entries ORDER BY number DESC LIMIT 1"
        ).fetchall()
        if not rows:
            return 0, FIRST_DIGEST
        self._entry(*rows[0])  # never write on after a line that is not whole
        return int(rows[0][0]), str(rows[0][2])

    def sent_names(self) -> list[tuple[str, int]]:
        """Give the names that senders gave entries, and the entries' numbers."""
        return [(str(once), int(n)) for once, n in self._read("SELECT once, number FROM sent")]

    def mark_sent(self, once: str, number: int) -> None:
        """Keep a sender's name of an entry."""
        self._connection.execute("INSERT INTO sent (once, number) VALUES (?, ?)", (once, number))

    def _may_be_corrected(self, number: int, record: Record) -> Entry:
        earlier = self.entry(number)
        rows = self._connection.execute(
            "SELECT number FROM entries WHERE corrects = ?", (number,)
        ).fetchall()
        if rows:
            raise LogbookError(
                f"entry {number} was corrected already, by entry {rows[0][0]}. "
                f"Correct entry {rows[0][0]} instead."
            )
        if earlier.kind == Withdrawal.kind:
            raise LogbookError(
                f"entry {number} is a withdrawal and stands. Write the entry anew instead."
            )
        if not isinstance(record, Withdrawal) and record.kind != earlier.kind:
            raise LogbookError(
                f"entry {number} is of kind {earlier.kind!r} and a correction must be too, not "
                f"{record.kind!r}. Withdraw it and write a new entry."
            )
        return earlier

    def _compared(self, record: Revision, corrects: int | None, when: str) -> Revision:
        earlier: list[tuple[Entry, Revision]] = []
        for entry, revision in self.of_kind(Revision):
            if entry.number == corrects:
                break
            if entry.moment <= datetime.fromisoformat(when).timestamp():
                earlier.append((entry, revision))
        last = _latest(earlier)
        before = last[1].values if last else {}
        if before:
            # Logs from before a dial was kept say nothing of it: it stood at its default, or at
            # what follows from the others.
            now = record.values
            first = {
                row.path: now[row.path] if row.at_first is None else row.at_first
                for row in dials.TABLE
                if row.path in now and (row.at_first is not None or row.path in derived.PATHS)
            }
            before = {**first, **before}
        return Revision(
            values=record.values,
            changed=difference(before, record.values),
            calculated=record.calculated,
            previous=last[0].number if last else None,
        )

    def _entry(self, number: int, line: str, digest: str) -> tuple[Entry, str]:
        try:
            entry, before = entry_from_line(line, digest)
            if entry.number != number:
                raise LogbookError("its number is not its own")
        except LogbookError as error:
            raise damaged(self.path, f"entry {number}: {error}") from error
        return entry, before

    def _refuse_if_reading_only(self, doing: str) -> None:
        if self.reading_only:
            raise LogbookError(
                f"{self.path.name}: it was opened for reading only, so {doing} is not possible. "
                "Open it again without reading_only."
            )

    def _read(self, question: str, values: Sequence[object] = ()) -> list[Any]:
        try:
            return self._connection.execute(question, values).fetchall()
        except (sqlite3.Error, UnicodeDecodeError) as error:
            if "UTF-8" in str(error):
                raise damaged(self.path, "a line is not text") from error
            raise explain_storage_error(error, self.path, "reading the log") from error

    def write_together(self, work: Callable[[], Result], doing: str) -> Result:
        """Do some work on the log, all of it or nothing."""
        self._refuse_if_reading_only(doing)
        until = time.monotonic() + PATIENCE
        while True:
            if _identity(self.path) != self._seen:
                raise LogbookError(
                    f"{self.path.name}: the file was moved away or replaced since it was opened. "
                    "Nothing was written. Open the log again and look what is there."
                )
            try:
                self._connection.execute("BEGIN IMMEDIATE")
                result = work()
                self._commit(until)
                return result
            except sqlite3.Error as error:
                if _is_busy(error) and time.monotonic() < until:
                    self._undo()
                    time.sleep(random.uniform(0.001, 0.02))
                    continue
                raise explain_storage_error(error, self.path, doing) from error
            finally:
                self._undo()

    def _commit(self, until: float) -> None:
        """Commit, waiting for readers: after a refused commit the transaction is still there."""
        while True:
            try:
                self._connection.execute("COMMIT")
                return
            except sqlite3.OperationalError as error:
                if not _is_busy(error) or time.monotonic() >= until:
                    raise
                time.sleep(random.uniform(0.001, 0.01))

    def _undo(self) -> None:
        with contextlib.suppress(sqlite3.Error):
            if self._connection.in_transaction:
                self._connection.execute("ROLLBACK")


def _is_busy(error: sqlite3.Error) -> bool:
    return str(getattr(error, "sqlite_errorname", "")).startswith(("SQLITE_BUSY", "SQLITE_LOCKED"))


def _identity(path: Path) -> tuple[int, int] | None:
    try:
        status = path.stat()
    except OSError:
        return None
    return status.st_dev, status.st_ino


def _latest(found: Sequence[tuple[Entry, Kind]]) -> tuple[Entry, Kind] | None:
    """Give what happened last; of two at the same time, the one written later."""
    return sorted(found, key=lambda one: one[0].moment)[-1] if found else None

"""Two copies of a log joined: nothing lost, nothing twice, clashes told before a word is written.

An entry is known by what it says and when it was written, not by its number, so that copies may be
joined again and again. What is new goes behind the last entry, with its own moments and author, a
number and a place in the chain of digests of its own; a last entry says where it came from.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

from slingwright.logbook.entries import (
    Decision,
    Entry,
    Photo,
    Record,
    Revision,
    Withdrawal,
    difference,
    record_body,
)
from slingwright.logbook.faults import LogbookError
from slingwright.logbook.lines import canonical, digest_of, entry_line
from slingwright.logbook.photos import bring_photos, photo_folder
from slingwright.logbook.store import Logbook
from slingwright.logbook.validation import checked_moment

TAKES = ("ours", "theirs")
JOINED = "joined with another copy"


@dataclass(frozen=True, slots=True, kw_only=True)
class Joining:
    """What joining would do: the other copy's entries that are new here, and the clashes.

    `known` gives, by number there, the number here. A clash is one thing that both copies changed.
    """

    fresh: tuple[Entry, ...]
    known: Mapping[int, int]
    corrected: Mapping[int, int]  # their correction to the entry here that corrects the same
    revised: Mapping[str, Any]  # values of both sides' revisions joined, but for what clashes
    clashing: Mapping[str, tuple[Any, Any]]  # dial to value here and there
    clashes: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """Say what joining would do."""
        said = f"{len(self.fresh)} entries are new here, {len(self.known)} are here already."
        return " ".join([said, *self.clashes])


def joining(log: Logbook, other: Logbook) -> Joining:
    """Look what joining another copy into a log would do; nothing is written.

    Raises:
        LogbookError: the other is of another machine, or a line of either is not whole.
    """
    if log.machine != other.machine:
        raise LogbookError(
            f"{other.path.name} is the log of {other.machine}, {log.path.name} that of "
            f"{log.machine}. Join copies of one machine's log."
        )
    for one in (log, other):
        one.lines()  # every digest and the whole chain
    mine, theirs = log.entries(), other.entries()
    here = {name: number for number, name in _names(mine).items()}
    known = {n: here[name] for n, name in _names(theirs).items() if name in here}
    by_number = {entry.number: entry for entry in mine}
    ours = dict(log.sent_names())
    for once, number in other.sent_names():
        same = by_number.get(ours.get(once, 0))
        there = theirs[number - 1]
        if number not in known and same is not None and same.record == there.record:
            known[number] = same.number
    follower = {entry.corrects: entry for entry in mine if entry.corrects is not None}
    corrected, clashes = {}, []
    for entry in theirs:
        at = known.get(entry.corrects or 0)
        if entry.number in known or at is None or at not in follower:
            continue
        last = follower[at]
        while last.number in follower:
            last = follower[last.number]
        if last.kind == entry.kind == Withdrawal.kind:
            known[entry.number] = last.number
            continue
        corrected[entry.number] = last.number
        clashes.append(
            f"Entry {at} was changed in both: here by entry {last.number} ({last.kind}), there by "
            f"entry {entry.number} ({entry.kind})."
        )
    fresh = tuple(entry for entry in theirs if entry.number not in known)
    revised, clashing = _revised(mine, fresh, known)
    clashes += [
        f"{path} was set in both: here to {one}, there to {two}."
        for path, (one, two) in clashing.items()
    ]
    return Joining(
        fresh=fresh,
        known=known,
        corrected=corrected,
        revised=revised,
        clashing=clashing,
        clashes=tuple(clashes),
    )


def join(log: Logbook, other: Logbook, *, take: str = "", author: str = "") -> Joining:
    """Write what another copy of a log holds and this one does not, all of it or nothing.

    Args:
        log: what is written to.
        other: the other copy, which stays as it is.
        take: `ours` or `theirs` where both changed one thing; then both stay to be read.
        author: who joins them.

    Raises:
        LogbookError: there are clashes and `take` is not given, or as `joining` does; nothing was
            written.
    """
    if take not in ("", *TAKES):
        raise LogbookError(f"take {take!r}: give {' or '.join(TAKES)}.")
    bring_photos(log.path, other.entries(Photo.kind), photo_folder(other.path))

    def work() -> Joining:
        found = joining(log, other)
        if found.clashes and not take:
            raise LogbookError(
                f"{' '.join(found.clashes)} Nothing was written. Say whose is to stand: ours or "
                "theirs; both stay to be read."
            )
        if found.fresh:
            _write(log, other, found, take, author)
        return found

    return log.write_together(work, "joining two copies")


def _names(entries: Sequence[Entry]) -> dict[int, tuple[str, int]]:
    """Name each entry by what it says; of those that say the same, by which of them it is."""
    found: dict[int, tuple[str, int]] = {}
    count: Counter[str] = Counter()
    for entry in entries:
        body = {key: v for key, v in record_body(entry.record).items() if key != "previous"}
        said = [entry.kind, entry.at, entry.written, entry.author, entry.note, body]
        name = digest_of(canonical(said))
        found[entry.number] = name, count[name]
        count[name] += 1
    return found


def _revised(
    mine: Sequence[Entry], fresh: Sequence[Entry], known: Mapping[int, int]
) -> tuple[dict[str, Any], dict[str, tuple[Any, Any]]]:
    """Join what both copies' revisions set since they parted; nothing where one alone revised."""
    shared = set(known.values())
    before: dict[str, Any] = {}
    ours: dict[str, Any] = {}
    theirs: dict[str, Any] = {}
    for entry in mine:
        if isinstance(entry.record, Revision):
            values = dict(entry.record.values)
            before, ours = (values, ours) if entry.number in shared else (before, values)
    for entry in fresh:
        if isinstance(entry.record, Revision):
            theirs = dict(entry.record.values)
    if not (ours and theirs):
        return {}, {}
    sets = [
        {p: v for p, v in values.items() if p not in before or before[p] != v}
        for values in (ours, theirs)
    ]
    both = {
        p: (sets[0][p], sets[1][p]) for p in sets[0] if p in sets[1] and sets[0][p] != sets[1][p]
    }
    return {**before, **sets[1], **sets[0]}, both


def _write(log: Logbook, other: Logbook, found: Joining, take: str, author: str) -> None:
    number, before = log.end()
    now = checked_moment("now", datetime.now(UTC))
    at = dict(found.known)

    own = Entry(
        number=0, kind="", at=now, written=now, author=author, note="", corrects=None,
        record=Record(), digest="",
    )  # fmt: skip

    def put(record: Record, corrects: int | None = None, like: Entry = own) -> int:
        nonlocal number, before
        number += 1
        entry = replace(like, number=number, kind=record.kind, corrects=corrects, record=record)
        before = log.insert(entry_line(entry, before)).digest
        return number

    first = number + 1
    for entry in found.fresh:
        record = entry.record
        if isinstance(record, Revision) and record.previous is not None:
            record = replace(record, previous=at[record.previous])
        clash = found.corrected.get(entry.number)
        if clash is None:
            corrects = None if entry.corrects is None else at[entry.corrects]
            at[entry.number] = put(record, corrects, entry)
            continue
        held = log.entry(clash)
        kept = replace(held, written=now, note="kept as two copies were joined")
        if isinstance(held.record, Withdrawal):
            at[entry.number] = put(record, None, entry)
            if take == "ours":
                put(held.record, number, kept)
        else:
            at[entry.number] = put(record, clash, entry)
            if take == "ours":
                put(held.record, None if isinstance(record, Withdrawal) else number, kept)
    if found.revised:
        values = dict(found.revised)
        values.update({p: pair[TAKES.index(take)] for p, pair in found.clashing.items()})
        last = log.latest_revision()
        was = last.record.values if last and isinstance(last.record, Revision) else {}
        if changed := difference(was, values):
            previous = last.number if last else None
            put(Revision(values=values, changed=changed, calculated={}, previous=previous))
    rows = ", ".join(f"{there} to {at[there]}" for there in (e.number for e in found.fresh))
    settled = f"; where both had changed one thing, {take} stand" if found.clashes else ""
    put(
        Decision(
            what=f"{JOINED}: its entries {rows} (number there to number here); entries from "
            f"{first} on were written then",
            reason=f"its last digest was {other.end()[1]}{settled}",
        )
    )
    names = dict(log.sent_names())
    for once, there in other.sent_names():
        if once not in names and there in at:
            log.mark_sent(once, at[there])

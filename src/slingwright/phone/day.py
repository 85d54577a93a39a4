"""What a phone sends into a log, and what it is told of a day: words, numbers and places."""

from __future__ import annotations

import base64
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from slingwright.amounts import units
from slingwright.changing.proving import NUMBERS
from slingwright.logbook import (
    Entry,
    Incident,
    Logbook,
    LogbookError,
    Measurement,
    Photo,
    Record,
    Shot,
)
from slingwright.logbook.entries import SEVERITIES, Withdrawal, standing_or_struck
from slingwright.logbook.photos import photo_folder
from slingwright.machine.machine import Machine
from slingwright.pages.field.page import CAUTION, loads_of
from slingwright.pages.parts.fields import BY_HAND, labelled, refilled, typed_amount
from slingwright.pages.standing.proving import measured

NAME = re.compile(r"[0-9a-f]{32}")
FIELDS = {
    "load": ("Projectile", "kg"),
    "range": ("Distance", "m"),
    "drift": ("Side", "m"),  # to the right positive
    "time_of_flight": ("In the air", "s"),
}
"""The amounts of a shot that a person types: what the field is called, and its unit."""


class Refused(ValueError):
    """What a phone sent cannot be written; the field it is about, and ways to mean a number."""

    def __init__(self, words: str, field: str = "", ways: tuple[str, ...] = ()) -> None:
        super().__init__(words)
        self.field, self.ways = field, ways


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """The log of a machine as the phones on the meadow write and read it.

    `log` opens the log, in the thread that asks; `machine` gives the machine at hand; `system` has
    the units in which bare numbers are typed and amounts are shown.
    """

    log: Callable[[], Logbook]
    machine: Callable[[Logbook], Machine]
    system: units.System = "metric"

    def write(self, sent: Mapping[str, str]) -> Entry:
        """Write what a phone sent, once: a shot, its correction, a photo, a strike, or what a step
        of proving was measured with.

        Args:
            sent: `id`, made on the phone; `kind`; `of`: number of the entry that is corrected or
                struck; the fields as they were typed.

        Raises:
            Refused: a field that cannot be read.
            LogbookError: the log refuses it.
        """
        once, kind, note = (sent.get(name, "") for name in ("id", "kind", "note"))
        if not NAME.fullmatch(once):
            raise Refused(f"id {once[:40]!r}: it is no name of 32 hex digits. Reload the page.")
        with self.log() as log:
            came = log.sent_as(once)
            if came is not None:
                return log.entry(came)
            who = {"author": sent.get("author", ""), "once": once}
            at = sent.get("at") or None
            of = units.whole_number(sent["of"]) if sent.get("of") else None
            if kind == "strike" and of:
                return log.withdraw(of, reason=note, **who)
            if kind == "measured":
                return log.append(self._measured(sent), at=at, **who)
            if kind == "photo":
                picture = base64.b64decode(sent.get("picture", ""))
                return log.add_photo(picture, caption=note, at=at, **who)
            if of is None:
                records = self._seen(sent)
                # What went wrong is what the note says; the incident has it.
                note = note if isinstance(records[-1], Shot) else ""
                return log.append_all(records, note=note, at=at, **who)[0]
            old = log.entry(of).record
            if not isinstance(old, Shot):
                raise Refused(f"entry {of} is no shot. Strike it, and write it anew.")
            return log.correct(of, self._shot(sent, old), note=note, **who)

    def _measured(self, sent: Mapping[str, str]) -> Measurement:
        thing, how, unit = (sent.get(name, "") for name in ("thing", "how", "unit"))
        if thing not in NUMBERS.values() or not how or unit not in ("N", BY_HAND):
            raise Refused("What was measured is of no step of this machine. Reload the page.")
        try:
            return measured(sent.get("value", ""), thing, unit, how, self.system)
        except ValueError as error:
            ways = getattr(error.__cause__, "ways", ())
            raise Refused(str(error), "value", ways) from error

    def _seen(self, sent: Mapping[str, str]) -> list[Record]:
        """Give the shot, the incident, or both, that the form describes."""
        outcome, note = sent.get("release_seen", ""), sent.get("note", "")
        if outcome not in SEVERITIES:
            return [self._shot(sent)]
        if not note.strip():
            raise Refused("Note: say what went wrong, and whether anyone was hurt.", "note")
        incident = Incident(what=note, severity=outcome)
        if not any(sent.get(name) for name in FIELDS if name != "load"):
            return [incident]
        return [self._shot({**sent, "release_seen": ""}), incident]

    def _shot(self, sent: Mapping[str, str], old: Shot | None = None) -> Shot:
        filled = {} if old is None else self.form(old)
        said: dict[str, Any] = {"release_seen": sent.get("release_seen", "")}
        for name, (label, unit) in FIELDS.items():
            text = sent.get(name, "")
            try:
                same = text == filled.get(name)
                typed = None if same else typed_amount(text, label, unit, self.system)
                said[name] = getattr(old, name) if same else typed
            except ValueError as error:
                raise Refused(str(error), name, getattr(error.__cause__, "ways", ())) from error
        if said["load"] is None:
            raise Refused("Projectile: choose what was thrown, or write its mass.", "load")
        try:
            return (Shot(**said) if old is None else replace(old, **said)).refuse_empty()
        except LogbookError as error:
            raise Refused(str(error), str(error).split(": ")[1]) from error

    def form(self, shot: Shot) -> dict[str, str]:
        """Give a shot as the form shows it."""
        units_of = {name: unit for name, (_, unit) in FIELDS.items()}
        found = {n: refilled(getattr(shot, n), u, self.system) for n, u in units_of.items()}
        return {**found, "release_seen": shot.release_seen}

    def told(self, on: str = "", have: str = "") -> dict[str, Any]:
        """Give what a phone shows of a day: its rows, the days there are, and the form's words.

        Args:
            on: the day, such as 2031-06-14; the last one with a row if left out.
            have: `state` of what the phone has; it is told no more where that is as it was.
        """
        with self.log() as log:
            machine, name = self.machine(log), log.machine
            state = f"{on} {len(log)} {hash(machine)}"
            if have == state:
                return {"same": True}
            everything = log.entries()
        struck = {one.corrects: one.record for one in everything if one.kind == Withdrawal.kind}
        kinds = (Shot.kind, Incident.kind, Photo.kind)
        found = [one for one in standing_or_struck(everything) if one.kind in kinds]
        days = sorted({_local(one).date().isoformat() for one in found})
        day = on if on in days else days[-1] if days else ""
        rows = [one for one in found if _local(one).date().isoformat() == day]
        return {
            "state": state, "machine": name, "day": day, "days": days,
            "rows": [self._row(one, struck.get(one.number)) for one in rows],
            "set": units.written(machine.number("projectile.mass"), "kg"),
            "loads": [[words, units.written(mass, "kg")] for words, mass in loads_of(machine)],
            "labels": {name: labelled(*field, self.system) for name, field in FIELDS.items()},
            "metre": units.factor("m", self.system), "limit": machine.number("site.limit"),
            "caution": CAUTION,
        }  # fmt: skip

    def _row(self, entry: Entry, struck: Record | None) -> dict[str, Any]:
        record = entry.record
        row: dict[str, Any] = {
            "number": entry.number, "time": _local(entry).strftime("%H:%M"), "note": entry.note,
            "author": entry.author, "corrects": entry.corrects,
            "struck": struck.reason if isinstance(struck, Withdrawal) else None,
        }  # fmt: skip
        if isinstance(record, Photo):
            row |= {"photo": record.file_name, "note": record.caption}
        elif isinstance(record, Incident):
            row |= {"words": f"{record.severity}: {record.what}", "note": record.done}
        elif isinstance(record, Shot):
            amounts = {
                name: value if value is None else units.text(abs(value), unit, self.system)
                for name, (_, unit) in FIELDS.items()
                for value in [getattr(record, name)]
            }
            places = {"ahead": record.range, "right": record.drift}
            row |= {"amounts": amounts, "form": self.form(record), **places}
        return row

    def picture(self, name: str) -> bytes | None:
        """Give a photo of the log by the name of its copy; None for every other name."""
        with self.log() as log:
            photos = [one.record for one in log.current(Photo.kind)]
        known = name in [one.file_name for one in photos if isinstance(one, Photo)]
        place = photo_folder(log.path) / name
        return place.read_bytes() if known and place.is_file() else None


def _local(entry: Entry) -> datetime:
    return datetime.fromisoformat(entry.at).astimezone()

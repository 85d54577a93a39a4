"""What a phone sends into a log, and what it is told of a day: words, numbers and places."""

from __future__ import annotations

import base64
import re
import statistics
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from slingwright.amounts import units
from slingwright.logbook import Entry, Incident, Logbook, LogbookError, Photo, Record, Shot
from slingwright.logbook.entries import RELEASES, SEVERITIES, Withdrawal, standing_or_struck
from slingwright.logbook.photos import photo_folder
from slingwright.machine.machine import Machine
from slingwright.pages.field.page import CAUTION, loads_of
from slingwright.pages.log.part import labelled, refilled, typed_amount

LARGEST_PICTURE = 8_000_000  # [byte]; a phone makes its pictures smaller before it sends them
NAME = re.compile(r"[0-9a-f]{32}")
FIELDS = {"load": ("Projectile", "kg"), "range": ("Distance", "m"), "drift": ("Side", "m")}
FIELDS["air"] = ("In the air", "s")
"""What a person types as an amount: the field's name and unit."""


class Refused(ValueError):
    """What a phone sent cannot be written; the field it is about, and ways to mean a number."""

    def __init__(self, words: str, field: str = "", ways: tuple[str, ...] = ()) -> None:
        super().__init__(words)
        self.field, self.ways = field, ways


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """The log of a machine as the phones on the meadow write and read it.

    Args:
        log: opens the log, in the thread that asks.
        machine: gives the machine at hand.
        system: units in which bare numbers are typed and amounts are shown.
    """

    log: Callable[[], Logbook]
    machine: Callable[[Logbook], Machine]
    system: units.System = "metric"

    def write(self, sent: Mapping[str, str]) -> Entry:
        """Write what a phone sent, once: a shot, its correction, a photo, or a strike.

        Args:
            sent: `id`, made on the phone; `kind`: shot, strike or photo; `of`: the entry's number
                or id that is corrected or struck; the fields as they were typed.

        Raises:
            Refused: a field that cannot be read.
            LogbookError: the log refuses it.
        """
        once, kind = sent.get("id", ""), sent.get("kind", "")
        if not NAME.fullmatch(once):
            raise Refused(f"id {once[:40]!r}: it is no name of 32 hex digits. Reload the page.")
        with self.log() as log:
            came = log.sent_as(once)
            if came is not None:
                return log.entry(came)
            who = {"author": sent.get("author", ""), "once": once}
            said: dict[str, Any] = who | {
                "note": sent.get("note", ""),
                "at": sent.get("at") or None,
            }
            of = _meant(log, sent.get("of", ""))
            if kind == "strike" and of:
                return log.withdraw(of, reason=sent.get("note", ""), **who)
            if kind == "photo":
                content = _picture(sent.get("picture", ""))
                return log.add_photo(content, caption=said.pop("note"), **said)
            if kind != "shot":
                raise Refused(f"{kind[:40]!r} is no kind of entry that a phone writes.")
            if of is None:
                records = self._seen(sent)
                # What went wrong is what the note says; the incident has it.
                said |= {} if isinstance(records[-1], Shot) else {"note": ""}
                return log.append_all(records, **said)[0]
            old = log.entry(of).record
            if not isinstance(old, Shot):
                raise Refused(f"entry {of} is no shot. Strike it, and write it anew.")
            return log.correct(of, self._shot(sent, old).refuse_empty(), **said | {"at": None})

    def _seen(self, sent: Mapping[str, str]) -> list[Record]:
        """Give the shot, the incident, or both, that the form describes."""
        outcome, note = sent.get("outcome", ""), sent.get("note", "")
        if outcome not in SEVERITIES:
            return [self._shot(sent, None).refuse_empty()]
        if not note.strip():
            raise Refused("Note: say what went wrong, and whether anyone was hurt.", "note")
        found: list[Record] = [Incident(what=note, severity=outcome)]
        if any(sent.get(name) for name in ("range", "drift", "air", "side")):
            found.insert(0, self._shot(dict(sent) | {"outcome": ""}, None))
        return found

    def _shot(self, sent: Mapping[str, str], old: Shot | None) -> Shot:
        """Give the shot that the form describes; what was not typed anew stays as it was."""
        filled, was = ({}, {}) if old is None else (self.form(old), _typed(old))
        side, outcome = sent.get("side", ""), sent.get("outcome", "")
        if outcome not in RELEASES:
            raise Refused("Outcome: strike the shot, and write what went wrong anew.", "outcome")

        def number(name: str) -> float | None:
            text, (label, unit) = sent.get(name, ""), FIELDS[name]
            if text == filled.get(name):
                return was[name]
            try:
                return typed_amount(text, label, unit, self.system)
            except ValueError as error:
                raise Refused(str(error), name, getattr(error.__cause__, "ways", ())) from error

        load, drift = number("load"), number("drift")
        if load is None:
            raise Refused("Projectile: choose what was thrown, or write its mass.", "load")
        if drift is None and side in ("left", "right"):
            raise Refused(f"Side: how far to the {side}? Write it, or choose On line.", "drift")
        if drift is not None and drift < 0.0:
            raise Refused("Side: write it without a sign, and choose Left or Right.", "drift")
        if drift and side not in ("left", "right"):
            raise Refused("Side: to which side? Choose Left or Right.", "drift")
        said: dict[str, Any] = {
            "load": load,
            "range": number("range"),
            "drift": 0.0 if side == "line" else -drift if drift and side == "left" else drift,
            "time_of_flight": number("air"),
            "release_seen": outcome,
        }
        try:
            return Shot(**said) if old is None else replace(old, **said)
        except LogbookError as error:
            raise Refused(str(error), str(error).split(": ")[1]) from error

    def form(self, shot: Shot) -> dict[str, str]:
        """Give a shot as the form shows it."""
        values = _typed(shot).items()
        found = {name: refilled(value, FIELDS[name][1], self.system) for name, value in values}
        side = "right" if shot.drift and shot.drift > 0.0 else "left" if shot.drift else "line"
        return found | {"side": "" if shot.drift is None else side, "outcome": shot.release_seen}

    def told(self, on: str = "") -> dict[str, Any]:
        """Give what a phone shows of a day: its rows, the days there are, and the form's words.

        Args:
            on: the day, such as 2031-06-14; today if left out, or the last one with a row.
        """
        with self.log() as log:
            everything, machine, name = log.entries(), self.machine(log), log.machine
        struck = {one.corrects: one.record for one in everything if one.kind == Withdrawal.kind}
        kinds = (Shot.kind, Incident.kind, Photo.kind)
        found = [one for one in standing_or_struck(everything) if one.kind in kinds]
        days = sorted({_local(one).date().isoformat() for one in found})
        day = on if on in days else days[-1] if days else ""
        rows = [one for one in found if _local(one).date().isoformat() == day]
        return {
            "machine": name,
            "count": len(everything),
            "day": day,
            "days": days,
            "rows": [self._row(one, struck.get(one.number)) for one in rows],
            "groups": self._groups([one for one in rows if one.number not in struck]),
            "set": units.written(machine.number("projectile.mass"), "kg"),
            "loads": [[words, units.written(mass, "kg")] for words, mass in loads_of(machine)],
            "labels": {name: labelled(*FIELDS[name], self.system) for name in FIELDS},
            "metre": units.factor("m", self.system),
            "limit": machine.number("site.limit"),
            "caution": CAUTION,
        }

    def _row(self, entry: Entry, struck: Record | None) -> dict[str, Any]:
        record = entry.record
        row: dict[str, Any] = {
            "number": entry.number,
            "kind": entry.kind,
            "time": _local(entry).strftime("%H:%M"),
            "note": entry.note,
            "author": entry.author,
            "corrects": entry.corrects,
            "struck": struck.reason if isinstance(struck, Withdrawal) else None,
        }
        if isinstance(record, Photo):
            row |= {"photo": record.file_name, "note": record.caption}
        if isinstance(record, Incident):
            row |= {"words": f"{record.severity}: {record.what}", "note": record.done}
        if isinstance(record, Shot):
            said = [units.text(record.load, "kg", self.system)]
            if record.drift is not None:
                side = "right" if record.drift > 0.0 else "left"
                far = units.text(abs(record.drift), "m", self.system)
                said.append(f"{far} {side}" if record.drift else "on line")
            if record.time_of_flight is not None:
                said.append(f"{units.text(record.time_of_flight, 's', self.system)} in the air")
            said += [f"release {record.release_seen}"] if record.release_seen else []
            far = "distance not measured"
            if record.range is not None:
                far = units.text(record.range, "m", self.system)
            row |= {"far": far, "words": ", ".join(said), "form": self.form(record)}
            row |= {"ahead": record.range, "right": record.drift, "load": record.load}
        return row

    def _groups(self, rows: list[Entry]) -> list[str]:
        """Tell for each load how many shots were measured, and where they fell."""
        seen: dict[float, list[float]] = {}
        for one in rows:
            if isinstance(one.record, Shot) and one.record.range is not None:
                seen.setdefault(one.record.load, []).append(one.record.range)
        told = []
        for load, far in sorted(seen.items()):
            middle, *ends = (
                units.text(value, "m", self.system)
                for value in (statistics.fmean(far), min(far), max(far))
            )
            count = f"{len(far)} shots, on average {middle}, {ends[0]} to {ends[1]}"
            count = count if len(far) > 1 else f"one shot, {middle}"
            told.append(f"{units.text(load, 'kg', self.system)}: {count}")
        return told

    def picture(self, name: str) -> bytes | None:
        """Give a photo of the log by the name of its copy; None for every other name."""
        with self.log() as log:
            photos = [one.record for one in log.current(Photo.kind)]
        names = [one.file_name for one in photos if isinstance(one, Photo)]
        if name not in names:
            return None
        try:
            return (photo_folder(log.path) / names[names.index(name)]).read_bytes()
        except OSError:
            return None


def _typed(shot: Shot) -> dict[str, float | None]:
    """Give the amounts of a shot that a person types, in SI."""
    drift = None if shot.drift is None else abs(shot.drift)
    return {"load": shot.load, "range": shot.range, "drift": drift, "air": shot.time_of_flight}


def _local(entry: Entry) -> datetime:
    return datetime.fromisoformat(entry.at).astimezone()


def _meant(log: Logbook, of: str) -> int | None:
    """Give the number of the entry that is corrected or struck, None where none is."""
    if not of:
        return None
    number = log.sent_as(of) if NAME.fullmatch(of) else units.whole_number(of)
    if number is None:
        raise Refused("The entry that this is about has not come in. Send that one first.")
    return number


def _picture(text: str) -> bytes:
    """Give a picture that was sent as text; what it is, the log looks at."""
    if len(text) * 3 // 4 > LARGEST_PICTURE:
        raise Refused(
            f"The picture has {len(text) * 3 / 4e6:.1f} MB, and the most is "
            f"{LARGEST_PICTURE / 1e6:.0f} MB. Send a smaller copy.",
            "photo",
        )
    try:
        return base64.b64decode(text, validate=True)
    except ValueError as error:
        raise Refused("The picture came in broken. Take it again.", "photo") from error

"""The kinds of entry a build log keeps, each a frozen record that checks what it is given."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from types import MappingProxyType
from typing import Any, ClassVar

from slingwright.logbook.faults import LogbookError
from slingwright.logbook.validation import (
    LONGEST_NAME,
    Setting,
    checked_choice,
    checked_number,
    checked_optional,
    checked_reference,
    checked_series,
    checked_settings,
    checked_text,
)

ORIGINS = ("bought", "found", "made", "borrowed", "unknown")
RATINGS = ("rated", "unrated", "unknown")
SEVERITIES = ("near miss", "damage", "injury")
RELEASES = ("early", "right", "late", "")
PICTURE_ENDINGS = ("jpg", "png", "gif", "webp", "tif", "heic")


class Record:
    """Base of every kind; `kind` is the word the log files it under."""

    __slots__ = ()
    kind: ClassVar[str] = ""

    def _set(self, name: str, value: object) -> None:
        object.__setattr__(self, name, value)

    def _name(self, name: str, *, required: bool = True) -> None:
        thing = f"{self.kind}: {name}"
        text = checked_text(thing, getattr(self, name), required=required, longest=LONGEST_NAME)
        self._set(name, text)

    def _text(self, name: str, *, required: bool = True) -> None:
        self._set(
            name, checked_text(f"{self.kind}: {name}", getattr(self, name), required=required)
        )

    def _number(self, name: str, low: float, high: float, unit: str = "") -> None:
        thing = f"{self.kind}: {name}"
        self._set(name, checked_number(thing, getattr(self, name), low, high, unit))

    def _optional(self, name: str, low: float, high: float, unit: str = "") -> None:
        thing = f"{self.kind}: {name}"
        self._set(name, checked_optional(thing, getattr(self, name), low, high, unit))


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision(Record):
    """What was decided and why; the reason may not be left out."""

    kind: ClassVar[str] = "decision"
    what: str
    reason: str

    def __post_init__(self) -> None:
        self._text("what")
        self._text("reason")


@dataclass(frozen=True, slots=True, kw_only=True)
class Part(Record):
    """A part of the machine and what is known of it; an unrated part carries no rated load."""

    kind: ClassVar[str] = "part"
    name: str
    origin: str = "unknown"
    rating: str = "unknown"
    rated_load: float | None = None  # [N]
    mass: float | None = None  # [kg]
    known: str = ""

    def __post_init__(self) -> None:
        self._name("name")
        checked_choice("part: origin", self.origin, ORIGINS)
        checked_choice("part: rating", self.rating, RATINGS)
        self._optional("rated_load", 0.0, 1e9, "N")
        self._optional("mass", 0.0, 1e6, "kg")
        self._text("known", required=False)
        if self.rated_load is not None and self.rating != "rated":
            raise LogbookError(
                f"part: {self.name} has a rated load of {self.rated_load:g} N but its rating is "
                f"{self.rating!r}. Say rated, or leave the load out: an unrated part has none."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours(Record):
    """Hours of work by one person on one task."""

    kind: ClassVar[str] = "hours"
    who: str
    hours: float  # [h]
    task: str

    def __post_init__(self) -> None:
        self._name("who")
        self._number("hours", 0.0, 10_000.0, "h")
        self._text("task")


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost(Record):
    """Money spent, or money back where the amount is below zero."""

    kind: ClassVar[str] = "cost"
    item: str
    amount: float
    currency: str = "EUR"

    def __post_init__(self) -> None:
        self._text("item")
        self._number("amount", -1e9, 1e9)
        self._name("currency")


@dataclass(frozen=True, slots=True, kw_only=True)
class Incident(Record):
    """Something that went wrong or nearly did, and what was done about it."""

    kind: ClassVar[str] = "incident"
    what: str
    severity: str
    done: str = ""

    def __post_init__(self) -> None:
        self._text("what")
        checked_choice("incident: severity", self.severity, SEVERITIES)
        self._text("done", required=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo(Record):
    """A picture copied in beside the log, filed under the hash of its content."""

    kind: ClassVar[str] = "photo"
    name: str
    sha256: str
    ending: str
    size: int  # [byte]
    caption: str = ""

    def __post_init__(self) -> None:
        self._name("name")
        checked_choice("photo: ending", self.ending, PICTURE_ENDINGS)
        self._text("caption", required=False)
        digits = self.sha256
        if (
            not isinstance(digits, str)
            or len(digits) != 64
            or set(digits) - set("0123456789abcdef")
        ):
            raise LogbookError(
                f"photo: {digits!r} is not a sha256 of 64 lower-case hex digits. "
                "Add the photo through Logbook.add_photo, which makes it."
            )
        if isinstance(self.size, bool) or not isinstance(self.size, int) or self.size < 0:
            raise LogbookError(f"photo: size {self.size!r} is no count of bytes. Give 0 or more.")

    @property
    def file_name(self) -> str:
        """Name of the copy in the photo folder: hash and ending, nothing a person typed."""
        return f"{self.sha256}.{self.ending}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurement(Record):
    """A weighing or a measurement: value and standard deviation in one unit, and how."""

    kind: ClassVar[str] = "measurement"
    thing: str
    value: float
    unit: str
    sd: float | None = None
    how: str = ""
    path: str = ""

    def __post_init__(self) -> None:
        self._name("thing")
        self._number("value", -1e300, 1e300)
        self._name("unit")
        self._optional("sd", 0.0, 1e300)
        self._text("how", required=False)
        self._name("path", required=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot(Record):
    """One loosing as the field saw it; what was not measured stays None."""

    kind: ClassVar[str] = "shot"
    load: float  # [kg]
    range: float | None = None  # [m]
    drift: float | None = None  # [m], to the right of the line of throw positive
    time_of_flight: float | None = None  # [s]
    release_seen: str = ""
    settings: Mapping[str, Setting] = field(default_factory=dict)
    range_sd: float | None = None  # [m]
    revision: int | None = None

    def __post_init__(self) -> None:
        self._number("load", 0.0, 10_000.0, "kg")
        self._optional("range", -1_000.0, 2_000.0, "m")
        self._optional("drift", -1_000.0, 1_000.0, "m")
        self._optional("time_of_flight", 0.0, 120.0, "s")
        self._optional("range_sd", 0.0, 1_000.0, "m")
        checked_choice("shot: release_seen", self.release_seen, RELEASES)
        self._set("settings", checked_settings("shot: settings", self.settings))
        self._set("revision", checked_reference("shot: revision", self.revision))

    def refuse_empty(self) -> Shot:
        """Give the shot, unless nothing was seen of it, which tells nothing.

        Raises:
            LogbookError: no range, drift, time in the air or release was given.
        """
        seen = (self.range, self.drift, self.time_of_flight, self.release_seen or None)
        if not any(one is not None for one in seen):
            raise LogbookError(
                "shot: nothing was seen of it: no range, drift, time in the air or release. Give "
                "at least one of them, or write an incident for a throw that failed."
            )
        return self


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadTrace(Record):
    """A load cell's record over time, with the shot it belongs to."""

    kind: ClassVar[str] = "load trace"
    channel: str
    unit: str
    time: tuple[float, ...]  # [s]
    value: tuple[float, ...]
    shot: int | None = None

    def __post_init__(self) -> None:
        self._name("channel")
        self._name("unit")
        self._set("time", checked_series("load trace: time", self.time))
        self._set("value", checked_series("load trace: value", self.value))
        self._set("shot", checked_reference("load trace: shot", self.shot))
        if len(self.time) != len(self.value):
            raise LogbookError(
                f"load trace: {len(self.time)} times and {len(self.value)} values. "
                "Give one value a time."
            )
        for place in range(1, len(self.time)):
            if self.time[place] <= self.time[place - 1]:
                raise LogbookError(
                    f"load trace: time {place + 1} ({self.time[place]:g} s) is not after the one "
                    f"before it ({self.time[place - 1]:g} s). Sort the samples and drop doubles."
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class VideoTrack(Record):
    """Points tracked in a video of a shot, in the picture's units, and points known in metres.

    `seen` holds x and y of two known points in the picture, or of four, one after the other, and
    `known` where they are [m]; `tip` is empty where the arm's tip was not tracked.
    """

    kind: ClassVar[str] = "video track"
    point: tuple[str, ...]
    time: tuple[float, ...]  # [s]
    x: tuple[float, ...]
    y: tuple[float, ...]
    ball: str
    seen: tuple[float, ...]
    known: tuple[float, ...]  # [m]
    click_sd: float
    y_down: bool = True
    tip: str = ""
    shot: int | None = None

    def __post_init__(self) -> None:
        names = tuple(
            checked_text("video track: point", name, required=True, longest=LONGEST_NAME)
            for name in self.point
        )
        self._set("point", names)
        for name in ("time", "x", "y", "seen", "known"):
            self._set(name, checked_series(f"video track: {name}", getattr(self, name)))
        self._number("click_sd", 1e-9, 1e6)
        self._set("shot", checked_reference("video track: shot", self.shot))
        if not len(self.point) == len(self.time) == len(self.x) == len(self.y):
            raise LogbookError(
                f"video track: {len(self.point)} points, {len(self.time)} times, {len(self.x)} x "
                f"and {len(self.y)} y. Give one of each a row."
            )
        if len(self.seen) not in (4, 8) or len(self.known) != len(self.seen):
            raise LogbookError(
                "video track: seen and known each hold two points, four numbers, or four points, "
                "eight. Give x and y of the one, then of the other."
            )
        if not isinstance(self.y_down, bool):
            raise LogbookError(f"video track: y_down is {self.y_down!r}. Give true or false.")
        for role, name in (("ball", self.ball), ("tip", self.tip)):
            if name not in names and (role == "ball" or name):
                raise LogbookError(
                    f"video track: {role} {name!r} is none of {', '.join(sorted(set(names)))}. "
                    "Name one of them."
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision(Record):
    """The machine's dials after a change, what changed, and the numbers calculated for it.

    `changed` maps a path to the value before and after, None where the path was not there. The
    log fills it in against the last revision at the moment of writing.
    """

    kind: ClassVar[str] = "revision"
    values: Mapping[str, Setting]
    changed: Mapping[str, tuple[Setting | None, Setting | None]] = field(default_factory=dict)
    calculated: Mapping[str, Setting] = field(default_factory=dict)
    previous: int | None = None

    def __post_init__(self) -> None:
        self._set("values", checked_settings("revision: values", self.values))
        self._set("calculated", checked_settings("revision: calculated", self.calculated))
        self._set("previous", checked_reference("revision: previous", self.previous))
        pairs: dict[str, tuple[Setting | None, Setting | None]] = {}
        for path, pair in self.changed.items():
            before, after = pair
            pairs[path] = (_side(path, before), _side(path, after))
        self._set("changed", MappingProxyType(dict(sorted(pairs.items()))))


def _side(path: str, value: Setting | None) -> Setting | None:
    return None if value is None else checked_settings("revision: changed", {path: value})[path]


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawal(Record):
    """A correction that takes an entry back without putting another in its place."""

    kind: ClassVar[str] = "withdrawal"
    reason: str

    def __post_init__(self) -> None:
        self._text("reason")


RECORDS: Mapping[str, type[Record]] = MappingProxyType(
    {
        record.kind: record
        for record in (
            Decision,
            Part,
            Hours,
            Cost,
            Incident,
            Photo,
            Measurement,
            Shot,
            LoadTrace,
            VideoTrack,
            Revision,
            Withdrawal,
        )
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One line of the log: when, who, what, and the entry it corrects, if any."""

    number: int
    kind: str
    at: str
    written: str
    author: str
    note: str
    corrects: int | None
    record: Record
    digest: str

    @property
    def moment(self) -> float:
        """When it happened, in seconds; one written up later keeps its own time."""
        return datetime.fromisoformat(self.at).timestamp()


def difference(
    before: Mapping[str, Setting], after: Mapping[str, Setting]
) -> dict[str, tuple[Setting | None, Setting | None]]:
    """Return what changed between two tables of dials, path to (before, after).

    Arguments:
        before: the earlier table, SI values.
        after: the later table, SI values.

    >>> difference({"sling.length": 4.0, "arm.long": 5.6}, {"sling.length": 4.2, "arm.long": 5.6})
    {'sling.length': (4.0, 4.2)}
    """
    return {
        path: (before.get(path), after.get(path))
        for path in sorted({*before, *after})
        if not _same(before.get(path), after.get(path))
    }


def _same(one: Setting | None, other: Setting | None) -> bool:
    return isinstance(one, bool) == isinstance(other, bool) and one == other


def standing(entries: Sequence[Entry]) -> list[Entry]:
    """Return the entries that count, each at the place of the entry it stands for.

    Arguments:
        entries: entries in order; corrections of entries that are not among them are left out.
    """
    struck = {one.corrects for one in entries if one.kind == Withdrawal.kind}
    return [one for one in standing_or_struck(entries) if one.number not in struck]


def standing_or_struck(entries: Sequence[Entry]) -> list[Entry]:
    """Return the entries that count and, at its place, each that was struck, as it last stood."""
    follower = {
        entry.corrects: entry
        for entry in entries
        if entry.corrects is not None and entry.kind != Withdrawal.kind
    }
    found: list[Entry] = []
    for entry in entries:
        if entry.corrects is None:
            last = entry
            while last.number in follower:
                last = follower[last.number]
            found.append(last)
    return found


def followed(entries: Iterable[Entry]) -> dict[int, str]:
    """Return, by the number of each entry that stands no more, what was done and by which entry."""
    return {
        entry.corrects: f"{'struck' if entry.kind == Withdrawal.kind else 'corrected'} by entry "
        f"{entry.number}"
        for entry in entries
        if entry.corrects is not None
    }


def record_body(record: Record) -> dict[str, Any]:
    """Return the fields of a record as plain lists, tables, numbers and words.

    >>> record_body(Decision(what="shorter sling", reason="it slipped late"))
    {'what': 'shorter sling', 'reason': 'it slipped late'}
    """
    body: dict[str, Any] = {}
    for item in dataclasses.fields(record):  # type: ignore[arg-type]
        value = getattr(record, item.name)
        if isinstance(value, Mapping):
            value = {
                path: list(cell) if isinstance(cell, tuple) else cell
                for path, cell in value.items()
            }
        elif isinstance(value, tuple):
            value = list(value)
        body[item.name] = value
    return body


def record_from_body(kind: str, body: Mapping[str, Any]) -> Record:
    """Return the record of a kind from its plain fields; the way back from record_body.

    Raises LogbookError for a kind this version does not know, or fields that do not fit it.

    >>> record_from_body("withdrawal", {"reason": "typed twice"})
    Withdrawal(reason='typed twice')
    """
    if kind not in RECORDS:
        raise LogbookError(
            f"{kind!r} is not a kind of entry; the kinds are {', '.join(RECORDS)}. "
            "Use one of those."
        )
    try:
        return RECORDS[kind](**body)
    except (TypeError, ValueError, AttributeError) as error:
        raise LogbookError(
            f"{kind}: the fields do not fit ({error}). Check their names."
        ) from error

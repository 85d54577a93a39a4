"""The kinds of entry a build log keeps, each a frozen record that checks what it is given."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import MISSING, dataclass, field
from datetime import datetime
from functools import partial
from types import MappingProxyType
from typing import Any, ClassVar

from slingwright.logbook.faults import LogbookError
from slingwright.logbook.validation import (
    LONGEST_NAME,
    Setting,
    checked_choice,
    checked_number,
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

Check = Callable[[str, Any], object]


def _number(low: float, high: float, unit: str = "") -> Check:
    return lambda thing, value: checked_number(thing, value, low, high, unit)


def _optional(low: float, high: float, unit: str = "") -> Check:
    number = _number(low, high, unit)
    return lambda thing, value: None if value is None else number(thing, value)


def _one_of(*choices: str) -> Check:
    return lambda thing, value: checked_choice(thing, value, choices)


_ANY_TEXT = checked_text
_TEXT = partial(checked_text, required=True)
_NAME = partial(checked_text, required=True, longest=LONGEST_NAME)


def _names(thing: str, values: Iterable[object]) -> tuple[str, ...]:
    return tuple(_NAME(thing, one) for one in values)


def _pairs(thing: str, values: Mapping[str, Sequence[Setting | None]]) -> Mapping[str, object]:
    def side(path: str, value: Setting | None) -> Setting | None:
        return None if value is None else checked_settings(thing, {path: value})[path]

    pairs = {path: (side(path, was), side(path, now)) for path, (was, now) in values.items()}
    return MappingProxyType(dict(sorted(pairs.items())))


def kept(check: Check, default: Any = MISSING, *, factory: Any = MISSING) -> Any:
    """Declare a field with the check that its value has to pass, which gives what is kept."""
    return field(default=default, default_factory=factory, metadata={"check": check})


class Record:
    """Base of every kind; `kind` is the word the log files it under."""

    __slots__ = ()
    kind: ClassVar[str] = ""

    def __post_init__(self) -> None:
        for one in dataclasses.fields(self):  # type: ignore[arg-type]
            if check := one.metadata.get("check"):
                value = check(f"{self.kind}: {one.name}", getattr(self, one.name))
                object.__setattr__(self, one.name, value)
        self.agree()

    def agree(self) -> None:
        """Refuse fields that do not go together."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision(Record):
    """What was decided and why; the reason may not be left out."""

    kind: ClassVar[str] = "decision"
    what: str = kept(_TEXT)
    reason: str = kept(_TEXT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part(Record):
    """A part of the machine and what is known of it; an unrated part carries no rated load."""

    kind: ClassVar[str] = "part"
    name: str = kept(_NAME)
    origin: str = kept(_one_of(*ORIGINS), "unknown")
    rating: str = kept(_one_of(*RATINGS), "unknown")
    rated_load: float | None = kept(_optional(0.0, 1e9, "N"), None)  # [N]
    mass: float | None = kept(_optional(0.0, 1e6, "kg"), None)  # [kg]
    known: str = kept(_ANY_TEXT, "")

    def agree(self) -> None:
        """Refuse fields that do not go together."""
        if self.rated_load is not None and self.rating != "rated":
            raise LogbookError(
                f"part: {self.name} has a rated load of {self.rated_load:g} N but its rating is "
                f"{self.rating!r}. Say rated, or leave the load out: an unrated part has none."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours(Record):
    """Hours of work by one person on one task."""

    kind: ClassVar[str] = "hours"
    who: str = kept(_NAME)
    hours: float = kept(_number(0.0, 10_000.0, "h"))  # [h]
    task: str = kept(_TEXT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost(Record):
    """Money spent, or money back where the amount is below zero."""

    kind: ClassVar[str] = "cost"
    item: str = kept(_TEXT)
    amount: float = kept(_number(-1e9, 1e9))
    currency: str = kept(_NAME, "EUR")


@dataclass(frozen=True, slots=True, kw_only=True)
class Incident(Record):
    """Something that went wrong or nearly did, and what was done about it."""

    kind: ClassVar[str] = "incident"
    what: str = kept(_TEXT)
    severity: str = kept(_one_of(*SEVERITIES))
    done: str = kept(_ANY_TEXT, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Photo(Record):
    """A picture copied in beside the log, filed under the hash of its content."""

    kind: ClassVar[str] = "photo"
    name: str = kept(_NAME)
    sha256: str
    ending: str = kept(_one_of(*PICTURE_ENDINGS))
    size: int  # [byte]
    caption: str = kept(_ANY_TEXT, "")

    def agree(self) -> None:
        """Refuse fields that do not go together."""
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
    thing: str = kept(_NAME)
    value: float = kept(_number(-1e300, 1e300))
    unit: str = kept(_NAME)
    sd: float | None = kept(_optional(0.0, 1e300), None)
    how: str = kept(_ANY_TEXT, "")
    path: str = kept(partial(checked_text, longest=LONGEST_NAME), "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot(Record):
    """One loosing as the field saw it; what was not measured stays None."""

    kind: ClassVar[str] = "shot"
    load: float = kept(_number(0.0, 10_000.0, "kg"))  # [kg]
    range: float | None = kept(_optional(-1_000.0, 2_000.0, "m"), None)  # [m]
    drift: float | None = kept(
        _optional(-1_000.0, 1_000.0, "m"), None
    )  # [m], to the right of the line of throw positive
    time_of_flight: float | None = kept(_optional(0.0, 120.0, "s"), None)  # [s]
    release_seen: str = kept(_one_of(*RELEASES), "")
    settings: Mapping[str, Setting] = kept(checked_settings, factory=dict)
    range_sd: float | None = kept(_optional(0.0, 1_000.0, "m"), None)  # [m]
    revision: int | None = kept(checked_reference, None)

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
    channel: str = kept(_NAME)
    unit: str = kept(_NAME)
    time: tuple[float, ...] = kept(checked_series)  # [s]
    value: tuple[float, ...] = kept(checked_series)
    shot: int | None = kept(checked_reference, None)

    def agree(self) -> None:
        """Refuse fields that do not go together."""
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
    point: tuple[str, ...] = kept(_names)
    time: tuple[float, ...] = kept(checked_series)  # [s]
    x: tuple[float, ...] = kept(checked_series)
    y: tuple[float, ...] = kept(checked_series)
    ball: str
    seen: tuple[float, ...] = kept(checked_series)
    known: tuple[float, ...] = kept(checked_series)  # [m]
    click_sd: float = kept(_number(1e-9, 1e6))
    y_down: bool = True
    tip: str = ""
    shot: int | None = kept(checked_reference, None)

    def agree(self) -> None:
        """Refuse fields that do not go together."""
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
            if name not in self.point and (role == "ball" or name):
                raise LogbookError(
                    f"video track: {role} {name!r} is none of "
                    f"{', '.join(sorted(set(self.point)))}. Name one of them."
                )


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision(Record):
    """The machine's dials after a change, what changed, and the numbers calculated for it.

    `changed` maps a path to the value before and after, None where the path was not there. The
    log fills it in against the last revision at the moment of writing.
    """

    kind: ClassVar[str] = "revision"
    values: Mapping[str, Setting] = kept(checked_settings)
    changed: Mapping[str, tuple[Setting | None, Setting | None]] = kept(_pairs, factory=dict)
    calculated: Mapping[str, Setting] = kept(checked_settings, factory=dict)
    previous: int | None = kept(checked_reference, None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawal(Record):
    """A correction that takes an entry back without putting another in its place."""

    kind: ClassVar[str] = "withdrawal"
    reason: str = kept(_TEXT)


RECORDS: Mapping[str, type[Record]] = MappingProxyType(
    {record.kind: record for record in Record.__subclasses__() if record.kind}
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

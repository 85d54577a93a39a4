"""Checks on single values of an entry; each error names the thing, the value and the limit."""

import math
from collections.abc import Mapping, Sequence
from datetime import datetime
from types import MappingProxyType

from slingwright.logbook.faults import LogbookError

LONGEST_TEXT = 100_000
LONGEST_NAME = 200
LONGEST_TRACE = 200_000
LARGEST_MAP = 1_000

Setting = float | bool | str


def checked_text(thing: str, value: object, *, required: bool = False, longest: int = 0) -> str:
    """Return the text, or say why it cannot be kept.

    Arguments:
        thing: what the text is, for the message.
        value: the text.
        required: whether blank text is refused.
        longest: most characters allowed; 0 takes LONGEST_TEXT.

    Raises LogbookError for anything that is not text, is blank though required, is too long or
    holds half a surrogate pair, which no file can hold.

    >>> checked_text("note", "new rope")
    'new rope'
    """
    most = longest or LONGEST_TEXT
    if not isinstance(value, str):
        raise LogbookError(f"{thing}: {value!r} is not text. Give it in quotes.")
    if required and not value.strip():
        raise LogbookError(f"{thing}: it is empty, and must say something. Write a few words.")
    if len(value) > most:
        raise LogbookError(
            f"{thing}: {len(value)} characters, and the most is {most}. Shorten it, or split it "
            "over two entries."
        )
    try:
        value.encode("utf-8")
    except UnicodeEncodeError:
        raise LogbookError(
            f"{thing}: it holds half a character (a lone surrogate), which cannot be written. "
            "Type that character again."
        ) from None
    return value


def checked_number(thing: str, value: object, low: float, high: float, unit: str = "") -> float:
    """Return the number as a float, or say what range it must stand in.

    Arguments:
        thing: what the number is, for the message.
        value: the number.
        low: least allowed.
        high: most allowed.
        unit: unit to print beside the numbers.

    Raises LogbookError for what is no finite number or stands outside the range.

    >>> checked_number("range", 187, 0.0, 1000.0, "m")
    187.0
    """
    tail = f" {unit}" if unit else ""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        try:
            usable = hasattr(value, "__float__") and not isinstance(value, bool)
            value = float(value) if usable else None  # type: ignore[arg-type]
        except (TypeError, ValueError):
            value = None
    if value is None:
        raise LogbookError(f"{thing}: it is not a number. Give it{tail and ' in' + tail}.")
    number = float(value)
    if not math.isfinite(number) or not low <= number <= high:
        raise LogbookError(
            f"{thing}: {number:g}{tail} is outside {low:g} to {high:g}{tail}. "
            "Look at the sign and the unit."
        )
    return number


def checked_choice(thing: str, value: object, choices: Sequence[str]) -> str:
    """Return the word if it is one of the choices, or name them.

    >>> checked_choice("release", "late", ("early", "right", "late"))
    'late'
    """
    if not isinstance(value, str) or value not in choices:
        listed = ", ".join(repr(choice) for choice in choices)
        raise LogbookError(f"{thing}: {value!r} is not one of {listed}. Use one of those.")
    return value


def checked_reference(thing: str, value: object) -> int | None:
    """Return the number of another entry, or None where there is none.

    >>> checked_reference("shot", 4)
    4
    """
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int) or value < 1:
        raise LogbookError(
            f"{thing}: {value!r} is not an entry number. Give 1 or more, or leave it out."
        )
    return value


def checked_settings(thing: str, values: object) -> Mapping[str, Setting]:
    """Return a read-only copy of a table of dial paths and their values in SI units.

    Arguments:
        thing: what the table is, for the message.
        values: path to number, true/false or word.

    Raises LogbookError for a path that is no text, or a value that is none of the three.

    >>> dict(checked_settings("settings", {"sling.length": 4}))
    {'sling.length': 4.0}
    """
    if not isinstance(values, Mapping):
        raise LogbookError(f"{thing}: {values!r} is not a table of path and value. Give a dict.")
    if len(values) > LARGEST_MAP:
        raise LogbookError(
            f"{thing}: {len(values)} rows, and the most is {LARGEST_MAP}. "
            "Keep the ones that matter."
        )
    kept: dict[str, Setting] = {}
    for path, value in values.items():
        name = checked_text(f"{thing}: a path", path, required=True, longest=LONGEST_NAME)
        if isinstance(value, bool):
            kept[name] = value
        elif isinstance(value, str):
            kept[name] = checked_text(f"{thing}: {name}", value, longest=LONGEST_NAME)
        else:
            kept[name] = checked_number(f"{thing}: {name}", value, -1e300, 1e300)
    return MappingProxyType(dict(sorted(kept.items())))


def checked_series(thing: str, values: object) -> tuple[float, ...]:
    """Return a series of finite numbers as a tuple of floats.

    >>> checked_series("time", [0, 0.5])
    (0.0, 0.5)
    """
    try:
        series = tuple(float(value) for value in values)  # type: ignore[attr-defined]
    except (TypeError, ValueError):
        raise LogbookError(f"{thing}: it is not a row of numbers. Give a list of floats.") from None
    if not series or len(series) > LONGEST_TRACE:
        raise LogbookError(
            f"{thing}: {len(series)} values; from 1 to {LONGEST_TRACE} can be kept. "
            "Thin the trace, or split it."
        )
    for place, value in enumerate(series):
        if not math.isfinite(value):
            raise LogbookError(
                f"{thing}: value {place + 1} is {value}, not a finite number. "
                "Leave that sample out."
            )
    return series


def checked_moment(thing: str, value: object) -> str:
    """Return a moment as text with its offset from universal time.

    Arguments:
        thing: what happened then, for the message.
        value: a datetime, or text such as "2031-06-14T15:20+01:00"; one without an offset is
            taken in the time zone of this computer.

    Raises LogbookError for what is no moment.

    >>> checked_moment("shot", "2031-06-14T15:20:00+01:00")
    '2031-06-14T15:20:00.000+01:00'
    """
    moment = value
    if isinstance(value, str):
        try:
            moment = datetime.fromisoformat(value.strip())
        except ValueError:
            moment = None
    if not isinstance(moment, datetime):
        raise LogbookError(
            f"{thing}: {value!r} is not a date and time. Write it as 2031-06-14T15:20, "
            "with +01:00 behind it for a time zone."
        )
    try:
        if moment.tzinfo is None:
            moment = moment.astimezone()
        return moment.isoformat(timespec="milliseconds")
    except (OverflowError, OSError, ValueError):
        raise LogbookError(
            f"{thing}: {value!r} is too far away for this calendar. Look at the year."
        ) from None

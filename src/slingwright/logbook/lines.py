"""An entry as one line of canonical JSON, and the digest that ties it to the line before."""

import hashlib
import json
from typing import Any

from slingwright.logbook.entries import Entry, record_body, record_from_body
from slingwright.logbook.faults import LogbookError
from slingwright.logbook.validation import (
    LONGEST_NAME,
    checked_moment,
    checked_reference,
    checked_text,
)

FIRST_DIGEST = "0" * 64
_FIELDS = ("at", "author", "before", "body", "corrects", "kind", "note", "number", "written")


def canonical(value: object) -> str:
    """Return JSON with sorted names and no blanks, the same text for the same value.

    >>> canonical({"b": 1.5, "a": "é"})
    '{"a":"é","b":1.5}'
    """
    return json.dumps(
        value, sort_keys=True, ensure_ascii=False, allow_nan=False, separators=(",", ":")
    )


def digest_of(line: str) -> str:
    """Return the sha256 of a line, in hex.

    Source: FIPS 180-4, Secure Hash Standard, National Institute of Standards and Technology.

    >>> digest_of("abc")[:16]
    'ba7816bf8f01cfea'
    """
    return hashlib.sha256(line.encode("utf-8")).hexdigest()


def entry_line(entry: Entry, before: str) -> str:
    """Return the line that is kept for an entry; `before` is the digest of the line before it."""
    return canonical(
        {
            "number": entry.number,
            "kind": entry.kind,
            "at": checked_moment("at", entry.at),
            "written": checked_moment("written", entry.written),
            "author": checked_text("author", entry.author, longest=LONGEST_NAME),
            "note": checked_text("note", entry.note),
            "corrects": checked_reference("corrects", entry.corrects),
            "body": record_body(entry.record),
            "before": before,
        }
    )


def entry_from_line(line: str, digest: str) -> tuple[Entry, str]:
    """Return the entry of a line, and the digest of the line before it.

    Arguments:
        line: canonical JSON of one entry.
        digest: the sha256 that was kept beside it.

    Raises LogbookError where the digest does not belong to the line, or the line is no entry.
    """
    try:
        right = digest_of(line) == digest
    except UnicodeEncodeError:
        right = False
    if not right:
        raise LogbookError("its text does not belong to its digest")
    try:
        fields: dict[str, Any] = json.loads(line)
    except ValueError as error:
        raise LogbookError(f"its text is not JSON ({error})") from error
    if not isinstance(fields, dict) or tuple(sorted(fields)) != _FIELDS:
        raise LogbookError("its text does not have the fields of an entry")
    number = checked_reference("number", fields["number"])
    if number is None:
        raise LogbookError("it has no number")
    record = record_from_body(fields["kind"], fields["body"])
    told = {name: fields[name] for name in ("at", "written", "author", "note", "corrects")}
    entry = Entry(number=number, kind=record.kind, record=record, digest=digest, **told)
    if entry_line(entry, str(fields["before"])) != line:
        raise LogbookError("its text is not in the canonical form")
    return entry, str(fields["before"])

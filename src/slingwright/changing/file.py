"""Proposed changes as a file and as a line: name, dials, cost, hours, reason.

A file of changes is TOML, one `[[change]]` a change:

    [[change]]
    name = "heavier fill"
    cost = 40
    hours = 3
    reason = "most range for least work"
    dials = { "counterweight.mass" = "720 kg" }

On one line it is `heavier fill: counterweight.mass=720 kg; cost=40; hours=3`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from slingwright.amounts import units
from slingwright.changing.what_if import Change, WhatIfError
from slingwright.machine.table.dials import Value

LONGEST = 200_000  # bytes of a file of changes
FIELDS = ("name", "dials", "cost", "hours", "reason")
NUMBERS = ("cost", "hours")


def change_of_line(line: str, between: str = ";") -> Change:
    """Read a change from a line: a name, a colon, then PATH=VALUE, cost=, hours= and reason=.

    Args:
        line: the text.
        between: what stands between two values.

    Raises:
        WhatIfError: it is no change; the message says how to write one.

    >>> one = change_of_line("heavier fill: counterweight.mass=720 kg; cost=40; hours=3")
    >>> one.name, dict(one.dials), one.cost, one.hours
    ('heavier fill', {'counterweight.mass': '720 kg'}, 40.0, 3.0)
    """
    name, colon, rest = line.partition(":")
    how = f"write NAME: PATH=VALUE{between} PATH=VALUE{between} cost=40{between} hours=3"
    if not colon:
        raise WhatIfError(f"{line.strip()[:60]!r}: it has no colon behind a name; {how}.")
    fields: dict[str, Any] = {"name": name.strip(), "dials": {}}
    for word in rest.split(between):
        if not word.strip():
            continue
        path, equals, value = (part.strip() for part in word.partition("="))
        if not equals:
            raise WhatIfError(f"{line.strip()[:60]!r}: {path[:40]!r} has no value; {how}.")
        if path in ("reason", *NUMBERS):
            fields[path] = value
        else:
            fields["dials"][path] = value
    return _change(fields)


def parse_changes(text: str, name: str = "changes") -> list[Change]:
    """Read the changes of a file's text.

    Args:
        text: TOML.
        name: of the file, for messages.

    Raises:
        WhatIfError: it is no TOML, holds no change, or a change cannot be.
    """
    try:
        whole = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise WhatIfError(f"{name}: this is no TOML ({error}). Correct that place.") from None
    rows = whole.get("change")
    if not isinstance(rows, list) or not rows or set(whole) != {"change"}:
        raise WhatIfError(f"{name}: write one [[change]] a change, and nothing else.")
    found = []
    for place, row in enumerate(rows, start=1):
        odd = [key for key in row if key not in FIELDS] if isinstance(row, dict) else ["it"]
        if odd or not isinstance(row.get("dials", None), dict):
            raise WhatIfError(
                f"{name}: change {place}: {', '.join(odd) or 'dials'} cannot be read; a change "
                f"has {', '.join(FIELDS)}, and dials is a table of path and value."
            )
        found.append(_change(row))
    return found


def read_changes(path: Path | str) -> list[Change]:
    """Read a file of changes.

    Raises:
        WhatIfError: it cannot be read, or as `parse_changes` does.
    """
    place = Path(path)
    try:
        if place.stat().st_size > LONGEST:
            raise WhatIfError(f"{place.name}: longer than {LONGEST} bytes; this is no such file.")
        text = place.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise WhatIfError(f"{place}: it cannot be read ({error}). Look at its name.") from None
    return parse_changes(text, place.name)


def changes_text(changes: Sequence[Change]) -> str:
    """Write changes as the text of a file.

    >>> print(changes_text([change_of_line("drum: winch.drum=0.15 m; hours=5")]))
    [[change]]
    name = "drum"
    hours = 5.0
    <BLANKLINE>
    [change.dials]
    "winch.drum" = "0.15 m"
    <BLANKLINE>
    """
    import tomlkit

    whole = tomlkit.document()
    rows = tomlkit.aot()
    for change in changes:
        row = tomlkit.table()
        row["name"] = change.name
        for key in NUMBERS:
            if getattr(change, key):
                row[key] = getattr(change, key)
        if change.reason:
            row["reason"] = change.reason
        row["dials"] = {path: value for path, value in change.dials.items()}
        rows.append(row)
    whole["change"] = rows
    return tomlkit.dumps(whole)


def _change(fields: dict[str, Any]) -> Change:
    name, numbers = str(fields.get("name", "")), {}
    for key in NUMBERS:
        value = fields.get(key, 0.0)
        try:
            if isinstance(value, bool):
                raise ValueError
            numbers[key] = units.number(str(value))
        except ValueError as error:
            how = f" ({error})" if "," in str(value) else ""
            wrong = f"{name}: {key} {value!r} is no number{how}; write it as 40."
            raise WhatIfError(wrong) from None
    dials: dict[str, Value] = {str(path): value for path, value in fields["dials"].items()}
    return Change(name=name, dials=dials, reason=str(fields.get("reason", "")), **numbers)

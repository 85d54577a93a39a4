"""Proposed changes as a file and as a line: name, dials, cost, hours, reason.

A file of changes is TOML, one `[[change]]` a change:

    [[change]]
    name = "heavier fill"
    cost = 40
    hours = 3
    reason = "most range for least work"
    people = 2
    stock = { "sack of sand" = 3 }
    dials = { "counterweight.mass" = "720 kg" }

On one line it is `heavier fill: counterweight.mass=720 kg; cost=40; hours=3; people=2; stock=3 sack
of sand`. What is only measured has `measures = ["arm.mass"]`, on a line `measures=arm.mass`, and no
dials.
"""

import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from slingwright.amounts import units
from slingwright.changing.what_if import Change, WhatIfError

LONGEST = 200_000  # bytes of a file of changes
FIELDS = ("name", "dials", "cost", "hours", "reason", "people", "stock", "measures")
NUMBERS = ("cost", "hours", "people")


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
    fields: dict[str, Any] = {"name": name.strip(), "dials": {}, "stock": {}, "measures": []}
    for word in rest.split(between):
        if not word.strip():
            continue
        path, equals, value = (part.strip() for part in word.partition("="))
        if not equals:
            raise WhatIfError(f"{line.strip()[:60]!r}: {path[:40]!r} has no value; {how}.")
        if path in ("reason", *NUMBERS):
            fields[path] = value
        elif path == "measures":
            fields[path].append(value)
        elif path == "stock":
            fields[path].update([stock_of_words(value)])
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
        kinds = (("dials", dict), ("stock", dict), ("measures", list))
        odd = odd or [key for key, kind in kinds if not isinstance(row.get(key, kind()), kind)]
        if odd:
            raise WhatIfError(
                f"{name}: change {place}: {', '.join(odd)} cannot be read; a change "
                f"has {', '.join(FIELDS)}; dials is a table of path and value, stock one of name "
                "and number, measures a list of paths."
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
            if getattr(change, key) != (1 if key == "people" else 0):
                row[key] = getattr(change, key)
        if change.reason:
            row["reason"] = change.reason
        for key, value in (("stock", dict(change.stock)), ("measures", list(change.measures))):
            if value:
                row[key] = value
        row["dials"] = {path: value for path, value in change.dials.items()}
        rows.append(row)
    whole["change"] = rows
    return tomlkit.dumps(whole)


def stock_of_words(words: str) -> tuple[str, float]:
    """Read a number and a name.

    Raises:
        WhatIfError: it has no number in front.

    >>> stock_of_words("3 sack of sand")
    ('sack of sand', 3.0)
    """
    number, _, name = words.strip().partition(" ")
    return name.strip(), _number("stock", words, number)


def _number(name: str, key: str, value: object) -> float:
    try:
        if isinstance(value, bool):
            raise ValueError
        return units.number(str(value))
    except ValueError as error:
        how = f" ({error})" if "," in str(value) else ""
        wrong = f"{name}: {key} {value!r} is no number{how}; write it as 40."
        raise WhatIfError(wrong) from None


def _change(fields: dict[str, Any]) -> Change:
    name = str(fields.get("name", ""))
    numbers = {key: _number(name, key, fields.get(key, 0.0)) for key in ("cost", "hours")}
    people = _number(name, "people", fields.get("people", 1))
    if people != int(people):
        raise WhatIfError(f"{name}: people {people:g}; give a whole number.")
    stock = fields.get("stock", {}).items()
    return Change(
        name=name,
        dials={str(path): value for path, value in fields.get("dials", {}).items()},
        cost=numbers["cost"],
        hours=numbers["hours"],
        reason=str(fields.get("reason", "")),
        people=int(people),
        stock={str(kind): _number(name, f"stock of {kind}", much) for kind, much in stock},
        measures=tuple(map(str, fields.get("measures", []))),
    )

"""The table of dials as plain text for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from slingwright.amounts import units
from slingwright.machine import derived
from slingwright.machine.dials import Dial
from slingwright.machine.machine import shown


def dials_text(rows: Sequence[Dial], system: units.System = "metric") -> str:
    """Write rows of the table: path, letter, limits, default and what each is.

    >>> from slingwright.machine import dials
    >>> print(dials_text(dials.group("release")))
    dial           letter  from      to       if not given  what it is
    release.angle  g_r     -120 deg  150 deg  40 deg        Sling lag at which the ring slips ...
    """
    table = [("dial", "letter", "from", "to", "if not given", "what it is")]
    for row in rows:
        low, high = limits(row, system)
        table.append((row.path, row.symbol, low, high, absent(row, system), row.help))
    wide = [max(len(line[i]) for line in table) for i in range(5)]
    return "\n".join(
        "  ".join([*(f"{cell:<{w}}" for cell, w in zip(line[:5], wide, strict=True)), line[5]])
        for line in table
    )


def limits(row: Dial, system: units.System = "metric") -> tuple[str, str]:
    """Write the lower and the upper limit of a dial."""
    if row.kind == "flag":
        return "false", "true"
    if row.kind == "name":
        return "a name", ""
    return shown(row, row.low * row.factor, system), shown(row, row.high * row.factor, system)


def absent(row: Dial, system: units.System = "metric") -> str:
    """Write what the dial is where a file does not say."""
    if row.required:
        return "required"
    if row.default is None:
        return "derived" if row.path in derived.PATHS else "none"
    if isinstance(row.default, float):
        return shown(row, row.default * row.factor, system)
    return shown(row, row.default, system)

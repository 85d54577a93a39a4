"""The table of dials as plain text for a terminal."""

from collections.abc import Sequence

from slingwright.amounts import units
from slingwright.machine.machine import shown
from slingwright.machine.table import derived
from slingwright.machine.table.dials import GROUPS, TABLE, Dial


def dials_text(rows: Sequence[Dial], system: units.System = "metric") -> str:
    """Write rows of the table: path, letter, limits, default and what each is.

    >>> from slingwright.machine.table import dials
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
    return shown(row, row.lowest, system), shown(row, row.highest, system)


def absent(row: Dial, system: units.System = "metric") -> str:
    """Write what the dial is where a file does not say."""
    if row.required:
        return "required"
    if row.default is None:
        return "derived" if row.path in derived.PATHS else "none"
    if isinstance(row.default, float):
        return shown(row, row.default * row.factor, system)
    return shown(row, row.default, system)


def dials_reference() -> str:
    """Write the whole table as a page of Markdown, group by group; `docs/dials.md` is this text."""
    lines = [
        "# The dials of a machine file",
        "",
        "Written by `python -m slingwright dials --markdown`, not by hand. How a file is made of",
        "them stands in [machine_files.md](machine_files.md). *required*: every file gives it;",
        "*derived*: worked out from the others where it is not given; *none*: not known, and what",
        "needs it is then not known either.",
    ]
    rules = {rule.path: rule.words for rule in derived.RULES}
    for name, title in GROUPS.items():
        lines += ["", f"## {title}: `[{name}]`", ""]
        lines += ["| key | letter | is | from | to | if not given | what it is |"]
        lines += ["|---|---|---|---|---|---|---|"]
        for row in (one for one in TABLE if one.group == name):
            low, high = limits(row)
            if row.kind == "name":
                low, high = ", ".join(row.choices), ""
                if row.table:
                    low, high = f"a row of the table {row.table}", ""
            without = f"derived: {rules[row.path]}" if row.path in rules else absent(row)
            cells = (f"`{row.key}`", row.symbol, row.label, low, high, without, row.help)
            lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"

"""The look of a machine file: a fresh one, or an old one with its comments, order and units."""

from typing import Any

import tomlkit
from tomlkit.items import Table

from slingwright.amounts import units
from slingwright.machine.machine import BriefLoad, Machine
from slingwright.machine.table import dials
from slingwright.machine.table.dials import Dial, Value

HEADING = (
    "A machine: values with units. What is left out is derived from the rest.",
    "`python -m slingwright dials` lists every dial with its limits.",
)


def fresh(machine: Machine) -> str:
    """Give the text of a new machine file: what was given, each with its line of help."""
    document = tomlkit.document()
    for line in HEADING:
        document.add(tomlkit.comment(line))
    if machine.name:
        document.add("name", tomlkit.string(machine.name))
    if machine.notes:
        document.add("notes", _long_text(machine.notes))
    for group in dials.GROUPS:
        rows = [row for row in dials.group(group) if row.path in machine.given]
        if not rows:
            continue
        table = tomlkit.table()
        for row in rows:
            item = tomlkit.item(_plain(machine.values[row.path], row.unit))
            item.comment(row.help)
            table.add(row.key, item)
        document.add(tomlkit.nl())
        document.add(group, table)
    if machine.brief:
        _set_brief(document, machine.brief)
    return tomlkit.dumps(document)


def kept(machine: Machine, old: Machine, like: str) -> str:
    """Give the text `like`, which reads as `old`, changed only where the machine differs."""
    document: Any = tomlkit.parse(like)
    for key, now, before in (
        ("name", machine.name, old.name),
        ("notes", machine.notes, old.notes),
    ):
        if now != before:
            if now:
                document[key] = _long_text(now)
            else:
                document.pop(key, None)
    for path in sorted(old.given - machine.given):
        group, _, key = path.partition(".")
        del document[group][key]
    for row in dials.TABLE:
        if row.path not in machine.given:
            continue
        value = machine.values[row.path]
        if row.path not in old.given:
            if row.group not in document:
                document.add(row.group, tomlkit.table())
            document[row.group][row.key] = _plain(value, row.unit)
        elif value != old.values[row.path]:
            table = document[row.group]
            table[row.key] = _plain(value, _unit_of(table[row.key], row))
    if machine.brief != old.brief:
        document.pop("brief", None)
        if machine.brief:
            _set_brief(document, machine.brief)
    return tomlkit.dumps(document)


def _unit_of(raw: object, row: Dial) -> str:
    """Give the unit that the old value of a dial was written in."""
    if isinstance(raw, str) and row.kind == "number":
        return units.quantity_and_unit(raw, row.unit)[1] or row.unit
    return row.unit


def _plain(value: Value, unit: str) -> str | float | bool:
    """Give a value as it stands in a file: text with a unit, a plain number, a flag, a name."""
    if isinstance(value, bool | str):
        return value
    if value is None:
        raise ValueError("a value that is not given has no place in a file")
    if unit == "-":
        return int(value) if value == int(value) and abs(value) < 1e15 else value
    return units.written(value, unit)


def _long_text(text: str) -> Any:
    return tomlkit.string(text, multiline=True) if "\n" in text else text


def _set_brief(document: Any, brief: tuple[BriefLoad, ...]) -> None:
    loads = tomlkit.aot()
    for load in brief:
        table: Table = tomlkit.table()
        table.add("name", load.name)
        table.add("mass", units.written(load.mass, "kg"))
        table.add("diameter", units.written(load.diameter, "m"))
        if load.drag is not None:
            table.add("drag", load.drag)
        loads.append(table)
    document.add("brief", loads)

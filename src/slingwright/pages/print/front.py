"""The first page of the dossier: whose machine, which file and revision, and what changed."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from importlib.metadata import version
from pathlib import Path

from slingwright.amounts import units
from slingwright.logbook import Logbook, Revision
from slingwright.machine.faults import MachineError
from slingwright.machine.file import parse_machine
from slingwright.machine.machine import Machine, shown
from slingwright.machine.table import dials
from slingwright.machine.table.dials import Value
from slingwright.pages.log.records import differing

NAMED = 12  # dials that the first page names of those that changed; the table of dials has all


def as_in_file(machine: Machine) -> Machine | None:
    """Give the machine as the text of its file has it; None where it was read from none."""
    if machine.source is None:
        return None
    try:
        return parse_machine(machine.source, machine.name)
    except MachineError:
        return None


def identity(
    machine: Machine, *, day: str, system: units.System, log: Logbook | None, client: str,
    author: str,
) -> Iterator[tuple[str, str]]:  # fmt: skip
    """Give what the dossier is of, a name and words each; arguments as for `report_files`."""
    yield "Machine", machine.name or "without a name"
    yield "For", client or "not given"
    yield "Made by", author or "not given"
    yield "Date", day
    yield "Reckoned with", f"slingwright {version('slingwright')}"
    yield "Machine file", _file(machine)
    base = as_in_file(machine)
    if base is not None:
        here = [p for p in dials.BY_PATH if machine.origin(p, base).startswith("changed")]
        words = _named(machine, {path: base[path] for path in here}, system)
        yield "Changed for this run", words or "nothing"
    if log is None:
        yield "Revision", "not known: no build log was given"
        return
    entries = log.current(Revision.kind)
    last = entries[-1] if entries else None
    if last is None or not isinstance(last.record, Revision):
        yield "Revision", "none: the build log has no revision yet"
        return
    by = f", {last.author}" if last.author else ""
    note = f": {last.note}" if last.note else ""
    yield "Last revision", f"{len(entries)} (entry {last.number}, {last.at[:10]}{by}){note}"
    apart = differing(machine, last)
    yield "Since that revision", _named(machine, apart, system) or "nothing: this is that revision"
    if not apart:
        first = last.record.previous is None
        changed = {p: sides[0] for p, sides in last.record.changed.items() if p in dials.BY_PATH}
        words = "it is the first of the log" if first else _named(machine, changed, system)
        yield "What it changed", words or "no dial"


def _file(machine: Machine) -> str:
    if machine.source is None:
        return "none: this machine was not read from a file"
    data = machine.source.encode()
    name = Path(machine.file).name if machine.file else "not named"
    if machine.file:
        try:
            found = Path(machine.file).read_bytes()
        except OSError:
            found = data
        if found.decode("utf-8", "replace").removeprefix("\ufeff").replace("\r\n", "\n") == (
            machine.source
        ):
            data = found
        else:
            name += " (changed on disk since it was read; this is of the text that was read)"
    return f"{name}, sha256 {hashlib.sha256(data).hexdigest()}"


def _named(machine: Machine, before: Mapping[str, Value], system: units.System) -> str:
    words = [
        f"{path} {shown(row, before[path], system)} to {shown(row, machine[path], system)}"
        for path in sorted(before, key=lambda path: path not in machine.given)
        for row in (dials.BY_PATH[path],)
    ]
    more = len(words) - NAMED
    return "; ".join(words[:NAMED]) + (f"; and {more} more" if more > 0 else "")

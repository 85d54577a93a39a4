"""Two revisions of a machine side by side: what changed, why, and what it did."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from slingwright.amounts import units
from slingwright.amounts.answer import Answer, Cell, Row, Table
from slingwright.amounts.text import Amount, Text, text
from slingwright.changing.state import MISHAP, State, look_at
from slingwright.logbook import Entry, Logbook, LogbookError, Revision
from slingwright.logbook.validation import Setting
from slingwright.machine.faults import MachineError
from slingwright.machine.machine import Machine, build, shown
from slingwright.machine.table import derived, dials
from slingwright.machine.table.dials import Value
from slingwright.pages.log.records import machine_at


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Compared(Answer):
    """Two states of a machine, their names, and the notes of the revisions from one to the other.

    `settings` has each dial that differs, with its value in the second and whether it only follows.
    """

    labels: tuple[str, str]
    before: State
    after: State
    why: tuple[str, ...]
    changed: Mapping[str, tuple[Value, Value, bool]]  # before, after, whether it only follows

    @property
    def sentence(self) -> Text:
        """How many dials differ, and what that did to range, axle load and crank force."""
        own = sum(not follows for _, _, follows in self.changed.values())
        many = f"{own or 'no'} dial{'' if own == 1 else 's'} set otherwise"
        parts: list[str] = [f"From {self.labels[0]} to {self.labels[1]}: {many}"]
        for name, one, other in self._effects():
            if isinstance(one, Amount) and isinstance(other, Amount):
                parts.append(text(f"; {name} ", one, " to ", other))
        return text(*parts, ".")

    def _effects(self) -> Iterator[tuple[str, Cell, Cell]]:
        for name, key, unit in (
            ("range", "range", "m"),
            ("peak axle load", "axle_load", "N"),
            ("crank force per person", "crank_force", "N"),
            ("from shot to shot", "reload_time", "s"),
        ):
            pair = (getattr(state, key) for state in (self.before, self.after))
            one, other = ("not known" if x is None else Amount(x, unit, 3) for x in pair)
            yield name, one, other

    def _rest(self) -> Iterator[tuple[str, Cell, Cell]]:
        yield "how the throw ends", self.before.outcome, self.after.outcome
        yield "worst check as planned", _worst(self.before), _worst(self.after)
        for name, counted in (
            ("fail as planned", lambda s: sum(not key.endswith(MISHAP) for key in s.failings)),
            ("fail in a mishap alone", lambda s: sum(key.endswith(MISHAP) for key in s.failings)),
            ("not known", lambda s: len(s.unknown)),
        ):
            yield name, str(counted(self.before)), str(counted(self.after))

    @property
    def turned(self) -> tuple[str, ...]:
        """What fails or is not known after and was not before, and what was and is no more."""
        found = []
        for words, one, other in (
            ("Fails now and did not", self.after.failings, self.before.failings),
            ("Not known now", self.after.unknown, {**self.before.unknown, **self.before.failings}),
            ("Fails no more", self.before.failings, self.after.failings),
        ):
            names = [key for key in one if key not in other]
            if names:
                found.append(f"{words}: {'; '.join(names)}.")
        return tuple(found)

    def rows(self) -> Iterator[Row]:
        """Give what it did, then each dial, as it is after, with what it was before in the note."""
        for label, one, other in (*self._effects(), *self._rest()):
            yield Row(label, label, other, text("before: ", one or ""))
        for path, (was, now, follows) in self.changed.items():
            row = dials.BY_PATH[path]
            note = f"before: {shown(row, was)}" + ("; follows" if follows else "")
            yield Row(path, row.label, _cell(row, now), note)

    def table(self, system: units.System = "metric") -> Table:
        """Give it as a table, before beside after; the dials that were set come first."""
        lines: list[tuple[Cell, ...]] = [
            (name, one, other, _by(one, other)) for name, one, other in self._effects()
        ]
        lines += [(name, one, other, "") for name, one, other in self._rest()]
        for path, (was, now, follows) in self.changed.items():
            row = dials.BY_PATH[path]
            sides = (shown(row, side, system) for side in (was, now))
            lines.append((path, *sides, "follows" if follows else "set"))
        caption = "\n".join([self.sentence.told(system), *self.why, *self.turned])
        head = ("", *self.labels, "")
        return Table(head=head, lines=tuple(lines), caption=caption, system=system)


def compare_revisions(
    log: Logbook, first: int, second: int | None, base: Machine | None = None
) -> Compared:
    """Compare a revision of a log with another, or with the machine at hand.

    Args:
        log: the log that has them.
        first, second: their entries; the machine `base` itself where it is None.
        base: the machine of the file, whose brief of loads is taken for both, for the log keeps
            dials alone; without it only the projectile that a revision sets is thrown.

    Raises:
        LogbookError: an entry is no revision that counts.
        MachineError: its dials make no machine.
    """
    entries = {entry.number: entry for entry in log.current(Revision.kind)}
    sides, less = [], []
    named = {path for number in (first, second) for path in _values(entries.get(number or 0))}
    for number in (first, second):
        if number is None:
            sides.append((base, "the machine at hand"))
            continue
        entry = entries.get(number)
        if entry is None:
            there = ", ".join(map(str, entries)) or "none yet"
            raise LogbookError(
                f"entry {number} is no revision that counts. Give the number of one: {there}."
            )
        place = list(entries).index(number) + 1
        label = f"revision {place} (entry {number}, {entry.at[:10]})"
        sides.append((_machine_of(log, entry, base), label))
        missing = [p for p in named if p in dials.BY_PATH and p not in _values(entry)]
        if missing:
            less.append(
                f"Entry {number} does not name {len(missing)} dials that the other does; those "
                f"are as {'in the file' if base else 'the kit has them'}."
            )
    (before, one), (after, other) = sides
    assert before is not None and after is not None
    last = max(entries, default=first) if second is None else second
    low, high = sorted((first, last))
    why = [
        f"Why, entry {number}: {entry.note or 'no note'} "
        f"({', '.join(filter(None, (entry.author, entry.at[:10])))})"
        for number, entry in entries.items()
        if low < number <= high
    ]
    follow = before.derived.keys() & after.derived.keys()
    differ = [path for path in dials.BY_PATH if before[path] != after[path]]
    changed = {
        path: (before[path], after[path], path in follow)
        for path in sorted(differ, key=lambda path: path in follow)
    }
    states = {"before": look_at(before), "after": look_at(after)}
    return Compared(labels=(one, other), why=(*why, *less), changed=changed, **states)


def _machine_of(log: Logbook, entry: Entry, base: Machine | None) -> Machine:
    """Make the machine of a revision; what follows from other dials stays derived."""
    values = _values(entry)
    if base is None:
        known = {path: value for path, value in values.items() if path in dials.BY_PATH}
        try:
            given = {path: value for path, value in known.items() if path not in derived.PATHS}
            base = build(given, name=log.machine)
        except MachineError:
            base = build(known, name=log.machine)
    return machine_at(base, values)


def _values(entry: Entry | None) -> Mapping[str, Setting]:
    record = None if entry is None else entry.record
    return record.values if isinstance(record, Revision) else {}


def _worst(state: State) -> Cell:
    if state.worst_use is None:
        return "not known"
    return text(f"{state.worst_check}, ", Amount(state.worst_use, "share", 3))


def _cell(row: dials.Dial, value: Value) -> Cell:
    if isinstance(value, float):
        return Amount(value, row.si_unit)
    return shown(row, value)


def _by(one: Cell, other: Cell) -> str:
    if not (isinstance(one, Amount) and isinstance(other, Amount)) or not one.value:
        return ""
    return f"{100.0 * (other.value / one.value - 1.0):+.1f} %".replace("-", "\N{MINUS SIGN}")

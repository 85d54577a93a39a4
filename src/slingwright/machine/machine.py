"""The machine: a frozen record of every dial's value, checked, with what was derived and how.

A change makes a new record, so that every check runs again.  All faults are reported at once, each
with the dial, the line of the file where one was read, the value, the limit and the next step.
"""

from __future__ import annotations

import functools
import importlib
import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, fields
from types import MappingProxyType
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.machine.faults import Fault, MachineError, at_most, unknown_dial, written_as
from slingwright.machine.table import derived, dials
from slingwright.machine.table.conditions import CONDITIONS, Condition
from slingwright.machine.table.dials import Dial, Value
from slingwright.machine.table.names import known_names

__all__ = [
    "BriefLoad",
    "Fault",
    "Machine",
    "MachineError",
    "build",
    "moving_table",
    "outside",
    "read_value",
    "shown",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class BriefLoad:
    """One load the brief asks for: name, mass [kg], diameter [m], drag coefficient or None."""

    name: str
    mass: float
    diameter: float
    drag: float | None = None


QUESTIONS = ("throw", "holding", "winding", "zone", "sensitivity", "reach_curve")
"""Functions of the package that a machine can be asked as its own."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Machine:
    """A whole machine: `values` holds every dial in SI, `given` the paths that were set.

    Make one with `machine.build`, `read_machine` or `parse_machine`, or from another with `change`.
    `file` and `source` tell where it was read from and its text, so that it can be written back.
    """

    name: str
    values: Mapping[str, Value]
    given: frozenset[str]
    brief: tuple[BriefLoad, ...] = ()
    notes: str = ""
    file: str | None = None
    source: str | None = None

    def __getitem__(self, path: str) -> Value:
        try:
            return self.values[path]
        except KeyError:
            dials.dial(path)
            raise

    def _ipython_key_completions_(self) -> list[str]:
        return list(self.values)

    def __getattr__(self, name: str) -> Any:
        # m.throw() is sw.throw(m): the package's own functions, looked up when they are asked for,
        # so that nothing here depends on the rooms that answer.
        if name not in QUESTIONS:
            raise AttributeError(f"a machine has no {name!r}; it has {', '.join(QUESTIONS)}")
        return functools.partial(getattr(importlib.import_module("slingwright"), name), self)

    def number(self, path: str) -> float:
        """Give a number in SI; TypeError for a dial that holds none."""
        value = self[path]
        if isinstance(value, bool) or not isinstance(value, float):
            raise TypeError(f"{path} is {value!r}, not a number; read it with m[{path!r}]")
        return value

    def flag(self, path: str) -> bool:
        """Give a true or false; TypeError for another kind of dial."""
        value = self[path]
        if not isinstance(value, bool):
            raise TypeError(f"{path} is {value!r}, not true or false; read it with m[{path!r}]")
        return value

    def text(self, path: str) -> str:
        """Give a name, such as a timber class; TypeError for another kind of dial."""
        value = self[path]
        if not isinstance(value, str):
            raise TypeError(f"{path} is {value!r}, not a name; read it with m[{path!r}]")
        return value

    def moving(self) -> np.ndarray:
        """Give the values the motion depends on, in the order of dials.MOVING.

        Flags are 0 or 1, what is not given is NaN.
        """
        return np.array([_as_float(self.values[dial.path]) for dial in dials.MOVING])

    @property
    def derived(self) -> Mapping[str, str]:
        """How each derived value was come by, in words."""
        return MappingProxyType({rule.path: rule.words for rule in derived.rules_for(self.given)})

    def change(self, changes: Mapping[str, Value]) -> Machine:
        """Give a new machine with other values: texts with units, SI floats, flags or names.

        None takes back what was given, so that the value is derived or the default again.

        Raises:
            MachineError: with every fault the changed machine has.
        """
        settings = {path: self.values[path] for path in self.given}
        taken_back = []
        for path, value in changes.items():
            if value is None and path in dials.BY_PATH:
                taken_back.append(path)
            else:
                settings[path] = value
        for path in taken_back:
            settings.pop(path, None)
        return build(
            settings,
            name=self.name,
            brief=self.brief,
            notes=self.notes,
            file=self.file,
            source=self.source,
        )

    def origin(
        self, path: str, base: Machine | None = None, system: units.System = "metric"
    ) -> str:
        """Tell of a dial whether it is given, derived (and how), the default, or changed.

        Args:
            path: the dial's.
            base: the machine as its file has it, to tell what was changed for this run.
            system: units of its value there.
        """
        how = self.derived
        own = (
            "given" if path in self.given else f"derived: {how[path]}" if path in how else "default"
        )
        same = base is None or self.values[path] == base.values[path]
        if base is None or (same and (path in self.given) == (path in base.given)):
            return own
        before = f"in the file {shown(dials.BY_PATH[path], base.values[path], system)}"
        if path in self.given or path in base.given:
            return f"changed for this run, {own}; {before}, {base.origin(path).split(':')[0]}"
        return f"{own}; follows what was changed, {before}"

    def account(self, system: units.System = "metric") -> str:
        """Tell of every dial its value and whether it was given, derived (and how) or left."""
        rows = [("dial", "value", "from")]
        for dial in dials.TABLE:
            value = shown(dial, self.values[dial.path], system)
            rows.append((dial.path, value, self.origin(dial.path)))
        wide = [max(len(row[i]) for row in rows) for i in (0, 1)]
        return "\n".join(f"{a:<{wide[0]}}  {b:<{wide[1]}}  {c}".rstrip() for a, b, c in rows)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Machine):
            return NotImplemented
        return self._identity() == other._identity()

    def __hash__(self) -> int:
        return hash(self._identity())

    def _identity(self) -> tuple[object, ...]:
        values = tuple(self.values[dial.path] for dial in dials.TABLE)
        return (self.name, values, self.given, self.brief, self.notes)

    def __repr__(self) -> str:
        sizes = ", ".join(
            f"{dial.path} {shown(dial, self.values[dial.path])}"
            for dial in dials.TABLE
            if dial.required
        )
        return f"<Machine {self.name!r}: {sizes}>"

    def __reduce__(self) -> tuple[Any, ...]:
        parts = {one.name: getattr(self, one.name) for one in fields(self)}
        return _restored, ({**parts, "values": dict(self.values)},)


def _restored(parts: dict[str, Any]) -> Machine:
    """Put a machine together again from another process; it was checked when it was made."""
    return Machine(**{**parts, "values": MappingProxyType(parts["values"])})


def build(
    settings: Mapping[str, Value],
    *,
    name: str = "",
    brief: tuple[BriefLoad, ...] = (),
    notes: str = "",
    file: str | None = None,
    source: str | None = None,
    lines: Mapping[str, int] | None = None,
    faults: Iterable[Fault] = (),
    excused: Iterable[str] = (),
) -> Machine:
    """Make a machine from the values that are set: texts with units, SI floats, flags, names.

    Args:
        settings: path to value; what is left out is derived or the default.
        name, brief, notes, file, source: kept with the machine.
        lines: path to line of the file it was read from, for the faults.
        faults: what the caller found already: the machine is not made, all is reported together.
        excused: required paths whose absence the caller has reported.

    Raises:
        MachineError: with every fault.

    >>> m = build({"arm.long": 5.0, "arm.short": "1.2 m", "axle.height": "3.5 m",
    ...            "counterweight.mass": "1.4 t", "sling.length": "16 ft", "projectile.mass": 12.0})
    >>> m["counterweight.mass"], round(m["counterweight.hanger"], 6)
    (1400.0, 0.96)
    """
    found = list(faults)
    where = lines or {}
    values: dict[str, Value] = {}
    for path, raw in settings.items():
        dial = dials.BY_PATH.get(path)
        if dial is None:
            found.append(unknown_dial(str(path), where.get(path), hint=len(found) < 50))
            continue
        value, fault = read_value(dial, raw, line=where.get(path))
        if fault is not None:
            found.append(fault)
        else:
            values[path] = value
    skipped = set(excused) | set(settings)
    for dial in dials.TABLE:
        if dial.required and dial.path not in skipped:
            found.append(_missing(dial))
    given = frozenset(values)
    values |= {path: value for path, value in _UNSET.items() if path not in skipped}
    found.extend(_derive_into(values, given))
    found.extend(_disagreements(values, where))
    if found:
        raise MachineError(at_most(found))
    return Machine(
        name=name,
        values=MappingProxyType({dial.path: values[dial.path] for dial in dials.TABLE}),
        given=given,
        brief=brief,
        notes=notes,
        file=file,
        source=source,
    )


def read_value(
    dial: Dial, raw: object, *, line: int | None = None, bare: bool = True
) -> tuple[Value, Fault | None]:
    """Read one setting of a dial and hold it to the dial's limits.

    Args:
        dial: the row of the table.
        raw: a text with its unit, a float in SI, a flag or a name.
        line: for the fault.
        bare: whether a bare number is SI; in a file it is a fault, except for plain numbers.

    Returns:
        The value in SI and no fault, or None and the fault.
    """

    as_shown: float | None = None

    def fault(message: str, limit: str, next_step: str) -> tuple[None, Fault]:
        return None, Fault(
            key=dial.path,
            line=line,
            value=written_as(raw) if as_shown is None else shown(dial, as_shown),
            message=message,
            limit=limit,
            next_step=next_step,
        )

    if dial.kind == "flag":
        if isinstance(raw, bool | np.bool_):
            return bool(raw), None
        return fault("this is not true or false", "true or false", "write true or false, no quotes")
    if dial.kind == "name":
        return _read_name(dial, raw, fault)
    if raw is None and _may_be_absent(dial):
        return None, None
    if isinstance(raw, bool | np.bool_) or not isinstance(
        raw, str | int | float | np.integer | np.floating
    ):
        return fault("this is not a number", _limits(dial), _how_to_write(dial))
    if isinstance(raw, str):
        try:
            value = units.quantity(raw, dial.unit)
        except units.UnitError as error:
            return fault(error.fault, error.limit or _limits(dial), error.next_step)
    else:
        if not bare and dial.unit != "-":
            return fault("the unit is missing", _limits(dial), _how_to_write(dial))
        try:
            value = float(raw)
            as_shown = value if math.isfinite(value) else None
        except OverflowError:
            value = math.inf
    trouble = outside(dial, value)
    if trouble is not None:
        return fault(*trouble)
    return value + 0.0, None


def outside(dial: Dial, value: float) -> tuple[str, str, str] | None:
    """Tell how a value in SI breaks the dial's own limits: message, limit, next step."""
    if not math.isfinite(value):
        return "this is not a finite number", _limits(dial), _how_to_write(dial)
    low, high = dial.lowest, dial.highest
    if value < low:
        return "too small", _limits(dial), f"make it {_edge(dial, dial.low)} or more"
    if value > high:
        return "too large", _limits(dial), f"make it {_edge(dial, dial.high)} or less"
    if dial.whole and value != round(value):
        return "this is not a whole number", _limits(dial), f"use {round(value)}"
    return None


def shown(dial: Dial, value: Value, system: units.System = "metric") -> str:
    """Write a dial's value for a reader."""
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return value
    return units.text(value, dial.si_unit, system)


def moving_table(
    machine: Machine, columns: Mapping[str, np.ndarray]
) -> tuple[np.ndarray, list[str | None]]:
    """Give the motion's values for many changes of one machine at once.

    Args:
        machine: what the columns do not set is as it is there; derived values follow the columns.
        columns: path to n values in SI (flags as truths, names as texts).

    Returns:
        A table of shape (n, len(dials.MOVING)), and for each row None or its faults in words.

    Raises:
        MachineError: a path that is no dial.
        ValueError: columns of different length.
    """
    wrong = [unknown_dial(str(path)) for path in columns if path not in dials.BY_PATH]
    if wrong:
        raise MachineError(wrong)
    arrays = {path: np.atleast_1d(np.asarray(column)) for path, column in columns.items()}
    sizes = {path: array.shape for path, array in arrays.items()}
    if len(set(sizes.values())) > 1 or any(len(shape) != 1 for shape in sizes.values()):
        raise ValueError(f"columns must be rows of one length, these are {sizes}; repeat or cut")
    count = next(iter(arrays.values())).shape[0] if arrays else 1
    values: dict[str, Any] = dict(machine.values)
    bad: dict[int, list[str]] = {}
    for path, array in arrays.items():
        values[path] = _column(dials.BY_PATH[path], array, bad)
    given = machine.given | set(arrays)
    changed = set(arrays)
    with np.errstate(all="ignore"):
        for rule in derived.rules_for(given):
            if changed.isdisjoint(rule.needs):
                continue
            value = np.asarray(rule.function(*(values[path] for path in rule.needs)), dtype=float)
            values[rule.path] = value
            changed.add(rule.path)
            _hold_to_limits(dials.BY_PATH[rule.path], value, bad, how=rule.words)
        for fit in CONDITIONS:
            if changed.isdisjoint(fit.needs):
                continue
            needed = [values[path] for path in fit.needs]
            holds = np.broadcast_to(fit.holds(*needed), (count,))
            for row in np.flatnonzero(~holds):
                if int(row) not in bad:
                    one = {p: _of_row(values[p], int(row)) for p in fit.needs}
                    bad.setdefault(int(row), []).append(str(_broken(fit, one, {})))
    table = np.empty((count, len(dials.MOVING)))
    for place, dial in enumerate(dials.MOVING):
        value = values[dial.path]
        table[:, place] = _as_float(value) if not isinstance(value, np.ndarray) else value
    return table, ["\n".join(bad[row]) if row in bad else None for row in range(count)]


# ---- within


def _as_float(value: Value) -> float:
    """Give a value as the compiled functions take it."""
    if value is None:
        return math.nan
    if isinstance(value, str):
        raise TypeError(f"{value!r} is a name, and the motion takes numbers only")
    return float(value)


def _may_be_absent(dial: Dial) -> bool:
    """Tell whether a dial may have no value at all: neither required, derived nor a default."""
    return dial.default is None and not dial.required and dial.path not in derived.PATHS


_UNSET = {
    dial.path: dial.at_first
    for dial in dials.TABLE
    if (dial.default is not None and not dial.required) or _may_be_absent(dial)
}
"""What a dial that is not set holds, where no rule gives it."""


def _edge(dial: Dial, value: float) -> str:
    return f"{value:,g}" if dial.unit == "-" else f"{value:,g} {dial.unit}"


def _limits(dial: Dial) -> str:
    whole = ", whole" if dial.whole else ""
    return f"{dial.low:,g} to {_edge(dial, dial.high)}{whole}"


def _how_to_write(dial: Dial) -> str:
    if dial.unit == "-":
        return 'write a plain number, such as 0.3 or "30 %"'
    number = max(dial.low, min(dial.high, 10.0 * dial.step))
    return f'write it with a unit, such as "{number:g} {dial.unit}"'


def _missing(dial: Dial) -> Fault:
    return Fault(
        key=dial.path,
        message="this value is required and missing",
        limit=_limits(dial),
        next_step=f"{_how_to_write(dial)}: {dial.help}",
    )


def _read_name(
    dial: Dial, raw: object, fault: Callable[[str, str, str], tuple[None, Fault]]
) -> tuple[Value, Fault | None]:
    """Read a name that must be a row of a table of materials."""
    known = known_names(dial)
    limit = ", ".join(known[:16]) + (", ..." if len(known) > 16 else "")
    if not isinstance(raw, str):
        return fault("this is not a name", limit, f'write a name in quotes, such as "{known[0]}"')
    if raw in known:
        return str(raw), None
    near = dials.nearest(raw.strip().upper(), known) or dials.nearest(raw, known)
    step = f"did you mean {near}?" if near else "choose one of these, or add a row of your own"
    return fault("no material of that name", limit, step)


def _derive_into(values: dict[str, Value], given: frozenset[str]) -> Iterator[Fault]:
    """Derive what can be derived from sound values, and hold it to the limits."""
    with np.errstate(all="ignore"):
        for rule in derived.rules_for(given):
            try:
                needed = [values[path] for path in rule.needs]
            except KeyError:  # at fault itself, and told so
                continue
            value = float(rule.function(*needed))
            dial = dials.BY_PATH[rule.path]
            trouble = outside(dial, value)
            if trouble is None:
                values[rule.path] = value + 0.0
                continue
            message, limit, _ = trouble
            causes = [path for path in rule.needs if path in given] or rule.needs
            yield Fault(
                key=rule.path,
                value=units.text(value, dial.si_unit),
                message=f"the value derived for it ({rule.words}) is {message}",
                limit=limit,
                next_step=f"give {rule.path} itself, or change {', '.join(causes)}",
            )


def _disagreements(values: Mapping[str, Value], where: Mapping[str, int]) -> Iterator[Fault]:
    """Hold the values to the conditions between them, where all they need is sound."""
    for condition in CONDITIONS:
        try:
            needed = [values[path] for path in condition.needs]
        except KeyError:
            continue
        if not condition.holds(*needed):
            yield _broken(condition, values, where)


def _broken(condition: Condition, values: Mapping[str, Any], where: Mapping[str, int]) -> Fault:
    message, limit, next_step = condition.say(*(values[path] for path in condition.needs))
    return Fault(
        key=condition.key,
        line=where.get(condition.key),
        value=shown(dials.BY_PATH[condition.key], values[condition.key]),
        message=message,
        limit=limit,
        next_step=next_step,
    )


def _column(dial: Dial, array: np.ndarray, bad: dict[int, list[str]]) -> np.ndarray:
    """Read a column of a sweep; what is out of bounds becomes NaN and is noted in `bad`."""
    if dial.kind == "number" and array.dtype.kind in "fiu":
        column = array.astype(float)
        _hold_to_limits(dial, column, bad)
        return column
    if dial.kind == "flag" and array.dtype.kind == "b":
        return array
    read = []
    for row, raw in enumerate(array.tolist()):
        value, fault = read_value(dial, raw)
        if fault is not None:
            bad.setdefault(row, []).append(str(fault))
            # What keeps the column whole.
            value = math.nan if dial.kind == "number" else dial.default
        read.append(math.nan if value is None else value)
    return np.array(read)


def _hold_to_limits(
    dial: Dial, column: np.ndarray, bad: dict[int, list[str]], how: str = ""
) -> None:
    low, high = dial.lowest, dial.highest
    sound = (column >= low) & (column <= high)
    if dial.whole:
        sound &= column == np.round(column)
    if _may_be_absent(dial):
        sound |= np.isnan(column)
    for row in np.flatnonzero(~np.atleast_1d(sound)):
        value = float(np.atleast_1d(column)[row])
        trouble = outside(dial, value)
        if trouble is None or (how and int(row) in bad):
            continue
        message, limit, next_step = trouble
        fault = Fault(
            key=dial.path,
            value=shown(dial, value),
            message=f"the value derived for it ({how}) is {message}" if how else message,
            limit=limit,
            next_step=f"give {dial.path} itself" if how else next_step,
        )
        bad.setdefault(int(row), []).append(str(fault))


def _of_row(value: Any, row: int) -> Any:
    """Give one row's value of a column, or the value all rows share."""
    if not isinstance(value, np.ndarray):
        return value
    one = value if value.ndim == 0 else value[row]
    return one.item()

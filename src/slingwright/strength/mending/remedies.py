"""What would make a check pass: for each dial it hangs on, the value at which it just holds."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from slingwright.amounts import units
from slingwright.machine.faults import MachineError
from slingwright.machine.machine import Machine, shown
from slingwright.machine.table import dials
from slingwright.machine.table.dial import Dial, Value
from slingwright.machine.table.names import known_names
from slingwright.strength.check import Check, Subject
from slingwright.strength.checks import GROUPS, Holding
from slingwright.strength.loads.cases import load_cases

REACH = 8.0
"""How far a dial is tried: to this many times its value, or to its value over that."""
GROWTH = 1.35
MOST_TRIES, ROUNDS = 24, 3
HARD = 1e6  # stands for a use that is not known, so that a search can go past it


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One dial and the value at which a check just holds; `value` is None where none was found."""

    check: str
    path: str
    now: Value
    value: Value
    utilisation: float

    @property
    def words(self) -> str:
        """Say the change in words, in metric units."""
        return self.told()

    def told(self, system: units.System = "metric", by_label: bool = False) -> str:
        """Say the change in words, in the units of a system; the dial by its path or its label."""
        dial = dials.dial(self.path)
        called = dial.label if by_label else self.path
        if self.value is None:
            return f"{called} alone does not bring it to its limit"
        now, value = shown(dial, self.now, system), shown(dial, self.value, system)
        return f"{called}: {now} to {value}"


class SearchStopped(Exception):
    """A search that was told to stop before it had an answer."""


def remedies(
    holding: Holding, check: Check, stopped: Callable[[], bool] = lambda: False
) -> tuple[Remedy, ...]:
    """Find, for each dial a check hangs on, the value that brings the check to its limit.

    The nearest such value is sought, all else equal; other checks may fail at it.

    Raises: SearchStopped, as soon as `stopped`, asked before each trial, says so.
    """
    search = _Search(holding, check, stopped)
    return tuple(search.remedy(path) for path in check.dials)


def all_remedies(holding: Holding, most: int | None = None) -> Iterator[Remedy]:
    """Give the remedies of every check that fails, or that could not be made at all.

    Args:
        most: checks to look at, the worst first; all if none is given.
    """
    failing = [c for c in holding.checks if not c.passes and c.at_least is None]
    for check in failing[:most]:
        yield from remedies(holding, check)


class _Search:
    """A search for one check's limit, which throws again only where the motion changes."""

    def __init__(self, holding: Holding, check: Check, stopped: Callable[[], bool]) -> None:
        self.stopped = stopped
        self.machine, self.cases, self.check = holding.machine, holding.cases, check
        self.moving = holding.machine.moving()
        self.quick, self.beyond = False, 1.0
        self.winding = _winding(holding.machine)
        subject = Subject(machine=self.machine, every_case=self.cases)
        self.group = next((g for g in GROUPS if any(c.key == check.key for c in g(subject))), None)

    def use(self, path: str, value: Value) -> float:
        """Utilisation of the check with another value of a dial; infinite where it is not known."""
        if self.stopped():
            raise SearchStopped
        try:
            machine = self.machine.change({path: value})
        except MachineError:
            return math.inf
        if self.group is None:
            return math.inf
        same = np.array_equal(machine.moving(), self.moving, equal_nan=True)
        cases = self.cases
        if not (same and _winding(machine) == self.winding) or path.startswith("arm."):
            try:
                only = self.check.case if self.quick else ""
                cases = load_cases(machine, quick=self.quick, only=only)
            except ValueError:
                return math.inf
        found = self.group(Subject(machine=machine, every_case=cases))
        use = next((c.utilisation for c in found if c.key == self.check.key), math.inf)
        return use * self.beyond if self.quick and cases is not self.cases else use

    def remedy(self, path: str) -> Remedy:
        """Seek the value of one dial."""
        dial, now = dials.dial(path), self.machine[path]
        # A first look at the throw that governs finds the value, and the whole of all throws has
        # the last word: by what it asks beyond the first look, that is held to less the next time.
        self.beyond = 1.0
        for _ in range(ROUNDS):
            self.quick = True
            value = self._name(dial) if dial.kind == "name" else self._number(dial)
            self.quick = False
            use = math.inf if value is None else self.use(path, value)
            if use <= 1.0 or value is None:
                break
            self.beyond *= min(1.1 * use, HARD)
        return Remedy(check=self.check.name, path=path, now=now, value=value, utilisation=use)

    def _name(self, dial: Dial) -> Value:
        """Give the name that just holds: of those that do, the one with the highest use."""
        uses = {name: self.use(dial.path, name) for name in known_names(dial)}
        holding = {name: use for name, use in uses.items() if use <= 1.0}
        return max(holding, key=lambda name: holding[name]) if holding else None

    def _number(self, dial: Dial) -> Value:
        """Give the nearest number at which the use is 1, on the side that holds."""
        start = self.machine[dial.path]
        if isinstance(start, bool):
            return (not start) if self.use(dial.path, not start) <= 1.0 else None
        if not isinstance(start, float):
            return None
        both = (self._one_way(dial, start, sign) for sign in (1.0, -1.0))
        found = [value for value in both if value is not None]
        return min(found, key=lambda value: _distance(value, start), default=None)

    def _one_way(self, dial: Dial, start: float, sign: float) -> float | None:
        step = dial.step * dial.factor
        before = start
        for go in range(1, MOST_TRIES):
            if start > 0.0:
                far = start * GROWTH ** (sign * go)
                if max(far / start, start / far) > REACH:
                    return None
            else:
                far = start + sign * step * 2.0 ** (go - 1)
            if dial.whole:
                far = start + sign * go * step
            if not dial.lowest <= far <= dial.highest:
                return None
            if self.use(dial.path, far) <= 1.0:
                return far if dial.whole else self._between(dial.path, before, far)
            before = far
        return None

    def _between(self, path: str, fails: float, holds: float) -> float:
        """Root of use = 1 between a value that fails and one that holds, on the side that holds."""
        from scipy.optimize import brentq

        def over(value: float) -> float:
            return min(self.use(path, value), HARD) - 1.0

        if over(fails) <= 0.0:
            return fails
        root = float(brentq(over, fails, holds, xtol=1e-6 * abs(holds - fails) + 1e-12, rtol=1e-9))
        safe = holds - root
        for share in (0.0, 1e-6, 1e-4, 1e-2):
            value = root + share * safe
            if self.use(path, value) <= 1.0:
                return value
        return holds


def _winding(machine: Machine) -> tuple[Value, ...]:
    winch = (row.path for row in dials.group("winch"))
    return tuple(machine[path] for path in (*winch, "base.mass", "arm.timber"))


def _distance(value: float, start: float) -> float:
    if value > 0.0 and start > 0.0:
        return abs(math.log(value / start))
    return abs(value - start)

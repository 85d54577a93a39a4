"""All sets of some changes: what each asks of people, hours, money and stock, and what it brings.

A set is the bits of a number, change by change; there are as many as places in the arrays here.
"""

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any

import numpy as np

from slingwright.changing.state import Checks, Memory
from slingwright.changing.what_if import Change, States, WhatIfError, alternatives, refuse_names
from slingwright.learning.belief import Belief, before_any_shot
from slingwright.machine.machine import Machine, read_value
from slingwright.machine.table import derived, dials
from slingwright.motion.sweeping import sweep

MOST = 15  # changes: 32,768 sets
MOST_LOADS = 3000  # motions whose axle load is found: some seconds
WORTH = {"range": 1.0, "load": 1.0, "doubt": 1.0}
"""How much counts a range longer by all of itself, an axle load less by all of itself, and all
doubt about the range removed."""


class Sets:
    """All sets of the changes, as the bits of a number, and what is known of each."""

    def __init__(
        self,
        of: Machine | Belief,
        changes: tuple[Change, ...],
        people: int,
        hours: float,
        money: float,
        stock: Mapping[str, float],
        must: tuple[str, ...],
        worth: Mapping[str, float] | None,
        checks: Checks | None,
        progress: Callable[[str], Any] | None,
    ) -> None:
        self.belief = of if isinstance(of, Belief) else None
        self.held = of if isinstance(of, Belief) else before_any_shot(of)
        self.changes, self.people, self.hours, self.money = changes, people, hours, money
        self.stock, self.report = stock, progress or (lambda words: None)
        refuse_names(changes, MOST)
        if self.belief is not None and self.belief.doubt:
            raise WhatIfError(self.belief.doubt)
        names = [change.name for change in changes]
        for name in must:
            if name not in names:
                raise WhatIfError(f"must have {name!r}: no change of that name is proposed.")
        self.must = sum(1 << names.index(name) for name in set(must))
        self.worth = {**dict.fromkeys(WORTH, 0.0), **(WORTH if worth is None else worth)}
        given = {"people": people, "hours": hours, "money": money, **stock, **self.worth}
        for word, number in given.items():
            if not number >= (1 if word == "people" else 0):
                raise WhatIfError(f"{word} {number}; give {int(word == 'people')} or more.")
        if odd := [word for word in self.worth if word not in WORTH]:
            raise WhatIfError(f"worth of {odd[0]!r}; what can count is {', '.join(WORTH)}.")
        count = len(changes)
        self.sets = np.arange(1 << count)
        self.bits = (self.sets[:, None] >> np.arange(count)) & 1 == 1
        memory = Memory()
        asked = (checks, lambda _: (), checks or partial(memory.checks, quick=True))
        self.states, self.cheap, self.quick = (
            States(self.held.machine, changes, one, None, self.belief, memory) for one in asked
        )
        self.touched = [_touched(change) for change in changes]
        self.moving = sum(1 << i for i, paths in enumerate(self.touched) if any(map(moves, paths)))

    # ---- what every set asks and brings

    def _asked(self) -> dict[str, tuple[np.ndarray, float]]:
        """Give what each change asks of money, hours of work and stock, and what there is."""
        work = [change.hours * change.people for change in self.changes]
        kinds = {name for change in self.changes for name in change.stock}
        found = {
            "money": (np.array([change.cost for change in self.changes]), self.money),
            "hours of work": (np.array(work), self.people * self.hours),
        }
        for kind in sorted(kinds):
            needs = np.array([change.stock.get(kind, 0.0) for change in self.changes])
            found[f"of {kind}"] = (needs, self.stock.get(kind, 0.0))
        return found

    def _possible(self) -> np.ndarray:
        """Give which sets sums and alternatives allow, and hold the must-haves."""
        good = (self.sets & self.must) == self.must
        for needs, there in self._asked().values():
            good &= self.bits @ needs <= there + 1e-9
        for i, change in enumerate(self.changes):
            if change.people > self.people or change.hours > self.hours + 1e-9:
                good &= ~self.bits[:, i]
        for i, j in itertools.combinations(range(len(self.changes)), 2):
            if alternatives(self.changes[i], self.changes[j]):
                good &= ~(self.bits[:, i] & self.bits[:, j])
        return good

    def fits(self, made: int) -> bool:
        """Tell whether a set can be shared out among the people in the hours.

        Work for more than one is done one thing after another, with all at hand; the rest is
        shared out, each change to one person (every way is tried).
        """
        done = [c for i, c in enumerate(self.changes) if made >> i & 1]
        left = self.hours - math.fsum(c.hours for c in done if c.people > 1)
        return left >= -1e-9 and _packs(
            sorted((c.hours for c in done if c.people == 1), reverse=True), [left] * self.people
        )

    def _thrown(self, good: np.ndarray, loads: bool) -> tuple[np.ndarray, np.ndarray]:
        """Give range [m] and peak axle load [N] of every possible set, NaN of the others."""
        kept = self.moving
        moving = [i for i in range(len(self.changes)) if kept >> i & 1]
        known = np.full((2, self.sets.size), math.nan)
        motions = np.unique(np.append(self.sets[good] & kept, 0))
        if loads and motions.size > MOST_LOADS:
            raise WhatIfError(
                f"{motions.size} different motions are possible, and axle loads are found of "
                f"{MOST_LOADS} at most: give less money or hours, or let load count nothing."
            )
        by_paths: dict[tuple[str, ...], list[int]] = {}
        for one in motions.tolist():
            by_paths.setdefault(self._columns(one, moving), []).append(one)
        now = self.held.machine if self.belief is None else self.belief.now()
        by_way = {one.path for one in self.held.uncertain if one.way == "value"}
        for paths, some in by_paths.items():
            values = {
                path: np.array([self._value(path, one, now, by_way) for one in some])
                for path in paths or ("release.angle",)
            }
            if self.belief is not None:
                values = self.belief.real(values)
            table = sweep(now, values, grid=False, loads=loads, progress=False)
            known[0, some] = table["range"]
            if loads:
                known[1, some] = table["peak_axle_load"]
        far, load = known[:, self.sets & kept]
        return far, load

    def _columns(self, made: int, moving: Sequence[int]) -> tuple[str, ...]:
        """Give the dials of what moves; one that is not given only where the set gives it."""
        return tuple(
            dict.fromkeys(
                path
                for i in moving
                for path in self.changes[i].dials
                if made >> i & 1 or path in self.held.machine.given
            )
        )

    def _value(self, path: str, made: int, now: Machine, by_way: set[str]) -> Any:
        for i, change in enumerate(self.changes):
            if made >> i & 1 and path in change.dials:
                value, fault = read_value(dials.dial(path), change.dials[path])
                if fault is not None:
                    raise WhatIfError(f"{change.name}: {fault}")
                return value
        return (now if path in by_way else self.held.machine)[path]

    def _doubts(self) -> np.ndarray:
        """Give the share of the doubt about the present range that each set of changes removes.

        The variance of the range is shared out to first order over the numbers that are not surely
        known, as if they were independent (JCGM 100:2008, eq. 10); a change removes the shares of
        the numbers that it measures or sets.
        """
        numbers = self.held.uncertain
        sd = np.array([np.std(self.held.draws[one.name]) for one in numbers])
        moved = np.concatenate([np.diag(sd), -np.diag(sd)])
        rows = {
            one.name: (self.held.best[one.name] + moved[:, j])[:, None]
            for j, one in enumerate(numbers)
        }
        up, down = np.split(self.held.ranges_at(rows), 2)
        share = np.nan_to_num(0.5 * (up - down)) ** 2
        share /= max(float(share.sum()), 1e-30)
        removed = np.zeros(self.sets.size)
        for j, one in enumerate(numbers):
            settles = [
                one.path in c.measures or (one.way == "value" and one.path in c.dials)
                for c in self.changes
            ]
            removed += share[j] * (self.bits @ np.array(settles, dtype=float) > 0.5)
        return removed


def moves(path: str) -> bool:
    """Tell whether a dial is in the equations of motion."""
    return dials.dial(path).moves


def _touched(change: Change) -> frozenset[str]:
    """Give the dials that a change sets and all that may be derived from them."""
    found = set(change.dials)
    for _ in derived.RULES:
        more = {rule.path for rule in derived.RULES if not found.isdisjoint(rule.needs)}
        if more <= found:
            break
        found |= more
    return frozenset(found)


def _packs(work: Sequence[float], room: Sequence[float]) -> bool:
    """Tell whether pieces of work, the longest first, can be shared out among people's hours."""
    if not work:
        return True
    return any(
        _packs(work[1:], [*room[:k], one - work[0], *room[k + 1 :]])
        for k, one in enumerate(room)
        if one >= work[0] - 1e-9 and one not in room[:k]
    )

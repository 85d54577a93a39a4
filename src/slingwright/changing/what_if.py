"""Proposed changes: each alone, all together, each left out; in what order; which only after which.

A change is a set of dials with its cost and hours. A state of the machine is any set of the changes
made; it is looked at as a whole: how it throws, what it asks of axle, parts and crew. A step is
held to be safe where it brings no failing that the machine did not have before: what fails already
is said, and is no reason to forbid everything.

Results are aids to judgement: they approve nothing. Local codes and a competent person decide.
"""

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from slingwright.amounts import units
from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount, Text, form, joined, text, told
from slingwright.amounts.verdict import FAILS, HOLDS, NOT_KNOWN
from slingwright.changing.state import Checks, Memory, State, look_at, new_failings, unswept
from slingwright.learning.belief import Belief
from slingwright.machine.machine import Machine, MachineError
from slingwright.machine.table import dials
from slingwright.machine.table.dials import Value

MOST_CHANGES = 12
MOST_FOR_EVERY_SET = 6  # up to so many changes every set of them is looked at
NO_GAIN = 0.005  # m
ANY_TIME, NEVER = "any time", "not at all"
MOST_PAST = 0.01  # share of shots that may land past the clear ground: common practice


class WhatIfError(ValueError):
    """Changes that cannot be weighed; the message names the two, or the dial, and what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A proposed change: a name, the dials it sets (texts with units or SI), cost, hours, why.

    `people` are at it all those `hours` together. `stock` is what it uses up, by name. `measures`
    names the dials that it weighs or measures, and may then set none.
    """

    name: str
    dials: Mapping[str, Value]
    cost: float = 0.0
    hours: float = 0.0
    reason: str = ""
    people: int = 1
    stock: Mapping[str, float] = field(default_factory=dict)
    measures: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise WhatIfError("a change has no name. Give it one.")
        if not self.dials and not self.measures:
            raise WhatIfError(
                f"{self.name}: it changes nothing. Name a dial and its new value, or what it "
                "measures."
            )
        if self.people < 1:
            raise WhatIfError(f"{self.name}: people {self.people}; give 1 or more.")
        for path in (*self.dials, *self.measures):
            if path not in dials.BY_PATH:
                near = dials.nearest(path)
                ask = f"did you mean {near}?" if near else "see the table of dials"
                raise WhatIfError(f"{self.name}: {path}: no such dial; {ask}")
        used = ((f"stock of {name}", number) for name, number in self.stock.items())
        for word, number in (("cost", self.cost), ("hours", self.hours), *used):
            if not math.isfinite(number) or (word != "cost" and number < 0.0):
                raise WhatIfError(f"{self.name}: {word} {number}; give a finite number.")


@dataclass(frozen=True, slots=True, kw_only=True)
class OnlyAfter:
    """A change that brings a failing by itself, and the least other changes after which it does
    not; no others where nothing proposed helps. `every` is whether every set of others was tried,
    and not each other change alone."""

    change: str
    failing: str
    after: tuple[str, ...] | None
    every: bool = True

    @property
    def words(self) -> Text:
        """Which change needs which others, and what it brings by itself."""
        if self.after is None:
            cured = "none of the other changes cures it"
            if not self.every:
                cured = "no one other change cures it (two or more together were not tried)"
            return text(f"{self.change}: ", self.failing, f", and {cured}.")
        needed = " and ".join(self.after)
        return text(f"{self.change} only after {needed}: alone, ", self.failing, ".")

    def __str__(self) -> str:
        return self.words


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class WhatIf(Answer):
    """All that was found of some proposed changes."""

    changes: tuple[Change, ...]
    present: State
    alone: tuple[State, ...]
    together: State
    left_out: tuple[State, ...]  # place i: all but change i
    order: tuple[str, ...]
    steps: tuple[State, ...]  # after each change made in that order
    only_after: tuple[OnlyAfter, ...]
    every_set: bool  # whether each was looked at
    basis: str  # as drawn, or as learned

    @property
    def sentence(self) -> Text:
        """What to do first, what needs what, and what fails."""
        return joined(self._lines())

    def rows(self) -> Iterator[Row]:
        """Give range and verdict of each state: present, each alone, together, each left out."""
        for place, state in enumerate(self.states):
            name = " and ".join(state.names) or "as it is"
            value = Amount(state.range, "m", 3) if state.range is not None else state.outcome
            yield Row(f"state{place}", name, value, state.verdict)

    @property
    def holds(self) -> bool | None:
        """Whether all holds once all the changes are made; None where something is not known."""
        return {HOLDS: True, FAILS: False, NOT_KNOWN: None}[self.together.verdict]

    def needed_before(self, name: str) -> str:
        """Say after which other changes a change is safe, or that it is by itself.

        Args:
            name: of the change.
        """
        for one in self.only_after:
            if one.change == name:
                return NEVER if one.after is None else " and ".join(one.after)
        return ANY_TIME

    @property
    def states(self) -> tuple[State, ...]:
        """Present, each alone, all together, each left out: the rows of the table."""
        if len(self.changes) == 1:
            return (self.present, self.together)
        rest = self.left_out if len(self.changes) > 2 else ()
        return (self.present, *self.alone, self.together, *rest)

    def advice(self, system: units.System = "metric") -> str:
        """Say in plain lines what to do first, what needs what, and what fails."""
        return "\n".join(told(line, system) for line in self._lines())

    def _lines(self) -> list[str]:
        lines: list[str] = [f"The machine {self.basis}."]
        if self.present.failings:
            lines.append(text("Already now: ", _listed(self.present.failings.values())))
        if self.present.unknown:
            lines.append(f"Not known already now: {_counted(self.present.unknown)}.")
        if len(self.order) > 1:
            lines.append(f"Order: {', then '.join(self.order)}.")
        if not self.every_set:
            lines.append(
                f"With more than {MOST_FOR_EVERY_SET} changes not every order is tried: each step "
                "is the best next one, and what a change needs first is looked for among single "
                f"changes only. Weigh {MOST_FOR_EVERY_SET} or fewer for the best order of all."
            )
        lines += [one.words for one in self.only_after]
        before = self.present
        for name, state in zip(self.order, self.steps, strict=True):
            new = new_failings(state, before)
            gain: str = " no range"
            if state.range is not None and before.range is not None:
                gap = state.range - before.range
                sign = "+" if gap >= 0.0 else "\N{MINUS SIGN}"
                size = text(f" range {sign}", Amount(abs(gap), "m", 3))
                gain = size if abs(gap) > NO_GAIN else " range as before"
            trouble = text("; but then ", joined(new, "; ")) if new else ""
            cured = [k for k in before.failings if k not in state.failings]
            healed = f"; no more {', '.join(cured)}" if cured else ""
            lines.append(text(f"After {name}:", gain, healed, trouble, "."))
            before = state
        end = self.together
        if end.failings:
            lines.append(text("With all made it fails: ", _listed(end.failings.values())))
        if end.unknown:
            lines.append(f"With all made it is not known of: {_counted(end.unknown)}.")
        if end.verdict == HOLDS:
            lines.append("With all made, everything that was asked holds.")
        return lines


def _listed(failings: Iterable[str]) -> Text:
    return text(joined(failings, "; "), ".")


def _counted(names: Mapping[str, str], most: int = 4) -> str:
    shown = list(names)[:most]
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(shown) + more


def what_if(
    machine: Machine,
    changes: Sequence[Change],
    *,
    belief: Belief | None = None,
    checks: Checks | None = None,
    progress: Callable[[int, int], Any] | None = None,
) -> WhatIf:
    """Weigh proposed changes alone, together and each left out, and find the order to make them in.

    Args:
        machine: the present machine, as it is drawn or set.
        changes: what is proposed.
        belief: what was learned of it: states are then looked at as they really are, by the best
            values; to land past the clear ground more than once in a hundred shots fails.
        checks: strength checks; the kit's own if left out.
        progress: called with (states looked at, states to look at at most).

    Raises:
        WhatIfError: no changes, too many, two of one name, two that set one dial differently, or
            shots that disagree with their model.
    """
    chosen = tuple(changes)
    _refuse(chosen)
    if belief is not None and belief.doubt:
        raise WhatIfError(belief.doubt)
    states = States(machine, chosen, checks, progress, belief)
    every = frozenset(range(len(chosen)))
    if len(chosen) <= MOST_FOR_EVERY_SET:
        order = _best_order(states, len(chosen))
    else:
        order = _step_by_step(states, len(chosen))
    made = [frozenset(order[: i + 1]) for i in range(len(order))]
    return WhatIf(
        changes=chosen,
        present=states.whole(frozenset()),
        alone=tuple(states.whole(frozenset({i})) for i in sorted(every)),
        together=states.whole(every),
        left_out=tuple(states.whole(every - {i}) for i in sorted(every)),
        order=tuple(chosen[i].name for i in order),
        steps=tuple(states.whole(one) for one in made),
        only_after=tuple(_only_after(states, chosen)),
        every_set=len(chosen) <= MOST_FOR_EVERY_SET,
        basis="as drawn" if belief is None else belief.basis,
    )


def refuse_names(changes: Sequence[Change], most: int) -> None:
    """Refuse none, too many, and two of one name.

    Raises:
        WhatIfError: as said.
    """
    if not changes:
        raise WhatIfError("no changes are proposed. Give one or more.")
    if len(changes) > most:
        raise WhatIfError(f"{len(changes)} changes at once; {most} is the most. Take two lots.")
    names = [change.name for change in changes]
    for name in names:
        if names.count(name) > 1:
            raise WhatIfError(f"two changes are called {name!r}. Give each a name of its own.")


def alternatives(one: Change, other: Change) -> list[str]:
    """Give the dials that two changes set differently, so that only one of them can be made."""
    return [p for p in one.dials if p in other.dials and one.dials[p] != other.dials[p]]


def _refuse(changes: tuple[Change, ...]) -> None:
    refuse_names(changes, MOST_CHANGES)
    for one, other in itertools.combinations(changes, 2):
        for path in alternatives(one, other):
            raise WhatIfError(
                f"{one.name} and {other.name} both set {path}, to {one.dials[path]} and "
                f"{other.dials[path]}: they cannot be made together. Weigh them apart, or plan: a "
                "plan takes the better of two."
            )


class States:
    """States of the machine by the set of changes made, each looked at once."""

    def __init__(
        self,
        machine: Machine,
        changes: tuple[Change, ...],
        checks: Checks | None,
        progress: Callable[[int, int], Any] | None,
        belief: Belief | None = None,
        memory: Memory | None = None,
    ) -> None:
        self.machine, self.changes, self.belief = machine, changes, belief
        self._checks, self._progress = checks, progress
        self._memory = memory or Memory()
        self._known: dict[frozenset[int], State] = {}
        self._whole: dict[frozenset[int], State] = {}
        many = len(changes)
        self._most = 2**many if many <= MOST_FOR_EVERY_SET else many * (many + 5) // 2 + 2

    def __getitem__(self, made: frozenset[int]) -> State:
        if made not in self._known:
            # The answer shows these whole in any case, and clearance takes longest.
            ends = len(made) < 2 or len(made) >= len(self.changes) - 1
            self._known[made] = unswept(self.whole(made)) if ends else self._look(made, False)
            if self._progress is not None:
                self._progress(len(self._known), self._most)
        return self._known[made]

    def whole(self, made: frozenset[int]) -> State:
        """Give a state with its clearance, which the search for an order leaves out."""
        if made not in self._whole:
            self._whole[made] = self._look(made, True)
        return self._whole[made]

    @property
    def count(self) -> int:
        """How many were looked at whole."""
        return len(self._whole)

    def seen(self, made: frozenset[int]) -> bool:
        """Tell whether a state was looked at whole."""
        return made in self._whole

    def new(self, made: frozenset[int]) -> list[str]:
        """Give what fails there and does not now."""
        return new_failings(self[made], self[frozenset()])

    def _look(self, made: frozenset[int], swept: bool) -> State:
        done = [self.changes[i] for i in sorted(made)]
        names = tuple(change.name for change in done)
        cost = math.fsum(change.cost for change in done)
        hours = math.fsum(change.hours for change in done)
        together: dict[str, Value] = {}
        for change in done:
            together.update(change.dials)
        try:
            if self.belief is not None:
                machine = self.belief.now(together)
            else:
                machine = self.machine.change(together) if together else self.machine
        except MachineError as error:
            return State(
                names=names,
                machine=None,
                outcome="not a machine",
                cost=cost,
                hours=hours,
                failings={"machine": str(error.faults[0])},
                uses={},
            )
        found = look_at(
            machine,
            names,
            checks=self._checks,
            cost=cost,
            hours=hours,
            swept=swept,
            memory=self._memory,
        )
        return found if self.belief is None else _as_chances(found, self.belief, together)


def _as_chances(state: State, belief: Belief, changes: Mapping[str, Value]) -> State:
    """Hold the clear ground as a chance, by all that the shots leave possible."""
    limit = belief.machine.change(changes).number("site.limit")
    past = belief.past(limit, changes)
    failings = {key: words for key, words in state.failings.items() if key != "clear ground"}
    if past > MOST_PAST:
        words = form("{:.0f} % of shots land past the clear ground of {:3m}")
        failings["clear ground"] = words(100.0 * past, limit)
    return replace(state, failings=failings, uses={**state.uses, "clear ground": past / MOST_PAST})


def _merit(states: States, made: frozenset[int]) -> tuple[float, float]:
    """What a state on the way is worth: few new failings first, then range."""
    state = states[made]
    return (-float(len(states.new(made))), state.range if state.range is not None else 0.0)


def _best_order(states: States, count: int) -> tuple[int, ...]:
    """Order with the fewest new failings on the way, then with the most range early.

    Every set of changes is a place, every change a step between two: the best way from none to all
    is found place by place, smallest sets first (dynamic programming, R. Bellman 1957).
    """
    best: dict[frozenset[int], tuple[tuple[float, float], tuple[int, ...]]] = {
        frozenset(): ((0.0, 0.0), ())
    }
    for size in range(1, count + 1):
        for made in map(frozenset, itertools.combinations(range(count), size)):
            here = _merit(states, made)
            ways = []
            for last in sorted(made):
                (bad, far), way = best[made - {last}]
                ways.append(((bad + here[0], far + here[1]), (*way, last)))
            best[made] = max(ways, key=lambda one: one[0])
    return best[frozenset(range(count))][1]


def _step_by_step(states: States, count: int) -> tuple[int, ...]:
    """Order that takes the best next step each time, for many changes."""
    made: tuple[int, ...] = ()
    while len(made) < count:
        left = [i for i in range(count) if i not in made]
        made = (*made, max(left, key=lambda i: _merit(states, frozenset({*made, i}))))
    return made


def _only_after(states: States, changes: tuple[Change, ...]) -> list[OnlyAfter]:
    """Find changes that bring a failing alone, and the least others after which they do not."""
    found = []
    most = len(changes) - 1 if len(changes) <= MOST_FOR_EVERY_SET else 1
    for i, change in enumerate(changes):
        alone = states.new(frozenset({i}))
        if not alone:
            continue
        others = [j for j in range(len(changes)) if j != i]
        after: tuple[str, ...] | None = None
        for size in range(1, most + 1):
            for first in itertools.combinations(others, size):
                before = frozenset(first)
                if not states.new(before) and not states.new(before | {i}):
                    after = tuple(changes[j].name for j in first)
                    break
            if after is not None:
                break
        found.append(
            OnlyAfter(
                change=change.name,
                failing=joined(alone, "; "),
                after=after,
                every=most == len(changes) - 1,
            )
        )
    return found

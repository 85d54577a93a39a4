"""Proposed changes: each alone, all together, each left out; in what order; which only after which.

A change is a set of dials with its cost and hours. A state of the machine is any set of the changes
made; it is looked at as a whole: how it throws, what it asks of axle, parts and crew. A step is
held to be safe where it brings no failing that the machine did not have before: what fails already
is said, and is no reason to forbid everything.

Results are aids to judgement: they approve nothing. Local codes and a competent person decide.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from slingwright.amounts import units
from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount, Text, form, joined, text, told
from slingwright.amounts.verdict import FAILS, HOLDS, NOT_KNOWN
from slingwright.machine.machine import Machine, MachineError
from slingwright.machine.table import dials
from slingwright.machine.table.dials import Value
from slingwright.motion.throwing import throw
from slingwright.standing.places import winding_checks
from slingwright.standing.zone import zone
from slingwright.strength.checks import checks as every_check
from slingwright.strength.clearance import clearance
from slingwright.winch.cycle import Winding, follow
from slingwright.winch.rig import rig_of, winch_numbers
from slingwright.winch.rigging import CREW

MOST_CHANGES = 12
MOST_FOR_EVERY_SET = 6  # up to so many changes every set of them is looked at
WINDING_STEPS = 61
NO_GAIN = 0.005  # m
ANY_TIME, NEVER = "any time", "not at all"
WORSE = 1.05  # times the use of a check that failed before: it fails by clearly more
CLEARANCE = "clearance"


class WhatIfError(ValueError):
    """Changes that cannot be weighed; the message names the two, or the dial, and what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A proposed change: a name, the dials it sets (texts with units or SI), cost, hours, why."""

    name: str
    dials: Mapping[str, Value]
    cost: float = 0.0
    hours: float = 0.0
    reason: str = ""

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise WhatIfError("a change has no name. Give it one.")
        if not self.dials:
            raise WhatIfError(f"{self.name}: it changes nothing. Name a dial and its new value.")
        for path in self.dials:
            if path not in dials.BY_PATH:
                near = dials.nearest(path)
                ask = f"did you mean {near}?" if near else "see the table of dials"
                raise WhatIfError(f"{self.name}: {path}: no such dial; {ask}")
        for word, number in (("cost", self.cost), ("hours", self.hours)):
            if not math.isfinite(number) or (word == "hours" and number < 0.0):
                raise WhatIfError(f"{self.name}: {word} {number}; give a finite number.")


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """The machine with some changes made; what cannot be had is None.

    `failings` says what is wrong and `unknown` what is not known, each under a key that is the same
    in every state.
    """

    names: tuple[str, ...]
    machine: Machine | None
    outcome: str
    range: float | None  # m
    axle_load: float | None  # N
    axle_use: float | None  # of the axle's worst check, 1 is all of it
    worst_check: str
    worst_use: float | None
    crank_force: float | None  # N, of one person
    reload_time: float | None  # s, from loosing to loosing
    cost: float
    hours: float
    failings: Mapping[str, str]
    uses: Mapping[str, float]  # of the checks that fail
    unknown: Mapping[str, str] = field(default_factory=dict)

    @property
    def verdict(self) -> str:
        """`fails`, `not known` or `holds`."""
        return FAILS if self.failings else NOT_KNOWN if self.unknown else HOLDS

    @property
    def label(self) -> str:
        """Name of the state for a reader."""
        return " + ".join(self.names) if self.names else "present machine"


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
    every_set: bool  # whether every set of the changes was looked at

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
        lines: list[str] = []
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


Checks = Callable[[Machine], Sequence[Any]]


def look_at(
    machine: Machine,
    names: Sequence[str] = (),
    *,
    checks: Checks | None = None,
    cost: float = 0.0,
    hours: float = 0.0,
    swept: bool = True,
) -> State:
    """Look at one machine as a whole: throw, winding, rigging, strength, clearance, ground.

    Args:
        machine: the machine.
        names: of the changes made to it.
        checks: gives a list of checks with name, part and utilisation, and nothing else is asked
            but throw, ground and crew; all of the kit's own if left out.
        swept: whether what swings is held against what stands, which takes longest.
        cost: spent to come here.
        hours: worked to come here [h].
    """
    thrown = throw(machine)
    failings: dict[str, str] = {}
    unknown: dict[str, str] = {}
    if thrown.outcome != "released":
        failings["throw"] = thrown.outcome
    elif thrown.range is not None and thrown.range > machine.number("site.limit"):
        past = form("it lands {:3m} away, past the clear ground of {:3m}")
        failings["clear ground"] = past(thrown.range, machine.number("site.limit"))
    wound: Winding | None = None
    try:
        wound = follow(winch_numbers(machine), rig_of(machine), WINDING_STEPS)
    except ValueError as error:
        failings["winding"] = f"it cannot be wound ({error})"
    if wound is not None and wound.force_per_person > wound.force_allowed:
        asks = form("winding asks {:3N} per person, {:3N} is sustainable")
        failings["crew"] = asks(wound.force_per_person, wound.force_allowed)
    rows = (checks or every_check)(machine)
    worst, worst_use, axle_use, uses = _checked(rows, failings, unknown)
    if checks is None:
        _ask_the_rest(machine, wound, thrown, swept, failings, unknown, uses)
    return State(
        names=tuple(names),
        machine=machine,
        outcome=thrown.outcome,
        range=thrown.range,
        axle_load=thrown.peak_axle_load if thrown.outcome == "released" else None,
        axle_use=axle_use,
        worst_check=worst,
        worst_use=worst_use,
        crank_force=None if wound is None else wound.force_per_person,
        reload_time=None if wound is None else 3600.0 / wound.loosings_an_hour,
        cost=cost,
        hours=hours,
        failings=failings,
        uses=uses,
        unknown=unknown,
    )


def _ask_the_rest(
    machine: Machine,
    wound: Winding | None,
    thrown: Any,
    swept: bool,
    failings: dict[str, str],
    unknown: dict[str, str],
    uses: dict[str, float],
) -> None:
    """Add what rigging, clearance and the ground to keep clear say."""

    def note(name: str, verdict: str, words: str, use: float = math.inf) -> None:
        if verdict == FAILS:
            failings[name], uses[name] = words, use
        elif verdict == NOT_KNOWN:
            unknown[name] = words

    for row in winding_checks(machine, wound, thrown) if wound is not None else ():
        if row.name != CREW:  # what the crew is asked is told above
            note(row.name, row.verdict, text(row.name, ": ", row.advice), row.utilisation)
    if swept:
        gaps = clearance(machine)
        note(CLEARANCE, gaps.verdict, gaps.sentence)
    try:
        ground = zone(machine)
    except ValueError as error:
        note("ground to keep clear", NOT_KNOWN, str(error))
        return
    share = ground.clear_ahead / max(ground.limit, 1e-9)
    words = form("the ground to keep clear reaches {:0m} ahead")(ground.clear_ahead)
    note("ground to keep clear", ground.verdict, words, share)


def unswept(state: State) -> State:
    """Give a state as it is seen where what swings is not held against what stands."""
    kept: dict[str, Any] = {
        key: {name: said for name, said in getattr(state, key).items() if name != CLEARANCE}
        for key in ("failings", "uses", "unknown")
    }
    return replace(state, **kept)


def _checked(
    rows: Sequence[Any], failings: dict[str, str], unknown: dict[str, str]
) -> tuple[str, float | None, float | None, dict[str, float]]:
    """Give the worst known check, its use, the axle's worst and the uses of what fails."""
    worst, worst_use, axle_use = "", None, None
    uses: dict[str, float] = {}
    for row in rows:
        name, use = str(row.name), float(row.utilisation)
        known = getattr(row, "known", math.isfinite(use))
        if not known:
            unknown[name] = f"{name} is not known to hold"
        elif not use <= 1.0:
            uses[name] = use
            failings[name] = (
                f"{name} is at {100.0 * use:.0f} % of its capacity"
                if math.isfinite(use)
                else f"{name} fails beyond all capacity"
            )
        if not math.isfinite(use):
            continue
        if worst_use is None or use > worst_use:
            worst, worst_use = name, use
        if str(row.part).lower().startswith("axle") and (axle_use is None or use > axle_use):
            axle_use = use
    return worst, worst_use, axle_use, uses


def new_failings(state: State, before: State) -> list[str]:
    """Give what fails in a state and did not before, or fails by clearly more than before.

    What held before and is not known any more counts as well.
    """
    worse = [
        words
        for key, words in state.failings.items()
        if key not in before.failings
        or state.uses.get(key, 0.0) > WORSE * before.uses.get(key, math.inf)
    ]
    held = (key for key in state.unknown if key not in before.unknown)
    return worse + [state.unknown[key] for key in held if key not in before.failings]


def what_if(
    machine: Machine,
    changes: Sequence[Change],
    *,
    checks: Checks | None = None,
    progress: Callable[[int, int], Any] | None = None,
) -> WhatIf:
    """Weigh proposed changes alone, together and each left out, and find the order to make them in.

    Args:
        machine: the present machine.
        changes: what is proposed.
        checks: strength checks; the kit's own if left out.
        progress: called with (states looked at, states to look at at most).

    Raises:
        WhatIfError: no changes, too many, two of one name, or two that set one dial differently.
    """
    chosen = tuple(changes)
    _refuse(machine, chosen)
    states = _States(machine, chosen, checks, progress)
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
    )


def _refuse(machine: Machine, changes: tuple[Change, ...]) -> None:
    if not changes:
        raise WhatIfError("no changes are proposed. Give one or more.")
    if len(changes) > MOST_CHANGES:
        raise WhatIfError(
            f"{len(changes)} changes at once; {MOST_CHANGES} is the most. Weigh them in two lots."
        )
    names = [change.name for change in changes]
    for name in names:
        if names.count(name) > 1:
            raise WhatIfError(f"two changes are called {name!r}. Give each a name of its own.")
    for one, other in itertools.combinations(changes, 2):
        for path in one.dials:
            if path in other.dials and one.dials[path] != other.dials[path]:
                raise WhatIfError(
                    f"{one.name} and {other.name} both set {path}, to {one.dials[path]} and "
                    f"{other.dials[path]}: they cannot be made together. Weigh them apart."
                )


class _States:
    """States of the machine by the set of changes made, each looked at once."""

    def __init__(
        self,
        machine: Machine,
        changes: tuple[Change, ...],
        checks: Checks | None,
        progress: Callable[[int, int], Any] | None,
    ) -> None:
        self.machine, self.changes = machine, changes
        self._checks, self._progress = checks, progress
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
            machine = self.machine.change(together) if together else self.machine
        except MachineError as error:
            return State(
                names=names,
                machine=None,
                outcome="not a machine",
                range=None,
                axle_load=None,
                axle_use=None,
                worst_check="",
                worst_use=None,
                crank_force=None,
                reload_time=None,
                cost=cost,
                hours=hours,
                failings={"machine": str(error.faults[0])},
                uses={},
            )
        return look_at(
            machine,
            names,
            checks=self._checks,
            cost=cost,
            hours=hours,
            swept=swept,
        )


def _merit(states: _States, made: frozenset[int]) -> tuple[float, float]:
    """What a state on the way is worth: few new failings first, then range."""
    state = states[made]
    return (-float(len(states.new(made))), state.range if state.range is not None else 0.0)


def _best_order(states: _States, count: int) -> tuple[int, ...]:
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


def _step_by_step(states: _States, count: int) -> tuple[int, ...]:
    """Order that takes the best next step each time, for many changes."""
    made: tuple[int, ...] = ()
    while len(made) < count:
        left = [i for i in range(count) if i not in made]
        made = (*made, max(left, key=lambda i: _merit(states, frozenset({*made, i}))))
    return made


def _only_after(states: _States, changes: tuple[Change, ...]) -> list[OnlyAfter]:
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

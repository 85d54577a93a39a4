"""A day's plan: which of the proposed changes to make, in which order, and what to test between.

Every set of changes is gone through, the worthiest first, so that the first that is safe is the
best of all: hours, money and stock by sums, alternatives by the dials they set, ranges by throws of
every set, and only then the whole look at winding, checks, clearance and ground, at that set and at
every machine on the way to it. What a look finds to fail rules out every other set that is alike in
all that the failing rests on.

Results are aids to judgement: they approve nothing. Local codes and a competent person decide.
"""

import math
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount, Text, form, joined, text
from slingwright.changing.proving import LOOK
from slingwright.changing.sets import Sets
from slingwright.changing.state import Checks, State, worse_from, worsened
from slingwright.changing.what_if import (
    Change,
    WhatIfError,
    alternatives,
)
from slingwright.learning.belief import Belief
from slingwright.learning.shots import LearnError
from slingwright.machine.machine import Machine
from slingwright.machine.table import dials

SECONDS = 10.0
ALIKE = 1e-6  # of worth: nothing that anybody could tell
DRAWS = 200
MARKED = 0.02  # by how much more a use is foreseen where the changes are to blame
QUICK = 0.3  # s, of a quick look
SLACK = 0.25  # by which a use that is foreseen may pass its limit and the set still be likely
SHARE = 0.6, 0.85  # of the time, for the search, and for what is to be said of its end


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanStep:
    """A change to make, the machine then, what it brings, and what to test before the next."""

    change: Change
    state: State
    test: Text


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Plan(Answer):
    """The best safe changes of a day, in order, and why the others are left out."""

    steps: tuple[PlanStep, ...]
    left_out: Mapping[str, Text]
    present: State
    worth: float
    doubt: float  # share of the doubt about the range that is removed
    load_eased: float | None  # N, of the axle's peak
    proved: bool  # whether no other set can be better
    looked_at: int
    basis: str

    @property
    def sentence(self) -> Text:
        """What to do, in which order, and how sure it is that nothing is better."""
        if not self.steps:
            done = text("Make none of these changes today")
        else:
            names = ", then ".join(step.change.name for step in self.steps)
            done = text(f"In this order: {names}")
        sure = (
            "No other set of them is both safe and worth more."
            if self.proved
            else "The time was up before every set was ruled out: a better one may be left. Give "
            "it more seconds, or fewer changes."
        )
        return text(done, f". {sure} The machine is taken {self.basis}.")

    def rows(self) -> Iterator[Row]:
        """Give the steps with their tests, what they bring, and the reasons for the rest."""
        before = self.present
        for place, step in enumerate(self.steps, start=1):
            words = f"{place}. {step.change.name}"
            yield Row(f"step.{place}", words, _gain(before, step.state), step.test)
            before = step.state
        yield Row("cost", "Cost", f"{before.cost:g}")
        yield Row("hours", "Hours of work, each change's own", f"{before.hours:g}")
        if before.range is not None:
            yield Row(
                "range", "Range then", Amount(before.range, "m", 3), _gain(self.present, before)
            )
        if self.load_eased is not None:
            yield Row("load", "Axle load eased by", Amount(self.load_eased, "N", 3))
        yield Row("doubt", "Doubt about the range removed", Amount(self.doubt, "share", 2))
        for name, why in self.left_out.items():
            yield Row(f"left_out.{name}", f"not {name}", why)


def _gain(before: State, after: State) -> Text:
    if before.range is None or after.range is None:
        return text("no range" if after.range is None else "it throws now")
    gap = after.range - before.range
    return text(f"range {'+' if gap >= 0.0 else chr(8722)}", Amount(abs(gap), "m", 3))


def plan(
    of: Machine | Belief,
    changes: Sequence[Change],
    *,
    people: int = 1,
    hours: float = math.inf,
    money: float = math.inf,
    stock: Mapping[str, float] | None = None,
    must: Sequence[str] = (),
    worth: Mapping[str, float] | None = None,
    seconds: float = SECONDS,
    checks: Checks | None = None,
    progress: Callable[[str], Any] | None = None,
) -> Plan:
    """Choose the changes of a day, and their order.

    Args:
        of: the present machine, or what is held true of it: it is then looked at as learned.
        changes: what is proposed, at most 15; two that set one dial differently are alternatives.
        people: who work; each does one thing at a time.
        hours: each of them has [h].
        money: to spend.
        stock: what is there, by name; what is not named is not there.
        must: names of changes that have to be in it.
        worth: what counts of range, load and doubt; all alike if left out.
        seconds: after which the best found by then is given.
        checks: strength checks; the kit's own if left out.
        progress: told in words how far it is; what it raises ends the work.

    Raises:
        WhatIfError: no changes, too many, two of one name, a must-have that is none of them or
            cannot be had, an amount below 0, or shots that disagree with their model.

    Every machine on the way brings no failing that the present one does not have.
    """
    return _Search(
        of, tuple(changes), people, hours, money, stock or {}, tuple(must), worth, checks, progress
    ).plan(seconds)


class _Search(Sets):
    """The search through all sets of the changes, and its answer."""

    def plan(self, seconds: float) -> Plan:
        """Find the best plan there is time for."""
        start = time.monotonic()
        self.until = start + SHARE[0] * seconds
        self.slowest, self.up = 0.0, False
        self.report("throwing every set of changes")
        good = self._possible()
        if not good.any():
            raise WhatIfError(self._no_must())
        self.present = self.states.whole(frozenset())
        self.far, self.load = self._thrown(good, self.worth["load"] > 0.0)
        self.doubts = self._doubts()
        good &= np.isfinite(self.far) | ~np.isfinite(self.far[0])
        self.value = self._worths()
        cost, work = (self.bits @ needs for needs, _ in list(self._asked().values())[:2])
        rank = np.lexsort((self.bits.sum(1), work, cost, -np.round(self.value / ALIKE), ~good))
        self.dead = ~good
        rank = rank[: int(good.sum())]
        self._foresee()
        made, order = self._best(rank, likely=True)
        if order is not None:
            rank = rank[: int(np.flatnonzero(rank == made)[0])]
        better, other = self._best(rank, likely=False)
        if other is not None:
            made, order = better, other
        proved = self.proved = not self.up
        self.until, self.up = start + SHARE[1] * seconds, False
        if not proved:
            made, order = self._upward(good, made, order)
        if order is None:
            raise WhatIfError(self._no_must())
        return self._answer(made, order, proved, good)

    def _best(self, rank: np.ndarray, likely: bool) -> tuple[int, list[int] | None]:
        """Give the first set of a ranking that is safe, and its order; the likely alone, or all."""
        for one in rank.tolist():
            if self.up:
                break
            if self.dead[one] or (likely and self.doubtful[one]) or not self.fits(one):
                continue
            if self._safe(one):
                order = self._way(0, one, set())
                if order is not None:
                    return one, order
        return 0, None

    def _foresee(self) -> None:
        """Work out which sets are likely to bring a failing: those are looked at last.

        Each change alone is looked at quickly; what it makes of each use is taken to hold beside
        the other changes too, factor by factor. A failing that is found lowers what is expected to
        hold (see `_safe`).
        """
        start = self.quick.whole(frozenset()).checked
        now = {key: max(self.present.checked.get(key, 0.0), use) for key, use in start.items()}
        keys = [key for key in start if start[key] > 0.0 and now[key] < math.inf]
        factors = np.zeros((len(self.changes), len(keys)))
        for i in range(len(self.changes)):
            if self.dead[self.bits[:, i]].all() or self._no_time(QUICK):
                continue
            alone = self.quick.whole(frozenset({i})).checked
            ratio = [alone.get(key, math.nan) / start[key] for key in keys]
            factors[i] = np.nan_to_num(np.log(np.maximum(ratio, 1e-9)))
        foreseen = (self.bits @ factors).astype(np.float32)
        uses = np.array([now[key] for key in keys])
        worse = np.array([worse_from(key) for key in keys])
        least = np.log(np.where(uses <= 1.0, 1.0, worse * uses) / uses)
        self.doubtful = np.any(foreseen > least + SLACK, axis=1)
        self.foreseen = dict(zip(keys, foreseen.T, strict=True))

    def _no_time(self, more: float) -> bool:
        self.up = self.up or time.monotonic() + more > self.until
        return self.up

    def _worths(self) -> np.ndarray:
        start = self.far[0] if np.isfinite(self.far[0]) else 0.0
        size = abs(start) or max(float(np.nanmax(self.far, initial=1.0)), 1.0)
        value = self.worth["range"] * np.nan_to_num((self.far - start) / size)
        value += self.worth["load"] * np.nan_to_num(1.0 - self.load / self.load[0])
        return value + self.worth["doubt"] * self.doubts

    def _look(self, made: int) -> tuple[State, list[str]] | None:
        """Give a machine's state and the keys of what fails anew; None where no time is left.

        Landing and winding are looked at first, then the checks quickly, and all the rest where
        nothing fails by then.
        """
        chosen = self._chosen(made)
        first = self.cheap.whole(chosen)
        worse = worsened(first, self.cheap.whole(frozenset()))
        if not worse and not self.states.seen(chosen):
            if self._no_time(QUICK):
                return None
            first = self.quick.whole(chosen)
            # A quick look knows less of what is not known, and all that it finds to fail does.
            worse = [key for key in worsened(first, self.present) if key in first.failings]
        if worse:
            return first, worse
        if not self.states.seen(chosen) and self._no_time(self.slowest):
            return None
        self.report(f"looking at machine {self.states.count + 1}")
        before = time.monotonic()
        state = self.states.whole(chosen)
        self.slowest = max(self.slowest, time.monotonic() - before)
        return state, worsened(state, self.present)

    def _chosen(self, made: int) -> frozenset[int]:
        return frozenset(np.flatnonzero(self.bits[made]).tolist())

    def _safe(self, made: int) -> bool:
        """Tell whether a set brings no new failing; what it brings rules out all that are alike."""
        found = self._look(made)
        if found is None:
            return False
        state, worse = found
        for key in worse:
            rests, alike = state.rests.get(key), self.sets == made
            if rests is not None:
                kept = sum(1 << i for i, paths in enumerate(self.touched) if paths & rests)
                alike = (self.sets & kept) == (made & kept)
            self.dead |= alike
            use = self.foreseen.get(key)
            if use is not None and use[made] > MARKED:
                self.doubtful |= use >= use[made] - 1e-6
            else:  # what moves it is to blame, alone or beside others
                able = sum(
                    1 << i
                    for i, change in enumerate(self.changes)
                    if not made >> i & 1
                    and not set(state.hangs_on.get(key, ())).isdisjoint(change.dials)
                )
                guilty = (made & self.moving) or made
                self.doubtful |= ((self.sets & guilty) == guilty) & (self.sets & able == 0)
        return not worse

    def _way(self, done: int, made: int, blind: set[int]) -> list[int] | None:
        """Find an order whose every machine is safe: what moves nothing first, then by range."""
        if done == made:
            return []
        left = [i for i in range(len(self.changes)) if (made & ~done) >> i & 1]

        def first(i: int) -> tuple[bool, float]:
            return bool(self.moving >> i & 1), -float(np.nan_to_num(self.far[1 << i]))

        for i in sorted(left, key=first):
            then = done | 1 << i
            if then in blind or self.up or not self._safe(then):
                continue
            rest = self._way(then, made, blind)
            if rest is not None:
                return [i, *rest]
        blind.add(done)
        return None

    def _upward(
        self, good: np.ndarray, made: int, found: list[int] | None
    ) -> tuple[int, list[int] | None]:
        """Add one safe change at a time to what was found, the worthiest first."""
        order = list(found or ())
        grown = True
        while grown:
            grown = False
            steps = [made | 1 << i for i in range(len(self.changes)) if not made >> i & 1]
            for then in sorted(steps, key=lambda one: -self.value[one]):
                useful = self.value[then] > self.value[made] or then & self.must & ~made
                if good[then | self.must] and useful and self.fits(then) and self._safe(then):
                    order.append((then ^ made).bit_length() - 1)
                    made, grown = then, True
                    break
        return made, order if (made & self.must) == self.must else None

    def _no_must(self) -> str:
        named = ", ".join(c.name for i, c in enumerate(self.changes) if self.must >> i & 1)
        why = [
            f"{name}: {self._too_much(i, 0)}"
            for i, name in enumerate(c.name for c in self.changes)
            if self.must >> i & 1 and self._too_much(i, 0)
        ]
        ask = "; ".join(why) or "no set of changes with them is possible and safe in every order"
        return f"must have {named}: {ask}. Give more of it, or must have less."

    # ---- the answer

    def _answer(self, made: int, order: Sequence[int], proved: bool, good: np.ndarray) -> Plan:
        steps, done, before = [], 0, self.present
        self.report("writing down what to test between the steps")
        for i in order:
            done |= 1 << i
            state = self.states.whole(
                frozenset(j for j in range(len(self.changes)) if done >> j & 1)
            )
            test = self._test(self.changes[i], self._dials(done), before, state)
            steps.append(PlanStep(change=self.changes[i], state=state, test=test))
            before = state
        left = {
            change.name: self._why_not(i, made)
            for i, change in enumerate(self.changes)
            if not made >> i & 1
        }
        eased = self.load[0] - self.load[made]
        return Plan(
            steps=tuple(steps),
            left_out=left,
            present=self.present,
            worth=float(self.value[made]),
            doubt=float(self.doubts[made]),
            load_eased=float(eased) if np.isfinite(eased) else None,
            proved=proved,
            looked_at=self.states.count,
            basis="as drawn" if self.belief is None else self.belief.basis,
        )

    def _dials(self, made: int) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for i, change in enumerate(self.changes):
            if made >> i & 1:
                found.update(change.dials)
        return found

    def _test(self, change: Change, settings: Mapping[str, Any], was: State, now: State) -> Text:
        """Say what to test once a change is made, before the next one."""
        parts: list[str] = []
        if change.measures:
            names = ", ".join(dials.dial(path).label.lower() for path in change.measures)
            parts.append(f"write {names} into the log, and plan again with it")
        if change.dials:
            parts.append(f"look at {LOOK}")
        if now.crank_force is not None and now.crank_force != was.crank_force:
            asked = form("wind it up once, hands off for ten minutes: {:2N} per person is expected")
            parts.append(asked(now.crank_force))
        heavier = self.present.machine, now.machine
        if all(heavier) and "counterweight.mass" in change.dials:
            parts.append("bring the weight up in the steps of `prove`")
        if now.range != was.range:
            try:
                shot = self.held.next_shot(settings, most=DRAWS)
                asked = form("loose once: {:3m} to {:3m} is expected, nine times in ten")
                parts.append(text(asked(shot.low, shot.high), "; stop if it lands elsewhere"))
            except LearnError as error:
                parts.append(f"no forecast ({error})")
        return joined(parts, "; ")

    def _too_much(self, i: int, made: int) -> Text | str:
        """Say what a change asks, with those of a set, that is not there."""
        change, both = self.changes[i], made | 1 << i
        if change.people > self.people:
            return f"it takes {change.people} people at once, {self.people} are there"
        for what, (needs, there) in self._asked().items():
            sum_ = float(self.bits[both] @ needs)
            if sum_ > there + 1e-9:
                beside = "with the rest it takes" if made else "it takes"
                return f"{beside} {sum_:g} {what}, {there:g} are there"
        if not self.fits(both):
            return f"its {change.hours:g} h of work fit into nobody's {self.hours:g} h"
        return ""

    def _why_not(self, i: int, made: int) -> Text:
        """Say why a change is left out, and what would mend what it breaks."""
        both = made | 1 << i
        if alone := self._too_much(i, 0):
            return text(alone)
        for j, other in enumerate(self.changes):
            paths = alternatives(self.changes[i], other) if made >> j & 1 else []
            if paths:
                return text(f"{other.name} sets {paths[0]} otherwise, and is worth more or safe")
        if not np.isfinite(self.far[both]) and np.isfinite(self.far[made]):
            return text("with it there is no throw")
        if more := self._too_much(i, made):
            return text(more, ", and what is planned is worth more, or safe without it")
        if self.value[both] <= self.value[made] + ALIKE:
            gap = 100.0 * float(self.value[both] - self.value[made])
            return text(f"it adds nothing that counts ({gap:+.1f} % of worth)")
        found = self._look(both)
        if found is None:
            return text("it was not looked at in the time")
        state, worse = found
        if not worse:
            return text(
                "no order was found in which every machine on the way is safe"
                if self.proved
                else "it was not tried beside the rest in the time"
            )
        said = joined([state.failings.get(key) or state.unknown[key] for key in worse[:3]], "; ")
        return text("with it ", said, ". ", self._remedy(state, worse[0], both))

    def _remedy(self, state: State, key: str, made: int) -> str:
        """Name what is proposed that touches a failing, or the dials that it hangs on."""
        paths = state.hangs_on.get(key, ())
        able = [
            change.name
            for i, change in enumerate(self.changes)
            if not made >> i & 1
            and not set(paths).isdisjoint(change.dials)
            and not any(alternatives(change, self.changes[j]) for j in self._chosen(made))
        ]
        if able:
            return f"Remedy: {' or '.join(able)}, which sets what it hangs on, first."
        if not paths:
            return "Remedy: take less of it, or look at the page of what fails."
        labels = ", ".join(f"{dials.dial(path).label.lower()} [{path}]" for path in paths[:4])
        return f"Remedy: another size of {labels}; `check` gives the one that just holds."

"""One check: the demand on a part against its capacity, with its working and its source."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount, Text, alike, form, joined, text
from slingwright.amounts.verdict import FAILS, HOLDS, NOT_KNOWN
from slingwright.formulas.loads import design_load
from slingwright.formulas.timber.strength import (
    modification_factor,
    partial_factor,
    timber_design_strength,
)
from slingwright.machine.machine import Machine
from slingwright.strength.loads.cases import MISHAPS, LoadCase, with_copies
from slingwright.strength.names import CHECKS
from slingwright.strength.names import MISHAPS as MISHAP_CHECKS
from slingwright.strength.worked import Given, Step, behind, sources
from slingwright.tables import materials
from slingwright.tables.materials import TimberClass

Found = TypeVar("Found")

NOTHING = "nothing is left that holds"
THROWN = ("brief", "empty", "early", "late", "ring")
"""Kinds of cases whose loads are instantaneous; the rest last a short time (EN 1995-1-1 2.3.1)."""


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Check(Answer):
    """One row of the table of checks.

    `utilisation` is demand over capacity, or what a rule makes of both; it
    holds up to 1. Each is a `Step`, which knows what it came from, or `Given`: `working`, `steps`
    and `source` are read off them. A check that cannot be made has an infinite utilisation, never
    zero, and says in its `note` what is missing. `dials` are those that may bring it to its limit.
    `unknown` says why a check is not known; where a motion is known for a while only, demand,
    utilisation and case are those of the part that is known, and the utilisation is a least one.
    `planned` is the same check with the mishaps left out, where one of them governs or it does not
    hold with them.
    """

    key: str
    part: str
    name: str
    case: str
    demand: float
    capacity: float
    unit: str
    utilisation: float
    note: str = ""
    dials: tuple[str, ...] = ()
    unknown: str = ""
    planned: Check | None = None

    @property
    def as_planned(self) -> Check:
        """The same check with the mishaps left out."""
        return self.planned or self

    @property
    def used(self) -> Text:
        """How much of the capacity is used; "not known", or at least how much, where it is not."""
        if not self.known and self.at_least is None:
            return Text(("not known",))
        if math.isinf(self.utilisation):
            return Text(("beyond all",))
        use = self.utilisation
        share = Amount(use, "share", 3) if use < 10.0 else Text((f"{use:,.0f} x",))
        return text("" if self.known else "at least ", share)

    @property
    def of_mishap(self) -> bool:
        """Whether the check is of a mishap alone."""
        return self.key in MISHAP_CHECKS

    @property
    def mishap(self) -> Text:
        """What a mishap makes of a check that is worse in one; nothing elsewhere."""
        planned = self.planned
        if planned is None or (self.case, self.verdict) == (planned.case, planned.verdict):
            return Text()
        if not self.known:
            return Text((f"not known in a mishap: {self.unknown}",))
        return text(f"{self.verdict} with {self.case}: ", self.used, ", ", self.against)

    @property
    def against(self) -> Text:
        """Demand against capacity."""
        if self.capacity == 0.0:
            return text(self.amount(self.demand), f", {NOTHING}")
        demand, capacity = alike(self.amount(self.demand), self.amount(self.capacity))
        return text(demand, " of ", capacity)

    def amount(self, value: float) -> Amount | str:
        """Give a demand or a capacity with its unit, or say that there is none."""
        if math.isfinite(value):
            return Amount(value, self.unit)
        return "none" if math.isnan(value) else "beyond all"

    @property
    def sentence(self) -> Text:
        """Verdict, use and governing case."""
        used = text(self.used, " used, ") if math.isfinite(self.utilisation) else ""
        return form("{}: {}, {}{}, in {}.")(self.name, self.verdict, used, self.against, self.case)

    def rows(self) -> Iterator[Row]:
        """Give demand, capacity and use, the case that governs, working and source."""
        yield Row("demand", "demand", self.amount(self.demand), self.case)
        yield Row("capacity", "capacity", self.amount(self.capacity), self.source)
        yield Row("used", "used", self.used, self.verdict)
        for i, step in enumerate(self.steps, 1):
            yield Row(f"step.{i}", step.equation or step.told.words, step.amount, step.inputs)
        if self.planned:
            note = text(f"{self.planned.verdict}; ", self.planned.against, f"; {self.planned.case}")
            yield Row("planned", "as planned", self.planned.used, note)
        if self.note:
            yield Row("note", "note", self.note)

    @property
    def _ends(self) -> tuple[float, ...]:
        return self.demand, self.capacity, self.utilisation

    @property
    def steps(self) -> tuple[Step, ...]:
        """Every formula that was worked out for demand, capacity and use, in order."""
        return tuple(one for one in behind(*self._ends) if isinstance(one, Step))

    @property
    def working(self) -> Text:
        """A line for each equation with its numbers, and what is to be said beside them."""
        lines: list[str] = []
        for one in behind(*self._ends):
            if isinstance(one, Step) and one.equation:
                lines.append(one.words)
            elif any(one is end for end in self._ends):
                lines.append(text(one.words, ": ", self.amount(one)))
        return joined(dict.fromkeys(filter(None, [*lines, self.note])), "\n")

    @property
    def source(self) -> str:
        """Where the equations and the values of tables are from."""
        return sources(*self._ends) or "geometry"

    @property
    def known(self) -> bool:
        """Whether the check could be made, over every motion as far as it should be followed."""
        return not self.unknown

    @property
    def passes(self) -> bool:
        """Whether the part is known to hold in the worst case."""
        return self.known and self.utilisation <= 1.0

    @property
    def at_least(self) -> float | None:
        """The use that is reached at least where the check is not known, if any part of it is."""
        return self.utilisation if not self.known and math.isfinite(self.utilisation) else None

    @property
    def verdict(self) -> str:
        """The result in a word."""
        if not self.known:
            return NOT_KNOWN
        return HOLDS if self.passes else FAILS


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Subject:
    """What every check looks at: the machine and its load cases.

    `known` keeps what several checks ask for, so that it is worked out once. `asked` notes the
    cases that a check has looked at, so that it is known only as far as they are.
    """

    machine: Machine
    every_case: tuple[LoadCase, ...]
    known: dict[Hashable, tuple[Any, bool]] = field(default_factory=dict, repr=False)
    asked: list[bool] = field(default_factory=list, repr=False)
    load_factor: float = field(init=False)  # partial factor on the forces of every case

    def __post_init__(self) -> None:
        """Read once what every check asks for."""
        object.__setattr__(self, "load_factor", self.machine.number("site.load_factor"))

    @property
    def mishaps(self) -> frozenset[str]:
        """Names of the cases that are mishaps."""
        return frozenset(case.name for case in self.every_case if case.kind in MISHAPS)

    @property
    def as_planned(self) -> Subject | None:
        """The same with the mishaps left out; None where nothing is left."""
        left = tuple(case for case in self.every_case if case.kind not in MISHAPS)
        if not left:
            return None
        return self.once("as planned", lambda: Subject(machine=self.machine, every_case=left))

    @property
    def cases(self) -> tuple[LoadCase, ...]:
        """Every load case; asking for them is noted."""
        self.asked.append(True)
        return with_copies(self.every_case)

    def once(self, key: Hashable, work: Callable[[], Found]) -> Found:
        """Give what was worked out under a key before, or work it out now."""
        if key not in self.known:
            before = len(self.asked)
            value = work()
            self.known[key] = value, len(self.asked) > before
        found: Found
        found, on_cases = self.known[key]
        if on_cases:
            self.asked.append(True)
        return found

    @property
    def cut(self) -> tuple[LoadCase, ...]:
        """The cases whose motion is not known to its end."""
        return tuple(case for case in with_copies(self.every_case) if case.cut)

    def timber(self, path: str) -> TimberClass:
        """Timber class that a dial names."""
        name = self.machine.text(path)
        return self.once(("timber", name), lambda: materials.timber(name))

    def worst(self, measure: Callable[[LoadCase], float]) -> tuple[float, LoadCase]:
        """Give the largest value of a measure, the load factor left out, and its case."""
        case = max(self.cases, key=measure)
        return measure(case), case

    def modification(self, case: LoadCase) -> Step:
        """Factor k_mod of timber in a case."""
        duration = "instantaneous" if case.kind in THROWN else "short"
        service = int(self.machine.number("site.service"))
        return self.once(duration, lambda: Step(modification_factor, service, duration))

    def timber_strength(
        self, timber: TimberClass, strength: str, case: LoadCase, *size: Step
    ) -> Step:
        """Design strength in a case [Pa]: one of the strengths of a class, and k_h if it counts."""
        modification = self.modification(case)

        def work() -> Step:
            words = f"{timber.name}, {strength.replace('_', ' ')}"
            found = Given(getattr(timber, strength), words, source=timber.source)
            solid = Step(partial_factor, "solid")
            return Step(timber_design_strength, found, modification, solid, *size)

        if size:
            return work()
        return self.once((timber.name, strength, float(modification)), work)

    def design(self, load: float, words: str, parts: float = 1.0) -> Step:
        """Force of a load with its partial factor, on one of some equal parts [N]."""
        return Step(design_load, Given(load, words), self.load_factor, parts)

    def governing(
        self,
        use: Callable[[LoadCase], tuple[float, ...]],
        cases: Iterable[LoadCase] | None = None,
    ) -> tuple[LoadCase, tuple[float, ...]]:
        """Give the case of the largest use, with demand, capacity, and a use that a rule gives.

        Raises: ValueError: there is no case.
        """
        found = [(case, use(case)) for case in (self.cases if cases is None else cases)]
        if not found:
            raise ValueError("there is no load case")
        return max(found, key=lambda one: use_of(*one[1]))


def held_against(demand: float, capacity: float) -> tuple[float, ...]:
    """Give demand and capacity, and a use beyond all where nothing is left that holds."""
    if capacity > 0.0:
        return demand, capacity
    return demand, Given(0.0, NOTHING), math.inf


def use_of(demand: float, capacity: float, use: float | None = None) -> float:
    """Demand over capacity, or the use that a rule gives."""
    return demand / capacity if use is None else use


Maker = Callable[[Subject], Iterable[Check] | Check]


def made(
    key: str,
    case: LoadCase | str,
    ends: tuple[float, ...],
    unit: str,
    dials: tuple[str, ...],
    note: str = "",
) -> Check:
    """Make a check of a key from demand, capacity, and the use where a rule gives another.

    Raises: ValueError: a demand or capacity that is not a number, or a capacity not above zero
        where the use is not said to be beyond all.
    """
    demand, capacity = ends[:2]
    part, name = CHECKS[key]
    least = 0.0 if math.inf in ends[2:] else math.ulp(0.0)
    if math.isnan(demand) or not capacity >= least:
        raise ValueError(
            f"{name}: demand {demand:g}, capacity {capacity:g}: no number to judge by; "
            f"look at {', '.join(dials)}"
        )
    return Check(
        key=key, part=part, name=name, case=case if isinstance(case, str) else case.name,
        demand=demand, capacity=capacity, unit=unit, utilisation=use_of(*ends), note=note,
        dials=dials,
    )  # fmt: skip


def run(subject: Subject, key: str, dials: tuple[str, ...], maker: Maker) -> Iterator[Check]:
    """Run one maker of checks; what it cannot answer becomes its first check, not known.

    Where one does not hold, or a mishap governs it, it is made once more with the mishaps left out.
    """
    found, on_cases = _run(subject, key, dials, maker)
    mishaps = subject.mishaps if on_cases else frozenset()
    worse = {check.key for check in found if not check.passes or check.case in mishaps}
    planned = subject.as_planned if mishaps and worse else None
    spared = {} if planned is None else {c.key: c for c in _run(planned, key, dials, maker)[0]}
    for check in found:
        left = spared.get(check.key) if check.key in worse else None
        yield check if left is None else replace(check, planned=left)


def _run(
    subject: Subject, key: str, dials: tuple[str, ...], maker: Maker
) -> tuple[list[Check], bool]:
    """Run one maker over the cases of one subject, and say whether it looked at them."""
    before = len(subject.asked)
    try:
        result = maker(subject)
        found = [result] if isinstance(result, Check) else list(result)
        on_cases = len(subject.asked) > before
        cut = subject.cut if on_cases else ()
        return [as_far_as_known(check, cut) for check in found], on_cases
    except (ValueError, LookupError, ArithmeticError) as error:
        why = str(error.args[0]) if error.args else str(error)
        return [unknown(key, dials, why)], len(subject.asked) > before


def unknown(key: str, dials: tuple[str, ...], why: str) -> Check:
    """Make a check that could not be made, which says why; a load case goes by its own name."""
    part, name = CHECKS.get(key, ("all", key))
    return Check(
        key=key, part=part, name=name, case="none", demand=math.nan, capacity=math.nan, unit="-",
        utilisation=math.inf, note=f"Cannot be checked: {why} (dials: {', '.join(dials)})",
        dials=dials, unknown=why or "it could not be worked out",
    )  # fmt: skip


def as_far_as_known(check: Check, cut: Sequence[LoadCase]) -> Check:
    """Make a check that would hold not known, where some case it rests on is known in part.

    What fails over the part that is known fails whatever follows.

    The time told is that of the case whose use is told, where it is one of them.
    """
    if not cut or not check.passes:
        return check
    first = min(cut, key=lambda case: (case.name != check.case, case.until))
    why = f"by {first.until:.2f} s, where {first.cut} in {first.name}"
    also = [f"{case.name} by {case.until:.2f} s" for case in cut if case is not first]
    more = f"; likewise {', '.join(also)}" if also else ""
    note = f"The load is known no farther than {why}{more}."
    return replace(check, unknown=why, note=joined(filter(None, [check.note, note])))

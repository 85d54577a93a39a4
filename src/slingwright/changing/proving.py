"""How a new or changed machine is proved: from a light counterweight to the full one.

Each step has what is expected by the machine's own motion and winding, the limits at which to stop,
what to look at, and beside it what was measured. A step that went otherwise than expected is the
end of the day: find out why before more weight goes in.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from slingwright.amounts.answer import Answer, Row, Table
from slingwright.amounts.text import Amount, Text, form, joined, text
from slingwright.amounts.verdict import FAILS, HOLDS, NOT_KNOWN, whole
from slingwright.learning.shots import FieldShot
from slingwright.machine.machine import Machine
from slingwright.motion.spread.scatter import scatter
from slingwright.motion.throwing import Throw, natural_time, throw
from slingwright.standing.places import people, where
from slingwright.standing.zone import zone
from slingwright.strength.checks import checks as every_check
from slingwright.strength.loads.brief import brief_loads, frozen, own_load, with_load
from slingwright.winch.cycle import winding

SHARES = (0.25, 0.5, 0.75, 0.9, 1.0)
"""Of the full counterweight, one after the other: common practice."""
COPIES = 32
SWINGS = 6.0  # natural times sqrt((arm + sling) / g) in which the axle's peak is looked for
ENDS = (0.05, 0.95)  # nine of ten near copies stay between
STIFF = 2.0  # times the frictions as they are: what still turns with ease, common practice
WEIGHED = 0.05  # of the counterweight: how well it is weighed, common practice
OFF = (-WEIGHED, WEIGHED)
SAME = 0.03  # of a mass: a shot with as much belongs to the step
HELD = "held ten minutes, hands off, pin in: nothing creeps, opens or sounds; then eased back"
LOOK = (
    "every bolt, pin, wedge and lashing; cracks and crushed grain at axle, hub, pin and feet; the "
    "rope where it bends; the hook's finger and ring; stakes and sills for any move"
)
"""What is looked at after each step: common practice."""
CAUTION = (
    "These are aids to judgement and approve nothing: local codes and a licensed person decide "
    "whether, with whom and in which steps a machine is proved. Nobody near but who must be, from "
    "the first turn; stop at the first thing that is not as expected."
)


@dataclass(frozen=True, slots=True)
class Expected:
    """One number of a step: what is expected, between what, and what was measured, all SI."""

    key: str
    label: str
    unit: str
    value: float
    low: float
    high: float
    measured: tuple[float, ...] = ()
    both: bool = False  # too little is as wrong as too much

    def told(self, *values: float) -> Text:
        """Give values of this number in words."""
        return joined([text(Amount(value, self.unit, 3)) for value in values], ", ")

    @property
    def verdict(self) -> str:
        """`fails` where any was past the limit, `not known` where none was measured.

        A force below 0 has its sign turned, and is past the limit too.
        """
        if not self.measured:
            return NOT_KNOWN
        low = self.low if self.both else 0.0
        return HOLDS if all(low <= one <= self.high for one in self.measured) else FAILS


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step: the machine as it is then, what to do, what is expected, what speaks against it."""

    name: Text
    machine: Machine
    do: Text
    expected: tuple[Expected, ...]
    against: tuple[str, ...] = ()  # checks that fail with this weight
    trouble: str = ""  # why it cannot be wound, or nothing

    @property
    def verdict(self) -> str:
        """`fails` where something measured or checked does, `not known` until all is measured."""
        if self.against or self.trouble:
            return FAILS
        asked = [one.verdict for one in self.expected if one.key in MEASURED or one.measured]
        return whole(asked)

    @property
    def wrong(self) -> Text:
        """What speaks against it: measured past a limit, failing by the checks, not possible."""
        parts: list[str] = [
            form("{} was {}, expected {} to {}")(
                *(one.label, one.told(*one.measured), one.told(one.low), one.told(one.high))
            )
            for one in self.expected
            if one.verdict == FAILS
        ]
        if self.against:
            more = f" and {len(self.against) - 4} more" if len(self.against) > 4 else ""
            parts.append(f"by the checks fail {', '.join(self.against[:4])}{more}")
        return joined([*parts, *([self.trouble] if self.trouble else [])], "; ")


MEASURED = ("range", "hook_load")
"""What has to be measured for a step to count as done; the rest where there is a cell for it."""
NUMBERS: Mapping[str, str] = {
    "force_per_person": "force per person",
    "peak_rope_pull": "rope",
    "hook_load": "hook, held",
    "axle_held": "axle, held",
    "range": "range",
    "peak_axle_load": "axle, peak",
}
"""What a step expects, by what a log calls it."""
Noted = tuple[str, str, float]
"""What a log has noted: `noted_as` of the step, a label of `NUMBERS`, and the value [SI]."""


def noted_as(machine: Machine) -> str:
    """Give what a log's measurements of a step say of how they were made: with which masses."""
    n = machine.number
    return (
        f"proving with {n('counterweight.mass'):.5g} kg of counterweight and "
        f"{n('projectile.mass'):.5g} kg thrown"
    )


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Proving(Answer):
    """The steps from a light counterweight to the full one, in order."""

    machine: Machine
    steps: tuple[Step, ...]

    @property
    def verdict(self) -> str:
        """`holds` where every step was measured as expected."""
        return whole(step.verdict for step in self.steps)

    @property
    def sentence(self) -> Text:
        """How far it is proved, and what is next or speaks against it."""
        done = sum(step.verdict == HOLDS for step in self.steps)
        first = f"{done} of {len(self.steps)} steps are measured as expected"
        step = next((one for one in self.steps if one.verdict != HOLDS), None)
        if step is None:
            return form("{}: proved as far as these steps go.")(first)
        if step.verdict == FAILS:
            return form("{}. Stop at {}: {}.")(first, step.name, step.wrong)
        stop = next((one for one in self.steps if one.verdict == FAILS), None)
        last = form(" It may not go as far as {}: {}.")(stop.name, stop.wrong) if stop else ""
        return form("{}. Next: {}.{}")(first, step.name, last)

    def rows(self) -> Iterator[Row]:
        """Give each step's numbers with their limits, what was measured, and what to do."""
        for step in self.steps:
            yield Row(f"{step.name}.do", step.name, step.verdict, step.do)
            if step.wrong:
                yield Row(f"{step.name}.wrong", "  speaks against it", step.wrong)
            for one in step.expected:
                stop = form("stop above {}")(one.told(one.high))
                if one.both:
                    stop = form("stop below {} or above {}")(one.told(one.low), one.told(one.high))
                seen = "; not measured"
                if one.measured:
                    seen = form("; measured {}, {}")(one.told(*one.measured), one.verdict)
                value = Amount(one.value, one.unit, 3)
                yield Row(f"{step.name}.{one.key}", f"  {one.label}", value, stop + seen)

    def sheet(self) -> Table:
        """Give a line for each number, with a place for what is measured: to print and fill in."""
        return Table(
            head=("step", "what", "expected", "stop below", "stop above", "measured"),
            lines=tuple(
                (
                    step.name,
                    one.label,
                    Amount(one.value, one.unit, 3),
                    Amount(one.low, one.unit, 3) if one.both else None,
                    Amount(one.high, one.unit, 3),
                    one.told(*one.measured) if one.measured else "........",
                )
                for step in self.steps
                for one in step.expected
            ),
        )

    def report(self) -> Text:
        """Give the whole for a terminal."""
        lines: list[str] = [self.sentence, ""]
        for step in self.steps:
            lines += [form("{} ({}): {}")(step.name, step.verdict, step.do)]
            lines += [form("  against it: {}")(step.wrong)] if step.wrong else []
        lines += ["", f"After each step look at: {LOOK}.", CAUTION]
        return joined(lines, "\n")


def proving(
    machine: Machine,
    shots: Sequence[FieldShot] = (),
    noted: Sequence[Noted] = (),
    *,
    shares: Sequence[float] = SHARES,
    copies: int = COPIES,
    look: bool = True,
) -> Proving:
    """Lay out how a machine is proved from a light counterweight to the full one.

    Each weight is wound, held and eased back, then loosed with the machine's own projectile; at
    the full one the projectiles of the brief follow, the heaviest first. Weights that the arm
    outweighs are left out.

    Args:
        machine: with its full counterweight.
        shots: what was measured; a shot belongs to the step of its counterweight and projectile.
        noted: what was measured and is no shot.
        shares: of the full counterweight, rising to 1.
        copies: near copies from which the limits are read.
        look: whether checks and the ground to keep clear are worked out for each step too.

    Raises:
        ValueError: shares that do not rise to 1.
    """
    if not shares or list(shares) != sorted(set(shares)) or shares[0] <= 0.0 or shares[-1] != 1.0:
        raise ValueError(f"shares {list(shares)}: give rising ones above 0 that end with 1.")
    full, own = frozen(machine), own_load(machine)
    steps = []
    for share in shares:
        at = _weighted(full, share)
        if not _outweighed(at):
            mass = at.number("counterweight.mass")
            name = form("{:.0f} % of the counterweight, {:3kg}")(100.0 * share, mass)
            steps.append(_step(name, at, _measured(full, at, shots, noted), copies, look))
    others = [load for load in brief_loads(machine) if load != own]
    for load in sorted(others, key=lambda one: -one.mass):
        at = with_load(full, load)
        name = form("full counterweight, {}")(load.name)
        steps.append(_step(name, at, _measured(full, at, shots, noted), copies, look))
    return Proving(machine=machine, steps=tuple(steps))


# ---- within


def _weighted(machine: Machine, share: float) -> Machine:
    """Give the machine with a share of its counterweight, of the same shape."""
    paths = ("counterweight.mass", "counterweight.inertia")
    return machine.change({path: share * machine.number(path) for path in paths})


def _outweighed(machine: Machine) -> bool:
    n = machine.number
    arm = n("arm.mass") * n("arm.balance") + (n("sling.mass") + n("sling.pouch")) * n("arm.long")
    return n("counterweight.mass") * n("arm.short") <= arm


def _stiff(machine: Machine) -> Machine:
    """Give the machine a little heavier, with stiffer bearings and sheaves."""
    paths = ("axle.friction", "hanger.friction", "winch.sheave_loss")
    heavier = _weighted(machine, 1.0 + WEIGHED)
    return heavier.change({path: min(STIFF * machine.number(path), 0.5) for path in paths})


def _step(
    name: Text, machine: Machine, seen: dict[str, tuple[float, ...]], copies: int, look: bool
) -> Step:
    found: list[Expected] = []
    loose: str = "then loose it"
    try:
        wound, stiff = winding(machine), winding(_stiff(machine))
        for key in ("force_per_person", "peak_rope_pull"):
            value, high = getattr(wound, key), getattr(stiff, key)
            found.append(Expected(key, NUMBERS[key], "N", value, 0.0, high, seen.get(key, ())))
        found += _at_rest(machine, seen)
    except ValueError as error:
        trouble = str(error).splitlines()[0]
        do = form("leave this step out")()
        return Step(name=name, machine=machine, do=do, expected=tuple(found), trouble=trouble)
    done = throw(machine)
    if done.range is None:
        loose = form("do not loose it, it would not throw: {}")(done.sentence.rstrip("."))
    else:
        found += _thrown(machine, done, seen, copies)
    stand = {one.key: one for one in people(machine)}
    against = tuple(f"place of {one.who}" for one in stand.values() if one.wrong)
    if look:
        against += tuple(check.name for check in every_check(machine) if check.verdict == FAILS)
    if look and done.range is not None:
        clear = zone(machine)
        loose = form("{}, clear {:0m} ahead, {:0m} behind and {:0m} on every side")(
            loose, clear.clear_ahead, clear.clear_behind, clear.clear_beside
        )
    winds, looses = (where(stand[key].x, stand[key].z) for key in ("winders", "looses"))
    if done.range is not None:
        loose = form("{}, from {}")(loose, looses)
    do = form("wind it down from {}; {}; {}; look at all of it.")(winds, HELD, loose)
    return Step(name=name, machine=machine, do=do, expected=tuple(found), against=against)


def _at_rest(machine: Machine, seen: dict[str, tuple[float, ...]]) -> Iterator[Expected]:
    """Give what hook and axle carry while it is held, between weights a little off."""
    states = [throw(_weighted(machine, 1.0 + off), swing_through=0.0).held for off in (0.0, *OFF)]
    for key, loads in (
        ("hook_load", [state.hook_load for state in states]),
        ("axle_held", [state.axle_load for state in states]),
    ):
        ends = min(loads), max(loads)
        yield Expected(key, NUMBERS[key], "N", loads[0], *ends, seen.get(key, ()), both=True)


def _thrown(
    machine: Machine, done: Throw, seen: dict[str, tuple[float, ...]], copies: int
) -> Iterator[Expected]:
    """Give range and peak axle load of a throw, between what nine of ten near copies stay."""
    near = _limits(machine, copies)
    for key, unit in (("range", "m"), ("peak_axle_load", "N")):
        value = float(getattr(done, key))
        low, high = near[key]
        ends = min(float(low), value), max(float(high), value)
        yield Expected(
            key, NUMBERS[key], unit, value, *ends, seen.get(key, ()), both=key == "range"
        )


@lru_cache(maxsize=64)
def _limits(machine: Machine, copies: int) -> dict[str, tuple[float, ...]]:
    """Give between what nine of ten near copies stay, followed for some swings."""
    swing = min(SWINGS * natural_time(machine), 5.0)
    near = scatter(machine, n=copies, swing_through=swing)
    return {key: tuple(np.nanquantile(near[key], ENDS)) for key in ("range", "peak_axle_load")}


def _measured(
    full: Machine, at: Machine, shots: Sequence[FieldShot], noted: Sequence[Noted]
) -> dict[str, tuple[float, ...]]:
    """Gather what was measured with this counterweight and this projectile, by its key."""
    found: dict[str, list[float]] = {
        key: [value for how, what, value in noted if (how, what) == (noted_as(at), label)]
        for key, label in NUMBERS.items()
    }
    for shot in shots:
        masses = ("counterweight.mass", "projectile.mass")
        given: list[Any] = [shot.settings.get(path, full[path]) for path in masses]
        if all(
            math.isclose(float(one), at.number(path), rel_tol=SAME)
            for one, path in zip(given, masses, strict=True)
        ):
            for key, (value, _) in shot.seen.items():
                found.setdefault(key, []).append(value)
    return {key: tuple(values) for key, values in found.items() if values}

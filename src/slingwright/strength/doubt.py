"""How sure is the use of each check: its 95 % value, what drives it, what would narrow it.

Loads scatter as near copies of a machine differ, and masses besides; strengths as their materials
do; mishaps are left out. In logarithms both add: a use is a load over a strength, and the strength
told is the one that 19 of 20 pieces have. Safety factors stay where they are.
"""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount, Text, form
from slingwright.machine.machine import Machine, MachineError
from slingwright.machine.table import dials
from slingwright.motion.spread.scatter import drawn
from slingwright.motion.spread.uncertain import Uncertain, near
from slingwright.strength.check import Check, Subject
from slingwright.strength.checks import all_checks
from slingwright.strength.loads.cases import MISHAPS, load_cases

QUANTILE = 1.6449
"""Of a normal distribution: 19 of 20 lie below."""
COPIES = 32
MASSES: Mapping[str, float] = {"projectile.mass": 0.02, "arm.mass": 0.05}
"""How well a mass is known that was not weighed, as a part of itself: common practice."""
STRENGTHS: Mapping[str, tuple[str, float]] = {
    "EN 338": ("strength of the timber", 0.25),
    "EN 10025": ("strength of the steel", 0.07),
    "EN ISO 898": ("strength of the bolts", 0.07),
    "rope": ("strength of the rope", 0.10),
}
"""What a check's source names: the strength it uses and its coefficient of variation: JCSS,
Probabilistic Model Code, 3.2 and 3.5 (from memory); of ropes common practice."""
STIFFNESS = ("stiffness of the timber", 0.13)
"""JCSS, Probabilistic Model Code, 3.5 (from memory); its mean is what a check takes."""
BY_STIFFNESS = ("arm.deflection",)
REST = "what follows the first slack"
"""What no number that is drawn explains: two motions that differ by a hair part there."""
MEASURE: Mapping[str, str] = {
    "axle.friction": "let the empty arm swing on its axle and count how long it goes on",
    "hanger.friction": "let the box swing on its pin and count how long it goes on",
    "trough.friction": "pull the projectile along the trough with a spring balance",
    "release.angle": "film the release and read off the angle at which the ring slips",
    "sling.length": "measure the sling under the pull of a throw",
    "sling.stiffness": "hang a known weight on a cord and measure how far it stretches",
    "sling.damping": "hang a weight on a cord and film how it comes to rest",
    "counterweight.mass": "weigh the filled box",
    "projectile.mass": "weigh each projectile",
    "projectile.drag": "film a flight",
    "arm.mass": "weigh the arm",
    "strength of the timber": "have each piece graded, or proof-load it",
    "stiffness of the timber": "lay the arm on two trestles, load it and measure how far it bends",
    "strength of the steel": "ask for the mill's certificate",
    "strength of the bolts": "ask for the maker's certificate",
    "strength of the rope": "have a length of the same rope pulled until it breaks",
    REST: "no measurement: keep the sling taut, or allow for the largest",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubtful:
    """One check: the use told, its 95 % value, and the shares of what scatters.

    `shares` are parts of the variance of the use's logarithm; `driver` has the largest, `without`
    is the 95 % value if that were known exactly.
    """

    check: Check
    use: float
    high: float
    shares: Mapping[str, float]
    without: float

    @property
    def driver(self) -> str:
        """What drives the doubt most."""
        return max(self.shares, key=lambda name: self.shares[name], default="")

    @property
    def words(self) -> Text:
        """What drives it, and which measurement would narrow it to what."""
        if not self.driver:
            return Text(("nothing that is looked at changes it",))
        name = self.driver
        label = dials.dial(name).label.lower() if name in dials.BY_PATH else name
        use, without = (Amount(one, "share", 3) for one in (self.use, self.without))
        measure = MEASURE.get(name, "measure it")
        return form("told {}; {:.0f} % of its doubt is {}: {}; known exactly, 95 % is {}")(
            use, 100.0 * self.shares[name], label, measure, without
        )


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Doubt(Answer):
    """The doubt of every check whose use is a number, the largest 95 % value first."""

    machine: Machine
    copies: int
    left: int  # checks left out: not known, or without a number
    found: tuple[Doubtful, ...]

    def __getitem__(self, key: str) -> Doubtful:
        """Give one check's by its key."""
        return next(one for one in self.found if one.check.key == key)

    def rows(self) -> Iterator[Row]:
        """Give every check: the 95 % value of its use, and what would narrow it."""
        for one in self.found:
            yield Row(one.check.key, one.check.name, Amount(one.high, "share", 3), one.words)

    @property
    def sentence(self) -> str:
        """How many checks hold as told and not at 95 %, and which is the first of them."""
        doubtful = [one for one in self.found if one.use <= 1.0 < one.high]
        left = f" ({self.left} more are not known)" if self.left else ""
        over = f"of {len(self.found)} checks{left}, from {self.copies} near copies"
        if not doubtful:
            return f"None {over}, holds as told and not at 95 %."
        first = max(doubtful, key=lambda one: one.high)
        return (
            f"{len(doubtful)} {over}, hold as told and not at 95 %. First: {first.check.name}, "
            f"{first.words}."
        )


def doubt(
    machine: Machine,
    *,
    copies: int = COPIES,
    seed: int = 1,
    stopped: Callable[[], bool] = lambda: False,
) -> Doubt:
    """Tell the use of each check that 19 of 20 machines built alike stay below.

    Loads are those of near copies, each followed for a first look: how they scatter is read off
    them, and laid about the use of the whole look, on the safe side where that is the largest of
    near copies already. It takes some seconds. Checks that are not known are left out.

    Args:
        copies: near copies, at least twice as many as there are numbers that scatter.
        stopped: asked before each copy whether the answer is still wanted.

    Raises:
        ValueError: too few copies.
        InterruptedError: the answer was no longer wanted.
    """
    unsure = (*near(machine), *_masses(machine))
    if copies < 2 * len(unsure):
        raise ValueError(f"copies is {copies}; give {2 * len(unsure)} or more to tell them apart")
    draws = drawn(machine, unsure, copies, seed)
    settings: list[tuple[float, ...]] = []
    uses: list[dict[str, float]] = []
    for at in range(copies):
        if stopped():
            raise InterruptedError("the doubt was no longer asked for")
        try:
            copy = machine.change({path: float(column[at]) for path, column in draws.items()})
        except MachineError:
            continue
        settings.append(tuple(float(column[at]) for column in draws.values()))
        uses.append({one.key: one.utilisation for one in _planned(copy, quick=True)})
    table, names = np.array(settings), list(draws)
    found = []
    every = _planned(machine)
    for check in every:
        told = np.array([one.get(check.key, math.nan) for one in uses])
        good = np.isfinite(told) & (told > 0.0)
        if not check.known or not math.isfinite(check.utilisation) or not good.all():
            continue
        loads = variances(table, np.log(told), names)
        found.append(doubt_of(check, loads))
    found.sort(key=lambda one: -one.high)
    left = len(every) - len(found)
    return Doubt(machine=machine, copies=len(uses), left=left, found=tuple(found))


def doubt_of(check: Check, loads: Mapping[str, float]) -> Doubtful:
    """Give one check's doubt from the variances of its load's logarithm by cause."""
    strength, low = strength_of(check)
    parts = {**loads, **strength}
    whole = math.fsum(parts.values())

    def high(spread: Mapping[str, float]) -> float:
        strong = math.sqrt(math.fsum(spread.get(name, 0.0) for name in strength)) if low else 0.0
        away = math.sqrt(math.fsum(spread.values())) - strong
        return check.utilisation * math.exp(QUANTILE * away)

    shares = {name: part / whole for name, part in parts.items()} if whole > 0.0 else {}
    driver = max(parts, key=lambda name: parts[name], default="")
    known = {name: part for name, part in parts.items() if name != driver}
    # Measured, a strength is as likely its middle as not: the told one lies below it.
    middle = math.exp(-QUANTILE * math.sqrt(parts[driver])) if low and driver in strength else 1.0
    return Doubtful(check=check, use=check.utilisation, high=high(parts), shares=shares,
                    without=high(known) * middle)  # fmt: skip


def variances(
    settings: np.ndarray, logarithms: np.ndarray, names: Sequence[str]
) -> dict[str, float]:
    """Split the variance of a use's logarithm (n,) by straight lines in what was drawn (n, k).

    What the lines leave is `REST`. Dials that do not scatter have none.

    Source: least squares, first-order variance; any text on statistics.
    """
    spread = settings.std(axis=0)
    moved = np.flatnonzero(spread > 0.0)
    scaled = (settings[:, moved] - settings[:, moved].mean(axis=0)) / spread[moved]
    off = logarithms - logarithms.mean()
    slopes = np.linalg.lstsq(scaled, off, rcond=None)[0]
    left = off - scaled @ slopes
    free = max(1, off.size - 1 - moved.size)
    noise = float(left @ left) / free
    # A slope is found from noise too: what noise alone would give is taken off.
    parts = np.maximum(slopes**2 - noise / off.size, 0.0)
    found = {names[at]: float(part) for at, part in zip(moved.tolist(), parts, strict=True)}
    return {name: part for name, part in {**found, REST: noise}.items() if part > 1e-12}


def strength_of(check: Check) -> tuple[dict[str, float], bool]:
    """Variance of the strength's logarithm by its name, and whether the told one is the 5 % one."""
    if check.key in BY_STIFFNESS:
        return {STIFFNESS[0]: _variance(STIFFNESS[1])}, False
    for source, (name, variation) in STRENGTHS.items():
        if source in check.source:
            return {name: _variance(variation)}, True
    return {}, False


# ---- within


def _planned(machine: Machine, quick: bool = False) -> list[Check]:
    cases = load_cases(machine, quick=quick)
    kept = tuple(case for case in cases if case.kind not in MISHAPS)
    return list(all_checks(Subject(machine=machine, every_case=kept)))


def _variance(variation: float) -> float:
    """Variance of the logarithm of what is distributed so: log-normal, closed form."""
    return math.log1p(variation**2)


def _masses(machine: Machine) -> Iterator[Uncertain]:
    for path, part in MASSES.items():
        if machine.number(path) > 0.0:
            source = "not weighed: common practice"
            yield Uncertain(path=path, way="factor", mean=1.0, sd=part, source=source)

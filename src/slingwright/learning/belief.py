"""What is held true of a machine at a time: a best guess and draws, and what comes next.

Before any shot the draws come from the priors alone; after some, from `learning`.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from slingwright.learning.fitting import Interval
from slingwright.learning.posterior import FREEDOM, interval_of
from slingwright.learning.priors import unsure
from slingwright.learning.shots import (
    NOISE_SD,
    RANGE_SCATTER,
    FieldShot,
    LearnError,
    ShotModel,
    as_parameter,
)
from slingwright.machine.machine import Machine
from slingwright.machine.table import dials
from slingwright.machine.table.dials import Value
from slingwright.motion.spread.uncertain import Uncertain

MOST_FAILING = 0.05  # share of the draws whose throw may fail where an interval is still given
PRIOR_DRAWS = 1000
REPEATS = 25  # chances of the scatter for each throw, so that the interval's ends are sharp
MODEL_SD = 0.01
"""How far the model may be off, as a share of the range, at settings unlike all that were loosed;
common practice."""
UNLIKE = 0.2
"""Change of a setting, as a share of it, that makes a shot unlike another; common practice."""
TURNED = math.radians(10.0)
"""The same for an angle [rad]; common practice."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Belief:
    """The uncertain numbers' best values, and draws of them; `scatters` of a range, shot to shot.

    `scatters` are shares of the range at each draw: few shots tell their own scatter badly, so that
    it has draws too, and a lighter projectile that flies farther scatters farther. `tried` holds
    the settings that were loosed: away from them the model itself may be off.
    """

    machine: Machine
    uncertain: tuple[Uncertain, ...]
    best: Mapping[str, float]
    draws: Mapping[str, np.ndarray]
    scatters: np.ndarray
    level: float
    seed: int
    tried: tuple[Mapping[str, Value], ...] = ()
    learned: bool = False  # whether shots are in it
    doubt: str = ""  # why no forecast is given, where shots and model disagree

    @property
    def basis(self) -> str:
        """What answers rest on, in words."""
        return "as learned from its shots" if self.learned else "as tables and practice have it"

    @property
    def scatter(self) -> float:
        """Standard deviation of a range from shot to shot, as a share of it."""
        return float(np.median(self.scatters))

    def off_model(self, settings: Mapping[str, Value] | None = None) -> float:
        """Give how far the model may be off at some settings, as a share of the range (sd).

        s = 0.01 (1 - exp(-d^2 / 2)), d the least distance to settings that were loosed.

        Args:
            settings: dials that differ from the machine's.
        """
        likeness = [self._likeness(settings or {}, other) for other in self.tried]
        return MODEL_SD * (1.0 - max(likeness, default=0.0))

    def _likeness(self, one: Mapping[str, Value], other: Mapping[str, Value]) -> float:
        square = 0.0
        for path in one.keys() | other.keys():
            a, b = (some.get(path, self.machine[path]) for some in (one, other))
            if isinstance(a, bool | str) or a is None or isinstance(b, bool | str) or b is None:
                square += float(a != b)
                continue
            angle = dials.dial(path).si_unit == "rad"
            size = TURNED if angle else UNLIKE * max(abs(float(a)), abs(float(b)), 1e-9)
            square += ((float(a) - float(b)) / size) ** 2
        return math.exp(-0.5 * square)

    def now(self, changes: Mapping[str, Value] | None = None) -> Machine:
        """Give the machine as it really is, by the best values, with some settings changed first.

        Args:
            changes: settings, as a person makes them; a dial that is uncertain itself and is set
                here stays as it is set.
        """
        machine = self.machine.change(changes) if changes else self.machine
        real: dict[str, Value] = {}
        for one in self.uncertain:
            if one.way == "value" and changes and one.path in changes:
                continue
            setting = machine[one.path]
            start = np.array(setting if isinstance(setting, float) else 0.0)
            real[one.path] = float(one.applied(start, np.array(self.best[one.name])))
        return machine.change(real)

    def real(self, values: Mapping[str, np.ndarray]) -> dict[str, np.ndarray]:
        """Give what settings really are, by the best values: path to SI values (n,)."""
        found = dict(values)
        for one in self.uncertain:
            if one.path in found and one.way != "value":
                found[one.path] = one.applied(found[one.path], np.array(self.best[one.name]))
        return found

    def scatter_at(self, far: np.ndarray) -> np.ndarray:
        """Give the standard deviation of a range from shot to shot [m], at some ranges [m]."""
        return self.scatter * np.abs(far)

    def scattered(
        self,
        thrown: np.ndarray,
        most: int,
        seed: int = 1,
        repeats: int = 1,
        settings: Mapping[str, Value] | None = None,
    ) -> np.ndarray:
        """Add what two like shots differ by to ranges (k,) thrown at the draws `outcomes` takes.

        The answer is of shape (k times repeats,), each throw by turns with another chance of
        Student's distribution, and of what the model may be off by at these settings.

        Args:
            thrown: ranges [m], in the order of the draws; NaN stays NaN.
            most: as it was asked of `outcomes`.
            seed: beside the belief's own.
            repeats: chances for each throw.
            settings: dials that differ from the machine's.
        """
        chance = np.random.default_rng([self.seed, seed])
        sd = self.scatters[self._rows(most)] * np.abs(thrown)
        off = self.off_model(settings) * np.abs(thrown)
        shape = (repeats, thrown.size)
        many = thrown + sd * chance.standard_t(FREEDOM, shape) + off * chance.standard_normal(shape)
        return many.reshape(-1)

    def outcomes(
        self, trials: Sequence[Mapping[str, Value]], what: str = "range", most: int = 200
    ) -> np.ndarray:
        """Give what each trial would do at some draws: (draws, trials), NaN where a throw fails.

        Args:
            trials: settings that differ from the machine's.
            what: a column of a sweep, or `time_of_flight`.
            most: draws to throw.
        """
        return self._model(trials, (what,)).many(self._some(most))

    def best_outcomes(
        self, trials: Sequence[Mapping[str, Value]], whats: Sequence[str]
    ) -> np.ndarray:
        """Give some columns for each trial at the best values: (trials, columns)."""
        model = self._model(trials, whats)
        return model(self.best).reshape(len(trials), len(whats))

    def ranges_at(self, numbers: Mapping[str, np.ndarray]) -> np.ndarray:
        """Give the range with the present settings at values of the numbers, each (k, 1): (k,)."""
        return self._model([{}], ("range",)).many(numbers)[:, 0]

    def next_shot(
        self, settings: Mapping[str, Value] | None = None, *, what: str = "range", most: int = 400
    ) -> Interval:
        """Give what the next shot should do, with the interval that should hold it.

        Args:
            settings: dials that differ from the machine's.
            what: a column of a sweep, or `time_of_flight`.
            most: draws to throw.

        For a range the scatter from shot to shot is in the interval, for the rest it is not.

        Raises:
            LearnError: shots and model disagree, or more than one throw in twenty fails with these
                settings.
        """
        if self.doubt:
            raise LearnError(self.doubt)
        thrown = self.outcomes([settings or {}], what, most)[:, 0]
        if what == "range":
            thrown = self.scattered(thrown, most, repeats=REPEATS, settings=settings)
        good = thrown[np.isfinite(thrown)]
        if good.size < (1.0 - MOST_FAILING) * thrown.size:
            raise LearnError(
                f"{100.0 * (1.0 - good.size / thrown.size):.0f} % of the throws fail with these "
                "settings, by what the shots leave possible. Loose it with settings further from "
                "the failure."
            )
        return interval_of(good, self.level)

    def copies(
        self, machine: Machine, n: int, seed: int
    ) -> tuple[dict[str, np.ndarray], np.ndarray]:
        """Draw near copies of a machine from what is held true, and what each flight is times.

        Args:
            machine: as it is set.
            n: how many copies.
            seed: of the draws.

        Returns:
            The dials of the copies by path (n,), SI; and the scatter from shot to shot as a factor
            of each flight (n,), by Student's distribution with `FREEDOM` degrees.
        """
        chance = np.random.default_rng([seed, 2])
        rows, found = chance.integers(len(self.scatters), size=n), {}
        for one in self.uncertain:
            setting, row = machine[one.path], dials.dial(one.path)
            start = np.array(setting if isinstance(setting, float) else 0.0)
            real = one.applied(start, self.draws[one.name][rows])
            found[one.path] = np.clip(real, row.lowest, row.highest)
        return found, 1.0 + self.scatters[rows] * chance.standard_t(FREEDOM, n)

    def past(self, limit: float, settings: Mapping[str, Value], most: int = 200) -> float:
        """Give the share of shots that land past a distance [m], 0 where none lands.

        Args:
            limit: the distance [m].
            settings: dials that differ from the machine's.
            most: draws to throw.
        """
        thrown = self.outcomes([settings], "range", most)[:, 0]
        landed = self.scattered(thrown, most, repeats=10, settings=settings)
        landed = landed[np.isfinite(landed)]
        return float(np.mean(landed > limit)) if landed.size else 0.0

    def _model(self, trials: Sequence[Mapping[str, Value]], whats: Sequence[str]) -> ShotModel:
        wanted = {what: (0.0, 1.0) for what in whats}
        shots = [
            FieldShot(label=f"trial {i + 1}", settings=one, seen=wanted)
            for i, one in enumerate(trials)
        ]
        return ShotModel(self.machine, shots, self.uncertain)

    def _rows(self, most: int) -> np.ndarray:
        """Give which draws are taken: the same ones for the same number."""
        every = len(next(iter(self.draws.values())))
        return np.random.default_rng(self.seed).choice(every, size=min(most, every), replace=False)

    def _some(self, most: int) -> dict[str, np.ndarray]:
        rows = self._rows(most)
        return {name: column[rows][:, None] for name, column in self.draws.items()}


def before_any_shot(
    machine: Machine,
    uncertain: Sequence[Uncertain] | None = None,
    *,
    level: float = 0.9,
    seed: int = 1,
) -> Belief:
    """Give what is held true from tables and common practice alone.

    Args:
        machine: as it is said to be.
        uncertain: what is not surely known; those of `unsure` if left out.
        level: share of cases an interval should hold.
        seed: the same seed gives the same draws.
    """
    numbers = tuple(unsure(machine) if uncertain is None else uncertain)
    chance = np.random.default_rng(seed)
    draws = {}
    for one in numbers:
        row = as_parameter(one)
        drawn = one.mean + one.sd * chance.standard_normal(PRIOR_DRAWS)
        draws[one.name] = np.clip(drawn, row.low, row.high)
    return Belief(
        machine=machine,
        uncertain=numbers,
        best={one.name: one.mean for one in numbers},
        draws=draws,
        scatters=RANGE_SCATTER * np.exp(NOISE_SD * chance.standard_normal(PRIOR_DRAWS)),
        level=level,
        seed=seed,
    )

"""Learn the numbers a machine does not tell from its shots: frictions, slip, stretch, drag, weight.

Every shot is thrown again by the compiled motion with its own settings; what was seen of it (range,
time in the air, a video's release, a load) is held against what comes out. Seeded draws, weighed by
exact throws, give the numbers and their intervals, and what no shot can tell is said.

Source: as in `posterior`.
"""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.answer import Answer, Cell, Row, Table
from slingwright.amounts.text import Amount, Text, form, span, text, told
from slingwright.learning.belief import Belief
from slingwright.learning.fitting import FitError, Interval
from slingwright.learning.posterior import PARTICLES, Posterior, Seen, draw
from slingwright.learning.priors import unsure, with_measured
from slingwright.learning.seen.by_eye import ODD, chance_of
from slingwright.learning.shots import (
    BY_EYE,
    NOISE_SD,
    RANGE_SCATTER,
    UNITS,
    FieldShot,
    LearnError,
    ShotModel,
    as_parameter,
    kind_of,
)
from slingwright.machine.machine import Machine
from slingwright.machine.table.dials import Value
from slingwright.motion.spread.uncertain import Uncertain

FAR = 4.0
"""Times the scatter that is assumed; shots that likely scatter by more give no forecast."""
IN_A_ROW = 3
"""Shots at the end that do not fit, after which there is no forecast: chance gives no such row."""
SCATTER_TOLD = 0.8
"""Less than this share of its spread before is left of a scatter that shots show."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """A measurement too far off to be chance: a wrong entry, or a part that has changed."""

    label: str
    what: str
    seen: float
    expected: float
    off: float  # in standard deviations
    word: str = ""  # where it was seen by eye

    def __str__(self) -> str:
        if self.word:
            return (
                f"{self.label}: the release was seen {self.word}, but the projectile left at "
                f"{math.degrees(self.expected):.0f} deg. Look for a wrong entry or another setting."
            )
        unit = UNITS.get(self.what, "s")
        what = self.what.replace("_", " ")
        return (
            f"{self.label}: {what} {units.text(self.seen, unit)} does not fit, "
            f"{units.text(self.expected, unit)} was to be expected ({self.off:+.1f} standard "
            "deviations). Look for a wrong entry, another setting or a broken part before the "
            "next shot."
        )


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Learned(Answer):
    """What the shots told: the fit, draws from what they leave open, and how to use them."""

    machine: Machine
    model: ShotModel
    fit: Posterior
    level: float
    seed: int
    left_out: tuple[str, ...]

    @property
    def uncertain(self) -> tuple[Uncertain, ...]:
        """The numbers that were fitted."""
        return self.model.uncertain

    @property
    def suspects(self) -> tuple[Suspect, ...]:
        """Measurements that do not fit."""
        found = []
        for place in self.fit.does_not_fit:
            row, what = self.model.places[place]
            if what == BY_EYE:
                continue
            found.append(
                Suspect(
                    label=self.model.shots[row].label,
                    what=what,
                    seen=float(self.fit.seen.value[place]),
                    expected=float(self.fit.predicted[place]),
                    off=float(self.fit.standardised[place]),
                )
            )
        return (*found, *self._odd_words())

    @property
    def disagreement(self) -> str:
        """Why these shots give no forecast: they and the model do not agree; or nothing."""
        shots = len(self.model.shots)
        odd = {one.label for one in self.suspects}
        said = ""
        if 2 * len(odd) > shots:
            said = f"{len(odd)} of {shots} shots do not fit"
        elif shots >= IN_A_ROW and all(s.label in odd for s in self.model.shots[-IN_A_ROW:]):
            said = f"The last {IN_A_ROW} shots do not fit those before, as if something had changed"
        for kind in self.fit.seen.loose:
            size = self.fit.noise[kind]
            if not said and size > FAR and self.fit.seen.kinds.count(kind) > 1:
                said = f"The {kind} scatters {size:.1f} times as far as is assumed"
        if not said and self.fit.strain > 1.0:
            shifts = {
                one.label: abs(self.fit.values[one.name] - one.mean) / one.sd
                for one in self.uncertain
            }
            said = (
                "The shots fit only with numbers that are hardly to be believed (most of all: "
                f"{max(shifts, key=lambda name: shifts[name])})"
            )
        return said and (
            f"{said}: shots and model disagree, so that no forecast is given. Look at the settings "
            "and entries of the shots, weigh and measure the machine, or leave out what was wrong."
        )

    @property
    def doubted(self) -> tuple[Text, ...]:
        """Weighings and measurements that the shots make more likely wrong than right, in words."""
        found = []
        for one in self.uncertain:
            if self.fit.mistaken.get(one.name, 0.0) > 0.5:
                at = self.interval(one.name)
                found.append(
                    form("{}: measured {}, but the shots say {}. Weigh or measure it again.")(
                        one.label, Amount(one.mean, one.unit, 3), span(at.low, at.high, one.unit)
                    )
                )
        return tuple(found)

    def _odd_words(self) -> list[Suspect]:
        """Give releases seen by eye that hardly fit what is expected."""
        rows = [
            (row, place) for place, (row, what) in enumerate(self.model.places) if what == BY_EYE
        ]
        expected = self.model(self.fit.values)
        found = []
        for row, place in rows:
            shot, elevation = self.model.shots[row], float(expected[place])
            if float(chance_of(shot.release, elevation)) < ODD:
                found.append(
                    Suspect(
                        label=shot.label,
                        what=BY_EYE,
                        seen=math.nan,
                        expected=elevation,
                        off=float(self.fit.standardised[place]),
                        word=shot.release,
                    )
                )
        return found

    @property
    def range_sd(self) -> float:
        """Scatter of a range from shot to shot, as the shots show it [m]."""
        sds = [shot.seen["range"][1] for shot in self.model.shots if "range" in shot.seen]
        if not sds:
            return math.nan
        return float(np.median(sds)) * self.fit.noise["range"]

    @property
    def drift(self) -> Interval | None:
        """Where the next shot comes down to the right, per metre of its range; None untold.

        The mean drift over range of n shots, give or take t s sqrt(1 + 1/n), s their scatter and t
        of Student's distribution.
        """
        from scipy.special import stdtrit

        shares = np.array(
            [
                shot.drift / shot.seen["range"][0]
                for shot in self.model.shots
                if shot.drift is not None and shot.seen.get("range", (0.0, 0.0))[0] > 0.0
            ]
        )
        if shares.size < 2:
            return None
        half = float(stdtrit(shares.size - 1, 0.5 + 0.5 * self.level))
        half *= float(shares.std(ddof=1)) * math.sqrt(1.0 + 1.0 / shares.size)
        middle = float(shares.mean())
        return Interval(value=middle, low=middle - half, high=middle + half, level=self.level)

    def interval(self, name: str) -> Interval:
        """Give a number's median and interval, by its name as in `Uncertain.name`."""
        return self.fit.interval(name, self.level)

    @property
    def belief(self) -> Belief:
        """What is held true of the machine after these shots, for what comes next."""
        shares = [
            shot.seen["range"][1] / max(abs(shot.seen["range"][0]), 1e-9)
            for shot in self.model.shots
            if "range" in shot.seen
        ]
        factors = self.fit.noises.get("range")
        if factors is None:
            chance = np.random.default_rng(self.seed)
            factors = np.exp(NOISE_SD * chance.standard_normal(len(self.fit.draws)))
        return Belief(
            machine=self.machine,
            uncertain=self.uncertain,
            best=self.fit.values,
            draws={name: self.fit.draws[:, place] for place, name in enumerate(self.fit.names)},
            scatters=(float(np.median(shares)) if shares else RANGE_SCATTER) * factors,
            level=self.level,
            seed=self.seed,
            tried=tuple(shot.settings for shot in self.model.shots),
            learned=True,
            doubt=self.disagreement,
        )

    def now(self, changes: Mapping[str, Value] | None = None) -> Machine:
        """Give the machine as it really is, by the best fit, with some settings changed first."""
        return self.belief.now(changes)

    def next_shot(
        self, settings: Mapping[str, Value] | None = None, *, what: str = "range"
    ) -> Interval:
        """Give what the next shot should do; see `Belief.next_shot`.

        Raises:
            LearnError: shots and model disagree, or too many of the throws fail.
        """
        if self.disagreement:
            raise LearnError(self.disagreement)
        return self.belief.next_shot(settings, what=what)

    def account(self, system: units.System = "metric") -> str:
        """Say in plain lines what was learned, what was not, and what does not fit."""
        lines = [self.sentence.told(system), *self.scatter_words(system)]
        if self.left_out:
            lines.append(f"Left out: {', '.join(self.left_out)}.")
        for row in self.table(system).cells():
            lines.append(f"{row[0]}: {row[1]} ({row[2]}); before: {row[3]}. {row[4]}")
        for one, other, r in self.fit.tied(0.9):
            lines.append(
                f"{one} and {other} go together (correlation {r:+.2f}): the shots show what the "
                "two do together, not what each does. Measure one of them apart."
            )
        lines += [str(suspect) for suspect in self.suspects]
        lines += [told(one, system) for one in self.doubted]
        lines.append(f"About {self.fit.independent:.0f} of {PARTICLES} draws count.")
        return "\n".join(lines)

    def scatter_words(self, system: units.System = "metric") -> list[str]:
        """Say how much like shots differ: in range, to the side, and in what else was seen."""
        lines = []
        if math.isfinite(self.range_sd):
            stated = all(s.range_stated for s in self.model.shots if "range" in s.seen)
            known = "as the entries state" if stated else "assumed for the most part: few shots"
            if np.log(self.fit.noises["range"]).std() < SCATTER_TOLD * NOISE_SD:
                known = "as these shots show"
            share, size = 100.0 * self.belief.scatter, float(f"{self.range_sd:.2g}")
            lines.append(
                f"From shot to shot the range scatters by {share:.2g} % of it "
                f"({units.text(size, 'm', system)}), {known}."
            )
        for kind, factor in self.fit.noise.items():
            if kind != "range" and kind in self.fit.seen.loose:
                lines.append(f"Scatter of the {kind}: {factor:.2g} times what was assumed of it.")
        if self.drift is not None:
            left, right = (
                units.text(float(f"{100.0 * abs(v):.2g}"), "m", system)
                + (" to the left" if v < 0.0 else " to the right")
                for v in (self.drift.low, self.drift.high)
            )
            whole = units.text(100.0, "m", system)
            lines.append(f"To the side: {left} to {right} in {whole} of range.")
        return lines

    @property
    def sentence(self) -> Text:
        """What was learned from, and whether model and shots disagree."""
        said = form("{} shots, {} measurements, {:.0f} % intervals.")(
            len(self.model.shots), len(self.model.places), 100.0 * self.level
        )
        return text(said, " ", self.disagreement) if self.disagreement else said

    def rows(self) -> Iterator[Row]:
        """Give each number with what was known of it before and how far the shots told it."""
        for one, (label, value, interval, before, says) in zip(
            self.uncertain, self.table().lines, strict=True
        ):
            note = text(interval or "", "; before the shots ", before or "", ". ", says or "")
            yield Row(one.name, str(label), value, note)

    def table(self, system: units.System = "metric") -> Table:
        """Give a row a number: label, value, interval, what was known before, what was told."""
        lines: list[tuple[Cell, ...]] = []
        for one in self.uncertain:
            told = self.interval(one.name)
            left = self.fit.spread_left[one.name]
            moved = abs(told.value - one.mean) / one.sd
            if left > 0.9 and moved < 0.6:
                says = "Not learned from these shots: it is what was assumed before."
            elif left > 0.6 and moved < 2.0:
                says = "Learned a little."
            else:
                says = "Learned."
            large = None if one.unit == "-" else max(told.low, told.high, key=abs)
            value, mean, sd = (
                Amount(v, one.unit, 3, large) for v in (told.value, one.mean, one.sd)
            )
            before = text(mean, ", sd ", sd)
            lines.append((one.label, value, span(told.low, told.high, one.unit), before, says))
        return Table(
            head=("number", "value", "interval", "before the shots", "learned from the shots?"),
            lines=tuple(lines),
            caption=self.sentence,
            system=system,
        )


def learn(
    machine: Machine,
    shots: Sequence[FieldShot],
    uncertain: Sequence[Uncertain] | None = None,
    *,
    measured: Mapping[str, tuple[float, float]] | None = None,
    measured_on: Mapping[str, float] | None = None,
    leave_out: Sequence[str] = (),
    estimate_noise: bool = True,
    level: float = 0.9,
    seed: int = 1,
    progress: Callable[[str], Any] | None = None,
) -> Learned:
    """Learn from shots.

    Args:
        machine: as it is said to be.
        shots: what was loosed, with what settings, and what was seen.
        uncertain: what is not surely known; those of `unsure` if left out.
        measured: dials that were measured or weighed, path to value and sd, SI.
        measured_on: what was set when they were, path to SI, where that is not what is set now.
        leave_out: labels of shots that do not count.
        estimate_noise: whether the scatter of each kind of measurement is learned from the shots.
        level: share of cases an interval should hold.
        seed: the same seed gives the same answer.
        progress: told in words what is being done.

    Raises:
        LearnError: no shot with a measurement, or a shot that fails where the search starts.
    """
    report = progress or (lambda words: None)
    known = [shot for shot in shots if shot.tells and shot.label not in set(leave_out)]
    if not known:
        raise LearnError(
            "no shot has a measurement that counts. Enter the range of at least one shot."
        )
    numbers = with_measured(
        unsure(machine) if uncertain is None else uncertain, machine, measured or {}, measured_on
    )
    if not numbers:
        raise LearnError("nothing is uncertain, so there is nothing to learn. Name a number.")
    model = ShotModel(machine, known, numbers)
    words = {p: known[row].release for p, (row, name) in enumerate(model.places) if name == BY_EYE}
    pairs = [known[r].seen[name] if name != BY_EYE else (0.0, 1.0) for r, name in model.places]
    kinds = tuple(kind_of(name) for _, name in model.places)
    _refuse_failing(model)
    report(f"learning {len(numbers)} numbers from {len(pairs)} measurements")
    try:
        found = draw(
            model.many,
            [as_parameter(one) for one in numbers],
            Seen(
                value=np.array([value for value, _ in pairs]),
                sd=np.array([sd for _, sd in pairs]),
                kinds=kinds,
                what=tuple(name for _, name in model.places),
                loose=tuple(k for k in dict.fromkeys(kinds) if k != kind_of(BY_EYE))
                if estimate_noise
                else (),
                noise_sd=NOISE_SD,
                words=words,
            ),
            seed=seed,
            cost=model.cost,
            going_on=lambda turn: report(
                f"drawing what the shots leave possible, round {turn + 1}"
            ),
        )
    except (FitError, ValueError, np.linalg.LinAlgError) as error:
        raise LearnError(
            f"nothing could be learned: {error} Look at the shots' settings, or give closer priors."
        ) from error
    return Learned(
        machine=machine,
        model=model,
        fit=found,
        level=level,
        seed=seed,
        left_out=tuple(label for label in leave_out if any(s.label == label for s in shots)),
    )


def _refuse_failing(model: ShotModel) -> None:
    """Name the shot that does not throw with what is known before, since no fit starts there."""
    start = {one.name: np.array([[one.mean]]) for one in model.uncertain}
    columns, _ = model.throw(start)
    bad = [
        (shot.label, str(columns["fault"][row]) or str(columns["outcome"][row]))
        for row, shot in zip(model.which, model.shots, strict=True)
        if columns["outcome"][row] != "released"
    ]
    if bad:
        label, why = bad[0]
        more = f" (and {len(bad) - 1} more)" if len(bad) > 1 else ""
        raise LearnError(
            f"{label}{more}: with its settings the machine does not throw ({why}), yet a shot was "
            "entered. Correct the settings of the shot, or leave it out."
        )

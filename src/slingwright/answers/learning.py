"""Learn the numbers a machine does not tell from its shots: frictions, slip, stretch, drag, weight.

Every shot is thrown again by the compiled motion with its own settings; what was seen of it (range,
time in the air, a video's release, a load) is held against what comes out. Least squares with
priors finds the numbers, seeded draws give the intervals, and what no shot can tell is said.

Source: G. A. F. Seber and C. J. Wild, Nonlinear Regression, Wiley 1989 (from memory), as in
`fitting` and `posterior`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from slingwright import dials, units
from slingwright.answers.fitting import Fit, FitError, Interval, fit
from slingwright.answers.posterior import Posterior, Quadratic, draw, lay_down
from slingwright.answers.uncertain import Uncertain, usual, with_measured
from slingwright.compiled.sweeping import NUMBERS, Columns, sweep
from slingwright.dials import Value
from slingwright.formulas import hauling
from slingwright.machine import Machine

RANGE_SCATTER = 0.015  # of the range, where a shot does not tell how sure it is: common practice
FLIGHT_SD = 0.15  # s, a stop-watch by hand: common practice
STEP = 2e-3  # of the differences, as a share of each prior's sd
TOLERANCE = 1e-8  # of the motion while it is fitted
MOST_KEPT = 2000  # answers kept while a fit searches
LEAST_TO_TELL_NOISE = 6  # measurements with which their scatter is found from them
SEEN = (*(name for name in NUMBERS if name != "energy_error"), "time_of_flight", "hook_load")
LOADS = ("peak_axle_load", "peak_axle_time")
UNITS: Mapping[str, str] = {
    "range": "m",
    "apex": "m",
    "release_x": "m",
    "release_y": "m",
    "release_speed": "m/s",
    "landing_speed": "m/s",
    "release_elevation": "rad",
    "landing_angle": "rad",
    "efficiency": "-",
    "peak_axle_load": "N",
    "hook_load": "N",
}


class LearnError(ValueError):
    """Shots that nothing can be learned from; the message says which, and what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldShot:
    """One shot: a label, the dials that differ from the machine's, and what was seen.

    `seen` maps a column of a sweep (`range`, `release_speed`, `peak_axle_load`, ...),
    `time_of_flight` or `hook_load` (the held hook's) to value and standard deviation, SI.
    """

    label: str
    settings: Mapping[str, Value] = field(default_factory=dict)
    seen: Mapping[str, tuple[float, float]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for name, pair in self.seen.items():
            if name not in SEEN:
                near = dials.nearest(name, SEEN)
                ask = f"did you mean {near}?" if near else f"give one of {', '.join(SEEN)}"
                raise LearnError(f"{self.label}: {name} is nothing a throw tells; {ask}")
            value, sd = pair
            if not (math.isfinite(value) and math.isfinite(sd) and sd > 0.0):
                raise LearnError(
                    f"{self.label}: {name} is {value:g}, sd {sd:g}. Give finite numbers, the sd "
                    "above 0."
                )


def field_shot(
    label: str,
    *,
    range: float | None = None,
    range_sd: float | None = None,
    time_of_flight: float | None = None,
    settings: Mapping[str, Value] | None = None,
    **seen: tuple[float, float],
) -> FieldShot:
    """Give a shot as the field notes it; what has no standard deviation gets the usual one.

    Args:
        label: name of the shot.
        range: [m], None where not measured.
        range_sd: of the range, scatter from shot to shot included [m].
        time_of_flight: [s].
        settings: dials that differ from the machine's.
        seen: anything more, see FieldShot.

    >>> field_shot("shot 3", range=100.0).seen
    {'range': (100.0, 1.5)}
    """
    found = dict(seen)
    if range is not None and math.isfinite(range):
        sure = range_sd if range_sd is not None and range_sd > 0.0 else 0.0
        found["range"] = (range, math.hypot(sure, RANGE_SCATTER * abs(range)) or 0.1)
    if time_of_flight is not None and math.isfinite(time_of_flight):
        found["time_of_flight"] = (time_of_flight, FLIGHT_SD)
    return FieldShot(label=label, settings=settings or {}, seen=found)


class ShotModel:
    """Throws every shot again, for one or many sets of the uncertain numbers at once."""

    def __init__(
        self, machine: Machine, shots: Sequence[FieldShot], uncertain: Sequence[Uncertain]
    ) -> None:
        self.machine = machine
        self.shots = tuple(shots)
        self.uncertain = tuple(uncertain)
        machines = []
        for shot in self.shots:
            changes = {p: v for p, v in shot.settings.items() if v != machine[p]}
            machines.append(machine.change(changes) if changes else machine)
        own = {path for shot in self.shots for path in shot.settings}
        self._own = [frozenset(shot.settings) for shot in self.shots]
        self.settings = {
            path: _column([one[path] for one in machines])
            for path in sorted(own | {one.path for one in self.uncertain})
            if path in own or any(u.path == path and u.way != "value" for u in self.uncertain)
        }
        self.machines = tuple(machines)
        self.places = [(i, name) for i, shot in enumerate(self.shots) for name in shot.seen]
        self._loads = any(name in LOADS for _, name in self.places)
        self._kept: dict[tuple[float, ...], np.ndarray] = {}

    def __call__(self, values: Mapping[str, float]) -> np.ndarray:
        """Give what would be seen, in the order of `places`, for one set of numbers.

        A search comes back to the same points: their answers are kept.
        """
        key = tuple(values[one.name] for one in self.uncertain)
        found = self._kept.get(key)
        if found is None:
            if len(self._kept) >= MOST_KEPT:
                self._kept.clear()
            found = self.many({name: np.array([[value]]) for name, value in values.items()})[0]
            found.setflags(write=False)
            self._kept[key] = found
        return found

    def many(self, values: Mapping[str, np.ndarray]) -> np.ndarray:
        """Give what would be seen (k, measurements) for k sets of numbers, each of shape (k, 1)."""
        columns, table = self.throw(values)
        size = len(self.shots)
        found = np.empty((len(columns["outcome"]) // size, len(self.places)))
        shaped = {
            name: _seen(columns, table, name, self.machines).reshape(-1, size)
            for name in {name for _, name in self.places}
        }
        for place, (row, name) in enumerate(self.places):
            found[:, place] = shaped[name][:, row]
        return found

    def throw(self, values: Mapping[str, np.ndarray]) -> tuple[Columns, dict[str, np.ndarray]]:
        """Throw all shots for k sets of numbers: the sweep, rows by set and then by shot."""
        count = len(next(iter(values.values()))) if values else 1
        size = len(self.shots)
        table = {
            path: np.broadcast_to(column, (count, size)) for path, column in self.settings.items()
        }
        for one in self.uncertain:
            number = np.asarray(values[one.name], dtype=float).reshape(count, 1)
            before = table.get(one.path, np.zeros((count, size)))
            now = one.applied(before, number)
            if one.way == "value":
                kept = np.array([one.path in own for own in self._own])
                now = np.where(kept, before, now) if kept.any() else now
            table[one.path] = now
        rows = {
            path: np.ascontiguousarray(np.broadcast_to(c, (count, size))).reshape(-1)
            for path, c in table.items()
        }
        if not rows:
            rows = {"release.angle": np.full(size, self.machine.number("release.angle"))}
        columns = sweep(
            self.machine,
            rows,
            grid=False,
            loads=self._loads,
            tolerance=TOLERANCE,
            progress=False,
        )
        return columns, rows


def _column(values: Sequence[Value]) -> np.ndarray:
    if any(value is None for value in values):
        return np.array([math.nan if value is None else float(value) for value in values])
    return np.array(values)


def _seen(
    columns: Columns, table: Mapping[str, np.ndarray], name: str, machines: Sequence[Machine]
) -> np.ndarray:
    if name == "time_of_flight":
        return columns["landing_time"] - columns["release_time"]
    if name == "hook_load":
        return _hook_load(table, machines)
    return columns[name]


def _hook_load(table: Mapping[str, np.ndarray], machines: Sequence[Machine]) -> np.ndarray:
    """Pull of the held arm along the line to the winch, for each row of a table."""
    count = len(next(iter(table.values()))) // len(machines)

    def of(path: str) -> np.ndarray:
        if path in table:
            return table[path]
        return np.tile([one.number(path) for one in machines], count)

    elevation = -of("arm.cocked")
    moment = (
        of("counterweight.mass") * of("arm.short")
        - of("arm.mass") * of("arm.balance")
        - 0.5 * of("sling.mass") * of("arm.long")
    )
    place = (of("winch.on_arm"), of("axle.height"), of("winch.x"), of("winch.y"))
    torque = moment * of("site.gravity") * np.cos(elevation)
    lever: np.ndarray = hauling.rope_lever(elevation, *place)  # type: ignore[arg-type]
    return torque / lever


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """A measurement too far off to be chance: a wrong entry, or a part that has changed."""

    label: str
    what: str
    seen: float
    expected: float
    off: float  # in standard deviations

    def __str__(self) -> str:
        unit = UNITS.get(self.what, "s")
        what = self.what.replace("_", " ")
        return (
            f"{self.label}: {what} {units.text(self.seen, unit)} does not fit, "
            f"{units.text(self.expected, unit)} was to be expected ({self.off:+.1f} standard "
            "deviations). Look for a wrong entry, another setting or a broken part before the "
            "next shot."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """What the shots told: the fit, draws from what they leave open, and how to use them."""

    machine: Machine
    model: ShotModel
    fit: Fit
    posterior: Posterior
    laid_down: Quadratic
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
            found.append(
                Suspect(
                    label=self.model.shots[row].label,
                    what=what,
                    seen=float(self.fit.measured[place]),
                    expected=float(self.fit.predicted[place]),
                    off=float(self.fit.standardised[place]),
                )
            )
        return tuple(found)

    @property
    def range_sd(self) -> float:
        """Scatter of a range from shot to shot, as the shots show it [m]."""
        sds = [shot.seen["range"][1] for shot in self.model.shots if "range" in shot.seen]
        if not sds:
            return math.nan
        return float(np.median(sds)) * self.fit.noise

    def interval(self, name: str) -> Interval:
        """Give a number's median and interval, by its name as in `Uncertain.name`."""
        return self.posterior.interval(name, self.level)

    def now(self, changes: Mapping[str, Value] | None = None) -> Machine:
        """Give the machine as it really is, by the best fit, with some settings changed first."""
        machine = self.machine.change(changes) if changes else self.machine
        values = self.fit.values
        real: dict[str, Value] = {}
        for one in self.uncertain:
            if one.way == "value" and changes and one.path in changes:
                continue
            setting = machine[one.path]
            start = float(setting) if isinstance(setting, float) else 0.0
            real[one.path] = float(one.applied(np.array(start), np.array(values[one.name])))
        return machine.change(real)

    def outcomes(
        self, trials: Sequence[Mapping[str, Value]], what: str = "range", most: int = 200
    ) -> np.ndarray:
        """Give a column of a sweep for some trials (settings), at `most` draws: (draws, trials)."""
        shots = [
            FieldShot(label=f"trial {i + 1}", settings=one, seen={what: (0.0, 1.0)})
            for i, one in enumerate(trials)
        ]
        model = ShotModel(self.machine, shots, self.uncertain)
        return model.many(self._draws(most))

    def _draws(self, most: int) -> dict[str, np.ndarray]:
        chance = np.random.default_rng(self.seed)
        count = min(most, len(self.posterior.draws))
        rows = chance.choice(len(self.posterior.draws), size=count, replace=False)
        return {
            name: self.posterior.draws[rows, place][:, None]
            for place, name in enumerate(self.posterior.names)
        }

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
            LearnError: more than one throw in twenty fails with these settings.
        """
        shot = FieldShot(label="next", settings=settings or {}, seen={what: (0.0, 1.0)})
        model = ShotModel(self.machine, [shot], self.uncertain)
        thrown = model.many(self._draws(most))[:, 0]
        good = thrown[np.isfinite(thrown)]
        if good.size < 0.95 * thrown.size:
            raise LearnError(
                f"{thrown.size - good.size} of {thrown.size} throws fail with these settings, by "
                "what the shots leave possible. Loose it with settings further from the failure."
            )
        if what == "range" and math.isfinite(self.range_sd):
            chance = np.random.default_rng(self.seed + 1)
            good = good + self.range_sd * chance.standard_normal(good.size)
        low, middle, high = np.quantile(good, [0.5 - self.level / 2, 0.5, 0.5 + self.level / 2])
        return Interval(value=float(middle), low=float(low), high=float(high), level=self.level)

    def account(self, system: units.System = "metric") -> str:
        """Say in plain lines what was learned, what was not, and what does not fit."""
        count = len(self.model.shots)
        lines = [
            f"{count} shots, {len(self.model.places)} measurements, "
            f"{100 * self.level:.0f} % intervals."
        ]
        if self.fit.noise_estimated and math.isfinite(self.range_sd):
            lines.append(
                f"From shot to shot the range scatters by {units.text(self.range_sd, 'm', system)}."
            )
        if self.left_out:
            lines.append(f"Left out: {', '.join(self.left_out)}.")
        for row in self.rows(system):
            lines.append(f"{row[0]}: {row[1]} ({row[2]}); before: {row[3]}. {row[4]}")
        for one, other, r in self.fit.tied(0.9):
            lines.append(
                f"{one} and {other} go together (correlation {r:+.2f}): the shots tell what the "
                "two do together, not each. Measure one of them apart."
            )
        lines += [str(suspect) for suspect in self.suspects]
        if self.laid_down.error > 0.3:
            lines.append(
                f"The throws bend more than a quadratic does (off by {self.laid_down.error:.2f} "
                "standard deviations): take the intervals as a guide."
            )
        return "\n".join(lines)

    def rows(self, system: units.System = "metric") -> list[tuple[str, str, str, str, str]]:
        """Give a row a number: label, value, interval, what was known before, what was told."""
        found = []
        for one in self.uncertain:
            told = self.interval(one.name)
            left = self.fit.spread_left[one.name]
            if left > 0.9:
                says = "Not told by these shots: it is what was put in."
            elif left > 0.6:
                says = "Told a little."
            else:
                says = "Told."

            def write(value: float, unit: str = one.unit) -> str:
                return f"{value:.3f}" if unit == "-" else units.text(value, unit, system)

            found.append(
                (
                    one.label,
                    write(told.value),
                    f"{write(told.low)} to {write(told.high)}",
                    f"{write(one.mean)}, sd {write(one.sd)}",
                    says,
                )
            )
        return found


def learn(
    machine: Machine,
    shots: Sequence[FieldShot],
    uncertain: Sequence[Uncertain] | None = None,
    *,
    measured: Mapping[str, tuple[float, float]] | None = None,
    leave_out: Sequence[str] = (),
    estimate_noise: bool | None = None,
    level: float = 0.9,
    seed: int = 1,
    steps: int = 1000,
    progress: Callable[[str], Any] | None = None,
) -> Learned:
    """Learn from shots.

    Args:
        machine: as it is said to be.
        shots: what was loosed, with what settings, and what was seen.
        uncertain: what is not surely known; the usual ones if left out.
        measured: dials that were measured or weighed, path to value and sd, SI.
        leave_out: labels of shots that do not count.
        estimate_noise: whether the scatter is found from the shots; by their number if left out.
        level: share of cases an interval should hold.
        seed: the same seed gives the same answer.
        steps: of each walker that draws.
        progress: told in words what is being done.

    Raises:
        LearnError: no shot with a measurement, or a shot that fails where the search starts.
    """
    report = progress or (lambda words: None)
    known = [shot for shot in shots if shot.seen and shot.label not in set(leave_out)]
    if not known:
        raise LearnError(
            "no shot has a measurement that counts. Enter the range of at least one shot."
        )
    numbers = with_measured(
        usual(machine) if uncertain is None else uncertain, machine, measured or {}
    )
    if not numbers:
        raise LearnError("nothing is uncertain, so there is nothing to learn. Name a number.")
    model = ShotModel(machine, known, numbers)
    pairs = [known[row].seen[name] for row, name in model.places]
    _refuse_failing(model)
    noisy = len(pairs) >= LEAST_TO_TELL_NOISE if estimate_noise is None else estimate_noise
    report(f"fitting {len(numbers)} numbers to {len(pairs)} measurements")
    try:
        found = fit(
            model,
            [one.parameter() for one in numbers],
            [value for value, _ in pairs],
            sd=[sd for _, sd in pairs],
            labels=[f"{known[row].label}, {name}" for row, name in model.places],
            estimate_noise=noisy,
            step=STEP,
        )
        report("laying the throws down as a quadratic")
        laid = lay_down(model, found, seed=seed)
        report("drawing what the shots leave possible")
        drawn = draw(laid, found, seed=seed, steps=steps, warm_up=max(steps // 4, 50))
    except (FitError, ValueError, np.linalg.LinAlgError) as error:
        raise LearnError(
            f"nothing could be learned: {error} Look at the shots' settings, or give closer priors."
        ) from error
    return Learned(
        machine=machine,
        model=model,
        fit=found,
        posterior=drawn,
        laid_down=laid,
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
        for row, shot in enumerate(model.shots)
        if columns["outcome"][row] != "released"
    ]
    if bad:
        label, why = bad[0]
        more = f" (and {len(bad) - 1} more)" if len(bad) > 1 else ""
        raise LearnError(
            f"{label}{more}: with its settings the machine does not throw ({why}), yet a shot was "
            "entered. Correct the settings of the shot, or leave it out."
        )

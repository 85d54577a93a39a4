"""Shots as the field saw them, and the motion that throws each of them again.

For one or many sets of the uncertain numbers at once, every shot is thrown with its own settings,
and what was seen of it is read off the throw.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from slingwright.learning.fitting import Parameter
from slingwright.learning.seen.by_eye import WORDS
from slingwright.machine.machine import Machine
from slingwright.machine.table import dials
from slingwright.machine.table.dials import Value
from slingwright.motion.held import held_torque, hook_lever, hook_line, hook_load
from slingwright.motion.spread.uncertain import Uncertain
from slingwright.motion.sweeping import NUMBERS, Columns, sweep

RANGE_SCATTER = 0.02
"""Scatter of a range, as a share of it, before shots tell it: common practice."""
NOISE_SD = math.log(3.0)
"""What is known of a kind's scatter before: it is as assumed within a factor of three, one standard
deviation of its logarithm; common practice."""
FLIGHT_SD = 0.15  # s, a stop-watch by hand: common practice
TOLERANCE = 1e-6  # of the motion while it is fitted: 3 mm of a range
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
"""SI unit of what is seen; seconds for the rest."""
BY_EYE = "release_seen"
KINDS: Mapping[str, str] = {
    "range": "range",
    "time_of_flight": "time in the air",
    "peak_axle_load": "loads",
    "hook_load": "loads",
    BY_EYE: "by eye",
}
"""Kind of what is seen; measurements of one kind share one scatter. The rest is of the `track`."""


def kind_of(what: str) -> str:
    """Give the kind that something seen is of.

    >>> kind_of("hook_load"), kind_of("release_speed")
    ('loads', 'track')
    """
    return KINDS.get(what, "track")


class LearnError(ValueError):
    """Shots that nothing can be learned from; the message says which, and what to do."""


def as_parameter(one: Uncertain) -> Parameter:
    """Give an uncertain number as one to be fitted, with what was known of it before."""
    low, high = one.limits
    return Parameter(name=one.name, mean=one.mean, sd=one.sd, low=low, high=high, other=one.other)


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldShot:
    """One shot: a label, the dials that differ from the machine's, and what was seen.

    `seen` maps a column of a sweep (`range`, `release_speed`, `peak_axle_load`, ...),
    `time_of_flight` or `hook_load` (the held hook's) to value and standard deviation, SI.
    `release` is the release as it was seen by eye: early, right, late, or nothing; `drift` how far
    to the right it came down [m], which no throw in the plane tells.
    """

    label: str
    settings: Mapping[str, Value] = field(default_factory=dict)
    seen: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    release: str = ""
    drift: float | None = None
    range_stated: bool = False  # whether somebody stated how much ranges scatter

    @property
    def tells(self) -> bool:
        """Whether anything was seen that a throw tells."""
        return bool(self.seen or self.release)

    def __post_init__(self) -> None:
        if self.release and self.release not in WORDS:
            raise LearnError(
                f"{self.label}: release {self.release!r}; give {', '.join(WORDS)}, or nothing."
            )
        if self.drift is not None and not math.isfinite(self.drift):
            raise LearnError(f"{self.label}: drift {self.drift}; give a finite number, or none.")
        for name, pair in self.seen.items():
            if name not in SEEN:
                near = dials.nearest(name, SEEN)
                ask = f"did you mean {near}?" if near else f"give one of {', '.join(SEEN)}"
                raise LearnError(f"{self.label}: {name} is nothing that a throw gives; {ask}")
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
    release: str = "",
    drift: float | None = None,
    settings: Mapping[str, Value] | None = None,
    **seen: tuple[float, float],
) -> FieldShot:
    """Give a shot as the field notes it; what has no standard deviation gets the usual one.

    Args:
        label: name of the shot.
        range: [m], None where not measured.
        range_sd: of the range, scatter from shot to shot included [m].
        time_of_flight: [s].
        release: as it was seen by eye.
        drift: to the right of the line of throw [m].
        settings: dials that differ from the machine's.
        seen: anything more, see FieldShot.

    >>> field_shot("shot 3", range=100.0).seen
    {'range': (100.0, 2.0)}
    """
    found = dict(seen)
    stated = range_sd is not None and range_sd > 0.0
    if range is not None and math.isfinite(range):
        sure = range_sd if stated and range_sd is not None else 0.0
        found["range"] = (range, math.hypot(sure, RANGE_SCATTER * abs(range)) or 0.1)
    if time_of_flight is not None and math.isfinite(time_of_flight):
        found["time_of_flight"] = (time_of_flight, FLIGHT_SD)
    return FieldShot(
        label=label,
        settings=settings or {},
        seen=found,
        release=release,
        drift=drift,
        range_stated=stated,
    )


class ShotModel:
    """Throws every shot again, for one or many sets of the uncertain numbers at once."""

    def __init__(
        self, machine: Machine, shots: Sequence[FieldShot], uncertain: Sequence[Uncertain]
    ) -> None:
        self.machine = machine
        self.shots = tuple(shots)
        self.uncertain = tuple(uncertain)
        # Shots with the same settings are one throw.
        kept: dict[tuple[tuple[str, Value], ...], int] = {}
        self.which = np.array(
            [kept.setdefault(tuple(sorted(s.settings.items())), len(kept)) for s in self.shots],
            dtype=int,
        )
        machines = []
        for settings in map(dict, kept):
            changes = {p: v for p, v in settings.items() if v != machine[p]}
            machines.append(machine.change(changes) if changes else machine)
        own = {path for settings in kept for path, _ in settings}
        # None is no value of its own: what is not known of the machine is not known of the shot.
        self._own = [
            frozenset(path for path, value in settings if value is not None) for settings in kept
        ]
        self.settings = {
            path: _column([one[path] for one in machines])
            for path in sorted(own | {one.path for one in self.uncertain})
            if path in own or any(u.path == path and u.way != "value" for u in self.uncertain)
        }
        self.machines = tuple(machines)
        self.places = [
            (i, name)
            for i, shot in enumerate(self.shots)
            for name in (*shot.seen, *((BY_EYE,) if shot.release else ()))
        ]
        self._loads = any(name in LOADS for _, name in self.places)

    def __call__(self, values: Mapping[str, float]) -> np.ndarray:
        """Give what would be seen, in the order of `places`, for one set of numbers.

        Of a release seen by eye it gives the elevation.
        """
        return self.many({name: np.array([[value]]) for name, value in values.items()})[0]

    def many(self, values: Mapping[str, np.ndarray]) -> np.ndarray:
        """Give what would be seen (k, measurements) for k sets of numbers, each of shape (k, 1)."""
        columns, table = self.throw(values)
        size = len(self.machines)
        found = np.empty((len(columns["outcome"]) // size, len(self.places)))
        shaped = {
            name: _seen(columns, table, name, self.machines).reshape(-1, size)
            for name in {name for _, name in self.places}
        }
        for place, (row, name) in enumerate(self.places):
            found[:, place] = shaped[name][:, self.which[row]]
        return found

    @property
    def cost(self) -> int:
        """Throws that one set of numbers takes; one with its loads counts as four."""
        return len(self.machines) * (4 if self._loads else 1)

    def throw(self, values: Mapping[str, np.ndarray]) -> tuple[Columns, dict[str, np.ndarray]]:
        """Throw for k sets of numbers: the sweep, rows by set and then by machine loosed."""
        count = len(next(iter(values.values()))) if values else 1
        size = len(self.machines)
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
    if name == BY_EYE:
        return columns["release_elevation"]
    return columns[name]


def _hook_load(table: Mapping[str, np.ndarray], machines: Sequence[Machine]) -> np.ndarray:
    """Pull of the hook that holds the cocked arm, for each row of a table: see `motion.held`."""
    count = len(next(iter(table.values()))) // len(machines)

    def of(path: str) -> np.ndarray:
        if path in table:
            return table[path]
        return np.tile(_column([one[path] for one in machines]), count)

    elevation, place = -of("arm.cocked"), of("hook.on_arm")
    torque = held_torque(
        *(of("counterweight.mass"), of("arm.short"), of("arm.mass"), of("arm.balance")),
        *(0.5 * of("sling.mass"), of("arm.long"), elevation, of("site.gravity")),
    )
    line = hook_line(place, elevation, of("axle.height"), of("hook.x"), of("hook.y"))
    return np.asarray(hook_load(torque, hook_lever(place, elevation, line), place))

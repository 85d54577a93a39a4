"""Between the log and the answers: the machine of a revision, shots to learn from, changes kept.

The log holds plain numbers; a machine, a shot for the fit or a change that was weighed is made of
them here, and written back as a revision with what was calculated for it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from slingwright.amounts import units
from slingwright.changing.proving import NUMBERS as LABELS
from slingwright.changing.proving import Noted
from slingwright.changing.sensitivity import crank_force
from slingwright.changing.what_if import Change
from slingwright.learning.belief import Belief
from slingwright.learning.learning import Learned, learn
from slingwright.learning.seen.release import ReleaseSeen
from slingwright.learning.seen.tracks import TrackError
from slingwright.learning.seen.video import read_video
from slingwright.learning.shots import FieldShot, LearnError, field_shot
from slingwright.logbook import Entry, LoadTrace, Logbook, Measurement, Revision, VideoTrack
from slingwright.logbook.shots import shots_that_count
from slingwright.logbook.validation import Setting
from slingwright.machine.machine import Machine, shown
from slingwright.machine.table import dials
from slingwright.machine.table.dials import Value
from slingwright.motion.throwing import throw
from slingwright.standing.places import PERSON_DIALS

SAME = 1e-9  # share within which two values of a dial are the same
SAME_LOAD = 0.03  # share within which a load is taken for one of the brief
TRACE_SHARE = 0.03  # of a load cell's peak, one standard deviation: common practice
MOST_READ = 200  # videos whose release is kept in mind
NINETY = 1.6449  # standard deviations in half of a 90 % interval
FORCES: Mapping[str, float] = {"N": 1.0, "kN": 1e3, "lbf": 4.4482216152605}
CHANNELS: Mapping[str, str] = {"axle": "peak_axle_load", "hook": "hook_load"}
"""First word of a load trace's channel, and what of a throw it is held against."""


def show_value(path: str, value: Setting, system: units.System = "metric") -> str:
    """Write a dial's value for a reader of the log; what is no dial is written as it is."""
    row = dials.BY_PATH.get(path)
    if row is None or (row.kind == "number") != (isinstance(value, float | int)):
        return str(value)
    return shown(row, value, system)


def machine_at(base: Machine, values: Mapping[str, Setting]) -> Machine:
    """Give the machine that a revision's dials make, from the machine of the file.

    Args:
        base: the machine of the file; dials that a revision does not name are as they are there.
        values: path to value, SI; paths that are no dials (any more) are passed over.

    What was derived stays derived where the revision says the same.

    Raises:
        MachineError: the dials make no machine.
    """
    known = {path: value for path, value in values.items() if path in dials.BY_PATH}
    derived = base.derived
    first = {p: v for p, v in known.items() if p not in derived and not _same(v, base[p])}
    machine = base.change(first) if first else base
    second = {p: v for p, v in known.items() if not _same(v, machine[p])}
    return machine.change(second) if second else machine


def differing(machine: Machine, revision: Entry) -> dict[str, Value]:
    """Give the dials in which a machine is not as a revision has it, with the value there.

    A dial that the machine's file sets and the revision does not name counts too.
    """
    values = revision.record.values if isinstance(revision.record, Revision) else {}
    return {
        path: values.get(path)
        for path in dials.BY_PATH
        if (path in values or path in machine.given) and not _same(values.get(path), machine[path])
    }


def _same(one: Value, other: Value) -> bool:
    if isinstance(one, bool | str | None) or isinstance(other, bool | str | None):
        return type(one) is type(other) and one == other
    return math.isclose(one, other, rel_tol=SAME, abs_tol=1e-12)


def current_machine(log: Logbook, base: Machine) -> Machine:
    """Give the machine as the log's last revision has it; the file's where there is none."""
    last = log.latest_revision()
    record = None if last is None else last.record
    return machine_at(base, record.values) if isinstance(record, Revision) else base


def calculated(machine: Machine) -> dict[str, Setting]:
    """Give the numbers that stand beside a revision, as the diary writes them."""
    thrown = throw(machine)
    found: dict[str, Setting] = {"outcome": thrown.outcome}
    if thrown.range is not None:
        found["range [m]"] = round(thrown.range, 2)
    if thrown.release is not None:
        found["release speed [m/s]"] = round(thrown.release.speed, 2)
        found["peak axle load [kN]"] = round(thrown.peak_axle_load / 1e3, 3)
    force = crank_force(machine)
    if math.isfinite(force):
        found["crank force per person [N]"] = round(force, 1)
    return found


def save_revision(
    log: Logbook, machine: Machine, *, note: str, author: str = "", at: str | datetime | None = None
) -> Entry:
    """Write a machine into the log as a revision, with its calculated numbers.

    Raises:
        LogbookError: it could not be written, or there is no note.
    """
    values = {path: value for path, value in machine.values.items() if value is not None}
    return log.save_revision(
        values, note=note, author=author, calculated=calculated(machine), at=at
    )


def keep_change(log: Logbook, machine: Machine, change: Change, *, author: str = "") -> Entry:
    """Make a weighed change: the machine it was weighed on, changed, as a revision with its reason.

    Raises:
        MachineError: the changed dials make no machine.
        LogbookError: it could not be written.
    """
    reason = change.reason.strip() or "kept after weighing it"
    changed = machine.change(change.dials)
    asked = [f"{change.hours:g} h"] if change.hours else []
    asked += [f"cost {change.cost:g}"] if change.cost else []
    note = f"{change.name}: {reason}" + (f" ({', '.join(asked)})" if asked else "")
    return save_revision(log, changed, note=note, author=author)


def shots_to_learn_from(
    log: Logbook, base: Machine, unread: list[str] | None = None
) -> tuple[FieldShot, ...]:
    """Give the shots of a log that count, with settings, what was seen, load traces and videos.

    Settings are changes of `base`; `unread` takes a sentence for each video that shows no release
    that fits. A shot's load other than its revision's takes diameter and drag from the load of that
    mass in the brief, or else the diameter of the same stuff.
    """
    traces: dict[int, dict[str, tuple[float, float]]] = {}
    for _, record in log.of_kind(LoadTrace):
        if record.shot is not None:
            what = CHANNELS.get(record.channel.split()[0].strip(",;:").lower())
            if what is not None and record.unit in FORCES:
                peak = max(record.value) * FORCES[record.unit]
                traces.setdefault(record.shot, {})[what] = (peak, abs(peak) * TRACE_SHARE)
    videos: dict[int, list[Entry]] = {}
    for entry, track in log.of_kind(VideoTrack):
        if track.shot is not None:
            videos.setdefault(track.shot, []).append(entry)
    found = []
    for shot_entry, shot in shots_that_count(log):
        number = shot_entry.number
        machine = machine_at(base, shot.settings)
        both = machine.derived.keys() & base.derived.keys()
        changes = {
            path: machine[path]
            for path, row in dials.BY_PATH.items()
            if path not in both
            and row.group != "winch"
            and path not in PERSON_DIALS
            and not _same(machine[path], base[path])
        }
        changes |= _load(machine, shot.load)
        seen = dict(traces.get(number, {}))
        for entry in videos.get(number, []):
            try:
                seen |= _video(entry, base.change(changes) if changes else base)
            except TrackError as error:
                if unread is not None:
                    unread.append(f"The video in entry {entry.number} was not used: {error}")
        keys = ("range", "range_sd", "time_of_flight", "drift")
        told: dict[str, Any] = {key: getattr(shot, key) for key in keys}
        told |= {"release": shot.release_seen, "settings": changes, **seen}
        found.append(field_shot(f"shot {number}", **told))
    return tuple(found)


_READ: dict[tuple[str, Value, Value], dict[str, tuple[float, float]]] = {}
"""What was read off videos, by the entry's digest, load and axle: it takes a second each."""


def remember_video(entry: Entry, machine: Machine, release: ReleaseSeen) -> None:
    """Keep in mind what was read off a video, so that it is not read again."""
    _READ[_key(entry, machine)] = seen_in_video(release)


def _key(entry: Entry, machine: Machine) -> tuple[str, Value, Value]:
    return (entry.digest, machine.values["projectile.mass"], machine.values["axle.height"])


def _video(entry: Entry, machine: Machine) -> dict[str, tuple[float, float]]:
    key = _key(entry, machine)
    if key not in _READ:
        if len(_READ) > MOST_READ:
            _READ.clear()
        if not isinstance(entry.record, VideoTrack):
            raise TrackError(f"entry {entry.number} is no video. Name one that is.")
        _READ[key] = seen_in_video(read_video(entry.record, machine).release)
    return _READ[key]


def _load(machine: Machine, load: float) -> dict[str, Value]:
    """Give the settings of the projectile for a load, where it is another one than set."""
    before = machine.number("projectile.mass")
    if math.isclose(load, before, rel_tol=5e-3):
        return {}
    found: dict[str, Value] = {"projectile.mass": load}
    near = [one for one in machine.brief if math.isclose(load, one.mass, rel_tol=SAME_LOAD)]
    if near:
        found |= {"projectile.diameter": near[0].diameter, "projectile.drag": near[0].drag}
    elif before > 0.0:
        diameter = machine.number("projectile.diameter")
        found["projectile.diameter"] = diameter * (load / before) ** (1.0 / 3.0)
    return found


def measured_dials(log: Logbook) -> dict[str, tuple[float, float]]:
    """Give the last measurement of each dial that has one with a standard deviation, in SI."""
    found: dict[str, tuple[float, float]] = {}
    for _, record in log.of_kind(Measurement):
        row = dials.BY_PATH.get(record.path)
        if not record.sd or row is None or row.kind != "number":
            continue
        try:
            value = units.quantity(f"{record.value!r} {record.unit}", row.unit)
            beyond = units.quantity(f"{record.value + record.sd!r} {record.unit}", row.unit)
        except units.UnitError:
            continue
        found[record.path] = (value, abs(beyond - value))
    return found


def settings_when_measured(log: Logbook) -> dict[str, float]:
    """Give what the revision of the time had set of each dial that was measured, in SI.

    A weighing tells of the machine that was weighed, whatever was changed since.
    """
    found: dict[str, float] = {}
    values: Mapping[str, object] = {}
    for entry in log.current():
        record = entry.record
        if isinstance(record, Revision):
            values = record.values
        elif isinstance(record, Measurement) and record.path in dials.BY_PATH:
            value = values.get(record.path)
            if isinstance(value, float):
                found[record.path] = value
    return found


def seen_in_video(seen: ReleaseSeen) -> dict[str, tuple[float, float]]:
    """Give a video's release, with its intervals of 90 %, as a shot's measurements."""
    found = {"speed": seen.speed, "elevation": seen.elevation, "y": seen.y}
    return {
        f"release_{name}": (one.value, (one.high - one.low) / (2.0 * NINETY))
        for name, one in found.items()
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldStory:
    """What a log gives to learn from: the machine now, its shots, and what was measured."""

    machine: Machine
    shots: tuple[FieldShot, ...]
    measured: Mapping[str, tuple[float, float]]
    measured_on: Mapping[str, float]  # what was set when that was measured
    unread: tuple[str, ...] = ()  # videos that were not used, in words
    noted: tuple[Noted, ...] = ()  # what was measured as it was proved

    def learn(self, **options: object) -> Learned:
        """Learn from the shots; options as `learn` has them."""
        return learn(
            self.machine,
            self.shots,
            measured=self.measured,
            measured_on=self.measured_on,
            **options,  # type: ignore[arg-type]
        )

    def agreed(self) -> Belief | None:
        """Give what the shots have taught; nothing where they tell nothing, or disagree."""
        try:
            belief = self.learn().belief if any(shot.tells for shot in self.shots) else None
        except LearnError:
            return None
        return None if belief is None or belief.doubt else belief


def story_of(log: Logbook, base: Machine) -> FieldStory:
    """Gather what a log gives to learn from, with shots as changes to its last machine."""
    machine = current_machine(log, base)
    unread: list[str] = []
    return FieldStory(
        machine=machine,
        shots=shots_to_learn_from(log, machine, unread),
        measured={p: v for p, v in measured_dials(log).items() if dials.dial(p).moves},
        measured_on=settings_when_measured(log),
        unread=tuple(unread),
        noted=tuple(
            (record.how, record.thing, record.value)
            for entry in log.current(Measurement.kind)
            if isinstance(record := entry.record, Measurement) and record.thing in LABELS.values()
        ),
    )

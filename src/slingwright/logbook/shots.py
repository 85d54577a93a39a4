"""The shots that count, as columns for the fit and for a table."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from slingwright.logbook.entries import Revision, Shot
from slingwright.logbook.store import Logbook
from slingwright.logbook.validation import Setting


@dataclass(frozen=True, slots=True, kw_only=True)
class Shots:
    """Columns of the shots that count, one place a shot; not measured is nan."""

    number: tuple[int, ...]
    at: tuple[str, ...]
    load: tuple[float, ...]  # [kg]
    range: tuple[float, ...]  # [m]
    range_sd: tuple[float, ...]  # [m]
    drift: tuple[float, ...]  # [m]
    time_of_flight: tuple[float, ...]  # [s]
    release_seen: tuple[str, ...]
    settings: tuple[Mapping[str, Setting], ...]
    note: tuple[str, ...]

    def __len__(self) -> int:
        return len(self.number)


def shots_that_count(log: Logbook) -> Shots:
    """Return every shot that was not withdrawn, corrected ones as corrected.

    Arguments:
        log: the log.

    The settings of a shot are the dials it was loosed with: those of the revision it names, or
    else of the last revision that happened before it, with the changes noted at the shot over
    them. A log without revisions gives the noted changes alone.
    """
    revisions = [
        (entry.moment, entry.number, entry.record.values)
        for entry in sorted(log.current(Revision.kind), key=lambda entry: entry.moment)
        if isinstance(entry.record, Revision)
    ]
    by_number = {number: values for _, number, values in revisions}
    rows = [
        (entry, entry.record) for entry in log.current(Shot.kind) if isinstance(entry.record, Shot)
    ]
    settings: list[Mapping[str, Setting]] = []
    for entry, shot in rows:
        base: Mapping[str, Setting] = {}
        if shot.revision is not None and shot.revision in by_number:
            base = by_number[shot.revision]
        else:
            for moment, _, values in revisions:
                if moment <= entry.moment:
                    base = values
        settings.append({**base, **shot.settings})
    return Shots(
        number=tuple(entry.number for entry, _ in rows),
        at=tuple(entry.at for entry, _ in rows),
        load=tuple(shot.load for _, shot in rows),
        range=tuple(_or_nan(shot.range) for _, shot in rows),
        range_sd=tuple(_or_nan(shot.range_sd) for _, shot in rows),
        drift=tuple(_or_nan(shot.drift) for _, shot in rows),
        time_of_flight=tuple(_or_nan(shot.time_of_flight) for _, shot in rows),
        release_seen=tuple(shot.release_seen for _, shot in rows),
        settings=tuple(settings),
        note=tuple(entry.note for entry, _ in rows),
    )


def _or_nan(value: float | None) -> float:
    return math.nan if value is None else value

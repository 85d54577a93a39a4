"""An entry said in words and numbers: what the diary and the exports share."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from slingwright.logbook.entries import (
    Cost,
    Decision,
    Entry,
    Hours,
    Incident,
    LoadTrace,
    Measurement,
    Part,
    Photo,
    Revision,
    Shot,
    VideoTrack,
    Withdrawal,
)
from slingwright.logbook.validation import Setting

Show = Callable[[str, Setting], str]


def plain_value(path: str, value: Setting) -> str:
    """Return a value as it is kept, in SI units; the default way to show one.

    >>> plain_value("sling.length", 4.2), plain_value("base.wheels", False)
    ('4.2', 'no')
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value if isinstance(value, str) else f"{value:.6g}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """An entry in words: a sentence, and tables of (name, then one or two values)."""

    sentence: str
    changes: tuple[tuple[str, str, str], ...] = ()
    numbers: tuple[tuple[str, str], ...] = ()


def tell(entry: Entry, show: Show = plain_value) -> Told:
    """Return what an entry says, as plain text that is not yet made safe for any page.

    Arguments:
        entry: the entry.
        show: turns a dial path and its SI value into words; plain numbers if left out.
    """
    record = entry.record
    if isinstance(record, Decision):
        return Told(sentence=f"Decided: {record.what} Why: {record.reason}")
    if isinstance(record, Part):
        return _tell_part(record)
    if isinstance(record, Hours):
        return Told(sentence=f"{record.who} worked {record.hours:g} h: {record.task}")
    if isinstance(record, Cost):
        return Told(sentence=f"Paid {record.amount:.2f} {record.currency}: {record.item}")
    if isinstance(record, Incident):
        done = f" Done about it: {record.done}" if record.done else ""
        return Told(sentence=f"Incident ({record.severity}): {record.what}{done}")
    if isinstance(record, Photo):
        return Told(sentence=f"Photo {record.name}. {record.caption}".strip())
    if isinstance(record, Measurement):
        sd = "" if record.sd is None else f" (standard deviation {record.sd:g} {record.unit})"
        how = f", {record.how}" if record.how else ""
        return Told(sentence=f"Measured {record.thing}: {record.value:g} {record.unit}{sd}{how}")
    if isinstance(record, Shot):
        return _tell_shot(record, show)
    if isinstance(record, LoadTrace):
        shot = f" in shot entry {record.shot}" if record.shot else ""
        return Told(
            sentence=f"Load trace of {record.channel}{shot}: {len(record.time)} samples over "
            f"{record.time[-1] - record.time[0]:.3g} s, from {min(record.value):.4g} to "
            f"{max(record.value):.4g} {record.unit}"
        )
    if isinstance(record, VideoTrack):
        shot = f" of shot entry {record.shot}" if record.shot else ""
        names = ", ".join(sorted(set(record.point)))
        return Told(
            sentence=f"Video{shot}: {len(record.time)} points tracked over "
            f"{max(record.time) - min(record.time):.3g} s ({names})"
        )
    if isinstance(record, Revision):
        return _tell_revision(record, show)
    if isinstance(record, Withdrawal):
        return Told(sentence=f"Entry {entry.corrects} is taken back: {record.reason}")
    return Told(sentence=entry.kind)


def _tell_part(record: Part) -> Told:
    said = [f"Part: {record.name}, {record.origin}, {record.rating}"]
    if record.rated_load is not None:
        said.append(f"rated for {record.rated_load:g} N")
    if record.mass is not None:
        said.append(f"{record.mass:g} kg")
    known = f". {record.known}" if record.known else ""
    return Told(sentence=", ".join(said) + known)


def _tell_shot(record: Shot, show: Show) -> Told:
    said = [f"Shot with {record.load:g} kg"]
    if record.range is None:
        said.append("range not measured")
    else:
        sd = "" if record.range_sd is None else f" (standard deviation {record.range_sd:g} m)"
        said.append(f"{record.range:g} m{sd}")
    if record.drift:
        side = "right" if record.drift > 0 else "left"
        said.append(f"{abs(record.drift):g} m to the {side}")
    if record.time_of_flight is not None:
        said.append(f"{record.time_of_flight:g} s in the air")
    if record.release_seen:
        said.append(f"release seen {record.release_seen}")
    return Told(sentence=", ".join(said), numbers=_table(record.settings, show))


def _tell_revision(record: Revision, show: Show) -> Told:
    changes = tuple(
        (
            path,
            "-" if before is None else show(path, before),
            "-" if after is None else show(path, after),
        )
        for path, (before, after) in record.changed.items()
    )
    if record.previous is None:
        sentence = f"The machine as first saved, {len(record.values)} dials"
        # Every dial is new here: the export has them, a reader is told of changes.
        changes = ()
    elif not changes:
        sentence = f"Saved with no dial changed since entry {record.previous}"
    else:
        count = "one dial" if len(changes) == 1 else f"{len(changes)} dials"
        sentence = f"Changed {count} since entry {record.previous}"
    return Told(sentence=sentence, changes=changes, numbers=_table(record.calculated, plain_value))


def _table(values: Mapping[str, Setting], show: Show) -> tuple[tuple[str, str], ...]:
    return tuple((path, show(path, value)) for path, value in values.items())

"""The shots that count, with the dials that each was loosed with."""

from collections.abc import Mapping
from dataclasses import replace

from slingwright.logbook.entries import Entry, Revision, Shot
from slingwright.logbook.store import Logbook
from slingwright.logbook.validation import Setting


def shots_that_count(log: Logbook) -> list[tuple[Entry, Shot]]:
    """Return every shot that was not withdrawn, corrected ones as corrected, with its entry.

    Arguments:
        log: the log.

    The settings of a shot are the dials it was loosed with: those of the revision it names, or
    else of the last revision that happened before it, with the changes noted at the shot over
    them. A log without revisions gives the noted changes alone.
    """
    revisions = sorted(log.of_kind(Revision), key=lambda one: one[0].moment)
    by_number = {entry.number: revision.values for entry, revision in revisions}
    found = []
    for entry, shot in log.of_kind(Shot):
        before = [one.values for at, one in revisions if at.moment <= entry.moment]
        base: Mapping[str, Setting] = before[-1] if before else {}
        base = by_number.get(shot.revision or 0, base)
        found.append((entry, replace(shot, settings={**base, **shot.settings})))
    return found

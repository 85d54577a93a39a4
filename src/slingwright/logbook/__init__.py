"""The build log: an append-only SQLite record of a machine, its shots and its changes."""

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
    Record,
    Revision,
    Shot,
    VideoTrack,
    Withdrawal,
    difference,
)
from slingwright.logbook.faults import LogbookError
from slingwright.logbook.store import Findings, Logbook

__all__ = [
    "Cost",
    "Decision",
    "Entry",
    "Findings",
    "Hours",
    "Incident",
    "LoadTrace",
    "Logbook",
    "LogbookError",
    "Measurement",
    "Part",
    "Photo",
    "Record",
    "Revision",
    "Shot",
    "VideoTrack",
    "Withdrawal",
    "difference",
]

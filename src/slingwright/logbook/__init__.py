"""The build log: an append-only SQLite record of a machine, its shots and its changes."""

from .entries import (
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
from .faults import LogbookError
from .store import Findings, Logbook

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

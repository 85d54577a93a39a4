"""Reusable notebook widgets: dials, live pictures, player, readouts, comparison.

All parts of a page share one `Workbench`; each part is a class with `controls`, `refresh()` and
`widget`, and shows itself when it is the last line of a cell.
"""

from slingwright.pages.bench.page import Bench
from slingwright.pages.changes.page import Changes
from slingwright.pages.field.page import FieldDay
from slingwright.pages.holding.page import ChecksTable, HoldingBench
from slingwright.pages.lessons.exercise import Exercise, Sheet
from slingwright.pages.lessons.flip import Flip, large_type
from slingwright.pages.log.page import BuildLog
from slingwright.pages.one.page import OnePage
from slingwright.pages.parts.dial_board import Dials
from slingwright.pages.parts.parts import Guard, Part, column, panel, row
from slingwright.pages.parts.readouts import Readouts
from slingwright.pages.parts.toolbar import Compare, Files, History, UnitSwitch
from slingwright.pages.parts.workbench import Answer, Workbench
from slingwright.pages.pictures.live import LivePicture, LivePictures, Player
from slingwright.pages.standing.page import ZoneBench
from slingwright.pages.winding.page import WindingBench

__all__ = [
    "HoldingBench", "ChecksTable", "BuildLog", "FieldDay", "Changes", "ZoneBench", "Exercise",
    "Flip", "Sheet", "Answer", "Bench", "Compare", "Dials", "Files", "Guard", "History",
    "OnePage", "LivePicture", "LivePictures", "Part", "Player", "Readouts", "UnitSwitch",
    "WindingBench", "Workbench", "column", "large_type", "panel", "row",
]  # fmt: skip

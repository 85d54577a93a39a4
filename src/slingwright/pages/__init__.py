"""Reusable notebook widgets: dials, live pictures, player, readouts, comparison.

All parts of a page share one `Workbench`; each part is a class with `controls`, `refresh()` and
`widget`, and shows itself when it is the last line of a cell.
"""

from slingwright.panels.bench import Bench
from slingwright.panels.dial_board import Dials
from slingwright.panels.live import LivePicture, LivePictures, Player
from slingwright.panels.parts import Part, column, row
from slingwright.panels.readouts import Readouts
from slingwright.panels.toolbar import Compare, Files, History, UnitSwitch
from slingwright.panels.winding import WindingBench
from slingwright.panels.workbench import Answer, Workbench

__all__ = [
    "Answer",
    "Bench",
    "Compare",
    "Dials",
    "Files",
    "History",
    "LivePicture",
    "LivePictures",
    "Part",
    "Player",
    "Readouts",
    "UnitSwitch",
    "WindingBench",
    "Workbench",
    "column",
    "row",
]

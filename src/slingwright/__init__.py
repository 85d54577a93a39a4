"""slingwright: an engineering notebook kit for counterweight throwing machines.

The public names are loaded when they are first used, so that `import slingwright` stays quick.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"

_HOME = {
    "Machine": "machine.machine",
    "MachineError": "machine.faults",
    "read_machine": "machine.file",
    "parse_machine": "machine.file",
    "write_machine": "machine.file",
    "Throw": "motion.throwing",
    "throw": "motion.throwing",
    "throw_held_ring": "motion.throwing",
    "reach_curve": "motion.throwing",
    "held": "motion.held",
    "Columns": "motion.sweeping",
    "sweep": "motion.sweeping",
    "checks": "strength.checks",
    "holding": "strength.checks",
    "winding": "winch.cycle",
    "zone": "standing.zone",
    "Change": "changing.what_if",
    "what_if": "changing.what_if",
    "read_changes": "changing.file",
    "FieldShot": "learning.shots",
    "field_shot": "learning.shots",
    "before_any_shot": "learning.belief",
    "learn": "learning.learning",
    "sensitivity": "changing.sensitivity",
    "next_trial": "changing.next_trial",
    "Bound": "changing.trials",
    "Limits": "changing.trials",
    "search": "changing.search",
    "trade_off": "changing.search",
    "Logbook": "logbook",
    "open_log": "pages.log.place",
    "logs_folder": "pages.log.place",
    "data_folder": "places",
    "dials": "machine.finding",
    "lagrangian": "derivation.typeset",
    "equations": "derivation.typeset",
    "compare": "winch.readings",
    "sheet": "motion.drawings",
}
"""Where each public name lives."""

__all__ = sorted([*_HOME, "panels", "__version__"])

if TYPE_CHECKING:
    from . import pages as panels  # noqa: F401
    from .changing.file import read_changes as read_changes
    from .changing.next_trial import next_trial as next_trial
    from .changing.search import search as search
    from .changing.search import trade_off as trade_off
    from .changing.sensitivity import sensitivity as sensitivity
    from .changing.trials import Bound as Bound
    from .changing.trials import Limits as Limits
    from .changing.what_if import Change as Change
    from .changing.what_if import what_if as what_if
    from .derivation.typeset import equations as equations
    from .derivation.typeset import lagrangian as lagrangian
    from .learning.belief import before_any_shot as before_any_shot
    from .learning.learning import learn as learn
    from .learning.shots import FieldShot as FieldShot
    from .learning.shots import field_shot as field_shot
    from .logbook import Logbook as Logbook
    from .machine.faults import MachineError as MachineError
    from .machine.file import parse_machine as parse_machine
    from .machine.file import read_machine as read_machine
    from .machine.file import write_machine as write_machine
    from .machine.finding import dials as dials
    from .machine.machine import Machine as Machine
    from .motion.drawings import sheet as sheet
    from .motion.held import held as held
    from .motion.sweeping import Columns as Columns
    from .motion.sweeping import sweep as sweep
    from .motion.throwing import Throw as Throw
    from .motion.throwing import reach_curve as reach_curve
    from .motion.throwing import throw as throw
    from .motion.throwing import throw_held_ring as throw_held_ring
    from .pages.log.place import logs_folder as logs_folder
    from .pages.log.place import open_log as open_log
    from .places import data_folder as data_folder
    from .standing.zone import zone as zone
    from .strength.checks import checks as checks
    from .strength.checks import holding as holding
    from .winch.cycle import winding as winding
    from .winch.readings import compare as compare


def __getattr__(name: str) -> Any:
    if name == "panels":
        return importlib.import_module(".pages", __name__)
    home = _HOME.get(name)
    if home is None:
        raise AttributeError(f"slingwright has no {name!r}; it has {', '.join(__all__)}")
    value = getattr(importlib.import_module(f".{home}", __name__), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return [*__all__, *globals()]

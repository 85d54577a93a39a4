"""slingwright: an engineering notebook kit for counterweight throwing machines.

The public names are loaded when they are first used, so that `import slingwright` stays quick.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"

_HOME = {
    "Machine": "machine",
    "MachineError": "faults",
    "read_machine": "machinefile",
    "parse_machine": "machinefile",
    "write_machine": "machinefile",
    "Throw": "compiled.throwing",
    "throw": "compiled.throwing",
    "throw_held_ring": "compiled.throwing",
    "reach_curve": "compiled.throwing",
    "held": "compiled.held",
    "Columns": "compiled.sweeping",
    "sweep": "compiled.sweeping",
    "checks": "answers.checks",
    "holding": "answers.checks",
    "winding": "answers.winding",
    "zone": "answers.zone",
    "Change": "answers.whatif",
    "what_if": "answers.whatif",
    "read_changes": "answers.change_file",
    "FieldShot": "answers.field_shots",
    "field_shot": "answers.field_shots",
    "before_any_shot": "answers.belief",
    "learn": "answers.learning",
    "sensitivity": "answers.sensitivity",
    "next_trial": "answers.tuning",
    "Bound": "answers.trials",
    "Limits": "answers.trials",
    "search": "answers.search",
    "trade_off": "answers.search",
    "Logbook": "logbook",
    "data_folder": "places",
}
"""Where each public name lives."""

__all__ = sorted([*_HOME, "__version__"])

if TYPE_CHECKING:
    from .answers.belief import before_any_shot as before_any_shot
    from .answers.change_file import read_changes as read_changes
    from .answers.checks import checks as checks
    from .answers.checks import holding as holding
    from .answers.field_shots import FieldShot as FieldShot
    from .answers.field_shots import field_shot as field_shot
    from .answers.learning import learn as learn
    from .answers.search import search as search
    from .answers.search import trade_off as trade_off
    from .answers.sensitivity import sensitivity as sensitivity
    from .answers.trials import Bound as Bound
    from .answers.trials import Limits as Limits
    from .answers.tuning import next_trial as next_trial
    from .answers.whatif import Change as Change
    from .answers.whatif import what_if as what_if
    from .answers.winding import winding as winding
    from .answers.zone import zone as zone
    from .compiled.held import held as held
    from .compiled.sweeping import Columns as Columns
    from .compiled.sweeping import sweep as sweep
    from .compiled.throwing import Throw as Throw
    from .compiled.throwing import reach_curve as reach_curve
    from .compiled.throwing import throw as throw
    from .compiled.throwing import throw_held_ring as throw_held_ring
    from .faults import MachineError as MachineError
    from .logbook import Logbook as Logbook
    from .machine import Machine as Machine
    from .machinefile import parse_machine as parse_machine
    from .machinefile import read_machine as read_machine
    from .machinefile import write_machine as write_machine
    from .places import data_folder as data_folder


def __getattr__(name: str) -> Any:
    home = _HOME.get(name)
    if home is None:
        raise AttributeError(f"slingwright has no {name!r}; it has {', '.join(__all__)}")
    value = getattr(importlib.import_module(f".{home}", __name__), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return [*__all__, *globals()]

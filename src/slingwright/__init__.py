"""slingwright: an engineering notebook kit for counterweight throwing machines.

The public names are loaded when they are first used, so that `import slingwright` stays quick.
"""

import importlib
from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"

_NAMES = {
    "amounts.answer": "Table",
    "changing.file": "read_changes",
    "changing.next_trial": "next_trial",
    "changing.plan": "plan",
    "changing.proving": "proving",
    "changing.search": "search trade_off",
    "changing.sensitivity": "sensitivity",
    "changing.tables": "change_table draw_residuals draw_trade_off draw_what_if "
    "interval_words learned_table order_table sensitivity_table",
    "changing.trials": "Bound Limits",
    "changing.what_if": "Change what_if",
    "derivation.ladder": "rung",
    "derivation.typeset": "equations lagrangian",
    "learning.belief": "before_any_shot",
    "learning.learning": "learn",
    "learning.shots": "FieldShot field_shot",
    "logbook": "Decision Incident Logbook Measurement Part",
    "logbook.job": "logs_folder open_job",
    "logbook.shown.diary": "diary_text totals",
    "logbook.shown.export": "from_json_lines to_csv to_json_lines to_markdown",
    "machine.faults": "MachineError",
    "machine.file": "parse_machine read_machine write_machine",
    "machine.finding": "dials",
    "machine.machine": "Machine",
    "making.pieces": "cut_list",
    "making.stock": "cutting",
    "motion.shown.drawings": "sheet",
    "motion.elsewhere": "ElsewhereError throws_on",
    "motion.held": "held",
    "motion.ladder": "climb ladder",
    "motion.ends.mending": "mending",
    "motion.spread.scatter": "Scatter scatter",
    "motion.spread.uncertain": "usual",
    "motion.sweeping": "Columns sweep",
    "motion.throwing": "Throw reach_curve throw throw_held_ring",
    "pages.log.place": "open_log",
    "pages.log.records": "current_machine save_revision show_value story_of",
    "places": "data_folder",
    "standing.chances": "chances",
    "standing.zone": "zone",
    "strength.mending.bought": "bought",
    "strength.checks": "checks holding",
    "strength.clearance": "clearance",
    "strength.doubt": "doubt",
    "strength.loads.arm": "arm_loads",
    "strength.mending.remedies": "all_remedies",
    "strength.mending.width": "width_trade",
    "strength.worked": "worked",
    "winch.cycle": "winding",
    "winch.faults": "faults",
    "winch.load_cell.losses": "fit_losses",
    "winch.readings": "compare",
    "winch.rig": "rig_of winch_numbers",
    "winch.ways": "riggings",
}
"""The public names of each module."""
_HOME = {name: home for home, names in _NAMES.items() for name in names.split()}
_ROOMS = {
    "panels": "pages",
    "drawings": "motion.shown.drawings",
    "traces": "winch.load_cell.trace",
    "code": "motion.source.code",
    "derivation": "derivation",
}
"""Public names that are whole rooms or modules."""

__all__ = sorted([*_HOME, *_ROOMS, "__version__"])

if TYPE_CHECKING:
    from . import derivation as derivation
    from . import pages as panels  # noqa: F401
    from .amounts.answer import Table as Table
    from .changing.file import read_changes as read_changes
    from .changing.next_trial import next_trial as next_trial
    from .changing.plan import plan as plan
    from .changing.proving import proving as proving
    from .changing.search import search as search
    from .changing.search import trade_off as trade_off
    from .changing.sensitivity import sensitivity as sensitivity
    from .changing.tables import change_table as change_table
    from .changing.tables import draw_residuals as draw_residuals
    from .changing.tables import draw_trade_off as draw_trade_off
    from .changing.tables import draw_what_if as draw_what_if
    from .changing.tables import interval_words as interval_words
    from .changing.tables import learned_table as learned_table
    from .changing.tables import order_table as order_table
    from .changing.tables import sensitivity_table as sensitivity_table
    from .changing.trials import Bound as Bound
    from .changing.trials import Limits as Limits
    from .changing.what_if import Change as Change
    from .changing.what_if import what_if as what_if
    from .derivation.ladder import rung as rung
    from .derivation.typeset import equations as equations
    from .derivation.typeset import lagrangian as lagrangian
    from .learning.belief import before_any_shot as before_any_shot
    from .learning.learning import learn as learn
    from .learning.shots import FieldShot as FieldShot
    from .learning.shots import field_shot as field_shot
    from .logbook import Decision as Decision
    from .logbook import Incident as Incident
    from .logbook import Logbook as Logbook
    from .logbook import Measurement as Measurement
    from .logbook import Part as Part
    from .logbook.job import logs_folder as logs_folder
    from .logbook.job import open_job as open_job
    from .logbook.shown.diary import diary_text as diary_text
    from .logbook.shown.diary import totals as totals
    from .logbook.shown.export import from_json_lines as from_json_lines
    from .logbook.shown.export import to_csv as to_csv
    from .logbook.shown.export import to_json_lines as to_json_lines
    from .logbook.shown.export import to_markdown as to_markdown
    from .machine.faults import MachineError as MachineError
    from .machine.file import parse_machine as parse_machine
    from .machine.file import read_machine as read_machine
    from .machine.file import write_machine as write_machine
    from .machine.finding import dials as dials
    from .machine.machine import Machine as Machine
    from .making.pieces import cut_list as cut_list
    from .making.stock import cutting as cutting
    from .motion.elsewhere import ElsewhereError as ElsewhereError
    from .motion.elsewhere import throws_on as throws_on
    from .motion.held import held as held
    from .motion.ladder import climb as climb
    from .motion.ladder import ladder as ladder
    from .motion.shown import drawings as drawings
    from .motion.shown.drawings import sheet as sheet
    from .motion.source import code as code
    from .motion.spread.scatter import Scatter as Scatter
    from .motion.spread.scatter import scatter as scatter
    from .motion.spread.uncertain import usual as usual
    from .motion.sweeping import Columns as Columns
    from .motion.sweeping import sweep as sweep
    from .motion.throwing import Throw as Throw
    from .motion.throwing import reach_curve as reach_curve
    from .motion.throwing import throw as throw
    from .motion.throwing import throw_held_ring as throw_held_ring
    from .pages.log.place import open_log as open_log
    from .pages.log.records import current_machine as current_machine
    from .pages.log.records import save_revision as save_revision
    from .pages.log.records import show_value as show_value
    from .pages.log.records import story_of as story_of
    from .places import data_folder as data_folder
    from .standing.chances import chances as chances
    from .standing.zone import zone as zone
    from .strength.checks import checks as checks
    from .strength.checks import holding as holding
    from .strength.clearance import clearance as clearance
    from .strength.doubt import doubt as doubt
    from .strength.loads.arm import arm_loads as arm_loads
    from .strength.mending.bought import bought as bought
    from .strength.mending.remedies import all_remedies as all_remedies
    from .strength.mending.width import width_trade as width_trade
    from .strength.worked import worked as worked
    from .winch.cycle import winding as winding
    from .winch.faults import faults as faults
    from .winch.load_cell import trace as traces  # noqa: F401
    from .winch.load_cell.losses import fit_losses as fit_losses
    from .winch.readings import compare as compare
    from .winch.rig import rig_of as rig_of
    from .winch.rig import winch_numbers as winch_numbers
    from .winch.ways import riggings as riggings


def __getattr__(name: str) -> Any:
    if name in _ROOMS:
        return importlib.import_module(f".{_ROOMS[name]}", __name__)
    home = _HOME.get(name)
    if home is None:
        raise AttributeError(f"slingwright has no {name!r}; it has {', '.join(__all__)}")
    value = getattr(importlib.import_module(f".{home}", __name__), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return [*__all__, *globals()]

"""What the page of winding asks beyond the machine's dials: rigging, ratings, hook and prong.

One row for each, of the same kind as the rows of the table of dials; None means not known.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields
from types import MappingProxyType
from typing import Any

from slingwright.amounts import units
from slingwright.machine.dials import Dial, Value
from slingwright.tables import ropes as ropes_table
from slingwright.winch.hook import SlipHook
from slingwright.winch.rig import RIGGINGS, WinchNumbers, WinchRig

GROUPS: Mapping[str, str] = MappingProxyType(
    {
        "crew": "Crew and time",
        "rig": "How the rope is led",
        "rope": "Rope, knot and sheave",
        "mark": "Marks on the pieces (empty: unknown)",
        "hook": "Slip hook and lanyard",
        "prong": "Prong",
    }
)
LEAD_SHARE = 0.6
"""Where a led rope's lead block stands if not given: this share of the winch's distance."""

RIG_FIELDS = frozenset(field.name for field in fields(WinchRig))
HOOK_FIELDS = frozenset(field.name for field in fields(SlipHook))


def _row(
    path: str,
    unit: str,
    label: str,
    limits: tuple[float, float],
    step: float,
    default: float | None,
    help: str,
) -> Dial:
    return Dial(
        path=path,
        symbol="",
        unit=unit,
        label=label,
        low=limits[0],
        high=limits[1],
        step=step,
        default=default,
        help=help,
    )


def _name(path: str, label: str, default: str, help: str) -> Dial:
    return Dial(
        path=path, symbol="", unit="-", label=label, default=default, help=help, kind="name"
    )


_MARK = (0.0, 5e6)
TABLE: tuple[Dial, ...] = (
    _row("crew.loosings", "-", "Loosings wanted an hour", (0.1, 120.0), 0.1, 3.0, "What is asked."),
    _row("crew.serve_time", "s", "Time to load, clear and loose", (0.0, 7200.0), 10.0, 300.0,
         "From the end of winding to the next start, if the crew needs no longer rest."),
    _row("crew.working_share", "-", "Share of the time turning", (0.1, 1.0), 0.05, 1.0,
         "1 for a crank; about 0.5 where handspikes are shipped again (common practice)."),
    _row("crew.gear_efficiency", "-", "Efficiency of gear and bearings", (0.3, 1.0), 0.01, 0.95,
         "Work at the drum over work at the handles."),
    _name("rig.rigging", "Rigging", "tackle",
          "tackle: from the winch straight to the arm; led: over a lead block on the frame."),
    _row("rig.lead_x", "m", "Lead block along", (-40.0, 20.0), 0.05, None,
         "Forward of the axle positive; empty: between axle and winch. Only for a led rope."),
    _row("rig.lead_y", "m", "Lead block up", (0.0, 20.0), 0.05, None,
         "Above the ground; empty: as high as the winch. Only for a led rope."),
    _row("rig.drum_width", "m", "Drum length between flanges", (0.05, 5.0), 0.05, 0.6,
         "A short drum fills more layers, and each one winds heavier."),
    _row("rig.member_slope", "deg", "Slope of the member under the winch", (-90.0, 90.0), 1.0, 0.0,
         "0 for a sill; its pull is split along and across this member."),
    _row("rig.overhang", "m", "Winch beyond the inner bolts by", (0.0, 10.0), 0.05, 1.0,
         "Length of the bolted extension that the pull across bends."),
    _row("rig.offset", "m", "Rope above the member's axis by", (-2.0, 2.0), 0.01, 0.15,
         "Height at which the pull along bends the extension."),
    _name("rope.rope_kind", "Rope", "manila", "Kind of winding rope; its diameter is a dial."),
    _name("rope.rope_use", "Design factor for", "fibre rope, winding",
          "The use sets the design factor."),
    _name("rope.end", "Made fast with", "eye splice", "A knot costs strength, a splice little."),
    _name("rope.sheave_kind", "Sheaves for", "fibre rope", "Sets the least sheave over rope."),
    _row("rope.sheave", "m", "Smallest sheave", (0.005, 2.0), 0.005, None, "Diameter."),
    _row("rope.rope_length", "m", "Length of the rope", (0.1, 500.0), 0.5, None, "In all."),
    _row("mark.shackle_rating", "N", "Shackle at the arm", _MARK, 100.0, None, "Marked load."),
    _row("mark.arm_block_rating", "N", "Block at the arm", _MARK, 100.0, None, "Marked load."),
    _row("mark.frame_block_rating", "N", "Block at the frame", _MARK, 100.0, None, "Marked load."),
    _row("mark.hook_rating", "N", "Hook that holds the arm", _MARK, 100.0, None, "Marked load."),
    _row("mark.pawl_rating", "N", "Pawl of the ratchet", _MARK, 100.0, None, "Marked load."),
    _row("hook.curve", "m", "Radius of the finger", (0.001, 0.2), 0.001, 0.012,
         "Of the finger's curve under the ring."),
    _row("hook.offset", "m", "Pivot off the load's line", (-0.1, 0.1), 0.0005, 0.002,
         "Positive: the load presses the finger shut. Negative: friction alone holds it."),
    _row("hook.pin", "m", "Radius of the pivot pin", (0.0005, 0.1), 0.001, 0.008, "Half its size."),
    _row("hook.lever", "m", "Lever of the lanyard", (0.02, 3.0), 0.01, 0.20, "Pivot to lanyard."),
    _row("hook.friction", "-", "Friction in the hook", (0.0, 1.0), 0.01, 0.12,
         "Of ring on finger and finger on pin; greased steel about 0.12 (Morin, from memory)."),
    _row("hook.slippery", "-", "Least friction foreseen", (0.0, 1.0), 0.01, 0.03,
         "Oil or ice: oiled steel 0.03 to 0.05."),
    _row("hook.hook_on_arm", "m", "Hook on the arm at", (0.05, 40.0), 0.05, None,
         "From the axle along the long arm; empty: at its tip."),
    _row("hook.person_x", "m", "Person who looses, along", (-60.0, 60.0), 0.5, None,
         "Forward of the axle positive; empty: abreast of the hook."),
    _row("hook.person_z", "m", "Person who looses, beside", (0.0, 60.0), 0.5, None,
         "From the plane of the throw; empty: just outside the ground to keep clear."),
    _row("prong.friction", "-", "Ring on prong", (0.0, 1.0), 0.01, 0.20, "As it is now."),
    _row("prong.wet", "-", "Ring on prong, wet", (0.0, 1.0), 0.01, 0.10, "Least foreseen."),
    _row("prong.dry", "-", "Ring on prong, dry", (0.0, 1.0), 0.01, 0.30, "Most foreseen."),
)  # fmt: skip
"""The rows, in the order shown."""

BY_PATH: Mapping[str, Dial] = MappingProxyType({dial.path: dial for dial in TABLE})


def choices(path: str) -> list[str]:
    """Name what a setting that holds a name can be set to."""
    if path == "rig.rigging":
        return list(RIGGINGS)
    if path == "rope.rope_use":
        names = ropes_table.rope_use_names()
        return [name for name in names if ropes_table.rope_use(name).kind.endswith("rope")]
    lists = {
        "rope.rope_kind": ropes_table.rope_names,
        "rope.end": ropes_table.knot_names,
        "rope.sheave_kind": ropes_table.sheave_ratio_names,
    }
    return list(lists[path]())


def at_first(rig: WinchRig | None = None, hook: SlipHook | None = None) -> dict[str, Value]:
    """Give the settings to begin with: the table's, and over them what a rig and a hook say."""
    values: dict[str, Value] = {dial.path: _si(dial) for dial in TABLE}
    for owner, given in (("rig", rig), ("hook", hook)):
        for dial in TABLE:
            if given is not None and _owner(dial) == owner:
                values[dial.path] = getattr(given, dial.key)
    return values


def checked(path: str, value: Value) -> Value:
    """Give a setting's value if it can be one; texts with units are read.

    Raises:
        ValueError: the path, the value or its size is none of this page's.
    """
    dial = BY_PATH.get(path)
    if dial is None:
        raise ValueError(f"{path} is no setting of winding; there are {', '.join(BY_PATH)}")
    if dial.kind == "name":
        if value not in choices(path):
            raise ValueError(f"{dial.label}: {value!r} is not in the tables; choose from the list")
        return value
    if value is None or value == "":
        if dial.default is None:
            return None
        return _si(dial)
    number = units.quantity(value, dial.si_unit) if isinstance(value, str) else float(value)
    low, high = dial.low * dial.factor, dial.high * dial.factor
    if not low <= number <= high:
        raise ValueError(
            f"{dial.label} is {units.text(number, dial.si_unit)}, outside "
            f"{units.text(low, dial.si_unit)} to {units.text(high, dial.si_unit)}"
        )
    return number


def rig_of(values: Mapping[str, Value], numbers: WinchNumbers) -> WinchRig:
    """Give the rig that the settings describe, on a machine's winch."""
    given = _fields(values, "rig")
    if given["rigging"] == "led":
        if given["lead_x"] is None:
            given["lead_x"] = LEAD_SHARE * numbers.winch_x
        if given["lead_y"] is None:
            given["lead_y"] = numbers.winch_y
    return WinchRig(**given)


def hook_of(values: Mapping[str, Value]) -> SlipHook:
    """Give the hook that the settings describe."""
    return SlipHook(**_fields(values, "hook"))


def _owner(dial: Dial) -> str:
    """Tell whose field a setting is: the hook's, the rig's, or nobody's."""
    if dial.group == "hook" and dial.key in HOOK_FIELDS:
        return "hook"
    return "rig" if dial.key in RIG_FIELDS else ""


def _fields(values: Mapping[str, Value], owner: str) -> dict[str, Any]:
    return {dial.key: values[dial.path] for dial in TABLE if _owner(dial) == owner}


def _si(dial: Dial) -> Value:
    value = dial.default
    if isinstance(value, float) and math.isfinite(value):
        return value * dial.factor
    return value

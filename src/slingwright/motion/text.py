"""One throw as plain text for a terminal, and as a record for JSON.

A failed throw has its sentence, its notes and its held loads, and no other numbers.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.text import told
from slingwright.machine.machine import Machine
from slingwright.machine.table import dials

CAUTION = (
    "Caution: computed, not proven. Keep everyone clear of arm, sling and flight, and have the "
    "machine judged by a licensed engineer under local codes."
)

RECORD_UNITS: Mapping[str, str] = MappingProxyType(
    {
        "range": "m",
        "release.time": "s",
        "release.speed": "m/s",
        "release.elevation": "rad",
        "release.x": "m",
        "release.y": "m",
        "release.arm": "rad",
        "release.lag": "rad",
        "landing.time": "s",
        "landing.speed": "m/s",
        "landing.angle": "rad",
        "landing.apex": "m",
        "peak_axle.load": "N",
        "peak_axle.time": "s",
        "held.hook_load": "N",
        "held.axle_load": "N",
        "held.pin_load": "N",
        "held.torque": "N m",
        "energy.weight": "J",
        "energy.arm": "J",
        "energy.sling": "J",
        "energy.ball": "J",
        "energy.base": "J",
        "energy.lost": "J",
        "spans.start": "s",
        "spans.end": "s",
    }
)
"""SI unit of every number of a throw's record that has one, by its place in the record."""

_ENERGIES = ("weight", "arm", "sling", "ball", "base", "lost")


def throw_text(machine: Machine, throw: Any, system: units.System = "metric") -> str:
    """Write a throw as a short report of aligned lines.

    Args:
        machine: the machine that threw.
        throw: its Throw.
        system: units that people read, metric or US.
    """

    def say(value: float, unit: str) -> str:
        return units.text(value, unit, system) if math.isfinite(value) else "no finite value"

    release, landing, held = throw.release, throw.landing, throw.held
    rows: list[tuple[str, str]] = []
    if throw.range is not None:
        rows.append(("range", f"{say(throw.range, 'm')} from under the axle"))
    if release is not None:
        rows.append(
            (
                "release",
                f"{say(release.time, 's')} after loosing, {say(release.speed, 'm/s')} at "
                f"{say(release.elevation, 'rad')} above the horizontal",
            )
        )
        rows.append(
            (
                "",
                f"x {say(release.x, 'm')}, y {say(release.y, 'm')}; arm at "
                f"{say(release.arm, 'rad')}, sling lag {say(release.lag, 'rad')}",
            )
        )
    if landing is not None:
        rows.append(
            (
                "landing",
                f"{say(landing.time, 's')} after loosing, {say(landing.speed, 'm/s')} at "
                f"{say(landing.angle, 'rad')} below the horizontal; highest point "
                f"{say(landing.apex, 'm')}",
            )
        )
    if release is not None:
        rows.append(
            (
                "peak axle load",
                f"{say(throw.peak_axle_load, 'N')} at {say(throw.peak_axle_time, 's')}, "
                f"{throw.peak_axle_phase}",
            )
        )
    rows.append(
        (
            "held, cocked",
            f"hook {say(held.hook_load, 'N')}, axle {say(held.axle_load, 'N')}, "
            f"hanger pin {say(held.pin_load, 'N')}",
        )
    )
    if throw.efficiency is not None:
        rows.append(("energy", _energy_words(throw, say)))
    rows.append(
        (
            "audit",
            f"energy closes within {throw.energy_error:.1e} of the fall's energy, in "
            f"{throw.steps} steps",
        )
    )
    wide = max(len(label) for label, _ in rows)
    lines = [machine.name or "machine without a name", told(throw.sentence, system), ""]
    lines += [f"{label:<{wide}}  {words}" for label, words in rows]
    lines += [f"Note: {told(note, system)}" for note in throw.notes]
    return "\n".join([*lines, CAUTION])


def _energy_words(throw: Any, say: Any) -> str:
    """Say where the counterweight's energy was at release."""
    at = at_release(throw)
    parts = f"{100.0 * throw.efficiency:.1f} % of the fall's energy is in the projectile"
    return (
        f"{parts} at release; {say(at['ball'], 'J')} in it, {say(at['lost'], 'J')} lost to friction"
    )


def at_release(throw: Any) -> dict[str, float]:
    """Give the change of each energy from the start to the release, or to the end [J]."""
    place = len(throw.time) - 1
    if throw.release is not None:
        # Histories have two samples at release, with the projectile and without: the first.
        found = int(np.searchsorted(throw.time, throw.release.time * (1.0 - 1e-12)))
        place = min(place, found)
    return {name: float(getattr(throw, f"energy_{name}")[place]) for name in _ENERGIES}


def throw_record(machine: Machine, throw: Any) -> dict[str, Any]:
    """Give a throw as plain numbers in SI for JSON; what there is none of is None.

    `units` names the unit of every place that has one; all dials of the machine stand in `dials`
    in SI, angles in radians.
    """
    release, landing, held = throw.release, throw.landing, throw.held
    good = release is not None
    return strict(
        {
            "machine": {
                "name": machine.name,
                "dials": {row.path: machine[row.path] for row in dials.TABLE},
                "given": sorted(machine.given),
            },
            "outcome": throw.outcome,
            "sentence": throw.sentence,
            "notes": list(throw.notes),
            "range": throw.range,
            "release": None if release is None else _fields(release),
            "landing": None if landing is None else _fields(landing),
            "peak_axle": {
                "load": throw.peak_axle_load,
                "time": throw.peak_axle_time,
                "phase": throw.peak_axle_phase,
            }
            if good
            else None,
            "held": {
                name: getattr(held, name)
                for name in ("hook_load", "axle_load", "pin_load", "torque")
            },
            "energy": at_release(throw) if good else None,
            "efficiency": throw.efficiency,
            "energy_error": throw.energy_error,
            "constraint_drift": throw.constraint_drift,
            "steps": throw.steps,
            "tolerance": throw.tolerance,
            "spans": [_fields(span) for span in throw.spans],
            "units": {
                **RECORD_UNITS,
                **{
                    f"machine.dials.{row.path}": row.si_unit
                    for row in dials.TABLE
                    if row.si_unit != "-"
                },
            },
            "caution": CAUTION,
        }
    )


def _fields(record: Any) -> dict[str, Any]:
    return {name: getattr(record, name) for name in record.__slots__}


def strict(value: Any) -> Any:
    """Give the same tree with None for every number that JSON cannot hold.

    >>> strict({"a": [1.0, float("nan"), float("inf")]})
    {'a': [1.0, None, None]}
    """
    if isinstance(value, Mapping):
        return {str(key): strict(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [strict(inner) for inner in value]
    if hasattr(value, "tolist"):
        return strict(value.tolist())
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value

"""One throw as rows, as plain text for a terminal, and as a record for JSON.

A failed throw has its sentence, its notes and its held loads, and no other numbers.
"""

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.answer import Row, plain
from slingwright.amounts.text import Amount, Text, form, text, told
from slingwright.machine.machine import Machine
from slingwright.machine.table import dials
from slingwright.motion.account import OF_WHAT

CAUTION = (
    "Caution: computed, not proven. Keep everyone clear of arm, sling and flight, and have the "
    "machine judged by a licensed engineer under local codes."
)

RECORD_UNITS: Mapping[str, str] = {
    f"{thing}{name}": unit
    for thing, unit, names in (
        ("", "m", ("range",)),
        ("release.", "s", ("time",)),
        ("release.", "m/s", ("speed",)),
        ("release.", "m", ("x", "y")),
        ("release.", "rad", ("elevation", "arm", "lag")),
        ("landing.", "s", ("time",)),
        ("landing.", "m/s", ("speed",)),
        ("landing.", "rad", ("angle",)),
        ("landing.", "m", ("apex",)),
        ("peak_axle.", "N", ("load",)),
        ("peak_axle.", "s", ("time",)),
        ("held.", "N", ("hook_load", "axle_load", "pin_load")),
        ("held.", "N m", ("torque",)),
        ("energy.", "J", ("weight", "arm", "sling", "ball", "base", "lost")),
        ("spans.", "s", ("start", "end")),
    )
    for name in names
}
"""SI unit of every number of a throw's record that has one, by its place in the record."""

_ENERGIES = ("weight", "arm", "sling", "ball", "base", "lost")


def throw_text(machine: Machine, throw: Any, system: units.System = "metric") -> str:
    """Write a throw as a short report of aligned lines."""

    release, landing, held = throw.release, throw.landing, throw.held
    rows: list[tuple[str, Text]] = []
    if throw.range is not None:
        rows.append(("range", form("{:m} from under the axle")(throw.range)))
    if release is not None:
        said = form("{:s} after loosing, {:m/s} at {:rad} above the horizontal")
        rows.append(("release", said(release.time, release.speed, release.elevation)))
        said = form("x {:m}, y {:m}; arm at {:rad}, sling lag {:rad}")
        rows.append(("", said(release.x, release.y, release.arm, release.lag)))
    if landing is not None:
        said = form("{:s} after loosing, {:m/s} at {:rad} below the horizontal; highest point {:m}")
        rows.append(("landing", said(landing.time, landing.speed, landing.angle, landing.apex)))
    if release is not None:
        peak = throw.peak_axle_load, throw.peak_axle_time, throw.peak_axle_phase
        rows.append(("peak axle load", form("{:N} at {:s}, {}")(*peak)))
    said = form("hook {:N}, axle {:N}, hanger pin {:N}")
    rows.append(("held, cocked", said(held.hook_load, held.axle_load, held.pin_load)))
    if throw.efficiency is not None:
        at = at_release(throw)
        said = form(
            "{:.1f} % of the counterweight's whole drop is in the projectile at release; with its "
            "pouch {:J}, {:J} lost to friction"
        )
        rows.append(("energy", said(100.0 * throw.efficiency, at["ball"], at["lost"])))
    audit = form("energy closes within {:.1e} of the fall's energy, in {} steps")
    rows.append(("audit", audit(throw.energy_error, throw.steps)))
    wide = max(len(label) for label, _ in rows)
    lines = [machine.name or "machine without a name", told(throw.sentence, system), ""]
    lines += [f"{label:<{wide}}  {words.told(system)}" for label, words in rows]
    lines += [f"Note: {told(note, system)}" for note in throw.notes]
    return "\n".join([*lines, CAUTION])


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
    return plain(
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


def throw_rows(throw: Any) -> Iterator[Row]:
    """Give the answers of a throw; what a failed throw does not have stands as nothing."""
    release, landing = throw.release, throw.landing
    good = throw.outcome == "released" and release is not None
    none = "" if good else f"no throw: {throw.outcome}"
    aloft = text(Amount(landing.time - release.time, "s", 3), " in the air") if landing else none
    yield Row(
        "range", "Range", Amount(throw.range, "m") if throw.range is not None else None, aloft
    )
    if good:
        at = text("at ", Amount(release.time, "s", 3))
        lag = text("at lag ", Amount(release.lag, "rad", 3))
        yield Row("speed", "Release speed", Amount(release.speed, "m/s", 3), at)
        yield Row("elevation", "Release elevation", Amount(release.elevation, "rad", 3), lag)
        share = Amount(throw.efficiency, "share", 3) if throw.efficiency is not None else None
        yield Row("efficiency", "Energy to the projectile", share, OF_WHAT)
        when = text(Amount(throw.peak_axle_time, "s", 3), f", {throw.peak_axle_phase}")
        yield Row("axle", "Peak axle load", Amount(throw.peak_axle_load, "N", 3), when)
    held = throw.held
    yield Row("held", "Axle load, held", Amount(held.axle_load, "N", 3), "cocked, at rest")
    for number, note in enumerate(throw.notes, 1):
        yield Row(f"note{number}", "Note", None, note)

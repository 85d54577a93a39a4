"""The answers of one throw and of winding for it, as a short list of readings.

A failed throw gives dashes, never numbers, and its outcome sentence says what to change.
"""

from __future__ import annotations

import math
from typing import Any

from slingwright.amounts import units
from slingwright.amounts.answer import Table
from slingwright.amounts.figures import Reading, ReadingsTable, figures
from slingwright.amounts.text import told
from slingwright.machine.machine import Machine
from slingwright.motion.account import OF_WHAT
from slingwright.motion.throwing import throw
from slingwright.winch.cycle import Winding, winding


def readings(
    throw: Any,
    effort: Winding | None,
    trouble: str = "",
    system: units.System = "metric",
) -> tuple[Reading, ...]:
    """List the answers of a throw and of winding for it.

    Args:
        throw: a Throw; where it was not released its readings have no value.
    """
    good = throw.outcome == "released" and throw.release is not None
    release = throw.release if good else None
    no_throw = "" if good else f"no throw: {throw.outcome}"
    share = load = None
    when = of_what = ""
    if good:
        share, peak = throw.efficiency, float(throw.peak_axle_load)
        load = peak if math.isfinite(peak) else None
        when = f"{figures(float(throw.peak_axle_time), 's', system)}, {throw.peak_axle_phase}"
        of_what = OF_WHAT
    speed = elevation = None
    left = lag = ""
    if release:
        speed, elevation = release.speed, release.elevation
        left = f"at {figures(release.time, 's', system)}"
        lag = f"at lag {figures(release.lag, 'rad', system)}"
    force = time = None
    turns = trouble
    if effort:
        force, time = effort.force_per_person, effort.winding_time
        turns = f"heaviest, {effort.crank_turns:.0f} turns"
    rows: tuple[tuple[str, str, float | None, str, str], ...] = (
        ("speed", "Release speed", speed, "m/s", left),
        ("elevation", "Release elevation", elevation, "rad", lag),
        ("efficiency", "Energy to the projectile", share, "share", of_what),
        ("axle", "Peak axle load", load, "N", when),
        ("held", "Axle load, held", float(throw.held.axle_load), "N", "cocked, at rest"),
        ("crank", "Crank force per person", force, "N", turns),
        ("winding", "Winding time", time, "s", "without rest" if effort else ""),
    )
    far, note = (throw.range if good else None), no_throw or _landing(throw, system)
    return (
        Reading(key="range", label="Range", value=far, unit="m", digits=4, note=note),
        *(Reading(key=k, label=name, value=v, unit=u, note=said) for k, name, v, u, said in rows),
    )


def _landing(throw: Any, system: units.System) -> str:
    if throw.landing is None:
        return "nothing lands"
    aloft = figures(float(throw.landing.time - throw.release.time), "s", system)
    return f"{aloft} in the air"


def throw_table(machine: Machine, throw: Any, system: units.System = "metric") -> ReadingsTable:
    """Put the answers of one throw of a machine into a plain table."""
    return ReadingsTable(
        rows=readings(throw, *_effort(machine), system),
        sentence=told(throw.sentence, system),
        system=system,
    )


def compare(machine: Machine, other: Machine) -> Table:
    """Put the answers of two machines side by side, with the difference."""
    told = [readings(throw(one), *_effort(one)) for one in (machine, other)]
    changed = [
        path for path, value in other.values.items() if machine.values.get(path, object()) != value
    ]
    return Table(
        head=("answer", "now", "changed", "difference"),
        lines=tuple(
            (before.label, before.text(), after.text(), after.change_from(before))
            for before, after in zip(*told, strict=True)
        ),
        caption=f"Changed: {', '.join(changed) or 'nothing'}.",
    )


def _effort(machine: Machine) -> tuple[Winding | None, str]:
    """Wind a machine, or say why it cannot be wound."""
    try:
        return winding(machine), ""
    except ValueError as error:
        return None, str(error)

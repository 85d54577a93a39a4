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
    peak = float(throw.peak_axle_load)
    when = f"{figures(float(throw.peak_axle_time), 's', system)}, {throw.peak_axle_phase}"
    return (
        Reading(
            key="range",
            label="Range",
            value=throw.range if good else None,
            unit="m",
            digits=4,
            note=no_throw or _landing(throw, system),
        ),
        Reading(
            key="speed",
            label="Release speed",
            value=release.speed if release else None,
            unit="m/s",
            note=f"at {figures(release.time, 's', system)}" if release else "",
        ),
        Reading(
            key="elevation",
            label="Release elevation",
            value=release.elevation if release else None,
            unit="rad",
            note=f"at lag {figures(release.lag, 'rad', system)}" if release else "",
        ),
        Reading(
            key="efficiency",
            label="Energy to the projectile",
            value=throw.efficiency if good else None,
            unit="share",
            note=OF_WHAT if good else "",
        ),
        Reading(
            key="axle",
            label="Peak axle load",
            value=peak if good and math.isfinite(peak) else None,
            unit="N",
            note=when if good else "",
        ),
        Reading(
            key="held",
            label="Axle load, held",
            value=float(throw.held.axle_load),
            unit="N",
            note="cocked, at rest",
        ),
        Reading(
            key="crank",
            label="Crank force per person",
            value=effort.force_per_person if effort else None,
            unit="N",
            note=f"heaviest, {effort.crank_turns:.0f} turns" if effort else trouble,
        ),
        Reading(
            key="winding",
            label="Winding time",
            value=effort.winding_time if effort else None,
            unit="s",
            note="without rest" if effort else "",
        ),
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

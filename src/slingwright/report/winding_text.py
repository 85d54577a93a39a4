"""One winding as plain text for a terminal, and as a record for JSON."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any

from slingwright import units
from slingwright.report.throw_text import strict

WINDING_CAUTION = (
    "Caution: people near a tight rope, under a raised weight or at a crank whose pawl slips can "
    "be killed. Only the crew stays, outside the line of every rope; follow local codes."
)

WINDING_UNITS: Mapping[str, str] = MappingProxyType(
    {
        "force_per_person": "N",
        "force_allowed": "N",
        "winding_time": "s",
        "rest_time": "s",
        "power_per_person": "W",
        "work": "J",
        "stored": "J",
        "lost_in_bearings": "J",
        "lost_in_sheaves": "J",
        "lost_in_gear": "J",
        "peak_rope_pull": "N",
        "peak_rope_elevation": "rad",
        "peak_arm_pull": "N",
        "peak_handle_elevation": "rad",
        "rope_taken": "m",
        "rope_needed": "m",
        "pawl_load": "N",
        "runaway_speed": "m/s",
        "runaway_after_one_turn": "m/s",
        "hook_load": "N",
    }
)
"""SI unit of every number of a winding's record that has one."""

_PLAIN = ("crank_turns", "layers", "loosings_an_hour", "efficiency", "energy_error")


def winding_text(
    name: str, wound: Any, checks: Sequence[Any], system: units.System = "metric"
) -> str:
    """Write a winding and its checks as a short report of aligned lines.

    Args:
        name: of the machine.
        wound: its Winding.
        checks: of the rigging, worst first.
        system: units that people read, metric or US.
    """

    rows = winding_rows(wound, system)
    wide = max(len(label) for label, _ in rows)
    lines = [name or "machine without a name", wound.outcome, ""]
    lines += [f"{label:<{wide}}  {words}" for label, words in rows]
    lines += ["", *_checks_lines(checks, system)]
    return "\n".join([*lines, WINDING_CAUTION])


def winding_rows(wound: Any, system: units.System = "metric") -> list[tuple[str, str]]:
    """Give what there is to say of a winding, a label and words each."""

    def told(value: float, unit: str) -> str:
        return units.text(value, unit, system)

    return [
        (
            "force a person",
            f"{told(wound.force_per_person, 'N')} at most, "
            f"{told(wound.force_allowed, 'N')} can be kept up",
        ),
        (
            "time",
            f"{told(wound.winding_time, 's')} by {wound.time_limit}, {wound.crank_turns:.0f} turns "
            f"of the crank, {told(wound.power_per_person, 'W')} a person",
        ),
        (
            "loosings",
            f"{wound.loosings_an_hour:.1f} an hour, with {told(wound.rest_time, 's')} of rest",
        ),
        (
            "pull",
            f"{told(wound.peak_rope_pull, 'N')} in the rope at the drum with the arm at "
            f"{told(wound.peak_rope_elevation, 'rad')}; {told(wound.peak_arm_pull, 'N')} on the "
            "arm",
        ),
        (
            "rope",
            f"{told(wound.rope_taken, 'm')} onto the drum in {wound.layers} layers; "
            f"{told(wound.rope_needed, 'm')} needed",
        ),
        (
            "work",
            f"{told(wound.work, 'J')} at the handles stores {told(wound.stored, 'J')} "
            f"({100.0 * wound.efficiency:.0f} %)",
        ),
        (
            "if nothing holds",
            f"pawl load {told(wound.pawl_load, 'N')}; handles run back at up to "
            f"{told(wound.runaway_speed, 'm/s')}, {told(wound.runaway_after_one_turn, 'm/s')} "
            "after one turn",
        ),
        ("hook, cocked", told(wound.hook_load, "N")),
    ]


def _checks_lines(checks: Sequence[Any], system: units.System) -> list[str]:
    lines = []
    for check in checks:
        demand = units.text(check.demand, check.unit, system)
        if check.capacity is None:
            against = f"{demand} against an unknown capacity"
        else:
            against = f"{demand} against {units.text(check.capacity, check.unit, system)}"
        advice = "" if check.verdict == "passes" else f"; {check.advice}"
        lines.append(f"{check.verdict:<7}  {check.name}: {against}{advice}")
    return lines


def winding_record(name: str, wound: Any, checks: Sequence[Any]) -> dict[str, Any]:
    """Give a winding and its checks as plain numbers in SI for JSON; unknown is None."""
    numbers = {key: getattr(wound, key) for key in (*WINDING_UNITS, *_PLAIN)}
    return strict(
        {
            "machine": {"name": name},
            "outcome": wound.outcome,
            **numbers,
            "time_limit": wound.time_limit,
            "checks": [
                {
                    "name": check.name,
                    "verdict": check.verdict,
                    "demand": check.demand,
                    "capacity": check.capacity,
                    "unit": check.unit,
                    "utilisation": check.utilisation,
                    "source": check.source,
                    "advice": check.advice,
                }
                for check in checks
            ],
            "units": dict(WINDING_UNITS),
            "caution": WINDING_CAUTION,
        }
    )

"""One winding as plain text for a terminal, and as a record for JSON."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields
from typing import Any

from slingwright.amounts import units
from slingwright.amounts.answer import Row, plain
from slingwright.amounts.text import form, told
from slingwright.amounts.verdict import HOLDS
from slingwright.winch.faults import faults

WINDING_CAUTION = (
    "Caution: people near a tight rope, under a raised counterweight or at a crank whose pawl "
    "slips can be killed. Only the crew stays, outside the line of every rope; follow local codes."
)

WINDING_UNITS: Mapping[str, str] = {
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
}  # fmt: skip
"""SI unit of every number of a winding's record that has one."""

_PLAIN = ("crank_turns", "layers", "loosings_an_hour", "efficiency", "energy_error")
_CURVES: Mapping[str, str] = {
    "elevation": "rad",
    "torque": "N m",
    "lever": "m",
    "taken": "m",
    "turns": "-",
    "arm_pull": "N",
    "rope_pull": "N",
    "arm_pull_lowering": "N",
    "rope_pull_lowering": "N",
    "rope_pull_ideal": "N",
    "handle": "N",
    "handle_lowering": "N",
}  # fmt: skip
_MEMBER = ("along", "across", "bending_along", "bending_across")


def winding_text(
    name: str,
    wound: Any,
    checks: Sequence[Any],
    system: units.System = "metric",
    loosed: Any = None,
) -> str:
    """Write a winding and its checks as a short report of aligned lines."""
    rows = winding_rows(wound, system, loosed)
    wide = max(len(label) for label, _ in rows)
    lines = [name or "machine without a name", told(wound.outcome, system), ""]
    lines += [f"{label:<{wide}}  {words}" for label, words in rows]
    lines += ["", *_checks_lines(checks, system)]
    return "\n".join([*lines, WINDING_CAUTION])


def winding_rows(
    wound: Any, system: units.System = "metric", loosed: Any = None
) -> list[tuple[str, str]]:
    """Give what there is to say of a winding, a label and words each; what looses it if known."""

    rows = [(row.label, _row_words(row, system)) for row in (*wound.rows(), *faults(wound).rows())]
    if loosed is not None:
        words = form("{:N} on the lanyard looses it, {:N} at twice the friction; {}, slippery: {}")(
            loosed.pull,
            loosed.pull_at_double_friction,
            loosed.verdict,
            loosed.verdict_when_slippery,
        )
        rows.append(("Hook, cocked", told(words, system)))
    return rows


def _row_words(row: Row, system: units.System) -> str:
    return "; ".join(told(one, system) for one in (row.value, row.note) if one)


def whole(words: str, system: units.System) -> str:
    """Give words of the answers as a sentence of its own, in the reader's units.

    >>> whole("the ring slips at 20.0 deg", "metric")
    'The ring slips at 20.0 deg.'
    """
    said = told(words, system).rstrip(".")
    return f"{said[:1].upper()}{said[1:]}."


def _checks_lines(checks: Sequence[Any], system: units.System) -> list[str]:
    lines = []
    for check in checks:
        demand, capacity = (told(side, system) for side in check.sides)
        against = f"{demand} against " + (
            "an unknown capacity" if check.capacity is None else capacity
        )
        advice = "" if check.verdict == HOLDS else f"; {told(check.advice, system)}"
        lines.append(f"{check.verdict:<9}  {told(check.name, system)}: {against}{advice}")
    return lines


def winding_record(
    name: str,
    wound: Any,
    checks: Sequence[Any],
    *,
    choice: Any = None,
    ropes: Mapping[str, Any] | None = None,
    loosed: Any = None,
) -> dict[str, Any]:
    """Give a winding and all that follows from it as plain numbers in SI; unknown is None."""
    numbers = {key: getattr(wound, key) for key in (*WINDING_UNITS, *_PLAIN)}
    member_units = {key: "N m" if key.startswith("bending") else "N" for key in _MEMBER}
    frame = [
        {
            "place": member.place,
            **{f"{key}_largest": float(abs(getattr(member, key)).max()) for key in _MEMBER},
            **{key: getattr(member, key) for key in _MEMBER},
            "units": member_units,
        }
        for member in wound.frame
    ]
    return plain(
        {
            "machine": {"name": name},
            "outcome": wound.outcome,
            **numbers,
            "time_limit": wound.time_limit,
            "rig": _plain(wound.rig),
            "cycle": {key: getattr(wound, key) for key in _CURVES},
            "cycle_units": dict(_CURVES),
            "frame": frame,
            "drums": _plain(choice),
            "smallest_ropes": {kind: _plain(size) for kind, size in (ropes or {}).items()},
            "hook": _plain(loosed),
            "checks": [
                {**_plain(one), "verdict": one.verdict, "utilisation": one.utilisation}
                for one in checks
            ],
            "units": dict(WINDING_UNITS),
            "caution": WINDING_CAUTION,
        }
    )


def _plain(one: Any) -> Any:
    """Give a record's fields by name; None for nothing."""
    return None if one is None else {row.name: getattr(one, row.name) for row in fields(one)}

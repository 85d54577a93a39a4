"""The ground to keep clear, in words, as plain text for a terminal, and as plain data for JSON."""

from __future__ import annotations

import math
from typing import Any

from slingwright.amounts import units
from slingwright.amounts.figures import figures
from slingwright.standing.zone import CAUTIONS, NOT_MODELLED, Leaving, Zone


def kept_clear(value: float, system: units.System = "metric") -> str:
    """Write a distance to keep clear, rounded up to a whole metre or foot.

    >>> kept_clear(324.2), kept_clear(324.2, "US")
    ('325 m', '1,064 ft')
    """
    one, label = units.factor("m", system)
    return f"{math.ceil(value / one - 1e-9):,} {label}"


def sentence(zone: Zone, system: units.System = "metric") -> str:
    """Say in two sentences what to keep clear and whether the clear ground is long enough."""
    told = (
        f"Keep clear {kept_clear(zone.clear_ahead, system)} ahead, "
        f"{kept_clear(zone.clear_behind, system)} behind and "
        f"{kept_clear(zone.clear_beside, system)} on every side"
    )
    end = figures(zone.limit, "m", system)
    farthest = figures(zone.forward, "m", system)
    if not zone.inside:
        return (
            f"{told}. {_capital(zone.ahead.load)} can fly {farthest} ahead, past the end of the "
            f"clear ground at {end}: do not loose it so."
        )
    if zone.clear_ahead > zone.limit:
        return (
            f"{told}. Every flight ends within the clear ground of {end}, the longest at "
            f"{farthest}, but the margin reaches past it: keep the ground beyond empty too."
        )
    return f"{told}. All of it lies within the clear ground, which ends at {end}."


def why(one: Leaving, system: units.System = "metric") -> str:
    """Say of one load how far it can fly, when it would have to leave, and what is a guess."""
    planned = "does not come down ahead as planned"
    if one.planned is not None and one.planned >= 0.0:
        planned = f"planned {figures(one.planned, 'm', system)}"
    parts = [
        planned,
        f"at most {figures(one.forward, 'm', system)} ahead ({_moment(one, one.farthest)})",
        f"{figures(one.backward, 'm', system)} behind ({_moment(one, one.rearmost)})",
        f"{figures(one.height, 'm', system)} up",
    ]
    if one.unsure_because:
        parts.append(f"a guess once {one.unsure_because}")
    return ", ".join(parts)


def zone_rows(zone: Zone, system: units.System = "metric") -> list[tuple[str, ...]]:
    """Give each load's row of a table: name, planned, ahead, behind, up; a guess has a star."""

    def told(value: float, sure: bool) -> str:
        return f"{figures(value, 'm', system)}{'' if sure else ' *'}"

    return [
        (
            one.load,
            "\N{EN DASH}" if one.planned is None else figures(one.planned, "m", system),
            told(one.forward, bool(one.sure[one.farthest])),
            told(one.backward, bool(one.sure[one.rearmost])),
            figures(one.height, "m", system),
        )
        for one in zone.leavings
    ]


def zone_text(zone: Zone, system: units.System = "metric") -> str:
    """Write the ground to keep clear as a short report."""
    lines = [f"Where to stand: {zone.machine.name or 'this machine'}", "", sentence(zone, system)]
    lines += ["", "If the load leaves the sling at any moment"]
    wide = max(len(one.load) for one in zone.leavings)
    lines += [f"  {one.load:<{wide}}  {why(one, system)}" for one in zone.leavings]
    lines += [f"  not looked at: {failure}" for failure in zone.failures]
    lines += [
        "",
        f"Margin {zone.margin:g} on every distance, {math.degrees(zone.sideways):.0f} deg to "
        "either side ahead and behind: choices (site.margin, site.sideways), for no published "
        "distance for the public was found.",
        "Not modelled: " + "; ".join(NOT_MODELLED) + ".",
        CAUTIONS,
    ]
    return "\n".join(lines)


def zone_record(zone: Zone) -> dict[str, Any]:
    """Give the same as plain data in SI."""
    return {
        "machine": zone.machine.name,
        "inside": zone.inside,
        "sentence": sentence(zone),
        "clear_ahead": zone.clear_ahead,
        "clear_behind": zone.clear_behind,
        "clear_beside": zone.clear_beside,
        "longest_ahead": zone.forward,
        "longest_behind": zone.backward,
        "highest": zone.height,
        "limit": zone.limit,
        "margin": zone.margin,
        "sideways": zone.sideways,
        "loads": [
            {
                "name": one.load,
                "mass": one.machine.number("projectile.mass"),
                "planned": one.planned,
                "ahead": one.forward,
                "ahead_leaving_at": float(one.time[one.farthest]),
                "behind": one.backward,
                "behind_leaving_at": float(one.time[one.rearmost]),
                "highest": one.height,
                "arrival_energy": float(one.arrival.max()),
                "guess_once": one.unsure_because,
            }
            for one in zone.leavings
        ],
        "not_looked_at": list(zone.failures),
        "caution": CAUTIONS,
    }


def _moment(one: Leaving, at: int) -> str:
    return (
        f"leaving at {one.time[at]:.2f} s, lag {math.degrees(one.lag[at]):.0f} deg"
        f"{'' if one.sure[at] else ', a guess'}"
    )


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"

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
    """Say what to keep clear, whether the clear ground is long enough, and what is not known."""
    told = (
        f"Keep clear {kept_clear(zone.clear_ahead, system)} ahead, "
        f"{kept_clear(zone.clear_behind, system)} behind and "
        f"{kept_clear(zone.clear_beside, system)} on every side"
    )
    end = figures(zone.limit, "m", system)
    farthest = figures(zone.forward, "m", system)
    if not zone.inside:
        parts = [
            f"{told}. {_capital(zone.ahead.load)} can fly {farthest} ahead, past the end of the "
            f"clear ground at {end}: do not loose it so"
        ]
    elif zone.margin * zone.forward > zone.limit:
        parts = [
            f"{told}. Every flight that is known ends within the clear ground of {end}, the "
            f"longest at {farthest}, but the margin reaches past it: keep the ground beyond empty "
            "too"
        ]
    elif zone.clear_ahead > zone.limit:
        parts = [
            f"{told}. Every flight that is known ends within the clear ground of {end}, but the "
            "ground to keep clear reaches past it: keep the ground beyond empty too"
        ]
    else:
        parts = [f"{told}. The ground ahead lies within the clear ground, which ends at {end}"]
    parts += [words for words in (not_bounded(zone, system), _not_looked_at(zone)) if words]
    if not zone.loosing.found:
        parts.append(loosing_words(zone, system))
    return ". ".join(parts) + "."


def not_bounded(zone: Zone, system: units.System = "metric") -> str:
    """Say whose distance the motion does not bound, and what bound is added; nothing if none."""
    one = zone.unbounded
    if one is None:
        return ""
    return (
        "The distance behind is not bounded by the simulated motion, nor is the one ahead: "
        f"{one.load} flies at most {figures(one.backward, 'm', system)} behind until "
        f"{one.cut}, and past that its motion is not known. "
        f"{_bound_words(one, system)}"
    )


def why(one: Leaving, system: units.System = "metric") -> str:
    """Say of one load how far it can fly, when it would have to leave, and what is not known."""
    planned = "does not come down ahead as planned"
    if one.planned is not None and one.planned >= 0.0:
        planned = f"planned {figures(one.planned, 'm', system)}"
    least = "at least" if one.cut else "at most"
    parts = [
        planned,
        f"{least} {figures(one.forward, 'm', system)} ahead ({_moment(one, one.farthest)})",
        f"{figures(one.backward, 'm', system)} behind ({_moment(one, one.rearmost)})",
        f"{figures(one.height, 'm', system)} up",
    ]
    if one.cut:
        bound = figures(one.bound, "m", system)
        parts.append(f"not known once {one.cut}; by energy at most {bound} ahead or behind")
    else:
        parts.append(one.followed)
    return ", ".join(parts)


def zone_rows(zone: Zone, system: units.System = "metric") -> list[tuple[str, ...]]:
    """Give each load's row of a table: name, planned, ahead, behind, up, bound by energy.

    A star marks what is a least value, for the motion past some moment is not known.
    """

    def told(value: float, cut: str) -> str:
        return f"{figures(value, 'm', system)}{'*' if cut else ''}"

    return [
        (
            one.load,
            "\N{EN DASH}" if one.planned is None else figures(one.planned, "m", system),
            told(one.forward, one.cut),
            told(one.backward, one.cut),
            told(one.height, one.cut),
            kept_clear(one.bound, system) if one.cut else "\N{EN DASH}",
        )
        for one in zone.leavings
    ]


def star_words(zone: Zone) -> str:
    """Say what the star in the table means, for each load that has one; nothing if none has."""
    cut = [f"{one.load}: {one.cut}" for one in zone.leavings if one.cut]
    if not cut:
        return ""
    return (
        "* at least: past that moment the motion is not known, and the column by energy "
        "bounds both ahead and behind; " + "; ".join(cut)
    )


def loosing_words(zone: Zone, system: units.System = "metric") -> str:
    """Say where the person who looses stands, and what lanyard that takes."""
    place = zone.loosing
    if place.x is not None and place.z is not None and place.lanyard is not None:
        where = "behind" if place.x <= 0.0 else "ahead of"
        return (
            f"Who looses stands {figures(abs(place.x), 'm', system)} {where} the axle and "
            f"{figures(place.z, 'm', system)} to the side or more, outside the ground to keep "
            f"clear: a lanyard of {figures(place.lanyard, 'm', system)} with its slack"
        )
    if place.needed is None:
        return (
            "No safe place to loose from: the sectors ahead and behind leave no side free at "
            f"{math.degrees(zone.sideways):.0f} deg (site.sideways). Loose from a shelter that a "
            "licensed person has judged, or from beyond the ground to keep clear"
        )
    given = "" if place.given is None else f" of {figures(place.given, 'm', system)}"
    return (
        f"No safe place to loose from within the lanyard{given}: lengthen it to "
        f"{figures(place.needed, 'm', system)} or more, or loose from a shelter that a licensed "
        "person has judged"
    )


def winding_words(zone: Zone, system: units.System = "metric") -> str:
    """Say where the crew that winds stands, with no projectile in the sling, and where nobody."""
    ground = zone.winding

    def told(value: float) -> str:
        return figures(value, "m", system)

    return (
        "The crew that winds, with no projectile in the sling and the safety pin at hand, stands "
        f"abreast of the drum, {told(abs(ground.crew_x))} "
        f"{'behind' if ground.crew_x <= 0.0 else 'ahead of'} the axle and {told(ground.crew_z)} "
        "or more to its side, clear of the crank. Nobody stands between the frames or under "
        f"counterweight and arm: arm and empty sling sweep {told(ground.sweep)} ahead and behind. "
        f"Nobody stands in line with the rope, which whips back up to {told(ground.rope)} past "
        f"either end, {math.degrees(ground.spread):.0f} deg to either side. The crew leaves the "
        "ground before a projectile is laid in, but the one who loads, with the safety pin in"
    )


def public_words(zone: Zone, system: units.System = "metric") -> str:
    """Say where everyone else stands."""
    return (
        "Everyone else stays outside the ground to keep clear from the first turn of the winch: "
        f"{kept_clear(zone.clear_ahead, system)} ahead, {kept_clear(zone.clear_behind, system)} "
        f"behind, {kept_clear(zone.clear_beside, system)} on every side"
    )


def place_words(zone: Zone, system: units.System = "metric") -> tuple[str, str, str]:
    """Say who stands where: who looses, the crew that winds, everyone else."""
    told = (loosing_words, winding_words, public_words)
    loosing, winding, public = (f"{words(zone, system)}." for words in told)
    return loosing, winding, public


def zone_text(zone: Zone, system: units.System = "metric") -> str:
    """Write the ground to keep clear as a short report."""
    lines = [f"Where to stand: {zone.machine.name or 'this machine'}", "", sentence(zone, system)]
    lines += ["", "If the load leaves the sling at any moment"]
    wide = max(len(one.load) for one in zone.leavings)
    lines += [f"  {one.load:<{wide}}  {why(one, system)}" for one in zone.leavings]
    lines += [f"  not looked at: {failure}" for failure in zone.failures]
    lines += ["", "Who stands where", *(f"  {words}" for words in place_words(zone, system))]
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
        "verdict": zone.verdict,
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
                "known_until": one.known_until,
                "not_known_once": one.cut,
                "followed": one.followed,
                "greatest_energy": one.flung.energy,
                "greatest_speed": one.flung.speed,
                "bound_by_energy": one.flung.distance,
            }
            for one in zone.leavings
        ],
        "not_bounded": not_bounded(zone),
        "not_looked_at": list(zone.failures),
        "who_looses": {
            "x": zone.loosing.x,
            "z": zone.loosing.z,
            "lanyard": zone.loosing.lanyard,
            "least_lanyard": zone.loosing.needed,
            "words": loosing_words(zone),
        },
        "winding": {
            "crew_x": zone.winding.crew_x,
            "crew_z": zone.winding.crew_z,
            "sweep": zone.winding.sweep,
            "half_width": zone.winding.half_width,
            "rope": zone.winding.rope,
            "words": winding_words(zone),
        },
        "everyone_else": public_words(zone),
        "caution": CAUTIONS,
    }


def _moment(one: Leaving, at: int) -> str:
    return f"leaving at {one.time[at]:.2f} s, lag {math.degrees(one.lag[at]):.0f} deg"


def _bound_words(one: Leaving, system: units.System) -> str:
    most = one.flung
    wind = f" and {figures(most.wind, 'm', system)} with the wind" if most.wind else ""
    return (
        f"Added as the bound: reach of {figures(most.start, 'm', system)} and a flight without air "
        f"of {figures(most.flight, 'm', system)}{wind}, at the greatest speed that all "
        f"{figures(most.energy, 'J', system)} released could give it, "
        f"{figures(most.speed, 'm/s', system)}: {kept_clear(most.distance, system)}"
    )


def _not_looked_at(zone: Zone) -> str:
    return f"Not looked at, so not known: {'; '.join(zone.failures)}" if zone.failures else ""


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"

"""Where to stand: how far a projectile can fly if it leaves the sling at any moment.

The ring may slip early, late or after the arm has swung through; a cord may part.  Whenever it
does, the load flies on with the place and the velocity that it has just then.  So one motion with
the ring held, and one flight from each moment of it, tell every such throw, ahead and behind, up
to the moment at which the sling would have to push or something strikes.  Past that moment the
motion is not known, and a bound by the energy stands in: see `flung`.

No published distance for the public was found for full-size throwing machines; the margin and
the sideways angle are this kit's own choice, and local codes and the authority on the site decide.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from slingwright.amounts.text import form
from slingwright.machine.machine import Machine
from slingwright.motion.known import (
    FIRST_UNITS,
    LEAST_UNITS,
    SWINGING,
    Followed,
    follow,
)
from slingwright.standing.debris import DRY, debris
from slingwright.standing.drift import cord_speed
from slingwright.standing.flung import flung
from slingwright.standing.ground import Zone
from slingwright.standing.leaving import TOLERANCE, Leaving, land_farthest, surfaces
from slingwright.standing.places import loosing_place, people, winding_ground
from slingwright.strength.loads.brief import EMPTY, brief_loads, loaded_machine


def zone(machine: Machine, *, lanyard: float | None = None) -> Zone:
    """Find how far every load of a machine's brief can fly if it leaves the sling at any moment.

    The machine's own projectile is looked at with the loads of its brief, and no other dial is
    changed. Margin and sideways angle are its `site.margin` and `site.sideways`; the
    margin is never less than the flight with bounce and roll, `site.run_on`.

    Args:
        machine: the machine as it is to be loosed.
        lanyard: length of the lanyard, with its slack; as long as it takes if None [m].

    Raises:
        ValueError: no load that this machine can throw, or a lanyard of no length.
    """
    if lanyard is not None and not lanyard > 0.0:
        raise ValueError(f"lanyard is {lanyard:g} m; give a length above 0, or none")
    leavings: list[Leaving] = []
    failures: list[str] = []
    motions: dict[str, Followed] = {}
    for load in (EMPTY, *brief_loads(machine)):
        try:
            loaded = loaded_machine(machine, load)
            name = DRY if load is EMPTY else load.name
            done = motions[name] = follow(loaded, tolerance=TOLERANCE, units=FIRST_UNITS)
            if load is not EMPTY:
                leavings.append(_leaving(name, loaded, done.throw.range))
        except ValueError as error:
            failures.append(f"{load.name}: {str(error).splitlines()[0]}")
    if not leavings:
        none = "the brief is empty and projectile.mass is 0. Give a projectile.mass, or a brief"
        raise ValueError(f"No projectile of this machine flies: {'; '.join(failures) or none}.")
    number = machine.number
    found = Zone(
        machine=machine,
        leavings=tuple(leavings),
        failures=tuple(failures),
        pieces=debris(machine, {name: done.throw for name, done in motions.items()}),
        pieces_until=min(done.until for done in motions.values()),
        drifts=tuple(one for leaving in leavings for one in leaving.drifts),
        margin=max(number("site.margin"), 1.0 + number("site.run_on")),
        sideways=number("site.sideways"),
        reach=number("arm.long") + number("sling.length"),
        limit=number("site.limit"),
        loosing=loosing_place(machine, lanyard),
        winding=winding_ground(machine),
    )
    return with_people(found, machine)


def with_people(found: Zone, machine: Machine) -> Zone:
    """Give a zone with its people where a machine that differs in nothing else has them.

    Args:
        found: the zone.
        machine: says where they stand.
    """
    loosing = loosing_place(machine, found.loosing.given)
    clear = form("{:0m} ahead, {:0m} behind, {:0m} on every side")(
        found.clear_ahead, found.clear_behind, found.clear_beside
    )
    stand = people(machine, loosing, found.covers, clear)
    return replace(found, machine=machine, loosing=loosing, people=stand)


# ---- within


def _leaving(name: str, machine: Machine, planned: float | None) -> Leaving:
    if machine.number("projectile.mass") <= 0.0:
        raise ValueError("it has no mass")
    # Where a projectile flies from past the first slack differs from shot to shot: the energy
    # bounds it.
    motion = follow(machine, ring=True, tolerance=TOLERANCE, looser=0.0)
    done, until = motion.throw, motion.until
    free = done.phase == SWINGING
    if not free.any():
        known = f" as far as its motion is known, {until:.2f} s" if motion.cut else ""
        most = math.ceil(flung(machine).distance)
        raise ValueError(
            f"it never leaves the trough{known}. {done.sentence.rstrip('.')}; by energy it lands "
            f"at most {most} m ahead or behind"
        )
    place, velocity = done.ball[free], done.ball_rate[free]
    landing, apex, arrival = _flights(machine, place, velocity)
    left = flung(machine, float(done.energy_lost[-1])).distance
    if motion.cut:
        followed = f"known until {until:.2f} s"
    elif left <= min(landing.max(), -landing.min()):
        followed = f"followed for {until:.0f} s: the energy left flings it no farther"
    else:
        followed = f"followed for {until:.0f} s, {LEAST_UNITS:g} sqrt((arm + sling) / g)"
    return Leaving(
        load=name,
        machine=machine,
        planned=planned,
        time=done.time[free],
        lag=done.sling[free],
        place=place,
        velocity=velocity,
        landing=landing,
        apex=apex,
        arrival=arrival,
        cord=cord_speed(
            machine, done.pouch_tension[free], done.sling_rate[free], np.hypot(*velocity.T)
        ),
        known_until=until,
        cut=f"{motion.cut} at {until:.2f} s" if motion.cut else "",
        followed=followed,
        flung=flung(machine),
    )


def _flights(
    machine: Machine, place: np.ndarray, velocity: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Landing [m], apex [m] and energy of motion at the landing [J] of a flight from each moment.

    A flight that never comes up to the landing level ends at the machine's own ground.
    """
    landing, _ = land_farthest(surfaces(machine), place, velocity)
    half = 0.5 * machine.number("projectile.mass")
    energy = half * (landing[:, 3] ** 2 + landing[:, 4] ** 2)
    return landing[:, 1], np.maximum(landing[:, 5], place[:, 1]), energy

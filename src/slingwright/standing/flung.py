"""How far a projectile could be flung at most by the energy that is left, whatever the motion does.

Where a sling goes slack or something strikes, the motion that follows is not known. Energy still
is: nothing gives the projectile more than what counterweight, arm and cords give up by sinking as
low as they can, and no flight goes farther than one without air at 45 degrees or so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slingwright.formulas.release.flights import farthest_flight, longest_aloft
from slingwright.machine.machine import Machine
from slingwright.motion.source.code import flight_module


@dataclass(frozen=True, slots=True, kw_only=True)
class Flung:
    """The most that energy allows one load."""

    energy: float  # J, that the load could have as motion, at the lowest place it can leave from
    speed: float  # m/s
    flight: float  # m, without air, over the ground
    wind: float  # m, by which a wind could add to the flight
    start: float  # m, from under the axle to where it can leave: reach, and travel of the base

    @property
    def distance(self) -> float:
        """Bound of every landing, ahead or behind, from under the axle [m]."""
        return self.start + self.flight + self.wind


def flung(machine: Machine, spent: float = 0.0) -> Flung:
    """Find how far a machine's load could be flung by its whole energy.

    From the machine held and cocked, at rest, to counterweight, arm and cords each standing still
    as low as it can: what that gives up, the load and its pouch have as motion, low down and as
    far out as arm and sling reach. Air only slows; a wind carries it along for as long as it can
    be aloft. A base on wheels rolls at most as far as it must for the centre of mass to stay.

    Args:
        machine: with the load, of some mass.
        spent: energy that friction has taken already [J].
    """
    n = machine.number
    gravity, axle, long = n("site.gravity"), n("axle.height"), n("arm.long")
    sling, thrown = n("sling.length"), n("projectile.mass") + n("sling.pouch")
    hanger = n("counterweight.hanger") if machine.flag("counterweight.hung") else 0.0
    reach, radius = long + sling, 0.5 * n("projectile.diameter")
    lying = n("trough.height") + radius

    def others(sine: float, cords: float) -> float:
        weight = n("counterweight.mass") * (axle - n("arm.short") * sine - hanger)
        arm = n("arm.mass") * (axle + n("arm.balance") * sine)
        return gravity * (weight + arm + n("sling.mass") * cords)

    sine = -math.sin(n("arm.cocked"))
    held = others(sine, 0.5 * (axle + long * sine + lying))
    least = min(others(side, axle + long * side - 0.5 * sling) for side in (-1.0, 1.0))
    low = max(radius, axle - reach)
    energy = max(0.0, held - least + thrown * gravity * (lying - low) - max(0.0, spent))
    speed = math.sqrt(2.0 * energy / thrown)
    fall = low - radius - min(0.0, n("site.height"))
    wind = abs(n("site.wind")) if n("site.air_density") > 0.0 else 0.0
    slowing = _slowing(machine, math.hypot(speed + wind, math.sqrt(2.0 * gravity * fall)))
    carried = wind * longest_aloft(speed, fall, gravity, slowing) if wind else 0.0
    return Flung(
        energy=energy,
        speed=speed,
        flight=farthest_flight(speed + wind, fall, gravity),
        wind=carried,
        start=reach + (_rolling(machine, hanger) if machine.flag("base.wheels") else 0.0),
    )


# ---- within


def _slowing(machine: Machine, fastest: float) -> float:
    """Greatest acceleration of drag over the speed, at any speed up to the fastest [1/s]."""
    n = machine.number
    across, density = n("projectile.diameter"), n("site.air_density")
    given = None if machine["projectile.drag"] is None else n("projectile.drag")
    air = flight_module()
    speeds = np.linspace(0.0, fastest, 200)[1:]
    share = [
        given
        if given is not None
        else air.sphere_drag(min(air.ROUGH_TO, density * across * speed / air.VISCOSITY))
        for speed in speeds
    ]
    area = 0.25 * math.pi * across * across
    most = max((one * speed for one, speed in zip(share, speeds, strict=True)), default=0.0)
    return 0.5 * density * area / n("projectile.mass") * most


def _rolling(machine: Machine, hanger: float) -> float:
    """Way of a base on wheels: no part moves farther from it than twice its own reach [m]."""
    n = machine.number
    reach = n("arm.long") + n("sling.length")
    parts = (
        (n("arm.mass"), n("arm.balance")),
        (n("counterweight.mass"), n("arm.short") + hanger),
        (n("sling.mass") + n("sling.pouch") + n("projectile.mass"), reach),
    )
    whole = n("base.mass") + sum(mass for mass, _ in parts)
    return sum(2.0 * mass * abs(off) for mass, off in parts) / whole

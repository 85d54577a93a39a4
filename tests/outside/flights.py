"""Flights for the outside tests: the compiled flight, called with what it starts from."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from outside.machines import otter_ford

from slingwright.motion.source.code import flight_module


@dataclass(frozen=True, slots=True, kw_only=True)
class Flight:
    """Flight time, landing place and velocity, and the highest point of the centre; SI."""

    time: float
    x: float
    y: float
    v_x: float
    v_y: float
    apex: float


def fly(
    *,
    speed: float,
    elevation: float,
    mass: float = 1.0,
    diameter: float = 0.1,
    height: float | None = None,
    tolerance: float = 1e-11,
    **site,
) -> Flight:
    """Fly a projectile from above the origin, from its own radius up or from `height`.

    `site` holds dials with two underscores for the dot; the surface is smooth unless it says other.
    """
    site.setdefault("projectile__smooth", True)
    machine = otter_ford(projectile__mass=mass, projectile__diameter=diameter, **site)
    landing = np.zeros(8)
    flight_module().fly(
        0.0,
        diameter / 2.0 if height is None else height,
        speed * math.cos(elevation),
        speed * math.sin(elevation),
        machine.moving(),
        tolerance,
        landing,
        np.empty((0, 5)),
    )
    return Flight(
        time=landing[0],
        x=landing[1],
        y=landing[2],
        v_x=landing[3],
        v_y=landing[4],
        apex=landing[5],
    )

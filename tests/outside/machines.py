"""Machines the outside tests share: the invented Otter Ford machine, its kinds, and random ones."""

from __future__ import annotations

import math

import numpy as np

from slingwright.machine.machine import Machine, build

OTTER_FORD = {
    "arm.long": "5.6 m",
    "arm.short": "1.6 m",
    "axle.height": "4.0 m",
    "arm.cocked": "40 deg",
    "counterweight.mass": "1.4 t",
    "counterweight.hanger": "1.1 m",
    "sling.length": "5.0 m",
    "projectile.mass": "12 kg",
    "projectile.diameter": "0.25 m",
    "trough.height": "0.3 m",
    "release.angle": "40 deg",
}
"""An arm of 7.2 m overall, as the invented museum at Otter Ford asked for."""


def otter_ford(*, hung: bool = True, wheels: bool = False, **changes) -> Machine:
    """Give the Otter Ford machine with its weight hinged or fixed, staked or on wheels.

    Changes are named with two underscores for the dot: `sling__length=5.2`.
    """
    settings = dict(OTTER_FORD)
    if not hung:
        settings.pop("counterweight.hanger")
    settings |= {"counterweight.hung": hung, "base.wheels": wheels}
    settings |= {path.replace("__", "."): value for path, value in changes.items()}
    return build(settings, name="Otter Ford")


FRICTIONLESS = {
    "trough__friction": 0.0,
    "axle__friction": 0.0,
    "hanger__friction": 0.0,
    "base__rolling": 0.0,
}


def random_machine(rng: np.random.Generator, *, hung: bool, wheels: bool) -> Machine:
    """Give a machine with every dial of the motion drawn anew, within what could be built."""
    return build(random_settings(rng, hung=hung, wheels=wheels))


def random_settings(rng: np.random.Generator, *, hung: bool, wheels: bool) -> dict[str, object]:
    """Give what `random_machine` is built from."""
    long_arm = rng.uniform(1.0, 10.0)
    ball = rng.uniform(1.0, 100.0)
    weight = ball * rng.uniform(20.0, 200.0)
    arm = weight * rng.uniform(0.02, 0.5)
    short_arm = long_arm * rng.uniform(0.15, 0.4)
    balance = long_arm * rng.uniform(-0.1, 0.4)
    diameter = rng.uniform(0.02, 0.08) * long_arm
    settings: dict[str, object] = {
        "arm.long": long_arm,
        "arm.short": short_arm,
        "arm.mass": arm,
        "arm.balance": balance,
        "arm.inertia": arm * (long_arm - balance) * (short_arm + balance) * rng.uniform(0.1, 0.6),
        "counterweight.mass": weight,
        "counterweight.inertia": weight * long_arm**2 * rng.uniform(0.001, 0.02),
        "counterweight.width": long_arm * rng.uniform(0.05, 0.25),
        "counterweight.height": long_arm * rng.uniform(0.05, 0.25),
        "counterweight.hung": hung,
        "sling.length": long_arm * rng.uniform(0.5, 1.2),
        "sling.mass": ball * rng.uniform(0.01, 0.2),
        "sling.pouch": ball * rng.uniform(0.01, 0.2),
        "projectile.mass": ball,
        "projectile.diameter": diameter,
        "trough.height": long_arm * rng.uniform(0.0, 0.1),
        "trough.friction": rng.uniform(0.0, 0.6),
        "axle.height": long_arm * rng.uniform(0.6, 1.1),
        "axle.diameter": long_arm * rng.uniform(0.005, 0.02),
        "axle.friction": rng.uniform(0.0, 0.3),
        "hanger.friction": rng.uniform(0.0, 0.3),
        "hanger.pin": long_arm * rng.uniform(0.003, 0.015),
        "base.wheels": wheels,
        "base.mass": weight * rng.uniform(0.3, 3.0),
        "base.rolling": rng.uniform(0.0, 0.1),
        "site.gravity": rng.uniform(9.78, 9.84),
    }
    if hung:
        settings["counterweight.hanger"] = long_arm * rng.uniform(0.02, 0.3)
    return settings


def random_state(rng: np.random.Generator, machine: Machine) -> tuple[np.ndarray, np.ndarray]:
    """Give e, h, s, X and their rates, anywhere the machine could stand (and beyond)."""
    rate = math.sqrt(machine["site.gravity"] / machine["arm.long"])
    q = np.array(
        [
            rng.uniform(-1.2, 1.5),
            rng.uniform(-1.2, 1.2),
            rng.uniform(-math.pi, math.pi),
            rng.uniform(-1.0, 1.0),
        ]
    )
    v = rng.uniform(-3.0, 3.0, 4) * rate
    v[3] *= machine["arm.long"]
    return q, v


def on_trough(q: np.ndarray, v: np.ndarray, machine: Machine) -> tuple[np.ndarray, np.ndarray]:
    """Move the sling so that the projectile lies on the trough: sling elevation and its rate.

    The tip is `H + L sin e` up, the projectile `l sin s` above it; it lies to the front of the tip.
    """
    level = machine["trough.height"] + machine["projectile.diameter"] / 2
    length, arm = machine["sling.length"], machine["arm.long"]
    sine = (level - machine["axle.height"] - arm * math.sin(q[0])) / length
    s = -math.pi - math.asin(sine)
    s_dot = -arm * math.cos(q[0]) * v[0] / (length * math.cos(s))
    return np.array([q[0], q[1], s, q[3]]), np.array([v[0], v[1], s_dot, v[3]])

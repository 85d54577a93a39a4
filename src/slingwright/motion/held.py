"""The machine held and cocked: what hook and axle carry while nothing moves.

The hook's load has one definition here, for throw, winding, checks, lanyard and learning.
"""

import math
from dataclasses import dataclass

import numpy as np

from slingwright.machine.machine import Machine

LEAST_LEVER = 1e-3
"""Share of the place on the arm below which a line passes the axle and cannot hold."""
Values = float | np.ndarray


def hook_line(
    place: Values, elevation: Values, height: Values, x: Values | None = None, y: Values = 0.0
) -> tuple[Values, Values]:
    """Direction of the hook's pull on the arm: to its anchor, or straight down without one.

    u = (x - x_h, y - y_h) / |...| with x_h = -a cos(e), y_h = h + a sin(-e) for the cocked arm

    Args:
        place: a, from the axle along the long arm to the hook [m].
        elevation: e, of the long arm, below 0 where it points down [rad].
        height: h, of the axle [m].
        x: of the anchor, forward of the axle positive; None or NaN for straight down [m].
        y: of the anchor, above the ground [m].

    Returns: Parts of a unit pull, forward and up [-].
    Source: geometry.

    >>> hook_line(5.0, 0.0, 4.0)
    (0.0, -1.0)
    """
    if x is None:
        return 0.0, -1.0
    to_x = x + place * np.cos(elevation)
    to_y = y - height - place * np.sin(elevation)
    length = np.hypot(to_x, to_y)
    down = np.isnan(x)
    return np.where(down, 0.0, to_x / length), np.where(down, -1.0, to_y / length)


def hook_lever(place: Values, elevation: Values, line: tuple[Values, Values]) -> Values:
    """Lever of the hook's line about the axle, positive where its pull lowers the long arm.

    l = -a (cos(e) u_y + sin(e) u_x)

    Args:
        place: a, from the axle along the long arm to the hook [m].
        elevation: e, of the long arm, below 0 where it points down [rad].
        line: parts u_x forward and u_y up of a unit pull [-].

    Returns: Lever [m].
    Source: statics.

    >>> hook_lever(5.0, 0.0, (0.0, -1.0))
    5.0
    """
    lever = -place * (np.cos(elevation) * line[1] + np.sin(elevation) * line[0])
    return float(lever) if np.ndim(lever) == 0 else lever


def held_torque(
    counterweight: Values,
    short: Values,
    arm: Values,
    balance: Values,
    cords: Values,
    long: Values,
    elevation: Values,
    gravity: Values,
) -> Values:
    """Torque of the held machine's weights about the axle, positive where it lifts the long arm.

    M = (W s - m b - c L) g cos(e)

    Args:
        counterweight: W, of the counterweight [kg].
        short: s, axle to hanger pin, or to the centre of a fixed counterweight [m].
        arm: m, of the arm [kg].
        balance: b, axle to the arm's centre of mass, positive to the long end [m].
        cords: c, of the sling that hangs on the tip, half of its cords [kg].
        long: L, axle to the tip [m].
        elevation: e, of the long arm [rad].
        gravity: g [m/s^2].

    Returns: Torque [N m].
    Source: law of the lever; the projectile and the other half of the cords lie in the trough.

    >>> held_torque(1000.0, 1.0, 100.0, 1.0, 10.0, 4.0, 0.0, 10.0)
    8600.0
    """
    moment = counterweight * short - arm * balance - cords * long
    torque = moment * gravity * np.cos(elevation)
    return float(torque) if np.ndim(torque) == 0 else torque


def hook_load(torque: Values, lever: Values, place: Values) -> Values:
    """Force in the line that holds the arm at rest.

    F = M / l

    Args:
        torque: M, of the weights about the axle, positive where it lifts the long arm [N m].
        lever: l, of the line about the axle [m].
        place: a, from the axle along the long arm to the hook [m].

    Returns: Force, 0 where nothing lifts the arm, infinite where the line passes the axle [N].
    Source: balance of moments about the axle.

    >>> hook_load(5000.0, 4.0, 5.0)
    1250.0
    """
    holds = lever > LEAST_LEVER * place
    pull = np.where(holds, torque / np.where(holds, lever, 1.0), math.inf)
    load = np.where(torque > 0.0, pull, 0.0)
    return float(load) if np.ndim(load) == 0 else load


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """Static loads when cocked [N]: `hook_load` along the hook's own line,
    `axle_force` the axle's force on the arm (x, y), `axle_load` its size; `torque` [N m] of the
    weights about the axle, positive where it lifts the long arm; `lever` [m] of the hook's line."""

    hook_load: float
    axle_force: tuple[float, float]
    axle_load: float
    pin_load: float
    torque: float
    lever: float


def held(machine: Machine) -> Held:
    """Static loads of the cocked machine, held by its hook.

    The projectile lies in the trough and half of the cords hang on the tip.  The hook takes the arm
    at `hook.on_arm` and pulls straight down, or to its anchor at (`hook.x`, `hook.y`); a line that
    passes the axle within a thousandth of its place on the arm cannot hold it and gives an infinite
    load.
    """
    n = machine.number
    e = -n("arm.cocked")
    g = n("site.gravity")
    masses = n("counterweight.mass"), n("arm.mass"), 0.5 * n("sling.mass")
    weight, arm, cords = (mass * g for mass in masses)
    above = masses[0], n("arm.short"), masses[1], n("arm.balance"), masses[2], n("arm.long")
    torque = float(held_torque(*above, e, g))
    place = n("hook.on_arm")
    x = machine["hook.x"]
    line = hook_line(place, e, n("axle.height"), x, n("hook.y"))  # type: ignore[arg-type]
    lever = float(hook_lever(place, e, line))
    hook = float(hook_load(torque, lever, place))
    pull = tuple(hook * float(part) if part != 0.0 else 0.0 for part in line)
    force = (-pull[0], weight + arm + cords - pull[1])
    return Held(hook_load=hook, axle_force=force, axle_load=math.hypot(*force),
                pin_load=weight, torque=torque, lever=lever)  # fmt: skip

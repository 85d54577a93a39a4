"""The machine held and cocked: what hook, axle and winch rope carry while nothing moves."""

from __future__ import annotations

import math
from dataclasses import dataclass

from slingwright.machine.machine import Machine


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """Static loads when cocked [N]: `hook_load` along the line from the arm to the winch's place,
    `axle_force` the axle's force on the arm (x, y), `axle_load` its size; `torque` [N m] of the
    weights about the axle, positive where it lifts the long arm; `lever` [m] of the hook's line."""

    hook_load: float
    axle_force: tuple[float, float]
    axle_load: float
    pin_load: float
    torque: float
    lever: float


def held(machine: Machine) -> Held:
    """Static loads of the cocked machine, held where the tackle takes the arm.

    The projectile lies in the trough and half of the cords hang on the tip.  The line runs from
    the arm at `winch.on_arm` to (`winch.x`, `winch.y`); a line that passes the axle within a
    thousandth of its length cannot hold the arm and gives an infinite load.
    """
    n = machine.number
    e = -n("arm.cocked")
    g = n("site.gravity")
    weight, arm, cords = n("counterweight.mass") * g, n("arm.mass") * g, 0.5 * n("sling.mass") * g
    torque = math.cos(e) * (
        weight * n("arm.short") - arm * n("arm.balance") - cords * n("arm.long")
    )
    along = n("winch.on_arm")
    x, y = -along * math.cos(e), n("axle.height") + along * math.sin(e)
    to_x, to_y = n("winch.x") - x, n("winch.y") - y
    length = math.hypot(to_x, to_y)
    unit = (to_x / length, to_y / length) if length > 0.0 else (0.0, -1.0)
    # Moment about the axle of a unit pull, positive where it lowers the long arm.
    lever = x * unit[1] - (y - n("axle.height")) * unit[0]
    if torque <= 0.0:
        hook = 0.0
    elif lever <= 1e-3 * along:
        hook = math.inf
    else:
        hook = torque / lever
    pull = (hook * unit[0], hook * unit[1]) if math.isfinite(hook) else (math.inf, math.inf)
    force = (-pull[0], weight + arm + cords - pull[1])
    return Held(
        hook_load=hook,
        axle_force=force,
        axle_load=math.hypot(*force),
        pin_load=weight,
        torque=torque,
        lever=lever,
    )

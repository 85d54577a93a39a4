"""The project's compiled equations, called one state at a time for comparison."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from types import ModuleType

import numpy as np

from slingwright.machine.table.dials import MOVING_INDEX
from slingwright.motion.source.code import machine_module


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """Accelerations of e, [h], s, [X]; the trough's force; friction torques; power lost."""

    acceleration: np.ndarray
    contact: float
    rubbing: float
    axle_torque: float
    pin_torque: float
    rolling: float
    power_lost: float
    axle_load: np.ndarray


CALLED = ("constants", "rhs", "rates", "part_forces", "load_rows")


@cache
def equations(hung: bool, wheels: bool) -> ModuleType:
    """Give the module of a kind of machine, whose inner functions are compiled to be kept.

    The kit calls them from compiled code alone, and keeps no compiled form of each by itself; here
    each would take seconds in every run.
    """
    module = machine_module(hung, wheels)
    for name in CALLED:
        getattr(module, name).enable_caching()
    return module


def our_rates(machine, q, v, *, phase: str, slide: float = 1.0) -> Rates:
    """Rates at a state, phase `trough`, `free` or `empty`; q and v are those of e, h, s, X."""
    module = equations(machine["counterweight.hung"], machine["base.wheels"])
    kept = [
        place
        for place, here in (
            (0, True),
            (1, machine["counterweight.hung"]),
            (2, True),
            (3, machine["base.wheels"]),
        )
        if here
    ]
    p = machine.moving()
    if phase == "empty":
        p[MOVING_INDEX["projectile.mass"]] = 0.0
    constants = np.empty(module.CONSTANTS)
    module.constants(p, constants)
    n = len(kept)
    y = np.array([*np.array(q)[kept], *np.array(v)[kept], 0.0])
    work, out = np.zeros(module.WORK_SIZE), np.zeros((1, 2 * n + 1))
    stage = {"trough": module.TROUGH, "free": module.FREE, "empty": module.SWING}[phase]
    module.rhs(stage, slide, y, p, constants, work, out, 0)
    a = out[0, n : 2 * n].copy()
    module.load_rows(y, constants, work)
    load = np.empty(2)
    for axis, start in enumerate((module.LOAD_X, module.LOAD_Y)):
        load[axis] = work[start : start + n] @ a + work[start + n]
    load -= np.array([work[module.RUBBING], work[module.CONTACT]])
    return Rates(
        acceleration=a,
        contact=work[module.CONTACT],
        rubbing=work[module.RUBBING],
        axle_torque=work[module.AXLE_TORQUE],
        pin_torque=work[module.HANGER_TORQUE],
        rolling=work[module.ROLLING],
        power_lost=out[0, 2 * n],
        axle_load=load,
    )

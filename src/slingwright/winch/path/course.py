"""The path of the rope through one winding: all of it that does not depend on the weight.

Elevations, the rope's line and lever, the share that sheaves add, and what lies on the drum. A
course is made once and serves every counterweight that is tried on it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from slingwright.amounts.text import Text, form
from slingwright.formulas.winch import crew, drum, hauling
from slingwright.winch.path.place import REST
from slingwright.winch.path.reeving import Reeving, reeve
from slingwright.winch.rig import WinchNumbers, WinchRig

DEAD_TURNS = 3  # that stay on the drum, under what is wound on it: common practice


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """The rope's way from rest to cocked. Arrays of shape (n,)."""

    elevation: np.ndarray  # rad
    direction: tuple[np.ndarray, np.ndarray]  # of the pull on the arm, x and y
    lever: np.ndarray  # m, of the rope about the axle
    reeving: Reeving  # its loads are shares of the tackle's pull
    taken: np.ndarray  # m, rope on the drum
    dead: float  # m, rope that stays on the drum
    drum_turns: np.ndarray  # past the dead ones
    radius: np.ndarray  # m, at which the rope comes onto the drum

    def arm_pull(self, numbers: WinchNumbers, sense: float) -> np.ndarray:
        """Pull of the whole tackle on the arm: sense 1 winding, -1 lowering [N]."""
        torque = hauling.gravity_torque(self.elevation, numbers.moment, numbers.gravity)
        carried = numbers.weight, numbers.axle_drag, numbers.hanger_torque
        return hauling.tackle_load(torque, self.lever, self.direction, *carried, sense)

    def on_drum(self, numbers: WinchNumbers, rig: WinchRig) -> Course:
        """Give the same path of the rope onto another drum."""
        dead, turns, radius = _wound_on(self.taken, numbers, rig)
        return replace(self, dead=dead, drum_turns=turns, radius=radius)

    @property
    def parts(self) -> int:
        """Parts of line that pull the arm."""
        return round(self.reeving.numbers.parts)

    def lost_at_sheaves(self, numbers: WinchNumbers, arm_pull: np.ndarray) -> np.ndarray:
        """Torque about the axle that the sheaves take, each by itself [N m], shape (n,).

        From the dead end on: each part of line pulls more than the one before it by the loss of the
        sheave between them, over which as many spans of rope run as there are parts behind it.
        """
        loss = numbers.sheave_loss
        tension = arm_pull / sum((1.0 + loss) ** k for k in range(self.parts))
        taken = np.zeros_like(arm_pull)
        for sheave in range(1, len(self.reeving.first)):
            taken += loss * tension * sheave
            tension = tension * (1.0 + loss)
        return taken * self.lever


def course(numbers: WinchNumbers, rig: WinchRig, steps: int) -> Course:
    """Lay the rope's way through one winding.

    Args:
        steps: elevations looked at, an odd number.

    Raises: ValueError: steps that cannot be summed over, a lead block in the winch, a drum without
        room; hauling.DeadPoint: the rope's line passes the axle at some elevation.
    """
    if steps < 3 or steps % 2 == 0:
        raise ValueError(f"{steps} steps: give an odd number of at least 3.")
    n = numbers
    elevation = np.linspace(REST, -n.cocked, steps)
    laid = reeve(n, rig, elevation)
    place = (n.on_arm, n.axle_height, *laid.block)
    lever = hauling.rope_lever(elevation, *place)
    hauling.refuse_dead_point(elevation, lever, hauling.LEAST_LEVER * n.on_arm)
    taken = laid.rope[0] - laid.rope
    dead, drum_turns, radius = _wound_on(taken, n, rig)
    return Course(
        elevation=elevation, direction=hauling.rope_direction(elevation, *place), lever=lever,
        reeving=laid, taken=taken, dead=dead, drum_turns=drum_turns, radius=radius,
    )  # fmt: skip


def _wound_on(
    taken: np.ndarray, numbers: WinchNumbers, rig: WinchRig
) -> tuple[float, np.ndarray, np.ndarray]:
    """Give the dead rope [m], turns past it and radius [m], over what lies under the rope."""
    given = (numbers.drum, numbers.rope, rig.drum_width)
    dead = drum.rope_in_turns(DEAD_TURNS, *given)
    turns, radius = drum.drum_state(taken + dead, *given)
    return dead, turns - DEAD_TURNS, radius


def integrals(torques: np.ndarray, elevation: np.ndarray) -> np.ndarray:
    """Work of torques over the cycle, shape (..., n), by Simpson's rule on even steps [J]."""
    from scipy.integrate import simpson

    work: np.ndarray = simpson(torques, dx=(elevation[0] - elevation[-1]) / (len(elevation) - 1))
    return work


def lasting(time: float) -> Text:
    """Give a time [s] in minutes, or in seconds where it is less than one."""
    return form("{:2s}")(time) if time < 60.0 else form("{:.1f} min")(time / 60.0)


def crew_time(
    numbers: WinchNumbers, rig: WinchRig, work: float, crank_turns: float
) -> tuple[float, str]:
    """Time that a winding takes [s], and what sets it: crew power or hand speed.

    Raises: crew.TooMuchWork: more than the crew does in a day.
    """
    by_hand = crank_turns * 2.0 * math.pi * numbers.crank / rig.hand_speed
    if 0.0 < by_hand <= crew.LONGEST and 0.0 <= work < numbers.people * (
        crew.crank_power(by_hand) * by_hand
    ):
        return by_hand / rig.working_share, "hand speed"
    by_power = crew.time_for_work(work, numbers.people)
    limit = "crew power" if by_power >= by_hand else "hand speed"
    return max(by_power, by_hand) / rig.working_share, limit

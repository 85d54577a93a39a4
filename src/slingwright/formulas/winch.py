"""From the machine's weights to the hand on the crank, in one call.

The quick answer for a bench of dials: a straight rope or tackle from the winch to the arm, wound
from rest (long arm upright) to cocked, without bearing friction. The whole cycle, with losses of
axle and hanger, both riggings and lowering, is in `slingwright.answers.winding`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slingwright.formulas import crew, drum, hauling, sheaves

LEAST_LEVER = 0.02  # of where the rope takes the arm: below this share the arm counts as dead


@dataclass(frozen=True, slots=True, kw_only=True)
class CrankEffort:
    """What it takes to wind the machine down once."""

    peak_rope_tension: float  # N, at the drum
    peak_tackle_pull: float  # N, of the whole tackle on the arm
    peak_elevation: float  # rad, where the handle is heaviest
    force_per_person: float  # N, at the handle, largest of the cycle
    crank_turns: float
    rope_taken: float  # m, onto the drum
    layers: int
    work: float  # J, at the handles
    stored_energy: float  # J, gained by the weights
    winding_time: float  # s, without rest
    hand_speed: float  # m/s, mean over the cycle
    power_per_person: float  # W, mean over the cycle
    assumption: str  # how the time was found, with its source


def crank_effort(
    *,
    counterweight_mass: float,
    arm_short: float,
    arm_long: float,
    arm_mass: float,
    arm_balance: float,
    cocked: float,
    axle_height: float,
    winch_x: float,
    winch_y: float,
    on_arm: float,
    drum_diameter: float,
    crank: float,
    gear: float,
    parts: float,
    sheave_loss: float,
    people: float,
    rope: float,
    tip_mass: float = 0.0,
    gravity: float = 9.80665,
    drum_width: float = 0.6,
    gear_efficiency: float = 1.0,
    hand_speed: float = crew.HAND_SPEED,
    steps: int = 121,
) -> CrankEffort:
    """Peak rope tension, force at the handle, turns and time of winding a machine down.

    Q g cos(e) = F c(e); P = F K^(N-1) (K - 1) / (K^N - 1); force = P r / (i R n); the time is the
    longer of work over crew power and hand's way over hand speed

    Args:
        counterweight_mass: counterweight [kg].
        arm_short: axle to hanger pin [m].
        arm_long: axle to the tip [m].
        arm_mass: arm [kg].
        arm_balance: axle to the arm's centre of mass, positive to the long end [m].
        cocked: angle of the long arm below the horizontal when held [rad].
        axle_height: height of the axle [m].
        winch_x: winch or lower block, forward of the axle positive [m].
        winch_y: winch or lower block, above the ground [m].
        on_arm: where the rope takes the arm, from the axle [m].
        drum_diameter: drum without rope [m].
        crank: radius of the crank or handspikes [m].
        gear: turns of the crank for one of the drum [-].
        parts: parts of line; the last leaves the arm's block for the drum [-].
        sheave_loss: pull added by each sheave, as a share [-].
        people: people at the handles [-].
        rope: rope diameter [m].
        tip_mass: sling and pouch [kg].
        gravity: acceleration of free fall [m/s^2].
        drum_width: length of the drum between its flanges [m].
        gear_efficiency: of gear and bearings [-].
        hand_speed: fastest that hands follow a crank [m/s].
        steps: elevations looked at, an odd number [-].

    Returns:
        Record of forces [N], lengths [m], work [J], time [s], speed [m/s] and power [W].

    Raises:
        ValueError: if the arm outweighs the counterweight, there is no crew, or a size is not
            above 0.
        hauling.DeadPoint: if the rope's line passes the axle at some elevation.

    Source: statics; Wire Rope Users Manual, 4th ed., p. 88, for sheaves; E. S. Krendel in Marks'
        Standard Handbook (from memory) for power; W. Duane, A Military Dictionary, 1810, p. 677,
        for a hand speed of 3.5 ft/s.

    >>> effort = crank_effort(
    ...     counterweight_mass=1200, arm_short=1.2, arm_long=6.0, arm_mass=220, arm_balance=1.9,
    ...     cocked=0.7, axle_height=4.4, winch_x=-3.2, winch_y=0.4, on_arm=4.5, drum_diameter=0.24,
    ...     crank=0.4, gear=3.0, parts=2, sheave_loss=0.09, people=4, rope=0.02)
    >>> effort.force_per_person
    34.3
    """
    if not people > 0.0:
        raise ValueError(f"a crew of {people:g} winds nothing. Give one person or more.")
    if steps < 3 or steps % 2 == 0:
        raise ValueError(f"{steps} steps: give an odd number of at least 3.")
    moment = hauling.weight_moment(
        counterweight_mass, arm_short, arm_mass, arm_balance, tip_mass, arm_long
    )
    elevation = np.linspace(0.5 * math.pi, -cocked, steps)
    place = (on_arm, axle_height, winch_x, winch_y)
    lever = hauling.rope_lever(elevation, *place)
    hauling.refuse_dead_point(elevation, lever, LEAST_LEVER * on_arm)
    length = hauling.rope_length(elevation, *place)
    tackle = hauling.gravity_torque(elevation, moment, gravity) / lever
    ratio = sheaves.friction_ratio(sheave_loss)
    factor = sheaves.lead_line_factor(parts, ratio, parts - 1)
    pull = tackle * factor
    taken = (length[0] - length) * parts
    turns, radius = drum.drum_state(taken, drum_diameter, rope, drum_width)
    force = np.asarray(drum.handle_force(pull, radius, crank, gear, gear_efficiency)) / people
    gained = float(hauling.stored_energy(elevation[-1:], moment, gravity, elevation[0])[0])
    work = gained * parts * factor / gear_efficiency
    hand_way = float(turns[-1]) * gear * 2.0 * math.pi * crank
    by_power = crew.time_for_work(work, people)
    time = max(by_power, hand_way / hand_speed)
    limit = "crew power" if by_power >= hand_way / hand_speed else "hand speed"
    peak = int(np.argmax(force))
    return CrankEffort(
        peak_rope_tension=float(np.max(pull)),
        peak_tackle_pull=float(np.max(tackle)),
        peak_elevation=float(elevation[peak]),
        force_per_person=float(force[peak]),
        crank_turns=float(turns[-1]) * gear,
        rope_taken=float(taken[-1]),
        layers=round((float(np.max(radius)) - 0.5 * drum_diameter) / rope + 0.5),
        work=work,
        stored_energy=gained,
        winding_time=time,
        hand_speed=hand_way / time,
        power_per_person=work / (people * time),
        assumption=(
            f"time set by {limit}: power P[hp] = 0.35 - 0.092 log10(minutes) for each person "
            f"(Krendel, from memory), hands at most {hand_speed:.2g} m/s (Duane 1810); no rest"
        ),
    )

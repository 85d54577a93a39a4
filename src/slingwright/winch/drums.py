"""Which drum: force against time, and the heaviest weight that the crew can wind with it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from slingwright.amounts.text import form
from slingwright.formulas.winch import crew, drum, hauling
from slingwright.winch.path.course import Course, course, crew_time, integrals, lasting
from slingwright.winch.rig import HasDials, WinchNumbers, WinchRig, rig_of, winch_numbers

STEPS = 241  # elevations, those of a winding: what is called light enough is so there too
TOLERANCE = 1e-9  # of the heaviest weight, relative: never above, at most this below


@dataclass(frozen=True, slots=True, kw_only=True)
class DrumChoice:
    """Drums side by side. Arrays of shape (n,)."""

    drum: np.ndarray  # m, diameters
    force_per_person: np.ndarray  # N
    force_allowed: np.ndarray  # N
    winding_time: np.ndarray  # s
    reload_time: np.ndarray  # s, winding, then rest or serving, whichever is longer
    crank_turns: np.ndarray
    heaviest: np.ndarray  # kg, counterweight that the crew can wind; not-a-number for none
    advice: str


def drum_choice(
    machine: HasDials,
    drums: np.ndarray,
    rig: WinchRig | None = None,
    heaviest: np.ndarray | None = None,
) -> DrumChoice:
    """Compare drums: force on the handle, time, and the heaviest counterweight for each.

    Args:
        drums: diameters [m], shape (n,).
        heaviest: counterweights that the crew can wind with each drum [kg], shape (n,), where they
            are known already: they do not hang on the machine's own counterweight.

    Raises: ValueError: no drums, or what `winding` refuses for one of them.
    """
    numbers = winch_numbers(machine)
    rig = rig if rig is not None else rig_of(machine)
    diameters = np.asarray(drums, dtype=float)
    if diameters.ndim != 1 or diameters.size == 0:
        raise ValueError("no drums to compare. Give one diameter or more, in metres.")
    first = course(numbers, rig, STEPS)
    ways = [first.on_drum(replace(numbers, drum=float(drum)), rig) for drum in diameters]
    asked, alike = _Asked.of(numbers, rig, ways), np.full(len(ways), numbers.counterweight_mass)
    force, allowed, time, work = asked.of_crew(alike)
    if np.any(np.isinf(time)):
        crew.time_for_work(float(np.max(work)), numbers.people)  # says that it is too much
    rest = [crew.rest_after(w, numbers.people, t, rig.day) for w, t in zip(work, time, strict=True)]
    return DrumChoice(
        drum=diameters, force_per_person=force, force_allowed=allowed, winding_time=time,
        reload_time=time + np.maximum(rest, rig.serve_time),
        crank_turns=asked.turns,
        heaviest=heaviest_counterweights(numbers, rig, ways) if heaviest is None else heaviest,
        advice=_advice(diameters, force, allowed, time),
    )  # fmt: skip


def heaviest_counterweights(
    numbers: WinchNumbers, rig: WinchRig, ways: Sequence[Course]
) -> np.ndarray:
    """Heaviest counterweight for each of several drums, all sought at once, shape (k,) [kg].

    With it no hand is pushed above what it can sustain; not-a-number where the crew cannot wind
    even a weight that just outweighs the arm. The force allowed depends on the time, and the time
    on the weight: solved by the rule of false position in the Illinois form, since the force is
    nearly in proportion to what outweighs the arm.
    """
    asked = _Asked.of(numbers, rig, ways)
    arm = numbers.arm_mass * numbers.arm_balance + numbers.tip_mass * numbers.arm_long
    balanced = max(arm / numbers.arm_short, 0.0)
    low = np.full(len(ways), balanced + 1e-3 * numbers.counterweight_mass)
    low_excess = asked.excess(low)
    none = low_excess > 0.0
    high = np.maximum(numbers.counterweight_mass, 1.01 * low)
    high_excess = asked.excess(high)
    while np.any(rising := ~none & (high_excess <= 0.0)):
        # where a straight line through no force at balance reaches the limit, and a little more
        step = 1.05 * (high - balanced) / np.maximum(high_excess + 1.0, 1e-3)
        low, low_excess = np.where(rising, high, low), np.where(rising, high_excess, low_excess)
        high = np.where(rising, balanced + step, high)
        high_excess = np.where(rising, asked.excess(high), high_excess)
    side = np.zeros(len(ways))
    weight_low, weight_high = low_excess.copy(), high_excess.copy()
    for _ in range(200):
        going = ~none & (high - low > TOLERANCE * high) & (low_excess != 0.0)
        if not np.any(going):
            break
        bent = np.isfinite(weight_high)
        over = np.where(bent, weight_high, 1.0)
        middle = (low * over - high * weight_low) / (over - weight_low)
        middle = np.where(bent, middle, 0.5 * (low + high))
        excess = asked.excess(middle)
        found = going & (np.abs(excess) <= 0.5 * TOLERANCE)
        up, down = going & ~found & (excess > 0.0), going & ~found & (excess <= 0.0)
        weight_low = np.where(up & (side > 0.0), 0.5 * weight_low, weight_low)
        weight_high = np.where(down & (side < 0.0), 0.5 * weight_high, weight_high)
        high, weight_high = np.where(up, middle, high), np.where(up, excess, weight_high)
        low, low_excess = np.where(down, middle, low), np.where(down, excess, low_excess)
        weight_low = np.where(down, excess, weight_low)
        side = np.where(up, 1.0, np.where(down, -1.0, side))
        low, high = np.where(found, middle, low), np.where(found, middle, high)
    return np.where(none, np.nan, low)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """What windings onto several drums ask of one crew: what `follow` gives, and nothing else."""

    numbers: WinchNumbers
    rig: WinchRig
    way: Course  # the first of the drums'; the rope's way to the drum is the same for all
    radius: np.ndarray  # m, shape (k, n)
    turns: np.ndarray  # of the crank, shape (k,)

    @classmethod
    def of(cls, numbers: WinchNumbers, rig: WinchRig, ways: Sequence[Course]) -> _Asked:
        """Gather the ways of the rope onto the drums."""
        return cls(
            numbers=numbers,
            rig=rig,
            way=ways[0],
            radius=np.array([way.radius for way in ways]),
            turns=np.array([way.drum_turns[-1] for way in ways]) * numbers.gear,
        )

    def of_crew(self, mass: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """Give force of one person and force allowed [N], time [s] and work [J], for each weight.

        The time is infinite beyond a day's work.
        """
        n, rig, way = self.numbers, self.rig, self.way
        lighter = n.moment - n.counterweight_mass * n.arm_short
        torque = np.multiply.outer(
            (mass * n.arm_short + lighter) * n.gravity, np.cos(way.elevation)
        )
        pull = way.reeving.hauled * hauling.tackle_load(
            torque,
            way.lever,
            way.direction,
            (n.weight + n.gravity * (mass - n.counterweight_mass))[:, None],
            n.axle_drag,
            (n.hanger_drag * mass * n.gravity if n.hung else 0.0 * mass)[:, None],
            1.0,
        )
        handle = drum.handle_force(pull, self.radius, n.crank, n.gear, rig.gear_efficiency)
        work = integrals(pull * (way.parts * way.lever), way.elevation) / rig.gear_efficiency
        times = zip(work, self.turns, strict=True)
        time = np.array([self._time(float(one), float(turns)) for one, turns in times])
        allowed = np.array([crew.force_allowed(float(one)) for one in time])
        return np.max(handle, axis=-1) / n.people, allowed, time, work

    def _time(self, work: float, turns: float) -> float:
        try:
            return crew_time(self.numbers, self.rig, work, turns)[0]
        except crew.TooMuchWork:
            return math.inf

    def excess(self, mass: np.ndarray) -> np.ndarray:
        """Share by which a person's force is above a hair less than is allowed, for each weight.

        Infinite beyond a day's work.
        """
        force, allowed, time, _ = self.of_crew(mass)
        return np.where(np.isinf(time), math.inf, force / allowed - 1.0 + TOLERANCE)


def _advice(drum: np.ndarray, force: np.ndarray, allowed: np.ndarray, time: np.ndarray) -> str:
    bearable = np.flatnonzero(force <= allowed)
    if bearable.size == 0:
        lightest = int(np.argmin(force / allowed))
        return form(
            "no drum shown is light enough: {:m} asks {:3N} per person, {:3N} is sustainable. "
            "Take a longer crank, more gear, more parts of line or more people."
        )(drum[lightest], force[lightest], allowed[lightest])
    best = int(bearable[np.argmin(time[bearable])])
    return form(
        "of the drums that the crew can turn, {:m} is the fastest: {} with {:3N} per person."
    )(drum[best], lasting(float(time[best])), force[best])

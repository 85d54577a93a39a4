"""Who stands where: the person who looses, the crew that winds, everyone else.

Every distance here comes from the machine's own sizes, so that places grow with the machine. Two
grounds are told apart. While the counterweight is wound up the sling is empty: what threatens is
the arm and the empty sling if the arm is let go, the counterweight box, and the rope if it parts.
From loading on it is the ground that a projectile can reach. Places are aids to judgement: local
codes, the authority on the site and a licensed person decide.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from slingwright.amounts.text import form
from slingwright.formulas.release.trigger import lanyard_length
from slingwright.machine.machine import Machine
from slingwright.winch.cycle import Winding
from slingwright.winch.hook import HANDY_PULL, SlipHook, hook_of, loosing
from slingwright.winch.rigging import RiggingCheck, rigging_checks

PACE = "shots an hour that are asked for"
BEYOND = 1.05
"""Places are this many times as far from the axle as the edge that they are to be outside of: the
kit's own choice."""
TURN = math.radians(1.0)
"""By this angle places are outside a sector's side: the kit's own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LoosingPlace:
    """Where the person stands who looses, from under the axle [m], and what lanyard that takes.

    `x` and `z` are None where there is no safe place; `needed` is the shortest lanyard that
    reaches one, None where no lanyard does.
    """

    hook_x: float
    hook_y: float
    x: float | None
    z: float | None
    lanyard: float | None  # m, with the slack that lies on the ground
    needed: float | None  # m
    given: float | None  # m, the lanyard that there is, if it was said

    @property
    def found(self) -> bool:
        """Whether there is a safe place that the lanyard reaches."""
        return self.x is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class WindingGround:
    """The ground to keep clear during the winding, no projectile in the sling [m]."""

    sweep: float  # ahead and behind of the axle: arm and empty sling
    half_width: float  # to either side of the plane of the throw
    rope: float  # longest that the tight rope is: it whips back as far, from either end
    spread: float  # rad, to either side of the rope's line
    drum_x: float
    drum_z: float
    arm_x: float  # where the tackle takes the cocked arm
    crew_x: float
    crew_z: float  # of the nearest place of the crew, abreast of the drum, clear of the crank

    def covers(self, x: float, z: float) -> bool:
        """Whether a place [m ahead, m to the side of the winch] lies on this ground."""
        if abs(x) <= self.sweep and abs(z) <= self.half_width:
            return True
        low, high = sorted((self.drum_x, self.arm_x))
        off = abs(z - self.drum_z)
        past = max(low - x, x - high)
        if past < 0.0:
            return off <= 1e-9 * self.sweep
        return math.hypot(past, off) <= self.rope and off <= past * math.tan(self.spread)


def clear_beside(machine: Machine) -> float:
    """Distance to keep clear on every side [m]: what arm and sling sweep, with the margin."""
    return machine.number("site.margin") * (
        machine.number("arm.long") + machine.number("sling.length")
    )


def is_beside(machine: Machine, x: float, z: float) -> bool:
    """Whether a place [m] is outside the sectors, however far they reach, and outside the sweep."""
    off = math.atan2(abs(z), x)
    sideways = machine.number("site.sideways")
    return sideways < off < math.pi - sideways and math.hypot(x, z) > clear_beside(machine)


def loosing_place(
    machine: Machine, lanyard: float | None = None, hook: SlipHook | None = None
) -> LoosingPlace:
    """Find where the person who looses stands: at the side, outside all that is to be kept clear.

    Abreast of the hook where the lanyard reaches that far; as near to it as the sector behind
    leaves room where it does not.

    Args:
        machine: cocked.
        lanyard: the lanyard that there is, with its slack; as long as it takes if None [m].
        hook: where hook and hand are; where its dials say if its place is None.
    """
    h = hook if hook is not None else hook_of(machine)
    n = machine.number
    cocked = n("arm.cocked")
    hook_x = h.hook_x if h.hook_x is not None else -n("hook.on_arm") * math.cos(cocked)
    hook_y = h.hook_y
    if hook_y is None:
        hook_y = n("axle.height") - n("hook.on_arm") * math.sin(cocked)
    away = BEYOND * clear_beside(machine)
    front = n("site.sideways") + TURN
    rear = math.pi - front
    if front >= rear:
        return LoosingPlace(
            hook_x=hook_x,
            hook_y=hook_y,
            x=None,
            z=None,
            lanyard=None,
            needed=None,
            given=lanyard,
        )

    def at(bearing: float) -> tuple[float, float, float]:
        x, z = away * math.cos(bearing), away * math.sin(bearing)
        return x, z, lanyard_length(hook_x, hook_y, x, z, h.hand_y, h.slack)

    abreast = math.acos(max(-1.0, min(1.0, hook_x / away)))
    choices = [at(min(rear, max(front, abreast))), at(rear if hook_x < 0.0 else front)]
    needed = min(length for _, _, length in choices)
    fits = [one for one in choices if lanyard is None or one[2] <= lanyard]
    x, z, length = fits[0] if fits else (None, None, None)
    return LoosingPlace(
        hook_x=hook_x, hook_y=hook_y, x=x, z=z, lanyard=length, needed=needed, given=lanyard
    )


def placed(machine: Machine, hook: SlipHook) -> tuple[SlipHook, str]:
    """Fill in the places that a hook leaves open, and say what is wrong with the person's place.

    A person's place that was given stands as it is, and is only judged.
    """
    found = loosing_place(machine, hook=hook)
    x = found.x if hook.person_x is None else hook.person_x
    z = found.z if hook.person_z is None else hook.person_z
    wrong = ""
    if x is None or z is None:
        wrong = (
            "No safe place to loose from: the ground to keep clear leaves no side free; loose from "
            "a shelter that a licensed person has judged."
        )
    elif not is_beside(machine, x, z):
        wrong = form(
            "The person who looses would stand inside the ground to keep clear: {:3m} along and "
            "{:3m} beside; keep farther than {:3m} from the axle and out of the sectors ahead and "
            "behind, or leave both places empty."
        )(x, z, clear_beside(machine))
    filled = replace(hook, hook_x=found.hook_x, hook_y=found.hook_y, person_x=x, person_z=z)
    return filled, wrong


def winding_checks(machine: Machine, wound: Winding, throw: Any = None) -> list[RiggingCheck]:
    """Check the winding gear, and what looses: the hook, its lanyard, who pulls it; worst first.

    Args:
        machine: the machine wound.
        wound: its winding.
        throw: of the same machine; with it the winch is held clear of sling and projectile too.

    Raises:
        UnknownMaterial: kind of rope, knot or use has no row in the tables.
    """
    hook, wrong = placed(machine, hook_of(machine))
    away = clear_beside(machine)
    stands = 0.0 if hook.person_x is None else math.hypot(hook.person_x, hook.person_z or 0.0)
    asked: list[tuple[str, float, float | None, str, str, str]] = [
        (
            *("place of the person who looses", away, 0.0 if wrong else stands, "m"),
            "site.margin times what arm and sling sweep, outside the sectors ahead and behind",
            wrong,
        ),
        (
            *(PACE, machine.number("crew.loosings"), wound.loosings_an_hour, "-"),
            "winding, and what loading or the crew's rest takes after it",
            "thicker drum or more people, if the crew can, or less crew.serve_time",
        ),
    ]
    holds, pull = (
        "friction that the hook needs to hold",
        "pull on the lanyard at twice the friction",
    )
    try:
        found = loosing(wound.hook_load, hook, wrong)
        asked += [
            (
                *(holds, found.friction_that_holds, hook.slippery, "-"),
                "moments about the pivot with friction circles, against hook.slippery",
                found.words,
            ),
            (
                *(pull, found.pull_at_double_friction, HANDY_PULL, "N"),
                "EN 1005-3:2002 Table 1 (from memory)",
                found.words,
            ),
        ]
    except ValueError as error:
        asked.append((holds, 0.0, None, "-", "moments about the pivot", str(error)))
    rows = [
        RiggingCheck(
            name=name,
            demand=demand,
            capacity=capacity,
            unit=unit,
            source=source,
            advice=advice,
            at_least=unit == "m",
            is_piece=False,
        )
        for name, demand, capacity, unit, source, advice in asked
    ]
    return sorted([*rigging_checks(wound, throw), *rows], key=lambda row: -row.utilisation)


def winding_ground(machine: Machine) -> WindingGround:
    """Find the ground to keep clear during the winding, and where the crew stands."""
    n = machine.number
    cocked, on_arm = n("arm.cocked"), n("winch.on_arm")
    drum_x, drum_z = n("winch.x"), n("winch.aside")
    upright = (0.0, n("axle.height") + on_arm)
    half_width = 0.5 * n("axle.span")
    return WindingGround(
        sweep=n("arm.long") + n("sling.length"),
        half_width=half_width,
        rope=math.dist(upright, (drum_x, n("winch.y"))),
        spread=n("site.sideways"),
        drum_x=drum_x,
        drum_z=drum_z,
        arm_x=-on_arm * math.cos(cocked),
        crew_x=drum_x,
        crew_z=BEYOND * (max(half_width, drum_z) + n("winch.crank")),
    )

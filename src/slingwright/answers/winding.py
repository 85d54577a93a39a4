"""Winding the machine down: the whole cycle from rest to cocked, from statics.

The arm stands upright at rest and is drawn down slowly; at each elevation gravity and the
friction of axle and hanger pin are in balance with the rope, in the rope's true direction. Two
riggings: a tackle from a block on the frame to the arm; and a rope led over a block on the frame to
a winch that stands further out, on a bolted extension of the same member.

Caution: nobody under a raised weight or arm, nobody in line with or in the bight of a rope under
tension, nobody near the handles but those who wind. Local rules and a licensed engineer go before
these numbers.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, Protocol

import numpy as np

from slingwright.formulas import crew, drum, hauling, sheaves

LEAST_LEVER = 0.02  # of where the rope takes the arm: below this share the arm counts as dead
DEAD_TURNS = 3.0  # turns that stay on the drum under its fastening: common practice


class Dials(Protocol):
    """Anything that gives SI values by dial path: a machine, or a plain mapping."""

    def __getitem__(self, path: str, /) -> Any:
        """Give the value of a dial."""
        ...


class WindingError(ValueError):
    """The machine cannot be wound as it is rigged: names the thing, the value and the next step."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rig:
    """How the winch is built and rigged, past the dials of the machine file."""

    kind: Literal["tackle", "led"] = "tackle"
    off_arm: float = 0.0  # m, rope's point below the arm's axis when the arm lies level
    extension: float = 1.0  # m, from the inner bolts to the winch
    rope_height: float = 0.15  # m, rope's line above the axis of the member it runs along
    member_slope: float = 0.0  # rad, of that member above the horizontal
    drum_width: float = 0.6  # m, between the flanges
    gear_efficiency: float = 0.95  # common practice, one pair of cut teeth and its bearings
    ratchet_share: float = 1.25  # radius at which the pawl bears, over the drum's
    handle_mass: float = 6.0  # kg, of all handles, at the crank's radius: common practice
    drum_inertia: float = 0.0  # kg m^2, of drum and gear; 0 gives the higher runaway speed
    hand_speed: float = crew.HAND_SPEED  # m/s
    day: float = 4 * 3600.0  # s, over which the crew is to keep going
    other_time: float = 600.0  # s a loosing: set, load, clear the ground, loose; common practice
    start: float = 0.5 * math.pi  # rad, elevation at rest
    steps: int = 181  # elevations, an odd number


@dataclass(frozen=True, slots=True, kw_only=True)
class Winding:
    """The whole cycle. Arrays run from rest to cocked, shape (n,); SI."""

    rig: Rig
    elevation: np.ndarray
    lever: np.ndarray  # m, rope's line from the axle
    tackle_pull: np.ndarray  # N, on the arm, winding
    lowering_tackle_pull: np.ndarray  # N, on the arm, easing back
    line_pull: np.ndarray  # N, at the drum, winding
    lowering_line_pull: np.ndarray  # N, at the drum, easing back
    rope_taken: np.ndarray  # m, onto the drum
    drum_turns: np.ndarray
    rope_radius: np.ndarray  # m, of the layer that fills
    force_per_person: np.ndarray  # N, at the handle, winding
    holding_force: np.ndarray  # N, at the handles together, easing back, gear friction helping
    block_along: np.ndarray  # N, on the frame's block along its member, rearward negative
    block_across: np.ndarray  # N, on the frame's block across its member, up positive
    winch_along: np.ndarray  # N, on the winch along the member
    winch_across: np.ndarray  # N, on the winch across the member
    bending_along: np.ndarray  # N m, at the extension's root, by the pull along the member
    bending_across: np.ndarray  # N m, at the extension's root, by the pull across it
    runaway_speed: np.ndarray  # m/s, of the handle, if the pawl slips when cocked
    stored_energy: float  # J
    tackle_work: float  # J, done on the arm
    work: float  # J, at the handles
    lead_line_factor: float
    tackle_efficiency: float
    bearing_efficiency: float
    crank_turns: float
    rope_needed: float  # m, of rope in all
    pawl_load: float  # N, cocked
    winding_time: float  # s, without rest
    rest: float  # s, before the next winding
    loosings_an_hour: float
    handle_speed: float  # m/s, mean while winding
    limit: str  # what sets the time
    danger: str  # what happens if the pawl slips

    @property
    def peak(self) -> int:
        """Index of the elevation at which the handle is heaviest."""
        return int(np.argmax(self.force_per_person))

    @property
    def peak_line_pull(self) -> float:
        """Largest rope tension of the cycle, at the drum [N]."""
        return float(np.max(self.line_pull))

    @property
    def peak_tackle_pull(self) -> float:
        """Largest pull of the whole tackle on the arm [N]."""
        return float(np.max(self.tackle_pull))

    @property
    def outcome(self) -> str:
        """The cycle in one sentence."""
        top = self.peak
        return (
            f"{self.crank_turns:.0f} turns of the crank in {self.winding_time / 60:.1f} min, set "
            f"by {self.limit}; at most {self.force_per_person[top]:.0f} N for each person, with "
            f"the arm at {math.degrees(self.elevation[top]):.0f} deg; {self.loosings_an_hour:.1f} "
            "loosings an hour with rest"
        )


def winding(machine: Dials, rig: Rig | None = None) -> Winding:
    """Work out the whole winding cycle of a machine.

    Raises:
        WindingError: no crew, or the arm outweighs the counterweight, or the sizes make no winch.
        hauling.DeadPoint: the rope's line passes the axle.
    """
    rig = rig if rig is not None else Rig()
    people = _positive(machine, "winch.people", "a crew winds; give one person or more")
    if rig.steps < 5 or rig.steps % 2 == 0:
        raise WindingError(f"{rig.steps} steps: give an odd number of at least 5.")
    cocked = -float(machine["arm.cocked"])
    if not rig.start > cocked:
        raise WindingError(
            f"the start at {math.degrees(rig.start):.1f} deg is not above the cocked arm at "
            f"{math.degrees(cocked):.1f} deg. Start higher."
        )
    gravity = float(machine["site.gravity"])
    moment = _moment(machine)
    elevation = np.linspace(rig.start, cocked, rig.steps)

    path = _Path.of(machine, rig)
    lever = path.lever(elevation)
    hauling.refuse_dead_point(elevation, lever, LEAST_LEVER * path.along)
    length = path.length(elevation)

    torque = hauling.gravity_torque(elevation, moment, gravity)
    direction = path.direction(elevation)
    up = _tackle(machine, torque, lever, direction, gravity, 1.0)
    down = np.maximum(_tackle(machine, torque, lever, direction, gravity, -1.0), 0.0)

    parts = float(machine["winch.parts"])
    turned = parts - 1.0 + path.leads
    ratio = sheaves.friction_ratio(float(machine["winch.sheave_loss"]))
    factor = sheaves.lead_line_factor(parts, ratio, turned)
    easing = sheaves.lead_line_factor(parts, 1.0 / ratio, turned)
    pull, slack_pull = up * factor, down * easing

    size, crank = float(machine["winch.drum"]), float(machine["winch.crank"])
    gear, rope = float(machine["winch.gear"]), float(machine["winch.rope"])
    taken = (length[0] - length) * parts
    turns, radius = drum.drum_state(taken, size, rope, rig.drum_width)
    handles = np.asarray(drum.handle_force(pull, radius, crank, gear, rig.gear_efficiency))
    holding = np.asarray(drum.handle_force(slack_pull, radius, crank, gear, 1.0))
    holding = holding * rig.gear_efficiency

    gained = float(hauling.stored_energy(elevation[-1:], moment, gravity, rig.start)[0])
    on_arm = _integral(up * lever, elevation)
    work = on_arm * parts * factor / rig.gear_efficiency
    way = float(turns[-1]) * gear * 2.0 * math.pi * crank
    by_power = crew.time_for_work(work, people)
    time = max(by_power, way / rig.hand_speed)
    rest = crew.rest_after(work, people, time, rig.day)
    speed = _runaway(machine, rig, elevation, moment, gravity, lever * parts / radius, gear * crank)

    block = hauling.along_and_across(-up * direction[0], -up * direction[1], rig.member_slope)
    winch = block
    if rig.kind == "led":
        # the rope leaves the block along the member, toward the winch further to the rear
        winch = (pull, np.zeros_like(pull))
        block = (block[0] - pull, block[1])
    bending = hauling.extension_bending(winch[0], winch[1], rig.extension, rig.rope_height)

    return Winding(
        rig=rig,
        elevation=elevation,
        lever=lever,
        tackle_pull=up,
        lowering_tackle_pull=down,
        line_pull=pull,
        lowering_line_pull=slack_pull,
        rope_taken=taken,
        drum_turns=turns,
        rope_radius=radius,
        force_per_person=handles / people,
        holding_force=holding,
        block_along=block[0],
        block_across=block[1],
        winch_along=winch[0],
        winch_across=winch[1],
        bending_along=bending[0],
        bending_across=bending[1],
        runaway_speed=speed,
        stored_energy=gained,
        tackle_work=on_arm,
        work=work,
        lead_line_factor=factor,
        tackle_efficiency=1.0 / (parts * factor),
        bearing_efficiency=gained / on_arm,
        crank_turns=float(turns[-1]) * gear,
        rope_needed=float(np.max(length)) * parts
        + (rig.extension if rig.kind == "led" else 0.0)
        + DEAD_TURNS * math.pi * (size + rope),
        pawl_load=drum.pawl_load(
            float(pull[-1]), float(radius[-1]), 0.5 * size * rig.ratchet_share
        ),
        winding_time=time,
        rest=rest,
        loosings_an_hour=3600.0 / (time + max(rest, rig.other_time)),
        handle_speed=way / time,
        limit="crew power" if by_power >= way / rig.hand_speed else "hand speed",
        danger=_danger(elevation, speed, turns, gear),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Path:
    """The rope between arm and frame: a point fixed to the arm, and a block fixed to the frame."""

    along: float
    turn: float
    place: tuple[float, float, float]
    leads: float

    @classmethod
    def of(cls, machine: Dials, rig: Rig) -> _Path:
        """Read the rope's path off a machine."""
        on_arm = _positive(machine, "winch.on_arm", "say where the tackle takes the arm")
        if on_arm > float(machine["arm.long"]):
            raise WindingError(
                f"winch.on_arm {on_arm:g} m is past the tip at {float(machine['arm.long']):g} m. "
                "Take the arm nearer to the axle."
            )
        return cls(
            along=math.hypot(on_arm, rig.off_arm),
            turn=math.atan2(rig.off_arm, on_arm),
            place=(
                float(machine["axle.height"]),
                float(machine["winch.x"]),
                float(machine["winch.y"]),
            ),
            leads=1.0 if rig.kind == "led" else 0.0,
        )

    def lever(self, elevation: np.ndarray) -> np.ndarray:
        """Give the rope's lever about the axle [m]."""
        return hauling.rope_lever(elevation - self.turn, self.along, *self.place)

    def length(self, elevation: np.ndarray) -> np.ndarray:
        """Give the distance from arm to block [m]."""
        return hauling.rope_length(elevation - self.turn, self.along, *self.place)

    def direction(self, elevation: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Give the direction of the rope's pull on the arm."""
        return hauling.rope_direction(elevation - self.turn, self.along, *self.place)


def _moment(machine: Dials, counterweight: float | None = None) -> float:
    """Give the first moment of mass that turns the arm up [kg m]."""
    mass = float(machine["counterweight.mass"]) if counterweight is None else counterweight
    try:
        return hauling.weight_moment(
            mass,
            float(machine["arm.short"]),
            float(machine["arm.mass"]),
            float(machine["arm.balance"]),
            float(machine["sling.mass"]) + float(machine["sling.pouch"]),
            float(machine["arm.long"]),
        )
    except ValueError as error:
        raise WindingError(str(error)) from error


def _tackle(
    machine: Dials,
    torque: np.ndarray,
    lever: np.ndarray,
    direction: tuple[np.ndarray, np.ndarray],
    gravity: float,
    sense: float,
) -> np.ndarray:
    """Give the pull on the arm with the friction of axle and hanger pin [N]."""
    weight = gravity * float(machine["counterweight.mass"])
    pin = 0.0
    if machine["counterweight.hung"]:
        pin = float(machine["hanger.friction"]) * 0.5 * float(machine["hanger.pin"]) * weight
    rest = float(machine["arm.mass"]) + float(machine["sling.mass"])
    rest += float(machine["sling.pouch"])
    drag = float(machine["axle.friction"]) * 0.5 * float(machine["axle.diameter"])
    whole = weight + gravity * rest
    return hauling.tackle_load(torque, lever, direction, whole, drag, pin, sense)


def _runaway(
    machine: Dials,
    rig: Rig,
    elevation: np.ndarray,
    moment: float,
    gravity: float,
    drum_a_radian: np.ndarray,
    handle: float,
) -> np.ndarray:
    """Give the speed of the handle at each elevation, if the pawl slips when cocked [m/s]."""
    short, long = float(machine["arm.short"]), float(machine["arm.long"])
    inertia = float(machine["arm.inertia"])
    inertia += float(machine["arm.mass"]) * float(machine["arm.balance"]) ** 2
    inertia += float(machine["counterweight.mass"]) * short**2
    if not machine["counterweight.hung"]:
        inertia += float(machine["counterweight.inertia"])
    inertia += (float(machine["sling.mass"]) + float(machine["sling.pouch"])) * long**2
    turned = rig.drum_inertia + rig.handle_mass * handle**2
    given = hauling.stored_energy(elevation[-1:], moment, gravity, 0.0)[0]
    given = given - hauling.stored_energy(elevation, moment, gravity, 0.0)
    return drum.runaway_speed(given, inertia + turned * drum_a_radian**2, drum_a_radian * handle)


def _danger(elevation: np.ndarray, speed: np.ndarray, turns: np.ndarray, gear: float) -> str:
    """Say what the handle does when the pawl slips."""
    back = (turns[-1] - turns) * gear
    half = float(np.interp(0.5, back[::-1], speed[::-1]))
    top = int(np.argmax(speed))
    return (
        f"if the pawl slips with the arm cocked and nothing brakes, the handle runs back: "
        f"{half:.1f} m/s after half a turn, up to {speed[top]:.0f} m/s with the arm at "
        f"{math.degrees(elevation[top]):.0f} deg. That breaks arms and kills. Never let go with "
        "the pawl out; use a second pawl or a brake, and take the handles off once the hook holds"
    )


def _integral(values: np.ndarray, elevation: np.ndarray) -> float:
    """Give the integral over falling elevation by Simpson's rule on evenly spaced points."""
    step = (elevation[0] - elevation[-1]) / (len(elevation) - 1)
    inner = 4.0 * np.sum(values[1:-1:2]) + 2.0 * np.sum(values[2:-1:2])
    return float(step / 3.0 * (values[0] + inner + values[-1]))


def _positive(machine: Dials, path: str, ask: str) -> float:
    """Give a dial that must be above 0."""
    value = float(machine[path])
    if not value > 0.0:
        raise WindingError(f"{path} is {value:g}, and {ask}.")
    return value


def with_dials(machine: Dials, changes: Mapping[str, Any]) -> Dials:
    """Give a view of a machine with some of its dials set otherwise, for sweeps."""
    return _View(base=machine, changes=dict(changes))


@dataclass(frozen=True, slots=True, kw_only=True)
class _View:
    base: Dials
    changes: dict[str, Any]

    def __getitem__(self, path: str, /) -> Any:
        return self.changes[path] if path in self.changes else self.base[path]

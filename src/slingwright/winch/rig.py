"""How the machine is wound down: the numbers that a machine has, and those that the rigging adds.

`WinchRig` holds which way the rope is led, what it is made of, how long the drum is, what blocks
are rated for; `WinchNumbers` what winding needs of the rest. Both are read off a machine's dials.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import Any, Protocol

from slingwright.formulas.winch import crew, hauling
from slingwright.machine.table import dials
from slingwright.machine.table.winding_dials import RIGGINGS

LEAD_SHARE = 0.6
"""Where a led rope's lead block stands if not given: this share of the winch's distance."""
OAK = 700.0  # kg/m^3, of a solid drum: about English oak, 640 to 720 (diracdelta.co.uk)
CRANK_MASS = 8.0  # kg, both cranks at their handles, common practice


_PATHS = {
    "gravity": "site.gravity", "axle_height": "axle.height", "cocked": "arm.cocked",
    "arm_long": "arm.long", "arm_short": "arm.short", "arm_mass": "arm.mass",
    "arm_balance": "arm.balance", "arm_inertia": "arm.inertia",
    "counterweight_mass": "counterweight.mass", "counterweight_inertia": "counterweight.inertia",
    "box_width": "counterweight.width", "box_height": "counterweight.height",
    "drum": "winch.drum", "crank": "winch.crank", "gear": "winch.gear", "parts": "winch.parts",
    "sheave_loss": "winch.sheave_loss", "people": "winch.people", "rope": "winch.rope",
    "winch_x": "winch.x", "winch_y": "winch.y", "on_arm": "winch.on_arm", "aside": "winch.aside",
}  # fmt: skip
"""Numbers of a winch that are dials as they stand."""
_ABOVE_ZERO = ("gravity", "axle_height", "arm_long", "arm_short", "counterweight_mass")


class HasDials(Protocol):
    """Anything that gives a dial's SI value for its path, as a Machine does."""

    def __getitem__(self, path: str) -> Any:
        """Give the value of a dial."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WinchRig:
    """How the machine is rigged. None means not known."""

    rigging: str = "tackle"  # tackle: from the winch straight to the arm; led: over a lead block
    lead_x: float | None = None  # m, lead block, forward of the axle positive
    lead_y: float | None = None  # m, lead block, above the ground
    drum_width: float = 0.6  # m, between the flanges, of each half where there are two
    share: float = 1.0  # of the pull that the most loaded of two ropes takes
    gear_efficiency: float = 0.95  # of gear and drum bearings, common practice
    ratchet: float | None = None  # m, radius at which the pawl bears; 5 cm outside the drum if None
    teeth: float = 24.0  # of the ratchet
    handle_inertia: float | None = None  # kg m^2 about the crank's axis; estimated if None
    hand_speed: float = crew.HAND_SPEED  # m/s
    working_share: float = 1.0  # of the time; handspikes shipped again: about half, common practice
    serve_time: float = 300.0  # s, to load, clear the ground and loose, common practice
    day: float = 14400.0  # s, over which the crew keeps going
    member_slope: float = 0.0  # rad, of the frame member that carries the winch; 0 for a sill
    overhang: float = 1.0  # m, from the member's inner bolts to the winch
    offset: float = 0.15  # m, of the rope's line above the member's own axis
    rope_kind: str = "manila"
    rope_use: str = "fibre rope, winding"
    end: str = "eye splice"  # how the rope is made fast
    sheave_kind: str = "fibre rope"
    rope_length: float | None = None  # m
    sheave: float | None = None  # m, diameter of the smallest sheave
    arm_block_rating: float | None = None  # N, marked on the block at the arm
    frame_block_rating: float | None = None  # N, marked on the block at the frame
    shackle_rating: float | None = None  # N, marked on the shackle at the arm
    hook_rating: float | None = None  # N, marked on the hook that holds the arm
    pawl_rating: float | None = None  # N
    hook_on_arm: float | None = None  # m, from the axle along the long arm; its tip if None
    hook_x: float | None = None  # m, anchor of the hook's line; straight down if None
    hook_y: float = 0.0  # m, of that anchor, above the ground

    def __post_init__(self) -> None:
        if self.rigging not in RIGGINGS:
            raise ValueError(f"rigging {self.rigging!r} is not known. Give 'tackle' or 'led'.")
        if self.rigging == "led" and (self.lead_x is None or self.lead_y is None):
            raise ValueError(
                "a led rope has no lead block: lead_x and lead_y are not given. Say where on the "
                "frame the block stands, in metres."
            )
        if not 0.0 < self.working_share <= 1.0:
            raise ValueError(
                f"share of the time turning {self.working_share:g} is outside 0 to 1. Give 1 for a "
                "crank, about 0.5 for handspikes."
            )
        if not 0.5 <= self.share <= 1.0:
            raise ValueError(
                f"share of the most loaded rope {self.share:g} is outside 0.5 to 1. Give 1 unless "
                "the two ropes meet in an equaliser."
            )
        for name in ("drum_width", "hand_speed", "day"):
            if not getattr(self, name) > 0.0:
                raise ValueError(f"{name} {getattr(self, name):g} is not above 0.")
        if self.serve_time < 0.0:
            raise ValueError(f"serve_time {self.serve_time:g} s is below 0.")


@dataclass(frozen=True, slots=True, kw_only=True)
class WinchNumbers:
    """What winding needs of a machine, in SI."""

    gravity: float
    axle_height: float
    arm_long: float
    arm_short: float
    arm_mass: float
    arm_balance: float
    arm_inertia: float  # about the arm's own centre of mass
    cocked: float
    counterweight_mass: float
    counterweight_inertia: float
    hung: bool
    hanger: float
    box_width: float
    box_height: float
    tip_mass: float
    cords: float  # kg, on the tip while the projectile lies in the trough
    axle_drag: float  # m, friction coefficient times radius
    hanger_drag: float  # m
    drum: float
    crank: float
    gear: float
    parts: float
    sheave_loss: float
    people: float
    rope: float
    winch_x: float
    winch_y: float
    on_arm: float
    aside: float  # from the plane of the throw to the nearest of drum and rope, which runs along it

    def __post_init__(self) -> None:
        for name in _ABOVE_ZERO:
            if not getattr(self, name) > 0.0:
                raise ValueError(
                    f"{dials.dial(_PATHS[name]).named} is {getattr(self, name):g}, not above 0. "
                    "Give its true value."
                )
        if not self.people > 0.0:
            raise ValueError(
                f"{dials.dial('winch.people').named} is {self.people:g}: nobody winds. Give one "
                "person or more."
            )
        if self.parts != round(self.parts) or self.parts < 1:
            raise ValueError(
                f"{dials.dial('winch.parts').named} is {self.parts:g}: they are counted. Give 1, "
                "2, 3 or more."
            )
        if not 0.0 < self.on_arm <= self.arm_long:
            raise ValueError(
                f"{dials.dial('winch.on_arm').named} is {self.on_arm:g} m, outside the long arm of "
                f"{self.arm_long:g} m. "
                "Give where the rope takes the arm, from the axle."
            )
        if self.aside < 0.0:
            raise ValueError(
                f"{dials.dial('winch.aside').named} is {self.aside:g} m, below 0. Give 0 or more."
            )
        if not -0.5 * math.pi < self.cocked < 0.5 * math.pi:
            raise ValueError(
                f"{dials.dial('arm.cocked').named} is {math.degrees(self.cocked):.1f} deg, outside "
                "-90 to 90 deg."
            )

    @property
    def ropes(self) -> int:
        """Winding ropes: two, one on each side, where the drum stands in two halves."""
        return 2 if self.aside > 0.0 else 1

    @property
    def moment(self) -> float:
        """First moment of mass about the axle, that turns the long arm up [kg m]."""
        arm, tip = (self.arm_mass, self.arm_balance), (self.tip_mass, self.arm_long)
        return hauling.weight_moment(self.counterweight_mass, self.arm_short, *arm, *tip)

    @property
    def inertia(self) -> float:
        """Moment of inertia about the axle, a hinged counterweight taken at its pin [kg m^2]."""
        own = 0.0 if self.hung else self.counterweight_inertia
        return (
            self.counterweight_mass * self.arm_short**2
            + own
            + self.arm_inertia
            + self.arm_mass * self.arm_balance**2
            + self.tip_mass * self.arm_long**2
        )

    @property
    def weight(self) -> float:
        """Weight of all that turns on the axle [N]."""
        return self.gravity * (self.counterweight_mass + self.arm_mass + self.tip_mass)

    @property
    def hanger_torque(self) -> float:
        """Friction torque of the hanger pin; 0 for a fixed counterweight [N m]."""
        return self.hanger_drag * self.counterweight_mass * self.gravity if self.hung else 0.0


def winch_numbers(machine: HasDials) -> WinchNumbers:
    """Read what winding needs off a machine.

    Raises: ValueError: a dial that winding needs has no value; names the dial.
    """

    def number(path: str) -> float:
        value = machine[path]
        if value is None:
            raise ValueError(
                f"{dials.dial(path).named} has no value, and winding needs it. Give it in the "
                "machine."
            )
        return float(value)

    hung = bool(machine["counterweight.hung"])
    return WinchNumbers(
        **{name: number(path) for name, path in _PATHS.items()},
        hung=hung,
        hanger=number("counterweight.hanger") if hung else 0.0,
        tip_mass=number("sling.mass") + number("sling.pouch"),
        cords=0.5 * number("sling.mass"),
        axle_drag=number("axle.friction") * 0.5 * number("axle.diameter"),
        hanger_drag=number("hanger.friction") * 0.5 * number("hanger.pin") if hung else 0.0,
    )


_RIG_PATHS = {
    row.key: row.path
    for name in ("crew", "rig", "rope", "mark")
    for row in dials.group(name)
    if row.key in {field.name for field in fields(WinchRig)}
} | {f"hook_{key}": f"hook.{key}" for key in ("on_arm", "x", "y")}
"""What the rigging reads off the dials, by its own names."""


def rig_of(machine: HasDials) -> WinchRig:
    """Read the rigging off a machine's dials; what it does not say is not known."""
    given = {key: machine[path] for key, path in _RIG_PATHS.items()}
    if given["rigging"] == "led":
        if given["lead_x"] is None:
            given["lead_x"] = LEAD_SHARE * machine["winch.x"]
        if given["lead_y"] is None:
            given["lead_y"] = machine["winch.y"]
    return WinchRig(**given)


def ratchet_of(numbers: WinchNumbers, rig: WinchRig) -> float:
    """Radius at which the pawl bears, 5 cm outside the drum if it is not given [m]."""
    return rig.ratchet if rig.ratchet is not None else 0.5 * numbers.drum + 0.05


def handle_inertia(numbers: WinchNumbers, rig: WinchRig) -> float:
    """Moment of inertia of drum and cranks about the crank's axis [kg m^2].

    As given, or for a solid oak drum (or two halves) and two cranks: only an estimate.
    """
    if rig.handle_inertia is not None:
        return rig.handle_inertia
    mass = OAK * 0.25 * math.pi * numbers.drum**2 * rig.drum_width * numbers.ropes
    return mass * numbers.drum**2 / 8.0 / numbers.gear**2 + CRANK_MASS * numbers.crank**2

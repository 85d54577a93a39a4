"""The whole winding cycle: from the arm upright to the arm held, and back down again.

Slow motion: nothing is accelerated. The weight hangs straight down (or sits on the arm), the rope
pulls along its true line, every sheave and bearing takes its share, and the handles do the work.

Danger stands on this page: people near a tight rope, under a raised weight, at a crank whose pawl
may slip. Keep everyone but the crew away, stand outside the line of every rope, put the safety pin
in before hands leave the crank, and follow local codes and a competent person's word.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount, Text, form, text
from slingwright.formulas.winch import crew, drum, hauling
from slingwright.winch.path.course import course, crew_time, integrals, lasting
from slingwright.winch.path.place import REST
from slingwright.winch.path.reeving import Reeving
from slingwright.winch.rig import (
    HasDials,
    WinchNumbers,
    WinchRig,
    handle_inertia,
    rig_of,
    winch_numbers,
)

if TYPE_CHECKING:
    from slingwright.winch.load_cell.comparison import Overlay
    from slingwright.winch.load_cell.trace import LoadTrace


@dataclass(frozen=True, slots=True, kw_only=True)
class MemberPull:
    """What the rope does to one place of the frame, over the cycle. Arrays of shape (n,)."""

    place: str
    along: np.ndarray  # N, along the member, forward positive
    across: np.ndarray  # N, across the member, up positive
    bending_along: np.ndarray  # N m, at the root of the winch's extension, by the pull along
    bending_across: np.ndarray  # N m, by the pull across; both 0 at a lead block on the frame


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Winding(Answer):
    """One winding of a machine. Arrays have shape (n,), from rest to cocked."""

    numbers: WinchNumbers
    rig: WinchRig
    reeving: Reeving
    elevation: np.ndarray  # rad
    torque: np.ndarray  # N m, of gravity about the axle
    lever: np.ndarray  # m, of the rope about the axle
    taken: np.ndarray  # m, rope on the drum
    turns: np.ndarray  # of the crank
    arm_pull: np.ndarray  # N, of the whole tackle on the arm, winding
    rope_pull: np.ndarray  # N, at the drum, winding
    arm_pull_lowering: np.ndarray  # N
    rope_pull_lowering: np.ndarray  # N
    rope_pull_ideal: np.ndarray  # N, without any loss
    handle: np.ndarray  # N, all hands together, winding
    handle_lowering: np.ndarray  # N, all hands together, holding back
    frame: tuple[MemberPull, ...]
    work: float  # J, at the handles
    stored: float  # J, gained by the weights
    lost_in_bearings: float  # J, axle and hanger
    lost_in_sheaves: float  # J
    lost_in_gear: float  # J
    energy_error: float  # of hand force times way less what is stored and lost, over what is stored
    peak_rope_pull: float  # N
    peak_rope_elevation: float  # rad
    peak_arm_pull: float  # N
    force_per_person: float  # N, largest of the cycle
    peak_handle_elevation: float  # rad
    force_allowed: float  # N, for one person over the winding time
    crank_turns: float
    rope_taken: float  # m
    rope_needed: float  # m, with dead turns
    layers: int
    winding_time: float  # s
    time_limit: str  # crew power or hand speed
    rest_time: float  # s
    loosings_an_hour: float
    power_per_person: float  # W, mean of the winding time
    pawl_load: float  # N, largest
    runaway_speed: float  # m/s, of the handles, highest on the way if nothing holds
    runaway_after_one_turn: float  # m/s
    hook_load: float  # N, on the hook that holds the arm
    outcome: Text

    @property
    def sentence(self) -> Text:
        """How the winding goes, and what to change where it does not."""
        return self.outcome

    def rows(self) -> Iterator[Row]:
        """Give what the crew pushes, how long it takes, and what rope, hook and pawl take."""
        kept = text("sustainable ", Amount(self.force_allowed, "N", 3))
        yield Row("force", "Force per person", Amount(self.force_per_person, "N"), kept)
        turns = f"{self.crank_turns:.0f} turns of the crank, limited by {self.time_limit}"
        yield Row("time", "Winding time", Amount(self.winding_time, "s", 3), turns)
        hour = text(f"{self.loosings_an_hour:.2g} shots an hour")
        yield Row("rest", "Rest of the crew", Amount(self.rest_time, "s", 3), hour)
        place = text("arm at ", Amount(self.peak_rope_elevation, "rad", 2))
        yield Row("rope", "Rope, largest pull", Amount(self.peak_rope_pull, "N"), place)
        yield Row("arm", "Tackle on the arm, largest", Amount(self.peak_arm_pull, "N", 3))
        yield Row("hook", "Hook load, held", Amount(self.hook_load, "N"))
        yield Row("pawl", "Pawl", Amount(self.pawl_load, "N", 3))
        taken = text(Amount(self.rope_taken, "m", 3), " of it on the drum")
        each = "Rope needed" if self.numbers.ropes == 1 else "Rope needed, each of two"
        yield Row("rope_needed", each, Amount(self.rope_needed, "m", 3), taken)
        for one in self.frame:
            along, across, bent = (
                float(np.max(np.abs(force)))
                for force in (one.along, one.across, one.bending_along + one.bending_across)
            )
            note = form("across its member, {:3N} along it")(along)
            if one.place == "winch":
                bends = form("{}; bends an extension of {:2m} by {:3N m} at its bolts")
                note = bends(note, self.rig.overhang, bent)
            yield Row(f"frame.{one.place}", f"Frame, {one.place}", Amount(across, "N", 3), note)
        after = text(Amount(self.runaway_after_one_turn, "m/s", 2), " after one turn")
        yield Row("runaway", "Handle let go", Amount(self.runaway_speed, "m/s", 2), after)
        work = form("of {:J} at the handles, {:3W} a person")(self.work, self.power_per_person)
        yield Row("stored", "Energy stored", Amount(self.stored, "J", 3), work)
        yield Row("efficiency", "Of the crew's work", Amount(self.efficiency, "share", 3), "stored")

    @property
    def one_rope(self) -> float:
        """Share of all pulls that the most loaded rope takes, with its blocks and shackle."""
        return self.rig.share if self.numbers.ropes > 1 else 1.0

    def against(self, trace: LoadTrace, **options: Any) -> Overlay:
        """Lay a load cell's trace over this winding; options and errors as for `overlay`."""
        from slingwright.winch.load_cell.comparison import overlay

        return overlay(trace, self, **options)

    @property
    def efficiency(self) -> float:
        """Stored energy over work at the handles."""
        return self.stored / self.work


def winding(machine: HasDials, rig: WinchRig | None = None, steps: int = 241) -> Winding:
    """Follow one winding of a machine.

    Args:
        steps: elevations looked at, an odd number.

    Raises: ValueError: a dial without value, a weight too light to wind, no crew, a drum with no
        room; hauling.DeadPoint: the rope's line passes the axle at some elevation.
    """
    return follow(winch_numbers(machine), rig if rig is not None else rig_of(machine), steps)


def follow(numbers: WinchNumbers, rig: WinchRig, steps: int = 241) -> Winding:
    """Follow one winding, from numbers already read."""
    n = numbers
    way = course(n, rig, steps)
    elevation, lever, parts = way.elevation, way.lever, way.parts
    moment = n.moment
    torque = hauling.gravity_torque(elevation, moment, n.gravity)
    arm_pull = way.arm_pull(n, 1.0)
    arm_lowering = np.maximum(way.arm_pull(n, -1.0), 0.0)
    rope_pull, rope_lowering = arm_pull * way.reeving.hauled, arm_lowering * way.reeving.eased
    taken, drum_turns, radius = way.taken, way.drum_turns, way.radius
    reeving = replace(
        way.reeving,
        arm_pull=arm_pull, arm_pull_lowering=arm_lowering,
        radius=radius, drum_turns=drum_turns, dead=way.dead,
    )  # fmt: skip
    handle = np.asarray(drum.handle_force(rope_pull, radius, n.crank, n.gear, rig.gear_efficiency))
    handle_lowering = rope_lowering * radius * rig.gear_efficiency / (n.gear * n.crank)

    work = float(integrals(rope_pull * parts * lever, elevation)) / rig.gear_efficiency
    # Each loss by itself, against the force of the hands times their way along the crank's turns.
    stored = float(hauling.stored_energy(elevation[-1:], moment, n.gravity, REST)[0])
    on_axle = np.hypot(arm_pull * way.direction[0], arm_pull * way.direction[1] - n.weight)
    in_bearings = float(integrals(n.axle_drag * on_axle + n.hanger_torque, elevation))
    in_sheaves = float(integrals(way.lost_at_sheaves(n, arm_pull), elevation))
    by_hands = float(np.trapezoid(handle, drum_turns * n.gear * 2.0 * math.pi * n.crank))
    in_gear = (1.0 - rig.gear_efficiency) * work
    balance = by_hands - stored - in_bearings - in_sheaves - in_gear

    crank_turns = float(drum_turns[-1]) * n.gear
    time, time_limit = crew_time(n, rig, work, crank_turns)
    rest = crew.rest_after(work, n.people, time, rig.day)
    force = float(np.max(handle)) / n.people
    allowed = crew.force_allowed(time)
    fastest, first = _runaway(n, rig, elevation, lever, radius, drum_turns, moment)
    peak_rope, peak_handle = int(np.argmax(rope_pull)), int(np.argmax(handle))
    return Winding(
        numbers=n, rig=rig, reeving=reeving,
        elevation=elevation, torque=torque, lever=lever, taken=taken, turns=drum_turns * n.gear,
        arm_pull=arm_pull, arm_pull_lowering=arm_lowering,
        rope_pull=rope_pull, rope_pull_lowering=rope_lowering,
        rope_pull_ideal=torque / lever / parts,
        handle=handle, handle_lowering=handle_lowering, frame=_frame_pulls(reeving),
        work=work, stored=stored, lost_in_bearings=in_bearings, lost_in_sheaves=in_sheaves,
        lost_in_gear=in_gear, energy_error=balance / stored,
        peak_rope_pull=float(rope_pull[peak_rope]), peak_arm_pull=float(np.max(arm_pull)),
        peak_rope_elevation=float(elevation[peak_rope]),
        peak_handle_elevation=float(elevation[peak_handle]),
        force_per_person=force, force_allowed=allowed, crank_turns=crank_turns,
        rope_taken=float(taken[-1]), rope_needed=reeving.needed, layers=reeving.layers,
        winding_time=time, time_limit=time_limit, rest_time=rest,
        loosings_an_hour=3600.0 / (time + max(rest, rig.serve_time)),
        power_per_person=work / (n.people * time),
        pawl_load=float(np.max(reeving.pawl)), hook_load=reeving.hook_load,
        runaway_speed=fastest, runaway_after_one_turn=first,
        outcome=_outcome(n, force, allowed, time, crank_turns),
    )  # fmt: skip


def _runaway(
    numbers: WinchNumbers,
    rig: WinchRig,
    elevation: np.ndarray,
    lever: np.ndarray,
    radius: np.ndarray,
    drum_turns: np.ndarray,
    moment: float,
) -> tuple[float, float]:
    """Handle speed if the pawl slips when all is wound: the highest, and after one turn."""
    back = slice(None, None, -1)
    ratio = lever * round(numbers.parts) * numbers.gear * numbers.crank / radius
    inertia = numbers.inertia + handle_inertia(numbers, rig) * (ratio / numbers.crank) ** 2
    given = moment * numbers.gravity * (np.sin(elevation) + math.sin(numbers.cocked))
    speed = drum.runaway_speed(given, inertia, ratio)
    turned = (drum_turns[-1] - drum_turns) * numbers.gear
    first = float(np.interp(1.0, turned[back], speed[back]))
    return float(np.max(speed)), first


def _frame_pulls(reeving: Reeving) -> tuple[MemberPull, ...]:
    rig, forces = reeving.rig, {"winch": reeving.force("frame")}
    if rig.rigging == "led":
        blocks = [reeving.force(key) for key in reeving.pieces if key.startswith("frame_block")]
        forces["lead block"] = np.sum(blocks, axis=0)
        forces["winch"] = forces["winch"] - forces["lead block"]
    found = []
    for place, force in forces.items():
        along, across = hauling.along_and_across(force[:, 0], force[:, 1], rig.member_slope)
        overhang, offset = (rig.overhang, rig.offset) if place == "winch" else (0.0, 0.0)
        by_along, by_across = hauling.extension_bending(along, across, overhang, offset)
        found.append(MemberPull(place=place, along=along, across=across,
                                bending_along=by_along, bending_across=by_across))  # fmt: skip
    return tuple(found)


def _outcome(
    numbers: WinchNumbers, force: float, allowed: float, time: float, crank_turns: float
) -> Text:
    crew_words = "1 person winds" if numbers.people == 1 else f"{numbers.people:g} people wind"
    first = form("{} it down in {} and {:.0f} turns, with at most {:3N} per person")(
        crew_words, lasting(time), crank_turns, force
    )
    if force <= allowed:
        return form("{}; {:3N} is sustainable for that long.")(first, allowed)
    return form(
        "{}: too heavy, {:3N} is sustainable for that long. Take a smaller drum, a longer "
        "crank, more gear, more parts of line or more people."
    )(first, allowed)

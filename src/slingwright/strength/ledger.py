"""The load path: every part that a force runs through from projectile to ground, and its checks.

A part without a check stands in it as such, so that nothing is left out without a word.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount
from slingwright.amounts.verdict import whole
from slingwright.machine.machine import Machine
from slingwright.strength.cases import LoadCase
from slingwright.strength.check import Check

Measure = Callable[[Machine, LoadCase], float]
NO_CHECK = "not checked"


def _always(machine: Machine) -> bool:
    return True


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A part of the path: its name, the force it takes in a case [N] in words, its checks' keys.

    `stands` says whether a machine has it; `measure` is None where no force of a case is its own.
    """

    name: str
    takes: str = ""
    measure: Measure | None = None
    keys: tuple[str, ...] = ()
    stands: Callable[[Machine], bool] = _always


def _hung(machine: Machine) -> bool:
    return machine.flag("counterweight.hung")


def _wheels(machine: Machine) -> bool:
    return machine.flag("base.wheels")


def _staked(machine: Machine) -> bool:
    return not _wheels(machine)


def _supported(machine: Machine) -> bool:
    return machine.number("axle.support") > 0.0


def _one_side(machine: Machine, case: LoadCase) -> float:
    return case.axle_load * machine.number("frame.share")


def _strap(machine: Machine, case: LoadCase) -> float:
    return case.pin_load / machine.number("hanger.straps")


def _sideways(machine: Machine, case: LoadCase) -> float:
    return case.axle_load * machine.number("frame.side_share")


SIDE = "the larger share of the axle's load"
LINKS: tuple[Link, ...] = (
    Link(
        name="pouch",
        takes="pull at the pouch",
        measure=lambda m, c: c.pouch_tension,
        keys=("sling.pouch",),
    ),
    Link(
        name="cords of the sling and their knots",
        takes="pull of one cord",
        measure=lambda m, c: c.cord_tension,
        keys=("sling.cords", "sling.one_cord"),
    ),
    Link(name="ring of the sling, eyes of its cords and seams of the pouch"),
    Link(
        name="prong",
        takes="half the sling's pull, on the ring",
        measure=lambda m, c: c.prong_force,
        keys=("prong.bending", "prong.fatigue", "prong.one_cord"),
    ),
    Link(
        name="arm",
        takes="largest shear along it",
        measure=lambda m, c: float(c.shear.max()),
        keys=(
            *("arm.bending", "arm.bending_near_tip", "arm.at_hole", "arm.shear", "arm.splice"),
            *("arm.split_at_hole", "arm.split_at_pin", "arm.on_axle", "pin.in_arm"),
            "arm.one_cord",
        ),
    ),
    Link(name="hub of the arm on the axle, and the trigger"),
    Link(
        name="axle",
        takes="force of the arm",
        measure=lambda m, c: c.axle_load,
        keys=("axle.bending", "axle.shear", "axle.bending_with_shear", "axle.fatigue"),
    ),
    Link(
        name="bushings of the axle",
        takes=SIDE,
        measure=_one_side,
        keys=("axle.bushing_pressure", "axle.bushing_speed", "axle.bushing_heat"),
    ),
    Link(
        name="support pieces under the axle",
        takes=SIDE,
        measure=_one_side,
        keys=("support.bending", "support.shear"),
        stands=_supported,
    ),
    Link(name="what holds the axle's support pieces", stands=_supported),
    Link(
        name="hanger pin",
        takes="force of the weight",
        measure=lambda m, c: c.pin_load,
        keys=("pin.bending", "pin.shear", "pin.bending_with_shear", "pin.in_straps", "pin.fatigue"),
        stands=_hung,
    ),
    Link(
        name="straps",
        takes="pull of one strap",
        measure=_strap,
        keys=("strap.tension", "strap.around_pin", "strap.fatigue"),
    ),
    Link(
        name="bolts of the straps",
        takes="force of one bolt",
        measure=lambda m, c: _strap(m, c) / m.number("hanger.bolts"),
        keys=(
            *("strap.bolts_in_box", "strap.bolts_in_shear"),
            *("strap.bolts_in_strap", "strap.bolts_apart"),
        ),
    ),
    Link(
        name="sides of the box and their joints",
        takes="force of the weight",
        measure=lambda m, c: c.pin_load,
        keys=("box.sides", "box.joints"),
    ),
    Link(
        name="floor of the box",
        takes="force of the weight",
        measure=lambda m, c: c.pin_load,
        keys=("box.floor",),
    ),
    Link(
        name="sway of the counterweight box toward the legs",
        takes="force sideways on it",
        measure=lambda m, c: c.pin_load * m.number("frame.side_share"),
        keys=("box.sway", "rails.box"),
        stands=lambda m: _hung(m) or m["rails.gap"] is not None,
    ),
    Link(name="guide rails themselves", stands=lambda m: m["rails.gap"] is not None),
    Link(
        name="head of an A-frame",
        takes=SIDE,
        measure=_one_side,
        keys=("axle.on_frame", "joint.head"),
    ),
    Link(
        name="legs and brace of an A-frame",
        takes=SIDE,
        measure=_one_side,
        keys=(
            *("leg.compression", "leg.tension", "leg.split_at_brace", "brace.axial"),
            *("joint.brace", "joint.edges", "joint.ends", "frame.one_cord"),
        ),
    ),
    Link(name="ends of legs and braces past their last bolt, beyond those that the sizes set"),
    Link(
        name="side braces",
        takes="force sideways",
        measure=_sideways,
        keys=(
            *("side_brace.compression", "joint.side_brace"),
            *("ground.overturning_sideways", "ground.wind"),
        ),
    ),
    Link(
        name="feet and sills",
        takes="the larger share of the ground's push",
        measure=lambda m, c: float(abs(c.base_force[:, 1]).max()) * m.number("frame.share"),
        keys=(
            *("joint.foot", "leg.on_sill", "sill.axial"),
            *("sill.bending", "sill.shear", "sill.soft_corner"),
        ),
    ),
    Link(name="cross sills and what ties the frames together"),
    Link(
        name="boards and bearers of the trough",
        takes="push of the projectile",
        measure=lambda m, c: 0.0 if c.throw is None else float(c.throw.trough_force.max()),
        keys=("trough.boards", "trough.bearers"),
    ),
    Link(name="what the trough's bearers lie on"),
    Link(
        name="axles of the wheels",
        takes="half the larger share of the ground's push",
        measure=lambda m, c: float(abs(c.base_force[:, 1]).max()) * m.number("frame.share") / 2.0,
        keys=("wheel.axle",),
        stands=_wheels,
    ),
    Link(
        name="wheels themselves, the ground under them, and chocks: on wheels it rolls",
        stands=_wheels,
    ),
    Link(
        name="ground under the sills",
        takes="its force along the throw",
        measure=lambda m, c: c.base_slide,
        keys=(
            *("ground.sliding", "ground.pressure", "ground.overturning"),
            *("ground.soft_corner", "ground.soft_corner_tips"),
        ),
        stands=_staked,
    ),
    Link(name="stakes and anchors in the ground, beyond the hold that a dial sets"),
)
"""From the projectile to the ground, by way of arm and axle, the weight's own way among them."""
UNCHECKED = tuple(link.name for link in LINKS if not link.keys and link.stands is _always)
"""Parts that carry load and have no check in any machine."""


def not_checked(machine: Machine) -> tuple[str, ...]:
    """Name the parts between projectile and ground that have no check, for this machine."""
    return tuple(link.name for link in LINKS if not link.keys and link.stands(machine))


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class LoadPath(Answer):
    """The path of a machine's forces: a row a part, what it takes at most, and its checks."""

    machine: Machine
    cases: tuple[LoadCase, ...]
    checks: tuple[Check, ...]

    @property
    def sentence(self) -> str:
        """How many parts the path has, and how many of them no check looks at."""
        own = [link for link in LINKS if link.stands(self.machine)]
        left = len(not_checked(self.machine))
        return f"{len(own)} parts carry the load from projectile to ground; {left} have no check."

    def rows(self) -> Iterator[Row]:
        """Give each part: the largest force of all cases, without load factor, and its checks."""
        found = {check.key: check for check in self.checks}
        for link in LINKS:
            if not link.stands(self.machine):
                continue
            most: Amount | str = ""
            words = link.takes
            if (measure := link.measure) is not None:
                loads = [(measure(self.machine, case), case.name) for case in self.cases]
                force, name = max(loads)
                most, words = Amount(force, "N"), f"{link.takes}, {name}"
            has = [found[key] for key in link.keys if key in found]
            told = NO_CHECK
            if has:
                worst = max(has, key=lambda one: (not one.passes, one.utilisation))
                told = f"{whole(one.verdict for one in has)}, {len(has)} looked at: {worst.name}"
            yield Row(link.name, link.name, most, "; ".join(filter(None, (words, told))))

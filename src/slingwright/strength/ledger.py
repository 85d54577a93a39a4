"""The load path: every part that a force runs through from projectile to ground, and its checks.

A part without a check stands in it as such, so that nothing is left out without a word.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount
from slingwright.amounts.verdict import whole
from slingwright.machine.machine import Machine
from slingwright.strength.check import Check
from slingwright.strength.loads.cases import LoadCase

Measure = Callable[[Machine, LoadCase], float]
NO_CHECK = "not checked"


def _always(machine: Machine) -> bool:
    return True


@dataclass(frozen=True, slots=True)
class Link:
    """A part of the path: its name, its checks' keys, the force [N] it takes in a case, in words.

    `stands` says whether a machine has it; `measure` is None where no force of a case is its own.
    """

    name: str
    keys: tuple[str, ...] = ()
    takes: str = ""
    measure: Measure | None = None
    stands: Callable[[Machine], bool] = _always


def _supported(machine: Machine) -> bool:
    return machine.number("axle.support") > 0.0


def _railed(machine: Machine) -> bool:
    return machine["rails.gap"] is not None


def _wheels(machine: Machine) -> bool:
    return machine.flag("base.wheels")


def _one_side(machine: Machine, case: LoadCase) -> float:
    return case.axle_load * machine.number("frame.share")


def _strap(machine: Machine, case: LoadCase) -> float:
    return case.pin_load / machine.number("hanger.straps")


def _pin(machine: Machine, case: LoadCase) -> float:
    return case.pin_load


def _ground(machine: Machine, case: LoadCase) -> float:
    return float(abs(case.base_force[:, 1]).max()) * machine.number("frame.share")


SIDE = "the larger share of the axle's load"
WEIGHT = "force of the weight"
LINKS: tuple[Link, ...] = (
    Link("pouch", ("sling.pouch",), "pull at the pouch", lambda m, c: c.pouch_tension),
    Link("cords of the sling and their knots", ("sling.cords", "sling.one_cord"),
         "pull of one cord", lambda m, c: c.cord_tension),
    Link("ring of the sling, eyes of its cords and seams of the pouch"),
    Link("prong", ("prong.bending", "prong.fatigue", "prong.one_cord"),
         "half the sling's pull, on the ring", lambda m, c: c.prong_force),
    Link("arm",
         ("arm.bending", "arm.bending_near_tip", "arm.at_hole", "arm.shear", "arm.splice",
          "arm.split_at_hole", "arm.split_at_pin", "arm.on_axle", "pin.in_arm", "arm.one_cord"),
         "largest shear along it", lambda m, c: float(c.shear.max())),
    Link("hub of the arm on the axle, and the trigger"),
    Link("axle", ("axle.bending", "axle.shear", "axle.bending_with_shear", "axle.fatigue"),
         "force of the arm", lambda m, c: c.axle_load),
    Link("bushings of the axle",
         ("axle.bushing_pressure", "axle.bushing_speed", "axle.bushing_heat"), SIDE, _one_side),
    Link("support pieces under the axle", ("support.bending", "support.shear"),
         SIDE, _one_side, _supported),
    Link("what holds the axle's support pieces", stands=_supported),
    Link("hanger pin",
         ("pin.bending", "pin.shear", "pin.bending_with_shear", "pin.in_straps", "pin.fatigue"),
         WEIGHT, _pin, lambda m: m.flag("counterweight.hung")),
    Link("straps", ("strap.tension", "strap.around_pin", "strap.fatigue"),
         "pull of one strap", _strap),
    Link("bolts of the straps",
         ("strap.bolts_in_box", "strap.bolts_in_shear", "strap.bolts_in_strap",
          "strap.bolts_apart"),
         "force of one bolt", lambda m, c: _strap(m, c) / m.number("hanger.bolts")),
    Link("sides of the box and their joints", ("box.sides", "box.joints"), WEIGHT, _pin),
    Link("floor of the box", ("box.floor",), WEIGHT, _pin),
    Link("sway of the counterweight box toward the legs", ("box.sway", "rails.box"),
         "force sideways on it", lambda m, c: c.pin_load * m.number("frame.side_share"),
         lambda m: m.flag("counterweight.hung") or _railed(m)),
    Link("guide rails themselves", stands=_railed),
    Link("head of an A-frame", ("axle.on_frame", "joint.head"), SIDE, _one_side),
    Link("legs and brace of an A-frame",
         ("leg.compression", "leg.tension", "leg.split_at_brace", "brace.axial", "joint.brace",
          "joint.edges", "joint.ends", "frame.one_cord"), SIDE, _one_side),
    Link("ends of legs and braces past their last bolt, beyond those that the sizes set"),
    Link("side braces",
         ("side_brace.compression", "joint.side_brace", "ground.overturning_sideways",
          "ground.wind"),
         "force sideways", lambda m, c: c.axle_load * m.number("frame.side_share")),
    Link("feet and sills",
         ("joint.foot", "leg.on_sill", "sill.axial", "sill.bending", "sill.shear",
          "sill.soft_corner"), "the larger share of the ground's push", _ground),
    Link("cross sills and what ties the frames together"),
    Link("boards and bearers of the trough", ("trough.boards", "trough.bearers"),
         "push of the projectile",
         lambda m, c: 0.0 if c.throw is None else float(c.throw.trough_force.max())),
    Link("what the trough's bearers lie on"),
    Link("axles of the wheels", ("wheel.axle",), "half the larger share of the ground's push",
         lambda m, c: _ground(m, c) / 2.0, _wheels),
    Link("wheels themselves, the ground under them, and chocks: on wheels it rolls",
         stands=_wheels),
    Link("ground under the sills",
         ("ground.sliding", "ground.pressure", "ground.overturning", "ground.soft_corner",
          "ground.soft_corner_tips"),
         "its force along the throw", lambda m, c: c.base_slide, lambda m: not _wheels(m)),
    Link("stakes and anchors in the ground, beyond the hold that a dial sets"),
)  # fmt: skip
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

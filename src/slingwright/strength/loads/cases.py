"""The load cases of a machine: every load of its brief, and what goes wrong, thrown and at rest.

A light projectile or an empty sling is no light case: less of the weight's energy leaves with
the projectile, and what stays swings arm and counterweight box the harder.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from typing import Any

import numpy as np

from slingwright.formulas.arm.loads import ArmLines, arm_lines
from slingwright.machine.machine import BriefLoad, Machine
from slingwright.machine.table import dials
from slingwright.motion.held import held
from slingwright.motion.known import FIRST_UNITS, LEAST_UNITS, follow
from slingwright.motion.spread.scatter import near_copies
from slingwright.motion.throwing import Throw
from slingwright.strength.loads.arm import (
    ArmMass,
    arm_mass_line,
    arm_peaks,
    larger_at_axle,
    unit_lines,
)
from slingwright.strength.loads.bending import ArmBeam, Bending, arm_beam, bending_of
from slingwright.strength.loads.brief import (
    EMPTY,
    brief_loads,
    ends,
    frozen,
    own_load,
    sharing_out,
    with_load,
)
from slingwright.winch.cycle import winding

OFF_RELEASE = math.radians(15.0)
"""How far early and late the ring is taken to slip."""
HOIST_FACTOR = 1.2
"""Jerk of a hoist worked by hand, as a factor on the load: common practice."""
STATIONS = 61
LOADS = ("sling_tension", "cord_tension", "pouch_tension", "prong_force", "turning_rate")
COPIES, COPY_SEED, COPY_UNITS = 8, 1, 16.0
"""Near copies that stand beside a motion whose loads come after its first slack, and for how many
natural times they are followed."""
LATER, MATTERS = 0.8, 0.5
"""From which part of a case's own largest load, and of that of all cases, a load after the first
slack asks for near copies."""
TOLERANCE = 1e-8
"""Of the throws: peaks up to the first slack stand within 0.1 % of those at 1e-12, by a test."""
WIND_STEPS = 61

KINDS: Mapping[str, str] = {
    "brief": "",
    "empty": "with nothing to carry the arm outruns the weight and swings it hardest",
    "early": "the ring slips early: what the projectile leaves stays in arm and counterweight",
    "late": "the ring slips late, while the projectile already brakes the arm",
    "ring": "the projectile stays on the sling and is swung round with the arm",
    "held": "the weight hangs still and the hook holds the arm",
    "winding": "the tackle pulls the arm down against the weight",
    "hoist": "the arm lies level, where the weight's lever is longest, and the load jerks",
}
"""Kinds of cases, and why one of them may govern."""
MISHAPS: Mapping[str, str] = {"ring": "a ring that never slips"}
"""Kinds that no throw meets that goes as planned, nor one loosed a little off; and their name."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LoadCase:
    """What one case does to the machine.

    `axle_force` is the axle's force on the arm at each moment, up at rest; `base_force` the
    ground's force on the base and `base_moment` its moment about the point under the axle. Cases
    at rest have the moments of their own motion (`time` counts them). `copies` are the same case of
    near copies of the machine, where the loads come after the first slack: one motion is one sample
    there, and the largest of all, told as the loads of this case, is what about nine in ten stay
    below; the histories are its own. Those of a ring that never slips carry the projectiles between
    the lightest and the heaviest, even in ratio. `bending` is what the arm's own bending adds:
    moment, shear and the forces of axle and pin hold it where the load's pulse is short. `note`
    says what kept a case from being what its name says, `followed` how far its motion is known, and
    `cut` what happens at `until`, past which nothing is known; it is empty for a motion that is
    known throughout.
    """

    name: str
    kind: str
    time: np.ndarray  # (n,) s
    elevation: np.ndarray  # (n,) rad, of the arm
    axle_force: np.ndarray  # (n, 2) N
    pin_force: np.ndarray  # (n, 2) N, the pin's force on the weight
    base_force: np.ndarray  # (n, 2) N
    base_moment: np.ndarray  # (n,) N m
    position: np.ndarray  # (stations,) m, along the arm from the axle
    moment: np.ndarray  # (stations,) N m, largest by size over time; at the axle of both arms'
    shear: np.ndarray  # (stations,) N, likewise
    arm_pull: np.ndarray  # (stations,) N, along the arm, likewise
    sling_tension: float  # N, all cords together
    cord_tension: float  # N, of one: once the ring has slipped half of them hang on the arm
    pouch_tension: float  # N
    prong_force: float  # N
    turning_rate: float  # rad/s, fastest of the arm
    projectile: float  # kg
    throw: Throw | None = None
    note: str = ""
    until: float = math.inf  # s
    cut: str = ""
    followed: str = "at rest"
    final: bool = True
    copies: tuple[LoadCase, ...] = ()
    bending: Bending | None = None
    axle_load: float = field(init=False)  # N, largest size of the axle force
    pin_load: float = field(init=False)  # N, largest size of the force in the hanger pin

    def __post_init__(self) -> None:
        """Find the largest loads once: many checks ask for them."""
        axle = float(np.hypot(self.axle_force[:, 0], self.axle_force[:, 1]).max())
        if self.throw is not None:
            axle = max(axle, self.throw.peak_axle_load)
        axle = max([axle, *(one.axle_load for one in self.copies)])
        object.__setattr__(self, "axle_load", axle)
        pin = float(np.hypot(self.pin_force[:, 0], self.pin_force[:, 1]).max())
        pin = max([pin, *(one.pin_load for one in self.copies)])
        object.__setattr__(self, "pin_load", pin)

    @property
    def thrown(self) -> Throw:
        """The throw of a case that is no case at rest."""
        assert self.throw is not None
        return self.throw

    def bends(self, part: str = "") -> str:
        """Say that loads carry the arm's bending; for `axle` or `pin` of one motion how much."""
        every = [b for b in (one.bending for one in (self, *self.copies)) if b and b.carried]
        if not every:
            return ""
        if part and not self.copies:
            return f", {every[0].factor(part):.3g} times a rigid arm's as the arm bends"
        return ", the arm's own bending counted"

    @property
    def peak_moment(self) -> float:
        """Largest moment in the arm [N m]."""
        return float(self.moment.max())

    @property
    def base_lift(self) -> float:
        """Least force of the ground upward; below 0 where the base would lift [N]."""
        return min(float(one.base_force[:, 1].min()) for one in (self, *self.copies))

    @property
    def base_slide(self) -> float:
        """Largest horizontal force on the ground [N]."""
        return max(float(np.abs(one.base_force[:, 0]).max()) for one in (self, *self.copies))

    def at_axle_peak(self) -> str:
        """Say when and where the axle carries most."""
        most = max(self.copies, key=lambda one: one.axle_load, default=self)
        one = most if most.axle_load == self.axle_load else self
        at = int(np.argmax(np.hypot(one.axle_force[:, 0], one.axle_force[:, 1])))
        raised = f"{math.degrees(one.elevation[at]):.0f} deg"
        if one.throw is None:
            return f"with the arm at {raised}"
        bends = replace(one, copies=()).bends("axle")
        beside = "" if one is self else ", in the worst of its near copies"
        if self.kind == "ring" and one is not self:
            beside += " and of the projectiles between"
        return f"at {one.time[at]:.2f} s, with the arm at {raised}{beside}{bends}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Governing:
    """Which case loads a part most: the part, the case, how much [unit], and why in words."""

    part: str
    case: str
    value: float
    unit: str
    words: str


def load_cases(machine: Machine, *, quick: bool = False, only: str = "") -> tuple[LoadCase, ...]:
    """Work out every load case of a machine.

    Cases: each load of the brief and the machine's own projectile, the empty sling, a release
    15 degrees early and late, a ring that never slips (heaviest and lightest load), held and
    cocked, being wound, and hoisting by the arm. A load that this machine cannot take is left out;
    see `cases_and_failures`.
    """
    return cases_and_failures(machine, quick=quick, only=only)[0]


@lru_cache(maxsize=8)
def cases_and_failures(
    machine: Machine, *, quick: bool = False, only: str = ""
) -> tuple[tuple[LoadCase, ...], Mapping[str, str]]:
    """Work out every load case, and say of each that cannot be why not, by its name.

    Args:
        quick: whether motions are followed for a first look alone; such cases are not final.
        only: name of the one throw that is wanted, beside the cases at rest; all if there is none
            of that name.
    """
    still = frozen(machine)
    line = arm_mass_line(machine, STATIONS)
    unit = unit_lines(line)
    loads = tuple(brief_loads(machine))
    own, outer = own_load(machine), ends(loads)
    angle, limits = machine.number("release.angle"), dials.dial("release.angle")
    low, high = limits.lowest, limits.highest

    def released(off: float) -> Machine:
        return still.change({"release.angle": min(max(angle + off, low), high)})

    machines: dict[BriefLoad, Machine] = {}

    def loaded(load: BriefLoad) -> Machine:
        if load not in machines:
            machines[load] = with_load(still, load)
        return machines[load]

    makers: list[tuple[str, str, Callable[[], Machine]]] = [
        *((load.name, "brief", partial(loaded, load)) for load in loads),
        (EMPTY.name, "empty", partial(loaded, EMPTY)),
        *(
            (f"{own.name}, released 15 deg {when}", when, partial(released, off))
            for when, off in (("early", OFF_RELEASE), ("late", -OFF_RELEASE))
        ),
        *(
            (f"{load.name}{also}, ring never slips", "ring", partial(loaded, load))
            for load, also in outer.items()
        ),
    ]
    cases: list[LoadCase] = []
    failures: dict[str, str] = {}
    makers = [maker for maker in makers if maker[0] == only] or makers
    beam = arm_beam(machine, line, unit) if machine.number("arm.mass") > 0.0 else None
    of = {name: partial(_thrown_case, name, kind, line, unit, beam) for name, kind, _ in makers}
    units = FIRST_UNITS if quick else LEAST_UNITS

    def followed(name: str, maker: Callable[[], Machine]) -> LoadCase | str:
        try:
            return of[name](maker(), units)
        except ValueError as error:
            return str(error).splitlines()[0]

    with ThreadPoolExecutor(os.cpu_count()) as pool:
        # The compiled code lets go of the interpreter.
        names = [name for name, *_ in makers]
        every = pool.map(followed, names, [maker for *_, maker in makers])
        for name, found in zip(names, every, strict=True):
            if isinstance(found, str):
                failures[name] = found
            else:
                cases.append(found)
        if not quick:
            cases = list(_with_near_copies(cases, of, tuple(outer), pool))
    cases += [_held_case(machine, line), _wound_case(machine, line), _hoist_case(machine, line)]
    return tuple(cases), failures


def with_copies(cases: tuple[LoadCase, ...]) -> tuple[LoadCase, ...]:
    """Give every case, each with its near copies behind it."""
    return tuple(one for case in cases for one in (case, *case.copies))


def governing(cases: tuple[LoadCase, ...]) -> tuple[Governing, ...]:
    """Tell which case loads each part most, and why."""
    measures = (
        ("axle", "N", lambda c: c.axle_load, "largest axle load"),
        ("hanger pin", "N", lambda c: c.pin_load, "largest pin load"),
        ("arm", "N m", lambda c: c.peak_moment, "largest moment in the arm"),
        ("sling", "N", lambda c: c.sling_tension, "largest pull in the sling"),
        ("base, lifting", "N", lambda c: -c.base_lift, "least force on the ground"),
        ("base, sliding", "N", lambda c: c.base_slide, "largest horizontal force on the ground"),
    )
    found = []
    for part, unit, measure, what in measures:
        worst = max(cases, key=measure)
        when = f" {worst.at_axle_peak()}" if part == "axle" else ""
        planned = [case for case in cases if case.kind == "brief"]
        usual = ""
        if worst.kind != "brief" and planned:
            most = max(planned, key=measure)
            usual = f"; of the throws that go as planned it is {most.name}: {why(most, cases)}"
        words = f"{what}{when}: {why(worst, cases)}{usual}"
        value = abs(measure(worst))
        found.append(Governing(part=part, case=worst.name, value=value, unit=unit, words=words))
    return tuple(found)


def why(case: LoadCase, cases: tuple[LoadCase, ...]) -> str:
    """Say in a few words why a case may govern."""
    if case.kind != "brief":
        return KINDS[case.kind]
    masses = [other.projectile for other in cases if other.kind == "brief"]
    if len(masses) < 2 or min(masses) == max(masses):
        return "this projectile's own throw"
    if case.projectile == min(masses):
        return "the lightest projectile takes the least energy away, so arm and box keep it"
    if case.projectile == max(masses):
        return "the heaviest projectile pulls hardest on the sling and slows the arm most"
    return "this projectile leaves the arm with the most speed at the worst moment"


# ---- within


CaseOf = Callable[[Machine, float], LoadCase]
"""The case that a machine makes when it is followed for some natural times."""


def _with_near_copies(
    cases: Sequence[LoadCase],
    of: Mapping[str, CaseOf],
    ends: tuple[BriefLoad, ...],
    pool: Executor,
) -> Iterator[LoadCase]:
    """Set near copies beside each case whose loads come after its first slack and may govern.

    Those of a ring that never slips share out the loads between the two `ends`, heaviest first: a
    load between them may be caught the hardest.
    """
    largest = np.max([_late_and_all(case)[1] for case in cases], axis=0) if cases else 0.0
    started = []
    for case in cases:
        late, own = _late_and_all(case)
        shared = case.kind == "ring" and len(ends) == 2
        copies: Sequence[Machine] = ()
        if shared or np.any((late > LATER * own) & (late > MATTERS * largest)):
            copies = list(near_copies(case.thrown.machine, COPIES, COPY_SEED))
        if shared:
            load, other = ends if case.projectile == ends[0].mass else ends[::-1]
            copies = list(sharing_out(copies, load, other))
        started.append(pool.map(of[case.name], copies, [COPY_UNITS] * len(copies)))
    for case, beside in zip(cases, started, strict=True):
        copied = tuple(beside)
        yield _enveloping(case, copied) if copied else case


def _enveloping(case: LoadCase, copies: tuple[LoadCase, ...]) -> LoadCase:
    """Give a case the largest loads of its copies; its histories stay its own."""

    largest: dict[str, Any] = {
        name: np.max([getattr(one, name) for one in (case, *copies)], axis=0)
        for name in (*LOADS, "moment", "shear", "arm_pull")
    }
    largest |= {name: float(largest[name]) for name in LOADS}
    return replace(case, copies=copies, **largest)


def _late_and_all(case: LoadCase) -> tuple[np.ndarray, np.ndarray]:
    """Largest axle load, sling tension and push on the ground: past the first slack, and of all."""
    thrown = case.thrown
    loads = np.array([thrown.axle_load, thrown.sling_tension, np.abs(thrown.base_force[:, 0])])
    since = thrown.slack[0][0] if thrown.slack else math.inf
    return loads[:, thrown.time > since].max(axis=1, initial=0.0), loads.max(axis=1)


def _thrown_case(
    name: str,
    kind: str,
    line: ArmMass,
    unit: ArmLines,
    beam: ArmBeam | None,
    machine: Machine,
    units: float,
) -> LoadCase:
    motion = follow(machine, ring=kind == "ring", tolerance=TOLERANCE, units=units)
    thrown = motion.throw
    loads = arm_peaks(thrown, line, unit)
    lasts = beam is not None and thrown.time[-1] > thrown.time[0]
    bending = bending_of(thrown, beam) if beam is not None and lasts else None
    carried = bending.adds if bending and bending.carried else loads
    usual = "never slipped" if kind == "ring" else "released"
    return LoadCase(
        name=name, kind=kind, time=thrown.time, elevation=thrown.arm,
        axle_force=_with_peak(thrown.axle_force, thrown.peak_axle_load)
        * (bending.factor("axle") if bending else 1.0),
        pin_force=thrown.pin_force * (bending.factor("pin") if bending else 1.0),
        base_force=thrown.base_force, base_moment=thrown.base_moment,
        position=loads.position, moment=np.maximum(loads.moment, carried.moment),
        shear=np.maximum(loads.shear, carried.shear), arm_pull=loads.pull,
        sling_tension=float(thrown.sling_tension.max()), cord_tension=_cord_tension(thrown),
        pouch_tension=float(thrown.pouch_tension.max()),
        prong_force=float(thrown.prong_force.max()),
        turning_rate=float(np.abs(thrown.arm_rate).max()),
        projectile=thrown.machine.number("projectile.mass"), throw=thrown,
        note="" if thrown.outcome == usual else thrown.sentence,
        until=motion.until, cut=motion.cut, followed=motion.words, final=motion.final,
        bending=bending,
    )  # fmt: skip


def _cord_tension(thrown: Throw) -> float:
    """Largest pull of one cord [N]: the ring takes half of the cords with it as it slips."""
    cords = thrown.machine.number("sling.cords")
    slipped = math.inf if thrown.release is None else thrown.release.time
    share = np.where(thrown.time > slipped, max(1.0, cords // 2.0), cords)
    return float((thrown.sling_tension / share).max())


def _with_peak(force: np.ndarray, peak: float) -> np.ndarray:
    """Give a force (n, 2) its known peak at the largest sample: a snatch falls between two."""
    size = np.hypot(force[:, 0], force[:, 1])
    at = int(np.argmax(size))
    if not 0.0 < size[at] < peak:
        return force
    told = force.copy()
    told[at] *= peak / size[at]
    return told


def _at_rest(
    name: str,
    kind: str,
    machine: Machine,
    line: ArmMass,
    elevation: np.ndarray,
    pull: tuple[np.ndarray, np.ndarray],
    factor: float = 1.0,
    note: str = "",
    place: str = "winch.on_arm",
) -> LoadCase:
    """Give a case of slow motion: weights hang straight, a rope pulls the arm at `place`.

    `pull` is the rope's force on the arm, (x, y) of shape (n,).
    """
    n = machine.number
    gravity, on_arm = n("site.gravity"), n(place)
    weight = factor * n("counterweight.mass") * gravity
    cords = 0.5 * n("sling.mass") * gravity
    arm = n("arm.mass") * gravity
    sine, cosine = np.sin(elevation), np.cos(elevation)
    across = pull[0] * sine + pull[1] * cosine
    along = -pull[0] * cosine + pull[1] * sine
    lines = arm_lines(
        line.position, line.line_mass, turning_acceleration=np.zeros_like(elevation),
        tip_across=-cords * cosine, hanger_across=-weight * cosine,
        tip_along=-cords * sine, hanger_along=-weight * sine,
        gravity_across=gravity * cosine, gravity_along=gravity * sine,
    )  # fmt: skip
    inside = (line.position >= 0.0) & (line.position < on_arm)
    moment = lines.moment + across[:, None] * np.where(inside, on_arm - line.position, 0.0)
    shear = lines.shear + np.where(inside, across[:, None], 0.0)
    pulled = lines.pull + np.where(inside, along[:, None], 0.0)
    axle = int(np.argmin(np.abs(line.position)))

    def largest(values: np.ndarray, gap: np.ndarray, unheld: np.ndarray) -> np.ndarray:
        before = unheld[:, axle] - gap
        return larger_at_axle(np.abs(np.column_stack([values, before])).max(axis=0), axle)

    total = n("base.mass") * gravity + weight + arm + cords
    count = elevation.size
    return LoadCase(
        name=name, kind=kind, time=np.arange(count, dtype=float), elevation=elevation,
        axle_force=np.column_stack([-pull[0], weight + arm + cords - pull[1]]),
        pin_force=np.column_stack([np.zeros(count), np.full(count, weight)]),
        base_force=np.column_stack([np.zeros(count), np.full(count, total)]),
        base_moment=gravity * _first_moment(machine, factor) * cosine,
        position=line.position, moment=largest(moment, lines.moment_gap, lines.moment),
        shear=largest(shear, lines.shear_gap, lines.shear),
        arm_pull=largest(pulled, lines.pull_gap, lines.pull),
        sling_tension=cords, cord_tension=cords / machine.number("sling.cords"),
        pouch_tension=0.0, prong_force=0.0, turning_rate=0.0, projectile=0.0, note=note,
    )  # fmt: skip


def _held_case(machine: Machine, line: ArmMass) -> LoadCase:
    hold = held(machine)
    name, at = "held and cocked", np.array([-machine.number("arm.cocked")])
    note = ""
    if math.isfinite(hold.hook_load):
        n = machine.number
        dead = (n("counterweight.mass") + n("arm.mass") + 0.5 * n("sling.mass")) * n("site.gravity")
        x, y = hold.axle_force
        pull = np.array([-x]), np.array([dead - y])
    else:
        pull = _straight_down(machine, "hook.on_arm")
        note = "The hook's line passes the axle; a pull straight down is taken."
    return _at_rest(name, "held", machine, line, at, pull, place="hook.on_arm", note=note)


def _wound_case(machine: Machine, line: ArmMass) -> LoadCase:
    n, note = machine.number, ""
    try:
        wound = winding(machine, steps=WIND_STEPS)
    except ValueError as error:
        at, pull = np.array([-n("arm.cocked")]), _straight_down(machine)
        note = f"Not wound as set: {error} A pull straight down is taken."
    else:
        at = wound.elevation
        pull = tuple(wound.reeving.force("arm").T[:2])
    return _at_rest("being wound", "winding", machine, line, at, pull, note=note)


def _hoist_case(machine: Machine, line: ArmMass) -> LoadCase:
    name, pull = "hoisting by the arm", _straight_down(machine, factor=HOIST_FACTOR)
    return _at_rest(name, "hoist", machine, line, np.zeros(1), pull, factor=HOIST_FACTOR)


def _straight_down(
    machine: Machine, place: str = "winch.on_arm", factor: float = 1.0
) -> tuple[np.ndarray, np.ndarray]:
    """Give the pull straight down at a place on the arm that balances the weights, (1,) each."""
    weighs = max(_first_moment(machine, factor), 0.0) * machine.number("site.gravity")
    return np.zeros(1), np.array([-weighs / machine.number(place)])


def _first_moment(machine: Machine, factor: float) -> float:
    """Masses times their levers about the axle, the arm level, positive to the weight [kg m]."""
    n = machine.number
    light = n("arm.mass") * n("arm.balance") + 0.5 * n("sling.mass") * n("arm.long")
    return factor * n("counterweight.mass") * n("arm.short") - light

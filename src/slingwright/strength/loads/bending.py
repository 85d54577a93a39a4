"""The arm bends in its lowest mode while it throws: what that adds to arm, axle and pin.

The motion is that of a rigid arm, and its forces drive the mode; what bends does not change the
motion, but for the masses at the arm's ends, which move with the mode as far as they hang across
the arm. What turns aside freely (weight about its pin, sling about the tip, arm about the axle)
takes the least energy it can. Cords that catch a projectile are a spring on the mode, the
projectile as if the arm did not give: against both moved together that is within 9 % of the moment
on full-size machines, and too much on an arm softer than its cords. Left out: higher modes, the
pull's stiffening of the arm (below 1 %), and a base on wheels. Against a chain of hinged pieces the
largest moments agree within some 4 %, where a rigid arm's are up to a quarter off.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.interpolate import CubicHermiteSpline, PchipInterpolator

from slingwright.formulas.arm.loads import ArmLines
from slingwright.formulas.arm.modes import LumpedMass, bending_modes, driven_mode, mass_felt
from slingwright.machine.machine import Machine
from slingwright.motion.loosely import LOOSE
from slingwright.motion.throwing import Throw
from slingwright.strength.loads.arm import (
    ArmMass,
    arm_mass_line,
    largest_lines,
    sections_of,
    shares_of,
)
from slingwright.tables import materials

DAMPING = 0.01
"""Of critical damping: EN 1995-1-1:2004, 7.3.1(3), timber floors (from memory)."""
FEW_PERIODS = 4.0
"""Pulses shorter than so many natural periods are no slow load: common practice."""
PLACES = 17
"""Places along the arm for its mode: within 0.2 % of five times as many."""
PARTS = 16
"""Into how many parts of a natural period, at least, a motion is cut."""
COARSE = 0.45
"""Part of a short pulse that its samples may be apart; so its moments are known within 4 %."""
NEAR = 0.5
"""Part of the largest moment from which a moment is looked at place by place."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ArmBeam:
    """A machine's arm as it bends in its lowest mode, half of what hangs at each end with it.

    The mode has unit modal mass, so that its deflection is in m sqrt(kg); moment, shear and the gap
    of the shear at the axle are those of a deflection of 1.
    """

    line: ArmMass
    unit: ArmLines
    square: float  # rad2/s2, of its natural rate
    tip: float  # kg, with it at the tip
    pin: float  # kg, and at the pin
    inertia: float  # kg m2, of all that turns with the arm about the axle
    shape: np.ndarray  # (stations,) 1/sqrt(kg)
    pin_slope: float
    axle_slope: float
    by_share: np.ndarray  # (4,) what moves it of each unit load across the arm
    moment: np.ndarray  # (stations,)
    shear: np.ndarray  # (stations,)
    shear_gap: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shaken:
    """What the mode adds in one motion.

    `arm`, `axle` and `pin` are the largest moment and loads over those of a rigid arm; `moment` and
    `shear` the largest along the arm. The arm's moment over time is a rigid arm's and `beside`
    times the beam's.
    """

    arm: float
    axle: float
    pin: float
    moment: np.ndarray  # (stations,) N m
    shear: np.ndarray  # (stations,) N
    time: np.ndarray  # (t,) s
    beside: np.ndarray  # (t,) deflection of the mode beside what the load of the moment holds still


@dataclass(frozen=True, kw_only=True, eq=False)
class Bending:
    """How short the largest load of a motion is against the arm's own period.

    `pulse` is one and a half times as long as the moment at the axle stays above half its largest
    (a half sine's whole length), `period` the arm's natural one then. `unknown` says why what the
    mode adds is not known.
    """

    pulse: float  # s
    period: float  # s
    unknown: str
    work: Callable[[], Shaken]

    @cached_property
    def adds(self) -> Shaken:
        """What the mode adds, worked out when it is first asked for."""
        return self.work()

    @property
    def carried(self) -> bool:
        """Whether the checks carry it: for a pulse shorter than four natural periods."""
        return not self.unknown and self.pulse < FEW_PERIODS * self.period

    def factor(self, part: str) -> float:
        """Factor that the checks carry on a rigid arm's load on `axle` or `pin`; not below 1."""
        return max(1.0, float(getattr(self.adds, part))) if self.carried else 1.0


def arm_beam(machine: Machine, line: ArmMass, unit: ArmLines) -> ArmBeam:
    """Find the lowest mode of a machine's arm.

    Raises: ValueError: an arm without mass, or whose mode cannot be found.
    """
    n = machine.number
    if n("arm.mass") == 0.0:
        raise ValueError("an arm without mass has no frequency; give arm.mass its true value")
    few, s = arm_mass_line(machine, PLACES), line.position
    modulus = materials.timber(machine.text("arm.timber")).modulus_mean
    fixed = not machine.flag("counterweight.hung")
    turning = n("counterweight.inertia") if fixed else 0.0
    pin = n("counterweight.mass") * (1.0 if fixed else 0.5)
    tip = 0.5 * (n("projectile.mass") + n("sling.pouch") + n("sling.mass"))
    at_tip = LumpedMass(mass=tip, position=float(s[-1]))
    at_pin = LumpedMass(mass=pin, position=float(s[0]), inertia=turning)
    with np.errstate(invalid="ignore"):
        bends = modulus * sections_of(machine, few.position, 0.0).inertia
        massive = np.maximum(few.line_mass, 1e-6 * float(few.line_mass.max()))
        found = bending_modes(
            few.position, bends, massive, pinned=(0.0,), lumped=(at_tip, at_pin), count=1
        )
    square = float(2.0 * math.pi * found.frequency[0]) ** 2
    if not math.isfinite(square):
        raise ValueError("the arm is too light or too slender to find how fast it shakes")
    shape = CubicHermiteSpline(few.position, found.shape[0], found.slope[0])(s)
    # Its own inertia, held against the axle: shear and moment of both arms.
    spread = line.line_mass * shape
    before = square * (pin * shape[0] + _from_pin(spread, s))
    beyond = square * tip * shape[-1] + before[-1] - before
    bent, turn = _from_pin(beyond, s), float(found.slope[0, 0])
    ends = tip * s[-1] ** 2 + pin * s[0] ** 2 + turning
    return ArmBeam(
        line=line, unit=unit, square=square, tip=tip, pin=pin,
        inertia=float(np.trapezoid(line.line_mass * s**2, s)) + ends,
        shape=shape, pin_slope=turn,
        axle_slope=float(found.slope[0, np.argmin(np.abs(few.position))]),
        by_share=np.array(
            [shape[-1], shape[0], -np.trapezoid(spread * s, s), -np.trapezoid(spread, s)]
        ),
        moment=np.where(s < 0.0, _from_pin(before, s) - square * turning * turn, bent[-1] - bent),
        shear=np.where(s < 0.0, -before, beyond),
        shear_gap=float((before + beyond)[0]),
    )  # fmt: skip


def bending_of(throw: Throw, beam: ArmBeam, start: float | None = None) -> Bending:
    """Work out how the arm bends in a motion.

    Args:
        start: deflection that it starts with, at rest, as a part of what its load at the first
            moment would hold still; as its hook holds it where none is given.

    Raises: ValueError: a motion that lasts no time.
    """
    time, unit = throw.time, beam.unit
    if not time[-1] > time[0]:
        raise ValueError("the motion lasts no time")
    axle = int(np.argmin(np.abs(beam.line.position)))
    shares, couple = shares_of(throw, beam.line, unit)
    at_axle = shares[:4].T @ unit.moment[:4, axle]
    across = np.stack([np.sin(throw.arm), np.cos(throw.arm)])
    weight = _weight_felt(throw, across)
    tip, pull = _tip_felt(throw, across)
    rate, reach = _rate(beam, tip, np.sum(across * weight, axis=0))
    pulse, apart, at = _pulse(time, np.abs(at_axle))
    period = 2.0 * math.pi / float(rate[at])
    coarse = f"samples {apart:.2g} s apart are too few for a pulse of {pulse:.2g} s"

    def shaken() -> Shaken:
        still = beam.by_share @ shares[:4] - beam.pin_slope * couple
        still = (still - beam.axle_slope * throw.axle_torque) / beam.square
        first = _held(throw, beam) if start is None else start * float(still[0])
        # Cut finely enough for the fastest that the mode is in each step.
        parts = np.ceil(np.diff(time) * rate[1:] * PARTS / (2.0 * math.pi))
        fine = _Finely(np.maximum(1.0, parts).astype(int))
        moments = fine(time)
        rising = time + 1e-12 * np.arange(time.size)  # a step between two samples of one moment
        held_still = PchipInterpolator(rising, still)(moments)
        stretched = pull * reach**2 / beam.square
        beside = _beside(moments, held_still, fine(rate), fine(stretched), first)
        places = fine.near(np.abs(at_axle), np.abs(beam.moment[axle]), beside, NEAR)
        size = np.abs(fine(at_axle, places)) + np.abs(beside[places] * beam.moment[axle])
        places = places[size > NEAR * size.max()]
        rows = np.vstack([fine(np.vstack([shares[:4], couple]), places), beside[places]])
        bent = np.vstack([unit.moment[:4], beam.line.position < 0.0, beam.moment])
        gap = np.array([*unit.moment_gap[:4], -1.0, 0.0])
        sheared = np.vstack([unit.shear[:4], np.zeros_like(beam.shear), beam.shear])
        shear_gap = np.array([*unit.shear_gap[:4], 0.0, beam.shear_gap])
        moment = largest_lines(rows, bent, gap, axle)
        factors = []
        for rigid, moved in (
            (throw.axle_force.T, -beam.shear_gap * across),
            (throw.pin_force.T, -beam.shape[0] * rate**2 * weight),
        ):
            size = np.hypot(*rigid)
            places = fine.near(size, np.hypot(*moved), beside, 1.0)
            most = np.hypot(*(fine(rigid, places) + beside[places] * fine(moved, places))).max()
            factors.append(float(most / max(size.max(), 1e-300)))
        return Shaken(
            arm=float(moment.max() / largest_lines(rows[:5], bent[:5], gap[:5], axle).max()),
            axle=factors[0], pin=factors[1], time=moments, beside=beside,
            moment=moment, shear=largest_lines(rows, sheared, shear_gap, axle),
        )  # fmt: skip

    unknown = coarse if pulse < FEW_PERIODS * period and apart > COARSE * pulse else ""
    return Bending(pulse=pulse, period=period, unknown=unknown, work=shaken)


# ---- within


class _Finely:
    """Straight lines between samples, each interval cut into some parts (n-1,)."""

    def __init__(self, parts: np.ndarray) -> None:
        self.first = np.cumsum(parts) - parts
        self.step = np.append(np.repeat(np.arange(parts.size), parts), parts.size)
        share = np.arange(self.step.size - 1) - self.first[self.step[:-1]]
        self.share = np.append(share / parts[self.step[:-1]], 0.0)

    def __call__(self, rows: np.ndarray, places: np.ndarray | slice = slice(None)) -> np.ndarray:
        """Give rows (..., n) at all places between, or at some of them."""
        step = self.step[places]
        low = rows[..., step]
        high = rows[..., np.minimum(step + 1, rows.shape[-1] - 1)]
        return low + self.share[places] * (high - low)

    def near(
        self, size: np.ndarray, sway: np.ndarray, beside: np.ndarray, part: float
    ) -> np.ndarray:
        """Give all places at which a size (n,) and `beside` times a sway, (n,) or one, may come to
        a part of the largest that the samples show."""
        sway = np.broadcast_to(sway, size.shape)
        shaken = np.maximum.reduceat(np.abs(beside), self.first) * np.maximum(sway[1:], sway[:-1])
        most = np.maximum(size[1:], size[:-1]) + shaken
        least = np.abs(size - np.abs(beside[np.append(self.first, -1)]) * sway).max()
        near = most >= (part - 1e-9) * least
        return np.flatnonzero(np.append(near, near[-1])[self.step])


def _beside(
    time: np.ndarray, still: np.ndarray, rate: np.ndarray, stretched: np.ndarray, start: float
) -> np.ndarray:
    """Deflection (t,) of the mode beside what its load holds still.

    Stretched cords hold the tip as it gives: a spring on the mode, as a part of its own stiffness.
    """
    sprung = 1.0 + stretched
    return driven_mode(time, still / sprung, rate * np.sqrt(sprung), DAMPING, start) - still


def _rate(beam: ArmBeam, tip: np.ndarray, pin: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Natural rate (t,) [rad/s] with these masses at the ends, and how far the tip moves then (t,).

    The shape is kept, and the arm turns so that the whole moves least.
    """
    more_tip, more_pin = tip - beam.tip, pin - beam.pin
    far, near = float(beam.line.position[-1]), float(beam.line.position[0])
    seat, end = float(beam.shape[-1]), float(beam.shape[0])
    both = more_tip * far * seat + more_pin * near * end
    whole = beam.inertia + more_tip * far**2 + more_pin * near**2
    moved = 1.0 + more_tip * seat**2 + more_pin * end**2 - both**2 / whole
    return np.sqrt(beam.square / moved), seat - far * both / whole


def _from_pin(values: np.ndarray, place: np.ndarray) -> np.ndarray:
    """Integrals of values along the arm from its pin to each place."""
    return np.append(0.0, np.cumsum(np.diff(place) * (values[1:] + values[:-1]) / 2.0))


def _tip_felt(throw: Throw, across: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Mass (t,) that the tip feels across the arm, of a taut sling or of loose cords alone, and the
    stiffness (t,) [N/m] of loose cords while they pull."""
    n = throw.machine.number
    cords, length = n("sling.mass"), n("sling.length")
    cosine = np.sum(across * (throw.ball - throw.tip).T, 0) / length
    felt = []
    for carried in (n("projectile.mass"), 0.0):
        end = carried + n("sling.pouch")
        mass = end + cords
        out = length * (end + 0.5 * cords) / mass if mass > 0.0 else 0.0
        inertia = end * (length - out) ** 2 + cords * (length**2 / 12.0 + (out - length / 2.0) ** 2)
        felt.append(mass_felt(mass, out, inertia, np.clip(cosine, -1.0, 1.0)))
    gone = throw.time > (throw.release.time if throw.release else math.inf)
    loose = throw.phase == LOOSE
    pulling = loose & (throw.sling_tension > 0.0)
    with_it = np.where(loose, 0.5 * cords, np.where(gone, felt[1], felt[0]))
    return with_it, np.where(pulling, n("sling.stiffness") * cosine**2, 0.0)


def _weight_felt(throw: Throw, across: np.ndarray) -> np.ndarray:
    """What the weight is felt as (2, t), along x and y, where its pin moves across the arm."""
    n = throw.machine.number
    mass, out = n("counterweight.mass"), n("counterweight.hanger")
    if not throw.machine.flag("counterweight.hung") or out == 0.0:
        return mass * across
    along = (throw.weight - throw.pin).T / out
    turned = mass - mass_felt(mass, out, n("counterweight.inertia"), 0.0)
    return mass * across - turned * (across - np.sum(across * along, 0) * along)


def _held(throw: Throw, beam: ArmBeam) -> float:
    n, gravity = throw.machine.number, throw.machine.number("site.gravity")
    cords, weight, own = 0.5 * n("sling.mass"), n("counterweight.mass"), n("arm.mass")
    sine, cosine = math.sin(throw.arm[0]), math.cos(throw.arm[0])
    x, y = throw.held.axle_force
    pull = -x * sine + ((cords + weight + own) * gravity - y) * cosine
    if not math.isfinite(pull):
        return 0.0
    hooked = float(np.interp(n("hook.on_arm"), beam.line.position, beam.shape))
    loads = gravity * cosine * np.array([-cords, -weight, 0.0, 1.0])
    return float(beam.by_share @ loads + pull * hooked) / beam.square


def _pulse(time: np.ndarray, size: np.ndarray) -> tuple[float, float, int]:
    """Length of the largest pulse, how far apart its samples are [s], and which is the largest."""
    at = int(np.argmax(size))
    half = 0.5 * size[at]
    below = np.flatnonzero(size < half)
    first, last = below[below < at], below[below > at]
    low, high = (first[-1] if first.size else 0), (last[0] if last.size else size.size - 1)
    begins = float(np.interp(half, size[low : low + 2], time[low : low + 2]))
    ends = float(np.interp(half, size[high - 1 : high + 1][::-1], time[high - 1 : high + 1][::-1]))
    return 1.5 * (ends - begins), float(np.diff(time[low : high + 1]).max()), at

"""One throw of a machine: from the compiled motion to a record that answers questions."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from types import ModuleType
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Text, form
from slingwright.machine.machine import Machine
from slingwright.machine.table import dials
from slingwright.motion.account import projectile_share, whole_drop
from slingwright.motion.bodies import first_strike
from slingwright.motion.ends.outcomes import ENDS, OUTCOME, TIP_STRIKES, UNRELEASED, sentence
from slingwright.motion.held import Held, held
from slingwright.motion.loosely import LOOSE, Loose, Touch, emptied, go_on, goes_on
from slingwright.motion.source import code as codegen

PHASES = ("in the trough", "swinging free", "swing-through", "sling loose")
"""Names of the phases that are stepped, by their number less one."""

PER_STEP = 6
ROOM, MOST_STEPS = 1500, 20_000
LONGEST_SWING = 600.0  # s after release
PATIENCE = 20.0
"""How many natural times sqrt((arm.long + sling.length) / g) a phase may last."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Release:
    """The moment the ring slips: time [s], speed [m/s], elevation [rad] of the velocity, place [m],
    arm elevation [rad] and sling lag [rad]."""

    time: float
    speed: float
    elevation: float
    x: float
    y: float
    arm: float
    lag: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Landing:
    """First touch: time since loosing [s], speed [m/s], angle below horizontal [rad], apex [m]."""

    time: float
    speed: float
    angle: float
    apex: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A phase and its time [s]."""

    name: str
    start: float
    end: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Throw(Answer):
    """What a throw did.  Histories share `time` (n,); angles in rad, all else SI.

    `range` is None where nothing landed, `release` and `landing` likewise.  Coordinates: arm
    elevation, hanger angle (0 for a fixed counterweight), sling lag, travel of the base.
    After release `ball` is the empty pouch.  `axle_force` (n, 2) is the axle's force on the arm,
    up at rest; `pin_force` (n, 2) the pin's force on the counterweight; `base_force` (n, 2) the
    ground's force on the base, `base_moment` (n,) its moment about the point under the axle,
    positive where it lifts the front. Energies [J] are changes since the start; they add up to 0
    within `energy_error` times the fall's energy.

    A sling pulls and never pushes: past the first moment at which it would, the pouch moves by
    itself, `slack` [s] are the spans in which its cords hang loose and `touches` its blows on the
    ground.  Histories end where something happens that is not modelled: `ended` says what, and
    `known_until` [s] when; `ended` is empty where they go on as long as was asked, or to rest.
    """

    machine: Machine
    outcome: str
    sentence: str | Text
    notes: tuple[str, ...]
    range: float | None
    release: Release | None
    landing: Landing | None
    held: Held
    spans: tuple[Span, ...]
    known_until: float
    ended: str
    rested: bool
    slack: tuple[tuple[float, float], ...]
    touches: tuple[Touch, ...]
    time: np.ndarray
    phase: np.ndarray
    arm: np.ndarray
    hanger: np.ndarray
    sling: np.ndarray
    base: np.ndarray
    arm_rate: np.ndarray
    hanger_rate: np.ndarray
    sling_rate: np.ndarray
    base_rate: np.ndarray
    arm_acceleration: np.ndarray
    base_acceleration: np.ndarray
    axle: np.ndarray
    tip: np.ndarray
    pin: np.ndarray
    weight: np.ndarray
    ball: np.ndarray
    ball_rate: np.ndarray
    flight_time: np.ndarray
    flight_path: np.ndarray
    axle_force: np.ndarray
    pin_force: np.ndarray
    tip_force: np.ndarray
    sling_tension: np.ndarray
    pouch_tension: np.ndarray
    prong_force: np.ndarray
    trough_force: np.ndarray
    axle_torque: np.ndarray
    base_force: np.ndarray
    base_moment: np.ndarray
    energy_weight: np.ndarray
    energy_arm: np.ndarray
    energy_sling: np.ndarray
    energy_ball: np.ndarray
    energy_base: np.ndarray
    energy_lost: np.ndarray
    peak_axle_load: float
    peak_axle_time: float
    peak_axle_phase: str
    efficiency: float | None
    energy_error: float
    constraint_drift: float
    steps: int
    tolerance: float

    @property
    def forward(self) -> bool:
        """Whether something was thrown, and comes down ahead of the axle."""
        return self.range is not None and self.range > 0.0

    @property
    def energy_shares(self) -> dict[str, float]:
        """Where the counterweight's whole drop is as the ring slips; `efficiency` is the first.

        From held to its lowest hanging height, in shares that add up to 1; empty where nothing
        is thrown.
        """
        if self.release is None:
            return {}
        number, given = self.machine.number, self.machine.moving()
        whole = float(whole_drop(given))
        # Histories have two samples at release, with the projectile and without: the first.
        at = int(np.searchsorted(self.time, self.release.time * (1.0 - 1e-12)))
        ball = float(self.energy_ball[at])
        projectile = whole * float(projectile_share(given, ball))
        force = number("counterweight.mass") * number("site.gravity")
        fallen = force * float(self.weight[0, 1] - self.weight[at, 1])
        won = {
            "projectile": projectile,
            "arm": self.energy_arm[at],
            "sling and pouch": self.energy_sling[at] + ball - projectile,
            "counterweight, moving": fallen + self.energy_weight[at],
            "counterweight, not fallen yet": whole - fallen,
            "base": self.energy_base[at],
            "friction": self.energy_lost[at],
        }
        return {name: float(energy) / whole for name, energy in won.items()}

    @property
    def axle_load(self) -> np.ndarray:
        """Size of the axle force (n,) [N]."""
        return np.hypot(self.axle_force[:, 0], self.axle_force[:, 1])

    def rows(self) -> Iterator[Row]:
        """Give the answers of the throw, one a row."""
        from slingwright.motion.shown.text import throw_rows

        return throw_rows(self)

    def record(self) -> dict[str, Any]:
        """Give the throw as plain numbers in SI, as the command `throw --json` does."""
        from slingwright.motion.shown.text import throw_record

        return throw_record(self.machine, self)

    def plot(self, axes: Any = None, *, system: units.System = "metric") -> Any:
        """Draw the throw: on axes that are given its way alone, else a sheet of four pictures."""
        from slingwright.motion.shown.drawings import draw_path, draw_throw

        if axes is not None:
            return draw_path(axes, self.machine, self, system)
        return draw_throw(self.machine, self, reach_curve(self.machine), system)

    def animate(self, *, slower: float = 3.0, system: units.System = "metric") -> Any:
        """Give the throw as a moving picture, `slower` times slower than life; see `Animation`."""
        from slingwright.motion.shown.animation import Animation

        return Animation(machine=self.machine, throw=self, slower=slower, system=system)

    def __repr__(self) -> str:
        far = "no range" if self.range is None else f"range {self.range:.1f} m"
        return f"<Throw: {self.outcome}, {far}, peak axle load {self.peak_axle_load / 1e3:.1f} kN>"


def compiled_for(machine: Machine) -> ModuleType:
    """Compiled module of the machine's kind."""
    return codegen.machine_module(machine.flag("counterweight.hung"), machine.flag("base.wheels"))


def checked_tolerance(tolerance: float) -> float:
    """The tolerance, or ValueError outside 1e-13 to 1e-3."""
    if not 1e-13 <= tolerance <= 1e-3:
        raise ValueError(f"tolerance is {tolerance!r}; give 1e-13 to 1e-3, 1e-9 is usual")
    return float(tolerance)


def throw(
    machine: Machine, *, tolerance: float = 1e-9, swing_through: float = 5.0, looser: float = 1.0
) -> Throw:
    """Loose the machine and follow it to the landing and through `swing_through` seconds after.

    Args:
        tolerance: relative error allowed in a step, 1e-13 to 1e-3.
        swing_through: how long arm, counterweight and empty sling are followed after release [s].
        looser: factor on the tolerance past the first slack, where one motion is one sample.

    Raises: ValueError: tolerance or time outside its limits.
    """
    return _throw(machine, machine.moving(), tolerance, swing_through, None, looser)


def natural_time(machine: Machine) -> float:
    """Time scale of a throw, sqrt((arm.long + sling.length) / g) [s]."""
    length = machine.number("arm.long") + machine.number("sling.length")
    return math.sqrt(length / machine.number("site.gravity"))


def throw_held_ring(
    machine: Machine, *, tolerance: float = 1e-9, lasting: float = 6.0, looser: float = 1.0
) -> Throw:
    """The throw if the ring never slipped: the loaded sling swings on for `lasting` seconds.

    With `looser` 0 it ends where the sling first goes slack.
    """
    given = machine.moving()
    given[dials.MOVING_INDEX["release.angle"]] = -1e9
    return _throw(machine, given, tolerance, 0.0, lasting / natural_time(machine), looser)


def _throw(
    machine: Machine,
    given: np.ndarray,
    tolerance: float,
    swing_through: float,
    patience: float | None,
    looser: float,
) -> Throw:
    tolerance = checked_tolerance(tolerance)
    if not 0.0 <= swing_through <= LONGEST_SWING:
        raise ValueError(f"swing_through is {swing_through!r} s; give 0 to {LONGEST_SWING:g} s")
    code = compiled_for(machine)
    stops = code.ALL_STOPS if patience is None else code.ALL_STOPS & ~(1 << code.SLIPPED)
    result = np.zeros(code.RESULTS)
    for room in (ROOM, MOST_STEPS):
        record = code.new_record.py_func(room)
        patient = PATIENCE if patience is None else patience
        lasts = float(swing_through), float(room), stops, patient
        kept = code.throw_once(given, tolerance, *lasts, result, record)
        if int(result[code.R_ENDED]) != code.OUT_OF_STEPS:
            break
    table = np.empty((kept * PER_STEP + 4, code.SAMPLE))
    table = table[: code.sample(given, kept, PER_STEP, record, table, result)]
    landing, flight = _fly(machine, given, code, result, tolerance)
    loose, held = None, patience is not None
    end = float(result[code.R_TIME]) + swing_through
    end = end if patience is None else patience * natural_time(machine)
    left = end - float(result[code.R_SWING_END])
    if left > 0.0 and looser > 0.0 and goes_on(code, result, held=held):
        going = given if held else emptied(given)
        loose = go_on(machine, going, result, left, checked_tolerance(looser * tolerance))
        loose.table[:, code.S_STAGE] = LOOSE
        # A rod that would push as it is loosed never was one.
        table = loose.table if len(table) == 1 else np.vstack([table, loose.table])
    return _read(machine, code, result, table, loose, held, landing, flight, tolerance)


def _fly(
    machine: Machine, given: np.ndarray, code: ModuleType, result: np.ndarray, tolerance: float
) -> tuple[np.ndarray | None, np.ndarray]:
    """Landing numbers and path (k, 5) of the flight; None and no path where nothing flies."""
    if int(result[code.R_OUTCOME]) != code.RELEASED or machine["projectile.mass"] == 0.0:
        return None, np.empty((0, 5))
    landing = np.zeros(8)
    path = np.empty((4096, 5))
    start = result[[code.R_X, code.R_Y, code.R_VX, code.R_VY]]
    filled = code.fly(*start, given, tolerance, landing, path)
    return landing, path[:filled]


def _read(
    machine: Machine,
    code: ModuleType,
    result: np.ndarray,
    table: np.ndarray,
    loose: Loose | None,
    ring: bool,
    landing: np.ndarray | None,
    flight: np.ndarray,
    tolerance: float,
) -> Throw:
    outcome = int(result[code.R_OUTCOME])
    time = table[:, code.S_TIME]
    phase = table[:, code.S_STAGE].astype(np.int8)
    q, v, a = (table[:, start : start + 4] for start in (code.S_Q, code.S_V, code.S_A))
    parts = table[:, code.S_PARTS : code.S_PARTS + 8]
    place = table[:, code.S_PLACES : code.S_PLACES + 14]
    pouch, tip, pin, axle = (parts[:, [i, i + 4]] for i in range(4))
    along = np.column_stack([-np.cos(q[:, 2]), np.sin(q[:, 2])])
    tip_pull = -np.einsum("ij,ij->i", tip, along)
    pouch_pull = -np.einsum("ij,ij->i", pouch, along)
    loosely = phase == LOOSE
    if loose is not None:
        # Their own weight moves slack cords a little: that is no push of theirs.
        tip_pull[loosely] = np.maximum(tip_pull[loosely], 0.0)
        pouch_pull[loosely] = np.maximum(pouch_pull[loosely], 0.0)
        q[:, 2] = np.unwrap(q[:, 2])
    contact, rubbing = table[:, code.S_CONTACT], table[:, code.S_RUBBING]
    energy = table[:, code.S_ENERGIES : code.S_ENERGIES + 5].copy()
    swinging = (phase >= code.SWING) & (outcome == code.RELEASED)
    if swinging.any() and not swinging.all():
        first = int(np.argmax(swinging))
        energy[first:, 3] += energy[first - 1, 3] - energy[first, 3]
    energy -= energy[0]
    in_trough = ~loosely | (place[:, 9] > 0.5 * machine.number("trough.height"))
    on_base = np.where(in_trough, contact, 0.0), np.where(in_trough, rubbing, 0.0)
    base_force, base_moment = _on_the_ground(machine, axle, place, *on_base, table, code)
    release, far, touch = _release_and_landing(machine, code, result, landing)
    spans = tuple(_spans(time, phase))
    slipped = math.inf if release is None else release.time
    done = Throw(
        machine=machine, outcome=OUTCOME[outcome],
        sentence=_sentence(machine, code, result, landing), notes=(),
        range=far, release=release, landing=touch, held=held(machine),
        spans=spans, known_until=float(time[-1]), ended=_ended(code, result, loose, ring),
        rested=loose is not None and loose.rested,
        slack=() if loose is None else tuple(loose.slack()),
        touches=() if loose is None else tuple(loose.touches()),
        time=time, phase=phase,
        arm=q[:, 0], hanger=q[:, 1], sling=q[:, 0] - q[:, 2], base=q[:, 3],
        arm_rate=v[:, 0], hanger_rate=v[:, 1], sling_rate=v[:, 0] - v[:, 2], base_rate=v[:, 3],
        arm_acceleration=a[:, 0], base_acceleration=a[:, 3],
        axle=place[:, 0:2], tip=place[:, 2:4], pin=place[:, 4:6], weight=place[:, 6:8],
        ball=place[:, 8:10], ball_rate=table[:, code.S_BALL_RATE : code.S_BALL_RATE + 2],
        flight_time=flight[:, 0] + result[code.R_TIME], flight_path=flight[:, 1:3],
        axle_force=axle, pin_force=pin, tip_force=tip,
        sling_tension=tip_pull, pouch_tension=pouch_pull,
        prong_force=np.where(time > slipped, 0.0, 0.5 * np.hypot(tip[:, 0], tip[:, 1])),
        trough_force=contact, axle_torque=table[:, code.S_AXLE_TORQUE],
        base_force=base_force, base_moment=base_moment,
        energy_weight=energy[:, 1], energy_arm=energy[:, 0], energy_sling=energy[:, 2],
        energy_ball=energy[:, 3], energy_base=energy[:, 4],
        energy_lost=table[:, code.S_LOST] - table[0, code.S_LOST],
        peak_axle_load=float(result[code.R_PEAK]), peak_axle_time=float(result[code.R_PEAK_TIME]),
        peak_axle_phase=PHASES[max(1, int(result[code.R_PEAK_STAGE])) - 1],
        efficiency=_efficiency(machine, code, result),
        energy_error=float(result[code.R_ENERGY_ERROR]),
        constraint_drift=_drift(machine, place, phase == code.TROUGH),
        steps=int(result[code.R_STEPS]), tolerance=tolerance,
    )  # fmt: skip
    buried, strike = np.flatnonzero(place[:, 3] < 0.0), first_strike(done)
    if buried.size and (strike is None or buried[0] < strike[0]):
        strike = int(buried[0]), TIP_STRIKES
    if strike is not None:
        done = replace(done, known_until=float(time[strike[0]]), ended=strike[1])
    return replace(done, notes=tuple(_notes(done)))


def _ended(code: ModuleType, result: np.ndarray, loose: Loose | None, ring: bool) -> str:
    """What happens where the histories end that is not modelled; nothing if that is not why."""
    if loose is not None:
        return loose.ended
    outcome, ended = int(result[code.R_OUTCOME]), int(result[code.R_ENDED])
    if ended in (code.BOXED, code.OUT_OF_STEPS, code.BROKEN):
        return ENDS["BOXED" if ended == code.BOXED else "OUT_OF_STEPS"]
    if outcome == code.RELEASED or (ring and outcome == code.NEVER_SLIPPED):
        return ""
    return UNRELEASED[OUTCOME[outcome]]


def _efficiency(machine: Machine, code: ModuleType, result: np.ndarray) -> float | None:
    if int(result[code.R_OUTCOME]) != code.RELEASED or machine.number("projectile.mass") <= 0.0:
        return None
    return float(projectile_share(machine.moving(), result[code.R_BALL_ENERGY]))


def _drift(machine: Machine, place: np.ndarray, lying: np.ndarray) -> float:
    """Largest distance of the projectile's centre from the trough's level while it lies there."""
    level = machine.number("trough.height") + 0.5 * machine.number("projectile.diameter")
    return float(np.abs(place[lying, 9] - level).max(initial=0.0))


def _on_the_ground(
    machine: Machine,
    axle: np.ndarray,
    place: np.ndarray,
    contact: np.ndarray,
    rubbing: np.ndarray,
    table: np.ndarray,
    code: ModuleType,
) -> tuple[np.ndarray, np.ndarray]:
    """Force (n, 2) and moment (n,) of the ground on the base, about the point under the axle."""
    weight = machine.number("base.mass") * machine.number("site.gravity")
    force = axle + np.column_stack([rubbing, contact + weight])
    if machine.flag("base.wheels"):
        force[:, 0] = -table[:, code.S_ROLLING]
    height = machine.number("axle.height")
    from_axle = place[:, 8] - place[:, 0]
    # Friction acts on a projectile that does not turn: at its centre.
    level = machine.number("trough.height") + 0.5 * machine.number("projectile.diameter")
    applied = height * axle[:, 0] - from_axle * contact + level * rubbing
    return force, -(applied - table[:, code.S_AXLE_TORQUE])


def _release_and_landing(
    machine: Machine, code: ModuleType, result: np.ndarray, landing: np.ndarray | None
) -> tuple[Release | None, float | None, Landing | None]:
    if int(result[code.R_OUTCOME]) != code.RELEASED:
        return None, None, None
    v_x, v_y = float(result[code.R_VX]), float(result[code.R_VY])
    release = Release(
        time=float(result[code.R_TIME]),
        speed=math.hypot(v_x, v_y),
        elevation=math.atan2(v_y, v_x),
        x=float(result[code.R_X]), y=float(result[code.R_Y]),
        arm=float(result[code.R_ELEVATION]), lag=float(result[code.R_LAG]),
    )  # fmt: skip
    if landing is None or int(landing[6]) != 0:
        return release, None, None
    touch = Landing(
        time=release.time + float(landing[0]),
        speed=math.hypot(landing[3], landing[4]),
        angle=math.atan2(-landing[4], abs(landing[3])),
        apex=float(landing[5]),
    )
    return release, float(landing[1]), touch


def _spans(time: np.ndarray, phase: np.ndarray) -> Iterator[Span]:
    for number, name in enumerate(PHASES, start=1):
        at = np.flatnonzero(phase == number)
        if at.size:
            yield Span(name=name, start=float(time[at[0]]), end=float(time[at[-1]]))


def _sentence(
    machine: Machine, code: ModuleType, result: np.ndarray, landing: np.ndarray | None
) -> str:
    outcome = int(result[code.R_OUTCOME])
    text = sentence(outcome, machine, float(result[code.R_TIME]), float(result[code.R_LAG]))
    if outcome != code.RELEASED:
        return text
    if landing is None:
        return f"{text} The pouch was empty: nothing flies."
    if int(landing[6]) == 1:
        level = machine.number("site.height")
        return form(
            "{} It rises to {:m} and never reaches the landing level of {:m}: lower site.height or "
            "throw higher."
        )(text, landing[5], level)
    if int(landing[6]) == 2:
        return f"{text} It was still in the air after {landing[0]:.0f} s: no landing was found."
    if landing[1] < 0.0:
        return form(
            "{} It flies backward and lands {:m} behind the axle: choose a release.angle near the "
            "top of the curve of range against it."
        )(text, -landing[1])
    return form("{} It lands {:m} from under the axle.")(text, landing[1])


def _notes(done: Throw) -> Iterator[str]:
    released = done.release is not None
    if done.slack:
        first = done.slack[0][0]
        most = float(done.sling_tension[done.time >= first].max(initial=0.0))
        caught = form("; caught, it pulls with {:N} at most")(most) if most > 0.0 else ""
        kind = "empty" if released else "loaded"
        yield f"The {kind} sling goes slack at {first:.2f} s{caught}."
    if done.ended and done.release is not None:
        late = done.known_until >= done.release.time
        what = f"{done.ended[0].upper()}{done.ended[1:]}"
        advice = "; raise axle.height or shorten the hanger" if done.ended == ENDS["BOXED"] else ""
        yield (
            f"{'Swing-through' if late else 'Before the release'}: {what} at "
            f"{done.known_until:.2f} s{advice}. Nothing past that is known."
        )
    far, limit = done.range, done.machine.number("site.limit")
    if far is not None and far > limit:
        yield form(
            "It lands {:3m} away, past the end of the clear ground at {:3m} (site.limit): do not "
            "loose it so."
        )(far, limit)


def reach_curve(machine: Machine, *, tolerance: float = 1e-8) -> tuple[np.ndarray, np.ndarray]:
    """Range against release angle with all else equal: sling lags (k,) [rad] and ranges (k,) [m].

    The motion before release does not depend on the release angle, so one run serves: from each
    moment of the free swing one flight.  Angles fall along the arrays;
    those at which nothing lands are left out.
    """
    tolerance = checked_tolerance(tolerance)
    code = compiled_for(machine)
    given = machine.moving()
    if given[dials.MOVING_INDEX["projectile.mass"]] <= 0.0:
        return np.empty(0), np.empty(0)
    asked = given.copy()
    asked[dials.MOVING_INDEX["release.angle"]] = math.radians(dials.dial("release.angle").low)
    record = code.new_record.py_func(400)
    result = np.zeros(code.RESULTS)
    kept = code.throw_once(asked, tolerance, 0.0, 400.0, code.ALL_STOPS, PATIENCE, result, record)
    lags, ranges = np.empty(kept * 4 + 1), np.empty(kept * 4 + 1)
    filled = code.reach(given, kept, 4, record, tolerance, lags, ranges)
    return lags[:filled], ranges[:filled]

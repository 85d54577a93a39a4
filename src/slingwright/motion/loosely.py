"""Going on with a throw past the moment at which its sling would push.

The cords pull and never push, the ground and the trough take the pouch without rebound.  What is
not modelled ends the motion: a box or an arm that strikes the ground.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from types import ModuleType

import numpy as np

from slingwright.machine.machine import Machine
from slingwright.machine.table import dials
from slingwright.motion.ends.outcomes import ENDS
from slingwright.motion.source import code as codegen

LOOSE = 4
"""Number of the phase past the first slack."""
PER_STEP = 1
"""Samples of a step: cords in tension take some ten steps a swing of the pouch on them."""
ROOM = 30_000
"""Steps that a loose motion may take."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Touch:
    """A blow of the pouch on ground or trough: time [s], place x and y [m], speed [m/s] and the
    energy lost in it [J]."""

    time: float
    x: float
    y: float
    speed: float
    energy: float

    @property
    def words(self) -> str:
        """The blow in one sentence, in SI."""
        return (
            f"At {self.time:.2f} s the pouch strikes the ground {self.x:.1f} m from under the axle "
            f"at {self.speed:.1f} m/s and loses {self.energy:.0f} J."
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Loose:
    """A motion past the first slack: its samples, and what happened in it."""

    code: ModuleType
    table: np.ndarray  # (n, SAMPLE)
    log: np.ndarray  # (events, LOGGED)
    ended: str
    rested: bool

    def slack(self) -> Iterator[tuple[float, float]]:
        """Give the spans of time in which the cords hang slack [s]."""
        since: float | None = float(self.table[0, self.code.S_TIME])
        for time, kind in self.log[:, :2]:
            if int(kind) == self.code.CAUGHT and since is not None:
                if time > since:
                    yield since, float(time)
                since = None
            elif int(kind) == self.code.SLACKENED:
                since = float(time)
        if since is not None:
            yield since, float(self.table[-1, self.code.S_TIME])

    def touches(self) -> Iterator[Touch]:
        """Give the blows on ground and trough, in order."""
        for time, kind, x, y, speed, energy in self.log.tolist():
            if int(kind) == self.code.STRUCK:
                yield Touch(time=time, x=x, y=y, speed=speed, energy=energy)


def loose_module(machine: Machine) -> ModuleType:
    """Compiled module that goes on with a machine's kind."""
    hung, wheels = machine.flag("counterweight.hung"), machine.flag("base.wheels")
    return codegen.machine_module(hung, wheels, True)


def goes_on(taut: ModuleType, result: np.ndarray, *, held: bool = False) -> np.ndarray:
    """Tell whether throws (..., RESULTS) that ended so go on with a loose sling.

    One that was not released does not, unless its ring is held: whether a ring slips off its prong
    as the sling hangs slack is not known.
    """
    ended, outcome = result[..., taut.R_ENDED], result[..., taut.R_OUTCOME]
    stopped = (ended == taut.SLACK) | (ended == taut.GROUNDED)
    found: np.ndarray = stopped & (held | (outcome == taut.RELEASED))
    return found


def emptied(given: np.ndarray) -> np.ndarray:
    """Give dials (..., dials) without a projectile."""
    left = given.copy()
    left[..., dials.MOVING_INDEX["projectile.mass"]] = 0.0
    return left


def go_on(
    machine: Machine, given: np.ndarray, result: np.ndarray, lasting: float, tolerance: float
) -> Loose:
    """Go on from a throw's last state for a time; its result takes the peak and how it ended.

    Args:
        given: dials of what goes on, see `emptied`.
        lasting: how long to go on at most [s].
    """
    code = loose_module(machine)
    taut = result[code.R_STATE :].copy()
    start = float(result[code.R_SWING_END])
    places = [code.R_PEAK, code.R_PEAK_TIME, code.R_PEAK_STAGE]
    peak = result[places].copy()
    log = np.empty((code.MOST_TOLD, code.LOGGED))
    record = code.new_record.py_func(ROOM)
    kept, told = code.follow_loose(
        given, taut, start, lasting, tolerance, float(ROOM), result, record, log
    )
    table = np.empty((kept * (PER_STEP + 1) + 4, code.SAMPLE))
    filled = code.loose_sample(given, kept, PER_STEP, record, table, result)
    if result[code.R_PEAK] <= peak[0]:
        result[places] = peak
    else:
        result[code.R_PEAK_STAGE] = LOOSE
    ended = int(result[code.R_ENDED])
    name = next(name for name in ENDS if getattr(code, name) == ended)
    return Loose(code=code, table=table[:filled], log=log[:told].copy(), ended=ENDS[name],
                 rested=name == "RESTED")  # fmt: skip

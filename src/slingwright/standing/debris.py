"""What else may fly: parts that come loose while the machine moves, each as fast as it is then.

Heavy pieces fly without air here: in still air none flies farther, whatever its shape. Ring and
pouch are light and fly as balls. Nothing here says that a part holds or comes loose: the checks of
strength do that.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from slingwright.amounts.text import Amount, Text, form
from slingwright.machine.machine import Machine
from slingwright.machine.table.dials import MOVING_INDEX
from slingwright.motion.across import land
from slingwright.motion.known import SWINGING
from slingwright.motion.throwing import Throw

PRONG, STONE = "prong or tip of the arm", "stone of the box"
RING, BURST, EMPTIED = "ring", "part of a burst pouch", "part of the empty pouch"
DRY = "loosed empty"
HEAD = ("comes loose", "fastest", "empty", "ahead", "behind", "up")
STEEL = 7850.0  # kg/m^3
TOLERANCE = 1e-5
AT_ONCE = 128  # flights, between two looks at whether another may go farther
NOTE = (
    "Each as fast as the machine has it at its worst moment; bounce and roll are not in it. Prong, "
    "tip and stones fly without air, the wind added for as long as they are aloft. Assumed: the "
    "pouch flies as a rough ball of its mass, as wide as the projectile, and the ring, of bar half "
    "as thick as the prong, as one 2.5 prongs wide. A cord that cracks like a whip may throw its "
    "ring farther, and loose cloth goes where the wind goes"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """The farthest that one kind of piece flies, over all motions that were looked at [m].

    `speed` and `dry` are the fastest with a projectile in the sling and loosed empty [m/s], None
    where no such motion was known.
    """

    name: str
    speed: float | None
    dry: float | None
    ahead: float
    behind: float
    height: float
    worst: str  # the motion of the longest flight
    when: float  # s, after loosing

    @property
    def why(self) -> Text:
        """How fast it is, and when its longest flight begins."""
        dry = "" if self.dry is None else form(", {:3m/s} loosed empty")(self.dry)
        speed: str = "not known" if self.speed is None else form("{:3m/s}")(self.speed)
        return form("{}{}; {:3m} behind, {:3m} up; the longest at {:.2f} s, {}")(
            speed, dry, self.behind, self.height, self.when, self.worst
        )

    @property
    def told(self) -> Text:
        """The whole in a line."""
        return form("{}: {:3m}, {}")(self.name, self.ahead, self.why)

    @property
    def cells(self) -> tuple[str | Amount | None, ...]:
        """Cells of its row under `HEAD`."""
        speeds = (None if one is None else Amount(one, "m/s", 3) for one in (self.speed, self.dry))
        far = (self.ahead, self.behind, self.height)
        return (self.name, *speeds, *(Amount(one, "m", 3) for one in far))


def debris(machine: Machine, motions: Mapping[str, Throw]) -> tuple[Piece, ...]:
    """Find how far pieces of a machine could fly, from every moment of its motions.

    Args:
        machine: where wind, gravity and the landing level are read.
        motions: by what is thrown; `DRY` is the one with nothing in the sling. As far as known.
    """
    names, found = list(motions), []
    loose = [_loose(done, motion == DRY) for motion, done in motions.items()]
    for name in (PRONG, RING, STONE, BURST, EMPTIED):
        place, velocity, time = (
            np.concatenate([one[name][at] for one in loose]) for at in range(3)
        )
        which = np.repeat(np.arange(len(loose)), [len(one[name][2]) for one in loose])
        if not len(time):
            continue
        speed, (far, apex) = np.hypot(*velocity.T), _flown(machine, place, velocity, name)
        at = int(np.argmax(np.abs(far)))
        dry = which == (names.index(DRY) if DRY in names else -1)
        worst = names[which[at]]
        found.append(
            Piece(
                name=name,
                speed=float(speed[~dry].max()) if (~dry).any() else None,
                dry=float(speed[dry].max()) if dry.any() else None,
                ahead=max(0.0, float(far.max())),
                behind=max(0.0, float(-far.min())),
                height=float(apex.max()),
                worst=worst if dry[at] else f"with {worst}",
                when=float(time[at]),
            )
        )
    return tuple(found)


# ---- within


def _loose(done: Throw, dry: bool) -> Mapping[str, tuple[np.ndarray, ...]]:
    """Place (k, 2), velocity (k, 2) and time (k,) of each piece at each moment it can leave."""
    n, hung = done.machine.number, done.machine.flag("counterweight.hung")
    base = np.column_stack([done.base_rate, np.zeros(len(done.time))])
    tip_rate = base + _turned(done.tip - done.axle, -done.arm_rate)
    pin_rate = base + _turned(done.pin - done.axle, -done.arm_rate)
    angle, turn = (done.hanger, done.hanger_rate) if hung else (-done.arm, -done.arm_rate)
    sine, cosine = np.sin(angle), np.cos(angle)
    corners = []
    for x, y in ((1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)):
        x, y = 0.5 * x * n("counterweight.width"), 0.5 * y * n("counterweight.height")
        place = done.weight + np.column_stack([x * cosine - y * sine, x * sine + y * cosine])
        corners.append((place, pin_rate + _turned(place - done.pin, turn), done.time))
    held = done.phase <= SWINGING
    on_prong = held[:, None]
    full = np.zeros_like(held) if dry else held
    pouch = done.ball, done.ball_rate, done.time
    return {
        PRONG: (done.tip, tip_rate, done.time),
        RING: (
            np.where(on_prong, done.tip, done.ball),
            np.where(on_prong, tip_rate, done.ball_rate),
            done.time,
        ),
        STONE: tuple(np.concatenate(part) for part in zip(*corners, strict=True)),
        BURST: tuple(part[full] for part in pouch),
        EMPTIED: tuple(part[~full] for part in pouch),
    }


def _ball(machine: Machine, name: str) -> tuple[float, float] | None:
    """Mass [kg] and diameter [m] of the ball that a light piece flies as."""
    if name in (BURST, EMPTIED):
        return machine.number("sling.pouch"), machine.number("projectile.diameter")
    if name == RING:
        prong = machine.number("prong.diameter")
        return STEEL * math.pi**2 / 8.0 * prong**3, 2.5 * prong
    return None


def _turned(arm: np.ndarray, rate: np.ndarray) -> np.ndarray:
    """Velocity (n, 2) [m/s] of a point (n, 2) [m] that turns about another, left about [rad/s]."""
    return rate[:, None] * np.column_stack([-arm[:, 1], arm[:, 0]])


def _flown(
    machine: Machine, place: np.ndarray, velocity: np.ndarray, name: str
) -> tuple[np.ndarray, np.ndarray]:
    """Landing ahead and apex (n,) [m] of flights without air, the wind on the worse side added.

    A ball's apex is that without air, and its landing is flown where none flown was farther.
    """
    gravity, level = machine.number("site.gravity"), machine.number("site.height")
    rise, wind = velocity[:, 1], machine.number("site.wind")
    apex = place[:, 1] + 0.5 * np.maximum(rise, 0.0) ** 2 / gravity
    fall = place[:, 1] - np.where(apex > level, level, np.minimum(0.0, place[:, 1]))
    aloft = (rise + np.sqrt(np.maximum(rise * rise + 2.0 * gravity * fall, 0.0))) / gravity
    far = place[:, 0] + velocity[:, 0] * aloft
    ball = _ball(machine, name)
    if ball is None or ball[0] <= 0.0:
        blown = far + wind * aloft
        return np.where(np.abs(blown) > np.abs(far), blown, far), apex
    given = machine.moving()
    given[MOVING_INDEX["projectile.mass"]], given[MOVING_INDEX["projectile.diameter"]] = ball
    given[MOVING_INDEX["projectile.smooth"]] = 0.0
    given[MOVING_INDEX["projectile.drag"]] = math.nan
    starts, found = np.column_stack([place, velocity]), np.zeros(len(far))
    for side in (1.0, -1.0):
        order = np.argsort(-side * far)
        for first in range(0, len(far), AT_ONCE):
            # In still air drag carries nothing farther.
            if wind == 0.0 and side * far[order[first]] <= max(0.0, float((side * found).max())):
                break
            rows = order[first : first + AT_ONCE]
            found[rows] = land(starts[rows], np.tile(given, (len(rows), 1)), TOLERANCE)[:, 1]
        else:
            break  # all are flown, ahead and behind
    return found, apex

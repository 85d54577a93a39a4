"""Running the ladder's machines: held as the real one, loosed, and let fly at the best moment."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount, form
from slingwright.derivation.ladder import CALLED, RUNGS, rung
from slingwright.machine.machine import Machine
from slingwright.machine.table.dials import MOVING
from slingwright.motion.shown.drawings import ENERGIES
from slingwright.motion.throwing import reach_curve

LONGEST = 6.0
"""How long a rung is followed, in sqrt((arm + sling) / g)."""
WHOLE = {
    "trough": ("A trough holds the projectile up", {}),
    "friction": ("Friction in trough and bearings", {"friction": True}),
    "air": ("Air on the projectile", {"friction": True, "air": True}),
}
"""The rungs past the sling: the machine itself, with less and less left out."""
LINES = {words.split(",")[0]: (style, colour) for _, words, _, colour, style in ENERGIES}
"""Line of each body, as in every picture of energies; a rung has no pouch."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Climb(Answer):
    """What a rung does: its path to the best moment of release, and the range from there.

    `time` (n,), `path` (n, 2) of the projectile, `speed` and `elevation` [rad] at the release,
    `range` [m] over the ground under it; `energy_error` relative to the largest kinetic energy.
    `joules` is what each body has gained since it was loosed, by its name (n,).
    """

    key: str
    title: str
    range: float
    speed: float
    elevation: float
    time: np.ndarray
    path: np.ndarray
    arm: np.ndarray
    energy_error: float
    joules: Mapping[str, np.ndarray]

    def plot(self, axes: Any) -> None:
        """Draw on axes what the counterweight gave and what the others have of it, over time."""
        for name, gained in self.joules.items():
            style, colour = LINES[name]
            sign = -1.0 if name == "counterweight" else 1.0
            axes.plot(self.time, sign * gained / 1e3, style, color=colour, label=name)
        axes.set(xlabel="time [s]", ylabel="energy [kJ]")
        axes.legend(loc="upper left")

    @property
    def sentence(self) -> str:
        """What it throws."""
        return form("{}: {:m} at best, let go at {:m/s} and {:.0f} deg.")(
            self.title, self.range, self.speed, math.degrees(self.elevation)
        )

    def rows(self) -> Iterator[Row]:
        """Give range, speed and elevation."""
        yield Row("range", "range at best", Amount(self.range, "m"))
        yield Row("speed", "speed at release", Amount(self.speed, "m/s"))
        yield Row("elevation", "elevation at release", Amount(self.elevation, "deg"))


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Ladder(Answer):
    """Every rung's best range, lowest first, and what each adds to the one below."""

    machine: Machine
    ranges: tuple[tuple[str, str, float], ...]

    @property
    def sentence(self) -> str:
        """From the lowest rung to the machine."""
        (_, _, first), (_, _, last) = self.ranges[0], self.ranges[-1]
        return form("From {:m} with two masses on a lever to {:m} with this machine.")(first, last)

    def rows(self) -> Iterator[Row]:
        """Give each rung's range and what it changed."""
        below = None
        for key, title, far in self.ranges:
            added = "" if below is None else f"{far - below:+.1f} m"
            yield Row(key, title, Amount(far, "m"), added)
            below = far


def climb(machine: Machine, key: str) -> Climb:
    """Run one rung of the ladder on a machine's dials, without air or friction.

    Args:
        machine: whose dials are taken; its counterweight hangs or not as the rung has it.
        key: a rung, see `derivation.ladder.RUNGS`.

    Raises: ValueError: there is no such rung, or its counterweight cannot start the lever.
    """
    from scipy.integrate import solve_ivp

    step = rung(key)
    n = machine.number
    numbers = {dial.path: float(machine[dial.path] or 0.0) for dial in MOVING}
    accelerations, ball, energies = step.compiled(numbers)
    count = len(step.names)
    start = {"e": -n("arm.cocked"), "h": 0.0, "s": _lying(machine)}
    state = np.array([*(start[name] for name in step.names), *np.zeros(count)])
    if accelerations(*state)[0] <= 0.0:
        raise ValueError(
            f"{RUNGS[key]}: the counterweight cannot start it; more counterweight.mass or a longer "
            "arm.short would"
        )
    lasting = LONGEST * math.sqrt((n("arm.long") + n("sling.length")) / n("site.gravity"))

    def rates(_: float, now: np.ndarray) -> np.ndarray:
        return np.concatenate([now[count:], accelerations(*now)])

    def over(_: float, now: np.ndarray) -> float:
        # Past the far side there is nothing to be thrown forward.
        return float(math.pi - now[0])

    over.terminal = True  # type: ignore[attr-defined]
    found = solve_ivp(
        rates, (0.0, lasting), state, events=over, rtol=1e-9, atol=1e-10, max_step=lasting / 400.0
    )
    places = np.array([ball(*now) for now in found.y.T], dtype=float)
    each = np.array([energies(*now) for now in found.y.T], dtype=float)
    joules, gained = each.sum(axis=1), each.sum(axis=2)
    g, ground = n("site.gravity"), 0.5 * n("projectile.diameter")
    fallen = np.maximum(places[:, 1] - ground, 0.0)
    flight = (places[:, 3] + np.sqrt(places[:, 3] ** 2 + 2.0 * g * fallen)) / g
    ranges = places[:, 0] + places[:, 2] * np.maximum(flight, 0.0)
    at = int(np.argmax(ranges))
    whole = joules.sum(axis=1)
    return Climb(
        key=key, title=RUNGS[key], range=float(ranges[at]),
        speed=float(np.hypot(*places[at, 2:])),
        elevation=float(np.arctan2(places[at, 3], places[at, 2])),
        time=found.t[: at + 1], path=places[: at + 1, :2], arm=found.y[0, : at + 1],
        energy_error=float(np.abs(whole - whole[0]).max() / joules[:, 0].max()),
        joules={
            CALLED[body.name]: gained[: at + 1, i] - gained[0, i]
            for i, body in enumerate(step.bodies)
        },
    )  # fmt: skip


def ladder(machine: Machine) -> Ladder:
    """Give the best range of every rung, from two masses on a lever to the machine in air."""
    hung = machine.change({"counterweight.hung": True, "base.wheels": False, "site.wind": 0.0})
    ranges = [(key, title, climb(hung, key).range) for key, title in RUNGS.items()]
    smooth = {"axle.friction": 0.0, "hanger.friction": 0.0, "trough.friction": 0.0}
    for key, (title, kept) in WHOLE.items():
        changes = {} if kept.get("friction") else dict(smooth)
        if not kept.get("air"):
            changes["site.air_density"] = 0.0
        ranges.append((key, title, float(reach_curve(hung.change(changes))[1].max())))
    return Ladder(machine=machine, ranges=tuple(ranges))


def _lying(machine: Machine) -> float:
    """Elevation of the sling as it lies held, from the tip to the projectile [rad]."""
    n = machine.number
    tip = n("axle.height") - n("arm.long") * math.sin(n("arm.cocked"))
    drop = tip - n("trough.height") - 0.5 * n("projectile.diameter")
    return math.pi + math.asin(min(1.0, max(-1.0, drop / n("sling.length"))))

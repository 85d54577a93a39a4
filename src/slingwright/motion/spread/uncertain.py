"""What is not surely known of a machine before it throws, each with what the tables say of it.

A dial may be uncertain itself (a friction), by an amount added to every setting (the sling that
stretches, the ring that slips later than the prong is bent for), or by a factor (a weight that was
never weighed). What was measured takes the place of what the tables say.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from slingwright.machine.machine import Machine
from slingwright.machine.table import dials
from slingwright.tables import materials

WAYS = ("value", "offset", "factor")
LEVEL_OF_A_RANGE = 1.6449  # a table's range is read as the 90 % interval of a normal distribution
REACH = 4.0  # standard deviations either way that a number may go


class UncertainError(ValueError):
    """An uncertain number that cannot be used; the message says which and what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Uncertain:
    """A dial not surely known: how it is uncertain, mean and sd before any shot, and the source.

    `way` is `value` (the dial itself, SI), `offset` (added to each shot's setting, SI) or `factor`
    (on each shot's setting). `other` is mean and sd of what was known before it was measured, which
    holds if the measurement was of another thing.
    """

    path: str
    way: str
    mean: float
    sd: float
    source: str
    other: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        row = dials.dial(self.path)
        if self.way not in WAYS:
            raise UncertainError(f"{self.path}: way {self.way!r}; give {', '.join(WAYS)}.")
        if not row.moves or row.kind != "number":
            raise UncertainError(
                f"{self.path}: no throw depends on it as a number, so no shot shows it. Leave "
                "it out."
            )
        if not (math.isfinite(self.mean) and math.isfinite(self.sd) and self.sd > 0.0):
            raise UncertainError(
                f"{self.path}: mean {self.mean} and sd {self.sd}; give two finite numbers, the sd "
                "above 0."
            )

    @property
    def name(self) -> str:
        """Name of the number in the fit: the path, with `offset` or `factor` behind it."""
        return self.path if self.way == "value" else f"{self.path} {self.way}"

    @property
    def label(self) -> str:
        """Name of the number for a reader."""
        label = dials.dial(self.path).label
        return {
            "value": label,
            "offset": f"{label}, more than set",
            "factor": f"{label}, times the set one",
        }[self.way]

    @property
    def unit(self) -> str:
        """SI unit of the number."""
        return "-" if self.way == "factor" else dials.dial(self.path).si_unit

    @property
    def limits(self) -> tuple[float, float]:
        """How far it may go either way: four standard deviations, and what its dial takes."""
        known = [(self.mean, self.sd), *([self.other] if self.other else [])]
        low = min(mean - REACH * sd for mean, sd in known)
        high = max(mean + REACH * sd for mean, sd in known)
        row = dials.dial(self.path)
        if self.way == "value":
            low, high = max(low, row.lowest), min(high, row.highest)
        elif self.way == "factor":
            low = max(low, 0.05)
        return low, high

    def applied(self, setting: np.ndarray, value: np.ndarray) -> np.ndarray:
        """Give what a dial really is, from what it was set to and this number's value."""
        if self.way == "offset":
            return setting + value
        if self.way == "factor":
            return setting * value
        return np.broadcast_to(value, np.broadcast_shapes(np.shape(setting), np.shape(value)))


def of_a_pair(path: str, pair: str) -> Uncertain:
    """Give a friction as a row of the friction table has it, its range read as 90 % of cases.

    >>> of_a_pair("axle.friction", "steel axle in greased oak").mean
    0.095
    """
    row = materials.friction(pair)
    if not row.high > row.low:
        raise UncertainError(
            f"{pair}: the table has one value and no range. Give mean and sd yourself, or another "
            "pair."
        )
    return Uncertain(
        path=path,
        way="value",
        mean=0.5 * (row.low + row.high),
        sd=0.5 * (row.high - row.low) / LEVEL_OF_A_RANGE,
        source=f"{pair}: {row.source}",
    )


def usual(machine: Machine) -> tuple[Uncertain, ...]:
    """Give the numbers that are usually not known, with priors from the tables where they have any.

    Frictions come from the friction table: axle and pin as steel in greased oak, the trough between
    hard wood on hard wood and dry oak on oak. Drag of a projectile that is no smooth sphere, slip
    of ring, stretch of the sling and trueness of the weight are common practice.
    """
    # A law by Reynolds number, at the speeds of a throw: smooth past its crisis, rough before it.
    by_law = 0.15 if machine.flag("projectile.smooth") else 0.43
    low = materials.friction("hard wood on hard wood")
    high = materials.friction("oak on oak, along the grain, dry")
    between = f"between {low.name} ({low.source}) and {high.name} ({high.source})"
    rubs = 0.5 * (low.value + high.value), 0.5 * (high.value - low.value) / LEVEL_OF_A_RANGE
    stretch, lawful = 0.01 * machine.number("sling.length"), machine["projectile.drag"] is None
    drag = (by_law, 0.12) if lawful else (1.0, 0.25)
    found = [of_a_pair("axle.friction", "steel axle in greased oak")]
    found += [
        Uncertain(path=path, way=way, mean=mean, sd=sd, source=source)
        for path, way, mean, sd, source in (
            ("trough.friction", "value", *rubs, between),
            ("release.angle", "offset", 0.0, math.radians(5.0),
             "the ring slips within 5 deg of the prong's angle: common practice"),
            ("sling.length", "offset", stretch, stretch,
             "a rope sling stretches by 1 % of its length, give or take 1 %: common practice"),
            ("counterweight.mass", "factor", 1.0, 0.03,
             "a filled box that was calculated and not weighed, 3 %: common practice"),
            ("projectile.drag", "value" if lawful else "factor", *drag,
             "rough 0.42 to 0.50, smooth past its crisis about 0.15, by published "
             "correlations (Morrison 2010; Clift and Gauvin); spread is common practice"),
        )
    ]  # fmt: skip
    if machine.flag("counterweight.hung"):
        found.insert(1, of_a_pair("hanger.friction", "steel axle in greased oak"))
    return tuple(found)


def near(machine: Machine) -> tuple[Uncertain, ...]:
    """Give how near copies of a machine differ from one to the next: `usual` about what is set.

    The spread is that of the tables; the middle is the machine as it stands. A drag that follows
    the Reynolds number by itself has no middle and is left alone. The cords' stiffness and damping
    lie between half and double in nine cases of ten: common practice.
    """
    found = []
    for one in usual(machine):
        setting = machine[one.path]
        middle = {"offset": 0.0, "factor": 1.0}.get(one.way, setting)
        if middle is not None:
            found.append(replace(one, mean=float(middle)))
    cords = math.log(2.0) / LEVEL_OF_A_RANGE
    source = "half to double in nine of ten: common practice"
    for path in ("sling.stiffness", "sling.damping"):
        found.append(Uncertain(path=path, way="factor", mean=1.0, sd=cords, source=source))
    return tuple(found)

"""How far a flight comes down beside the line of the throw: wind, sway, one cord later."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slingwright.amounts.text import Amount, Text, form
from slingwright.machine.machine import Machine
from slingwright.motion.across import fly_across

HEAD = ("flight", "aside by wind", "by sway", "by a cord", "all of them", "ahead")
NOTE = (
    "Aside of the line of the throw, each at the end of what its dial takes (site.crosswind with "
    "site.unsteady, release.sway, release.cord: assumptions), and all of them to the same side"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """How far beside its line one flight comes down [m], by each cause and by all at once."""

    flight: str
    wind: float
    sway: float
    cord: float
    x: float  # ahead, with all of them
    z: float  # to the side, with all of them

    @property
    def where(self) -> Text:
        """How far ahead or behind it comes down."""
        return form("at {:3m} {}")(abs(self.x), "ahead" if self.x >= 0.0 else "behind")

    @property
    def why(self) -> Text:
        """Where, and how much each cause has in it."""
        words = "{}; {:3m} by wind, {:3m} by sway, {:3m} by one cord later"
        return form(words)(self.where, self.wind, self.sway, self.cord)

    @property
    def told(self) -> Text:
        """The whole in a line."""
        return form("{}: {:3m} {}")(self.flight, self.z, self.why)

    @property
    def cells(self) -> tuple[str | Amount | None, ...]:
        """Cells of its row under `HEAD`."""
        far = (self.wind, self.sway, self.cord, self.z, self.x)
        return (self.flight, *(Amount(one, "m", 3) for one in far))


def cord_speed(
    machine: Machine, tension: np.ndarray, turning: np.ndarray, most: np.ndarray
) -> np.ndarray:
    """Speed to the side that a load gains while it hangs on one cord alone (n,) [m/s].

    v = T b t / (2 l m), t = c / w

    The cords hold the pouch at both ends of its width b, their ring is at the middle: the one that
    still pulls is askew by b / 2 over l. It pulls with all of T while the sling turns by the dial
    `release.cord`, c. No more than the load's own speed.

    Args:
        machine: with the load.
        tension: of the sling at the pouch T (n,) [N].
        turning: of the sling against the arm w (n,) [rad/s].
        most: the load's own speed (n,) [m/s].

    Source: closed form, momentum; small angles.
    """
    n = machine.number
    askew = 0.5 * n("sling.pouch_width") / n("sling.length")
    with np.errstate(divide="ignore", invalid="ignore"):
        time = n("release.cord") / np.abs(turning)
        speed = tension * askew * time / (n("projectile.mass") + n("sling.pouch"))
    return np.minimum(np.nan_to_num(speed, nan=0.0, posinf=math.inf), most)


def drift(
    machine: Machine, flight: str, place: np.ndarray, velocity: np.ndarray, cord: float
) -> Drift:
    """Find how far to the side one flight comes down.

    Args:
        machine: with the load.
        flight: what it is called.
        place: (2,) where it starts [m].
        velocity: (2,) in the plane of the throw [m/s].
        cord: speed to the side by one cord later [m/s].
    """
    n = machine.number
    across = n("site.crosswind")
    wind = math.copysign(1.0, across) * (abs(across) + n("site.unsteady"))
    swayed = math.hypot(*velocity) * math.sin(n("release.sway"))
    side = math.copysign(1.0, wind)
    causes = (
        (0.0, wind),
        (side * swayed, across),
        (side * cord, across),
        (side * (swayed + cord), wind),
        (0.0, across),
    )
    aside = np.array([speed for speed, _ in causes])
    landed = fly_across(
        np.repeat(machine.moving()[None], len(causes), axis=0),
        np.repeat(place[None], len(causes), axis=0),
        np.column_stack([np.repeat(velocity[None], len(causes), axis=0), aside]),
        np.column_stack([np.full(len(causes), n("site.wind")), [blow for _, blow in causes]]),
    )
    z = np.abs(landed[:, 1])
    return Drift(
        flight=flight,
        wind=float(z[0]),
        sway=float(abs(landed[1, 1] - landed[4, 1])),
        cord=float(abs(landed[2, 1] - landed[4, 1])),
        x=float(landed[3, 0]),
        z=float(z[3]),
    )

"""How far a motion is known, and following it that far.

A box or an arm does not pass through the ground: past the first moment at which the equations of a
motion would have them do so, the motion is not known, and no answer rests on it.
Times are counted in sqrt((arm.long + sling.length) / g), so that all sizes of machine are followed
alike: a peak may come late.
"""

from dataclasses import dataclass, fields, replace

import numpy as np

from slingwright.machine.machine import Machine
from slingwright.motion.ends.outcomes import UNRELEASED
from slingwright.motion.throwing import PHASES, Throw, natural_time, throw, throw_held_ring

FIRST_UNITS, LEAST_UNITS = 8.0, 60.0
"""Natural times that a motion is followed for a first look, and for good."""
LOOSER = 100.0
"""How much larger an error is allowed past the first slack, where a motion is one sample."""
SWINGING = PHASES.index("swinging free") + 1
"""Number of the phase from which on the load hangs on a sling that is clear of the trough."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Followed:
    """A motion as far as it is known.

    Args:
        throw: its histories, cut where the motion is no longer known.
        until: where that is, or as far as it was followed [s].
        cut: what happens there, such as "the sling goes slack"; empty if it is known throughout.
        units: natural times that it was to be followed.
        final: whether it was followed as far as it should be; a quick look is not.
    """

    throw: Throw
    until: float
    cut: str
    units: float = LEAST_UNITS
    final: bool = True

    @property
    def words(self) -> str:
        """How far it was followed, and why no farther."""
        if self.cut:
            return f"known until {self.until:.2f} s, where {self.cut}"
        if self.throw.rested:
            return f"followed to rest at {self.until:.0f} s"
        return f"followed for {self.until:.0f} s, {self.units:g} sqrt((arm + sling) / g)"


def follow(
    machine: Machine,
    *,
    ring: bool = False,
    tolerance: float = 1e-9,
    units: float = LEAST_UNITS,
    looser: float = LOOSER,
) -> Followed:
    """Follow a machine's motion until it is no longer known, to rest, or for some natural times.

    Args:
        ring: whether the ring is held, so that the loaded sling swings on.
        units: how many natural times; fewer than 60 are a first look, and the result says so.
        looser: factor on the tolerance past the first slack; 0 ends the motion there.
    """
    lasting = units * natural_time(machine)
    if ring:
        done = throw_held_ring(machine, tolerance=tolerance, lasting=lasting, looser=looser)
    else:
        done = throw(machine, tolerance=tolerance, swing_through=lasting, looser=looser)
    kept = first_part(done, max(1, int(np.searchsorted(done.time, done.known_until, "right"))))
    final = bool(done.ended) or done.rested or units >= LEAST_UNITS
    return Followed(throw=kept, until=done.known_until, cut=done.ended, units=units, final=final)


def to_first_slack(motion: Followed) -> Followed:
    """Cut a motion where its sling first goes slack: past that it is one sample of many."""
    slack = motion.throw.slack
    if not slack:
        return motion
    count = max(1, int(np.searchsorted(motion.throw.time, slack[0][0], "right")))
    kept = first_part(motion.throw, count)
    return replace(motion, throw=kept, until=slack[0][0], cut=UNRELEASED["sling went slack"])


def first_part(done: Throw, count: int) -> Throw:
    """Cut the histories of a throw after so many moments; the peak is that of what is left."""
    whole = len(done.time)
    if count == whole:
        return done
    cut = {
        field.name: getattr(done, field.name)[:count]
        for field in fields(done)
        if isinstance(getattr(done, field.name), np.ndarray)
        and not field.name.startswith("flight")
        and len(getattr(done, field.name)) == whole
    }
    kept = replace(done, **cut)
    if done.peak_axle_time <= float(kept.time[-1]):
        return kept
    load = kept.axle_load
    at = int(np.argmax(load))
    return replace(kept, peak_axle_load=float(load[at]), peak_axle_time=float(kept.time[at]),
                   peak_axle_phase=PHASES[int(kept.phase[at]) - 1])  # fmt: skip


def box_bottom(done: Throw) -> np.ndarray:
    """Height (n,) [m] of the lowest corner of the counterweight's box."""
    number = done.machine.number
    turned = done.hanger if done.machine.flag("counterweight.hung") else done.arm
    sine, cosine = np.sin(turned), np.cos(turned)
    high, wide = number("counterweight.height"), number("counterweight.width")
    return done.weight[:, 1] - 0.5 * (high * np.abs(cosine) + wide * np.abs(sine))

"""How far a motion is known, and following it that far.

A rope cannot push and a box does not pass through the ground: past the first moment at which the
equations of a motion would have them do so, the motion is not known, and no answer rests on it.
Times are counted in sqrt((arm.long + sling.length) / g), so that all sizes of machine are followed
alike: a peak may come late.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from slingwright.machine.machine import Machine
from slingwright.motion.throwing import PHASES, Throw, natural_time, throw, throw_held_ring

FIRST_UNITS, LEAST_UNITS = 8.0, 60.0
"""Natural times that a motion is followed at first, and where nothing ends it in that time."""
SWINGING = PHASES.index("swinging free") + 1
"""Number of the phase in which the load hangs on a sling that is clear of the trough."""
TOUCHED = {
    "never left the trough": "the projectile never leaves the trough",
    "never slipped": "the ring has not slipped by then",
    "struck the ground": "the projectile strikes the ground",
    "sling went slack": "the sling goes slack",
    "counterweight struck the ground": "the counterweight strikes the ground",
    "gave up": "the steps allowed run out",
}
"""What ends a throw that was not released, by its outcome."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Followed:
    """A motion as far as it is known.

    Args:
        throw: its histories, cut where the motion is no longer known.
        until: where that is, or as far as it was followed [s].
        cut: what happens there, such as "the sling goes slack"; empty if it is known throughout.
        final: whether it was followed as far as it should be; a quick look is not.
    """

    throw: Throw
    until: float
    cut: str
    final: bool = True

    @property
    def words(self) -> str:
        """How far it was followed, and why no farther."""
        if self.cut:
            return f"known until {self.until:.2f} s, where {self.cut}"
        units = LEAST_UNITS if self.final else FIRST_UNITS
        return f"followed for {self.until:.0f} s, {units:g} sqrt((arm + sling) / g)"


def follow(
    machine: Machine, *, ring: bool = False, tolerance: float = 1e-9, quick: bool = False
) -> Followed:
    """Follow a machine's motion until it is no longer known, or for 60 natural times.

    Args:
        machine: what is loosed.
        ring: whether the ring is held, so that the loaded sling swings on.
        tolerance: relative error allowed in a step.
        quick: whether to stop after 8 natural times; the result says that it is not final.
    """
    for units in (FIRST_UNITS,) if quick else (FIRST_UNITS, LEAST_UNITS):
        lasting = units * natural_time(machine)
        if ring:
            done = throw_held_ring(machine, tolerance=tolerance, lasting=lasting)
        else:
            done = throw(machine, tolerance=tolerance, swing_through=lasting)
        count, cut = known_part(done, lasting, ring=ring)
        if cut:
            break
    kept = first_part(done, count)
    return Followed(
        throw=kept, until=float(kept.time[-1]), cut=cut, final=bool(cut) or units == LEAST_UNITS
    )


def known_part(done: Throw, asked: float, *, ring: bool) -> tuple[int, str]:
    """Count the moments before the sling would push or something strikes, and say what that is.

    Args:
        done: the motion.
        asked: how long it was to be followed, after the release where there is one [s].
        ring: whether the ring was held.
    """
    number = done.machine.number
    free = done.phase == SWINGING
    touch = free & (done.ball[:, 1] < 0.5 * number("projectile.diameter"))
    # The load is lifted off the trough at no height and with what pull there is: not yet an end.
    lifted = int(np.argmax(free)) if free.any() else len(free)
    if free.any():
        touch[: lifted + int(np.argmin(touch[lifted:]))] = False
    ends = {
        "the sling goes slack": np.minimum(done.sling_tension, done.pouch_tension) < 0.0,
        "the projectile strikes the ground": touch,
        "the counterweight strikes the ground": box_bottom(done) < 0.0,
        "the tip of the arm strikes the ground": done.tip[:, 1] < 0.0,
    }
    found = [(int(np.argmax(here)), words) for words, here in ends.items() if here.any()]
    if found:
        first, words = min(found)
        # The moment of lifting itself is kept: the load may leave as it is lifted.
        return max(1, first + (first == lifted)), words
    count, last = len(done.time), float(done.time[-1])
    if not ring and done.outcome != "released":
        return count, TOUCHED[done.outcome]
    begun = 0.0 if ring or done.release is None else done.release.time
    if last - begun < (1.0 - 1e-6) * asked:
        box = not ring and any("counterweight strikes" in note for note in done.notes)
        return count, "the counterweight strikes the ground" if box else "the steps allowed run out"
    return count, ""


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
    at = int(np.argmax(kept.axle_load))
    return replace(
        kept,
        peak_axle_load=float(kept.axle_load[at]),
        peak_axle_time=float(kept.time[at]),
        peak_axle_phase=PHASES[int(kept.phase[at]) - 1],
    )


def box_bottom(done: Throw) -> np.ndarray:
    """Height (n,) [m] of the lowest corner of the counterweight's box."""
    number = done.machine.number
    turned = done.hanger if done.machine.flag("counterweight.hung") else done.arm
    sine, cosine = np.sin(turned), np.cos(turned)
    high, wide = number("counterweight.height"), number("counterweight.width")
    return done.weight[:, 1] - 0.5 * (high * np.abs(cosine) + wide * np.abs(sine))

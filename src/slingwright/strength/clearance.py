"""Does anything strike anything: what swings against what stands, over throw and long swing.

Each motion is followed as far as it is known; short of its end nothing is called clear.

Two things can meet only where their breadths along the axle overlap: a box narrower than the way
between the A-frames passes beside the legs, and the gap beside it is told instead. Where breadths
overlap, the gap is that of the outlines in the side view.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount, Text, form, joined
from slingwright.machine.faults import MachineError
from slingwright.machine.machine import Machine
from slingwright.motion.bodies import (
    Moving,
    Standing,
    met_parts,
    moving_parts,
    smallest_gap,
    standing_parts,
)
from slingwright.motion.known import Followed, follow, to_first_slack
from slingwright.motion.throwing import Throw
from slingwright.strength.loads.brief import EMPTY, brief_loads, loaded_machine


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """The smallest gap of a pair in a case; 0 where they strike.

    `beside` is true where they pass beside one another: the gap is then along the axle, and there
    is no moment to it.
    """

    moving: str
    standing: str
    case: str
    gap: float  # m
    time: float  # s
    index: int
    place: tuple[float, float]  # m, on the moving outline
    beside: bool

    @property
    def strikes(self) -> bool:
        """Whether the two meet."""
        return self.gap <= 0.0

    @property
    def words(self) -> Text:
        """The gap in words."""
        if self.beside:
            return form("{} passes beside the {} with {:3m} to spare")(
                self.moving, self.standing, self.gap
            )
        at = form("at {:.2f} s, {:3m} along and {:3m} up")(self.time, *self.place)
        if self.strikes:
            return form("{} strikes the {} {}, in {}")(self.moving, self.standing, at, self.case)
        return form("{} clears the {} by {:3m} {}")(self.moving, self.standing, self.gap, at)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Clearance(Answer):
    """Every pair's smallest gap, the smallest first, with the motions they were read off."""

    machine: Machine
    gaps: tuple[Gap, ...]
    motions: dict[str, Followed]
    standing: tuple[Standing, ...]
    missing: dict[str, str]  # loads that this machine cannot take, and why

    @property
    def throws(self) -> dict[str, Throw]:
        """The throws, as far as they are known, by load."""
        return {name: motion.throw for name, motion in self.motions.items()}

    @property
    def clear(self) -> bool:
        """Whether every load was followed to its end and nothing strikes."""
        return self.verdict == "holds"

    @property
    def verdict(self) -> str:
        """`fails` where something strikes, `not known` where a motion was not followed, `holds`."""
        if self._struck():
            return "fails"
        cut = any(motion.cut for motion in self.motions.values())
        return "not known" if self.missing or cut else "holds"

    def _struck(self) -> list[str]:
        """Say everything that strikes: pairs, and what ended a motion on the ground."""
        pairs: list[str] = [gap.words for gap in self.gaps if gap.strikes]
        ground = [
            f"{motion.cut.removeprefix('the ')} at {motion.until:.2f} s, in {name}"
            for name, motion in self.motions.items()
            if "ground" in motion.cut
        ]
        return pairs + ground

    @property
    def smallest(self) -> Gap:
        """The smallest gap."""
        return self.gaps[0]

    @property
    def sentence(self) -> Text:
        """The smallest gap, or everything that strikes, or how far nothing does."""
        struck = self._struck()
        parts: list[str] = [joined(struck[:3], "; ") + "."] if struck else []
        parts += [f"Not known: {n} cannot be thrown ({why})." for n, why in self.missing.items()]
        if parts:
            return joined(parts)
        told: list[str] = []
        for beside, where in ((False, "in the side view"), (True, "along the axle")):
            near = next((gap for gap in self.gaps if gap.beside == beside), None)
            if near is not None:
                told.append(form("Smallest gap {}: {}, in {}.")(where, near.words, near.case))
        cut = {name: motion for name, motion in self.motions.items() if motion.cut}
        if cut:
            name = min(cut, key=lambda one: cut[one].until)
            so_far = f"{name} is {cut[name].words}"
            return joined([f"Not known: {so_far}. Nothing strikes up to then.", *told])
        return joined(["Nothing strikes.", *told])

    def rows(self) -> Iterator[Row]:
        """Give every pair's smallest gap."""
        for gap in self.gaps:
            key = f"{gap.moving}/{gap.standing}/{gap.case}{'/beside' if gap.beside else ''}"
            label = f"{gap.moving} and {gap.standing}, in {gap.case}"
            yield Row(key, label, Amount(gap.gap, "m", 3), gap.words)


def clearance(machine: Machine) -> Clearance:
    """Find the smallest gap of everything that swings to everything that stands.

    Args:
        machine: the machine; a base on wheels is taken at rest, its parts moving with it.
    """
    motions: dict[str, Followed] = {}
    loads = tuple(brief_loads(machine))
    missing: dict[str, str] = {}
    for load in (*loads, EMPTY):
        try:
            # Past the first slack one motion is one sample: nothing is clear by it.
            motions[load.name] = to_first_slack(follow(loaded_machine(machine, load)))
        except MachineError as error:
            missing[load.name] = str(error).splitlines()[0]
    throws = {name: motion.throw for name, motion in motions.items()}
    largest = max((load.diameter for load in loads), default=0.0)
    standing = tuple(standing_parts(machine, throws.values(), largest))
    best: dict[tuple[str, str], Gap] = {}
    for name, thrown in throws.items():
        box, *others = moving_parts(thrown)
        pairs = [(moving, still) for moving in (box, *others) for still in standing]
        for moving, still in [*pairs, *((box, arm) for arm in met_parts(thrown))]:
            gap = _gap(moving, still, thrown, name)
            if gap is None:
                continue
            pair = (gap.moving, gap.standing)
            if pair not in best or gap.gap < best[pair].gap:
                best[pair] = gap
    found = sorted(best.values(), key=lambda gap: (gap.gap, gap.beside))
    return Clearance(
        machine=machine, gaps=tuple(found), motions=motions, standing=standing, missing=missing
    )


def _gap(moving: Moving, still: Standing, thrown: Throw, case: str) -> Gap | None:
    """Give the smallest gap of a pair, or None where they cannot meet at all by design."""
    if still.name in moving.shy_of or not moving.counted.any():
        return None
    beside = moving.half <= still.band[0]
    index, place = 0, np.zeros(2)
    if beside:
        gap = still.band[0] - moving.half or 1e-9
    else:
        index, gap, place = smallest_gap(moving, still)
        place = place + np.array([thrown.base[index], 0.0])
    return Gap(
        moving=moving.name, standing=still.name, case=case, gap=gap,
        time=0.0 if beside else float(thrown.time[index]), index=index,
        place=(float(place[0]), float(place[1])), beside=beside,
    )  # fmt: skip

"""Does anything strike anything: what swings against what stands, over throw and long swing.

Each motion is followed as far as it is known; short of its end nothing is called clear.

Two things can meet only where their breadths along the axle overlap: a box narrower than the way
between the A-frames passes beside the legs, and the gap beside it is told instead. Where breadths
overlap, the gap is that of the outlines in the side view.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount, Text, form, joined
from slingwright.machine.faults import MachineError
from slingwright.machine.machine import Machine
from slingwright.motion.known import Followed, follow, to_first_slack
from slingwright.motion.throwing import Throw
from slingwright.strength.brief import EMPTY, brief_loads, loaded_machine

BOARD = 0.04
"""Thickness of trough boards and guide rails: common practice [m]."""
RAIL = 0.6
"""Height of the guide rails over the trough, as a share of the load's diameter: common practice."""
FIRST_LOOK = 24
"""Moments looked at first, so that most others need no look."""
ROUND = 24
"""Sides of the polygon that stands for a wheel or projectile; its error is under 1 %."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Standing:
    """Something that stands: a closed outline (k, 2) [m] in the side view, and its band [m].

    The band is the distance from the middle plane, along the axle, at which it begins and ends.
    """

    name: str
    outline: np.ndarray
    band: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Moving:
    """Something that swings: closed outlines (n, k, 2) [m], and half its breadth [m]."""

    name: str
    outline: np.ndarray
    half: float
    counted: np.ndarray  # (n,) whether it can strike at that moment
    shy_of: frozenset[str] = frozenset()  # what it touches by design


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
            if "strikes" in motion.cut
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
    standing = tuple(standing_parts(machine, throws, largest))
    best: dict[tuple[str, str], Gap] = {}
    for name, thrown in throws.items():
        for moving in moving_parts(thrown):
            for still in standing:
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


def standing_parts(
    machine: Machine, throws: dict[str, Throw], largest: float
) -> Iterator[Standing]:
    """Give what stands: legs, brace, sills, their cross pieces, trough, guide rails and ground."""
    n = machine.number
    height, half = n("axle.height"), 0.5 * n("frame.spread")
    inner = 0.5 * n("axle.span")
    legs = (inner, inner + n("frame.leg_width"))
    deep, apex = 0.5 * n("frame.leg_depth"), np.array([0.0, height])
    for name, foot in (("rear leg", -half), ("front leg", half)):
        yield Standing(
            name=name, outline=_strip(np.array([foot, 0.0]), apex, deep, deep), band=legs
        )
    share = 1.0 - n("frame.brace") / height
    ends = np.array([-half * share, n("frame.brace")]), np.array([half * share, n("frame.brace")])
    thick = 0.5 * n("frame.brace_depth")
    yield Standing(
        name="brace",
        outline=_strip(*ends, thick, thick),
        band=(inner, inner + n("frame.brace_width")),
    )
    long, sill = 0.5 * n("frame.sill_length"), n("frame.sill_depth")
    yield Standing(
        name="sill",
        outline=_box(-long, long, 0.0, sill),
        band=(inner, inner + n("frame.sill_width")),
    )
    for name, foot in (("rear cross sill", -half), ("front cross sill", half)):
        yield Standing(
            name=name,
            outline=_box(foot - 0.5 * sill, foot + 0.5 * sill, 0.0, sill),
            band=(0.0, inner),
        )
    start, end = trough_ends(machine, throws)
    level, wide = n("trough.height"), 0.5 * n("trough.width")
    yield Standing(name="trough", outline=_box(start, end, level - BOARD, level), band=(0.0, wide))
    yield Standing(
        name="guide rails",
        outline=_box(start, end, level - BOARD, level + RAIL * largest),
        band=(wide, wide + BOARD),
    )
    far = 2.0 * (n("arm.long") + n("sling.length")) + long
    yield Standing(name="ground", outline=_box(-far, far, -1.0, 0.0), band=(0.0, math.inf))


def trough_ends(machine: Machine, throws: dict[str, Throw]) -> tuple[float, float]:
    """Rear and front end of the trough: the projectile's path in it, with room, to the foot [m]."""
    n = machine.number
    room = 0.06 * n("arm.long") + n("projectile.diameter")
    ways = [
        thrown.ball[thrown.phase == 1, 0] - thrown.base[thrown.phase == 1]
        for thrown in throws.values()
    ]
    places = np.concatenate([way for way in ways if way.size] or [np.zeros(1)])
    front = max(float(places.max()) + room, -0.5 * n("frame.spread"))
    return float(places.min()) - room, front


def moving_parts(thrown: Throw) -> Iterator[Moving]:
    """Give what swings in a throw: counterweight box, arm, sling and projectile."""
    machine = thrown.machine
    n = machine.number
    shift = np.column_stack([thrown.base, np.zeros_like(thrown.base)])
    tip, pin, axle = thrown.tip - shift, thrown.pin - shift, thrown.axle - shift
    weight, ball = thrown.weight - shift, thrown.ball - shift
    always = np.ones(thrown.time.size, dtype=bool)
    yield Moving(
        name="counterweight box",
        outline=_boxes(machine, axle, pin, weight),
        half=0.5 * n("counterweight.breadth"),
        counted=always,
    )
    yield Moving(
        name="arm",
        outline=_arms(machine, axle, pin, tip),
        half=0.5 * n("arm.width_at_axle"),
        counted=always,
    )
    radius = 0.5 * n("projectile.diameter")
    # Once it has risen by its own size the projectile should touch nothing; the pouch may lie.
    risen = np.maximum.accumulate(ball[:, 1]) > ball[0, 1] + max(2.0 * radius, 0.05)
    flying = risen & (thrown.phase == 2)
    turn = np.linspace(0.0, 2.0 * math.pi, ROUND, endpoint=False)
    ring = np.column_stack([np.cos(turn), np.sin(turn)]) * max(radius, 1e-3)
    yield Moving(
        name="projectile",
        outline=ball[:, None, :] + ring[None, :, :],
        half=radius,
        counted=flying,
    )
    yield Moving(
        name="sling",
        outline=np.stack([tip, ball], axis=1),
        half=max(radius, 0.5 * n("prong.diameter")),
        counted=flying,
        shy_of=frozenset({"trough"}),
    )


def _boxes(machine: Machine, axle: np.ndarray, pin: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Corners of the counterweight box at every moment, (n, 4, 2) [m]."""
    wide = 0.5 * machine.number("counterweight.width")
    high = 0.5 * machine.number("counterweight.height")
    down = weight - pin
    if not machine.flag("counterweight.hung") or float(np.hypot(*down[0])) < 1e-9:
        down = pin - axle
    down = down / np.hypot(down[:, 0], down[:, 1])[:, None]
    side = np.column_stack([-down[:, 1], down[:, 0]])
    corners = [weight + x * side + y * down for x, y in _corners(wide, high)]
    return np.stack(corners, axis=1)


def _corners(wide: float, high: float) -> tuple[tuple[float, float], ...]:
    return ((-wide, -high), (wide, -high), (wide, high), (-wide, high))


def _arms(machine: Machine, axle: np.ndarray, pin: np.ndarray, tip: np.ndarray) -> np.ndarray:
    """Outline of the arm at every moment, (n, 6, 2) [m]."""
    thick = 0.5 * machine.number("arm.depth_at_axle")
    thin = 0.5 * machine.number("arm.depth_at_tip")
    along = tip - axle
    along = along / np.hypot(along[:, 0], along[:, 1])[:, None]
    across = np.column_stack([-along[:, 1], along[:, 0]])
    butt = pin - thick * along
    return np.stack(
        [
            butt + thick * across,
            axle + thick * across,
            tip + thin * across,
            tip - thin * across,
            axle - thick * across,
            butt - thick * across,
        ],
        axis=1,
    )


def _strip(start: np.ndarray, end: np.ndarray, at_start: float, at_end: float) -> np.ndarray:
    along = (end - start) / float(np.hypot(*(end - start)))
    across = np.array([-along[1], along[0]])
    return np.array(
        [
            start + at_start * across,
            end + at_end * across,
            end - at_end * across,
            start - at_start * across,
        ]
    )


def _box(left: float, right: float, low: float, high: float) -> np.ndarray:
    return np.array([[left, low], [right, low], [right, high], [left, high]])


def _gap(moving: Moving, still: Standing, thrown: Throw, case: str) -> Gap | None:
    """Give the smallest gap of a pair, or None where they cannot meet at all by design."""
    if still.name in moving.shy_of or not moving.counted.any():
        return None
    if moving.half <= still.band[0]:
        return Gap(
            moving=moving.name,
            standing=still.name,
            case=case,
            gap=still.band[0] - moving.half if moving.half < still.band[0] else 1e-9,
            time=0.0,
            index=0,
            place=(0.0, 0.0),
            beside=True,
        )
    picked = _near(moving, still)
    gaps, nearest = outline_gaps(moving.outline[picked], still.outline)
    at = int(np.argmin(gaps))
    index = int(picked[at])
    place = moving.outline[index, nearest[at]] + np.array([thrown.base[index], 0.0])
    return Gap(
        moving=moving.name,
        standing=still.name,
        case=case,
        gap=float(gaps[at]),
        time=float(thrown.time[index]),
        index=index,
        place=(float(place[0]), float(place[1])),
        beside=False,
    )


def _near(moving: Moving, still: Standing) -> np.ndarray:
    """Give the moments at which the smallest gap can be, by the boxes around both outlines."""
    picked = np.flatnonzero(moving.counted)
    low, high = moving.outline[picked].min(axis=1), moving.outline[picked].max(axis=1)
    apart = np.maximum(still.outline.min(axis=0) - high, low - still.outline.max(axis=0))
    least = np.hypot(*np.maximum(apart, 0.0).T)
    first = picked[np.argsort(least)[:FIRST_LOOK]]
    found = float(outline_gaps(moving.outline[first], still.outline)[0].min())
    return picked[least <= found * (1.0 + 1e-9) + 1e-12]


def outline_gaps(moving: np.ndarray, still: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Gap of convex outlines (n, k, 2) to one convex outline (m, 2), 0 where they overlap.

    Returns:
        Gaps (n,) [m], and which corner of the moving outline is nearest, (n,).
    """
    corners, ends = moving, np.roll(moving, -1, axis=1)
    sides, side_ends = still, np.roll(still, -1, axis=0)
    by_corner = _to_segments(corners[:, :, None, :], sides[None, None], side_ends[None, None])
    by_side = _to_segments(still[None, None, :, :], corners[:, :, None, :], ends[:, :, None, :])
    nearest = by_corner.min(axis=2)
    gaps = np.minimum(nearest.min(axis=1), by_side.min(axis=(1, 2)))
    gaps[_overlap(moving, still)] = 0.0
    return gaps, np.argmin(nearest, axis=1)


def _to_segments(point: np.ndarray, start: np.ndarray, end: np.ndarray) -> np.ndarray:
    """Distance of points to segments, all broadcast together [m]."""
    along = end - start
    size = (along**2).sum(axis=-1)
    share = ((point - start) * along).sum(axis=-1) / np.where(size > 0.0, size, 1.0)
    off = point - start - np.clip(share, 0.0, 1.0)[..., None] * along
    return np.sqrt((off**2).sum(axis=-1))


def _overlap(moving: np.ndarray, still: np.ndarray) -> np.ndarray:
    """Whether convex outlines overlap (n,): no side of either parts them."""
    parted = np.zeros(moving.shape[0], dtype=bool)
    for a, b in zip(still, np.roll(still, -1, axis=0), strict=True):
        axis = np.array([b[1] - a[1], a[0] - b[0]])
        one, other = moving @ axis, still @ axis
        parted |= (one.min(axis=1) >= other.max()) | (one.max(axis=1) <= other.min())
    sides = np.roll(moving, -1, axis=1) - moving
    for k in range(moving.shape[1]):
        axes = np.column_stack([sides[:, k, 1], -sides[:, k, 0]])
        one = np.einsum("nkd,nd->nk", moving, axes)
        other = np.einsum("md,nd->nm", still, axes)
        parted |= (one.min(axis=1) >= other.max(axis=1)) | (one.max(axis=1) <= other.min(axis=1))
    return ~parted

"""What stands and what swings, as outlines in the side view with their breadth along the axle.

Two things can meet only where their breadths overlap: a box narrower than the way between the
A-frames passes beside the legs.  Where they overlap, the gap is that of the outlines.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from types import SimpleNamespace
from typing import Any

import numpy as np

from slingwright.machine.machine import Machine
from slingwright.machine.outline import arms, boxes

BOARD = 0.04
"""Thickness of guide rails: common practice [m]."""
RAIL = 0.6
"""Height of the guide rails over the trough, as a share of the load's diameter: common practice."""
FIRST_LOOK = 24
"""Moments looked at first, so that most others need no look."""
FOLDS = 256
"""Angles between box and arm that are looked at: no corner passes by 1e-4 of its way unseen."""
ROUND = 24
"""Sides of the polygon that stands for a wheel or projectile; its error is under 1 %."""


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """Something that is met: a closed outline (k, 2) [m] in the side view, and its band [m].

    Its outline is (n, k, 2) where it moves itself, as the arm does that a box may meet.

    The band is the distance from the middle plane, along the axle, at which it begins and ends.
    """

    name: str
    outline: np.ndarray
    band: tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Moving:
    """Something that swings: closed outlines (n, k, 2) [m], and half its breadth [m]."""

    name: str
    outline: np.ndarray
    half: float
    counted: np.ndarray  # (n,) whether it can strike at that moment
    shy_of: frozenset[str] = frozenset()  # what it touches by design


def standing_parts(machine: Machine, throws: Iterable[Any], largest: float) -> Iterator[Standing]:
    """Give what stands: legs, brace, sills, their cross pieces, trough, guide rails and ground."""
    n = machine.number
    height, half = n("axle.height"), 0.5 * n("frame.spread")
    inner = 0.5 * n("axle.span")
    legs = (inner, inner + n("frame.leg_width"))
    deep, apex = 0.5 * n("frame.leg_depth"), np.array([0.0, height])
    for name, foot in (("rear leg", -half), ("front leg", half)):
        yield Standing(name, _strip(np.array([foot, 0.0]), apex, deep, deep), legs)
    share = 1.0 - n("frame.brace") / height
    ends = np.array([-half * share, n("frame.brace")]), np.array([half * share, n("frame.brace")])
    thick = 0.5 * n("frame.brace_depth")
    brace = _strip(*ends, thick, thick)
    yield Standing("brace", brace, (inner, inner + n("frame.brace_width")))
    long, sill = 0.5 * n("frame.sill_length"), n("frame.sill_depth")
    lies = _box(-long, long, 0.0, sill)
    yield Standing("sill", lies, (inner, inner + n("frame.sill_width")))
    for name, foot in (("rear cross sill", -half), ("front cross sill", half)):
        across = _box(foot - 0.5 * sill, foot + 0.5 * sill, 0.0, sill)
        yield Standing(name, across, (0.0, inner))
    start, end = trough_ends(machine, throws)
    level, wide = n("trough.height"), 0.5 * n("trough.width")
    trough = _box(start, end, level - n("trough.board"), level)
    yield Standing("trough", trough, (0.0, wide))
    rails = _box(start, end, level - BOARD, level + RAIL * largest)
    yield Standing("guide rails", rails, (wide, wide + BOARD))
    far = 2.0 * (n("arm.long") + n("sling.length")) + long
    yield Standing("ground", _box(-far, far, -1.0, 0.0), (0.0, math.inf))


def trough_ends(machine: Machine, throws: Iterable[Any]) -> tuple[float, float]:
    """Rear and front end of the trough: the projectile's path in it, with room, to the foot [m]."""
    n = machine.number
    room = 0.06 * n("arm.long") + n("projectile.diameter")
    ways = [thrown.ball[thrown.phase == 1, 0] - thrown.base[thrown.phase == 1] for thrown in throws]
    places = np.concatenate([way for way in ways if way.size] or [np.zeros(1)])
    front = max(float(places.max()) + room, -0.5 * n("frame.spread"))
    return float(places.min()) - room, front


def moving_parts(thrown: Any) -> Iterator[Moving]:
    """Give what swings in a throw: counterweight box, arm, sling and projectile."""
    machine = thrown.machine
    n = machine.number
    shift = np.column_stack([thrown.base, np.zeros_like(thrown.base)])
    tip, pin, axle = thrown.tip - shift, thrown.pin - shift, thrown.axle - shift
    weight, ball = thrown.weight - shift, thrown.ball - shift
    always = np.ones(thrown.time.size, dtype=bool)
    # A fixed one is built around the arm.
    shy = frozenset() if machine.flag("counterweight.hung") else frozenset({"arm"})
    box, half = boxes(machine, axle, pin, weight), 0.5 * n("counterweight.breadth")
    yield Moving("counterweight box", box, half, always, shy)
    yield Moving("arm", arms(machine, axle, pin, tip), 0.5 * n("arm.width_at_axle"), always)
    radius = 0.5 * n("projectile.diameter")
    # Once it has risen by its own size the projectile should touch nothing; the pouch may lie.
    risen = np.maximum.accumulate(ball[:, 1]) > ball[0, 1] + max(2.0 * radius, 0.05)
    flying = risen & (thrown.phase == 2)
    turn = np.linspace(0.0, 2.0 * math.pi, ROUND, endpoint=False)
    ring = np.column_stack([np.cos(turn), np.sin(turn)]) * max(radius, 1e-3)
    yield Moving("projectile", ball[:, None, :] + ring[None, :, :], radius, flying)
    half, line = max(radius, 0.5 * n("prong.diameter")), np.stack([tip, ball], axis=1)
    yield Moving("sling", line, half, flying, frozenset({"trough"}))


def met_parts(thrown: Any) -> Iterator[Standing]:
    """Give what swings and is met by something else that swings: the arm, by the box."""
    arm = next(part for part in moving_parts(thrown) if part.name == "arm")
    yield Standing("arm", arm.outline, (0.0, arm.half))


def first_strike(thrown: Any) -> tuple[int, str] | None:
    """Find the first moment at which box or arm strikes the frame, or the box the arm.

    Striking the ground is an event of the motion itself.  What overlaps from the start is a fault
    of the drawing that `clearance` tells; it counts once it has come free.

    Returns: The index of the moment and what strikes what; None where nothing does.
    """
    machine = thrown.machine
    n = machine.number
    everything = standing_parts(machine, [thrown], n("projectile.diameter"))
    stands = [part for part in everything if part.name != "ground"]
    found = list(_folded(thrown))
    halves = {part.name: part.half for part in islice(moving_parts(at_moments(thrown, [0])), 2)}
    low = {
        "counterweight box": thrown.weight[:, 1]
        - 0.5 * math.hypot(n("counterweight.width"), n("counterweight.height")),
        "arm": np.minimum(thrown.tip[:, 1], thrown.pin[:, 1]) - n("arm.depth_at_axle"),
    }
    for name, half in halves.items():
        met = [part for part in stands if half > part.band[0]]
        top = max((float(part.outline[:, 1].max()) for part in met), default=-math.inf)
        near = np.flatnonzero(low[name] <= top)
        if near.size == 0:
            continue
        moving = next(part for part in moving_parts(at_moments(thrown, near)) if part.name == name)
        for still in met:
            hits = np.zeros(thrown.time.size, dtype=bool)
            hits[near] = _hits(moving.outline, still.outline)
            found += [(at, f"the {name} strikes the {still.name}") for at in _entered(hits)]
    return min(found, default=None)


def _folded(thrown: Any) -> Iterator[tuple[int, str]]:
    """Give the moment at which a hung box, turning about its pin, comes to strike the arm."""
    machine = thrown.machine
    if not machine.flag("counterweight.hung"):
        return
    turned = thrown.hanger + thrown.arm
    angle = np.linspace(turned.min(), turned.max(), FOLDS)
    zero, n = np.zeros(FOLDS), machine.number
    pin = np.array([n("arm.short"), 0.0])
    hangs = n("counterweight.hanger") * np.column_stack([np.sin(angle), -np.cos(angle)])
    tip = np.array([-n("arm.long"), 0.0])
    box = boxes(machine, zero[:, None] * pin, zero[:, None] + pin, pin + hangs)
    arm = arms(machine, np.zeros((1, 2)), pin[None], tip[None])[0]
    hit = _hits(box, arm)
    place = np.interp(turned, angle, np.arange(FOLDS))
    hits = hit[np.floor(place).astype(int)] | hit[np.ceil(place).astype(int)]
    yield from ((at, "the counterweight box strikes the arm") for at in _entered(hits))


def _entered(hits: np.ndarray) -> list[int]:
    """Give the first moment of a touch (n,), past one that is there from the start."""
    later = hits & ~np.logical_and.accumulate(hits)
    return [int(np.argmax(later))] if later.any() else []


def _hits(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """Whether outlines, as in `outline_gaps`, overlap (n,), looked at where they are near."""
    hits = _apart(one, other) <= 0.0
    near = np.flatnonzero(hits)
    hits[near] = _overlap(one[near], _of(other, near))
    return hits


def at_moments(thrown: Any, picked: Any) -> SimpleNamespace:
    """Give the places of a throw at some of its moments."""
    names = ("time", "phase", "base", "axle", "tip", "pin", "weight", "ball")
    places = {name: getattr(thrown, name)[picked] for name in names}
    return SimpleNamespace(machine=thrown.machine, **places)


def _strip(start: np.ndarray, end: np.ndarray, at_start: float, at_end: float) -> np.ndarray:
    along = (end - start) / float(np.hypot(*(end - start)))
    across = np.array([-along[1], along[0]])
    first, last = at_start * across, at_end * across
    return np.array([start + first, end + last, end - last, start - first])


def _box(left: float, right: float, low: float, high: float) -> np.ndarray:
    return np.array([[left, low], [right, low], [right, high], [left, high]])


def smallest_gap(moving: Moving, still: Standing) -> tuple[int, float, np.ndarray]:
    """Give the moment of the smallest gap [m] of two that can meet, and the moving place [m]."""
    counted = np.flatnonzero(moving.counted)
    outline, other = moving.outline[counted], still.outline
    if other.ndim == 3:
        other = other[counted]
    least = _apart(outline, other)
    first = np.argsort(least)[:FIRST_LOOK]
    reach = outline_gaps(outline[first], _of(other, first))[0].min()
    picked = np.flatnonzero(least <= reach * (1.0 + 1e-9) + 1e-12)
    gaps, nearest = outline_gaps(outline[picked], _of(other, picked))
    at = int(np.argmin(gaps))
    return int(counted[picked[at]]), float(gaps[at]), outline[picked[at], nearest[at]]


def _of(outline: np.ndarray, picked: np.ndarray) -> np.ndarray:
    return outline if outline.ndim == 2 else outline[picked]


def _apart(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """How far the upright boxes around outlines, as in `outline_gaps`, are apart (n,)."""
    low = one.min(axis=1) - other.max(axis=-2)
    high = other.min(axis=-2) - one.max(axis=1)
    return np.hypot(*np.maximum(np.maximum(low, high), 0.0).T)


def outline_gaps(one: np.ndarray, other: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Gap of convex outlines (n, k, 2) to others (n, m, 2) or to one (m, 2); 0 where they overlap.

    Returns: Gaps (n,) [m], and which corner of `one` is nearest, (n,).
    """
    other = np.broadcast_to(other, (len(one), *other.shape[-2:]))
    by_corner = _to_segments(one[:, :, None], other[:, None], np.roll(other, -1, axis=1)[:, None])
    by_side = _to_segments(other[:, None], one[:, :, None], np.roll(one, -1, axis=1)[:, :, None])
    nearest = by_corner.min(axis=2)
    gaps = np.minimum(nearest.min(axis=1), by_side.min(axis=(1, 2)))
    gaps[_overlap(one, other)] = 0.0
    return gaps, np.argmin(nearest, axis=1)


def _to_segments(point: np.ndarray, start: np.ndarray, end: np.ndarray) -> np.ndarray:
    """Distance of points to segments, all broadcast together [m]."""
    along = end - start
    size = (along**2).sum(axis=-1)
    share = ((point - start) * along).sum(axis=-1) / np.where(size > 0.0, size, 1.0)
    off = point - start - np.clip(share, 0.0, 1.0)[..., None] * along
    return np.sqrt((off**2).sum(axis=-1))


def _overlap(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """Whether convex outlines, as in `outline_gaps`, overlap (n,): no side of either parts them."""
    other = np.broadcast_to(other, (len(one), *other.shape[-2:]))
    parted = np.zeros(len(one), dtype=bool)
    for outline in (one, other):
        side = np.roll(outline, -1, axis=1) - outline
        across = np.stack([-side[..., 1], side[..., 0]], axis=-1).swapaxes(1, 2)
        first, second = one @ across, other @ across
        beyond = (first.min(axis=1) >= second.max(axis=1)) | (
            first.max(axis=1) <= second.min(axis=1)
        )
        parted |= beyond.any(axis=1)
    return ~parted

"""The next trial: which settings gain most range, or land nearest a target, and what to look for.

Trials are spread over the settings that may be changed, thrown at the best values of what is not
surely known, and held to the limits. The likeliest few are thrown again at draws of what the shots
leave possible, each against the present settings at the same draw, so that the gain and its
interval are those of the change alone.

Nobody is to stand where a trial may land: a changed release angle can throw backward or straight
up. Local codes and a competent person decide what may be loosed.
"""

import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount, Text, alike, form, joined, span
from slingwright.changing.state import look_at, new_failings
from slingwright.changing.trials import (
    Bound,
    Limits,
    TrialError,
    clear_ground,
    judge,
    setting_rows,
    settings_words,
)
from slingwright.learning.belief import MOST_FAILING, Belief
from slingwright.learning.fitting import Interval
from slingwright.machine.table import dials
from slingwright.machine.table.dials import Value

TRIALS = 256  # settings spread over the bounds
ROUNDS = 2  # of closer trials around the best
KEPT = 10  # trials that are thrown at the draws
DRAWS = 150
LOOKED_AT = 3  # trials that are held to every check
SAFE_SHARE = 0.99  # share of the shots that must land within the clear ground
WITHIN = 0.9  # share of the draws that must keep to each other limit: common practice
PRACTICAL: Mapping[str, float] = {"m": 0.01, "kg": 1.0, "rad": math.radians(0.5), "-": 0.01}
"""Steps to which a trial's settings are rounded: what can be set in the field."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """Settings to try, what they should do, and what they gain over the present ones."""

    settings: Mapping[str, float]  # SI
    range: Interval  # m, of the next shot, scatter in it
    gain: Interval  # m, of the range, by the change alone
    miss: float | None  # m, expected distance from the target, where there is one
    chance: float  # that the change makes it better at all
    axle_load: float  # N, at the best values
    crank_force: float | None  # N, where it is limited

    def words(self) -> Text:
        """Name the settings for a reader."""
        return settings_words(self.settings)


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Advice(Answer):
    """The next trial, the others that came near, what the present settings do, what to look for."""

    best: Trial | None
    others: tuple[Trial, ...]
    present: Interval  # m
    target: float | None
    watch: tuple[str, ...]
    sentence: str

    def rows(self) -> Iterator[Row]:
        """Give the settings to try, what they should do, and what to look for."""
        best = self.best
        if best is not None:
            yield from setting_rows(best.settings)
            yield Row("range", "Range of the next shot", span(best.range.low, best.range.high, "m"))
            yield Row("gain", "Gain in range", span(best.gain.low, best.gain.high, "m"))
            if best.miss is not None:
                yield Row("miss", "Mean distance from the target", Amount(best.miss, "m", 3))
            yield Row("chance", "Chance that it is better", Amount(best.chance, "share", 2))
            yield Row("axle_load", "Peak axle load", Amount(best.axle_load, "N", 3))
        yield Row("present", "Range as set", span(self.present.low, self.present.high, "m"))
        for place, words in enumerate(self.watch, start=1):
            yield Row(f"watch.{place}", "Look for", words)


def next_trial(
    belief: Belief,
    bounds: Sequence[Bound],
    *,
    target: float | None = None,
    limits: Limits | None = None,
    settings: Mapping[str, Value] | None = None,
    checks: bool = False,
    progress: Callable[[str], Any] | None = None,
) -> Advice:
    """Advise the next trial.

    Args:
        belief: what is held true: `learned.belief`, or `before_any_shot(machine)`.
        bounds: the settings that may be changed, one to three, and how far.
        target: distance to land at [m]; None asks for the longest range.
        limits: what to keep to; the clear ground is always one.
        settings: present settings that differ from the machine's, such as the load.
        checks: look at strength, winding and ground too, and pass over a trial that brings a
            failing that the present settings do not have; a second or two a trial.
        progress: told in words how far it is; what it raises ends the work.

    Raises:
        TrialError: shots and model disagree, no bounds or more than three, or a target past the
            clear ground or short of the range to be reached.
    """
    if belief.doubt:
        raise TrialError(belief.doubt)
    chosen, kept = tuple(bounds), limits or Limits()
    now = dict(settings or {})
    end = clear_ground(belief.machine, kept)
    _refuse(chosen, target, end, kept)
    kept = _with_room(belief, kept, end, now)
    report = progress or (lambda words: None)
    low = np.array([bound.low for bound in chosen])
    high = np.array([bound.high for bound in chosen])
    steps = np.array([PRACTICAL.get(dials.dial(b.path).si_unit, 0.01) for b in chosen])
    whole = np.array([dials.dial(b.path).whole for b in chosen])
    steps[whole] = 1.0
    chance = np.random.default_rng(belief.seed)
    points = _spread(chosen, low, high, chance)
    tried: dict[tuple[float, ...], tuple[float, float, float]] = {}
    width = 0.15 * (high - low)
    for turn in range(ROUNDS + 1):
        report(f"throwing trials, round {turn + 1} of {ROUNDS + 1}")
        if turn:
            top = sorted(tried, key=lambda point: tried[point][0], reverse=True)[:6]
            near = np.array(top)[chance.integers(len(top), size=96)]
            points = near + width * chance.standard_normal(near.shape)
            width = 0.35 * width
        held = np.clip(np.round(points / steps) * steps, low, high)
        fresh = [tuple(row) for row in dict.fromkeys(map(tuple, held.tolist())) if row not in tried]
        if fresh:
            tried.update(_judged(belief, chosen, fresh, now, target, kept))
    good = [point for point in tried if math.isfinite(tried[point][0])]
    good = sorted(good, key=lambda point: tried[point][0], reverse=True)[:KEPT]
    trials = [{**now, **_as_settings(chosen, point)} for point in good]
    report("throwing the likeliest trials for every draw")
    thrown = belief.outcomes([now, *trials], "range", DRAWS)
    loads, most = None, (limits or kept).axle_load
    if most is not None and trials:
        loads = belief.outcomes(trials, "peak_axle_load", DRAWS)
    present = _with_scatter(belief, thrown[:, 0], now)
    found = []
    for place, point in enumerate(good):
        after = thrown[:, place + 1]
        if kept.nearest is not None and np.mean(after >= kept.nearest) < 0.5:
            continue
        if loads is not None and np.mean(loads[:, place] <= most) < WITHIN:
            continue
        one = _trial(belief, chosen, point, thrown[:, [0, place + 1]], target, end, tried[point])
        if one is not None:
            found.append(one)
    brings: list[str] = []
    if checks:
        report("holding the likeliest trials to every check")
        found, brings = _sound(belief, found, now, target)
    advised = _advice(belief, chosen, found, present, thrown[:, 0], target, now)
    if not brings:
        return advised
    said = joined(brings[:3], "; ")
    warned = form("Do not loose it before this is put right, which it would bring: {}.")(said)
    return replace(advised, watch=(warned, *advised.watch))


def _with_room(belief: Belief, limits: Limits, end: float, now: Mapping[str, Value]) -> Limits:
    """Give limits for the best estimate with room for what it is unsure of, as at present.

    Each is divided by how much more than the best estimate the draws give in their rare cases.
    """
    whats = ("range", "peak_axle_load") if limits.axle_load is not None else ("range",)
    best = belief.best_outcomes([now], whats)[0]
    if not np.all(np.isfinite(best)):
        return replace(limits, farthest=end)
    thrown = belief.outcomes([now], "range", DRAWS)[:, 0]
    landed = belief.scattered(thrown, DRAWS, repeats=10, settings=now)
    share = float(np.nanquantile(landed, SAFE_SHARE)) / float(best[0])
    end /= max(share, 1.0) if best[0] > 0.0 else 1.0
    if limits.axle_load is not None:
        loads = belief.outcomes([now], "peak_axle_load", DRAWS)[:, 0] / best[1]
        room = max(float(np.nanquantile(loads, 0.5 + 0.5 * WITHIN)), 1.0)
        limits = replace(limits, axle_load=limits.axle_load / room)
    return replace(limits, farthest=end)


def _refuse(bounds: tuple[Bound, ...], target: float | None, end: float, limits: Limits) -> None:
    if not 1 <= len(bounds) <= 3:
        raise TrialError(
            f"{len(bounds)} settings to change; give one to three. More at once teach nothing."
        )
    if target is not None and not 0.0 < target < end:
        raise TrialError(
            f"target {target:g} m; it must be above 0 and within the clear ground of {end:g} m."
        )
    if target is not None and limits.nearest is not None and target < limits.nearest:
        raise TrialError(
            f"target {target:g} m is short of the range to be reached, {limits.nearest:g} m. Give "
            "a farther target, or a lower limit."
        )


def _spread(
    bounds: tuple[Bound, ...], low: np.ndarray, high: np.ndarray, chance: np.random.Generator
) -> np.ndarray:
    from scipy.stats.qmc import Sobol

    spread = Sobol(len(bounds), rng=chance).random(TRIALS)
    corners = np.array(list(itertools.product(*zip(low, high, strict=True))))
    return np.vstack([low + spread * (high - low), corners])


def _as_settings(bounds: tuple[Bound, ...], point: Sequence[float]) -> dict[str, float]:
    return {bound.path: float(value) for bound, value in zip(bounds, point, strict=True)}


def _judged(
    belief: Belief,
    bounds: tuple[Bound, ...],
    points: Sequence[tuple[float, ...]],
    now: Mapping[str, Value],
    target: float | None,
    limits: Limits,
) -> dict[tuple[float, ...], tuple[float, float, float]]:
    """Give merit, axle load and crank force of points at the best values; no merit is -inf."""
    columns = zip(bounds, np.array(points).T, strict=True)
    values = belief.real({bound.path: column for bound, column in columns})
    found = judge(belief.now(now), values, limits)
    merit = found.range if target is None else -np.abs(found.range - target)
    merit = np.where((found.excess <= 0.0) & np.isfinite(merit), merit, -math.inf)
    rows = np.column_stack([merit, found.axle_load, found.crank_force]).tolist()
    return dict(zip(points, map(tuple, rows), strict=True))


def _with_scatter(
    belief: Belief, thrown: np.ndarray, settings: Mapping[str, Value] | None = None
) -> Interval:
    landed = belief.scattered(thrown, DRAWS, repeats=10, settings=settings)
    good = landed[np.isfinite(landed)]
    if good.size == 0:
        return Interval(value=math.nan, low=math.nan, high=math.nan, level=belief.level)
    return _interval(good, belief)


def _interval(values: np.ndarray, belief: Belief) -> Interval:
    half = 0.5 * belief.level
    low, middle, high = np.quantile(values, [0.5 - half, 0.5, 0.5 + half])
    return Interval(value=float(middle), low=float(low), high=float(high), level=belief.level)


def _trial(
    belief: Belief,
    bounds: tuple[Bound, ...],
    point: tuple[float, ...],
    thrown: np.ndarray,
    target: float | None,
    end: float,
    told: tuple[float, float, float],
) -> Trial | None:
    """Give a trial from its throws at the draws, None where too many fail or pass the ground."""
    before, after = thrown[:, 0], thrown[:, 1]
    good = np.isfinite(after)
    landed = belief.scattered(after, DRAWS, repeats=10, settings=_as_settings(bounds, point))
    if np.mean(good) < 1.0 - MOST_FAILING:
        return None
    if np.mean(landed[np.isfinite(landed)] <= end) < SAFE_SHARE:
        return None
    both = good & np.isfinite(before)
    gain = after[both] - before[both] if both.any() else after[good]
    if target is None:
        better, miss = float(np.mean(gain > 0.0)), None
    else:
        off = np.abs(after[both] - target) - np.abs(before[both] - target)
        better = float(np.mean(off < 0.0)) if both.any() else 1.0
        miss = float(np.nanmean(np.abs(belief.scattered(after, DRAWS, 2) - target)))
    return Trial(
        settings=_as_settings(bounds, point),
        range=_with_scatter(belief, after, _as_settings(bounds, point)),
        gain=_interval(gain, belief),
        miss=miss,
        chance=better,
        axle_load=told[1],
        crank_force=None if math.isnan(told[2]) else told[2],
    )


def _advice(
    belief: Belief,
    bounds: tuple[Bound, ...],
    found: list[Trial],
    present: Interval,
    now_thrown: np.ndarray,
    target: float | None,
    now: Mapping[str, Value],
) -> Advice:
    if not found:
        return Advice(
            best=None,
            others=(),
            present=present,
            target=target,
            watch=(),
            sentence="No setting within these bounds keeps to the limits. Widen the bounds, ease a "
            "limit, or take a lighter counterweight.",
        )
    ranked = _ranked(found, target)
    best = ranked[0]
    said = form("Try {}: it {}. The axle then carries {:3N} at most by this estimate.")
    if target is None:
        level = 100.0 * best.gain.level
        gained = form("gains {} ({} to {}, {:.0f} % interval)")(*_of(best.gain), level)
        if best.gain.value < 0.5 * float(belief.scatter_at(np.array([best.range.value]))[0]):
            said = form(
                "Stay with what is set: within these bounds nothing gains more than half of what "
                "two like shots differ by. The best, {}, {}."
            )
    else:
        gained = form("should land {} away ({} to {}), on average {:3m} from the target")(
            *_of(best.range), best.miss or 0.0
        )
    return Advice(
        best=best,
        others=tuple(ranked[1:4]),
        present=present,
        target=target,
        watch=tuple(_watch(belief, best, present, now)),
        sentence=said(best.words(), gained, best.axle_load),
    )


def _ranked(found: Sequence[Trial], target: float | None) -> list[Trial]:
    """The likeliest gain first, not the largest: of trials alike, the one whose worst is better."""
    if target is None:
        return sorted(found, key=lambda t: -(t.gain.value + 0.25 * t.gain.low))
    return sorted(found, key=lambda t: math.inf if t.miss is None else t.miss)


def _sound(
    belief: Belief, found: Sequence[Trial], now: Mapping[str, Value], target: float | None
) -> tuple[list[Trial], list[str]]:
    """Leave out the likeliest trials up to the first that brings no new failing; three at most.

    Where each of the three does, none is left out and what the likeliest brings is told.
    """
    present = look_at(belief.now(now), swept=False)
    ranked = _ranked(found, target)
    first: list[str] = []
    for place, trial in enumerate(ranked[:LOOKED_AT]):
        state = look_at(belief.now({**now, **trial.settings}), swept=False)
        brings = new_failings(state, present)
        if not brings:
            return ranked[place:], []
        first = first or brings
    return ranked, first


def _of(found: Interval) -> tuple[Amount | str, ...]:
    """Value and ends of an interval in metres, in one unit."""
    return alike(*(Amount(x, "m") for x in (found.value, found.low, found.high)))


def _watch(
    belief: Belief,
    best: Trial,
    present: Interval,
    now: Mapping[str, Value],
) -> list[str]:
    """Say what to look for at the trial."""
    lines: list[str] = [
        form("It should land within {}: outside that, stop and find out why.")(
            span(best.range.low, best.range.high, "m")
        )
    ]
    here = belief.best_outcomes([now, {**now, **best.settings}], ("release_elevation", "range"))
    if np.all(np.isfinite(here)):
        turn = math.degrees(here[1, 0] - here[0, 0])
        way = "higher" if turn > 0.0 else "lower"
        if abs(turn) >= 1.0:
            lines.append(f"The projectile should leave {abs(turn):.0f} deg {way} than now.")
    if "release.angle" in best.settings:
        lines.append(
            "A ring that slips early throws high or backward, one that slips late throws low: "
            "clear the ground behind the machine too, and film the release."
        )
    if "counterweight.mass" in best.settings:
        lines.append(
            "A heavier counterweight means more load on every part: look at `will it hold` first."
        )
    return lines

"""The best machine within bounds and limits, and the trade-off between two things wanted.

Differential evolution tries whole generations at once; trials that pass a limit lose against those
within all of them, and among themselves by how much they pass. A simplex then settles the best one.

Source: R. Storn and K. Price, "Differential Evolution", Journal of Global Optimization 11 (1997)
341-359; K. Deb, "An efficient constraint handling method for genetic algorithms", Computer Methods
in Applied Mechanics and Engineering 186 (2000) 311-338; J. A. Nelder and R. Mead, The Computer
Journal 7 (1965) 308-313 (all from memory), as scipy.optimize has them.
"""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount, Text, form
from slingwright.changing.trials import (
    Bound,
    Judged,
    Limits,
    TrialError,
    judge,
    limited_by,
    piece_for,
    setting_rows,
    settings_words,
)
from slingwright.learning.belief import Belief
from slingwright.machine.machine import Machine
from slingwright.machine.table import dials

GOALS: Mapping[str, tuple[str, str]] = {
    "range": ("longest range", "m"),
    "accuracy": ("least spread of the range", "m"),
    "axle load": ("lowest peak axle load", "N"),
}
BEYOND = 1e12  # above every value of a goal: where trials outside the limits begin
LEAST_SHARE = 0.3  # of the longest range, below which no trade-off is traced
WAYS = 9  # dials that may be varied at once


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Optimum(Answer):
    """The best machine found, what it does, and what holds it back."""

    machine: Machine
    goal: str
    values: Mapping[str, float]  # SI
    range: float  # m
    axle_load: float  # N
    spread: float  # m, from shot to shot, one standard deviation
    crank_force: float | None  # N, where there is a limit on it
    limited_by: tuple[str, ...]
    piece: float | None  # m, of the stock, that the arm is cut from
    throws: int
    settled: bool

    @property
    def sentence(self) -> Text:
        """The optimum and what limits it."""
        by = "; ".join(self.limited_by) or "no limit and no bound: the best lies inside"
        piece = form(" The arm is cut from the piece of {:m}.")
        cut = "" if self.piece is None else piece(self.piece)
        return form("{}: {}; range {:m}, spread {:3m}, peak axle load {:N}; held back by {}.{}")(
            GOALS[self.goal][0].capitalize(),
            settings_words(self.values),
            self.range,
            self.spread,
            self.axle_load,
            by,
            cut,
        )

    def rows(self) -> Iterator[Row]:
        """Give the settings, what they do, and what holds them back."""
        yield from setting_rows(self.values)
        yield Row("range", "Range", Amount(self.range, "m"))
        yield Row("spread", "Spread from shot to shot", Amount(self.spread, "m", 3))
        yield Row("axle_load", "Peak axle load", Amount(self.axle_load, "N"))
        if self.crank_force is not None:
            yield Row("crank_force", "Crank force per person", Amount(self.crank_force, "N", 3))
        yield Row("limited_by", "Held back by", "; ".join(self.limited_by) or "no limit, no bound")


class _Search:
    """What the optimisers call: points in, one number a point out, smaller is better."""

    def __init__(
        self,
        machine: Machine,
        bounds: Sequence[Bound],
        goal: str,
        limits: Limits,
        belief: Belief | None,
    ) -> None:
        self.machine, self.bounds, self.goal = machine, tuple(bounds), goal
        self.belief = belief
        self.limits = limits
        self.low = np.array([bound.low for bound in bounds])
        self.high = np.array([bound.high for bound in bounds])
        self.whole = np.array([dials.dial(bound.path).whole for bound in bounds])
        self.count = 0

    def judged(self, points: np.ndarray, *, everything: bool = False) -> Judged:
        """Try points (n, d)."""
        self.count += len(points)
        held = np.clip(points, self.low, self.high)
        held[:, self.whole] = np.round(held[:, self.whole])
        values = {bound.path: held[:, i] for i, bound in enumerate(self.bounds)}
        return judge(
            self.machine if self.belief is None else self.belief.now(),
            values if self.belief is None else self.belief.real(values),
            self.limits,
            spread=everything or self.goal == "accuracy",
            loads=everything or self.goal == "axle load",
        )

    def cost(self, points: np.ndarray) -> np.ndarray:
        """Give what is to be made small, (n,): the goal within the limits, else how far outside."""
        found = self.judged(points)
        value = {
            "range": -found.range,
            "accuracy": found.spread,
            "axle load": found.axle_load,
        }[self.goal]
        good = (found.excess <= 0.0) & np.isfinite(value)
        lost = BEYOND * (1.0 + np.where(np.isfinite(found.excess), found.excess, 100.0))
        return np.where(good, value, lost)


def search(
    machine: Machine,
    bounds: Sequence[Bound],
    goal: str = "range",
    limits: Limits | None = None,
    *,
    seed: int = 1,
    generations: int = 60,
    start: Mapping[str, float] | None = None,
    belief: Belief | None = None,
    progress: Callable[[int, float | None], Any] | None = None,
) -> Optimum:
    """Find the best machine.

    Args:
        machine: what is not varied, as it is drawn or set.
        bounds: the dials that may be changed, and how far.
        goal: `range`, `accuracy` (least spread of the range from shot to shot) or `axle load`. The
            last two keep at least the present machine's range unless `limits.nearest` says other.
        limits: what to keep to.
        seed: the same seed gives the same answer.
        generations: at most; it ends sooner where a generation agrees.
        start: a point to begin from too, path to SI value.
        belief: what was learned of the machine: each trial is then thrown as it really is, while
            the answer stays in settings.
        progress: called after each generation with its number and the best value so far.

    Raises:
        TrialError: no bounds or too many, an unknown goal, or no machine within the limits.
    """
    from scipy.optimize import differential_evolution, minimize

    chosen = tuple(bounds)
    _refuse(chosen, goal)
    if belief is not None and belief.doubt:
        raise TrialError(belief.doubt)
    kept = _with_range(machine if belief is None else belief.now(), limits or Limits(), goal)
    asked = _Search(machine, chosen, goal, kept, belief)
    turn = [0]

    def tell(intermediate_result: Any) -> None:
        turn[0] += 1
        best = float(intermediate_result.fun)
        if progress is not None:
            value = -best if goal == "range" else best
            progress(turn[0], value if best < BEYOND else None)

    here = [float((start or {}).get(bound.path, machine.number(bound.path))) for bound in chosen]
    found = differential_evolution(
        lambda points: asked.cost(points.T),
        list(zip(asked.low, asked.high, strict=True)),
        x0=np.clip(here, asked.low, asked.high),
        rng=np.random.default_rng(seed),
        maxiter=generations,
        popsize=12 if len(chosen) > 1 else 20,
        tol=1e-7,
        init="sobol",
        polish=False,
        vectorized=True,
        updating="deferred",
        integrality=asked.whole,
        callback=tell,
    )
    point, best = np.asarray(found.x), float(found.fun)
    if best >= BEYOND:
        raise TrialError(_nothing_within(asked, point))
    if not asked.whole.all():
        settled = minimize(
            lambda share: float(
                asked.cost((asked.low + share * (asked.high - asked.low))[None])[0]
            ),
            (point - asked.low) / (asked.high - asked.low),
            method="Nelder-Mead",
            bounds=[(0.0, 1.0)] * len(chosen),
            options={
                "initial_simplex": _simplex((point - asked.low) / (asked.high - asked.low)),
                "xatol": 1e-6,
                "fatol": 1e-9 * max(abs(best), 1.0),
                "maxfev": 120 * len(chosen),
            },
        )
        if settled.fun < best:
            point = asked.low + np.asarray(settled.x) * (asked.high - asked.low)
    return _optimum(asked, point, bool(found.success))


def _simplex(point: np.ndarray) -> np.ndarray:
    """Corners around a point of the unit cube, a hundredth away and inside."""
    corners = np.tile(point, (point.size + 1, 1))
    for i in range(point.size):
        corners[i + 1, i] += 0.01 if point[i] < 0.5 else -0.01
    return corners


def _refuse(bounds: tuple[Bound, ...], goal: str) -> None:
    if goal not in GOALS:
        raise TrialError(f"goal {goal!r} is not known; give {', '.join(GOALS)}.")
    if not 1 <= len(bounds) <= WAYS:
        raise TrialError(f"{len(bounds)} dials to vary; give 1 to {WAYS}.")
    paths = [bound.path for bound in bounds]
    twice = [path for path in paths if paths.count(path) > 1]
    if twice:
        raise TrialError(f"{twice[0]} is bounded twice. Give it one pair of bounds.")


def _with_range(machine: Machine, limits: Limits, goal: str) -> Limits:
    """Where range is not the goal, keep what there is: throwing nowhere is always most accurate."""
    if goal == "range" or limits.nearest is not None:
        return limits
    now = judge(
        machine, {"release.angle": np.array([machine.number("release.angle")])}, limits, loads=False
    ).range[0]
    if not math.isfinite(now):
        raise TrialError(
            "the present machine does not throw, so there is no range to keep. Give "
            "limits.nearest, the range to be reached."
        )
    return replace(limits, nearest=float(now))


def _nothing_within(asked: _Search, point: np.ndarray) -> str:
    found = asked.judged(point[None], everything=True)
    far = float(found.range[0])
    what = (
        f"the nearest to it throws {far:.0f} m with {found.axle_load[0] / 1e3:.1f} kN on the axle"
        if math.isfinite(far)
        else f"the nearest to it: {found.outcome[0]}"
    )
    return (
        f"no machine within these bounds keeps to the limits; {what}, {found.height[0]:.2f} m "
        "high. Widen the bounds or ease a limit."
    )


def _optimum(asked: _Search, point: np.ndarray, settled: bool) -> Optimum:
    held = np.clip(point, asked.low, asked.high)
    held[asked.whole] = np.round(held[asked.whole])
    found = asked.judged(held[None], everything=True)
    values = {bound.path: float(v) for bound, v in zip(asked.bounds, held, strict=True)}
    force = float(found.crank_force[0])
    return Optimum(
        machine=asked.machine.change(values),
        goal=asked.goal,
        values=values,
        range=float(found.range[0]),
        axle_load=float(found.axle_load[0]),
        spread=float(found.spread[0]),
        crank_force=force if math.isfinite(force) else None,
        limited_by=limited_by(asked.machine, asked.bounds, held.tolist(), found, asked.limits),
        piece=piece_for(float(found.timber[0]), asked.limits.stock),
        throws=asked.count,
        settled=settled,
    )


def trade_off(
    machine: Machine,
    bounds: Sequence[Bound],
    against: str = "axle load",
    limits: Limits | None = None,
    *,
    points: int = 7,
    seed: int = 1,
    generations: int = 30,
    belief: Belief | None = None,
    progress: Callable[[tuple[Optimum, ...]], Any] | None = None,
    step: Callable[[str], Any] | None = None,
) -> tuple[Optimum, ...]:
    """Trace what range costs: for each of some ranges, the least axle load, or the least spread.

    Args:
        machine: what is not varied.
        bounds: the dials that may be changed.
        against: `axle load` or `accuracy`.
        limits: what to keep to.
        points: ranges to look at, from the longest down to where the other is least.
        seed: the same seed gives the same answer.
        generations: at most, for each point.
        belief: as `search` has it.
        progress: called after each point with the points so far, for a live picture.
        step: called after each generation, in words; what it raises ends the search.

    Raises:
        TrialError: as `search` does.

    Source: the epsilon-constraint method, Y. Y. Haimes and others, IEEE Transactions on Systems,
    Man, and Cybernetics 1 (1971) 296-297 (from memory).
    """
    if against not in GOALS or against == "range":
        raise TrialError(f"against {against!r}: give 'axle load' or 'accuracy'.")
    if not 2 <= points <= 40:
        raise TrialError(f"{points} points; give 2 to 40.")
    asked = limits or Limits()
    place = [0]

    def tell(turn: int, _: float | None) -> None:
        if step is not None:
            step(f"point {place[0] + 1} of {points}, generation {turn} of at most {generations}")

    def best(goal: str, kept: Limits, start: Mapping[str, float] | None = None) -> Optimum:
        asked_of = {"seed": seed, "generations": generations, "belief": belief, "progress": tell}
        one = search(machine, bounds, goal, kept, start=start, **asked_of)  # type: ignore[arg-type]
        place[0] += 1
        return one

    top = best("range", asked)
    if progress is not None:
        progress((top,))
    least = asked.nearest if asked.nearest is not None else LEAST_SHARE * top.range
    bottom = best(against, replace(asked, nearest=least))
    found = [top]
    if progress is not None:
        progress((top, bottom))
    for far in np.linspace(top.range, bottom.range, points)[1:-1]:
        found.append(best(against, replace(asked, nearest=float(far)), found[-1].values))
        if progress is not None:
            progress((*found, bottom))
    found.append(bottom)
    return tuple(found)

"""Draws of the uncertain numbers that shots and priors leave possible, weighed by exact throws.

A cheap stand-in (a quadratic with pure cubes, fitted to exact answers) leads a population of draws
from the priors to what was seen, by steps of temperature with moves along differences of draws.
The answers of the model itself at those draws then weigh them; where few of them count, the
stand-in is fitted anew around there, and so on. What is told rests on the model's own answers.

A measurement follows Student's distribution about the model, or, now and then, is wrong altogether
(a slip of the pen, feet for metres) and then lies anywhere: one wrong shot neither moves nor widens
the rest. How far like measurements scatter is learned with the numbers.

Source: K. L. Lange, R. J. A. Little and J. M. G. Taylor, "Robust statistical modeling using the t
distribution", J. Am. Stat. Assoc. 84 (1989) 881-896; P. Del Moral, A. Doucet and A. Jasra,
"Sequential Monte Carlo samplers", J. R. Stat. Soc. B 68 (2006) 411-436; C. J. F. ter Braak,
"A Markov chain Monte Carlo version of the genetic algorithm differential evolution", Statistics
and Computing 16 (2006) 239-249; effective number of weighed draws: A. Kong, J. S. Liu and
W. H. Wong, J. Am. Stat. Assoc. 89 (1994) 278-288 (all from memory).
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from slingwright.learning.fitting import FitError, Interval, Parameter
from slingwright.learning.seen.by_eye import chance_of

ManyModel = Callable[[Mapping[str, np.ndarray]], np.ndarray]
"""Named values, each of shape (k, 1), to predictions of shape (k, n)."""

FREEDOM = 4.0
"""Degrees of freedom of a measurement's scatter, as Lange, Little and Taylor advise for few."""
WRONG = 0.03
"""Share of measurements that are wrong altogether: common practice."""
WRONG_SD = 0.3
"""Half width of where a wrong one lies (Cauchy), as a share of the kind's median size."""
MISTAKEN = 0.05
"""Share of weighings that are of another thing, or misread: common practice."""
PARTICLES = 1000
MOVES = 6  # of each draw at each temperature
LAST_MOVES = 15
SPREAD = 1.2  # of the points of the first stand-in, in standard deviations of the priors
ROUNDS = 6  # of stand-ins, at most
ENOUGH = 0.5  # share of the draws that count with which the stand-in is left
LEAST = 50.0  # draws that must count for an answer
MOST_ANSWERS = 20_000  # of the model, sets times measurements, in a round
TOLD_LITTLE = 0.9  # more of the prior's spread left than this: the data hardly told


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What was measured: n values with their sd, of which kind, and words seen by eye."""

    value: np.ndarray
    sd: np.ndarray
    kinds: tuple[str, ...]
    loose: tuple[str, ...] = ()  # kinds whose scatter is learned, as a factor on the sd
    noise_sd: float = math.log(2.0)  # of that factor's logarithm, before
    words: Mapping[int, str] = field(default_factory=dict)  # place to word
    what: tuple[str, ...] = ()  # of which quantity, where a kind has several; the kinds
    freedom: float = FREEDOM
    wrong: float = WRONG
    wide: np.ndarray = field(init=False)  # half width of where a wrong one lies

    def __post_init__(self) -> None:
        if self.value.size == 0 or not np.all(np.isfinite(self.value)):
            raise FitError("measured: give one finite number or more. Leave out what is missing.")
        if not np.all(np.isfinite(self.sd) & (self.sd > 0.0)):
            raise FitError("sd: every one must be above 0. Give how far each may be off.")
        of = np.array(self.what or self.kinds)
        usual = np.array([np.median(np.abs(self.value[of == one])) for one in of])
        object.__setattr__(self, "wide", np.maximum(WRONG_SD * usual, self.sd))

    def heights(
        self, told: np.ndarray, logs: np.ndarray, also: np.ndarray | float = 0.0
    ) -> tuple[np.ndarray, np.ndarray]:
        """Give the logarithms (k, n) of the chance of each measurement: in all, and as wrong.

        t: (1 - w) t_v((y - f) / s) / s + w Cauchy((y - f) / W) / W

        Args:
            told: f, predictions (k, n); NaN is no throw, at which any measurement is wrong.
            logs: logarithm of the noise of each loose kind (k, kinds).
            also: sd of the predictions themselves (n,), in the square with s.
        """
        from scipy.special import gammaln

        factor = np.zeros(told.shape)
        for column, kind in enumerate(self.loose):
            factor[:, [one == kind for one in self.kinds]] = logs[:, [column]]
        size = np.exp(factor) * self.sd
        if np.any(also):
            size = np.hypot(size, also)
        off = self.value - told
        missing = ~np.isfinite(off)
        v = self.freedom
        constant = gammaln(0.5 * (v + 1)) - gammaln(0.5 * v) - 0.5 * math.log(v * math.pi)
        plain = constant - np.log(size) - 0.5 * (v + 1) * np.log1p((off / size) ** 2 / v)
        wide = self.wide
        astray = -np.log(math.pi * wide) - np.log1p((off / wide) ** 2)
        plain[missing] = -math.inf
        astray[missing] = np.broadcast_to(-np.log(2.0 * math.pi * wide), off.shape)[missing]
        if self.wrong > 0.0:
            astray = astray + math.log(self.wrong)
            whole = np.logaddexp(plain + math.log1p(-self.wrong), astray)
        else:
            whole, astray = plain, np.full_like(plain, -math.inf)
        for place, word in self.words.items():
            elevation = np.where(missing[:, place], 0.0, told[:, place])
            whole[:, place] = np.log(chance_of(word, elevation))
            astray[:, place] = -math.inf
        return whole, astray


@dataclass(frozen=True, slots=True, kw_only=True)
class Posterior:
    """Draws (k, p) that data and priors leave possible, what the model tells at each, and more."""

    parameters: tuple[Parameter, ...]
    seen: Seen
    draws: np.ndarray
    noises: Mapping[str, np.ndarray]  # kind to factor on the given sd at each draw
    told: np.ndarray  # (k, n), the model's own answers
    wrong: np.ndarray  # (n,), chance that a measurement is wrong altogether
    estimate: np.ndarray  # (p,), one set of numbers that stands for the draws
    predicted: np.ndarray  # (n,), the model's answers there
    counting: float  # share of the draws that count, by their weights
    evaluations: int  # of the model, sets of numbers
    error: float  # of the last stand-in, in sd of the measurements

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the numbers, in order."""
        return tuple(one.name for one in self.parameters)

    @property
    def values(self) -> dict[str, float]:
        """The estimate by name."""
        return dict(zip(self.names, self.estimate.tolist(), strict=True))

    @property
    def sd(self) -> np.ndarray:
        """Standard deviation of each number, shape (p,)."""
        return np.asarray(self.draws.std(axis=0))

    @property
    def correlation(self) -> np.ndarray:
        """Correlation between the numbers, shape (p, p)."""
        return np.atleast_2d(np.corrcoef(self.draws.T))

    @property
    def noise(self) -> dict[str, float]:
        """Median factor on the given sd of each kind of measurement."""
        return {kind: float(np.median(column)) for kind, column in self.noises.items()}

    @property
    def independent(self) -> float:
        """About so many draws count."""
        return self.counting * PARTICLES

    @property
    def spread_left(self) -> dict[str, float]:
        """Share of the prior's sd that is left."""
        return {
            one.name: float(sd) / (one.sd or math.nan)
            for one, sd in zip(self.parameters, self.sd, strict=True)
        }

    @property
    def not_told(self) -> tuple[str, ...]:
        """Numbers on which the data say little: nearly all of the prior's spread is left."""
        return tuple(name for name, share in self.spread_left.items() if share > TOLD_LITTLE)

    def tied(self, limit: float = 0.95) -> list[tuple[str, str, float]]:
        """Return pairs of numbers with a correlation above a limit, and the correlation."""
        r, names = self.correlation, self.names
        places = ((i, j) for i in range(len(names)) for j in range(i + 1, len(names)))
        return [(names[i], names[j], float(r[i, j])) for i, j in places if abs(r[i, j]) > limit]

    @property
    def standardised(self) -> np.ndarray:
        """How far each measurement stands from the median told, in sd of itself and of that."""
        factor = np.array([self.noise[kind] for kind in self.seen.kinds])
        sd = np.hypot(factor * self.seen.sd, np.nanstd(self.told, axis=0))
        return np.asarray((self.seen.value - np.nanmedian(self.told, axis=0)) / sd)

    @property
    def does_not_fit(self) -> tuple[int, ...]:
        """Places of measurements that are more likely wrong altogether than not."""
        return tuple(int(place) for place in np.flatnonzero(self.wrong > 0.5))

    @property
    def mistaken(self) -> dict[str, float]:
        """Chance, of each number that was weighed or measured, that it was so wrongly."""
        found = {}
        for place, one in enumerate(self.parameters):
            if one.other is not None:
                right, other = _two(one, self.draws[:, place])
                found[one.name] = float(np.mean(np.exp(other - np.logaddexp(right, other))))
        return found

    @property
    def strain(self) -> float:
        """How far the draws' middle lies from the priors', as chi-square over its 0.999 quantile.

        Sum of squared shifts in sd of the priors; degrees of freedom are what the data told.
        """
        from scipy.special import chdtri

        shift = told = 0.0
        for place, one in enumerate(self.parameters):
            if one.mean is None or not one.sd or one.name in self.mistaken:
                continue
            column = self.draws[:, place]
            shift += ((float(column.mean()) - one.mean) / one.sd) ** 2
            told += max(1.0 - float(column.var()) / one.sd**2, 0.0)
        return shift / float(chdtri(max(told, 1.0), 0.001))

    def interval(self, name: str, level: float = 0.9) -> Interval:
        """Return median and equal-tailed interval of a number.

        Arguments:
            name: of the number.
            level: share of the draws it holds.
        """
        if name not in self.names:
            raise FitError(f"{name!r} was not fitted; {', '.join(self.names)} were.")
        return interval_of(self.draws[:, self.names.index(name)], level)


def interval_of(values: np.ndarray, level: float) -> Interval:
    """Return the median of some values and the interval that holds a share of them."""
    if not 0.0 < level < 1.0:
        raise FitError(f"level {level:g} is outside 0 to 1. Give a share such as 0.9.")
    low, middle, high = np.quantile(values, [0.5 - 0.5 * level, 0.5, 0.5 + 0.5 * level])
    return Interval(value=float(middle), low=float(low), high=float(high), level=level)


def _two(one: Parameter, values: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Logarithms of a prior's two parts: as weighed, and as it was before the weighing."""

    def normal(mean: float, sd: float) -> np.ndarray:
        return np.asarray(-0.5 * ((values - mean) / sd) ** 2 - math.log(sd))

    mean, sd = float(one.mean or 0.0), float(one.sd or 1.0)
    if one.other is None:
        return normal(mean, sd), np.full(values.shape, -math.inf)
    return (
        math.log1p(-MISTAKEN) + normal(mean, sd),
        math.log(MISTAKEN) + normal(*one.other),
    )


@dataclass(frozen=True, slots=True)
class _StandIn:
    """Polynomials of the numbers, in sd from a middle; `error` (n,) as measured at fresh points."""

    centre: np.ndarray
    scale: np.ndarray
    coefficients: np.ndarray
    error: np.ndarray

    def __call__(self, points: np.ndarray) -> np.ndarray:
        return terms((points - self.centre) / self.scale) @ self.coefficients


def terms(scaled: np.ndarray) -> np.ndarray:
    """1, each coordinate, each product of two of them, and each cube: shape (k, terms)."""
    i, j = np.triu_indices(scaled.shape[1])
    ones = np.ones((len(scaled), 1))
    return np.hstack([ones, scaled, scaled[:, i] * scaled[:, j], scaled**3])


def _fitted(points: np.ndarray, answers: np.ndarray, weight: np.ndarray) -> _StandIn:
    """Fit the stand-in by weighted least squares, column by column where some throws fail."""
    share = weight / weight.sum()
    centre = share @ points
    scale = np.sqrt(share @ (points - centre) ** 2)
    scale = np.where(scale > 0.0, scale, 1.0)
    rows = terms((points - centre) / scale)
    root = np.sqrt(weight)[:, None]
    light = 1e-10 * weight.sum() * np.eye(rows.shape[1])
    coefficients = np.zeros((rows.shape[1], answers.shape[1]))
    error = np.zeros(answers.shape[1])
    good = np.isfinite(answers)
    patterns, which = np.unique(good, axis=1, return_inverse=True)
    for place, pattern in enumerate(patterns.T):
        columns = np.flatnonzero(np.ravel(which) == place)
        if np.count_nonzero(pattern) < 2 * points.shape[1]:
            error[columns] = math.inf
            continue
        wanted = answers[np.ix_(pattern, columns)]
        design, middle = rows[pattern] * root[pattern], wanted.mean(axis=0)
        square = design.T @ design + light
        found = np.linalg.solve(square, design.T @ ((wanted - middle) * root[pattern]))
        found[0] += middle
        off = (rows[pattern] @ found - wanted) ** 2
        free = max(1.0 - min(rows.shape[1] / np.count_nonzero(pattern), 0.9), 0.1)
        coefficients[:, columns] = found
        error[columns] = np.sqrt(np.average(off, axis=0, weights=weight[pattern]) / free)
    return _StandIn(centre, scale, coefficients, error)


def draw(
    model: ManyModel,
    parameters: Sequence[Parameter],
    seen: Seen,
    *,
    seed: int = 1,
    particles: int = PARTICLES,
    cost: int = 0,
    going_on: Callable[[int], object] | None = None,
) -> Posterior:
    """Return draws from what data and priors leave possible, within the bounds.

    Arguments:
        model: many sets of numbers to predictions (k, n), NaN where it has none.
        parameters: every one with a prior.
        seen: what was measured.
        seed: the same seed gives the same draws.
        particles: draws.
        cost: answers that one set of numbers takes; n if 0. It bounds the work of a round.
        going_on: called with the round; what it raises ends the drawing.

    Raises FitError where a prior is missing, or too few draws count in the end.
    """
    chosen = tuple(parameters)
    if not chosen or any(one.mean is None or one.sd is None for one in chosen):
        raise FitError("every number needs mean and sd before. Give its prior.")
    chance = np.random.default_rng(seed)
    target = _Target(chosen, seen)
    p = len(chosen)
    size = terms(np.zeros((1, p))).shape[1]
    most = MOST_ANSWERS // (cost or seen.value.size)
    kept = min(max(most, 300), particles)
    evaluations = 0

    def exact(points: np.ndarray) -> np.ndarray:
        nonlocal evaluations
        evaluations += len(points)
        found = np.asarray(
            model({one.name: points[:, [i]] for i, one in enumerate(chosen)}), dtype=float
        )
        if found.shape != (len(points), seen.value.size):
            raise FitError(
                f"the model gave shape {found.shape} for {len(points)} sets of numbers and "
                f"{seen.value.size} measurements. Let it return one row a set."
            )
        return found

    points = target.first(chance, min(max(most, 2 * size), max(3 * size, 300)), SPREAD)
    answers = exact(points[:, :p])
    stand_in = _fitted(points[:, :p], answers, np.ones(len(points)))
    best: tuple[float, np.ndarray, np.ndarray, np.ndarray] | None = None
    for turn in range(ROUNDS):
        if going_on is not None:
            going_on(turn)
        found = _led(target, stand_in, chance, particles)
        rows = chance.choice(particles, size=kept, replace=False)
        some = found[rows]
        told = exact(some[:, :p])
        gap = target.data(some, told) - target.data(some, stand_in(some[:, :p]), stand_in.error)
        weight = np.exp(gap - gap.max())
        share = _counting(weight) / kept
        if best is None or share > best[0]:
            best = (share, some, told, weight)
        if share >= ENOUGH:
            break
        points, answers = np.vstack([points, some]), np.vstack([answers, told])
        near = _around(target(points, answers), 3.0 * size)
        stand_in = _fitted(points[:, :p], answers, near)
    if best is None or best[0] * kept < min(LEAST, 0.2 * kept):
        raise FitError(
            "too few draws count: what was seen is too sharp or too strange for the model. Look at "
            "the entries and their standard deviations."
        )
    share, some, told, weight = best
    level = (np.arange(kept) + chance.random()) / kept
    taken = np.minimum(np.searchsorted(np.cumsum(weight) / weight.sum(), level), kept - 1)
    some, told = some[taken], told[taken]
    whole, astray = seen.heights(told, some[:, p:])
    middle = some[:, :p].mean(axis=0)
    answer = exact(middle[None, :])
    height = target(some, told)
    logs = np.median(some[:, p:], axis=0)
    if target(np.concatenate([middle, logs])[None, :], answer)[0] < np.median(height):
        one = int(np.argmax(height))  # bent or of two humps: the middle is no place to be
        middle, answer = some[one, :p], told[[one]]
    return Posterior(
        parameters=chosen,
        seen=seen,
        draws=some[:, :p],
        noises={
            kind: np.exp(some[:, p + seen.loose.index(kind)])
            if kind in seen.loose
            else np.ones(kept)
            for kind in dict.fromkeys(seen.kinds)
        },
        told=told,
        wrong=np.exp(astray - whole).mean(axis=0),
        estimate=middle,
        predicted=answer[0],
        counting=share * kept / particles,
        evaluations=evaluations,
        error=float(np.max(stand_in.error / seen.sd)),
    )


class _Target:
    """Heights of priors and data at points (k, p + loose kinds): numbers, then log noises."""

    def __init__(self, parameters: tuple[Parameter, ...], seen: Seen) -> None:
        self.parameters, self.seen = parameters, seen
        self.low = np.array([one.low for one in parameters])
        self.high = np.array([one.high for one in parameters])

    def first(self, chance: np.random.Generator, count: int, wide: float = 1.0) -> np.ndarray:
        """Draw from the priors, `wide` times as far; weighings are doubted in their share."""
        columns = []
        for one in self.parameters:
            mean, sd = np.full(count, one.mean), np.full(count, one.sd)
            if one.other is not None:
                doubted = chance.random(count) < (MISTAKEN if wide == 1.0 else 0.5)
                mean, sd = (
                    np.where(doubted, other, own)
                    for other, own in zip(one.other, (mean, sd), strict=True)
                )
            drawn = mean + wide * sd * chance.standard_normal(count)
            again = (drawn < one.low) | (drawn > one.high)
            inside = chance.uniform(
                np.maximum(one.low, mean - 2 * sd), np.minimum(one.high, mean + 2 * sd)
            )
            columns.append(np.where(again, np.clip(inside, one.low, one.high), drawn))
        for _ in self.seen.loose:
            columns.append(self.seen.noise_sd * wide * chance.standard_normal(count))
        return np.column_stack(columns)

    def prior(self, points: np.ndarray) -> np.ndarray:
        """Logarithm of the priors, -inf outside the bounds."""
        p = len(self.parameters)
        height = -0.5 * np.sum((points[:, p:] / self.seen.noise_sd) ** 2, axis=1)
        for place, one in enumerate(self.parameters):
            height = height + np.logaddexp(*_two(one, points[:, place]))
        inside = np.all((points[:, :p] >= self.low) & (points[:, :p] <= self.high), axis=1)
        return np.where(inside, height, -math.inf)

    def data(
        self, points: np.ndarray, told: np.ndarray, also: np.ndarray | float = 0.0
    ) -> np.ndarray:
        """Logarithm of the chance of the data where the model tells this."""
        logs = points[:, len(self.parameters) :]
        return np.asarray(self.seen.heights(told, logs, also)[0].sum(axis=1))

    def __call__(self, points: np.ndarray, told: np.ndarray) -> np.ndarray:
        """Logarithm of both together."""
        return self.prior(points) + self.data(points, told)


def _led(
    target: _Target, stand_in: _StandIn, chance: np.random.Generator, count: int
) -> np.ndarray:
    """Lead draws from the priors to the data by steps of temperature, answers by the stand-in."""
    p = len(target.parameters)
    points = target.first(chance, count)
    width = points.shape[1]

    def data(some: np.ndarray) -> np.ndarray:
        return target.data(some, stand_in(some[:, :p]), stand_in.error)

    here, before = data(points), target.prior(points)
    warm = 0.0
    while warm < 1.0:
        warm, weight = _step(here, warm)
        level = (np.arange(count) + chance.random()) / count
        rows = np.minimum(np.searchsorted(np.cumsum(weight) / weight.sum(), level), count - 1)
        points, here, before = points[rows], here[rows], before[rows]
        for turn in range(LAST_MOVES if warm == 1.0 else MOVES):
            one, other = points[chance.permutation(count)], points[chance.permutation(count)]
            long = 1.0 if turn % 6 == 5 else 2.38 / math.sqrt(2.0 * width)
            reach = long * np.exp(0.5 * chance.standard_normal((count, 1)))
            if turn % 3 == 1:  # some of the numbers only
                reach = 2.0 * reach * (chance.random((count, width)) < 0.3)
            trial = points + reach * (one - other)
            trial += 1e-4 * (one - other) * chance.standard_normal((count, width))
            there, prior = np.full(count, -math.inf), target.prior(trial)
            sound = np.isfinite(prior)
            if not sound.any():
                continue
            there[sound] = data(trial[sound])
            gain = warm * (there - here) + prior - before
            taken = np.log(chance.random(count)) < np.where(np.isfinite(gain), gain, -math.inf)
            points[taken], here[taken], before[taken] = trial[taken], there[taken], prior[taken]
    return points


def _counting(weight: np.ndarray) -> float:
    return float(weight.sum() ** 2 / np.sum(weight**2))


def _around(height: np.ndarray, least: float) -> np.ndarray:
    """Weigh points by a power of their height at which so many of them count."""
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        enough = _counting(np.exp(middle * (height - height.max()))) >= least
        low, high = (middle, high) if enough else (low, middle)
    return np.exp(low * np.maximum(height - height.max(), -1e4)) + 1e-9


def _step(here: np.ndarray, warm: float) -> tuple[float, np.ndarray]:
    """Give the next temperature, at which half of the draws still count, and their weights."""

    def weights(to: float) -> np.ndarray:
        gain = (to - warm) * (here - here.max())
        return np.exp(gain)

    def counting(to: float) -> float:
        return _counting(weights(to)) / here.size

    if counting(1.0) >= 0.5:
        return 1.0, weights(1.0)
    low, high = warm, 1.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if counting(middle) >= 0.5 else (low, middle)
    return (low, weights(low)) if low > warm else (high, weights(high))

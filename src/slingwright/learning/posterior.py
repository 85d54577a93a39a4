"""Draws of the fitted numbers that agree with data and priors, for intervals that are not straight.

An ensemble of walkers moves by stretches along the lines between them, which takes no heed of
how the parameters are scaled or tied. A model that takes long is first replaced by a quadratic
response surface near the estimate, and how far that is off is measured and said.

Source: J. Goodman and J. Weare, "Ensemble samplers with affine invariance", Communications in
Applied Mathematics and Computational Science 5 (2010) 65-80; the autocorrelation time as in
A. D. Sokal, "Monte Carlo Methods in Statistical Mechanics" (1996) (both from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from slingwright.learning.fitting import Fit, FitError, Interval, Model

ManyModel = Callable[[Mapping[str, np.ndarray]], np.ndarray]
"""Named values, each of shape (k, 1), to predictions of shape (k, n)."""

STRETCH = 2.0  # the `a` of Goodman and Weare: stretches between 1/a and a
REACH = 1.5  # standard deviations over which the quadratic is fitted


@dataclass(frozen=True, slots=True, kw_only=True)
class Posterior:
    """Draws of the parameters, shape (draws, p), and how well the walkers mixed."""

    names: tuple[str, ...]
    draws: np.ndarray
    noises: Mapping[str, np.ndarray]  # kind of measurement to factor on the given sd, each draw
    acceptance: float
    correlation_time: np.ndarray  # (p,), in steps
    independent: float  # about so many independent draws, for the worst parameter

    @property
    def noise(self) -> np.ndarray:
        """Factor on the given sd at each draw, where all measurements are of one kind."""
        return self.noises[self._kind("")]

    def _kind(self, kind: str) -> str:
        if kind in self.noises:
            return kind
        if len(self.noises) != 1:
            raise FitError(f"there is a noise for each of {', '.join(self.noises)}. Name one.")
        return next(iter(self.noises))

    def interval(self, name: str, level: float = 0.9) -> Interval:
        """Return median and equal-tailed interval of a parameter.

        Arguments:
            name: of the parameter.
            level: share of the draws it holds.
        """
        if name not in self.names:
            raise FitError(f"{name!r} was not fitted; {', '.join(self.names)} were.")
        return _interval(self.draws[:, self.names.index(name)], level)

    def predict(
        self,
        model: Model | ManyModel,
        *,
        sd: float = 0.0,
        level: float = 0.9,
        seed: int = 1,
        most: int = 400,
        many: bool = False,
        kind: str = "",
    ) -> list[Interval]:
        """Return median and interval of the next measurements.

        Arguments:
            model: named values to predictions, for the next measurements.
            sd: standard deviation of such a measurement itself; 0 for the true value alone.
            level: share of cases in which the interval should hold it.
            seed: of the choice of draws and of the noise.
            most: draws to evaluate the model at.
            many: the model takes many points at once, as ManyModel says.
            kind: of measurement that they are, where the fit had several.
        """
        chance = np.random.default_rng(seed)
        count = min(most, len(self.draws))
        chosen = chance.choice(len(self.draws), size=count, replace=False)
        answers = _evaluate(model, self.names, self.draws[chosen], many)
        spread = sd * self.noises[self._kind(kind)][chosen][:, None]
        answers = answers + spread * chance.standard_normal(answers.shape)
        return [_interval(column, level) for column in answers.T]


@dataclass(frozen=True, slots=True, kw_only=True)
class Quadratic:
    """A model as a quadratic near an estimate; a ManyModel, with its measured error."""

    names: tuple[str, ...]
    centre: np.ndarray  # (p,)
    unscale: np.ndarray  # (p, p), parameters to standard deviations
    coefficients: np.ndarray  # (terms, n)
    error: float  # largest at fresh points: root of the sum of squares over the measurements' sd
    evaluations: int

    def __call__(self, values: Mapping[str, np.ndarray]) -> np.ndarray:
        """Return predictions of shape (k, n)."""
        points = np.column_stack([np.ravel(values[name]) for name in self.names])
        return _terms((points - self.centre) @ self.unscale.T) @ self.coefficients


def response_surface(
    model: Model | ManyModel,
    found: Fit,
    *,
    seed: int = 1,
    checks: int = 8,
    scatter: np.ndarray | None = None,
    many: bool = False,
) -> Quadratic:
    """Return the model as a quadratic near the estimate, fitted at seeded points around it.

    Arguments:
        model: named values to predictions, as it was fitted.
        found: the fit.
        seed: of the points.
        checks: fresh points at which the error is measured.
        scatter: what the error is held against, (n,); the measurements' sd if left out.
        many: the model takes many points at once, as ManyModel says.

    Use it where `error` is below about 0.3: intervals then move by about that share of a standard
    deviation at most. If it is not, draw with the model itself.
    """
    chance = np.random.default_rng(seed)
    root = np.linalg.cholesky(found.covariance)
    unscale = np.linalg.inv(root)
    p = found.estimate.size
    terms = 1 + p + p * (p + 1) // 2
    low = np.array([parameter.low for parameter in found.parameters])
    high = np.array([parameter.high for parameter in found.parameters])

    def around(count: int, reach: float) -> np.ndarray:
        offsets = reach * chance.standard_normal((count, p))
        return np.clip(found.estimate + offsets @ root.T, low, high)

    points = np.vstack([found.estimate[None, :], around(terms + terms // 2, REACH)])
    answers = _evaluate(model, found.names, points, many)
    scaled = (points - found.estimate) @ unscale.T
    coefficients, *_ = np.linalg.lstsq(_terms(scaled), answers, rcond=None)
    fresh = around(checks, 1.0)
    told = _terms((fresh - found.estimate) @ unscale.T) @ coefficients
    off = (told - _evaluate(model, found.names, fresh, many)) / (
        found.scatter if scatter is None else scatter
    )
    return Quadratic(
        names=found.names,
        centre=found.estimate,
        unscale=unscale,
        coefficients=coefficients,
        error=float(np.sqrt(np.max(np.sum(off**2, axis=1)))),
        evaluations=len(points) + checks,
    )


def draw(
    model: Model | ManyModel,
    found: Fit,
    *,
    seed: int = 1,
    steps: int = 1000,
    warm_up: int = 250,
    walkers: int = 0,
    many: bool = False,
    going_on: Callable[[int], object] | None = None,
) -> Posterior:
    """Return draws from what data and priors together leave possible, within the bounds.

    Arguments:
        model: as it was fitted, or its Quadratic.
        found: the fit, which also holds data, priors and bounds.
        seed: the same seed gives the same draws.
        steps: kept, of each walker.
        warm_up: steps before them, thrown away.
        walkers: how many; 0 takes six for each parameter and at least 32.
        many: the model takes many points at once, as ManyModel says; a Quadratic does.
        going_on: called now and then with the steps done; what it raises ends the drawing.

    Where a kind's noise was estimated, its logarithm is one more number to be drawn, with the prior
    that the fit had, or a flat one.
    Raises FitError where too few walkers find a point that is possible.
    """
    chance = np.random.default_rng(seed)
    loose = _loose(found)
    size = found.estimate.size + len(loose)
    ensemble = walkers or max(32, 6 * size)
    ensemble += ensemble % 2
    if ensemble < 2 * size:
        raise FitError(
            f"{ensemble} walkers are too few for {size} numbers. Take {2 * size} or more."
        )
    density = _density(model, found, many or isinstance(model, Quadratic))
    points = _first_points(found, chance, ensemble, size)
    height = density(points)
    if not np.all(np.isfinite(height)):
        raise FitError("some walkers start where the model has no answer. Narrow the bounds.")
    half = ensemble // 2
    kept = np.empty((steps, ensemble, size))
    accepted = 0
    for turn in range(warm_up + steps):
        if going_on is not None and turn % 25 == 0:
            going_on(turn)
        for mine, others in (
            (slice(0, half), slice(half, ensemble)),
            (slice(half, ensemble), slice(0, half)),
        ):
            partner = points[others][chance.integers(half, size=half)]
            stretch = ((STRETCH - 1.0) * chance.random(half) + 1.0) ** 2 / STRETCH
            trial = partner + stretch[:, None] * (points[mine] - partner)
            trial_height = density(trial)
            gain = (size - 1) * np.log(stretch) + trial_height - height[mine]
            taken = np.log(chance.random(half)) < gain
            points[mine] = np.where(taken[:, None], trial, points[mine])
            height[mine] = np.where(taken, trial_height, height[mine])
            if turn >= warm_up:
                accepted += int(np.count_nonzero(taken))
        if turn >= warm_up:
            kept[turn - warm_up] = points
    p = found.estimate.size
    times = np.array([_correlation_time(kept[:, :, place]) for place in range(size)])
    flat = kept.reshape(-1, size)
    noises = {
        kind: np.exp(flat[:, p + loose.index(kind)])
        if kind in loose
        else np.full(len(flat), factor)
        for kind, factor in found.noises.items()
    }
    return Posterior(
        names=found.names,
        draws=flat[:, :p],
        noises=noises,
        acceptance=accepted / (steps * ensemble),
        correlation_time=times[:p],
        independent=float(len(flat) / times.max()),
    )


def _interval(values: np.ndarray, level: float) -> Interval:
    if not 0.0 < level < 1.0:
        raise FitError(f"level {level:g} is outside 0 to 1. Give a share such as 0.9.")
    edges = [0.5 - 0.5 * level, 0.5, 0.5 + 0.5 * level]
    low, middle, high = np.quantile(values, edges)
    return Interval(value=float(middle), low=float(low), high=float(high), level=level)


def _terms(scaled: np.ndarray) -> np.ndarray:
    """1, each coordinate, and each product of two of them: shape (k, terms)."""
    i, j = np.triu_indices(scaled.shape[1])
    ones = np.ones((len(scaled), 1))
    return np.hstack([ones, scaled, scaled[:, i] * scaled[:, j]])


def _evaluate(
    model: Model | ManyModel, names: tuple[str, ...], points: np.ndarray, many: bool
) -> np.ndarray:
    call: Any = model
    if many:
        values = {name: points[:, place][:, None] for place, name in enumerate(names)}
        answer = np.asarray(call(values), dtype=float)
        if answer.ndim != 2 or len(answer) != len(points):
            raise FitError(
                f"the model gave shape {answer.shape} for {len(points)} points. Let it return one "
                "row a point, or leave out many."
            )
        return answer
    rows = [call(dict(zip(names, point.tolist(), strict=True))) for point in points]
    return np.asarray(rows, dtype=float)


def _loose(found: Fit) -> list[str]:
    """Kinds of measurement whose noise is drawn too, in the order in which it is."""
    return [kind for kind in found.noises if kind in found.estimated]


def _density(
    model: Model | ManyModel, found: Fit, many: bool
) -> Callable[[np.ndarray], np.ndarray]:
    p = found.estimate.size
    low = np.array([parameter.low for parameter in found.parameters])
    high = np.array([parameter.high for parameter in found.parameters])
    known = [place for place, parameter in enumerate(found.parameters) if parameter.sd is not None]
    means = np.array([found.parameters[place].mean for place in known], dtype=float)
    spreads = np.array([found.parameters[place].sd for place in known], dtype=float)

    loose = _loose(found)
    fixed = np.array(
        [1.0 / found.noises[kind] ** 2 if kind not in loose else 0.0 for kind in found.kinds]
    )
    of_kind = np.array([[float(one == kind) for one in found.kinds] for kind in loose])
    counts = np.sum(of_kind, axis=1) if loose else np.empty(0)

    def density(points: np.ndarray) -> np.ndarray:
        values = points[:, :p]
        height = np.full(len(points), -math.inf)
        inside = np.all((values >= low) & (values <= high), axis=1)
        if not np.any(inside):
            return height
        with np.errstate(all="ignore"):
            answers = _evaluate(model, found.names, values[inside], many)
            off = (found.measured - answers) / found.measured_sd
            squares = off**2
            data = -0.5 * squares @ fixed
            if loose:
                logs = points[inside, p:]
                data -= 0.5 * np.sum((squares @ of_kind.T) * np.exp(-2.0 * logs), axis=1)
                data -= logs @ counts
                if found.noise_sd is not None:
                    data -= 0.5 * np.sum((logs / found.noise_sd) ** 2, axis=1)
            prior = np.sum(((values[inside][:, known] - means) / spreads) ** 2, axis=1)
        total = data - 0.5 * prior
        height[inside] = np.where(np.isfinite(total), total, -math.inf)
        return height

    return density


def _first_points(found: Fit, chance: np.random.Generator, ensemble: int, size: int) -> np.ndarray:
    """Draw from the covariance at the estimate, folded back where that leaves the bounds."""
    p = found.estimate.size
    points = np.empty((ensemble, size))
    root = np.linalg.cholesky(found.covariance)
    values = found.estimate + chance.standard_normal((ensemble, p)) @ root.T
    for place, parameter in enumerate(found.parameters):
        column = values[:, place]
        column = np.where(column < parameter.low, 2.0 * parameter.low - column, column)
        column = np.where(column > parameter.high, 2.0 * parameter.high - column, column)
        values[:, place] = np.clip(column, parameter.low, parameter.high)
    points[:, :p] = values
    for place, kind in enumerate(_loose(found), start=p):
        known = 0.0 if found.noise_sd is None else 0.5 / found.noise_sd**2
        spread = 1.0 / math.sqrt(2.0 * max(found.degrees_of[kind] + known, 1.0))
        points[:, place] = math.log(found.noises[kind]) + spread * chance.standard_normal(ensemble)
    return points


def _correlation_time(chains: np.ndarray) -> float:
    """Integrated autocorrelation time of chains (steps, walkers), window five times itself."""
    steps = len(chains)
    centred = chains - chains.mean()
    padded = np.fft.rfft(centred, n=2 * steps, axis=0)
    power: np.ndarray = np.fft.irfft(np.abs(padded) ** 2, axis=0)[:steps].mean(axis=1)
    if power[0] <= 0.0:
        return float(steps)
    sums = 2.0 * np.cumsum(power / power[0]) - 1.0
    window = np.flatnonzero(np.arange(steps) >= 5.0 * sums)
    return float(max(sums[window[0]] if window.size else sums[-1], 1.0))

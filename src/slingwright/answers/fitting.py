"""Fit uncertain numbers to what was measured, with what was known before, and say what is not told.

The model is any function from named values to predictions; nothing here knows of a machine. What
was known before (a prior: mean and standard deviation) counts as one more measurement. The
answer is the point of least squares, the covariance there, and the residuals that show a
measurement which does not fit.

Source: G. A. F. Seber and C. J. Wild, Nonlinear Regression, Wiley 1989, chapters 2 and 14;
R. D. Cook and S. Weisberg, Residuals and Influence in Regression, Chapman and Hall 1982,
chapter 2 (both from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

Model = Callable[[Mapping[str, float]], Sequence[float] | np.ndarray]

SMALL_STEP = 6e-6  # about the cube root of the spacing of floats: best for central differences
FINE_STEP = 2e-4  # of the five-point differences at the end: error about 1e-12 either way
SINGULAR = 1e-9  # below this share of the largest direction, the data do not tell a direction
TOLD_LITTLE = 0.9  # more of the prior's spread left than this: the data hardly told
FALSE_ALARM = 0.01  # chance that a set with nothing wrong shows a residual that does not fit


class FitError(Exception):
    """The fit cannot be made; the message names the thing, the limit and the next step."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameter:
    """A number to be fitted: where to start, what was known of it before, and its bounds."""

    name: str
    start: float | None = None
    mean: float | None = None
    sd: float | None = None
    low: float = -math.inf
    high: float = math.inf

    def __post_init__(self) -> None:
        if (self.mean is None) != (self.sd is None):
            raise FitError(
                f"{self.name}: a prior needs both mean and sd, and has only one. Give the other."
            )
        if self.sd is not None and not (math.isfinite(self.sd) and self.sd > 0.0):
            raise FitError(f"{self.name}: prior sd {self.sd} is not above 0. Give its spread.")
        if not self.low < self.high:
            raise FitError(
                f"{self.name}: low bound {self.low:g} is not below the high one {self.high:g}. "
                "Swap or widen them."
            )
        first = self.mean if self.start is None else self.start
        if first is None or not math.isfinite(first):
            raise FitError(f"{self.name}: there is nothing to start from. Give start, or a prior.")
        if not self.low <= first <= self.high:
            raise FitError(
                f"{self.name}: it starts at {first:g}, outside {self.low:g} to {self.high:g}. "
                "Start inside, or widen the bounds."
            )

    @property
    def first(self) -> float:
        """Where the search starts."""
        value = self.mean if self.start is None else self.start
        return math.nan if value is None else value


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """A value with the interval that should hold it, and the share of cases in which it should."""

    value: float
    low: float
    high: float
    level: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """What a fit found. Arrays: p parameters in their order, n measurements in theirs."""

    parameters: tuple[Parameter, ...]
    estimate: np.ndarray  # (p,)
    covariance: np.ndarray  # (p, p)
    measured: np.ndarray  # (n,)
    measured_sd: np.ndarray  # (n,), as given
    labels: tuple[str, ...]
    predicted: np.ndarray  # (n,)
    jacobian: np.ndarray  # (n, p), of the predictions
    noise: float  # factor on the given sd: 1, or as estimated
    noise_estimated: bool
    degrees: float  # measurements less what the fit used up of them
    evaluations: int
    at_bound: tuple[str, ...]
    outcome: str

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the parameters, in order."""
        return tuple(parameter.name for parameter in self.parameters)

    @property
    def values(self) -> dict[str, float]:
        """Estimates by name."""
        return dict(zip(self.names, self.estimate.tolist(), strict=True))

    @property
    def sd(self) -> np.ndarray:
        """Standard deviation of each parameter, shape (p,)."""
        return np.sqrt(np.diag(self.covariance))

    @property
    def correlation(self) -> np.ndarray:
        """Correlation between the parameters, shape (p, p)."""
        return self.covariance / np.outer(self.sd, self.sd)

    @property
    def residuals(self) -> np.ndarray:
        """Measured less predicted, shape (n,)."""
        return self.measured - self.predicted

    @property
    def sum_of_squares(self) -> float:
        """Sum of squared residuals, each over its given sd."""
        return float(np.sum((self.residuals / self.measured_sd) ** 2))

    @property
    def spread_left(self) -> dict[str, float]:
        """Share of the prior's sd that is left after the fit; nan where there was no prior."""
        return {
            parameter.name: float(sd) / parameter.sd if parameter.sd else math.nan
            for parameter, sd in zip(self.parameters, self.sd, strict=True)
        }

    @property
    def not_told(self) -> tuple[str, ...]:
        """Parameters on which the data say little: nearly all of the prior's spread is left."""
        return tuple(name for name, share in self.spread_left.items() if share > TOLD_LITTLE)

    @property
    def leverage(self) -> np.ndarray:
        """How far each measurement draws its own prediction, 0 to 1, shape (n,)."""
        scaled = self.jacobian / (self.measured_sd * self.noise)[:, None]
        drawn: np.ndarray = np.einsum("ij,jk,ik->i", scaled, self.covariance, scaled)
        return np.clip(drawn, 0.0, 1.0)

    @property
    def standardised(self) -> np.ndarray:
        """Residuals over the sd they should have after the fit, shape (n,).

        r_i = (y_i - f_i) / (s sd_i sqrt(1 - h_i)), h_i the leverage; where the noise s is
        estimated, the measurement itself is left out of s.
        """
        free = np.maximum(1.0 - self.leverage, 1e-12)
        inside = self.residuals / (self.measured_sd * self.noise * np.sqrt(free))
        if not self.noise_estimated or self.degrees <= 1.0:
            return inside
        left = np.maximum(self.degrees - inside**2, 1e-12)
        return inside * np.sqrt((self.degrees - 1.0) / left)

    @property
    def does_not_fit(self) -> tuple[int, ...]:
        """Places of measurements too far off to be chance: a wrong entry, or a broken part.

        In a set with nothing wrong, one is named in one of a hundred sets (Bonferroni's bound).
        """
        from scipy.special import ndtri, stdtrit

        chance = 1.0 - FALSE_ALARM / (2.0 * self.measured.size)
        if self.noise_estimated and self.degrees > 1.0:
            limit = float(stdtrit(self.degrees - 1.0, chance))
        else:
            limit = float(ndtri(chance))
        return tuple(int(place) for place in np.flatnonzero(np.abs(self.standardised) > limit))

    def interval(self, name: str, level: float = 0.9) -> Interval:
        """Return the interval of a parameter from the covariance.

        Arguments:
            name: of the parameter.
            level: share of cases in which it should hold the true value.
        """
        place = _place(self.names, name)
        half = self._width(level) * float(self.sd[place])
        value = float(self.estimate[place])
        return Interval(value=value, low=value - half, high=value + half, level=level)

    def predict(
        self, model: Model, *, sd: float = 0.0, level: float = 0.9, step: float = SMALL_STEP
    ) -> list[Interval]:
        """Return what comes next, from the model taken as straight near the estimate.

        Arguments:
            model: named values to predictions, for the next measurements.
            sd: standard deviation of such a measurement itself; 0 for the true value alone.
            level: share of cases in which the interval should hold it.
            step: size of the differences, as a share of each parameter's scale.
        """
        call = _Calls(model, self.parameters, None)
        middle = call(self.estimate)
        slopes = _central(call, self.estimate, step)
        spread = np.sqrt(np.einsum("ij,jk,ik->i", slopes, self.covariance, slopes) + sd**2)
        half = self._width(level) * spread
        return [
            Interval(value=float(m), low=float(m - h), high=float(m + h), level=level)
            for m, h in zip(middle, half, strict=True)
        ]

    def account(self) -> str:
        """Return the fit in sentences: how it ended, what is told and not, what does not fit."""
        lines = [self.outcome]
        for parameter, value, sd in zip(self.parameters, self.estimate, self.sd, strict=True):
            prior = ""
            if parameter.mean is not None and parameter.sd is not None:
                prior = f"; before: {parameter.mean:.4g}, sd {parameter.sd:.3g}"
            lines.append(f"{parameter.name} = {value:.6g}, sd {sd:.3g}{prior}")
        if self.not_told:
            lines.append(
                f"The data tell little about {', '.join(self.not_told)}: what is said of it is "
                "mostly what was put in."
            )
        for one, other, r in self.tied():
            lines.append(f"{one} and {other} go together (correlation {r:.2f}): measure one apart.")
        for place in self.does_not_fit:
            lines.append(
                f"{self.labels[place]} does not fit: measured {self.measured[place]:.6g}, "
                f"expected {self.predicted[place]:.6g}, {self.standardised[place]:+.1f} standard "
                "deviations. Look for a wrong entry or a broken part."
            )
        if self.at_bound:
            lines.append(f"At its bound: {', '.join(self.at_bound)}. Its sd is only a rough guide.")
        return "\n".join(lines)

    def tied(self, limit: float = 0.95) -> list[tuple[str, str, float]]:
        """Return pairs of parameters with a correlation above a limit, and the correlation."""
        found = []
        for i, one in enumerate(self.names):
            for j in range(i + 1, len(self.names)):
                if abs(self.correlation[i, j]) > limit:
                    found.append((one, self.names[j], float(self.correlation[i, j])))
        return found

    def _width(self, level: float) -> float:
        from scipy.special import ndtri, stdtrit

        if not 0.0 < level < 1.0:
            raise FitError(f"level {level:g} is outside 0 to 1. Give a share such as 0.9.")
        chance = 0.5 + 0.5 * level
        return float(stdtrit(self.degrees, chance) if self.noise_estimated else ndtri(chance))


def fit(
    model: Model,
    parameters: Sequence[Parameter],
    measured: Sequence[float] | np.ndarray,
    *,
    sd: float | Sequence[float] | np.ndarray = 1.0,
    labels: Sequence[str] = (),
    estimate_noise: bool = False,
    step: float | None = None,
    most_evaluations: int = 20_000,
) -> Fit:
    """Return the parameters of least squares, with priors, and how well they are told.

    Least of sum ((y_i - f_i(b)) / sd_i)^2 + sum ((b_j - mean_j) / prior_sd_j)^2 within the bounds.

    Arguments:
        model: named values to n predictions.
        parameters: what to fit.
        measured: the n measurements.
        sd: standard deviation of each of them, or one for all.
        labels: what each is called, for the account.
        estimate_noise: take the sd as right only up to one factor, found from the residuals.
        step: size of the differences as a share of each parameter's scale (its prior sd, or else
            its size); give about 1e-3 for a model that steps through time: the search then
            also ends sooner.
        most_evaluations: of the model, before it gives up.

    Raises FitError where the data with the priors leave a direction open, or do not fit the shape.

    >>> line = fit(
    ...     lambda b: b["slope"] * np.array([1.0, 2.0, 3.0]),
    ...     [Parameter(name="slope", start=1.0)],
    ...     [2.0, 4.0, 6.3],
    ... )
    >>> line.values["slope"], float(line.sd[0])
    (2.0643, 0.2673)
    """
    y, y_sd = _measurements(measured, sd)
    chosen = tuple(parameters)
    names = [parameter.name for parameter in chosen]
    if not chosen or len(set(names)) != len(names):
        raise FitError(f"parameters {names}: give one or more, each with a name of its own.")
    if labels and len(labels) != y.size:
        raise FitError(f"{len(labels)} labels for {y.size} measurements. Give one each.")
    if estimate_noise and y.size <= sum(parameter.sd is None for parameter in chosen):
        raise FitError(
            f"{y.size} measurements cannot tell their own noise with {len(chosen)} parameters "
            "free. Give the sd of the measurements, or measure more."
        )
    call = _Calls(model, chosen, y.size)
    point = np.array([parameter.first for parameter in chosen])
    noise, degrees = 1.0, float(y.size)
    for _ in range(50):
        point, ended = _least(call, point, y, y_sd * noise, step, most_evaluations)
        slopes = (
            _five_point(call, point, FINE_STEP) if step is None else _central(call, point, step)
        )
        covariance = _covariance(chosen, slopes / (y_sd * noise)[:, None])
        weighted = slopes / (y_sd * noise)[:, None]
        degrees = y.size - float(np.einsum("ij,jk,ik->", weighted, covariance, weighted))
        predicted = call(point)
        if not estimate_noise:
            break
        squares = float(np.sum(((y - predicted) / y_sd) ** 2))
        found = math.sqrt(squares / max(degrees, 1e-9))
        settled = abs(found - noise) <= 1e-10 * noise
        covariance = covariance if settled else covariance * (found / noise) ** 2
        no_priors = all(parameter.sd is None for parameter in chosen)
        noise = max(found, 1e-300)
        if settled or no_priors:
            break
    return Fit(
        parameters=chosen,
        estimate=point,
        covariance=covariance,
        measured=y,
        measured_sd=y_sd,
        labels=tuple(labels) or tuple(f"measurement {place + 1}" for place in range(y.size)),
        predicted=predicted,
        jacobian=slopes,
        noise=noise,
        noise_estimated=estimate_noise,
        degrees=degrees,
        evaluations=call.count,
        at_bound=_at_bound(chosen, point),
        outcome=f"{ended} after {call.count} evaluations of the model.",
    )


class _Calls:
    """The model as a function of an array, counted, its answers looked at."""

    def __init__(self, model: Model, parameters: tuple[Parameter, ...], size: int | None) -> None:
        self.parameters = parameters
        self.names = [parameter.name for parameter in parameters]
        self.low = np.array([parameter.low for parameter in parameters])
        self.high = np.array([parameter.high for parameter in parameters])
        self.count = 0
        self._model = model
        self._size = size

    def __call__(self, point: np.ndarray) -> np.ndarray:
        self.count += 1
        values = dict(zip(self.names, point.tolist(), strict=True))
        answer = np.atleast_1d(np.asarray(self._model(values), dtype=float))
        if answer.ndim != 1 or (self._size is not None and answer.size != self._size):
            raise FitError(
                f"the model gave shape {answer.shape} for {self._size} measurements. "
                "Let it return one prediction a measurement."
            )
        return answer


def _measurements(
    measured: Sequence[float] | np.ndarray, sd: float | Sequence[float] | np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    y = np.array(measured, dtype=float)
    if y.ndim != 1 or y.size == 0 or not np.all(np.isfinite(y)):
        raise FitError("measured: it must be a row of finite numbers. Leave out what is missing.")
    given = np.asarray(sd, dtype=float)
    if given.shape not in ((), y.shape):
        raise FitError(f"sd: {given.size} values for {y.size} measurements. Give one, or one each.")
    y_sd = np.array(np.broadcast_to(given, y.shape))
    if not np.all(np.isfinite(y_sd) & (y_sd > 0.0)):
        raise FitError("sd: every one must be above 0. Give how far the measurement may be off.")
    return y, y_sd


def _place(names: Sequence[str], name: str) -> int:
    if name not in names:
        raise FitError(f"{name!r} was not fitted; {', '.join(names)} were. Use one of those.")
    return list(names).index(name)


def _least(
    call: _Calls, start: np.ndarray, y: np.ndarray, y_sd: np.ndarray, step: float | None, most: int
) -> tuple[np.ndarray, str]:
    from scipy.optimize import least_squares

    tolerance = 1e-15 if step is None else step**2
    stride = SMALL_STEP if step is None else step
    known = [j for j, parameter in enumerate(call.parameters) if parameter.sd is not None]
    means = np.array([call.parameters[j].mean for j in known], dtype=float)
    spreads = np.array([call.parameters[j].sd for j in known], dtype=float)

    def off(point: np.ndarray) -> np.ndarray:
        return np.concatenate([(call(point) - y) / y_sd, (point[known] - means) / spreads])

    def slopes(point: np.ndarray) -> np.ndarray:
        rows = np.zeros((len(known), point.size))
        rows[np.arange(len(known)), known] = 1.0 / spreads
        return np.vstack([_central(call, point, stride) / y_sd[:, None], rows])

    if not np.all(np.isfinite(call(start))):
        raise FitError(
            "the model has no finite answer where the search starts "
            f"({dict(zip(call.names, start.tolist(), strict=True))}). Start somewhere else."
        )
    inside = np.clip(start, call.low, call.high)
    bounded = bool(np.any(np.isfinite(call.low)) or np.any(np.isfinite(call.high)))
    # Two ways of search that stray in different places: the second is asked where the first ends
    # on a plateau, from which every direction looks level.
    ways = ("trf",) if bounded or y.size + len(known) < start.size else ("lm", "trf")
    for way in ways:
        with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
            found = least_squares(
                off,
                inside,
                jac=slopes,
                bounds=(call.low, call.high) if way == "trf" else (-np.inf, np.inf),
                method=way,
                x_scale="jac",
                ftol=max(tolerance, 1e-15),
                xtol=max(10.0 * tolerance, 1e-14),
                gtol=max(tolerance, 1e-15),
                max_nfev=max(most // (2 * start.size + 1), 20),
            )
        if found.status > 0 and _share_told(found.jac) > SINGULAR:
            break
    if found.status <= 0:
        raise FitError(
            f"the search did not settle within {call.count} evaluations of the model. Start "
            "nearer, give priors, or fit fewer parameters."
        )
    return np.array(found.x), "Settled at a least sum of squares"


def _share_told(whole: np.ndarray) -> float:
    """Smallest direction over the largest, each parameter measured in its own length."""
    lengths = np.linalg.norm(whole, axis=0)
    if not np.all(np.isfinite(whole)) or not np.all(lengths > 0.0) or len(whole) < len(lengths):
        return 0.0
    sizes = np.linalg.svd(whole / lengths, compute_uv=False)
    return float(sizes[-1] / sizes[0])


def _scale(parameter: Parameter, value: float) -> float:
    if parameter.sd is not None:
        return parameter.sd
    return abs(value) or abs(parameter.first) or 1.0


def _differences(
    call: _Calls, point: np.ndarray, step: float, weights: Mapping[int, float]
) -> np.ndarray:
    """Slopes from differences of so many steps either way, weighted; from one side at a bound."""
    columns = []
    reach = max(weights)
    for place, parameter in enumerate(call.parameters):
        size = step * _scale(parameter, float(point[place]))
        room = min(point[place] - parameter.low, parameter.high - point[place])
        if room < reach * size:
            columns.append(_one_sided(call, point, place, size))
            continue
        total: np.ndarray | float = 0.0
        for turn, weight in weights.items():
            ahead, behind = point.copy(), point.copy()
            ahead[place] += turn * size
            behind[place] -= turn * size
            total = total + weight * (call(ahead) - call(behind))
        columns.append(np.asarray(total) / size)
    return np.column_stack(columns)


def _one_sided(call: _Calls, point: np.ndarray, place: int, size: float) -> np.ndarray:
    """Three points on the side that has more room: second order, as the central one."""
    parameter = call.parameters[place]
    up = parameter.high - point[place] >= point[place] - parameter.low
    most = (parameter.high - point[place]) if up else (point[place] - parameter.low)
    stride = min(size, 0.5 * float(most)) * (1.0 if up else -1.0)
    once, twice = point.copy(), point.copy()
    once[place] += stride
    twice[place] += 2.0 * stride
    slope = (-3.0 * call(point) + 4.0 * call(once) - call(twice)) / (2.0 * stride)
    return np.asarray(slope)


def _central(call: _Calls, point: np.ndarray, step: float) -> np.ndarray:
    return _differences(call, point, step, {1: 0.5})


def _five_point(call: _Calls, point: np.ndarray, step: float) -> np.ndarray:
    return _differences(call, point, step, {1: 8 / 12, 2: -1 / 12})


def _covariance(parameters: tuple[Parameter, ...], weighted: np.ndarray) -> np.ndarray:
    """Inverse of the information of data and priors, or a word on what they leave open."""
    rows = [weighted]
    for place, parameter in enumerate(parameters):
        if parameter.sd is not None:
            row = np.zeros((1, len(parameters)))
            row[0, place] = 1.0 / parameter.sd
            rows.append(row)
    whole = np.vstack(rows)
    if not np.all(np.isfinite(whole)):
        raise FitError("the model has no finite slope at the estimate. Narrow the bounds.")
    lengths = np.linalg.norm(whole, axis=0)
    names = [parameter.name for parameter in parameters]
    idle = [name for name, length in zip(names, lengths, strict=True) if length == 0.0]
    if idle:
        raise FitError(
            f"{', '.join(idle)}: no measurement changes with it, so it cannot be told. Give it a "
            "prior, or leave it out of the fit."
        )
    _, sizes, directions = np.linalg.svd(whole / lengths, full_matrices=False)
    if len(sizes) < len(names) or sizes[-1] < SINGULAR * sizes[0]:
        open_way = np.abs(directions[-1])
        mixed = [
            n for n, share in zip(names, open_way, strict=True) if share > 0.1 * open_way.max()
        ]
        raise FitError(
            f"{', '.join(mixed)}: the measurements do not tell them apart. Give one of them a "
            "prior, or leave it out of the fit."
        )
    inner = (directions.T / sizes**2) @ directions
    return np.asarray(inner / np.outer(lengths, lengths))


def _at_bound(parameters: tuple[Parameter, ...], point: np.ndarray) -> tuple[str, ...]:
    found = []
    for parameter, value in zip(parameters, point.tolist(), strict=True):
        near = 1e-6 * _scale(parameter, value)
        if value - parameter.low <= near or parameter.high - value <= near:
            found.append(parameter.name)
    return tuple(found)

"""Fit uncertain numbers to what was measured, with what was known of them before.

The model is any function from named values to predictions; nothing here knows of a machine. What
was known before (a prior: mean and standard deviation) counts as one more measurement. The
answer is the point of least squares, and the covariance there.

Source: G. A. F. Seber and C. J. Wild, Nonlinear Regression, Wiley 1989, chapter 2 (from memory).
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

Model = Callable[[Mapping[str, float]], np.ndarray]

SINGULAR = 1e-9  # below this share of the largest direction, the data do not tell a direction
STEP = 1e-4  # of the differences, as a share of each value
TOLERANCE = 1e-13  # of the search
MOST = 5000  # evaluations of the model, each with its slopes


class FitError(Exception):
    """The fit cannot be made; the message names the thing, the limit and the next step."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """A value with the interval that should hold it, and the share of cases in which it should."""

    value: float
    low: float
    high: float
    level: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameter:
    """A number to be fitted: where to start, what was known of it before, and its bounds.

    `other` is mean and sd of what was known before a weighing, which holds if that was mistaken.
    """

    name: str
    start: float | None = None
    mean: float | None = None
    sd: float | None = None
    low: float = -math.inf
    high: float = math.inf
    other: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        if (self.mean is None) != (self.sd is None):
            raise FitError(
                f"{self.name}: a prior needs both mean and sd, and has only one. Give the other."
            )
        if self.sd is not None and not (math.isfinite(self.sd) and self.sd > 0.0):
            raise FitError(f"{self.name}: prior sd {self.sd} is not above 0. Give its spread.")
        if not self.low <= self.first <= self.high:
            raise FitError(
                f"{self.name}: it starts at {self.first:g}, outside {self.low:g} to "
                f"{self.high:g}. Start inside, or widen the bounds."
            )

    @property
    def first(self) -> float:
        """Where the search starts."""
        value = self.mean if self.start is None else self.start
        return math.nan if value is None else value


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """What a fit found: p numbers by name, their covariance (p, p), and what is left over."""

    values: Mapping[str, float]
    covariance: np.ndarray
    squares: float  # sum of squared residuals, each over its sd
    degrees: float  # measurements less what the fit used up of them

    def sd(self, name: str) -> float:
        """Give the standard deviation of a number."""
        place = list(self.values).index(name)
        return float(np.sqrt(self.covariance[place, place]))

    def interval(self, name: str, level: float = 0.9) -> Interval:
        """Return the interval of a number that should hold it in a share of cases."""
        from scipy.special import ndtri

        value, half = self.values[name], float(ndtri(0.5 + 0.5 * level)) * self.sd(name)
        return Interval(value=value, low=value - half, high=value + half, level=level)


def fit(model: Model, parameters: Sequence[Parameter], measured: np.ndarray, sd: float) -> Fit:
    """Return the parameters of least squares, with priors, and how well they are told.

    Least of sum ((y_i - f_i(b)) / sd)^2 + sum ((b_j - mean_j) / prior_sd_j)^2 within the bounds.

    Arguments:
        model: named values to n predictions.
        parameters: what to fit.
        measured: the n measurements.
        sd: standard deviation of each of them.

    Raises FitError where the data with the priors leave a direction open, or the search does not
    settle.

    >>> line = fit(
    ...     lambda b: b["slope"] * np.array([1.0, 2.0, 3.0]),
    ...     [Parameter(name="slope", start=1.0)],
    ...     np.array([2.0, 4.0, 6.3]),
    ...     1.0,
    ... )
    >>> line.values["slope"], line.sd("slope")
    (2.0643, 0.2673)
    """
    from scipy.optimize import least_squares

    names = [one.name for one in parameters]
    low, high = ([getattr(one, end) for one in parameters] for end in ("low", "high"))
    known = [(j, one.mean, one.sd) for j, one in enumerate(parameters) if one.sd is not None]

    def off(point: np.ndarray) -> np.ndarray:
        told = model(dict(zip(names, point.tolist(), strict=True)))
        rows = [(point[j] - (mean or 0.0)) / spread for j, mean, spread in known]
        return np.concatenate([(told - measured) / sd, rows])

    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        found = least_squares(
            off,
            [one.first for one in parameters],
            jac="3-point",
            bounds=(low, high),
            method="trf" if np.isfinite([low, high]).any() else "lm",
            x_scale="jac",
            diff_step=STEP,
            max_nfev=MOST,
            **dict.fromkeys(("ftol", "xtol", "gtol"), TOLERANCE),
        )
    if found.status <= 0:
        raise FitError(
            f"the search did not settle within {found.nfev} evaluations of the model. Start "
            "nearer, give priors, or fit fewer parameters."
        )
    lengths = np.linalg.norm(found.jac, axis=0)
    if not np.all(np.isfinite(lengths) & (lengths > 0.0)):
        idle = ", ".join(n for n, long in zip(names, lengths, strict=True) if not long > 0.0)
        raise FitError(f"{idle or 'the model'}: no slope at the estimate. Leave it out of the fit.")
    _, sizes, directions = np.linalg.svd(found.jac / lengths, full_matrices=False)
    if len(sizes) < len(names) or sizes[-1] < SINGULAR * sizes[0]:
        raise FitError(
            f"{', '.join(names)}: the measurements do not separate them. Give one of them a "
            "prior, or leave it out of the fit."
        )
    covariance = (directions.T / sizes**2) @ directions / np.outer(lengths, lengths)
    data = found.jac[: measured.size]
    return Fit(
        values=dict(zip(names, found.x.tolist(), strict=True)),
        covariance=covariance,
        squares=float(np.sum(found.fun[: measured.size] ** 2)),
        degrees=measured.size - float(np.einsum("ij,jk,ik->", data, covariance, data)),
    )

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

from collections.abc import Sequence

import numpy as np

from slingwright.learning.fitted import Fit, Interval, noise_factor
from slingwright.learning.slopes import (
    FINE_STEP,
    SMALL_STEP,
    Calls,
    FitError,
    Model,
    Parameter,
    central,
    five_point,
    scale_of,
)

__all__ = ["Fit", "FitError", "Interval", "Model", "Parameter", "fit"]

SINGULAR = 1e-9  # below this share of the largest direction, the data do not tell a direction
TURNS = 50  # of finding noise and parameters by turns


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
    if estimate_noise and y.size <= sum(one.sd is None for one in chosen):
        raise FitError(
            f"{y.size} measurements cannot show their own noise with {len(chosen)} parameters "
            "free. Give the sd of the measurements, or measure more."
        )
    call = Calls(model, chosen, y.size)
    point = np.array([parameter.first for parameter in chosen])
    noise = 1.0
    alike = 1e-10 if step is None else 1e-4
    straight = all(one.sd is None for one in chosen)
    for _ in range(TURNS):
        scatter = y_sd * noise
        point, ended = _least(call, point, y, scatter, step, most_evaluations)
        slopes = five_point(call, point, FINE_STEP) if step is None else central(call, point, step)
        weighted = slopes / scatter[:, None]
        covariance = _covariance(chosen, weighted)
        degrees = y.size - float(np.einsum("ij,jk,ik->", weighted, covariance, weighted))
        predicted = call(point)
        if not estimate_noise:
            break
        before, noise = noise, noise_factor(float(np.sum(((y - predicted) / y_sd) ** 2)), degrees)
        if straight:
            covariance = covariance * (noise / before) ** 2
        if straight or abs(noise - before) <= alike * before:
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
        estimated=estimate_noise,
        degrees=degrees,
        evaluations=call.count,
        at_bound=_at_bound(chosen, point),
        outcome=f"{ended} after {call.count} evaluations of the model.",
    )


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


def _least(
    call: Calls, start: np.ndarray, y: np.ndarray, y_sd: np.ndarray, step: float | None, most: int
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
        return np.vstack([central(call, point, stride) / y_sd[:, None], rows])

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
            f"{', '.join(idle)}: no measurement changes with it, so it cannot be estimated. Give "
            "it a prior, or leave it out of the fit."
        )
    _, sizes, directions = np.linalg.svd(whole / lengths, full_matrices=False)
    if len(sizes) < len(names) or sizes[-1] < SINGULAR * sizes[0]:
        open_way = np.abs(directions[-1])
        mixed = [
            n for n, share in zip(names, open_way, strict=True) if share > 0.1 * open_way.max()
        ]
        raise FitError(
            f"{', '.join(mixed)}: the measurements do not separate them. Give one of them a "
            "prior, or leave it out of the fit."
        )
    inner = (directions.T / sizes**2) @ directions
    return np.asarray(inner / np.outer(lengths, lengths))


def _at_bound(parameters: tuple[Parameter, ...], point: np.ndarray) -> tuple[str, ...]:
    found = []
    for parameter, value in zip(parameters, point.tolist(), strict=True):
        near = 1e-6 * scale_of(parameter, value)
        if value - parameter.low <= near or parameter.high - value <= near:
            found.append(parameter.name)
    return tuple(found)

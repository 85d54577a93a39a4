"""The losses of a winding fitted to what a load cell read, each with its interval."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount, form
from slingwright.winch.cycle import follow
from slingwright.winch.load_cell.comparison import predicted_pull
from slingwright.winch.load_cell.trace import TraceError
from slingwright.winch.rig import WinchNumbers, WinchRig


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class LossFit(Answer):
    """What a trace says about the losses."""

    names: tuple[str, ...]
    values: tuple[float, ...]
    errors: tuple[float, ...]  # standard uncertainties
    correlation: np.ndarray
    scatter: float  # N, standard deviation of what is left
    worth: float  # independent samples that the trace is worth
    words: str

    @property
    def sentence(self) -> str:
        """What was found, and what scatter is left."""
        return self.words

    @property
    def intervals(self) -> tuple[tuple[float, float], ...]:
        """Where each loss lies in 95 of 100 such traces: Student's t on what the trace is worth."""
        from scipy.stats import t

        wide = float(t.ppf(0.975, max(self.worth - len(self.names), 1.0)))
        return tuple(
            (v - wide * e, v + wide * e) for v, e in zip(self.values, self.errors, strict=True)
        )

    def rows(self) -> Iterator[Row]:
        """Give each loss with its interval, and the scatter that is left."""
        units = {"sheave_loss": "-", "axle_drag": "m", "counterweight_mass": "kg"}
        for name, value, (low, high) in zip(self.names, self.values, self.intervals, strict=True):
            ends = form("{:.4g} to {:.4g} {} in 95 of 100 such traces")(low, high, units[name])
            yield Row(name, name.replace("_", " "), Amount(value, units[name]), ends)
        yield Row("scatter", "Scatter that is left", Amount(self.scatter, "N", 3),
                  f"worth {self.worth:.0f} independent samples")  # fmt: skip


def fit_losses(
    progress: np.ndarray,
    force: np.ndarray,
    numbers: WinchNumbers,
    rig: WinchRig,
    names: Sequence[str] = ("sheave_loss",),
    steps: int = 121,
    lowering: tuple[np.ndarray, np.ndarray] | None = None,
) -> LossFit:
    """Fit losses to a winding measured in the hauling part, with their uncertainty.

    What is left hangs together from sample to sample; the uncertainty is widened by the number of
    independent samples that the trace is worth, n (1 - r) / (1 + r) with r the correlation of
    neighbours (G. V. Bayley and J. M. Hammersley, 1946, from memory).

    Args:
        progress: share of the rope taken at each sample, shape (n,).
        force: measured [N], shape (n,).
        numbers: of the machine; what is fitted starts from its values there.
        names: out of sheave_loss, axle_drag and counterweight_mass.
        lowering: share of the rope still taken, and force [N], while easing out; with it, friction
            and weight can be told apart, for friction takes the other sign.

    Raises: TraceError: unknown name, too few samples, or a loss that this rigging does not have.
    """
    from scipy.optimize import least_squares

    low = {"sheave_loss": 0.0, "axle_drag": 0.0, "counterweight_mass": 0.0}
    high = {"sheave_loss": 0.5, "axle_drag": 0.5, "counterweight_mass": math.inf}
    if not names or any(name not in low for name in names) or len(set(names)) < len(names):
        raise TraceError(f"cannot fit {', '.join(names)}. Give each of {', '.join(low)} once.")
    if len(force) != len(progress) or len(force) <= len(names) + 1:
        raise TraceError(
            f"{len(force)} forces at {len(progress)} places cannot tell {len(names)} losses."
        )
    no_sheave = numbers.parts == 1 and rig.rigging == "tackle"
    if "sheave_loss" in names and no_sheave:
        raise TraceError("this rope runs over no sheave, so no sheave loss can be fitted.")
    scale = float(np.max(np.abs(force))) or 1.0
    start = [getattr(numbers, name) for name in names]
    sizes = [max(abs(value), 0.02) for value in start]

    def left(values: np.ndarray) -> np.ndarray:
        given: dict[str, Any] = dict(zip(names, map(float, values), strict=True))
        changed = replace(numbers, **given)
        run = follow(changed, rig, steps)
        up = (predicted_pull(run, progress) - force) / scale
        if lowering is None:
            return up
        down = predicted_pull(run, lowering[0], "drum lowering") - lowering[1]
        return np.concatenate((up, down / scale))

    inner = [
        min(max(v, low[name] + 1e-6), high[name] - 1e-6)
        for v, name in zip(start, names, strict=True)
    ]
    bounds = [low[name] for name in names], [high[name] for name in names]
    found = least_squares(left, inner, bounds=bounds, x_scale=sizes, diff_step=1e-5,
                          xtol=1e-12, ftol=1e-12, gtol=1e-12)  # fmt: skip
    freedom = len(found.fun) - len(names)
    variance = float(np.sum(found.fun**2)) / freedom
    share = _independent_share(found.fun)
    information = found.jac.T @ found.jac
    size = np.sqrt(np.diag(information))
    if np.any(size == 0.0) or np.linalg.cond(information / np.outer(size, size)) > 1e12:
        raise TraceError(
            f"the trace cannot tell {' and '.join(names)} apart. Fit fewer, or measure lowering "
            "too."
        )
    covariance = variance / share * np.linalg.inv(information)
    errors = np.sqrt(np.diag(covariance))
    told = ", ".join(
        f"{name} {value:.4g} with a standard uncertainty of {error:.2g}"
        for name, value, error in zip(names, found.x, errors, strict=True)
    )
    return LossFit(
        names=tuple(names),
        values=tuple(float(v) for v in found.x),
        errors=tuple(float(v) for v in errors),
        correlation=covariance / np.outer(errors, errors),
        scatter=scale * math.sqrt(variance),
        worth=share * len(found.fun),
        words=form("{}; {:3N} of scatter is left")(told, scale * math.sqrt(variance)),
    )


def _independent_share(left: np.ndarray) -> float:
    """Give the share of the samples that are worth an independent one."""
    power = float(left @ left)
    if not power > 0.0:
        return 1.0
    neighbours = min(max(float(left[1:] @ left[:-1]) / power, 0.0), 0.999)
    return (1.0 - neighbours) / (1.0 + neighbours)

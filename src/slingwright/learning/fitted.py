"""What a fit found: estimates, covariance, residuals, and what does not fit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slingwright.learning.slopes import FitError, Parameter

TOLD_LITTLE = 0.9  # more of the prior's spread left than this: the data hardly told
FALSE_ALARM = 0.01  # chance that a set with nothing wrong shows a residual that does not fit


def noise_factor(squares: float, degrees: float) -> float:
    """Return the likeliest factor on the given sd.

    s = sqrt(S / d)

    Arguments:
        squares: S, sum of squared residuals, each over its given sd.
        degrees: d, measurements less what the fit used up of them.

    >>> noise_factor(8.0, 2.0)
    2.0
    """
    return max(math.sqrt(max(squares, 0.0) / max(degrees, 1e-9)), 1e-300)


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
    estimated: bool  # whether the noise was found from the residuals
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
    def scatter(self) -> np.ndarray:
        """Standard deviation of each measurement, noise found from the residuals in it, (n,)."""
        return self.measured_sd * self.noise

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
        scaled = self.jacobian / self.scatter[:, None]
        drawn: np.ndarray = np.einsum("ij,jk,ik->i", scaled, self.covariance, scaled)
        return np.clip(drawn, 0.0, 1.0)

    @property
    def standardised(self) -> np.ndarray:
        """Residuals over the sd they should have after the fit, shape (n,).

        r_i = (y_i - f_i) / (s sd_i sqrt(1 - h_i)), h_i the leverage; where the noise s is
        estimated, the measurement itself is left out of s.
        """
        free = np.maximum(1.0 - self.leverage, 1e-12)
        given = self.residuals / (self.measured_sd * np.sqrt(free))
        if not self.estimated or self.degrees <= 1.0:
            return given / self.noise
        squares = self.sum_of_squares
        left = np.maximum(squares - given**2, 1e-12 * squares)
        return given / np.sqrt(left / (self.degrees - 1.0))

    @property
    def does_not_fit(self) -> tuple[int, ...]:
        """Places of measurements too far off to be chance: a wrong entry, or a broken part.

        In a set with nothing wrong, one is named in one of a hundred sets (Bonferroni's bound).
        """
        from scipy.special import ndtri, stdtrit

        chance = 1.0 - FALSE_ALARM / (2.0 * self.measured.size)
        known = not self.estimated or self.degrees <= 1.0
        limit = ndtri(chance) if known else stdtrit(self.degrees - 1.0, chance)
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
                f"The data say little about {', '.join(self.not_told)}: the estimate is "
                "mostly what was put in."
            )
        for one, other, r in self.tied():
            lines.append(
                f"{one} and {other} go together (correlation {r:.2f}): measure one by itself."
            )
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
        return float(stdtrit(self.degrees, chance) if self.estimated else ndtri(chance))


def _place(names: Sequence[str], name: str) -> int:
    if name not in names:
        raise FitError(f"{name!r} was not fitted; {', '.join(names)} were. Use one of those.")
    return list(names).index(name)

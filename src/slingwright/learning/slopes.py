"""The numbers of a fit and the slopes of its model: parameters, counted calls, differences."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

Model = Callable[[Mapping[str, float]], Sequence[float] | np.ndarray]

SMALL_STEP = 6e-6  # about the cube root of the spacing of floats: best for central differences
FINE_STEP = 2e-4  # of the five-point differences at the end: error about 1e-12 either way


class FitError(Exception):
    """The fit cannot be made; the message names the thing, the limit and the next step."""


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


class Calls:
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
        """Give the predictions (n,) at a point (p,)."""
        self.count += 1
        values = dict(zip(self.names, point.tolist(), strict=True))
        answer = np.atleast_1d(np.asarray(self._model(values), dtype=float))
        if answer.ndim != 1 or (self._size is not None and answer.size != self._size):
            raise FitError(
                f"the model gave shape {answer.shape} for {self._size} measurements. "
                "Let it return one prediction a measurement."
            )
        return answer


def scale_of(parameter: Parameter, value: float) -> float:
    """Size by which steps of a parameter are measured: its prior sd, or else its own size."""
    if parameter.sd is not None:
        return parameter.sd
    return abs(value) or abs(parameter.first) or 1.0


def _differences(
    call: Calls, point: np.ndarray, step: float, weights: Mapping[int, float]
) -> np.ndarray:
    """Slopes from differences of so many steps either way, weighted; from one side at a bound."""
    columns = []
    reach = max(weights)
    for place, parameter in enumerate(call.parameters):
        size = step * scale_of(parameter, float(point[place]))
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


def _one_sided(call: Calls, point: np.ndarray, place: int, size: float) -> np.ndarray:
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


def central(call: Calls, point: np.ndarray, step: float) -> np.ndarray:
    """Slopes (n, p) by central differences, error of second order."""
    return _differences(call, point, step, {1: 0.5})


def five_point(call: Calls, point: np.ndarray, step: float) -> np.ndarray:
    """Slopes (n, p) by five-point differences, error of fourth order."""
    return _differences(call, point, step, {1: 8 / 12, 2: -1 / 12})

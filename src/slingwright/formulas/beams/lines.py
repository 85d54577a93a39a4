"""Shear, moment and deflection all along a beam on two supports, overhangs included.

Each load is a bracket term <x - a>^n that is zero before the load and a power after it
(Macaulay's method), so one line of terms holds for the whole beam. Loads are positive down,
moments positive where they sag the beam, deflections positive down.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slingwright.formulas.refusals import above_zero


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BeamLine:
    """What happens along a beam: arrays of one length, in m, N, N m and m."""

    position: np.ndarray
    shear: np.ndarray
    moment: np.ndarray
    deflection: np.ndarray
    reactions: tuple[float, float]

    @property
    def peak_moment(self) -> float:
        """Largest moment by size, N m."""
        return float(np.max(np.abs(self.moment)))

    @property
    def peak_shear(self) -> float:
        """Largest shear by size, N."""
        return float(np.max(np.abs(self.shear)))


def _bracket(distance: np.ndarray, power: int) -> np.ndarray:
    """Give <x>^n: zero for negative x, x to the power n after it."""
    return np.where(distance > 0.0, np.abs(distance) ** power, 0.0)


def beam_line(
    position: Sequence[float] | np.ndarray,
    supports: tuple[float, float],
    point_loads: Sequence[tuple[float, float]],
    patch_loads: Sequence[tuple[float, float, float]],
    modulus: float,
    inertia: float,
) -> BeamLine:
    """Shear, moment and deflection of an even beam on two supports under any loads.

    E I y(x) = sum P <x - a>^3 / 6 + sum w (<x - b>^4 - <x - c>^4) / 24 - sum R <x - s>^3 / 6
    + C x + D, with y = 0 at both supports

    Args:
        position: places asked for, shape (n,) [m].
        supports: places of the two supports, the left one first [m].
        point_loads: pairs of place [m] and load, down positive [N].
        patch_loads: triples of start [m], end [m] and the whole load between them [N].
        modulus: modulus of elasticity E [Pa].
        inertia: second moment of area I [m4].

    Returns: Line with shear just after each place, moment, deflection and reactions, shape (n,) [m,
        N, N m].
    Raises: ValueError if the supports do not stand left and right, a patch has no length, or the
        modulus or second moment is not above zero.
    Source: W. H. Macaulay, Note on the deflection of beams, Messenger of Mathematics 48 (1919)
        129-130 (from memory); statics.

    >>> line = beam_line([1.0], (0.0, 2.0), [(1.0, 10e3)], [], 210e9, 2.010619e-6)
    >>> float(line.moment[0]), round(float(line.deflection[0]) * 1e3, 4)
    (5000.0, 3.9473)
    """
    left, right = supports
    span = above_zero(right - left, "span between the supports", "m")
    stiffness = above_zero(modulus, "modulus", "Pa") * above_zero(inertia, "second moment", "m4")
    places = np.asarray(position, dtype=float)
    for start, end, _ in patch_loads:
        above_zero(end - start, "length of a load spread along the beam", "m")
    total = sum(load for _, load in point_loads) + sum(load for _, _, load in patch_loads)
    about_left = sum((place - left) * load for place, load in point_loads) + sum(
        ((start + end) / 2.0 - left) * load for start, end, load in patch_loads
    )
    second = about_left / span
    forces = [*point_loads, (left, -(total - second)), (right, -second)]

    def terms(x: np.ndarray, power: int) -> np.ndarray:
        """Sum the load terms, integrated so that a point load has the given power."""
        factor = {0: 1.0, 1: 1.0, 2: 2.0, 3: 6.0, 4: 24.0}
        result = np.zeros_like(x)
        for place, load in forces:
            step = np.where(x >= place, 1.0, 0.0) if power == 0 else _bracket(x - place, power)
            result += load * step / factor[power]
        for start, end, load in patch_loads:
            ramp = _bracket(x - start, power + 1) - _bracket(x - end, power + 1)
            result += load / (end - start) * ramp / factor[power + 1]
        return result

    ends = terms(np.array([left, right]), 3)
    slope = (ends[0] - ends[1]) / span
    level = -ends[0] - slope * left
    return BeamLine(
        position=places,
        shear=-terms(places, 0),
        moment=-terms(places, 1),
        deflection=(terms(places, 3) + slope * places + level) / stiffness,
        reactions=(float(total - second), float(second)),
    )

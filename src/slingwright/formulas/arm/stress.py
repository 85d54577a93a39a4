"""The arm as a tapered beam: stress along it, where it is weakest, and how fast it shakes.

The lowest bending frequency tells whether the arm may be assumed rigid: a throw that lasts many
of its periods loads it slowly, one that lasts few makes it whip.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slingwright.formulas.refusals import above_zero, not_negative

# Gauss-Legendre points and weights on 0..1, four points.
_NEAR, _FAR = math.sqrt(3 / 7 - 2 / 7 * math.sqrt(1.2)), math.sqrt(3 / 7 + 2 / 7 * math.sqrt(1.2))
_POINTS = tuple(0.5 + 0.5 * z for z in (-_FAR, -_NEAR, _NEAR, _FAR))
_WEIGHTS = tuple((18 + z * math.sqrt(30)) / 72 for z in (-1, 1, 1, -1))


@dataclass(frozen=True, slots=True, kw_only=True)
class LumpedMass:
    """A mass [kg] held at a place [m] along the beam, with its own inertia [kg m2] if it turns."""

    mass: float
    position: float
    inertia: float = 0.0


def bending_frequencies(
    position: Sequence[float] | np.ndarray,
    stiffness: Sequence[float] | np.ndarray,
    line_mass: Sequence[float] | np.ndarray,
    pinned: Sequence[float] = (),
    clamped: Sequence[float] = (),
    lumped: Sequence[LumpedMass] = (),
    count: int = 3,
) -> np.ndarray:
    """Lowest natural frequencies of a beam in bending, whole-body turning and shifting left out.

    det(K - omega^2 M) = 0 with cubic beam elements between the given places, stiffness and mass
    per length running straight from place to place; f = omega/(2 pi). Thirty even steps give a
    tapered arm's lowest frequency to 0.1 %, in about a millisecond.

    Args:
        position: places along the beam, rising, shape (n,) with n >= 3 [m].
        stiffness: bending stiffness E I there, shape (n,) [N m2].
        line_mass: mass per length there, shape (n,) [kg/m].
        pinned: places, each one of `position`, that are held but may turn [m].
        clamped: places, each one of `position`, that are held and may not turn [m].
        lumped: masses held at places, each one of `position` [kg, m, kg m2].
        count: how many frequencies [-].

    Returns:
        Frequencies, shape (count,) [Hz].

    Raises:
        ValueError: if places do not rise, a stiffness or mass is not above zero, or a support or
            mass is not at one of the places.

    Source: finite elements of Euler and Bernoulli beams, e.g. Bathe, Finite Element Procedures
        (from memory); held to the closed forms of prismatic beams.

    >>> x = np.linspace(0.0, 2.0, 21)
    >>> f = bending_frequencies(x, np.full(21, 4000.0), np.full(21, 5.0), clamped=[0.0], count=1)
    >>> round(float(f[0]), 3)
    3.957
    """
    x, rigidity, mass_line = (np.asarray(a, dtype=float) for a in (position, stiffness, line_mass))
    _whole(x, rigidity, mass_line)
    total = 2 * x.size
    stiff, mass = _assembled(x, rigidity, mass_line)
    for piece in lumped:
        not_negative(piece.mass, "lumped mass", "kg")
        not_negative(piece.inertia, "inertia of the lumped mass", "kg m2")
        node = _node(x, piece.position, "lumped mass")
        mass[2 * node, 2 * node] += piece.mass
        mass[2 * node + 1, 2 * node + 1] += piece.inertia
    held = {2 * _node(x, place, "pin") for place in pinned}
    for place in clamped:
        node = _node(x, place, "clamp")
        held |= {2 * node, 2 * node + 1}
    free = [i for i in range(total) if i not in held]
    rigid = 0 if clamped or len(set(pinned)) > 1 else 2 - len(set(pinned))
    if not 1 <= count <= len(free) - rigid:
        raise ValueError(
            f"count is {count}; these {x.size} places give 1 to {len(free) - rigid} frequencies"
        )
    lower = np.linalg.cholesky(mass[np.ix_(free, free)])
    half = np.linalg.solve(lower, stiff[np.ix_(free, free)])
    squares = np.linalg.eigvalsh(np.linalg.solve(lower, half.T))
    return np.sqrt(squares[rigid : rigid + count]) / (2.0 * math.pi)


def periods_in_throw(frequency: float, duration: float) -> float:
    """How many of its own periods the arm has while the load of a throw lasts.

    n = f T

    Below about 4 the arm whips and a rigid arm's loads can no longer be trusted.

    Args:
        frequency: lowest bending frequency of the arm f [Hz].
        duration: time over which the load comes and goes T [s].

    Returns:
        Number of periods [-].

    Raises:
        ValueError: if a value is not above zero.

    Source: common practice; the half-sine pulse of `pulse_amplification` gives the limit.

    >>> periods_in_throw(8.0, 0.75)
    6.0
    """
    above_zero(frequency, "bending frequency", "Hz")
    above_zero(duration, "duration of the load", "s")
    return frequency * duration


def pulse_amplification(periods: float) -> float:
    """Largest deflection under a half-sine pulse of load over that under its peak held still.

    r = 2 n; for r > 1: max over k of sin(2 pi k/(r + 1)) r/(r - 1), k = 1, 2, ..., while the
    pulse lasts; for r < 1: 2 r cos(pi r/2)/(1 - r^2), after it; pi/2 at r = 1

    Args:
        periods: length of the pulse over the arm's own period n [-].

    Returns:
        Factor on the load [-].

    Raises:
        ValueError: if the value is not above zero.

    Source: shock spectrum of an undamped mass on a spring, e.g. Harris' Shock and Vibration
        Handbook, chapter 8 (from memory); closed form.

    >>> round(pulse_amplification(0.5), 4), round(pulse_amplification(0.75), 3)
    (1.5708, 1.763)
    """
    above_zero(periods, "periods in the load's time", "")
    ratio = 2.0 * periods
    if abs(ratio - 1.0) < 1e-9:
        return math.pi / 2.0
    if ratio < 1.0:
        return 2.0 * ratio * math.cos(math.pi * ratio / 2.0) / (1.0 - ratio**2)
    steps = range(1, int(math.floor((ratio + 1.0) / 2.0)) + 1)
    best = max(abs(math.sin(2.0 * math.pi * k / (ratio + 1.0))) for k in steps)
    return best * ratio / (ratio - 1.0)


def _assembled(
    x: np.ndarray, stiffness: np.ndarray, line_mass: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Give stiffness and mass matrix, two rows a place: movement and slope.

    Four points are exact for the mass of a beam whose mass per length runs straight between
    places, and more than enough for its stiffness.
    """
    length = np.diff(x)
    parts = np.zeros((2, length.size, 4, 4))
    for s, weight in zip(_POINTS, _WEIGHTS, strict=True):
        one = np.ones_like(length)
        shape = np.array(
            [
                (1.0 - 3.0 * s**2 + 2.0 * s**3) * one,
                (s - 2.0 * s**2 + s**3) * length,
                (3.0 * s**2 - 2.0 * s**3) * one,
                (s**3 - s**2) * length,
            ]
        )
        bend = np.array(
            [
                (12.0 * s - 6.0) / length**2,
                (6.0 * s - 4.0) / length,
                (6.0 - 12.0 * s) / length**2,
                (6.0 * s - 2.0) / length,
            ]
        )
        for part, form, values in ((0, bend, stiffness), (1, shape, line_mass)):
            local = weight * length * (values[:-1] + np.diff(values) * s)
            parts[part] += np.einsum("e,ie,je->eij", local, form, form)
    whole = np.zeros((2, 2 * x.size, 2 * x.size))
    for i in range(length.size):
        whole[:, 2 * i : 2 * i + 4, 2 * i : 2 * i + 4] += parts[:, i]
    return whole[0], whole[1]


def _whole(x: np.ndarray, stiffness: np.ndarray, line_mass: np.ndarray) -> None:
    """Refuse arrays that do not describe a beam."""
    if x.ndim != 1 or x.size < 3:
        raise ValueError(f"a beam needs three or more places in one row, not shape {x.shape}")
    if stiffness.shape != x.shape or line_mass.shape != x.shape:
        raise ValueError(
            f"places have shape {x.shape}, stiffness {stiffness.shape}, mass per length "
            f"{line_mass.shape}; give all three at the same places"
        )
    if not (np.all(np.isfinite(x)) and np.all(np.diff(x) > 0.0)):
        raise ValueError("the places along the beam must rise from each to the next")
    for values, name in ((stiffness, "bending stiffness"), (line_mass, "mass per length")):
        if not (np.all(np.isfinite(values)) and np.all(values > 0.0)):
            worst = int(np.argmin(np.where(np.isfinite(values), values, -np.inf)))
            raise ValueError(
                f"{name} at {x[worst]:g} m is {values[worst]:g}; it must be above zero"
            )


def _node(x: np.ndarray, place: float, what: str) -> int:
    """Give the number of the place; refuse one that is none of the beam's places."""
    node = int(np.argmin(np.abs(x - place)))
    if abs(x[node] - place) > 1e-9 * max(1.0, float(x[-1] - x[0])):
        raise ValueError(
            f"the {what} at {place:g} m is at none of the beam's places (nearest {x[node]:g} m); "
            "add its place to them"
        )
    return node

"""The arm as a tapered beam that shakes: its modes, what moves with its ends, a mode driven."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slingwright.formulas.refusals import not_negative
from slingwright.motion.source.loops import compiled

Values = float | np.ndarray

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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BendingModes:
    """Frequencies [Hz] (count,), shapes (count, n) of unit modal mass [1/sqrt(kg)], and slopes."""

    frequency: np.ndarray
    shape: np.ndarray
    slope: np.ndarray


def bending_modes(
    position: Sequence[float] | np.ndarray,
    stiffness: Sequence[float] | np.ndarray,
    line_mass: Sequence[float] | np.ndarray,
    pinned: Sequence[float] = (),
    clamped: Sequence[float] = (),
    lumped: Sequence[LumpedMass] = (),
    count: int = 3,
) -> BendingModes:
    """Lowest natural modes of a beam in bending, whole-body turning and shifting left out.

    K y = omega^2 M y

    Cubic beam elements between the given places, stiffness and mass per length running straight
    from place to place. Thirty even steps give a tapered arm's lowest frequency to 0.1 %, in about
    a millisecond.

    Args:
        position: places along the beam, rising, shape (n,) with n >= 3 [m].
        stiffness: bending stiffness E I there, shape (n,) [N m2].
        line_mass: mass per length there, shape (n,) [kg/m].
        pinned: places, each one of `position`, that are held but may turn [m].
        clamped: places, each one of `position`, that are held and may not turn [m].
        lumped: masses held at places, each one of `position` [kg, m, kg m2].
        count: how many frequencies [-].

    Returns: BendingModes [Hz, 1/sqrt(kg), 1/(m sqrt(kg))].
    Raises: ValueError if places do not rise, a stiffness or mass is not above zero, or a support or
        mass is not at one of the places.
    Source: finite elements of Euler and Bernoulli beams, e.g. Bathe, Finite Element Procedures
        (from memory); held to the closed forms of prismatic beams.

    >>> x = np.linspace(0.0, 2.0, 21)
    >>> even = np.full(21, 5.0)
    >>> found = bending_modes(x, 800.0 * even, even, clamped=[0.0], count=1)
    >>> round(float(found.frequency[0]), 3)
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
    squares, found = np.linalg.eigh(np.linalg.solve(lower, half.T))
    moved = np.zeros((total, count))
    moved[free] = np.linalg.solve(lower.T, found[:, rigid : rigid + count])
    return BendingModes(
        frequency=np.sqrt(squares[rigid : rigid + count]) / (2.0 * math.pi),
        shape=moved[0::2].T,
        slope=moved[1::2].T,
    )


def mass_felt(mass: float, distance: float, inertia: float, across: Values) -> Values:
    """Mass that the arm's end feels across itself of a body that hangs on it and may turn.

    m_e = m (1 - m h^2/(m h^2 + I) (1 - c^2))

    All of it where the body hangs square to the arm, hardly any where it hangs along it.

    Args:
        mass: mass of the body m [kg].
        distance: from the end to its centre of mass h [m].
        inertia: moment of inertia about its centre of mass I [kg m2].
        across: cosine of the angle between the way across the arm and the body c [-].

    Returns: Mass, as many as cosines [kg].
    Raises: ValueError if the mass or the inertia is negative.
    Source: least kinetic energy of a body whose pin moves in a given way; closed form.

    >>> float(mass_felt(6.0, 2.0, 0.0, 0.5))
    1.5
    """
    not_negative(mass, "mass that hangs on the arm", "kg")
    not_negative(inertia, "inertia of what hangs on the arm", "kg m2")
    turning = mass * distance**2
    kept = turning / (turning + inertia) if turning > 0.0 else 0.0
    return mass * (1.0 - kept * (1.0 - np.square(across)))


def driven_mode(
    time: np.ndarray, held_still: np.ndarray, rate: np.ndarray, damping: float, start: float
) -> np.ndarray:
    """Deflection of a mode over time that a load drives, in the unit of its static deflection.

    d2x/dt2 = omega^2 (p - x) - 2 zeta omega dx/dt

    Exact where p runs straight from moment to moment and omega is even between them; it starts
    with x_0, at rest.

    Args:
        time: moments, none before the one ahead of it, shape (n,); two alike for a step [s].
        held_still: deflection p that the load of the moment holds still, shape (n,) [any].
        rate: natural circular frequency omega, shape (n,) [rad/s].
        damping: share of the critical damping zeta [-].
        start: deflection at the first moment x_0, at rest [any].

    Returns: Deflection, shape (n,) [any].
    Raises: ValueError if time goes back, a rate is not above zero, or the damping is not from 0 to
        1.
    Source: step by step through straight pieces of load, e.g. Chopra, Dynamics of Structures, 5.2
        (from memory); closed form.

    >>> t = np.linspace(0.0, 0.5, 6)
    >>> float(np.round(driven_mode(t, np.ones(6), np.full(6, 2 * math.pi), 0.0, 0.0)[-1], 12))
    2.0
    """
    step, omega = np.diff(time), 0.5 * (rate[1:] + rate[:-1])
    if not (np.all(step >= 0.0) and np.all(rate > 0.0) and 0.0 <= damping < 1.0):
        raise ValueError(
            f"a mode with a damping of {damping:g} and rates from {rate.min():g} rad/s cannot be "
            "driven; give rising times, rates above 0 and a damping of at least 0, below 1"
        )
    found: np.ndarray = _driven(step, omega, np.ascontiguousarray(held_still), damping, start)
    return found


@compiled
def _driven(
    step: np.ndarray, omega: np.ndarray, held_still: np.ndarray, damping: float, start: float
) -> np.ndarray:
    """Deflection that `driven_mode` gives, from steps and rates between the moments."""
    found = np.empty(held_still.size)
    found[0] = place = start
    speed = 0.0
    for i in range(step.size):
        h, rate = step[i], omega[i]
        damped, slow = rate * math.sqrt(1.0 - damping**2), damping * rate
        fading = math.exp(-slow * h)
        cosine, sine = fading * math.cos(damped * h), fading * math.sin(damped * h) / damped
        slope = (held_still[i + 1] - held_still[i]) / h if h > 0.0 else 0.0
        ahead = held_still[i] - 2.0 * damping * slope / rate
        off, rest = place - ahead, speed - slope
        place = ahead + slope * h + (cosine + slow * sine) * off + sine * rest
        speed = slope - rate**2 * sine * off + (cosine - slow * sine) * rest
        found[i + 1] = place
    return found


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
        shape = np.array([
            (1.0 - 3.0 * s**2 + 2.0 * s**3) * one, (s - 2.0 * s**2 + s**3) * length,
            (3.0 * s**2 - 2.0 * s**3) * one, (s**3 - s**2) * length,
        ])  # fmt: skip
        bend = np.array([
            (12.0 * s - 6.0) / length**2, (6.0 * s - 4.0) / length,
            (6.0 - 12.0 * s) / length**2, (6.0 * s - 2.0) / length,
        ])  # fmt: skip
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

"""How far the arm bends away from its own straight line."""

from collections.abc import Sequence

import numpy as np


def arm_deflection(
    position: Sequence[float] | np.ndarray,
    moment: Sequence[float] | np.ndarray,
    stiffness: Sequence[float] | np.ndarray,
) -> np.ndarray:
    """How far the arm bends away from its own straight line at the axle.

    y'' = M / (E I), y = y' = 0 at the axle; M / (E I) runs straight between places

    Args:
        position: places along the arm, rising, one of them 0 at the axle, shape (n,) [m].
        moment: bending moment, shape (n,) [N m].
        stiffness: bending stiffness E I, shape (n,) [N m2].

    Returns: Deflection, positive where a positive moment bends it, shape (n,) [m].
    Raises: ValueError if the places do not rise or miss the axle, the shapes differ, or a stiffness
        is not above zero, or a moment is not finite.
    Source: closed form (Euler and Bernoulli's beam), exact where M / (E I) is straight.

    >>> x = np.linspace(0.0, 2.0, 5)
    >>> y = arm_deflection(x, 300.0 * (2.0 - x), np.full(5, 800.0))
    >>> round(float(y[-1]), 6)
    1.0
    """
    x = np.asarray(position, dtype=float)
    bending = np.asarray(moment, dtype=float)
    rigidity = np.asarray(stiffness, dtype=float)
    if x.ndim != 1 or x.shape != bending.shape or x.shape != rigidity.shape or x.size < 2:
        raise ValueError(
            f"places {x.shape}, moments {bending.shape} and stiffnesses {rigidity.shape} do not "
            "match; give two or more places and one of each for every place"
        )
    if not bool(np.all(np.diff(x) > 0.0)):
        raise ValueError("places along the arm do not rise; sort them and leave out doubles")
    if not bool(np.all(rigidity > 0.0)):
        raise ValueError("a stiffness along the arm is not above zero; give E I at every place")
    if not bool(np.all(np.isfinite(bending))):
        raise ValueError("a moment along the arm is not finite; give a number at every place")
    axle = int(np.argmin(np.abs(x)))
    if abs(x[axle]) > 1e-9:
        raise ValueError("no place stands at the axle; add 0 to the places")
    bend = bending / rigidity
    step = np.diff(x)
    slope = np.concatenate(([0.0], np.cumsum(step * (bend[:-1] + bend[1:]) / 2.0)))
    slope -= slope[axle]
    rise = slope[:-1] * step + step**2 * (2.0 * bend[:-1] + bend[1:]) / 6.0
    line = np.concatenate(([0.0], np.cumsum(rise)))
    result: np.ndarray = line - line[axle]
    return result

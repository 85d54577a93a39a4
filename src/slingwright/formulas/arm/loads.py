"""Pull, shear and bending along the arm from the forces at its ends and its own inertia.

Places run along the arm from the axle, positive toward the tip; the first place is the hanger
pin, the last the sling's seat, and one place is the axle, 0. "Along" is toward the tip; "across"
is square to the arm, the way the tip moves as its elevation grows. Loads may be single values
or arrays over time, shape (t,); lines then have shape (t, n).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slingwright.formulas.refusals import above_zero

Values = float | Sequence[float] | np.ndarray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ArmLines:
    """What happens along the arm: pull, N, shear, N, and moment, N m, at each place.

    The moment is positive where the ends are bent toward growing elevation. At the axle itself
    the long arm's values stand; the gaps are how far they lie above the short arm's there: the
    axle's force on the arm, N, and its friction torque, N m, where motion and loads agree.
    """

    position: np.ndarray
    pull: np.ndarray
    shear: np.ndarray
    moment: np.ndarray
    pull_gap: np.ndarray
    shear_gap: np.ndarray
    moment_gap: np.ndarray

    @property
    def envelope(self) -> np.ndarray:
        """Largest size of the moment over time at each place, N m, shape (n,)."""
        return np.max(np.abs(np.atleast_2d(self.moment)), axis=0)


def arm_lines(
    position: Sequence[float] | np.ndarray,
    line_mass: Sequence[float] | np.ndarray,
    tip_across: Values,
    hanger_across: Values,
    turning_acceleration: Values,
    gravity_across: Values,
    tip_along: Values = 0.0,
    hanger_along: Values = 0.0,
    turning_rate: Values = 0.0,
    gravity_along: Values = 0.0,
) -> ArmLines:
    """Pull, shear and moment along the arm as it turns.

    Load per length across: q = -m' (s a + g_n), along: p = m' (s w^2 - g_u). Beyond s:
    V = F_t + int q, M = F_t (L - s) + int q (s' - s), N = F_u + int p; short side likewise from
    the hanger's end.

    Args:
        position: places s along the arm, rising, 0 among them, shape (n,) [m].
        line_mass: mass per length m' there, running straight between, shape (n,) [kg/m].
        tip_across: force on the tip across the arm F_t [N].
        hanger_across: force on the hanger pin's end across the arm [N].
        turning_acceleration: acceleration of the arm's elevation a [rad/s2].
        gravity_across: share of gravity that acts against the across way, g cos e [m/s2].
        tip_along: force on the tip along the arm F_u [N].
        hanger_along: force on the hanger pin's end along the arm, toward the tip [N].
        turning_rate: rate of the arm's elevation w [rad/s].
        gravity_along: share of gravity that acts against the along way, g sin e [m/s2].

    Returns: ArmLines, shape (n,) or (t, n) [m, N, N m].
    Raises: ValueError if the places do not rise through 0, or a mass per length is below zero.
    Source: Newton's second law for each slice of a rigid arm; statics.

    >>> lines = arm_lines([-1.0, 0.0, 4.0], [0.0, 0.0, 0.0], 100.0, 400.0, 0.0, 0.0)
    >>> lines.moment.tolist(), lines.shear.tolist()
    ([0.0, 400.0, 0.0], [-400.0, 100.0, 100.0])
    """
    s, mass = _places(position, line_mass)
    seat, pin = float(s[-1]), float(s[0])
    beyond = _beyond(s, mass)
    before = beyond[:, :1] - beyond
    across = (tip_across, hanger_across, turning_acceleration, gravity_across)
    along = (tip_along, hanger_along, turning_rate, gravity_along)
    loads = [np.asarray(value, dtype=float)[..., None] for value in (*across, *along)]
    tip, hanger, swing, down, tip_u, hanger_u, rate, down_u = loads
    if not all(np.all(np.isfinite(load)) for load in loads):
        raise ValueError("a load on the arm is not a finite number; look for the throw's fault")
    # Long side: what acts beyond a place. Short side: what acts before it, with the other sign.
    shear_long = tip - swing * beyond[1] - down * beyond[0]
    shear_short = -(hanger - swing * before[1] - down * before[0])
    moment_long = (
        tip * (seat - s) - swing * (beyond[2] - s * beyond[1]) - down * (beyond[1] - s * beyond[0])
    )
    moment_short = (
        hanger * (s - pin)
        - swing * (s * before[1] - before[2])
        - down * (s * before[0] - before[1])
    )
    pull_long = tip_u + rate**2 * beyond[1] - down_u * beyond[0]
    pull_short = -(hanger_u + rate**2 * before[1] - down_u * before[0])
    long_side = s >= 0.0
    axle = int(np.argmin(np.abs(s)))
    return ArmLines(
        position=s,
        pull=np.where(long_side, pull_long, pull_short),
        shear=np.where(long_side, shear_long, shear_short),
        moment=np.where(long_side, moment_long, moment_short),
        pull_gap=(pull_long - pull_short)[..., axle],
        shear_gap=(shear_long - shear_short)[..., axle],
        moment_gap=moment_long[..., axle] - moment_short[..., axle],
    )


def matching_line_mass(
    position: Sequence[float] | np.ndarray,
    line_mass: Sequence[float] | np.ndarray,
    mass: float,
    balance: float,
    inertia: float,
) -> np.ndarray:
    """Mass per length of the same kind as given, but with a stated mass, balance and inertia.

    m'(s) (a + b s + c s^2), with a, b, c from the three wanted integrals; what the stated arm has
    more or less than its timber is so spread smoothly along it

    Args:
        position: places along the arm from the axle, rising, 0 among them, shape (n,) [m].
        line_mass: mass per length by section and density, shape (n,) [kg/m].
        mass: wanted mass [kg].
        balance: wanted distance of the centre of mass from the axle [m].
        inertia: wanted moment of inertia about the centre of mass [kg m2].

    Returns: Mass per length, shape (n,) [kg/m].
    Raises: ValueError if the wanted values would need a negative mass somewhere.
    Source: closed form: three linear equations.

    >>> x = np.linspace(-1.0, 3.0, 401)
    >>> float(np.round(matching_line_mass(x, np.full(401, 10.0), 80.0, 1.0, 320 / 3), 2)[7])
    20.0
    """
    above_zero(mass, "arm mass", "kg")
    above_zero(inertia, "arm inertia", "kg m2")
    s, given = _places(position, line_mass)
    powers = np.array([_beyond(s, given * s**k)[:3, 0] for k in range(3)]).T
    wanted = np.array([mass, mass * balance, inertia + mass * balance**2])
    factors = np.linalg.solve(powers, wanted)
    shares = factors[0] + factors[1] * s + factors[2] * s**2
    if np.any(shares < 0.0):
        worst = float(s[int(np.argmin(shares))])
        raise ValueError(
            f"an arm of {mass:g} kg, balance {balance:g} m and inertia {inertia:g} kg m2 cannot be "
            f"of this section: it would need a negative mass at {worst:g} m from the axle; "
            "check arm.mass, arm.balance and arm.inertia"
        )
    return given * shares


def _places(
    position: Sequence[float] | np.ndarray, line_mass: Sequence[float] | np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Give both as arrays; refuse places that do not rise through the axle."""
    s, mass = np.asarray(position, dtype=float), np.asarray(line_mass, dtype=float)
    if s.ndim != 1 or s.size < 3 or s.shape != mass.shape:
        raise ValueError(
            f"places have shape {s.shape} and mass per length {mass.shape}; give three or more "
            "of each"
        )
    if not (np.all(np.diff(s) > 0.0) and s[0] < 0.0 < s[-1] and np.any(s == 0.0)):
        raise ValueError(
            "places along the arm must rise from the hanger pin, below 0, through the axle, "
            "exactly 0, to the tip"
        )
    if not np.all(mass >= 0.0):
        worst = int(np.argmin(np.where(np.isnan(mass), -np.inf, mass)))
        raise ValueError(
            f"mass per length at {s[worst]:g} m is {mass[worst]:g} kg/m; it must be zero or more"
        )
    return s, mass


def _beyond(s: np.ndarray, mass: np.ndarray) -> np.ndarray:
    """Give the integrals of m', m' s and m' s^2 from each place to the last, shape (3, n)."""
    length = np.diff(s)
    middle = (s[1:] + s[:-1]) / 2.0
    mean, slope = (mass[1:] + mass[:-1]) / 2.0, np.diff(mass) / length
    # Exact for a mass per length that runs straight from place to place.
    second = length**3 / 12.0
    parts = np.array(
        [
            mean * length,
            mean * middle * length + slope * second,
            mean * (middle**2 * length + second) + 2.0 * slope * middle * second,
        ]
    )
    sums = np.cumsum(parts[:, ::-1], axis=1)[:, ::-1]
    return np.concatenate([sums, np.zeros((3, 1))], axis=1)

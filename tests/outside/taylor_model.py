"""The machine a third time: written out by hand in heyoka's expressions, for Taylor's method.

Absolute angles e (arm elevation), h (hanger), s (sling elevation) and the base's travel X.  With
the arm's direction (-cos e, sin e), the sling's (-cos s, sin s) and the hanger's (sin h, -cos h),
the kinetic energy is a quadratic form whose coefficients are read off the sketch; the forces are
what the changing coefficients and gravity leave.  Bearing friction and rolling resistance are left
out.  The trough's friction is in, against the projectile's first slide, which is to the rear: the
tip rises on a circle and draws it back.

Source of the integrator: F. Biscani, D. Izzo, Revisiting high-order Taylor methods for
astrodynamics and celestial mechanics, Monthly Notices of the Royal Astronomical Society 504 (2021)
2614-2628.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Any

import heyoka as hy
import numpy as np

PARAMETERS = (
    "arm.long",
    "arm.short",
    "arm.mass",
    "arm.balance",
    "arm.inertia",
    "counterweight.mass",
    "counterweight.hanger",
    "counterweight.inertia",
    "sling.length",
    "sling.mass",
    "sling.pouch",
    "projectile.mass",
    "base.mass",
    "site.gravity",
    "trough.friction",
    "release.angle",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Expressions:
    """The two phases as systems of first order, and what ends each."""

    names: tuple[str, ...]
    trough: list
    free: list
    contact: Any
    slip: Any


def _solved(matrix: dict, right: list, order: list[int]) -> list:
    """Solve the symmetric system by elimination in `order`; places that are zero are left out."""
    n = len(order)
    m, b = dict(matrix), list(right)

    def key(i: int, j: int) -> tuple[int, int]:
        return (min(i, j), max(i, j))

    shares: list[tuple[int, int, Any]] = []
    for k, column in enumerate(order):
        later = [i for i in order[k + 1 :] if key(i, column) in m]
        for i in later:
            share = m[key(i, column)] / m[key(column, column)]
            shares.append((i, column, share))
            for j in later:
                if i <= j:
                    old = m.get(key(i, j))
                    change = share * m[key(j, column)]
                    m[key(i, j)] = -change if old is None else old - change
            b[i] = b[i] - share * b[column]
    x = [b[i] / m[(i, i)] for i in range(n)]
    for i, column, share in reversed(shares):
        x[column] = x[column] - share * x[i]
    return x


@cache
def expressions(hung: bool, wheels: bool, slide: float = -1.0) -> Expressions:
    """Write one machine kind's equations of motion in heyoka's expressions."""
    names = ("e", *(("h",) if hung else ()), "s", *(("X",) if wheels else ()))
    q = dict(zip(names, hy.make_vars(*names), strict=True))
    v = dict(zip(names, hy.make_vars(*(f"v_{n}" for n in names)), strict=True))
    at = {name: i for i, name in enumerate(names)}
    (L, S, m_a, b_a, i_a, M, c, i_w, l_s, m_c, m_q, m_b, m_base, g, mu, slip) = (
        hy.par[i] for i in range(len(PARAMETERS))
    )
    ball = m_b + m_q
    outer = m_c + ball
    half = 0.5 * m_c + ball
    e, s = q["e"], q["s"]
    moment = m_a * b_a - M * S + outer * L
    m: dict[tuple[int, int], Any] = {}

    def put(one: str, other: str, value: Any) -> None:
        m[(min(at[one], at[other]), max(at[one], at[other]))] = value

    cross = half * L * l_s
    put("e", "e", i_a + m_a * b_a * b_a + M * S * S + outer * L * L + (0.0 if hung else i_w))
    put("e", "s", cross * hy.cos(e - s))
    put("s", "s", (m_c / 3.0 + ball) * l_s * l_s)
    f = {
        "e": -g * moment * hy.cos(e) - cross * hy.sin(e - s) * v["s"] * v["s"],
        "s": -g * half * l_s * hy.cos(s) + cross * hy.sin(e - s) * v["e"] * v["e"],
    }
    if hung:
        h = q["h"]
        put("h", "h", i_w + M * c * c)
        put("e", "h", -M * S * c * hy.sin(e + h))
        f["e"] = f["e"] + M * S * c * hy.cos(e + h) * v["h"] * v["h"]
        f["h"] = -g * M * c * hy.sin(h) + M * S * c * hy.cos(e + h) * v["e"] * v["e"]
    if wheels:
        put("X", "X", m_a + M + outer + m_base)
        put("e", "X", moment * hy.sin(e))
        put("s", "X", half * l_s * hy.sin(s))
        f["X"] = -moment * hy.cos(e) * v["e"] * v["e"] - half * l_s * hy.cos(s) * v["s"] * v["s"]
        if hung:
            put("h", "X", M * c * hy.cos(q["h"]))
            f["X"] = f["X"] + M * c * hy.sin(q["h"]) * v["h"] * v["h"]
    order = [at[n] for n in ("h", "s", "e", "X") if n in at]
    force = [f[n] for n in names]
    free = _solved(m, force, order)

    # The projectile's height is held: its second derivative is zero.
    up = {"e": L * hy.cos(e), "s": l_s * hy.cos(s)}
    along = {"e": L * hy.sin(e), "s": l_s * hy.sin(s)}
    rest = -L * hy.sin(e) * v["e"] * v["e"] - l_s * hy.sin(s) * v["s"] * v["s"]
    push = [up[n] - slide * mu * along[n] if n in up else hy.expression(0.0) for n in names]
    pushed = _solved(m, push, order)
    free_up = sum((up[n] * free[at[n]] for n in up), rest)
    per_newton = sum((up[n] * pushed[at[n]] for n in up), hy.expression(0.0))
    contact = -free_up / per_newton
    held = [a + contact * b for a, b in zip(free, pushed, strict=True)]

    def system(acceleration: list) -> list:
        return [
            *((q[n], v[n]) for n in names),
            *((v[n], a) for n, a in zip(names, acceleration, strict=True)),
        ]

    return Expressions(
        names=names, trough=system(held), free=system(free), contact=contact, slip=e - s - slip
    )


@dataclass(slots=True, kw_only=True)
class TaylorThrow:
    """Both phases' integrators of one machine kind; `run` makes a throw."""

    names: tuple[str, ...]
    trough: Any
    free: Any

    def start(self, machine) -> np.ndarray:
        """Give the held machine: the projectile on the trough, in front of the tip."""
        return held_state(machine, self.names)

    def run(self, parameters: np.ndarray, start: np.ndarray, longest: float) -> None:
        """Throw to the slip of the ring; the state at release is left in `free`."""
        trough, free = self.trough, self.free
        trough.time = 0.0
        trough.pars[:] = parameters[: len(trough.pars)]
        trough.state[:] = start
        trough.propagate_until(longest)
        free.time = trough.time
        free.pars[:] = parameters
        free.state[:] = trough.state
        free.propagate_until(longest)


def held_state(machine, names) -> np.ndarray:
    """Give coordinates and rates of the held machine."""
    e = -machine["arm.cocked"]
    level = machine["trough.height"] + machine["projectile.diameter"] / 2
    sine = level - machine["axle.height"] - machine["arm.long"] * math.sin(e)
    s = -math.pi - math.asin(sine / machine["sling.length"])
    by_name = {"e": e, "h": 0.0, "s": s, "X": 0.0}
    return np.array([by_name[n] for n in names] + [0.0] * len(names))


def parameters(machine) -> np.ndarray:
    """Give the values of the model's parameters."""
    return np.array([float(machine[path] or 0.0) for path in PARAMETERS])


def taylor_throw(hung: bool, wheels: bool, tolerance: float) -> TaylorThrow:
    """Make both integrators of a machine kind at a tolerance."""
    found = expressions(hung, wheels)
    zeros = [0.0] * (2 * len(found.names))
    zeros[0], zeros[len(found.names) - 1] = -0.5, -3.0
    return TaylorThrow(
        names=found.names,
        trough=hy.taylor_adaptive(
            found.trough,
            zeros,
            tol=tolerance,
            t_events=[hy.t_event(found.contact, direction=hy.event_direction.negative)],
        ),
        free=hy.taylor_adaptive(
            found.free,
            zeros,
            tol=tolerance,
            t_events=[hy.t_event(found.slip, direction=hy.event_direction.negative)],
        ),
    )

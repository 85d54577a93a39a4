"""The whole motion to release against an implicit integrator on Kane's equations.

Truth: E. Hairer, G. Wanner, Solving Ordinary Differential Equations II, 2nd ed., Springer 1996,
section IV.8 (Radau IIA of order 5), as `scipy.integrate.solve_ivp(method="Radau")`, on the
equations that kane_model.py derives: another method on other equations in other coordinates.  In
the trough it holds the projectile's height by its acceleration only, we by the sling's angle.
"""

import math

import numpy as np
import pytest
from outside.kane_model import accelerations, kane_model
from outside.machines import otter_ford
from outside.taylor_model import held_state
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

import slingwright as sw

ALLOWED = 1e-8
SAMPLES = 8


class RadauThrow:
    """Follow one machine by Radau's method: each call integrates exactly to the time asked for."""

    def __init__(self, machine):
        self.machine = machine
        self.model = kane_model(machine["counterweight.hung"], machine["base.wheels"])
        self.slide = -1.0

    def start(self) -> np.ndarray:
        e, h, s, x = held_state(self.machine, ("e", "h", "s", "X"))[:4]
        places = self.model.from_machine_angles(e, h, s, x)
        return np.concatenate([places, 0.0 * places])

    def answer(self, y, trough):
        n = len(y) // 2
        return accelerations(
            self.model, self.machine, y[:n], y[n:], trough=trough, slide=self.slide
        )

    def advance(self, start, end, y, trough):
        if end == start:
            return y
        n = len(y) // 2

        def rates(_, y):
            return np.concatenate([y[n:], self.answer(y, trough).acceleration])

        run = solve_ivp(rates, (start, end), y, method="Radau", rtol=1e-9, atol=1e-10)
        assert run.success, run.message
        return run.y[:, -1]

    def until(self, value, start, near, y, trough):
        """Time near `near` at which value(y) is 0, and the state there."""
        low, high = near - 1e-4, near + 1e-4
        y_low = self.advance(start, low, y, trough)
        found = brentq(lambda t: value(self.advance(low, t, y_low, trough)), low, high, xtol=1e-13)
        return found, self.advance(low, found, y_low, trough)

    def lag(self, y) -> float:
        return float(y[2] if self.model.hung else y[1])


def as_histories(model, y):
    """Arm elevation, hanger angle (if hung), sling lag, travel (if wheeled); then their rates."""
    n = len(y) // 2
    e = y[0]
    places = [e, *((y[1] + math.pi - e,) if model.hung else ()), *y[n - model.wheels - 1 : n]]
    rates = [
        y[n],
        *((y[n + 1] - y[n],) if model.hung else ()),
        *y[2 * n - model.wheels - 1 :],
    ]
    return np.array([*places, *rates])


def our_histories(model, throw):
    names = [
        "arm",
        *(["hanger"] if model.hung else []),
        "sling",
        *(["base"] if model.wheels else []),
    ]
    places = [getattr(throw, name) for name in names]
    rates = [getattr(throw, f"{name}_rate") for name in names]
    return np.array([*places, *rates])


@pytest.mark.parametrize(
    ("hung", "wheels"),
    [(True, False), (True, True), (False, False), (False, True)],
    ids=["hinged", "hinged-wheels", "fixed", "fixed-wheels"],
)
def test_trajectory_to_release_equals_radaus_on_kanes_equations(hung, wheels):
    """Truth: Radau on Kane's equations, all frictions on, at sample times, lift-off and release."""
    machine = otter_ford(hung=hung, wheels=wheels)
    throw = sw.throw(machine, tolerance=1e-12, swing_through=0.0)
    assert throw.outcome == "released"
    radau = RadauThrow(machine)
    model = radau.model
    ours = our_histories(model, throw)
    scale = np.abs(ours).max(axis=1)
    worst = 0.0

    def compared(indices, time, y, trough):
        nonlocal worst
        for i in indices:
            y = radau.advance(time, throw.time[i], y, trough)
            time = throw.time[i]
            worst = max(worst, float(np.abs((as_histories(model, y) - ours[:, i]) / scale).max()))
        return time, y

    in_trough, free = throw.spans[0], throw.spans[1]
    of_trough = np.flatnonzero(throw.phase == 1)
    time, y = compared(
        of_trough[1:-1][:: max(1, len(of_trough) // SAMPLES)], 0.0, radau.start(), True
    )
    lifted, y = radau.until(lambda y: radau.answer(y, True).contact, time, in_trough.end, y, True)
    of_free = np.flatnonzero(throw.phase == 2)
    time, y = compared(of_free[1:-1][:: max(1, len(of_free) // SAMPLES)], lifted, y, False)
    slipped, y = radau.until(
        lambda y: radau.lag(y) - machine["release.angle"], time, free.end, y, False
    )
    at_release = np.abs((as_histories(model, y) - ours[:, of_free[-1]]) / scale).max()
    print(
        f"states {worst:.1e}, lift-off {lifted - in_trough.end:+.1e} s, "
        f"release {slipped - free.end:+.1e} s, state there {at_release:.1e}"
    )
    assert worst < ALLOWED
    assert abs(lifted - in_trough.end) < ALLOWED
    assert abs(slipped - free.end) < ALLOWED
    assert at_release < ALLOWED

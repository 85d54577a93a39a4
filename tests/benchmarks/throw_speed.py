"""One throw, loosing to release, against other integrators on the same equations.

Each integrator runs at the loosest tolerance (powers of ten) whose state at release is within 1e-8
of its own run at 1e-13; they are timed in turn in one process.  Bearings and wheels run without
friction, since their implicit friction is not to be had in a Taylor integrator; the trough's is on.

* ours: the compiled throw, one call.
* heyoka, as derived: the equations of our own derivation handed to heyoka's adaptive Taylor
  integrator, the mass matrix eliminated symbolically in the same order as ours.
* heyoka, by hand: the same motion written anew for heyoka with the coefficients of the mass matrix
  collected by hand (tests/outside/taylor_model.py): as short as it gets.
* scipy: solve_ivp(method="DOP853") on lambdify(cse=True, modules="math") of our derivation, with
  its own events; the dials are arguments, as they are to all the others.
* scipy, dials written in: the same with the dials' values in the functions, which have to be
  written anew for each machine.

    python tests/benchmarks/throw_speed.py
"""

import math
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "src")]

import heyoka as hy  # noqa: E402
import numpy as np  # noqa: E402
import sympy as sp  # noqa: E402
from benchmarks.shared.results_file import as_table, in_turn, keep, median, verdict  # noqa: E402
from outside.machines import otter_ford  # noqa: E402
from outside.taylor_model import (  # noqa: E402
    PARAMETERS,
    TaylorThrow,
    _solved,
    held_state,
    parameters,
    taylor_throw,
)
from scipy.integrate import solve_ivp  # noqa: E402

from slingwright.derivation.motion import derive  # noqa: E402
from slingwright.derivation.notation import COORDINATE, LETTER, RATE, Kind  # noqa: E402
from slingwright.motion.source.code import machine_module  # noqa: E402

ALLOWED = 1e-8
REFERENCE = 1e-13
TOLERANCES = (1e-5, 1e-6, 1e-7, 1e-8, 1e-9, 1e-10, 1e-11, 1e-12)
ROUNDS = 400
AGAINST_HEYOKA, AGAINST_SCIPY = 0.6, 300.0
SLIDE = -1.0  # the projectile is first drawn to the rear


class Ours:
    """The compiled throw."""

    def __init__(self, machine):
        self.code = machine_module(machine["counterweight.hung"], machine["base.wheels"])
        self.given = machine.moving()
        self.record = self.code.no_record.py_func()
        self.result = np.zeros(self.code.RESULTS)

    def at(self, tolerance):
        code, given, record, result = self.code, self.given, self.record, self.result
        return lambda: code.throw_once(
            given, tolerance, 0.0, 20_000.0, code.ALL_STOPS, 20.0, result, record
        )

    def state(self):
        """Time, arm elevation, sling elevation, place and velocity of the projectile."""
        code, r = self.code, self.result
        return np.array(
            [
                r[code.R_TIME],
                r[code.R_ELEVATION],
                r[code.R_ELEVATION] - r[code.R_LAG],
                r[code.R_X],
                r[code.R_Y],
                r[code.R_VX],
                r[code.R_VY],
            ]
        )


def seen(machine, names, time, y):
    """The same quantities from coordinates and rates."""
    n = len(names)
    long_arm, length = machine["arm.long"], machine["sling.length"]
    e, s = y[0], y[names.index("s")]
    e_dot, s_dot = y[n], y[n + names.index("s")]
    x, x_dot = (y[n - 1], y[-1]) if "X" in names else (0.0, 0.0)
    return np.array(
        [
            time,
            e,
            s,
            x - long_arm * math.cos(e) - length * math.cos(s),
            machine["axle.height"] + long_arm * math.sin(e) + length * math.sin(s),
            x_dot + long_arm * math.sin(e) * e_dot + length * math.sin(s) * s_dot,
            long_arm * math.cos(e) * e_dot + length * math.cos(s) * s_dot,
        ]
    )


class Heyoka:
    """heyoka's adaptive Taylor integrator on either way of writing the equations."""

    def __init__(self, machine, make):
        self.machine, self.make = machine, make
        self.parameters = parameters(machine)

    def at(self, tolerance):
        self.throw = throw = self.make(tolerance)
        given, start = self.parameters, held_state(self.machine, throw.names)
        return lambda: throw.run(given, start, 10.0)

    def state(self):
        return seen(self.machine, self.throw.names, self.throw.free.time, self.throw.free.state)


def as_derived(kind, tolerance):
    """Both phases in heyoka from the expressions of our derivation."""
    motion, names = derive(kind), kind.names
    n = len(names)
    known = {LETTER[path]: hy.par[i] for i, path in enumerate(PARAMETERS)}
    q = list(hy.make_vars(*names))
    v = list(hy.make_vars(*(f"v_{name}" for name in names)))
    known |= {COORDINATE[name]: q[i] for i, name in enumerate(names)}
    known |= {RATE[name]: v[i] for i, name in enumerate(names)}

    def taken_over(expression):
        # heyoka takes a fraction only where a double holds it exactly.
        plain = sp.sympify(expression)
        fractions = {r: sp.Float(r, 25) for r in plain.atoms(sp.Rational) if not r.is_Integer}
        return hy.from_sympy(plain.subs(fractions), s_dict=known)

    mass = {
        (i, j): taken_over(motion.mass[i, j])
        for i in range(n)
        for j in range(i, n)
        if motion.mass[i, j] != 0
    }
    order = [names.index(name) for name in ("h", "s", "e", "X") if name in names]
    free = _solved(mass, [taken_over(f) for f in motion.force], order)
    up = [taken_over(c) for c in motion.ball_height.per_acceleration]
    along = [taken_over(c) for c in motion.ball_travel.per_acceleration]
    rubbing = SLIDE * hy.par[PARAMETERS.index("trough.friction")]
    pushed = _solved(mass, [u - rubbing * a for u, a in zip(up, along, strict=True)], order)
    falling = sum(
        (u * a for u, a in zip(up, free, strict=True)), taken_over(motion.ball_height.rest)
    )
    per_newton = sum((u * a for u, a in zip(up, pushed, strict=True)), hy.expression(0.0))
    contact = -falling / per_newton
    held = [a + contact * b for a, b in zip(free, pushed, strict=True)]
    slip = q[0] - q[names.index("s")] - hy.par[PARAMETERS.index("release.angle")]
    start = [0.0] * (2 * n)
    start[0], start[names.index("s")] = -0.5, -3.0

    def integrator(acceleration, event):
        system = [*zip(q, v, strict=True), *zip(v, acceleration, strict=True)]
        falls = hy.t_event(event, direction=hy.event_direction.negative)
        return hy.taylor_adaptive(system, list(start), tol=tolerance, t_events=[falls])

    return TaylorThrow(names=names, trough=integrator(held, contact), free=integrator(free, slip))


class Scipy:
    """solve_ivp on functions that sympy writes for plain floats."""

    def __init__(self, machine, written_in=False):
        self.machine = machine
        kind = Kind(hung=machine["counterweight.hung"], wheels=machine["base.wheels"])
        self.names, n = kind.names, len(kind.names)
        motion = derive(kind)
        letters = [COORDINATE[name] for name in kind.names] + [RATE[name] for name in kind.names]
        values = [float(machine[path] or 0.0) for path in PARAMETERS]
        dials = [LETTER[path] for path in PARAMETERS]
        fixed = {}
        if written_in:
            fixed = {dial: sp.Float(x, 17) for dial, x in zip(dials, values, strict=True)}
            dials, values = [], []
        wanted = [motion.mass, motion.force, *motion.ball_height.per_acceleration]
        wanted += [motion.ball_height.rest, *motion.ball_travel.per_acceleration]
        flat = [
            sp.sympify(entry).subs(fixed)
            for item in wanted
            for entry in (list(item) if isinstance(item, sp.MatrixBase) else [item])
        ]
        function = sp.lambdify([*letters, *dials], flat, modules="math", cse=True)
        drag = -SLIDE * machine["trough.friction"]

        def free(_, y):
            found = function(*y, *values)
            mass = np.array(found[: n * n]).reshape(n, n)
            return np.concatenate([y[n:], np.linalg.solve(mass, found[n * n : n * n + n])])

        def held(y):
            found = function(*y, *values)
            mass = np.array(found[: n * n]).reshape(n, n)
            rest = n * n + n
            up, along = found[rest : rest + n], found[rest + n + 1 :]
            push = [u + drag * a for u, a in zip(up, along, strict=True)]
            both = np.linalg.solve(mass, np.array([found[n * n : rest], push]).T)
            contact = -(found[rest + n] + np.dot(up, both[:, 0])) / np.dot(up, both[:, 1])
            return both[:, 0] + contact * both[:, 1], contact

        self.free = free
        self.trough = lambda _, y: np.concatenate([y[n:], held(y)[0]])
        self.contact = lambda _, y: held(y)[1]
        at, limit = self.names.index("s"), machine["release.angle"]
        self.slip = lambda _, y: y[0] - y[at] - limit
        for event in (self.contact, self.slip):
            event.terminal, event.direction = True, -1.0

    def at(self, tolerance):
        start = held_state(self.machine, self.names)

        def run():
            options = {"method": "DOP853", "rtol": max(tolerance, 1e-13), "atol": tolerance}
            lying = solve_ivp(self.trough, (0.0, 10.0), start, events=self.contact, **options)
            flying = solve_ivp(
                self.free,
                (lying.t[-1], 10.0),
                lying.y[:, -1],
                events=self.slip,
                **options,
            )
            self.found = flying.t[-1], flying.y[:, -1]

        return run

    def state(self):
        return seen(self.machine, self.names, *self.found)


def chosen(integrator, scale):
    """Loosest tolerance within ALLOWED of the integrator's own run at 1e-13, and its error."""
    integrator.at(REFERENCE)()
    reference = integrator.state()
    for tolerance in TOLERANCES:
        run = integrator.at(tolerance)
        run()
        error = float(np.abs((integrator.state() - reference) / scale).max())
        if error <= ALLOWED:
            return tolerance, error, run, reference
    raise RuntimeError(f"no tolerance gives {ALLOWED}")


def main() -> int:
    rows, lines, kept = [], [], True
    for hung, wheels in ((True, False), (True, True), (False, False), (False, True)):
        machine = otter_ford(
            hung=hung, wheels=wheels, axle__friction=0.0, hanger__friction=0.0, base__rolling=0.0
        )
        kind = Kind(hung=hung, wheels=wheels)
        ours = Ours(machine)
        ours.at(REFERENCE)()
        state = ours.state()
        reach, speed = machine["arm.long"] + machine["sling.length"], math.hypot(*state[5:])
        scale = np.array([state[0], 1.0, 1.0, reach, reach, speed, speed])
        integrators = {
            "ours": ours,
            "heyoka, as derived": Heyoka(machine, lambda tol, kind=kind: as_derived(kind, tol)),
            "heyoka, by hand": Heyoka(
                machine, lambda tol, h=hung, w=wheels: taylor_throw(h, w, tol)
            ),
            "scipy": Scipy(machine),
            "scipy, dials written in": Scipy(machine, written_in=True),
        }
        found = {name: chosen(integrator, scale) for name, integrator in integrators.items()}
        apart = max(
            float(np.abs((reference - state) / scale).max())
            for _, _, _, reference in found.values()
        )
        if apart > ALLOWED:
            raise RuntimeError(f"{kind.title}: the integrators disagree by {apart:.1e}")
        quick = {name: run for name, (_, _, run, _) in found.items() if "scipy" not in name}
        taken = in_turn(quick, ROUNDS)
        slow = {name: run for name, (_, _, run, _) in found.items() if "scipy" in name}
        taken |= in_turn(slow, 25, warm=1)
        again = in_turn(quick, ROUNDS)
        for name, values in again.items():
            taken[name] += values
        middle = {name: median(values) for name, values in taken.items()}
        for name, (tolerance, error, _, _) in found.items():
            rows.append(
                [
                    f"{kind.title}: {name}",
                    f"{tolerance:.0e}",
                    f"{error:.1e}",
                    f"{1e6 * min(taken[name]):.1f}",
                    f"{1e6 * middle[name]:.1f}",
                    f"{middle['ours'] / middle[name]:.3g}",
                ]
            )
        ratio = middle["ours"] / middle["heyoka, as derived"]
        # Long runs meet other work on the machine; the least is what they take by themselves.
        faster = min(taken["scipy"]) / min(taken["ours"])
        for what, value, limit, at_most in (
            ("ours over heyoka, as derived", ratio, AGAINST_HEYOKA, True),
            ("scipy over ours", faster, AGAINST_SCIPY, False),
        ):
            line, good = verdict(f"{kind.title}: {what}", value, limit, at_most=at_most)
            lines.append(line)
            kept = kept and good
        by_hand = middle["ours"] / middle["heyoka, by hand"]
        lines.append(f"{kind.title}: ours over heyoka, by hand: {by_hand:.3g} (for the record)")
        written_in = min(taken["scipy, dials written in"]) / min(taken["ours"])
        lines.append(
            f"{kind.title}: scipy, dials written in, over ours: {written_in:.3g} (for the record)"
        )
    heads = ["machine: integrator", "tolerance", "error", "least us", "median us", "ours / it"]
    keep(
        "throw_speed",
        "One throw, loosing to release, state at release to 1e-8",
        [*as_table(heads, rows), "", *lines],
        ["numpy", "numba", "scipy", "sympy", "heyoka"],
    )
    return 0 if kept else 1


if __name__ == "__main__":
    sys.exit(main())

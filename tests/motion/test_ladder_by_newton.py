"""Each rung against scipy on equations written another way: bodies in the plane, held by rods.

Truth: Newton's second law for every body by itself, in its own x, y and angle, with the pins and
the sling as constraints whose forces are found beside the accelerations (E. J. Haug, Computer Aided
Kinematics and Dynamics of Mechanical Systems, 1989, chapter 6, from memory). No Lagrangian, none of
the kit's angles, and no friction or air. Integrated by scipy's DOP853.
"""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

import slingwright as sw
from slingwright.motion.ladder import climb

BARE = {
    "axle.friction": 0.0,
    "hanger.friction": 0.0,
    "trough.friction": 0.0,
    "site.air_density": 0.0,
    "site.wind": 0.0,
}


class Bodies:
    """A machine as arm (x, y, turn), counterweight (x, y, turn), projectile (x, y), base (x)."""

    def __init__(self, machine, *, body, arm, hung, sling, wheels=False, trough=False):
        n = self.n = machine.number
        self.arm_mass, self.arm_own = (n("arm.mass"), n("arm.inertia")) if arm else (1e-9, 1e-9)
        self.far = n("arm.balance") if arm else 0.0
        self.heavy, self.own = n("counterweight.mass"), n("counterweight.inertia") if body else 1e-9
        self.hanger = n("counterweight.hanger") if hung else 0.0
        self.hung, self.sling, self.wheels, self.trough = hung, sling, wheels, trough
        self.cords = n("sling.mass") if sling else 0.0
        self.light = n("projectile.mass") + (n("sling.pouch") if sling else 0.0)
        self.base = n("base.mass") if wheels else 1.0
        self.trough_height = n("trough.height") + n("projectile.diameter") / 2

    def masses(self):
        """Mass matrix of all bodies in their own coordinates, without the cords."""
        arm, box = [self.arm_mass] * 2 + [self.arm_own], [self.heavy] * 2 + [self.own]
        return np.diag(arm + box + [self.light] * 2 + [self.base])

    def constraints(self, q, v):
        """Jacobian of what holds the bodies, and the accelerations that it asks for."""
        n, turn, rate = self.n, q[2], v[2]
        along = np.array([-math.cos(turn), math.sin(turn)])
        across = np.array([math.sin(turn), math.cos(turn)])  # d along / d turn
        rows, asked = [], []

        def hold(row, value):
            rows.append(row)
            asked.append(value)

        for k in (0, 1):  # the arm's centre lies on the line from the axle
            row = np.zeros(9)
            row[k], row[2] = 1.0, -self.far * across[k]
            if k == 0:
                row[8] = -1.0
            hold(row, -self.far * along[k] * rate**2)
        swing, swung = q[5], v[5]
        down = np.array([math.sin(swing), -math.cos(swing)])
        aside = np.array([math.cos(swing), math.sin(swing)])
        for k in (0, 1):  # the counterweight hangs on the pin, or is fixed there
            row = np.zeros(9)
            row[3 + k], row[2] = 1.0, n("arm.short") * across[k]
            row[5] = -self.hanger * aside[k]
            if k == 0:
                row[8] = -1.0
            hold(row, n("arm.short") * along[k] * rate**2 - self.hanger * down[k] * swung**2)
        if not self.hung:  # turns with the arm
            row = np.zeros(9)
            row[5], row[2] = 1.0, -1.0
            hold(row, 0.0)
        tip = n("arm.long") * along + [q[8], n("axle.height")]
        tip_rate = n("arm.long") * across * rate + [v[8], 0.0]
        if self.sling:  # as far from the tip as the sling is long
            apart, parting = q[6:8] - tip, v[6:8] - tip_rate
            row = np.zeros(9)
            row[6:8], row[8] = apart, -apart[0]
            row[2] = -n("arm.long") * (apart @ across)
            hold(row, -(parting @ parting) - n("arm.long") * rate**2 * (apart @ along))
        else:
            for k in (0, 1):
                row = np.zeros(9)
                row[6 + k], row[2] = 1.0, -n("arm.long") * across[k]
                if k == 0:
                    row[8] = -1.0
                hold(row, -n("arm.long") * along[k] * rate**2)
        if self.trough:
            row = np.zeros(9)
            row[7] = 1.0
            hold(row, 0.0)
        if not self.wheels:
            row = np.zeros(9)
            row[8] = 1.0
            hold(row, 0.0)
        return np.array(rows), np.array(asked)

    def accelerate(self, q, v, level=0.0):
        """Accelerations of all bodies, and the forces of what holds them.

        `level` is a force on the projectile, forward.
        """
        n, m, g = self.n, self.masses(), self.n("site.gravity")
        push = np.zeros(9)
        push[[1, 4, 7]] = -g * np.array([self.arm_mass, self.heavy, self.light])
        if self.cords:
            # An even straight cord between two points: a third of its mass at each end, a sixth
            # between them (the consistent mass of a bar); the tip's acceleration is the arm's.
            across = np.array([math.sin(q[2]), math.cos(q[2])])
            along = np.array([-math.cos(q[2]), math.sin(q[2])])
            to_tip = np.zeros((2, 9))
            to_tip[:, 2], to_tip[0, 8] = n("arm.long") * across, 1.0
            ball = np.zeros((2, 9))
            ball[0, 6] = ball[1, 7] = 1.0
            own = -n("arm.long") * along * v[2] ** 2
            both, mid = to_tip.T @ ball, to_tip + ball
            m = m + self.cords * (to_tip.T @ to_tip / 3 + ball.T @ ball / 3 + (both + both.T) / 6)
            push = push - self.cords * (to_tip.T @ own / 3 + ball.T @ own / 6)
            push = push - self.cords * g * mid[1] / 2
        rows, asked = self.constraints(q, v)
        whole = np.block([[m, rows.T], [rows, np.zeros((len(rows), len(rows)))]])
        push[6] += level
        solved = np.linalg.solve(whole, [*push, *asked])
        return solved[:9], solved[9:]

    def start(self):
        """Give places and rates of all bodies, held."""
        n = self.n
        turn = -n("arm.cocked")
        along = np.array([-math.cos(turn), math.sin(turn)])
        axle = np.array([0.0, n("axle.height")])
        pin, tip = axle - n("arm.short") * along, axle + n("arm.long") * along
        ball = tip
        if self.sling:
            drop = tip[1] - self.trough_height
            ball = tip + [math.sqrt(n("sling.length") ** 2 - drop**2), -drop]
        weight = pin + ([0.0, -self.hanger] if self.hung else [0.0, 0.0])
        swing = 0.0 if self.hung else turn
        return np.array([*(axle + self.far * along), turn, *weight, swing, *ball, 0.0]), np.zeros(9)

    def run(self, time, q, v):
        """Follow the bodies to `time`; gives places and rates (18,) there."""

        def rates(_, y):
            return [*y[9:], *self.accelerate(y[:9], y[9:])[0]]

        done = solve_ivp(rates, (0.0, time), [*q, *v], "DOP853", rtol=1e-10, atol=1e-10)
        return done.y[:, -1]


def otter_ford(**changes):
    return sw.read_machine("otter_ford").change(BARE | changes)


@pytest.mark.parametrize(
    ("key", "has"),
    [
        ("lever", {"body": False, "arm": False, "hung": False, "sling": False}),
        ("beam", {"body": False, "arm": True, "hung": False, "sling": False}),
        ("box", {"body": True, "arm": True, "hung": False, "sling": False}),
        ("hinge", {"body": True, "arm": True, "hung": True, "sling": False}),
        ("sling", {"body": True, "arm": True, "hung": True, "sling": True}),
    ],
)
def test_a_rung_is_its_bodies_by_newton(key, has):
    """Truth: see above: where the projectile is and how fast, at the rung's own release."""
    machine = otter_ford()
    found, bodies = climb(machine, key), Bodies(machine, **has)
    last = bodies.run(found.time[-1], *bodies.start())
    assert found.path[-1] == pytest.approx(last[6:8], rel=2e-6, abs=2e-6)
    assert found.speed == pytest.approx(np.hypot(*last[15:17]), rel=2e-6)
    assert found.arm[-1] == pytest.approx(last[2], rel=2e-6)


@pytest.mark.parametrize("wheels", [False, True], ids=["staked", "wheels"])
def test_trough_and_wheels_are_their_bodies_by_newton(wheels):
    """Truth: see above; the trough is left where its force on the projectile has fallen to zero."""
    change = {"base.wheels": True, "base.mass": 400.0, "base.rolling": 0.0} if wheels else {}
    machine = otter_ford(**change)
    throw = sw.throw(machine, tolerance=1e-11)
    has = {"body": True, "arm": True, "hung": True, "sling": True, "wheels": wheels}
    held, free = Bodies(machine, **has, trough=True), Bodies(machine, **has)
    leaves, out = throw.spans[0].end, throw.release.time
    left = held.run(leaves, *held.start())
    force = held.accelerate(left[:9], left[9:])[1]
    at = -1 if wheels else -2  # the trough's row; a staked base has one behind it
    start = held.accelerate(*held.start())[1]
    assert abs(force[at]) < 1e-4 * abs(start[at]), "nothing holds it up any more"
    last = free.run(out - leaves, left[:9], left[9:])
    assert [throw.release.x, throw.release.y] == pytest.approx(last[6:8], rel=1e-6, abs=1e-6)
    assert throw.release.speed == pytest.approx(np.hypot(*last[15:17]), rel=1e-6)


def test_friction_in_the_trough_is_coulombs():
    """Truth: as above with a force of mu times the trough's own, against the way: found in turn
    with it by iteration, since each depends on the other."""
    machine = otter_ford(**{"trough.friction": 0.3})
    throw = sw.throw(machine, tolerance=1e-11)
    bodies = Bodies(machine, body=True, arm=True, hung=True, sling=True, trough=True)

    def rates(_, y):
        push, moved = 0.0, None
        for _ in range(60):
            moved, forces = bodies.accelerate(y[:9], y[9:], push)
            new = 0.3 * -forces[-2]  # it slides to the rear: friction is forward
            if abs(new - push) < 1e-9:
                break
            push = new
        return [*y[9:], *moved]

    span = (0.0, throw.spans[0].end)
    y = solve_ivp(rates, span, np.concatenate(bodies.start()), "DOP853", rtol=1e-9, atol=1e-9)
    index = int(np.searchsorted(throw.time, span[1]))
    assert throw.ball[index] == pytest.approx(y.y[6:8, -1], rel=1e-6, abs=2e-6)

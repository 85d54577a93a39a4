"""The machine a second time, by Kane's method: frames, joints and loads in sympy's mechanics.

Nothing here reads the project's own derivation.  The coordinates differ from it too: e is the arm's
elevation, b the weight's turn and g the sling's turn, both measured at their joints (relative to
the arm), X the base's travel.  Angles of the machine follow from them:

    hanger angle h = b + pi - e,   sling elevation s = e - g

Source: T. R. Kane, D. A. Levinson, Dynamics: Theory and Applications, McGraw-Hill 1985, in the
implementation `sympy.physics.mechanics.KanesMethod`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
import sympy as sp
from sympy.physics.mechanics import (
    KanesMethod,
    Particle,
    Point,
    ReferenceFrame,
    RigidBody,
    dynamicsymbols,
    inertia,
)

PARAMETERS = {
    "L": "arm.long",
    "S": "arm.short",
    "m_arm": "arm.mass",
    "b_arm": "arm.balance",
    "I_arm": "arm.inertia",
    "M": "counterweight.mass",
    "c": "counterweight.hanger",
    "I_weight": "counterweight.inertia",
    "l": "sling.length",
    "m_cord": "sling.mass",
    "m_pouch": "sling.pouch",
    "m_ball": "projectile.mass",
    "H": "axle.height",
    "m_base": "base.mass",
    "gravity": "site.gravity",
}
"""Letter of the model -> dial of the machine."""

BEARING = 0.02
"""Bearings: tanh(turning rate / (BEARING sqrt(gravity / L))) times coefficient, load and radius."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KaneModel:
    """Numeric functions of one machine kind; n coordinates in the order e, [b], g, [X]."""

    hung: bool
    wheels: bool
    names: tuple[str, ...]
    equations: object
    rows: object

    def parameters(self, machine) -> list[float]:
        return [float(machine[path]) for path in PARAMETERS.values()]

    def from_machine_angles(self, e, h, s, x):
        """Joint coordinates from arm elevation, hanger angle, sling elevation and base position."""
        found = [e, *((h - math.pi + e,) if self.hung else ()), e - s]
        return np.array([*found, *((x,) if self.wheels else ())])

    def rates_from_machine(self, e, h, s, x):
        """Joint rates (or accelerations) from those of the machine's own angles."""
        found = [e, *((h + e,) if self.hung else ()), e - s]
        return np.array([*found, *((x,) if self.wheels else ())])

    def to_machine_rates(self, joints):
        """Rates (or accelerations) of e, [h], s, [X] from those of the joints."""
        e = joints[0]
        g = joints[2] if self.hung else joints[1]
        found = [e, *((joints[1] - e,) if self.hung else ()), e - g]
        return np.array([*found, *((joints[-1],) if self.wheels else ())])


@cache
def kane_model(hung: bool, wheels: bool) -> KaneModel:
    """Derive one machine kind by Kane's method and turn it into numeric functions."""
    names = ("e", *(("b",) if hung else ()), "g", *(("X",) if wheels else ()))
    q = {name: dynamicsymbols(name) for name in names}
    u = {name: dynamicsymbols(f"u_{name}") for name in names}
    p = {name: sp.Symbol(name, positive=True) for name in PARAMETERS}
    t = dynamicsymbols._t
    trough_x, trough_y, axle_torque, pin_torque, roll = sp.symbols("F_x F_y T_a T_p R")

    ground = ReferenceFrame("N")
    arm_frame = ground.orientnew("A", "Axis", [sp.pi - q["e"], ground.z])
    arm_frame.set_ang_vel(ground, -u["e"] * ground.z)
    sling_frame = arm_frame.orientnew("G", "Axis", [q["g"], arm_frame.z])
    sling_frame.set_ang_vel(arm_frame, u["g"] * arm_frame.z)
    if hung:
        box_frame = arm_frame.orientnew("B", "Axis", [q["b"], arm_frame.z])
        box_frame.set_ang_vel(arm_frame, u["b"] * arm_frame.z)
    else:
        box_frame = arm_frame

    origin = Point("O")
    origin.set_vel(ground, 0)
    base = origin.locatenew("base", q["X"] * ground.x if wheels else 0 * ground.x)
    base.set_vel(ground, u["X"] * ground.x if wheels else 0 * ground.x)
    axle = base.locatenew("axle", p["H"] * ground.y)
    axle.set_vel(ground, base.vel(ground))

    def fixed_to(start: Point, name: str, vector, frame) -> Point:
        point = start.locatenew(name, vector)
        point.v2pt_theory(start, ground, frame)
        return point

    arm_centre = fixed_to(axle, "arm", p["b_arm"] * arm_frame.x, arm_frame)
    tip = fixed_to(axle, "tip", p["L"] * arm_frame.x, arm_frame)
    pin = fixed_to(axle, "pin", -p["S"] * arm_frame.x, arm_frame)
    box_centre = fixed_to(pin, "box", -p["c"] * box_frame.y, box_frame) if hung else pin
    cord_centre = fixed_to(tip, "cord", p["l"] / 2 * sling_frame.x, sling_frame)
    pouch = fixed_to(tip, "pouch", p["l"] * sling_frame.x, sling_frame)

    def rigid(name: str, point: Point, frame, mass, moment) -> RigidBody:
        return RigidBody(name, point, frame, mass, (inertia(frame, 0, 0, moment), point))

    bodies: list[RigidBody | Particle] = [
        rigid("arm", arm_centre, arm_frame, p["m_arm"], p["I_arm"]),
        rigid("box", box_centre, box_frame, p["M"], p["I_weight"]),
        rigid("cord", cord_centre, sling_frame, p["m_cord"], p["m_cord"] * p["l"] ** 2 / 12),
        Particle("ball", pouch, p["m_ball"] + p["m_pouch"]),
    ]
    hanging = list(bodies)
    if wheels:
        bodies.append(Particle("base", base, p["m_base"]))
    points = [body.masscenter for body in bodies]
    loads = [
        (point, -body.mass * p["gravity"] * ground.y)
        for body, point in zip(bodies, points, strict=True)
    ]
    loads.append((pouch, trough_x * ground.x + trough_y * ground.y))
    if wheels:
        loads.append((base, (-trough_x - roll) * ground.x))
    loads.append((arm_frame, axle_torque * ground.z))
    if hung:
        loads += [(box_frame, -pin_torque * ground.z), (arm_frame, pin_torque * ground.z)]

    method = KanesMethod(
        ground,
        q_ind=list(q.values()),
        u_ind=list(u.values()),
        kd_eqs=[u[name] - q[name].diff(t) for name in names],
    )
    method.kanes_equations(bodies, loads)

    accelerations = [u[name].diff(t) for name in names]
    plain_a = [sp.Symbol(f"a_{name}") for name in names]

    def settled(expression):
        """The expression with q' = u and u' as plain symbols."""
        at_rates = sp.sympify(expression).subs({q[n].diff(t): u[n] for n in names})
        return at_rates.subs(dict(zip(accelerations, plain_a, strict=True)))

    def force_on(some) -> list:
        """Newton: sum of mass times (acceleration + gravity up), x and y."""
        total = sum(
            (body.mass * (body.masscenter.acc(ground) + p["gravity"] * ground.y) for body in some),
            0 * ground.x,
        )
        return [settled(total.dot(ground.x)), settled(total.dot(ground.y))]

    ball_a = pouch.acc(ground)
    travel = ball_a.dot(ground.x) - (accelerations[-1] if wheels else 0)
    wanted = [
        settled(ball_a.dot(ground.y)),
        settled(travel),
        *force_on(hanging),
        *force_on([bodies[1]]),
    ]
    per_a = sp.Matrix([[sp.diff(w, a) for a in plain_a] for w in wanted])
    rest = sp.Matrix([w.subs(dict.fromkeys(plain_a, 0)) for w in wanted])
    loads_in = [trough_x, trough_y, axle_torque, pin_torque, roll]
    forcing = sp.Matrix(method.forcing)
    per_load = forcing.jacobian(loads_in)
    state = [list(q.values()), list(u.values()), list(p.values())]
    return KaneModel(
        hung=hung,
        wheels=wheels,
        names=names,
        equations=sp.lambdify(
            state,
            [method.mass_matrix, forcing.subs(dict.fromkeys(loads_in, 0)), per_load],
            modules="numpy",
            cse=True,
        ),
        rows=sp.lambdify(state, [per_a, rest], modules="numpy", cse=True),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """Joint accelerations, the trough's forces on the projectile and the friction torques."""

    acceleration: np.ndarray
    contact: float
    rubbing: float
    axle_torque: float
    pin_torque: float
    rolling: float
    axle_load: np.ndarray


def accelerations(model: KaneModel, machine, q, u, *, trough: bool, slide: float = 1.0) -> Answer:
    """Accelerations at a state: linear solves, friction found by repeating until it stands still.

    The stated friction: trough force `mu N` against `slide`; bearing torques `mu |load| d / 2` and
    rolling force `c_r` times wheel load, each times a tanh of the rate.
    """
    p = model.parameters(machine)
    mass, force, per_load = (np.array(part, float) for part in model.equations(q, u, p))
    per_a, rest = (np.array(part, float) for part in model.rows(q, u, p))
    force, rest = force.ravel(), rest.ravel()
    n = len(q)
    gravity, long_arm = machine["site.gravity"], machine["arm.long"]
    turning = BEARING * math.sqrt(gravity / long_arm)
    rolling_speed = BEARING * math.sqrt(gravity * long_arm)
    rough_axle = 0.5 * machine["axle.friction"] * machine["axle.diameter"]
    rough_axle *= math.tanh(u[0] / turning)
    rough_pin = rough_wheels = 0.0
    if model.hung:
        rough_pin = 0.5 * machine["hanger.friction"] * machine["hanger.pin"]
        rough_pin *= math.tanh(u[1] / turning)
    if model.wheels:
        rough_wheels = machine["base.rolling"] * math.tanh(u[-1] / rolling_speed)
    drag = -slide * machine["trough.friction"]

    # Unknowns: accelerations, and in the trough the contact force that holds the height.
    size = n + 1 if trough else n
    matrix, right = np.zeros((size, size)), np.zeros(size)
    matrix[:n, :n] = mass
    if trough:
        matrix[:n, n] = -(per_load[:, 0] * drag + per_load[:, 1])
        matrix[n, :n] = per_a[0]
        right[n] = -rest[0]
    torques = np.zeros(3)
    contact, axle_load = 0.0, np.zeros(2)
    for _ in range(200):
        right[:n] = force + per_load[:, 2:] @ torques
        found = np.linalg.solve(matrix, right)
        a = found[:n]
        contact = found[n] if trough else 0.0
        needed = per_a @ a + rest
        axle_load = needed[2:4] - np.array([drag * contact, contact])
        wheel_load = axle_load[1] + contact + machine["base.mass"] * gravity
        now = np.array(
            [
                rough_axle * math.hypot(*axle_load),
                rough_pin * math.hypot(*needed[4:6]),
                rough_wheels * max(0.0, wheel_load),
            ]
        )
        still = np.all(np.abs(now - torques) <= 4e-16 * np.abs(now))
        torques = now
        if still:
            break
    return Answer(
        acceleration=a,
        contact=contact,
        rubbing=drag * contact,
        axle_torque=torques[0],
        pin_torque=torques[1],
        rolling=torques[2],
        axle_load=axle_load,
    )

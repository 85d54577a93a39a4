"""The machine as a model of MuJoCo: bodies, hinges, a trough it touches, no equation of ours.

The sling is one rigid body on a hinge, or a chain of links.  The projectile touches the trough
through a small sphere at its centre, so that the contact acts where the equations put it; the
trough is set lower by that sphere's radius.  MuJoCo's contact is soft and its friction lifts what
slides (the convex contact model trades gap for slip), so the contact is frictionless and Coulomb's
force is set beside it, coefficient times the contact force that MuJoCo found in the step before.
Steps are semi-implicit Euler's: a step's impulse is then that one contact force times the step, and
the error falls with the step.  Bearings and wheels run without friction.

Source: E. Todorov, T. Erez, Y. Tassa, MuJoCo: a physics engine for model-based control, IEEE/RSJ
International Conference on Intelligent Robots and Systems 2012, 5026-5033.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import mujoco
import numpy as np
from outside.taylor_model import held_state

TOUCH = 1e-4
"""Radius of the sphere that touches the trough [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """The moment the ring slips: time [s], place [m] and velocity [m/s] of the projectile."""

    time: float
    place: np.ndarray
    velocity: np.ndarray
    arm: float


def numbers(*some: float) -> str:
    """Write numbers as an attribute of MuJoCo's XML."""
    return " ".join(f"{x:.17g}" for x in some)


def inertial(x: float, z: float, mass: float, moment: float) -> str:
    """Write a mass at a place of its body [kg, m, kg m^2]."""
    moment = max(moment, 1e-12)
    return (
        f'<inertial pos="{numbers(x, 0, z)}" mass="{mass:.17g}" '
        f'diaginertia="{numbers(moment, moment, moment)}"/>'
    )


def arm_text(machine, on_arm: str) -> str:
    """Write the arm on its axle with the weight, and what else is on it."""

    def v(path: str) -> float:
        return float(machine[path])

    if machine["counterweight.hung"]:
        weight = (
            f'<body name="weight" pos="{numbers(v("arm.short"), 0, 0)}">'
            '<joint name="hang" type="hinge" axis="0 -1 0"/>'
            + inertial(
                0, -v("counterweight.hanger"), v("counterweight.mass"), v("counterweight.inertia")
            )
            + "</body>"
        )
    else:
        weight = f'<body name="weight" pos="{numbers(v("arm.short"), 0, 0)}">' + (
            inertial(0, 0, v("counterweight.mass"), v("counterweight.inertia")) + "</body>"
        )
    return f"""
          <body name="arm" pos="{numbers(0, 0, v("axle.height"))}">
            <joint name="arm" type="hinge" axis="0 1 0"/>
            {inertial(-v("arm.balance"), 0, v("arm.mass"), v("arm.inertia"))}
            {weight}
            {on_arm}
          </body>"""


def roll_text(machine) -> str:
    """Write the base's way along the ground, if it has one."""
    return '<joint name="roll" type="slide" axis="1 0 0"/>' if machine["base.wheels"] else ""


def model_text(machine, step: float, links: int = 1) -> str:
    """Write the machine as MuJoCo's XML; x forward, z up, every hinge along y."""

    def v(path: str) -> float:
        return float(machine[path])

    level = v("trough.height") + v("projectile.diameter") / 2
    length = v("sling.length") / links
    cord = v("sling.mass") / links
    ball = v("projectile.mass") + v("sling.pouch")
    sling = (
        f'<body name="ball" pos="{numbers(-length, 0, 0)}">{inertial(0, 0, ball, 0.0)}'
        f'<geom type="sphere" size="{TOUCH}" conaffinity="1" contype="1"/></body>'
    )
    for link in reversed(range(links)):
        start = -v("arm.long") if link == 0 else -length
        sling = (
            f'<body name="link{link}" pos="{numbers(start, 0, 0)}">'
            f'<joint name="lag{link}" type="hinge" axis="0 -1 0"/>'
            f"{inertial(-length / 2, 0, cord, cord * length**2 / 12)}{sling}</body>"
        )
    # As hard as a contact may be at this step: two steps' time constant, critically damped.
    touch = f'condim="1" solref="{numbers(2 * step, 1)}" solimp="0.9999 0.9999 0.001 0.5 2"'
    return f"""
    <mujoco>
      <compiler angle="radian" inertiafromgeom="false"/>
      <option timestep="{step:.17g}" gravity="0 0 {-v("site.gravity"):.17g}" integrator="Euler"
        solver="Newton" tolerance="1e-14" iterations="200"/>
      <default><geom contype="0" conaffinity="0" {touch}/></default>
      <worldbody>
        <body name="base">{roll_text(machine)}{inertial(0, 0, v("base.mass"), 1.0)}
          <geom type="box" pos="{numbers(0, 0, level - TOUCH - 0.5)}" size="60 1 0.5"
            contype="1" conaffinity="1"/>
          {arm_text(machine, sling)}
        </body>
      </worldbody>
    </mujoco>"""


def slip_of(machine, step: float, links: int = 1, longest: float = 6.0) -> Slip:
    """Throw until the first link's lag falls to the release angle; between steps by a cubic."""
    model = mujoco.MjModel.from_xml_string(model_text(machine, step, links))
    data = mujoco.MjData(model)
    e, _, s, _ = held_state(machine, ("e", "h", "s", "X"))[:4]

    def joint(name: str) -> int:
        return int(model.joint(name).qposadr[0])

    data.qpos[joint("arm")] = e
    data.qpos[joint("lag0")] = e - s
    if machine["counterweight.hung"]:
        data.qpos[joint("hang")] = e
    ball, base = model.body("ball").id, model.body("base").id
    drawn = -1.0
    lag = joint("lag0")
    arm = joint("arm")
    slip = float(machine["release.angle"])
    jacobian = np.zeros((3, model.nv))

    def now() -> np.ndarray:
        """Lag, x, z, arm and their rates."""
        mujoco.mj_fwdPosition(model, data)
        mujoco.mj_jacBodyCom(model, data, jacobian, None, ball)
        velocity = jacobian @ data.qvel
        place = data.xpos[ball]
        return np.array(
            [
                [data.qpos[lag], place[0], place[2], data.qpos[arm]],
                [data.qvel[lag], velocity[0], velocity[2], data.qvel[arm]],
            ]
        )

    def rub() -> None:
        """Set Coulomb's force on the projectile, and its reaction on the base, from the contact."""
        slip_speed = now()[1, 1] - (data.qvel[0] if machine["base.wheels"] else 0.0)
        along = drawn if slip_speed == 0.0 else math.copysign(1.0, slip_speed)
        pushing = data.efc_force[0] if data.ncon else 0.0
        force = -along * float(machine["trough.friction"]) * pushing
        data.xfrc_applied[ball, 0] = force
        data.xfrc_applied[base, 0] = -force

    mujoco.mj_forward(model, data)
    for _ in range(30 if machine["trough.friction"] > 0.0 else 0):
        rub()
        mujoco.mj_forward(model, data)
    while data.time < longest:
        saved = (data.time, data.qpos.copy(), data.qvel.copy())
        before = now()
        mujoco.mj_step(model, data)
        if data.qpos[lag] <= slip:
            break
        rub()
    else:
        raise RuntimeError(f"the ring never slipped in {longest} s")
    after = now()
    h = step
    a, b = before, after

    def cubic(part: float) -> np.ndarray:
        t = part
        return (
            (2 * t**3 - 3 * t**2 + 1) * a[0]
            + (t**3 - 2 * t**2 + t) * h * a[1]
            + (3 * t**2 - 2 * t**3) * b[0]
            + (t**3 - t**2) * h * b[1]
        )

    low, high = 0.0, 1.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        if cubic(middle)[0] > slip:
            low = middle
        else:
            high = middle
    t = 0.5 * (low + high)
    slope = (
        (6 * t**2 - 6 * t) * (a[0] - b[0]) / h
        + (3 * t**2 - 4 * t + 1) * a[1]
        + (3 * t**2 - 2 * t) * b[1]
    )
    there = cubic(t)
    return Slip(time=saved[0] + t * h, place=there[1:3], velocity=slope[1:3], arm=float(there[3]))

"""The machine as a model of MuJoCo whose arm is a chain of rigid pieces with springs between them.

A piece reaches from the middle of one step along the arm to the middle of the next; the hinge
between two has the stiffness E I over the step, of the section there.  Piece and spring are worked
out from the arm's mass line and sections, by the trapezoid rule.  See mujoco_model.py for the rest.
"""

from __future__ import annotations

import math

import mujoco
import numpy as np
from outside.mujoco_model import TOUCH, inertial, numbers
from outside.taylor_model import held_state

from slingwright.strength.loads.arm import arm_mass_line, sections_of


def piece(machine, low: float, high: float) -> tuple[float, float, float]:
    """Mass, centre from the axle and own inertia of a piece of the arm [kg, m, kg m2]."""
    line = arm_mass_line(machine, 401)
    x = np.linspace(low, high, 101)
    spread = np.interp(x, line.position, line.line_mass)
    mass = np.trapezoid(spread, x)
    centre = np.trapezoid(spread * x, x) / mass
    return mass, centre, float(np.trapezoid(spread * (x - centre) ** 2, x))


def side(machine, modulus: float, reach: float, count: int, end: str, name: str) -> str:
    """Write one side of the arm, outermost piece first made; x is -1 along the long arm."""
    step, way = abs(reach) / count, math.copysign(1.0, reach)
    text = end
    for i in reversed(range(count)):
        near, far = (i + 0.5) * step, min((i + 1.5) * step, abs(reach))
        low, high = sorted((way * near, way * far))
        mass, centre, inertia = piece(machine, low, high)
        places = np.unique([-machine["arm.short"], way * near, 0.0, machine["arm.long"]])
        inertias = sections_of(machine, places, 0.0).inertia
        spring = modulus * float(np.interp(way * near, places, inertias)) / step
        start = step if i else step / 2.0
        text = (
            f'<body name="{name}{i}" pos="{numbers(-way * start, 0, 0)}">'
            f'<joint name="{name}{i}" type="hinge" axis="0 1 0" stiffness="{spring:.17g}"/>'
            f"{inertial(way * near - centre, 0, mass, inertia)}{text}</body>"
        )
    return text


def model_text(machine, step: float, modulus: float, long: int, short: int) -> str:
    """Write the machine as MuJoCo's XML; x forward, z up, every hinge along y; no friction."""

    def v(path: str) -> float:
        return float(machine[path])

    level = v("trough.height") + v("projectile.diameter") / 2
    length, cord = v("sling.length"), v("sling.mass")
    sling = (
        f'<body name="link" pos="{numbers(-v("arm.long") / long / 2, 0, 0)}">'
        '<joint name="lag" type="hinge" axis="0 -1 0"/>'
        f"{inertial(-length / 2, 0, cord, cord * length**2 / 12)}"
        f'<body name="ball" pos="{numbers(-length, 0, 0)}">'
        f"{inertial(0, 0, v('projectile.mass') + v('sling.pouch'), 0.0)}"
        f'<geom type="sphere" size="{TOUCH}" conaffinity="1" contype="1"/></body></body>'
    )
    hinge, out = "", 0.0
    if machine["counterweight.hung"]:
        hinge, out = '<joint name="hang" type="hinge" axis="0 -1 0"/>', v("counterweight.hanger")
    weight = (
        f'<body name="weight" pos="{numbers(v("arm.short") / short / 2, 0, 0)}">{hinge}'
        f"{inertial(0, -out, v('counterweight.mass'), v('counterweight.inertia'))}</body>"
    )
    reaches = v("arm.long"), -v("arm.short")
    middle = piece(machine, reaches[1] / short / 2, reaches[0] / long / 2)
    touch = f'condim="1" solref="{numbers(2 * step, 1)}" solimp="0.9999 0.9999 0.001 0.5 2"'
    return f"""
    <mujoco>
      <compiler angle="radian" inertiafromgeom="false"/>
      <option timestep="{step:.17g}" gravity="0 0 {-v("site.gravity"):.17g}" integrator="Euler"
        solver="Newton" tolerance="1e-14" iterations="200"/>
      <default><geom contype="0" conaffinity="0" {touch}/></default>
      <worldbody>
        <geom type="box" pos="{numbers(0, 0, level - TOUCH - 0.5)}" size="60 1 0.5"
          contype="1" conaffinity="1"/>
        <body name="arm" pos="{numbers(0, 0, v("axle.height"))}">
          <joint name="arm" type="hinge" axis="0 1 0"/>
          {inertial(-middle[1], 0, middle[0], middle[2])}
          {side(machine, modulus, reaches[0], long, sling, "long")}
          {side(machine, modulus, reaches[1], short, weight, "short")}
        </body>
      </worldbody>
    </mujoco>"""


def moments(
    machine, modulus: float, step: float = 5e-5, long: int = 12, short: int = 3
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Moment in each spring over time, from an unbent arm to the slip of the ring.

    Returns times (t,) [s], places along the arm from the axle (n,) [m] and moments (n, t) [N m],
    positive where the ends are bent toward growing elevation.
    """
    model = mujoco.MjModel.from_xml_string(model_text(machine, step, modulus, long, short))
    data = mujoco.MjData(model)
    arm, _, sling, _ = held_state(machine, ("e", "h", "s", "X"))[:4]

    def place(name: str) -> int:
        return int(model.joint(name).qposadr[0])

    data.qpos[place("arm")], data.qpos[place("lag")] = arm, arm - sling
    if machine["counterweight.hung"]:
        data.qpos[place("hang")] = arm
    names = [f"short{i}" for i in range(short)] + [f"long{i}" for i in range(long)]
    springs = np.array([float(model.joint(name).stiffness[0]) for name in names])
    springs[:short] *= -1.0
    where = [place(name) for name in names]
    times, found = [], []
    while data.qpos[place("lag")] > machine["release.angle"] and data.time < 6.0:
        mujoco.mj_step(model, data)
        times.append(data.time)
        found.append(springs * data.qpos[where])
    along = [-(i + 0.5) * machine["arm.short"] / short for i in range(short)]
    along += [(i + 0.5) * machine["arm.long"] / long for i in range(long)]
    return np.array(times), np.array(along), np.array(found).T

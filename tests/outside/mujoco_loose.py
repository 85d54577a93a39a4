"""The machine with a loose sling as a model of MuJoCo: a free pouch, and a cord that only pulls.

The pouch is a point mass on two slides that touches the ground.  The cord is a spatial tendon from
the tip of the arm to the pouch whose limit is the sling's length.  A limit of MuJoCo pushes back
one way only, with

    force = (reference - a) / R,   R = (1 - d) / d x (inverse weight of the tendon),
    reference = -(damping / d) rate - (stiffness / d) stretch,

a being the acceleration of the stretch.  With the least impedance it takes, d = 1e-4, R is large:
stiffness and damping are set so that force = k stretch + c rate, and what a adds is 1e-4 of the
mass that the cord feels.  Cords have no mass here; bearings, wheels and ground have no friction.

Source: E. Todorov, T. Erez, Y. Tassa, MuJoCo: a physics engine for model-based control, IEEE/RSJ
International Conference on Intelligent Robots and Systems 2012, 5026-5033; its documentation,
chapter Computation, section Solver parameters, for the limit's force.
"""

from __future__ import annotations

from dataclasses import dataclass

import mujoco
import mujoco.rollout
import numpy as np
from outside.mujoco_model import TOUCH, arm_text, inertial, numbers, roll_text

from slingwright.machine.machine import Machine
from slingwright.motion.throwing import Throw

SOFTEST = 1e-4
"""Least impedance of a limit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Motion:
    """A motion of MuJoCo's, at its steps (n,): time [s], pull of the cord and axle load [N], how
    far the cord is stretched [m]."""

    time: np.ndarray
    pull: np.ndarray
    axle_load: np.ndarray
    stretch: np.ndarray

    def spans(self) -> list[tuple[float, float]]:
        """Give the spans of time in which the cord hangs slack [s]."""
        slack = np.concatenate([[False], self.pull <= 0.0, [False]])
        edges = np.flatnonzero(np.diff(slack.astype(np.int8)))
        last = len(self.time) - 1
        return [
            (float(self.time[start]), self._between(min(end, last)))
            for start, end in zip(edges[::2], edges[1::2], strict=True)
        ]

    def _between(self, at: int) -> float:
        """Moment before a step at which the cord comes to its length."""
        a, b = self.stretch[at - 1], self.stretch[at]
        part = a / (a - b) if a < 0.0 < b else 1.0
        return float(self.time[at - 1] + part * (self.time[at] - self.time[at - 1]))


def loose_model(machine: Machine, step: float, *, empty: bool) -> mujoco.MjModel:
    """Build the machine with a free pouch, which holds its projectile unless it is empty."""
    load = float(machine["sling.pouch"]) + (0.0 if empty else float(machine["projectile.mass"]))
    clear = 0.0 if empty else float(machine["projectile.diameter"]) / 2
    length = float(machine["sling.length"])
    model = mujoco.MjModel.from_xml_string(f"""
    <mujoco>
      <compiler angle="radian" inertiafromgeom="false"/>
      <option timestep="{step:.17g}" gravity="0 0 {-float(machine["site.gravity"]):.17g}"
        integrator="RK4" solver="Newton" tolerance="1e-14" iterations="50" jacobian="dense"/>
      <default><geom condim="1" solref="{numbers(2 * step, 5)}"
        solimp="0.9999 0.9999 0.001 0.5 2"/></default>
      <worldbody>
        <geom type="plane" size="0 0 1" pos="{numbers(0, 0, clear - TOUCH)}"/>
        <body name="base">{roll_text(machine)}{inertial(0, 0, float(machine["base.mass"]), 1.0)}
          {
        arm_text(
            machine,
            f'''<site name="axle"/>
            <site name="tip" pos="{numbers(-float(machine["arm.long"]), 0, 0)}"/>''',
        )
    }
        </body>
        <body name="pouch">
          <joint name="x" type="slide" axis="1 0 0"/><joint name="z" type="slide" axis="0 0 1"/>
          {inertial(0, 0, load, 0.0)}<geom type="sphere" size="{TOUCH}"/><site name="pouch"/>
        </body>
      </worldbody>
      <tendon><spatial name="cord" limited="true" range="0 {length:.17g}"
        solimplimit="{numbers(SOFTEST, SOFTEST, 1, 0.5, 2)}">
        <site site="tip"/><site site="pouch"/></spatial></tendon>
      <sensor><clock/><tendonlimitfrc tendon="cord"/><tendonpos tendon="cord"/>
        <force site="axle"/></sensor>
    </mujoco>""")
    unit = (1.0 - SOFTEST) * model.tendon_invweight0[0]
    model.tendon_solref_lim[0] = (
        -unit * float(machine["sling.stiffness"]),
        -unit * float(machine["sling.damping"]),
    )
    return model


def start_state(model: mujoco.MjModel, thrown: Throw, at: int, *, rate: float = 0.0) -> np.ndarray:
    """Give MuJoCo's state at a sample of a throw, with the cord stretched by what it pulls.

    The rigid sling of the throw is lengthened along itself, at the rate [m/s] at which its pull
    changes.
    """
    machine = thrown.machine
    data = mujoco.MjData(model)
    along = (thrown.ball[at] - thrown.tip[at]) / np.linalg.norm(thrown.ball[at] - thrown.tip[at])
    stretch = thrown.sling_tension[at] / float(machine["sling.stiffness"])
    ball = thrown.ball[at] + along * stretch
    speed = thrown.ball_rate[at] + along * rate
    values = {
        "arm": (thrown.arm[at], thrown.arm_rate[at]),
        "hang": (
            thrown.arm[at] + thrown.hanger[at],
            thrown.arm_rate[at] + thrown.hanger_rate[at],
        ),
        "roll": (thrown.base[at], thrown.base_rate[at]),
        "x": (ball[0], speed[0]),
        "z": (ball[1], speed[1]),
    }
    for number in range(model.njnt):
        data.qpos[number], data.qvel[number] = values[model.joint(number).name]
    data.time = thrown.time[at]
    state = np.empty(mujoco.mj_stateSize(model, mujoco.mjtState.mjSTATE_FULLPHYSICS))
    mujoco.mj_getState(model, data, state, mujoco.mjtState.mjSTATE_FULLPHYSICS)
    return state


def motions(models: list[mujoco.MjModel], states: list[np.ndarray], steps: int) -> list[Motion]:
    """Follow models from their states for so many steps."""
    _, sensed = mujoco.rollout.rollout(
        models, mujoco.MjData(models[0]), np.array(states), nstep=steps
    )
    return [read(model, table) for model, table in zip(models, sensed, strict=True)]


def read(model: mujoco.MjModel, table: np.ndarray) -> Motion:
    """Read a motion off the sensors (n, 6): the joint's force on the arm is the axle's."""
    return Motion(
        time=table[:, 0],
        pull=table[:, 1],
        axle_load=np.linalg.norm(table[:, 3:6], axis=1),
        stretch=table[:, 2] - model.tendon_range[0, 1],
    )

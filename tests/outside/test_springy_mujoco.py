"""The arm's bending against MuJoCo, as a chain of 15 rigid pieces with springs between them.

Truth: E. Todorov, T. Erez, Y. Tassa, MuJoCo: a physics engine for model-based control, IEEE/RSJ
International Conference on Intelligent Robots and Systems 2012, 5026-5033, as the library mujoco
on the model of mujoco_springy.py, which is coupled both ways.
"""

import numpy as np
import pytest
from outside.machines import otter_ford
from outside.mujoco_springy import moments

import slingwright as sw
from slingwright.strength.loads import bending
from slingwright.strength.loads.arm import arm_loads, arm_mass_line, unit_lines

SMOOTH = {"axle__friction": 0.0, "hanger__friction": 0.0, "trough__friction": 0.0}
MODULUS = 11e9
LARGEST, HISTORY = 0.05, 0.08
"""Allowed parts of the largest moment: between the largest of both, and all along (rms)."""


def compared(machine):
    """Our largest moment over MuJoCo's less 1, rms of the difference, a rigid arm's, by place."""
    throw = sw.throw(machine, swing_through=0.0, tolerance=1e-10)
    line = arm_mass_line(machine, 61)
    arm = bending.arm_beam(machine, line, unit_lines(line))
    bent, rigid = bending.bending_of(throw, arm, start=0.0).adds, arm_loads(throw, mass=line)
    time, places, told = moments(machine, MODULUS)
    rows = []
    for where in (-0.23, 0.24, 1.2, 2.2):
        at = int(np.argmin(np.abs(places - where)))
        stiff = [np.interp(places[at], line.position, row) for row in rigid.moment]
        stiff = np.interp(time, throw.time, stiff)
        mode = float(np.interp(places[at], line.position, arm.moment))
        ours = stiff + mode * np.interp(time, bent.time, bent.beside)
        most = np.abs(told[at]).max()
        off = np.sqrt(np.mean((ours - told[at]) ** 2)) / most
        rows.append((np.abs(ours).max() / most - 1.0, off, np.abs(stiff).max() / most - 1.0))
    return np.array(rows).T


@pytest.mark.parametrize("hung", [True, False], ids=["hinged", "fixed"])
def test_moments_of_a_springy_arm(hung, monkeypatch):
    """Truth: MuJoCo, undamped, loosed unbent, which shakes the arm hardest. Near the axle the
    largest moments are 2 % (hinged) and 4 % (fixed) off, a rigid arm's 18 to 23 %."""
    monkeypatch.setattr(bending, "DAMPING", 0.0)
    largest, history, rigid = compared(otter_ford(hung=hung, **SMOOTH))
    print("largest, rms, rigid arm's:", largest, history, rigid)
    assert np.abs(largest).max() < LARGEST and history.max() < HISTORY
    assert np.abs(rigid).min() > 3.0 * LARGEST


def test_the_comparison_sees_ends_without_their_masses(monkeypatch):
    """Truth: a mode without what hangs on the arm's ends is another: it is not MuJoCo's."""
    monkeypatch.setattr(bending, "DAMPING", 0.0)
    monkeypatch.setattr(bending, "mass_felt", lambda mass, out, inertia, across: 0.0 * across)
    _, history, _ = compared(otter_ford(**SMOOTH))
    print("rms:", history)
    assert history.min() > 1.5 * HISTORY

"""The release against MuJoCo, which knows bodies, hinges and contact but no equation of ours.

Truth: E. Todorov, T. Erez, Y. Tassa, MuJoCo: a physics engine for model-based control, IEEE/RSJ
International Conference on Intelligent Robots and Systems 2012, 5026-5033, as the library mujoco
on the model of mujoco_model.py.
"""

import math

import numpy as np
import pytest
from outside.machines import otter_ford
from outside.mujoco_model import slip_of

import slingwright as sw

SMOOTH_BEARINGS = {"axle__friction": 0.0, "hanger__friction": 0.0, "base__rolling": 0.0}
STEPS = (5e-4, 2.5e-4, 1.25e-4, 6.25e-5)
ALLOWED = 0.003
ALLOWED_CHAIN = 0.02
kinds = pytest.mark.parametrize(
    ("hung", "wheels"),
    [(True, False), (True, True), (False, False), (False, True)],
    ids=["hinged", "hinged-wheels", "fixed", "fixed-wheels"],
)
frictions = pytest.mark.parametrize("friction", [0.0, 0.3], ids=["smooth", "rough"])


def differences(machine, slip) -> np.ndarray:
    """Parts by which time, place (of arm and sling together) and velocity at the slip differ."""
    throw = sw.throw(machine, swing_through=0.0)
    assert throw.outcome == "released"
    release = throw.release
    velocity = release.speed * np.array([math.cos(release.elevation), math.sin(release.elevation)])
    reach = machine["arm.long"] + machine["sling.length"]
    return np.array(
        [
            abs(slip.time / release.time - 1.0),
            np.linalg.norm(slip.place - [release.x, release.y]) / reach,
            np.linalg.norm(slip.velocity - velocity) / release.speed,
        ]
    )


@kinds
@frictions
def test_release_is_mujocos_and_comes_closer_as_its_step_falls(hung, wheels, friction):
    """Truth: MuJoCo with a rigid sling; 0.3 % at its smallest step, first order in the step."""
    machine = otter_ford(hung=hung, wheels=wheels, trough__friction=friction, **SMOOTH_BEARINGS)
    found = np.array([differences(machine, slip_of(machine, step)) for step in STEPS])
    for step, row in zip(STEPS, found, strict=True):
        print(f"step {step:.2e} s: time, place, velocity differ by", *(f"{x:.1e}" for x in row))
    assert found[-1].max() < ALLOWED
    # An eighth of the step: an eighth of the largest difference, or half as much again.
    largest = found.max(axis=1)
    assert largest[-1] < 1.5 * largest[0] / 8.0
    assert np.all(np.diff(largest) < 0.0)


@kinds
@frictions
def test_a_sling_of_ten_links_throws_much_the_same(hung, wheels, friction):
    """Truth: MuJoCo with the sling as a chain of 10 hinged rods; 2 %, at two steps that agree."""
    machine = otter_ford(hung=hung, wheels=wheels, trough__friction=friction, **SMOOTH_BEARINGS)
    coarse, fine = (differences(machine, slip_of(machine, step, links=10)) for step in (2e-4, 1e-4))
    print("10 links: time, place, velocity differ by", *(f"{x:.2%}" for x in fine))
    assert fine.max() < ALLOWED_CHAIN
    assert np.abs(fine - coarse).max() < 0.1 * ALLOWED_CHAIN


def test_the_comparison_sees_a_friction_left_out():
    """Truth: MuJoCo without trough friction differs from our throw with it by more than allowed."""
    rough = otter_ford(trough__friction=1.0, **SMOOTH_BEARINGS)
    smooth = otter_ford(trough__friction=0.0, **SMOOTH_BEARINGS)
    assert differences(rough, slip_of(smooth, STEPS[-1])).max() > ALLOWED
    assert differences(rough, slip_of(rough, STEPS[-1])).max() < ALLOWED

"""The load path: no check stands outside it, nothing is left out, and each part's forces close."""

from functools import cache

import numpy as np
import pytest

import slingwright as sw
from slingwright.strength.checks import holding
from slingwright.strength.frame import frame_shape, frame_units
from slingwright.strength.ledger import LINKS, NO_CHECK, not_checked
from slingwright.strength.names import CHECKS

BESIDE = {
    "axle.deflection": "how far it bends, no part of the path",
    "arm.deflection": "as above",
    "arm.rigid": "whether the motion may take the arm as rigid",
    "width.trough": "room, no force",
    "width.box": "room, no force",
    "width.supports": "room, no force",
}


@cache
def held(name):
    return holding(sw.read_machine(name))


def test_every_check_is_of_a_part_of_the_path():
    """Truth: the table of checks; a key stands in the path once."""
    keys = [key for link in LINKS for key in link.keys]
    assert set(keys) == set(CHECKS) - set(BESIDE)
    assert len(keys) == len(set(keys))


def test_a_part_tells_its_force_and_its_checks():
    """Truth: the cases' own loads; the checks' own verdicts."""
    found = held("on_wheels")
    rows = {row.key: row for row in found.path.rows()}
    assert rows["axle"].value.value == max(case.axle_load for case in found.cases)
    straps = found.machine.number("hanger.straps")
    assert rows["straps"].value.value * straps == pytest.approx(rows["hanger pin"].value.value)
    most, share = rows["head of an A-frame"].value.value, found.machine.number("frame.share")
    assert most == pytest.approx(share * rows["axle"].value.value)
    bare = [row.label for row in rows.values() if row.note.endswith(NO_CHECK)]
    assert tuple(bare) == not_checked(found.machine)
    assert "axles of the wheels" in rows and "ground under the sills" not in rows
    assert f"{len(bare)} have no check" in str(found.path.sentence)


@pytest.mark.parametrize("name", ["otter_ford", "fixed_pair"])
def test_the_arm_s_forces_close(name):
    """Truth: Newton's law for the arm: axle, ring's pull, weight's pull and its own weight move it.

    The balance point goes round the axle with the arm's rate and its change.
    """
    throw = next(case for case in held(name).cases if case.kind == "brief").thrown
    n = throw.machine.number
    sine, cosine = np.sin(throw.arm), np.cos(throw.arm)
    along, across = np.stack([-cosine, sine], axis=1), np.stack([sine, cosine], axis=1)
    turned = across * throw.arm_acceleration[:, None] - along * throw.arm_rate[:, None] ** 2
    moved = n("arm.mass") * n("arm.balance") * turned
    own = np.array([0.0, -n("arm.mass") * n("site.gravity")])
    left = throw.axle_force - throw.tip_force - throw.pin_force + own - moved
    size = np.hypot(*throw.axle_force.T)
    assert np.hypot(*left.T).max() < 1e-6 * size.max()


def test_the_frame_s_and_the_base_s_forces_close():
    """Truth: equilibrium: legs at the apex carry its load; the ground carries axle and base alone
    once the projectile has left the trough."""
    machine = sw.read_machine("otter_ford")
    shape, units = frame_shape(machine), frame_units(frame_shape(machine))
    up = units.axial[:2, 1].sum() * np.sin(shape.lean)
    assert up == pytest.approx(-1.0, rel=5e-3)
    throw = next(case for case in held("otter_ford").cases if case.kind == "brief").thrown
    own = machine.number("base.mass") * machine.number("site.gravity")
    left = throw.base_force - throw.axle_force - np.array([0.0, own])
    swings = throw.time > throw.release.time
    assert np.abs(left[swings]).max() < 1e-6 * np.abs(throw.base_force).max()

"""Free bodies: equilibrium of the arm at any moment, and of the frame, by sums and by Pynite."""

import numpy as np
import pytest

import slingwright as sw
from slingwright.pages.print.bodies import of_bodies, on_arm, on_frame
from slingwright.strength.checks import holding
from slingwright.strength.frame import frame_shape, frame_units

MACHINES = ["otter_fair", "fixed_pair", "on_wheels", "garden"]


@pytest.mark.parametrize("name", MACHINES)
def test_all_that_acts_on_the_arm_adds_up_to_none(name):
    """Truth: equilibrium with inertia (d'Alembert); the hanger pin's friction by Coulomb's law."""
    machine = sw.read_machine(name)
    done = sw.throw(machine)
    n = machine.number
    for k in np.linspace(1, done.time.size - 2, 25).astype(int):
        forces = on_arm(done, k)
        most = max(float(np.hypot(*one.force)) for one in forces)
        assert np.abs(np.sum([one.force for one in forces], axis=0)).max() < 1e-9 * most
        left = abs(sum(one.about(done.axle[k]) for one in forces))
        rubs = 0.0
        if machine.flag("counterweight.hung"):
            rubs = n("hanger.friction") * 0.5 * n("hanger.pin") * np.hypot(*done.pin_force[k])
        assert left <= rubs + 1e-6 * most * n("arm.long"), (name, k)


@pytest.mark.parametrize("name", MACHINES)
def test_the_frame_stands(name):
    """Truth: sums of forces and of moments; the sill's pull where legs and sill meet."""
    machine = sw.read_machine(name)
    done = sw.throw(machine)
    k = int(np.argmax(done.axle_load))
    load, front, rear = on_frame(done, k)
    assert np.abs(load.force + front.force + rear.force).max() < 1e-9 * np.hypot(*load.force)
    for point in (np.zeros(2), load.place, front.place):
        turned = sum(one.about(point) for one in (load, front, rear))
        assert abs(turned) < 1e-9 * np.hypot(*load.force) * load.place[1]
    shape = frame_shape(machine)
    axial = frame_units(shape).axial @ load.force
    # The front foot rolls: its leg's thrust outward is the sill's pull, and its push goes down.
    assert axial[1] * np.sin(shape.lean) == pytest.approx(front.force[1], rel=0.05, abs=30.0)


def test_the_section_shows_both_and_their_sums():
    """Truth: the axle's force of the governing throw; sums of the printed columns."""
    found = holding(sw.read_machine("otter_fair"))
    section = of_bodies(found, "metric")
    arm, frame = (table.lines for table in section.sheets)
    throws = [case.throw for case in found.as_planned.cases if case.throw is not None]
    most = max(float(one.axle_load.max()) for one in throws)
    axle = next(line for line in arm if "axle on the arm" in line[0])
    assert np.hypot(axle[1].value, axle[2].value) == pytest.approx(most)
    for lines in (arm, frame):
        for column in (1, 2):
            values = [line[column].value for line in lines[:-1]]
            assert abs(sum(values)) < 1e-6 * most and abs(lines[-1][column].value) < 1e-6 * most
    assert section.pictures[0][1].startswith(b"<?xml")

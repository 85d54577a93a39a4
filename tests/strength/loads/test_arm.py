"""Loads along the arm in a throw, against lumped masses, moment balance and statics."""

from functools import cache

import numpy as np
import pytest

import slingwright as sw
from slingwright.strength.loads.arm import ArmMass, arm_loads, arm_mass_line, arm_peaks


@cache
def thrown(name, **changes):
    """A throw of one of the kit's machines; `__` stands for the full stop."""
    machine = sw.read_machine(sw.data_folder() / f"{name}.toml")
    return sw.throw(machine.change({k.replace("__", "."): v for k, v in changes.items()}))


@pytest.mark.parametrize("name", ["otter_ford", "fixed_pair", "on_wheels"])
def test_against_200_lumped_masses(name):
    """Truth: Newton's law for 200 lumped masses that move with the arm, in plane coordinates.

    Each lump's acceleration is that of a point on a turning bar; the moment at a place is the sum
    of force times lever of all that lies beyond it. Held to 0.1 % of the peak.
    """
    t = thrown(name)
    m, loads = t.machine, arm_loads(t)
    line = arm_mass_line(m)
    edges = np.linspace(0.0, m.number("arm.long"), 201)
    middle = (edges[1:] + edges[:-1]) / 2.0
    lumps = np.interp(middle, line.position, line.line_mass) * np.diff(edges)
    at = int(np.argmin(np.abs(t.time - loads.peak_time)))
    sine, cosine = np.sin(t.arm[at]), np.cos(t.arm[at])
    along, across = np.array([-cosine, sine]), np.array([sine, cosine])
    acceleration = (
        middle[:, None] * (across * t.arm_acceleration[at] - along * t.arm_rate[at] ** 2)
        + np.array([t.base_acceleration[at], m.number("site.gravity")])
    )  # fmt: skip
    force = -lumps[:, None] * acceleration
    for where in np.flatnonzero(loads.position >= 0.0)[::7]:
        s = loads.position[where]
        lever = (middle - s) * (middle > s)
        moment = (force @ across * lever).sum()
        moment += -t.tip_force[at] @ across * (m.number("arm.long") - s)
        assert loads.moment[at, where] == pytest.approx(moment, abs=1e-3 * loads.peak_moment)


@pytest.mark.parametrize("name", ["otter_ford", "fixed_pair", "hinged_pair", "on_wheels"])
def test_both_sides_meet_at_a_frictionless_axle(name):
    """Truth: moment balance of the whole arm: with no friction both sides give one moment.

    A hinged weight leaves no couple at the pin; a fixed one the couple that turns it.
    """
    t = thrown(name, axle__friction=0.0, hanger__friction=0.0)
    loads = arm_loads(t)
    assert np.abs(loads.moment_gap).max() < 1e-9 * loads.peak_moment
    couple = 0.0
    if not t.machine.flag("counterweight.hung"):
        couple = t.machine.number("counterweight.inertia") * t.arm_acceleration
    assert loads.moment[:, 0] == pytest.approx(couple, abs=1e-9 * loads.peak_moment)


@pytest.mark.parametrize("name", ["otter_ford", "fixed_pair"])
def test_gap_at_the_axle_is_its_friction(name):
    """Truth: moment balance: both sides differ by the axle friction torque of the motion."""
    t = thrown(name)
    loads = arm_loads(t)
    assert loads.moment_gap == pytest.approx(t.axle_torque, abs=1e-9 * loads.peak_moment)


def test_steps_at_the_axle_are_the_axle_force():
    """Truth: force balance: shear and pull step at the axle by the force of the axle on the arm."""
    t = thrown("otter_ford")
    fine = arm_loads(t, stations=2001)
    axle = int(np.flatnonzero(fine.position == 0.0)[0])
    step = np.hypot(
        fine.shear[:, axle] - fine.shear[:, axle - 1], fine.pull[:, axle] - fine.pull[:, axle - 1]
    )
    assert step == pytest.approx(t.axle_load, rel=2e-3, abs=50.0)


def test_envelope_holds_every_moment():
    """Truth: the largest of a set is no less than any of it, and is one of it."""
    loads = arm_loads(thrown("otter_ford"))
    assert (loads.envelope >= np.abs(loads.moment) - 1e-9).all()
    assert loads.envelope.max() == pytest.approx(loads.peak_moment)
    at = int(np.argmin(np.abs(loads.time - loads.peak_time)))
    where = int(np.argmin(np.abs(loads.position - loads.peak_place)))
    assert abs(loads.moment[at, where]) == pytest.approx(loads.peak_moment)


@pytest.mark.parametrize("name", ["otter_ford", "fixed_pair", "on_wheels"])
def test_peaks_are_those_of_every_moment(name):
    """Truth: the lines of every moment, looked through for their largest.

    Just behind the axle, where no place stands, the short arm's are the long arm's less the axle's
    force and torque on the arm.
    """
    t = thrown(name)
    mass = arm_mass_line(t.machine, 61)
    whole, peaks = arm_loads(t, mass=mass), arm_peaks(t, mass)
    axle = int(np.flatnonzero(mass.position == 0.0)[0])
    sine, cosine = np.sin(t.arm), np.cos(t.arm)
    x, y = t.axle_force.T
    behind = {
        "moment": whole.moment[:, axle] - whole.moment_gap,
        "shear": whole.shear[:, axle] + x * sine + y * cosine,
        "pull": whole.pull[:, axle] - x * cosine + y * sine,
    }
    for line, just_behind in behind.items():
        largest = np.abs(getattr(whole, line)).max(axis=0)
        largest[axle] = max(largest[axle], np.abs(just_behind).max())
        limits = {"rel": 1e-6, "abs": 1e-9 * largest.max()}
        assert getattr(peaks, line) == pytest.approx(largest, **limits), line


def test_mass_line_keeps_mass_balance_and_inertia():
    """Truth: integrals of the line by the trapezoid and Simpson's rules."""
    m = thrown("otter_ford").machine
    line = arm_mass_line(m, 401)
    x, w = line.position, line.line_mass
    mass = np.trapezoid(w, x)
    balance = np.trapezoid(w * x, x) / mass
    assert mass == pytest.approx(m["arm.mass"], rel=1e-4)
    assert balance == pytest.approx(m["arm.balance"], rel=1e-3)
    inertia = np.trapezoid(w * (x - balance) ** 2, x)
    assert inertia == pytest.approx(m["arm.inertia"], rel=1e-3)


def test_odd_arm_keeps_its_mass_and_says_so():
    """Truth: no line of the arm's sections has half the inertia they give it and a far balance."""
    m = thrown("otter_ford").machine.change({"arm.inertia": 60.0, "arm.balance": 4.0})
    line = arm_mass_line(m)
    assert "by its sections alone" in line.note
    assert np.trapezoid(line.line_mass, line.position) == pytest.approx(m["arm.mass"])
    assert "by its sections alone" in arm_loads(sw.throw(m)).note


def test_massless_arm_and_too_few_stations():
    """Truth: no mass, no inertia along the arm; two places make no line."""
    m = thrown("otter_ford").machine.change({"arm.mass": 0.0})
    assert arm_mass_line(m).line_mass.tolist() == [0.0] * arm_mass_line(m).position.size
    with pytest.raises(ValueError, match="stations is 2"):
        arm_mass_line(m, 2)
    given = ArmMass(position=np.array([-1.4, 0.0, 5.8]), line_mass=np.zeros(3))
    assert arm_loads(sw.throw(m), mass=given).position.size == 3

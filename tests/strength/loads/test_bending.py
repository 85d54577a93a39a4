"""How the arm bends in a motion: its mode, where it is rigid, what the checks carry of it."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

import slingwright as sw
from slingwright.formulas.arm.modes import LumpedMass, bending_modes
from slingwright.strength.checks import checks
from slingwright.strength.loads import bending
from slingwright.strength.loads.arm import (
    arm_loads,
    arm_mass_line,
    arm_peaks,
    sections_of,
    unit_lines,
)
from slingwright.strength.loads.cases import cases_and_failures, load_cases, with_copies


@cache
def machine(name="otter_ford"):
    return sw.read_machine(sw.data_folder() / f"{name}.toml")


@cache
def throw(name):
    return sw.throw(machine(name), tolerance=1e-9)


def beam(name, stations=61):
    line = arm_mass_line(machine(name), stations)
    return bending.arm_beam(machine(name), line, unit_lines(line))


def stiffer(found, times):
    """The same arm of a stuff so many times as stiff: the shape stays."""
    grown = {name: times * getattr(found, name) for name in ("square", "moment", "shear")}
    return replace(found, shear_gap=times * found.shear_gap, **grown)


@pytest.mark.parametrize("name", ["otter_ford", "fixed_pair", "garden"])
def test_a_mode_turns_and_shifts_nothing(name):
    """Truth: a free mode stands square to whole-body turning: its own inertia has no moment about
    the axle, so that both arms' moments meet there; and its modal mass is 1."""
    found, m = beam(name, 401), machine(name)
    n, s = m.number, found.line.position
    fixed = not m.flag("counterweight.hung")
    spread = found.line.line_mass * found.shape
    turning = n("counterweight.inertia") * found.pin_slope if fixed else 0.0
    parts = [found.tip * s[-1] * found.shape[-1], found.pin * s[0] * found.shape[0], turning]
    assert np.trapezoid(spread * s, s) + sum(parts) == pytest.approx(0.0, abs=2e-3 * abs(parts[1]))
    mass = np.trapezoid(spread * found.shape, s) + turning * found.pin_slope
    mass += found.tip * found.shape[-1] ** 2 + found.pin * found.shape[0] ** 2
    assert mass == pytest.approx(1.0, rel=2e-3)
    axle = int(np.flatnonzero(s == 0.0)[0])
    short = found.moment[axle - 1] - found.shear[axle - 1] * (s[axle] - s[axle - 1])
    assert short == pytest.approx(found.moment[axle], rel=5e-3)
    assert found.shear_gap == pytest.approx(found.shear[axle] - found.shear[axle - 1], rel=1e-2)


def test_moment_of_the_mode_is_its_curvature():
    """Truth: E I y'' of the shape, by differences."""
    found, m = beam("otter_ford", 241), machine()
    s = found.line.position
    bent = np.gradient(np.gradient(found.shape, s), s) * 11e9 * sections_of(m, s, 0.0).inertia
    inner = (np.abs(s) > 0.3) & (s > -1.2) & (s < 5.5)
    assert found.moment[inner] == pytest.approx(bent[inner], abs=0.03 * found.moment.max())


def test_few_places_tell_how_fast_the_arm_shakes():
    """Truth: the same finite elements on five times as many places, to 0.2 %."""
    m, told = machine(), beam("otter_ford")
    line = arm_mass_line(m, 5 * bending.PLACES)
    fine = bending_modes(
        line.position,
        11e9 * sections_of(m, line.position, 0.0).inertia,
        line.line_mass,
        pinned=(0.0,),
        lumped=(
            LumpedMass(mass=told.tip, position=float(line.position[-1])),
            LumpedMass(mass=told.pin, position=float(line.position[0])),
        ),
        count=1,
    )
    assert np.sqrt(told.square) / (2.0 * np.pi) == pytest.approx(fine.frequency[0], rel=2e-3)


@pytest.mark.parametrize("name", ["otter_ford", "fixed_pair"])
def test_a_stiff_arm_is_rigid(name):
    """Truth: the rigid arm's own loads: the stiffer, the nearer, to 0.1 % at ten thousand times.

    Only what comes at once (a loosing, a slip) shakes a stiff arm, and that dies away sooner. At
    the slip itself the arm is bent as before, which one mode tells to 4 %.
    """
    found = [
        bending.bending_of(throw(name), stiffer(beam(name), times)) for times in (1.0, 100.0, 1e4)
    ]
    off = [max(abs(one.adds.axle - 1.0), abs(one.adds.pin - 1.0)) for one in found]
    assert off[0] > 0.04 and off[1] < 0.01 and off[2] < 0.001
    assert found[0].adds.arm > 1.1 and found[2].adds.arm == pytest.approx(1.0, abs=0.04)
    line = beam(name).line
    rigid = arm_peaks(throw(name), line).moment.max()
    assert found[2].adds.moment.max() == pytest.approx(rigid, rel=0.05)


def test_it_starts_bent_as_its_hook_holds_it():
    """Truth: statics of the held arm: its moment at the axle, as far as one mode tells it."""
    found, one = beam("otter_ford"), throw("otter_ford")
    axle = int(np.argmin(np.abs(found.line.position)))
    case = next(case for case in load_cases(machine()) if case.kind == "held")
    first = arm_loads(one, mass=found.line).moment[0, axle]
    bent = bending.bending_of(one, found).adds.beside[0] * found.moment[axle]
    assert abs(first + bent) == pytest.approx(case.moment[axle], rel=0.15)
    assert abs(first) < 0.75 * case.moment[axle]


def test_checks_carry_short_pulses_alone():
    """Truth: the rule: pulse under four natural periods; a rigid arm's loads are the least."""
    seen = {True: 0, False: 0}
    for case in with_copies(load_cases(machine())):
        if case.throw is None:
            assert case.bending is None and case.bends() == ""
            continue
        told = case.bending
        seen[told.carried] += 1
        assert told.carried == (told.pulse < 4.0 * told.period and not told.unknown)
        if case.copies:
            continue
        rigid = arm_peaks(case.throw, arm_mass_line(machine(), 61)).moment
        most = np.maximum(rigid, told.adds.moment) if told.carried else rigid
        assert case.moment.max() == pytest.approx(most.max(), rel=1e-6)
        for part, load in (
            ("axle", case.throw.peak_axle_load),
            ("pin", np.hypot(*case.throw.pin_force.T).max()),
        ):
            factor = max(1.0, getattr(told.adds, part)) if told.carried else 1.0
            assert getattr(case, f"{part}_load") == pytest.approx(factor * load, rel=1e-9)
        assert ("as the arm bends" in case.at_axle_peak()) == told.carried
    assert min(seen.values()) > 0


def test_samples_of_a_throw_are_dense_enough():
    """Truth: the same throw at a tolerance of 1e-12, sampled twice as densely: factors to 0.3 %."""
    usual, close = (
        bending.bending_of(sw.throw(machine(), tolerance=allowed), beam("otter_ford"))
        for allowed in (1e-8, 1e-12)
    )
    for part in ("arm", "axle", "pin"):
        assert getattr(usual.adds, part) == pytest.approx(getattr(close.adds, part), rel=3e-3)


def test_a_pulse_is_measured_on_its_history():
    """Truth: a half sine of 0.3 s on a shoulder of a third: above half its peak for 0.2 s."""
    time = np.linspace(0.0, 1.0, 2001)
    size = np.where(np.abs(time - 0.5) < 0.15, np.sin(np.pi * (time - 0.35) / 0.3), 0.0)
    pulse, apart, at = bending._pulse(time, np.maximum(9.0 * size, 3.0))
    assert pulse == pytest.approx(0.3, rel=1e-3) and time[at] == pytest.approx(0.5)
    assert apart == pytest.approx(5e-4)


def test_too_few_samples_are_not_known(monkeypatch):
    """Truth: samples farther apart than allowed tell no pulse: the row says so, it never holds."""
    monkeypatch.setattr(bending, "COARSE", 0.001)
    cases_and_failures.cache_clear()
    found = checks(machine())
    cases_and_failures.cache_clear()
    row = next(check for check in found if check.key == "arm.rigid")
    assert not row.known and not row.passes and "are too few for a pulse" in row.note


def test_a_light_arm_is_not_known():
    """Truth: no mass, no mode: its row names the dial, the loads are a rigid arm's."""
    m = machine().change({"arm.mass": 0.0})
    assert all(case.bending is None for case in load_cases(m))
    row = next(check for check in checks(m) if check.key == "arm.rigid")
    assert not row.known and "give arm.mass its true value" in row.note


@pytest.mark.parametrize("mass", [4.0, 12.0, 18.0])
def test_a_catch_beside_arm_and_projectile_moved_together(mass):
    """Truth: arm, mode and projectile stepped together, level, the pull by the stretch between:
    the moment at the axle to 12 %, where without the cords as a spring it is far too large."""
    m = machine("fixed_pair")
    n, found = m.number, beam("fixed_pair")
    s = found.line.position
    tip = np.full(1, 0.5 * n("sling.mass"))
    rate, reach = bending._rate(found, tip, np.full(1, n("counterweight.mass")))
    whole = np.trapezoid(found.line.line_mass * s**2, s) + tip[0] * s[-1] ** 2
    whole += n("counterweight.mass") * s[0] ** 2 + n("counterweight.inertia")
    modal = found.square / rate[0] ** 2
    step, rows = 1e-5, {0.0: [], 1.0: []}
    for gives, told in rows.items():
        turn = spin = bent = swing = 0.0
        ball, speed = 0.0, 8.0
        for _ in range(12_000):
            stretch = ball - s[-1] * turn - gives * reach[0] * bent
            pull = max(0.0, n("sling.stiffness") * stretch)
            told.append((pull, bent))
            spin += step * pull * s[-1] / whole
            turn += step * spin
            swing -= step * 2.0 * bending.DAMPING * rate[0] * swing
            swing += step * (reach[0] * pull / modal - rate[0] ** 2 * bent)
            bent += step * swing
            speed -= step * pull / mass
            ball += step * speed
    pulls, truth = np.array(rows[0.0]).T, np.array(rows[1.0]).T
    time, still = step * np.arange(12_000), reach[0] / found.square
    stretched = (pulls[0] > 0.0) * n("sling.stiffness") * reach[0] ** 2 / found.square
    rates = np.full(time.size, rate[0])
    ours = bending._beside(time, pulls[0] * still, rates, stretched, 0.0)
    axle = int(np.flatnonzero(s == 0.0)[0])
    beyond = np.trapezoid((found.line.line_mass * s**2)[axle:], s[axle:]) + tip[0] * s[-1] ** 2
    rigid = s[-1] * (1.0 - beyond / whole)

    def largest(pull, beside):
        return np.abs(rigid * pull + beside * found.moment[axle]).max()

    together = largest(truth[0], truth[1] - still * truth[0])
    assert largest(pulls[0], ours) == pytest.approx(together, rel=0.12)
    assert largest(pulls[0], pulls[1] - still * pulls[0]) > 1.15 * together

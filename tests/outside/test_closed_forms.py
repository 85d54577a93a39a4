"""Limits in which the machine is a lever, a pendulum, a pair of hanging weights or a parabola.

Truth: closed forms of elementary mechanics, named at each test: J. R. Taylor, Classical Mechanics,
University Science Books 2005, chapters 3, 4 and 7; the pendulum of any swing by the complete
elliptic integral (M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions, 1964, 17.3).
"""

import math

import numpy as np
import pytest
from outside.machines import FRICTIONLESS, otter_ford
from outside.ours import our_rates
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline
from scipy.special import ellipk

import slingwright as sw
from slingwright.machine.machine import build

GRAVITY = 9.80665
NOTHING = 3e-6
"""Mass that stands for none: a few milligrams, the least a sling may have [kg]."""


def bare(**changes):
    """Give a frictionless machine whose sling weighs next to nothing."""
    settings = {
        "counterweight.hung": False,
        "arm.long": 4.0,
        "arm.short": 1.0,
        "arm.mass": 50.0,
        "arm.balance": 1.0,
        "arm.inertia": 60.0,
        "counterweight.mass": 400.0,
        "counterweight.inertia": 0.0,
        "counterweight.width": 0.5,
        "counterweight.height": 0.5,
        "sling.length": 3.0,
        "sling.mass": NOTHING,
        "sling.pouch": NOTHING,
        "projectile.mass": 0.0,
        "projectile.diameter": 0.1,
        "axle.height": 4.0,
        "site.gravity": GRAVITY,
        "trough.friction": 0.0,
        "axle.friction": 0.0,
        "hanger.friction": 0.0,
        "base.rolling": 0.0,
    }
    return build(settings | {path.replace("__", "."): value for path, value in changes.items()})


def quarter_period(machine, coordinate, start, rest):
    """Time from rest at `start` until the coordinate passes `rest`; others start at their own."""
    q_start = {"e": 0.0, "h": 0.0, "s": -math.pi / 2} | start
    kept = ["e", "h", "s"] if machine["counterweight.hung"] else ["e", "s"]

    def rates(_, y):
        by_name = dict(zip(kept, y[: len(kept)], strict=True))
        by_rate = dict(zip(kept, y[len(kept) :], strict=True))
        q = [by_name.get(name, 0.0) for name in ("e", "h", "s", "X")]
        v = [by_rate.get(name, 0.0) for name in ("e", "h", "s", "X")]
        return [*y[len(kept) :], *our_rates(machine, q, v, phase="free").acceleration]

    at = kept.index(coordinate)

    def passed(_, y):
        return y[at] - rest

    passed.terminal = True
    y0 = [q_start[name] for name in kept] + [0.0] * len(kept)
    run = solve_ivp(rates, (0.0, 60.0), y0, method="DOP853", rtol=1e-11, atol=1e-12, events=passed)
    return run.t[-1]


def pendulum_quarter(omega, swing):
    """Quarter period of a pendulum of any swing [rad]: K(sin^2(swing / 2)) / omega."""
    return ellipk(math.sin(swing / 2) ** 2) / omega


@pytest.mark.parametrize("e", [-0.6, 0.0, 0.4, 1.1])
def test_lever_of_two_weights(e):
    """Truth: lever with weights M at S and m at b: e'' = g cos e (M S - m b)/(M S^2 + m b^2), and
    the axle carries what Newton's law asks for both."""
    weight, short, other, along, rate = 400.0, 1.0, 30.0, 3.9, 0.7
    machine = bare(arm__mass=other, arm__balance=along, arm__inertia=0.0)
    q, v = [e, 0.0, -math.pi / 2, 0.0], [rate, 0.0, 0.0, 0.0]
    found = our_rates(machine, q, v, phase="free")
    turning = weight * short - other * along
    a = GRAVITY * math.cos(e) * turning / (weight * short**2 + other * along**2)
    assert found.acceleration[0] == pytest.approx(a, rel=1e-6, abs=1e-6)
    # The weights lie at -S and b along (-cos e, sin e) from the axle.
    along_axis = -turning * np.array([math.sin(e) * a + math.cos(e) * rate**2, 0.0])
    along_axis[1] = -turning * (math.cos(e) * a - math.sin(e) * rate**2)
    wanted = along_axis + np.array([0.0, (weight + other) * GRAVITY])
    assert found.axle_load == pytest.approx(wanted, rel=1e-6, abs=1e-2)


@pytest.mark.parametrize("swing", [0.01, 0.5, 1.4])
def test_fixed_weight_below_the_axle_is_a_compound_pendulum(swing):
    """Truth: compound pendulum about e = 90 degrees: omega^2 = g (M S - m b) / inertia there."""
    machine = bare(counterweight__inertia=20.0)
    omega = math.sqrt(GRAVITY * (400.0 - 50.0) / (60.0 + 50.0 + 20.0 + 400.0))
    found = quarter_period(
        machine, "e", {"e": math.pi / 2 - swing, "s": math.pi / 2 - swing}, math.pi / 2
    )
    assert found == pytest.approx(pendulum_quarter(omega, swing), rel=1e-6)


@pytest.mark.parametrize("swing", [0.02, 1.0, 2.0])
@pytest.mark.parametrize("own", [0.0, 1.5])
def test_hinged_weight_on_an_arm_that_stands_is_a_pendulum(swing, own):
    """Truth: simple pendulum omega^2 = g / c, and compound g M c / (M c^2 + I), on a heavy arm in
    balance (it must not move, or it would be another motion)."""
    hanger, mass = 0.8, 1.0
    machine = bare(
        counterweight__hung=True,
        counterweight__mass=mass,
        counterweight__hanger=hanger,
        counterweight__inertia=own,
        arm__mass=20_000.0,
        arm__balance=0.0,
        arm__inertia=70_000.0,
    )
    omega = math.sqrt(GRAVITY * mass * hanger / (mass * hanger**2 + own))
    found = quarter_period(machine, "h", {"e": 0.0, "h": swing}, 0.0)
    assert found == pytest.approx(pendulum_quarter(omega, swing), rel=2e-4)


@pytest.mark.parametrize(("cords", "ball", "factor"), [(0.0, 0.02, 1.0), (0.02, 0.0, 1.5)])
def test_sling_on_an_arm_that_stands_is_a_pendulum(cords, ball, factor):
    """Truth: simple pendulum g / l with all mass at the end; a rod hung at its end, 1.5 g / l; the
    milligrams that stand for none are counted."""
    machine = bare(
        counterweight__mass=0.01,
        arm__mass=20_000.0,
        arm__balance=0.0,
        arm__inertia=70_000.0,
        sling__mass=max(cords, NOTHING),
        projectile__mass=ball,
    )
    rod, end = machine["sling.mass"], ball + NOTHING
    omega = math.sqrt(GRAVITY / 3.0 * (rod / 2 + end) / (rod / 3 + end))
    assert omega == pytest.approx(math.sqrt(factor * GRAVITY / 3.0), rel=1e-3)
    found = quarter_period(machine, "s", {"e": 0.0, "s": -math.pi / 2 + 0.8}, -math.pi / 2)
    assert found == pytest.approx(pendulum_quarter(omega, 0.8), rel=1e-5)


def test_weight_and_ball_hung_from_a_level_arm_start_as_on_a_stepped_wheel():
    """Truth: Atwood's machine with two radii: e'' = g (M S - m L)/(M S^2 + m L^2) at the start,
    tensions M (g - S e'') and m (g + L e''), the axle carries both and the arm."""
    weight, ball = 400.0, 15.0
    machine = bare(
        counterweight__hung=True,
        counterweight__hanger=0.8,
        counterweight__mass=weight,
        projectile__mass=ball,
        arm__mass=NOTHING,
        arm__balance=0.0,
        arm__inertia=0.0,
    )
    found = our_rates(machine, [0.0, 0.0, -math.pi / 2, 0.0], [0.0] * 4, phase="free")
    a = GRAVITY * (weight * 1.0 - ball * 4.0) / (weight * 1.0 + ball * 16.0)
    assert found.acceleration[0] == pytest.approx(a, rel=1e-6)
    tensions = weight * (GRAVITY - a) + ball * (GRAVITY + 4.0 * a)
    assert found.axle_load == pytest.approx([0.0, tensions], rel=1e-6, abs=1e-3)


def test_small_motions_of_hanging_weights_keep_the_energy_of_atwoods_machine():
    """Truth: a balanced Atwood's machine moves on at the speed it is given: with M S = m L and the
    arm level, e'' is 0, at any small rate up to the centrifugal terms of second order."""
    machine = bare(
        counterweight__hung=True,
        counterweight__hanger=0.8,
        counterweight__mass=400.0,
        projectile__mass=100.0,
        arm__mass=NOTHING,
        arm__balance=0.0,
        arm__inertia=0.0,
    )
    for rate in (1e-2, 1e-3):
        found = our_rates(machine, [0.0, 0.0, -math.pi / 2, 0.0], [rate, 0, 0, 0], phase="free")
        assert abs(found.acceleration[0]) < 10.0 * rate**2


def test_hanging_weight_is_pulled_up_harder_as_it_swings_through():
    """Truth: at the lowest point of a pendulum the pin pulls up with M (g + c h'^2); at rest with
    M g; the sign of the constraint's force is up both times."""
    mass, hanger = 1.0, 0.8
    machine = bare(
        counterweight__hung=True,
        counterweight__mass=mass,
        counterweight__hanger=hanger,
        arm__mass=20_000.0,
        arm__balance=0.0,
        arm__inertia=70_000.0,
    )
    arm_weight = (20_000.0 + 2 * NOTHING) * GRAVITY
    for rate in (0.0, 2.0, 5.0):
        q, v = [math.pi / 2, 0.0, -math.pi / 2, 0.0], [0.0, rate, 0.0, 0.0]
        found = our_rates(machine, q, v, phase="free")
        pull = found.axle_load[1] - arm_weight
        assert pull == pytest.approx(mass * (GRAVITY + hanger * rate**2), rel=1e-6)


def test_pin_pulls_the_weight_up_as_the_machine_starts_and_more_as_it_swings_under():
    """Truth: a falling weight is held up by less than its weight, one that swings up by more."""
    throw = sw.throw(otter_ford())
    weight = 1400.0 * GRAVITY
    assert 0.0 < throw.pin_force[0, 1] < weight
    lowest = int(np.argmin(throw.weight[:, 1]))
    assert throw.pin_force[lowest, 1] > weight


@pytest.mark.parametrize("hung", [True, False], ids=["hinged", "fixed"])
def test_range_without_air_is_the_parabola_from_the_release(hung):
    """Truth: x + v_x t with t = (v_y + sqrt(v_y^2 + 2 g (y - r))) / g."""
    throw = sw.throw(otter_ford(hung=hung, site__air_density=0.0), tolerance=1e-12)
    release = throw.release
    v_x = release.speed * math.cos(release.elevation)
    v_y = release.speed * math.sin(release.elevation)
    time = (v_y + math.sqrt(v_y**2 + 2 * GRAVITY * (release.y - 0.125))) / GRAVITY
    assert throw.range == pytest.approx(release.x + v_x * time, rel=1e-10)
    assert throw.landing.time == pytest.approx(release.time + time, rel=1e-10)


@pytest.mark.parametrize("wheels", [False, True], ids=["staked", "wheels"])
@pytest.mark.parametrize("hung", [True, False], ids=["hinged", "fixed"])
def test_axle_force_is_the_change_of_all_momentum(hung, wheels):
    """Truth: Newton's second law on all that hangs on the axle: the impulse of axle, trough and
    gravity is the gain of momentum, worked out here from the histories of the angles."""
    machine = otter_ford(hung=hung, wheels=wheels)
    throw = sw.throw(machine, tolerance=1e-12, swing_through=0.0)
    m = machine
    along = throw.arm - throw.sling
    e, e_dot, s_dot = throw.arm, throw.arm_rate, throw.arm_rate - throw.sling_rate
    swing = np.column_stack([np.sin(e), np.cos(e)]) * e_dot[:, None]
    swung = np.column_stack([np.sin(along), np.cos(along)]) * s_dot[:, None]
    hanging = np.column_stack([np.cos(throw.hanger), np.sin(throw.hanger)])
    hanging = hanging * throw.hanger_rate[:, None] if hung else 0.0 * swing
    roll = np.column_stack([throw.base_rate, 0.0 * throw.base_rate])
    outer = m["sling.mass"] + m["sling.pouch"] + m["projectile.mass"]
    total = outer + m["arm.mass"] + m["counterweight.mass"]
    momentum = total * roll
    momentum += m["arm.mass"] * m["arm.balance"] * swing
    momentum += m["counterweight.mass"] * (m["counterweight.hanger"] * hanging)
    momentum -= m["counterweight.mass"] * m["arm.short"] * swing
    momentum += outer * m["arm.long"] * swing
    momentum += (outer - 0.5 * m["sling.mass"]) * m["sling.length"] * swung
    lying = throw.phase == 1
    slide = np.sign(m["arm.long"] * swing[:, 0] + m["sling.length"] * swung[:, 0])
    slide[0] = slide[1]
    rubbing = np.where(lying, -slide * m["trough.friction"] * throw.trough_force, 0.0)
    force = throw.axle_force + np.column_stack([rubbing, throw.trough_force * lying])
    force[:, 1] -= total * GRAVITY
    for phase in (1, 2):
        at = np.flatnonzero(throw.phase == phase)
        at = at[np.concatenate([[True], np.diff(throw.time[at]) > 0.0])]
        impulse = CubicSpline(throw.time[at], force[at]).antiderivative()
        gained = impulse(throw.time[at]) - impulse(throw.time[at[0]])
        change = momentum[at] - momentum[at[0]]
        size = np.abs(momentum).max()
        assert np.abs(gained - change).max() < 2e-5 * size


@pytest.mark.parametrize("hung", [True, False], ids=["hinged", "fixed"])
def test_axle_force_is_the_sum_of_what_the_parts_need(hung):
    """Truth: axle = sling's pull at the tip + pin's on the weight + arm's mass times (its
    acceleration + g), part by part, at every sample of all phases, swing-through too."""
    machine = otter_ford(hung=hung)
    throw = sw.throw(machine, swing_through=2.0)
    e, rate, turn = throw.arm, throw.arm_rate, throw.arm_acceleration
    own = machine["arm.balance"] * np.column_stack(
        [
            np.sin(e) * turn + np.cos(e) * rate**2,
            np.cos(e) * turn - np.sin(e) * rate**2,
        ]
    )
    own[:, 1] += GRAVITY
    needed = throw.tip_force + throw.pin_force + machine["arm.mass"] * own
    size = np.abs(throw.axle_force).max()
    assert np.abs(needed - throw.axle_force).max() < 1e-10 * size
    assert throw.axle_load.max() <= throw.peak_axle_load * (1.0 + 1e-12)
    assert throw.axle_load.max() == pytest.approx(throw.peak_axle_load, rel=1e-3)


def test_no_friction_no_loss():
    """Truth: conservation of energy: without friction the parts' gains add up to 0."""
    throw = sw.throw(otter_ford(**FRICTIONLESS), tolerance=1e-12)
    parts = throw.energy_weight + throw.energy_arm + throw.energy_sling + throw.energy_ball
    drop = 1400.0 * GRAVITY * 1.6
    assert np.abs(parts).max() < 1e-9 * drop
    assert np.abs(throw.energy_lost).max() == 0.0
    assert np.abs(throw.energy_weight).max() > 0.5 * drop

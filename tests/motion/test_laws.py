"""Every throw obeys mechanics: energy, Newton's laws for force and moment, constraint, events.

Truth: conservation of energy; Newton's second law and the law of angular momentum on the whole
machine, written here anew from positions and rates alone, with the sums over bodies that a textbook
gives; the contact's own conditions at lift-off and release.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from outside.machines import otter_ford, random_machine
from outside.ours import equations
from scipy.interpolate import CubicSpline
from strategies import legal_settings

import slingwright as sw
from slingwright.machine.machine import Machine, MachineError, build
from slingwright.motion.throwing import PATIENCE

KINDS = [(True, False), (False, False), (True, True), (False, True)]


def machine_from(settings_: dict) -> Machine:
    """Give the machine of some settings, or pass the example over where they make none."""
    try:
        return build(settings_)
    except MachineError:
        assume(False)
        raise


def drop(machine: Machine) -> float:
    """Energy that energy errors are measured against: the fall's energy, about [J]."""
    n = machine.number
    return n("counterweight.mass") * n("site.gravity") * n("arm.short")


# ---- audits over random machines


@given(settings_=legal_settings())
@settings(max_examples=60, suppress_health_check=[HealthCheck.filter_too_much])
def test_audits_hold_on_any_machine(settings_) -> None:
    """Truth: what is conserved is conserved, what only falls only falls, what is held is held."""
    machine = machine_from(settings_)
    done = sw.throw(machine)
    assume(done.outcome != "gave up")
    energies = [done.energy_weight, done.energy_arm, done.energy_sling, done.energy_ball,
                done.energy_base, done.energy_lost]  # fmt: skip
    largest = max(drop(machine), *(float(np.abs(part).max()) for part in energies))
    assert done.energy_error * drop(machine) <= 1e-7 * largest
    assert done.constraint_drift < 1e-9 * max(1.0, machine.number("sling.length"))
    assert np.abs(np.sum(energies, axis=0)).max() <= 1e-6 * largest
    assert np.diff(done.energy_lost).min(initial=0.0) >= -1e-9 * largest
    assert (np.diff(done.time) >= 0.0).all()
    lying = done.phase == 1
    if lying.any():
        assert done.trough_force[lying].min() >= -1e-7 * np.abs(done.trough_force[lying]).max()
    # Past the free swing the empty pouch may lie on the ground.
    assert not done.trough_force[~lying & (done.phase < 4)].any()


@given(settings_=legal_settings())
@settings(max_examples=40, suppress_health_check=[HealthCheck.filter_too_much])
def test_release_is_where_the_ring_slips(settings_) -> None:
    """Truth: the dial: the lag at release is the release angle, and never was below before."""
    machine = machine_from(settings_)
    done = sw.throw(machine)
    assume(done.outcome == "released")
    angle = machine.number("release.angle")
    loaded = done.phase < 3
    assert done.release.lag == pytest.approx(angle, abs=1e-9)
    assert done.sling[loaded][-1] == pytest.approx(angle, abs=1e-9)
    assert done.sling[loaded].min() >= angle - 1e-9
    assert done.time[loaded][-1] == pytest.approx(done.release.time, rel=1e-12)
    names = [span.name for span in done.spans if span.name != "sling loose"]
    assert names[-2:] == ["swinging free", "swing-through"]


# ---- Newton's laws, from positions and rates alone


def bodies(done, machine: Machine):
    """Give mass, inertia, place (n, 2), velocity (n, 2) and turning rate (n,) of all that moves.

    Turning is counted counter-clockwise with x forward and y up: the arm's elevation, with its tip
    to the rear, turns the other way.
    """
    n = machine.number
    e, h, s = done.arm, done.hanger, done.arm - done.sling
    e_dot, h_dot, s_dot = done.arm_rate, done.hanger_rate, done.arm_rate - done.sling_rate
    zero = np.zeros_like(e)
    still = np.column_stack([done.base, np.full_like(e, n("axle.height"))])
    moves = np.column_stack([done.base_rate, zero])

    def back(angle, length):
        return length * np.column_stack([-np.cos(angle), np.sin(angle)])

    def back_rate(angle, rate, length):
        return length * rate[:, None] * np.column_stack([np.sin(angle), np.cos(angle)])

    tip, tip_v = still + back(e, n("arm.long")), moves + back_rate(e, e_dot, n("arm.long"))
    pin, pin_v = still - back(e, n("arm.short")), moves - back_rate(e, e_dot, n("arm.short"))
    if machine.flag("counterweight.hung"):
        c = n("counterweight.hanger")
        box = pin + c * np.column_stack([np.sin(h), -np.cos(h)])
        box_v = pin_v + c * h_dot[:, None] * np.column_stack([np.cos(h), np.sin(h)])
        box_turn = h_dot
    else:
        box, box_v, box_turn = pin, pin_v, -e_dot
    length, cords = n("sling.length"), n("sling.mass")
    carried = np.where(done.phase == 3, 0.0, n("projectile.mass")) + n("sling.pouch")
    balance = n("arm.balance")
    return [
        (n("arm.mass"), n("arm.inertia"), still + back(e, balance),
         moves + back_rate(e, e_dot, balance), -e_dot),
        (n("counterweight.mass"), n("counterweight.inertia"), box, box_v, box_turn),
        (cords, cords * length**2 / 12.0, tip + back(s, 0.5 * length),
         tip_v + back_rate(s, s_dot, 0.5 * length), -s_dot),
        (carried, 0.0, tip + back(s, length), tip_v + back_rate(s, s_dot, length), zero),
    ]  # fmt: skip


def impulses(done, force: np.ndarray, which: np.ndarray) -> np.ndarray:
    """Integral of a history over the samples of one phase, from its first."""
    return CubicSpline(done.time[which], force[which], axis=0).antiderivative()(done.time[which])


def thrown(hung: bool, wheels: bool, **changes) -> tuple[Machine, object]:
    machine = otter_ford(hung=hung, wheels=wheels, sling__pouch=0.8, **changes)
    done = sw.throw(machine, tolerance=1e-11, swing_through=3.0)
    assert done.outcome == "released"
    return machine, done


@pytest.mark.parametrize(("hung", "wheels"), KINDS)
def test_axle_force_changes_the_momentum_of_what_hangs_on_it(hung: bool, wheels: bool) -> None:
    """Truth: Newton's second law: momentum gained is the impulse of axle, trough and gravity."""
    machine, done = thrown(hung, wheels)
    parts = bodies(done, machine)
    momentum = sum(np.asarray(m)[..., None] * v for m, _, _, v, _ in parts)
    mass = sum(np.broadcast_to(m, done.time.shape) for m, *_ in parts)
    rubbing = np.zeros_like(done.time)
    # The trough rubs against the way the projectile slides along it.
    slides = parts[3][3][:, 0] - done.base_rate
    lying = done.phase == 1
    rubbing[lying] = (
        -machine.number("trough.friction") * done.trough_force[lying] * np.sign(slides[lying])
    )
    start = int(np.argmax(lying))
    rubbing[start] = (
        -np.sign(slides[start + 1]) * machine.number("trough.friction") * (done.trough_force[start])
    )
    force = done.axle_force + np.column_stack(
        [rubbing, done.trough_force - mass * machine.number("site.gravity")]
    )
    for number in (1, 2, 3):
        which = done.phase == number
        gained = momentum[which] - momentum[which][0]
        given_ = impulses(done, force, which)
        scale = np.abs(given_).max()
        assert scale > 1.0
        assert np.abs(gained - given_).max() < 1e-5 * scale, number


@pytest.mark.parametrize(("hung", "wheels"), KINDS)
def test_ground_carries_the_whole_machine(hung: bool, wheels: bool) -> None:
    """Truth: Newton's second law on everything, base included: only ground and gravity act."""
    machine, done = thrown(hung, wheels)
    parts = bodies(done, machine)
    momentum = sum(np.asarray(m)[..., None] * v for m, _, _, v, _ in parts)
    base = machine.number("base.mass")
    momentum[:, 0] += base * done.base_rate
    mass = base + sum(np.broadcast_to(m, done.time.shape) for m, *_ in parts)
    force = done.base_force.copy()
    force[:, 1] -= mass * machine.number("site.gravity")
    for number in (1, 2, 3):
        which = done.phase == number
        gained = momentum[which] - momentum[which][0]
        given_ = impulses(done, force, which)
        assert np.abs(gained - given_).max() < 1e-5 * np.abs(done.base_force).max(), number


@pytest.mark.parametrize("hung", [True, False])
@pytest.mark.parametrize("number", [1, 2, 3])
def test_moment_of_the_ground_changes_the_angular_momentum(hung: bool, number: int) -> None:
    """Truth: the law of angular momentum about the point under the axle; it lifts the front."""
    machine, done = thrown(hung, False)
    gravity = machine.number("site.gravity")
    turning, weights = np.zeros_like(done.time), np.zeros_like(done.time)
    for m, inertia, at, v, turn in bodies(done, machine):
        turning += m * (at[:, 0] * v[:, 1] - at[:, 1] * v[:, 0]) + inertia * turn
        weights += -np.asarray(m) * gravity * at[:, 0]
    which = done.phase == number
    gained = turning[which] - turning[which][0]
    given_ = impulses(done, done.base_moment + weights, which)
    assert np.abs(gained - given_).max() < 1e-5 * np.abs(turning).max()


@pytest.mark.parametrize(("hung", "wheels"), KINDS)
def test_axle_force_part_by_part_is_that_of_the_whole(hung: bool, wheels: bool) -> None:
    """Truth: Newton's third law: the compiled sum body by body is the compiled law on the whole."""
    rng = np.random.default_rng(7)
    code = equations(hung, wheels)
    n = code.COORDINATES
    for _ in range(40):
        machine = random_machine(rng, hung=hung, wheels=wheels)
        p = machine.moving()
        K = np.empty(code.CONSTANTS)
        code.constants(p, K)
        y = np.append(rng.uniform(-1.5, 1.5, 2 * n), 0.0)
        a = np.append(np.zeros(n), rng.uniform(-9.0, 9.0, n + 1))[None, :]
        contact, rubbing = rng.uniform(-1e3, 1e3, 2)
        w, parts = np.zeros(code.WORK_SIZE), np.zeros(14)
        k = np.zeros((1, code.SIZE))
        code.rates(code.FREE, 1.0, y, p, K, w, k, 0)
        code.part_forces(y, a, 0, contact, rubbing, K, w, parts)
        code.load_rows(y, K, w)
        for at, place, extra in ((code.LOAD_X, 3, rubbing), (code.LOAD_Y, 7, contact)):
            whole = w[at : at + n] @ a[0, n : 2 * n] + w[at + n] - extra
            assert parts[place] == pytest.approx(whole, rel=1e-11, abs=1e-9 * abs(parts).max())


def test_sling_pull_is_the_force_along_it() -> None:
    """Truth: a rope with its own mass: at tip and pouch the pull is the force's part along it."""
    machine, done = thrown(True, False)
    s = done.arm - done.sling
    along = np.column_stack([-np.cos(s), np.sin(s)])
    assert np.allclose(done.sling_tension, -(done.tip_force * along).sum(axis=1), rtol=1e-12)
    free = done.phase == 2
    ball_mass = machine.number("projectile.mass") + machine.number("sling.pouch")
    v = bodies(done, machine)[3][3]
    a = np.column_stack([
        CubicSpline(done.time[free], v[free, i]).derivative()(done.time[free]) for i in (0, 1)
    ])  # fmt: skip
    a[:, 1] += machine.number("site.gravity")
    pull = -ball_mass * (a * along[free]).sum(axis=1)
    inner = slice(5, -5)
    assert np.allclose(done.pouch_tension[free][inner], pull[inner], rtol=2e-3, atol=2.0)


# ---- histories


@pytest.mark.parametrize(("hung", "wheels"), KINDS)
def test_histories_are_dense_and_joined(hung: bool, wheels: bool) -> None:
    """Truth: what a drawing needs: no gap above a 200th, nothing jumps but the load."""
    _, done = thrown(hung, wheels)
    assert np.diff(done.time).max() < done.time[-1] / 200.0
    assert np.abs(np.diff(done.arm)).max() < math.radians(4.0)
    for before, after in zip(done.spans, done.spans[1:], strict=False):
        assert before.end == pytest.approx(after.start, rel=1e-12)
    assert done.spans[0].start == 0.0
    assert done.spans[-1].end == done.time[-1]
    for name in ("arm", "hanger", "sling", "base", "arm_rate", "hanger_rate", "base_rate"):
        history = getattr(done, name)
        same = np.flatnonzero(np.diff(done.time) == 0.0)
        assert np.allclose(history[same], history[same + 1], rtol=0.0, atol=1e-9), name


def test_places_are_those_of_the_angles() -> None:
    """Truth: the public axes: tip, pin, weight and pouch from elevation, hanger angle and lag."""
    machine, done = thrown(True, True)
    _, (_, _, box, _, _), _, (_, _, ball, _, _) = bodies(done, machine)
    assert np.allclose(done.weight, box, atol=1e-12)
    assert np.allclose(done.ball, ball, atol=1e-12)
    reach = np.hypot(*(done.tip - done.axle).T)
    assert np.allclose(reach, machine.number("arm.long"), atol=1e-12)
    assert np.allclose(np.hypot(*(done.ball - done.tip).T), machine.number("sling.length"))
    assert np.allclose(done.axle[:, 0], done.base)


def test_swing_through_lasts_as_long_as_asked() -> None:
    """Truth: the argument, and 5 s where it is not given."""
    machine = otter_ford()
    for asked, expected in ((None, 5.0), (0.0, 0.0), (2.0, 2.0), (12.0, 12.0)):
        done = sw.throw(machine) if asked is None else sw.throw(machine, swing_through=asked)
        assert done.time[-1] - done.release.time == pytest.approx(expected, abs=1e-9)
        assert (done.phase == 3).any() == (expected > 0.0)


def test_peak_axle_load_is_the_largest_of_all() -> None:
    """Truth: the histories; a golden search between samples finds no less than they show."""
    for hung, wheels in KINDS:
        _, done = thrown(hung, wheels)
        top = int(np.argmax(done.axle_load))
        assert done.peak_axle_load >= done.axle_load.max() * (1.0 - 1e-12)
        assert done.peak_axle_load == pytest.approx(done.axle_load.max(), rel=1e-2)
        assert abs(done.peak_axle_time - done.time[top]) < 0.05
        name = {1: "in the trough", 2: "swinging free", 3: "swing-through"}[int(done.phase[top])]
        assert done.peak_axle_phase == name


def test_tolerance_converges() -> None:
    """Truth: against the strictest tolerance the range errs less with every hundredth."""
    machine = otter_ford()
    best = sw.throw(machine, tolerance=1e-13)
    errors = []
    for tolerance in (1e-4, 1e-6, 1e-8, 1e-10):
        done = sw.throw(machine, tolerance=tolerance)
        errors.append(abs(done.range - best.range))
        assert done.release.time == pytest.approx(best.release.time, rel=30.0 * tolerance)
    assert errors[-1] < 1e-7
    assert errors[0] > errors[-1]
    assert errors == sorted(errors, reverse=True)


@pytest.mark.parametrize("tolerance", [0.0, -1.0, 1e-14, 0.1, math.nan, math.inf])
def test_tolerance_outside_its_limits_is_refused(tolerance: float) -> None:
    """Truth: the limits the message names."""
    with pytest.raises(ValueError, match="1e-13 to 1e-3"):
        sw.throw(otter_ford(), tolerance=tolerance)


@pytest.mark.parametrize("seconds", [-0.1, 600.5, math.nan, math.inf])
def test_swing_through_outside_its_limits_is_refused(seconds: float) -> None:
    """Truth: the limits the message names."""
    with pytest.raises(ValueError, match="0 to 600 s"):
        sw.throw(otter_ford(), swing_through=seconds)


def test_held_machine_is_where_the_throw_starts() -> None:
    """Truth: the cocked angle, nothing moving, hanger straight down, projectile on the trough."""
    machine, done = thrown(True, False)
    level = machine.number("trough.height") + 0.5 * machine.number("projectile.diameter")
    assert done.arm[0] == -machine.number("arm.cocked")
    assert done.hanger[0] == done.base[0] == done.arm_rate[0] == done.sling_rate[0] == 0.0
    assert done.ball[0, 1] == pytest.approx(level, abs=1e-12)
    assert done.ball[0, 0] > done.tip[0, 0]
    assert PATIENCE > 1.0

"""Hauling, drum, hook and prong formulas: identities, limits, and what they refuse.

Truths: virtual work and moments written out here without the package; geometry of circles; Coulomb
friction by bisection on the force balance; each message names its thing.
"""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slingwright.formulas import drum, hauling, prong, sheaves, trigger
from slingwright.formulas.winch import crank_effort

ELEVATION = np.linspace(0.5 * math.pi, -0.7, 121)
PLACES = st.tuples(
    st.floats(1.0, 8.0), st.floats(2.0, 9.0), st.floats(-9.0, -1.0), st.floats(0.0, 1.0)
)


# ---- hauling -------------------------------------------------------------------------------------


@given(PLACES)
def test_lever_is_the_rate_of_the_rope(place: tuple) -> None:
    """Truth: virtual work: the lever is the derivative of the rope's length, by a complex step."""
    lever = hauling.rope_lever(ELEVATION, *place)
    rate = hauling.rope_length(ELEVATION + 1e-30j, *place).imag / 1e-30
    assert np.max(np.abs(lever - rate)) <= 1e-9 * max(1.0, place[0])


@given(PLACES)
def test_lever_is_twice_the_triangle_over_the_rope(place: tuple) -> None:
    """Truth: the height of the triangle axle, arm point, block, by its sides' cross product."""
    along, height, x, y = place
    arm = np.stack([-along * np.cos(ELEVATION), along * np.sin(ELEVATION)])
    block = np.array([x, y - height])
    twice = arm[0] * block[1] - arm[1] * block[0]
    length = np.hypot(arm[0] - block[0], arm[1] - block[1])
    expected = twice / length
    found = hauling.rope_lever(ELEVATION, *place)
    assert found == pytest.approx(expected, abs=1e-9 * max(1.0, along))


@given(PLACES)
def test_direction_has_length_one(place: tuple) -> None:
    """Truth: a unit vector."""
    x, y = hauling.rope_direction(ELEVATION, *place)
    assert np.hypot(x, y) == pytest.approx(1.0, abs=1e-12)


def test_stored_energy_is_the_integral_of_the_torque() -> None:
    """Truth: work is torque over angle, by the trapezium rule on 200,001 points."""
    fine = np.linspace(0.5 * math.pi, -0.7, 200_001)
    torque = hauling.gravity_torque(fine, 845.0, 9.80665)
    work = -np.trapezoid(torque, fine)
    gained = hauling.stored_energy(fine[-1:], 845.0, 9.80665, fine[0])[0]
    assert work == pytest.approx(gained, rel=1e-9)


def test_weight_moment_by_hand_and_too_light() -> None:
    """Truth: law of the lever; the message tells what to do."""
    assert hauling.weight_moment(1000.0, 1.0, 100.0, 1.5, 1.0, 5.0) == 845.0
    with pytest.raises(ValueError, match="heavier counterweight"):
        hauling.weight_moment(100.0, 1.0, 100.0, 1.5, 1.0, 5.0)


@pytest.mark.parametrize(
    "place",
    [(4.0, 4.0, 0.0, 0.4), (4.0, 4.0, 2.0, 0.4), (1.0, 4.0, -0.01, 0.0)],
    ids=["below the axle", "in front", "nearly in line"],
)
def test_dead_point_is_named(place: tuple) -> None:
    """Truth: upright arm and block in line with the axle leave no lever; the elevation is named."""
    lever = hauling.rope_lever(ELEVATION, *place)
    with pytest.raises(hauling.DeadPoint, match=r"deg the rope passes .* Move the winch"):
        hauling.refuse_dead_point(ELEVATION, lever, 0.05)


def test_rope_point_on_its_block() -> None:
    """Truth: two points in one place have no direction between them."""
    with pytest.raises(ValueError, match="no direction"):
        hauling.rope_direction(np.array([0.0]), 4.0, 4.0, -4.0, 4.0)


@given(st.floats(0.0, 0.02), st.floats(0.0, 200.0), st.sampled_from([1.0, -1.0]))
def test_tackle_load_balances_moments(drag: float, pin: float, sense: float) -> None:
    """Truth: moments about the axle, with its friction from the force that it carries."""
    place = (4.2, 4.0, -3.4, 0.4)
    lever = hauling.rope_lever(ELEVATION, *place)
    direction = hauling.rope_direction(ELEVATION, *place)
    torque = hauling.gravity_torque(ELEVATION, 845.0, 9.80665)
    pull = hauling.tackle_load(torque, lever, direction, 14e3, drag, pin, sense)
    axle = np.hypot(pull * direction[0], pull * direction[1] - 14e3)
    left = pull * lever - torque - sense * (drag * axle + pin)
    assert np.max(np.abs(left)) <= 1e-7 * np.max(torque)


def test_extension_bends_more_across_than_along() -> None:
    """Truth: cantilever: the same pull, 1.2 m out or 0.1 m off the member's axis: 12 to 1."""
    along, across = hauling.along_and_across(np.float64(3000.0), np.float64(4000.0), 0.3)
    assert math.hypot(along, across) == pytest.approx(5000.0)
    bent = hauling.extension_bending(np.float64(5e3), np.float64(5e3), 1.2, 0.1)
    assert bent[1] / bent[0] == pytest.approx(12.0)


# ---- drum ----------------------------------------------------------------------------------------


@given(st.floats(0.05, 0.6), st.floats(0.004, 0.04), st.floats(0.05, 1.0), st.floats(0.1, 200.0))
def test_rope_on_the_drum_turn_by_turn(
    size: float, rope: float, width: float, length: float
) -> None:
    """Truth: turns counted one by one, each as long as its layer's circle."""
    taken = np.linspace(0.0, length, 50)
    turns, radius = drum.drum_state(taken, size, rope, width)
    side, left, counted, layer = int(width / rope * (1 + 1e-12)), length, 0.0, 1
    while True:
        circle = 2.0 * math.pi * (0.5 * size + rope * (layer - 0.5))
        if left <= circle * side * (1.0 + 1e-12):
            counted += left / circle
            break
        left -= circle * side
        counted += side
        layer += 1
    assert turns[-1] == pytest.approx(counted, rel=1e-9)
    assert np.all(np.diff(turns) > 0.0) and np.all(np.diff(radius) >= 0.0)
    assert radius[0] == pytest.approx(0.5 * (size + rope))


def test_whole_layers_hold_what_they_hold() -> None:
    """Truth: five turns a layer: 2 pi 5 (0.11 + 0.13) m."""
    assert drum.rope_in_layers(0.2, 0.02, 0.1, 2) == pytest.approx(2 * math.pi * 5 * 0.24)


def test_force_and_pawl_by_the_lever() -> None:
    """Truth: 2 kN at 0.11 m, gear 4, crank 0.4 m: 137.5 N; the pawl at 0.15 m bears 1467 N."""
    assert drum.handle_force(2000.0, 0.11, 0.4, 4.0, 1.0) == pytest.approx(137.5)
    assert drum.pawl_load(2000.0, 0.11, 0.15) == pytest.approx(2000 * 0.11 / 0.15)


def test_handle_of_a_falling_weight() -> None:
    """Truth: a weight on a massless drum falls 2 m: v = sqrt(2 g h), the handle 4 times."""
    energy, mass, radius, crank = 100.0 * 9.81 * 2.0, 100.0, 0.1, 0.4
    inertia = mass * radius**2
    found = drum.runaway_speed(np.array([energy]), np.array([inertia]), np.array([crank]))
    assert found[0] == pytest.approx(4.0 * math.sqrt(2 * 9.81 * 2.0))
    assert drum.runaway_speed(np.array([-1.0]), np.array([1.0]), np.array([1.0]))[0] == 0.0


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: drum.turns_in_layer(0.02, 0.01), "no room for one turn"),
        (lambda: drum.turns_in_layer(0.0, 0.1), "not above 0"),
        (lambda: drum.drum_state(np.array([1.0]), 0.0, 0.02, 0.1), "drum diameter"),
        (lambda: drum.handle_force(1.0, 0.1, 0.0, 1.0, 1.0), "turn nothing"),
        (lambda: drum.handle_force(1.0, 0.1, 0.4, 1.0, 1.5), "turn nothing"),
        (lambda: drum.pawl_load(1.0, 0.1, 0.0), "where the pawl bears"),
        (lambda: sheaves.friction_ratio(-0.1), "outside 0 to 1"),
        (lambda: sheaves.friction_ratio(1.0), "outside 0 to 1"),
        (lambda: sheaves.mechanical_advantage(4, 0.0), "outside 0 to 1"),
    ],
)
def test_refusals(call, words: str) -> None:
    """Truth: the message names the thing."""
    with pytest.raises(ValueError, match=words):
        call()


def test_block_fastening_takes_both_parts() -> None:
    """Truth: two equal parts: parallel 2 T, square sqrt(2) T, straight through nothing."""
    found = [sheaves.block_load(1e3, 1e3, angle) for angle in (0.0, math.pi / 2, math.pi)]
    assert found == pytest.approx([2e3, math.sqrt(2) * 1e3, 0.0], abs=1e-4)


# ---- the quick answer ----------------------------------------------------------------------------

BENCH = {
    "counterweight_mass": 1200.0,
    "arm_short": 1.2,
    "arm_long": 6.0,
    "arm_mass": 220.0,
    "arm_balance": 1.9,
    "cocked": 0.7,
    "axle_height": 4.4,
    "winch_x": -3.2,
    "winch_y": 0.4,
    "on_arm": 4.5,
    "drum_diameter": 0.24,
    "crank": 0.4,
    "gear": 3.0,
    "parts": 2,
    "sheave_loss": 0.09,
    "people": 4,
    "rope": 0.02,
}


def test_half_the_drum_half_the_force_twice_the_turns() -> None:
    """Truth: law of the lever, with a rope too thin to matter."""
    whole = crank_effort(**{**BENCH, "rope": 1e-6})
    half = crank_effort(**{**BENCH, "rope": 1e-6, "drum_diameter": 0.12})
    assert half.force_per_person == pytest.approx(0.5 * whole.force_per_person, rel=1e-4)
    assert half.crank_turns == pytest.approx(2.0 * whole.crank_turns, rel=1e-4)
    assert half.work == pytest.approx(whole.work, rel=1e-12)


def test_heavy_work_is_timed_by_power_and_light_work_by_hands() -> None:
    """Truth: the longer of the two times counts, and the sentence says which."""
    light = crank_effort(**BENCH)
    heavy = crank_effort(**{**BENCH, "people": 1, "gear": 1.0, "drum_diameter": 0.4})
    assert "hand speed" in light.assumption and "crew power" in heavy.assumption
    assert light.hand_speed == pytest.approx(1.0668)
    assert heavy.hand_speed < 1.0668


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"people": 0}, "winds nothing"),
        ({"counterweight_mass": 100.0}, "outweigh the counterweight"),
        ({"winch_x": 0.0}, "dead point"),
        ({"drum_diameter": 0.0}, "drum diameter"),
        ({"steps": 4}, "odd number"),
        ({"parts": 0}, "carry nothing"),
        ({"rope": 0.0}, "rope diameter"),
    ],
)
def test_bench_refuses(change: dict, words: str) -> None:
    """Truth: the message names the thing."""
    with pytest.raises(ValueError, match=words):
        crank_effort(**{**BENCH, **change})


# ---- hook and prong ------------------------------------------------------------------------------


def test_slip_hook_of_common_practice() -> None:
    """Truth: common practice, no source: 250 kg held, loosed by 5 to 7 kgf, greased steel.

    Fingers curved with 10 to 20 mm radius on pins of 6 to 10 mm radius with lanyard levers of 15 to
    25 cm are sizes that a smith makes, and greased steel rubs with 0.10 to 0.16: the pulls that
    they give are of that order.
    """
    held = 250.0 * 9.80665
    pulls = [
        trigger.pull_to_loose(held, curve, 0.001, pin, lever, mu, mu) / 9.80665
        for curve in (0.010, 0.015, 0.020)
        for pin in (0.006, 0.008, 0.010)
        for lever in (0.15, 0.20, 0.25)
        for mu in (0.10, 0.13, 0.16)
    ]
    assert min(pulls) < 5.0 and max(pulls) > 7.0
    assert 3.0 < float(np.median(pulls)) < 10.0


@given(
    st.floats(0.005, 0.05),
    st.floats(-0.004, 0.004),
    st.floats(0.0, 0.02),
    st.floats(0.01, 0.5),
)
def test_hook_that_holds_needs_a_pull(curve: float, offset: float, pin: float, mu: float) -> None:
    """Truth: a hook holds by itself exactly where a pull above 0 is needed to loose it."""
    pull = trigger.pull_to_loose(1000.0, curve, offset, pin, 0.2, mu, mu)
    needed = trigger.friction_that_holds(curve, offset, pin)
    if abs(mu - needed) > 1e-6:
        assert (pull > 0.0) == (mu > needed or offset > 0.0)
    verdict = trigger.hook_safety(curve, offset, pin, mu)
    assert (verdict == "looses by itself") == (offset < 0.0 and mu <= needed)


@given(st.floats(-1.0, 1.2), st.floats(0.0, 0.8))
def test_ring_slides_from_the_slip_angle_on(bend: float, mu: float) -> None:
    """Truth: forces along and across the prong, in balance at the slip angle."""
    lag = prong.slip_angle(bend, mu)
    along, across = math.cos(lag + bend), math.sin(lag + bend)
    assert along == pytest.approx(mu * across, abs=1e-12)
    assert prong.slides(lag - 1e-6, bend, mu) and not prong.slides(lag + 1e-6, bend, mu)
    assert prong.bend_for_slip(lag, mu) == pytest.approx(bend, abs=1e-12)


def test_wet_prong_lets_go_later_in_lag() -> None:
    """Truth: derivative by a small step; less friction raises the lag at which the ring slips."""
    step = 1e-6
    by_step = (prong.slip_angle(0.6, 0.2 + step) - prong.slip_angle(0.6, 0.2 - step)) / (2 * step)
    assert prong.slip_change_with_friction(0.2) == pytest.approx(by_step, rel=1e-8)
    assert prong.slip_angle(0.6, 0.1) > prong.slip_angle(0.6, 0.3)

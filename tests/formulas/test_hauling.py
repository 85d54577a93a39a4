"""Statics of hauling the arm down, held to vectors, energy and statics worked another way."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slingwright.formulas.winch import hauling

PLACE = (4.5, 4.4, -3.2, 0.4)
PLACES = st.tuples(
    st.floats(1.0, 8.0), st.floats(2.0, 9.0), st.floats(-9.0, -1.0), st.floats(0.0, 1.0)
)
ELEVATION = np.linspace(math.pi / 2, -0.7, 41)


def test_torque_is_the_slope_of_the_energy() -> None:
    """Truth: a complex step through the height of the centre of mass."""
    moment = hauling.weight_moment(1200.0, 1.2, 220.0, 1.9, 1.8, 6.0)
    step = np.sin(ELEVATION + 1e-30j).imag / 1e-30
    torque = hauling.gravity_torque(ELEVATION, moment, 9.81)
    assert torque == pytest.approx(moment * 9.81 * step, rel=1e-12, abs=1e-9)
    energy = hauling.stored_energy(ELEVATION, moment, 9.81, math.pi / 2)
    assert np.trapezoid(torque, -ELEVATION) == pytest.approx(energy[-1], rel=1e-3)


@given(PLACES)
def test_direction_is_a_unit_vector_towards_the_block(place: tuple) -> None:
    """Truth: walking the rope's length along it from the arm arrives at the block."""
    x, y = hauling.arm_point(ELEVATION, *place[:2])
    u_x, u_y = hauling.rope_direction(ELEVATION, *place)
    length = np.hypot(x - place[2], y - place[3])
    assert np.hypot(u_x, u_y) == pytest.approx(1.0, abs=1e-12)
    assert x + u_x * length == pytest.approx(place[2], rel=1e-9, abs=1e-9)
    assert y + u_y * length == pytest.approx(place[3], rel=1e-9, abs=1e-9)


@given(st.floats(-0.7, 1.4), st.floats(0.0, 0.05), st.floats(0.0, 200.0), st.booleans())
def test_friction_balances(e: float, drag: float, hanger: float, winding: bool) -> None:
    """Truth: moments about the axle, the axle's load summed anew from the pull that came out."""
    elevation = np.array([e])
    torque = hauling.gravity_torque(elevation, 1000.0, 9.81)
    lever = hauling.rope_lever(elevation, *PLACE)
    u = hauling.rope_direction(elevation, *PLACE)
    sense = 1.0 if winding else -1.0
    pull = hauling.tackle_load(torque, lever, u, 14_000.0, drag, hanger, sense)
    axle = np.hypot(pull * u[0], pull * u[1] - 14_000.0)
    missing = pull * lever - torque - sense * (drag * axle + hanger)
    assert abs(missing[0]) < 1e-8 * (1.0 + abs(torque[0]))


def test_dead_point_is_where_rope_and_arm_are_in_line() -> None:
    """Truth: axle, rope's point and block in one line have no lever."""
    elevation = np.array([0.3])
    x, y = hauling.arm_point(elevation, 2.0, 4.0)
    lever = hauling.rope_lever(elevation, 4.0, 4.0, float(x[0]), float(y[0]))
    assert lever[0] == pytest.approx(0.0, abs=1e-12)
    with pytest.raises(hauling.DeadPoint, match="dead point: with the arm at 17.2 deg"):
        hauling.refuse_dead_point(elevation, lever, 0.05)


def test_rope_without_length_has_no_direction() -> None:
    """Truth: two points that meet."""
    with pytest.raises(ValueError, match="meets its block"):
        hauling.rope_direction(np.array([0.0]), 3.0, 4.0, -3.0, 4.0)


def test_light_weight_winds_itself() -> None:
    """Truth: law of the lever: 100 kg at 1 m against 100 kg at 2 m."""
    with pytest.raises(ValueError, match="by 100 kg m about the axle"):
        hauling.weight_moment(100.0, 1.0, 100.0, 2.0, 0.0, 5.0)


@given(st.floats(-1e4, 1e4), st.floats(-1e4, 1e4), st.floats(-1.5, 1.5))
def test_along_and_across_turn_back(x: float, y: float, slope: float) -> None:
    """Truth: a rotation there and back."""
    along, across = hauling.along_and_across(np.float64(x), np.float64(y), slope)
    back_x, back_y = hauling.along_and_across(along, across, -slope)
    assert (float(back_x), float(back_y)) == (
        pytest.approx(x, abs=1e-9),
        pytest.approx(y, abs=1e-9),
    )


@given(PLACES)
def test_lever_is_the_rate_of_the_rope(place: tuple) -> None:
    """Truth: virtual work: the lever is the derivative of the rope's length, by a complex step."""
    lever = hauling.rope_lever(ELEVATION, *place)
    along, height, x, y = place
    e = ELEVATION + 1e-30j
    length = np.sqrt((-along * np.cos(e) - x) ** 2 + (height + along * np.sin(e) - y) ** 2)
    assert lever == pytest.approx(length.imag / 1e-30, abs=1e-9 * max(1.0, along))


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


def test_extension_bends_more_across_than_along() -> None:
    """Truth: cantilever: the same pull, 1.2 m out or 0.1 m off the member's axis: 12 to 1."""
    along, across = hauling.along_and_across(np.float64(3000.0), np.float64(4000.0), 0.3)
    assert math.hypot(along, across) == pytest.approx(5000.0)
    bent = hauling.extension_bending(np.float64(5e3), np.float64(5e3), 1.2, 0.1)
    assert bent[1] / bent[0] == pytest.approx(12.0)

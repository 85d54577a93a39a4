"""The slip hook and other releases, held to statics worked another way."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slingwright.formulas.release import trigger

SIZES = {"curve": 0.012, "offset": 0.002, "pin": 0.008}


def moment_by_contact(curve: float, offset: float, friction: float) -> float:
    """Least turning moment a unit load asks for, by trying contacts all round the curve.

    The load comes down along -y through the contact; its normal leaves the curve's centre, which
    stands `offset` from the pivot. A contact slides where the load leans on the normal by the
    friction angle; of the two such contacts the one that resists is taken.
    """
    place = np.linspace(-1.2, 1.2, 2_000_001)  # angle of the contact from the load's line
    sliding = np.abs(np.abs(np.tan(place)) - friction) < 2e-6
    return float(np.max(offset + curve * np.sin(place[sliding])))


@pytest.mark.parametrize("friction", [0.05, 0.12, 0.3])
def test_load_arm_is_where_the_contact_slides(friction: float) -> None:
    """Truth: contacts tried one by one against Coulomb's cone."""
    geometry, drag = trigger.load_arm(0.012, 0.002, 0.0, friction, 0.0)
    by_search = moment_by_contact(0.012, 0.002, friction)
    assert geometry + drag == pytest.approx(by_search, rel=1e-4)


@given(st.floats(-0.02, 0.02), st.floats(0.0, 0.4), st.floats(1.0, 1e5))
def test_pull_and_self_loosing_agree(offset: float, friction: float, load: float) -> None:
    """Truth: a hook that looses by itself needs no pull, and no other hook does."""
    verdict = trigger.hook_safety(0.012, offset, 0.008, friction)
    pull = trigger.pull_to_loose(load, 0.012, offset, 0.008, 0.2, friction, friction)
    needed = trigger.friction_that_holds(0.012, offset, 0.008)
    if abs(friction - needed) > 1e-9:
        assert (pull == 0.0) == (verdict == "looses by itself") or offset == friction == 0.0
    assert (verdict == "holds by its shape") == (offset >= 0.0)


def test_friction_that_holds_balances() -> None:
    """Truth: at that friction the moments about the pivot cancel."""
    friction = trigger.friction_that_holds(0.012, -0.003, 0.008)
    geometry, drag = trigger.load_arm(0.012, -0.003, 0.008, friction, friction)
    assert geometry + drag == pytest.approx(0.0, abs=1e-15)
    assert trigger.friction_that_holds(0.012, -0.05, 0.008) == math.inf


def test_pull_is_in_proportion_to_load_and_falls_with_the_lever() -> None:
    """Truth: law of the lever, friction of the pin left out."""
    sizes = {"curve": 0.012, "offset": 0.002, "pin": 0.0, "friction": 0.1, "pin_friction": 0.1}
    one = trigger.pull_to_loose(load=1000.0, lever=0.2, **sizes)
    assert trigger.pull_to_loose(load=3000.0, lever=0.2, **sizes) == pytest.approx(3.0 * one)
    assert trigger.pull_to_loose(load=1000.0, lever=0.4, **sizes) == pytest.approx(0.5 * one)


def test_pin_friction_by_the_friction_circle() -> None:
    """Truth: with no curve and no offset, P l = (N + P) r sin(phi), worked by hand."""
    pull = trigger.pull_to_loose(1000.0, 0.0, 0.0, 0.01, 0.2, 0.5, 0.2)
    circle = 0.01 * 0.2 / math.sqrt(1.04)
    assert pull * 0.2 == pytest.approx((1000.0 + pull) * circle, rel=1e-12)


def test_lanyard_by_pythagoras() -> None:
    """Truth: 2, 3 and 6 span 7; a half turn moves the lever's end by its diameter."""
    assert trigger.lanyard_length(0.0, 0.0, 2.0, 6.0, 3.0, 0.5) == pytest.approx(7.5)
    assert trigger.lanyard_travel(0.2, math.pi, 0.0, 9.0) == pytest.approx(0.4)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: trigger.friction_angle(-0.1), "negative"),
        (lambda: trigger.load_arm(-0.01, 0.0, 0.01, 0.1, 0.1), "neither below 0"),
        (lambda: trigger.pull_to_loose(-1.0, 0.01, 0.0, 0.01, 0.2, 0.1, 0.1), "is negative"),
        (lambda: trigger.pull_to_loose(1.0, 0.01, 0.0, 0.01, 0.0, 0.1, 0.1), "longer lever"),
        (lambda: trigger.friction_that_holds(0.0, 0.0, 0.0), "one must be above 0"),
    ],
)
def test_bad_sizes_are_named(call, words: str) -> None:
    """Truth: the size that was made wrong."""
    with pytest.raises(ValueError, match=words):
        call()


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

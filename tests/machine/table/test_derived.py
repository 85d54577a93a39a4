"""What a machine file may leave out. Truths: closed forms, scipy's quadrature, and geometry."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from slingwright.machine.machine import Machine, build
from slingwright.machine.table import derived, dials

BASE = {
    "arm.long": 5.8,
    "arm.short": 1.4,
    "axle.height": 4.2,
    "counterweight.mass": 900.0,
    "sling.length": 4.6,
    "projectile.mass": 12.0,
}


def machine(**changes: object) -> Machine:
    """Give the base machine with changes; `__` stands for the full stop."""
    return build({**BASE, **{key.replace("__", "."): value for key, value in changes.items()}})


def test_even_beam_has_the_closed_form() -> None:
    """Truth: rod of length l: mass rho w d l, centre in its middle, inertia m (l^2 + d^2) / 12."""
    mass, balance, inertia = derived.beam(5.0, 1.5, 0.3, 0.2, 0.3, 0.2, 640.0)
    assert mass == pytest.approx(640.0 * 0.3 * 0.2 * 6.5, rel=1e-14)
    assert balance == pytest.approx((5.0 - 1.5) / 2.0, rel=1e-14)
    assert inertia == pytest.approx(mass * (6.5**2 + 0.3**2) / 12.0, rel=1e-14)


def test_beam_tapered_to_a_point_has_the_closed_form() -> None:
    """Truth: pyramid of height l: volume w d l / 3, centre l / 4 from its base."""
    mass, balance, _ = derived.beam(4.0, 1e-12, 0.3, 0.2, 1e-13, 1e-13, 500.0)
    assert mass == pytest.approx(500.0 * 0.3 * 0.2 * 4.0 / 3.0, rel=1e-9)
    assert balance == pytest.approx(1.0, rel=1e-9)


@given(
    st.floats(0.1, 20.0),
    st.floats(0.05, 5.0),
    *[st.floats(0.01, 1.0) for _ in range(4)],
    st.floats(200.0, 1200.0),
)
def test_beam_is_the_integral(
    long: float,
    short: float,
    depth: float,
    width: float,
    tip_depth: float,
    tip_width: float,
    density: float,
) -> None:
    """Truth: scipy's adaptive quadrature of the same integrals."""

    def across(x: float) -> tuple[float, float]:
        part = max(x, 0.0) / long
        return depth + (tip_depth - depth) * part, width + (tip_width - width) * part

    def integral(weight) -> float:
        pieces = [quad(lambda x: weight(x, *across(x)), *ends)[0] for ends in SPANS]
        return density * sum(pieces)

    SPANS = [(-short, 0.0), (0.0, long)]
    mass = integral(lambda x, d, w: w * d)
    first = integral(lambda x, d, w: w * d * x)
    second = integral(lambda x, d, w: w * d * (x**2 + d**2 / 12.0))
    ours = derived.beam(long, short, depth, width, tip_depth, tip_width, density)
    assert ours[0] == pytest.approx(mass, rel=1e-9)
    assert ours[1] == pytest.approx(first / mass, rel=1e-8, abs=1e-9)
    assert ours[2] == pytest.approx(second - first**2 / mass, rel=1e-7)


def test_arm_follows_its_timber() -> None:
    """Truth: mass goes with density; EN 338:2016: 420 (C24) and 640 (D30) kg/m3, from memory."""
    light, heavy = machine(arm__timber="C24"), machine(arm__timber="D30")
    assert heavy.number("arm.mass") / light.number("arm.mass") == pytest.approx(640.0 / 420.0)
    assert heavy["arm.balance"] == pytest.approx(light["arm.balance"], rel=1e-12)


def test_given_mass_scales_inertia_and_given_inertia_scales_mass() -> None:
    """Truth: same shape, other density: the radius of gyration stays."""
    plain = machine()
    gyration = plain.number("arm.inertia") / plain.number("arm.mass")
    twice = machine(arm__mass=2.0 * plain.number("arm.mass"))
    assert twice.number("arm.inertia") == pytest.approx(2.0 * plain.number("arm.inertia"))
    assert twice["arm.balance"] == plain["arm.balance"]
    half = machine(arm__inertia=0.5 * plain.number("arm.inertia"))
    assert half["arm.mass"] == pytest.approx(half.number("arm.inertia") / gyration)
    assert "scaled to the inertia" in half.derived["arm.mass"]
    both = machine(arm__inertia=500.0, arm__mass=200.0)
    assert (both["arm.inertia"], both["arm.mass"]) == (500.0, 200.0)


def test_massless_arm_has_no_inertia() -> None:
    """Truth: no mass, no inertia, and nothing divides by zero."""
    assert machine(arm__mass=0.0)["arm.inertia"] == 0.0


def test_cocked_tip_is_level_with_the_ball() -> None:
    """Truth: axle height less the fall of the tip is trough plus the projectile's radius."""
    m = machine(trough__height=0.3)
    tip = m.number("axle.height") - m.number("arm.long") * math.sin(m.number("arm.cocked"))
    assert tip == pytest.approx(0.3 + m.number("projectile.diameter") / 2.0, rel=1e-12)


def test_cocked_angle_keeps_between_one_and_sixty_degrees() -> None:
    """Truth: the rule's own limits."""
    high = machine(arm__long=4.0, axle__height=6.0, sling__length=5.0)
    assert high["arm.cocked"] == pytest.approx(math.radians(60.0))
    low = machine(axle__height=3.0, trough__height=3.0)
    assert low["arm.cocked"] == pytest.approx(math.radians(1.0))


def test_ball_and_box_hold_their_mass() -> None:
    """Truth: volume of a sphere and of a cube at the stated densities."""
    m = machine()
    ball, side = m.number("projectile.diameter"), m.number("counterweight.width")
    assert math.pi / 6.0 * ball**3 * 2600.0 == pytest.approx(12.0, rel=1e-12)
    assert side**3 * 1800.0 == pytest.approx(900.0, rel=1e-12)
    assert m["counterweight.inertia"] == pytest.approx(900.0 * side**2 / 6.0, rel=1e-12)


def test_empty_sling_is_finite_and_moves_by_a_law() -> None:
    """Truth: a projectile of no mass has no size; the sling keeps a mass of its own."""
    m = machine(projectile__mass=0.0)
    assert m["projectile.diameter"] == 0.0
    assert m.number("sling.mass") > 0.0 and m.number("sling.pouch") > 0.0
    assert np.isfinite(np.delete(m.moving(), dials.MOVING_INDEX["projectile.drag"])).all()


@given(st.floats(0.3, 12.0), st.floats(2.5, 7.0), st.floats(0.6, 1.2))
def test_tackle_pulls_down_from_rest_to_cocked(long: float, ratio: float, rise: float) -> None:
    """Truth: moment of the tackle's pull about the axle: it winds the arm down at every elevation.

    A straight rope from the winch to the arm; its lever about the axle is a tenth of the tackle's
    place on the arm, or more, from 80 degrees (at rest, just off upright) to cocked.
    """
    m = build(
        {
            "arm.long": long,
            "arm.short": long / ratio,
            "axle.height": long * rise,
            "counterweight.mass": 40.0 * long**3,
            "counterweight.hanger": 0.1 * long,
            "counterweight.height": max(0.1 * long, 0.001),
            "sling.length": long,
            "projectile.mass": 0.3 * long**3,
        }
    )
    taken, height = m.number("winch.on_arm"), m.number("axle.height")
    for elevation in np.linspace(math.radians(80.0), -m.number("arm.cocked"), 40):
        x, y = -taken * math.cos(elevation), taken * math.sin(elevation)
        rope = np.array([m.number("winch.x") - x, m.number("winch.y") - height - y])
        lever = (x * rope[1] - y * rope[0]) / np.linalg.norm(rope)
        # Winding lowers the tip at the rear, which turns the arm anticlockwise: positive.
        assert lever > 0.1 * taken


@pytest.mark.parametrize("path", sorted(derived.PATHS))
def test_every_rule_is_elementwise(path: str) -> None:
    """Truth: a row of arrays is what the single machine gives, to rounding."""
    scales = np.array([0.8, 1.0, 1.3])
    columns = {key: value * scales for key, value in BASE.items()}
    columns["counterweight.mass"] = 900.0 * scales**3
    columns["projectile.mass"] = 12.0 * scales**3
    known = {**machine().values, **columns}
    found = derived.derive(known, set(BASE))
    for row, scale in enumerate(scales):
        alone = build({key: float(column[row]) for key, column in columns.items()})
        assert scale > 0.0 and found[path][row] == pytest.approx(alone[path], rel=1e-12)


def test_rules_stand_in_an_order_that_works() -> None:
    """Truth: a rule needs only what is given, has a default, or was derived before it."""
    known = {row.path for row in dials.TABLE if row.required or row.default is not None}
    for rule in derived.rules_for(known):
        assert set(rule.needs) <= known, rule.path
        known.add(rule.path)
    assert known >= derived.PATHS


def test_rules_derive_only_what_has_no_default() -> None:
    """Truth: dials.Dial: a default of None means derived."""
    assert all(dials.BY_PATH[path].default is None for path in derived.PATHS)
    assert not any(dials.BY_PATH[path].required for path in derived.PATHS)


def test_densities_of_many_timbers_at_once() -> None:
    """Truth: the timber table, row by row."""
    names = np.array(["C24", "D30", "C24"])
    assert derived.timber_density(names).tolist() == [420.0, 640.0, 420.0]

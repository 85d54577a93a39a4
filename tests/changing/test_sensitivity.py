"""What a little more of each dial does, held to other differences and to closed forms.

Truth: differences of single throws at another step; sympy's derivative of the held arm's statics
and of the flight in a vacuum; independence where one thing does not depend on another.
"""

import math

import numpy as np
import pytest
import sympy

import slingwright as sw
from slingwright.amounts.figures import NOTHING
from slingwright.changing.sensitivity import ANSWERS, ONE_OF, _slope, sensitivity
from slingwright.changing.tables import sensitivity_table
from slingwright.machine.machine import Machine
from slingwright.winch.cycle import winding


@pytest.fixture(scope="module")
def machine() -> Machine:
    return sw.read_machine(sw.data_folder() / "otter_ford.toml")


@pytest.fixture(scope="module")
def rows(machine):
    return {row.path: row for row in sensitivity(machine)}


def test_slopes_at_three_steps_agree_with_single_throws(machine, rows) -> None:
    """Truth: central differences of `throw` at a step of a thousandth of the dial."""
    for path in ("sling.length", "counterweight.mass", "arm.short", "projectile.mass"):
        value = machine.number(path)
        step = 1e-3 * value
        ahead, behind = (
            sw.throw(machine.change({path: value + sign * step}), tolerance=1e-11)
            for sign in (1.0, -1.0)
        )
        far = (ahead.range - behind.range) / (2.0 * step)
        load = (ahead.peak_axle_load - behind.peak_axle_load) / (2.0 * step)
        here = rows[path].on
        assert here["range"].value / rows[path].amount == pytest.approx(far, rel=5e-3), path
        assert here["axle"].value / rows[path].amount == pytest.approx(load, rel=5e-3), path
        for key in ("range", "axle"):
            slopes = here[key].slopes
            assert max(slopes) - min(slopes) <= 0.05 * max(abs(s) for s in slopes), (path, key)
            assert not here[key].rough


def test_slopes_settle_as_the_step_shrinks(rows) -> None:
    """Truth: the error of central differences falls with the square of the step.

    Halving the step leaves a quarter of the error, so the last two slopes stand closer together
    than the first two.
    """
    first, second, third = rows["sling.length"].on["range"].slopes
    assert abs(third - second) < 0.5 * abs(second - first)


def test_the_held_hook_load_is_its_derivative(machine, rows) -> None:
    """Truth: sympy's derivative of torque over lever, statics of the held arm."""
    m_w, s, m_a, b, m_s, length, g, e, a = sympy.symbols("M S m b q L g e a")
    torque = g * sympy.cos(e) * (m_w * s - m_a * b - m_s * length / 2)
    load = torque / (a * sympy.cos(e))  # straight down at the hook's place
    paths = {
        m_w: "counterweight.mass", s: "arm.short", m_a: "arm.mass", b: "arm.balance",
        m_s: "sling.mass", length: "arm.long", g: "site.gravity", e: "arm.cocked",
        a: "hook.on_arm",
    }  # fmt: skip
    values = {symbol: machine.number(path) for symbol, path in paths.items()}
    assert float(load.subs(values)) == pytest.approx(sw.held(machine).hook_load, rel=1e-12)
    for symbol in (m_a, b, m_s):
        wanted = float(load.diff(symbol).subs(values))
        found = rows[paths[symbol]]
        assert found.on["hook"].value / found.amount == pytest.approx(wanted, rel=1e-6)


def test_the_landing_level_is_its_derivative_in_a_vacuum(machine) -> None:
    """Truth: sympy's derivative of the range of a parabola from the release to the ground."""
    empty = machine.change({"site.air_density": 0.0})
    thrown = sw.throw(empty)
    x, v_x, v_y, drop, g = sympy.symbols("x v_x v_y d g")
    far = x + v_x * (v_y + sympy.sqrt(v_y**2 + 2 * g * drop)) / g
    let = thrown.release
    values = {
        x: let.x,
        v_x: let.speed * math.cos(let.elevation),
        v_y: let.speed * math.sin(let.elevation),
        drop: let.y - 0.5 * empty.number("projectile.diameter"),
        g: empty.number("site.gravity"),
    }
    assert float(far.subs(values)) == pytest.approx(thrown.range, rel=1e-9)
    (row,) = sensitivity(empty, ["site.height"])
    wanted = -float(far.diff(drop).subs(values))
    assert row.on["range"].value / row.amount == pytest.approx(wanted, rel=1e-4)


def test_the_crank_force_is_the_windings(machine, rows) -> None:
    """Truth: differences of the whole winding cycle."""
    step = 0.01
    value = machine.number("winch.drum")
    ahead, behind = (
        winding(machine.change({"winch.drum": value + sign * step}), steps=31).force_per_person
        for sign in (0.2, -0.2)
    )
    found = rows["winch.drum"]
    assert found.on["crank"].value == pytest.approx((ahead - behind) / 0.4, rel=0.02)
    assert found.on["range"].value == 0.0


def test_what_does_not_depend_does_not_move(rows) -> None:
    """Truth: air after the release loads no axle; drum and crank throw no farther."""
    assert rows["site.air_density"].on["axle"].value == pytest.approx(0.0, abs=1e-9)
    assert rows["winch.crank"].on["axle"].value == 0.0
    assert rows["release.angle"].on["crank"].value == 0.0
    assert rows["counterweight.mass"].on["crank"].value > 0.0


def test_every_row_says_how_much_more(rows) -> None:
    """Truth: the table of amounts: a centimetre, a kilo, a degree."""
    assert rows["sling.length"].words == "1 cm"
    assert rows["counterweight.mass"].words == "1 kg"
    assert rows["release.angle"].words == "1 deg"
    assert all(row.amount in [amount for amount, _ in ONE_OF.values()] for row in rows.values())
    assert len(rows) > 25


def test_the_table_is_written_in_both_systems(machine) -> None:
    """Truth: the units' own names; every answer has a column."""
    short = sensitivity(machine, ["sling.length", "counterweight.mass"])
    metric, us = str(sensitivity_table(short)), str(sensitivity_table(short, "US"))
    assert all(label in metric for label, _ in ANSWERS.values())
    assert " N" in metric and "lbf" in us
    assert len(metric.splitlines()) == 4


def test_an_answer_that_ends_within_the_steps_has_no_slope(machine) -> None:
    """Truth: nothing lands on ground above the flight's highest point: told as none, not as 0."""
    apex = sw.throw(machine).landing.apex - 0.5 * machine.number("projectile.diameter")
    (row,) = sensitivity(machine.change({"site.height": apex - 1e-3}), ["site.height"])
    assert row.on["range"] is None
    assert row.on["axle"].value == pytest.approx(0.0, abs=1e-9)
    assert NOTHING in sensitivity_table([row]).lines[0]


def test_how_far_it_is_is_told_and_may_end_the_work(machine) -> None:
    """Truth: the dials counted; what the teller raises comes out."""
    told = []
    sensitivity(machine, ["sling.length", "sling.mass"], progress=lambda *w: told.append(w))
    assert told == [(1, 2), (2, 2)]

    def stop(done, many):
        raise InterruptedError

    with pytest.raises(InterruptedError):
        sensitivity(machine, ["sling.length", "sling.mass"], progress=stop)


def test_slopes_that_disagree_are_marked() -> None:
    """Truth: three slopes of which one is twice the others are no one slope."""
    assert _slope(np.array([1.0, 1.0, 2.0]), 0.01).rough
    assert not _slope(np.array([1.0, 1.001, 1.0]), 0.01).rough
    assert _slope(np.array([1.0, math.nan, 1.0]), 0.01) is None


@pytest.mark.parametrize("path", ["counterweight.hung", "arm.timber", "winch.people"])
def test_what_cannot_be_a_little_more_is_refused(machine, path) -> None:
    """Truth: flags, names and whole numbers have no slope."""
    with pytest.raises(ValueError, match="cannot be a little more"):
        sensitivity(machine, [path])

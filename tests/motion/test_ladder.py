"""The ladder of models: closed forms, each rung the limit of the one above, energy kept."""

import math
import re

import numpy as np
import pytest
import sympy as sp
from scipy.special import ellipk

import slingwright as sw
from slingwright.derivation.ladder import RUNGS, rung
from slingwright.derivation.motion import derive, lagrange
from slingwright.derivation.notation import COORDINATE, RATE, Kind
from slingwright.derivation.typeset import WIDEST, set_out
from slingwright.machine.table.dials import MOVING
from slingwright.motion.ladder import climb


def machine(**changes):
    return sw.read_machine("otter_ford").change(
        {path.replace("__", "."): value for path, value in changes.items()}
    )


def numbers(found):
    return {dial.path: float(found[dial.path] or 0.0) for dial in MOVING}


@pytest.mark.parametrize("key", list(RUNGS))
def test_no_rung_loses_energy(key):
    """Truth: conservation: no friction and no air on any rung."""
    found = climb(machine(), key)
    assert found.energy_error < 1e-7 and found.key == key
    assert found.range > 0.0 and np.all(np.diff(found.time) > 0.0)


def test_the_lever_has_the_speed_of_its_fall():
    """Truth: energy: (M S^2 + m L^2) w^2 / 2 = g (M S - m L) (sin e - sin e0), at every moment."""
    found, of = climb(machine(), "lever"), machine().number
    heavy, light = of("counterweight.mass"), of("projectile.mass")
    short, long, g = of("arm.short"), of("arm.long"), of("site.gravity")
    gained = g * (heavy * short - light * long) * (np.sin(found.arm[-1]) - np.sin(found.arm[0]))
    rate = math.sqrt(2.0 * gained / (heavy * short**2 + light * long**2))
    assert found.speed == pytest.approx(long * rate, rel=1e-6)
    # Square to the lever, so that it flies at the angle that the lever is past the level.
    assert found.elevation == pytest.approx(0.5 * math.pi - found.arm[-1], abs=1e-6)


def test_a_lever_swings_with_the_period_of_the_elliptic_integral():
    """Truth: a pendulum's period by the complete elliptic integral: from 40 deg below level, the
    time to hanging straight, of a lever with equal arms and no projectile."""
    found = machine(arm__cocked=0.0, arm__short=2.0, arm__long=2.0, projectile__mass=1e-9)
    step = rung("lever")
    accelerations, _, _ = step.compiled(numbers(found))
    from scipy.integrate import solve_ivp

    def hangs(_, y):
        return y[0] - 0.5 * math.pi

    hangs.terminal = True
    swung = solve_ivp(
        lambda t, y: [y[1], accelerations(*y)[0]], (0.0, 9.0), [0.0, 0.0], events=hangs,
        rtol=1e-10, atol=1e-12,
    )  # fmt: skip
    quarter = math.sqrt(2.0 / found.number("site.gravity")) * ellipk(math.sin(math.pi / 4) ** 2)
    assert swung.t[-1] == pytest.approx(quarter, rel=1e-7)


@pytest.mark.parametrize(
    ("upper", "lower", "changes"),
    [
        ("beam", "lever", {"arm__mass": 1e-6, "arm__inertia": 1e-6}),
        ("box", "beam", {"counterweight__inertia": 1e-6}),
        ("hinge", "beam", {"counterweight__hanger": 1e-3, "counterweight__inertia": 0.2}),
    ],
)
def test_each_rung_has_the_one_below_as_its_limit(upper, lower, changes):
    """Truth: what a rung adds, made small, leaves the rung below."""
    found = machine(**changes)
    assert climb(found, upper).range == pytest.approx(climb(found, lower).range, rel=2e-3)
    assert climb(machine(), upper).range != pytest.approx(climb(machine(), lower).range, rel=2e-3)


def test_the_sling_is_the_machine_of_the_kit():
    """Truth: the kit's own derivation while the sling swings free, term by term."""
    step, kind = rung("sling"), Kind(hung=True, wheels=False)
    mass, force = lagrange(*step.energies(), step)
    derived = derive(kind)
    for ours, kits in ((mass, derived.mass), (force, derived.force)):
        assert (ours - kits).applyfunc(sp.trigsimp).applyfunc(sp.expand).is_zero_matrix


def test_a_rungs_functions_are_its_symbols():
    """Truth: sympy's own substitution at one state."""
    found, step = machine(), rung("hinge")
    accelerations, ball, energies = step.compiled(numbers(found))
    at = (0.3, -0.2, 1.1, 0.7)
    names = [COORDINATE["e"], COORDINATE["h"], RATE["e"], RATE["h"]]
    values = dict(zip(names, at, strict=True))
    values |= {sw.derivation.notation.LETTER[path]: x for path, x in numbers(found).items()}
    mass, force = lagrange(*step.energies(), step)
    truth = np.linalg.solve(
        np.array(mass.subs(values), dtype=float), np.array(force.subs(values), dtype=float)
    )[:, 0]
    assert accelerations(*at) == pytest.approx(truth, rel=1e-12)
    joules = np.array(energies(*at), dtype=float)
    assert joules.shape == (len(step.bodies), 2)
    assert joules.sum(axis=0) == pytest.approx([float(x.subs(values)) for x in step.energies()])
    long, height = found.number("arm.long"), found.number("axle.height")
    assert ball(*at)[:2] == pytest.approx([-long * math.cos(0.3), height + long * math.sin(0.3)])


def test_the_ladder_ends_at_the_machine():
    """Truth: the top of the machine's own curve of range against release angle."""
    told = sw.ladder(machine())
    keys = [key for key, _, _ in told.ranges]
    assert keys == [*RUNGS, "trough", "friction", "air"]
    assert told.ranges[-1][2] == pytest.approx(float(sw.reach_curve(machine())[1].max()))
    assert told.ranges[-2][2] > told.ranges[-1][2], "air takes range"
    assert "two masses" in told.sentence


@pytest.mark.parametrize("key", ["lever", "hinge"])
def test_what_cannot_start_is_refused(key):
    """Truth: the moments about the axle: 1 kg against 10 kg on a longer arm."""
    with pytest.raises(ValueError, match=r"more counterweight\.mass"):
        climb(machine(counterweight__mass=1.0), key)
    with pytest.raises(ValueError, match="no rung"):
        climb(machine(), "wings")


def test_every_symbol_of_a_rung_stands_in_its_legend():
    """Truth: sympy's free symbols: coordinates with dots left off, the Lagrangian itself apart."""
    for key in RUNGS:
        for told in (rung(key).lagrangian(), rung(key).equations(), rung(key).derivation()):
            used = set().union(*(one.free_symbols for one in told.shown))
            # What has its body's name in words, or is made of other letters, explains itself.
            letters = {str(one) for one in used if not re.search(r"text|partial", str(one))}
            assert {one.split("_d")[0] for one in letters} == {row.label for row in told.rows()}


@pytest.mark.parametrize("key", list(RUNGS))
def test_a_derivation_ends_at_the_motion_and_no_line_is_wide(key):
    """Truth: sympy's derivatives of the Lagrangian's own two energies, taken again here; a line of
    84 letters is what a page of 1280 pixels takes."""
    step = rung(key)
    told = step.derivation()
    assert len(told.words) == len(told.shown) and told.shown[-len(step.names) :] == (
        step.equations().shown
    )
    moving, resting = step.energies()
    shown = {str(one.lhs): one.rhs for one in told.shown}
    for name in step.names:
        by_rate = shown[rf"\partial \mathcal{{L}} / \partial \dot{{{name}}}"]
        by_itself = shown[rf"\partial \mathcal{{L}} / \partial {name}"]
        assert sp.simplify(by_rate - sp.diff(moving, RATE[name])) == 0
        assert sp.simplify(by_itself - sp.diff(moving - resting, COORDINATE[name])) == 0
    for one in told.shown:
        terms = [term for side in one.args for term in sp.Add.make_args(side)]
        rows = set_out(one).count(r"\\") + 1
        assert rows >= math.ceil(sum(len(str(term)) for term in terms) / WIDEST / 2)


@pytest.mark.parametrize("key", list(RUNGS))
def test_what_the_counterweight_gives_is_what_the_others_have(key):
    """Truth: conservation, body by body, at every moment."""
    found = climb(machine(), key)
    whole = sum(found.joules.values())
    assert np.abs(whole).max() < 1e-7 * np.abs(found.joules["counterweight"]).max() + 1e-3
    assert found.joules["projectile"][-1] > 0.0 > found.joules["counterweight"][-1]

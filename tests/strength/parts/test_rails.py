"""Guide rails beside the counterweight box: against an integration of its equation, and by hand."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

import slingwright as sw
from slingwright.formulas.loads import give_of_stop
from slingwright.strength.check import with_copies
from slingwright.strength.ledger import not_checked


@pytest.mark.parametrize("mass", [3.0, 900.0])
@pytest.mark.parametrize(
    ("force", "travel", "stiffness"), [(2e3, 0.06, 2e5), (50.0, 0.4, 1e3), (9e3, 0.0, 4e6)]
)
def test_give_is_that_of_a_body_pushed_onto_a_spring(mass, force, travel, stiffness):
    """Truth: scipy's integration of m x'' = F - k max(x - a, 0), whatever the mass."""

    def rates(_, state):
        return [state[1], (force - stiffness * max(state[0] - travel, 0.0)) / mass]

    def turned(_, state):
        return state[1]

    turned.terminal, turned.direction = True, -1.0
    slowest = 4.0 * math.sqrt(mass / stiffness) + 2.0 * math.sqrt(2.0 * travel * mass / force)
    way = solve_ivp(
        rates, (0.0, 3.0 * slowest), [0.0, 1e-12], events=turned, rtol=1e-9, atol=1e-12,
        max_step=slowest / 500.0,
    )  # fmt: skip
    farthest = way.y_events[0][0][0]
    assert give_of_stop(force, travel, stiffness) == pytest.approx(farthest - travel, rel=1e-4)


def rails(**changes):
    machine = sw.read_machine("otter_ford").change(
        {path.replace("__", "."): value for path, value in changes.items()}
    )
    holding = sw.holding(machine)
    return machine, holding, next((c for c in holding.checks if c.key == "rails.box"), None)


def test_rails_take_the_boxs_push():
    """Truth: by hand, from the largest pin load of all cases and F (a + d) = k d^2 / 2."""
    gap, stiffness = 0.03, 4e5
    machine, holding, check = rails(rails__gap=gap, rails__stiffness=stiffness)
    n = machine.number
    pull = max(np.hypot(*case.pin_force.T).max() for case in with_copies(holding.cases))
    force = n("site.load_factor") * n("frame.side_share") * pull
    give = check.demand
    assert 0.5 * stiffness * give**2 == pytest.approx(force * (2.0 * gap + give), rel=1e-9)
    room = 0.5 * (n("axle.span") - n("counterweight.breadth"))
    assert check.capacity == pytest.approx(room - gap)
    assert check.verdict != "fails" and f"{stiffness * give / 1e3:.4g} kN" in check.note
    assert not any("sway" in part for part in not_checked(machine))


@pytest.mark.parametrize("gap", [0.2, 0.9])
def test_rails_behind_the_legs_fail(gap):
    """Truth: geometry: 0.153 m are between box and leg."""
    _, _, check = rails(rails__gap=gap, rails__stiffness=1e9)
    assert check.verdict == "fails" and check.utilisation == math.inf


def test_a_rail_of_unknown_stiffness_is_not_known():
    """Truth: what nobody measured holds nothing; the words say how to measure it."""
    _, _, check = rails(rails__gap=0.03)
    assert check.verdict == "not known" and "load cell" in check.unknown


def test_no_rails_the_sway_is_looked_at():
    """Truth: a pendulum: 1.5 m from pin to floor, a twentieth aside; 0.153 m are there."""
    machine, found, check = rails()
    assert check is None and not any("rail" in part for part in not_checked(machine))
    sway = next(one for one in found.checks if one.key == "box.sway")
    assert sway.demand == pytest.approx(1.5 * 0.05, rel=2e-3)
    assert sway.capacity == pytest.approx(0.153, abs=5e-4)

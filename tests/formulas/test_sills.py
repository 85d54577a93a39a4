"""A sill that lies on the ground: against a frame solver, and when its anchors pull."""

import numpy as np
import pytest
from Pynite import FEModel3D

from slingwright.formulas.timber import sideways, sills

SPREAD, LENGTH = 3.5, 7.0


def solved(push, turn, pull, lies, spread, soft=0.0):
    """Largest moment and shear by PyNiteFEA: feet, anchors and the ground's even push as loads.

    Two supports that carry nothing hold it; loads balance, so they take no force.
    """
    model, half = FEModel3D(), LENGTH / 2
    firm = half - soft
    places = np.unique([-half, -spread / 2, firm - lies, spread / 2, firm, half])
    for i, x in enumerate(places):
        model.add_node(f"N{i}", x, 0.0, 0.0)
    model.add_material("timber", 11e9, 0.69e9, 0.3, 1.0)
    model.add_section("sill", 0.06, 1e-4, 2e-4, 1e-4)
    last = len(places) - 1
    model.def_support("N0", True, True, True, True, True, False)
    model.def_support(f"N{last}", False, True, True, True, True, False)

    def load(x, force):
        model.add_node_load(f"N{int(np.argmin(abs(places - x)))}", "FY", force, "case")

    load(-spread / 2, turn / spread - push / 2)
    load(spread / 2, -turn / spread - push / 2)
    load(-half, -pull)
    even = (push + pull) / lies
    for i in range(last):
        model.add_member(f"M{i}", f"N{i}", f"N{i + 1}", "timber", "sill")
        if firm - lies - 1e-9 <= places[i] < firm - 1e-9:
            model.add_member_dist_load(f"M{i}", "FY", even, even, case="case")
    model.add_load_combo("case", {"case": 1.0})
    model.analyze_linear()
    held = [model.nodes[name].RxnFY["case"] for name in ("N0", f"N{last}")]
    assert held == pytest.approx([0.0, 0.0], abs=1e-6 * push)
    ends = [
        (m.max_moment("Mz", "case"), m.min_moment("Mz", "case")) for m in model.members.values()
    ]
    cuts = [(m.max_shear("Fy", "case"), m.min_shear("Fy", "case")) for m in model.members.values()]
    return np.abs(ends).max(), np.abs(cuts).max()


@pytest.mark.parametrize("spread", [2.0, 3.5, 6.0])
@pytest.mark.parametrize("reach", [0.0, 0.6, 2.1, 3.1, 4.0])
def test_a_sill_against_a_frame_solver(reach, spread):
    """Truth: PyNiteFEA, and equilibrium: with anchors that hold, the loads of a sill balance."""
    push, turn = 28e3, 28e3 * reach
    pull = sills.anchor_pull(push, turn, 50e3, LENGTH)
    lies = sills.lying_length(push, turn, pull, LENGTH)
    assert (pull > 0.0) == (reach > 0.45 * LENGTH)
    moment, shear = solved(push, turn, float(pull), float(lies), spread)
    given = (push, turn, pull, lies, spread, LENGTH)
    assert float(sills.sill_moment(*given)) == pytest.approx(moment, rel=2e-3)
    assert float(sills.sill_shear(*given)) == pytest.approx(shear, rel=1e-6)


@pytest.mark.parametrize("spread", [2.0, 3.5, 6.0])
@pytest.mark.parametrize("reach", [0.0, 0.6, 1.7, 2.4, 4.0])
def test_a_sill_over_a_hollow_end_against_a_frame_solver(reach, spread):
    """Truth: PyNiteFEA, and equilibrium: what lies keeps clear of the hollow and balances."""
    push, turn, soft = 28e3, 28e3 * reach, 0.9
    pull = sills.anchor_pull(push, turn, 50e3, LENGTH, soft)
    lies = sills.lying_length(push, turn, pull, LENGTH, soft)
    assert (pull > 0.0) == (reach > 0.45 * LENGTH - soft)
    moment, _ = solved(push, turn, float(pull), float(lies), spread, soft)
    given = (push, turn, pull, lies, spread, LENGTH, soft)
    assert float(sills.sill_moment(*given)) == pytest.approx(moment, rel=2e-3)
    pressed = sideways.sill_pressure(np.array([push]), np.array([turn]), 0.3, LENGTH, 0.5, soft)
    assert pull > 0.0 or 0.5 * push / (0.3 * lies) == pytest.approx(pressed[0])


def test_it_lies_as_the_ground_is_pressed():
    """Truth: the pressure under two sills: what presses over width and the length that lies."""
    push, turn = np.array([9e3, 9e3, 9e3]), np.array([0.0, 4e3, 40e3])
    lies = sills.lying_length(push, turn, 0.0, 3.0)
    pressed = sideways.sill_pressure(2.0 * push, 2.0 * turn, 0.3, 3.0, 0.5)
    assert push / (0.3 * lies) == pytest.approx(pressed)


def test_anchors_pull_no_more_than_they_hold_and_a_lifted_sill_bends_by_them():
    """Truth: statics: off the ground a sill has anchors alone beside its feet."""
    assert float(sills.anchor_pull(1e3, 90e3, 2e3, LENGTH)) == 2e3
    pull = sills.anchor_pull(-1e3, 0.0, 2e3, LENGTH)
    lies = sills.lying_length(-1e3, 0.0, pull, LENGTH)
    assert float(pull) == 1e3
    assert float(sills.sill_moment(-1e3, 0.0, pull, lies, SPREAD, LENGTH)) == 1e3 * 1.75


def test_feet_beside_the_sill_are_refused():
    """Truth: the rule of the kit: what cannot be is refused by name."""
    for line in (sills.sill_moment, sills.sill_shear):
        with pytest.raises(ValueError, match=r"frame\.sill_length longer than frame\.spread"):
            line(1e3, 0.0, 0.0, 3.0, 3.5, 3.0)

"""Width against axle: geometry and the axle's closed form."""

from dataclasses import replace

import pytest

import slingwright as sw
from slingwright.amounts import units
from slingwright.strength.checks import holding
from slingwright.strength.mending.width import ROOM, width_trade


def told(**changes):
    m = sw.read_machine(sw.data_folder() / "otter_ford.toml")
    return holding(m.change({k.replace("__", "."): v for k, v in changes.items()}))


def test_present_point_is_the_check_of_the_axle():
    """Truth: the table of checks: the same stress at the present width, and on the curve."""
    found = told()
    trade = width_trade(found)
    check = next(c for c in found.checks if c.name == "axle in bending")
    assert trade.present_stress == pytest.approx(check.demand)
    on_curve = (trade.stress[1:] - trade.stress[:-1]) / (trade.width[1:] - trade.width[:-1])
    assert on_curve == pytest.approx(on_curve[0])
    at = trade.stress[0] + on_curve[0] * (trade.present - trade.width[0])
    assert at == pytest.approx(trade.present_stress)


def test_stress_grows_by_a_quarter_of_the_load_over_the_section():
    """Truth: M = F (2 L - c) / 8: dM/dL = F / 4, with W = pi d^3 / 32 (50,265 mm3 at 80 mm)."""
    found = told()
    trade = width_trade(found)
    load = 1.35 * max(case.axle_load for case in found.cases)
    slope = (trade.stress[-1] - trade.stress[0]) / (trade.width[-1] - trade.width[0])
    assert slope == pytest.approx(load / 4.0 / 50.26548e-6, rel=1e-6)


def test_widest_load_sets_the_width():
    """Truth: the brief: the ash ball is 0.3 m across, the widest."""
    trade = width_trade(told())
    assert trade.widest == "show ball, ash"
    assert trade.needed == pytest.approx(ROOM * 0.3)
    assert trade.needed_stress < trade.present_stress


def test_limit_is_where_the_stress_meets_the_strength():
    """Truth: the straight line turned round."""
    trade = width_trade(told(axle__diameter="0.11 m"))
    assert trade.limit is not None
    share = (trade.limit - trade.width[0]) / (trade.width[-1] - trade.width[0])
    stress = trade.stress[0] + share * (trade.stress[-1] - trade.stress[0])
    assert stress == pytest.approx(trade.strength)
    assert units.text(trade.limit, "m") in trade.words


def test_a_width_below_what_the_load_needs_is_said_to_be_less():
    """Truth: the garden's ball of 50.8 mm needs 53.3 mm, told so and not as 0.05 m."""
    garden = sw.read_machine("garden").change({"axle.diameter": "0.7 in", "arm.hole": "0.7 in"})
    trade = width_trade(holding(garden, quick=True))
    assert "50.8 mm across, needs a trough of 53.34 mm" in trade.words
    for limit in (0.03, 0.08):
        told = replace(trade, limit=limit).words
        assert ("which is less" in told) == (limit < trade.needed)
        assert units.text(limit, "m") in told


def test_thick_axle_holds_at_every_width_and_a_thin_one_at_none():
    """Truth: stress goes with the inverse cube of the diameter."""
    thick = width_trade(told(axle__diameter="150 mm", arm__hole="80 mm"))
    assert thick.limit is None and "every width" in thick.words
    thin = width_trade(told(axle__diameter="40 mm", arm__hole="40 mm"))
    assert thin.limit is None and "no width" in thin.words


def test_without_loads_there_is_no_width():
    """Truth: an empty brief and an empty sling set no width."""
    found = told()
    empty = found.machine.change({"projectile.mass": 0.0})
    with pytest.raises(ValueError, match="no load to set the width"):
        width_trade(replace(found, machine=replace(empty, brief=())))

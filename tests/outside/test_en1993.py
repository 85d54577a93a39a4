"""Steel, pins, bolts and fatigue against EN 1993 and closed forms.

Sources: EN 1993-1-8:2005 Table 3.10 and eqs (3.14) to (3.16) for pins, as quoted at
eurocode.us (design of joints) and what-when-how.com (ICE Manual of Structural Design: Buildings);
EN 1993-1-8:2005 Table 3.4 for bolts (from memory, with the well-known capacities of M20 grade 8.8);
EN 1993-1-1:2005 6.2 and 6.3 (from memory); EN 1993-1-9:2005 7.1 for the fatigue lines (from memory;
the ratios 0.737 and 0.404 also at steelcalculator.app, reference on EN 1993-1-9).
"""

import math

import hypothesis
import hypothesis.strategies as st
import numpy as np
import pytest

from slingwright.formulas.beams import sections
from slingwright.formulas.steel import axle, bolts, fatigue, pins
from slingwright.formulas.steel import strength as steel
from slingwright.tables import materials
from slingwright.tables.reading import table

GRADE = materials.steel("S355", 0.080)


# ---- pins ----------------------------------------------------------------------------------------


def test_pin_of_80_mm_s355():
    """Truth: Table 3.10 worked by hand for d = 80 mm, f_y 325, f_u 470 N/mm2."""
    assert (GRADE.yield_strength, GRADE.ultimate_strength) == (325e6, 470e6)
    section = sections.round_section(0.080)
    assert section.elastic_modulus * 1e9 == pytest.approx(50265.0, abs=0.6)
    moment = pins.pin_moment_capacity(0.080, GRADE.yield_strength)
    assert moment == pytest.approx(24.50e3, rel=3e-4)
    shear = pins.pin_shear_capacity(0.080, GRADE.ultimate_strength)
    assert shear == pytest.approx(1134e3, rel=3e-4)


def test_pin_bending_rule_is_nearly_plastic():
    """Truth: Table 3.10 allows 1.5 W_el; a round bar's plastic modulus is 16 / (3 pi) W_el."""
    section = sections.round_section(0.080)
    plastic = section.plastic_modulus / section.elastic_modulus
    assert plastic == pytest.approx(16.0 / (3.0 * math.pi), rel=1e-12)
    assert plastic == pytest.approx(1.698, abs=5e-4)
    rule = pins.pin_moment_capacity(0.080, 325e6) / (section.elastic_modulus * 325e6)
    assert rule == pytest.approx(1.5, rel=1e-12)
    assert 1.0 < rule < plastic


def test_axle_is_kept_elastic():
    """Truth: an axle at the elastic moment W_el f_y is at 1, at two thirds of the pin rule."""
    moment = sections.round_section(0.080).elastic_modulus * 325e6
    stress = axle.round_bending_stress(moment, 0.080)
    assert stress / steel.design_strength(325e6) == pytest.approx(1.0, rel=1e-12)
    assert moment / pins.pin_moment_capacity(0.080, 325e6) == pytest.approx(2.0 / 3.0, rel=1e-12)


def test_pin_bearing():
    """Truth: the factor 1.5 of Table 3.10, t = 20 mm, d = 50 mm, f_y = 235 N/mm2."""
    assert pins.pin_bearing_capacity(0.020, 0.050, 235e6) == pytest.approx(352.5e3, rel=1e-12)


def test_pin_combined_is_a_circle():
    """Truth: (M / M_Rd)^2 + (F / F_Rd)^2 = 1 on the unit circle."""
    for turn in (0.0, 0.3, 0.9, math.pi / 2):
        use = pins.pin_combined_use(7 * math.cos(turn), 7.0, 3 * math.sin(turn), 3.0)
        assert use == pytest.approx(1.0, rel=1e-12)


def test_pin_moment_is_statics():
    """Truth: half the force, spread over each plate's thickness, about the middle of the pin."""
    force, outer, middle, gap = 40e3, 0.012, 0.030, 0.002
    lever = (middle / 2 + gap + outer / 2) - middle / 4
    by_hand = force / 2 * lever
    assert pins.pin_moment(force, outer, middle, gap) == pytest.approx(by_hand, rel=1e-12)


def test_lug_carries_its_force_beside_the_hole():
    """Truth: Table 3.9 leaves net steel 2 c t at yield with a third of the hole to spare."""
    side = (pins.lug_width(47e3, 0.010, 0.030, 235e6) - 0.030) / 2.0
    assert 2.0 * (side - 0.030 / 3.0) * 0.010 * 235e6 == pytest.approx(47e3, rel=1e-12)


# ---- bolts ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("size", "grade", "shear"),
    [("M20", "8.8", 94.1), ("M16", "8.8", 60.3), ("M24", "8.8", 135.6)],
)
def test_bolt_tables(size, grade, shear):
    """Truth: tabulated capacities of grade 8.8 bolts, thread in the shear plane, kN (from memory).

    M20 also in print: 94.1 kN in a joint calculation at scribd.com 587498762.
    """
    thread = materials.bolt_size(size)
    strength = materials.bolt_grade(grade).ultimate_strength
    factor = bolts.bolt_shear_factor(grade)
    found = bolts.bolt_shear_capacity(thread.stress_area, strength, factor)
    assert found / 1e3 == pytest.approx(shear, abs=0.06)


@pytest.mark.parametrize("name", table("bolt_grades"))
def test_grades_follow_from_their_name(name):
    """Truth: ISO 898-1: the first number is f_u / 100, the second f_y / f_u in tenths."""
    grade = materials.bolt_grade(name)
    hundreds, tenths = name.split(".")
    assert grade.ultimate_strength == pytest.approx(float(hundreds) * 100e6)
    assert grade.yield_strength == pytest.approx(float(tenths) / 10 * grade.ultimate_strength)


def test_grades_weak_in_thread_shear():
    """Truth: Table 3.4: 0.5 for 4.8, 5.8, 6.8 and 10.9 with the thread in the plane, else 0.6."""
    threads = {name: bolts.bolt_shear_factor(name) for name in table("bolt_grades")}
    weak = {name for name, factor in threads.items() if factor == 0.5}
    assert weak == {"4.8", "5.8", "6.8", "10.9"}
    assert set(threads.values()) == {0.5, 0.6}
    assert bolts.bolt_shear_factor("10.9", threads_in_plane=False) == 0.6


# ---- steel ---------------------------------------------------------------------------------------


def test_shear_strength_is_where_pure_shear_yields():
    """Truth: von Mises: tau = f_y / sqrt(3) alone gives an equivalent stress of f_y."""
    limit = steel.shear_strength(325e6)
    assert steel.von_mises_stress(0.0, limit) == pytest.approx(325e6, rel=1e-12)


def test_strap_fails_at_the_weaker_place():
    """Truth: EN 1993-1-1 (6.6), (6.7): yield of the whole, or break at 0.9 of the net area."""
    net = steel.net_area(0.060, 0.010, 0.022)
    assert net == pytest.approx(380e-6)
    found = steel.tension_capacity(600e-6, net, 235e6, 360e6)
    assert found == pytest.approx(min(600e-6 * 235e6, 0.9 * 380e-6 * 360e6 / 1.25))
    assert steel.tension_capacity(600e-6, 590e-6, 235e6, 360e6) == pytest.approx(141e3)


# ---- fatigue -------------------------------------------------------------------------------------


def test_fatigue_points():
    """Truth: EN 1993-1-9, Figure 7.1: D_D = 0.737 D_C at 5e6, D_L = 0.404 D_C at 1e8."""
    assert fatigue.fatigue_strength(100e6, 2e6) == pytest.approx(100e6, rel=1e-12)
    assert fatigue.fatigue_strength(100e6, 5e6) / 100e6 == pytest.approx(0.737, abs=5e-4)
    # Printed as 0.404, its digits cut and not rounded.
    assert 0.404 <= fatigue.fatigue_strength(100e6, 1e8) / 100e6 < 0.405
    knee = fatigue.fatigue_strength(100e6, 5e6)
    assert fatigue.fatigue_strength(100e6, 1e8) / knee == pytest.approx(0.549, abs=5e-4)
    assert fatigue.fatigue_strength(100e6, 1e12) == fatigue.fatigue_strength(100e6, 1e8)


@hypothesis.given(st.floats(1e3, 9e7), st.floats(20e6, 200e6))
def test_fatigue_life_undoes_strength(cycles, category):
    """Truth: life and strength are one line read two ways."""
    stress = fatigue.fatigue_strength(category, cycles)
    assert fatigue.fatigue_life(category, stress) == pytest.approx(cycles, rel=1e-9)


def test_rainflow_of_the_standard_s_history():
    """Truth: ASTM E1049-85 5.4.4 and its example (from memory): ranges 3 to 9 and counts."""
    ranges, counts = fatigue.rainflow(np.array([-2.0, 1, -3, 5, -1, 3, -4, 4, -2]))
    found = {one: counts[ranges == one].sum() for one in (3.0, 4.0, 6.0, 8.0, 9.0)}
    assert found == {3.0: 0.5, 4.0: 1.5, 6.0: 0.5, 8.0: 1.0, 9.0: 0.5} and counts.sum() == 4.0


@hypothesis.given(st.lists(st.integers(-50, 50), min_size=2, max_size=60))
@hypothesis.settings(max_examples=40, deadline=None)
def test_rainflow_of_a_repeat_counts_every_rise_once(history):
    """Truth: in a repeated history each cycle rises by its range once: sums of rises are equal."""
    told = np.array(history, dtype=float)
    ranges, counts = fatigue.rainflow_repeated(told)
    rises = np.diff(np.append(told, told[0])).clip(min=0.0).sum()
    assert (ranges * counts).sum() == pytest.approx(rises)
    assert ranges.max(initial=0.0) == pytest.approx(np.ptp(told))


def test_fatigue_no_end_below_cut_off():
    """Truth: EN 1993-1-9, 7.1 (3): ranges under the cut-off do no damage."""
    cut = fatigue.fatigue_strength(160e6, 1e8)
    assert math.isinf(fatigue.fatigue_life(160e6, cut * 0.999))
    assert fatigue.damage([cut * 0.999], [1e12], 160e6) == 0.0
    assert math.isinf(fatigue.fatigue_life(160e6, 0.73 * 160e6, constant=True))
    assert math.isfinite(fatigue.fatigue_life(160e6, 0.73 * 160e6))


def test_damage_adds_up():
    """Truth: Palmgren and Miner: half a life twice is one life."""
    life = fatigue.fatigue_life(160e6, 200e6)
    assert fatigue.damage([200e6, 200e6], [life / 2, life / 2], 160e6) == pytest.approx(1.0)


@pytest.mark.parametrize(("end", "edge", "kilonewtons"), [(40.0, 40.0, 99.4), (26.4, 26.4, 43.5)])
def test_bolt_bearing_of_m20_in_10_mm_of_s275(end, edge, kilonewtons):
    """Truth: Table 3.4 by hand: d_0 22 mm, f_u 410 N/mm2, d t f_u / 1.25 = 65.6 kN.

    40 mm: a_b 40 / 66, k_1 2.5; least of Table 3.3, 1.2 d_0: a_b 0.4, k_1 1.66.
    """
    given = (0.010, 0.020, 0.022, end / 1e3, edge / 1e3, 410e6)
    assert bolts.bolt_bearing_capacity(*given) / 1e3 == pytest.approx(kilonewtons, abs=0.1)
    with pytest.raises(ValueError, match="so narrow a plate"):
        bolts.bolt_bearing_capacity(0.010, 0.020, 0.022, 0.026, 0.013, 410e6)

"""The axle between its supports: limits, statics, and what makers have seen."""

import hypothesis
import hypothesis.strategies as st
import numpy as np
import pytest

from slingwright.formulas.beams import sections
from slingwright.formulas.beams import spans as beams
from slingwright.formulas.steel import axle
from slingwright.formulas.steel import strength as steel
from slingwright.tables import materials

MODULUS = 210e9
spans = st.floats(0.2, 5.0)
shares = st.floats(0.0, 1.0)


def use(diameter, span, load, grade="S235"):
    """Give the bending use of a solid steel axle with the load in the middle of its span."""
    moment = beams.patch_load_moment(load, span, 0.0)
    stress = axle.round_bending_stress(moment, diameter)
    return stress / steel.design_strength(materials.steel(grade, diameter).yield_strength)


@hypothesis.given(spans, shares)
def test_wider_hub_never_loads_more(span, share):
    """Truth: spreading a load toward the supports lowers the moment; cheeks lower than a hub."""
    hub = share * span
    narrow = beams.patch_load_moment(1e3, span, 0.0)
    wide = beams.patch_load_moment(1e3, span, hub)
    cheeks = beams.two_loads_moment(0.5e3, span, (span - hub) / 2.0)
    assert cheeks <= wide * (1 + 1e-12) <= narrow * (1 + 2e-12)


@hypothesis.given(spans, shares, st.booleans())
def test_line_and_closed_form_agree(span, share, cheeks):
    """Truth: Macaulay's line and the closed forms are two ways to one number."""
    hub = share * span * 0.99
    hypothesis.assume(hub == 0.0 or hub > 1e-3)
    inertia = sections.round_section(0.05).inertia
    line = axle.axle_line(8e3, span, hub, MODULUS, inertia, cheeks)
    edge = (span - hub) / 2.0
    if cheeks:
        moment = beams.two_loads_moment(4e3, span, edge)
        bent = beams.two_loads_deflection(4e3, span, edge, MODULUS, inertia)
    else:
        moment = beams.patch_load_moment(8e3, span, hub)
        bent = beams.patch_load_deflection(8e3, span, hub, MODULUS, inertia)
    assert line.peak_moment == pytest.approx(moment, rel=1e-9)
    assert line.peak_shear == pytest.approx(4e3, rel=1e-9)
    assert float(np.max(line.deflection)) == pytest.approx(bent, rel=1e-6)
    assert line.reactions == pytest.approx((4e3, 4e3), rel=1e-9)


def test_support_pieces_shorten_the_span():
    """Truth: statics: a quarter of the span from each side halves the moment."""
    assert axle.working_span(1.0, support=0.25) == pytest.approx(0.5)
    assert axle.working_span(1.0, bearing=0.1) == pytest.approx(1.1)
    whole = beams.patch_load_moment(1e4, axle.working_span(1.0), 0.0)
    held = beams.patch_load_moment(1e4, axle.working_span(1.0, support=0.25), 0.0)
    assert held == pytest.approx(whole / 2, rel=1e-12)


@pytest.mark.parametrize("mass", [250.0, 380.0])
def test_weak_50_mm_axle_over_a_wide_frame(mass):
    """Common practice, no source: 50 mm of steel over about 1 m was judged weak at such a weight.

    The peak load of a throw is taken as three times the hanging weight here; the use must be high,
    and clearly lower with support pieces under the axle.
    """
    load = 3.0 * mass * 9.81
    bare = use(0.050, axle.working_span(1.0), load)
    held = use(0.050, axle.working_span(1.0, support=0.25), load)
    assert bare > 0.6
    assert held == pytest.approx(bare / 2, rel=1e-12)


def test_bearing_of_the_axle():
    """Truth: F / (d l) and w d / 2 by hand."""
    assert axle.bearing_pressure(-12e3, 0.06, 0.10) == pytest.approx(2e6)
    assert axle.sliding_speed(-8.0, 0.06) == pytest.approx(0.24)

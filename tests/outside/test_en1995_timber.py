"""Design strength, use and buckling of timber against EN 1995-1-1 and closed forms.

Sources: EN 1995-1-1:2004 Table 3.1 as Table 19.9 of ICE Manual of Structural Design: Buildings
(what-when-how.com); EN 1995-1-1 2.4.1, 3.2, 6.1 to 6.5 (from memory where no page is named);
J. Porteous and A. Kermani, Structural Timber Design to Eurocode 5: gamma_M at eurocode.us info-yla,
k_m and beta_c at info-bjp-1, Table 5.3's moduli at info-rbu-1, the column of Example 5.7.3 at
info-fvf and info-pge, and a value of Table 4.4 at km-1.
"""

import math

import hypothesis
import hypothesis.strategies as st
import pytest

from slingwright.formulas.beams import sections
from slingwright.formulas.timber import columns as timber_columns
from slingwright.formulas.timber import strength as timber
from slingwright.tables import materials

C24 = materials.timber("C24")
ratios = st.floats(0.0, 6.0)


@pytest.mark.parametrize(
    ("service", "factors"),
    [
        (1, (0.60, 0.70, 0.80, 0.90, 1.10)),
        (2, (0.60, 0.70, 0.80, 0.90, 1.10)),
        (3, (0.50, 0.55, 0.65, 0.70, 0.90)),
    ],
)
def test_modification_factors(service, factors):
    """Truth: Table 3.1, solid timber, permanent to instantaneous."""
    order = ("permanent", "long", "medium", "short", "instantaneous")
    assert tuple(timber.modification_factor(service, name) for name in order) == factors


def test_partial_factors_and_constants():
    """Truth: solid and connections 1.3, glulam 1.25 (info-yla); beta_c (info-bjp-1)."""
    assert [timber.partial_factor(name) for name in ("solid", "connection", "glulam")] == [
        1.3,
        1.3,
        1.25,
    ]
    assert timber_columns.BETA_C["solid"] == 0.2
    assert timber.K_CR == 0.67


def test_size_factor():
    """Truth: 3.2 (3): (150 / h)^0.2 under 150 mm, at most 1.3, none for dense timber."""
    assert timber.size_factor(0.150, 350.0) == 1.0
    assert timber.size_factor(0.300, 350.0) == 1.0
    assert timber.size_factor(0.075, 700.0) == pytest.approx(2.0**0.2, rel=1e-12)
    assert timber.size_factor(0.150 / 1.3**5, 350.0) == pytest.approx(1.3, rel=1e-12)
    assert timber.size_factor(0.020, 350.0) == 1.3
    assert timber.size_factor(0.075, 750.0) == 1.0
    assert timber.size_factor(0.300, 385.0, "glulam") == pytest.approx(2.0**0.1, rel=1e-12)
    assert timber.size_factor(0.100, 385.0, "glulam") == 1.1


def test_design_strength_of_oak_d30():
    """Truth: (2.14) by hand: 1.1 * 30 / 1.3 for a throw, 0.6 * 30 / 1.3 for a hanging weight."""
    strength = materials.timber("D30").bending_strength
    thrown = timber.timber_design_strength(strength, 1.1, 1.3)
    hung = timber.timber_design_strength(strength, 0.6, 1.3)
    assert thrown / 1e6 == pytest.approx(25.3846, abs=1e-4)
    assert hung / 1e6 == pytest.approx(13.8462, abs=1e-4)


@pytest.mark.parametrize("degrees", [0.0, 10.0, 45.0, 90.0])
def test_hankinson(degrees):
    """Truth: Hankinson: f_0 f_90 / (f_0 sin^2 a + f_90 cos^2 a)."""
    angle = math.radians(degrees)
    by_hand = 24e6 * 5.3e6 / (24e6 * math.sin(angle) ** 2 + 5.3e6 * math.cos(angle) ** 2)
    found = timber.bearing_strength_at_angle(24e6, 5.3e6, angle)
    assert found == pytest.approx(by_hand, rel=1e-12)


@pytest.mark.parametrize("pulled", [True, False])
def test_taper_factor_is_the_square_sum_rule(pulled):
    """Truth: (6.39), (6.40) from stresses at a cut edge: at the limit the squares add to 1.

    With s along the grain, the free edge has s tan a in shear and s tan^2 a across the grain; shear
    counts at 0.75 of its strength on a pulled edge and at 1.5 on a pressed one.
    """
    bending, shear, across = 25.4e6, 3.3e6, 0.5e6 if pulled else 4.5e6
    angle = math.radians(3.0)
    part = timber.taper_factor(angle, bending, shear, across, 0.75 if pulled else 1.5)
    limit = part * bending
    in_shear = limit * math.tan(angle) / (shear * (0.75 if pulled else 1.5))
    crossing = limit * math.tan(angle) ** 2 / across
    assert part**2 + in_shear**2 + crossing**2 == pytest.approx(1.0, rel=1e-12)
    assert 0.0 < part < 1.0


def test_taper_weakens_a_pulled_edge_more():
    """Truth: (6.39) against (6.40): a pulled cut edge loses more than a pressed one."""
    strength = materials.timber("D30")
    slope = math.atan(0.16 / 5.8)
    pulled, pressed = (
        timber.taper_factor(slope, strength.bending_strength, strength.shear_strength, across, side)
        for across, side in (
            (strength.tension_perpendicular, 0.75),
            (strength.compression_perpendicular, 1.5),
        )
    )
    assert pulled < pressed < 1.0
    assert timber.taper_factor(0.0, 25e6, 3e6, 0.5e6, 0.75) == 1.0


def test_splitting_by_hand():
    """Truth: (8.4) (from memory): 14 * 100 sqrt(150 / (1 - 150 / 300)) N."""
    found = timber.splitting_capacity(0.100, 0.300, 0.150)
    assert found == pytest.approx(1400.0 * math.sqrt(300.0), rel=1e-12)
    assert timber.splitting_capacity(0.1, 0.3, 0.25) > found


def test_taper_and_splitting_refuse():
    """Truth: an error names the thing, the value and the limit."""
    with pytest.raises(ValueError, match="angle of the cut edge to the grain is 0.6 rad"):
        timber.taper_factor(0.6, 25e6, 3e6, 0.5e6, 0.75)
    with pytest.raises(ValueError, match="0.3 m is not inside the depth 0.3 m"):
        timber.splitting_capacity(0.1, 0.3, 0.3)


# ---- buckling ------------------------------------------------------------------------------------


def test_moduli_of_the_buckling_table():
    """Truth: Table 5.3 (info-rbu-1): E_0,05 of C24, C27, C30, C35, and f_c,0,k but for C30.

    The table follows EN 338:2003, which has 23 for C30; EN 338:2016 has 24 (from memory).
    """
    found = {name: materials.timber(name) for name in ("C24", "C27", "C30", "C35")}
    assert [row.modulus_5 / 1e6 for row in found.values()] == pytest.approx(
        [7400, 7700, 8000, 8700]
    )
    strengths = {name: row.compression_parallel / 1e6 for name, row in found.items()}
    assert strengths == pytest.approx({"C24": 21, "C27": 22, "C30": 24, "C35": 25})


def test_column_of_example_5_7_3():
    """Truth: 100 x 200 mm C24, 3.75 m pinned: slenderness about the weak axis 129.9 (info-pge).

    The relative slenderness and k_c are then worked out by hand from (6.22) and (6.25) to (6.28).
    """
    section = sections.rectangle(0.100, 0.200)
    assert 3.75 / section.gyration_sideways == pytest.approx(129.9, abs=0.05)
    slender = timber_columns.relative_slenderness(
        3.75, section.gyration_sideways, C24.compression_parallel, C24.modulus_5
    )
    by_hand = 129.9038 / math.pi * math.sqrt(21.0 / 7400.0)
    assert slender == pytest.approx(by_hand, rel=1e-6)
    k = 0.5 * (1.0 + 0.2 * (by_hand - 0.3) + by_hand**2)
    share = 1.0 / (k + math.sqrt(k * k - by_hand * by_hand))
    assert timber_columns.buckling_factor(slender) == pytest.approx(share, rel=1e-6)


@hypothesis.given(ratios)
def test_column_never_stronger_than_euler(slenderness):
    """Truth: Euler's load is 1 / lambda_rel^2 of the crushing load, and crushing is 1."""
    share = timber_columns.buckling_factor(slenderness)
    assert 0.0 < share <= 1.0
    assert share * slenderness**2 <= 1.0 + 1e-9


def test_column_nears_euler_when_slender():
    """Truth: k_c lambda_rel^2 goes to 1 as the column grows long."""
    nearness = [timber_columns.buckling_factor(s) * s**2 for s in (5.0, 50.0, 500.0)]
    assert nearness == sorted(nearness)
    assert nearness[-1] == pytest.approx(1.0, abs=1e-3)


def test_column_with_bending_in_both_planes():
    """Truth: (6.23) by hand: 2 / (0.5 * 10) + 4 / 20 + 0.7 * 5 / 20."""
    use = timber_columns.column_use(2e6, 10e6, 0.5, 4e6, 20e6, 5e6)
    assert use == pytest.approx(0.4 + 0.2 + 0.175, rel=1e-12)


def test_tipping_value_of_table_4_4():
    """Truth: Table 4.4 (km-1): C18 at a relative slenderness of 2 keeps 4.5 N/mm2."""
    strength = materials.timber("C18").bending_strength
    assert timber_columns.tipping_factor(2.0) * strength / 1e6 == pytest.approx(4.5, rel=1e-12)


@pytest.mark.parametrize(("knee", "jump"), [(0.75, 0.00251), (1.4, 0.0003)])
def test_tipping_branches_meet(knee, jump):
    """Truth: the three branches of (6.34) meet to the rounding of their constants."""
    below = timber_columns.tipping_factor(knee)
    above = timber_columns.tipping_factor(math.nextafter(knee, 9.0))
    assert below == pytest.approx(above, abs=jump)


def test_tipping_lengths():
    """Truth: Table 6.1: ratios 1, 0.9, 0.8, 0.5, 0.8; plus 2 h or less h / 2 by where it acts."""
    kinds = ("even moment", "even load", "mid load", "cantilever even load", "cantilever end load")
    found = [timber_columns.tipping_length(10.0, kind) for kind in kinds]
    assert found == pytest.approx([10.0, 9.0, 8.0, 5.0, 8.0])
    assert timber_columns.tipping_length(10.0, "mid load", 0.4, "pressed") == pytest.approx(8.8)
    assert timber_columns.tipping_length(10.0, "mid load", 0.4, "pulled") == pytest.approx(7.8)

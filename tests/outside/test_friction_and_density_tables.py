"""Friction coefficients and densities against the published rows that the tables are made from.

Sources: A. F. Collins, Inventing for Boys (1917), Appendix I; schneider-company.com; S. A. Hill's
physics table; Lemoine, McMillin and Manwiller, Wood Science 2(3) 1970; Emerson in W. Duane, A
Military Dictionary (1810) p. 394; Moyer in Marks' Handbook; Carvill, Mechanical Engineer's Data
Handbook; matmake.com (citing Cardarelli, CRC, Geological Society); USBC bowling ball limits;
iconico.com.
"""

import math

import pytest

from slingwright import materials


@pytest.mark.parametrize(
    ("name", "low", "high", "source"),
    [
        ("oak on oak, along the grain, dry", 0.42, 0.42, "Collins"),
        ("oak on oak, along the grain, soaped", 0.16, 0.16, "Collins"),
        ("cast iron on oak", 0.42, 0.42, "Collins"),
        ("iron on bronze, dry", 0.25, 0.25, "Collins"),
        ("iron on bronze, well greased", 0.06, 0.06, "Collins"),
        ("iron wheel on rail", 0.004, 0.004, "Collins"),
        ("ball bearing", 0.001, 0.001, "Collins"),
        ("steel on bronze, greasy", 0.16, 0.16, "schneider"),
        ("steel on brass, dry", 0.51, 0.51, "schneider"),
        ("wood on wood", 0.3, 0.3, "Hill"),
        ("steel on steel, oiled", 0.03, 0.03, "Hill"),
        ("dry pine on steel", 0.10, 0.25, "Lemoine"),
        ("hard wood on hard wood", 1 / 8, 1 / 7, "Emerson"),
        ("tyre on hard road", 0.008, 0.008, "Moyer"),
        ("tyre on loose gravel", 0.06, 0.06, "Moyer"),
        ("wheel on asphalt", 0.01, 0.02, "Carvill"),
        ("wheel on sand", 0.1, 0.2, "Carvill"),
        ("steel axle in greased oak", 0.07, 0.12, "from memory"),
        ("rope on wood", 0.3, 0.5, "from memory"),
        ("ring on polished steel prong", 0.1, 0.3, "from memory"),
    ],
)
def test_friction(name, low, high, source):
    """Truth: the row of the source named."""
    row = materials.friction(name)
    assert (row.low, row.high) == pytest.approx((low, high), abs=5e-5)
    assert source in row.source


def test_grease_cuts_wood_friction_by_two_thirds():
    """Truth: Emerson in Duane: grease takes about two thirds off wood on wood; Collins agrees."""
    dry = materials.friction("oak on oak, along the grain, dry").value
    soaped = materials.friction("oak on oak, along the grain, soaped").value
    assert soaped / dry == pytest.approx(1 / 3, abs=0.06)


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("granite", 2640, 2760),
        ("hard limestone", 2100, 2760),
        ("soft limestone", 1200, 2200),
        ("hard sandstone", 2140, 2650),
        ("marble", 2600, 2800),
        ("concrete", 2300, 2300),
    ],
)
def test_stone_densities(name, low, high):
    """Truth: matmake.com's ranges."""
    row = materials.projectile(name)
    assert (row.density_low, row.density_high) == (low, high)


@pytest.mark.parametrize(
    ("name", "mass", "diameter"), [("bowling ball", 7.26, 0.2183), ("pumpkin", 10.0, 0.30)]
)
def test_ball_densities(name, mass, diameter):
    """Truth: USBC: 16 lb in 8.595 in; iconico.com's stated guess of 10 kg in 0.30 m."""
    density = mass / (math.pi * diameter**3 / 6)
    assert materials.projectile(name).density == pytest.approx(density, abs=0.6)


@pytest.mark.parametrize(("mass", "diameter"), [(15.0, 0.222), (50.0, 0.332), (113.4, 0.437)])
def test_stone_ball_sizes(mass, diameter):
    """Truth: arithmetic: the diameter of a ball of stone at 2,600 kg/m3."""
    density = materials.projectile("stone").density
    assert (6 * mass / (math.pi * density)) ** (1 / 3) == pytest.approx(diameter, abs=6e-4)


@pytest.mark.parametrize(
    ("fill", "projectile", "apart"),
    [("granite", "granite", 0.10), ("lead", "lead", 0.03), ("steel", "steel", 0.02)],
)
def test_two_sources_for_one_material(fill, projectile, apart):
    """Truth: EN 1991-1-1 Annex A (from memory) against the handbook densities above."""
    ratio = materials.fill(fill).density / materials.projectile(projectile).density
    assert ratio == pytest.approx(1.0, abs=apart)

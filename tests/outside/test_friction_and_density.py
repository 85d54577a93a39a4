"""Friction and density tables against the pages they were read on.

Sources: A. F. Collins, Inventing for Boys (1917), Appendix I; schneider-company.com, bearing
friction table; S. A. Hill, physics text, friction table; Lemoine, McMillin and Manwiller, Wood
Science 2(3), 1970; Emerson, in W. Duane, A Military Dictionary (1810) p. 394; Moyer, in Marks'
Handbook; Carvill, Mechanical Engineer's Data Handbook; matmake.com density tables; mythosa.net and
homecivil.com specific gravities; the USBC limits of a bowling ball; iconico.com (pumpkin, stated as
a guess). Handbook ranges after Morin and Rankine are from memory.
"""

import math

import pytest

from slingwright.tables import materials
from slingwright.tables.reading import row_of


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("oak on oak, along the grain, dry", 0.42, 0.42),
        ("oak on oak, along the grain, soaped", 0.16, 0.16),
        ("cast iron on oak", 0.42, 0.42),
        ("iron on bronze, dry", 0.25, 0.25),
        ("iron on bronze, well greased", 0.06, 0.06),
        ("iron wheel on rail", 0.004, 0.004),
        ("ball bearing", 0.001, 0.001),
        ("steel on bronze, greasy", 0.16, 0.16),
        ("steel on sintered bronze", 0.13, 0.13),
        ("steel on brass, dry", 0.51, 0.51),
        ("steel on brass, greased", 0.19, 0.19),
        ("copper-lead alloy on steel, dry", 0.22, 0.22),
        ("wood on wood, at rest", 0.5, 0.5),
        ("wood on wood", 0.3, 0.3),
        ("metal on wood, at rest", 0.5, 0.5),
        ("metal on wood", 0.3, 0.3),
        ("steel on steel, dry, at rest", 0.6, 0.6),
        ("steel on steel, dry", 0.3, 0.3),
        ("steel on steel, oiled, at rest", 0.05, 0.05),
        ("steel on steel, oiled", 0.03, 0.03),
        ("dry pine on steel", 0.10, 0.25),
        ("hard wood on hard wood", 1 / 8, 1 / 7),
        ("tyre on hard road", 0.008, 0.008),
        ("tyre on packed gravel", 0.012, 0.012),
        ("tyre on loose gravel", 0.06, 0.06),
        ("wheel on asphalt", 0.01, 0.02),
        ("wheel on rolled gravel", 0.01, 0.01),
        ("wheel on loose gravel", 0.04, 0.04),
        ("wheel on medium-hard soil", 0.08, 0.08),
        ("wheel on sand", 0.1, 0.2),
        ("steel axle in greased oak", 0.07, 0.12),
        ("rope on steel", 0.1, 0.2),
        ("rope on wood", 0.3, 0.5),
        ("ring on polished steel prong", 0.1, 0.3),
    ],
)
def test_friction_as_read(name, low, high):
    """Truth: the pages named above; a pair given as one number has no spread."""
    pair = materials.friction(name)
    assert (pair.low, pair.high) == pytest.approx((low, high), rel=1e-3)
    assert low <= pair.value * (1 + 1e-9) and pair.value <= high * (1 + 1e-9)


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("granite", 2640, 2760),
        ("hard limestone", 2100, 2760),
        ("soft limestone", 1200, 2200),
        ("hard sandstone", 2140, 2650),
        ("marble", 2600, 2800),
        ("concrete", 2300, 2300),
        ("lead", 11340, 11340),
        ("cast iron", 7030, 7130),
        ("wrought iron", 7400, 7900),
        ("steel", 7700, 7930),
    ],
)
def test_projectile_densities_as_read(name, low, high):
    """Truth: matmake.com for stone, mythosa.net and homecivil.com for metal, kg/m3."""
    stuff = row_of("projectiles", name).numbers
    assert (stuff["density_low"], stuff["density_high"]) == pytest.approx((low, high))
    assert low <= stuff["density"] <= high


@pytest.mark.parametrize(
    ("name", "mass", "diameter"), [("bowling ball", 7.26, 0.2183), ("pumpkin", 10.0, 0.30)]
)
def test_balls_of_known_size(name, mass, diameter):
    """Truth: mass over the volume of a sphere: USBC limits, and a guess said to be one."""
    density = mass / (math.pi / 6.0 * diameter**3)
    assert row_of("projectiles", name).number("density") == pytest.approx(density, abs=0.6)


@pytest.mark.parametrize(("mass", "diameter"), [(15, 0.222), (50, 0.332), (113.4, 0.437)])
def test_stone_spheres(mass, diameter):
    """Truth: at 2,600 kg/m3 to the millimetre: projectiles of three published machines."""
    density = row_of("projectiles", "stone").number("density")
    found = (6.0 * mass / (math.pi * density)) ** (1.0 / 3.0)
    assert found == pytest.approx(diameter, abs=6e-4)


@pytest.mark.parametrize(
    ("fill", "projectile"), [("steel", "steel"), ("lead", "lead"), ("granite", "granite")]
)
def test_fill_and_projectile_tables_agree(fill, projectile):
    """Truth: two sources for one stuff; unit weights for building lie a little on the high side."""
    one, two = row_of("fills", fill), row_of("projectiles", projectile)
    assert one.number("density") == pytest.approx(two.number("density"), rel=0.08)


def test_sand_weighs_what_the_standard_says():
    """Truth: EN 1991-1-1 Annex A: sand 14 to 19 kN/m3, dry bulk (from memory), over 9.81 m/s2."""
    sand = row_of("fills", "sand").numbers
    assert sand["density_low"] * 9.81 / 1e3 == pytest.approx(14.0, abs=0.1)
    assert sand["density_high"] * 9.81 / 1e3 == pytest.approx(19.0, abs=0.1)


def test_grease_cuts_wood_friction_by_two_thirds():
    """Truth: Emerson in Duane: grease takes about two thirds off wood on wood; Collins agrees."""
    dry = materials.friction("oak on oak, along the grain, dry").value
    soaped = materials.friction("oak on oak, along the grain, soaped").value
    assert soaped / dry == pytest.approx(1 / 3, abs=0.06)


@pytest.mark.parametrize(
    ("name", "source"),
    [
        ("cast iron on oak", "Collins"),
        ("steel on sintered bronze", "schneider"),
        ("steel on steel, oiled", "Hill"),
        ("dry pine on steel", "Lemoine"),
        ("hard wood on hard wood", "Emerson"),
        ("tyre on hard road", "Moyer"),
        ("wheel on sand", "Carvill"),
        ("rope on wood", "from memory"),
    ],
)
def test_rows_name_their_source(name, source):
    """Truth: each row says which of the pages above it was read on."""
    assert source in materials.friction(name).source

"""The timber class table against the relations from which its derived columns are made.

Source: EN 384:2016, relations between the characteristic properties (from memory), with the
rounding of EN 338:2016 Tables 1 and 3 (from memory). What the relations cannot give (bending
strength, mean modulus, density) is itself from memory; D30 is also held to published values.
"""

import pytest

from slingwright.tables import materials
from slingwright.tables.reading import table

SOFTWOODS = [name for name in table("timber") if name.startswith("C")]
HARDWOODS = [name for name in table("timber") if name.startswith("D")]
MPA, GPA = 1e6, 1e9


def test_all_classes_are_there():
    """Truth: EN 338:2016 Tables 1 and 3: C14 to C50 and D18 to D70."""
    softwoods = [14, 16, 18, 20, 22, 24, 27, 30, 35, 40, 45, 50]
    hardwoods = [18, 24, 27, 30, 35, 40, 45, 50, 55, 60, 65, 70]
    found = [int(name[1:]) for name in SOFTWOODS], [int(name[1:]) for name in HARDWOODS]
    assert found == (softwoods, hardwoods)


@pytest.mark.parametrize("name", SOFTWOODS + HARDWOODS)
def test_common_relations(name):
    """Truth: f_c,0 = 4.3 sqrt(f_m), G = E/16, rho_mean = 1.2 rho_k, and the name's own number."""
    row = materials.timber(name)
    assert row.bending_strength / MPA == float(name[1:])
    strength = 4.3 * (row.bending_strength / MPA) ** 0.5
    assert row.compression_parallel / MPA == pytest.approx(strength, abs=0.6)
    assert row.shear_modulus_mean == pytest.approx(row.modulus_mean / 16, abs=0.006 * GPA)
    assert row.density_mean == pytest.approx(1.2 * row.density_characteristic, abs=6.0)
    assert "EN 338" in row.source and "from memory" in row.source


@pytest.mark.parametrize("name", SOFTWOODS)
def test_softwood_relations(name):
    """Truth: f_t,0 = -3.07 + 0.73 f_m, E_05 = 0.67 E, E_90 = E/30, f_c,90 = 0.007 rho_k."""
    row = materials.timber(name)
    bending = row.bending_strength / MPA
    assert row.tension_parallel / MPA == pytest.approx(-3.07 + 0.73 * bending, abs=0.3)
    assert row.modulus_5 == pytest.approx(0.67 * row.modulus_mean, abs=0.06 * GPA)
    assert row.modulus_perpendicular == pytest.approx(row.modulus_mean / 30, abs=0.006 * GPA)
    across = 0.007 * row.density_characteristic
    assert row.compression_perpendicular / MPA == pytest.approx(across, abs=0.06)
    assert row.tension_perpendicular == 0.4 * MPA
    assert row.shear_strength / MPA == pytest.approx(min(1.6 + 0.1 * bending, 4.0), abs=0.01)


@pytest.mark.parametrize("name", HARDWOODS)
def test_hardwood_relations(name):
    """Truth: f_t,0 = 0.6 f_m, E_05 = 0.84 E, E_90 = E/15, f_v = 3 + 0.03 f_m to 5, f_c,90."""
    row = materials.timber(name)
    bending, density = row.bending_strength / MPA, row.density_characteristic
    assert row.tension_parallel / MPA == pytest.approx(0.6 * bending, abs=0.51)
    assert row.modulus_5 == pytest.approx(0.84 * row.modulus_mean, abs=0.06 * GPA)
    assert row.modulus_perpendicular == pytest.approx(row.modulus_mean / 15, abs=0.006 * GPA)
    across = (0.010 if density < 700 else 0.015) * density
    assert row.compression_perpendicular / MPA == pytest.approx(across, abs=0.06)
    assert row.tension_perpendicular == 0.6 * MPA
    assert row.shear_strength / MPA == pytest.approx(min(3.0 + 0.03 * bending, 5.0), abs=0.06)


@pytest.mark.parametrize("names", [SOFTWOODS, HARDWOODS], ids=["softwood", "hardwood"])
def test_a_stronger_class_is_never_weaker_in_anything(names):
    """Truth: a strength class is ordered: no property falls as the class rises."""
    rows = [materials.timber(name) for name in names]
    fields = [
        field
        for field in materials.TimberClass.__dataclass_fields__
        if isinstance(getattr(rows[0], field), float)
    ]
    assert len(fields) == 12
    for field in fields:
        column = [getattr(row, field) for row in rows]
        assert column == sorted(column), field

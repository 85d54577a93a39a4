"""Structural steel by thickness.

Source: EN 10025-2 Table 7, least yield strength and tensile strength (readle.co.uk, steel grades;
tensile strength over 100 mm from memory). EN 1993-1-1:2005 Table 3.1 is coarser and higher.
"""

import pytest

from slingwright.tables import materials

MIDDLES = [0.010, 0.030, 0.050, 0.070, 0.090, 0.120, 0.180, 0.220]
UPPER_ENDS = [0.016, 0.040, 0.063, 0.080, 0.100, 0.150, 0.200, 0.250]
YIELD = {
    "S235": [235, 225, 215, 215, 215, 195, 185, 175],
    "S275": [275, 265, 255, 245, 235, 225, 215, 205],
    "S355": [355, 345, 335, 325, 315, 295, 285, 275],
}


@pytest.mark.parametrize("grade", list(YIELD))
@pytest.mark.parametrize("thicknesses", [MIDDLES, UPPER_ENDS], ids=["inside", "at the limit"])
def test_yield_strength(grade, thicknesses):
    """Truth: EN 10025-2 Table 7; a step's upper limit belongs to the step."""
    found = [materials.steel(grade, t).yield_strength / 1e6 for t in thicknesses]
    assert found == YIELD[grade]


@pytest.mark.parametrize(
    ("grade", "low", "high"), [("S235", 360, 510), ("S275", 410, 560), ("S355", 470, 630)]
)
def test_tensile_strength(grade, low, high):
    """Truth: EN 10025-2 Table 7, 3 to 100 mm."""
    for thickness in (0.005, 0.05, 0.1):
        steel = materials.steel(grade, thickness)
        assert steel.ultimate_strength == low * 1e6
        assert steel.ultimate_strength_high == high * 1e6


def test_the_80_mm_trap():
    """Truth: an 80 mm S355 bar yields at 325 MPa by the product standard, not 335 (EN 1993-1-1)."""
    assert materials.steel("S355", 0.080).yield_strength == 325e6
    assert materials.steel("S355", 80 * 0.001).yield_strength == 325e6
    assert materials.steel("S355", 0.0801).yield_strength == 315e6
    assert materials.steel("S355", 0.063).yield_strength == 335e6

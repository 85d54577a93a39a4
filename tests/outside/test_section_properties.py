"""Cross-sections against the finite-element library sectionproperties and numerical integrals.

Source: R. van Leeuwen, sectionproperties (https://sectionproperties.readthedocs.io).
"""

import warnings

import numpy as np
import pytest

from slingwright.formulas.beams import sections


def meshed(geometry, size):
    """Give area, second moment, elastic and plastic modulus about the horizontal axis."""
    from sectionproperties.analysis import Section

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        geometry.create_mesh(mesh_sizes=[size])
        section = Section(geometry)
        section.calculate_geometric_properties()
        section.calculate_plastic_properties()
    upper, lower = section.get_z()[:2]
    return section.get_area(), section.get_ic()[0], min(upper, lower), section.get_s()[0]


def values(section):
    return (
        section.area,
        section.inertia,
        section.elastic_modulus,
        section.plastic_modulus,
    )


def test_rectangle_200_by_300():
    """Truth: sectionproperties, exact for a polygon."""
    from sectionproperties.pre.library import rectangular_section

    mesh = meshed(rectangular_section(d=0.3, b=0.2), 1e-3)
    assert values(sections.rectangle(0.2, 0.3)) == pytest.approx(mesh, rel=1e-9)
    assert mesh[1] == pytest.approx(4.5e-4, rel=1e-9)


def test_round_80_mm():
    """Truth: sectionproperties with a circle of 256 corners: 2,010,216 mm4 and S 85,320 mm3."""
    from sectionproperties.pre.library import circular_section

    mesh = meshed(circular_section(d=0.080, n=256), 1e-4)
    assert mesh[1] * 1e12 == pytest.approx(2_010_216, abs=1)
    assert mesh[3] * 1e9 == pytest.approx(85_320, abs=1)
    assert values(sections.round_section(0.080)) == pytest.approx(mesh, rel=3e-4)
    assert sections.round_section(0.080).inertia * 1e12 == pytest.approx(2_010_619, abs=1)
    assert sections.round_section(0.080).plastic_modulus * 1e9 == pytest.approx(85_333, abs=1)


@pytest.mark.parametrize("offset", [0.0, 0.03, -0.05, 0.1])
def test_rectangle_with_hole(offset):
    """Truth: sectionproperties, the hole's band cut out as two separate rectangles."""
    from sectionproperties.pre.library import rectangular_section

    width, depth, hole = 0.22, 0.34, 0.09
    low, high = offset - hole / 2, offset + hole / 2
    lower = rectangular_section(d=low + depth / 2, b=width).shift_section(0, -depth / 2)
    upper = rectangular_section(d=depth / 2 - high, b=width).shift_section(0, high)
    mesh = meshed(lower + upper, 1e-3)
    mine = values(sections.rectangle_with_cross_hole(width, depth, hole, offset))
    assert mine == pytest.approx(mesh, rel=1e-6)


def test_round_with_hole():
    """Truth: the integrals of the width and of y^2 times the width, by fine summation."""
    diameter, hole = 0.30, 0.06
    edges = np.linspace(hole / 2, diameter / 2, 200_001)
    y = (edges[1:] + edges[:-1]) / 2
    strip = 2 * np.sqrt((diameter / 2) ** 2 - y**2) * np.diff(edges)
    section = sections.round_with_cross_hole(diameter, hole)
    assert section.area == pytest.approx(2 * strip.sum(), rel=1e-7)
    assert section.inertia == pytest.approx(2 * (strip * y**2).sum(), rel=1e-7)
    assert section.plastic_modulus == pytest.approx(2 * (strip * y).sum(), rel=1e-7)
    assert section.elastic_modulus == pytest.approx(section.inertia / 0.15, rel=1e-12)
    across = (strip / np.diff(edges)) ** 3 / 12 * np.diff(edges)
    assert section.inertia_sideways == pytest.approx(2 * across.sum(), rel=1e-7)


@pytest.mark.parametrize(
    "section",
    [
        sections.round_section(0.08),
        sections.round_with_cross_hole(0.3, 0.06),
        sections.rectangle(0.2, 0.3),
        sections.rectangle_with_cross_hole(0.2, 0.3, 0.08),
        sections.laminated(0.2, 0.05, 6, 0.4),
    ],
    ids=lambda section: section.shape,
)
def test_sideways_is_over_half_the_width(section):
    """Truth: W = I / (b / 2); of a rectangle I = A b^2 / 12, whatever strip is out of it."""
    assert section.elastic_modulus_sideways == pytest.approx(
        2 * section.inertia_sideways / section.width, rel=1e-12
    )
    if not section.shape.startswith("round"):
        assert section.inertia_sideways == pytest.approx(
            section.area * section.width**2 / 12, rel=1e-12
        )


@pytest.mark.parametrize("offset", [0.0, 0.04, 0.1, 0.115])
def test_shear_factor_with_hole_is_safe(offset):
    """Truth: first moment of the area beyond a cut, the largest over many cuts; never below it."""
    width, depth, hole = 0.2, 0.3, 0.06
    section = sections.rectangle_with_cross_hole(width, depth, hole, offset)
    y = (np.arange(300_000) + 0.5) / 300_000 * depth - depth / 2
    solid = np.where(abs(y - offset) < hole / 2, 0.0, width)
    step = depth / 300_000
    centroid = (solid * y).sum() / solid.sum()
    first = np.cumsum((solid * (y - centroid))[::-1])[::-1] * step
    largest = first[solid > 0].max()
    factor = largest * section.area / (section.inertia * width)
    assert 0.5 * section.shear_factor < factor <= section.shear_factor * (1 + 1e-6)


def test_layers_between_loose_and_glued():
    """Truth: closed forms: n^2 times the stiffness and n times the strength when glued."""
    glued, loose = sections.laminated(0.2, 0.05, 4), sections.laminated(0.2, 0.05, 4, bond=0.0)
    assert glued.inertia / loose.inertia == pytest.approx(16.0)
    assert glued.elastic_modulus / loose.elastic_modulus == pytest.approx(4.0)
    assert glued.inertia == pytest.approx(sections.rectangle(0.2, 0.2).inertia)

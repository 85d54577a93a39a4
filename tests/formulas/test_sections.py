"""Sections: layers and bonds between their ends, tapers at theirs."""

import hypothesis
import hypothesis.strategies as st
import pytest

from slingwright.formulas.beams import sections

bonds = st.floats(0.0, 1.0)
counts = st.integers(1, 12)


@hypothesis.given(counts, bonds)
def test_layer_shares_are_the_laminated_section(count, bond):
    """Truth: `laminated` over the solid rectangle of the same size."""
    section = sections.laminated(0.2, 0.3 / count, count, bond)
    solid = sections.rectangle(0.2, 0.3)
    inertia, modulus = sections.laminated_shares(count, bond)
    assert inertia == pytest.approx(section.inertia / solid.inertia, rel=1e-9)
    assert modulus == pytest.approx(section.elastic_modulus / solid.elastic_modulus, rel=1e-9)


def test_two_bonded_layers_by_annex_b():
    """Truth: EN 1995-1-1 Annex B by hand (from memory): two equal layers, gamma on both.

    (E I)_ef = 2 (E I + gamma E A a^2) with a = t / 2, and the edge stress
    gamma E a M / (E I)_ef + 0.5 E t M / (E I)_ef.
    """
    width, layer, gamma = 0.2, 0.1, 0.37
    stiffness = 2 * (width * layer**3 / 12 + gamma * width * layer * (layer / 2) ** 2)
    edge = gamma * (layer / 2) / stiffness + 0.5 * layer / stiffness
    section = sections.laminated(width, layer, 2, gamma)
    assert section.inertia == pytest.approx(stiffness, rel=1e-12)
    assert 1.0 / section.elastic_modulus == pytest.approx(edge, rel=1e-12)


def test_taper_at_its_ends():
    """Truth: a straight line through both ends."""
    assert sections.tapered(0.0, 5.8, 0.32, 0.16) == 0.32
    assert sections.tapered(5.8, 5.8, 0.32, 0.16) == pytest.approx(0.16)


def test_gyration():
    """Truth: h / sqrt(12) of a rectangle, d / 4 of a round."""
    section = sections.rectangle(0.1, 0.3)
    assert section.gyration == pytest.approx(0.3 / 12**0.5)
    assert section.gyration_sideways == pytest.approx(0.1 / 12**0.5)
    assert sections.round_section(0.2).gyration == pytest.approx(0.05)

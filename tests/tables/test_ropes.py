"""Ropes by name: the user's own rows, units of force, and names that are nearly right."""

from pathlib import Path

import pytest

from slingwright.tables import ropes as ropes_table
from slingwright.tables.reading import MaterialTableError, UnknownMaterial


def test_own_ropes_stand_beside_the_kits(tmp_path: Path, monkeypatch) -> None:
    """Truth: 1 in = 25.4 mm and 2,700 lbf = 12,010.2 N, by definition; the kit's rows stay."""
    text = "name,diameter,breaking_force\ntext,in,lbf\nown flax,1,2700\n"
    (tmp_path / "ropes.csv").write_text(text, encoding="utf-8")
    monkeypatch.setenv("SLINGWRIGHT_MATERIALS", str(tmp_path))
    row = ropes_table.rope("own flax", 0.03)
    assert row.diameter == pytest.approx(0.0254)
    assert row.breaking_force == pytest.approx(12_010.2, rel=1e-5)
    assert "no source" in row.source
    assert ropes_table.rope("manila", 0.020).breaking_force == 26e3
    assert "own flax" in ropes_table.rope_names()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("name,diameter,breaking_force\ntext,mm,stone\nx,1,2\n", "unit 'stone'"),
        ("name,diameter,breaking_force\ntext,mm,kN\nx,1,strong\n", "breaking_force is 'strong'"),
        ("name,diameter,breaking_force\ntext,mm,kN\nx,1,-3\n", "zero or more"),
        ("name,diameter,breaking_force\ntext,mm,kN\nx,1,\n", "'x' has no breaking_force"),
        ("name,diameter\n", "row 2 units"),
    ],
)
def test_bad_own_ropes_are_named(tmp_path: Path, monkeypatch, text: str, words: str) -> None:
    """Truth: the cell made wrong; a missing strength is never taken as zero."""
    (tmp_path / "ropes.csv").write_text(text, encoding="utf-8")
    monkeypatch.setenv("SLINGWRIGHT_MATERIALS", str(tmp_path))
    with pytest.raises(MaterialTableError, match=words):
        ropes_table.rope_sizes("x")


def test_nearest_names_are_told() -> None:
    """Truth: the tables' own names."""
    with pytest.raises(UnknownMaterial, match="manila"):
        ropes_table.rope_sizes("manilla")
    with pytest.raises(UnknownMaterial, match="bowline"):
        ropes_table.knot("bowlin")
    with pytest.raises(UnknownMaterial, match="thinner than the smallest"):
        ropes_table.rope("manila", 0.001)

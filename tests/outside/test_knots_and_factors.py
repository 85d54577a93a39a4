"""Knots and splices, design factors, sheave ratios and proof tests.

Sources: C. L. Day, The Art of Knotting and Splicing (1970) and J. G. Dent (1964), as tabulated in
C. Jacobson, Knots for the Outdoors, p. 24. Cordage Institute CI 1401-06. 29 CFR 1926.251.
Machinery Directive 2006/42/EC Annex I 4.1.2.5 (from memory). B. Toss, The Complete Rigger's
Apprentice, p. 35. industrialrope.com and wcwr.com for wire rope sheaves. Namibian mining regulation
14.2 for lifting machines. US Army TM 5-3810-305-10, Table 4 (terminal efficiencies of wire rope).
"""

import pytest

from slingwright.formulas.rope import ropes
from slingwright.tables import ropes as ropes_table

KNOTS = {
    "anchor bend": 70,
    "timber hitch": 70,
    "pipe hitch": 70,
    "two half hitches": 75,
    "clove hitch": 75,
    "bowline": 60,
    "figure-eight end knot": 48,
    "reef knot": 45,
    "overhand knot": 45,
    "sheepshank": 45,
    "eye splice": 95,
    "short splice": 90,
}


@pytest.mark.parametrize("name", KNOTS)
def test_knots(name: str) -> None:
    """Truth: Day and Dent, per cent of the rope's strength that is kept."""
    row = ropes_table.knot(name)
    assert row.kept == pytest.approx(KNOTS[name] / 100)
    assert (row.kind == "splice") == ("splice" in name)


@pytest.mark.parametrize(
    ("name", "kept"),
    [("wire rope clips", 80), ("wedge socket", 75), ("pressed sleeve on a thimble", 92.5)],
)
def test_wire_ends(name: str, kept: float) -> None:
    """Truth: US Army TM 5-3810-305-10, Table 4, fibre core; the least where a span is given."""
    row = ropes_table.knot(name)
    assert row.kept == pytest.approx(kept / 100.0) and "TM 5-3810" in row.source
    assert row.suits("wire 6x7 fibre core 1770") and not row.suits("manila")
    assert not ropes_table.knot("bowline").suits("wire 6x7 fibre core 1770")


def test_knots_lose_up_to_half() -> None:
    """Truth: Cordage Institute CI 1401-15: a knot can take as much as half."""
    kept = [ropes_table.knot(name).kept for name in KNOTS if "splice" not in name]
    assert min(kept) == pytest.approx(0.45)
    assert all(0.45 <= value <= 0.75 for value in kept)


@pytest.mark.parametrize(
    ("name", "factor", "source"),
    [
        ("fibre rope, least", 5, "CI 1401"),
        ("fibre rope, most", 12, "CI 1401"),
        ("fibre rope, winding", 10, "14.2"),
        ("wire rope, winding", 6, "14.2"),
        ("chain, winding", 6, "14.2"),
        ("fibre rope, life line", 15, "secondary"),
        ("fibre sling", 7, "from memory"),
        ("wire rope sling", 5, "from memory"),
        ("chain sling", 4, "from memory"),
        ("shackle", 5, "B30.26"),
    ],
)
def test_design_factors(name: str, factor: float, source: str) -> None:
    """Truth: the sources named in each row."""
    row = ropes_table.rope_use(name)
    assert row.design_factor == factor
    assert source in row.source


@pytest.mark.parametrize(
    ("name", "least", "suggested"),
    [
        ("fibre rope", 6, 8),
        ("fibre rope, tolerated", 4, 6),
        ("wire rope, rigging", 20, 20),
        ("wire 6x7", 42, 72),
        ("wire 6x19S", 34, 51),
        ("wire 6x21FW", 30, 45),
        ("wire 6x25FW", 26, 39),
        ("wire 6x36WS", 23, 35),
        ("wire 6x41WS", 21, 32),
        ("wire 19x7", 34, 51),
        ("wire rope, hoist", 18, 18),
        ("wire rope, boom", 15, 15),
    ],
)
def test_sheave_ratios(name: str, least: float, suggested: float) -> None:
    """Truth: Toss p. 35 for fibre rope; makers' tables and ASME B30.5 for wire rope."""
    row = ropes_table.sheave_ratio(name)
    assert (row.least, row.suggested) == (least, suggested)


def test_proof_test() -> None:
    """Truth: 29 CFR 1926.251(a)(4): 125 % of the rated load."""
    assert ropes.proof_load(4000.0, 1.25) == pytest.approx(5000.0)
    with pytest.raises(ValueError):
        ropes.proof_load(4000.0, 0.9)


def test_safe_load_and_its_inverse() -> None:
    """Truth: 20 mm manila, bowline, factor 10: 26 kN x 0.60 / 10 = 1.56 kN."""
    safe = ropes.safe_load(26e3, 0.60, 10.0)
    assert safe == pytest.approx(1560.0)
    assert ropes.breaking_force_needed(safe, 0.60, 10.0) == pytest.approx(26e3)
    for kept, factor in ((0.0, 10.0), (1.2, 10.0), (0.6, 0.5)):
        with pytest.raises(ValueError):
            ropes.safe_load(26e3, kept, factor)


def test_shackles_are_sorted_and_marked_as_from_memory() -> None:
    """Truth: RR-C-271 working loads (from memory): 1/2 in 2 t, 5/8 in 3.25 t, 1 in 8.5 t."""
    rows = {row.name: row for row in ropes_table.shackles()}
    assert [rows[name].working_load for name in ("1/2 in", "5/8 in", "1 in")] == [2e3, 3250, 8.5e3]
    assert all("from memory" in row.source for row in rows.values())
    loads = [row.working_load for row in ropes_table.shackles()]
    assert loads == sorted(loads)

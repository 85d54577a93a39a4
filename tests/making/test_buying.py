"""The buying list: amounts by hand, splices against the checks of the whole piece, prices."""

import math

import pytest

import slingwright as sw
from slingwright.making.buying import LAPPED, buying_list, read_prices
from slingwright.making.pieces import cut_list
from slingwright.making.stock import CuttingError

FAIR = sw.read_machine("otter_fair")


def named(bought, words):
    return next(item for item in bought.items if words in item.name)


def test_amounts_by_hand():
    """Truth: counted and added up by hand from the dials of otter_fair."""
    bought = buying_list(FAIR)
    n = FAIR.number
    assert named(bought, "for the sling").amount == pytest.approx(2 * 4.8)
    wound = sw.winding(FAIR)
    assert named(bought, "for winding").amount == pytest.approx(2 * wound.rope_needed)
    # Heads 2 x 2 timbers, feet 4 x 2, brace ends 4 x 2, side braces 2 x 2: two bolts in each.
    assert named(bought, "M20").amount == 24 * n("frame.bolts")
    assert named(bought, "straps to the box").amount == 2 * 8
    assert named(bought, "two bearers").amount == 6 * 16
    assert named(bought, "80 mm round").mass == pytest.approx(0.25 * math.pi * 0.08**2 * 1.4 * 7850)
    leg = next(one for one in cut_list(FAIR).pieces if one.key == "leg")
    assert named(bought, "0.206 m x 0.206 m").amount == pytest.approx(4 * leg.rough_length)
    kinds = {item.supplier for item in bought.items}
    assert kinds == {"timber", "steel", "rope", "rigging", "bolts"}


def test_a_piece_too_long_is_spliced_and_its_splice_checked():
    """Truth: laps and parts by hand; the check of the whole sill over the share that is kept."""
    bought = buying_list(FAIR, [6.0])
    told = " ".join(bought.splices)
    lap = LAPPED * 0.26
    each = (7.05 + lap) / 2
    assert f"Sill is spliced from 2 parts that lap {lap:g} m" in told
    cut = [item for item in bought.items if "0.426 m, 6 m" in item.name]
    assert any(f"{each:.4g} m" in item.note for item in cut)
    sill = [sw.holding(FAIR)[f"sill.{key}"].as_planned for key in ("bending", "soft_corner")]
    worst = max(one.utilisation for one in sill) / FAIR.number("arm.splice_keeps")
    assert f"{100 * worst:.1f} %" in told and "fails where 35 %" in told
    place = (7.57 + LAPPED * 0.32) / 2 - (7.52 - 5.8)
    spliced = sw.holding(FAIR.change({"arm.splice": place}))["arm.splice"].as_planned
    assert f"arm at its splice {spliced.verdict}, {spliced.used} used" in told
    assert "spliced" not in buying_list(FAIR, [8.0]).sentence


def test_what_no_stock_gives_is_refused():
    """Truth: the words name the piece, its length and the stock's."""
    with pytest.raises(CuttingError, match=r"arm: 7\.570 m is longer than the 2\.000 m"):
        buying_list(FAIR, [2.0])
    with pytest.raises(CuttingError, match="above zero"):
        buying_list(FAIR, [0.0])


def test_prices_are_added_up_and_what_has_none_is_not_known(tmp_path):
    """Truth: amounts times prices by hand."""
    file = tmp_path / "prices.toml"
    file.write_text('"S355, 80 mm round" = 40\n"nylon of 22 mm, for the sling" = 2.5\n')
    bought = buying_list(FAIR, prices=read_prices(file))
    assert f"{1.4 * 40 + 9.6 * 2.5:,.2f} for what has a price" in bought.sentence
    costs = [row[4] for row in bought.table().cells()]
    assert costs.count("not known") == len(costs) - 2
    for wrong in ('x = "a lot"', "x = -1", "x = nan", "x = true"):
        file.write_text(wrong)
        with pytest.raises(ValueError, match="price of 'x'"):
            read_prices(file)

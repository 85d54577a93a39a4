"""Numbers as people type them, and cells that no spreadsheet computes.

Truth: ISO 80000-1, 7.3 (thousands parted by a small space, products by a half-high dot), and the
number meant.
"""

import pytest

from slingwright.amounts import units
from slingwright.amounts.answer import Table
from slingwright.amounts.text import Amount


@pytest.mark.parametrize(
    ("typed", "number"),
    [("1 015", 1015.0), ("-1 015.5", -1015.5), ("12 500 000", 12.5e6), ("1\u202f015", 1015.0)],
)
def test_thousands_parted_by_a_space(typed, number) -> None:
    assert units.number(typed) == number
    assert units.quantity(f"{typed} N", "N") == number


@pytest.mark.parametrize("typed", ["10 15", "1 0155", "1 015 22", "1015 015", "1_015"])
def test_other_spaces_are_no_number(typed) -> None:
    with pytest.raises(units.UnitError):
        units.number(typed)


def test_a_fraction_keeps_its_space() -> None:
    assert units.quantity("6 1/2 in", "m") == pytest.approx(0.1651)
    assert units.quantity("1 100/200 m", "m") == 1.5


def test_a_refused_comma_keeps_its_sign() -> None:
    with pytest.raises(units.UnitError, match=r"write -1\.5 or -15"):
        units.number("\N{MINUS SIGN}1,5")


def test_units_with_raised_powers_are_read() -> None:
    assert units.quantity("9.81 m·s⁻²", "m/s^2") == 9.81
    assert units.quantity("1.2 kg·m⁻³", "kg/m^3") == 1.2


def test_a_whole_number_is_whole() -> None:
    with pytest.raises(units.UnitError, match="whole"):
        units.whole_number("2.5")


def test_a_table_gives_no_formula_to_a_spreadsheet(tmp_path) -> None:
    """Truth: the cells as written to the file."""
    table = Table(
        caption="", head=("what", "how much"), lines=(("=1+1", Amount(-2.5, "m")), ("arm", ""))
    )
    table.to_csv(tmp_path / "table.csv")
    text = (tmp_path / "table.csv").read_text(encoding="utf-8")
    assert text.splitlines() == ["what,how much", "'=1+1,-2.5", "arm,"]

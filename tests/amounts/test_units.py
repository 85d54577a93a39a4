"""Reading and showing values with units.

Truths: pint's registry for factors; BIPM, The International System of Units (9th ed. 2019), and
NIST SP 811 (2008) Appendix B for exact ones; hand arithmetic where a line says so.
"""

import ast
import math
import tomllib
from decimal import Decimal
from pathlib import Path

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slingwright.amounts import units
from slingwright.amounts.units import UnitError, quantity
from slingwright.machine.table import dials

TABLE = tomllib.loads(
    (Path(__file__).parents[2] / "shared" / "units.toml").read_text(encoding="utf-8")
)
REGISTRY = pint.UnitRegistry(non_int_type=Decimal)
PINT_NAMES = {
    "t": "tonne",
    "tonnes": "tonne",
    "lbs": "pound",
    "kip": "kip",
    "%": "percent",
    "mi": "mile",
    "hp": "horsepower",
}


@pytest.mark.parametrize("word", sorted(TABLE["words"]))
def test_factor_agrees_with_pint(word: str) -> None:
    """Truth: pint's definitions, which follow the NIST tables; to 1e-15 of the value."""
    theirs = REGISTRY.Quantity(Decimal(1), PINT_NAMES.get(word, word)).to_base_units()
    ours = units.unit_named(word).factor
    assert ours == pytest.approx(float(theirs.magnitude), rel=3e-15)


@pytest.mark.parametrize("word", sorted(set(TABLE["words"]) - {"%"}))
def test_kind_agrees_with_pint(word: str) -> None:
    """Truth: pint's dimensions; it counts angles as plain numbers, we do not."""
    theirs = REGISTRY.Unit(PINT_NAMES.get(word, word)).dimensionality
    *ours, turns = units.unit_named(word).dimensions
    assert ours == [int(theirs.get(name, 0)) for name in ("[length]", "[mass]", "[time]")]
    assert (turns != 0) == (word in {"rad", "deg", "degree", "degrees", "turn", "turns", "rpm"})


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("1.4 t", "kg", 1400.0),
        ("15 lb", "kg", 15 * 0.45359237),
        ("6 ft 3 in", "m", 75 * 0.0254),
        ("6' 3\"", "m", 75 * 0.0254),
        ("6′3″", "m", 75 * 0.0254),
        ("6ft3in", "m", 75 * 0.0254),
        ("6 ft 3 1/2 in", "m", 75.5 * 0.0254),
        ("5 lb 4 oz", "kg", 5.25 * 0.45359237),
        ("3/4 in", "m", 0.01905),
        ("1 3/4 in", "m", 0.04445),
        ("6½ in", "m", 0.1651),
        ("40 deg", "deg", math.radians(40.0)),
        ("40°", "deg", math.radians(40.0)),
        ("-12.5 deg", "deg", math.radians(-12.5)),
        ("+3 m", "m", 3.0),
        ("- 3 m", "m", -3.0),
        ("1e3 kg m^2", "kg m^2", 1000.0),
        ("1e3 kg·m²", "kg m^2", 1000.0),
        ("600 kg m2", "kg m^2", 600.0),
        ("100 lb ft^2", "kg m^2", 100 * 0.45359237 * 0.3048**2),
        ("1.2 kg/m3", "kg/m^3", 1.2),
        ("36 km/h", "m/s", 10.0),
        ("12 mph", "m/s", 12 * 0.44704),
        ("32.2 ft/s^2", "m/s^2", 32.2 * 0.3048),
        ("2 short tons", "kg", 4000 * 0.45359237),
        (".5 m", "m", 0.5),
        ("5. m", "m", 5.0),
        ("3 KG", "kg", 3.0),
        ("1 fathom", "m", 1.8288),
        ("0.3", "-", 0.3),
        ("30 %", "-", 0.3),
        ("3/4", "-", 0.75),
        ("200 ft lbf", "J", 200 * 0.3048 * 4.4482216152605),
        ("20 rpm", "rad/s", 20 * 2 * math.pi / 60),
        ("4000 psi", "Pa", 4000 * 4.4482216152605 / 0.0254**2),
        ("80 kN", "N", 80e3),
        ("1 hp", "W", 550 * 0.3048 * 4.4482216152605),
    ],
)
def test_reads(text: str, unit: str, value: float) -> None:
    """Truth: hand arithmetic from the exact inch, foot, pound and standard gravity (NIST SP 811).

    The fathom comes from pint's registry, of six feet (survey feet there: 2e-6 longer).
    """
    assert quantity(text, unit) == pytest.approx(value, rel=3e-6 if "fathom" in text else 1e-14)


@pytest.mark.parametrize(
    ("text", "unit", "words"),
    [
        ("4.2", "m", "the unit is missing; write a length"),
        ("15 lb", "m", "lb is the unit of a mass; write a length"),
        ("5 kN", "kg", "the unit of a force; write a mass"),
        ("5 lb", "N", "the unit of a mass; write a force"),
        ("5 m", "-", "the unit of a length; write a plain number"),
        ("5 kg", "kg m^2", "write a moment of inertia"),
        ("4,2 m", "m", "comma"),
        ("1,000 kg", "kg", "comma"),
        ("5 ton", "kg", r"more than one meaning; write t \(1000 kg\)"),
        ("5 KN", "N", "'KN' is no unit"),
        ("3 kgg", "kg", "did you mean kg"),
        ("3 degC", "deg", "no unit that is known"),
        ("1e999 m", "m", "too large"),
        ("nan m", "m", "no number"),
        ("inf m", "m", "no number"),
        ("1/0 m", "m", "divides by zero"),
        ("6 ft 13 in", "m", "must fall"),
        ("6.5 ft 3 in", "m", "whole"),
        ("3 in 6 ft", "m", "must fall"),
        ("6 ft 3", "m", "cannot stand there|no unit"),
        ("6 ft 3 lb", "m", "unit of a mass"),
        ("", "m", "no number"),
        ("m", "m", "no number"),
        ("5 m/s/s", "m/s^2", "no unit"),
        ("__import__('os').getcwd()", "m", "no number"),
        ("5 m; import os", "m", "no unit"),
        ("9" * 81, "m", "81 characters"),
        ("0x10 m", "m", "no unit|unit of"),
        ("1_000 kg", "kg", "no unit"),
        ("٣ m", "m", "no number|no unit"),
    ],
)
def test_refuses(text: str, unit: str, words: str) -> None:
    """Truth: none of these is a value that could be read in one way only."""
    with pytest.raises(UnitError, match=words):
        quantity(text, unit)


@given(st.text(max_size=90), st.sampled_from(["m", "kg", "deg", "-", "kg m^2"]))
def test_any_text_is_a_finite_value_or_a_unit_error(text: str, unit: str) -> None:
    """Truth: there is no third way."""
    try:
        value = quantity(text, unit)
    except UnitError as error:
        assert error.fault and str(error)
    else:
        assert math.isfinite(value)


@given(st.from_regex(r"[0-9./eE+\- ]{0,12} ?[a-zA-Z'\"^/ 0-9]{0,12}", fullmatch=True))
def test_texts_that_look_like_values(text: str) -> None:
    """Truth: there is no third way, also close to the grammar."""
    try:
        value = quantity(text, "m")
    except UnitError as error:
        assert str(error)
    else:
        assert math.isfinite(value)


WRITTEN = ["m", "mm", "ft", "in", "kg", "lb", "t", "deg", "rad", "kg m^2", "lb ft^2", "mph", "-"]


@given(st.floats(-1e6, 1e6), st.sampled_from(WRITTEN))
def test_what_is_written_reads_the_same(value: float, unit: str) -> None:
    """Truth: round trip, bit for bit."""
    text = units.written(value, unit)
    assert quantity(text, unit) == value


@pytest.mark.parametrize("value", [5e-324, 1.7e308, -2.2e-308, 0.1 + 0.2, -0.0])
def test_extreme_floats_are_written_too(value: float) -> None:
    """Truth: round trip."""
    assert quantity(units.written(value, "kg"), "kg") == value


def test_written_is_short_where_it_can_be() -> None:
    """Truth: the text a person would write."""
    assert units.written(1400.0, "t") == "1.4 t"
    assert units.written(quantity("6 ft 3 in", "m"), "ft") == "6.25 ft"
    assert units.written(math.radians(40.0), "deg") == "40 deg"
    with pytest.raises(ValueError, match="finite"):
        units.written(math.nan, "m")


@pytest.mark.parametrize(
    ("value", "unit", "metric", "us"),
    [
        (4.2, "m", "4.2 m", "13.78 ft"),
        (0.08, "m", "80 mm", "3.15 in"),
        (183.0, "m", "183 m", "600.4 ft"),
        (1600.0, "kg", "1.6 t", "3,527 lb"),
        (12.0, "kg", "12 kg", "26.46 lb"),
        (0.02, "kg", "20 g", "0.7055 oz"),
        (28_543.0, "N", "28.54 kN", "6,417 lbf"),
        (999.99, "N", "1 kN", "224.8 lbf"),
        (350.0, "N", "350 N", "78.68 lbf"),
        (1234.0, "N m", "1.234 kN m", "910.2 ft lbf"),
        (33_000.0, "J", "33 kJ", "24,340 ft lbf"),
        (80.0, "W", "80 W", "0.1073 hp"),
        (42.4, "m/s", "42.4 m/s", "94.85 mph"),
        (math.radians(42.0), "rad", "42 deg", "42 deg"),
        (math.radians(42.0), "deg", "42 deg", "42 deg"),
        (30e6, "Pa", "30 MPa", "4.351 ksi"),
        (9.80665, "m/s^2", "9.807 m/s^2", "32.17 ft/s^2"),
        (1.225, "kg/m^3", "1.225 kg/m^3", "0.07647 lb/ft^3"),
        (300.0, "s", "5 min", "5 min"),
        (0.0, "m", "0 m", "0 ft"),
        (0.3, "-", "0.3", "0.3"),
        (None, "m", "none", "none"),
    ],
)
def test_shows(value: float | None, unit: str, metric: str, us: str) -> None:
    """Truth: hand arithmetic with the factors of NIST SP 811, to four figures."""
    assert units.text(value, unit) == metric
    assert units.text(value, unit, "US") == us


@pytest.mark.parametrize("system", ["metric", "US"])
@pytest.mark.parametrize("unit", sorted(TABLE["metric"]))
def test_steps_rise_and_keep_the_value(unit: str, system: units.System) -> None:
    """Truth: what is shown, times its unit, is what was given."""
    row = TABLE[system][unit]
    limits = [limit for _, limit in row["steps"]]
    assert limits == sorted(limits) and limits[-1] == math.inf
    one, label = units.factor(unit, system)
    assert label == row["base"] and one == units.unit_named(label).factor
    for value in (1e-9, 0.5, 77.7, 1e5, 3e9):
        number, shown_in = units.shown(value, unit, system)
        assert number * units.unit_named(shown_in).factor == pytest.approx(value, rel=1e-14)


def test_both_systems_show_the_same_units() -> None:
    """Truth: what can be shown in one system can be in the other, dials included."""
    assert set(TABLE["metric"]) == set(TABLE["US"])
    assert {row.unit for row in dials.TABLE} - {"-"} <= set(TABLE["metric"])


def test_unknown_system_is_refused() -> None:
    """Truth: there are two."""
    with pytest.raises(ValueError, match="'metric' or 'US'"):
        units.text(1.0, "m", "imperial")  # type: ignore[arg-type]


@pytest.mark.parametrize("text", ["600 kg*m**2", "600 kg m^2", "600 kg·m²", "600 kg*m^2"])
def test_products_and_powers_are_read_however_they_are_written(text: str) -> None:
    """Truth: SI: one unit, whether the power is written **, ^ or raised (BIPM brochure, 5.4.3)."""
    assert units.quantity(text, "kg m^2") == 600.0
    assert units.quantity("9.81 m/s**2", "m/s^2") == units.quantity("9.81 m/s²", "m/s^2") == 9.81


@pytest.mark.parametrize(
    ("text", "ways"),
    [("1,015", "1.015 or 1015"), ("12,5", "12.5 or 125"), ("1,234.5", "1234.5")],
)
def test_a_comma_is_refused_with_both_readings(text: str, ways: str) -> None:
    """Truth: ISO 80000-1 7.3.1: the comma is a decimal sign; elsewhere it groups thousands."""
    for read in (units.number, units.number_or_none, lambda one: units.quantity(f"{one} m", "m")):
        with pytest.raises(units.UnitError, match=ways):
            read(text)


def test_a_number_is_finite_and_plain() -> None:
    """Truth: what Python's float takes beside digits: nan, inf, underscores."""
    for text in ("nan", "inf", "-Infinity", "1e999", "1_000"):
        with pytest.raises(units.UnitError, match="no finite number"):
            units.number(text)
    with pytest.raises(units.UnitError, match="not a number"):
        units.number("far")
    assert units.number_or_none("4.9 m") is None and units.number("\N{MINUS SIGN}3e1") == -30.0


# float() of such a name that is no typed word, with why.
NOT_TYPED = {"pages/parts/dial_rows.py": "part of a number that the function worked out"}


def test_typed_numbers_have_one_reader() -> None:
    """Truth: the syntax trees: no float() or int() of words in pages, commands, changes and log."""
    source = Path(units.__file__).parents[1]
    words = {"text", "words", "word", "cell", "part", "parts", "raw"}
    found = []
    for room in ("pages", "commands", "changing", "logbook"):
        for path in (source / room).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
                    continue
                if node.func.id == "float" and node.args:
                    names = {one.id for one in ast.walk(node.args[0]) if isinstance(one, ast.Name)}
                    if names & words:
                        found.append(f"{path.relative_to(source)}:{node.lineno}")
    assert not [one for one in found if one.split(":")[0] not in NOT_TYPED], found

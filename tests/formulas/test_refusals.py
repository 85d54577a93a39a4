"""Every strength formula refuses what cannot be: zero spans, holes wider than the section, names.

Truth: the project's own rule: never a silent zero, and an error that says the thing, the value and
the limit.
"""

import inspect
import math

import pytest

from slingwright.formulas import refusals
from slingwright.formulas.beams import lines as beam_lines
from slingwright.formulas.beams import sections
from slingwright.formulas.beams import spans as beams
from slingwright.formulas.steel import axle, bolts, fatigue, pins
from slingwright.formulas.steel import strength as steel
from slingwright.formulas.timber import columns as timber_columns
from slingwright.formulas.timber import strength as timber

STEEL = 210e9


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf, -math.inf])
def test_above_zero_refuses(value):
    with pytest.raises(ValueError, match=r"span is .* m; it must be above zero"):
        refusals.above_zero(value, "span", "m")
    assert refusals.above_zero(1e-9, "span", "m") == 1e-9


@pytest.mark.parametrize("value", [-1e-9, math.nan, math.inf])
def test_not_negative_refuses(value):
    with pytest.raises(ValueError, match=r"hole is .* m; it must be zero or more"):
        refusals.not_negative(value, "hole", "m")
    assert refusals.not_negative(0.0, "hole", "m") == 0.0


@pytest.mark.parametrize("value", [-0.1, 1.1, math.nan])
def test_between_refuses(value):
    with pytest.raises(ValueError, match="bond is .*; it must lie between 0 and 1"):
        refusals.between(value, 0.0, 1.0, "bond")
    assert refusals.between(1.0, 0.0, 1.0, "bond") == 1.0


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: sections.round_section(0.0), "diameter is 0 m"),
        (lambda: sections.rectangle(0.1, -0.2), "depth is -0.2 m"),
        (lambda: sections.rectangle_with_cross_hole(0.2, 0.3, 0.3), "does not fit in a depth"),
        (
            lambda: sections.rectangle_with_cross_hole(0.2, 0.3, 0.1, offset=0.1),
            "does not fit in a depth",
        ),
        (lambda: sections.round_with_cross_hole(0.2, 0.25), "leaves nothing of a diameter"),
        (lambda: sections.laminated(0.2, 0.05, 0), "number of layers is 0"),
        (lambda: sections.laminated(0.2, 0.05, 3, bond=1.5), "bond of the layers is 1.5"),
        (lambda: sections.tapered(5.0, 4.0, 0.3, 0.1), "place along the taper is 5 m"),
        (lambda: beams.two_loads_moment(1e3, 2.0, 1.5), "place of the loads is 1.5 m"),
        (lambda: beams.patch_load_moment(1e3, 2.0, 2.5), "length under load is 2.5 m"),
        (
            lambda: beam_lines.beam_line([0.5], (1.0, 1.0), [], [], STEEL, 1e-6),
            "span between the supports is 0 m",
        ),
        (
            lambda: beam_lines.beam_line([0.5], (0.0, 1.0), [], [(0.3, 0.3, 1e3)], STEEL, 1e-6),
            "length of a load spread along the beam is 0 m",
        ),
        (lambda: axle.working_span(1.0, support=0.5), "leaves no span of 1 m"),
        (lambda: axle.working_span(0.0), "clear span of the axle is 0 m"),
        (lambda: axle.axle_line(1e3, 0.5, 0.6, STEEL, 1e-6), "hub width is 0.6 m"),
        (lambda: axle.axle_line(1e3, 0.0, 0.0, STEEL, 1e-6), "span of the axle is 0 m"),
        (lambda: axle.axle_line(1e3, 1.0, 0.2, STEEL, 1e-6, stations=1), "number of stations is 1"),
        (lambda: axle.bearing_pressure(1e3, 0.05, 0.0), "bearing length is 0 m"),
        (lambda: axle.round_bending_stress(1e3, 0.0), "diameter is 0 m"),
        (lambda: steel.bending_stress(1e3, 0.0), "section modulus is 0 m3"),
        (lambda: steel.shear_stress(1e3, 0.0, 1.5), "area is 0 m2"),
        (lambda: steel.design_strength(0.0), "yield strength is 0 Pa"),
        (lambda: steel.net_area(0.05, 0.01, 0.018, 3), "3 holes of 0.018 m leave nothing"),
        (
            lambda: steel.tension_capacity(1e-4, 2e-4, 235e6, 360e6),
            "is more than the whole 0.0001 m2",
        ),
        (lambda: pins.pin_shear_capacity(0.0, 470e6), "pin diameter is 0 m"),
        (lambda: pins.pin_moment(1e3, 0.01, 0.02, -0.001), "gap between the plates is -0.001 m"),
        (lambda: pins.pin_combined_use(1.0, 0.0, 1.0, 1.0), "moment capacity is 0 N m"),
        (lambda: fatigue.fatigue_life(0.0, 1e8), "detail category is 0 Pa"),
        (lambda: fatigue.fatigue_strength(160e6, 0.0), "number of cycles is 0"),
        (lambda: fatigue.damage([1e8], [1.0, 2.0], 160e6), "1 stress ranges but 2 counts"),
        (lambda: timber.modification_factor(4, "short"), "service class 4 does not exist"),
        (lambda: timber.modification_factor(2, "sudden"), "load duration 'sudden' does not exist"),
        (lambda: timber.partial_factor("ply"), "no partial factor for 'ply'"),
        (lambda: timber.size_factor(0.1, 350.0, "ply"), "no size factor for 'ply'"),
        (lambda: timber.size_factor(0.1, 0.0), "characteristic density"),
        (lambda: timber.timber_design_strength(0.0, 1.1, 1.3), "characteristic strength is 0 Pa"),
        (lambda: timber.bearing_spread("cork"), "timber kind 'cork' does not exist"),
        (lambda: timber_columns.buckling_factor(-1.0), "relative slenderness is -1"),
        (lambda: timber_columns.buckling_factor(1.0, "ply"), "no buckling curve for 'ply'"),
        (lambda: timber_columns.column_use(1e6, 1e7, 0.0), "k_c is 0"),
        (
            lambda: timber_columns.column_use(1e6, 1e7, 0.5, bending=1e6),
            "bending strength is inf Pa",
        ),
        (lambda: timber_columns.tipping_length(5.0, "odd"), "loading 'odd' does not exist"),
    ],
)
def test_bad_input_is_named(call, words):
    with pytest.raises(ValueError) as caught:
        call()
    assert words in str(caught.value)


MODULES = (
    axle,
    beam_lines,
    beams,
    bolts,
    fatigue,
    pins,
    refusals,
    sections,
    steel,
    timber,
    timber_columns,
)


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__.split(".")[-1])
def test_capacities_never_come_from_nothing(module):
    """Truth: with every number zero, a function that gives a capacity or a strength refuses."""
    tried = []
    for name, function in inspect.getmembers(module, inspect.isfunction):
        if function.__module__ != module.__name__ or name.startswith("_"):
            continue
        if not name.endswith(("capacity", "strength", "life", "section")):
            continue
        needed = [
            parameter
            for parameter in inspect.signature(function).parameters.values()
            if parameter.default is inspect.Parameter.empty
        ]
        with pytest.raises(ValueError, match="is 0"):
            function(*[0.0 for _ in needed])
        tried.append(name)
    assert tried or module in (axle, beam_lines, beams, refusals, timber_columns)

"""Beams against handbook values and two independent beam programs.

Sources: Roark's Formulas for Stress and Strain, Table 8.1 (from memory; the programs below agree);
tquigley.com T310 and mechengcalculations.com beam12 (overhang); civilengcalculations.com beam02
(point load); PyNiteFEA (https://github.com/JWock82/Pynite); indeterminatebeam
(https://indeterminatebeam.readthedocs.io).

The set is P = 10 kN, L = 2.0 m, a steel bar of 80 mm with E = 210 GPa.
"""

import math
import warnings

import numpy as np
import pytest

from slingwright.formulas.beams import lines as beam_lines
from slingwright.formulas.beams import sections
from slingwright.formulas.beams import spans as beams
from slingwright.formulas.steel import axle

FORCE, SPAN, MODULUS = 10e3, 2.0, 210e9
SECOND = sections.round_section(0.080).inertia


def frame(supports, loads, length, fixed=False):
    """Give a solved beam of PyNiteFEA along x: supports [m], loads (force, start, end) [N, m]."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from Pynite import FEModel3D

        model = FEModel3D()
        model.add_material("steel", MODULUS, 81e9, 0.3, 7850.0)
        model.add_section("bar", math.pi * 0.04**2, SECOND, SECOND, 2 * SECOND)
        ends = sorted({0.0, length, *supports})
        for number, x in enumerate(ends):
            model.add_node(f"N{number}", x, 0.0, 0.0)
        for number, x in enumerate(ends):
            if x in supports:
                model.def_support(f"N{number}", True, True, True, True, fixed, fixed)
        model.add_member("beam", "N0", f"N{len(ends) - 1}", "steel", "bar")
        for force, start, end in loads:
            if start == end:
                model.add_member_pt_load("beam", "Fy", -force, start)
            else:
                line = -force / (end - start)
                model.add_member_dist_load("beam", "Fy", line, line, start, end)
        model.analyze(check_statics=False)
    return model


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (beams.mid_load_moment(FORCE, SPAN), 5000.0),
        (beams.mid_load_deflection(FORCE, SPAN, MODULUS, SECOND), 3.947295e-3),
        (beams.fixed_mid_load_moment(FORCE, SPAN), 2500.0),
        (beams.overhang_reactions(FORCE, SPAN, 0.5)[0], -2500.0),
        (beams.overhang_reactions(FORCE, SPAN, 0.5)[1], 12500.0),
        (beams.overhang_tip_deflection(FORCE, SPAN, 0.5, MODULUS, SECOND), 4.934119e-3),
    ],
)
def test_recorded_values(value, expected):
    """Truth: values that PyNiteFEA 3.2.0 and anastruct 1.7.0 gave for this bar, to 6 digits."""
    assert value == pytest.approx(expected, rel=5e-7)


def test_fixed_deflection():
    """Truth: indeterminatebeam 2.4.0 gave 0.98682 mm."""
    found = beams.fixed_mid_load_deflection(FORCE, SPAN, MODULUS, SECOND)
    assert found * 1e3 == pytest.approx(0.98682, abs=5e-6)


def test_mid_load_against_frame_program():
    """Truth: PyNiteFEA, deflection at the named place, to 6 digits."""
    member = frame([0.0, 2.0], [(FORCE, 1.0, 1.0)], 2.0).members["beam"]
    down = -member.deflection("dy", 1.0)
    moment = abs(member.moment("Mz", 1.0))
    assert beams.mid_load_deflection(FORCE, SPAN, MODULUS, SECOND) == pytest.approx(down, rel=1e-6)
    assert beams.mid_load_moment(FORCE, SPAN) == pytest.approx(moment, rel=1e-6)


def test_fixed_beam_against_frame_program():
    """Truth: PyNiteFEA with both ends fixed, to 6 digits."""
    member = frame([0.0, 2.0], [(FORCE, 1.0, 1.0)], 2.0, fixed=True).members["beam"]
    assert beams.fixed_mid_load_deflection(FORCE, SPAN, MODULUS, SECOND) == pytest.approx(
        -member.deflection("dy", 1.0), rel=1e-6
    )
    assert beams.fixed_mid_load_moment(FORCE, SPAN) == pytest.approx(
        abs(member.moment("Mz", 1.0)), rel=1e-6
    )


@pytest.mark.parametrize("place", [0.2, 0.5, 0.9, 1.3, 1.7])
def test_point_load_against_frame_program(place):
    """Truth: PyNiteFEA, force at any place, to 6 digits."""
    model = frame([0.0, 2.0], [(FORCE, place, place)], 2.0)
    member = model.members["beam"]
    assert beams.point_load_deflection(FORCE, SPAN, place, MODULUS, SECOND) == pytest.approx(
        -member.deflection("dy", place), rel=1e-6
    )
    assert beams.point_load_moment(FORCE, SPAN, place) == pytest.approx(
        abs(member.moment("Mz", place)), rel=1e-6
    )
    line = beam_lines.beam_line([place], (0.0, SPAN), [(place, FORCE)], [], MODULUS, SECOND)
    assert line.reactions[0] == pytest.approx(model.nodes["N0"].RxnFY["Combo 1"], rel=1e-6)
    assert line.reactions[1] == pytest.approx(model.nodes["N1"].RxnFY["Combo 1"], rel=1e-6)


def test_overhang_against_frame_program():
    """Truth: PyNiteFEA, a beam of 2.0 m that runs on for 0.5 m, to 6 digits."""
    model = frame([0.0, 2.0], [(FORCE, 2.5, 2.5)], 2.5)
    member = model.members["beam"]
    tip = model.nodes["N2"].DY["Combo 1"]
    rise = member.deflection("dy", 2.0 / math.sqrt(3))
    first, second = beams.overhang_reactions(FORCE, SPAN, 0.5)
    assert first == pytest.approx(model.nodes["N0"].RxnFY["Combo 1"], rel=1e-6)
    assert second == pytest.approx(model.nodes["N1"].RxnFY["Combo 1"], rel=1e-6)
    assert beams.overhang_tip_deflection(FORCE, SPAN, 0.5, MODULUS, SECOND) == pytest.approx(
        -tip, rel=1e-6
    )
    assert beams.overhang_uplift(FORCE, SPAN, 0.5, MODULUS, SECOND) == pytest.approx(rise, rel=1e-6)
    line = beam_lines.beam_line([2.0], (0.0, 2.0), [(2.5, FORCE)], [], MODULUS, SECOND)
    assert abs(line.moment[0]) == pytest.approx(abs(member.moment("Mz", 2.0)), rel=1e-6)
    assert abs(line.moment[0]) == pytest.approx(FORCE * 0.5, rel=1e-12)


@pytest.mark.parametrize("hub", [0.1, 0.35, 0.8])
@pytest.mark.parametrize("cheeks", [False, True])
def test_axle_against_frame_program(hub, cheeks):
    """Truth: PyNiteFEA, an axle of 1.1 m under a hub or two cheeks, to 6 digits."""
    span = 1.1
    low, high = (span - hub) / 2, (span + hub) / 2
    spread, edges = [(FORCE, low, high)], [(FORCE / 2, low, low), (FORCE / 2, high, high)]
    loads = edges if cheeks else spread
    member = frame([0.0, span], loads, span).members["beam"]
    assert axle.axle_moment(FORCE, span, hub, cheeks) == pytest.approx(
        abs(member.moment("Mz", span / 2)), rel=1e-6
    )
    assert axle.axle_deflection(FORCE, span, hub, MODULUS, SECOND, cheeks) == pytest.approx(
        -member.deflection("dy", span / 2), rel=1e-6
    )
    line = axle.axle_line(FORCE, span, hub, MODULUS, SECOND, cheeks)
    assert line.peak_moment == pytest.approx(abs(member.moment("Mz", span / 2)), rel=1e-6)
    assert line.peak_deflection == pytest.approx(-member.deflection("dy", span / 2), rel=1e-6)
    assert line.peak_shear == pytest.approx(axle.axle_shear(FORCE), rel=1e-12)


def test_beam_line_against_frame_program():
    """Truth: PyNiteFEA, three loads at once, moment and deflection at 21 places, to 6 digits."""
    loads = [(4e3, 0.3, 0.3), (-2.5e3, 1.2, 1.2), (7e3, 0.8, 1.6)]
    member = frame([0.0, 2.0], loads, 2.0).members["beam"]
    x = np.linspace(0.05, 1.95, 21)
    points, patches = [(0.3, 4e3), (1.2, -2.5e3)], [(0.8, 1.6, 7e3)]
    line = beam_lines.beam_line(x, (0.0, SPAN), points, patches, MODULUS, SECOND)
    down = np.array([-member.deflection("dy", float(place)) for place in x])
    moment = np.array([member.moment("Mz", float(place)) for place in x])
    sign = math.copysign(1.0, moment[10] * line.moment[10])
    assert line.deflection == pytest.approx(down, rel=1e-6, abs=1e-10)
    assert line.moment == pytest.approx(sign * moment, rel=1e-6, abs=1e-3)


def test_beam_line_against_symbolic_program():
    """Truth: indeterminatebeam (sympy inside), the axle with a patch of 0.35 m, to 6 digits."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import indeterminatebeam

        beam = indeterminatebeam.Beam(1.1, E=MODULUS, I=SECOND, A=math.pi * 0.04**2)
        beam.add_supports(
            indeterminatebeam.Support(0, (1, 1, 0)), indeterminatebeam.Support(1.1, (0, 1, 0))
        )
        beam.add_loads(indeterminatebeam.UDLV(-FORCE / 0.35, (0.375, 0.725)))
        beam.analyse()
        moments = [beam.get_bending_moment(x) for x in (0.2, 0.55, 0.9)]
        down = beam.get_deflection(0.55)
    places, patch = [0.2, 0.55, 0.9], (0.375, 0.725, FORCE)
    line = beam_lines.beam_line(places, (0.0, 1.1), [], [patch], MODULUS, SECOND)
    assert np.abs(line.moment) == pytest.approx(np.abs(moments), rel=1e-6)
    assert abs(line.deflection[1]) == pytest.approx(abs(down), rel=1e-5)


def test_cantilever_against_frame_program():
    """Truth: PyNiteFEA, a bar fixed at one end, to 6 digits."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from Pynite import FEModel3D

        model = FEModel3D()
        model.add_material("steel", MODULUS, 81e9, 0.3, 7850.0)
        model.add_section("bar", math.pi * 0.04**2, SECOND, SECOND, 2 * SECOND)
        model.add_node("A", 0.0, 0.0, 0.0)
        model.add_node("B", 0.4, 0.0, 0.0)
        model.def_support("A", True, True, True, True, True, True)
        model.add_member("beam", "A", "B", "steel", "bar")
        model.add_node_load("B", "FY", -FORCE)
        model.analyze(check_statics=False)
    tip = model.nodes["B"].DY["Combo 1"]
    deflection = beams.cantilever_tip_deflection(FORCE, 0.4, MODULUS, SECOND)
    assert deflection == pytest.approx(-tip, rel=1e-6)

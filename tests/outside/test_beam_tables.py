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
from slingwright.formulas.beams import sections, spans
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


@pytest.mark.parametrize("hub", [0.1, 0.35, 0.8])
@pytest.mark.parametrize("cheeks", [False, True])
def test_axle_against_frame_program(hub, cheeks):
    """Truth: PyNiteFEA, an axle of 1.1 m under a hub or two cheeks, to 6 digits."""
    span = 1.1
    low, high = (span - hub) / 2, (span + hub) / 2
    spread, edges = [(FORCE, low, high)], [(FORCE / 2, low, low), (FORCE / 2, high, high)]
    loads = edges if cheeks else spread
    member = frame([0.0, span], loads, span).members["beam"]
    if cheeks:
        moment = spans.two_loads_moment(FORCE / 2, span, low)
        bent = spans.two_loads_deflection(FORCE / 2, span, low, MODULUS, SECOND)
    else:
        moment = spans.patch_load_moment(FORCE, span, hub)
        bent = spans.patch_load_deflection(FORCE, span, hub, MODULUS, SECOND)
    assert moment == pytest.approx(abs(member.moment("Mz", span / 2)), rel=1e-6)
    assert bent == pytest.approx(-member.deflection("dy", span / 2), rel=1e-6)
    line = axle.axle_line(FORCE, span, hub, MODULUS, SECOND, cheeks)
    assert line.peak_moment == pytest.approx(abs(member.moment("Mz", span / 2)), rel=1e-6)
    assert line.peak_shear == pytest.approx(FORCE / 2, rel=1e-12)


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


def test_beam_line_goes_along_with_its_beam():
    """Truth: statics know no origin: supports and loads moved together give the same line."""
    x, points, patches = np.linspace(0.05, 1.95, 21), [(0.3, 4e3), (2.4, 2e3)], [(0.8, 1.6, 7e3)]
    here = beam_lines.beam_line(x, (0.0, SPAN), points, patches, MODULUS, SECOND)
    away = beam_lines.beam_line(
        x + 1.3,
        (1.3, SPAN + 1.3),
        [(place + 1.3, load) for place, load in points],
        [(start + 1.3, end + 1.3, load) for start, end, load in patches],
        MODULUS,
        SECOND,
    )
    assert away.reactions == pytest.approx(here.reactions, rel=1e-12)
    assert away.shear == pytest.approx(here.shear, rel=1e-9)
    assert away.moment == pytest.approx(here.moment, rel=1e-9, abs=1e-6)
    assert away.deflection == pytest.approx(here.deflection, rel=1e-9, abs=1e-12)


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

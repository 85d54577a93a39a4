"""A frame pushed sideways: against a frame solver and equilibrium."""

import math

import numpy as np
import pytest
from Pynite import FEModel3D

from slingwright.formulas.timber import sideways


@pytest.mark.parametrize(("height", "foot"), [(4.2, 1.47), (2.0, 3.0), (0.6, 0.1)])
def test_side_brace_against_a_frame_solver(height, foot):
    """Truth: PyNiteFEA: a post and a raking strut, both free to turn at their ends, pushed by 1 N.

    The strut is on the side pushed to, so it is in compression.
    """
    model = FEModel3D()
    for name, x, y in (("post", 0.0, 0.0), ("head", 0.0, height), ("foot", foot, 0.0)):
        model.add_node(name, x, y, 0.0)
        pinned = name != "head"
        model.def_support(name, pinned, pinned, True, True, True, True)
    model.add_material("timber", 11e9, 0.69e9, 0.3, 1.0)
    model.add_section("piece", 0.02, 1e-5, 1e-5, 1e-5)
    for name, start in (("upright", "post"), ("strut", "foot")):
        model.add_member(name, start, "head", "timber", "piece")
        model.def_releases(name, Rzi=True, Rzj=True)
    model.add_node_load("head", "FX", 1.0, "push")
    model.add_load_combo("push", {"push": 1.0})
    model.analyze_linear()
    found = model.members["strut"].axial(0.0, "push")
    assert sideways.side_brace_push(1.0, height, foot) == pytest.approx(found, rel=1e-6)


def test_both_ways_of_telling_a_tip_agree():
    """Truth: equilibrium about the edge, moment by moment: V b + F_a 2 b = M, by hand."""
    pressing, anchors, half = np.array([4000.0, 4000.0, 4000.0, -500.0]), 250.0, 1.5
    limit = float(sideways.tipping_resistance(pressing[:1], anchors, half)[0])
    assert limit == pytest.approx(4000.0 * 1.5 + 250.0 * 3.0)
    turning = np.array([limit, -limit, 0.0, 10.0])
    reach = sideways.tipping_reach(turning, pressing, anchors, half)
    assert reach[:3] == pytest.approx([half, half, 0.0]) and math.isinf(reach[3])
    more = sideways.tipping_reach(np.array([1.001 * limit]), pressing[:1], anchors, half)
    assert more[0] > half


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: sideways.side_brace_push(1.0, 4.0, 0.0), "brace's foot is 0"),
        (lambda: sideways.side_brace_push(1.0, 0.0, 1.0), "height of the head is 0"),
        (lambda: sideways.side_brace_push(-1.0, 4.0, 1.0), "horizontal force"),
        (lambda: sideways.tipping_resistance(np.ones(1), -1.0, 1.0), "anchor resistance"),
        (lambda: sideways.tipping_reach(np.ones(1), np.ones(1), 0.0, 0.0), "half the base is 0"),
    ],
)
def test_bad_input(call, words):
    """Truth: the rule of the kit: a size that cannot be is refused by name."""
    with pytest.raises(ValueError, match=words):
        call()

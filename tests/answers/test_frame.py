"""The A-frame's unit solutions against statics by hand and a second frame solver."""

import math
import warnings

import pytest

import slingwright as sw
from slingwright.answers.frame import FrameShape, frame_shape, frame_units


def shape(**changes):
    sizes = {
        "height": 4.2,
        "spread": 3.5,
        "brace": 1.7,
        "leg": (0.15, 0.19),
        "brace_section": (0.11, 0.13),
        "sill": (0.15, 0.19),
        "modulus": 11e9,
        "shear_modulus": 0.69e9,
    }
    return FrameShape(**{**sizes, **changes})


def test_legs_and_sill_by_statics():
    """Truth: equilibrium of the apex and of a foot: an A-frame tied at its feet is a truss.

    Up: each leg -1/(2 sin), sill 1/(2 tan); along: the legs -/+ 1/(2 cos). The thrust is taken
    by the rear foot alone, so the sill carries half. The brace bends the legs by less than 2 %.
    """
    s = shape()
    units = frame_units(s)
    assert units.axial[:2, 1] == pytest.approx(-0.5 / math.sin(s.lean), rel=2e-3)
    assert units.axial[3, 1] == pytest.approx(0.5 / math.tan(s.lean), rel=2e-2)
    assert units.axial[0, 0] == pytest.approx(-0.5 / math.cos(s.lean), rel=2e-3)
    assert units.axial[1, 0] == pytest.approx(0.5 / math.cos(s.lean), rel=2e-3)
    assert abs(units.axial[3, 0]) == pytest.approx(0.5, rel=2e-2)


def test_against_anastruct():
    """Truth: the same frame in the independent plane-frame library anastruct, to 0.01 %."""
    from anastruct import SystemElements

    s = shape(brace=2.4, brace_section=(0.2, 0.3))
    half, share = s.spread / 2, s.brace / s.height
    rear, front, apex = (-half, 0.0), (half, 0.0), (0.0, s.height)
    low, high = (-half * (1 - share), s.brace), (half * (1 - share), s.brace)
    for which, force in enumerate(((1.0, 0.0), (0.0, 1.0))):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            frame = SystemElements()
            parts = []
            for ends, (width, depth), hinge in (
                ((rear, low), s.leg, {}),
                ((low, apex), s.leg, {2: 0}),
                ((front, high), s.leg, {}),
                ((high, apex), s.leg, {2: 0}),
                ((low, high), s.brace_section, {1: 0, 2: 0}),
                ((rear, front), s.sill, {1: 0, 2: 0}),
            ):
                parts.append(
                    frame.add_element(
                        list(ends),
                        EA=s.modulus * width * depth,
                        EI=s.modulus * width * depth**3 / 12,
                        spring=hinge or None,
                    )
                )
            frame.add_support_hinged(frame.find_node_id(rear))
            frame.add_support_roll(frame.find_node_id(front), direction="x")
            frame.point_load(frame.find_node_id(apex), Fx=force[0], Fy=force[1])
            frame.solve()
        found = [frame.get_element_results(part) for part in parts]
        pulls = [max(one["Nmin"], one["Nmax"], key=abs) for one in found]
        ours = frame_units(s).axial[:, which]
        for row, members in enumerate(((0, 1), (2, 3), (4,), (5,))):
            other = max((-pulls[i] for i in members), key=abs)
            assert ours[row] == pytest.approx(other, rel=1e-4, abs=1e-9)


def test_frame_is_symmetrical():
    """Truth: mirror symmetry of the frame, the level support apart."""
    units = frame_units(shape())
    assert units.axial[0, 1] == pytest.approx(units.axial[1, 1], rel=1e-9)
    assert units.axial[0, 0] == pytest.approx(-units.axial[1, 0], rel=1e-3)
    assert units.moment[0, 1] == pytest.approx(units.moment[1, 1], rel=1e-6)


def test_brace_must_stand_between_sill_and_axle():
    """Truth: geometry: a brace above the axle braces nothing."""
    m = sw.read_machine(sw.data_folder() / "otter_ford.toml")
    with pytest.raises(ValueError, match=r"frame\.brace is 4\.5 m"):
        frame_shape(m.change({"frame.brace": "4.5 m"}))
    assert frame_shape(m).height == 4.2

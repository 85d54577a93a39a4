"""The list of pieces: masses by shapely's areas and by slices, lengths by geometry."""

import math

import pytest
import shapely

import slingwright as sw
from slingwright.making.pieces import cut_list
from slingwright.motion.bodies import standing_parts
from slingwright.tables import materials


def listed(**changes):
    machine = sw.read_machine("otter_ford").change(
        {path.replace("__", "."): value for path, value in changes.items()}
    )
    return machine, {piece.key: piece for piece in cut_list(machine).pieces}


def test_frame_is_as_long_as_its_outlines():
    """Truth: the drawn outlines of the frame: area over depth, by shapely, and the laps."""
    machine, pieces = listed(frame__leg_depth=0.22, frame__brace_depth=0.14)
    stand = {one.name: one for one in standing_parts(machine, [], 0.3)}
    for key, name, laps in (
        ("leg", "front leg", 0.44),
        ("brace", "brace", 0.28),
        ("sill", "sill", 0.0),
    ):
        area = shapely.Polygon(stand[name].outline).area
        piece = pieces[key]
        assert piece.length == pytest.approx(area / piece.depth + laps, rel=1e-9)
        near, far = stand[name].band
        assert piece.breadth == pytest.approx(far - near)
    assert pieces["leg"].count == 4 and pieces["sill"].count == 2


@pytest.mark.parametrize("section", ["rectangle", "round"])
def test_arm_weighs_what_its_taper_leaves(section):
    """Truth: the volume summed over ten thousand slices."""
    machine, pieces = listed(arm__section=section)
    n = machine.number
    solid, slices = 0.0, 10_000
    for k in range(slices):
        share = (k + 0.5) / slices
        deep = n("arm.depth_at_axle") + share * (n("arm.depth_at_tip") - n("arm.depth_at_axle"))
        wide = n("arm.width_at_axle") + share * (n("arm.width_at_tip") - n("arm.width_at_axle"))
        area = deep * wide if section == "rectangle" else 0.25 * math.pi * deep**2
        solid += area * n("arm.long") / slices
    deep, wide = n("arm.depth_at_axle"), n("arm.width_at_axle")
    butt = n("arm.short") + deep
    solid += butt * (deep * wide if section == "rectangle" else 0.25 * math.pi * deep**2)
    density = materials.timber(machine.text("arm.timber")).density_mean
    assert pieces["arm"].mass == pytest.approx(solid * density, rel=1e-6)


def test_layers_of_a_laminated_arm_make_the_arm():
    """Truth: the layers' depths and masses add up to the whole arm's."""
    _, whole = listed()
    _, layered = listed(arm__section="laminated", arm__layers=5.0)
    one, all_of_it = layered["arm"], whole["arm"]
    assert one.count == 5 and one.count * one.depth == pytest.approx(all_of_it.depth)
    assert one.mass == pytest.approx(all_of_it.mass)


def test_steel_is_as_long_as_what_it_spans():
    """Truth: geometry: the axle over span and bearings, the pin over arm, gaps and straps."""
    machine, pieces = listed()
    n = machine.number
    assert pieces["axle"].length == pytest.approx(n("axle.span") + 2.0 * n("axle.bearing"))
    between = n("arm.width_at_axle") + 2.0 * n("hanger.gap")
    steel = n("hanger.straps") * n("hanger.strap_thickness")
    assert pieces["pin"].length == pytest.approx(between + steel + 2.0 * n("hanger.pin"))
    area = 0.25 * math.pi * n("axle.diameter") ** 2
    assert pieces["axle"].mass == pytest.approx(area * pieces["axle"].length * 7850.0, rel=1e-9)


def test_what_a_machine_has_not_is_not_listed():
    """Truth: the dials: no support pieces, no side braces, a fixed counterweight."""
    _, pieces = listed(frame__side_foot=0.0, counterweight__hung=False)
    assert not {"support", "side_brace", "pin", "strap"} & set(pieces)
    _, more = listed(axle__support=0.1)
    assert more["support"].count == 2


def test_the_sentence_tells_the_masses():
    """Truth: the sum of the pieces."""
    machine, pieces = listed()
    told = cut_list(machine)
    timber = sum(piece.mass for piece in pieces.values() if piece.stuff == "timber")
    assert told.mass("timber") == pytest.approx(timber)
    assert f"{timber / 1e3:.4g} t of timber" in told.sentence
    assert len(told.table().lines) == len(pieces)


def test_trough_and_box_are_complete():
    """Truth: geometry: bearers as near as the dial asks, on both sills; posts to the floor."""
    machine, pieces = listed()
    n = machine.number
    bearer, trough = pieces["bearer"], pieces["trough"]
    assert trough.length / (bearer.count - 1) <= n("trough.bearers")
    assert trough.length / (bearer.count - 2) > n("trough.bearers")
    assert bearer.length == pytest.approx(n("axle.span") + 2.0 * n("frame.sill_width"))
    assert pieces["rail"].count == 2 and pieces["rail"].length == trough.length
    high = n("counterweight.height") - n("counterweight.floor")
    assert pieces["box_post"].count == 4 and pieces["box_post"].length == pytest.approx(high)
    assert pieces["box_bearer"].length == n("counterweight.width")

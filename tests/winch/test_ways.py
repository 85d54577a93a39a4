"""Ways to rig a machine, held to the winding of each and to statics of the extension by hand."""

import math

import numpy as np
import pytest

import slingwright as sw
from slingwright.tables.materials import timber

FAIR = sw.read_machine("otter_fair")


def way_of(machine, key):
    """The one way of that key."""
    (found,) = [way for way in sw.riggings(machine).ways if way.key == key]
    return found


def by_hand(machine, changes, lead=None):
    """Bending [N m], push [N] and use of one extension, from forces in the plane of the throw."""
    changed = machine.change(changes)
    n, run = changed.number, sw.winding(changed)
    at = n("winch.on_arm") * np.column_stack([-np.cos(run.elevation), np.sin(run.elevation)])
    at = at + (0.0, n("axle.height"))
    winch = np.array([n("winch.x"), n("winch.y")])
    block = winch if lead is None else np.array(lead)
    to_arm = (at - block) / np.linalg.norm(at - block, axis=1)[:, None]
    forces = [(winch, to_arm * run.arm_pull[:, None])]
    if lead is not None:
        to_winch = (winch - block) / np.linalg.norm(winch - block)
        hauling = run.rope_pull[:, None] * to_winch
        forces = [(winch, -hauling), (block, to_arm * run.arm_pull[:, None] + hauling)]
    slope = n("rig.member_slope")
    out = np.array([-math.cos(slope), -math.sin(slope)]) * (1.0 if n("winch.x") < 0.0 else -1.0)
    up = np.array([-math.sin(slope), math.cos(slope)])
    forward = np.array([math.cos(slope), math.sin(slope)])
    root = winch - n("rig.overhang") * out
    moment, push = 0.0, 0.0
    for place, force in forces:
        lever = (place - root) @ out
        if lever > 1e-9:
            moment = moment + lever * (force @ up) + n("rig.offset") * (force @ forward)
            push = push - force @ out
    share = n("rig.share") if n("winch.aside") > 0.0 else n("frame.share")
    moment, push = share * np.abs(moment), share * push
    wide, deep = n("frame.sill_width"), n("frame.sill_depth")
    wood, k_mod = timber(changed.text("frame.timber")), {1: 0.9, 2: 0.9, 3: 0.7}
    kept = k_mod[int(n("site.service"))] / 1.3
    thin = min(wide, deep) / math.sqrt(12.0)
    slender = 2.0 * n("rig.overhang") / thin / math.pi
    slender *= math.sqrt(wood.compression_parallel / wood.modulus_5)
    k = 0.5 * (1.0 + 0.2 * (slender - 0.3) + slender**2)
    k_c = 1.0 if slender <= 0.3 else 1.0 / (k + math.sqrt(k * k - slender**2))
    worst = 0.0
    for one, bent in zip(push, moment, strict=True):
        along = abs(one) / (wide * deep)
        strong = k_c * wood.compression_parallel if one >= 0.0 else wood.tension_parallel
        use = along / strong + 6.0 * bent / (wide * deep**2) / wood.bending_strength
        worst = max(worst, n("site.load_factor") * use / kept)
    return float(moment.max()), float(push[np.abs(push).argmax()]), worst


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"rig.member_slope": "12 deg", "rig.overhang": 1.6, "rig.offset": -0.1, "site.service": 3},
        {"winch.aside": 0.0, "rig.overhang": 2.2, "site.load_factor": 1.2},
        {"frame.sill_width": 0.05, "frame.sill_depth": 0.09, "frame.timber": "D30"},
    ],
)
def test_bending_of_the_extension_by_hand(changes):
    """Truth: a cantilever's moment at its root, EN 1995-1-1 (6.17) and (6.23) written out."""
    machine = FAIR.change(changes)
    n = machine.number
    led = (0.6 * n("winch.x"), n("winch.y"))
    cases = {
        "straight": ({"rig.rigging": "tackle"}, None),
        "led": ({"rig.rigging": "led"}, led),
        "spikes": ({}, None),
    }
    for key, (change, lead) in cases.items():
        way = way_of(machine, key)
        moment, push, use = by_hand(machine, change, lead)
        assert (way.bending, way.push, way.use) == pytest.approx((moment, push, use), rel=1e-6), key


@pytest.mark.parametrize("slope", [0.0, 0.1])
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_in_line_the_extension_is_not_bent(slope, side):
    """Truth: statics: a rope along the extension's own axis has no lever about its root."""
    machine = FAIR.change({"rig.member_slope": slope, "winch.y": 0.5})
    if side < 0.0:  # a winch in front pulls the arm past the axle: no way winds it
        machine = machine.change({"winch.x": 3.0})
        assert way_of(machine, "in_line").run is None
        assert "dead point" in way_of(machine, "in_line").why
        assert "None of" in sw.riggings(machine).sentence
        return
    way = way_of(machine, "in_line")
    assert way.bending < 1e-9 * way.run.peak_rope_pull
    # a sill that the rope pushes toward the lead block, whole on each side
    assert way.push == pytest.approx(way.run.peak_rope_pull, rel=1e-9)


def test_each_way_is_the_winding_of_its_dials():
    """Truth: the machine with those dials, wound by itself."""
    for way in sw.riggings(FAIR).ways:
        alone = sw.winding(FAIR.change(way.changes))
        assert way.run.force_per_person == alone.force_per_person
        assert way.run.winding_time == alone.winding_time
    spikes = way_of(FAIR, "spikes").run
    assert spikes.numbers.crank == pytest.approx(2.0 * FAIR["winch.crank"])
    assert spikes.rig.working_share == 0.5 and spikes.numbers.gear == 1.0
    long = way_of(FAIR.change({"rig.handspike": 1.1}), "spikes").run
    assert long.numbers.crank == 1.1 and long.force_per_person < spikes.force_per_person


def test_the_way_it_is_stands_among_them():
    """Truth: the machine's own dials; another rigging than all of these comes first."""
    now = [way.key for way in sw.riggings(FAIR).ways if way.is_now]
    assert now == ["straight"]
    odd = FAIR.change({"rig.rigging": "led"})
    assert [way.key for way in sw.riggings(odd).ways if way.is_now] == ["led"]
    straight = sw.riggings(FAIR)
    assert len(straight.ways) == 4 and "(as it is)" in str(straight.table())


def test_told_in_every_form(tmp_path):
    """Truth: the ways themselves: one line a way in table, frame and file; record by key."""
    found = sw.riggings(FAIR)
    frame = found.to_frame()
    assert list(frame["force a person"]) == [way.run.force_per_person for way in found.ways]
    assert list(frame["frame bent"]) == [way.bending for way in found.ways]
    found.to_csv(tmp_path / "ways.csv")
    assert len((tmp_path / "ways.csv").read_text().splitlines()) == 5
    record = found.record()
    assert record["rows"]["led.time"]["value"] == way_of(FAIR, "led").run.winding_time
    assert "not known" in record["rows"]["spikes.force"]["note"]
    assert len(repr(found)) <= 400
    assert "lbf" in str(found.table("US"))
    lightest = min(found.ways, key=lambda way: way.run.force_per_person)
    assert f"Lightest for the crew: {lightest.name}" in found.sentence

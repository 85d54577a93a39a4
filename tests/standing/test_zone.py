"""Where a load lands if it leaves the sling at any moment.

Truths: the throw with another release angle; the parabola without air; differences of the places
for the velocities; the energy of the weight for the height; plain geometry for the outline.
"""

import json
import math
from functools import cache

import numpy as np
import pytest

import slingwright as sw
from slingwright.amounts.answer import plain
from slingwright.amounts.text import Amount
from slingwright.standing import zone as zone_module
from slingwright.standing.flung import flung
from slingwright.standing.ground import zone_outline
from slingwright.standing.zone import zone


@cache
def machine(name="otter_ford"):
    return sw.read_machine(sw.data_folder() / f"{name}.toml")


@cache
def found(name="otter_ford"):
    return zone(machine(name))


NAMES = ("otter_ford", "garden", "hinged_pair", "fixed_pair", "on_wheels")


@pytest.mark.parametrize("name", NAMES)
def test_velocity_is_that_of_the_places(name):
    """Truth: central differences of the place over time, to their own error."""
    done = sw.throw_held_ring(machine(name))
    velocity = done.ball_rate
    steps = np.diff(done.time)
    # Past the first slack blows and snatches change the velocity at once.
    smooth = (done.phase[:-2] < 4) & (done.phase[2:] < 4)
    inner = np.flatnonzero((steps[:-1] > 1e-7) & (steps[1:] > 1e-7) & smooth) + 1
    before, after = done.time[inner] - done.time[inner - 1], done.time[inner + 1] - done.time[inner]
    for axis in (0, 1):
        place = done.ball[:, axis]
        left = (place[inner] - place[inner - 1]) / before
        right = (place[inner + 1] - place[inner]) / after
        middle = (left * after + right * before) / (before + after)
        fastest = np.abs(velocity).max()
        assert np.abs(middle - velocity[inner, axis]).max() < 5e-3 * fastest


def test_a_moment_lands_where_the_throw_with_that_release_angle_does():
    """Truth: the throw itself, smooth, with the prong set to slip at that moment's lag."""
    for leaving in found().leavings:
        first_time_at_this_lag = leaving.lag <= np.minimum.accumulate(leaving.lag)
        tried = 0
        for at in range(20, leaving.farthest + 40, 7):
            lag = float(leaving.lag[at])
            if not (first_time_at_this_lag[at] and -1.5 < lag < 1.5):
                continue
            done = sw.throw(
                leaving.machine.change({"release.angle": lag, "projectile.smooth": True})
            )
            if done.outcome != "released" or abs(done.release.time - leaving.time[at]) > 1e-3:
                continue
            assert done.range == pytest.approx(leaving.landing[at], rel=1e-3, abs=0.05)
            tried += 1
        assert tried >= 2


def test_without_air_every_flight_is_a_parabola():
    """Truth: closed form from place and velocity, down to the radius above the ground."""
    bare = machine().change({"site.air_density": 0.0, "site.wind": 0.0})
    gravity = bare.number("site.gravity")
    for leaving in zone(bare).leavings:
        radius = 0.5 * leaving.machine.number("projectile.diameter")
        rise, speed = leaving.place[:, 1] - radius, leaving.velocity
        above = rise > 0.01
        time = speed[:, 1] + np.sqrt(np.maximum(speed[:, 1] ** 2 + 2.0 * gravity * rise, 0.0))
        lands = leaving.place[:, 0] + speed[:, 0] * time / gravity
        assert above.sum() > 200
        assert lands[above] == pytest.approx(leaving.landing[above], abs=1e-4)
        top = leaving.place[:, 1] + np.maximum(speed[:, 1], 0.0) ** 2 / (2.0 * gravity)
        assert top[above] == pytest.approx(leaving.apex[above], abs=1e-4)


@pytest.mark.parametrize("name", NAMES)
def test_no_flight_has_more_than_the_weight_gives(name):
    """Truth: conservation: the load's gain of height is paid by the fall of weight and of arm."""
    for leaving in found(name).leavings:
        n = leaving.machine.number
        swept = n("arm.short") + n("counterweight.hanger")
        paid = n("counterweight.mass") * 2.0 * swept + n("arm.mass") * 2.0 * n("arm.long")
        paid += n("sling.mass") * 2.0 * (n("arm.long") + n("sling.length"))
        start = n("trough.height") + 0.5 * n("projectile.diameter")
        assert leaving.height - start < paid / n("projectile.mass")


@pytest.mark.parametrize("name", NAMES)
def test_farthest_rearmost_and_highest_are_those_of_all_moments(name):
    """Truth: every moment of every load, looked through; the top lies between moments."""
    one = found(name)
    for leaving in one.leavings:
        assert leaving.height == max(leaving.apex)
        ahead, behind = max(leaving.landing), -min(leaving.landing)
        far = max(0.0, leaving.planned or 0.0, ahead)
        assert far <= leaving.forward <= 1.01 * far + 0.1
        assert max(0.0, behind) <= leaving.backward <= 1.01 * max(0.0, behind) + 0.1
        assert leaving.landing[leaving.farthest] == ahead
        assert leaving.landing[leaving.rearmost] == -behind
    assert one.height == max(leaving.height for leaving in one.leavings)
    assert one.forward == max(leaving.forward for leaving in one.leavings)
    assert one.backward == max(leaving.backward for leaving in one.leavings)
    assert one.bound == max(leaving.bound for leaving in one.leavings)
    planned = [leaving.planned for leaving in one.leavings if leaving.planned is not None]
    assert one.planned == max([0.0, *planned])


def test_longest_flight_is_no_less_than_any_release_angle_gives():
    """Truth: the curve of range against release angle, made by other code from the same motion."""
    for leaving in found().leavings:
        ranges = sw.reach_curve(leaving.machine)[1]
        assert leaving.forward >= ranges.max() * (1.0 - 2e-3)
        assert leaving.planned is None or leaving.forward >= leaving.planned


def test_finer_steps_find_no_longer_flight(monkeypatch):
    """Truth: the same motion followed a million times as exactly, in some five times the steps."""
    usual = {one.load: one for one in found().leavings}
    monkeypatch.setattr(zone_module, "TOLERANCE", 1e-13)
    for fine in zone(machine()).leavings:
        one = usual[fine.load]
        assert len(fine.time) > 3 * len(one.time)
        assert fine.forward == pytest.approx(one.forward, rel=2e-4)
        assert fine.backward == pytest.approx(one.backward, rel=2e-3)


def test_tail_wind_carries_farther_and_margin_multiplies():
    """Truth: drag pulls toward the air's own speed; the margin is a factor."""
    windy = zone(machine().change({"site.wind": 10.0}))
    assert windy.forward > found().forward
    wide = zone(machine().change({"site.margin": 3.0}))
    assert wide.clear_ahead == max(wide.bound, 3.0 * wide.forward)
    assert wide.forward == found().forward


def test_outline_is_the_edge_of_what_it_covers():
    """Truth: geometry: just inside the outline is covered, just outside is not."""
    for name in NAMES:
        one = found(name)
        edge = one.outline()
        angle = np.arctan2(edge[:, 1], edge[:, 0])
        corner = np.abs(np.abs(angle) - one.sideways) < 1e-9
        corner |= np.abs(np.abs(angle) - (math.pi - one.sideways)) < 1e-9
        for x, y in edge[~corner]:
            assert one.covers(0.999 * x, 0.999 * y) and not one.covers(1.001 * x, 1.001 * y)
    square = zone_outline(5.0, 4.0, 1.0, 0.0, 2)
    assert square[0] == pytest.approx([5.0, 0.0]) and square[4] == pytest.approx([-4.0, 0.0])


def test_too_heavy_a_weight_is_told():
    """Truth: the meadow of 220 m that the machine file names."""
    assert found().inside and "keep the ground beyond empty" in found().sentence
    far = zone(machine().change({"counterweight.mass": "800 kg"}))
    assert not far.inside and "do not loose it so" in far.sentence
    assert found().verdict == far.verdict == "fails"
    wide = zone(machine().change({"site.limit": "600 m"}))
    assert wide.inside and "lies within the clear ground" in wide.sentence
    assert wide.verdict == "not known"


def test_distances_to_keep_clear_are_rounded_up():
    """Truth: a distance told is never less than the one found."""
    for value in (0.1, 1.0, 172.4, 324.76):
        assert float(Amount(value, "m", 0).told().split()[0].replace(",", "")) >= value
        feet = Amount(value, "m", 0).told("US").split()[0].replace(",", "")
        assert float(feet) * 0.3048 >= value


def test_text_and_record_say_the_same():
    """Truth: the zone they are made of."""
    text = found().report()
    record = json.loads(json.dumps(plain(found().record()), allow_nan=False))
    assert record["clear_ahead"] == found().clear_ahead and record["inside"] is True
    for one, row in zip(found().leavings, record["loads"], strict=True):
        assert one.load in text and row["ahead"] == one.forward
    assert "licensed" in text and "Not modelled" in text and "Nobody" in text
    assert " ft" in found().report().told("US") and " m " not in found().sentence.told("US")


@pytest.mark.parametrize("name", NAMES)
def test_past_a_push_or_a_strike_nothing_is_known_and_energy_bounds_it(name):
    """Truth: pulls and places of the motion itself; the parabola of safety at the greatest speed.

    Up to the moment told no sling pushes and nothing is under the ground; the next moment one
    does. The ground to keep clear is never smaller than the longest flight, nor than the bound.
    """
    one = found(name)
    assert one.verdict != "holds" and "not bounded by the simulated motion" in one.sentence
    for leaving in one.leavings:
        done = sw.throw_held_ring(leaving.machine, tolerance=1e-7, lasting=10.0)
        pull = np.minimum(done.sling_tension, done.pouch_tension)
        early = (done.time <= leaving.known_until) & (done.phase < 4)
        assert (pull[early] >= -1e-6 * pull.max()).all()
        if "goes slack" in leaving.cut:
            assert done.slack[0][0] == pytest.approx(leaving.known_until, rel=1e-4)
        else:
            assert "strikes the ground" in leaving.cut
            assert done.slack[0][0] >= leaving.known_until * (1.0 - 1e-4)
        assert leaving.time[-1] == pytest.approx(leaving.known_until, rel=1e-6)
        assert leaving.cut in one.report()
        g, fastest = leaving.machine.number("site.gravity"), leaving.flung.speed
        assert leaving.bound > one.reach + 0.999 * fastest * fastest / g
        for kept, flown in (
            (one.clear_ahead, leaving.forward),
            (one.clear_behind, leaving.backward),
        ):
            assert kept >= max(leaving.bound, one.margin * flown)


def test_a_box_that_strikes_the_ground_ends_what_is_known():
    """Truth: lowest corner of the box, from the places of its own motion; the frame is put low
    and wide, so that there is nothing else to strike."""
    flat = {"frame.sill_depth": 0.005, "trough.height": 0.041, "trough.width": 0.7}
    low = zone(machine().change({"axle.height": "2.9 m", **flat}))
    struck = [one for one in low.leavings if "counterweight strikes the ground" in one.cut]
    assert struck
    for leaving in struck:
        done = sw.throw_held_ring(leaving.machine, tolerance=1e-7, lasting=10.0)
        assert done.ended in leaving.cut
        centre = done.weight[[-2, -1], 1]
        number, turned = leaving.machine.number, done.hanger[[-2, -1]]
        half = 0.5 * number("counterweight.height") * np.abs(np.cos(turned))
        half += 0.5 * number("counterweight.width") * np.abs(np.sin(turned))
        assert centre[0] > half[0] and centre[1] == pytest.approx(half[1], abs=1e-6)


STEADY = {
    "axle.height": 6.0,
    "trough.height": 4.5,
    "trough.friction": 0.1,
    "sling.length": 1.2,
    "axle.friction": 1.0,
    "axle.diameter": 0.5,
    "projectile.mass": 60.0,
    "counterweight.mass": 800.0,
}
"""A slow machine with a stiff axle on a high stand: its sling never goes slack."""


def test_motion_with_no_end_is_followed_sixty_natural_times_and_says_so():
    """Truth: sixty times sqrt((arm + sling) / g) by hand; no bound is added."""
    slow = zone(machine("fixed_pair").change(STEADY))
    (leaving,) = slow.leavings
    n = leaving.machine.number
    unit = math.sqrt((n("arm.long") + n("sling.length")) / n("site.gravity"))
    assert leaving.cut == "" and leaving.bound == 0.0
    assert leaving.known_until >= 60.0 * unit * (1.0 - 1e-9)
    assert "60 sqrt((arm + sling) / g)" in slow.report()
    assert "not bounded" not in slow.sentence and slow.verdict == "holds"
    assert slow.clear_ahead == max(slow.clear_beside, slow.margin * slow.flown[1])


def test_motion_that_has_lost_its_energy_says_that_it_flings_no_farther():
    """Truth: the bound of the energy that friction has left, by the account of energy."""
    stiff = STEADY | {"trough.height": 3.0, "sling.length": 2.4, "projectile.mass": 10.0}
    slow = zone(machine("fixed_pair").change(stiff))
    (leaving,) = slow.leavings
    assert leaving.cut == "" and "the energy left flings it no farther" in slow.report()
    lasting = leaving.known_until
    done = sw.throw_held_ring(leaving.machine, tolerance=1e-9, lasting=lasting)
    left = flung(leaving.machine, float(done.energy_lost[-1]))
    assert left.distance <= min(leaving.forward, leaving.backward) < leaving.flung.distance


def test_refusals_name_what_is_wrong():
    """Truth: the message names the argument or the dial."""
    with pytest.raises(ValueError, match="lanyard is 0 m; give a length above 0"):
        zone(machine(), lanyard=0.0)
    stuck = machine("garden").change({"counterweight.mass": "1 lb"})
    with pytest.raises(ValueError, match="never leaves the trough"):
        zone(stuck)

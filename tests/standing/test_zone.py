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
from slingwright.motion.text import strict
from slingwright.standing import zone as zone_module
from slingwright.standing.text import kept_clear, sentence, zone_record, zone_text
from slingwright.standing.zone import velocity_of_load, zone, zone_outline


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
    velocity = velocity_of_load(done)
    steps = np.diff(done.time)
    inner = np.flatnonzero((steps[:-1] > 1e-7) & (steps[1:] > 1e-7)) + 1
    before, after = done.time[inner] - done.time[inner - 1], done.time[inner + 1] - done.time[inner]
    for axis in (0, 1):
        place = done.ball[:, axis]
        left = (place[inner] - place[inner - 1]) / before
        right = (place[inner + 1] - place[inner]) / after
        middle = (left * after + right * before) / (before + after)
        fastest = np.abs(velocity).max()
        assert np.abs(middle - velocity[inner, axis]).max() < 5e-3 * fastest


def test_a_moment_lands_where_the_throw_with_that_release_angle_does():
    """Truth: the throw itself, with the prong set to slip at that moment's lag."""
    for leaving in found().leavings:
        first_time_at_this_lag = leaving.lag <= np.minimum.accumulate(leaving.lag)
        tried = 0
        for at in range(20, leaving.farthest + 40, 7):
            lag = float(leaving.lag[at])
            if not (first_time_at_this_lag[at] and -1.5 < lag < 1.5 and leaving.sure[at]):
                continue
            done = sw.throw(leaving.machine.change({"release.angle": lag}))
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
    for fine in zone(machine(), lasting=2.5).leavings:
        one = usual[fine.load]
        early = one.time <= 2.5
        assert len(fine.time) > 3 * early.sum()
        assert fine.forward == pytest.approx(one.forward, rel=2e-4)
        if one.time[one.rearmost] < 2.5:
            assert fine.backward == pytest.approx(one.backward, rel=5e-4)


def test_tail_wind_carries_farther_and_margin_multiplies():
    """Truth: drag pulls toward the air's own speed; the margin is a factor."""
    windy = zone(machine().change({"site.wind": 10.0}))
    assert windy.forward > found().forward
    wide = zone(machine().change({"site.margin": 3.0}))
    assert wide.clear_ahead == pytest.approx(2.0 * found().clear_ahead)
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
    assert found().inside and "keep the ground beyond empty" in sentence(found())
    far = zone(machine().change({"counterweight.mass": "800 kg"}))
    assert not far.inside and "do not loose it so" in sentence(far)
    short = zone(machine().change({"site.limit": "400 m"}))
    assert short.inside and "All of it lies within" in sentence(short)


def test_distances_to_keep_clear_are_rounded_up():
    """Truth: a distance told is never less than the one found."""
    for value in (0.1, 1.0, 172.4, 324.76):
        assert float(kept_clear(value).split()[0].replace(",", "")) >= value
        assert float(kept_clear(value, "US").split()[0].replace(",", "")) * 0.3048 >= value


def test_text_and_record_say_the_same():
    """Truth: the zone they are made of."""
    text = zone_text(found())
    record = json.loads(json.dumps(strict(zone_record(found())), allow_nan=False))
    assert record["clear_ahead"] == found().clear_ahead and record["inside"] is True
    for one, row in zip(found().leavings, record["loads"], strict=True):
        assert one.load in text and row["ahead"] == one.forward
    assert "licensed" in text and "Not modelled" in text and "Nobody" in text
    assert " ft" in zone_text(found(), "US") and " m " not in sentence(found(), "US")


def test_what_is_a_guess_is_marked():
    """Truth: the first moment of a negative pull, or of a touch of the ground."""
    for leaving in found().leavings:
        assert leaving.unsure_because and not leaving.sure[-1] and leaving.sure[0]
        assert (np.diff(leaving.sure.astype(int)) <= 0).all()
        told = zone_text(found())
        assert leaving.unsure_because in told


def test_refusals_name_what_is_wrong():
    """Truth: the message names the argument or the dial."""
    with pytest.raises(ValueError, match="lasting is 0.1 s; give 0.5 to 60"):
        zone(machine(), lasting=0.1)
    stuck = machine("garden").change({"counterweight.mass": "1 lb"})
    with pytest.raises(ValueError, match="never leaves the trough"):
        zone(stuck)

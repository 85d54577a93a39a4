"""Who stands where, and what the energy allows at most.

Truths: Froude's law of similitude (P. W. Bridgman, Dimensional Analysis, Yale University Press
1922, chapter VII): lengths times k and masses times k cubed scale every distance by k; plain
geometry; conservation of energy and the parabola of safety.
"""

import math
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from outside.test_scaling import POWER
from strategies import legal_settings

import slingwright as sw
from slingwright.amounts.verdict import whole
from slingwright.machine.machine import build
from slingwright.machine.table import dials
from slingwright.standing.flung import flung
from slingwright.standing.places import (
    clear_beside,
    is_beside,
    loosing_place,
    people,
    placed,
    projectile_lies,
    winding_checks,
    winding_ground,
)
from slingwright.standing.zone import zone
from slingwright.winch.hook import SlipHook, hook_of, loosing

NAMES = ("otter_ford", "garden", "hinged_pair", "fixed_pair", "on_wheels")


@cache
def machine(name="otter_ford"):
    return sw.read_machine(sw.data_folder() / f"{name}.toml")


@cache
def found(name="otter_ford"):
    return zone(machine(name))


def scaled(one, k):
    """The machine with every dial scaled by its unit, none derived anew; no air, no wind."""
    changed = {}
    for dial in dials.TABLE:
        value = one[dial.path]
        if value is not None and dial.kind == "number":
            value = value * k ** POWER.get(dial.unit, 0.0)
        if value is not None:
            changed[dial.path] = value
    changed["site.air_density"] = changed["site.wind"] = 0.0
    return build(changed)


@pytest.mark.parametrize("name", NAMES)
def test_who_looses_stands_outside_the_ground_to_keep_clear(name):
    """Truth: the ground's own outline, widened by nothing."""
    one = found(name)
    place = one.loosing
    assert place.found and not one.covers(place.x, place.z) and not one.covers(place.x, -place.z)
    assert not one.winding.covers(place.x, place.z)
    assert "Who looses stands" in one.places[0]


@settings(max_examples=60, deadline=None)
@given(legal_settings())
def test_any_machine_has_a_safe_place_or_says_that_it_has_none(given):
    """Truth: geometry: outside the circle and both sectors, however far they reach."""
    try:
        one = build(given)
    except sw.MachineError:
        return
    place = loosing_place(one)
    if place.found:
        away, off = math.hypot(place.x, place.z), math.atan2(place.z, place.x)
        sideways = one.number("site.sideways")
        assert away > one.number("site.margin") * (
            one.number("arm.long") + one.number("sling.length")
        )
        assert sideways < off < math.pi - sideways
        assert place.needed <= place.lanyard
        short = loosing_place(one, 0.999 * place.needed)
        assert not short.found and short.needed == place.needed
        assert loosing_place(one, place.needed).found
    else:
        given = one["hook.person_x"] is not None or one["hook.person_z"] is not None
        assert place.wrong and (given or one.number("site.sideways") > math.radians(88.0))
    crew = winding_ground(one)
    assert not crew.covers(crew.crew_x, crew.crew_z)


@settings(max_examples=40, deadline=None)
@given(legal_settings())
def test_ground_of_any_machine_holds_its_flights_and_bound_and_not_who_looses(given):
    """Truth: the flights found, the bound by energy, the outline; three words for the verdict."""
    try:
        one = zone(build(given))
    except ValueError:
        return
    for leaving in one.leavings:
        fastest = np.hypot(leaving.velocity[:, 0], leaving.velocity[:, 1]).max()
        assert fastest <= leaving.flung.speed * (1.0 + 1e-6)
        assert one.clear_ahead >= max(leaving.forward, leaving.bound)
        assert one.clear_behind >= max(leaving.backward, leaving.bound)
        if leaving.cut:
            assert one.verdict != "holds"
            assert leaving.bound * (1.0 + 1e-6) >= max(leaving.forward, leaving.backward)
    assert one.verdict in ("fails", "not known", "holds")
    place = one.loosing
    assert not (place.found and one.covers(place.x, place.z))


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("k", [0.5, 1.6])
def test_places_scale_with_the_machine(name, k):
    """Truth: Froude's law: distances times k."""
    whole, other = (zone(scaled(machine(name), size)) for size in (1.0, k))
    for one, two in (
        (whole.loosing.x, other.loosing.x),
        (whole.loosing.z, other.loosing.z),
        (whole.loosing.hook_x, other.loosing.hook_x),
        (whole.winding.sweep, other.winding.sweep),
        (whole.winding.half_width, other.winding.half_width),
        (whole.winding.rope, other.winding.rope),
        (whole.winding.crew_x, other.winding.crew_x),
        (whole.winding.crew_z, other.winding.crew_z),
        (whole.clear_beside, other.clear_beside),
        (whole.bound, other.bound),
    ):
        assert two == pytest.approx(k * one, rel=1e-9)
    assert other.forward == pytest.approx(k * whole.forward, rel=1e-3)
    # A ring's drag follows its Reynolds number, which does not scale.
    assert other.clear_ahead == pytest.approx(k * whole.clear_ahead, rel=1e-2)


def test_lanyard_too_short_is_told_with_what_to_do():
    """Truth: the lanyard of the nearest place, from the distance itself."""
    short = zone(machine(), lanyard=10.0)
    assert short.verdict == "fails" and not short.loosing.found
    assert "lengthen it to 13.6 m or more" in short.sentence
    enough = zone(machine(), lanyard=14.0)
    place, bare = enough.loosing, found().loosing
    assert place.found and not enough.covers(place.x, place.z) and place.z < bare.z
    away = math.dist((place.hook_x, place.hook_y, 0.0), (place.x, SlipHook().hand_y, place.z))
    assert place.lanyard == pytest.approx(away + SlipHook().slack) and place.lanyard <= 14.0


def test_sectors_all_round_leave_no_place():
    """Truth: sectors of 90 deg to either side are the whole ground."""
    none = zone(machine().change({"site.sideways": "90 deg"}))
    assert none.verdict == "fails" and "No safe place to loose from" in none.sentence
    assert "shelter" in none.sentence
    hook, wrong = placed(none.machine, SlipHook())
    assert "no side free" in wrong and loosing(2000.0, hook).lanyard is None


@pytest.mark.parametrize("name", NAMES)
def test_hook_takes_its_places_from_the_machine(name):
    """Truth: the zone's own place; a place inside is told, with the values that were given."""
    hook, wrong = placed(machine(name), SlipHook())
    assert wrong == "" and not found(name).covers(hook.person_x, hook.person_z)
    assert loosing(2000.0, hook).lanyard == pytest.approx(found(name).loosing.lanyard)
    near = 0.5 * clear_beside(machine(name))
    inside, wrong = placed(machine(name), SlipHook(person_x=0.0, person_z=near))
    assert "inside the ground to keep clear" in wrong and inside.person_z == near
    assert not is_beside(machine(name), -100.0, 1.0)


def test_crew_that_winds_is_told_apart():
    """Truth: the ground of winding: sweep, rope line and drum are on it, the crew is not."""
    for name in NAMES:
        ground = found(name).winding
        assert ground.covers(0.0, 0.0) and ground.covers(ground.sweep, 0.0)
        assert ground.covers(ground.drum_x - 0.5 * ground.rope, ground.drum_z)
        assert ground.covers(ground.arm_x + 0.5 * ground.rope, ground.drum_z)
        assert not ground.covers(ground.crew_x, ground.crew_z)
        assert found(name).covers(ground.crew_x, ground.crew_z)
        loose, wind, _, _, public = found(name).places
        assert "no projectile in the sling" in wind and "in line with the rope" in wind
        assert "Everyone else stays outside" in public and "lanyard" in loose


@pytest.mark.parametrize("name", NAMES)
def test_energy_of_the_whole_fall_bounds_the_load_at_every_moment(name):
    """Truth: the motion's own speeds; the account in closed form for a weight that drops."""
    for one in found(name).leavings:
        speed = np.hypot(one.velocity[:, 0], one.velocity[:, 1])
        assert speed.max() <= one.flung.speed
        assert one.flung.distance >= max(one.forward, one.backward)
        g = one.machine.number("site.gravity")
        level = one.flung.speed**2 / g
        assert one.flung.distance >= (one.flung.start + level) * (1.0 - 1e-12)


def test_bound_of_a_bare_machine_is_the_closed_form():
    """Truth: M g d + ... by hand for massless arm and cords, cocked upright below the axle."""
    n = machine().number
    light = machine().change({"arm.mass": "1 kg", "sling.mass": "1 g", "arm.inertia": "1 kg m^2"})
    one = flung(light)
    raised = n("arm.short") * (1.0 + math.sin(light.number("arm.cocked")))
    fall = light.number("counterweight.mass") * n("site.gravity") * raised
    assert one.energy == pytest.approx(fall, rel=0.02)
    thrown = light.number("projectile.mass") + light.number("sling.pouch")
    assert one.speed == pytest.approx(math.sqrt(2.0 * one.energy / thrown), rel=1e-12)
    assert flung(light, one.energy).flight == 0.0
    windy = flung(light.change({"site.wind": 8.0}))
    assert windy.distance > one.distance and windy.wind > 0.0


@pytest.mark.parametrize(
    ("change", "row", "verdict"),
    [
        ({}, "place of the person", "holds"),
        ({"hook.person_x": "0 m", "hook.person_z": "1 m"}, "place of the person", "fails"),
        ({"hook.person_x": "-60 m", "hook.person_z": "1 m"}, "place of the person", "fails"),
        ({"site.sideways": "90 deg"}, "place of the person", "fails"),
        ({"hook.offset": "-2 mm"}, "friction that the hook needs", "fails"),
        ({"hook.offset": "-2 mm", "hook.slippery": 0.11}, "friction that the hook needs", "holds"),
        ({"hook.lever": "20 mm"}, "pull on the lanyard", "fails"),
        ({"hook.x": "0 m", "hook.y": "4.2 m"}, "friction that the hook needs", "not known"),
    ],
)
def test_what_looses_counts_in_the_verdict(change, row, verdict):
    """Truth: by hand: a place inside, in a sector, none; a finger that opens below 0.1 of friction.

    tan(asin(2 / 20)) = 0.1005; a lever of 20 mm takes ten times the pull of one of 200 mm; a line
    through the axle holds no arm.
    """
    changed = machine().change(change)
    checks = winding_checks(changed, sw.winding(changed))
    found = next(one for one in checks if one.name.startswith(row))
    assert found.verdict == verdict and (verdict == "holds" or found.advice)
    assert (whole(one.verdict for one in checks) == "fails") == (verdict == "fails")


def test_ground_that_ends_within_the_sweep_fails(monkeypatch):
    """Truth: the rule: what is swept, with the margin, must end on the clear ground too."""
    short = zone(machine().change({"site.limit": "10 m"}))
    monkeypatch.setattr(type(short), "forward", 1.0)  # flights alone would end on the ground
    monkeypatch.setattr(type(short), "unbounded", None)
    assert short.clear_beside > short.limit and short.verdict == "fails"


@pytest.mark.parametrize("name", (*NAMES, "otter_fair", "desk"))
def test_everyone_has_a_place_that_nothing_speaks_against(name):
    """Truth: the zone's own outline, the ground of winding, where the motion has the projectile."""
    one = zone(machine(name))
    assert [person.key for person in one.people] == [
        *("looses", "winders", "loader", "helper", "public")
    ]
    spots = {person.key: (person.x, person.z) for person in one.people}
    assert not any(person.wrong for person in one.people)
    for key in ("looses", "helper", "public"):
        assert not one.covers(*spots[key])
    assert spots["public"][1] < 0.0 < spots["looses"][1]  # away from the lanyard
    assert math.hypot(*spots["helper"]) - math.hypot(*spots["looses"]) == pytest.approx(
        3.0, rel=0.1
    )
    lies = float(sw.throw(one.machine, swing_through=0.0).ball[0, 0])
    assert projectile_lies(one.machine) == pytest.approx(lies, abs=1e-9)
    assert spots["loader"][0] == pytest.approx(lies, abs=1e-9)


@pytest.mark.parametrize(
    ("change", "key", "says"),
    [
        ({"hook.person_x": 0.0, "hook.person_z": 12.8}, "looses", "inside the ground to keep"),
        ({"hook.person_x": 0.0, "hook.person_z": -12.8}, "looses", "inside the ground to keep"),
        ({"place.winders_z": 0.0}, "winders", "where arm and empty sling sweep"),
        ({"place.winders_x": -9.5, "place.winders_z": -0.8}, "winders", "in line with the rope"),
        ({"place.winders_x": -3.9, "place.winders_z": -0.5}, "winders", "in line with the rope"),
        ({"place.winders_z": 3.0}, "winders", "would have to reach 2.09 m to the crank"),
        ({"place.loader_z": 0.2}, "loader", "under arm or counterweight"),
        ({"place.loader_x": 2.0}, "loader", "would have to reach 1.58 m into the trough"),
        ({"place.helper_x": 5.0, "place.helper_z": 5.0}, "helper", "inside the ground to keep"),
        ({"place.public_x": 250.0, "place.public_z": 30.0}, "public", "is inside the ground"),
    ],
)
def test_a_place_in_the_way_is_told_in_words(change, key, says):
    """Truth: by hand: 15.9 m are swept with the margin, 0.4 m are between the axle's supports,
    the drum is at -3.29 m with 0.5 m to its side and 0.41 m of crank."""
    one = zone(machine().change(change))
    (person,) = [person for person in one.people if person.wrong]
    assert person.key == key and says in person.wrong
    assert one.verdict == "fails" and person.wrong in one.sentence
    assert any(person.wrong in words for words in one.places)
    row = {"looses": "place of the person who looses"}.get(key, f"place of {person.who}")
    checks = {one.name: one for one in winding_checks(one.machine, sw.winding(one.machine))}
    assert row not in checks or checks[row].verdict == "fails"
    assert key in ("helper", "public") or row in checks


def test_lanyard_follows_the_place_that_is_set():
    """Truth: the distance in space from hook to hand, with the slack; the turn in the plan."""
    moved = machine().change({"hook.person_x": 3.0, "hook.person_z": -18.0})
    place, hook = loosing_place(moved), SlipHook()
    away = math.dist((place.hook_x, place.hook_y, 0.0), (3.0, hook.hand_y, -18.0))
    assert place.found and place.lanyard == pytest.approx(away + hook.slack)
    turn = math.degrees(math.atan2(18.0, 3.0 - place.hook_x))
    (one,) = [one for one in people(moved) if one.key == "looses"]
    assert f"led {turn:.0f} deg" in one.words and "3.00 m ahead of the axle" in one.words
    assert "18.0 m to the right" in one.words
    assert next(one for one in people(moved) if one.key == "public").z > 0.0
    short = loosing_place(moved, 0.9 * place.lanyard)
    assert not short.found and short.needed == place.lanyard
    assert placed(moved, hook_of(moved))[1] == ""

"""From release to landing: level, wind, drag, backward throws; and the range against release angle.

Truth: the parabola where there is no air (any textbook of mechanics), SciPy's DOP853 on the drag
law written anew where there is, and the mirror and shift symmetries of both.
"""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from outside.machines import FRICTIONLESS, otter_ford
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline

import slingwright as sw
from slingwright.machine.machine import build
from slingwright.machine.table.dials import MOVING_INDEX, dial
from slingwright.motion.across import land
from slingwright.motion.source.code import flight_module

VACUUM = {"site__air_density": 0.0}


def parabola(release, down_to: float, g: float) -> tuple[float, float]:
    """Give range and time of flight from a release to a height, without air."""
    v_x = release.speed * math.cos(release.elevation)
    v_y = release.speed * math.sin(release.elevation)
    time = (v_y + math.sqrt(v_y**2 + 2.0 * g * (release.y - down_to))) / g
    return release.x + v_x * time, time


@pytest.mark.parametrize("level", [-30.0, -1.0, 0.0, 2.0, 12.0])
def test_without_air_the_flight_is_a_parabola(level: float) -> None:
    """Truth: uniform acceleration, down to the projectile's radius above the landing level."""
    machine = otter_ford(**VACUUM, site__height=level)
    done = sw.throw(machine)
    radius = 0.5 * machine.number("projectile.diameter")
    far, time = parabola(done.release, level + radius, machine.number("site.gravity"))
    assert done.range == pytest.approx(far, rel=1e-12)
    assert done.landing.time - done.release.time == pytest.approx(time, rel=1e-12)
    v_y = done.release.speed * math.sin(done.release.elevation)
    apex = done.release.y + v_y**2 / (2.0 * machine.number("site.gravity"))
    assert done.landing.apex == pytest.approx(apex, rel=1e-12)
    speed = math.sqrt(
        done.release.speed**2
        + 2.0 * machine.number("site.gravity") * (done.release.y - level - radius)
    )
    assert done.landing.speed == pytest.approx(speed, rel=1e-12)
    assert math.cos(done.landing.angle) * speed == pytest.approx(
        done.release.speed * math.cos(done.release.elevation), rel=1e-12
    )


def test_landing_above_all_reach_has_no_range() -> None:
    """Truth: the apex of the parabola; a level above it is never touched."""
    done = sw.throw(otter_ford(**VACUUM, site__height=150.0))
    assert done.outcome == "released"
    assert done.range is None and done.landing is None
    assert "never reaches the landing level" in done.sentence
    assert "site.height" in done.sentence
    row = sw.sweep(otter_ford(**VACUUM), {"site.height": [150.0]})
    assert np.isnan(row["range"][0]) and row["release_speed"][0] == done.release.speed


@pytest.mark.parametrize("wind", [-20.0, 0.0, 20.0])
def test_constant_drag_equals_scipys(wind: float) -> None:
    """Truth: SciPy's DOP853 on the quadratic law of drag in moving air, to 1e-9."""
    machine = otter_ford(projectile__drag=0.6, site__wind=wind)
    done = sw.throw(machine, tolerance=1e-11)
    n = machine.number
    share = (
        0.5 * n("site.air_density") * 0.25 * math.pi * n("projectile.diameter") ** 2 * 0.6
        / n("projectile.mass")
    )  # fmt: skip

    def rates(_, y):
        air = np.array([y[2] - wind, y[3]])
        slow = -share * math.hypot(*air) * air
        return [y[2], y[3], slow[0], slow[1] - n("site.gravity")]

    def ground(_, y):
        return y[1] - 0.5 * n("projectile.diameter")

    ground.terminal, ground.direction = True, -1
    start = done.release
    theirs = solve_ivp(
        rates,
        (0.0, 60.0),
        [
            start.x,
            start.y,
            start.speed * math.cos(start.elevation),
            start.speed * math.sin(start.elevation),
        ],
        method="DOP853",
        rtol=1e-12,
        atol=1e-12,
        events=ground,
    )
    assert done.range == pytest.approx(theirs.y[0, -1], rel=1e-9)
    assert done.landing.time - start.time == pytest.approx(theirs.t[-1], rel=1e-9)
    assert done.landing.speed == pytest.approx(math.hypot(*theirs.y[2:, -1]), rel=1e-9)


def test_wind_from_behind_carries_farther() -> None:
    """Truth: drag follows the air's speed; in a vacuum there is no wind to feel."""
    ranges = [sw.throw(otter_ford(site__wind=w)).range for w in (-15.0, -5.0, 0.0, 5.0, 15.0)]
    assert ranges == sorted(ranges)
    assert ranges[0] < ranges[-1] - 1.0
    still = [sw.throw(otter_ford(**VACUUM, site__wind=w)).range for w in (-15.0, 15.0)]
    assert still[0] == still[1]


def test_backward_throw_has_a_negative_range() -> None:
    """Truth: the sign of the release's level speed, and the parabola behind the axle."""
    machine = otter_ford(**VACUUM, release__angle=math.radians(110.0))
    done = sw.throw(machine)
    assert done.outcome == "released"
    assert abs(done.release.elevation) > 0.5 * math.pi
    far, _ = parabola(
        done.release, 0.5 * machine.number("projectile.diameter"), machine.number("site.gravity")
    )
    assert done.range == pytest.approx(far, rel=1e-12)
    assert done.range < 0.0
    assert "backward" in done.sentence and "release.angle" in done.sentence
    assert 0.0 < done.landing.angle < 0.5 * math.pi


def test_flight_path_goes_from_release_to_landing() -> None:
    """Truth: the release, the landing and the apex of the same throw."""
    done = sw.throw(otter_ford())
    path, time = done.flight_path, done.flight_time
    assert np.allclose(path[0], [done.release.x, done.release.y], atol=1e-12)
    assert path[-1, 0] == pytest.approx(done.range, rel=1e-12)
    assert time[0] == done.release.time
    assert time[-1] == pytest.approx(done.landing.time, rel=1e-12)
    assert (np.diff(time) > 0.0).all()
    assert path[:, 1].max() == pytest.approx(done.landing.apex, rel=1e-4)
    assert len(time) > 20


def test_past_the_clear_ground_is_noted() -> None:
    """Truth: the dial of the clear ground's end."""
    near = sw.throw(otter_ford(site__limit=5000.0))
    past = sw.throw(otter_ford(site__limit=20.0))
    assert not [note for note in near.notes if "site.limit" in note]
    assert [note for note in past.notes if "site.limit" in note and "20.0 m" in note]


# ---- empty and nearly empty


def test_empty_pouch_is_thrown_through() -> None:
    """Truth: nothing flies; loads and swing-through are those of the machine all the same."""
    done = sw.throw(otter_ford(projectile__mass=0.0, sling__pouch=0.5))
    assert done.outcome == "released"
    assert done.range is None and done.landing is None and len(done.flight_time) == 0
    assert "empty" in done.sentence
    assert done.peak_axle_load > done.held.axle_load
    # The box strikes the arm, or the pouch the side of the trough: that ends what is known.
    assert done.known_until <= done.time[-1] < done.release.time + 5.0
    assert re.fullmatch(
        "the (counterweight box|pouch) strikes the (arm|side of the trough)", done.ended
    )
    assert any(done.ended.removeprefix("the ") in note for note in done.notes)
    assert np.isfinite(done.axle_force).all()


def test_lighter_and_lighter_loads_tend_to_the_empty_pouch() -> None:
    """Truth: a limit: the motion of a vanishing load is that of none, in proportion to its mass."""
    changes = {"sling__pouch": 0.5, "projectile__diameter": 0.1}
    empty = sw.throw(otter_ford(projectile__mass=0.0, **changes))
    gaps = []
    for mass in (1e-2, 1e-3, 1e-4):
        done = sw.throw(otter_ford(projectile__mass=mass, **changes))
        gaps.append(abs(done.release.time - empty.release.time))
    assert gaps[0] == pytest.approx(10.0 * gaps[1], rel=0.05)
    assert gaps[1] == pytest.approx(10.0 * gaps[2], rel=0.05)


def test_massless_sling_and_pouch_are_legal() -> None:
    """Truth: the limit of a lighter and lighter sling: no load on it after release."""
    bare = sw.throw(otter_ford(sling__mass=0.0, sling__pouch=0.0))
    light = sw.throw(otter_ford(sling__mass=1e-6, sling__pouch=1e-6))
    assert bare.outcome == light.outcome == "released"
    assert bare.range == pytest.approx(light.range, rel=1e-5)
    assert np.isfinite(bare.sling_tension).all()
    swung = bare.phase == 3
    assert np.abs(bare.sling_tension[swung]).max() < 1e-3 * bare.sling_tension.max()


# ---- scale


@pytest.mark.parametrize("k", [0.2, 3.0])
def test_scaled_machine_throws_to_scale(k: float) -> None:
    """Truth: similarity at equal gravity: time with sqrt(k), range with k, force with k cubed."""
    given = otter_ford(**VACUUM, **FRICTIONLESS, sling__mass=0.5, sling__pouch=0.5)
    power = {"m": 1, "kg": 3, "kg m^2": 5}
    settings = {}
    for path, value in given.values.items():
        row = dial(path)
        if not row.moves or value is None or isinstance(value, bool | str):
            if row.moves and value is not None:
                settings[path] = value
            continue
        settings[path] = value * k ** power.get(row.unit, 0)
    large, small = sw.throw(build(settings), tolerance=1e-12), sw.throw(given, tolerance=1e-12)
    assert large.release.time == pytest.approx(math.sqrt(k) * small.release.time, rel=1e-9)
    assert large.range == pytest.approx(k * small.range, rel=1e-9)
    assert large.peak_axle_load == pytest.approx(k**3 * small.peak_axle_load, rel=1e-7)


# ---- reach curve


def test_reach_curve_passes_through_the_throws_own_point() -> None:
    """Truth: throws with the release angle set to the curve's own angles."""
    machine = otter_ford()
    lags, ranges = sw.reach_curve(machine)
    assert (np.diff(lags) < 0.0).all()
    done = sw.throw(machine)
    through = CubicSpline(lags[::-1], ranges[::-1])
    assert through(done.release.lag) == pytest.approx(done.range, rel=1e-4)
    for place in np.linspace(len(lags) // 4, 3 * len(lags) // 4, 6).astype(int):
        slip = float(lags[place])
        again = sw.throw(machine.change({"release.angle": slip}))
        assert again.outcome == "released"
        assert again.range == pytest.approx(ranges[place], rel=1e-6, abs=1e-6)


def test_reach_curve_of_an_empty_pouch_is_empty() -> None:
    """Truth: nothing flies."""
    lags, ranges = sw.reach_curve(otter_ford(projectile__mass=0.0))
    assert len(lags) == len(ranges) == 0


def test_ring_that_never_slips_swings_on() -> None:
    """Truth: the loaded sling stays on: no release, the asked time, energy that closes."""
    machine = otter_ford(sling__pouch=0.5)
    done = sw.throw_held_ring(machine, lasting=4.0)
    assert done.release is None and done.range is None
    assert done.outcome == "never slipped"
    assert done.time[-1] >= 4.0
    assert done.energy_error < 1e-7
    slipped = sw.throw(machine)
    shared = slipped.time[slipped.phase < 3]
    assert np.allclose(
        np.interp(shared, done.time, done.arm),
        slipped.arm[slipped.phase < 3],
        atol=1e-3,
    )


# ---- held, by hand


def test_held_loads_by_hand() -> None:
    """Truth: statics with round numbers, g = 10 m/s^2, the arm level, the line straight down.

    Weight 1000 kg at 1 m gives 10 kN m; the arm, 100 kg with its balance 1 m to the rear, takes
    1 kN m off; the cords hang half on the tip: 10 kg at 4 m take 0.4 kN m off. The line at 4 m
    holds 8.6 kN m with 2150 N. The axle carries 10,000 + 1,000 + 100 + 2,150 N.
    """
    machine = build(
        {
            "arm.long": 4.0, "arm.short": 1.0, "arm.mass": 100.0, "arm.balance": 1.0,
            "arm.inertia": 100.0, "arm.cocked": 0.0, "axle.height": 3.0,
            "counterweight.mass": 1000.0, "counterweight.hanger": 1.0, "sling.length": 3.5,
            "sling.mass": 20.0, "sling.pouch": 1.0, "projectile.mass": 10.0,
            "winch.x": -4.0, "winch.y": 0.0, "winch.on_arm": 4.0, "site.gravity": 10.0,
        }
    )  # fmt: skip
    held = sw.held(machine)
    assert held.torque == pytest.approx(8600.0)
    assert held.lever == pytest.approx(4.0)
    assert held.hook_load == pytest.approx(2150.0)
    assert held.axle_load == pytest.approx(13_250.0)
    assert held.axle_force == pytest.approx((0.0, 13_250.0), abs=1e-9)
    assert held.pin_load == pytest.approx(10_000.0)
    aslant = sw.held(machine.change({"hook.x": -4.0 + 3.0 / math.sqrt(3.0), "hook.y": 0.0}))
    assert aslant.hook_load == pytest.approx(2150.0 / math.cos(math.pi / 6.0))
    assert aslant.axle_force[0] == pytest.approx(-2150.0 * math.tan(math.pi / 6.0))


def test_weight_too_light_needs_no_hook() -> None:
    """Truth: statics: an arm that sinks by itself pulls at no hook."""
    held = sw.held(otter_ford(counterweight__mass=1.0))
    assert held.torque < 0.0
    assert held.hook_load == 0.0


def test_throw_carries_its_held_loads() -> None:
    """Truth: the statics of the same machine."""
    machine = otter_ford()
    assert sw.throw(machine).held == sw.held(machine)


@pytest.mark.parametrize("height", [-3.0, 0.0, 4.0])
@pytest.mark.parametrize("wind", [0.0, 30.0, -12.0])
def test_many_flights_in_step_land_as_one_by_one(wind: float, height: float) -> None:
    """Truth: the flight flown alone, from above, on and below its landing level and the ground."""
    machine = otter_ford(site__wind=wind, site__height=height)
    given = machine.moving()
    given[MOVING_INDEX["projectile.mass"]] = 0.6  # light, as an empty pouch
    draw = np.random.default_rng(20310614)
    starts = np.column_stack(
        [
            draw.uniform(-10.0, 10.0, 400),
            draw.uniform(-2.0, 8.0, 400),
            draw.uniform(-40.0, 40.0, 400),
            draw.uniform(-40.0, 40.0, 400),
        ]
    )
    starts[:4, 1] = 0.5 * machine.number("projectile.diameter")
    starts[:4, 3] = (0.0, -1.0, 5.0, -20.0)
    alone = np.zeros((400, 8))
    for start, landing in zip(starts, alone, strict=True):
        flight_module().fly(*start, given, 1e-7, landing, np.empty((0, 5)))
    found = land(starts, np.tile(given, (400, 1)))
    assert found[:, :7] == pytest.approx(alone[:, :7], rel=1e-7, abs=1e-7)
    assert len(set(found[:, 6])) == (2 if height > 0.0 else 1)

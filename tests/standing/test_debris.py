"""Pieces that come loose, and drift aside.

Truths: differences of places over time for the velocities; the parabola without air; scipy's
integration in three dimensions; momentum.
"""

import math
from functools import cache

import numpy as np
import pytest
from scipy.integrate import solve_ivp

import slingwright as sw
from slingwright.motion.across import fly_across
from slingwright.motion.known import follow
from slingwright.standing.debris import DRY, PRONG, RING, STEEL, STONE, _loose
from slingwright.standing.drift import cord_speed, drift
from slingwright.standing.zone import zone
from slingwright.strength.loads.brief import EMPTY, loaded_machine


@cache
def machine(name="otter_ford"):
    return sw.read_machine(name)


@cache
def found(name="otter_ford"):
    return zone(machine(name))


def piece(one, name):
    return next(each for each in one.pieces if each.name == name)


@pytest.mark.parametrize("name", ["otter_ford", "fixed_pair", "on_wheels"])
def test_velocities_are_those_of_the_places(name):
    """Truth: central differences of each place over time."""
    done = sw.throw(machine(name), swing_through=1.0)
    count = len(done.time)
    for key, (place, velocity, time) in _loose(done, dry=True).items():
        if not len(time):
            continue
        place, velocity, time = place[:count], velocity[:count], time[:count]  # one corner
        step = time[2:] - time[:-2]
        inside = (step > 1e-4) & (np.diff(done.phase)[1:] == 0) & (np.diff(done.phase)[:-1] == 0)
        rate = (place[2:] - place[:-2])[inside] / step[inside][:, None]
        off = np.abs(rate - velocity[1:-1][inside]).max(axis=1)
        assert np.median(off) < 2e-3 * np.abs(velocity).max() + 1e-9, key
        assert off.max() < 0.05 * np.abs(velocity).max() + 1e-9, key


def test_box_corners_are_half_a_diagonal_off_its_middle():
    """Truth: geometry; four corners of a box, each as far from its middle, which is theirs."""
    done = sw.throw(machine(), swing_through=1.0)
    place, _, _ = _loose(done, dry=False)[STONE]
    corners = place.reshape(4, -1, 2)
    n = machine().number
    half = 0.5 * math.hypot(n("counterweight.width"), n("counterweight.height"))
    for corner in corners:
        assert np.hypot(*(corner - done.weight).T) == pytest.approx(half, rel=1e-9)
    assert corners.mean(axis=0) == pytest.approx(done.weight, abs=1e-9)
    # held at rest the box hangs level: its sides are upright
    start = corners[:, 0] - done.weight[0]
    assert np.abs(start) == pytest.approx(
        np.tile([0.5 * n("counterweight.width"), 0.5 * n("counterweight.height")], (4, 1)), abs=0.02
    )


def test_prong_flies_the_parabola_of_its_fastest_moments():
    """Truth: speed = arm.long times the turning rate; x = v t, y = g t^2 / 2 from each moment."""
    m, one = machine(), found()
    g = m.number("site.gravity")
    far, fast = [], {}
    for load in (EMPTY, *m.brief):
        done = follow(loaded_machine(m, load), tolerance=1e-7, units=8.0).throw
        speed = np.abs(done.arm_rate) * m.number("arm.long")
        fast[load.name] = speed.max()
        arm = (done.tip - done.axle) / m.number("arm.long")
        v = done.arm_rate[:, None] * m.number("arm.long") * np.column_stack([arm[:, 1], -arm[:, 0]])
        t = (v[:, 1] + np.sqrt(v[:, 1] ** 2 + 2 * g * done.tip[:, 1])) / g
        far.append(done.tip[:, 0] + v[:, 0] * t)
    prong = piece(one, PRONG)
    assert prong.dry == pytest.approx(fast.pop(EMPTY.name), rel=1e-9)
    assert prong.speed == pytest.approx(max(fast.values()), rel=1e-9)
    assert prong.ahead == pytest.approx(max(each.max() for each in far), rel=1e-6)
    assert prong.behind == pytest.approx(-min(each.min() for each in far), rel=1e-6)
    assert prong.dry > 1.2 * prong.speed  # loosed empty it is faster
    assert DRY in prong.worst and "loosed empty" in prong.told


def test_ring_flies_with_the_drag_of_its_ball():
    """Truth: scipy's integration with Morrison's drag from the fastest moments; never farther than
    without air."""
    m = machine().change({"prong.diameter": 0.04})
    thin, thick = piece(found(), RING), piece(zone(m), RING)
    assert thin.speed == pytest.approx(thick.speed)
    assert thin.ahead < thick.ahead  # heavier for its width
    done = follow(loaded_machine(machine(), EMPTY), tolerance=1e-7, units=8.0).throw
    place, velocity, time = _loose(done, dry=True)[RING]
    same = np.flatnonzero(np.abs(time - thin.when) < 1e-9)  # the ring slips between two of them
    at = int(same[np.argmax(np.hypot(*velocity[same].T))])
    prong = machine().number("prong.diameter")
    bar, ring = 0.5 * prong, 2.0 * prong
    mass = STEEL * 0.25 * math.pi * bar**2 * math.pi * ring  # a torus, by Pappus
    landed = flown(
        machine(), (*place[at], 0.0), (*velocity[at], 0.0), (0.0, 0.0), mass, ring + bar, 0.0
    )
    assert thin.worst == DRY and landed[0] == pytest.approx(thin.ahead, rel=2e-3)


def flown(m, place, velocity, wind, mass, across, level, smooth=0.0, given=None):
    """Landing of a ball in three dimensions by scipy; the drag law is the kit's, tested apart."""
    from slingwright.motion.source.code import flight_module

    air, rho, g = flight_module(), m.number("site.air_density"), m.number("site.gravity")
    area = 0.25 * math.pi * across**2

    def rhs(_, y):
        x = y[3:] - np.array([wind[0], 0.0, wind[1]])
        speed = math.sqrt(x @ x)
        reynolds = rho * across * speed / air.VISCOSITY
        share = (
            given
            if given is not None
            else air.sphere_drag(reynolds if smooth else min(air.ROUGH_TO, reynolds))
        )
        return [*y[3:], *(-0.5 * rho * share * area / mass * speed * x - np.array([0.0, g, 0.0]))]

    def down(_, y):
        return y[1] - level - 0.5 * across if y[4] < 0.0 else 1.0

    down.terminal = True
    end = solve_ivp(rhs, (0.0, 100.0), [*place, *velocity], events=down, rtol=1e-10, atol=1e-10)
    y = end.y_events[0][0]
    return y[0], y[2], float(end.t_events[0][0])


@pytest.mark.parametrize("count", [1, 70])
def test_flight_across_the_wind_is_scipys(count):
    """Truth: scipy's integration in three dimensions; one by one, and many in step."""
    rng = np.random.default_rng(3)
    m = machine().change({"projectile.drag": 0.47, "site.height": -4.0, "site.wind": 6.0})
    place = np.column_stack([rng.uniform(-5, 5, count), rng.uniform(2, 12, count)])
    velocity = rng.uniform([-40, -10, -8], [45, 40, 8], (count, 3))
    wind = rng.uniform(-12, 12, (count, 2))
    landed = fly_across(np.tile(m.moving(), (count, 1)), place, velocity, wind)
    n = m.number
    for row in range(min(count, 12)):
        truth = flown(
            m, (*place[row], 0.0), velocity[row], wind[row],
            n("projectile.mass"), n("projectile.diameter"), -4.0, given=0.47,
        )  # fmt: skip
        assert landed[row] == pytest.approx(truth, abs=2e-4)


def test_drift_is_that_of_each_cause():
    """Truth: fly_across for the wind; without air x tan of the sway and momentum for the cord."""
    bare = machine().change({"site.air_density": 0.0, "release.cord": 0.0, "release.sway": "3 deg"})
    place, velocity = np.array([1.0, 9.0]), np.array([25.0, 20.0])
    g = bare.number("site.gravity")
    level = 0.5 * bare.number("projectile.diameter")
    aloft = (20.0 + math.sqrt(400.0 + 2.0 * g * (9.0 - level))) / g
    one = drift(bare, "it", place, velocity, 0.7)
    assert one.wind == pytest.approx(0.0, abs=1e-9)
    assert one.sway == pytest.approx(math.hypot(25, 20) * math.sin(math.radians(3)) * aloft, 1e-6)
    assert one.cord == pytest.approx(0.7 * aloft, rel=1e-6)
    assert one.z == pytest.approx(one.sway + one.cord) and one.x == pytest.approx(1 + 25 * aloft)
    windy = machine().change({"site.crosswind": -6.0, "site.unsteady": 2.0, "release.sway": 0.0})
    one = drift(windy, "it", place, velocity, 0.0)
    given = windy.moving()[None]
    landed = fly_across(given, place[None], np.array([[25, 20, 0.0]]), np.array([[0.0, -8.0]]))
    assert one.wind == one.z == pytest.approx(-landed[0, 1]) and one.sway == one.cord == 0.0
    calm = drift(windy.change({"site.crosswind": 6.0}), "it", place, velocity, 0.0)
    assert calm.z == pytest.approx(one.z)


def test_one_cord_gives_its_share_of_the_pull():
    """Truth: momentum by hand: half the width over the sling, for as long as the sling turns."""
    m = machine().change(
        {"sling.pouch_width": 0.3, "sling.length": 4.0, "sling.pouch": 1.0, "release.cord": "6 deg"}
    )
    mass = m.number("projectile.mass") + 1.0
    time = math.radians(6.0) / 3.0
    (speed,) = cord_speed(m, np.array([2000.0]), np.array([-3.0]), np.array([30.0]))
    assert speed == pytest.approx(2000.0 * 0.15 / 4.0 * time / mass)
    still = cord_speed(m, np.array([2000.0, 0.0]), np.zeros(2), np.array([5.0, 5.0]))
    assert still.tolist() == [5.0, 0.0]


def test_what_drifts_off_the_ground_to_keep_clear_fails_and_says_how_wide():
    """Truth: the outline's own rule."""
    wide = zone(machine().change({"release.sway": "20 deg", "site.limit": 2000.0}))
    assert wide.strays and wide.verdict == "fails" and "widen site.sideways to" in wide.sentence
    for one in wide.drifts:
        assert (one in wide.strays) == (not wide.covers(one.x, one.z))
    assert not found().strays


def test_pieces_reach_the_ground_to_keep_clear_answer_table_and_record():
    """Truth: the rule; a slow throw, loosed empty, flings its pouch farther than its load."""
    one = zone(machine("fixed_pair").change({"projectile.mass": 90.0, "counterweight.mass": 800.0}))
    name, far = one.flown
    assert far > one.forward and name in {each.name for each in one.pieces}
    assert one.clear_ahead >= one.margin * far
    keys = {row.key for row in one.rows()}
    for each in one.pieces:
        assert f"debris.{each.name}" in keys and each.told in one.report()
    pieces, drifts = one.beside_loads()
    assert [line[0] for line in pieces.lines] == [each.name for each in one.pieces]
    assert [line[0] for line in drifts.lines] == [each.flight for each in one.drifts]
    assert one.record()["debris"][0]["name"] == PRONG and one.record()["drift"][0]["z"] > 0.0
    assert "without air" in pieces.caption and "assumptions" in drifts.caption

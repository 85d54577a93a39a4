"""Drag of a sphere and flights with it, against other correlations, closed forms and worked values.

Each test names its truth.
"""

import math

import fluids.drag
import numpy as np
import pytest
from outside.flights import fly
from outside.machines import otter_ford
from scipy.integrate import solve_ivp

import slingwright as sw
from slingwright.motion.source.code import flight_module


def test_drag_coefficient_is_morrisons():
    """Truth: F. A. Morrison, Data Correlation for Drag Coefficient for Sphere, Michigan
    Technological University 2010: 0.42468 at Re = 1e5; and fluids.drag.Morrison up to 1e6."""
    drag = flight_module().sphere_drag
    assert drag(1e5) == pytest.approx(0.42468, abs=6e-6)
    for reynolds in np.logspace(-3, 6, 400):
        assert drag(reynolds) == pytest.approx(fluids.drag.Morrison(reynolds), rel=1e-12)


def test_drag_coefficient_agrees_with_other_fits_before_the_crisis():
    """Truth: fluids.drag Clift-Gauvin, Haider-Levenspiel and Cheng, Re 0.1 to 2e5, to 16 %
    (they differ from one another by as much), and their mean to 13 %."""
    drag = flight_module().sphere_drag
    fits = (fluids.drag.Clift_Gauvin, fluids.drag.Haider_Levenspiel, fluids.drag.Cheng)
    for reynolds in np.logspace(-1, math.log10(2e5), 60):
        others = [fit(reynolds) for fit in fits]
        assert drag(reynolds) == pytest.approx(np.mean(others), rel=0.13)
        assert all(drag(reynolds) == pytest.approx(other, rel=0.16) for other in others)


def test_drag_falls_at_the_crisis_as_measured():
    """Truth: fluids.drag: the drop between Re 1e5 and 5e5, from 0.42 to 0.09, which Almedeij's fit
    shows as well (0.484 to 0.086)."""
    drag = flight_module().sphere_drag
    assert drag(2.9e5) == pytest.approx(0.1894, abs=1e-4)
    assert drag(5e5) == pytest.approx(fluids.drag.Almedeij(5e5), rel=0.03)


def test_drag_is_held_past_the_data():
    """Truth: the data of Morrison's fit end at Re = 1e6; past that its value there is kept."""
    drag = flight_module().sphere_drag
    assert drag(1e8) == drag(1e6) == pytest.approx(fluids.drag.Morrison(1e6), rel=1e-12)
    assert math.isfinite(drag(0.0)) and math.isfinite(drag(1e-300))


def test_a_rough_sphere_keeps_its_drag():
    """Truth: E. Achenbach, J. Fluid Mech. 65 (1974) 113, from memory: a sphere whose roughness is
    1.25 % of its size has about 0.4 at any Reynolds number past 1e5; where a flight stays slow, and
    for a drag that is given, the surface changes nothing."""
    rough, smooth = (
        otter_ford(projectile__diameter=0.3, projectile__smooth=flag) for flag in (False, True)
    )
    drag = flight_module().sphere_drag
    held = rough.change({"projectile.drag": float(drag(flight_module().ROUGH_TO))})
    assert float(held["projectile.drag"]) == pytest.approx(0.4, abs=0.03)
    far, near, by_number = (sw.throw(one).range for one in (smooth, rough, held))
    # Never slower than Re = 1e5 at 5 m/s: the law is then the number.
    assert near == pytest.approx(by_number, rel=1e-3) and far > 1.02 * near
    given = sw.throw(held.change({"projectile.smooth": True})).range
    assert given == pytest.approx(by_number, rel=1e-12)
    for one in (rough, smooth):
        row = sw.sweep(one, {"site.wind": np.zeros(64)}, loads=False)
        assert row["range"][63] == pytest.approx(sw.throw(one).range, rel=1e-8)
    # What is kept clear does not rest on a rough surface, nor on a smooth one in a gale.
    assert sw.zone(rough).forward == pytest.approx(sw.zone(smooth).forward, rel=1e-9)
    gale = {"site.wind": 40.0, "projectile.mass": 6.0, "counterweight.mass": 400.0}
    blown = [one.change(gale) for one in (rough, smooth)]
    assert sw.throw(blown[0]).range > 1.02 * sw.throw(blown[1]).range
    for one in blown:
        for leaving in sw.zone(one).leavings:
            assert leaving.forward >= leaving.planned * (1.0 - 1e-4)
            assert leaving.flight(leaving.farthest)[-1, 0] == pytest.approx(
                leaving.forward, rel=1e-4
            )


def test_falling_sphere_equals_the_librarys():
    """Truth: fluids.drag.integrate_drag_sphere with Morrison's correlation; buoyancy, which it
    counts and we do not, is put into gravity."""
    density, diameter, viscosity = 1.225, 0.05, flight_module().VISCOSITY
    stone = 2600.0
    mass = stone * math.pi * diameter**3 / 6.0
    for drop in (5.0, 40.0, 150.0):
        gravity = 9.80665 * (1.0 - density / stone)
        flight = fly(
            speed=0.0,
            elevation=0.0,
            mass=mass,
            diameter=diameter,
            height=drop + diameter / 2,
            site__gravity=gravity,
        )
        speed, distance = fluids.drag.integrate_drag_sphere(
            D=diameter,
            rhop=stone,
            rho=density,
            mu=viscosity,
            t=flight.time,
            V=0.0,
            Method="Morrison",
            distance=True,
        )
        assert -flight.v_y == pytest.approx(speed, rel=1e-5)
        assert drop == pytest.approx(distance, rel=1e-5)


def test_terminal_speed_equals_the_librarys():
    """Truth: fluids.v_terminal with Morrison's correlation (16 m/s, Re = 1.1e5), with buoyancy put
    into gravity: a light projectile thrown down at that speed keeps it."""
    diameter, ball, density = 0.1, 100.0, 1.225
    wanted = fluids.v_terminal(
        D=diameter, rhop=ball, rho=density, mu=flight_module().VISCOSITY, Method="Morrison"
    )
    kept = fly(
        speed=wanted,
        elevation=-math.pi / 2,
        mass=ball * math.pi * diameter**3 / 6.0,
        diameter=diameter,
        height=300.0,
        site__gravity=9.80665 * (1.0 - density / ball),
    )
    assert -kept.v_y == pytest.approx(wanted, rel=1e-6)


def test_bowling_ball_falls_faster_than_the_fit_carried_past_its_data():
    """Truth: fluids.v_terminal gives 118.8 m/s at Re = 1.8e6, where Morrison's fit has no data and
    rises; held at its value of Re = 1e6 the same balance of weight and drag gives more."""
    diameter, mass, density = 0.2183, 7.26, 1.225
    ball = mass / (math.pi * diameter**3 / 6.0)
    carried_on = fluids.v_terminal(
        D=diameter, rhop=ball, rho=density, mu=flight_module().VISCOSITY, Method="Morrison"
    )
    area = math.pi / 4 * diameter**2
    held = math.sqrt(2 * mass * 9.80665 / (density * fluids.drag.Morrison(1e6) * area))
    kept = fly(speed=held, elevation=-math.pi / 2, mass=mass, diameter=diameter, height=300.0)
    assert carried_on == pytest.approx(118.8, abs=0.1)
    assert -kept.v_y == pytest.approx(held, rel=1e-6)
    assert held > carried_on


def test_worked_baseball_like_flight():
    """Truth: J. R. Taylor, Classical Mechanics, University Science Books 2005, example 2.6 (from
    memory): m 0.15 kg, D 0.07 m, f = 0.25 D^2 v^2, 30 m/s at 50 degrees, range about 59 m, vacuum
    about 90 m; integrated with g = 9.8 m/s2: 58.12 m, 4.106 s, apex 20.74 m, vacuum 90.44 m."""
    coefficient = 0.25 / (0.5 * 1.225 * math.pi / 4.0)
    how = {"speed": 30.0, "elevation": math.radians(50.0), "mass": 0.15, "diameter": 0.07}
    flight = fly(**how, projectile__drag=coefficient, site__gravity=9.8)
    assert flight.x == pytest.approx(58.12, abs=0.006)
    assert flight.time == pytest.approx(4.106, abs=6e-4)
    assert flight.apex - 0.035 == pytest.approx(20.74, abs=0.006)
    vacuum = fly(**how, site__air_density=0.0, site__gravity=9.8)
    assert vacuum.x == pytest.approx(90.44, abs=0.006)


def test_flight_with_square_drag_equals_another_integrator():
    """Truth: scipy's DOP853 at 1e-12 with its own event, wind included."""
    mass, diameter, gravity, wind = 9.0, 0.19, 9.80665, -7.0
    constant = 0.5 * 1.225 * 0.47 * math.pi / 4 * diameter**2 / mass

    def rates(_, y):
        air = np.array([y[2] - wind, y[3]])
        slow = constant * np.linalg.norm(air)
        return [y[2], y[3], -slow * air[0], -gravity - slow * air[1]]

    def down(_, y):
        return y[1]

    down.terminal, down.direction = True, -1.0
    for speed, degrees in ((20.0, 30.0), (48.0, 44.0), (90.0, 70.0)):
        angle = math.radians(degrees)
        run = solve_ivp(
            rates,
            (0.0, 60.0),
            [0.0, 0.0, speed * math.cos(angle), speed * math.sin(angle)],
            method="DOP853",
            rtol=1e-12,
            atol=1e-12,
            events=down,
        )
        flight = fly(
            speed=speed,
            elevation=angle,
            mass=mass,
            diameter=diameter,
            projectile__drag=0.47,
            site__wind=wind,
        )
        assert flight.time == pytest.approx(run.t[-1], rel=1e-9)
        assert flight.x == pytest.approx(run.y[0, -1], rel=1e-9)
        assert flight.v_x == pytest.approx(run.y[2, -1], rel=1e-8)
        assert flight.v_y == pytest.approx(run.y[3, -1], rel=1e-8)


def test_thrown_up_at_terminal_speed_it_comes_back_at_that_over_root_two():
    """Truth: closed form of vertical motion with square drag: return speed
    v v_t / sqrt(v^2 + v_t^2), which is v_t / sqrt(2) for v = v_t."""
    mass, diameter, drag = 2.0, 0.15, 0.5
    terminal = math.sqrt(2 * mass * 9.80665 / (1.225 * drag * math.pi / 4 * diameter**2))
    flight = fly(
        speed=terminal,
        elevation=math.pi / 2,
        mass=mass,
        diameter=diameter,
        projectile__drag=drag,
    )
    assert -flight.v_y == pytest.approx(terminal / math.sqrt(2.0), rel=1e-9)
    up = terminal / 9.80665 * math.pi / 4.0
    down = terminal / 9.80665 * math.atanh(1.0 / math.sqrt(2.0))
    assert flight.time == pytest.approx(up + down, rel=1e-9)


def test_school_ball():
    """Truth: schoolphysics.co.uk, Projectile motion and drag: 0.142 kg, terminal speed 42.5 m/s,
    hence 0.00077 N s2/m2 and 0.999 N at 36 m/s; from the closed form, thrown up at 36 m/s it
    rises 49.79 m and returns at 27.47 m/s (g = 9.81 m/s2)."""
    mass, diameter, gravity, terminal = 0.142, 0.0737, 9.81, 42.5
    per_square = mass * gravity / terminal**2
    assert per_square == pytest.approx(0.00077, abs=5e-6)
    assert per_square * 36.0**2 == pytest.approx(0.999, abs=1e-3)
    coefficient = per_square / (0.5 * 1.225 * math.pi / 4 * diameter**2)
    flight = fly(
        speed=36.0,
        elevation=math.pi / 2,
        mass=mass,
        diameter=diameter,
        projectile__drag=coefficient,
        site__gravity=gravity,
    )
    assert flight.apex - diameter / 2 == pytest.approx(49.79, abs=0.006)
    assert -flight.v_y == pytest.approx(27.47, abs=0.006)


def test_vacuum_speed_for_four_thousand_feet():
    """Truth: iconico.com, punkin ballistics: 4,000 ft at 45 degrees without air needs 244 mph."""
    speed = 244.6 * 0.44704
    flight = fly(speed=speed, elevation=math.pi / 4, site__air_density=0.0)
    assert flight.x / 0.3048 == pytest.approx(4000.0, rel=2e-3)
    assert flight.x == pytest.approx(speed**2 / 9.80665, rel=1e-10)


@pytest.mark.parametrize("degrees", [5.0, 30.0, 45.0, 80.0])
@pytest.mark.parametrize("drop", [-15.0, 0.0, 12.0])
def test_flight_without_air_is_the_parabola(degrees, drop):
    """Truth: closed form x = v_x t, t = (v_y + sqrt(v_y^2 - 2 g y)) / g to a landing level y."""
    speed, angle, gravity = 45.0, math.radians(degrees), 9.80665
    v_x, v_y = speed * math.cos(angle), speed * math.sin(angle)
    if v_y**2 < 2 * gravity * drop:
        drop = 0.5 * v_y**2 / (2 * gravity)
    flight = fly(speed=speed, elevation=angle, site__air_density=0.0, site__height=drop)
    time = (v_y + math.sqrt(v_y**2 - 2 * gravity * drop)) / gravity
    assert flight.time == pytest.approx(time, rel=1e-11)
    assert flight.x == pytest.approx(v_x * time, rel=1e-11)
    assert flight.y == pytest.approx(drop + 0.05, abs=1e-9)
    assert flight.apex - 0.05 == pytest.approx(v_y**2 / (2 * gravity), rel=1e-9)


def test_wind_is_a_moving_frame():
    """Truth: Galileo: with wind W the flight is that in still air seen from a frame at -W."""
    speed, angle, wind = 45.0, math.radians(40.0), 8.0
    v_x, v_y = speed * math.cos(angle), speed * math.sin(angle)
    blown = fly(speed=speed, elevation=angle, mass=10.0, diameter=0.2, site__wind=wind)
    still = fly(
        speed=math.hypot(v_x - wind, v_y),
        elevation=math.atan2(v_y, v_x - wind),
        mass=10.0,
        diameter=0.2,
    )
    assert blown.time == pytest.approx(still.time, rel=1e-9)
    assert blown.x == pytest.approx(still.x + wind * still.time, rel=1e-9)

"""Bound by energy, places of the crew and ground of the winding, each worked out by hand."""

import math

import numpy as np
import pytest
from scipy.special import lambertw

import slingwright as sw
from slingwright.standing.flung import flung
from slingwright.standing.ground import zone_outline
from slingwright.standing.leaving import _top
from slingwright.standing.places import (
    WindingGround,
    clear_beside,
    is_beside,
    loosing_place,
    winding_ground,
)
from slingwright.winch.hook import SlipHook

DIALS = {
    "site.gravity": 9.7,
    "arm.cocked": 0.6,
    "trough.height": 0.4,
    "sling.mass": 2.0,
    "sling.pouch": 0.9,
    "projectile.drag": 0.5,
    "projectile.diameter": 0.22,
    "site.height": -3.0,
    "site.wind": 0.0,
}


def machine(name, **more):
    changes = {**DIALS, **{path.replace("__", "."): value for path, value in more.items()}}
    return sw.read_machine(name).change(changes)


def freed(m):
    """Energy that the load can have at most: heights of every part's middle, held and lowest.

    Lowest: the arm straight up or straight down, whichever is lower, the cords hanging from its
    tip, and the load as low as arm and sling reach, but not under the ground.
    """
    n = m.number
    hung = n("counterweight.hanger") if m.flag("counterweight.hung") else 0.0
    lying = n("trough.height") + n("projectile.diameter") / 2
    tip = n("axle.height") - n("arm.long") * math.sin(n("arm.cocked"))

    def energy(up, cords):
        weight = n("axle.height") - up * n("arm.short") - hung
        arm = n("axle.height") + up * n("arm.balance")
        heights = (weight, arm, cords)
        masses = (n("counterweight.mass"), n("arm.mass"), n("sling.mass"))
        return n("site.gravity") * sum(a * b for a, b in zip(masses, heights, strict=True))

    held = energy(-math.sin(n("arm.cocked")), (tip + lying) / 2)
    least = min(
        energy(up, n("axle.height") + up * n("arm.long") - n("sling.length") / 2) for up in (1, -1)
    )
    low = max(n("projectile.diameter") / 2, n("axle.height") - n("arm.long") - n("sling.length"))
    thrown = n("projectile.mass") + n("sling.pouch")
    return held - least + thrown * n("site.gravity") * (lying - low), low


@pytest.mark.parametrize("name", ["otter_ford", "fixed_pair", "on_wheels"])
@pytest.mark.parametrize(
    "more", [{}, {"arm__mass": 900.0}, {"axle__height": 14.0, "trough__height": 8.5}]
)
def test_bound_without_wind_by_hand(name, more):
    """Truth: conservation of energy; R = v / g sqrt(v^2 + 2 g h), the parabola of safety."""
    m = machine(name, **more)
    n, (energy, low) = m.number, freed(m)
    one = flung(m)
    fastest = math.sqrt(2 * energy / (n("projectile.mass") + n("sling.pouch")))
    assert (one.energy, one.speed) == pytest.approx((energy, fastest), rel=1e-12)
    fall = low - n("projectile.diameter") / 2 + 3.0
    flight = fastest / 9.7 * math.sqrt(fastest**2 + 2 * 9.7 * fall)
    assert one.flight == pytest.approx(flight, rel=1e-12) and one.wind == 0.0
    half = flung(m, spent=energy / 2)
    assert half.energy == pytest.approx(energy / 2, rel=1e-12)
    assert flung(m, spent=-energy).energy == pytest.approx(energy, rel=1e-12)
    reach, rolled = n("arm.long") + n("sling.length"), 0.0
    if m.flag("base.wheels"):
        # The centre of mass stays: the base goes back by what the parts go forward, at most twice
        # their reach.
        hung = n("counterweight.hanger") if m.flag("counterweight.hung") else 0.0
        parts = [
            (n("arm.mass"), abs(n("arm.balance"))),
            (n("counterweight.mass"), n("arm.short") + hung),
            (n("sling.mass") + n("sling.pouch") + n("projectile.mass"), reach),
        ]
        whole = n("base.mass") + sum(mass for mass, _ in parts)
        rolled = 2 * sum(mass * off for mass, off in parts) / whole
    assert one.start == pytest.approx(reach + rolled, rel=1e-12)
    assert one.distance == pytest.approx(reach + rolled + flight, rel=1e-12)


def test_landing_above_the_machine_is_no_gain():
    """Truth: the rule: ground that rises ahead counts as level."""
    high, level = (flung(machine("otter_ford", site__height=y)) for y in (4.0, 0.0))
    assert high.flight == level.flight


@pytest.mark.parametrize("wind", [7.0, -7.0])
def test_wind_carries_as_long_as_a_load_can_be_aloft(wind):
    """Truth: v / g up, then the fall with drag in proportion to speed, by Lambert's W.

    z = a t solves z - 1 + exp(-z) = H a^2 / g; a is the drag at the greatest speed over that
    speed, 0.5 rho c A v / m. The wind blows for that long, and counts as speed of its own too.
    """
    m = machine("otter_ford", site__wind=wind)
    n, (energy, low) = m.number, freed(m)
    fastest = math.sqrt(2 * energy / (n("projectile.mass") + 0.9))
    fall = low - 0.11 + 3.0
    top = math.hypot(fastest + 7.0, math.sqrt(2 * 9.7 * fall))
    slowing = 0.5 * n("site.air_density") * 0.5 * math.pi * 0.11**2 * top / n("projectile.mass")
    b = (fastest**2 / (2 * 9.7) + fall) * slowing**2 / 9.7
    aloft = fastest / 9.7 + (1 + b + float(lambertw(-math.exp(-1 - b), 0).real)) / slowing
    one = flung(m)
    assert one.wind == pytest.approx(7.0 * aloft, rel=1e-7)
    speed = fastest + 7.0
    assert one.flight == pytest.approx(speed / 9.7 * math.sqrt(speed**2 + 2 * 9.7 * fall))
    assert one.distance == pytest.approx(one.start + one.flight + one.wind)
    still = flung(machine("otter_ford", site__wind=wind, site__air_density=0.0))
    assert still.wind == 0.0 and still.flight == flung(machine("otter_ford")).flight


def test_a_smooth_ball_is_slowed_by_its_drag_at_any_speed():
    """Truth: with its drag by Reynolds number a ball is never carried less than with the least."""
    ball = machine("otter_ford", site__wind=5.0, projectile__drag=None)
    thick, thin = (
        flung(machine("otter_ford", site__wind=5.0, projectile__drag=c)) for c in (0.6, 0.05)
    )
    assert thin.wind < flung(ball).wind < thick.wind


def test_who_looses_by_hand():
    """Truth: geometry: abreast of the hook on a circle 5 % outside the sweep with its margin."""
    m = machine("otter_ford", hook__on_arm=5.0)
    n = m.number
    hook = -5.0 * math.cos(0.6), n("axle.height") - 5.0 * math.sin(0.6)
    sweep = n("site.margin") * (n("arm.long") + n("sling.length"))
    assert clear_beside(m) == pytest.approx(sweep, rel=1e-12)
    place = loosing_place(m)
    assert (place.hook_x, place.hook_y) == pytest.approx(hook, rel=1e-12)
    across = math.sqrt((1.05 * sweep) ** 2 - hook[0] ** 2)
    assert (place.x, place.z) == pytest.approx((hook[0], across), rel=1e-9)
    slip = SlipHook()
    lanyard = math.hypot(across, hook[1] - slip.hand_y) + slip.slack
    assert place.lanyard == pytest.approx(lanyard, rel=1e-9)
    # The shortest lanyard reaches as far back as the sector leaves room, a degree beside it.
    rear = math.pi - n("site.sideways") - math.radians(1.0)
    back = 1.05 * sweep * math.cos(rear), 1.05 * sweep * math.sin(rear)
    short = math.dist((*hook, 0.0), (back[0], slip.hand_y, back[1])) + slip.slack
    assert place.needed == pytest.approx(short, rel=1e-9) and short < lanyard
    fits = loosing_place(m, (short + lanyard) / 2)
    assert (fits.x, fits.z, fits.lanyard) == pytest.approx((*back, short), rel=1e-9)
    ahead = loosing_place(m, hook=SlipHook(hook_x=4.0, hook_y=0.5))
    front = n("site.sideways") + math.radians(1.0)
    near = 1.05 * sweep * math.cos(front), 1.05 * sweep * math.sin(front)
    assert (ahead.hook_x, ahead.hook_y, ahead.x) == pytest.approx((4.0, 0.5, 4.0))
    assert ahead.needed == pytest.approx(
        math.dist((4.0, 0.5, 0.0), (near[0], slip.hand_y, near[1])) + slip.slack
    )
    far = loosing_place(m, hook=SlipHook(hook_x=-5.0 * sweep, hook_y=0.5))
    assert (far.x, far.z) == pytest.approx(back, rel=1e-9)


def test_beside_is_outside_both_sectors_and_the_sweep():
    """Truth: geometry, half a degree to either side of each edge."""
    m = machine("otter_ford")
    sweep, sideways = clear_beside(m), m.number("site.sideways")
    for bearing, beside in ((sideways, 1), (math.pi - sideways, -1)):
        for off in (0.01, -0.01):
            angle = bearing + off
            x, z = (2.0 * sweep * f(angle) for f in (math.cos, math.sin))
            assert is_beside(m, x, z) == is_beside(m, x, -z) == (off * beside > 0.0)
    assert is_beside(m, 0.0, 1.01 * sweep) and not is_beside(m, 0.0, 0.99 * sweep)


def test_ground_of_the_winding_by_hand():
    """Truth: geometry: the rope is longest with the arm upright."""
    m = machine("otter_ford", winch__on_arm=4.0, winch__x=-3.0, winch__y=0.3, winch__aside=0.6)
    n, ground = m.number, winding_ground(m)
    assert ground.sweep == pytest.approx(n("arm.long") + n("sling.length"))
    assert ground.half_width == pytest.approx(n("axle.span") / 2)
    assert ground.rope == pytest.approx(math.hypot(3.0, n("axle.height") + 4.0 - 0.3))
    assert ground.arm_x == pytest.approx(-4.0 * math.cos(0.6))
    assert (ground.drum_x, ground.drum_z, ground.crew_x) == (-3.0, 0.6, -3.0)
    assert ground.crew_z == pytest.approx(1.05 * (max(n("axle.span") / 2, 0.6) + n("winch.crank")))
    assert ground.spread == n("site.sideways")


@pytest.mark.parametrize(
    ("place", "covered"),
    [
        ((9.9, 0.9), True),
        ((-9.9, -0.9), True),
        ((10.1, 0.0), False),
        ((0.0, -1.1), False),
        ((-3.0, 1.5), True),  # on the rope's line, between its ends
        ((-3.0, 1.6), False),
        ((-7.0, 1.5 + 0.9), True),  # past the rear end by 2 m, 0.9 m off: under 26.6 deg
        ((-7.0, 1.5 + 1.1), False),
        ((-7.0, 1.5 - 1.1 - 0.5), True),  # beside the rope, but between the frames
        ((1.0, 1.5 + 0.9), True),  # past the front end by 2 m
        ((1.0, 1.5 + 1.1), False),
        ((-13.1, 1.5), False),  # past the end by more than the rope's 8 m
        ((-12.9, 1.5), True),
        ((-12.0, 1.5 + 3.4), True),  # 7 m on and 3.4 m off are 7.8 m
        ((-12.5, 1.5 + 3.4), False),  # 7.5 m on and 3.4 m off are 8.2 m
    ],
)
def test_what_the_winding_ground_covers(place, covered):
    """Truth: geometry: the frames' breadth, and the rope's whip from -5 m and -1 m on its line."""
    ground = WindingGround(
        sweep=10.0,
        half_width=1.0,
        rope=8.0,
        spread=math.atan(0.5),
        drum_x=-5.0,
        drum_z=1.5,
        arm_x=-1.0,
        crew_x=-5.0,
        crew_z=3.0,
    )
    assert ground.covers(*place) == covered


def test_outline_has_four_arcs():
    """Truth: a sector of 0.3 rad to either side ahead and behind, a circle between."""
    outline = zone_outline(30.0, 20.0, 5.0, 0.3, 7)
    away, angle = np.hypot(*outline.T), np.arctan2(outline[:, 1], outline[:, 0]) % (2 * math.pi)
    wanted = np.repeat([30.0, 5.0, 20.0, 5.0], 7)
    assert away == pytest.approx(wanted)
    ends = [(-0.3, 0.3), (0.3, math.pi - 0.3), (math.pi - 0.3, math.pi + 0.3)]
    ends.append((math.pi + 0.3, 2 * math.pi - 0.3))
    turned = np.concatenate([np.linspace(*pair, 7) for pair in ends]) % (2 * math.pi)
    assert angle == pytest.approx(turned)


@pytest.mark.parametrize("steps", [(0.1, 0.1), (0.05, 0.3)])
def test_top_between_three_values_is_the_parabola_s(steps):
    """Truth: a parabola of known top through three moments of uneven steps."""
    time = np.cumsum([1.0, *steps])
    value = 7.0 - 3.0 * (time - 1.0 - steps[0] * 1.3) ** 2
    at = int(np.argmax(value))
    assert _top(time, value, 1) == pytest.approx(7.0) if at == 1 else value[at] < 7.0
    assert _top(time, value, 0) == value[0] and _top(time, value, 2) == value[2]
    assert _top(np.array([0.0, 0.0, 1.0]), np.array([1.0, 2.0, 1.0]), 1) == 2.0
    assert _top(np.arange(3.0), np.array([3.0, 2.0, 4.0]), 1) == 2.0

"""Cases at rest by plane statics: every force on the piece of the arm beyond a place, summed."""

import math
from functools import cache

import numpy as np
import pytest

import slingwright as sw
from slingwright.strength.loads.arm import arm_mass_line
from slingwright.strength.loads.cases import WIND_STEPS, load_cases
from slingwright.winch.cycle import winding

CHANGES = {
    "otter_ford": {
        "arm.cocked": 0.6,
        "sling.mass": 3.0,
        "winch.on_arm": 4.1,
        "hook.on_arm": 4.9,
        "hook.x": -5.2,
        "site.gravity": 9.7,
    },
    "fixed_pair": {"sling.mass": 2.0},
}
PARTS = 40  # slices of the arm between two of its places


@cache
def machine(name):
    return sw.read_machine(name).change(CHANGES[name])


def quick(m):
    """Load cases of a machine, with one throw alone."""
    return load_cases(m, quick=True, only="empty sling")


@cache
def at_rest(name):
    return {case.kind: case for case in quick(machine(name)) if case.throw is None}


def rope(name, kind):
    """Force (x, y) of what holds the arm, at each elevation, and where on the arm it pulls.

    The hook and the hoist balance the weights about the axle; the winding has its own pulls.
    """
    m = machine(name)
    n, case = m.number, at_rest(name)[kind]
    place = n("hook.on_arm" if kind == "held" else "winch.on_arm")
    turned = case.elevation
    at = place * np.column_stack([-np.cos(turned), np.sin(turned)]) + (0.0, n("axle.height"))
    if kind == "winding":
        wound = winding(m, steps=WIND_STEPS)
        way = np.array([n("winch.x"), n("winch.y")]) - at
        return wound.arm_pull[:, None] * way / np.linalg.norm(way, axis=1)[:, None], place
    way = np.array([[0.0, -1.0]])
    if kind == "held" and m["hook.x"] is not None:
        way = np.array([n("hook.x"), n("hook.y")]) - at
    way = way / np.linalg.norm(way)
    jerk = 1.2 if kind == "hoist" else 1.0
    first = jerk * n("counterweight.mass") * n("arm.short")
    first -= n("arm.mass") * n("arm.balance") + 0.5 * n("sling.mass") * n("arm.long")
    torque = first * n("site.gravity") * math.cos(turned[0])
    lever = abs(at[0, 0] * way[0, 1] - (at[0, 1] - n("axle.height")) * way[0, 0])
    return torque / lever * way, place


def pieces(name, kind):
    """Places along the arm of all that loads it, and the forces there (k, 2), by elevation."""
    m = machine(name)
    n, case = m.number, at_rest(name)[kind]
    gravity = n("site.gravity")
    line = arm_mass_line(m, 61)
    fine = np.concatenate(
        [
            a + (b - a) * (np.arange(PARTS) + 0.5) / PARTS
            for a, b in zip(line.position, line.position[1:], strict=False)
        ]
    )
    slices = np.interp(fine, line.position, line.line_mass)
    slices = slices * np.repeat(np.diff(line.position) / PARTS, PARTS)
    jerk = 1.2 if kind == "hoist" else 1.0
    masses = [*slices, 0.5 * n("sling.mass"), jerk * n("counterweight.mass")]
    pull, on_arm = rope(name, kind)
    places = np.array([*fine, n("arm.long"), -n("arm.short"), on_arm])
    for step, turned in enumerate(case.elevation):
        forces = np.column_stack([np.zeros(len(masses)), -gravity * np.array(masses)])
        yield turned, places, np.vstack([forces, pull[step]])


@pytest.mark.parametrize("kind", ["held", "winding", "hoist"])
@pytest.mark.parametrize("name", CHANGES)
def test_arm_at_rest_by_statics(name, kind):
    """Truth: sum of forces and moments on the piece beyond a place, largest over the winding.

    On the short arm the piece reaches to the pin; at the axle the larger of both is told.
    """
    case = at_rest(name)[kind]
    moment, shear, pull = (np.zeros(case.position.size) for _ in range(3))
    for turned, places, forces in pieces(name, kind):
        along = np.array([-math.cos(turned), math.sin(turned)])
        across = np.array([math.sin(turned), math.cos(turned)])
        sides = [(i, s, way) for i, s in enumerate(case.position) for way in (1.0, -1.0)]
        for i, s, way in sides:
            if s * way < 0.0:
                continue
            on_piece = way * (places - s) > 0.0
            on_piece[-2] |= s == case.position[0]  # the weight hangs at the pin itself
            on_piece[-3] |= s == case.position[-1]  # and the cords at the tip
            whole = forces[on_piece].sum(axis=0)
            turning = ((places[on_piece] - s) * (forces[on_piece] @ across)).sum()
            moment[i] = max(moment[i], abs(turning))
            shear[i] = max(shear[i], abs(whole @ across))
            pull[i] = max(pull[i], abs(whole @ along))
    assert case.moment == pytest.approx(moment, rel=1e-5, abs=1e-5 * moment.max())
    assert case.shear == pytest.approx(shear, rel=1e-5, abs=1e-6 * shear.max())
    assert case.arm_pull == pytest.approx(pull, rel=1e-5, abs=1e-6 * pull.max())


@pytest.mark.parametrize("kind", ["held", "winding", "hoist"])
@pytest.mark.parametrize("name", CHANGES)
def test_axle_pin_and_ground_at_rest_by_statics(name, kind):
    """Truth: sum of all forces on arm and weights; what the frame holds the arm with is its own."""
    m = machine(name)
    n, case = m.number, at_rest(name)[kind]
    jerk = 1.2 if kind == "hoist" else 1.0
    gravity = n("site.gravity")
    masses = (jerk * n("counterweight.mass"), n("arm.mass"), 0.5 * n("sling.mass"))
    dead = gravity * sum(masses)
    pull, _ = rope(name, kind)
    wanted = np.array([0.0, dead]) - pull
    assert case.axle_force == pytest.approx(np.broadcast_to(wanted, case.axle_force.shape))
    assert case.axle_load == pytest.approx(np.hypot(*wanted.T).max())
    assert case.pin_load == pytest.approx(gravity * masses[0])
    assert case.base_lift == pytest.approx(dead + gravity * n("base.mass"))
    assert case.base_slide == 0.0
    levers = n("arm.short"), -n("arm.balance"), -n("arm.long")
    first = sum(mass * lever for mass, lever in zip(masses, levers, strict=True))
    assert case.base_moment == pytest.approx(gravity * first * np.cos(case.elevation))
    assert case.sling_tension == pytest.approx(gravity * masses[2])
    assert case.pouch_tension == case.prong_force == case.turning_rate == case.projectile == 0.0
    assert case.time.size == case.elevation.size == (WIND_STEPS if kind == "winding" else 1)


def test_a_hook_in_line_with_the_axle_is_taken_to_pull_straight_down():
    """Truth: moments about the axle with a straight pull: no lever, no hook's force."""
    m = machine("otter_ford")
    n = m.number
    in_line = m.change({"hook.x": 0.0, "hook.y": n("axle.height")})
    case = next(case for case in quick(in_line) if case.kind == "held")
    assert "straight down is taken" in case.note
    first = n("counterweight.mass") * n("arm.short") - n("arm.mass") * n("arm.balance")
    first -= 0.5 * n("sling.mass") * n("arm.long")
    dead = n("counterweight.mass") + n("arm.mass") + 0.5 * n("sling.mass")
    down = 9.7 * (dead + first / n("hook.on_arm"))
    assert case.axle_force[0] == pytest.approx((0.0, down))


def test_a_winding_that_cannot_be_is_a_straight_pull_on_the_cocked_arm():
    """Truth: moments about the axle, the arm cocked, the rope straight down at its own place."""
    m = machine("otter_ford").change({"winch.x": 0.01, "winch.y": 4.2})
    n = m.number
    case = next(case for case in quick(m) if case.kind == "winding")
    assert "straight down is taken" in case.note and case.elevation.tolist() == [-0.6]
    first = n("counterweight.mass") * n("arm.short") - n("arm.mass") * n("arm.balance")
    first -= 0.5 * n("sling.mass") * n("arm.long")
    dead = n("counterweight.mass") + n("arm.mass") + 0.5 * n("sling.mass")
    down = 9.7 * (dead + first / n("winch.on_arm"))
    assert case.axle_force[0] == pytest.approx((0.0, down))
    assert case.base_moment[0] == pytest.approx(9.7 * first * math.cos(0.6))


def test_a_led_rope_pulls_the_arm_toward_its_lead_block():
    """Truth: vectors: weights down, and the tackle's pull along the line to the lead block."""
    m = machine("otter_ford").change(
        {"rig.rigging": "led", "rig.lead_x": -1.9, "rig.lead_y": 0.6, "winch.x": -4.0}
    )
    n, wound = m.number, winding(m, steps=WIND_STEPS)
    case = next(case for case in quick(m) if case.kind == "winding")
    at = n("winch.on_arm") * np.column_stack([-np.cos(case.elevation), np.sin(case.elevation)])
    way = np.array([-1.9, 0.6 - n("axle.height")]) - at
    pull = wound.arm_pull[:, None] * way / np.linalg.norm(way, axis=1)[:, None]
    dead = n("counterweight.mass") + n("arm.mass") + 0.5 * n("sling.mass")
    assert case.axle_force == pytest.approx(-pull + (0.0, 9.7 * dead), rel=1e-6)

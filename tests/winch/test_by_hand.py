"""One winding worked out by hand, elevation by elevation, for drawn machines and riggings."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import simpson
from scipy.optimize import brentq
from winch.test_cycle import DIALS
from winch.winch_example import NUMBERS

from slingwright.formulas.winch import hauling
from slingwright.winch.cycle import follow
from slingwright.winch.drums import STEPS, drum_choice, heaviest_counterweights
from slingwright.winch.path.course import course
from slingwright.winch.rig import WinchRig

HORSEPOWER = 745.69987  # W


def drawn(seed):
    """Numbers and rigging drawn about the example's, every one off its default."""
    draw = np.random.default_rng(seed)

    def near(value):
        return float(value * draw.uniform(0.8, 1.25))

    kept = ("hung", "parts", "people", "cocked", "winch_x", "on_arm", "hanger")
    numbers = replace(
        NUMBERS,
        **{n: near(getattr(NUMBERS, n)) for n in NUMBERS.__slots__ if n not in kept},
        hung=bool(seed % 2),
        parts=float(draw.integers(1, 6)),
        people=float(draw.integers(2, 9)),
        cocked=float(draw.uniform(0.4, 0.8)),
        winch_x=float(draw.uniform(-4.5, -3.0)),
        on_arm=float(draw.uniform(3.8, 4.6)),
    )
    led = {}
    if seed > 3:
        led = {"rigging": "led", "lead_x": numbers.winch_x + 0.8, "lead_y": near(0.5)}
    rig = WinchRig(
        **led,
        drum_width=near(0.25),
        gear_efficiency=near(0.75),
        ratchet=near(0.2) if seed % 3 else None,
        handle_inertia=near(1.5) if seed % 3 else None,
        hand_speed=near((0.4, 1.2)[seed % 2]),
        working_share=near(0.7),
        serve_time=near((900.0, 20.0)[seed % 2]),
        day=near(12000.0),
        member_slope=near(0.2),
        overhang=near(1.3),
        offset=near(0.2),
        hook_on_arm=near(4.2),
        hook_x=-3.0 if seed % 2 else None,
        hook_y=0.3,
    )
    return numbers, rig


def power(time):
    """Krendel: P [hp] = 0.35 - 0.092 log10 t [min], from 6 s to 8 h (from memory) [W]."""
    return HORSEPOWER * (0.35 - 0.092 * math.log10(min(max(time, 6.0), 28800.0) / 60.0))


def crew_seconds(numbers, rig, work, turns):
    """Time at the handles: by their way, or by what the crew's power does if that takes longer."""
    by_way = turns * 2 * math.pi * numbers.crank / rig.hand_speed
    share = work / numbers.people
    if power(by_way) * by_way > share:
        return by_way / rig.working_share, "hand speed"
    by_power = brentq(lambda t: power(t) * t - share, 1.0, 28800.0, xtol=1e-10)
    return by_power / rig.working_share, "crew power"


def steady_force(time):
    """145 N for a minute, three fifths of it for ten hours, straight in the logarithm between."""
    share = min(max(math.log(time / 60.0) / math.log(600.0), 0.0), 1.0)
    return 145.0 - share * 58.0


def laid_on(length, drum, rope, width):
    """Turns and radius of the rope coming in, layer after layer."""
    side, layer, turns = math.floor(width / rope), 0, 0.0
    while True:
        radius = drum / 2 + rope / 2 + layer * rope
        if length < side * 2 * math.pi * radius:
            return turns + length / (2 * math.pi * radius), radius, layer + 1
        length -= side * 2 * math.pi * radius
        turns += side
        layer += 1


def length_of_turns(turns, drum, rope, width):
    """Rope in turns, laid on one by one."""
    side = math.floor(width / rope)
    return sum(2 * math.pi * (drum / 2 + rope / 2 + (k // side) * rope) for k in range(turns))


def friction_pull(torque, lever, up, weight, drag, hanger, sense):
    """F c = tau + s (M_h + mu r |F u - W|), squared: the root on the side of the sense."""
    known = torque + sense * hanger
    a = lever**2 - drag**2
    b = drag**2 * weight * up - known * lever
    c = known**2 - (drag * weight) ** 2
    return (-b + sense * math.sqrt(b * b - a * c)) / a


def by_hand(n, rig, steps):
    """All of a winding by name, with arrays from rest to cocked."""
    parts, g = round(n.parts), n.gravity
    led = rig.rigging == "led"
    block = (rig.lead_x, rig.lead_y) if led else (n.winch_x, n.winch_y)
    first = n.counterweight_mass * n.arm_short - n.arm_mass * n.arm_balance
    first -= n.tip_mass * n.arm_long
    weight = g * (n.counterweight_mass + n.arm_mass + n.tip_mass)
    hanger = n.hanger_drag * n.counterweight_mass * g if n.hung else 0.0
    turned, ratio = parts - 1 + led, 1 + n.sheave_loss
    # Each part of line is pulled by one sheave's ratio more than the one before it.
    hauled = ratio**turned / sum(ratio**i for i in range(parts))
    eased = ratio**-turned / sum(ratio**-i for i in range(parts))
    found = {name: [] for name in ("lever", "torque", "span", "pull", "slack", "u", "place")}
    elevation = np.linspace(math.pi / 2, -n.cocked, steps)
    for e in elevation:
        x, y = -n.on_arm * math.cos(e), n.axle_height + n.on_arm * math.sin(e)
        span = math.hypot(block[0] - x, block[1] - y)
        u = (block[0] - x) / span, (block[1] - y) / span
        lever = x * u[1] - (y - n.axle_height) * u[0]
        torque = first * g * math.cos(e)
        pull, slack = (
            friction_pull(torque, lever, u[1], weight, n.axle_drag, hanger, sense)
            for sense in (1, -1)
        )
        for name, value in zip(found, (lever, torque, span, pull, slack, u, (x, y)), strict=True):
            found[name].append(value)
    lever, torque, span, pull = (np.array(found[k]) for k in ("lever", "torque", "span", "pull"))
    slack = np.maximum(found["slack"], 0.0)
    taken = (span[0] - span) * parts
    dead = length_of_turns(3, n.drum, n.rope, rig.drum_width)
    turns, radius, layer = np.array(
        [laid_on(dead + one, n.drum, n.rope, rig.drum_width) for one in taken]
    ).T
    turns -= 3.0
    rope = pull * hauled
    handle = rope * radius / (n.gear * n.crank * rig.gear_efficiency)

    def over(values):
        return -simpson(values, x=elevation)

    rope_work, arm_work = over(rope * parts * lever), over(pull * lever)
    work, stored = rope_work / rig.gear_efficiency, first * g * (1 + math.sin(n.cocked))
    crank_turns = turns[-1] * n.gear
    time, limit = crew_seconds(n, rig, work, crank_turns)
    rest = max(work / (n.people * power(rig.day)) - time, 0.0)
    own = n.counterweight_mass * n.arm_short**2 + n.arm_inertia + n.arm_mass * n.arm_balance**2
    own += n.tip_mass * n.arm_long**2 + (0.0 if n.hung else n.counterweight_inertia)
    cylinder = 700.0 * math.pi / 4 * n.drum**2 * rig.drum_width * (2 if n.aside > 0 else 1)
    spun = rig.handle_inertia or cylinder * n.drum**2 / 8 / n.gear**2 + 8.0 * n.crank**2
    crank_rate = lever * parts / radius * n.gear
    given = first * g * (np.sin(elevation) + math.sin(n.cocked))
    running = crank_rate * n.crank * np.sqrt(2 * given / (own + spun * crank_rate**2))
    back = (turns[-1] - turns) * n.gear
    led_way = math.dist(block, (n.winch_x, n.winch_y))
    u = np.array(found["u"])
    return {
        "elevation": elevation,
        "torque": torque,
        "lever": lever,
        "taken": taken,
        "turns": turns * n.gear,
        "arm_pull": pull,
        "rope_pull": rope,
        "arm_pull_lowering": slack,
        "rope_pull_lowering": slack * eased,
        "rope_pull_ideal": torque / lever / parts,
        "handle": handle,
        "handle_lowering": slack * eased * radius * rig.gear_efficiency / (n.gear * n.crank),
        "work": work,
        "stored": stored,
        "lost_in_bearings": arm_work - over(torque),
        "lost_in_sheaves": rope_work - arm_work,
        "lost_in_gear": work - rope_work,
        "peak_rope_pull": rope.max(),
        "peak_rope_elevation": elevation[rope.argmax()],
        "peak_arm_pull": pull.max(),
        "force_per_person": handle.max() / n.people,
        "peak_handle_elevation": elevation[handle.argmax()],
        "force_allowed": steady_force(time),
        "crank_turns": crank_turns,
        "rope_taken": taken[-1],
        "rope_needed": span.max() * parts + led_way + dead,
        "layers": layer.max(),
        "winding_time": time,
        "time_limit": limit,
        "rest_time": rest,
        "loosings_an_hour": 3600 / (time + max(rest, rig.serve_time)),
        "power_per_person": work / n.people / time,
        "pawl_load": (rope * radius).max() / (rig.ratchet or n.drum / 2 + 0.05),
        "runaway_speed": running.max(),
        "runaway_after_one_turn": np.interp(1.0, back[::-1], running[::-1]),
        "hook_load": hook(n, rig),
    }, (u, block, led)


def hook(n, rig):
    """Moments about the axle with half the cords at the tip; the hook's line to its anchor."""
    e = -n.cocked
    x, y = -rig.hook_on_arm * math.cos(e), rig.hook_on_arm * math.sin(e)
    way = (0.0, -1.0)
    if rig.hook_x is not None:
        way = rig.hook_x - x, rig.hook_y - n.axle_height - y
    lever = abs(x * way[1] - y * way[0]) / math.hypot(*way)
    first = n.counterweight_mass * n.arm_short - n.arm_mass * n.arm_balance - n.cords * n.arm_long
    return first * n.gravity * math.cos(e) / lever


@pytest.mark.parametrize("seed", range(8))
def test_a_winding_by_hand(seed):
    """Truth: statics, Coulomb's friction as a quadratic, layers laid one by one, Simpson's rule."""
    numbers, rig = drawn(seed)
    run = follow(numbers, rig, 61)
    wanted, _ = by_hand(numbers, rig, 61)
    for name, value in wanted.items():
        if name in ("time_limit", "layers"):
            assert getattr(run, name) == value, name
        else:
            told = getattr(run, name)
            assert told == pytest.approx(value, rel=1e-6, abs=1e-7 * np.abs(value).max()), name


@pytest.mark.parametrize("seed", range(8))
def test_pulls_on_the_frame_by_hand(seed):
    """Truth: equal and opposite pulls of the ropes, split along the member and across it."""
    numbers, rig = drawn(seed)
    run = follow(numbers, rig, 61)
    _, (u, block, led) = by_hand(numbers, rig, 61)
    pulls = {"winch": -u * run.arm_pull[:, None]}
    if led:
        way = np.array([numbers.winch_x - block[0], numbers.winch_y - block[1]])
        way = way / np.linalg.norm(way)
        pulls = {
            "winch": -way * run.rope_pull[:, None],
            "lead block": -u * run.arm_pull[:, None] + way * run.rope_pull[:, None],
        }
    slope = rig.member_slope
    assert [one.place for one in run.frame] == list(pulls)
    for one in run.frame:
        along = pulls[one.place] @ [math.cos(slope), math.sin(slope)]
        across = pulls[one.place] @ [-math.sin(slope), math.cos(slope)]
        levers = (rig.offset, rig.overhang) if one.place == "winch" else (0.0, 0.0)
        assert one.along == pytest.approx(along, rel=1e-9)
        assert one.across == pytest.approx(across, rel=1e-9, abs=1e-9 * np.abs(along).max())
        assert one.bending_along == pytest.approx(along * levers[0], rel=1e-9)
        assert one.bending_across == pytest.approx(across * levers[1], rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("seed", [0, 1, 4])
def test_heaviest_weights_by_root(seed):
    """Truth: each drum's winding followed alone, its force against the one allowed, by Brent."""
    numbers, rig = drawn(seed)
    drums = (0.6 * numbers.drum, numbers.drum, 2.0 * numbers.drum)
    ways = [course(replace(numbers, drum=drum), rig, STEPS) for drum in drums]
    found = heaviest_counterweights(numbers, rig, ways)

    def excess(mass, drum):
        run = follow(replace(numbers, drum=drum, counterweight_mass=mass), rig, STEPS)
        return run.force_per_person / run.force_allowed - 1.0

    arm = numbers.arm_mass * numbers.arm_balance + numbers.tip_mass * numbers.arm_long
    least = arm / numbers.arm_short
    for drum, told in zip(drums, found, strict=True):
        most = least + 1.0
        while excess(most, drum) < 0.0:
            most = least + 1.5 * (most - least)
        wanted = brentq(excess, least + 1e-6, most, args=(drum,), rtol=1e-12)
        assert told == pytest.approx(wanted, rel=1e-6)


def test_a_drum_that_cannot_lift_the_arm_s_own_balance_has_no_weight():
    """Truth: bearing friction alone asks more than the crew keeps up."""
    stiff = replace(NUMBERS, axle_drag=0.4, people=1.0, gear=0.3, parts=1.0)
    found = heaviest_counterweights(stiff, WinchRig(), [course(stiff, WinchRig(), STEPS)])
    assert math.isnan(found[0])


@pytest.mark.parametrize("serve", [1.0, 3000.0])
def test_each_drum_is_the_winding_followed_alone(serve):
    """Truth: the winding itself on each drum."""
    dials = DIALS | {"crew.serve_time": serve}
    drums = np.array([0.16, 0.24, 0.5])
    choice = drum_choice(dials, drums)
    for row, drum in enumerate(drums):
        rig = WinchRig(serve_time=serve)
        run = follow(replace(NUMBERS, drum=float(drum)), rig, STEPS)
        assert choice.force_per_person[row] == pytest.approx(run.force_per_person, rel=1e-9)
        assert choice.force_allowed[row] == pytest.approx(run.force_allowed, rel=1e-9)
        assert choice.winding_time[row] == pytest.approx(run.winding_time, rel=1e-9)
        assert choice.crank_turns[row] == pytest.approx(run.crank_turns, rel=1e-9)
        pause = max(run.rest_time, serve)
        assert choice.reload_time[row] == pytest.approx(run.winding_time + pause, rel=1e-9)


@pytest.mark.parametrize(("share", "winds"), [(0.021, True), (0.019, False)])
def test_dead_point_is_a_lever_of_a_fiftieth(share, winds):
    """Truth: the rule: the rope passes the axle by 0.02 of where it takes the arm, or more.

    The arm upright, its rope down to a winch so far behind the axle that the lever is the share.
    """
    high = NUMBERS.axle_height + NUMBERS.on_arm
    lever = share * NUMBERS.on_arm
    slope = math.asin(lever / NUMBERS.on_arm)
    near = replace(NUMBERS, winch_x=-math.tan(slope) * high, winch_y=0.0, cocked=-1.5)
    if winds:
        assert follow(near, WinchRig(), 61).lever[0] == pytest.approx(lever)
    else:
        with pytest.raises(hauling.DeadPoint, match="dead point"):
            follow(near, WinchRig(), 61)

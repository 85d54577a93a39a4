"""Where the winch stands: gaps drawn by hand, and the dial that brings it clear."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from winch.winch_example import NUMBERS

import slingwright as sw
from slingwright.winch.cycle import winding
from slingwright.winch.path.place import (
    aside_needed,
    clear_place,
    clearance_wanted,
    gap_in_plane,
    sling_clearance,
    swept_clearance,
)
from slingwright.winch.rigging import rigging_checks

KIT = sorted(path.name for path in sw.data_folder().glob("*.toml"))


def test_clearance_of_the_winch() -> None:
    """Truth: distances drawn by hand: below the cocked arm, within its sweep, beside its tip."""
    # 45 deg under the axle's level, cocked 0: distance to the level arm is the depth below it
    level = replace(NUMBERS, cocked=0.0, winch_x=-4.0, winch_y=0.4, drum=0.2)
    assert swept_clearance(level) == pytest.approx(
        min(4.0, math.hypot(4, 4) - (2.3 + 0.5 * math.hypot(1.0, 0.9))) - 0.1
    )
    inside = replace(level, winch_y=5.0)
    assert swept_clearance(inside) == pytest.approx(math.hypot(4.0, 0.6) - 6.0 - 0.1)
    beyond = replace(level, winch_x=-9.0, winch_y=0.4)
    assert swept_clearance(beyond) == pytest.approx(5.0 - 0.1)
    under = replace(level, winch_x=-0.5, winch_y=2.0)
    assert swept_clearance(under) < 0.0


def test_sling_and_ball_keep_off_the_winch() -> None:
    """Truth: distances by hand: a cord one metre above, a projectile at three, four metres."""
    middle = replace(NUMBERS, aside=0.0)
    above = np.array([[NUMBERS.winch_x - 2.0, NUMBERS.winch_y + 1.0]])
    far = above + np.array([[5.0, 0.0]])
    assert sling_clearance(middle, above, far, 0.1) == pytest.approx(1.0 - 0.5 * NUMBERS.drum)
    still = np.array([[NUMBERS.winch_x + 3.0, NUMBERS.winch_y + 4.0]])
    assert sling_clearance(middle, still, still, 0.2) == pytest.approx(4.8 - 0.5 * NUMBERS.drum)
    through = np.array([[NUMBERS.winch_x + 2.0, NUMBERS.winch_y]])
    low = above * [1.0, 0.0] + [0.0, NUMBERS.winch_y]
    assert sling_clearance(middle, low, through, 0.1) < 0.0
    assert sling_clearance(NUMBERS, low, through, 0.1) == pytest.approx(0.4)


@given(st.floats(-1.0, 0.6), st.floats(0.01, 0.5), st.floats(0.05, 0.5))
def test_aside_needed_is_just_enough(inside: float, radius: float, wanted: float) -> None:
    """Truth: Pythagoras: that far aside the gap is the one wanted, two centimetres less it is not.

    The centimetre is the rounding up of the value that is told.
    """
    aside = aside_needed(inside, radius, wanted)
    assert math.hypot(max(inside, 0.0), aside - radius) >= wanted - 1e-9
    less = aside - radius - 0.02
    assert less <= 0.0 or math.hypot(max(inside, 0.0), less) < wanted


@given(st.floats(-5.0, -0.3), st.floats(0.3, 4.0))
def test_place_told_is_clear_and_winds(x: float, y: float) -> None:
    """Truth: the gap measured anew at the told place, and the winding followed from there."""
    from slingwright.winch.cycle import follow
    from slingwright.winch.rig import WinchRig

    there = replace(NUMBERS, winch_x=x, winch_y=y)
    wanted = clearance_wanted(there)
    if swept_clearance(there) >= wanted:
        return
    found = clear_place(there, wanted)
    assert found is not None
    moved = replace(there, **{found[0].replace("winch.", "winch_"): found[1]})
    assert swept_clearance(moved) >= wanted
    assert follow(moved, WinchRig()).rope_taken > 0.0


@pytest.mark.parametrize("name", KIT)
def test_every_machine_of_the_kit_has_its_winch_clear(name: str) -> None:
    """Truth: the checks themselves, with the throw; nothing about the place is set in the files."""
    machine = sw.read_machine(sw.data_folder() / name)
    assert not {"winch.x", "winch.y", "winch.aside"} & set(machine.given)
    rows = rigging_checks(winding(machine), sw.throw(machine))
    clear = [row for row in rows if row.name.startswith("winch clear")]
    assert len(clear) == 2 and {row.verdict for row in clear} == {"holds"}


@pytest.mark.parametrize(
    "change", [{"winch.aside": 0.0}, {"winch.y": 1.2}, {"winch.x": -1.0, "winch.y": 2.0}]
)
def test_failing_sentence_names_the_dial_and_a_value_that_passes(change: dict) -> None:
    """Truth: the machine changed as the sentence says, checked again."""
    machine = sw.read_machine(sw.data_folder() / "otter_ford.toml").change(change)
    rows = rigging_checks(winding(machine), sw.throw(machine))
    failing = [r for r in rows if r.name.startswith("winch clear") and r.verdict == "fails"]
    assert len(failing) == 1
    path, value = re.search(r"(winch\.\w+) (?:to|at) ([\d.-]+ m)", failing[0].advice).groups()
    mended = machine.change({path: value})
    after = rigging_checks(winding(mended), sw.throw(mended))
    assert next(r for r in after if r.name == failing[0].name).verdict == "holds"


def test_lead_block_is_kept_clear_too() -> None:
    """Truth: the way told for the block, followed: it passes, and the rope still winds."""
    from slingwright.winch.rig import WinchRig

    machine = sw.read_machine(sw.data_folder() / "otter_ford.toml")
    rig = WinchRig(rigging="led", lead_x=-3.0, lead_y=1.3)
    name = "lead block clear of what arm and counterweight sweep"
    row = next(r for r in rigging_checks(winding(machine, rig)) if r.name == name)
    assert row.verdict == "fails"
    key, value = re.search(r"set rig\.(lead_[xy]) to ([\d.-]+) m", row.advice).groups()
    mended = winding(machine, replace(rig, **{key: float(value)}))
    rows = rigging_checks(mended, sw.throw(machine))
    assert next(r for r in rows if r.name == name).verdict == "holds"
    clear = [r.name for r in rows if " clear of " in r.name]
    assert len(clear) == 4


def test_small_machine_keeps_a_small_gap() -> None:
    """Truth: the rule: 0.3 m, or a twelfth of the long arm."""
    assert clearance_wanted(NUMBERS) == 0.3
    assert clearance_wanted(replace(NUMBERS, arm_long=0.6, on_arm=0.4)) == pytest.approx(0.05)


@given(st.floats(-9.0, 6.0), st.floats(0.0, 6.0), st.floats(-0.4, 0.9), st.booleans())
def test_gap_to_what_sweeps_by_sampling(x: float, y: float, cocked: float, small: bool) -> None:
    """Truth: the arm drawn at 4,001 elevations from cocked over the top to as low in front, and
    the circle that the box's far corner can reach; inside the outline the gap is below nothing.
    """
    numbers = replace(NUMBERS, winch_x=x, winch_y=y, cocked=cocked)
    if small:  # so that the arm alone is near
        numbers = replace(numbers, arm_short=0.1, hanger=0.1, box_width=0.1, box_height=0.2)
    turned = np.linspace(-cocked, math.pi + cocked, 4001)
    arm = numbers.arm_long * np.column_stack([-np.cos(turned), np.sin(turned)])
    drum = np.array([x, y - numbers.axle_height])
    share = np.clip(arm @ drum / numbers.arm_long**2, 0.0, 1.0)
    swept = float(np.hypot(*(share[:, None] * arm - drum).T).min())
    box = math.hypot(*drum) - numbers.arm_short - numbers.hanger
    box -= 0.5 * math.hypot(numbers.box_width, numbers.box_height)
    gap = swept_clearance(numbers) + 0.5 * numbers.drum
    if swept > 0.01:
        assert gap == pytest.approx(min(swept, box), abs=0.01)
    else:
        assert gap <= min(0.02, box + 1e-9)


@given(st.integers(0, 2**32 - 1))
def test_gap_to_the_sling_by_sampling(seed: int) -> None:
    """Truth: 2,001 places along each of three cords, and the projectile's own circle."""
    draw = np.random.default_rng(seed)
    tip, ball = draw.uniform(-6.0, 6.0, (3, 2)), draw.uniform(-6.0, 6.0, (3, 2))
    winch, radius = np.array([NUMBERS.winch_x, NUMBERS.winch_y]), 0.3
    along = np.linspace(0.0, 1.0, 2001)[:, None, None]
    cord = np.linalg.norm(tip + along * (ball - tip) - winch, axis=2).min()
    body = np.linalg.norm(ball - winch, axis=1).min() - radius
    wanted = min(cord, body) - 0.5 * NUMBERS.drum
    assert gap_in_plane(NUMBERS, tip, ball, radius) == pytest.approx(wanted, abs=5e-3)
    beside = replace(NUMBERS, aside=0.9)
    assert sling_clearance(beside, tip, ball, radius) == pytest.approx(
        math.hypot(max(wanted, 0.0), 0.6), abs=5e-3
    )


@pytest.mark.parametrize("seed", range(6))
def test_place_told_is_the_first_on_its_grid(seed: int) -> None:
    """Truth: every step of a centimetre for each four metres of arm, tried in turn: down, to the
    rear, forward; clear, and with a lever of a fiftieth of its arm at 61 elevations.
    """
    draw = np.random.default_rng(seed)
    numbers = replace(NUMBERS, winch_x=draw.uniform(-4.0, 0.5), winch_y=draw.uniform(0.3, 3.5))
    if seed > 3:
        sizes = ("axle_height", "arm_long", "arm_short", "hanger", "winch_x", "winch_y", "on_arm")
        sizes += ("box_width", "box_height", "drum")
        numbers = replace(numbers, **{n: 0.06 * getattr(numbers, n) for n in sizes})
    step = 0.02 if seed <= 3 else numbers.arm_long / 50.0
    wanted = 1.5 * clearance_wanted(numbers)
    turned = np.linspace(0.5 * math.pi, -numbers.cocked, 61)
    arm = numbers.on_arm * np.column_stack([-np.cos(turned), np.sin(turned)])

    def winds(one) -> bool:
        way = np.array([one.winch_x, one.winch_y - one.axle_height]) - arm
        lever = (arm[:, 0] * way[:, 1] - arm[:, 1] * way[:, 0]) / np.hypot(*way.T)
        return bool(lever.min() > 0.02 * one.on_arm)

    def first(pulls: bool):
        for k in range(1, 2 + int(2.0 * numbers.arm_long / step)):
            for path, sign in (("winch.y", -1), ("winch.x", -1), ("winch.x", 1)):
                start = getattr(numbers, path.replace(".", "_")) / step
                value = step * ((math.ceil(start) if sign > 0 else math.floor(start)) + sign * k)
                moved = replace(numbers, **{path.replace(".", "_"): value})
                if path == "winch.y" and value < 0.0:
                    continue
                if swept_clearance(moved) >= wanted and (winds(moved) or not pulls):
                    return path, value
        return "no move", 0.0

    for pulls in (True, False):
        path, value = clear_place(numbers, wanted, pulls) or ("no move", 0.0)
        assert (path, value) == (first(pulls)[0], pytest.approx(first(pulls)[1]))

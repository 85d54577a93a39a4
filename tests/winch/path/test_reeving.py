"""The winding gear as a graph: it closes at every piece, and gives back what the winding says."""

import math
from dataclasses import replace

import numpy as np
import pytest
from winch.test_by_hand import drawn
from winch.winch_example import NUMBERS

from slingwright.winch.cycle import follow
from slingwright.winch.rig import WinchRig

LED = WinchRig(rigging="led", lead_x=-2.0, lead_y=0.5)
SEEDS = range(8)  # from 4 on the rope is led over a block
SHARED = [0.5, 0.6, 1.0]


def pulls_on(run, held, lowering=False):
    """Sum of the rope's pulls on some pieces, and of their moments about the axle, by hand.

    Every part is taken from the places of its two ends, one after the other.
    """
    gear = run.reeving
    axle = np.array([0.0, run.numbers.axle_height, 0.0])
    force, moment = np.zeros((len(run.elevation), 3)), np.zeros((len(run.elevation), 3))
    for line in gear.lines:
        ends = [gear.pieces[end] for end in (line.start, line.end)]
        keys = [line.start, line.end]
        for here, there, key in ((ends[0], ends[1], keys[0]), (ends[1], ends[0], keys[1])):
            if key.removesuffix(" 2") not in held:
                continue
            way = there.place - here.place
            size = np.sqrt((way**2).sum(axis=1))
            assert line.length == pytest.approx(size, rel=1e-12)
            pull = way / size[:, None] * gear.pull(line, lowering)[:, None]
            force += pull
            moment += np.cross(here.place - axle, pull)
    return force, moment


@pytest.mark.parametrize("share", SHARED)
@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("lowering", [False, True])
def test_the_arm_s_pieces_turn_it_against_weight_and_friction(seed, share, lowering):
    """Truth: moments about the axle of each rope's pull, summed part by part, in space."""
    numbers, rig = drawn(seed)
    run = follow(numbers, replace(rig, share=share), 61)
    force, moment = pulls_on(run, ("shackle", "arm_block"), lowering)
    sense = -1.0 if lowering else 1.0
    on_axle = np.hypot(force[:, 0], force[:, 1] - numbers.weight)
    wanted = run.torque + sense * (numbers.axle_drag * on_axle + numbers.hanger_torque)
    loose = lowering & (run.arm_pull_lowering == 0.0)  # friction alone holds it
    # a pull behind the axle turns the long arm down: counter-clockwise, with the throw to the right
    assert moment[~loose, 2] == pytest.approx(wanted[~loose], rel=1e-9)
    assert run.reeving.force("arm", lowering) == pytest.approx(force, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("share", SHARED)
@pytest.mark.parametrize("seed", SEEDS)
def test_arm_and_frame_are_pulled_alike(seed, share):
    """Truth: Newton's third law: rope that weighs nothing pulls its two ends alike."""
    numbers, rig = drawn(seed)
    gear = follow(numbers, replace(rig, share=share), 61).reeving
    for lowering in (False, True):
        sum_ = gear.force("arm", lowering) + gear.force("frame", lowering)
        assert np.abs(sum_).max() < 1e-9 * np.abs(gear.force("arm", lowering)).max()
    held = [gear.force(key) for key, piece in gear.pieces.items() if piece.held_by == "frame"]
    assert sum(held) == pytest.approx(gear.force("frame"), rel=1e-12)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_piece_closes(seed):
    """Truth: the sum of all that pulls a piece, taken from the parts that end there."""
    run = follow(*drawn(seed), 61)
    gear = run.reeving
    for key, piece in gear.pieces.items():
        chain, more = {key}, True
        while more:  # all that hangs on it, one on the other
            found = {k for k, one in gear.pieces.items() if one.held_by in chain} | chain
            chain, more = found, found != chain
        own = np.zeros((61, 3))
        for line in gear.lines:
            own += (line.start in chain) * line.toward * gear.pull(line)[:, None]
            own -= (line.end in chain) * line.toward * gear.pull(line)[:, None]
        assert gear.force(key) == pytest.approx(own, rel=1e-12, abs=1e-9), piece.name


@pytest.mark.parametrize("seed", SEEDS)
def test_the_rope_does_no_work_but_at_its_sheaves(seed):
    """Truth: virtual work: drum's pull times rope taken is the arm's work and each sheave's loss.

    The way of each part is the change of its own length, and the loss of a sheave the pulls on its
    two sides, differing, times the rope that runs over it.
    """
    numbers, rig = drawn(seed)
    run = follow(numbers, rig, 2401)
    gear = run.reeving
    mean = lambda values: 0.5 * (values[1:] + values[:-1])  # noqa: E731
    at_arm = mean(run.arm_pull) * -np.diff(gear.first[0].length)
    over = np.zeros(2400)
    for side in (gear.lines[: len(gear.first)], gear.lines[len(gear.first) :]):
        run_in = np.zeros(2400)
        for before, after in zip(side, side[1:], strict=False):
            run_in -= np.diff(before.length)
            over += mean(gear.pull(after) - gear.pull(before)) * run_in
            assert gear.pull(after) == pytest.approx(
                (1.0 + numbers.sheave_loss) * gear.pull(before), rel=1e-12
            )
    at_drum = mean(run.rope_pull) * np.diff(run.taken)
    assert at_drum == pytest.approx(at_arm + over, rel=1e-5, abs=1e-5 * at_drum.max())
    assert gear.hauled * run.arm_pull == pytest.approx(run.rope_pull)


@pytest.mark.parametrize("seed", SEEDS)
def test_drum_turns_by_handle_and_is_held_by_the_pawl(seed):
    """Truth: moments about the drum's axis of its ropes, the handles and the pawl."""
    numbers, rig = drawn(seed)
    run = follow(numbers, rig, 61)
    gear = run.reeving
    torque = sum(
        np.linalg.norm(gear.force(key), axis=1) for key in gear.pieces if key.startswith("drum")
    ) * gear.radius  # fmt: skip
    crank = numbers.crank * numbers.gear * rig.gear_efficiency
    assert run.handle * crank == pytest.approx(torque, rel=1e-9)
    at = rig.ratchet or 0.5 * numbers.drum + 0.05
    assert gear.pawl * at == pytest.approx(torque, rel=1e-9)


@pytest.mark.parametrize(
    ("parts", "led", "wanted"),
    [
        (1, False, ("shackle", "drum", 0, 0)),
        (2, False, ("frame_block", "arm_block", 1, 0)),
        (3, False, ("arm_block", "frame_block", 1, 1)),
        (4, False, ("frame_block", "arm_block", 2, 1)),
        (1, True, ("shackle", "frame_block", 0, 1)),
        (2, True, ("frame_block", "arm_block", 1, 1)),
        (5, True, ("arm_block", "frame_block", 2, 3)),
    ],
)
def test_reeved_as_a_rigger_reeves_it(parts, led, wanted):
    """Truth: counted on a sketch: even parts end at the frame, odd ones at the arm."""
    gear = follow(replace(NUMBERS, parts=float(parts)), LED if led else WinchRig(), 61).reeving
    assert (gear.first[0].start, gear.first[0].end) == wanted[:2]
    turned = [
        gear.pieces[k].sheaves if k in gear.pieces else 0 for k in ("arm_block", "frame_block")
    ]
    assert tuple(turned) == wanted[2:]
    assert sum(turned) == len(gear.first) - 1
    for before, after in zip(gear.first, gear.first[1:], strict=False):
        assert before.end == after.start


def test_places_across_and_share_of_the_second_rope():
    """Truth: the numbers given: half a metre to each side; one takes 0.6 and leaves 0.4."""
    run = follow(NUMBERS, WinchRig(share=0.6), 61)
    gear = run.reeving
    assert {float(piece.place[0, 2]) for piece in gear.pieces.values()} == {0.5, -0.5}
    for key in ("shackle", "drum", "bar"):
        assert gear.load(f"{key} 2") == pytest.approx(gear.load(key) * 2.0 / 3.0)
    assert gear.load("bar") == pytest.approx(0.6 * run.peak_arm_pull)
    rows = {row.key: row for row in gear.rows()}
    assert rows["bar.bending"].value.value == pytest.approx(0.3 * run.peak_arm_pull)
    one = follow(replace(NUMBERS, aside=0.0), WinchRig(), 61).reeving
    assert not [key for key in one.pieces if key.startswith("bar") or key.endswith(" 2")]


def test_flange_and_fleet_by_hand():
    """Truth: three layers of 20 mm and 1.5 ropes; a full drum's width over the last part."""
    narrow = WinchRig(drum_width=0.16)
    gear = follow(NUMBERS, narrow, 61).reeving
    rows = {row.key: row.value.value for row in gear.rows() if hasattr(row.value, "value")}
    assert gear.layers == follow(NUMBERS, narrow, 61).layers > 1
    assert rows["flange"] == pytest.approx((gear.layers + 1.5) * 0.02)
    nearest = min(gear.first[-1].length)
    assert rows["fleet"] == pytest.approx(math.atan(0.16 / nearest))


def test_moment_table_and_picture():
    """Truth: the graph itself: its parts at one elevation, and both views drawn."""
    gear = follow(NUMBERS, LED, 61).reeving
    k = gear.moment(0.3)
    table = gear.at(0.3)
    assert len(table.lines) == len(gear.lines)
    for cells, line in zip(table.lines, gear.lines, strict=True):
        assert cells[2].value == line.length[k]
        rise, run = np.sin(cells[3].value), np.cos(cells[3].value)
        assert (run, rise) == pytest.approx(tuple(line.toward[k, :2]))
        assert cells[4].value == gear.pull(line)[k]
    side = gear.plot(elevation=0.3).axes[0]
    words = " ".join(text.get_text() for text in side.get_legend().get_texts())
    for name in ("shackle at the arm", "block at the frame", "half of the drum"):
        assert name in words
    assert len(gear.plot(view="plan").axes[0].lines) > len(gear.lines)
    with pytest.raises(ValueError, match="Give 'side' or 'plan'"):
        gear.plot(view="front")

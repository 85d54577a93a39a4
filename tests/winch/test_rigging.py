"""Checks of the winding gear, swaps, and the choice of a drum."""

import math
from dataclasses import replace

import numpy as np
import pytest
from winch.test_cycle import DIALS
from winch.winch_example import NUMBERS

from slingwright.amounts.text import form
from slingwright.tables.reading import UnknownMaterial
from slingwright.winch.cycle import follow
from slingwright.winch.drums import STEPS, drum_choice, heaviest_counterweights
from slingwright.winch.path.course import course
from slingwright.winch.rig import WinchRig
from slingwright.winch.rigging import (
    RiggingCheck,
    rigging_checks,
    smallest_rope,
    smallest_shackle,
    swaps,
    tight_rope_zone,
)

KNOWN = WinchRig(
    rope_length=25.0,
    sheave=0.16,
    arm_block_rating=5e3,
    frame_block_rating=5e3,
    shackle_rating=5e3,
    hook_rating=5e3,
    pawl_rating=5e3,
)


def named(rig: WinchRig, part: str, **change: float) -> RiggingCheck:
    """Give the one check whose name begins with a word."""
    rows = rigging_checks(follow(replace(NUMBERS, **change), rig))
    found = [row for row in rows if row.name.startswith(part)]
    assert len(found) == 1
    return found[0]


def test_all_known_all_pass() -> None:
    """Truth: every capacity given is above its demand."""
    rows = rigging_checks(follow(NUMBERS, KNOWN))
    assert {row.verdict for row in rows} == {"holds"}
    assert all(row.source and row.advice for row in rows)
    used = [row.utilisation for row in rows]
    assert used == sorted(used, reverse=True)


@pytest.mark.parametrize(
    ("field", "name"),
    [
        ("arm_block_rating", "block at the arm"),
        ("frame_block_rating", "rope's end at the frame"),
        ("shackle_rating", "shackle at the arm"),
        ("hook_rating", "hook that holds"),
        ("pawl_rating", "pawl of"),
        ("rope_length", "length of the winding rope"),
        ("sheave", "diameter of the smallest sheave"),
    ],
)
def test_unknown_never_passes(field: str, name: str) -> None:
    """Truth: 29 CFR 1926.251(a)(4): 125 % of the load settles it, (f)(2): twice it a hook's."""
    row = named(replace(KNOWN, **{field: None}), name)
    assert row.verdict == "not known" and row.utilisation == math.inf
    if row.unit == "N":
        proof = (2.0 if field == "hook_rating" else 1.25) * row.demand
        assert row.proof_load == pytest.approx(proof)
        assert str(form("proof-load it to {:3N}")(proof)) in row.advice
        assert ("1926.251(f)(2)" in row.source) == (field == "hook_rating")
    else:
        assert row.proof_load is None


def test_rope_row_by_hand() -> None:
    """Truth: 26 kN manila of 20 mm, eye splice 95 %, factor 10, against the peak pull."""
    row = named(KNOWN, "winding rope")
    assert row.capacity == pytest.approx(26_000.0 * 0.95 / 10.0)
    assert row.demand == follow(NUMBERS, KNOWN).peak_rope_pull


def test_a_knot_costs_and_is_told() -> None:
    """Truth: bowline 60 %, Day and Dent in Jacobson."""
    row = named(replace(KNOWN, end="bowline"), "winding rope")
    assert row.capacity == pytest.approx(26_000.0 * 0.60 / 10.0)
    assert "splice it instead of the bowline" in row.advice


def test_smallest_rope_is_the_smallest() -> None:
    """Truth: every listed size, tried one by one."""
    run = follow(NUMBERS, replace(KNOWN, end="bowline"))
    found = smallest_rope(run)
    assert found is not None and found.breaking_force * 0.60 / 10.0 >= run.peak_rope_pull
    for millimetres in (12, 14, 16, 18):
        row = named(replace(KNOWN, end="bowline"), "winding rope", rope=millimetres / 1e3)
        passes = millimetres >= 1e3 * found.diameter - 1e-9
        assert (row.verdict == "holds") == passes
    heavy = follow(replace(NUMBERS, counterweight_mass=60_000.0, people=60.0), KNOWN)
    assert smallest_rope(heavy) is None
    assert "no listed manila holds" in next(
        row.advice for row in rigging_checks(heavy) if row.name.startswith("winding rope")
    )


WIRE = replace(
    KNOWN,
    rope_kind="wire 6x19 fibre core 1770",
    rope_use="wire rope, winding",
    end="wire rope clips",
    sheave_kind="wire 6x19S",
)


@pytest.mark.parametrize(
    ("change", "path", "offers", "unknown"),
    [
        ({"end": "bowline"}, "rope.end 'bowline'", "wedge socket", "winding rope, wire"),
        (
            {"rope_use": "fibre rope, winding"},
            "rope.rope_use",
            "wire rope sling",
            "winding rope, wire",
        ),
        ({"sheave_kind": "fibre rope"}, "rope.sheave_kind", "wire 6x19S", "diameter of the drum"),
        (
            {"sheave_kind": "wire 6x7"},
            "rope.sheave_kind",
            "wire rope, rigging",
            "diameter of the sm",
        ),
        ({"rope_kind": "manila"}, "rope.end 'wire rope clips'", "bowline", "winding rope, manila"),
    ],
)
def test_parts_of_another_kind_fail_by_name(change, path, offers, unknown) -> None:
    """Truth: by hand: which end, factor and sheave belong to fibre and which to wire."""
    rows = rigging_checks(follow(NUMBERS, replace(WIRE, **change)))
    wrong = next(row for row in rows if row.name.startswith("parts that do not belong"))
    assert wrong.verdict == "fails" and path in wrong.advice and offers in wrong.advice
    row = next(row for row in rows if row.name.startswith(unknown))
    assert row.verdict == "not known" and row.advice == wrong.advice


def test_wire_is_judged_by_rules_for_wire() -> None:
    """Truth: by hand: 34 diameters (wire rope makers), factor 6 (regulation 14.2), clips 80 %."""
    rows = {row.name: row for row in rigging_checks(follow(replace(NUMBERS, rope=0.008), WIRE))}
    assert not any(name.startswith("parts that") for name in rows)
    sheave = rows["diameter of the smallest sheave"]
    assert sheave.demand == pytest.approx(34 * 0.008) and sheave.verdict == "fails"
    rope = next(row for name, row in rows.items() if name.startswith("winding rope"))
    from slingwright.tables import ropes

    breaks = ropes.rope("wire 6x19 fibre core 1770", 0.008).breaking_force
    assert rope.capacity == pytest.approx(0.8 * breaks / 6.0)


def test_swaps_keep_to_the_kind_of_use() -> None:
    """Truth: the table of uses: a factor for fibre rope is none for wire rope."""
    fibre = swaps(follow(NUMBERS, KNOWN))
    assert "manila" in fibre and not any(name.startswith("wire") for name in fibre)
    wire = swaps(follow(NUMBERS, WIRE))
    assert swaps(follow(NUMBERS, replace(WIRE, end="bowline"))) == {}
    assert wire and all(name.startswith("wire") for name in wire)


def test_small_drum_short_rope_and_near_winch_fail() -> None:
    """Truth: a drum of 5 ropes, 6 the least; a rope of 10 m for 20; a winch in the way."""
    assert named(KNOWN, "diameter of the drum", drum=0.10).verdict == "fails"
    assert named(replace(KNOWN, rope_length=10.0), "length").verdict == "fails"
    row = named(KNOWN, "winch clear", winch_x=-1.0, winch_y=2.0)
    assert row.verdict == "fails" and "inside the swept outline: set winch." in row.advice


def test_led_rope_loads_the_frame_block_more() -> None:
    """Truth: vectors: the tackle pulls the lead block one way, the hauling part another."""
    led = replace(KNOWN, rigging="led", lead_x=-3.2, lead_y=0.4)
    run = follow(replace(NUMBERS, winch_x=-5.5), led)
    row = named(led, "block at the frame", winch_x=-5.5)
    block = run.frame[1]
    up = np.hypot(block.along, block.across)
    # while it is eased back the pulls are others: the hauling part's is less, the tackle's as much
    assert float(np.max(up)) <= row.demand < run.peak_arm_pull + run.peak_rope_pull
    assert row.demand > run.peak_arm_pull


def test_the_most_loaded_of_two_ropes_carries_its_share() -> None:
    """Truth: by hand: rope, block and shackle of one side take the share, pawl the whole."""
    whole, part = (
        {row.name: row for row in rigging_checks(follow(NUMBERS, replace(KNOWN, share=share)))}
        for share in (1.0, 0.6)
    )
    for name, row in whole.items():
        if name.startswith("pawl dropping"):  # two ropes that share are stiffer together
            assert part[name].demand > row.demand
            continue
        shared = name.startswith(("winding rope", "rope's end", "shackle", "block"))
        assert part[name].demand == pytest.approx((0.6 if shared else 1.0) * row.demand), name
    assert "two ropes, one on each side" in whole["length of the winding rope"].advice
    alone = rigging_checks(follow(replace(NUMBERS, aside=0.0), replace(KNOWN, share=0.6)))
    assert {row.name: row.demand for row in alone} == {n: r.demand for n, r in whole.items()}


def test_single_rope_has_no_blocks() -> None:
    """Truth: one part of line runs over nothing."""
    names = [row.name for row in rigging_checks(follow(replace(NUMBERS, parts=1.0), WinchRig()))]
    assert not any("block" in name for name in names)


def test_unknown_rope_names_its_neighbours() -> None:
    """Truth: the rope table."""
    with pytest.raises(UnknownMaterial, match="manila"):
        rigging_checks(follow(NUMBERS, replace(KNOWN, rope_kind="manilla")))


def test_rope_thinner_than_the_table_is_unknown() -> None:
    """Truth: the thinnest listed manila is 6 mm, so 4 mm has no strength that is known."""
    row = named(KNOWN, "winding rope", rope=0.004)
    assert row.verdict == "not known" and row.capacity is None
    assert "the thinnest is 6 mm" in row.advice


def test_smallest_shackle_by_hand() -> None:
    """Truth: RR-C-271 working loads (from memory): 1 t at 3/8 in, 1.5 t at 7/16 in."""
    found = smallest_shackle(1.2 * 9806.65)
    assert found is not None and found.name == "7/16 in"
    assert smallest_shackle(1e6) is None


def test_danger_is_named() -> None:
    """Truth: the winding's own pull and run-away speed."""
    run = follow(NUMBERS, KNOWN)
    assert f"{run.runaway_after_one_turn:.2g} m/s" in tight_rope_zone(run)
    assert "nobody under the counterweight" in tight_rope_zone(run)


def heaviest(numbers) -> float:
    """Give the heaviest counterweight with one drum."""
    rig = WinchRig()
    return float(heaviest_counterweights(numbers, rig, [course(numbers, rig, STEPS)])[0])


def test_heaviest_weight_stands_at_the_limit() -> None:
    """Truth: with that weight the force is the force allowed; with 1 % more it is above."""
    most = heaviest(NUMBERS)
    at = follow(replace(NUMBERS, counterweight_mass=most), WinchRig())
    assert at.force_per_person == pytest.approx(at.force_allowed, rel=1e-5)
    over = follow(replace(NUMBERS, counterweight_mass=1.01 * most), WinchRig())
    assert over.force_per_person > over.force_allowed


def test_heaviest_weight_below_the_present_one_is_found_too() -> None:
    """Truth: the same equation, from above."""
    weak = replace(NUMBERS, people=1.0, gear=1.0, parts=1.0)
    most = heaviest(weak)
    assert most < NUMBERS.counterweight_mass
    at = follow(replace(weak, counterweight_mass=most), WinchRig())
    assert at.force_per_person == pytest.approx(at.force_allowed, rel=1e-5)


def test_drums_side_by_side() -> None:
    """Truth: each drum followed alone; a smaller drum winds more, longer, with less force."""
    drums = np.linspace(0.15, 0.6, 7)
    choice = drum_choice(DIALS, drums)
    assert np.all(np.diff(choice.force_per_person) > 0.0)
    assert np.all(np.diff(choice.winding_time) < 0.0)
    assert np.all(np.diff(choice.heaviest) < 0.0)
    alone = follow(replace(NUMBERS, drum=0.6), WinchRig())
    assert choice.force_per_person[-1] == pytest.approx(alone.force_per_person, rel=1e-3)
    assert "0.6 m is the fastest" in choice.advice
    poor = drum_choice(DIALS | {"winch.people": 1.0, "winch.gear": 0.5}, drums)
    assert "no drum shown is light enough" in poor.advice


def test_reload_time_is_winding_and_the_longer_of_rest_and_serving() -> None:
    """Truth: the winding followed alone, its own loosings an hour turned over."""
    choice = drum_choice(DIALS, np.array([NUMBERS.drum]))
    run = follow(NUMBERS, WinchRig())
    assert choice.reload_time[0] == pytest.approx(3600.0 / run.loosings_an_hour, rel=1e-12)
    assert choice.force_per_person[0] == pytest.approx(run.force_per_person, rel=1e-12)
    assert choice.force_allowed[0] == pytest.approx(run.force_allowed, rel=1e-12)
    assert choice.crank_turns[0] == pytest.approx(run.crank_turns, rel=1e-12)

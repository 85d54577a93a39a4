"""Every check of made-up load histories against a hand calculation written anew.

Loads are drawn, not thrown, so that any case may govern, and the dials stand off their defaults.
"""

from types import SimpleNamespace

import numpy as np
import pytest
from strength.by_hand import HAND, THROWN, Hand

import slingwright as sw
from slingwright.amounts import units
from slingwright.strength.check import Subject
from slingwright.strength.checks import all_checks
from slingwright.strength.loads.cases import LoadCase
from slingwright.strength.names import CHECKS

KINDS = ("brief", "brief", "empty", "early", "late", "ring", "held", "winding", "hoist")
RIGID = "arm.rigid"  # its frequency is a test of its own, in test_checks.py

NARROW = {
    "site.service": 2.0,
    "site.load_factor": 1.25,
    "arm.timber": "D30",
    "arm.depth_at_axle": 0.36,
    "arm.width_at_axle": 0.11,
    "arm.hole": 0.085,
    "arm.splice": 2.1,
    "arm.splice_keeps": 0.45,
    "axle.cheeks": True,
    "axle.support": 0.16,
    "axle.support_depth": 0.15,
    "axle.support_width": 0.09,
    "axle.bearing": 0.14,
    "axle.turns": False,
    "axle.loosings": 6.0e6,
    "axle.detail": 71e6,
    "axle.grade": "S275",
    "hanger.grade": "S355",
    "hanger.straps": 4.0,
    "hanger.gap": 0.008,
    "hanger.bolts": 3.0,
    "hanger.bolt": "M16",
    "hanger.bolt_grade": "5.8",
    "counterweight.timber": "C18",
    "counterweight.bolts": 5.0,
    "trough.board": 0.03,
    "trough.bearers": 0.7,
    "trough.bearer": 0.05,
    "trough.friction": 1.2,
    "frame.timber": "C30",
    "frame.bolts": 4.0,
    "frame.bolt": "M16",
    "frame.bolt_grade": "8.8",
    "frame.plate": 0.012,
    "frame.side_foot": 1.3,
    "frame.side_share": 0.08,
    "frame.share": 0.62,
    "site.soft_corner": 0.17,
    "site.gust": 31.0,
    "frame.brace": 2.4,
    "frame.brace_depth": 0.14,
    "frame.sill_width": 0.13,
    "sling.breaking": 21e3,
    "sling.cords": 3.0,
    "prong.grade": "S355",
    "base.anchors": 7e3,
    "base.stakes": 5e3,
    "site.ground_friction": 0.3,
}
ROUND = {
    "arm.section": "round",
    "arm.timber": "C24",
    "arm.hole": 0.07,
    "site.load_factor": 1.5,
    "axle.loosings": 1e7,
    "frame.timber": "D40",
    "frame.plate": 0.005,
    "frame.bolt_grade": "5.6",
    "frame.leg_width": 0.14,
    "frame.leg_depth": 0.22,
    "frame.spread": 2.0,
    "frame.sill_length": 3.0,
    "base.anchors": 30e3,
    "hanger.strap_thickness": 0.004,
    "sling.knot": "eye splice",
}
LAYERS = {
    "arm.section": "laminated",
    "arm.layers": 5.0,
    "arm.bond": 0.6,
    "arm.hole": 0.0,
    "arm.timber": "D70",
    "arm.depth_at_tip": 0.1,
    "arm.width_at_axle": 0.2,
    "site.service": 1.0,
    "counterweight.timber": "D50",
    "counterweight.side": 0.03,
    "hanger.strap_thickness": 0.016,
    "frame.brace_width": 0.04,
    "frame.plate": 0.0,
    "frame.side_foot": 0.7,
    "frame.share": 0.5001,
    "site.soft_corner": 0.3,
}
MACHINES = {
    "as it is": ("otter_ford", {}),
    "narrow": ("otter_ford", NARROW),
    "round": ("otter_ford", ROUND),
    "layers": ("otter_ford", LAYERS),
    "fixed": (
        "fixed_pair",
        {"frame.bolts": 1.0, "frame.plate": 0.0, "frame.sill_depth": 0.09},
    ),
    "wheels": ("on_wheels", {"base.anchors": 2e3}),
}


def drawn_case(machine, rng, kind, name, copies=()):
    """A load case of a kind with histories drawn at random, about the size of the machine's."""
    n = machine.number
    weight = n("counterweight.mass") * n("site.gravity") * rng.lognormal(0.5, 0.4)
    count = 1 if kind in ("held", "hoist") else 40
    places = np.union1d(np.linspace(-n("arm.short"), n("arm.long"), 14), 0.0)
    lever = weight * n("arm.short")
    force = rng.normal((0.0, weight), weight / 2, (count, 2))
    ground = rng.normal((0.0, weight + n("base.mass") * 9.8), weight / 3, (count, 2))
    throw = SimpleNamespace(
        prong_force=weight * rng.uniform(0.0, 0.5, count),
        trough_force=n("projectile.mass") * rng.uniform(0.0, 20.0, count),
        sling_tension=weight * rng.uniform(0.0, 1.0, count),
        arm_rate=rng.normal(0.0, 3.0, count),
        peak_axle_load=float(1.01 * np.hypot(*force.T).max()),
        release=SimpleNamespace(time=rng.uniform(0.5, 9.5)) if kind != "ring" else None,
    )
    return LoadCase(
        name=name,
        kind=kind,
        time=np.arange(float(count)),
        elevation=rng.uniform(-1.0, 2.0, count),
        axle_force=force,
        pin_force=0.9 * rng.normal((0.0, weight), weight / 2, (count, 2)),
        base_force=ground,
        base_moment=rng.normal(0.0, 0.7 * lever, count),
        position=places,
        moment=lever * rng.uniform(0.1, 1.0, places.size),
        shear=weight * rng.uniform(0.1, 1.0, places.size),
        arm_pull=weight * rng.uniform(0.1, 2.0, places.size),
        sling_tension=weight * rng.uniform(0.1, 1.0),
        cord_tension=weight * rng.uniform(0.1, 1.0),
        pouch_tension=weight * rng.uniform(0.1, 1.0),
        prong_force=weight * rng.uniform(0.1, 1.0),
        turning_rate=rng.uniform(0.5, 5.0),
        projectile=10.0,
        throw=throw if kind in THROWN else None,
        copies=copies,
    )


def drawn_subject(name, seed):
    """A machine of the table above under one set of drawn cases; one has near copies."""
    file, changes = MACHINES[name]
    machine = sw.read_machine(file).change(changes)
    rng = np.random.default_rng(seed)
    cases = [
        drawn_case(machine, rng, kind, f"{kind} {number}") for number, kind in enumerate(KINDS)
    ]
    copies = tuple(drawn_case(machine, rng, "late", "late 9") for _ in range(2))
    cases.append(drawn_case(machine, rng, "late", "late 9", copies))
    return Subject(machine=machine, every_case=tuple(cases))


def by_hand(subject):
    """Give demand, capacity, use and case of every check by hand, by its key."""
    hand, found = Hand(subject.machine), {}
    for key, work in HAND.items():
        for case in subject.cases:
            told = work(hand, case)
            if told is None:
                continue
            demand, capacity, use = told if len(told) == 3 else (*told, told[0] / told[1])
            if key not in found or use > found[key][2]:
                found[key] = (demand, capacity, use, case.name)
    return found


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("name", MACHINES)
def test_demand_and_capacity_by_hand(name, seed):
    """Truth: the rules of `by_hand.py`, each with its source, to nine figures."""
    subject = drawn_subject(name, seed)
    told = {check.key: check for check in all_checks(subject)}
    wanted = by_hand(subject)
    assert set(wanted) == set(told) - {RIGID}
    for key, (demand, capacity, use, case) in wanted.items():
        check = told[key]
        assert check.demand == pytest.approx(demand, rel=1e-9), key
        assert check.capacity == pytest.approx(capacity, rel=1e-9), key
        assert check.utilisation == pytest.approx(use, rel=1e-9), key
        named = check.case.split(", one cord")[0].split(", on ground")[0]
        assert named in (case, "all", "standing in a gust") or key == "width.trough", key


@pytest.mark.parametrize("name", MACHINES)
def test_working_tells_demand_and_capacity(name):
    """Truth: the check's own numbers, in its working."""
    for check in all_checks(drawn_subject(name, 1)):
        told = str(check.working)
        if check.unit != "-":
            assert units.text(check.demand, check.unit) in told, check.key
            assert units.text(check.capacity, check.unit) in told, check.key


def test_no_check_is_left_out():
    """Truth: the table of checks."""
    assert set(HAND) == set(CHECKS) - {RIGID, "rails.box"}  # rails: parts/test_rails.py

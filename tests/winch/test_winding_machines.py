"""Winding of the machines that come with the kit, read from their files."""

import math

import numpy as np
import pytest

from slingwright.formulas.release import prong
from slingwright.machine.file import read_machine
from slingwright.machine.machine import Machine
from slingwright.motion.throwing import reach_curve, throw
from slingwright.places import data_folder
from slingwright.winch.cycle import Winding, winding
from slingwright.winch.drums import drum_choice
from slingwright.winch.hook import prong_choice, range_along
from slingwright.winch.rig import WinchRig
from slingwright.winch.rigging import rigging_checks

FILES = sorted(data_folder().glob("*.toml"))


def wound(name: str) -> tuple[Machine, Winding]:
    """Read a machine and wind it."""
    machine = read_machine(data_folder() / name)
    return machine, winding(machine)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_machine_can_be_wound(path) -> None:
    """Truth: energy: what is stored is weight times height, and nothing is made on the way."""
    machine, run = wound(path.name)
    rise = 1.0 + math.sin(machine["arm.cocked"])
    first_moment = (
        machine["counterweight.mass"] * machine["arm.short"]
        - machine["arm.mass"] * machine["arm.balance"]
        - (machine["sling.mass"] + machine["sling.pouch"]) * machine["arm.long"]
    )
    assert run.stored == pytest.approx(first_moment * rise * machine["site.gravity"], rel=1e-12)
    assert 0.0 < run.efficiency < 1.0 and abs(run.energy_error) < 1e-4
    assert {row.verdict for row in rigging_checks(run)} <= {"holds", "fails", "not known"}


def test_otter_ford_can_be_wound_by_its_crew() -> None:
    """Truth: the crew's limit, and three loosings an hour that the museum asks for."""
    _, run = wound("otter_ford.toml")
    assert run.force_per_person <= run.force_allowed
    assert run.loosings_an_hour > 3.0


def test_a_changed_drum_changes_force_and_time() -> None:
    """Truth: law of the lever at the middle of the rope, on a drum so long that one layer does."""
    machine, _ = wound("otter_ford.toml")
    rig = WinchRig(drum_width=3.0)
    smaller = machine.change({"winch.drum": 0.5 * machine["winch.drum"]})
    run, half = winding(machine, rig), winding(smaller, rig)
    drum, rope = machine["winch.drum"], machine["winch.rope"]
    share = (0.5 * drum + rope) / (drum + rope)
    assert half.force_per_person == pytest.approx(share * run.force_per_person, rel=1e-9)
    assert half.crank_turns == pytest.approx(run.crank_turns / share, rel=1e-9)


def test_heavier_than_the_heaviest_is_too_heavy() -> None:
    """Truth: the machine itself, changed to the answer and a hair above it."""
    machine, run = wound("otter_ford.toml")
    heaviest = drum_choice(machine, np.array([machine["winch.drum"]])).heaviest[0]
    for share, fits in ((1.0, True), (1.0 + 1e-7, False)):
        again = winding(machine.change({"counterweight.mass": share * heaviest}))
        assert (again.force_per_person <= again.force_allowed) == fits


def test_prong_of_otter_ford_in_degrees_of_range() -> None:
    """Truth: throws with the slip angle itself changed, against the curve of ranges."""
    machine, _ = wound("otter_ford.toml")
    slip = machine["release.angle"]
    choice = prong_choice(
        prong.bend_for_slip(slip, 0.2), 0.2, 0.1, 0.3, range_along(*reach_curve(machine))
    )
    half = math.radians(0.5)
    ranges = [throw(machine.change({"release.angle": slip + d})).range for d in (-half, 0.0, half)]
    assert choice.range == pytest.approx(ranges[1], rel=2e-3)
    assert choice.range_a_degree == pytest.approx(ranges[2] - ranges[0], abs=0.15)
    wet = throw(machine.change({"release.angle": choice.slip_wet})).range
    assert choice.range_wet == pytest.approx(wet, rel=2e-3)

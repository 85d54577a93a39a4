"""The hook and the prong as answers: pull, safety, lanyard, wet and dry."""

import math

import numpy as np
import pytest

import slingwright as sw
from slingwright.learning.shots import FieldShot, ShotModel
from slingwright.motion.spread.uncertain import Uncertain
from slingwright.pages.winding.page import WindingBench
from slingwright.places import data_folder
from slingwright.winch.hook import PROCEDURE, SlipHook, loosing, prong_choice, range_along
from slingwright.winch.rigging import HOOK, rigging_checks


def test_pull_of_a_shut_hook_by_hand() -> None:
    """Truth: moments about the pivot, worked by hand for friction 0.12."""
    sine = math.sin(math.atan(0.12))
    by_hand = 2000.0 * (0.002 + 0.020 * sine) / (0.20 - 0.008 * sine)
    answer = loosing(2000.0)
    assert answer.pull == pytest.approx(by_hand, rel=1e-12)
    assert answer.verdict == answer.verdict_when_slippery == "holds by its shape"
    assert answer.friction_that_holds == 0.0
    assert answer.pull < answer.pull_at_double_friction < 2.0 * answer.pull


def test_hook_that_looses_when_slippery_says_so() -> None:
    """Truth: the load opens with 1 mm, friction of 0.03 on 20 mm holds only 0.6 mm."""
    answer = loosing(2000.0, SlipHook(offset=-0.001))
    assert answer.verdict == "holds by friction only"
    assert answer.verdict_when_slippery == "looses by itself"
    assert answer.pull_when_slippery == 0.0
    assert "Greased, wet or iced it looses by itself" in answer.words
    open_hook = loosing(2000.0, SlipHook(offset=-0.005))
    assert open_hook.pull == 0.0 and "do not use it" in open_hook.words


@pytest.mark.parametrize(
    ("load", "words"), [(200.0, "snagged lanyard"), (20_000.0, "longer lever"), (2000.0, "N at")]
)
def test_words_fit_the_pull(load: float, words: str) -> None:
    """Truth: below 20 N too light, above 145 N too heavy, by the limits named in the module."""
    assert words in loosing(load).words


def test_lanyard_reaches_the_person() -> None:
    """Truth: a right-angled box of 4 by 10 by 0.5 m, and the chord of 60 deg is its radius."""
    assert loosing(2000.0).lanyard is None
    answer = loosing(2000.0, SlipHook(hook_x=-4.0, hook_y=0.5, person_x=-8.0, person_z=10.0))
    straight = math.sqrt(4.0**2 + 10.0**2 + 0.5**2)
    assert answer.lanyard == pytest.approx(straight + 1.0, rel=1e-12)
    assert answer.hand_travel == pytest.approx(1.0 + 0.20 + 0.03 * answer.lanyard, rel=1e-12)


def test_procedure_has_the_safety_pin_drawn_last() -> None:
    """Truth: common practice: pin in before the rope is eased, out only just before loosing."""
    pin_in = next(k for k, step in enumerate(PROCEDURE) if "safety pin in" in step)
    eased = next(k for k, step in enumerate(PROCEDURE) if step.startswith("ease the winding rope"))
    drawn = next(k for k, step in enumerate(PROCEDURE) if "draw the safety pin" in step)
    loosed = next(k for k, step in enumerate(PROCEDURE) if step.startswith("loose;"))
    assert pin_in < eased < drawn == loosed - 1


def test_prong_answers_to_a_degree_and_to_friction() -> None:
    """Truth: a made-up parabola of range against slip angle, its slope by hand."""
    best = math.radians(40.0)
    choice = prong_choice(
        math.radians(38.0), 0.2, 0.1, 0.3, lambda g: 200.0 - 500.0 * (g - best) ** 2
    )
    assert choice.slip_dry < choice.slip < choice.slip_wet
    assert choice.slip_wet == pytest.approx(math.pi / 2 - math.atan(0.1) - math.radians(38.0))
    slope = -1000.0 * (choice.slip - best) * math.radians(1.0)
    assert choice.range_a_degree == pytest.approx(slope, rel=1e-9)
    assert "one degree more of lag" in choice.words


def test_prong_says_where_a_throw_fails() -> None:
    """Truth: a curve that ends at 45 deg; the wet ring slips later than that."""
    angles = np.radians([30.0, 40.0, 45.0, 50.0, 55.0])
    # A parabola, which a cubic follows; past 45 deg nothing lands.
    far = np.array([50.0, 100.0, 112.5, math.nan, 112.5])
    curve = range_along(angles, far)
    assert curve(math.radians(35.0)) == pytest.approx(475.0 / 6.0)
    assert curve(math.radians(48.0)) is None and curve(math.radians(29.0)) is None
    choice = prong_choice(math.radians(38.0), 0.2, 0.05, 0.3, curve)
    assert choice.range is not None and choice.range_wet is None
    assert "not all of these throws" in choice.words
    falling = range_along(angles[::-1], far[::-1])
    assert falling(math.radians(35.0)) == curve(math.radians(35.0))
    with pytest.raises(ValueError, match="0 slip angles and 0 ranges"):
        range_along(np.empty(0), np.empty(0))
    with pytest.raises(ValueError, match="out of order"):
        prong_choice(0.5, 0.1, 0.2, 0.3, curve)


@pytest.mark.parametrize("path", sorted(data_folder().glob("*.toml")), ids=lambda path: path.stem)
def test_the_hook_has_one_load(path) -> None:
    """Truth: moments about the axle by hand: the weights' torque over the hook's lever.

    Straight down from the tip, L cos(e): the same number in `throw`, in winding, its check and
    lanyard, on the page, and where a load cell's reading is compared in learning.
    """
    machine = sw.read_machine(path)
    n = machine.number
    level = n("counterweight.mass") * n("arm.short") - n("arm.mass") * n("arm.balance")
    by_hand = (level / n("arm.long") - 0.5 * n("sling.mass")) * n("site.gravity")
    page = WindingBench(path)
    shots = [FieldShot(label="one", seen={"hook_load": (0.0, 1.0)})]
    weight = Uncertain(path="counterweight.mass", way="factor", mean=1.0, sd=0.03, source="made up")
    found = {
        "throw": sw.throw(machine).held.hook_load,
        "winding": sw.winding(machine).hook_load,
        "check": next(
            row.demand for row in rigging_checks(sw.winding(machine)) if row.name == HOOK
        ),
        "lanyard": page.wound.loosing.load,
        "learning": ShotModel(machine, shots, [weight])({"counterweight.mass factor": 1.0})[0],
    }
    assert found == {name: pytest.approx(by_hand, rel=1e-9) for name in found}
    page.close()
    # another line, to an anchor on the ground: its lever is the area of axle, hook and anchor
    aimed = machine.change({"hook.x": -0.3 * n("arm.long"), "hook.y": 0.0})
    line = sw.throw(aimed).held
    assert line.hook_load == pytest.approx(sw.winding(aimed).hook_load, rel=1e-9)
    assert line.hook_load * line.lever == pytest.approx(line.torque, rel=1e-12)
    tip = (-n("arm.long") * math.cos(n("arm.cocked")), -n("arm.long") * math.sin(n("arm.cocked")))
    anchor = (-0.3 * n("arm.long"), -n("axle.height"))
    area = abs(tip[0] * anchor[1] - tip[1] * anchor[0])
    assert line.lever == pytest.approx(area / math.dist(tip, anchor), rel=1e-9)

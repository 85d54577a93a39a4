"""Shots and model that disagree give no forecast; scatter is called stated only where it was.

Truth: shots made by the model itself with a known scatter, so that the share of intervals that hold
the next shot can be counted; the binomial's own spread over that count.
"""

import numpy as np
import pytest

import slingwright as sw
from slingwright.learning.learning import learn
from slingwright.learning.priors import unsure, with_measured
from slingwright.learning.shots import RANGE_SCATTER, LearnError, field_shot
from slingwright.logbook import Logbook, Measurement
from slingwright.pages.log.records import save_revision, settings_when_measured, story_of


@pytest.fixture(scope="module")
def machine() -> sw.Machine:
    return sw.read_machine("otter_ford")


def shots_of(machine, off):
    """Shots of the machine itself, each off by a share of its range."""
    settings = [{"sling.length": 4.8 + 0.05 * (i % 3)} for i in range(len(off))]
    far = [sw.throw(machine.change(one)).range for one in settings]
    return [
        field_shot(f"shot {i + 1}", range=r * (1.0 + share), settings=one)
        for i, (r, share, one) in enumerate(zip(far, off, settings, strict=True))
    ]


def test_scatter_far_above_what_is_assumed_gives_no_forecast(machine) -> None:
    """Truth: shots made with seven times the usual scatter, by turns long and short."""
    off = 7.0 * RANGE_SCATTER * np.array([1, -1, 1, -1, 1, -1, 1, -1])
    told = learn(machine, shots_of(machine, off))
    assert "disagree" in told.disagreement and told.account().count(told.disagreement) == 1
    with pytest.raises(LearnError, match="no forecast"):
        told.next_shot()
    with pytest.raises(LearnError, match="no forecast"):
        told.belief.next_shot()
    with pytest.raises(ValueError, match="no forecast"):
        sw.next_trial(told.belief, (sw.Bound(path="sling.length", low=4.0, high=5.5),))


def test_a_row_of_last_shots_far_off_gives_no_forecast_and_a_pair_does(machine) -> None:
    """Truth: the model's own shots; then three at 40 % off, as if something had changed, or two."""
    usual = RANGE_SCATTER * np.array([1, -1, 1, -1, 1, -1, 1, -1])
    changed = learn(machine, shots_of(machine, [*usual, 0.4, -0.4, 0.4]))
    assert "last 3 shots do not fit" in changed.disagreement
    with pytest.raises(LearnError, match="no forecast"):
        changed.next_shot()
    pair = learn(machine, shots_of(machine, [*usual, 0.4, -0.4]))
    assert pair.disagreement == "" and len({one.label for one in pair.suspects}) == 2


def test_usual_scatter_gives_one(machine) -> None:
    """Truth: shots with the scatter that is assumed agree with their model."""
    off = RANGE_SCATTER * np.array([1, -1, 1, -1, 1, -1])
    told = learn(machine, shots_of(machine, off))
    assert told.disagreement == "" and told.next_shot().low < told.next_shot().high


def test_scatter_nobody_stated_is_not_called_stated(machine) -> None:
    """Truth: the shots as they were entered."""
    one = shots_of(machine, [0.01])
    assert "assumed for the most part" in learn(machine, one).scatter_words()[0]
    stated = [field_shot("a", range=100.0, range_sd=2.0)]
    assert "as the entries state" in learn(machine, stated).scatter_words()[0]
    many = learn(machine, shots_of(machine, [0.04, -0.04] * 4))
    assert "as these shots show" in many.scatter_words()[0]
    like = learn(machine, shots_of(machine, [0.001, -0.001] * 4))
    assert many.range_sd > 3.0 * like.range_sd


def test_a_lighter_projectile_scatters_by_the_same_share(machine) -> None:
    """Truth: the share of the range by which the shots were put off, normal as Student's."""
    told = learn(machine, shots_of(machine, [0.04, -0.04] * 6))
    assert 1.2 * told.belief.scatter == pytest.approx(0.04, rel=0.25)
    far = told.belief.scatter_at(np.array([50.0, 200.0]))
    assert far[1] == pytest.approx(4.0 * far[0])


def test_settings_unlike_all_that_were_loosed_are_less_sure(machine) -> None:
    """Truth: the rule at no change, and far away; the interval of the same throws."""
    belief = learn(machine, shots_of(machine, [0.01, -0.01])).belief
    assert belief.off_model({"sling.length": 4.8}) == pytest.approx(0.0, abs=1e-12)
    assert belief.off_model({"counterweight.mass": 1000.0}) > 0.008
    thrown = np.full(300, 100.0)
    near = belief.scattered(thrown, 300, repeats=9)
    away = belief.scattered(thrown, 300, repeats=9, settings={"counterweight.mass": 2000.0})
    assert np.ptp(np.quantile(away, [0.1, 0.9])) > 1.02 * np.ptp(np.quantile(near, [0.1, 0.9]))


def test_an_arm_that_was_weighed_counts_and_a_wrong_weighing_is_suspected(machine) -> None:
    """Truth: shots of the machine itself; an arm weighed true, and a counterweight weighed at 500
    kg that is 640."""
    shots = shots_of(machine, [0.004, -0.004, 0.004] * 2)
    arm = machine.number("arm.mass")
    told = learn(machine, shots, measured={"arm.mass": (arm, 1.0)})
    assert "arm.mass factor" in told.fit.names and told.doubted == ()
    assert told.interval("arm.mass factor").high - 1.0 < 3.0 / arm
    wrong = learn(machine, shots, measured={"counterweight.mass": (500.0, 3.0)})
    assert "measured 0.781, but the shots say" in wrong.doubted[0]
    assert wrong.doubted[0] in wrong.account() and wrong.disagreement == ""
    assert wrong.interval("counterweight.mass factor").low > 0.9


def test_a_weighing_counts_against_its_own_revision(machine, tmp_path) -> None:
    """Truth: a weight of 650 kg on a box said to be 640 kg is a factor of 650 / 640, whatever the
    box is said to be after it was filled up."""
    with Logbook.create(tmp_path / "a.log", machine="Otter Ford") as log:
        save_revision(log, machine, note="as built")
        log.append(
            Measurement(thing="box", value=650.0, unit="kg", sd=2.0, path="counterweight.mass")
        )
        fuller = machine.change({"counterweight.mass": 800.0})
        save_revision(log, fuller, note="more sand")
        on = settings_when_measured(log)
        assert on["counterweight.mass"] == 640.0
        story = story_of(log, machine)
    assert story.measured_on == on and story.measured["counterweight.mass"][0] == 650.0
    found = with_measured(unsure(story.machine), story.machine, story.measured, story.measured_on)
    weight = next(one for one in found if one.path == "counterweight.mass")
    assert weight.mean == pytest.approx(650.0 / 640.0 if weight.way == "factor" else 650.0)

"""Shots and model that disagree give no forecast; scatter is called stated only where it was.

Truth: shots made by the model itself with a known scatter, so that the share of intervals that hold
the next shot can be counted; the binomial's own spread over that count.
"""

import numpy as np
import pytest

import slingwright as sw
from slingwright.learning.learning import learn
from slingwright.learning.shots import RANGE_SCATTER, LearnError, field_shot
from slingwright.logbook import Logbook, Measurement
from slingwright.motion.spread.uncertain import usual, with_measured
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
    """Truth: shots made with six times the usual scatter, by turns long and short."""
    off = 6.0 * RANGE_SCATTER * np.array([1, -1, 1, -1, 1, -1, 1, -1])
    told = learn(machine, shots_of(machine, off), steps=150)
    assert "disagree" in told.disagreement and told.account().count(told.disagreement) == 1
    with pytest.raises(LearnError, match="no forecast"):
        told.next_shot()
    with pytest.raises(LearnError, match="no forecast"):
        told.belief.next_shot()
    with pytest.raises(ValueError, match="no forecast"):
        sw.next_trial(told.belief, (sw.Bound(path="sling.length", low=4.0, high=5.5),))


def test_usual_scatter_gives_one(machine) -> None:
    """Truth: shots with the scatter that is assumed agree with their model."""
    off = RANGE_SCATTER * np.array([1, -1, 1, -1, 1, -1])
    told = learn(machine, shots_of(machine, off), steps=150)
    assert told.disagreement == "" and told.next_shot().low < told.next_shot().high


def test_scatter_nobody_stated_is_not_called_stated(machine) -> None:
    """Truth: the shots as they were entered."""
    one = shots_of(machine, [0.01])
    assert "nobody stated" in learn(machine, one, steps=100).scatter_words()[0]
    stated = [field_shot("a", range=110.0, range_sd=2.0)]
    assert "as the entries state" in learn(machine, stated, steps=100).scatter_words()[0]
    two = learn(machine, shots_of(machine, [0.04, -0.04]), steps=100)
    assert "as these shots show" in two.scatter_words()[0]
    like = learn(machine, shots_of(machine, [0.001, -0.001]), steps=100)
    assert two.range_sd > like.range_sd


@pytest.mark.slow
def test_forecasts_from_wide_shots_cover_or_are_refused(machine) -> None:
    """Truth: shots with three times the assumed scatter, drawn 24 times: of the 90 % intervals that
    are given at least 75 % hold the next shot (two sd of the binomial below)."""
    chance = np.random.default_rng(4)
    held, given = 0, 0
    for _ in range(24):
        off = 3.0 * RANGE_SCATTER * chance.standard_normal(9)
        told = learn(machine, shots_of(machine, off[:8]), steps=120)
        if told.disagreement:
            continue
        given += 1
        after = told.next_shot({"sling.length": 4.8})
        seen = sw.throw(machine).range * (1.0 + off[8])
        held += after.low <= seen <= after.high
    assert given == 0 or held >= 0.75 * given


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
    found = with_measured(usual(story.machine), story.machine, story.measured, story.measured_on)
    weight = next(one for one in found if one.path == "counterweight.mass")
    assert weight.mean == pytest.approx(650.0 / 640.0 if weight.way == "factor" else 650.0)

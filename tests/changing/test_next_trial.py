"""The next trial: the best of a dense grid, near a target, within limits, with an honest gain.

Truth: grids of throws at the same numbers; single throws; draws compared one by one.
"""

import math

import numpy as np
import pytest

import slingwright as sw
from slingwright.changing.next_trial import next_trial
from slingwright.changing.trials import END_ALLOWANCE, Bound, Limits, TrialError
from slingwright.learning.belief import before_any_shot
from slingwright.learning.learning import learn
from slingwright.learning.shots import field_shot
from slingwright.machine.machine import Machine
from slingwright.motion.spread.uncertain import Uncertain

SLING = Bound(path="sling.length", low=3.5, high=6.0)
SLIP = Bound(path="release.angle", low=0.0, high=math.radians(50.0))
SURE = (
    Uncertain(path="release.angle", way="offset", mean=0.0, sd=1e-4, source="made up"),
    Uncertain(path="axle.friction", way="value", mean=0.1, sd=1e-4, source="made up"),
)


@pytest.fixture(scope="module")
def machine() -> Machine:
    return sw.read_machine(sw.data_folder() / "otter_ford.toml")


def test_where_all_is_known_it_finds_the_best_of_a_grid(machine) -> None:
    """Truth: 61 by 61 throws over the same bounds, settings rounded as in the field."""
    poor = machine.change({"sling.length": "4 m", "release.angle": "35 deg"})
    told = next_trial(before_any_shot(poor, SURE), (SLING, SLIP))
    found = sw.sweep(
        poor,
        {"sling.length": np.linspace(3.5, 6.0, 61), "release.angle": np.linspace(0, SLIP.high, 61)},
        loads=False,
    )
    best = np.nanmax(found["range"])
    after = sw.throw(poor.change(dict(told.best.settings))).range
    assert after > 0.995 * best
    gain = after - sw.throw(poor).range
    assert told.best.gain.value == pytest.approx(gain, abs=0.1)
    assert told.best.chance == 1.0


def test_it_lands_near_a_target(machine) -> None:
    """Truth: a single throw at the advised settings."""
    told = next_trial(before_any_shot(machine, SURE), (SLING, SLIP), target=85.0)
    assert sw.throw(machine.change(dict(told.best.settings))).range == pytest.approx(85.0, abs=1.0)
    # the mean of Student's scatter, its size unknown by a factor of three, and of the model
    chance = np.random.default_rng(1)
    sizes = 0.02 * 85.0 * np.exp(np.log(3.0) * chance.standard_normal(40_000))
    off = sizes * chance.standard_t(4, 40_000) + 0.01 * 85.0 * chance.standard_normal(40_000)
    assert told.best.miss == pytest.approx(np.mean(np.abs(off)), rel=0.25)


def test_limits_are_kept(machine) -> None:
    """Truth: the axle load of a single throw at the advised settings."""
    freed = next_trial(before_any_shot(machine, SURE), (SLING, SLIP))
    bound = 0.97 * freed.best.axle_load
    told = next_trial(before_any_shot(machine, SURE), (SLING, SLIP), limits=Limits(axle_load=bound))
    assert sw.throw(machine.change(dict(told.best.settings))).peak_axle_load <= bound * 1.001
    assert told.best.range.value < freed.best.range.value


def test_the_gain_is_of_the_change_alone(machine) -> None:
    """Truth: ranges at the same draws, one less the other; far narrower than either range."""
    belief = before_any_shot(machine)
    told = next_trial(belief, (SLING, SLIP))
    thrown = belief.outcomes([{}, dict(told.best.settings)], "range", 150)
    gain = thrown[:, 1] - thrown[:, 0]
    low, middle, high = np.quantile(gain[np.isfinite(gain)], [0.05, 0.5, 0.95])
    assert told.best.gain.value == pytest.approx(middle, abs=1e-9)
    assert (told.best.gain.low, told.best.gain.high) == pytest.approx((low, high), abs=1e-9)
    assert high - low < 0.5 * (told.best.range.high - told.best.range.low)


def test_shots_change_the_advice(machine) -> None:
    """Truth: shots made with a ring that slips 12 deg early ask for a smaller angle than none."""
    slip = (
        Uncertain(
            path="release.angle", way="offset", mean=0.0, sd=math.radians(5.0), source="made up"
        ),
    )
    real = [
        sw.throw(machine.change({"release.angle": math.radians(a + 12.0)})).range
        for a in (20.0, 10.0, 30.0, 0.0)
    ]
    shots = [
        field_shot(f"shot {i}", range=far, settings={"release.angle": math.radians(a)})
        for i, (far, a) in enumerate(zip(real, (20.0, 10.0, 30.0, 0.0), strict=True))
    ]
    learned = learn(machine, shots, slip, estimate_noise=False)
    before = next_trial(before_any_shot(machine, slip), (SLIP,))
    after = next_trial(learned.belief, (SLIP,))
    shift = before.best.settings["release.angle"] - after.best.settings["release.angle"]
    assert math.degrees(shift) == pytest.approx(12.0, abs=5.0)


def test_settings_can_be_set_in_the_field(machine) -> None:
    """Truth: a sling is cut to the centimetre, a prong bent to half a degree."""
    told = next_trial(before_any_shot(machine, SURE), (SLING, SLIP))
    for one in (told.best, *told.others):
        length = one.settings["sling.length"] * 100.0
        angle = math.degrees(one.settings["release.angle"]) * 2.0
        assert length == pytest.approx(round(length), abs=1e-6)
        assert angle == pytest.approx(round(angle), abs=1e-6)


def test_it_says_what_to_look_for(machine) -> None:
    """Truth: the advice names the interval, and warns of the weight and of the ring."""
    weight = Bound(path="counterweight.mass", low=600.0, high=700.0)
    told = next_trial(before_any_shot(machine), (SLIP, weight))
    assert "stop and find out why" in told.watch[0]
    assert any("clear the ground behind" in words for words in told.watch)
    assert any("will it hold" in words for words in told.watch)
    assert told.sentence.startswith("Try ")


def test_a_gain_that_will_not_be_seen_is_said(machine) -> None:
    """Truth: a machine at its best gains less than two like shots differ by."""
    best = next_trial(before_any_shot(machine, SURE), (SLING, SLIP)).best
    told = next_trial(before_any_shot(machine.change(dict(best.settings)), SURE), (SLING, SLIP))
    assert told.sentence.startswith("Stay with what is set")


def test_the_same_belief_gives_the_same_advice(machine) -> None:
    """Truth: two runs are equal."""
    one, other = (next_trial(before_any_shot(machine, seed=3), (SLING,)) for _ in range(2))
    assert one == other


def test_nothing_within_the_limits_is_said(machine) -> None:
    """Truth: no throw of this machine loads its axle with less than 1 kN."""
    told = next_trial(before_any_shot(machine, SURE), (SLING,), limits=Limits(axle_load=1e3))
    assert told.best is None
    assert "No setting within these bounds" in told.sentence


@pytest.mark.parametrize(
    ("bounds", "target", "words"),
    [
        ((), None, "one to three"),
        ((SLING,), 500.0, "within the clear ground"),
        ((SLING,), -1.0, "above 0"),
    ],
)
def test_what_cannot_be_advised_is_refused(machine, bounds, target, words) -> None:
    """Truth: the message names the thing and the limit."""
    with pytest.raises(TrialError, match=words):
        next_trial(before_any_shot(machine, SURE), bounds, target=target)


def test_the_range_to_be_reached_and_the_timber_are_kept(machine) -> None:
    """Truth: single throws of the settings; the arm's timber added up by hand."""
    belief = before_any_shot(machine, SURE)
    arm = Bound(path="arm.short", low=1.1, high=1.8)
    least = 1.02 * sw.throw(machine).range
    best = next_trial(belief, (arm,), limits=Limits(nearest=least)).best
    assert sw.throw(belief.now(best.settings)).range >= least - 1e-6
    timber = machine.number("arm.long") + machine.number("arm.short") + END_ALLOWANCE
    short = next_trial(belief, (arm,), limits=Limits(stock=(6.0, timber - 0.1))).best
    held = machine.number("arm.long") + short.settings["arm.short"] + END_ALLOWANCE
    assert held <= timber - 0.1 + 1e-9
    free = next_trial(belief, (arm,)).best
    assert free.settings["arm.short"] > short.settings["arm.short"] + 0.05
    none = next_trial(belief, (arm,), limits=Limits(stock=(6.0,)))
    assert none.best is None and "keeps to the limits" in none.sentence
    with pytest.raises(TrialError, match="short of the range to be reached"):
        next_trial(belief, (arm,), target=80.0, limits=Limits(nearest=100.0))


def test_limits_are_kept_by_chance_and_not_by_the_best_estimate(machine) -> None:
    """Truth: the axle's load at the draws: nine of ten of them keep to the limit."""
    belief = before_any_shot(machine)
    weight = Bound(path="counterweight.mass", low=560.0, high=720.0)
    free = next_trial(belief, (weight,))
    limit = free.best.axle_load * 0.97
    told = next_trial(belief, (weight,), limits=Limits(axle_load=limit))
    loads = belief.outcomes([dict(told.best.settings)], "peak_axle_load", 150)
    assert np.mean(loads <= limit) >= 0.9
    assert told.best.axle_load < limit


def test_a_trial_that_brings_a_new_failing_is_passed_over(machine, monkeypatch) -> None:
    """Truth: made-up states that fail beyond some sling length, and ones that fail already."""
    from types import SimpleNamespace

    from slingwright.changing import next_trial as module

    def looked(failing):
        def look(one, **_):
            failings = {"axle": "the axle"} if failing(one.number("sling.length")) else {}
            return SimpleNamespace(failings=failings, uses={}, unknown={}, checked={})

        return look

    belief = before_any_shot(machine, SURE)
    free = next_trial(belief, (SLING,)).best.settings["sling.length"]
    monkeypatch.setattr(module, "look_at", looked(lambda long: abs(long - free) < 1e-9))
    kept = next_trial(belief, (SLING,), checks=True).best
    assert kept is not None and kept.settings["sling.length"] != free
    now = machine.number("sling.length")
    monkeypatch.setattr(module, "look_at", looked(lambda long: abs(long - now) > 1e-9))
    told = next_trial(belief, (SLING,), checks=True)
    assert told.best is not None and told.watch[0].startswith("Do not loose it before")
    assert "the axle" in told.watch[0]

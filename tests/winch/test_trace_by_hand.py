"""Load-cell files and their comparison, worked out by hand on a few rows."""

import math

import numpy as np
import pytest
from winch.test_by_hand import drawn

from slingwright.winch.cycle import follow
from slingwright.winch.load_cell.comparison import (
    overlay,
    predicted_pull,
)
from slingwright.winch.load_cell.losses import _independent_share, fit_losses
from slingwright.winch.load_cell.trace import (
    Hold,
    LoadTrace,
    TraceError,
    clean,
    holds,
    peaks,
    read_trace,
)

NUMBERS, RIG = drawn(1)


def read(text):
    return read_trace(text, force_unit="N", time_unit="s", text=True)


def test_rows_that_cannot_be_read_are_told_with_the_peak_they_may_hide():
    """Truth: the rows written here: two without a force, one without a time but with the peak."""
    trace = read("t,F\n0,10\n1,OVER\nx,990\n2,\n3,11\n4,12\n5,9.9e37\n")
    assert trace.force.tolist() == [10.0, 11.0, 12.0]
    first, peak, lost = trace.notes
    assert first == "4 of 7 rows without two numbers left out, the first: 1 OVER"
    assert "one reads 990 N, the highest that is kept 12 N" in peak
    assert lost == "no force can be read in 3 of them: the peak may be there"
    low = read("t,F\n0,10\n1,11\nx,5\n3,12\n\n4,13\n")
    assert low.notes == ("1 of 5 rows without two numbers left out, the first: x 5",)
    short = read("0 10\n1\n2 11\n3 12\n")
    assert short.notes[-1] == "no force can be read in 1 of them: the peak may be there"


def test_more_numbers_than_names_are_told_only_if_every_row_has_them():
    """Truth: the rows written here; a note in a third column is no number."""
    three = read("t,F\n0,1,5\n1,2,6\n2,3,7\n3,4,8\n")
    assert any("rows hold 3 numbers or more under 2 names" in note for note in three.notes)
    some = read("t,F\n0,1,a\n1,2,b\n2,3,c\n3,4,5\n4,5,d\n5,6,e\n")
    assert not any("rows hold" in note for note in some.notes)


def test_separator_is_that_of_the_last_fifty_rows():
    """Truth: the text: sixty rows of semicolons under a head of other marks."""
    rows = "\n".join(f"{k};{k},5" for k in range(60))
    trace = read(f"logger, cell 4, kN\nmade by hand\n{rows}\n")
    assert trace.force == pytest.approx(np.arange(60) + 0.5)
    few = read("a, b, c\n0;1,5\n1;2,5\n2;3,5\n".replace("a, b, c", "a; b"))
    assert few.force.tolist() == [1.5, 2.5, 3.5]


def test_gaps_and_missing_samples_are_counted():
    """Truth: steps written here: usual 1, two of 3 (each lacks two), one of 9."""
    time = np.cumsum([0.0] + [1.0] * 60 + [3.0, 1.0, 3.0] + [1.0] * 10 + [9.0] + [1.0] * 10)
    text = "\n".join(f"{t:g},5" for t in time)
    jumps, missing = read(f"t,F\n{text}\n").notes
    assert jumps.startswith("time jumps 1 time, by 9 s at most where 1 s is usual")
    assert missing == "4 samples missing at 2 places"
    loose = np.cumsum([0.0, *([1.0, 2.0] * 20)])
    text = "\n".join(f"{t:g},5" for t in loose)
    assert read(f"t,F\n{text}\n").notes == ()


@pytest.mark.parametrize("start", [0.0, 7.0, -40.0])
def test_holds_do_not_hang_on_when_the_clock_starts(start):
    """Truth: a ramp of 10 N a sample, still from sample 30 to 50, and again to the end."""
    force = np.concatenate([np.arange(30) * 10.0, np.full(21, 300.0), 310.0 + np.arange(20) * 10])
    force = np.concatenate([force, np.full(12, 600.0)])
    time = start + 0.1 * np.arange(force.size)
    found = holds(LoadTrace(time=time, force=force, name="t"), tolerance=1.0, least=0.5)
    assert [(hold.start, hold.end, hold.force) for hold in found] == [
        pytest.approx((start + 3.0, start + 5.0, 300.0)),
        pytest.approx((start + 7.1, start + 8.2, 600.0)),
    ]
    longer = holds(LoadTrace(time=time, force=force, name="t"), tolerance=1.0, least=1.5)
    assert [hold.force for hold in longer] == [300.0]
    assert holds(LoadTrace(time=time, force=force, name="t"), tolerance=1.0, least=99.0) == []


def test_cleaning_by_hand():
    """Truth: the median of the neighbours and 1.4826 times their median deviation, by numpy.

    One sample of 61 stands out by less, one by more than six of these.
    """
    time = np.arange(61.0)
    force = 100.0 + 5.0 * np.sin(1.7 * time)
    around = force[15:26]
    spread = 1.4826 * np.median(np.abs(around - np.median(around)))
    force[20] = np.median(around) + 5.0 * spread
    kept = clean(LoadTrace(time=time, force=force, name="t"))
    assert kept.force[20] == force[20]
    force[20] = np.median(around) + 8.0 * spread
    cut = clean(LoadTrace(time=time, force=force, name="t"))
    assert cut.force[20] == pytest.approx(np.median(force[15:26]))
    assert cut.peak_as_read == force[20] and cut.peak_as_read > cut.force.max()
    assert clean(LoadTrace(time=time, force=force, name="t"), spike=9.0).force[20] == force[20]
    fine = clean(LoadTrace(time=time, force=force, name="t"), spike=99.0, rate=4.0)
    assert fine.time == pytest.approx(np.arange(241) * 0.25)
    assert fine.force == pytest.approx(np.interp(fine.time, time, force))


def test_peaks_at_the_ends_count():
    """Truth: the values written here."""
    force = np.array([9.0, 1.0, 4.0, 2.0, 8.0])
    trace = LoadTrace(time=np.arange(5.0), force=force, name="t")
    assert peaks(trace, 2.0) == [(0.0, 9.0), (2.0, 4.0), (4.0, 8.0)]
    assert peaks(trace, 3.0) == [(0.0, 9.0), (4.0, 8.0)]


def test_overlay_by_hand():
    """Truth: least squares through the origin, sums without the pause; peaks of both curves."""
    wound = follow(NUMBERS, RIG, 61)
    time = np.linspace(0.0, 50.0, 251)
    share = time / 50.0
    said = np.interp(share, wound.taken / wound.taken[-1], wound.arm_pull)
    measured = said * (1.0 + 0.3 * share)
    pause = Hold(start=10.0, end=14.0, force=0.0)
    counted = (time < 10.0) | (time > 14.0)
    measured[(time > 11.0) & (time < 13.0)] *= 0.2
    trace = LoadTrace(time=time, force=measured, name="t")
    told = overlay(trace, wound, place="arm", progress=share, pauses=[pause])
    ratio = (measured * said)[counted].sum() / (said**2)[counted].sum()
    assert told.ratio == pytest.approx(ratio, rel=1e-12)
    assert told.peak_ratio == pytest.approx(measured.max() / said.max(), rel=1e-12)
    assert f"at {100 * share[measured.argmax()]:.0f} % of the rope" in told.words
    assert f"at {100 * share[said.argmax()]:.0f} %: " in told.words
    assert f"{100 * (measured.max() / said.max() - 1):.1f} % more" in told.words
    assert f"the rope pulls {100 * (ratio - 1):.1f} % more than predicted" in told.words
    less = LoadTrace(time=time, force=0.9 * said, name="t")
    assert "10.0 % less" in overlay(less, wound, place="arm", progress=share).words


def test_uncertainty_of_two_losses_by_hand():
    """Truth: (J' J)^-1 times the scatter, widened by the worth of the samples; slopes by steps."""
    share = np.linspace(0.02, 1.0, 150)
    random = np.random.default_rng(2)
    true = predicted_pull(follow(NUMBERS, RIG, 61), share)
    force = true + random.normal(0.0, 20.0, share.size)
    names = ("sheave_loss", "axle_drag")
    found = fit_losses(share, force, NUMBERS, RIG, names, steps=61)

    def model(values):
        changed = dict(zip(names, values, strict=True))
        numbers = type(NUMBERS)(
            **{n: changed.get(n, getattr(NUMBERS, n)) for n in NUMBERS.__slots__}
        )
        return predicted_pull(follow(numbers, RIG, 61), share)

    best = np.array(found.values)
    slopes = np.column_stack(
        [(model(best + step) - model(best - step)) / 2e-5 for step in 1e-5 * np.eye(2)]
    )
    left = model(best) - force
    variance = left @ left / (share.size - 2)
    near = max(left[1:] @ left[:-1] / (left @ left), 0.0)
    worth = (1.0 - near) / (1.0 + near)
    covariance = variance / worth * np.linalg.inv(slopes.T @ slopes)
    errors = np.sqrt(np.diag(covariance))
    assert found.errors == pytest.approx(errors, rel=1e-3)
    assert found.scatter == pytest.approx(math.sqrt(variance), rel=1e-6)
    assert found.worth == pytest.approx(worth * share.size, rel=1e-6)
    assert found.correlation == pytest.approx(covariance / np.outer(errors, errors), abs=1e-3)


def test_losses_ask_for_two_samples_more_than_there_are():
    """Truth: a scatter asks for a degree of freedom, its uncertainty for one more."""
    share = np.linspace(0.1, 1.0, 4)
    force = predicted_pull(follow(NUMBERS, RIG, 61), share) * (1.0, 1.01, 0.99, 1.0)
    names = ("sheave_loss", "axle_drag")
    assert len(fit_losses(share, force, NUMBERS, RIG, names, steps=61).values) == 2
    with pytest.raises(TraceError, match="3 forces at 3 places cannot tell 2 losses"):
        fit_losses(share[1:], force[1:], NUMBERS, RIG, names, steps=61)
    with pytest.raises(TraceError, match="4 forces at 3 places"):
        fit_losses(share[1:], force, NUMBERS, RIG, names, steps=61)


@pytest.mark.parametrize(
    ("left", "share"),
    [
        ([1.0, -1.0] * 50, 1.0),
        ([0.0] * 9, 1.0),
        ([1.0] * 100_000, 0.001 / 1.999),
        ([1.0, 0.0, 1.0, 1.0], (1 - 1 / 3) / (1 + 1 / 3)),
    ],
)
def test_worth_of_samples_that_hang_together(left, share):
    """Truth: (1 - r) / (1 + r), r the correlation of neighbours between 0 and 0.999."""
    assert _independent_share(np.array(left)) == pytest.approx(share, rel=1e-9)

"""A load cell's trace: reading, cleaning, peaks, holds, and the fit of losses."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from winch.winch_example import NUMBERS

from slingwright.winch.cycle import follow
from slingwright.winch.load_cell.comparison import (
    overlay,
    predicted_pull,
    winding_progress,
)
from slingwright.winch.load_cell.losses import fit_losses
from slingwright.winch.load_cell.trace import LoadTrace, TraceError, clean, holds, peaks, read_trace
from slingwright.winch.rig import WinchRig

PLAIN = "Zeit;Kraft\ns;kN\n0,0;1,5\n0,1;1,6\nx;\n0,2;1,7\n"


def test_reads_any_names_and_a_decimal_comma() -> None:
    """Truth: the numbers written in the text, converted by hand."""
    trace = read_trace(
        PLAIN, text=True, force_unit="kN", time_unit="s", time_column="zeit", force_column="Kraft"
    )
    assert trace.time == pytest.approx([0.0, 0.1, 0.2])
    assert trace.force == pytest.approx([1500.0, 1600.0, 1700.0])
    (note,) = trace.notes
    assert note.startswith("1 of 4 rows without two numbers left out")


@pytest.mark.parametrize(
    ("text", "force"),
    [
        ("0 1\n1 2\n2 3\n", [1.0, 2.0, 3.0]),
        ("t  F\n0   1\n1   2\n2   3\n", [1.0, 2.0, 3.0]),
        ("n\tt\tF\n7\t0\t1\n7\t1\t2\n7\t2\t3\n", [0.0, 1.0, 2.0]),
        ("# cell 4\nt,F\n0,1e0\n1,2\n2,3\n", [1.0, 2.0, 3.0]),
    ],
)
def test_finds_what_separates_the_columns(text: str, force: list[float]) -> None:
    """Truth: the numbers written in the text."""
    trace = read_trace(text, text=True, force_unit="N", time_unit="s")
    assert trace.force == pytest.approx(force)


@pytest.mark.parametrize(("unit", "newtons"), [("kgf", 9.80665), ("lbf", 4.4482216152605)])
def test_units_of_force(unit: str, newtons: float) -> None:
    """Truth: NIST Special Publication 811, Appendix B: kilogram-force and pound-force."""
    trace = read_trace("0,1\n1,1\n2,1\n", text=True, force_unit=unit, time_unit="ms")
    assert trace.force == pytest.approx(newtons, rel=1e-12)
    assert trace.time[-1] == pytest.approx(0.002)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"force_unit": "stone"}, "force_unit 'stone' is not known"),
        ({"time_unit": ""}, "time_unit '' is not known"),
        ({"force_column": "load"}, "no column 'load'; its columns: Zeit, Kraft"),
        ({"force_column": 7}, "no column 7"),
    ],
)
def test_says_what_is_wrong(change: dict, words: str) -> None:
    """Truth: the unit or column that was asked for."""
    given = {"force_unit": "kN", "time_unit": "s"} | change
    with pytest.raises(TraceError, match=words):
        read_trace(PLAIN, text=True, **given)


def test_refuses_files_without_a_trace(tmp_path: Path) -> None:
    """Truth: a missing file, an empty one, one that is no text, and one without numbers."""
    units = {"force_unit": "N", "time_unit": "s"}
    with pytest.raises(TraceError, match=r"gone\.csv cannot be read"):
        read_trace(tmp_path / "gone.csv", **units)
    for content, words in [
        (b"", "empty"),
        (b"\xff\xfe\x00", "cannot be read"),
        (b"a,b\nc,d\n", "0 rows have a time and a force"),
    ]:
        (tmp_path / "bad.csv").write_bytes(content)
        with pytest.raises(TraceError, match=words):
            read_trace(tmp_path / "bad.csv", **units)


def test_spikes_go_and_the_rest_stays() -> None:
    """Truth: a ramp with three spikes put in; the ramp itself is what must come out."""
    time = np.arange(0.0, 10.0, 0.01)
    ramp = 100.0 * time
    force = ramp.copy()
    force[[100, 400, 401]] += [5e3, -4e3, 9e3]
    order = np.random.default_rng(4).permutation(len(time))
    trace = clean(LoadTrace(time=time[order], force=force[order], name="ramp"))
    assert np.max(np.abs(trace.force - ramp)) < 2.0  # two steps of the ramp
    assert "3 spikes replaced" in trace.notes


def test_sampling_is_even_and_repeats_go() -> None:
    """Truth: a straight line, sampled unevenly with one time twice."""
    time = np.array([0.0, 0.1, 0.1, 0.35, 0.5, 1.0])
    trace = clean(LoadTrace(time=time, force=10.0 * time, name="line"), rate=20.0, window=3)
    assert np.diff(trace.time) == pytest.approx(0.05)
    assert trace.force == pytest.approx(10.0 * trace.time, abs=0.3)
    assert "1 sample at a time that was there before left out" in trace.notes


def test_peaks_by_prominence() -> None:
    """Truth: three bumps of known place and height."""
    time = np.linspace(0.0, 6.0, 6001)
    force = sum(h * np.exp(-(((time - c) / 0.2) ** 2)) for h, c in [(50, 1), (5, 3), (80, 5)])
    found = peaks(LoadTrace(time=time, force=force, name="bumps"), prominence=20.0)
    assert [place for place, _ in found] == pytest.approx([1.0, 5.0], abs=0.002)
    assert [height for _, height in found] == pytest.approx([50.0, 80.0], rel=1e-6)


def test_holds_are_found_where_they_were_put() -> None:
    """Truth: a ramp with two pauses of 2 s and 1 s, and a little noise."""
    time = np.arange(0.0, 10.0, 0.01)
    still = ((time > 2.0) & (time < 4.0)) | ((time > 6.0) & (time < 7.0))
    force = np.cumsum(np.where(still, 0.0, 1.0))
    force = force + np.random.default_rng(1).uniform(-1.0, 1.0, len(time))
    trace = LoadTrace(time=time, force=force, name="pauses")
    found = holds(trace, tolerance=4.0, least=0.5)
    assert [(h.start, h.end) for h in found] == [
        (pytest.approx(2.0, abs=0.06), pytest.approx(4.0, abs=0.06)),
        (pytest.approx(6.0, abs=0.06), pytest.approx(7.0, abs=0.06)),
    ]
    share = winding_progress(trace, found)
    assert share[-1] == 1.0
    assert share[350] == pytest.approx(share[250], abs=1e-12)


def test_overlay_says_the_difference() -> None:
    """Truth: a trace made from the prediction, 8 % up."""
    wound = follow(NUMBERS, WinchRig())
    time = np.linspace(0.0, 100.0, 501)
    measured = 1.08 * predicted_pull(wound, time / 100.0)
    told = overlay(LoadTrace(time=time, force=measured, name="made"), wound)
    assert told.ratio == pytest.approx(1.08, rel=1e-12)
    assert told.peak_ratio == pytest.approx(1.08, rel=1e-12)
    assert "8.0 % more" in told.words
    same = overlay(LoadTrace(time=time, force=measured / 1.08, name="made"), wound)
    assert "agree within half a percent" in same.words


def test_fit_finds_the_loss_within_its_uncertainty() -> None:
    """Truth: 40 traces made with a loss of 0.12 and known noise; errors must scatter as stated."""
    rig, true = WinchRig(), replace(NUMBERS, sheave_loss=0.12)
    share = np.linspace(0.02, 1.0, 200)
    clear = predicted_pull(follow(true, rig), share)
    random = np.random.default_rng(7)
    scores = []
    for _ in range(40):
        fit = fit_losses(share, clear + random.normal(0.0, 25.0, 200), NUMBERS, rig)
        assert fit.scatter == pytest.approx(25.0, rel=0.25)
        scores.append((fit.values[0] - 0.12) / fit.errors[0])
    assert abs(np.mean(scores)) < 3.0 / np.sqrt(40)
    assert 0.7 < np.std(scores) < 1.35


def test_fit_counts_samples_that_hang_together_as_fewer() -> None:
    """Truth: a chain of correlation 0.9 is worth (1 - 0.9) / (1 + 0.9) of its samples."""
    share = np.linspace(0.02, 1.0, 2000)
    force = predicted_pull(follow(NUMBERS, WinchRig()), share)
    random = np.random.default_rng(3)
    drift = np.zeros(2000)
    for k in range(1, 2000):
        drift[k] = 0.9 * drift[k - 1] + random.normal(0.0, 10.0)
    fit = fit_losses(share, force + drift, NUMBERS, WinchRig())
    assert fit.worth / 2000 == pytest.approx(0.1 / 1.9, rel=0.3)


def test_fit_of_two_says_how_they_go_together() -> None:
    """Truth: the values that made the trace, without noise."""
    rig, true = WinchRig(), replace(NUMBERS, sheave_loss=0.05, axle_drag=0.012)
    share = np.linspace(0.02, 1.0, 200)
    clear = predicted_pull(follow(true, rig, 121), share)
    fit = fit_losses(share, clear, NUMBERS, rig, ("sheave_loss", "axle_drag"))
    assert fit.values == pytest.approx((0.05, 0.012), rel=1e-4)
    assert -1.0 < fit.correlation[0, 1] < 0.0


def test_lowering_tells_weight_from_friction() -> None:
    """Truth: the weight and the loss that made the traces, with noise of 20 N in both."""
    smooth = replace(NUMBERS, axle_drag=0.0, hanger_drag=0.0)
    true = follow(replace(smooth, counterweight_mass=1300.0, sheave_loss=0.06), WinchRig())
    share, random = np.linspace(0.02, 1.0, 200), np.random.default_rng(11)
    up = predicted_pull(true, share) + random.normal(0.0, 20.0, 200)
    down = predicted_pull(true, share, "drum lowering") + random.normal(0.0, 20.0, 200)
    names = ("sheave_loss", "counterweight_mass")
    fit = fit_losses(share, up, smooth, WinchRig(), names, lowering=(share, down))
    for value, error, told in zip(fit.values, fit.errors, (0.06, 1300.0), strict=True):
        assert abs(value - told) < 3.0 * error < 0.2 * told
    with pytest.raises(TraceError, match="lowering too"):
        fit_losses(share, up, smooth, WinchRig(), names)
    with pytest.raises(TraceError, match="place 'moon' is not known"):
        predicted_pull(true, share, "moon")


def test_fit_refuses_what_cannot_be_told() -> None:
    """Truth: no sheave, no loss; the weight and the loss of a tackle only scale the pull."""
    share = np.linspace(0.0, 1.0, 50)
    force = predicted_pull(follow(NUMBERS, WinchRig()), share)
    with pytest.raises(TraceError, match="runs over no sheave"):
        fit_losses(share, force, replace(NUMBERS, parts=1.0), WinchRig())
    with pytest.raises(TraceError, match="cannot fit mood"):
        fit_losses(share, force, NUMBERS, WinchRig(), ("mood",))
    smooth = replace(NUMBERS, axle_drag=0.0, hanger_drag=0.0)
    with pytest.raises(TraceError, match="cannot tell sheave_loss and counterweight_mass apart"):
        fit_losses(share, force, smooth, WinchRig(), ("sheave_loss", "counterweight_mass"))

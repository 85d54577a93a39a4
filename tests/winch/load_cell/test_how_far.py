"""A second channel in a load cell's file: the arm's angle, or turns, as pandas writes them.

Truth: the winding itself, sampled unevenly along the rope, so that a comparison along time is wrong
and one at the same place is right.
"""

import math
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from winch.winch_example import NUMBERS

from slingwright.winch.cycle import follow
from slingwright.winch.load_cell.comparison import measured_progress, overlay
from slingwright.winch.load_cell.losses import fit_losses
from slingwright.winch.load_cell.trace import LoadTrace, TraceError, clean, read_trace, recognise
from slingwright.winch.rig import WinchRig

RIG = WinchRig()
WOUND = follow(NUMBERS, RIG)
TIME = np.linspace(0.0, 300.0, 1501)
# wound fast, a rest of 100 s, then slowly
GONE = np.interp(TIME, [0.0, 60.0, 160.0, 300.0], [0.0, 0.55, 0.55, 1.0])
SHARE = WOUND.taken / WOUND.taken[-1]
ELEVATION = np.interp(GONE, SHARE, WOUND.elevation)
FORCE = np.interp(GONE, SHARE, WOUND.rope_pull)
CRANK = np.interp(GONE, SHARE, WOUND.turns)
CHANNELS = {  # name in the file, what it counts, values
    "arm elevation [deg]": ("arm from level", np.degrees(ELEVATION)),
    "angle from level (rad)": ("arm from level", ELEVATION),
    "tilt_from_upright_deg": ("arm from upright", 90.0 - np.degrees(ELEVATION)),
    "arm from vertical [\N{DEGREE SIGN}]": ("arm from upright", np.degrees(ELEVATION) - 90.0),
    "drum [turns]": ("turns of the drum", CRANK / NUMBERS.gear),
    "crank revs [rev]": ("turns of the crank", CRANK),
    "drum, turned back [revs]": ("turns of the drum", -CRANK / NUMBERS.gear),
}


def written(path, channel, values, decimal="."):
    """A file of time, second channel and force, as pandas writes it."""
    frame = pd.DataFrame({"time [s]": TIME, "pull [kN]": FORCE / 1e3, channel: values})
    frame.to_csv(path, index=False, sep=";" if decimal == "," else ",", decimal=decimal)
    return path


@pytest.mark.parametrize("decimal", [".", ","])
@pytest.mark.parametrize("channel", CHANNELS)
def test_recognised_shown_back_and_used(channel, decimal, tmp_path):
    """Truth: what was written; at the same place the force is the predicted one everywhere."""
    counts, values = CHANNELS[channel]
    path = written(tmp_path / "made.csv", channel, values, decimal)
    file = recognise(path)
    assert file.names[file.place_column] == channel and file.names[file.force_column] == "pull [kN]"
    rows = {row.key: row for row in file.rows()}
    assert (rows["place"].value, rows["place"].note) == (channel, counts)
    assert f", {counts} in {channel!r}" in file.sentence and file.asks == ()
    trace = clean(read_trace(path))
    assert trace.place_as == counts and trace.place.shape == trace.time.shape
    assert measured_progress(trace, WOUND) == pytest.approx(GONE, abs=1e-6)
    told = WOUND.against(trace)
    assert told.ratio == pytest.approx(1.0, abs=1e-6) and counts in told.by
    assert told.words.startswith(f"at the same place, by {counts}: measured peak")
    assert told.predicted == pytest.approx(FORCE, rel=1e-4)
    along_time = overlay(replace(trace, place=None), WOUND)
    assert np.abs(along_time.predicted - FORCE).max() > 0.03 * FORCE.max()
    assert "as if wound evenly" in along_time.words


def test_losses_at_the_same_place_with_an_interval(tmp_path):
    """Truth: the loss that the trace was made with; along time it would be another one."""
    made = follow(replace(NUMBERS, sheave_loss=0.13), RIG)
    noise = np.random.default_rng(5).normal(0.0, 15.0, TIME.size)
    force = np.interp(GONE, SHARE, made.rope_pull) + noise
    frame = pd.DataFrame({"t [s]": TIME, "F [N]": force, "elevation [deg]": np.degrees(ELEVATION)})
    frame.to_csv(tmp_path / "made.csv", index=False)
    trace = clean(read_trace(tmp_path / "made.csv"), spike=20.0)
    told = WOUND.against(trace)
    fit = fit_losses(told.progress, trace.force, NUMBERS, RIG)
    (low, high), (value,) = fit.intervals[0], fit.values
    assert low < 0.13 < high and high - low < 0.01
    assert 0.5 * (low + high) == pytest.approx(value)
    # 1.96 standard uncertainties for many samples, more for few
    assert high - low == pytest.approx(2.0 * 1.96 * fit.errors[0], rel=0.01)
    few = replace(fit, worth=4.0)
    assert few.intervals[0][1] - value == pytest.approx(3.182 * fit.errors[0], rel=1e-3)
    rows = {row.key: row for row in fit.rows()}
    assert rows["sheave_loss"].value.value == value and f"{low:.4g} to" in rows["sheave_loss"].note
    assert {row.key: row.value for row in told.rows()}["by"] == told.by


def test_lowering_is_told_from_winding_by_the_place():
    """Truth: the turns fall while it is eased back."""
    back = slice(None, None, -1)
    force = np.interp(GONE[back], SHARE, WOUND.rope_pull_lowering)
    trace = LoadTrace(time=TIME, force=force, name="down", place=CRANK[back].copy(),
                      place_as="turns of the crank")  # fmt: skip
    assert WOUND.against(trace, place="drum lowering").ratio == pytest.approx(1.0, abs=1e-6)
    with pytest.raises(TraceError, match="the machine is eased back"):
        WOUND.against(trace)
    up = replace(trace, place=CRANK)
    with pytest.raises(TraceError, match="the machine is wound"):
        WOUND.against(up, place="drum lowering")


@pytest.mark.parametrize(
    ("counts", "values", "told"),
    [
        ("arm from level", -ELEVATION, "-90.0 to 40.1 degrees"),
        ("arm from level", math.pi / 2 - ELEVATION, "0.0 to 130.1 degrees"),
        ("arm from upright", ELEVATION, "to 90.0 degrees"),
        ("turns of the drum", CRANK, "turns of the crank"),
    ],
)
def test_a_channel_that_this_machine_cannot_make_is_refused(counts, values, told):
    """Truth: the winding's own range: 90 down to -40.1 degrees, and its turns."""
    trace = LoadTrace(time=TIME, force=FORCE, name="odd", place=values, place_as=counts)
    if counts == "arm from upright":  # within its range, but it goes the other way
        with pytest.raises(TraceError, match="eased back"):
            WOUND.against(trace)
        return
    with pytest.raises(TraceError, match=f"taken as {counts}.*{told}.*leave the channel out"):
        WOUND.against(trace)


def test_what_the_name_does_not_say_is_asked(tmp_path):
    """Truth: an angle from nowhere, turns of nothing: asked, left out, or given by hand."""
    path = written(tmp_path / "made.csv", "arm angle [deg]", np.degrees(ELEVATION))
    file = recognise(path)
    assert any("what 'arm angle [deg]' counts" in ask for ask in file.asks)
    assert "not said" in {row.key: row.note for row in file.rows()}["place"]
    assert read_trace(path).place is None
    with pytest.raises(TraceError, match="place_as, one of arm from level, arm from upright"):
        read_trace(path, place_column=2)
    with pytest.raises(TraceError, match="place_as"):
        read_trace(path, place_column=2, place_as="turns of the drum")
    given = read_trace(path, place_column="arm angle [deg]", place_as="arm from level")
    assert given.place == pytest.approx(ELEVATION)
    with pytest.raises(TraceError, match="is time or force already"):
        read_trace(path, place_column=0)
    bare = written(tmp_path / "bare.csv", "turns", CRANK)
    with pytest.raises(TraceError, match="unit of column 'turns' is not said. Give place_unit"):
        read_trace(bare, place_column=2)
    both = read_trace(bare, place_column=2, place_unit="turns", place_as="turns of the crank")
    assert both.place == pytest.approx(CRANK)
    with pytest.raises(TraceError, match="is in deg, and one of N, daN"):
        read_trace(path, force_column=2)


def test_places_that_are_missing_lie_between_their_neighbours(tmp_path):
    """Truth: an encoder read every second sample, a straight line between."""
    sparse = pd.Series(CRANK).where(np.arange(CRANK.size) % 2 == 0)
    trace = read_trace(written(tmp_path / "made.csv", "crank [turns]", sparse))
    assert trace.place == pytest.approx(CRANK, abs=0.02)
    lost = pd.Series(CRANK).where(np.arange(CRANK.size) < 2)
    with pytest.raises(TraceError, match="2 rows have a number in 'crank .turns.'"):
        read_trace(written(tmp_path / "lost.csv", "crank [turns]", lost))

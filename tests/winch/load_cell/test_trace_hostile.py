"""Traces that no logger should write, and texts that are no trace at all.

Truth: whatever the text, the reader gives finite numbers or a TraceError that says what is wrong.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slingwright.winch.load_cell.trace import LoadTrace, TraceError, clean, holds, peaks, read_trace


def read(text: str):
    """Read a text as newtons by seconds."""
    return read_trace(text, force_unit="N", time_unit="s", text=True)


@given(st.one_of(st.text(max_size=200), st.text(alphabet='0123456789.,;\t\n "e-#ab', max_size=200)))
def test_any_text(text: str) -> None:
    """Truth: finite numbers or a TraceError."""
    try:
        trace = clean(read(text))
    except TraceError as error:
        assert len(str(error)) > 10
    else:
        assert np.all(np.isfinite(trace.force)) and np.all(np.diff(trace.time) > 0.0)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("a,b\n" + "1" * 200_000 + ",2\n3,4\n5,6\n", "not a table"),
        ('"a,b\n1,2\n3,4\n5,6\n', "no column"),
        ("a,b\n1,1e308\n2,1e308\n3,-1e308\n", "0 rows"),
        ("a,b\n1,nan\n2,inf\n3,-inf\n", "0 rows"),
        ("\n\n#\n", "empty"),
    ],
)
def test_refused_with_a_reason(text: str, words: str) -> None:
    """Truth: the message names what is wrong."""
    with pytest.raises(TraceError, match=words):
        read(text)


def test_bad_sample_marks_are_left_out() -> None:
    """Truth: loggers mark a lost sample with a huge number or a word; three are good here."""
    trace = read("t,f\n0,10\n1,9.9e37\n2,OVER\n3,11\n4,12\n")
    assert trace.force.tolist() == [10.0, 11.0, 12.0]
    assert "2 of 5 rows without two numbers left out, the first: 1 9.9e37" in trace.notes


def test_negative_force_is_kept() -> None:
    """Truth: a cell wired the other way round reads below zero; nothing is turned silently."""
    assert read("t,f\n0,-1\n1,-2\n2,-3\n").force.tolist() == [-1.0, -2.0, -3.0]


def test_constant_trace() -> None:
    """Truth: a trace that never moves has at most one peak, no spike and one hold."""
    trace = clean(read("\n".join(["t,f", *(f"{k},500" for k in range(100))])))
    assert len(peaks(trace, 1.0)) <= 1
    found = holds(trace, tolerance=1.0, least=5.0)
    assert [(one.start, one.end, one.force) for one in found] == [(0.0, 99.0, 500.0)]
    assert not any("spikes" in note for note in trace.notes)


def test_a_true_step_is_no_spike() -> None:
    """Truth: a pawl that drops into its tooth steps the force; the step must stay."""
    force = [100.0] * 40 + [900.0] * 40
    text = "\n".join(["t,f", *(f"{0.1 * k:.1f},{value}" for k, value in enumerate(force))])
    assert clean(read(text)).force == pytest.approx(force, abs=1e-6)


@pytest.mark.parametrize(
    ("cells", "forces"),
    [
        (("950,5", "1.234,5", "1.300,0"), [950.5, 1234.5, 1300.0]),
        (('"950.5"', '"1,234.5"', '"1,300.0"'), [950.5, 1234.5, 1300.0]),
        (("950.5", "1'234.5", "1'300"), [950.5, 1234.5, 1300.0]),
    ],
)
def test_thousands_keep_their_peak(cells: tuple[str, ...], forces: list[float]) -> None:
    """Truth: the numbers by hand; a row above 1000 is the peak and may not be dropped."""
    trace = read("t;f\n" + "".join(f"{k};{cell}\n" for k, cell in enumerate(cells)))
    assert trace.force.tolist() == forces
    assert not any("left out" in note for note in trace.notes)


def test_numbers_with_two_readings_are_told_with_their_count() -> None:
    """Truth: 1,015 is 1.015 in one country and 1015 in another (ISO 80000-1 7.3.1)."""
    trace = read("t;f\n0;1,015\n1;1,020\n2;1,025\n")
    assert "3 numbers such as 1,015 can be read two ways" in trace.notes[0]
    assert "read as 1.015, not as 1015" in trace.notes[0]
    mixed = read("t;f\n0;1,5\n1;1.6\n2;1,7\n")
    assert any("decimal signs are mixed: 2 numbers with a comma" in note for note in mixed.notes)


@pytest.mark.parametrize(
    ("text", "count", "words"),
    [
        ("t;f\n0;950\n1;1.015\n2;990\n3;980\n", 4, "1 number such as 1.015 can be read two ways"),
        ("0.5;1,015\n1.0;1,020\n1.5;1,050\n", 3, "signs are mixed: 3 numbers with a comma"),
        ("t,f\n0,950\n1,1,015\n2,990\n3,980\n", 3, "1 of 4 rows left out, a comma inside a number"),
        ("t,f\n0,1,015\n1,1,020\n2,1,030\n", 3, "rows hold 3 numbers or more under 2 names"),
        ("t;f\n0;OVER\n1;OVER\n2;9\n3;8\n4;7\n", 3, "2 of 5 rows without two numbers left out"),
        ("t;f\n0;OVER\n1;OVER\n2;9\n3;8\n4;7\n", 3, "no force can be read in 2 of them"),
        ("t;f\n0;950\n?;4000\n2;990\n3;980\n", 3, "one reads 4 kN, the highest that is kept 990 N"),
    ],
)
def test_what_may_hide_the_peak_is_told(text: str, count: int, words: str) -> None:
    """Truth: the rows as they are written; thousands' commas, overloads and lost times hide it."""
    trace = read(text)
    assert len(trace.force) == count
    assert any(words in note for note in trace.notes), trace.notes


@pytest.mark.parametrize(
    ("text", "forces"),
    [
        ("0 1,5\n1 900,5\n2 800,5\n", [1.5, 900.5, 800.5]),
        ("0, 1\n1, 900\n2, 800\n", [1.0, 900.0, 800.0]),
        ("t;f\n0;950\n1;1\u00a0234,5\n2;1 300,0\n", [950.0, 1234.5, 1300.0]),
        ("t;f\n0;950\n1;1,234,567\n2;2.000.000\n", [950.0, 1234567.0, 2e6]),
        ("t,f,said\n0,950,hook set\n1,1015,5\n2,990,\n", [950.0, 1015.0, 990.0]),
        ("Cell 7, serial 5\n0,950,3.7\n1,1015,3.7\n2,990,3.7\n3,980\n", [950, 1015, 990, 980]),
    ],
)
def test_what_is_clear_is_read_without_a_word(text: str, forces: list[float]) -> None:
    """Truth: the numbers by hand; each of these files can be read in one way only."""
    trace = read(text)
    assert trace.force.tolist() == forces
    assert trace.notes == ()


def test_samples_that_are_missing_are_counted() -> None:
    """Truth: two samples left out in a row and one alone, of a logger that keeps its time."""
    kept = [k for k in range(50) if k not in (20, 21, 30)]
    trace = read("t;f\n" + "".join(f"{0.1 * k:.1f};{100 + k}\n" for k in kept))
    assert trace.notes == ("3 samples missing at 2 places",)


def test_time_that_stands_jumps_or_goes_back_is_told() -> None:
    """Truth: the steps of the times written in the text."""
    times = [0, 1, 1, 2, 3, 63, 64, 60]
    trace = read("t,f\n" + "".join(f"{t},{10 + t}\n" for t in times))
    said = " ".join(trace.notes)
    assert "time stands still at 1 sample" in said and "time goes back 1 time" in said
    assert "time jumps 1 time, by 60 s at most where 1 s is usual" in said


def test_cleaning_never_lowers_the_peak_in_silence() -> None:
    """Truth: two samples at 4004 N among some at 1524 N: the higher was seen by the cell."""
    force = np.full(200, 1524.0) + np.sin(np.arange(200))
    force[[90, 91]] = 4004.0
    trace = clean(LoadTrace(time=0.1 * np.arange(200), force=force, name="shock"))
    assert trace.force.max() < 1600.0
    assert trace.notes[0].startswith("the peak as read is 4.004 kN, 1.525 kN once cleaned")
    assert "900.1 lbf" in trace.notes[0].told("US")


def test_a_cell_wired_the_other_way_round_keeps_its_peak_too() -> None:
    """Truth: the lowest force written, once among some at -950 N."""
    forces = [-950, -950, -951, -2970, -950, -951, -950]
    trace = clean(read("t;f\n" + "".join(f"{k};{force}\n" for k, force in enumerate(forces))))
    assert trace.notes[0].startswith("the lowest force as read is -2.97 kN")


def test_the_peak_as_read_stands_beside_the_cleaned_one() -> None:
    """Truth: one sample at 4004 N among some at 1524 N; without it there is nothing to add."""
    force = np.full(200, 1524.0)
    plain = clean(LoadTrace(time=0.1 * np.arange(200), force=force, name="calm"))
    assert plain.peak == "1.52 kN" and plain.peak_as_read is None
    force[90] = 4004.0
    trace = clean(LoadTrace(time=0.1 * np.arange(200), force=force, name="shock"))
    assert trace.peak_as_read == 4004.0
    assert trace.peak == "1.52 kN (4.00 kN as read)"
    assert clean(trace).peak_as_read == 4004.0

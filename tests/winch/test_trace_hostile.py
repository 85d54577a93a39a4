"""Traces that no logger should write, and texts that are no trace at all.

Truth: whatever the text, the reader gives finite numbers or a TraceError that says what is wrong.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slingwright.winch.trace import TraceError, clean, holds, peaks, read_trace


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
    assert trace.notes == ("2 rows without two numbers left out",)


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

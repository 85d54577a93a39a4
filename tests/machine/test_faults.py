"""How faults are said. Truth: the wanted sentence, written out."""

import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slingwright.machine.faults import (
    MOST_FAULTS,
    Fault,
    MachineError,
    at_most,
    printable,
    unknown_dial,
    written_as,
)

ONE = Fault(
    key="sling.length",
    line=7,
    value='"99 m"',
    message="too large",
    limit="0.01 to 40 m",
    next_step="make it 40 m or less",
)


def test_fault_names_thing_value_limit_and_next_step() -> None:
    """Truth: the sentence below."""
    assert str(ONE) == (
        'line 7: sling.length = "99 m": too large; limit: 0.01 to 40 m; make it 40 m or less'
    )
    assert str(Fault(key="file", message="not there")) == "file: not there"


def test_error_lists_every_fault_and_travels() -> None:
    """Truth: one fault a line; a pickle, as between processes, holds the same."""
    error = MachineError([ONE, unknown_dial("sling.lenght", 8)])
    assert str(error).split("\n")[0] == str(ONE)
    assert "did you mean sling.length?" in str(error).split("\n")[1]
    assert pickle.loads(pickle.dumps(error)).faults == error.faults
    with pytest.raises(ValueError, match="too large"):
        raise error


def test_faults_stand_in_the_order_of_lines() -> None:
    """Truth: by line, those without one last; beyond the limit they are counted."""
    many = [Fault(key=str(i), message="m", line=i or None) for i in range(MOST_FAULTS + 50)]
    found = at_most(reversed(many))
    assert [fault.line for fault in found[:3]] == [1, 2, 3]
    assert len(found) == MOST_FAULTS + 1 and "50 more faults" in found[-1].message
    assert [fault.key for fault in at_most(many[:2])] == ["1", "0"]


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        ("4 m", '"4 m"'),
        (True, "true"),
        (4, "4"),
        (0.1, "0.1"),
        (1 << 300, "a whole number of more than 60 digits"),
        ({}, "a table"),
        ([], "a list"),
        (None, "None"),
    ],
)
def test_values_as_they_stood(raw: object, words: str) -> None:
    """Truth: what was written, in words where it is long or has parts."""
    assert written_as(raw) == words


@given(st.text())
def test_any_text_becomes_printable_and_short(text: str) -> None:
    """Truth: str.isprintable; nothing a terminal acts upon."""
    found = printable(text)
    assert found.isprintable() and len(found) <= 60 * 10

"""Proposed changes as a file and as a line.

Truth: what was written comes back; TOML 1.0 as Python's own tomllib reads it; words promised.
"""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

import slingwright as sw
from slingwright.changing.file import change_of_line, changes_text, parse_changes, read_changes
from slingwright.changing.what_if import Change, WhatIfError

WORDS = st.text(
    st.characters(
        exclude_characters=";=:\n\r\x0b\x0c\x1c\x1d\x1e\x85\u2028\u2029",
        exclude_categories=["Cs", "Cc"],
    ),
    min_size=1,
    max_size=30,
).map(str.strip)


def test_the_kit_s_own_file_is_read() -> None:
    """Truth: the file itself, by tomllib."""
    path = sw.data_folder() / "changes" / "otter_ford.toml"
    rows = tomllib.loads(path.read_text("utf-8"))["change"]
    found = read_changes(path)
    assert [one.name for one in found] == [row["name"] for row in rows]
    assert [dict(one.dials) for one in found] == [row["dials"] for row in rows]
    assert [(one.cost, one.hours, one.reason) for one in found] == [
        (row["cost"], row["hours"], row["reason"]) for row in rows
    ]


@given(
    name=WORDS.filter(bool),
    value=WORDS.filter(bool),
    reason=WORDS,
    cost=st.integers(-500, 5000),
    hours=st.integers(0, 400),
)
def test_any_change_comes_back_from_its_file_and_its_line(name, value, reason, cost, hours) -> None:
    """Truth: the change itself."""
    one = Change(
        name=name,
        dials={"sling.length": value},
        cost=float(cost),
        hours=float(hours),
        reason=reason,
    )
    assert parse_changes(changes_text([one, one])) == [one, one]
    line = f"{name}: sling.length={value}; cost={cost}; hours={hours}; reason={reason}"
    assert change_of_line(line) == one


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("= no", "this is no TOML"),
        ("", r"write one \[\[change\]\] a change"),
        ("change = 3", r"write one \[\[change\]\] a change"),
        ("[[change]]\nname = 'a'", "it changes nothing"),
        ("[[change]]\nname = 'a'\ndials = 3", "change 1: dials cannot be read"),
        ("[[change]]\nname = 'a'\nprice = 3\ndials = {}", "change 1: price cannot be read"),
        ("[[change]]\nname = 'a'\ndials = {}", "it changes nothing"),
        ("[[change]]\ndials = { 'sling.length' = '5 m' }", "has no name"),
        ("[[change]]\nname = 'a'\ndials = { 'sling.lenght' = '5 m' }", "did you mean sling.length"),
        ("[[change]]\nname='a'\ncost=true\ndials = { 'sling.length' = '5 m' }", "cost True is no"),
    ],
)
def test_a_file_that_is_none_is_refused_in_words(text, words) -> None:
    """Truth: the message names the thing and what to write."""
    with pytest.raises(WhatIfError, match=words):
        parse_changes(text)


def test_a_file_that_cannot_be_read_is_refused(tmp_path) -> None:
    """Truth: no such file, one that is no text, one that is far too long."""
    with pytest.raises(WhatIfError, match="cannot be read"):
        read_changes(tmp_path / "none.toml")
    (tmp_path / "a.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(WhatIfError, match="cannot be read"):
        read_changes(tmp_path / "a.toml")
    (tmp_path / "b.toml").write_bytes(b"#" * 300_000)
    with pytest.raises(WhatIfError, match="longer than"):
        read_changes(tmp_path / "b.toml")

"""On which line of a text each key stands. Truths: the texts, counted by hand; TOML v1.0.0."""

import tomllib

import pytest
from hypothesis import HealthCheck, given, settings
from strategies import legal_files

from slingwright.machine.lines import lines_of

TEXT = '''name = "a" # one
notes = """
[no]
table = 1
"""
"arm" . long = "5 m"

[ sling ] # the cords
length = "4 m"
mass = [
  1,
  { a = "]" },
]
'pouch' = "1 kg"
[[brief]]
name = "x"
[[brief]]
name = "y"
[axle]
height = \'\'\'
[3]\'\'\'
span = { low = "1 m", high = "2 m" }
'''


def test_lines_of_keys() -> None:
    """Truth: counted by hand."""
    assert lines_of(TEXT).by_key == {
        "name": 1,
        "notes": 2,
        "arm.long": 6,
        "sling": 8,
        "sling.length": 9,
        "sling.mass": 10,
        "sling.pouch": 14,
        "brief": 15,
        "brief[1]": 15,
        "brief[1].name": 16,
        "brief[2]": 17,
        "brief[2].name": 18,
        "axle": 19,
        "axle.height": 20,
        "axle.span": 22,
    }


@pytest.mark.parametrize(
    ("key", "line"),
    [
        ("axle.span.low", 22),
        ("sling.rope", 8),
        ("brief[2].mass", 17),
        ("brief[3].mass", 15),
        ("arm", None),
        ("", None),
    ],
)
def test_line_of_what_a_key_stands_in(key: str, line: int | None) -> None:
    """Truth: the nearest table that has a line."""
    assert lines_of(TEXT).of(key) == line


def test_what_stands_twice() -> None:
    """Truth: TOML v1.0.0: a key is defined once; a table of a list is another each time."""
    twice = lines_of("a = 1\n[t]\na = 1\nb = 2\na = 3\n[[l]]\nc = 1\n[[l]]\nc = 1\n[t]\n").repeated
    assert [(one.key, one.line, one.first) for one in twice] == [("t.a", 5, 3), ("t", 10, 2)]
    assert lines_of(TEXT).repeated == []
    assert lines_of(TEXT).at(9) == "sling.length" and lines_of(TEXT).at(3) is None


@given(legal_files())
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_every_key_of_a_parser_has_a_line(text: str) -> None:
    """Truth: tomllib's keys; the line found holds the last part of the key."""
    lines = lines_of(text)
    rows = text.split("\n")
    assert lines.repeated == []
    for group, content in tomllib.loads(text).items():
        if isinstance(content, dict):
            for key in content:
                line = lines.of(f"{group}.{key}")
                assert line is not None and key in rows[line - 1]

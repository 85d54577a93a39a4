"""Two programs and two open notebooks write to one log at once and nothing is lost."""

import subprocess
import sys
from pathlib import Path

from slingwright.logbook import Decision, Logbook

WRITER = Path(__file__).with_name("writer.py")


def test_two_writers_of_a_thousand_entries_each(tmp_path, source_environment) -> None:
    """Truth: 1,000 + 1,000 acknowledged writes of two processes."""
    path = tmp_path / "both.log"
    Logbook.create(path, machine="Otter Ford").close()
    writers = [
        subprocess.Popen(
            [sys.executable, WRITER, path, "1000", author],
            stdout=subprocess.PIPE,
            text=True,
            env=source_environment,
        )
        for author in ("mill", "forge")
    ]
    said = [writer.communicate(timeout=300)[0].split() for writer in writers]
    assert [writer.returncode for writer in writers] == [0, 0]
    numbers = sorted(int(number) for numbers in said for number in numbers)
    assert numbers == list(range(1, 2001))
    with Logbook.open(path) as log:
        entries = log.entries()
        assert log.verify().whole
    for author in ("mill", "forge"):
        turns = [int(e.record.what.split()[1]) for e in entries if e.author == author]
        assert turns == list(range(1000))
    assert len(entries) == 2000


def test_two_open_notebooks_take_turns(tmp_path) -> None:
    """Truth: each revision differs from what the other notebook left, worked out by hand."""
    path = tmp_path / "a.log"
    with Logbook.create(path, machine="Otter Ford") as one, Logbook.open(path) as two:
        one.save_revision({"a": 1.0, "b": 1.0}, note="one")
        two.save_revision({"a": 2.0, "b": 1.0}, note="two")
        last = one.save_revision({"a": 2.0, "b": 3.0}, note="three")
        assert dict(last.record.changed) == {"b": (1.0, 3.0)}
        two.append(Decision(what="seen", reason="by both"))
        assert len(one) == len(two) == 4

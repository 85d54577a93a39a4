"""Two copies of a log joined: nothing lost, nothing twice, clashes told before a word is written.

Truth: what was written into either copy by hand; a process killed at seeded moments.
"""

import random
import shutil
import signal
import subprocess
import sys
import textwrap
import time

import pytest

from slingwright.commands.line import main
from slingwright.commands.typed import FINE, REFUSED
from slingwright.logbook import Decision, Logbook, LogbookError, Revision, Shot
from slingwright.logbook.joining import JOINED, join, joining
from slingwright.logbook.photos import photo_folder
from slingwright.logbook.shown.export import to_json_lines

PICTURE = b"\x89PNG\r\n\x1a\n" + b"axle" * 20
DIALS = {"winch.drum": 0.2, "sling.length": 4.8, "arm.long": 5.8}


def shot(far: float) -> Shot:
    return Shot(load=12.0, range=far)


def ranges(log) -> list[float]:
    return [entry.record.range for entry in log.current("shot")]


@pytest.fixture
def copies(tmp_path):
    """Two copies with three entries in common and two shots of their own each."""
    with Logbook.create(tmp_path / "a.log", machine="Otter Ford") as log:
        log.append(Revision(values=DIALS), note="as built")
        log.append(shot(100.0), author="Ada", once="phone 1")
        log.append(shot(101.0), author="Ada")
    shutil.copy(tmp_path / "a.log", tmp_path / "b.log")
    with Logbook.open(tmp_path / "a.log") as a, Logbook.open(tmp_path / "b.log") as b:
        a.append_all([shot(110.0), shot(110.0)], author="Ada", at="2031-06-14T15:00+00:00")
        b.append_all([shot(120.0), shot(121.0)], author="Bo", at="2031-06-14T14:00+00:00")
        yield a, b


def test_nothing_is_lost_and_nothing_twice(copies) -> None:
    """Truth: the shots by hand; equal shots of one moment count as often as they were written."""
    a, b = copies
    found = join(a, b, author="Cy")
    assert len(found.fresh) == 2
    assert sorted(ranges(a)) == [100.0, 101.0, 110.0, 110.0, 120.0, 121.0]
    assert [entry.author for entry in a.entries("shot")][-2:] == ["Bo", "Bo"]
    there = {entry.record.range: entry for entry in b.entries("shot")}
    for entry in a.entries("shot")[-2:]:
        was = there[entry.record.range]
        assert (entry.at, entry.written) == (was.at, was.written)
    said = a.entries("decision")[-1].record
    assert JOINED in said.what
    assert "4 to 6, 5 to 7" in said.what
    assert b.end()[1] in said.reason
    assert a.verify().whole
    size = len(a)
    assert not join(a, b).fresh
    assert len(a) == size
    join(b, a)
    assert sorted(ranges(b)) == sorted(ranges(a))
    assert b.verify().whole
    known = joining(b, a).known
    assert len(set(known.values())) == len(known) == len(a)
    assert not join(b, a).fresh
    assert not join(a, b).fresh or sorted(ranges(a)) == sorted(ranges(b))


def test_what_a_phone_sent_to_both_is_one_entry(copies) -> None:
    a, b = copies
    a.append(shot(130.0), once="phone 2")
    time.sleep(0.005)
    b.append(shot(130.0), once="phone 2")
    b.append(shot(131.0), once="phone 3")
    join(a, b)
    assert ranges(a).count(130.0) == 1
    assert a.sent_as("phone 3") == [e.number for e in a.entries() if e.record == shot(131.0)][0]


@pytest.mark.parametrize(("take", "stands"), [("ours", 102.0), ("theirs", 103.0)])
def test_what_both_corrected_is_told_first(copies, take, stands) -> None:
    a, b = copies
    a.correct(2, shot(102.0))
    b.correct(2, shot(103.0))
    before = to_json_lines(a)
    with pytest.raises(LogbookError, match="Entry 2 was changed in both: here by entry 6"):
        join(a, b)
    assert to_json_lines(a) == before
    assert len(joining(a, b).clashes) == 1
    join(a, b, take=take)
    assert stands in ranges(a)
    assert (205.0 - stands) not in ranges(a)
    assert {102.0, 103.0} <= {entry.record.range for entry in a.entries("shot")}
    assert a.verify().whole
    size = len(a)
    join(a, b, take=take)
    assert len(a) == size


@pytest.mark.parametrize("ours_withdraws", [True, False])
@pytest.mark.parametrize("take", ["ours", "theirs"])
def test_taken_back_in_one_and_corrected_in_the_other(copies, ours_withdraws, take) -> None:
    a, b = copies
    one, other = (a, b) if ours_withdraws else (b, a)
    one.withdraw(2, reason="the tape was slack")
    other.correct(2, shot(104.0))
    with pytest.raises(LogbookError, match="Nothing was written"):
        join(a, b)
    join(a, b, take=take)
    counts = (take == "ours") != ours_withdraws
    assert (104.0 in ranges(a)) == counts
    assert 100.0 not in ranges(a)
    assert any("slack" in entry.record.reason for entry in a.entries("withdrawal"))
    assert a.verify().whole


def test_both_taken_back_is_no_clash(copies) -> None:
    a, b = copies
    a.withdraw(2, reason="slack")
    b.withdraw(2, reason="the tape was slack")
    assert not join(a, b).clashes
    assert 100.0 not in ranges(a)


def test_revisions_of_both_are_joined_dial_by_dial(copies) -> None:
    """Truth: by hand. The second revision must not restore the first's old drum."""
    a, b = copies
    a.save_revision({**DIALS, "winch.drum": 0.15}, note="smaller drum")
    b.save_revision({**DIALS, "sling.length": 4.9}, note="longer sling")
    assert not join(a, b).clashes
    wanted = {**DIALS, "winch.drum": 0.15, "sling.length": 4.9}
    assert dict(a.latest_revision().record.values) == wanted


@pytest.mark.parametrize(("take", "drum"), [("ours", 0.15), ("theirs", 0.12)])
def test_one_dial_revised_in_both_is_a_clash(copies, take, drum) -> None:
    a, b = copies
    a.save_revision({**DIALS, "winch.drum": 0.15}, note="smaller drum")
    b.save_revision({**DIALS, "winch.drum": 0.12}, note="smallest drum")
    with pytest.raises(LogbookError, match=r"winch.drum was set in both: here to 0.15, there to"):
        join(a, b)
    join(a, b, take=take)
    assert a.latest_revision().record.values["winch.drum"] == drum


def test_photos_come_along_and_orphans_are_found(copies, capsys) -> None:
    a, b = copies
    b.add_photo(PICTURE, name="axle.png")
    join(a, b)
    assert a.verify().whole
    assert not a.verify().photos_orphan
    (photo_folder(a.path) / "stray.png").write_bytes(PICTURE)
    assert a.verify().photos_orphan == ("stray.png",)
    assert main(["log", str(a.path), "verify"]) == FINE
    assert "photo that no entry names: stray.png" in capsys.readouterr().out


def test_another_machine_is_refused(copies, tmp_path) -> None:
    with (
        Logbook.create(tmp_path / "c.log", machine="Heron Weir") as other,
        pytest.raises(LogbookError, match="Join copies of one machine"),
    ):
        join(copies[0], other)


def test_the_command_takes_a_log_or_its_export(copies, tmp_path, capsys) -> None:
    a, b = copies
    export = tmp_path / "b.jsonl"
    export.write_text(to_json_lines(b), encoding="utf-8")
    assert main(["log", str(a.path), "merge", str(export)]) == FINE
    assert "2 entries are new here, 3 are here already" in capsys.readouterr().out
    assert main(["log", str(a.path), "merge", str(b.path)]) == FINE
    assert "0 entries are new here" in capsys.readouterr().out
    rows = export.read_text(encoding="utf-8").splitlines()
    export.write_text("\n".join(rows[:-1]) + "\n", encoding="utf-8")
    assert main(["log", str(a.path), "merge", str(export)]) == REFUSED
    assert "was cut or changed" in capsys.readouterr().err
    assert main(["log", str(a.path), "merge", str(tmp_path / "none.log")]) == REFUSED
    assert main(["log", str(a.path), "merge"]) == REFUSED


def test_killed_while_joining(tmp_path, source_environment) -> None:
    """Truth: every entry of both copies is there once, or those of one alone; twenty kills."""
    first = tmp_path / "first.log"
    with Logbook.create(first, machine="Otter Ford") as log:
        log.append(Decision(what="common", reason="to begin with"))
    shutil.copy(first, tmp_path / "other.log")
    for name, author in (("first", "Ada"), ("other", "Bo")):
        with Logbook.open(tmp_path / f"{name}.log") as log:
            log.append_all(
                [Decision(what=f"{author} {i}", reason="oak " * 400) for i in range(150)]
            )
    script = textwrap.dedent("""
        import sys
        from slingwright.logbook import Logbook
        from slingwright.logbook.joining import join
        log, other = map(Logbook.open, sys.argv[1:])
        with log, other:
            print("begins", flush=True)
            join(log, other)
    """)
    chance, partly, killed = random.Random(20310614), 0, 0
    for _ in range(20):
        path = tmp_path / "tried.log"
        shutil.copy(first, path)
        writer = subprocess.Popen(
            [sys.executable, "-c", script, path, tmp_path / "other.log"],
            stdout=subprocess.PIPE,
            env=source_environment,
        )
        writer.stdout.readline()
        time.sleep(chance.uniform(0.0, 0.25))
        writer.send_signal(signal.SIGKILL)
        writer.stdout.close()
        killed += writer.wait(timeout=60) == -signal.SIGKILL
        with Logbook.open(path) as log, Logbook.open(tmp_path / "other.log") as other:
            assert log.verify().whole
            assert len(log) in (151, 302)
            partly += len(log) == 151
            join(log, other)
            said = [entry.record.what for entry in log.entries() if JOINED not in entry.record.what]
        wanted = ["common", *(f"{who} {i}" for who in ("Ada", "Bo") for i in range(150))]
        assert said == wanted
        path.unlink()
    assert partly
    assert killed

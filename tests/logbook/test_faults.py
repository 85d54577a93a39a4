"""What goes wrong in a workshop: killed program, full disk, locked folder, damaged or newer file.

Truth: what was acknowledged before the fault, and the bytes of the file before it.
"""

import os
import random
import signal
import sqlite3
import stat
import subprocess
import sys
import tempfile
import textwrap
import threading
from pathlib import Path

import pytest

from slingwright.logbook import Decision, Logbook, LogbookError, Shot
from slingwright.logbook.faults import explain_storage_error
from slingwright.logbook.lines import digest_of
from slingwright.logbook.schema import VERSION

WRITER = Path(__file__).with_name("writer.py")


def decision(words: str = "x") -> Decision:
    return Decision(what=words, reason="to see it kept")


def run(
    script: str, environment: dict[str, str], *arguments: object
) -> subprocess.CompletedProcess:
    command = [sys.executable, "-c", textwrap.dedent(script), *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, env=environment, timeout=120)


def test_killed_in_the_middle_of_500_writes(tmp_path, source_environment) -> None:
    """Truth: every number the killed program acknowledged; eight kills, one log, seeded moments."""
    path = tmp_path / "killed.log"
    Logbook.create(path, machine="Otter Ford").close()
    chance = random.Random(20310614)
    there = 0
    for turn in range(8):
        writer = subprocess.Popen(
            [sys.executable, WRITER, path, "500", f"writer {turn}"],
            stdout=subprocess.PIPE,
            text=True,
            env=source_environment,
        )
        acknowledged = []
        stop_after = chance.randrange(5, 450)
        for line in writer.stdout:
            acknowledged.append(int(line))
            if len(acknowledged) == stop_after:
                writer.send_signal(signal.SIGKILL)
        writer.stdout.close()
        assert writer.wait(timeout=60) == -signal.SIGKILL
        with Logbook.open(path) as log:
            assert log.verify().whole
            entries = log.entries()
        assert acknowledged == list(range(there + 1, there + 1 + len(acknowledged)))
        assert 0 <= len(entries) - acknowledged[-1] <= 1
        mine = [entry for entry in entries if entry.author == f"writer {turn}"]
        for number, entry in enumerate(mine):
            assert entry.record.what.startswith(f"writer {turn} {number} ")
            assert entry.record.what.count("oak and rope ") == number % 40
        there = len(entries)
    assert there >= 8 * 5
    # A kill before the journal's header was written leaves a journal that says nothing: nothing of
    # the log was touched yet, so it is not played back, and the next write takes it away.
    journal = path.with_name("killed.log-journal")
    assert not journal.exists() or not any(journal.read_bytes()[:8])
    with Logbook.open(path) as log:
        assert log.append(decision()).number == there + 1
        assert log.verify().whole
    assert [place.name for place in tmp_path.iterdir()] == ["killed.log"]


@pytest.mark.parametrize("left", [b"", bytes(512) + b"\x5a" * 8192])
def test_a_journal_without_a_header_does_no_harm(tmp_path, left) -> None:
    """Truth: the lines before; SQLite plays back no journal whose header is missing or zero.

    Source: https://www.sqlite.org/atomiccommit.html, section 4.2, hot rollback journals.
    """
    path = tmp_path / "a.log"
    with Logbook.create(path, machine="Otter Ford") as log:
        log.append(decision())
        before = log.lines()
    journal = path.with_name("a.log-journal")
    journal.write_bytes(left)
    with Logbook.open(path, reading_only=True) as log:
        assert log.lines() == before
    with Logbook.open(path) as log:
        assert log.lines() == before
        assert log.append(decision()).number == 2
        assert log.verify().whole
    assert not journal.exists()


def test_a_write_cut_short_is_undone_at_the_next_opening(tmp_path, source_environment) -> None:
    """Truth: the entries before; a program that dies between its INSERT and its COMMIT.

    The cache is made so small that half of the write is already in the file itself.
    """
    path = tmp_path / "cut.log"
    with Logbook.create(path, machine="Otter Ford") as log:
        log.append(decision())
        before = log.lines()
    script = """
        import os, sqlite3, sys
        c = sqlite3.connect(sys.argv[1], isolation_level=None)
        c.execute("PRAGMA cache_size = 1")
        c.execute("PRAGMA cache_spill = 1")
        c.execute("BEGIN IMMEDIATE")
        for number in range(2, 400):
            c.execute("INSERT INTO entries VALUES (?, 'x', NULL, ?, ?)",
                      (number, "half" * 2000, "0" * 64))
        os.kill(os.getpid(), 9)
    """
    size = path.stat().st_size
    assert run(script, source_environment, path).returncode == -signal.SIGKILL
    assert path.stat().st_size > size
    assert path.with_name("cut.log-journal").exists()
    with pytest.raises(LogbookError, match="Open the log once for writing"):
        Logbook.open(path, reading_only=True)
    with Logbook.open(path) as log:
        assert log.lines() == before
        assert log.append(decision()).number == 2
        assert log.verify().whole


def test_a_full_file_refuses_and_keeps_what_was_there(tmp_path) -> None:
    """Truth: SQLite's own limit on pages, which answers as a full disk does."""
    path = tmp_path / "full.log"
    with Logbook.create(path, machine="Otter Ford") as log:
        log.append(decision())
        log._connection.execute("PRAGMA max_page_count = 12")
        kept = 1
        with pytest.raises(LogbookError, match="the disk is full.*Every entry.*Free some space"):
            for _ in range(200):
                log.append(decision("oak " * 500))
                kept += 1
        assert 1 < kept < 100
        assert len(log) == kept
        log._connection.execute("PRAGMA max_page_count = 1000")
        assert log.append(decision()).number == kept + 1
        assert log.verify().whole


def test_a_file_size_limit_refuses_and_keeps_what_was_there(tmp_path, source_environment) -> None:
    """Truth: the numbers acknowledged; a limit of the operating system on the size of a file."""
    path = tmp_path / "limited.log"
    Logbook.create(path, machine="Otter Ford").close()
    script = """
        import resource, sys, runpy
        resource.setrlimit(resource.RLIMIT_FSIZE, (160_000, 160_000))
        sys.argv = sys.argv[1:]
        runpy.run_path(sys.argv[0], run_name="__main__")
    """
    done = run(script, source_environment, WRITER, path, 5000, "mill")
    lines = done.stdout.splitlines()
    assert done.returncode == 3, done.stderr
    assert "limited.log: the disk" in lines[-1] and "then do it again" in lines[-1]
    with Logbook.open(path) as log:
        assert len(log) == len(lines) - 1 > 10
        assert log.verify().whole
        assert log.append(decision()).number == len(lines)


def test_a_really_full_disk(tmp_path, source_environment) -> None:
    """Truth: the numbers acknowledged; a disk in memory of 400 kB, in a mount space of its own."""
    script = """
        mount -t tmpfs -o size=400k none "$1" || exit 77
        cd "$1"
        "$2" -c 'from slingwright.logbook import Logbook as L; L.create("a.log", machine="O")'
        "$2" "$3" a.log 5000 mill > /dev/shm/said.$$; code=$?
        tail -n 1 /dev/shm/said.$$
        echo acknowledged $(grep -c '^[0-9]' /dev/shm/said.$$)
        rm /dev/shm/said.$$
        "$2" - <<'END'
        from slingwright.logbook import Logbook, LogbookError
        import os
        with Logbook.open("a.log") as log:
            print("whole", log.verify().whole, len(log))
            try:
                log.add_photo(b"\\x89PNG\\r\\n\\x1a\\n" + bytes(300_000), name="axle.png")
            except LogbookError as error:
                print("photo", error)
            print("left", os.listdir("a.log.photos") if os.path.isdir("a.log.photos") else [])
        END
        exit $code
    """
    command = ["unshare", "--mount", "bash", "-c", textwrap.dedent(script), "bash"]
    command += [str(tmp_path), sys.executable, str(WRITER)]
    try:
        done = subprocess.run(
            command, capture_output=True, text=True, env=source_environment, timeout=120
        )
    except FileNotFoundError:
        pytest.skip("no unshare command here")
    if done.returncode in (1, 77) and "a.log" not in done.stdout:
        pytest.skip(f"no right to mount a disk here: {done.stderr.strip()}")
    assert done.returncode == 3, done.stderr
    refused, acknowledged, whole, photo, left = done.stdout.splitlines()
    assert refused.startswith("refused a.log: the disk is full, so writing an entry was given up.")
    count = int(acknowledged.split()[1])
    assert count > 10
    assert whole == f"whole True {count}"
    assert "the disk is full, so copying the photo axle.png was given up" in photo
    assert left == "left []"
    assert list(tmp_path.iterdir()) == []


@pytest.fixture
def open_folder():
    """Give a folder that other users may enter."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)
        yield folder
        folder.chmod(0o755)


READ_ONLY = """
    import os, sys
    from slingwright.logbook import Decision, Logbook, LogbookError
    from slingwright.logbook.shown import export
    if os.geteuid() == 0:
        os.setgid(65534)
        os.setuid(65534)
    path = sys.argv[1]
    try:
        log = Logbook.open(path)
        print("entries", len(log))
        log.append(Decision(what="a", reason="b"))
    except LogbookError as error:
        print("append", error)
    try:
        log.add_photo(b"\\x89PNG\\r\\n\\x1a\\n", name="axle.png")
    except LogbookError as error:
        print("photo", error)
    try:
        Logbook.create(path + ".second", machine="Otter Ford")
    except LogbookError as error:
        print("create", error)
    try:
        export.save_text("x", path + ".md")
    except LogbookError as error:
        print("export", error)
    with Logbook.open(path, reading_only=True) as log:
        print("entries", len(log))
"""


@pytest.mark.parametrize("file_mode", [0o444, 0o666])
def test_a_folder_that_may_not_be_written(open_folder, source_environment, file_mode) -> None:
    """Truth: the bytes of the file; a user without rights, a writable file in a locked folder."""
    path = open_folder / "locked.log"
    with Logbook.create(path, machine="Otter Ford") as log:
        log.append(decision())
    before = path.read_bytes()
    path.chmod(file_mode)
    open_folder.chmod(0o555)
    done = run(READ_ONLY, source_environment, path)
    assert done.returncode == 0, done.stderr
    first, append, photo, create, exported, last = done.stdout.splitlines()
    assert first == last == "entries 1"
    for said in (append, photo, create, exported):
        assert f"the folder {open_folder}" in said
        assert "may not be written by this user" in said
        assert "Copy the log to a folder you may write to" in said
    assert path.read_bytes() == before
    assert [place.name for place in open_folder.iterdir()] == ["locked.log"]
    assert stat.S_IMODE(path.stat().st_mode) == file_mode


def test_a_log_of_a_newer_version_is_left_alone(tmp_path) -> None:
    """Truth: the bytes of the file."""
    path = tmp_path / "newer.log"
    with Logbook.create(path, machine="Otter Ford") as log:
        log.append(decision())
    other = sqlite3.connect(path)
    other.execute(f"PRAGMA user_version = {VERSION + 1}")
    other.close()
    before = path.read_bytes()
    words = (
        f"of version {VERSION + 1}.*knows versions up to {VERSION}.*Nothing was written.*Install"
    )
    for reading_only in (False, True):
        with pytest.raises(LogbookError, match=words):
            Logbook.open(path, reading_only=reading_only)
    with pytest.raises(LogbookError, match="a file of that name already"):
        Logbook.create(path, machine="Otter Ford")
    assert path.read_bytes() == before


def filled(path: Path, count: int = 120) -> int:
    with Logbook.create(path, machine="Otter Ford") as log:
        log.append_all([decision(f"{turn} " + "larch " * 60) for turn in range(count)])
        return int(log._connection.execute("PRAGMA page_size").fetchone()[0])


@pytest.mark.parametrize("share", [0.0, 0.001, 0.3, 0.7, 0.999])
def test_a_file_cut_off_is_left_alone(tmp_path, share) -> None:
    """Truth: the bytes of the file after the cut."""
    path = tmp_path / "cut.log"
    filled(path)
    whole = path.read_bytes()
    path.write_bytes(whole[: int(len(whole) * share)])
    before = path.read_bytes()
    with pytest.raises(LogbookError, match="^cut.log: .*(damaged|not a build log)"):
        Logbook.open(path)
    with pytest.raises(LogbookError, match="a file of that name already"):
        Logbook.create(path, machine="Otter Ford")
    assert path.read_bytes() == before


@pytest.mark.parametrize("filler", [b"\x00", b"\xff", b"\x5a"])
def test_a_damaged_page_is_noticed_and_left_alone(tmp_path, filler) -> None:
    """Truth: the bytes of the file after the damage; every page after the first in turn."""
    path = tmp_path / "damaged.log"
    page = filled(path, 60)
    whole = path.read_bytes()
    noticed = 0
    for number in range(1, len(whole) // page):
        hurt = bytearray(whole)
        hurt[number * page : (number + 1) * page] = filler * page
        path.write_bytes(hurt)
        with pytest.raises(LogbookError, match="is damaged.*Nothing was written.*last whole copy"):
            Logbook.open(path)
        assert path.read_bytes() == hurt
        noticed += 1
    assert noticed == len(whole) // page - 1 > 5


def test_a_single_letter_changed_in_the_file_is_noticed(tmp_path) -> None:
    """Truth: a letter inside an entry, which SQLite itself does not see."""
    path = tmp_path / "letter.log"
    with Logbook.create(path, machine="Otter Ford") as log:
        log.append(Shot(load=6.0, range=187.5))
        log.append(decision("the last one"))
    whole = path.read_bytes()
    assert whole.count(b"187.5") == 1
    path.write_bytes(whole.replace(b"187.5", b"287.5"))
    with Logbook.open(path) as log:
        assert log.entry(2).record.what == "the last one"
        with pytest.raises(LogbookError, match="entry 1: its text does not belong to its digest"):
            log.entries()
        findings = log.verify()
        assert not findings.whole and len(findings.faults) == 1
    hurt = whole.replace(b"the last one", b"the lost one")
    path.write_bytes(hurt)
    with Logbook.open(path) as log, pytest.raises(LogbookError, match="entry 2.*Nothing was"):
        log.append(decision())
    assert path.read_bytes() == hurt


def test_an_entry_rewritten_with_a_fitting_digest_breaks_the_chain(tmp_path) -> None:
    """Truth: the chain of digests; the triggers are taken away first, as a forger would."""
    path = tmp_path / "forged.log"
    with Logbook.create(path, machine="Otter Ford") as log:
        log.append(Shot(load=6.0, range=187.5))
        log.append(decision())
        line = log.lines()[0][0].replace("187.5", "287.5")
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("DROP TRIGGER entries_are_not_changed")
    other.execute(
        "UPDATE entries SET line = ?, digest = ? WHERE number = 1", (line, digest_of(line))
    )
    other.close()
    with Logbook.open(path) as log:
        assert log.verify().faults == ("entry 2 does not follow the one before it",)
        with pytest.raises(LogbookError, match="entry 2 does not follow"):
            log.lines()


def test_other_files_are_left_alone(tmp_path) -> None:
    """Truth: the bytes of the files."""
    path = tmp_path / "other"
    other = sqlite3.connect(path)
    other.execute("CREATE TABLE mine (a)")
    other.commit()
    other.close()
    text = tmp_path / "text.log"
    text.write_text("oak and rope " * 1000)
    for place in (path, text):
        before = place.read_bytes()
        with pytest.raises(LogbookError, match="not a build log, and it was left as it is"):
            Logbook.open(place)
        assert place.read_bytes() == before
    with pytest.raises(LogbookError, match="there is no log at"):
        Logbook.open(tmp_path / "missing.log")
    with pytest.raises(LogbookError, match="there is no log at"):
        Logbook.open(tmp_path)
    with pytest.raises(LogbookError, match="there is no folder"):
        Logbook.create(tmp_path / "nowhere" / "a.log", machine="Otter Ford")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["other", "text.log"]


def test_a_log_moved_away_under_an_open_one(tmp_path) -> None:
    """Truth: an entry must not go into a file that no name leads to any more."""
    path = tmp_path / "a.log"
    with Logbook.create(path, machine="Otter Ford") as log:
        log.append(decision())
        path.rename(tmp_path / "b.log")
        with pytest.raises(LogbookError, match="moved away or replaced.*Nothing was written"):
            log.append(decision())
        Logbook.create(path, machine="Otter Ford").close()
        with pytest.raises(LogbookError, match="moved away or replaced"):
            log.append(decision())
    with Logbook.open(tmp_path / "b.log") as log:
        assert len(log) == 1


def test_a_log_held_by_another_program(tmp_path, monkeypatch) -> None:
    """Truth: a second connection that holds the write lock; the patience is shortened."""
    path = tmp_path / "held.log"
    with Logbook.create(path, machine="Otter Ford") as log:
        log._connection.execute("PRAGMA busy_timeout = 20")
        monkeypatch.setattr("slingwright.logbook.store.PATIENCE", 0.2)
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(LogbookError, match="another program is holding the log"):
            log.append(decision())
        assert len(log) == 0
        other.execute("ROLLBACK")
        other.close()
        assert log.append(decision()).number == 1


def test_a_reader_in_the_way_of_a_commit_is_waited_for(tmp_path) -> None:
    """Truth: one entry, written once; a reader holds its lock for a moment, then lets go."""
    path = tmp_path / "read.log"
    with Logbook.create(path, machine="Otter Ford") as log:
        log.append(decision())
        log._connection.execute("PRAGMA busy_timeout = 20")
        other = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
        other.execute("BEGIN")
        assert other.execute("SELECT count(*) FROM entries").fetchone() == (1,)
        release = threading.Timer(0.4, lambda: other.execute("COMMIT"))
        release.start()
        assert log.append(decision()).number == 2
        release.join()
        other.close()
        assert len(log) == 2


def test_nothing_is_left_where_making_a_log_fails(tmp_path) -> None:
    """Truth: the folder before; a folder stands where the log should go."""
    (tmp_path / "a.log").mkdir()
    with pytest.raises(LogbookError, match="a file of that name already"):
        Logbook.create(tmp_path / "a.log", machine="Otter Ford")
    with pytest.raises(LogbookError, match="machine: it is empty"):
        Logbook.create(tmp_path / "b.log", machine="")
    assert [place.name for place in tmp_path.iterdir()] == ["a.log"]
    assert os.listdir(tmp_path / "a.log") == []


def test_every_fault_names_a_next_step() -> None:
    """Truth: the rule that an error says thing, limit and next step."""
    for code, word in ((28, "full"), (13, "may not be written"), (30, "may not be written")):
        said = str(explain_storage_error(OSError(code, "x"), Path("a.log"), "writing an entry"))
        assert said.startswith("a.log: ") and word in said and "writing an entry" in said
    said = str(explain_storage_error(ValueError("odd"), Path("a.log"), "reading"))
    assert "odd" in said and "try again" in said

"""The log keeps what it was given, in order, and lets nothing of it be changed.

Truth: what was written a moment before, and the entry kinds' own rules.
"""

import sqlite3
import threading
from datetime import UTC, datetime

import pytest

from slingwright.logbook import (
    Cost,
    Decision,
    Hours,
    Incident,
    LoadTrace,
    Logbook,
    LogbookError,
    Measurement,
    Part,
    Revision,
    Shot,
    VideoTrack,
    Withdrawal,
    difference,
)
from slingwright.logbook.schema import STEPS, VERSION, migrate
from slingwright.logbook.shots import shots_that_count

SAMPLES = [
    Decision(what="Axle of 60 mm instead of 50 mm.", reason="The check stood at 0.97."),
    Part(name="drum rope", origin="bought", rating="rated", rated_load=24_000.0, known="tag on it"),
    Part(name="hook from the mill", origin="found", rating="unrated", mass=3.1),
    Hours(who="crew of the mill", hours=6.5, task="turning the drum"),
    Cost(item="larch, 7.2 m", amount=310.5),
    Incident(what="Ring stuck on the prong.", severity="near miss", done="Prong filed."),
    Measurement(thing="box of stone", value=1412.0, unit="kg", sd=8.0, path="counterweight.mass"),
    Shot(load=6.0, range=187.5, drift=-3.0, time_of_flight=6.4, release_seen="late"),
    LoadTrace(channel="axle", unit="N", time=(0.0, 0.01, 0.02), value=(1e4, 2.5e4, -3.0), shot=8),
]


def film(**other):
    given = {
        "point": ("ball", "ball", "tip"),
        "time": (0.0, 0.01, 0.0),
        "x": (10.0, 12.0, 5.0),
        "y": (4.0, 3.0, 2.0),
        "ball": "ball",
        "tip": "tip",
        "seen": (0.0, 0.0, 100.0, 0.0),
        "known": (0.0, 0.0, 4.0, 0.0),
        "click_sd": 1.0,
        "shot": 8,
    }
    return VideoTrack(**{**given, **other})


SAMPLES.append(film())


@pytest.fixture
def log(tmp_path):
    with Logbook.create(tmp_path / "otter ford?.log", machine="Otter Ford") as opened:
        yield opened


def test_every_kind_comes_back_as_it_went_in(log) -> None:
    """Truth: the records themselves."""
    written = [log.append(record, author="mill", note="note ü") for record in SAMPLES]
    read = log.entries()
    assert [entry.record for entry in read] == SAMPLES
    assert read == written
    assert [entry.number for entry in read] == list(range(1, len(SAMPLES) + 1))
    assert log.entry(8).record.range == 187.5
    assert log.machine == "Otter Ford"
    assert log.verify().whole
    assert log.entries("part") == written[1:3]


def test_it_is_there_after_closing(tmp_path) -> None:
    """Truth: the records written before the file was closed."""
    path = tmp_path / "a.log"
    with Logbook.create(path, machine="Otter Ford") as log:
        log.append_all(SAMPLES)
    assert [p.name for p in tmp_path.iterdir()] == ["a.log"]
    with Logbook.open(path, reading_only=True) as log:
        assert [entry.record for entry in log] == SAMPLES
        with pytest.raises(LogbookError, match="reading only"):
            log.append(SAMPLES[0])
    with pytest.raises(LogbookError, match="closed.*Open it again"):
        log.entries()


def test_several_entries_are_written_all_or_none(log) -> None:
    """Truth: the number of entries before the refused call."""
    log.append(SAMPLES[0])
    with pytest.raises(LogbookError, match="withdraw"):
        log.append_all([SAMPLES[1], Withdrawal(reason="no")])
    assert len(log) == 1


def test_a_revision_carries_its_difference_and_its_numbers(log) -> None:
    """Truth: the two tables of dials, compared by hand."""
    first = {"sling.length": 4.0, "base.wheels": False, "axle.grade": "S235"}
    second = {"sling.length": 4.25, "base.wheels": True, "winch.people": 4}
    log.save_revision(first, note="as built", author="mill", calculated={"range": 201.5})
    entry = log.save_revision(second, note="more room", calculated={"range": 212.0})
    assert dict(entry.record.changed) == {
        "axle.grade": ("S235", None),
        "base.wheels": (False, True),
        "sling.length": (4.0, 4.25),
        "winch.people": (2.0, 4.0),  # a log that says nothing of a dial has it at its default
    }
    assert entry.record.previous == 1
    assert dict(entry.record.calculated) == {"range": 212.0}
    assert log.latest_revision() == entry
    with pytest.raises(LogbookError, match="revision: note"):
        log.save_revision(second, note="  ")


def test_difference_tells_false_from_zero() -> None:
    """Truth: false is a switch, zero a number; a dial may be one or the other."""
    assert difference({"a": False}, {"a": 0.0}) == {"a": (False, 0.0)}
    assert difference({"a": 1.0}, {"a": 1.0}) == {}


def test_a_correction_points_back_and_the_old_entry_stays(log) -> None:
    """Truth: the rule that a correction is a new entry."""
    wrong = log.append(Shot(load=6.0, range=1875.0), at="2031-06-14T15:20:00+01:00")
    log.append(SAMPLES[0])
    right = log.correct(wrong.number, Shot(load=6.0, range=187.5), note="comma slipped")
    assert right.corrects == wrong.number
    assert right.at == wrong.at
    assert log.entry(wrong.number) == wrong
    assert [entry.number for entry in log.current()] == [3, 2]
    assert log.current("shot") == [right]
    with pytest.raises(LogbookError, match="corrected already, by entry 3. Correct entry 3"):
        log.correct(wrong.number, Shot(load=6.0, range=1.0))
    with pytest.raises(LogbookError, match="of kind 'shot'"):
        log.correct(right.number, SAMPLES[0])
    with pytest.raises(LogbookError, match="no entry 99; the last is 3"):
        log.correct(99, SAMPLES[0])
    log.withdraw(right.number, reason="typed twice")
    assert [entry.number for entry in log.current()] == [2]
    with pytest.raises(LogbookError, match="is a withdrawal"):
        log.withdraw(4, reason="no")
    assert log.verify().whole


def test_a_corrected_revision_compares_with_the_one_before_its_place(log) -> None:
    """Truth: the tables of dials, compared by hand."""
    log.save_revision({"a": 1.0}, note="one")
    log.save_revision({"a": 2.0}, note="two")
    log.save_revision({"a": 3.0}, note="three")
    entry = log.correct(2, Revision(values={"a": 2.5}), note="misread")
    assert dict(entry.record.changed) == {"a": (1.0, 2.5)}
    assert log.latest_revision().record.values["a"] == 3.0
    again = log.correct(1, Revision(values={"a": 0.5}), note="misread")
    assert dict(again.record.changed) == {"a": (None, 0.5)}
    last = log.correct(entry.number, Revision(values={"a": 2.6}), note="again")
    assert dict(last.record.changed) == {"a": (0.5, 2.6)}


def test_the_latest_measurement_of_a_dial(log) -> None:
    """Truth: the order of writing, and the correction."""
    assert log.latest_measurement("counterweight.mass") is None
    log.append(SAMPLES[6])
    wrong = log.append(Measurement(thing="box", value=1.5, unit="kg", path="counterweight.mass"))
    log.correct(
        wrong.number, Measurement(thing="box", value=1500.0, unit="kg", path="counterweight.mass")
    )
    assert log.latest_measurement("counterweight.mass").value == 1500.0


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entries SET line = 'x' WHERE number = 1",
        "UPDATE entries SET number = 9 WHERE number = 2",
        "DELETE FROM entries WHERE number = 2",
        "DELETE FROM entries",
        "INSERT OR REPLACE INTO entries SELECT number, kind, corrects, 'x', digest FROM entries",
        "REPLACE INTO entries SELECT 3, kind, 1, 'x', digest FROM entries WHERE number = 1",
        "INSERT INTO entries SELECT 7, kind, NULL, line, digest FROM entries WHERE number = 1",
        "UPDATE machine SET name = 'other'",
        "DELETE FROM machine",
        "INSERT OR REPLACE INTO machine VALUES (1, 'other')",
    ],
)
def test_no_program_can_change_or_remove_an_entry(tmp_path, statement) -> None:
    """Truth: the lines before; a plain SQLite connection with its triggers as they come."""
    path = tmp_path / "a.log"
    with Logbook.create(path, machine="Otter Ford") as log:
        log.append(SAMPLES[0])
        log.correct(1, SAMPLES[0])
        before = log.lines()
    other = sqlite3.connect(path, isolation_level=None)
    with pytest.raises(sqlite3.IntegrityError, match="append only"):
        other.execute(statement)
    other.close()
    with Logbook.open(path) as log:
        assert log.lines() == before
        assert log.machine == "Otter Ford"


def test_an_older_log_is_brought_up_to_date(tmp_path) -> None:
    """Truth: a file made with the first step alone, holding one entry."""
    path = tmp_path / "old.log"
    with Logbook.create(tmp_path / "new.log", machine="Otter Ford") as log:
        entry = log.append(SAMPLES[0])
        line, digest = log.lines()[0]
    old = sqlite3.connect(path, isolation_level=None)
    assert migrate(old, to=1) == 0
    old.execute("INSERT INTO machine VALUES (1, 'Otter Ford')")
    old.execute("INSERT INTO entries VALUES (1, 'decision', NULL, ?, ?)", (line, digest))
    old.close()
    with pytest.raises(LogbookError, match="version 1 and must be brought to 3"):
        Logbook.open(path, reading_only=True)
    with Logbook.open(path) as log:
        assert log.entries() == [entry]
        assert log.append(SAMPLES[1]).number == 2
    again = sqlite3.connect(path)
    assert again.execute("PRAGMA user_version").fetchone() == (VERSION,)
    names = {row[0] for row in again.execute("SELECT name FROM sqlite_schema")}
    again.close()
    assert {"entries_by_kind", "entries_are_corrected_once", "sent"} <= names
    assert len(STEPS) == VERSION


def test_a_failed_step_leaves_the_file_as_it_was(tmp_path) -> None:
    """Truth: the bytes of the file before, with a name in the way of the second step."""
    path = tmp_path / "old.log"
    old = sqlite3.connect(path, isolation_level=None)
    migrate(old, to=1)
    old.execute("INSERT INTO machine VALUES (1, 'Otter Ford')")
    old.execute("CREATE TABLE entries_by_kind (a)")
    old.close()
    before = path.read_bytes()
    with pytest.raises(LogbookError):
        Logbook.open(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Decision(what="x", reason=" "), "decision: reason: it is empty"),
        (lambda: Decision(what="x" * 100_001, reason="y"), "100001 characters.*100000"),
        (lambda: Decision(what="\ud800", reason="y"), "half a character"),
        (lambda: Decision(what=3, reason="y"), "3 is not text"),
        (lambda: Part(name="hook", rated_load=5.0), "an unrated part has none"),
        (lambda: Part(name="hook", rated_load=-1.0, rating="rated"), "-1 N is outside 0 to"),
        (lambda: Part(name="hook", origin="stolen"), "'stolen' is not one of 'bought'"),
        (lambda: Hours(who="a", hours=float("nan"), task="b"), "nan h is outside"),
        (lambda: Incident(what="a", severity="bad"), "'near miss', 'damage', 'injury'"),
        (lambda: Shot(load=6.0, range=5000.0), "5000 m is outside -1000 to 2000 m"),
        (lambda: Shot(load=None), "shot: load: it is not a number. Give it in kg"),
        (lambda: Shot(load=True), "it is not a number"),
        (lambda: Shot(load=6.0, release_seen="soon"), "'early', 'right', 'late'"),
        (lambda: Shot(load=6.0, revision=0), "0 is not an entry number"),
        (lambda: Shot(load=6.0, settings={"a": float("inf")}), "settings: a: inf"),
        (lambda: Shot(load=6.0, settings=[1]), "not a table"),
        (lambda: LoadTrace(channel="a", unit="N", time=(0.0, 1.0), value=(1.0,)), "2 times and 1"),
        (lambda: LoadTrace(channel="a", unit="N", time=(0.0, 0.0), value=(1.0, 2.0)), "not after"),
        (lambda: LoadTrace(channel="a", unit="N", time=(), value=()), "0 values"),
        (lambda: LoadTrace(channel="a", unit="N", time=(0.0,), value=(float("nan"),)), "value 1"),
        (lambda: film(x=(1.0,)), "3 points, 3 times, 1 x and 3 y"),
        (lambda: film(seen=(1.0, 2.0)), "each hold two points, four numbers"),
        (lambda: film(ball="stone"), "ball 'stone' is none of ball, tip"),
        (lambda: film(tip="end"), "tip 'end' is none of ball, tip"),
        (lambda: film(click_sd=0.0), "click_sd: 0"),
        (lambda: film(y_down="yes"), "y_down is 'yes'"),
        (lambda: film(y=(1.0, float("inf"), 2.0)), "value 2 is inf"),
        (lambda: Revision(values={"": 1.0}), "it is empty"),
    ],
)
def test_a_wrong_value_is_refused_with_the_limit(make, words) -> None:
    """Truth: the limits written beside each field."""
    with pytest.raises(LogbookError, match=words):
        make()


def test_moments_keep_their_offset_and_nonsense_is_refused(log) -> None:
    """Truth: ISO 8601 and the standard library's datetime."""
    entry = log.append(SAMPLES[0], at=datetime(2031, 6, 14, 15, 20, tzinfo=UTC))
    assert entry.at == "2031-06-14T15:20:00.000+00:00"
    naive = log.append(SAMPLES[0], at="2031-06-14T15:20")
    assert datetime.fromisoformat(naive.at).astimezone().replace(tzinfo=None) == datetime(
        2031, 6, 14, 15, 20
    )
    for nonsense in ("yesterday", "2031-13-01", 7):
        with pytest.raises(LogbookError, match="is not a date and time"):
            log.append(SAMPLES[0], at=nonsense)
    assert len(log) == 2


def test_records_are_frozen() -> None:
    """Truth: a changed record would no longer be what was checked."""
    shot = Shot(load=6.0, settings={"sling.length": 4.0})
    with pytest.raises(AttributeError):
        shot.load = 7.0
    with pytest.raises(TypeError):
        shot.settings["sling.length"] = 5.0


def test_another_thread_is_told_to_open_its_own(log) -> None:
    """Truth: SQLite connections of Python belong to the thread that made them."""
    said: list[str] = []

    def use() -> None:
        try:
            log.append(SAMPLES[0])
        except LogbookError as error:
            said.append(str(error))

    worker = threading.Thread(target=use)
    worker.start()
    worker.join()
    assert len(said) == 1 and "another thread. Open it again" in said[0]
    assert len(log) == 0


def test_a_revision_written_up_later_takes_its_place_by_its_date(log) -> None:
    """Truth: the dates, put in order by hand: what stood on each day, and what each changed."""
    log.save_revision({"a": 1.0}, note="one", at="2031-06-01T10:00+00:00")
    log.save_revision({"a": 3.0}, note="three", at="2031-06-03T10:00+00:00")
    late = log.save_revision({"a": 2.0}, note="two, written up late", at="2031-06-02T12:00+02:00")
    assert log.latest_revision().record.values["a"] == 3.0
    assert dict(late.record.changed) == {"a": (1.0, 2.0)}
    for day, value in (("01", 1.0), ("02", 2.0), ("03", 3.0)):
        log.append(Shot(load=12.0, range=100.0), at=f"2031-06-{day}T18:00+00:00")
        assert shots_that_count(log)[-1][1].settings["a"] == value
    for mass, day in ((700.0, "05"), (650.0, "04")):
        weighed = Measurement(thing="box", value=mass, unit="kg", path="counterweight.mass")
        log.append(weighed, at=f"2031-06-{day}T10:00+00:00")
    assert log.latest_measurement("counterweight.mass").value == 700.0

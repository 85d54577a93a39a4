"""The commands on what to change, and on a log's safety, from the outside.

Truth: the log's own entries and lines; the answers of the functions behind; the refusals' words.
"""

import json

import pytest

import slingwright as sw
from slingwright.changing.sensitivity import sensitivity
from slingwright.commands.line import main
from slingwright.commands.typed import FAILED, FINE, REFUSED
from slingwright.logbook import Logbook

FILE = str(sw.data_folder() / "otter_ford.toml")
DIARY = sw.data_folder() / "otter_ford_log.jsonl"


def test_a_log_is_imported_whole_verified_and_revised(tmp_path, capsys) -> None:
    """Truth: the supplied diary's lines, less its head; a line taken away; the revision's dials."""
    path = str(tmp_path / "a.log")
    assert main(["log", path, "import", str(DIARY)]) == FINE
    lines = DIARY.read_text(encoding="utf-8").strip().split("\n")
    assert f"{len(lines) - 1} entries, every one whole" in capsys.readouterr().out
    assert main(["log", path, "verify"]) == FINE
    note = ["--note", "longer sling"]
    assert main(["log", path, "revise", FILE, "sling.length=5.1 m", *note]) == FINE
    with Logbook.open(path, reading_only=True) as log:
        revision = log.latest_revision()
    assert revision.record.values["sling.length"] == pytest.approx(5.1)
    assert revision.record.values["counterweight.mass"] == 640.0
    cut = tmp_path / "cut.jsonl"
    cut.write_text("\n".join(lines[:-3]) + "\n", encoding="utf-8")
    for words, told in (
        (["import", str(cut)], "entr"),
        (["import", str(tmp_path / "none.jsonl")], "cannot be read"),
        (["import"], "no file is named"),
        (["revise", FILE], "no reason is given"),
        (["revise", "sling.length=5", *note], "name the machine's file"),
        (["revise", FILE, "slng.length=5", *note], "did you mean sling.length"),
    ):
        other = path if words[0] == "revise" else str(tmp_path / "b.log")
        assert main(["log", other, *words]) == REFUSED
        assert told in capsys.readouterr().err
    assert not (tmp_path / "b.log").exists()


def test_a_log_that_was_tampered_with_is_told(tmp_path, capsys) -> None:
    """Truth: one byte changed in the file's lines, behind the log's back."""
    import sqlite3

    path = str(tmp_path / "a.log")
    main(["log", path, "import", str(DIARY)])
    base = sqlite3.connect(path)
    triggers = [
        row[0] for row in base.execute("SELECT name FROM sqlite_master WHERE type='trigger'")
    ]
    for one in triggers:
        base.execute(f"DROP TRIGGER {one}")
    base.execute("UPDATE entries SET line = replace(line, 'Wren', 'Wrxn') WHERE number = 3")
    base.execute("UPDATE entries SET line = line || ' ' WHERE number = 3")
    base.commit()
    base.close()
    capsys.readouterr()
    assert main(["log", path, "verify"]) in (FAILED, REFUSED)
    told = capsys.readouterr()
    assert "every one whole" not in told.out


def test_slopes_are_told(capsys) -> None:
    """Truth: `sensitivity` itself."""
    assert main(["sensitivity", FILE, "sling.length", "--json"]) == FINE
    told = json.loads(capsys.readouterr().out)
    (one,) = sensitivity(sw.read_machine("otter_ford"), ["sling.length"])
    assert told["slopes"]["sling.length"]["range"] == pytest.approx(one.on["range"].value)
    assert told["machine_taken"] == "as drawn"
    assert main(["sensitivity", FILE, "slng.length"]) == REFUSED


def test_the_best_machine_is_told(capsys) -> None:
    """Truth: a sweep over the one dial that may be varied, within its limit."""
    machine = sw.read_machine("otter_ford")
    words = ["--vary", "sling.length=4.4 m..5.4 m", "--farthest", "101 m"]
    assert main(["search", FILE, *words, "--json"]) == FAILED  # not all of it is known to hold
    rows = json.loads(capsys.readouterr().out)["rows"]
    lengths = [4.4 + 0.01 * i for i in range(101)]
    far = sw.sweep(machine, {"sling.length": lengths}, loads=False)["range"]
    assert rows["range"]["value"] == pytest.approx(max(far[far <= 101.0]), abs=0.3)


def test_a_next_trial_is_told_with_what_it_rests_on(capsys) -> None:
    """Truth: a target in reach, and one past the clear ground."""
    vary = ["--vary", "sling.length=4.4 m..5.4 m"]
    assert main(["next", FILE, *vary, "--target", "99 m"]) in (FINE, FAILED)
    said = capsys.readouterr().out
    assert "taken as tables and practice have it" in said
    for words, told in (
        ([*vary, "--target", "9000 m"], "within the clear ground"),
        (["--vary", "sling.length=4"], "LOW..HIGH"),
        (["--vary", "slng.length=4..5"], "did you mean sling.length"),
        ([*vary, "--target", "5 kg"], "--target"),
        ([], "give one to three"),
    ):
        assert main(["next", FILE, *words]) == REFUSED
        assert told in capsys.readouterr().err


def test_plan_chooses_and_says_why(capsys) -> None:
    """Truth: money for none but the one that costs nothing to weigh."""
    asked = ["plan", FILE, "--change", "dear:winch.drum=0.15 m,cost=60", "--change"]
    asked += ["scale:measures=counterweight.mass,hours=2", "--money", "10", "--hours", "8"]
    assert main([*asked, "--seconds", "600", "--json"]) == FAILED  # not all is known to hold
    told = json.loads(capsys.readouterr().out)
    assert told["rows"]["step.1"]["label"] == "1. scale"
    assert "plan again with it" in told["rows"]["step.1"]["note"]
    assert "takes 60 money, 10 are there" in told["rows"]["left_out.dear"]["value"]
    assert main([*asked, "--must", "dear"]) == REFUSED
    assert "must have dear" in capsys.readouterr().err
    assert main([*asked, "--worth", "beauty"]) == REFUSED
    assert main([*asked, "--stock", "sand"]) == REFUSED

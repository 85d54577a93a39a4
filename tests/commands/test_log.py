"""The commands on a build log, from the outside: what they print, return and refuse.

Truth: the log's own entries read back; single throws; the made-up diary of Otter Ford.
"""

import json

import pytest
from demo import demo_log

import slingwright as sw
from slingwright.commands.line import main
from slingwright.commands.typed import FAILED, FINE, REFUSED
from slingwright.logbook import Logbook

FILE = str(sw.data_folder() / "otter_ford.toml")


@pytest.fixture(scope="module")
def diary(tmp_path_factory):
    path = tmp_path_factory.mktemp("log") / "demo.log"
    demo_log(path).close()
    return str(path)


def test_a_log_is_made_added_to_and_listed(tmp_path, capsys) -> None:
    """Truth: the entries as the log itself gives them back."""
    path = str(tmp_path / "a.log")
    assert main(["log", path, "new", "--name", "Otter Ford"]) == FINE
    words = ["what=shorter sling", "reason=it slipped late"]
    assert main(["log", path, "add", "decision", *words, "--author", "Wren"]) == FINE
    shot = ["load=12", "range=101.5", "sling.length=4.9 m", "release_seen=right"]
    assert main(["log", path, "add", "shot", *shot]) == FINE
    capsys.readouterr()
    with Logbook.open(path, reading_only=True) as log:
        decision, thrown = log.entries()
        assert decision.record.reason == "it slipped late"
        assert decision.author == "Wren"
        assert thrown.record.range == 101.5
        assert thrown.record.settings == {"sling.length": 4.9}
    assert main(["log", path, "list"]) == FINE
    said = capsys.readouterr().out
    assert "Decided: shorter sling" in said
    assert "sling.length" not in said
    assert main(["shots", path]) == FINE
    assert "101.5 m" in capsys.readouterr().out


def test_a_shot_is_corrected_struck_and_never_empty(tmp_path, capsys) -> None:
    """Truth: the log's own entries, and the number that a comma could mean."""
    path = str(tmp_path / "a.log")
    main(["log", path, "new", "--name", "Otter Ford"])
    main(["log", path, "add", "shot", "load=12", "range=101.5", "sling.length=4.9 m"])
    for wrong, words in (
        (["add", "shot", "load=12"], "nothing was seen of it"),
        (["add", "shot", "load=12", "range=1,015"], "write 1.015 or 1015"),
        (["add", "shot", "load=12", "range=inf"], "no finite number"),
        (["correct", "x", "range=9"], "no entry number"),
        (["correct", "1"], "nothing to correct"),
        (["strike", "1"], "no reason is given"),
    ):
        assert main(["log", path, *wrong]) != FINE
        assert words in capsys.readouterr().err
    assert main(["log", path, "correct", "1", "range=110.5"]) == FINE
    with Logbook.open(path, reading_only=True) as log:
        (now,) = log.current("shot")
        assert (now.corrects, now.record.range, now.record.load) == (1, 110.5, 12.0)
        assert now.record.settings == {"sling.length": 4.9}
    assert main(["log", path, "strike", "2", "--note", "the tape slipped"]) == FINE
    with Logbook.open(path, reading_only=True) as log:
        assert not log.current("shot") and len(log) == 3


def test_a_list_never_steers_the_terminal(tmp_path, capsys) -> None:
    """Truth: ECMA-48: a control sequence begins with ESC, so that no ESC may be printed."""
    path = str(tmp_path / "a.log")
    main(["log", path, "new", "--name", "Otter Ford"])
    main(["log", path, "add", "decision", "what=red \x1b[31mrope", "reason=two\nlines"])
    capsys.readouterr()
    assert main(["log", path, "list"]) == FINE
    said = capsys.readouterr().out
    assert "\x1b" not in said and "red \\x1b[31mrope" in said and said.count("\n") == 1


def test_an_export_is_a_whole_file_and_never_over_another(diary, tmp_path, capsys) -> None:
    """Truth: the JSON lines give the same log again; a second export to the name is refused."""
    out = tmp_path / "a.jsonl"
    assert main(["log", diary, "export", "--format", "jsonl", "--out", str(out)]) == FINE
    assert out.read_text("utf-8") == (sw.data_folder() / "otter_ford_log.jsonl").read_text("utf-8")
    assert main(["log", diary, "export", "--format", "jsonl", "--out", str(out)]) == REFUSED
    assert "already" in capsys.readouterr().err
    for form, word in (("markdown", "# Build log"), ("csv", "number,"), ("diary", "<!DOCTYPE")):
        assert main(["log", diary, "export", "--format", form]) == FINE
        assert word in capsys.readouterr().out


def test_shots_are_listed_in_both_systems(diary, capsys) -> None:
    """Truth: fourteen shots of the diary count, the one typed wrongly as corrected."""
    assert main(["shots", diary]) == FINE
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 15
    assert not any(line.split()[0] == "15" for line in lines)
    assert main(["shots", diary, "--us"]) == FINE
    assert "ft" in capsys.readouterr().out


def test_fit_tells_the_numbers_the_diary_was_made_with(diary, capsys) -> None:
    """Truth: slip 4 deg early, weight 1.022 of the set one, drag 0.5: within twice the interval."""
    assert main(["fit", FILE, diary, "--json"]) == FINE
    told = json.loads(capsys.readouterr().out)["numbers"]
    for name, truth in (
        ("release.angle offset", 0.0698),
        ("counterweight.mass factor", 1.022),
        ("projectile.drag", 0.5),
    ):
        width = told[name]["high"] - told[name]["low"]
        assert abs(told[name]["value"] - truth) < width, name
    assert main(["fit", FILE, diary, "--leave-out", "13"]) == FINE
    said = capsys.readouterr().out
    assert "Left out: shot 13" in said
    assert "next shot" in said
    assert "competent person" in said


def test_prove_lays_out_the_steps_and_reads_the_log(tmp_path, capsys) -> None:
    """Truth: a shot of the log with half the counterweight, far past what the step expects."""
    path = str(tmp_path / "a.log")
    assert main(["log", path, "new", "--name", "Otter Ford"]) == FINE
    half = ["load=12", "range=40", "counterweight.mass=320 kg", "counterweight.inertia=41 kg m^2"]
    assert main(["log", path, "add", "shot", *half]) == FINE
    capsys.readouterr()
    assert main(["prove", FILE, "--log", path]) == FAILED
    said = capsys.readouterr().out
    assert "50 % of the counterweight, 320 kg (fails)" in said
    assert "range was 40.0 m, expected" in said and "full counterweight, sandbag" in said
    assert main(["prove", FILE, "--json"]) == FAILED
    assert "not measured" in json.dumps(json.loads(capsys.readouterr().out))
    assert main(["prove", FILE, "--log", str(tmp_path / "none.log")]) == REFUSED


def test_whatif_weighs_changes(capsys) -> None:
    """Truth: single throws of the changed machine; 1 where it then fails a check, 0 where none."""
    change = "heavier fill:counterweight.mass=700 kg,cost=40,hours=3"
    assert main(["whatif", FILE, "--change", change, "--json"]) == FAILED
    told = json.loads(capsys.readouterr().out)
    heavier = sw.read_machine(FILE).change({"counterweight.mass": 700.0})
    last = told["states"][-1]
    assert last["range_m"] == pytest.approx(sw.throw(heavier).range, rel=1e-12)
    assert (last["cost"], last["hours"], told["holds"]) == (40.0, 3.0, False)
    assert {one.name for one in sw.checks(heavier) if one.verdict == "fails"} == {
        words.split(" is at ")[0]
        .removesuffix(" fails beyond all capacity")
        .removesuffix(", in a mishap")
        for words in last["failings"]
        if " is at " in words or "beyond all capacity" in words
    }
    assert any("block" in words for words in last["unknown"]) and last["verdict"] == "fails"
    assert any("keep clear" in words for words in last["failings"] + last["unknown"])
    lighter = "lighter sling:sling.mass=0.8 kg"
    assert main(["whatif", FILE, "--change", lighter, "--us"]) == FAILED
    said = capsys.readouterr().out
    assert "present machine" in said and "ft" in said and "lbf" in said
    assert "everything that was asked holds" not in said and "not known of" in said


def test_whatif_reads_a_file_of_changes(tmp_path, capsys) -> None:
    """Truth: the kit's own: the fill throws farther, so that the axle beside it makes it no safer.

    No state is ticked, for every one has pieces without a rating.
    """
    kit = (sw.data_folder() / "changes" / "otter_ford.toml").read_text("utf-8")
    file = tmp_path / "changes.toml"
    file.write_text("[[change]]".join(kit.split("[[change]]")[:3]), "utf-8")
    assert main(["whatif", FILE, "--changes", str(file)]) == FAILED
    said = capsys.readouterr().out
    assert "heavier fill: " in said and "keep clear reaches" in said
    assert "all hold" not in said and "\N{CHECK MARK}" not in said
    assert main(["whatif", FILE, "--changes", str(tmp_path / "none.toml")]) == REFUSED
    assert "cannot be read" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["log", "nowhere.log", "list"], "nowhere.log"),
        (["log", "LOG", "add", "desicion", "what=x"], "no such kind"),
        (["log", "LOG", "add", "decision", "waht=x"], "did you mean what?"),
        (["log", "LOG", "add", "decision", "what"], "write FIELD=VALUE"),
        (["log", "LOG", "add", "decision", "what=x"], "fields do not fit"),
        (["log", "LOG", "add", "shot", "load=heavy"], "not a number"),
        (["log", "LOG", "add", "shot", "load=12", "sling.length=9 kg"], "sling.length"),
        (["log", "new.log", "new"], "no name"),
        (["fit", FILE, "LOG", "--leave-out", "3"], "no shot 3"),
        (["whatif", FILE], "nothing is proposed"),
        (["whatif", FILE, "--change", "nothing"], "PATH=VALUE"),
        (["whatif", FILE, "--change", "a:sling.mass=0.8 kg,cost=dear"], "is no number"),
        (["whatif", FILE, "--change", "a:sling.lenght=4"], "did you mean sling.length"),
        (["whatif", FILE, "--change", "a:sling.mass=4 m"], "sling.mass"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(diary, tmp_path, monkeypatch, capsys, words, told):
    """Truth: exit code 2, one line on standard error, no traceback, and the log as it was."""
    monkeypatch.chdir(tmp_path)
    with Logbook.open(diary, reading_only=True) as log:
        before = len(log)
    assert main([diary if word == "LOG" else word for word in words]) == REFUSED
    said = capsys.readouterr().err
    assert told in said
    assert "Traceback" not in said
    with Logbook.open(diary, reading_only=True) as log:
        assert len(log) == before

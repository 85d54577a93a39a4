"""Two revisions side by side: what changed, why, and what it did.

Truth: the log's own entries; throw, winding and checks of each machine, worked out directly.
"""

import json
import math
from functools import cache

import pytest

import slingwright as sw
from slingwright.changing.state import look_at
from slingwright.commands.line import main
from slingwright.logbook import LogbookError, difference
from slingwright.logbook.shown.export import from_json_lines
from slingwright.machine.table import dials
from slingwright.pages.log import compared
from slingwright.pages.log.compared import compare_revisions
from slingwright.pages.log.records import machine_at
from slingwright.pages.print.report import report_files
from slingwright.winch.cycle import winding

pytestmark = pytest.mark.usefixtures("few_copies")


@pytest.fixture(autouse=True, scope="module")
def looked_at_once():
    """Look at each machine once for all comparisons."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(compared, "look_at", cache(look_at))
        yield


@pytest.fixture(scope="module")
def log(tmp_path_factory):
    """The show machine's own log."""
    text = (sw.data_folder() / "otter_fair_log.jsonl").read_text(encoding="utf-8")
    with from_json_lines(text, tmp_path_factory.mktemp("log") / "fair.slog") as opened:
        yield opened


def test_what_changed_why_and_what_it_did(log):
    """Truth: both revisions' own values; each machine thrown, wound and checked by itself."""
    base = sw.read_machine("otter_fair")
    found = compare_revisions(log, 36, 46, base)
    values = [log.entry(number).record.values for number in (36, 46)]
    both = {path: pair for path, pair in difference(*values).items() if None not in pair}
    own = {path for path in both if path in dials.BY_PATH}
    assert own <= found.changed.keys()
    assert all(found.changed[path][2] for path in found.changed.keys() - own)
    assert found.changed["counterweight.mass"] == (640.0, 740.0, False)
    assert found.changed["arm.mass"][2] and not found.changed["hanger.pin"][2]
    assert log.entry(46).note in found.why[0] and "Wren" in found.why[0]
    older = [path for path in values[1].keys() - values[0].keys() if path in dials.BY_PATH]
    assert f"Entry 36 does not name {len(older)} dials that" in found.why[1] and len(found.why) == 2
    for value, state in zip(values, (found.before, found.after), strict=True):
        machine = machine_at(base, value)
        done = sw.throw(machine)
        assert (state.range, state.axle_load) == (done.range, done.peak_axle_load)
        assert state.crank_force == pytest.approx(winding(machine).force_per_person, rel=0.02)
        planned = [one.as_planned for one in sw.checks(machine) if not one.of_mishap]
        uses = {one.name: one.utilisation for one in planned if math.isfinite(one.utilisation)}
        assert state.worst_check == max(uses, key=uses.get)
        assert state.worst_use == max(uses.values())
    lines = {row[0]: row[1:] for row in found.table().cells()}
    share = found.after.axle_load / found.before.axle_load - 1.0
    assert lines["peak axle load"][2] == f"{100.0 * share:+.1f} %" and share > 0.1
    assert lines["counterweight.mass"] == ("640 kg", "740 kg", "set")
    assert lines["base.mass"][2] == "follows"
    abroad = {row[0]: row[1:] for row in found.table("US").cells()}
    assert abroad["counterweight.mass"][1] == "1,631 lb" and abroad["range"][0].endswith(" ft")
    rows = found.record()["rows"]
    assert rows["range"]["value"] == found.after.range and "before" in rows["hanger.pin"]["note"]
    mended = next(words for words in found.turned if words.startswith("Fails no more: "))
    named = set(mended.removeprefix("Fails no more: ").removesuffix(".").split("; "))
    assert named == found.before.failings.keys() - found.after.failings.keys() and named
    counts = [
        len([k for k in s.failings if "mishap" not in k]) for s in (found.before, found.after)
    ]
    assert lines["fail as planned"][:2] == tuple(map(str, counts))


def test_back_again_is_the_other_way_round(log):
    """Truth: a comparison turned about; with itself nothing differs."""
    there, back = compare_revisions(log, 2, 21), compare_revisions(log, 21, 2)
    assert set(there.changed) == set(back.changed) == {"release.angle"}
    assert there.changed["release.angle"][:2] == back.changed["release.angle"][1::-1]
    assert there.after.range == back.before.range and there.why == back.why
    assert "Prong bent back" in there.why[0]
    same = compare_revisions(log, 46, 46)
    assert not same.changed and not same.turned and "no dials" in same.sentence


def test_the_command_and_the_print_tell_the_same(log, capsys):
    """Truth: the comparison's own table; refusals name the entries that are revisions."""
    place = str(log.path)
    assert main(["log", place, "compare", "2", "21", "--us"]) == 0
    assert capsys.readouterr().out.strip() == str(compare_revisions(log, 2, 21).table("US")).strip()
    assert main(["log", place, "compare", "2"]) == 2
    assert "entries of two revisions" in capsys.readouterr().err
    assert main(["log", place, "compare", "2", "5"]) == 2
    said = capsys.readouterr().err
    assert "no revision that counts. Give the number of one: 2, 21, 36, 46" in said
    with pytest.raises(LogbookError, match="entry 7 is no revision"):
        compare_revisions(log, 7, 46)
    base = sw.read_machine("otter_fair")
    data = json.loads(report_files(base, day="2026-06-18", log=log, against=36)["data.json"])
    part = next(one for one in data["sections"] if one["title"].startswith("Compared with"))
    table = compare_revisions(log, 36, None, base).table()
    assert part["sheets"][0]["rows"] == [list(row) for row in table.cells()]
    assert part["words"] == str(table.caption).split("\n")
    assert main(["report", str(base.file), "--against", "36"]) == 2
    assert "give --log LOG" in capsys.readouterr().err

"""The pages `build log`, `field day` and `changes`, worked without a browser.

Truth: the log's own entries read back; the answers called directly; the words promised.
"""

import asyncio
import base64
import html
import math
import time
from datetime import UTC, datetime

import numpy as np
import pytest
from demo import demo_log
from scipy.interpolate import CubicSpline

import slingwright as sw
from slingwright.changing.file import change_of_line
from slingwright.changing.what_if import Change, what_if
from slingwright.learning.seen.video import read_video
from slingwright.logbook import Decision, LoadTrace, Logbook, Revision, Shot, VideoTrack
from slingwright.pages.changes.page import Changes, bounds_around
from slingwright.pages.field.page import FieldDay
from slingwright.pages.log.page import BuildLog, latest_html
from slingwright.pages.log.records import current_machine, machine_at, story_of
from slingwright.pages.parts.workbench import Workbench


@pytest.fixture
def log(tmp_path):
    with demo_log(tmp_path / "demo.log") as found:
        yield found


@pytest.fixture
def bench(tmp_path):
    return Workbench("otter_ford", folder=tmp_path)


def uploaded(name: str, content: bytes):
    """Give what a file upload hands over."""
    when = datetime(2031, 6, 14, tzinfo=UTC)
    head = {"name": name, "type": "", "size": len(content), "last_modified": when}
    return ({**head, "content": memoryview(content)},)


def fill(part, **values):
    for name, value in values.items():
        part.controls[name].value = value


def test_an_entry_of_every_kind_is_written(bench, log) -> None:
    """Truth: the entries read back from the log."""
    page = BuildLog(bench, log)
    before = len(log)
    fill(
        page.form,
        author="Wren",
        what="new cord",
        reason="the old is worn",
        who="Tam",
        hours="2.0",
        item="cord",
        amount="14.5",
        value="4.83",
        unit="m",
        sd="0.01",
        path="sling.length",
    )
    kinds = page.form.controls["kind"].options
    for kind in kinds:
        page.form.controls["kind"].value = kind
        fill(page.form, what="new cord", reason="the old is worn", item="cord")
        page.form.controls["write"].click()
        assert page.bench.status == f"{kind} written as entry {len(log)}"
    assert len(log) == before + len(kinds)
    assert {entry.kind for entry in log.entries()[before:]} == set(kinds)
    assert f"Entry {len(log)}" in page.diary.widget.value
    page.close()


def test_what_the_log_refuses_is_said_and_kept(bench, log) -> None:
    """Truth: an entry without a reason is refused; the form keeps what was typed."""
    page = BuildLog(bench, log)
    before = len(log)
    fill(page.form, what="longer arm", reason="")
    page.form.controls["write"].click()
    assert "it is empty, and must say something" in page.form.status.value
    assert 'role="alert"' in page.form.status.value
    assert page.form.controls["what"].value == "longer arm"
    assert len(log) == before


def test_typed_text_does_nothing_in_the_page(bench, log) -> None:
    """Truth: a tag stands as entities, in diary and in the status line."""
    log.append(Decision(what="<script>alert(1)</script>", reason="<img src=x onerror=y>"))
    page = BuildLog(bench, log)
    assert "<script>" not in page.diary.widget.value
    assert "&lt;script&gt;" in page.diary.widget.value
    page.form.say("<b>x</b>")
    assert "&lt;b&gt;x&lt;/b&gt;" in page.form.status.value
    assert page.revisions.status.value == '<p role="status"></p>'


def test_only_the_fields_of_the_kind_are_shown(bench, log) -> None:
    """Truth: what a person needs for each kind, by the record's own fields."""
    form = BuildLog(bench, log).form
    wanted = {
        "decision": {"what", "reason"},
        "hours": {"who", "hours", "what"},
        "cost": {"item", "amount", "currency"},
        "incident": {"what", "severity", "done"},
    }
    for kind, names in wanted.items():
        form.controls["kind"].value = kind
        shown = {n for n, one in form.controls.items() if one.layout.display != "none"}
        always = {"author", "kind", "note", "write", "entry", "correct", "strike"}
        assert shown == names | always, kind


def test_a_photo_is_kept_and_shown_whatever_its_name(bench, log) -> None:
    """Truth: the entry and the copy beside the log; a picture of one pixel; a text is refused."""
    page = BuildLog(bench, log)
    pixel = base64.b64decode(
        "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJg"
        "gg=="
    )
    page.photos.controls["caption"].value = "<b>the box</b>"
    page.photos.controls["photo"].value = uploaded("../../<img onerror=x>.png", pixel)
    assert log.entries()[-1].kind == "photo"
    assert log.verify().whole
    text = page.diary.widget.value
    assert "data:image/png;base64," in text and "<b>the box" not in text
    before = len(log)
    page.photos.controls["photo"].value = uploaded("a.png", b"<script>")
    assert len(log) == before and "picture" in page.photos.status.value


def test_the_diary_shows_the_last_entries(log) -> None:
    """Truth: entries counted; those left out are told."""
    text = latest_html(log, 5)
    assert text.count("<article") == 5
    assert f"{len(log) - 5} earlier entries" in text


def test_a_revision_is_kept_with_its_numbers_and_taken_back(bench, log) -> None:
    """Truth: the revision in the log; the throw of its machine; the bench as before."""
    page = BuildLog(bench, log)
    page.bench.change({"sling.length": "5.1 m"})
    page.revisions.controls["save"].click()
    assert "it is empty" in page.bench.status
    fill(page.revisions, note="longer sling", author="Wren")
    page.revisions.controls["save"].click()
    last = log.latest_revision()
    assert isinstance(last.record, Revision)
    assert last.record.values["sling.length"] == 5.1
    told = last.record.calculated["range [m]"]
    assert told == pytest.approx(sw.throw(page.bench.machine).range, abs=0.006)
    page.bench.change({"sling.length": "4.4 m"})
    page.revisions.controls["take"].click()
    assert page.bench.machine.number("sling.length") == 5.1


def test_a_revision_gives_its_machine_back(log) -> None:
    """Truth: the dials that were saved; what was derived follows a later change again."""
    base = sw.read_machine(sw.data_folder() / "otter_ford.toml")
    now = current_machine(log, base)
    assert now.number("release.angle") == pytest.approx(
        base.change({"release.angle": "14 deg"}).number("release.angle")
    )
    assert "counterweight.inertia" in now.derived
    changed = base.change({"counterweight.mass": 700.0})
    again = machine_at(base, {p: v for p, v in changed.values.items() if v is not None})
    assert again.values == changed.values


def test_a_shot_is_written_in_few_touches(bench, log) -> None:
    """Truth: the shot read back; the form empty for the next, load and author kept."""
    page = FieldDay(bench, log)
    fill(
        page.form,
        range="101.5",
        drift="-1.2",
        release_seen="late",
        author="Isolde",
        settings="sling.length=4.9 m; release.angle=15 deg",
    )
    page.form.controls["load"].value = 4.0
    page.form.controls["write"].click()
    shot = log.entries()[-1].record
    assert isinstance(shot, Shot)
    assert (shot.load, shot.range, shot.drift, shot.release_seen) == (4.0, 101.5, -1.2, "late")
    assert shot.time_of_flight is None
    assert shot.settings["sling.length"] == 4.9
    assert page.form.controls["range"].value == ""
    assert page.form.controls["load"].value == 4.0
    assert page.form.controls["author"].value == "Isolde"


def test_a_shot_is_corrected_and_struck_on_the_page(bench, log) -> None:
    """Truth: the log's own entries: a correction stands in place, a struck shot counts no more."""
    page = FieldDay(bench, log)
    fill(page.form, range="101.5", settings="sling.length=4.9 m; release.angle=15 deg", note="a")
    page.form.controls["write"].click()
    number = log.entries()[-1].number
    fill(page.form, entry=str(number))
    page.form.controls["correct"].click()
    assert page.form.controls["range"].value == "101.5"
    fill(page.form, range="110.5", note="read wrongly")
    page.form.controls["write"].click()
    last = log.entries()[-1]
    assert last.corrects == number and last.record.range == 110.5
    assert last.record.settings["sling.length"] == 4.9
    assert math.isclose(last.record.settings["release.angle"], math.radians(15.0))
    fill(page.form, entry=str(last.number), note="")
    page.form.controls["strike"].click()
    assert "say why" in page.bench.status
    fill(page.form, note="it struck the trough")
    page.form.controls["strike"].click()
    assert not [one for one in log.current("shot") if one.number in (number, last.number)]
    fill(page.form, entry=str(number))
    page.form.controls["strike"].click()
    assert "no shot that counts" in page.bench.status


def test_an_empty_shot_is_refused_and_the_form_kept(bench, log) -> None:
    """Truth: nothing is seen of it, so that nothing is written; the note stays."""
    page, before = FieldDay(bench, log), len(log)
    fill(page.form, note="windy")
    page.form.controls["write"].click()
    assert len(log) == before and "nothing was seen of it" in page.bench.status
    assert page.form.controls["note"].value == "windy"


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("range", "far", "not a number"),
        ("range", "1,015", "write 1.015 or 1015"),
        ("range", "99999", "2000"),
        ("settings", "sling.length", "no value"),
        ("settings", "sling.lenght=4 m", "did you mean sling.length"),
        ("settings", "sling.length=4 kg", "sling.length"),
    ],
)
def test_a_shot_that_cannot_be_is_refused_in_words(bench, log, name, text, told) -> None:
    """Truth: the status line says what and why; nothing is written."""
    page, before = FieldDay(bench, log), len(log)
    page.form.controls[name].value = text
    page.form.controls["write"].click()
    assert told in page.bench.status
    assert len(log) == before
    assert page.form.controls[name].value == text


def test_learning_shows_its_numbers(bench, log) -> None:
    """Truth: the table of the learned numbers and the next shot's interval."""
    page = FieldDay(bench, log)
    page.told.controls["learn"].click()
    assert page.bench.status == "learned from 14 shots"
    assert "Next shot as the machine stands" in page.told.words.value
    assert page.told.words.value.count("<tr>") == 10
    assert page.told.learned is not None


def test_learning_from_an_empty_log_is_refused_in_words(bench, tmp_path) -> None:
    """Truth: no shot, no numbers, a word on what to do."""
    with Logbook.create(tmp_path / "new.log", machine="new") as empty:
        page = FieldDay(bench, empty)
        page.told.controls["learn"].click()
        assert "no shot has a measurement" in page.bench.status


def test_changes_are_weighed_and_one_is_kept(bench, log) -> None:
    """Truth: the same changes weighed directly; the revision in the log; the bench changed."""
    page = Changes(bench, log)
    weigher = page.weigher
    weigher.controls["keep"].click()
    assert "press Weigh" in page.bench.status
    weigher.propose(
        [
            change_of_line("heavier fill: counterweight.mass=700 kg"),
            change_of_line("prong: release.angle=18 deg; sling.mass=0.6 kg; cost=12.5; hours=2"),
        ]
    )
    weigher.controls["weigh"].click()
    told = what_if(page.bench.machine, weigher.proposed())
    assert [s.range for s in weigher.found.states] == [s.range for s in told.states]
    assert bytes(weigher.picture.value[:4]) == b"\x89PNG"
    assert "heavier fill" in weigher.answer.value
    assert weigher.found.together.cost == 12.5 and weigher.found.together.hours == 2.0
    told = weigher.found.needed_before("prong")
    assert "may be made" in weigher.answer.value and told in weigher.answer.value
    weigher.controls["which"].value = "prong"
    weigher.controls["reason"].value = "it gains most"
    weigher.controls["keep"].click()
    entry = log.latest_revision()
    assert entry.note == "prong: it gains most (2 h, cost 12.5)"
    assert entry.record.values["sling.mass"] == 0.6
    assert page.bench.machine.number("sling.mass") == 0.6
    assert entry.record.values["release.angle"] == page.bench.machine["release.angle"]
    assert "kept as entry" in page.bench.status


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({}, "no changes"),
        ({"name": "heavier"}, "it changes nothing"),
        ({"name": "a", "dials": "sling.length"}, "has no value; write NAME"),
        ({"name": "a", "dials": "sling.lenght=4 m"}, "did you mean"),
        ({"name": "a", "dials": "sling.length=4 m", "cost": "dear"}, "cost 'dear' is no number"),
        ({"name": "a", "dials": "sling.length=4 m", "hours": "-2"}, "hours -2"),
    ],
)
def test_rows_that_are_no_changes_are_refused(bench, log, fields, told) -> None:
    """Truth: the status line says how to write one."""
    page = Changes(bench, log)
    page.weigher.propose([change_of_line("x: sling.length=5 m")])
    for name, field in page.weigher.rows[0].fields.items():
        field.value = fields.get(name, "")
    page.weigher.controls["weigh"].click()
    assert told in page.bench.status
    assert told in html.unescape(page.weigher.status.value)


def test_a_change_is_added_by_its_dial_and_taken_away(bench, log) -> None:
    """Truth: the rows read back; a dial without a value is refused with what it is now."""
    page = Changes(bench, log)
    weigher, before = page.weigher, page.weigher.proposed()
    label = next(one for one in weigher.controls["dial"].options if "(sling.length)" in one)
    weigher.controls["dial"].value = label
    weigher.controls["add"].click()
    assert "now 4.8 m" in bench.status
    weigher.controls["value"].value = "5.1 m"
    weigher.controls["add"].click()
    assert dict(weigher.proposed()[-1].dials) == {"sling.length": "5.1 m"}
    weigher.rows[-1].drop.click()
    assert weigher.proposed() == before


def test_changes_are_saved_and_opened_again(bench, log) -> None:
    """Truth: the same changes; a file there is left as it was; a path is no name."""
    page = Changes(bench, log)
    weigher, before = page.weigher, page.weigher.proposed()
    weigher.controls["file"].value = "../up"
    weigher.controls["save"].click()
    assert "cannot name a file" in bench.status
    weigher.controls["file"].value = "summer"
    weigher.controls["save"].click()
    path = bench.folder / "changes" / "summer.toml"
    text = path.read_bytes()
    weigher.controls["save"].click()
    assert "left as it was" in bench.status and path.read_bytes() == text
    weigher.propose([])
    weigher.controls["open"].value = uploaded("summer.toml", text)
    assert weigher.proposed() == before
    weigher.controls["open"].value = uploaded("<b>", b"= no")
    assert "this is no TOML" in bench.status and weigher.proposed() == before


def test_the_next_trial_is_advised(bench, log) -> None:
    """Truth: a sentence, within the bounds; a target that is no number is refused."""
    page = Changes(bench, log)
    page.adviser.controls["target"].value = "near"
    page.adviser.controls["advise"].click()
    assert "is not a number" in page.bench.status
    page.adviser.controls["target"].value = "90"
    page.adviser.controls["advise"].click()
    assert page.bench.status == "advised"
    best = page.adviser.found.best
    for bound in bounds_around(bench, ("sling.length", "release.angle")):
        assert bound.low - 1e-9 <= best.settings[bound.path] <= bound.high + 1e-9
    assert best.range.low < 90.0 < best.range.high
    for name in page.adviser.controls:
        if name.startswith("vary "):
            page.adviser.controls[name].value = False
    page.adviser.controls["advise"].click()
    assert "one to three" in page.bench.status


def test_search_finds_and_puts_on_the_bench(bench, log) -> None:
    """Truth: the bench has the values found and Undo takes them back."""
    page, before = Changes(bench, log), bench.machine
    page.searcher.controls["take"].click()
    assert "press Search" in bench.status
    page.searcher.controls["stock"].value = "long"
    page.searcher.controls["search"].click()
    assert "Timber in stock: 'long' is not a number" in bench.status
    page.searcher.controls["stock"].value = "6.0 7.5"
    page.searcher.controls["search"].click()
    assert bench.status == "search done"
    page.searcher.controls["take"].click()
    values = page.searcher.found.values
    assert bench.machine.number("sling.length") == values["sling.length"]
    bench.undo()
    assert bench.machine == before


def test_a_little_more_is_told(bench, log) -> None:
    """Truth: a row for each dial that has a slope, in the units that are on."""
    page = Changes(bench, log)
    page.more.controls["look"].click()
    assert "Counterweight mass, 1 kg" in page.more.answer.value
    bench.measure("US")
    page.more.controls["look"].click()
    assert "lbf" in page.more.answer.value
    page.close()


def test_limits_are_read_in_the_units_that_are_on(bench, log) -> None:
    """Truth: 100 ft is 30.48 m, 1,000 lbf is 4,448.22 N (NIST SP 811); another unit is read."""
    page = Changes(bench, log)
    bench.measure("US")
    assert page.adviser.controls["nearest"].description == "Range at least [ft]"
    assert page.adviser.controls["crank"].description == "Crank at most [lbf]"
    page.adviser.controls["nearest"].value = "100"
    page.adviser.controls["axle"].value = "1000"
    page.adviser.controls["height"].value = "9.5 m"
    page.adviser.controls["stock"].value = "20 25"
    limits = page.adviser.limits()
    assert limits.nearest == pytest.approx(30.48)
    assert limits.axle_load == pytest.approx(4448.22, rel=1e-5)
    assert limits.height == 9.5 and limits.stock == pytest.approx((6.096, 7.62))
    bench.measure("metric")
    page.adviser.controls["crank"].value = "250"
    page.adviser.controls["axle"].value = "20"
    assert page.adviser.controls["crank"].description == "Crank at most [N]"
    limits = page.adviser.limits()
    assert (limits.crank_force, limits.axle_load) == (250.0, 20e3)
    bench.measure("US")
    form = FieldDay(bench, log).form
    form.controls["range"].value = "100"
    assert form.record().range == pytest.approx(30.48)
    page.close()


def test_the_kernel_goes_on_answering_while_work_is_done_and_stop_ends_it(bench, log) -> None:
    """Truth: turns of the event loop counted while a search runs; Stop ends it, nothing changed."""
    page = Changes(bench, log)
    part = page.searcher

    async def worked() -> tuple[int, float, list[str]]:
        turns, longest, said = 0, 0.0, []
        part.controls["goal"].value = "accuracy"
        part.search()
        assert part.work.going and not part.controls["stop"].disabled
        part.search()
        said.append(bench.status)
        begun = last = time.monotonic()
        while part.work.going and time.monotonic() < begun + 60.0:
            await asyncio.sleep(0.005)
            now = time.monotonic()
            turns, longest, last = turns + 1, max(longest, now - last), now
            if turns == 60:
                said.append(bench.status)
                part.controls["stop"].click()
                said.append(bench.status)
        return turns, longest, [*said, bench.status]

    before = bench.machine
    turns, longest, said = asyncio.run(worked())
    assert turns >= 60 and longest < 0.5
    assert "press Stop first" in said[0]
    assert "generation" in said[1] or "press Stop" in said[1]
    assert said[2].startswith("stopping") and "stopped before" in said[3]
    assert part.found is None and bench.machine == before
    assert part.controls["stop"].disabled
    page.close()


def test_the_trade_off_grows_live(bench, log) -> None:
    """Truth: pictures counted as they come, each another one."""
    page = Changes(bench, log)
    part, seen = page.searcher, []
    part.picture.observe(lambda change: seen.append((len(part.traced), change["new"])), "value")

    async def worked() -> None:
        part.trade()
        while part.work.going:
            await asyncio.sleep(0.01)

    asyncio.run(worked())
    counts = [count for count, _ in seen]
    assert counts[0] == 1 and max(counts) == 7 and len({picture for _, picture in seen}) >= 5
    assert bench.status == "7 points of the trade-off"


def test_work_that_fails_beside_the_page_is_said(bench, log, tmp_path) -> None:
    """Truth: the words of the error, in the part's own line, from the thread."""
    with Logbook.create(tmp_path / "new.log", machine="new") as empty:
        page = FieldDay(bench, empty)

        async def worked() -> None:
            page.told.learn()
            while page.told.work.going:
                await asyncio.sleep(0.005)

        asyncio.run(worked())
        assert "no shot has a measurement" in page.told.status.value
        assert 'role="alert"' in page.told.status.value
        assert page.form.status.value == '<p role="status"></p>'
        page.close()


TRACE = b"clock [s];axle [kN]\n" + b"".join(b"%d;%d,5\n" % (i, 9 + (i == 5) * 6) for i in range(12))


def test_a_load_trace_is_put_to_a_shot(bench, log) -> None:
    """Truth: a made-up file with a peak held for two samples; the record read back, in newtons."""
    page = FieldDay(bench, log)
    files = page.files
    files.controls["write_trace"].click()
    assert "no file is open" in bench.status
    text = TRACE + b"12;15,5\n13;15,5\n14;15,5\n15;15,5\n16;15,5\n17;15,5\n"
    files.controls["trace"].value = uploaded("cell <b>.csv", text)
    assert "cell &lt;b&gt;.csv: 18 rows with a semicolon" in files.status.value
    assert (files.controls["time_unit"].value, files.controls["force_unit"].value) == ("s", "kN")
    fill(files, time_unit="choose", channel="axle", shot=30)
    files.controls["write_trace"].click()
    assert "unit of time is not said" in bench.status
    fill(files, time_unit="s")
    files.controls["write_trace"].click()
    record = log.entries()[-1].record
    assert isinstance(record, LoadTrace)
    assert (record.shot, record.unit, max(record.value)) == (30, "N", 15_500.0)
    story = story_of(log, bench.machine)
    shot = next(one for one in story.shots if one.label == "shot 30")
    assert shot.seen["peak_axle_load"][0] == 15_500.0


def test_the_arm_s_angle_beside_a_load_trace_is_kept_with_it(bench, log) -> None:
    """Truth: a made-up file; both series read back at the same times, the angle in radians."""
    files = FieldDay(bench, log).files
    head = b"clock [s];axle [kN];arm elevation [deg]\n"
    rows = b"".join(b"%d;%d,5;%d\n" % (i, 9 + i % 3, 90 - 5 * i) for i in range(18))
    files.controls["trace"].value = uploaded("far.csv", head + rows)
    assert "arm from level in" in files.status.value
    fill(files, channel="axle", shot=30)
    files.controls["write_trace"].click()
    force, angle = (entry.record for entry in log.entries()[-2:])
    assert (force.unit, angle.unit, angle.shot) == ("N", "rad", 30)
    assert angle.channel == "arm from level, beside the load cell" and angle.time == force.time
    assert angle.value == pytest.approx(np.radians([90 - 5 * i for i in range(18)]))


def video_of(machine, y_down=True):
    """A film of the kit's own throw at 240 frames a second: 100 pixels a metre, clicks off by 1."""
    thrown, rows = sw.throw(machine), []
    chance = np.random.default_rng(3)
    let_go = thrown.release.time
    times = np.arange(let_go - 0.12, let_go + 0.5, 1 / 240)
    swing = np.unique(thrown.time, return_index=True)[1]
    free = CubicSpline(thrown.flight_time, thrown.flight_path)
    for point, places in (("ball", thrown.ball), ("tip", thrown.tip)):
        held = CubicSpline(thrown.time[swing], places[swing])
        before = swing[thrown.time[swing] <= let_go + 1e-9]
        if point == "ball":
            held = CubicSpline(thrown.time[before], places[before])
        for t in times:
            x, y = free(t) if point == "ball" and t > let_go else held(t)
            u, v = 2000.0 + 100.0 * x, 3000.0 - 100.0 * y
            rows.append((t, u + chance.normal(), v + chance.normal(), point))
    lines = [f"{t:.5f},{u:.3f},{v:.3f},{point}" for t, u, v, point in rows]
    return thrown, "\n".join(["time,x,y,point", *lines]).encode()


def test_a_video_is_read_and_put_to_a_shot(bench, log) -> None:
    """Truth: release of the kit's own throw, from points clicked with an error of one pixel."""
    page = FieldDay(bench, log)
    files = page.files
    thrown, content = video_of(bench.machine)
    files.controls["video"].value = uploaded("film.csv", content)
    assert (files.controls["ball"].value, files.controls["tip"].value) == ("ball", "tip")
    fill(files, seen1="2000, 3000", known1="0, 0", seen2="2000, 2580", known2="0, four")
    files.controls["write_video"].click()
    assert "cannot be read" in bench.status
    fill(files, known2="0, 4.2", click_sd="1", shot=30)
    files.controls["write_video"].click()
    assert bench.status == f"video written as entry {len(log)}"
    record = log.entries()[-1].record
    assert isinstance(record, VideoTrack) and record.shot == 30
    found = read_video(record, bench.machine)
    for name in ("speed", "elevation"):
        one = getattr(found.release, name)
        wide = 2.0 * (one.high - one.low)
        assert abs(one.value - getattr(thrown.release, name)) < wide
    arm, sd = found.arm
    assert abs(arm - thrown.release.arm) < 6.0 * sd
    lag, sd = found.sling
    assert abs(lag - thrown.release.lag) < 8.0 * sd
    assert "give or take" in files.said.value
    shot = next(s for s in story_of(log, bench.machine).shots if s.label == "shot 30")
    assert shot.seen["release_speed"][0] == pytest.approx(found.release.speed.value)


def test_a_video_that_shows_no_release_is_refused_and_not_written(bench, log) -> None:
    """Truth: a projectile that lies still; the words of the refusal."""
    page = FieldDay(bench, log)
    still = "time,x,y\n" + "\n".join(f"{i / 100},{500 + i % 3},{400 + i % 2}" for i in range(60))
    page.files.controls["video"].value = uploaded("a.csv", still.encode())
    fill(page.files, seen1="0, 0", known1="0, 0", seen2="500, 0", known2="5, 0", click_sd="2")
    before = len(log)
    page.files.controls["write_video"].click()
    assert len(log) == before and bench.warn
    page.files.controls["video"].value = uploaded("b.csv", b"\xff\xfe<script>")
    assert bench.warn and "without time, x, y" in bench.status


def test_a_machine_file_changed_under_an_open_page_is_left_alone(log, tmp_path) -> None:
    """Truth: the bytes another hand wrote; the log holds the machine that the page showed."""
    path = tmp_path / "mine.toml"
    text = (sw.data_folder() / "otter_ford.toml").read_text("utf-8")
    path.write_text(text, encoding="utf-8")
    bench = Workbench(path, folder=tmp_path)
    page = BuildLog(bench, log)
    other = text.replace('length = "4.8 m"', 'length = "4.5 m"').encode()
    assert other != text.encode()
    path.write_bytes(other)
    bench.change({"sling.mass": "0.95 kg"})
    fill(page.revisions, note="heavier cord")
    page.revisions.controls["save"].click()
    assert log.latest_revision().record.values["sling.length"] == 4.8
    assert path.read_bytes() == other
    bench.attempt(lambda: bench.save("mine"))
    assert "left as it is" in bench.status and path.read_bytes() == other
    with pytest.raises(sw.MachineError, match="holds something else than was read from it"):
        sw.write_machine(bench.machine, path)
    assert path.read_bytes() == other


def test_a_page_starts_from_the_log_s_last_machine(log) -> None:
    """Truth: the dials of the last revision; a kept change then changes no other dial."""
    page = Changes("otter_ford", log)
    last = log.latest_revision().record
    assert page.bench.machine.values["release.angle"] == last.values["release.angle"]
    assert page.bench.opened.values["release.angle"] != last.values["release.angle"]
    assert "counterweight.inertia" in page.bench.machine.derived
    lines = [one.value for one in page.widget.children if hasattr(one, "value")]
    assert any("the log's last machine is on the bench" in html.unescape(one) for one in lines)
    page.weigher.propose([change_of_line("smaller drum: winch.drum=0.15 m")])
    page.weigher.controls["weigh"].click()
    page.weigher.controls["keep"].click()
    # The log is older than the bolts of the box, which the file sets.
    assert set(log.latest_revision().record.changed) == {"winch.drum", "counterweight.bolts"}
    page.bench.undo()
    page.bench.undo()
    assert page.bench.machine == page.bench.opened
    page.close()


def test_a_log_of_another_machine_is_said_and_not_taken_from(log) -> None:
    """Truth: the garden machine's own dials stay; the words name both."""
    page = Changes("garden", log)
    garden = sw.read_machine(sw.data_folder() / "garden.toml")
    assert page.bench.machine == garden and page.bench.warn
    lines = " ".join(one.value for one in page.widget.children if hasattr(one, "value"))
    assert "this is the log of Otter Ford" in lines and garden.name in lines
    page.close()


def test_a_day_is_planned_of_the_rows(bench, log) -> None:
    """Truth: what each row asks, by hand; words beside the button where a field cannot be read."""
    page = Changes(bench, log)
    page.weigher.propose(
        [
            Change(
                name="drum",
                dials={"winch.drum": "0.15 m"},
                cost=60.0,
                hours=5.0,
                people=2,
                stock={"oak plank": 2.0},
            ),
            Change(name="scale", dials={}, measures=("counterweight.mass",), hours=2.0),
        ]
    )
    fields = page.planner.controls
    assert [change.measures for change in page.weigher.proposed()][1] == ("counterweight.mass",)
    assert (page.weigher.proposed()[0].people, page.weigher.proposed()[0].stock["oak plank"]) == (
        2,
        2,
    )
    fields["people"].value, fields["stock"].value = "2", "2 oak plank; 3 sack of sand"
    fields["hours"].value, fields["money"].value, fields["what"].value = "8", "10", "doubt"
    fields["plan"].click()
    told = page.planner.answer.value
    assert "1. scale" in told and "takes 60 money, 10 are there" in told
    fields["must"].value = "drum"
    fields["plan"].click()
    assert "must have drum" in page.planner.status.value
    fields["hours"].value = "many"
    fields["plan"].click()
    assert "many" in page.planner.status.value

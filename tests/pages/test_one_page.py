"""One page on one job, and two pages on one job: the same machine, nothing lost, nothing eaten.

Truth: the job's files, read anew; the same machine set on a page of its own.
"""

import time
from pathlib import Path

import pytest

import slingwright as sw
from slingwright.logbook.job import DEMO
from slingwright.pages.one.page import TABS, OnePage
from slingwright.pages.parts.keeping import REST, bench_of
from slingwright.pages.parts.toolbar import differences

pytestmark = pytest.mark.usefixtures("few_copies")


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch) -> Path:
    """Give a folder of jobs of this test alone."""
    monkeypatch.setenv("SLINGWRIGHT_LOGS", str(tmp_path / "jobs"))
    monkeypatch.delenv("SLINGWRIGHT_JOB", raising=False)
    return tmp_path / "jobs"


def two():
    """Give two benches on one job, and what looks for them."""
    one, other = bench_of(sw.open_job("fair")), bench_of(sw.open_job("fair"))
    return one, other, one.keeping.look, other.keeping.look


def rest() -> None:
    """Wait until the dials rest."""
    time.sleep(REST + 0.02)


def test_what_one_page_sets_the_other_shows() -> None:
    one, other, look, look_there = two()
    one.change({"sling.length": 4.5})
    look()
    assert sw.open_job("fair").machine()["sling.length"] != 4.5, "the dials do not rest yet"
    rest()
    look()
    assert sw.open_job("fair").machine()["sling.length"] == 4.5
    look_there()
    assert other.machine["sling.length"] == 4.5 and "another page" in other.status
    other.undo()
    rest()
    look_there(), look()
    assert one.machine["sling.length"] != 4.5


def test_two_hands_at_once_are_told_and_a_person_chooses() -> None:
    one, other, look, look_there = two()
    one.change({"sling.length": 4.5})
    other.change({"sling.length": 5.5})
    rest()
    look(), look_there(), rest(), look_there()
    assert other.warn and "Nothing is written over" in other.status
    assert sw.open_job("fair").machine()["sling.length"] == 4.5
    assert other.machine["sling.length"] == 5.5, "what was set stays on the page"
    other.keeping.take_theirs()
    assert other.machine["sling.length"] == 4.5 and not other.keeping.clash
    other.undo()
    rest(), look_there(), look()
    assert one.machine["sling.length"] == 5.5
    one.change({"sling.length": 4.0})
    other.change({"sling.length": 6.0})
    rest(), look(), look_there()
    other.keeping.write_mine()
    look()
    assert one.machine["sling.length"] == 6.0 == sw.open_job("fair").machine()["sling.length"]


def test_a_file_broken_by_hand_is_told_and_taken_once_it_is_mended() -> None:
    one, _, look, _ = two()
    job = one.keeping.job
    good = job.machine_file.read_text("utf-8")
    job.machine_file.write_text("[sling\n", "utf-8")
    look()
    assert "cannot be read" in one.status and one.warn
    one.change({"sling.length": 4.5})
    rest(), look()
    assert job.machine_file.read_text("utf-8") == "[sling\n"
    job.machine_file.write_text(good, "utf-8")
    look(), look()
    assert job.machine()["sling.length"] == 4.5, "what was set waited, and is written now"
    assert not one.keeping.clash
    job.machine_file.unlink()
    look()
    assert "is gone" in one.status


def test_the_demo_is_a_job_of_ones_own_after_the_first_change(home) -> None:
    page = OnePage()
    words = page.tools.parts[-1].words
    assert "demo" in words.value and not home.exists()
    page.dials.controls["sling.length"].set(4.5)
    rest()
    page.bench.keeping.look()
    assert "from now on this is a job of yours" in page.bench.status
    assert str(home / DEMO) in words.value
    assert sw.open_job().machine()["sling.length"] == 4.5
    page.close()


def test_every_tab_opens_and_only_the_open_one_works() -> None:
    """Truth: a page of its own on the same machine."""
    page = OnePage("fair")
    for name in TABS:
        page.open(name)
    assert list(page.pages) == list(TABS)
    winding = page.pages["Winding"]
    before = winding.readouts.widget.state["revision"]
    page.bench.change({"counterweight.mass": 700.0})
    assert winding.readouts.widget.state["revision"] == before
    assert page.readouts.widget.state["revision"] == page.bench.revision
    page.open("Winding")
    alone = sw.panels.WindingBench(page.bench.machine).readouts.widget.state
    state = page.pages["Winding"].readouts.widget.state
    assert [row["text"] for row in state["rows"]] == [row["text"] for row in alone["rows"]]
    assert len(page.readouts.widget.state["rows"]) == 6
    front = [row["path"] for row in page.dials.rows if row["front"]]
    assert "winch.gear" in front and "axle.diameter" not in front
    assert len(page.dials.rows) == len({row["path"] for row in page.dials.rows})
    page.close()
    assert not page.bench._listeners[1:], "only what keeps the job goes on"


def test_an_entry_of_another_page_is_shown_and_the_log_follows_the_job() -> None:
    page = OnePage("fair")
    diary = page.open("Log").diary
    sw.open_job("fair").log().append(sw.Decision(what="tar the sling", reason="rain"))
    page.bench.keeping.look()
    assert "tar the sling" in diary.widget.value
    jobs, name = (page.tools.controls[key] for key in ("job", "new job"))
    jobs.value = "new, from garden"
    assert "name the new job" in page.bench.status
    name.value = "spring"
    jobs.value = "new, from garden"
    assert page.bench.machine.name == "spring" and not page.bench.can_undo
    assert "tar the sling" not in page.pages["Log"].diary.widget.value
    assert page.pages["Log"].log.path == sw.open_job("spring").log_file
    page.bench.change({"sling.length": 0.9})
    jobs.value = next(path for words, path in jobs.options if words == "fair")
    assert sw.open_job("spring").machine()["sling.length"] == 0.9, "written before it is left"
    assert "tar the sling" in page.pages["Log"].diary.widget.value
    page.close()


def test_the_report_is_kept_in_the_job() -> None:
    """Truth: the first bytes of a PDF (ISO 32000)."""
    page = OnePage("fair")
    tab = page.open("Report")
    page.tools.controls["report"].click()
    kept = list((page.bench.keeping.job.folder / "reports").glob("*.pdf"))
    assert len(kept) == 1 and kept[0].read_bytes().startswith(b"%PDF-")
    assert page.tools.parts[3].link.value.count("download=") == 2
    assert kept[0].with_suffix(".html").read_bytes().startswith(b"<!DOCTYPE html>")
    tab.refresh()
    assert kept[0].name in tab.widget.value
    asked = page.tools.controls
    asked["client"].value, asked["author"].value = "The fair's committee", "Wren"
    asked["report"].click()
    second = kept[0].with_name(kept[0].name.replace(".pdf", " 2.html"))
    assert "The fair&#x27;s committee" in second.read_text(encoding="utf-8")
    page.close()
    again = OnePage("fair")
    kept = [again.tools.controls[key].value for key in ("client", "author")]
    assert kept == ["The fair's committee", "Wren"]
    again.close()


def test_keep_says_what_differs() -> None:
    """Truth: what was set, and nothing that follows from it."""
    page = OnePage("fair")
    compare = page.tools.parts[1]
    page.bench.keep()
    assert "nothing differs" in compare.words.value
    page.bench.change({"sling.length": 4.5, "counterweight.mass": 700.0})
    assert "Sling length 4.8 m → 4.5 m" in compare.words.value
    kept = page.bench.kept.machine
    assert len(differences(kept, page.bench.machine, "metric")) == 2
    assert "15.75 ft" in " ".join(differences(kept, page.bench.machine, "US"))
    page.close()


def test_an_error_stands_beside_its_field_and_nothing_typed_is_lost() -> None:
    """Truth: the place in the form, and the fields as they were typed."""
    page = OnePage("fair")
    form = page.open("Field day").form
    fields = form.controls
    fields["range"].value, fields["note"].value = "1,015", "gusts"
    fields["write"].click()
    inside = list(form.widget.children)
    fault = inside[inside.index(fields["range"]) + 1]
    assert "1,015; write 1.015 or 1015" in fault.value and "sw-bad" in fields["range"]._dom_classes
    assert (fields["range"].value, fields["note"].value) == ("1,015", "gusts")
    assert len(page.bench.keeping.log) == 0
    fields["range"].value = "101.5"
    fields["write"].click()
    assert fault not in form.widget.children and "sw-bad" not in fields["range"]._dom_classes
    assert page.bench.keeping.log.entries()[-1].record.range == 101.5
    fields["entry"].value = "9"
    fields["correct"].click()
    row = next(
        one for one in form.widget.children if fields["entry"] in getattr(one, "children", ())
    )
    assert "is no shot that counts" in row.children[1].value
    page.close()


def test_the_kit_s_own_pages_are_on_the_job_that_was_named_as_they_were_started(
    monkeypatch,
) -> None:
    garden = sw.open_job("garden")
    assert bench_of(DEMO).keeping is None, "nothing was named"
    monkeypatch.setenv("SLINGWRIGHT_JOB", "garden")
    page = sw.panels.FieldDay(DEMO, DEMO)
    assert page.bench.machine == garden.machine() and page.bench.keeping.log is page.log
    assert bench_of("hinged_pair").keeping is None, "another machine is another machine"
    page.close()

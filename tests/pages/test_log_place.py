"""Where a page's log lies: shown, chosen, kept over reloads, and seen by the second viewer.

Truth: the entries themselves, read by another object and by another process.
"""

import html
import subprocess
import sys
from pathlib import Path

import pytest

import slingwright as sw
from slingwright.logbook import Decision, LogbookError
from slingwright.pages.changes.page import Changes
from slingwright.pages.field.page import FieldDay
from slingwright.pages.log.page import BuildLog

READ = "import slingwright as sw; log = sw.open_log({name!r}); print(len(log), log.path)"


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setenv("SLINGWRIGHT_LOGS", str(tmp_path / "logs"))
    return tmp_path / "logs"


def shown(page) -> str:
    """Give what the line on top says."""
    return html.unescape(page.place.words.value)


@pytest.mark.parametrize("kind", [BuildLog, FieldDay, Changes])
def test_a_page_says_where_its_log_lies(folder, kind) -> None:
    """Truth: the file; the diary that comes with the kit is copied, and never written."""
    supplied = (sw.data_folder() / "otter_ford_log.jsonl").read_bytes()
    page = kind("otter_ford", "otter_ford")
    path = folder / "otter_ford.log"
    assert path.is_file() and str(path) in shown(page) and "36 entries" in shown(page)
    page.log.append(Decision(what="Grease the axle.", reason="It squeaks."))
    page.close()
    assert (sw.data_folder() / "otter_ford_log.jsonl").read_bytes() == supplied


def test_a_shot_is_there_tomorrow_and_for_others(folder) -> None:
    """Truth: another page and another process read the shot that the first wrote."""
    first, second = FieldDay("otter_ford", "otter_ford"), BuildLog("otter_ford", "otter_ford")
    first.form.controls["range"].value = "101.5"
    first.form.controls["write"].click()
    assert "37 entries" in shown(first) and "36 entries" in shown(second)
    second.place.again.click()
    assert "37 entries" in shown(second) and "101.5 m" in second.diary.widget.value
    done = subprocess.run(
        [sys.executable, "-c", READ.format(name="otter_ford")], capture_output=True, text=True
    )
    assert done.stdout.split() == ["37", str(folder / "otter_ford.log")], done.stderr
    third = FieldDay("otter_ford", "otter_ford")
    assert third.log.entries()[-1].record.range == 101.5
    for page in (first, second, third):
        page.close()


def test_another_log_is_opened_or_begun_on_the_page(folder, tmp_path) -> None:
    """Truth: the entries of each log; what cannot be opened leaves the page as it is."""
    page = BuildLog("otter_ford", "otter_ford")
    page.place.path.value = str(tmp_path / "fair.log")
    page.place.open.click()
    assert "0 entries" in shown(page) and page.log.path == tmp_path / "fair.log"
    page.form.controls["what"].value = "A new log"
    assert page.form.log is page.log and page.diary.log is page.log
    (tmp_path / "no.log").write_text("nothing of the kind")
    page.place.path.value = str(tmp_path / "no.log")
    page.place.open.click()
    assert page.log.path == tmp_path / "fair.log" and page.bench.warn
    page.close()


TOGETHER = """
import os, sys
import slingwright as sw
from slingwright.logbook import Decision
sw.open_log
waits, goes = os.pipe()
for number in range(4):
    if not os.fork():
        os.close(goes)
        os.read(waits, 1)  # until the other end is closed
        exec(sys.argv[1])
        sys.stdout.flush()
        os._exit(0)
os.close(goes)
sys.exit(any(os.wait()[1] for _ in range(4)))
"""


def at_once(code: str) -> list[str]:
    """Run the code in four processes that begin at the same moment; give the lines they print."""
    done = subprocess.run(
        [sys.executable, "-c", TOGETHER, code], capture_output=True, text=True, timeout=60
    )
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout.splitlines()


def test_two_pages_that_open_the_diary_at_once_share_one(folder) -> None:
    """Truth: 36 entries and one file, however many copy it at the same moment."""
    said = at_once('log = sw.open_log("otter_ford"); print(len(log), log.path)')
    assert said == [f"36 {folder / 'otter_ford.log'}"] * 4
    assert [one.name for one in folder.iterdir()] == ["otter_ford.log"]


BEGIN = """
log = sw.open_log("fair", "Otter Ford")
log.append(Decision(what=f"From {number}", reason="first words"))
print("written")
"""


def test_two_pages_that_begin_a_log_at_once_lose_nothing(folder) -> None:
    """Truth: every process that was told its entry is written finds it in the one file."""
    assert at_once(BEGIN) == ["written"] * 4
    told = {entry.record.what for entry in sw.open_log("fair").entries()}
    assert told == {f"From {one}" for one in range(4)}


def test_the_second_to_begin_a_log_opens_what_the_first_began(folder, monkeypatch) -> None:
    """Truth: the first one's entry; between the look and the making, another was first."""
    folder.mkdir()
    first = sw.open_log("fair", "Otter Ford")
    first.append(Decision(what="Grease the axle.", reason="It squeaks."))
    looks = iter([False])
    real = Path.exists
    monkeypatch.setattr(
        Path, "exists", lambda path: next(looks, True) if path == first.path else real(path)
    )
    second = sw.open_log("fair", "Otter Ford")
    assert [entry.record.what for entry in second.entries()] == ["Grease the axle."]


@pytest.mark.parametrize("typed", ["fair", "fair.log"])
def test_a_name_typed_without_a_folder_lies_in_the_folder_of_logs(
    folder, tmp_path, monkeypatch, typed
) -> None:
    """Truth: the file's place; the notebook's own folder stays as it is."""
    (tmp_path / "elsewhere").mkdir()
    monkeypatch.chdir(tmp_path / "elsewhere")
    page = BuildLog("otter_ford", "otter_ford")
    page.place.path.value = typed
    page.place.open.click()
    assert page.log.path == folder / "fair.log" and str(folder / "fair.log") in shown(page)
    assert not any((tmp_path / "elsewhere").iterdir())
    page.close()


def test_the_run_of_tests_has_logs_of_its_own() -> None:
    """Truth: the folder in which logs go, beside the documents of whoever runs this."""
    assert "slingwright-logs-" in str(sw.logs_folder())


def test_a_name_that_is_no_log_is_told(folder) -> None:
    """Truth: the file that is not there."""
    with pytest.raises(LogbookError, match=r"fair\.log"):
        sw.open_log("fair")
    assert len(sw.open_log("fair", "Otter Ford")) == 0

"""A job is one folder that many share: made once, never over others' files, nothing lost unseen.

Truth: the bytes of the files themselves; for writers at once, a count that every one adds to: what
is read, raised by one and written without a clash must all be in the end.
"""

import subprocess
import sys
from pathlib import Path

import pytest

import slingwright as sw
from slingwright.logbook.job import Job, JobClash, JobError, recent_jobs
from slingwright.machine.faults import MachineError

COUNT = """
import sys
import slingwright as sw
from slingwright.logbook.job import JobClash
job = sw.open_job(sys.argv[1])
for _ in range(12):
    while True:
        machine = job.machine()
        try:
            job.write(machine.change({"counterweight.mass": machine["counterweight.mass"] + 1.0}))
            break
        except JobClash:
            pass
"""


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch) -> Path:
    """Give a folder of jobs of this test alone."""
    monkeypatch.setenv("SLINGWRIGHT_LOGS", str(tmp_path / "jobs"))
    monkeypatch.delenv("SLINGWRIGHT_JOB", raising=False)
    return tmp_path / "jobs"


def test_the_demo_is_read_without_a_trace_and_copied_at_the_first_write(home) -> None:
    supplied = (sw.data_folder() / "otter_fair.toml").read_bytes()
    job = sw.open_job()
    log = job.log()
    told = [entry.record for entry in log.entries()]
    assert len(log) > 10 and job.machine() == sw.read_machine("otter_fair")
    assert not home.exists() and not job.begun
    log.append(sw.Decision(what="fill to the rim", reason="shots fall short"))
    assert job.folder == home / "otter_fair" and job.machine_file.read_bytes() == supplied
    again = sw.open_job()
    assert recent_jobs() == (job.folder,) and again.folder == job.folder
    assert [entry.record for entry in again.log().entries()][:-1] == told
    assert again.log().entries()[-1].record.what == "fill to the rim"
    assert (sw.data_folder() / "otter_fair.toml").read_bytes() == supplied
    assert again.log().verify().faults == ()


def test_a_dial_that_is_written_begins_the_demo_too(home) -> None:
    job = sw.open_job()
    other, log = sw.open_job(), job.log()
    heavy = job.machine().change({"counterweight.mass": "900 kg"})
    job.write(heavy)
    assert other.changed and other.machine() == heavy and not other.changed
    assert "900 kg" in job.machine_file.read_text("utf-8")
    count = len(log)  # a log that was open before the job was on the disk is the job's own now
    sw.open_job().log().append(sw.Decision(what="seen", reason="told"))
    assert len(log) == count + 1


def test_what_another_page_wrote_is_never_written_over(home) -> None:
    one, other = sw.open_job("fair"), sw.open_job("fair")
    first, second = one.machine(), other.machine()
    theirs = first.change({"sling.length": "4.4 m"})
    one.write(theirs)
    before = one.machine_file.read_bytes()
    with pytest.raises(JobClash, match="changed by another page"):
        other.write(second.change({"sling.length": "5 m"}))
    assert one.machine_file.read_bytes() == before and other.changed
    other.write(second.change({"sling.length": "5 m"}), over=True)
    assert one.changed and one.machine()["sling.length"] == 5.0


def test_a_file_that_is_touched_only_is_not_changed(home) -> None:
    job = sw.open_job("fair")
    job.machine_file.touch()
    assert not job.changed
    text = job.machine_file.read_text("utf-8")
    job.machine_file.write_text(text + "\n# looked at\n", "utf-8")
    assert job.changed
    job.write(job.machine().change({"counterweight.mass": "700 kg"}))
    assert "# looked at" in job.machine_file.read_text("utf-8")


def test_a_file_broken_by_hand_is_told_and_left(home) -> None:
    job = sw.open_job("fair")
    job.machine_file.write_text("[sling]\nlength = 3\n", "utf-8")
    mine = sw.read_machine("otter_fair")
    assert job.changed
    with pytest.raises(MachineError):
        job.machine()
    with pytest.raises(JobClash):
        job.write(mine)
    assert job.machine_file.read_text("utf-8") == "[sling]\nlength = 3\n"
    job.write(mine, over=True)
    assert job.machine() == mine


def test_a_job_is_made_from_a_supplied_machine_with_a_log_of_its_own(home, tmp_path) -> None:
    job = sw.open_job(tmp_path / "far" / "mine", like="garden")
    assert job.machine().name == "mine" and len(job.log()) == 0 and job.name == "mine"
    assert sw.open_job(str(tmp_path / "far" / "mine")).machine() == job.machine()
    assert recent_jobs() == (job.folder,)
    garden = sw.read_machine("garden")
    assert job.machine().values == garden.values and job.log().machine == "mine"
    assert "Nothing to play with in a crowd" in job.machine_file.read_text("utf-8")
    assert job.room("reports").is_dir()
    with pytest.raises(JobError, match="no folder"):
        job.room("../elsewhere")
    with pytest.raises(JobError, match="no supplied machine 'nessie'"):
        sw.open_job("other", like="nessie")


def test_another_machine_is_written_whole(home) -> None:
    job = sw.open_job("fair")
    garden = sw.read_machine("garden")
    job.write(garden)
    assert job.machine() == garden and sw.open_job("fair").machine() == garden


def test_no_job_is_made_among_other_files_or_in_the_kit(home, tmp_path) -> None:
    (tmp_path / "letters").mkdir()
    (tmp_path / "letters" / "aunt.txt").write_text("dear aunt")
    with pytest.raises(JobError, match="holds other files"):
        sw.open_job(tmp_path / "letters")
    with pytest.raises(JobError, match="kit's own folder"):
        sw.open_job(sw.data_folder() / "mine")
    assert not (sw.data_folder() / "mine").exists()
    (tmp_path / "file").write_text("")
    with pytest.raises(JobError, match="cannot be made"):
        sw.open_job(tmp_path / "file" / "under")


def test_the_named_job_and_then_the_last_one_is_opened(home, monkeypatch) -> None:
    sw.open_job("spring"), sw.open_job("autumn")
    assert sw.open_job().name == "autumn" and sw.open_job("spring").name == "spring"
    assert [path.name for path in recent_jobs()] == ["spring", "autumn"]
    monkeypatch.setenv("SLINGWRIGHT_JOB", "autumn")
    assert sw.open_job().name == "autumn"


def test_writers_at_once_lose_nothing(home) -> None:
    """Truth: see above."""
    job = sw.open_job("fair")
    start = job.machine().number("counterweight.mass")
    working = [subprocess.Popen([sys.executable, "-c", COUNT, str(job.folder)]) for _ in range(3)]
    assert [one.wait(timeout=120) for one in working] == [0, 0, 0]
    assert Job(job.folder).machine().number("counterweight.mass") == start + 36.0
    assert [path.name for path in job.folder.iterdir() if path.name.startswith(".")] == []

"""A job: one folder with the machine, the log and all that belongs to it, shared by every page.

`machine.toml` is the machine at hand, `build.log` the log with its photos beside it; traces, videos
and reports have folders of their own. Pages, commands and the field page open the same folder at
once: each sees what another wrote, and nothing that it has not seen is written over.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import secrets
import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from slingwright.logbook.faults import LogbookError
from slingwright.logbook.opening import connect, make_file, open_file, place_file
from slingwright.logbook.schema import migrate
from slingwright.logbook.shown.export import from_json_lines, lines_of
from slingwright.logbook.store import Logbook
from slingwright.machine.faults import MachineError
from slingwright.machine.file import machine_text, parse_machine, supplied_machines, write_machine
from slingwright.machine.machine import Machine
from slingwright.places import data_folder

DEMO = "otter_fair"
NAMED = "SLINGWRIGHT_JOB"  # variable of the environment: the job that pages are started on
"""The supplied machine, with its log, that is shown where nobody has a job yet."""
MACHINE, LOG, RECENT = "machine.toml", "build.log", ".recent"
MOST_RECENT = 12
ROOMS = ("traces", "videos", "reports")
"""Folders of a job for what is neither machine nor log."""


class JobError(LogbookError):
    """A job that cannot be opened, made or written; the message says the next step."""


class JobClash(JobError):
    """The machine of the job was changed by another page; nothing was written over."""


def logs_folder() -> Path:
    """Give the folder of the jobs and logs that are named without one, made if it is not there.

    `SLINGWRIGHT_LOGS` names it; else it is `slingwright` in the documents of whoever is at work.
    """
    folder = _home()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise LogbookError(
            f"the folder for logs, {folder}, cannot be made ({error.strerror}). Name another in "
            "SLINGWRIGHT_LOGS, or give the file of the log."
        ) from error
    return folder


def _home() -> Path:
    import platformdirs

    named = os.environ.get("SLINGWRIGHT_LOGS")
    return Path(named).expanduser() if named else platformdirs.user_documents_path() / "slingwright"


def recent_jobs() -> tuple[Path, ...]:
    """Give the folders of the jobs that were opened last and are still there, newest first."""
    try:
        rows = (_home() / RECENT).read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return ()
    return tuple(path for path in map(Path, rows) if (path / MACHINE).is_file())


def open_job(folder: Job | Path | str | None = None, *, like: str = "") -> Job:
    """Open a job, or make it.

    Args:
        folder: its folder, or a plain name in the folder of jobs; the one that
            `SLINGWRIGHT_JOB` names if left out, else the last one, else the demo. A supplied
            machine's name is that machine with its log, which is copied into the folder of jobs
            when something is first written.
        like: the supplied machine that a new job begins with, which then bears the job's name; the
            demo as it is if left out.

    Raises:
        JobError: the folder holds something else, lies in the kit's own folder, or cannot be made.
        MachineError: its machine file has faults.
    """
    if isinstance(folder, Job):
        return folder
    if folder is None or str(folder) == "":
        last = recent_jobs()
        folder = os.environ.get(NAMED) or (last[0] if last else DEMO)
    path = Path(folder).expanduser()
    if str(folder) == path.name:
        path = _home() / path
    path = Path(os.path.abspath(path))
    supplied = path.name if path.parent == Path(os.path.abspath(_home())) and not like else ""
    job = Job(path, supplied=supplied if supplied in supplied_machines() else "")
    if not job.begun and not job.supplied:
        _refuse_place(path)
        job.begin(like or DEMO, own=bool(like))
    job.machine()
    if job.begun:
        _remember(path)
    return job


def _refuse_place(path: Path) -> None:
    """Refuse to make a job among other files, or in the kit's own folder."""
    kit = data_folder().parent
    if path.is_relative_to(kit):
        raise JobError(
            f"{path} lies in the kit's own folder {kit}, which stays as it came. Choose a folder "
            "of your own, or a plain name."
        )
    with contextlib.suppress(FileNotFoundError, NotADirectoryError):
        if any(path.iterdir()):
            raise JobError(
                f"{path} holds other files and no {MACHINE}: it is no job. Choose an empty folder, "
                "or one that is not there yet."
            )


def _remember(path: Path) -> None:
    """Put a job first among the recent ones; where that cannot be written it is not."""
    rows = [path, *(one for one in recent_jobs() if one != path)][:MOST_RECENT]
    with contextlib.suppress(OSError, LogbookError):
        draft = logs_folder() / f"{RECENT}.{secrets.token_hex(4)}"
        draft.write_text("\n".join(map(str, rows)) + "\n", encoding="utf-8")
        draft.replace(_home() / RECENT)


class Job:
    """One open job; several may be open on one folder at once, in one program or many.

    Args:
        folder: where it lies.
        supplied: the supplied machine that it begins with at the first write, if it is not there.
    """

    def __init__(self, folder: Path, *, supplied: str = "") -> None:
        self.folder, self.supplied = folder, supplied
        self._seen = self._stamp = ""

    @property
    def name(self) -> str:
        """The folder's own name."""
        return self.folder.name

    @property
    def begun(self) -> bool:
        """Whether it is on the disk: a supplied job is not before something is written."""
        return self.machine_file.is_file()

    @property
    def machine_file(self) -> Path:
        """The machine at hand."""
        return self.folder / MACHINE

    @property
    def log_file(self) -> Path:
        """The log; its photos lie beside it."""
        return self.folder / LOG

    def room(self, name: str) -> Path:
        """Give the job's folder for `traces`, `videos` or `reports`, made if it is not there."""
        if name not in ROOMS:
            raise JobError(f"a job has no folder {name!r}. Take one of {', '.join(ROOMS)}.")
        self.begin()
        (self.folder / name).mkdir(exist_ok=True)
        return self.folder / name

    def machine(self) -> Machine:
        """Read the machine at hand; from now on a change by another hand is one after this.

        Raises:
            MachineError: every fault of the file; the job still counts as unread.
        """
        data, stamp = self._bytes(), self._now()
        machine = parse_machine(data, self.name)
        self._seen, self._stamp = _digest(data), stamp
        return machine

    @property
    def changed(self) -> bool:
        """Whether another hand changed the machine since it was read or written here."""
        stamp = self._now()
        if stamp == self._stamp:
            return False
        if _digest(self._bytes()) != self._seen:
            return True
        self._stamp = stamp  # touched, and the same
        return False

    def write(self, machine: Machine, *, over: bool = False) -> None:
        """Write the machine at hand; comments and lay-out of the file stay where they can.

        Args:
            machine: what to write.
            over: write over what another page wrote, after a person has said so.

        Raises:
            JobClash: another page changed it since it was read here; nothing is written.
            MachineError: it cannot be written.
        """
        self.begin()
        with self._held():
            data = self._bytes()
            if not over and _digest(data) != self._seen:
                raise JobClash(
                    f"{MACHINE} of the job {self.name} was changed by another page, and nothing "
                    "was written over it. Take theirs, or write yours over it."
                )
            try:
                like = data.decode("utf-8")
                write_machine(machine, self.machine_file, like=like, overwrite=True)
            except (MachineError, UnicodeDecodeError):
                write_machine(machine, self.machine_file, overwrite=True)
            self._seen, self._stamp = _digest(self._bytes()), self._now()

    def log(self) -> Logbook:
        """Open the log, in the thread that asks; close it when done.

        Raises:
            LogbookError: it cannot be opened.
        """
        if not self.begun:
            return _Waiting(self)
        if not self.log_file.exists():
            with contextlib.suppress(LogbookError):
                make_file(self.log_file, parse_machine(self._bytes(), self.name).name)
        return Logbook.open(self.log_file)

    def begin(self, like: str = "", *, own: bool = False) -> None:
        """Put the job on the disk, whole, unless it is there: a supplied one with its log.

        Args:
            like: the supplied machine that it begins with.
            own: whether that machine takes the job's name.

        Raises:
            JobError: the folder cannot be made.
        """
        if self.begun:
            return
        source = supplied_machines().get(like or self.supplied)
        if source is None:
            raise JobError(
                f"there is no supplied machine {like!r}. Take one of: "
                + ", ".join(supplied_machines())
            )
        text = source.read_text("utf-8")
        machine = parse_machine(text, self.name)
        if own:
            machine = replace(machine, name=self.name)
        mark = secrets.token_hex(4)
        draft, log = self.folder / f".{mark}.toml", self.folder / f".{mark}.log"
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            lines = _supplied_lines(self.supplied)
            if lines:
                from_json_lines(lines, log).close()
            else:
                make_file(log, machine.name)
            draft.write_text(machine_text(machine, like=text), "utf-8")
            with contextlib.suppress(LogbookError):  # another page was first
                place_file(log, self.log_file)
            with contextlib.suppress(LogbookError):
                place_file(draft, self.machine_file)
        except OSError as error:
            raise JobError(
                f"the job {self.folder} cannot be made ({error.strerror}). Choose a folder that "
                "you may write to, or free some space."
            ) from error
        finally:
            for left in (draft, log):
                with contextlib.suppress(OSError):
                    left.unlink(missing_ok=True)
        _remember(self.folder)

    def _bytes(self) -> bytes:
        try:
            return self.machine_file.read_bytes()
        except FileNotFoundError:
            if self.supplied:
                return supplied_machines()[self.supplied].read_bytes()
            raise JobError(
                f"{self.machine_file} is gone. Put it back, or open another job."
            ) from None

    def _now(self) -> str:
        """Tell the file's state, cheaply: when it was changed, how long it is, which one it is."""
        try:
            status = self.machine_file.stat()
        except OSError:
            return "none"
        return f"{status.st_mtime_ns} {status.st_size} {status.st_ino}"

    @contextlib.contextmanager
    def _held(self) -> Iterator[None]:
        """Keep every other writer of the job out, by the one lock that it has: its log's."""
        self.log().close()
        connection = connect(self.log_file, "rw")
        try:
            connection.execute("BEGIN IMMEDIATE")
            yield
            connection.execute("ROLLBACK")
        except sqlite3.Error as error:
            raise JobError(
                f"another program holds the job {self.name} ({error}). Wait, and do it again."
            ) from error
        finally:
            connection.close()


class _Waiting(Logbook):
    """The log of a supplied job, in memory until the first write puts the job on the disk."""

    def __init__(self, job: Job) -> None:
        self._job: Job | None = None
        text = _supplied_lines(job.supplied)
        machine, lines = lines_of(text) if text else (job.machine().name, [])
        memory = sqlite3.connect(":memory:", isolation_level=None)
        migrate(memory)
        memory.execute("INSERT INTO machine VALUES (1, ?)", (machine,))
        super().__init__(job.log_file, memory, reading_only=False)
        self.add_lines(lines)
        self._job = job

    def _read(self, *words: object) -> list[object]:
        if self._job is not None and self._job.begun:
            self._go_over()
        return super()._read(*words)  # type: ignore[arg-type]

    def _refuse_if_reading_only(self, doing: str) -> None:
        """Begin the job: every write asks this first."""
        if self._job is not None:
            self._job.begin()
            self._go_over()

    def _go_over(self) -> None:
        self._job = None
        self.close()
        super().__init__(self.path, open_file(self.path, reading_only=False), reading_only=False)


def _supplied_lines(name: str) -> str:
    """Give the log that comes with a supplied machine, nothing where none does."""
    file = data_folder() / f"{name}_log.jsonl"
    return file.read_text(encoding="utf-8") if name and file.is_file() else ""


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()

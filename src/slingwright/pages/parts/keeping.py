"""A bench and its job, kept the same: what is set here is written, what others wrote is shown.

A change is written when the dials rest. What another page wrote meanwhile is never written over:
the page says so, and waits for a person to choose.
"""

from __future__ import annotations

import asyncio
import os
import time
import weakref
from pathlib import Path

from slingwright.logbook.faults import LogbookError
from slingwright.logbook.job import DEMO, NAMED, Job, JobClash, open_job
from slingwright.machine.faults import MachineError
from slingwright.machine.machine import Machine
from slingwright.pages.parts.beside import running_loop
from slingwright.pages.parts.workbench import Workbench

PAUSE = 0.3  # between two looks at the job's folder, s
REST = 0.3  # without a touch, after which what is set is written, s


Start = Machine | Workbench | Job | str | Path
"""What a page starts on: a machine, its file's name or path, a job, or a bench that is shared."""


def bench_of(machine: Start) -> Workbench:
    """Give the bench of a page: one that is shared, or a new one on a machine or a job.

    The kit's own pages name the demo; where a job was named as they were started, they are on it.
    """
    if isinstance(machine, Workbench):
        return machine
    if machine == DEMO and os.environ.get(NAMED):
        machine = open_job()
    if not isinstance(machine, Job):
        return Workbench(machine)
    bench = Workbench(machine.machine(), folder=machine.folder)
    bench.keeping = Keeping(bench, machine)
    return bench


class Keeping:
    """Keeps a bench and its job the same; `clash` says what keeps the machine from being written.

    Where an event loop runs it looks every `PAUSE`; else whoever has made it calls `look`.
    """

    def __init__(self, bench: Workbench, job: Job) -> None:
        self.bench = bench
        self._take(job, bench.machine)
        bench.watch(self._moved)
        loop = running_loop()
        if loop is not None:
            self._task = loop.create_task(_go_on(weakref.ref(self)))

    def _take(self, job: Job, machine: Machine) -> None:
        self.job, self.log, self.clash, self._pending = job, job.log(), "", False
        self._written, self._count, self._touched = machine, len(self.log), 0.0

    @property
    def unsaved(self) -> bool:
        """Whether the machine on the bench is not yet that of the job."""
        return self.bench.machine is not self._written and self.bench.machine != self._written

    def _moved(self) -> None:
        self._touched = time.monotonic()

    def look(self) -> None:
        """Show what others wrote; else write what is set here, once the dials rest."""
        try:
            self._look()
        except LogbookError as error:
            self._say(str(error))

    def _look(self) -> None:
        if self.job.changed:
            self._hear()
        elif self.clash and not self._pending:
            self.clash = ""  # what was in the way is gone
        elif self.unsaved and not self.clash and time.monotonic() - self._touched > REST:
            self._write()
        count = len(self.log)
        if count != self._count:
            self._count = count
            self.bench.measure(self.bench.system)

    def _hear(self) -> None:
        try:
            theirs = self.job.machine()
        except MachineError as error:
            self._say(f"machine.toml of this job cannot be read: {error.faults[0]}")
            return
        if theirs == self.bench.machine:
            self._written, self.clash = theirs, ""
            self.bench.say("")
        elif self.unsaved:
            self._say(
                "another page changed the machine of this job while you did. Nothing is written "
                "over: take theirs, or write yours",
                pending=True,
            )
        else:
            self._accept(theirs, "another page changed the machine of this job; Undo takes it back")

    def _say(self, words: str, *, pending: bool = False) -> None:
        fresh = words != self.clash
        self.clash, self._pending = words, pending
        if fresh:
            self.bench.say(words, warn=True)

    def _accept(self, theirs: Machine, words: str) -> None:
        self._written, self.clash = theirs, ""
        self.bench.put(theirs, words)

    def _write(self, *, over: bool = False) -> None:
        machine, begun = self.bench.machine, self.job.begun
        try:
            self.job.write(machine, over=over)
        except LogbookError as error:
            self._say(str(error), pending=isinstance(error, JobClash))
            return
        self._written, self.clash = machine, ""
        words = "" if begun else f"from now on this is a job of yours, in {self.job.folder}"
        self.bench.say(words or self.bench.status, warn=self.bench.warn and not words)

    def take_theirs(self) -> None:
        """End a clash: the job's machine comes on the bench, and Undo gives one's own again."""
        self._accept(self.job.machine(), "their machine is on the bench; Undo gives yours")

    def write_mine(self) -> None:
        """End a clash: the bench's machine is written over the job's."""
        self._write(over=True)

    def open(self, name: Path | str, *, like: str = "") -> None:
        """Open another job on this bench, or make it; what is set here is written first.

        Raises:
            JobError: it cannot be opened or made; the bench keeps the job that it has.
            MachineError: its machine has faults.
        """
        if self.unsaved and not self.clash:
            self._write()
        if self.clash:
            raise LogbookError(f"{self.clash}; then open another job")
        job = open_job(name, like=like)
        machine, old = job.machine(), self.log
        self._take(job, machine)
        self.bench.folder = job.folder
        self.bench.put(machine, f"the job {job.name} is open", first=True)
        old.close()


async def _go_on(held: weakref.ref[Keeping]) -> None:
    """Look again and again, as long as there is a bench to look for."""
    while (keeping := held()) is not None:
        keeping.bench.attempt(keeping.look)
        del keeping
        await asyncio.sleep(PAUSE)

"""The line that tells which job and which machine a page works on, and opens another."""

from __future__ import annotations

import html
from pathlib import Path

import ipywidgets

from slingwright.logbook.job import DEMO, recent_jobs
from slingwright.machine.file import supplied_machines
from slingwright.pages.parts.parts import Part, box, button

FIRST = ("Open another job\N{HORIZONTAL ELLIPSIS}", "")
NEW = "new, from "


class JobLine(Part):
    """Job and machine by name, what keeps the machine from being written, and the other jobs."""

    watches_status = True

    def _make(self) -> ipywidgets.Box:
        keeping = self.bench.keeping
        self.words = ipywidgets.HTML()
        self.words.add_class("sw-jobwords")
        jobs = ipywidgets.Dropdown(
            options=[FIRST], tooltip="Open another job", layout=ipywidgets.Layout(width="10.5em")
        )
        jobs.observe(self._chosen, names="value")
        name = ipywidgets.Text(
            placeholder="name of a new job",
            tooltip="Name of a new job, or its folder",
            layout=ipywidgets.Layout(width="9em"),
        )
        self.controls = {
            "theirs": button(
                "Take theirs",
                "Put the machine that the other page wrote on the bench",
                keeping.take_theirs,
                self.bench,
            ),
            "mine": button(
                "Write mine",
                "Write the machine on the bench over the other",
                keeping.write_mine,
                self.bench,
            ),
            "job": jobs,
            "new job": name,
        }
        return box("sw-strip sw-jobline", self.words, *self.controls.values())

    def _chosen(self, change: dict[str, object]) -> None:
        jobs, typed = self.controls["job"], self.controls["new job"]
        chosen = str(change["new"])
        if not chosen:
            return

        def work() -> None:
            if not chosen.startswith(NEW):
                self.bench.keeping.open(Path(chosen) if chosen != DEMO else DEMO)
            elif not typed.value.strip():
                raise ValueError("name the new job in the field beside, then choose again")
            else:
                self.bench.keeping.open(typed.value.strip(), like=chosen.removeprefix(NEW))
                typed.value = ""

        self.bench.attempt(work)
        jobs.index = 0

    def refresh(self) -> None:
        """Tell job and machine as they are now."""
        keeping, machine = self.bench.keeping, self.bench.machine
        job = keeping.job
        where = (
            "a demo: it becomes a job of yours at your first change"
            if not job.begun
            else f"in {job.folder}"
        )
        if keeping.clash:
            where = f"<strong role='alert'>\N{WARNING SIGN} {html.escape(keeping.clash)}</strong>"
        else:
            where = f"<span class='sw-aside'>{html.escape(where)}</span>"
        named = html.escape(machine.name or "without a name")
        told = (
            f"<p>Job <strong>{html.escape(job.name)}</strong>, machine <strong>{named}</strong> "
            f"{where}</p>"
        )
        if self.words.value != told:
            self.words.value = told
        for key in ("theirs", "mine"):
            self.controls[key].layout.display = "" if keeping.clash else "none"
        others = [(path.name, str(path)) for path in recent_jobs() if path != job.folder]
        if DEMO not in (job.name, *(name for name, _ in others)):
            others.append((f"{DEMO}, the demo", DEMO))
        options = (FIRST, *others, *((NEW + one, NEW + one) for one in supplied_machines()))
        if options != self.controls["job"].options:
            self.controls["job"].options = options

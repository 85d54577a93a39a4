"""Buttons of the bench: undo, compare, units, machine files, and the job that it works on."""

from __future__ import annotations

import html
from pathlib import Path

import ipywidgets

from slingwright.amounts import units
from slingwright.logbook.job import DEMO, recent_jobs
from slingwright.machine.file import supplied_machines
from slingwright.machine.machine import Machine, shown
from slingwright.machine.table import dials
from slingwright.pages.parts.fields import FIT
from slingwright.pages.parts.parts import Part, box, button
from slingwright.pages.parts.workbench import machine_files

MOST_NAMED = 4  # dials that are named where the kept machine is another


class History(Part):
    """Undo and redo."""

    def _make(self) -> ipywidgets.Box:
        bench = self.bench
        self.controls = {
            "undo": button("Undo", "Take the last change back", bench.undo, bench, icon="undo"),
            "redo": button("Redo", "Make it again", bench.redo, bench, icon="repeat"),
        }
        return box("sw-strip", *self.controls.values())

    def refresh(self) -> None:
        """Grey out what cannot be done."""
        self.controls["undo"].disabled = not self.bench.can_undo
        self.controls["redo"].disabled = not self.bench.can_redo


class Compare(Part):
    """Keep the present machine as the reference, go back to it, or drop it."""

    def _make(self) -> ipywidgets.Box:
        bench = self.bench
        self.controls = {
            "keep": button(
                "Keep", "Keep this machine and compare all from now on with it", bench.keep, bench
            ),
            "restore": button("Back to kept", "Go back to the kept machine", bench.restore, bench),
            "drop": button("Drop", "Stop comparing", bench.drop, bench),
        }
        self.words = ipywidgets.HTML()
        self.words.add_class("sw-differs")
        return box("sw-strip", *self.controls.values(), self.words)

    def refresh(self) -> None:
        """Show what can be done with a kept machine, and what it differs in, where one is kept."""
        bench = self.bench
        for name in ("restore", "drop"):
            self.controls[name].layout.display = "none" if bench.kept is None else ""
        words = ""
        if bench.kept is not None:
            differs = differences(bench.kept.machine, bench.machine, bench.system)
            more = f"; {len(differs) - MOST_NAMED} more" if len(differs) > MOST_NAMED else ""
            told = "; ".join(differs[:MOST_NAMED]) + more if differs else "nothing differs"
            words = f"<p>Against kept: {html.escape(told)}</p>"
        if self.words.value != words:
            self.words.value = words


def differences(kept: Machine, now: Machine, system: units.System) -> list[str]:
    """Name the dials that differ, as they were and are, what follows from others left out.

    >>> from slingwright.machine.file import read_machine
    >>> garden = read_machine("garden")
    >>> differences(garden, garden.change({"site.margin": 2.0}), "metric")
    ['Margin of the clear distance 1.5 \N{RIGHTWARDS ARROW} 2']
    """
    follows = kept.derived.keys() & now.derived.keys()
    return [
        f"{row.label} {shown(row, kept[row.path], system)} \N{RIGHTWARDS ARROW} "
        f"{shown(row, now[row.path], system)}"
        for row in dials.TABLE
        if row.path not in follows and kept[row.path] != now[row.path]
    ]


class UnitSwitch(Part):
    """Metric or US customary units, for everything on the bench."""

    def _make(self) -> ipywidgets.ToggleButtons:
        switch = ipywidgets.ToggleButtons(
            options=["metric", "US"],
            value=self.bench.system,
            tooltips=["metres, kilograms, kilonewtons", "feet, pounds, pounds-force"],
        )
        switch.add_class("sw-units")

        def switched() -> None:
            if switch.value != self.bench.system:
                self.bench.measure(switch.value)

        switch.observe(lambda _: self.bench.attempt(switched), names="value")
        self.controls = {"units": switch}
        return switch

    def refresh(self) -> None:
        """Show which units are on."""
        self.controls["units"].value = self.bench.system


class Files(Part):
    """Open another machine file, and save the present machine under a name of its own."""

    def _make(self) -> ipywidgets.Box:
        bench = self.bench
        names = list(machine_files(bench.folder))
        first = "Open a machine\N{HORIZONTAL ELLIPSIS}"
        opened = FIT.choice(
            "", [first, *names], tooltip="Open another machine file", width="10.5em"
        )
        opened.observe(self._chosen, names="value")
        hint = "Name of the machine file to save"
        name = FIT.text(hint="name of the new file", tooltip=hint, width="10em")
        name.observe(lambda _: self._named(), names="value")
        replace = FIT.tick("Replace", tooltip="Write over a file of that name")
        replace.layout.display = "none"
        save = button("Save", "Save this machine as a machine file", self.save, bench, icon="save")
        self.controls = {"open": opened, "name": name, "replace": replace, "save": save}
        return box("sw-strip", opened, name, save, replace)

    def _chosen(self, change: dict[str, object]) -> None:
        opened = self.controls["open"]
        if opened.index:
            self.bench.attempt(lambda: self.bench.load(str(change["new"])))
            opened.index = 0

    def _named(self) -> None:
        taken, replace = self.bench.is_taken(self.controls["name"].value), self.controls["replace"]
        replace.value, replace.layout.display = False, "" if taken else "none"

    def save(self) -> None:
        """Save the present machine under the typed name."""
        self.bench.save(self.controls["name"].value, replace=self.controls["replace"].value)
        self._named()
        first = self.controls["open"].options[0]
        self.controls["open"].options = [first, *machine_files(self.bench.folder)]


FIRST = ("Open another job\N{HORIZONTAL ELLIPSIS}", "")
NEW = "new, from "


class JobLine(Part):
    """Job and machine by name, what keeps the machine from being written, and the other jobs."""

    watches_status = True

    def _make(self) -> ipywidgets.Box:
        keeping = self.bench.keeping
        self.words = ipywidgets.HTML()
        self.words.add_class("sw-jobwords")
        jobs = FIT.choice("", [FIRST], tooltip="Open another job", width="10.5em")
        jobs.observe(self._chosen, names="value")
        hint = "Name of a new job, or its folder"
        name = FIT.text(hint="name of a new job", tooltip=hint, width="9em")
        theirs = "Put the machine that the other page wrote on the bench"
        mine = "Write the machine on the bench over the other"
        self.controls = {
            "theirs": button("Take theirs", theirs, keeping.take_theirs, self.bench),
            "mine": button("Write mine", mine, keeping.write_mine, self.bench),
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
        demo = "a demo: it becomes a job of yours at your first change"
        where = html.escape(f"in {job.folder}" if job.begun else demo)
        where = f"<span class='sw-aside'>{where}</span>"
        if keeping.clash:
            where = f"<strong role='alert'>\N{WARNING SIGN} {html.escape(keeping.clash)}</strong>"
        of, named = (html.escape(one) for one in (job.name, machine.name or "without a name"))
        told = f"<p>Job <strong>{of}</strong>, machine <strong>{named}</strong> {where}</p>"
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

"""Buttons of the bench: undo, compare, units, open and save."""

from __future__ import annotations

import html

import ipywidgets

from slingwright.amounts import units
from slingwright.machine.machine import Machine, shown
from slingwright.machine.table import dials
from slingwright.pages.parts.parts import Part, box, button
from slingwright.pages.parts.workbench import machine_files

MOST_NAMED = 4
"""Dials that are named where the kept machine is another."""


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
        switch.observe(self._switched, names="value")
        self.controls = {"units": switch}
        return switch

    def _switched(self, change: dict[str, object]) -> None:
        if change["new"] != self.bench.system:
            self.bench.attempt(lambda: self.bench.measure(change["new"]))  # type: ignore[arg-type]

    def refresh(self) -> None:
        """Show which units are on."""
        self.controls["units"].value = self.bench.system


class Files(Part):
    """Open another machine file, and save the present machine under a name of its own."""

    def _make(self) -> ipywidgets.Box:
        bench = self.bench
        names = list(machine_files(bench.folder))
        opened = ipywidgets.Dropdown(
            options=["Open a machine\N{HORIZONTAL ELLIPSIS}", *names],
            tooltip="Open another machine file",
            layout=ipywidgets.Layout(width="10.5em"),
        )
        opened.observe(self._chosen, names="value")
        name = ipywidgets.Text(
            placeholder="name of the new file",
            tooltip="Name of the machine file to save",
            layout=ipywidgets.Layout(width="10em"),
            continuous_update=True,
        )
        name.observe(self._named, names="value")
        replace = ipywidgets.Checkbox(
            description="Replace",
            value=False,
            indent=False,
            tooltip="Write over a file of that name",
            layout=ipywidgets.Layout(width="auto", display="none"),
        )
        save = button("Save", "Save this machine as a machine file", self.save, bench, icon="save")
        self.controls = {"open": opened, "name": name, "replace": replace, "save": save}
        return box("sw-strip", opened, name, save, replace)

    def _chosen(self, change: dict[str, object]) -> None:
        opened = self.controls["open"]
        if opened.index:
            self.bench.attempt(lambda: self.bench.load(str(change["new"])))
            opened.index = 0

    def _named(self, change: dict[str, object]) -> None:
        taken = self.bench.is_taken(str(change["new"]))
        self.controls["replace"].value = False
        self.controls["replace"].layout.display = "" if taken else "none"

    def save(self) -> None:
        """Save the present machine under the typed name."""
        self.bench.save(self.controls["name"].value, replace=self.controls["replace"].value)
        self._named({"new": self.controls["name"].value})
        first = self.controls["open"].options[0]
        self.controls["open"].options = [first, *machine_files(self.bench.folder)]

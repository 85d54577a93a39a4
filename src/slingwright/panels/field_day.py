"""The page `field day`: enter a shot in few touches, see what the shots tell and the next one.

One column of large controls, so that it can be used on a telephone.
"""

from __future__ import annotations

import html
from pathlib import Path

import ipywidgets

from slingwright.answers.field_shots import LearnError
from slingwright.answers.learning import Learned
from slingwright.logbook import Logbook, Shot
from slingwright.logbook.entries import RELEASES
from slingwright.machine import Machine
from slingwright.panels.diary import LogPart, open_log
from slingwright.panels.parts import Part, button
from slingwright.panels.workbench import Workbench
from slingwright.report.change_tables import interval_words, learned_table
from slingwright.report.field_records import story_of

WIDE = ipywidgets.Layout(width="min(100%, 24em)", min_height="2.6em")
STYLE = {"description_width": "8.5em"}
CAUTION = (
    "Enter a shot only when the machine is unloaded and its pin is in. Nobody goes forward before "
    "the one in charge says so."
)
EMPTY = ""


class ShotForm(LogPart):
    """One shot: load, range, drift, time, release seen, note. What was not measured stays empty."""

    def _make(self) -> ipywidgets.Box:
        machine = self.bench.machine
        loads = [(f"{one.name}, {one.mass:g} kg", one.mass) for one in machine.brief]
        now = machine.number("projectile.mass")
        if not any(abs(mass - now) < 1e-9 for _, mass in loads):
            loads.insert(0, (f"as set, {now:g} kg", now))
        texts = {
            name: ipywidgets.Text(description=label, placeholder=hint, layout=WIDE, style=STYLE)
            for name, label, hint in (
                ("range", "Range [m]", "such as 101.5"),
                ("drift", "Drift right [m]", "left is below 0"),
                ("time_of_flight", "In the air [s]", "stop-watch"),
                ("settings", "Changed dials", "sling.length=4.9 m"),
                ("note", "Note", ""),
                ("author", "Who", ""),
            )
        }
        self.controls = {
            "load": ipywidgets.Dropdown(
                options=loads, value=now, description="Load", layout=WIDE, style=STYLE
            ),
            **texts,
            "release_seen": ipywidgets.ToggleButtons(
                options=[("not seen", ""), *((word, word) for word in RELEASES if word)],
                description="Release",
                style={"description_width": "8.5em", "button_width": "5em"},
            ),
            "write": button("Write shot", "Write this shot into the log", self.write, self.bench),
        }
        order = ("load", "range", "drift", "time_of_flight", "release_seen", "settings", "note")
        box = ipywidgets.VBox(
            [
                ipywidgets.HTML(f"<p><strong>Caution.</strong> {html.escape(CAUTION)}</p>"),
                *(self.controls[name] for name in (*order, "author", "write")),
                self.status,
            ]
        )
        box.add_class("sw-form")
        return box

    def record(self) -> Shot:
        """Give the shot that the form describes.

        Raises:
            ValueError: a number that cannot be read, or a dial that cannot be set.
        """
        return Shot(
            load=float(self.controls["load"].value),
            range=self._number("range"),
            drift=self._number("drift"),
            time_of_flight=self._number("time_of_flight"),
            release_seen=self.controls["release_seen"].value,
            settings=self._settings(),
        )

    def _number(self, name: str) -> float | None:
        text = self.controls[name].value.strip().replace(",", ".")
        if not text:
            return None
        try:
            return float(text)
        except ValueError:
            label = self.controls[name].description
            raise ValueError(
                f"{label}: {text[:40]!r} is not a number; write it as 101.5, or leave it empty"
            ) from None

    def _settings(self) -> dict[str, float | bool | str]:
        changes: dict[str, str] = {}
        for word in self.controls["settings"].value.split(";"):
            if not word.strip():
                continue
            path, equals, value = word.partition("=")
            if not equals:
                raise ValueError(
                    f"Changed dials: {word.strip()[:40]!r} has no value; write PATH=VALUE, and ; "
                    "between two"
                )
            changes[path.strip()] = value.strip()
        machine = self.bench.machine.change(changes) if changes else self.bench.machine
        found = {path: machine[path] for path in changes}
        return {path: value for path, value in found.items() if value is not None}

    def write(self) -> None:
        """Write the shot and empty the form for the next one; load and author stay.

        Raises:
            LogbookError: it could not be written; the form keeps what was typed.
        """
        entry = self.log.append(
            self.record(), author=self.controls["author"].value, note=self.controls["note"].value
        )
        for name in ("range", "drift", "time_of_flight", "note"):
            self.controls[name].value = EMPTY
        self.controls["release_seen"].value = ""
        self.say(f"shot written as entry {entry.number}")


class LearnPanel(LogPart):
    """What the shots tell, on demand: numbers, what does not fit, the next shot's interval."""

    def _make(self) -> ipywidgets.Box:
        self.learned: Learned | None = None
        self.words = ipywidgets.HTML("<p>Nothing learned yet: press Learn.</p>")
        self.controls = {
            "learn": button(
                "Learn from the shots", "Fit what is not known to the shots", self.learn, self.bench
            )
        }
        return ipywidgets.VBox([self.controls["learn"], self.words, self.status])

    def learn(self) -> None:
        """Learn from all shots that count, and say what the next one should do.

        Raises:
            LearnError: nothing can be learned; the words say why.
        """
        learned = story_of(self.log, self.bench.opened).learn()
        self.learned = learned
        system = self.bench.system
        lines = [f"<p>{html.escape(str(one))}</p>" for one in learned.suspects]
        try:
            after = learned.next_shot()
            told = interval_words(after.low, after.high, "m", system)
            lines.append(f"<p><strong>Next shot as the machine stands: {told}.</strong></p>")
        except LearnError as error:
            lines.append(f"<p>{html.escape(str(error))}</p>")
        self.words.value = "".join(lines) + learned_table(learned, system)._repr_html_()
        self.say(f"learned from {len(learned.model.shots)} shots")


class FieldDay(Part):
    """The whole page: shot form and what the shots tell, on one log and one bench.

    Args:
        machine: a Machine, the name or path of a machine file, or a Workbench.
        log: an open log, or its file.
    """

    def __init__(
        self, machine: Machine | Workbench | str | Path, log: Logbook | Path | str
    ) -> None:
        bench = machine if isinstance(machine, Workbench) else Workbench(machine)
        self.log = open_log(log, bench.machine.name)
        super().__init__(bench)

    def _make(self) -> ipywidgets.Box:
        self.form = ShotForm(self.bench, self.log)
        self.told = LearnPanel(self.bench, self.log)
        self.parts = (self.form, self.told)
        self.controls = {**self.form.controls, **self.told.controls}
        box = ipywidgets.VBox([self.form.widget, self.told.widget])
        box.add_class("sw-column")
        return box

    def close(self) -> None:
        """Stop watching and take every widget off the page; the log stays open."""
        for part in self.parts:
            part.close()
        super().close()

"""The page `field day`: enter a shot in few touches, see what the shots show and the next one.

One column of large controls, so that it can be used on a telephone.
"""

from __future__ import annotations

import html
from collections.abc import Callable
from dataclasses import replace

import ipywidgets

from slingwright.amounts import units
from slingwright.changing.tables import draw_residuals, interval_words, learned_table
from slingwright.learning.fitting import Interval
from slingwright.learning.learning import Learned
from slingwright.learning.shots import LearnError
from slingwright.logbook import Entry, Shot
from slingwright.machine.machine import Machine
from slingwright.machine.table import dials
from slingwright.motion.shown.drawings import sheet
from slingwright.pages.field.files import ShotFiles
from slingwright.pages.log.correcting import CorrectingForm
from slingwright.pages.log.part import Drawn, LogPage, LogPart
from slingwright.pages.log.records import story_of
from slingwright.pages.parts.fields import FieldError, Fields, amount, refilled
from slingwright.pages.parts.parts import row

FORM = Fields("min(100%, 24em)", "8.5em", min_height="2.6em")
CAUTION = (
    "Enter a shot only when the machine is unloaded and its pin is in. Nobody goes forward before "
    "the one in charge says so."
)
SEEN = (
    ("not seen", "", "nobody watched it"),
    ("early: steep", "early", "it went steep, above about 50 degrees"),
    ("right", "right", "between the two"),
    ("late: flat", "late", "it went flat, below about 30 degrees"),
)
"""Words for the release, its name in the log, and what the eye goes by."""
UNITS = (
    ("range", "Range", "m"),
    ("drift", "Drift right", "m"),
    ("time_of_flight", "In the air", "s"),
)


def loads_of(machine: Machine) -> list[tuple[str, float]]:
    """Name what can be thrown with its mass in kg: the brief's projectiles and what is set."""
    loads = [(f"{one.name}, {one.mass:g} kg", one.mass) for one in machine.brief]
    now = machine.number("projectile.mass")
    if not any(abs(mass - now) < 1e-9 for _, mass in loads):
        loads.insert(0, (f"as set, {now:g} kg", now))
    return loads


class ShotForm(CorrectingForm):
    """One shot: load, range, drift, time, release seen, note. What was not measured stays empty."""

    kinds = (Shot.kind,)
    called = "shot"
    named = UNITS
    emptied = ("range", "drift", "time_of_flight", "release_seen")

    def _make(self) -> ipywidgets.Box:
        self._filled: dict[str, str] = {}  # the words in the fields as a correction began
        machine = self.bench.machine
        loads, now = loads_of(machine), machine.number("projectile.mass")
        texts = {
            name: FORM.text(label, hint)
            for name, label, hint in (
                ("range", "Range", "such as 101.5"),
                ("drift", "Drift right", "left is below 0"),
                ("time_of_flight", "In the air", "stop-watch"),
                ("settings", "Changed dials", "sling.length=4.9 m"),
                ("note", "Note", ""),
                ("author", "Who writes", ""),
                ("entry", "Entry no.", "to correct or strike"),
            )
        }
        seen = ipywidgets.ToggleButtons(
            options=[(words, value) for words, value, _ in SEEN],
            description="Release",
            tooltips=[hint for _, _, hint in SEEN],
            style={"description_width": "8.5em", "button_width": "7.6em"},
        )
        load = FORM.choice("Projectile", loads, now)
        self.controls = {"load": load, **texts, "release_seen": seen}
        self._add_buttons(texts["entry"])
        self.controls["write"].button_style = "primary"
        order = ("load", "range", "drift", "time_of_flight", "release_seen", "settings", "note")
        return self.laid(
            ipywidgets.HTML(f"<p><strong>Caution.</strong> {html.escape(CAUTION)}</p>"),
            *(self.controls[name] for name in (*order, "author", "write")),
            self.status,
            row(*(self.controls[name] for name in ("entry", "correct", "strike"))),
            classes="sw-part sw-shot",
        )

    def record(self) -> Shot:
        """Give the shot that the form describes.

        Raises:
            ValueError: a number that cannot be read, or a dial that cannot be set.
        """
        said = {
            "load": float(self.controls["load"].value),
            **{name: self._number(name, unit) for name, _, unit in UNITS},
            "release_seen": self.controls["release_seen"].value,
            "settings": self._settings(),
        }
        old = self._old()
        return (Shot(**said) if old is None else replace(old, **said)).refuse_empty()

    def _old(self) -> Shot | None:
        record = None if self.correcting is None else self.correcting.record
        return record if isinstance(record, Shot) else None

    def _untouched(self, name: str) -> Shot | None:
        """Give the shot that is corrected where a field still says what was filled in of it."""
        same = self.controls[name].value == self._filled.get(name)
        return self._old() if same else None

    def _number(self, name: str, unit: str) -> float | None:
        old = self._untouched(name)
        if old is not None:
            return getattr(old, name)
        return amount(self.controls[name], unit, self.bench.system)

    def _settings(self) -> dict[str, float | bool | str]:
        old = self._untouched("settings")
        if old is not None:
            return dict(old.settings)
        changes: dict[str, str] = {}
        for word in self.controls["settings"].value.split(";"):
            if not word.strip():
                continue
            path, equals, value = word.partition("=")
            if not equals:
                words = f"{word.strip()[:40]!r} has no value; write PATH=VALUE, and ; between two"
                raise FieldError(self.controls["settings"], f"Changed dials: {words}")
            changes[path.strip()] = value.strip()
        machine = self.bench.machine.change(changes) if changes else self.bench.machine
        found = {path: machine[path] for path in changes}
        return {path: value for path, value in found.items() if value is not None}

    def fill(self, entry: Entry) -> None:
        """Show a shot in the form."""
        shot = entry.record
        if not isinstance(shot, Shot):
            raise TypeError(f"entry {entry.number} is no shot")
        if shot.load not in [value for _, value in self.controls["load"].options]:
            words = (f"entry {entry.number}, {shot.load:g} kg", shot.load)
            self.controls["load"].options = (*self.controls["load"].options, words)
        self.controls["load"].value = shot.load
        for name, _, unit in UNITS:
            self.controls[name].value = refilled(getattr(shot, name), unit, self.bench.system)
        self.controls["release_seen"].value = shot.release_seen
        self.controls["settings"].value = "; ".join(
            f"{path}={_written(path, value)}" for path, value in shot.settings.items()
        )
        names = ("settings", *(name for name, _, _ in UNITS))
        self._filled = {name: self.controls[name].value for name in names}


def _written(path: str, value: float | bool | str) -> str:
    if isinstance(value, bool | str):
        return str(value).lower() if isinstance(value, bool) else value
    return units.written(value, dials.dial(path).unit)


class LearnPanel(LogPart):
    """What the shots show, on demand: numbers, what does not fit, the next shot's interval."""

    learned: Learned | None = None
    _unread: tuple[str, ...] = ()
    _drawn: object = None

    def _make(self) -> ipywidgets.Box:
        self.words = ipywidgets.HTML("<p>Nothing learned yet: press Learn.</p>")
        self.picture = Drawn()
        hint = "Fit what is not known to the shots"
        self.controls = {
            "learn": self.button("Learn from the shots", hint, self.learn),
            "stop": self.work.stop_button,
        }
        tools = row(*self.controls.values(), self.status)
        return self.laid(tools, self.words, self.picture, classes="sw-part sw-shot")

    def learn(self) -> None:
        """Learn from all shots that count, and say what the next one should do.

        What cannot be learned from is said in the status line.
        """
        self.say("gathering the shots \N{HORIZONTAL ELLIPSIS}")
        story = story_of(self.log, self.bench.opened)

        def work(report: Callable[..., None]) -> tuple[Learned, Interval | str]:
            learned = story.learn(progress=report)
            report("throwing the next shot")
            try:
                return learned, learned.next_shot()
            except LearnError as error:
                return learned, str(error)

        self._unread = story.unread
        self.work.start(work, self._show, self.say)

    def _show(self, found: tuple[Learned, Interval | str]) -> None:
        self.learned, self._after = found
        self.draw()
        self.say(f"learned from {len(self.learned.model.shots)} shots")

    def draw(self) -> None:
        """Show what was learned, in the units that are on."""
        learned, system = self.learned, self.bench.system
        if learned is None or self._drawn == (id(learned), system):
            return
        self._drawn = (id(learned), system)
        after = self._after
        if isinstance(after, str):
            # the table's first words say why, where shots and model disagree
            lines = [] if after == learned.disagreement else [f"<p>{html.escape(after)}</p>"]
        else:
            told = interval_words(after.low, after.high, "m", system)
            lines = [f"<p><strong>Next shot as the machine stands: {told}.</strong></p>"]
        said = [*map(str, learned.suspects), *self._unread, *learned.scatter_words(system)]
        lines += [f"<p>{html.escape(one)}</p>" for one in said]
        self.words.value = "".join(lines) + learned_table(learned, system)._repr_html_()
        if any(what == "range" for _, what in learned.model.places):
            figure, axes = sheet(height=2.8)
            draw_residuals(axes, learned)
            self.picture.show(figure, "Each shot's range against what was learned")


class FieldDay(LogPage):
    """Shot form and what the shots show, on one log and one bench; arguments as for `LogPage`."""

    def _body(self) -> list[ipywidgets.Widget]:
        self.form = ShotForm(self.bench, self.log)
        self.told = LearnPanel(self.bench, self.log)
        self.files = ShotFiles(self.bench, self.log)
        self.parts = (self.form, self.told, self.files)
        self.answers = (self.told.words, self.told.picture)
        files = {f"file.{name}": control for name, control in self.files.controls.items()}
        self.controls = {**self.form.controls, **self.told.controls, **files}
        more = ipywidgets.Accordion(
            children=[self.files.widget], titles=["Load cell and video of a shot"]
        )
        return [self.form.widget, self.told.widget, more]

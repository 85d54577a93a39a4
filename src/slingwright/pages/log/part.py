"""What the parts of the pages on a log share: the log, a status line each, work that takes long."""

from __future__ import annotations

import html
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import ipywidgets
import traitlets

from slingwright.amounts import units
from slingwright.logbook import Logbook
from slingwright.logbook.job import DEMO, Job
from slingwright.machine.machine import Machine, MachineError
from slingwright.pages.log.place import LogPlace, open_log, typed_log
from slingwright.pages.log.records import current_machine
from slingwright.pages.log.style import LogStyle
from slingwright.pages.parts.guard import panel
from slingwright.pages.parts.keeping import bench_of
from slingwright.pages.parts.long_work import LongWork
from slingwright.pages.parts.page import Tools
from slingwright.pages.parts.parts import Part, button
from slingwright.pages.parts.workbench import Workbench

BY_HAND = "N by hand"


def open_page(
    machine: Machine | Workbench | Job | str | Path, log: Logbook | Path | str | None
) -> tuple[Workbench, Logbook]:
    """Give the bench and the log of a page, the log's last machine on the bench.

    So a revision that is saved from the page follows the last one. Undo gives the machine of the
    file; a bench that was there already stays as it is.

    Args:
        machine: a Machine, the name or path of a machine file, a job, or a Workbench.
        log: an open log, its file, or a name in the folder of logs; that of the job if left out.

    Raises:
        LogbookError: the log cannot be opened.
        MachineError: the machine cannot be read.
        ValueError: there is no job, and no log is named.
    """
    bench = bench_of(machine)
    if log is None or (log == DEMO and bench.keeping is not None):
        if bench.keeping is None:
            raise ValueError("this page is on no job: name a log, or open it on a job")
        return bench, bench.keeping.log
    if isinstance(machine, Workbench):
        return machine, open_log(log, machine.machine.name)
    found = open_log(log, bench.machine.name)
    if len(found) and found.machine.strip() != bench.machine.name.strip():
        bench.say(
            f"this is the log of {found.machine}, and the machine on the bench is "
            f"{bench.machine.name or 'without a name'}: take care which of them you write of",
            warn=True,
        )
        return bench, found
    try:
        if take_from_log(bench, found):
            bench.say("the log's last machine is on the bench; Undo gives that of the file")
    except MachineError as error:
        bench.say(f"the log's last machine does not fit this kit: {error.faults[0]}", warn=True)
    return bench, found


def first_words(bench: Workbench) -> list[ipywidgets.Widget]:
    """Give what the bench says as its page opens, as a line; none where it says nothing."""
    if not bench.status:
        return []
    return [ipywidgets.HTML(f'<p role="status">{html.escape(bench.status)}</p>')]


def take_from_log(bench: Workbench, log: Logbook) -> bool:
    """Put the log's last machine on the bench, a step that Undo takes back; whether it differed.

    Raises:
        MachineError: its dials make no machine.
    """
    machine = current_machine(log, bench.opened)
    changes = {
        path: value
        for path, value in machine.values.items()
        if value != bench.machine[path] and path not in machine.derived
    }
    if changes:
        bench.change(changes)
    return bool(changes)


class FieldError(ValueError):
    """What is wrong with one field of a form."""

    def __init__(self, field: ipywidgets.Widget, words: str) -> None:
        super().__init__(words)
        self.field = field


class Fields:
    """Makes the fields of a form, all as wide, each with a layout of its own.

    Args:
        width: of a field with its words.
        words: width of the words.
        look: more of the layout.
    """

    def __init__(self, width: str, words: str = "8.5em", **look: str) -> None:
        self.look = {"width": f"min(100%, {width})", **look}
        self.style = {"description_width": words}

    def _made(self, kind: Any, words: str, **more: Any) -> Any:
        layout = ipywidgets.Layout(**self.look)
        return kind(description=words, layout=layout, style=self.style, **more)

    def text(self, words: str = "", hint: str = "", value: str = "") -> ipywidgets.Text:
        """Make a field to type in."""
        return self._made(ipywidgets.Text, words, placeholder=hint, value=value)

    def choice(self, words: str, options: Any, value: Any = None) -> ipywidgets.Dropdown:
        """Make a field to choose in; the first of the options if none is named."""
        chosen = {} if value is None else {"value": value}
        return self._made(ipywidgets.Dropdown, words, options=options, **chosen)

    def area(self, words: str) -> ipywidgets.Textarea:
        """Make a field to type several lines in."""
        return self._made(ipywidgets.Textarea, words)


class Drawn(ipywidgets.Image):
    """A figure on the page, out of sight until there is one; its text says what it shows."""

    # The browser gives a hint to a widget with a description alone, and this kind has none.
    description = traitlets.Unicode("").tag(sync=True)

    def __init__(self) -> None:
        super().__init__(format="png", layout=ipywidgets.Layout(display="none"))
        self.add_class("sw-sheet")

    def show(self, figure: Any, words: str) -> None:
        """Show a figure."""
        self.value, self.tooltip = figure._repr_png_(), words
        self.layout.display = ""


class LogPage(Part):
    """A whole page on one bench and one log.

    Args:
        machine: a Machine, the name or path of a machine file, a job, or a Workbench.
        log: an open log, its file, or a name in the folder of logs; that of the job if left out.
        bare: without tools, which stand elsewhere.
    """

    watches_status = True
    widget: ipywidgets.Box
    answers: tuple[ipywidgets.DOMWidget, ...] = ()

    def __init__(
        self,
        machine: Machine | Workbench | Job | str | Path,
        log: Logbook | Path | str | None = None,
        *,
        bare: bool = False,
    ) -> None:
        bench, self.log = open_page(machine, log)
        self.bare = bare
        super().__init__(bench)

    def _make(self) -> ipywidgets.Box:
        shown: list[ipywidgets.Widget] = [LogStyle()]
        self.tools = None if self.bare else Tools(self.bench)
        if self.tools is not None:
            shown += [self.tools.widget, *first_words(self.bench)]
        self.place = None
        if self.bench.keeping is None:
            self.place = LogPlace(
                lambda: self.log, self.open, self.again, lambda action: self.bench.attempt(action)
            )
            shown.append(self.place.widget)
        box = ipywidgets.VBox(shown) if self.bare else panel(*shown)
        self.ends = [one for one in (self.place, self.tools) if one is not None]
        self._above = box.children
        self._show_body(box)
        box.add_class("sw-log")
        return box

    def _show_body(self, box: ipywidgets.Box) -> None:
        body = self._body()
        box.children = (*self._above, *body)
        for one in self.answers:
            one.add_class("sw-answer")

    def _body(self) -> list[ipywidgets.Widget]:
        """Make the parts of the page, and give what is shown of them."""
        raise TypeError(f"{type(self).__name__} has no parts")

    def open(self, path: str) -> None:
        """Open another log on this page, or make it for the machine on the bench.

        Raises:
            LogbookError: it cannot be opened; the page keeps the log that it has.
            ValueError: no log is named.
        """
        if not path:
            raise ValueError("Other log: name a log or its file, and press Open")
        self._change_to(open_log(typed_log(path), self.bench.machine.name))
        self.bench.say(f"the log is now {self.log.path}")

    def _change_to(self, log: Logbook) -> None:
        self.log = log
        for part in self.parts:
            part.close()
        self._show_body(self.widget)
        self.again()

    def again(self) -> None:
        """Read the log again, with what others wrote into it."""
        for part in self.parts:
            part.refresh()
        self.refresh()

    def refresh(self) -> None:
        """Tell where the log lies as it is now; go over to the log of the job that is open."""
        if self.place is not None:
            self.place.refresh()
        elif self.bench.keeping.log is not self.log:
            self._change_to(self.bench.keeping.log)

    def _lay(self, **parts: Part) -> None:
        """Take the parts of this page; the controls of each are named NAME.CONTROL."""
        self.parts = tuple(parts.values())
        self.controls = {
            f"{name}.{key}": one
            for name, part in parts.items()
            for key, one in part.controls.items()
        }


class LogPart(Part):
    """A part of a page that reads and writes a log and has a status line of its own.

    The line tells of this part alone: what another part says empties it.

    Args:
        bench: the shared bench.
        log: an open log.
    """

    watches_status = True
    named: Sequence[tuple[str, str, str]] = ()
    """Controls whose words have the unit that is shown: name, words, SI unit or `N by hand`."""

    def __init__(self, bench: Workbench, log: Logbook) -> None:
        self.log = log
        self.status = ipywidgets.HTML()
        self.status.add_class("sw-said")
        self.work = LongWork(self.attempt, self.say)
        self.ends = (self.work,)
        self._speaks = False
        self._fault: tuple[ipywidgets.Box, ipywidgets.HTML, ipywidgets.Widget] | None = None
        super().__init__(bench)

    def button(self, words: str, hint: str, action: Callable[[], object]) -> ipywidgets.Button:
        """Make a button that does one thing; what goes wrong is said in this part's line."""
        made = button(words, hint, lambda: self.attempt(action), self.bench)
        made.layout.align_self = "flex-start"
        return made

    def upload(
        self, words: str, hint: str, accept: str, take: Callable[[str, bytes], object]
    ) -> ipywidgets.FileUpload:
        """Make a button that takes a file's name and content; it may come again."""
        made = ipywidgets.FileUpload(
            accept=accept,
            multiple=False,
            description=words,
            tooltip=hint,
            layout=ipywidgets.Layout(width="auto", align_self="flex-start"),
        )

        def came() -> None:
            if made.value:
                name, content = str(made.value[0]["name"]), bytes(made.value[0]["content"])
                made.value = ()
                take(name or "file", content)

        made.observe(lambda _: self.attempt(came), names="value")
        return made

    def attempt(self, action: Callable[[], object]) -> str:
        """Do something for a control; what goes wrong is said in this part's line and returned."""
        before, self._speaks = self._speaks, True

        def act() -> None:
            self._point_at(None, "")
            try:
                action()
            except FieldError as error:
                self._point_at(error.field, str(error))
                raise

        try:
            return self.bench.attempt(act)
        finally:
            self._speaks = before

    def _point_at(self, field: ipywidgets.Widget | None, words: str) -> None:
        """Say beside a field what is wrong with it, and no longer what was wrong before."""
        if self._fault is not None:
            box, note, wrong = self._fault
            box.children = [one for one in box.children if one is not note]
            note.close()
            wrong.remove_class("sw-bad")
            self._fault = None
        around = None if field is None else _box_of(self.widget, field)
        if field is not None and around is not None:
            note = ipywidgets.HTML(f"<p>{html.escape(words)}</p>")
            note.add_class("sw-fault")
            field.add_class("sw-bad")
            place = around.children.index(field) + 1
            around.children = [*around.children[:place], note, *around.children[place:]]
            self._fault = (around, note, field)

    def say(self, words: str, *, warn: bool = False) -> None:
        """Put words into the status line of the page and of this part."""
        before, self._speaks = self._speaks, True
        try:
            self.bench.say(words, warn=warn)
        finally:
            self._speaks = before

    def refresh(self) -> None:
        """Show the status line as it is now, for eyes and for screen readers, and the rest."""
        words = self.bench.status if self._speaks else ""
        warn = self.bench.warn and self._speaks
        mark = "\N{BALLOT X} " if warn else ""
        role = "alert" if warn else "status"
        told = f'<p role="{role}">{mark}{html.escape(words)}</p>'
        if self.status.value != told:
            self.status.value = told
        for name, label, unit in self.named:
            if name in self.controls:
                self.controls[name].description = labelled(label, unit, self.bench.system)
        self.draw()

    def draw(self) -> None:
        """Show what was found, in the units that are on."""


def _box_of(box: ipywidgets.Widget, field: ipywidgets.Widget) -> ipywidgets.Box | None:
    """Give the box that holds a field, in a box or deeper."""
    inside = getattr(box, "children", ())
    if field in inside:
        return box
    return next((found for one in inside if (found := _box_of(one, field)) is not None), None)


def shown_unit(unit: str, system: units.System) -> tuple[float, str]:
    """Give the unit that a bare number in a field has: its size in SI, and its name.

    `N by hand` is a force that a person makes: in newtons, not in thousands of them.

    >>> shown_unit("N", "metric"), shown_unit("N by hand", "metric")
    ((1000.0, 'kN'), (1.0, 'N'))
    """
    if unit == BY_HAND:
        return (1.0, "N") if system == "metric" else units.factor("N", system)
    return units.factor(unit, system)


def amount(control: ipywidgets.Text, unit: str, system: units.System) -> float | None:
    """Read a number off a text field; see `typed_amount`."""
    name = (control.description or control.tooltip or "").split(" [")[0]
    try:
        return typed_amount(control.value, name, unit, system)
    except ValueError as error:
        raise FieldError(control, str(error)) from None


def typed_amount(text: str, name: str, unit: str, system: units.System) -> float | None:
    """Read a number that was typed into a field, in SI; None where the field is empty.

    Args:
        text: what was typed; a bare number is in the unit that `system` shows, another unit may
            stand behind it.
        name: of the field.
        unit: SI unit, or `N by hand`.
        system: metric or US.

    Raises:
        ValueError: it is no such number; the words name the field.
    """
    text = text.strip()
    if not text:
        return None
    one, label = shown_unit(unit, system)
    try:
        number = units.number_or_none(text)
        if number is not None:
            return number * one
        return units.quantity(text, "N" if unit == BY_HAND else unit)
    except units.UnitError as error:
        if "," in text:
            raise ValueError(f"{name}: {text[:40]!r}: {error}") from error
        how = f"write it as 101.5, in {label}"
        raise ValueError(f"{name}: {text[:40]!r} is not a number; {how}") from None


def refilled(value: float | None, unit: str, system: units.System) -> str:
    """Write a value into a field so that `typed_amount` reads it again, to six figures."""
    return "" if value is None else f"{value / shown_unit(unit, system)[0]:.6g}"


def labelled(words: str, unit: str, system: units.System) -> str:
    """Write a field's name with the unit that a bare number in it has.

    >>> labelled("Range", "m", "US")
    'Range [ft]'
    """
    return f"{words} [{shown_unit(unit, system)[1]}]"

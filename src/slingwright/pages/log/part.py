"""What the parts of the pages on a log share: the log, a status line each, work that takes long."""

from __future__ import annotations

import contextlib
import html
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import anywidget
import ipywidgets
import traitlets

from slingwright.logbook import Logbook
from slingwright.logbook.job import DEMO
from slingwright.machine.machine import MachineError
from slingwright.pages.log.place import open_log, typed_log
from slingwright.pages.log.records import current_machine
from slingwright.pages.parts.beside import LongWork
from slingwright.pages.parts.fields import FieldError, Fields, labelled
from slingwright.pages.parts.keeping import Start, bench_of
from slingwright.pages.parts.page import Tools
from slingwright.pages.parts.parts import STYLE, Part, box, button, panel
from slingwright.pages.parts.workbench import Workbench


def open_page(machine: Start, log: Logbook | Path | str | None) -> tuple[Workbench, Logbook]:
    """Give the bench and the log of a page, the log's last machine on the bench.

    So a revision that is saved from the page follows the last one. Undo gives the machine of the
    file; a bench that was there already stays as it is.

    Raises:
        LogbookError, MachineError: log or machine cannot be opened.
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


def take_from_log(bench: Workbench, log: Logbook) -> bool:
    """Put the log's last machine on the bench, a step that Undo takes back; whether it differed."""
    machine = current_machine(log, bench.opened)
    changes = {
        path: value
        for path, value in machine.values.items()
        if value != bench.machine[path] and path not in machine.derived
    }
    if changes:
        bench.change(changes)
    return bool(changes)


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


class LogStyle(anywidget.AnyWidget):
    """Brings the pages' style sheet to the browser; one stands on each page."""

    _esm = "export default { render({ el }) { el.style.display = 'none'; } };"
    _css = STYLE + (Path(__file__).parent / "log.css").read_text(encoding="utf-8")


class LogPlace(Part):
    """The line that tells where the log of a page lies, opens another, and reads it again."""

    watches_status = True

    def __init__(self, page: LogPage) -> None:
        self.page = page
        super().__init__(page.bench)

    def _make(self) -> ipywidgets.Box:
        page, self.words = self.page, ipywidgets.HTML()
        hint = "a name, or a file such as /home/wren/fair.log"
        self.path = Fields("min(100%, 34em)").text("Other log", hint)
        self.open = ipywidgets.Button(description="Open", tooltip="Open that log, or make it new")
        self.again = ipywidgets.Button(
            description="Refresh", tooltip="Read the log again: others may have written into it"
        )
        other = lambda: page.open(self.path.value.strip())  # noqa: E731
        self.open.on_click(lambda _: self.bench.attempt(other))
        self.again.on_click(lambda _: self.bench.attempt(page.again))
        line = ipywidgets.HBox([self.path, self.open, self.again])
        line.layout.flex_flow = "row wrap"
        whole = ipywidgets.VBox([self.words, line])
        whole.add_class("sw-log-place")
        return whole

    def refresh(self) -> None:
        """Tell where the log lies and how long it is."""
        log = self.page.log
        count, path = len(log), html.escape(str(log.path.absolute()))
        told = (
            f"<p>Log of {html.escape(log.machine)}: <code>{path}</code>, "
            f"{count} entr{'y' if count == 1 else 'ies'}. Each is on the disk once it is "
            "written.</p>"
        )
        if self.words.value != told:
            self.words.value = told


class LogPage(Part):
    """A whole page on one bench and one log; a `bare` one is without tools, which stand elsewhere.

    A log is an open one, its file, or a name in the folder of logs; that of the job if left out.
    """

    watches_status = True
    widget: ipywidgets.Box
    answers: tuple[ipywidgets.DOMWidget, ...] = ()

    def __init__(
        self, machine: Start, log: Logbook | Path | str | None = None, *, bare: bool = False
    ) -> None:
        bench, self.log = open_page(machine, log)
        self.bare = bare
        super().__init__(bench)

    def _make(self) -> ipywidgets.Box:
        shown: list[ipywidgets.Widget] = [LogStyle()]
        self.tools = None if self.bare else Tools(self.bench)
        if self.tools is not None:
            shown.append(self.tools.widget)
            if self.bench.status:
                told = f'<p role="status">{html.escape(self.bench.status)}</p>'
                shown.append(ipywidgets.HTML(told))
        self.place = LogPlace(self) if self.bench.keeping is None else None
        if self.place is not None:
            shown.append(self.place.widget)
        whole = ipywidgets.VBox(shown) if self.bare else panel(*shown)
        self.ends = [one for one in (self.place, self.tools) if one is not None]
        self._above = whole.children
        self._show_body(whole)
        whole.add_class("sw-log")
        return whole

    def _show_body(self, whole: ipywidgets.Box) -> None:
        whole.children = (*self._above, *self._body())
        for one in self.answers:
            one.add_class("sw-answer")

    def _body(self) -> list[ipywidgets.Widget]:
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
    """

    watches_status = True
    named: Sequence[tuple[str, str, str]] = ()
    """Controls whose words have the unit that is shown: name, words, SI unit or `N by hand`."""
    found: Any = None
    """What the work of this part has found; `answer` is where it is shown."""

    def __init__(self, bench: Workbench, log: Logbook) -> None:
        self.log = log
        self.status, self.answer = ipywidgets.HTML(), ipywidgets.HTML()
        self.status.add_class("sw-said")
        self.work = LongWork(self.attempt, self.say)
        self.ends = (self.work,)
        self._speaks = False
        self._fault: tuple[ipywidgets.Box, ipywidgets.HTML, ipywidgets.Widget] | None = None
        super().__init__(bench)

    def button(
        self, words: str, hint: str, action: Callable[[], object], *, main: bool = False
    ) -> ipywidgets.Button:
        """Make a button that does one thing; what goes wrong is said in this part's line."""
        made = button(words, hint, lambda: self.attempt(action), self.bench)
        made.button_style = "primary" if main else ""
        made.layout.align_self = "flex-start"
        return made

    def upload(
        self, words: str, hint: str, accept: str, take: Callable[[str, bytes], object]
    ) -> ipywidgets.FileUpload:
        """Make a button that takes a file's name and content; it may come again."""
        kind: dict[str, Any] = {"accept": accept, "multiple": False, "tooltip": hint}
        made = Fields(align_self="flex-start").made(ipywidgets.FileUpload, words, **kind)

        def came() -> None:
            if made.value:
                name, content = str(made.value[0]["name"]), bytes(made.value[0]["content"])
                made.value = ()
                take(name or "file", content)

        made.observe(lambda _: self.attempt(came), names="value")
        return made

    def attempt(self, action: Callable[[], object]) -> str:
        """Do something for a control; what goes wrong is said in this part's line and returned."""

        def act() -> None:
            self._point_at(None, "")
            try:
                action()
            except FieldError as error:
                self._point_at(error.field, str(error))
                raise

        with self._speaking():
            return self.bench.attempt(act)

    def _point_at(self, field: ipywidgets.Widget | None, words: str) -> None:
        if self._fault is not None:
            around, note, wrong = self._fault
            around.children = [one for one in around.children if one is not note]
            note.close()
            wrong.remove_class("sw-bad")
            self._fault = None
        holder = None if field is None else _box_of(self.widget, field)
        if field is not None and holder is not None:
            note = ipywidgets.HTML(f"<p>{html.escape(words)}</p>")
            note.add_class("sw-fault")
            field.add_class("sw-bad")
            place = holder.children.index(field) + 1
            holder.children = [*holder.children[:place], note, *holder.children[place:]]
            self._fault = (holder, note, field)

    def say(self, words: str, *, warn: bool = False) -> None:
        """Put words into the status line of the page and of this part."""
        with self._speaking():
            self.bench.say(words, warn=warn)

    @contextlib.contextmanager
    def _speaking(self) -> Iterator[None]:
        before, self._speaks = self._speaks, True
        try:
            yield
        finally:
            self._speaks = before

    def refresh(self) -> None:
        """Show the status line as it is now, for eyes and for screen readers, and the rest."""
        words = html.escape(self.bench.status) if self._speaks else ""
        told = f'<p role="status">{words}</p>'
        if self.bench.warn and self._speaks:
            told = f'<p role="alert">\N{BALLOT X} {words}</p>'
        if self.status.value != told:
            self.status.value = told
        for name, label, unit in self.named:
            if name in self.controls:
                self.controls[name].description = labelled(label, unit, self.bench.system)
        self.draw()

    def draw(self) -> None:
        """Show what was found, in the units that are on."""

    def laid(self, *inside: Part | ipywidgets.Widget, classes: str = "sw-part") -> ipywidgets.Box:
        """Put what the part shows below one another."""
        return box(classes, *inside, kind=ipywidgets.VBox)


def _box_of(whole: ipywidgets.Widget, field: ipywidgets.Widget) -> ipywidgets.Box | None:
    inside = getattr(whole, "children", ())
    if field in inside:
        return whole
    return next((found for one in inside if (found := _box_of(one, field)) is not None), None)

"""The part `what if`: proposed changes in rows, weighed together and apart; one may be kept."""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import ipywidgets

from slingwright.changing.file import change_of_line, changes_text, parse_changes, read_changes
from slingwright.changing.tables import change_table, draw_what_if, order_table
from slingwright.changing.what_if import Change, WhatIf, what_if
from slingwright.machine.machine import shown
from slingwright.machine.table import dials
from slingwright.motion.shown.drawings import sheet
from slingwright.pages.log.part import Drawn, LogPart
from slingwright.pages.log.records import keep_change, story_of
from slingwright.pages.parts.fields import FIT, Fields
from slingwright.pages.parts.parts import box, row
from slingwright.pages.parts.workbench import NO_NAME
from slingwright.places import data_folder

FIRST = "changes/otter_fair.toml"  # changes that stand in the rows at first, of the kit's data
LONGEST_FILE = 200_000  # bytes
FORM = Fields("min(100%, 40em)", "10.5em")


class ChangeRow:
    """The fields of one proposed change."""

    def __init__(self, change: Change) -> None:
        parts = [f"{path}={value}" for path, value in change.dials.items()]
        parts += [f"measures={path}" for path in change.measures]
        parts += [f"stock={much:g} {kind}" for kind, much in change.stock.items()]
        words = "; ".join(parts + [f"people={change.people}"] * (change.people > 1))
        self.fields = {
            "name": _field(change.name, "name of the change", "1 1 9em"),
            "dials": _field(words, "PATH=VALUE; PATH=VALUE", "3 1 18em"),
            "cost": _field(f"{change.cost:g}" if change.cost else "", "cost", "0 1 5em"),
            "hours": _field(f"{change.hours:g}" if change.hours else "", "hours", "0 1 5em"),
        }
        self.drop = ipywidgets.Button(
            description="\N{MULTIPLICATION SIGN}",
            tooltip="Take this change away",
            layout=ipywidgets.Layout(width="2.4em"),
        )
        self.widget = box("sw-row sw-changerow", *self.fields.values(), self.drop)

    @property
    def empty(self) -> bool:
        """Whether nothing stands in the row."""
        return not any(field.value.strip() for field in self.fields.values())

    def change(self) -> Change:
        """Read the change off the fields.

        Raises:
            WhatIfError: it is no change; the message says what to write.
        """
        of = {name: field.value.strip() for name, field in self.fields.items()}
        more = "".join(f"; {key}={of[key]}" for key in ("cost", "hours") if of[key])
        return change_of_line(f"{of['name'].replace(':', ' ')}: {of['dials']}{more}")


def _field(value: str, words: str, flex: str) -> ipywidgets.Text:
    return Fields(flex=flex, min_width="4em").text("", words, value, tooltip=words)


class ChangeWeigher(LogPart):
    """Proposed changes, a row each, weighed alone, together and left out; one may be kept."""

    def _make(self) -> ipywidgets.Box:
        self._drawn: object = None
        self.rows: list[ChangeRow] = []
        self.picture = Drawn()
        self._list = ipywidgets.VBox()
        file = "A file of changes: one [[change]] each, with name, dials, cost and hours"
        weigh = "Look at the changes alone, together and left out"
        named = "Name of the file of changes to write"
        self.controls = {
            "dial": Fields(flex="2 1 16em").made(
                ipywidgets.Combobox,
                options=[dials.dial(path).named for path in _numbers()],
                placeholder="dial to change, type to find one",
                tooltip="Dial to change",
                ensure_option=True,
            ),
            "value": Fields(flex="1 1 9em").text(
                hint="new value, such as 720 kg", tooltip="New value of the dial"
            ),
            "add": self.button("Add change", "Add a row with this dial's new value", self.add),
            "weigh": self.button("Weigh", weigh, self.weigh, main=True),
            "learned": FIT.tick("as learned from the log's shots, from its last machine"),
            "stop": self.work.stop_button,
            "which": FORM.choice("Keep", ["weigh first"]),
            "reason": FORM.text("Why", "the reason, for the log"),
            "author": FORM.text("Who writes"),
            "keep": self.button("Keep change", "Make it, as a revision in the log", self.keep),
            "file": FIT.text(hint="name of a new file", tooltip=named, width="13em"),
            "save": self.button("Save changes", "Write the rows into that file", self.save),
            "open": self.upload("Open changes", file, ".toml", self._opened),
        }
        self.propose(read_changes(data_folder() / FIRST))
        of = self.controls
        self._keeping = ipywidgets.VBox([of["which"], of["reason"], of["author"], of["keep"]])
        self._keeping.layout.display = "none"
        head = ipywidgets.HTML(
            "<p>A change a row: its name, what it sets (a dial's path and value, <code>;</code> "
            "between two), what it costs and how many hours it takes. For a day plan it may "
            "also say <code>people=2</code>, <code>stock=3 sack of sand</code>, "
            "<code>measures=arm.mass</code>.</p>"
        )
        words = ("change", "sets", "cost", "hours", "")
        heads = box("sw-row sw-heads", *(ipywidgets.HTML(word) for word in words))
        return self.laid(
            *(head, heads, self._list, row(of["dial"], of["value"], of["add"])),
            row(of["weigh"], of["learned"], of["stop"], self.status),
            *(self.answer, self.picture, self._keeping),
            ipywidgets.HTML("<p>The rows as a file, to weigh again another day:</p>"),
            row(of["file"], of["save"], of["open"]),
        )

    def propose(self, changes: Sequence[Change]) -> None:
        """Put changes into the rows, in place of those there."""
        self.rows = [self._row(change) for change in changes]
        self._lay()

    def _row(self, change: Change) -> ChangeRow:
        made = ChangeRow(change)
        made.drop.on_click(lambda _: self._drop(made))
        return made

    def _drop(self, gone: ChangeRow) -> None:
        self.rows = [one for one in self.rows if one is not gone]
        self._lay()

    def _lay(self) -> None:
        self._list.children = [one.widget for one in self.rows]

    def add(self) -> None:
        """Add a row that sets the chosen dial to the typed value.

        Raises:
            ValueError: no dial was chosen, or no value typed.
        """
        label, value = self.controls["dial"].value, self.controls["value"].value.strip()
        path = next((one for one in _numbers() if dials.dial(one).named == label), "")
        if not path or not value:
            now = f" (now {shown(dials.dial(path), self.bench.machine[path])})" if path else ""
            raise ValueError(f"choose a dial and type its new value with its unit{now}")
        name = f"{dials.dial(path).label.lower()} {value}"
        self.rows.append(self._row(Change(name=name, dials={path: value})))
        self.controls["dial"].value = self.controls["value"].value = ""
        self._lay()
        self.say(f"added: {name}")

    def proposed(self) -> list[Change]:
        """Read the changes off their rows; empty rows are passed over.

        Raises:
            WhatIfError: a row that is no change.
        """
        return [one.change() for one in self.rows if not one.empty]

    def weigh(self) -> None:
        """Weigh the proposed changes."""
        machine, changes = self.bench.machine, self.proposed()
        story = story_of(self.log, machine) if self.controls["learned"].value else None
        self.say("weighing the changes \N{HORIZONTAL ELLIPSIS}")

        def work(report: Callable[[int, int], Any]) -> WhatIf:
            if story is None:
                return what_if(machine, changes, progress=report)
            return what_if(story.machine, changes, belief=story.learn().belief, progress=report)

        self.work.start(
            work,
            self._show,
            lambda known, most: self.say(f"weighing: {known} of at most {most} machines"),
        )

    def _show(self, found: WhatIf) -> None:
        self.found = found
        self.controls["which"].options = [change.name for change in found.changes]
        self._keeping.layout.display = ""
        self.draw()
        self.say(f"weighed {len(found.changes)} changes")

    def draw(self) -> None:
        """Show what was weighed, in the units that are on."""
        found, system = self.found, self.bench.system
        if found is None or self._drawn == (id(found), system):
            return
        self._drawn = (id(found), system)
        advice = found.advice(system).splitlines()
        lines = "".join(f"<li>{html.escape(line)}</li>" for line in advice)
        self.answer.value = (
            change_table(found, system)._repr_html_()
            + order_table(found, system)._repr_html_()
            + f"<ul>{lines}</ul>"
        )
        figure, axes = sheet(height=0.5 + 0.38 * len(found.states))
        draw_what_if(axes, found, system)
        self.picture.show(figure, "Range and worst use of every state; the table has the numbers")

    def keep(self) -> None:
        """Make the chosen change: a revision in the log, and the bench's machine.

        Raises:
            ValueError: nothing was weighed.
            LogbookError: it could not be written; the bench stays as it is.
        """
        weighed, wanted = self.found.changes if self.found else (), self.controls["which"].value
        chosen = next((one for one in weighed if one.name == wanted), None)
        if chosen is None:
            raise ValueError("nothing was weighed yet: press Weigh, then choose what to keep")
        kept = replace(chosen, reason=self.controls["reason"].value)
        author = self.controls["author"].value
        entry = keep_change(self.log, self.bench.machine, kept, author=author)
        self.bench.change(chosen.dials)
        self.controls["reason"].value = ""
        self.say(f"{chosen.name}: kept as entry {entry.number}")

    def save(self) -> Path:
        """Write the rows into a new file in the folder `changes`, beside the machine files.

        Raises:
            ValueError: the name is no plain file name.
            FileExistsError: there is such a file; it is left as it is.
        """
        name = self.controls["file"].value.strip().removesuffix(".toml")
        if not re.fullmatch(r"\w[\w -]{0,79}", name):
            raise ValueError(f"{name[:80]!r} {NO_NAME}")
        text = changes_text(self.proposed())
        path = self.bench.folder / "changes" / f"{name}.toml"
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            with path.open("x", encoding="utf-8") as file:
                file.write(text)
        except FileExistsError:
            raise FileExistsError(
                f"{path.name} is already there and was left as it was; choose another name"
            ) from None
        self.say(f"saved as {path}")
        return path

    def _opened(self, name: str, content: bytes) -> None:
        if len(content) > LONGEST_FILE:
            raise ValueError(f"{name[:60]}: longer than {LONGEST_FILE} bytes; no file of changes")
        self.propose(parse_changes(content.decode("utf-8", "replace"), name[:60]))
        self.say(f"{len(self.rows)} changes opened from {name[:60]}")


def _numbers() -> list[str]:
    return [path for path, one in dials.BY_PATH.items() if one.kind == "number"]

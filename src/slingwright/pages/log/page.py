"""The page `build log`: write an entry, read the diary, keep a revision.

Text that was typed is text: it is shown as it stands and does nothing.
"""

from __future__ import annotations

import base64

import ipywidgets

from slingwright.logbook import Entry, Logbook, Part, Photo, Record, entries
from slingwright.logbook.photos import photo_folder
from slingwright.logbook.shown.diary import diary_html
from slingwright.pages.log.correcting import CorrectingForm
from slingwright.pages.log.part import LogPage, LogPart, take_from_log
from slingwright.pages.log.records import save_revision, show_value
from slingwright.pages.parts.fields import BY_HAND, FieldError, Fields, amount
from slingwright.pages.parts.parts import row

LARGEST_PHOTO = 4_000_000
"""Bytes of a photo that is shown on the page; a larger one lies beside the log all the same."""
FORM = Fields("min(100%, 30em)", "8.5em")
LATEST = 12  # entries that stand on the page; the rest is in the export
NUMBERS = {
    "hours": "Hours [h]", "amount": "Amount", "value": "Value", "sd": "Give or take",
    "rated_load": "Rated load [N]",
}  # fmt: skip
WORDS = {
    "author": "Who writes", "what": "What", "reason": "Why", "who": "Who worked",
    "item": "Paid for", "currency": "Currency", "unit": "Unit", "path": "Dial, if one",
    "known": "What is known", "done": "Done about it", "entry": "Entry no.",
}  # fmt: skip
_MAY_BE_EMPTY = ("sd", "rated_load")
_FIELDS: dict[str, dict[str, str]] = {
    kind: {name: "what" if name in ("name", "task", "thing") else name for name in names.split()}
    for kind, names in (
        ("decision", "what reason"),
        ("part", "name origin rating rated_load known"),
        ("hours", "who hours task"),
        ("cost", "item amount currency"),
        ("incident", "what severity done"),
        ("measurement", "thing value unit sd path"),
    )
}
"""Fields of each kind of entry, and the control of each: what it is of is said in one."""
_FIELDS_IN_ORDER = (
    *("what", "reason", "who", "hours", "item", "amount", "currency", "origin", "rating"),
    *("rated_load", "known", "severity", "done", "value", "unit", "sd", "path"),
)
KINDS = tuple(_FIELDS)


class EntryForm(CorrectingForm):
    """One form for the kinds of entry that are written in words: choose the kind, fill, write."""

    kinds = KINDS
    emptied = ("what", "reason", "item", "known", "done")

    def _make(self) -> ipywidgets.Box:
        text = {name: FORM.text(label) for name, label in (WORDS | NUMBERS).items()}
        text["currency"].value = "EUR"
        choices = {
            name: FORM.choice(label, options)
            for name, label, options in (
                ("kind", "Kind of entry", KINDS),
                ("origin", "Where from", entries.ORIGINS),
                ("rating", "Rating", entries.RATINGS),
                ("severity", "How bad", entries.SEVERITIES),
            )
        }
        text["what"].placeholder = "in a few words"
        text["entry"].placeholder = "to correct or strike"
        self.controls = {**text, **choices, "note": FORM.made(ipywidgets.Textarea, "Note")}
        self._add_buttons(text["entry"])
        choices["kind"].observe(lambda _: self._show_fields(), names="value")
        self._show_fields()
        order = ("author", "kind", *_FIELDS_IN_ORDER, "note", "write")
        mend = row(*(self.controls[name] for name in ("entry", "correct", "strike")))
        shown = [self.controls[name] for name in order]
        return self.laid(*shown, self.status, mend, classes="sw-form")

    def _show_fields(self) -> None:
        wanted = _FIELDS[self.controls["kind"].value].values()
        for name in _FIELDS_IN_ORDER:
            self.controls[name].layout.display = "" if name in wanted else "none"

    def record(self) -> Record:
        """Give the entry that the form describes.

        Raises:
            LogbookError: what is said makes no such entry.
            ValueError: a number that is missing or cannot be read; the words name the field.
        """
        kind = self.controls["kind"].value
        said = {field: self._value(name) for field, name in _FIELDS[kind].items()}
        if kind == Part.kind and said["rating"] != "rated":
            said["rated_load"] = None
        old = None if self.correcting is None else self.correcting.record
        if old is not None and old.kind == kind:
            return entries.record_from_body(kind, {**entries.record_body(old), **said})
        return entries.record_from_body(kind, said)

    def _value(self, name: str) -> str | float | None:
        control = self.controls[name]
        if name not in NUMBERS:
            return str(control.value).strip() if name == "path" else str(control.value)
        number = amount(control, BY_HAND if name == "rated_load" else "-", "metric")
        if number is None and name not in _MAY_BE_EMPTY:
            label = control.description.split(" [")[0]
            raise FieldError(control, f"{label}: no number is given; write it as 2.5")
        return number or None if name in _MAY_BE_EMPTY else number

    def fill(self, entry: Entry) -> None:
        """Show an entry in the form."""
        self.controls["kind"].value = entry.kind
        for field, name in _FIELDS[entry.kind].items():
            value = getattr(entry.record, field)
            self.controls[name].value = (
                "" if value is None else repr(value) if name in NUMBERS else value
            )


class Revisions(LogPart):
    """Save the bench's machine as a revision, or put the log's last one on the bench."""

    def _make(self) -> ipywidgets.Box:
        save = "Write the bench's machine into the log"
        take = "Put the log's last machine on the bench"
        self.controls = {
            "note": FORM.text("Why changed"),
            "author": FORM.text("Who writes"),
            "save": self.button("Save as revision", save, self.save),
            "take": self.button("Take from log", take, self.take),
        }
        return ipywidgets.VBox([*self.controls.values(), self.status])

    def save(self) -> None:
        """Write the bench's machine as a revision with its reason and its calculated numbers.

        Raises:
            LogbookError: there is no reason, or it could not be written.
        """
        entry = save_revision(
            self.log,
            self.bench.machine,
            note=self.controls["note"].value,
            author=self.controls["author"].value,
        )
        self.controls["note"].value = ""
        self.say(f"revision kept as entry {entry.number}")

    def take(self) -> None:
        """Put the log's last machine on the bench; a step that Undo takes back."""
        if not take_from_log(self.bench, self.log):
            self.say("the bench has the log's last machine already")


class PhotoForm(LogPart):
    """Copy a picture in beside the log, with a caption."""

    def _make(self) -> ipywidgets.Box:
        hint = "A picture is copied in beside the log, under the hash of its content"
        self.controls = {
            "caption": FORM.text("Caption"),
            "photo": self.upload("Add a photo", hint, "image/*", self._keep),
        }
        return ipywidgets.VBox([*self.controls.values(), self.status])

    def _keep(self, name: str, content: bytes) -> None:
        entry = self.log.add_photo(content, name=name, caption=self.controls["caption"].value)
        self.controls["caption"].value = ""
        self.say(f"photo kept as entry {entry.number}")


class Diary(LogPart):
    """The last entries as a build diary, newest day last."""

    def _make(self) -> ipywidgets.HTML:
        self._seen = -1
        return ipywidgets.HTML()

    def refresh(self) -> None:
        """Read the log again where it has grown."""
        count = len(self.log)
        if count != self._seen:
            self._seen = count
            self.widget.value = latest_html(self.log)


def latest_html(log: Logbook, most: int = LATEST) -> str:
    """Give the last entries of a log as part of a page, with a word on how many more there are."""

    def place(photo: Photo) -> str:
        path = photo_folder(log.path) / photo.file_name
        try:
            content = path.read_bytes() if photo.size <= LARGEST_PHOTO else b""
        except OSError:
            content = b""
        if not content:
            return ""
        return f"data:image/{photo.ending};base64,{base64.b64encode(content).decode('ascii')}"

    whole = diary_html(log, show=show_value, whole_page=False, place=place)
    parts = whole.split("<article")
    head, entries = parts[0], parts[1:]
    left = len(entries) - most
    if left <= 0:
        return whole
    title = head.split("<h2", 1)[0]
    told = f"<p>{left} earlier entries are in the log; the export has them all.</p>"
    return title + told + "".join(f"<article{part}" for part in entries[-most:])


class BuildLog(LogPage):
    """Diary, entry form, revisions, on one log and one bench; arguments as for `LogPage`."""

    def _body(self) -> list[ipywidgets.Widget]:
        self.form = EntryForm(self.bench, self.log)
        self.revisions = Revisions(self.bench, self.log)
        self.photos = PhotoForm(self.bench, self.log)
        self.diary = Diary(self.bench, self.log)
        self._lay(form=self.form, revision=self.revisions, photo=self.photos, diary=self.diary)
        self.answers = (self.diary.widget,)
        shown: list[ipywidgets.Widget] = []
        for head, part in zip(("Write", "Revision", "Photo", "Diary"), self.parts, strict=True):
            shown += [ipywidgets.HTML(f"<h2>{head}</h2>"), part.widget]
        return shown

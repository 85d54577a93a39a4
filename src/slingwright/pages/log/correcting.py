"""A form that writes entries, and takes one of them up again to correct or to strike it."""

from __future__ import annotations

import contextlib
from collections.abc import Callable

import ipywidgets

from slingwright.amounts import units
from slingwright.logbook import Entry, Record
from slingwright.pages.log.part import LogPart
from slingwright.pages.parts.fields import FieldError

LISTED = 12  # entries that are named where one was asked for that is not there


class CorrectingForm(LogPart):
    """A form of a log: Write writes what it says, Correct and Strike take an entry by its number.

    What the form does not show of an entry that is corrected, and what was not typed anew, stays as
    it was written.
    """

    kinds: tuple[str, ...] = ()
    called = "entry"
    controls: dict[str, ipywidgets.Widget]
    emptied: tuple[str, ...] = ()
    correcting: Entry | None = None
    record: Callable[[], Record]  # gives the entry that the form describes
    fill: Callable[[Entry], None]  # shows an entry in the form

    def _add_buttons(self, field: ipywidgets.Text) -> None:
        self.controls["entry"] = field
        write = f"Write this {self.called} into the log"
        take = "Take that entry into the form; with no number, let go of the one that is there"
        strike = "Strike that entry, for the reason in Note"
        self.controls["write"] = self.button(f"Write {self.called}", write, self.write)
        self.controls["correct"] = self.button("Correct", take, self.correct)
        self.controls["strike"] = self.button("Strike", strike, self.strike)

    def write(self) -> None:
        """Write the entry, or the correction of one, and empty the form for the next.

        Raises:
            LogbookError: it could not be written; the form keeps what was typed.
            ValueError: a number that cannot be read.
        """
        record, old = self.record(), self.correcting
        author, note = self.controls["author"].value, self.controls["note"].value
        if old is None:
            entry = self.log.append(record, author=author, note=note)
            done = f"{entry.kind} written as entry {entry.number}"
        else:
            entry = self.log.correct(old.number, record, author=author, note=note)
            done = f"entry {entry.number} corrects entry {old.number}"
        self._let_go()
        self.say(done)

    def correct(self) -> None:
        """Take an entry into the form; the next press of Write corrects it.

        Raises:
            ValueError: there is no such entry that still counts.
        """
        if not self.controls["entry"].value.strip() and self.correcting is not None:
            number = self.correcting.number
            self._let_go()
            self.say(f"entry {number} stays as it was written; the form is empty")
            return
        entry = self._asked()
        self._let_go()
        self.controls["entry"].value = str(entry.number)
        self.correcting = entry
        self.fill(entry)
        words = f"Write correction of entry {entry.number}"
        self.controls["write"].description = words
        self.say(f"entry {entry.number} is in the form: mend it and press {words}")

    def strike(self) -> None:
        """Strike an entry: it stays to be read, and counts no more.

        Raises:
            ValueError: there is no such entry, or no reason is given.
        """
        number = self._asked().number
        reason = self.controls["note"].value.strip()
        if not reason:
            words = f"Note: say why entry {number} is struck, and press Strike again"
            raise FieldError(self.controls["note"], words)
        self.log.withdraw(number, reason=reason, author=self.controls["author"].value)
        if self.correcting is not None and self.correcting.number == number:
            self._let_go()
        self.controls["entry"].value = self.controls["note"].value = ""
        self.say(f"entry {number} is struck: {reason}")

    def _let_go(self) -> None:
        self.correcting = None
        self.controls["write"].description = f"Write {self.called}"
        for name in (*self.emptied, "note", "entry"):
            self.controls[name].value = ""

    def _asked(self) -> Entry:
        text = self.controls["entry"].value.strip()
        counting = {one.number: one for one in self.log.current() if one.kind in self.kinds}
        found = None
        with contextlib.suppress(units.UnitError):
            found = counting.get(units.whole_number(text))
        if found is None:
            numbers = list(counting)[-LISTED:]
            have = ", ".join(str(number) for number in numbers) or "none yet"
            first = "the last are" if len(counting) > LISTED else "there are"
            raise FieldError(
                self.controls["entry"],
                f"Entry no.: {text[:20]!r} is no {self.called} that counts; {first} {have}",
            )
        return found

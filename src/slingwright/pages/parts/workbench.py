"""What the parts of a page share: the present machine, the kept one, the way back, the status.

Nothing here knows of widgets.  A part watches the bench and is told after every change; an error in
one part ends in the status line and keeps no other part from being told.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.figures import Reading
from slingwright.machine.file import read_machine, supplied_machines, write_machine
from slingwright.machine.machine import Machine, MachineError
from slingwright.machine.table.dials import Value
from slingwright.motion.held import held
from slingwright.motion.throwing import reach_curve, throw
from slingwright.winch.cycle import Winding, winding
from slingwright.winch.readings import readings

NO_NAME = "cannot name a file; use up to 80 letters, figures, spaces, - and _"
LONGEST_WAY_BACK = 300  # changes that Undo can take back

THROW_TOLERANCE = 1e-8
"""Of the bench's throw: past a slack sling the third figure of a peak needs as much."""
CURVE_TOLERANCE = 1e-6
"""Of the curve of range against release angle, which is looked at and not read off."""

Listener = Callable[[], None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, weakref_slot=True)
class Answer:
    """A machine with what it does: the throw, range against release angle, effort at the crank."""

    machine: Machine
    throw: Any
    angles: np.ndarray  # rad, release angles of the curve
    ranges: np.ndarray  # m
    effort: Winding | None
    trouble: str

    def readings(self, system: units.System = "metric") -> tuple[Reading, ...]:
        """List the answers, see `slingwright.amounts.figures`."""
        return readings(self.throw, self.effort, self.trouble, system)


def answer(machine: Machine, before: Answer | None = None) -> Answer:
    """Throw a machine once and work out all that a bench shows of it.

    The throw and the curve of range against release angle are taken over from `before` where that
    machine moves the same: only dials that the motion does not know were changed.
    """
    if before is not None and np.array_equal(
        machine.moving(), before.machine.moving(), equal_nan=True
    ):
        thrown = replace(before.throw, machine=machine, held=held(machine))
        angles, ranges = before.angles, before.ranges
    else:
        thrown = throw(machine, tolerance=THROW_TOLERANCE)
        angles, ranges = reach_curve(machine, tolerance=CURVE_TOLERANCE)
    found: dict[str, Any] = {"angles": angles, "ranges": ranges, "effort": None, "trouble": ""}
    try:
        found["effort"] = winding(machine)
    except ValueError as error:
        found["trouble"] = str(error)
    return Answer(machine=machine, throw=thrown, **found)


def machine_files(folder: Path | None = None) -> Mapping[str, Path]:
    """Name the machine files that come with the kit, and those of `folder`."""
    found = supplied_machines()
    if folder is not None and folder.is_dir():
        for path in sorted(folder.glob("*.toml")):
            name = path.stem if path.stem not in found else f"{path.stem} (yours)"
            found[name] = path
    return found


class Workbench:
    """The machine at hand, or from a file's name or path, and everything shown of it.

    Machine files are saved in `folder`, the working folder if left out.
    """

    def __init__(
        self,
        machine: Machine | str | Path,
        *,
        system: units.System = "metric",
        folder: Path | str | None = None,
    ) -> None:
        self.folder = Path(folder) if folder is not None else Path.cwd()
        self.now = answer(machine if isinstance(machine, Machine) else self._read(machine))
        self.opened = self.now.machine
        self._kinds = {_kind(self.opened)}
        self.kept: Answer | None = None
        self.system: units.System = system
        self.keeping: Any = None  # what keeps the bench and its job the same, where it has one
        self.status = ""
        self.warn = False
        self.revision = 0
        self._back: list[tuple[Answer, str | None]] = []
        self._forth: list[Answer] = []
        self._listeners: list[Listener] = []
        self._on_status: list[Listener] = []

    @property
    def machine(self) -> Machine:
        """The present machine."""
        return self.now.machine

    @property
    def throw(self) -> Any:
        """The present machine's throw."""
        return self.now.throw

    @property
    def can_undo(self) -> bool:
        """Whether there is a change to take back."""
        return bool(self._back)

    @property
    def can_redo(self) -> bool:
        """Whether a change was taken back and nothing changed since."""
        return bool(self._forth)

    def watch(self, listener: Listener, *, status: bool = False) -> Callable[[], None]:
        """Call `listener` after every change, of the status too if asked; gives the way out."""
        self._listeners.append(listener)
        if status:
            self._on_status.append(listener)

        def leave() -> None:
            for group in (self._listeners, self._on_status):
                if listener in group:
                    group.remove(listener)

        return leave

    def say(self, words: str, *, warn: bool = False) -> None:
        """Put words into the status line."""
        self.status, self.warn = words, warn
        self._tell(self._on_status)

    def attempt(self, action: Callable[[], object]) -> str:
        """Do something for a control; what goes wrong is said in the status line and returned."""
        try:
            action()
        except MachineError as error:
            words = _first_faults(error)
        except Exception as error:
            # The page shows no traceback: whatever it was has to reach the reader as words.
            words = str(error).strip().strip("'\"") or type(error).__name__
        else:
            return ""
        self.say(words, warn=True)
        return words

    def change(self, changes: Mapping[str, Value], *, gesture: str | None = None) -> None:
        """Change dials: texts with units, SI floats, flags, names, or None to take back.

        Changes of one gesture (one drag of a slider) are one step of Undo.

        Raises:
            MachineError: with every fault; the present machine stays.
        """
        machine = self.machine.change(changes)
        if machine == self.machine:
            self.say("")
        else:
            self.step(self._answer(machine), gesture=gesture)

    def step(self, fresh: Answer, *, gesture: str | None = None) -> None:
        """Go on to another answer: a step that Undo takes back, one for all of a gesture."""
        self._push(gesture)
        self._show(fresh, "")

    def undo(self) -> None:
        """Take the last change back."""
        if not self._back:
            self.say("there is nothing to undo")
            return
        before, _ = self._back.pop()
        self._forth.append(self.now)
        self._show(before, "undone")

    def redo(self) -> None:
        """Make the change again that was taken back last."""
        if not self._forth:
            self.say("there is nothing to redo")
            return
        after = self._forth.pop()
        self._back.append((self.now, None))
        self._show(after, "done again")

    def keep(self) -> None:
        """Keep the present machine as the reference that everything is compared with."""
        self.kept = self.now
        self._show(self.now, "this machine is kept as the reference")

    def drop(self) -> None:
        """Compare with nothing any more."""
        self.kept = None
        self._show(self.now, "no comparison")

    def restore(self) -> None:
        """Go back to the kept machine; a step that Undo takes back."""
        if self.kept is None:
            self.say("no machine is kept: press Keep first")
            return
        self._push(None)
        self._show(self.kept, "back at the kept machine")

    def measure(self, system: units.System) -> None:
        """Show metric or US customary units."""
        if system not in ("metric", "US"):
            raise ValueError(f"system is {system!r}; use 'metric' or 'US'")
        self.system = system
        self._show(self.now, "")

    def load(self, name: str | Path) -> None:
        """Open another machine file; a step that Undo takes back."""
        self.opened = self._read(name)
        self.put(self.opened, f"opened {self.opened.name or name}")

    def put(self, machine: Machine, words: str, *, first: bool = False) -> None:
        """Put another machine on the bench; a step that Undo takes back, unless it is the first."""
        fresh = self._answer(machine)
        self._push(None)
        if first:
            self._back.clear()
            self.opened, self.kept = machine, None
        self._show(fresh, words)

    def save(self, name: str, *, replace: bool = False) -> Path:
        """Write the present machine into the folder as NAME.toml; a file there stays unless told.

        Raises:
            FileExistsError: there is such a file, and `replace` was not given.
            ValueError: the name is no plain file name.
        """
        path = self._place(name)
        if path is None:
            raise ValueError(f"{name[:80]!r} {NO_NAME}")
        if path.exists() and not replace:
            raise FileExistsError(
                f"{path.name} is already there and was left as it is; choose another name, "
                "or tick Replace"
            )
        write_machine(self.machine, path, overwrite=replace)
        self.say(f"saved as {path}")
        return path

    def is_taken(self, name: str) -> bool:
        """Tell whether a file of that name is in the folder already."""
        path = self._place(name)
        return path is not None and path.exists()

    def _place(self, name: str) -> Path | None:
        stem = name.strip().removesuffix(".toml")
        if not re.fullmatch(r"\w[\w .()-]{0,79}", stem) or stem.endswith((".", " ")):
            return None
        return self.folder / f"{stem}.toml"

    def _read(self, name: str | Path) -> Machine:
        files = machine_files(self.folder)
        return read_machine(files.get(str(name), Path(name)))

    def _answer(self, machine: Machine) -> Answer:
        kind = _kind(machine)
        if kind not in self._kinds:
            # Its equations are compiled now, which stops everything for a while.
            self.say("first machine of this kind: preparing it may take half a minute")
            self._kinds.add(kind)
        return answer(machine, self.now)

    def _push(self, gesture: str | None) -> None:
        if gesture is None or not self._back or self._back[-1][1] != gesture:
            self._back.append((self.now, gesture))
            del self._back[:-LONGEST_WAY_BACK]
        self._forth.clear()

    def _show(self, fresh: Answer, words: str) -> None:
        self.now = fresh
        self.status, self.warn = words, False
        self.revision += 1
        self._tell(self._listeners)

    def _tell(self, listeners: list[Listener]) -> None:
        wrong = ""
        for listener in tuple(listeners):
            try:
                listener()
            except Exception as error:
                # One part that fails must not keep the others from being told.
                wrong = f"a part of the page could not be shown: {error}"
        if wrong and wrong != self.status:
            self.status, self.warn = wrong, True
            for listener in tuple(self._on_status):
                listener()


def _kind(machine: Machine) -> tuple[bool, bool]:
    """Give what decides which equations a machine moves by."""
    return machine.flag("counterweight.hung"), machine.flag("base.wheels")


def _first_faults(error: MachineError) -> str:
    faults = getattr(error, "faults", ())
    if not faults:
        return str(error)
    more = f" (and {len(faults) - 1} more)" if len(faults) > 1 else ""
    return f"{faults[0].labelled()}{more}"

"""What the parts of `where to stand` share: the ground to keep clear, and chances once known."""

from __future__ import annotations

import asyncio
import os
import sys
import threading
from collections.abc import Callable

from slingwright.pages.log.records import story_of
from slingwright.pages.parts.beside import Beside, WorkStopped, running_loop
from slingwright.pages.parts.workbench import Answer, Workbench
from slingwright.standing.chances import Chances, Copies, chances
from slingwright.standing.ground import Zone
from slingwright.standing.places import same_but_people
from slingwright.standing.zone import with_people, zone

REST = 1.2  # without a touch, after which near copies are thrown, s


class ZoneController:
    """A bench with the ground to keep clear for its present and its kept machine.

    Chances are worked out beside it, once the dials rest; `tell` hears of them.
    """

    def __init__(self, bench: Workbench) -> None:
        self.bench = bench
        self.tell: Callable[[], object] = bool
        self._found: dict[int, tuple[Answer, Zone | str]] = {}
        self._beside = Beside()
        self._timer: asyncio.TimerHandle | None = None
        self._likely: Chances | None = None
        self._learned: tuple[object, Copies | None] = (None, None)

    @property
    def now(self) -> Zone | str:
        """Zone of the present machine, or why there is none."""
        return self._of(self.bench.now, 0)

    @property
    def kept(self) -> Zone | None:
        """Zone of the kept machine, if one is kept and can throw."""
        if self.bench.kept is None:
            return None
        found = self._of(self.bench.kept, 1)
        return None if isinstance(found, str) else found

    @property
    def likely(self) -> Chances | None:
        """Where shots of the present machine lie by chance, where that was worked out."""
        found = self._likely
        same = found is not None and same_but_people(found.machine, self.bench.machine)
        return found if same else None

    def wait(self) -> None:
        """Throw near copies once the dials rest, where an event loop runs."""
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None
        loop = running_loop()
        if loop is not None and self.likely is None and not isinstance(self.now, str):
            self._timer = loop.call_later(REST, self.throw_copies)

    def throw_copies(self) -> None:
        """Throw near copies beside the page, as the log has learned that they scatter if it has."""
        if self._beside.going:  # of a machine that was on the bench before
            self.wait()
            return
        machine, keeping = self.bench.machine, self.bench.keeping
        known = (str(keeping.log.path), len(keeping.log)) if keeping is not None else None
        story = None
        if known is not None and self._learned[0] != known:
            story = story_of(keeping.log, self.bench.opened)

        def going() -> None:
            if not same_but_people(self.bench.machine, machine):
                raise WorkStopped

        def work() -> tuple[object, Copies | None, Chances]:
            if sys.platform == "linux":  # the dials go first
                os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), 10)
            learned = self._learned[1] if story is None else story.agreed()
            return known, learned, chances(machine, learned=learned, going=going)

        def show(result: Callable[[], tuple[object, Copies | None, Chances]]) -> None:
            try:
                known, learned, self._likely = result()
            except WorkStopped:
                return
            self._learned = known, learned
            self.bench.attempt(self.tell)

        self._beside.ask("chances", work, show)

    def close(self) -> None:
        """Take no more answers."""
        if self._timer is not None:
            self._timer.cancel()
        self._beside.close()

    def _of(self, answer: Answer, place: int) -> Zone | str:
        before, found = self._found.get(place, (None, ""))
        if before is answer:
            return found
        machine = answer.machine
        near = before is not None and same_but_people(machine, before.machine)
        try:
            if near and not isinstance(found, str):
                found = with_people(found, machine)
            else:
                found = zone(machine)
        except ValueError as error:
            found = str(error)
        self._found[place] = (answer, found)
        return found

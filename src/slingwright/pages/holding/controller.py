"""What the parts of the page `will it hold` share: the checks of the present and the kept machine.

Checks are worked out once for a machine, however many parts show them: at first over motions that
are not followed to their end, which says so; the whole, and the clearance, when the dials rest.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypeVar

from slingwright.machine.machine import Machine
from slingwright.pages.parts.workbench import Workbench
from slingwright.strength.checks import Holding, holding
from slingwright.strength.clearance import Clearance
from slingwright.strength.mending.bought import Bought, purchases
from slingwright.strength.mending.remedies import Remedy, remedies
from slingwright.strength.mending.width import WidthTrade, width_trade

Found = TypeVar("Found")

MOST_KEPT = 8  # machines whose checks are kept for Undo and Keep


class HoldingController:
    """The bench's machine with its checks, its clearance and what would make a check pass."""

    def __init__(self, bench: Workbench) -> None:
        self.bench = bench
        self._checked: dict[Machine, Holding] = {}
        self._cleared: dict[Machine, Clearance] = {}
        self._remedies: dict[tuple[Machine, str], tuple[Remedy | Bought, ...]] = {}

    @property
    def now(self) -> Holding:
        """Checks of the present machine."""
        return self._of(self.bench.machine)

    @property
    def kept(self) -> Holding | None:
        """Checks of the kept machine, if one is kept."""
        return None if self.bench.kept is None else self._of(self.bench.kept.machine)

    @property
    def clearance(self) -> Clearance | None:
        """Clearance of the present machine, where it was worked out."""
        return self._cleared.get(self.bench.machine)

    @property
    def width(self) -> WidthTrade | str:
        """Width against axle of the present machine, or why there is none."""
        try:
            return width_trade(self.now)
        except ValueError as error:
            return str(error)

    @property
    def remedies(self) -> Mapping[str, tuple[Remedy | Bought, ...]]:
        """What was found to make checks of the present machine pass, by check."""
        here = self.bench.machine
        return {key: found for (machine, key), found in self._remedies.items() if machine == here}

    def search(self, key: str) -> Callable[[], tuple[Remedy | Bought, ...]]:
        """Give the search for what would make a check pass; it stops once the machine changes.

        It gives the dials' values; asked again, when they are kept, also what can be bought or cut.

        Raises:
            ValueError: there is no such check.
        """
        now, machine = self.now, self.bench.machine
        check = next((check for check in now.checks if check.key == key), None)
        if check is None:
            raise ValueError(f"there is no check {key!r} of this machine")
        known = self.remedies.get(key)

        def sought() -> tuple[Remedy | Bought, ...]:
            def gone() -> bool:
                return self.bench.machine is not machine

            if known is None:
                return remedies(now, check, gone)
            held = now if now.final else holding(machine)
            same = next((one for one in held.checks if one.key == key), check)
            dials = tuple(one for one in known if isinstance(one, Remedy))
            return (*dials, *purchases(held, same, dials, gone))

        return sought

    def keep_remedies(self, machine: Machine, key: str, found: tuple[Remedy | Bought, ...]) -> None:
        """Keep what was found to make a check of a machine pass."""
        while len(self._remedies) >= 8 * MOST_KEPT:
            self._remedies.pop(next(iter(self._remedies)))
        self._remedies[(machine, key)] = found

    def keep(self, found: Holding | Clearance) -> None:
        """Keep a clearance, or checks over motions that were followed to their end."""
        if isinstance(found, Clearance):
            _keep(self._cleared, found.machine, found)
        else:
            _keep(self._checked, found.machine, found)

    def _of(self, machine: Machine) -> Holding:
        if machine not in self._checked:
            _keep(self._checked, machine, holding(machine, quick=True))
        return self._checked[machine]


def _keep(store: dict[Machine, Found], machine: Machine, found: Found) -> None:
    while len(store) >= MOST_KEPT:
        store.pop(next(iter(store)))
    store[machine] = found

"""What the parts of the winding page share: the bench, a load cell's trace, and what follows.

The answers are worked out once for a machine, however many parts show them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np

from slingwright.formulas.release import prong
from slingwright.machine.machine import Machine
from slingwright.pages.parts.workbench import Answer, Workbench
from slingwright.standing.places import placed, winding_checks
from slingwright.tables.ropes import RopeSize
from slingwright.winch.cycle import Winding
from slingwright.winch.drums import DrumChoice, drum_choice
from slingwright.winch.hook import (
    Loosing,
    ProngChoice,
    SlipHook,
    hook_of,
    loosing,
    prong_choice,
    range_along,
)
from slingwright.winch.load_cell.comparison import Overlay, overlay
from slingwright.winch.load_cell.trace import Hold, LoadTrace
from slingwright.winch.path.place import REST
from slingwright.winch.path.reeving import Reeving, reeve
from slingwright.winch.rig import WinchNumbers, WinchRig, rig_of, winch_numbers
from slingwright.winch.rigging import RiggingCheck, swaps
from slingwright.winch.ways import Riggings, riggings

DRUMS = 17
"""Drums that are compared."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Wound:
    """All answers of the winding page for one machine; what cannot be had is None.

    `troubles` says in words, by part of the page, why something is None. Checks and ropes are
    worked out when they are first asked for: the pictures need not wait for them.
    """

    machine: Machine
    throw: Any
    numbers: WinchNumbers | None
    rig: WinchRig | None
    run: Winding | None
    choice: DrumChoice | None
    hook: SlipHook
    loosing: Loosing | None
    prong: ProngChoice | None
    trace: Overlay | None
    reach: tuple[np.ndarray, np.ndarray]  # rad and m, range against slip angle
    wanted: float  # shots an hour
    troubles: dict[str, str]

    @cached_property
    def laid(self) -> Reeving | None:
        """The gear at rest and cocked, also where it cannot be wound; None without a rig."""
        numbers, rig = self.numbers, self.rig
        if self.run is not None:
            return self.run.reeving
        if numbers is None or rig is None:
            return None
        ends = np.array([REST, -numbers.cocked])
        return tried(self.troubles, "reeving", lambda: reeve(numbers, rig, ends))

    @cached_property
    def checks(self) -> tuple[RiggingCheck, ...]:
        """What each piece carries, worst first; empty where `troubles` says why."""
        run = self.run
        if run is None:
            return ()
        made = tried(self.troubles, "checks", lambda: winding_checks(self.machine, run, self.throw))
        return tuple(made or ())

    @cached_property
    def ways(self) -> Riggings | None:
        """Other ways to rig it, beside the one there is."""
        return tried(self.troubles, "ways", lambda: riggings(self.machine))

    @cached_property
    def ropes(self) -> Mapping[str, RopeSize | None]:
        """The smallest rope that passes, kind by kind."""
        run = self.run
        return {} if run is None else tried(self.troubles, "checks", lambda: swaps(run)) or {}


def tried(troubles: dict[str, str], part: str, what: Callable[[], Any]) -> Any:
    """Give an answer, or None and the reason put under the part's name."""
    try:
        return what()
    except (ValueError, LookupError) as error:
        troubles[part] = str(error).strip().strip("'\"")
        return None


class WindingController:
    """A bench with all that winding adds to it.

    Args:
        bench: the shared bench.
        trace: a load cell's trace of one winding, measured in the hauling part, cleaned.
        pauses: holds of the trace, in which nothing was wound.
    """

    def __init__(
        self,
        bench: Workbench,
        *,
        trace: LoadTrace | None = None,
        pauses: Sequence[Hold] = (),
    ) -> None:
        self.bench = bench
        self.trace = trace
        self.pauses = tuple(pauses)
        self.place = "drum"
        self._kept: dict[int, tuple[Answer, Wound]] = {}
        self._drums: tuple[Any, DrumChoice] | None = None

    def lay(
        self, trace: LoadTrace | None, pauses: Sequence[Hold] = (), place: str = "drum"
    ) -> None:
        """Lay another trace over the prediction, or none, and show the page anew.

        Args:
            trace: a clean one, or None.
            pauses: holds of it, in which nothing was wound.
            place: where the cell sat, as `overlay` has it.
        """
        self.trace, self.pauses, self.place = trace, tuple(pauses), place
        self._kept.clear()
        self.bench.measure(self.bench.system)

    @property
    def now(self) -> Wound:
        """Answers for the present machine."""
        return self._wound(self.bench.now, 0)

    @property
    def kept(self) -> Wound | None:
        """Answers for the kept machine."""
        kept = self.bench.kept
        return None if kept is None else self._wound(kept, 1)

    def drums(self) -> np.ndarray:
        """Give the drums that are compared: half to double of the one the machine came with [m]."""
        opened = self.bench.opened.number("winch.drum")
        present = self.bench.machine.number("winch.drum")
        return np.linspace(min(0.5 * opened, present), max(2.0 * opened, present), DRUMS)

    def _wound(self, answer: Answer, place: int) -> Wound:
        found = self._kept.get(place)
        if found is None or found[0] is not answer:
            found = self._kept[place] = (answer, self._work_out(answer))
        return found[1]

    def _work_out(self, answer: Answer) -> Wound:
        machine = answer.machine
        troubles: dict[str, str] = {}
        numbers = tried(troubles, "winding", lambda: winch_numbers(machine))
        rig = None
        if numbers is not None:
            rig = tried(troubles, "winding", lambda: rig_of(machine))
        run = choice = loosed = laid = None
        if rig is not None:
            run = answer.effort
            if run is None:
                troubles["winding"] = answer.trouble
            choice = tried(troubles, "drums", lambda: self._choice(machine, rig))
        hook, stands = placed(machine, hook_of(machine))
        if run is not None:
            load = run.hook_load
            loosed = tried(troubles, "hook", lambda: loosing(load, hook, stands))
            if self.trace is not None:
                trace, wound = self.trace, run
                laid = tried(
                    troubles,
                    "trace",
                    lambda: overlay(trace, wound, place=self.place, pauses=self.pauses),
                )
        else:
            troubles.setdefault("drums", troubles["winding"])
        return Wound(
            machine=machine,
            throw=answer.throw,
            numbers=numbers,
            rig=rig,
            run=run,
            choice=choice,
            hook=hook,
            loosing=loosed,
            prong=tried(troubles, "prong", lambda: self._prong(answer)),
            trace=laid,
            reach=(answer.angles, answer.ranges),
            wanted=machine.number("crew.loosings"),
            troubles=troubles,
        )

    def _choice(self, machine: Machine, rig: WinchRig) -> DrumChoice:
        """Compare the drums; the drum that the machine has changes nothing of what is compared."""
        drums, numbers = self.drums(), winch_numbers(machine)
        crew_key = (
            replace(
                numbers,
                drum=1.0,
                counterweight_mass=1.0,
                counterweight_inertia=0.0,
                box_width=0.0,
                box_height=0.0,
            ),
            rig,
            drums.tobytes(),
        )
        key = (replace(numbers, drum=1.0), *crew_key)
        if self._drums is None or self._drums[0] != key:
            # The heaviest weights that the crew winds do not hang on the weight that there is.
            same = self._drums is not None and self._drums[0][1:] == crew_key
            known = self._drums[1].heaviest if self._drums is not None and same else None
            self._drums = (key, drum_choice(machine, drums, rig, known))
        return self._drums[1]

    def _prong(self, answer: Answer) -> ProngChoice:
        n = answer.machine.number
        friction, slip = n("prong.friction"), n("release.angle")
        return prong_choice(
            prong.bend_for_slip(slip, friction),
            friction,
            n("prong.wet"),
            n("prong.dry"),
            range_along(answer.angles, answer.ranges),
        )

"""What the parts of the winding page share: the bench, a load cell's trace, and what follows.

The answers are worked out once for a machine, however many parts show them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from typing import Any

import numpy as np

from slingwright.formulas.release import prong
from slingwright.machine.machine import Machine
from slingwright.pages.parts.workbench import Answer, Workbench
from slingwright.standing.places import placed, winding_checks
from slingwright.tables.ropes import RopeSize
from slingwright.winch import hook as hooks
from slingwright.winch.cycle import Winding
from slingwright.winch.drums import DrumChoice, drum_choice
from slingwright.winch.load_cell.comparison import Overlay, overlay
from slingwright.winch.load_cell.trace import Hold, LoadTrace
from slingwright.winch.path.place import REST
from slingwright.winch.path.reeving import Reeving, reeve
from slingwright.winch.rig import WinchNumbers, WinchRig, rig_of, winch_numbers
from slingwright.winch.rigging import RiggingCheck, swaps
from slingwright.winch.ways import Riggings, riggings

DRUMS = 17  # drums that are compared


class Wound:
    """All answers of the winding page for one machine, each worked out when it is first asked for.

    What cannot be had is None, and `troubles` says why in words, by part of the page. `reach` is
    range [m] against slip angle [rad], `wanted` the shots an hour.
    """

    def __init__(self, page: WindingController, answer: Answer) -> None:
        self._page, self._answer = page, answer
        self.machine, self.throw = answer.machine, answer.throw
        self.reach = (answer.angles, answer.ranges)
        self.wanted = self.machine.number("crew.loosings")
        self.troubles: dict[str, str] = {}
        self.hook, self._stands = placed(self.machine, hooks.hook_of(self.machine))

    def _tried(self, part: str, what: Callable[[], Any]) -> Any:
        try:
            return what()
        except (ValueError, LookupError) as error:
            self.troubles[part] = str(error).strip().strip("'\"")
            return None

    def why(self, *parts: str) -> str:
        """Say why there is nothing of the first of these parts that has a trouble."""
        return next((self.troubles[part] for part in parts if part in self.troubles), "")

    @cached_property
    def numbers(self) -> WinchNumbers | None:
        """The numbers of the winch."""
        return self._tried("winding", lambda: winch_numbers(self.machine))

    @cached_property
    def rig(self) -> WinchRig | None:
        """How it is rigged."""
        if self.numbers is None:
            return None
        return self._tried("winding", lambda: rig_of(self.machine))

    @cached_property
    def run(self) -> Winding | None:
        """The winding."""
        if self.rig is None:
            return None
        if self._answer.effort is None:
            self.troubles["winding"] = self._answer.trouble
        return self._answer.effort

    @cached_property
    def choice(self) -> DrumChoice | None:
        """Other drums, compared."""
        rig, found = self.rig, None
        if rig is not None:
            found = self._tried("drums", lambda: self._page.choice(self.machine, rig))
        if self.run is None:
            self.troubles.setdefault("drums", self.troubles["winding"])
        return found

    @cached_property
    def loosing(self) -> hooks.Loosing | None:
        """How the hook is loosed."""
        run = self.run
        if run is None:
            return None
        hook = self.hook, self._stands
        return self._tried("hook", lambda: hooks.loosing(run.hook_load, *hook))

    @cached_property
    def prong(self) -> hooks.ProngChoice | None:
        """What bend the prong needs, and what range it gives."""
        n = self.machine.number
        friction, wet, dry = n("prong.friction"), n("prong.wet"), n("prong.dry")

        def choose() -> hooks.ProngChoice:
            bend = prong.bend_for_slip(n("release.angle"), friction)
            return hooks.prong_choice(bend, friction, wet, dry, hooks.range_along(*self.reach))

        return self._tried("prong", choose)

    @cached_property
    def trace(self) -> Overlay | None:
        """The load cell's trace over the prediction."""
        run, page, trace = self.run, self._page, self._page.trace
        if run is None or trace is None:
            return None
        return self._tried(
            "trace", lambda: overlay(trace, run, place=page.place, pauses=page.pauses)
        )

    @cached_property
    def laid(self) -> Reeving | None:
        """The gear at rest and cocked, also where it cannot be wound."""
        numbers, rig = self.numbers, self.rig
        if self.run is not None:
            return self.run.reeving
        if numbers is None or rig is None:
            return None
        ends = np.array([REST, -numbers.cocked])
        return self._tried("reeving", lambda: reeve(numbers, rig, ends))

    @cached_property
    def checks(self) -> tuple[RiggingCheck, ...]:
        """What each piece carries, worst first; empty where `troubles` says why."""
        run = self.run
        if run is None:
            return ()
        made = self._tried("checks", lambda: winding_checks(self.machine, run, self.throw))
        return tuple(made or ())

    @cached_property
    def ways(self) -> Riggings | None:
        """Other ways to rig it, beside the one there is."""
        return self._tried("ways", lambda: riggings(self.machine))

    @cached_property
    def ropes(self) -> Mapping[str, RopeSize | None]:
        """The smallest rope that passes, kind by kind."""
        run = self.run
        return {} if run is None else self._tried("checks", lambda: swaps(run)) or {}


class WindingController:
    """A bench with all that winding adds to it.

    A trace is a load cell's of one winding, measured in the hauling part, cleaned; its `pauses` are
    holds, in which nothing was wound.
    """

    def __init__(
        self, bench: Workbench, trace: LoadTrace | None = None, pauses: Sequence[Hold] = ()
    ) -> None:
        self.bench, self.trace, self.pauses = bench, trace, tuple(pauses)
        self.place = "drum"
        self._kept: dict[int, tuple[Answer, Wound]] = {}
        self._drums: tuple[Any, DrumChoice] | None = None

    def lay(
        self, trace: LoadTrace | None, pauses: Sequence[Hold] = (), place: str = "drum"
    ) -> None:
        """Lay another trace over the prediction, or none; `place` of the cell as for `overlay`."""
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
            found = self._kept[place] = (answer, Wound(self, answer))
        return found[1]

    def choice(self, machine: Machine, rig: WinchRig) -> DrumChoice:
        """Compare the drums; the drum that the machine has changes nothing of what is compared."""
        drums, numbers = self.drums(), replace(winch_numbers(machine), drum=1.0)
        weight = ("counterweight_mass", "counterweight_inertia", "box_width", "box_height")
        same: dict[str, Any] = dict.fromkeys(weight, 1.0)
        light = replace(numbers, **same)
        crew_key = (light, rig, drums.tobytes())
        key = (numbers, *crew_key)
        if self._drums is None or self._drums[0] != key:
            # The heaviest weights that the crew winds do not hang on the weight that there is.
            before = self._drums
            known = before[1].heaviest if before and before[0][1:] == crew_key else None
            self._drums = (key, drum_choice(machine, drums, rig, known))
        return self._drums[1]

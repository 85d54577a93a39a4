"""What the parts of the winding page share: the bench, the settings, and all that follows of both.

The answers are worked out once for a machine and its settings, however many parts show them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from slingwright.answers.hook import (
    Loosing,
    ProngChoice,
    SlipHook,
    loosing,
    prong_choice,
    range_along,
)
from slingwright.answers.loadcell import Overlay, overlay
from slingwright.answers.loadtrace import Hold, LoadTrace
from slingwright.answers.rigging import RiggingCheck, rigging_checks, swaps
from slingwright.answers.winch_choice import DrumChoice, drum_choice
from slingwright.answers.winch_rig import WinchRig, winch_numbers
from slingwright.answers.winding import Winding, winding
from slingwright.dials import Value
from slingwright.formulas import prong
from slingwright.machine import Machine
from slingwright.panels.winding_settings import at_first, checked, hook_of, rig_of
from slingwright.panels.workbench import Answer, Workbench
from slingwright.ropes_table import RopeSize

DRUMS = 17
"""Drums that are compared."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wound:
    """All answers of the winding page for one machine; what cannot be had is None.

    `troubles` says in words, by part of the page, why something is None.
    """

    machine: Machine
    run: Winding | None
    choice: DrumChoice | None
    checks: tuple[RiggingCheck, ...]
    ropes: Mapping[str, RopeSize | None]
    hook: SlipHook
    loosing: Loosing | None
    prong: ProngChoice | None
    trace: Overlay | None
    reach: tuple[np.ndarray, np.ndarray]  # rad and m, range against slip angle
    wanted: float  # loosings an hour
    troubles: Mapping[str, str]


class WindingDesk:
    """A bench with the settings of winding beside it.

    Args:
        bench: the shared bench.
        rig: what is known of the rigging; straight tackle, manila, nothing marked if left out.
        hook: the slip hook.
        trace: a load cell's trace of one winding, measured in the hauling part, cleaned.
        pauses: holds of the trace, in which nothing was wound.
    """

    def __init__(
        self,
        bench: Workbench,
        *,
        rig: WinchRig | None = None,
        hook: SlipHook | None = None,
        trace: LoadTrace | None = None,
        pauses: Sequence[Hold] = (),
    ) -> None:
        self.bench = bench
        self.trace = trace
        self.pauses = tuple(pauses)
        self.values = at_first(rig, hook)
        self._kept: dict[int, tuple[Answer, dict[str, Value], Wound]] = {}

    def set(self, path: str, value: Value) -> None:
        """Change a setting and show the page anew; texts with units are read.

        Raises:
            ValueError: what `checked` refuses, or a hook or rig that cannot be.
        """
        values = dict(self.values)
        values[path] = checked(path, value)
        hook_of(values)
        self.values = values
        self.bench.measure(self.bench.system)

    @property
    def now(self) -> Wound:
        """Answers for the present machine."""
        return self._wound(self.bench.now, 0)

    @property
    def kept(self) -> Wound | None:
        """Answers for the kept machine, with the present settings."""
        kept = self.bench.kept
        return None if kept is None else self._wound(kept, 1)

    def drums(self) -> np.ndarray:
        """Give the drums that are compared: half to double of the one the machine came with [m]."""
        opened = self.bench.opened.number("winch.drum")
        present = self.bench.machine.number("winch.drum")
        return np.linspace(min(0.5 * opened, present), max(2.0 * opened, present), DRUMS)

    def _wound(self, answer: Answer, place: int) -> Wound:
        found = self._kept.get(place)
        if found is None or found[0] is not answer or found[1] is not self.values:
            found = (answer, self.values, self._work_out(answer))
            self._kept[place] = found
        return found[2]

    def _work_out(self, answer: Answer) -> Wound:
        machine, values = answer.machine, self.values
        troubles: dict[str, str] = {}

        def tried(part: str, what: Any) -> Any:
            """Give an answer, or None and the reason kept under the part's name."""
            try:
                return what()
            except (ValueError, LookupError) as error:
                troubles[part] = str(error).strip().strip("'\"")
                return None

        rig = tried("winding", lambda: rig_of(values, winch_numbers(machine)))
        run = tried("winding", lambda: winding(machine, rig)) if rig is not None else None
        choice = tried("drums", lambda: drum_choice(machine, self.drums(), rig))
        checks: tuple[RiggingCheck, ...] = ()
        ropes: Mapping[str, RopeSize | None] = {}
        hook, loosed, laid = hook_of(values), None, None
        if run is not None:
            checks = tuple(tried("checks", lambda: rigging_checks(run, answer.throw)) or ())
            ropes = tried("checks", lambda: swaps(run)) or {}
            loosed = tried("hook", lambda: loosing(run.hook_load, hook))
            if self.trace is not None:
                trace = self.trace
                laid = tried("trace", lambda: overlay(trace, run, pauses=self.pauses))
        else:
            troubles.setdefault("drums", troubles["winding"])
        return Wound(
            machine=machine,
            run=run,
            choice=choice,
            checks=checks,
            ropes=ropes,
            hook=hook,
            loosing=loosed,
            prong=tried("prong", lambda: self._prong(answer)),
            trace=laid,
            reach=(answer.angles, answer.ranges),
            wanted=_number(values["crew.loosings"]),
            troubles=troubles,
        )

    def _prong(self, answer: Answer) -> ProngChoice:
        friction = _number(self.values["prong.friction"])
        slip = answer.machine.number("release.angle")
        return prong_choice(
            prong.bend_for_slip(slip, friction),
            friction,
            _number(self.values["prong.wet"]),
            _number(self.values["prong.dry"]),
            range_along(answer.angles, answer.ranges),
        )


def open_desk(
    machine: Machine | Workbench | str | Path,
    *,
    rig: WinchRig | None = None,
    hook: SlipHook | None = None,
    trace: LoadTrace | None = None,
    pauses: Sequence[Hold] = (),
) -> WindingDesk:
    """Give a desk for a machine, the name or path of a machine file, or a bench to share."""
    bench = machine if isinstance(machine, Workbench) else Workbench(machine)
    return WindingDesk(bench, rig=rig, hook=hook, trace=trace, pauses=pauses)


def _number(value: Value) -> float:
    """Give a setting's number; one that has none is not a number."""
    return float(value) if isinstance(value, int | float) else math.nan

"""Rows of the table of dials as the browser shows them: shown units, slider spans, steps, words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from slingwright.amounts import units
from slingwright.machine.machine import Machine
from slingwright.machine.table import dials
from slingwright.machine.table.dials import Dial, Value
from slingwright.machine.table.names import known_names

NO_VALUE = {"projectile.drag": "by surface", "mark": "not known", "rope": "not known"}
"""What a dial without a value shows, by path or by group."""
UNIT_WORDS: Mapping[str, str] = {
    "m": "metres", "mm": "millimetres", "ft": "feet", "in": "inches", "kg": "kilograms",
    "lb": "pounds", "deg": "degrees", "kg m^2": "kilogram square metres",
    "lb ft^2": "pound square feet", "m/s": "metres a second", "m/s^2": "metres a second squared",
    "kg/m^3": "kilograms a cubic metre", "mph": "miles an hour",
}  # fmt: skip
SMALL_LENGTH: Mapping[units.System, tuple[float, str]] = {"metric": (0.25, "mm"), "US": (0.9, "in")}
"""Below this length in metres a slider's whole span is shown in the smaller unit."""
STRIDES = 80  # key presses that take a slider about from end to end
SPREAD_FROM_ZERO = 100.0  # steps that a slider reaches from an opening value of zero


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """How one dial is shown: `factor` is the SI value of one of `unit`; the rest is in `unit`."""

    dial: Dial
    unit: str
    factor: float
    low: float
    high: float
    start: float
    end: float
    step: float
    stride: float

    def to_shown(self, value: Value) -> Value:
        """Give an SI value as it is shown."""
        if isinstance(value, bool) or not isinstance(value, float):
            return value
        return value / self.factor

    def to_si(self, value: float) -> float:
        """Give a shown value in SI, rid of the last digits' noise, and held to the limits."""
        if not math.isfinite(value):
            return value
        held = min(max(float(f"{value * self.factor:.12g}"), self._edge(0)), self._edge(1))
        return float(round(held)) if self.dial.whole else held

    def _edge(self, side: int) -> float:
        return (self.dial.low, self.dial.high)[side] * self.dial.factor


def nice(size: float) -> float:
    """Give the largest of 1, 2, 5 times a power of ten that is not above `size`.

    >>> nice(0.164)
    0.1
    """
    power = 10.0 ** math.floor(math.log10(size) + 1e-9)
    part = next(p for p in (5.0, 2.0, 1.0) if p * power <= size * (1.0 + 1e-9))
    return float(f"{part * power:.6g}")


def span(dial: Dial, opened: float | None) -> tuple[float, float]:
    """Give a slider's ends in SI: half to double of the opening value, within the limits."""
    low, high = dial.lowest, dial.highest
    step = dial.step * dial.factor
    if opened is None:
        start, end = low, min(high, low + SPREAD_FROM_ZERO * step)
    elif abs(opened) < 0.5 * step:
        start, end = -SPREAD_FROM_ZERO * step, SPREAD_FROM_ZERO * step
    else:
        start, end = sorted((0.5 * opened, 2.0 * opened))
    start, end = max(start, low), min(end, high)
    if dial.whole:
        start, end = max(low, math.floor(start)), min(high, max(math.ceil(end), start + 1.0))
    return (start, end) if end > start else (low, high)


def shown(dial: Dial, opened: Value, system: units.System) -> Shown:
    """Decide how a number is shown, from the value it had when the machine was opened."""
    number = opened if isinstance(opened, float) and not isinstance(opened, bool) else None
    start, end = span(dial, number)
    one, label = units.factor(dial.si_unit, system)
    small, unit = SMALL_LENGTH[system]
    if dial.si_unit == "m" and max(abs(start), abs(end)) < small:
        one, label = units.unit_named(unit).factor, unit
    step = 1.0 if dial.whole else nice(dial.step * dial.factor / one)
    stride = max(step, nice((end - start) / one / STRIDES))
    return Shown(
        dial=dial, unit=label, factor=one, low=dial.lowest / one, high=dial.highest / one,
        start=start / one, end=end / one, step=step,
        stride=max(1.0, float(round(stride))) if dial.whole else stride,
    )  # fmt: skip


def rows(
    paths: Iterable[str], machine: Machine, opened: Machine, system: units.System, front: set[str]
) -> tuple[list[dict[str, Any]], dict[str, Shown]]:
    """Give the rows for the browser, and how each number is shown."""
    made: list[dict[str, Any]] = []
    numbers: dict[str, Shown] = {}
    how = machine.derived
    for path in paths:
        dial = dials.dial(path)
        one: dict[str, Any] = {
            "path": path, "label": dial.label, "help": dial.help, "kind": dial.kind,
            "group": dials.GROUPS[dial.group], "front": path in front,
            "tag": "derived" if path in how else "",
            "tagWords": f"Not given: {how[path]}" if path in how else "",
        }  # fmt: skip
        if dial.kind == "name":
            one["choices"] = list(known_names(dial))
        elif dial.kind == "number":
            look = shown(dial, opened[path], system)
            numbers[path] = look
            name = "" if look.unit == "-" else f" {look.unit}"
            one |= {
                "unit": look.unit, "unitWords": UNIT_WORDS.get(look.unit, look.unit),
                "low": look.low, "high": look.high, "from": look.start, "to": look.end,
                "step": look.step, "stride": look.stride,
                "limits": f"from {look.low:.6g} to {look.high:.6g}{name}",
                "none": NO_VALUE.get(path, NO_VALUE.get(dial.group, "none")),
            }  # fmt: skip
        made.append(one)
    return made, numbers

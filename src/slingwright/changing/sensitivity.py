"""What a little more of each dial does: a centimetre, a kilo, a degree, on range, loads and effort.

Slopes are central differences, taken at three step sizes: where the three do not agree the answer
has a corner there (another peak becomes the highest, another phase ends first) and is marked rough.

Source: central differences and their error of second order, any text on numerical analysis.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from slingwright.machine.machine import Machine, MachineError
from slingwright.machine.table import dials
from slingwright.motion.held import held
from slingwright.motion.sweeping import sweep
from slingwright.winch.cycle import follow
from slingwright.winch.rig import rig_of, winch_numbers

ANSWERS: Mapping[str, tuple[str, str]] = {
    "range": ("Range", "m"),
    "axle": ("Peak axle load", "N"),
    "crank": ("Crank force per person", "N"),
    "hook": ("Hook load, held", "N"),
}
"""What is looked at: key to label and SI unit."""

ONE_OF: Mapping[str, tuple[float, str]] = {
    "m": (0.01, "1 cm"),
    "kg": (1.0, "1 kg"),
    "rad": (math.radians(1.0), "1 deg"),
    "-": (0.01, "0.01"),
    "kg m^2": (1.0, "1 kg m^2"),
    "N/m": (1000.0, "1 kN/m"),
    "N s/m": (10.0, "10 N s/m"),
    "m/s": (1.0, "1 m/s"),
    "m/s^2": (0.01, "0.01 m/s^2"),
    "kg/m^3": (0.01, "0.01 kg/m^3"),
}
"""How much more of a dial is asked about, by its SI unit: amount and words."""

SHARES = (1.0, 0.5, 0.25)  # of the step, at which the slope is taken
AGREE = 0.05  # share by which slopes at the three steps may differ
FINE = 1e-11  # tolerance of the throws whose differences are taken
WINDING_STEPS = 31  # elevations of a winding that is only compared


@dataclass(frozen=True, slots=True, kw_only=True)
class Slope:
    """Change of one answer for a little more of one dial; `slopes` at each of the three steps."""

    value: float  # for `amount` of the dial, in the answer's SI unit
    slopes: tuple[float, float, float]  # per SI unit of the dial, smallest step last
    rough: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensitivity:
    """One row: a dial, how much more of it, and what that does; None where it cannot be told."""

    path: str
    label: str
    amount: float
    words: str
    on: Mapping[str, Slope | None]


def sensitivity(
    machine: Machine,
    paths: Sequence[str] | None = None,
    *,
    progress: Callable[[int, int], Any] | None = None,
) -> tuple[Sensitivity, ...]:
    """Tell what a little more of each dial does.

    Args:
        machine: where the slopes are taken.
        paths: dials to look at; every number that throw or winding depend on, if left out.
        progress: called with (dials done, dials to do); what it raises ends the work.

    Raises:
        ValueError: a path that is no number.
    """
    chosen = [dials.dial(path) for path in paths] if paths is not None else list(_numbers(machine))
    wrong = [row.path for row in chosen if row.kind != "number" or row.whole]
    if wrong:
        raise ValueError(
            f"{wrong[0]}: it cannot be a little more, it is no number or a whole one. Compare two "
            "machines instead."
        )
    rows: list[Sensitivity] = []
    for row in chosen:
        amount, words = ONE_OF[row.si_unit]
        step = _step(row, machine)
        answers = _answers(machine, row, step)
        on = {
            key: _slope((ahead - behind) / (2.0 * step * np.array(SHARES)), amount)
            for key, (ahead, behind) in answers.items()
        }
        if progress is not None:
            progress(len(rows) + 1, len(chosen))
        rows.append(Sensitivity(path=row.path, label=row.label, amount=amount, words=words, on=on))
    return tuple(rows)


def _slope(slopes: np.ndarray, amount: float) -> Slope | None:
    if not np.all(np.isfinite(slopes)):
        return None
    best = float(slopes[-1])
    apart = float(np.max(slopes) - np.min(slopes))
    return Slope(
        value=best * amount,
        slopes=tuple(slopes.tolist()),
        rough=apart > AGREE * float(np.max(np.abs(slopes))) and apart > 1e-6 * abs(best) + 1e-9,
    )


def _numbers(machine: Machine) -> list[dials.Dial]:
    """Give the dials that a little more makes sense of: they have a value and do something."""
    winch = ("winch.drum", "winch.crank", "winch.gear", "winch.sheave_loss", "winch.rope")
    return [
        row
        for row in dials.TABLE
        if row.kind == "number"
        and (row.moves or row.path in winch)
        and not row.whole
        and isinstance(machine[row.path], float)
        and row.path != "site.gravity"
        and (row.group != "base" or machine.flag("base.wheels"))
    ]


def _step(row: dials.Dial, machine: Machine) -> float:
    """Give the largest of the three steps: half of the told amount, less near the dial's limits."""
    value = machine.number(row.path)
    step = 0.5 * ONE_OF[row.si_unit][0]
    if abs(value) > 0.0 and row.si_unit in ("m", "kg", "kg m^2", "N/m", "N s/m", "-"):
        step = min(step, 0.02 * abs(value))
    low, high = row.lowest, row.highest
    room = min(value - low, high - value)
    return step if room <= 0.0 else min(step, room)


def _answers(
    machine: Machine, row: dials.Dial, step: float
) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    """Give every answer with more of a dial and with less, each (3,), NaN where there is none."""
    value = machine.number(row.path)
    values = np.array([value + sign * share * step for sign in (1.0, -1.0) for share in SHARES])
    found = {key: np.full(values.size, math.nan) for key in ANSWERS}
    for place, one in enumerate(values.tolist()):
        try:
            other = machine.change({row.path: one})
        except MachineError:
            continue
        found["hook"][place] = held(other).hook_load
        found["crank"][place] = crank_force(other)
    # A dial that the motion does not depend on leaves the throw as it is: two equal rows say so.
    path, swept = (row.path, values) if row.moves else ("release.angle", None)
    if swept is None:
        swept = np.full(values.size, machine.number(path))
    columns = sweep(machine, {path: swept}, grid=False, progress=False, tolerance=FINE)
    found["range"], found["axle"] = columns["range"], columns["peak_axle_load"]
    size = len(SHARES)
    return {key: (column[:size], column[size:]) for key, column in found.items()}


def crank_force(machine: Machine) -> float:
    """Largest force of a person at the winch over one winding [N], NaN where it cannot be wound."""
    try:
        return follow(winch_numbers(machine), rig_of(machine), WINDING_STEPS).force_per_person
    except ValueError:
        return math.nan

"""What makes a machine throw that does not: one dial changed at a time, each tried by a throw."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from slingwright.amounts.text import Amount, Text, form, joined
from slingwright.machine.machine import Machine
from slingwright.machine.table import dials
from slingwright.motion.sweeping import sweep

PATHS = (
    "release.angle",
    "sling.length",
    "arm.cocked",
    "projectile.mass",
    "counterweight.mass",
    "arm.short",
    "counterweight.hanger",
    "axle.height",
    "trough.height",
    "trough.friction",
)
"""Dials that are tried, those first that are changed soonest in the field."""
FACTORS = (1.1, 1.25, 1.5, 2.0, 3.0, 5.0)
TURNS = tuple(math.radians(turn) for turn in (5.0, 10.0, 20.0, 30.0, 45.0, 60.0))
MOST = 3  # that are told


@dataclass(frozen=True, slots=True, kw_only=True)
class Mend:
    """One dial at a value with which the machine throws, and how far; SI."""

    path: str
    value: float
    range: float

    @property
    def told(self) -> Text:
        """Dial, value and range."""
        unit = dials.dial(self.path).unit
        return form("{} {} ({:3m})")(self.path, Amount(self.value, unit, 3), self.range)


@lru_cache(maxsize=64)
def mending(machine: Machine) -> tuple[Mend, ...]:
    """Find which dials, each alone, make a machine throw out of its own reach, by the least step.

    A length or a mass is made up to five times larger or smaller in six steps, an angle is turned
    by up to 60 degrees; every one is thrown. At most three are given, the least steps first; none
    where no single dial does.

    Args:
        machine: one that does not throw.
    """
    out = machine.number("arm.long") + machine.number("sling.length")
    given = [path for path in PATHS if path in machine.given]
    found: dict[str, tuple[int, Mend]] = {}
    # What is derived follows the dial that is turned; dials that are given stay as they are.
    for paths in (given, *([path] for path in PATHS if path not in given)):
        rows = [(n, path, value) for path in paths for n, value in enumerate(_steps(machine, path))]
        table = {
            path: [value if own == path else machine.number(path) for _, own, value in rows]
            for path in paths
        }
        if not rows:
            continue
        thrown = sweep(machine, table, grid=False, loads=False, progress=False)
        for (n, path, value), reach in zip(rows, thrown["range"], strict=True):
            if reach > out and (path not in found or n // 2 < found[path][0]):
                found[path] = n // 2, Mend(path=path, value=value, range=float(reach))
    least = sorted(found.values(), key=lambda one: one[0])
    return tuple(mend for _, mend in least[:MOST])


def mended(machine: Machine, sentence: str | Text) -> str | Text:
    """Give a throw's sentence; where it throws nothing forward, with what makes it do so.

    What was tried takes the place of what the sentence says behind its last semicolon, which helps
    as a rule.

    Args:
        machine: what was loosed.
        sentence: of its throw.
    """
    if machine.number("projectile.mass") <= 0.0:
        return sentence
    found = mending(machine)
    tried = form("No single one of {} makes it throw: change two or more.")(", ".join(PATHS))
    if found:
        tried = form("It throws with {}.")(joined([one.told for one in found], " or with "))
    fact, _, _ = str(sentence).rpartition("; ")
    return form("{} {}")(f"{fact}." if fact else sentence, tried)


# ---- within


def _steps(machine: Machine, path: str) -> Iterator[float]:
    """Values that are tried, in pairs of more and less, the nearest first."""
    dial, now = dials.dial(path), machine.number(path)
    angle = dial.unit == "rad"
    for step in TURNS if angle else FACTORS:
        for value in (now + step, now - step) if angle else (now * step, now / step):
            yield min(max(value, dial.lowest), dial.highest)

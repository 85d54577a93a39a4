"""What can be bought or cut where a check fails: sizes that are sold, applied and looked at again.

A remedy tells the size at which a check just holds; a shop has others. Each is taken up to the next
that is sold or sawn, the machine is made so and every check is made anew: what breaks by it is
said, and where no one change serves, two together are tried.
"""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import combinations

from slingwright.amounts import units
from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount
from slingwright.amounts.verdict import FAILS
from slingwright.machine.faults import MachineError
from slingwright.machine.machine import Machine, shown
from slingwright.machine.table import dials
from slingwright.machine.table.dial import Dial, Value
from slingwright.strength.check import Check
from slingwright.strength.checks import Holding, holding
from slingwright.strength.mending.remedies import Remedy, SearchStopped, remedies
from slingwright.tables import ropes

ROUND = (6, 8, 10, 12, 14, 16, 18, 20, 22, 25, 28, 30, 32, 35, 36, 40, 42, 45, 48, 50, 55, 60, 65,
         70, 75, 80, 85, 90, 95, 100, 110, 120, 130, 140, 150, 160, 180, 200)  # fmt: skip
"""Round steel bars [mm]: sizes of EN 10060 that are commonly kept (from memory)."""
FLAT = (3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 120, 150)
"""Width and thickness of flat steel bars [mm]: EN 10058 (from memory)."""
SAWN = (16, 19, 22, 25, 32, 38, 44, 50, 63, 75, 100, 125, 150, 175, 200, 225, 250, 275, 300)
"""Thickness and width of sawn timber [mm]: EN 1313-1 (from memory); thicker is sawn to order."""
TO_ORDER = 0.025  # m, past the longest list, and 5 mm for what is cut to a length: common practice
CUT = 0.005
KINDS: Mapping[str, tuple[int, ...]] = {
    **dict.fromkeys(("axle.diameter", "hanger.pin", "prong.diameter", "base.wheel_axle"), ROUND),
    **dict.fromkeys(("hanger.strap_width", "hanger.strap_thickness", "frame.plate"), FLAT),
    **dict.fromkeys(("counterweight.floor", "counterweight.side", "trough.board"), SAWN),
    "trough.bearer": SAWN,
}
"""What a dial's size is bought as; sizes of the timbers' sections are sawn."""
TIMBERS = ("arm.", "frame.", "axle.support_")
MOST_UP, MOST_PAIRS, ENOUGH = 3, 6, 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Bought:
    """One purchase or cut: the dials as they are bought, what they were, and what it does.

    `utilisation` is that of the check in the machine made so, `unknown` why it is known in part
    alone; `breaks` are checks that fail then and did not.
    """

    check: str
    changes: Mapping[str, Value]
    now: Mapping[str, Value]
    utilisation: float
    unknown: str
    breaks: tuple[str, ...]

    @property
    def serves(self) -> bool:
        """Whether the check no longer fails and nothing breaks by it."""
        return self.utilisation <= 1.0 and not self.breaks

    def told(self, system: units.System = "metric", by_label: bool = False) -> str:
        """Say what to buy or cut and what it does, in the units of a system."""
        each = []
        for path, value in self.changes.items():
            dial = dials.dial(path)
            called = dial.label if by_label else path
            each.append(f"{called} {shown(dial, self.now[path], system)} to "
                        f"{shown(dial, value, system)}")  # fmt: skip
        used = f"{100.0 * self.utilisation:.0f} % used"
        held = f"{used} as far as is known, {self.unknown}" if self.unknown else f"holds, {used}"
        end = f", but these then fail: {', '.join(self.breaks)}" if self.breaks else ""
        return f"buy or cut {' and '.join(each)}: {held}{end}"


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Shopping(Answer):
    """What to buy or cut for the checks that fail, the worst check first."""

    machine: Machine
    found: Mapping[str, tuple[Bought, ...]] = field(default_factory=dict)

    def rows(self) -> Iterator[Row]:
        """Give what was tried for each check, what serves first."""
        for name, tried in self.found.items():
            for at, one in enumerate(tried):
                used = Amount(one.utilisation, "share", 3)
                yield Row(f"{name}.{at}", name, used, one.told())

    @property
    def sentence(self) -> str:
        """How many of the checks one or two purchases serve."""
        if not self.found:
            return "No check fails: nothing is to be bought."
        served = [name for name, tried in self.found.items() if any(one.serves for one in tried)]
        left = [name for name in self.found if name not in served]
        rest = f"; none was found for {', '.join(left)}" if left else ""
        return f"{len(served)} of {len(self.found)} checks are served by what is sold{rest}."


def bought(machine: Machine, *, most: int = 3) -> Shopping:
    """Tell what to buy or cut for each check that fails, the worst first; it takes minutes."""
    held = holding(machine)
    failing = [c for c in held.checks if not c.passes and c.at_least is None][:most]
    found = {c.name: purchases(held, c, remedies(held, c)) for c in failing}
    return Shopping(machine=machine, found=found)


def purchases(
    held: Holding,
    check: Check,
    wanted: tuple[Remedy, ...],
    stopped: Callable[[], bool] = lambda: False,
) -> tuple[Bought, ...]:
    """Take each remedy up to what is sold, and two together where none serves alone.

    Raises: SearchStopped, as soon as `stopped`, asked before each trial, says so.
    """
    shop = _Shop(held, check, stopped)
    tried: list[Bought] = []
    for one in wanted:
        if one.value is None or isinstance(one.value, bool):
            continue
        if sum(found.serves for found in tried) >= ENOUGH:
            break
        for value in list(sold(held.machine, one.path, one.value))[:MOST_UP]:
            found = shop.tried({one.path: value})
            if found is not None:
                tried.append(found)
                break
    if not any(one.serves for one in tried):
        ladders = {one.path: _up(held.machine, one) for one in wanted}
        pairs = [pair for pair in combinations(ladders, 2) if all(ladders[p] for p in pair)]
        for first, second in pairs[:MOST_PAIRS]:
            for values in zip(ladders[first], ladders[second], strict=False):
                found = shop.tried(dict(zip((first, second), values, strict=True)))
                if found is not None:
                    tried.append(found)
                    break
            if tried and tried[-1].serves:
                break
    return tuple(sorted(tried, key=lambda one: (not one.serves, len(one.breaks))))


def sold(machine: Machine, path: str, least: Value) -> Iterator[Value]:
    """Give what is sold of a dial's size from a value on, away from what is set: the next first.

    Sizes of bars, boards and ropes are those of their lists, timber past its list is sawn to order,
    what is cut to a length goes in steps of 5 mm; a name is as it stands.

    Args:
        least: value at which a check just holds.
    """
    now, dial = machine[path], dials.dial(path)
    if not isinstance(least, float) or not isinstance(now, float) or dial.whole:
        yield least
        return
    sizes = _sizes(machine, dial)
    up = least >= now
    if sizes:
        fit = [s for s in sizes if (s >= least - 1e-9 if up else s <= least + 1e-9)]
        yield from sorted(fit, reverse=not up)
        return
    step = CUT if dial.si_unit == "m" else dial.step * dial.factor
    turn = math.ceil(least / step - 1e-9) if up else math.floor(least / step + 1e-9)
    for more in range(MOST_UP):
        value = (turn + (more if up else -more)) * step
        if dial.lowest <= value <= dial.highest:
            yield value


# ---- within


class _Shop:
    def __init__(self, held: Holding, check: Check, stopped: Callable[[], bool]) -> None:
        self.held, self.check, self.stopped = held, check, stopped
        self.failed = {one.key for one in held.checks if one.verdict == FAILS}

    def tried(self, changes: Mapping[str, Value]) -> Bought | None:
        """Make the machine so and look at all of it; None where it is none, or the check fails."""
        if self.stopped():
            raise SearchStopped
        try:
            found = holding(self.held.machine.change(changes))
        except MachineError:
            return None
        check = next((one for one in found.checks if one.key == self.check.key), None)
        if check is None or not check.utilisation <= 1.0:
            return None
        failed = [one for one in found.checks if one.verdict == FAILS]
        return Bought(
            check=self.check.name,
            changes=dict(changes),
            now={path: self.held.machine[path] for path in changes},
            utilisation=check.utilisation,
            unknown=check.unknown,
            breaks=tuple(one.name for one in failed if one.key not in self.failed),
        )


def _up(machine: Machine, one: Remedy) -> list[Value]:
    """Give sizes that are sold past what is set, each some fifth larger than the one before."""
    now, dial = machine[one.path], dials.dial(one.path)
    if not isinstance(now, float) or isinstance(one.value, str) or now <= 0.0:
        return []
    found: list[Value] = []
    for go in range(1, 9):
        far = now * 1.2**go
        value = now + go if dial.whole else next(sold(machine, one.path, far), None)
        if isinstance(value, float) and value <= dial.highest and value not in found:
            found.append(value)
    return found


def _sizes(machine: Machine, dial: Dial) -> list[float]:
    """Give the sizes that are sold for a dial, rising; none where it is cut to a length."""
    path = dial.path
    if path == "sling.rope_diameter":
        return [one.diameter for one in ropes.rope_sizes(machine.text("sling.rope"))]
    timber = path.startswith(TIMBERS) and path.rsplit("_")[-1] in ("depth", "width")
    listed = KINDS.get(path, SAWN if timber else ())
    sizes = [1e-3 * size for size in listed]
    if listed is SAWN:
        more = int((1.5 - sizes[-1]) / TO_ORDER)
        sizes += [sizes[-1] + TO_ORDER * at for at in range(1, more)]
    return sizes

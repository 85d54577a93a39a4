"""The loads that a machine is asked to throw, and the machine with each of them in its sling."""

import math
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace

from slingwright.machine.faults import MachineError
from slingwright.machine.machine import BriefLoad, Machine
from slingwright.machine.table.conditions import LIGHTEST_END
from slingwright.machine.table.dials import Value

EMPTY = BriefLoad(name="empty sling", mass=0.0, diameter=0.0)
"""Nothing in the pouch."""


def own_load(machine: Machine) -> BriefLoad:
    """Give the machine's own projectile as a load, under the brief's name where it is one."""
    mass, across = machine.number("projectile.mass"), machine.number("projectile.diameter")
    for load in machine.brief:
        if math.isclose(load.mass, mass, rel_tol=1e-9) and math.isclose(
            load.diameter, across, rel_tol=1e-9
        ):
            return load
    drag = machine["projectile.drag"]
    given = None if drag is None else float(drag)
    return BriefLoad(name="present projectile", mass=mass, diameter=across, drag=given)


def brief_loads(machine: Machine) -> Iterator[BriefLoad]:
    """Give every load of the brief, and the machine's own where the brief has none like it."""
    yield from machine.brief
    own = own_load(machine)
    if own not in machine.brief and own.mass > 0.0:
        yield own


def loaded_machine(machine: Machine, load: BriefLoad) -> Machine:
    """Give the machine with another load in its sling and nothing else changed.

    Derived values stay as they are; trough and frame are widened where the load does not pass.
    """
    return with_load(frozen(machine), load)


def frozen(machine: Machine) -> Machine:
    """Give the machine with its derived values held fast: another load does not rebuild it."""
    kept: dict[str, Value] = {path: machine[path] for path in machine.derived}
    return machine.change(kept)


def with_load(held: Machine, load: BriefLoad) -> Machine:
    """Give the machine with another load; trough and frame are widened where it does not pass."""
    changes: dict[str, Value] = {
        "projectile.mass": max(load.mass, _least_load(held)),
        "projectile.drag": load.drag,
    }
    if load.diameter > 0.0 or load.mass > 0.0:
        changes["projectile.diameter"] = load.diameter
    for path in ("trough.width", "axle.span"):
        if held.number(path) < load.diameter:
            changes[path] = load.diameter
    return held.change(changes)


def _least_load(machine: Machine) -> float:
    """Mass that the pouch must hold for the sling to move by a law: none but without a mass."""
    own = machine.number("sling.pouch") + machine.number("sling.mass") / 3.0
    return 0.0 if own >= LIGHTEST_END else 2.0 * LIGHTEST_END


def ends(loads: tuple[BriefLoad, ...]) -> dict[BriefLoad, str]:
    """Give the heaviest and the lightest load, and what to call those between with each."""
    if not loads:
        return {}
    heaviest, lightest = (pick(loads, key=lambda load: load.mass) for pick in (max, min))
    if lightest.mass == heaviest.mass:
        return {heaviest: ""}
    return {heaviest: " and lighter", lightest: " and heavier"}


def sharing_out(copies: Sequence[Machine], load: BriefLoad, other: BriefLoad) -> Iterator[Machine]:
    """Give copies with loads between, from near their own `load` to half way to another, in ratio.

    A copy that is no machine with its load is left out.
    """
    for step, copy in enumerate(copies, 1):
        share = step / (2 * len(copies) + 1)
        mass, across = copy.number("projectile.mass"), copy.number("projectile.diameter")
        mass *= (other.mass / load.mass) ** share
        across += share * (other.diameter - load.diameter)
        with suppress(MachineError):
            yield with_load(copy, replace(load, mass=mass, diameter=across))

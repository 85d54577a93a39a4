"""Ways to rig one machine, side by side: what each asks of the crew, and how it bends the frame."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.answer import Answer, Cell, Row, Table
from slingwright.amounts.text import Amount, Text, form
from slingwright.formulas.beams.sections import rectangle
from slingwright.formulas.loads import axial_stress
from slingwright.formulas.steel.strength import bending_stress
from slingwright.formulas.timber.columns import buckling_factor, column_use, relative_slenderness
from slingwright.formulas.timber.strength import (
    modification_factor,
    partial_factor,
    tension_bending_use,
    timber_design_strength,
)
from slingwright.formulas.winch import hauling
from slingwright.machine.machine import Machine
from slingwright.tables import materials
from slingwright.winch.cycle import Winding, winding

SECTION = (
    "the frame's extension under the winch: a cantilever of rig.overhang, taken as thick as the "
    "sill, bolt holes not counted; EN 1995-1-1 eqs (6.17), (6.23), buckling over twice its length"
)
"""What is taken for the extension, which has no section of its own."""
COLUMNS = {"force": "force a person", "allowed": "sustainable", "time": "winding",
           "pace": "shots an hour", "rope": "rope at drum", "bending": "frame bent",
           "push": "along its grain", "use": "of what it holds"}  # fmt: skip
SPIKES = (
    "a handspike is shipped again and again, half of the time turning; what a person may push "
    "on one is not known, the crank's limit stands"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way to rig the machine; without a run, `why` says why it cannot be wound so."""

    key: str
    name: str
    changes: Mapping[str, float | str]  # dials, by path
    note: str
    is_now: bool
    run: Winding | None
    why: str = ""
    root: tuple[float, float] = (0.0, 0.0)  # m, where the extension leaves the frame
    bending: float = math.nan  # N m, largest in one extension
    push: float = math.nan  # N, largest along its grain, pull negative
    use: float = math.nan  # of the extension's strength, load factor and all

    @property
    def cells(self) -> tuple[Cell, ...]:
        """What stands in its columns, nothing where it cannot be wound so."""
        if (run := self.run) is None:
            return (None,) * len(COLUMNS)
        return (
            Amount(run.force_per_person, "N", 3), Amount(run.force_allowed, "N", 3),
            Amount(run.winding_time, "s", 3), Amount(run.loosings_an_hour, "-", 2),
            Amount(run.peak_rope_pull, "N", 3), Amount(self.bending, "N m", 3),
            Amount(self.push, "N", 3), Amount(self.use, "share", 3))  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Riggings(Answer):
    """Ways to rig a machine, the one it has among them."""

    ways: tuple[Way, ...]

    @property
    def sentence(self) -> Text:
        """Which way is the lightest for the crew, the quickest, and the mildest for the frame."""
        wound = [(way, way.run) for way in self.ways if way.run is not None]
        if not wound:
            return form("None of {} ways winds this machine.")(len(self.ways))
        light = min(wound, key=lambda one: one[1].force_per_person)
        bearable = [one for one in wound if one[1].force_per_person <= one[1].force_allowed]
        mild = min((way for way, _ in wound), key=lambda way: way.bending)
        fast = form("no way keeps every hand under what it sustains")()
        if bearable:
            best = min(bearable, key=lambda one: one[1].winding_time)
            fast = form("of what the crew can sustain {} is the quickest, {:3s}")(
                best[0].name, best[1].winding_time
            )
        return form(
            "Lightest for the crew: {}, {:3N} a person; {}; {} bends the frame least, {:3N m}."
        )(light[0].name, light[1].force_per_person, fast, mild.name, mild.bending)

    def rows(self) -> Iterator[Row]:
        """Give the columns of the table, way by way; the first with what is to be said of it."""
        for way in self.ways:
            if way.run is None:
                yield Row(way.key, way.name, "cannot be wound so", way.why)
                continue
            for k, (key, label) in enumerate(COLUMNS.items()):
                note = SECTION if key == "use" else "" if k else way.note
                yield Row(f"{way.key}.{key}", f"{way.name}: {label}", way.cells[k], note)

    def table(self, system: units.System = "metric") -> Table:
        """Give one line for each way."""
        lines = tuple(
            (way.name + (" (as it is)" if way.is_now else ""), *way.cells, way.why or way.note)
            for way in self.ways
        )
        head = ("way", *COLUMNS.values(), "")
        return Table(head=head, lines=lines, caption=self.sentence, system=system)


def riggings(machine: Machine) -> Riggings:
    """Compare ways to rig a machine: crew force, time, and bending of the frame under the winch.

    Each way is a change of dials: straight tackle, led over a block, handspikes in a windlass, and
    a winch in line with the frame's extension, which is then loaded along its grain.

    Args:
        machine: its dials; where the rope is led, and how long a handspike is, it says itself.
    """
    n = machine.number
    root = _root(machine)
    asked: tuple[tuple[str, str, dict[str, float | str], str], ...] = (
        ("straight", "straight tackle", {"rig.rigging": "tackle"}, "from the arm to the winch"),
        ("led", "led over a block", {"rig.rigging": "led"}, "over a lead block to the winch"),
        ("spikes", "handspikes in a windlass", {
            "winch.crank": n("rig.handspike"), "winch.gear": 1.0, "crew.working_share": 0.5},
         SPIKES),
        ("in_line", "winch in line with the extension", {
            "rig.rigging": "led", "rig.lead_x": root[0], "rig.lead_y": root[1],
            "rig.offset": 0.0},
         "a lead block at the extension's root, the rope on its own axis"),
    )  # fmt: skip
    made = [_way(machine, *one) for one in asked]
    if not any(way.is_now for way in made):
        made.insert(0, _way(machine, "now", "as it is", {}, "as its dials say"))
    return Riggings(ways=tuple(made))


def _root(machine: Machine) -> tuple[float, float]:
    """Where the extension leaves the frame, `rig.overhang` inward of the winch [m]."""
    n = machine.number
    inward = n("rig.overhang") * (1.0 if n("winch.x") < 0.0 else -1.0)
    slope = n("rig.member_slope")
    return n("winch.x") + inward * math.cos(slope), n("winch.y") + inward * math.sin(slope)


def _way(machine: Machine, key: str, name: str, changes: dict[str, float | str], note: str) -> Way:
    """Wind the machine so, and bend its extension."""
    now = all(machine[path] == value for path, value in changes.items())
    try:
        changed = machine.change(changes)
        run = winding(changed)
    except ValueError as error:
        return Way(key=key, name=name, changes=changes, note=note, is_now=now, run=None,
                   why=str(error))  # fmt: skip
    n, share = changed.number, run.one_rope
    if run.numbers.ropes == 1:
        share = n("frame.share")
    slope, outward = n("rig.member_slope"), -1.0 if n("winch.x") < 0.0 else 1.0
    root, turned, push = _root(changed), np.zeros(1), np.zeros(1)
    for pull, place in zip(
        run.frame, ((n("winch.x"), n("winch.y")), run.reeving.block), strict=False
    ):
        off = (place[0] - root[0]) * math.cos(slope) + (place[1] - root[1]) * math.sin(slope)
        off *= outward
        if off > 1e-9:  # else it stands on the frame itself
            by_along, by_across = hauling.extension_bending(
                pull.along, pull.across, off, n("rig.offset")
            )
            turned, push = turned + by_along + by_across, push - outward * pull.along
    moment, push = share * np.abs(turned), share * push
    return Way(
        key=key, name=name, changes=changes, note=note, is_now=now, run=run, root=root,
        bending=float(np.max(moment)), push=float(push[np.argmax(np.abs(push))]),
        use=_use(changed, push, moment),
    )  # fmt: skip


def _use(machine: Machine, push: np.ndarray, moment: np.ndarray) -> float:
    """Largest use of one extension, pushed or pulled along its grain and bent at once."""
    n, timber = machine.number, materials.timber(machine.text("frame.timber"))
    section = rectangle(n("frame.sill_width"), n("frame.sill_depth"))
    modification = modification_factor(int(n("site.service")), "short")
    strength = {
        name: timber_design_strength(getattr(timber, name), modification, partial_factor("solid"))
        for name in ("compression_parallel", "tension_parallel", "bending_strength")
    }
    keeps = min(
        buckling_factor(
            relative_slenderness(
                2.0 * n("rig.overhang"), gyration, timber.compression_parallel, timber.modulus_5
            )
        )
        if n("rig.overhang") > 0.0
        else 1.0
        for gyration in (section.gyration, section.gyration_sideways)
    )
    # what one newton along the grain and one newton metre use up; they add up
    one, holds = axial_stress(1.0, section.area), strength["bending_strength"]
    pushed = column_use(one, strength["compression_parallel"], keeps)
    pulled = tension_bending_use(one, strength["tension_parallel"], 0.0, holds)
    bent = bending_stress(1.0, section.elastic_modulus) / holds
    use = np.where(push >= 0.0, pushed * push, -pulled * push) + bent * moment
    return n("site.load_factor") * float(np.max(use))

"""Sections of the report on strength: load cases, every check with its working, sources, ledger."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from slingwright.amounts import units
from slingwright.amounts.answer import Table
from slingwright.amounts.text import Amount, alike, joined, told
from slingwright.pages.print.sections import Section
from slingwright.strength.check import Check
from slingwright.strength.checks import Holding
from slingwright.strength.clearance import Clearance
from slingwright.strength.names import CHECKS

CASE = (("axle_load", "N"), ("pin_load", "N"), ("peak_moment", "N m"), ("sling_tension", "N"))
"""What is told of each load case, and its unit."""
Sources = dict[str, int]
"""The sources that were named so far, each with its number."""


def of_holding(found: Holding, gaps: Clearance, system: units.System) -> Iterable[Section]:
    """Give the sections on what holds."""
    lines = [
        (
            check.name,
            row.verdict,
            row.used,
            *alike(row.amount(row.demand), row.amount(row.capacity)),
            joined(filter(None, (row.case, check.mishap)), "; "),
        )
        for check in found.checks
        for row in (check.as_planned,)
    ]
    head = ("check", "verdict", "used", "demand", "capacity", "governing case")
    checks = Table(head=head, lines=tuple(lines), system=system)
    cases = Table(
        head=("load case", "axle", "hanger pin", "arm moment", "sling"),
        lines=tuple(
            (case.name, *(Amount(getattr(case, name), unit) for name, unit in CASE))
            for case in found.cases
        ),
        system=system,
    )
    governs = [f"{one.part.capitalize()}: {one.case}; {one.words}." for one in found.governing[:1]]
    yield Section(
        title="Will it hold",
        words=[told(found.sentence, system), *governs, told(gaps.sentence, system)],
        sheets=[cases, checks],
    )
    sources: Sources = {}
    yield from _worked_out(found, sources, system)
    numbered = tuple((f"{number}", source) for source, number in sources.items())
    table = Table(head=("no", "source"), lines=numbered)
    yield Section(title="Sources of the checks", sheets=[table])
    path = found.path
    heads = ("part", "takes at most", "in which case, and its checks")
    yield Section(
        title="The way of the load, from projectile to ground",
        words=[told(path.sentence, system)],
        sheets=[replace(path.table(system), head=heads)],
    )


def _worked_out(found: Holding, sources: Sources, system: units.System) -> Iterable[Section]:
    for part in dict.fromkeys(part for part, _ in CHECKS.values()):
        rows = [_worked(check, sources, system) for check in found.checks if check.part == part]
        if rows:
            table = Table(head=("check", "how"), lines=tuple(rows))
            yield Section(title=f"Worked out: {part}", sheets=[table])


def _worked(check: Check, sources: Sources, system: units.System) -> tuple[str, str]:
    """Give a check as planned, and its working, which ends with its sources."""
    row = check.as_planned
    case = "" if row.case in ("all", "none") else f", {row.case}"
    head = f"{check.name}\n{row.verdict}, {told(row.used, system)}{case}"
    numbers = [f"{sources.setdefault(one, len(sources) + 1)}" for one in row.source.split("; ")]
    return head, f"{told(row.working, system)}\nSources: {', '.join(numbers)}"

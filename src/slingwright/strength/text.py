"""The checks of a machine as text and as JSON, for the command line and for print."""

import math
from typing import Any

from slingwright.amounts import units
from slingwright.amounts.answer import plain
from slingwright.amounts.text import joined, text, told
from slingwright.amounts.verdict import FAILS, HOLDS, NOT_KNOWN, whole
from slingwright.strength.checks import CAUTIONS, NOT_MODELLED, Holding
from slingwright.strength.clearance import Clearance
from slingwright.strength.ledger import not_checked

BAR = 20
"""Signs in the bar of a use of 1."""


def bar(use: float) -> str:
    """Draw a use as a bar of signs: `#` up to the limit, `!` beyond it, cut at twice the limit.

    >>> bar(0.5), bar(1.25)
    ('##########          |', '####################|!!!!!')
    """
    if math.isnan(use):
        use = math.inf
    within = min(BAR, round(BAR * min(use, 1.0)))
    beyond = min(BAR, math.ceil(BAR * (min(use, 2.0) - 1.0) - 1e-9)) if use > 1.0 else 0
    return f"{'#' * within:<{BAR}}|{'!' * beyond}"


def as_text(
    holding: Holding,
    clearance: Clearance | None = None,
    system: units.System = "metric",
    working: bool = False,
) -> str:
    """Write load cases, what governs, the checks and the clearance as plain text."""
    lines = [f"Will it hold: {holding.machine.name or 'this machine'}", ""]
    lines += [told(holding.sentence, system), "", "Load cases"]
    wide = max(len(case.name) for case in holding.cases)
    lines.append(f"  {'':<{wide}}  {'axle':>10}  {'pin':>10}  {'arm':>11}  {'sling':>10}")
    for case in holding.cases:
        loads = (
            (case.axle_load, "N", 10),
            (case.pin_load, "N", 10),
            (case.peak_moment, "N m", 11),
            (case.sling_tension, "N", 10),
        )
        cells = "  ".join(f"{units.text(v, unit, system):>{room}}" for v, unit, room in loads)
        lines.append(f"  {case.name:<{wide}}  {cells}")
        for words in filter(None, (case.note, case.followed if case.throw else "")):
            lines.append(f"  {'':<{wide}}  ({words})")
    lines += ["", "What governs"]
    for part in holding.governing:
        value = units.text(part.value, part.unit, system)
        lines.append(f"  {part.part}: {part.case}, {value}; {part.words}")
    lines += [
        "",
        "Checks of throws as planned, the worst first; below each what a mishap makes of it",
    ]
    wide = max(len(check.name) for check in holding.checks)
    for check in holding.checks:
        row, mishap = check.as_planned, told(check.mishap, system)
        lines.append(
            f"  {check.name:<{wide}}  {row.verdict:<9} {row.used:>16}  "
            f"{bar(row.utilisation):<{2 * BAR + 1}}  {told(row.against, system)}; {row.case}"
            + (f"; {row.unknown}" if row.at_least is not None else "")
        )
        if mishap:
            lines.append(f"  {'':<{wide}}    {mishap}")
        if working or (not check.known and check.at_least is None):
            lines += [f"      {line}" for line in told(check.working, system).split("\n")]
            lines.append(f"      Source: {check.source}")
    if clearance is not None:
        lines += [
            "",
            "Clearance over the throw and the swing after it",
            f"  {told(clearance.sentence, system)}",
        ]
    lines += ["", "Load path, from projectile to ground"]
    for link in holding.path.rows():
        parts = [text(one) for one in (link.value, link.note) if one]
        lines.append(f"  {link.label}: {told(joined(parts, '; '), system)}")
    lines += ["", "Not checked: " + "; ".join(not_checked(holding.machine)) + "."]
    lines += ["Not modelled: " + "; ".join(NOT_MODELLED) + ".", CAUTIONS]
    return "\n".join(line.rstrip() for line in lines)


def as_data(holding: Holding, clearance: Clearance | None = None) -> dict[str, Any]:
    """Give the same as plain data in SI; what is not a finite number is None.

    `verdict` is that of the checks and the clearance together; `holds` is None where not known.
    """
    both = whole([holding.verdict, *([] if clearance is None else [clearance.verdict])])
    found = {
        "machine": holding.machine.name,
        "holds": {HOLDS: True, FAILS: False, NOT_KNOWN: None}[both],
        "verdict": both,
        "not_checked": not_checked(holding.machine),
        "sentence": holding.sentence,
        "path": holding.path.record(),
        "cases": [
            {
                **_named(case, "name", "kind", "axle_load", "pin_load", "sling_tension"),
                **_named(case, "base_lift", "base_slide", "note", "followed", "cut"),
                "arm_moment": case.peak_moment,
                "known_until": case.until,
            }
            for case in holding.cases
        ],
        "governing": [
            _named(part, "part", "case", "value", "unit", "words") for part in holding.governing
        ],
        "checks": [
            {
                **_named(check, "key", "name", "part", "case", "verdict", "demand", "capacity"),
                **_named(check, "unit", "utilisation", "at_least", "passes", "unknown", "source"),
                "as_planned": check.as_planned.verdict,
                "utilisation_as_planned": check.as_planned.utilisation,
                "working": check.working,
                "steps": [step.record() for step in check.steps],
                "dials": check.dials,
            }
            for check in holding.checks
        ],
        "clearance": clearance
        and {
            **_named(clearance, "clear", "verdict", "sentence"),
            "gaps": [
                {
                    **_named(gap, "moving", "standing", "case", "gap", "beside", "strikes"),
                    "time": None if gap.beside else gap.time,
                }
                for gap in clearance.gaps
            ],
        },
        "not_modelled": NOT_MODELLED,
        "cautions": CAUTIONS,
    }
    return plain(found)


def _named(one: Any, *names: str) -> dict[str, Any]:
    return {name: getattr(one, name) for name in names}

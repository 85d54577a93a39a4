"""Sheets of one page, pictures first: for the crew, and for the public."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from slingwright.amounts import units
from slingwright.amounts.text import told
from slingwright.amounts.verdict import HOLDS
from slingwright.machine.machine import Machine, shown
from slingwright.machine.table import dials
from slingwright.making.details import ground as plans
from slingwright.making.sheets import as_svg, drawing, sheet_scale
from slingwright.making.views import View, views
from slingwright.pages.print.report import PAPER, typeset
from slingwright.standing.ground import CAUTIONS, Zone
from slingwright.standing.ready import Ready, ready
from slingwright.standing.zone import zone
from slingwright.winch.cycle import winding
from slingwright.winch.hook import PROCEDURE
from slingwright.winch.text import winding_rows

Rows = Iterator[tuple[str, str]]
TEMPLATE = Path(__file__).with_name("one_page.typ")
SHEETS = ("crew", "public")
FIGURES = {"crew": (100.0, 90.0), "public": (180.0, 84.0)}  # mm, of one picture
SIZES = ("axle.height", "frame.sill_length")  # dimensions that stand in the picture
TOLD = ("counterweight.mass", "arm.long", "axle.height")


def sheet_files(
    machine: Machine, who: str, *, day: str, system: units.System = "metric"
) -> dict[str, bytes]:
    """Give the files that a sheet is set from: the template, its data and its pictures.

    Raises:
        ValueError: `who` is neither `crew` nor `public`.
    """
    if who not in SHEETS:
        raise ValueError(f"there is no sheet for {who!r}. Take one of {', '.join(SHEETS)}.")
    name, asked = machine.name or "A machine without a name", ready(machine)
    side = views(machine)["side"]
    side = replace(side, sizes=[size for size in side.sizes if size.name in SIZES])
    pictures = {
        "side.svg": (_drawn(machine, side, who, day, system), "Held before loosing, from the side")
    }
    try:
        ground: Zone | str = zone(machine)
    except ValueError as error:
        ground = str(error)
    if isinstance(ground, Zone):
        near = who == "crew"
        words = "The ground near the machine" if near else "The ground to keep clear"
        plan = replace(plans(machine)["places" if near else "ground"], notes=())
        plan = replace(plan, sizes=()) if near else plan
        pictures["plan.svg"] = _drawn(machine, plan, who, day, system), f"{words}, from above"
    rows = (_for_crew if who == "crew" else _for_all)(machine, ground, system)
    data = {
        "title": f"{name}: {'for the crew' if who == 'crew' else 'for everyone'}",
        "paper": PAPER[system],
        "foot": f"{name}, {day}, by calculation. Aids to judgement, not approval.",
        "warning": _warning(asked, who, system), "columns": 2 if who == "crew" else 1,
        "pictures": [{"file": file, "words": words} for file, (_, words) in pictures.items()],
        "rows": list(rows), "steps": PROCEDURE if who == "crew" else (), "caution": CAUTIONS,
    }  # fmt: skip
    return {
        TEMPLATE.name: TEMPLATE.read_bytes(),
        "data.json": json.dumps(data, ensure_ascii=False).encode(),
        **{file: svg for file, (svg, _) in pictures.items()},
    }


def sheet_pdf(machine: Machine, who: str, *, day: str, system: units.System = "metric") -> bytes:
    """Give a sheet as a PDF; arguments as for `sheet_files`.

    Raises:
        ReportError: the package that sets the pages is not there.
    """
    return typeset(TEMPLATE.name, lambda: sheet_files(machine, who, day=day, system=system))


def _drawn(machine: Machine, view: View, who: str, day: str, system: units.System) -> bytes:
    paper = FIGURES[who]
    scale = sheet_scale(view, paper, [*range(1, 501), *range(510, 20_000, 10)])
    drawn = drawing(machine, view, day=day, scale=scale, system=system, titled=False)
    return as_svg(drawn, scale, paper).encode()


def _warning(asked: Ready, who: str, system: units.System) -> str:
    if asked.verdict == HOLDS:
        return ""
    if who == "crew":
        return f"Do not loose it as it stands. {told(asked.sentence, system)}"
    return (
        f"A draft, not to be handed out as it stands: things that fail as planned "
        f"{len(asked.planned)}, in a mishap {len(asked.broken)} more, not known "
        f"{len(asked.unknown)}."
    )


def _clear(ground: Zone | str, system: units.System) -> Rows:
    if isinstance(ground, str):
        yield "Keep clear", f"not known: {ground}"
        return
    table = ground.table(system)
    yield from (
        (label.capitalize(), value)
        for (label, value, _), row in zip(table.cells(), ground.rows(), strict=True)
        if row.key.startswith("clear.")
    )


def _loads(ground: Zone | str, system: units.System) -> Rows:
    for one in ground.leavings if isinstance(ground, Zone) else ():
        mass = units.text(one.machine.number("projectile.mass"), "kg", system)
        lands = "not known where it lands"
        if one.planned is not None:
            lands = f"lands {units.text(one.planned, 'm', system)} ahead as planned"
        yield one.load.capitalize(), f"{mass}, {lands}"


def _for_crew(machine: Machine, ground: Zone | str, system: units.System) -> Rows:
    yield from _clear(ground, system)
    if isinstance(ground, Zone):
        for i, one in enumerate(ground.people, 1):
            yield f"{i} {one.who.capitalize()}", told(one.words + ".", system)
    yield from _loads(ground, system)
    try:
        wound = winding_rows(winding(machine), system)[:3]
    except ValueError as error:
        wound = [("winding", f"this winch cannot wind this machine: {error}")]
    yield from ((label.capitalize(), words) for label, words in wound)


def _for_all(machine: Machine, ground: Zone | str, system: units.System) -> Rows:
    yield from _clear(ground, system)
    if isinstance(ground, Zone):
        yield "Where you stand", told(ground.places[-1], system)
    yield from _loads(ground, system)
    for path in TOLD:
        row = dials.dial(path)
        yield row.label.capitalize(), shown(row, machine[path], system)

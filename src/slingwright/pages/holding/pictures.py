"""Pictures of the page `will it hold`, as plain data for the canvas."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.figures import figures
from slingwright.amounts.text import told
from slingwright.formulas.beams.sections import round_section
from slingwright.formulas.steel.axle import axle_line
from slingwright.motion.bodies import moving_parts
from slingwright.pages.holding.controller import HoldingController
from slingwright.pages.pictures import canvas
from slingwright.pages.pictures.canvas import KEPT, NOW, Picture, Points, mark, picture
from slingwright.strength.check import Subject
from slingwright.strength.checks import Holding
from slingwright.strength.clearance import Clearance, Gap
from slingwright.strength.mending.width import WidthTrade
from slingwright.strength.parts.arm import bending_capacity
from slingwright.strength.parts.axle import axle_span
from slingwright.tables import materials

LIMIT = "#B0301A"
CASE_LOOKS: tuple[tuple[str, list[int]], ...] = (
    (NOW, []), (canvas.GREEN, [8, 3]), (canvas.ORANGE, [8, 3, 2, 3]),
    (canvas.PINK, [2, 2]), (canvas.BLACK, [4, 3]),
)  # fmt: skip
FRAMES = 5


def axle_picture(controller: HoldingController, system: units.System, points: Points) -> Picture:
    """Show the moment along the axle under its worst load, against what its section takes."""
    title = "Moment along the axle, worst case"
    one, label = units.factor("N m", system)
    metre, length = units.factor("m", system)
    lines, most = [], 0.0
    try:
        for who, look in canvas.looks(controller.now, controller.kept):
            place, moment, limit, load, case = _axle_moment(who)
            lines.append(points.curve(place / metre, moment / one, **look))
            most = max(most, float(moment.max()) / one)
    except ValueError as error:
        return canvas.no_picture("axle-moment", title, str(error))
    half, peak = float(place.max()) / metre, float(moment.max())
    words = (
        f"Moment along the axle from support to support under "
        f"{figures(load, 'N', system)}, load factor included, in {case}: at most "
        f"{figures(peak, 'N m', system)}. The section takes {figures(limit, 'N m', system)} "
        f"before its edge yields: {100.0 * peak / limit:.0f} % used."
    )
    high = max(most, limit / one)
    return picture(
        "axle-moment", title, words,
        (f"from the middle [{length}]", -1.1 * half, 1.1 * half),
        (f"moment [{label}]", -0.06 * high, 1.2 * high), lines,
        marks=[
            mark(0.0, peak / one, figures(peak, "N m", system)),
            *(mark(x, 0.0, "support", canvas.WOOD, "triangle") for x in (-half, half)),
        ],
        rules=[_yields(limit / one)],
    )  # fmt: skip


def _yields(at: float) -> dict[str, Any]:
    return {"y": at, "label": "yields", "colour": LIMIT, "dash": [6, 4]}


def _axle_moment(who: Holding) -> tuple[np.ndarray, np.ndarray, float, float, str]:
    """Places from the middle, moment there, moment at yield, load and case of the worst case."""
    m = who.machine
    n = m.number
    worst = max(who.cases, key=lambda case: case.axle_load)
    load = n("site.load_factor") * worst.axle_load
    section = round_section(n("axle.diameter"))
    bar = materials.STEEL_MODULUS, section.inertia, m.flag("axle.cheeks")
    line = axle_line(load, axle_span(m), n("axle.hub"), *bar)
    grade = materials.steel(m.text("axle.grade"), n("axle.diameter"))
    place = line.position - 0.5 * line.position[-1]
    limit = grade.yield_strength * section.elastic_modulus
    return place, np.abs(line.moment), limit, load, worst.name


def arm_picture(controller: HoldingController, system: units.System, points: Points) -> Picture:
    """Show the largest moments along the arm in the cases that load it most, and its strength."""
    one, label = units.factor("N m", system)
    metre, length = units.factor("m", system)
    who, kept = controller.now, controller.kept
    subject = Subject(machine=who.machine, every_case=who.cases)
    factor, position, whole = _arm_moments(who)
    cases = sorted(who.cases, key=lambda case: -case.peak_moment)[: len(CASE_LOOKS) - 2]
    try:
        hole = who.machine.number("arm.hole")
        strong = np.min(
            [bending_capacity(subject, case, hole) for case in who.cases if case.throw], axis=0
        )
    except ValueError as error:
        return canvas.no_picture("arm-moment", "Moment along the arm", str(error))
    x = position / metre
    under = np.append(x, x[::-1]), np.append(whole / one, 0 * x)
    lines = [
        points.patch(*under, NOW, fill="rgba(0,114,178,0.12)"),
        points.curve(x, strong / one, LIMIT, "what it takes", dash=[6, 4]),
    ]
    if kept is not None:
        _, along, before = _arm_moments(kept)
        old = along / metre, before / one
        lines.append(points.curve(*old, KEPT, "kept", dash=canvas.DASH_KEPT))
    for case, (colour, dash) in zip(cases, CASE_LOOKS, strict=False):
        lines.append(points.curve(x, factor * case.moment / one, colour, case.name, dash=dash))
    use = whole / strong
    at = int(np.argmax(use))
    where = float(position[at])
    side = "at the axle" if where == 0.0 else "toward the tip" if where > 0.0 else "behind it"
    place = f"{figures(abs(where), 'm', system)} from the axle, {side}"
    words = (
        "Largest moment at each place along the arm over every case, load factor included, and "
        f"what the section takes there. Nearest to its limit {place}: "
        f"{100.0 * float(use[at]):.0f} % used, the pull along it not counted. "
        f"Largest in {cases[0].name}."
    )
    high = 1.15 * max(float(whole.max()), float(np.median(strong)))
    return picture(
        "arm-moment", "Moment along the arm, all cases", words,
        (f"from the axle, tip to the right [{length}]", x[0] * 1.05, x[-1] * 1.03),
        (f"moment [{label}]", 0.0, high / one), lines,
        rules=[{"x": 0.0, "label": "axle", "colour": canvas.WOOD}],
    )  # fmt: skip


def _arm_moments(who: Holding) -> tuple[float, np.ndarray, np.ndarray]:
    """Load factor, places along the arm, and the largest moment there, load factor included."""
    factor = who.machine.number("site.load_factor")
    moments = factor * np.max([case.moment for case in who.cases], axis=0)
    return factor, who.cases[0].position, moments


def width_picture(controller: HoldingController, system: units.System, points: Points) -> Picture:
    """Show axle stress against the trough's width, with the present and the needed width."""
    title, trade = "Axle stress against width", controller.width
    if not isinstance(trade, WidthTrade):
        return canvas.no_picture("width", title, trade)
    one, label = units.factor("Pa", system)
    metre, length = units.factor("m", system)
    x = trade.width / metre
    needed = trade.needed / metre, trade.needed_stress / one
    return picture(
        "width", title, trade.told(system),
        (f"width of the trough [{length}]", x[0], x[-1]),
        (f"stress [{label}]", 0.0, 1.15 * max(float(trade.stress.max()), trade.strength) / one),
        [points.curve(x, trade.stress / one, NOW)],
        marks=[
            mark(*needed, f"{trade.widest} needs this", canvas.ORANGE, "triangle"),
            mark(trade.present / metre, trade.present_stress / one, "present"),
        ],
        rules=[_yields(trade.strength / one)],
    )  # fmt: skip


def cases_picture(controller: HoldingController, system: units.System, points: Points) -> Picture:
    """Show the axle load through time in each brief throw and in the empty one."""
    one, label = units.factor("N", system)
    lines: list[dict[str, Any]] = []
    high, end = 0.0, 1.0
    thrown = [case for case in controller.now.cases if case.kind in ("brief", "empty")]
    heaviest = sorted(thrown, key=lambda case: -case.axle_load)[: len(CASE_LOOKS)]
    for case, (colour, dash) in zip(heaviest, CASE_LOOKS, strict=False):
        load = np.hypot(case.axle_force[:, 0], case.axle_force[:, 1]) / one
        lines.append(points.curve(case.time, load, colour, case.name, dash=dash, width=1.5))
        high, end = max(high, float(load.max())), max(end, float(case.time[-1]))
    peaks = [f"{case.name} {figures(case.axle_load, 'N', system)}" for case in heaviest]
    return picture(
        "axle-cases", "Axle load, every load of the brief",
        f"Axle load against time. Peaks: {', '.join(peaks)}.",
        ("time [s]", 0.0, end), (f"axle load [{label}]", 0.0, 1.8 * high or 1.0), lines,
    )  # fmt: skip


PICTURES: Mapping[str, canvas.Scene] = {
    "axle-moment": axle_picture,
    "arm-moment": arm_picture,
    "axle-cases": cases_picture,
    "width": width_picture,
}


def strip_picture(found: Clearance | None, system: units.System, points: Points) -> Picture:
    """Show five moments of a throw side by side, what stands and what swings, to scale."""
    title = "Clearance, five moments to scale"
    if found is None:
        return canvas.no_picture("strip", title, "looking for what strikes, once the dials rest")
    one, length = units.factor("m", system)
    gap = told_gap(found)
    thrown = found.throws[gap.case]
    parts = {part.name: part.outline for part in moving_parts(thrown)}
    picked = _moments(thrown, gap)
    stands = [part for part in found.standing if part.name != "ground"]
    slings = {
        index: np.array([thrown.tip[index], thrown.ball[index]]) - (thrown.base[index], 0.0)
        for index in picked
    }
    whole = [
        np.concatenate(
            [slings[index], parts["arm"][index], parts["counterweight box"][index]]
            + [part.outline for part in stands]
        )
        for index in picked
    ]
    room = 0.03 * sum(float(np.ptp(every[:, 0])) for every in whole) / FRAMES
    top = max(float(every[:, 1].max()) for every in whole) / one
    lines: list[dict[str, Any]] = []
    marks: list[dict[str, Any]] = []
    end = room

    def solid(outline: np.ndarray, colour: str, fill: str, struck: bool) -> None:
        edge, width = (LIMIT, 2) if struck else (colour, 1)
        lines.append(points.way(outline / one, edge, fill=fill, closed=True, width=width))

    for index, every in zip(picked, whole, strict=True):
        shift = np.array([end - float(every[:, 0].min()), 0.0])
        end += float(np.ptp(every[:, 0])) + 2.0 * room
        here = index == gap.index
        for part in stands:
            struck = here and part.name == gap.standing
            solid(part.outline + shift, "#8a6a3d", "#e9dcc3", struck)
        for name, fill in (("arm", canvas.WOOD), ("counterweight box", "#4d9cc9")):
            near = here and name == gap.moving and not gap.beside
            solid(parts[name][index] + shift, canvas.BLACK, fill, near)
        base = np.array([thrown.base[index], 0.0])
        link = np.array([thrown.pin[index], thrown.weight[index]]) - base + shift
        lines.append(points.way(link / one, canvas.BLACK))
        lines.append(points.way((slings[index] + shift) / one, "#404040", width=1))
        label = f"{thrown.time[index]:.2f} s"
        marks.append({**mark(shift[0] / one, 1.04 * top, label, "#606060", "square"), "size": 1})
        if here and not gap.beside:
            x, y = (np.array(gap.place) - base + shift) / one
            marks.append(mark(x, y, "strikes" if gap.strikes else "nearest", LIMIT, "diamond"))
    said = told(found.sentence, system)
    return picture(
        "strip", f"{title}: {gap.case}",
        f"Five moments side by side, to scale, in {gap.case}. {said}",
        (f"moments side by side [{length}]", 0.0, end / one),
        (f"height [{length}]", -0.02 * top, 1.16 * top), lines, marks=marks, equal=True,
    )  # fmt: skip


def told_gap(found: Clearance) -> Gap:
    """Give the gap that the strip shows: what strikes first, else the smallest in the side view."""
    sided = [gap for gap in found.gaps if not gap.beside]
    return sided[0] if sided else found.smallest


def _moments(thrown: Any, gap: Gap) -> list[int]:
    slipped = thrown.release.time if thrown.release else 0.5 * float(thrown.time[-1])
    wanted = [0.0, 0.6 * slipped, slipped, 1.5 * slipped, 2.2 * slipped]
    picked = [int(np.argmin(np.abs(thrown.time - time))) for time in wanted]
    if not gap.beside and gap.index not in picked:
        far = [abs(float(thrown.time[i]) - gap.time) for i in picked]
        # The first moment stays: it shows the machine as it is held.
        picked[1 + int(np.argmin(far[1:]))] = gap.index
    return sorted(picked)

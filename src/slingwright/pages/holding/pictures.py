"""Pictures of the page `will it hold`, as plain data for the canvas; see `scenes`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.figures import figures
from slingwright.amounts.text import told
from slingwright.formulas.beams.sections import round_section
from slingwright.formulas.steel.axle import axle_line
from slingwright.motion.bodies import moving_parts
from slingwright.pages.holding.controller import HoldingController
from slingwright.pages.pictures.scenes import DASH_KEPT, KEPT, NOW, WOOD, Picture, Points, looks
from slingwright.strength.check import Subject
from slingwright.strength.checks import Holding
from slingwright.strength.clearance import Clearance, Gap
from slingwright.strength.mending.width import WidthTrade
from slingwright.strength.parts.arm import bending_capacity
from slingwright.strength.parts.axle import axle_span
from slingwright.tables import materials

Scene = Callable[[HoldingController, units.System, Points], Picture]

LIMIT = "#B0301A"
CASE_LOOKS: tuple[tuple[str, list[int]], ...] = (
    (NOW, []),
    ("#009E73", [8, 3]),
    ("#A86F00", [8, 3, 2, 3]),
    ("#B0568F", [2, 2]),
    ("#202020", [4, 3]),
)
FRAMES = 5


def axle_picture(controller: HoldingController, system: units.System, points: Points) -> Picture:
    """Show the moment along the axle under its worst load, against what its section takes."""
    title = "Moment along the axle, worst case"
    try:
        lines, most = [], 0.0
        for who, look in looks(controller.now, controller.kept):
            place, moment, limit, load, case = _axle_moment(who)
            one, label = units.factor("N m", system)
            metre, length = units.factor("m", system)
            lines.append({**points.add(place / metre, moment / one), **look})
            most = max(most, float(moment.max()) / one, 0.0)
    except ValueError as error:
        return _empty("axle-moment", title, str(error))
    half = float(place.max()) / metre
    peak = float(moment.max())
    words = (
        f"Moment along the axle from support to support under "
        f"{figures(load, 'N', system)}, load factor included, in {case}: at most "
        f"{figures(peak, 'N m', system)}. The section takes {figures(limit, 'N m', system)} "
        f"before its edge yields: {100.0 * peak / limit:.0f} % used."
    )
    return {
        "key": "axle-moment",
        "title": title,
        "words": words,
        "x": {"label": f"from the middle [{length}]", "low": -1.1 * half, "high": 1.1 * half},
        "y": {"label": f"moment [{label}]", "low": -0.06 * max(most, limit / one),
              "high": 1.2 * max(most, limit / one)},
        "lines": lines,
        "marks": [
            {"x": 0.0, "y": peak / one, "label": figures(peak, "N m", system),
             "colour": NOW, "shape": "circle"},
            *(
                {"x": side * half, "y": 0.0, "label": "support", "colour": WOOD,
                 "shape": "triangle"}
                for side in (-1.0, 1.0)
            ),
        ],
        "rules": [{"y": limit / one, "label": "yields", "colour": LIMIT, "dash": [6, 4]}],
    }  # fmt: skip


def _axle_moment(who: Holding) -> tuple[np.ndarray, np.ndarray, float, float, str]:
    """Places from the middle, moment there, moment at yield, load and case of the worst case."""
    m = who.machine
    n = m.number
    worst = max(who.cases, key=lambda case: case.axle_load)
    load = n("site.load_factor") * worst.axle_load
    section = round_section(n("axle.diameter"))
    line = axle_line(
        load,
        axle_span(m),
        n("axle.hub"),
        materials.STEEL_MODULUS,
        section.inertia,
        m.flag("axle.cheeks"),
    )
    grade = materials.steel(m.text("axle.grade"), n("axle.diameter"))
    place = line.position - 0.5 * line.position[-1]
    limit = grade.yield_strength * section.elastic_modulus
    return place, np.abs(line.moment), limit, load, worst.name


def arm_picture(controller: HoldingController, system: units.System, points: Points) -> Picture:
    """Show the largest moments along the arm in the cases that load it most, and its strength."""
    one, label = units.factor("N m", system)
    metre, length = units.factor("m", system)
    who = controller.now
    subject = Subject(machine=who.machine, every_case=who.cases)
    factor = who.machine.number("site.load_factor")
    cases = sorted(who.cases, key=lambda case: -case.peak_moment)[:3]
    position = who.cases[0].position
    whole = np.max([case.moment for case in who.cases], axis=0)
    try:
        hole = who.machine.number("arm.hole")
        strong = np.min(
            [bending_capacity(subject, case, hole) for case in who.cases if case.throw], axis=0
        )
    except ValueError as error:
        return _empty("arm-moment", "Moment along the arm", str(error))
    x = position / metre
    lines = [
        {**points.add(np.concatenate((x, x[::-1])), np.concatenate((factor * whole / one, 0 * x))),
         "colour": NOW, "fill": "rgba(0,114,178,0.12)", "closed": True, "width": 0},
        _curve(points, x, strong / one, LIMIT, [6, 4], "what it takes"),
    ]  # fmt: skip
    if controller.kept is not None:
        before = np.max([case.moment for case in controller.kept.cases], axis=0)
        given = controller.kept.machine.number("site.load_factor")
        lines.append(
            _curve(points, controller.kept.cases[0].position / metre, given * before / one, KEPT,
                   DASH_KEPT, "kept")
        )  # fmt: skip
    for case, (colour, dash) in zip(cases, CASE_LOOKS, strict=False):
        lines.append(_curve(points, x, factor * case.moment / one, colour, dash, case.name))
    use = factor * whole / strong
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
    high = 1.15 * max(float((factor * whole).max()), float(np.median(strong)))
    return {
        "key": "arm-moment",
        "title": "Moment along the arm, all cases",
        "words": words,
        "x": {"label": f"from the axle, tip to the right [{length}]",
              "low": float(x[0]) * 1.05, "high": float(x[-1]) * 1.03},
        "y": {"label": f"moment [{label}]", "low": 0.0, "high": high / one},
        "lines": lines,
        "marks": [],
        "rules": [{"x": 0.0, "label": "axle", "colour": WOOD, "dash": [2, 3]}],
    }  # fmt: skip


def width_picture(controller: HoldingController, system: units.System, points: Points) -> Picture:
    """Show axle stress against the trough's width, with the present and the needed width."""
    title = "Axle stress against width"
    trade = controller.width
    if not isinstance(trade, WidthTrade):
        return _empty("width", title, trade)
    one, label = units.factor("Pa", system)
    metre, length = units.factor("m", system)
    x = trade.width / metre
    high = 1.15 * max(float(trade.stress.max()), trade.strength)
    return {
        "key": "width",
        "title": title,
        "words": trade.told(system),
        "x": {"label": f"width of the trough [{length}]", "low": float(x[0]), "high": float(x[-1])},
        "y": {"label": f"stress [{label}]", "low": 0.0, "high": high / one},
        "lines": [_curve(points, x, trade.stress / one, NOW, [], "")],
        "marks": [
            {"x": trade.needed / metre, "y": trade.needed_stress / one,
             "label": f"{trade.widest} needs this", "colour": "#A86F00", "shape": "triangle"},
            {"x": trade.present / metre, "y": trade.present_stress / one, "label": "present",
             "colour": NOW, "shape": "circle"},
        ],
        "rules": [
            {"y": trade.strength / one, "label": "yields", "colour": LIMIT, "dash": [6, 4]}
        ],
    }  # fmt: skip


def cases_picture(controller: HoldingController, system: units.System, points: Points) -> Picture:
    """Show the axle load through time in each brief throw and in the empty one."""
    one, label = units.factor("N", system)
    lines: list[dict[str, Any]] = []
    high, end = 0.0, 1.0
    thrown = [case for case in controller.now.cases if case.kind in ("brief", "empty")]
    heaviest = sorted(thrown, key=lambda case: -case.axle_load)[: len(CASE_LOOKS)]
    for case, (colour, dash) in zip(heaviest, CASE_LOOKS, strict=False):
        load = np.hypot(case.axle_force[:, 0], case.axle_force[:, 1]) / one
        lines.append(_curve(points, case.time, load, colour, dash, case.name, width=1.5))
        high, end = max(high, float(load.max())), max(end, float(case.time[-1]))
    peaks = [f"{case.name} {figures(case.axle_load, 'N', system)}" for case in heaviest]
    return {
        "key": "axle-cases",
        "title": "Axle load, every load of the brief",
        "words": f"Axle load against time. Peaks: {', '.join(peaks)}.",
        "x": {"label": "time [s]", "low": 0.0, "high": end},
        "y": {"label": f"axle load [{label}]", "low": 0.0, "high": 1.8 * high or 1.0},
        "lines": lines,
        "marks": [],
        "rules": [],
    }


PICTURES: Mapping[str, Scene] = MappingProxyType(
    {
        "axle-moment": axle_picture,
        "arm-moment": arm_picture,
        "axle-cases": cases_picture,
        "width": width_picture,
    }
)
"""Pictures that follow every change, by name."""


def strip_picture(found: Clearance | None, system: units.System, points: Points) -> Picture:
    """Show five moments of a throw side by side, what stands and what swings, to scale."""
    title = "Clearance, five moments to scale"
    if found is None:
        return _empty("strip", title, "looking for what strikes, once the dials rest")
    one, length = units.factor("m", system)
    gap = told_gap(found)
    thrown = found.throws[gap.case]
    parts = {part.name: part.outline for part in moving_parts(thrown)}
    picked = _moments(thrown, gap)
    stands = [part for part in found.standing if part.name != "ground"]
    slings = {
        index: np.array([thrown.tip[index], thrown.ball[index]])
        - np.array([thrown.base[index], 0.0])
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
    for index, every in zip(picked, whole, strict=True):
        shift = np.array([end - float(every[:, 0].min()), 0.0])
        end += float(np.ptp(every[:, 0])) + 2.0 * room
        for part in stands:
            struck = part.name == gap.standing and index == gap.index
            look = {"colour": LIMIT if struck else "#8a6a3d", "width": 2 if struck else 1,
                    "fill": "#e9dcc3", "closed": True}  # fmt: skip
            shape = (part.outline + shift) / one
            lines.append({**points.add(shape[:, 0], shape[:, 1]), **look})
        for name, fill in (("arm", WOOD), ("counterweight box", "#4d9cc9")):
            near = index == gap.index and name == gap.moving and not gap.beside
            look = {"colour": LIMIT if near else "#202020", "width": 2 if near else 1,
                    "fill": fill, "closed": True}  # fmt: skip
            shape = (parts[name][index] + shift) / one
            lines.append({**points.add(shape[:, 0], shape[:, 1]), **look})
        base = np.array([thrown.base[index], 0.0])
        link = (np.array([thrown.pin[index], thrown.weight[index]]) - base + shift) / one
        lines.append(
            {**points.add(link[:, 0], link[:, 1]), "colour": "#202020", "width": 2, "dash": []}
        )
        sling = (slings[index] + shift) / one
        lines.append(
            {**points.add(sling[:, 0], sling[:, 1]), "colour": "#404040", "width": 1, "dash": []}
        )
        label = f"{thrown.time[index]:.2f} s"
        marks.append({"x": float(shift[0]) / one, "y": 1.04 * top, "label": label,
                      "colour": "#606060", "shape": "square", "size": 1})  # fmt: skip
        if index == gap.index and not gap.beside:
            x, y = (np.array(gap.place) - base + shift) / one
            word = "strikes" if gap.strikes else "nearest"
            marks.append({"x": float(x), "y": float(y), "label": word, "colour": LIMIT,
                          "shape": "diamond"})  # fmt: skip
    return {
        "key": "strip",
        "title": f"{title}: {gap.case}",
        "words": f"Five moments side by side, to scale, in {gap.case}. "
        + told(found.sentence, system),
        "equal": True,
        "x": {
            "label": f"moments side by side [{units.factor('m', system)[1]}]",
            "low": 0.0,
            "high": end / one,
        },
        "y": {
            "label": f"height [{units.factor('m', system)[1]}]",
            "low": -0.02 * top,
            "high": 1.16 * top,
        },
        "lines": lines,
        "marks": marks,
        "rules": [],
    }


def told_gap(found: Clearance) -> Gap:
    """Give the gap that the strip shows: what strikes first, else the smallest in the side view."""
    sided = [gap for gap in found.gaps if not gap.beside]
    return sided[0] if sided else found.smallest


def _moments(thrown: Any, gap: Gap) -> list[int]:
    """Five moments of a throw in order: held, on the way, slipped, the nearest, and later."""
    slipped = thrown.release.time if thrown.release else 0.5 * float(thrown.time[-1])
    wanted = [0.0, 0.6 * slipped, slipped, 1.5 * slipped, 2.2 * slipped]
    picked = [int(np.argmin(np.abs(thrown.time - time))) for time in wanted]
    if not gap.beside and gap.index not in picked:
        far = [abs(float(thrown.time[i]) - gap.time) for i in picked]
        # The first moment stays: it shows the machine as it is held.
        picked[1 + int(np.argmin(far[1:]))] = gap.index
    return sorted(picked)


def _curve(
    points: Points,
    x: np.ndarray,
    y: np.ndarray,
    colour: str,
    dash: list[int],
    name: str,
    width: float = 2,
) -> dict[str, Any]:
    return {**points.add(x, y), "colour": colour, "dash": dash, "width": width, "name": name}


def _empty(key: str, title: str, why: str) -> Picture:
    axis = {"label": "", "low": 0.0, "high": 1.0}
    words = why or "there is nothing to show"
    return {"key": key, "title": title, "words": words, "empty": words, "x": axis, "y": axis,
            "lines": [], "marks": [], "rules": []}  # fmt: skip

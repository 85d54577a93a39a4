"""Tables of winding as plain HTML and plain text: they stay in print and on static pages.

Every verdict is a word with a sign before it, never a colour alone. A piece of unknown rating never
passes; its row shows the load it would carry and the proof test that would settle it.
"""

from __future__ import annotations

import html
import math
from dataclasses import dataclass
from typing import Any

from slingwright.amounts import units
from slingwright.amounts.figures import NOTHING, Reading, ReadingsTable, figures
from slingwright.amounts.text import Amount, told
from slingwright.amounts.verdict import HOLDS, NOT_KNOWN, SIGNS
from slingwright.pages.parts.markup import fold, items, table
from slingwright.pages.winding.controller import Wound
from slingwright.winch.hook import PROCEDURE
from slingwright.winch.rigging import RiggingCheck, tight_rope_zone
from slingwright.winch.text import whole
from slingwright.winch.ways import SECTION, Way

COLOURS = {"holds": "#009E73", "fails": "#D55E00", "not known": "#8a8a8a"}
BOLD = ";font-weight:600"
CHECKS = (
    ("piece", "text-align:left;font-weight:600"), ("verdict", "text-align:left;white-space:nowrap"),
    ("demand", "text-align:right;white-space:nowrap"), ("capacity", "text-align:right"),
    ("share", "text-align:left"), ("used", "text-align:right"), ("what to do", "text-align:left"),
)  # fmt: skip
FULL = 1.5  # utilisation at which a bar is full

CAUTIONS = (
    "Nobody in line with a tight rope, in its bight, or beside drum and sheaves; nobody under the "
    "raised counterweight or the arm.",
    "A crank runs away if the pawl slips: hands on the handles only with the pawl down, heads out "
    "of the handles' way, safety line held by someone who does not wind.",
    "The hook is never the only thing that holds: the hard safety pin goes in before the winding "
    "rope is eased, and comes out last, from afar.",
    "An unrated piece counts for nothing until it is proof-loaded. These results approve nothing: "
    "local codes and a licensed or competent person decide.",
)


def cautions_html() -> str:
    """Give the cautions that stand first."""
    return (
        "<div role='note' aria-label='Cautions' style='border-left:5px solid #D55E00;"
        "padding:2px 10px;line-height:1.35;font-size:13px'><strong>\N{WARNING SIGN} Caution."
        f"</strong><ul style='margin:2px 0;padding-left:18px'>{items(CAUTIONS)}</ul></div>"
    )


def readings_of(wound: Wound, system: units.System = "metric") -> tuple[Reading, ...]:
    """List the answers of a winding; without one, every value is missing and the note says why."""
    run, hook, choice = wound.run, wound.loosing, wound.prong
    if run is None:
        why = wound.why("winding")
        return (Reading(key="force", label="Force per person", value=None, unit="N", note=why),)
    told_of = [(row.key, row.label, row.value, told(row.note, system)) for row in run.rows()]
    found = [
        Reading(key=key, label=label, value=value.value, unit=value.unit, note=note)
        for key, label, value, note in told_of
        if isinstance(value, Amount)
    ]
    pull = (hook.pull, hook.pull_at_double_friction) if hook else (None, None)
    for key, label, value, unit, note in (
        ("lanyard", "Lanyard", pull[0], "N", _lanyard(wound, system)),
        ("double", "Lanyard, twice friction", pull[1], "N", "" if hook else "no hook"),
        ("degree", "Range, one degree", choice.range_a_degree if choice else None, "m",
         "more sling lag at the slip"),
    ):  # fmt: skip
        found.append(Reading(key=key, label=label, value=value, unit=unit, note=note))
    return tuple(found)


def _lanyard(wound: Wound, system: units.System) -> str:
    hook = wound.loosing
    if hook is None:
        return wound.why("hook")
    if hook.lanyard is None:
        return "no safe place to loose from"
    told = f"{figures(hook.lanyard, 'm', system)} long"
    return f"{told}; stands inside the ground to keep clear" if hook.stands else told


def sentence_of(wound: Wound, system: units.System = "metric") -> str:
    """Say how the winding goes, or why it does not."""
    if wound.run is None:
        return f"It cannot be wound: {wound.troubles.get('winding', '')}"
    words = told(wound.run.outcome, system)
    if not words.endswith("."):
        words += "."
    unknown = [told(row.name, system) for row in wound.checks if row.verdict == NOT_KNOWN]
    failed = [told(row.name, system) for row in wound.checks if row.verdict == "fails"]
    if failed:
        words += f" Fails: {', '.join(failed)}."
    if unknown:
        more = f" and {len(unknown) - 3} more" if len(unknown) > 4 else ""
        names = ", ".join(unknown if not more else unknown[:3]) + more
        words += f" Not known: {names}."
    loaded = [row for row in wound.checks if row.unit == "N" and row.capacity and row.is_piece]
    if loaded and not failed:
        first = max(loaded, key=lambda row: row.utilisation)
        words += (
            f" Nearest to failing of what is known: {told(first.name, system)}, at "
            f"{100.0 * first.utilisation:.0f} % of its capacity."
        )
    return words


def check_rows(wound: Wound, system: units.System) -> list[tuple[RiggingCheck, str, str, str, str]]:
    """Give each check with its texts: name, demand, capacity and what to do."""
    rows = []
    for row in wound.checks:
        demand, capacity = (told(side, system) for side in row.sides)
        least = "at least " if row.at_least else ""
        advice = "" if row.verdict == HOLDS else told(row.advice, system)
        rows.append((row, told(row.name, system), f"{least}{demand}", capacity, advice))
    return rows


def checks_html(wound: Wound, system: units.System = "metric") -> str:
    """Give the table of checks, worst first, each with a bar, a sign and a word."""
    if wound.run is None or not wound.checks:
        why = wound.why("checks", "winding")
        return f"<p role='status'>No checks: {html.escape(why)}</p>"
    rows = (
        [
            html.escape(name),
            SIGNS[row.verdict],
            html.escape(demand),
            html.escape(capacity),
            _bar(row),
            f"{100.0 * row.utilisation:.0f} %" if math.isfinite(row.utilisation) else NOTHING,
            html.escape(advice),
        ]
        for row, name, demand, capacity, advice in check_rows(wound, system)
    )
    return table(
        CHECKS,
        rows,
        look="border-collapse:collapse;width:100%;font-size:13px;line-height:1.3",
        caption="Demand and capacity of each piece, worst first. "
        "The line across a bar is its limit; the source stands in each row's hint.",
        hints=[row.source for row in wound.checks],
    )


def _bar(row: RiggingCheck) -> str:
    share = row.utilisation
    part = 100.0 if not math.isfinite(share) else min(100.0, 100.0 * share / FULL)
    look = f"background:{COLOURS[row.verdict]}"
    if row.verdict == NOT_KNOWN:
        look = "background:repeating-linear-gradient(45deg,#8a8a8a 0 5px,transparent 5px 9px)"
    return (
        "<div aria-hidden='true' style='position:relative;width:96px;height:11px;"
        f"border:1px solid #8a8a8a'><div style='width:{part:.0f}%;height:100%;{look}'></div>"
        f"<div style='position:absolute;left:{100.0 / FULL:.1f}%;top:-3px;height:17px;"
        "border-left:2px solid currentColor'></div></div>"
    )


def ropes_html(wound: Wound, system: units.System = "metric") -> str:
    """Give the smallest rope that passes, kind by kind."""
    if wound.run is None or not wound.ropes:
        return ""
    rig, rows = wound.run.rig, []
    for name, size in wound.ropes.items():
        told_of = ["none listed is enough", NOTHING, ""]
        if size is not None:
            sizes = ((size.diameter, "m"), (size.breaking_force, "N"))
            told_of = [*(figures(one, unit, system) for one, unit in sizes), size.source]
        rows.append([html.escape(one) for one in (name, *told_of)])
    left, right = "text-align:left", "text-align:right"
    columns = [("rope", left), ("smallest", right), ("breaks at", right), ("source", left)]
    title = f"Smallest rope that holds, by kind, with {rig.end}, for {rig.rope_use}"
    return fold(title, table(columns, rows), look=BOLD)


def ways_html(wound: Wound, system: units.System = "metric") -> str:
    """Give other ways to rig the machine: a sketch of each, and what they ask side by side."""
    if wound.ways is None:
        return f"<p>No other ways to rig it: {html.escape(wound.troubles['ways'])}</p>"
    most = max((way.bending for way in wound.ways.ways if way.run is not None), default=0.0)
    pictures = "".join(_sketch(way, most) for way in wound.ways.ways)
    inside = (
        f"<div style='display:flex;flex-wrap:wrap;gap:6px'>{pictures}</div>"
        f"<div style='overflow-x:auto;font-size:13px'>{wound.ways.table(system)._repr_html_()}"
        f"<p style='margin:2px 0'>Frame: {html.escape(SECTION)}. The wider the red bar under the "
        "winch, the more it is bent.</p></div>"
    )
    return fold("Other ways to rig it", inside, look=BOLD, shown=True)


def _sketch(way: Way, most: float) -> str:
    run = way.run
    if run is None:
        return ""
    n, gear = run.numbers, run.reeving
    k, long = gear.moment(), n.arm_long

    def line(ends: Any, colour: str, wide: float) -> str:
        (a, b), (c, d) = ends
        return (
            f"<line x1='{a:.3f}' y1='{-b:.3f}' x2='{c:.3f}' y2='{-d:.3f}' stroke='{colour}' "
            f"stroke-width='{wide * long:.3f}'/>"
        )

    e = float(gear.elevation[k])
    ends = [(-r * math.cos(e), n.axle_height + r * math.sin(e)) for r in (-n.arm_short, long)]
    low, high = min(-long, n.winch_x - 0.3 * long), max(n.arm_short, n.winch_x + 0.3 * long)
    drawn = [
        line(((low, 0.0), (high, 0.0)), "#8a8a8a", 0.01),
        line(((0.0, 0.0), (0.0, n.axle_height)), "#8a6a3d", 0.02),
        line(ends, "#5b3a14", 0.03),
        line((way.root, (n.winch_x, n.winch_y)), "#D55E00", 0.01 + 0.1 * way.bending / (most or 1)),
        *(line(one, "#0072B2", 0.012) for one in gear.ways(k)),
        f"<circle cx='{n.winch_x:.3f}' cy='{-n.winch_y:.3f}' r='{0.03 * long:.3f}'/>",
    ]
    top = n.axle_height + long
    return (
        f"<figure style='margin:0;width:150px'><svg viewBox='{low:.3f} {-top:.3f} "
        f"{high - low:.3f} {1.05 * top:.3f}' height='120' width='150' aria-hidden='true'>"
        f"{''.join(drawn)}</svg><figcaption style='font-size:12px'>{html.escape(way.name)}"
        "</figcaption></figure>"
    )


def procedure_html(wound: Wound, system: units.System = "metric") -> str:
    """Give the steps of a shot, and where nobody may stand."""
    zone = ""
    if wound.loosing is not None and wound.loosing.stands:
        stands = html.escape(whole(wound.loosing.stands, system))
        zone = f"<p style='margin:4px 0'><strong>\N{BALLOT X} {stands}</strong></p>"
    if wound.run is not None:
        tight = html.escape(whole(tight_rope_zone(wound.run), system))
        zone += f"<p style='margin:4px 0'>{tight}</p>"
    title = "Steps of a shot (common practice; local rules go before)"
    return zone + fold(title, f"<ol>{items(PROCEDURE)}</ol>", look=BOLD)


@dataclass(frozen=True, slots=True, kw_only=True)
class WindingTable:
    """Readings and checks of one winding, for print and static pages."""

    wound: Wound
    system: units.System = "metric"

    @property
    def _readings(self) -> ReadingsTable:
        rows, words = readings_of(self.wound, self.system), sentence_of(self.wound, self.system)
        return ReadingsTable(rows=rows, sentence=words, system=self.system)

    def _repr_html_(self) -> str:
        return f"{self._readings._repr_html_()}{checks_html(self.wound, self.system)}"

    def __str__(self) -> str:
        lines = [str(self._readings)]
        for row, name, demand, capacity, advice in check_rows(self.wound, self.system):
            lines.append(f"{row.verdict:<8} {name}: {demand} of {capacity}. {advice}".rstrip())
        return "\n".join(lines)

    __repr__ = __str__

"""Weighed changes, learned numbers and trade-offs as tables and plain figures."""

import math
from collections.abc import Sequence

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes

from slingwright.amounts import units
from slingwright.amounts.answer import Table
from slingwright.amounts.figures import NOTHING, figures
from slingwright.amounts.verdict import FAILS, HOLDS, NOT_KNOWN
from slingwright.changing.search import Optimum
from slingwright.changing.sensitivity import ANSWERS, Sensitivity
from slingwright.changing.state import State, new_failings
from slingwright.changing.what_if import ANY_TIME, NEVER, WhatIf
from slingwright.learning.learning import Learned

HEAD = (
    "state",
    "range",
    "axle load",
    "axle use",
    "worst check",
    "crank force",
    "shot to shot",
    "cost",
    "hours",
    "checks",
)
PRESENT, CHANGED, WARNING = "#0072B2", "#009E73", "#D55E00"


def _line(state: State, present: State, system: units.System) -> tuple[str, ...]:
    def of(value: float | None, unit: str, digits: int = 3) -> str:
        return NOTHING if value is None else figures(value, unit, system, digits)

    def share(value: float | None) -> str:
        return NOTHING if value is None else f"{100.0 * value:.0f} %"

    worst = f"{state.worst_check} {share(state.worst_use)}" if state.worst_check else NOTHING
    new = new_failings(state, present)
    return (
        state.label,
        of(state.range, "m", 4),
        of(state.axle_load, "N"),
        share(state.axle_use),
        worst,
        of(state.crank_force, "N"),
        of(state.reload_time, "s"),
        f"{state.cost:g}",
        f"{state.hours:g}",
        _verdict(state, bool(new)),
    )


def _verdict(state: State, worse: bool) -> str:
    """Say whether all holds, or is not known, or fails as it did before, or fails anew."""
    if state.machine is None:
        return "\N{BALLOT X} no machine"
    if worse:
        return "\N{BALLOT X} worse"
    return {
        FAILS: "fails as before",
        NOT_KNOWN: "? not known",
        HOLDS: "\N{CHECK MARK} holds",
    }[state.verdict]


def order_table(found: WhatIf, system: units.System = "metric") -> Table:
    """Put the order of doing into a table: a line a step, sums growing down the table."""
    lines: list[tuple[str, ...]] = []
    before = found.present
    for place, (name, state) in enumerate(zip(found.order, found.steps, strict=True), start=1):
        line = _line(state, before, system)
        of = dict(zip(HEAD, line, strict=True))
        when = found.needed_before(name)
        when = when if when in (ANY_TIME, NEVER) else f"only after {when}"
        lines.append(
            (str(place), name, when, of["range"], of["worst check"])
            + (of["cost"], of["hours"], of["checks"])
        )
        before = state
    head = ("step", "change", "may be made", "range then", "worst check then", "cost so far")
    how = "best of every order" if found.every_set else "best next step each time, not every order"
    caption = f"In which order to make them ({how})"
    return Table(head=(*head, "hours so far", "then"), lines=tuple(lines), caption=caption)


def change_table(found: WhatIf, system: units.System = "metric") -> Table:
    """Put a what-if into a table, a line a state."""
    lines = tuple(_line(state, found.present, system) for state in found.states)
    caption = f"The machine {found.basis}, with each set of changes"
    return Table(head=HEAD, lines=lines, caption=caption)


def learned_table(learned: Learned, system: units.System = "metric") -> Table:
    """Put what was learned into a table."""
    return learned.table(system)


def sensitivity_table(rows: Sequence[Sensitivity], system: units.System = "metric") -> Table:
    """Put sensitivities into a table, those that move the range most on top."""

    def size(row: Sensitivity) -> float:
        slope = row.on["range"]
        return 0.0 if slope is None else abs(slope.value)

    lines: list[tuple[str, ...]] = []
    for row in sorted(rows, key=size, reverse=True):
        cells = [f"{row.label}, {row.words}"]
        for key, (_, unit) in ANSWERS.items():
            slope = row.on[key]
            if slope is None:
                cells.append(NOTHING)
            elif abs(slope.value) < 1e-9:
                cells.append("0")
            else:
                sign = "+" if slope.value > 0.0 else "\N{MINUS SIGN}"
                rough = " (rough)" if slope.rough else ""
                cells.append(f"{sign}{figures(abs(slope.value), unit, system)}{rough}")
        lines.append(tuple(cells))
    head = ("a little more of", *(label for label, _ in ANSWERS.values()))
    return Table(head=head, lines=tuple(lines), caption="What a little more of each dial does")


def draw_what_if(axes: Axes, found: WhatIf, system: units.System = "metric") -> list[Artist]:
    """Draw each state's range as a bar, hatched where it brings a new failing."""
    one, unit = units.factor("m", system)
    states = found.states
    places = np.arange(len(states))[::-1]
    artists: list[Artist] = []
    for place, state in zip(places, states, strict=True):
        bad = bool(new_failings(state, found.present))
        colour = PRESENT if not state.names else WARNING if bad else CHANGED
        far = 0.0 if state.range is None else state.range / one
        artists.extend(
            axes.barh(place, far, color=colour, hatch="//" if bad else "", edgecolor="#202020")
        )
        words = "no throw" if state.range is None else f"{far:.0f} {unit}"
        artists.append(axes.text(far, place, f" {words}{' !' if bad else ''}", va="center"))
    axes.set_yticks(places, [state.label for state in states])
    axes.set_xlabel(f"range [{unit}]; hatched: brings a new failing")
    axes.margins(x=0.15)
    return artists


def draw_residuals(axes: Axes, learned: Learned) -> list[Artist]:
    """Draw how far each measured range stands from the expected one, in standard deviations."""
    rows = [i for i, (_, what) in enumerate(learned.model.places) if what == "range"]
    off = learned.fit.standardised[rows]
    names = [learned.model.shots[learned.model.places[i][0]].label for i in rows]
    odd = np.array([i in learned.fit.does_not_fit for i in rows], dtype=bool)
    places = np.arange(len(rows))
    artists: list[Artist] = []
    for chosen, mark, colour, label in (
        (~odd, "o", PRESENT, "fits"),
        (odd, "X", WARNING, "does not fit"),
    ):
        if chosen.any():
            artists.extend(axes.plot(places[chosen], off[chosen], mark, color=colour, label=label))
    artists.append(axes.axhspan(-2.0, 2.0, color="#e8f1f8", zorder=0))
    axes.axhline(0.0, color="#606060", linewidth=0.8)
    axes.set_xticks(places, names, rotation=60, ha="right")
    most = float(np.max(np.abs(off))) if off.size else 0.0
    axes.set_ylim(-max(3.0, 1.1 * most), max(3.0, 1.1 * most))
    axes.set_ylabel("measured less expected [sd]")
    axes.legend()
    return artists


def draw_trade_off(
    axes: Axes,
    found: Sequence[Optimum],
    against: str = "axle load",
    system: units.System = "metric",
) -> list[Artist]:
    """Draw the least axle load, or spread, for each range; one point a machine."""
    far, far_unit = units.factor("m", system)
    ranges = np.array([one.range for one in found]) / far
    if against == "axle load":
        values = np.array([one.axle_load for one in found]) / 1e3
        label = "peak axle load [kN]"
    else:
        values = np.array([one.spread for one in found]) / far
        label = f"spread from shot to shot [{far_unit}]"
    artists: list[Artist] = list(axes.plot(ranges, values, "o-", color=PRESENT))
    axes.set(xlabel=f"range [{far_unit}]", ylabel=label)
    return artists


def interval_words(low: float, high: float, unit: str, system: units.System = "metric") -> str:
    """Write an interval with its unit; a dash where it has no numbers.

    >>> interval_words(98.21, 103.4, "m")
    '98.2 m to 103 m'
    """
    if not (math.isfinite(low) and math.isfinite(high)):
        return NOTHING
    return f"{figures(low, unit, system)} to {figures(high, unit, system)}"

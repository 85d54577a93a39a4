"""The plan of the ground with every line named as what it is: bound, simulated, assumed, chance."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from slingwright.amounts import units
from slingwright.machine.machine import Machine
from slingwright.motion.shown import drawings
from slingwright.pages.print.sections import svg
from slingwright.standing.chances import CONTOURS, Chances, Copies, chances, outlines
from slingwright.standing.ground import Zone

LINES = {
    "keep clear": ("#D55E00", "-"),
    "bound": ("#202020", "-."),
    "simulated": ("#0072B2", "--"),
    "assumption": ("#009E73", ":"),
    "chance": ("#B0568F", "-"),
}
"""Colour and dash of each kind of line."""
WIDTHS = dict(zip(CONTOURS, (1.5, 1.0, 0.5), strict=True))  # of a line of chance [pt]


@lru_cache(maxsize=4)
def likely(machine: Machine, learned: Copies | None) -> Chances:
    """Give where shots of a machine lie by chance; arguments as for `chances`."""
    return chances(machine, learned=learned)


def lines_svg(found: Zone, chance: Chances, system: units.System) -> bytes:
    """Draw the ground from above with each line by its name, and what counting leaves open."""
    one, metre = units.factor("m", system)
    figure, axes = drawings.sheet(1, 1, width=8.0, height=3.6)
    axes.fill(*(found.outline() / one).T, facecolor="#f9e6d9")
    named: set[str] = set()
    for line in outlines(found, chance):
        colour, dash = LINES[line.kind]
        look = {"color": colour, "linestyle": dash, "linewidth": WIDTHS.get(line.share, 1.0)}
        look["label"] = None if line.name in named else line.name
        edges = [(edge, {"color": colour, "linewidth": 0.3}) for edge in line.ends or ()]
        for points, how in (*edges, (line.points, look)):
            axes.plot(*np.vstack([points, points[:1]]).T / one, **how)
        named.add(line.name)
    axes.plot(0.0, 0.0, "s", color="#202020", markersize=4, label="machine")
    if found.limit <= 1.6 * found.clear_ahead and math.isfinite(found.limit):
        limit = {"color": "#202020", "linestyle": "--", "label": "end of clear ground"}
        axes.axvline(found.limit / one, **limit)
    axes.set_aspect("equal")
    axes.set(xlabel=f"ahead of the axle [{metre}]", ylabel=f"to the left [{metre}]")
    axes.legend(loc="lower center", bbox_to_anchor=(0.5, 1.0), ncols=4, fontsize=7)
    return svg(figure)

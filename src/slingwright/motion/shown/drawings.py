"""Plain figures for print and for pages without a kernel.

Each `draw_` function takes axes and data and gives the artists it drew; `move_` functions put
artists where the data are now.  Nothing here opens a window.
"""

import io
import math
from collections.abc import Mapping, Sequence
from typing import Any

import matplotlib
import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon

from slingwright.amounts import units
from slingwright.amounts.figures import figures
from slingwright.machine.machine import Machine
from slingwright.machine.outline import outline
from slingwright.places import shared_folder

PRESENT, KEPT = "#0072B2", "#D55E00"
PARTS: Mapping[str, tuple[str, float]] = {
    "trough": ("#b08d57", 2.5),
    "sill": ("#6b4f2a", 2.5),
    "legs": ("#8a6a3d", 2.5),
    "sling": ("#404040", 1.0),
}
SOLIDS: Mapping[str, str] = {"arm": "#5b3a14", "box": "#4d9cc9"}
SHADES = ("#e8f1f8", "#fdf3e1", "#efefef")
ENERGIES = (
    ("energy_weight", "counterweight", -1.0, "#202020", "-"),
    ("energy_ball", "projectile, pouch", 1.0, "#0072B2", "-"),
    ("energy_arm", "arm", 1.0, "#009E73", "--"),
    ("energy_sling", "sling", 1.0, "#B0568F", ":"),
    ("energy_base", "base", 1.0, "#A86F00", "-."),
    ("energy_lost", "friction", 1.0, "#D55E00", "--"),
)


class Sheet(Figure):
    """A figure in the kit's style that shows itself in a notebook, without any window system."""

    def _repr_png_(self) -> bytes:
        with matplotlib.rc_context(fname=shared_folder() / "plot_style.mplstyle"):
            found = io.BytesIO()
            self.savefig(found, format="png", dpi=110)
        return found.getvalue()


def sheet(
    rows: int = 1, columns: int = 1, *, width: float = 9.0, height: float = 3.2
) -> tuple[Sheet, Any]:
    """Make a figure in the kit's style with `rows` by `columns` axes; sizes in inches.

    >>> figure, axes = sheet(1, 2)
    >>> len(figure.axes)
    2
    """
    with matplotlib.rc_context(fname=shared_folder() / "plot_style.mplstyle"):
        figure = Sheet(figsize=(width, height))
        FigureCanvasAgg(figure)
        axes = figure.subplots(rows, columns)
    return figure, axes


def draw_machine(
    axes: Axes, machine: Machine, throw: Any, index: int = 0, system: units.System = "metric"
) -> dict[str, Artist]:
    """Draw the machine at one moment of a throw, to scale; gives the artists by name of part."""
    one, _ = units.factor("m", system)
    drawn = outline(machine, throw, index)
    artists: dict[str, Artist] = {}
    for name, (colour, width) in PARTS.items():
        points = (drawn[name] / one).T
        (artists[name],) = axes.plot(*points, "-", color=colour, linewidth=width, zorder=2)
    for name, colour in SOLIDS.items():
        artists[name] = axes.add_patch(
            Polygon(drawn[name] / one, closed=True, facecolor=colour, edgecolor="#202020", zorder=3)
        )
    ball = np.asarray(throw.ball)[index] / one
    (artists["ball"],) = axes.plot(
        [ball[0]], [ball[1]], "o", color=KEPT, markeredgecolor="#202020", zorder=4
    )
    axes.set_aspect("equal", adjustable="datalim")
    return artists


def move_machine(
    artists: Mapping[str, Artist],
    machine: Machine,
    throw: Any,
    index: int,
    system: units.System = "metric",
) -> None:
    """Move the artists that `draw_machine` gave to another moment of the throw."""
    one, _ = units.factor("m", system)
    for name, points in outline(machine, throw, index).items():
        artist = artists[name]
        if isinstance(artist, Polygon):
            artist.set_xy(points / one)
        elif isinstance(artist, Line2D):
            artist.set_data(points[:, 0] / one, points[:, 1] / one)
    ball, artist = np.asarray(throw.ball)[index] / one, artists["ball"]
    if isinstance(artist, Line2D):
        artist.set_data([ball[0]], [ball[1]])


def draw_path(
    axes: Axes, machine: Machine, throw: Any, system: units.System = "metric"
) -> list[Artist]:
    """Draw the machine to scale with the projectile's way, its release and its landing."""
    one, label = units.factor("m", system)
    drawn: list[Artist] = list(draw_machine(axes, machine, throw, 0, system).values())
    held = np.asarray(throw.phase) < 3 if throw.outcome == "released" else slice(None)
    swung = np.asarray(throw.ball)[held] / one
    drawn += axes.plot(swung[:, 0], swung[:, 1], "--", color=PRESENT, linewidth=1.2)
    flight = np.asarray(throw.flight_path) / one
    if len(flight):
        drawn += axes.plot(flight[:, 0], flight[:, 1], "-", color=PRESENT)
    if throw.release is not None:
        place = (throw.release.x / one, throw.release.y / one)
        drawn += axes.plot(*place, "^", color=PRESENT)
        drawn.append(axes.annotate("release", place, (6, 4), textcoords="offset points"))
    if throw.landing is not None:
        end = (float(flight[-1, 0]), float(flight[-1, 1]))
        drawn += axes.plot(*end, "D", color=PRESENT)
        words = f"lands at {figures(throw.range, 'm', system)}"
        drawn.append(axes.annotate(words, end, (-6, 8), textcoords="offset points", ha="right"))
    axes.set(xlabel=f"distance [{label}]", ylabel=f"height [{label}]")
    return drawn


def draw_reach(
    axes: Axes,
    angles: np.ndarray,
    ranges: np.ndarray,
    machine: Machine,
    throw: Any,
    system: units.System = "metric",
) -> list[Artist]:
    """Draw range against release angle [rad], all else equal, with the present point."""
    one, label = units.factor("m", system)
    forward = np.asarray(ranges) > 0.1 * max(float(np.max(ranges, initial=0.0)), 0.0)
    degrees = np.degrees(np.asarray(angles)[forward])
    drawn: list[Artist] = []
    drawn += axes.plot(degrees, np.asarray(ranges)[forward] / one, "-", color=PRESENT)
    if throw.landing is not None:
        at = math.degrees(machine.number("release.angle")), throw.range / one
        drawn += axes.plot(*at, "o", color=PRESENT)
        drawn.append(axes.annotate("present", at, (6, 4), textcoords="offset points"))
    axes.set(xlabel="release angle (sling lag) [deg]", ylabel=f"range [{label}]")
    axes.set_ylim(bottom=0.0)
    return drawn


def draw_axle_load(axes: Axes, throw: Any, system: units.System = "metric") -> list[Artist]:
    """Draw the load on the axle against time, the phases shaded and named, the peak marked."""
    one, label = units.factor("N", system)
    load = np.hypot(throw.axle_force[:, 0], throw.axle_force[:, 1]) / one
    drawn: list[Artist] = []
    for span, shade in zip(throw.spans, SHADES, strict=False):
        drawn.append(axes.axvspan(span.start, span.end, color=shade, linewidth=0.0, zorder=0))
        turned = 90 if span.end - span.start < 0.3 * throw.time[-1] else 0
        drawn.append(axes.text(
            0.5 * (span.start + span.end), 0.02, span.name, rotation=turned, ha="center",
            va="bottom", fontsize="small", color="#595959", transform=axes.get_xaxis_transform(),
        ))  # fmt: skip
    drawn += axes.plot(throw.time, load, "-", color=PRESENT, linewidth=1.4)
    peak = (throw.peak_axle_time, throw.peak_axle_load / one)
    drawn += axes.plot(*peak, "o", color=PRESENT)
    words = f"peak {figures(float(throw.peak_axle_load), 'N', system)}"
    drawn.append(axes.annotate(words, peak, (7, 2), textcoords="offset points"))
    axes.set(xlabel="time [s]", ylabel=f"axle load [{label}]", xlim=(0.0, throw.time[-1]))
    axes.set_ylim(0.0, 1.15 * float(np.nanmax(load)))
    return drawn


def draw_energy(axes: Axes, throw: Any, system: units.System = "metric") -> list[Artist]:
    """Draw where the counterweight's energy goes until just after the release."""
    one, label = units.factor("J", system)
    end = 1.12 * throw.release.time if throw.outcome == "released" else throw.time[-1]
    cut = np.asarray(throw.time) <= end
    drawn: list[Artist] = []
    for name, words, sign, colour, style in ENERGIES:
        value = sign * np.asarray(getattr(throw, name))[cut] / one
        if name == "energy_base" and not np.any(value):
            continue
        drawn += axes.plot(throw.time[cut], value, style, color=colour, label=words)
    if throw.outcome == "released":
        drawn.append(axes.axvline(throw.release.time, color="#808080", linestyle=":", linewidth=1))
    axes.set(xlabel="time [s]", ylabel=f"energy [{label}]")
    drawn.append(axes.legend(loc="upper left", frameon=False))
    return drawn


def draw_throw(
    machine: Machine,
    throw: Any,
    reach: Sequence[np.ndarray],
    system: units.System = "metric",
) -> Sheet:
    """Put the four pictures of one throw on one sheet: way, reach, axle load, energy.

    Args:
        reach: release angles [rad] and ranges [m], as `reach_curve` gives them.
    """
    figure, axes = sheet(2, 2, width=10.0, height=6.0)
    draw_path(axes[0, 0], machine, throw, system)
    draw_reach(axes[0, 1], reach[0], reach[1], machine, throw, system)
    draw_axle_load(axes[1, 0], throw, system)
    draw_energy(axes[1, 1], throw, system)
    return figure


def draw_coordinates(axes: Any, machine: Machine, names: str = "ehs") -> None:
    """Draw the machine as lines at some moment, with its lengths and coordinates `names` named.

    Without h the counterweight sits on the pin, without s the projectile on the tip.
    """
    n = machine.number
    e, h, s = 0.5, 0.5, -0.6
    axle = np.array([0.0, n("axle.height")])
    tip = axle + n("arm.long") * np.array([-math.cos(e), math.sin(e)])
    pin = axle - n("arm.short") * np.array([-math.cos(e), math.sin(e)])
    weight = pin + n("counterweight.hanger") * np.array([math.sin(h), -math.cos(h)])
    ball = tip + n("sling.length") * np.array([-math.cos(s), math.sin(s)])
    weight, ball = weight if "h" in names else pin, ball if "s" in names else tip
    for start, end, name, drawn in (
        (axle, tip, "L", True),
        (axle, pin, "S", True),
        (pin, weight, "c", "h" in names),
        (tip, ball, "l", "s" in names),
        (np.array([0.0, 0.0]), axle, "H", True),
    ):
        if drawn:
            style = ":" if name == "H" else "-"
            axes.plot(*np.column_stack([start, end]), style, color="#202020", linewidth=2)
            at = 0.3 * start + 0.7 * end
            axes.annotate(f"${name}$", at, xytext=(4, 6), textcoords="offset points")
    for place, size, name in ((axle, 5, ""), (weight, 14, "M"), (ball, 7, "m")):
        axes.plot(*place, "o", color="#0072B2", markersize=size)
        axes.annotate(name and f"${name}$", place, xytext=(12, -4), textcoords="offset points")
    for corner, line, turn, name in (
        (axle, math.pi, -e, "e"),
        (pin, -0.5 * math.pi, h, "h"),
        (tip, math.pi, -s, "s"),
    ):
        if name not in names:
            continue
        reach = 0.3 * n("arm.long")
        bow = line + np.linspace(0.0, turn, 30)
        axes.plot(*(corner[:, None] + reach * np.array([np.cos(bow), np.sin(bow)])), "-")
        far = corner + 1.2 * reach * np.array([math.cos(line), math.sin(line)])
        level = np.column_stack([corner, far])
        axes.plot(*level, ":", color="#808080")
        middle = corner + 1.1 * reach * np.array([math.cos(bow[15]), math.sin(bow[15])])
        axes.annotate(f"${name}$", middle)
    if "X" in names:
        axes.annotate(
            "$X$", (0.0, 0.0), (0.3 * n("arm.long"), 0.0), arrowprops={"arrowstyle": "<-"}
        )
    axes.axhline(0.0, color="#808080")
    axes.set_aspect("equal")
    axes.set_axis_off()

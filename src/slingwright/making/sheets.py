"""Dimensioned drawings of a machine as held before loosing: side, front and plan, as DXF and SVG.

Outlines are those that clearance looks at (`motion.bodies`), a drawing's dimensions name the dial
that they show.  Sizes of lines, text and arrows follow ISO 128 and ISO 129-1 (from memory).
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.machine.machine import Machine
from slingwright.making.pieces import cut_list
from slingwright.motion.bodies import moving_parts, standing_parts
from slingwright.motion.throwing import throw

VIEWS = {"side": "Side view", "front": "Front view", "plan": "Plan"}
SCALES = (1, 2, 5, 10, 20, 25, 50, 100, 200, 500)
"""Scales that a sheet may have, one to so many: ISO 5455, with 25 (common practice)."""
PAPER = {"metric": (297.0, 210.0), "US": (279.4, 215.9)}  # mm, A4 and Letter, lying
MARGIN, TEXT, ROW = 8.0, 2.5, 7.0  # mm on paper: edge, height of figures, between dimension lines
LETTER = 0.6  # breadth of a figure over its height
OUTLINE, THIN, DIMENSION, WORDS = "OUTLINE", "THIN", "DIMENSION", "TEXT"
LAYERS = {OUTLINE: (7, 50), THIN: (8, 25), DIMENSION: (5, 18), WORDS: (7, 25)}
"""Colour and width [mm/100] of each layer."""
APP = "SLINGWRIGHT"


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """A dimension: the dial that it shows, its two ends [m], and the side of the view it stands on.

    `side` is left, right, below or above; along means along its own line.
    """

    dial: str
    start: tuple[float, float]
    end: tuple[float, float]
    side: str


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """One view: closed outlines by layer, circles (x, y, radius), and dimensions, all in m."""

    name: str
    outlines: Sequence[tuple[str, np.ndarray]]
    circles: Sequence[tuple[float, float, float]]
    sizes: Sequence[Size]

    @property
    def extent(self) -> tuple[np.ndarray, np.ndarray]:
        """Lowest and highest corner of all outlines [m]."""
        corners = np.concatenate([outline for _, outline in self.outlines])
        return corners.min(axis=0), corners.max(axis=0)


def views(machine: Machine) -> dict[str, View]:
    """Give side, front and plan of a machine held before loosing."""
    n = machine.number
    held = throw(machine, swing_through=0.0)
    swung = [part for part in moving_parts(held) if part.name in ("arm", "counterweight box")]
    still = [
        part
        for part in standing_parts(machine, [held], n("projectile.diameter"))
        if part.name != "ground"
    ]
    solid = [(part.name, part.outline, part.band) for part in still]
    solid += [(part.name, part.outline[0], (0.0, part.half)) for part in swung]
    inner, thick = 0.5 * n("axle.span"), 0.5 * n("axle.diameter")
    rod = np.array([[-thick, -thick], [thick, -thick], [thick, thick], [-thick, thick]])
    solid.append(("axle", rod + held.axle[0], (0.0, inner + n("axle.bearing"))))
    places = {name: outline for name, outline, _ in solid}
    return {
        "side": View(
            name="side",
            outlines=[(_layer(name), outline) for name, outline, _ in solid if name != "axle"],
            circles=[
                (float(held.axle[0, 0]), float(held.axle[0, 1]), thick),
                (float(held.pin[0, 0]), float(held.pin[0, 1]), 0.5 * n("hanger.pin")),
            ],
            sizes=list(_side_sizes(machine, held, places)),
        ),
        "front": View(
            name="front",
            outlines=[
                *_beside(solid, 1, swap=False),
                *_raking(machine),
            ],
            circles=[],
            sizes=list(_front_sizes(machine)),
        ),
        "plan": View(
            name="plan",
            outlines=list(_beside(solid, 0, swap=True)),
            circles=[],
            sizes=list(_plan_sizes(machine)),
        ),
    }


def _layer(name: str) -> str:
    return THIN if name in ("trough", "guide rails") else OUTLINE


def _beside(
    solid: Sequence[tuple[str, np.ndarray, tuple[float, float]]], axis: int, *, swap: bool
) -> Iterator[tuple[str, np.ndarray]]:
    """Give bodies as seen along the throw (axis 1) or from above (axis 0), on both sides."""
    for name, outline, (near, far) in solid:
        low, high = float(outline[:, axis].min()), float(outline[:, axis].max())
        spans = [(-far, far)] if near == 0.0 else [(near, far), (-far, -near)]
        for left, right in spans:
            corners = np.array([[left, low], [right, low], [right, high], [left, high]])
            yield _layer(name), corners[:, ::-1] if swap else corners


def _raking(machine: Machine) -> Iterator[tuple[str, np.ndarray]]:
    n = machine.number
    out, wide, height = n("frame.side_foot"), n("frame.brace_depth"), n("axle.height")
    if out <= 0.0:
        return
    head = 0.5 * (n("axle.span") + n("frame.leg_width"))
    for side in (1.0, -1.0):
        corners = ((0.0, height), (0.0, height - wide), (out, 0.0), (out + wide, 0.0))
        yield OUTLINE, np.array([(side * (head + x), y) for x, y in corners])


def _side_sizes(machine: Machine, held: Any, places: dict[str, np.ndarray]) -> Iterator[Size]:
    n = machine.number
    axle, tip, pin, weight = (
        (float(one[0, 0]), float(one[0, 1])) for one in (held.axle, held.tip, held.pin, held.weight)
    )
    half, long = 0.5 * n("frame.spread"), 0.5 * n("frame.sill_length")
    box = places["counterweight box"]
    left, right = float(box[:, 0].min()), float(box[:, 0].max())
    low, high = float(box[:, 1].min()), float(box[:, 1].max())
    yield Size(dial="arm.long", start=tip, end=axle, side="along")
    yield Size(dial="arm.short", start=axle, end=pin, side="along")
    if machine.flag("counterweight.hung"):
        yield Size(dial="counterweight.hanger", start=weight, end=pin, side="right")
        yield Size(dial="counterweight.height", start=(right, low), end=(right, high), side="right")
        yield Size(dial="counterweight.width", start=(left, high), end=(right, high), side="above")
    yield Size(dial="frame.brace", start=(half, 0.0), end=(half, n("frame.brace")), side="right")
    yield Size(dial="axle.height", start=(half, 0.0), end=axle, side="right")
    yield Size(dial="frame.spread", start=(-half, 0.0), end=(half, 0.0), side="below")
    yield Size(dial="frame.sill_length", start=(-long, 0.0), end=(long, 0.0), side="below")
    start = float(places["trough"][:, 0].min())
    level = n("trough.height")
    yield Size(dial="trough.height", start=(start, 0.0), end=(start, level), side="left")


def _front_sizes(machine: Machine) -> Iterator[Size]:
    n = machine.number
    inner, wide = 0.5 * n("axle.span"), n("frame.leg_width")
    foot, height = n("frame.side_foot"), n("axle.height")
    deep, trough = 0.5 * n("counterweight.breadth"), 0.5 * n("trough.width")
    level = n("trough.height")
    yield Size(dial="trough.width", start=(-trough, level), end=(trough, level), side="below")
    yield Size(dial="axle.span", start=(-inner, 0.0), end=(inner, 0.0), side="below")
    yield Size(
        dial="frame.leg_width", start=(inner, height), end=(inner + wide, height), side="above"
    )
    box = (-deep, height), (deep, height)
    yield Size(dial="counterweight.breadth", start=box[0], end=box[1], side="above")
    sill, deep = inner + n("frame.sill_width"), n("frame.sill_depth")
    yield Size(dial="frame.sill_depth", start=(sill, 0.0), end=(sill, deep), side="right")
    yield Size(dial="axle.height", start=(inner, 0.0), end=(inner, height), side="right")
    if foot > 0.0:
        yield Size(
            dial="frame.side_foot",
            start=(-inner - 0.5 * wide - foot, 0.0),
            end=(-inner - 0.5 * wide, 0.0),
            side="below",
        )


def _plan_sizes(machine: Machine) -> Iterator[Size]:
    n = machine.number
    long, inner = 0.5 * n("frame.sill_length"), 0.5 * n("axle.span")
    wide, trough = n("frame.sill_width"), 0.5 * n("trough.width")
    half = 0.5 * n("frame.spread")
    yield Size(dial="frame.spread", start=(-half, -inner), end=(half, -inner), side="below")
    yield Size(dial="frame.sill_length", start=(-long, -inner), end=(long, -inner), side="below")
    yield Size(dial="axle.span", start=(long, -inner), end=(long, inner), side="right")
    beside = (-long, inner), (-long, inner + wide)
    yield Size(dial="frame.sill_width", start=beside[0], end=beside[1], side="left")
    yield Size(dial="trough.width", start=(-long, -trough), end=(-long, trough), side="left")


# ---- paper


def drawing(
    machine: Machine,
    view: View,
    *,
    day: str,
    scale: int,
    system: units.System = "metric",
    titled: bool = True,
) -> Any:
    """Give a view as a DXF document in mm, true to size, with dimensions and a title.

    Args:
        machine: what is drawn; its name stands in the title.
        view: one of `views(machine)`.
        day: date in the title.
        scale: one to so many, as of `sheet_scale`; text and arrows are so large that they suit it.
        system: units of the figures; the document is in mm.
        titled: whether name, scale, date and caution stand below.
    """
    from ezdxf import filemanagement
    from ezdxf import units as dxf_units

    document = filemanagement.new("R2010", setup=True)
    document.units = dxf_units.MM
    document.appids.add(APP)
    for name, (colour, width) in LAYERS.items():
        document.layers.add(name, color=colour, lineweight=width)
    space = document.modelspace()
    for layer, outline in view.outlines:
        space.add_lwpolyline(1e3 * outline, close=True, dxfattribs={"layer": layer})
    for x, y, radius in view.circles:
        space.add_circle((1e3 * x, 1e3 * y), 1e3 * radius, dxfattribs={"layer": OUTLINE})
    low, high = view.extent
    if view.name != "plan":
        ground = ((1e3 * low[0], 0.0), (1e3 * high[0], 0.0))
        space.add_line(*ground, dxfattribs={"layer": THIN})
    for size, row in _in_rows(view.sizes):
        _add_size(document, space, machine, view, size, row, scale, system)
    title = [
        f"{machine.name or 'Machine'}: {VIEWS[view.name].lower()}, held before loosing",
        f"1 : {scale}, {'mm' if system == 'metric' else 'as written'}; {day}",
        "An aid to judgement, not approval: local codes and a licensed engineer decide.",
    ]
    low_row = 1e3 * low[1] - scale * (ROW * (_count(view, "below") + 1) + TEXT)
    for row, words in enumerate(title if titled else ()):
        space.add_text(
            words,
            height=TEXT * scale,
            dxfattribs={
                "layer": WORDS,
                "insert": (1e3 * low[0], low_row - row * 1.8 * TEXT * scale),
            },
        )
    return document


def _moved(view: View, size: Size, row: int, scale: int, text: str) -> float:
    """How far the figures of a size are moved along its line to stand free of others' lines [mm].

    In its middle where that is free, else at a quarter, else past its end, where short ones stand.
    """
    axis = 1 if size.side in ("left", "right") else 0
    near, far = sorted((1e3 * size.start[axis], 1e3 * size.end[axis]))
    long, half = far - near, 0.5 * scale * TEXT * (LETTER * len(text) + 1.0)
    past = 0.5 * long + half + 2.0 * scale * TEXT
    if long < 2.0 * (half + scale * TEXT):
        return past
    crossed = [
        1e3 * place[axis]
        for other, outer in _in_rows(view.sizes)
        if other.side == size.side and outer > row
        for place in (other.start, other.end)
    ]
    for moved in (0.0, 0.25 * long, -0.25 * long):
        if all(abs(0.5 * (near + far) + moved - level) > half for level in crossed):
            return moved
    return past


def feet_and_inches(length: float) -> str:
    """Write a length as a workshop does, to a sixteenth of an inch.

    >>> print(feet_and_inches(0.8128), feet_and_inches(0.0444), feet_and_inches(1.5), sep="; ")
    2' 8"; 1 3/4"; 4' 11 1/16"
    """
    sixteenths = round(length / 0.0254 * 16.0)
    feet, rest = divmod(sixteenths, 12 * 16)
    inches, part = divmod(rest, 16)
    share = f"{Fraction(part, 16)}" if part else ""
    within = " ".join(word for word in (str(inches) if inches or not part else "", share) if word)
    if not feet:
        return f'{within}"'
    return f"{feet}'" if not rest else f"{feet}' {within}\""


def _in_rows(sizes: Sequence[Size]) -> list[tuple[Size, int]]:
    """Put the short ones nearest to the view, so that no two of their lines cross."""
    rows: dict[str, int] = {}
    found = []
    for size in sorted(sizes, key=lambda one: math.dist(one.start, one.end)):
        rows[size.side] = rows.get(size.side, 0) + 1
        found.append((size, rows[size.side]))
    return found


def _add_size(
    document: Any,
    space: Any,
    machine: Machine,
    view: View,
    size: Size,
    row: int,
    scale: int,
    system: units.System,
) -> None:
    low, high = (1e3 * corner for corner in view.extent)
    start, end = (tuple(1e3 * x for x in place) for place in (size.start, size.end))
    text = f"{1e3 * machine.number(size.dial):.1f}".removesuffix(".0")
    if system == "US":
        # No line of figures breaks at a space.
        text = feet_and_inches(machine.number(size.dial)).replace(" ", r"\~")
    common = {
        "dimstyle": "EZDXF",
        "text": text,
        "override": {
            "dimtxt": TEXT, "dimasz": TEXT, "dimexe": 1.0, "dimexo": 1.0, "dimgap": 0.8,
            "dimscale": float(scale), "dimdec": 1, "dimrnd": 0.0, "dimzin": 8, "dimlfac": 1.0,
            "dimtad": 1, "dimblk": "", "dimtxsty": "OpenSans",
        },
        "dxfattribs": {"layer": DIMENSION},
    }  # fmt: skip
    if size.side == "along":
        made = space.add_aligned_dim(p1=start, p2=end, distance=3.0 * ROW * scale, **common)
    else:
        off = ROW * scale * row
        base = {
            "left": (low[0] - off, 0.0),
            "right": (high[0] + off, 0.0),
            "below": (0.0, low[1] - off),
            "above": (0.0, high[1] + off),
        }[size.side]
        upright = 90.0 if size.side in ("left", "right") else 0.0
        made = space.add_linear_dim(base=base, p1=start, p2=end, angle=upright, **common)
    if size.side != "along":
        made.shift_text(_moved(view, size, row, scale, text), 0.0)
    made.render()
    made.dimension.set_xdata(APP, [(1000, size.dial)])


def _count(view: View, side: str) -> int:
    return sum(size.side == side for size in view.sizes)


def taken(view: View, scale: int) -> tuple[float, float]:
    """Width and height of paper [mm] that a view with its dimensions and margins takes."""
    low, high = view.extent
    across = _count(view, "left") + _count(view, "right") + 1
    up = _count(view, "below") + _count(view, "above") + 4
    size = 1e3 * (high - low) / scale + ROW * np.array([across, up]) + 2.0 * MARGIN
    return float(size[0]), float(size[1])


def sheet_scale(view: View, paper: tuple[float, float], scales: Sequence[int] = SCALES) -> int:
    """Scale at which a view fits on paper [mm], one to so many."""
    for scale in scales:
        wide, high = taken(view, scale)
        if wide <= paper[0] and high <= paper[1]:
            return scale
    return scales[-1]


def as_svg(document: Any, scale: int, paper: tuple[float, float]) -> str:
    """Give a drawing as SVG, to scale on its paper [mm]."""
    from ezdxf.addons.drawing import config, layout, svg
    from ezdxf.addons.drawing.frontend import Frontend
    from ezdxf.addons.drawing.properties import RenderContext

    for block in document.blocks:  # drawn letter by letter otherwise
        for words in block.query("MTEXT"):
            words.text = words.text.replace(r"\~", "\N{NO-BREAK SPACE}")
    backend = svg.SVGBackend()
    settings = config.Configuration(
        background_policy=config.BackgroundPolicy.WHITE, color_policy=config.ColorPolicy.BLACK
    )
    Frontend(RenderContext(document), backend, config=settings).draw_layout(document.modelspace())
    page = layout.Page(*paper, layout.Units.mm, margins=layout.Margins.all(MARGIN))
    return str(
        backend.get_string(page, settings=layout.Settings(fit_page=False, scale=1.0 / scale))
    )


def as_dxf(document: Any) -> str:
    """Give a drawing as the text of a DXF file."""
    written = io.StringIO()
    document.write(written)
    return written.getvalue()


def save_drawings(
    machine: Machine, folder: Path, *, day: str, system: units.System = "metric"
) -> list[Path]:
    """Write each view as DXF and SVG, and the list of pieces as CSV, into a new folder.

    Raises:
        FileExistsError: there is a folder of that name.
        OSError: it cannot be made.
    """
    if folder.exists():
        raise FileExistsError(f"{folder}: it is there already; give the name of a new folder")
    folder.mkdir(parents=True)
    written = [folder / "pieces.csv"]
    cut_list(machine).to_csv(written[0])
    paper = PAPER[system]
    for name, view in views(machine).items():
        scale = sheet_scale(view, paper)
        document = drawing(machine, view, day=day, scale=scale, system=system)
        for ending, text in (("dxf", as_dxf(document)), ("svg", as_svg(document, scale, paper))):
            path = folder / f"{name}.{ending}"
            path.write_text(text, encoding="utf-8")
            written.append(path)
    return written

"""Dimensioned drawings on paper, as DXF and SVG: views, details, and the ground from above.

A dimension names the dial that it shows.  Sizes of lines, text and arrows follow ISO 128 and
ISO 129-1 (from memory).
"""

from __future__ import annotations

import io
import math
import textwrap
from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.text import told
from slingwright.machine.machine import Machine
from slingwright.making.details import details, ground
from slingwright.making.pieces import cut_list
from slingwright.making.views import DIMENSION, OUTLINE, THIN, WORDS, Size, View, views

SCALES = (1, 2, 5, 10, 20, 25, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000)
"""Scales that a sheet may have, one to so many: ISO 5455, with 25 (common practice)."""
PAPER = {"metric": (297.0, 210.0), "US": (279.4, 215.9)}  # mm, A4 and Letter, lying
MARGIN, TEXT, ROW = 8.0, 2.5, 7.0  # mm on paper: edge, height of figures, between dimension lines
LINE = 1.8 * TEXT  # mm, between lines of words
LONG = 20.0  # m, from which on a dimension is written in metres
WIDEST = 90  # letters of a line of words
LETTER = 0.6  # breadth of a figure over its height
LAYERS = {OUTLINE: (7, 50), THIN: (8, 25), DIMENSION: (5, 18), WORDS: (7, 25)}
"""Colour and width [mm/100] of each layer."""
APP = "SLINGWRIGHT"


def drawing(
    machine: Machine,
    view: View,
    *,
    day: str,
    scale: int,
    system: units.System = "metric",
    titled: bool = True,
    revision: str = "",
) -> Any:
    """Give a view as a DXF document in mm, true to size, with dimensions and a title.

    Args:
        machine: what is drawn; its name stands in the title.
        view: one of `views(machine)`.
        day: date in the title.
        scale: one to so many, as of `sheet_scale`; text and arrows are so large that they suit it.
        system: units of the figures; the document is in mm.
        titled: whether name, scale, date and caution stand below.
        revision: words for the revision in the title.
    """
    from ezdxf import bbox, filemanagement
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
    if view.level:
        ground = ((1e3 * low[0], 0.0), (1e3 * high[0], 0.0))
        space.add_line(*ground, dxfattribs={"layer": THIN})
    placed: list[Any] = []
    for x, y, words in view.labels:
        place = 1e3 * x + 0.7 * scale * TEXT, 1e3 * y + 0.7 * scale * TEXT
        like = {"layer": WORDS, "insert": place}
        placed.append(bbox.extents([space.add_text(words, height=TEXT * scale, dxfattribs=like)]))
    # Those along a part have one place for their figures, and so come first.
    for size, row in sorted(_in_rows(view.sizes), key=lambda one: one[0].side != "along"):
        _add_size(space, view, size, row, scale, system, placed)
    title = _wrapped(
        f"{machine.name or 'Machine'}: {view.title[0].lower()}{view.title[1:]}",
        f"1 : {scale}, {'mm' if system == 'metric' else 'as written'}; {day}"
        + (f"; revision {revision}" if revision else ""),
        *(told(words, system) for words in view.notes),
        "An aid to judgement, not approval: local codes and a licensed engineer decide.",
    )
    low_row = 1e3 * low[1] - scale * (ROW * (_count(view, "below") + 1) + TEXT)
    for row, words in enumerate(title if titled else ()):
        space.add_text(
            words,
            height=TEXT * scale,
            dxfattribs={
                "layer": WORDS,
                "insert": (1e3 * low[0], low_row - row * LINE * scale),
            },
        )
    return document


def _moves(view: View, size: Size, row: int, scale: int, text: str) -> Iterator[float]:
    """Give how far the figures of a size may be moved along its line [mm], the best first.

    In its middle or at a quarter, where others' lines leave that free; past its ends, where short
    ones stand, first past the end toward the middle of the view.
    """
    if size.side == "along":
        yield 0.0
        return
    axis = 1 if size.side in ("left", "right") else 0
    near, far = sorted((1e3 * size.start[axis], 1e3 * size.end[axis]))
    long, half = far - near, 0.5 * scale * TEXT * (LETTER * len(text) + 1.0)
    crossed = [
        1e3 * place[axis]
        for other, outer in _in_rows(view.sizes)
        if other.side == size.side and outer > row
        for place in (other.start, other.end)
    ]
    for moved in (0.0, 0.25 * long, -0.25 * long) if long >= 2.0 * half else ():
        if all(abs(0.5 * (near + far) + moved - level) > half for level in crossed):
            yield moved
    past = 0.5 * long + half + 2.0 * scale * TEXT
    inward = near + far < 1e3 * float(sum(corner[axis] for corner in view.extent))
    for moved in (past, -past, past + 2.0 * half, -past - 2.0 * half):
        yield moved if inward else -moved


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
    space: Any,
    view: View,
    size: Size,
    row: int,
    scale: int,
    system: units.System,
    placed: list[Any],
) -> None:
    """Draw a dimension, its figures where they meet none of those that are placed."""
    from ezdxf import bbox

    low, high = (1e3 * corner for corner in view.extent)
    start, end = (tuple(1e3 * x for x in place) for place in (size.start, size.end))
    axis = {"left": (1,), "right": (1,), "along": (0, 1)}.get(size.side, (0,))
    length = math.hypot(*(size.end[i] - size.start[i] for i in axis))
    text = f"{1e3 * length:.1f}".removesuffix(".0")
    if system == "US":
        # No line of figures breaks at a space.
        text = feet_and_inches(length).replace(" ", r"\~")
    elif length >= LONG:
        text = rf"{length:.1f}\~m"
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
    off = ROW * scale * row
    base = {
        "left": (low[0] - off, 0.0),
        "right": (high[0] + off, 0.0),
        "below": (0.0, low[1] - off),
        "above": (0.0, high[1] + off),
    }.get(size.side)
    upright = 90.0 if size.side in ("left", "right") else 0.0
    drawn: list[Any] = []
    for moved in _moves(view, size, row, scale, text):
        if base is None:
            made = space.add_aligned_dim(p1=start, p2=end, distance=3.0 * ROW * scale, **common)
        else:
            made = space.add_linear_dim(base=base, p1=start, p2=end, angle=upright, **common)
            made.shift_text(moved, 0.0)
        made.render()
        block = made.dimension.get_geometry_block()
        box = bbox.extents(block.query("MTEXT TEXT"), fast=True)
        drawn.append(made.dimension)
        if not any(box.has_overlap(other) for other in placed):
            break
    for spare in drawn[:-1]:
        space.doc.blocks.delete_block(spare.dxf.geometry, safe=False)
        space.delete_entity(spare)
    placed.append(box)
    if base is not None:
        _lead(space, start, end, base, moved)
    made.dimension.set_xdata(APP, [(1000, size.name)])


def _lead(space: Any, start: Any, end: Any, base: tuple[float, float], moved: float) -> None:
    """Draw a dimension's line on as far as its figures, where they stand past its end."""
    axis = 0 if base[0] == 0.0 else 1
    middle, half = 0.5 * (start[axis] + end[axis]), 0.5 * abs(end[axis] - start[axis])
    if abs(moved) > half:
        ends = (middle + math.copysign(half, moved), middle + moved)
        places = [(x, base[1]) if axis == 0 else (base[0], x) for x in ends]
        space.add_line(*places, dxfattribs={"layer": DIMENSION})


def _count(view: View, side: str) -> int:
    return sum(size.side == side for size in view.sizes)


def taken(view: View, scale: int) -> tuple[float, float]:
    """Width and height of paper [mm] that a view with its dimensions and margins takes."""
    low, high = view.extent
    across = _count(view, "left") + _count(view, "right") + 1
    lines = len(_wrapped(*view.notes))
    up = _count(view, "below") + _count(view, "above") + 4 + LINE * lines / ROW
    size = 1e3 * (high - low) / scale + ROW * np.array([across, up]) + 2.0 * MARGIN
    words = LETTER * TEXT * WIDEST + 2.0 * MARGIN if lines else 0.0
    return max(float(size[0]), words), float(size[1])


def _wrapped(*words: str) -> list[str]:
    """Break words into lines that a sheet holds; what is no line of text is blank."""
    return [line for one in words for line in textwrap.wrap(one, WIDEST)]


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


def all_views(machine: Machine) -> dict[str, View]:
    """Give every view that can be drawn: of the whole, of details, and of the ground if known."""
    return {**views(machine), **details(machine), **ground(machine)}


def save_drawings(
    machine: Machine,
    folder: Path,
    *,
    day: str,
    system: units.System = "metric",
    revision: str = "",
) -> list[Path]:
    """Write each view as DXF and SVG, and the list of pieces as CSV, into a new folder.

    Args:
        machine: what is drawn.
        folder: where to.
        day: date in the titles.
        system: units of the figures, and paper.
        revision: words for the revision in the titles.

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
    for name, view in all_views(machine).items():
        scale = sheet_scale(view, paper)
        document = drawing(machine, view, day=day, scale=scale, system=system, revision=revision)
        for ending, text in (("dxf", as_dxf(document)), ("svg", as_svg(document, scale, paper))):
            path = folder / f"{name}.{ending}"
            path.write_text(text, encoding="utf-8")
            written.append(path)
    return written

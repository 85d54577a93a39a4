"""What a live picture is made of, as plain data: axes, curves, shades, marks and words for it.

A picture is a mapping that the canvas script reads; its points go as float32 into one block shared
by all pictures of a widget.  Values are in the unit shown.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, TypeVar

import numpy as np

from slingwright.amounts import units

Picture = dict[str, Any]
Axis = tuple[str, float, float]
"""Words beside an axis, and its two ends."""

NOW, KEPT, GREEN, PINK = "#0072B2", "#D55E00", "#009E73", "#B0568F"
ORANGE, BLACK, GROUND, WOOD = "#A86F00", "#202020", "#8a7a5c", "#5b3a14"
DASH_KEPT = [6, 4]
MOST_POINTS = 300


@dataclass(slots=True)
class Points:
    """The block of points of all pictures of one widget."""

    parts: list[np.ndarray] = field(default_factory=list)
    length: int = 0

    def add(self, x: np.ndarray, y: np.ndarray) -> dict[str, int]:
        """Put a curve into the block, thinned for a screen but with its peaks; gives its place."""
        if x.size > MOST_POINTS:
            pick = _spread(x.size)
            pick = np.union1d(pick, (int(y.argmin()), int(y.argmax())))
            x, y = x[pick], y[pick]
        block = np.empty((x.size, 2), dtype=np.float32)
        block[:, 0], block[:, 1] = x, y
        start = self.length
        self.parts.append(block)
        self.length += 2 * x.size
        return {"start": start, "count": int(x.size)}

    def curve(
        self, x: np.ndarray, y: np.ndarray, colour: str, name: str = "", **look: Any
    ) -> dict[str, Any]:
        """Put a curve into the block, and give it as a picture takes it."""
        line = {**self.add(x, y), "colour": colour, "name": name, "dash": [], "width": 2}
        return {**line, **look}

    def way(self, places: np.ndarray, colour: str, name: str = "", **look: Any) -> dict[str, Any]:
        """Put a curve through places, shape (n, 2), into the block; as `curve` gives it."""
        return self.curve(places[:, 0], places[:, 1], colour, name, **look)

    def patch(self, x: np.ndarray, y: np.ndarray, colour: str, **look: Any) -> dict[str, Any]:
        """Put a filled shape into the block; it has no edge unless it is given a width."""
        return self.curve(x, y, colour, **{"fill": colour, "closed": True, "width": 0, **look})

    def bytes(self) -> bytes:
        """Give the block as it goes over the wire."""
        return b"".join(part.tobytes() for part in self.parts)


Scene = Callable[[Any, units.System, Points], Picture]
"""Draws one picture of a page's bench or controller."""
Who = TypeVar("Who")


def looks(now: Who, kept: Who | None) -> Iterator[tuple[Who, dict[str, Any]]]:
    """Give the kept one, if there is one, and the present one, each with the look of its curve."""
    if kept is not None:
        yield kept, {"colour": KEPT, "dash": DASH_KEPT, "name": "kept"}
    yield now, {"colour": NOW, "name": "" if kept is None else "present"}


@lru_cache(maxsize=32)
def _spread(size: int) -> np.ndarray:
    return np.linspace(0, size - 1, MOST_POINTS).round().astype(int)


def picture(
    key: str, title: str, words: str, x: Axis, y: Axis, lines: Sequence[dict[str, Any]], *,
    marks: Sequence[dict[str, Any]] = (), rules: Sequence[dict[str, Any]] = (), **more: Any,
) -> Picture:  # fmt: skip
    """Give a picture as the canvas script reads it."""
    axes = {
        name: {"label": label, "low": float(low), "high": float(high)}
        for name, (label, low, high) in (("x", x), ("y", y))
    }
    found = {"key": key, "title": title, "words": words, **axes, "lines": lines}
    return {**found, "marks": marks, "rules": rules, **more}


def no_picture(key: str, title: str, why: str) -> Picture:
    """Give a picture that says why there is nothing to see."""
    words, axis = why or "there is nothing to show", ("", 0.0, 1.0)
    return picture(key, title, words, axis, axis, [], empty=words)


def mark(x: float, y: float, label: str, colour: str = NOW, shape: str = "circle") -> Any:
    """Give a mark with its words."""
    return {"x": float(x), "y": float(y), "label": label, "colour": colour, "shape": shape}


def scale(top: float, unit: str, system: units.System) -> tuple[float, str]:
    """Give the unit that suits an axis up to `top` (SI): its SI value and its label."""
    size = abs(top) if math.isfinite(top) and top != 0.0 else 1.0
    number, label = units.shown(size, unit, system)
    return size / number, label

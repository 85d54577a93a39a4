"""Live pictures and the player: what the bench shows of a throw, drawn by the browser."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import anywidget
import ipywidgets
import traitlets

from slingwright.motion.spread.band import band
from slingwright.pages.parts.beside import Beside
from slingwright.pages.parts.parts import STYLE, Part, script
from slingwright.pages.parts.workbench import Workbench
from slingwright.pages.pictures.canvas import Picture, Points, Scene
from slingwright.pages.pictures.drawing import used_parts
from slingwright.pages.pictures.film import FRAMES, film_of
from slingwright.pages.pictures.people import moved_by_hand
from slingwright.pages.pictures.scenes import PICTURES, add_band
from slingwright.strength.checks import holding

HERE = Path(__file__).parent
COPIES = 200
SENDING = 0.0005  # time in which a message is handed to the network, s


class PictureBoard(anywidget.AnyWidget):
    """The browser's side of a board of live pictures: one message brings all of them."""

    _esm = script("canvas.js", HERE / "places.js", HERE / "pictures.js")
    _css = STYLE
    scene = traitlets.Dict().tag(sync=True)
    points = traitlets.Bytes().tag(sync=True)

    def show(self, pictures: list[Picture], points: bytes, revision: int, columns: int) -> None:
        """Send pictures and their curves, all in one message, and let it leave."""
        with self.hold_sync():
            self.points = points
            self.scene = {"revision": revision, "columns": columns, "pictures": pictures}
        # The message leaves from a thread of its own: give way, so that it need not wait.
        time.sleep(SENDING)


class Pictures(Part):
    """Pictures of a page's bench or controller, drawn anew with every change.

    Of `every` those that are named, in order, or all; so many `columns` where there is room.
    """

    every: Mapping[str, Scene]
    board: type[PictureBoard] = PictureBoard

    def __init__(self, source: Any, *names: str, columns: int = 2) -> None:
        self.names = names or tuple(self.every)
        unknown = [name for name in self.names if name not in self.every]
        if unknown:
            raise ValueError(f"no picture {unknown[0]!r}; there are {', '.join(self.every)}")
        self.columns = min(columns, len(self.names))
        super().__init__(source)

    def _make(self) -> PictureBoard:
        return self.board()

    def drawn(self, points: Points) -> list[Picture]:
        """Draw each picture as things are now; its curves go into `points`."""
        return [self.every[name](self.controller, self.bench.system, points) for name in self.names]

    def refresh(self) -> None:
        """Show all of them as things are now."""
        points = Points()
        pictures = self.drawn(points)
        self.widget.show(pictures, points.bytes(), self.bench.revision, self.columns)


class LivePictures(Pictures):
    """Pictures that follow the bench: `path`, `reach`, `axle`, `energy`."""

    every = PICTURES

    def _make(self) -> PictureBoard:
        self.copies = ipywidgets.Checkbox(value=False, indent=False, description="Near copies")
        self.copies.tooltip = (
            f"Shade where nine of ten of {COPIES} machines lie that differ from this one "
            "as throws do when nothing is changed"
        )
        self.copies.observe(lambda _: self.bench.attempt(self.refresh), names="value")
        self.controls = {"copies": self.copies}
        return super()._make()

    def drawn(self, points: Points) -> list[Picture]:
        """Draw each picture, over the band of near copies where that is asked for."""
        pictures = super().drawn(points)
        shaded = band(self.bench.machine, n=COPIES) if self.copies.value else None
        if shaded is not None:
            for picture in pictures:
                add_band(picture, shaded, self.bench.system, points)
        return pictures


class LivePicture(LivePictures):
    """One live picture."""

    def __init__(self, bench: Workbench, name: str) -> None:
        super().__init__(bench, name, columns=1)


class FilmBoard(anywidget.AnyWidget):
    """The browser's side of the player: it asks for film and checks when the dials rest."""

    _esm = script("canvas.js", HERE / "places.js", HERE / "player.js")
    _css = STYLE
    film = traitlets.Dict().tag(sync=True)
    frames = traitlets.Bytes().tag(sync=True)
    used: Any = traitlets.Dict({"revision": -1, "parts": {}}).tag(sync=True)


class Player(Part):
    """The machine as it is held, and its throw at true and slow speed, parts shaded by their use.

    One frame is sent with every change; all of them, and the checks, when they are asked for.
    """

    def _make(self) -> FilmBoard:
        board, self.beside = FilmBoard(), Beside()
        self.ends = (self.beside,)
        board.on_msg(self._hear)
        moved_by_hand(self.bench, board)
        return board

    def refresh(self) -> None:
        """Show the machine as it is held; the browser asks for more when the dials rest."""
        self._send(1)

    def send_film(self) -> None:
        """Send all frames of the present throw."""
        self._send(FRAMES)

    def send_use(self) -> None:
        """Work the checks of the present machine out, and shade its parts once they are found."""
        machine, revision = self.bench.machine, self.bench.revision

        def found(result: Callable[[], Any]) -> None:
            def shade() -> None:
                parts = used_parts(result(), self.bench.system)
                self.widget.used = {"revision": revision, "parts": parts}

            self.bench.attempt(shade)

        self.beside.ask(machine, lambda: holding(machine), found)

    def _send(self, count: int) -> None:
        bench = self.bench
        film, frames = film_of(bench.now, bench.system, bench.kept, count=count)
        with self.widget.hold_sync():
            self.widget.frames = frames
            self.widget.film = {"revision": bench.revision, **film}

    def _hear(self, _: object, content: object, buffers: object) -> None:
        if not isinstance(content, dict):
            return
        if content.get("kind") == "film":
            self.bench.attempt(self.send_film)
        elif content.get("kind") == "use" and content.get("revision") == self.bench.revision:
            self.send_use()

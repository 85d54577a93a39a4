"""A throw as a moving picture: shown in a notebook, saved as GIF, or as MP4 where ffmpeg is."""

import base64
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import matplotlib
import numpy as np

from slingwright.amounts import units
from slingwright.machine.machine import Machine
from slingwright.motion.shown.drawings import draw_machine, move_machine, sheet
from slingwright.places import shared_folder

ENDINGS = (".gif", ".mp4")
RATE = 25  # frames a second
LONGEST = 60.0  # s of film


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Animation:
    """A throw from loosing until just after the release, to be shown or saved."""

    machine: Machine
    throw: Any
    slower: float
    system: units.System

    def save(self, path: str | Path) -> Path:
        """Write the film; the ending says the kind, .gif or .mp4.

        Raises: ValueError: another ending, or .mp4 where ffmpeg is not installed.
        """
        from matplotlib.animation import FFMpegWriter, PillowWriter

        place = Path(path)
        if place.suffix.lower() not in ENDINGS:
            raise ValueError(f"{place.name} ends in {place.suffix!r}; give .gif or .mp4")
        if place.suffix.lower() == ".gif":
            self._write(PillowWriter(fps=RATE), place)
        elif FFMpegWriter.isAvailable():
            self._write(FFMpegWriter(fps=RATE), place)
        else:
            raise ValueError(f"{place.name}: MP4 needs ffmpeg, which is not installed; save a .gif")
        return place

    def _write(self, writer: Any, place: Path) -> None:
        throw = self.throw
        last = throw.release.time if throw.release is not None else float(throw.time[-1])
        end = min(1.35 * last, float(throw.time[-1]))
        count = max(2, min(round(LONGEST * RATE), round(end * self.slower * RATE)))
        moments = np.searchsorted(throw.time, np.linspace(0.0, end, count))
        with matplotlib.rc_context(fname=shared_folder() / "plot_style.mplstyle"):
            figure, axes = sheet(width=6.4, height=4.8)
            artists = draw_machine(axes, self.machine, throw, 0, self.system)
            one, label = units.factor("m", self.system)
            # What is shown: all that arm, sling and counterweight sweep, with a little room around
            # it.
            swept = np.concatenate([throw.tip, throw.ball, throw.weight])[::7] / one
            low, high = swept.min(axis=0), swept.max(axis=0)
            room = 0.08 * float((high - low).max())
            axes.set_xlim(low[0] - room, high[0] + room)
            axes.set_ylim(min(0.0, low[1]) - room, high[1] + room)
            axes.set(xlabel=f"distance [{label}]", ylabel=f"height [{label}]")
            clock = axes.set_title("")
            writer.setup(figure, str(place), dpi=80)
            for index in np.minimum(moments, len(throw.time) - 1):
                move_machine(artists, self.machine, throw, int(index), self.system)
                clock.set_text(f"{throw.time[index]:.2f} s after loosing")
                writer.grab_frame()
            writer.finish()

    def _repr_html_(self) -> str:
        with tempfile.TemporaryDirectory() as folder:
            data = base64.b64encode(self.save(Path(folder) / "throw.gif").read_bytes()).decode()
        return f'<img alt="{self.throw.sentence}" src="data:image/gif;base64,{data}">'

    def __repr__(self) -> str:
        return f"<Animation: {self.slower:g} times slower than life; save it as .gif or .mp4>"

"""The part of `field day` for files: a load cell's trace or a video's track, put to a shot."""

from __future__ import annotations

import html

import ipywidgets
import numpy as np

from slingwright.amounts import units
from slingwright.learning.seen.tracks import TrackError, read_tracks
from slingwright.learning.seen.video import VideoRelease, read_video
from slingwright.logbook import LoadTrace, Logbook, Shot, VideoTrack
from slingwright.pages.field.columns import ASK, offer, plain, text_of, trace_of
from slingwright.pages.log.part import LogPart
from slingwright.pages.log.records import remember_video
from slingwright.pages.parts.fields import Fields
from slingwright.pages.parts.parts import row
from slingwright.winch.load_cell.trace import FORCE_UNITS, TIME_UNITS, TraceError

MOST_SAMPLES = 5_000  # of a trace that goes into the log; a longer one is thinned
LATEST_SHOTS = 30
FORM = Fields("min(100%, 24em)", "8.5em")
TABLES = ".csv,.txt,.tsv"
CUT = "Cut it to the shot."


def shot_choices(log: Logbook) -> list[tuple[str, int]]:
    """Name the last shots of a log, the newest first."""
    found = []
    for entry in log.current(Shot.kind)[-LATEST_SHOTS:]:
        if isinstance(entry.record, Shot):
            far = "" if entry.record.range is None else f", {entry.record.range:g} m"
            found.append((f"entry {entry.number}: {entry.record.load:g} kg{far}", entry.number))
    return found[::-1]


class ShotFiles(LogPart):
    """Files put to a shot: a load cell's trace, or points tracked in a video."""

    def _make(self) -> ipywidgets.Box:
        self._count = -1
        self._trace = self._table = ""
        self.said = ipywidgets.HTML()
        choice, text = FORM.choice, FORM.text
        trace = "CSV with a time and a force in each row"
        video = "CSV with columns time, x, y and point"
        self.controls = {
            "shot": choice("Shot", [("no shot yet", 0)], 0),
            "trace": self.upload("Open a load trace", trace, TABLES, self.open_trace),
            "channel": choice("Cell at", ["axle", "hook"], "axle"),
            "time": choice("Time in", [("no file", -1)], -1),
            "time_unit": choice("Unit of time", [ASK, *TIME_UNITS], ASK),
            "force": choice("Force in", [("no file", -1)], -1),
            "force_unit": choice("Unit of force", [ASK, *FORCE_UNITS], ASK),
            "write_trace": self.button("Write load trace", "Put it to the shot", self.write_trace),
            "video": self.upload("Open a video's track", video, TABLES, self.open_video),
            "ball": choice("Projectile is", [("no file", "")], ""),
            "tip": choice("Arm's tip is", [("not tracked", "")], ""),
            "seen1": text("1st point seen", "x, y in the picture"),
            "known1": text("It is at [m]", "x, y; 0, 0 is under the axle"),
            "seen2": text("2nd point seen", "x, y in the picture"),
            "known2": text("It is at [m]", "such as 0, 4.2 for the axle"),
            "seen3": text("3rd point seen", "may stay empty: the camera looks square"),
            "known3": text("It is at [m]", "x, y"),
            "seen4": text("4th point seen", "with the 3rd: the camera stood anywhere"),
            "known4": text("It is at [m]", "x, y"),
            "click_sd": text("Clicks off by", "in picture units, such as 2"),
            "y_down": ipywidgets.Checkbox(
                value=True, description="the picture's y runs downward", indent=False
            ),
            "write_video": self.button("Write video", "Put it to the shot", self.write_video),
        }
        of = self.controls
        first = ("time", "time_unit", "force", "force_unit", "channel", "write_trace")
        second = ("ball", "tip", *(f"{what}{n}" for n in range(1, 5) for what in ("seen", "known")))
        third = ("click_sd", "y_down", "write_video")
        self._of_trace = ipywidgets.VBox([of[name] for name in first])
        self._of_video = ipywidgets.VBox([of[name] for name in (*second, *third)])
        self._of_trace.layout.display = self._of_video.layout.display = "none"
        opened = (self._of_trace, self._of_video, self.status, self.said)
        uploads = row(of["trace"], of["video"])
        return self.laid(of["shot"], uploads, *opened, classes="sw-part sw-shot")

    def refresh(self) -> None:
        """Offer the shots that the log has."""
        super().refresh()
        count = len(self.log)
        if count == self._count or "shot" not in self.controls:
            return
        self._count = count
        shots = shot_choices(self.log) or [("no shot yet", 0)]
        before = self.controls["shot"].value
        self.controls["shot"].options = shots
        numbers = [number for _, number in shots]
        self.controls["shot"].value = before if before in numbers else numbers[0]

    def open_trace(self, name: str, content: bytes) -> None:
        """Take a load cell's file and offer its columns.

        Raises:
            TraceError: too large, no text, or no table.
        """
        text = text_of(name, content, CUT)
        file, _ = offer(self.controls, name, text)
        self._trace = text
        self._of_trace.layout.display = ""
        self.say(f"{plain(name)}{file.sentence.removeprefix(file.name)} Say what is not so")

    def write_trace(self) -> None:
        """Write the open trace into the log, put to the chosen shot.

        Raises:
            TraceError: no file, a unit that was not said, or what is no trace.
            LogbookError: it could not be written.
        """
        if not self._trace:
            raise TraceError("no file is open. Press Open a load trace first.")
        trace = trace_of(self.controls, self._trace)
        places, note = _thinned(trace.force), "; ".join(trace.notes)
        series = [(f"{self.controls['channel'].value}, load cell", "N", trace.force)]
        if trace.place is not None:
            unit = "rad" if trace.place_as.startswith("arm") else "turns"
            series.append((f"{trace.place_as}, beside the load cell", unit, trace.place))
        time, shot = tuple(trace.time[places].tolist()), self.controls["shot"].value or None
        records = [
            LoadTrace(
                channel=name, unit=unit, time=time, value=tuple(x[places].tolist()), shot=shot
            )
            for name, unit, x in series
        ]
        entry, *_ = [self.log.append(record, note=note) for record in records]
        self._trace = ""
        self._of_trace.layout.display = "none"
        told = "; ".join((f"{trace.peak} at most", *trace.notes))
        self.say(f"load trace written as entry {entry.number}, {told}", warn=bool(trace.notes))

    def open_video(self, name: str, content: bytes) -> None:
        """Take a table of tracked points and offer their names.

        Raises:
            TrackError: it is no such table.
        """
        text = text_of(name, content, CUT)
        points = list(read_tracks(text))
        options = [(plain(one), one) for one in points]
        for what, more in (("ball", []), ("tip", [("not tracked", "")])):
            near = [one for one in points if what in one.lower()]
            control = self.controls[what]
            control.options = [*more, *options]
            control.value = near[0] if near else control.options[0][1]
        self._table = text
        self._of_video.layout.display = ""
        self.say(f"{plain(name)}: {len(points)} points; say where two known ones are")

    def video(self) -> VideoTrack:
        """Give the record that the controls describe.

        Raises:
            TrackError: no file, or a field that cannot be read.
        """
        if not self._table:
            raise TrackError("no file is open. Press Open a video's track first.")
        points, time, x, y = [], [], [], []
        for name, track in read_tracks(self._table).items():
            points += [name] * track.time.size
            time += track.time.tolist()
            x += track.x.tolist()
            y += track.y.tolist()
        sd = _numbers(self.controls["click_sd"], 1)[0]
        return VideoTrack(
            point=tuple(points), time=tuple(time), x=tuple(x), y=tuple(y),
            ball=self.controls["ball"].value, tip=self.controls["tip"].value,
            seen=self._points("seen"), known=self._points("known"), click_sd=sd,
            y_down=self.controls["y_down"].value, shot=self.controls["shot"].value or None,
        )  # fmt: skip

    def _points(self, what: str) -> tuple[float, ...]:
        third = [self.controls[f"{k}{n}"] for k in ("seen", "known") for n in (3, 4)]
        more = any(field.value.strip() for field in third)
        fields = [self.controls[f"{what}{n}"] for n in range(1, 5 if more else 3)]
        return tuple(value for one in fields for value in _numbers(one))

    def write_video(self) -> None:
        """Read the release off the video, show it, and write the track into the log.

        Raises:
            TrackError: it shows no release that fits; nothing is written.
            LogbookError: it could not be written.
        """
        record = self.video()
        shot = self.log.entry(record.shot) if record.shot else None
        machine = self.bench.machine
        if shot is not None and isinstance(shot.record, Shot):
            machine = machine.change({"projectile.mass": shot.record.load})
        self.say("reading the release off the video \N{HORIZONTAL ELLIPSIS}")

        def write(found: VideoRelease) -> None:
            entry = self.log.append(record)
            remember_video(entry, machine, found.release)
            self.said.value = f"<p>{html.escape(found.words(self.bench.system))}</p>"
            self._table = ""
            self._of_video.layout.display = "none"
            self.say(f"video written as entry {entry.number}")

        self.work.start(lambda report: read_video(record, machine), write, self.say)


def _numbers(control: ipywidgets.Text, count: int = 2) -> tuple[float, ...]:
    words = control.value.replace(";", ",").split(",") if count > 1 else [control.value]
    try:
        found = tuple(units.number(word) for word in words)
    except units.UnitError as error:
        if count == 1 and "," in control.value:
            raise TrackError(f"{control.description}: {error}") from None
        found = ()
    if len(found) != count:
        how = "two numbers with a comma between, such as 812, 430" if count == 2 else "a number"
        raise TrackError(
            f"{control.description}: {control.value[:40]!r} cannot be read. Write {how}."
        )
    return found


def _thinned(force: np.ndarray) -> np.ndarray:
    """Choose so many samples that the log stays small, the highest one among them."""
    if force.size <= MOST_SAMPLES:
        return np.arange(force.size)
    even = np.linspace(0, force.size - 1, MOST_SAMPLES - 1).round().astype(int)
    return np.unique(np.append(even, int(np.argmax(force))))

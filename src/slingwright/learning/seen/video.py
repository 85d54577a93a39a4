"""From a video's track in the log to the release it shows: speed, elevation, moment, angles."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slingwright.amounts import units
from slingwright.formulas.refusals import above_zero
from slingwright.learning.seen.release import ReleaseSeen, release_seen
from slingwright.learning.seen.tracks import (
    Angles,
    Scale,
    Track,
    arm_angle,
    scale_from_two_points,
    sling_angle,
)
from slingwright.logbook import VideoTrack
from slingwright.machine.machine import Machine

USUAL_DRAG = (0.3, 0.2)
"""Drag coefficient of a projectile where the machine does not say, and how far off it may be:
Morrison 2010 gives 0.42 below the drag crisis and 0.09 behind it, and some fly on both sides."""
DRAG_SHARE = 0.25  # how far off a stated coefficient may be: common practice


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class VideoRelease:
    """What a video shows: the release, and arm and sling at that moment where the tip was tracked.

    Angles with their standard deviation [rad].
    """

    release: ReleaseSeen
    arm: tuple[float, float] | None
    sling: tuple[float, float] | None

    def words(self, system: units.System = "metric") -> str:
        """Say what the video shows, each with its interval."""

        def write(name: str, unit: str) -> str:
            one = getattr(self.release, name)
            half = units.text(float(f"{0.5 * (one.high - one.low):.2g}"), unit, system)
            return f"{units.text(float(f'{one.value:.5g}'), unit, system)} (give or take {half})"

        said = [
            f"let go at {self.release.time.value:.3f} s with {write('speed', 'm/s')}, "
            f"{write('elevation', 'rad')} above the horizontal"
        ]
        for what, pair in (("arm", self.arm), ("sling behind the arm's line", self.sling)):
            if pair is not None:
                value, sd = (units.text(float(f"{v:.3g}"), "rad", system) for v in pair)
                said.append(f"{what} at {value}, sd {sd}")
        return "; ".join(said)


def read_video(video: VideoTrack, machine: Machine) -> VideoRelease:
    """Read the release off a video's track.

    Args:
        video: as the log has it.
        machine: for the place of the axle, the air and the projectile.

    Raises:
        TrackError: it shows no release that fits, or the two known points give no scale.
    """
    tracks = _tracks(video)
    scale = _scale(video)
    ball = scale.place(tracks[video.ball])
    drag, drag_sd = _drag(machine)
    found = release_seen(
        ball,
        scale,
        point_sd=scale.point_sd,
        gravity=machine.number("site.gravity"),
        drag=drag,
        drag_sd=drag_sd,
    )
    arm = sling = None
    if video.tip:
        tip = scale.place(tracks[video.tip])
        axle = (0.0, machine.number("axle.height"))
        moment = found.time.value
        arm = _at(arm_angle(tip, axle, scale.point_sd), moment)
        sling = _at(sling_angle(tip, ball, axle, scale.point_sd), moment)
    return VideoRelease(release=found, arm=arm, sling=sling)


def _tracks(video: VideoTrack) -> dict[str, Track]:
    found = {}
    for name in dict.fromkeys(video.point):
        rows = [place for place, one in enumerate(video.point) if one == name]
        time, x, y = (
            np.array([column[i] for i in rows]) for column in (video.time, video.x, video.y)
        )
        found[name] = Track(point=name, time=time, x=x, y=y)
    return found


def _scale(video: VideoTrack) -> Scale:
    seen, known = video.seen, video.known
    return scale_from_two_points(
        (seen[0], seen[1]),
        (seen[2], seen[3]),
        (known[0], known[1]),
        (known[2], known[3]),
        click_sd=video.click_sd,
        y_down=video.y_down,
    )


def _drag(machine: Machine) -> tuple[float, float]:
    """Half the air's density times drag coefficient times area over mass, and its sd [1/m]."""
    given = machine["projectile.drag"]
    coefficient, sd = USUAL_DRAG
    if isinstance(given, float):
        coefficient, sd = given, DRAG_SHARE * given
    area = 0.25 * math.pi * machine.number("projectile.diameter") ** 2
    mass = above_zero(machine.number("projectile.mass"), "projectile.mass", "kg")
    one = 0.5 * machine.number("site.air_density") * area / mass
    return one * coefficient, max(one * sd, 1e-9)


def _at(angles: Angles, moment: float) -> tuple[float, float] | None:
    """Give an angle at a moment within its track, with its standard deviation."""
    if not angles.time[0] <= moment <= angles.time[-1]:
        return None
    value = float(np.interp(moment, angles.time, angles.angle))
    return value, float(np.interp(moment, angles.time, angles.sd))

"""From a video's track in the log to the release it shows: speed, elevation, moment, angles."""

import math
from dataclasses import dataclass

import numpy as np

from slingwright.amounts import units
from slingwright.formulas.refusals import above_zero
from slingwright.learning.fitting import Interval
from slingwright.learning.seen.camera import (
    Fall,
    Plane,
    last_fall,
    plane_from_four_points,
    refuse_missing_frames,
    refuse_what_does_not_fall,
)
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
from slingwright.motion.throwing import throw

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
    fall: Fall | None
    arm: tuple[float, float] | None
    sling: tuple[float, float] | None
    off: float | None
    """How far the swing lies from that of the machine as it is set, root mean square [m]."""

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
        if self.fall is not None and self.fall.tells:
            sure = 200.0 * self.fall.share_sd
            said.append(f"by its fall alone scale and clock are right within {sure:.0f} %")
        else:
            said.append("the flight is too short to check scale and clock by its fall: not known")
        if self.off is not None:
            away = units.text(float(f"{self.off:.2g}"), "m", system)
            said.append(f"the swing before lies {away} from that of the machine as it is set")
        return "; ".join(said)


def read_video(video: VideoTrack, machine: Machine) -> VideoRelease:
    """Read the release off a video's track.

    Args:
        video: as the log has it.
        machine: for the place of the axle, the air and the projectile.

    Raises:
        TrackError: it shows no release that fits, the known points give no scale, frames are
            missing, or what flies free does not fall as it should.
    """
    tracks = _tracks(video)
    scale = _scale(video)
    ball, point_sd = scale.near(tracks[video.ball])
    drag, drag_sd = _drag(machine)
    refuse_missing_frames(ball, point_sd=point_sd)
    gravity = machine.number("site.gravity")
    fall = last_fall(ball, point_sd=point_sd, gravity=gravity, drag=drag, drag_sd=drag_sd)
    if fall is not None:
        ahead = float(ball.x[-1] - ball.x[-min(ball.time.size, 12)])
        refuse_what_does_not_fall(fall, ahead, scale.share_sd, four=isinstance(scale, Plane))
    found = release_seen(
        ball,
        scale,
        point_sd=point_sd,
        gravity=gravity,
        drag=drag,
        drag_sd=drag_sd,
    )
    arm = sling = None
    if video.tip:
        tip, tip_sd = scale.near(tracks[video.tip])
        axle = (0.0, machine.number("axle.height"))
        moment = found.time.value
        arm = _at(arm_angle(tip, axle, tip_sd), moment)
        sling = _at(sling_angle(tip, ball, axle, max(tip_sd, point_sd)), moment)
    off = _off(ball, found.time, machine)
    return VideoRelease(release=found, fall=fall, arm=arm, sling=sling, off=off)


def _tracks(video: VideoTrack) -> dict[str, Track]:
    found = {}
    for name in dict.fromkeys(video.point):
        rows = [place for place, one in enumerate(video.point) if one == name]
        time, x, y = (
            np.array([column[i] for i in rows]) for column in (video.time, video.x, video.y)
        )
        found[name] = Track(point=name, time=time, x=x, y=y)
    return found


def _off(ball: Track, moment: Interval, machine: Machine) -> float | None:
    """How far a swing lies from the machine's own, the releases laid upon one another [m].

    The least within the interval of the moment of the release.
    """
    thrown = throw(machine)
    if thrown.release is None:
        return None
    least = None
    for let_go in np.linspace(moment.low, moment.high, 11):
        since = ball.time - let_go + thrown.release.time
        swung = (since >= 0.0) & (since <= thrown.release.time)
        way = [np.interp(since[swung], thrown.time, thrown.ball[:, axis]) for axis in (0, 1)]
        off = np.hypot(ball.x[swung] - way[0], ball.y[swung] - way[1])
        if off.size:
            far = float(np.sqrt(np.mean(off**2)))
            least = far if least is None else min(least, far)
    return least


def _scale(video: VideoTrack) -> Scale | Plane:
    seen, known = video.seen, video.known
    if len(seen) == 8:
        four, there = np.reshape(seen, (4, 2)), np.reshape(known, (4, 2))
        return plane_from_four_points(four, there, click_sd=video.click_sd)
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

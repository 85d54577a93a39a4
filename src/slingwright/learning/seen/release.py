"""The moment a projectile was let go, from its track in a high-speed video.

While the sling pulls, the projectile is bent off its way; from the release on it flies free. The
moment where the one becomes the other is fitted together with place and velocity, each with its
uncertainty, and a track that shows no release, or none that fits, is refused.

Source: G. A. F. Seber and C. J. Wild, Nonlinear Regression, Wiley 1989, section 9.3, "multiphase
models" (from memory).
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from slingwright.learning.fitting import Fit, FitError, Interval, Parameter, fit
from slingwright.learning.seen.camera import Plane
from slingwright.learning.seen.tracks import Scale, Track, TrackError, flown, free_flight

TURNS = ("turn", "turn 2", "turn 3")  # heading's change before the release: rad/s, rad/s^2, ...
GAINS = ("gain", "gain 2")  # speed's change before the release: m/s^2, m/s^3
BEFORE, AFTER = 0.1, 0.5  # s of swing and of flight to use, at most
LEAST = 6  # frames wanted on each side of a release
NAMES = ("time", "x", "y", "speed", "elevation", *TURNS, *GAINS)
STARTS = (0.0, -0.15, 0.15, -0.3)  # where to begin the search, as shares of the swing used
NODES, WEIGHTS = (0.5 * a for a in np.polynomial.legendre.leggauss(8))
NODES = NODES + 0.5  # Gauss and Legendre's points of the way from the release back to a frame
UNLIKELY = 1e-4  # a misfit less likely than this is no accident


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleaseSeen:
    """How the projectile left, as the video shows it, each with its interval."""

    time: Interval  # [s]
    speed: Interval  # [m/s]
    elevation: Interval  # [rad]
    x: Interval  # [m]
    y: Interval  # [m]
    frames_before: int
    frames_after: int
    fit: Fit


def release_seen(
    ball: Track,
    scale: Scale | Plane | None = None,
    *,
    point_sd: float,
    gravity: float = 9.80665,
    drag: float = 0.0,
    drag_sd: float = 1e-9,
) -> ReleaseSeen:
    """Return when, where, how fast and how steeply the projectile was let go.

    After the release it flies free. Before it, heading and speed are power series in time that
    end in the heading and speed of the flight: the pull ends at once, the velocity goes on. Where
    the series cannot follow so much of the swing, less of it is used.

    Arguments:
        ball: track of the projectile, from before to after the release [m].
        scale: that it was placed with; its own uncertainty then goes into speed and elevation.
        point_sd: how far off a tracked point may be, each way [m].
        gravity: of the place [m/s^2].
        drag: half the air's density times drag coefficient times area over mass [1/m].
        drag_sd: how far off that may be; it is fitted too [1/m].

    Raises TrackError where the track has too few frames on either side, or does not end in a free
    flight.
    """
    if not point_sd > 0.0:
        raise TrackError(f"point_sd {point_sd:g} must be above 0. Say how far off a click may be.")
    air = Parameter(name="drag", mean=drag, sd=drag_sd, low=0.0)
    rough = _flight_begins(ball, point_sd, gravity, air)
    span = BEFORE
    while True:
        window = _Window(ball, rough, span, point_sd, gravity, air)
        found = window.fit()
        told = _chance(found)
        narrower = span / math.sqrt(2.0)
        swung = ball.time < min(found.values["time"], rough)
        frames = int(np.sum(swung & (ball.time >= rough - narrower)))
        if told > UNLIKELY or frames <= LEAST:
            break
        span = narrower
    if told <= UNLIKELY:
        off = math.sqrt(found.squares / found.degrees)
        raise TrackError(
            f"{ball.point}: no way of swinging and then flying free passes within point_sd "
            f"{point_sd:g} m of the frames (off by {off:.1f} times that). Raise point_sd to what "
            "clicks are worth, film faster, or look for a wrong row."
        )
    if window.may_be_held():
        raise TrackError(
            f"{ball.point}: these frames may as well be swing alone, with no release in them. "
            "Track more frames of the flight."
        )
    return _read_off(found, scale, window)


class _Window:
    """The frames around a release, and the way through them."""

    def __init__(
        self,
        ball: Track,
        rough: float,
        before: float,
        point_sd: float,
        gravity: float,
        air: Parameter,
    ) -> None:
        used = (ball.time >= rough - before) & (ball.time <= rough + AFTER)
        self.time, self.x, self.y = ball.time[used], ball.x[used], ball.y[used]
        self.rough, self.before, self.point_sd = rough, before, point_sd
        self.gravity, self.air = gravity, air
        self.early = int(np.sum(self.time < rough))
        self.late = int(np.sum(self.time >= rough))
        if min(self.early, self.late) < LEAST:
            raise TrackError(
                f"{ball.point}: {self.early} frames of swing and {self.late} of flight around "
                f"{rough:.3f} s; {LEAST} or more are needed on each side. Film faster, or track "
                "more frames."
            )

    def fit(self) -> Fit:
        """Least squares over moment, place, velocity and the turn and gain before, best of some."""
        measured = np.concatenate([self.x, self.y])
        best: Fit | None = None
        for shift in STARTS:
            moment = self.rough + shift * self.before
            if not self.time[LEAST - 1] <= moment <= self.time[-LEAST]:
                continue
            starts = self._start(moment).items()
            parameters = [*(Parameter(name=n, start=v) for n, v in starts), self.air]
            low, high = float(self.time[2]), float(self.time[-3])
            parameters[0] = Parameter(name="time", start=moment, low=low, high=high)
            try:
                found = fit(self._way, parameters, measured, self.point_sd)
            except FitError:
                continue
            if best is None or found.squares < best.squares:
                best = found
        if best is None:
            raise TrackError(
                "the release cannot be found in this track. Film faster, or track more frames "
                "before it."
            )
        return best

    def may_be_held(self) -> bool:
        """Whether a swing without a release passes through all the frames just as well."""
        last = float(self.time[-1])
        values = self._start(0.5 * (float(self.time[0]) + last))
        values["time"] = last
        parameters = [Parameter(name=n, start=v) for n, v in values.items() if n != "time"]
        measured = np.concatenate([self.x, self.y])
        try:
            held = fit(
                lambda b: self._way({**b, "time": last, "drag": 0.0}),
                parameters,
                measured,
                self.point_sd,
            )
        except FitError:
            return False
        return _chance(held) > UNLIKELY

    def _start(self, moment: float) -> dict[str, float]:
        """Values to start from: cubic curves before the moment, straight and falling after it."""
        since = self.time - moment
        back = np.minimum(since, 0.0)
        design = np.column_stack([np.ones_like(since), since, back**2, back**3])
        both = np.column_stack([self.x, self.y + 0.5 * self.gravity * since**2])
        found, *_ = np.linalg.lstsq(design, both, rcond=None)
        place, velocity, pull = found[0], found[1], 2.0 * found[2]
        speed = math.hypot(velocity[0], velocity[1])
        across = (velocity[0] * pull[1] - velocity[1] * pull[0]) / speed
        values = dict.fromkeys(NAMES, 0.0)
        values |= {
            "time": moment,
            "x": float(place[0]),
            "y": float(place[1]),
            "speed": speed,
            "elevation": math.atan2(velocity[1], velocity[0]),
            "turn": float(across) / speed,
            "gain": float(velocity @ pull) / speed,
        }
        return values

    def _way(self, values: Mapping[str, float]) -> np.ndarray:
        """Places on both sides of the release: swung before it, flying free after it."""
        since = self.time - values["time"]
        speed, elevation = values["speed"], values["elevation"]
        swung = since < 0.0
        x, y = np.empty_like(since), np.empty_like(since)
        start = np.array(
            [values["x"], values["y"], speed * math.cos(elevation), speed * math.sin(elevation)]
        )
        x[~swung], y[~swung] = flown(start, since[~swung], self.gravity, values["drag"])
        # along the swing, speed and heading are power series; the places are their integral
        back = since[swung]
        at = back[:, None] * NODES
        heading = elevation + sum(
            values[name] * at**power / math.factorial(power)
            for power, name in enumerate(TURNS, start=1)
        )
        pace = speed + sum(
            values[name] * at**power / math.factorial(power)
            for power, name in enumerate(GAINS, start=1)
        )
        x[swung] = values["x"] + back * ((pace * np.cos(heading)) @ WEIGHTS)
        y[swung] = values["y"] + back * ((pace * np.sin(heading)) @ WEIGHTS)
        return np.concatenate([x, y])


def _read_off(found: Fit, scale: Scale | Plane | None, window: _Window) -> ReleaseSeen:
    share = scale.share_sd if scale is not None else 0.0

    def widened(name: str, off: float) -> Interval:
        plain, sd = found.interval(name), found.sd(name)
        half = (plain.high - plain.value) * math.hypot(sd, off) / sd
        return replace(plain, low=plain.value - half, high=plain.value + half)

    return ReleaseSeen(
        time=found.interval("time"),
        speed=widened("speed", share * found.values["speed"]),
        elevation=widened("elevation", share),
        x=found.interval("x"),
        y=found.interval("y"),
        frames_before=window.early,
        frames_after=window.late,
        fit=found,
    )


def _chance(found: Fit) -> float:
    """Chance of so large a sum of squares where nothing is wrong."""
    from scipy.special import chdtrc

    return float(chdtrc(found.degrees, found.squares))


def _flight_begins(ball: Track, point_sd: float, gravity: float, air: Parameter) -> float:
    """Go back from the end as long as what follows is a free flight; return where that stops."""

    def free(first: int) -> bool:
        used = (ball.time >= ball.time[first]) & (ball.time <= ball.time[first] + AFTER)
        part = Track(point=ball.point, time=ball.time[used], x=ball.x[used], y=ball.y[used])
        found = free_flight(part, point_sd=point_sd, gravity=gravity, drag=air)
        return _chance(found) > UNLIKELY

    # in long strides first, then in short ones from where the long ones stopped
    last: int | None = None
    for stride in (max(ball.time.size // 24, 1), max(ball.time.size // 120, 1)):
        first = ball.time.size - LEAST if last is None else last - stride
        while first >= 0 and free(first):
            last = first
            first -= stride
        if last is None:
            break
    if last is None:
        raise TrackError(
            f"{ball.point}: the last frames are no free flight within point_sd {point_sd:g} m. "
            "Raise it to what clicks are worth, or drop frames after the projectile touched down."
        )
    return float(ball.time[last])

"""Points tracked in a high-speed video: from picture to metres, arm and sling angles, free flight.

A track is a plain table of time and two picture coordinates, in pixels or any scale. Two points
whose place is known on the machine give scale, turn and origin. The camera is taken to look square
at the plane of the throw, without distortion.
"""

import csv
import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from slingwright.learning.fitting import Fit, Parameter, fit

LONGEST_TABLE = 1_000_000  # rows
EXACT = 1e-10  # error of a step of the flight through air


class TrackError(Exception):
    """The track cannot be used; the message names the thing, the limit and the next step."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """One point followed over time; arrays of shape (n,)."""

    point: str
    time: np.ndarray  # [s]
    x: np.ndarray
    y: np.ndarray

    def __post_init__(self) -> None:
        for name in ("time", "x", "y"):
            column = np.array(getattr(self, name), dtype=float)
            if column.ndim != 1 or not np.all(np.isfinite(column)):
                raise TrackError(
                    f"{self.point}: {name} must be a row of finite numbers. Look at it."
                )
            column.setflags(write=False)
            object.__setattr__(self, name, column)
        if not self.time.size == self.x.size == self.y.size > 0:
            raise TrackError(f"{self.point}: give as many x and y as times, and at least one.")
        if np.any(np.diff(self.time) <= 0.0):
            place = int(np.flatnonzero(np.diff(self.time) <= 0.0)[0]) + 2
            raise TrackError(
                f"{self.point}: row {place} ({self.time[place - 1]:g} s) is not after the "
                "row before it. Sort the rows by time and drop doubles."
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """From picture to metres: a turn and a stretch about an origin, mirrored where y runs down.

    (x + i y) = origin + factor (u -/+ i v); `sd` is how far off a click may be, in picture units.
    """

    factor: complex
    origin: complex
    y_down: bool
    sd: float
    share_sd: float  # sd of the length of the scale, as a share of it, and of its turn, in rad

    def place(self, track: Track) -> Track:
        """Return the track in metres from the machine's origin."""
        v = -track.y if self.y_down else track.y
        flat = self.origin + self.factor * (track.x + 1j * v)
        return Track(point=track.point, time=track.time, x=flat.real, y=flat.imag)

    @property
    def point_sd(self) -> float:
        """How far off a tracked point may be, each way [m]."""
        return self.sd * abs(self.factor)

    def near(self, track: Track) -> tuple[Track, float]:
        """Return the track in metres, and how far off a point in it may be [m]."""
        return self.place(track), self.point_sd


def read_tracks(text: str) -> dict[str, Track]:
    """Return the tracks of a table, by the name of the point.

    Arguments:
        text: a CSV with a head line that names `time`, `x`, `y` and, where more than one point was
            followed, `point`; lines that begin with # are passed over.

    Raises TrackError for a column that is missing or a cell that is no number.

    >>> tracks = read_tracks("time,x,y,point\\n0.00,10,20,tip\\n0.01,11,22,tip\\n0.00,5,6,ball\\n")
    >>> list(tracks), tracks["tip"].x.tolist()
    (['tip', 'ball'], [10.0, 11.0])
    """
    lines = [line for line in text.lstrip("\ufeff").splitlines() if line.strip()]
    kept = [line for line in lines if not line.lstrip().startswith("#")]
    if not kept or len(kept) > LONGEST_TABLE:
        raise TrackError(f"the table has {len(kept)} rows; 2 to {LONGEST_TABLE} can be read.")
    rows = list(csv.reader(kept))
    head = [name.strip().lower() for name in rows[0]]
    missing = [name for name in ("time", "x", "y") if name not in head]
    if missing:
        raise TrackError(
            f"the first row is {rows[0]}, without {', '.join(missing)}. Name the columns time, x, "
            "y, and point where there is more than one."
        )
    where = {name: head.index(name) for name in ("time", "x", "y")}
    named = head.index("point") if "point" in head else None
    found: dict[str, list[tuple[float, float, float]]] = {}
    for number, row in enumerate(rows[1:], start=2):
        try:
            values = tuple(float(row[where[name]]) for name in ("time", "x", "y"))
            point = row[named].strip() if named is not None else "point"
        except (ValueError, IndexError):
            raise TrackError(
                f"row {number} of the table is {row}: time, x and y must be numbers with a point, "
                "not a comma, before the decimals. Correct or drop that row."
            ) from None
        found.setdefault(point, []).append(values)  # type: ignore[arg-type]
    if not found:
        raise TrackError("the table has a head and no rows. Track some points first.")
    return {
        point: Track(
            point=point,
            time=np.array([row[0] for row in values]),
            x=np.array([row[1] for row in values]),
            y=np.array([row[2] for row in values]),
        )
        for point, values in found.items()
    }


def scale_from_two_points(
    first_seen: tuple[float, float],
    second_seen: tuple[float, float],
    first_known: tuple[float, float],
    second_known: tuple[float, float],
    *,
    click_sd: float,
    y_down: bool = True,
) -> Scale:
    """Return scale, turn and origin from two points whose place on the machine is known.

    Arguments:
        first_seen, second_seen: where they stand in the picture.
        first_known, second_known: where they are [m], x forward and y up from the ground under
            the axle.
        click_sd: how far off a click may be, in picture units.
        y_down: whether the picture's y runs downward, as pixels do.

    Source: a plane similarity through two points, in complex numbers.

    >>> scale = scale_from_two_points((100, 500), (300, 500), (0, 0), (2, 0), click_sd=1.0)
    >>> scale.place(Track(point="tip", time=[0.0], x=[200.0], y=[400.0])).y.tolist()
    [1.0]
    """
    sign = -1.0 if y_down else 1.0
    one, two = (complex(p[0], sign * p[1]) for p in (first_seen, second_seen))
    here, there = complex(*first_known), complex(*second_known)
    if not click_sd > 0.0:
        raise TrackError(f"click_sd {click_sd:g} is not above 0. Say how far off a click may be.")
    if abs(two - one) < 10.0 * click_sd or here == there:
        raise TrackError(
            f"the two points stand {abs(two - one):g} apart in the picture and clicks are off by "
            f"{click_sd:g}: the scale would be a guess. Choose points further apart."
        )
    factor = (there - here) / (two - one)
    return Scale(
        factor=factor,
        origin=here - factor * one,
        y_down=y_down,
        sd=click_sd,
        share_sd=math.sqrt(2.0) * click_sd / abs(two - one),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Angles:
    """Angles over time with the standard deviation of each; arrays of shape (n,)."""

    time: np.ndarray  # [s]
    angle: np.ndarray  # [rad], without jumps
    sd: np.ndarray  # [rad]


def arm_angle(tip: Track, axle: tuple[float, float], point_sd: float) -> Angles:
    """Return the arm's elevation: the long arm above the horizontal, tip to the rear.

    e = atan2(y_tip - y_axle, -(x_tip - x_axle))

    Arguments:
        tip: track of the long arm's tip [m].
        axle: place of the axle's centre [m].
        point_sd: how far off a tracked point may be, each way [m].

    >>> tip = Track(point="tip", time=[0.0], x=[-3.0], y=[1.0])
    >>> round(math.degrees(arm_angle(tip, (0.0, 4.0), 0.01).angle[0]), 6)
    -45.0
    """
    across, up = tip.x - axle[0], tip.y - axle[1]
    length = np.hypot(across, up)
    if not np.all(length > 0.0):
        raise TrackError("the tip stands on the axle in some frame. Look at the axle's place.")
    return Angles(time=tip.time, angle=np.unwrap(np.arctan2(up, -across)), sd=point_sd / length)


def sling_angle(tip: Track, ball: Track, axle: tuple[float, float], point_sd: float) -> Angles:
    """Return the sling's lag behind the arm's own line, at the times both points were tracked.

    g = angle from (axle to tip) to (tip to projectile), positive where the projectile trails.

    Arguments:
        tip: track of the long arm's tip [m].
        ball: track of the projectile [m].
        axle: place of the axle's centre [m].
        point_sd: how far off a tracked point may be, each way [m].

    >>> tip = Track(point="tip", time=[0.0], x=[-1.0], y=[0.0])
    >>> ball = Track(point="ball", time=[0.0], x=[-1.0], y=[-1.0])
    >>> round(math.degrees(sling_angle(tip, ball, (0.0, 0.0), 0.01).angle[0]), 6)
    90.0
    """
    times, here, there = np.intersect1d(tip.time, ball.time, return_indices=True)
    if times.size == 0:
        raise TrackError(
            "tip and projectile were never tracked in the same frame. Track both in each."
        )
    arm = (tip.x[here] - axle[0]) + 1j * (tip.y[here] - axle[1])
    sling = (ball.x[there] - tip.x[here]) + 1j * (ball.y[there] - tip.y[here])
    if not np.all(np.abs(arm) * np.abs(sling) > 0.0):
        raise TrackError(
            "two of axle, tip and projectile stand on each other. Look at their places."
        )
    angle = np.unwrap(np.angle(sling / arm))
    # a click off the projectile turns the sling; one off the tip turns arm and sling, each its way
    both = 1.0 / sling + 1.0 / arm
    sd = point_sd * np.sqrt(1.0 / np.abs(sling) ** 2 + np.abs(both) ** 2)
    return Angles(time=times, angle=angle, sd=sd)


def free_flight(track: Track, *, point_sd: float, gravity: float, drag: Parameter) -> Fit:
    """Fit place, `x` and `y`, and velocity, `vx` and `vy`, at the first frame of a free flight.

    a = -g e_y - k |v| v

    Arguments:
        track: of a projectile that nothing holds [m].
        point_sd: how far off a tracked point may be, each way [m].
        gravity: of the place [m/s^2].
        drag: k, half the air's density times drag coefficient times area over mass [1/m].

    Raises TrackError for fewer than four frames.
    """
    if track.time.size < 4:
        raise TrackError(f"{track.point}: {track.time.size} frames of flight; give 4 or more.")
    since = track.time - track.time[0]
    starts = {"x": track.x[0], "y": track.y[0]}
    starts |= {f"v{name}": np.polyfit(since, getattr(track, name), 1)[0] for name in "xy"}

    def model(values: Mapping[str, float]) -> np.ndarray:
        start = np.array([values[name] for name in starts])
        return np.concatenate(flown(start, since, gravity, values["drag"]))

    return fit(
        model,
        [*(Parameter(name=n, start=float(at)) for n, at in starts.items()), drag],
        np.concatenate([track.x, track.y]),
        point_sd,
    )


def flown(
    start: np.ndarray, since: np.ndarray, g: float, drag: float
) -> tuple[np.ndarray, np.ndarray]:
    """Places along a flight.

    Arguments:
        start: x, y [m] and their rates [m/s] at the time 0.
        since: times in order, not below 0 [s].
        g: gravity [m/s^2].
        drag: k, see free_flight [1/m].
    """
    from scipy.integrate import odeint

    def slope(state: np.ndarray, _: float) -> tuple[float, ...]:
        pull = drag * math.hypot(state[2], state[3])
        return state[2], state[3], -pull * state[2], -g - pull * state[3]

    states = odeint(slope, start, np.concatenate([[0.0], since]), rtol=EXACT, atol=EXACT)
    return states[1:, 0], states[1:, 1]

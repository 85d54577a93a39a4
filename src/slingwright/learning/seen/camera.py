"""What a film tells of itself: its place from four points, its scale, turn and clock from the fall.

Whatever flies free falls at the gravity of the place, straight down. A film whose flight does not
has a wrong scale, a turned or mirrored picture, or a wrong clock, and is refused with what it
shows.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slingwright.learning.seen.tracks import Track, TrackError, flown

FAR = 3.0  # standard deviations past which film and fall contradict each other
WIDER = 1.5  # times the scale in the middle of four points, up to which a frame is used
SURE = 0.05  # share up to which the fall can tell a scale
AROUND = 6  # frames on each side that tell whether one is missing between
MOST_MISSING = 3
UNLIKELY = 1e-4  # a misfit less likely than this is no accident


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plane:
    """From picture to metres in the plane of the throw, seen from any place, without distortion.

    (x, y, 1) is in proportion to matrix (u, v, 1); `sd` is how far off a click may be, in picture
    units.
    """

    matrix: np.ndarray  # (3, 3)
    sd: float
    share_sd: float  # sd of the length of the scale, as a share of it, and of its turn, in rad
    middle: tuple[float, float]  # of the four points, in the picture

    def near(self, track: Track) -> tuple[Track, float]:
        """Return the frames near enough to be sure of, and how far off a point in them may be [m].

        The picture's scale changes over it; past `WIDER` times that of the middle it is left out.
        """
        metres = self._metres(np.column_stack([track.x, track.y]))
        near = metres <= WIDER * self._metres(np.array([self.middle]))[0]
        if np.count_nonzero(near) < 4:
            raise TrackError(
                f"{track.point}: it flies far from the four known points, where the picture's "
                "scale is another. Choose points that stand around its way."
            )
        kept = Track(point=track.point, time=track.time[near], x=track.x[near], y=track.y[near])
        return self.place(kept), self.sd * float(metres[near].max())

    def _metres(self, points: np.ndarray) -> np.ndarray:
        """Metres that one picture unit is at some places of the picture."""
        depth = np.column_stack([points, np.ones(len(points))]) @ self.matrix[2]
        with np.errstate(divide="ignore"):  # no size where the plane is seen edge on
            return np.sqrt(abs(np.linalg.det(self.matrix)) / np.abs(depth) ** 3)

    def place(self, track: Track) -> Track:
        """Return the track in metres from the machine's origin."""
        x, y = _through(self.matrix, np.column_stack([track.x, track.y])).T
        return Track(point=track.point, time=track.time, x=x, y=y)


def plane_from_four_points(seen: np.ndarray, known: np.ndarray, *, click_sd: float) -> Plane:
    """Return the way from picture to plane from four points whose place is known.

    Args:
        seen: where they stand in the picture, shape (4, 2).
        known: where they are in the plane of the throw [m], shape (4, 2).
        click_sd: how far off a click may be, in picture units.

    Raises:
        TrackError: three of them lie in one line, nearly.

    Source: R. Hartley and A. Zisserman, Multiple View Geometry, Cambridge 2004, section 4.1, the
    direct linear transformation (from memory).

    >>> square = np.array([(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)])
    >>> plane = plane_from_four_points(100.0 * square, square, click_sd=1.0)
    >>> plane.place(Track(point="tip", time=[0.0], x=[200.0], y=[100.0])).y.round(9).tolist()
    [1.0]
    """
    seen, known = np.asarray(seen, dtype=float), np.asarray(known, dtype=float)
    size = max(float(np.ptp(seen, axis=0).max()), 1e-12)
    for points, least in ((seen, 20.0 * click_sd / size), (known, 0.02)):
        if _thinnest(points) < least:
            raise TrackError(
                "three of the four known points lie nearly in one line: they give no plane. Choose "
                "the corners of something wide and high."
            )
    rows = []
    for (u, v), (x, y) in zip(seen / size, known, strict=True):
        rows += [[u, v, 1.0, 0.0, 0.0, 0.0, -x * u, -x * v, -x]]
        rows += [[0.0, 0.0, 0.0, u, v, 1.0, -y * u, -y * v, -y]]
    matrix = np.linalg.svd(np.array(rows))[2][-1].reshape(3, 3) @ np.diag([1 / size, 1 / size, 1.0])
    middle = seen.mean(axis=0)
    return Plane(
        matrix=matrix,
        sd=click_sd,
        share_sd=math.sqrt(2.0) * click_sd / size,
        middle=(float(middle[0]), float(middle[1])),
    )


def _through(matrix: np.ndarray, points: np.ndarray) -> np.ndarray:
    far = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    return np.asarray(far[:, :2] / far[:, 2:])


def _thinnest(points: np.ndarray) -> float:
    """Height of the flattest triangle of three of four points, as a share of their size."""
    least = math.inf
    for left in range(4):
        a, b, c = np.delete(points, left, axis=0)
        sides = [float(np.hypot(*(p - q))) for p, q in ((a, b), (b, c), (c, a))]
        area = abs(float((b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0]))
        least = min(least, area / max(max(sides), 1e-12))
    return least / max(float(np.ptp(points, axis=0).max()), 1e-12)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fall:
    """How a free flight falls in a film, against the gravity of the place; with their sd."""

    share: float
    share_sd: float
    turn: float  # of the fall from straight down, toward the front [rad]
    turn_sd: float
    likely: float  # chance of so large a misfit where it is a free flight

    @property
    def tells(self) -> bool:
        """Whether the flight is long enough to check the scale."""
        return self.share_sd <= SURE


def fall_of(flight: Track, *, point_sd: float, gravity: float, drag: float, drag_sd: float) -> Fall:
    """Return how a free flight falls: its acceleration without that of the air.

    Args:
        flight: of a projectile that nothing holds, five frames or more [m].
        point_sd: how far off a tracked point may be, each way [m].
        gravity: of the place [m/s^2].
        drag: half the air's density times drag coefficient times area over mass [1/m].
        drag_sd: how far off that may be [1/m].

    Source: least squares over x(t) = x0 + v t + a t^2 / 2, each axis by itself.
    """
    since = flight.time - flight.time[0]
    design = np.column_stack([np.ones_like(since), since, 0.5 * since**2])
    places = np.column_stack([flight.x, flight.y])
    found = np.linalg.lstsq(design, places, rcond=None)[0]
    start = np.concatenate([found[0], found[1]])
    still = np.column_stack(flown(start, since, gravity, 0.0))
    air = np.column_stack(flown(start, since, gravity, drag)) - still
    more = np.column_stack(flown(start, since, gravity, drag + drag_sd)) - still - air
    # both axes together, with the doubt of the drag as a seventh unknown of mean 0 and sd 1
    none = np.zeros_like(design)
    rows = np.block([[design, none, more[:, :1]], [none, design, more[:, 1:]]]) / point_sd
    rows = np.vstack([rows, np.eye(1, 7, 6)])
    wanted = np.append((places - air).T.ravel() / point_sd, 0.0)
    spread = np.linalg.inv(rows.T @ rows)
    values = spread @ (rows.T @ wanted)
    fall, doubt = values[[2, 5]], spread[np.ix_([2, 5], [2, 5])]
    size = max(float(np.hypot(*fall)), 1e-12)
    along = fall / size
    across = np.array([-along[1], along[0]])
    return Fall(
        share=size / gravity,
        share_sd=math.sqrt(float(along @ doubt @ along)) / gravity,
        turn=math.atan2(float(fall[0]), -float(fall[1])),
        turn_sd=math.sqrt(float(across @ doubt @ across)) / size,
        likely=_chance(wanted - rows @ values, 7),
    )


def last_fall(
    track: Track, *, point_sd: float, gravity: float, drag: float, drag_sd: float
) -> Fall | None:
    """Return the fall of the longest free flight that a track ends with; None if with none.

    Whatever gravity and turn fit are taken, so that a wrong scale shows. Args as for `fall_of`.
    """
    found = None
    for first in range(track.time.size - 2 * AROUND, -1, -max(track.time.size // 40, 1)):
        part = Track(
            point=track.point, time=track.time[first:], x=track.x[first:], y=track.y[first:]
        )
        fall = fall_of(part, point_sd=point_sd, gravity=gravity, drag=drag, drag_sd=drag_sd)
        if fall.likely < 0.01:
            break
        found = fall
    return found


def _chance(misfit: np.ndarray, fitted: int) -> float:
    """Chance of so large a misfit, in standard deviations, where nothing is wrong."""
    from scipy.special import chdtrc

    return float(chdtrc(misfit.size - fitted, float(np.sum(misfit**2))))


def refuse_what_does_not_fall(fall: Fall, ahead: float, share_sd: float, *, four: bool) -> None:
    """Raise TrackError where a film contradicts the fall that it shows.

    Args:
        fall: of the flight.
        ahead: how far ahead the projectile flies from the first to the last frame [m].
        share_sd: of the film's scale, as a share of it, and of its turn [rad].
        four: whether four points give the picture's place, so that its side is known.
    """
    tilt = math.degrees(fall.turn)
    if abs(tilt) > 120.0:
        raise TrackError(
            "in this film the projectile falls upward: the camera looked from the other side, or "
            "the picture's y runs the other way. Say so, or give four known points."
        )
    if ahead < 0.0 and not four:
        raise TrackError(
            "in this film the projectile flies backward: the camera looked from the other side, "
            "and two known points do not tell. Give four known points."
        )
    off, clock = fall.share - 1.0, abs(fall.share**-0.5 - 1.0)
    if abs(off) > FAR * math.hypot(fall.share_sd, share_sd):
        more = "more" if off > 0.0 else "less"
        raise TrackError(
            f"the projectile falls {100.0 * abs(off):.1f} % {more} than gravity lets it, and the "
            f"film is good to {100.0 * math.hypot(fall.share_sd, share_sd):.1f} %: the known "
            f"points are that much too {'far apart' if off > 0.0 else 'near'}, or the film's "
            f"clock is {100.0 * clock:.1f} % off. Measure the points and look at the frames a "
            "second."
        )
    if abs(fall.turn) > FAR * math.hypot(fall.turn_sd, share_sd):
        raise TrackError(
            f"the fall in this film leans by {tilt:.1f} degrees: the known points are not where "
            "they are said to be, or the camera did not look square at the throw. Measure them "
            "again, or give four known points."
        )


def refuse_missing_frames(track: Track, *, point_sd: float) -> None:
    """Raise TrackError where the times go on evenly and the picture jumps.

    A cubic through some frames on both sides fits, with one to three frames more between, what it
    does not fit as it stands.

    Args:
        track: in metres.
        point_sd: how far off a tracked point may be, each way [m].
    """
    step = float(np.median(np.diff(track.time)))
    places = np.column_stack([track.x, track.y]) / point_sd
    for first in range(track.time.size - 2 * AROUND + 1):
        near = slice(first, first + 2 * AROUND)
        time = (track.time[near] - track.time[first + AROUND]) / step
        if np.any(np.diff(time) > 1.5):
            continue  # the times say themselves that frames are missing
        likely = []
        for missing in range(MOST_MISSING + 1):
            design = np.vander(time + missing * (np.arange(2 * AROUND) >= AROUND), 4)
            found = np.linalg.lstsq(design, places[near], rcond=None)[0]
            likely.append(_chance(places[near] - design @ found, 8))
        best = int(np.argmax(likely))
        if best > 0 and likely[0] < UNLIKELY < 100.0 * UNLIKELY < likely[best]:
            raise TrackError(
                f"{track.point}: between {track.time[first + AROUND - 1]:.4f} and "
                f"{track.time[first + AROUND]:.4f} s it jumps as far as {best} more "
                f"frame{'s' if best > 1 else ''} would take it: the camera dropped what is "
                "missing. Correct the times after it, or cut the track there."
            )

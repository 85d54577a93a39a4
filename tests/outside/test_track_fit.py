"""Points tracked in a video: scale, angles, free flight and the moment of release.

Truth: tracks made from known motion with known scatter, as published free-fall and projectile
videos are (for example L. K. Wee and others, "Using Tracker as a pedagogical tool for
understanding projectile motion", Physics Education 47 (2012) 448, from memory): gravity, velocity
and moment of release that were put in must stand in their intervals as often as these say.
Standard gravity 9.80665 m/s^2: 3rd General Conference on Weights and Measures, 1901.
"""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from slingwright.learning.fitting import Parameter
from slingwright.learning.seen.release import release_seen
from slingwright.learning.seen.tracks import (
    Track,
    TrackError,
    arm_angle,
    free_flight,
    read_tracks,
    scale_from_two_points,
    sling_angle,
)

GRAVITY = 9.80665
ARM, SLING, AXLE = 5.6, 4.2, (0.0, 4.5)
LET_GO = 0.585


def elevation_of_arm(t):
    return 1.17 + 2.5 * (t - LET_GO) - 1.5 * (t - LET_GO) ** 2


def lag_of_sling(t):
    return 0.3 - 6.0 * (t - LET_GO) - 8.0 * (t - LET_GO) ** 2


def swung(t):
    """Tip and projectile of an arm and a sling that turn in a known way, as complex numbers."""
    e, g = elevation_of_arm(t), lag_of_sling(t)
    arm = -np.cos(e) + 1j * np.sin(e)
    tip = complex(*AXLE) + ARM * arm
    return tip, tip + SLING * arm * np.exp(1j * g)


def velocity_at_release():
    """Time derivative of `swung`, written out: rates of the angles times what they turn."""
    arm = -np.cos(1.17) + 1j * np.sin(1.17)
    turn_of_arm, turn_of_lag = -2.5, -6.0  # the elevation grows clockwise
    tip = 1j * turn_of_arm * ARM * arm
    return tip + 1j * (turn_of_arm + turn_of_lag) * SLING * arm * np.exp(0.3j)


def thrown(t):
    """The projectile: swung until it is let go, then falling freely."""
    start, velocity = swung(LET_GO)[1], velocity_at_release()
    since = np.maximum(t - LET_GO, 0.0)
    free = start + velocity * since - 0.5j * GRAVITY * since**2
    return np.where(t < LET_GO, swung(np.minimum(t, LET_GO))[1], free)


def seen(name, places, t, sd, seed):
    chance = np.random.default_rng(seed)
    return Track(
        point=name,
        time=t,
        x=places.real + chance.normal(0.0, sd, t.size),
        y=places.imag + chance.normal(0.0, sd, t.size),
    )


def still(drag: float = 0.0, sd: float = 1e-9) -> Parameter:
    return Parameter(name="drag", mean=drag, sd=sd, low=0.0)


def test_velocity_stands_in_its_interval_nine_times_of_ten() -> None:
    """Truth: the rise put into 200 falls of 0.6 s at 60 frames a second, 3 mm scatter."""
    t = np.arange(0.0, 0.6, 1 / 60)
    fall = 0.1 + 1.2 * t + 1j * (2.0 + 1.5 * t - 0.5 * GRAVITY * t**2)
    hits = []
    for seed in range(200):
        track = seen("ball", fall, t, 0.003, seed)
        told = free_flight(track, point_sd=0.003, gravity=GRAVITY, drag=still()).interval("vy")
        hits.append(told.low <= 1.5 <= told.high)
        assert told.value == pytest.approx(1.5, abs=0.02)
    assert 0.85 <= np.mean(hits) <= 0.95


def test_a_flight_through_air_is_followed() -> None:
    """Truth: scipy's solve_ivp at 1e-11 on the same equations, quadratic drag 0.01 1/m."""
    t = np.arange(0.0, 2.0, 1 / 100)

    def slope(_t, s):
        v = math.hypot(s[2], s[3])
        return [s[2], s[3], -0.01 * v * s[2], -GRAVITY - 0.01 * v * s[3]]

    way = solve_ivp(slope, (0, 2), [1.0, 6.0, 40.0, 30.0], t_eval=t, rtol=1e-11, atol=1e-11).y
    track = Track(point="ball", time=t, x=way[0], y=way[1])
    flight = free_flight(track, point_sd=0.001, gravity=GRAVITY, drag=still(0.008, 0.004))
    wanted = {"x": 1.0, "y": 6.0, "vx": 40.0, "vy": 30.0, "drag": 0.01}
    for name, value in wanted.items():
        assert flight.values[name] == pytest.approx(value, rel=1e-5)
    airless = free_flight(track, point_sd=0.001, gravity=GRAVITY, drag=still())
    assert abs(airless.values["vx"] - 40.0) > 1.0


@pytest.mark.slow
def test_release_stands_in_its_intervals_nine_times_of_ten() -> None:
    """Truth: moment, speed and elevation put in; binomial bounds at about three deviations.

    64 tracks together, fast and sharp ones or slow and coarse: three deviations are 0.11.
    """
    count = 64
    velocity = velocity_at_release()
    truth = {"time": LET_GO, "speed": abs(velocity), "elevation": np.angle(velocity)}
    hits = dict.fromkeys(truth, 0)
    for seed in range(count):
        frames, sd = ((240, 0.010), (480, 0.005))[seed % 2]
        t = np.arange(0.2, 1.0, 1 / frames)
        told = release_seen(seen("ball", thrown(t), t, sd, seed), point_sd=sd)
        for name, value in truth.items():
            interval = getattr(told, name)
            hits[name] += interval.low <= value <= interval.high
        assert told.time.value == pytest.approx(LET_GO, abs=0.012)
        assert told.speed.value == pytest.approx(abs(velocity), abs=0.12)
        assert told.elevation.value == pytest.approx(np.angle(velocity), abs=0.004)
        assert told.time.high - told.time.low < 0.012
    deviation = math.sqrt(0.9 * 0.1 / count)
    for name, hit in hits.items():
        assert abs(hit / count - 0.9) <= 3.0 * deviation, (name, hit / count)


def test_the_way_from_pixels_to_the_release() -> None:
    """Truth: the same throw put into a tilted picture whose y runs down, read back as CSV."""
    turn = 80.0 * np.exp(0.05j)  # pixels a metre, camera tilted by 0.05 rad
    t = np.arange(0.2, 0.9, 1 / 480)

    def picture(z):
        flat = (z + 12.0) * turn
        return flat.real, 900.0 - flat.imag

    chance = np.random.default_rng(3)
    rows = ["# larch frame, camera on the mound", "point,time,x,y"]
    for name, places in (("tip", swung(t)[0]), ("ball", thrown(t))):
        u, v = picture(places)
        scatter = chance.normal(0.0, 0.4, (2, t.size))
        rows += [
            f"{name},{moment:.6f},{a:.3f},{b:.3f}"
            for moment, a, b in zip(t, u + scatter[0], v + scatter[1], strict=True)
        ]
    tracks = read_tracks("\n".join(rows))
    one, two = picture(np.array([0.0 + 4.5j, -6.0 + 0.0j])[0]), picture(np.array(-6.0 + 0.0j))
    scale = scale_from_two_points(one, two, AXLE, (-6.0, 0.0), click_sd=0.4)
    assert abs(scale.factor) == pytest.approx(1 / 80.0, rel=1e-9)
    assert scale.point_sd == pytest.approx(0.005)
    tip, ball = scale.place(tracks["tip"]), scale.place(tracks["ball"])
    held = t < LET_GO
    arm = arm_angle(tip, AXLE, scale.point_sd)
    off = (arm.angle - elevation_of_arm(t)) / arm.sd
    assert np.mean(off**2) == pytest.approx(1.0, abs=0.25)
    lag = sling_angle(tip, ball, AXLE, scale.point_sd)
    off = ((lag.angle - lag_of_sling(t)) / lag.sd)[held]
    assert np.mean(off**2) == pytest.approx(1.0, abs=0.35)
    told = release_seen(ball, scale, point_sd=scale.point_sd)
    plain = release_seen(ball, point_sd=scale.point_sd)
    assert told.speed.low <= abs(velocity_at_release()) <= told.speed.high
    assert told.elevation.low <= np.angle(velocity_at_release()) <= told.elevation.high
    assert told.time.value == pytest.approx(LET_GO, abs=0.004)
    assert told.speed.high - told.speed.low > plain.speed.high - plain.speed.low
    # the scale's length is off by a click at either end, and so is its turn
    share = math.sqrt(2.0) * 0.4 / abs(complex(one[0] - two[0], one[1] - two[1]))
    assert scale.share_sd == pytest.approx(share, rel=1e-9)
    for name, off in (("speed", share * plain.speed.value), ("elevation", share)):
        bare, wide = getattr(plain, name), getattr(told, name)
        own = plain.fit.sd(name)
        half = (bare.high - bare.value) * math.sqrt(1.0 + (off / own) ** 2)
        assert (wide.low, wide.high) == pytest.approx((wide.value - half, wide.value + half))


def test_scale_puts_both_known_points_where_they_are() -> None:
    """Truth: the two known points themselves, and a third by the right angle between them."""
    scale = scale_from_two_points((10, 20), (10, 220), (1.0, 2.0), (1.0, -2.0), click_sd=0.5)
    placed = scale.place(
        Track(point="p", time=np.arange(3.0), x=[10.0, 10.0, 110.0], y=[20.0, 220.0, 20.0])
    )
    assert placed.x == pytest.approx([1.0, 1.0, 3.0])
    assert placed.y == pytest.approx([2.0, -2.0, 2.0])
    upward = scale_from_two_points((0, 0), (1, 0), (0, 0), (2, 0), click_sd=0.01, y_down=False)
    placed = upward.place(Track(point="p", time=[0.0], x=[0.0], y=[1.0]))
    assert (placed.x[0], placed.y[0]) == pytest.approx((0.0, 2.0))


def test_angles_have_no_jumps_where_the_arm_turns_over() -> None:
    """Truth: an arm that turns by one and a half turns at a known rate."""
    t = np.linspace(0.0, 3.0, 400)
    places = complex(*AXLE) + ARM * (-np.cos(math.pi * t - 0.8) + 1j * np.sin(math.pi * t - 0.8))
    tip = Track(point="tip", time=t, x=places.real, y=places.imag)
    told = arm_angle(tip, AXLE, 0.01)
    assert told.angle == pytest.approx(math.pi * t - 0.8, abs=1e-9)
    assert told.sd == pytest.approx(np.full(400, 0.01 / ARM))
    trailing = Track(point="ball", time=t[::2], x=places.real[::2], y=places.imag[::2] - 1.0)
    lag = sling_angle(tip, trailing, AXLE, 0.01)
    assert lag.time.size == 200
    assert lag.angle[0] == pytest.approx(math.pi / 2 - 0.8, abs=1e-9)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: read_tracks(""), "the table has 0 rows"),
        (lambda: read_tracks("time,x\n1,2"), "without y"),
        (lambda: read_tracks("time,x,y\n1,2,three"), "row 2 of the table .*must be numbers"),
        (lambda: read_tracks("time,x,y\n1,2"), "row 2 of the table"),
        (lambda: read_tracks("time,x,y\n"), "a head and no rows"),
        (lambda: read_tracks("time,x,y\n1,2,3\n1,2,3"), r"row 2 \(1 s\) is not after"),
        (lambda: read_tracks("time,x,y\n1,nan,3"), "finite numbers"),
        (lambda: scale_from_two_points((0, 0), (5, 0), (0, 0), (1, 0), click_sd=1.0), "a guess"),
        (lambda: scale_from_two_points((0, 0), (5, 0), (0, 0), (1, 0), click_sd=0.0), "above 0"),
        (
            lambda: free_flight(
                Track(point="b", time=[0.0, 1.0], x=[0.0, 1.0], y=[0.0, 1.0]),
                point_sd=1.0,
                gravity=GRAVITY,
                drag=still(),
            ),
            "2 frames of flight; give 4 or more",
        ),
    ],
)
def test_a_table_that_cannot_be_used_is_refused(call, words) -> None:
    """Truth: the rule that an error says thing, value, limit and next step."""
    with pytest.raises(TrackError, match=words):
        call()


def test_a_track_without_a_release_is_refused() -> None:
    """Truth: tracks cut so that one side is missing, and one that follows no free flight."""
    t = np.arange(0.2, 1.0, 1 / 240)
    whole = seen("ball", thrown(t), t, 0.01, 5)

    def part(kept):
        return Track(point="ball", time=t[kept], x=whole.x[kept], y=whole.y[kept])

    with pytest.raises(TrackError, match="frames of swing"):
        release_seen(part(t > LET_GO + 0.02), point_sd=0.01)
    with pytest.raises(TrackError, match="swing alone, with no release|no free flight"):
        release_seen(part(t < LET_GO - 0.02), point_sd=0.01)
    with pytest.raises(TrackError, match="no free flight within point_sd"):
        release_seen(whole, point_sd=0.001)
    with pytest.raises(TrackError, match="above 0"):
        release_seen(whole, point_sd=0.0)
    spoilt = whole.y.copy()
    spoilt[np.searchsorted(t, LET_GO) - 4] += 0.5
    wrong = Track(point="ball", time=t, x=whole.x, y=spoilt)
    with pytest.raises(TrackError, match="no way of swinging and then flying free.*wrong row"):
        release_seen(wrong, point_sd=0.01)

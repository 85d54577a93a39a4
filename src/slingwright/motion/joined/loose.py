"""Past the moment at which the sling would push: pouch and cords loose, caught, on the ground.

Joined by `code.py` to the equations of a machine kind whose pouch moves by itself.  The cords pull
from the tip of the arm on the pouch with k times their stretch and c times its rate, and never
push; a surface takes the pouch without rebound and rubs.  Everything under the line of dashes is
copied as it is.

State y: coordinates (n), their rates (n), work lost (1).  `stage` is TROUGH where the pouch lies on
a surface and FREE else; `pulls` is above 0 where the cords pull, below where they hang slack.
"""

from __future__ import annotations

import math

import numpy as np

# --------------------------------------------------------------------------------------------------

# What ends a stage; TIGHTENED is the change between slack and pulling, either way.
TIGHTENED, LIFTED, GROUNDED, EDGED, BOXED, TIPPED, RESTED, TORN = 0, 1, 2, 3, 4, 5, 6, 7
EVENTS, PULL = 8, TIGHTENED
TEARS = 0.3
"""Stretch of cords, as a part of their length, that none is taken to live through: ropes of natural
fibre break at about a tenth, the softest of all, of polyamide, below this (common practice)."""
SLIPPED, STALLED = -1, BROKEN
FORGIVEN, AT_ONCE = (TIGHTENED,), (TIGHTENED,)

# Past the dials: where the trough begins and ends, and how high a load's centre lies on it.
P_TROUGH_FROM, P_TROUGH_TO, P_CLEAR = P_COUNT, P_COUNT + 1, P_COUNT + 2

# What the log tells of: a row is time, which of these, place x and y, speed, energy lost.
CAUGHT, SLACKENED, STRUCK, LEFT = 0, 1, 2, 3
LOGGED = 6
MOST_TOLD = 2_000
"""Changes after which a motion is given up: cords far beyond critical damping may chatter."""

HAIR = 1e-9
"""How far the pouch sinks into a surface before that takes it, as a part of arm and sling."""
CALM = 1e-3
"""At rest: rates and accelerations below this part of a turn in the machine's own time."""


@inner
def cords(y, w, p):
    """How far the cords are stretched, how fast, and which way they point; prepare has filled w."""
    n, arm = COORDINATES, p[P_ARM_LONG]
    x, v_x = y[BALL_X] + arm * w[1], y[n + BALL_X] - arm * w[0] * y[n + ELEVATION]
    if BASE >= 0:
        x, v_x = x - y[BASE], v_x - y[n + BASE]
    rise = y[BALL_Y] - p[P_AXLE_HEIGHT] - arm * w[0]
    v_y = y[n + BALL_Y] - arm * w[1] * y[n + ELEVATION]
    long = max(math.sqrt(x * x + rise * rise), 1e-9)
    x, rise = x / long, rise / long
    return long - p[P_SLING_LENGTH], x * v_x + rise * v_y, x, rise


@inner
def sling_now(y, w, p):
    """Angle of the line from tip to pouch and its rate; prepare has filled w."""
    n, arm = COORDINATES, p[P_ARM_LONG]
    stretch, _, x, rise = cords(y, w, p)
    v_x = y[n + BALL_X] - arm * w[0] * y[n + ELEVATION]
    v_y = y[n + BALL_Y] - arm * w[1] * y[n + ELEVATION]
    if BASE >= 0:
        v_x -= y[n + BASE]
    return math.atan2(rise, -x), -(x * v_y - rise * v_x) / (stretch + p[P_SLING_LENGTH])


@inner
def surface(x, p):
    """Height of what lies under a place that is x forward of the axle."""
    return p[P_TROUGH_HEIGHT] if p[P_TROUGH_FROM] <= x <= p[P_TROUGH_TO] else 0.0


@inner
def from_axle(y):
    """Way of the pouch forward of the axle."""
    if BASE >= 0:
        return y[BALL_X] - y[BASE]
    return y[BALL_X]


@inlined
def rhs(stage, pulls, y, p, K, w, k, row):
    """Rates of the state into a row of k; contact force, friction and torques are left in w."""
    n = COORDINATES
    drag, lost = 0.0, 0.0
    if stage == TROUGH:
        y[n + BALL_Y] = 0.0
        sliding = y[n + BALL_X]
        if BASE >= 0:
            sliding -= y[n + BASE]
        slow = SLOW * math.sqrt(p[P_SITE_GRAVITY] * p[P_ARM_LONG])
        drag = -p[P_TROUGH_FRICTION] * sense(sliding, slow)
    prepare(y, K, w)
    if pulls > 0.0:
        stretch, rate, x, rise = cords(y, w, p)
        pull = p[P_SLING_STIFFNESS] * stretch + p[P_SLING_DAMPING] * rate
        lost = p[P_SLING_DAMPING] * rate * rate
        w[FORCE + ELEVATION] += pull * p[P_ARM_LONG] * (x * w[0] + rise * w[1])
        w[FORCE + BALL_X] -= pull * x
        w[FORCE + BALL_Y] -= pull * rise
        if BASE >= 0:
            w[FORCE + BASE] += pull * x
    respond(stage, drag, lost, y, p, K, w, k, row)


@compiled
def rates(stage, pulls, y, p, K, w, k, row):
    """`rhs` as a function of its own, for all callers but the step, which has it written in."""
    rhs(stage, pulls, y, p, K, w, k, row)


@inner
def looks_back(stage, stops):
    """Whether a pull that fails within a step is looked for."""
    return True


@inner
def watch(stage, pulls, y, k, row, p, K, w, parts, events):
    """What each event has left to go: the stage ends where one falls below 0."""
    n = COORDINATES
    for i in range(EVENTS):
        events[i] = 1.0
    events[BOXED] = box_bottom(y, w, p)
    events[TIPPED] = p[P_AXLE_HEIGHT] + p[P_ARM_LONG] * w[0]
    stretch, rate, _, _ = cords(y, w, p)
    events[TORN] = TEARS * p[P_SLING_LENGTH] - stretch
    held = p[P_SLING_STIFFNESS] * stretch
    events[TIGHTENED] = pulls * min(held, held + p[P_SLING_DAMPING] * rate)
    x = from_axle(y)
    if stage == TROUGH:
        events[LIFTED] = w[CONTACT]
        if p[P_TROUGH_HEIGHT] > 0.0:
            inside = min(x - p[P_TROUGH_FROM], p[P_TROUGH_TO] - x)
            on_it = y[BALL_Y] - p[P_CLEAR] > 0.5 * p[P_TROUGH_HEIGHT]
            events[EDGED] = inside if on_it else -inside
    else:
        # A hair below the surface, so that a pouch that leaves it has left it.
        hair = HAIR * (p[P_ARM_LONG] + p[P_SLING_LENGTH])
        events[GROUNDED] = y[BALL_Y] - surface(x, p) - p[P_CLEAR] + hair
    natural = natural_time(p)
    moving = 0.0
    for i in range(n):
        long = 1.0 if i in (ELEVATION, HANGER) else p[P_ARM_LONG]
        calm = CALM * long / natural
        moving = max(moving, abs(k[row, n + i]) * natural / calm, abs(y[n + i]) / calm)
    events[RESTED] = moving - 1.0


@inner
def touches_between(stage, y, y_after, h, p):
    """Whether the pouch dips into a surface, or passes through the trough, within a step."""
    x, x_after = from_axle(y), from_axle(y_after)
    low = min(y[BALL_Y], y_after[BALL_Y]) - p[P_CLEAR] < p[P_TROUGH_HEIGHT]
    if low and min(x, x_after) < p[P_TROUGH_FROM] and max(x, x_after) > p[P_TROUGH_TO]:
        return True
    if stage == TROUGH:
        return False
    n = COORDINATES
    low = y[BALL_Y] - surface(x, p) - p[P_CLEAR]
    low_after = y_after[BALL_Y] - surface(x_after, p) - p[P_CLEAR]
    return dips(low, y[n + BALL_Y], low_after, y_after[n + BALL_Y], h)


@inner
def stored(y, p):
    """Energy in the stretched cords, whether they pull or not."""
    x, rise = y[BALL_X] + p[P_ARM_LONG] * math.cos(y[ELEVATION]), y[BALL_Y] - p[P_AXLE_HEIGHT]
    if BASE >= 0:
        x -= y[BASE]
    rise -= p[P_ARM_LONG] * math.sin(y[ELEVATION])
    stretch = max(0.0, math.sqrt(x * x + rise * rise) - p[P_SLING_LENGTH])
    return 0.5 * p[P_SLING_STIFFNESS] * stretch * stretch


@inner
def strike(pulls, y, p, K, w, k, parts):
    """Stop the pouch's fall by a blow of the surface, which rubs too; returns the energy lost."""
    n = COORDINATES
    plain = np.int64(0)
    up, along, push, one = BALL_UP + plain, BALL_ALONG + plain, PUSH + plain, ONE + plain
    before = total_energy(y, K, parts)
    rates(np.int64(FREE), pulls, y, p, K, w, k, plain)
    ball_rows(y, K, w)
    solve(w, up, push)
    solve(w, along, one)
    up_up, along_along = times(w, up, push), times(w, along, one)
    blow = 0.0
    for turn in range(2):
        blow = -y[n + BALL_Y] / up_up
        for i in range(n):
            y[n + i] += blow * w[PUSH + i]
        if turn == 0:
            sliding = 0.0
            for i in range(n):
                sliding += w[BALL_ALONG + i] * y[n + i]
            most = p[P_TROUGH_FRICTION] * max(blow, 0.0)
            rub = min(most, max(-most, -sliding / along_along))
            for i in range(n):
                y[n + i] += rub * w[ONE + i]
    y[n + BALL_Y] = 0.0
    return before - total_energy(y, K, parts)


@inner
def loosened(taut, p, y):
    """State of the pouch by itself from that of a rod that holds it: rod e, (h), s, (X)."""
    n = COORDINATES
    rod = n - 1
    at = 2 if HANGER >= 0 else 1
    s, s_dot = taut[at], taut[rod + at]
    e, e_dot = taut[0], taut[rod]
    y[ELEVATION], y[n + ELEVATION] = e, e_dot
    if HANGER >= 0:
        y[HANGER], y[n + HANGER] = taut[1], taut[rod + 1]
    arm, sling = p[P_ARM_LONG], p[P_SLING_LENGTH]
    y[BALL_X] = -arm * math.cos(e) - sling * math.cos(s)
    y[BALL_Y] = p[P_AXLE_HEIGHT] + arm * math.sin(e) + sling * math.sin(s)
    y[n + BALL_X] = arm * math.sin(e) * e_dot + sling * math.sin(s) * s_dot
    y[n + BALL_Y] = arm * math.cos(e) * e_dot + sling * math.cos(s) * s_dot
    if BASE >= 0:
        y[BASE], y[n + BASE] = taut[rod - 1], taut[2 * rod - 1]
        y[BALL_X] += y[BASE]
        y[n + BALL_X] += y[n + BASE]
    y[2 * n] = taut[2 * rod]


@inner
def with_trough(given):
    """The dials, and past them where the trough lies and how high a load's centre is above it."""
    p = np.empty(P_COUNT + 3)
    p[:P_COUNT] = given[:P_COUNT]
    least = 1e-9 * p[P_COUNTERWEIGHT_MASS]
    if p[P_SLING_MASS] + p[P_SLING_POUCH] < least:
        p[P_SLING_POUCH] = least
    p[P_CLEAR] = 0.5 * p[P_PROJECTILE_DIAMETER] if p[P_PROJECTILE_MASS] > 0.0 else 0.0
    # From behind the projectile held to under the axle.
    drop = p[P_AXLE_HEIGHT] - p[P_ARM_LONG] * math.sin(p[P_ARM_COCKED])
    drop -= p[P_TROUGH_HEIGHT] + 0.5 * p[P_PROJECTILE_DIAMETER]
    along = math.sqrt(max(0.0, p[P_SLING_LENGTH] ** 2 - drop * drop))
    held = -p[P_ARM_LONG] * math.cos(p[P_ARM_COCKED]) + along
    p[P_TROUGH_FROM] = held - 0.06 * p[P_ARM_LONG] - p[P_PROJECTILE_DIAMETER]
    p[P_TROUGH_TO] = max(0.0, held + 0.06 * p[P_ARM_LONG])
    return p


@entry
def loose_sample(given, kept, per_step, record, table, result):
    """Samples of the steps that `follow_loose` kept; see `sample`."""
    return sample(with_trough(given), kept, per_step, record, table, result)


@entry
def follow_loose(given, taut, when, lasting, tolerance, steps, result, record, log):
    """Go on from a taut state past which the sling would push; returns steps and events kept.

    given (dials,), with no projectile.mass where the pouch is empty; taut: state of the rod kind;
    when, lasting [s]; log (events, LOGGED) takes as many as it has rows.
    """
    n = COORDINATES
    p = with_trough(given)
    K = np.empty(CONSTANTS)
    constants(p, K)
    w, k = np.zeros(WORK_SIZE), np.empty((16, SIZE))
    y, y_new, y_stage = np.empty(SIZE), np.empty(SIZE), np.empty(SIZE)
    weight, events, parts = np.empty(SIZE), np.empty(EVENTS), np.empty(14)
    run = np.zeros(9)
    size, natural = p[P_ARM_LONG] + p[P_SLING_LENGTH], natural_time(p)
    for i in range(n):
        turning = i in (ELEVATION, HANGER)
        weight[i] = 1.0 if turning else size
        weight[n + i] = weight[i] / natural
    scale = p[P_COUNTERWEIGHT_MASS] * p[P_SITE_GRAVITY] * p[P_ARM_SHORT]
    weight[2 * n] = scale
    loosened(taut, p, y)
    run[0], run[1], run[2], run[3] = when, 0.001 * natural, -1.0, when + lasting
    run[4], run[5], run[6], run[8] = tolerance, steps, 0.05 * natural, (1 << EVENTS) - 1
    total = total_energy(y, K, parts) + y[2 * n]
    lying, hanging = np.int64(TROUGH), np.int64(FREE)
    stage, told = hanging, 0
    while True:
        ended = run_stage(
            stage, run, y, p, K, w, k, y_stage, y_new, weight, parts, events, record
        )  # fmt: skip
        kind, speed, lost = -1, 0.0, 0.0
        if ended == TIGHTENED:
            # What is left in the cords as they let go is lost to their damping, all but what is
            # left of it as they are caught before they have drawn together.
            rates(stage, run[2], y, p, K, w, k, np.int64(0))
            lost = stored(y, p) * run[2]
            _, speed, _, _ = cords(y, w, p)
            kind = SLACKENED if run[2] > 0.0 else CAUGHT
            run[2] = -run[2]
        elif ended == GROUNDED:
            x = from_axle(y)
            if abs(y[BALL_Y] - surface(x, p) - p[P_CLEAR]) > 1e-7 * size:
                # What lies under it jumped as it came over the trough's edge: it fell on nothing.
                ended = EDGED
                break
            speed = math.sqrt(y[n + BALL_X] ** 2 + y[n + BALL_Y] ** 2)
            y[BALL_Y] = surface(x, p) + p[P_CLEAR]
            lost = strike(run[2], y, p, K, w, k, parts)
            kind, stage = STRUCK, lying
        elif ended == LIFTED or (
            ended == EDGED and y[BALL_Y] - p[P_CLEAR] > 0.5 * p[P_TROUGH_HEIGHT]
        ):
            kind, stage = LEFT, hanging
        if kind < 0:
            break
        y[2 * n] += lost
        run[1] = min(run[1], 0.01 * natural)
        if told < log.shape[0]:
            log[told, 0], log[told, 1], log[told, 2] = run[0], kind, y[BALL_X]
            log[told, 3], log[told, 4], log[told, 5] = y[BALL_Y], speed, lost
        told += 1
        if told >= MOST_TOLD:
            ended = np.int64(BROKEN)
            break
    total -= total_energy(y, K, parts) + stored(y, p) * max(0.0, run[2]) + y[2 * n]
    result[R_ENERGY_ERROR] = max(result[R_ENERGY_ERROR], abs(total) / scale)
    result[R_ENDED], result[R_SWING_END] = ended, run[0]
    result[R_STEPS] += steps - run[5]
    mark = stage if run[2] >= 0.0 else -stage
    return kept_at_least_one(run, mark, y, record), min(told, log.shape[0])


@inner
def peak_of_row(given, lasting, tolerance, steps, result):
    """Go on with a row of a sweep; its largest axle load is raised where this one is larger."""
    record = new_record(int(steps))
    earlier, when, phase = result[R_PEAK], result[R_PEAK_TIME], result[R_PEAK_STAGE]
    kept, _ = follow_loose(
        given, result[R_STATE:].copy(), result[R_SWING_END], lasting, tolerance, steps, result,
        record, np.empty((0, LOGGED)),
    )  # fmt: skip
    peak_load(with_trough(given), kept, 1, record, result)
    if result[R_PEAK] < earlier:
        result[R_PEAK], result[R_PEAK_TIME], result[R_PEAK_STAGE] = earlier, when, phase


@entry
def few(rows, lasting, tolerance, steps, results):
    """Peaks of some rows, one after the other; threads share them in pieces."""
    for i in range(rows.shape[0]):
        peak_of_row(rows[i], lasting[i], tolerance, steps, results[i])

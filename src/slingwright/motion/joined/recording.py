"""The whole throw in one call, and what is read off its steps: samples and peaks.

Joined after `kernel.py`; see `code.py`.  Everything under the line of dashes is copied as it is.
"""

from __future__ import annotations

import numpy as np

# --------------------------------------------------------------------------------------------------

# How a throw ended.
RELEASED, NEVER_LEFT, NEVER_SLIPPED, STRUCK_GROUND, WENT_SLACK, WEIGHT_STRUCK = 0, 1, 2, 3, 4, 5
SLIPPED_IN_TROUGH, GAVE_UP, JAMMED_IN_TROUGH, STOOD_UPRIGHT = 6, 7, 8, 9

ALL_STOPS = (1 << EVENTS) - 1
HELD = 0
"""Stage of a throw that has not begun."""


@inner
def weigh(p, weight):
    """What an error of 1 means for each part of the state."""
    n = COORDINATES
    size = p[P_ARM_LONG] + p[P_SLING_LENGTH]
    rate = 1.0 / natural_time(p)
    for i in range(n):
        weight[i], weight[n + i] = 1.0, rate
    if BASE >= 0:
        weight[BASE], weight[n + BASE] = size, size * rate
    weight[2 * n] = p[P_COUNTERWEIGHT_MASS] * p[P_SITE_GRAVITY] * p[P_ARM_SHORT]


@inner
def ready(p, weight, y):
    """The machine held: state in y, and what an error of 1 means for each part of it."""
    weigh(p, weight)
    for i in range(SIZE):
        y[i] = 0.0
    y[ELEVATION] = -p[P_ARM_COCKED]
    lie_in_trough(y, p)


@inner
def outcome_of(ended, stage):
    """Outcome of a throw that ended with event `ended` in `stage`."""
    if ended == SLACK:
        return WENT_SLACK
    if ended == GROUNDED:
        return STRUCK_GROUND
    if ended == BOXED:
        return WEIGHT_STRUCK
    if ended in (OUT_OF_STEPS, BROKEN):
        return GAVE_UP
    if stage == TROUGH:
        if ended == UPRIGHT:
            return STOOD_UPRIGHT
        return SLIPPED_IN_TROUGH if ended == SLIPPED else NEVER_LEFT
    return RELEASED if ended == SLIPPED else NEVER_SLIPPED


@inner
def set_out(run, p, tolerance, steps, stops, patience):
    """What `run_stage` is told, as a throw starts; see there.  run[9] will hold when it lifts."""
    natural = natural_time(p)
    run[0], run[2], run[7], run[9] = 0.0, 0.0, 0.0, 0.0
    run[1], run[3], run[4], run[5] = 0.02 * natural, patience * natural, tolerance, steps
    run[6], run[8] = 0.1 * natural, stops


@inner
def begin(run, y, p, K, w, k, parts, events):
    """The stage in which the held machine begins to move, and what ends it at once, or -1."""
    n = COORDINATES
    # Plain integers: numba would compile everything anew for each literal number.
    first = np.int64(0)
    trough, ended = np.int64(TROUGH), np.int64(-1)
    # Which way would the projectile slide without friction, and does the arm rise at all?
    rates(trough, run[2], y, p, K, w, k, first)
    along, rises = 0.0, k[0, n + ELEVATION] > 0.0
    for i in range(n):
        along += w[BALL_ALONG + i] * k[0, n + i]
    run[2] = 1.0 if along > 0.0 else -1.0
    rates(trough, run[2], y, p, K, w, k, first)
    watch(trough, run[2], y, k, first, p, K, w, parts, events)
    along = 0.0
    for i in range(n):
        along += w[BALL_ALONG + i] * k[0, n + i]
    if events[BOXED] < 0.0:
        ended = np.int64(BOXED)
    elif w[CONTACT] <= 0.0:
        return np.int64(FREE), ended
    elif not rises or not k[0, n + ELEVATION] > 0.0 or run[2] * along < 0.0 or w[JAMMED] > 0.0:
        ended = np.int64(STALLED)
    elif events[UPRIGHT] <= 0.0:
        ended = np.int64(UPRIGHT)
    elif events[SLIPPED] <= 0.0:
        ended = np.int64(SLIPPED)
    elif events[SLACK] < 0.0:
        ended = np.int64(SLACK)
    return trough, ended


@inner
def slide_along(run, y, p, K, w, k, y_stage, y_new, weight, parts, events, record):
    """Go through the trough, to and fro, until something ends it; returns what."""
    trough, turns = np.int64(TROUGH), 0
    while True:
        ended = run_stage(
            trough, run, y, p, K, w, k, y_stage, y_new, weight, parts, events, record
        )  # fmt: skip
        if ended != TURNED_BACK or turns >= 8:
            return ended
        turns += 1
        run[2] = -run[2]
        run[1] = min(run[1], 1e-3 * natural_time(p))


@inner
def throw_from(stage, ended, y, run, given, swing, steps, patience, result, record):
    """A throw from where it stands to its end; returns how many steps were recorded.

    stage HELD: from the start, y is filled here; TROUGH: from y in the trough, or as it lifts where
    `ended` is LIFTED; FREE: from y in the free swing, or as it slips where `ended` is SLIPPED.
    run: as `set_out` made it and `run_stage` left it.
    """
    n = COORDINATES
    p = dials_of(given)
    K = np.empty(CONSTANTS)
    constants(p, K)
    w = np.zeros(WORK_SIZE)
    k = np.empty((16, SIZE))
    held, y_new, y_stage = np.empty(SIZE), np.empty(SIZE), np.empty(SIZE)
    weight, events, parts = np.empty(SIZE), np.empty(EVENTS), np.empty(14)
    for i in range(RESULTS):
        result[i] = 0.0
    ready(p, weight, held)
    natural = natural_time(p)
    energy_start = total_energy(held, K, parts)
    weight_start = parts[1]
    ball_start = parts[3]
    scale = p[P_COUNTERWEIGHT_MASS] * p[P_SITE_GRAVITY] * p[P_ARM_SHORT]

    first = np.int64(0)
    free, swinging = np.int64(FREE), np.int64(SWING)
    going, too_early = stage == FREE, False
    if stage == HELD:
        for i in range(SIZE):
            y[i] = held[i]
        stage, ended = begin(run, y, p, K, w, k, parts, events)
    if stage == TROUGH:
        if ended < 0:
            ended = slide_along(
                run, y, p, K, w, k, y_stage, y_new, weight, parts, events, record
            )  # fmt: skip
        if ended == LIFTED:
            stage, ended = free, np.int64(-1)
    if not going:
        run[9] = run[0]
    result[R_LIFT] = run[9]
    if ended < 0 and not going:
        run[2] = 1.0
        run[3] = run[0] + patience * natural
        stops = int(run[8])
        rates(free, run[2], y, p, K, w, k, first)
        watch(free, run[2], y, k, first, p, K, w, parts, events)
        if events[SLIPPED] <= 0.0 and stops >> SLIPPED & 1:
            ended, too_early = np.int64(SLIPPED), True
        elif events[SLACK] < 0.0 and stops >> SLACK & 1:
            ended = np.int64(SLACK)
    if ended < 0:
        ended = run_stage(
            free, run, y, p, K, w, k, y_stage, y_new, weight, parts, events, record
        )  # fmt: skip
    outcome = SLIPPED_IN_TROUGH if too_early else outcome_of(ended, stage)
    if w[JAMMED] > 0.0:
        outcome = JAMMED_IN_TROUGH
    result[R_OUTCOME], result[R_ENDED], result[R_TIME] = outcome, ended, run[0]
    energy_end = total_energy(y, K, parts)
    result[R_DROP] = weight_start - parts[1]
    result[R_BALL_ENERGY] = parts[3] - ball_start
    result[R_LOST] = y[2 * n]
    result[R_ENERGY_ERROR] = abs(energy_end + y[2 * n] - energy_start) / scale
    result[R_SPAN] = scale
    ball_velocity(y, K, parts)
    result[R_VX], result[R_VY] = parts[0], parts[1]
    places(y, K, parts)
    result[R_X], result[R_Y] = parts[8], parts[9]
    result[R_ELEVATION], result[R_LAG] = y[ELEVATION], y[ELEVATION] - y[SLING]
    result[R_SWING_END] = run[0]
    if BASE >= 0:
        result[R_BASE_X], result[R_BASE_V] = y[BASE], y[n + BASE]
    if outcome == RELEASED and swing > 0.0:
        p[P_PROJECTILE_MASS] = 0.0
        constants(p, K)
        energy_start = total_energy(y, K, parts) + y[2 * n]
        run[1], run[2], run[3] = 0.02 * natural, 1.0, run[0] + swing
        ended = run_stage(
            swinging, run, y, p, K, w, k, y_stage, y_new, weight, parts, events, record
        )  # fmt: skip
        energy_end = total_energy(y, K, parts) + y[2 * n]
        error = abs(energy_end - energy_start) / scale
        result[R_ENERGY_ERROR] = max(error, result[R_ENERGY_ERROR])
        result[R_SWING_END] = run[0]
        result[R_ENDED] = ended
    for i in range(SIZE):
        result[R_STATE + i] = y[i]
    result[R_STEPS] = steps - run[5]
    return kept_at_least_one(run, stage if run[2] > 0.0 or stage != TROUGH else -stage, y, record)


@entry
def throw_once(given, tolerance, swing, steps, stops, patience, result, record):
    """One throw from the held machine; returns how many steps were recorded.

    given (dials,), tolerance relative, swing [s] of swing-through, steps at most, stops: bit mask
    of the events that end a stage, patience: natural times a stage may last.
    """
    run, y = np.empty(10), np.empty(SIZE)
    set_out(run, given, tolerance, steps, stops, patience)
    # Plain integers: numba would compile everything anew for each literal number.
    held, ended = np.int64(HELD), np.int64(-1)
    return throw_from(held, ended, y, run, given, swing, steps, patience, result, record)


@inner
def one_row(given, tolerance, swing, steps, loads, result, landing):
    """One throw of a sweep: result and landing filled."""
    record = new_record(int(steps)) if loads else no_record()
    kept = throw_once(given, tolerance, swing, steps, ALL_STOPS, 20.0, result, record)
    if loads:
        peak_load(given, kept, 4, record, result)
    if result[R_OUTCOME] == RELEASED:
        fly(
            result[R_X], result[R_Y], result[R_VX], result[R_VY], given, tolerance,
            landing, np.empty((0, 5)),
        )  # fmt: skip


@entry
def few(rows, tolerance, swing, steps, loads, results, landings):
    """A throw for each row of dials, one after the other; threads share them in pieces."""
    for i in range(rows.shape[0]):
        one_row(rows[i], tolerance, swing, steps, loads, results[i], landings[i])


@entry
def reach(given, kept, per_step, record, tolerance, lags, ranges):
    """Range if the ring slipped at each sample of the recorded swing; returns how many land."""
    p, K = loaded_and_empty(given)
    y, place, velocity = np.empty(SIZE), np.empty(14), np.empty(2)
    landing = np.zeros(8)
    filled = 0
    lowest = 1e300
    for which in range(kept):
        if abs(record[2][which]) != FREE:
            continue
        for j in range(per_step):
            state_at(record, which, (j + 1) / per_step, y)
            lag = y[ELEVATION] - y[SLING]
            if lag >= lowest:
                continue
            lowest = lag
            places(y, K[0], place)
            ball_velocity(y, K[0], velocity)
            fly(
                place[8], place[9], velocity[0], velocity[1], p, tolerance,
                landing, np.empty((0, 5)),
            )  # fmt: skip
            if landing[6] == 0.0:
                lags[filled], ranges[filled] = lag, landing[1]
                filled += 1
    return filled

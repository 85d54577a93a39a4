"""What is read off recorded steps: samples and the peak axle load.

Joined by `code.py`; everything under the line of dashes is copied as it is.
"""

from __future__ import annotations

import math

import numpy as np

# --------------------------------------------------------------------------------------------------

# What `throw_once` leaves in its result.
(R_OUTCOME, R_TIME, R_X, R_Y, R_VX, R_VY, R_ELEVATION, R_LAG, R_LIFT, R_DROP, R_BALL_ENERGY,
 R_ENERGY_ERROR, R_ENDED, R_SWING_END, R_STEPS, R_LOST, R_PEAK, R_PEAK_TIME, R_PEAK_STAGE,
 R_SPAN, R_BASE_X, R_BASE_V, R_STATE) = range(23)  # fmt: skip
RESULTS = R_STATE + 9

# Columns of a sample.
(S_TIME, S_STAGE, S_Q, S_V, S_A, S_CONTACT, S_RUBBING, S_LOST, S_AXLE_TORQUE, S_PIN_TORQUE,
 S_ROLLING, S_PARTS, S_ENERGIES, S_PLACES, S_BOX, S_BALL_RATE) = (
    0, 1, 2, 6, 10, 14, 15, 16, 17, 18, 19, 20, 28, 33, 47, 48)  # fmt: skip
SAMPLE = 50


@inner
def natural_time(p):
    """Time scale of the throw: a pendulum as long as arm and sling together, per radian."""
    return math.sqrt((p[P_ARM_LONG] + p[P_SLING_LENGTH]) / p[P_SITE_GRAVITY])


@inner
def state_at(record, which, part, out):
    """State at `part` of recorded step `which`; a lean record has only the ends of its steps."""
    if record[4].shape[1] == 7:
        between(record[3][which], record[4][which], part, out)
    else:
        for i in range(SIZE):
            out[i] = record[3][which, i] + part * record[4][which, 0, i]


@inner
def whole(record, begin, end, p, K, w):
    """Some steps of a record, each with its interpolant: made anew where the record is lean."""
    times, sizes, marks, states, inside = record
    found = np.empty((end - begin, 7, SIZE))
    k, y, y_new = np.empty((16, SIZE)), np.empty(SIZE), np.empty(SIZE)
    for at in range(begin, end):
        if inside.shape[1] == 7:
            found[at - begin] = inside[at]
            continue
        stage, slide = abs(marks[at]), 1.0 if marks[at] > 0 else -1.0
        rates(stage, slide, states[at], p, K, w, k, np.int64(0))
        step(stage, slide, states[at], sizes[at], 1.0, np.ones(SIZE), p, K, w, k, y_new)
        dense(stage, slide, states[at], y_new, sizes[at], p, K, w, k, y, found[at - begin])
    part = slice(begin, end)
    return times[part], sizes[part], marks[part], states[part], found


@inner
def loads_at(record, which, part, p, K, w, y, out):
    """Axle load at `part` of a recorded step."""
    state_at(record, which, part, y)
    mark = record[2][which]
    first = np.int64(0)
    slide = 1.0 if mark > 0 else -1.0
    rates(abs(mark), slide, y, p, K, w, out, first)
    n = COORDINATES
    load_rows(y, K, w)
    load_x, load_y = w[LOAD_X + n] - w[RUBBING], w[LOAD_Y + n] - w[CONTACT]
    for i in range(n):
        load_x += w[LOAD_X + i] * out[0, n + i]
        load_y += w[LOAD_Y + i] * out[0, n + i]
    return math.sqrt(load_x * load_x + load_y * load_y)


@inner
def dials_of(given):
    """Dials of a throw: an empty sling without any mass has too little to be moved by."""
    p = given.copy()
    least = 1e-9 * p[P_COUNTERWEIGHT_MASS]
    if p[P_SLING_MASS] + p[P_SLING_POUCH] < least:
        p[P_SLING_POUCH] = least
    return p


@inner
def loaded_and_empty(given):
    """Dials and constants with the projectile and without it."""
    p = dials_of(given)
    K = np.empty((2, CONSTANTS))
    constants(p, K[0])
    empty = p.copy()
    empty[P_PROJECTILE_MASS] = 0.0
    constants(empty, K[1])
    return p, K


@inner
def loads_around(record, kept, which, part, p, K, w, y, out):
    """Axle load at `part` of a step; below 0 or above 1 it stands in the neighbour of one stage."""
    stage = abs(record[2][which])
    if part < 0.0 and which > 0 and abs(record[2][which - 1]) == stage:
        part = 1.0 + part * record[1][which] / max(record[1][which - 1], 1e-300)
        which = which - 1
    elif part > 1.0 and which + 1 < kept and abs(record[2][which + 1]) == stage:
        part = (part - 1.0) * record[1][which] / max(record[1][which + 1], 1e-300)
        which = which + 1
    return loads_at(record, which, min(1.0, max(0.0, part)), p, K, w, y, out)


@inner
def peak_load(given, kept, per_step, record, result):
    """Largest axle load over all recorded steps, its time and stage, into the result."""
    p, K = loaded_and_empty(given)
    w, y, out = np.zeros(WORK_SIZE), np.empty(SIZE), np.empty((1, SIZE))
    best, best_step, best_part, last = -1.0, np.int64(0), 0.0, np.int64(0)
    for which in range(kept):
        mark = record[2][which]
        constants_now = K[1] if abs(mark) == SWING else K[0]
        # Within a stage a step begins where the one before it ends.
        for j in range(1 if mark == last else 0, per_step + 1):
            part = j / per_step
            load = loads_around(record, kept, which, part, p, constants_now, w, y, out)
            if load > best:
                best, best_step, best_part = load, which, part
        last = mark
    if kept > 0:
        top_near(best, best_step, best_part, per_step, p, K, w, kept, record, result)


@inner
def top_near(best, best_step, best_part, per_step, p, K, w, kept, record, result):
    """The largest axle load near the largest of the samples, into the result.

    It lies within a sample of that one, maybe in the step before or after it.
    """
    y, out = np.empty(SIZE), np.empty((1, SIZE))
    constants_now = K[1] if abs(record[2][best_step]) == SWING else K[0]
    begin, end = max(0, best_step - 1), min(kept, best_step + 2)
    near = whole(record, begin, end, p, constants_now, w)
    at, size = best_step - begin, end - begin
    golden = 0.5 * (math.sqrt(5.0) - 1.0)
    low, high = best_part - 1.0 / per_step, best_part + 1.0 / per_step
    left, right = high - golden * (high - low), low + golden * (high - low)
    at_left = loads_around(near, size, at, left, p, constants_now, w, y, out)
    at_right = loads_around(near, size, at, right, p, constants_now, w, y, out)
    for _ in range(40):
        if at_left > at_right:
            high, right, at_right = right, left, at_left
            left = high - golden * (high - low)
            at_left = loads_around(near, size, at, left, p, constants_now, w, y, out)
        else:
            low, left, at_left = left, right, at_right
            right = low + golden * (high - low)
            at_right = loads_around(near, size, at, right, p, constants_now, w, y, out)
    load = max(at_left, at_right)
    if load > best:
        best, best_part = load, 0.5 * (low + high)
    result[R_PEAK] = best
    result[R_PEAK_TIME] = record[0][best_step] + best_part * record[1][best_step]
    result[R_PEAK_STAGE] = abs(record[2][best_step])


@inner
def write_sample(record, which, part, p, K, w, y, out, row):
    """One sample of a recorded step into `row`."""
    n = COORDINATES
    state_at(record, which, part, y)
    mark = record[2][which]
    first = np.int64(0)
    rates(abs(mark), 1.0 if mark > 0 else -1.0, y, p, K, w, out, first)
    row[S_TIME] = record[0][which] + part * record[1][which]
    row[S_STAGE] = abs(mark)
    row[S_Q + 2], row[S_V + 2] = sling_now(y, w, p)
    row[S_A + 2] = out[0, n + SLING] if SLING >= 0 else 0.0
    for i, place in ((0, ELEVATION), (1, HANGER), (3, BASE)):
        row[S_Q + i] = y[place] if place >= 0 else 0.0
        row[S_V + i] = y[n + place] if place >= 0 else 0.0
        row[S_A + i] = out[0, n + place] if place >= 0 else 0.0
    row[S_CONTACT], row[S_RUBBING], row[S_LOST] = w[CONTACT], w[RUBBING], y[2 * n]
    row[S_AXLE_TORQUE], row[S_PIN_TORQUE] = w[AXLE_TORQUE], w[HANGER_TORQUE]
    row[S_ROLLING] = w[ROLLING]
    part_forces(y, out, first, w[CONTACT], w[RUBBING], K, w, row[S_PARTS : S_PARTS + 8])
    row[S_ENERGIES + 4] = 0.0
    part_energies(y, K, row[S_ENERGIES : S_ENERGIES + 5])
    in_cords = stored(y, p)
    row[S_ENERGIES + 2] += in_cords
    if mark < 0:
        # The state has it lost at the moment the cords let go; it goes as they draw together.
        row[S_LOST] -= in_cords
    places(y, K, row[S_PLACES : S_PLACES + 14])
    row[S_BOX] = box_bottom(y, w, p)
    ball_velocity(y, K, row[S_BALL_RATE : S_BALL_RATE + 2])


@entry
def sample(given, kept, per_step, record, table, result):
    """Samples of all recorded steps, `per_step` a step and one at the start of each stage.

    Loose cords have one more where they are caught or let go: their pull jumps there.

    The peak axle load goes into the result; returns how many samples there are.
    """
    p, K = loaded_and_empty(given)
    w, y, out = np.zeros(WORK_SIZE), np.empty(SIZE), np.empty((1, SIZE))
    best, best_step, best_part = -1.0, np.int64(0), 0.0
    filled, last = 0, np.int64(0)
    for which in range(kept):
        stage = abs(record[2][which])
        constants_now = K[1] if stage == SWING else K[0]
        mark = record[2][which] if SLING < 0 else stage
        steps, at = record, which
        if SLING < 0 and per_step > 1:
            steps, at = whole(record, which, which + 1, p, constants_now, w), 0
        for j in range(1 if mark == last else 0, 1 + (per_step if record[1][which] > 0.0 else 0)):
            row = table[filled]
            write_sample(steps, at, j / per_step, p, constants_now, w, y, out, row)
            load = math.sqrt(row[S_PARTS + 3] ** 2 + row[S_PARTS + 7] ** 2)
            if load > best:
                best, best_step, best_part = load, which, j / per_step
            filled += 1
        last = mark
    if kept > 0:
        top_near(best, best_step, best_part, per_step, p, K, w, kept, record, result)
    return filled


@inner
def kept_at_least_one(run, mark, y, record):
    """How many steps are recorded: what ended before it began is a step of no length."""
    if run[7] == 0.0 and record[0].shape[0] > 0:
        record[0][0], record[1][0], record[2][0] = run[0], 0.0, mark
        for i in range(SIZE):
            record[3][0, i] = y[i]
            for j in range(record[4].shape[1]):
                record[4][0, j, i] = 0.0
        run[7] = 1.0
    return int(run[7])


@inner
def no_record():
    """A record that keeps nothing."""
    return (
        np.empty(0),
        np.empty(0),
        np.empty(0, np.int64),
        np.empty((0, SIZE)),
        np.empty((0, 7, SIZE)),
    )


@inner
def new_record(steps):
    """Room for `steps` recorded steps; lean where the sling is loose: see `state_at`."""
    return (
        np.empty(steps),
        np.empty(steps),
        np.empty(steps, np.int64),
        np.empty((steps, SIZE)),
        np.empty((steps, 7 if SLING >= 0 else 1, SIZE)),
    )

"""Many throws in step: a throw a lane of the processor's vector registers.

Joined by `code.py` to the rates, events and step written for lanes; `rows` of the machine kind's
own module starts, lifts and ends the throws.  Lanes make the steps of the trough and of the free
swing and place the event that every good throw has there, lift and slip; whatever else happens in a
lane, its throw goes on from the start of that step in the code for one throw.  A finished lane
takes the next row.  Everything under the line of dashes is copied as it is.

A number of a lane stands at `array[place * LANES + lane]`.
"""

from __future__ import annotations

import numpy as np

# --------------------------------------------------------------------------------------------------

# What a lane has in hand: of its throw, of its next step, and of an event that it is placing.
(H_TIME, H_NEXT, H_TRY, H_END, H_LEFT, H_LONGEST, H_BEFORE, H_SLOPE, H_OVER,
 H_PLACING, H_WHOLE, H_SIZE, H_LOW, H_HIGH, H_AT_LOW, H_AT_HIGH, H_OLD, H_AT_OLD, H_PART,
) = range(19)  # fmt: skip
IN_HAND = 19

GO_ON, TAKE, PLACED, HAND_OVER = 0, 1, 2, 3
"""What a step means for a lane: not made, made, the last one, or too much for lanes."""


@njit(nogil=True, error_model="numpy", forceinline=True, fastmath={"contract"})
def turned(angle):
    """Sine and cosine as `sine_cosine` of the joined text trig, without a branch."""
    turns = (angle * 0.63661977236758134308 + ROUND) - ROUND
    r = (angle - turns * 1.57079632673412561417) - turns * 6.07710050650619224932e-11
    z = r * r
    sine = 1.58969099521155010221e-10
    sine = -2.50507602534068634195e-08 + z * sine
    sine = 2.75573137070700676789e-06 + z * sine
    sine = -1.98412698298579493134e-04 + z * sine
    sine = 8.33333333332248946124e-03 + z * sine
    sine = -1.66666666666666324348e-01 + z * sine
    sine = r + r * z * sine
    cosine = -1.13596475577881948265e-11
    cosine = 2.08757232129817482790e-09 + z * cosine
    cosine = -2.75573143513906633035e-07 + z * cosine
    cosine = 2.48015872894767294178e-05 + z * cosine
    cosine = -1.38888888888741095749e-03 + z * cosine
    cosine = 4.16666666666666019037e-02 + z * cosine
    cosine = 1.0 - (0.5 * z - z * z * cosine)
    # angle = half pi * (2 * half + odd) + r, odd in (-1, 0, 1), and half = 2 * whole + over.
    half = (0.5 * turns + ROUND) - ROUND
    odd = turns - 2.0 * half
    over = half - 2.0 * ((0.5 * half + ROUND) - ROUND)
    sign = 1.0 - 2.0 * over * over
    even = 1.0 - odd * odd
    return sign * (even * sine + odd * cosine), sign * (even * cosine - odd * sine)


@njit(nogil=True, error_model="numpy", forceinline=True, fastmath={"contract"})
def sense_of(part):
    """Hyperbolic tangent within 2e-14: exp by its series at a 64th, squared six times."""
    size = min(abs(part), 20.0)
    x = -0.03125 * size
    power = 1.0 / 87178291200.0
    power = 1.0 / 6227020800.0 + x * power
    power = 1.0 / 479001600.0 + x * power
    power = 1.0 / 39916800.0 + x * power
    power = 1.0 / 3628800.0 + x * power
    power = 1.0 / 362880.0 + x * power
    power = 1.0 / 40320.0 + x * power
    power = 1.0 / 5040.0 + x * power
    power = 1.0 / 720.0 + x * power
    power = 1.0 / 120.0 + x * power
    power = 1.0 / 24.0 + x * power
    power = 1.0 / 6.0 + x * power
    power = 0.5 + x * power
    power = 1.0 + x * power
    power = 1.0 + x * power
    power *= power
    power *= power
    power *= power
    power *= power
    power *= power
    power *= power
    value = (1.0 - power) / (1.0 + power)
    return value if part > 0.0 else -value


@inner
def settle(lanes, K, w):
    """Go on finding torques and loads from each other until no lane's torques change any more."""
    for _ in range(60):
        moving = 0.0
        for lane in range(LANES):
            moving += w[W_STILL * LANES + lane]
        if moving == 0.0:
            break
        rub(lanes, K, w)


@inner
def rates_in_lanes(stage, lanes, y, K, w, k, at):
    """Rates of states y, into k from place `at` on."""
    if stage == TROUGH:
        free_answers_trough(lanes, y, K, w)
        settle(lanes, K, w)
        respond_trough(lanes, y, K, w, k, at)
    else:
        free_answers_free(lanes, y, K, w)
        settle(lanes, K, w)
        respond_free(lanes, y, K, w, k, at)


@in_lanes
def move_on(numbers, lanes, take, y, y_new, k, h):
    """Where `take` is 1, the step is made: its end and the rates there are the next one's start."""
    for lane in range(lanes):
        for i in range(SIZE):
            h[i * LANES + lane] = take[lane]
    for m in range(numbers):
        taken = h[m]
        y[m] = y_new[m] if taken > 0.0 else y[m]
        k[m] = k[LAST + m] if taken > 0.0 else k[m]


@inner
def take_up(lane, line, p, weight_one, y, weight, K, w, k, hand):
    """Put a throw from its line of the table into a lane."""
    L = LANES
    lane_constants(p, line[T_SLIDE], lane, K)
    weigh(p, weight_one)
    for i in range(SIZE):
        y[i * L + lane], k[i * L + lane] = line[i], line[T_RATES + i]
        weight[i * L + lane] = weight_one[i]
    for i in range(KEPT):
        w[i * L + lane] = 0.0
    hand[H_TIME * L + lane], hand[H_NEXT * L + lane] = line[T_TIME], line[T_STEP]
    hand[H_END * L + lane], hand[H_LEFT * L + lane] = line[T_END], line[T_LEFT]
    hand[H_LONGEST * L + lane], hand[H_BEFORE * L + lane] = line[T_LONGEST], line[T_BEFORE]
    hand[H_SLOPE * L + lane] = line[COORDINATES + ELEVATION] - line[COORDINATES + SLING]
    hand[H_TRY * L + lane] = min(line[T_STEP], line[T_LONGEST])
    hand[H_PLACING * L + lane], hand[H_OVER * L + lane] = 0.0, 0.0


@inner
def lay_down(lane, y, ended, hand, line):
    """Write how a lane's throw stands into its line of the table, and leave the lane idle."""
    for i in range(SIZE):
        line[i] = y[i * LANES + lane]
    line[T_TIME], line[T_STEP] = hand[H_TIME * LANES + lane], hand[H_NEXT * LANES + lane]
    line[T_LEFT], line[T_ENDED] = hand[H_LEFT * LANES + lane], ended
    hand[H_TRY * LANES + lane] = 0.0


@entry
def run_lanes(stage, lanes, rows, tolerance, table, queue, waiting):
    """Take the first `waiting` rows of `queue` through one stage.

    Each ends with the event awaited, LIFTED or SLIPPED, or, for the code for one throw to go on
    with it, with -1 at the start of a step.
    """
    y, y_new, h = np.zeros(SIZE * LANES), np.zeros(SIZE * LANES), np.zeros(SIZE * LANES)
    weight, k = np.ones(SIZE * LANES), np.zeros(15 * SIZE * LANES)
    K, w = np.zeros(NUMBERS * LANES), np.zeros(KEPT * LANES)
    found, hand = np.zeros(FOUND * LANES), np.zeros(IN_HAND * LANES)
    take, who, weight_one = np.zeros(LANES), np.full(LANES, -1), np.empty(SIZE)
    numbers, following, busy = SIZE * lanes, 0, 0
    awaited = LIFTED if stage == TROUGH else SLIPPED
    while True:
        for lane in range(LANES):
            if who[lane] < 0 and following < waiting:
                row = queue[following]
                following += 1
                p = dials_of(rows[row])
                take_up(lane, table[row], p, weight_one, y, weight, K, w, k, hand)
                who[lane] = row
                busy += 1
        if busy == 0:
            return
        spread(lanes, hand, h)
        step_in_lanes(stage, numbers, lanes, tolerance, weight, y, h, K, w, k, y_new, found)
        if stage == TROUGH:
            watch_trough(lanes, y_new, K, w, k, LAST, found)
        else:
            watch_free(lanes, y_new, K, w, k, LAST, found)
        for lane in range(LANES):
            take[lane] = 0.0
            if who[lane] < 0:
                continue
            what = judge(stage, lane, found, hand, w)
            if what == TAKE:
                take[lane] = 1.0
            elif what != GO_ON:
                if what == PLACED:
                    lay_down(lane, y_new, awaited, hand, table[who[lane]])
                else:
                    lay_down(lane, y, -1, hand, table[who[lane]])
                who[lane] = -1
                busy -= 1
        move_on(numbers, lanes, take, y, y_new, k, h)


@inner
def judge(stage, lane, found, hand, w):
    """What the step just made means for one lane, with its next step in hand."""
    L = LANES
    error, longer = found[ERROR * L + lane], found[LONGER * L + lane]
    expected, rest = found[EXPECTED * L + lane], found[REST * L + lane]
    tried = hand[H_TRY * L + lane]
    if hand[H_PLACING * L + lane] > 0.0:
        return place(stage, lane, expected, found[SLOPE * L + lane], hand)
    hand[H_LEFT * L + lane] -= 1.0
    before = hand[H_BEFORE * L + lane]
    verdict = GO_ON
    if hand[H_OVER * L + lane] > 0.0:
        hand[H_LEFT * L + lane] += 1.0
        return HAND_OVER
    if w[W_JAMMED * L + lane] > 0.0:
        verdict = HAND_OVER
    elif not error < 1e300:
        hand[H_NEXT * L + lane] = 0.1 * tried
    elif error > 1.0:
        hand[H_NEXT * L + lane] = tried * max(0.2, longer)
    elif not rest >= 0.0 or (expected < 0.0 and not before > 0.0):
        verdict = HAND_OVER
    elif expected < 0.0:
        hand[H_PLACING * L + lane] = 1.0
        hand[H_WHOLE * L + lane], hand[H_SIZE * L + lane] = tried, before - expected
        hand[H_NEXT * L + lane] = tried * min(6.0, longer)
        hand[H_LOW * L + lane], hand[H_HIGH * L + lane] = 0.0, 1.0
        hand[H_AT_LOW * L + lane], hand[H_AT_HIGH * L + lane] = before, expected
        hand[H_OLD * L + lane], hand[H_AT_OLD * L + lane] = 0.0, before
        part = before / (before - expected)
        if stage == FREE:
            part = root_between(
                before, hand[H_SLOPE * L + lane] * tried, expected, found[SLOPE * L + lane] * tried
            )  # fmt: skip
        hand[H_PART * L + lane] = part
        hand[H_TRY * L + lane] = part * tried
        return GO_ON
    else:
        hand[H_TIME * L + lane] += tried
        hand[H_NEXT * L + lane] = tried * min(6.0, longer)
        hand[H_SLOPE * L + lane] = found[SLOPE * L + lane]
        if expected != 0.0:
            hand[H_BEFORE * L + lane] = expected
        verdict = TAKE
    if verdict == HAND_OVER:
        # It begins with this step once more.
        hand[H_NEXT * L + lane] = tried
        hand[H_LEFT * L + lane] += 1.0
        return verdict
    time, end = hand[H_TIME * L + lane], hand[H_END * L + lane]
    left = end - time
    hand[H_TRY * L + lane] = min(hand[H_NEXT * L + lane], hand[H_LONGEST * L + lane])
    tiny = hand[H_TRY * L + lane] < 1e-13 * (hand[H_LONGEST * L + lane] + time)
    if left <= hand[H_TRY * L + lane] or hand[H_LEFT * L + lane] <= 0.0 or tiny:
        hand[H_OVER * L + lane] = 1.0
    return verdict


@inner
def place(stage, lane, value, slope, hand):
    """Bring a lane's step to where the awaited event stands at 0, within a bracket.

    By Newton's rule where the event's slope is known, else by the parabola through three points.
    """
    L = LANES
    part, whole = hand[H_PART * L + lane], hand[H_WHOLE * L + lane]
    low, high = hand[H_LOW * L + lane], hand[H_HIGH * L + lane]
    at_low, at_high = hand[H_AT_LOW * L + lane], hand[H_AT_HIGH * L + lane]
    hand[H_PLACING * L + lane] += 1.0
    done = abs(value) <= (4e-15 if stage == FREE else 1e-8 * hand[H_SIZE * L + lane])
    if value > 0.0:
        old, at_old, low, at_low = low, at_low, part, value
    else:
        old, at_old, high, at_high = high, at_high, part, value
    slope *= whole
    if stage == FREE and slope < 0.0:
        following = part - value / slope
    elif at_old != at_low and at_old != at_high:
        following = low * at_high * at_old / ((at_low - at_high) * (at_low - at_old))
        following += high * at_low * at_old / ((at_high - at_low) * (at_high - at_old))
        following += old * at_low * at_high / ((at_old - at_low) * (at_old - at_high))
    else:
        following = (low * at_high - high * at_low) / (at_high - at_low)
    tries = hand[H_PLACING * L + lane]
    if not low < following < high or (tries > 12.0 and tries % 2.0 == 0.0):
        following = 0.5 * (low + high)
    if done or abs(following - part) <= 1e-16 or high - low <= 1e-16:
        hand[H_TIME * L + lane] += part * whole
        return PLACED
    if tries > 60.0:
        hand[H_NEXT * L + lane] = whole
        hand[H_LEFT * L + lane] += 1.0
        return HAND_OVER
    hand[H_LOW * L + lane], hand[H_HIGH * L + lane] = low, high
    hand[H_AT_LOW * L + lane], hand[H_AT_HIGH * L + lane] = at_low, at_high
    hand[H_OLD * L + lane], hand[H_AT_OLD * L + lane] = old, at_old
    hand[H_PART * L + lane], hand[H_TRY * L + lane] = following, following * whole
    return GO_ON

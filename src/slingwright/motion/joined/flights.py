"""Many flights in step: the flight of `airborne`, a projectile a lane of the vector registers.

Joined by `code.py` to the step written for lanes and to the flight's own module.  Everything under
the line of dashes is copied as it is.

A number of a lane stands at `array[place * LANES + lane]`.
"""

from __future__ import annotations

import math

import numpy as np

# --------------------------------------------------------------------------------------------------

SIZE = 4

# Places in the constants of a lane, after those of a flight.
F_RISING, F_LEVEL = 5, 6
F_NUMBERS = 7

# What a lane has in hand.
(H_TIME, H_NEXT, H_TRY, H_NATURAL, H_APEX, H_STEPS, H_BEFORE, H_PLACING, H_WHOLE, H_LOW, H_HIGH,
 H_PART) = range(12)  # fmt: skip
IN_HAND = 12

ROUND_BITS = 4843621399236968448
"""Bits of ROUND: a whole number added to them is that number added to ROUND."""


@njit(nogil=True, error_model="numpy", forceinline=True, fastmath={"contract"})
def log_of(value):
    """Natural logarithm of a normal number above 0, within 1e-15: exponent, and atanh's series."""
    bits = np.float64(value).view(np.int64)
    # Mantissas from sqrt(1/2) to sqrt(2): what lies above goes with the next exponent.
    exponent = (bits - 4604544271217802189) >> 52
    mantissa = np.int64(bits - (exponent << 52)).view(np.float64)
    whole = np.int64(exponent + ROUND_BITS).view(np.float64) - ROUND
    s = (mantissa - 1.0) / (mantissa + 1.0)
    z = s * s
    series = 1.0 / 21.0
    series = 1.0 / 19.0 + z * series
    series = 1.0 / 17.0 + z * series
    series = 1.0 / 15.0 + z * series
    series = 1.0 / 13.0 + z * series
    series = 1.0 / 11.0 + z * series
    series = 1.0 / 9.0 + z * series
    series = 1.0 / 7.0 + z * series
    series = 1.0 / 5.0 + z * series
    series = 1.0 / 3.0 + z * series
    return whole * 0.6931471805599453 + 2.0 * s * (1.0 + z * series)


@njit(nogil=True, error_model="numpy", forceinline=True, fastmath={"contract"})
def exp_of(value):
    """Exponential within 1e-15 for values from -700 to 700: a power of two, and the series."""
    turned = value * 1.4426950408889634 + ROUND
    whole = turned - ROUND
    r = (value - whole * 0.6931471803691238) - whole * 1.9082149292705877e-10
    series = 1.0 / 6227020800.0
    series = 1.0 / 479001600.0 + r * series
    series = 1.0 / 39916800.0 + r * series
    series = 1.0 / 3628800.0 + r * series
    series = 1.0 / 362880.0 + r * series
    series = 1.0 / 40320.0 + r * series
    series = 1.0 / 5040.0 + r * series
    series = 1.0 / 720.0 + r * series
    series = 1.0 / 120.0 + r * series
    series = 1.0 / 24.0 + r * series
    series = 1.0 / 6.0 + r * series
    series = 0.5 + r * series
    series = 1.0 + r * (1.0 + r * series)
    power = np.int64((np.float64(turned).view(np.int64) + 1023) << 52).view(np.float64)
    return power * series


@in_lanes
def rates_flight(lanes, y, K, w, k, at):
    """Rates as `rhs` of the flight, with its correlation for a sphere, without a branch."""
    for lane in range(lanes):
        v_x, v_y = y[2 * LANES + lane], y[3 * LANES + lane]
        air_x = v_x - K[F_WIND * LANES + lane]
        speed = math.sqrt(air_x * air_x + v_y * v_y)
        given = K[F_COEFFICIENT * LANES + lane]
        top = ROUGH_TO if given < -1.5 else 1e6
        reynolds = min(top, max(1e-6, speed * K[F_PER_REYNOLDS * LANES + lane]))
        size = log_of(reynolds)
        fifth = reynolds * 0.2
        crisis = reynolds / 2.63e5
        to_4 = crisis * crisis * crisis * crisis
        coefficient = (
            24.0 / reynolds
            + 2.6 * fifth / (1.0 + exp_of(1.52 * (size - 1.6094379124341003)))
            + 0.411 * exp_of(0.06 * (size - 12.479909311159902)) / (1.0 + to_4 * to_4)
            + exp_of(0.8 * size) / 461000.0
        )
        coefficient = given if given >= 0.0 else coefficient
        slowing = K[F_DRAG * LANES + lane] * coefficient * speed
        k[at + lane] = v_x
        k[at + LANES + lane] = v_y
        k[at + 2 * LANES + lane] = -slowing * air_x
        k[at + 3 * LANES + lane] = -K[F_GRAVITY * LANES + lane] - slowing * v_y


@inner
def rates_in_lanes(stage, lanes, y, K, w, k, at):
    """The same, as the step asks for them."""
    rates_flight(lanes, y, K, w, k, at)


@inner
def launch(lane, start, p, y, weight, K, k, hand, K_one, w_one, y_one, k_one):
    """Put a flight from start (x, y, v_x, v_y) into a lane; see `fly`."""
    L = LANES
    drag_constants(p, K_one)
    for i in range(5):
        K[i * L + lane] = K_one[i]
    for i in range(SIZE):
        y_one[i] = start[i]
    rates(0, 0.0, y_one, p, K_one, w_one, k_one, np.int64(0))
    radius = 0.5 * p[P_PROJECTILE_DIAMETER]
    level, gravity = p[P_SITE_HEIGHT] + radius, p[P_SITE_GRAVITY]
    speed = math.sqrt(start[2] * start[2] + start[3] * start[3])
    natural = (speed + math.sqrt(gravity * (abs(start[1] - level) + 1e-9))) / gravity
    rising = start[3] > 0.0
    if not rising and start[1] < level:
        level = radius
    for i in range(SIZE):
        y[i * L + lane], k[i * L + lane] = start[i], k_one[0, i]
        weight[i * L + lane] = gravity * natural * (natural if i < 2 else 1.0)
    K[F_RISING * L + lane], K[F_LEVEL * L + lane] = 1.0 if rising else 0.0, level
    hand[H_TIME * L + lane], hand[H_TRY * L + lane] = 0.0, 0.05 * natural
    hand[H_NATURAL * L + lane], hand[H_APEX * L + lane] = natural, start[1]
    hand[H_STEPS * L + lane], hand[H_PLACING * L + lane] = 0.0, 0.0
    hand[H_BEFORE * L + lane] = start[3] if rising else start[1] - level


@inner
def set_down(lane, y, level, code, hand, landing):
    """Where a flight ended, from a lane's state, into landing."""
    L = LANES
    landing[L_TIME], landing[L_X], landing[L_Y] = hand[H_TIME * L + lane], y[0], y[1]
    landing[L_VX], landing[L_VY] = y[2], y[3]
    landing[L_APEX], landing[L_CODE] = hand[H_APEX * L + lane], code
    landing[L_STEPS] = hand[H_STEPS * L + lane]


@entry
def fly_in_lanes(lanes, rows, tolerance, queue, waiting, starts, landings):
    """Fly from starts (rows, 4) of the first `waiting` rows of queue, each as `fly` would."""
    L = LANES
    y, y_new, h = np.zeros(SIZE * L), np.zeros(SIZE * L), np.zeros(SIZE * L)
    weight, k = np.ones(SIZE * L), np.zeros(15 * SIZE * L)
    K, w, found = np.zeros(F_NUMBERS * L), np.zeros(1), np.zeros(FOUND * L)
    hand, who = np.zeros(IN_HAND * L), np.full(L, -1)
    K_one, w_one, y_one, k_one = np.empty(5), np.empty(1), np.empty(SIZE), np.empty((1, SIZE))
    numbers, following, busy = SIZE * lanes, 0, 0
    while True:
        for lane in range(L):
            if who[lane] < 0 and following < waiting:
                row = queue[following]
                following += 1
                launch(
                    lane, starts[row], rows[row], y, weight, K, k, hand, K_one, w_one, y_one, k_one
                )  # fmt: skip
                who[lane] = row
                busy += 1
        if busy == 0:
            return
        spread(lanes, hand, h)
        step_in_lanes(0, numbers, lanes, tolerance, weight, y, h, K, w, k, y_new, found)
        for lane in range(L):
            row = who[lane]
            if row < 0:
                continue
            natural, tried = hand[H_NATURAL * L + lane], hand[H_TRY * L + lane]
            error, longer = found[ERROR * L + lane], found[LONGER * L + lane]
            rising, level = K[F_RISING * L + lane] > 0.0, K[F_LEVEL * L + lane]
            left = y_new[3 * L + lane] if rising else y_new[L + lane] - level
            slope = k[LAST + 3 * L + lane] if rising else y_new[3 * L + lane]
            if hand[H_PLACING * L + lane] == 0.0:
                hand[H_STEPS * L + lane] += 1.0
                if not error <= 1.0:
                    tried *= max(0.2, longer) if error < 1e300 else 0.1
                    hand[H_TRY * L + lane] = tried
                    if tried < 1e-12 * natural or hand[H_STEPS * L + lane] >= 4000.0:
                        for i in range(SIZE):
                            y_one[i] = y[i * L + lane]
                        set_down(lane, y_one, level, STILL_FLYING, hand, landings[row])
                        who[lane] = -1
                        busy -= 1
                    continue
                hand[H_NEXT * L + lane] = min(0.5 * natural, tried * min(6.0, longer))
                if not left < 0.0:
                    hand[H_TIME * L + lane] += tried
                    hand[H_TRY * L + lane] = hand[H_NEXT * L + lane]
                    hand[H_BEFORE * L + lane] = left
                    for i in range(SIZE):
                        y[i * L + lane] = y_new[i * L + lane]
                        k[i * L + lane] = k[LAST + i * L + lane]
                    continue
                before = hand[H_BEFORE * L + lane]
                before_slope = k[3 * L + lane] if rising else y[3 * L + lane]
                part = 0.0  # a flight that begins below its level ends where it begins
                if before > 0.0:
                    part = root_between(before, before_slope * tried, left, slope * tried)
                hand[H_PLACING * L + lane], hand[H_WHOLE * L + lane] = 1.0, tried
                hand[H_LOW * L + lane], hand[H_HIGH * L + lane] = 0.0, tried
                hand[H_TRY * L + lane] = part * tried
                continue
            if left > 0.0:
                hand[H_LOW * L + lane] = tried
            else:
                hand[H_HIGH * L + lane] = tried
            low, high = hand[H_LOW * L + lane], hand[H_HIGH * L + lane]
            change = -left / slope if slope < 0.0 else 1e300
            hand[H_PLACING * L + lane] += 1.0
            if not abs(change) <= 1e-9 * natural and high - low > 1e-15 * natural:
                tried += change
                hand[H_TRY * L + lane] = tried if low < tried < high else 0.5 * (low + high)
                if hand[H_PLACING * L + lane] < 80.0:
                    continue
            # What is left is so short that its square is nothing: a straight step.
            change = change if abs(change) <= 1e-9 * natural else 0.0
            for i in range(SIZE):
                y_one[i] = y_new[i * L + lane] + change * k[LAST + i * L + lane]
            hand[H_TIME * L + lane] += tried + change
            if not rising:
                short = level < rows[row][P_SITE_HEIGHT] + 0.5 * rows[row][P_PROJECTILE_DIAMETER]
                code = SHORT_OF_LEVEL if short else LANDED
                set_down(lane, y_one, level, code, hand, landings[row])
                who[lane] = -1
                busy -= 1
                continue
            hand[H_APEX * L + lane] = y_one[1]
            if y_one[1] < level:
                level = 0.5 * rows[row][P_PROJECTILE_DIAMETER]
            for i in range(5):
                K_one[i] = K[i * L + lane]
            rates(0, 0.0, y_one, rows[row], K_one, w_one, k_one, np.int64(0))
            for i in range(SIZE):
                y[i * L + lane], k[i * L + lane] = y_one[i], k_one[0, i]
            K[F_RISING * L + lane], K[F_LEVEL * L + lane] = 0.0, level
            hand[H_BEFORE * L + lane] = y_one[1] - level
            hand[H_TRY * L + lane], hand[H_PLACING * L + lane] = hand[H_NEXT * L + lane], 0.0

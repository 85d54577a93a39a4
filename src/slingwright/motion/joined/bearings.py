"""What rubs: axle, hanger pin, wheels and the surface under the projectile.

Joined by `code.py`; everything under the line of dashes is copied as it is.
"""

from __future__ import annotations

import math

import numpy as np

# --------------------------------------------------------------------------------------------------

TROUGH, FREE, SWING = 1, 2, 3
SIZE = 2 * COORDINATES + 1
OUT_OF_TIME, OUT_OF_STEPS, BROKEN = 8, 9, 10

# Places in the work vector past the equations' own.
CONTACT, RUBBING, AXLE_TORQUE, HANGER_TORQUE, ROLLING, JAMMED = range(WORK, WORK + 6)

# Accelerations by cause, each with the trough's answer to it: none, axle, pin, wheels; the push.
FREELY = WORK + 6
BY_AXLE, BY_PIN, BY_WHEELS = (
    FREELY + COORDINATES,
    FREELY + 2 * COORDINATES,
    FREELY + 3 * COORDINATES,
)
PUSH, ONE = FREELY + 4 * COORDINATES, FREELY + 5 * COORDINATES
WORK_SIZE = FREELY + 6 * COORDINATES

SLOW = 0.02
"""Bearings: friction is full above this many times the machine's own turning rate sqrt(g / L)."""


@inner
def times(w, rows, vector):
    """Product of a row of weights and a vector, both places in w."""
    total = 0.0
    for i in range(COORDINATES):
        total += w[rows + i] * w[vector + i]
    return total


@inner
def answer(stage, w, vector, rest, up_up):
    """Contact force that keeps the projectile on the trough against `vector`, which it changes."""
    if stage != TROUGH:
        return 0.0
    plain = np.int64(0)
    contact = -(times(w, BALL_UP + plain, vector) + rest) / up_up
    for i in range(COORDINATES):
        w[vector + i] += contact * w[PUSH + i]
    return contact


@inner
def sense(turning, full):
    """From -1 to 1: which way a bearing turns, smooth within some `full` of standing still."""
    part = turning / full
    if abs(part) > 20.0:
        return 1.0 if part > 0.0 else -1.0
    return math.tanh(part)


@inner
def friction(stage, drag, up_up, contact, y, p, K, w):
    """Torques at axle and pin and the wheels' resistance; returns the contact force with them.

    Each depends on the load where it rubs, and the loads depend on the accelerations, which depend
    on them: as all but the size of a load is linear, the answer to a unit of each is worked out
    once and the three are found by repeating until nothing changes.
    """
    n = COORDINATES
    # Plain integers: numba would compile `times` and `solve` anew for each literal place.
    plain = np.int64(0)
    load_x_at, load_y_at, pin_x_at, pin_y_at = (
        LOAD_X + plain,
        LOAD_Y + plain,
        PIN_X + plain,
        PIN_Y + plain,
    )
    none, one, by_axle, by_pin = FREELY + plain, ONE + plain, BY_AXLE + plain, BY_PIN + plain
    by_wheels = BY_WHEELS + plain
    load_rows(y, K, w)
    own_rate = SLOW * math.sqrt(p[P_SITE_GRAVITY] / p[P_ARM_LONG])
    turning = y[n + ELEVATION]
    full_axle = 0.5 * p[P_AXLE_FRICTION] * p[P_AXLE_DIAMETER] * sense(turning, own_rate)
    for i in range(n):
        w[ONE + i] = 0.0
    w[ONE + ELEVATION] = -1.0
    solve(w, one, by_axle)
    contact_axle = answer(stage, w, by_axle, 0.0, up_up)
    full_pin, contact_pin = 0.0, 0.0
    if HANGER >= 0:
        swinging = turning + y[n + HANGER]
        full_pin = 0.5 * p[P_HANGER_FRICTION] * p[P_HANGER_PIN] * sense(swinging, own_rate)
        w[ONE + HANGER] = -1.0
        solve(w, one, by_pin)
        contact_pin = answer(stage, w, by_pin, 0.0, up_up)
    full_wheels, contact_wheels = 0.0, 0.0
    if BASE >= 0:
        speed = SLOW * math.sqrt(p[P_SITE_GRAVITY] * p[P_ARM_LONG])
        full_wheels = p[P_BASE_ROLLING] * sense(y[n + BASE], speed)
        w[ONE + ELEVATION] = 0.0
        if HANGER >= 0:
            w[ONE + HANGER] = 0.0
        w[ONE + BASE] = -1.0
        solve(w, one, by_wheels)
        contact_wheels = answer(stage, w, by_wheels, 0.0, up_up)

    x_0 = w[LOAD_X + n] + times(w, load_x_at, none) - drag * contact
    y_0 = w[LOAD_Y + n] + times(w, load_y_at, none) - contact
    x_axle = times(w, load_x_at, by_axle) - drag * contact_axle
    y_axle = times(w, load_y_at, by_axle) - contact_axle
    x_pin, y_pin, x_wheels, y_wheels = 0.0, 0.0, 0.0, 0.0
    pin_x_0, pin_x_axle, pin_x_pin, pin_x_wheels = 0.0, 0.0, 0.0, 0.0
    pin_y_0, pin_y_axle, pin_y_pin, pin_y_wheels = 0.0, 0.0, 0.0, 0.0
    if HANGER >= 0:
        x_pin = times(w, load_x_at, by_pin) - drag * contact_pin
        y_pin = times(w, load_y_at, by_pin) - contact_pin
        pin_x_0 = w[PIN_X + n] + times(w, pin_x_at, none)
        pin_y_0 = w[PIN_Y + n] + times(w, pin_y_at, none)
        pin_x_axle, pin_y_axle = times(w, pin_x_at, by_axle), times(w, pin_y_at, by_axle)
        pin_x_pin, pin_y_pin = times(w, pin_x_at, by_pin), times(w, pin_y_at, by_pin)
    if BASE >= 0:
        x_wheels = times(w, load_x_at, by_wheels) - drag * contact_wheels
        y_wheels = times(w, load_y_at, by_wheels) - contact_wheels
        if HANGER >= 0:
            pin_x_wheels, pin_y_wheels = (
                times(w, pin_x_at, by_wheels),
                times(w, pin_y_at, by_wheels),
            )

    axle, pin, roll = 0.0, 0.0, 0.0
    for _ in range(60):
        load_x = x_0 + axle * x_axle + pin * x_pin + roll * x_wheels
        load_y = y_0 + axle * y_axle + pin * y_pin + roll * y_wheels
        new_axle = full_axle * math.sqrt(load_x * load_x + load_y * load_y)
        change, size = abs(new_axle - axle), abs(new_axle)
        new_pin, new_roll = 0.0, 0.0
        if HANGER >= 0:
            pin_x = pin_x_0 + axle * pin_x_axle + pin * pin_x_pin + roll * pin_x_wheels
            pin_y = pin_y_0 + axle * pin_y_axle + pin * pin_y_pin + roll * pin_y_wheels
            new_pin = full_pin * math.sqrt(pin_x * pin_x + pin_y * pin_y)
            change += abs(new_pin - pin)
            size += abs(new_pin)
        if BASE >= 0:
            on_ground = load_y + p[P_BASE_MASS] * p[P_SITE_GRAVITY] + contact
            on_ground += axle * contact_axle + pin * contact_pin + roll * contact_wheels
            new_roll = full_wheels * max(0.0, on_ground)
            change += abs(new_roll - roll) * p[P_ARM_LONG]
            size += abs(new_roll) * p[P_ARM_LONG]
        axle, pin, roll = new_axle, new_pin, new_roll
        if change <= 1e-12 * size:
            break
    w[AXLE_TORQUE], w[HANGER_TORQUE], w[ROLLING] = axle, pin, roll
    return contact + axle * contact_axle + pin * contact_pin + roll * contact_wheels


@inlined
def respond(stage, drag, lost, y, p, K, w, k, row):
    """Rates of the state into a row of k, from the forces that stand in w after `prepare`.

    stage TROUGH: the projectile lies on a surface, which rubs with `drag` times its push.
    lost: power that goes to heat besides.  Contact force and torques are left in w.
    """
    n = COORDINATES
    plain = np.int64(0)
    none, one, push, ball_up = FREELY + plain, ONE + plain, PUSH + plain, BALL_UP + plain
    solve(w, FORCE + plain, none)
    up_up, contact = 1.0, 0.0
    if stage == TROUGH:
        ball_rows(y, K, w)
        for i in range(n):
            w[ONE + i] = w[BALL_UP + i] + drag * w[BALL_ALONG + i]
        solve(w, one, push)
        up_up = times(w, ball_up, push)
        if up_up <= 0.0:
            w[JAMMED] = 1.0
            up_up = 1e300
        contact = answer(stage, w, none, w[BALL_UP + n], up_up)
    rough = p[P_AXLE_FRICTION] > 0.0
    if HANGER >= 0:
        rough = rough or p[P_HANGER_FRICTION] > 0.0
    if BASE >= 0:
        rough = rough or p[P_BASE_ROLLING] > 0.0
    w[AXLE_TORQUE], w[HANGER_TORQUE], w[ROLLING] = 0.0, 0.0, 0.0
    if rough:
        contact = friction(stage, drag, up_up, contact, y, p, K, w)
        axle, pin, roll = w[AXLE_TORQUE], w[HANGER_TORQUE], w[ROLLING]
        lost += axle * y[n + ELEVATION]
        if HANGER >= 0:
            lost += pin * (y[n + ELEVATION] + y[n + HANGER])
        if BASE >= 0:
            lost += roll * y[n + BASE]
        for i in range(n):
            a = w[FREELY + i] + axle * w[BY_AXLE + i]
            if HANGER >= 0:
                a += pin * w[BY_PIN + i]
            if BASE >= 0:
                a += roll * w[BY_WHEELS + i]
            k[row, n + i] = a
    else:
        for i in range(n):
            k[row, n + i] = w[FREELY + i]
    if stage == TROUGH:
        along = 0.0
        for i in range(n):
            along += w[BALL_ALONG + i] * y[n + i]
        lost -= drag * contact * along
    for i in range(n):
        k[row, i] = y[n + i]
    k[row, 2 * n] = lost
    w[CONTACT], w[RUBBING] = contact, drag * contact


@inner
def box_bottom(y, w, p):
    """Height of the lowest corner of the counterweight box; prepare has filled w."""
    pin_y = p[P_AXLE_HEIGHT] - p[P_ARM_SHORT] * w[0]
    sine, cosine = w[0], w[1]
    if HANGER >= 0:
        sine, cosine = w[2], w[3]
        pin_y -= p[P_COUNTERWEIGHT_HANGER] * cosine
    reach = p[P_COUNTERWEIGHT_HEIGHT] * abs(cosine) + p[P_COUNTERWEIGHT_WIDTH] * abs(sine)
    return pin_y - 0.5 * reach

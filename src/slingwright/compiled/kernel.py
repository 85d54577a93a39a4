"""The throw, phase by phase, on one machine kind's equations.

This text is never imported as it stands: `codegen.py` joins it to the equations of a machine kind
and to the unrolled step, so that numba compiles them as one module.  What it takes from there is
named in the import below; everything under the line of dashes is copied as it is.

State y: coordinates (n), their rates (n), work lost to friction (1).  `stage` is TROUGH, FREE or
SWING; `slide` is the sense in which the projectile slides in the trough, +1 forward.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from .equations import (
        BALL_ALONG,
        BALL_UP,
        BASE,
        COORDINATES,
        ELEVATION,
        FORCE,
        HANGER,
        LOAD_X,
        LOAD_Y,
        P_ARM_COCKED,
        P_ARM_LONG,
        P_AXLE_DIAMETER,
        P_AXLE_FRICTION,
        P_AXLE_HEIGHT,
        P_BASE_MASS,
        P_BASE_ROLLING,
        P_COUNTERWEIGHT_HEIGHT,
        P_COUNTERWEIGHT_MASS,
        P_COUNTERWEIGHT_WIDTH,
        P_HANGER_FRICTION,
        P_HANGER_PIN,
        P_PROJECTILE_DIAMETER,
        P_PROJECTILE_MASS,
        P_RELEASE_ANGLE,
        P_SITE_GRAVITY,
        P_SLING_LENGTH,
        P_SLING_MASS,
        P_SLING_POUCH,
        P_TROUGH_FRICTION,
        P_TROUGH_HEIGHT,
        PIN_X,
        PIN_Y,
        SLING,
        WORK,
        CONSTANTS,
        ball_rows,
        ball_velocity,
        compiled,
        constants,
        dense,
        load_rows,
        part_energies,
        part_forces,
        places,
        prepare,
        solve,
        step,
    )

# --------------------------------------------------------------------------------------------------

TROUGH, FREE, SWING = 1, 2, 3
SIZE = 2 * COORDINATES + 1

# What ends a stage: places in the vector of events, each ends its stage when it falls below 0.
LIFTED, TURNED_BACK, SLIPPED, SLACK, GROUNDED, BOXED, STALLED, EVENTS = 0, 1, 2, 3, 4, 5, 6, 7
OUT_OF_TIME, OUT_OF_STEPS, BROKEN = 8, 9, 10

# Places in the work vector past the equations' own.
CONTACT, RUBBING, AXLE_TORQUE, HANGER_TORQUE, ROLLING, JAMMED = range(WORK, WORK + 6)
SCRATCH = WORK + 6
WORK_SIZE = SCRATCH + 7 * COORDINATES

SLOW = 0.02
"""Bearings: friction is full above this many times the machine's own turning rate sqrt(g / L)."""


@compiled
def lie_in_trough(q, v, p):
    """Put the sling where the projectile lies on the trough: its angle and rate from the arm's."""
    e, e_dot = q[ELEVATION], v[ELEVATION]
    length, arm = p[P_SLING_LENGTH], p[P_ARM_LONG]
    level = p[P_TROUGH_HEIGHT] + 0.5 * p[P_PROJECTILE_DIAMETER]
    rise = (level - p[P_AXLE_HEIGHT] - arm * math.sin(e)) / length
    rise = min(1.0, max(-1.0, rise))
    q[SLING] = -math.pi - math.asin(rise)
    cosine = -math.sqrt(max(1e-300, 1.0 - rise * rise))
    v[SLING] = -arm * math.cos(e) * e_dot / (length * cosine)


@compiled
def rhs(stage, slide, y, p, K, w, out):
    """Rates of the state; contact force, friction and torques are left in w.

    Friction at axle, pin and wheels depends on the loads there and those on the accelerations:
    they are solved together, by repeating until nothing changes.
    """
    n = COORDINATES
    q, v = y[:n], y[n : 2 * n]
    if stage == TROUGH:
        lie_in_trough(q, v, p)
    prepare(q, v, K, w)
    a = out[n : 2 * n]
    solve(w, w[FORCE : FORCE + n], a)
    contact, rubbing, lost = 0.0, 0.0, 0.0
    up_up, up_rest = 1.0, 0.0
    push = w[SCRATCH : SCRATCH + n]
    one = w[SCRATCH + n : SCRATCH + 2 * n]
    free_a = w[SCRATCH + 2 * n : SCRATCH + 3 * n]
    if stage == TROUGH:
        ball_rows(v, K, w)
        drag = -slide * p[P_TROUGH_FRICTION]
        for i in range(n):
            one[i] = w[BALL_UP + i] + drag * w[BALL_ALONG + i]
        solve(w, one, push)
        up_up = 0.0
        up_rest = w[BALL_UP + n]
        up_free = 0.0
        for i in range(n):
            up_up += w[BALL_UP + i] * push[i]
            up_free += w[BALL_UP + i] * a[i]
        if up_up <= 0.0:
            w[JAMMED] = 1.0
            up_up = 1e300
        contact = -(up_rest + up_free) / up_up
        rubbing = drag * contact
    rough_axle = 0.5 * p[P_AXLE_FRICTION] * p[P_AXLE_DIAMETER]
    rough_pin = 0.5 * p[P_HANGER_FRICTION] * p[P_HANGER_PIN] if HANGER >= 0 else 0.0
    rough_wheels = p[P_BASE_ROLLING] if BASE >= 0 else 0.0
    torque_axle, torque_pin, roll = 0.0, 0.0, 0.0
    if rough_axle > 0.0 or rough_pin > 0.0 or rough_wheels > 0.0:
        load_rows(v, K, w)
        own_rate = SLOW * math.sqrt(p[P_SITE_GRAVITY] / p[P_ARM_LONG])
        turn_axle = rough_axle * math.tanh(v[ELEVATION] / own_rate)
        turn_pin, turn_wheels = 0.0, 0.0
        by_axle = w[SCRATCH + 3 * n : SCRATCH + 4 * n]
        by_pin = w[SCRATCH + 4 * n : SCRATCH + 5 * n]
        by_wheels = w[SCRATCH + 5 * n : SCRATCH + 6 * n]
        for i in range(n):
            free_a[i] = a[i]
            one[i] = 0.0
        one[ELEVATION] = -1.0
        solve(w, one, by_axle)
        if HANGER >= 0:
            turn_pin = rough_pin * math.tanh((v[ELEVATION] + v[HANGER]) / own_rate)
            one[HANGER] = -1.0
            solve(w, one, by_pin)
            one[HANGER] = 0.0
        if BASE >= 0:
            speed = SLOW * math.sqrt(p[P_SITE_GRAVITY] * p[P_ARM_LONG])
            turn_wheels = rough_wheels * math.tanh(v[BASE] / speed)
            one[ELEVATION] = 0.0
            one[BASE] = -1.0
            solve(w, one, by_wheels)
        for i in range(n):
            a[i] = free_a[i] + contact * push[i] if stage == TROUGH else free_a[i]
        for _ in range(60):
            load_x, load_y = w[LOAD_X + n] - rubbing, w[LOAD_Y + n] - contact
            pin_x, pin_y = w[PIN_X + n], w[PIN_Y + n]
            for i in range(n):
                load_x += w[LOAD_X + i] * a[i]
                load_y += w[LOAD_Y + i] * a[i]
                pin_x += w[PIN_X + i] * a[i]
                pin_y += w[PIN_Y + i] * a[i]
            last_axle, last_pin, last_roll = torque_axle, torque_pin, roll
            torque_axle = turn_axle * math.sqrt(load_x * load_x + load_y * load_y)
            torque_pin = turn_pin * math.sqrt(pin_x * pin_x + pin_y * pin_y)
            if BASE >= 0:
                on_ground = load_y + contact + p[P_BASE_MASS] * p[P_SITE_GRAVITY]
                roll = turn_wheels * max(0.0, on_ground)
            up_free = 0.0
            for i in range(n):
                a[i] = free_a[i] + torque_axle * by_axle[i]
                if HANGER >= 0:
                    a[i] += torque_pin * by_pin[i]
                if BASE >= 0:
                    a[i] += roll * by_wheels[i]
            if stage == TROUGH:
                for i in range(n):
                    up_free += w[BALL_UP + i] * a[i]
                contact = -(up_rest + up_free) / up_up
                rubbing = drag * contact
                for i in range(n):
                    a[i] += contact * push[i]
            change = abs(torque_axle - last_axle) + abs(torque_pin - last_pin)
            change += abs(roll - last_roll) * p[P_ARM_LONG]
            size = abs(torque_axle) + abs(torque_pin) + abs(roll) * p[P_ARM_LONG]
            if change <= 1e-15 * size:
                break
        lost = torque_axle * v[ELEVATION]
        if HANGER >= 0:
            lost += torque_pin * (v[ELEVATION] + v[HANGER])
        if BASE >= 0:
            lost += roll * v[BASE]
    elif stage == TROUGH:
        for i in range(n):
            a[i] += contact * push[i]
    if stage == TROUGH:
        along = 0.0
        for i in range(n):
            along += w[BALL_ALONG + i] * v[i]
        lost -= rubbing * along
    for i in range(n):
        out[i] = v[i]
    out[2 * n] = lost
    w[CONTACT], w[RUBBING] = contact, rubbing
    w[AXLE_TORQUE], w[HANGER_TORQUE], w[ROLLING] = torque_axle, torque_pin, roll


@compiled
def tension(q, v, a, contact, rubbing, K, parts):
    """Smaller of the sling's pulls at tip and pouch; the forces stay in parts (8)."""
    part_forces(q, v, a, contact, rubbing, K, parts)
    along_x, along_y = -math.cos(q[SLING]), math.sin(q[SLING])
    at_pouch = -(parts[0] * along_x + parts[4] * along_y)
    at_tip = -(parts[1] * along_x + parts[5] * along_y)
    return min(at_pouch, at_tip)


@compiled
def box_bottom(q, p):
    """Height of the lowest corner of the weight box."""
    pin_y = p[P_AXLE_HEIGHT] - p[P_ARM_SHORT] * math.sin(q[ELEVATION])
    turn = q[ELEVATION]
    if HANGER >= 0:
        turn = q[HANGER]
        pin_y -= p[P_COUNTERWEIGHT_HANGER] * math.cos(turn)
    reach = p[P_COUNTERWEIGHT_HEIGHT] * abs(math.cos(turn))
    return pin_y - 0.5 * (reach + p[P_COUNTERWEIGHT_WIDTH] * abs(math.sin(turn)))


@compiled
def watch(stage, slide, y, f, p, K, w, events):
    """What each event has left to go: the stage ends where one falls below 0."""
    n = COORDINATES
    q, v, a = y[:n], y[n : 2 * n], f[n : 2 * n]
    parts = w[SCRATCH : SCRATCH + 8]
    for i in range(EVENTS):
        events[i] = 1.0
    events[BOXED] = box_bottom(q, p)
    if stage == SWING:
        return
    events[SLACK] = tension(q, v, a, w[CONTACT], w[RUBBING], K, parts)
    events[SLIPPED] = q[ELEVATION] - q[SLING] - p[P_RELEASE_ANGLE]
    if stage == TROUGH:
        events[LIFTED] = w[CONTACT]
        events[STALLED] = v[ELEVATION]
        along = 0.0
        for i in range(n):
            along += w[BALL_ALONG + i] * v[i]
        events[TURNED_BACK] = slide * along
    else:
        height = p[P_AXLE_HEIGHT] + p[P_ARM_LONG] * math.sin(q[ELEVATION])
        height += p[P_SLING_LENGTH] * math.sin(q[SLING])
        events[GROUNDED] = height - (0.5 - 1e-9) * p[P_PROJECTILE_DIAMETER] + 1e-9 * height


@compiled
def place_event(which, stage, slide, y, h, before, after, p, K, w, k, y_stage, y_new, weight, events):
    """Part of the step at which event `which` reaches 0; the step to there is left made."""
    low, high, at_low, at_high = 0.0, 1.0, before, after
    part = 1.0
    side = 0
    fine = 1e-15 if which == SLIPPED else 1e-11
    for _ in range(60):
        if which == SLIPPED and part < 1.0:
            n = COORDINATES
            fall = (k[12, ELEVATION] - k[12, SLING]) * h
            guess = part - events[which] / fall if fall < 0.0 else -1.0
        else:
            guess = (low * at_high - high * at_low) / (at_high - at_low)
        if not low < guess < high:
            guess = 0.5 * (low + high)
        moved = abs(guess - part)
        part = guess
        step(stage, slide, y, part * h, 1.0, weight, p, K, w, k, y_stage, y_new)
        watch(stage, slide, y_new, k[12], p, K, w, events)
        value = events[which]
        if value > 0.0:
            low, at_low = part, value
            if side == 1:
                at_high *= 0.5
            side = 1
        else:
            high, at_high = part, value
            if side == -1:
                at_low *= 0.5
            side = -1
        if moved <= fine or value == 0.0 or high - low <= 1e-15:
            break
    return part


@compiled
def run_stage(stage, run, y, p, K, w, k, y_stage, y_new, weight, events, record):
    """Step through one stage until an event or the end of its time; returns what ended it.

    run: [time, step size, slide, end time, tolerance, steps left, longest step, steps recorded,
    events that count (bit mask)].
    record: (times, sizes, marks, states, interpolants), empty where nothing is kept.
    """
    times, sizes, marks, states, interpolants = record
    f = k[0]
    before = np.empty(EVENTS)
    rhs(stage, run[2], y, p, K, w, f)
    watch(stage, run[2], y, f, p, K, w, before)
    while True:
        left = run[3] - run[0]
        if left <= 1e-14 * run[3]:
            return OUT_OF_TIME
        if run[5] <= 0.0:
            return OUT_OF_STEPS
        run[5] -= 1.0
        h = min(run[1], run[6], left)
        error = step(stage, run[2], y, h, run[4], weight, p, K, w, k, y_stage, y_new)
        if w[JAMMED] > 0.0:
            return STALLED
        if not error < 1e300:
            run[1] = 0.1 * h
            if run[1] < 1e-14 * (run[6] + run[0]):
                return BROKEN
            continue
        if error > 1.0:
            run[1] = h * max(0.2, 0.9 * error**-0.125)
            if run[1] < 1e-14 * (run[6] + run[0]):
                return BROKEN
            continue
        watch(stage, run[2], y_new, k[12], p, K, w, events)
        ended = -1
        part = 1.0
        for which in range(EVENTS):
            if events[which] < 0.0 < before[which] and int(run[8]) >> which & 1:
                after = events[which]
                if ended >= 0:
                    step(stage, run[2], y, h, 1.0, weight, p, K, w, k, y_stage, y_new)
                here = place_event(
                    which, stage, run[2], y, h, before[which], after,
                    p, K, w, k, y_stage, y_new, weight, events,
                )  # fmt: skip
                if here < part or ended < 0:
                    part, ended = here, which
                step(stage, run[2], y, h, 1.0, weight, p, K, w, k, y_stage, y_new)
                watch(stage, run[2], y_new, k[12], p, K, w, events)
        if ended >= 0 and part < 1.0:
            step(stage, run[2], y, part * h, 1.0, weight, p, K, w, k, y_stage, y_new)
            watch(stage, run[2], y_new, k[12], p, K, w, events)
        kept = int(run[7])
        if kept < times.shape[0]:
            times[kept], sizes[kept] = run[0], part * h
            marks[kept] = stage if run[2] >= 0.0 else -stage
            states[kept, :] = y
            dense(stage, run[2], y, y_new, part * h, p, K, w, k, y_stage, interpolants[kept])
        if times.shape[0] > 0:
            run[7] += 1.0
        run[0] += part * h
        run[1] = h * min(6.0, 0.9 * max(error, 1e-12) ** -0.125)
        for i in range(SIZE):
            y[i] = y_new[i]
        if ended >= 0:
            return ended
        for i in range(SIZE):
            f[i] = k[12, i]
        for i in range(EVENTS):
            before[i] = events[i] if events[i] != 0.0 else before[i]


@compiled
def total_energy(y, K, parts):
    """Kinetic plus potential energy of all that moves."""
    n = COORDINATES
    part_energies(y[:n], y[n : 2 * n], K, parts)
    total = parts[0] + parts[1] + parts[2] + parts[3]
    if BASE >= 0:
        total += parts[4]
    return total

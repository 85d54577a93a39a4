"""The throw, phase by phase, on one machine kind's equations.

This text is never imported as it stands: `codegen.py` joins it to the equations of a machine kind
and to the unrolled step, so that numba compiles them as one module.  Everything under the line of
dashes is copied as it is; names that stand nowhere in this file come from equations and step.

State y: coordinates (n), their rates (n), work lost to friction (1).  `stage` is TROUGH, FREE or
SWING; `slide` is the sense in which the projectile slides in the trough, +1 forward.
"""

from __future__ import annotations

import math

import numpy as np

# --------------------------------------------------------------------------------------------------

TROUGH, FREE, SWING = 1, 2, 3
SIZE = 2 * COORDINATES + 1

# What ends a stage: places in the vector of events, each ends its stage when it falls below 0.
LIFTED, TURNED_BACK, SLIPPED, SLACK, GROUNDED, BOXED, STALLED, UPRIGHT = 0, 1, 2, 3, 4, 5, 6, 7
EVENTS = 8
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
def lie_in_trough(y, p):
    """Put the sling where the projectile lies on the trough: its angle and rate from the arm's."""
    e, e_dot = y[ELEVATION], y[COORDINATES + ELEVATION]
    length, arm = p[P_SLING_LENGTH], p[P_ARM_LONG]
    level = p[P_TROUGH_HEIGHT] + 0.5 * p[P_PROJECTILE_DIAMETER]
    rise = (level - p[P_AXLE_HEIGHT] - arm * math.sin(e)) / length
    rise = min(1.0, max(-1.0, rise))
    y[SLING] = -math.pi - math.asin(rise)
    # Past upright there is no such place: trial steps may ask for one, the event UPRIGHT ends it.
    cosine = -math.sqrt(max(1e-6, 1.0 - rise * rise))
    y[COORDINATES + SLING] = -arm * math.cos(e) * e_dot / (length * cosine)


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
def rhs(stage, slide, y, p, K, w, k, row):
    """Rates of the state into a row of k; contact force, friction and torques are left in w."""
    n = COORDINATES
    plain = np.int64(0)
    none, one, push, ball_up = FREELY + plain, ONE + plain, PUSH + plain, BALL_UP + plain
    if stage == TROUGH:
        lie_in_trough(y, p)
    prepare(y, K, w)
    solve(w, FORCE + plain, none)
    drag, up_up, contact, lost = 0.0, 1.0, 0.0, 0.0
    if stage == TROUGH:
        ball_rows(y, K, w)
        drag = -slide * p[P_TROUGH_FRICTION]
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
        lost = axle * y[n + ELEVATION]
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


@compiled
def rates(stage, slide, y, p, K, w, k, row):
    """`rhs` as a function of its own, for all callers but the step, which has it written in."""
    rhs(stage, slide, y, p, K, w, k, row)


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


@inner
def watch(stage, slide, y, k, row, p, K, w, parts, events):
    """What each event has left to go: the stage ends where one falls below 0.

    Rates of y are in row `row` of k, and rhs was just called with it.
    """
    n = COORDINATES
    for i in range(EVENTS):
        events[i] = 1.0
    events[BOXED] = box_bottom(y, w, p)
    if stage == SWING:
        return
    part_forces(y, k, row, w[CONTACT], w[RUBBING], K, w, parts)
    along_x, along_y = -w[5], w[4]
    at_pouch = -(parts[0] * along_x + parts[4] * along_y)
    at_tip = -(parts[1] * along_x + parts[5] * along_y)
    events[SLACK] = min(at_pouch, at_tip)
    events[SLIPPED] = y[ELEVATION] - y[SLING] - p[P_RELEASE_ANGLE]
    if stage == TROUGH:
        events[LIFTED] = w[CONTACT]
        events[STALLED] = y[n + ELEVATION]
        events[UPRIGHT] = 1.0 - 1e-4 - abs(w[4])
        along = 0.0
        for i in range(n):
            along += w[BALL_ALONG + i] * y[n + i]
        events[TURNED_BACK] = slide * along
    else:
        height = p[P_AXLE_HEIGHT] + p[P_ARM_LONG] * w[0] + p[P_SLING_LENGTH] * w[4]
        events[GROUNDED] = height - (0.5 - 1e-9) * p[P_PROJECTILE_DIAMETER] + 1e-9 * height


@inner
def event_inside(which, stage, slide, y, part, F, p, K, w, k, y_stage, parts, events):
    """What event `which` has left to go at `part` of the step, from the step's interpolant."""
    between(y, F, part, y_stage)
    if which == SLIPPED:
        return y_stage[ELEVATION] - y_stage[SLING] - p[P_RELEASE_ANGLE]
    spare = np.int64(13)
    rates(stage, slide, y_stage, p, K, w, k, spare)
    watch(stage, slide, y_stage, k, spare, p, K, w, parts, events)
    return events[which]


@inner
def find_inside(
    which, stage, slide, y, before, after, F, p, K, w, k, y_stage, parts, events, found
):
    """Part of the step where the interpolant has event `which`, and its slope there, in found."""
    low, high, at_low, at_high = 0.0, 1.0, before, after
    side = 0
    for _ in range(60):
        part = (low * at_high - high * at_low) / (at_high - at_low)
        if not low < part < high:
            part = 0.5 * (low + high)
        value = event_inside(
            which, stage, slide, y, part, F, p, K, w, k, y_stage, parts, events
        )  # fmt: skip
        if value > 0.0:
            found[1] = (value - at_low) / (part - low) if part > low else found[1]
            low, at_low = part, value
            if side == 1:
                at_high *= 0.5
            side = 1
        else:
            found[1] = (at_high - value) / (high - part) if high > part else found[1]
            high, at_high = part, value
            if side == -1:
                at_low *= 0.5
            side = -1
        found[0] = part
        if high - low <= 1e-9 or abs(value) <= 1e-10 * (before - after):
            break


@inner
def place_event(
    which, stage, slide, y, h, part, slope, size, p, K, w, k, y_new, weight, parts, events
):
    """Step again to `part` of the step, and by Newton's rule to where event `which` stands at 0."""
    last = np.int64(12)
    for _ in range(8):
        step(stage, slide, y, part * h, 1.0, weight, p, K, w, k, y_new)
        watch(stage, slide, y_new, k, last, p, K, w, parts, events)
        value = events[which]
        if which == SLIPPED:
            slope = (k[12, ELEVATION] - k[12, SLING]) * h
            if abs(value) <= 4e-15:
                break
        elif abs(value) <= 1e-8 * size:
            break
        change = -value / slope if slope < 0.0 else 0.0
        if not 0.0 < part + change <= 1.0 or abs(change) <= 1e-16:
            break
        part += change
    return part


@inner
def run_stage(stage, run, y, p, K, w, k, y_stage, y_new, weight, parts, events, record):
    """Step through one stage until an event or the end of its time; returns what ended it.

    run: [time, step size, slide, end time, tolerance, steps left, longest step, steps recorded,
    events that count (bit mask)].
    record: (times, sizes, marks, states, interpolants), empty where nothing is kept.
    """
    times, sizes, marks, states, interpolants = record
    before, after, due = np.empty(EVENTS), np.empty(EVENTS), np.zeros(EVENTS, np.bool_)
    F, found = np.empty((7, SIZE)), np.zeros(2)
    first, last = np.int64(0), np.int64(12)
    rates(stage, run[2], y, p, K, w, k, first)
    watch(stage, run[2], y, k, first, p, K, w, parts, before)
    for which in range(EVENTS):
        # Friction may have turned since the last stage, and with it a force.
        if before[which] < 0.0 and int(run[8]) >> which & 1 and which not in (TURNED_BACK, STALLED):
            return which
    while True:
        left = run[3] - run[0]
        if left <= 1e-14 * run[3]:
            return OUT_OF_TIME
        if run[5] <= 0.0:
            return OUT_OF_STEPS
        run[5] -= 1.0
        h = min(run[1], run[6], left)
        error = step(stage, run[2], y, h, run[4], weight, p, K, w, k, y_new)
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
        watch(stage, run[2], y_new, k, last, p, K, w, parts, events)
        ended = np.int64(-1)
        part = 1.0
        any_due = False
        for which in range(EVENTS):
            due[which] = events[which] < 0.0 < before[which] and int(run[8]) >> which & 1
            after[which] = events[which]
            any_due = any_due or due[which]
        if any_due:
            dense(stage, run[2], y, y_new, h, p, K, w, k, y_stage, F)
            slope = 0.0
            for which in range(EVENTS):
                if due[which]:
                    find_inside(
                        which, stage, run[2], y, before[which], after[which], F,
                        p, K, w, k, y_stage, parts, events, found,
                    )  # fmt: skip
                    if found[0] < part or ended < 0:
                        part, slope, ended = found[0], found[1], which
            size = before[ended] - after[ended]
            part = place_event(
                ended, stage, run[2], y, h, part, slope, size,
                p, K, w, k, y_new, weight, parts, events,
            )  # fmt: skip
        kept = int(run[7])
        if kept < times.shape[0]:
            times[kept], sizes[kept] = run[0], part * h
            marks[kept] = stage if run[2] >= 0.0 else -stage
            for i in range(SIZE):
                states[kept, i] = y[i]
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
            k[0, i] = k[12, i]
        for i in range(EVENTS):
            before[i] = events[i] if events[i] != 0.0 else before[i]


@inner
def total_energy(y, K, parts):
    """Kinetic plus potential energy of all that moves."""
    part_energies(y, K, parts)
    total = parts[0] + parts[1] + parts[2] + parts[3]
    if BASE >= 0:
        total += parts[4]
    return total

"""Stepping through a stage until something ends it.

Joined by `code.py`; everything under the line of dashes is copied as it is.
"""

from __future__ import annotations

import math

import numpy as np

# --------------------------------------------------------------------------------------------------


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
    best, best_part = np.inf, part
    for _ in range(8):
        step(stage, slide, y, part * h, 1.0, weight, p, K, w, k, y_new)
        watch(stage, slide, y_new, k, last, p, K, w, parts, events)
        value = events[which]
        if which == GROUNDED and abs(value) >= best:
            # What lies under it jumps here: there is no nearer place.
            part = best_part
            step(stage, slide, y, part * h, 1.0, weight, p, K, w, k, y_new)
            watch(stage, slide, y_new, k, last, p, K, w, parts, events)
            break
        best, best_part = abs(value), part
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
def dips(low, falls, low_after, falls_after, h):
    """Whether a height that stands above 0 at both ends of a step is below 0 between: the cubic.

    low, low_after: the heights; falls, falls_after: their rates.
    """
    if not (low > 0.0 and low_after > 0.0 and falls < 0.0 and falls_after > 0.0):
        return False
    if min(low + falls * h, low_after - falls_after * h) >= 0.0:
        return False
    slope, turn = falls * h, falls_after * h
    b, c = 3.0 * (low_after - low) - 2.0 * slope - turn, 2.0 * (low - low_after) + slope + turn
    part = -slope / (b + math.sqrt(max(0.0, b * b - 3.0 * slope * c)))
    return low + part * (slope + part * (b + part * c)) < 0.0


@inner
def may_bend_below(past, span, before, after, h):
    """Whether the parabola through three values, `span` and h apart, dips below the last two.

    One step then shows too little: halved, it shows whether the values come to 0 between.
    """
    if not (past > 0.0 and before > 0.0 and after > 0.0):
        return False
    first, second = (before - past) / span, (after - before) / h
    curve = (second - first) / (span + h)
    slope = first + curve * span
    if not (slope < 0.0 < slope + 2.0 * curve * h):
        return False
    return before - 0.25 * slope * slope / curve < 0.9 * min(before, after)


@inner
def bends_below(stage, slide, y, y_new, before, after, h, F, p, K, w, k, y_stage, parts, events):
    """Whether the step's interpolant has a pull well below those at both of its ends.

    Looked for only where the pull changes to twice or half: elsewhere the parabola tells.  Where
    it has only just begun, its hair's breadth above 0 is no dip.
    """
    least, most = min(before, after), max(before, after)
    if least <= 1e-3 * most or most < 2.0 * least:
        return False
    dense(stage, slide, y, y_new, h, p, K, w, k, y_stage, F)
    for quarter in range(1, 4):
        inside = event_inside(
            PULL, stage, slide, y, 0.25 * quarter, F, p, K, w, k, y_stage, parts, events
        )  # fmt: skip
        if inside < 0.9 * least:
            return True
    return False


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
    past, span = -1.0, 1.0
    rates(stage, run[2], y, p, K, w, k, first)
    watch(stage, run[2], y, k, first, p, K, w, parts, before)
    for which in range(EVENTS):
        # Friction may have turned since the last stage, and with it a force.
        if before[which] < 0.0 and int(run[8]) >> which & 1 and which not in FORGIVEN:
            return which
        if before[which] <= 0.0 and which in AT_ONCE:
            before[which] = 1e-300
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
        if h > 1e-6 * run[6] and touches_between(stage, y, y_new, h, p):
            run[1] = 0.5 * h
            continue
        watch(stage, run[2], y_new, k, last, p, K, w, parts, events)
        looked_for = h > 1e-6 * run[6] and looks_back(stage, int(run[8]))
        if looked_for and may_bend_below(past, span, before[PULL], events[PULL], h):
            run[1] = 0.5 * h
            continue
        if looked_for:
            for i in range(EVENTS):
                after[i] = events[i]
            if bends_below(
                stage, run[2], y, y_new, before[PULL], after[PULL], h, F,
                p, K, w, k, y_stage, parts, events,
            ):  # fmt: skip
                run[1] = 0.5 * h
                continue
            for i in range(EVENTS):
                events[i] = after[i]
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
            if interpolants.shape[1] == 1:
                for i in range(SIZE):
                    interpolants[kept, 0, i] = y_new[i] - y[i]
            else:
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
        past, span = before[PULL], h
        for i in range(EVENTS):
            before[i] = events[i] if events[i] != 0.0 else before[i]


@inner
def total_energy(y, K, parts):
    """Kinetic plus potential energy of all that moves, and what a stretched sling stores."""
    part_energies(y, K, parts)
    total = parts[0] + parts[1] + parts[2] + parts[3]
    if BASE >= 0:
        total += parts[4]
    return total

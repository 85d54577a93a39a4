"""What throws in step need of the code for one throw: each row's start, its lift and its end.

Joined by `code.py` after `recording`; everything under the line of dashes is copied as it is.

Between these and the lanes a throw stands in a row of a table: its state, the rates of that, what
`run_stage` is told, and how it stands.
"""

from __future__ import annotations

import numpy as np

# --------------------------------------------------------------------------------------------------

# Columns of the table, after the state: rates of it first.
T_RATES = SIZE
(T_TIME, T_STEP, T_SLIDE, T_END, T_LEFT, T_LONGEST, T_LIFT, T_BEFORE, T_STAGE,
 T_ENDED) = range(2 * SIZE, 2 * SIZE + 10)  # fmt: skip
TABLE = 2 * SIZE + 10

PATIENCE = 20.0
"""Natural times a stage of a sweep's throw may last."""


@inner
def note(run, y, stage, ended, line):
    """Write how a throw stands into its line of the table."""
    for i in range(SIZE):
        line[i] = y[i]
    line[T_TIME], line[T_STEP], line[T_SLIDE], line[T_END] = run[0], run[1], run[2], run[3]
    line[T_LEFT], line[T_LONGEST], line[T_LIFT] = run[5], run[6], run[9]
    line[T_STAGE], line[T_ENDED] = stage, ended


@inner
def recall(line, tolerance, run, y):
    """How a throw stands, from its line of the table."""
    for i in range(SIZE):
        y[i] = line[i]
    run[0], run[1], run[2], run[3] = line[T_TIME], line[T_STEP], line[T_SLIDE], line[T_END]
    run[5], run[6], run[9] = line[T_LEFT], line[T_LONGEST], line[T_LIFT]
    run[4], run[7], run[8] = tolerance, 0.0, ALL_STOPS


@entry
def start_rows(rows, tolerance, steps, table, queue):
    """Start each throw; returns how many of them slide in the trough, and these in queue."""
    K, w, k = np.empty(CONSTANTS), np.zeros(WORK_SIZE), np.empty((16, SIZE))
    y, weight, run = np.empty(SIZE), np.empty(SIZE), np.zeros(10)
    events, parts = np.empty(EVENTS), np.empty(14)
    waiting = 0
    for row in range(rows.shape[0]):
        p = dials_of(rows[row])
        constants(p, K)
        ready(p, weight, y)
        set_out(run, p, tolerance, steps, ALL_STOPS, PATIENCE)
        w[JAMMED] = 0.0
        stage, ended = begin(run, y, p, K, w, k, parts, events)
        line = table[row]
        if stage == FREE:
            note(run, y, TROUGH, LIFTED, line)
            continue
        for which in range(EVENTS):
            if events[which] < 0.0 and which not in FORGIVEN:
                ended = np.int64(which)
        if ended >= 0:
            run[2] = 0.0
            note(run, y, HELD, -1, line)
            continue
        note(run, y, TROUGH, -1, line)
        for i in range(SIZE):
            line[T_RATES + i] = k[0, i]
        line[T_BEFORE] = events[LIFTED]
        queue[waiting] = row
        waiting += 1
    return waiting


@entry
def lift_rows(rows, tolerance, steps, table, queue):
    """Bring each throw that is in the trough to its lift; returns how many swing, in queue."""
    K, w, k = np.empty(CONSTANTS), np.zeros(WORK_SIZE), np.empty((16, SIZE))
    y, weight, run = np.empty(SIZE), np.empty(SIZE), np.zeros(10)
    y_new, y_stage = np.empty(SIZE), np.empty(SIZE)
    events, parts = np.empty(EVENTS), np.empty(14)
    free, first = np.int64(FREE), np.int64(0)
    waiting = 0
    for row in range(rows.shape[0]):
        line = table[row]
        if line[T_STAGE] != TROUGH:
            continue
        p = dials_of(rows[row])
        constants(p, K)
        recall(line, tolerance, run, y)
        ended = np.int64(line[T_ENDED])
        w[JAMMED] = 0.0
        if ended == LIFTED:
            lie_in_trough(y, p)
        else:
            weigh(p, weight)
            ended = slide_along(
                run, y, p, K, w, k, y_stage, y_new, weight, parts, events, no_record()
            )  # fmt: skip
        if w[JAMMED] > 0.0:
            # This is told where it happens: the throw is made from its start.
            set_out(run, p, tolerance, steps, ALL_STOPS, PATIENCE)
            note(run, y, HELD, -1, line)
            continue
        if ended == LIFTED:
            rates(free, 1.0, y, p, K, w, k, first)
            watch(free, 1.0, y, k, first, p, K, w, parts, events)
            swings = True
            for which in range(EVENTS):
                swings = swings and events[which] > 0.0
            if swings:
                run[2], run[3], run[9] = 1.0, run[0] + PATIENCE * natural_time(p), run[0]
                note(run, y, FREE, -1, line)
                for i in range(SIZE):
                    line[T_RATES + i] = k[0, i]
                line[T_BEFORE] = events[SLIPPED]
                queue[waiting] = row
                waiting += 1
                continue
        note(run, y, TROUGH, ended, line)
    return waiting


@entry
def end_rows(rows, tolerance, steps, table, results, queue):
    """End each throw from where it stands; returns how many fly, and these in queue."""
    run, y = np.zeros(10), np.empty(SIZE)
    flying = 0
    for row in range(rows.shape[0]):
        line = table[row]
        recall(line, tolerance, run, y)
        stage, ended = np.int64(line[T_STAGE]), np.int64(line[T_ENDED])
        throw_from(
            stage, ended, y, run, rows[row], 0.0, steps, PATIENCE, results[row], no_record()
        )  # fmt: skip
        if results[row, R_OUTCOME] == RELEASED:
            queue[flying] = row
            flying += 1
    return flying

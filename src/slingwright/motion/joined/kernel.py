"""The throw on a taut sling: what moves it, and what ends each of its stages.

This text is never imported as it stands: `code.py` joins it to the equations of a machine kind
and to the unrolled step, so that numba compiles them as one module.  Everything under the line of
dashes is copied as it is; names that stand nowhere in this file come from equations and step.

State y: coordinates (n), their rates (n), work lost to friction (1).  `stage` is TROUGH, FREE or
SWING; `slide` is the sense in which the projectile slides in the trough, +1 forward.
"""

from __future__ import annotations

import math

# --------------------------------------------------------------------------------------------------

# What ends a stage: places in the vector of events, each ends its stage when it falls below 0.
LIFTED, TURNED_BACK, SLIPPED, SLACK, GROUNDED, BOXED, STALLED, UPRIGHT = 0, 1, 2, 3, 4, 5, 6, 7
EVENTS, PULL = 8, SLACK
FORGIVEN, AT_ONCE = (TURNED_BACK, STALLED), (-1,)
"""Events that may stand just below 0 as a stage begins, and those that end it even so."""


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


@inlined
def rhs(stage, slide, y, p, K, w, k, row):
    """Rates of the state into a row of k; contact force, friction and torques are left in w."""
    drag = 0.0
    if stage == TROUGH:
        lie_in_trough(y, p)
        drag = -slide * p[P_TROUGH_FRICTION]
    prepare(y, K, w)
    respond(stage, drag, 0.0, y, p, K, w, k, row)


@compiled
def rates(stage, slide, y, p, K, w, k, row):
    """`rhs` as a function of its own, for all callers but the step, which has it written in."""
    rhs(stage, slide, y, p, K, w, k, row)


@inner
def sling_now(y, w, p):
    """Angle of the sling and its rate."""
    return y[SLING], y[COORDINATES + SLING]


@inner
def stored(y, p):
    """Energy in the cords: none, a rod does not stretch."""
    return 0.0


@inner
def pouch_over(y, stage, p):
    """Height of the load's lowest point above the ground, and its rate."""
    n = COORDINATES
    arm, sling = p[P_ARM_LONG], p[P_SLING_LENGTH]
    low = p[P_AXLE_HEIGHT] + arm * math.sin(y[ELEVATION]) + sling * math.sin(y[SLING])
    if stage != SWING:
        low -= 0.5 * p[P_PROJECTILE_DIAMETER]
    rate = arm * math.cos(y[ELEVATION]) * y[n + ELEVATION]
    return low, rate + sling * math.cos(y[SLING]) * y[n + SLING]


@inner
def touches_between(stage, y, y_after, h, p):
    """Whether the load dips into the ground and out of it again within a step."""
    if stage == TROUGH:
        return False
    low, rate = pouch_over(y, stage, p)
    low_after, rate_after = pouch_over(y_after, stage, p)
    return dips(low, rate, low_after, rate_after, h)


@inner
def looks_back(stage, stops):
    """Whether a pull that fails within a step is looked for: not where throws go in step."""
    return stage == SWING or not stops >> SLIPPED & 1


@inner
def watch(stage, slide, y, k, row, p, K, w, parts, events):
    """What each event has left to go: the stage ends where one falls below 0.

    Rates of y are in row `row` of k, and rhs was just called with it.
    """
    n = COORDINATES
    for i in range(EVENTS):
        events[i] = 1.0
    events[BOXED] = box_bottom(y, w, p)
    part_forces(y, k, row, w[CONTACT], w[RUBBING], K, w, parts)
    along_x, along_y = -w[5], w[4]
    at_pouch = -(parts[0] * along_x + parts[4] * along_y)
    at_tip = -(parts[1] * along_x + parts[5] * along_y)
    events[SLACK] = min(at_pouch, at_tip)
    height = p[P_AXLE_HEIGHT] + p[P_ARM_LONG] * w[0] + p[P_SLING_LENGTH] * w[4]
    if stage == SWING:
        # The ring has slipped and the pouch is empty: it strikes with its own centre.
        events[GROUNDED] = height
        return
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
        events[GROUNDED] = height - (0.5 - 1e-9) * p[P_PROJECTILE_DIAMETER] + 1e-9 * height

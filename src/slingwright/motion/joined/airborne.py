"""Flight of the projectile with drag and wind to its first touch.

Joined to an unrolled step of four numbers (x, y and their rates); see `code.py`.  Everything
under the line of dashes is copied as it is.
"""

from __future__ import annotations

import math

import numpy as np

# --------------------------------------------------------------------------------------------------

ROUGH_TO = 1e5
"""Reynolds number past which a rough sphere keeps its drag: it has no crisis to speak of."""
VISCOSITY = 1.7894e-5
"""Dynamic viscosity of air at 15 degrees C [Pa s]; ISO 2533:1975, sea level."""

# What `fly` leaves in `landing`.
L_TIME, L_X, L_Y, L_VX, L_VY, L_APEX, L_CODE, L_STEPS = range(8)
LANDED, SHORT_OF_LEVEL, STILL_FLYING = 0, 1, 2

# Places in the constants of a flight.
F_GRAVITY, F_WIND, F_DRAG, F_COEFFICIENT, F_PER_REYNOLDS = range(5)


@compiled
def sphere_drag(reynolds):
    """Drag coefficient of a smooth sphere by Reynolds number.

    Source: F. A. Morrison, An Introduction to Fluid Mechanics, Cambridge University Press 2013,
    eq. 8.83 (data correlation for drag on a sphere, Michigan Tech 2010).  Held at its value of
    Re = 1e6 above that, the end of the data.
    """
    if reynolds <= 1e-6:
        return 24e6
    r = min(reynolds, 1e6)
    fifth = r / 5.0
    crisis = r / 2.63e5
    return (
        24.0 / r
        + 2.6 * fifth / (1.0 + fifth**1.52)
        + 0.411 * crisis**-7.94 / (1.0 + crisis**-8.0)
        + r**0.80 / 461000.0
    )


@compiled
def rhs(stage, slide, y, p, K, w, k, row):
    """Rates of x, y, v_x, v_y into a row of k: gravity and drag along the air's speed."""
    air_x, air_y = y[2] - K[F_WIND], y[3]
    speed = math.sqrt(air_x * air_x + air_y * air_y)
    coefficient = K[F_COEFFICIENT]
    if coefficient < 0.0:
        top = ROUGH_TO if coefficient < -1.5 else np.inf
        reynolds = min(top, speed * K[F_PER_REYNOLDS])
        coefficient = sphere_drag(reynolds) if K[F_DRAG] > 0.0 else 0.0
    slowing = K[F_DRAG] * coefficient * speed
    k[row, 0], k[row, 1] = y[2], y[3]
    k[row, 2] = -slowing * air_x
    k[row, 3] = -K[F_GRAVITY] - slowing * air_y


@compiled
def rates(stage, slide, y, p, K, w, k, row):
    """`rhs` as a function of its own, for all callers but the step, which has it written in."""
    rhs(stage, slide, y, p, K, w, k, row)


@inner
def drag_constants(p, K):
    """Constants of the flight from the dials; a coefficient below 0 means by Reynolds number, -1
    for a smooth sphere and -2 for a rough one."""
    mass, diameter = p[P_PROJECTILE_MASS], p[P_PROJECTILE_DIAMETER]
    K[F_GRAVITY], K[F_WIND] = p[P_SITE_GRAVITY], p[P_SITE_WIND]
    area = 0.25 * math.pi * diameter * diameter
    K[F_DRAG] = 0.5 * p[P_SITE_AIR_DENSITY] * area / mass if mass > 0.0 else 0.0
    given = p[P_PROJECTILE_DRAG]
    by_law = -1.0 if p[P_PROJECTILE_SMOOTH] > 0.0 else -2.0
    K[F_COEFFICIENT] = given if given >= 0.0 else by_law
    K[F_PER_REYNOLDS] = p[P_SITE_AIR_DENSITY] * diameter / VISCOSITY


@inner
def along_the_way(state, state_new, k, h, part, path, row):
    """Place and speed at `part` of a step, by the polynomial of degree five that has place, speed
    and acceleration of both its ends: fine enough to draw."""
    for i in range(2):
        start, speed, pull = state[i], h * state[2 + i], h * h * k[0, 2 + i]
        gap = state_new[i] - start - speed - 0.5 * pull
        gain = h * state_new[2 + i] - speed - pull
        bend = h * h * k[12, 2 + i] - pull
        third = 10.0 * gap - 4.0 * gain + 0.5 * bend
        fourth = -15.0 * gap + 7.0 * gain - bend
        fifth = 6.0 * gap - 3.0 * gain + 0.5 * bend
        higher = third + part * (fourth + part * fifth)
        path[row, 1 + i] = start + part * (speed + part * (0.5 * pull + part * higher))
        slope = 3.0 * third + part * (4.0 * fourth + part * 5.0 * fifth)
        path[row, 3 + i] = (speed + part * (pull + part * slope)) / h


@entry
def fly(x, y, v_x, v_y, p, tolerance, landing, path):
    """Fly from (x, y) with (v_x, v_y) to the landing level; returns how many path points it left.

    Ends where the centre comes down to the projectile's radius above the landing level; where it
    never rises to that level, at its radius above the machine's own ground.  path (k, 5) takes
    time, x, y, v_x, v_y; with k = 0 none is kept.
    """
    K, w = np.empty(5), np.empty(1)
    drag_constants(p, K)
    radius = 0.5 * p[P_PROJECTILE_DIAMETER]
    level = p[P_SITE_HEIGHT] + radius
    state, state_new = np.empty(4), np.empty(4)
    k, weight = np.empty((16, 4)), np.empty(4)
    state[0], state[1], state[2], state[3] = x, y, v_x, v_y
    gravity = p[P_SITE_GRAVITY]
    speed = math.sqrt(v_x * v_x + v_y * v_y)
    natural = (speed + math.sqrt(gravity * (abs(y - level) + 1e-9))) / gravity
    length = gravity * natural * natural
    weight[0], weight[1] = length, length
    weight[2], weight[3] = gravity * natural, gravity * natural
    time, h, code, filled = 0.0, 0.05 * natural, STILL_FLYING, 0
    rising = v_y > 0.0
    if not rising and y < level:
        level = radius
    apex = y
    first = np.int64(0)
    landing[L_STEPS] = 0.0
    rates(0, 0.0, state, p, K, w, k, first)
    if path.shape[0] > 0:
        path[0, 0], path[0, 1], path[0, 2], path[0, 3], path[0, 4] = 0.0, x, y, v_x, v_y
        filled = 1
    for _ in range(4000):
        landing[L_STEPS] += 1.0
        h = min(h, 0.5 * natural)
        error = step(0, 0.0, state, h, tolerance, weight, p, K, w, k, state_new)
        if not error <= 1.0:
            h *= max(0.2, 0.9 * error**-0.125) if error < 1e300 else 0.1
            if h < 1e-12 * natural:
                break
            continue
        made = h
        left = state_new[3] if rising else state_new[1] - level
        crossed = left < 0.0
        if crossed:
            # Step again, by Newton's rule kept inside the bracket, to the top or to the ground.
            start = state[3] if rising else state[1] - level
            made = h * min(1.0, max(0.0, start / (start - left)))
            low, high = 0.0, h
            for _ in range(60):
                step(0, 0.0, state, made, 1.0, weight, p, K, w, k, state_new)
                left = state_new[3] if rising else state_new[1] - level
                slope = k[12, 3] if rising else state_new[3]
                if left > 0.0:
                    low = made
                else:
                    high = made
                change = -left / slope if slope < 0.0 else 1e300
                if abs(change) <= 1e-15 * natural or high - low <= 1e-15 * natural:
                    break
                made += change
                if not low < made < high:
                    made = 0.5 * (low + high)
        if path.shape[0] > 0:
            for j in range(1, 9):
                if filled < path.shape[0]:
                    path[filled, 0] = time + made * j / 8.0
                    along_the_way(state, state_new, k, made, j / 8.0, path, filled)
                    filled += 1
        time += made
        for i in range(4):
            state[i] = state_new[i]
            k[0, i] = k[12, i]
        if crossed and not rising:
            code = LANDED
            break
        if crossed:
            rising, apex = False, state[1]
            if apex < level:
                level = radius
        h = h * min(6.0, 0.9 * max(error, 1e-12) ** -0.125)
    if code == LANDED and level < p[P_SITE_HEIGHT] + radius:
        code = SHORT_OF_LEVEL
    landing[L_TIME], landing[L_X], landing[L_Y] = time, state[0], state[1]
    landing[L_VX], landing[L_VY], landing[L_APEX] = state[2], state[3], apex
    landing[L_CODE] = code
    return filled

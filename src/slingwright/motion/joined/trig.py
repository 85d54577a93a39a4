"""Sine and cosine of an angle together, faster than two calls.

Joined before the equations; see `code.py`.  Everything under the line of dashes is copied as it
is.
"""

from __future__ import annotations

import math

# --------------------------------------------------------------------------------------------------

FAR = 1.0e5
"""Angles beyond this are left to the library: the reduction below keeps full accuracy up to it."""


@inlined
def sine_cosine(angle):
    """Sine and cosine, each within two units in the last place.

    The multiple of half pi nearest to the angle is subtracted in two pieces, and two polynomials
    do the rest.

    Source: coefficients of the minimax polynomials and the pieces of half pi as published in fdlibm
    5.3 (k_sin.c, k_cos.c, e_rem_pio2.c), Sun Microsystems 1993.
    """
    if not abs(angle) < FAR:
        return math.sin(angle), math.cos(angle)
    turns = math.floor(angle * 0.63661977236758134308 + 0.5)
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
    quarter = int(turns) & 3
    if quarter & 1:
        sine, cosine = cosine, sine
    if quarter & 2:
        sine = -sine
    if quarter == 1 or quarter == 2:
        cosine = -cosine
    return sine, cosine

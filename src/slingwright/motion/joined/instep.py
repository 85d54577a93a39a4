"""What throws in step and flights in step share.

Joined by `code.py`; everything under the line of dashes is copied as it is.
"""

from __future__ import annotations

# --------------------------------------------------------------------------------------------------

# What a step leaves for each lane.
ERROR, LONGER, EXPECTED, SLOPE, REST = 0, 1, 2, 3, 4
FOUND = 5

ROUND = 6755399441055744.0
"""1.5 times 2**52: added and taken away again it leaves the nearest whole number."""


@in_lanes
def spread(lanes, hand, h):
    """Size of the next step of each lane, the same for all its numbers."""
    for lane in range(lanes):
        size = hand[H_TRY * LANES + lane]
        for i in range(SIZE):
            h[i * LANES + lane] = size


@inner
def root_between(before, slope_before, after, slope_after):
    """Where in (0, 1) the cubic falls to 0 that has these values and slopes at 0 and 1."""
    part = before / (before - after)
    gap = after - before
    third, second = slope_before + slope_after - 2.0 * gap, 3.0 * gap - 2.0 * slope_before
    second -= slope_after
    for _ in range(4):
        value = before + part * (slope_before + part * (second + part * third))
        slope = slope_before + part * (2.0 * second + part * 3.0 * third)
        if not slope < 0.0:
            break
        part -= value / slope
    return part if 0.0 < part < 1.0 else before / (before - after)

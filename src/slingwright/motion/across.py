"""Many flights at once, and those out of the plane of the throw, in a wind from any side."""

import numpy as np

from slingwright.machine.table.dials import MOVING_INDEX
from slingwright.motion.source.code import LANES, flight_module, flights_module
from slingwright.motion.sweeping import IN_STEP, PIECE, shared

MANY = 16 * PIECE
"""Flights from which on it pays to share them among the cores."""


def land(starts: np.ndarray, table: np.ndarray, tolerance: float = 1e-7) -> np.ndarray:
    """Fly many flights to the landing level, in step where there are enough of them.

    Args:
        starts: (n, 4) ahead, up [m] and their rates [m/s].
        table: dials of the motion, a row a flight.

    Returns: (n, 8): landings as the compiled flight tells them, at its places L_TIME to L_STEPS.
    """
    count = len(starts)
    landings = np.zeros((count, 8))
    if count < IN_STEP:
        fly, no_path = flight_module().fly, np.empty((0, 5))
        for start, dials, landing in zip(starts, table, landings, strict=True):
            fly(*start, dials, tolerance, landing, no_path)
    else:
        code = flights_module()

        def fly_piece(rows: slice) -> None:
            queue = np.arange(rows.stop - rows.start)[: count - rows.start]
            code.fly_in_lanes(
                LANES, table[rows], tolerance, queue, len(queue), starts[rows], landings[rows]
            )

        shared(fly_piece, count, count >= MANY, PIECE)
    return landings


def fly_across(
    table: np.ndarray,
    place: np.ndarray,
    velocity: np.ndarray,
    wind: np.ndarray,
    tolerance: float = 1e-7,
) -> np.ndarray:
    """Fly to the landing level: where each flight comes down ahead and to the left, and when.

    Seen from a steady wind the air is still: drag and weight keep the flight in the upright plane
    of its first velocity, so that it is one of the compiled flights, and then the wind's way is
    added. Nothing is left out.

    Args:
        table: dials of the motion, a row a flight; their own wind is passed over.
        place: (n, 2) ahead and up [m].
        velocity: (n, 3) ahead, up, to the left [m/s].
        wind: (n, 2) ahead, to the left [m/s].

    Returns: (n, 3): ahead [m], to the left [m], time [s]; NaN where a flight does not come down.
    Source: Galileo's principle; held to scipy's integration in three dimensions.
    """
    count = len(place)
    still = np.array(table, dtype=float)
    still[:, MOVING_INDEX["site.wind"]] = 0.0
    through = velocity[:, [0, 2]] - wind
    level = np.hypot(*through.T)
    starts = np.column_stack([np.zeros(count), place[:, 1], level, velocity[:, 1]])
    landings = land(starts, still, tolerance)
    time, far, ended = landings[:, 0], landings[:, 1], landings[:, 6]
    with np.errstate(invalid="ignore", divide="ignore"):
        heading = np.where(level[:, None] > 0.0, through / level[:, None], 0.0)
    found = heading * far[:, None] + wind * time[:, None]
    found[:, 0] += place[:, 0]
    found[ended == flight_module().STILL_FLYING] = np.nan
    return np.column_stack([found, time])

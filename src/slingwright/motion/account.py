"""One account of a throw's energy: the whole drop of the counterweight, and where it has gone."""

from __future__ import annotations

from typing import TypeVar

import numpy as np

from slingwright.machine.table.dials import MOVING_INDEX

OF_WHAT = "of the whole drop"

Values = TypeVar("Values", float, np.ndarray)


def whole_drop(given: np.ndarray) -> np.ndarray:
    """Energy of the counterweight's drop from held to its lowest hanging height [J].

    M g s (1 + sin c), by the letters of the dials; the same hinged and fixed.

    Args:
        given: dials of the motion (..., k).
    """
    mass, gravity, short, cocked = (
        given[..., MOVING_INDEX[path]]
        for path in ("counterweight.mass", "site.gravity", "arm.short", "arm.cocked")
    )
    return mass * gravity * short * (1.0 + np.sin(cocked))


def projectile_share(given: np.ndarray, ball_energy: Values) -> np.ndarray:
    """Share of the whole drop that is in the projectile alone.

    Args:
        given: dials of the motion (..., k).
        ball_energy: what projectile and pouch have won, as motion and height (...) [J].
    """
    load, pouch = (given[..., MOVING_INDEX[p]] for p in ("projectile.mass", "sling.pouch"))
    return ball_energy * load / (load + pouch) / whole_drop(given)

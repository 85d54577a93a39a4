"""One account of a throw's energy: the whole drop of the counterweight, and where it has gone."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

import numpy as np

from slingwright.machine.table.dials import MOVING_INDEX

if TYPE_CHECKING:
    from slingwright.motion.throwing import Throw

OF_WHAT = "of the counterweight's whole drop"

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


def shares_at_release(throw: Throw) -> dict[str, float]:
    """Where the whole drop is as the ring slips, in shares that add up to 1; empty if it does not.

    They add up within the throw's own `energy_error`.
    """
    if throw.release is None:
        return {}
    given = throw.machine.moving()
    whole = float(whole_drop(given))
    at = int(np.searchsorted(throw.time, throw.release.time * (1.0 - 1e-12)))
    number = throw.machine.number
    ball = float(throw.energy_ball[at])
    projectile = float(projectile_share(given, ball))
    force = number("counterweight.mass") * number("site.gravity")
    fallen = force * float(throw.weight[0, 1] - throw.weight[at, 1])
    won = {
        "projectile": projectile * whole,
        "arm": float(throw.energy_arm[at]),
        "sling and pouch": float(throw.energy_sling[at]) + ball - projectile * whole,
        "counterweight, moving": fallen + float(throw.energy_weight[at]),
        "counterweight, not fallen yet": whole - fallen,
        "base": float(throw.energy_base[at]),
        "friction": float(throw.energy_lost[at]),
    }
    return {name: energy / whole for name, energy in won.items()}

"""The arm's section along its length: straight taper from axle to tip, even from axle to hanger.

Places run along the arm from the axle, positive toward the tip.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slingwright.formulas.beams.sections import rectangle_with_cross_hole, round_with_cross_hole
from slingwright.formulas.refusals import above_zero, not_negative

SHAPES = ("rectangle", "round")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ArmSections:
    """Section values along the arm, arrays of shape (n,), in m, m2, m3 and m4.

    At the places that the axle's hole takes out, area, second moment and section modulus are
    those of what is left.
    """

    position: np.ndarray
    depth: np.ndarray
    width: np.ndarray
    area: np.ndarray
    inertia: np.ndarray
    elastic_modulus: np.ndarray
    shear_factor: np.ndarray


def arm_places(short: float, long: float, hole: float = 0.0, count: int = 60) -> np.ndarray:
    """Places along the arm: evenly spread, with the ends, the axle and the edges of its hole.

    Args:
        short: axle to hanger pin [m].
        long: axle to the sling's seat [m].
        hole: diameter of the hole for the axle [m].
        count: number of even steps from end to end [-].

    Returns: Places, rising, 0 among them, shape (n,) [m].
    Raises: ValueError if a length is not above zero, or the hole does not fit in the short arm.
    Source: closed form.

    >>> arm_places(1.0, 3.0, count=4).tolist()
    [-1.0, 0.0, 1.0, 2.0, 3.0]
    """
    above_zero(short, "short arm", "m")
    above_zero(long, "long arm", "m")
    not_negative(hole, "hole for the axle", "m")
    if hole / 2.0 >= min(short, long):
        raise ValueError(
            f"the hole for the axle of {hole:g} m reaches an end of the arm; lengthen arm.short"
        )
    if count < 2:
        raise ValueError(f"number of steps is {count}; give 2 or more")
    edges = [0.0] if hole == 0.0 else [-hole / 2.0, 0.0, hole / 2.0]
    even = np.linspace(-short, long, count + 1)
    close = (short + long) * 1e-9
    far = even[np.all(np.abs(even[:, None] - np.array(edges)) > close, axis=1)]
    return np.sort(np.concatenate([far, edges]))


def arm_sections(
    position: Sequence[float] | np.ndarray,
    depth_at_axle: float,
    width_at_axle: float,
    depth_at_tip: float,
    width_at_tip: float,
    hole: float = 0.0,
    shape: str = "rectangle",
) -> ArmSections:
    """Section values along an arm that tapers straight from axle to tip and is even behind it.

    Rectangle: A = b h, I = b h^3/12, W = b h^2/6; round: by the depth as diameter. Within half
    the hole's diameter of the axle, what the hole leaves.

    Args:
        position: places along the arm, rising, the last one the tip, shape (n,) [m].
        depth_at_axle: depth, or diameter, at the axle and behind it [m].
        width_at_axle: width at the axle and behind it; not used for a round arm [m].
        depth_at_tip: depth, or diameter, at the tip [m].
        width_at_tip: width at the tip; not used for a round arm [m].
        hole: diameter of the hole for the axle, at mid-depth [m].
        shape: "rectangle" or "round" [-].

    Returns: ArmSections, shape (n,) [m, m2, m3, m4].
    Raises: ValueError if a size is not above zero, the hole is as deep as the arm, the shape is
        neither, or the last place is not beyond the axle.
    Source: closed form; Roark's Formulas for Stress and Strain, Table A.1.

    >>> arm_sections([-1.0, 0.0, 4.0], 0.3, 0.2, 0.1, 0.1).depth.tolist()
    [0.3, 0.3, 0.1]
    """
    if shape not in SHAPES:
        raise ValueError(f"shape of the arm is {shape!r}; known: {', '.join(SHAPES)}")
    above_zero(depth_at_axle, "arm depth at the axle", "m")
    above_zero(depth_at_tip, "arm depth at the tip", "m")
    if shape == "rectangle":
        above_zero(width_at_axle, "arm width at the axle", "m")
        above_zero(width_at_tip, "arm width at the tip", "m")
    not_negative(hole, "hole for the axle", "m")
    s = np.asarray(position, dtype=float)
    if s.ndim != 1 or s.size < 2 or not np.all(np.diff(s) > 0.0) or not s[-1] > 0.0:
        raise ValueError("places along the arm must rise from behind the axle to the tip")
    share = np.clip(s / s[-1], 0.0, 1.0)
    depth = depth_at_axle + (depth_at_tip - depth_at_axle) * share
    bored = (np.abs(s) <= hole / 2.0 * (1.0 + 1e-12)) & (hole > 0.0)
    if shape == "round":
        width = depth
        area, inertia = math.pi * depth**2 / 4.0, math.pi * depth**4 / 64.0
        factor = np.full_like(s, 4.0 / 3.0)
    else:
        width = width_at_axle + (width_at_tip - width_at_axle) * share
        area, inertia = width * depth, width * depth**3 / 12.0
        factor = np.full_like(s, 1.5)
    modulus = inertia / (depth / 2.0)
    for i in np.flatnonzero(bored):
        if shape == "round":
            left = round_with_cross_hole(float(depth[i]), hole)
        else:
            left = rectangle_with_cross_hole(float(width[i]), float(depth[i]), hole)
        area[i], inertia[i], modulus[i] = left.area, left.inertia, left.elastic_modulus
        factor[i] = left.shear_factor
    return ArmSections(
        position=s, depth=depth, width=width, area=area, inertia=inertia,
        elastic_modulus=modulus, shear_factor=factor,
    )  # fmt: skip

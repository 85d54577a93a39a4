"""Width against axle: the widest load sets the trough, the trough the span, the span the axle."""

from dataclasses import dataclass

import numpy as np

from slingwright.amounts import units
from slingwright.formulas.steel.axle import working_span
from slingwright.formulas.steel.strength import design_strength
from slingwright.strength.checks import Holding
from slingwright.strength.loads.brief import brief_loads
from slingwright.strength.parts.axle import axle_span, axle_stress
from slingwright.tables import materials

ROOM = 1.05
"""Least trough width over the widest load: common practice."""
WIDEST = 2.5
POINTS = 61


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WidthTrade:
    """Axle stress against the trough's width, the walls between trough and supports as they are.

    `needed` is the width that the widest load of the brief asks for; `limit` the largest width at
    which the axle still holds, or None where it holds at none or at all of those looked at.
    """

    width: np.ndarray  # (k,) m, of the trough
    span: np.ndarray  # (k,) m, between the axle's reactions
    stress: np.ndarray  # (k,) Pa, with the load factor
    strength: float  # Pa
    present: float  # m
    present_stress: float  # Pa
    needed: float  # m
    needed_stress: float  # Pa
    widest: str
    widest_across: float  # m
    limit: float | None

    @property
    def use(self) -> np.ndarray:
        """Stress over strength (k,)."""
        return self.stress / self.strength

    @property
    def words(self) -> str:
        """Say the trade in words, in metric units."""
        return self.told()

    def told(self, system: units.System = "metric") -> str:
        """Say the trade in words, in the units of a system."""

        def wide(value: float) -> str:
            return units.text(value, "m", system)

        mend = "make it thicker or support it."
        if self.limit is None:
            over = (self.stress > self.strength).any()
            spare = f"at no width looked at: {mend}" if over else "at every width looked at."
        elif self.limit >= self.needed:
            spare = f"up to a trough {wide(self.limit)} wide."
        else:
            spare = f"up to {wide(self.limit)} alone, which is less: {mend}"
        return (
            f"The widest projectile, {self.widest}, {wide(self.widest_across)} across, needs "
            f"a trough of {wide(self.needed)}; it is {wide(self.present)} wide, and the axle "
            f"then uses {100.0 * self.present_stress / self.strength:.0f} % of its strength in "
            f"bending. The axle holds {spare}"
        )


def width_trade(holding: Holding) -> WidthTrade:
    """Trade the trough's and the frame's width against the stress in the axle.

    Raises: ValueError: no load in the brief, or sizes of the axle that cannot be.
    """
    m = holding.machine
    n = m.number
    loads = tuple(brief_loads(m))
    if not loads:
        raise ValueError("there is no load to set the width; give a [[brief]]")
    widest = max(loads, key=lambda load: load.diameter)
    load = n("site.load_factor") * max(case.axle_load for case in holding.cases)
    present = n("trough.width")
    walls = n("axle.span") - present
    steel = materials.steel(m.text("axle.grade"), n("axle.diameter"))
    strength = design_strength(steel.yield_strength)
    needed = ROOM * widest.diameter
    least = max(0.5 * min(present, needed), n("axle.hub") - walls + 2.0 * n("axle.support"))

    def reach(width: float) -> float:
        return working_span(width + walls, n("axle.support"), n("axle.bearing"))

    widths = np.linspace(least, WIDEST * max(present, needed), POINTS)
    spans = np.array([reach(float(width)) for width in widths])
    stress = np.array([axle_stress(m, load, float(span)) for span in spans])
    at_present = axle_stress(m, load, axle_span(m))
    at_needed = axle_stress(m, load, reach(max(needed, least)))
    over = np.flatnonzero(stress > strength)
    limit = None
    if over.size and over[0] > 0:
        limit = float(np.interp(strength, stress[: over[0] + 1], widths[: over[0] + 1]))
    return WidthTrade(
        width=widths, span=spans, stress=stress, strength=strength, present=present,
        present_stress=at_present, needed=needed, needed_stress=at_needed, widest=widest.name,
        widest_across=widest.diameter, limit=limit,
    )  # fmt: skip

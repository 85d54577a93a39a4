"""What goes wrong while it is wound and loosed: how hard, how fast, whom it hits, where to be.

Peaks are bounds from the machine's own numbers: a rope is a spring without loss, an arm that is let
go keeps all of its energy. None of them is a load to work with.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from slingwright.amounts.answer import Answer, Row
from slingwright.amounts.text import Amount, Text, form
from slingwright.formulas.winch import drum, jerk
from slingwright.tables import ropes as ropes_table
from slingwright.tables.reading import UnknownMaterial
from slingwright.winch.cycle import Winding
from slingwright.winch.hook import HANDY_PULL
from slingwright.winch.rig import CRANK_MASS, ratchet_of

STUCK = (
    "nobody goes near: who looses pulls once more from the same place, up to the pull above, never "
    "from nearer",
    "let go the safety pin's own line, so that its spring puts the pin back; see through a glass "
    "that it is home",
    "everyone stays outside for ten minutes, as after the winding: it may still loose by itself",
    "one competent person, from the side, clear of arm, sling and rope: winding rope on and tight, "
    "pawl in, only then the projectile out, and the machine eased back",
    "without a pin that goes in by itself nobody goes near until a competent person has judged how",
)
"""What to do when it does not loose: common practice. Local rules go before it."""


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Faults(Answer):
    """What may go wrong in one winding, at its worst; None where no stretch of the rope is known.

    Args:
        fall: of the rope while the pawl drops in a tooth late [m].
        late_pull: greatest pull at the drum then [N].
        late_pawl: force on the pawl then [N].
        late_at: elevation of the arm where that is worst [rad].
        breaks_at: of the rope with its end, new and dry [N].
        energy: that the rope gives back as it parts, at its worst [J].
        recoil: speed at which it flies back [m/s].
        whip: how far it reaches past either end [m].
        handle_energy: of cranks that run away, after one turn [J].
        tip_speed: of an arm that is let go cocked, its sling empty, at most [m/s].
    """

    wound: Winding
    fall: float
    late_pull: float | None
    late_pawl: float | None
    late_at: float | None
    breaks_at: float | None
    energy: float | None
    recoil: float | None
    whip: float
    handle_energy: float
    tip_speed: float

    @property
    def sentence(self) -> Text:
        """What is worst, and the rule that keeps people out of its way."""
        first = form("A pawl a tooth late jerks the rope to {:3N}")(self.late_pull or 0.0)
        if self.late_pull is None:
            first = form("No stretch of {} is listed: its jerk is not known")(
                self.wound.rig.rope_kind
            )
        return form(
            "{}; a handle let go runs at {:2m/s} within a turn, a rope that parts whips {:2m} past "
            "either end, and an arm let go is as fast as {:2m/s} at its tip: nobody in line with a "
            "rope, in the handles' way, or in the arm's plane."
        )(first, self.wound.runaway_after_one_turn, self.whip, self.tip_speed)

    def rows(self) -> Iterator[Row]:
        """Give each fault with its peak, and where to be."""
        wound = self.wound

        def amount(value: float | None, unit: str) -> Amount | str:
            return "not known" if value is None else Amount(value, unit, 3)

        at = "" if self.late_at is None else form("arm at {:2rad}; ")(self.late_at)
        times = (
            form(", {:.1f} times below what breaks it")(self.breaks_at / self.late_pull)
            if self.breaks_at and self.late_pull
            else ""
        )
        late = form("{}after {:2m} of fall, one tooth of {:.0f}{}; hands off rope and drum")
        yield Row(
            "late.rope",
            "Pawl a tooth late: rope",
            amount(self.late_pull, "N"),
            late(at, self.fall, wound.rig.teeth, times),
        )
        pawl = form("at rest {:3N}")(wound.pawl_load)
        yield Row("late.pawl", "Pawl a tooth late: pawl", amount(self.late_pawl, "N"), pawl)
        hits = form(
            "{:2m/s} after one turn with {:2J} in the handles, {:2m/s} at most: it hits arms and "
            "heads at the crank; pawl down before hands leave, nobody leans over a handle"
        )
        runs = hits(wound.runaway_after_one_turn, self.handle_energy, wound.runaway_speed)
        yield Row("slip", "Pawl slips", Amount(wound.runaway_speed, "m/s", 2), runs)
        whips = form(
            "{} at up to {}, {:2m} past either end along the rope's own line; nobody in that "
            "line or in the rope's bight"
        )(_told(self.energy, "J"), _told(self.recoil, "m/s"), self.whip)
        yield Row("parts", "Rope parts: energy in it", amount(self.energy, "J"), whips)
        free = "nobody in the arm's plane; what it does to the machine is the case 'empty sling'"
        yield Row("let_go", "Arm let go, at its tip", Amount(self.tip_speed, "m/s", 2), free)
        yield Row("stuck", "Hook stuck: load held", Amount(wound.hook_load, "N", 3), STUCK[0])
        most = Amount(HANDY_PULL, "N")
        yield Row("stuck.pull", "Hook stuck: pull no harder than", most, STUCK[1])


def faults(wound: Winding) -> Faults:
    """Work out what goes wrong in a winding, at the elevation where each is worst."""
    n, rig = wound.numbers, wound.rig
    way = wound.reeving
    pull = wound.rope_pull * wound.one_rope
    step = 2.0 * math.pi / rig.teeth
    length = way.rope
    late = late_pawl = at = breaks = energy = recoil = None
    rope = _rope(wound)
    if rope is not None:
        breaking, stretch, density = rope
        breaks = breaking * ropes_table.knot(rig.end).kept
        stiff = [jerk.rope_stiffness(breaking, stretch, one) for one in length.tolist()]
        taut = list(zip(pull.tolist(), stiff, strict=True))
        falls = (way.radius * step).tolist()
        caught = zip(taut, falls, strict=True)
        peaks = np.array([jerk.arrested_pull(p, k, fall) for (p, k), fall in caught])
        worst = int(np.argmax(peaks))
        late, at = float(peaks[worst]), float(wound.elevation[worst])
        # the whole torque of both ropes comes onto the pawl
        whole = float(np.max(peaks * way.radius)) / wound.one_rope
        late_pawl = drum.pawl_load(whole, 1.0, ratchet_of(n, rig))
        energy = max(jerk.stretched_energy(p, k) for p, k in taut)
        most = int(np.argmax(pull))
        recoil = jerk.recoil_speed(*taut[most], float(length[most]), density * n.rope**2)
    return Faults(
        wound=wound, fall=float(np.max(way.radius)) * step, late_pull=late, late_pawl=late_pawl,
        late_at=at, breaks_at=breaks, energy=energy, recoil=recoil,
        whip=float(np.max(way.first[0].length)),
        handle_energy=0.5 * CRANK_MASS * wound.runaway_after_one_turn**2,
        tip_speed=n.arm_long * math.sqrt(2.0 * wound.stored / n.inertia),
    )  # fmt: skip


def _rope(wound: Winding) -> tuple[float, float, float] | None:
    """Breaking force [N], stretch [-] and density [kg/m^3] of the rope, if they are listed."""
    kind = wound.rig.rope_kind
    try:
        listed = ropes_table.rope(kind, wound.numbers.rope)
        stretch, density = ropes_table.rope_stretch(kind)
    except UnknownMaterial:
        return None
    return listed.breaking_force, stretch, density


def _told(value: float | None, unit: str) -> str | Text:
    return "not known" if value is None else form("{:2" + unit + "}")(value)

"""What each piece of the winding gear carries, against what it may carry.

A piece of unknown rating never passes. It shows the load that it would have to carry and the proof
test that would settle it: 125 % of the load, twice the load for a hook, pulled in the shop, with
nobody near, by someone who is competent to do so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from slingwright.amounts.text import Amount, alike, form
from slingwright.amounts.verdict import FAILS, HOLDS, NOT_KNOWN
from slingwright.formulas.rope import ropes
from slingwright.tables import ropes as ropes_table
from slingwright.winch.cycle import Winding
from slingwright.winch.faults import faults
from slingwright.winch.path.place import (
    aside_needed,
    clear_place,
    clearance_wanted,
    gap_in_plane,
    sling_clearance,
    swept_clearance,
)
from slingwright.winch.rig import WinchNumbers, WinchRig

HOOK, CREW = "hook that holds the arm", "force of one person at the handle"
PROOF = 1.25  # of the load: 29 CFR 1926.251(a)(4)
HOOK_PROOF = 2.0  # of the load, for a hook without a rating
LEAST_SHEAVE = 6.0  # of the rope's diameter: B. Toss, The Complete Rigger's Apprentice, p. 35
PROOF_SOURCE = "29 CFR 1926.251(a)(4): proof test at 125 % of the load"
HOOK_SOURCE = (
    "29 CFR 1926.251(f)(2), WAC 296-304-07005(2): hooks of unknown rating are tested to twice the "
    "load before they are put to use"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RiggingCheck:
    """One demand against one capacity; a capacity of None is unknown and never passes."""

    name: str
    demand: float
    capacity: float | None
    unit: str
    source: str
    advice: str
    at_least: bool = False  # the capacity has to be at least the demand, and is no load
    is_piece: bool = True  # something that can part, and no person

    @property
    def utilisation(self) -> float:
        """Demand over capacity; infinite where the capacity is unknown or not above 0."""
        if self.demand <= 0.0:
            return 0.0 if self.capacity is not None else math.inf
        if self.capacity is None or self.capacity <= 0.0:
            return math.inf
        return self.demand / self.capacity

    @property
    def sides(self) -> tuple[Amount | str, ...]:
        """Demand and capacity, in one unit."""
        capacity = "not known" if self.capacity is None else Amount(self.capacity, self.unit)
        return alike(Amount(self.demand, self.unit), capacity)

    @property
    def verdict(self) -> str:
        """`holds`, `fails` or `not known`."""
        if self.capacity is None:
            return NOT_KNOWN
        return HOLDS if self.utilisation <= 1.0 + 1e-12 else FAILS

    @property
    def proof_load(self) -> float | None:
        """Load of the test that would settle an unknown rating, None where none is needed."""
        if self.capacity is not None or self.unit != "N":
            return None
        return ropes.proof_load(self.demand, HOOK_PROOF if self.name == HOOK else PROOF)


def rigging_checks(wound: Winding, throw: Any = None) -> list[RiggingCheck]:
    """Check ropes, knots, sheaves, blocks, shackle, hook, pawl, crew and winch; worst first.

    Args:
        throw: of the same machine; with it the winch is held clear of sling and projectile too.

    Raises: UnknownMaterial: kind of rope, knot or use has no row in the tables. A rope thinner than
        all that are listed is no error: its strength is unknown.
    """
    rows = [
        *_rope_checks(wound),
        *_rated_checks(wound),
        RiggingCheck(
            name=CREW,
            demand=wound.force_per_person,
            capacity=wound.force_allowed,
            unit="N",
            source="EN 1005-3:2002 Table 1 (from memory), falling with time after W. Duane, 1810; "
            "line between common practice",
            advice="smaller drum, longer crank, more gear, more parts of line or more people",
            is_piece=False,
        ),  # fmt: skip
        *_clearances(wound),
        *([] if throw is None else _sling_clearances(wound, throw)),
    ]
    return sorted(rows, key=lambda row: -row.utilisation)


def misfits(rig: WinchRig) -> tuple[str, ...]:
    """Say which parts do not belong to the winding rope, and what does, each by its dial."""
    made = ropes_table.made_of(rig.rope_kind)
    build = {word for word in rig.rope_kind.split() if "x" in word}  # as 6x19, of a wire rope

    def sheaves_suit(name: str) -> bool:
        own = [word for word in name.split() if "x" in word]
        return ropes_table.made_of(name) == made and (
            not own or any(word.startswith(tuple(build)) for word in own)
        )

    asked = (
        ("rope.end", rig.end, ropes_table.knot_names(),
         lambda name: ropes_table.knot(name).suits(rig.rope_kind)),
        ("rope.rope_use", rig.rope_use, ropes_table.rope_use_names(),
         lambda name: ropes_table.rope_use(name).kind == made),
        ("rope.sheave_kind", rig.sheave_kind, ropes_table.sheave_ratio_names(), sheaves_suit),
    )  # fmt: skip
    return tuple(
        f"{path} {given!r} does not belong to {rig.rope_kind}: give one of "
        + ", ".join(name for name in names if suits(name))
        for path, given, names, suits in asked
        if not suits(given)
    )


def smallest_rope(wound: Winding, kind: str | None = None) -> ropes_table.RopeSize | None:
    """Give the smallest listed rope that passes with the chosen use and end, or None.

    The pull is the one of the winding followed; a thicker rope winds on a little larger radius
    but is pulled no harder.
    """
    factor = ropes_table.rope_use(wound.rig.rope_use).design_factor
    kept = ropes_table.knot(wound.rig.end).kept
    needed = ropes.breaking_force_needed(wound.peak_rope_pull * wound.one_rope, kept, factor)
    sizes = ropes_table.rope_sizes(kind if kind is not None else wound.rig.rope_kind)
    return next((size for size in sizes if size.breaking_force >= needed), None)


def smallest_shackle(load: float) -> ropes_table.Shackle | None:
    """Give the smallest listed shackle whose working load is a load [N] or more, or None."""
    listed = ropes_table.shackles()
    return next((one for one in listed if one.working_load * 9.80665 >= load), None)


def swaps(wound: Winding) -> dict[str, ropes_table.RopeSize | None]:
    """Give the smallest rope that passes for every kind that suits use and end."""
    use = ropes_table.rope_use(wound.rig.rope_use).kind
    end = ropes_table.knot(wound.rig.end)
    return {
        name: smallest_rope(wound, name)
        for name in ropes_table.rope_names()
        if ropes_table.made_of(name) == use and end.suits(name)
    }


def _rope_checks(wound: Winding) -> list[RiggingCheck]:
    rig, numbers = wound.rig, wound.numbers
    thinnest = ropes_table.rope_sizes(rig.rope_kind)[0]
    listed = numbers.rope >= thinnest.diameter * (1.0 - 1e-9)
    size = ropes_table.rope(rig.rope_kind, numbers.rope) if listed else None
    wrong = misfits(rig)
    judged = not any(one.startswith(("rope.end", "rope.rope_use")) for one in wrong)
    rolls = not any(one.startswith("rope.sheave_kind") for one in wrong)
    end, use = ropes_table.knot(rig.end), ropes_table.rope_use(rig.rope_use)
    ratio = ropes_table.sheave_ratio(rig.sheave_kind)
    swap = smallest_rope(wound)
    passing: str = (
        form("the smallest {} that holds is {:m}")(rig.rope_kind, swap.diameter)
        if swap is not None
        else form("no listed {} holds; take another kind or more parts of line")(rig.rope_kind)
    )
    if end.kind == "knot":
        passing += f"; splice it instead of the {rig.end}"
    if size is None:
        passing = form(
            "no {} as thin as this is listed, the thinnest is {:m}: take the maker's breaking "
            "force; {}"
        )(rig.rope_kind, thinnest.diameter, passing)
    if wrong:
        passing = "; ".join(wrong)
    source = thinnest.source if size is None else size.source
    least = ratio.least * numbers.rope
    turned = any(piece.sheaves for piece in wound.reeving.pieces.values())
    ends = rig.rope_kind, numbers.rope, rig.end
    factored = f"factor {use.design_factor:g}: {use.source}"
    if numbers.ropes > 1:
        factored += f"; of two ropes one takes up to {100.0 * wound.one_rope:.0f} % (rig.share)"
    safe = None
    if size is not None and judged:
        safe = ropes.safe_load(size.breaking_force, end.kept, use.design_factor)
    rope = "a rope" if numbers.ropes == 1 else "two ropes, one on each side, each"
    thicker = form("{} of {:m} or more, or a thinner rope")
    found = [
        RiggingCheck(
            name=form("winding rope, {} {:m} with {}")(*ends), unit="N",
            demand=wound.peak_rope_pull * wound.one_rope, capacity=safe,
            source=f"{source}; {end.source}; {factored}", advice=passing,
        ),
        *(
            RiggingCheck(
                name=name, demand=least, capacity=across if rolls else None, unit="m",
                source=ratio.source, advice=thicker(what, least) if rolls else passing,
                at_least=True,
            )
            for name, across, what in (
                ("diameter of the smallest sheave", rig.sheave if turned else least, "sheaves"),
                ("diameter of the drum for its rope", numbers.drum, "a drum"),
            )
        ),
        RiggingCheck(
            name="length of the winding rope",
            demand=wound.rope_needed, capacity=rig.rope_length, unit="m",
            source="geometry, with three turns left on the drum (common practice)",
            advice=form("{} of {:0m} or more")(rope, wound.rope_needed), at_least=True,
        ),
    ]  # fmt: skip
    if wrong:
        belongs = RiggingCheck(
            name="parts that do not belong to the winding rope",
            demand=float(len(wrong)), capacity=0.0, unit="-", advice=passing,
            source="fibre and wire rope have ends, design factors and sheaves of their own: B. "
            "Toss, The Complete Rigger's Apprentice, p. 35; 29 CFR 1926.251(c)(4)",
        )  # fmt: skip
        found.insert(0, belongs)
    return found


def _rated_checks(wound: Winding) -> list[RiggingCheck]:
    rig = wound.rig
    reeving = wound.reeving
    words = dict.fromkeys(
        ("arm_block", "frame_block"), "a block with a rating, of the size that the rope needs"
    )
    shackle = smallest_shackle(reeving.load("shackle"))
    words["shackle"] = (
        f"a rated bow shackle of {shackle.name} or larger"
        if shackle is not None
        else "no listed shackle is large enough: more than one fastening"
    )
    pieces = [
        *(
            (piece.name, reeving.load(key), getattr(rig, piece.mark), words[key])
            for key, piece in reeving.pieces.items()
            if piece.mark and key in words
        ),
        (HOOK, wound.hook_load, rig.hook_rating, "a hook with a rating"),
        ("pawl of the ratchet", wound.pawl_load, rig.pawl_rating, "a larger ratchet, two pawls"),
    ]
    late = faults(wound).late_pawl
    load, rating = (wound.pawl_load, None) if late is None else (late, rig.pawl_rating)
    advice = "a ratchet of more teeth, a pawl of that load"
    pieces.append(("pawl dropping in a tooth late", load, rating, advice))
    return [_rated(*piece) for piece in pieces]


def _rated(name: str, load: float, rating: float | None, advice: str) -> RiggingCheck:
    proof, source = (HOOK_PROOF, HOOK_SOURCE) if name == HOOK else (PROOF, PROOF_SOURCE)
    if rating is None:
        advice = form("unrated: it would carry {:3N}; proof-load it to {:3N}, or use {}")(
            load, ropes.proof_load(load, proof), advice
        )
    else:
        source = "rating of the piece"
    return RiggingCheck(
        name=name, demand=load, capacity=rating, unit="N", source=source, advice=advice
    )


def _places(wound: Winding) -> list[tuple[str, str, WinchNumbers]]:
    """Give what stands on the frame: its name, what its dials begin with, and its numbers there."""
    numbers, rig = wound.numbers, wound.rig
    found = [("winch", "winch.", numbers)]
    if rig.rigging == "led" and rig.lead_x is not None and rig.lead_y is not None:
        size = rig.sheave if rig.sheave is not None else LEAST_SHEAVE * numbers.rope
        block = replace(numbers, winch_x=rig.lead_x, winch_y=rig.lead_y, drum=size)
        found.append(("lead block", "rig.lead_", block))
    return found


def _clearances(wound: Winding) -> list[RiggingCheck]:
    wanted, places = clearance_wanted(wound.numbers), _places(wound)
    rows = []
    for name, path, numbers in places:
        gap, advice = swept_clearance(numbers), "it is clear"
        if gap < wanted:
            where = "stands inside the swept outline" if gap <= 0.0 else "stands near what moves"
            found = clear_place(numbers, wanted, pulls=name == places[-1][0])
            advice = f"the {name} {where}: no place along or below clears it; take a higher axle"
            if found is not None:
                dial = found[0].replace("winch.", path)
                advice = form("the {} {}: set {} to {:3m}")(name, where, dial, found[1])
        source = form("geometry of arm and counterweight box; {:3m} is common practice")(wanted)
        what = f"{name} clear of what arm and counterweight sweep"
        rows.append(_clear(what, wanted, gap, source, advice))
    return rows


def _sling_clearances(wound: Winding, throw: Any) -> list[RiggingCheck]:
    rolled = np.asarray(throw.base)[:, None] * (1.0, 0.0)
    radius = 0.5 * throw.machine["projectile.diameter"]
    way = (np.asarray(throw.tip) - rolled, np.asarray(throw.ball) - rolled, radius)
    wanted = clearance_wanted(wound.numbers)
    rows = []
    for name, _, numbers in _places(wound):
        gap, advice = sling_clearance(numbers, *way), "it is clear"
        if gap < wanted:
            aside = aside_needed(gap_in_plane(numbers, *way), radius, wanted)
            advice = form(
                "sling and projectile sweep through it: set rope and what it runs over to both "
                "sides of the trough, winch.aside at {:3m} or more, or take them away before the "
                "hook is loosed"
            )(aside)
        source = form("path of the sling in the throw; {:3m} is common practice")(wanted)
        rows.append(_clear(f"{name} clear of sling and projectile", wanted, gap, source, advice))
    return rows


def _clear(name: str, wanted: float, gap: float, source: str, advice: str) -> RiggingCheck:
    return RiggingCheck(name=name, demand=wanted, capacity=gap, unit="m", source=source,
                        advice=advice, at_least=True)  # fmt: skip


def tight_rope_zone(wound: Winding) -> str:
    """Say where nobody may stand while the rope is tight."""
    return form(
        "a rope that parts at {:3N} whips back along its own line, and a handle let go reaches "
        "{:2m/s} within one turn: nobody in line with a tight rope or in its bight, nobody under "
        "the counterweight or the arm, hands off drum and sheaves, heads out of the handles' way"
    )(wound.peak_rope_pull, wound.runaway_after_one_turn)

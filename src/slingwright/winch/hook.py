"""The hook that holds the cocked machine, and the prong that lets the sling go.

The hook is never the only thing that holds: a hard safety pin stays in until everyone is clear, is
drawn last and goes back first. Nobody stands near the hook to loose it: the lanyard is for that.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, fields

import numpy as np
from scipy.interpolate import CubicSpline

from slingwright.amounts.figures import MINUS
from slingwright.amounts.text import form
from slingwright.formulas.release import prong, trigger
from slingwright.formulas.winch import crew
from slingwright.machine.table import dials
from slingwright.winch.rig import HasDials

HANDY_PULL = crew.SHORT_FORCE  # N
EASY_PULL = 20.0  # N, below which a snagged or blown lanyard may loose it: common practice

PROCEDURE = (
    "ground clear, counterweight low, arm tied",
    "wind down; close the hook; see that the ring lies home on the curve",
    "put the hard safety pin in before the winding rope is eased: a spring pushes it home, its own "
    "long line holds it out",
    "ease the winding rope until the hook takes the load; take it off; handles off the winch",
    "load the sling; everyone goes behind the line but the person who looses",
    "that person walks the lanyard out, without a pull on it, to the place beside the machine",
    "call the ground clear again, have it answered; draw the safety pin by its own long line, and "
    "hold it out",
    "loose; nobody goes near until arm and counterweight hang still",
    "if it does not loose: nobody goes near, let the pin's line go so that its spring puts the pin "
    "in, wait ten minutes; then winding rope on, pawl in, only then look",
)
"""Steps of a shot, in order: common practice. Local rules go before it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipHook:
    """A slip hook as it is made and oiled, and where it and its lanyard are.

    Places are None until a machine gives them: they grow with it.
    """

    curve: float = 0.012  # m, radius of the finger's curve under the ring
    offset: float = 0.002  # m, pivot to the load's line, positive where the load presses it shut
    pin: float = 0.008  # m, radius of the pivot pin
    lever: float = 0.20  # m, pivot to the lanyard
    friction: float = 0.12  # at ring and pin, greased steel: Morin's order (from memory)
    slippery: float = (
        0.03  # least that is foreseen, oil or ice: oiled steel 0.03 to 0.05 (S. A. Hill)
    )
    turn: float = math.radians(60.0)  # of the finger until the ring is off
    stretch: float = 0.03  # of the lanyard under the pull, as a share
    slack: float = 1.0  # m, that lies on the ground
    hook_x: float | None = None  # m, forward of the axle positive
    hook_y: float | None = None  # m
    person_x: float | None = None  # m
    person_z: float | None = None  # m, beside the plane of throw
    hand_y: float = 1.0  # m


@dataclass(frozen=True, slots=True, kw_only=True)
class Loosing:
    """What looses the hook, wanted and unwanted."""

    load: float  # N
    pull: float  # N, on the lanyard
    pull_at_double_friction: float  # N
    pull_when_slippery: float  # N, 0 where it looses by itself
    friction_that_holds: float  # below it the hook looses by itself; 0 for one that never does
    verdict: str  # at the friction given
    verdict_when_slippery: str
    lanyard: float | None  # m, None while the places are not given
    hand_travel: float | None  # m
    stands: str  # what is wrong with the place of the person who looses, or nothing
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ProngChoice:
    """A prong's slip angle and what a degree or a wet ring does to the range."""

    bend: float  # rad
    slip: float  # rad, sling lag at the slip, at the friction given
    slip_wet: float  # rad
    slip_dry: float  # rad
    range: float | None  # m, None where the throw fails
    range_wet: float | None
    range_dry: float | None
    range_a_degree: float | None  # m, change of range for one degree more of lag
    words: str


def hook_of(machine: HasDials) -> SlipHook:
    """Read the slip hook off a machine's dials; places that it leaves open are None."""
    own = {field.name for field in fields(SlipHook)} - {"hook_x", "hook_y"}
    return SlipHook(**{row.key: machine[row.path] for row in dials.group("hook") if row.key in own})


def loosing(load: float, hook: SlipHook | None = None, stands: str = "") -> Loosing:
    """Work out what looses a slip hook under a load [N].

    Args:
        load: on the hook [N].
        hook: as it is made; its places from the machine, or no lanyard is told.
        stands: what is wrong with the place of the person who looses, if anything is.

    Raises: ValueError: a size or a load that makes no hook.
    """
    h = hook if hook is not None else SlipHook()
    if not math.isfinite(load):
        raise ValueError(
            "the hook's line passes the axle and cannot hold the arm: move hook.x, hook.y or "
            "hook.on_arm, or leave hook.x empty for a line straight down"
        )

    def pull(friction: float) -> float:
        return trigger.pull_to_loose(load, h.curve, h.offset, h.pin, h.lever, friction, friction)

    verdict = trigger.hook_safety(h.curve, h.offset, h.pin, h.friction)
    slippery = trigger.hook_safety(h.curve, h.offset, h.pin, h.slippery)
    lanyard = travel = None
    if None not in (places := (h.hook_x, h.hook_y, h.person_x, h.person_z)):
        hook_x, hook_y, person_x, person_z = (float(place or 0.0) for place in places)
        lanyard = trigger.lanyard_length(hook_x, hook_y, person_x, person_z, h.hand_y, h.slack)
        travel = h.slack + trigger.lanyard_travel(h.lever, h.turn, h.stretch, lanyard)
    return Loosing(
        load=load, pull=pull(h.friction), pull_at_double_friction=pull(2.0 * h.friction),
        pull_when_slippery=pull(h.slippery),
        friction_that_holds=trigger.friction_that_holds(h.curve, h.offset, h.pin), verdict=verdict,
        verdict_when_slippery=slippery, lanyard=lanyard, hand_travel=travel, stands=stands,
        words=_loosing_words(pull(h.friction), pull(2.0 * h.friction), verdict, slippery),
    )  # fmt: skip


def prong_choice(
    bend: float,
    friction: float,
    wet: float,
    dry: float,
    range_at: Callable[[float], float | None],
) -> ProngChoice:
    """Give a prong's slip angle, and the range's answer to one degree and to friction.

    Args:
        bend: of the prong, toward the throw [rad].
        wet: lowest friction foreseen, wet or greased.
        dry: highest friction foreseen, dry or rusty.
        range_at: gives the range [m] for a slip angle [rad], None where the throw fails.

    Raises: ValueError: frictions out of order, or a bend beyond a quarter turn.
    """
    if not 0.0 <= wet <= friction <= dry:
        raise ValueError(
            f"frictions wet {wet:g}, as it is {friction:g} and dry {dry:g} are out of order. Give "
            "them rising."
        )
    slips = [prong.slip_angle(bend, mu) for mu in (friction, wet, dry)]
    ranges = [range_at(slip) for slip in slips]
    half = math.radians(0.5)
    below, above = range_at(slips[0] - half), range_at(slips[0] + half)
    a_degree = above - below if above is not None and below is not None else None
    return ProngChoice(
        bend=bend, slip=slips[0], slip_wet=slips[1], slip_dry=slips[2], range=ranges[0],
        range_wet=ranges[1], range_dry=ranges[2], range_a_degree=a_degree,
        words=_prong_words(slips, ranges, a_degree),
    )  # fmt: skip


def range_along(angles: np.ndarray, ranges: np.ndarray) -> Callable[[float], float | None]:
    """Give the range at any slip angle from a curve of ranges; None outside it or where it fails.

    Args:
        angles: slip angles in any order [rad], shape (n,).
        ranges: [m], not-a-number where the throw fails, shape (n,).

    Raises: ValueError: arrays that do not match, or fewer than two angles.
    """
    angles, ranges = np.asarray(angles, dtype=float), np.asarray(ranges, dtype=float)
    if angles.shape != ranges.shape or angles.ndim != 1 or angles.size < 2:
        raise ValueError(
            f"{angles.size} slip angles and {ranges.size} ranges: give as many of both, two or "
            "more. An empty sling has no range."
        )
    rising, first = np.unique(angles, return_index=True)
    sorted_ranges = ranges[first]
    lands = np.isfinite(sorted_ranges)
    # Between two neighbours that land: a cubic, since a chord cuts the curve's top off.
    curve = None
    if lands.sum() > 1:
        curve = CubicSpline(rising[lands], sorted_ranges[lands], extrapolate=False)

    def at(angle: float) -> float | None:
        near = np.interp(angle, rising, sorted_ranges, left=math.nan, right=math.nan)
        return float(curve(angle)) if curve is not None and math.isfinite(near) else None

    return at


def _loosing_words(pull: float, double: float, verdict: str, slippery: str) -> str:
    said = form("the hook {}; {:3N} on the lanyard looses it, {:3N} at twice the friction")(
        verdict, pull, double
    )
    if verdict == "looses by itself":
        return (
            f"the hook {verdict}: do not use it. Move the pivot so that the load presses the "
            "finger shut."
        )
    if slippery == "looses by itself":
        return said + (
            ". Greased, wet or iced it looses by itself: move the pivot so that the load presses "
            "the finger shut."
        )
    if pull < EASY_PULL:
        return said + ". So light that a snagged lanyard looses it: take a shorter lever."
    if double > HANDY_PULL:
        return said + (
            ": more than one person pulls with ease. Take a longer lever, a smaller curve or a "
            "thinner pin."
        )
    return said + "."


def _prong_words(slips: list[float], ranges: list[float | None], a_degree: float | None) -> str:
    said = (
        f"the ring slips at {math.degrees(slips[0]):.1f} deg of lag, wet at "
        f"{math.degrees(slips[1]):.1f} and dry at {math.degrees(slips[2]):.1f} deg"
    )
    if any(value is None for value in ranges) or a_degree is None:
        return f"{said}; not all of these throws come off"
    shown = [value for value in ranges if value is not None]
    sign = "+" if a_degree >= 0.0 else MINUS
    return form(
        "{}; range {:3m}, wet {:3m}, dry {:3m}; one degree more of lag changes it by {}{:2m}"
    )(said, *shown, sign, abs(a_degree))

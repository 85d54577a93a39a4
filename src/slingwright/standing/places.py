"""Who stands where and when, each held to a limit of their own: one source for page and print.

Every distance here comes from the machine's own sizes, so that places grow with the machine. Two
grounds are told apart. While the counterweight is wound up the sling is empty: what threatens is
the arm and the empty sling if the arm is let go, the counterweight box, and the rope if it parts.
From loading on it is the ground that a projectile can reach. Places are aids to judgement: local
codes, the authority on the site and a licensed person decide.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from slingwright.amounts.text import Text, form, text
from slingwright.formulas.release.trigger import lanyard_length
from slingwright.machine.machine import Machine
from slingwright.machine.table.dials import BY_PATH
from slingwright.winch.cycle import Winding
from slingwright.winch.hook import HANDY_PULL, SlipHook, hook_of, loosing
from slingwright.winch.rigging import RiggingCheck, rigging_checks

PACE = "shots an hour that are asked for"
LOOSES = "place of the person who looses"
BEYOND = 1.05
"""Places are this many times as far from the axle as the edge that they are to be outside of: the
kit's own choice."""
TURN = math.radians(1.0)
"""By this angle places are outside a sector's side: the kit's own choice."""
REACH = 0.8
"""How far arms reach to a handle or into the trough [m]: common practice."""
APART = 3.0
"""By this far the helper with the phone is behind the one who looses [m]: the kit's own choice."""
BACK = 1.25
"""Everyone else is this many times as far to the side as the ground that is kept clear there: the
kit's own choice."""
PERSON_DIALS = tuple(
    f"{one}_{way}"
    for one in (
        "hook.person",
        *(f"place.{key}" for key in ("winders", "loader", "helper", "public")),
    )
    for way in "xz"
)
"""The dials that move people."""
_OTHERS = tuple(path for path in BY_PATH if path not in PERSON_DIALS)


@dataclass(frozen=True, slots=True, kw_only=True)
class LoosingPlace:
    """Where the person stands who looses, from under the axle [m], and what lanyard that takes.

    `x` and `z` are None where there is no safe place; `needed` is the shortest lanyard that
    reaches one, None where no lanyard does.
    """

    hook_x: float
    hook_y: float
    x: float | None
    z: float | None
    lanyard: float | None  # m, with the slack that lies on the ground
    needed: float | None  # m
    given: float | None  # m, the lanyard that there is, if it was said
    wrong: Text = text()  # why this is no safe place, or nothing

    @property
    def found(self) -> bool:
        """Whether there is a safe place that the lanyard reaches."""
        return self.x is not None and not self.wrong


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """One place: who stands there and when, from under the axle [m], and what speaks against it.

    `x` and `z` (to the left) are None where no place is safe; `reach` is how far arms would have to
    reach to what is done there, 0 where nothing is [m].
    """

    key: str
    who: str
    x: float | None
    z: float | None
    dials: tuple[str, str]  # that move it, along and to the left
    does: Text  # what is done there, and when
    wrong: Text = text()
    reach: float = 0.0

    @property
    def words(self) -> Text:
        """Where, when, and what speaks against it."""
        return text(self.does, ". ", self.wrong) if self.wrong else self.does


@dataclass(frozen=True, slots=True, kw_only=True)
class WindingGround:
    """The ground to keep clear during the winding, no projectile in the sling [m]."""

    sweep: float  # ahead and behind of the axle: arm and empty sling
    half_width: float  # to either side of the plane of the throw
    rope: float  # longest that the tight rope is: it whips back as far, from either end
    spread: float  # rad, to either side of the rope's line
    drum_x: float
    drum_z: float
    arm_x: float  # where the tackle takes the cocked arm
    crew_x: float
    crew_z: float  # of the nearest place of the crew, abreast of the drum, clear of the crank

    def covers(self, x: float, z: float) -> bool:
        """Whether a place [m ahead, m to the side of the winch] lies on this ground."""
        if abs(x) <= self.sweep and abs(z) <= self.half_width:
            return True
        low, high = sorted((self.drum_x, self.arm_x))
        off = abs(z - self.drum_z)
        past = max(low - x, x - high)
        if past < 0.0:
            return off <= 1e-9 * self.sweep
        return math.hypot(past, off) <= self.rope and off <= past * math.tan(self.spread)


def same_but_people(one: Machine, other: Machine) -> bool:
    """Tell whether two machines differ in nothing but where people stand."""
    if one is other:
        return True
    return one.brief == other.brief and all(one[path] == other[path] for path in _OTHERS)


def clear_beside(machine: Machine) -> float:
    """Distance to keep clear on every side [m]: what arm and sling sweep, with the margin."""
    return machine.number("site.margin") * (
        machine.number("arm.long") + machine.number("sling.length")
    )


def is_beside(machine: Machine, x: float, z: float) -> bool:
    """Whether a place [m] is outside the sectors, however far they reach, and outside the sweep."""
    off = math.atan2(abs(z), x)
    sideways = machine.number("site.sideways")
    return sideways < off < math.pi - sideways and math.hypot(x, z) > clear_beside(machine)


def loosing_place(
    machine: Machine, lanyard: float | None = None, hook: SlipHook | None = None
) -> LoosingPlace:
    """Find where the person who looses stands: at the side, outside all that is to be kept clear.

    A place that the hook's dials give stands as it is, and is only judged. Else abreast of the hook
    where the lanyard reaches that far; as near to it as the sector behind leaves room where not.

    Args:
        machine: cocked.
        lanyard: the lanyard that there is, with its slack; as long as it takes if None [m].
        hook: where hook and hand are; where its dials say if its place is None.
    """
    h = hook if hook is not None else hook_of(machine)
    n = machine.number
    cocked = n("arm.cocked")
    hook_x = h.hook_x if h.hook_x is not None else -n("hook.on_arm") * math.cos(cocked)
    hook_y = h.hook_y
    if hook_y is None:
        hook_y = n("axle.height") - n("hook.on_arm") * math.sin(cocked)
    away = BEYOND * clear_beside(machine)
    front = n("site.sideways") + TURN
    rear = math.pi - front

    def at(x: float, z: float) -> tuple[float, float, float]:
        return x, z, lanyard_length(hook_x, hook_y, x, z, h.hand_y, h.slack)

    choices: list[tuple[float, float, float]] = []
    if front < rear:
        abreast = math.acos(max(-1.0, min(1.0, hook_x / away)))
        for turn in (min(rear, max(front, abreast)), rear if hook_x < 0.0 else front):
            choices.append(at(away * math.cos(turn), away * math.sin(turn)))
    if h.person_x is not None or h.person_z is not None:
        x, z, _ = choices[0] if choices else (0.0, away, 0.0)
        choices = [at(*(x if h.person_x is None else h.person_x,
                        z if h.person_z is None else h.person_z))]  # fmt: skip
    needed = min((length for _, _, length in choices), default=None)
    fits = [one for one in choices if lanyard is None or one[2] <= lanyard]
    wrong = text()
    if needed is None:
        wrong = form(
            "No safe place to loose from: the sectors ahead and behind leave no side free at "
            "{:.0f} deg (site.sideways). Loose from a shelter that a licensed person has judged, "
            "or from beyond the ground to keep clear"
        )(math.degrees(n("site.sideways")))
    elif not fits:
        wrong = form(
            "No safe place to loose from within the lanyard of {:3m}: lengthen it to {:3m} or "
            "more, or loose from a shelter that a licensed person has judged"
        )(lanyard, needed)
    elif not is_beside(machine, *fits[0][:2]):
        wrong = form(
            "The person who looses would stand inside the ground to keep clear: {:3m} along and "
            "{:3m} beside; keep farther than {:3m} from the axle and out of the sectors ahead and "
            "behind, or leave both places empty"
        )(*fits[0][:2], clear_beside(machine))
    stands = fits[0] if fits else (None, None, None)
    return LoosingPlace(
        hook_x=hook_x, hook_y=hook_y, x=stands[0], z=stands[1], lanyard=stands[2], needed=needed,
        given=lanyard, wrong=wrong,
    )  # fmt: skip


def placed(machine: Machine, hook: SlipHook) -> tuple[SlipHook, str]:
    """Fill in the places that a hook leaves open, and say what is wrong with the person's place."""
    found = loosing_place(machine, hook=hook)
    filled = replace(
        hook, hook_x=found.hook_x, hook_y=found.hook_y, person_x=found.x, person_z=found.z
    )
    return filled, found.wrong + "." if found.wrong else ""


def people(
    machine: Machine,
    loosing: LoosingPlace | None = None,
    covers: Callable[[float, float], bool] | None = None,
    clear: str = "",
) -> tuple[Person, ...]:
    """Give who stands where: who looses, winds and loads, the helper with the phone, all others.

    A place that its dials give stands as it is, and is only judged.

    Args:
        machine: the machine.
        loosing: where the person who looses stands, where that was worked out.
        covers: whether a place is on the ground to keep clear; as if its sectors had no end if
            None.
        clear: how far that ground reaches, in words.
    """
    place = loosing_place(machine) if loosing is None else loosing
    beside = clear_beside(machine)
    covers = covers or (lambda x, z: not is_beside(machine, x, z))
    free = machine.number("site.sideways") + TURN < 0.5 * math.pi
    spots: dict[str, tuple[float | None, float | None]] = {"helper": (None, None)}
    if place.x is not None and place.z is not None:
        away = max(math.hypot(place.x, place.z), BEYOND * beside) + APART
        spots["helper"] = 0.0, math.copysign(away, place.z)
    aside = -math.copysign(BACK * beside, place.z or 1.0)
    spots["public"] = (0.0, aside) if free else (None, None)
    found = [_who_looses(place), _who_winds(machine), _who_loads(machine)]
    for key, who, told in (
        (
            *("helper", "helper with the phone"),
            "The helper with the phone stands {} while it is loosed, clear of the lanyard, and "
            "writes the shot down once the pin is in",
        ),
        (
            *("public", "everyone else"),
            "Everyone else stays outside the ground to keep clear from the first turn of the winch "
            "until it is seen unloaded, the nearest {}",
        ),
    ):
        x, z = _set(machine, key, *spots[key])
        wrong = text()
        if x is not None and z is not None and covers(x, z):
            wrong = form("The place of {} is inside the ground to keep clear: {}")(who, where(x, z))
        far = text(": ", clear) if clear and key == "public" else text()
        found.append(_person(key, who, x, z, text(form(told)(where(x, z)), far), wrong))
    return tuple(found)


def where(x: float | None, z: float | None) -> Text:
    """Say where a place is, as seen from the axle."""
    if x is None or z is None:
        return text("where there is a safe place")
    along = form("{:3m} {} the axle")(abs(x), "behind" if x < 0.0 else "ahead of")
    side = form("{:3m} to the {}")(abs(z), "left" if z >= 0.0 else "right")
    return form("{} and {}")(along, side) if abs(x) >= 0.005 else side + " of the axle"


def _set(
    machine: Machine, key: str, x: float | None, z: float | None
) -> tuple[float | None, float | None]:
    """Give a place, as its dials have it where they are set."""
    paths = f"place.{key}_x", f"place.{key}_z"
    x, z = (
        one if machine[path] is None else machine.number(path)
        for path, one in zip(paths, (x, z), strict=True)
    )
    return x, z


def _person(
    key: str, who: str, x: float | None, z: float | None, does: Text, wrong: Text, reach: float = 0
) -> Person:
    group = "hook.person" if key == "looses" else f"place.{key}"
    return Person(
        key=key, who=who, x=x, z=z, dials=(f"{group}_x", f"{group}_z"), does=does, wrong=wrong,
        reach=reach,
    )  # fmt: skip


def _who_looses(place: LoosingPlace) -> Person:
    x, z, does = place.x, place.z, place.wrong
    if x is not None and z is not None and place.lanyard is not None:
        out = ""
        if not place.wrong:
            out = " or farther out, outside the ground to keep clear and behind cover"
        does = form(
            "Who looses stands {}{}: a lanyard of {:3m} with its slack, led {:.0f} deg off the "
            "line of the throw"
        )(where(x, z), out, place.lanyard, math.degrees(math.atan2(abs(z), x - place.hook_x)))
    return _person("looses", "who looses", x, z, does, place.wrong)


def _who_winds(machine: Machine) -> Person:
    ground, crank = winding_ground(machine), machine.number("winch.crank")
    x, z = _set(machine, "winders", ground.crew_x, ground.crew_z)
    x, z = x or 0.0, z or 0.0
    edge, wrong = max(ground.half_width, ground.drum_z), text()
    reach = max(0.0, math.hypot(x - ground.drum_x, max(0.0, abs(z) - edge)) - crank)
    if ground.covers(x, abs(z)):
        wrong = form(
            "Who winds would stand where arm and empty sling sweep or in line with the rope, {}"
        )(where(x, z))
    elif reach > REACH:
        wrong = form("Who winds would have to reach {:3m} to the crank, and reaches {:3m}")(
            reach, REACH
        )
    does = form(
        "The crew that winds, with no projectile in the sling and the safety pin at hand, stands "
        "abreast of the drum, {}, clear of the crank. Nobody stands between the frames or under "
        "counterweight and arm: arm and empty sling sweep {:3m} ahead and behind. Nobody stands in "
        "line with the rope, which whips back up to {:3m} past either end, {:.0f} deg to either "
        "side. The crew leaves the ground before a projectile is laid in, but the one who loads"
    )(where(x, z), ground.sweep, ground.rope, math.degrees(ground.spread))
    return _person("winders", "who winds", x, z, does, wrong, reach)


def _who_loads(machine: Machine) -> Person:
    ground, lies = winding_ground(machine), projectile_lies(machine)
    x, z = _set(machine, "loader", lies, BEYOND * ground.half_width)
    x, z = x or 0.0, z or 0.0
    reach, wrong = math.hypot(x - lies, max(0.0, abs(z) - ground.half_width)), text()
    if abs(z) <= ground.half_width and abs(x) <= ground.sweep:
        wrong = form("Who loads would stand under arm or counterweight, {}")(where(x, z))
    elif reach > REACH:
        wrong = form("Who loads would have to reach {:3m} into the trough, and reaches {:3m}")(
            reach, REACH
        )
    does = form(
        "Who loads comes in once the hook holds, the safety pin is in and the winding rope is off, "
        "stands beside the trough, {}, and is outside again before the pin is drawn"
    )(where(x, z))
    return _person("loader", "who loads", x, z, does, wrong, reach)


def projectile_lies(machine: Machine) -> float:
    """Where the projectile lies in the trough of the cocked machine, ahead of the axle [m]."""
    n = machine.number
    cocked, long = n("arm.cocked"), n("arm.long")
    drop = n("axle.height") - long * math.sin(cocked)
    drop -= n("trough.height") + 0.5 * n("projectile.diameter")
    return math.sqrt(max(n("sling.length") ** 2 - drop * drop, 0.0)) - long * math.cos(cocked)


def winding_checks(machine: Machine, wound: Winding, throw: Any = None) -> list[RiggingCheck]:
    """Check the winding gear, and what looses: the hook, its lanyard, who pulls it; worst first.

    Args:
        machine: the machine wound.
        wound: its winding.
        throw: of the same machine; with it the winch is held clear of sling and projectile too.

    Raises:
        UnknownMaterial: kind of rope, knot or use has no row in the tables.
    """
    hook, wrong = placed(machine, hook_of(machine))
    away = clear_beside(machine)
    stands = 0.0 if hook.person_x is None else math.hypot(hook.person_x, hook.person_z or 0.0)
    asked: list[tuple[str, float, float | None, str, str, str]] = [
        (
            *(LOOSES, away, 0.0 if wrong else stands, "m"),
            "site.margin times what arm and sling sweep, outside the sectors ahead and behind",
            wrong,
        ),
        (
            *(PACE, machine.number("crew.loosings"), wound.loosings_an_hour, "-"),
            "winding, and what loading or the crew's rest takes after it",
            "thicker drum or more people, if the crew can, or less crew.serve_time",
        ),
    ]
    holds, pull = (
        "friction that the hook needs to hold",
        "pull on the lanyard at twice the friction",
    )
    for one in (_who_winds(machine), _who_loads(machine)):
        room = 0.0 if one.wrong and one.reach <= REACH else REACH
        source = "arms reach so far, common practice; not where arm, sling or rope may come"
        asked.append((f"place of {one.who}", max(one.reach, 0.01), room, "m", source, one.wrong))
    try:
        found = loosing(wound.hook_load, hook, wrong)
        asked += [
            (
                *(holds, found.friction_that_holds, hook.slippery, "-"),
                "moments about the pivot with friction circles, against hook.slippery",
                found.words,
            ),
            (
                *(pull, found.pull_at_double_friction, HANDY_PULL, "N"),
                "EN 1005-3:2002 Table 1 (from memory)",
                found.words,
            ),
        ]
    except ValueError as error:
        asked.append((holds, 0.0, None, "-", "moments about the pivot", str(error)))
    rows = [
        RiggingCheck(
            name=name,
            demand=demand,
            capacity=capacity,
            unit=unit,
            source=source,
            advice=advice,
            at_least=name == LOOSES,
            is_piece=False,
        )
        for name, demand, capacity, unit, source, advice in asked
    ]
    return sorted([*rigging_checks(wound, throw), *rows], key=lambda row: -row.utilisation)


def winding_ground(machine: Machine) -> WindingGround:
    """Find the ground to keep clear during the winding, and where the crew stands."""
    n = machine.number
    cocked, on_arm = n("arm.cocked"), n("winch.on_arm")
    drum_x, drum_z = n("winch.x"), n("winch.aside")
    upright = (0.0, n("axle.height") + on_arm)
    half_width = 0.5 * n("axle.span")
    return WindingGround(
        sweep=n("arm.long") + n("sling.length"),
        half_width=half_width,
        rope=math.dist(upright, (drum_x, n("winch.y"))),
        spread=n("site.sideways"),
        drum_x=drum_x,
        drum_z=drum_z,
        arm_x=-on_arm * math.cos(cocked),
        crew_x=drum_x,
        crew_z=BEYOND * (max(half_width, drum_z) + n("winch.crank")),
    )

"""What must hold between a machine's values, beyond the limits of each dial alone.

Every condition is elementwise, floats or arrays, so that one table holds one machine and every row
of a sweep to the same rules.  What can only be seen by throwing is no rule here: that is the
outcome of the throw.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from slingwright.amounts import units

Number = Any

NEAR_FULL_REACH = 0.995
"""Largest height a cocked sling may bridge, over its length: one that hangs straight down on the
trough holds the projectile in no definite place."""
LIGHTEST_END = 1e-6
"""Least mass at the end of the sling, kg: with none the sling's motion is undetermined."""
LEAST_SWING = 1e-3
"""Least radius of gyration of a hinged counterweight about its pin, over the short arm."""


@dataclass(frozen=True, slots=True)
class Condition:
    """One condition: what it needs, the dial to blame first, whether it holds, what to say if not.

    `paths` stand with spaces between.  `holds` and `say` take the values of `needs` in order, in
    SI.  `say` gives what is wrong, the limit and the next step.
    """

    paths: str
    holds: Callable[..., Number]
    say: Callable[..., tuple[str, str, str]]
    needs: tuple[str, ...] = field(init=False)

    def __post_init__(self) -> None:
        """Part the paths once."""
        object.__setattr__(self, "needs", tuple(self.paths.split()))

    @property
    def key(self) -> str:
        """The dial to blame."""
        return self.needs[0]


def _m(value: float) -> str:
    return units.text(value, "m")


def _kg(value: float) -> str:
    return units.text(value, "kg")


def _deg(value: float) -> str:
    return units.text(value, "rad")


# ---- the arm


def _balance_holds(balance: Number, long: Number, short: Number) -> Number:
    return (balance <= long) & (balance >= -short)


def _balance_say(balance: float, long: float, short: float) -> tuple[str, str, str]:
    return (
        "the balance point lies outside the arm",
        f"from {_m(-short)} (hanger pin) to {_m(long)} (tip)",
        "measure it from the axle, positive toward the long end",
    )


def _largest_inertia(
    mass: Number, balance: Number, long: Number, short: Number, depth: Number
) -> Number:
    """Inertia of the mass gathered at the two ends, with a quarter for a butt past the pin.

    No spread of a mass along a line has more than that: (L - b)(b + S) bounds its variance.
    """
    spread = np.maximum((long - balance) * (balance + short), 0.0)
    return mass * (1.25 * spread + depth**2)


def _inertia_holds(inertia: Number, *rest: Number) -> Number:
    return inertia <= _largest_inertia(*rest) * (1.0 + 1e-9)


def _inertia_say(inertia: float, *rest: float) -> tuple[str, str, str]:
    most = units.text(float(_largest_inertia(*rest)), "kg m^2")
    return (
        "no arm of this mass, length and balance has so much inertia",
        f"at most {most} about its centre of mass",
        "give it about the arm's own centre of mass, not about the axle, or leave it out",
    )


# ---- the machine as it stands cocked


def _tip(axle: Number, long: Number, cocked: Number) -> Number:
    return axle - long * np.sin(cocked)


def _tip_holds(cocked: Number, axle: Number, long: Number) -> Number:
    return _tip(axle, long, cocked) >= -1e-9


def _tip_say(cocked: float, axle: float, long: float) -> tuple[str, str, str]:
    most = float(np.arcsin(min(axle / long, 1.0)))
    return (
        f"the tip of the cocked arm is {_m(-float(_tip(axle, long, cocked)))} below the ground",
        f"at most {_deg(most)} with this axle and arm",
        f"lower arm.cocked, raise axle.height to {_m(float(long * np.sin(cocked)))}, "
        "or leave arm.cocked out",
    )


def _gap(axle: Number, long: Number, cocked: Number, trough: Number, across: Number) -> Number:
    """Height between the cocked arm's tip and the projectile's centre in the trough."""
    return np.abs(_tip(axle, long, cocked) - trough - across / 2.0)


def _reach_holds(length: Number, *rest: Number) -> Number:
    return _gap(*rest) <= NEAR_FULL_REACH * length


def _reach_say(length: float, *rest: float) -> tuple[str, str, str]:
    gap = float(_gap(*rest))
    return (
        f"the sling does not reach the trough: the cocked arm's tip and the projectile's centre "
        f"stand {_m(gap)} apart in height",
        f"at least {_m(gap / NEAR_FULL_REACH)}",
        "lengthen the sling, or bring axle.height, arm.cocked and trough.height together",
    )


def _ball_holds(length: Number, across: Number) -> Number:
    return across / 2.0 < length


def _ball_say(length: float, across: float) -> tuple[str, str, str]:
    return (
        "the sling ends inside the projectile",
        f"more than {_m(across / 2.0)}, the projectile's radius",
        "lengthen the sling or give a smaller projectile.diameter",
    )


def _hang(axle: Number, short: Number, hanger: Number, hung: Number, rise: Number) -> Number:
    """Height of the counterweight's centre: `rise` is the sine of the short arm's angle upward."""
    return axle + short * rise - np.where(hung, hanger, 0.0)


def _clear_holds(
    hanger: Number, axle: Number, short: Number, height: Number, cocked: Number, hung: Number
) -> Number:
    return _hang(axle, short, hanger, hung, np.sin(cocked)) >= height / 2.0


def _clear_say(
    hanger: float, axle: float, short: float, height: float, cocked: float, hung: bool
) -> tuple[str, str, str]:
    low = float(_hang(axle, short, hanger, hung, np.sin(cocked))) - height / 2.0
    return (
        f"the counterweight of the cocked machine stands {_m(-low)} in the ground",
        "its lower edge at or above the ground",
        "shorten counterweight.hanger, lower counterweight.height or raise axle.height",
    )


def _upright_holds(short: Number, axle: Number, height: Number, hung: Number) -> Number:
    return axle - short >= np.where(hung, 0.0, height / 2.0)


def _upright_say(short: float, axle: float, height: float, hung: bool) -> tuple[str, str, str]:
    most = axle if hung else axle - height / 2.0
    return (
        "the short arm's end goes into the ground when the arm stands upright",
        f"at most {_m(max(most, 0.0))} with this axle" + ("" if hung else " and counterweight"),
        "shorten the short arm or raise axle.height",
    )


# ---- what moves must have mass


def _end_holds(projectile: Number, pouch: Number, sling: Number) -> Number:
    return projectile + pouch + sling / 3.0 >= LIGHTEST_END


def _end_say(projectile: float, pouch: float, sling: float) -> tuple[str, str, str]:
    return (
        "projectile, pouch and sling have no mass at all, so the sling cannot move by any law",
        f"together at least {_kg(LIGHTEST_END * 3.0)}",
        "for an empty sling give the true sling.mass and sling.pouch, or leave those out",
    )


def _swing_holds(
    inertia: Number, mass: Number, hanger: Number, short: Number, hung: Number
) -> Number:
    enough = inertia + mass * hanger**2 >= mass * (LEAST_SWING * short) ** 2
    return enough | ~np.asarray(hung, dtype=bool)


def _swing_say(
    inertia: float, mass: float, hanger: float, short: float, hung: bool
) -> tuple[str, str, str]:
    least = units.text(mass * (LEAST_SWING * short) ** 2 - mass * hanger**2, "kg m^2")
    return (
        "a hinged counterweight that is all at its pin has no inertia to swing with",
        f"at least {least} with this hanger",
        "give counterweight.hanger, or the box's true inertia, or counterweight.hung = false",
    )


# ---- what passes through what


def _within(inner: Number, outer: Number) -> Number:
    return inner <= outer * (1.0 + 1e-9)


def _trough_say(width: float, across: float) -> tuple[str, str, str]:
    return (
        f"the projectile, {_m(across)} across, does not fit into the trough",
        f"at least {_m(across)}",
        "widen the trough or leave trough.width out",
    )


def _span_say(span: float, width: float, across: float) -> tuple[str, str, str]:
    wide = max(width, across)
    what = "arm" if width >= across else "projectile"
    return (
        f"the {what}, {_m(wide)} wide, does not pass between the axle's supports",
        f"at least {_m(wide)}",
        "widen the span or leave axle.span out",
    )


def _pins_holds(pin: Number, axle: Number, short: Number, hung: Number) -> Number:
    return ((pin + axle) / 2.0 <= short) | ~np.asarray(hung, dtype=bool)


def _pins_say(pin: float, axle: float, short: float, hung: bool) -> tuple[str, str, str]:
    return (
        "the hanger pin and the axle cut into each other",
        f"at most {_m(max(2.0 * short - axle, 0.0))} with this short arm and axle",
        "give a thinner hanger.pin or axle.diameter, or a longer arm.short",
    )


def _past_tip(what: str) -> Callable[..., tuple[str, str, str]]:
    return lambda on_arm, long: (
        f"the {what} takes the arm beyond its tip",
        f"at most {_m(long)}, the long arm",
        "lower it or leave it out",
    )


# fmt: off
CONDITIONS: tuple[Condition, ...] = (
    Condition("arm.balance arm.long arm.short", _balance_holds, _balance_say),
    Condition("arm.inertia arm.mass arm.balance arm.long arm.short arm.depth_at_axle",
              _inertia_holds, _inertia_say),
    Condition("arm.cocked axle.height arm.long", _tip_holds, _tip_say),
    Condition("sling.length axle.height arm.long arm.cocked trough.height projectile.diameter",
              _reach_holds, _reach_say),
    Condition("sling.length projectile.diameter", _ball_holds, _ball_say),
    Condition("counterweight.hanger axle.height arm.short counterweight.height arm.cocked "
              "counterweight.hung",
              _clear_holds, _clear_say),
    Condition("arm.short axle.height counterweight.height counterweight.hung",
              _upright_holds, _upright_say),
    Condition("projectile.mass sling.pouch sling.mass", _end_holds, _end_say),
    Condition("counterweight.inertia counterweight.mass counterweight.hanger arm.short "
              "counterweight.hung",
              _swing_holds, _swing_say),
    Condition("trough.width projectile.diameter",
              lambda width, across: _within(across, width), _trough_say),
    Condition("axle.span arm.width_at_axle projectile.diameter",
              lambda span, width, across: _within(np.maximum(width, across), span), _span_say),
    Condition("hanger.pin axle.diameter arm.short counterweight.hung", _pins_holds, _pins_say),
    Condition("hook.on_arm arm.long", _within, _past_tip("hook")),
    Condition("winch.on_arm arm.long", _within, _past_tip("tackle")),
)
# fmt: on

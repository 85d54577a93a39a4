"""What must hold between a machine's values, beyond the limits of each dial alone.

Every condition is elementwise, floats or arrays, so that one table holds one machine and every row
of a sweep to the same rules.  What can only be seen by throwing is no rule here: that is the
outcome of the throw.
"""

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


def _largest_inertia(
    mass: Number, balance: Number, long: Number, short: Number, depth: Number
) -> Number:
    """Inertia of the mass gathered at the two ends, with a quarter for a butt past the pin.

    No spread of a mass along a line has more than that: (L - b)(b + S) bounds its variance.
    """
    spread = np.maximum((long - balance) * (balance + short), 0.0)
    return mass * (1.25 * spread + depth**2)


def _tip(axle: Number, long: Number, cocked: Number) -> Number:
    return axle - long * np.sin(cocked)


def _gap(axle: Number, long: Number, cocked: Number, trough: Number, across: Number) -> Number:
    """Height between the cocked arm's tip and the projectile's centre in the trough."""
    return np.abs(_tip(axle, long, cocked) - trough - across / 2.0)


def _lower_edge(
    hanger: Number, axle: Number, short: Number, height: Number, cocked: Number, hung: Number
) -> Number:
    """Height of the lower edge of the cocked machine's counterweight."""
    return axle + short * np.sin(cocked) - np.where(hung, hanger, 0.0) - height / 2.0


def _within(inner: Number, outer: Number) -> Number:
    return inner <= outer * (1.0 + 1e-9)


def _or_fixed(holds: Number, hung: Number) -> Number:
    """A rule of hinged counterweights alone."""
    return holds | ~np.asarray(hung, dtype=bool)


def _past_tip(what: str) -> Callable[..., tuple[str, str, str]]:
    return lambda on_arm, long: (
        f"the {what} takes the arm beyond its tip",
        f"at most {_m(long)}, the long arm",
        "lower it or leave it out",
    )


CONDITIONS: tuple[Condition, ...] = (
    # The arm.
    Condition(
        "arm.balance arm.long arm.short",
        lambda balance, long, short: (balance <= long) & (balance >= -short),
        lambda balance, long, short: (
            "the balance point lies outside the arm",
            f"from {_m(-short)} (hanger pin) to {_m(long)} (tip)",
            "measure it from the axle, positive toward the long end",
        ),
    ),
    Condition(
        "arm.inertia arm.mass arm.balance arm.long arm.short arm.depth_at_axle",
        lambda inertia, *rest: inertia <= _largest_inertia(*rest) * (1.0 + 1e-9),
        lambda inertia, *rest: (
            "no arm of this mass, length and balance has so much inertia",
            f"at most {units.text(float(_largest_inertia(*rest)), 'kg m^2')} about its centre of "
            "mass",
            "give it about the arm's own centre of mass, not about the axle, or leave it out",
        ),
    ),
    # The machine as it stands cocked.
    Condition(
        "arm.cocked axle.height arm.long",
        lambda cocked, axle, long: _tip(axle, long, cocked) >= -1e-9,
        lambda cocked, axle, long: (
            f"the tip of the cocked arm is {_m(-float(_tip(axle, long, cocked)))} below the ground",
            f"at most {units.text(float(np.arcsin(min(axle / long, 1.0))), 'rad')} with this axle "
            "and arm",
            f"lower arm.cocked, raise axle.height to {_m(float(long * np.sin(cocked)))}, "
            "or leave arm.cocked out",
        ),
    ),
    Condition(
        "sling.length axle.height arm.long arm.cocked trough.height projectile.diameter",
        lambda length, *rest: _gap(*rest) <= NEAR_FULL_REACH * length,
        lambda length, *rest: (
            "the sling does not reach the trough: the cocked arm's tip and the projectile's centre "
            f"stand {_m(float(_gap(*rest)))} apart in height",
            f"at least {_m(float(_gap(*rest)) / NEAR_FULL_REACH)}",
            "lengthen the sling, or bring axle.height, arm.cocked and trough.height together",
        ),
    ),
    Condition(
        "sling.length projectile.diameter",
        lambda length, across: across / 2.0 < length,
        lambda length, across: (
            "the sling ends inside the projectile",
            f"more than {_m(across / 2.0)}, the projectile's radius",
            "lengthen the sling or give a smaller projectile.diameter",
        ),
    ),
    Condition(
        "counterweight.hanger axle.height arm.short counterweight.height arm.cocked "
        "counterweight.hung",
        lambda *sizes: _lower_edge(*sizes) >= 0.0,
        lambda *sizes: (
            f"the counterweight of the cocked machine stands {_m(-float(_lower_edge(*sizes)))} in "
            "the ground",
            "its lower edge at or above the ground",
            "shorten counterweight.hanger, lower counterweight.height or raise axle.height",
        ),
    ),
    Condition(
        "arm.short axle.height counterweight.height counterweight.hung",
        lambda short, axle, height, hung: axle - short >= np.where(hung, 0.0, height / 2.0),
        lambda short, axle, height, hung: (
            "the short arm's end goes into the ground when the arm stands upright",
            f"at most {_m(max(axle if hung else axle - height / 2.0, 0.0))} with this axle"
            + ("" if hung else " and counterweight"),
            "shorten the short arm or raise axle.height",
        ),
    ),
    # What moves must have mass.
    Condition(
        "projectile.mass sling.pouch sling.mass",
        lambda projectile, pouch, sling: projectile + pouch + sling / 3.0 >= LIGHTEST_END,
        lambda projectile, pouch, sling: (
            "projectile, pouch and sling have no mass at all, so the sling cannot move by any law",
            f"together at least {units.text(LIGHTEST_END * 3.0, 'kg')}",
            "for an empty sling give the true sling.mass and sling.pouch, or leave those out",
        ),
    ),
    Condition(
        "counterweight.inertia counterweight.mass counterweight.hanger arm.short "
        "counterweight.hung",
        lambda inertia, mass, hanger, short, hung: _or_fixed(
            inertia + mass * hanger**2 >= mass * (LEAST_SWING * short) ** 2, hung
        ),
        lambda inertia, mass, hanger, short, hung: (
            "a hinged counterweight that is all at its pin has no inertia to swing with",
            f"at least {units.text(mass * ((LEAST_SWING * short) ** 2 - hanger**2), 'kg m^2')} "
            "with this hanger",
            "give counterweight.hanger, or the box's true inertia, or counterweight.hung = false",
        ),
    ),
    # What passes through what.
    Condition(
        "trough.width projectile.diameter",
        lambda width, across: _within(across, width),
        lambda width, across: (
            f"the projectile, {_m(across)} across, does not fit into the trough",
            f"at least {_m(across)}",
            "widen the trough or leave trough.width out",
        ),
    ),
    Condition(
        "axle.span arm.width_at_axle projectile.diameter",
        lambda span, width, across: _within(np.maximum(width, across), span),
        lambda span, width, across: (
            f"the {'arm' if width >= across else 'projectile'}, {_m(max(width, across))} wide, "
            "does not pass between the axle's supports",
            f"at least {_m(max(width, across))}",
            "widen the span or leave axle.span out",
        ),
    ),
    Condition(
        "hanger.pin axle.diameter arm.short counterweight.hung",
        lambda pin, axle, short, hung: _or_fixed((pin + axle) / 2.0 <= short, hung),
        lambda pin, axle, short, hung: (
            "the hanger pin and the axle cut into each other",
            f"at most {_m(max(2.0 * short - axle, 0.0))} with this short arm and axle",
            "give a thinner hanger.pin or axle.diameter, or a longer arm.short",
        ),
    ),
    Condition("hook.on_arm arm.long", _within, _past_tip("hook")),
    Condition("winch.on_arm arm.long", _within, _past_tip("tackle")),
)

"""What a machine file may leave out: each such value, and the rule that gives it from the rest.

Every rule is elementwise: floats give a float, arrays of equal length an array, so that one table
serves one machine and a sweep of a hundred thousand.  Proportions without a source beside them are
common practice: starting sizes for a first look, not a design.
"""

import math
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from slingwright.tables import materials

Number = Any
"""A float or an array of floats; rules take and give either."""

STONE_DENSITY = 2600.0
"""Density a projectile without a diameter is given, kg/m3: stone, common practice."""
FILL_DENSITY = 1800.0
"""Mass of a counterweight box over its outer volume, kg/m3: a box of damp sand or gravel, common
practice."""
CORD_DENSITY = 740.0
"""Mass per length of a fibre cord over the square of its diameter, kg/m3: twisted hemp or manila,
common practice."""
CORD_PULL = 0.7e9
"""Pull of a cord for each unit of strain over the square of its diameter, N/m2: ten times what a
natural fibre breaks at, common practice; new rope gives more, old and hard rope less."""

_GAUSS = tuple(
    (0.5 + 0.5 * math.sqrt(0.6) * side, weight)
    for side, weight in ((-1, 5.0 / 18.0), (0, 8.0 / 18.0), (1, 5.0 / 18.0))
)
"""Gauss-Legendre points and weights on 0 to 1: exact to the fifth power, the beam needs the
fourth."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """How one value follows from others.

    `function` takes the values of `needs` in order, in SI.  The rule holds where every path of
    `given` was given; a table lists the special rule of a path before its general one.
    """

    path: str
    needs: tuple[str, ...]
    function: Callable[..., Number]
    words: str
    given: frozenset[str] = frozenset()


def timber_density(name: Number) -> Number:
    """Mean density of a timber class by name, kg/m3; an array of names gives an array.

    Raises:
        UnknownMaterial: a name that is not in the timber table.

    >>> float(timber_density("D30"))
    640.0
    """
    if isinstance(name, str):
        return materials.timber(name).density_mean
    names = np.asarray(name)
    found = {str(one): materials.timber(str(one)).density_mean for one in np.unique(names)}
    return np.array([found[str(one)] for one in names.ravel()]).reshape(names.shape)


def beam(
    long: Number,
    short: Number,
    depth_at_axle: Number,
    width_at_axle: Number,
    depth_at_tip: Number,
    width_at_tip: Number,
    density: Number,
) -> tuple[Number, Number, Number]:
    """Mass, balance point and inertia of an arm that tapers from axle to tip.

    Depth and width fall along straight lines from the axle to the tip of the long arm; the short
    arm keeps the section it has at the axle and ends at the hanger pin.  The integrals of
    rho w d, rho w d x and rho w d (x^2 + d^2 / 12) are taken exactly.

    Args:
        long, short: lengths of the two arms [m].
        depth_at_axle, width_at_axle, depth_at_tip, width_at_tip: sections [m].
        density: of the timber [kg/m^3].

    Returns:
        Mass [kg], balance point from the axle toward the tip [m], and inertia about that point
        [kg m^2].

    >>> mass, balance, inertia = beam(3.0, 1.0, 0.1, 0.1, 0.1, 0.1, 500.0)
    >>> round(mass, 9), round(balance, 9), round(inertia, 9)
    (20.0, 1.0, 26.683333333)
    """
    section = width_at_axle * depth_at_axle
    mass = density * short * section
    first = -mass * short / 2.0
    second = mass * (short**2 / 3.0 + depth_at_axle**2 / 12.0)
    for place, weight in _GAUSS:
        depth = depth_at_axle + (depth_at_tip - depth_at_axle) * place
        width = width_at_axle + (width_at_tip - width_at_axle) * place
        piece = density * long * weight * depth * width
        x = long * place
        mass = mass + piece
        first = first + piece * x
        second = second + piece * (x**2 + depth**2 / 12.0)
    balance = first / mass
    return mass, balance, second - mass * balance**2


_BEAM = (
    "arm.long arm.short arm.depth_at_axle arm.width_at_axle arm.depth_at_tip arm.width_at_tip "
    "arm.timber arm.section"
)


def _beam_of(*values: Number) -> tuple[Number, Number, Number]:
    long, short, depth_1, width_1, depth_2, width_2, timber, section = values
    density = timber_density(timber)
    turned = np.asarray(section) == "round"
    # A round arm is as wide as it is deep, and pi / 4 of the square around it.
    width_1 = np.where(turned, math.pi / 4.0 * depth_1, width_1)[()]
    width_2 = np.where(turned, math.pi / 4.0 * depth_2, width_2)[()]
    return beam(long, short, depth_1, width_1, depth_2, width_2, density)


def _mass_from_inertia(*values: Number) -> Number:
    mass, _, inertia = _beam_of(*values[:-1])
    return mass * values[-1] / inertia


def _inertia(*values: Number) -> Number:
    mass, _, inertia = _beam_of(*values[:-1])
    return inertia * values[-1] / mass


def _cube(mass: Number) -> Number:
    return np.cbrt(mass / FILL_DENSITY)


def _cocked(axle: Number, trough: Number, diameter: Number, long: Number) -> Number:
    drop = np.minimum((axle - trough - diameter / 2.0) / long, math.sin(math.radians(60.0)))
    return np.arcsin(np.maximum(drop, math.sin(math.radians(1.0))))


def _cord(projectile: Number, length: Number) -> Number:
    # The floor keeps an empty sling of a real weight: a thin cord as long as the sling.
    return np.maximum(0.04 * projectile, 0.003 * length**2)


def _winch_y(on_arm: Number, cocked: Number, axle: Number) -> Number:
    tackle = axle - on_arm * np.sin(cocked)
    return np.maximum(np.minimum(0.1 * axle, 0.4 * tackle), 0.0)


def _box_breadth(mass: Number, width: Number, height: Number, span: Number) -> Number:
    filled = mass / (FILL_DENSITY * width * height)
    return np.clip(np.minimum(filled, 0.9 * span), 0.001, 10.0)


def _rule(
    path: str, needs: str, function: Callable[..., Number], words: str, given: str = ""
) -> Rule:
    """Make a row of the table below from paths with spaces between."""
    return Rule(
        path=path,
        needs=tuple(needs.split()),
        function=function,
        words=words,
        given=frozenset(given.split()),
    )


# fmt: off
RULES: tuple[Rule, ...] = (
    _rule("arm.depth_at_axle", "arm.long", lambda long: np.maximum(long / 18.0, 0.005),
          "an eighteenth of the long arm (common practice)"),
    _rule("arm.width_at_axle", "arm.depth_at_axle", lambda depth: np.maximum(0.8 * depth, 0.005),
          "0.8 of the depth at the axle (common practice)"),
    _rule("arm.depth_at_tip", "arm.depth_at_axle", lambda depth: np.maximum(0.45 * depth, 0.002),
          "0.45 of the depth at the axle (common practice)"),
    _rule("arm.width_at_tip", "arm.width_at_axle", lambda width: np.maximum(0.45 * width, 0.002),
          "0.45 of the width at the axle (common practice)"),
    _rule("arm.mass", f"{_BEAM} arm.inertia", _mass_from_inertia,
          "tapered beam of the arm's sections, scaled to the inertia that was given",
          "arm.inertia"),
    _rule("arm.mass", _BEAM, lambda *values: _beam_of(*values)[0],
          "tapered beam of the arm's sections at the mean density of its timber"),
    _rule("arm.balance", _BEAM, lambda *values: _beam_of(*values)[1],
          "centre of mass of the tapered beam of the arm's sections"),
    _rule("arm.inertia", f"{_BEAM} arm.mass", _inertia,
          "tapered beam of the arm's sections, scaled to the arm's mass"),
    _rule("projectile.diameter", "projectile.mass",
          lambda mass: np.cbrt(6.0 * mass / (math.pi * STONE_DENSITY)),
          "sphere of its mass in stone of 2,600 kg/m3 (common practice)"),
    _rule("arm.cocked", "axle.height trough.height projectile.diameter arm.long", _cocked,
          "tip level with the projectile's centre in the trough, between 1 and 60 degrees"),
    _rule("counterweight.hanger", "arm.short", lambda short: 0.8 * short,
          "0.8 of the short arm (common practice)"),
    _rule("counterweight.width", "counterweight.mass", _cube,
          "cube of the counterweight's mass at 1,800 kg/m3 (common practice)"),
    _rule("counterweight.height", "counterweight.mass", _cube,
          "cube of the counterweight's mass at 1,800 kg/m3 (common practice)"),
    _rule("counterweight.inertia", "counterweight.mass counterweight.width counterweight.height",
          lambda mass, width, height: mass * (width**2 + height**2) / 12.0,
          "even block of the counterweight's width and height"),
    _rule("sling.mass", "projectile.mass sling.length", _cord,
          "0.04 of the projectile's mass, at least 3 g times length in metres squared (common "
          "practice)"),
    _rule("sling.pouch", "projectile.mass sling.length", _cord,
          "0.04 of the projectile's mass, at least 3 g times length in metres squared (common "
          "practice)"),
    _rule("trough.width", "projectile.diameter", lambda diameter: np.maximum(1.3 * diameter, 0.02),
          "1.3 of the projectile's diameter, at least 20 mm (common practice)"),
    _rule("axle.diameter", "arm.long", lambda long: np.maximum(long / 60.0, 0.001),
          "a sixtieth of the long arm (common practice)"),
    _rule("axle.span", "trough.width arm.long arm.width_at_axle",
          lambda trough, long, width: np.maximum(trough, width) + 0.06 * long,
          "trough or arm, the wider, and 0.03 of the long arm on each side (common practice)"),
    _rule("trough.bearers", "trough.width", lambda width: np.clip(2.0 * width, 0.01, 10.0),
          "2 of the trough's width (common practice)"),
    _rule("trough.bearer", "axle.span", lambda span: np.clip(span / 12.0, 0.002, 1.0),
          "a twelfth of the axle's span (common practice)"),
    _rule("hanger.pin", "axle.diameter", lambda diameter: np.maximum(0.7 * diameter, 0.001),
          "0.7 of the axle's diameter (common practice)"),
    _rule("base.mass", "counterweight.mass arm.mass",
          lambda weight, arm: np.maximum(0.6 * weight + 2.0 * arm, 0.1),
          "0.6 of the counterweight's mass and twice the arm's (common practice)"),
    _rule("winch.on_arm", "arm.long", lambda long: 0.75 * long,
          "three quarters along the long arm (common practice)"),
    _rule("rig.handspike", "winch.crank arm.long",
          lambda crank, long: np.clip(2.0 * crank, 0.05, np.maximum(long / 3.0, 0.05)),
          "twice the crank, at most a third of the long arm (the kit's own choice)"),
    _rule("hook.on_arm", "arm.long", lambda long: 1.0 * long, "at the tip of the long arm"),
    _rule("winch.x", "winch.on_arm arm.cocked", lambda on_arm, cocked: -on_arm * np.cos(cocked),
          "straight under the tackle's place on the arm when it is cocked"),
    _rule("winch.y", "winch.on_arm arm.cocked axle.height", _winch_y,
          "a tenth of the axle's height, and well below the tackle when cocked"),
    _rule("winch.aside", "trough.width projectile.diameter arm.long",
          lambda trough, wide, long: 0.5 * np.maximum(trough, wide) + np.minimum(0.3, long / 12.0),
          "half of trough or projectile, and the lesser of 0.3 m and a twelfth of the long arm "
          "(common practice)"),
    _rule("arm.hole", "axle.diameter", lambda diameter: 1.0 * diameter, "the axle's diameter"),
    _rule("counterweight.breadth",
          "counterweight.mass counterweight.width counterweight.height axle.span",
          _box_breadth,
          "what holds the counterweight's mass at 1,800 kg/m3, at most 0.9 of the axle's span "
          "(common practice)"),
    _rule("counterweight.floor", "counterweight.breadth",
          lambda breadth: np.clip(breadth / 12.0, 0.001, 0.5),
          "a twelfth of the box's breadth (common practice)"),
    _rule("counterweight.side", "counterweight.floor", lambda floor: 1.0 * floor,
          "as thick as the floor (common practice)"),
    _rule("sling.rope_diameter", "sling.mass sling.length sling.cords",
          lambda mass, long, many: np.clip(np.sqrt(mass / (many * long * CORD_DENSITY)), 5e-4, 0.2),
          "fibre cord of the sling's mass, 740 kg/m3 times diameter squared (common practice)"),
    _rule("sling.stiffness", "sling.rope_diameter sling.cords sling.length",
          lambda across, cords, long: np.clip(CORD_PULL * cords * across**2 / long, 1.0, 1e9),
          "0.7 GN/m2 times diameter squared a cord, over its length: a natural fibre that "
          "stretches a tenth as it breaks; half to double (common practice)"),
    _rule("sling.damping", "sling.stiffness sling.pouch sling.mass",
          lambda stiff, pouch, cords: 2.0 * 0.1 * np.sqrt(stiff * (pouch + cords / 3.0)),
          "a tenth of the critical damping of pouch and cords on it; half to double (common "
          "practice)"),
    _rule("sling.pouch_width", "projectile.diameter",
          lambda diameter: np.maximum(0.6 * diameter, 0.02),
          "0.6 of the projectile's diameter, at least 20 mm (common practice)"),
    _rule("prong.diameter", "arm.long", lambda long: np.maximum(long / 300.0, 0.001),
          "a three-hundredth of the long arm (common practice)"),
    _rule("prong.length", "prong.diameter", lambda diameter: np.minimum(3.0 * diameter, 1.0),
          "3 of the prong's diameter (common practice)"),
    _rule("axle.hub", "arm.width_at_axle", lambda width: 1.0 * width,
          "the arm's width at the axle"),
    _rule("axle.bearing", "axle.diameter", lambda diameter: np.clip(2.0 * diameter, 0.001, 3.0),
          "2 of the axle's diameter (common practice)"),
    _rule("hanger.strap_width", "hanger.pin", lambda pin: np.clip(2.0 * pin, 0.002, 1.0),
          "2 of the hanger pin's diameter (common practice)"),
    _rule("hanger.strap_thickness", "hanger.strap_width",
          lambda width: np.clip(0.1 * width, 0.0005, 0.1),
          "a tenth of the strap's width (common practice)"),
    _rule("frame.spread", "axle.height", lambda height: np.clip(0.84 * height, 0.01, 40.0),
          "0.84 of the axle's height (common practice)"),
    _rule("frame.sill_length", "frame.spread", lambda spread: np.minimum(1.3 * spread, 60.0),
          "1.3 of the spread of the feet (common practice)"),
    _rule("frame.leg_depth", "axle.height", lambda height: np.clip(height / 22.0, 0.005, 2.0),
          "a twenty-second of the axle's height (common practice)"),
    _rule("frame.leg_width", "frame.leg_depth", lambda depth: np.maximum(0.8 * depth, 0.005),
          "0.8 of the leg's depth (common practice)"),
    _rule("frame.brace", "axle.height", lambda height: 0.4 * height,
          "0.4 of the axle's height (common practice)"),
    _rule("frame.side_foot", "axle.height", lambda height: 0.35 * height,
          "0.35 of the axle's height (common practice)"),
    _rule("frame.brace_depth", "frame.leg_depth", lambda side: np.maximum(0.7 * side, 0.005),
          "0.7 of the leg's depth (common practice)"),
    _rule("frame.brace_width", "frame.leg_width", lambda side: np.maximum(0.7 * side, 0.005),
          "0.7 of the leg's width (common practice)"),
    _rule("frame.sill_depth", "frame.leg_depth", lambda side: np.maximum(1.0 * side, 0.005),
          "the leg's depth (common practice)"),
    _rule("frame.sill_width", "frame.leg_width", lambda side: np.maximum(1.0 * side, 0.005),
          "the leg's width (common practice)"),
)
# fmt: on
"""In an order in which each rule finds what it needs."""

PATHS: frozenset[str] = frozenset(rule.path for rule in RULES)
"""Every path that has a rule."""


def rules_for(given: Collection[str]) -> Iterator[Rule]:
    """Give the rules to apply, in order, where the values of `given` are already known."""
    by_hand, done = frozenset(given), set(given)
    for rule in RULES:
        if rule.path not in done and rule.given <= by_hand:
            done.add(rule.path)
            yield rule


def derive(values: Mapping[str, Number], given: Collection[str]) -> dict[str, Number]:
    """Give every derived value that is not in `given`.

    Args:
        values: path to SI value or array; complete but for the derived ones.
        given: the paths that keep their value.

    >>> found = derive({"arm.short": 1.0}, PATHS - {"counterweight.hanger"})
    >>> found["counterweight.hanger"]
    0.8
    """
    known = dict(values)
    found: dict[str, Number] = {}
    for rule in rules_for(given):
        value = rule.function(*(known[path] for path in rule.needs))
        known[rule.path] = found[rule.path] = value
    return found

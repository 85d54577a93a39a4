"""The one table of dials: every number a person may set stands here once.

The file reader, the checks on input, the order of the compiled arguments, the sliders, the axis
labels, the sweeps and the reference page are all made from these rows.  Limits, steps and defaults
are in the row's own unit; everything past the reader is in SI (metres, kilograms, seconds,
radians).
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

Value = float | str | bool | None
Kind = Literal["number", "flag", "name"]

SI_FACTOR: Mapping[str, float] = MappingProxyType({"deg": math.pi / 180.0})
"""What one of a dial's unit is in SI, where that is not 1: the table uses SI units and degrees."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Dial:
    """One row of the table.

    `low`, `high`, `step` and `default` are in `unit`.  A default of None means "derived from the
    rest" where `derived.py` has a rule for the path, "not given" elsewhere.  `whole` asks for a
    whole number.  `moves` says that the motion depends on the dial: those dials, in the order of
    the table, are the arguments of the compiled functions.
    """

    path: str
    symbol: str
    unit: str
    label: str
    help: str
    low: float = -math.inf
    high: float = math.inf
    step: float = 1.0
    default: Value = None
    kind: Kind = "number"
    required: bool = False
    whole: bool = False
    moves: bool = False
    front: bool = False

    @property
    def group(self) -> str:
        """First part of the path: `sling` of `sling.length`."""
        return self.path.partition(".")[0]

    @property
    def key(self) -> str:
        """Last part of the path: `length` of `sling.length`."""
        return self.path.partition(".")[2]

    @property
    def si_unit(self) -> str:
        """Unit of the values past the reader: `unit` for all but degrees, which become radians."""
        return "rad" if self.unit == "deg" else self.unit

    @property
    def factor(self) -> float:
        """SI value of one of the dial's unit: 1 for all but degrees."""
        return SI_FACTOR.get(self.unit, 1.0)


def _number(
    path: str,
    symbol: str,
    unit: str,
    label: str,
    limits: tuple[float, float],
    step: float,
    help: str,
    *,
    default: float | None = None,
    required: bool = False,
    whole: bool = False,
    moves: bool = False,
    front: bool = False,
) -> Dial:
    return Dial(
        path=path,
        symbol=symbol,
        unit=unit,
        label=label,
        low=limits[0],
        high=limits[1],
        step=step,
        default=default,
        help=help,
        required=required,
        whole=whole,
        moves=moves,
        front=front,
    )


def _flag(path: str, label: str, default: bool, help: str, *, moves: bool = False) -> Dial:
    return Dial(
        path=path,
        symbol="",
        unit="-",
        label=label,
        default=default,
        help=help,
        kind="flag",
        moves=moves,
    )


def _name(path: str, label: str, default: str, help: str) -> Dial:
    return Dial(
        path=path, symbol="", unit="-", label=label, default=default, help=help, kind="name"
    )


GROUPS: Mapping[str, str] = MappingProxyType(
    {
        "arm": "Arm",
        "counterweight": "Counterweight",
        "sling": "Sling",
        "release": "Release",
        "projectile": "Projectile",
        "trough": "Trough",
        "axle": "Axle",
        "hanger": "Hanger",
        "base": "Base",
        "winch": "Winch",
        "site": "Site",
    }
)

TABLE: tuple[Dial, ...] = (
    # ---- arm
    _number(
        "arm.long",
        "L",
        "m",
        "Long arm",
        (0.05, 40.0),
        0.05,
        "Axle centre to the seat of the sling ring.",
        required=True,
        moves=True,
    ),
    _number(
        "arm.short",
        "S",
        "m",
        "Short arm",
        (0.01, 10.0),
        0.01,
        "Axle centre to hanger pin; for a fixed weight, to the weight's centre of mass.",
        required=True,
        moves=True,
    ),
    _number(
        "arm.mass",
        "m_a",
        "kg",
        "Arm mass",
        (0.0, 20_000.0),
        1.0,
        "The whole arm without the counterweight; from timber and section if not given.",
        moves=True,
    ),
    _number(
        "arm.balance",
        "b",
        "m",
        "Arm balance point",
        (-10.0, 20.0),
        0.01,
        "Axle to the arm's own centre of mass, positive toward the long end.",
        moves=True,
    ),
    _number(
        "arm.inertia",
        "I_a",
        "kg m^2",
        "Arm inertia",
        (0.0, 5.0e6),
        1.0,
        "Moment of inertia of the arm about its own centre of mass.",
        moves=True,
    ),
    _number(
        "arm.cocked",
        "e_0",
        "deg",
        "Cocked angle",
        (-45.0, 85.0),
        0.5,
        "Long arm below horizontal when held; from axle height and trough if not given.",
        moves=True,
    ),
    _name(
        "arm.timber",
        "Arm timber",
        "D30",
        "Strength class of the arm's timber, a row of the timber table.",
    ),
    _number(
        "arm.depth_at_axle",
        "d_1",
        "m",
        "Arm depth at axle",
        (0.005, 3.0),
        0.005,
        "Height of the arm's section at the axle.",
    ),
    _number(
        "arm.width_at_axle",
        "w_1",
        "m",
        "Arm width at axle",
        (0.005, 3.0),
        0.005,
        "Breadth of the arm's section at the axle, along the axle.",
    ),
    _number(
        "arm.depth_at_tip",
        "d_2",
        "m",
        "Arm depth at tip",
        (0.002, 3.0),
        0.005,
        "Height of the arm's section at the tip of the long arm.",
    ),
    _number(
        "arm.width_at_tip",
        "w_2",
        "m",
        "Arm width at tip",
        (0.002, 3.0),
        0.005,
        "Breadth of the arm's section at the tip of the long arm.",
    ),
    # ---- counterweight
    _number(
        "counterweight.mass",
        "M",
        "kg",
        "Counterweight mass",
        (0.01, 200_000.0),
        1.0,
        "Mass of the weight box with its fill.",
        required=True,
        moves=True,
        front=True,
    ),
    _number(
        "counterweight.hanger",
        "c",
        "m",
        "Hanger length",
        (0.0, 10.0),
        0.01,
        "Hanger pin to the centre of mass of the hinged weight.",
        moves=True,
    ),
    _number(
        "counterweight.inertia",
        "I_w",
        "kg m^2",
        "Weight inertia",
        (0.0, 5.0e6),
        1.0,
        "Moment of inertia of the weight about its own centre of mass.",
        moves=True,
    ),
    _number(
        "counterweight.width",
        "w_w",
        "m",
        "Weight box width",
        (0.001, 10.0),
        0.01,
        "Side view of the box, along the throw.",
        moves=True,
    ),
    _number(
        "counterweight.height",
        "h_w",
        "m",
        "Weight box height",
        (0.001, 10.0),
        0.01,
        "Side view of the box, up and down.",
        moves=True,
    ),
    _flag(
        "counterweight.hung",
        "Weight hinged",
        True,
        "Hinged on the hanger pin, or fixed to the arm.",
        moves=True,
    ),
    # ---- sling
    _number(
        "sling.length",
        "l",
        "m",
        "Sling length",
        (0.01, 40.0),
        0.01,
        "Seat of the ring to the centre of the projectile.",
        required=True,
        moves=True,
        front=True,
    ),
    _number(
        "sling.mass",
        "m_s",
        "kg",
        "Sling mass",
        (0.0, 500.0),
        0.01,
        "Both cords, spread evenly along the sling.",
        moves=True,
    ),
    _number(
        "sling.pouch",
        "m_q",
        "kg",
        "Pouch mass",
        (0.0, 500.0),
        0.01,
        "The pouch, taken at the projectile.",
        moves=True,
    ),
    # ---- release
    _number(
        "release.angle",
        "g_r",
        "deg",
        "Release angle",
        (-120.0, 150.0),
        0.5,
        "Sling lag at which the ring slips off the prong.",
        default=40.0,
        moves=True,
    ),
    # ---- projectile
    _number(
        "projectile.mass",
        "m",
        "kg",
        "Projectile mass",
        (0.0, 5_000.0),
        0.1,
        "The load in the pouch; 0 is an empty sling.",
        required=True,
        moves=True,
        front=True,
    ),
    _number(
        "projectile.diameter",
        "D",
        "m",
        "Projectile diameter",
        (0.0, 5.0),
        0.005,
        "Across the projectile; from its mass at the density of stone if not given.",
        moves=True,
    ),
    _number(
        "projectile.drag",
        "C_d",
        "-",
        "Drag coefficient",
        (0.0, 5.0),
        0.01,
        "Drag coefficient; none means a smooth sphere by its Reynolds number.",
        moves=True,
    ),
    # ---- trough
    _number(
        "trough.height",
        "y_t",
        "m",
        "Trough height",
        (0.0, 10.0),
        0.01,
        "Surface of the trough above the ground.",
        default=0.0,
        moves=True,
    ),
    _number(
        "trough.friction",
        "mu_t",
        "-",
        "Trough friction",
        (0.0, 2.0),
        0.01,
        "Sliding coefficient of the pouch in the trough.",
        default=0.3,
        moves=True,
    ),
    _number(
        "trough.width",
        "w_t",
        "m",
        "Trough width",
        (0.01, 10.0),
        0.01,
        "Clear width of the trough; from the projectile if not given.",
    ),
    # ---- axle
    _number(
        "axle.height",
        "H",
        "m",
        "Axle height",
        (0.02, 30.0),
        0.01,
        "Centre of the axle above the ground.",
        required=True,
        moves=True,
    ),
    _number(
        "axle.diameter",
        "d_x",
        "m",
        "Axle diameter",
        (0.001, 1.0),
        0.001,
        "Diameter of the axle where it turns.",
        moves=True,
    ),
    _number(
        "axle.friction",
        "mu_x",
        "-",
        "Axle friction",
        (0.0, 1.0),
        0.01,
        "Bearing coefficient of the axle.",
        default=0.10,
        moves=True,
    ),
    _number(
        "axle.span",
        "s_x",
        "m",
        "Axle span",
        (0.01, 12.0),
        0.01,
        "Clear distance between the axle's supports; from the trough's width if not given.",
    ),
    _name("axle.grade", "Axle steel", "S235", "Grade of the axle's steel, a row of the table."),
    # ---- hanger
    _number(
        "hanger.friction",
        "mu_h",
        "-",
        "Hanger friction",
        (0.0, 1.0),
        0.01,
        "Bearing coefficient of the hanger pin.",
        default=0.10,
        moves=True,
    ),
    _number(
        "hanger.pin",
        "d_h",
        "m",
        "Hanger pin diameter",
        (0.001, 1.0),
        0.001,
        "Diameter of the hanger pin.",
        moves=True,
    ),
    # ---- base
    _flag(
        "base.wheels",
        "On wheels",
        False,
        "Free to roll along the throw, or staked down.",
        moves=True,
    ),
    _number(
        "base.mass",
        "M_b",
        "kg",
        "Base mass",
        (0.1, 500_000.0),
        1.0,
        "Frame, trough and winch, without arm and weight.",
        moves=True,
    ),
    _number(
        "base.rolling",
        "c_r",
        "-",
        "Rolling resistance",
        (0.0, 1.0),
        0.005,
        "Rolling resistance over wheel load.",
        default=0.02,
        moves=True,
    ),
    # ---- winch
    _number(
        "winch.drum",
        "d_d",
        "m",
        "Drum diameter",
        (0.01, 3.0),
        0.005,
        "Diameter of the winding drum at the rope's first layer.",
        default=0.20,
        front=True,
    ),
    _number(
        "winch.crank",
        "r_c",
        "m",
        "Crank radius",
        (0.02, 5.0),
        0.01,
        "Radius of crank or handspike where the hands pull.",
        default=0.40,
    ),
    _number(
        "winch.gear",
        "i",
        "-",
        "Gear ratio",
        (0.1, 500.0),
        0.1,
        "Turns of the crank for one of the drum.",
        default=1.0,
    ),
    _number(
        "winch.parts",
        "n",
        "-",
        "Parts of line",
        (1.0, 12.0),
        1.0,
        "Parts of line of the tackle between winch and arm.",
        default=1.0,
        whole=True,
    ),
    _number(
        "winch.sheave_loss",
        "k_s",
        "-",
        "Loss per sheave",
        (0.0, 0.5),
        0.01,
        "Pull that each sheave adds, as a share: 0.09 makes 1 kN into 1.09 kN.",
        default=0.09,
    ),
    _number(
        "winch.people",
        "n_p",
        "-",
        "Crew on the winch",
        (1.0, 60.0),
        1.0,
        "People who turn the winch together.",
        default=2.0,
        whole=True,
    ),
    _number(
        "winch.rope",
        "d_r",
        "m",
        "Winch rope diameter",
        (0.001, 0.2),
        0.001,
        "Diameter of the winding rope.",
        default=0.016,
    ),
    _number(
        "winch.x",
        "x_w",
        "m",
        "Winch position along",
        (-40.0, 20.0),
        0.05,
        "Where the tackle pulls from, along the throw from under the axle.",
    ),
    _number(
        "winch.y",
        "y_w",
        "m",
        "Winch position up",
        (0.0, 20.0),
        0.05,
        "Where the tackle pulls from, above the ground.",
    ),
    _number(
        "winch.on_arm",
        "a_w",
        "m",
        "Tackle on the arm",
        (0.01, 40.0),
        0.05,
        "Where the tackle takes the long arm, from the axle.",
    ),
    # ---- site
    _number(
        "site.gravity",
        "g",
        "m/s^2",
        "Gravity",
        (0.1, 30.0),
        0.01,
        "Acceleration of gravity.",
        default=9.80665,
        moves=True,
    ),
    _number(
        "site.air_density",
        "rho",
        "kg/m^3",
        "Air density",
        (0.0, 10.0),
        0.005,
        "Density of the air; 0 throws in a vacuum.",
        default=1.225,
        moves=True,
    ),
    _number(
        "site.wind",
        "W",
        "m/s",
        "Wind along the throw",
        (-40.0, 40.0),
        0.5,
        "Wind along the throw, positive from behind.",
        default=0.0,
        moves=True,
    ),
    _number(
        "site.height",
        "y_l",
        "m",
        "Landing level",
        (-200.0, 200.0),
        0.1,
        "Level of the landing ground above the machine's.",
        default=0.0,
        moves=True,
    ),
    _number(
        "site.limit",
        "x_l",
        "m",
        "End of clear ground",
        (1.0, 5_000.0),
        5.0,
        "How far the clear ground reaches, from under the axle.",
        default=300.0,
    ),
)

BY_PATH: Mapping[str, Dial] = MappingProxyType({dial.path: dial for dial in TABLE})

MOVING: tuple[Dial, ...] = tuple(dial for dial in TABLE if dial.moves)
"""The dials the motion depends on, in the order of the compiled arguments."""

MOVING_INDEX: Mapping[str, int] = MappingProxyType({d.path: i for i, d in enumerate(MOVING)})


class UnknownDial(KeyError):
    """A path that is not in the table; the message names the nearest one."""

    def __str__(self) -> str:
        return str(self.args[0])


def nearest(path: str, among: tuple[str, ...] | None = None) -> str | None:
    """Return the known path most like `path`, or None when nothing is near.

    >>> nearest("sling.lenght")
    'sling.length'
    >>> nearest("counterwieght.mas")
    'counterweight.mass'
    """
    known = among if among is not None else tuple(BY_PATH)
    close = difflib.get_close_matches(path[:200], known, n=1, cutoff=0.6)
    if close:
        return close[0]
    last = path[:200].rpartition(".")[2]
    by_key = [p for p in known if p.rpartition(".")[2] == last]
    return by_key[0] if by_key else None


def dial(path: str) -> Dial:
    """Return the row of `path`; raise UnknownDial with the nearest path otherwise.

    >>> dial("sling.length").unit
    'm'
    """
    row = BY_PATH.get(path)
    if row is None:
        hint = nearest(path)
        ask = f"did you mean {hint}?" if hint else "see `python -m slingwright dials`"
        raise UnknownDial(f"{path}: no such dial; {ask}")
    return row


def group(name: str) -> tuple[Dial, ...]:
    """Return the rows of one group, in order.

    >>> [d.key for d in group("release")]
    ['angle']
    """
    return tuple(row for row in TABLE if row.group == name)

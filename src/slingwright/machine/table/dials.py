"""The one table of dials: every number a person may set stands here once.

The file reader, the checks on input, the order of the compiled arguments, the sliders, the axis
labels, the sweeps and the reference page are all made from these rows.  Limits, steps and defaults
are in the row's own unit; everything past the reader is in SI (metres, kilograms, seconds,
radians).
"""

import difflib
from collections.abc import Mapping
from types import MappingProxyType

from slingwright.machine.table.dial import SI_FACTOR as SI_FACTOR
from slingwright.machine.table.dial import Dial as Dial
from slingwright.machine.table.dial import Kind as Kind
from slingwright.machine.table.dial import Value as Value
from slingwright.machine.table.dial import flag_dial, name_dial, number_dial
from slingwright.machine.table.strength_dials import STRENGTH
from slingwright.machine.table.winding_dials import WINDING

GROUPS: Mapping[str, str] = MappingProxyType(
    {
        "arm": "Arm",
        "counterweight": "Counterweight",
        "sling": "Sling",
        "release": "Release",
        "prong": "Prong",
        "projectile": "Projectile",
        "trough": "Trough",
        "axle": "Axle",
        "hanger": "Hanger",
        "rails": "Guide rails",
        "frame": "Frame",
        "base": "Base",
        "winch": "Winch",
        "crew": "Crew and time",
        "rig": "How the rope is led",
        "rope": "Rope, knot and sheave",
        "mark": "Ratings (empty: unrated)",
        "hook": "Slip hook and lanyard",
        "place": "Who stands where",
        "site": "Site",
    }
)

# fmt: off
_MOTION: tuple[Dial, ...] = (
    # ---- arm
    number_dial("arm.long", "L", "m", "Long arm", (0.05, 40.0), 0.05,
        "Axle centre to the seat of the sling ring.", required=True, moves=True),
    number_dial("arm.short", "S", "m", "Short arm", (0.01, 10.0), 0.01,
        "Axle centre to hanger pin; to the centre of mass of a fixed counterweight.", required=True,
        moves=True),
    number_dial("arm.mass", "m_a", "kg", "Arm mass", (0.0, 20_000.0), 1.0,
        "The whole arm without the counterweight; from timber and section if not given.",
        moves=True),
    number_dial("arm.balance", "b", "m", "Arm balance point", (-10.0, 20.0), 0.01,
        "Axle to the arm's own centre of mass, positive toward the long end.", moves=True),
    number_dial("arm.inertia", "I_a", "kg m^2", "Arm inertia", (0.0, 5.0e6), 1.0,
        "Moment of inertia of the arm about its own centre of mass.", moves=True),
    number_dial("arm.cocked", "e_0", "deg", "Cocked angle", (-45.0, 85.0), 0.5,
        "Long arm below horizontal when held; from axle height and trough if not given.",
        moves=True),
    name_dial("arm.timber", "Arm timber", "D30",
        "Strength class of the arm's timber, a row of the timber table.", table="timber"),
    number_dial("arm.depth_at_axle", "d_1", "m", "Arm depth at axle", (0.005, 3.0), 0.005,
        "Height of the arm's section at the axle."),
    number_dial("arm.width_at_axle", "w_1", "m", "Arm width at axle", (0.005, 3.0), 0.005,
        "Breadth of the arm's section at the axle, along the axle."),
    number_dial("arm.depth_at_tip", "d_2", "m", "Arm depth at tip", (0.002, 3.0), 0.005,
        "Height of the arm's section at the tip of the long arm."),
    number_dial("arm.width_at_tip", "w_2", "m", "Arm width at tip", (0.002, 3.0), 0.005,
        "Breadth of the arm's section at the tip of the long arm."),
    # ---- counterweight
    number_dial("counterweight.mass", "M", "kg", "Counterweight mass", (0.01, 200_000.0), 1.0,
        "Mass of the counterweight box with its fill.", required=True, moves=True, front=True),
    number_dial("counterweight.hanger", "c", "m", "Hanger length", (0.0, 10.0), 0.01,
        "Hanger pin to the centre of mass of the hinged counterweight.", moves=True),
    number_dial("counterweight.inertia", "I_w", "kg m^2", "Counterweight inertia", (0.0, 5.0e6),
        1.0, "Moment of inertia of the counterweight about its own centre of mass.", moves=True),
    number_dial("counterweight.width", "w_w", "m", "Counterweight box width", (0.001, 10.0), 0.01,
        "Side view of the box, along the throw.", moves=True),
    number_dial("counterweight.height", "h_w", "m", "Counterweight box height", (0.001, 10.0), 0.01,
        "Side view of the box, up and down.", moves=True),
    flag_dial("counterweight.hung", "Counterweight hinged", True,
        "Hinged on the hanger pin, or fixed to the arm.", moves=True),
    # ---- sling
    number_dial("sling.length", "l", "m", "Sling length", (0.01, 40.0), 0.01,
        "Seat of the ring to the centre of the projectile.", required=True, moves=True, front=True),
    number_dial("sling.mass", "m_s", "kg", "Sling mass", (0.0, 500.0), 0.01,
        "Both cords, spread evenly along the sling.", moves=True),
    number_dial("sling.pouch", "m_q", "kg", "Pouch mass", (0.0, 500.0), 0.01,
        "The pouch, taken at the projectile.", moves=True),
    number_dial("sling.stiffness", "k_l", "N/m", "Sling stiffness", (1.0, 1.0e9), 1_000.0,
        "All cords together: pull for each metre of stretch, past the first slack.", moves=True),
    number_dial("sling.damping", "c_l", "N s/m", "Sling damping", (0.0, 1.0e7), 10.0,
        "All cords together: pull for each metre a second at which they stretch.", moves=True),
    # ---- release
    number_dial("release.angle", "g_r", "deg", "Release angle", (-120.0, 150.0), 0.5,
        "Sling lag at which the ring slips off the prong.", default=40.0, moves=True),
    number_dial("release.sway", "v_r", "deg", "Sway of the throw", (0.0, 30.0), 0.5,
        "Nine of ten throws leave within it to either side: an assumption, measure it.",
        default=2.0),
    number_dial("release.cord", "u_r", "deg", "One cord later", (0.0, 60.0), 1.0,
        "By this turn of the sling one cord may leave later: an assumption; 0 with one cord.",
        default=5.0),
    # ---- projectile
    number_dial("projectile.mass", "m", "kg", "Projectile mass", (0.0, 5_000.0), 0.1,
        "What lies in the pouch; 0 is an empty sling.", required=True, moves=True, front=True),
    number_dial("projectile.diameter", "D", "m", "Projectile diameter", (0.0, 5.0), 0.005,
        "Across the projectile; from its mass at the density of stone if not given.", moves=True),
    number_dial("projectile.drag", "C_d", "-", "Drag coefficient", (0.0, 5.0), 0.01,
        "Drag coefficient; none means a sphere of its surface, by its Reynolds number.",
        moves=True),
    flag_dial("projectile.smooth", "Surface smooth", False,
        "Polished or glazed; a rough one (wood, stone, iron, a sewn bag) keeps its drag at speed.",
        moves=True),
    # ---- trough
    number_dial("trough.height", "y_t", "m", "Trough height", (0.0, 10.0), 0.01,
        "Surface of the trough above the ground.", default=0.0, moves=True),
    number_dial("trough.friction", "mu_t", "-", "Trough friction", (0.0, 2.0), 0.01,
        "Sliding coefficient of the pouch in the trough.", default=0.3, moves=True),
    number_dial("trough.width", "w_t", "m", "Trough width", (0.01, 10.0), 0.01,
        "Clear width of the trough; from the projectile if not given."),
    # ---- axle
    number_dial("axle.height", "H", "m", "Axle height", (0.02, 30.0), 0.01,
        "Centre of the axle above the ground.", required=True, moves=True),
    number_dial("axle.diameter", "d_x", "m", "Axle diameter", (0.001, 1.0), 0.001,
        "Diameter of the axle where it turns.", moves=True),
    number_dial("axle.friction", "mu_x", "-", "Axle friction", (0.0, 1.0), 0.01,
        "Bearing coefficient of the axle.", default=0.10, moves=True),
    number_dial("axle.span", "s_x", "m", "Axle span", (0.01, 12.0), 0.01,
        "Clear distance between the axle's supports; from the trough's width if not given."),
    name_dial("axle.grade", "Axle steel", "S235", "Grade of the axle's steel, a row of the table.",
        table="steel"),
    # ---- hanger
    number_dial("hanger.friction", "mu_h", "-", "Hanger friction", (0.0, 1.0), 0.01,
        "Bearing coefficient of the hanger pin.", default=0.10, moves=True),
    number_dial("hanger.pin", "d_h", "m", "Hanger pin diameter", (0.001, 1.0), 0.001,
        "Diameter of the hanger pin.", moves=True),
    # ---- base
    flag_dial("base.wheels", "On wheels", False, "Free to roll along the throw, or staked down.",
        moves=True),
    number_dial("base.mass", "M_b", "kg", "Base mass", (0.1, 500_000.0), 1.0,
        "Frame, trough and winch, without arm and counterweight.", moves=True),
    number_dial("base.rolling", "c_r", "-", "Rolling resistance", (0.0, 1.0), 0.005,
        "Rolling resistance over wheel load.", default=0.02, moves=True),
    # ---- winch
    number_dial("winch.drum", "d_d", "m", "Drum diameter", (0.01, 3.0), 0.005,
        "Diameter of the winding drum at the rope's first layer.", default=0.20, front=True),
    number_dial("winch.crank", "r_c", "m", "Crank radius", (0.02, 5.0), 0.01,
        "Radius of crank or handspike where the hands pull.", default=0.40),
    number_dial("winch.gear", "i", "-", "Gear ratio", (0.1, 500.0), 0.1,
        "Turns of the crank for one of the drum.", default=1.0),
    number_dial("winch.parts", "n", "-", "Parts of line", (1.0, 12.0), 1.0,
        "Parts of line of the tackle between winch and arm.", default=1.0, whole=True),
    number_dial("winch.sheave_loss", "k_s", "-", "Loss per sheave", (0.0, 0.5), 0.01,
        "Pull that each sheave adds, as a share: 0.09 makes 1 kN into 1.09 kN.", default=0.09),
    number_dial("winch.people", "n_p", "-", "Crew on the winch", (1.0, 60.0), 1.0,
        "People who turn the winch together.", default=2.0, whole=True),
    number_dial("winch.rope", "d_r", "m", "Winding rope diameter", (0.001, 0.2), 0.001,
        "Diameter of the winding rope.", default=0.016),
    number_dial("winch.x", "x_w", "m", "Winch position along", (-40.0, 20.0), 0.05,
        "Where the tackle pulls from, along the throw from under the axle."),
    number_dial("winch.y", "y_w", "m", "Winch position up", (0.0, 20.0), 0.05,
        "Where the tackle pulls from, above the ground."),
    number_dial("winch.on_arm", "a_w", "m", "Tackle on the arm", (0.01, 40.0), 0.05,
        "Where the tackle takes the long arm, from the axle."),
    number_dial("winch.aside", "z_w", "m", "Winch offset from the centre line", (0.0, 10.0), 0.01,
        "Plane of the throw to the nearest of drum and rope, which runs along that plane."),
    # ---- site
    number_dial("site.gravity", "g", "m/s^2", "Gravity", (0.1, 30.0), 0.01,
        "Acceleration of gravity.", default=9.80665, moves=True),
    number_dial("site.air_density", "rho", "kg/m^3", "Air density", (0.0, 10.0), 0.005,
        "Density of the air; 0 throws in a vacuum.", default=1.225, moves=True),
    number_dial("site.wind", "W", "m/s", "Wind along the throw", (-40.0, 40.0), 0.5,
        "Wind along the throw, positive from behind.", default=0.0, moves=True),
    number_dial("site.crosswind", "W_z", "m/s", "Wind across the throw", (-40.0, 40.0), 0.5,
        "Wind across the throw, positive to the left.", default=0.0),
    number_dial("site.unsteady", "W_g", "m/s", "Unsteady wind", (0.0, 30.0), 0.5,
        "Nine of ten winds lie within it of the steady one, each way: an assumption.",
        default=1.0),
    number_dial("site.height", "y_l", "m", "Landing level", (-200.0, 200.0), 0.1,
        "Level of the landing ground above the machine's.", default=0.0, moves=True),
    number_dial("site.limit", "x_l", "m", "End of clear ground", (1.0, 5_000.0), 5.0,
        "How far the clear ground reaches, from under the axle.", default=300.0),
    number_dial("site.run_on", "k_b", "-", "Bounce and roll over the flight", (0.0, 3.0), 0.05,
        "An assumption: 0.2 on soft turf; hard or sloping ground takes far more.", default=0.2),
    number_dial("site.margin", "k_z", "-", "Margin of the clear distance", (1.0, 10.0), 0.1,
        "Times the longest flight that any fault can give; 1.5 is this kit's own choice.",
        default=1.5),
    number_dial("site.sideways", "a_z", "deg", "Sideways angle kept clear", (0.0, 90.0), 1.0,
        "Half angle of the ground kept clear ahead and behind; 15 is this kit's own choice.",
        default=15.0),
)
# fmt: on

TABLE: tuple[Dial, ...] = tuple(
    row for name in GROUPS for row in (*_MOTION, *STRENGTH, *WINDING) if row.group == name
)
"""Every row: the motion's as above, then what strength, then what winding needs, by group."""

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
    ['angle', 'sway', 'cord']
    """
    return tuple(row for row in TABLE if row.group == name)

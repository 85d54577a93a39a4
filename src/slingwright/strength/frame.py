"""The A-frame under a force on its axle: solved once for a unit of each force, then added up.

Two A-frames share the axle's force, the more loaded one by the share that a dial sets. Legs run on
past the level brace; feet, apex and brace ends turn freely; the sill ties the feet, and only one of
them is held along the throw, so that the sill takes the whole thrust. PyNiteFEA solves the frame;
statics are linear, so forces at every moment of every throw are sums of the two unit solutions.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from slingwright.machine.machine import Machine
from slingwright.strength.check import Subject
from slingwright.strength.loads.cases import LoadCase
from slingwright.tables import materials

MEMBERS = ("rear leg", "front leg", "brace", "sill")
FRAME = "statics of the frame by PyNiteFEA"
"""Where forces and moments of the frame's members are from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameShape:
    """What the frame's statics depend on: sizes [m] and modulus [Pa]."""

    height: float
    spread: float
    brace: float
    leg: tuple[float, float]  # width along the axle, depth
    brace_section: tuple[float, float]
    sill: tuple[float, float]
    modulus: float
    shear_modulus: float

    @property
    def leg_length(self) -> float:
        """Foot to apex [m]."""
        return math.hypot(self.height, 0.5 * self.spread)

    @property
    def lower_length(self) -> float:
        """Foot to brace [m]."""
        return self.leg_length * self.brace / self.height

    @property
    def lean(self) -> float:
        """Angle of a leg to the level [rad]."""
        return math.atan2(self.height, 0.5 * self.spread)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FrameUnits:
    """Per member and per N of force on one A-frame along (x, y): axial force and moment.

    `axial` (4, 2) is the largest by size along the member [N/N], push positive; `moment` (4, 2)
    the largest bending moment [N m/N]; `deflection` (2, 2) the apex's way along x, y [m/N].
    """

    axial: np.ndarray
    moment: np.ndarray
    deflection: np.ndarray


def frame_shape(machine: Machine) -> FrameShape:
    """Read the frame's shape off a machine.

    Raises: ValueError: a brace that does not stand between the feet and the axle.
    """
    n = machine.number
    height, brace = n("axle.height"), n("frame.brace")
    if not 0.02 * height <= brace <= 0.98 * height:
        raise ValueError(
            f"frame.brace is {brace:g} m; it must stand between the sill and the axle, "
            f"{0.02 * height:.3g} to {0.98 * height:.3g} m"
        )
    timber = materials.timber(machine.text("frame.timber"))
    return FrameShape(
        height=height,
        spread=n("frame.spread"),
        brace=brace,
        leg=(n("frame.leg_width"), n("frame.leg_depth")),
        brace_section=(n("frame.brace_width"), n("frame.brace_depth")),
        sill=(n("frame.sill_width"), n("frame.sill_depth")),
        modulus=timber.modulus_mean,
        shear_modulus=timber.shear_modulus_mean,
    )


@lru_cache(maxsize=256)
def frame_units(shape: FrameShape) -> FrameUnits:
    """Solve the frame for a unit force along the throw and one upward, on its apex."""
    from Pynite import FEModel3D

    half, share = 0.5 * shape.spread, shape.brace / shape.height
    model = FEModel3D()
    nodes = {
        "rear foot": (-half, 0.0),
        "front foot": (half, 0.0),
        "rear joint": (-half * (1.0 - share), shape.brace),
        "front joint": (half * (1.0 - share), shape.brace),
        "apex": (0.0, shape.height),
    }
    for name, (x, y) in nodes.items():
        model.add_node(name, x, y, 0.0)
    model.add_material("timber", shape.modulus, shape.shear_modulus, 0.3, 1.0)
    sizes = {"leg": shape.leg, "brace": shape.brace_section, "sill": shape.sill}
    for name, (width, depth) in sizes.items():
        small, large = sorted((width, depth))
        inertias = (depth * width**3 / 12.0, width * depth**3 / 12.0, large * small**3 / 3.0)
        model.add_section(name, width * depth, *inertias)
    parts = (
        ("rear lower", "rear foot", "rear joint", "leg"),
        ("rear upper", "rear joint", "apex", "leg"),
        ("front lower", "front foot", "front joint", "leg"),
        ("front upper", "front joint", "apex", "leg"),
        ("brace", "rear joint", "front joint", "brace"),
        ("sill", "rear foot", "front foot", "sill"),
    )
    for name, start, end, section in parts:
        model.add_member(name, start, end, "timber", section)
    # In the plane a member turns about its z axis; the ends named here turn freely.
    for name in ("rear upper", "front upper"):
        model.def_releases(name, Rzj=True)
    for name in ("brace", "sill"):
        model.def_releases(name, Rzi=True, Rzj=True)
    for name in nodes:
        model.def_support(name, False, False, True, True, True, name == "apex")
    model.def_support("rear foot", True, True, True, True, True, False)
    model.def_support("front foot", False, True, True, True, True, False)
    for case, direction in (("along", "FX"), ("up", "FY")):
        model.add_node_load("apex", direction, 1.0, case)
        model.add_load_combo(case, {case: 1.0})
    model.analyze_linear()
    groups = (("rear lower", "rear upper"), ("front lower", "front upper"), ("brace",), ("sill",))
    axial, moment, deflection = np.zeros((4, 2)), np.zeros((4, 2)), np.zeros((2, 2))
    for which, case in enumerate(("along", "up")):
        for row, names in enumerate(groups):
            # Loads stand at joints alone, so a member's end forces tell all of it.
            ends = [model.members[name].f(case)[:, 0] for name in names]
            axial[row, which] = max((end[0] for end in ends), key=abs)
            moment[row, which] = max((m for end in ends for m in (end[5], -end[11])), key=abs)
        deflection[which] = (model.nodes["apex"].DX[case], model.nodes["apex"].DY[case])
    return FrameUnits(axial=axial, moment=moment, deflection=deflection)


def member_forces(subject: Subject, case: LoadCase) -> tuple[np.ndarray, np.ndarray]:
    """Axial force (n, 4), push positive [N], and moment (n, 4) [N m] of one A-frame's members."""

    def work() -> tuple[np.ndarray, np.ndarray]:
        units = frame_units(shape_of(subject))
        each = -subject.load_factor * case.axle_force * subject.machine.number("frame.share")
        return each @ units.axial.T, np.abs(each @ units.moment.T)

    return subject.once(("members", id(case)), work)


def shape_of(subject: Subject) -> FrameShape:
    """Shape of the machine's frame."""
    return subject.once("frame", lambda: frame_shape(subject.machine))

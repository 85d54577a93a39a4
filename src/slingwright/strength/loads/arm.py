"""What a throw does to the arm along its length, and to the ground under the base.

The arm's own inertia is spread along it by its sections, bent so that mass, balance and inertia are
the machine's. Forces at its two ends come from the throw; bending and shear between them follow.
"""

from dataclasses import dataclass, fields, replace

import numpy as np

from slingwright.formulas.arm.loads import ArmLines, arm_lines, matching_line_mass
from slingwright.formulas.arm.stations import ArmSections, arm_places, arm_sections
from slingwright.formulas.beams.sections import laminated_shares
from slingwright.machine.machine import Machine
from slingwright.motion.throwing import Throw
from slingwright.tables import materials


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ArmMass:
    """The arm's mass per length at places along it from the hanger pin to the tip.

    `note` is empty, or says that mass, balance and inertia do not suit the sections, so that the
    mass alone was kept.
    """

    position: np.ndarray  # (stations,) m, from the axle, positive toward the tip
    line_mass: np.ndarray  # (stations,) kg/m
    note: str = ""


def _sizes(machine: Machine) -> tuple[float, float, float, float]:
    n = machine.number
    axle = n("arm.depth_at_axle"), n("arm.width_at_axle")
    return *axle, n("arm.depth_at_tip"), n("arm.width_at_tip")


def sections_of(machine: Machine, position: np.ndarray, hole: float) -> ArmSections:
    """Section values of a machine's arm; a laminated arm's layers are in its stiffness."""
    n = machine.number
    kind = machine.text("arm.section")
    shape = "round" if kind == "round" else "rectangle"
    found = arm_sections(position, *_sizes(machine), hole, shape)
    if kind == "laminated":
        stiff, strong = laminated_shares(round(n("arm.layers")), n("arm.bond"))
        inertia, modulus = found.inertia * stiff, found.elastic_modulus * strong
        return replace(found, inertia=inertia, elastic_modulus=modulus)
    return found


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ArmLoads(ArmLines):
    """Bending, shear and pull along the arm over a whole throw, each of shape (times, stations).

    Times are the throw's.
    """

    time: np.ndarray  # (times,) s
    peak_moment: float  # N m, by size
    peak_place: float  # m
    peak_time: float  # s
    peak_shear: float  # N, by size
    note: str = ""


def arm_mass_line(machine: Machine, stations: int = 81) -> ArmMass:
    """Spread the arm's mass along it so that mass, balance and inertia are the machine's.

    Args:
        stations: about how many places along the arm, at least 3.

    Raises: ValueError: fewer than 3 stations.
    """
    if stations < 3:
        raise ValueError(f"stations is {stations}; give 3 or more places along the arm")
    n = machine.number
    places = arm_places(n("arm.short"), n("arm.long"), 0.0, stations - 1)
    mass = n("arm.mass")
    if mass == 0.0:
        return ArmMass(position=places, line_mass=np.zeros_like(places))
    timber = materials.timber(machine.text("arm.timber")).density_mean
    by_section = timber * arm_sections(places, *_sizes(machine)).area
    if n("arm.inertia") > 0.0:
        try:
            shares = mass, n("arm.balance"), n("arm.inertia")
            fitted = matching_line_mass(places, by_section, *shares)
            return ArmMass(position=places, line_mass=fitted)
        except ValueError as error:
            reason = str(error)
    else:
        reason = "arm.inertia is 0"
    share = mass / float(np.trapezoid(by_section, places))
    return ArmMass(
        position=places,
        line_mass=by_section * share,
        note=f"The arm's mass was spread by its sections alone: {reason}.",
    )


def arm_loads(throw: Throw, stations: int = 81, mass: ArmMass | None = None) -> ArmLoads:
    """Bending moment, shear and pull along the arm at every moment of a throw.

    Args:
        stations: about how many places along the arm, at least 3.
        mass: the arm's mass along it, if it is known from another throw of the same arm.

    Raises: ValueError: fewer than 3 stations, or a throw whose forces are not finite.
    """
    line = arm_mass_line(throw.machine, stations) if mass is None else mass
    lines = _lines(throw, line)
    at, where = np.unravel_index(int(np.argmax(np.abs(lines.moment))), lines.moment.shape)
    return ArmLoads(
        **{field.name: getattr(lines, field.name) for field in fields(lines)},
        time=throw.time, peak_time=float(throw.time[at]), peak_place=float(lines.position[where]),
        peak_moment=float(abs(lines.moment[at, where])),
        peak_shear=float(np.abs(lines.shear).max()), note=line.note,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ArmPeaks:
    """The largest of each line along the arm over a whole throw, by size; of both at the axle."""

    position: np.ndarray  # (stations,) m, from the axle, positive toward the tip
    moment: np.ndarray  # (stations,) N m
    shear: np.ndarray  # (stations,) N
    pull: np.ndarray  # (stations,) N


def unit_lines(mass: ArmMass) -> ArmLines:
    """Lines along an arm under one of each of eight unit loads, shape (8, stations).

    Lines are linear in these eight, so that they serve every moment of every throw.
    """
    return arm_lines(mass.position, mass.line_mass, *np.eye(8))


def arm_peaks(throw: Throw, mass: ArmMass, unit: ArmLines | None = None) -> ArmPeaks:
    """Give what `arm_loads` tells of the peaks, in a fraction of its time.

    Args:
        unit: its unit lines, where they are known from another throw of the same arm.

    Raises: ValueError: a throw whose forces are not finite.
    """
    unit = unit_lines(mass) if unit is None else unit
    shares, couple = shares_of(throw, mass, unit)
    axle = int(np.argmin(np.abs(mass.position)))

    across, along = shares[:4], shares[4:]
    bent = np.vstack([unit.moment[:4], mass.position < 0.0])
    # The couple acts on the short arm alone: its line is 1 below the axle and 0 from there on.
    turned, gap = np.vstack([across, couple]), np.append(unit.moment_gap[:4], -1.0)
    return ArmPeaks(
        position=mass.position,
        moment=largest_lines(turned, bent, gap, axle),
        shear=largest_lines(across, unit.shear[:4], unit.shear_gap[:4], axle),
        pull=largest_lines(along, unit.pull[4:], unit.pull_gap[4:], axle),
    )


def largest_lines(shares: np.ndarray, lines: np.ndarray, gap: np.ndarray, axle: int) -> np.ndarray:
    """Largest size (n,) over time of unit lines (k, n) summed by their shares (k, t).

    At the axle the larger of both arms' counts; `gap` (k,) is how far the long arm's lies above.
    """
    # Not by a matrix product, which would share so small a task out among busy processors.
    both = np.vstack([lines.T, lines[:, axle] - gap])
    over_time = np.einsum("kt,nk->nt", shares, both)
    return larger_at_axle(np.maximum(over_time.max(axis=1), -over_time.min(axis=1)), axle)


def larger_at_axle(sizes: np.ndarray, axle: int) -> np.ndarray:
    """Give sizes (n,) of which the axle's is the larger of its own and the one past the end."""
    sizes[axle] = max(sizes[axle], sizes[-1])
    return sizes[:-1]


def shares_of(throw: Throw, line: ArmMass, unit: ArmLines) -> tuple[np.ndarray, np.ndarray]:
    """What each moment of a throw has of eight unit loads (8, t), and the couple at the short
    arm's end (t,) [N m].

    The first four load the arm across, the others along it.
    """
    machine = throw.machine
    n = machine.number
    sine, cosine = np.sin(throw.arm), np.cos(throw.arm)
    gravity = n("site.gravity")
    forward = throw.base_acceleration
    # Along the arm, toward the tip: (-cos e, sin e); across, as e grows: (sin e, cos e).
    tip, pin = -throw.tip_force, -throw.pin_force
    shares = np.stack(
        [
            tip[:, 0] * sine + tip[:, 1] * cosine,
            pin[:, 0] * sine + pin[:, 1] * cosine,
            throw.arm_acceleration,
            gravity * cosine + forward * sine,
            -tip[:, 0] * cosine + tip[:, 1] * sine,
            -pin[:, 0] * cosine + pin[:, 1] * sine,
            throw.arm_rate**2,
            gravity * sine - forward * cosine,
        ]
    )
    if not np.all(np.isfinite(shares)):
        raise ValueError("a load on the arm is not a finite number; look for the throw's fault")
    if not machine.flag("counterweight.hung"):
        # A fixed weight turns with the arm: a couple at the end of the short arm turns it.
        couple = n("counterweight.inertia") * throw.arm_acceleration
    elif line.note:
        couple = np.zeros_like(throw.time)
    else:
        # What the axle's friction leaves open is the pin's: a couple at the end of the short arm.
        couple = unit.moment_gap @ shares - throw.axle_torque
    return shares, couple


def _lines(throw: Throw, line: ArmMass) -> ArmLines:
    unit = unit_lines(line)
    shares, couple = shares_of(throw, line, unit)
    moment = np.einsum("kt,kn->tn", shares, unit.moment)
    moment[:, line.position < 0.0] += couple[:, None]
    return replace(
        unit,
        pull=np.einsum("kt,kn->tn", shares, unit.pull),
        shear=np.einsum("kt,kn->tn", shares, unit.shear),
        moment=moment,
        moment_gap=unit.moment_gap @ shares - couple,
        shear_gap=unit.shear_gap @ shares,
        pull_gap=unit.pull_gap @ shares,
    )

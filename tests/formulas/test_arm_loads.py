"""Pull, shear and bending along the arm against lumped masses, statics and rigid-body dynamics."""

import math

import numpy as np
import pytest

from slingwright.formulas.arm import loads as arm_loads
from slingwright.formulas.arm import stations as arm_sections
from slingwright.formulas.arm.loads import arm_lines, matching_line_mass
from slingwright.formulas.beams import sections

SHORT, LONG, HOLE = 1.4, 5.8, 0.09
PLACES = arm_sections.arm_places(SHORT, LONG, HOLE, 80)
ARM = arm_sections.arm_sections(PLACES, 0.34, 0.26, 0.15, 0.12, HOLE)
WHOLE = arm_sections.arm_sections(PLACES, 0.34, 0.26, 0.15, 0.12)
LINE_MASS = 640.0 * WHOLE.area
LOADS = {
    "tip_across": -3.1e3,
    "hanger_across": 22e3,
    "turning_acceleration": -14.0,
    "gravity_across": 9.81 * math.cos(0.6),
    "tip_along": 9.4e3,
    "hanger_along": -17e3,
    "turning_rate": 4.4,
    "gravity_along": 9.81 * math.sin(0.6),
}


def lumps(count):
    """The same arm as equal slices, each a lumped mass at its middle: places and masses."""
    edges = np.linspace(-SHORT, LONG, count + 1)
    middle = (edges[1:] + edges[:-1]) / 2
    return middle, np.interp(middle, PLACES, LINE_MASS) * np.diff(edges)


def test_against_200_lumped_masses():
    """Truth: Newton's law slice by slice for 200 lumped masses: the moment to 0.1 % of its peak."""
    lines = arm_lines(PLACES, LINE_MASS, **LOADS)
    where, mass = lumps(200)
    across = -mass * (where * LOADS["turning_acceleration"] + LOADS["gravity_across"])
    along = mass * (where * LOADS["turning_rate"] ** 2 - LOADS["gravity_along"])
    moment, shear, pull = [], [], []
    for s in PLACES:
        if s >= 0:
            part, end, force, force_u, sign = where > s, LONG, "tip_across", "tip_along", 1
        else:
            part, end, force = where < s, -SHORT, "hanger_across"
            force_u, sign = "hanger_along", -1
        moment.append(sign * (LOADS[force] * (end - s) + (across[part] * (where[part] - s)).sum()))
        shear.append(sign * (LOADS[force] + across[part].sum()))
        pull.append(sign * (LOADS[force_u] + along[part].sum()))
    for mine, other in ((lines.moment, moment), (lines.shear, shear), (lines.pull, pull)):
        assert (
            np.abs(mine - other).max()
            < (1e-3 if mine is lines.moment else 2e-2) * np.abs(other).max()
        )


def test_shear_is_the_slope_of_the_moment():
    """Truth: dM/ds = -V for the sign used here, away from the axle."""
    places = arm_sections.arm_places(SHORT, LONG, 0.0, 4000)
    mass = np.interp(places, PLACES, LINE_MASS)
    lines = arm_lines(places, mass, **LOADS)
    slope = np.gradient(lines.moment, places)
    far = np.abs(places) > 0.01
    inner = far & (places > -SHORT + 0.01) & (places < LONG - 0.01)
    assert slope[inner] == pytest.approx(-lines.shear[inner], rel=1e-3, abs=20.0)


def test_free_motion_leaves_no_gap():
    """Truth: the moment equation about the axle: no friction there, no gap between the two sides.

    J a = F_t L - F_h S - g_n (first mass moment), with F_h at -S.
    """
    where, mass = lumps(20_000)
    moment = LOADS["tip_across"] * LONG - LOADS["hanger_across"] * SHORT
    moment -= LOADS["gravity_across"] * (mass * where).sum()
    acceleration = moment / (mass * where**2).sum()
    free = {**LOADS, "turning_acceleration": acceleration}
    lines = arm_lines(PLACES, LINE_MASS, **free)
    assert abs(lines.moment_gap) < 1e-4 * lines.envelope.max()
    braked = arm_lines(PLACES, LINE_MASS, **{**free, "turning_acceleration": acceleration * 1.1})
    torque = 0.1 * acceleration * (mass * where**2).sum()
    assert braked.moment_gap == pytest.approx(-torque, rel=1e-3)


def test_axle_carries_the_steps():
    """Truth: force balance: the steps of shear and pull at the axle are the axle's force."""
    lines = arm_lines(PLACES, LINE_MASS, **LOADS)
    where, mass = lumps(20_000)
    across = LOADS["tip_across"] + LOADS["hanger_across"]
    across -= (mass * (where * LOADS["turning_acceleration"] + LOADS["gravity_across"])).sum()
    along = LOADS["tip_along"] + LOADS["hanger_along"]
    along += (mass * (where * LOADS["turning_rate"] ** 2 - LOADS["gravity_along"])).sum()
    axle = int(np.flatnonzero(lines.position == 0.0)[0])
    left = axle - 1
    between = np.diff(lines.position)[left] * LINE_MASS[axle]
    slack = between * (abs(LOADS["gravity_across"]) + 0.5)
    assert lines.shear[axle] - lines.shear[left] == pytest.approx(across, abs=slack)
    assert lines.pull[axle] - lines.pull[left] == pytest.approx(along, abs=slack)


def test_many_instants_at_once():
    """Truth: an array of instants gives what each gives alone, and the envelope is the largest."""
    times = np.linspace(0.0, 1.0, 7)
    across = {name: value * (0.3 + times) for name, value in LOADS.items()}
    together = arm_lines(PLACES, LINE_MASS, **across)
    assert together.moment.shape == (7, PLACES.size)
    for i in range(7):
        alone = arm_lines(PLACES, LINE_MASS, **{n: float(v[i]) for n, v in across.items()})
        assert together.moment[i] == pytest.approx(alone.moment, rel=1e-12, abs=1e-9)
        assert together.pull[i] == pytest.approx(alone.pull, rel=1e-12, abs=1e-9)
    assert together.envelope == pytest.approx(np.abs(together.moment).max(axis=0))


def test_resting_uniform_arm():
    """Truth: an even arm at rest, held level at its axle: m' g x^2/2 on both sides."""
    places = np.linspace(-2.0, 4.0, 13)
    lines = arm_lines(places, np.full(13, 30.0), 0.0, 0.0, 0.0, 9.81)
    long_side = -30.0 * 9.81 * (4.0 - places) ** 2 / 2
    short_side = -30.0 * 9.81 * (places + 2.0) ** 2 / 2
    expected = np.where(places >= 0.0, long_side, short_side)
    assert lines.moment == pytest.approx(expected, rel=1e-12, abs=1e-9)


@pytest.mark.parametrize("change", [(1.0, 1.0, 1.0), (1.2, 0.9, 1.1), (0.9, 1.05, 0.95)])
def test_matching_line_mass(change):
    """Truth: the three integrals, by fine summation, are those that were asked for."""
    places = arm_sections.arm_places(SHORT, LONG, 0.0, 2000)
    start = np.interp(places, PLACES, LINE_MASS)

    def integrals(line):
        s = np.linspace(-SHORT, LONG, 400_001)
        m = np.interp(s, places, line) * (s[1] - s[0])
        m[[0, -1]] /= 2
        mass = m.sum()
        balance = (m * s).sum() / mass
        return mass, balance, (m * (s - balance) ** 2).sum()

    wanted = [value * factor for value, factor in zip(integrals(start), change, strict=True)]
    found = matching_line_mass(places, start, *wanted)
    assert integrals(found) == pytest.approx(wanted, rel=1e-5)
    if change == (1.0, 1.0, 1.0):
        assert found == pytest.approx(start, rel=1e-4)


def test_an_arm_that_cannot_be():
    """Truth: an inertia larger than any such section has is refused, naming the dials."""
    with pytest.raises(ValueError, match="negative mass at .*check arm.mass, arm.balance"):
        matching_line_mass(PLACES, LINE_MASS, 200.0, 1.5, 9000.0)


# ---- sections ------------------------------------------------------------------------------------


@pytest.mark.parametrize("shape", arm_sections.SHAPES)
def test_arm_sections_place_by_place(shape):
    """Truth: the section formulas for one place, the hole taken out at the axle only."""
    found = arm_sections.arm_sections(PLACES, 0.34, 0.26, 0.15, 0.12, HOLE, shape)
    for i, s in enumerate(PLACES):
        share = max(s, 0.0) / LONG
        depth, width = 0.34 - 0.19 * share, 0.26 - 0.14 * share
        hole = HOLE if abs(s) <= HOLE / 2 else 0.0
        if shape == "round":
            one = sections.round_with_cross_hole(depth, hole)
        else:
            one = sections.rectangle_with_cross_hole(width, depth, hole)
        assert found.area[i] == pytest.approx(one.area)
        assert found.inertia[i] == pytest.approx(one.inertia)
        assert found.elastic_modulus[i] == pytest.approx(one.elastic_modulus)
    bored = found.area[np.flatnonzero(PLACES == 0.0)[0]]
    assert bored < found.area[0]
    assert np.count_nonzero(np.abs(PLACES) <= HOLE / 2) >= 3


@pytest.mark.parametrize("count", [2, 7, 60])
def test_places(count):
    """Truth: the ends, the axle and the hole's edges are among them, each once, rising."""
    places = arm_sections.arm_places(SHORT, LONG, HOLE, count)
    assert np.all(np.diff(places) > 1e-9)
    for wanted in (-SHORT, -HOLE / 2, 0.0, HOLE / 2, LONG):
        assert np.abs(places - wanted).min() < 1e-12
    assert np.any(places == 0.0)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: arm_sections.arm_places(0.0, 5.0), "short arm is 0"),
        (lambda: arm_sections.arm_places(1.0, 5.0, 2.1), "reaches an end of the arm"),
        (lambda: arm_sections.arm_places(1.0, 5.0, 0.1, 1), "number of steps is 1"),
        (lambda: arm_sections.arm_sections(PLACES, 0.3, 0.2, 0.1, 0.1, 0.3), "hole of 0.3 m"),
        (lambda: arm_sections.arm_sections(PLACES, 0.3, 0.2, 0.1, 0.1, 0.3, "round"), "hole of 0"),
        (lambda: arm_sections.arm_sections(PLACES, 0.0, 0.2, 0.1, 0.1), "depth at the axle is 0"),
        (lambda: arm_sections.arm_sections(PLACES, 0.3, 0.2, 0.1, 0.0), "width at the tip is 0"),
        (lambda: arm_sections.arm_sections(PLACES, 0.3, 0.2, 0.1, 0.1, 0.0, "tee"), "'tee'; known"),
        (lambda: arm_sections.arm_sections([0, 0], 0.3, 0.2, 0.1, 0.1), "must rise"),
        (lambda: arm_lines([0.0, 1.0, 2.0], [1, 1, 1], 0, 0, 0, 0), "exactly 0"),
        (lambda: arm_lines([-1.0, 0.1, 2.0], [1, 1, 1], 0, 0, 0, 0), "exactly 0"),
        (lambda: arm_lines([-1.0, 0.0, 2.0], [1, -1, 1], 0, 0, 0, 0), "at 0 m is -1 kg/m"),
        (lambda: arm_lines([-1.0, 0.0, 2.0], [1, math.nan, 1], 0, 0, 0, 0), "at 0 m is nan"),
        (lambda: arm_lines([-1.0, 0.0, 2.0], [1, 1], 0, 0, 0, 0), "three or more of each"),
        (lambda: arm_lines([-1.0, 0.0, 2.0], [1, 1, 1], math.nan, 0, 0, 0), "not a finite"),
        (lambda: arm_loads.matching_line_mass(PLACES, LINE_MASS, 0.0, 1.0, 1.0), "arm mass is 0"),
    ],
)
def test_bad_input(call, words):
    """Truth: the error names the thing, its value and the limit; never a silent zero."""
    with pytest.raises(ValueError, match=words):
        call()

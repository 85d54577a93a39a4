"""The arm's frequencies, pulse loading and taper against closed forms and other ways round."""

import math

import numpy as np
import pytest

from slingwright.formulas.arm import modes as arm
from slingwright.formulas.arm import stations as arm_sections
from slingwright.formulas.arm.modes import LumpedMass

STIFFNESS, LINE_MASS, LENGTH = 2.4e6, 38.0, 7.2


def frequencies(*given, **more):
    return arm.bending_modes(*given, **more).frequency


def driven(time, rate, damping):
    return arm.driven_mode(np.array(time), np.ones(2), np.full(2, rate), damping, 0.0)


def prismatic(count, length=LENGTH):
    x = np.linspace(0.0, length, count)
    return x, np.full(count, STIFFNESS), np.full(count, LINE_MASS)


@pytest.mark.parametrize(
    ("roots", "pinned", "clamped"),
    [
        ([4.730041, 7.853205, 10.995608], [], []),
        ([1.875104, 4.694091, 7.854757], [], [0.0]),
        ([math.pi, 2 * math.pi, 3 * math.pi], [0.0, LENGTH], []),
        ([3.926602, 7.068583, 10.210176], [0.0], []),
    ],
    ids=["free", "cantilever", "pinned", "pinned and free"],
)
def test_elements_against_closed_form(roots, pinned, clamped):
    """Truth: Blevins, Formulas for Natural Frequency and Mode Shape, Table 8-1 (from memory).

    f = (b L)^2 / (2 pi L^2) sqrt(E I / m'): three frequencies to 1e-5 with 40 elements.
    """
    found = frequencies(*prismatic(41), pinned=pinned, clamped=clamped, count=3)
    unit = math.sqrt(STIFFNESS / LINE_MASS) / (2 * math.pi * LENGTH**2)
    assert found == pytest.approx([root**2 * unit for root in roots], rel=1e-5)


def test_pin_at_the_middle_of_a_free_beam():
    """Truth: the free beam's odd-mirrored second mode has no movement at its middle: unchanged.

    The first is that of a cantilever of half the length, b L/2 = 1.875104.
    """
    free = frequencies(*prismatic(41), count=2)
    pinned = frequencies(*prismatic(41), pinned=[LENGTH / 2], count=2)
    half = 1.875104**2 / (2 * math.pi * (LENGTH / 2) ** 2) * math.sqrt(STIFFNESS / LINE_MASS)
    assert pinned[0] == pytest.approx(half, rel=1e-5)
    assert pinned[1] == pytest.approx(free[1], rel=1e-9)


@pytest.mark.parametrize("tip", [50.0, 500.0, 5e4])
def test_cantilever_with_a_tip_mass(tip):
    """Truth: 1 + cos z cosh z + mu z (cos z sinh z - sin z cosh z) = 0, mu = tip over beam mass."""
    mu = tip / (LINE_MASS * LENGTH)

    def equation(z):
        bend = math.cos(z) * math.sinh(z) - math.sin(z) * math.cosh(z)
        return 1 + math.cos(z) * math.cosh(z) + mu * z * bend

    low, high = 1e-3, 1.8751
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if equation(middle) > 0 else (low, middle)
    exact = low**2 / (2 * math.pi * LENGTH**2) * math.sqrt(STIFFNESS / LINE_MASS)
    found = frequencies(
        *prismatic(41), clamped=[0.0], lumped=[LumpedMass(mass=tip, position=LENGTH)], count=1
    )
    assert found[0] == pytest.approx(exact, rel=1e-5)
    if tip == 5e4:
        massless = math.sqrt(3 * STIFFNESS / (LENGTH**3 * tip)) / (2 * math.pi)
        assert found[0] == pytest.approx(massless, rel=2e-3)


def test_two_masses_on_a_light_rod():
    """Truth: two equal masses at the ends of a free light rod with a heavy one at its middle.

    By symmetry each half is a cantilever as seen from the middle mass M: k = 3 E I/l^3,
    omega^2 = k (1/m + 2/M).
    """
    x = np.linspace(0.0, 4.0, 41)
    m, middle = 300.0, 900.0
    found = frequencies(
        x,
        np.full(41, STIFFNESS),
        np.full(41, 1e-3),
        lumped=[
            LumpedMass(mass=m, position=0.0),
            LumpedMass(mass=m, position=4.0),
            LumpedMass(mass=middle, position=2.0),
        ],
        count=1,
    )
    square = 3 * STIFFNESS / 2.0**3 * (1 / m + 2 / middle)
    assert found[0] == pytest.approx(math.sqrt(square) / (2 * math.pi), rel=5e-5)


def test_inertia_of_a_mass_slows_it():
    """Truth: a stubby lever: a light cantilever with a disc at its tip, by its 2x2 flexibility."""
    x, stiffness, _ = prismatic(21, 2.0)
    mass, inertia, length = 400.0, 90.0, 2.0
    flexibility = np.array([[length**3 / 3, length**2 / 2], [length**2 / 2, length]]) / STIFFNESS
    squares = 1 / np.linalg.eigvals(flexibility @ np.diag([mass, inertia]))
    disc = LumpedMass(mass=mass, position=2.0, inertia=inertia)
    found = frequencies(x, stiffness, np.full(21, 1e-5), clamped=[0.0], lumped=[disc], count=2)
    assert found == pytest.approx(np.sqrt(np.sort(squares)) / (2 * math.pi), rel=1e-4)


def test_tapered_cantilever_wedge():
    """Truth: Kirchhoff's wedge: a cantilever whose depth falls to nothing at its free tip.

    omega = 5.315 (h/L^2) sqrt(E/(12 rho)), h at the root (G. Kirchhoff, 1882; from memory).
    """
    length, depth, width, modulus, density = 3.0, 0.3, 0.1, 11e9, 600.0
    x = np.linspace(0.0, length, 401)
    h = np.maximum(depth * (1 - x / length), 1e-5)
    found = frequencies(x, modulus * width * h**3 / 12, density * width * h, clamped=[0.0], count=1)
    exact = 5.315 * depth / length**2 * math.sqrt(modulus / (12 * density)) / (2 * math.pi)
    assert found[0] == pytest.approx(exact, rel=1e-3)


def test_refining_converges_from_above():
    """Truth: Rayleigh: an approximate shape is stiffer, and finer elements come down to the limit.

    The taper is that of an arm: stiffness and mass are given exactly at the places of the coarse
    beam and lie on straight lines between them.
    """
    coarse = np.linspace(0.0, LENGTH, 7)
    stiffness = STIFFNESS * (1 - 0.7 * coarse / LENGTH)
    mass = LINE_MASS * (1 - 0.5 * coarse / LENGTH)
    found = []
    for count in (7, 13, 25, 49):
        x = np.linspace(0.0, LENGTH, count)
        found.append(
            frequencies(
                x,
                np.interp(x, coarse, stiffness),
                np.interp(x, coarse, mass),
                pinned=[1.2],
                count=2,
            )
        )
    steps = np.diff(np.array(found), axis=0)
    assert np.all(steps < 0.0)
    assert np.all(np.abs(steps[-1]) < 0.1 * np.abs(steps[-2]))


def test_thirty_steps_are_enough():
    """Truth: the same arm in 240 steps: the lowest frequency to 0.1 %."""
    found = []
    for count in (30, 240):
        x = arm_sections.arm_places(1.4, 5.8, 0.0, count)
        section = arm_sections.arm_sections(x, 0.34, 0.26, 0.15, 0.12)
        stiffness, mass = 11e9 * section.inertia, 640.0 * section.area
        found.append(frequencies(x, stiffness, mass, pinned=[0.0], count=1)[0])
    assert found[0] == pytest.approx(found[1], rel=1e-3)


def spectrum(periods):
    """Largest deflection under a half-sine pulse over its peak held still, undamped.

    Clough and Penzien, Dynamics of Structures, 5-2 (from memory): with r = 2 n, the largest of
    sin(2 pi k/(r + 1)) r/(r - 1) while it lasts for r > 1, 2 r cos(pi r/2)/(1 - r^2) after it.
    """
    r = 2.0 * periods
    if r == 1.0:
        return math.pi / 2.0
    if r < 1.0:
        return 2.0 * r * math.cos(math.pi * r / 2.0) / (1.0 - r**2)
    steps = range(1, int((r + 1.0) / 2.0) + 1)
    return max(abs(math.sin(2.0 * math.pi * k / (r + 1.0))) for k in steps) * r / (r - 1.0)


@pytest.mark.parametrize("periods", [0.01, 0.1, 0.3, 0.5, 0.75, 1.0, 1.6, 2.5, 4.0, 7.3, 100.0])
def test_half_sine_pulse(periods):
    """Truth: the response spectrum of a half-sine pulse, to what straight pieces of it leave."""
    t = np.concatenate([np.linspace(0.0, periods, 401), periods + np.linspace(0.0, 1.0, 201)])
    load = np.where(t <= periods, np.sin(math.pi * t / periods), 0.0)
    found = arm.driven_mode(t, load, np.full(t.size, 2.0 * math.pi), 0.0, 0.0)
    assert np.abs(found).max() == pytest.approx(spectrum(periods), rel=2e-3)


@pytest.mark.parametrize("damping", [0.0, 0.01, 0.3])
def test_a_load_put_on_at_once(damping):
    """Truth: 1 + exp(-pi zeta/sqrt(1 - zeta^2)), 2 without damping; on uneven steps.

    From thrice the load's deflection it swings twice as far, the other way.
    """
    rng = np.random.default_rng(4)
    t = np.unique(np.concatenate([[0.0, 3.0], rng.uniform(0.0, 3.0, 9000)]))
    t = np.concatenate([t[:1], t])  # the load steps between two samples of the first moment
    load, rate = np.ones(t.size), np.full(t.size, 7.0)
    load[0] = 0.0
    found = arm.driven_mode(t, load, rate, damping, 0.0)
    over = math.exp(-math.pi * damping / math.sqrt(1.0 - damping**2))
    assert found.max() == pytest.approx(1.0 + over, rel=1e-4)
    bent = arm.driven_mode(t, load, rate, damping, 3.0)
    assert bent - 1.0 == pytest.approx(-2.0 * (found - 1.0), abs=1e-9)


def test_a_mode_that_grows_stiffer():
    """Truth: Runge and Kutta's rule (DOP853) on the equation itself, with a rate that moves."""
    from scipy.integrate import solve_ivp

    t = np.linspace(0.0, 2.0, 801)
    rate, load = 20.0 + 8.0 * np.sin(3.0 * t), np.sin(11.0 * t) + 0.3 * t

    def equation(now, state):
        omega, still = np.interp(now, t, rate), np.interp(now, t, load)
        return [state[1], -2.0 * 0.05 * omega * state[1] - omega**2 * (state[0] - still)]

    truth = solve_ivp(equation, (0.0, 2.0), [0.5, 0.0], rtol=1e-9, atol=1e-9, max_step=0.01)
    found = arm.driven_mode(t, load, rate, 0.05, 0.5)
    assert found[-1] == pytest.approx(truth.y[0, -1], abs=2e-3)


@pytest.mark.parametrize("turned", [0.0, 0.4, 1.2, math.pi / 2])
def test_mass_felt_is_what_a_blow_moves(turned):
    """Truth: Newton's and Euler's laws of a body on a pin that a rail holds: force over its
    acceleration, with the rail's own push found by linear algebra."""
    mass, out, inertia = 640.0, 1.1, 90.0
    u = np.array([math.cos(turned), math.sin(turned)])  # pin to centre; the rail runs along x
    t = np.array([-u[1], u[0]])
    # Unknown: pin's acceleration a along x, turning b, push p along y; a pull of 1 along x.
    rows = np.zeros((3, 3))
    rows[0] = [mass, mass * out * t[0], 0.0]
    rows[1] = [0.0, mass * out * t[1], -1.0]
    rows[2] = [0.0, inertia, out * u[0]]
    pulled = np.array([1.0, 0.0, out * u[1]])
    a = np.linalg.solve(rows, pulled)[0]
    assert arm.mass_felt(mass, out, inertia, u[0]) == pytest.approx(1.0 / a, rel=1e-12)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"position": [0.0, 1.0]}, "three or more places"),
        ({"position": [0.0, 2.0, 1.0]}, "must rise"),
        ({"position": [0.0, 1.0, math.nan]}, "must rise"),
        ({"stiffness": [1.0, 1.0]}, "same places"),
        ({"stiffness": [1.0, 0.0, 1.0]}, "bending stiffness at 1 m is 0"),
        ({"line_mass": [1.0, 1.0, -2.0]}, "mass per length at 2 m is -2"),
        ({"pinned": [0.5]}, "pin at 0.5 m is at none"),
        ({"clamped": [7.0]}, "clamp at 7 m is at none"),
        ({"lumped": [LumpedMass(mass=1.0, position=0.4)]}, "lumped mass at 0.4 m is at none"),
        ({"lumped": [LumpedMass(mass=-1.0, position=0.0)]}, "lumped mass is -1"),
        ({"count": 0}, "count is 0"),
        ({"count": 5}, "1 to 4 frequencies"),
    ],
)
def test_bad_beams(change, words):
    """Truth: the error names the thing, the place and the value."""
    given = {
        "position": [0.0, 1.0, 2.0],
        "stiffness": [1.0, 1.0, 1.0],
        "line_mass": [1.0, 1.0, 1.0],
        "count": 1,
    }
    with pytest.raises(ValueError, match=words):
        frequencies(**{**given, **change})


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: driven([0.0, -1.0], 1.0, 0.0), "rising"),
        (lambda: driven([0.0, 1.0], 0.0, 0.0), "from 0 rad/s"),
        (lambda: driven([0.0, 1.0], 1.0, 1.0), "damping of 1"),
        (lambda: arm.mass_felt(-1.0, 1.0, 1.0, 0.0), "hangs on the arm is -1"),
    ],
)
def test_bad_input(call, words):
    """Truth: the error names the thing, its value and the limit."""
    with pytest.raises(ValueError, match=words):
        call()

"""The derivation: a frozen record of sympy expressions that obeys mechanics for every kind.

Truth: properties any Lagrangian system has (symmetric, positive mass matrix; kinetic energy as its
quadratic form; power of the force equals the change of energy), the third law, and closed forms of
a lever, a pendulum and a hanging mass from any textbook of mechanics.
"""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
import sympy as sp

from slingwright.derivation import geometry, motion
from slingwright.derivation.notation import (
    ACCELERATION,
    CONTACT,
    COORDINATE,
    KINDS,
    LETTER,
    RATE,
    RUBBING,
    Kind,
    letter,
)

EVERY = pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.title)
PHASES = ("trough", "free", "empty")
SYMBOLS = [*LETTER.values(), *COORDINATE.values(), *RATE.values(), *ACCELERATION.values(),
           CONTACT, RUBBING]  # fmt: skip


@pytest.fixture(scope="module")
def derived():
    """Give each kind's derivation, made once."""
    return {kind: motion.derive(kind) for kind in KINDS}


def at(expression, values):
    """Give the value of an expression at numbers for all symbols."""
    plain = expression.tolist() if hasattr(expression, "tolist") else expression
    return np.array(sp.lambdify(SYMBOLS, plain, "math")(*values), dtype=float)


def anywhere(rng: np.random.Generator) -> list[float]:
    """Give numbers for all symbols: sizes above 0, angles and rates of both signs."""
    sizes = [float(rng.uniform(0.2, 3.0)) for _ in LETTER]
    return sizes + [float(rng.uniform(-2.0, 2.0)) for _ in range(len(SYMBOLS) - len(LETTER))]


@EVERY
def test_derivation_is_a_frozen_record(kind: Kind, derived) -> None:
    """Truth: the same kind gives the same record, and a record cannot be changed."""
    again = motion.derive(kind)
    assert again == derived[kind]
    assert again.kind is kind
    with pytest.raises(dataclasses.FrozenInstanceError):
        again.force = None
    n = len(kind.names)
    assert again.mass.shape == (n, n) and again.force.shape == (n, 1)
    for field in dataclasses.fields(again):
        value = getattr(again, field.name)
        if isinstance(value, motion.Rows):
            assert len(value.per_acceleration) == n


@EVERY
def test_mass_matrix_is_symmetric_and_positive(kind: Kind, derived) -> None:
    """Truth: kinetic energy is a positive quadratic form of the rates."""
    record = derived[kind]
    assert record.mass == record.mass.T
    rng = np.random.default_rng(1)
    for _ in range(20):
        values = anywhere(rng)
        mass = at(record.mass, values)
        assert np.linalg.eigvalsh(mass).min() > 0.0
        v = np.array([values[SYMBOLS.index(RATE[n])] for n in kind.names])
        assert 0.5 * v @ mass @ v == pytest.approx(float(at(record.kinetic, values)), rel=1e-12)


@EVERY
def test_power_of_the_equations_is_none(kind: Kind, derived) -> None:
    """Truth: without contact and friction the energy of any solution stays: dE/dt = 0."""
    record = derived[kind]
    rng = np.random.default_rng(2)
    rates = {COORDINATE[n]: RATE[n] for n in kind.names} | {
        RATE[n]: ACCELERATION[n] for n in kind.names
    }
    energy = record.kinetic + record.potential
    power = sp.Add(*(sp.diff(energy, place) * speed for place, speed in rates.items()))
    for _ in range(10):
        values = anywhere(rng)
        a = np.linalg.solve(at(record.mass, values), at(record.force, values).ravel())
        for name, value in zip(kind.names, a, strict=True):
            values[SYMBOLS.index(ACCELERATION[name])] = value
        scale = abs(float(at(record.kinetic, values))) + abs(float(at(record.potential, values)))
        assert abs(float(at(power, values))) < 1e-10 * (scale + np.abs(a).max())


@EVERY
@pytest.mark.parametrize("phase", PHASES)
def test_equations_are_written_out_for_every_phase(kind: Kind, phase: str, derived) -> None:
    """Truth: mass times acceleration is force, phase by phase, at random numbers."""
    found = motion.equations(kind, phase)
    assert len(found) == len(kind.names) + (phase == "trough")
    free = set().union(*(eq.free_symbols for eq in found))
    assert (CONTACT in free) == (RUBBING in free) == (phase == "trough")
    assert (letter("projectile.mass") in free) == (phase != "empty")
    assert {ACCELERATION[n] for n in kind.names} <= free
    rng = np.random.default_rng(3)
    record = derived[kind]
    values = anywhere(rng)
    if phase == "empty":
        values[SYMBOLS.index(letter("projectile.mass"))] = 0.0
    a = np.array([values[SYMBOLS.index(ACCELERATION[n])] for n in kind.names])
    push = np.zeros(len(a))
    if phase == "trough":
        for force, rows in ((CONTACT, record.ball_height), (RUBBING, record.ball_travel)):
            push += values[SYMBOLS.index(force)] * at(list(rows.per_acceleration), values)
    short = at(record.mass, values) @ a - at(record.force, values).ravel() - push
    told = [at(eq.lhs - eq.rhs, values) for eq in found[: len(a)]]
    assert np.allclose(told, short, rtol=1e-10, atol=1e-10)
    if phase == "trough":
        row = record.ball_height
        height = at(list(row.per_acceleration), values) @ a + float(at(row.rest, values))
        assert float(at(found[-1].lhs - found[-1].rhs, values)) == pytest.approx(height)


@EVERY
def test_axle_force_of_the_parts_is_that_of_the_whole(kind: Kind, derived) -> None:
    """Truth: Newton's third law: forces inside the machine cancel in the sum."""
    record, parts = derived[kind], motion.part_forces(kind)
    a = [ACCELERATION[n] for n in kind.names]
    rng = np.random.default_rng(4)
    for rows, name, trough in (
        (record.axle_load_x, "axle_x", RUBBING),
        (record.axle_load_y, "axle_y", CONTACT),
        (record.pin_load_x, "pin_x", 0),
        (record.pin_load_y, "pin_y", 0),
    ):
        whole = sp.Add(*(c * x for c, x in zip(rows.per_acceleration, a, strict=True))) + rows.rest
        for _ in range(5):
            values = anywhere(rng)
            assert float(at(parts[name], values)) == pytest.approx(
                float(at(whole - trough, values)), rel=1e-11
            )


@EVERY
def test_energies_of_the_parts_are_the_whole(kind: Kind, derived) -> None:
    """Truth: energy adds up over bodies."""
    rng = np.random.default_rng(5)
    record = derived[kind]
    total = sp.Add(*motion.part_energies(kind).values())
    for _ in range(5):
        values = anywhere(rng)
        assert float(at(total, values)) == pytest.approx(
            float(at(record.kinetic + record.potential, values)), rel=1e-12
        )


def test_coordinates_follow_the_kind() -> None:
    """Truth: a fixed weight has no hanger angle, a staked base does not roll."""
    assert Kind(hung=True, wheels=True).names == ("e", "h", "s", "X")
    assert Kind(hung=False, wheels=False).names == ("e", "s")
    assert len({kind.title for kind in KINDS}) == len(KINDS) == 4


def test_axes_are_the_public_ones() -> None:
    """Truth: the convention: tip (-L cos e, H + L sin e), pin (S cos e, H - S sin e), lag e - s."""
    kind = Kind(hung=True, wheels=False)
    at_ = geometry.points(kind)
    e, s = COORDINATE["e"], COORDINATE["s"]
    long, short, high, length = (
        letter(path) for path in ("arm.long", "arm.short", "axle.height", "sling.length")
    )
    assert at_["tip"] == (-long * sp.cos(e), high + long * sp.sin(e))
    assert at_["pin"] == (short * sp.cos(e), high - short * sp.sin(e))
    # Sling in line with the arm where the lag is 0.
    straight = [part.subs(s, e) for part in at_["ball"]]
    assert sp.simplify(straight[0] + (long + length) * sp.cos(e)) == 0
    assert sp.simplify(straight[1] - high - (long + length) * sp.sin(e)) == 0


# ---- closed forms


def only(record, **sizes: float) -> tuple[np.ndarray, np.ndarray]:
    """Give mass matrix and force at rest with all sizes 0 but those named."""
    values = dict.fromkeys(SYMBOLS, 0.0)
    for path, value in sizes.items():
        place = path.replace("__", ".")
        values[LETTER[place] if place in LETTER else COORDINATE[path]] = value
    numbers = [values[symbol] for symbol in SYMBOLS]
    return at(record.mass, numbers), at(record.force, numbers).ravel()


def test_a_lever_turns_as_a_lever(derived) -> None:
    """Truth: two masses on a beam: e'' = g cos e (M S - m L) / (M S^2 + m L^2), from memory."""
    big, small, short, long, g, e = 100.0, 4.0, 1.2, 4.0, 9.8, 0.3
    mass, force = only(
        derived[Kind(hung=False, wheels=False)],
        counterweight__mass=big, arm__short=short, arm__long=long, sling__pouch=small,
        sling__length=1e-9, site__gravity=g, e=e, s=e,
    )  # fmt: skip
    turning = force[0] / mass[0, 0]
    expected = g * math.cos(e) * (big * short - small * long) / (big * short**2 + small * long**2)
    assert turning == pytest.approx(expected, rel=1e-6)


def test_weight_on_its_pin_swings_as_a_compound_pendulum(derived) -> None:
    """Truth: h'' = -M g c sin h / (I + M c^2) about a still pin (any textbook), from memory."""
    m, c, inertia, g, h = 50.0, 0.7, 6.0, 9.8, 0.4
    mass, force = only(
        derived[Kind(hung=True, wheels=False)],
        counterweight__mass=m, counterweight__hanger=c, counterweight__inertia=inertia,
        site__gravity=g, h=h,
    )  # fmt: skip
    at_h = 1
    assert force[at_h] / mass[at_h, at_h] == pytest.approx(
        -m * g * c * math.sin(h) / (inertia + m * c**2), rel=1e-12
    )


def test_cord_about_its_end_has_a_third_of_its_mass(derived) -> None:
    """Truth: inertia of a rod about its end, m l^2 / 3; with the load at its end m l^2 more."""
    mass, _ = only(
        derived[Kind(hung=False, wheels=False)],
        sling__mass=3.0, sling__length=2.0, projectile__mass=1.0,
    )  # fmt: skip
    assert mass[1, 1] == pytest.approx(3.0 * 2.0**2 / 3.0 + 1.0 * 2.0**2)


def test_rolling_base_carries_all_mass(derived) -> None:
    """Truth: pushed along, the whole machine is one mass."""
    mass, _ = only(
        derived[Kind(hung=True, wheels=True)],
        arm__mass=1.0, counterweight__mass=2.0, sling__mass=3.0, sling__pouch=4.0,
        projectile__mass=5.0, base__mass=6.0,
    )  # fmt: skip
    assert mass[3, 3] == pytest.approx(21.0)


def test_hanging_mass_pulls_down_on_the_axle(derived) -> None:
    """Truth: at rest the axle pushes up with the weight of all that hangs on it."""
    kind = Kind(hung=True, wheels=False)
    values = dict.fromkeys(SYMBOLS, 0.0)
    values[LETTER["counterweight.mass"]], values[LETTER["arm.mass"]] = 100.0, 20.0
    values[LETTER["site.gravity"]] = 10.0
    numbers = [values[symbol] for symbol in SYMBOLS]
    assert float(at(derived[kind].axle_load_y.rest, numbers)) == pytest.approx(1200.0)
    assert float(at(derived[kind].pin_load_y.rest, numbers)) == pytest.approx(1000.0)

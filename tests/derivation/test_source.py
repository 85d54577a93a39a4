"""The equations written out as Python: the text computes what the expressions say.

Truth: sympy's own lambdify of the derivation, at random states of random machines.
"""

from __future__ import annotations

import ast
import importlib.util
import math

import numpy as np
import pytest
import sympy as sp
from hypothesis import given
from hypothesis import strategies as st

from slingwright.derivation import geometry, motion, source
from slingwright.derivation.notation import (
    ACCELERATION,
    CONTACT,
    COORDINATE,
    KINDS,
    LETTER,
    RATE,
    RUBBING,
    Kind,
)
from slingwright.machine.table.dials import MOVING, MOVING_INDEX

EVERY = pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.title)
ARGUMENTS = [*LETTER.values(), *COORDINATE.values(), *RATE.values(), *ACCELERATION.values(),
             CONTACT, RUBBING]  # fmt: skip


PLAIN = """
import math

import numpy as np


def compiled(function):
    return function


inlined = compiled


def sine_cosine(angle):
    return math.sin(angle), math.cos(angle)


"""


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    """Give each kind's text as a module of plain Python, and the text."""
    folder, found = tmp_path_factory.mktemp("written"), {}
    for kind in KINDS:
        text, path = source.write(kind), folder / f"written_{kind.title}.py"
        path.write_text(PLAIN + text, encoding="utf-8")
        spec = importlib.util.spec_from_file_location(path.stem, path)
        module = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(module)
        found[kind] = (module, text)
    return found


class State:
    """Random dials and state, as the text takes them and as lambdify takes them."""

    def __init__(self, kind: Kind, rng: np.random.Generator) -> None:
        self.kind = kind
        self.p = rng.uniform(0.2, 3.0, len(MOVING))
        n = len(kind.names)
        self.y = np.append(rng.uniform(-2.0, 2.0, 2 * n), 0.0)
        self.a = rng.uniform(-2.0, 2.0, n)
        self.contact, self.rubbing = rng.uniform(-2.0, 2.0, 2)
        values = dict.fromkeys(ARGUMENTS, 0.0)
        values |= {LETTER[path]: self.p[i] for path, i in MOVING_INDEX.items()}
        for i, name in enumerate(kind.names):
            values[COORDINATE[name]] = self.y[i]
            values[RATE[name]] = self.y[n + i]
            values[ACCELERATION[name]] = self.a[i]
        values[CONTACT], values[RUBBING] = self.contact, self.rubbing
        self.numbers = [values[symbol] for symbol in ARGUMENTS]

    def of(self, expression) -> np.ndarray:
        plain = expression.tolist() if hasattr(expression, "tolist") else expression
        return np.array(sp.lambdify(ARGUMENTS, plain, "math")(*self.numbers), dtype=float)


def states(kind: Kind, module) -> list[tuple[State, np.ndarray, np.ndarray]]:
    """Give random states with the text's constants and work vector made ready."""
    rng = np.random.default_rng(11)
    found = []
    for _ in range(8):
        state = State(kind, rng)
        K, w = np.empty(module.CONSTANTS), np.zeros(module.WORK + 64)
        module.constants(state.p, K)
        module.prepare(state.y, K, w)
        found.append((state, K, w))
    return found


@EVERY
def test_text_solves_the_derived_equations(kind: Kind, written) -> None:
    """Truth: numpy's solve on lambdify's mass matrix and force; all numbers to 1e-11."""
    module, _ = written[kind]
    record = motion.derive(kind)
    n = len(kind.names)
    for state, _, w in states(kind, module):
        force = w[module.FORCE : module.FORCE + n].copy()
        assert np.allclose(force, state.of(record.force).ravel(), rtol=1e-11, atol=1e-11)
        module.solve(w, module.FORCE, module.WORK)
        told = w[module.WORK : module.WORK + n]
        mass = state.of(record.mass)
        assert np.allclose(mass @ told, force, rtol=1e-10, atol=1e-10 * np.abs(mass).max())


@EVERY
def test_text_has_the_derived_rows(kind: Kind, written) -> None:
    """Truth: lambdify of the rows of contact, axle and pin."""
    module, _ = written[kind]
    record = motion.derive(kind)
    n = len(kind.names)
    for state, K, w in states(kind, module):
        module.ball_rows(state.y, K, w)
        module.load_rows(state.y, K, w)
        for place, rows in (
            (module.BALL_UP, record.ball_height),
            (module.BALL_ALONG, record.ball_travel),
            (module.LOAD_X, record.axle_load_x),
            (module.LOAD_Y, record.axle_load_y),
            (module.PIN_X, record.pin_load_x),
            (module.PIN_Y, record.pin_load_y),
        ):
            expected = state.of([*rows.per_acceleration, rows.rest])
            assert np.allclose(w[place : place + n + 1], expected, rtol=1e-11, atol=1e-11)


@EVERY
def test_text_has_the_derived_forces_energies_and_places(kind: Kind, written) -> None:
    """Truth: lambdify of forces, energies, places and the projectile's velocity."""
    module, _ = written[kind]
    forces, energies = motion.part_forces(kind), motion.part_energies(kind)
    places = geometry.points(kind)
    n = len(kind.names)
    for state, K, w in states(kind, module):
        out = np.zeros(16)
        rates = np.concatenate([np.zeros(n), state.a, [0.0]])[None, :]
        module.part_forces(state.y, rates, 0, state.contact, state.rubbing, K, w, out)
        assert np.allclose(out[:8], state.of(list(forces.values())), rtol=1e-11, atol=1e-11)
        module.part_energies(state.y, K, out)
        count = len(energies)
        assert np.allclose(out[:count], state.of(list(energies.values())), rtol=1e-11, atol=1e-11)
        module.places(state.y, K, out)
        expected = state.of([part for place in places.values() for part in place])
        assert np.allclose(out[: 2 * len(places)], expected, rtol=1e-12, atol=1e-12)
        module.ball_velocity(state.y, K, out)
        expected = state.of(list(geometry.velocity(places["ball"], kind)))
        assert np.allclose(out[:2], expected, rtol=1e-12, atol=1e-12)


@EVERY
def test_constants_depend_on_dials_alone(kind: Kind, written) -> None:
    """Truth: the text: the function of the constants reads the dials and no state."""
    module, text = written[kind]
    tree = ast.parse(text)
    functions = {node.name: node for node in tree.body if isinstance(node, ast.FunctionDef)}
    assert [a.arg for a in functions["constants"].args.args] == ["p", "K"]
    used = {node.id for node in ast.walk(functions["constants"]) if isinstance(node, ast.Name)}
    assert "y" not in used and "w" not in used
    kept = [line for line in text.splitlines() if line.strip().startswith("K[")]
    assert len(kept) == module.CONSTANTS
    for name, node in functions.items():
        assert ast.get_docstring(node), name


@EVERY
def test_text_is_the_same_every_time(kind: Kind, written) -> None:
    """Truth: itself: the module's name is the hash of its sources, so the text may not vary."""
    assert source.write(kind) == written[kind][1]


def trig(name: str) -> tuple[sp.Expr, sp.Expr]:
    return sp.sin(COORDINATE[name]), sp.cos(COORDINATE[name])


@given(
    powers=st.lists(st.integers(0, 4), min_size=6, max_size=6),
    factor=st.integers(-5, 5),
    numbers=st.lists(st.floats(-3.0, 3.0), min_size=3, max_size=3),
)
def test_terms_keep_the_value_and_drop_squared_sines(powers, factor, numbers) -> None:
    """Truth: the expression itself, and sin^2 + cos^2 = 1."""
    parts = [part for name in "ehs" for part in trig(name)]
    expression = factor * sp.Mul(*(part**k for part, k in zip(parts, powers, strict=True)))
    found = source.terms(expression + parts[0] ** 2 + parts[1] ** 2)
    places = dict(zip((COORDINATE[n] for n in "ehs"), numbers, strict=True))
    expected = float(sp.sympify(expression).subs(places)) + 1.0
    values = [f(x) for x in numbers for f in (math.sin, math.cos)]
    total = 0.0
    for exponents, coefficient in found.items():
        assert all(exponents[i] < 2 for i in (0, 2, 4))
        total += float(coefficient) * math.prod(
            v**k for v, k in zip(values, exponents[:6], strict=True)
        )
    assert total == pytest.approx(expected, abs=1e-9)


def test_nothing_has_no_terms() -> None:
    """Truth: a sum of nothing; and the identity sin^2 + cos^2 - 1."""
    sine, cosine = trig("e")
    assert source.terms(sp.Integer(0)) == {}
    assert source.terms(sine**2 + cosine**2 - 1) == {}


def test_letters_are_unique() -> None:
    """Truth: one symbol for one thing: dials, coordinates, rates and forces never share a name."""
    names = [str(symbol) for symbol in ARGUMENTS]
    assert len(names) == len(set(names))
    assert set(LETTER) == {row.path for row in MOVING}
    rows = [row.symbol for row in MOVING if row.symbol]
    assert len(rows) == len(set(rows))


@pytest.mark.parametrize(
    "order", [[0, 1, 2, 3], [3, 2, 1, 0], [1, 2, 0, 3]], ids=lambda order: str(order)
)
def test_elimination_finds_every_multiplier(order: list[int]) -> None:
    """Truth: numpy's elimination of random matrices with the same zeros, in the same order."""
    pattern = np.array([[1, 1, 1, 1], [1, 1, 0, 1], [1, 0, 1, 1], [1, 1, 1, 1]], dtype=bool)
    rng = np.random.default_rng(12)
    matrix = np.where(pattern, rng.uniform(0.5, 1.0, (4, 4)), 0.0)
    matrix = matrix + matrix.T + 8.0 * np.eye(4)
    needed = set()
    for k, column in enumerate(order):
        for i in order[k + 1 :]:
            if matrix[i, column] != 0.0:
                needed.add((i, column))
                matrix[i] -= matrix[i, column] / matrix[column, column] * matrix[column]
    assert set(source.elimination(pattern.tolist(), order)) == needed

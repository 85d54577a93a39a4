"""The step of order 8 and its dense output.

Truth: SciPy's DOP853 (E. Hairer, S. P. Norsett, G. Wanner, Solving Ordinary
Differential Equations I, 2nd ed., Springer 1993, section II.5), and the orders stated there: 8
for the step, 7 for the dense output.
"""

from __future__ import annotations

import importlib.util
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import DOP853, solve_ivp

from slingwright.motion.source import step as stepsource

Rates = Callable[[np.ndarray], list[float]]

SYSTEMS: dict[str, tuple[Rates, list[float]]] = {
    "pendulum": (lambda y: [y[1], -9.80665 * math.sin(y[0])], [2.0, 0.5]),
    "orbit": (
        lambda y: [y[2], y[3], *(-y[i] / math.hypot(y[0], y[1]) ** 3 for i in (0, 1))],
        [1.0, 0.0, 0.0, 1.1],
    ),
}


@pytest.fixture(params=SYSTEMS)
def joined(request, tmp_path: Path):
    """Give the written step joined to a system's rates, as plain Python, with the system."""
    system, start = SYSTEMS[request.param]
    text = "\n".join(
        [
            "import math",
            "import numpy as np",
            "def compiled(function): return function",
            "inner = compiled",
            stepsource.step_source(len(start)),
        ]
    )
    path = tmp_path / f"{request.param}.py"
    path.write_text(text, encoding="utf-8")
    spec = importlib.util.spec_from_file_location(request.param, path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)

    def rates(stage, slide, y, p, K, w, k, row):
        k[row] = system(y)

    module.rhs = module.rates = rates
    return module, system, np.array(start)


def one_step(module, y: np.ndarray, h: float, tolerance: float = 1e-9):
    """Give the new state, the error, the stages and the interpolant of a step."""
    size = len(y)
    k, y_new, weight = np.zeros((16, size)), np.empty(size), np.ones(size)
    module.rates(0, 0.0, y, None, None, None, k, 0)
    error = module.step(0, 0.0, y, h, tolerance, weight, None, None, None, k, y_new)
    F, spare = np.empty((7, size)), np.empty(size)
    module.dense(0, 0.0, y, y_new, h, None, None, None, k, spare, F)
    return y_new, error, k, F


def test_a_step_is_scipys_step(joined) -> None:
    """Truth: one step of SciPy's DOP853 of the same size."""
    module, system, y = joined
    h = 0.1
    theirs = DOP853(lambda t, y: system(y), 0.0, y, 10.0, first_step=h, rtol=1e-3, atol=1e-3)
    theirs.step()
    y_new, _, _, F = one_step(module, y, h)
    assert theirs.t == h
    assert np.allclose(y_new, theirs.y, rtol=1e-14, atol=1e-14)
    inside, out = theirs.dense_output(), np.empty(len(y))
    for part in (0.0, 0.1, 0.37, 0.5, 0.9, 1.0):
        module.between(y, F, part, out)
        assert np.allclose(out, inside(part * h), rtol=1e-13, atol=1e-13)


def test_error_is_scipys_error(joined) -> None:
    """Truth: the error norm by which SciPy accepts a step, for equal absolute and relative shares.

    Ours weighs with 1 + max|y|, theirs with atol + rtol max|y|: equal where atol = rtol.
    """
    module, system, y = joined
    h, tolerance = 0.3, 1e-7
    theirs = DOP853(
        lambda t, y: system(y), 0.0, y, 10.0, first_step=h, rtol=tolerance, atol=tolerance
    )
    y_new, error, k, _ = one_step(module, y, h, tolerance)
    scale = tolerance * (1.0 + np.maximum(np.abs(y), np.abs(y_new)))
    assert error == pytest.approx(theirs._estimate_error_norm(k[:13], h, scale), rel=1e-6)


def test_step_converges_with_order_8(joined) -> None:
    """Truth: the order of the method; half the step makes an error 2^8 times smaller."""
    module, system, y = joined
    span = 2.0
    exact = solve_ivp(
        lambda t, y: system(y), (0.0, span), y, method="DOP853", rtol=1e-13, atol=1e-15
    ).y[:, -1]
    errors = []
    for steps in (4, 8, 16):
        state = y
        for _ in range(steps):
            state = one_step(module, state, span / steps)[0]
        errors.append(float(np.max(np.abs(state - exact))))
    orders = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert errors[-1] < 1e-6
    assert (orders > 7.3).all() and (orders < 10.0).all(), (errors, orders)


def test_dense_output_converges_with_order_7(joined) -> None:
    """Truth: the order of the interpolant: inside one step its error falls with h^8 (7 and 1)."""
    module, system, y = joined
    errors = []
    for h in (0.4, 0.2):
        _, _, _, F = one_step(module, y, h)
        out, parts = np.empty(len(y)), np.linspace(0.0, 1.0, 11)
        exact = solve_ivp(
            lambda t, y: system(y), (0.0, h), y, method="DOP853",
            rtol=1e-13, atol=1e-15, t_eval=parts * h,
        ).y  # fmt: skip
        worst = 0.0
        for i, part in enumerate(parts):
            module.between(y, F, part, out)
            worst = max(worst, float(np.max(np.abs(out - exact[:, i]))))
        errors.append(worst)
    order = math.log2(errors[0] / errors[1])
    assert 7.0 < order < 10.0, (errors, order)


def test_dense_output_meets_both_ends_with_their_rates(joined) -> None:
    """Truth: the interpolant is Hermite's at both ends: values and rates."""
    module, system, y = joined
    h = 0.2
    y_new, _, _, F = one_step(module, y, h)
    out, near = np.empty(len(y)), np.empty(len(y))
    for part, value in ((0.0, y), (1.0, y_new)):
        module.between(y, F, part, out)
        assert np.allclose(out, value, rtol=1e-15, atol=1e-15)
        small = 1e-6 if part == 0.0 else -1e-6
        module.between(y, F, part + small, near)
        assert np.allclose((near - out) / (small * h), system(value), rtol=1e-4, atol=1e-4)


def test_standing_still_has_no_error(joined) -> None:
    """Truth: a step of no length changes nothing and errs by nothing."""
    module, _, y = joined
    y_new, error, _, _ = one_step(module, y, 0.0)
    assert np.array_equal(y_new, y)
    assert error == 0.0

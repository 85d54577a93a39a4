"""Throws in step: each row is the throw it stands for, whatever stands in the lanes beside it.

Truth: the code for one throw, row by row, itself held to other engines, to conservation and to
closed forms elsewhere; the standard library's functions for the ones written out here; and
conservation of energy, of which the lanes' steps know nothing.
"""

from __future__ import annotations

import math

import numba
import numpy as np
import pytest
from outside.machines import FRICTIONLESS, otter_ford, random_machine

import slingwright as sw
from slingwright.machine.machine import moving_table
from slingwright.machine.table.dials import MOVING_INDEX
from slingwright.motion import sweeping
from slingwright.motion.ends.outcomes import OUTCOME
from slingwright.motion.source.code import flights_module, lanes_module, machine_module

KINDS = [(True, False), (False, False), (True, True), (False, True)]
TOLERANCE = 1e-9


def in_step(hung: bool, wheels: bool, table: np.ndarray, tolerance: float = TOLERANCE):
    """Results and landings of the lanes."""
    code = machine_module(hung, wheels)
    results, landings = np.zeros((len(table), code.RESULTS)), np.zeros((len(table), 8))
    sweeping._in_step(hung, wheels, table, tolerance, False, results, landings)
    return results, landings


def one_by_one(hung: bool, wheels: bool, table: np.ndarray, tolerance: float = TOLERANCE):
    """Results and landings of the code for one throw."""
    code = machine_module(hung, wheels)
    results, landings = np.zeros((len(table), code.RESULTS)), np.zeros((len(table), 8))
    code.few(table, tolerance, 0.0, 1500.0, False, results, landings)
    return results, landings


def random_rows(seed: int, count: int, hung: bool, wheels: bool) -> np.ndarray:
    """Give dials of random machines, (count, dials)."""
    rng = np.random.default_rng(seed)
    rows = []
    for _ in range(count):
        machine = random_machine(rng, hung=hung, wheels=wheels)
        rows.append(moving_table(machine, {"site.wind": np.zeros(1)})[0][0])
    return np.array(rows)


def hard_rows(hung: bool, wheels: bool) -> np.ndarray:
    """Give dials of machines that end in many ways, some at once, some after a slide back."""
    machine = otter_ford(hung=hung, wheels=wheels)
    values = {
        "counterweight.mass": [40.0, 150.0, 400.0, 1400.0],
        "sling.length": [1.2, 3.0, 5.0, 7.0],
        "release.angle": np.radians([-60.0, 20.0, 80.0, 130.0]),
        "trough.friction": [0.0, 0.9],
        "projectile.mass": [0.0, 12.0, 90.0],
    }
    grid = sweeping._rows(values, True)
    table, faults = moving_table(machine, grid)
    return table[[fault is None for fault in faults]]


def assert_rows_agree(code, table, lanes, single, limit: float) -> None:
    """Hold rows of the lanes to those of single throws: `limit` is relative to the machine."""
    (found, landed), (truth, landing) = lanes, single
    at = MOVING_INDEX
    assert found[:, code.R_OUTCOME].tolist() == truth[:, code.R_OUTCOME].tolist()
    assert found[:, code.R_ENDED].tolist() == truth[:, code.R_ENDED].tolist()
    size = table[:, at["arm.long"]] + table[:, at["sling.length"]]
    gravity = table[:, at["site.gravity"]]
    scales = {
        code.R_TIME: np.sqrt(size / gravity),
        code.R_LIFT: np.sqrt(size / gravity),
        code.R_X: size,
        code.R_Y: size,
        code.R_VX: np.hypot(truth[:, code.R_VX], truth[:, code.R_VY]) + np.sqrt(size * gravity),
        code.R_VY: np.hypot(truth[:, code.R_VX], truth[:, code.R_VY]) + np.sqrt(size * gravity),
        code.R_ELEVATION: 1.0,
        code.R_LAG: 1.0,
        code.R_DROP: truth[:, code.R_SPAN],
        code.R_BALL_ENERGY: truth[:, code.R_SPAN],
        code.R_LOST: truth[:, code.R_SPAN],
        code.R_ENERGY_ERROR: 1.0,
        code.R_SPAN: truth[:, code.R_SPAN],
        code.R_BASE_X: size,
    }
    for column, scale in scales.items():
        off = np.abs(found[:, column] - truth[:, column]) / scale
        assert off.max() <= limit, (column, int(off.argmax()), off.max())
    flew = truth[:, code.R_OUTCOME] == code.RELEASED
    assert landed[~flew].tolist() == np.zeros_like(landed[~flew]).tolist()
    assert landed[flew, 6].tolist() == landing[flew, 6].tolist()
    far = np.abs(landing[flew, 1]) + np.abs(landing[flew, 5]) + size[flew]
    for column, scale in ((1, far), (2, far), (5, far), (0, landing[flew, 0] + 1.0)):
        off = np.abs(landed[flew, column] - landing[flew, column]) / scale
        # A step across the steep fall of the drag may err by many tolerances, on either side.
        assert off.max() <= 1e-6, (column, int(off.argmax()), off.max())
        assert np.quantile(off, 0.95) <= limit, column


@pytest.mark.parametrize(("hung", "wheels"), KINDS)
def test_random_rows_are_single_throws(hung: bool, wheels: bool) -> None:
    """Truth: the code for one throw."""
    table = random_rows(20 + 2 * hung + wheels, 150, hung, wheels)
    lanes, single = in_step(hung, wheels, table), one_by_one(hung, wheels, table)
    assert (single[0][:, 0] == 0).sum() > 100
    assert_rows_agree(machine_module(hung, wheels), table, lanes, single, 1e-7)


@pytest.mark.parametrize(("hung", "wheels"), KINDS)
def test_rows_that_fail_are_single_throws(hung: bool, wheels: bool) -> None:
    """Truth: the code for one throw; rows end in at least three different ways."""
    table = hard_rows(hung, wheels)
    lanes, single = in_step(hung, wheels, table), one_by_one(hung, wheels, table)
    ways = {OUTCOME[int(code)] for code in single[0][:, 0]}
    assert len(ways) >= 3, ways
    assert_rows_agree(machine_module(hung, wheels), table, lanes, single, 1e-7)


def test_a_tighter_tolerance_is_kept() -> None:
    """Truth: the code for one throw at 1e-12; at 1e-9 neither is that near to it."""
    table = random_rows(7, 60, True, False)
    fine, rough = in_step(True, False, table, 1e-12), in_step(True, False, table)
    truth = one_by_one(True, False, table, 1e-12)
    good = truth[0][:, 0] == 0

    def error(found) -> float:
        return float(np.median(np.abs(found[0][good, 4] / truth[0][good, 4] - 1.0)))

    assert error(fine) < 1e-12
    assert error(rough) > 10.0 * error(fine)


def test_energy_is_kept() -> None:
    """Truth: without friction nothing is lost: kinetic and potential energy add up to their start.

    The steps know rates only; the energies come from expressions of their own.
    """
    machine = otter_ford(**FRICTIONLESS)
    table, _ = moving_table(machine, {"sling.length": np.linspace(3.5, 5.6, 40)})
    code = machine_module(True, False)
    found, _ = in_step(True, False, table)
    assert (found[:, 0] == 0).all()
    assert np.abs(found[:, code.R_LOST]).max() == 0.0
    assert found[:, code.R_ENERGY_ERROR].max() < 1e-7


def test_no_row_depends_on_its_neighbours() -> None:
    """Truth: the same rows in another order, in other pieces and on threads, to the last bit."""
    table = np.concatenate([random_rows(3, 70, True, False), hard_rows(True, False)[::5]])
    order = np.random.default_rng(1).permutation(len(table))
    there, landed = in_step(True, False, table)
    mixed, mixed_landed = in_step(True, False, table[order])
    assert np.array_equal(mixed, there[order])
    assert np.array_equal(mixed_landed, landed[order])
    alone, alone_landed = in_step(True, False, table[:1])
    assert np.array_equal(alone, there[:1])
    assert np.array_equal(alone_landed, landed[:1])
    threads, threads_landed = np.zeros_like(there), np.zeros_like(landed)
    sweeping._in_step(True, False, table, TOLERANCE, True, threads, threads_landed)
    assert np.array_equal(threads, there)
    assert np.array_equal(threads_landed, landed)


def test_a_long_sweep_is_the_throws_of_its_rows() -> None:
    """Truth: `throw` of the machine with the row's values; a row that is no machine stays one."""
    machine = otter_ford()
    lengths = np.concatenate([np.linspace(3.2, 5.6, 69), [0.05]])
    columns = sw.sweep(machine, {"sling.length": lengths}, loads=False)
    assert columns.throws == 70 >= sweeping.IN_STEP
    assert columns["outcome"][-1] == sweeping.FAULTY
    for row in range(0, 69, 17):
        done = sw.throw(machine.change({"sling.length": float(lengths[row])}), swing_through=0.0)
        assert columns["outcome"][row] == done.outcome
        if done.outcome != "released":
            continue
        assert columns["range"][row] == pytest.approx(done.range, rel=1e-8)
        assert columns["release_speed"][row] == pytest.approx(done.release.speed, rel=1e-8)
        assert columns["landing_time"][row] == pytest.approx(done.landing.time, rel=1e-8)
        assert columns["efficiency"][row] == pytest.approx(done.efficiency, rel=1e-8)


def test_a_row_out_of_steps_is_thrown_with_more(monkeypatch) -> None:
    """Truth: the same sweep with steps enough."""
    values = {"sling.length": np.linspace(4.0, 5.5, 64)}
    whole = sw.sweep(otter_ford(), values, loads=False)
    monkeypatch.setattr(sweeping, "STEPS", 30)
    short = sw.sweep(otter_ford(), values, loads=False)
    assert (short["outcome"] == "released").all()
    assert short["range"] == pytest.approx(whole["range"], rel=1e-8)


# ---- the functions written out


@numba.njit
def _at_each(function, values):
    out = np.empty_like(values)
    for i in range(values.size):
        out[i] = function(values[i])
    return out


def test_tangent_of_the_bearings_sense() -> None:
    """Truth: the standard library's tanh."""
    values = np.concatenate([np.linspace(-25.0, 25.0, 4001), [-1e300, 1e300, 0.0, 1e-12]])
    found = _at_each(lanes_module(True, False).sense_of, values)
    assert np.abs(found - np.tanh(values)).max() < 2e-14


def test_sine_and_cosine() -> None:
    """Truth: the standard library's, for every quarter turn and its ends."""
    turned = lanes_module(True, False).turned
    quarters = np.arange(-40, 41) * (math.pi / 2)
    values = np.concatenate([np.linspace(-60.0, 60.0, 5001), quarters, quarters + 1e-9])
    both = numba.njit(lambda value: turned(value)[0] + 2.0 * turned(value)[1])
    found = _at_each(both, values)
    assert np.abs(found - (np.sin(values) + 2.0 * np.cos(values))).max() < 2e-15


def test_logarithm_and_exponential() -> None:
    """Truth: the standard library's, over all Reynolds numbers a flight may meet and beyond."""
    flights = flights_module()
    values = np.concatenate([10.0 ** np.linspace(-6, 7, 3001), [1.0, math.sqrt(0.5), 0.5, 2.0]])
    logs = _at_each(flights.log_of, values)
    assert np.abs(logs - np.log(values)).max() < 4e-15
    powers = np.linspace(-600.0, 600.0, 4001)
    assert np.abs(_at_each(flights.exp_of, powers) / np.exp(powers) - 1.0).max() < 4e-15

"""Many throws at once: every row is the throw it stands for, wherever it is worked out.

Truth: single throws of the same machines, number by number; the count of rows asked for.
"""

from __future__ import annotations

import logging
import math
import multiprocessing
import os
import signal
from concurrent.futures import (
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    ProcessPoolExecutor,
    ThreadPoolExecutor,
)

import numpy as np
import pytest
from outside.machines import otter_ford

import slingwright as sw
from slingwright.motion import sweeping
from slingwright.motion.source.code import machine_module

LENGTHS = np.linspace(4.2, 5.6, 4)
ANGLES = np.radians([15.0, 30.0, 60.0])
SOME = {"sling.length": LENGTHS, "release.angle": ANGLES}


def assert_same(one, other) -> None:
    """Hold two sweeps to be the same to the last bit."""
    assert list(one) == list(other)
    for name in one:
        if one[name].dtype.kind == "f":
            assert np.array_equal(one[name], other[name], equal_nan=True), name
        else:
            assert one[name].tolist() == other[name].tolist(), name


@pytest.mark.parametrize(
    ("hung", "wheels"), [(True, False), (False, False), (True, True), (False, True)]
)
def test_rows_are_single_throws(hung: bool, wheels: bool) -> None:
    """Truth: `throw` of the machine with the row's values."""
    machine = otter_ford(hung=hung, wheels=wheels)
    columns = sw.sweep(machine, SOME)
    assert columns.throws == 12
    assert columns["sling.length"].tolist() == np.repeat(LENGTHS, 3).tolist()
    assert columns["release.angle"].tolist() == np.tile(ANGLES, 4).tolist()
    for row in range(columns.throws):
        done = sw.throw(machine.change({path: float(columns[path][row]) for path in SOME}))
        assert columns["outcome"][row] == done.outcome
        assert columns["energy_error"][row] == pytest.approx(done.energy_error, abs=1e-9)
        if done.outcome != "released":
            assert np.isnan(columns["range"][row])
            continue
        told = {
            "range": done.range,
            "release_time": done.release.time,
            "release_speed": done.release.speed,
            "release_elevation": done.release.elevation,
            "release_x": done.release.x,
            "release_y": done.release.y,
            "landing_time": done.landing.time,
            "landing_speed": done.landing.speed,
            "landing_angle": done.landing.angle,
            "apex": done.landing.apex,
            "efficiency": done.efficiency,
        }
        for name, value in told.items():
            assert columns[name][row] == pytest.approx(value, rel=1e-12), name
        assert columns["peak_axle_load"][row] == pytest.approx(done.peak_axle_load, rel=1e-6)
        assert columns["peak_axle_time"][row] == pytest.approx(done.peak_axle_time, abs=0.02)


def test_lists_are_taken_side_by_side() -> None:
    """Truth: the diagonal of the grid."""
    machine = otter_ford()
    listed = sw.sweep(machine, {"sling.length": LENGTHS[:3], "release.angle": ANGLES}, grid=False)
    whole = sw.sweep(machine, {"sling.length": LENGTHS[:3], "release.angle": ANGLES})
    assert listed.throws == 3
    assert listed["range"].tolist() == whole["range"][[0, 4, 8]].tolist()


def test_no_row_is_dropped() -> None:
    """Truth: the rows asked for: thrown, failed, and no machine at all, each with its reason."""
    masses = [1400.0, 40.0, -1.0, math.nan, 1e9, 900.0]
    columns = sw.sweep(otter_ford(), {"counterweight.mass": masses})
    assert columns["outcome"].tolist() == [
        "released",
        "never left the trough",
        "not a machine",
        "not a machine",
        "not a machine",
        "released",
    ]
    good = columns["outcome"] == "released"
    for name in ("range", "release_speed", "landing_angle", "efficiency"):
        assert (np.isfinite(columns[name]) == good).all(), name
    faulty = columns["outcome"] == sweeping.FAULTY
    assert [bool(text) for text in columns["fault"]] == faulty.tolist()
    assert all("counterweight.mass" in text for text in columns["fault"][faulty])
    assert np.isnan(columns["peak_axle_load"][faulty]).all()
    assert np.isfinite(columns["peak_axle_load"][~faulty]).all()


def test_faults_between_dials_stand_in_their_rows() -> None:
    """Truth: a sling too short to reach the trough is no machine, at whatever row it comes."""
    columns = sw.sweep(otter_ford(), {"sling.length": [0.05, 5.0], "site.wind": [0.0, 1.0]})
    assert columns["outcome"].tolist() == ["not a machine"] * 2 + ["released"] * 2
    assert "sling.length" in columns["fault"][0]


def test_flags_and_texts_with_units_are_read() -> None:
    """Truth: the same throws one by one; 16 ft is 4.8768 m."""
    machine = otter_ford(hung=True)
    columns = sw.sweep(
        machine, {"base.wheels": [False, True], "sling.length": ["16 ft", "4.8768 m"]}
    )
    assert columns["sling.length"].tolist() == [4.8768] * 4
    for row in (0, 2):
        done = sw.throw(machine.change({"base.wheels": bool(row), "sling.length": 4.8768}))
        assert columns["range"][row] == columns["range"][row + 1]
        assert columns["range"][row] == pytest.approx(done.range, rel=1e-12)


def test_without_loads_is_the_same_but_for_the_loads() -> None:
    """Truth: the sweep with them."""
    machine = otter_ford()
    bare, full = sw.sweep(machine, SOME, loads=False), sw.sweep(machine, SOME)
    assert set(full) - set(bare) == {"peak_axle_load", "peak_axle_time"}
    assert bare["range"].tolist() == full["range"].tolist()


REFUSED = [
    ({}, {}, ValueError, "nothing to vary"),
    ({"sling.length": []}, {}, ValueError, "no values"),
    ({"sling.lenght": [4.0]}, {}, sw.MachineError, "did you mean sling.length"),
    ({"sling.length": ["4 kg"]}, {}, sw.MachineError, "a length"),
    ({"sling.length": [4.0, 5.0], "site.wind": [1.0]}, {"grid": False}, ValueError, "length"),
    ({"sling.length": [4.0]}, {"tolerance": 1.0}, ValueError, "1e-13 to 1e-3"),
]


@pytest.mark.parametrize(("values", "how", "error", "words"), REFUSED)
def test_what_cannot_be_swept_is_refused(values, how, error, words) -> None:
    """Truth: the messages name the thing and the next step."""
    with pytest.raises(error, match=words):
        sw.sweep(otter_ford(), values, **how)


def test_columns_name_the_nearest() -> None:
    """Truth: a misspelt column is told with its neighbour."""
    columns = sw.sweep(otter_ford(), {"site.wind": [0.0]}, loads=False)
    with pytest.raises(KeyError, match="did you mean release_speed"):
        columns["release_sped"]
    assert len(columns) == len(list(columns))
    assert "1 throws" in repr(columns)


# ---- elsewhere


def test_any_executor_gives_the_same() -> None:
    """Truth: the sweep on numba's own threads, to the last bit."""
    machine = otter_ford()
    values = {"sling.length": np.linspace(3.5, 5.6, 25), "counterweight.mass": [900.0, 40.0, -1.0]}
    here = sw.sweep(machine, values)
    with ThreadPoolExecutor(2) as threads:
        assert_same(sw.sweep(machine, values, executor=threads), here)


@pytest.mark.slow
def test_processes_give_the_same() -> None:
    """Truth: the sweep on numba's own threads, to the last bit."""
    machine = otter_ford()
    values = {"sling.length": np.linspace(3.5, 5.6, 25), "base.wheels": [True, False]}
    here = sw.sweep(machine, values)
    fresh = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(2, mp_context=fresh) as processes:
        assert_same(sw.sweep(machine, values, executor=processes), here)


@pytest.mark.slow
@pytest.mark.filterwarnings("default")
def test_a_worker_killed_half_way_loses_no_row(tmp_path) -> None:
    """Truth: the ensemble on numba's own threads, to the last bit, every copy once; one of two
    workers of a cluster is killed as the first pieces come back."""
    distributed = pytest.importorskip("distributed", reason="the dask extra is not installed")
    machine = otter_ford()
    here = sw.scatter(machine, n=600)
    killed: list[int] = []
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, dashboard_address=None,
            local_directory=str(tmp_path), processes=True, silence_logs=logging.CRITICAL,
        ) as cluster,
        distributed.Client(cluster) as client,
    ):  # fmt: skip

        def kill_one(done: int, count: int) -> None:
            if not killed:
                killed.append(next(iter(client.run(os.getpid).values())))
                os.kill(killed[0], signal.SIGKILL)

        there = sw.sweep(
            machine, here.draws, grid=False, executor=client.get_executor(), progress=kill_one
        )
        assert len(killed) == 1 and killed[0] not in client.run(os.getpid).values()
    assert_same(there, here.columns)


class Handed(Executor):
    """Does the work at once, and spoils what comes of it as a test tells it to."""

    def __init__(self, *spoiled: Exception | None) -> None:
        self.spoiled, self.pieces = list(spoiled), 0

    def submit(self, fn, /, *args, **kwargs) -> Future:
        self.pieces += 1
        future: Future = Future()
        error = self.spoiled.pop(0) if self.spoiled else None
        if error is None:
            future.set_result(fn(*args, **kwargs))
        else:
            future.set_exception(error)
        return future


def test_pieces_that_are_lost_go_again() -> None:
    """Truth: the sweep here; what goes again is the lost piece and nothing else."""
    machine, values = otter_ford(), {"sling.length": np.linspace(3.5, 5.6, 80)}
    lossy = Handed(None, ConnectionResetError("gone"), CancelledError())
    assert_same(sw.sweep(machine, values, executor=lossy), sw.sweep(machine, values))
    assert lossy.pieces == 5 + 2


@pytest.mark.parametrize(
    ("spoiled", "words"),
    [
        ([ConnectionError("gone")] * 99, r"rows \d+ to \d+ .* lost 3 times on the way"),
        ([None, ValueError("no room")], r"rows 16 to 31 .* ValueError: no room. Nothing"),
        ([BrokenExecutor("all died")], r"rows 0 to 15 .* workers ended .* Make a new executor"),
    ],
)
def test_what_an_executor_does_not_do_is_named(spoiled, words) -> None:
    """Truth: the rows that were in the piece."""
    values = {"sling.length": np.linspace(3.5, 5.6, 80)}
    with pytest.raises(sw.ElsewhereError, match=words):
        sw.sweep(otter_ford(), values, executor=Handed(*spoiled))


def test_an_executor_that_is_shut_is_named() -> None:
    """Truth: concurrent.futures refuses it."""
    with ThreadPoolExecutor(1) as shut:
        pass
    with pytest.raises(sw.ElsewhereError, match=r"rows 0 to 15 .* after shutdown"):
        sw.sweep(otter_ford(), {"sling.length": np.linspace(3.5, 5.6, 20)}, executor=shut)


def test_learning_search_and_ensembles_use_the_executor_around() -> None:
    """Truth: the same answers without it; the executor was given pieces, and none outside."""
    machine = otter_ford()
    bounds = [sw.Bound(path="sling.length", low=4.0, high=5.5)]
    shots = [sw.field_shot(str(far), range=far) for far in (118.0, 121.0)]

    def learned() -> list[float]:
        return [float(v) for v in sw.learn(machine, shots).fit.estimate]

    for work in (
        lambda: sw.scatter(machine, n=40)["range"].tolist(),
        lambda: sw.search(machine, bounds, generations=2).values["sling.length"],
        learned,
    ):
        pool = Handed()
        with sw.throws_on(pool):
            there = work()
        used = pool.pieces
        assert used > 1 and there == work() and pool.pieces == used


def test_two_threads_may_sweep_at_once() -> None:
    """Truth: the same sweeps one after the other."""
    machine = otter_ford()
    alone = sw.sweep(machine, SOME)
    with ThreadPoolExecutor(4) as threads:
        found = [threads.submit(sw.sweep, machine, SOME) for _ in range(4)]
        for one in found:
            assert_same(one.result(), alone)


def test_progress_counts_to_the_end(capsys) -> None:
    """Truth: the number of sound rows, rising; a line on standard error where asked for."""
    machine = otter_ford()
    told: list[tuple[int, int]] = []
    values = {"sling.length": np.linspace(4.0, 5.5, 90), "site.wind": np.linspace(-5, 5, 100)}
    sw.sweep(machine, values, loads=False, progress=lambda done, count: told.append((done, count)))
    assert told[-1] == (9000, 9000)
    assert [done for done, _ in told] == sorted({done for done, _ in told})
    assert len(told) == math.ceil(9000 / sweeping.CHUNK)
    assert capsys.readouterr().err == ""
    sw.sweep(machine, SOME, loads=False, progress=True)
    assert capsys.readouterr().err.endswith("12 of 12 throws\n")


def test_sweep_is_the_same_every_time() -> None:
    """Truth: itself, again; threads share rows in no fixed order."""
    machine = otter_ford()
    values = {"sling.length": np.linspace(3.5, 5.6, 40), "release.angle": ANGLES}
    first = sw.sweep(machine, values)
    assert_same(sw.sweep(machine, values), first)
    assert (first["outcome"] == "released").any()


def test_result_size_is_that_of_the_compiled_code() -> None:
    """Truth: the compiled module's own count."""
    for hung in (True, False):
        assert machine_module(hung, False).RESULTS == sweeping.RESULTS

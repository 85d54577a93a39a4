"""Many throws: any dials, grids or lists, on all cores here or through any executor."""

import itertools
import math
import os
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from typing import Any

import numpy as np

from slingwright.amounts import units
from slingwright.amounts.answer import Answer, Cell, Row, Table, short
from slingwright.amounts.figures import NOTHING
from slingwright.amounts.text import Amount, joined, text
from slingwright.machine.machine import Machine, MachineError, moving_table, read_value
from slingwright.machine.table import dials
from slingwright.motion.account import projectile_share
from slingwright.motion.elsewhere import executor_of_block, in_pieces
from slingwright.motion.ends.outcomes import OUTCOME
from slingwright.motion.loosely import emptied, goes_on
from slingwright.motion.source import code as codegen
from slingwright.motion.throwing import MOST_STEPS, checked_tolerance

FAULTY = "not a machine"
"""Outcome of a row whose dials make no machine; the column `fault` says why."""

CHUNK = 4096
STEPS = 1500
LEAST_ROWS = 16
"""Rows that are worth sending to an executor."""
PIECE = 256
"""Rows that a thread takes at a time at most, and where throws go in step."""
IN_STEP = 64
"""Rows from which on throws without loads go in step: fewer are not worth compiling for."""

Progress = Callable[[int, int], None]

LOOSE_STEPS = 20_000
RESULTS = 31
"""How many numbers the compiled throw leaves; held to recording.py by a test."""

NUMBERS = (
    "range", "release_time", "release_speed", "release_elevation", "release_x", "release_y",
    "landing_time", "landing_speed", "landing_angle", "apex", "efficiency",
    "peak_axle_load", "peak_axle_time", "energy_error",
)  # fmt: skip


class Columns(Mapping[str, np.ndarray], Answer):
    """A sweep's result: name -> array, one row a throw; the varied dials first, in SI.

    A row that did not land has NaN in its numbers and its reason in `outcome`; a row whose dials
    make no machine has the outcome "not a machine" and the faults in words in `fault`.
    """

    def __init__(self, columns: Mapping[str, np.ndarray]) -> None:
        self._columns = dict(columns)

    def __getitem__(self, name: str) -> np.ndarray:
        try:
            return self._columns[name]
        except KeyError:
            hint = dials.nearest(name, tuple(self._columns))
            known = ", ".join(self._columns)
            ask = f"did you mean {hint}?" if hint else f"there are {known}"
            raise KeyError(f"{name}: no such column; {ask}") from None

    def __iter__(self) -> Iterator[str]:
        return iter(self._columns)

    def __len__(self) -> int:
        return len(self._columns)

    @property
    def throws(self) -> int:
        """Number of throws."""
        return int(self._columns["outcome"].size)

    @property
    def varied(self) -> tuple[str, ...]:
        """Paths of the dials that were varied."""
        return tuple(name for name in self._columns if name in dials.BY_PATH)

    @property
    def sentence(self) -> str:
        """How many throws there are, and how many of them were released."""
        released = int(np.sum(self._columns["outcome"] == OUTCOME[0]))
        over = f" over {', '.join(self.varied)}" if self.varied else ""
        return f"{self.throws} throws{over}; {released} released."

    def rows(self) -> Iterator[Row]:
        """Give a row a throw: what was set, how far it went, how it ended."""
        for i in range(self.throws):
            parts = [
                text(f"{path} ", cell_of(path, self[path][i]) or NOTHING) for path in self.varied
            ]
            far = float(self["range"][i]) if "range" in self else math.nan
            value = Amount(far, "m") if math.isfinite(far) else None
            why = self["fault"][i] or self["outcome"][i]
            yield Row(str(i), joined(parts, ", "), value, str(why))

    def table(self, system: units.System = "metric") -> Table:
        """Give every column that has something in it, a row a throw; units stand in the cells."""
        names = tuple(name for name in self if name != "fault" or any(self["fault"]))
        lines = tuple(
            tuple(cell_of(name, self[name][i]) for name in names) for i in range(self.throws)
        )
        return Table(head=names, lines=lines, caption=self.sentence, system=system)

    def __repr__(self) -> str:
        return short(f"<Columns: {self.throws} throws, {', '.join(self._columns)}>")


UNITS: Mapping[str, str] = {
    "range": "m",
    "release_time": "s",
    "release_speed": "m/s",
    "release_elevation": "rad",
    "release_x": "m",
    "release_y": "m",
    "landing_time": "s",
    "landing_speed": "m/s",
    "landing_angle": "rad",
    "apex": "m",
    "efficiency": "share",
    "peak_axle_load": "N",
    "peak_axle_time": "s",
}  # fmt: skip
"""Unit of each column of numbers that has one."""


def column_unit(name: str) -> str:
    """Give the SI unit of a sweep's column, "-" where it has none."""
    row = dials.BY_PATH.get(name)
    return row.si_unit if row is not None else UNITS.get(name, "-")


def cell_of(name: str, value: Any) -> Cell:
    """Give one place of a column as a cell: an amount, words, or nothing for what is no number."""
    if isinstance(value, bool | np.bool_):
        return "true" if value else "false"
    if isinstance(value, str) or value is None:
        return str(value)
    number, unit = float(value), column_unit(name)
    return Amount(number, unit, 3 if unit == "share" else 4) if math.isfinite(number) else None


def sweep(
    machine: Machine,
    values: Mapping[str, Sequence[Any] | np.ndarray],
    *,
    executor: Executor | None = None,
    grid: bool = True,
    loads: bool = True,
    swing_through: float = 5.0,
    tolerance: float = 1e-9,
    progress: Progress | bool | None = None,
) -> Columns:
    """Throw a machine at every value of some dials.

    Args:
        machine: what is not varied is as it is there.
        values: path -> values in SI, or texts with units.
        executor: where the throws run; None means that of the block of `throws_on` around, or all
            cores here through plain threads.  Any `concurrent.futures` executor will do.
        grid: every combination of the values; False takes them side by side, row by row.
        loads: also the peak axle load, over the throw and `swing_through` seconds after release.
            Without them long sweeps go several times faster, many throws in step, and give the
            same numbers to within the tolerance.
        swing_through: [s].
        tolerance: relative error allowed in a step.
        progress: called with (done, all); True writes a line to standard error; None does so for
            long sweeps on a terminal.

    Raises:
        MachineError: a path that is no dial, or a value that cannot be read.
        ValueError: no values, or lists of different length with grid=False.
        ElsewhereError: the executor failed at some rows or lost them; it names them.
    """
    tolerance = checked_tolerance(tolerance)
    varied = _rows(values, grid)
    count = len(next(iter(varied.values())))
    table, faults = moving_table(machine, varied)
    good = np.array([fault is None for fault in faults])
    results, landings = np.zeros((count, RESULTS)), np.zeros((count, 8))
    swing = float(swing_through) if loads else 0.0
    in_step = not loads and count >= IN_STEP
    report = _progress(progress, count)
    jobs = _jobs(table, good)
    if executor is None and count >= LEAST_ROWS:
        executor = executor_of_block()
    asked = (tolerance, swing, loads, in_step)
    threads = executor is None
    pieces = (
        (rows, (hung, wheels, table[rows], *asked, threads))
        for hung, wheels, rows in (jobs if executor is None else _smaller(jobs, count))
    )
    done = 0
    for rows, (found, landed) in (
        ((rows, _run(*arguments)) for rows, arguments in pieces)
        if executor is None
        else in_pieces(executor, _run, pieces, _row_words)
    ):
        results[rows], landings[rows] = found, landed
        done += rows.size
        report(done, count)
    return Columns({**varied, **_columns(table, results, landings, faults, loads)})


def _rows(values: Mapping[str, Sequence[Any] | np.ndarray], grid: bool) -> dict[str, np.ndarray]:
    if not values:
        raise ValueError("nothing to vary; give at least one dial and its values")
    read = {path: _read(path, column) for path, column in values.items()}
    empty = [path for path, column in read.items() if column.size == 0]
    if empty:
        raise ValueError(f"{', '.join(empty)}: no values; give at least one")
    if grid:
        places = np.indices([column.size for column in read.values()])
        return {path: column[places[i].ravel()] for i, (path, column) in enumerate(read.items())}
    sizes = {path: int(column.size) for path, column in read.items()}
    if len(set(sizes.values())) > 1:
        raise ValueError(f"lists of different length {sizes}; cut them, or use grid=True")
    return read


def _read(path: str, column: Sequence[Any] | np.ndarray) -> np.ndarray:
    try:
        dial = dials.dial(path)
    except dials.UnknownDial as error:
        from slingwright.machine.faults import unknown_dial

        raise MachineError([unknown_dial(path)]) from error
    array = np.atleast_1d(np.asarray(column))
    if array.dtype.kind in "OUS" and dial.kind == "number":
        found, faults = [], []
        for raw in array.tolist():
            value, fault = read_value(dial, raw)
            found.append(value)
            if fault is not None:
                faults.append(fault)
        if faults:
            raise MachineError(faults)
        return np.array(found, dtype=float)
    if dial.kind == "number":
        return array.astype(float)
    return array


def _jobs(table: np.ndarray, good: np.ndarray) -> list[tuple[bool, bool, np.ndarray]]:
    hung = table[:, dials.MOVING_INDEX["counterweight.hung"]] != 0.0
    wheels = table[:, dials.MOVING_INDEX["base.wheels"]] != 0.0
    found = []
    for is_hung, on_wheels in itertools.product((True, False), (False, True)):
        rows = np.flatnonzero(good & (hung == is_hung) & (wheels == on_wheels))
        found += [
            (is_hung, on_wheels, rows[start : start + CHUNK])
            for start in range(0, rows.size, CHUNK)
        ]
    return found


def _smaller(
    jobs: list[tuple[bool, bool, np.ndarray]], count: int
) -> Iterator[tuple[bool, bool, np.ndarray]]:
    """Pieces for an executor: enough of them to share, not so many that sending them costs."""
    size = max(LEAST_ROWS, min(CHUNK // 4, -(-count // (8 * (os.cpu_count() or 1)))))
    for hung, wheels, rows in jobs:
        for start in range(0, rows.size, size):
            yield hung, wheels, rows[start : start + size]


def _row_words(rows: np.ndarray) -> str:
    return f"rows {rows[0]} to {rows[-1]} of the sweep ({rows.size} of them)"


def _run(
    hung: bool,
    wheels: bool,
    table: np.ndarray,
    tolerance: float,
    swing: float,
    loads: bool,
    in_step: bool,
    threads: bool,
) -> tuple[np.ndarray, np.ndarray]:
    """Throw each row of dials; runs in this process or in an executor's."""
    code = codegen.machine_module(hung, wheels)
    results, landings = np.zeros((len(table), code.RESULTS)), np.zeros((len(table), 8))
    table = np.ascontiguousarray(table)
    if in_step:
        _in_step(hung, wheels, table, tolerance, threads, results, landings)
    else:

        def throw_piece(rows: slice) -> None:
            code.few(
                table[rows], tolerance, swing, float(STEPS), loads, results[rows], landings[rows]
            )

        shared(throw_piece, len(table), threads)
    for row in np.flatnonzero(results[:, code.R_ENDED] == code.OUT_OF_STEPS):
        one = slice(row, row + 1)
        results[one], landings[one] = 0.0, 0.0
        code.few(
            table[one], tolerance, swing, float(MOST_STEPS), loads, results[one], landings[one]
        )
    if loads:
        _go_on(hung, wheels, table, results, tolerance, swing, threads)
    return results, landings


def _in_step(
    hung: bool,
    wheels: bool,
    table: np.ndarray,
    tolerance: float,
    threads: bool,
    results: np.ndarray,
    landings: np.ndarray,
) -> None:
    """Throw each row of dials to its landing, many in step in the processor's vector registers."""
    code, lanes = codegen.machine_module(hung, wheels), codegen.lanes_module(hung, wheels)
    flights, width, steps = codegen.flights_module(), codegen.LANES, float(STEPS)

    def throw_piece(rows: slice) -> None:
        dials_of = table[rows]
        count = len(dials_of)
        afoot, queue = np.zeros((count, code.TABLE)), np.empty(count, dtype=np.int64)
        waiting = code.start_rows(dials_of, tolerance, steps, afoot, queue)
        lanes.run_lanes(code.TROUGH, width, dials_of, tolerance, afoot, queue, waiting)
        waiting = code.lift_rows(dials_of, tolerance, steps, afoot, queue)
        lanes.run_lanes(code.FREE, width, dials_of, tolerance, afoot, queue, waiting)
        flying = code.end_rows(dials_of, tolerance, steps, afoot, results[rows], queue)
        starts = np.ascontiguousarray(results[rows, code.R_X : code.R_X + 4])
        flights.fly_in_lanes(width, dials_of, tolerance, queue, flying, starts, landings[rows])

    shared(throw_piece, len(table), threads, PIECE)


def shared(
    work: Callable[[slice], None], count: int, threads: bool, piece: int | None = None
) -> None:
    """Do so many rows in pieces, on all cores if `threads`: compiled code lets go of Python."""
    import numba

    cores = numba.get_num_threads() if threads else 1
    size = piece or min(PIECE, -(-count // (8 * cores)))
    pieces = [slice(at, at + size) for at in range(0, count, size)]
    if cores == 1 or len(pieces) == 1:
        for rows in pieces:
            work(rows)
        return
    with ThreadPoolExecutor(cores) as pool:
        for _ in pool.map(work, pieces):
            pass


def _go_on(
    hung: bool,
    wheels: bool,
    table: np.ndarray,
    results: np.ndarray,
    tolerance: float,
    swing: float,
    threads: bool,
) -> None:
    """Go on with every row whose sling went slack: its peak may come later."""
    code = codegen.machine_module(hung, wheels)
    left = results[:, code.R_TIME] + swing - results[:, code.R_SWING_END]
    rows = np.flatnonzero(goes_on(code, results) & (left > 0.0))
    if not rows.size:
        return
    going = emptied(table[rows])
    loose, found = codegen.machine_module(hung, wheels, True), results[rows]

    def go_on_piece(some: slice) -> None:
        loose.few(going[some], left[some], tolerance, float(LOOSE_STEPS), found[some])

    left = left[rows]
    shared(go_on_piece, rows.size, threads)
    results[rows] = found


def _columns(
    table: np.ndarray,
    results: np.ndarray,
    landings: np.ndarray,
    faults: list[str | None],
    loads: bool,
) -> dict[str, np.ndarray]:
    faulty = np.array([fault is not None for fault in faults])
    names = np.array([*(OUTCOME[i] for i in range(len(OUTCOME))), FAULTY])
    codes = np.where(faulty, len(OUTCOME), results[:, 0].astype(int))
    released = ~faulty & (results[:, 0] == 0.0)
    flew = released & (table[:, dials.MOVING_INDEX["projectile.mass"]] > 0.0)
    landed = flew & (landings[:, 6] == 0.0)

    def only(where: np.ndarray, column: np.ndarray) -> np.ndarray:
        return np.where(where, column, np.nan)

    with np.errstate(all="ignore"):
        efficiency = projectile_share(table, results[:, 10])
    numbers = {
        "range": only(landed, landings[:, 1]),
        "release_time": only(released, results[:, 1]),
        "release_speed": only(released, np.hypot(results[:, 4], results[:, 5])),
        "release_elevation": only(released, np.arctan2(results[:, 5], results[:, 4])),
        "release_x": only(released, results[:, 2]),
        "release_y": only(released, results[:, 3]),
        "landing_time": only(landed, results[:, 1] + landings[:, 0]),
        "landing_speed": only(landed, np.hypot(landings[:, 3], landings[:, 4])),
        "landing_angle": only(landed, np.arctan2(-landings[:, 4], np.abs(landings[:, 3]))),
        "apex": only(landed, landings[:, 5]),
        "efficiency": only(flew, efficiency),
        "energy_error": only(~faulty, results[:, 11]),
    }
    if loads:
        numbers["peak_axle_load"] = only(~faulty, results[:, 16])
        numbers["peak_axle_time"] = only(~faulty, results[:, 17])
    return {
        "outcome": names[codes],
        **{name: numbers[name] for name in NUMBERS if name in numbers},
        "fault": np.array([fault or "" for fault in faults], dtype=object),
    }


def _progress(progress: Progress | bool | None, count: int) -> Progress:
    if callable(progress):
        return progress
    if progress or (progress is None and count >= 5 * CHUNK and sys.stderr.isatty()):
        return _write_progress
    return lambda done, all_: None


def _write_progress(done: int, count: int) -> None:
    end = "\n" if done >= count else ""
    print(f"\r{done:,} of {count:,} throws", end=end, file=sys.stderr, flush=True)

"""Joins equations, step and stepping into one module text, keeps it on disk and imports it.

The text is written to the user's cache folder under a name made from the hash of everything it
depends on, and imported by that name, so that numba's own disk cache works.  Making the text needs
sympy; finding it again does not, so a later process starts without it.
"""

import functools
import hashlib
import importlib.util
import os
import sys
import tempfile
import threading
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path
from types import ModuleType

from slingwright.machine.table import dials
from slingwright.motion.source import step as stepsource

HERE = Path(__file__).parents[1]
_LOCK = threading.RLock()
"""Held while a module is made: a second thread must not find it half imported."""
CUT = "# " + "-" * 98

_HEADER = '''"""{title}

Written by slingwright from its derivation; do not edit: a change is lost, and the name is the hash
of the sources it was made from.
"""

import math

import numpy as np
from numba import njit

inlined = njit(nogil=True, error_model="numpy", forceinline=True)
compiled = njit(nogil=True, error_model="numpy")
# For compiled callers alone: without the face towards Python, whose making takes a second in all.
inner = njit(nogil=True, error_model="numpy", no_cpython_wrapper=True, no_cfunc_wrapper=True)
entry = njit(nogil=True, error_model="numpy", cache=True)
'''

_IN_LANES = """# Loops over lanes multiply and add in one rounding: the last place is not held to.
in_lanes = njit(
    nogil=True, error_model="numpy", no_cpython_wrapper=True, no_cfunc_wrapper=True,
    fastmath={"contract"},
)
"""


def cache_folder() -> Path:
    """Folder for generated modules: SLINGWRIGHT_CACHE, else the user's cache folder."""
    named = os.environ.get("SLINGWRIGHT_CACHE")
    if named:
        return Path(named)
    import platformdirs

    return Path(platformdirs.user_cache_dir("slingwright", appauthor=False))


@functools.cache
def source_key(*extra: str) -> str:
    """Hash of all that a generated text depends on: derivation, stepping, dials and versions.

    Worked out once: modules of one process belong together, whatever changes meanwhile.
    """
    digest = hashlib.sha256()
    sources = [
        *sorted((HERE.parent / "derivation").glob("*.py")),
        *sorted((HERE / "joined").glob("*.py")),
        Path(__file__),
        Path(stepsource.__file__),
        Path(dials.__file__),
    ]
    for path in sources:
        digest.update(path.read_bytes())
    for package in ("sympy", "numba", "numpy", "scipy"):
        digest.update(f"{package} {version(package)}".encode())
    digest.update(sys.version.encode())
    for text in extra:
        digest.update(text.encode())
    return digest.hexdigest()[:16]


def _below(name: str) -> str:
    """What stands below the line in one of the joined files."""
    text = (HERE / "joined" / f"{name}.py").read_text(encoding="utf-8")
    return text.split(CUT, 1)[1].lstrip("\n")


def _places_of_dials() -> str:
    places = [
        f"P_{path.replace('.', '_').upper()} = {place}"
        for path, place in dials.MOVING_INDEX.items()
    ]
    return "\n".join([*places, f"P_COUNT = {len(places)}"])


def _joined(title: str, *parts: str) -> str:
    return "\n\n".join([_HEADER.format(title=title), *parts])


def flight_text() -> str:
    """Source of the flight's module."""
    step = stepsource.step_source(4)
    return _joined("Flight of the projectile.", _places_of_dials(), step, _below("airborne"))


def machine_text(hung: bool, wheels: bool, loose: bool, flight_module: str) -> str:
    """Source of one machine kind's module, on a taut sling or past that."""
    from slingwright.derivation.notation import Kind
    from slingwright.derivation.source import write

    kind = Kind(hung=hung, wheels=wheels, loose=loose)
    size = 2 * len(kind.names) + 1
    own = ("loose",) if loose else ("kernel", "recording", "rows")
    return _joined(
        f"Equations and throw of a machine: {kind.title}.",
        f"from {flight_module} import fly\n",
        _places_of_dials(),
        _below("trig"),
        write(kind),
        stepsource.step_source(size),
        *map(_below, ("bearings", "stages", "sampling", *own)),
    )


LANES = 16
"""Throws in step: as many numbers as the widest vector registers hold."""


def lanes_text(hung: bool, wheels: bool, machine_module: str) -> str:
    """Source of the module that runs many throws of one machine kind in step."""
    from slingwright.derivation.lanes import write_lanes
    from slingwright.derivation.notation import Kind

    kind = Kind(hung=hung, wheels=wheels)
    return _joined(
        f"Throws in step: {kind.title}.",
        *_in_step(machine_module, "lanes"),
        write_lanes(kind),
        stepsource.lane_step_source(2 * len(kind.names) + 1),
    )


def flights_text(flight_module: str) -> str:
    """Source of the module that runs many flights in step."""
    parts = _in_step(flight_module, "flights")
    return _joined("Flights in step.", *parts, stepsource.lane_step_source(4))


def _in_step(module: str, name: str) -> tuple[str, ...]:
    start = f"from {module} import *\n"
    return _IN_LANES, start, f"LANES = {LANES}\n", _below("instep"), _below(name)


def _write_once(path: Path, text: str) -> None:
    """Write under a temporary name and rename, so that two processes may race for it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(dir=path.parent, suffix=".part")
    with os.fdopen(handle, "w", encoding="utf-8") as out:
        out.write(text)
    os.replace(temporary, path)


def _import(name: str, path: Path) -> ModuleType:
    if name in sys.modules:
        return sys.modules[name]
    spec = importlib.util.spec_from_file_location(name, path)
    if spec is None or spec.loader is None:
        raise ImportError(f"{path}: cannot be imported; delete it and try again")
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    try:
        spec.loader.exec_module(module)
    except BaseException:
        del sys.modules[name]
        raise
    return module


def _made(title: str, key: tuple[str, ...], text: Callable[..., str], *about: object) -> ModuleType:
    """Give the module of a text, which is written first if it is not there."""
    name = f"slingwright_{title}_{source_key(*key)}"
    path = cache_folder() / f"{name}.py"
    if name not in sys.modules and not path.exists():
        _write_once(path, text(*about))
    return _import(name, path)


def _kind(hung: bool, wheels: bool) -> str:
    return f"{'hinged' if hung else 'fixed'}_{'wheeled' if wheels else 'staked'}"


@functools.cache
def flight_module() -> ModuleType:
    """The flight's compiled module, made at first use."""
    with _LOCK:
        return _made("flight", (), flight_text)


@functools.cache
def machine_module(hung: bool, wheels: bool, loose: bool = False) -> ModuleType:
    """The compiled module of one machine kind, made at first use.

    With `loose` it is the one that goes on past the moment at which the sling would push.
    """
    with _LOCK:
        title = _kind(hung, wheels) + ("_loose" if loose else "")
        return _made(title, (title,), machine_text, hung, wheels, loose, flight_module().__name__)


@functools.cache
def flights_module() -> ModuleType:
    """The compiled module that runs many flights in step, made at first use."""
    with _LOCK:
        return _made("flights", (), flights_text, flight_module().__name__)


@functools.cache
def lanes_module(hung: bool, wheels: bool) -> ModuleType:
    """The compiled module that runs many throws of one machine kind in step, made at first use."""
    with _LOCK:
        title = f"{_kind(hung, wheels)}_lanes"
        machine = machine_module(hung, wheels).__name__
        return _made(title, (title,), lanes_text, hung, wheels, machine)


def account(hung: bool, wheels: bool) -> str:
    """What was generated for a machine kind, in words and numbers, for reading."""
    module = machine_module(hung, wheels)
    path = Path(str(module.__file__))
    lines = path.read_text(encoding="utf-8").splitlines()
    found = [line for line in lines if line.startswith("def ")]
    own = [line.partition("(")[0].removeprefix("def ") for line in found]
    formulas = [line.strip() for line in lines if line.strip().startswith("K[")]
    return "\n".join(
        [
            f"module: {path.name}, {len(lines)} lines",
            f"coordinates: {module.COORDINATES}; constants: {module.CONSTANTS}",
            f"functions: {', '.join(own)}",
            "constants, worked out once a throw:",
            *(f"    {line}" for line in formulas),
        ]
    )

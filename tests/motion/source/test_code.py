"""The generated module: a real file, found again without sympy, safe when two processes race.

Truth: the files on disk and the modules each fresh process has loaded.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

import slingwright as sw
from slingwright.motion.source import code as codegen

THROW = """
import sys
import slingwright as sw
from slingwright.motion.source import code as codegen
machine = sw.read_machine(sw.data_folder() / "otter_ford.toml")
print(repr(sw.throw(machine).range))
print("sympy" in sys.modules)
module = codegen.machine_module(True, False)
print(sum(module.throw_once.stats.cache_misses.values()), module.__file__)
"""
MODULE = """
from slingwright.motion.source import code as codegen
module = codegen.machine_module(False, True)
print(module.__file__, module.COORDINATES)
"""
LOADED = """
import sys
print("sympy" in sys.modules)
"""


def start(code: str, cache: Path) -> subprocess.Popen[str]:
    """Start a fresh Python with a cache folder of its own."""
    return subprocess.Popen(
        [sys.executable, "-c", code],
        env=os.environ | {"SLINGWRIGHT_CACHE": str(cache)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def finish(process: subprocess.Popen[str]) -> list[str]:
    """Give the lines a process printed; it must end well and say nothing on standard error."""
    out, err = process.communicate(timeout=300)
    assert process.returncode == 0, err
    assert err == ""
    return out.splitlines()


def test_second_process_needs_no_sympy(tmp_path: Path) -> None:
    """Truth: what is loaded: sympy in the first process only, from the same file."""
    first, second = (finish(start(MODULE + LOADED, tmp_path)) for _ in range(2))
    assert first[0] == second[0] and Path(first[0].split()[0]).parent == tmp_path
    assert (first[1], second[1]) == ("True", "False")
    names = sorted(path.name for path in tmp_path.glob("*.py"))
    assert len(names) == 2
    assert names[0].startswith("slingwright_fixed_wheeled_")
    assert names[1].startswith("slingwright_flight_")


def test_second_process_compiles_nothing() -> None:
    """Truth: numba's own count of what it did not find on the disk; the range of this process."""
    here = sw.throw(sw.read_machine("otter_ford"))
    there = finish(start(THROW, codegen.cache_folder()))
    assert there[:2] == [repr(here.range), "False"]
    assert there[2] == f"0 {codegen.machine_module(True, False).__file__}"


@pytest.mark.slow
def test_two_processes_may_race_for_a_module(tmp_path: Path) -> None:
    """Truth: both get the module, the file is whole, nothing half-written is left."""
    racing = [start(MODULE, tmp_path) for _ in range(3)]
    told = {line for process in racing for line in finish(process)}
    assert len(told) == 1
    name, coordinates = told.pop().rsplit(" ", 1)
    assert coordinates == "3"
    text = Path(name).read_text(encoding="utf-8")
    assert text == codegen.machine_text(False, True, False, codegen.flight_module().__name__)
    assert not list(tmp_path.glob("*.part"))


THREADS = """
from concurrent.futures import ThreadPoolExecutor
from slingwright.motion.source import code as codegen
codegen.flight_text()
with ThreadPoolExecutor(8) as threads:
    found = [threads.submit(codegen.machine_module, True, False) for _ in range(8)]
    modules = {id(one.result()) for one in found}
    whole = all(hasattr(one.result(), "few") for one in found)
print(len(modules), whole)
"""


@pytest.mark.slow
def test_threads_may_race_for_a_module(tmp_path: Path) -> None:
    """Truth: eight threads of a fresh process all get the one module, whole."""
    codegen.machine_module(True, False)
    for _ in range(3):
        assert finish(start(THREADS, codegen.cache_folder())) == ["1 True"]


def test_cache_folder_is_the_named_one_or_the_users(monkeypatch, tmp_path: Path) -> None:
    """Truth: the environment variable; else platformdirs' user cache folder."""
    import platformdirs

    monkeypatch.setenv("SLINGWRIGHT_CACHE", str(tmp_path))
    assert codegen.cache_folder() == tmp_path
    monkeypatch.delenv("SLINGWRIGHT_CACHE")
    assert codegen.cache_folder() == Path(
        platformdirs.user_cache_dir("slingwright", appauthor=False)
    )


def test_key_depends_on_what_is_joined() -> None:
    """Truth: a hash: other kinds have other keys, the same kind has the same."""
    assert codegen.source_key("a") == codegen.source_key("a")
    assert codegen.source_key("a") != codegen.source_key("b")
    assert len(codegen.source_key()) == 16


def test_module_is_a_readable_file_with_its_name() -> None:
    """Truth: the file: a docstring on top, every function told, and it compiles."""
    module = codegen.machine_module(True, False)
    path = Path(module.__file__)
    text = path.read_text(encoding="utf-8")
    assert path.stem == module.__name__
    assert text.startswith('"""Equations and throw of a machine: hinged_staked.')
    assert "do not edit" in text
    compile(text, str(path), "exec")
    functions = [part for part in text.split("\ndef ")[1:]]
    assert len(functions) > 20
    assert all('"""' in part.split("\n", 4)[1] + part.split("\n", 4)[2] + part.split("\n", 4)[3]
               for part in functions)  # fmt: skip


def test_account_tells_what_was_generated() -> None:
    """Truth: the module itself."""
    for hung, wheels in ((True, False), (True, True)):
        module = codegen.machine_module(hung, wheels)
        text = codegen.account(hung, wheels)
        assert Path(module.__file__).name in text
        assert f"coordinates: {module.COORDINATES}; constants: {module.CONSTANTS}" in text
        assert "throw_once" in text and "part_forces" in text
        assert text.count("    K[") == module.CONSTANTS


def test_modules_are_made_once() -> None:
    """Truth: identity."""
    assert codegen.machine_module(True, False) is codegen.machine_module(True, False)
    assert codegen.flight_module() is codegen.flight_module()


def test_a_broken_file_is_no_module_left_behind(tmp_path: Path) -> None:
    """Truth: Python's own import rules: what failed to load stands in sys.modules no more."""
    path = tmp_path / "slingwright_broken_test.py"
    path.write_text("1 / 0\n", encoding="utf-8")
    with pytest.raises(ZeroDivisionError):
        codegen._import(path.stem, path)
    assert path.stem not in sys.modules


def test_public_names_are_found() -> None:
    """Truth: the names the package promises."""
    for name in ("throw", "sweep", "reach_curve", "held", "Columns", "Throw"):
        assert name in dir(sw)
        assert callable(getattr(sw, name))
    with pytest.raises(AttributeError, match="slingwright has no 'thorw'"):
        sw.thorw  # noqa: B018

"""Place one fault at a time in the formulas and the checks, and count what the tests let through.

    python3 run.py bench placed_faults [--places N] [--seed N] [--room ROOM] [--only TEXT]

Each fault changes one operator, factor, sign, bound, case or unit, at places drawn with a stated
seed from `formulas/`, `winch/`, `strength/`, `standing/` and `learning/`.  The module's own
examples and hand calculations run first, then the tests naming it, then the room's and those of the
outside ones that name the room, until one fails. Tests of random machines are left out: they look
for answers, not for numbers, and take long.
Changes that change nothing a person can see are listed in EQUIVALENT, each with the argument.
"""

from __future__ import annotations

import argparse
import ast
import importlib
import multiprocessing
import os
import random
import re
import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "slingwright"
ROOMS = ("formulas", "winch", "strength", "standing", "learning")
SEED = 1302
PLACES = 110
LONGEST = 900  # s that one call of pytest may take: a fault that never ends is seen
TIMED = ("test_fifty_shots_are_learned_from_in_ten_seconds", "test_whole_cycle_is_quick")
"""Tests of a clock: a busy machine would let them see faults that they do not."""
HEAVY = ("numba", "numpy", "scipy.optimize", "scipy.stats", "sympy")
"""Libraries that nearly every test imports, imported once for all faults."""
WORDS_ONLY = {"text.py", "readings.py", "__init__.py"}
"""Modules that write words alone: their tests compare sentences, not numbers."""

SWAP: dict[type, type] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.Lt: ast.Gt,
    ast.Gt: ast.Lt,
    ast.LtE: ast.GtE,
    ast.GtE: ast.LtE,
}
SIGN = {ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/"}
BOUND = {ast.Lt: "<", ast.Gt: ">", ast.LtE: "<=", ast.GtE: ">="}
OTHER = {"max": "min", "min": "max", "sin": "cos", "cos": "sin", "early": "late", "late": "early"}

_STRIDE = "a stride of a search for a root that is then closed in on: the root is the same"
_METRE = "the dials that a check hangs on are in SI, so that the factor of their unit is 1"
EQUIVALENT: dict[str, str] = {
    "formulas/arm/modes.py:_node: max -> min": "how near a place must be, a billionth of a metre",
    "formulas/winch/hauling.py:tackle_load: - -> +": (
        "ends an iteration early: without it all twelve rounds are made, to the same pull"
    ),
    "strength/frame.py:frame_units: / -> *": (
        "the stiffness in torsion, which no load in the frame's plane turns"
    ),
    "strength/frame.py:frame_units: 3.0 -> 3.0*1.5": "the same stiffness in torsion",
    "strength/parts/arm.py:_bending_capacity: 0.075 -> 0.075*1.5": (
        "any depth under 150 mm tells whether the timber's density has a size factor"
    ),
    "strength/mending/remedies.py:_number: * -> /": _METRE,
    "strength/mending/remedies.py:(module): 1.35 -> 1.35*1.5": _STRIDE,
    "winch/drums.py:heaviest_counterweights: 1.05 -> 1.05*1.5": _STRIDE,
    "winch/drums.py:heaviest_counterweights: 1e-3 -> 1e-3*1.5": _STRIDE,
    "learning/seen/release.py:_way: + -> -": (
        "the sign of a bend that is fitted along with the release and told nowhere"
    ),
}
"""Faults that no test can catch, by their key, each with the reason."""


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One change of one stretch of one line."""

    module: str
    line: int
    start: int
    end: int
    new: str
    kind: str
    function: str
    old: str

    @property
    def key(self) -> str:
        """A name that stays when lines above it come and go."""
        return f"{self.module}:{self.function}: {self.old} -> {self.new}"


def faults_of(path: Path) -> Iterator[Fault]:
    """Give every fault that can be placed in a module."""
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines()
    tree = ast.parse(text)
    module = str(path.relative_to(PACKAGE))

    def stretch(node: ast.AST) -> str:
        return ast.get_source_segment(text, node) or ""

    def fault(function: str, line: int, start: int, old: str, new: str, kind: str) -> Fault:
        return Fault(
            module=module,
            line=line,
            start=start,
            end=start + len(old),
            new=new,
            kind=kind,
            function=function,
            old=old,
        )

    def between(left: ast.AST, right: ast.AST, sign: str) -> tuple[int, int] | None:
        """Give line and column of the operator that stands between two operands."""
        if left.end_lineno != right.lineno:
            return None
        part = lines[left.end_lineno - 1].encode()[left.end_col_offset : right.col_offset].decode()
        found = re.fullmatch(rf"\)*\s*({re.escape(sign)})\s*\(*", part)
        return (left.end_lineno, left.end_col_offset + found.start(1)) if found else None

    def walk(node: ast.AST, function: str) -> Iterator[Fault]:
        if isinstance(node, ast.JoinedStr | ast.Raise | ast.Assert | ast.AnnAssign | ast.arg):
            if not (isinstance(node, ast.AnnAssign) and node.value is not None):
                return
            yield from walk(node.value, function)
            return
        if isinstance(node, ast.Call) and stretch(node.func) in ("shown", "text", "Amount"):
            return
        if isinstance(node, ast.FunctionDef):
            if node.name.startswith("__"):
                return
            for child in node.body:
                yield from walk(child, node.name)
            return
        if isinstance(node, ast.BinOp) and type(node.op) in SIGN:
            sign = SIGN[type(node.op)]
            words = any(
                isinstance(n, ast.Constant) and isinstance(n.value, str) for n in ast.walk(node)
            )
            place = None if words else between(node.left, node.right, sign)
            if place:
                new = SIGN[SWAP[type(node.op)]]
                yield fault(function, *place, sign, new, "operator")
        if isinstance(node, ast.Compare) and len(node.ops) == 1 and type(node.ops[0]) in BOUND:
            sign = BOUND[type(node.ops[0])]
            place = between(node.left, node.comparators[0], sign)
            if place:
                yield fault(function, *place, sign, BOUND[SWAP[type(node.ops[0])]], "bound")
        minus = isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub)
        if minus and not isinstance(node.operand, ast.Constant):
            yield fault(function, node.lineno, node.col_offset, "-", "+", "sign")
        if isinstance(node, ast.Constant) and isinstance(node.value, float):
            old = stretch(node)
            if node.value not in (0.0, 1.0) and abs(node.value) > 1e-7:
                yield fault(function, node.lineno, node.col_offset, old, f"{old}*1.5", "factor")
        if isinstance(node, ast.Constant) and node.value in OTHER:
            old = stretch(node)
            new = old.replace(node.value, OTHER[node.value])
            yield fault(function, node.lineno, node.col_offset, old, new, "case")
        if isinstance(node, ast.Name | ast.Attribute):
            name = node.id if isinstance(node, ast.Name) else node.attr
            if name in OTHER and node.lineno == node.end_lineno:
                start = node.end_col_offset - len(name)
                yield fault(function, node.lineno, start, name, OTHER[name], "case")
        for child in ast.iter_child_nodes(node):
            yield from walk(child, function)

    for node in tree.body:
        if isinstance(node, ast.ClassDef):
            for child in node.body:
                if isinstance(child, ast.FunctionDef):
                    yield from walk(child, f"{node.name}.{child.name}")
        elif isinstance(node, ast.FunctionDef | ast.Assign | ast.AnnAssign):
            yield from walk(node, "(module)")


def all_faults(rooms: tuple[str, ...] = ROOMS) -> list[Fault]:
    """Give every fault of the rooms, in a fixed order."""
    found: list[Fault] = []
    for room in rooms:
        for path in sorted((PACKAGE / room).rglob("*.py")):
            if path.name not in WORDS_ONLY:
                found.extend(faults_of(path))
    return sorted(found)


def drawn(places: int, seed: int, rooms: tuple[str, ...] = ROOMS) -> list[Fault]:
    """Draw faults, as many from each room as its share of all places, at least five."""
    pick = random.Random(seed)
    every = all_faults(rooms)
    chosen: list[Fault] = []
    for room in rooms:
        here = [one for one in every if one.module.startswith(f"{room}/")]
        share = max(5, round(places * len(here) / len(every)))
        chosen.extend(pick.sample(here, min(share, len(here))))
    return chosen


def place(fault: Fault, package: Path) -> str:
    """Write the fault into a copy of the package; gives the module's text as it was."""
    path = package / fault.module
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines(keepends=True)
    line = lines[fault.line - 1].encode()
    new = line[: fault.start].decode() + fault.new + line[fault.end :].decode()
    lines[fault.line - 1] = new
    path.write_text("".join(lines), encoding="utf-8")
    return text


def tests_for(fault: Fault, root: Path) -> list[list[str]]:
    """Give the calls of pytest for a fault, the most likely to see it first."""
    room = fault.module.split("/")[0]
    dotted = fault.module.removesuffix(".py").replace("/", ".")
    parent, _, stem = dotted.rpartition(".")
    names = re.compile(
        rf"slingwright\.{re.escape(dotted)}\b"
        rf"|from slingwright\.{re.escape(parent)} import [^\n]*\b{stem}\b"
        rf"|\b{re.escape(fault.function.split('.')[-1])}\("
    )
    texts = {path: path.read_text(encoding="utf-8") for path in (root / "tests").rglob("test_*.py")}
    tests = [p for p in sorted(texts) if "browser" not in p.parts and not p.stem.endswith("_fuzz")]
    first = [p for p in tests if room in p.parts and p.stem in ("test_by_hand", f"test_{stem}")]
    naming = [p for p in tests if names.search(texts[p]) and p not in first]
    outside = [p for p in tests if "outside" in p.parts and f"slingwright.{room}" in texts[p]]
    rest = [
        p for p in tests if p not in first and p not in naming and (room in p.parts or p in outside)
    ]
    own = [f"src/slingwright/{fault.module}", *map(str, first)]
    return [own, *([str(p) for p in paths] for paths in (naming, rest) if paths)]


def tested(root: Path, paths: list[str], told: Path) -> None:
    """Run tests in this process, which was forked with the heavy libraries in it; ends it."""
    os.chdir(root)
    os.environ["PYTHONPATH"] = str(root / "src")
    with told.open("w", encoding="utf-8") as file:
        os.dup2(file.fileno(), 1)
        os.dup2(file.fileno(), 2)
    options = ["-x", "-q", "-p", "no:cacheprovider", "-m", "not browser and not slow"]
    options += ["-k", " and ".join(f"not {name}" for name in TIMED)]
    sys.exit(int(pytest.main([*options, *paths])))


def caught(fault: Fault, root: Path) -> tuple[str, float]:
    """Run the tests on a placed fault: what saw it, or nothing, and the seconds it took."""
    begun = time.perf_counter()
    told = root.parent / "told.txt"
    for paths in tests_for(fault, root):
        run = multiprocessing.get_context("fork").Process(target=tested, args=(root, paths, told))
        run.start()
        run.join(LONGEST)
        if run.is_alive():
            run.kill()
            run.join()
            return "time ran out", time.perf_counter() - begun
        said = told.read_text(encoding="utf-8", errors="replace")
        if run.exitcode == 1 or run.exitcode == 2:
            seen = re.search(r"^(?:FAILED|ERROR) (\S+)", said, re.M)
            return seen[1] if seen else "collection", time.perf_counter() - begun
        if run.exitcode not in (0, 5):
            raise RuntimeError(said[-4000:])
    return "", time.perf_counter() - begun


def main(arguments: list[str]) -> int:
    """Place the faults and print what was caught; 0 where nine of ten are."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--places", type=int, default=PLACES)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--room", choices=ROOMS)
    parser.add_argument("--only", default="", help="only faults whose key has this text")
    asked = parser.parse_args(arguments)
    rooms = (asked.room,) if asked.room else ROOMS
    chosen = [one for one in drawn(asked.places, asked.seed, rooms) if asked.only in one.key]
    print(f"{len(chosen)} faults of {len(all_faults(rooms))} places, seed {asked.seed}")
    survivors: list[Fault] = []
    argued = 0
    with tempfile.TemporaryDirectory(prefix="slingwright-faults-") as folder:
        root = Path(folder) / "project"
        ignored = shutil.ignore_patterns(".git", ".venv", ".mypy_cache", ".ruff_cache", "browser")
        shutil.copytree(ROOT, root, ignore=ignored)
        os.environ.setdefault("SLINGWRIGHT_CACHE", str(Path(folder) / "cache"))
        for library in HEAVY:
            importlib.import_module(library)
        for number, fault in enumerate(chosen, 1):
            before = place(fault, root / "src" / "slingwright")
            seen, seconds = caught(fault, root)
            (root / "src" / "slingwright" / fault.module).write_text(before, encoding="utf-8")
            said = seen or ("equivalent" if fault.key in EQUIVALENT else "NOT CAUGHT")
            print(f"{number:>4} {seconds:5.1f} s  {fault.key}  [{fault.line}]  {said}", flush=True)
            if not seen and fault.key in EQUIVALENT:
                argued += 1
            elif not seen:
                survivors.append(fault)
    counted = len(chosen) - argued
    share = 1.0 - len(survivors) / counted if counted else 1.0
    print(f"caught {counted - len(survivors)} of {counted} ({100.0 * share:.0f} %), wanted 90 %")
    for key, reason in EQUIVALENT.items():
        print(f"equivalent: {key}: {reason}")
    return 0 if share >= 0.9 else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

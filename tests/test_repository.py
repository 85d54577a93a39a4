"""The rules of the repository, read off the syntax trees of its sources, pages and set-up file.

Truth: the project's own written rules (DEVELOPERS.md, "Rules that tests hold"). Each rule is also
run on a small piece of text that breaks it, so that a rule that has stopped biting is seen.
"""

import ast
import json
import os
import re
import subprocess
import sys
import tomllib
from collections import Counter
from collections.abc import Iterator
from importlib.metadata import distribution
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "src"
PACKAGE = SOURCE / "slingwright"
MODULES = sorted(PACKAGE.rglob("*.py"))
FORMULAS = [path for path in MODULES if "formulas" in path.relative_to(PACKAGE).parts]
TESTS = sorted((ROOT / "tests").rglob("test_*.py"))
PAGES = sorted(
    path for path in (ROOT / "notebooks").rglob("*.ipynb") if ".ipynb_checkpoints" not in path.parts
)

# From what everything stands on to what people see: a module may import from its own layer and
# from those before it. A module directly in the package is the first layer.
LAYERS = [
    "where the kit's own files are",
    "tables",
    "amounts",
    "machine",
    "derivation",
    "motion",
    "formulas",
    "winch",
    "strength",
    "standing",
    "making",
    "logbook",
    "learning",
    "changing",
    "pages",
    "phone",
    "commands",
]
# These gather names from everywhere, so nothing may import them.
DOORS = {"slingwright", "slingwright.__main__", "slingwright.commands.line"}
SIZE_LIMIT = 24_000
FOLDER_LIMIT = 12
HEAVY = ["numba", "sympy", "scipy", "matplotlib", "pint", "ipywidgets", "pandas"]
PERMISSIVE = re.compile(
    r"\b(BSD|MIT|Apache|ISC|Zlib|PSF|Python Software Foundation|HPND|MPL)", re.I
)


def name_of(path: Path, source: Path = SOURCE) -> str:
    """Give the dotted name of a module file."""
    parts = list(path.relative_to(source).with_suffix("").parts)
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def trees() -> Iterator[tuple[str, ast.Module]]:
    """Give the name and the syntax tree of every module of the package."""
    for path in MODULES:
        yield name_of(path), ast.parse(path.read_text(encoding="utf-8"), str(path))


def imports(tree: ast.AST, package: str, known: frozenset[str] = frozenset()) -> set[str]:
    """Give the dotted names a tree imports, anywhere in it, also inside functions.

    `package` resolves relative imports. `from a import b` gives a.b where that is a known module,
    or where `known` is empty.
    """
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                kept = package.split(".")
                kept = kept[: len(kept) - node.level + 1]
                base = ".".join(kept + ([base] if base else []))
            for alias in node.names:
                whole = f"{base}.{alias.name}"
                found.add(whole if not known or whole in known else base)
    return found


def package_of(name: str, packages: set[str]) -> str:
    """Give the package that relative imports of a module start from."""
    return name if name in packages else name.rpartition(".")[0]


def layer_of(name: str) -> int:
    """Give the place of a module in LAYERS; -1 for a package that has no place there."""
    parts = name.split(".")
    packages = {path.parent.name for path in PACKAGE.glob("*/__init__.py")}
    if len(parts) == 2 and parts[1] not in packages:
        return 0
    return LAYERS.index(parts[1]) if parts[1] in LAYERS else -1


def own_imports() -> dict[str, set[str]]:
    """Give, for each module of the package, the modules of the package that it imports."""
    known = frozenset(name_of(path) for path in MODULES)
    packages = {name_of(path) for path in MODULES if path.name == "__init__.py"}
    graph = {}
    for name, tree in trees():
        named = imports(tree, package_of(name, packages), known)
        graph[name] = {other for other in named if other.split(".")[0] == "slingwright"} - {name}
    return graph


def upward(graph: dict[str, set[str]]) -> list[str]:
    """Give the imports that go against the order of the layers, or through a door."""
    wrong = []
    for name, others in graph.items():
        if name in DOORS:
            continue
        for other in sorted(others):
            if other in DOORS:
                wrong.append(f"{name} imports {other}, which gathers names from everywhere")
            elif layer_of(other) > layer_of(name):
                wrong.append(f"{name} imports {other}, which stands above it")
    return wrong


def circle(graph: dict[str, set[str]]) -> list[str]:
    """Give one circle of imports, or nothing."""
    done: set[str] = set()

    def walk(name: str, way: list[str]) -> list[str]:
        if name in way:
            return way[way.index(name) :] + [name]
        if name in done:
            return []
        for other in sorted(graph.get(name, ())):
            found = walk(other, [*way, name])
            if found:
                return found
        done.add(name)
        return []

    for start in sorted(graph):
        found = walk(start, [])
        if found:
            return found
    return []


def test_every_folder_has_a_place_in_the_order() -> None:
    """Truth: the folder tree in DEVELOPERS.md."""
    packages = {path.parent.name for path in PACKAGE.glob("*/__init__.py")}
    assert packages <= set(LAYERS), "a new folder: give it a place in LAYERS and DEVELOPERS.md"


def test_imports_go_one_way() -> None:
    """Truth: the order of the layers in DEVELOPERS.md."""
    assert upward(own_imports()) == []


def test_imports_make_no_circle() -> None:
    """Truth: a graph that goes one way has no circle."""
    assert circle(own_imports()) == []


def test_layer_rule_bites() -> None:
    """Truth: made-up graphs that break the rule."""
    graph = {"slingwright.formulas.beams.spans": {"slingwright.strength.checks", "slingwright"}}
    assert len(upward(graph)) == 2
    assert upward({"slingwright.strength.checks": {"slingwright.formulas.beams.spans"}}) == []
    assert circle({"a": {"b"}, "b": {"c"}, "c": {"b"}}) == ["b", "c", "b"]


def test_relative_and_late_imports_are_seen() -> None:
    """Truth: Python's import statement, https://docs.python.org/3/reference/import.html."""
    tree = ast.parse("def f():\n    from ..strength import checks\n    import numpy.linalg\n")
    assert imports(tree, "slingwright.formulas") == {"slingwright.strength.checks", "numpy.linalg"}


@pytest.mark.parametrize(
    ("library", "home"),
    [("pint", "slingwright.amounts.units"), ("sympy", "slingwright.derivation")],
)
def test_library_stays_in_its_home(library: str, home: str) -> None:
    """Truth: floats inside, pint at the edge; sympy where the derivation is (DECISIONS.md)."""
    strays = [
        name
        for name, tree in trees()
        if any(found.split(".")[0] == library for found in imports(tree, name))
        and not f"{name}.".startswith(f"{home}.")
    ]
    assert strays == []


def test_no_pyplot_in_the_package() -> None:
    """Truth: pictures are drawn on axes that are given (DECISIONS.md)."""
    banned = ("matplotlib.pyplot", "pylab", "matplotlib.pylab")
    strays = [
        f"{name}: {found}"
        for name, tree in trees()
        for found in imports(tree, name)
        if f"{found}.".startswith(tuple(f"{word}." for word in banned))
    ]
    assert strays == []


def test_modules_are_small() -> None:
    """Truth: one idea a module, under 24 kB."""
    large = {name_of(p): p.stat().st_size for p in MODULES if p.stat().st_size >= SIZE_LIMIT}
    assert large == {}


def test_folders_are_small() -> None:
    """Truth: one question a folder; past twelve modules a room opens inside (DECISIONS.md)."""
    counts = Counter(str(path.parent.relative_to(PACKAGE)) for path in MODULES)
    assert {name: n for name, n in counts.items() if n > FOLDER_LIMIT} == {}


def test_module_names_say_what_is_inside() -> None:
    """Truth: no drawer for odds and ends (DEVELOPERS.md)."""
    drawers = {"utils", "util", "helpers", "helper", "misc", "common", "manager"}
    assert [name_of(path) for path in MODULES if path.stem in drawers] == []


def test_nothing_is_left_unfinished() -> None:
    """Truth: work that is not done is not in the package."""
    words = re.compile(r"\b(TO" + r"DO|FIX" + r"ME|X" + r"XX|NotImplemented" + r"Error)\b")
    found = [
        f"{path.relative_to(ROOT)}:{number}"
        for path in [*MODULES, *TESTS, ROOT / "run.py"]
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if words.search(line)
    ]
    assert found == []


def test_import_is_light() -> None:
    """Truth: a fresh process's own list of modules after `import slingwright`."""
    code = "import slingwright, sys; print(*sorted({n.split('.')[0] for n in sys.modules}))"
    environment = {**os.environ, "PYTHONPATH": str(SOURCE)}
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=environment
    )
    assert "slingwright" in done.stdout.split()
    assert sorted(set(done.stdout.split()) & set(HEAVY)) == []


# ---- formulas ------------------------------------------------------------------------------------


def public_functions(tree: ast.Module) -> list[ast.FunctionDef]:
    """Give the public functions of a module."""
    return [n for n in tree.body if isinstance(n, ast.FunctionDef) and not n.name.startswith("_")]


def parameters(function: ast.FunctionDef) -> list[str]:
    """Give the names of a function's parameters, in order."""
    given = function.args
    named = [arg.arg for arg in [*given.posonlyargs, *given.args, *given.kwonlyargs]]
    return named + [arg.arg for arg in (given.vararg, given.kwarg) if arg is not None]


def documented(docstring: str) -> list[str]:
    """Give the names of the entries under 'Args:' (or Arguments, Parameters) that carry a [unit].

    An entry starts one step in from its heading, `name: words [unit]` or `name [unit] words`, and
    may go on over lines that are further in.
    """
    entries: list[list[str]] = []
    heading = step = None
    for line in docstring.expandtabs().splitlines():
        indent = len(line) - len(line.lstrip())
        if heading is None:
            if re.match(r"\s*(Args|Arguments|Parameters):\s*$", line):
                heading, step = indent, None
            continue
        if not line.strip():
            continue
        if indent <= heading:
            heading = None
            continue
        step = indent if step is None else step
        if indent == step:
            entries.append([line.strip()])
        elif entries:
            entries[-1].append(line.strip())
    names = []
    for entry in entries:
        text = " ".join(entry)
        start = re.match(r"\*{0,2}([A-Za-z_]\w*(?:, [A-Za-z_]\w*)*)\s*(?::|\[|\()", text)
        if start and re.search(r"\[[^\]]+\]", text):
            names.extend(start.group(1).split(", "))
    return names


def docstring_faults(function: ast.FunctionDef) -> list[str]:
    """Give what a formula's docstring lacks."""
    text = ast.get_docstring(function) or ""
    faults = []
    if not re.match(r"[A-Z`].*[.:]$", text.splitlines()[0] if text else ""):
        faults.append("no opening sentence")
    named, wanted = documented(text), parameters(function)
    if named != wanted:
        faults.append(f"arguments with [unit] {named}, signature {wanted}")
    if not re.search(r"^Returns:.*?\[[^\]]+\]", text, re.M | re.S):
        faults.append("no Returns: with [unit]")
    if not re.search(r"^Source:\s*\S", text, re.M):
        faults.append("no Source:")
    if ">>> " not in text:
        faults.append("no doctest")
    return faults


@pytest.mark.parametrize("path", FORMULAS, ids=name_of)
def test_formula_docstrings(path: Path) -> None:
    """Truth: DEVELOPERS.md: sentence, formula, arguments with [unit], source, doctest."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    faults = {f.name: docstring_faults(f) for f in public_functions(tree)}
    assert {name: found for name, found in faults.items() if found} == {}


GOOD = '''
def bending_moment(force, span):
    """Bending moment at mid-span of a simple beam.

    M = F L / 4

    Args:
        force: load at mid-span [N].
        span: distance between the supports,
            centre to centre [m].

    Returns:
        Moment [N m].

    Source: closed form.

    >>> bending_moment(4.0, 2.0)
    2.0
    """
'''


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("", "", None),
        ("force: load", "load: load", "arguments"),
        (" [N].", ".", "arguments"),
        ("centre to centre [m]", "centre to centre", "arguments"),
        ("Moment [N m]", "Moment", "Returns"),
        ("Source: closed form.", "", "Source"),
        (">>> ", "", "doctest"),
        ("Bending moment at", "moment at", "sentence"),
    ],
)
def test_docstring_rule_bites(old: str, new: str, fault: str | None) -> None:
    """Truth: one good docstring, and the same with one thing wrong."""
    function = public_functions(ast.parse(GOOD.replace(old, new) if old else GOOD))[0]
    found = docstring_faults(function)
    if fault is None:
        assert found == []
    else:
        assert len(found) == 1 and fault in found[0]


# ---- tests and pages -----------------------------------------------------------------------------


def can_fail(function: ast.AST) -> bool:
    """Tell whether a test holds anything: an assert, pytest.raises or a numpy assertion."""
    for node in ast.walk(function):
        if isinstance(node, ast.Assert):
            return True
        if isinstance(node, ast.Call):
            called = ast.unparse(node.func).split(".")[-1]
            if called in {"raises", "warns"} or called.startswith("assert_"):
                return True
    return False


def test_every_test_can_fail() -> None:
    """Truth: a test without an assertion passes whatever the code does."""
    idle = []
    for path in TESTS:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            named = isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
            if named and node.name.startswith("test_") and not can_fail(node):
                idle.append(f"{path.relative_to(ROOT)}: {node.name}")
    assert idle == []
    assert not can_fail(ast.parse("def test_x():\n    print(1)\n"))


def page_faults(page: dict) -> list[str]:
    """Give what keeps a page from being committed: outputs, counts, widget state, long code."""
    faults = []
    if "widgets" in page["metadata"]:
        faults.append("widget state is kept")
    lines = 0
    for number, cell in enumerate(page["cells"], 1):
        if cell["cell_type"] != "code":
            continue
        text = "".join(cell["source"])
        lines += sum(1 for line in text.splitlines() if line.strip())
        if re.search(r"(from|import) slingwright\.", text):
            faults.append(f"cell {number} imports the inside of the package")
        if cell["outputs"]:
            faults.append(f"cell {number} keeps its output")
        if cell["execution_count"] is not None:
            faults.append(f"cell {number} keeps its count")
        if re.search(r"^\s*(async def|def|class)\b", text, re.M):
            faults.append(f"cell {number} defines a function or class")
    if lines > 80:
        faults.append(f"{lines} lines of code, at most 80")
    return faults


def test_pages_are_clean() -> None:
    """Truth: DEVELOPERS.md: pages are committed without outputs; code of substance is in src."""
    faults = {
        str(p.relative_to(ROOT)): page_faults(json.loads(p.read_text("utf-8"))) for p in PAGES
    }
    assert {name: found for name, found in faults.items() if found} == {}


def test_page_rule_bites() -> None:
    """Truth: a made-up page with each fault once."""
    cell = {
        "cell_type": "code",
        "source": ["import slingwright.amounts\n", "def f():\n"] + ["    a = 1\n"] * 79,
        "outputs": [{}],
        "execution_count": 3,
    }
    assert len(page_faults({"metadata": {"widgets": {}}, "cells": [cell]})) == 6
    assert page_faults({"metadata": {}, "cells": [{"cell_type": "markdown", "source": []}]}) == []


# ---- licence and set-up --------------------------------------------------------------------------


def test_licence_is_one_and_whole() -> None:
    """Truth: the Apache License 2.0, https://www.apache.org/licenses/LICENSE-2.0."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    text = (ROOT / "LICENSE").read_text(encoding="utf-8")
    assert project["license"] == "Apache-2.0"
    assert "Apache License" in text and "END OF TERMS AND CONDITIONS" in text
    foreign = re.compile(r"SPDX-License-Identifier: (?!Apache-2\.0)|GNU General Public", re.I)
    marked = [name_of(p) for p in MODULES if foreign.search(p.read_text(encoding="utf-8"))]
    assert marked == []


def test_runtime_packages_are_permissively_licensed() -> None:
    """Truth: what each installed package says of its own licence."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    unclear = []
    for requirement in project["dependencies"]:
        data = distribution(re.split(r"[<>=!\[ ]", requirement)[0]).metadata
        fields = ("License-Expression", "License", "Classifier")
        words = [
            word[:200]
            for field in fields
            for word in data.get_all(field) or []
            if field != "Classifier" or word.startswith("License")
        ]
        if not any(PERMISSIVE.search(word) for word in words):
            unclear.append(requirement)
    assert unclear == []


def test_python_range_is_stated_once() -> None:
    """Truth: run.py's range and pyproject.toml's are the same."""
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    project = tomllib.loads(text)["project"]
    script = (ROOT / "run.py").read_text(encoding="utf-8")
    oldest = re.search(r"^OLDEST = \((\d+), (\d+)\)", script, re.M)
    newest = re.search(r"^NEWEST = \((\d+), (\d+)\)", script, re.M)
    assert oldest is not None and newest is not None
    low, high = [tuple(int(n) for n in found.groups()) for found in (oldest, newest)]
    assert project["requires-python"] == f">={low[0]}.{low[1]},<{high[0]}.{high[1] + 1}"


def test_wheel_takes_the_tables_along() -> None:
    """Truth: hatchling's force-include: an installed copy must find data and shared inside."""
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    taken = tomllib.loads(text)["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
    assert taken == {"data": "slingwright/data", "shared": "slingwright/shared"}
    assert all((ROOT / folder).is_dir() and any((ROOT / folder).iterdir()) for folder in taken)


def test_bibliography_keys_are_unique() -> None:
    """Truth: BibTeX: a key names one entry, and braces close."""
    text = (ROOT / "shared" / "references.bib").read_text(encoding="utf-8")
    keys = re.findall(r"^@\w+\{([^,\s]+),", text, re.M)
    assert len(keys) > 30
    assert sorted(keys) == sorted(set(keys))
    assert text.count("{") == text.count("}")

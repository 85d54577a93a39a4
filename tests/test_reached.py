"""Nothing in the package is there for nobody: each definition is named by something that runs.

Truth: the project's own rule: what no page, command, notebook, public name or other code uses is
used, moved to the tests or deleted. A name counts as used where code (not prose, not an import)
outside its own definition names it, and that code is itself reached.
"""

import ast
import io
import re
import tokenize
from collections import defaultdict
from pathlib import Path

from test_repository import MODULES, PACKAGE, PAGES, ROOT

WORD = re.compile(r"[A-Za-z_]\w*")
# Called by name from outside: completion in IPython, what a class of ipywidgets or pandas asks for.
ASKED_FOR = re.compile(r"_(ipython|repr)_\w+|__\w+__")
# Definitions that a decorator hands on, so that nothing else has to name them.
HANDED_ON = ("command(", "check(", "default(", "observe(", "validate(", "njit", "overload")

Definition = tuple[str, str, int, int]  # file, name, first line, last line


def definitions(name: str, text: str) -> list[Definition]:
    """Give a module's definitions and the methods of its classes."""
    found = []
    for node in ast.parse(text).body:
        inner = [node, *node.body] if isinstance(node, ast.ClassDef) else [node]
        for one in inner:
            if isinstance(one, ast.FunctionDef | ast.ClassDef):
                given = [ast.unparse(mark) for mark in one.decorator_list]
                handed = any(mark.startswith(HANDED_ON) for mark in given)
                if not handed and not ASKED_FOR.fullmatch(one.name):
                    start = min([one.lineno, *(mark.lineno for mark in one.decorator_list)])
                    found.append((name, one.name, start, one.end_lineno or start))
            elif one is node and isinstance(one, ast.Assign | ast.AnnAssign):
                targets = one.targets if isinstance(one, ast.Assign) else [one.target]
                for target in targets:
                    if isinstance(target, ast.Name) and not ASKED_FOR.fullmatch(target.id):
                        found.append((name, target.id, one.lineno, one.end_lineno or one.lineno))
    return found


def uses(text: str) -> list[tuple[str, int]]:
    """Give the words of a module's code and short strings with their lines, imports left out."""
    imported = {
        line
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Import | ast.ImportFrom)
        for line in range(node.lineno, (node.end_lineno or node.lineno) + 1)
    }
    found = []
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        plain = token.type == tokenize.STRING and '"""' not in token.string[:5]
        if (token.type == tokenize.NAME or plain) and token.start[0] not in imported:
            found += [(word, token.start[0]) for word in WORD.findall(token.string)]
    return found


def unreached(texts: dict[str, str], outside: str) -> list[str]:
    """Name the definitions that nothing reaches; `outside` is what is read beside the package."""
    asked = set(WORD.findall(outside))
    places = defaultdict(list)
    for name, text in texts.items():
        for word, line in uses(text):
            places[word].append((name, line))
    left = [one for name, text in texts.items() for one in definitions(name, text)]
    left = [one for one in left if one[1] not in asked]
    dead: list[Definition] = []
    while True:
        more = [
            one
            for one in left
            if one not in dead
            and all(
                any(file == name and first <= line <= last for name, _, first, last in (one, *dead))
                for file, line in places[one[1]]
            )
        ]
        if not more:
            return sorted(f"{name}:{first} {word}" for name, word, first, _ in dead)
        dead += more


def test_every_definition_is_reached() -> None:
    outside = [*PAGES, ROOT / "README.md", ROOT / "run.py", *PACKAGE.rglob("*.js")]
    texts = {str(path.relative_to(PACKAGE)): path.read_text("utf-8") for path in MODULES}
    words = "\n".join(path.read_text("utf-8") for path in map(Path, outside))
    assert not unreached(texts, words + texts["__init__.py"])


def test_the_rule_bites() -> None:
    text = '''
import math

RATE = 2.0


def used(x):
    """Not used by unused."""
    return RATE * x


def helper(x):
    return math.sin(x)


def unused(x):
    return helper(x)


class Kept:
    def _repr_html_(self):
        return ""

    def told(self):
        return self.told()
'''
    assert unreached({"a.py": text}, "Kept used") == [
        "a.py:12 helper",
        "a.py:16 unused",
        "a.py:24 told",
    ]

"""The equation that a formula's docstring shows is the one that it computes.

Truth: the equation as written, read by sympy, at points around the docstring's own example. An
equation of several cases is held in the case that the example is in.
"""

import ast
import dataclasses
import importlib
import inspect
import math
import random
import re
import types
import warnings
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import sympy
from sympy.parsing import sympy_parser

import slingwright
from slingwright.strength.worked import symbols_of

ROOM = Path(slingwright.__file__).parent / "formulas"
READ = (
    *sympy_parser.standard_transformations,
    sympy_parser.implicit_multiplication,
    sympy_parser.convert_xor,
)
FUNCTIONS = (
    "sqrt",
    "sin",
    "cos",
    "tan",
    "atan",
    "acos",
    "asin",
    "exp",
    "ln",
    "min",
    "max",
    "floor",
)
KNOWN = {"pi": sympy.pi, "e": sympy.E, "min": sympy.Min, "max": sympy.Max, "ln": sympy.log}
POINTS = 12
AGREE = 1e-9


class Unread(ValueError):
    """An equation that is not in the small grammar."""


def formulas() -> Iterator[tuple[str, ast.FunctionDef]]:
    """Give each public formula with its module's name."""
    for path in sorted(ROOM.rglob("*.py")):
        module = ".".join(path.relative_to(ROOM.parent.parent).with_suffix("").parts)
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                yield module, node


def equations(text: str) -> list[tuple[str, str]]:
    """Give both sides of each `symbol = expression` that stands above the arguments."""
    above = text.split("Args:")[0].split("\n", 1)[-1]
    above = re.sub(r"(?<=[,+*/(-])\n *", " ", above)
    found = []
    for part in re.split(r"\n|;  ?|(?<=[^0-9]), +(?=[A-Za-z_,0-9]+ = )|\. ", above):
        sides = part.strip().rstrip(".,").split(" = ")
        if len(sides) >= 2:
            found.append((sides[0].split(":")[-1].strip().split(" ")[-1], sides[1]))
            found += [(found[-1][0], side) for side in sides[2:]]
    return found


def read(equation: str, symbols: dict[str, str], made: dict[str, sympy.Expr]) -> sympy.Expr:
    """Read an equation with the symbols of the arguments, and those that others gave.

    Raises:
        Unread: a word that is no symbol, or something that is not in the grammar.
    """
    text = equation.strip().rstrip(".,")
    ends = "with|where|for|and|not|along|above|below|at|layers|has|plus|held|that|on"
    text = re.sub(rf",? +(?:\([A-Z][a-z].*\)|(?:{ends})\b.*)$", "", text)
    text = text.replace("arcsin", "asin").replace("arccos", "acos")
    text = text.replace("[", "(").replace("]", ")")
    text = re.sub(r"\|([^|]+)\|", r"Abs(\1)", text)
    places = {}
    both = {**{symbol: sympy.Symbol(name) for name, symbol in symbols.items()}, **made}
    for i, symbol in enumerate(sorted(both, key=len, reverse=True)):
        places[f"S{i}x"] = both[symbol]
        pattern = rf"(?<![A-Za-z_0-9,]){re.escape(symbol)}(?![A-Za-z_0-9]|,[0-9A-Za-z])"
        text = re.sub(pattern, f" S{i}x ", text)
    text = re.sub(r"\b(sin|cos|tan)\^([0-9]) +(S[0-9]+x)", r"(\1(\3))^\2", text)
    text = re.sub(r"\b(sin|cos|tan|ln|exp) +(S[0-9]+x)", r"\1(\2)", text)
    left = (
        set(re.findall(r"(?<![0-9])[A-Za-z_][A-Za-z_0-9,']*", text))
        - set(FUNCTIONS)
        - {"pi", "Abs", "e"}
    )
    if left - set(places):
        raise Unread(f"{sorted(left - set(places))} in {equation}")
    try:
        local = {**KNOWN, **places}
        with warnings.catch_warnings():
            warnings.simplefilter("error")  # words that sympy takes for something else
            return sympy_parser.parse_expr(text, local_dict=local, transformations=READ)
    except (SyntaxError, TypeError, ValueError, Warning) as error:
        raise Unread(f"{equation}: {error}") from None


def lone(value: object) -> object:
    """Give the number of an array that holds one, and anything else as it is."""
    return value.reshape(-1)[0] if isinstance(value, np.ndarray) and value.size == 1 else value


def example(module: types.ModuleType, node: ast.FunctionDef) -> dict[str, object]:
    """Give the arguments of the docstring's first call that are plain numbers and words."""
    text = ast.get_docstring(node) or ""
    names = [arg.arg for arg in (*node.args.args, *node.args.kwonlyargs)]
    lines = [line.strip()[4:] for line in text.split("\n") if line.strip().startswith(">>> ")]
    space = dict(vars(module)) | {"math": math}
    for line in lines:
        tree = ast.parse(line).body[0]
        for call in ast.walk(tree):
            if isinstance(call, ast.Call) and getattr(call.func, "id", "") == node.name:
                values = [eval(ast.unparse(one), space) for one in call.args]  # noqa: S307
                given = dict(zip(names, values, strict=False))
                for word in call.keywords:
                    given[str(word.arg)] = eval(ast.unparse(word.value), space)  # noqa: S307
                return {name: lone(value) for name, value in given.items()}
        try:
            exec(line, space)  # noqa: S102
        except Exception as error:
            raise Unread(f"the example: {error}") from None
    raise Unread("no example")


def numbers_in(answer: object) -> list[float]:
    """Give the numbers of an answer: itself, its fields, or its parts."""
    if dataclasses.is_dataclass(answer):
        answer = tuple(getattr(answer, one.name) for one in dataclasses.fields(answer))
    parts = [lone(one) for one in (answer if isinstance(answer, tuple) else (answer,))]
    return [float(one) for one in parts if isinstance(one, float | int)]


def hold(module_name: str, node: ast.FunctionDef) -> float:
    """Hold a formula of a module by its name; see `hold_in`."""
    return hold_in(importlib.import_module(module_name), node)


def hold_in(module: types.ModuleType, node: ast.FunctionDef) -> float:
    """Give the largest share by which a function is off its equations.

    One equation, the nearest, is held to an answer that is a number; of a record each number must
    have its own.

    Raises:
        Unread: no equation of it can be read.
    """
    function, text = getattr(module, node.name), ast.get_docstring(node) or ""
    names = [arg.arg for arg in (*node.args.args, *node.args.kwonlyargs)]
    given = example(module, node)
    symbols = symbols_of(text, names)
    found: list[sympy.Expr] = []
    faults: list[str] = []
    made: dict[str, sympy.Expr] = {}
    for left, right in equations(text):
        try:
            found.append(read(right, symbols, made))
            if left not in symbols.values():
                made[left] = found[-1]
        except Unread as error:
            faults.append(str(error))
    if not found:
        raise Unread("; ".join(faults) or "no equation")
    signature = inspect.signature(function).parameters
    standing = {name: one.default for name, one in signature.items()}
    draw, tried = random.Random(node.name), 0
    off: dict[int, dict[int, float]] = {}  # by the answer's number, then by equation
    for _ in range(POINTS):
        point = {
            name: value * draw.uniform(0.97, 1.03) if isinstance(value, float) else value
            for name, value in given.items()
        }
        try:
            answer = function(**point)
        except ValueError:
            continue  # past a limit of the formula's, which another test holds
        answers = numbers_in(answer)
        if dataclasses.is_dataclass(answer):  # it may hold what it was made of
            answers = [one for one in answers if one not in point.values()]
        if not answers:
            raise Unread(f"gives {type(answer).__name__}")
        tried += 1
        for i, expression in enumerate(found):
            try:
                wanted = complex(expression.subs({**standing, **point}))
            except (TypeError, ValueError, AttributeError, Warning):
                wanted = complex(math.inf)
            for j, one in enumerate(answers):
                share = abs(wanted - one) / max(abs(one), 1e-12)
                here = off.setdefault(j, {})
                here[i] = max(here.get(i, 0.0), share)
    if tried < POINTS // 4:
        raise Unread("the example stands at a limit")
    return max(min(by_equation.values()) for by_equation in off.values())


TOLD_OTHERWISE = """
    bolt_spacing
    above_zero arm_deflection arm_lines arm_places arm_sections axle_line beam_line
    bearing_spread bending_modes between buckling_factor crank_power damage driven_mode
    drum_state
    embedment_side_factor embedment_strength_along equal_range force_allowed
    friction_that_holds hook_safety largest_static_range lead_line_factor load_arm
    matching_line_mass modification_factor not_negative partial_factor
    rainflow rainflow_repeated refuse_dead_point rest_after rope_direction rope_effect_limit
    rope_in_turns rope_lever
    round_with_cross_hole sill_moment sill_shear single_shear size_factor slides splitting_capacity
    steel_outer_plates steel_single_shear tackle_load time_for_work
    tipping_factor tipping_length tipping_reach yield_moment
"""
"""Formulas whose words are a table, a verdict, a sum over places, or units other than SI."""


def test_formulas_compute_the_equations_that_they_show() -> None:
    """Truth: the equation in each docstring, by sympy; a formula is read, or is on the list."""
    off, unread = {}, {}
    for module, node in formulas():
        try:
            share = hold(module, node)
        except Unread as error:
            unread[node.name] = str(error)
            continue
        if not share < AGREE:
            off[node.name] = share
    assert set(off) | set(unread) == set(TOLD_OTHERWISE.split()), (off, unread)


FAULTS = [
    ("steel/axle.py", "round_bending_stress", "32.0", "16.0"),
    ("steel/axle.py", "round_bending_stress", "** 3", "** 2"),
    ("beams/spans.py", "patch_load_moment", "/ 8.0", "/ 12.0"),
    ("rope/sheaves.py", "friction_ratio", "1.0 + ", "1.0 - "),
    ("timber/strength.py", "tension_bending_use", " + ", " - "),
]


@pytest.mark.parametrize(("file", "name", "old", "new"), FAULTS)
def test_a_fault_in_a_formula_is_seen(file, name, old, new) -> None:
    """Truth: the docstring's equation, against a function with one number or sign changed."""
    text = (ROOM / file).read_text(encoding="utf-8")
    (node,) = (
        one for one in ast.parse(text).body if isinstance(one, ast.FunctionDef) and one.name == name
    )
    above, sign, below = (ast.get_source_segment(text, node) or "").rpartition('"""')
    assert old in below
    module = types.ModuleType("changed")
    module.__package__ = "slingwright.formulas." + file.split("/")[0]
    exec(text, module.__dict__)  # noqa: S102
    assert hold_in(module, node) < AGREE
    exec(above + sign + below.replace(old, new), module.__dict__)  # noqa: S102
    assert hold_in(module, node) > 1e-3

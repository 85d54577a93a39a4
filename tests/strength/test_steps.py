"""Checks tell what they computed: each step again from its formula, each equation its docstring's.

Truth: the formula called by itself with what the step says went in, and the docstring as written.
"""

import inspect
import pickle
import re
from functools import cache

import numpy as np
import pytest

import slingwright as sw
from slingwright.formulas.steel.axle import round_bending_stress
from slingwright.strength.checks import holding
from slingwright.strength.worked import Given, Step, behind

MACHINES = ("otter_ford", "garden", "hinged_pair", "fixed_pair", "on_wheels")
CODE_NAME = re.compile(r"\b[a-z]+_[a-z]+_[a-z_]+\b|\b(axle|arm|sling|frame|base|site)\.[a-z]")


@cache
def checks(name):
    return [
        check for check in holding(sw.read_machine(name)).checks if check.demand == check.demand
    ]


def flat(words):
    return " ".join(words.split())


@pytest.mark.parametrize("name", MACHINES)
def test_every_step_gives_its_result_again(name):
    """Truth: the formula itself, on the very arguments that are shown."""
    for check in checks(name):
        for step in check.steps:
            again = step.formula(*step.given)
            assert np.all(again == step.result), (check.key, step.formula)
            assert float(again) == float(step), (check.key, step.formula)


@pytest.mark.parametrize("name", MACHINES)
def test_the_last_steps_are_demand_and_capacity(name):
    """Truth: the check's own numbers: each is a step's result, or a number with words beside it."""
    for check in checks(name):
        for end in (check.demand, check.capacity):
            assert isinstance(end, Step | Given), check.key
            assert any(end is one for one in behind(check.demand, check.capacity))
        stepped = [one for one in (check.demand, check.capacity) if isinstance(one, Step)]
        assert all(any(end is step for step in check.steps) for end in stepped)
        if isinstance(check.utilisation, Step):
            assert check.steps[-1] is check.utilisation, check.key
        elif np.isfinite(check.utilisation):
            assert check.utilisation == check.demand / check.capacity, check.key
    assert sum(isinstance(check.capacity, Step) for check in checks(name)) > 20


@pytest.mark.parametrize("name", MACHINES)
def test_every_equation_is_a_docstring_s(name):
    """Truth: the docstring of the step's formula; nothing else in a working is an equation."""
    for check in checks(name):
        shown = [step.equation for step in check.steps if step.equation]
        for step in check.steps:
            text = flat(inspect.getdoc(step.formula))
            for part in step.equation.split("; "):
                assert part in text, (check.key, step.formula)
        for line in check.working.split("\n"):
            bare = re.sub(r" = [-0-9.,e+]+ ?[A-Za-z^0-9/ ]*", "", line)
            if " = " in bare:
                assert any(line.startswith(equation) for equation in shown), (check.key, line)
        assert check.note in check.working and " = " not in check.note, check.key


@pytest.mark.parametrize("name", MACHINES)
def test_a_line_can_be_read_by_a_maker(name):
    """Truth: words.md: each symbol once in a line, a number for each, no names out of the code."""
    for check in checks(name):
        assert not CODE_NAME.search(check.working), (check.key, check.working)
        assert "nan" not in check.working and "e+" not in check.working, check.working
        for step in check.steps:
            _, seen = step.told.shown(getattr(step.result, "governing", ""))
            symbols = [one.symbol for one in step.told.entries.values() if one.symbol in seen]
            assert step.inputs, step.formula
            assert len(symbols) == len(set(symbols)), step.formula
            for symbol in symbols:
                assert f", {symbol} = " in f", {step.inputs}", (check.key, step.words)


def test_an_axle_by_hand():
    """Truth: 32 x 1,000 / (pi 0.05^3) = 81.49 MPa, by hand."""
    step = Step(
        round_bending_stress, Given(1000.0, "as {} of {:m}", "sized", 0.3, source="trial"), 0.05
    )
    assert step == pytest.approx(81.49e6, rel=1e-4)
    assert step.words == (
        "sigma = 32 M / (pi d^3) with M = 1 kN m (as sized of 0.3 m), d = 50 mm: 81.49 MPa"
    )
    assert step.words.told("US").endswith(
        "M = 737.6 ft lbf (as sized of 11.81 in), d = 1.969 in: 11.82 ksi"
    )
    again = pickle.loads(pickle.dumps(step))
    assert (again, again.words, again.given[0].source) == (step, step.words, "trial")

"""Every way a throw can end is reached, and its sentence names dials that help.

Truth: each machine below is built to fail in one way; the numbers in the sentence are the throw's
own, and the advice is followed: the changed machine does not end in that way, or not so soon.
"""

from __future__ import annotations

import re

import numpy as np
import pytest

import slingwright as sw
from slingwright.machine.table import dials
from slingwright.motion.ends import outcomes
from slingwright.motion.source.code import machine_module

PATH = re.compile(r"\b[a-z]+\.[a-z_]+\b")

# What is changed on the Otter Ford machine, the outcome, a part of its sentence, and a change that
# the sentence advises.
ENDS = {
    "released": ({}, "released", "the ring slipped at a sling lag of 20.0 deg", None),
    "cannot start": (
        {"counterweight.mass": 30.0},
        "never left the trough",
        "the counterweight cannot start the arm",
        {"counterweight.mass": 640.0},
    ),
    "friction holds it": (
        {"counterweight.mass": 120.0, "projectile.mass": 18.0, "trough.friction": 0.8},
        "never left the trough",
        "the counterweight cannot start the arm",
        {"counterweight.mass": 640.0},
    ),
    "ring slips at once": (
        {"release.angle": 2.6},
        "never left the trough",
        "the ring slipped at 0.00 s, before the projectile was lifted",
        {"release.angle": 0.35},
    ),
    "ring slips on the way": (
        {
            "counterweight.mass": 420.0, "sling.length": 2.91, "release.angle": 2.52,
            "projectile.mass": 0.496, "trough.friction": 1.47, "axle.height": 3.99,
            "counterweight.hanger": 0.897, "trough.height": 1.15, "sling.pouch": 0.139,
            "counterweight.hung": False,
        },
        "never left the trough",
        "before the projectile was lifted",
        {"release.angle": 0.35},
    ),
    "friction jams": (
        {
            "counterweight.mass": 444.0, "sling.length": 6.23, "release.angle": -1.53,
            "projectile.mass": 9.62, "trough.friction": 1.94, "axle.height": 3.03,
            "counterweight.hanger": 0.984, "trough.height": 2.6, "sling.pouch": 0.778,
            "counterweight.hung": False,
        },
        "never left the trough",
        "friction jams the projectile",
        {"trough.friction": 0.2},
    ),
    "sling upright": (
        {
            "counterweight.mass": 185.0, "sling.length": 5.74, "release.angle": -0.24,
            "projectile.mass": 0.47, "trough.friction": 0.03, "axle.height": 5.42,
            "counterweight.hanger": 1.43, "trough.height": 0.348, "sling.pouch": 28.5,
        },
        "never left the trough",
        "the sling stands upright over the projectile",
        {"counterweight.mass": 900.0},
    ),
    "stops on the way": (
        {"counterweight.mass": 170.0, "axle.friction": 0.8, "axle.diameter": 0.3},
        "never left the trough",
        "the projectile still lay in it",
        {"counterweight.mass": 640.0},
    ),
    "never slipped": (
        {
            "counterweight.mass": 272.0, "sling.length": 2.53, "release.angle": -0.486,
            "projectile.mass": 0.671, "trough.friction": 1.41, "axle.height": 4.07,
            "counterweight.hanger": 1.42, "trough.height": 3.15, "sling.pouch": 28.3,
            "base.wheels": True,
        },
        "never slipped",
        "the sling lag did not fall to -28 deg",
        {"release.angle": 0.8},
    ),
    "projectile strikes the ground": (
        {
            "counterweight.mass": 1630.0, "sling.length": 7.29, "release.angle": -1.89,
            "projectile.mass": 0.872, "trough.friction": 0.131, "axle.height": 5.25,
            "trough.height": 0.62, "sling.pouch": 1.96, "counterweight.hung": False,
        },
        "struck the ground",
        "the projectile touched down",
        {"release.angle": 0.35},
    ),
    "slack late": (
        {
            "counterweight.mass": 830.0, "sling.length": 1.78, "release.angle": -0.249,
            "projectile.mass": 19.4, "trough.friction": 1.17, "axle.height": 5.19,
            "counterweight.hanger": 1.17, "trough.height": 1.09, "sling.pouch": 27.5,
        },
        "sling went slack",
        "at a lag of 83 deg",
        {"release.angle": 1.6},
    ),
    "slack at once": (
        {"trough.height": 3.3, "axle.height": 3.07, "counterweight.hanger": 1.3,
         "sling.length": 8.72},
        "sling went slack",
        "as the arm was loosed",
        {"trough.height": 0.3},
    ),
    "weight strikes the ground": (
        {"axle.height": 3.08, "counterweight.hanger": 2.23},
        "counterweight struck the ground",
        "Counterweight struck the ground at",
        {"counterweight.hanger": 1.0},
    ),
}  # fmt: skip


def machine(changes: dict) -> sw.Machine:
    return sw.read_machine(sw.data_folder() / "otter_ford.toml").change(changes)


@pytest.mark.parametrize("name", ENDS)
def test_every_end_is_reached_and_told(name: str) -> None:
    """Truth: the machine was built to end so; a failed throw has no range, release or landing."""
    changes, outcome, words, _ = ENDS[name]
    done = sw.throw(machine(changes))
    assert done.outcome == outcome, done.sentence
    assert words in done.sentence
    assert (done.range is None) == (done.release is None) == (outcome != "released")
    assert (done.landing is None) == (done.efficiency is None) == (outcome != "released")
    named = set(PATH.findall(done.sentence)) & set(dials.BY_PATH)
    assert named or outcome == "released"
    for field in ("time", "arm", "ball", "axle_force", "sling_tension", "base_force"):
        assert np.isfinite(getattr(done, field)).all(), field
    row = sw.sweep(machine(changes), {"site.wind": [0.0]})
    assert row["outcome"][0] == outcome
    assert np.isnan(row["range"][0]) == (outcome != "released")


@pytest.mark.parametrize("name", [name for name, end in ENDS.items() if end[3]])
def test_the_advice_helps(name: str) -> None:
    """Truth: the sentence names the dial that is changed here, and the change mends that end."""
    changes, outcome, words, better = ENDS[name]
    failed = sw.throw(machine(changes))
    assert next(iter(better)) in failed.sentence
    done = sw.throw(machine(changes | better))
    assert done.outcome == "released" or words not in done.sentence
    assert done.outcome != outcome or done.time[-1] > failed.time[-1]


def test_table_of_outcomes_is_that_of_the_compiled_code() -> None:
    """Truth: the numbers of the compiled module, by name."""
    code = machine_module(True, False)
    for name, short in (
        ("RELEASED", "released"),
        ("NEVER_LEFT", "never left the trough"),
        ("NEVER_SLIPPED", "never slipped"),
        ("STRUCK_GROUND", "struck the ground"),
        ("WENT_SLACK", "sling went slack"),
        ("WEIGHT_STRUCK", "counterweight struck the ground"),
        ("SLIPPED_IN_TROUGH", "never left the trough"),
        ("JAMMED_IN_TROUGH", "never left the trough"),
        ("GAVE_UP", "gave up"),
    ):
        assert outcomes.OUTCOME[getattr(code, name)] == short, name
    for number, words in (
        (code.SLIPPED_IN_TROUGH, "the ring slipped"),
        (code.JAMMED_IN_TROUGH, "friction"),
    ):
        assert words in outcomes._SENTENCES[str(number)]
    assert set(outcomes.OUTCOME) == set(range(len(outcomes.OUTCOME)))


@pytest.mark.parametrize("code", outcomes.OUTCOME)
def test_every_number_has_its_sentence(code: int) -> None:
    """Truth: the short name opens the sentence, and every dial it names is in the table."""
    text = outcomes.sentence(code, machine({}), 1.25, 0.5)
    assert text.lower().startswith(outcomes.OUTCOME[code])
    assert text.endswith(".")
    for path in PATH.findall(text):
        assert path in dials.BY_PATH, path
    if code:
        assert PATH.findall(text)

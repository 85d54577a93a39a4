"""Tasks of the lessons: numbers drawn for each student, the answer and usual slips worked out.

Words and what is drawn stand in data/lessons/tasks.toml. A task has one formula, written over
`Ways`. Right ways give the answer; a faulted copy of them (no g, a half lost, sine for cosine,
degrees for radians, no square) gives what a student who slips so finds, so that a slip is known by
its own number.
"""

from __future__ import annotations

import hashlib
import itertools
import math
import random
import tomllib
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

from slingwright.places import data_folder

LONGEST_NAME = 60  # letters of a student's name, or of a class's seed


@dataclass(frozen=True, slots=True, kw_only=True)
class Ways:
    """What formulas are made of: gravity [m/s^2], a half, a turn [rad], radians of a degree."""

    g: float = 9.80665
    half: float = 0.5
    turn: float = 2.0 * math.pi
    degree: float = math.pi / 180.0
    square: Callable[[float], float] = lambda x: x * x
    sin: Callable[[float], float] = math.sin
    cos: Callable[[float], float] = math.cos
    root: Callable[[float], float] = math.sqrt


RIGHT = Ways()
FAULTED: Mapping[str, Ways] = {
    "gravity was left out": replace(RIGHT, g=1.0),
    "a factor of 2: the half was lost": replace(RIGHT, half=1.0),
    "the square was forgotten": replace(RIGHT, square=lambda x: x),
    "sine and cosine changed places": replace(RIGHT, sin=math.cos, cos=math.sin),
    "degrees where the sine or cosine takes radians": replace(RIGHT, degree=1.0),
    "2 pi was left out: a turn is 2 pi times the radius": replace(RIGHT, turn=1.0),
    "a radius or turn too short: pi, where a turn is 2 pi": replace(RIGHT, turn=math.pi),
    "the cube was taken: it goes with the square": replace(RIGHT, square=lambda x: x**3),
    "the root was not taken": replace(RIGHT, root=lambda x: x),
}
"""What each fault does to the ways (common practice)."""

Values = Mapping[str, float]
Work = Callable[[Values, Ways], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A question with places for what is drawn: letter to unit and the values it may have.

    `work` gives the answer, and `slips` by their words what only a slip in this task finds.
    """

    question: str
    drawn: Mapping[str, tuple[str, tuple[float, ...]]]
    work: Work
    unit: str
    hints: tuple[str, ...]
    slips: Mapping[str, Work]


class Asked(NamedTuple):
    """A task as one student has it: words, the answer [SI], and the slips by the number found."""

    question: str
    answer: float
    unit: str
    hints: tuple[str, ...]
    slips: tuple[tuple[float, str], ...]


def _spread(v: Values, k: Ways, less: float = 1.0) -> float:
    """Standard deviation of all that was drawn, in squares over their number less `less`."""
    mean = sum(v.values()) / len(v)
    return k.root(sum((one - mean) ** 2 for one in v.values()) / (len(v) - less))


WORK: Mapping[str, Work] = {
    "hard_to_turn": lambda v, k: v["m"] * k.square(v["r"] / v["s"]),
    "moment": lambda v, k: v["M"] * k.g * v["S"] * k.cos(k.degree * v["e"]),
    "balance": lambda v, k: k.g * (v["M"] * v["S"] - v["m"] * v["L"]),
    "energy_of_fall": lambda v, k: v["M"] * k.g * v["h"],
    "speed": lambda v, k: k.root(v["E"] / (k.half * v["m"])),
    "best_range": lambda v, k: v["M"] * v["h"] / (k.half * v["m"]),
    "range": lambda v, k: (
        k.square(v["v"]) * k.sin(k.degree * v["a"]) * k.cos(k.degree * v["a"]) / (k.half * k.g)
    ),
    "apex": lambda v, k: k.half * k.square(v["v"] * k.sin(k.degree * v["a"])) / k.g,
    "pull": lambda v, k: v["m"] * k.square(v["v"]) / v["R"],
    "handle": lambda v, k: v["M"] * k.g * v["h"] / (v["n"] * k.turn * v["r"]),
    "drag": lambda v, k: k.half * v["r"] * v["c"] * math.pi * v["d"] ** 2 / 4.0 * k.square(v["v"]),
    "model_time": lambda v, k: v["t"] / k.root(v["n"]),
    "pin_force": lambda v, k: v["M"] * k.g + v["M"] * k.square(v["v"]) / v["r"],
    "deviation": _spread,
    "euler": lambda v, k: k.half * k.g * k.square(v["h"]) * v["n"] * (v["n"] - 1.0),
    "counterweight": lambda v, k: k.half * v["R"] * v["m"] / (v["h"] * v["p"] / 100.0),
}
"""Each task's formula, of the values as the question has them (SI; angles in degrees)."""
SLIPS: Mapping[str, Mapping[str, Work]] = {
    "drag": {
        "the whole surface of the ball was taken: the cross-section is a circle": (
            lambda v, k: 4.0 * WORK["drag"](v, k)
        )
    },
    "model_time": {"it gets quicker, not slower": lambda v, k: v["t"] * k.root(v["n"])},
    "pin_force": {
        "its weight is missing": lambda v, k: v["M"] * k.square(v["v"]) / v["r"],
        "this is its weight alone: it moves on a circle": lambda v, k: v["M"] * k.g,
        "weight and pull to the centre add up at the lowest point": (
            lambda v, k: v["M"] * abs(k.square(v["v"]) / v["r"] - k.g)
        ),
    },
    "deviation": {
        "divided by the number of shots: the mean came from the same shots, so one less": (
            lambda v, k: _spread(v, k, 0.0)
        ),
        "this is how far the longest is from the shortest": (
            lambda v, k: max(v.values()) - min(v.values())
        ),
        "this is the mean": lambda v, k: sum(v.values()) / len(v),
        "this is how well the mean is known, not how far one shot is off": (
            lambda v, k: _spread(v, k) / k.root(len(v))
        ),
    },
    "euler": {
        "this is the true fall; Euler's lags behind": (
            lambda v, k: k.half * k.g * k.square(v["n"] * v["h"])
        ),
        "the speed at each step's end was taken": (
            lambda v, k: k.half * k.g * k.square(v["h"]) * v["n"] * (v["n"] + 1.0)
        ),
    },
    "counterweight": {
        "the losses were left out": lambda v, k: k.half * v["R"] * v["m"] / v["h"],
        "the losses were taken the wrong way": (
            lambda v, k: k.half * v["R"] * v["m"] * v["p"] / 100.0 / v["h"]
        ),
    },
}
"""What only a slip in one task finds: its words, and the formula that it follows."""


def _read() -> dict[str, Task]:
    with (data_folder() / "lessons" / "tasks.toml").open("rb") as file:
        whole = tomllib.load(file)
    found = {}
    for name, one in whole.items():
        drawn = {
            letter: (row["unit"], tuple(x for steps in row["steps"] for x in _steps(*steps)))
            for letter, row in one.pop("drawn").items()
        }
        one["hints"] = tuple(one["hints"])
        found[name] = Task(**one, drawn=drawn, work=WORK[name], slips=SLIPS.get(name, {}))
    return found


def _steps(low: float, high: float, step: float) -> tuple[float, ...]:
    return tuple(round(low + i * step, 9) for i in range(round((high - low) / step) + 1))


TASKS: Mapping[str, Task] = _read()


def named(text: str) -> str:
    """Give a name or number as it draws: case, spaces and the way letters are coded do not count.

    Raises:
        ValueError: nothing was typed, or more than a name.

    >>> named("  Otter  7 ")
    'otter 7'
    """
    plain = " ".join(unicodedata.normalize("NFKC", text[: 20 * LONGEST_NAME]).casefold().split())
    if not plain:
        raise ValueError("there is no name: type your name or number, then answer")
    if len(plain) > LONGEST_NAME:
        raise ValueError(f"the name is too long: at most {LONGEST_NAME} letters; shorten it")
    return plain


def _apart(values: list[float]) -> bool:
    return not any(math.isclose(*two, rel_tol=0.04) for two in itertools.combinations(values, 2))


def asked(name: str, student: str, seed: str = "") -> Asked:
    """Draw a task for a student: the same name and seed always give the same numbers.

    Args:
        name: of the task, a key of `TASKS`.
        student: a name or number, as typed.
        seed: of the class, so that last year's answers are none of this year's.

    Raises:
        KeyError: no such task; all are named.
        ValueError: a name that is none.
    """
    if name not in TASKS:
        raise KeyError(f"there is no task {name!r}; take one of {', '.join(TASKS)}")
    task = TASKS[name]
    key = "\0".join((name, named(student), " ".join(seed.split())))
    chance = random.Random(hashlib.sha256(key.encode()).digest())
    while True:
        values = {letter: chance.choice(many) for letter, (_, many) in task.drawn.items()}
        answer = task.work(values, RIGHT)
        found = [(task.work(values, ways), words) for words, ways in FAULTED.items()]
        found += [(slip(values, RIGHT), words) for words, slip in task.slips.items()]
        slips = [one for one in found if not math.isclose(one[0], answer, rel_tol=1e-9)]
        if _apart([answer, *(value for value, _ in slips)]):
            break
    shown = {
        letter: f"{value:g}" if unit == "-" else f"{value:g} {unit}"
        for letter, value in values.items()
        for unit in [task.drawn[letter][0]]
    }
    return Asked(task.question.format(**shown), answer, task.unit, task.hints, tuple(slips))

"""Tasks of the lessons: numbers drawn for each student, the answer and usual slips worked out.

A task has one formula, written over `Ways`. Right ways give the answer; a faulted copy of them (no
g, a half lost, sine for cosine, degrees for radians, no square) gives what a student who slips so
finds, so that a slip is known by its own number.
"""

from __future__ import annotations

import hashlib
import itertools
import math
import random
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

LONGEST_NAME = 60
"""Letters of a student's name, or of a class's seed."""


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


RIGHT = Ways()
FAULTED: Mapping[str, Ways] = {
    "gravity was left out": replace(RIGHT, g=1.0),
    "a factor of 2: the half was lost": replace(RIGHT, half=1.0),
    "the square was forgotten": replace(RIGHT, square=lambda x: x),
    "sine and cosine changed places": replace(RIGHT, sin=math.cos, cos=math.sin),
    "degrees where the sine or cosine takes radians": replace(RIGHT, degree=1.0),
    "2 pi was left out: a turn is 2 pi times the radius": replace(RIGHT, turn=1.0),
    "a radius or turn too short: pi, where a turn is 2 pi": replace(RIGHT, turn=math.pi),
}
"""What each fault does to the ways (common practice)."""

Values = Mapping[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A question with places for what is drawn: letter to unit and the values it may have.

    `work` takes the values as the question has them (SI; angles in degrees) and the ways.
    """

    question: str
    drawn: Mapping[str, tuple[str, tuple[float, ...]]]
    work: Callable[[Values, Ways], float]
    unit: str
    hints: tuple[str, ...]


class Asked(NamedTuple):
    """A task as one student has it: words, the answer [SI], and the slips by the number found."""

    question: str
    answer: float
    unit: str
    hints: tuple[str, ...]
    slips: tuple[tuple[float, str], ...]


def _steps(low: float, high: float, step: float) -> tuple[float, ...]:
    return tuple(round(low + i * step, 9) for i in range(round((high - low) / step) + 1))


MASS, FALL, ARM = _steps(200, 900, 20), _steps(1.4, 3.8, 0.2), _steps(1.2, 2.4, 0.1)
BALL, ANGLE = _steps(3, 18, 0.5), (*_steps(22, 38, 1), *_steps(52, 68, 1))
SPEED = _steps(21, 48, 1)
TASKS: Mapping[str, Task] = {
    "hard_to_turn": Task(
        question="A mass of {m} sits {r} from the axle. Which mass at {s} is as hard to turn?",
        drawn={"m": ("kg", BALL), "r": ("m", _steps(4.5, 7.5, 0.1)), "s": ("m", ARM)},
        work=lambda v, k: v["m"] * k.square(v["r"] / v["s"]),
        unit="kg",
        hints=(
            "How hard a mass is to turn goes with its distance from the axle, but not simply.",
            "Mass times distance squared is the same on both sides.",
            "Divide the two distances, square what comes out, and multiply by the mass.",
        ),
    ),
    "moment": Task(
        question="A counterweight of {M} hangs on an arm {S} from the axle, {e} off level. "
        "What is its moment about the axle?",
        drawn={"M": ("kg", MASS), "S": ("m", ARM), "e": ("deg", ANGLE)},
        work=lambda v, k: v["M"] * k.g * v["S"] * k.cos(k.degree * v["e"]),
        unit="N m",
        hints=(
            "A moment is force times lever, and the lever is measured level.",
            "The force is mass times g; the level part of the arm is its length times a cosine.",
        ),
    ),
    "balance": Task(
        question="A lever has {m} at {L} on one side and {M} at {S} on the other, and is level. "
        "What is its moment, taken positive where the {M} goes down?",
        drawn={
            "m": ("kg", _steps(150, 240, 5)),
            "L": ("m", _steps(5.0, 7.5, 0.1)),
            "M": ("kg", _steps(200, 300, 10)),
            "S": ("m", ARM),
        },
        work=lambda v, k: k.g * (v["M"] * v["S"] - v["m"] * v["L"]),
        unit="N m",
        hints=(
            "Two forces turn it two ways: take one from the other.",
            "Which one is larger? The sign says which side goes down.",
        ),
    ),
    "energy_of_fall": Task(
        question="How much energy does a counterweight of {M} give as it falls {h}?",
        drawn={"M": ("kg", MASS), "h": ("m", FALL)},
        work=lambda v, k: v["M"] * k.g * v["h"],
        unit="J",
        hints=("Its weight times the way it falls.", "Its weight is its mass times g."),
    ),
    "speed": Task(
        question="A projectile of {m} takes {E} of energy from the machine. How fast does it go?",
        drawn={"m": ("kg", BALL), "E": ("J", _steps(2000, 9000, 100))},
        work=lambda v, k: math.sqrt(v["E"] / (k.half * v["m"])),
        unit="m/s",
        hints=(
            "Write the energy of motion of a mass, and solve it for the speed.",
            "Half the mass times the speed squared is the energy; take the root last.",
        ),
    ),
    "best_range": Task(
        question="A counterweight of {M} falls {h}. How far could a projectile of {m} go at best?",
        drawn={"M": ("kg", MASS), "h": ("m", FALL), "m": ("kg", BALL)},
        work=lambda v, k: v["M"] * v["h"] / (k.half * v["m"]),
        unit="m",
        hints=(
            "All the energy goes into the projectile, and 45 degrees is the best angle.",
            "Speed squared over g is the range; half the mass times speed squared is the energy.",
        ),
    ),
    "range": Task(
        question="Without air, over level ground: how far does a projectile fly that leaves with "
        "{v} at {a} above level?",
        drawn={"v": ("m/s", SPEED), "a": ("deg", ANGLE)},
        work=lambda v, k: (
            k.square(v["v"]) * k.sin(k.degree * v["a"]) * k.cos(k.degree * v["a"]) / (k.half * k.g)
        ),
        unit="m",
        hints=(
            "How long is it in the air, and how fast does it go forward meanwhile?",
            "Up it goes with v sin a, and is down again after twice that over g.",
            "Forward it goes with v cos a for all that time.",
        ),
    ),
    "apex": Task(
        question="Without air: how high does a projectile rise that leaves with {v} at {a} above "
        "level, above where it left?",
        drawn={"v": ("m/s", SPEED), "a": ("deg", ANGLE)},
        work=lambda v, k: k.half * k.square(v["v"] * k.sin(k.degree * v["a"])) / k.g,
        unit="m",
        hints=("Only the upward part of the speed counts.", "That part, squared, over twice g."),
    ),
    "pull": Task(
        question="A projectile of {m} goes round with {v} on a sling of {R}. "
        "What does it take to hold it on its circle?",
        drawn={"m": ("kg", BALL), "v": ("m/s", SPEED), "R": ("m", _steps(3.0, 6.0, 0.1))},
        work=lambda v, k: v["m"] * k.square(v["v"]) / v["R"],
        unit="N",
        hints=("Faster is harder, wider is easier.", "Mass times speed squared over the radius."),
    ),
    "handle": Task(
        question="Without losses: a counterweight of {M} is raised {h} by {n} turns of a crank of "
        "{r} radius. What is the mean force at the handle?",
        drawn={
            "M": ("kg", MASS),
            "h": ("m", FALL),
            "n": ("-", _steps(40, 120, 5)),
            "r": ("m", _steps(0.25, 0.45, 0.05)),
        },
        work=lambda v, k: v["M"] * k.g * v["h"] / (v["n"] * k.turn * v["r"]),
        unit="N",
        hints=(
            "The work is the same at both ends: force times distance.",
            "The handle's way is so many times round a circle of that radius.",
        ),
    ),
}


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
    """Whether no two are so near that one could be taken for the other."""
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
        slips = [one for one in found if not math.isclose(one[0], answer, rel_tol=1e-9)]
        if _apart([answer, *(value for value, _ in slips)]):
            break
    shown = {
        letter: f"{value:g}" if unit == "-" else f"{value:g} {unit}"
        for letter, value in values.items()
        for unit in [task.drawn[letter][0]]
    }
    return Asked(task.question.format(**shown), answer, task.unit, task.hints, tuple(slips))

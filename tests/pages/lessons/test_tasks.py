"""Tasks drawn for each student: answers by sympy, slips by their kind, key and marks by command.

Truth: each law written anew below and solved by sympy or scipy (energy of a fall, conservation of
energy, the parabola without air, work at a crank, moments); the laws: J. R. Taylor, Classical
Mechanics, chapters 1 and 4, from memory. g is 9.80665 m/s2 (ISO 80000-3).
"""

import json
import math
import re
import statistics

import pytest
import sympy as sp
from scipy import constants, integrate, optimize

from slingwright.commands.line import main
from slingwright.pages.lessons.exercise import WAIT, Exercise, Sheet, marks
from slingwright.pages.lessons.tasks import TASKS, asked, named

G = constants.g


def numbers(question):
    """Give the numbers of a question in its order, with units read as written."""
    return [float(text) for text in re.findall(r"(?<![\w.])\d+(?:\.\d+)?", question)]


def flight(speed, degrees):
    """Follow a projectile without air to the level it left: its way and its highest point."""

    def down(_, y):
        return y[1]

    down.terminal, down.direction = True, -1
    start = [
        0.0,
        0.0,
        speed * math.cos(math.radians(degrees)),
        speed * math.sin(math.radians(degrees)),
    ]
    fly = lambda t, y: [y[2], y[3], 0.0, -G]  # noqa: E731
    done = integrate.solve_ivp(
        fly, (0, 60), start, events=down, rtol=1e-10, atol=1e-9, max_step=0.004
    )
    ends = done.y_events[0]
    return ends[-1][0], float(max(done.y[1]))


def by_hand(name, v):
    """Answer a task from its question's numbers, by another way than the kit's formula."""
    x = sp.symbols("x", positive=True)
    if name == "hard_to_turn":
        m, r, s = v
        return sp.solve(sp.Eq(m * r**2, x * s**2), x)[0]
    if name == "moment":
        mass, arm, e = v
        point, weight = sp.Matrix([arm, 0, 0]), sp.Matrix([0, -mass * G, 0])
        turned = sp.rot_axis3(-sp.rad(e)) * point
        return abs(turned.cross(weight)[2].evalf())
    if name == "balance":
        m, far, mass, near = v[:4]
        return (mass * near - m * far) * G
    if name == "energy_of_fall":
        return integrate.quad(lambda y: v[0] * G, 0.0, v[1])[0]
    if name == "speed":
        return sp.solve(sp.Eq(v[0] * x**2 / 2, v[1]), x)[0]
    if name == "best_range":
        speed = math.sqrt(2.0 * v[0] * G * v[1] / v[2])
        return -optimize.minimize_scalar(
            lambda a: -(speed**2) * math.sin(2.0 * a) / G, bounds=(0.1, 1.4), method="bounded"
        ).fun
    if name in ("range", "apex"):
        return flight(*v)[name == "apex"]
    if name == "pull":
        m, speed, radius = v
        t = sp.symbols("t")
        place = sp.Matrix(
            [radius * sp.cos(speed * t / radius), radius * sp.sin(speed * t / radius)]
        )
        return m * place.diff(t, 2).subs(t, 0).norm().evalf()
    if name in MORE:
        return MORE[name](*v)
    mass, fall, turns, radius = v
    return sp.solve(sp.Eq(x * turns * 2 * sp.pi * radius, mass * G * fall), x)[0].evalf()


def by_steps(count, step):
    """Follow Euler's method in a loop, one step after the other."""
    place = speed = 0.0
    for _ in range(int(count)):
        place, speed = place + speed * step, speed + G * step
    return place


MORE = {
    # Pressure 1/2 rho v2 over the circle's area, which is integrated ring by ring.
    "drag": lambda d, v, density, c: (
        c * integrate.quad(lambda r: 0.5 * density * v**2 * 2.0 * math.pi * r, 0.0, d / 2.0)[0]
    ),
    # The small swing of a pendulum of any length l, 2 pi sqrt(l / g): l is taken for n and for 1.
    "model_time": lambda t, n: float(
        t * sp.sqrt(sp.Rational(1) / G) / sp.sqrt(sp.nsimplify(n) / G)
    ),
    "pin_force": lambda mass, v, r: (
        mass * (sp.Matrix([-(v**2) / r]) - sp.Matrix([G])).norm()
    ).evalf(),
    "deviation": lambda *shots: statistics.stdev(shots),
    "euler": by_steps,
    # What gives the range R at 45 degrees: m g R / 2 of energy, and only a part arrives.
    "counterweight": lambda far, m, fall, share: float(
        sp.solve(sp.Eq(sp.Symbol("x") * G * fall * share / 100, m * G * far / 2))[0]
    ),
}


@pytest.mark.parametrize("name", TASKS)
def test_the_answer_is_that_of_the_question_as_it_is_read(name):
    """Truth: see `by_hand`, from the numbers that the question shows and nothing else."""
    for student in ("otter 1", "otter 2", "7"):
        one = asked(name, student, "spring")
        assert float(by_hand(name, numbers(one.question))) == pytest.approx(one.answer, rel=2e-4)


@pytest.mark.parametrize("name", TASKS)
def test_numbers_differ_between_students_and_classes_and_stay(name):
    """Truth: same name and seed, same question, however it is typed; others mostly differ."""
    many = [asked(name, str(i)).question for i in range(30)]
    assert len(set(many)) > 25 and many == [asked(name, f" {i} ").question for i in range(30)]
    assert asked(name, "Otter  A") == asked(name, "otter a") != asked(name, "otter a", "next year")


@pytest.mark.parametrize("name", TASKS)
def test_no_slip_is_taken_for_right_and_each_is_named(name):
    """Truth: the wrong numbers themselves; 40 students; no hint or question tells the answer."""
    for i in range(40):
        one = asked(name, f"otter {i}")
        task = Exercise("", 1.0, "m")
        task.ask(one.question, one.answer, one.unit, one.hints, one.slips)
        for value, words in one.slips:
            told = task.check(repr(value))
            assert "Right" not in told and words in told
        for factor, words in ((10.0, "larger by 10"), (2.0, "2"), (0.5, "2"), (-1.0, "wrong sign")):
            told = task.check(repr(factor * one.answer))
            own = [w for x, w in one.slips if math.isclose(x, factor * one.answer, rel_tol=0.005)]
            assert "Right" not in told and any(w in told for w in (words, *own))
        assert not any(re.search(r"\d{3}", hint) for hint in one.hints)


def slip(name, student, wrong):
    """Give what is told of a wrong answer worked out from the question's numbers."""
    one = asked(name, student)
    task = Exercise("", 1.0, "m")
    task.ask(one.question, one.answer, one.unit, one.hints, one.slips)
    return task.check(repr(float(wrong(*numbers(one.question)))))


@pytest.mark.parametrize(
    ("name", "wrong", "words"),
    [
        ("moment", lambda m, s, e: m * s * math.cos(math.radians(e)), "gravity was left out"),
        ("moment", lambda m, s, e: m * G * s * math.sin(math.radians(e)), "sine and cosine"),
        ("moment", lambda m, s, e: m * G * s * math.cos(e), "degrees where"),
        ("apex", lambda v, a: (v * math.cos(math.radians(a))) ** 2 / 2 / G, "sine and cosine"),
        ("apex", lambda v, a: (v * math.sin(a)) ** 2 / 2 / G, "degrees where"),
        ("apex", lambda v, a: (v * math.sin(math.radians(a))) ** 2 / G, "half was lost"),
        ("apex", lambda v, a: v * math.sin(math.radians(a)) / 2 / G, "square was forgotten"),
        ("hard_to_turn", lambda m, r, s: m * r / s, "square was forgotten"),
        ("speed", lambda m, e: math.sqrt(e / m), "half was lost"),
        ("handle", lambda m, h, n, r: m * G * h / n / r, "2 pi was left out"),
        ("handle", lambda m, h, n, r: m * G * h / n / math.pi / r, "where a turn is 2 pi"),
        ("hard_to_turn", lambda m, r, s: m * (r / s) ** 3, "the cube was taken"),
        ("drag", lambda d, v, r, c: r * c * math.pi * d**2 / 8 * v, "square was forgotten"),
        ("drag", lambda d, v, r, c: r * c * math.pi * d**2 / 2 * v**2, "whole surface"),
        ("model_time", lambda t, n: t / n, "the root was not taken"),
        ("model_time", lambda t, n: t * math.sqrt(n), "quicker"),
        ("pin_force", lambda m, v, r: m * v**2 / r, "its weight is missing"),
        ("pin_force", lambda m, v, r: m * G, "its weight alone"),
        ("deviation", lambda *x: statistics.pstdev(x), "divided by the number"),
        ("deviation", lambda *x: statistics.variance(x), "the root was not taken"),
        ("deviation", lambda *x: max(x) - min(x), "longest is from the shortest"),
        ("euler", lambda n, h: G * (n * h) ** 2 / 2, "the true fall"),
        ("euler", lambda n, h: G * h**2 * n * (n + 1) / 2, "at each step's end"),
        ("counterweight", lambda far, m, h, p: far * m / 2 / h, "losses were left out"),
        ("counterweight", lambda far, m, h, p: far * m * p / 200 / h, "the wrong way"),
    ],
)
def test_slips_of_ten_kinds_are_known_by_their_kind(name, wrong, words):
    """Truth: the slip made by hand with the question's numbers."""
    for student in ("otter 1", "otter 2", "otter 3"):
        told = slip(name, student, wrong)
        assert words in told and "Right" not in told


@pytest.mark.parametrize(
    "text", ["91,7", "nan", "", "12 m", "3 N m", "x" * 10_240, "9" * 10_240, "inf", "1 \0", "½ ft"]
)
def test_what_is_no_answer_gets_a_kind_sentence(text, tmp_path):
    """Truth: each is no energy; nothing of it is kept or counted."""
    sheet = Sheet("spring", folder=tmp_path)
    task = sheet.ask("energy_of_fall")
    assert task.check(text) == WAIT
    sheet.field.value = "Otter 7"
    told = task.check(text)
    assert told.startswith("That cannot be read:") and "Right" not in told and len(told) < 250
    task.field.value = text
    assert task.wrong == 0 and not list(tmp_path.iterdir())


def test_a_moment_is_no_energy_and_an_energy_no_moment():
    """Truth: SI Brochure 2.3.4: the joule is not used for moments, nor N m for energies."""
    energy, moment = Exercise("", 3000.0, "J"), Exercise("", 3000.0, "N m")
    for text in ("3000 N m", "3 kN m", "2213 lbf ft", "3000 N*m"):
        assert "how a moment is written" in energy.check(text) and "Right" in moment.check(text)
    for text in ("3000 J", "3 kJ"):
        assert "how an energy is written" in moment.check(text) and "Right" in energy.check(text)
    assert "Right" in energy.check("2213 ft lbf")


def test_answers_are_kept_and_marked_anew(tmp_path):
    """Truth: three answers by hand; a mark is worked out from what was typed, not read."""
    sheet = Sheet("spring", folder=tmp_path)
    first, second = sheet.ask("speed"), sheet.ask("apex")
    sheet.field.value = "Otter 7"
    first.field.value = "1 m/s"
    first.field.value = repr(asked("speed", "otter 7", "spring").answer)
    second.field.value = "2 m"
    lines = (tmp_path / "answers.jsonl").read_text().splitlines()
    assert marks(lines, "spring") == {"otter 7": {"speed": 2, "apex": 0}}
    assert marks(lines, "another")["otter 7"]["speed"] == 0
    assert not any("right" in json.loads(line) for line in lines)
    with pytest.raises(ValueError, match="line 1 holds no answer"):
        marks(['{"student": "a"}'])
    lost = Sheet(folder=tmp_path / "none")
    task = lost.ask("speed")
    lost.field.value = "7"
    assert "Not kept" in task.check("3") and "Not yet" in task.check("3")


def test_another_day_goes_on_where_the_last_one_ended(tmp_path):
    """Truth: what was typed on the first sheet, judged by the answer itself."""
    sheet = Sheet("spring", folder=tmp_path)
    task, done = sheet.ask("speed"), sheet.ask("drag")
    sheet.field.value = "Otter 7"
    assert "Right so far" not in sheet.words.value, "nothing was kept yet"
    task.field.value = "1 m/s"
    done.field.value = repr(asked("drag", "otter 7", "spring").answer)
    again = Sheet("spring", folder=tmp_path)
    task, done = again.ask("speed"), again.ask("drag")
    again.field.value = "OTTER 7"
    assert f"Right so far: drag (1 of {len(TASKS)})" in again.words.value
    assert "Kept: &#x27;1 m/s&#x27;" in task.words.value and task.wrong == 1
    assert asked("speed", "otter 7").hints[1] in task.check("2 m/s"), "the next hint, not the first"
    assert "Right" in done.words.value
    again.field.value = "8"
    assert "Kept" not in task.words.value + done.words.value and task.wrong == 0
    (tmp_path / "answers.jsonl").write_text("no answers\n")
    again.field.value = "Otter 7"
    assert "cannot be read: line 1" in again.words.value and task.check("3 m/s")[:1] != "T"


def test_neither_page_nor_export_has_the_answer(tmp_path):
    """Truth: what a browser or a static page is given, searched for the number and its figures."""
    sheet = Sheet("spring", folder=tmp_path)
    task = sheet.ask("range")
    sheet.field.value = "Otter 7"
    answer = asked("range", "otter 7", "spring").answer
    task.check("3 m")
    state = json.dumps(
        [one.get_state() for one in (task.field, task.words, task.shown)], default=str
    )
    for whole in (state, json.dumps(task._repr_mimebundle_(), default=str)):
        shown = re.sub("[0-9a-f]{32}", "", whole)  # widgets have random names
        assert f"{answer:.0f}" not in shown and f"{answer:.3g}" not in shown


def test_key_and_marks_by_command(tmp_path, capsys):
    """Truth: the answers as `asked` gives them to four figures, and marks of a file made here."""
    answer = asked("speed", "Otter 7", "spring").answer
    ask = ["lessons", "key", "--seed", "spring", "--students", "Otter 7", "12", "--task", "speed"]
    assert main(ask) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 3 and f"{answer:.4g} m/s" in lines[1]
    file = tmp_path / "answers.jsonl"
    file.write_text(json.dumps({"student": "7", "task": "speed", "typed": "1"}) + "\n")
    assert main(["lessons", "marks", "--files", str(file)]) == 0
    assert f"0 of {len(TASKS)}" in capsys.readouterr().out
    for wrong, words in (
        (["key"], "no student is named"),
        (["key", "--students", " "], "no name"),
        (["key", "--students", "x" * 99], "too long"),
        (["key", "--students", "7", "--task", "sped"], "no such task"),
        (["marks", "--files", str(tmp_path / "none")], "no file of answers"),
    ):
        assert main(["lessons", *wrong]) == 2
        assert words in capsys.readouterr().err


def test_a_name_draws_however_it_is_typed_or_is_refused():
    """Truth: Unicode NFKC and casefold; the limit of 60."""
    assert named("ＯTTER\t7 ") == named("otter 7")
    for text, words in (("", "no name"), ("x" * 61, "too long"), ("x" * 10_240, "too long")):
        with pytest.raises(ValueError, match=words):
            named(text)

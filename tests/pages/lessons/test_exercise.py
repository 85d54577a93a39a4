"""Exercises: what is right, nearly right, of another unit, of the wrong sign, or not readable.

Truth: the answer given to the exercise; the definition of the foot (0.3048 m, exact).
"""

import math

import pytest

from slingwright.pages.lessons.exercise import Exercise


def test_right_in_any_unit_within_the_tolerance():
    """Truth: 100 m is 328.08 ft; 2 % is the usual tolerance."""
    task = Exercise("How far?", 100.0, "m")
    for text in ("100", "101.9", "98.1 m", "328.08 ft", " 1e2 "):
        assert "Right" in task.check(text)
    assert task.wrong == 0
    for text in ("102.1", "97.9 m", "100 ft"):
        assert "Not yet" in task.check(text)
    assert task.wrong == 3


def test_wrong_answers_say_which_way_and_give_the_hints_in_order():
    """Truth: the hints' own order; the last one stays."""
    task = Exercise("How heavy?", 12.0, "kg", ("Weigh it.", "Weigh it again."))
    assert "too small. Weigh it." in task.check("5")
    assert "too large. Weigh it again." in task.check("30")
    assert "wrong sign. Weigh it again." in task.check("-12")


def test_what_cannot_be_read_is_not_counted_and_is_shown_as_text():
    """Truth: the message names the fault; mark-up in an answer does nothing."""
    task = Exercise("How far?", 100.0, "m")
    assert "cannot be read" in task.check("12 kg") and "cannot be read" in task.check("far")
    assert task.wrong == 0
    task.field.value = "<script>alert(1)</script>"
    assert "<script>" not in task.words.value and "cannot be read" in task.words.value
    task.field.value = "100"
    assert "Right" in task.words.value
    task.field.value = ""
    assert "Right" not in task.words.value


def test_angles_are_asked_in_degrees_and_print_keeps_the_question():
    """Truth: pi/6 is 30 degrees; static pages show text/html where there are no widgets."""
    task = Exercise("Which <angle>?", math.pi / 6.0, "rad")
    assert "Right: 30" in task.check("30") and "Right" in task.check("0.5236 rad")
    assert "Not yet" in task.check("0.5236")
    assert "Which &lt;angle&gt;?" in task._repr_mimebundle_()["text/html"]


def test_an_answer_that_is_no_number_is_refused():
    """Truth: the message names the value."""
    with pytest.raises(ValueError, match="the answer is nan"):
        Exercise("How far?", math.nan, "m")


@pytest.mark.parametrize(
    ("factor", "words"),
    [
        (2.0, "factor of 2 too much"),
        (0.5, "factor of 2 was lost"),
        (10.0, "decimal point"),
        (0.01, "smaller by 100"),
        (9.81, "gravity counted"),
        (1.0 / 9.81, "gravity was left out"),
        (180.0 / math.pi, "degrees"),
        (math.pi / 180.0, "radians where degrees"),
        (-1.0, "wrong sign"),
        (2.0 * math.pi, "turns"),
        (1.3, "too large"),
        (0.7, "too small"),
    ],
)
def test_a_usual_slip_is_named(factor, words):
    """Truth: the ratio of what was typed to the answer; 9.81 is told apart from 10."""
    task = Exercise("How heavy?", 12.0, "kg", ())
    assert words in task.check(f"{12.0 * factor!r}")

"""Wrong answers of ten kinds typed on a lesson's page: each named by kind, none right, none lost.

Truth: the moment M g S cos e of the question's own numbers, and the slip made by hand.
"""

import json
import math
import re

import pytest
from browser.shared.looks import run_page
from scipy.constants import g

pytestmark = pytest.mark.browser

CELLS = (
    "import slingwright as sw\nsw.panels.large_type()",
    'sheet = sw.panels.Sheet("otter")\nsheet',
    'sheet.ask("moment")',
)


def lesson(folder) -> str:
    """Write a page of a name and one task."""
    cell = {"cell_type": "code", "execution_count": None, "metadata": {}, "outputs": []}
    cells = [cell | {"id": f"c{i}", "source": text} for i, text in enumerate(CELLS)]
    kernel = {"display_name": "Python 3", "language": "python", "name": "python3"}
    whole = {"cells": cells, "metadata": {"kernelspec": kernel}, "nbformat": 4, "nbformat_minor": 5}
    (folder / "a_lesson.ipynb").write_text(json.dumps(whole), "utf-8")
    return "a_lesson.ipynb"


def test_wrong_answers_of_ten_kinds(page, jupyter_server) -> None:
    """Truth: see above; the page holds the answer nowhere until it is typed."""
    field = ".sw-guarded input[placeholder*='a number']"
    run_page(
        page,
        jupyter_server,
        lesson(jupyter_server.folder),
        ready=field,
        root=".sw-guarded",
        whole=True,
    )
    page.fill(".sw-guarded input[placeholder='your name or number']", "Otter 7")
    page.keyboard.press("Tab")
    page.wait_for_selector("text=A counterweight of")
    asked = page.inner_text("p:has-text('A counterweight of')")
    mass, arm, off = (float(text) for text in re.findall(r"\d+(?:\.\d+)?", asked))
    angle = math.radians(off)
    right = mass * g * arm * math.cos(angle)
    wrong = [
        (10.0 * right, "larger by 10"),
        (2.0 * right, "factor of 2"),
        (0.5 * right, "factor of 2 was lost"),
        (right / g, "gravity was left out"),
        (mass * g * arm * math.cos(off), "degrees where"),
        (mass * g * arm * math.sin(angle), "sine and cosine"),
        (-right, "wrong sign"),
        (f"{right:.0f} J", "how an energy is written"),
        ("91,7", "two ways"),
        ("nan", "no finite number"),
        ("12 kg", "unit of a mass"),
        ("9" * 10_240, "no finite number"),
        (right, "Right"),
    ]
    for typed, words in wrong:
        page.fill(field, str(typed))
        page.keyboard.press("Tab")
        page.wait_for_selector(f"p[role='status']:has-text('{words}')", timeout=15_000)
        told = page.inner_text("p[role='status']:below(p:has-text('A counterweight of'))")
        assert ("Right" in told) == (words == "Right") and "Traceback" not in page.content()
        assert words == "Right" or f"{right:.0f}" not in told


def test_answers_are_shown_again_and_type_is_large(page, jupyter_server) -> None:
    """Truth: what the test before typed, last and first; CSS font sizes as the browser has them."""
    name, field = "your name or number", ".sw-guarded input[placeholder*='a number']"
    run_page(
        page,
        jupyter_server,
        lesson(jupyter_server.folder),
        ready=field,
        root=".sw-guarded",
        whole=True,
    )
    page.fill(f".sw-guarded input[placeholder='{name}']", "otter 7")
    page.keyboard.press("Tab")
    page.wait_for_selector("p[role='status']:has-text('Right so far: moment (1 of')")
    page.wait_for_selector("p[role='status']:has-text('Kept:')")
    assert "Right" in page.inner_text("p[role='status']:has-text('Kept:')"), "the last one typed"
    size = "getComputedStyle(document.querySelector('p[role=status]')).fontSize"
    before = float(page.evaluate(size)[:-2])
    page.click("button:has-text('Large type')")
    page.wait_for_function(f"parseFloat({size}) > 1.3 * {before}")

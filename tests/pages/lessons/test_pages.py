"""Lesson pages: every letter is explained on its page, pictures come first, and the plan is right.

Truth: LaTeX's own syntax for what is a letter; the pages' own tables of letters; the lines "Needs"
of the pages; the brief of the design project, met by one change of the machine.
"""

import json
import re

import pytest
from test_repository import PAGES, ROOT

import slingwright as sw
from slingwright.pages.lessons.tasks import TASKS

TEACH = ROOT / "notebooks" / "teach"
LESSONS = [page for page in PAGES if TEACH in page.parents]
NEW = [page for page in LESSONS if page.parent.name in ("lessons", "rungs")]
GREEK = {"omega", "theta", "rho", "mu"}
# What LaTeX writes that is no letter for an amount: operators, brackets, spaces, and functions.
OTHER = re.compile(
    r"\\frac\{d\}\{dt\}|\\(text|mathrm)\{[^}]*\}"
    r"|\\(frac|tfrac|sqrt|left|right|cdot|quad|qquad|pm|dots|partial|sin|cos|tan|max|circ|pi|[,;!\\])(?![a-z])"
)


def cells(page, kind):
    """Give the texts of a page's cells of one kind."""
    whole = json.loads(page.read_text("utf-8"))["cells"]
    return ["".join(cell["source"]) for cell in whole if cell["cell_type"] == kind]


def letters(text):
    """Give the letters in the formulas of a text: subscripts belong to them, dots do not."""
    found = set()
    for double, single in re.findall(r"\$\$(.+?)\$\$|\$([^$\n]+?)\$", text, re.S):
        plain = OTHER.sub(" ", double or single)
        plain = re.sub(r"\\(d?dot|bar|mathcal)\{?\s*([A-Za-z])\}?", r"\2", plain)
        for greek, letter in re.findall(r"\\([a-z]+)|([A-Za-z](?:_\{?\w+\}?)?)", plain):
            assert not greek or greek in GREEK, f"what is \\{greek}?"
            found.add(greek or letter.replace("{", "").replace("}", ""))
    return found


def explained(page):
    """Give the letters of a page's own tables, and of those that the kit sets below equations."""
    rows = [line for text in cells(page, "markdown") for line in text.splitlines()]
    own = letters("\n".join(row for row in rows if row.startswith("| $")))
    return own


@pytest.mark.parametrize("page", LESSONS, ids=lambda page: page.stem)
def test_every_letter_of_a_page_stands_in_its_legend(page):
    """Truth: see above: what stands between dollars, against the first two columns of tables."""
    used = set().union(*(letters(text) for text in cells(page, "markdown")))
    assert used - explained(page) == set()


def test_the_rule_of_letters_bites():
    """Truth: a formula by hand: three letters, one with an index, one with two dots."""
    text = r"so $\ddot e = \frac{g (M S)}{2 I_a} \cos e$ and $$\omega^2 = \text{half of } x$$"
    assert letters(text) == {"e", "g", "M", "S", "I_a", "omega", "x"}
    with pytest.raises(AssertionError, match="zeta"):
        letters(r"$\zeta$")


@pytest.mark.parametrize("page", NEW, ids=lambda page: page.stem)
def test_a_page_opens_on_its_picture_and_asks_a_task(page):
    """Truth: the course's own rule: slider and picture in the first cell that runs; predict, then
    check; a task with numbers of one's own; a gauge."""
    whole = json.loads(page.read_text("utf-8"))["cells"]
    assert [cell["cell_type"] for cell in whole[:2]] == ["markdown", "code"]
    first = "".join(whole[1]["source"])
    assert "sw.panels.Flip(" in first or ("Dials(" in first and "large_type()" in first)
    words = "\n".join(cells(page, "markdown"))
    assert words.startswith("# ") and words.splitlines()[0].endswith("?")
    for part in ("## Predict", "## Gauge", "## Try this", "**Needs**"):
        assert part in words
    code = cells(page, "code")
    assert all(cell["metadata"]["jupyter"]["source_hidden"] for cell in whole if "outputs" in cell)
    asked = re.findall(r'sheet\.ask\("(\w+)"\)', "\n".join(code))
    assert asked and set(asked) <= set(TASKS) and "assert" in code[-1]
    if page.parent.name == "lessons":
        minutes = sum(map(int, re.findall(r"[a-z] (\d+)(?=[,.;]|$)", need(words))))
        assert minutes == 45 and "**45 minutes" in words


@pytest.mark.parametrize("page", sorted(TEACH.glob("0*.ipynb")), ids=lambda page: page.stem)
def test_the_older_pages_open_on_a_picture_too(page):
    """Truth: the course's own rule: a title, then a picture, then words."""
    whole = json.loads(page.read_text("utf-8"))["cells"]
    title, first = ("".join(cell["source"]) for cell in whole[:2])
    assert title.startswith("# ") and "\n" not in title.strip()
    assert whole[1]["cell_type"] == "code" and first.rstrip().endswith("figure")


def need(words):
    """Give the line of a page that says what it needs and how its minutes are spent."""
    line = next(text for text in words.splitlines() if text.startswith("**Needs**"))
    return line.partition("**45 minutes")[2].partition(". A project")[0]


def test_the_plan_names_every_page_and_needs_only_what_comes_before():
    """Truth: the pages' own lines "Needs", and the order of the plan's two courses."""
    plan = TEACH / "course_plan.ipynb"
    words = "\n".join(cells(plan, "markdown"))
    linked = [(TEACH / name).resolve() for name in re.findall(r"\]\(([\w/]+\.ipynb)\)", words)]
    assert {page for page in LESSONS if page != plan} == set(linked)
    for course in re.findall(r"^## For .+?(?=^## |\Z)", words, re.M | re.S):
        order = [(TEACH / name).resolve() for name in re.findall(r"\]\(([\w/]+\.ipynb)\)", course)]
        for at, page in enumerate(order):
            text = "\n".join(cells(page, "markdown"))
            line = re.search(r"^\*\*Needs\*\*(.+?)(\*\*45|$)", text, re.M)
            for name in re.findall(r"\]\(([\w./]+\.ipynb)\)", line[1] if line else ""):
                assert (page.parent / name).resolve() in order[:at], f"{page.stem} needs {name}"


def test_the_brief_of_the_design_project_can_be_met():
    """Truth: its own words: 125 m, give or take 2; 300 at 3 a kilogram of timber, 0.5 of fill."""
    was = sw.read_machine("otter_fair")
    design = was.change({"counterweight.mass": "800 kg", "frame.sill_width": "460 mm"})
    assert abs(sw.throw(design).range - 125.0) < 2.0
    timber = sw.cut_list(design).mass("timber") - sw.cut_list(was).mass("timber")
    assert 3.0 * timber + 0.5 * 60.0 < 300.0
    held = {key: sw.holding(one, quick=True).checks for key, one in (("was", was), ("is", design))}
    good = {one.key for one in held["was"] if one.as_planned.passes}
    worse = [one for one in held["is"] if one.key in good and one.as_planned.verdict == "fails"]
    assert not worse and sw.winding(design).loosings_an_hour >= 10.0

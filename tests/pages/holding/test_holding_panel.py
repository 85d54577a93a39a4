"""The page `will it hold`, moved to both ends without a browser.

Truth: the same machine checked directly; the table of dials; the words promised.
"""

import asyncio
import html
import math
import re
from pathlib import Path

import numpy as np
import pytest

from slingwright.pages import Workbench
from slingwright.pages.holding.controller import HoldingController
from slingwright.pages.holding.page import FRONT, ChecksTable, HoldingBench, HoldingPictures, row_of
from slingwright.pages.holding.pictures import PICTURES, strip_picture, told_gap
from slingwright.pages.pictures.canvas import Points
from slingwright.strength.checks import holding
from slingwright.strength.clearance import clearance


@pytest.fixture
def page(tmp_path):
    draft = Path(__file__).parents[2] / "machines" / "first_draft.toml"
    return HoldingBench(Workbench(draft, folder=tmp_path))


def rows(page):
    return {row["name"]: row for row in page.table.widget.state["rows"]}


def unfolded(page, *keys):
    """Rows with each of them open, or those named, as the browser asks for it.

    All are told anew as each is opened; here those before the last are not told in between.
    """
    *others, last = keys or [row["key"] for row in page.table.widget.state["rows"]]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(page.table, "refresh", lambda: None)
        for key in others:
            heard(page, {"kind": "open", "key": key})
    heard(page, {"kind": "open", "key": last})
    return rows(page)


def heard(page, content):
    """Send the table what the browser sends."""
    page.table.widget._handle_custom_msg(content, [])


def test_table_is_the_checks_of_the_machine(page) -> None:
    """Truth: the checks worked out directly, the worst first."""
    page.bench.change({"axle.diameter": "70 mm"})
    assert not page.holding.final and page.table.widget.state["sentence"].endswith("not final.")
    page.table.rest()
    told = holding(page.bench.machine)
    assert not any(row["working"] or row["source"] for row in page.table.widget.state["rows"])
    unfolded(page)
    state = page.table.widget.state
    assert [row["name"] for row in state["rows"]] == [check.name for check in told.checks]
    assert state["sentence"] == told.sentence and state["holds"] == told.holds
    for row, check in zip(state["rows"], told.checks, strict=True):
        assert row["working"] == check.working and row["source"] == f"Source: {check.source}"
        planned = check.as_planned
        assert row["state"] == planned.verdict and row["case"] == planned.case
        assert row["mishap"] == check.mishap


def test_no_row_tells_by_colour_alone(page) -> None:
    """Truth: WCAG 2.2, 1.4.1: each verdict has its word and its sign."""
    for row in page.table.widget.state["rows"]:
        assert row["verdict"][0] in "\N{CHECK MARK}\N{BALLOT X}?"
        assert row["state"] in row["verdict"]


@pytest.mark.parametrize("path", FRONT)
def test_every_front_dial_goes_to_both_ends(page, path) -> None:
    """Truth: the page answers or says why not; no picture holds a number that is none."""
    control = page.dials.controls[path]
    for end in control.ends:
        wrong = control.set(end)
        assert wrong == page.bench.status
        assert "could not be shown" not in page.bench.status
        points = np.frombuffer(page.pictures.widget.points, dtype=np.float32)
        assert np.isfinite(points).all() and points.size > 0
        for picture in page.pictures.widget.scene["pictures"]:
            assert picture["words"] and "nan" not in picture["words"]


def test_every_name_dial_of_strength_goes_through_its_choices(page) -> None:
    """Truth: the tables of materials: each row gives a check or a reason."""
    for path in ("axle.grade", "hanger.bolt", "frame.bolt", "sling.knot", "arm.section"):
        for choice in page.dials.controls[path].ends:
            assert page.dials.controls[path].set(choice) == ""
            assert page.bench.machine[path] == choice
            assert "could not be shown" not in page.bench.status


def test_asking_shows_what_would_make_it_pass(page) -> None:
    """Truth: the remedy's own value, tried."""
    assert rows(page)["sliding"]["state"] == "fails"
    heard(page, {"kind": "pass", "key": "ground.sliding"})
    words = rows(page)["sliding"]["remedies"]
    assert any("Stake resistance: 0 kN to" in line for line in words)
    found = next(r for r in page.controller.search("ground.sliding")() if r.path == "base.stakes")
    page.bench.change({"base.stakes": found.value})
    assert rows(page)["sliding"]["state"] == "holds" and rows(page)["sliding"]["use"] <= 1.0
    assert "remedies" not in rows(page)["sliding"]


def test_asking_leaves_the_page_free(page) -> None:
    """Truth: the same search done at once; the page is told that it goes on, and then its end."""

    async def ask() -> None:
        heard(page, {"kind": "pass", "key": "ground.sliding"})
        assert rows(page)["sliding"]["asking"] and "remedies" not in rows(page)["sliding"]
        assert not rows(page)["overturning"]["asking"]
        heard(page, {"kind": "pass", "key": "ground.sliding"})
        assert len(page.table.beside.going) == 1, "asked twice, sought once"
        while page.table.beside.going:
            await asyncio.sleep(0.01)

    asyncio.run(ask())
    row = rows(page)["sliding"]
    assert not row["asking"] and page.bench.status == ""
    assert row["remedies"] == [
        f"{one.told(by_label=True)}." for one in page.controller.search("ground.sliding")()
    ]
    page.bench.measure("US")
    assert any("lbf" in line for line in rows(page)["sliding"]["remedies"])


def test_a_change_ends_the_search(page) -> None:
    """Truth: an answer for a machine that is gone helps nobody: it is given up, with no word."""

    async def ask() -> float:
        heard(page, {"kind": "pass", "key": "ground.pressure"})
        page.bench.change({"axle.diameter": "71 mm"})
        loop = asyncio.get_running_loop()
        start = loop.time()
        while page.table.beside.going:
            await asyncio.sleep(0.01)
        return loop.time() - start

    assert asyncio.run(ask()) < 1.0
    assert "remedies" not in rows(page)["ground pressure"] and page.bench.status == ""
    page.bench.undo()
    assert "remedies" not in rows(page)["ground pressure"]


def test_clearance_is_looked_at_beside_the_page(page) -> None:
    """Truth: the clearance worked out directly."""

    async def rest() -> None:
        assert page.table.rest() == "" and page.controller.clearance is None
        while page.table.beside.going:
            await asyncio.sleep(0.01)

    asyncio.run(rest())
    told = clearance(page.bench.machine)
    assert page.controller.clearance is not None
    assert html.escape(told.sentence) in page.strip.words.value
    page.bench.measure("US")
    assert html.escape(told.sentence.told("US")) in page.strip.words.value
    assert " ft up" in told.gaps[0].words.told("US") or " in to spare" in told.gaps[0].words.told(
        "US"
    )


def test_what_goes_wrong_beside_the_page_is_said(page, monkeypatch) -> None:
    """Truth: the status line's words, at once or later."""

    def broken(*_: object) -> None:
        raise ValueError("the sledge is away")

    monkeypatch.setattr("slingwright.pages.holding.page.clearance", broken)
    assert page.table.rest() == "the sledge is away"

    async def rest() -> None:
        page.bench.say("")
        page.table.rest()
        while page.table.beside.going:
            await asyncio.sleep(0.01)

    asyncio.run(rest())
    assert page.bench.status == "the sledge is away"


def test_asking_for_what_is_not_there_is_said(page) -> None:
    """Truth: the status line's words; nothing is thrown at the reader."""
    assert "no check 'bolts of gold'" in page.table.ask("bolts of gold")
    assert "no check" in page.bench.status and page.bench.warn
    heard(page, {"kind": "pass"})
    heard(page, "nonsense")
    assert page.table.widget.state["rows"]


def test_clearance_is_looked_at_when_the_dials_rest(page) -> None:
    """Truth: the clearance worked out directly; a change makes it unknown again."""
    assert "when the dials rest" in page.strip.words.value
    heard(page, {"kind": "rest", "revision": page.bench.revision + 1})
    assert page.controller.clearance is None, "a rest of an older machine is passed over"
    heard(page, {"kind": "rest", "revision": page.bench.revision})
    told = clearance(page.bench.machine).sentence
    assert html.escape(told) in page.strip.words.value
    assert len(page.strip.board.scene["pictures"][0]["lines"]) > 40
    page.bench.change({"counterweight.breadth": "0.9 m"})
    assert page.controller.clearance is None and "when the dials rest" in page.strip.words.value
    assert page.table.rest() == ""
    assert "strikes the" in page.strip.words.value
    marks = page.strip.board.scene["pictures"][0]["marks"]
    assert any(mark["label"] == "strikes" for mark in marks)


def test_strip_shows_the_moment_of_the_smallest_gap(page) -> None:
    """Truth: the clearance's own record: its moment is one of the five."""
    found = clearance(page.controller.bench.machine)
    gap = told_gap(found)
    picture = strip_picture(found, "metric", Points())
    times = [mark["label"] for mark in picture["marks"] if mark["label"].endswith(" s")]
    assert len(times) == 5 and f"{gap.time:.2f} s" in times
    assert [float(time[:-2]) for time in times] == sorted(float(time[:-2]) for time in times)


def test_kept_machine_is_told_beside_the_present(page) -> None:
    """Truth: the kept machine's own checks."""
    before = rows(page)["axle in bending"]["used"]
    page.bench.keep()
    page.bench.change({"axle.diameter": "60 mm"})
    row = rows(page)["axle in bending"]
    assert row["change"] == f"was {before}" and row["used"] != before
    names = [line.get("name") for line in page.pictures.widget.scene["pictures"][0]["lines"]]
    assert names == ["kept", "present"]


def test_units_follow_the_switch(page) -> None:
    """Truth: US customary labels of the shared units file."""
    page.bench.measure("US")
    assert rows(page)["axle in bending"]["demand"].endswith("ksi")
    assert "lbf" in page.cases.widget.value
    labels = [p["y"]["label"] for p in page.pictures.widget.scene["pictures"]]
    assert labels[0] == "moment [ft lbf]"
    working = unfolded(page, "axle.bending")["axle in bending"]["working"]
    assert "ksi" in working and "lbf" in working and " mm" not in working
    width = next(p for p in page.pictures.widget.scene["pictures"] if p["key"] == "width")
    assert " in across" in width["words"] and " ft wide" in width["words"]


def test_no_working_mixes_units(page) -> None:
    """Truth: the shared units file: no metric unit is left in any working of the US system."""
    page.bench.measure("US")
    metric = re.compile(r"[0-9] (mm|m|kg|kN|N|MPa|kPa|kN m|N m|m/s)\b")
    for row in unfolded(page).values():
        assert row["working"]
        found = metric.search(row["working"].replace("(150 mm / h)", ""))
        assert found is None, (row["name"], found)


def test_pictures_show_what_the_checks_say(page) -> None:
    """Truth: the checks: moment over moment at yield is the use of the axle in bending."""
    pictures = {p["key"]: p for p in page.pictures.widget.scene["pictures"]}
    axle = pictures["axle-moment"]
    use = next(c for c in page.holding.checks if c.name == "axle in bending").utilisation
    assert f"{100.0 * use:.0f} % used" in axle["words"]
    assert axle["rules"][0]["y"] * use == pytest.approx(axle["marks"][0]["y"], rel=1e-6)
    assert set(pictures) == set(PICTURES)
    arm = next(c for c in page.holding.checks if c.name == "arm in bending")
    told = re.search(r"([0-9]+) % used, the pull along it not", pictures["arm-moment"]["words"])
    bent = float(told[1])
    assert 100.0 * arm.demand / arm.capacity - 1.0 < bent < 100.0 * arm.utilisation


def test_machine_that_cannot_be_checked_still_shows(page) -> None:
    """Truth: what is not known is told, and pictures say why they are empty."""
    page.bench.change({"axle.support": "0.4 m"})
    assert page.bench.status == ""
    row = unfolded(page, "axle.bending")["axle in bending"]
    assert row["state"] == "not known" and "axle.support" in row["working"]
    pictures = {p["key"]: p for p in page.pictures.widget.scene["pictures"]}
    assert "axle support" in pictures["axle-moment"]["empty"]


def test_own_page_from_parts(page) -> None:
    """Truth: the names of the pictures; an unknown one is refused with those there are."""
    one = HoldingPictures(page.controller, "width")
    assert [p["key"] for p in one.widget.scene["pictures"]] == ["width"]
    with pytest.raises(ValueError, match="no picture 'depth'; there are axle-moment"):
        HoldingPictures(page.controller, "depth")


def test_plain_table_keeps_every_row() -> None:
    """Truth: the checks it is made of, safe in HTML."""
    told = holding(HoldingController(Workbench("garden")).bench.machine)
    table = ChecksTable(holding=told)
    for check in told.checks:
        assert html.escape(check.name) in table._repr_html_() and check.name in str(table)
    assert "licensed engineer" in table._repr_html_()


def test_row_of_an_unknown_check_is_finite() -> None:
    """Truth: JSON has no infinity: the bar of what is not known is full, its words say so."""
    told = holding(HoldingController(Workbench("garden")).bench.machine)
    unknown = next(check for check in told.checks if not check.known)
    row = row_of(unknown, "metric", True)
    assert math.isfinite(row["use"]) and row["used"] == "not known"


def test_cautions_stand_on_the_page(page) -> None:
    """Truth: what the page must say."""
    first = page.widget.children[1].children[0].value
    for words in ("local codes", "licensed engineer", "Nobody near", "welds", "faults in the wood"):
        assert words in first


def test_closing_leaves_the_bench(page) -> None:
    """Truth: a closed page is told of nothing."""
    page.close()
    before = page.table.widget.state
    page.bench.change({"axle.diameter": "71 mm"})
    assert page.table.widget.state == before

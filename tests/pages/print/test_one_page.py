"""Sheets of one page for crew and public.

Truth: pdfinfo and pdftotext as readers of the page; zone, winding and throw worked out directly.
"""

import json
import re
import shutil
import subprocess
from dataclasses import replace
from functools import cache

import pytest

import slingwright as sw
from slingwright.amounts import units
from slingwright.amounts.text import Amount
from slingwright.commands.line import main
from slingwright.pages.print import one_page
from slingwright.pages.print.one_page import sheet_files, sheet_pdf
from slingwright.standing.ready import ready
from slingwright.standing.zone import zone
from slingwright.winch.cycle import winding
from slingwright.winch.hook import PROCEDURE

DAY = "18 June 2026"
PAPER = {"metric": (595.28, 841.89), "US": (612.0, 792.0)}  # points: ISO 216 A4, ANSI Letter


@pytest.fixture(autouse=True, scope="module")
def looked_at_once():
    """Look at each machine once for all its sheets: what is worked out does not depend on who
    reads it."""
    with pytest.MonkeyPatch.context() as patch:
        for function in (ready, zone, winding):
            patch.setattr(one_page, function.__name__, cache(function))
        yield


def read(pdf, folder):
    """Give pages, size [pt], words in a row, and the box of each word, as poppler reads them."""
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not installed (apt: poppler-utils)")
    place = folder / "sheet.pdf"
    place.write_bytes(pdf)
    call = ["pdftotext", "-bbox", str(place), "-"]
    said = subprocess.run(call, capture_output=True, text=True, check=True).stdout
    pages = re.findall(r'<page width="([\d.]+)" height="([\d.]+)"', said)
    number = r'xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)"'
    boxes = [(*map(float, one[:4]), one[4]) for one in re.findall(rf"<word {number}>(.*?)<", said)]
    words = subprocess.run([call[0], *call[2:]], capture_output=True, text=True, check=True).stdout
    return len(pages), tuple(map(float, pages[0])), " ".join(words.split()), boxes


@pytest.mark.parametrize("who", ["crew", "public"])
@pytest.mark.parametrize("system", ["metric", "US"])
def test_one_page_on_its_paper_with_distances_places_and_people(who, system, tmp_path):
    """Truth: the paper's size; the zone's distances, each load's throw, what a person pushes."""
    machine = sw.read_machine("otter_fair")
    count, size, words, boxes = read(sheet_pdf(machine, who, day=DAY, system=system), tmp_path)
    assert count == 1 and size == pytest.approx(PAPER[system], abs=0.6)
    for left, top, right, bottom, _ in boxes:
        assert 0.0 < left < right < size[0] and 0.0 < top < bottom < size[1]
    for i, (left, top, right, bottom, word) in enumerate(boxes):
        for other in boxes[i + 1 :]:
            wide = min(right, other[2]) - max(left, other[0])
            high = min(bottom, other[3]) - max(top, other[1])
            assert wide < 1.0 or high < 0.35 * (bottom - top), (word, other[4])
    ground = zone(machine)
    for label, value in (("ahead", ground.clear_ahead), ("behind", ground.clear_behind)):
        told = Amount(value, "m", 0).told(system)
        assert f"Keep clear {label}" in words and told in words
    for load in ground.leavings:
        assert units.text(load.planned, "m", system) in words
    assert ground.people[-1].words.told(system) in words
    if who == "crew":
        assert ready(machine).sentence.told(system)[:60] in words
        assert units.text(winding(machine).force_per_person, "N", system) in words
        assert all(step[:30] in words for step in PROCEDURE)
        assert ground.people[0].words.told(system) in words
    else:
        assert f"fail as planned {len(ready(machine).planned)}, in a mishap" in words


def test_much_to_say_shrinks_and_stays_on_its_page(tmp_path):
    """Truth: pdfinfo's count of pages; thirty loads with names that would be mark-up."""
    machine = sw.read_machine("otter_ford")
    name = '#panic("no") $ = * _ ` <a> @b \N{SNOWMAN} ' + "long " * 20
    loads = tuple(replace(machine.brief[0], name=f"{name[:34]}{i}") for i in range(30))
    many = replace(machine, name=name, brief=loads)
    for who in ("crew", "public"):
        count, size, words, boxes = read(sheet_pdf(many, who, day=DAY), tmp_path)
        assert all(0.0 < box[1] < box[3] < size[1] for box in boxes)
        assert count == 1 and '#panic("no") $ = * _ ` <a> @b' in words
        assert words.count("Caution.") == 1


def test_a_throw_that_fails_is_said_and_no_distance_is_given(capsys, tmp_path):
    """Truth: a box of a pound does not lift its arm; a sheet of another name is refused."""
    stuck = sw.read_machine("garden").change({"counterweight.mass": "1 lb"})
    for who in ("crew", "public"):
        data = json.loads(sheet_files(stuck, who, day=DAY)["data.json"])
        rows = dict(data["rows"])
        assert "not known: " in rows["Keep clear"] and "trough" in rows["Keep clear"]
        assert not any(name.startswith("Keep clear ") for name in rows)
        assert len(data["pictures"]) == 1
        assert ("Fails as planned: throw" in data["warning"]) == (who == "crew")
        assert read(sheet_pdf(stuck, who, day=DAY), tmp_path)[0] == 1
    with pytest.raises(ValueError, match=r"no sheet for 'band'. Take one of crew, public"):
        sheet_files(stuck, "band", day=DAY)
    place = tmp_path / "crew.pdf"
    file = str(sw.data_folder() / "garden.toml")
    assert main(["report", file, "--sheet", "crew", "--out", str(place)]) == 1
    assert place.read_bytes().startswith(b"%PDF-") and "written" in capsys.readouterr().out

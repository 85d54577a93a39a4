"""The printed report: what stands on it is what was worked out, and text stays text.

Truth: the answers worked out directly; a PDF's own first and last bytes; typst as the reader of the
template, which ends with an error at any mark-up that it does not know.
"""

import hashlib
import json
import re
import shutil
import subprocess
import sys
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser

import pytest
from demo import demo_log

import slingwright as sw
from slingwright.amounts import units
from slingwright.changing.proving import proving
from slingwright.logbook.shown.export import from_json_lines
from slingwright.machine.table import dials
from slingwright.pages.log.records import story_of
from slingwright.pages.print import report
from slingwright.pages.print.front import identity
from slingwright.pages.print.lines import LINES, likely
from slingwright.pages.print.report import (
    TEMPLATE,
    ReportError,
    report_files,
    report_pdf,
    save_report,
    typeset,
)
from slingwright.pages.print.web import page
from slingwright.standing.chances import chances, outlines
from slingwright.standing.zone import zone
from slingwright.strength.checks import holding
from slingwright.winch.hook import PROCEDURE

pytestmark = pytest.mark.usefixtures("few_copies")
DAY = "1 June 2026"


@cache
def machine(name="otter_ford"):
    return sw.read_machine(sw.data_folder() / f"{name}.toml")


@cache
def data(name="otter_ford", system="metric"):
    return json.loads(report_files(machine(name), day=DAY, system=system)["data.json"])


@pytest.fixture(scope="module")
def logged(few_copies, tmp_path_factory):
    """Give the files of a report with a log, what the log taught, and how many entries it has."""
    with demo_log(tmp_path_factory.mktemp("log") / "ford.slog") as log:
        learned = story_of(log, machine()).agreed()
        yield report_files(machine(), day=DAY, log=log), learned, len(log.current())


def section(found, title):
    return next(one for one in found["sections"] if one["title"] == title)


def test_every_check_and_every_dial_stands_on_it():
    """Truth: the checks and the table of dials themselves."""
    found = holding(machine())
    cases, checks, *_ = section(data(), "Will it hold")["sheets"]
    assert [row[0] for row in checks["rows"]] == [check.name for check in found.checks]
    assert [row[1] for row in checks["rows"]] == [c.as_planned.verdict for c in found.checks]
    assert all(c.mishap in row[5] for row, c in zip(checks["rows"], found.checks, strict=True))
    assert [row[0] for row in cases["rows"]] == [case.name for case in found.cases]
    rows = section(data(), "Every dial")["sheets"][0]["rows"]
    assert [row[1] for row in rows] == [dial.path for dial in dials.TABLE]
    given = {row[1] for row in rows if row[3] == "given"}
    assert {row[3].split(":")[0] for row in rows} == {"given", "derived", "default"}
    assert given == machine().given


def test_every_check_is_worked_out_once_with_numbered_sources():
    """Truth: the checks' own working and sources; the list of sources of the report."""
    found = holding(machine())
    rows = [
        row
        for part in data()["sections"]
        if part["title"].startswith("Worked out: ")
        for row in part["sheets"][0]["rows"]
    ]
    listed = dict(section(data(), "Sources of the checks")["sheets"][0]["rows"])
    told = {row[0].split("\n")[0]: row for row in rows}
    assert len(rows) == len(told) == len(found.checks)
    for check in found.checks:
        head, how = told[check.name]
        *lines, last = how.split("\n")
        assert check.as_planned.verdict in head
        assert "\n".join(lines) == check.as_planned.working
        numbers = last.removeprefix("Sources: ").split(", ")
        assert [listed[number] for number in numbers] == check.as_planned.source.split("; ")


def printed(inputs):
    """Give each symbol of a line of working with the number that stands behind it."""
    bare = inputs
    while (less := re.sub(r" ?\([^()]*\)", "", bare)) != bare:
        bare = less
    found = re.split(r"(?:^|, )([A-Za-z_0-9,']+) = ", bare)
    return {
        symbol: re.sub(r"(?<=\d),(?=\d{3})", "", value.split(", ")[0])
        for symbol, value in zip(found[1::2], found[2::2], strict=True)
    }


def test_any_worked_number_is_made_again_from_what_is_printed():
    """Truth: the formula called with the numbers as they are printed, within their rounding.

    Left out is what a rainflow count's hundreds of ranges add up to, which no line can hold.
    """
    made, left = 0, []
    for check in holding(machine()).checks:
        for step in check.as_planned.steps:
            if not step.equation:
                continue
            values, named = printed(str(step.inputs)), dict(step.named)
            for name, entry in step.told.entries.items():
                number = isinstance(named.setdefault(name, entry.default), float | int)
                if number and not isinstance(named[name], bool) and entry.symbol in values:
                    value = values.pop(entry.symbol).replace("\N{MINUS SIGN}", "-")
                    plain = entry.unit in ("", "-")
                    named[name] = float(value) if plain else units.quantity(value, entry.unit)
            if any("values" in value for value in values.values()):
                left.append(step.words)
                continue
            assert not values, (step.words, values)
            again = float(step.formula(**named))
            assert again == pytest.approx(float(step), rel=0.01, abs=1e-6), step.words
            made += 1
    assert made > 250 and all(words.startswith("D = (sum of n_i D_i^3)") for words in left)


def test_the_printed_file_makes_the_same_machine_and_throw():
    """Truth: the machine read back from the report's own listing, and its throw."""
    now = machine("otter_fair").change({"sling.length": "4.83 m", "axle.friction": 0.0713})
    listing = section(json.loads(report_files(now, day=DAY)["data.json"]), "The machine's file")[
        "listing"
    ]
    again = sw.parse_machine(listing)
    assert again == now
    assert sw.throw(again).range == sw.throw(now).range


def test_lists_to_tick_and_a_place_to_sign():
    """Truth: the steps of proving and of a shot; what a licensed person fills in."""
    found = data("otter_fair")
    steps = proving(machine("otter_fair"), look=False).steps
    plan = section(found, "How it is proved, from a light counterweight to the full one")
    assert len(plan["ticks"]) == len(steps)
    assert all(tick.startswith(step.name) for tick, step in zip(plan["ticks"], steps, strict=True))
    assert len(section(found, "A shot, step by step")["ticks"]) == len(PROCEDURE)
    signed = section(found, "For a licensed person")
    assert len(signed["ticks"]) == 3
    assert {"Name", "Signature"} <= {row[0].strip() for row in signed["sheets"][0]["rows"]}


class Read(HTMLParser):
    """Reads a page as a person who hears it does: texts, alternatives, heads, and addresses."""

    def __init__(self, text):
        super().__init__()
        self.tags, self.text, self.asked, self.alts = [], [], [], []
        self.open, self.faults = [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        named = dict(attrs)
        self.tags.append((tag, named))
        if tag not in ("meta", "img", "input"):
            self.open.append(tag)
        self.asked += [v for k, v in attrs if k in ("src", "href", "action", "data", "style")]
        if tag == "img":
            self.alts.append(named.get("alt", ""))

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.faults.append(tag)

    def handle_data(self, words):
        self.text.append(words)


def test_html_says_what_the_pdf_says_and_asks_no_host(tmp_path, monkeypatch):
    """Truth: Python's own reader of HTML; the data of the report; names that would be mark-up."""
    evil = "<script>alert(1)</script> & 'x' \N{SNOWMAN}"
    now = replace(machine(), name=evil)
    files = report_files(now, day=DAY, client="<b>A & B</b>")
    text = page(files).decode()
    read = Read(text)
    assert not read.faults and not read.open and "<script" not in text
    told, words = json.loads(files["data.json"]), "".join(read.text)
    assert evil in words and "<b>A & B</b>" in words
    for part in told["sections"]:
        assert part["title"] in words and part["listing"] in words
        assert all(line in words for line in (*part["words"], *part["ticks"]))
        assert all(cell in words for s in part["sheets"] for row in s["rows"] for cell in row)
    pictures = [picture["words"] for part in told["sections"] for picture in part["pictures"]]
    assert read.alts == pictures and all(pictures)
    assert all(one.startswith(("data:image/svg+xml;base64,", "#s")) for one in read.asked)
    assert not re.search(r"url\(|@import", text)
    for tag, named in read.tags:
        assert tag != "th" or named.get("scope") in ("row", "col")
        assert tag != "html" or named["lang"] == "en"
    levels = [int(tag[1]) for tag, _ in read.tags if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1 and set(levels[1:]) == {2}
    monkeypatch.setattr(report, "report_files", lambda *_, **__: files)
    place = save_report(now, tmp_path / "a.html", day=DAY)
    assert place.read_bytes() == page(files) and text.startswith("<!DOCTYPE html>")


def test_what_was_changed_for_this_run_is_told_apart():
    """Truth: the file's own values; the arm's mass is derived from what is changed."""
    was = machine()
    now = was.change({"sling.length": "5 m", "arm.width_at_tip": "130 mm", "prong.diameter": None})
    told = json.loads(report_files(now, day=DAY)["data.json"])
    rows = {row[1]: row[3] for row in section(told, "Every dial")["sheets"][0]["rows"]}
    assert rows["sling.length"] == "changed for this run, given; in the file 4.8 m, given"
    assert (
        rows["arm.mass"].startswith("derived: ") and "follows what was changed" in rows["arm.mass"]
    )
    assert rows["prong.diameter"].startswith("changed for this run, d")
    assert rows["arm.long"] == "given" and rows["site.gravity"] == "default"
    named = dict(told["front"])["Changed for this run"]
    assert "sling.length 4.8 m to 5 m" in named and "arm.mass" not in named
    assert dict(data()["front"])["Changed for this run"] == "nothing"


def test_first_page_says_whose_machine_file_and_revision_it_is(tmp_path):
    """Truth: hashlib over the file's bytes; the log's own last revision; pdftotext's reading."""
    file = tmp_path / "otter <fair> #1.toml"
    text = (sw.data_folder() / "otter_fair.toml").read_bytes().replace(b"\n", b"\r\n")
    file.write_bytes(text)
    log = from_json_lines((sw.data_folder() / "otter_fair_log.jsonl").read_text(), tmp_path / "l")
    now = sw.read_machine(file)
    asked = {"day": DAY, "log": log, "client": "Museum *of* Otter Ford", "author": "Wren"}
    made = report_pdf(now, **asked)
    moved = dict(identity(now.change({"sling.length": "5 m"}), system="metric", **asked))
    none = dict(data("garden")["front"])
    log.close()
    page = " ".join(page_text(made, tmp_path, 1).split())
    digest = hashlib.sha256(text).hexdigest()
    for words in (
        *("Otter Ford", "Museum *of* Otter Ford", "Wren", DAY, f"slingwright {sw.__version__}"),
        *(file.name, digest, "4 (entry 46, 2026-06-16, Wren): As it stands before the fair"),
        *("nothing: this is that revision", "counterweight.mass 640 kg to 740 kg"),
        *(
            "Fails as planned: ground to keep clear",
            "In a mishap",
            "Not known: ",
            "hook that holds",
        ),
    ):
        assert words in page, words
    assert moved["Since that revision"].startswith("sling.length 4.8 m to 5 m; sling.")
    assert none["Revision"].startswith("not known") and none["For"] == "not given"


def page_text(pdf, folder, page):
    """Give the words of one page as pdftotext reads them."""
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not installed (apt: poppler-utils)")
    place = folder / "read.pdf"
    place.write_bytes(pdf)
    words = ["pdftotext", "-f", str(page), "-l", str(page), "-layout", str(place), "-"]
    return subprocess.run(words, capture_output=True, text=True, check=True).stdout


def test_throw_zone_and_cautions_stand_on_it():
    """Truth: the throw and the zone worked out directly."""
    done = sw.throw(machine())
    told = section(data(), "The throw")
    assert f"{done.range:.1f} m" in told["words"][0]
    assert zone(machine()).sentence in section(data(), "Where to stand")["words"]
    assert any("licensed" in words for words in data()["cautions"])
    cut = any(leaving.cut for leaving in zone(machine()).leavings)
    assert cut == (
        "* at least: past that moment the motion is not known"
        in " ".join(section(data(), "Where to stand")["words"])
    )
    assert section(data(), "What is not modelled")["words"][0].endswith(".")


def test_chance_stands_in_the_plan_named_apart_as_the_log_has_learned_it(logged):
    """Truth: the chances worked out directly; the log's own shots beside what is expected."""
    whole, learned, _ = logged
    found, named = zone(machine()), json.loads(whole["data.json"])
    told = section(named, "Where to stand")
    rows = next(one["rows"] for one in told["sheets"] if one["heads"][0] == "chance")
    assert rows == [list(line) for line in likely(machine(), learned).contours().cells()]
    assert "as learned from its shots" in told["words"][-1]
    for person in found.people:
        assert f"{person.words}." in told["words"]
    lines = [*outlines(found, chances(machine(), n=4000))]
    assert {line.kind for line in lines} == set(LINES)
    for line in lines[:5]:
        assert line.name.encode() in whole["lines.svg"]
    steps = section(named, "How it is proved, from a light counterweight to the full one")
    assert any(row[-1][:1].isdigit() for row in steps["sheets"][0]["rows"])


def test_every_row_is_as_long_as_its_heads():
    """Truth: a table's own shape, for machines of the kit in both systems of units."""
    for name in ("otter_ford", "garden", "fixed_pair"):
        for system in ("metric", "US"):
            for part in data(name, system)["sections"]:
                for sheet in part["sheets"]:
                    size = len(sheet["heads"])
                    assert len(sheet["widths"]) == len(sheet["align"]) == size
                    assert all(len(row) == size for row in sheet["rows"]) and sheet["rows"]


def test_units_follow_the_reader():
    """Truth: no metre stands in an answer in US units."""
    told = data(system="US")
    text = json.dumps([section(told, "Where to stand"), section(told, "The throw")])
    assert " ft" in text and told["paper"] == "us-letter"
    assert not re.search(r'\d m[ ,."]', text)


def test_pdf_is_whole_and_the_log_is_in_it(logged):
    """Truth: a PDF's header and trailer; the entries of the log."""
    files, _, entries = logged
    told = section(json.loads(files["data.json"]), "Build log")["sheets"][0]["rows"]
    assert len(told) == entries
    made = typeset(TEMPLATE.name, lambda: files)
    assert made.startswith(b"%PDF-") and made.rstrip().endswith(b"%%EOF")
    assert len(made) > 60_000


def test_text_is_text():
    """Truth: typst itself: mark-up in a name or in notes would stop it or be run by it."""
    evil = '#panic("no") $ = * _ ` <a> @b " #read("/etc/hostname")'
    text = (sw.data_folder() / "garden.toml").read_text(encoding="utf-8")
    named = sw.parse_machine(text.replace('name = "Garden"', f"name = '{evil}'"))
    assert named.name == evil
    assert report_pdf(named, day=DAY).startswith(b"%PDF-")


def test_machine_that_fails_is_reported_all_the_same():
    """Truth: the sentences of throw and zone."""
    stuck = machine("garden").change({"counterweight.mass": "1 lb"})
    files = report_files(stuck, day=DAY)
    found = json.loads(files["data.json"])
    assert "Never left the trough" in section(found, "The throw")["words"][0]
    assert "never leaves the trough" in section(found, "Where to stand")["words"][0]
    first = found["sections"][0]
    assert first["title"] == "What fails, and what is not known"
    assert first["words"][0].startswith("Fails as planned: throw")
    assert any(row[0] == "throw" and row[1] == "fails" for row in first["sheets"][0]["rows"])
    assert typeset(TEMPLATE.name, lambda: files).startswith(b"%PDF-")


def test_report_is_saved_once_and_refusals_say_why(tmp_path, monkeypatch):
    """Truth: the file on disk; messages that name file and next step."""
    place = save_report(machine("garden"), tmp_path / "a.pdf", day=DAY, system="US")
    before = place.read_bytes()
    with pytest.raises(ReportError, match=r"a\.pdf: there is a file of that name"):
        save_report(machine("garden"), place, day=DAY)
    assert place.read_bytes() == before
    with pytest.raises(ReportError, match="could not be written"):
        save_report(machine("garden"), tmp_path / "none" / "a.pdf", make=lambda _: b"%PDF-")
    with pytest.raises(ReportError, match="no.slog"):
        save_report(machine("garden"), tmp_path / "b.pdf", day=DAY, log=tmp_path / "no.slog")
    monkeypatch.setitem(sys.modules, "typst", None)
    with pytest.raises(ReportError, match="pip install"):
        report_pdf(machine("garden"), day=DAY)

"""What leaves the log: JSON lines that come back byte for byte, Markdown, CSV and the diary.

Truth: the log itself for the way there and back; the standard library's readers of CSV, JSON and
HTML and the CommonMark reader markdown-it for what a reader makes of the text.
"""

import csv
import io
import json
from html.parser import HTMLParser

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from slingwright.amounts.cells import for_csv
from slingwright.logbook import (
    Cost,
    Decision,
    Hours,
    Incident,
    LoadTrace,
    Logbook,
    LogbookError,
    Measurement,
    Part,
    Shot,
    VideoTrack,
)
from slingwright.logbook.photos import photo_folder
from slingwright.logbook.shots import shots_that_count
from slingwright.logbook.shown.diary import diary_html, diary_text
from slingwright.logbook.shown.escaping import for_html, for_markdown
from slingwright.logbook.shown.export import (
    from_json_lines,
    save_text,
    to_csv,
    to_json_lines,
    to_markdown,
)

PNG = b"\x89PNG\r\n\x1a\n" + b"axle" * 100
NASTY = [
    "<script>alert(1)</script>",
    "</p></article><script src=//x></script>",
    '"><img src=x onerror=alert(1)>',
    "' onmouseover='alert(1)",
    "[click](javascript:alert(1))",
    "![x](http://x/y.png)",
    "<javascript:alert(1)>",
    "<http://x>",
    "$$\\href{javascript:alert(1)}{x}$$",
    "# heading\n\n- list\n1. one\n\n```\ncode\n```",
    "a\n===\nb\n---",
    "| cell | cell |",
    "&lt;script&gt; &amp; &#60;",
    "=1+1",
    "+1",
    "-1",
    "@SUM(A1)",
    "\t=1+1",
    "\r=1+1",
    "\n=1+1",
    " =HYPERLINK(1)",
    'comma, "quote"\nline',
    "\x00\x07\x1b[31m",
    "\u202eevil",
    "[^1]: note",
    "***\n___",
    "~~gone~~ `code` \\",
]


@pytest.fixture
def log(tmp_path):
    with Logbook.create(tmp_path / "a #1.log", machine="Otter <b>Ford</b>") as opened:
        opened.append(
            Decision(what="Shorter sling.", reason="It slipped late."),
            author="mill",
            at="2031-06-14T09:00:00+01:00",
        )
        opened.save_revision(
            {"sling.length": 4.0, "base.wheels": False},
            note="as built",
            calculated={"range": 180.5},
        )
        opened.save_revision(
            {"sling.length": 4.2, "base.wheels": False}, note="longer", calculated={"range": 187.0}
        )
        opened.append(Part(name="hook", origin="found", rating="unrated", mass=3.1))
        opened.append(Hours(who="crew", hours=6.5, task="drum"))
        opened.append(Cost(item="larch", amount=-12.5))
        opened.append(Incident(what="ring stuck", severity="near miss", done="filed"))
        opened.append(Measurement(thing="box", value=1412.0, unit="kg", sd=8.0, how="by load cell"))
        opened.append(Shot(load=6.0, range=1875.0), note="windy")
        opened.append(LoadTrace(channel="axle", unit="N", time=(0.0, 0.1), value=(1e-7, 1e22)))
        opened.add_photo(PNG, name="axle.png", caption="the axle")
        opened.correct(
            9, Shot(load=6.0, range=187.5, drift=-2.0, release_seen="late"), note="comma"
        )
        opened.append(Hours(who="x", hours=1.0, task="y"))
        opened.withdraw(13, reason="typed twice")
        yield opened


class Tags(HTMLParser):
    """Collect the tags, attributes and text that a page really holds."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: set[str] = set()
        self.attributes: set[str] = set()
        self.addresses: list[str] = []
        self.text: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag, attributes):
        self.tags.add(tag)
        self.attributes.update(name for name, _ in attributes)
        self.addresses += [value for name, value in attributes if name in ("src", "href")]

    def handle_data(self, data):
        self.text.append(data)


def test_json_lines_come_back_byte_for_byte(log, tmp_path) -> None:
    text = to_json_lines(log)
    other = from_json_lines(text, tmp_path / "b.log", photos_from=photo_folder(log.path))
    with other:
        assert to_json_lines(other) == text
        assert other.entries() == log.entries()
        assert other.machine == log.machine
        assert other.verify().whole
        assert other.append(Decision(what="a", reason="b")).number == 15
    for line in text.splitlines():
        assert isinstance(json.loads(line), dict)
    assert len(text.split("\n")) == 14 + 2


@given(
    words=st.lists(st.text(st.characters(exclude_categories=["Cs"])), min_size=1, max_size=4),
    values=st.dictionaries(
        st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=20).filter(
            str.strip
        ),
        st.floats(allow_nan=False, allow_infinity=False, min_value=-1e300, max_value=1e300)
        | st.booleans()
        | st.text(st.characters(exclude_categories=["Cs"]), max_size=20),
        max_size=6,
    ),
)
@settings(max_examples=40)
def test_any_text_and_numbers_come_back_byte_for_byte(tmp_path_factory, words, values) -> None:
    folder = tmp_path_factory.mktemp("any")
    with Logbook.create(folder / "a.log", machine="Otter Ford") as log:
        for word in words:
            log.append(Shot(load=6.0, settings=values), note=word)
        log.save_revision(values, note="n", calculated=values)
        text = to_json_lines(log)
        with from_json_lines(text, folder / "b.log") as other:
            assert to_json_lines(other) == text
            assert [entry.note for entry in other][:-1] == words
            assert dict(other.entries()[0].record.settings) == values
        for page in (to_markdown(log), to_csv(log), to_csv(log, "shot"), diary_html(log)):
            assert page.encode("utf-8")
        assert diary_text(log).encode("utf-8")


def test_a_spreadsheet_that_splits_at_semicolons_computes_nothing(tmp_path) -> None:
    """Truth: a reader that splits at ";" ends a cell inside the quote marks of another table."""
    with Logbook.create(tmp_path / "a.log", machine="Otter Ford") as log:
        log.append(Shot(load=6.0, range=9.0), note="fine;=1+1")
        for row in csv.reader(to_csv(log).splitlines(), delimiter=";"):
            assert not any(cell.strip().startswith(("=", "+", "@")) for cell in row), row


def test_an_old_export_without_a_count_is_still_read(log, tmp_path) -> None:
    """Truth: the same entries from the head of an earlier version."""
    text = to_json_lines(log)
    head = json.loads(text.split("\n")[0])
    old = json.dumps({"format": head["format"], "machine": head["machine"]})
    with from_json_lines("\n".join([old, *text.split("\n")[1:]]), tmp_path / "b.log") as other:
        assert to_json_lines(other) == text


def test_an_edited_export_is_refused_and_leaves_nothing(log, tmp_path) -> None:
    """Truth: the digests in the lines."""
    text = to_json_lines(log)
    rows = text.split("\n")
    target = tmp_path / "b.log"
    wrong = {
        "digest": text.replace("187.5", "197.5"),
        "it was cut": "\n".join(rows[:3] + rows[4:]),
        "and holds": "\n".join(rows[:-2]) + "\n",  # cut at a line's end
        "does not follow the": "\n".join([rows[0], rows[2], rows[1], *rows[3:]]),
        "cut off": text[:-40],
        "not the head": "\n".join(rows[1:]),
        "of format": text.replace("version 1", "version 7", 1),
        "the first line": "",
    }
    for words, altered in wrong.items():
        with pytest.raises(LogbookError, match=words) as caught:
            from_json_lines(altered, target)
        assert "Nothing was imported" in str(caught.value)
        assert not target.exists()
    with pytest.raises(LogbookError, match="a file of that name already"):
        from_json_lines(text, log.path)
    with pytest.raises(LogbookError, match="holds 14 entries, and only an empty log"):
        log.add_lines(log.lines())
    assert to_json_lines(log) == text


@pytest.fixture
def nasty_log(tmp_path):
    with Logbook.create(tmp_path / "n.log", machine=NASTY[0]) as opened:
        for text in NASTY:
            name = text.replace("\n", " ")
            opened.append(Decision(what=text, reason=text), author=name[:100], note=text)
            opened.append(Part(name=name, known=text))
            opened.append(
                VideoTrack(
                    point=(name[:150],),
                    time=(0.0,),
                    x=(1.0,),
                    y=(2.0,),
                    ball=name[:150],
                    seen=(0.0, 0.0, 1.0, 0.0),
                    known=(0.0, 0.0, 1.0, 0.0),
                    click_sd=1.0,
                )
            )
            opened.append(Shot(load=6.0, settings={name: text}), note=text)
            opened.save_revision({name: text}, note=text, calculated={name: text})
            opened.add_photo(PNG, name=text, caption=text)
            opened.correct(len(opened), opened.entries()[-1].record, note=text, author=name)
        yield opened


def test_nothing_typed_acts_in_the_diary_page(nasty_log) -> None:
    page = Tags(diary_html(nasty_log))
    assert page.tags == set(
        [
            "html",
            "head",
            "meta",
            "title",
            "style",
            "body",
            "h1",
            "h2",
            "p",
            "article",
            "table",
            "tr",
            "th",
            "td",
            "br",
            "img",
        ]
    )
    allowed = {
        "lang",
        "charset",
        "http-equiv",
        "content",
        "name",
        "id",
        "class",
        "scope",
        "src",
        "alt",
    }
    assert page.attributes == allowed
    assert set(page.addresses) == {
        "n.log.photos/" + entry.record.file_name for entry in nasty_log.entries("photo")
    }
    text = "".join(page.text)
    assert text.count("<script>alert(1)</script>") >= 6
    assert "\x1b" not in text and "\u202e" not in text
    part = diary_html(nasty_log, whole_page=False)
    assert "<style" not in part and "<html" not in part and "<article" in part


def test_nothing_typed_acts_in_markdown(nasty_log) -> None:
    reader = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])
    text = to_markdown(nasty_log)
    page = Tags(reader.render(text))
    assert page.tags == set(["h1", "h2", "p", "table", "thead", "tbody", "tr", "th", "td"])
    assert page.attributes == set()
    shown = "".join(page.text)
    assert "[click](javascript:alert(1))" in shown
    assert "$$\\href{javascript:alert(1)}{x}$$" in shown
    assert "&lt;script&gt; &amp; &#60;" in shown
    assert "$" not in text.replace("\\$", "")


@pytest.mark.parametrize("text", NASTY)
def test_markdown_shows_one_line_as_it_was_typed(text) -> None:
    """Truth: CommonMark 0.31 as markdown-it reads it; line ends are shown as " / "."""
    reader = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])
    shown = "".join(Tags(reader.render("x " + for_markdown(text))).text).strip()
    plain = "".join(c for c in text.replace("\r", "\n") if c in "\n\t" or c.isprintable())
    wanted = "x " + " / ".join(part.strip() for part in plain.replace("\t", " ").split("\n"))
    assert " ".join(shown.split()) == " ".join(wanted.split())
    assert "".join(Tags("<p>" + for_html(text)).text) == plain


@pytest.mark.parametrize("kind", ["", "decision", "part", "shot", "revision", "photo"])
def test_no_cell_of_a_table_is_a_formula(nasty_log, kind) -> None:
    """Truth: the list of leading characters in OWASP's page on CSV injection."""
    rows = list(csv.reader(io.StringIO(to_csv(nasty_log, kind), newline="")))
    assert len(rows) == 1 + len(nasty_log.entries(kind))
    assert len({len(row) for row in rows}) == 1
    for row in rows:
        for cell in row:
            assert not cell.lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r", "\n"))


def test_numbers_stay_numbers_in_a_table(log) -> None:
    """Truth: the shot as corrected, read back by the csv module."""
    rows = list(csv.DictReader(io.StringIO(to_csv(log, "shot"), newline="")))
    assert [float(row["range"]) for row in rows] == [1875.0, 187.5]
    assert float(rows[1]["drift"]) == -2.0
    assert rows[0]["corrected_by"] == rows[1]["number"] == "12"
    assert (rows[0]["drift"], rows[0]["note"]) == ("", "windy")
    changes = list(csv.DictReader(io.StringIO(to_csv(log, "revision"), newline="")))
    assert changes[1]["changed sling.length before"] == "4.0"
    assert changes[1]["calculated range"] == "187.0"
    traces = list(csv.DictReader(io.StringIO(to_csv(log, "load trace"), newline="")))
    assert [float(number) for number in traces[0]["value"].split()] == [1e-7, 1e22]
    assert for_csv(True) == "true" and for_csv("-2") == "'-2"
    with pytest.raises(LogbookError, match="'shots' is not a kind"):
        to_csv(log, "shots")
    assert to_csv(log, "withdrawal").count("\r\n") == 2


def test_the_diary_reads_day_by_day_with_the_numbers_beside(log) -> None:
    """Truth: the entries as written above, put in order by hand."""
    text = diary_text(log)
    assert text.startswith("Build diary of Otter <b>Ford</b>\n")
    assert "6.5 hours of work; -12.50 EUR; 1 shot, the longest 187.5 m so far." in text
    assert "2031-06-14\n----------\n09:00  [1] Decided: Shorter sling." in text
    assert "sling.length: 4 -> 4.2" in text
    assert "range = 187" in text
    assert "1875" not in text and "[13]" not in text
    assert (
        "[12, corrected from 9] Shot with 6 kg, 187.5 m, 2 m to the left, release seen late" in text
    )
    page = Tags(diary_html(log))
    shown = "".join(page.text)
    assert "Otter <b>Ford</b>" in shown
    assert "corrected by entry 12" in shown and "Entry 13 is taken back: typed twice" in shown
    assert page.addresses == ["a%20%231.log.photos/" + log.entry(11).record.file_name]
    metres = diary_text(log, show=lambda path, value: f"{value} m" if path[0] == "s" else "?")
    assert "sling.length: 4.0 m -> 4.2 m" in metres


def test_an_export_never_goes_over_a_file(log, tmp_path) -> None:
    """Truth: the bytes of the file that was there."""
    place = save_text(to_csv(log), tmp_path / "log.csv")
    before = place.read_bytes()
    assert before.decode() == to_csv(log)
    with pytest.raises(LogbookError, match="log.csv: there is a file of that name already"):
        save_text("x", place)
    assert place.read_bytes() == before
    with pytest.raises(LogbookError, match="log.md"):
        save_text("x", tmp_path / "nowhere" / "log.md")


def test_shots_that_count_carry_the_dials_they_were_loosed_with(log) -> None:
    """Truth: the revisions and shots as written, worked out by hand."""
    shots = shots_that_count(log)
    assert [entry.number for entry, _ in shots] == [12]
    shot = shots[0][1]
    assert (shot.range, shot.load, shot.release_seen) == (187.5, 6.0, "late")
    assert shot.settings == {"sling.length": 4.2, "base.wheels": False}
    log.append(Shot(load=8.0, settings={"sling.length": 4.3}, revision=2))
    log.append(Shot(load=9.0), at="2001-01-01T00:00:00+00:00")
    _, second, third = [shot for _, shot in shots_that_count(log)]
    assert second.settings == {"sling.length": 4.3, "base.wheels": False}
    assert third.settings == {} and second.range is None

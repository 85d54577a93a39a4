"""A load cell's file on the winding page: names, units, hostile text, the difference told."""

import datetime

import numpy as np
import pytest

import slingwright as sw
from slingwright.pages import WindingBench
from slingwright.pages.field.columns import LARGEST_FILE, LONGEST_NAME
from slingwright.pages.winding.trace import WindingTrace
from slingwright.places import data_folder
from slingwright.winch.load_cell.trace import TraceError, recognise

FILE = data_folder() / "traces" / "otter_ford_winding.csv"


@pytest.fixture(scope="module")
def panel():
    """A panel on the Otter Ford machine, without a trace."""
    made = WindingBench(
        sw.read_machine("otter_ford").change({"rope.rope_length": 25.0, "rope.sheave": 0.1})
    )
    yield made
    made.close()


@pytest.fixture
def part(panel):
    """The panel's load cell part, without a file."""
    panel.trace.controls["trace.file"].value = ()
    panel.trace.controls["trace.pauses"].value = ""
    panel.trace.text, panel.trace._told = None, ""
    panel.trace.remove()
    for what in ("time", "force"):
        panel.trace.controls[f"trace.{what}_unit"].value = "choose"
    return panel.trace


def upload(part: WindingTrace, name: str, content: bytes) -> None:
    """Send a file as the browser does."""
    when = datetime.datetime(2026, 6, 1, tzinfo=datetime.UTC)
    part.controls["trace.file"].value = (
        {
            "name": name,
            "type": "text/csv",
            "size": len(content),
            "content": memoryview(content),
            "last_modified": when,
        },
    )


def set_units(part: WindingTrace, time: str, force: str) -> None:
    part.controls["trace.time_unit"].value = time
    part.controls["trace.force_unit"].value = force


def drawn(panel) -> dict:
    """Give the picture of the trace."""
    return next(one for one in panel.pictures.widget.scene["pictures"] if one["key"] == "trace")


def test_uploaded_trace_lies_over_the_prediction(panel, part) -> None:
    """Truth: the trace was made with a greater loss at the sheaves: some 2 % more pull."""
    assert drawn(panel)["lines"] == []
    upload(part, "cell.csv", FILE.read_bytes())
    assert [label for label, _ in part.controls["trace.time"].options][0].startswith("1: ")
    names = recognise(FILE).names
    part.controls["trace.time"].value = names.index("clock [s]")
    part.controls["trace.force"].value = names.index("cell [kgf]")
    set_units(part, "s", "kgf")
    part.controls["trace.lay"].click()
    assert panel.bench.status == ""
    laid = panel.wound.trace
    assert laid.peak_ratio == pytest.approx(1.02, abs=0.025)
    assert laid.words.capitalize()[:13] in part.words.value and "% more" in part.words.value
    assert "stands still from 138 to 162 s" in part.words.value and drawn(panel)["lines"]
    # the one false sample of the file: first of all, and beside the peak in both sentences
    said = part.words.value
    first = said.index("<strong>the peak as read is 2.083 kN, ")
    assert first < said.index("1 spike replaced.</strong>") < said.index("easured peak")
    assert said.count("(2.08 kN as read)") == 2
    whole = laid.ratio
    part.controls["trace.pauses"].value = "138 - 162"
    part.controls["trace.lay"].click()
    assert panel.bench.status == "" and "left out of the comparison: 138" in part.words.value
    assert panel.wound.trace.ratio != whole
    part.controls["trace.pauses"].value = "139 to 140 s; 150"
    part.controls["trace.lay"].click()
    assert "'150' is no stretch" in panel.bench.status
    part.controls["trace.pauses"].value = "900-901"
    part.controls["trace.lay"].click()
    assert "holds no sample" in panel.bench.status
    part.controls["trace.remove"].click()
    assert panel.wound.trace is None and "No trace yet" in part.words.value


def test_units_are_asked_and_not_guessed(panel, part) -> None:
    """Truth: the same file in newtons pulls 9.80665 times less than in kilograms-force."""
    plain = FILE.read_text(encoding="utf-8").replace("clock [s];cell [kgf]", "clock;cell")
    upload(part, "cell.csv", plain.encode())
    assert "What the file was taken for" in part.words.value and "unit not said" in part.words.value
    part.controls["trace.lay"].click()
    assert "unit of time is not said" in panel.bench.status and panel.bench.warn
    set_units(part, "s", "choose")
    part.controls["trace.lay"].click()
    assert "unit of force is not said" in panel.bench.status
    set_units(part, "s", "kgf")
    part.lay()
    right = panel.wound.trace.ratio
    set_units(part, "s", "N")
    part.lay()
    assert right / panel.wound.trace.ratio == pytest.approx(9.80665, rel=0.05)


def test_units_that_the_file_says_are_offered_and_not_contradicted(panel, part) -> None:
    """Truth: the names in the file; a cell the other way round, and one that shows 100 unloaded."""
    upload(part, "cell.csv", FILE.read_bytes())
    units = [part.controls[f"trace.{what}_unit"].value for what in ("time", "force")]
    assert units == ["s", "kgf"]
    part.lay()
    right = panel.controller.trace.force
    set_units(part, "s", "N")
    part.controls["trace.lay"].click()
    assert "is in kgf by its name, and N was given" in panel.bench.status
    set_units(part, "s", "kgf")
    part.controls["trace.tare"].value = "ten"
    part.controls["trace.lay"].click()
    assert "what the cell shows unloaded" in panel.bench.status
    part.controls["trace.tare"].value = "-10"
    part.lay()
    assert panel.controller.trace.force == pytest.approx(right + 10 * 9.80665)
    part.controls["trace.tare"].value = "0"
    part.controls["trace.turned"].value = True
    part.lay()
    assert "sign=-1" in part.words.value and panel.wound.trace is None
    part.controls["trace.turned"].value = False
    assert "Shocks, kept apart: 2.08 kN" in (part.lay() or part.words.value)


def test_place_of_the_cell_counts(panel, part) -> None:
    """Truth: the whole tackle pulls nearly as many times more as it has parts."""
    run = panel.wound.run
    time = np.linspace(0.0, run.winding_time, 500)
    pull = np.interp(np.linspace(0.0, 1.0, 500), run.taken / run.taken[-1], run.arm_pull)
    text = "\n".join(f"{t!r},{p!r}" for t, p in zip(time.tolist(), pull.tolist(), strict=True))
    upload(part, "bare.csv", text.encode())
    set_units(part, "s", "N")
    part.controls["trace.place"].value = "arm"
    part.lay()
    assert panel.wound.trace.ratio == pytest.approx(1.0, abs=0.01)
    part.controls["trace.place"].value = "drum"
    part.lay()
    expected = float(np.max(run.arm_pull / run.rope_pull))
    assert panel.wound.trace.ratio == pytest.approx(expected, rel=0.02)


HOSTILE = [
    (b"", "empty"),
    (b"\xff\xfe\x00", "cannot be read as text"),
    (b"only\n1\n2\n3\n", "one column"),
    (b"a,b\nx,y\nx,y\nx,y\n", "rows have a time and a force"),
    (b"t,F\n0,1\n0,1\n0,1\n0,1\n", "fewer than 3 different times"),
    (b"t,F\n" + b"0,1e300\n" * 5, "at least 3 are needed"),
    (b"1,2\n" * (LARGEST_FILE // 4 + 10), "at most 5"),
]


@pytest.mark.parametrize(("content", "words"), HOSTILE)
def test_bad_files_are_told_and_leave_the_page_as_it_was(panel, part, content, words) -> None:
    """Truth: each file lacks what is named; what was shown before stays."""
    before = panel.wound
    upload(part, "bad.csv", content)
    set_units(part, "s", "N")
    if part.text is not None:
        part.controls["trace.lay"].click()
    assert words in panel.bench.status and panel.bench.warn
    assert panel.wound is before and panel.controller.trace is None
    panel.bench.measure("metric")


def test_hostile_names_are_plain_words(panel, part) -> None:
    """Truth: HTML's own rules: a name can open no tag; a name is one short line."""
    evil = "<script>alert(1)</script><img src=x onerror=alert(1)>"
    rows = "".join(f"{k},{900 + k}\n" for k in range(40))
    upload(part, evil + "\x00\n.csv", f"{evil},{evil}\x00\x1b[31m\n{rows}".encode())
    assert part.text is not None
    for what in ("trace.time", "trace.force"):
        for label, _ in part.controls[what].options:
            assert len(label) <= LONGEST_NAME + 4 and label.isprintable()
    set_units(part, "s", "N")
    part.controls["trace.lay"].click()
    assert panel.bench.status == ""
    assert "<script" not in part.words.value and "<img" not in part.words.value
    assert "&lt;script" in part.words.value


def test_trace_without_a_winding_says_why(panel, part) -> None:
    """Truth: a weight lighter than the arm cannot be wound, so nothing is predicted."""
    upload(part, "cell.csv", FILE.read_bytes())
    set_units(part, "s", "kgf")
    part.lay()
    assert panel.controls["counterweight.mass"].set(100.0) == ""
    assert "cannot be compared with the prediction" in part.words.value
    panel.bench.undo()
    assert panel.wound.trace is not None


def test_no_file_is_no_trace(part) -> None:
    """Truth: nothing was opened."""
    with pytest.raises(TraceError, match="no file is open"):
        part.lay()


def test_column_names_of_any_file() -> None:
    """Truth: the texts below."""
    for text, names in (
        ("a;b;c\n1;2;3", ("a", "b", "c")),
        ("# note\nt\tF\n0\t1", ("t", "F")),
        ("0,1\n1,2", ("column 1", "column 2")),
        ("a,,c\n1,2,3", ("a", "column 2", "c")),
    ):
        assert recognise(text, text=True).names == names


def test_a_second_channel_is_asked_and_used(panel, part) -> None:
    """Truth: the panel's own winding, wound unevenly, at the places that the file gives."""
    run = panel.wound.run
    gone = np.linspace(0.0, 1.0, 200) ** 2
    share = run.taken / run.taken[-1]
    angle = np.degrees(np.interp(gone, share, run.elevation))
    force = np.interp(gone, share, run.rope_pull)
    lines = [
        f"{k},{one:.3f},{at:.4f}" for k, (one, at) in enumerate(zip(force, angle, strict=True))
    ]
    upload(part, "far.csv", "\n".join(["t [s],pull [N],angle [deg]", *lines]).encode())
    held = {name: part.controls[f"trace.{name}"] for name in ("angle", "angle_unit", "angle_as")}
    assert [one.value for one in held.values()] == [2, "deg", "choose"]
    assert "what &#x27;angle [deg]&#x27; counts" in part.words.value
    part.controls["trace.lay"].click()
    assert "choose what" in panel.bench.status
    held["angle_as"].value = "arm from level"
    part.controls["trace.lay"].click()
    assert panel.wound.trace.ratio == pytest.approx(1.0, abs=1e-3)
    assert "At the same place, by arm from level: measured peak" in part.words.value
    held["angle"].value = None
    part.controls["trace.lay"].click()
    assert "Along time, as if wound evenly: measured peak" in part.words.value
    assert panel.wound.trace.ratio != pytest.approx(1.0, abs=1e-2)
    held["angle"].value, held["angle_as"].value = 2, "arm from upright"
    part.controls["trace.lay"].click()
    assert "cannot be compared" in part.words.value and "eased back" in part.words.value

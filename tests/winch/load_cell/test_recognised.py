"""What a load cell's file is taken for before it is used, and what is refused rather than guessed.

Truth: files written by pandas as ten countries write numbers (Unicode CLDR: decimal sign and what
sets off thousands), read back to what went in; clock times, preambles and footers by hand.
"""

import time

import numpy as np
import pandas as pd
import pytest
from winch.winch_example import NUMBERS

from slingwright.winch.cycle import follow
from slingwright.winch.load_cell.comparison import overlay, predicted_pull
from slingwright.winch.load_cell.trace import (
    LoadTrace,
    TraceError,
    clean,
    decoded,
    read_trace,
    recognise,
)
from slingwright.winch.rig import WinchRig

LOCALES = {  # between columns, decimal sign, what sets off thousands
    "en_US": (",", ".", ","),
    "en_GB": ("\t", ".", ","),
    "de_DE": (";", ",", "."),
    "de_CH": (";", ".", "\N{RIGHT SINGLE QUOTATION MARK}"),
    "fr_FR": (";", ",", "\u202f"),
    "sv_SE": (";", ",", "\u00a0"),
    "es_ES": ("\t", ",", "."),
    "pt_BR": (";", ",", "."),
    "en_IN": (",", ".", "lakh"),
    "ja_JP": (",", ".", ""),
}


def grouped(value: float, decimal: str, mark: str) -> str:
    """Write a number as a country does, one decimal."""
    whole, part = f"{abs(value):.1f}".split(".")
    if mark == "lakh":
        head, tail = whole[:-3], whole[-3:]
        groups = [head[max(0, k - 2) : k] for k in range(len(head), 0, -2)][::-1]
        whole = ",".join([*groups, tail])
    elif mark:
        whole = f"{int(whole):,}".replace(",", mark)
    return f"{'-' if value < 0 else ''}{whole}{decimal}{part}"


@pytest.mark.parametrize("locale", LOCALES)
def test_files_written_by_pandas_in_ten_countries(locale: str, tmp_path) -> None:
    """Truth: the numbers that went in, past a thousand and past a hundred thousand."""
    between, decimal, mark = LOCALES[locale]
    forces = np.array([0.5, 950.5, 1234.5, 12345.6, 123456.7, 1500.0, -20.5])
    frame = pd.DataFrame(
        {
            "time [s]": [f"{0.1 * k:.1f}".replace(".", decimal) for k in range(len(forces))],
            "pull [kgf]": [grouped(force, decimal, mark) for force in forces],
        }
    )
    path = tmp_path / "cell.csv"
    frame.to_csv(path, sep=between, index=False)
    seen = recognise(path)
    assert (seen.delimiter, seen.force_unit, seen.time_unit) == (between, "kgf", "s")
    assert seen.decimal == ("comma" if decimal == "," else "point") and seen.asks == ()
    trace = read_trace(path)
    assert trace.force == pytest.approx(9.80665 * forces)
    assert trace.time == pytest.approx(0.1 * np.arange(len(forces)))
    assert not any("left out" in note for note in trace.notes)


@pytest.mark.parametrize("sep", [",", ";", "\t"])
def test_dates_and_an_index_as_pandas_writes_them(sep: str, tmp_path) -> None:
    """Truth: pandas' own times, past midnight; an index column without a name."""
    start = pd.Timestamp("2026-05-01 23:59:59.5")
    when = start + pd.to_timedelta(np.arange(6) * 0.25, unit="s")
    path = tmp_path / "cell.csv"
    pd.DataFrame({"when": when, "F_kN": np.arange(6) + 0.5}).to_csv(path, sep=sep)
    seen = recognise(path)
    assert seen.names[seen.time_column] == "when" and seen.names[seen.force_column] == "F_kN"
    trace = read_trace(path, time_column="when", force_column="F_kN")
    assert np.diff(trace.time) == pytest.approx(0.25)
    assert trace.force == pytest.approx(1e3 * (np.arange(6) + 0.5))


def test_times_of_day_go_on_past_midnight() -> None:
    """Truth: by hand: two seconds before midnight to three after, no date."""
    rows = "23:59:58;1\n23:59:59;2\n00:00:00;3\n00:00:03;4\n"
    trace = read_trace(f"Uhr;Kraft\n;kN\n{rows}", text=True)
    assert trace.time - trace.time[0] == pytest.approx([0.0, 1.0, 2.0, 5.0])
    assert trace.force == pytest.approx([1e3, 2e3, 3e3, 4e3])


FILE = (
    "Logger 7\nSerial 5, June\n\nt [ms];cell [kgf];battery [V]\n"
    "0;1,5;3\n10;2,5;3\n20;3,5;3\nMax;3,5\n"
)


def test_a_file_is_shown_back_before_it_is_used() -> None:
    """Truth: the text itself: preamble, names, units, footer."""
    seen = recognise(FILE, text=True)
    shown = {row.key: (str(row.value), row.note) for row in seen.rows()}
    assert shown["delimiter"][0] == "semicolon" and shown["decimal"][0] == "comma"
    assert shown["time"] == ("t [ms]", "ms") and shown["force"] == ("cell [kgf]", "kgf")
    assert shown["row.1"][0] == "0 | 1,5 | 3" and "Max | 3,5" in shown["rows"][1]
    assert "Logger 7" in shown["above"][1]
    trace = read_trace(FILE, text=True)
    assert trace.time == pytest.approx([0.0, 0.01, 0.02])
    assert any("1 of 4 rows without two numbers left out" in note for note in trace.notes)
    bare = recognise("t;a;b\n0;1;2\n1;2;3\n", text=True)
    assert bare.asks == ("the unit of time", "the unit of force", "which column is the force")
    assert "Still to be said" in bare.sentence


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"force_unit": "N"}, "is in kgf by its name, and N was given"),
        ({"time_unit": "s"}, "is in ms by its name, and s was given"),
        ({"force_column": 0}, "cannot be both time and force"),
        ({"time_column": 1, "force_column": 2}, "is in kgf, and one of s, ms"),
        ({"time_column": 1, "force_column": 0}, "is in kgf, and one of s, ms"),
        ({"force_column": 2}, "unit of column 'battery .V.' is not said"),
        ({"sign": 2.0}, "sign 2: give 1, or -1"),
    ],
)
def test_what_contradicts_itself_is_refused(given: dict, words: str) -> None:
    """Truth: the names in the file."""
    with pytest.raises(TraceError, match=words):
        read_trace(FILE, text=True, **given)


def test_sign_and_tare() -> None:
    """Truth: by hand: a cell wired the other way round that shows -3 kgf with nothing on it."""
    pull = np.concatenate([np.zeros(20), np.linspace(0.0, 100.0, 80)])
    rows = "".join(f"{k};{-3.0 - one:.3f}\n" for k, one in enumerate(pull))
    text = f"t [s];F [kgf]\n{rows}"
    raw = read_trace(text, text=True)
    assert any("sign=-1" in note for note in raw.notes) and raw.below
    assert any("tare=-3" in note for note in raw.notes)
    done = read_trace(text, text=True, sign=-1.0, tare=-3.0)
    assert done.force == pytest.approx(9.80665 * pull, abs=0.01) and done.notes == ()


def test_shocks_are_kept_as_a_result_of_their_own() -> None:
    """Truth: by hand: two samples at 4004 N and one at 3000 N among some at 1524 N."""
    force = np.full(200, 1524.0) + np.sin(np.arange(200))
    force[[90, 91, 150]] = [4000.0, 4004.0, 3000.0]
    trace = clean(LoadTrace(time=0.1 * np.arange(200), force=force, name="shock"))
    assert [(one.time, one.force) for one in trace.shocks] == [
        pytest.approx((9.1, 4004.0)),
        pytest.approx((15.0, 3000.0)),
    ]
    assert all(abs(one.around - 1524.0) < 2.0 for one in trace.shocks)
    assert trace.shock_words.startswith("4.00 kN at 9.10 s, 1.52 kN around it; 3.00 kN")


@pytest.mark.parametrize("place", ["drum", "arm"])
def test_a_trace_of_lowering_is_not_laid_the_wrong_way_round(place: str) -> None:
    """Truth: traces made from the predicted pulls, wound and eased back."""
    wound = follow(NUMBERS, WinchRig())
    share = np.linspace(0.0, 1.0, 301)
    up = LoadTrace(time=share, force=predicted_pull(wound, share, place), name="up")
    eased = predicted_pull(wound, 1.0 - share, f"{place} lowering")
    down = LoadTrace(time=share, force=eased, name="down")
    assert overlay(up, wound, place=place).ratio == pytest.approx(1.0)
    assert overlay(down, wound, place=f"{place} lowering").ratio == pytest.approx(1.0)
    with pytest.raises(TraceError, match=f"eased back. Lay it as '{place} lowering'"):
        overlay(down, wound, place=place)
    with pytest.raises(TraceError, match=f"wound. Lay it as '{place}'"):
        overlay(up, wound, place=f"{place} lowering")
    turned = LoadTrace(time=share, force=-up.force, name="turned")
    with pytest.raises(TraceError, match="sign=-1"):
        overlay(turned, wound, place=place)


def test_encodings() -> None:
    """Truth: the same text in four encodings; bytes with zeros among them are no text."""
    text = "t [s];Kraft Geh\u00e4nge [kN]\n0;1\n1;2\n2;3\n"
    for encoding in ("utf-8", "utf-8-sig", "utf-16", "cp1252"):
        assert decoded("cell.csv", text.encode(encoding)) == text
    with pytest.raises(TraceError, match="cannot be read as text"):
        decoded("cell.csv", b"\x89PNG\x00\xff")


@pytest.mark.slow
def test_a_million_rows_are_read_in_seconds() -> None:
    """Truth: process time of a clock; before, a million rows took the better part of a minute."""
    rows = "".join(f"{k * 0.01:.2f},{1000 + k % 50}\n" for k in range(1_000_000))
    start = time.process_time()
    trace = read_trace(f"t [s],F [N]\n{rows}", text=True)
    assert len(trace.force) == 1_000_000 and time.process_time() - start < 15.0

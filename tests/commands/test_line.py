"""The command line: what it prints, how it ends, and that it never shows a traceback.

Truth: the package's own functions for the numbers, RFC 8259 for JSON (no NaN), RFC 4180 for CSV,
and the exit codes that the program's own help states.
"""

from __future__ import annotations

import contextlib
import csv
import io
import json
import math
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import slingwright as sw
from slingwright.amounts import units
from slingwright.commands import line as command_line
from slingwright.commands import machine as machine_commands
from slingwright.commands import typed
from slingwright.machine.table import dials

OTTER_FORD = sw.data_folder() / "otter_ford.toml"


def run(capsys, *arguments: object) -> tuple[int, str, str]:
    """Run one command in this process; returns exit code, standard output and standard error."""
    code = command_line.main([str(argument) for argument in arguments])
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    return code, out, err


def start(*arguments: object, **how) -> subprocess.Popen[bytes]:
    """Start the program as a user does."""
    return subprocess.Popen(
        [sys.executable, "-m", "slingwright", *map(str, arguments)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        **how,
    )


def strict_json(text: str) -> dict:
    """Read JSON as strictly as the standard has it."""

    def refuse(word: str) -> None:
        raise AssertionError(f"{word} is no JSON")

    return json.loads(text, parse_constant=refuse)


# ---- throw


def test_throw_tells_what_the_record_holds(capsys) -> None:
    """Truth: the Throw of the same file, written by the units' own text."""
    code, out, err = run(capsys, "throw", OTTER_FORD)
    done = sw.throw(sw.read_machine(OTTER_FORD))
    assert (code, err) == (command_line.FINE, "")
    assert out.startswith("Otter Ford\nReleased at ")
    assert f"{units.text(done.range, 'm')} from under the axle" in out
    assert units.text(done.peak_axle_load, "N") in out
    assert done.peak_axle_phase in out
    assert units.text(done.held.axle_load, "N") in out
    assert f"{100.0 * done.efficiency:.1f} %" in out
    assert out.splitlines()[-1].startswith("Caution: ")


def test_throw_in_us_units(capsys) -> None:
    """Truth: the international foot, 0.3048 m, and the pound-force, 4.4482216 N."""
    _, out, _ = run(capsys, "throw", OTTER_FORD, "--us")
    done = sw.throw(sw.read_machine(OTTER_FORD))
    assert f"{done.range / 0.3048:.4g} ft from under the axle" in out
    assert f"{done.peak_axle_load / 4.4482216152605:,.0f} lbf" in out
    assert " kN" not in out


def test_throw_json_has_the_numbers_and_their_units(capsys) -> None:
    """Truth: the Throw's own fields; every path of the units' map leads to a number."""
    code, out, _ = run(capsys, "throw", OTTER_FORD, "--json")
    record = strict_json(out)
    machine = sw.read_machine(OTTER_FORD)
    done = sw.throw(machine)
    assert code == command_line.FINE
    assert record["outcome"] == "released"
    assert record["range"] == done.range
    assert record["release"]["lag"] == done.release.lag
    assert record["landing"]["apex"] == done.landing.apex
    assert record["peak_axle"]["load"] == done.peak_axle_load
    assert record["held"]["hook_load"] == done.held.hook_load
    assert record["machine"]["dials"]["release.angle"] == pytest.approx(math.radians(20.0))
    assert record["machine"]["dials"]["projectile.drag"] is None
    for path in record["units"]:
        here = record
        parts = path.split(".")
        if parts[:2] == ["machine", "dials"]:
            parts = ["machine", "dials", ".".join(parts[2:])]
        for part in parts:
            here = here[0] if isinstance(here, list) else here
            here = here[part]
        assert here is None or isinstance(here, float), path


def test_json_energies_close_at_release(capsys) -> None:
    """Truth: conservation: what the counterweight gives is in other parts or lost to friction."""
    _, out, _ = run(capsys, "throw", OTTER_FORD, "--json")
    energy = strict_json(out)["energy"]
    assert energy["weight"] < 0.0 < energy["ball"]
    assert abs(sum(energy.values())) < 1e-7 * abs(energy["weight"])


def test_failed_throw_is_exit_1_and_has_no_range(capsys) -> None:
    """Truth: the rule that a failed throw ends in a sentence, not in a wrong number."""
    arguments = ("throw", OTTER_FORD, "--set", "counterweight.mass=30 kg")
    code, out, _ = run(capsys, *arguments)
    assert code == typed.FAILED
    assert "Never left the trough" in out
    assert "range" not in out and "peak axle load" not in out
    code, out, _ = run(capsys, *arguments, "--json")
    record = strict_json(out)
    assert code == typed.FAILED
    assert record["range"] is record["release"] is record["landing"] is record["peak_axle"] is None
    assert record["energy"] is None
    assert "counterweight.mass" in record["sentence"]


def test_json_stays_strict_where_a_load_is_infinite(capsys) -> None:
    """Truth: RFC 8259 has no infinity; a line through the axle cannot hold the arm at all."""
    machine = sw.read_machine(OTTER_FORD)
    e, along = -machine.number("arm.cocked"), 2.0
    x, y = -along * math.cos(e), machine.number("axle.height") + along * math.sin(e)
    aim = ("hook.on_arm=2", f"hook.x={0.5 * x}", f"hook.y={0.5 * (y + 4.2)}")
    arguments = [word for change in aim for word in ("--set", change)]
    code, out, _ = run(capsys, "throw", OTTER_FORD, "--json", *arguments)
    assert code == command_line.FINE
    assert strict_json(out)["held"]["hook_load"] is None
    _, out, _ = run(capsys, "throw", OTTER_FORD, *arguments)
    assert "no finite value" in out


def test_set_takes_bare_numbers_in_the_dials_unit(capsys) -> None:
    """Truth: the same change made on the machine itself."""
    _, out, _ = run(
        capsys, "throw", OTTER_FORD, "--json", "--set", "release.angle=30",
        "--set", "sling.length=16 ft", "--set", "counterweight.hung=false",
        "--set", "arm.timber=D30", "--set", "projectile.drag=none",
    )  # fmt: skip
    told = strict_json(out)["machine"]["dials"]
    assert told["release.angle"] == math.radians(30.0)
    assert told["sling.length"] == 16 * 0.3048
    assert told["counterweight.hung"] is False
    assert told["arm.timber"] == "D30"
    assert told["projectile.drag"] is None


def test_tolerance_and_swing_through_are_passed_on(capsys) -> None:
    """Truth: the Throw with the same arguments."""
    _, out, _ = run(
        capsys, "throw", OTTER_FORD, "--json", "--tolerance", "1e-6", "--swing-through", "0"
    )
    record = strict_json(out)
    assert record["tolerance"] == 1e-6
    assert [span["name"] for span in record["spans"]] == ["in the trough", "swinging free"]


# ---- what is refused


REFUSED = [
    (("throw", "nowhere.toml"), "nowhere.toml"),
    (("throw", OTTER_FORD.parent), "cannot be read"),
    (("throw", OTTER_FORD, "--set", "sling.lenght=4"), "did you mean sling.length?"),
    (("throw", OTTER_FORD, "--set", "sling.length"), "PATH=VALUE"),
    (("throw", OTTER_FORD, "--set", "sling.length=400"), "40 m"),
    (("throw", OTTER_FORD, "--set", "sling.length=4 kg"), "a length"),
    (("throw", OTTER_FORD, "--set", "sling.length=nan"), "finite"),
    (("throw", OTTER_FORD, "--set", "base.wheels=perhaps"), "neither true nor false"),
    (("throw", OTTER_FORD, "--set", "arm.timber=balsa"), "arm.timber"),
    (("throw", OTTER_FORD, "--tolerance", "1"), "1e-13 to 0.001"),
    (("throw", OTTER_FORD, "--tolerance", "nan"), "no finite number"),
    (("throw", OTTER_FORD, "--swing-through", "61"), "0 to 60"),
    (("throw", OTTER_FORD, "--tolerance", "small"), "'small' is not a number"),
    (("throw", OTTER_FORD, "--set", "sling.length=1,015"), "write 1.015 or 1015"),
    (("throw", OTTER_FORD, "--frobnicate"), "--frobnicate"),
    (("throw",), "FILE"),
    (("thorw", OTTER_FORD), "did you mean throw?"),
    (("xyzzy",), "there are throw"),
    ((), "COMMAND"),
    (("dials", "slnig"), "did you mean sling?"),
    (("dials", "sling.lenght"), "did you mean sling.length?"),
    (("dials", "xyzzy"), "there are arm"),
    (("sweep", OTTER_FORD), "--vary"),
    (("sweep", OTTER_FORD, "--vary", "sling.lenght=3:5:4"), "did you mean sling.length?"),
    (("sweep", OTTER_FORD, "--vary", "sling.length"), "from:to:count"),
    (("sweep", OTTER_FORD, "--vary", "sling.length="), "from:to:count"),
    (("sweep", OTTER_FORD, "--vary", "sling.length=3:5"), "three parts"),
    (("sweep", OTTER_FORD, "--vary", "sling.length=3:5:0"), "from 1 to"),
    (("sweep", OTTER_FORD, "--vary", "sling.length=3:5:2.5"), "whole number"),
    (("sweep", OTTER_FORD, "--vary", "sling.length=3:5:99999999"), "from 1 to"),
    (("sweep", OTTER_FORD, "--vary", "sling.length=3:inf:4"), "finite"),
    (("sweep", OTTER_FORD, "--vary", "sling.length=3 kg:5 kg:4"), "a length"),
    (("sweep", OTTER_FORD, "--vary", "sling.length=a,b"), "sling.length=a"),
    (("sweep", OTTER_FORD, "--vary", "sling.length=3,,4"), "sling.length="),
    (("sweep", OTTER_FORD, "--vary", "base.wheels=yes,no"), "neither true nor false"),
    (
        ("sweep", OTTER_FORD, "--vary", "sling.length=3,4", "--vary", "sling.length=5"),
        "given twice",
    ),
    (
        ("sweep", OTTER_FORD, "--paired", "--vary", "sling.length=3,4", "--vary", "site.wind=1"),
        "different length",
    ),
    (
        ("sweep", OTTER_FORD, "--vary", "sling.length=3:5:4000", "--vary", "site.wind=0:9:4000"),
        "16,000,000",
    ),
    (
        ("sweep", OTTER_FORD, "--vary", "sling.length=4", "--out", "/nowhere/at/all.csv"),
        "No such file",
    ),
    (("winch", "nowhere.toml"), "nowhere.toml"),
    (("check", "nowhere.toml"), "nowhere.toml"),
]


@pytest.mark.parametrize(("arguments", "words"), REFUSED)
def test_refusals_are_exit_2_with_a_message_on_standard_error(capsys, arguments, words) -> None:
    """Truth: the program's own help: 2 for an unknown path, a bad file or a bad option."""
    code, out, err = run(capsys, *arguments)
    assert code == command_line.REFUSED
    assert out == ""
    assert err.startswith("slingwright: ")
    assert words in err


def test_every_fault_of_a_file_is_told(capsys, tmp_path: Path) -> None:
    """Truth: the file below: two lengths that are none, one key that is no dial."""
    file = tmp_path / "bad.toml"
    text = OTTER_FORD.read_text(encoding="utf-8")
    lines = text.replace('"5.8 m"', '"5.8 kg"').replace('"4.8 m"', '"-4 m"').splitlines()
    lines.insert(lines.index("[site]") + 1, "wnid = 3")
    file.write_text("\n".join(lines), encoding="utf-8")
    code, _, err = run(capsys, "throw", file)
    assert code == command_line.REFUSED
    for start_of, key in (('long = "5.8 kg"', "arm.long"), ('length = "-4 m"', "sling.length"),
                          ("wnid", "site.wnid")):  # fmt: skip
        line = next(i for i, text in enumerate(lines, 1) if text.startswith(start_of))
        assert f"line {line}: {key}" in err
    assert "did you mean site.wind?" in err


@given(data=st.binary(max_size=200))
@settings(max_examples=60)
def test_no_file_brings_a_traceback(tmp_path_factory, data: bytes) -> None:
    """Truth: the rule itself: whatever the file, the program ends with 0, 1 or 2."""
    file = tmp_path_factory.mktemp("any") / "any.toml"
    file.write_bytes(data)
    assert command_line.main(["throw", str(file)]) == command_line.REFUSED


@given(
    words=st.lists(
        st.one_of(
            st.text(max_size=12),
            st.sampled_from(
                [
                    "throw",
                    "sweep",
                    "dials",
                    "winch",
                    "--json",
                    "--us",
                    "--vary",
                    "--set",
                    "sling",
                    "sling.length=3:5:3",
                    "=",
                    "::",
                    "sling.length=,",
                    "-1",
                    "--",
                    "@x",
                ]
            ),
        ),
        max_size=5,
    )
)
@settings(max_examples=200)  # fmt: skip
def test_no_words_bring_a_traceback(words: list[str]) -> None:
    """Truth: the rule itself: whatever is typed, an exit code comes back and nothing is raised."""
    if words and words[0].startswith("-"):
        words = ["throw", *words]
    assert command_line.main(words) in (
        command_line.FINE,
        typed.FAILED,
        command_line.REFUSED,
    )


def test_a_fault_of_the_program_is_told_without_a_traceback(capsys, monkeypatch) -> None:
    """Truth: the rule of the program's own help; the fault is planted."""

    def broken(*_: object) -> None:
        raise ZeroDivisionError("planted")

    monkeypatch.setattr(typed, "read_machine", broken)
    code, out, err = run(capsys, "throw", OTTER_FORD)
    assert (code, out) == (command_line.REFUSED, "")
    assert "ZeroDivisionError: planted" in err


# ---- sweep


def read_csv(text: str) -> tuple[list[str], list[list[str]]]:
    """Read comma-separated values as RFC 4180 has it."""
    head, *rows = csv.reader(io.StringIO(text))
    return head, rows


def test_sweep_csv_holds_the_sweep(capsys) -> None:
    """Truth: sweep's own columns for the same values, number by number."""
    code, out, _ = run(
        capsys, "sweep", OTTER_FORD, "--csv", "--vary", "sling.length=3:5:5",
        "--vary", "release.angle=20,40",
    )  # fmt: skip
    head, rows = read_csv(out)
    columns = sw.sweep(
        sw.read_machine(OTTER_FORD),
        {"sling.length": np.linspace(3.0, 5.0, 5), "release.angle": np.radians([20.0, 40.0])},
    )
    assert code == command_line.FINE
    assert head[:4] == ["sling.length [m]", "release.angle [rad]", "outcome", "range [m]"]
    assert "peak_axle_load [N]" in head
    assert [name.partition(" ")[0] for name in head] == list(columns)
    assert len(rows) == 10
    for place, name in enumerate(columns):
        told = [row[place] for row in rows]
        if columns[name].dtype.kind == "f":
            assert np.array_equal(np.array(told, dtype=float), columns[name]), name
        else:
            assert told == columns[name].tolist()


def test_sweep_keeps_failed_and_faulty_rows(capsys) -> None:
    """Truth: one row a throw asked for, none dropped, each with its outcome."""
    _, out, _ = run(
        capsys, "sweep", OTTER_FORD, "--csv", "--vary", "counterweight.mass=640,30,9999999"
    )
    head, rows = read_csv(out)
    outcome, range_, fault = (head.index(name) for name in ("outcome", "range [m]", "fault"))
    assert [row[outcome] for row in rows] == ["released", "never left the trough", "not a machine"]
    assert [bool(row[range_]) for row in rows] == [True, False, False]
    assert "counterweight.mass" in rows[2][fault]
    code, out, _ = run(capsys, "sweep", OTTER_FORD, "--vary", "counterweight.mass=9999999")
    assert code == typed.FAILED
    assert "row 1: counterweight.mass" in out


def test_sweep_for_a_reader(capsys) -> None:
    """Truth: the farthest row of sweep's own columns."""
    code, out, _ = run(capsys, "sweep", OTTER_FORD, "--vary", "sling.length=3 m:5 m:9")
    columns = sw.sweep(sw.read_machine(OTTER_FORD), {"sling.length": np.linspace(3.0, 5.0, 9)})
    best = int(np.nanargmax(columns["range"]))
    assert code == command_line.FINE
    assert "9 throws: 9 released" in out
    assert f"farthest: {units.text(columns['range'][best], 'm')} at sling.length" in out
    _, out, _ = run(capsys, "sweep", OTTER_FORD, "--us", "--vary", "sling.length=10 ft:16 ft:3")
    assert "\n10 ft " in out and "\n16 ft " in out


def test_long_sweep_is_told_short(capsys) -> None:
    """Truth: 400 throws and the limit of rows that are listed."""
    _, out, _ = run(
        capsys, "sweep", OTTER_FORD, "--no-loads",
        "--vary", "sling.length=3:5:20", "--vary", "release.angle=10:60:20",
    )  # fmt: skip
    assert "400 throws: " in out
    assert len(out.splitlines()) < 6


def test_sweep_to_a_file_is_the_same_as_to_the_screen(capsys, tmp_path: Path) -> None:
    """Truth: what --csv prints; and the file stands alone in its folder, no leavings."""
    _, printed, _ = run(capsys, "sweep", OTTER_FORD, "--csv", "--vary", "site.wind=-5,0,5")
    file = tmp_path / "wind.csv"
    code, out, _ = run(capsys, "sweep", OTTER_FORD, "--out", file, "--vary", "site.wind=-5,0,5")
    assert code == command_line.FINE
    assert file.read_bytes().decode("utf-8") == printed
    assert [path.name for path in tmp_path.iterdir()] == ["wind.csv"]
    assert "3 throws: 3 released" in out


def test_no_loads_leaves_the_loads_out(capsys) -> None:
    """Truth: the option's help."""
    _, out, _ = run(capsys, "sweep", OTTER_FORD, "--csv", "--no-loads", "--vary", "site.wind=0")
    assert not [name for name in read_csv(out)[0] if "axle" in name]


def test_paired_takes_values_side_by_side(capsys) -> None:
    """Truth: two lists of two make two throws side by side and four in every combination."""
    lists = ("--vary", "sling.length=4,5", "--vary", "site.wind=0,3")
    _, out, _ = run(capsys, "sweep", OTTER_FORD, "--csv", "--paired", *lists)
    assert [row[:2] for row in read_csv(out)[1]] == [["4.0", "0.0"], ["5.0", "3.0"]]
    _, out, _ = run(capsys, "sweep", OTTER_FORD, "--csv", *lists)
    assert len(read_csv(out)[1]) == 4


def test_flags_and_names_can_be_swept(capsys) -> None:
    """Truth: a hinged and a fixed weight throw differently; a text cell never is a formula."""
    _, out, _ = run(capsys, "sweep", OTTER_FORD, "--csv", "--vary", "counterweight.hung=true,false")
    head, rows = read_csv(out)
    assert [row[0] for row in rows] == ["true", "false"]
    assert rows[0][head.index("range [m]")] != rows[1][head.index("range [m]")]
    _, out, _ = run(capsys, "sweep", OTTER_FORD, "--csv", "--vary", "arm.timber=C24,=1+1")
    assert [row[0] for row in read_csv(out)[1]] == ["C24", "'=1+1"]


@given(low=st.floats(-80.0, 80.0), high=st.floats(-80.0, 80.0), count=st.integers(2, 50))
def test_even_values_reach_both_ends(low: float, high: float, count: int) -> None:
    """Truth: numpy's linspace, in the dial's unit and then in radians."""
    path, values = machine_commands.read_vary(f"release.angle={low!r}:{high!r}:{count}")
    assert path == "release.angle"
    assert values[0] == low * dials.dial(path).factor
    assert values[-1] == high * dials.dial(path).factor
    assert np.allclose(values, np.radians(np.linspace(low, high, count)), rtol=0.0, atol=1e-12)


# ---- dials


def test_dials_lists_every_row(capsys) -> None:
    """Truth: the table of dials."""
    code, out, _ = run(capsys, "dials")
    assert code == command_line.FINE
    assert [line.split()[0] for line in out.splitlines()[1:]] == [row.path for row in dials.TABLE]


@pytest.mark.parametrize("name", dials.GROUPS)
def test_dials_of_a_group(capsys, name: str) -> None:
    """Truth: the table of dials."""
    _, out, _ = run(capsys, "dials", name)
    rows = dials.group(name)
    assert [line.split()[0] for line in out.splitlines()[1:]] == [row.path for row in rows]
    for row in rows:
        assert row.help in out


def test_dials_in_us_units(capsys) -> None:
    """Truth: 40 m is 131.2 ft."""
    _, out, _ = run(capsys, "dials", "sling.length", "--us")
    assert "131.2 ft" in out and "required" in out


# ---- winch


KNOWN_RIG = (
    *("--rig", "rope.rope_length=25 m", "--rig", "rope.sheave=0.1 m"),
    *("--rig", "mark.hook_rating=3 kN", "--rig", "mark.pawl_rating=2 kN"),
    *("--rig", "mark.shackle_rating=4.9 kN", "--rig", "mark.arm_block_rating=4 kN"),
    *("--rig", "mark.frame_block_rating=4 kN"),
)


def test_winch_tells_what_the_winding_holds(capsys) -> None:
    """Truth: the winding and the rigging checks of the same machine, the throw's way included."""
    from slingwright.standing.places import winding_checks
    from slingwright.winch.cycle import winding

    machine = sw.read_machine(OTTER_FORD)
    wound = winding(machine)
    checks = winding_checks(machine, wound, sw.throw(machine))
    code, out, err = run(capsys, "winch", OTTER_FORD)
    assert {check.verdict for check in checks} == {"holds", "not known"}
    assert code == typed.FAILED and err == ""  # unknown never passes
    assert wound.outcome in out and "winch clear of sling and projectile" in out
    assert units.text(wound.peak_rope_pull, "N") in out
    for check in checks:
        assert f"{check.verdict:<9}  {check.name}: " in out
    code, out, _ = run(capsys, "winch", OTTER_FORD, "--json")
    record = strict_json(out)
    assert record["peak_rope_pull"] == wound.peak_rope_pull
    assert [row["verdict"] for row in record["checks"]] == [row.verdict for row in checks]
    assert all(isinstance(record[path], float) for path in record["units"])


def test_winch_tells_other_ways_to_rig_it(capsys) -> None:
    """Truth: the ways of the same machine, each on a line, in the reader's units."""
    found = sw.riggings(sw.read_machine(OTTER_FORD))
    code, out, err = run(capsys, "winch", OTTER_FORD, *KNOWN_RIG, "--ways")
    assert (code, err) == (command_line.FINE, "")
    assert out.endswith(f"{found.table()}\n") and len(found.ways) == 4
    _, out, _ = run(capsys, "winch", OTTER_FORD, "--ways", "--us")
    assert out.endswith(f"{found.table('US')}\n")
    _, out, _ = run(capsys, "winch", OTTER_FORD, "--ways", "--json")
    rows = strict_json(out)["ways"]["rows"]
    assert rows["straight.bending"]["value"] == found.ways[0].bending
    _, out, _ = run(capsys, "winch", OTTER_FORD, "--json")
    assert "ways" not in strict_json(out)


def test_winch_with_all_marks_known_is_exit_0(capsys) -> None:
    """Truth: every capacity told is above its demand; in US units no metric unit of force stays."""
    code, out, err = run(capsys, "winch", OTTER_FORD, *KNOWN_RIG)
    assert (code, err) == (command_line.FINE, "") and "not known" not in out
    code, out, _ = run(capsys, "winch", OTTER_FORD, "--us", *KNOWN_RIG)
    assert code == command_line.FINE and "lbf per person" in out
    assert " N " not in out and " kN" not in out
    code, out, _ = run(capsys, "winch", OTTER_FORD, *KNOWN_RIG, "--set", "winch.aside=0")
    assert code == typed.FAILED and "fails      winch clear of sling and projectile" in out


def test_winch_json_has_the_whole_cycle(capsys) -> None:
    """Truth: statics of the frame from the record's own numbers; drums, ropes and hook are there.

    Along and across add up to the tackle's pull; the bending is each times its own lever.
    """
    code, out, _ = run(capsys, "winch", OTTER_FORD, "--json", "--rig", "rig.overhang=1.5 m")
    record = strict_json(out)
    member, rig = record["frame"][0], record["rig"]
    pulls = record["cycle"]["arm_pull"]
    for along, across, pull in zip(member["along"], member["across"], pulls, strict=True):
        assert math.hypot(along, across) == pytest.approx(pull, rel=1e-12)
    assert max(map(abs, member["bending_across"])) == member["bending_across_largest"]
    assert member["bending_across_largest"] == pytest.approx(1.5 * member["across_largest"])
    assert member["bending_along_largest"] == pytest.approx(rig["offset"] * member["along_largest"])
    assert record["pawl_load"] > 0.0 and record["runaway_speed"] > record["runaway_after_one_turn"]
    assert len(record["drums"]["force_per_person"]) == 17
    assert record["smallest_ropes"]["manila"]["breaking_force"] > record["peak_rope_pull"]
    assert record["hook"]["load"] == record["hook_load"]
    assert len(record["cycle"]["elevation"]) == len(pulls) and set(record["cycle_units"]) == set(
        record["cycle"]
    )


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("colour=3", "no such dial"),
        ("rope.sheave", "there is no value"),
        ("rope.end=granny knot", "no material of that name"),
        ("rope.sheave=30 m", "0.005 to 2 m"),
        ("rope.sheave=30 kg", "rope.sheave"),
    ],
)
def test_winch_refuses_a_rig_that_cannot_be(capsys, words: str, told: str) -> None:
    """Truth: the dials' own limits and names; exit code 2 for a bad option."""
    code, out, err = run(capsys, "winch", OTTER_FORD, "--rig", words)
    assert (code, out) == (command_line.REFUSED, "") and told in err


def test_winch_that_fails_is_exit_1(capsys) -> None:
    """Truth: one person cannot crank 20 t down without gear; a weight too light needs no winch."""
    heavy = ("counterweight.mass=20 t", "winch.gear=1", "winch.parts=1", "winch.people=1")
    changes = [word for change in heavy for word in ("--set", change)]
    code, out, _ = run(capsys, "winch", OTTER_FORD, *changes)
    assert code == typed.FAILED
    assert "too heavy" in out and "fails " in out
    code, out, err = run(capsys, "winch", OTTER_FORD, "--set", "counterweight.mass=10 kg")
    assert (code, out) == (typed.FAILED, "")
    assert "cannot wind this machine" in err


# ---- check


def test_what_is_not_clear_is_never_exit_0(capsys) -> None:
    """Truth: the rule of exit codes: past the clear ground, inside it, a hook that slips open."""
    code, _, err = run(capsys, "throw", OTTER_FORD, "--set", "site.limit=90 m")
    assert code == typed.FAILED and "past the end of the clear ground at 90" in err
    for change in ("hook.person_z=1 m", "hook.offset=-2 mm"):
        code, out, _ = run(capsys, "winch", OTTER_FORD, *KNOWN_RIG, "--set", change)
        assert code == typed.FAILED and "fails " in out


def test_zone_tells_the_ground_to_keep_clear(capsys) -> None:
    """Truth: the zone worked out directly; exit 1 where it is not known or the ground too short."""
    from slingwright.standing.zone import zone

    file = sw.data_folder() / "otter_ford.toml"
    found = zone(sw.read_machine(file))
    code, out, _ = run(capsys, "zone", file, "--json")
    record = strict_json(out)
    assert code == 1 and record["clear_ahead"] == found.clear_ahead
    assert record["verdict"] == "fails" and "not bounded" in record["not_bounded"]
    assert record["loads"][0]["bound_by_energy"] == found.leavings[0].flung.distance
    assert record["who_looses"]["z"] == found.loosing.z
    assert [row["name"] for row in record["loads"]] == [one.load for one in found.leavings]
    code, out, _ = run(capsys, "zone", file)
    assert code == 1 and "Keep clear" in out and "licensed" in out
    assert "not bounded by the simulated motion" in out and "Who looses stands" in out
    code, out, _ = run(capsys, "zone", file, "--set", "site.limit=600 m")
    assert code == 1 and "past that its motion is not known" in out
    code, out, _ = run(capsys, "zone", file, "--lanyard", "10 m")
    assert code == 1 and "lengthen it" in out
    code, _, said = run(capsys, "zone", file, "--lanyard", "ten")
    assert code == 2 and "--lanyard: 'ten'" in said
    slow = ("axle.height=6 m", "trough.height=4.5 m", "sling.length=1.2 m", "axle.friction=1")
    slow += ("axle.diameter=0.5 m", "projectile.mass=60 kg", "counterweight.mass=800 kg")
    changes = [word for change in slow for word in ("--set", change)]
    code, out, _ = run(capsys, "zone", sw.data_folder() / "fixed_pair.toml", *changes)
    assert code == 0 and "not known" not in out
    code, out, _ = run(capsys, "zone", file, "--us", "--set", "counterweight.mass=800 kg")
    assert code == 1 and "do not loose it so" in out and " ft ahead" in out
    code, _, said = run(capsys, "zone", file, "--set", "counterweight.mass=60 kg")
    assert code == 2 and "never leaves the trough" in said


def test_report_is_a_pdf_and_is_never_written_over(capsys, tmp_path: Path) -> None:
    """Truth: a PDF's first bytes; the second call refuses and leaves the file as it was."""
    file, place = sw.data_folder() / "garden.toml", tmp_path / "garden.pdf"
    code, out, _ = run(capsys, "report", file, "--out", place, "--us")
    assert (
        code == 1
        and str(place) in out
        and "Fails as planned: " in out
        and place.read_bytes().startswith(b"%PDF-")
    )
    before = place.read_bytes()
    code, _, said = run(capsys, "report", file, "--out", place)
    assert code == 2 and "already" in said and place.read_bytes() == before


def test_check_tells_what_the_checks_hold(capsys) -> None:
    """Truth: the checks of the same machine, the worst first, and the exit code they call for."""
    checks = sw.checks(sw.read_machine(OTTER_FORD))
    code, out, err = run(capsys, "check", OTTER_FORD, "--json", "--no-clearance")
    record = strict_json(out)
    assert err == ""
    assert [row["name"] for row in record["checks"]] == [row.name for row in checks]
    assert record["clearance"] is None
    assert code == (command_line.FINE if all(c.passes for c in checks) else typed.FAILED)
    text_code, out, _ = run(capsys, "check", OTTER_FORD)
    assert "Clearance" in out and "licensed engineer" in out
    assert text_code >= code
    thin = ("check", OTTER_FORD, "--no-clearance", "--set", "axle.diameter=20 mm")
    code, out, _ = run(capsys, *thin)
    assert code == typed.FAILED
    assert "fails" in out


# ---- the registry


def test_a_new_command_is_one_function(capsys, monkeypatch) -> None:
    """Truth: the decorator's own promise, with a command that is made here."""
    monkeypatch.setitem(typed.COMMANDS, "greet", None)  # taken out again at the end

    @typed.command("greet", "Say a word.", typed.option("word"))
    def greet(options: typed.Options) -> int:
        print(options.word)
        return typed.FAILED

    assert run(capsys, "greet", "hello") == (typed.FAILED, "hello\n", "")
    assert "greet" in run(capsys, "--help")[1]


@pytest.mark.parametrize("name", command_line.COMMANDS)
def test_every_command_has_help(capsys, name: str) -> None:
    """Truth: the registry."""
    code, out, err = run(capsys, name, "--help")
    assert (code, err) == (command_line.FINE, "")
    assert command_line.COMMANDS[name].help in out


# ---- as a program


def test_program_prints_utf_8_whatever_the_locale(tmp_path: Path) -> None:
    """Truth: the name in the file; a C locale without coercion would write ASCII only."""
    file = tmp_path / "gerät.toml"
    text = OTTER_FORD.read_text(encoding="utf-8").replace('"Otter Ford"', '"Otterfurt, Gerät π"')
    file.write_text(text, encoding="utf-8")
    environment = os.environ | {
        "LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0", "PYTHONIOENCODING": "ascii"
    }  # fmt: skip
    with start("throw", file, env=environment) as process:
        out, err = process.communicate(timeout=300)
    assert process.returncode == command_line.FINE, err
    assert out.decode("utf-8").startswith("Otterfurt, Gerät π\n")


def test_broken_pipe_ends_quietly() -> None:
    """Truth: `head -n 1` takes one line and goes; nothing may be complained about."""
    with start("sweep", OTTER_FORD, "--csv", "--no-loads", "--vary", "site.wind=-9:9:9000") as run_:
        first = run_.stdout.readline()
        run_.stdout.close()
        err = run_.stderr.read()
        code = run_.wait(timeout=300)
    assert first.startswith(b"site.wind [m/s],outcome")
    assert (code, err) == (command_line.FINE, b"")


@pytest.mark.skipif(os.name != "posix", reason="a terminal's interrupt is sent as a POSIX signal")
def test_ctrl_c_is_130_with_a_line(tmp_path: Path) -> None:
    """Truth: a program ended by signal 2 counts as 128 + 2 in a POSIX shell."""
    file = tmp_path / "out.csv"
    code = (
        # Started in the background of a shell, a process inherits that it ignores Ctrl-C.
        "import signal, sys; signal.signal(signal.SIGINT, signal.default_int_handler);"
        "from slingwright.commands.line import main; print('ready', flush=True);"
        f"sys.exit(main(['sweep', {str(OTTER_FORD)!r}, '--out', {str(file)!r},"
        " '--vary', 'site.wind=-9:9:1000', '--vary', 'sling.length=3:5:1000']))"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout.readline() == b"ready\n"
        time.sleep(2.0)
        # Python drops an interrupt that comes in a callback of its own: then press once more.
        for _ in range(4):
            process.send_signal(signal.SIGINT)
            with contextlib.suppress(subprocess.TimeoutExpired):
                process.wait(timeout=30)
                break
        else:
            process.kill()
        _, err = process.communicate(timeout=120)
    assert process.returncode == command_line.STOPPED
    assert err.decode().splitlines()[-1] == "slingwright: stopped by Ctrl-C; nothing was written"
    assert b"Traceback" not in err
    assert list(tmp_path.iterdir()) == []


def test_version_and_help_are_fine(capsys) -> None:
    """Truth: the package's version."""
    assert run(capsys, "--version")[:2] == (0, f"slingwright {sw.__version__}\n")
    code, out, _ = run(capsys, "--help")
    assert code == command_line.FINE
    assert "Exit codes" in out


def test_listing_dials_loads_nothing_heavy() -> None:
    """Truth: the modules that the process has loaded at its end."""
    code = (
        "import sys; from slingwright.commands.line import main; main(['dials', 'sling']);"
        "heavy = {'numba', 'sympy', 'scipy', 'matplotlib', 'pint'} & set(sys.modules);"
        "sys.exit(f'loaded {heavy}' if heavy else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, timeout=120)
    assert done.returncode == 0, done.stderr

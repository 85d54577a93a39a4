"""Machine files: read with every fault at once, written back with comments, order and units.

Truths: TOML v1.0.0 (https://toml.io/en/v1.0.0) for what a text means; the text itself for lines;
round trips.
"""

import dataclasses
import os
import time
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strategies import absurd_files, any_bytes, legal_files, legal_settings

from slingwright.machine.file import machine_text, parse_machine, read_machine, write_machine
from slingwright.machine.machine import BriefLoad, Machine, MachineError, build
from slingwright.machine.table import dials
from slingwright.places import data_folder

GOOD = '''# first comment
name = "Trial"
notes = """
[not] a table
length = 3
"""
arm.long = "5.8 m"   # from the axle
arm.short = "1.4 m"

[axle]
height = "13 ft 9 in"

[counterweight]   # the box
mass = "2000 lb" # with fill
hung = true

[sling]
# two cords
length = "15 ft"

[projectile]
mass = "12 kg"

[winch]
parts = 3
people = 2

[[brief]]
name = "ash ball"
mass = "4 kg"

[[brief]]
name = "sandbag"
mass = "18 kg"
diameter = "28 cm"
drag = 0.6
'''
FILES = sorted(data_folder().glob("*.toml"))


def faults_in(text: str | bytes) -> dict[str, int | None]:
    """Give the faults of a text, key to line."""
    with pytest.raises(MachineError) as caught:
        parse_machine(text)
    for fault in caught.value.faults:
        assert fault.message and str(fault).isprintable()
    return {fault.key: fault.line for fault in caught.value.faults}


def line_of(text: str, part: str) -> int:
    """Give the number of the first line that holds `part`."""
    return text[: text.index(part)].count("\n") + 1


# ---- reading


def test_reads_every_part() -> None:
    """Truth: hand arithmetic."""
    m = parse_machine(GOOD)
    assert m.name == "Trial" and m.notes == "[not] a table\nlength = 3\n"
    assert m["axle.height"] == pytest.approx(165 * 0.0254, rel=1e-15)
    assert m["counterweight.mass"] == pytest.approx(2000 * 0.45359237, rel=1e-15)
    assert (m["winch.parts"], m["counterweight.hung"]) == (3.0, True)
    assert m.brief[1] == BriefLoad(name="sandbag", mass=18.0, diameter=0.28, drag=0.6)
    assert m.brief[0].diameter == pytest.approx((6 * 4.0 / (3.141592653589793 * 2600)) ** (1 / 3))
    assert len(m.given) == 9 and m.source == GOOD


@pytest.mark.parametrize(
    "manner",
    [
        "[sling]\nlength = '4 m'",
        "sling.length = '4 m'",
        "sling = { length = '4 m' }",
        '"sling"."length" = """4 m"""',
        "[ sling ]\n'length' = \"4\\u0020m\"",
    ],
)
def test_all_manners_of_toml_are_one(manner: str) -> None:
    """Truth: TOML v1.0.0: these are the same table."""
    rest = "arm.long='5 m'\narm.short='1 m'\naxle.height='3 m'\n"
    rest += "counterweight.mass='1 t'\nprojectile.mass='5 kg'\n"
    assert parse_machine(rest + manner)["sling.length"] == 4.0


def test_bom_and_other_line_ends_are_read() -> None:
    """Truth: TOML v1.0.0: UTF-8; a carriage return and line feed end a line."""
    m = parse_machine(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    assert m == parse_machine(GOOD)


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_shipped_files_are_sound(file: Path) -> None:
    """Truth: they read, and their text comes back as it is."""
    m = read_machine(file)
    assert m.name and m.file == str(file)
    assert machine_text(m, like=m.source) == file.read_text(encoding="utf-8")


def test_shipped_files_are_what_they_say() -> None:
    """Truth: the scenario: 7.2 m of arm, shot of 4 to 18 kg, a 220 m meadow; a pair; wheels."""
    ford = read_machine(data_folder() / "otter_ford.toml")
    assert ford.number("arm.long") + ford.number("arm.short") == pytest.approx(7.2)
    assert [load.mass for load in ford.brief] == [4.0, 12.0, 18.0]
    assert ford["site.limit"] == 220.0
    hinged = read_machine(data_folder() / "hinged_pair.toml")
    fixed = read_machine(data_folder() / "fixed_pair.toml")
    differ = [path for path in hinged.values if hinged[path] != fixed[path]]
    assert differ == ["counterweight.hung"] and hinged.given == fixed.given
    assert read_machine(data_folder() / "on_wheels.toml").flag("base.wheels")
    garden = read_machine(data_folder() / "garden.toml")
    assert garden.number("arm.long") < 1.0 and " lb" in (garden.source or "")


# ---- faults and their lines


def test_every_fault_with_its_line() -> None:
    """Truth: the lines where each was put wrong."""
    text = (
        GOOD.replace("hung = true", "hung = 1")
        .replace("people", "poeple")
        .replace('"12 kg"', "= 12")
        .replace("[axle]", "[axel]")
        .replace('"15 ft"', "4.5")
        .replace('mass = "4 kg"', 'mas = "4 kg"')
    )
    assert faults_in(text) == {
        "axel": line_of(text, "[axel]"),
        "counterweight.hung": line_of(text, "hung = 1"),
        "sling.length": line_of(text, "length = 4.5"),
        "projectile.mass": line_of(text, "mass = = 12"),
        "winch.poeple": line_of(text, "poeple"),
        "brief[1].mas": line_of(text, "mas ="),
        "brief[1]": line_of(text, "[[brief]]"),
    }


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("[winch]", "[wnich]", r"wnich: no such group; .*did you mean winch\?"),
        ("people", "peple", r"winch\.peple: no such dial; .*did you mean winch\.people\?"),
        ('name = "Trial"', 'nmae = "Trial"', r"nmae: .*did you mean name\?"),
        ('name = "Trial"', 'length = "4 m"', r"length: .*did you mean sling\.length\?"),
        ('name = "Trial"', "name = 3", r"name = 3: this is not text"),
        ("parts = 3", "parts = 2.5", "not a whole number"),
        ("parts = 3", "parts = 99", "too large; limit: 1 to 12, whole; make it 12 or less"),
        ('"15 ft"', '"15"', r"line 19: sling\.length = \"15\": the unit is missing"),
        ('"15 ft"', "true", "not a number"),
        ('"15 ft"', "1979-05-27", "1979-05-27: this is not a number"),
        ('"15 ft"', "[1, 2]", "a list: this is not a number"),
        ('"15 ft"', "{ a = 1 }", "a table: this is not a number"),
        ('"15 ft"', "nan", "the unit is missing"),
        ("drag = 0.6", "drag = inf", r"brief\[2\]\.drag = inf: this is not a finite number"),
        ('"18 kg"', '"18 m"', r"brief\[2\]\.mass = \"18 m\": m is the unit of a length"),
        ("hung = true", 'mass = "1 t"', r"counterweight\.mass: given twice, first in line 14"),
        ('"15 ft"', '"15 ft', "line 19: sling.length .*cannot be read as TOML"),
        ("[projectile]", "[projectile", "line 21: .*cannot be read as TOML"),
        ("[winch]", "[sling]", r"sling: given twice, first in line 17"),
    ],
)
def test_one_fault(old: str, new: str, words: str) -> None:
    """Truth: one thing was put wrong, so one fault is reported, and no other follows from it."""
    text = GOOD.replace(old, new, 1)
    with pytest.raises(MachineError, match=words) as caught:
        parse_machine(text)
    assert len(caught.value.faults) == 1
    assert caught.value.faults[0].line is not None


def test_a_group_that_is_a_value_is_one_fault() -> None:
    """Truth: the key that was put wrong."""
    text = "sling = 3\n" + GOOD.replace('[sling]\n# two cords\nlength = "15 ft"\n', "")
    assert faults_in(text) == {"sling": 1}
    assert faults_in("brief = 3\n" + GOOD.split("[[brief]]")[0]) == {"brief": 1}


def test_empty_file_names_what_is_required() -> None:
    """Truth: the six required dials."""
    required = {row.path for row in dials.TABLE if row.required}
    for text in ("", "\n\n", "# only words\n", b""):
        assert set(faults_in(text)) == required


@pytest.mark.parametrize(
    ("data", "line", "words"),
    [
        (b"\xff\xfea\0=\0", None, "UTF-16; .*save it again as UTF-8"),
        ("a = 1".encode("utf-16-be"), None, "UTF-16"),
        (b"a = 1\nb = '\xe9'\n", 2, "byte 12 is not UTF-8"),
        (b"a = '\x00'", 1, "is no text"),
        ("a = '\ud800'", 1, "is no text"),
        (b"#" * 1_000_001, None, "too long"),
        (b"a" * 5000, 1, "5,000 characters long"),
        ("x\n" + "a." * 50 + "b = 1", 2, "50 full stops"),
        ("x = " + "[" * 2000, 1, "nested too deeply"),
        ("x = " + "{a=" * 1000, 1, "nested too deeply"),
    ],
)
def test_texts_that_are_no_machine_files(data: str | bytes, line: int | None, words: str) -> None:
    """Truth: each is refused by its own limit, with the line where there is one."""
    with pytest.raises(MachineError, match=words) as caught:
        parse_machine(data)
    fault = caught.value.faults[0]
    assert (fault.key, fault.line) == ("file", line) or "nested" in words


@pytest.mark.parametrize(
    "text",
    [
        "\n".join(f"k{i} = 1" for i in range(60_000)),
        "\n".join(f"[t{i}]" for i in range(60_000)),
        "\n".join(f"[sling.t{i}]" for i in range(40_000)),
        "[[brief]]\n" * 90_000,
        "\n".join(f"a{i}." + "b." * 38 + "c = 1" for i in range(10_000)),
        "a = 1\n" * 150_000,
        "= =\n" * 200_000,
        "x = [" + "[],\n" * 200_000,
        '"' * 900_000,
        ("'''" + "\n") * 200_000,
        "[arm]\nlong = " + "\n" * 900_000,
    ],
    ids=range(11),
)
def test_large_texts_end_soon(text: str) -> None:
    """Truth: a bound of ten seconds of the processor for anything up to 1 MB, on a slow machine."""
    assert len(text) <= 1_000_000
    start = time.process_time()
    with pytest.raises(MachineError) as caught:
        parse_machine(text)
    assert time.process_time() - start < 10.0
    assert 1 <= len(caught.value.faults) <= 201


@pytest.mark.parametrize("name", ["", "nowhere.toml", "a\0b", "x" * 300, "."])
def test_files_that_cannot_be_read(name: str, tmp_path: Path) -> None:
    """Truth: nothing of that name is a file there."""
    with pytest.raises(MachineError, match="cannot be read"):
        read_machine(os.path.join(tmp_path, name))


# ---- writing


def test_writing_keeps_what_did_not_change() -> None:
    """Truth: the old text, line by line, but for the changed values and their units."""
    m = parse_machine(GOOD).change(
        {
            "counterweight.mass": "2200 lb",
            "sling.length": "4.5 m",
            "axle.height": "14 ft",
            "winch.parts": 4.0,
            "winch.people": None,
            "trough.friction": 0.25,
        }
    )
    expected = (
        GOOD.replace('"2000 lb"', '"2200 lb"')
        .replace('"13 ft 9 in"', '"14 ft"')
        .replace("parts = 3", "parts = 4")
        .replace("people = 2\n", "")
    )
    text = machine_text(m, like=GOOD)
    kept, _, added = text.partition("\n[trough]")
    value = tomllib.loads(text)["sling"]["length"]
    assert value.endswith(" ft") and parse_machine(text)["sling.length"] == 4.5
    assert kept.replace(value, "15 ft").strip() == expected.strip()
    assert added.strip() == "friction = 0.25"


def test_fresh_text_reads_as_the_same_machine() -> None:
    """Truth: round trip."""
    m = parse_machine(GOOD)
    again = parse_machine(machine_text(m))
    assert again == m
    assert "# With" not in machine_text(m) and "Axle centre" in machine_text(m)


def test_names_notes_and_brief_are_written() -> None:
    """Truth: round trip, with and without an old text, also where TOML needs escapes."""
    m = parse_machine(GOOD)
    words = 'a "b" \\ \n\n """ \u2028 é'
    other = dataclasses.replace(m, name=words, notes="\n" + words, brief=m.brief[::-1])
    bare = dataclasses.replace(m, name="", notes="", brief=())
    for machine in (other, bare):
        assert parse_machine(machine_text(machine)) == machine
        assert parse_machine(machine_text(machine, like=GOOD)) == machine
    text = '[sling]\nlength = "4 m"\n' + GOOD[GOOD.index("[axle]") :].replace(
        '[sling]\n# two cords\nlength = "15 ft"\n', ""
    ).replace("[axle]", '[arm]\nlong = "5 m"\nshort = "1 m"\n[axle]')
    named = dataclasses.replace(parse_machine(text), name="late name")
    assert parse_machine(machine_text(named, like=text)) == named


def test_file_is_written_and_read(tmp_path: Path) -> None:
    """Truth: round trip through a file; the second save knows the first."""
    file = tmp_path / "m.toml"
    m = parse_machine(GOOD)
    text = write_machine(m, file)
    assert file.read_text(encoding="utf-8") == text == GOOD
    changed = m.change({"arm.long": "6 m"})
    second = write_machine(changed, file, like=text)
    third = write_machine(changed.change({"arm.long": "6.2 m"}), file, like=second)
    assert read_machine(file)["arm.long"] == 6.2 and "# from the axle" in third
    assert [one.name for one in tmp_path.iterdir()] == ["m.toml"]


def test_file_changed_by_hand_is_not_overwritten(tmp_path: Path) -> None:
    """Truth: what another hand wrote is still there, until overwriting is asked for."""
    file = tmp_path / "m.toml"
    file.write_text(GOOD, encoding="utf-8")
    m = read_machine(file).change({"arm.long": "6 m"})
    by_hand = GOOD.replace("5.8 m", "5.9 m")
    file.write_text(by_hand, encoding="utf-8")
    with pytest.raises(MachineError, match="something else than was read.*overwrite=True"):
        write_machine(m, file)
    assert file.read_text(encoding="utf-8") == by_hand
    write_machine(m, file, overwrite=True)
    assert read_machine(file)["arm.long"] == 6.0
    file.write_bytes(b"\xff\xfe\0")
    with pytest.raises(MachineError, match="is no file this program wrote"):
        write_machine(m, file)
    with pytest.raises(MachineError):
        write_machine(m, tmp_path)


def test_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    """Truth: the operating system's refusal, in a message."""
    with pytest.raises(MachineError, match="cannot be written"):
        write_machine(parse_machine(GOOD), tmp_path / "no" / "m.toml")


def test_line_ends_of_the_file_are_kept(tmp_path: Path) -> None:
    """Truth: bytes on disk."""
    file = tmp_path / "m.toml"
    file.write_bytes(GOOD.replace("\n", "\r\n").encode())
    write_machine(read_machine(file).change({"arm.long": "6 m"}), file)
    assert file.read_bytes() == GOOD.replace("5.8 m", "6 m").replace("\n", "\r\n").encode()


def test_link_stays_a_link(tmp_path: Path) -> None:
    """Truth: the file system."""
    real, link = tmp_path / "real.toml", tmp_path / "link.toml"
    real.write_text(GOOD, encoding="utf-8")
    link.symlink_to(real)
    write_machine(read_machine(link).change({"arm.long": "6 m"}), link)
    assert link.is_symlink() and read_machine(real)["arm.long"] == 6.0


def sound(settings_given: dict[str, Any]) -> Machine | None:
    """Give the machine, or None where it is refused."""
    try:
        return build(settings_given, name="any")
    except MachineError:
        return None


@given(legal_settings())
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_any_machine_comes_back_from_its_text(settings_given: dict[str, Any]) -> None:
    """Truth: round trip, every value bit for bit."""
    m = sound(settings_given)
    assert m is None or parse_machine(machine_text(m)) == m


@given(legal_files(), legal_settings())
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_any_layout_takes_any_machine(text: str, settings_given: dict[str, Any]) -> None:
    """Truth: the text with the old layout reads as the new machine, and keeps its comments."""
    try:
        old = parse_machine(text)
    except MachineError as error:
        assert error.faults
        return
    m = sound(settings_given)
    if m is not None:
        kept = machine_text(m, like=text)
        assert parse_machine(kept) == m and kept.startswith(text.split("\n")[0])
    assert machine_text(old, like=text) == text


# ---- any file


def machine_or_error(data: str | bytes) -> None:
    """Hold a text to its two ways of ending, in bounded time."""
    start = time.perf_counter()
    try:
        m = parse_machine(data)
    except MachineError as error:
        assert error.faults
        for fault in error.faults:
            assert fault.key and fault.message and str(fault).isprintable()
            assert fault.line is None or fault.line >= 1
    else:
        assert set(m.values) == set(dials.BY_PATH)
    assert time.perf_counter() - start < 5.0


@pytest.mark.slow
@given(st.one_of(legal_files(), absurd_files(), absurd_files(), any_bytes()))
@settings(max_examples=1_000, suppress_health_check=list(HealthCheck))
def test_a_thousand_files_end_in_a_machine_or_an_error(data: str | bytes) -> None:
    """Truth: there is no third way: no other exception, no silent half machine."""
    machine_or_error(data)
    assert data is not None


@given(st.one_of(legal_files(), absurd_files(), any_bytes()))
@settings(suppress_health_check=list(HealthCheck))
def test_some_files_end_in_a_machine_or_an_error(data: str | bytes) -> None:
    """Truth: the same, few enough for every run."""
    machine_or_error(data)
    assert data is not None

"""Material tables: names, units, the user's own rows, and clear words for what is wrong."""

import csv
import math

import pytest

from slingwright import places
from slingwright.tables import materials, reading

HEAD = (
    "name,kind,bending_strength,tension_parallel,tension_perpendicular,compression_parallel,"
    "compression_perpendicular,shear_strength,modulus_mean,modulus_5,modulus_perpendicular,"
    "shear_modulus_mean,density_characteristic,density_mean"
)
UNITS = "text,text" + ",MPa" * 6 + ",GPa" * 4 + ",kg/m3" * 2
OWN = "own larch,softwood,26,15,0.4,22,2.6,4.0,11.5,7.7,0.38,0.72,450,550"


def test_data_folder_holds_the_tables():
    """Truth: the folder tree: tables are CSV files in data/materials."""
    folder = places.data_folder() / "materials"
    assert {"timber.csv", "steel.csv", "friction.csv"} <= {path.name for path in folder.iterdir()}
    assert (places.shared_folder() / "references.bib").is_file()


def test_missing_folder_is_said(monkeypatch, tmp_path):
    """Truth: the error names the folder and what to do."""
    monkeypatch.setattr(places, "_PACKAGE", tmp_path / "site-packages" / "slingwright")
    with pytest.raises(FileNotFoundError, match="folder 'data'.*install the package again"):
        places.data_folder()


def test_packaged_copy_comes_first(monkeypatch, tmp_path):
    """Truth: an installed package reads its own copy."""
    package = tmp_path / "src" / "slingwright"
    (package / "data").mkdir(parents=True)
    (tmp_path / "data").mkdir()
    monkeypatch.setattr(places, "_PACKAGE", package)
    assert places.data_folder() == package / "data"


@pytest.mark.parametrize(
    "name",
    ["timber", "clear_wood", "steel", "bolt_grades", "bolt_sizes", "fills", "projectiles"]
    + ["friction", "bushings"],
)
def test_every_packaged_row_has_unit_and_source(name):
    """Truth: the rule of the tables: names, units, then rows, each with its source."""
    path = places.data_folder() / "materials" / f"{name}.csv"
    with path.open(encoding="utf-8", newline="") as file:
        lines = list(csv.reader(file))
    assert "source" in lines[0] and len(lines[1]) == len(lines[0])
    rows = [row for found in reading.table(name).values() for row in found]
    assert len(rows) == len(lines) - 2
    assert all(len(row.words["source"]) > 5 for row in rows)
    assert reading.NO_SOURCE not in [row.words["source"] for row in rows]


@pytest.mark.parametrize(
    ("name", "give"),
    [
        ("timber", materials.timber),
        ("steel", lambda name: materials.steel(name, 0.02)),
        ("bolt_grades", materials.bolt_grade),
        ("bolt_sizes", materials.bolt_size),
        ("friction", materials.friction),
        ("bushings", materials.bushing),
    ],
)
def test_every_name_gives_a_record(name, give):
    """Truth: each name listed can be asked for, and the record bears it."""
    names = list(reading.table(name))
    assert len(names) >= 3
    assert [give(name).name for name in names] == names


def test_ranges_hold_their_values():
    """Truth: a value lies within the range that its row gives."""
    for name in reading.table("friction"):
        row = materials.friction(name)
        assert 0.0 < row.low <= row.value <= row.high <= 1.0, name
        assert row.kind in {"static", "sliding", "rolling"}
    for table in ("fills", "projectiles"):
        for name in reading.table(table):
            row = reading.row_of(table, name).numbers
            low, high = (row[f"density_{end}"] or row["density"] for end in ("low", "high"))
            assert 500.0 < low <= row["density"] <= high < 12e3, name


@pytest.mark.parametrize("name", reading.table("bolt_grades"))
def test_bolt_grade_from_its_two_numbers(name):
    """Truth: ISO 898-1: tensile strength is 100 times the first number, yield that by 0.second."""
    grade = materials.bolt_grade(name)
    first, second = name.split(".")
    assert grade.ultimate_strength == float(first) * 100e6
    assert grade.yield_strength == pytest.approx(float(first) * float(second) * 10e6)


@pytest.mark.parametrize("name", reading.table("bolt_sizes"))
def test_stress_area_from_the_pitch(name):
    """Truth: ISO 898-1: A_s = pi/4 (d - 0.9382 P)^2, given to three digits."""
    bolt = materials.bolt_size(name)
    area = math.pi / 4 * (bolt.diameter - 0.9382 * bolt.pitch) ** 2
    assert bolt.stress_area == pytest.approx(area, rel=5e-3)
    assert bolt.diameter == pytest.approx(float(name[1:]) * 1e-3)


@pytest.mark.parametrize(
    ("ask", "words"),
    [
        (lambda: materials.timber("D31"), r"'D31'; nearest: .*D3.*timber.csv"),
        (lambda: materials.timber("d30"), r"'d30'; nearest: D30"),
        (lambda: materials.timber(""), r"nearest: C14"),
        (lambda: materials.steel("S345", 0.05), r"'S345'; nearest: S.*steel.csv"),
        (lambda: materials.bolt_grade("8.9"), r"'8.9'; nearest: 8.8"),
        (lambda: materials.bolt_size("M21"), r"'M21'; nearest: M"),
        (lambda: materials.friction("rope on wod"), r"nearest: rope on wood"),
        (lambda: materials.bushing("bronze"), r"nearest: .*bronze.*bushings.csv"),
    ],
)
def test_unknown_names(ask, words):
    """Truth: the error names the name, the nearest names and the file; it is a ValueError."""
    with pytest.raises(reading.UnknownMaterial, match=words) as caught:
        ask()
    assert isinstance(caught.value, ValueError)


@pytest.mark.parametrize(
    ("thickness", "words"),
    [
        (0.0, "thickness is 0 m; it must be above zero"),
        (-0.01, "above zero"),
        (math.nan, "above zero"),
        (0.30, "300 mm, but steel.csv reaches 250 mm"),
    ],
)
def test_steel_out_of_the_table(thickness, words):
    """Truth: no strength is made up for a thickness that the standard does not cover."""
    with pytest.raises(ValueError, match=words):
        materials.steel("S355", thickness)


def test_own_rows_from_a_folder(tmp_path, monkeypatch):
    """Truth: a user's row is read with the kit's; without source it says so."""
    monkeypatch.setenv("SLINGWRIGHT_MATERIALS", str(tmp_path))
    (tmp_path / "timber.csv").write_text(f"{HEAD}\n{UNITS}\n{OWN}\n", encoding="utf-8")
    larch = materials.timber("own larch")
    assert larch.bending_strength == 26e6 and larch.density_mean == 550.0
    assert larch.source == "no source given"
    assert "EN 338" in materials.timber("D30").source
    assert list(reading.table("timber"))[-1] == "own larch"


def test_own_rows_from_the_environment(tmp_path, monkeypatch):
    """Truth: SLINGWRIGHT_MATERIALS names the folder; a source that is given is kept."""
    text = f"{HEAD},source\n{UNITS},text\n{OWN},bending tests of June\n"
    (tmp_path / "timber.csv").write_text(text, encoding="utf-8-sig")
    monkeypatch.setenv("SLINGWRIGHT_MATERIALS", str(tmp_path))
    larch = materials.timber("own larch")
    assert larch.source == "bending tests of June"
    monkeypatch.setenv("SLINGWRIGHT_MATERIALS", "")
    with pytest.raises(reading.UnknownMaterial):
        materials.timber("own larch")


def test_own_row_takes_the_place_of_the_kits(monkeypatch, tmp_path):
    """Truth: a name stands for one material: the user's, where there is one, all steps of it."""
    monkeypatch.setenv("SLINGWRIGHT_MATERIALS", str(tmp_path))
    text = (
        "name,over_thickness,up_to_thickness,yield_strength,ultimate_strength,"
        "ultimate_strength_high\ntext,in,in,psi,psi,psi\nS355,0,4,50000,65000,80000\n"
    )
    (tmp_path / "steel.csv").write_text(text, encoding="utf-8")
    steel = materials.steel("S355", 0.05)
    assert steel.yield_strength == pytest.approx(344.7e6, rel=1e-3)
    assert steel.source == "no source given"
    with pytest.raises(ValueError, match="reaches 101.6 mm"):
        materials.steel("S355", 0.12)


def test_a_changed_file_is_read_again(monkeypatch, tmp_path):
    """Truth: what stands in the file now, not what stood there before."""
    monkeypatch.setenv("SLINGWRIGHT_MATERIALS", str(tmp_path))
    path = tmp_path / "timber.csv"
    path.write_text(f"{HEAD}\n{UNITS}\n{OWN}\n", encoding="utf-8")
    assert materials.timber("own larch").density_mean == 550.0
    path.write_text(f"{HEAD}\n{UNITS}\n{OWN[:-3]}5600\n", encoding="utf-8")
    assert materials.timber("own larch").density_mean == 5600.0


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "row 1 must give names"),
        (f"{HEAD}\n", "row 2 units"),
        (f"{HEAD}\n{UNITS},MPa\n{OWN}\n", "15 units for 14 columns"),
        (f"{HEAD}\n{UNITS.replace('GPa', 'tsi', 1)}\n{OWN}\n", "unit 'tsi'.*known: text"),
        (f"{HEAD.replace('name', 'class', 1)}\n{UNITS}\n{OWN}\n", "first column must be 'name'"),
        (f"{HEAD.replace('kind', 'name', 1)}\n{UNITS}\n{OWN}\n", "names a column twice"),
        (f"{HEAD}\n{UNITS}\n{OWN},7\n", "row 3: 15 cells"),
        (f"{HEAD}\n{UNITS}\n{OWN.replace('26', 'strong', 1)}\n", "'strong'; give a number"),
        (f"{HEAD}\n{UNITS}\n{OWN.replace('26', 'nan', 1)}\n", "'nan'; give a number"),
        (f"{HEAD}\n{UNITS}\n{OWN.replace('26', 'inf', 1)}\n", "'inf'; give a number"),
        (f"{HEAD}\n{UNITS}\n{OWN.replace('26', '-26', 1)}\n", "'-26'; give a number"),
        (f"{HEAD}\n{UNITS}\n{OWN.replace('26', '', 1)}\n", "no bending_strength; fill in"),
        (f"{HEAD}\n{UNITS}\n{OWN.replace('26', '0', 1)}\n", "bending_strength = 0"),
        (f"{HEAD}\n{UNITS}\n{OWN.replace('softwood', 'wood')}\n", "write softwood or hardwood"),
        (f"{HEAD}\n{UNITS}\n{OWN.replace('own larch', '')}\n", "name is empty"),
        (f"{HEAD}\n{UNITS}\n{OWN}\n{OWN}\n", "named twice"),
    ],
)
def test_bad_tables(monkeypatch, tmp_path, text, words):
    """Truth: the error names file, row and column; no missing strength becomes zero."""
    monkeypatch.setenv("SLINGWRIGHT_MATERIALS", str(tmp_path))
    (tmp_path / "timber.csv").write_text(text, encoding="utf-8")
    with pytest.raises(reading.MaterialTableError, match=words) as caught:
        materials.timber("own larch")
    assert "timber.csv" in str(caught.value)


def test_a_table_that_is_no_text(monkeypatch, tmp_path):
    """Truth: bytes that are no UTF-8 are refused in words."""
    monkeypatch.setenv("SLINGWRIGHT_MATERIALS", str(tmp_path))
    (tmp_path / "timber.csv").write_bytes(b"\xff\xfe\x00n\x00a")
    with pytest.raises(reading.MaterialTableError, match="save it as CSV in UTF-8"):
        materials.timber("own larch")


def test_a_folder_that_is_not_there(monkeypatch, tmp_path):
    """Truth: a folder that was named but does not exist is an error, not an empty table."""
    monkeypatch.setenv("SLINGWRIGHT_MATERIALS", str(tmp_path / "nowhere"))
    with pytest.raises(reading.MaterialTableError, match="does not exist.*SLINGWRIGHT_MATERIALS"):
        materials.timber("D30")


def test_steel_with_a_gap_in_its_steps(monkeypatch, tmp_path):
    """Truth: a thickness between the user's steps has no strength."""
    monkeypatch.setenv("SLINGWRIGHT_MATERIALS", str(tmp_path))
    text = (
        "name,over_thickness,up_to_thickness,yield_strength,ultimate_strength,"
        "ultimate_strength_high\ntext,mm,mm,MPa,MPa,MPa\n"
        "own,0,10,300,400,500\nown,20,40,280,400,500\n"
    )
    (tmp_path / "steel.csv").write_text(text, encoding="utf-8")
    assert materials.steel("own", 0.03).yield_strength == 280e6
    with pytest.raises(ValueError, match="no step for 15 mm"):
        materials.steel("own", 0.015)


def test_bushings_in_their_handbooks_units():
    """Truth: Machinery's Handbook (from memory): bronze 4000 psi, 1000 ft/min; wood 2000 psi."""
    bronze = materials.bushing("cast bronze")
    assert bronze.pressure == pytest.approx(4000 * 6894.757, rel=2e-3)
    assert bronze.speed == pytest.approx(1000 * 0.3048 / 60, rel=1e-3)
    psi_ft_min = 6894.757293168 * 0.3048 / 60.0
    assert bronze.pressure_speed / psi_ft_min == pytest.approx(50_000, rel=2e-3)
    wood = materials.bushing("oil-filled maple or oak")
    assert wood.pressure_speed / psi_ft_min == pytest.approx(15_000, rel=2e-3)
    assert wood.pressure == pytest.approx(2000 * 6894.757, rel=2e-3)

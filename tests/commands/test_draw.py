"""`draw`: the list it prints, the cutting it tells, the folder it fills, and what it refuses."""

import pytest

import slingwright as sw
from slingwright.commands import line as command_line
from slingwright.making.pieces import cut_list
from slingwright.making.stock import cutting

OTTER_FORD = str(sw.data_folder() / "otter_ford.toml")


def run(capsys, *arguments):
    code = command_line.main(["draw", OTTER_FORD, *map(str, arguments)])
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    return code, out, err


def test_draw_lists_cuts_and_writes(capsys, tmp_path):
    """Truth: the package's own list and cutting, and the files there."""
    folder = tmp_path / "sheets"
    code, out, _ = run(capsys, "--stock", "5.4 m, 7.6 m", "--kerf", "5 mm", "--out", folder)
    assert code == 0
    for piece in cut_list(sw.read_machine("otter_ford")).pieces:
        assert piece.name in out
    legs = [one for one in cut_list(sw.read_machine("otter_ford")).pieces if one.key == "leg"]
    used = cutting([legs[0].rough_length] * 4, [5.4, 7.6], kerf=0.005).used
    assert f"{used:g} m of stock, the least there can be" in out
    assert {"pieces.csv", "buying.csv"} <= {path.name for path in folder.iterdir()}
    assert {path.suffix for path in folder.iterdir()} == {".csv", ".dxf", ".svg", ".pdf"}


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--stock", "2 m"), "longer than the 2.000 m of the longest stock"),
        (("--stock", " , "), "names no length"),
        (("--stock", "9 m", "--trim", "-1 mm"), "trim"),
        (("--stock", "4 kg"), "kg"),
        (("--stock", "0 m"), "above zero"),
        (("--kerf", "-1 mm", "--stock", "9 m"), "kerf"),
    ],
)
def test_draw_refuses_in_words(capsys, arguments, words):
    """Truth: exit code 2 and the thing, its value and the next step."""
    code, _, err = run(capsys, *arguments)
    assert code == 2 and words in err


def test_draw_leaves_a_folder_that_is_there(capsys, tmp_path):
    """Truth: nothing is written into it."""
    code, _, err = run(capsys, "--out", tmp_path)
    assert code == 2 and "new folder" in err and not list(tmp_path.iterdir())


def test_what_the_pieces_weigh_comes_back_into_the_machine(capsys, tmp_path):
    """Truth: the masses of the pieces added up by hand; a second round changes nothing more."""
    place = tmp_path / "weighed.toml"
    assert run(capsys, "--weighed", place)[0] == 0
    before, after = sw.read_machine("otter_ford"), sw.read_machine(place)
    pieces = {one.key: one.mass for one in cut_list(before).pieces}
    assert after["arm.mass"] == pytest.approx(pieces["arm"], rel=1e-6)
    base = sum(pieces.get(key, 0.0) for key in ("leg", "brace", "sill", "cross_sill", "side_brace"))
    base += pieces.get("support", 0.0) + pieces.get("plate", 0.0)
    assert after["base.mass"] == pytest.approx(base, rel=1e-6)
    assert cut_list(after).weighed["base.mass"] == pytest.approx(base, rel=1e-6)

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
    legs = cutting([cut_list(sw.read_machine("otter_ford")).of("timber")[2].length] * 4, [5.4])
    assert f"{legs.used:g} m of stock, the least there can be" in out
    assert {path.suffix for path in folder.iterdir()} == {".csv", ".dxf", ".svg", ".pdf"}


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--stock", "4 m"), "longer than the 4.000 m of the longest stock"),
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

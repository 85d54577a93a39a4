"""What a notebook asks of the package: names, completion, pictures, equations.

Truth: the dials table itself; the GIF and MP4 file signatures (GIF89a; ISO/IEC 14496-12 'ftyp');
a closed form for a pendulum inside the Lagrangian.
"""

import shutil
import subprocess
import sys

import pytest
import sympy as sp

import slingwright as sw
from slingwright.derivation.notation import COORDINATE, letter
from slingwright.machine.table import dials


@pytest.fixture(scope="module")
def thrown() -> sw.Throw:
    """One throw of a supplied machine."""
    return sw.throw(sw.read_machine("garden"))


def test_supplied_machine_by_name(tmp_path, monkeypatch) -> None:
    """Truth: the file in the data folder; a file of one's own of that name goes first."""
    assert sw.read_machine("garden") == sw.read_machine(sw.data_folder() / "garden.toml")
    with pytest.raises(sw.MachineError, match="otter_ford"):
        sw.read_machine("gardn")
    monkeypatch.chdir(tmp_path)
    own = sw.read_machine("garden").change({"winch.drum": "0.15 m"})
    sw.write_machine(own, tmp_path / "garden")
    assert sw.read_machine("garden")["winch.drum"] == 0.15


def test_dials_complete_and_explain() -> None:
    """Truth: the table of dials."""
    machine = sw.read_machine("garden")
    assert machine._ipython_key_completions_() == [row.path for row in dials.TABLE]
    found = sw.dials("drum")
    assert {"winch.drum", "winch.aside"} <= {row.path for row in found.found}
    assert all("drum" in f"{r.path} {r.label} {r.help}".lower() for r in found.found)
    assert "winch.drum" in str(found.table("US")) and "ft" in str(found.table("US"))
    assert len(sw.dials()) == len(dials.TABLE)
    assert "No dials have 'zeppelin'" in sw.dials("zeppelin").sentence


def test_a_machine_answers_as_the_package_does(thrown) -> None:
    """Truth: the package's own functions."""
    machine = sw.read_machine("garden")
    assert machine.throw().range == thrown.range
    assert machine.winding().crank_turns == sw.winding(machine).crank_turns
    with pytest.raises(AttributeError, match="holding"):
        machine.flies()


def test_no_room_takes_a_public_name() -> None:
    """Truth: a submodule becomes an attribute of its package when it is imported."""
    code = (
        "import importlib, pkgutil, slingwright as sw\n"
        "for found in pkgutil.walk_packages(sw.__path__, 'slingwright.'):\n"
        "    if '.joined' not in found.name and not found.name.endswith('__main__'):\n"
        "        importlib.import_module(found.name)\n"
        "modules = [n for n in sw.__all__ if type(getattr(sw, n)).__name__ == 'module']\n"
        "print(modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == str(sorted(sw._ROOMS))


def test_compare_tells_what_changed() -> None:
    """Truth: two throws; the difference is the second less the first."""
    machine = sw.read_machine("garden")
    other = machine.change({"counterweight.mass": 1.2 * machine.number("counterweight.mass")})
    told = sw.compare(machine, other)
    assert "counterweight.mass" in told.caption
    line = dict(zip(told.head, told.lines[0], strict=True))
    gain = sw.throw(other).range - sw.throw(machine).range
    assert line["answer"] == "Range" and line["difference"].startswith("+")
    assert float(line["difference"].split()[0]) == pytest.approx(gain, rel=0.05)


def test_pictures_are_pictures(thrown, tmp_path) -> None:
    """Truth: file signatures, and a GIF's own count of frames read by Pillow."""
    from PIL import Image

    assert thrown.plot()._repr_png_()[:8] == b"\x89PNG\r\n\x1a\n"
    moving = thrown.animate(slower=1.0)
    saved = moving.save(tmp_path / "throw.gif")
    assert saved.read_bytes()[:6] == b"GIF89a"
    with Image.open(saved) as picture:
        end = min(1.35 * thrown.release.time, thrown.time[-1])
        assert picture.n_frames == pytest.approx(end * 25, abs=2)
    with pytest.raises(ValueError, match=r"\.gif or \.mp4"):
        moving.save(tmp_path / "throw.avi")
    if shutil.which("ffmpeg"):
        assert moving.save(tmp_path / "throw.mp4").read_bytes()[4:8] == b"ftyp"
    else:
        with pytest.raises(ValueError, match="ffmpeg"):
            moving.save(tmp_path / "throw.mp4")


def test_equations_are_set_with_dots_and_a_legend() -> None:
    """Truth: LaTeX's own commands, and every symbol of the equations has a line in the legend."""
    machine = sw.read_machine("otter_ford")
    found = sw.equations(machine, "free")
    text = found._repr_html_()
    assert r"\ddot{e}" in text and "_{ddot}" not in text and "e_{dot}" not in text
    named = {str(symbol) for symbol in found.symbols()}
    assert {"e", "h", "s", "l"} <= named and {row.label for row in found.rows()} == named
    with pytest.raises(ValueError, match="trough, free, empty"):
        sw.equations(machine, "landing")


def test_lagrangian_holds_the_weight_of_a_pendulum() -> None:
    """Truth: closed form: the sling's load at rest below the tip adds m g l (1 - cos) to V."""
    found = sw.lagrangian(sw.read_machine("otter_ford"))
    whole = found.shown[0].rhs
    still = {s: 0 for s in whole.free_symbols if str(s).endswith("_dot")}
    load = sp.Symbol("load", positive=True)
    potential = -whole.subs(still).subs(letter("projectile.mass"), load).coeff(load)
    potential = sp.diff(-whole.subs(still), letter("projectile.mass"))
    length, gravity = letter("sling.length"), letter("site.gravity")
    swung = potential.subs(COORDINATE["s"], 0) - potential.subs(COORDINATE["s"], sp.pi / 2)
    assert sp.simplify(swung**2 - (gravity * length) ** 2) == 0


def test_columns_become_a_frame() -> None:
    """Truth: the arrays of the sweep themselves."""
    machine = sw.read_machine("garden")
    mass = machine.number("counterweight.mass")
    columns = sw.sweep(machine, {"counterweight.mass": [mass, 1.1 * mass, -5.0]})
    frame = columns.to_frame()
    assert list(frame["range"])[:2] == pytest.approx(list(columns["range"])[:2])
    assert frame["range"].isna()[2] and frame["fault"][2]
    assert "&lt;" not in columns._repr_html_() and "not a machine" in columns._repr_html_()
    assert len(list(columns.rows())) == 3 and "2 released" in columns.sentence


def test_results_have_short_reprs_and_html(thrown) -> None:
    """Truth: 400 characters at most, and a table that a notebook shows."""
    for one in (thrown, sw.dials(), thrown.animate()):
        assert len(repr(one)) <= 400
        assert one._repr_html_().startswith(("<table", "<img"))

"""Dimensioned drawings: read back by ezdxf, measured against the dials; no figures collide."""

import io
import re
from dataclasses import replace
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pytest
from ezdxf import bbox

import slingwright as sw
from slingwright.machine.table import dials
from slingwright.making.sheets import (
    APP,
    PAPER,
    all_views,
    as_dxf,
    as_svg,
    drawing,
    feet_and_inches,
    save_drawings,
    sheet_scale,
)
from slingwright.standing.zone import zone

MACHINES = ["otter_fair", "garden", "fixed_pair", "desk"]


def documents(name, system="metric"):
    machine = sw.read_machine(name)
    for view in all_views(machine).values():
        scale = sheet_scale(view, PAPER[system])
        yield machine, view, drawing(machine, view, day="2026-07-01", scale=scale, system=system)


def read_back(document):
    return ezdxf.read(io.StringIO(as_dxf(document)))


@pytest.mark.parametrize("name", MACHINES)
def test_dimensions_equal_the_dials(name):
    """Truth: the file read back by ezdxf: audit clean, each dimension its dial to 0.1 mm."""
    shown = set()
    for machine, _, document in documents(name):
        back = read_back(document)
        assert not back.audit().errors and back.units == 4  # mm
        sizes = back.modelspace().query("DIMENSION")
        for size in sizes:
            dial, length = size.get_xdata(APP)[0].value, size.get_measurement()
            if dial in dials.BY_PATH:
                assert length == pytest.approx(1e3 * machine.number(dial), abs=0.1), dial
            figure = size.dxf.text.removesuffix(r"\~m")
            step = 1e3 if figure != size.dxf.text else 1.0
            assert float(figure) == pytest.approx(length / step, abs=0.051)
            shown.add(dial)
    assert {
        *("arm.long", "arm.short", "axle.height", "axle.span", "frame.sill_length"),
        *("arm.depth_at_tip", "prong.length", "axle.bearing", "frame.leg_depth", "winch.drum"),
        *("counterweight.side", "counterweight.floor", "sling.length", "sling.pouch_width"),
    } <= shown
    if machine.flag("counterweight.hung"):
        assert {"hanger.pin", "hanger.gap", "hanger.strap_width"} <= shown


@pytest.mark.parametrize("system", ["metric", "US"])
@pytest.mark.parametrize("name", MACHINES)
def test_no_two_figures_collide(name, system):
    """Truth: the boxes around all figures and words of a sheet, by ezdxf: none meets another."""
    for _, view, document in documents(name, system):
        boxes = []
        for entity in document.modelspace():
            if entity.dxftype() == "DIMENSION":
                block = document.blocks.get(entity.dxf.geometry)
                boxes += [bbox.extents([text]) for text in block.query("MTEXT TEXT")]
            elif entity.dxftype() == "TEXT":
                boxes.append(bbox.extents([entity]))
        assert len(boxes) > 5
        for i, one in enumerate(boxes):
            for two in boxes[i + 1 :]:
                assert not one.has_overlap(two), (view.title, one, two)


@pytest.mark.parametrize("name", MACHINES)
@pytest.mark.parametrize("system", ["metric", "US"])
def test_a_sheet_holds_its_view(name, system):
    """Truth: the extents of all that is drawn, over the scale, by ezdxf: within the paper."""
    for _, view, document in documents(name, system):
        found = bbox.extents(document.modelspace())
        scale, (wide, high) = sheet_scale(view, PAPER[system]), PAPER[system]
        assert found.size.x / scale <= wide and found.size.y / scale <= high
        svg = as_svg(document, scale, PAPER[system])
        assert f'width="{wide:g}mm"' in svg and f'height="{high:g}mm"' in svg


@pytest.mark.parametrize(
    ("length", "text"),
    [(0.8128, "2' 8\""), (0.04445, '1 3/4"'), (1.5, "4' 11 1/16\""), (3.048, "10'"), (0.0, '0"')],
)
def test_feet_and_inches(length, text):
    """Truth: 25.4 mm an inch, by hand, to a sixteenth."""
    assert feet_and_inches(length) == text


def test_drawings_go_into_a_new_folder(tmp_path):
    """Truth: the files there; a folder that is there is left as it is."""
    machine = sw.read_machine("garden")
    written = save_drawings(machine, tmp_path / "new", day="2026-07-01", system="US")
    names = ["side", "front", "plan", "arm", "head", "axle", "hanger", "box", "sling", "sill"]
    names += ["winch", "ground", "places"]
    drawn = {f"{name}.{kind}" for name in names for kind in ("dxf", "svg")}
    assert {path.name for path in written} == drawn | {"pieces.csv"}
    assert all(path.stat().st_size > 100 for path in written)
    with pytest.raises(FileExistsError, match="new folder"):
        save_drawings(machine, tmp_path / "new", day="2026-07-01")


def test_the_ground_is_drawn_as_far_as_the_zone_reaches():
    """Truth: the zone's own distances and the places of crew and looser, read back by ezdxf."""
    machine = sw.read_machine("otter_fair")
    found = zone(machine)
    wanted = {
        "clear ahead": found.clear_ahead,
        "clear behind": found.clear_behind,
        "clear beside": found.clear_beside,
        "sweep of arm and empty sling": found.winding.sweep,
    }
    for one in found.people:
        wanted[f"{one.key} beside"] = abs(one.z)
        wanted |= {f"{one.key} along": abs(one.x)} if one.x else {}
    told = {}
    for _, _, document in documents("otter_fair"):
        for size in read_back(document).modelspace().query("DIMENSION"):
            told[size.get_xdata(APP)[0].value] = size.get_measurement() / 1e3
    assert {name: told[name] for name in wanted} == pytest.approx(wanted)
    stuck = machine.change({"counterweight.mass": "1 kg"})
    assert not {"ground", "places"} & set(all_views(stuck)) and "arm" in all_views(stuck)


def test_any_name_is_drawn():
    """Truth: ezdxf's audit and a reader of XML, for names that would end a line or be mark-up."""
    for name in ("a\nb\r\n 0\nSECTION", "%%c {\\H3;x} <b>&amp;</b> \N{SNOWMAN}", "x" * 300, ""):
        machine = replace(sw.read_machine("garden"), name=name)
        view = all_views(machine)["side"]
        document = drawing(machine, view, day="2026-07-01", scale=10, revision=name)
        assert not read_back(document).audit().errors
        ElementTree.fromstring(as_svg(document, 10, PAPER["metric"]))


@pytest.mark.parametrize("name", ["otter_fair", "garden"])
def test_svg_is_to_its_scale(name):
    """Truth: the paths' own coordinates over the width of the paper: a view's size over the scale,
    to the 0.3 um of paper that a step of the SVG is, for every view; circles are left out."""
    machine = sw.read_machine(name)
    for view in all_views(machine).values():
        bare = replace(view, sizes=(), labels=(), circles=(), level=False)
        scale = sheet_scale(view, PAPER["metric"])
        text = as_svg(
            drawing(machine, bare, day="2026-07-01", scale=scale, titled=False),
            scale,
            PAPER["metric"],
        )
        box = [float(one) for one in re.search(r'viewBox="([^"]+)"', text)[1].split()]
        unit, x, y, places = 297.0 / box[2], 0.0, 0.0, []
        for path in re.findall(r'<path d="([^"]+)"', text):
            for letter, a, b in re.findall(r"([MmLl]) (-?[\d.]+) (-?[\d.]+)", path):
                x, y = (x + float(a), y + float(b)) if letter in "ml" else (float(a), float(b))
                places.append((x, y))
        size = np.ptp(np.array(places), axis=0) * unit * scale
        low, high = bare.extent
        assert size == pytest.approx(1e3 * (high - low), abs=0.002 * scale), view.title

"""Dimensioned drawings: read back by ezdxf, measured against the dials; no figures collide."""

import io

import ezdxf
import pytest
from ezdxf import bbox

import slingwright as sw
from slingwright.making.sheets import (
    APP,
    PAPER,
    as_dxf,
    as_svg,
    drawing,
    feet_and_inches,
    save_drawings,
    sheet_scale,
    views,
)

MACHINES = ["otter_ford", "garden", "fixed_pair"]


def documents(name, system="metric"):
    machine = sw.read_machine(name)
    for view in views(machine).values():
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
            dial = size.get_xdata(APP)[0].value
            assert size.get_measurement() == pytest.approx(1e3 * machine.number(dial), abs=0.1)
            assert float(size.dxf.text) == pytest.approx(1e3 * machine.number(dial), abs=0.051)
            shown.add(dial)
    assert {"arm.long", "arm.short", "axle.height", "axle.span", "frame.sill_length"} <= shown


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
                assert not one.has_overlap(two), (view.name, one, two)


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
    assert {path.name for path in written} == {
        "pieces.csv", "side.dxf", "side.svg", "front.dxf", "front.svg", "plan.dxf", "plan.svg",
    }  # fmt: skip
    assert all(path.stat().st_size > 100 for path in written)
    with pytest.raises(FileExistsError, match="new folder"):
        save_drawings(machine, tmp_path / "new", day="2026-07-01")

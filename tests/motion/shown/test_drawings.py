"""Plain figures and the table of readings: the artists' data, not their pixels.

Truth: the throw's own numbers; units from NIST SP 811 (2008), Appendix B.
"""

import io

import numpy as np
import pytest
from matplotlib.image import imread
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon

from slingwright.amounts import figures
from slingwright.machine import outline
from slingwright.machine.file import read_machine
from slingwright.motion.shown import drawings
from slingwright.motion.throwing import reach_curve, throw
from slingwright.places import data_folder
from slingwright.winch import readings

LBF = 4.4482216152605


@pytest.fixture(scope="module")
def machine():
    return read_machine(data_folder() / "otter_ford.toml")


@pytest.fixture(scope="module")
def thrown(machine):
    return throw(machine)


def lines(artists):
    return [one for one in artists if isinstance(one, Line2D)]


def test_path_ends_where_the_ball_lands(machine, thrown) -> None:
    """Truth: the range of the throw, in metres and in feet of 0.3048 m."""
    for system, one in (("metric", 1.0), ("US", 0.3048)):
        _, axes = drawings.sheet()
        drawn = lines(drawings.draw_path(axes, machine, thrown, system))
        assert float(drawn[-1].get_xdata()[0]) == pytest.approx(thrown.range / one)
        flight = max(drawn, key=lambda line: np.max(line.get_ydata()))
        assert np.max(flight.get_ydata()) == pytest.approx(thrown.flight_path[:, 1].max() / one)


def test_machine_is_drawn_to_size_and_moves(machine, thrown) -> None:
    """Truth: sizes of the machine file; places of the throw at a later moment."""
    parts = outline.outline(machine, thrown, 0)
    box = parts["box"]
    sides = np.hypot(*np.diff(box, axis=0).T)
    assert sides == pytest.approx([0.9, 0.8, 0.9, 0.8])
    assert box[:4].mean(axis=0) == pytest.approx(thrown.weight[0])
    assert np.hypot(*(parts["legs"][1] - [0.0, 4.2])) < 1e-12
    _, axes = drawings.sheet()
    artists = drawings.draw_machine(axes, machine, thrown, 0)
    later = int(np.searchsorted(thrown.time, 1.0))
    drawings.move_machine(artists, machine, thrown, later)
    assert artists["ball"].get_xydata()[0] == pytest.approx(thrown.ball[later])
    arm = artists["arm"]
    assert isinstance(arm, Polygon)
    middle = 0.5 * (arm.get_xy()[2] + arm.get_xy()[3])
    assert middle == pytest.approx(thrown.tip[later])


def test_a_fixed_weight_turns_with_the_arm() -> None:
    """Truth: geometry: the box's sides stay along and across the arm."""
    fixed = read_machine(data_folder() / "fixed_pair.toml")
    swung = throw(fixed)
    for index in (0, len(swung.time) // 3):
        along = swung.tip[index] - swung.axle[index]
        side = np.diff(outline.outline(fixed, swung, index)["box"], axis=0)[1]
        cosine = side @ along / (np.hypot(*side) * np.hypot(*along))
        assert abs(cosine) == pytest.approx(1.0)


def test_axle_load_and_its_peak(thrown) -> None:
    """Truth: the size of the axle force; 1 lbf = 4.4482216152605 N."""
    for system, one in (("metric", 1e3), ("US", LBF)):
        _, axes = drawings.sheet()
        drawn = lines(drawings.draw_axle_load(axes, thrown, system))
        assert np.max(drawn[0].get_ydata()) == pytest.approx(thrown.axle_load.max() / one)
        peak = (thrown.peak_axle_time, thrown.peak_axle_load / one)
        assert drawn[1].get_xydata()[0] == pytest.approx(peak)


def test_energy_curves_add_up(thrown) -> None:
    """Truth: energy is conserved: what the counterweight gives is what the others get."""
    _, axes = drawings.sheet()
    drawn = {one.get_label(): one.get_ydata() for one in lines(drawings.draw_energy(axes, thrown))}
    got = drawn["projectile, pouch"] + drawn["arm"] + drawn["sling"] + drawn["friction"]
    # Just past the release the projectile's curve ends in the air: hold the time before.
    held = np.asarray(thrown.time[: len(got)]) < thrown.release.time
    np.testing.assert_allclose(got[held], drawn["counterweight"][held], atol=2e-6 * got.max())


def test_reach_has_the_present_point(machine, thrown) -> None:
    """Truth: the throw itself lies on the curve of all release angles."""
    angles, ranges = reach_curve(machine)
    _, axes = drawings.sheet()
    curve, point = lines(drawings.draw_reach(axes, angles, ranges, machine, thrown))[:2]
    x, y = curve.get_xdata(), curve.get_ydata()
    at, far = point.get_xydata()[0]
    order = np.argsort(x)
    assert far == pytest.approx(np.interp(at, x[order], y[order]), rel=2e-3)


def test_sheet_is_a_white_png(machine, thrown) -> None:
    """Truth: the picture's own bytes: a white corner, more than one colour."""
    figure = drawings.draw_throw(machine, thrown, reach_curve(machine))
    assert len(figure.axes) == 4
    pixels = imread(io.BytesIO(figure._repr_png_()))
    assert pixels[0, 0, :3].tolist() == [1.0, 1.0, 1.0]
    assert len(np.unique(pixels.reshape(-1, pixels.shape[2]), axis=0)) > 20


def test_table_of_readings(machine, thrown) -> None:
    """Truth: the throw's numbers, rounded; no markup gets through."""
    table = readings.throw_table(machine, thrown)
    assert f"{thrown.range:.1f} m" in str(table)
    assert f"{thrown.peak_axle_load / 1e3:.1f} kN" in table._repr_html_()
    evil = figures.ReadingsTable(rows=table.rows, sentence="<script>alert(1)</script>")
    assert "<script>" not in evil._repr_html_()


def test_failed_throw_has_dashes_and_its_sentence(machine) -> None:
    """Truth: a failed throw has no numbers."""
    weak = machine.change({"counterweight.mass": 100.0})
    failed = throw(weak)
    table = readings.throw_table(weak, failed)
    values = {row.key: row.text() for row in table.rows}
    assert values["range"] == values["axle"] == values["speed"] == figures.NOTHING
    assert failed.sentence in str(table)


@pytest.mark.parametrize(
    ("value", "unit", "system", "text"),
    [
        (0.0, "N", "metric", "0 kN"),
        (-58.1, "m", "metric", "\N{MINUS SIGN}58.1 m"),
        (1234.0, "m", "metric", "1,230 m"),
        (0.0456, "m", "metric", "45.6 mm"),
        (30.48, "m", "US", "100 ft"),
        (444.82216152605, "N", "US", "100 lbf"),
        (0.785398163, "rad", "metric", "45.0 deg"),
        (1.0e-12, "m/s", "metric", "1.00e-12 m/s"),
    ],
)
def test_figures(value, unit, system, text) -> None:
    """Truth: worked by hand; 1 ft = 0.3048 m, 1 lbf = 4.4482216152605 N."""
    assert figures.figures(value, unit, system) == text


def test_feet_stand_where_the_dial_puts_them(machine, thrown) -> None:
    """Truth: the dial: half of frame.spread on each side of the axle, under which the legs meet."""
    spread = machine.number("frame.spread")
    assert outline.frame(machine, thrown).feet == pytest.approx((-0.5 * spread, 0.5 * spread))
    wide = machine.change({"frame.spread": "5 m"})
    legs = outline.outline(wide, thrown)["legs"]
    assert legs[:, 0] - thrown.base[0] == pytest.approx([-2.5, 0.0, 2.5])

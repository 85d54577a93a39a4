"""The band of near copies behind a picture: how many of the copies are in it.

Truth: the same copies built and thrown one by one, and the count of those inside.
"""

import numpy as np
import pytest
from outside.machines import otter_ford

import slingwright as sw
from slingwright.motion.spread.band import band
from slingwright.motion.spread.scatter import drawn
from slingwright.motion.spread.uncertain import near
from slingwright.pages import LivePictures, Workbench


@pytest.mark.parametrize("hung", [True, False])
def test_nine_of_ten_copies_are_in_it(hung) -> None:
    """Truth: see above, at places of the path and at moments of the axle load."""
    machine = otter_ford(hung=hung)
    found = band(machine, n=60, seed=3)
    draws = drawn(machine, near(machine), 60, 3)
    copies = [
        sw.throw(machine.change({path: float(column[at]) for path, column in draws.items()}))
        for at in range(60)
    ]
    assert found.copies == sum(one.outcome == "released" for one in copies) > 50
    assert found.x[-1] > 0.9 * sw.throw(machine).range
    for share in (0.2, 0.5, 0.8):
        at = int(share * found.x.size)
        heights = [np.interp(found.x[at], *one.flight_path.T) for one in copies if one.release]
        inside = (heights >= found.lowest[at] - 0.02) & (heights <= found.highest[at] + 0.02)
        assert inside.mean() == pytest.approx(0.9, abs=0.06)
        at = int(share * found.time.size)
        loads = [np.interp(found.time[at], one.time, one.axle_load) for one in copies]
        room = 0.002 * max(loads)
        inside = (loads >= found.least[at] - room) & (loads <= found.most[at] + room)
        assert inside.mean() == pytest.approx(0.9, abs=0.06)


def test_without_projectile_or_release_there_is_none() -> None:
    """Truth: nothing flies."""
    assert band(otter_ford().change({"projectile.mass": 0.0}), n=8) is None
    assert band(otter_ford().change({"counterweight.mass": 40.0}), n=8) is None


def test_the_switch_shades_path_and_axle_load() -> None:
    """Truth: the band itself, in the unit shown; without the switch there is no shade."""
    pictures = LivePictures(Workbench("otter_ford", system="US"))

    def shown() -> dict:
        return {one["key"]: one for one in pictures.widget.scene["pictures"]}

    before = shown()
    pictures.copies.value = True
    now = shown()
    points = np.frombuffer(pictures.widget.points, dtype=np.float32).reshape(-1, 2)
    found = band(pictures.bench.machine)
    for key, one, across, high in (
        ("path", 0.3048, found.x / 0.3048, found.highest),
        ("axle", 4.4482216152605, found.time, found.most),
    ):
        assert len(now[key]["lines"]) == len(before[key]["lines"]) + 1
        line = now[key]["lines"][0]
        edge = points[line["start"] // 2 : line["start"] // 2 + line["count"]]
        assert edge[: across.size, 0] == pytest.approx(across, rel=1e-5)
        assert edge[across.size :, 1] == pytest.approx(high[::-1] / one, rel=1e-4)
        assert "nine of ten" in now[key]["words"]
    assert len(now["energy"]["lines"]) == len(before["energy"]["lines"])

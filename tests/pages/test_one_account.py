"""One account: an amount that several pages, prints and commands show is the same on all of them.

Truth: the library's own throw, held machine, zone and table of dials; what is shown is read back
from the words that a person reads, to half a unit of its last figure.
"""

import contextlib
import io
import json
import re
from collections.abc import Iterator
from types import SimpleNamespace

import pytest

import slingwright as sw
from slingwright.commands.line import main
from slingwright.learning.shots import FieldShot, ShotModel
from slingwright.motion.spread.uncertain import usual
from slingwright.pages import LivePictures, Readouts, Workbench
from slingwright.pages.holding.page import HoldingBench
from slingwright.pages.print.report import report_files
from slingwright.pages.standing.page import ZoneBench
from slingwright.pages.winding.page import WindingBench
from slingwright.strength.loads.brief import own_load

UNITS = {"N": 1.0, "kN": 1e3, "m": 1.0, "%": 0.01, "m/s": 1.0, "": 1.0}
MACHINES = {
    "otter_ford": {},
    "garden": {"hook.on_arm": "80 %"},
}


def strings(state: object) -> Iterator[str]:
    """Every text in what a page sends to the browser."""
    if isinstance(state, str):
        yield state
    elif isinstance(state, dict):
        for one in state.values():
            yield from strings(one)
    elif isinstance(state, list | tuple):
        for one in state:
            yield from strings(one)


def of_page(page: object) -> str:
    """All texts of a page's widgets, in order, without their marks."""
    found = []
    for part in vars(page).values():
        widget = getattr(part, "widget", None)
        for name in ("state", "scene", "value"):
            found += strings(getattr(widget, name, ""))
    return re.sub(r"<[^>]+>", " ", "\n".join(found))


def of_command(*words: str) -> str:
    """What a command prints."""
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed), contextlib.suppress(SystemExit):
        main(list(words))
    return printed.getvalue()


@pytest.fixture(scope="module", params=MACHINES)
def shown(request, tmp_path_factory, few_copies) -> tuple[sw.Machine, dict[str, str]]:
    """A machine, and what each page, print and command says of it."""
    folder = tmp_path_factory.mktemp("account")
    machine = sw.read_machine(request.param)
    changes = {
        path: machine.number("arm.long") * float(text.split()[0]) / 100.0
        for path, text in MACHINES[request.param].items()
    }
    machine = machine.change(changes)
    place = folder / "machine.toml"
    sw.write_machine(machine, place)
    bench = Workbench(place, folder=folder)
    data = report_files(machine, day="2031-06-14")["data.json"]
    bench_page = SimpleNamespace(readouts=Readouts(bench), pictures=LivePictures(bench))
    return machine, {
        "bench": of_page(bench_page),
        "page 02": of_page(HoldingBench(Workbench(place, folder=folder))),
        "page 03": of_page(WindingBench(place)),
        "page 07": of_page(ZoneBench(Workbench(place, folder=folder))),
        "report": "\n".join(strings(json.loads(data))),
        **{name: of_command(name, str(place)) for name in ("throw", "winch", "check", "zone")},
    }


NUMBER = r"[^\d\n]{0,40}\n?(\d[\d,.]*)[ \N{NO-BREAK SPACE}]?(kN|N|%|m\b)?"
HELD = {
    "page 03": ["Hook load, held"],
    "throw": ["held, cocked +hook"],
    "winch": ["Hook load, held", "hook that holds the arm:"],
    "report": ["Hook load, held", "hook that holds the arm[^.]*unrated: it would carry"],
}
FAR = {
    "bench": ["Range", "lands", "Range"],
    "page 02": ["Range", "lands"],
    "page 03": ["as it is:", "of lag, .* range"],
    "page 07": ["Range", "lands"],
    "report": ["Range"],
    "throw": ["range"],
    "zone": ["{load} +planned"],
}
GIVEN = {
    "bench": ["Energy to the projectile", "pouch and projectile have [^:\n]*: the projectile"],
    "page 02": ["Energy to the projectile"],
    "page 07": ["Energy to the projectile"],
    "report": ["Energy to the projectile"],
    "throw": ["energy"],
}
AXLE = {
    "bench": ["Peak axle load"],
    "page 02": ["Peak axle load"],
    "page 07": ["Peak axle load"],
    "report": ["Peak axle load"],
    "throw": ["peak axle load"],
}
RESTING = {
    "bench": ["Axle load, held"],
    "page 02": ["Axle load, held"],
    "throw": ["held, cocked .* axle"],
    "report": ["Axle load, held"],
    "check": ["held and cocked"],
}


@pytest.mark.parametrize(
    "places",
    [HELD, FAR, GIVEN, AXLE, RESTING],
    ids=["hook load", "range", "energy", "peak axle load", "axle load, held"],
)
def test_an_amount_is_the_same_wherever_it_is_shown(shown, places) -> None:
    """Truth: see above; a place that shows nothing is a failure, as is one that shows another."""
    machine, texts = shown
    thrown = sw.throw(machine)
    truth = {
        "HELD": sw.held(machine).hook_load,
        "FAR": thrown.range,
        "GIVEN": thrown.efficiency,
        "AXLE": thrown.peak_axle_load,
        "RESTING": sw.held(machine).axle_load,
    }
    wanted = truth[next(name for name, one in globals().items() if one is places)]
    wrong = []
    for place, labels in places.items():
        for label in labels:
            label = label.replace("{load}", own_load(machine).name)
            found = re.search(label + NUMBER, texts[place])
            if found is None:
                wrong.append((place, label, "not shown"))
                continue
            figures, unit = found[1].rstrip(".,").replace(",", ""), UNITS[found[2] or ""]
            last = 10.0 ** -len(figures.partition(".")[2])
            if "." not in figures:
                last = 10.0 ** max(0, len(figures) - 3)
            if abs(float(figures) * unit - wanted) > 0.51 * last * unit + 1e-5 * wanted:
                wrong.append((place, label, found[0], wanted))
    assert not wrong


def test_learning_has_the_same_account(shown) -> None:
    """Truth: see above; the numbers at their most likely before any shot."""
    machine, _ = shown
    numbers = [one for one in usual(machine) if one.path == "release.angle"]
    assert numbers[0].mean == 0.0
    seen = {"hook_load": (1.0, 1.0), "range": (1.0, 1.0), "efficiency": (0.1, 0.1)}
    model = ShotModel(machine, [FieldShot(label="a", seen=seen)], numbers)
    told = dict(
        zip(
            [name for _, name in model.places],
            model({numbers[0].name: numbers[0].mean}),
            strict=True,
        )
    )
    thrown = sw.throw(machine)
    assert told["hook_load"] == pytest.approx(sw.held(machine).hook_load, rel=1e-12)
    assert told["range"] == pytest.approx(thrown.range, rel=1e-6)
    assert told["efficiency"] == pytest.approx(thrown.efficiency, rel=1e-6)

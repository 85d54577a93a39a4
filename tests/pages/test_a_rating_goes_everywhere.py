"""One rating, from the page where it is typed to everything that reads a machine.

Truth: the number typed, 5 kN, and the rule that an unrated piece is not known.
"""

import pytest

import slingwright as sw
from slingwright.changing.what_if import Change, what_if
from slingwright.logbook import Logbook
from slingwright.pages.log.records import save_revision
from slingwright.pages.print.report import report_files
from slingwright.pages.winding.page import WindingBench
from slingwright.standing.ready import ready
from slingwright.winch.rigging import rigging_checks

pytestmark = pytest.mark.usefixtures("few_copies")
PATH, PIECE = "mark.hook_rating", "hook that holds the arm"


def verdict(machine) -> str:
    """Give the verdict on the hook."""
    return next(row.verdict for row in rigging_checks(sw.winding(machine)) if row.name == PIECE)


def test_a_rating_set_on_the_page_is_kept_everywhere(tmp_path) -> None:
    """Truth: see above, at each station of the walk."""
    page = WindingBench("otter_ford")
    assert verdict(page.bench.machine) == "not known"
    page.dials._hear(None, {"kind": "set", "path": PATH, "value": {"text": "5 kN"}}, [])
    assert page.bench.machine[PATH] == 5000.0 and verdict(page.bench.machine) == "holds"
    # saved, and opened again by another page; another machine keeps its own
    page.bench.folder = tmp_path
    place = page.bench.save("mine")
    assert "hook_rating" in place.read_text("utf-8")
    again = WindingBench(place)
    assert again.bench.machine[PATH] == 5000.0
    again.bench.load("garden")
    assert again.bench.machine[PATH] is None
    machine = sw.read_machine(place)
    # the whole verdict, print, command, sweep
    assert any(one.name == PIECE and one.verdict == "holds" for one in ready(machine).findings)
    printed = b"".join(report_files(machine, day="2031-06-14").values()).decode("utf-8", "replace")
    assert "Hook that holds the arm, rated" in printed and "5 kN" in printed
    assert sw.sweep(machine, {PATH: ["4 kN", "6 kN"]}).throws == 2
    # weighed as a change: a rating too low fails where none is only not known
    weak = Change(name="weak hook", dials={PATH: "0.1 kN"}, reason="it was at hand")
    found = what_if(machine, [weak])
    assert PIECE in found.together.failings
    # kept in the log
    with Logbook.create(tmp_path / "a.log", machine="Otter Ford") as log:
        save_revision(log, machine, author="Wren", note="the hook was rated")
        assert log.latest_revision().record.values[PATH] == 5000.0

"""The verdict of the whole: what fails, what is not known, what has no check; and exit codes.

Truth: the verdicts of the parts, and the rule that one that fails fails all, and that nothing holds
which is not known.
"""

import json
from dataclasses import replace

import pytest

import slingwright as sw
from slingwright.amounts.verdict import FAILS, HOLDS, NOT_KNOWN, exit_code, whole
from slingwright.commands.line import main
from slingwright.pages.print.report import report_files
from slingwright.standing.ready import ready
from slingwright.strength.checks import UNCHECKED, not_checked

NAMES = ("otter_ford", "garden", "on_wheels", "hinged_pair", "fixed_pair")


def test_one_rule_for_all_verdicts() -> None:
    """Truth: logic: a whole holds only where every part is known to hold, and there is a part."""
    assert whole([HOLDS, HOLDS]) == HOLDS and whole([HOLDS, NOT_KNOWN]) == NOT_KNOWN
    assert whole([HOLDS, NOT_KNOWN, FAILS]) == FAILS and whole([]) == NOT_KNOWN
    assert [exit_code(one) for one in (HOLDS, FAILS, NOT_KNOWN)] == [0, 1, 1]


@pytest.mark.parametrize("name", NAMES)
def test_nothing_says_that_all_holds(name, tmp_path, capsys) -> None:
    """Truth: every supplied machine has unrated pieces: no summary may say that all holds.

    Commands check, winch, zone and report end with 1, and the report's first page says first what
    fails and what is not known.
    """
    path = str(sw.data_folder() / f"{name}.toml")
    for words in (
        ["check", path],
        ["winch", path],
        ["zone", path],
        ["report", path, "--out", str(tmp_path / "r.pdf")],
    ):
        assert main(words) == 1, words
        out = capsys.readouterr().out
        assert "all hold" not in out.lower() and not out.startswith("All ")
    told = ready(sw.read_machine(name))
    unrated = {one.name for one in told.of(NOT_KNOWN)}
    assert any("block" in one or "shackle" in one or "hook" in one for one in unrated)
    first = json.loads(report_files(sw.read_machine(name), day="2026-05-01")["data.json"])
    page = first["sections"][0]
    assert page["title"] == "What fails, and what is not known"
    assert page["words"] == [told.sentence]
    named = [row[0] for row in page["sheets"][0]["rows"]]
    assert [one.name for one in (*told.of(FAILS), *told.of(NOT_KNOWN))] == named[
        : -len(told.unchecked)
    ]
    assert set(UNCHECKED) <= set(named)


def test_a_load_of_the_brief_that_was_not_looked_at_is_not_known() -> None:
    """Truth: a load as wide as the sling is long cannot be thrown: it was not looked at."""
    machine = sw.read_machine("otter_ford")
    huge = type(machine.brief[0])(name="hay bale", mass=30.0, diameter=9.0)
    told = ready(replace(machine, brief=(*machine.brief, huge)))
    assert "load case: hay bale" in {one.name for one in told.of(NOT_KNOWN)}
    assert told.verdict != HOLDS


def test_parts_without_a_check_are_named() -> None:
    """Truth: the machine's own dials: wheels and support pieces are there or not."""
    assert any("wheels" in one for one in not_checked(sw.read_machine("on_wheels")))
    machine = sw.read_machine("otter_ford")
    assert not any("wheels" in one for one in not_checked(machine))
    supported = machine.change({"axle.support": "0.1 m"})
    assert any("support pieces" in one for one in not_checked(supported))
    assert any("cross sills" in one for one in not_checked(machine))


def check_named(machine: sw.Machine, name: str) -> object:
    return next(check for check in sw.checks(machine) if check.name == name)


def test_support_pieces_that_meet_in_the_arm_fail() -> None:
    """Truth: geometry by hand: two pieces of 0.28 m and the arm's 0.26 m are 0.82 m of 0.80 m."""
    machine = sw.read_machine("otter_ford")
    name = "arm between the support pieces"
    fits = check_named(machine.change({"axle.support": "0.26 m"}), name)
    assert fits.verdict == HOLDS and fits.utilisation == pytest.approx(0.78 / 0.80)
    struck = check_named(
        machine.change({"axle.support": "0.28 m"}), "arm between the support pieces"
    )
    assert struck.verdict == FAILS
    assert (struck.demand, struck.capacity) == (pytest.approx(0.82), pytest.approx(0.80))


@pytest.mark.parametrize(
    ("bolt", "least"),
    # a_4,t = (2 + 2 sin 90) d = 4 d to each edge of the leg: M20 needs 160 mm, M30 240 mm.
    [("M20", 0.160), ("M30", 0.240)],
)
def test_bolts_need_their_distance_to_the_edges(bolt, least) -> None:
    """Truth: EN 1995-1-1:2004 Table 8.4, a_4,t, worked by hand (table from memory)."""
    machine = sw.read_machine("otter_ford").change({"frame.bolt": bolt})
    found = check_named(machine, "bolts' distance to the edges")
    assert found.demand == pytest.approx(least) and found.capacity == pytest.approx(0.200)
    assert found.verdict == (HOLDS if least <= 0.2 else FAILS)


def test_bolts_wider_than_their_timber_fail() -> None:
    """Truth: the garden machine's legs are 28 mm deep: an M20 needs 160 mm."""
    found = check_named(sw.read_machine("garden"), "bolts' distance to the edges")
    assert found.verdict == FAILS and found.utilisation > 5.0


def test_sill_takes_lift_across_the_grain() -> None:
    """Truth: EN 1995-1-1:2004 Table 8.4 by hand: 4 d to the edge that lift loads, 3 d to the other.

    M20 asks 140 mm: a sill of 130 mm fails, though the legs are deep enough.
    """
    machine = sw.read_machine("otter_ford").change({"frame.sill_depth": "0.13 m"})
    found = check_named(machine, "bolts' distance to the edges")
    assert found.demand == pytest.approx(0.140) and found.verdict == FAILS

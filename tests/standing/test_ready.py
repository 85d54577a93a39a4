"""The verdict of the whole: what fails, what is not known, what has no check; and exit codes.

Truth: the verdicts of the parts, and the rule that one that fails fails all, and that nothing holds
which is not known.
"""

import json
import math
from dataclasses import replace

import pytest

import slingwright as sw
from slingwright.amounts.verdict import FAILS, HOLDS, NOT_KNOWN, exit_code, whole
from slingwright.commands.line import main
from slingwright.pages.print import report
from slingwright.pages.print.report import report_files
from slingwright.standing.ready import ready
from slingwright.strength.checks import holding
from slingwright.strength.ledger import not_checked
from slingwright.strength.names import MISHAPS

pytestmark = pytest.mark.usefixtures("few_copies")
NAMES = ("otter_ford", "garden", "on_wheels", "hinged_pair", "fixed_pair")


def test_one_rule_for_all_verdicts() -> None:
    """Truth: logic: a whole holds only where every part is known to hold, and there is a part."""
    assert whole([HOLDS, HOLDS]) == HOLDS and whole([HOLDS, NOT_KNOWN]) == NOT_KNOWN
    assert whole([HOLDS, NOT_KNOWN, FAILS]) == FAILS and whole([]) == NOT_KNOWN
    assert [exit_code(one) for one in (HOLDS, FAILS, NOT_KNOWN)] == [0, 1, 1]


@pytest.mark.parametrize("name", NAMES)
def test_nothing_says_that_all_holds(name, tmp_path, capsys, monkeypatch) -> None:
    """Truth: every supplied machine has unrated pieces: no summary may say that all holds.

    Commands check, winch, zone and report end with 1, and the report's first page says first what
    fails and what is not known.
    """
    path = str(sw.data_folder() / f"{name}.toml")
    printed = []

    def kept(*asked, **how):
        printed.append(report_files(*asked, **how))
        return printed[-1]

    monkeypatch.setattr(report, "report_files", kept)
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
    first = json.loads(printed[0]["data.json"])
    page = first["sections"][0]
    assert page["title"] == "What fails, and what is not known"
    assert page["words"] == [told.sentence]
    # What has the same verdict for the same reason shares a row.
    rows = page["sheets"][0]["rows"]
    named = [(name, verdict) for names, verdict, _ in rows for name in names.split("; ")]
    own = {check.name: check for check in holding(sw.read_machine(name)).checks}
    broken = {check.name: check.utilisation for check in told.broken}
    for one in told.findings:
        check = own.get(one.name)
        alone = check is not None and check.key in MISHAPS
        planned = one.verdict if check is None else HOLDS if alone else check.as_planned.verdict
        assert ((one.name, FAILS) in named) == (planned == FAILS), one.name
        assert (one.name in broken) == (one.verdict == FAILS and planned != FAILS), one.name
        assert ((one.name, NOT_KNOWN) in named) == (NOT_KNOWN in (one.verdict, planned)), one.name
    if broken:
        said = "one more check fails" if len(broken) == 1 else f"{len(broken)} more checks fail"
        assert f"{said}, the worst: {max(broken, key=broken.get)}" in page["words"][0]
        assert "fails in a mishap" in {row[1] for row in rows}
    assert {(part, "not checked") for part in told.unchecked} <= set(named)


def test_a_throw_that_does_not_come_off_fails_first() -> None:
    """Truth: a box of a pound does not lift its arm; the report's first words say so."""
    stuck = sw.read_machine("garden").change({"counterweight.mass": "1 lb"})
    told = ready(stuck)
    assert told.sentence.startswith("Fails as planned: throw")
    data = json.loads(report_files(stuck, day="2026-05-01")["data.json"])
    assert data["sections"][0]["words"] == [told.sentence]
    assert "Never left the trough" in data["sections"][0]["sheets"][0]["rows"][0][2]


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
    machine = sw.read_machine("otter_ford").change({"frame.bolt": bolt, "frame.plate": "10 mm"})
    found = check_named(machine, "bolts' distance to the edges")
    assert found.demand == pytest.approx(least) and found.capacity == pytest.approx(0.200)
    assert found.verdict == (HOLDS if least <= 0.2 else FAILS)


def test_bolts_wider_than_their_timber_fail() -> None:
    """Truth: legs of 9 by 7 mm: an M30 needs 240 mm, and leaves nothing of a leg that pulls."""
    small = {"frame.leg_depth": "9 mm", "frame.leg_width": "7 mm", "frame.bolt": "M30"}
    found = sw.checks(sw.read_machine("garden").change(small))
    edges = next(check for check in found if check.key == "joint.edges")
    assert edges.verdict == FAILS and edges.utilisation == pytest.approx(240.0 / 9.0)
    assert "M30 is thicker than the leg is deep" in edges.note
    pulled = next(check for check in found if check.key == "leg.tension")
    assert pulled.verdict == FAILS and "nothing is left that holds" in str(pulled.sentence)


def test_a_row_of_bolts_crosses_the_other_timber() -> None:
    """Truth: by hand for two M20 without plates, 100 mm apart, where legs stand at 67.2 degrees.

    Two legs meet at 134.4 degrees: 100 sin 134.4 + 4 d + 4 d is 231 mm across the other leg; the
    side brace crosses a leg more nearly square: its row asks 92 mm more of the leg's 160.
    """
    machine = sw.read_machine("otter_ford").change({"frame.plate": 0.0})
    edges = next(check for check in sw.checks(machine) if check.key == "joint.edges")
    lean = math.atan2(4.2, 3.528 / 2.0)
    across = {
        "leg": 0.1 * math.sin(2.0 * lean) + 0.16,
        "sill": 0.1 * math.sin(lean) + 0.14,
        "brace": 0.1 * math.sin(lean) + 0.12,
    }
    depth = {"leg": 0.2, "sill": 0.2, "brace": 0.18}
    assert edges.verdict == FAILS
    assert edges.utilisation >= max(across[name] / depth[name] for name in across) - 1e-9
    fewer = machine.change({"frame.bolts": 1.0})
    alone = next(check for check in sw.checks(fewer) if check.key == "joint.edges")
    assert alone.demand == pytest.approx(0.16) and alone.verdict == HOLDS


def test_a_short_sill_has_no_room_past_its_feet() -> None:
    """Truth: EN 1995-1-1 Table 8.4: two M20, 50 mm and 140 mm past a foot; plates or none."""
    machine = sw.read_machine("otter_ford").change({"frame.sill_length": "3.728 m"})
    ends = next(check for check in sw.checks(machine) if check.key == "joint.ends")
    assert (ends.demand, ends.capacity) == (pytest.approx(0.19), pytest.approx(0.1))
    assert ends.verdict == FAILS


def test_sill_takes_lift_across_the_grain() -> None:
    """Truth: EN 1995-1-1:2004 Table 8.4 by hand: 4 d to the edge that lift loads, 3 d to the other.

    M20 asks 140 mm: a sill of 130 mm fails, though the legs are deep enough.
    """
    changes = {"frame.sill_depth": "0.13 m", "frame.plate": "10 mm"}
    machine = sw.read_machine("otter_ford").change(changes)
    found = check_named(machine, "bolts' distance to the edges")
    assert found.demand == pytest.approx(0.140) and found.verdict == FAILS

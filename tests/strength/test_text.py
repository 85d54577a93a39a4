"""The checks as text and JSON: nothing is lost, and what is not known is never a number."""

import json
import re
from dataclasses import replace
from functools import cache

import slingwright as sw
from slingwright.strength import text as check_report
from slingwright.strength.checks import holding
from slingwright.strength.clearance import clearance


@cache
def told(name="garden"):
    return holding(sw.read_machine(sw.data_folder() / f"{name}.toml"))


def test_text_has_every_case_check_and_caution():
    """Truth: the records that it is made of."""
    text = check_report.as_text(told())
    for case in told().cases:
        assert case.name in text
    for check in told().checks:
        assert check.name in text
    for words in ("local codes", "licensed engineer", "Not modelled", "welds", "not known"):
        assert words in text
    assert re.search(r"not known +not known ", text) and re.search(r"not known +at least ", text)
    assert "inf" not in text.split() and "nan" not in text


def test_text_with_working_has_every_source():
    """Truth: the records that it is made of."""
    text = check_report.as_text(told("otter_ford"), system="US", working=True)
    for check in told("otter_ford").checks:
        assert check.source in text
        assert all(line in text for line in check.working.told("US").split("\n"))
    assert "lbf" in text and "psi" in text


def test_json_is_strict_and_whole():
    """Truth: RFC 8259 has no infinity and no NaN: the parser refuses them here."""

    def refuse(word):
        raise AssertionError(word)

    data = json.loads(json.dumps(check_report.as_data(told())), parse_constant=refuse)
    assert len(data["checks"]) == len(told().checks)
    (bending,) = (row for row in data["checks"] if row["key"] == "axle.bending")
    (step,) = (one for one in bending["steps"] if "32 M / (pi d^3)" in one["sentence"])
    assert step["rows"]["result"] == {"label": "Stress", "value": bending["demand"], "unit": "Pa"}
    assert step["rows"]["diameter"]["value"] == told().machine.number("axle.diameter")
    assert "32 M / (pi d^3)" in bending["working"]
    unknown = [row for row in data["checks"] if row["verdict"] == "not known"]
    assert unknown and all(not row["passes"] and row["unknown"] for row in unknown)
    assert any(row["utilisation"] is None for row in unknown)
    assert all(row["utilisation"] == row["at_least"] for row in unknown)
    assert data["holds"] is False


def test_clearance_counts_where_it_is_given():
    """Truth: the records that it is made of: a box as wide as the legs stand strikes one."""
    machine = told("otter_ford").machine.change({"counterweight.breadth": "0.9 m"})
    gaps = clearance(machine)
    data = check_report.as_data(told("otter_ford"), gaps)
    assert data["clearance"]["clear"] is False and data["holds"] is False
    assert len(data["clearance"]["gaps"]) == len(gaps.gaps)
    assert "strikes the" in check_report.as_text(told("otter_ford"), gaps)


def test_whole_is_not_known_where_a_part_is_not():
    """Truth: logic: None is neither held nor failed; a whole of what is known to hold holds."""
    low = holding(told("otter_ford").machine.change({"axle.height": 2.9}))
    low = low.as_planned
    not_known = tuple(c for c in low.checks if c.at_least is not None)
    good = tuple(c for c in low.checks if c.passes)
    held = replace(low, checks=(*not_known, *good))
    assert held.holds is None and held.verdict == "not known"
    assert held.sentence.startswith("Not known: ") and "hold" not in held.sentence
    assert held.sentence.count("at least") == 1 and held.checks[0].used in held.sentence
    sure = replace(held, checks=tuple(c for c in held.checks if c.passes))
    assert sure.holds is True and sure.verdict == "holds"
    assert sure.sentence.startswith("Each of ") and "have no check" in sure.sentence
    assert told().holds is False and told().verdict == "fails"


def test_bar_of_every_use():
    """Truth: the bar's own scale: 20 signs to the limit, marked beyond it."""
    assert check_report.bar(1.0).count("#") == 20 and "!" not in check_report.bar(1.0)
    assert check_report.bar(1.01).endswith("|!")
    assert check_report.bar(float("inf")).count("!") == 20
    assert check_report.bar(float("nan")).count("!") == 20

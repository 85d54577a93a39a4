"""Every public result tells itself: sentence, rows, table, plain record, HTML, short repr.

Truth: the parser of RFC 8259 for records, and the results' own numbers for what the rows hold; in
US units no metric unit may be left in sentence or table.
"""

import functools
import html
import json
import re

import pytest

import slingwright as sw
from slingwright.amounts.text import Amount, told
from slingwright.strength.clearance import clearance

HEAVIER = sw.Change(name="heavier fill", dials={"counterweight.mass": "700 kg"})
MADE = {
    "throw": sw.throw,
    "holding": sw.holding,
    "clearance": clearance,
    "zone": sw.zone,
    "winding": sw.winding,
    "what_if": lambda machine: sw.what_if(machine, [HEAVIER]),
    "check": lambda machine: sw.holding(machine)["axle.bending"],
}


def near(machine):
    """Give bounds a twentieth about the sling's length."""
    length = machine["sling.length"]
    return (sw.Bound(path="sling.length", low=0.95 * length, high=1.05 * length),)


SHOTS = tuple(sw.field_shot(f"shot {n}", range=far) for n, far in enumerate((104.0, 106.0, 105.0)))
MADE |= {
    "learned": lambda machine: sw.learn(machine, SHOTS),
    "advice": lambda machine: sw.next_trial(sw.before_any_shot(machine), near(machine)),
    "optimum": lambda machine: sw.search(machine, near(machine), generations=4),
}
METRIC = re.compile(r"[0-9] (k?N|k?Pa|MPa|m|mm|kg|kJ|J|m/s)\b")


@functools.cache
def answer(name: str, machine: str):
    return MADE[name](sw.read_machine(machine))


@pytest.mark.parametrize("machine", ["otter_ford", "garden", "fixed_pair"])
@pytest.mark.parametrize("name", MADE)
def test_a_result_tells_itself(name: str, machine: str) -> None:
    """Truth: see above; a repr is one line of at most 400 characters."""
    one = answer(name, machine)
    rows = list(one.rows())
    assert rows and len({row.key for row in rows}) == len(rows)
    assert len(repr(one)) <= 400 and "\n" not in repr(one)
    record = json.loads(json.dumps(one.record(), allow_nan=False))
    assert record["sentence"] == one.sentence
    shown = html.unescape(one._repr_html_())
    assert one.sentence in shown and all(told(row.label) in shown for row in rows)


@pytest.mark.parametrize("name", MADE)
def test_us_readers_see_no_metric_unit(name: str) -> None:
    """Truth: the pattern of metric units, which the metric table has."""
    one = answer(name, "otter_ford")
    assert METRIC.search(str(one.table("metric")))
    left = METRIC.search(str(one.table("US")))
    assert left is None, left


def test_rows_hold_the_numbers_of_the_result() -> None:
    """Truth: the records themselves."""
    zone = answer("zone", "otter_ford")
    rows = {row.key: row for row in zone.rows()}
    assert rows["clear.ahead"].value == Amount(zone.clear_ahead, "m", 0)
    held = answer("holding", "otter_ford")
    frame = held.to_frame()
    assert len(frame) == len(held.checks)
    assert held["axle.bending"] is next(one for one in held.checks if one.key == "axle.bending")
    with pytest.raises(KeyError, match=r"axle\.bending"):
        held["axle.bendng"]

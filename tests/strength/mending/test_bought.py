"""What is bought or cut: sizes that are sold, and the machine made so checked again."""

from functools import cache

import pytest
from strength.mending.test_remedies import named, weak

import slingwright as sw
from slingwright.strength.checks import checks, holding
from slingwright.strength.mending import bought as shop
from slingwright.strength.mending.bought import purchases, sold
from slingwright.strength.mending.remedies import SearchStopped, remedies


@cache
def found(name):
    check = named(weak().checks, name)
    return purchases(weak(), check, remedies(weak(), check))


@pytest.mark.parametrize(
    "name", ["axle in bending", "prong in bending with shear", "ground pressure"]
)
def test_each_is_as_it_says_by_checking_again(name):
    """Truth: all checks of the machine made so, worked out anew; its sizes are in the lists."""
    before = {one.key: one.verdict for one in weak().checks}
    assert found(name)
    for one in found(name):
        again = checks(weak().machine.change(one.changes))
        assert named(again, name).utilisation == pytest.approx(one.utilisation, rel=1e-9)
        assert one.utilisation <= 1.0
        failing = {c.name for c in again if c.verdict == "fails" and before[c.key] != "fails"}
        assert set(one.breaks) == failing
        assert one.serves == (not failing) and all(breaks in one.told() for breaks in failing)
        for path, value in one.changes.items():
            if path in shop.KINDS:
                assert any(value == pytest.approx(1e-3 * size) for size in shop.KINDS[path])


def test_the_next_size_up_is_told():
    """Truth: the lists: no smaller size that is sold holds."""
    bar = next(
        one for one in found("prong in bending with shear") if "prong.diameter" in one.changes
    )
    size = round(1e3 * bar.changes["prong.diameter"])
    smaller = max(one for one in shop.ROUND if one < size)
    thin = weak().machine.change({"prong.diameter": f"{smaller} mm"})
    assert named(checks(thin), "prong in bending with shear").utilisation > 1.0


@pytest.mark.parametrize(
    ("path", "least", "first"),
    [
        ("axle.diameter", 0.0612, 0.065),
        ("hanger.strap_width", 0.0505, 0.060),
        ("frame.sill_depth", 0.176, 0.200),
        ("frame.sill_depth", 0.31, 0.325),
        ("frame.sill_length", 9.001, 9.005),
        ("axle.support", 0.0, 0.0),
        ("hanger.bolts", 7.0, 7.0),
        ("hanger.bolt", "M24", "M24"),
    ],
)
def test_what_is_sold(path, least, first):
    """Truth: EN 10060, EN 10058, EN 1313-1 (from memory) by hand; lengths to 5 mm."""
    m = weak().machine.change({"frame.sill_depth": 0.1, "hanger.strap_width": 0.04})
    assert next(sold(m, path, least)) == pytest.approx(first)


def test_a_smaller_size_is_taken_down():
    """Truth: what must be less is cut to the next size below."""
    m = weak().machine
    assert (
        next(sold(m, "frame.sill_width", 0.9 * m["frame.sill_width"]))
        <= 0.9 * m["frame.sill_width"]
    )
    ropes = list(sold(m, "sling.rope_diameter", m["sling.rope_diameter"]))
    assert ropes == sorted(ropes) and ropes[0] >= m["sling.rope_diameter"] - 1e-9


def test_two_together_where_none_serves():
    """Truth: each change alone fails or breaks something, both together do neither: anew."""
    held = holding(sw.read_machine("fixed_pair"))
    check = named(held.checks, "ground pressure")
    tried = purchases(held, check, remedies(held, check))
    pair = tried[0]
    assert pair.serves and len(pair.changes) == 2
    assert not any(one.serves for one in tried if len(one.changes) == 1)
    before = {one.key for one in held.checks if one.verdict == "fails"}
    for path, value in pair.changes.items():
        alone = checks(held.machine.change({path: value}))
        newly = [c for c in alone if c.verdict == "fails" and c.key not in before]
        assert named(alone, check.name).utilisation > 1.0 or newly
    both = checks(held.machine.change(pair.changes))
    assert named(both, check.name).utilisation <= 1.0
    assert not [c for c in both if c.verdict == "fails" and c.key not in before]


def test_words_and_refusals():
    """Truth: the words name dial, sizes and use; a search that is not wanted stops."""
    one = found("prong in bending with shear")[0]
    assert one.told().startswith("buy or cut prong.diameter") and "% used" in one.told()
    assert " in to " in one.told("US")
    check = named(weak().checks, "prong in bending with shear")
    with pytest.raises(SearchStopped):
        purchases(weak(), check, remedies(weak(), check), lambda: True)


def test_a_list_for_the_worst():
    """Truth: the worst checks that fail, by name; what serves is counted."""
    told = sw.bought(weak().machine, most=1)
    first = next(c for c in weak().checks if not c.passes and c.at_least is None)
    assert list(told.found) == [first.name] and "1 checks" in told.sentence
    assert len(list(told.rows())) == len(told.found[first.name])

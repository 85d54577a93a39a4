"""The desk machine of the lessons: it throws, and its checks say what they do not apply to.

Truth: energy (no throw is farther than all of the fall, 2 M/m h, see Denny 2005 for the bound; from
memory), EN 338 as the scope of a strength class (graded structural timber), geometry by hand.
"""

import math

import pytest

import slingwright as sw
from slingwright.strength.checks import SMALLEST, too_small


@pytest.fixture(scope="module")
def desk():
    """Give the machine of the file."""
    return sw.read_machine("desk")


def test_the_desk_machine_throws_within_a_room(desk) -> None:
    """Truth: the bound by energy, and a ceiling of 2.5 m, a room of 10 m."""
    throw = sw.throw(desk)
    n = desk.number
    fall = n("arm.short") * (1.0 + math.sin(n("arm.cocked")))
    assert n("arm.long") + n("arm.short") == pytest.approx(0.3)
    assert throw.outcome == "released" and throw.energy_error < 1e-7
    assert 1.0 < throw.range < 2.0 * n("counterweight.mass") / n("projectile.mass") * fall
    said = sw.scatter(desk, n=32, loads=False)
    assert said.released == 32 and said.quantile("apex").value < 2.5
    assert said.quantile("range", 0.05).value < throw.range < said.quantile("range").value


def test_its_checks_say_what_they_do_not_apply_to(desk) -> None:
    """Truth: the words of the table, each named in the sentence; it is never said to hold."""
    found = sw.holding(desk, quick=True)
    for _, _, words in SMALLEST:
        assert words in found.sentence
    assert found.verdict == "fails" and "EN 338" in found.sentence
    assert "thinner than the smallest listed size" in str(found["sling.cords"].working)


@pytest.mark.parametrize("paths, least, words", SMALLEST)
def test_each_kind_is_told_by_its_own_size(paths, least, words) -> None:
    """Truth: a machine of beams is told nothing; made smaller in that one size it is."""
    ford = sw.read_machine("otter_ford")
    assert too_small(ford) == "" and too_small(sw.read_machine("garden")) == ""
    assert least < min(map(ford.number, paths))
    small = sw.read_machine("desk")
    big = small.change({path: 1.01 * least for path in paths} | {"sling.length": 0.4})
    assert words in too_small(small) and words not in too_small(big)


def test_its_pieces_are_sticks_of_a_shop(desk) -> None:
    """Truth: the arm by hand: L + S and half its depth; 15 mm by 6 mm of soft wood."""
    pieces = {one.name: one for one in sw.cut_list(desk).pieces}
    assert pieces["arm"].length == pytest.approx(0.3 + 0.015)
    assert pieces["leg"].count == 4 and sw.cut_list(desk).mass("timber") < 0.2

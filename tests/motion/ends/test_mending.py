"""What makes a machine throw that does not.

Truth: the throw itself: with the dial at the value that is told it lands where it is told, and with
the next nearer value that was tried it does not; and where none is told no step of any dial does.
"""

import pytest

import slingwright as sw
from slingwright.machine.table import dials
from slingwright.motion.ends.mending import FACTORS, MOST, PATHS, _steps, mended

FAILING = (
    ("otter_ford", {"release.angle": "80 deg"}),
    ("otter_ford", {"counterweight.mass": 160.0}),
    ("otter_ford", {"sling.length": 1.0}),
    ("otter_ford", {"sling.length": 9.0}),
    ("garden", {"counterweight.mass": 30.0, "sling.length": 0.8, "projectile.mass": 0.3}),
    ("on_wheels", {"sling.length": 12.0}),
)


def thrown(machine: sw.Machine, path: str, value: float) -> float:
    """Give how far it throws with a dial changed; 0 if it does not, or is no machine."""
    try:
        return sw.throw(machine.change({path: value})).range or 0.0
    except sw.MachineError:
        return 0.0


@pytest.mark.parametrize(("name", "changes"), FAILING)
def test_what_is_told_throws_and_less_does_not(name: str, changes: dict) -> None:
    machine = sw.read_machine(name).change(changes)
    out = machine.number("arm.long") + machine.number("sling.length")
    assert (sw.throw(machine).range or 0.0) < out
    found = sw.mending(machine)
    assert 0 < len(found) <= MOST
    for mend in found:
        assert thrown(machine, mend.path, mend.value) == pytest.approx(mend.range, rel=1e-6)
        assert mend.range > out
        tried = list(_steps(machine, mend.path))
        nearer = tried[: tried.index(mend.value) // 2 * 2]
        assert all(thrown(machine, mend.path, one) <= out for one in nearer)
        sentence = sw.throw(machine).sentence
        told = mended(machine, sentence).told("metric")
        assert f"{mend.path} " in told and told.startswith(str(sentence)[:30])


def test_where_no_single_dial_does_that_is_said() -> None:
    """Truth: every step of every dial, thrown one by one."""
    machine = sw.read_machine("garden").change(
        {"counterweight.mass": 60.0, "sling.length": 2.1, "projectile.mass": 0.6}
    )
    out = machine.number("arm.long") + machine.number("sling.length")
    assert all(thrown(machine, path, v) <= out for path in PATHS for v in _steps(machine, path))
    assert sw.mending(machine) == ()
    told = mended(machine, "It stuck; oil helps.").told("metric")
    assert told.startswith("It stuck. No single one of release.angle, ")
    empty = machine.change({"projectile.mass": 0.0})
    assert mended(empty, "It stuck; oil helps.") == "It stuck; oil helps."


def test_a_step_is_within_the_dial() -> None:
    machine = sw.read_machine("otter_ford")
    for path in PATHS:
        dial = dials.dial(path)
        steps = list(_steps(machine, path))
        assert len(steps) == 2 * len(FACTORS)
        assert all(dial.lowest <= one <= dial.highest for one in steps)

"""What a bench takes over from the machine before: only what a new throw would give again."""

from dataclasses import fields

import numpy as np
import pytest

import slingwright as sw
from slingwright.machine.faults import MachineError
from slingwright.machine.table import dials
from slingwright.pages.parts.workbench import THROW_TOLERANCE, answer


def alike(one, other) -> bool:
    """Whether two values of a throw are the same to the last bit."""
    if isinstance(one, np.ndarray):
        return np.array_equal(one, other, equal_nan=True)
    return repr(one) == repr(other)


@pytest.mark.parametrize("name", ["otter_fair", "fixed_pair", "on_wheels"])
def test_a_dial_that_does_not_move_the_machine_keeps_its_throw(name: str) -> None:
    """Truth: the changed machine thrown anew, every field of it, dial by dial."""
    before = answer(sw.read_machine(name))
    looked_at = 0
    for row in dials.TABLE:
        if row.kind != "number" or row.moves:
            continue
        now = before.machine[row.path]
        other = row.lowest + 0.3 * (row.highest - row.lowest) if not now else 1.07 * now
        try:
            changed = before.machine.change({row.path: other})
        except MachineError:  # past its limits, or against another dial
            continue
        if not np.array_equal(changed.moving(), before.machine.moving(), equal_nan=True):
            continue
        looked_at += 1
        found, anew = answer(changed, before).throw, sw.throw(changed, tolerance=THROW_TOLERANCE)
        assert found.machine is changed
        for field in fields(anew):
            if field.name != "machine":
                told, right = getattr(found, field.name), getattr(anew, field.name)
                assert alike(told, right), (row.path, field.name)
    assert looked_at > 80
    heavier = 1.1 * before.machine["counterweight.mass"]
    moved = before.machine.change({"counterweight.mass": heavier})
    assert answer(moved, before).throw.range != before.throw.range

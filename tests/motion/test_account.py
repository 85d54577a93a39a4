"""The account of a throw's energy.

Truth: conservation (the shares add up to the whole drop); kinetic energy and weight times height
of the projectile as it leaves, by its own place and speed; a sweep against throws one by one.
"""

import math

import pytest

import slingwright as sw

MACHINES = ("otter_ford", "garden", "on_wheels", "desk")


@pytest.mark.parametrize("hung", [True, False])
@pytest.mark.parametrize("name", MACHINES)
def test_the_whole_drop_is_somewhere(name: str, hung: bool) -> None:
    machine = sw.read_machine(name).change({"counterweight.hung": hung})
    throw, n = sw.throw(machine), machine.number
    shares = throw.energy_shares
    assert sum(shares.values()) == pytest.approx(1.0, abs=1e-6)
    whole = n("counterweight.mass") * n("site.gravity") * n("arm.short")
    whole *= 1.0 + math.sin(n("arm.cocked"))
    at_rest = n("trough.height") + 0.5 * n("projectile.diameter")
    raised = n("site.gravity") * (throw.release.y - at_rest)
    had = n("projectile.mass") * (0.5 * throw.release.speed**2 + raised)
    assert shares["projectile"] == throw.efficiency == pytest.approx(had / whole, rel=1e-7)
    lowest = n("axle.height") - n("arm.short") - (n("counterweight.hanger") if hung else 0.0)
    left = throw.weight[:, 1][throw.time <= throw.release.time][-1] - lowest
    left *= n("counterweight.mass") * n("site.gravity")
    assert shares["counterweight, not fallen yet"] == pytest.approx(left / whole, rel=1e-6)
    assert (shares["base"] != 0.0) == machine.flag("base.wheels")


def test_what_throws_nothing_has_no_shares() -> None:
    """Truth: without a release there is nothing to share, and without a projectile no share."""
    machine = sw.read_machine("otter_ford")
    held = sw.throw(machine.change({"release.angle": "80 deg"}))
    assert (held.release is None) == (held.energy_shares == {}) == (held.efficiency is None)
    empty = sw.throw(machine.change({"projectile.mass": 0.0}))
    assert empty.efficiency is None and empty.energy_shares.get("projectile", 0.0) == 0.0


def test_a_sweep_has_the_same_account() -> None:
    machine = sw.read_machine("otter_ford")
    masses = [4.0, 12.0, 18.0]
    table = sw.sweep(machine, {"projectile.mass": masses})
    for mass, share in zip(masses, table["efficiency"], strict=True):
        one = sw.throw(machine.change({"projectile.mass": mass}))
        assert share == pytest.approx(one.efficiency, rel=1e-6)

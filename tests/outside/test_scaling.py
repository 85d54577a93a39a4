"""A machine and its model to scale: every length times k, every mass times k cubed.

Truth: Froude's law of similitude (W. Froude; P. W. Bridgman, Dimensional Analysis, Yale University
Press 1922, chapter VII): with gravity the same and no air, times go with sqrt(k), lengths with k,
speeds with sqrt(k), forces with k cubed; coefficients of friction stay.
"""

import math

import numpy as np
import pytest
from outside.machines import otter_ford

import slingwright as sw
from slingwright.machine.machine import build
from slingwright.machine.table import dials

POWER = {"m": 1.0, "kg": 3.0, "kg m^2": 5.0, "N/m": 2.0, "N s/m": 2.5}


def scaled(machine, k):
    """Give the machine with every dial of the motion scaled by its unit, none derived anew."""
    settings = {}
    for dial in dials.MOVING:
        value = machine[dial.path]
        if value is not None and dial.kind == "number":
            value = value * k ** POWER.get(dial.unit, 0.0)
        if value is not None:
            settings[dial.path] = value
    return build(settings)


@pytest.mark.parametrize("k", [0.25, 0.8, 1.7])
@pytest.mark.parametrize(
    ("hung", "wheels"),
    [(True, False), (True, True), (False, False), (False, True)],
    ids=["hinged", "hinged-wheels", "fixed", "fixed-wheels"],
)
def test_throws_are_to_scale(hung, wheels, k):
    """Truth: Froude's law, all frictions on, to 1e-9."""
    whole = otter_ford(hung=hung, wheels=wheels, site__air_density=0.0)
    full = sw.throw(scaled(whole, 1.0), tolerance=1e-12, swing_through=1.0)
    small = sw.throw(scaled(whole, k), tolerance=1e-12, swing_through=math.sqrt(k))
    assert full.outcome == small.outcome == "released"
    root = math.sqrt(k)
    for one, other, factor in (
        (small.release.time, full.release.time, root),
        (small.release.speed, full.release.speed, root),
        (small.release.elevation, full.release.elevation, 1.0),
        (small.release.x, full.release.x, k),
        (small.release.y, full.release.y, k),
        (small.range, full.range, k),
        (small.landing.time, full.landing.time, root),
        (small.landing.speed, full.landing.speed, root),
        (small.spans[0].end, full.spans[0].end, root),
        (small.efficiency, full.efficiency, 1.0),
        (small.energy_lost[-1], full.energy_lost[-1], k**4),
        (small.peak_axle_load, full.peak_axle_load, k**3),
    ):
        assert one == pytest.approx(other * factor, rel=1e-9)


def test_with_air_the_small_one_falls_short_of_scale():
    """Truth: drag goes with k squared times speed squared, that is k cubed as weight does, while
    Reynolds' number falls: with one drag coefficient ranges scale still, by Froude's law."""
    whole = otter_ford(projectile__drag=0.47)
    full, small = (sw.throw(scaled(whole, k), tolerance=1e-12) for k in (1.0, 0.25))
    assert small.range == pytest.approx(0.25 * full.range, rel=1e-9)
    still = sw.throw(whole.change({"site.air_density": 0.0}), tolerance=1e-12)
    assert full.range < 0.99 * still.range


def test_every_dial_that_scales_was_scaled():
    """Truth: the table of dials: the units of the dials of the motion are those POWER knows, or
    ones that stay (angles, coefficients, gravity, air, wind)."""
    units = {dial.unit for dial in dials.MOVING if dial.kind == "number"}
    assert units - set(POWER) == {"-", "deg", "m/s^2", "kg/m^3", "m/s"}
    whole = otter_ford()
    small = scaled(whole, 0.5)
    changed = np.count_nonzero(small.moving() != whole.moving())
    assert changed >= 20

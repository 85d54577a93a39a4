"""What makers tell, without a source: common practice.

* A 380 kg hinged weight and a 16 lb bowling ball, long arm and sling together 5 to 6 m from the
  axle: 117 m was measured before fine tuning (common practice).
* Mass at the sling's end costs more range than the same mass near the axle (common practice).

Size and mass of a bowling ball: United States Bowling Congress, Equipment Specifications Manual:
16 lb at most, diameter 8.500 to 8.595 in.
"""

import math
from itertools import product

import pytest

import slingwright as sw
from slingwright.machine.machine import build

BALL = {"projectile.mass": 16 * 0.45359237, "projectile.diameter": 8.595 * 0.0254}
MEASURED = 117.0


def bowler(*, long=3.0, sling=2.7, short=0.8, **changes):
    """Give a plausible machine of that description."""
    settings = {
        "arm.long": long,
        "arm.short": short,
        "sling.length": sling,
        "axle.height": 0.85 * long,
        "counterweight.mass": 380.0,
        **BALL,
    }
    return build(settings | {path.replace("__", "."): value for path, value in changes.items()})


def tuned(machine):
    """Longest range over the release angle [m], and that angle [rad]."""
    lags, ranges = sw.reach_curve(machine)
    best = int(ranges.argmax())
    return float(ranges[best]), float(lags[best])


def test_tuned_bowling_ball_machines_throw_about_as_far_as_the_measured_one():
    """Truth: 117 m measured before fine tuning (common practice): tuned over sling, short arm and
    release angle, 90 to 140 m."""
    found = {}
    for long, sling, short in product((2.9, 3.1, 3.3), (2.3, 2.5, 2.7), (0.7, 0.8, 0.9)):
        if 5.0 <= long + sling <= 6.0:
            found[long, sling, short] = tuned(bowler(long=long, sling=sling, short=short))[0]
    best = max(found, key=found.__getitem__)
    print(f"best of {len(found)}: arm, sling, short arm {best}: {found[best]:.1f} m")
    assert 90.0 <= found[best] <= 140.0
    assert found[best] == pytest.approx(MEASURED, rel=0.25)


def test_the_machine_thrown_at_its_best_angle_gives_the_range_of_the_curve():
    """Truth: the same machine thrown with the ring set to that angle."""
    machine = bowler()
    far, angle = tuned(machine)
    throw = sw.throw(machine.change({"release.angle": angle}))
    assert throw.outcome == "released"
    assert throw.range == pytest.approx(far, rel=1e-6)


@pytest.mark.parametrize("extra", [0.2, 1.0])
def test_mass_at_the_slings_end_costs_more_range_than_near_the_axle(extra):
    """Truth: common practice; here both at the best release angle each."""
    plain = bowler()
    far, _ = tuned(plain)
    at_pouch = plain.change({"sling.pouch": plain["sling.pouch"] + extra})
    place, mass, balance = 0.3, plain["arm.mass"], plain["arm.balance"]
    whole = mass + extra
    centre = (mass * balance + extra * place) / whole
    inertia = plain["arm.inertia"] + mass * (balance - centre) ** 2 + extra * (place - centre) ** 2
    near_axle = plain.change({"arm.mass": whole, "arm.balance": centre, "arm.inertia": inertia})
    lost_at_pouch, lost_near_axle = far - tuned(at_pouch)[0], far - tuned(near_axle)[0]
    print(
        f"{extra} kg: {lost_at_pouch:.2f} m lost at the pouch, {lost_near_axle:.2f} near the axle"
    )
    assert lost_at_pouch > 10.0 * abs(lost_near_axle)
    assert lost_at_pouch > 0.0


def test_a_projectile_twice_as_heavy_flies_less_far():
    """Truth: common practice; and by energy it can not fly as far at equal efficiency."""
    plain = bowler()
    heavy = plain.change({"projectile.mass": 2 * plain["projectile.mass"]})
    assert tuned(heavy)[0] < 0.8 * tuned(plain)[0]
    assert math.isfinite(tuned(heavy)[0])

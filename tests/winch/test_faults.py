"""What goes wrong while it is wound: a late pawl, one that slips, a rope that parts."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from winch.winch_example import NUMBERS

from slingwright.formulas.winch import jerk
from slingwright.tables import ropes as ropes_table
from slingwright.winch.cycle import follow
from slingwright.winch.faults import faults
from slingwright.winch.rig import WinchRig
from slingwright.winch.rigging import rigging_checks


@pytest.mark.parametrize("mass", [20.0, 700.0])
def test_a_pull_that_is_arrested_by_stepping_the_motion(mass: float) -> None:
    """Truth: Newton's law in time (DOP853): a mass pulled with P falls h, then hangs on the spring.

    The mass does not count, and no fall gives twice the pull.
    """
    pull, stiffness, fall = 900.0, 3.1e4, 0.028

    # the drum gives way by `fall` with nothing to hold it, then the rope stretches from slack
    speed = math.sqrt(2.0 * pull * fall / mass)

    def hung(_: float, state: np.ndarray) -> list[float]:
        return [state[1], (pull - stiffness * state[0]) / mass]

    found = solve_ivp(hung, (0.0, 3.0), [0.0, speed], method="DOP853", rtol=1e-10, max_step=1e-3)
    peak = stiffness * float(found.y[0].max())
    assert jerk.arrested_pull(pull, stiffness, fall) == pytest.approx(peak, rel=1e-4)
    assert jerk.arrested_pull(pull, stiffness, 0.0) == pytest.approx(2.0 * pull)


def test_recoil_by_the_wave_equation() -> None:
    """Truth: a chain of masses and springs let go at one end, stepped in time."""
    count, pull, stiffness, length, mass = 200, 859.0, 31.0e3, 4.4, 0.145
    spring, bead = stiffness * count, mass * length / count

    def motion(_: float, state: np.ndarray) -> np.ndarray:
        place, speed = state[:count], state[count:]
        tension = spring * np.diff(np.concatenate(([0.0], place)))
        return np.concatenate((speed, (np.append(tension[1:], 0.0) - tension) / bead))

    start = np.concatenate((pull / spring * np.arange(1, count + 1), np.zeros(count)))
    arrives = length * math.sqrt(mass / (stiffness * length))  # at the fixed end
    found = solve_ivp(motion, (0.0, 0.5 * arrives), start, rtol=1e-8, method="DOP853")
    behind = -found.y[count + 3 * count // 4 :, -1].mean()
    told = jerk.recoil_speed(pull, stiffness, length, mass)
    assert told == pytest.approx(behind, rel=0.03)
    # at the fixed end all of the stretch has become motion
    assert 0.5 * mass * length * told**2 == pytest.approx(jerk.stretched_energy(pull, stiffness))


def test_faults_of_a_winding_by_hand() -> None:
    """Truth: by hand at each elevation: spring of the rope's own length, one tooth of fall."""
    rig = WinchRig(teeth=18.0)
    wound = follow(NUMBERS, rig)
    told = faults(wound)
    x = -4.5 * np.cos(wound.elevation) + 3.2
    y = 4.0 + 4.5 * np.sin(wound.elevation)
    length = 2.0 * np.hypot(x, y)
    stiffness = 26000.0 / (0.1 * length)  # manila of 20 mm
    fall = 2.0 * math.pi * 0.13 / 18.0
    pull = wound.rope_pull
    peak = pull + np.sqrt(pull**2 + 2.0 * stiffness * pull * fall)
    assert told.fall == pytest.approx(fall)
    assert told.late_pull == pytest.approx(peak.max(), rel=1e-9)
    assert told.late_at == wound.elevation[peak.argmax()]
    assert told.late_pawl == pytest.approx(peak.max() * 0.13 / 0.17, rel=1e-9)
    assert told.energy == pytest.approx((pull**2 / (2.0 * stiffness)).max(), rel=1e-9)
    assert told.breaks_at == pytest.approx(0.95 * 26000.0)
    assert told.whip == pytest.approx(math.hypot(3.2, 8.5))
    inertia = 1200.0 * 1.44 + 900.0 + 220.0 * 1.9**2 + 1.8 * 36.0
    assert told.tip_speed == pytest.approx(6.0 * math.sqrt(2.0 * wound.stored / inertia))
    assert told.handle_energy == pytest.approx(4.0 * wound.runaway_after_one_turn**2)
    words = {row.key: row for row in told.rows()}
    assert "one tooth of 18" in words["late.rope"].note and "nobody" in words["parts"].note
    finer = faults(follow(NUMBERS, WinchRig(teeth=60.0)))
    assert finer.late_pawl < told.late_pawl
    wire = replace(rig, rope_kind="wire 6x19 fibre core 1770")
    assert faults(follow(NUMBERS, wire)).late_pull > told.late_pull


def test_a_late_pawl_is_held_to_its_rating() -> None:
    """Truth: the peak above; without a stretch in the table the check is not known, never holds."""
    wound = follow(NUMBERS, WinchRig(pawl_rating=5e4))
    rows = {row.name: row for row in rigging_checks(wound)}
    row = rows["pawl dropping in a tooth late"]
    assert row.verdict == "holds" and row.demand == faults(wound).late_pawl
    weak = follow(NUMBERS, WinchRig(pawl_rating=1.01 * wound.pawl_load))
    rows = {row.name: row for row in rigging_checks(weak)}
    assert rows["pawl of the ratchet"].verdict == "holds"
    assert rows["pawl dropping in a tooth late"].verdict == "fails"
    thin = follow(replace(NUMBERS, rope=0.003), WinchRig(pawl_rating=5e4))  # no such manila
    rows = {row.name: row for row in rigging_checks(thin)}
    assert rows["pawl dropping in a tooth late"].verdict == "not known"
    assert faults(thin).late_pull is None and "not known" in faults(thin).sentence


@pytest.mark.parametrize("kind", ropes_table.rope_names())
def test_every_kind_of_rope_has_a_stretch(kind: str) -> None:
    """Truth: common practice: fibre stretches a tenth to a quarter as it breaks, wire 2 to 3 %."""
    stretch, density = ropes_table.rope_stretch(kind)
    low, high = (0.015, 0.03) if ropes_table.made_of(kind) == "wire rope" else (0.1, 0.3)
    assert low <= stretch <= high and 400.0 < density < 4000.0

"""Any machine's winding: finite numbers that balance, or an error that says what is wrong."""

import math
from dataclasses import fields, replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from winch.winch_example import NUMBERS

from slingwright.winch.cycle import Winding, follow
from slingwright.winch.drums import STEPS, drum_choice, heaviest_counterweights
from slingwright.winch.path.course import course
from slingwright.winch.rig import WinchRig
from slingwright.winch.rigging import rigging_checks

SPREAD = {
    "gravity": (1.0, 30.0),
    "axle_height": (0.05, 30.0),
    "arm_long": (0.05, 40.0),
    "arm_short": (0.01, 10.0),
    "arm_mass": (0.0, 20_000.0),
    "arm_balance": (-10.0, 20.0),
    "cocked": (-0.78, 1.48),
    "counterweight_mass": (0.01, 200_000.0),
    "axle_drag": (0.0, 0.5),
    "hanger_drag": (0.0, 0.5),
    "drum": (0.01, 3.0),
    "crank": (0.02, 5.0),
    "gear": (0.1, 500.0),
    "parts": (0.0, 12.0),
    "sheave_loss": (0.0, 0.5),
    "people": (1.0, 60.0),
    "rope": (0.001, 0.2),
    "winch_x": (-40.0, 20.0),
    "winch_y": (0.0, 20.0),
    "on_arm": (0.05, 40.0),
    "aside": (0.0, 10.0),
}


@st.composite
def changes(draw: st.DrawFn) -> dict:
    """Change up to six of the numbers, anywhere in what the dials allow, or to nothing."""
    names = draw(st.lists(st.sampled_from(sorted(SPREAD)), max_size=6, unique=True))
    found = {name: draw(st.floats(*SPREAD[name]) | st.just(0.0)) for name in names}
    if "parts" in found:
        found["parts"] = float(round(found["parts"]))
    found["hung"] = draw(st.booleans())
    return found


def finite(run: Winding) -> bool:
    """Tell whether every number of a winding is finite."""
    values = [getattr(run, field.name) for field in fields(run)]
    arrays = [value for value in values if isinstance(value, np.ndarray)]
    singles = [value for value in values if isinstance(value, float)]
    return all(np.all(np.isfinite(a)) for a in arrays) and all(map(math.isfinite, singles))


@given(changes(), st.sampled_from(["tackle", "led"]), st.floats(-8.0, 0.0), st.floats(0.0, 3.0))
def test_any_winding(change: dict, rigging: str, lead_x: float, lead_y: float) -> None:
    """Truth: energy balance of what comes out; words in what is refused."""
    try:
        rig = WinchRig(rigging=rigging, lead_x=lead_x, lead_y=lead_y)
        run = follow(replace(NUMBERS, **change), rig, 121)
    except ValueError as error:
        assert len(str(error)) > 20
        return
    assert finite(run)
    assert run.work >= run.stored > 0.0
    assert abs(run.energy_error) < 0.01  # jumps of the layers within a step
    assert run.outcome and run.rope_taken <= run.rope_needed
    rows = rigging_checks(run)
    assert all(row.verdict in {"holds", "fails", "not known"} for row in rows)


def heaviest(numbers) -> float:
    """Give the heaviest counterweight with one drum."""
    rig = WinchRig()
    return float(heaviest_counterweights(numbers, rig, [course(numbers, rig, STEPS)])[0])


@given(changes())
def test_any_heaviest_weight(change: dict) -> None:
    """Truth: at the answer the hand force is the force allowed."""
    try:
        numbers = replace(NUMBERS, **change)
        most = heaviest(numbers)
        run = follow(replace(numbers, counterweight_mass=most), WinchRig())
    except ValueError as error:
        assert len(str(error)) > 20
        return
    assert run.force_per_person <= run.force_allowed


def test_no_drums_no_choice() -> None:
    """Truth: nothing to compare is an error, not an empty advice."""
    import pytest
    from winch.test_cycle import DIALS

    with pytest.raises(ValueError, match="no drums"):
        drum_choice(DIALS, np.array([]))
